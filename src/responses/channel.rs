#![doc = include_str!("channel.md")]

use super::{Arithmetic, Kind, Response, Shape, Strength, drift, index_of};
use crate::quantity::Bandwidth;
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
    let own = receiver.figures.bandwidth.as_hz();
    let reach = receiver
        .anywhere_in
        .map_or(own, |stretch| stretch.width().as_hz());
    responses.push(Response {
        kind: index_of(&TOPIC),
        centre: receiver.frequency,
        arithmetic: Arithmetic::Channel(receiver.frequency),
        multiple: 1,
        drift: drift(receiver),
        shape: Shape::Window(Bandwidth::hz(reach)),
        ahead: Vec::new(),
        strength: Strength::Full,
        supposed: None,
    });
}

fn why(receiver: &Receiver, _: &Response) -> String {
    match receiver.anywhere_in {
        None => {
            format!(
                "{} listens on {}, {} wide",
                receiver.name, receiver.frequency, receiver.figures.bandwidth.value
            )
        }
        Some(stretch) => format!("{} may be listening anywhere in {stretch}", receiver.name),
    }
}
