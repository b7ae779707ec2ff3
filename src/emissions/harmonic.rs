#![doc = include_str!("harmonic.md")]

use super::carrier::send;
use super::{Birth, Emission, Line, Request, Source, index_of};
use crate::budget::{Budget, Ledger, Total};
use crate::physics::{mixing, spread};
use crate::scene::{Scene, Transmitter};
use crate::topic::Topic;

pub(super) const KIND: Emission = Emission {
    topic: TOPIC,
    generate,
    tell,
    called,
    why,
    // What is stated below the carrier falls with the carrier.
    slope: |_, _, _| 1.0,
    is_plain: false,
    is_for_one: false,
};

const TOPIC: Topic = Topic {
    id: "harmonic",
    title: "A harmonic of a transmitter",
    text: include_str!("harmonic.md"),
};

fn generate(request: &Request<'_>, lines: &mut Vec<Line>) {
    let kind = index_of(&TOPIC);
    let highest = i64::from(request.scene.plan.settings.harmonics.value);
    for (index, transmitter) in request.transmitters() {
        for multiple in 2..=highest {
            let mut level = Total::default();
            radiate(transmitter, multiple, &mut level);
            lines.push(Line {
                kind,
                terms: vec![(Source::Transmitter(index), multiple)],
                frequency: transmitter.frequency.times(multiple),
                width: mixing::product_width(&[(multiple, transmitter.emission.value)]),
                tolerance: mixing::product_tolerance(&[(
                    multiple,
                    transmitter.frequency,
                    transmitter.figures.tolerance.value,
                )]),
                birth: Birth::Transmitter(index),
                heard_by: None,
                supposed: None,
                level: level.level(),
                legs: transmitter.legs,
                is_ours: transmitter.owner.is_ours(),
            });
        }
    }
}

/// The level of a harmonic at the socket: the carrier less the suppression stated for that multiple.
fn radiate(transmitter: &Transmitter, multiple: i64, ledger: &mut impl Ledger) {
    send(transmitter, ledger);
    let figure = transmitter
        .figures
        .harmonics
        .iter()
        .rev()
        .find(|figure| i64::from(figure.from) <= multiple);
    if let Some(figure) = figure {
        ledger.enter(-figure.suppression.value, || {
            (
                format!("suppression of the {} harmonic", ordinal(multiple)),
                figure.suppression.origin.to_string(),
            )
        });
        ledger.vary(spread::equipment(&figure.suppression));
        if !figure.suppression.is_stated() {
            ledger.assume(|| {
                format!(
                    "the {} harmonic of {} is {} below its carrier ({})",
                    ordinal(multiple),
                    transmitter.name,
                    figure.suppression.value,
                    figure.suppression.origin.brief()
                )
            });
        }
    }
}

fn tell(scene: &Scene<'_>, line: &Line, budget: &mut Budget) {
    for &(source, multiple) in &line.terms {
        if let Source::Transmitter(index) = source
            && let Some(transmitter) = scene.transmitters.get(index)
        {
            radiate(transmitter, multiple, budget);
        }
    }
}

fn why(scene: &Scene<'_>, line: &Line) -> String {
    let multiple = line.terms.first().map_or(0, |term| term.1);
    let Some(transmitter) = line
        .transmitters()
        .find_map(|index| scene.transmitters.get(index))
    else {
        return String::new();
    };
    format!(
        "the {} harmonic of {} ({}) leaves its antenna at {}",
        ordinal(multiple),
        transmitter.name,
        transmitter.frequency,
        line.frequency
    )
}

/// `2nd`, `3rd`, `11th`.
pub(super) fn ordinal(number: i64) -> String {
    let suffix = match (number % 10, number % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        _ => "th",
    };
    format!("{number}{suffix}")
}

fn called(scene: &Scene<'_>, line: &Line) -> String {
    let name = line
        .transmitters()
        .find_map(|index| scene.transmitters.get(index))
        .map_or("", |one| one.name.as_str());
    format!(
        "the {} harmonic of {name}",
        ordinal(line.terms.first().map_or(0, |term| term.1))
    )
}
