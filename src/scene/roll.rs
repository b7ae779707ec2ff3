//! A list whose first part many scenes share.

use std::sync::Arc;

/// What stands whatever is under trial, and after it what is under trial: one list by index.
#[derive(Debug, Clone)]
pub struct Roll<T> {
    standing: Arc<[T]>,
    /// Those who stand otherwise than in what other lists share, by index: a change to one copies no other.
    otherwise: Vec<(usize, T)>,
    on_trial: Vec<T>,
}

impl<T> Roll<T> {
    /// A list of what stands and of what is under trial.
    pub(super) const fn new(standing: Arc<[T]>, on_trial: Vec<T>) -> Self {
        Self {
            standing,
            otherwise: Vec::new(),
            on_trial,
        }
    }

    /// What stands in another list, and what is under trial in this one.
    pub fn among(standing: &Self, on_trial: Vec<T>) -> Self
    where
        T: Clone,
    {
        Self {
            standing: Arc::clone(&standing.standing),
            otherwise: standing.otherwise.clone(),
            on_trial,
        }
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
            None => self.standing.get(index).map(|one| self.now(index, one)),
            Some(index) => self.on_trial.get(index),
        }
    }

    /// One who stands, as it is in this list.
    fn now<'a>(&'a self, index: usize, shared: &'a T) -> &'a T {
        let mut otherwise = self.otherwise.iter();
        let own = otherwise.find(|(which, _)| *which == index);
        own.map_or(shared, |(_, own)| own)
    }

    /// All members, those under trial last.
    pub fn iter(&self) -> impl Iterator<Item = &T> + Clone {
        self.from(0).map(|(_, one)| one)
    }

    /// All members from an index on, each with its index.
    pub fn from(&self, first: usize) -> impl Iterator<Item = (usize, &T)> + Clone {
        let standing = self.standing.get(first..).unwrap_or_default();
        let skipped = first.saturating_sub(self.standing.len());
        let on_trial = self.on_trial.get(skipped..).unwrap_or_default();
        let standing = standing.iter().enumerate();
        let standing = standing.map(move |(place, one)| self.now(first + place, one));
        standing
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

    /// The same list with those changed that are to be, wherever they stand; all others are shared.
    pub fn changed_where(&self, is_it: impl Fn(&T) -> bool, change: impl Fn(&mut T)) -> Self
    where
        T: Clone,
    {
        let those = self.from(0).filter(|(_, one)| is_it(one));
        let those: Vec<usize> = those.map(|(index, _)| index).collect();
        self.changed_at(&those, change)
    }

    /// The same list with some changed, by index.
    pub fn changed_at(&self, those: &[usize], change: impl Fn(&mut T)) -> Self
    where
        T: Clone,
    {
        let mut changed = self.clone();
        for &index in those {
            if let Some(one) = changed.own(index) {
                change(one);
            }
        }
        changed
    }

    /// The member with this index, to be changed without anybody else's seeing it.
    fn own(&mut self, index: usize) -> Option<&mut T>
    where
        T: Clone,
    {
        if let Some(place) = index.checked_sub(self.standing.len()) {
            return self.on_trial.get_mut(place);
        }
        let place = (self.otherwise.iter()).position(|(which, _)| *which == index);
        let place = if let Some(place) = place {
            place
        } else {
            let shared = self.standing.get(index)?;
            self.otherwise.push((index, shared.clone()));
            self.otherwise.len() - 1
        };
        self.otherwise.get_mut(place).map(|(_, own)| own)
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
    /// Against a plain list: one changed twice, one changed by what it has become, those under trial too.
    #[test]
    fn a_change_is_seen_however_one_looks_and_no_other_list_sees_it() {
        let first = Roll::new([10, 20, 30].into(), vec![40]);
        let all = |roll: &Roll<i32>| {
            let all: Vec<i32> = roll.iter().copied().collect();
            let one_by_one = (0..roll.len()).map(|index| *roll.get(index).unwrap());
            assert!(one_by_one.eq(all.iter().copied()));
            for first in 0..=roll.len() {
                let from: Vec<(usize, i32)> =
                    roll.from(first).map(|(index, one)| (index, *one)).collect();
                let rest = all.iter().copied().enumerate().skip(first);
                assert_eq!(from, rest.collect::<Vec<_>>());
            }
            assert_eq!((roll.len(), roll.standing()), (4, 3));
            all
        };
        let second = first.changed_at(&[1], |one| *one += 1);
        assert_eq!(all(&second), [10, 21, 30, 40]);
        let third = second.changed_at(&[1], |one| *one += 1);
        assert_eq!(all(&third), [10, 22, 30, 40]);
        let fourth = third.changed_where(|one| *one > 21, |one| *one *= 2);
        assert_eq!(all(&fourth), [10, 44, 60, 80]);
        let fifth = fourth.changed_where(|one| *one == 10, |one| *one = 11);
        assert_eq!(all(&fifth), [11, 44, 60, 80]);
        // Nothing stands there; and one under trial.
        assert_eq!(
            all(&fifth.changed_at(&[7], |one| *one = 0)),
            [11, 44, 60, 80]
        );
        assert_eq!(
            all(&fifth.changed_at(&[3, 0], |one| *one = 0)),
            [0, 44, 60, 0]
        );
        let among = Roll::among(&fifth, vec![5]);
        assert_eq!(all(&among), [11, 44, 60, 5]);
        assert_eq!(all(&first), [10, 20, 30, 40]);
        assert!(fifth == Roll::new([11, 44, 60].into(), vec![80]) && fifth != fourth);
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
