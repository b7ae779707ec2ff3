//! Another channel: for a leg under trial, or for a channel of ours that stands.

use std::collections::BTreeSet;

use super::proof;
use crate::emissions::{Line, Source, place_of_slice};
use crate::encounter::Encounter;
use crate::finding::{Change, Remedy};
use crate::law::{Law, Preference, Purpose};
use crate::quantity::{Decibels, Frequency, Offset, Span};
use crate::responses::Shape;
use crate::scenario::{Legs, Plan, Use};
use crate::scene::{Owner, Receiver, Scene, Transmitter};

/// How many channel steps further a channel is tried where the nearest one that avoids a response meets another.
///
/// # Source
/// Choice: past the adjacent and the alternate channel there is rarely a third place.
const FURTHER: i64 = 8;

/// A move that leaves something to be mended is worth a word if it gains as much.
///
/// # Source
/// Choice: an S unit; for less nobody moves.
const WORTH_A_WORD: Decibels = Decibels::db(6.0);

/// What is added where the band plan likes the new channel less.
const LESS_LIKED: &str = ", though the band plan means that stretch for other uses";

/// Something that can be put on another channel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Tuned {
    /// A leg of the thing under trial.
    Leg(usize),
    /// A channel that some of our stations stand on, with all of them.
    Channel(Frequency),
}

impl Tuned {
    fn holds(self, owner: Owner, legs: Legs, frequency: Frequency) -> bool {
        match self {
            Self::Leg(index) => legs.holds(Legs::of(index)),
            Self::Channel(channel) => owner.is_ours() && legs.is_none() && frequency == channel,
        }
    }

    fn sends(self, one: &Transmitter) -> bool {
        self.holds(one.owner, one.legs, one.frequency)
    }

    fn hears(self, one: &Receiver) -> bool {
        self.holds(one.owner, one.legs, one.frequency)
    }

    /// How often it enters the frequency of a line.
    fn enters(self, scene: &Scene<'_>, line: &Line) -> i64 {
        let terms = line.terms.iter();
        let own = terms.filter(|(source, _)| match *source {
            Source::Transmitter(index) => {
                let one = scene.transmitters.get(index);
                one.is_some_and(|one| self.sends(one))
            }
            Source::Oscillator(index) => {
                let one = scene.receivers.get(index);
                one.is_some_and(|one| self.hears(one))
            }
            // A crystal stays where it is, wherever its radio is tuned.
            Source::Reference(_) => false,
        });
        own.map(|&(_, coefficient)| coefficient).sum()
    }

    /// The scene with it on another channel; none where a radio does not reach that.
    fn moved<'plan>(self, scene: &Scene<'plan>, to: Frequency) -> Option<Scene<'plan>> {
        proof::retuned(
            scene,
            (
                |one: &Transmitter| self.sends(one),
                |one: &Receiver| self.hears(one),
            ),
            to,
        )
    }
}

/// Everything behind an encounter that can be put on another channel, with where it is now.
fn tuned(scene: &Scene<'_>, encounter: &Encounter) -> BTreeSet<(Tuned, Frequency)> {
    let sources = encounter
        .line
        .terms
        .iter()
        .filter_map(|&(source, _)| match source {
            Source::Transmitter(index) => {
                let one = scene.transmitters.get(index)?;
                Some((one.owner, one.legs, one.frequency))
            }
            Source::Oscillator(index) => {
                let one = scene.receivers.get(index)?;
                Some((one.owner, one.legs, one.frequency))
            }
            Source::Reference(_) => None,
        });
    let victim = scene.receivers.get(encounter.receiver);
    let victim = victim.map(|one| (one.owner, one.legs, one.frequency));
    sources
        .chain(victim)
        .filter(|(owner, ..)| owner.is_ours())
        .filter_map(|(_, legs, frequency)| {
            let leg = (0..2).find(|&index| legs.holds(Legs::of(index)));
            let tuned = leg.map_or(Tuned::Channel(frequency), Tuned::Leg);
            let may = leg.is_some() || is_our_choice(scene.plan, frequency);
            may.then_some((tuned, frequency))
        })
        .collect()
}

/// Whether a channel is one that we chose: not one that somebody else's repeater has, nor one that is watched.
fn is_our_choice(plan: &Plan, frequency: Frequency) -> bool {
    let mut uses = plan.stations.iter().flat_map(|station| &station.uses);
    uses.any(|one| {
        matches!(one.what, Use::Talk { .. } | Use::CrossBand { .. })
            && one.what.frequencies().contains(&frequency)
    })
}

