//! What the findings that rest on some channels cost, in the order in which plans are compared.

use std::cmp::Reverse;

use super::solve::Toll;
use crate::assess::Verdict;
use crate::quantity::Decibels;
use crate::search::tally::Tally;

/// What choices cost: the fields in the order in which plans are compared.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Price {
    /// Whether something conflicts.
    pub is_refused: bool,
    /// How many frequencies differ from last year's; zero where that is not the aim.
    pub changes: usize,
    /// Whether anything comes within the horizon.
    is_anything_near: bool,
    /// Rung of the least margin, in steps of the reserve.
    rung: Reverse<Option<i64>>,
    /// Number of conflicts.
    pub conflicts: usize,
    wants_a_look: bool,
    /// How much less the band plan likes the places than the best on offer.
    pub dislike: usize,
    /// Number of cautions.
    pub cautions: usize,
}

impl Price {
    /// What findings cost.
    pub(super) fn of(tally: &Tally, coarse: Decibels) -> Self {
        Self {
            is_refused: tally.conflicts > 0,
            changes: 0,
            is_anything_near: tally.worst_margin.is_some(),
            rung: Reverse(tally.worst_margin.map(|margin| rung(margin, coarse))),
            conflicts: tally.conflicts,
            wants_a_look: tally.verdict() >= Verdict::Caution && tally.cautions > 0,
            dislike: 0,
            cautions: tally.cautions,
        }
    }

    /// The same with what a place itself costs.
    pub(super) fn at(self, changes: usize, dislike: usize) -> Self {
        Self {
            changes,
            dislike,
            ..self
        }
    }

    /// What it says, for a reader; no plan that is better differs only in what is not said.
    pub fn in_words(&self, coarse: Decibels) -> String {
        let conflicts = match self.conflicts {
            0 => "no conflict".to_owned(),
            1 => "1 conflict".to_owned(),
            many => format!("{many} conflicts"),
        };
        let margin = match self.rung.0 {
            None => "nothing within the horizon".to_owned(),
            Some(rung) => {
                let step = coarse.max(Decibels::db(0.1));
                let from = step * rung as f64;
                format!("a least margin between {from} and {}", from + step)
            }
        };
        let changes = match self.changes {
            0 => String::new(),
            1 => ", 1 change".to_owned(),
            many => format!(", {many} changes"),
        };
        let cautions = match self.cautions {
            1 => "1 caution".to_owned(),
            many => format!("{many} cautions"),
        };
        format!("{conflicts}{changes}, {margin}, {cautions}")
    }
}

/// Margins that differ by less than the reserve count as equal: no level is known better than that.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a margin is within ±10⁶ dB and a rung at least 0.1 dB"
)]
fn rung(margin: Decibels, coarse: Decibels) -> i64 {
    (margin.as_db() / coarse.as_db().max(0.1)).floor() as i64
}

impl Toll for Price {
    fn nothing() -> Self {
        Self {
            is_refused: false,
            changes: 0,
            is_anything_near: false,
            rung: Reverse(None),
            conflicts: 0,
            wants_a_look: false,
            dislike: 0,
            cautions: 0,
        }
    }

    fn and(&self, other: &Self) -> Self {
        Self {
            is_refused: self.is_refused || other.is_refused,
            changes: self.changes + other.changes,
            is_anything_near: self.is_anything_near || other.is_anything_near,
            rung: Reverse(self.rung.0.into_iter().chain(other.rung.0).min()),
            conflicts: self.conflicts + other.conflicts,
            wants_a_look: self.wants_a_look || other.wants_a_look,
            dislike: self.dislike + other.dislike,
            cautions: self.cautions + other.cautions,
        }
    }

    fn least(&self, other: &Self) -> Self {
        let rungs = self.rung.0.zip(other.rung.0);
        Self {
            is_refused: self.is_refused && other.is_refused,
            changes: self.changes.min(other.changes),
            is_anything_near: self.is_anything_near && other.is_anything_near,
            rung: Reverse(rungs.map(|(one, other)| one.max(other))),
            conflicts: self.conflicts.min(other.conflicts),
            wants_a_look: self.wants_a_look && other.wants_a_look,
            dislike: self.dislike.min(other.dislike),
            cautions: self.cautions.min(other.cautions),
        }
    }
}
