//! Which legs of the thing under trial something rests on.

/// Which legs of the thing under trial a finding rests on: bit 0 the first leg, bit 1 the second, none for the plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Legs(u8);

impl Legs {
    /// Nothing under trial is involved.
    pub const NONE: Self = Self(0);
    /// The first leg.
    pub const FIRST: Self = Self(1);
    /// The second leg.
    pub const SECOND: Self = Self(2);
    /// Both legs.
    pub const BOTH: Self = Self(3);

    /// Every set of legs.
    pub const ALL: [Self; 4] = [Self::NONE, Self::FIRST, Self::SECOND, Self::BOTH];

    /// The leg with this index, 0 or 1.
    pub const fn of(index: usize) -> Self {
        if index == 0 {
            Self::FIRST
        } else {
            Self::SECOND
        }
    }

    /// Both sets together.
    pub const fn and(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// Whether none is involved.
    pub const fn is_none(self) -> bool {
        self.0 == 0
    }

    /// Whether every leg of `other` is in this set.
    pub const fn holds(self, other: Self) -> bool {
        self.0 & other.0 == other.0
    }
}
