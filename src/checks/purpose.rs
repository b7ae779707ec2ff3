#![doc = include_str!("purpose.md")]

use super::lawful::{Once, told};
use super::{Check, Situation};
use crate::finding::Finding;
use crate::law::Against;
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "purpose",
        title: "Use that is not open here",
        text: include_str!("purpose.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let uses = |against: &Against| {
        matches!(
            against,
            Against::NoBand { .. } | Against::Use { .. } | Against::Reading { .. }
        )
    };
    for told in told(situation, Once::Channel, uses) {
        let carrier = told.asked.carrier;
        let purpose = told.asked.purpose.phrase();
        let (says, arithmetic) = match &told.breach.against {
            Against::NoBand { nearest } => (
                format!(
                    "{} on {carrier}: the licence opens no band here",
                    told.who()
                ),
                nearest.map_or_else(String::new, |span| format!("the nearest band is {span}")),
            ),
            Against::Use {
                stretch: Some(span),
            } => (
                format!(
                    "{} on {carrier}: {purpose} is not open in {span}",
                    told.who()
                ),
                format!("{} < {} < {}", span.low, carrier, span.high),
            ),
            Against::Reading { word } => (
                format!("{} on {carrier}: {purpose} counts as {word}", told.who()),
                String::new(),
            ),
            _ => (
                format!("{} on {carrier}: {purpose} is not open", told.who()),
                String::new(),
            ),
        };
        let mut finding = told.finding(&CHECK.topic, says, arithmetic);
        if !matches!(told.breach.against, Against::Reading { .. }) {
            let mut remedies = told.moves(situation);
            remedies.append(&mut finding.remedies);
            finding.remedies = remedies;
        }
        found.push(finding);
    }
}
