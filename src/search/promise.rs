//! How good a candidate is, or could be at best.

use std::cmp::Reverse;

use super::tally::Tally;
use super::whole::Said;
use crate::quantity::{Decibels, Frequency};

/// A candidate and what was found of it.
#[derive(Clone)]
pub(super) struct Candidate {
    pub(super) legs: Vec<Frequency>,
    pub(super) tally: Tally,
    pub(super) preference: i32,
    /// The checks of the plan as a whole that found a caution or worse, as far as they were asked.
    pub(super) of_the_plan: Vec<&'static str>,
    /// Whether the checks that look at the net were asked; what they found is in its tally.
    pub(super) has_asked_the_net: bool,
}

impl Candidate {
    /// A candidate of whose plan as a whole nothing was asked.
    pub(super) const fn of(legs: Vec<Frequency>, tally: Tally, preference: i32) -> Self {
        Self {
            legs,
            tally,
            preference,
            of_the_plan: Vec::new(),
            has_asked_the_net: false,
        }
    }

    /// Adds what checks of the plan as a whole said.
    pub(super) fn hear(&mut self, said: &Said) {
        self.tally = self.tally.and(&said.tally);
        self.of_the_plan.extend(&said.checks);
        self.of_the_plan.sort_unstable();
    }

    /// Adds what the checks say that look at the net.
    pub(super) fn hear_of_the_net(&mut self, said: &Said) {
        self.hear(said);
        self.has_asked_the_net = true;
    }
}

/// The place of a candidate among all: the least is the best, and the frequencies decide between equals.
pub(super) fn order(candidate: &Candidate, coarse: Decibels) -> (Promise, &[Frequency]) {
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
pub(super) struct Promise {
    is_refused: bool,
    /// Rung of the least margin, since no level is known better; nothing within the horizon is better than any.
    is_anything_near: bool,
    margin: Reverse<Option<i64>>,
    wants_a_look: bool,
    preference: Reverse<i32>,
    cautions: usize,
}

impl Promise {
    pub(super) fn of(tally: &Tally, preference: i32, coarse: Decibels) -> Self {
        Self {
            is_refused: tally.conflicts > 0,
            is_anything_near: tally.worst_margin.is_some(),
            margin: Reverse(tally.worst_margin.map(|margin| rung(margin, coarse))),
            // Of what conflicts not everything is counted.
            wants_a_look: tally.conflicts == 0 && tally.cautions > 0,
            preference: Reverse(preference),
            cautions: if tally.conflicts == 0 {
                tally.cautions
            } else {
                0
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn promise(conflicts: usize, cautions: usize, margin: Option<f64>, preference: i32) -> Promise {
        let tally = Tally {
            conflicts,
            cautions,
            worst_margin: margin.map(Decibels::db),
            ..Tally::default()
        };
        Promise::of(&tally, preference, Decibels::db(6.0))
    }

    #[test]
    fn candidates_come_by_refusal_margin_in_steps_a_caution_liking_and_the_number_of_cautions() {
        let in_order = [
            promise(0, 0, None, 1),
            promise(0, 0, None, 0),
            promise(0, 1, None, 1),
            promise(0, 0, Some(12.0), 0),
            promise(0, 0, Some(11.9), 1),
            promise(0, 0, Some(6.0), 0),
            promise(0, 1, Some(6.0), 1),
            promise(0, 2, Some(11.9), 1),
            promise(0, 1, Some(11.9), 0),
            promise(0, 0, Some(5.9), 0),
            promise(0, 0, Some(-0.1), 0),
            promise(1, 0, Some(-0.1), 0),
            promise(1, 0, Some(-6.1), 1),
        ];
        assert!(in_order.is_sorted_by(|one, other| one < other));
        // Of what conflicts not everything is counted: neither conflicts nor cautions tell two apart.
        assert_eq!(promise(1, 0, Some(-1.0), 0), promise(3, 2, Some(-1.0), 0));
        // Where the reserve is nothing, a tenth of a dB is a step.
        assert_eq!(rung(Decibels::db(1.05), Decibels::ZERO), 10);
        assert_eq!(rung(Decibels::db(-0.1), Decibels::db(6.0)), -1);
    }
}
