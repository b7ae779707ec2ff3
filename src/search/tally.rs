//! What findings add up to, small enough to keep for every candidate of a search.
//!
//! A finding rests on exactly the legs it names, so the tally of a pair is the sum of what rests on its first leg, on its
//! second, and on both: each leg is judged once.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use crate::assess::Verdict;
use crate::finding::{Finding, Matter, Severity};
use crate::quantity::Decibels;

/// The sum of some findings.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Tally {
    pub(super) conflicts: usize,
    pub(super) cautions: usize,
    /// Least margin; none when nothing came within the horizon.
    pub(super) worst_margin: Option<Decibels>,
    /// What limits it: the worst finding, and among equals the one with the least margin.
    pub(super) limited_by: Option<Limit>,
    /// Conflicts by check.
    pub(super) refused_by: BTreeMap<&'static str, usize>,
    /// Conflicts by whom they are with.
    pub(super) blocked_by: BTreeMap<String, usize>,
}

impl Tally {
    pub(super) fn of(findings: &[Finding]) -> Self {
        let mut tally = Self::default();
        for finding in findings {
            tally.add(finding);
        }
        tally
    }

    fn add(&mut self, finding: &Finding) {
        match finding.severity {
            Severity::Conflict => {
                self.conflicts += 1;
                *self.refused_by.entry(finding.check).or_default() += 1;
                for name in partners(finding) {
                    *self.blocked_by.entry(name).or_default() += 1;
                }
            }
            Severity::Caution => self.cautions += 1,
            Severity::Note => {}
        }
        // A weak wanted signal is no encounter: it says little about the frequency.
        self.worst_margin = least(self.worst_margin, finding.firm_margin());
        if finding.severity > Severity::Note || finding.firm_margin().is_some() {
            self.limit_by(Limit::of(finding));
        }
    }

    fn limit_by(&mut self, limit: Limit) {
        if self
            .limited_by
            .as_ref()
            .is_none_or(|mine| limit.rank() < mine.rank())
        {
            self.limited_by = Some(limit);
        }
    }

    /// Both together.
    pub(super) fn and(&self, other: &Self) -> Self {
        let mut sum = self.clone();
        sum.conflicts += other.conflicts;
        sum.cautions += other.cautions;
        sum.worst_margin = least(sum.worst_margin, other.worst_margin);
        if let Some(limit) = &other.limited_by {
            sum.limit_by(limit.clone());
        }
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

/// The others that a conflict is with.
fn partners(finding: &Finding) -> Vec<String> {
    let mut names: Vec<String> = finding
        .sources
        .iter()
        .map(|term| term.name.clone())
        .collect();
    names.extend(finding.victim.iter().map(|victim| victim.station.clone()));
    names.sort_unstable();
    names.dedup();
    names
}

/// The smaller of two margins, where there are any.
fn least(one: Option<Decibels>, other: Option<Decibels>) -> Option<Decibels> {
    one.into_iter().chain(other).min()
}

/// What limits a candidate.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Limit {
    severity: Severity,
    margin: Option<Decibels>,
    /// In one line.
    pub(super) text: String,
}

impl Limit {
    fn of(finding: &Finding) -> Self {
        Self {
            severity: finding.severity,
            margin: finding.firm_margin(),
            text: limit(finding),
        }
    }

    /// Conflicts first, then the least margin, then what has none; the text decides between equals.
    fn rank(&self) -> impl Ord + '_ {
        let is_conflict = self.severity == Severity::Conflict;
        (
            !is_conflict,
            self.margin.is_none(),
            self.margin,
            Reverse(self.severity),
            &self.text,
        )
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
