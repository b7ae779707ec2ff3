//! Checks judge the finished situation and add findings; no check sees another's findings.

use crate::finding::Finding;
use crate::scenario::{Legs, Plan, Proposal};
use crate::scene::Scene;
use crate::topic::Topic;

mod interference;

/// Every check.
pub const ALL: &[Check] = &[interference::CHECK];

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
