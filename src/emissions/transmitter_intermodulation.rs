#![doc = include_str!("transmitter_intermodulation.md")]

use super::at_a_socket::{Meeting, arrive, coefficients, meetings, pair};
use super::{Emission, Line, Request, Source, index_of};
use crate::budget::{Budget, Ledger, Total, starting_at};
use crate::physics::curve::linear_at;
use crate::physics::spread;
use crate::quantity::{Decibels, Frequency, Level, Power};
use crate::scene::{Scene, Transmitter};
use crate::topic::Topic;

pub(super) const KIND: Emission = Emission {
    topic: TOPIC,
    generate,
    tell,
    called,
    why,
    slope,
    is_plain: false,
    is_for_one: false,
};

const TOPIC: Topic = Topic {
    id: "transmitter-intermodulation",
    title: "A foreign carrier mixes in a transmitter's output stage",
    text: include_str!("transmitter_intermodulation.md"),
};

/// The orders that are looked at: an output stage driven into limiting makes mostly odd ones.
const ORDERS: [i64; 3] = [3, 5, 7];

/// What each two orders more add to the third-order conversion loss.
///
/// # Source
/// Choice: no published figure was found; products of a limiting stage fall by 8 to 15 dB from one odd order to the next
/// when the carriers differ much, and the strong side is taken.
const PER_TWO_ORDERS: Decibels = Decibels::db(10.0);

/// How far below its carrier a limiting stage makes a harmonic before any filter.
///
/// # Source
/// Common practice: 15 to 25 dB. What is stated beyond that is the output filter's, which a product near that harmonic
/// has to pass as well.
const UNFILTERED_HARMONIC: Decibels = Decibels::db(20.0);

fn generate(request: &Request<'_>, lines: &mut Vec<Line>) {
    let kind = index_of(&TOPIC);
    let highest = i64::from(request.scene.plan.settings.order.value);
    let meetings = meetings(request, |meeting| {
        // No product is stronger than the one of third order that is linear in the foreign carrier.
        !meeting.ours.figures.conversion_loss.is_empty()
            && meeting.arriving_at_most - third_order_loss(meeting.ours, meeting.theirs)
                >= meeting.audible
    });
    for meeting in meetings {
        let third = third_order_loss(meeting.ours, meeting.theirs);
        let full = full_power(meeting.ours);
        let mut arriving = None;
        let below_full = (meeting.arriving_at_most - full).min(Decibels::ZERO);
        for order in ORDERS.into_iter().filter(|&order| order <= highest) {
            let once = meeting.arriving_at_most - third - further(order);
            if once < meeting.audible {
                continue;
            }
            for (a, b) in coefficients(order) {
                let most = once + below_full * (b.abs() - 1) as f64;
                if most < meeting.audible || !meeting.might_be_heard(request, (a, b), most) {
                    continue;
                }
                let is_heard = |level: Level| {
                    let line = meeting.trace(a, b, level);
                    line.is_some_and(|line| request.is_heard(line, &meeting.socket))
                };
                if !is_heard(most) {
                    continue;
                }
                let arriving = *arriving.get_or_insert_with(|| meeting.arriving(request));
                let level = level(&meeting, arriving, a, b);
                if level >= meeting.audible && is_heard(level) {
                    lines.extend(meeting.product(kind, a, b, level));
                }
            }
        }
    }
}

fn level(meeting: &Meeting<'_>, arriving: Level, a: i64, b: i64) -> Level {
    let mut total = Total::default();
    total.enter(starting_at(arriving), || (String::new(), String::new()));
    convert((meeting.ours, a), (meeting.theirs, b), arriving, &mut total);
    total.level()
}

/// The conversion loss of third order for a foreign carrier.
fn third_order_loss(ours: &Transmitter, theirs: &Transmitter) -> Decibels {
    let points = ours.figures.conversion_loss.iter();
    let points = points.map(|point| (point.offset, point.loss.value));
    linear_at(points, (ours.frequency - theirs.frequency).abs())
}

/// What an order above the third takes further.
fn further(order: i64) -> Decibels {
    PER_TWO_ORDERS * ((order - 3).max(0) as f64 / 2.0)
}

