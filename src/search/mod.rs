//! Searching asks, it does not judge: every verdict comes from the same findings that `assess` gives.

pub mod assign;
mod candidates;
mod judge;
mod pairs;
mod promise;
mod rank;
mod tally;

pub use rank::{Ranking, Row, candidate_count, rank};
