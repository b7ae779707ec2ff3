#![doc = include_str!("adjacent_channel.md")]

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
    id: "adjacent-channel",
    title: "On the adjacent channel",
    text: include_str!("adjacent_channel.md"),
};

fn hear(receiver: &Receiver, responses: &mut Vec<Response>) {
    let spacing = receiver.figures.channel_spacing.as_hz();
    let edge = Offset::hz(receiver.figures.bandwidth.as_hz() / 2);
    responses.push(Response {
        kind: index_of(&TOPIC),
        centre: receiver.frequency,
        arithmetic: Arithmetic::Beside(receiver.frequency, receiver.figures.channel_spacing.value),
        multiple: 1,
        drift: drift(receiver),
        shape: Shape::Ring {
            from: edge,
            to: Offset::hz(spacing + spacing / 2),
        },
        ahead: Vec::new(),
        strength: Strength::Skirt {
            rejection: receiver.figures.adjacent.clone(),
            edge,
            stated_at: Offset::hz(spacing),
        },
        supposed: None,
    });
}

fn why(receiver: &Receiver, _: &Response) -> String {
    format!(
        "the channel filter of {} rejects the next channel, {} off, by {} only",
        receiver.name, receiver.figures.channel_spacing.value, receiver.figures.adjacent.value
    )
}
