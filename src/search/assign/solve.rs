//! Branch and bound over variables with values, knowing nothing of radio.
//!
//! A choice costs a toll; tolls only add up. What must hold between two choices is kept as rows of bits, so that a choice
//! takes the values it rules out from all that are not chosen. What must hold between more is asked when the last of them is
//! chosen. The search goes depth first, the tightest variable next, and gives a branch up as soon as the best that could
//! come of it is no better than what is held already.

use std::collections::BTreeMap;

use fixedbitset::FixedBitSet;
use rayon::prelude::*;

/// Asked now and then whether to stop; the library reads no clock itself.
pub type Stop<'a> = dyn Fn() -> bool + Sync + 'a;

/// What something costs; the least is the best.
pub trait Toll: Clone + Ord + Send + Sync {
    /// Nothing.
    fn nothing() -> Self;
    /// Both. In no respect less than either of the two.
    fn and(&self, other: &Self) -> Self;
    /// In every respect the lesser of the two.
    fn least(&self, other: &Self) -> Self;
}

/// A variable with a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Choice {
    /// Which variable.
    pub variable: usize,
    /// Which of its values.
    pub value: usize,
}

/// What is to be chosen.
pub trait Task: Sync {
    /// How cost is measured.
    type Toll: Toll;

    /// How many values each variable has.
    fn sizes(&self) -> Vec<usize>;

    /// Whether a choice may stand at all.
    fn permits(&self, _: Choice) -> bool {
        true
    }

    /// Whether two choices may stand together.
    fn agree(&self, one: Choice, other: Choice) -> bool;

    /// Whether a choice may be added to several; asked besides [`agree`](Task::agree).
    fn allows(&self, _chosen: &[Choice], _next: Choice) -> bool {
        true
    }

    /// What a choice costs by itself.
    fn alone(&self, choice: Choice) -> Self::Toll;

    /// No more than a choice adds to those chosen, and cheap to tell.
    fn foreseen(&self, _chosen: &[Choice], next: Choice) -> Self::Toll {
        self.alone(next)
    }

    /// What a choice adds to those chosen; no less than it costs alone.
    fn added(&self, chosen: &[Choice], next: Choice) -> Self::Toll {
        self.foreseen(chosen, next)
    }

    /// No whole costs less than this, as far as is known beforehand.
    fn floor(&self) -> Self::Toll {
        Self::Toll::nothing()
    }

    /// What a whole costs; no less than what its choices added.
    fn whole(&self, _chosen: &[Choice], sum: &Self::Toll) -> Self::Toll {
        sum.clone()
    }

    /// Whether the variables are chosen in their order, and not the tightest first.
    fn is_in_order(&self) -> bool {
        false
    }

    /// Whether values are alike until one of them is chosen, so that of those not in use the first is enough (colours).
    fn values_are_alike(&self) -> bool {
        false
    }
}

/// What came of a search.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outcome<T> {
    /// The best that was found: a value for each variable, and what it costs.
    pub best: Option<(Vec<usize>, T)>,
    /// Nothing is better than this; none when everything was looked into.
    pub open_bound: Option<T>,
    /// How many partial choices were looked into.
    pub looked_into: u64,
}

impl<T> Outcome<T> {
    /// Whether nothing better is left.
    pub const fn is_proved(&self) -> bool {
        self.open_bound.is_none()
    }
}

/// Finds the best choice of all, or the best until it is told to stop.
pub fn solve<T: Task>(task: &T, should_stop: &Stop<'_>) -> Outcome<T::Toll> {
    better_than(task, None, should_stop)
}

/// The same, where only what is better than a known toll is wanted.
pub fn better_than<T: Task>(
    task: &T,
    known: Option<T::Toll>,
    should_stop: &Stop<'_>,
) -> Outcome<T::Toll> {
    let sizes = task.sizes();
    let values: Vec<Vec<Value<T::Toll>>> = sizes
        .iter()
        .enumerate()
        .map(|(variable, &size)| values(task, variable, size))
        .collect();
    let domains: Vec<FixedBitSet> = values
        .iter()
        .zip(&sizes)
        .map(|(values, &size)| {
            let mut domain = FixedBitSet::with_capacity(size);
            for one in values {
                domain.insert(one.choice.value);
            }
            domain
        })
        .collect();
    let rows = rows(task, &sizes);
    let mut search = Search {
        task,
        should_stop,
        values,
        rows,
        weights: vec![1; sizes.len()],
        known,
        floor: task.floor(),
        best: None,
        open_bound: None,
        is_stopped: false,
        looked_into: 0,
    };
    search.descend(&mut Vec::new(), &T::Toll::nothing(), &domains);
    Outcome {
        best: search.best,
        open_bound: search.open_bound,
        looked_into: search.looked_into,
    }
}

/// A value that is permitted, with what it costs alone.
struct Value<T> {
    choice: Choice,
    alone: T,
}

