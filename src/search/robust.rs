//! How well a verdict stands: the share of seeded trials, in which every level is a little off, that stay safe.
//!
//! Each level is off by a normal figure of its own spread. What one receiver hears of one set of sources is off alike;
//! everything else is off by itself. A receiver whose first mixer nobody knows gets one of the common ways in each
//! trial. What lies beyond the horizon of the plan takes no part.

use std::collections::BTreeMap;
use std::f64::consts::TAU;

use rand_pcg::Pcg32;
use rand_pcg::rand_core::{Rng, SeedableRng};
use rayon::prelude::*;

use super::rank::Row;
use super::trial::in_place;
use crate::assess::{findings_as_a_whole, findings_in};
use crate::checks::{Situation, would_conflict};
use crate::emissions::Source;
use crate::encounter::{Encounter, Standing, meet};
use crate::finding::{Matter, Severity};
use crate::physics::statistics::combined_spread;
use crate::quantity::{Decibels, Frequency};
use crate::radio::Injection;
use crate::scenario::{Legs, Plan, Proposal, Search};
use crate::scene::{Ground, Scene};

/// How many trials, and from which seed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Trials {
    /// How many.
    pub count: u32,
    /// Where the drawing begins; the same seed gives the same answer.
    pub seed: u64,
}

/// How many of some trials stayed safe.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Share {
    /// How many stayed safe.
    pub safe: u32,
    /// Of how many.
    pub trials: u32,
}

/// Two-sided 95 per cent of the normal distribution.
const SURE: f64 = 1.96;

impl Share {
    /// The share that stayed safe.
    pub fn fraction(self) -> f64 {
        f64::from(self.safe) / f64::from(self.trials.max(1))
    }

    /// Where the true share lies, nineteen times in twenty.
    ///
    /// # Source
    /// Wilson's score interval, Journal of the American Statistical Association 22 (1927), page 209 (from memory).
    ///
    /// # Example
    /// 9 of 10: 0.596 to 0.982.
    pub fn interval(self) -> (f64, f64) {
        let (share, n) = (self.fraction(), f64::from(self.trials.max(1)));
        let square = SURE * SURE / n;
        let middle = (share + square / 2.0) / (1.0 + square);
        let spread = (share * (1.0 - share) / n + square / (4.0 * n)).sqrt();
        let half = SURE / (1.0 + square) * spread;
        ((middle - half).max(0.0), (middle + half).min(1.0))
    }
}

/// How each of some rows stands the trials.
pub(super) fn shares(plan: &Plan, search: &Search, rows: &[Row], trials: Trials) -> Vec<Share> {
    let ground = Ground::of(plan);
    rows.par_iter()
        .map(|row| share(plan, &ground, search, &row.legs, trials))
        .collect()
}

fn share(
    plan: &Plan,
    ground: &Ground,
    search: &Search,
    legs: &[Frequency],
    trials: Trials,
) -> Share {
    let safe = in_place(plan, ground, search, legs, |scene, proposal, focus| {
        if is_refused_for_good(scene, proposal, focus) {
            return 0;
        }
        let dangers = dangers(scene, focus);
        let tunings = tunings(scene);
        let mut chance = Pcg32::seed_from_u64(trials.seed);
        let mut safe = 0;
        for _ in 0..trials.count {
            safe += u32::from(is_safe(&dangers, &tunings, &mut chance));
        }
        safe
    });
    Share {
        safe: safe.unwrap_or(0),
        trials: trials.count,
    }
}

/// Whether it conflicts with something that is no matter of levels.
fn is_refused_for_good(scene: &Scene<'_>, proposal: &Proposal, focus: &[Legs]) -> bool {
    let all = focus.last().copied().unwrap_or(Legs::NONE);
    let standing = Standing::of(std::slice::from_ref(scene));
    let gathering = standing.gather(scene);
    let among = |&focus: &Legs| Situation::among(&gathering, Some(proposal), focus).in_brief();
    let parts: Vec<Situation<'_>> = focus.iter().map(among).collect();
    let whole = Situation::beside(&parts, &gathering, (Some(proposal), all)).in_brief();
    let found = parts.iter().flat_map(findings_in);
    found
        .chain(findings_as_a_whole(&whole))
        .any(|one| one.severity == Severity::Conflict && one.matter != Matter::Interference)
}

/// What one receiver hears of one set of sources.
type Way = (usize, Vec<Source>);

/// An encounter that could become a conflict.
struct Danger {
    way: Way,
    spread: f64,
    /// A conflict from so many decibels above what was reckoned.
    beyond: f64,
    /// What has to be true of receivers for it to exist at all.
    supposed: Vec<String>,
}

/// So many standard deviations decide: one draw in some hundred thousand lies further out.
const FURTHEST: f64 = 4.5;

fn dangers(scene: &Scene<'_>, focus: &[Legs]) -> Vec<Danger> {
    let met = focus.iter().flat_map(|&focus| meet(scene, focus));
    met.filter_map(|encounter| danger(scene, encounter))
        .collect()
}

