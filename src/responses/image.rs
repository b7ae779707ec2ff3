#![doc = include_str!("image.md")]

use super::{Arithmetic, Kind, Response, Shape, Strength, index_of, mixed_drift};
use crate::scene::Receiver;
use crate::topic::Topic;

pub(super) const KIND: Kind = Kind {
    topic: TOPIC,
    hear,
    why,
};

const TOPIC: Topic = Topic {
    id: "image",
    title: "On the first image",
    text: include_str!("image.md"),
};

fn hear(receiver: &Receiver, responses: &mut Vec<Response>) {
    for tuning in receiver.tunings() {
        let Some(place) = tuning.superhet.image() else {
            continue;
        };
        responses.push(Response {
            kind: index_of(&TOPIC),
            centre: place.frequency,
            arithmetic: Arithmetic::Mixer(place.arithmetic),
            multiple: 1,
            drift: mixed_drift(receiver, tuning.superhet, 1),
            shape: Shape::Window(receiver.figures.bandwidth.value),
            ahead: Vec::new(),
            strength: Strength::Rejected(receiver.figures.image.clone()),
            supposed: tuning.supposed,
        });
    }
}

fn why(receiver: &Receiver, response: &Response) -> String {
    format!(
        "the image of {} lies at {}",
        receiver.name, response.arithmetic
    )
}