/// The values of a variable, the cheapest first.
fn values<T: Task>(task: &T, variable: usize, size: usize) -> Vec<Value<T::Toll>> {
    let mut values: Vec<Value<T::Toll>> = (0..size)
        .into_par_iter()
        .map(|value| Choice { variable, value })
        .filter(|&choice| task.permits(choice))
        .map(|choice| Value {
            choice,
            alone: task.alone(choice),
        })
        .collect();
    values.sort_by(|one, other| {
        (&one.alone, one.choice.value).cmp(&(&other.alone, other.choice.value))
    });
    values
}

/// By choice and other variable: the values that may stand beside the choice.
type Rows = BTreeMap<Choice, Vec<FixedBitSet>>;

fn rows<T: Task>(task: &T, sizes: &[usize]) -> Rows {
    let choices =
        |variable: usize, size: usize| (0..size).map(move |value| Choice { variable, value });
    sizes
        .iter()
        .enumerate()
        .flat_map(|(variable, &size)| choices(variable, size))
        .map(|one| {
            let beside = sizes.iter().enumerate().map(|(variable, &size)| {
                let mut row = FixedBitSet::with_capacity(size);
                for other in choices(variable, size) {
                    row.set(
                        other.value,
                        variable == one.variable || task.agree(one, other),
                    );
                }
                row
            });
            (one, beside.collect())
        })
        .collect()
}

/// How many values of one variable are weighed up together, before the cheapest of them is followed; the same for any
/// number of threads.
const BATCH: usize = 16;

struct Search<'a, T: Task> {
    task: &'a T,
    should_stop: &'a Stop<'a>,
    /// By variable, the cheapest first.
    values: Vec<Vec<Value<T::Toll>>>,
    rows: Rows,
    /// How often a variable was what failed: it is chosen the earlier.
    weights: Vec<u64>,
    known: Option<T::Toll>,
    floor: T::Toll,
    best: Option<(Vec<usize>, T::Toll)>,
    open_bound: Option<T::Toll>,
    is_stopped: bool,
    looked_into: u64,
}

