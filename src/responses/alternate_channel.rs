#![doc = include_str!("alternate_channel.md")]

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
    id: "alternate-channel",
    title: "Two channels off and further",
    text: include_str!("alternate_channel.md"),
};

fn hear(receiver: &Receiver, responses: &mut Vec<Response>) {
    let spacing = receiver.figures.channel_spacing.as_hz();
    let from = Offset::hz(spacing + spacing / 2);
    let to = super::blocking::BEGINS;
    if from < to {
        responses.push(Response {
            kind: index_of(&TOPIC),
            centre: receiver.frequency,
            arithmetic: Arithmetic::Channels(receiver.frequency, 2),
            multiple: 1,
            drift: drift(receiver),
            shape: Shape::Ring { from, to },
            ahead: Vec::new(),
            strength: Strength::Rejected(receiver.figures.alternate.clone()),
            supposed: None,
        });
    }
}

fn why(receiver: &Receiver, _: &Response) -> String {
    format!(
        "{} rejects what is two channels off and further by {} only",
        receiver.name, receiver.figures.alternate.value
    )
}
