#![doc = include_str!("mixer_spur.md")]

use super::{Arithmetic, Kind, Response, Shape, Strength, index_of, mixed_drift};
use crate::physics::mixing::intercept_from_rejection;
use crate::physics::superhet::{Spur, Superhet};
use crate::radio::ReceiverFigures;
use crate::scene::Receiver;
use crate::topic::Topic;

pub(super) const KIND: Kind = Kind {
    topic: TOPIC,
    hear,
    why,
};

const TOPIC: Topic = Topic {
    id: "mixer-spur",
    title: "On a spurious response of the first mixer",
    text: include_str!("mixer_spur.md"),
};

/// The highest multiple of the oscillator that is looked at.
///
/// # Source
/// Choice: a mixer is driven hard, so that the harmonics of its oscillator are strong; past the fourth the places lie
/// far outside of any preselector.
pub(super) const HIGHEST_OSCILLATOR: u32 = 4;

/// The highest multiple of the signal, which is the order of the response.
///
/// # Source
/// Choice: a response of order n falls n dB a dB; from the fourth on only a signal near overload is heard, and that
/// already blocks.
pub(super) const HIGHEST_SIGNAL: u32 = 3;

fn hear(receiver: &Receiver, responses: &mut Vec<Response>) {
    let figures = &receiver.figures;
    // With the IF unknown there would be a place nearly everywhere: image, half-IF and IF are supposed, these are not.
    let known = receiver
        .tunings()
        .into_iter()
        .filter(|tuning| tuning.supposed.is_none());
    for tuning in known {
        for spur in tuning.superhet.spurs(HIGHEST_OSCILLATOR, HIGHEST_SIGNAL) {
            if is_told_elsewhere(tuning.superhet, &spur) {
                continue;
            }
            let order = spur.signal_multiple;
            let strength = spurious(figures, order, true);
            responses.push(Response {
                kind: index_of(&TOPIC),
                centre: spur.place.frequency,
                arithmetic: Arithmetic::Mixer(spur.place.arithmetic),
                multiple: i64::from(order),
                drift: mixed_drift(receiver, tuning.superhet, spur.oscillator_multiple),
                shape: Shape::Window(figures.bandwidth.value),
                ahead: Vec::new(),
                strength,
                supposed: None,
            });
        }
    }
}

/// Image, half-IF and IF have figures and names of their own.
fn is_told_elsewhere(superhet: Superhet, spur: &Spur) -> bool {
    let is_at = |place: Option<crate::physics::superhet::Place>| {
        place.is_some_and(|place| place.frequency == spur.place.frequency)
    };
    match (spur.oscillator_multiple, spur.signal_multiple) {
        (0, 1) => true,
        (1, 1) => is_at(superhet.image()),
        (2, 2) => is_at(superhet.half_if()),
        _ => false,
    }
}

/// How strong a spurious response of an order is, by the rejection that the profile has for all of them; with the receiver's
/// own filter before it, or in the rejection.
pub(super) fn spurious(figures: &ReceiverFigures, order: u32, is_filtered: bool) -> Strength {
    let rejection = figures.spurious.clone();
    match (order, is_filtered) {
        (1, true) => Strength::Filtered(rejection),
        (1, false) => Strength::Rejected(rejection),
        _ => Strength::Mixed {
            order,
            intercept: intercept_from_rejection(
                order,
                figures.sensitivity.value,
                figures.spurious.value,
                figures.protection.value,
            ),
            rejection,
            is_filtered,
        },
    }
}

fn why(receiver: &Receiver, response: &Response) -> String {
    let signal = match response.multiple {
        1 => "a signal".to_owned(),
        multiple => format!("{multiple} times a signal"),
    };
    format!(
        "{signal} at {} meets a multiple of the oscillator of {} and gives its IF",
        response.arithmetic, receiver.name
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::budget::Ledger;
    use crate::budget::{Total, starting_at};
    use crate::quantity::Level;
    use crate::responses::responses;
    use crate::scene::Scene;
    use crate::scene::sample::{CROWDED, plan};

    #[test]
    fn no_place_is_told_twice_and_each_order_returns_the_rejection_it_was_made_from() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let mut receiver = scene.receivers.get(0).unwrap().clone();
        let mut figures = (*receiver.figures).clone();
        // Nothing before the mixer: what is left is the law of the order.
        figures.preselector.skirts.clear();
        receiver.figures = figures.into();
        let figures = &receiver.figures;
        let of_kind: Vec<Response> = {
            let mut found = Vec::new();
            hear(&receiver, &mut found);
            found
        };
        assert!(of_kind.len() > 10);
        let others = responses(&receiver);
        for response in &of_kind {
            let twin = others
                .iter()
                .filter(|other| other.kind != response.kind && other.centre == response.centre)
                .filter(|other| matches!(other.shape, Shape::Window(_)));
            assert_eq!(twin.count(), 0, "{}", response.arithmetic);
            // Signals at S + R amount to what the receiver just bears, S − C; order 1 is as much below as is stated.
            let arriving = figures.sensitivity.value + figures.spurious.value;
            let mut level = Total::default();
            level.enter(starting_at(arriving), || (String::new(), String::new()));
            response.enter(&receiver, response.centre, || arriving, &mut level);
            let expected: Level = if response.multiple == 1 {
                figures.sensitivity.value
            } else {
                figures.sensitivity.value - figures.protection.value
            };
            assert!(
                (level.level() - expected).as_db().abs() < 0.1,
                "{}",
                response.arithmetic
            );
        }
    }

    #[test]
    fn it_is_told_how_often_the_signal_takes_part() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let receiver = scene.receivers.get(0).unwrap();
        let mut found = Vec::new();
        hear(receiver, &mut found);
        for response in found {
            let told = why(receiver, &response);
            let times = match response.multiple {
                1 => "a signal at ".to_owned(),
                several => format!("{several} times a signal at "),
            };
            let end = format!(
                "meets a multiple of the oscillator of {} and gives its IF",
                receiver.name
            );
            assert!(told.starts_with(&times) && told.ends_with(&end), "{told}");
        }
    }
}
