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

#[cfg(test)]
mod tests {
    use super::*;

    fn tally(conflicts: usize, cautions: usize, margin: Option<f64>) -> Tally {
        Tally {
            conflicts,
            cautions,
            worst_margin: margin.map(Decibels::db),
            ..Tally::default()
        }
    }

    fn price(conflicts: usize, cautions: usize, margin: Option<f64>) -> Price {
        Price::of(&tally(conflicts, cautions, margin), Decibels::db(6.0))
    }

    #[test]
    fn plans_are_compared_by_refusal_changes_margin_conflicts_a_caution_liking_and_cautions_in_this_order()
     {
        let in_order = [
            price(0, 0, None),
            price(0, 1, None),
            price(0, 0, Some(13.0)),
            // Within one step of the reserve margins are alike, and a caution decides.
            price(0, 1, Some(17.0)),
            price(0, 0, Some(11.0)),
            price(0, 0, Some(11.0)).at(0, 1),
            price(0, 1, Some(6.0)),
            price(0, 2, Some(11.9)),
            price(0, 1, Some(11.0)).at(0, 1),
            price(0, 0, Some(5.0)),
            price(0, 0, Some(-1.0)),
            price(0, 0, None).at(1, 0),
            price(1, 0, None),
            price(1, 0, Some(-1.0)),
            price(1, 1, Some(-1.0)),
            price(2, 0, Some(-1.0)),
            price(1, 0, None).at(1, 0),
        ];
        for (at, one) in in_order.iter().enumerate() {
            for (other_at, other) in in_order.iter().enumerate() {
                assert_eq!(one.cmp(other), at.cmp(&other_at), "{one:?} {other:?}");
            }
        }
        // Among conflicts, one without a caution wants no look on its account.
        assert!(!price(1, 0, None).wants_a_look && price(1, 1, None).wants_a_look);
        assert!(!price(0, 0, None).wants_a_look && price(0, 1, None).wants_a_look);
    }

    #[test]
    fn what_is_chosen_together_costs_the_sum_and_has_the_lesser_margin() {
        let one = price(1, 2, Some(7.0)).at(2, 3);
        let other = price(2, 3, Some(-7.0)).at(3, 5);
        for sum in [one.and(&other), other.and(&one)] {
            assert_eq!(sum, price(3, 5, Some(-7.0)).at(5, 8));
        }
        for free in [one.and(&Price::nothing()), Price::nothing().and(&one)] {
            assert_eq!(free, one);
        }
        assert_eq!(price(0, 0, None), Price::nothing());
    }

    #[test]
    fn the_lesser_of_two_is_the_lesser_in_every_respect() {
        let nothing = Price::nothing();
        let one = price(1, 2, Some(7.0)).at(2, 5);
        assert_eq!(one.least(&nothing), nothing);
        assert_eq!(nothing.least(&one), nothing);
        let other = price(2, 1, Some(13.0)).at(3, 3);
        for least in [one.least(&other), other.least(&one)] {
            assert_eq!(least, price(1, 1, Some(13.0)).at(2, 3));
        }
    }
}