/// A place where something could go, with what then is met there.
struct Place<'plan> {
    tuned: Tuned,
    here: Frequency,
    shift: Offset,
    scene: Scene<'plan>,
    line: Line,
}

impl Place<'_> {
    fn remedy(&self, then: &str) -> Remedy {
        let (here, shift, to) = (self.here, self.shift, self.here + self.shift);
        Remedy {
            text: format!("move {here} by {shift} to {to}: {then}"),
            change: Some(match self.tuned {
                Tuned::Leg(leg) => Change::Move { leg, to },
                Tuned::Channel(from) => Change::Retune { from, to },
            }),
        }
    }
}

/// The nearest place for each that can be moved, where the line meets one response fewer of its victim.
pub(super) fn nearest(scene: &Scene<'_>, encounter: &Encounter) -> Vec<Remedy> {
    let short_now = proof::short(scene, encounter, &encounter.line);
    let then = match encounter.response.shape {
        Shape::Window(_) if !encounter.line.is_slice() => "the two no longer meet",
        _ => "far enough asunder",
    };
    tuned(scene, encounter)
        .into_iter()
        .filter_map(|(tuned, here)| {
            let is_mended =
                |place: &Place<'_>| proof::short(&place.scene, encounter, &place.line) < short_now;
            let at = |&shift: &Offset| place(scene, encounter, (tuned, here), shift);
            let mended = |shifts: &[Offset]| {
                // What is broad only grows fainter further off: where the last is not enough, none is.
                let mut last = shifts.iter().rev().take(2).filter_map(at);
                if encounter.line.is_slice() && !last.any(|place| is_mended(&place)) {
                    return None;
                }
                shifts.iter().filter_map(at).find(is_mended)
            };
            let (liked, others) = liked_first(scene, encounter, tuned, here);
            let liked = mended(&liked).map(|place| place.remedy(then));
            liked.or_else(|| Some(mended(&others)?.remedy(&format!("{then}{LESS_LIKED}"))))
        })
        .collect()
}

/// Where nothing clears it: the place that makes the most of it, if a carrier is then met by another response only.
pub(super) fn better(scene: &Scene<'_>, encounter: &Encounter) -> Option<Remedy> {
    if !encounter.line.emission().is_some_and(|one| one.is_plain) {
        return None;
    }
    let margin = encounter.margin();
    tuned(scene, encounter)
        .into_iter()
        .flat_map(|(tuned, here)| {
            let (liked, _) = liked_first(scene, encounter, tuned, here);
            let places = liked.into_iter();
            places.filter_map(move |shift| place(scene, encounter, (tuned, here), shift))
        })
        .filter_map(|place| {
            let met = proof::met(&place.scene, encounter, &place.line);
            let is_cleared = met.iter().all(|(kind, _)| *kind != encounter.response.kind);
            let worst = met.iter().map(|&(_, margin)| margin).min()?;
            (is_cleared && worst >= margin + WORTH_A_WORD).then_some((worst, place))
        })
        .max_by(|(one, at), (other, there)| {
            let nearer = |place: &Place<'_>| -place.shift.abs().as_hz();
            one.cmp(other).then(nearer(at).cmp(&nearer(there)))
        })
        .map(|(worst, place)| {
            let then = if worst < Decibels::ZERO {
                format!("{} too strong there instead of {}", -worst, -margin)
            } else {
                format!("{worst} to spare there")
            };
            place.remedy(&then)
        })
}

/// How far something could go where the law allows it as it does here: to channels that the band plan likes no less, and to
/// the others.
fn liked_first(
    scene: &Scene<'_>,
    encounter: &Encounter,
    tuned: Tuned,
    here: Frequency,
) -> (Vec<Offset>, Vec<Offset>) {
    let law = &scene.plan.law;
    let sent = scene.transmitters.iter().filter(|one| tuned.sends(one));
    let purposes: BTreeSet<Purpose> = sent.map(|one| one.purpose).collect();
    // Where it stands against the law already, that is another finding's matter.
    let open: Vec<Vec<Span>> = purposes
        .iter()
        .map(|&purpose| {
            let bands = law.band_names().into_iter();
            bands.flat_map(|name| law.open_for(name, purpose)).collect()
        })
        .filter(|spans: &Vec<Span>| spans.iter().any(|span| span.contains(here)))
        .collect();
    let is_allowed = |to: Frequency| {
        open.iter()
            .all(|spans| spans.iter().any(|span| span.contains(to)))
    };
    let liking = |at: Frequency| {
        purposes
            .iter()
            .map(|&purpose| law.preference(at, purpose))
            .min()
    };
    let wanted = liking(here).min(Some(Preference::default()));
    shifts(scene, encounter, tuned, here)
        .into_iter()
        .filter(|&shift| is_allowed(here + shift))
        .partition(|&shift| liking(here + shift) >= wanted)
}

