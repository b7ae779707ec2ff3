//! Findings that are alike are told once: the worst in full, the others in a line each.

use std::collections::BTreeMap;

use crate::finding::Finding;

/// Findings that are alike, in the order they were given: the worst leads.
pub(super) struct Fold<'a> {
    /// The worst.
    pub(super) lead: &'a Finding,
    /// The others.
    pub(super) others: Vec<&'a Finding>,
}

/// Groups findings of the same check about the same victim; findings of rules and of the net, which have no victim, are
/// alike when they cite the same words.
pub(super) fn fold(findings: &[Finding], shows_all: bool) -> Vec<Fold<'_>> {
    let mut folds: Vec<Fold<'_>> = Vec::new();
    let mut places: BTreeMap<_, usize> = BTreeMap::new();
    for finding in findings {
        let alike = match &finding.victim {
            Some(victim) => (finding.check, finding.matter, victim.station.as_str()),
            None => (finding.check, finding.matter, finding.citation.as_str()),
        };
        let known = places.get(&alike).copied().filter(|_| !shows_all);
        if let Some(fold) = known.and_then(|place| folds.get_mut(place)) {
            fold.others.push(finding);
        } else {
            places.insert(alike, folds.len());
            folds.push(Fold {
                lead: finding,
                others: Vec::new(),
            });
        }
    }
    folds
}
