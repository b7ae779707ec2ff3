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
use crate::scene::{Ground, Scene, Trial};

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
    let asked = Asked {
        plan,
        search,
        ground: Ground::of(plan),
    };
    let found = match &search.range {
        SearchRange::CrossBand([first, second]) => pairs(
            &asked,
            &channels(first, search.step.value),
            &channels(second, search.step.value),
            keep,
        ),
        SearchRange::Watch(stretches) | SearchRange::Talk(stretches) => {
            singles(&asked, &channels(stretches, search.step.value))
        }
    };
    ranking(plan, search, found, keep)
}

/// A search, with what all its candidates share.
struct Asked<'a> {
    plan: &'a Plan,
    search: &'a Search,
    ground: Ground,
}

/// What a search came to.
struct Found {
    considered: usize,
    refused_by_a_leg: usize,
    /// Everything that was judged whole, in no order.
    judged: Vec<Candidate>,
    /// Single legs that conflict by themselves.
    refused_legs: Vec<Tally>,
}

/// A candidate and what was found of it.
struct Candidate {
    legs: Vec<Frequency>,
    tally: Tally,
    preference: i32,
}

/// What one station would do on some channels.
pub(super) fn proposal(search: &Search, legs: &[Frequency]) -> Option<Proposal> {
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
fn tally(asked: &Asked<'_>, legs: &[Frequency], present: Legs, focus: &[Legs]) -> Tally {
    let Some(proposal) = proposal(asked.search, legs) else {
        return Tally::default();
    };
    let trial = Trial {
        station: proposal.station,
        what: &proposal.what,
        present,
    };
    let scene = Scene::on(&asked.ground, asked.plan, Some(trial));
    let mut sum = Tally::default();
    for &focus in focus {
        sum = sum.and(&Tally::of(&findings(&scene, Some(&proposal), focus)));
    }
    sum
}

fn singles(asked: &Asked<'_>, channels: &[Frequency]) -> Found {
    let judged: Vec<Candidate> = channels
        .par_iter()
        .map(|&channel| Candidate {
            legs: vec![channel],
            tally: tally(asked, &[channel], Legs::FIRST, &[Legs::FIRST]),
            preference: preference(asked.plan, asked.search, &[channel]),
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

/// How many pairs are judged between two looks at whether the rows stand; the same for any number of threads.
const BATCH: usize = 64;

/// Judges each leg once, then pairs by what rests on both legs, the most promising first.
///
/// What rests on both legs can only make a pair worse than its legs are by themselves. So when `keep` judged pairs are
/// better than the best that the next pair could be, no other can come among them. A leg on a channel that the plan
/// is on already changes who is keyed with whom; its pairs promise everything and are judged as a whole.
fn pairs(asked: &Asked<'_>, first: &[Frequency], second: &[Frequency], keep: usize) -> Found {
    let coarse = asked.plan.settings.reserve.value;
    let anywhere = Frequency::hz(1);
    let of_first = legs(asked, first, Legs::FIRST, |leg| [leg, anywhere]);
    let of_second = legs(asked, second, Legs::SECOND, |leg| [anywhere, leg]);
    let mut promising: Vec<(Promise, usize, usize)> = of_first
        .iter()
        .enumerate()
        .flat_map(|(one, first)| {
            of_second
                .iter()
                .enumerate()
                .map(move |(other, second)| (first.with(second, coarse), one, other))
        })
        .collect();
    promising.par_sort_unstable();
    let mut judged: Vec<Candidate> = Vec::new();
    let mut next = promising.as_slice();
    while let Some(&(best, one, other)) = next.first() {
        let legs = [(&of_first, one), (&of_second, other)]
            .map(|(of, at)| of.get(at).map(|leg| leg.frequency));
        if stands(
            &mut judged,
            keep,
            (best, &legs.map(Option::unwrap_or_default)),
            coarse,
        ) {
            break;
        }
        let (batch, rest) = next.split_at(BATCH.min(next.len()));
        judged.par_extend(batch.par_iter().filter_map(|&(_, one, other)| {
            Some(whole(asked, of_first.get(one)?, of_second.get(other)?))
        }));
        next = rest;
    }
    let is_refused = |leg: &&Leg| leg.tally.conflicts > 0;
    let (one, other) = (
        of_first.iter().filter(is_refused).count(),
        of_second.iter().filter(is_refused).count(),
    );
    let refused_legs = of_first
        .iter()
        .chain(&of_second)
        .filter(is_refused)
        .map(|leg| leg.tally.clone())
        .collect();
    Found {
        considered: promising.len(),
        refused_by_a_leg: one * second.len() + other * first.len() - one * other,
        judged,
        refused_legs,
    }
}

/// Whether `keep` judged pairs are better than the best that the next pair could be. Pairs that promise the same come in
/// the order of their frequencies, which also decides between equals, so none that is left can come among them.
fn stands(
    judged: &mut [Candidate],
    keep: usize,
    (best, legs): (Promise, &[Frequency]),
    coarse: Decibels,
) -> bool {
    judged.sort_unstable_by(|one, other| order(one, coarse).cmp(&order(other, coarse)));
    match keep.checked_sub(1) {
        None => true,
        Some(last) => judged
            .get(last)
            .is_some_and(|last| order(last, coarse) < (best, legs)),
    }
}

/// One leg by itself.
struct Leg {
    frequency: Frequency,
    tally: Tally,
    preference: i32,
    /// Whether the plan is on it already.
    is_shared: bool,
}

fn legs(
    asked: &Asked<'_>,
    channels: &[Frequency],
    leg: Legs,
    pair: impl Fn(Frequency) -> [Frequency; 2] + Sync,
) -> Vec<Leg> {
    channels
        .par_iter()
        .map(|&frequency| Leg {
            frequency,
            tally: tally(asked, &pair(frequency), leg, &[leg]),
            preference: preference(asked.plan, asked.search, &[frequency]),
            is_shared: asked.plan.is_on(frequency),
        })
        .collect()
}

impl Leg {
    /// The best a pair of these legs could be.
    fn with(&self, other: &Self, coarse: Decibels) -> Promise {
        if self.is_shared || other.is_shared {
            return Promise::everything();
        }
        let margins = [self.tally.worst_margin, other.tally.worst_margin];
        let tally = Tally {
            conflicts: self.tally.conflicts + other.tally.conflicts,
            cautions: self.tally.cautions + other.tally.cautions,
            worst_margin: margins.into_iter().flatten().min(),
            ..Tally::default()
        };
        Promise::of(&tally, self.preference + other.preference, coarse)
    }
}

/// A pair judged whole.
fn whole(asked: &Asked<'_>, first: &Leg, second: &Leg) -> Candidate {
    let legs = vec![first.frequency, second.frequency];
    let tally = if first.is_shared || second.is_shared {
        tally(
            asked,
            &legs,
            Legs::BOTH,
            &[Legs::FIRST, Legs::SECOND, Legs::BOTH],
        )
    } else {
        first
            .tally
            .and(&second.tally)
            .and(&tally(asked, &legs, Legs::BOTH, &[Legs::BOTH]))
    };
    Candidate {
        legs,
        tally,
        preference: first.preference + second.preference,
    }
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

fn ranking(plan: &Plan, search: &Search, mut found: Found, keep: usize) -> Ranking {
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
    let rows = found
        .judged
        .iter()
        .filter(is_shown)
        .take(keep)
        .map(row)
        .collect();
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

/// The place of a candidate among all: the least is the best, and the frequencies decide between equals.
fn order(candidate: &Candidate, coarse: Decibels) -> (Promise, &[Frequency]) {
    (
        Promise::of(&candidate.tally, candidate.preference, coarse),
        &candidate.legs,
    )
}

/// Margins that differ by less than the reserve count as equal: no level is known better than that.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a margin is within ±10⁶ dB and a rung at least 0.1 dB"
)]
pub(super) fn rung(margin: Decibels, coarse: Decibels) -> i64 {
    (margin.as_db() / coarse.as_db().max(0.1)).floor() as i64
}

/// How good a candidate is, or could be at best: the least is the best.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Promise {
    is_refused: bool,
    /// Rung of the least margin, since no level is known better; nothing within the horizon is better than any.
    is_anything_near: bool,
    margin: Reverse<Option<i64>>,
    conflicts: usize,
    wants_a_look: bool,
    preference: Reverse<i32>,
    cautions: usize,
}

impl Promise {
    fn of(tally: &Tally, preference: i32, coarse: Decibels) -> Self {
        Self {
            is_refused: tally.conflicts > 0,
            is_anything_near: tally.worst_margin.is_some(),
            margin: Reverse(tally.worst_margin.map(|margin| rung(margin, coarse))),
            conflicts: tally.conflicts,
            wants_a_look: tally.cautions > 0,
            preference: Reverse(preference),
            cautions: tally.cautions,
        }
    }

    /// Better than anything.
    const fn everything() -> Self {
        Self {
            is_refused: false,
            is_anything_near: false,
            margin: Reverse(None),
            conflicts: 0,
            wants_a_look: false,
            preference: Reverse(i32::MAX),
            cautions: 0,
        }
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
