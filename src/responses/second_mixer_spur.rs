#![doc = include_str!("second_mixer_spur.md")]

use std::collections::BTreeMap;

use super::mixer_spur::{HIGHEST_OSCILLATOR, HIGHEST_SIGNAL, spurious};
use super::{Arithmetic, Kind, Loss, Response, Shape, Strength, index_of};
use crate::physics::superhet::{Injection, SecondSpur};
use crate::quantity::{Decibels, Frequency, Level, Offset};
use crate::scene::{Receiver, Tuning};
use crate::topic::Topic;

pub(super) const KIND: Kind = Kind {
    topic: TOPIC,
    hear,
    why,
};

const TOPIC: Topic = Topic {
    id: "second-mixer-spur",
    title: "On a spurious response of the second mixer",
    text: include_str!("second_mixer_spur.md"),
};

/// How many times the second IF from the first IF a signal may come to the second mixer: as far as its image.
///
/// # Source
/// Choice: further out the first mixer's own responses lie, with figures of their own, and a crystal filter has responses
/// that no data sheet states.
const REACH: i64 = 2;

/// A response that needs more than this at the socket is left out.
///
/// # Source
/// Choice: 1 W. Front ends are destroyed by about as much, and everything up to there has been told as blocking long before.
const MOST: Level = Level::dbm(30.0);

fn hear(receiver: &Receiver, responses: &mut Vec<Response>) {
    let figures = &receiver.figures;
    let Some(second) = &figures.second_if else {
        return;
    };
    let told = Told::of(receiver, second.value);
    let sides = match &figures.second_injection {
        Some(stated) => vec![stated.value],
        None => vec![Injection::Low, Injection::High],
    };
    // Every tuning puts the places near the channel alike, but for how far its oscillators may be off: each is told once.
    let mut places: BTreeMap<Frequency, Response> = BTreeMap::new();
    for tuning in receiver.tunings() {
        for &side in &sides {
            let superhet = tuning.superhet;
            let (second, highest) = (second.value, (HIGHEST_OSCILLATOR, HIGHEST_SIGNAL));
            // What depends on a first IF that is only supposed would be a place nearly everywhere.
            let spurs = if tuning.supposed.is_none() {
                superhet.second_spurs_within(second, side, highest, told.furthest)
            } else {
                superhet.second_spurs_near(second, side, highest.0.min(highest.1))
            };
            for spur in spurs.iter().filter(|spur| !told.has(spur)) {
                let Some(response) = response(receiver, &tuning, side, spur) else {
                    continue;
                };
                let drift = response.drift;
                let known = places.entry(response.centre).or_insert(response);
                known.drift = known.drift.max(drift);
            }
        }
    }
    responses.extend(places.into_values());
}

/// What other responses tell already.
struct Told {
    channel: Frequency,
    /// Nearer than this is the channel or the adjacent one.
    nearest: Offset,
    /// Further from the first IF than this is not looked at.
    furthest: Offset,
}

impl Told {
    fn of(receiver: &Receiver, second: Frequency) -> Self {
        let spacing = receiver.figures.channel_spacing.as_hz();
        Self {
            channel: receiver.frequency,
            nearest: Offset::hz(spacing + spacing / 2),
            furthest: Offset::hz(second.as_hz().saturating_mul(REACH)),
        }
    }

    fn has(&self, spur: &SecondSpur) -> bool {
        let is_second_image = spur.oscillator_multiple == 1 && spur.signal_multiple == 1;
        (is_second_image && !spur.is_by_image)
            || (spur.place.frequency - self.channel).abs() < self.nearest
    }
}

/// The response at a place; none where more would have to arrive than any receiver stands.
fn response(
    receiver: &Receiver,
    tuning: &Tuning,
    side: Injection,
    spur: &SecondSpur,
) -> Option<Response> {
    let figures = &receiver.figures;
    let mut ahead = vec![Loss {
        what: "the filter at the first IF",
        loss: figures.first_filter_at(spur.off)?,
    }];
    if spur.is_by_image {
        ahead.push(Loss {
            what: "rejection of the first mixer's image",
            loss: figures.image.clone(),
        });
    }
    let order = spur.signal_multiple;
    // The image's rejection is stated at the socket, with the receiver's own filter in it.
    let is_filtered = !spur.is_by_image;
    let strength = if order == 1 && spur.oscillator_multiple == 1 {
        Strength::Full
    } else {
        spurious(figures, order, is_filtered)
    };
    let centre = spur.place.frequency;
    let response = Response {
        kind: index_of(&TOPIC),
        centre,
        arithmetic: Arithmetic::Mixer(spur.place.arithmetic),
        multiple: i64::from(order),
        drift: drift(receiver, tuning, spur),
        shape: Shape::Window(figures.bandwidth.value),
        ahead,
        strength,
        supposed: receiver.second_supposed(tuning.superhet.injection(), side),
    };
    let own = if is_filtered {
        figures.preselector.loss_at(centre)
    } else {
        Decibels::ZERO
    };
    let borne = figures.sensitivity.value - figures.protection.value;
    (response.faintest(borne) + own <= MOST).then_some(response)
}

