#![doc = include_str!("likely_neighbour.md")]

use super::lawful::{Once, told};
use super::{Check, Situation};
use crate::finding::Finding;
use crate::law::{Against, Kind};
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "likely-neighbour",
        title: "A neighbour that is likely, though nobody named it",
        text: include_str!("likely_neighbour.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let duties = |against: &Against| matches!(against, Against::Duty);
    for told in told(situation, Once::Channel, duties) {
        if told.breach.pack.kind != Kind::Services {
            continue;
        }
        let says = format!(
            "{} on {}: {}",
            told.who(),
            told.asked.carrier,
            told.breach.says
        );
        found.push(told.finding(&CHECK.topic, says, String::new()));
    }
}
