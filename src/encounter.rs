//! Where a line meets a response: overlap, level and margin.
//!
//! An encounter depends only on its sources and its victim, on nothing else in the scene: the search rests on that.

use std::cmp::Ordering;

use crate::budget::{Budget, Ledger, Total, starting_at};
use crate::emissions::{Birth, Line};
use crate::physics::noise::{external_noise, interference_for_rise, noise_floor};
use crate::physics::spread;
use crate::quantity::{Decibels, Frequency, Level, Offset};
use crate::responses::{Response, Shape};
use crate::scenario::Legs;
use crate::scene::{Reach, Receiver, Scene};

mod ear;
mod meet;

use ear::Ear;
pub use meet::{Gathering, Standing, meet};

/// A line heard by a receiver.
#[derive(Debug, Clone)]
pub struct Encounter {
    /// The receiver, by index into the scene.
    pub receiver: usize,
    /// The line.
    pub line: Line,
    /// How it is heard.
    pub response: Response,
    /// What it amounts to on the channel.
    pub level: Level,
    /// What would hurt.
    pub threshold: Level,
    /// The legs under trial that sources and victim rest on.
    pub legs: Legs,
}

impl Encounter {
    /// How far the level is below what would hurt; negative hurts.
    pub fn margin(&self) -> Decibels {
        self.threshold - self.level
    }

    /// Whether one of our own has a part in it: what happens between others only is theirs to know.
    pub fn concerns_us(&self, scene: &Scene<'_>) -> bool {
        let receiver = scene.receivers.get(self.receiver);
        self.line.is_ours || receiver.is_some_and(|receiver| receiver.owner.is_ours())
    }

    /// What had to be supposed for its two halves to exist at all.
    pub fn supposed(&self) -> impl Iterator<Item = &String> {
        self.line.supposed.iter().chain(&self.response.supposed)
    }

    /// The id it goes by: the line's kind, unless that is a plain carrier, then the response's.
    pub fn id(&self) -> &'static str {
        let line = self
            .line
            .emission()
            .filter(|emission| !emission.is_plain)
            .map(|emission| emission.topic.id);
        line.or_else(|| self.response.kind().map(|kind| kind.topic.id))
            .unwrap_or("encounter")
    }

    /// An order that tells any two apart: by who hears, on what, and what.
    fn in_order(&self, other: &Self) -> Ordering {
        let key = |one: &'_ Self| {
            (
                (one.receiver, one.response.kind, one.response.centre),
                (one.line.kind, one.line.frequency, one.line.birth),
            )
        };
        key(self)
            .cmp(&key(other))
            .then_with(|| self.line.terms.cmp(&other.line.terms))
            .then_with(|| self.response.multiple.cmp(&other.response.multiple))
            .then_with(|| self.supposed().cmp(other.supposed()))
            .then_with(|| self.level.cmp(&other.level))
    }

    /// The margin that it comes to in another scene of the same stations, all of it reckoned again.
    pub fn margin_in(&self, scene: &Scene<'_>) -> Decibels {
        let line = reborn(scene, &self.line);
        let receiver = scene.receivers.get(self.receiver);
        receiver.map_or(self.margin(), |receiver| {
            margin(scene, receiver, &line, &self.response)
        })
    }

    /// How level and threshold come about, step by step.
    pub fn tell(&self, scene: &Scene<'_>) -> (Budget, Budget) {
        let (mut level, mut limit) = (Budget::default(), Budget::default());
        let Some(receiver) = scene.receivers.get(self.receiver) else {
            return (level, limit);
        };
        if let Some(emission) = self.line.emission() {
            (emission.tell)(scene, &self.line, &mut level);
        }
        carry(scene, receiver, &self.line, &self.response, &mut level);
        threshold(scene, receiver, &self.response, &mut limit);
        (level, limit)
    }
}

/// A line with the level that it is born with in a scene.
pub fn reborn(scene: &Scene<'_>, line: &Line) -> Line {
    let mut line = line.clone();
    if let Some(emission) = line.emission() {
        let mut birth = Budget::of_figures();
        (emission.tell)(scene, &line, &mut birth);
        line.level = birth.level();
    }
    line
}

/// Whether a line has any part in a response of a receiver.
pub fn is_met(receiver: &Receiver, line: &Line, response: &Response) -> bool {
    share(receiver, line, response).is_some()
}

