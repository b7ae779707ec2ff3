#![doc = include_str!("time_out.md")]

use std::collections::BTreeSet;
use std::time::Duration;

use super::{Check, Situation};
use crate::finding::{Finding, Matter, Severity};
use crate::net::{RadioId, Sender, told};
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "time-out",
        title: "What stops a key that is stuck",
        text: include_str!("time_out.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let network = &situation.view().network;
    // The sides of one relay with the same timer are told together.
    let mut told: BTreeSet<(RadioId, Option<Duration>)> = BTreeSet::new();
    for (id, sender) in network.all_senders() {
        let is_ours = network.is_our_sender(id) && sender.is_relay_side;
        if is_ours
            && situation.as_a_whole(sender.legs) == situation.focus
            && told.insert((sender.radio, sender.time_out))
        {
            found.push(tell(situation, sender));
        }
    }
}

fn tell(situation: &Situation<'_>, sender: &Sender) -> Finding {
    let name = situation.view().network.radio_name(sender.radio);
    let (severity, says) = match sender.time_out {
        None => (
            Severity::Caution,
            format!(
                "{name} has no time-out timer: a stuck key holds the channel until somebody walks there"
            ),
        ),
        Some(limit) => (
            Severity::Note,
            format!(
                "{name} stops after {}: let go before that, or the rest of the word is lost",
                told(limit)
            ),
        ),
    };
    let mut finding = Finding::new(CHECK.topic.id, severity, Matter::Net, situation.focus, says);
    finding.when = situation.when([sender.radio]);
    "the timer runs on until the relay's input closes, and starts again with the next word"
        .clone_into(&mut finding.why);
    "the profile's figure; three minutes are common practice".clone_into(&mut finding.citation);
    finding.remedy(if sender.time_out.is_some() {
        "set the users' own timers shorter than the relay's"
    } else {
        "set a timer of three minutes or less, on the relay and on every user's radio"
    })
}
