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

#[cfg(test)]
mod tests {
    use super::*;

    use crate::quantity::Bandwidth;
    use crate::scene::sample::{CROWDED, plan};

    /// One and a half channels of 666 666 Hz are 999 999 Hz, of 666 667 and of 666 668 Hz just a megahertz and more.
    #[test]
    fn where_the_next_channel_reaches_to_where_blocking_begins_there_is_no_place_between() {
        let plan = plan(CROWDED);
        let scene = crate::scene::Scene::build(&plan, None);
        let receiver = scene.receivers.iter().next().unwrap();
        let heard = |spacing: i64| {
            let mut figures = (*receiver.figures).clone();
            figures.channel_spacing.value = Bandwidth::hz(spacing);
            let mut receiver = receiver.clone();
            receiver.figures = figures.into();
            let mut found = Vec::new();
            hear(&receiver, &mut found);
            found.len()
        };
        assert_eq!([25_000, 666_666, 666_667, 666_668].map(heard), [1, 1, 0, 0]);
    }
}
