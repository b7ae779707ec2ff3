//! Searching asks, it does not judge: every verdict comes from the same findings that `assess` gives.

pub mod assign;
mod candidates;
mod judge;
mod pair_map;
mod pairs;
mod promise;
mod rank;
mod tally;

pub use pair_map::{PairMap, pair_map};
pub use rank::{Ranking, Row, candidate_count, rank};
