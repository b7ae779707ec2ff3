#![doc = include_str!("no_law_pack.md")]

use super::lawful::{in_words, plain};
use super::{Check, Situation};
use crate::finding::{Finding, Matter, Severity};
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "no-law-pack",
        title: "No law is stacked",
        text: include_str!("no_law_pack.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let law = &situation.plan.law;
    if !situation.focus.is_none() || law.has_law() {
        return;
    }
    let names = law.names();
    let stacked = if names.is_empty() {
        "No pack is stacked.".to_owned()
    } else {
        format!(
            "The packs are {}, and none of them is a licence or a law.",
            names.join(", ")
        )
    };
    let says = "no law pack is stacked: law was not judged".to_owned();
    found.push(Finding {
        why: stacked,
        remedies: vec![in_words(
            "stack the country's pack under `rules:`; `rules` lists them",
        )],
        ..plain(&CHECK.topic, Severity::Note, Matter::Law, says)
    });
}
