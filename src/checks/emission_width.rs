#![doc = include_str!("emission_width.md")]

use super::lawful::{Once, in_words, told};
use super::{Check, Situation};
use crate::finding::Finding;
use crate::law::Against;
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "emission-width",
        title: "Emission too wide, or of a class that is not allowed",
        text: include_str!("emission_width.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let emissions =
        |against: &Against| matches!(against, Against::Width { .. } | Against::Class { .. });
    for told in told(situation, Once::Channel, emissions) {
        let emission = told.asked.emission;
        let carrier = told.asked.carrier;
        let (says, arithmetic, remedy) = match &told.breach.against {
            Against::Width { most } => (
                format!(
                    "{} on {carrier} sends {emission}, {} wide, and {most} is the most",
                    told.who(),
                    emission.bandwidth
                ),
                format!("{} > {most}", emission.bandwidth),
                format!("set the radio to an emission at most {most} wide (narrow FM: 11K0F3E)"),
            ),
            Against::Class { permitted } => (
                format!(
                    "{} on {carrier} sends {emission}, and only {} is open",
                    told.who(),
                    permitted.join(", ")
                ),
                String::new(),
                format!("send {}, or move", permitted.join(" or ")),
            ),
            _ => continue,
        };
        let mut finding = told.finding(&CHECK.topic, says, arithmetic);
        finding.assumed.extend(told.assumed_emission());
        finding.width = Some(emission.bandwidth);
        finding.remedies.insert(0, in_words(remedy));
        found.push(finding);
    }
}
