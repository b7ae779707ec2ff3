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
    // With both sides stated one of the two places is no danger.
    let sides = receiver
        .figures
        .injection
        .as_ref()
        .zip(receiver.figures.second_injection.as_ref());
    let is_above = sides.map(|(first, second)| first.value != second.value);
    let places = tuning.superhet.second_images(second.value);
    for place in places.into_iter().filter(|place| {
        is_above.is_none_or(|is_above| (place.frequency > receiver.frequency) == is_above)
    }) {
        responses.push(Response {
            kind: index_of(&TOPIC),
            centre: place.frequency,
            arithmetic: Arithmetic::Mixer(place.arithmetic),
            multiple: 1,
            drift: drift(receiver),
            shape: Shape::Window(receiver.figures.bandwidth.value),
            ahead: Vec::new(),
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
