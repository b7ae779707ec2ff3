//! Checks judge the finished situation and add findings; no check sees another's findings.

use crate::finding::Finding;
use crate::scenario::{Legs, Plan, Proposal};
use crate::scene::Scene;
use crate::topic::Topic;

mod handbook;
mod interference;

mod lawful;

mod band_edge;
mod band_plan;
mod calling_frequency;
mod control;
mod emission_width;
mod identification;
mod idle_permission;
mod likely_neighbour;
mod operating_duty;
mod power_limit;
mod purpose;
mod relay_pair;
mod reserved_segment;
mod time_limited;
mod zone;

pub use handbook::topics;

/// Every check.
pub const ALL: &[Check] = &[
    interference::CHECK,
    band_edge::CHECK,
    band_plan::CHECK,
    calling_frequency::CHECK,
    control::CHECK,
    emission_width::CHECK,
    identification::CHECK,
    idle_permission::CHECK,
    likely_neighbour::CHECK,
    operating_duty::CHECK,
    power_limit::CHECK,
    purpose::CHECK,
    relay_pair::CHECK,
    reserved_segment::CHECK,
    time_limited::CHECK,
    zone::CHECK,
];

/// What a check looks at.
#[derive(Debug)]
pub struct Situation<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// What is under trial, if anything; its legs are in the scene already.
    pub trial: Option<&'a Proposal>,
    /// Who is on the air, and who listens.
    pub scene: &'a Scene<'a>,
    /// Only findings that rest on exactly these legs are wanted.
    pub focus: Legs,
}

/// A check: what it is called, and what it does.
#[derive(Debug, Clone, Copy)]
pub struct Check {
    /// What `explain` says of it.
    pub topic: Topic,
    /// Judges the situation and adds what it finds.
    pub run: fn(&Situation<'_>, &mut Vec<Finding>),
}
