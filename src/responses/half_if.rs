#![doc = include_str!("half_if.md")]

use super::{Arithmetic, Kind, Response, Shape, Strength, index_of, mixed_drift};
use crate::physics::mixing::intercept_from_rejection;
use crate::scene::Receiver;
use crate::topic::Topic;

pub(super) const KIND: Kind = Kind {
    topic: TOPIC,
    hear,
    why,
};

const TOPIC: Topic = Topic {
    id: "half-if",
    title: "On the half-IF response",
    text: include_str!("half_if.md"),
};

fn hear(receiver: &Receiver, responses: &mut Vec<Response>) {
    let figures = &receiver.figures;
    for tuning in receiver.tunings() {
        let Some(place) = tuning.superhet.half_if() else {
            continue;
        };
        responses.push(Response {
            kind: index_of(&TOPIC),
            centre: place.frequency,
            arithmetic: Arithmetic::Mixer(place.arithmetic),
            multiple: 2,
            drift: mixed_drift(receiver, tuning.superhet, 2),
            shape: Shape::Window(figures.bandwidth.value),
            ahead: Vec::new(),
            strength: Strength::Mixed {
                order: 2,
                intercept: intercept_from_rejection(
                    2,
                    figures.sensitivity.value,
                    figures.half_if.value,
                    figures.protection.value,
                ),
                rejection: figures.half_if.clone(),
                // It was measured at the place itself, through the filter.
                is_filtered: false,
            },
            supposed: tuning.supposed,
        });
    }
}

fn why(receiver: &Receiver, response: &Response) -> String {
    format!(
        "twice a signal half the IF away ({}) against twice the oscillator gives the IF of {}",
        response.arithmetic, receiver.name
    )
}
