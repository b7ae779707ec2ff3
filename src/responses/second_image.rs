#![doc = include_str!("second_image.md")]

use super::{Arithmetic, Kind, Response, Shape, Strength, drift, index_of};
use crate::scene::Receiver;
use crate::topic::Topic;

pub(super) const KIND: Kind = Kind {
    topic: TOPIC,
    hear,
    why,
};

const TOPIC: Topic = Topic {
    id: "second-image",
    title: "On the image of the second mixer",
    text: include_str!("second_image.md"),
};

fn hear(receiver: &Receiver, responses: &mut Vec<Response>) {
    let Some(second) = &receiver.figures.second_if else {
        return;
    };
    // The second image does not depend on the first IF: one tuning answers for all.
    let Some(tuning) = receiver.tunings().into_iter().next() else {
        return;
    };
    for place in tuning.superhet.second_images(second.value) {
        responses.push(Response {
            kind: index_of(&TOPIC),
            centre: place.frequency,
            arithmetic: Arithmetic::Mixer(place.arithmetic),
            multiple: 1,
            drift: drift(receiver),
            shape: Shape::Window(receiver.figures.bandwidth.value),
            strength: Strength::Rejected(receiver.figures.second_image.clone()),
            supposed: None,
        });
    }
}

fn why(receiver: &Receiver, response: &Response) -> String {
    format!(
        "the image of the second mixer of {} lies at {}",
        receiver.name, response.arithmetic
    )
}
