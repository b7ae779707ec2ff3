//! Lines that are made and heard, to the hertz: each needs an emission, a path and a response.

use super::meet;
use crate::budget::{Ledger, Total, starting_at};
use crate::emissions::Source;
use crate::physics::curve::{Point, linear_at};
use crate::quantity::{Decibels, Frequency, Level, Offset};
use crate::responses::Shape;
use crate::scenario::Legs;
use crate::scene::sample::plan;
use crate::scene::{Outlook, Scene};

/// Two transmitters 10 m apart, and somebody 1 km away who listens where 2A − B falls, or a little beside.
fn heard(beside: i64) -> Vec<(Level, Level, Decibels)> {
    let watched = 145_300_000 + beside;
    let text = format!(
            "
sites:
  hill: {{at: [54.4150, -0.5320]}}
  field: {{at: [54.4240, -0.5320]}}
stations:
  - {{name: A, site: hill, radio: mobile-2m, power: 20 W, talk: 145.5000}}
  - {{name: B, site: hill, radio: mobile-2m, power: 20 W, antenna: {{offset: {{east: 10 m, north: 0 m}}}}, talk: 145.7000}}
  - {{name: C, site: field, radio: mobile-2m, watch: {watched} Hz}}
"
        );
    let plan = plan(&text);
    let scene = Scene::build(&plan, None);
    let victim = scene.receivers.iter().position(|one| one.station == "C");
    meet(&scene, Legs::NONE)
        .into_iter()
        .filter(|one| Some(one.receiver) == victim && one.id() == "transmitter-intermodulation")
        .filter(|one| one.response.centre == Frequency::hz(watched))
        .filter(|one| matches!(one.response.shape, Shape::Window(_)))
        .filter(|one| one.line.terms.iter().map(|term| term.1).eq([2, -1]))
        .map(|one| {
            let [own, foreign] = [0, 1].map(|place| match one.line.terms[place].0 {
                Source::Transmitter(index) => index,
                Source::Oscillator(_) | Source::Reference(_) => panic!("a product of two carriers"),
            });
            let mut arriving = Total::default();
            arriving.enter(
                starting_at(scene.transmitters.get(foreign).unwrap().power.value),
                || (String::new(), String::new()),
            );
            let ends = [foreign, own].map(|index| scene.reach_of_transmitter(index).unwrap());
            let frequency = scene.transmitters.get(foreign).unwrap().frequency;
            scene.over(
                ends[0],
                ends[1],
                frequency,
                Outlook::Optimistic,
                &mut arriving,
            );
            let points: Vec<Point> = scene
                .transmitters
                .get(own)
                .unwrap()
                .figures
                .conversion_loss
                .iter()
                .map(|point| (point.offset, point.loss.value))
                .collect();
            let loss = linear_at(points.iter().copied(), Offset::hz(200_000));
            (one.line.level, arriving.level(), loss)
        })
        .collect()
}

/// The definition of conversion loss (CCIR Report 739, from memory).
#[test]
fn the_product_linear_in_the_foreign_carrier_is_the_arriving_level_less_the_conversion_loss() {
    let found = heard(0);
    assert_eq!(found.len(), 1);
    for (level, arriving, loss) in found {
        assert!((level - (arriving - loss)).as_db().abs() < 1e-9);
    }
}

#[test]
fn one_hertz_further_it_misses_the_channel() {
    // Half of 2·3·2.5 kHz + 2·3 kHz, half the channel, 2.5 ppm of 2 A + B and of the victim, each rounded up.
    let reach = 21_000 / 2 + 12_000 / 2 + 2 * 364 + 365 + 364;
    assert_eq!(heard(reach - 1).len(), 1);
    assert!(heard(reach).is_empty());
}

