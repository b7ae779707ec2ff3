#![doc = include_str!("messages.md")]

use super::lawful::{Once, Told, in_words, told};
use super::{Check, Situation};
use crate::finding::Finding;
use crate::law::{Against, Concern, Control};
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "messages",
        title: "Whose messages are passed",
        text: include_str!("messages.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let messages = |against: &Against| matches!(against, Against::Messages { .. });
    let mut transmitters = situation.scene.transmitters.iter();
    let sends_anyway = transmitters.any(|one| one.owner.is_ours() && one.legs.is_none());
    for told in told(situation, Once::Rule, messages) {
        // What binds every station is told of the plan and not again of each thing put to it.
        if told.breach.is_general && !situation.focus.is_none() && sends_anyway {
            continue;
        }
        let Against::Messages {
            about,
            is_stated,
            permitted,
        } = &told.breach.against
        else {
            continue;
        };
        let mut finding = told.finding(
            &CHECK.topic,
            says(&told, *about, *is_stated, permitted),
            String::new(),
        );
        if !is_stated {
            finding.remedies.push(in_words(format!(
                "state whether there are {} (`{}: no`)",
                about.phrase(),
                about.key()
            )));
        }
        found.push(finding);
    }
}

fn says(told: &Told<'_>, about: Concern, is_stated: bool, permitted: &[Control]) -> String {
    let who = told.who();
    let what = about.phrase();
    let control = told.asked.control.word();
    let permitted: Vec<&str> = permitted.iter().map(|control| control.word()).collect();
    match (is_stated, permitted.as_slice()) {
        (true, []) => format!("{who}: {what} are passed"),
        (false, []) => format!("{who}: {}", told.breach.says),
        (true, some) => format!(
            "{who}: {what} are passed under {control} control, and it must be {}",
            some.join(" or ")
        ),
        (false, some) => format!(
            "{who}: whether {what} are passed is not stated, and for them control must be {} and not {control}",
            some.join(" or ")
        ),
    }
}