/// How far the oscillators may be off in the channel: the first as often as the signal, the second as often as it takes part,
/// and the second IF for what follows.
///
/// # Source
/// Worst case, own derivation, as for the first mixer.
fn drift(receiver: &Receiver, tuning: &Tuning, spur: &SecondSpur) -> Offset {
    let times = |oscillator: Frequency, multiple: u32| {
        oscillator.as_hz().saturating_mul(i64::from(multiple))
    };
    let first = tuning.superhet.oscillator().frequency;
    let sum = times(first, spur.signal_multiple)
        .saturating_add(times(spur.oscillator, spur.oscillator_multiple))
        .saturating_add(
            receiver
                .figures
                .second_if
                .as_ref()
                .map_or(0, |second| second.as_hz()),
        );
    receiver.figures.tolerance.of(Frequency::hz(sum))
}

fn why(receiver: &Receiver, response: &Response) -> String {
    let signal = match response.multiple {
        1 => "a signal".to_owned(),
        multiple => format!("{multiple} times a signal"),
    };
    format!(
        "{signal} at {} meets a multiple of the second oscillator of {} and gives its second IF",
        response.arithmetic, receiver.name
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::budget::{Ledger, Total, starting_at};
    use crate::provenance::{Origin, Sourced};
    use crate::quantity::Span;
    use crate::radio::{FirstFilter, Preselector, ReceiverFigures, Skirt};
    use crate::responses::responses;
    use crate::scene::Scene;
    use crate::scene::sample::{CROWDED, plan};
    use std::sync::Arc;

    fn said<T>(value: T) -> Sourced<T> {
        Sourced::new(value, Origin::Said(Arc::from("a test")))
    }

    /// The relay's receiver on 145.2250 MHz, first IF 45.05 MHz with the oscillator above, second IF 455 kHz; changed.
    fn ear(change: impl FnOnce(&mut ReceiverFigures)) -> Receiver {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let on_2m = |one: &&Receiver| one.frequency == Frequency::hz(145_225_000);
        let mut receiver = scene.receivers.iter().find(on_2m).unwrap().clone();
        let mut figures = (*receiver.figures).clone();
        change(&mut figures);
        receiver.figures = figures.into();
        receiver
    }

    fn heard(receiver: &Receiver) -> Vec<Response> {
        let mut found = Vec::new();
        hear(receiver, &mut found);
        found
    }

    fn near(receiver: &Receiver) -> Vec<(i64, Option<String>)> {
        let off = |one: &Response| (one.centre - receiver.frequency).as_hz();
        let found = heard(receiver).into_iter();
        found
            .map(|one| (off(&one), one.supposed))
            .filter(|(off, _)| off.abs() < 1_000_000)
            .collect()
    }

    #[test]
    fn no_place_is_told_twice_and_each_bears_what_the_law_and_the_filter_say() {
        let receiver = ear(|figures| {
            figures.first_if_filter = Some(FirstFilter {
                passband: said(crate::quantity::Bandwidth::hz(200_000)),
                poles: said(2),
            });
        });
        let figures = &receiver.figures;
        let of_kind = heard(&receiver);
        // Eight near the channel; by the image one to one, a half and two thirds, on either side.
        assert_eq!(of_kind.len(), 14);
        let others = responses(&receiver);
        for response in &of_kind {
            let twins = others
                .iter()
                .filter(|other| matches!(other.shape, Shape::Window(_)))
                .filter(|other| (other.centre - response.centre).abs() < Offset::hz(12_000));
            assert_eq!(twins.count(), 1, "{}", response.arithmetic);
            // Signals at S + R, and what is lost ahead, amount to what the receiver just bears, S − C.
            let lost = response.lost_ahead();
            let is_mixed = response.multiple > 1;
            let law = if is_mixed {
                figures.spurious.value
            } else {
                Decibels::ZERO
            };
            let arriving = figures.sensitivity.value + law + lost;
            let mut level = Total::default();
            level.enter(starting_at(arriving), || (String::new(), String::new()));
            response.enter(&receiver, response.centre, || arriving, &mut level);
            let borne = if is_mixed {
                figures.protection.value
            } else {
                Decibels::ZERO
            };
            let off = (level.level() - (figures.sensitivity.value - borne)).as_db();
            assert!(off.abs() < 0.1, "{}: {off}", response.arithmetic);
            // A line that is heard at all is never left out beforehand.
            let faintest = response.faintest(level.level());
            assert!(
                faintest <= arriving + Decibels::db(0.1),
                "{}",
                response.arithmetic
            );
        }
    }

    #[test]
    fn a_side_that_is_not_stated_is_supposed_and_a_stated_one_settles_it() {
        let sides = |receiver: &Receiver| {
            let found = near(receiver);
            let offs: Vec<i64> = found.iter().map(|one| one.0).collect();
            let mut supposed: Vec<String> = found.into_iter().filter_map(|one| one.1).collect();
            supposed.sort();
            supposed.dedup();
            (offs, supposed)
        };
        let below = [-682_500, -606_667, -303_333, -227_500];
        let above = [227_500, 303_333, 606_667, 682_500];
        let both: Vec<i64> = below.into_iter().chain(above).collect();
        let (offs, supposed) = sides(&ear(|_| {}));
        assert_eq!(offs, both);
        assert_eq!(supposed.len(), 2);
        assert!(supposed.iter().all(|one| one.contains("second oscillator")));
        // The first oscillator is above: a second one below turns the places upwards.
        let settled = ear(|figures| figures.second_injection = Some(said(Injection::Low)));
        assert_eq!(sides(&settled), (above.to_vec(), Vec::new()));
        let settled = ear(|figures| figures.second_injection = Some(said(Injection::High)));
        assert_eq!(sides(&settled), (below.to_vec(), Vec::new()));
        // The first IF does not matter near the channel, the side of the first oscillator does.
        let unknown = ear(|figures| {
            figures.first_if = None;
            figures.second_injection = Some(said(Injection::Low));
        });
        assert_eq!(sides(&unknown), (above.to_vec(), Vec::new()));
        let unknown = ear(|figures| {
            figures.injection = None;
            figures.second_injection = Some(said(Injection::Low));
        });
        let (offs, supposed) = sides(&unknown);
        assert_eq!(offs, both);
        assert!(
            supposed
                .iter()
                .all(|one| one.contains("its oscillators on"))
        );
    }

    #[test]
    fn nothing_is_left_out_that_takes_one_watt_or_less() {
        // −120 dBm, 65 dB and what the filter leaks.
        let mixed = |leaks: f64| {
            let receiver = ear(|figures| figures.second_image = said(Decibels::db(leaks)));
            heard(&receiver)
                .iter()
                .filter(|one| one.multiple > 1)
                .count()
        };
        assert_eq!((mixed(84.9), mixed(85.1)), (8, 0));
        let mirrored = |image: f64| {
            let receiver = ear(|figures| figures.image = said(Decibels::db(image)));
            heard(&receiver)
                .iter()
                .filter(|one| one.multiple == 1)
                .count()
        };
        // Less the 8 dB of protection, with the 60 dB that leak.
        assert_eq!((mirrored(97.9), mirrored(98.1)), (2, 0));
    }

    #[test]
    fn a_filter_that_nobody_stated_is_the_least_that_reaches_the_second_image_rejection() {
        let loss = |receiver: &Receiver, off| receiver.figures.first_filter_at(Offset::hz(off));
        let unknown = ear(|figures| figures.first_if_filter = None);
        let half = loss(&unknown, 227_500).unwrap();
        assert!((half.value.as_db() - (60.0 - 40.0 * 4f64.log10())).abs() < 1e-9);
        assert!(!half.is_stated());
        assert_eq!(
            loss(&unknown, 910_000),
            Some(unknown.figures.second_image.clone())
        );
        // Four poles of 15 kHz would take 118 dB: what leaks past is heard first.
        let stated = ear(|_| {});
        assert_eq!(
            loss(&stated, 227_500),
            Some(stated.figures.second_image.clone())
        );
        let single = ear(|figures| figures.second_if = None);
        assert_eq!(loss(&single, 227_500), None);
        assert!(heard(&single).is_empty());
    }

    #[test]
    fn where_the_first_if_is_not_stated_only_what_goes_with_the_channel_is_told() {
        let known = heard(&ear(|_| {}));
        assert!(
            known
                .iter()
                .any(|one| (one.centre - Frequency::hz(145_225_000)).abs() > Offset::hz(1_000_000))
        );
        let unknown = heard(&ear(|figures| figures.first_if = None));
        assert!(!unknown.is_empty());
        for one in &unknown {
            // Twice the second IF at most, as what a spur is off the first IF.
            let off = (one.centre - Frequency::hz(145_225_000)).abs();
            assert!(off < Offset::hz(1_000_000), "{}", one.arithmetic);
        }
    }

    #[test]
    fn nothing_is_told_twice_where_another_response_is() {
        let receiver = ear(|_| {});
        let told = Told::of(&receiver, Frequency::hz(455_000));
        let mut spurs = Vec::new();
        for tuning in receiver.tunings() {
            spurs.extend(tuning.superhet.second_spurs(
                Frequency::hz(455_000),
                Injection::Low,
                HIGHEST_OSCILLATOR,
                HIGHEST_SIGNAL,
            ));
        }
        let spur = spurs
            .iter()
            .find(|one| !one.is_by_image && one.signal_multiple == 2 && one.off <= told.furthest)
            .unwrap();
        let at = |off: i64| {
            let mut spur = spur.clone();
            spur.place.frequency = receiver.frequency + Offset::hz(off);
            told.has(&spur)
        };
        // One and a half channels are the channel and the adjacent one, on either side.
        let spacing = receiver.figures.channel_spacing.as_hz();
        let nearest = spacing + spacing / 2;
        assert!(at(0) && at(nearest - 1) && at(1 - nearest));
        assert!(!at(nearest) && !at(-nearest));
        let image = |is_by_image: bool, oscillator: u32, signal: u32| {
            let mut spur = spur.clone();
            spur.place.frequency = receiver.frequency + Offset::hz(2 * nearest);
            spur.is_by_image = is_by_image;
            spur.oscillator_multiple = oscillator;
            spur.signal_multiple = signal;
            told.has(&spur)
        };
        // The second image is a response of its own; by the first mixer's image it is not.
        assert!(image(false, 1, 1));
        assert!(
            !image(true, 1, 1) && !image(false, 1, 2) && !image(false, 2, 1) && !image(false, 2, 2)
        );
    }

    #[test]
    fn the_filter_of_the_receiver_counts_before_what_is_not_stated_at_the_socket() {
        use super::super::mixer_spur::spurious;
        let receiver = ear(|_| {});
        let figures = &receiver.figures;
        assert!(matches!(spurious(figures, 1, true), Strength::Filtered(_)));
        assert!(matches!(spurious(figures, 1, false), Strength::Rejected(_)));
        for (order, filter) in [(2, true), (3, false)] {
            let is_it = matches!(spurious(figures, order, filter), Strength::Mixed { order: of, is_filtered, .. } if of == order && is_filtered == filter);
            assert!(is_it, "{order}");
        }
    }

    /// As above, with 10 dB of the receiver's own filter wherever it listens; what is stated of the image holds at the socket.
    #[test]
    fn what_the_filter_of_the_receiver_takes_counts_to_the_one_watt() {
        let count = |leaks: f64, image: f64, is_by_image: bool| {
            let receiver = ear(|figures| {
                figures.second_image = said(Decibels::db(leaks));
                figures.image = said(Decibels::db(image));
                figures.preselector = Preselector {
                    passband: Span::between(Frequency::hz(1_000_000), Frequency::hz(2_000_000)),
                    skirts: vec![Skirt {
                        beyond: Offset::hz(1),
                        loss: said(Decibels::db(10.0)),
                    }],
                };
            });
            let is_it = |one: &&Response| (one.multiple == 1) == is_by_image;
            heard(&receiver).iter().filter(is_it).count()
        };
        assert_eq!((count(74.9, 90.0, false), count(75.1, 90.0, false)), (8, 0));
        assert_eq!((count(60.0, 97.9, true), count(60.0, 98.1, true)), (2, 0));
    }

    /// Only the one with the other once each passes as a signal does.
    #[test]
    fn what_takes_more_than_one_of_the_signal_and_of_the_oscillator_is_held_down_as_spurious() {
        let receiver = ear(|figures| {
            figures.image = said(Decibels::db(10.0));
            figures.second_image = said(Decibels::db(10.0));
        });
        let tuning = receiver.tunings().remove(0);
        let second = Frequency::hz(455_000);
        let all = tuning.superhet.second_spurs(
            second,
            Injection::Low,
            HIGHEST_OSCILLATOR,
            HIGHEST_SIGNAL,
        );
        let spur = all
            .into_iter()
            .find(|one| one.off < Offset::hz(500_000))
            .unwrap();
        let strength = |oscillator: u32, signal: u32, is_by_image: bool| {
            let spur = SecondSpur {
                oscillator_multiple: oscillator,
                signal_multiple: signal,
                is_by_image,
                ..spur.clone()
            };
            response(&receiver, &tuning, Injection::Low, &spur)
                .unwrap()
                .strength
        };
        assert!(matches!(strength(1, 1, true), Strength::Full));
        assert!(matches!(strength(1, 1, false), Strength::Full));
        assert!(matches!(strength(2, 1, false), Strength::Filtered(_)));
        assert!(matches!(strength(2, 1, true), Strength::Rejected(_)));
        assert!(matches!(
            strength(1, 2, false),
            Strength::Mixed { order: 2, .. }
        ));
        assert!(matches!(
            strength(2, 2, false),
            Strength::Mixed { order: 2, .. }
        ));
    }
}
