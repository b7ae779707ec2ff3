#![doc = include_str!("repeater_lockout.md")]

use super::{Check, Situation};
use crate::finding::{Finding, Matter, Severity};
use crate::net::{Lockout, lockouts, told};
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "repeater-lockout",
        title: "A relay held by another's hang time",
        text: include_str!("repeater_lockout.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let held = lockouts(&situation.view().network);
    found.extend(
        held.iter()
            .filter(|one| one.legs == situation.focus)
            .map(|one| tell(situation, one)),
    );
}

fn tell(situation: &Situation<'_>, one: &Lockout) -> Finding {
    let network = &situation.view().network;
    let (output, input) = (network.sender(one.output), network.hearer(one.input));
    let holder = output.map_or("", |sender| sender.name.as_str());
    let relay = network.radio_name(one.relay);
    let severity = if network.is_our_sender(one.output) {
        Severity::Caution
    } else {
        Severity::Conflict
    };
    let says = format!(
        "{relay} listens where {holder} sends: while that is on the air, and {} after the last word on it, {relay} is busy \
         sending and {} cannot get in",
        told(one.lasts),
        situation.names(&one.locked)
    );
    let mut finding = Finding::new(CHECK.topic.id, severity, Matter::Net, one.legs, says);
    finding.when = situation.when(
        output
            .map(|sender| sender.radio)
            .into_iter()
            .chain([one.relay]),
    );
    finding.victim = situation.victim(one.input);
    finding.sources = situation.term(one.output).into_iter().collect();
    let own = network
        .repeats_of(one.input)
        .map(|repeat| repeat.hang)
        .max()
        .unwrap_or_default();
    let tail = input.map(|input| input.tail).unwrap_or_default();
    let held = one.lasts.saturating_sub(own + tail);
    finding.arithmetic = format!(
        "held {} + tail {} + own hang {} = {}",
        told(held),
        told(tail),
        told(own),
        told(one.lasts)
    );
    finding.why = if one.has_tone {
        "the output sends the tone that the relay waits for".to_owned()
    } else {
        "the relay waits for no tone, so every carrier on the output keys it".to_owned()
    };
    finding.citation = "sum of the profiles' figures; that a relay on a repeater's output locks up is common practice".to_owned();
    finding
        .remedy("let the relay wait for a tone that is sent with the users' words only and not while the repeater hangs")
        .remedy("join the repeater's input side instead, or set the relay to repeat one way only")
}
