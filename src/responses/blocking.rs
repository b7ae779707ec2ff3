#![doc = include_str!("blocking.md")]

use super::{Arithmetic, Kind, Response, Shape, Strength, drift, index_of};
use crate::quantity::Offset;
use crate::scene::Receiver;
use crate::topic::Topic;

pub(super) const KIND: Kind = Kind {
    topic: TOPIC,
    hear,
    why,
};

const TOPIC: Topic = Topic {
    id: "blocking",
    title: "A strong signal far from the channel",
    text: include_str!("blocking.md"),
};

/// Where blocking is stated from.
///
/// # Source
/// ETSI EN 300 086, blocking measured from 1 MHz to 10 MHz off (from memory).
pub(super) const BEGINS: Offset = Offset::hz(1_000_000);

fn hear(receiver: &Receiver, responses: &mut Vec<Response>) {
    responses.push(Response {
        kind: index_of(&TOPIC),
        centre: receiver.frequency,
        arithmetic: Arithmetic::Beyond(receiver.frequency, BEGINS),
        multiple: 1,
        drift: drift(receiver),
        shape: Shape::Ring {
            from: BEGINS,
            to: Offset::hz(i64::MAX),
        },
        ahead: Vec::new(),
        strength: Strength::Filtered(receiver.figures.blocking.clone()),
        supposed: None,
    });
}

fn why(receiver: &Receiver, _: &Response) -> String {
    format!(
        "{} loses sensitivity when anything {} or more away is {} above what it can hear",
        receiver.name, BEGINS, receiver.figures.blocking.value
    )
}
