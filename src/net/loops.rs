//! Feedback: relays that hear themselves, each other, or themselves through somebody else's repeater.

use super::{
    HearerId, Network, Node, RadioId, SenderId, circuits, repeat_graph, repeat_graph_of_the_trial,
};
use crate::scenario::Legs;

/// One step of a way: a sender is on the air and opens a hearer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Hop {
    /// Who sends.
    pub from: SenderId,
    /// Who is opened.
    pub by: HearerId,
}

/// What sort of loop it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LoopKind {
    /// A relay's output opens its own input.
    OwnInput,
    /// Two relays key each other.
    KeyEachOther,
    /// More than two relays, in a ring.
    Ring,
}

/// A circle of relays, each of which opens the next.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Loop {
    /// The steps; the last hearer keys the first sender.
    pub hops: Vec<Hop>,
    /// What sort it is.
    pub kind: LoopKind,
    /// Whether a relay of somebody else's takes part.
    pub through_others: bool,
    /// Whether one of ours takes part.
    pub is_ours: bool,
    /// Whether it can hold itself: no half-duplex box would have to send on two sides at once.
    pub latches: bool,
    /// Legs under trial it rests on.
    pub legs: Legs,
}

/// The loops of a network.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Loops {
    /// Shortest first.
    pub all: Vec<Loop>,
    /// Whether none was left out.
    pub is_complete: bool,
}

/// More circuits than this are not looked for.
const CAP: usize = 2_000;

/// Every feedback loop that rests on exactly some legs under trial, shortest first.
pub fn loops(network: &Network, legs: Legs) -> Loops {
    let graph = if legs.is_none() {
        repeat_graph(network)
    } else {
        repeat_graph_of_the_trial(network)
    };
    let circuits = circuits(&graph, CAP);
    let all = circuits.all.iter();
    Loops {
        all: all
            .filter_map(|nodes| from_nodes(network, nodes))
            .filter(|one| one.legs == legs)
            .collect(),
        is_complete: circuits.is_complete,
    }
}

fn from_nodes(network: &Network, nodes: &[Node]) -> Option<Loop> {
    // Senders sort before hearers, so a circuit begins with a sender and the two alternate.
    let hops: Vec<Hop> = nodes
        .chunks(2)
        .filter_map(|pair| match pair {
            [Node::Sender(from), Node::Hearer(by)] => Some(Hop {
                from: *from,
                by: *by,
            }),
            _ => None,
        })
        .collect();
    if hops.is_empty() || hops.len() * 2 != nodes.len() {
        return None;
    }
    let radios: Vec<RadioId> = hops
        .iter()
        .filter_map(|hop| network.sender(hop.from))
        .map(|sender| sender.radio)
        .collect();
    if !network.ever_together(radios.iter().copied()) {
        return None;
    }
    let ours = |id: &RadioId| network.is_ours(*id);
    Some(Loop {
        kind: match hops.len() {
            1 => LoopKind::OwnInput,
            2 => LoopKind::KeyEachOther,
            _ => LoopKind::Ring,
        },
        through_others: radios.iter().any(|id| !ours(id)),
        is_ours: radios.iter().any(ours),
        latches: !has_twice(&radios),
        legs: legs(network, &hops),
        hops,
    })
}

fn has_twice(radios: &[RadioId]) -> bool {
    radios
        .iter()
        .enumerate()
        .any(|(index, radio)| radios.iter().skip(index + 1).any(|other| other == radio))
}

/// The legs under trial that some steps rest on.
pub(super) fn legs(network: &Network, hops: &[Hop]) -> Legs {
    hops.iter().fold(Legs::NONE, |legs, hop| {
        let sender = network
            .sender(hop.from)
            .map_or(Legs::NONE, |sender| sender.legs);
        let hearer = network
            .hearer(hop.by)
            .map_or(Legs::NONE, |hearer| hearer.legs);
        legs.and(sender).and(hearer)
    })
}

impl Loop {
    /// The loop in a sentence, from sender to sender and back.
    pub fn told(&self, network: &Network) -> String {
        let mut steps = Vec::new();
        for (index, hop) in self.hops.iter().enumerate() {
            let (Some(sender), Some(hearer)) = (network.sender(hop.from), network.hearer(hop.by))
            else {
                continue;
            };
            let through = network
                .heard
                .get((hop.from, hop.by))
                .and_then(|heard| heard.through.as_ref())
                .map_or_else(String::new, |through| format!(" by its {through}"));
            let tone = match (hearer.tone, sender.tone) {
                (None, _) => ", which waits for no tone".to_owned(),
                (Some(tone), _) => format!(", whose tone {tone} it sends"),
            };
            let name = &sender.name;
            let subject = if index == 0 {
                format!("{name} sends")
            } else {
                format!("; that keys {name}, which sends")
            };
            steps.push(format!(
                "{subject} on {} and opens{through} {}{tone}",
                sender.frequency, hearer.name
            ));
        }
        let end = self
            .hops
            .first()
            .and_then(|hop| network.sender(hop.from))
            .map_or_else(String::new, |sender| {
                format!("; that keys {} again", sender.name)
            });
        format!("{}{end}", steps.concat())
    }
}

#[cfg(test)]
mod tests {
    use super::super::model::small::{Sketch, U, V};
    use super::*;
    use std::sync::Arc;

