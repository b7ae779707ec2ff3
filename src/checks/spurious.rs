#![doc = include_str!("spurious.md")]

use super::lawful::{Once, told};
use super::{Check, Situation};
use crate::finding::{Change, Finding, Remedy};
use crate::law::Against;
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "spurious",
        title: "A harmonic stronger than the rules allow",
        text: include_str!("spurious.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let spurious = |against: &Against| matches!(against, Against::Spurious { .. });
    for told in told(situation, Once::Station, spurious) {
        let Against::Spurious {
            strongest,
            most,
            excess,
        } = told.breach.against
        else {
            continue;
        };
        let carrier = told.asked.carrier;
        let says = format!(
            "{} on {carrier} sends {} on {}, and {most} is the most",
            told.who(),
            strongest.level,
            strongest.frequency
        );
        let output = told.asked.output;
        let arithmetic = format!(
            "{output} at the socket, harmonic {} behind the filters: {excess} above {most}",
            strongest.level
        );
        let mut finding = told.finding(&CHECK.topic, says, arithmetic);
        finding.level = Some(strongest.level);
        finding.threshold = Some(most);
        finding.product = Some(strongest.frequency);
        finding.remedies.insert(
            0,
            Remedy {
                text: format!(
                    "a low-pass filter that takes {excess} or more off {}",
                    strongest.frequency
                ),
                change: Some(Change::Filter {
                    station: told.station.name.clone(),
                    at: strongest.frequency,
                    loss: excess,
                }),
            },
        );
        found.push(finding);
    }
}