/// How far something could go to leave a response, the least first, within its band.
fn shifts(scene: &Scene<'_>, encounter: &Encounter, tuned: Tuned, here: Frequency) -> Vec<Offset> {
    let (line, response) = (&encounter.line, &encounter.response);
    let multiple = response.multiple;
    let step = scene.plan.settings.raster.as_hz().max(1);
    let receiver = scene.receivers.get(encounter.receiver);
    let victim_moves = receiver.is_some_and(|one| tuned.hears(one));
    let slope = multiple * (tuned.enters(scene, line) - i64::from(victim_moves));
    let now = multiple * (line.frequency - response.centre).as_hz();
    // The whole line outside the whole response, whatever the tolerances do, and one more hertz.
    let about = multiple * line.tolerance.as_hz() + response.drift.as_hz() + multiple + 2;
    let clear = match response.shape {
        Shape::Window(width) => about + multiple * line.width.as_hz() / 2 + width.as_hz() / 2,
        Shape::Ring { to, .. } => to.as_hz().saturating_add(about),
    };
    // Beyond any band there is nothing to move to.
    if slope == 0 || clear > here.as_hz() {
        return Vec::new();
    }
    let edges = if line.is_slice() {
        // A slice of something broad lies in the victim's channel wherever that is; further off it is fainter.
        [(1, 1), (-1, -1)]
    } else {
        // now + slope·shift must leave ±clear; the nearest whole number of steps on either side.
        let reach = |edge: i64| (edge - now) as f64 / (slope * step) as f64;
        let (one, other) = (reach(clear), reach(-clear));
        #[expect(clippy::cast_possible_truncation, reason = "a number of channel steps")]
        let edges = [
            (one.max(other).ceil() as i64, 1),
            (one.min(other).floor() as i64, -1),
        ];
        edges
    };
    let mut steps: Vec<i64> = edges
        .into_iter()
        .flat_map(|(edge, away)| (0..=FURTHER).map(move |more| edge + away * more))
        .collect();
    steps.sort_unstable_by_key(|steps| (steps.unsigned_abs(), *steps));
    steps
        .into_iter()
        .map(|steps| Offset::hz(steps * step))
        .filter(|&shift| is_within_the_band(&scene.plan.law, here, here + shift))
        .collect()
}

/// What is met where something has gone so far; none where a radio does not reach that.
fn place<'plan>(
    scene: &Scene<'plan>,
    encounter: &Encounter,
    (tuned, here): (Tuned, Frequency),
    shift: Offset,
) -> Option<Place<'plan>> {
    let there = tuned.moved(scene, here + shift)?;
    let mut line = encounter.line.clone();
    line.frequency = if line.is_slice() {
        place_of_slice(&there, &line)?
    } else {
        line.frequency + Offset::hz(tuned.enters(scene, &line) * shift.as_hz())
    };
    Some(Place {
        tuned,
        here,
        shift,
        scene: there,
        line,
    })
}

/// Whether two frequencies lie in one band of the rules; where they name no band for the first, anywhere will do.
fn is_within_the_band(law: &Law, here: Frequency, to: Frequency) -> bool {
    let mut bands = law
        .band_names()
        .into_iter()
        .flat_map(|name| law.band(name))
        .filter(|band| band.contains(here))
        .peekable();
    bands.peek().is_none() || bands.any(|band| band.contains(to))
}

#[cfg(test)]
mod tests {
    use super::*;

    use crate::encounter::meet;
    use crate::quantity::Bandwidth;
    use crate::scenario::Channel;
    use crate::scene::Trial;
    use crate::scene::sample::{CROWDED, plan};

    const STEP: i64 = 12_500;

