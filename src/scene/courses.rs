//! The antennas of a plan and the ways between their places, each worked out once: every scene of the plan asks for the same
//! ones.

use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

use super::settle::masts;
use super::{Mast, Scene};
use crate::physics::geodesic::{Course, chord, course};
use crate::quantity::{Length, Position};
use crate::scenario::Plan;

/// The most places whose ways are kept; a plan with more works out the others every time.
///
/// # Source
/// Choice: a square of this many takes some ten megabytes.
const MOST: usize = 384;

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
}

/// The ways between the places of a plan.
#[derive(Debug)]
pub struct Courses {
    side: usize,
    ways: Vec<OnceLock<Course>>,
    chords: Vec<OnceLock<Length>>,
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
                }
            });
        }
        let side = numbers.len().min(MOST);
        let courses = Courses {
            side,
            ways: std::iter::repeat_with(OnceLock::new)
                .take(side * side)
                .collect(),
            chords: std::iter::repeat_with(OnceLock::new)
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
            masts: Arc::clone(&self.masts),
            courses: Arc::clone(&self.courses),
            transmitters: Vec::new(),
            receivers: Vec::new(),
        }
    }
}

impl Courses {
    /// The geodesic from one place to another.
    pub(super) fn course(&self, from: Spot, to: Spot) -> Course {
        self.kept(&self.ways, from, to, course)
    }

    /// The straight line between two places.
    pub(super) fn chord(&self, from: Spot, to: Spot) -> Length {
        self.kept(&self.chords, from, to, chord)
    }

    fn kept<T: Copy>(
        &self,
        cells: &[OnceLock<T>],
        from: Spot,
        to: Spot,
        work_out: impl Fn(Position, Position) -> T,
    ) -> T {
        let found = || work_out(from.at, to.at);
        if from.number >= self.side || to.number >= self.side {
            return found();
        }
        cells
            .get(from.number * self.side + to.number)
            .map_or_else(found, |cell| *cell.get_or_init(found))
    }
}
