//! Every candidate of a search, the safe ones in order.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use rayon::prelude::*;

use super::candidates::channels;
use super::tally::Tally;
use crate::assess::{Verdict, findings};
use crate::law::Purpose;
use crate::quantity::{Decibels, Frequency};
use crate::scenario::{Channel, Legs, Plan, Proposal, Search, SearchRange, Use};
use crate::scene::{Scene, Trial};

/// One candidate in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Its legs.
    pub legs: Vec<Frequency>,
    /// Its verdict.
    pub verdict: Verdict,
    /// Number of conflicts.
    pub conflicts: usize,
    /// Number of cautions.
    pub cautions: usize,
    /// Least margin of all encounters it takes part in; none when nothing came within the horizon.
    pub worst_margin: Option<Decibels>,
    /// How well the band plan likes it; higher is better.
    pub preference: i32,
    /// What limits it, in one line.
    pub limited_by: String,
}

/// The outcome of a search.
#[derive(Debug, Clone, PartialEq)]
pub struct Ranking {
    /// Name of the search.
    pub search: String,
    /// The station it is for.
    pub station: String,
    /// What is searched, in a line.
    pub what: String,
    /// How many candidates were judged.
    pub considered: usize,
    /// How many are clear.
    pub clear: usize,
    /// How many are no conflict but need a look.
    pub cautions: usize,
    /// How many were refused, by the check that refused them, most first.
    pub refused: Vec<(String, usize)>,
    /// The best, in order; when nothing is safe, the least bad.
    pub rows: Vec<Row>,
    /// When nothing is safe: what blocks most, in a line.
    pub blocked_by: Option<String>,
}

/// How many candidates a search has.
pub fn candidate_count(search: &Search) -> usize {
    match &search.range {
        SearchRange::CrossBand([first, second]) => {
            channels(first, search.step.value).len() * channels(second, search.step.value).len()
        }
        SearchRange::Watch(stretches) | SearchRange::Talk(stretches) => {
            channels(stretches, search.step.value).len()
        }
    }
}

/// Judges every candidate of a search and puts the safe ones in order: no conflict, then the least margin, then the
/// fewest cautions, then what the band plan prefers, then the lowest frequencies.
pub fn rank(plan: &Plan, search: &Search, keep: usize) -> Ranking {
    let candidates = match &search.range {
        SearchRange::CrossBand([first, second]) => pairs(
            plan,
            search,
            &channels(first, search.step.value),
            &channels(second, search.step.value),
        ),
        SearchRange::Watch(stretches) | SearchRange::Talk(stretches) => {
            singles(plan, search, &channels(stretches, search.step.value))
        }
    };
    ranking(plan, search, candidates, keep)
}

/// A candidate and what was found of it.
struct Candidate {
    legs: Vec<Frequency>,
    tally: Tally,
    preference: i32,
}

/// What one station would do on some channels.
fn proposal(search: &Search, legs: &[Frequency]) -> Option<Proposal> {
    let channel = |frequency: &Frequency| Channel {
        frequency: *frequency,
        tone: search.tone,
    };
    let what = match (&search.range, legs) {
        (SearchRange::CrossBand(_), [first, second]) => Use::CrossBand {
            legs: [channel(first), channel(second)],
        },
        (SearchRange::Watch(_), [one]) => Use::Watch {
            channel: channel(one),
            wanted: None,
        },
        (SearchRange::Talk(_), [one]) => Use::Talk {
            transmit: channel(one),
            receive: channel(one),
            purpose: Purpose::Simplex,
        },
        _ => return None,
    };
    Some(Proposal {
        name: search.name.clone(),
        station: search.station,
        what,
        place: "search".into(),
    })
}

/// What rests on exactly the legs of `focus`, with the legs of `present` on the air.
fn tally(plan: &Plan, search: &Search, legs: &[Frequency], present: Legs, focus: &[Legs]) -> Tally {
    let Some(proposal) = proposal(search, legs) else {
        return Tally::default();
    };
    let trial = Trial {
        station: proposal.station,
        what: &proposal.what,
        present,
    };
    let scene = Scene::build(plan, Some(trial));
    let mut sum = Tally::default();
    for &focus in focus {
        sum = sum.and(&Tally::of(&findings(&scene, Some(&proposal), focus)));
    }
    sum
}

fn singles(plan: &Plan, search: &Search, channels: &[Frequency]) -> Vec<Candidate> {
    channels
        .par_iter()
        .map(|&channel| Candidate {
            legs: vec![channel],
            tally: tally(plan, search, &[channel], Legs::FIRST, &[Legs::FIRST]),
            preference: preference(plan, search, &[channel]),
        })
        .collect()
}

