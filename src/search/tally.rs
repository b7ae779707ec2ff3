//! What findings add up to, small enough to keep for every candidate of a search.
//!
//! A finding rests on exactly the legs it names, so the tally of a pair is the sum of what rests on its first leg, on its
//! second, and on both: each leg is judged once.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use crate::assess::Verdict;
use crate::finding::{Brief, Finding, Matter, Severity};
use crate::quantity::Decibels;

/// The sum of some findings.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Tally {
    pub(super) conflicts: usize,
    pub(super) cautions: usize,
    /// Least margin; none when nothing came within the horizon.
    pub(super) worst_margin: Option<Decibels>,
    /// Conflicts by check.
    pub(super) refused_by: BTreeMap<&'static str, usize>,
    /// Conflicts by whom they are with.
    pub(super) blocked_by: BTreeMap<String, usize>,
}

impl Tally {
    pub(super) fn add_all(&mut self, briefs: &[Brief]) {
        for brief in briefs {
            match brief.severity {
                Severity::Conflict => {
                    self.conflicts += 1;
                    *self.refused_by.entry(brief.check).or_default() += 1;
                    for name in &brief.partners {
                        *self.blocked_by.entry(name.clone()).or_default() += 1;
                    }
                }
                Severity::Caution => self.cautions += 1,
                Severity::Note => {}
            }
            // A weak wanted signal is no encounter: it says little about the frequency.
            self.worst_margin = least(self.worst_margin, brief.firm_margin);
        }
    }

    /// Both together.
    pub(super) fn and(&self, other: &Self) -> Self {
        let mut sum = self.clone();
        sum.conflicts += other.conflicts;
        sum.cautions += other.cautions;
        sum.worst_margin = least(sum.worst_margin, other.worst_margin);
        for (check, count) in &other.refused_by {
            *sum.refused_by.entry(check).or_default() += count;
        }
        for (name, count) in &other.blocked_by {
            *sum.blocked_by.entry(name.clone()).or_default() += count;
        }
        sum
    }

    pub(super) const fn verdict(&self) -> Verdict {
        if self.conflicts > 0 {
            Verdict::Conflict
        } else if self.cautions > 0 {
            Verdict::Caution
        } else {
            Verdict::Clear
        }
    }
}

/// The smaller of two margins, where there are any.
fn least(one: Option<Decibels>, other: Option<Decibels>) -> Option<Decibels> {
    one.into_iter().chain(other).min()
}

/// What limits a candidate: the least is the worst. Conflicts first, then the least margin, then what has none; the text
/// decides between equals.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Limit {
    is_no_conflict: bool,
    has_no_margin: bool,
    margin: Option<Decibels>,
    severity: Reverse<Severity>,
    /// In one line.
    pub(super) text: String,
}

impl Limit {
    /// How a finding limits; a note without a margin does not.
    pub(super) fn of(finding: &Finding) -> Option<Self> {
        let margin = finding.firm_margin();
        let is_limit = finding.severity > Severity::Note || margin.is_some();
        is_limit.then(|| Self {
            is_no_conflict: finding.severity != Severity::Conflict,
            has_no_margin: margin.is_none(),
            margin,
            severity: Reverse(finding.severity),
            text: limit(finding),
        })
    }
}

/// What limits a candidate, in one line.
fn limit(finding: &Finding) -> String {
    match (&finding.victim, finding.margin, finding.matter) {
        (Some(victim), Some(margin), Matter::Interference) => {
            let sources: Vec<&str> = finding
                .sources
                .iter()
                .map(|term| term.name.as_str())
                .collect();
            let amount = if margin < Decibels::ZERO {
                format!("{} too strong", -margin)
            } else {
                format!("{margin} to spare")
            };
            format!(
                "{} of {} at {}, {amount}",
                finding.check,
                sources.join(" + "),
                victim.station
            )
        }
        _ => finding.says.clone(),
    }
}
