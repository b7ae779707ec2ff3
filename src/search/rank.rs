//! Every candidate of a search, the safe ones in order.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use rayon::prelude::*;

use super::candidates::channels;
use super::judge::{ANYWHERE, Judge};
use super::pairs::{Found, pairs};
use super::promise::{Candidate, order};
use crate::assess::Verdict;
use crate::quantity::{Decibels, Frequency, Span};
use crate::scenario::{Legs, Plan, Search, SearchRange};

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
    /// The same without its figure: rows alike in this are limited alike.
    pub limit: String,
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
    /// How many candidates there are.
    pub considered: usize,
    /// How many have a leg that conflicts by itself, whatever the other leg.
    pub refused_by_a_leg: usize,
    /// How many were judged whole, the most promising first, until the rows stood.
    pub judged: usize,
    /// How many of all legs and judged pairs were refused, by the check that refused them, most first.
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

/// Puts the candidates of a search in order: no conflict, then the least margin in steps of the reserve, then no caution,
/// then what the band plan prefers, then the fewest cautions, then the lowest frequencies.
///
/// The rows are those that judging every candidate whole would give, and their verdicts those of `assess`.
pub fn rank(plan: &Plan, search: &Search, keep: usize) -> Ranking {
    let channels_of = |stretches: &[Span]| channels(stretches, search.step.value);
    let (first, second) = match &search.range {
        SearchRange::CrossBand([first, second]) => (channels_of(first), channels_of(second)),
        SearchRange::Watch(stretches) | SearchRange::Talk(stretches) => {
            (channels_of(stretches), Vec::new())
        }
    };
    let judge = Judge::new(plan, search, [&first, &second]);
    let found = match &search.range {
        SearchRange::CrossBand(_) => pairs(&judge, &first, &second, keep),
        SearchRange::Watch(_) | SearchRange::Talk(_) => singles(&judge, &first),
    };
    ranking(&judge, found, keep)
}

fn singles(judge: &Judge<'_>, channels: &[Frequency]) -> Found {
    let judged: Vec<Candidate> = channels
        .par_iter()
        .map(|&channel| Candidate {
            legs: vec![channel],
            tally: judge.tally([channel, ANYWHERE], Legs::FIRST, &[Legs::FIRST]),
            preference: judge.preference(&[channel]),
        })
        .collect();
    let refused_by_a_leg = judged.iter().filter(|one| one.tally.conflicts > 0).count();
    Found {
        considered: channels.len(),
        refused_by_a_leg,
        judged,
        refused_legs: Vec::new(),
    }
}

fn ranking(judge: &Judge<'_>, mut found: Found, keep: usize) -> Ranking {
    let (plan, search) = (judge.plan, judge.search);
    let coarse = plan.settings.reserve.value;
    let mut refused: BTreeMap<&str, usize> = BTreeMap::new();
    let mut blocked: BTreeMap<&str, usize> = BTreeMap::new();
    for tally in found
        .refused_legs
        .iter()
        .chain(found.judged.iter().map(|candidate| &candidate.tally))
    {
        for check in tally.refused_by.keys() {
            *refused.entry(check).or_default() += 1;
        }
        for name in tally.blocked_by.keys() {
            *blocked.entry(name).or_default() += 1;
        }
    }
    let station = plan
        .stations
        .get(search.station)
        .map(|station| station.name.clone())
        .unwrap_or_default();
    blocked.remove(station.as_str());
    let is_nothing_safe = found
        .judged
        .iter()
        .all(|candidate| candidate.tally.conflicts > 0);
    let blocked_by = is_nothing_safe
        .then(|| {
            blocked
                .iter()
                .max_by_key(|(name, count)| (**count, Reverse(**name)))
        })
        .flatten()
        .map(|(name, _)| format!("{name} takes part in more refusals than anybody else"));
    let mut refused: Vec<(String, usize)> = refused
        .into_iter()
        .map(|(check, count)| (check.to_owned(), count))
        .collect();
    refused.sort_by_key(|(check, count)| (Reverse(*count), check.clone()));
    found
        .judged
        .sort_by(|one, other| order(one, coarse).cmp(&order(other, coarse)));
    let is_shown = |candidate: &&Candidate| is_nothing_safe || candidate.tally.conflicts == 0;
    let shown = found.judged.iter().filter(is_shown).take(keep);
    let rows = shown.map(row).collect();
    Ranking {
        what: proposal_summary(search),
        search: search.name.clone(),
        station,
        considered: found.considered,
        refused_by_a_leg: found.refused_by_a_leg,
        judged: found.judged.len(),
        refused,
        rows,
        blocked_by,
    }
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
            |limit| limit.text.clone(),
        ),
        limit: tally
            .limited_by
            .as_ref()
            .map_or_else(String::new, |limit| limit.what.clone()),
    }
}

fn proposal_summary(search: &Search) -> String {
    let kind = match &search.range {
        SearchRange::CrossBand(_) => "cross-band pairs",
        SearchRange::Watch(_) => "frequencies to watch",
        SearchRange::Talk(_) => "simplex channels",
    };
    format!("{kind} at {} steps", search.step.value)
}