/// What reaches a listener 1 km away, so many hertz beside a carrier.
fn kinds(off: i64) -> Vec<&'static str> {
    let heard = 145_500_000 + off;
    let plan = plan(&format!(
        "
sites:
  hill: {{at: [54.4150, -0.5320]}}
  field: {{at: [54.4240, -0.5320]}}
stations:
  - {{name: A, site: hill, radio: mobile-2m, power: 20 W, talk: 145.5000}}
  - {{name: B, site: field, radio: mobile-2m, watch: {heard} Hz}}
"
    ));
    let scene = Scene::build(&plan, None);
    let victim = scene.receivers.iter().position(|one| one.station == "B");
    meet(&scene, Legs::NONE)
        .into_iter()
        .filter(|one| Some(one.receiver) == victim && one.line.heard_by.is_some())
        .map(|one| one.id())
        .collect()
}

#[test]
fn from_one_and_a_half_channels_on_noise_takes_over_to_the_hertz() {
    assert_eq!(kinds(37_500), ["transmitter-noise"]);
    assert_eq!(kinds(37_499), ["adjacent-power"]);
}

#[test]
fn where_emission_and_channel_touch_the_power_beside_it_takes_over_to_the_hertz() {
    // Half of 11 kHz and half of 12 kHz.
    assert_eq!(kinds(11_500), ["adjacent-power"]);
    assert!(kinds(11_499).is_empty());
}

/// The strongest that a carrier 6 kHz wide amounts to this far beside a channel, whatever it is called.
fn strongest(off: i64) -> Option<Level> {
    let heard = 145_500_000 + off;
    let plan = plan(&format!(
        "
sites:
  hill: {{at: [54.4150, -0.5320]}}
  field: {{at: [54.4152, -0.5320]}}
stations:
  - {{name: A, site: hill, radio: mobile-2m, power: 20 W, mode: dv-6k, talk: 145.5000}}
  - {{name: B, site: field, radio: mobile-2m, watch: {heard} Hz}}
"
    ));
    let scene = Scene::build(&plan, None);
    let victim = scene.receivers.iter().position(|one| one.station == "B");
    let heard = meet(&scene, Legs::NONE)
        .into_iter()
        .filter(|one| Some(one.receiver) == victim);
    heard.map(|one| one.level).max()
}

#[test]
fn a_narrow_carrier_nearby_never_falls_between_two_responses() {
    let levels: Vec<Level> = (1..=200).filter_map(|step| strongest(step * 300)).collect();
    assert_eq!(levels.len(), 200);
    // Further off it is heard better nowhere; a tenth of a dB is left for the joints of the laws.
    for pair in levels.windows(2) {
        assert!(pair[1] - pair[0] < Decibels::db(0.1), "{pair:?}");
    }
}

/// One box that hears 145.2250 and another frequency at once, its 2 m oscillator at 216.725 MHz.
fn leaks(watched: i64) -> usize {
    let plan = plan(&format!(
        "
radios:
  odd: {{based_on: dual-band-mobile, bands: {{2m: {{receiver: {{first_if: 71.5 MHz}}}}}}}}
sites:
  hill: {{at: [54.4150, -0.5320]}}
stations:
  - {{name: A, site: hill, radio: odd, uses: [{{watch: 145.2250}}, {{watch: {watched} Hz}}]}}
"
    ));
    let scene = Scene::build(&plan, None);
    meet(&scene, Legs::NONE)
        .iter()
        .filter(|one| {
            one.id() == "oscillator-leakage" && one.line.terms == [(Source::Oscillator(0), 2)]
        })
        .filter(|one| one.receiver == 1 && one.response.is_landing())
        .count()
}

#[test]
fn a_harmonic_of_one_side_s_oscillator_is_heard_by_the_other_side_of_the_box() {
    // 2 × (145.2250 + 71.5) = 433.4500 MHz.
    assert_eq!(leaks(433_450_000), 1);
    // Half of 12 kHz and of 100 Hz, 2.5 ppm of each of the two places, rounded up.
    let reach = 6_000 + 50 + 1_084 + 1_084;
    assert_eq!(leaks(433_450_000 - reach + 1), 1);
    assert_eq!(leaks(433_450_000 - reach), 0);
}
