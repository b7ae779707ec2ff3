//! Whole scenarios, from text to plan.

use std::collections::BTreeMap;
use std::io;

use proptest::prelude::*;

use super::{Files, NoFiles, Plan, SearchRange, Target, Use, read};
use crate::law::{Control, Purpose};
use crate::provenance::Origin;
use crate::quantity::{Decibels, Frequency, Length, Power, Span};

/// Files that stand beside the scenario in a test.
struct Beside(BTreeMap<&'static str, &'static str>);

impl Files for Beside {
    fn read(&self, path: &str) -> io::Result<Vec<u8>> {
        let text = self.0.get(path).ok_or(io::ErrorKind::NotFound)?;
        Ok(text.as_bytes().to_vec())
    }
}

const HALF_MARATHON: &str = "\
event:
  name: Saltmarsh Harbour Half-Marathon
  from: 2027-05-16T07:30+01:00[Europe/London]
  to:   2027-05-16T15:00+01:00[Europe/London]
rules: [uk]
licence: full
sites:
  beacon-hill:
    at: [54.4150, -0.5320]
    ground: 118 m
    noise: rural
    isolation: [{between: [Packet, Hill relay], loss: 38 dB, at: 70cm}]
  start-line:  {at: IO94ql}
radios:
  my-mobile: {based_on: dual-band-mobile, isolation: 50 dB}
stations:
  - name: Hill relay
    site: beacon-hill
    radio: dual-band-mobile
    power: mid
    antenna: {height: 5 m, gain: {2m: 2 dBi, 70cm: 4 dBi}}
  - name: Packet
    site: beacon-hill
    radio: my-mobile
    power: 10 W
    mode: packet-1200
    control: automatic
    antenna: {height: 15 ft, gain: 2.15 dBi, offset: {east: 3 m, north: -4 m}}
    on_air: [{from: 09:00, to: 12:30}, {from: 23:00, to: 01:00}]
    talk: 144.8000
    purpose: packet
  - name: Control
    site: start-line
    radio: dual-band-mobile
    uses:
      - talk: 433.4500
      - {watch: 144.8000, wanted: -90 dBm}
  - {name: Checkpoints, site: start-line, radio: handheld-70cm, count: 6, via: Hill relay, leg: 70cm}
  - {name: Sweep, site: start-line, radio: dual-band-mobile, via: Town repeater}
in_use:
  - {name: Town repeater, output: 145.6500, input: 145.0500, erp: 25 W, at: [54.33, -0.43], antenna: 30 m}
  - {name: Airfield tower, frequency: 119.705, mode: am-8k33, service: airband, at: [54.36, -0.41]}
  - {from: neighbours.csv, columns: {frequency: mhz, name: callsign}, erp: 10 W, distance: 3 km}
proposals:
  - {name: A, station: Hill relay, cross_band: [433.4500, 145.2250], tone: 77.0}
  - {name: W1, station: Control, watch: 145.6500}
search:
  - {name: relay pair, station: Hill relay, cross_band: [70cm, 2m], step: 12.5 kHz, keep: 10}
  - {name: narrow, station: Hill relay, cross_band: [[433.4-433.6, 433.7], 145.2250]}
";

fn half_marathon() -> Plan {
    let files = Beside(BTreeMap::from([(
        "neighbours.csv",
        "callsign,mhz\nMoor packet,144.9250\n\"Dale, lower\",433.0500\n",
    )]));
    read("race.yaml", HALF_MARATHON.as_bytes(), &files).unwrap_or_else(|error| panic!("{error}"))
}

fn mhz(text: &str) -> Frequency {
    text.parse().unwrap()
}

#[test]
fn an_event_and_its_windows_are_seconds() {
    let plan = half_marathon();
    // 06:30 UTC: `date -u -d 2027-05-16T06:30Z +%s`.
    let window = plan.event.window.unwrap();
    assert_eq!(window.from, 1_810_449_000);
    assert_eq!(window.to - window.from, 7 * 3_600 + 1_800);
    let on_air = &plan.stations[1].windows;
    assert_eq!(on_air[0].from, window.from + 5_400);
    assert_eq!(on_air[1].to - on_air[1].from, 7_200, "past midnight");
}

