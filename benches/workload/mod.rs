//! Invented plans of a stated size, the same for the same seed.

use std::fmt::Write;

use rand_pcg::Pcg32;
use rand_pcg::rand_core::{Rng, SeedableRng};

/// How large a plan is, and what is searched.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Workload {
    pub(crate) name: &'static str,
    pub(crate) seed: u64,
    /// Others on the air.
    pub(crate) neighbours: usize,
    /// Within how many kilometres they are.
    pub(crate) within: f64,
    pub(crate) order: u32,
    pub(crate) signals: u32,
    /// The stretches of the two legs.
    pub(crate) legs: [&'static str; 2],
    /// In which steps.
    pub(crate) step: &'static str,
    /// More stations of ours, as lines of the scenario.
    pub(crate) stations: &'static str,
}

/// 180 pairs, 30 neighbours, three signals up to the seventh order.
pub(crate) const S: Workload = Workload {
    name: "S",
    seed: 1,
    neighbours: 30,
    within: 60.0,
    order: 7,
    signals: 3,
    legs: ["433.4-433.6375", "145.2-145.3"],
    step: "12.5 kHz",
    stations: "",
};

/// 128 000 pairs, all of 2 m by all of 70 cm; 100 neighbours, two signals up to the fifth order.
pub(crate) const M: Workload = Workload {
    name: "M",
    seed: 2,
    neighbours: 100,
    within: 60.0,
    order: 5,
    signals: 2,
    legs: ["430.0-439.9875", "144.0-145.9875"],
    step: "12.5 kHz",
    stations: "",
};

/// The same with three signals up to the seventh order.
pub(crate) const L: Workload = Workload {
    name: "L",
    order: 7,
    signals: 3,
    ..M
};

/// The same among 1 000 neighbours.
pub(crate) const XL: Workload = Workload {
    name: "XL",
    seed: 3,
    neighbours: 1_000,
    ..L
};

/// 1 024 000 pairs on two bands and a listener on a third; 5 000 neighbours of a whole region, most of them out of reach.
pub(crate) const REGIONAL: Workload = Workload {
    name: "regional",
    seed: 4,
    neighbours: 5_000,
    within: 600.0,
    legs: ["430.0-439.99375", "144.0-147.99375"],
    step: "6.25 kHz",
    stations: "  - {name: Packet, site: hill, radio: mobile-2m, power: low, talk: 144.8000}
  - {name: Ear, site: line, radio: scanner-receiver, watch: 119.7050}
  - {name: Second, site: turn, radio: dual-band-mobile, power: low, uses: [{talk: 433.5500}, {watch: 145.6500}]}
",
    ..L
};

impl Workload {
    /// The scenario as text.
    pub(crate) fn scenario(&self) -> String {
        let mut text = format!(
            "event: {{name: Workload {}}}
rules: [uk]
licence: full
settings: {{order: {}, signals: {}}}
sites:
  hill: {{at: [54.4150, -0.5320], ground: 118 m}}
  line: {{at: [54.4871, -0.6133], ground: 6 m}}
  turn: {{at: [54.4902, -0.6047], ground: 4 m}}
stations:
  - {{name: Relay, site: hill, radio: dual-band-mobile, power: mid, control: attended, antenna: {{height: 5 m}}}}
  - {{name: Control, site: line, radio: dual-band-mobile, power: low, antenna: {{height: 6 m}}, uses: [{{via: Relay, leg: 2m}}]}}
  - {{name: Marshals, site: turn, radio: handheld, count: 4, uses: [{{via: Relay, leg: 70cm}}]}}
{}in_use:
",
            self.name, self.order, self.signals, self.stations
        );
        let mut dice = Dice(Pcg32::seed_from_u64(self.seed));
        for number in 0..self.neighbours {
            neighbour(&mut dice, number, self.within, &mut text);
        }
        let ([first, second], step) = (self.legs, self.step);
        let _ = writeln!(
            text,
            "search:\n  - {{name: pair, station: Relay, cross_band: [{first}, {second}], step: {step}, tone: 77.0}}"
        );
        text
    }
}

struct Dice(Pcg32);

impl Dice {
    fn below(&mut self, bound: u32) -> u32 {
        self.0.next_u32() % bound
    }

    fn share(&mut self) -> f64 {
        f64::from(self.0.next_u32()) / f64::from(u32::MAX)
    }

    fn one_of(&mut self, all: &[u32]) -> u32 {
        let count = u32::try_from(all.len()).unwrap_or(1);
        all.get(self.below(count) as usize).copied().unwrap_or(0)
    }
}

/// Somebody within so many kilometres: a repeater, a packet station, an airfield, a harbour, a firm.
fn neighbour(dice: &mut Dice, number: usize, within: f64, text: &mut String) {
    let far = within * dice.share().sqrt();
    let turn = dice.share() * std::f64::consts::TAU;
    let latitude = 54.45 + far * turn.cos() / 111.2;
    let longitude = -0.57 + far * turn.sin() / 64.7;
    let erp = dice.one_of(&[5, 10, 25, 50, 100]);
    let height = dice.one_of(&[10, 15, 20, 30, 40]);
    let repeater = |output: u32, input: u32, tone: &str| {
        format!("service: amateur-repeater, output: {output} Hz, input: {input} Hz, tone: {tone}")
    };
    let channel = |what: &str, hertz: u32| format!("{what}, frequency: {hertz} Hz");
    let what = match dice.below(10) {
        0..=2 => {
            let output = 145_600_000 + 12_500 * dice.below(16);
            repeater(output, output - 600_000, "88.5")
        }
        3..=4 => {
            let output = 433_000_000 + 12_500 * dice.below(30);
            repeater(output, output + 1_600_000, "77.0")
        }
        5 => channel(
            "service: packet, mode: packet-1200",
            144_800_000 + 12_500 * dice.below(8),
        ),
        6 => channel(
            "service: airband-ground, mode: am-8k33",
            118_000_000 + 25_000 * dice.below(700),
        ),
        7 => channel("service: marine", 156_050_000 + 25_000 * dice.below(50)),
        _ => {
            let band = dice.one_of(&[
                165_000_000,
                169_000_000,
                453_000_000,
                456_000_000,
                460_000_000,
            ]);
            channel(
                "service: land-mobile, mode: nfm",
                band + 12_500 * dice.below(160),
            )
        }
    };
    let _ = writeln!(
        text,
        "  - {{name: N{number}, {what}, at: [{latitude:.4}, {longitude:.4}], antenna: {height} m, erp: {erp} W, duty: 20 %}}"
    );
}
