#![doc = include_str!("oscillator_leakage.md")]

use super::{Birth, Emission, Line, Request, Source, index_of};
use crate::budget::{Budget, Ledger, starting_at};
use crate::physics::superhet::Superhet;
use crate::quantity::Bandwidth;
use crate::scene::Scene;
use crate::topic::Topic;

pub(super) const KIND: Emission = Emission {
    topic: TOPIC,
    generate,
    tell,
    called,
    why,
    is_plain: false,
};

const TOPIC: Topic = Topic {
    id: "oscillator-leakage",
    title: "A receiver's local oscillator leaks out",
    text: include_str!("oscillator_leakage.md"),
};

/// An oscillator is a bare carrier; a width keeps its overlap defined.
const BARE_CARRIER: Bandwidth = Bandwidth::hz(100);

fn generate(request: &Request<'_>, lines: &mut Vec<Line>) {
    let kind = index_of(&TOPIC);
    for (index, receiver) in request.scene.receivers.iter().enumerate() {
        let (Some(intermediate), Some(injection)) =
            (&receiver.figures.first_if, &receiver.figures.injection)
        else {
            continue;
        };
        let Some(tuned) = Superhet::tuned(receiver.frequency, intermediate.value, injection.value)
        else {
            continue;
        };
        let frequency = tuned.oscillator().frequency;
        lines.push(Line {
            kind,
            terms: vec![(Source::Oscillator(index), 1)],
            frequency,
            width: BARE_CARRIER,
            tolerance: receiver.figures.tolerance.of(frequency),
            birth: Birth::Oscillator(index),
            level: receiver.figures.oscillator_leakage.value,
            legs: receiver.legs,
        });
    }
}

fn tell(scene: &Scene<'_>, line: &Line, budget: &mut Budget) {
    let Birth::Oscillator(index) = line.birth else {
        return;
    };
    let Some(receiver) = scene.receivers.get(index) else {
        return;
    };
    let leakage = &receiver.figures.oscillator_leakage;
    budget.enter(starting_at(leakage.value), || {
        (
            format!("oscillator of {} at its socket", receiver.name),
            leakage.origin.to_string(),
        )
    });
    if !leakage.is_stated() {
        budget.assume(|| {
            format!(
                "the oscillator leaks {} ({})",
                leakage.value, leakage.origin
            )
        });
    }
}

fn why(scene: &Scene<'_>, line: &Line) -> String {
    let Birth::Oscillator(index) = line.birth else {
        return String::new();
    };
    let Some(receiver) = scene.receivers.get(index) else {
        return String::new();
    };
    let injection = receiver
        .figures
        .injection
        .as_ref()
        .map(|injection| injection.value);
    let intermediate = receiver
        .figures
        .first_if
        .as_ref()
        .map(|intermediate| intermediate.value);
    let sum = intermediate
        .zip(injection)
        .and_then(|(intermediate, injection)| {
            Superhet::tuned(receiver.frequency, intermediate, injection)
        })
        .map(|tuned| tuned.oscillator().arithmetic)
        .unwrap_or_default();
    format!(
        "{} listens on {} with its oscillator at {sum}",
        receiver.name, receiver.frequency
    )
}

fn called(scene: &Scene<'_>, line: &Line) -> String {
    let Birth::Oscillator(index) = line.birth else {
        return String::new();
    };
    format!(
        "the oscillator of {}",
        scene
            .receivers
            .get(index)
            .map_or("", |one| one.name.as_str())
    )
}
