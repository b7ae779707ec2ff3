#![doc = include_str!("oscillator_leakage.md")]

use super::harmonic::ordinal;
use super::{Birth, Emission, Line, Request, Source, index_of};
use crate::budget::{Budget, Ledger, Total, starting_at};
use crate::physics::spread;
use crate::quantity::{Bandwidth, Decibels};
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
    is_for_one: false,
};

const TOPIC: Topic = Topic {
    id: "oscillator-leakage",
    title: "A receiver's local oscillator leaks out",
    text: include_str!("oscillator_leakage.md"),
};

/// An oscillator is a bare carrier; a width keeps its overlap defined.
pub(super) const BARE_CARRIER: Bandwidth = Bandwidth::hz(100);

/// The highest harmonic of an oscillator that is looked at.
///
/// # Source
/// Choice: with [`STEP`] the next one is below what any receiver at an event notices.
const HIGHEST: i64 = 4;

/// How much fainter each further harmonic of an oscillator leaks than the one before.
///
/// # Source
/// Common practice: an oscillator driven into a diode mixer is rich in harmonics, the front end passes them badly; the
/// strong side is taken.
const STEP: Decibels = Decibels::db(10.0);

fn generate(request: &Request<'_>, lines: &mut Vec<Line>) {
    let kind = index_of(&TOPIC);
    for (index, receiver) in request.receivers() {
        if receiver.anywhere_in.is_some() {
            continue;
        }
        let Some(from) = request.scene.reach_of_receiver(index) else {
            continue;
        };
        let socket = request.socket(from);
        for tuning in receiver.tunings() {
            let oscillator = tuning.superhet.oscillator().frequency;
            // What rests on a supposition already is not carried on to harmonics.
            let highest = if tuning.supposed.is_some() {
                1
            } else {
                HIGHEST
            };
            for multiple in 1..=highest {
                let frequency = oscillator.times(multiple);
                let mut level = Total::default();
                leak(receiver, multiple, &mut level);
                let line = Line {
                    kind,
                    terms: vec![(Source::Oscillator(index), multiple)],
                    frequency,
                    width: BARE_CARRIER,
                    tolerance: receiver.figures.tolerance.of(frequency),
                    birth: Birth::Oscillator(index),
                    heard_by: None,
                    supposed: tuning.supposed.clone(),
                    level: level.level(),
                    legs: receiver.legs,
                    is_ours: receiver.owner.is_ours(),
                };
                if request.is_heard(line.trace(), &socket) {
                    lines.push(line);
                }
            }
        }
    }
}

/// The level of a multiple of the oscillator at the receiver's socket.
fn leak(receiver: &Receiver, multiple: i64, ledger: &mut impl Ledger) {
    let leakage = &receiver.figures.oscillator_leakage;
    ledger.enter(starting_at(leakage.value), || {
        (
            format!("oscillator of {} at its socket", receiver.name),
            leakage.origin.to_string(),
        )
    });
    ledger.vary(spread::equipment(leakage));
    if !leakage.is_stated() {
        ledger.assume(|| {
            format!(
                "the oscillator of {} leaks {} ({})",
                receiver.name,
                leakage.value,
                leakage.origin.brief()
            )
        });
    }
    if multiple > 1 {
        ledger.enter(STEP * -((multiple - 1) as f64), || {
            (
                format!("its {} harmonic", ordinal(multiple)),
                format!("{STEP} less for each multiple: common practice"),
            )
        });
        ledger.vary(spread::CONVERSION);
    }
}

/// The receiver whose oscillator it is, and the multiple.
fn source<'a>(scene: &'a Scene<'_>, line: &Line) -> Option<(&'a Receiver, i64)> {
    line.terms.iter().find_map(|&(source, multiple)| {
        let Source::Oscillator(index) = source else {
            return None;
        };
        Some((scene.receivers.get(index)?, multiple))
    })
}

fn tell(scene: &Scene<'_>, line: &Line, budget: &mut Budget) {
    if let Some((receiver, multiple)) = source(scene, line) {
        leak(receiver, multiple, budget);
    }
}

fn why(scene: &Scene<'_>, line: &Line) -> String {
    let Some((receiver, multiple)) = source(scene, line) else {
        return String::new();
    };
    let sum = receiver
        .tunings()
        .into_iter()
        .map(|tuning| tuning.superhet.oscillator())
        .find(|place| place.frequency.times(multiple) == line.frequency)
        .map(|place| place.arithmetic.to_string())
        .unwrap_or_default();
    let harmonic = if multiple == 1 {
        String::new()
    } else {
        format!(", whose {} harmonic leaks out", ordinal(multiple))
    };
    format!(
        "{} listens on {} with its oscillator at {sum}{harmonic}",
        receiver.name, receiver.frequency
    )
}

fn called(scene: &Scene<'_>, line: &Line) -> String {
    match source(scene, line) {
        None => String::new(),
        Some((receiver, 1)) => format!("the oscillator of {}", receiver.name),
        Some((receiver, multiple)) => format!(
            "the {} harmonic of the oscillator of {}",
            ordinal(multiple),
            receiver.name
        ),
    }
}
