#![doc = include_str!("operating_duty.md")]

use super::lawful::{Once, told};
use super::{Check, Situation};
use crate::finding::Finding;
use crate::law::{Against, Kind};
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "operating-duty",
        title: "What the rules ask of the operators",
        text: include_str!("operating_duty.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let duties = |against: &Against| matches!(against, Against::Duty);
    for told in told(situation, Once::Rule, duties) {
        if told.breach.pack.kind == Kind::Services {
            continue;
        }
        // What binds every station is told of the plan and not again of each thing put to it.
        if told.breach.is_general && !situation.focus.is_none() {
            continue;
        }
        let says = format!("{}: {}", told.who(), told.breach.says);
        let finding = told.finding(&CHECK.topic, says, String::new());
        found.push(finding.remedy("do so, and write on the plan who sees to it"));
    }
}
