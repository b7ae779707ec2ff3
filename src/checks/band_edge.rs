#![doc = include_str!("band_edge.md")]

use super::lawful::{Once, in_words, told};
use super::{Check, Situation};
use crate::finding::Finding;
use crate::law::Against;
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "band-edge",
        title: "Emission crosses an edge",
        text: include_str!("band_edge.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let edges = |against: &Against| matches!(against, Against::Edge { .. });
    for told in told(situation, Once::Channel, edges) {
        let Against::Edge { edge, excess } = told.breach.against else {
            continue;
        };
        let says = format!(
            "{} on {} reaches {excess} past the edge at {edge}",
            told.who(),
            told.asked.carrier
        );
        let mut finding = told.finding(&CHECK.topic, says, told.extent());
        finding.assumed.extend(told.assumed_emission());
        finding.offset = Some(excess);
        finding.width = Some(told.asked.emission.bandwidth);
        let mut remedies = told.moves(situation);
        let left = told.asked.emission.bandwidth.as_hz() - 2 * excess.as_hz();
        if left > 0 {
            remedies.push(in_words(format!(
                "use an emission at most {} wide",
                crate::quantity::Bandwidth::hz(left)
            )));
        }
        remedies.append(&mut finding.remedies);
        finding.remedies = remedies;
        found.push(finding);
    }
}