/// Enters what an output stage makes of a carrier that arrives at its socket.
///
/// The product linear in the foreign carrier is the arriving level less the conversion loss of its order. Each further
/// time the foreign carrier enters, it counts by what it is below the stage's full power.
fn convert(
    (ours, a): (&Transmitter, i64),
    (theirs, b): (&Transmitter, i64),
    arriving: Level,
    ledger: &mut impl Ledger,
) {
    let off = (ours.frequency - theirs.frequency).abs();
    let third = third_order_loss(ours, theirs);
    let nearest = ours
        .figures
        .conversion_loss
        .iter()
        .min_by_key(|point| (point.offset + -off).abs());
    ledger.enter(-third, || {
        (
            format!("conversion loss of {} for a carrier {off} off", ours.name),
            nearest.map_or_else(String::new, |point| point.loss.origin.to_string()),
        )
    });
    ledger.vary(spread::CONVERSION);
    if let Some(point) = nearest.filter(|point| !point.loss.is_stated()) {
        ledger.assume(|| {
            format!(
                "conversion loss of {} {off} off: {third} ({})",
                ours.name,
                point.loss.origin.brief()
            )
        });
    }
    let order = a.abs() + b.abs();
    if order > 3 {
        ledger.enter(-further(order), || {
            (
                format!("order {order} instead of 3"),
                format!("{PER_TWO_ORDERS} for each two orders: our choice"),
            )
        });
    }
    let times = b.abs() - 1;
    let full = full_power(ours);
    if times > 0 && full > arriving {
        ledger.enter((arriving - full) * times as f64, || {
            (
                format!(
                    "{times} more times the foreign carrier, {} below the stage's full power",
                    full - arriving
                ),
                format!("full power {full}; n dB a dB"),
            )
        });
        ledger.steepen(b.abs() as f64);
    }
    let loss = filter(ours, product(ours, theirs, a, b));
    if loss > Decibels::ZERO {
        ledger.enter(-loss, || {
            (
                format!("output filter of {} at the product", ours.name),
                format!(
                    "what is stated for the harmonic there, less {UNFILTERED_HARMONIC} that the stage does by itself"
                ),
            )
        });
    }
}

fn product(ours: &Transmitter, theirs: &Transmitter, a: i64, b: i64) -> Frequency {
    Frequency::hz(
        a.saturating_mul(ours.frequency.as_hz())
            .saturating_add(b.saturating_mul(theirs.frequency.as_hz())),
    )
}

/// What the output stage is built for: its highest step, since turned down it is no more linear.
fn full_power(transmitter: &Transmitter) -> Level {
    let steps = transmitter.figures.steps.iter();
    steps
        .map(|step| Power::level(step.power.value))
        .max()
        .unwrap_or(transmitter.power.value)
}

/// What the output filter takes at a frequency near one of the carrier's harmonics.
fn filter(transmitter: &Transmitter, at: Frequency) -> Decibels {
    let carrier = transmitter.frequency.as_hz().max(1);
    let multiple = (at.as_hz() + carrier / 2) / carrier;
    if multiple < 2 {
        return Decibels::ZERO;
    }
    let stated = transmitter
        .figures
        .harmonics
        .iter()
        .rev()
        .find(|figure| i64::from(figure.from) <= multiple);
    stated.map_or(Decibels::ZERO, |figure| {
        (figure.suppression.value - UNFILTERED_HARMONIC).max(Decibels::ZERO)
    })
}

/// The own carrier drives the stage into limiting whatever its power: only the foreign one counts.
fn slope(line: &Line, source: Source, coefficient: i64) -> f64 {
    let is_foreign = line.terms.get(1).is_some_and(|term| term.0 == source);
    if is_foreign {
        coefficient.unsigned_abs() as f64
    } else {
        0.0
    }
}

fn tell(scene: &Scene<'_>, line: &Line, budget: &mut Budget) {
    if let Some([(own, ours, a), (foreign, theirs, b)]) = pair(scene, line) {
        arrive(scene, foreign, own, budget);
        let arriving = budget.level();
        convert((ours, a), (theirs, b), arriving, budget);
    }
}

fn why(scene: &Scene<'_>, line: &Line) -> String {
    pair(scene, line).map_or_else(String::new, |[(_, ours, a), (_, theirs, b)]| {
        format!(
            "the carrier of {} comes in by the antenna of {}, mixes in its output stage and goes out again, a product of \
             order {}",
            theirs.name,
            ours.name,
            a.abs() + b.abs()
        )
    })
}

fn called(scene: &Scene<'_>, line: &Line) -> String {
    pair(scene, line).map_or_else(String::new, |[(_, ours, _), (_, theirs, _)]| {
        format!("what {} makes of the carrier of {}", ours.name, theirs.name)
    })
}
