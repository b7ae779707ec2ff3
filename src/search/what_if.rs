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

#[cfg(test)]
mod tests {
    use super::*;

    use crate::scenario::{NoFiles, read};

    fn plan() -> Plan {
        let text = "
event: {name: Test}
rules: [uk]
licence: full
sites:
  hill: {at: [54.4150, -0.5320], ground: 118 m}
stations:
  - {name: Relay, site: hill, radio: dual-band-mobile}
  - {name: Talker, site: hill, radio: mobile-2m, antenna: {offset: {east: 9 m, north: 0 m}}, talk: 145.4500}
in_use:
  - {name: Town, output: 145.6500, input: 145.0500, erp: 25 W, at: [54.33, -0.43], listeners: {nearest: 4 km}}
  - {name: Club, frequency: 145.3000, erp: 25 W, at: [54.33, -0.43]}
search:
  - {name: pair, station: Relay, cross_band: [433.4000-433.5000, 145.2000-145.4000]}
  - {name: odd, station: Relay, watch: [160.1000-160.2000, 145.2000-145.4000]}
";
        read("test.yaml", text.as_bytes(), &NoFiles).unwrap_or_else(|error| panic!("{error}"))
    }

    /// The filters of the relay after one that takes 30 dB is supposed, from and to in hertz.
    fn filters(search: usize) -> Vec<(i64, i64)> {
        let plan = plan();
        let changed = supposing(
            &plan,
            &plan.searches[search],
            &[Supposed::Filter(Decibels::db(30.0))],
        );
        assert!(plan.stations[0].filters.is_empty() && changed.stations[1].filters.is_empty());
        let filters = changed.stations[0].filters.iter();
        filters
            .map(|one| {
                assert_eq!(one.loss.value, Decibels::db(30.0));
                (one.span.low.as_hz(), one.span.high.as_hz())
            })
            .collect()
    }

    #[test]
    fn a_filter_takes_everything_up_to_the_bands_of_the_search_between_them_and_above() {
        let plan = plan();
        let bands = plan.stations[0].radio.bands.iter();
        let sent = bands.filter_map(|band| band.transmitter.as_ref().map(|one| one.span));
        let of = |hertz: i64| {
            sent.clone()
                .find(|span| span.contains(Frequency::hz(hertz)))
        };
        let (low, high) = (of(145_000_000).unwrap(), of(433_000_000).unwrap());
        let expected = [
            (1, low.low.as_hz() - 1),
            (low.high.as_hz() + 1, high.low.as_hz() - 1),
            (high.high.as_hz() + 1, 1_000_000_000_000),
        ];
        assert_eq!(filters(0), expected);
        // What no band of the radio holds is passed as it is searched; what lies side by side leaves nothing between.
        let beyond = of(160_100_000).is_none();
        assert!(beyond, "the radio sends at 160 MHz");
        let expected = [
            (1, low.low.as_hz() - 1),
            (low.high.as_hz() + 1, 160_099_999),
            (160_200_001, 1_000_000_000_000),
        ];
        assert_eq!(filters(1), expected);
        // A stretch of one hertz or less is none.
        let ends = |low, high| {
            let found = filter(Frequency::hz(low), Frequency::hz(high), Decibels::db(1.0));
            found.map(|one| (one.span.low.as_hz(), one.span.high.as_hz()))
        };
        assert_eq!(ends(5, 6), Some((5, 6)));
        assert_eq!(ends(5, 5), None);
        assert_eq!(ends(6, 5), None);
    }

    #[test]
    fn who_is_taken_away_falls_silent_and_nobody_else_does() {
        let plan = plan();
        let search = &plan.searches[0];
        let without = |name: &str| {
            let changed = supposing(&plan, search, &[Supposed::Without(name.to_owned())]);
            let there = changed.in_use.iter().map(|one| {
                (
                    one.output.is_some(),
                    one.input.is_some(),
                    one.listener.is_some(),
                )
            });
            let uses: Vec<usize> = changed.stations.iter().map(|one| one.uses.len()).collect();
            let guarded: Vec<String> = changed.guarded.iter().map(|one| one.name.clone()).collect();
            (there.collect::<Vec<_>>(), uses, guarded)
        };
        let as_it_stands = without("Nobody");
        let town = (true, true, true);
        let club = as_it_stands.0[1];
        assert_eq!(as_it_stands.0[0], town);
        assert!(club.0);
        assert_eq!(as_it_stands.1, [0, 1]);
        let (there, uses, guarded) = without("Town");
        assert_eq!(there, [(false, false, false), club]);
        assert_eq!((uses, &guarded), (vec![0, 1], &as_it_stands.2));
        let (there, uses, _) = without("Talker");
        assert_eq!((there, uses), (as_it_stands.0.clone(), vec![0, 0]));
        let first = as_it_stands.2.first().unwrap();
        let left = without(first).2;
        assert_eq!(left.len() + 1, as_it_stands.2.len());
        assert!(!left.contains(first));
    }

    #[test]
    fn the_station_that_is_searched_for_stays_though_its_name_is_taken_away() {
        let mut plan = plan();
        let talk = plan.stations[1].uses.clone();
        plan.stations[0].uses = talk;
        let changed = supposing(
            &plan,
            &plan.searches[0],
            &[Supposed::Without("Relay".into())],
        );
        assert_eq!(changed.stations[0].uses.len(), 1);
    }

    fn ranking(safe: usize, refused: usize) -> Ranking {
        let row = |verdict| Row {
            legs: vec![Frequency::hz(145_000_000)],
            verdict,
            conflicts: 0,
            cautions: 0,
            worst_margin: None,
            preference: 0,
            limited_by: String::new(),
            limit: String::new(),
            of_the_plan: Vec::new(),
        };
        let mut rows = vec![row(Verdict::Caution); safe];
        rows.extend(vec![row(Verdict::Conflict); refused]);
        Ranking {
            search: String::new(),
            station: String::new(),
            what: String::new(),
            considered: 5_000,
            refused_by_a_leg: 1_000,
            is_finished: true,
            looked_at: 5_000,
            judged: 0,
            refused: Vec::new(),
            rows,
            blocked_by: None,
        }
    }

    #[test]
    fn what_was_counted_whole_is_told_exactly_and_what_was_not_as_a_stretch() {
        let told = |safe, refused| {
            let found = prospect(&ranking(safe, refused));
            (found.at_least, found.at_most, found.best.is_some())
        };
        assert_eq!(told(3, 0), (3, 3, true));
        assert_eq!(told(1_023, 0), (1_023, 1_023, true));
        // As many as are counted: there may be all that no leg refuses.
        assert_eq!(told(1_024, 0), (1_024, 4_000, true));
        // The least bad of what conflicts is not a best.
        assert_eq!(told(0, 1), (0, 0, false));
    }
}