#[test]
fn stations_say_what_they_were_given_and_where_the_rest_is_from() {
    let plan = half_marathon();
    let relay = &plan.stations[0];
    assert_eq!(relay.step.as_ref().unwrap().value, "mid");
    assert_eq!(relay.antenna.gains.len(), 2);
    assert_eq!(*relay.antenna.height, Length::metres(5.0));
    assert!(matches!(
        relay.antenna.feeder.origin,
        Origin::Profile { .. }
    ));
    assert_eq!(
        relay.antenna.height.origin,
        Origin::Said("race.yaml, line 21".into())
    );
    let packet = &plan.stations[1];
    assert_eq!(packet.power.as_ref().unwrap().value, Power::watts(10.0));
    assert_eq!(*packet.control, Control::Automatic);
    assert_eq!(packet.emission.designator(), "10K4F2D");
    assert_eq!(*packet.radio.isolation, Decibels::db(50.0));
    assert_eq!(
        packet.antenna.offset,
        Some((Length::metres(3.0), Length::metres(-4.0)))
    );
    assert!(matches!(
        &packet.uses[0].what,
        Use::Talk {
            purpose: Purpose::Packet,
            ..
        }
    ));
    assert_eq!(plan.stations[3].count, 6);
    assert_eq!(
        plan.stations[3].uses[0].what,
        Use::Via {
            target: Target::Relay { station: 0, leg: 0 }
        }
    );
    assert_eq!(
        plan.stations[4].uses[0].what,
        Use::Via {
            target: Target::Repeater { in_use: 0 }
        }
    );
    let isolation = &plan.sites[0].measured[0];
    assert_eq!(isolation.stations, (0, 1));
    assert_eq!(*isolation.loss, Decibels::db(38.0));
}

#[test]
fn neighbours_have_exact_carriers_and_radiated_power() {
    let plan = half_marathon();
    let repeater = &plan.in_use[0];
    assert_eq!(repeater.output, Some(mhz("145.6500")));
    assert_eq!(repeater.input, Some(mhz("145.0500")));
    assert!(!repeater.is_simplex);
    // 25 W ERP are 25 × 1.64 W EIRP.
    assert!((repeater.eirp.as_watts() - 41.0).abs() < 0.1);
    let tower = &plan.in_use[1];
    // ICAO channel naming: 119.705 is the 8.33 kHz channel on 119.700 MHz.
    assert_eq!(tower.output, Some(Frequency::hz(119_700_000)));
    assert!(tower.is_safety && tower.is_simplex);
    assert_eq!(plan.in_use[2].name, "Moor packet");
    let row = &plan.in_use[3];
    assert_eq!(
        (row.name.as_str(), row.output),
        ("Dale, lower", Some(mhz("433.0500")))
    );
    assert_eq!(row.place.as_ref(), "neighbours.csv, line 3");
    assert_eq!(*row.distance, Length::metres(3_000.0));
    assert!(row.listener.is_some());
}

#[test]
fn proposals_and_searches_know_their_station_and_their_channels() {
    let plan = half_marathon();
    assert_eq!(plan.proposals[1].station, 2);
    let Use::CrossBand { legs } = &plan.proposals[0].what else {
        panic!("a pair");
    };
    assert_eq!(legs[0].frequency, Frequency::hz(433_450_000));
    assert_eq!(legs[1].tone, Some(770));
    let SearchRange::CrossBand([seventy, two]) = &plan.searches[0].range else {
        panic!("a pair");
    };
    let uk = Span::between(mhz("144"), mhz("146"));
    assert!(!seventy.is_empty() && two.iter().all(|span| uk.holds(*span)));
    let SearchRange::CrossBand([narrow, one]) = &plan.searches[1].range else {
        panic!("a pair");
    };
    assert_eq!(narrow.len(), 2);
    assert_eq!(one[0], Span::between(mhz("145.225"), mhz("145.225")));
    assert_eq!(plan.searches[1].keep, 10);
}