/// How far what a line amounts to on a response of a receiver is below what would hurt.
pub fn margin(
    scene: &Scene<'_>,
    receiver: &Receiver,
    line: &Line,
    response: &Response,
) -> Decibels {
    let (mut level, mut limit) = (Total::default(), Total::default());
    level.enter(starting_at(line.level), Default::default);
    carry(scene, receiver, line, response, &mut level);
    threshold(scene, receiver, response, &mut limit);
    limit.level() - level.level()
}

/// Where a line leaves from; none for what is born where it is heard.
fn departure(scene: &Scene<'_>, line: &Line) -> Option<Reach> {
    match line.birth {
        Birth::Transmitter(index) => scene.reach_of_transmitter(index),
        Birth::Oscillator(index) => scene.reach_of_receiver(index),
        Birth::InsideReceiver(_) => None,
    }
}

/// Enters the way of a line from its birth to what it amounts to on the channel.
fn carry(
    scene: &Scene<'_>,
    receiver: &Receiver,
    line: &Line,
    response: &Response,
    ledger: &mut impl Ledger,
) {
    let from = departure(scene, line);
    if let Some(from) = from {
        scene.travel(from, receiver, line.frequency, ledger);
    }
    let arriving = || match from {
        Some(from) => line.level - scene.loss(from, receiver, line.frequency),
        None => line.level,
    };
    response.enter(receiver, line.frequency, arriving, ledger);
    let share = share(receiver, line, response).unwrap_or(0.0);
    if share < 1.0 {
        ledger.enter(Decibels::of_power(share), || {
            (
                "share of the line inside the channel".to_owned(),
                format!(
                    "{} wide against {}; evenly spread over its width",
                    line.width, receiver.figures.bandwidth.value
                ),
            )
        });
    }
}

/// The share of a line's power that a response takes in; none when they do not meet.
///
/// The line is taken as evenly spread over its width, and as far towards the response as the tolerances allow.
fn share(receiver: &Receiver, line: &Line, response: &Response) -> Option<f64> {
    let off = (line.frequency - response.centre).abs().as_hz();
    let own = response.drift.as_hz();
    match response.shape {
        Shape::Ring { from, to } => (off >= from.as_hz() && off < to.as_hz()).then_some(1.0),
        Shape::Window(bandwidth) => {
            let off = (response.multiple * (off - line.tolerance.as_hz()) - own).max(0) as f64;
            let width = (response.multiple * line.width.as_hz()).max(1) as f64;
            let half = bandwidth.as_hz() as f64 / 2.0;
            let inside = (off + width / 2.0).min(half) - (off - width / 2.0).max(-half);
            // Tuned anywhere in a wide stretch, it still takes in one channel at a time.
            let channel = receiver.figures.bandwidth.as_hz() as f64;
            (inside > 0.0).then(|| (inside.min(channel) / width).min(1.0))
        }
    }
}

/// Enters the level on the channel that would hurt a receiver.
///
/// The noise floor and what raises it by the stated amount; or, where the level of the wanted signal is known, what is
/// too close to that. A safety service is protected further from what lands on it.
///
/// # Source
/// ITU-R P.372 for external noise; I/N from the rise by arithmetic; the co-channel protection from the profile.
pub fn threshold(
    scene: &Scene<'_>,
    receiver: &Receiver,
    response: &Response,
    ledger: &mut impl Ledger,
) {
    let figures = &receiver.figures;
    let rise = scene.plan.settings.rise.value;
    if let Some(wanted) = &receiver.wanted {
        ledger.enter(starting_at(wanted.value), || {
            (
                format!("signal that {} wants", receiver.name),
                wanted.origin.to_string(),
            )
        });
        ledger.vary(spread::equipment(wanted));
        ledger.enter(-figures.protection.value, || {
            (
                "co-channel protection".to_owned(),
                figures.protection.origin.to_string(),
            )
        });
        ledger.vary(spread::equipment(&figures.protection));
    } else {
        noise(receiver, ledger);
        ledger.enter(interference_for_rise(rise), || {
            (
                format!("a rise of the floor by {rise}"),
                "powers add".to_owned(),
            )
        });
    }
    if let Some(safety) = receiver.safety.as_ref().filter(|_| response.is_landing()) {
        ledger.enter(-safety.value, || {
            (
                "protection of a safety service".to_owned(),
                safety.origin.to_string(),
            )
        });
        ledger.assume(|| {
            format!(
                "{} of further protection for a safety service, which the chance of harm leaves out ({})",
                safety.value,
                safety.origin.brief()
            )
        });
    }
}