impl<T: Task> Search<'_, T> {
    fn is_worse(&self, bound: &T::Toll) -> bool {
        let held = self.best.as_ref().map(|(_, toll)| toll);
        held.or(self.known.as_ref())
            .is_some_and(|held| bound >= held || *held <= self.floor)
    }

    /// What is left because of a stop.
    fn leave(&mut self, bound: T::Toll) {
        if !self.is_worse(&bound) {
            self.open_bound = Some(match self.open_bound.take() {
                Some(held) => held.min(bound),
                None => bound,
            });
        }
    }

    fn descend(&mut self, chosen: &mut Vec<Choice>, sum: &T::Toll, domains: &[FixedBitSet]) {
        self.looked_into += 1;
        if chosen.len() == domains.len() {
            self.finish(chosen, sum);
            return;
        }
        let mut least: BTreeMap<usize, T::Toll> = BTreeMap::new();
        for variable in self.open(chosen) {
            let Some(toll) = self.least_of(variable, domains) else {
                self.blame(variable);
                return;
            };
            least.insert(variable, toll);
        }
        let Some(variable) = self.next(&least, domains) else {
            return;
        };
        let rest = least
            .iter()
            .filter(|(other, _)| **other != variable)
            .fold(T::Toll::nothing(), |rest, (_, toll)| rest.and(toll));
        let candidates = self.candidates(chosen, variable, domains);
        let mut is_any = false;
        for batch in candidates.chunks(BATCH) {
            for (choice, toll) in self.weigh(chosen, sum, &rest, batch) {
                let so_far = sum.and(&toll);
                let bound = so_far.and(&rest);
                if self.is_worse(&bound) {
                    continue;
                }
                if self.is_stopped || (self.should_stop)() {
                    self.is_stopped = true;
                    self.leave(bound);
                    continue;
                }
                is_any = true;
                let narrowed = self.narrowed(choice, domains);
                chosen.push(choice);
                self.descend(chosen, &so_far, &narrowed);
                chosen.pop();
            }
        }
        if !is_any {
            self.blame(variable);
        }
    }

    fn open(&self, chosen: &[Choice]) -> impl Iterator<Item = usize> + use<T> {
        let taken: Vec<usize> = chosen.iter().map(|one| one.variable).collect();
        (0..self.values.len()).filter(move |variable| !taken.contains(variable))
    }

    fn least_of(&self, variable: usize, domains: &[FixedBitSet]) -> Option<T::Toll> {
        let domain = domains.get(variable)?;
        let mut left = self
            .values
            .get(variable)?
            .iter()
            .filter(|one| domain.contains(one.choice.value));
        let first = left.next()?.alone.clone();
        Some(left.fold(first, |least, one| least.least(&one.alone)))
    }

    /// The variable with the fewest values left for the times it failed.
    fn next(&self, least: &BTreeMap<usize, T::Toll>, domains: &[FixedBitSet]) -> Option<usize> {
        if self.task.is_in_order() {
            return least.keys().next().copied();
        }
        let size = |variable: usize| {
            domains
                .get(variable)
                .map_or(0, |domain| domain.count_ones(..)) as u64
        };
        let weight = |variable: usize| self.weights.get(variable).copied().unwrap_or(1);
        least.keys().copied().min_by(|&one, &other| {
            (size(one) * weight(other))
                .cmp(&(size(other) * weight(one)))
                .then(one.cmp(&other))
        })
    }

    /// What is left of a variable, the cheapest first.
    fn candidates(
        &self,
        chosen: &[Choice],
        variable: usize,
        domains: &[FixedBitSet],
    ) -> Vec<Choice> {
        let fresh = chosen.iter().map(|one| one.value + 1).max().unwrap_or(0);
        let is_last = |value: usize| !self.task.values_are_alike() || value <= fresh;
        let values = self.values.get(variable).into_iter().flatten();
        values
            .map(|one| one.choice)
            .filter(|choice| {
                domains
                    .get(variable)
                    .is_some_and(|domain| domain.contains(choice.value))
                    && is_last(choice.value)
            })
            .collect()
    }

    /// Those of a batch that may stand and could be better than what is held, with what they add, the cheapest first.
    fn weigh(
        &self,
        chosen: &[Choice],
        sum: &T::Toll,
        rest: &T::Toll,
        batch: &[Choice],
    ) -> Vec<(Choice, T::Toll)> {
        let weigh = |&choice: &Choice| {
            let hopeless = |toll: &T::Toll| self.is_worse(&sum.and(toll).and(rest));
            if hopeless(&self.task.alone(choice)) || !self.task.allows(chosen, choice) {
                return None;
            }
            if self.is_stopped {
                return Some((choice, self.task.alone(choice)));
            }
            if hopeless(&self.task.foreseen(chosen, choice)) {
                return None;
            }
            let toll = self.task.added(chosen, choice);
            (!hopeless(&toll)).then_some((choice, toll))
        };
        let mut weighed: Vec<(Choice, T::Toll)> = if self.task.is_in_order() {
            batch.iter().filter_map(weigh).collect()
        } else {
            batch.par_iter().filter_map(weigh).collect()
        };
        weighed.sort_by(|(one, toll), (other, more)| (toll, one).cmp(&(more, other)));
        weighed
    }

    fn narrowed(&self, choice: Choice, domains: &[FixedBitSet]) -> Vec<FixedBitSet> {
        let mut narrowed = domains.to_vec();
        for (domain, row) in narrowed
            .iter_mut()
            .zip(self.rows.get(&choice).into_iter().flatten())
        {
            domain.intersect_with(row);
        }
        narrowed
    }

    fn blame(&mut self, variable: usize) {
        if let Some(weight) = self.weights.get_mut(variable) {
            *weight += 1;
        }
    }

    fn finish(&mut self, chosen: &[Choice], sum: &T::Toll) {
        let toll = self.task.whole(chosen, sum);
        if !self.is_worse(&toll) {
            let mut in_order = chosen.to_vec();
            in_order.sort_unstable();
            let values = in_order.iter().map(|one| one.value).collect();
            self.best = Some((values, toll));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    impl Toll for u64 {
        fn nothing() -> Self {
            0
        }
        fn and(&self, other: &Self) -> Self {
            self + other
        }
        fn least(&self, other: &Self) -> Self {
            *self.min(other)
        }
    }

    /// Variables with so many values, all of which go together.
    struct Free(Vec<usize>);

    impl Task for Free {
        type Toll = u64;

        fn sizes(&self) -> Vec<usize> {
            self.0.clone()
        }

        fn agree(&self, _: Choice, _: Choice) -> bool {
            true
        }

        fn alone(&self, _: Choice) -> u64 {
            0
        }
    }

    /// The fewest values for each time it failed: 3 by 2 before 2 by 1, 2 by 1 before 3 by 1, of equals the first.
    #[test]
    fn the_variable_that_is_tightest_for_the_times_it_failed_is_chosen_next() {
        let next = |sizes: [usize; 2], weights: [u64; 2]| {
            let task = Free(sizes.to_vec());
            let should_stop: &Stop<'_> = &|| false;
            let search = Search {
                task: &task,
                should_stop,
                values: Vec::new(),
                rows: Rows::new(),
                weights: weights.to_vec(),
                known: None,
                floor: 0,
                best: None,
                open_bound: None,
                is_stopped: false,
                looked_into: 0,
            };
            let domains = sizes.map(|size| {
                let mut domain = FixedBitSet::with_capacity(size);
                domain.insert_range(..);
                domain
            });
            search.next(&BTreeMap::from([(0, 0), (1, 0)]), &domains)
        };
        assert_eq!(next([3, 2], [1, 1]), Some(1));
        assert_eq!(next([2, 3], [1, 1]), Some(0));
        assert_eq!(next([3, 2], [2, 1]), Some(0));
        assert_eq!(next([2, 3], [1, 2]), Some(1));
        assert_eq!(next([4, 6], [2, 3]), Some(0));
        assert_eq!(next([4, 6], [1, 3]), Some(1));
    }
}