/// Judges each leg once, then each pair by what rests on both legs.
///
/// A pair with a leg that conflicts by itself is refused without looking further, unless every pair is. A leg on a
/// channel that the plan already talks on is judged with its pair as a whole, since it then changes who is keyed with
/// whom.
fn pairs(
    plan: &Plan,
    search: &Search,
    first: &[Frequency],
    second: &[Frequency],
) -> Vec<Candidate> {
    let anywhere = Frequency::hz(1);
    let of_first: Vec<Tally> = first
        .par_iter()
        .map(|&leg| tally(plan, search, &[leg, anywhere], Legs::FIRST, &[Legs::FIRST]))
        .collect();
    let of_second: Vec<Tally> = second
        .par_iter()
        .map(|&leg| {
            tally(
                plan,
                search,
                &[anywhere, leg],
                Legs::SECOND,
                &[Legs::SECOND],
            )
        })
        .collect();
    let is_shared = |leg: Frequency| plan.talks_on(leg);
    let is_hopeless = |one: &Tally, other: &Tally| one.conflicts + other.conflicts > 0;
    let judge_all = !first.iter().zip(&of_first).any(|(&leg, one)| {
        second.iter().zip(&of_second).any(|(&other_leg, other)| {
            !is_hopeless(one, other) || is_shared(leg) || is_shared(other_leg)
        })
    });
    first
        .par_iter()
        .zip(&of_first)
        .flat_map_iter(|(&leg, one)| {
            second
                .iter()
                .zip(&of_second)
                .map(move |(&other_leg, other)| {
                    let legs = vec![leg, other_leg];
                    let tally = if is_shared(leg) || is_shared(other_leg) {
                        let every = [Legs::FIRST, Legs::SECOND, Legs::BOTH];
                        tally(plan, search, &legs, Legs::BOTH, &every)
                    } else if is_hopeless(one, other) && !judge_all {
                        one.and(other)
                    } else {
                        one.and(other)
                            .and(&tally(plan, search, &legs, Legs::BOTH, &[Legs::BOTH]))
                    };
                    Candidate {
                        preference: preference(plan, search, &legs),
                        legs,
                        tally,
                    }
                })
        })
        .collect()
}

/// How well the band plan likes some channels, together.
fn preference(plan: &Plan, search: &Search, legs: &[Frequency]) -> i32 {
    let purpose = match search.range {
        SearchRange::CrossBand(_) => Purpose::CrossBandRelay,
        // Listening needs nobody's leave.
        SearchRange::Watch(_) => return 0,
        SearchRange::Talk(_) => Purpose::Simplex,
    };
    legs.iter()
        .map(|&leg| plan.law.preference(leg, purpose).0)
        .sum()
}

fn ranking(plan: &Plan, search: &Search, mut candidates: Vec<Candidate>, keep: usize) -> Ranking {
    let considered = candidates.len();
    let count = |verdict| {
        candidates
            .iter()
            .filter(|candidate| candidate.tally.verdict() == verdict)
            .count()
    };
    let (clear, cautions) = (count(Verdict::Clear), count(Verdict::Caution));
    let mut refused: BTreeMap<&str, usize> = BTreeMap::new();
    let mut blocked: BTreeMap<&str, usize> = BTreeMap::new();
    for candidate in &candidates {
        for check in candidate.tally.refused_by.keys() {
            *refused.entry(check).or_default() += 1;
        }
        for name in candidate.tally.blocked_by.keys() {
            *blocked.entry(name).or_default() += 1;
        }
    }
    let station = plan
        .stations
        .get(search.station)
        .map(|station| station.name.clone())
        .unwrap_or_default();
    blocked.remove(station.as_str());
    let blocked_by = (clear + cautions == 0)
        .then(|| {
            blocked
                .iter()
                .max_by_key(|(name, count)| (**count, Reverse(**name)))
        })
        .flatten()
        .map(|(name, count)| {
            format!("{name} takes part in what refuses {count} of {considered} candidates")
        });
    let mut refused: Vec<(String, usize)> = refused
        .into_iter()
        .map(|(check, count)| (check.to_owned(), count))
        .collect();
    refused.sort_by_key(|(check, count)| (Reverse(*count), check.clone()));
    candidates.sort_by(|one, other| order(one).cmp(&order(other)));
    let is_shown = |candidate: &&Candidate| clear + cautions == 0 || candidate.tally.conflicts == 0;
    let rows = candidates
        .iter()
        .filter(is_shown)
        .take(keep)
        .map(row)
        .collect();
    Ranking {
        what: proposal_summary(search, considered),
        search: search.name.clone(),
        station,
        considered,
        clear,
        cautions,
        refused,
        rows,
        blocked_by,
    }
}

/// The place of a candidate among all: the least is the best.
fn order(candidate: &Candidate) -> impl Ord + use<'_> {
    let tally = &candidate.tally;
    // Nothing within the horizon is better than any margin, and no level is known to a fraction of a dB.
    let whole = tally
        .worst_margin
        .map(|margin| Decibels::db(margin.as_db().floor()));
    let margin = Reverse((whole.is_none(), whole));
    (
        tally.conflicts > 0,
        margin,
        tally.conflicts,
        tally.cautions,
        Reverse(candidate.preference),
        &candidate.legs,
    )
}

fn row(candidate: &Candidate) -> Row {
    let tally = &candidate.tally;
    Row {
        legs: candidate.legs.clone(),
        verdict: tally.verdict(),
        conflicts: tally.conflicts,
        cautions: tally.cautions,
        worst_margin: tally.worst_margin,
        preference: candidate.preference,
        limited_by: tally.limited_by.as_ref().map_or_else(
            || "nothing within the horizon".to_owned(),
            |(_, limit)| limit.clone(),
        ),
    }
}

fn proposal_summary(search: &Search, considered: usize) -> String {
    let kind = match &search.range {
        SearchRange::CrossBand(_) => "cross-band pairs",
        SearchRange::Watch(_) => "frequencies to watch",
        SearchRange::Talk(_) => "simplex channels",
    };
    format!("{considered} {kind} at {} steps", search.step.value)
}
