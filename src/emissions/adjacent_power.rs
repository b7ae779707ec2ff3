#![doc = include_str!("adjacent_power.md")]

use super::carrier::send;
use super::slice::{Slice, slices};
use super::{Emission, Line, Request, index_of};
use crate::budget::{Budget, Ledger, Total};
use crate::physics::spread;
use crate::quantity::Decibels;
use crate::scene::{Scene, Transmitter};
use crate::topic::Topic;

pub(super) const KIND: Emission = Emission {
    topic: TOPIC,
    generate,
    tell,
    called,
    why,
    // Stated below the carrier, it falls with the carrier.
    slope: |_, _, _| 1.0,
    is_plain: false,
    is_for_one: true,
};

const TOPIC: Topic = Topic {
    id: "adjacent-power",
    title: "A transmitter's power in the channel next to it",
    text: include_str!("adjacent_power.md"),
};

/// What of an emission lies beyond one edge of its occupied bandwidth: half a per cent. Between there and the channel
/// spacing the power falls along a straight line in dB (our choice).
///
/// # Source
/// 47 CFR 2.202(a) and ITU Radio Regulations No. 1.153: 0.5 % beyond either edge.
const BESIDE_THE_EMISSION: Decibels = Decibels::db(23.0);

fn generate(request: &Request<'_>, lines: &mut Vec<Line>) {
    let kind = index_of(&TOPIC);
    let is_beside = |slice: &Slice| slice.off >= slice.touch && slice.off < slice.beyond_adjacent;
    slices(
        request,
        kind,
        lines,
        |transmitter, slice| is_beside(slice).then_some(transmitter.power.value),
        |transmitter, slice| {
            let mut level = Total::default();
            spill(transmitter, slice, &mut level);
            level.level()
        },
    );
}

/// The power that falls into the channel next to a transmitter's own, at its socket.
fn spill(transmitter: &Transmitter, slice: &Slice, ledger: &mut impl Ledger) {
    send(transmitter, ledger);
    let figure = &transmitter.figures.adjacent_power;
    let whole = (slice.adjacent.as_hz() - slice.touch.as_hz()).max(1) as f64;
    let part = ((slice.off.as_hz() - slice.touch.as_hz()) as f64 / whole).clamp(0.0, 1.0);
    let least = BESIDE_THE_EMISSION.min(figure.value);
    ledger.enter(-(least + (figure.value - least) * part), || {
        (
            format!("its power in a channel {} off", slice.off),
            format!("{} at {}: {}", figure.value, slice.adjacent, figure.origin),
        )
    });
    ledger.vary(spread::equipment(figure));
    if !figure.is_stated() {
        ledger.assume(|| {
            format!(
                "the power of {} in the next channel is {} below its carrier ({})",
                transmitter.name,
                figure.value,
                figure.origin.brief()
            )
        });
    }
}

fn tell(scene: &Scene<'_>, line: &Line, budget: &mut Budget) {
    if let Some((transmitter, slice)) = Slice::of(scene, line) {
        spill(transmitter, &slice, budget);
    }
}

fn why(scene: &Scene<'_>, line: &Line) -> String {
    Slice::of(scene, line).map_or_else(String::new, |(transmitter, slice)| {
        format!(
            "{} transmits on {} and is not quite silent {} off",
            transmitter.name, transmitter.frequency, slice.off
        )
    })
}

fn called(scene: &Scene<'_>, line: &Line) -> String {
    Slice::of(scene, line).map_or_else(String::new, |(transmitter, _)| {
        format!("what {} sends beside its channel", transmitter.name)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Bandwidth, Level, Offset};
    use crate::scene::sample::{CROWDED, plan};

    /// What a 40 dBm carrier spills into a channel so many hertz off, with 60 dB stated for a channel 25 kHz off.
    fn spilt(off: i64, touch: i64) -> f64 {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let mut transmitter = scene.transmitters.get(0).unwrap().clone();
        let mut figures = (*transmitter.figures).clone();
        figures.adjacent_power.value = Decibels::db(60.0);
        transmitter.figures = figures.into();
        transmitter.power.value = Level::dbm(40.0);
        let slice = Slice {
            place: transmitter.frequency + Offset::hz(off),
            off: Offset::hz(off),
            width: Bandwidth::hz(12_000),
            touch: Offset::hz(touch),
            adjacent: Offset::hz(25_000),
            beyond_adjacent: Offset::hz(37_500),
        };
        let mut level = Total::default();
        spill(&transmitter, &slice, &mut level);
        level.level().as_dbm()
    }

    /// 0.5 % beyond one edge is 23 dB below the carrier: 47 CFR 2.202(a).
    #[test]
    fn it_falls_in_a_straight_line_from_the_edge_of_the_emission_to_the_figure_of_the_next_channel()
    {
        for (off, expected) in [
            (11_500, 17.0),
            // A third and a half of the way from 23 to 60 dB.
            (16_000, 17.0 - 37.0 / 3.0),
            (18_250, -1.5),
            (25_000, -20.0),
            // Further off nothing better is known.
            (30_000, -20.0),
        ] {
            assert!((spilt(off, 11_500) - expected).abs() < 1e-9, "{off}");
        }
    }

    #[test]
    fn of_channels_that_touch_next_door_the_whole_figure_is_reached_there() {
        // An emission as wide as the channels are apart: both touch where the figure is stated.
        assert!((spilt(25_000, 25_000) - 17.0).abs() < 1e-9);
        assert!((spilt(25_001, 25_000) + 20.0).abs() < 1e-9);
    }
}