    #[test]
    fn two_relays_on_the_same_pair_key_each_other_both_ways_round() {
        let mut sketch = Sketch::default();
        sketch.relay("Hill", [(U, None), (V, None)], 0);
        sketch.relay("Valley", [(U, None), (V, None)], 0);
        let found = loops(&sketch.all_within_earshot(&[]), Legs::NONE);
        assert_eq!(found.all.len(), 2);
        assert!(
            found
                .all
                .iter()
                .all(|one| one.latches && one.kind == LoopKind::KeyEachOther)
        );
    }

    #[test]
    fn a_tone_of_its_own_on_one_leg_breaks_the_ring() {
        let mut sketch = Sketch::default();
        sketch.relay("Hill", [(U, Some(770)), (V, None)], 0);
        sketch.relay("Valley", [(U, Some(885)), (V, None)], 0);
        assert!(
            loops(&sketch.all_within_earshot(&[]), Legs::NONE)
                .all
                .is_empty()
        );
    }

    #[test]
    fn relays_out_of_earshot_do_not_loop() {
        let mut sketch = Sketch::default();
        sketch.relay("Hill", [(U, None), (V, None)], 0);
        sketch.relay("Valley", [(U, None), (V, None)], 0);
        assert!(
            loops(
                &sketch.all_within_earshot(&[("Hill", "Valley")]),
                Legs::NONE
            )
            .all
            .is_empty()
        );
    }

    #[test]
    fn two_relays_meet_through_somebody_elses_repeater() {
        let (input, output) = (145_050_000, 145_650_000);
        let mut sketch = Sketch::default();
        sketch.relay("Hill", [(U, None), (input, None)], 0);
        sketch.relay("Valley", [(output, None), (U, None)], 0);
        sketch.repeater("Town", input, output, None, 2_000);
        let network = sketch.all_within_earshot(&[]);
        let found = loops(&network, Legs::NONE);
        assert_eq!(found.all.len(), 1);
        assert_eq!(found.all[0].kind, LoopKind::Ring);
        assert!(found.all[0].through_others && found.all[0].is_ours && found.all[0].latches);
        assert_eq!(
            found.all[0].told(&network),
            "Hill sends on 145.0500 MHz and opens Town, which waits for no tone; that keys Town, which sends on \
             145.6500 MHz and opens Valley, which waits for no tone; that keys Valley, which sends on 433.4500 MHz and \
             opens Hill, which waits for no tone; that keys Hill again"
        );
    }

    #[test]
    fn a_ring_that_needs_one_box_twice_does_not_hold_itself() {
        let other = 145_500_000;
        let mut sketch = Sketch::default();
        sketch.relay("Hill", [(U, None), (V, None)], 0);
        sketch.repeater("One", V, other, None, 0);
        sketch.repeater("Two", other, V, None, 0);
        let found = loops(&sketch.all_within_earshot(&[]), Legs::NONE);
        assert!(found.all.iter().any(|one| !one.is_ours));
        assert!(
            found
                .all
                .iter()
                .all(|one| one.latches || one.hops.len() > 2)
        );
    }

    #[test]
    fn a_relay_that_opens_its_own_input_needs_nobody_else() {
        let mut sketch = Sketch::default();
        sketch.repeater("Town", U, U, None, 2_000);
        Arc::make_mut(&mut sketch.network.radios)[0].is_ours = true;
        let heard = super::super::Heard {
            margin: crate::quantity::Decibels::db(20.0),
            sure: crate::quantity::Decibels::db(10.0),
            through: None,
        };
        let ends = (super::super::SenderId(0), super::super::HearerId(0));
        let mut network = sketch.network;
        network.heard = [(ends, heard)].into_iter().collect();
        let found = loops(&network, Legs::NONE);
        assert_eq!(found.all.len(), 1);
        assert_eq!(found.all[0].kind, LoopKind::OwnInput);
        assert!(found.all[0].latches && found.all[0].is_ours && !found.all[0].through_others);
    }

    #[test]
    fn relays_that_are_never_on_the_air_together_key_nobody() {
        let mut sketch = Sketch::default();
        let hill = sketch.relay("Hill", [(U, None), (V, None)], 0);
        let valley = sketch.relay("Valley", [(U, None), (V, None)], 0);
        let mut network = sketch.all_within_earshot(&[]);
        let shift = |absent| super::super::Shift {
            window: None,
            absent: [absent].into(),
        };
        network.shifts = vec![shift(hill), shift(valley)];
        assert!(loops(&network, Legs::NONE).all.is_empty());
    }

    #[test]
    fn a_ring_through_both_sides_of_one_box_goes_round_by_turns() {
        let (third, fourth) = (145_500_000, 433_550_000);
        let mut sketch = Sketch::default();
        sketch.relay("Hill", [(U, None), (V, None)], 0);
        sketch.repeater("One", V, third, None, 0);
        sketch.repeater("Two", third, V, None, 0);
        sketch.repeater("Three", U, fourth, None, 0);
        sketch.repeater("Four", fourth, U, None, 0);
        let found = loops(&sketch.all_within_earshot(&[]), Legs::NONE);
        let lengths = |latches: bool| -> Vec<(usize, bool)> {
            let all = found.all.iter().filter(|one| one.latches == latches);
            all.map(|one| (one.hops.len(), one.is_ours)).collect()
        };
        // Two pairs of strangers hold each other; the ring of six needs the hill twice.
        assert_eq!(lengths(true), [(2, false), (2, false)]);
        assert_eq!(lengths(false), [(6, true)]);
    }
}
