#![doc = include_str!("reference_birdy.md")]

use super::harmonic::ordinal;
use super::oscillator_leakage::BARE_CARRIER;
use super::{Birth, Emission, Line, Request, Source, index_of};
use crate::budget::{Budget, Ledger, starting_at};
use crate::physics::spread;
use crate::quantity::Offset;
use crate::radio::Reference;
use crate::scene::{Receiver, Scene};
use crate::topic::Topic;

pub(super) const KIND: Emission = Emission {
    topic: TOPIC,
    generate,
    tell,
    called,
    why,
    slope: |_, _, _| 0.0,
    is_plain: false,
    is_for_one: true,
};

const TOPIC: Topic = Topic {
    id: "reference-birdy",
    title: "A radio hears its own reference",
    text: include_str!("reference_birdy.md"),
};

fn generate(request: &Request<'_>, lines: &mut Vec<Line>) {
    let kind = index_of(&TOPIC);
    let receivers = request.scene.receivers.from(0).zip(request.listening);
    for ((index, receiver), listening) in receivers {
        let Some(reference) = &receiver.reference else {
            continue;
        };
        let is_faint = request
            .floor(listening)
            .is_none_or(|floor| reference.level.value < floor);
        // Whoever may be tuned anywhere is tuned beside a birdy.
        if is_faint || receiver.anywhere_in.is_some() || !request.hears_itself(index, receiver) {
            continue;
        }
        let crystal = reference.frequency.value;
        let span = listening.channel.widened(BARE_CARRIER.half());
        let first = span.low.as_hz().div_euclid(crystal.as_hz()).max(1);
        let last = span.high.as_hz().div_euclid(crystal.as_hz());
        for multiple in first..=last {
            let frequency = crystal.times(multiple);
            if !span.contains(frequency) {
                continue;
            }
            lines.push(Line {
                kind,
                terms: vec![(Source::Reference(index), multiple)],
                frequency,
                width: BARE_CARRIER,
                // One crystal: where it drifts, the channel drifts with it.
                tolerance: Offset::hz(0),
                birth: Birth::InsideReceiver(index),
                heard_by: Some(index),
                supposed: None,
                level: reference.level.value,
                legs: receiver.legs,
                is_ours: receiver.owner.is_ours(),
            });
        }
    }
}

/// The receiver that hears itself, its reference, and the multiple.
fn source<'a>(scene: &'a Scene<'_>, line: &Line) -> Option<(&'a Receiver, &'a Reference, i64)> {
    let &(Source::Reference(index), multiple) = line.terms.first()? else {
        return None;
    };
    let receiver = scene.receivers.get(index)?;
    Some((receiver, receiver.reference.as_ref()?, multiple))
}

fn tell(scene: &Scene<'_>, line: &Line, budget: &mut Budget) {
    let Some((receiver, reference, multiple)) = source(scene, line) else {
        return;
    };
    let level = &reference.level;
    budget.enter(starting_at(level.value), || {
        (
            format!(
                "the {} harmonic of the reference of {}, as if at its socket",
                ordinal(multiple),
                receiver.station
            ),
            level.origin.to_string(),
        )
    });
    budget.vary(spread::equipment(level));
}

fn why(scene: &Scene<'_>, line: &Line) -> String {
    source(scene, line).map_or_else(String::new, |(receiver, reference, _)| {
        format!(
            "the oscillators of {} are locked to a reference of {}, whose harmonics get into its own receivers",
            receiver.station, reference.frequency.value
        )
    })
}

fn called(scene: &Scene<'_>, line: &Line) -> String {
    source(scene, line).map_or_else(String::new, |(receiver, _, multiple)| {
        format!(
            "the {} harmonic of the reference of {}",
            ordinal(multiple),
            receiver.station
        )
    })
}
