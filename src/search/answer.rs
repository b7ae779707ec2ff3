//! A search with everything that is asked about it.

use super::blockers::{Freed, freed};
use super::front::{Front, front};
use super::groups::{Group, grouped, single};
use super::rank::Ranking;
use super::robust::{Share, Trials, shares};
use super::strangers::{Strangers, strangers};
use super::what_if::{Bought, Supposed, bought, supposing};
use crate::assess::Verdict;
use crate::quantity::Length;
use crate::scenario::{Plan, Search};

/// What is asked about a search.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Question {
    /// How many rows to show.
    pub top: usize,
    /// Whether every candidate has a row of its own, rather than one row for those alike.
    pub is_every: bool,
    /// Whether to weigh the safe candidates against each other in everything.
    pub wants_front: bool,
    /// Whether to ask, when nothing is safe, without whom something would be.
    pub wants_freed: bool,
    /// Changes to the plan; the rows are those with all of them.
    pub suppose: Vec<Supposed>,
    /// Trials of how well the rows stand.
    pub trials: Option<Trials>,
    /// How far a surprise neighbour would be, where one is to be put on every channel.
    pub stranger: Option<Length>,
}

/// What a search came to.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// The ranking; its rows are those to be shown.
    pub ranking: Ranking,
    /// What each row stands for; empty where every row stands for itself.
    pub groups: Vec<Group>,
    /// How each row stands the trials; empty where nobody asked.
    pub shares: Vec<Share>,
    /// What nothing beats in everything.
    pub front: Option<Front>,
    /// When nothing is safe: without whom something would be.
    pub freed: Option<Freed>,
    /// What changes buy: first the plan as it stands; empty where none are supposed.
    pub bought: Vec<Bought>,
    /// Channels that nobody else may use beside the best row.
    pub strangers: Option<Strangers>,
}

impl Answer {
    /// A ranking of which nothing more is asked.
    pub const fn plain(ranking: Ranking) -> Self {
        Self {
            ranking,
            groups: Vec::new(),
            shares: Vec::new(),
            front: None,
            freed: None,
            bought: Vec::new(),
            strangers: None,
        }
    }
}

/// Answers everything that is asked about a search.
pub fn answer(plan: &Plan, search: &Search, question: &Question) -> Answer {
    let bought = if question.suppose.is_empty() {
        Vec::new()
    } else {
        bought(plan, search, &question.suppose)
    };
    let plan = &supposing(plan, search, &question.suppose);
    let (ranking, groups) = if question.is_every {
        (single(plan, search, question.top), Vec::new())
    } else {
        grouped(plan, search, question.top)
    };
    let best = ranking.rows.first();
    let is_safe = best.is_some_and(|row| row.verdict != Verdict::Conflict);
    Answer {
        shares: question.trials.map_or_else(Vec::new, |trials| {
            shares(plan, search, &ranking.rows, trials)
        }),
        front: question.wants_front.then(|| front(plan, search)),
        freed: (question.wants_freed && !is_safe)
            .then(|| freed(plan, search))
            .flatten(),
        strangers: question
            .stranger
            .zip(best.filter(|_| is_safe))
            .and_then(|(distance, row)| strangers(plan, search, &row.legs, distance)),
        bought,
        ranking,
        groups,
    }
}
