#![doc = include_str!("control.md")]

use super::lawful::{Once, in_words, told};
use super::{Check, Situation};
use crate::finding::Finding;
use crate::law::Against;
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "control",
        title: "Nobody at the set, or control from afar",
        text: include_str!("control.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let controls = |against: &Against| matches!(against, Against::Control { .. });
    for told in told(situation, Once::Station, controls) {
        let Against::Control { permitted } = &told.breach.against else {
            continue;
        };
        let permitted = permitted
            .iter()
            .map(|control| control.word())
            .collect::<Vec<_>>()
            .join(" or ");
        let says = format!(
            "{} on {} is under {} control, and it must be {permitted}",
            told.who(),
            told.asked.carrier,
            told.asked.control.word()
        );
        let mut finding = told.finding(&CHECK.topic, says, String::new());
        if !told.station.control.is_stated() {
            finding.assumed.push(format!(
                "control of {}: {}",
                told.station.name, told.station.control.origin
            ));
        }
        finding.remedies.push(in_words(format!(
            "put {} under {permitted} control",
            told.station.name
        )));
        found.push(finding);
    }
}
