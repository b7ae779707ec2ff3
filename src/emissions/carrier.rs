#![doc = include_str!("carrier.md")]

use super::{Birth, Emission, Line, Request, Source, index_of};
use crate::budget::{Budget, Ledger, starting_at};
use crate::physics::spread;
use crate::scene::{Scene, Transmitter};
use crate::topic::Topic;

pub(super) const KIND: Emission = Emission {
    topic: TOPIC,
    generate,
    tell,
    called,
    why,
    slope: |_, _, _| 1.0,
    is_plain: true,
    is_for_one: false,
};

const TOPIC: Topic = Topic {
    id: "carrier",
    title: "A transmitter's own carrier",
    text: include_str!("carrier.md"),
};

fn generate(request: &Request<'_>, lines: &mut Vec<Line>) {
    let kind = index_of(&TOPIC);
    for (index, transmitter) in request.transmitters() {
        lines.push(Line {
            kind,
            terms: vec![(Source::Transmitter(index), 1)],
            frequency: transmitter.frequency,
            width: transmitter.emission.bandwidth,
            tolerance: transmitter.figures.tolerance.of(transmitter.frequency),
            birth: Birth::Transmitter(index),
            heard_by: None,
            supposed: None,
            level: transmitter.power.value,
            legs: transmitter.legs,
            is_ours: transmitter.owner.is_ours(),
        });
    }
}

fn tell(scene: &Scene<'_>, line: &Line, budget: &mut Budget) {
    for transmitter in line
        .transmitters()
        .filter_map(|index| scene.transmitters.get(index))
    {
        send(transmitter, budget);
    }
}

/// Enters a carrier at its socket.
pub(super) fn send(transmitter: &Transmitter, ledger: &mut impl Ledger) {
    ledger.enter(starting_at(transmitter.power.value), || {
        (
            format!("power of {} at its socket", transmitter.name),
            transmitter.power.origin.to_string(),
        )
    });
    ledger.vary(spread::power(&transmitter.power));
}

fn why(scene: &Scene<'_>, line: &Line) -> String {
    let Some(transmitter) = line
        .transmitters()
        .find_map(|index| scene.transmitters.get(index))
    else {
        return String::new();
    };
    format!(
        "{} transmits on {} ({})",
        transmitter.name,
        transmitter.frequency,
        transmitter.emission.designator()
    )
}

fn called(scene: &Scene<'_>, line: &Line) -> String {
    let name = line
        .transmitters()
        .find_map(|index| scene.transmitters.get(index))
        .map_or("", |one| one.name.as_str());
    format!("the carrier of {name}")
}