fn danger(scene: &Scene<'_>, mut encounter: Encounter) -> Option<Danger> {
    let supposed: Vec<String> = encounter
        .supposed()
        .map(|text| bare(text).to_owned())
        .collect();
    encounter.line.supposed = None;
    encounter.response.supposed = None;
    let (level, limit) = encounter.tell(scene);
    let spread = combined_spread([level.spread(), limit.spread()]).as_db();
    let reckoned = encounter.level;
    let mut conflicts_at = |off: f64| {
        encounter.level = reckoned + Decibels::db(off);
        would_conflict(scene, &encounter)
    };
    // What is stronger never hurts less, so the edge is found by halving.
    let (mut low, mut high) = (-FURTHEST * spread, FURTHEST * spread);
    if !conflicts_at(high) {
        return None;
    }
    while high - low > 0.01 {
        let middle = f64::midpoint(low, high);
        if conflicts_at(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
    let sources = encounter.line.terms.iter().map(|&(source, _)| source);
    Some(Danger {
        way: (encounter.receiver, sources.collect()),
        spread,
        beyond: high,
        supposed,
    })
}

/// A supposition without what would settle it.
fn bare(text: &str) -> &str {
    text.split_once(';').map_or(text, |(bare, _)| bare)
}

/// The ways each mixer of each receiver may be tuned whose profile does not say.
fn tunings(scene: &Scene<'_>) -> Vec<Vec<String>> {
    let mut found: BTreeMap<(&str, usize), Vec<String>> = BTreeMap::new();
    for receiver in scene.receivers.iter() {
        let first = receiver.tunings().into_iter();
        let first: Vec<Option<String>> = first.map(|tuning| tuning.supposed).collect();
        let second = receiver.figures.second_if.iter().flat_map(|_| {
            [Injection::Low, Injection::High]
                .map(|side| receiver.second_supposed(Injection::Low, side))
        });
        for (mixer, ways) in [first, second.collect()].into_iter().enumerate() {
            let ways = ways.into_iter().flatten();
            let ways: Vec<String> = ways.map(|way| bare(&way).to_owned()).collect();
            if !ways.is_empty() {
                found.insert((&receiver.name, mixer), ways);
            }
        }
    }
    found.into_values().collect()
}

/// One trial.
fn is_safe(dangers: &[Danger], tunings: &[Vec<String>], chance: &mut Pcg32) -> bool {
    let tuned: Vec<&String> = tunings
        .iter()
        .filter_map(|ways| ways.get(one_of(ways.len(), chance)))
        .collect();
    let mut off: BTreeMap<&Way, f64> = BTreeMap::new();
    let mut is_safe = true;
    for danger in dangers {
        // Drawn also where nothing can come of it, so that one danger more does not shift the others.
        let off = *off
            .entry(&danger.way)
            .or_insert_with(|| standard_normal(chance));
        let is_there = danger
            .supposed
            .iter()
            .all(|text| tuned.iter().any(|way| way.starts_with(text.as_str())));
        is_safe &= !(is_there && off * danger.spread >= danger.beyond);
    }
    is_safe
}

/// A number between 0 and 1, neither included.
fn uniform(chance: &mut Pcg32) -> f64 {
    (f64::from(chance.next_u32()) + 0.5) / (f64::from(u32::MAX) + 1.0)
}

/// An index below `count`.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a count of tunings times a fraction of one"
)]
fn one_of(count: usize, chance: &mut Pcg32) -> usize {
    (uniform(chance) * count as f64) as usize
}

