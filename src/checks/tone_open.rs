#![doc = include_str!("tone_open.md")]

use super::{Check, Situation};
use crate::finding::{Finding, Matter, Severity};
use crate::net::{HearerId, Network, SenderId};
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "tone-open",
        title: "A tone that opens somebody else's receiver",
        text: include_str!("tone_open.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let network = &situation.view().network;
    for ((from, to), _) in network.heard.iter() {
        let Some((sender, hearer)) = network.sender(from).zip(network.hearer(to)) else {
            continue;
        };
        let is_stranger = sender.net != hearer.net;
        let is_matter_of_ours = network.is_our_sender(from) || network.is_our_hearer(to);
        // Without a tone on a plain receiver it is a carrier on its channel, and told as that.
        let is_opened = hearer.is_relay_side || hearer.tone.is_some();
        if sender.legs.and(hearer.legs) == situation.focus
            && is_stranger
            && is_opened
            && is_matter_of_ours
            && network.opens(from, to)
        {
            found.push(tell(situation, network, from, to));
        }
    }
}

fn tell(situation: &Situation<'_>, network: &Network, from: SenderId, to: HearerId) -> Finding {
    let (sender, hearer) = (network.sender(from), network.hearer(to));
    let (is_relay, tone) =
        hearer.map_or((false, None), |hearer| (hearer.is_relay_side, hearer.tone));
    let severity = if is_relay {
        Severity::Conflict
    } else {
        Severity::Caution
    };
    let by = tone.map_or_else(
        || "it waits for no tone".to_owned(),
        |tone| format!("both have the tone {tone}"),
    );
    let names = [
        sender.map(|one| one.name.as_str()),
        hearer.map(|one| one.name.as_str()),
    ]
    .map(Option::unwrap_or_default);
    let [sends, opened] = names;
    let does = if is_relay { "opens and keys" } else { "opens" };
    let legs = sender
        .zip(hearer)
        .map_or(situation.focus, |(sender, hearer)| {
            sender.legs.and(hearer.legs)
        });
    let says = format!("{sends} {does} {opened}, which belongs to somebody else's net: {by}");
    let mut finding = Finding::new(CHECK.topic.id, severity, Matter::Net, legs, says);
    finding.when = situation.when_both(from, to);
    finding.victim = situation.victim(to);
    finding.sources = situation.term(from).into_iter().collect();
    finding.margin = network.heard.get((from, to)).map(|heard| -heard.margin);
    finding.arithmetic = sender.map_or_else(String::new, |sender| {
        format!("on one channel, {}", sender.frequency)
    });
    finding.why = "what is said in one net comes out in the other".to_owned();
    finding.citation =
        "tone and channel as the plan sets them; the level by the kindest path".to_owned();
    finding
        .remedy(tone.map_or_else(
            || "let it wait for a tone".to_owned(),
            |tone| format!("use another tone than {tone} in one of the two nets"),
        ))
        .remedy("use another channel, or less power")
}