/// Enters the noise floor of a receiver where it stands.
///
/// # Source
/// ITU-R P.372 for external noise.
pub fn noise(receiver: &Receiver, ledger: &mut impl Ledger) {
    let figures = &receiver.figures;
    let external = external_noise(receiver.noise.value, receiver.frequency);
    // What comes in by the antenna is weaker by the feeder; what the feeder adds of its own is thermal.
    let behind = 1.0 + (external.above_thermal.as_power() - 1.0) / receiver.feeder.as_power();
    let floor = noise_floor(
        figures.bandwidth.value,
        Decibels::of_power(behind),
        figures.noise_figure.value,
    );
    ledger.enter(starting_at(floor), || {
        (
            format!(
                "noise floor of {} in {}",
                receiver.name, figures.bandwidth.value
            ),
            format!(
                "ITU-R P.372{}, external {} over thermal before {} of feeder, noise figure {}",
                if external.extrapolated {
                    " (beyond its range)"
                } else {
                    ""
                },
                external.above_thermal,
                receiver.feeder,
                figures.noise_figure.value
            ),
        )
    });
    ledger.vary(spread::NOISE);
    if !receiver.noise.is_stated() {
        ledger.assume(|| {
            format!(
                "{} man-made noise at {} ({})",
                receiver.noise.value,
                receiver.name,
                receiver.noise.origin.brief()
            )
        });
    }
}

/// Where a line lies against the place it is heard.
pub fn offset(line: Frequency, response: &Response) -> Offset {
    line - response.centre
}

#[cfg(test)]
mod found_fast;

#[cfg(test)]
mod meetings;

#[cfg(test)]
mod tests {
    use super::meet::meet_plainly;
    use super::*;
    use crate::emissions::{Concern, Wanted, Within};
    use crate::provenance::{Origin, Sourced};
    use crate::quantity::Span;
    use crate::scenario::{Channel, FilterLoss, Plan, Use};
    use crate::scene::Trial;
    use crate::scene::sample::{CROWDED, plan};
    use proptest::prelude::*;
    use std::collections::{BTreeMap, BTreeSet};
    use std::sync::Arc;

