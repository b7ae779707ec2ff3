#![doc = include_str!("channel.md")]

use super::{Kind, Response, Shape, Strength, index_of};
use crate::scene::Receiver;
use crate::topic::Topic;

pub(super) const KIND: Kind = Kind {
    topic: TOPIC,
    hear,
    why,
};

const TOPIC: Topic = Topic {
    id: "co-channel",
    title: "On the channel itself",
    text: include_str!("channel.md"),
};

fn hear(receiver: &Receiver, responses: &mut Vec<Response>) {
    responses.push(Response {
        kind: index_of(&TOPIC),
        centre: receiver.frequency,
        arithmetic: receiver.frequency.to_string(),
        multiple: 1,
        shape: Shape::Window(receiver.figures.bandwidth.value),
        strength: Strength::Full,
        supposed: None,
    });
}

fn why(receiver: &Receiver, _: &Response) -> String {
    format!(
        "{} listens on {}, {} wide",
        receiver.name, receiver.frequency, receiver.figures.bandwidth.value
    )
}
