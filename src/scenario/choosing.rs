//! How a channel stands while the channels of a plan are being chosen.

use super::Legs;

/// How a channel of a use stands while the channels of a plan are being chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Choosing {
    /// It is part of the plan.
    #[default]
    Settled,
    /// It is under trial, and what has to do with it rests on these legs.
    Tried(Legs),
    /// It is not chosen yet: nothing is on the air there.
    Absent,
}

impl Choosing {
    /// The legs under trial that it rests on.
    pub const fn legs(self) -> Legs {
        match self {
            Self::Tried(legs) => legs,
            Self::Settled | Self::Absent => Legs::NONE,
        }
    }
}