/// A normal figure around 0 with a spread of 1.
///
/// # Source
/// Box and Muller, Annals of Mathematical Statistics 29 (1958), page 610 (from memory).
fn standard_normal(chance: &mut Pcg32) -> f64 {
    let radius = (-2.0 * libm::log(uniform(chance))).sqrt();
    radius * libm::cos(TAU * uniform(chance))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The score interval by its formula, worked by hand: 9 of 10 (computed).
    #[test]
    fn the_interval_of_nine_in_ten_is_the_one_of_the_formula() {
        let (low, high) = Share {
            safe: 9,
            trials: 10,
        }
        .interval();
        assert!(
            (low - 0.5958).abs() < 1e-3 && (high - 0.9821).abs() < 1e-3,
            "{low} {high}"
        );
        assert!(
            Share {
                safe: 10,
                trials: 10
            }
            .interval()
            .0 < 0.8
        );
    }

    fn danger(spread: f64, beyond: f64) -> Danger {
        Danger {
            way: (0, Vec::new()),
            spread,
            beyond,
            supposed: Vec::new(),
        }
    }

    fn safe_in(dangers: &[Danger], tunings: &[Vec<String>]) -> f64 {
        let mut chance = Pcg32::seed_from_u64(1);
        let safe = (0..20_000)
            .filter(|_| is_safe(dangers, tunings, &mut chance))
            .count();
        safe as f64 / 20_000.0
    }

    /// Abramowitz and Stegun, table 26.1 (from memory): P(1) = 0.8413.
    #[test]
    fn one_danger_at_one_spread_stays_safe_in_five_of_six_trials() {
        let share = safe_in(&[danger(6.0, 6.0)], &[]);
        assert!((share - 0.8413).abs() < 0.01, "{share}");
        // The same way twice is off alike, so the nearer one decides.
        assert!((safe_in(&[danger(6.0, 6.0), danger(6.0, 9.0)], &[]) - share).abs() < 1e-12);
    }

    #[test]
    fn what_rests_on_one_of_four_tunings_hurts_in_one_trial_of_four() {
        let ways: Vec<String> = (0..4).map(|way| format!("if A is {way}")).collect();
        let certain = Danger {
            supposed: vec!["if A is 2".to_owned()],
            ..danger(1.0, -9.0)
        };
        let share = safe_in(&[certain], &[ways]);
        assert!((share - 0.75).abs() < 0.015, "{share}");
    }

    #[test]
    fn a_number_between_nought_and_one_is_the_middle_of_the_part_that_was_drawn() {
        let mut chance = Pcg32::seed_from_u64(7);
        let mut twin = chance.clone();
        for _ in 0..100 {
            let drawn = f64::from(twin.next_u32());
            let number = uniform(&mut chance);
            // Of 2³² equal parts.
            let parts = 4_294_967_296.0;
            assert!((number * parts - drawn - 0.5).abs() < 1e-6, "{number}");
        }
    }

    #[test]
    fn a_supposition_is_compared_without_what_would_settle_it() {
        assert_eq!(bare("if A is so; its manual settles it"), "if A is so");
        assert_eq!(bare("if A is so"), "if A is so");
    }

    #[test]
    fn a_receiver_whose_profile_says_nothing_of_its_mixer_has_every_common_way_and_one_that_says_all_none()
     {
        let text = "
event: {name: Test}
rules: [uk]
licence: full
absent: [marine, marine-distress, airband, emergency-network]
radios:
  stated: {based_on: mobile-2m, receiver: {first_if: 21.4 MHz, injection: low, second_injection: low}}
  unstated: {based_on: mobile-2m, receiver: {first_if: unknown, injection: unknown}}
sites:
  hill: {at: [54.4150, -0.5320], ground: 118 m}
stations:
  - {name: Known, site: hill, radio: stated, talk: 145.4500}
  - {name: Unknown, site: hill, radio: unstated, antenna: {offset: {east: 9 m, north: 0 m}}, talk: 145.4500}
";
        let plan = crate::scenario::read("x.yaml", text.as_bytes(), &crate::scenario::NoFiles)
            .unwrap_or_else(|faults| panic!("{faults}"));
        let scene = Scene::build(&plan, None);
        let found = tunings(&scene);
        let unknown = scene.receivers.iter().find(|one| one.station == "Unknown");
        let ways = unknown.unwrap().tunings().len();
        assert!(ways > 1);
        let first = |ways: &&Vec<String>| {
            ways[0].starts_with("if Unknown") && ways[0].contains("first IF at ")
        };
        let told: Vec<&Vec<String>> = found.iter().filter(first).collect();
        assert_eq!(told.iter().map(|one| one.len()).collect::<Vec<_>>(), [ways]);
        for way in found.iter().flatten() {
            assert!(!way.starts_with("if Known") && !way.contains(';'), "{way}");
        }
        assert!(found.iter().all(|ways| !ways.is_empty()));
    }

    /// A margin of 20 dB is a danger where levels spread by 7 dB, since 4.5 × 7 dB is more, and one of 40 dB is none.
    #[test]
    fn an_encounter_is_a_danger_from_its_margin_on_where_draws_reach_so_far() {
        let plan = crate::scene::sample::plan(
            "
sites:
  hill: {at: [54.4150, -0.5320], ground: 100 m}
stations:
  - {name: Talker, site: hill, radio: mobile-2m, talk: 145.4500}
in_use:
  - {name: North, output: 145.7000, input: 145.1000, eirp: 100 W, distance: 1 km, ground: 100 m}
",
        );
        let scene = Scene::build(&plan, None);
        let met = meet(&scene, Legs::NONE);
        let at_north = |one: &&Encounter| {
            let receiver = scene.receivers.get(one.receiver).unwrap();
            receiver.station == "North"
                && one.supposed().next().is_none()
                && one.line.terms.len() == 1
        };
        let one = met.iter().find(at_north).unwrap();
        let (level, limit) = one.tell(&scene);
        let spread = combined_spread([level.spread(), limit.spread()]).as_db();
        let of = |margin: f64| {
            let mut one = one.clone();
            one.threshold = one.level + Decibels::db(margin);
            super::danger(&scene, one).map(|danger| (danger.spread, danger.beyond))
        };
        assert!(spread > 3.0, "{spread}");
        let reach = 4.5 * spread;
        for margin in [-5.0, 0.0, 2.0, 0.5 * reach, 0.95 * reach] {
            let (known, beyond) = of(margin).unwrap();
            assert!((known - spread).abs() < 1e-9);
            // From just beyond the margin on, found to a hundredth of a decibel.
            assert!(
                beyond >= margin && beyond - margin < 0.011,
                "{margin}: {beyond}"
            );
        }
        assert_eq!(of(1.05 * reach), None);
    }
}
