#![doc = include_str!("band_plan.md")]

use super::lawful::{Once, in_words, move_to, told};
use super::{Check, Situation};
use crate::finding::Finding;
use crate::law::Against;
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "band-plan",
        title: "Segment or channel that the band plan has otherwise",
        text: include_str!("band_plan.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let segments =
        |against: &Against| matches!(against, Against::Segment { .. } | Against::Raster { .. });
    for told in told(situation, Once::Channel, segments) {
        let carrier = told.asked.carrier;
        let (says, remedies) = match &told.breach.against {
            Against::Segment { segment, title } => (
                format!(
                    "{} on {carrier}: {segment} is meant for {title}, not for {}",
                    told.who(),
                    told.asked.purpose.phrase()
                ),
                vec![in_words(format!(
                    "a channel of a segment meant for {}: `quietpair rules show {}` lists them, and `rank` prefers them",
                    told.asked.purpose.phrase(),
                    told.breach.pack.id
                ))],
            ),
            Against::Raster { step, nearest } => (
                format!(
                    "{} on {carrier} is off the channels, which are {step} apart",
                    told.who()
                ),
                nearest
                    .iter()
                    .filter(|&&channel| told.is_allowed_at(situation, channel))
                    .map(|&channel| move_to(told.transmitter.legs, carrier, channel))
                    .collect(),
            ),
            _ => continue,
        };
        let mut finding = told.finding(&CHECK.topic, says, String::new());
        finding.remedies.splice(0..0, remedies);
        found.push(finding);
    }
}
