//! The antennas of a plan and the ways between their places, each worked out once: every scene of the plan asks for the same
//! ones.

use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

use super::settle::masts;
use super::{Mast, Roll, Scene};
use crate::physics::geodesic::{Course, Spoke, chord, course};
use crate::quantity::{Decibels, Frequency, Length, Level, Position};
use crate::scenario::Plan;

/// The most places whose ways are kept; a plan with more works out the others every time.
///
/// # Source
/// Choice: a square of this many takes some ten megabytes.
const MOST: usize = 384;

/// The most bounds that are kept.
///
/// # Source
/// Choice: so many take some thirty megabytes.
const MOST_BOUNDS: usize = 1_000_000;

/// What is the same in every scene of a plan.
#[derive(Debug, Clone)]
pub struct Ground {
    /// Antennas.
    pub(super) masts: Arc<[Mast]>,
    /// The ways between their places.
    pub(super) courses: Arc<Courses>,
}

/// A place, with its number among those of the plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    number: usize,
    at: Position,
    spoke: Spoke,
}

/// A loss that no way between two antennas falls short of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bound {
    /// Whatever the frequency.
    Flat(Decibels),
    /// Free space over the least distance, against what the antennas can gain.
    Free {
        /// Its loss at one hertz; 20 dB more for every decade.
        at_one_hertz: Decibels,
        /// What both antennas gain at most.
        gains: Decibels,
        /// A loss between them that somebody states, which may be less than any model has.
        stated: Option<Decibels>,
    },
}

impl Bound {
    /// The loss at a frequency.
    pub fn at(self, frequency: Frequency) -> Decibels {
        match self {
            Self::Flat(loss) => loss,
            Self::Free {
                at_one_hertz,
                gains,
                stated,
            } => {
                let free = at_one_hertz + Decibels::db(20.0 * (frequency.as_hz() as f64).log10());
                let free = free.max(Decibels::ZERO);
                stated.map_or(free, |stated| free.min(stated)) - gains
            }
        }
    }

    /// The least that a line can leave the one socket with to be heard at the other: from the faintest that matters there, and
    /// from the same with 20 dB added for every decade of the lowest frequency it can have.
    pub fn sent(self, flat: Level, tilted: Level) -> Level {
        match self {
            Self::Flat(loss) => flat + loss,
            Self::Free {
                at_one_hertz,
                gains,
                stated,
            } => {
                let free = (tilted + at_one_hertz).max(flat);
                stated.map_or(free, |stated| free.min(flat + stated)) - gains
            }
        }
    }
}

/// The ways between the places of a plan.
#[derive(Debug)]
pub struct Courses {
    /// How many antennas there are.
    masts: usize,
    bounds: Vec<OnceLock<Bound>>,
    side: usize,
    ways: Vec<OnceLock<Course>>,
}

impl Ground {
    /// The antennas of a plan.
    pub fn of(plan: &Plan) -> Self {
        let mut masts = masts(plan);
        let mut numbers: BTreeMap<(u64, u64), usize> = BTreeMap::new();
        for mast in &mut masts {
            mast.spot = mast.position.map(|at| {
                let next = numbers.len();
                let key = (at.latitude().to_bits(), at.longitude().to_bits());
                Spot {
                    number: *numbers.entry(key).or_insert(next),
                    at,
                    spoke: Spoke::to(at),
                }
            });
        }
        let side = numbers.len().min(MOST);
        // Where not all of them have room, the first do: ours.
        let rows = (MOST_BOUNDS / masts.len().max(1)).min(masts.len());
        let courses = Courses {
            masts: masts.len(),
            bounds: std::iter::repeat_with(OnceLock::new)
                .take(rows * masts.len())
                .collect(),
            side,
            ways: std::iter::repeat_with(OnceLock::new)
                .take(side * side)
                .collect(),
        };
        Self {
            masts: masts.into(),
            courses: Arc::new(courses),
        }
    }
}

impl Ground {
    /// A scene of a plan in which nobody is on the air yet.
    pub(super) fn bare<'plan>(&self, plan: &'plan Plan) -> Scene<'plan> {
        Scene {
            plan,
            masts: Roll::new(Arc::clone(&self.masts), Vec::new()),
            courses: Arc::clone(&self.courses),
            transmitters: Roll::new(Arc::new([]), Vec::new()),
            receivers: Roll::new(Arc::new([]), Vec::new()),
        }
    }
}

impl Courses {
    /// The bound between two antennas.
    pub(super) fn bound(&self, from: usize, to: usize, work_out: impl FnOnce() -> Bound) -> Bound {
        let (one, other) = (from.min(to), from.max(to));
        match self.bounds.get(one * self.masts + other) {
            Some(cell) if other < self.masts => *cell.get_or_init(work_out),
            _ => work_out(),
        }
    }

    /// The geodesic from one place to another.
    pub(super) fn course(&self, from: Spot, to: Spot) -> Course {
        let found = || course(from.at, to.at);
        if from.number >= self.side || to.number >= self.side {
            return found();
        }
        let known = self.ways.get(from.number * self.side + to.number);
        known.map_or_else(found, |cell| *cell.get_or_init(found))
    }
}

impl Spot {
    /// Its number among the places of the plan.
    pub(super) const fn number(self) -> usize {
        self.number
    }

    /// The straight line to another place.
    pub(super) fn chord(self, to: Self) -> Length {
        chord(self.spoke, to.spoke)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Of four places only the ways between the first two are kept: those of the others share no room with them.
    #[test]
    fn the_way_to_a_place_that_has_no_room_is_worked_out_whichever_end_it_is_at() {
        let places = [(54.0, -0.5), (55.0, -0.5), (54.0, -2.0), (51.0, 3.0)];
        let spots: Vec<Spot> = (places.into_iter().enumerate())
            .map(|(number, (latitude, longitude))| {
                let at = Position::degrees(latitude, longitude).unwrap();
                let spoke = Spoke::to(at);
                Spot { number, at, spoke }
            })
            .collect();
        let side = 2;
        let cells = std::iter::repeat_with(OnceLock::new);
        let courses = Courses {
            masts: 0,
            bounds: Vec::new(),
            side,
            ways: cells.take(side * side).collect(),
        };
        for _ in 0..2 {
            for from in spots.iter().rev() {
                for to in &spots {
                    assert_eq!(courses.course(*from, *to), course(from.at, to.at));
                }
            }
        }
        assert!(courses.ways.iter().all(|way| way.get().is_some()));
    }
}