    /// With everybody 5 dB weaker and a filter at every antenna, reckoned again and met anew.
    #[test]
    fn what_an_encounter_comes_to_in_another_scene_is_what_is_met_there() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let mut there = scene.clone();
        there.transmitters = scene.transmitters.changed_where(
            |_| true,
            |one| one.power.value = one.power.value - Decibels::db(5.0),
        );
        let all: Vec<usize> = (0..scene.masts.len()).collect();
        there.masts = scene.masts.changed_at(&all, |mast| {
            mast.filters.push(FilterLoss {
                name: "a test".to_owned(),
                span: Span::between(Frequency::hz(144_000_000), Frequency::hz(145_000_000)),
                loss: Sourced::new(Decibels::db(3.0), Origin::Said(Arc::from("a test"))),
            });
        });
        let anew = meet(&there, Legs::NONE);
        let (mut compared, mut others) = (0, BTreeSet::new());
        for one in meet(&scene, Legs::NONE) {
            let same = |other: &&Encounter| {
                (other.receiver, &other.line.terms) == (one.receiver, &one.line.terms)
                    && format!("{:?}", other.response) == format!("{:?}", one.response)
                    && other.line.kind == one.line.kind
                    && other.line.frequency == one.line.frequency
                    && other.supposed().eq(one.supposed())
            };
            assert!((one.margin_in(&scene) - one.margin()).as_db().abs() < 1e-9);
            if let Some(other) = anew.iter().find(same) {
                let off = one.margin_in(&there) - other.margin();
                assert!(off.as_db().abs() < 1e-9, "{} {off}", one.id());
                let gained = (other.margin() - one.margin()).as_db();
                compared += usize::from(gained.abs() > 1.0);
                others.insert(one.id());
            }
        }
        assert!(compared > 5 && others.len() > 2, "{compared} {others:?}");
    }

    #[test]
    fn what_was_met_has_a_part_in_its_response_and_far_from_it_none() {
        let scene_of = plan(CROWDED);
        let scene = Scene::build(&scene_of, None);
        let mut landings = 0;
        for mut one in meet(&scene, Legs::NONE) {
            let receiver = scene.receivers.get(one.receiver).unwrap();
            assert!(is_met(receiver, &one.line, &one.response), "{}", one.id());
            if matches!(one.response.shape, Shape::Window(_)) {
                one.line.frequency += Offset::hz(50_000_000);
                assert!(!is_met(receiver, &one.line, &one.response), "{}", one.id());
                landings += 1;
            }
        }
        assert!(landings > 3, "{landings}");
    }

    fn everything(plan: &Plan) -> Vec<Encounter> {
        meet(&Scene::build(plan, None), Legs::NONE)
    }

    #[test]
    fn every_budget_adds_up_to_its_level_and_its_threshold() {
        // And somebody half the relay's second IF above its channel.
        let mut plan = plan(&format!(
            "{CROWDED}  - {{name: Near, frequency: 145.4525, erp: 25 W, at: [54.4160, -0.5320]}}\n"
        ));
        // Everything that is made is told, however faint.
        plan.settings.horizon.value = Decibels::db(120.0);
        plan.settings.passive = Some(said(80.0));
        let scene = Scene::build(&plan, None);
        let mut kinds = BTreeSet::new();
        for encounter in meet(&scene, Legs::NONE) {
            let (level, limit) = encounter.tell(&scene);
            kinds.insert(encounter.id());
            let apart = (level.level() - encounter.level).as_db().abs();
            assert!(apart < 0.1, "{} is off by {apart}", encounter.id());
            assert!((limit.level() - encounter.threshold).as_db().abs() < 0.1);
            assert!(level.spread() > Decibels::ZERO && limit.spread() > Decibels::ZERO);
        }
        for kind in [
            "harmonic",
            "transmitter-noise",
            "transmitter-intermodulation",
            "passive-intermodulation",
            "receiver-intermodulation",
            "oscillator-leakage",
            "blocking",
            "mixer-spur",
            "second-mixer-spur",
        ] {
            assert!(kinds.contains(kind), "{kind} is not in the sample");
        }
    }

    #[test]
    fn a_neighbour_is_heard_where_nobody_knows_its_set_to_send() {
        // An amateur set on 165 MHz, where no figures of it as a transmitter are known: on the air all the same.
        let text = CROWDED.replace(
            "in_use:\n",
            "in_use:\n  - {name: Odd, radio: dual-band-mobile, frequency: 165.0000, erp: 1000 W, at: [54.4240, -0.5320]}\n",
        );
        let plan = plan(&text);
        let scene = Scene::build(&plan, None);
        let odd = scene.transmitters.iter().position(|one| one.name == "Odd");
        let met = meet(&scene, Legs::NONE);
        assert!(
            met.iter()
                .any(|one| one.line.transmitters().any(|source| Some(source) == odd))
        );
    }

    #[test]
    fn nothing_is_missed_that_plain_enumeration_meets() {
        let mut plan = plan(&format!(
            "{CROWDED}  - {{name: Near, frequency: 145.4525, erp: 25 W, at: [54.4160, -0.5320]}}\n"
        ));
        plan.settings.passive = Some(said(80.0));
        for station in 0..plan.stations.len() {
            for channels in [
                [145_350, 433_550],
                [145_650, 434_800],
                [144_800, 435_675],
                // Only the edge of a standing carrier reaches into these.
                [145_659, 433_459],
                // Two thirds of the second IF of most from the packet station.
                [145_103, 433_450],
            ] {
                let legs = channels.map(|khz: i64| Channel {
                    frequency: Frequency::hz(khz * 1000),
                    tone: None,
                });
                let what = Use::CrossBand { legs };
                let trial = Trial::of(station, &what);
                let scene = Scene::build(&plan, Some(trial));
                // As for a search: for many, sums are kept.
                let standing = Standing::of(&vec![scene.clone(); 16]);
                for focus in Legs::ALL {
                    let mut plain = meet_plainly(&scene, Wanted::of(&scene, focus));
                    plain.retain(|one| one.concerns_us(&scene));
                    let horizon = plan.settings.horizon.value;
                    for within in [
                        Within::all(horizon),
                        Within {
                            plain: Decibels::db(6.0),
                            safety: horizon,
                            somewhere: Decibels::ZERO,
                            nearby: Decibels::db(-1_000.0),
                        },
                        Within::all(Decibels::ZERO),
                        Within::all(Decibels::db(-25.0)),
                    ] {
                        let is_within = |one: &&Encounter| {
                            let receiver = scene.receivers.get(one.receiver).unwrap();
                            let is_broad = one.line.is_slice() || !one.response.is_landing();
                            let kind = if is_broad && scene.unplaced(receiver).is_some() {
                                Concern::Nearby
                            } else if receiver.anywhere_in.is_some() {
                                Concern::Somewhere
                            } else if receiver.safety.is_some() {
                                Concern::Safety
                            } else {
                                Concern::Plain
                            };
                            one.margin() <= within.of(kind)
                        };
                        let fast = standing.gather(&scene).meet(Wanted { focus, within });
                        let plain = plain.iter().filter(is_within);
                        let plain: Vec<&Encounter> = plain.collect();
                        let by_itself = meet(&scene, focus);
                        let by_itself = by_itself.iter().filter(is_within);
                        assert_eq!(
                            format!("{plain:?}"),
                            format!("{:?}", by_itself.collect::<Vec<_>>())
                        );
                        assert_eq!(format!("{fast:?}"), format!("{plain:?}"));
                    }
                }
            }
        }
    }

    #[test]
    fn what_others_do_to_each_other_is_met_where_it_is_asked_for() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let mut plain = meet_plainly(&scene, Wanted::of(&scene, Legs::NONE));
        plain.retain(|one| !one.concerns_us(&scene));
        let mut met: Vec<usize> = plain.iter().map(|one| one.receiver).collect();
        met.dedup();
        // All of them, and every other one.
        for chosen in [met.clone(), met.iter().copied().step_by(2).collect()] {
            let standing = Standing::of(std::slice::from_ref(&scene));
            let found = standing.gather(&scene).meet_beside(&chosen);
            let plain = plain.iter().filter(|one| chosen.contains(&one.receiver));
            let plain: Vec<&Encounter> = plain.collect();
            let kinds: BTreeSet<&str> = plain.iter().map(|one| one.id()).collect();
            assert!(kinds.len() > 3, "{kinds:?}");
            assert_eq!(format!("{found:?}"), format!("{plain:?}"));
        }
    }

    fn said(value: f64) -> Sourced<Decibels> {
        Sourced::new(Decibels::db(value), Origin::Said(Arc::from("a test")))
    }

    /// Levels by who hears what made of what, and where.
    fn levels(plan: &Plan) -> BTreeMap<String, Level> {
        let found = everything(plan).into_iter();
        found
            .map(|one| {
                let mut terms = one.line.terms.clone();
                terms.sort_unstable();
                let key = format!(
                    "{} {:?} {:?} {:?} {} {}",
                    one.receiver,
                    one.line.kind,
                    one.line.birth,
                    terms,
                    one.response.kind,
                    one.response.centre
                );
                (key, one.level)
            })
            .collect()
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(48))]
        #[test]
        fn less_power_or_more_filter_never_raises_a_level(
            station in 0usize..4,
            less in 0.1f64..30.0,
            low in 100_000_000i64..500_000_000,
            wide in 1_000_000i64..400_000_000,
            by_power in any::<bool>(),
        ) {
            let before = plan(CROWDED);
            let mut after = before.clone();
            let one = &mut after.stations[station];
            if by_power {
                let power = crate::quantity::Power::of_level(Level::dbm(43.0 - less));
                one.power = Some(Sourced::new(power, Origin::Said(Arc::from("a test"))));
            } else {
                one.filters.push(FilterLoss {
                    name: "trap".to_owned(),
                    span: Span::between(Frequency::hz(low), Frequency::hz(low + wide)),
                    loss: said(less),
                });
            }
            let mut reference = before.clone();
            let power = crate::quantity::Power::of_level(Level::dbm(43.0));
            if by_power {
                reference.stations[station].power =
                    Some(Sourced::new(power, Origin::Said(Arc::from("a test"))));
            }
            let old = levels(&reference);
            for (key, level) in levels(&after) {
                let was = old.get(&key);
                prop_assert!(was.is_some_and(|&was| level <= was + Decibels::db(1e-9)), "{key}: {was:?} to {level:?}");
            }
        }
    }
}
