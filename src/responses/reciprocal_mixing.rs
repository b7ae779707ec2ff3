#![doc = include_str!("reciprocal_mixing.md")]

use super::{Arithmetic, Kind, Response, Shape, Strength, drift, index_of};
use crate::quantity::{Decibels, Offset};
use crate::scene::Receiver;
use crate::topic::Topic;

pub(super) const KIND: Kind = Kind {
    topic: TOPIC,
    hear,
    why,
};

const TOPIC: Topic = Topic {
    id: "reciprocal-mixing",
    title: "The noise of the receiver's own oscillator",
    text: include_str!("reciprocal_mixing.md"),
};

fn hear(receiver: &Receiver, responses: &mut Vec<Response>) {
    let noise = &receiver.figures.oscillator_noise;
    let in_channel = Decibels::of_power(receiver.figures.bandwidth.as_hz().max(1) as f64);
    for (index, point) in noise.iter().enumerate() {
        // Between two points the nearer one holds, the stronger of the two.
        let to = noise
            .get(index + 1)
            .map_or(Offset::hz(i64::MAX), |next| next.offset);
        responses.push(Response {
            kind: index_of(&TOPIC),
            centre: receiver.frequency,
            arithmetic: Arithmetic::Beyond(receiver.frequency, point.offset),
            multiple: 1,
            drift: drift(receiver),
            shape: Shape::Ring {
                from: point.offset,
                to,
            },
            ahead: Vec::new(),
            strength: Strength::Filtered(
                point.density.clone().map(|density| -(density + in_channel)),
            ),
            supposed: None,
        });
    }
}

fn why(receiver: &Receiver, _: &Response) -> String {
    format!(
        "the oscillator of {} is noisy beside its line, and a strong signal mixes with that noise onto the channel",
        receiver.name
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::provenance::{Origin, Sourced};
    use crate::radio::NoiseFigure;
    use crate::scene::Scene;
    use crate::scene::sample::{CROWDED, plan};
    use std::sync::Arc;

    /// Arithmetic: −135 dBc/Hz in 12 kHz is 94.2 dB below the strong signal.
    #[test]
    fn noise_in_the_channel_is_what_is_stated_times_its_width() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let mut receiver = scene.receivers.get(0).unwrap().clone();
        let mut found = Vec::new();
        hear(&receiver, &mut found);
        assert!(found.is_empty(), "no figure, no response");
        let mut figures = (*receiver.figures).clone();
        figures.oscillator_noise = vec![NoiseFigure {
            offset: Offset::hz(1_000_000),
            density: Sourced::new(Decibels::db(-135.0), Origin::Said(Arc::from("a test"))),
        }];
        receiver.figures = figures.into();
        hear(&receiver, &mut found);
        assert_eq!(found.len(), 1);
        let Strength::Filtered(rejection) = &found[0].strength else {
            panic!("{:?}", found[0].strength);
        };
        assert!((rejection.value.as_db() - 94.2).abs() < 0.05);
    }
}
