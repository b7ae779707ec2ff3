#![doc = include_str!("if_breakthrough.md")]

use std::collections::BTreeMap;

use super::{Kind, Response, Shape, Strength, index_of};
use crate::quantity::Frequency;
use crate::scene::Receiver;
use crate::topic::Topic;

pub(super) const KIND: Kind = Kind {
    topic: TOPIC,
    hear,
    why,
};

const TOPIC: Topic = Topic {
    id: "if-breakthrough",
    title: "Straight into the intermediate frequency",
    text: include_str!("if_breakthrough.md"),
};

fn hear(receiver: &Receiver, responses: &mut Vec<Response>) {
    // The side of the oscillator does not matter here: each first IF is told once.
    let places: BTreeMap<Frequency, Option<String>> = receiver
        .tunings()
        .into_iter()
        .map(|tuning| {
            let place = tuning.superhet.intermediate();
            let supposed = tuning.supposed.map(|_| {
                format!(
                    "if {} has its first IF at {place}; its service manual settles it",
                    receiver.name
                )
            });
            (
                place,
                supposed.filter(|_| receiver.figures.first_if.is_none()),
            )
        })
        .collect();
    for (place, supposed) in places {
        responses.push(Response {
            kind: index_of(&TOPIC),
            centre: place,
            arithmetic: format!("the first IF, {place}"),
            multiple: 1,
            shape: Shape::Window(receiver.figures.bandwidth.value),
            strength: Strength::Rejected(receiver.figures.if_breakthrough.clone()),
            supposed,
        });
    }
}

fn why(receiver: &Receiver, response: &Response) -> String {
    format!(
        "{} has its first IF at {} and lets a strong signal there pass its mixer",
        receiver.name, response.centre
    )
}
