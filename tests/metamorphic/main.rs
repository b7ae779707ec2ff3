//! What a change of the plan may do to what is found: more power, more filter, a neighbour more or further off, other names,
//! all frequencies moved, a remedy applied. No figure is expected here, only how two answers stand to each other.

#[path = "../plans/mod.rs"]
mod plans;

mod encounters;
mod levels;
mod names;
mod remedies;
mod shift;
mod sums;

use std::sync::Arc;

use quietpair::assess::{Judged, judge};
use quietpair::provenance::{Origin, Sourced};
use quietpair::scenario::Plan;

/// What is found of a plan, or of one of its proposals.
fn judged(plan: &Plan, proposal: Option<usize>) -> Judged {
    judge(plan, proposal.map(|index| &plan.proposals[index]))
}

/// Everything that is judged of a plan.
fn subjects(plan: &Plan) -> impl Iterator<Item = Option<usize>> + use<> {
    std::iter::once(None).chain((0..plan.proposals.len()).map(Some))
}

/// A value that a test states.
fn said<T>(value: T) -> Sourced<T> {
    Sourced::new(value, Origin::Said(Arc::from("a test")))
}
