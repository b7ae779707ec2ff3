//! Why nothing can be placed: a smallest set of what is asked that cannot all hold.

use std::cell::Cell;

use itertools::Itertools;

use super::board::{Board, can_be_placed};
use super::solve::Stop;

/// How many sets are tried for a smallest before a set is taken of which nothing can be left out.
const MOST_TRIES: u32 = 20_000;

/// What is asked and cannot all hold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Contradiction {
    /// Each in words, the channels first.
    pub asked: Vec<String>,
    /// Whether no smaller set contradicts itself; else only that nothing can be left out of this one.
    pub is_smallest: bool,
}

/// A smallest set that cannot all hold; none where everything can.
pub(super) fn contradiction(board: &Board, should_stop: &Stop<'_>) -> Option<Contradiction> {
    let all: Vec<Asked> = (0..board.channels.len())
        .map(Asked::Channel)
        .chain((0..board.requirements.len()).map(Asked::Requirement))
        .collect();
    if holds(board, &all, should_stop) {
        return None;
    }
    let tries = Cell::new(0u32);
    let smallest = (1..=all.len())
        .flat_map(|size| all.iter().copied().combinations(size))
        .take_while(|_| {
            tries.set(tries.get() + 1);
            tries.get() <= MOST_TRIES && !should_stop()
        })
        .find(|set| !holds(board, set, should_stop));
    let is_smallest = smallest.is_some();
    let set = smallest.unwrap_or_else(|| without_the_needless(board, all, should_stop));
    Some(Contradiction {
        asked: set.iter().filter_map(|one| one.says(board)).collect(),
        is_smallest,
    })
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Asked {
    Channel(usize),
    Requirement(usize),
}

impl Asked {
    fn says(self, board: &Board) -> Option<String> {
        match self {
            Self::Channel(index) => board.channels.get(index).cloned(),
            Self::Requirement(index) => Some(board.requirements.get(index)?.says.clone()),
        }
    }
}

/// Whether all of a set can hold, or at least nobody knows otherwise.
fn holds(board: &Board, set: &[Asked], should_stop: &Stop<'_>) -> bool {
    let channels: Vec<usize> = set
        .iter()
        .filter_map(|one| match one {
            Asked::Channel(index) => Some(*index),
            Asked::Requirement(_) => None,
        })
        .collect();
    let requirements: Vec<usize> = set
        .iter()
        .filter_map(|one| match one {
            Asked::Requirement(index) => Some(*index),
            Asked::Channel(_) => None,
        })
        .collect();
    can_be_placed(board, &channels, &requirements, should_stop) != Some(false)
}

fn without_the_needless(board: &Board, mut set: Vec<Asked>, should_stop: &Stop<'_>) -> Vec<Asked> {
    for one in set.clone() {
        let less: Vec<Asked> = set.iter().copied().filter(|other| *other != one).collect();
        if !holds(board, &less, should_stop) {
            set = less;
        }
    }
    set
}
