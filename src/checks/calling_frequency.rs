#![doc = include_str!("calling_frequency.md")]

use super::lawful::{Once, in_words, told};
use super::{Check, Situation};
use crate::finding::Finding;
use crate::law::Against;
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "calling-frequency",
        title: "A calling frequency, or one kept for position reports",
        text: include_str!("calling_frequency.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let spots = |against: &Against| matches!(against, Against::Spot { .. });
    for told in told(situation, Once::Channel, spots) {
        let Against::Spot {
            frequency,
            title,
            clear,
        } = &told.breach.against
        else {
            continue;
        };
        let carrier = told.asked.carrier;
        let verb = if carrier == *frequency {
            "sits on the frequency".to_owned()
        } else {
            format!("covers {frequency}")
        };
        let says = format!("{} on {carrier} {verb} kept for {title}", told.who());
        let mut finding = told.finding(&CHECK.topic, says, told.extent());
        finding.assumed.extend(told.assumed_emission());
        finding.offset = Some(carrier - *frequency);
        finding.remedies.insert(
            0,
            in_words(format!(
                "keep the carrier {clear} or more away from {frequency}"
            )),
        );
        found.push(finding);
    }
}
