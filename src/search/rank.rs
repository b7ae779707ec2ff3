//! Every candidate of a search, the safe ones in order.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use rayon::prelude::*;

use super::candidates::channels;
use super::judge::{ANYWHERE, Judge};
use super::pairs::Pairs;
use super::promise::{Candidate, order};
use super::tally::Tally;
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
    Sweep::of(plan, search).best(keep)
}

/// A search under way: what is judged stays judged when more rows are asked for.
pub(super) struct Sweep<'a> {
    judge: Judge<'a>,
    /// Where candidates are pairs.
    pairs: Option<Pairs>,
    /// Every candidate that was judged whole, in order.
    judged: Vec<Candidate>,
}

impl<'a> Sweep<'a> {
    /// Judges every leg by itself.
    pub(super) fn of(plan: &'a Plan, search: &'a Search) -> Self {
        let channels_of = |stretches: &[Span]| channels(stretches, search.step.value);
        match &search.range {
            SearchRange::CrossBand([first, second]) => {
                let (first, second) = (channels_of(first), channels_of(second));
                let judge = Judge::new(plan, search, [&first, &second]);
                Self {
                    pairs: Some(Pairs::of(&judge, &first, &second)),
                    judged: Vec::new(),
                    judge,
                }
            }
            SearchRange::Watch(stretches) | SearchRange::Talk(stretches) => {
                let channels = channels_of(stretches);
                let judge = Judge::new(plan, search, [&channels, &[]]);
                Self {
                    pairs: None,
                    judged: singles(&judge, &channels),
                    judge,
                }
            }
        }
    }

    /// The best so many; when nothing is safe, the least bad.
    pub(super) fn best(&mut self, keep: usize) -> Ranking {
        let (refused_legs, refused_by_a_leg, considered) = match &mut self.pairs {
            Some(pairs) => {
                pairs.settle(&self.judge, keep, &mut self.judged);
                let (legs, refused) = pairs.refused();
                (legs, refused, pairs.count())
            }
            None => {
                let refused = self.judged.iter().filter(|one| one.tally.conflicts > 0);
                (Vec::new(), refused.count(), self.judged.len())
            }
        };
        let is_nothing_safe = self.judged.iter().all(|one| one.tally.conflicts > 0);
        let is_shown = |candidate: &&Candidate| is_nothing_safe || candidate.tally.conflicts == 0;
        let judged = self.judged.iter().map(|candidate| &candidate.tally);
        let tallies = refused_legs.iter().chain(judged);
        let station = self.judge.plan.stations.get(self.judge.search.station);
        let station = station.map_or("", |station| station.name.as_str());
        Ranking {
            what: summary(self.judge.search),
            search: self.judge.search.name.clone(),
            station: station.to_owned(),
            considered,
            refused_by_a_leg,
            judged: self.judged.len(),
            refused: refused(tallies.clone()),
            blocked_by: is_nothing_safe
                .then(|| blocked_by(tallies, station))
                .flatten(),
            rows: (self.judged.iter().filter(is_shown).take(keep))
                .map(row)
                .collect(),
        }
    }
}

/// Every channel judged, in order.
fn singles(judge: &Judge<'_>, channels: &[Frequency]) -> Vec<Candidate> {
    let mut judged: Vec<Candidate> = channels
        .par_iter()
        .map(|&channel| Candidate {
            legs: vec![channel],
            tally: judge.tally([channel, ANYWHERE], Legs::FIRST, &[Legs::FIRST]),
            preference: judge.preference(&[channel]),
        })
        .collect();
    judged.sort_by(|one, other| order(one, judge.coarse()).cmp(&order(other, judge.coarse())));
    judged
}

/// How many were refused, by the check that refused them, most first.
fn refused<'a>(tallies: impl Iterator<Item = &'a Tally>) -> Vec<(String, usize)> {
    let mut refused: BTreeMap<&str, usize> = BTreeMap::new();
    for check in tallies.flat_map(|tally| tally.refused_by.keys()) {
        *refused.entry(check).or_default() += 1;
    }
    let mut refused: Vec<(String, usize)> = refused
        .into_iter()
        .map(|(check, count)| (check.to_owned(), count))
        .collect();
    refused.sort_by_key(|(check, count)| (Reverse(*count), check.clone()));
    refused
}

/// Who takes part in more refusals than anybody else, the station itself apart.
fn blocked_by<'a>(tallies: impl Iterator<Item = &'a Tally>, station: &str) -> Option<String> {
    let mut blocked: BTreeMap<&str, usize> = BTreeMap::new();
    for name in tallies.flat_map(|tally| tally.blocked_by.keys()) {
        *blocked.entry(name).or_default() += 1;
    }
    blocked.remove(station);
    let most = blocked
        .iter()
        .max_by_key(|(name, count)| (**count, Reverse(**name)));
    most.map(|(name, _)| format!("{name} takes part in more refusals than anybody else"))
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

fn summary(search: &Search) -> String {
    let kind = match &search.range {
        SearchRange::CrossBand(_) => "cross-band pairs",
        SearchRange::Watch(_) => "frequencies to watch",
        SearchRange::Talk(_) => "simplex channels",
    };
    format!("{kind} at {} steps", search.step.value)
}
