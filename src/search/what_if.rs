//! What a change would buy: the same search with and without it.

use std::fmt;
use std::sync::Arc;

use super::groups::settle_ties;
use super::rank::{Ranking, Row, Sweep};
use super::watch::Watch;
use crate::assess::Verdict;
use crate::provenance::{Origin, Sourced};
use crate::quantity::{Decibels, Frequency, Offset, Span};
use crate::scenario::{FilterLoss, Plan, Search, SearchRange};

/// So many rows are counted; more are told as a stretch.
const COUNTED: usize = 1_024;

/// No radio of an event reaches higher than this.
const HIGHEST: Frequency = Frequency::hz(1_000_000_000_000);

/// A change that is put to a search.
#[derive(Debug, Clone, PartialEq)]
pub enum Supposed {
    /// A neighbour, a station of ours or a protected service were not there.
    Without(String),
    /// The station that is searched for sent on this power step.
    Power(String),
    /// The station that is searched for had a filter that takes this much outside its bands.
    Filter(Decibels),
}

impl fmt::Display for Supposed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Without(name) => write!(f, "without {name}"),
            Self::Power(step) => write!(f, "power {step}"),
            Self::Filter(loss) => write!(f, "filter {loss}"),
        }
    }
}

/// What a search looks like in short.
#[derive(Debug, Clone, PartialEq)]
pub struct Prospect {
    /// At least so many candidates are safe.
    pub at_least: usize,
    /// At most so many are; the same where all were judged.
    pub at_most: usize,
    /// The best of them.
    pub best: Option<Row>,
}

/// What a change buys.
#[derive(Debug, Clone, PartialEq)]
pub struct Bought {
    /// The change.
    pub what: String,
    /// The search with it.
    pub then: Prospect,
}

/// The search as it stands, then with each change alone, then with all of them.
pub(super) fn bought(
    plan: &Plan,
    search: &Search,
    changes: &[Supposed],
    watch: &Watch,
) -> Vec<Bought> {
    let mut cases: Vec<(String, &[Supposed])> = vec![("as planned".to_owned(), &[])];
    let each = changes
        .iter()
        .map(|one| (one.to_string(), std::slice::from_ref(one)));
    cases.extend(each);
    if changes.len() > 1 {
        cases.push(("all together".to_owned(), changes));
    }
    cases
        .into_iter()
        .map(|(what, changes)| {
            let plan = supposing(plan, search, changes);
            let mut sweep = Sweep::of(&plan, search, watch);
            sweep.judge_every_leg();
            let mut ranking = sweep.best(COUNTED);
            settle_ties(&plan, search, &mut ranking.rows);
            Bought {
                what,
                then: prospect(&ranking),
            }
        })
        .collect()
}

fn prospect(ranking: &Ranking) -> Prospect {
    let safe = ranking
        .rows
        .iter()
        .filter(|row| row.verdict != Verdict::Conflict)
        .count();
    let at_most = if safe < COUNTED {
        safe
    } else {
        ranking.considered.saturating_sub(ranking.refused_by_a_leg)
    };
    Prospect {
        at_least: safe,
        at_most,
        best: ranking
            .rows
            .first()
            .filter(|row| row.verdict != Verdict::Conflict)
            .cloned(),
    }
}

/// The plan with some changes made for a search.
pub(super) fn supposing(plan: &Plan, search: &Search, changes: &[Supposed]) -> Plan {
    let mut plan = plan.clone();
    for change in changes {
        match change {
            Supposed::Without(name) => take_away(&mut plan, search, name),
            Supposed::Power(step) => {
                if let Some(station) = plan.stations.get_mut(search.station) {
                    station.step = Some(said(step.clone()));
                    station.power = None;
                }
            }
            Supposed::Filter(loss) => add_filter(&mut plan, search, *loss),
        }
    }
    plan
}

fn said<T>(value: T) -> Sourced<T> {
    Sourced::new(value, Origin::Said(Arc::from("the command line")))
}

/// Takes away everything of a name; what others refer to by number keeps its place and falls silent.
fn take_away(plan: &mut Plan, search: &Search, name: &str) {
    for entry in plan.in_use.iter_mut().filter(|entry| entry.name == name) {
        entry.output = None;
        entry.input = None;
        entry.listener = None;
    }
    for (index, station) in plan.stations.iter_mut().enumerate() {
        if station.name == name && index != search.station {
            station.uses.clear();
        }
    }
    plan.guarded.retain(|service| service.name != name);
}

/// Puts a filter at the searched station that passes the bands of the search and nothing else.
fn add_filter(plan: &mut Plan, search: &Search, loss: Decibels) {
    let Some(station) = plan.stations.get_mut(search.station) else {
        return;
    };
    let mut passed: Vec<Span> = stretches(search)
        .map(|stretch| {
            let bands = station.radio.bands.iter();
            let mut spans = bands.filter_map(|band| Some(band.transmitter.as_ref()?.span));
            let band = spans.find(|span| span.holds(stretch));
            band.unwrap_or(stretch)
        })
        .collect();
    passed.sort_unstable();
    let mut from = Frequency::hz(1);
    for span in passed {
        station
            .filters
            .extend(filter(from, span.low - Offset::hz(1), loss));
        from = from.max(span.high + Offset::hz(1));
    }
    station.filters.extend(filter(from, HIGHEST, loss));
}

fn filter(low: Frequency, high: Frequency, loss: Decibels) -> Option<FilterLoss> {
    (low < high).then(|| FilterLoss {
        name: "supposed filter".to_owned(),
        span: Span::between(low, high),
        loss: said(loss),
    })
}

/// Every stretch that is searched.
pub(super) fn stretches(search: &Search) -> impl Iterator<Item = Span> + '_ {
    let (one, other): (&[Span], &[Span]) = match &search.range {
        SearchRange::CrossBand([one, other]) => (one, other),
        SearchRange::Watch(only) | SearchRange::Talk(only) => (only, &[]),
    };
    one.iter().chain(other).copied()
}
