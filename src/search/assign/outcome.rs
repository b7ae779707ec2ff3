//! What came of it: the plan with every channel in place, or why there is none.

use super::board::Board;
use super::on_air::{OnAir, liking};
use super::solve::{Choice, Stop, solve};
use super::tones::tones;
use super::why_not::{Contradiction, contradiction};
use crate::assess::{Judged, Verdict, judge};
use crate::quantity::{Decibels, Frequency};
use crate::scenario::{Aim, Assign, Choosing, Plan};
use crate::search::tally::Tally;
use crate::search::watch::{Doing, Watch};

/// What came of giving every open channel a frequency.
#[derive(Debug, Clone)]
pub struct Assignment {
    /// What the best plan is.
    pub aim: Aim,
    /// How many channels are open.
    pub channels: usize,
    /// How many frequencies.
    pub frequencies: usize,
    /// How many ways there are to choose them.
    pub ways: u128,
    /// How many partial plans were looked into.
    pub looked_into: u64,
    /// The best plan that was found.
    pub found: Option<Found>,
    /// Whether it is proved that there is no better one, or none at all.
    pub is_proved: bool,
    /// When that is not proved: what no plan can be better than, in words.
    pub no_better_than: Option<String>,
    /// Why there is none.
    pub contradiction: Option<Contradiction>,
}

/// A plan with every channel in place.
#[derive(Debug, Clone)]
pub struct Found {
    /// Each open channel, in the scenario's order.
    pub given: Vec<Given>,
    /// What it costs, in words.
    pub cost: String,
    /// How many frequencies are not where they were last year.
    pub changes: usize,
    /// The whole plan with the channels in place, judged as `check` would.
    pub judged: Judged,
}

/// An open channel that was given its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Given {
    /// What it is called.
    pub name: String,
    /// The stations on it.
    pub stations: Vec<String>,
    /// What they do there: `repeat`, `talk`, `watch`.
    pub what: &'static str,
    /// Its frequencies.
    pub legs: Vec<Frequency>,
    /// Its tone, in tenths of a hertz.
    pub tone: Option<u32>,
    /// Where it was last year.
    pub last_year: Vec<Frequency>,
    /// Verdict of what rests on it.
    pub verdict: Verdict,
    /// Number of conflicts that rest on it.
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

/// Gives every open channel a frequency: the best plan of all, or the best until it is told to stop.
///
/// Best is: every requirement holds, then no conflict, then (where that is the aim) the fewest changes, then the least margin
/// in steps of the reserve, the fewest conflicts, no caution, what the band plan prefers, the fewest cautions. Of equals it is
/// the one that the search meets first, which is the same each time.
pub fn assign(plan: &Plan, open: &Assign, should_stop: &Stop<'_>) -> Assignment {
    assigned(plan, open, should_stop, &Watch::default())
}

/// The same under a watch.
pub fn assign_watched(plan: &Plan, open: &Assign, watch: &Watch) -> Assignment {
    let should_stop = || {
        watch.did(1);
        watch.is_stopped()
    };
    assigned(plan, open, &should_stop, watch)
}

fn assigned(plan: &Plan, open: &Assign, should_stop: &Stop<'_>, watch: &Watch) -> Assignment {
    watch.begin(Doing::Nothing, None);
    let board = Board::of(plan, open);
    let mut assignment = Assignment {
        aim: open.aim,
        channels: open.channels.len(),
        frequencies: board.legs.len(),
        ways: board.ways(),
        looked_into: 0,
        found: None,
        is_proved: true,
        no_better_than: None,
        contradiction: contradiction(&board, should_stop),
    };
    if assignment.contradiction.is_some() {
        return assignment;
    }
    let tones = tones(plan, open);
    watch.begin(Doing::Channels, Some(board.places()));
    let on_air = OnAir::new(plan, open, &board, &tones, watch);
    watch.begin(Doing::Plans, None);
    let outcome = solve(&on_air, should_stop);
    let reserve = plan.settings.reserve.value;
    assignment.looked_into = outcome.looked_into;
    assignment.is_proved = outcome.is_proved();
    assignment.no_better_than = outcome
        .open_bound
        .as_ref()
        .map(|bound| bound.in_words(reserve));
    assignment.found = outcome.best.map(|(values, price)| {
        let choices: Vec<Choice> = values
            .into_iter()
            .enumerate()
            .map(|(variable, value)| Choice { variable, value })
            .collect();
        let cost = price.in_words(reserve);
        found(plan, open, &board, &tones, &on_air, &choices, cost)
    });
    assignment
}

fn found(
    plan: &Plan,
    open: &Assign,
    board: &Board,
    tones: &[Option<u32>],
    on_air: &OnAir<'_>,
    choices: &[Choice],
    cost: String,
) -> Found {
    let given: Vec<Given> = open
        .channels
        .iter()
        .enumerate()
        .map(|(index, channel)| {
            let legs: Vec<Frequency> = choices
                .iter()
                .filter(|one| {
                    board
                        .legs
                        .get(one.variable)
                        .is_some_and(|leg| leg.channel == index)
                })
                .filter_map(|one| board.frequency(*one))
                .collect();
            let found = on_air.found_of_channel(choices, index);
            let tally = Tally::of(&found);
            Given {
                name: channel.name.clone(),
                stations: channel
                    .stations
                    .iter()
                    .filter_map(|&one| Some(plan.stations.get(one)?.name.clone()))
                    .collect(),
                what: channel.verb(),
                preference: legs.iter().map(|&leg| liking(plan, channel, leg)).sum(),
                legs,
                tone: tones.get(index).copied().flatten(),
                last_year: channel.last_year.clone(),
                verdict: tally.verdict(),
                conflicts: tally.conflicts,
                cautions: tally.cautions,
                worst_margin: tally.worst_margin,
                limited_by: tally.limited_by.map_or_else(
                    || "nothing within the horizon".to_owned(),
                    |limit| limit.text,
                ),
            }
        })
        .collect();
    let settled: Vec<(Choice, Choosing)> = choices
        .iter()
        .map(|&one| (one, Choosing::Settled))
        .collect();
    let plan = on_air.filled(&settled);
    Found {
        changes: given.iter().map(Given::changes).sum(),
        given,
        cost,
        judged: judge(&plan, None),
    }
}

impl Given {
    /// How many of its frequencies are not where they were last year.
    pub fn changes(&self) -> usize {
        let pairs = self.legs.iter().zip(&self.last_year);
        pairs.filter(|(now, then)| now != then).count()
    }
}
