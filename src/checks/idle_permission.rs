#![doc = include_str!("idle_permission.md")]

use super::lawful::{in_words, plain};
use super::{Check, Situation};
use crate::finding::{Finding, Matter, Severity};
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "idle-permission",
        title: "A permission that lifts nothing",
        text: include_str!("idle_permission.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    if !situation.focus.is_none() {
        return;
    }
    for (permission, rule) in situation.plan.law.unknown_lifts() {
        let says = format!(
            "{} names the rule `{rule}`, which none of the stacked packs has: it lifts nothing",
            permission.name
        );
        found.push(Finding {
            why: format!("The packs are {}.", situation.plan.law.names().join(", ")),
            citation: permission.basis.to_string(),
            remedies: vec![in_words(
                "write the rule as findings name it (`pack/rule`), or stack the pack that has it",
            )],
            ..plain(&CHECK.topic, Severity::Caution, Matter::Law, says)
        });
    }
}
