//! A search with everything that is asked about it.

use super::blockers::{Freed, freed};
use super::front::{Front, front};
use super::groups::{Group, grouped, single};
use super::rank::{Ranking, Sweep};
use super::robust::{Share, Trials, shares};
use super::strangers::{Strangers, strangers};
use super::watch::{Doing, Watch};
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
    /// Whether everything that was asked beside it was worked out too, and not left out because of a stop.
    pub is_whole: bool,
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
            is_whole: ranking.is_finished,
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
    answer_watched(plan, search, question, &Watch::default())
}

/// The same under a watch: told to stop, it ends with the best it has, and says so.
pub fn answer_watched(plan: &Plan, search: &Search, question: &Question, watch: &Watch) -> Answer {
    let as_it_stands = plan;
    let plan = &supposing(plan, search, &question.suppose);
    // What is judged for the order stays judged for what is asked beside it.
    let sweep = &mut Sweep::of(plan, search, watch);
    let (ranking, groups) = if question.is_every {
        (single(plan, search, sweep, question.top), Vec::new())
    } else {
        grouped(plan, search, sweep, question.top)
    };
    watch.begin(Doing::Beside, None);
    let mut answer = Answer {
        groups,
        ..Answer::plain(ranking)
    };
    let ranking = &answer.ranking;
    let best = ranking.rows.first();
    let is_safe = best.is_some_and(|row| row.verdict != Verdict::Conflict);
    let is_whole = &mut answer.is_whole;
    if !question.suppose.is_empty() {
        answer.bought = unless_stopped(watch, is_whole, || {
            Some(bought(as_it_stands, search, &question.suppose, watch))
        })
        .unwrap_or_default();
    }
    if let Some(trials) = question.trials {
        let shares = || Some(shares(plan, search, &ranking.rows, trials));
        answer.shares = unless_stopped(watch, is_whole, shares).unwrap_or_default();
    }
    if question.wants_front {
        answer.front = unless_stopped(watch, is_whole, || Some(front(plan, search, sweep)));
    }
    if question.wants_freed && !is_safe {
        answer.freed = unless_stopped(watch, is_whole, || freed(plan, search, sweep, watch));
    }
    if let Some((distance, row)) = question.stranger.zip(best.filter(|_| is_safe)) {
        let strangers = || strangers(plan, search, &row.legs, distance);
        answer.strangers = unless_stopped(watch, is_whole, strangers);
    }
    answer
}

/// What is asked beside the order, left out where the search was stopped before or meanwhile.
fn unless_stopped<T>(
    watch: &Watch,
    is_whole: &mut bool,
    work: impl FnOnce() -> Option<T>,
) -> Option<T> {
    let found = (!watch.is_stopped()).then(work);
    if found.is_none() || watch.is_stopped() {
        *is_whole = false;
        return None;
    }
    found.flatten()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_stop_comes_upon_is_left_out_whether_it_had_begun_or_not() {
        let asked = |stops: fn(&Watch), found: Option<u8>| {
            let watch = Watch::default();
            let mut is_whole = true;
            let told = unless_stopped(&watch, &mut is_whole, || {
                stops(&watch);
                found
            });
            (told, is_whole)
        };
        assert_eq!(asked(|_| (), Some(7)), (Some(7), true));
        // To find nothing is an answer.
        assert_eq!(asked(|_| (), None), (None, true));
        assert_eq!(asked(Watch::stop, Some(7)), (None, false));
        let watch = Watch::default();
        watch.stop();
        let mut is_whole = true;
        let told = unless_stopped(&watch, &mut is_whole, || -> Option<u8> {
            panic!("nothing is begun after a stop")
        });
        assert_eq!((told, is_whole), (None, false));
    }
}
