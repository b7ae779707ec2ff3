//! Every candidate of a search, the safe ones in order.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use rayon::prelude::*;

use super::candidates::channels;
use super::judge::{Depths, Judge, alone, placed};
use super::pairs::Pairs;
use super::promise::{Candidate, order};
use super::tally::Tally;
use super::watch::{Doing, Watch};
use super::whole::Whole;
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
    /// Number of conflicts; at least so many, since a search goes no further than the worst of them.
    pub conflicts: usize,
    /// Number of cautions; at least so many where something conflicts.
    pub cautions: usize,
    /// Least margin of all encounters it takes part in; none when nothing came within the horizon.
    pub worst_margin: Option<Decibels>,
    /// How well the band plan likes it; higher is better.
    pub preference: i32,
    /// What limits it, in one line.
    pub limited_by: String,
    /// The same without its figure: rows alike in this are limited alike.
    pub limit: String,
    /// The checks of the plan as a whole that find a caution or worse with it in place, in order.
    pub of_the_plan: Vec<&'static str>,
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
    /// How many are known to have a leg that conflicts by itself, whatever the other leg. Channels that promise less than the
    /// rows have are not judged.
    pub refused_by_a_leg: usize,
    /// Whether it ended by itself; otherwise the rows are the best of what was looked at, and a better one may be left.
    pub is_finished: bool,
    /// Of how many it is known where they belong or that they do not come among the rows: all, unless it was stopped.
    pub looked_at: usize,
    /// How many were judged whole, the most promising first, until the rows stood.
    pub judged: usize,
    /// How many of all legs and judged pairs were refused, by the check that refused them, most first.
    pub refused: Vec<(String, usize)>,
    /// The best, in order; when nothing is safe, the least bad.
    pub rows: Vec<Row>,
    /// When nothing is safe: what blocks most, in a line.
    pub blocked_by: Option<String>,
}

impl Ranking {
    /// The checks of the plan as a whole that find a caution or worse with any of the rows in place, in order.
    pub fn everywhere(&self) -> Vec<&'static str> {
        let Some((first, others)) = self.rows.split_first() else {
            return Vec::new();
        };
        let is_everywhere =
            |check: &&'static str| others.iter().all(|row| row.of_the_plan.contains(check));
        first
            .of_the_plan
            .iter()
            .copied()
            .filter(is_everywhere)
            .collect()
    }
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
/// The rows are those that judging every candidate whole would give, and their verdicts those of `assess`. Conflicts among
/// themselves go by margin, what the band plan prefers and frequency; `build-up`, a caution at most, moves no row.
pub fn rank(plan: &Plan, search: &Search, keep: usize) -> Ranking {
    let watch = Watch::default();
    let mut sweep = Sweep::of(plan, search, &watch);
    let mut ranking = sweep.best(keep);
    sweep.ask_all(&mut ranking.rows);
    ranking
}

/// So many rows are shown at most of a search that was told to stop: who stops it does not wish to wait for more.
const AT_LAST: usize = 10;

/// A search under way: what is judged stays judged when more rows are asked for.
pub(super) struct Sweep<'a> {
    judge: Judge<'a>,
    whole: Whole,
    watch: &'a Watch,
    /// Where candidates are pairs.
    pairs: Option<Pairs>,
    /// How many candidates there are where they are single channels.
    channels: usize,
    /// Every candidate that was judged whole, in order.
    judged: Vec<Candidate>,
}

impl<'a> Sweep<'a> {
    /// Judges the channels, where pairs are looked for as many as every pair needs.
    pub(super) fn of(plan: &'a Plan, search: &'a Search, watch: &'a Watch) -> Self {
        watch.search(&search.name);
        let channels_of = |stretches: &[Span]| channels(stretches, search.step.value);
        let of = |[first, second]: [&[Frequency]; 2]| {
            let judge = Judge::new(plan, search, [first, second]);
            (Whole::of(&judge), judge)
        };
        match &search.range {
            SearchRange::CrossBand([first, second]) => {
                let (first, second) = (channels_of(first), channels_of(second));
                let (whole, judge) = of([&first, &second]);
                Self {
                    pairs: Some(Pairs::of(&judge, [&first, &second], watch)),
                    channels: 0,
                    judged: Vec::new(),
                    judge,
                    whole,
                    watch,
                }
            }
            SearchRange::Watch(stretches) | SearchRange::Talk(stretches) => {
                let channels = channels_of(stretches);
                let (whole, judge) = of([&channels, &[]]);
                Self {
                    pairs: None,
                    channels: channels.len(),
                    judged: singles(&judge, &channels, watch),
                    judge,
                    whole,
                    watch,
                }
            }
        }
    }