#[test]
fn every_default_that_was_taken_is_told_with_its_source() {
    let plan = half_marathon();
    let told = |what: &str| plan.defaults.iter().find(|(name, ..)| name == what);
    assert!(told("Control: who is in control").is_some());
    assert!(told("Hill relay: antenna height").is_none());
    assert!(told("Town repeater: share of the time it transmits").is_some());
    for (what, value, origin) in &plan.defaults {
        assert!(!what.is_empty() && !value.is_empty(), "{what}");
        assert!(
            !matches!(origin, Origin::Said(place) if place.is_empty()),
            "{what}"
        );
    }
    assert!(!plan.guarded.is_empty());
}

#[test]
fn the_same_text_gives_the_same_plan() {
    assert_eq!(
        format!("{:?}", half_marathon()),
        format!("{:?}", half_marathon())
    );
}

#[test]
fn a_bare_event_is_a_plan() {
    let text = "event: {name: Walk}\nrules: [us]\nlicence: technician\n";
    let plan = read("walk.yaml", text.as_bytes(), &NoFiles).unwrap();
    assert!(plan.stations.is_empty() && plan.event.window.is_none());
}

#[test]
fn faults_of_several_parts_are_told_at_once_in_the_order_of_the_file() {
    let text = "\
event: {name: Walk}
rules: [uk]
licence: full
sites: {hill: {at: IO94ql}}
stations:
  - {name: Relay, site: hil, radio: dual-band-mobile, colour: red}
  - {name: Control, site: hill, radio: dual-band-mobile, talk: 27.0}
proposals:
  - {name: A, station: Rely, cross_band: [433.4500, 145.2250]}
";
    let error = read("walk.yaml", text.as_bytes(), &NoFiles)
        .unwrap_err()
        .to_string();
    let places: Vec<usize> = [
        "walk.yaml:6:25",
        "walk.yaml:6:55",
        "walk.yaml:7:64",
        "walk.yaml:9:24",
    ]
    .iter()
    .filter_map(|place| error.find(place))
    .collect();
    assert_eq!(places.len(), 4, "{error}");
    assert!(places.is_sorted(), "{error}");
    assert!(
        error.contains("`Rely`: no such station; did you mean `Relay`?"),
        "{error}"
    );
}

#[test]
fn a_clock_time_that_the_change_of_clocks_skips_is_refused() {
    let text = "\
event:
  name: Walk
  from: 2027-03-28T00:30+00:00[Europe/London]
  to: 2027-03-28T09:00+01:00[Europe/London]
rules: [uk]
sites: {hill: {at: IO94ql}}
stations:
  - {name: Relay, site: hill, radio: handheld, on_air: [{from: 01:30, to: 05:00}]}
";
    let error = read("walk.yaml", text.as_bytes(), &NoFiles)
        .unwrap_err()
        .to_string();
    assert!(error.contains("the clocks change then"), "{error}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn no_bytes_make_it_panic(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        let _ = read("x.yaml", &bytes, &NoFiles);
    }

    /// A good scenario with one line lost or one character changed is a plan or an error.
    #[test]
    fn no_slip_makes_it_panic(at in 0usize..2_500, with in "[ -~\n]", cut in 0usize..40) {
        let characters: Vec<char> = HALF_MARATHON.chars().collect();
        let at = at.min(characters.len());
        let end = (at + cut).min(characters.len());
        let text: String = characters[..at]
            .iter()
            .chain(with.chars().collect::<Vec<_>>().iter())
            .chain(&characters[end..])
            .collect();
        let _ = read("x.yaml", text.as_bytes(), &NoFiles);
    }
}
