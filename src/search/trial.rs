//! A candidate looked at by itself and whole, for the views that need more of it than its row tells.

use super::judge::{placed, proposal};
use crate::assess::findings;
use crate::finding::Finding;
use crate::quantity::Frequency;
use crate::scenario::{Legs, Plan, Proposal, Search};
use crate::scene::{Ground, Scene, Trial};

/// Looks at the scene with a candidate in place, and at the legs that what it adds may rest on.
pub(super) fn in_place<T>(
    plan: &Plan,
    ground: &Ground,
    search: &Search,
    legs: &[Frequency],
    look: impl FnOnce(&Scene<'_>, &Proposal, &[Legs]) -> T,
) -> Option<T> {
    let (legs, _, focus) = placed(legs)?;
    let proposal = proposal(search, legs);
    let trial = Trial::whole(&proposal);
    Some(look(
        &Scene::on(ground, plan, Some(trial)),
        &proposal,
        focus,
    ))
}

/// Everything a candidate adds: what its row sums up.
pub(super) fn added(
    plan: &Plan,
    ground: &Ground,
    search: &Search,
    legs: &[Frequency],
) -> Vec<Finding> {
    in_place(plan, ground, search, legs, |scene, proposal, focus| {
        findings(scene, Some(proposal), focus)
    })
    .unwrap_or_default()
}