    /// Judges candidates of the search.
    pub(super) const fn judge(&self) -> &Judge<'a> {
        &self.judge
    }

    /// Judges every channel, also those without which the order stands: for those who ask how many are refused.
    pub(super) fn judge_every_leg(&mut self) {
        if let Some(pairs) = &mut self.pairs {
            pairs.judge_all(&self.judge, self.watch);
        }
    }

    /// Judges until the best `keep` stand, those that are safe by the checks of the net too. How many may be shown, and whether
    /// they stand: when it is told to stop they need not, and are fewer.
    fn settle(&mut self, keep: usize) -> (usize, bool) {
        let (mut shown, mut is_finished) = (keep, true);
        loop {
            let parts = (&self.judge, &self.whole);
            let is_settled = match &mut self.pairs {
                Some(pairs) => pairs.settle(parts, shown, &mut self.judged, self.watch),
                None => self.judged.len() == self.channels,
            };
            let mut open = self.open(shown);
            let is_dear = shown > AT_LAST && !open.is_empty();
            if !is_settled || (self.watch.is_stopped() && is_dear) {
                (shown, is_finished) = (keep.min(AT_LAST), false);
                open = self.open(shown);
            }
            if open.is_empty() {
                return (shown, is_finished);
            }
            self.watch.begin(Doing::Last, Some(shown));
            let before = self.judged.iter().take(shown);
            self.watch
                .did(before.filter(|one| one.has_asked_the_net).count());
            self.ask_the_net(&open);
        }
    }

    /// Some of those that would be shown as safe and were not asked what looks at the net, by place. What that says moves
    /// nothing that is refused already.
    fn open(&self, keep: usize) -> Vec<usize> {
        let shown = self.judged.iter().enumerate().take(keep);
        shown
            .filter(|(_, one)| !one.has_asked_the_net && one.tally.conflicts == 0)
            .map(|(place, _)| place)
            .take(TURN)
            .collect()
    }

    /// Asks of rows that are shown what the search has left out: what adds up in a receiver, never more than a caution, which
    /// moves no row; and of those in conflict instead what the checks of the net say.
    pub(super) fn ask_all(&self, rows: &mut [Row]) {
        let judged = self.judged.iter();
        let judged: BTreeMap<&[Frequency], &Candidate> =
            judged.map(|one| (one.legs.as_slice(), one)).collect();
        let ask = |row: &mut Row| {
            let known = judged.get(row.legs.as_slice());
            let (Some(&known), Some((legs, ..))) = (known, placed(&row.legs)) else {
                return;
            };
            let mut one = known.clone();
            if !one.has_asked_the_net {
                let parts = (&self.judge, &self.whole);
                let pairs = self.pairs.as_ref();
                match pairs.and_then(|pairs| pairs.said(parts, legs)) {
                    Some(said) => one.hear_of_the_net(&said),
                    None => one.hear_of_the_net(&Whole::of_the_net(&self.judge, legs)),
                }
            }
            if known.tally.conflicts == 0 {
                one.hear(&self.whole.of_sums(&self.judge, legs));
            }
            *row = self::row(&one);
        };
        // What is the same for all of them is worked out for the first.
        if let Some((first, others)) = rows.split_first_mut() {
            ask(first);
            others.par_iter_mut().for_each(ask);
        }
    }

    /// Asks the checks of the net of some candidates, and puts them where they belong then.
    fn ask_the_net(&mut self, places: &[usize]) {
        let judge = &self.judge;
        let (Some(&first), Some(&last)) = (places.first(), places.last()) else {
            return;
        };
        let stretch = self.judged.get_mut(first..=last).unwrap_or_default();
        stretch
            .par_iter_mut()
            .enumerate()
            .filter(|(place, _)| places.binary_search(&(first + place)).is_ok())
            .for_each(|(_, one)| {
                if let Some((legs, ..)) = placed(&one.legs) {
                    one.hear_of_the_net(&Whole::of_the_net(judge, legs));
                }
            });
        let coarse = judge.coarse();
        self.judged
            .sort_by(|one, other| order(one, coarse).cmp(&order(other, coarse)));
    }

    /// The legs that conflict by themselves, and how many candidates have one.
    fn refused(&self) -> (Vec<Tally>, usize) {
        if let Some(pairs) = &self.pairs {
            return pairs.refused();
        }
        let refused = self.judged.iter().filter(|one| one.tally.conflicts > 0);
        (Vec::new(), refused.count())
    }

    /// How many candidates there are, and of how many each leg was judged.
    fn counts(&self) -> (usize, usize) {
        if let Some(pairs) = &self.pairs {
            return (pairs.count(), pairs.known());
        }
        (self.channels, self.judged.len())
    }

    /// The best so many; when nothing is safe, the least bad. When it is told to stop, the best of what was looked at.
    pub(super) fn best(&mut self, keep: usize) -> Ranking {
        let (keep, is_finished) = self.settle(keep);
        let (refused_legs, refused_by_a_leg) = self.refused();
        let (considered, looked_at) = self.counts();
        let is_nothing_safe = is_nothing_safe(&self.judged);
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
            is_finished,
            looked_at: if is_finished { considered } else { looked_at },
            judged: self.judged.len(),
            refused: refused(tallies.clone()),
            blocked_by: (is_nothing_safe && is_finished)
                .then(|| blocked_by(tallies, station))
                .flatten(),
            rows: (self.judged.iter().filter(is_shown).take(keep))
                .map(row)
                .collect(),
        }
    }
}

