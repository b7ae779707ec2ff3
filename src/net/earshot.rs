//! Who arrives at whom, with what is the same in many networks kept once.

use std::collections::BTreeMap;
use std::sync::Arc;

use itertools::Itertools;

use super::{Heard, HearerId, SenderId};

/// A sender and a hearer.
pub type Ends = (SenderId, HearerId);

/// Who arrives at whom, tone or not.
#[derive(Debug, Clone, Default)]
pub struct Earshot {
    /// What other networks may have in common with this one.
    standing: Arc<BTreeMap<Ends, Heard>>,
    /// What is this network's own; none of it stands in the other part.
    own: BTreeMap<Ends, Heard>,
}

impl Earshot {
    /// What stands in another one, and with it what is new.
    pub fn among(standing: &Self, mut own: BTreeMap<Ends, Heard>) -> Self {
        own.extend(
            standing
                .own
                .iter()
                .map(|(ends, heard)| (*ends, heard.clone())),
        );
        Self {
            standing: Arc::clone(&standing.standing),
            own,
        }
    }

    /// How a sender arrives at a hearer, if it does.
    pub fn get(&self, ends: Ends) -> Option<&Heard> {
        self.own.get(&ends).or_else(|| self.standing.get(&ends))
    }

    /// Whether a sender arrives at a hearer.
    pub fn has(&self, ends: Ends) -> bool {
        self.get(ends).is_some()
    }

    /// All of them, in order.
    pub fn iter(&self) -> impl Iterator<Item = (Ends, &Heard)> {
        in_order(self.standing.iter(), self.own.iter())
    }

    /// What was not taken over from another one, in order.
    pub fn own(&self) -> impl Iterator<Item = (Ends, &Heard)> {
        self.own.iter().map(|(ends, heard)| (*ends, heard))
    }

    /// The hearers that a sender arrives at, in order.
    pub fn of(&self, sender: SenderId) -> impl Iterator<Item = (Ends, &Heard)> {
        let all = (sender, HearerId(0))..=(sender, HearerId(usize::MAX));
        in_order(self.standing.range(all.clone()), self.own.range(all))
    }

    /// Only those that some test lets pass.
    #[must_use]
    pub fn only(&self, is_kept: impl Fn(Ends) -> bool) -> Self {
        let kept = self.iter().filter(|(ends, _)| is_kept(*ends));
        kept.map(|(ends, heard)| (ends, heard.clone())).collect()
    }

    /// One of them, to be changed.
    #[cfg(test)]
    pub(super) fn get_mut(&mut self, ends: Ends) -> Option<&mut Heard> {
        Arc::make_mut(&mut self.standing).get_mut(&ends)
    }
}

fn in_order<'a>(
    one: impl Iterator<Item = (&'a Ends, &'a Heard)>,
    other: impl Iterator<Item = (&'a Ends, &'a Heard)>,
) -> impl Iterator<Item = (Ends, &'a Heard)> {
    let all = one.merge_by(other, |one, other| one.0 <= other.0);
    all.map(|(ends, heard)| (*ends, heard))
}

impl FromIterator<(Ends, Heard)> for Earshot {
    fn from_iter<I: IntoIterator<Item = (Ends, Heard)>>(all: I) -> Self {
        Self {
            standing: Arc::new(all.into_iter().collect()),
            own: BTreeMap::new(),
        }
    }
}

impl PartialEq for Earshot {
    fn eq(&self, other: &Self) -> bool {
        self.iter().eq(other.iter())
    }
}

impl Eq for Earshot {}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Decibels;

    fn heard(ends: &[(usize, usize)]) -> BTreeMap<Ends, Heard> {
        let one = |&(from, by): &(usize, usize)| {
            let heard = Heard {
                margin: Decibels::db(20.0),
                sure: Decibels::db(10.0),
                through: None,
            };
            ((SenderId(from), HearerId(by)), heard)
        };
        ends.iter().map(one).collect()
    }

    #[test]
    fn what_stands_and_what_is_new_are_one_list_in_order() {
        let standing: Earshot = heard(&[(0, 1), (1, 0), (3, 2)]).into_iter().collect();
        let all = Earshot::among(&standing, heard(&[(0, 4), (2, 0), (3, 1)]));
        let plainly: Earshot = heard(&[(0, 1), (0, 4), (1, 0), (2, 0), (3, 1), (3, 2)])
            .into_iter()
            .collect();
        let ends = |all: &Earshot| -> Vec<Ends> { all.iter().map(|(ends, _)| ends).collect() };
        assert_eq!(ends(&all), ends(&plainly));
        assert_eq!(all, plainly);
        assert_ne!(all, standing);
        for ends in ends(&plainly) {
            assert!(all.has(ends), "{ends:?}");
        }
        assert!(!all.has((SenderId(1), HearerId(1))));
        let of_three: Vec<usize> = all.of(SenderId(3)).map(|((_, by), _)| by.0).collect();
        assert_eq!(of_three, [1, 2]);
        let own: Vec<usize> = all.own().map(|((from, _), _)| from.0).collect();
        assert_eq!(own, [0, 2, 3]);
        let without = all.only(|(from, _)| from != SenderId(0));
        assert_eq!(ends(&without), ends(&all)[2..]);
        // What is new there stays so beside a third.
        let third = Earshot::among(&all, heard(&[(9, 9)]));
        assert_eq!(third.iter().count(), 7);
    }
}
