#![doc = include_str!("zone.md")]

use super::lawful::{Once, in_words, told};
use super::{Check, Situation};
use crate::finding::Finding;
use crate::law::Against;
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "zone",
        title: "A place with rules of its own",
        text: include_str!("zone.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let zones = |against: &Against| matches!(against, Against::Zone { .. });
    for told in told(situation, Once::Station, zones) {
        let Against::Zone { name, is_inside } = &told.breach.against else {
            continue;
        };
        let carrier = told.asked.carrier;
        let says = if *is_inside {
            format!("{} on {carrier} stands in {name}", told.who())
        } else {
            format!(
                "{} on {carrier}: whether it stands in {name} is not known, because its place is not stated",
                told.who()
            )
        };
        let place = told
            .asked
            .position
            .map_or_else(String::new, |place| place.to_string());
        let mut finding = told.finding(&CHECK.topic, says, place);
        if !*is_inside {
            finding
                .remedies
                .push(in_words("state where the site is (`at:`)"));
        }
        found.push(finding);
    }
}