/// Whether nothing that was judged is safe.
fn is_nothing_safe(judged: &[Candidate]) -> bool {
    judged.iter().all(|one| one.tally.conflicts > 0)
}

/// So many channels are judged between two looks at whether to stop.
const TURN: usize = 64;

/// Every channel judged, in order; when it is told to stop, as many as there was time for, from all over the stretches.
fn singles(judge: &Judge<'_>, channels: &[Frequency], watch: &Watch) -> Vec<Candidate> {
    watch.begin(Doing::Channels, Some(channels.len()));
    let turns = channels.len().div_ceil(TURN).max(1);
    let mut judged: Vec<Candidate> = Vec::new();
    let mut depths = Depths::default();
    for turn in 0..turns {
        if watch.is_stopped() && !judged.is_empty() {
            break;
        }
        let now: Vec<Frequency> = channels.iter().copied().skip(turn).step_by(turns).collect();
        // Those that are begun are ended, and one is always judged.
        let asked = now.par_iter().enumerate();
        let asked = asked.filter(|(place, _)| *place == 0 || !watch.is_stopped());
        let before = judged.len();
        judged.par_extend(asked.map(|(_, &channel)| {
            let tally = judge.tally(alone(channel, Legs::FIRST), &depths);
            watch.did(1);
            Candidate::of(vec![channel], tally, judge.preference(&[channel]))
        }));
        for one in judged.iter().skip(before) {
            depths.learn(&one.tally, judge);
        }
    }
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
        of_the_plan: candidate.of_the_plan.clone(),
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::sample::plan;

    /// A tally that nothing but these take part in the refusals of.
    fn blocked(names: &[&str]) -> Tally {
        let by = names.iter().map(|name| ((*name).to_owned(), 1));
        Tally {
            conflicts: names.len(),
            blocked_by: by.collect(),
            ..Tally::default()
        }
    }

    #[test]
    fn who_takes_part_in_the_most_refusals_blocks_most_whatever_he_is_called_and_never_the_station_itself()
     {
        let tallies = [
            &["Relay", "Town"][..],
            &["Relay", "Abbey"],
            &["Relay", "Town"],
        ]
        .map(blocked);
        let told = |tallies: &[Tally]| blocked_by(tallies.iter(), "Relay");
        let most = told(&tallies);
        assert!(most.is_some_and(|told| told.starts_with("Town takes part")));
        // Of equals the first by name.
        assert!(told(&tallies[..2]).is_some_and(|told| told.starts_with("Abbey takes part")));
        assert_eq!(told(&[blocked(&["Relay"])]), None);
    }

    const HILL: &str = "
settings: {order: 3}
absent: [marine, marine-distress, airband, emergency-network]
sites:
  hill: {at: [54.4150, -0.5320], ground: 118 m}
stations:
  - {name: Relay, site: hill, radio: dual-band-mobile}
search:
  - {name: pair, station: Relay, cross_band: [433.0000-433.4000, 145.2000-145.6000], step: 25 kHz}
  - {name: one, station: Relay, talk: 145.2250-145.5500, step: 12.5 kHz}
";

    /// Seventeen channels on either side: all of the second are judged beforehand, and every other one of the first.
    #[test]
    fn every_leg_is_judged_for_those_who_ask_how_many_are_refused() {
        let plan = plan(HILL);
        let watch = Watch::default();
        let mut sweep = Sweep::of(&plan, &plan.searches[0], &watch);
        assert_eq!(sweep.counts(), (289, 9 * 17));
        sweep.judge_every_leg();
        assert_eq!(sweep.counts(), (289, 289));
    }

    /// Up to ten rows are asked to their end by who is told to stop; of more only those that were asked already.
    #[test]
    fn a_search_that_is_told_to_stop_ends_what_it_shows_and_shows_no_more_than_ten_that_it_would_have_to_ask()
     {
        let plan = plan(HILL);
        let search = &plan.searches[1];
        let shown = |before: usize, keep: usize| {
            let watch = Watch::default();
            let mut sweep = Sweep::of(&plan, search, &watch);
            let all = sweep.judged.len();
            assert!(all > 20 && sweep.judged.iter().all(|one| one.tally.conflicts == 0));
            let asked = |sweep: &Sweep<'_>| {
                let asked = sweep.judged.iter();
                asked.take_while(|one| one.has_asked_the_net).count()
            };
            sweep.settle(before);
            assert_eq!(asked(&sweep), before);
            watch.stop();
            let found = sweep.settle(keep);
            assert!(asked(&sweep) >= found.0);
            found
        };
        assert_eq!(shown(0, 9), (9, true));
        assert_eq!(shown(0, 10), (10, true));
        assert_eq!(shown(0, 11), (10, false));
        assert_eq!(shown(11, 11), (11, true));
        assert_eq!(shown(11, 12), (10, false));
    }
}
