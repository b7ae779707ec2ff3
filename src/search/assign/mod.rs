//! Every open channel of a plan given a frequency at once.
//!
//! A finding rests on its sources and its victim. So what a plan costs is the sum of what rests on each choice alone, on
//! two of them, on three and more, and a partial plan never costs more than what it grows into. The search therefore gives
//! up a partial plan as soon as it costs as much as the best whole one, and what it ends with is proved the best.

mod board;
mod graph;
mod on_air;
mod outcome;
mod solve;
mod spacing;
mod toll;
mod tones;
mod why_not;

pub use graph::{Graph, Highest, fewest_kinds, largest_clique};
pub use outcome::{Assignment, Found, Given, assign, assign_watched};
pub use solve::{Choice, Outcome, Stop, Task, Toll, better_than, solve};
pub use spacing::{are_free_of_third_order, closest_spacing, is_free_of_third_order};
pub use toll::Price;
pub use why_not::Contradiction;
