#![doc = include_str!("if_breakthrough.md")]

use std::collections::BTreeMap;

use super::{Arithmetic, Kind, Response, Shape, Strength, index_of};
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
            arithmetic: Arithmetic::Intermediate(place),
            multiple: 1,
            drift: receiver.figures.tolerance.of(place),
            shape: Shape::Window(receiver.figures.bandwidth.value),
            ahead: Vec::new(),
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::radio::common_intermediates;
    use crate::scene::Scene;
    use crate::scene::sample::{CROWDED, plan};

    #[test]
    fn an_unknown_if_is_supposed_once_for_each_common_one_and_a_known_one_is_certain() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let mut receiver = scene.receivers.get(0).unwrap().clone();
        let mut figures = (*receiver.figures).clone();
        let places = |receiver: &Receiver| {
            let mut found = Vec::new();
            hear(receiver, &mut found);
            found
        };
        let known = places(&receiver);
        assert_eq!(known.len(), 1);
        assert!(known[0].supposed.is_none());
        assert_eq!(
            Some(known[0].centre),
            figures.first_if.as_ref().map(|one| one.value)
        );
        figures.injection = None;
        receiver.figures = figures.clone().into();
        assert!(places(&receiver).iter().all(|one| one.supposed.is_none()));
        figures.first_if = None;
        receiver.figures = figures.into();
        let supposed = places(&receiver);
        assert_eq!(supposed.len(), common_intermediates().len());
        assert!(supposed.iter().all(|one| one.supposed.is_some()));
    }
}
