#![doc = include_str!("repeat_loop.md")]

use super::{Check, Situation};
use crate::finding::{Finding, Matter, Severity};
use crate::net::{Loop, LoopKind, Network, loops};
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "repeat-loop",
        title: "Relays that key themselves or each other",
        text: include_str!("repeat_loop.md"),
    },
    run,
};

/// How many loops are told, the shortest.
const SHOWN: usize = 10;

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let network = &situation.view().network;
    let mut repeats = network.repeats.iter();
    if !repeats.any(|repeat| network.is_our_hearer(repeat.from)) {
        // In a loop of ours one of ours repeats.
        return;
    }
    let loops = loops(network, situation.focus);
    let ours: Vec<&Loop> = loops.all.iter().filter(|one| one.is_ours).collect();
    let is_cut = ours.len() > SHOWN || !loops.is_complete;
    for one in ours.iter().take(SHOWN) {
        let mut finding = tell(situation, network, one);
        if is_cut {
            finding
                .assumed
                .push("more loops than are shown: only the shortest are told".to_owned());
        }
        found.push(finding);
    }
}

fn tell(situation: &Situation<'_>, network: &Network, one: &Loop) -> Finding {
    let what = match (one.kind, one.through_others) {
        (LoopKind::OwnInput, _) => "a relay opens its own input",
        (LoopKind::KeyEachOther, false) => "two relays key each other",
        (LoopKind::KeyEachOther, true) => {
            "a relay and a repeater of somebody else's key each other"
        }
        (LoopKind::Ring, false) => "relays key each other in a ring",
        (LoopKind::Ring, true) => "relays key each other through a repeater of somebody else's",
    };
    let severity = if one.latches {
        Severity::Conflict
    } else {
        Severity::Caution
    };
    let mut finding = Finding::new(
        CHECK.topic.id,
        severity,
        Matter::Net,
        one.legs,
        format!("{what}: {}", one.told(network)),
    );
    let relays = one.hops.iter().filter_map(|hop| network.hearer(hop.by));
    finding.when = situation.when(relays.map(|hearer| hearer.radio));
    finding.sources = one
        .hops
        .iter()
        .filter_map(|hop| situation.term(hop.from))
        .collect();
    finding.victim = one.hops.first().and_then(|hop| situation.victim(hop.by));
    finding.why = if one.latches {
        "once keyed by anybody, the relays hold each other on the air until a time-out timer or an operator stops them"
    } else {
        "the ring needs one box on both of its sides, which it serves by turns: every tail comes round as a new word"
    }
    .to_owned();
    finding.citation = "graph of who opens whom (computed)".to_owned();
    finding
        .remedy("let each relay's inputs wait for a tone that no other relay sends")
        .remedy("move one leg to another channel, or out of earshot")
}
