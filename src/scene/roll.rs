//! A list whose first part many scenes share.

use std::sync::Arc;

/// What stands whatever is under trial, and after it what is under trial: one list by index.
#[derive(Debug, Clone)]
pub struct Roll<T> {
    standing: Arc<[T]>,
    on_trial: Vec<T>,
}

impl<T> Roll<T> {
    /// A list of what stands and of what is under trial.
    pub(super) const fn new(standing: Arc<[T]>, on_trial: Vec<T>) -> Self {
        Self { standing, on_trial }
    }

    /// What stands in another list, and what is under trial in this one.
    pub fn among(standing: &Self, on_trial: Vec<T>) -> Self {
        Self::new(Arc::clone(&standing.standing), on_trial)
    }

    /// So many who stand, and after them those under trial.
    pub fn of(mut all: Vec<T>, standing: usize) -> Self {
        let on_trial = all.split_off(standing.min(all.len()));
        Self::new(all.into(), on_trial)
    }

    /// Those under trial, to be changed or added to.
    #[cfg(test)]
    pub(crate) const fn on_trial(&mut self) -> &mut Vec<T> {
        &mut self.on_trial
    }

    /// The member with this index.
    pub fn get(&self, index: usize) -> Option<&T> {
        match index.checked_sub(self.standing.len()) {
            None => self.standing.get(index),
            Some(index) => self.on_trial.get(index),
        }
    }

    /// All members, those under trial last.
    pub fn iter(&self) -> impl Iterator<Item = &T> + Clone {
        self.standing.iter().chain(&self.on_trial)
    }

    /// All members from an index on, each with its index.
    pub fn from(&self, first: usize) -> impl Iterator<Item = (usize, &T)> + Clone {
        let standing = self.standing.get(first..).unwrap_or_default();
        let skipped = first.saturating_sub(self.standing.len());
        let on_trial = self.on_trial.get(skipped..).unwrap_or_default();
        standing
            .iter()
            .chain(on_trial)
            .enumerate()
            .map(move |(place, one)| (first + place, one))
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.standing.len() + self.on_trial.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// How many stand whatever is under trial; they come first.
    pub fn standing(&self) -> usize {
        self.standing.len()
    }

    /// The same list with its members changed; those under trial stay so.
    pub fn changed(&self, mut change: impl FnMut(&mut T)) -> Self
    where
        T: Clone,
    {
        let mut of = |members: &[T]| -> Vec<T> {
            let mut members = members.to_vec();
            members.iter_mut().for_each(&mut change);
            members
        };
        Self {
            standing: of(&self.standing).into(),
            on_trial: of(&self.on_trial),
        }
    }

    /// The same list with those changed that are to be; what stands is shared where none of it is.
    pub fn changed_where(&self, is_it: impl Fn(&T) -> bool, change: impl Fn(&mut T)) -> Self
    where
        T: Clone,
    {
        let of = |members: &[T]| -> Vec<T> {
            let mut members = members.to_vec();
            members
                .iter_mut()
                .filter(|one| is_it(one))
                .for_each(&change);
            members
        };
        let standing = if self.standing.iter().any(&is_it) {
            of(&self.standing).into()
        } else {
            Arc::clone(&self.standing)
        };
        Self {
            standing,
            on_trial: of(&self.on_trial),
        }
    }
}

impl<T> Default for Roll<T> {
    fn default() -> Self {
        Self::new(Arc::new([]), Vec::new())
    }
}

impl<T: PartialEq> PartialEq for Roll<T> {
    fn eq(&self, other: &Self) -> bool {
        self.iter().eq(other.iter())
    }
}

impl<T: Eq> Eq for Roll<T> {}

impl<'a, T> IntoIterator for &'a Roll<T> {
    type Item = &'a T;
    type IntoIter = std::iter::Chain<std::slice::Iter<'a, T>, std::slice::Iter<'a, T>>;

    fn into_iter(self) -> Self::IntoIter {
        self.standing.iter().chain(&self.on_trial)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_roll_is_what_stands_and_then_what_is_under_trial() {
        let of = |standing: &[u8], on_trial: &[u8]| Roll::new(standing.into(), on_trial.to_vec());
        let roll = of(&[1, 2], &[3]);
        assert_eq!(roll.iter().copied().collect::<Vec<u8>>(), [1, 2, 3]);
        assert_eq!((roll.len(), roll.standing()), (3, 2));
        let from = |first: usize| {
            roll.from(first)
                .map(|(at, one)| (at, *one))
                .collect::<Vec<_>>()
        };
        assert_eq!(from(1), [(1, 2), (2, 3)]);
        assert_eq!(from(2), [(2, 3)]);
        assert!(from(3).is_empty());
        assert_eq!((roll.get(2), roll.get(3)), (Some(&3), None));
        assert!(of(&[], &[]).is_empty());
        assert!(!roll.is_empty() && !of(&[], &[3]).is_empty() && !of(&[1], &[]).is_empty());
    }

    #[test]
    fn two_rolls_are_alike_where_their_members_are_in_their_order_wherever_they_stand() {
        let of = |standing: &[u8], on_trial: &[u8]| Roll::new(standing.into(), on_trial.to_vec());
        assert!(of(&[1, 2], &[3]) == of(&[1, 2], &[3]) && of(&[1, 2], &[3]) == of(&[1], &[2, 3]));
        for other in [
            of(&[1, 2], &[4]),
            of(&[1, 2], &[]),
            of(&[2, 1], &[3]),
            of(&[], &[]),
        ] {
            assert!(of(&[1, 2], &[3]) != other, "{other:?}");
        }
    }
}
