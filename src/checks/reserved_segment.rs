#![doc = include_str!("reserved_segment.md")]

use super::lawful::{Once, told};
use super::{Check, Situation};
use crate::finding::Finding;
use crate::law::Against;
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "reserved-segment",
        title: "Segment kept for satellites, beacons or another use alone",
        text: include_str!("reserved_segment.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let reserved = |against: &Against| matches!(against, Against::Reserved { .. });
    for told in told(situation, Once::Channel, reserved) {
        let Against::Reserved {
            segment,
            title,
            reaches_in,
        } = &told.breach.against
        else {
            continue;
        };
        let carrier = told.asked.carrier;
        let says = match reaches_in {
            None => format!(
                "{} on {carrier} lies in {segment}, kept for {title}",
                told.who()
            ),
            Some(into) => format!(
                "{} on {carrier} reaches {into} into {segment}, kept for {title}",
                told.who()
            ),
        };
        let mut finding = told.finding(&CHECK.topic, says, told.extent());
        finding.assumed.extend(told.assumed_emission());
        finding.remedies.splice(0..0, told.moves(situation));
        found.push(finding);
    }
}
