//! How a level comes about, step by step: the same walk gives the figure alone or the figure with its story.

use crate::quantity::{Decibels, Level};

/// One line of a level's build-up.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// What it is, in a few words.
    pub what: String,
    /// What it adds (positive) or takes (negative); the first step of a level is the level itself.
    pub change: Decibels,
    /// Model, formula or source of the figure.
    pub note: String,
}

/// Where a walk enters its steps. Telling is put off, so that a walk for the figure alone makes no text.
pub trait Ledger {
    /// Enters a step: what it is, and its note.
    fn enter(&mut self, change: Decibels, tell: impl FnOnce() -> (String, String));

    /// Enters something that was not stated and had to be assumed.
    fn assume(&mut self, tell: impl FnOnce() -> String);

    /// Enters how far a step may be off, as a standard deviation. The figure alone does not ask.
    fn vary(&mut self, _: Decibels) {}

    /// From here on, a dB that an earlier step was off counts this many times.
    fn steepen(&mut self, _: f64) {}
}

/// The figure alone.
#[derive(Debug, Clone, Copy, Default)]
pub struct Total(f64);

impl Total {
    /// The sum as a ratio.
    pub const fn ratio(self) -> Decibels {
        Decibels::db(self.0)
    }

    /// The sum as a level, when its first step was one.
    pub const fn level(self) -> Level {
        Level::dbm(self.0)
    }
}

impl Ledger for Total {
    fn enter(&mut self, change: Decibels, _: impl FnOnce() -> (String, String)) {
        self.0 += change.as_db();
    }

    fn assume(&mut self, _: impl FnOnce() -> String) {}
}

/// The figure with its story.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Budget {
    /// The steps, in the order they happen.
    pub steps: Vec<Step>,
    /// What was assumed on the way, each once.
    pub assumed: Vec<String>,
    /// The sum of the squares of what the steps may be off: they are taken as independent.
    variance: f64,
    /// Whether nobody reads it: then no text is made.
    is_unread: bool,
}

impl Budget {
    /// One of which only the figures are wanted.
    pub fn of_figures() -> Self {
        Self {
            is_unread: true,
            ..Self::default()
        }
    }

    /// How far the sum may be off, as a standard deviation.
    pub fn spread(&self) -> Decibels {
        Decibels::db(self.variance.sqrt())
    }

    /// The sum as a level, when its first step was one.
    pub fn level(&self) -> Level {
        Level::dbm(self.steps.iter().map(|step| step.change.as_db()).sum())
    }
}

impl Ledger for Budget {
    fn enter(&mut self, change: Decibels, tell: impl FnOnce() -> (String, String)) {
        let (what, note) = if self.is_unread {
            Default::default()
        } else {
            tell()
        };
        self.steps.push(Step { what, change, note });
    }

    fn assume(&mut self, tell: impl FnOnce() -> String) {
        if self.is_unread {
            return;
        }
        let text = tell();
        if !self.assumed.contains(&text) {
            self.assumed.push(text);
        }
    }

    fn vary(&mut self, by: Decibels) {
        self.variance += by.as_db().powi(2);
    }

    fn steepen(&mut self, times: f64) {
        self.variance *= times.powi(2);
    }
}

/// A level as the first step of a walk.
pub const fn starting_at(level: Level) -> Decibels {
    Decibels::db(level.as_dbm())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn independent_spreads_add_as_squares_and_a_steeper_law_multiplies_what_came_before() {
        let mut budget = Budget::default();
        budget.vary(Decibels::db(3.0));
        budget.steepen(2.0);
        budget.vary(Decibels::db(8.0));
        assert!((budget.spread().as_db() - 10.0).abs() < 1e-12);
    }
}
