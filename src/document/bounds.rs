//! How much is read of a file: more than any plan needs, and little enough that the worst file ends soon.
//!
//! The figures are our choice; what they come to in time and memory stands in `docs/limits.md`.

/// Bytes of one file, and of all files together that a scenario names: 10 MiB.
pub const LARGEST_FILE: usize = 10 * 1024 * 1024;

/// Characters in one text; the longest note of a rule pack has some hundreds.
pub const LONGEST_TEXT: usize = 10_000;

/// Lists and mappings inside each other: far more than any plan needs, far less than a stack bears.
pub const DEEPEST: usize = 32;

/// Values in a file once its aliases are written out.
pub const MOST_VALUES: usize = 2_000_000;

/// Bytes of text that count as one value more, so that an alias of a long text cannot be repeated at no cost.
pub(super) const BYTES_A_VALUE: usize = 16;

/// Faults kept of one file, after which reading goes no further; nobody mends more in one go, and a hostile file could have
/// millions.
pub const MOST_FAULTS: usize = 1_000;
