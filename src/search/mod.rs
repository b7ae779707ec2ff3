//! Searching asks, it does not judge: every verdict comes from `assess`.

mod rank;

pub use rank::{Ranking, Row, rank};
