#![doc = include_str!("transmitter_intermodulation.md")]

use rayon::prelude::*;

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
    let meetings = meetings(request, |meeting| {
        // No product is stronger than the one of third order that is linear in the foreign carrier.
        !meeting.ours.figures.conversion_loss.is_empty()
            && meeting.arriving_at_most - third_order_loss(meeting.ours, meeting.theirs)
                >= meeting.audible
    });
    if request.is_for_antennas() {
        let meetings = meetings.par_iter().with_min_len(AT_ONCE);
        lines.par_extend(meetings.flat_map_iter(|meeting| products(request, meeting)));
        return;
    }
    // Whoever asks here may hold what another asks for, so that nobody else is to be served meanwhile.
    lines.extend(
        meetings
            .iter()
            .flat_map(|meeting| products(request, meeting)),
    );
}

/// So many meetings are gone through by one processor.
///
/// # Source
/// Choice: a few hundred take less time than to set another processor to them.
const AT_ONCE: usize = 256;

/// The products of a meeting that might matter to anybody.
fn products(request: &Request<'_>, meeting: &Meeting<'_>) -> Vec<Line> {
    let kind = index_of(&TOPIC);
    let highest = i64::from(request.scene.plan.settings.order.value);
    let mut found = Vec::new();
    let third = third_order_loss(meeting.ours, meeting.theirs);
    let mut arriving = None;
    let mut at_most = meeting.arriving_at_most;
    if !request.knows_who_hears(&meeting.socket, meeting.is_ours) {
        // One way is worked out sooner than who might hear what leaves there.
        at_most = *arriving.insert(meeting.arriving(request));
        if at_most - third < meeting.audible {
            return found;
        }
    }
    let full = full_power(meeting.ours);
    let below_full = (at_most - full).min(Decibels::ZERO);
    for order in ORDERS.into_iter().filter(|&order| order <= highest) {
        let once = at_most - third - further(order);
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
            let level = level(meeting, arriving, a, b);
            if level >= meeting.audible && is_heard(level) {
                found.extend(meeting.product(kind, a, b, level));
            }
        }
    }
    found
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::sample::{CROWDED, plan};

    /// The relay's 2 m side, full power 43 dBm, and the packet station's carrier at its socket.
    fn with_both(look: impl Fn(&Transmitter, &Transmitter)) {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let named = |name: &str| {
            let mut all = scene.transmitters.iter();
            all.find(|one| one.name == name).unwrap().clone()
        };
        let (mut ours, theirs) = (named("Relay, 2m side"), named("Packet"));
        let mut figures = (*ours.figures).clone();
        for step in &mut figures.steps {
            step.power.value = Power::of_level(Level::dbm(30.0));
        }
        figures.steps[0].power.value = Power::of_level(Level::dbm(43.0));
        figures.conversion_loss.truncate(1);
        figures.conversion_loss[0].loss.value = Decibels::db(8.0);
        figures.harmonics.truncate(1);
        figures.harmonics[0].from = 2;
        figures.harmonics[0].suppression.value = Decibels::db(60.0);
        ours.figures = figures.into();
        look(&ours, &theirs);
    }

    fn told(ours: &Transmitter, theirs: &Transmitter, (a, b): (i64, i64), arriving: f64) -> Budget {
        let arriving = Level::dbm(arriving);
        let mut budget = Budget::default();
        budget.enter(starting_at(arriving), || (String::new(), String::new()));
        convert((ours, a), (theirs, b), arriving, &mut budget);
        budget
    }

    #[test]
    fn each_time_more_that_the_foreign_carrier_enters_counts_what_it_is_below_full_power() {
        with_both(|ours, theirs| {
            for (coefficients, arriving, expected, steps) in [
                // The arriving level less the conversion loss, and nothing else.
                ((2, -1), 0.0, -8.0, 1),
                // Twice: 43 dB below full power.
                ((-1, 2), 0.0, -51.0, 2),
                // Order 5: 10 dB more, by our choice; the foreign carrier once, twice, four times. Three carriers' worth passes the filter.
                ((4, -1), 0.0, -58.0, 3),
                ((3, -2), 0.0, -61.0, 3),
                ((-1, 4), 0.0, -58.0 - 3.0 * 43.0, 4),
                ((4, -3), 0.0, -28.0 - 2.0 * 43.0, 3),
                // As strong as the stage itself, it counts no less.
                ((-1, 2), 43.0, 35.0, 1),
                ((-1, 2), 50.0, 42.0, 1),
            ] {
                let budget = told(ours, theirs, coefficients, arriving);
                let level = budget.level().as_dbm();
                assert!((level - expected).abs() < 1e-9, "{coefficients:?}: {level}");
                // A step for what arrives, and one for each thing that changes it.
                assert_eq!(budget.steps.len(), 1 + steps, "{coefficients:?}");
            }
        });
    }

    /// The packet station is 425 kHz off: 175 kHz from the one point, 325 kHz from the other.
    #[test]
    fn of_the_points_at_which_a_conversion_loss_is_stated_the_nearest_is_named() {
        with_both(|ours, theirs| {
            let mut ours = ours.clone();
            let mut figures = (*ours.figures).clone();
            let mut point = figures.conversion_loss.remove(0);
            for (khz, place) in [(100, "the near one"), (600, "the far one")] {
                point.offset = crate::quantity::Offset::hz(khz * 1_000);
                point.loss.origin = crate::provenance::Origin::Said(place.into());
                figures.conversion_loss.push(point.clone());
            }
            ours.figures = figures.into();
            let budget = told(&ours, theirs, (2, -1), 0.0);
            assert_eq!(budget.steps[1].note, "stated in the far one");
        });
    }

    #[test]
    fn a_set_of_which_no_conversion_loss_is_known_makes_no_product() {
        let plan = plan(CROWDED);
        let mut scene = Scene::build(&plan, None);
        let made = |scene: &Scene<'_>| {
            let crowd = crate::emissions::Crowd::default();
            let audience = crate::emissions::Audience::default();
            let wanted = crate::emissions::Wanted::of(scene, crate::scenario::Legs::NONE);
            let mut lines = Vec::new();
            generate(
                &Request::plain(scene, &crowd, &[], &audience, wanted),
                &mut lines,
            );
            lines.len()
        };
        assert!(made(&scene) > 100);
        scene.transmitters = scene.transmitters.changed_where(
            |_| true,
            |one| {
                let mut figures = (*one.figures).clone();
                figures.conversion_loss.clear();
                one.figures = figures.into();
            },
        );
        assert_eq!(made(&scene), 0);
    }

    /// A stage does 20 dB by itself (common practice); the rest of what is stated for a harmonic is the filter's.
    #[test]
    fn the_output_filter_counts_from_half_way_to_the_second_harmonic_on() {
        with_both(|ours, theirs| {
            let carrier = ours.frequency.as_hz();
            let at = |hertz| filter(ours, Frequency::hz(hertz)).as_db();
            assert!(at(carrier) == 0.0 && at(carrier / 2) == 0.0 && at(1) == 0.0);
            assert!(at(carrier * 3 / 2 - 1_000_000) == 0.0);
            assert!((at(carrier * 3 / 2 + 1_000_000) - 40.0).abs() < 1e-9);
            assert!((at(carrier * 4) - 40.0).abs() < 1e-9);
            // 2 A + B lies there, 2 A − B does not.
            let sum = told(ours, theirs, (2, 1), 0.0);
            assert!((sum.level().as_dbm() + 48.0).abs() < 1e-9);
            assert_eq!(sum.steps.len(), 3);
        });
    }

    #[test]
    fn only_the_foreign_carrier_makes_it_weaker() {
        let line = Line {
            kind: 0,
            terms: vec![(Source::Transmitter(4), 2), (Source::Transmitter(7), -3)],
            frequency: Frequency::hz(145_000_000),
            width: crate::quantity::Bandwidth::hz(50_000),
            tolerance: crate::quantity::Offset::hz(0),
            birth: crate::emissions::Birth::Transmitter(4),
            heard_by: None,
            supposed: None,
            level: Level::dbm(-30.0),
            legs: crate::scenario::Legs::NONE,
            is_ours: true,
        };
        assert!(slope(&line, Source::Transmitter(4), 2) == 0.0);
        assert!((slope(&line, Source::Transmitter(7), -3) - 3.0).abs() < 1e-9);
    }

    /// Strong carriers close to each other and to us; only what leaves nothing out may save time.
    #[test]
    fn a_map_of_the_few_who_hear_leaves_out_no_product_of_the_many_who_send() {
        use crate::emissions::{Audience, Crowd, Heard, Keen, Listening, Part, Sense, Wanted};
        use crate::quantity::{Offset, Span};
        let near = (0..9).map(|one| {
            let (khz, north) = (145_100 + 25 * one * one, 4_160 + 10 * one);
            format!("  - {{name: N{one}, frequency: {khz} kHz, erp: 100 W, at: [54.{north}, -0.5320]}}\n")
        });
        let plan = plan(&format!("{CROWDED}{}", near.collect::<String>()));
        let scene = Scene::build(&plan, None);
        let ears: Vec<Listening> = (scene.receivers.iter())
            .map(|receiver| {
                let concern = crate::emissions::Concern::Plain;
                let place = (receiver.frequency, Offset::hz(8_000));
                let sense = Sense { slope: 1, concern };
                let places = vec![Heard::new(place, (Level::dbm(-120.0), sense))];
                Listening {
                    channel: Span::between(receiver.frequency, receiver.frequency),
                    floor: Some(Level::dbm(-120.0)),
                    concern,
                    concern_of_slices: concern,
                    keen: Keen::of(&places),
                    places,
                }
            })
            .collect();
        let listening: Vec<&Listening> = ears.iter().collect();
        let others = scene.receivers.from(0);
        let others = others.filter(|(_, one)| !one.owner.is_ours());
        let others: Vec<usize> = others.map(|(index, _)| index).collect();
        let audience = Audience::default();
        for part in [Part::Standing, Part::Beside] {
            let made = |are_many: bool| {
                let mut crowd = if part == Part::Beside {
                    Crowd::beside(&scene, &listening, others.clone())
                } else {
                    Crowd::of(&scene, &listening, false)
                };
                assert!(!crowd.are_many_who_send);
                crowd.are_many_who_send = are_many;
                let wanted = Wanted::of(&scene, crate::scenario::Legs::NONE);
                let request = Request::new(&scene, &crowd, &listening, &audience, (part, wanted));
                let (host, _) = scene.transmitters.from(0).last().unwrap();
                let socket = request.socket(scene.reach_of_transmitter(host).unwrap());
                // Whoever is heard by all is not worth a map.
                assert_eq!(request.knows_who_hears(&socket, false), are_many);
                let is_beside = are_many && part == Part::Beside;
                assert_eq!(request.knows_who_hears(&socket, true), is_beside);
                let place = |khz: i64| (Frequency::hz(khz * 1000), 3);
                let glance = |khz: i64| {
                    request.might_be_heard(place(khz), Level::dbm(0.0), (&socket, false, true))
                };
                // Somebody hears on a channel of the plan, nobody on 139 MHz.
                let channel = if part == Part::Beside {
                    145_100
                } else {
                    145_650
                };
                assert!(glance(channel) && glance(139_000) != are_many);
                let mut lines = Vec::new();
                generate(&request, &mut lines);
                format!("{lines:?}")
            };
            let plain = made(false);
            assert!(
                plain.matches("Transmitter").count() > 20,
                "{part:?} {plain}"
            );
            assert_eq!(made(true), plain, "{part:?}");
        }
    }
}
