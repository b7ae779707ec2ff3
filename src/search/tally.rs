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
    /// Who suffers from what, without the figure: candidates alike in this are limited alike.
    pub(super) what: String,
    /// In one line.
    pub(super) text: String,
}

impl Limit {
    fn of(finding: &Finding) -> Self {
        let (what, text) = limit(finding);
        Self {
            severity: finding.severity,
            margin: finding.firm_margin(),
            what,
            text,
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

/// What limits a candidate, without its figure and in one line with it: whose receiver, by what, and how much is to spare.
fn limit(finding: &Finding) -> (String, String) {
    let (Some(victim), Some(margin), Matter::Interference) =
        (&finding.victim, finding.margin, finding.matter)
    else {
        return (finding.check.to_owned(), finding.says.clone());
    };
    let whose = if victim.receiver.ends_with(SIDE) {
        format!("{}'s {}", victim.station, victim.receiver)
    } else {
        victim.station.clone()
    };
    let what = format!("{whose}: {}", hurt_by(finding));
    let amount = if margin < Decibels::ZERO {
        format!("{} too strong", -margin)
    } else {
        format!("{margin} to spare")
    };
    let text = format!("{what}, {amount}");
    (what, text)
}

/// How the halves of a radio of ours end their names.
const SIDE: &str = " side";

/// What a finding's victim suffers from: a mix by its order, a harmonic by its number, anything else by its kind.
fn hurt_by(finding: &Finding) -> String {
    let order: u32 = finding
        .sources
        .iter()
        .map(|term| term.coefficient.unsigned_abs())
        .sum();
    let names: Vec<String> = finding
        .sources
        .iter()
        .map(|term| match term.name.rsplit_once(", ") {
            Some((station, side)) if side.ends_with(SIDE) => format!("{station}'s {side}"),
            _ => term.name.clone(),
        })
        .collect();
    match names.as_slice() {
        [one] if order > 1 => format!("{} harmonic of {one}", ordinal(order)),
        [first, others @ ..] if order > 1 => format!(
            "{} order of {first} with {}",
            ordinal(order),
            others.join(" and ")
        ),
        names => format!(
            "{} of {}",
            finding.check.replace('-', " "),
            names.join(" and ")
        ),
    }
}

/// `2nd`, `3rd`, `11th`.
fn ordinal(number: u32) -> String {
    let ending = match (number % 10, number % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        _ => "th",
    };
    format!("{number}{ending}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::{Term, Victim};
    use crate::quantity::Frequency;
    use crate::scenario::Legs;

    fn finding(receiver: &str, terms: &[(&str, i32)], margin: f64) -> Finding {
        let mut finding = Finding::new(
            "alternate-channel",
            Severity::Note,
            Matter::Interference,
            Legs::BOTH,
            String::new(),
        );
        finding.victim = Some(Victim {
            station: "Town repeater".to_owned(),
            receiver: receiver.to_owned(),
            frequency: Frequency::hz(145_050_000),
        });
        finding.sources = terms
            .iter()
            .map(|&(name, coefficient)| Term {
                name: name.to_owned(),
                frequency: Frequency::hz(1),
                coefficient,
            })
            .collect();
        finding.margin = Some(Decibels::db(margin));
        finding
    }

    #[test]
    fn a_limit_names_the_victim_the_order_the_others_and_what_is_to_spare() {
        let text =
            |receiver, terms: &[(&str, i32)], margin| limit(&finding(receiver, terms, margin)).1;
        assert_eq!(
            text(
                "receiver",
                &[("Hill relay, 2m side", 2), ("Airfield tower", -1)],
                14.0
            ),
            "Town repeater: 3rd order of Hill relay's 2m side with Airfield tower, 14.0 dB to spare"
        );
        assert_eq!(
            text("2m side", &[("Hill relay, 2m side", 3)], -2.5),
            "Town repeater's 2m side: 3rd harmonic of Hill relay's 2m side, 2.5 dB too strong"
        );
        assert_eq!(
            text("receiver", &[("Packet, north", 1)], 0.7),
            "Town repeater: alternate channel of Packet, north, 0.7 dB to spare"
        );
        assert_eq!(
            [1, 2, 3, 4, 11, 12, 13, 22].map(ordinal).join(" "),
            "1st 2nd 3rd 4th 11th 12th 13th 22nd"
        );
    }

    #[test]
    fn findings_add_up_by_severity_check_and_partner() {
        let of = |severity, margin: f64| {
            let mut one = finding("receiver", &[("Hill relay, 2m side", 3)], margin);
            one.severity = severity;
            one
        };
        let (conflict, caution) = (of(Severity::Conflict, -2.0), of(Severity::Caution, 3.0));
        let mut nameless = conflict.clone();
        nameless.check = "purpose";
        nameless.victim = None;
        nameless.sources.clear();
        nameless.margin = None;
        let all = [
            conflict.clone(),
            conflict,
            caution.clone(),
            caution.clone(),
            caution,
            of(Severity::Note, 9.0),
            nameless,
        ];
        let sum = Tally::of(&all);
        assert_eq!((sum.conflicts, sum.cautions), (3, 3));
        assert_eq!(sum.worst_margin, Some(Decibels::db(-2.0)));
        let refused = [("alternate-channel", 2), ("purpose", 1)];
        assert_eq!(sum.refused_by, BTreeMap::from(refused));
        let blocked = ["Hill relay, 2m side", "Town repeater"].map(|one| (one.to_owned(), 2));
        assert_eq!(sum.blocked_by, BTreeMap::from(blocked.clone()));
        // A sum of two sums is that of all.
        let (first, second) = all.split_at(3);
        for both in [
            Tally::of(first).and(&Tally::of(second)),
            Tally::of(second).and(&Tally::of(first)),
        ] {
            assert_eq!(both, sum);
        }
        let twice = sum.and(&sum);
        assert_eq!((twice.conflicts, twice.cautions), (6, 6));
        assert_eq!(
            twice.refused_by,
            BTreeMap::from(refused.map(|(one, count)| (one, 2 * count)))
        );
        let blocked = blocked.map(|(one, count)| (one, 2 * count));
        assert_eq!(twice.blocked_by, BTreeMap::from(blocked));
    }

    #[test]
    fn what_limits_is_a_conflict_then_the_least_margin_then_what_has_none_and_the_text_between_equals()
     {
        let of = |severity, source: &str, margin: Option<f64>| {
            let mut one = finding("receiver", &[(source, 1)], margin.unwrap_or(0.0));
            one.severity = severity;
            if margin.is_none() {
                one.matter = Matter::Law;
                one.margin = None;
                source.clone_into(&mut one.says);
            }
            one
        };
        let limits = |findings: &[Finding]| Tally::of(findings).limited_by.map(|one| one.text);
        let note = of(Severity::Note, "B", Some(1.0));
        let alike = of(Severity::Note, "A", Some(1.0));
        let caution = of(Severity::Caution, "C", Some(2.0));
        let rule = of(Severity::Caution, "a rule", None);
        let custom = of(Severity::Note, "a custom", None);
        let conflict = of(Severity::Conflict, "D", Some(5.0));
        let text = |one: &Finding| Some(limit(one).1);
        let ordered = [&conflict, &alike, &note, &caution, &rule];
        for (at, best) in ordered.iter().enumerate() {
            for other in &ordered[at..] {
                let pair = [(*best).clone(), (*other).clone()];
                assert_eq!(limits(&pair), text(best));
                let [one, other] = pair;
                assert_eq!(limits(&[other, one]), text(best));
            }
        }
        // A note of custom limits nothing.
        assert_eq!(limits(std::slice::from_ref(&custom)), None);
        // Of two that say the same, the first is kept and not asked for again.
        let same = [note.clone(), note.clone()];
        assert_eq!(limits(&same), text(&note));
        // At nothing to spare it is not too strong.
        let none = of(Severity::Note, "B", Some(0.0));
        assert_eq!(
            limits(&[none]).unwrap(),
            "Town repeater: alternate channel of B, 0.0 dB to spare"
        );
    }
}