    fn pair() -> Use {
        let legs = [145_225_000, 435_675_000].map(|hertz| Channel {
            frequency: Frequency::hz(hertz),
            tone: None,
        });
        Use::CrossBand { legs }
    }

    /// Looks at the carrier of the packet station at the relay's receiver on 145.2250 MHz, with the channel of the packet
    /// station at hand.
    fn with_one(look: impl Fn(&Scene<'_>, Encounter)) {
        let mut plan = plan(CROWDED);
        plan.settings.raster.value = Offset::hz(STEP);
        let what = pair();
        let scene = Scene::build(&plan, Some(Trial::of(0, &what)));
        let packet = (scene.transmitters.iter()).position(|one| one.name == "Packet");
        let met = meet(&scene, Legs::FIRST).into_iter().find(|one| {
            let receiver = scene.receivers.get(one.receiver).unwrap();
            receiver.frequency == Frequency::hz(145_225_000)
                && !one.line.is_slice()
                && one.line.terms == [(Source::Transmitter(packet.unwrap()), 1)]
        });
        look(&scene, met.unwrap());
    }

    const PACKET: Tuned = Tuned::Channel(Frequency::hz(144_800_000));

    /// In steps, how far a carrier goes up and down at least that a response hears; the carrier's distance, tolerance and width,
    /// the response's multiple, drift and shape.
    fn first_steps(
        (off, tolerance, width): (i64, i64, i64),
        (multiple, drift, shape): (i64, i64, Shape),
    ) -> [i64; 2] {
        let found = std::cell::Cell::new([0; 2]);
        with_one(|scene, mut one| {
            one.response.centre = Frequency::hz(144_800_000 - off);
            one.line.frequency = Frequency::hz(144_800_000);
            one.line.tolerance = Offset::hz(tolerance);
            one.line.width = Bandwidth::hz(width);
            one.response.multiple = multiple;
            one.response.drift = Offset::hz(drift);
            one.response.shape = shape;
            let all = shifts(scene, &one, PACKET, Frequency::hz(144_800_000));
            let steps: Vec<i64> = all.iter().map(|shift| shift.as_hz() / STEP).collect();
            // The least first, of two alike the one down, nine on either side without a gap.
            let mut sorted = steps.clone();
            sorted.sort_unstable_by_key(|step| (step.abs(), *step));
            assert_eq!(steps, sorted);
            let up: Vec<i64> = steps.iter().copied().filter(|step| *step > 0).collect();
            let down: Vec<i64> = steps.iter().copied().filter(|step| *step < 0).collect();
            for side in [&up, &down] {
                assert_eq!(side.len(), 9);
                assert!(side.windows(2).all(|pair| (pair[0] - pair[1]).abs() == 1));
            }
            found.set([up[0], down[0]]);
        });
        found.get()
    }

    /// Half of the line, its tolerance and half of the window, each as far as it reaches in the channel: where they only touch, one
    /// step more is taken.
    #[test]
    fn a_carrier_leaves_a_response_by_the_fewest_steps_that_part_their_edges() {
        let window = |hertz| Shape::Window(Bandwidth::hz(hertz));
        // 5000 + 7500 = 12 500 is one step of 12.5 kHz.
        assert_eq!(first_steps((0, 0, 10_000), (1, 0, window(15_000))), [2, -2]);
        assert_eq!(first_steps((0, 0, 10_000), (1, 0, window(14_980))), [1, -1]);
        // 1000 + 4000 + 7500.
        let narrow = (0, 1_000, 8_000);
        assert_eq!(first_steps(narrow, (1, 0, window(15_000))), [2, -2]);
        assert_eq!(first_steps(narrow, (1, 0, window(14_980))), [1, -1]);
        // 3000 + 2000 + 7500.
        assert_eq!(
            first_steps((0, 0, 6_000), (1, 2_000, window(15_000))),
            [2, -2]
        );
        assert_eq!(
            first_steps((0, 0, 6_000), (1, 2_000, window(14_980))),
            [1, -1]
        );
        // Twice in the channel: 2 × 1000 + 2 × 6000 + 500 + 10 500 = 25 000, and a step is worth two.
        let wide = (0, 1_000, 12_000);
        assert_eq!(first_steps(wide, (2, 500, window(21_000))), [2, -2]);
        assert_eq!(first_steps(wide, (2, 500, window(20_980))), [1, -1]);
        // 3 kHz above the middle already: 5000 + 10 490 = 15 490 is left by 3000 + 12 500 and by 25 000 − 3000.
        assert_eq!(
            first_steps((3_000, 0, 10_000), (1, 0, window(20_980))),
            [1, -2]
        );
        assert_eq!(
            first_steps((3_000, 0, 10_000), (1, 0, window(21_000))),
            [2, -2]
        );
        assert_eq!(
            first_steps((-3_000, 0, 10_000), (1, 0, window(20_980))),
            [2, -1]
        );
        // The same twice in the channel: 12 000 + 9500 = 21 500 is left by 6000 + 25 000 and by 50 000 − 6000.
        let twice = (2, 0, window(19_000));
        assert_eq!(first_steps((3_000, 0, 12_000), twice), [1, -2]);
        // What is merely strong is left behind from one distance on: 23 500 + 1000 + 500 is two steps.
        let ring = |to| Shape::Ring {
            from: Offset::hz(0),
            to: Offset::hz(to),
        };
        assert_eq!(
            first_steps((0, 1_000, 9_000), (1, 500, ring(23_500))),
            [3, -3]
        );
        assert_eq!(
            first_steps((0, 1_000, 9_000), (1, 500, ring(23_480))),
            [2, -2]
        );
    }

    #[test]
    fn what_no_move_in_the_band_leaves_is_not_moved() {
        with_one(|scene, mut one| {
            let here = Frequency::hz(144_800_000);
            one.response.shape = Shape::Ring {
                from: Offset::hz(0),
                to: Offset::hz(i64::MAX),
            };
            assert!(shifts(scene, &one, PACKET, here).is_empty());
            // The whole band from 144 to 146 MHz is 160 steps of 12.5 kHz wide.
            one.response.shape = Shape::Ring {
                from: Offset::hz(0),
                to: Offset::hz(1_250_000),
            };
            one.response.centre = one.line.frequency;
            assert!(shifts(scene, &one, PACKET, here).is_empty());
            // A leg that neither sends nor hears here moves nothing.
            one.response.shape = Shape::Window(Bandwidth::hz(16_000));
            assert!(shifts(scene, &one, Tuned::Leg(1), here).is_empty());
        });
    }

    #[test]
    fn from_what_is_broad_nine_steps_are_tried_either_way_the_nearest_first() {
        let plan = plan(CROWDED);
        let what = pair();
        let scene = Scene::build(&plan, Some(Trial::of(0, &what)));
        let step = plan.settings.raster.as_hz();
        let met = meet(&scene, Legs::FIRST);
        let mut slices = met.iter().filter(|one| one.line.is_slice());
        let is_packets = |one: &&Encounter| {
            let mut senders = one.line.transmitters();
            senders.all(|at| scene.transmitters.get(at).unwrap().name == "Packet")
        };
        let one = slices.find(is_packets).unwrap();
        let found = shifts(&scene, one, PACKET, Frequency::hz(144_800_000));
        let found: Vec<i64> = found.iter().map(|shift| shift.as_hz() / step).collect();
        let expected: Vec<i64> = (1..=9).flat_map(|one| [-one, one]).collect();
        assert_eq!(found, expected);
    }

    #[test]
    fn a_move_stays_within_the_band_that_it_begins_in() {
        let plan = plan(CROWDED);
        let within = |here: i64, to: i64| {
            is_within_the_band(&plan.law, Frequency::hz(here), Frequency::hz(to))
        };
        assert!(within(144_800_000, 145_987_500) && within(145_900_000, 144_012_500));
        assert!(!within(145_987_500, 146_012_500) && !within(144_012_500, 143_987_500));
        assert!(!within(144_800_000, 433_000_000) && within(433_000_000, 434_000_000));
        // Where the rules name no band, anywhere will do.
        assert!(within(118_000_000, 119_000_000) && within(118_000_000, 145_000_000));
    }

    /// By plain enumeration, each place asked for itself.
    #[test]
    fn a_move_goes_to_the_first_place_that_mends_and_what_is_broad_only_as_far_as_it_must() {
        let plan = plan(&format!(
            "{CROWDED}  - {{name: Near, frequency: 145.4525, erp: 25 W, at: [54.4160, -0.5320]}}\n"
        ));
        let what = pair();
        let scene = Scene::build(&plan, Some(Trial::of(0, &what)));
        let (mut slices, mut carriers) = (0, 0);
        for focus in Legs::ALL {
            for encounter in meet(&scene, focus) {
                let reserve = scene.plan.settings.reserve.value;
                if encounter.margin() >= reserve {
                    continue;
                }
                let told = nearest(&scene, &encounter);
                let now = proof::short(&scene, &encounter, &encounter.line);
                let is_slice = encounter.line.is_slice();
                let mut expected = Vec::new();
                for (tuned, here) in tuned(&scene, &encounter) {
                    let (liked, others) = liked_first(&scene, &encounter, tuned, here);
                    let mends = |shift: &&Offset| {
                        let there = place(&scene, &encounter, (tuned, here), **shift);
                        there.is_some_and(|at| proof::short(&at.scene, &encounter, &at.line) < now)
                    };
                    let first = |shifts: &[Offset]| shifts.iter().find(mends).copied();
                    if let Some(shift) = first(&liked).or_else(|| first(&others)) {
                        expected.push((here + shift).to_string());
                    }
                }
                let places: Vec<String> = told
                    .iter()
                    .map(|one| match one.change {
                        Some(Change::Move { to, .. } | Change::Retune { to, .. }) => to.to_string(),
                        _ => panic!("{}", one.text),
                    })
                    .collect();
                assert_eq!(places, expected, "{}", encounter.id());
                let asunder = encounter.response.is_landing() && !is_slice;
                for one in &told {
                    let then = if asunder {
                        "the two no longer meet"
                    } else {
                        "far enough asunder"
                    };
                    assert!(one.text.contains(then), "{}", one.text);
                }
                *(if is_slice { &mut slices } else { &mut carriers }) += told.len();
            }
        }
        assert!(slices > 0 && carriers > 5, "{slices} {carriers}");
    }

    /// By plain enumeration too: of all liked places where that response no longer hears, the one with the best of what is left.
    #[test]
    fn where_nothing_clears_it_the_place_is_named_that_gains_most_and_an_s_unit_at_least() {
        let plan = plan(CROWDED);
        let what = pair();
        let scene = Scene::build(&plan, Some(Trial::of(0, &what)));
        let (mut told, mut silent) = (0, 0);
        for focus in Legs::ALL {
            for encounter in meet(&scene, focus) {
                if encounter.margin() >= scene.plan.settings.reserve.value {
                    continue;
                }
                let mut best: Option<(Decibels, i64, String)> = None;
                let is_plain = encounter.line.emission().unwrap().is_plain;
                for (tuned, here) in tuned(&scene, &encounter) {
                    for shift in liked_first(&scene, &encounter, tuned, here).0 {
                        let Some(at) = place(&scene, &encounter, (tuned, here), shift) else {
                            continue;
                        };
                        let met = proof::met(&at.scene, &encounter, &at.line);
                        if met.iter().any(|(kind, _)| *kind == encounter.response.kind) {
                            continue;
                        }
                        let Some(worst) = met.iter().map(|(_, margin)| *margin).min() else {
                            continue;
                        };
                        let gain = (worst - encounter.margin()).as_db();
                        let far = shift.as_hz().abs();
                        let is_better = best.as_ref().is_none_or(|(known, near, _)| {
                            worst > *known || (worst == *known && far < *near)
                        });
                        if is_plain && gain >= 6.0 && is_better {
                            best = Some((worst, far, (here + shift).to_string()));
                        }
                    }
                }
                match (better(&scene, &encounter), best) {
                    (None, None) => silent += 1,
                    (Some(remedy), Some((worst, far, _))) => {
                        told += 1;
                        let Some(Change::Move { to, .. } | Change::Retune { to, .. }) =
                            remedy.change
                        else {
                            panic!("{}", remedy.text);
                        };
                        let text = &remedy.text;
                        let is_as_far = tuned(&scene, &encounter)
                            .iter()
                            .any(|(_, here)| (to - *here).abs().as_hz() == far);
                        assert!(is_as_far, "{text}");
                        let then = if worst < Decibels::ZERO {
                            let now = -encounter.margin();
                            format!("{} too strong there instead of {now}", -worst)
                        } else {
                            format!("{worst} to spare there")
                        };
                        assert!(text.ends_with(&then), "{text}: {then}");
                    }
                    (told, best) => panic!("{}: {told:?} {best:?}", encounter.id()),
                }
            }
        }
        assert!(told > 0 && silent > 0, "{told} {silent}");
    }
}
