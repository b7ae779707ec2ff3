#![doc = include_str!("receiver_intermodulation.md")]

mod arrivals;
mod combine;
mod company;
mod pattern;

use super::{Birth, Emission, Line, Part, Request, Source, index_of};
use crate::budget::{Budget, Ledger, Total, starting_at};
use crate::physics::{mixing, spread};
use crate::quantity::Decibels;
use crate::scene::Scene;
use crate::topic::Topic;

use arrivals::{arrive, arrived, can_disturb};
use combine::{Cast, Hunt, Need, combine, limited};
use company::Arrival;
use pattern::Pattern;

pub(super) use arrivals::Classes;
pub(super) use pattern::Patterns;

pub(super) const KIND: Emission = Emission {
    topic: TOPIC,
    generate,
    tell,
    called,
    why,
    // A product goes with every source as often as it enters.
    slope: |_, _, coefficient| coefficient.unsigned_abs() as f64,
    is_plain: false,
    is_for_one: true,
};

const TOPIC: Topic = Topic {
    id: "receiver-intermodulation",
    title: "Strong signals mix inside a receiver",
    text: include_str!("receiver_intermodulation.md"),
};

fn generate(request: &Request<'_>, lines: &mut Vec<Line>) {
    // What others do to a receiver of others there is not ours to know.
    if request.part == Part::Beside {
        return;
    }
    let scene = request.scene;
    let settings = &scene.plan.settings;
    let patterns = request
        .crowd
        .patterns
        .get_or_init(|| Patterns::up_to(settings.order.value, settings.signals.value));
    let classes = &request.crowd.classes;
    let all: Vec<&Pattern> = patterns.all.iter().collect();
    for class in &classes.all {
        let first = class.members.first();
        let Some(first) = first.and_then(|&first| scene.receivers.get(first)) else {
            continue;
        };
        if !class.is_concerned(request, first, patterns) {
            continue;
        }
        let guests = request.guests();
        let guests = guests.map(|(index, one)| arrived(scene, index, one, first));
        let guests: Vec<Arrival> = guests.collect();
        if !class.is_concerned_by(request, first, patterns, &guests) {
            continue;
        }
        let cast = Cast {
            guests: &guests,
            company: class.company(request, first),
            room: classes.room.as_ref(),
            intercepts: class.intercepts(first, patterns),
        };
        // Nobody of a class brings a leg or is under trial.
        let needs = Need::legs(request.focus);
        let patterns = cast.audible(&all, (class.floor(request), &needs));
        for &member in class.members.iter().filter(|_| !patterns.is_empty()) {
            hunt(request, member, &cast, &patterns, lines);
        }
    }
    for (index, receiver) in scene.receivers.from(request.first_without_class()) {
        let guests = request.guests();
        let guests = guests.filter(|&(index, one)| can_disturb(scene, index, one, receiver));
        let guests = guests.map(|(index, one)| arrived(scene, index, one, receiver));
        let cast = Cast {
            guests: &guests.collect::<Vec<Arrival>>(),
            company: &classes.at_socket(request, receiver),
            room: classes.room.as_ref(),
            intercepts: &patterns.intercepts(&receiver.figures),
        };
        hunt(request, index, &cast, &all, lines);
    }
}

/// Adds what arises inside one receiver.
fn hunt(
    request: &Request<'_>,
    index: usize,
    cast: &Cast<'_>,
    patterns: &[&Pattern],
    lines: &mut Vec<Line>,
) {
    let scene = request.scene;
    let kind = index_of(&TOPIC);
    let receiver = scene.receivers.get(index);
    let receiver = receiver.filter(|one| request.focus.holds(one.legs));
    let listening = request.listening.get(index);
    let Some((receiver, listening)) = receiver.zip(listening) else {
        return;
    };
    let Some(floor) = request.floor(listening) else {
        return;
    };
    let hunt = Hunt {
        span: listening.channel,
        reach: request.reach,
        floor,
        needs: Need::beyond(receiver, request.focus),
    };
    for found in combine(cast, patterns, &hunt) {
        let sources: Vec<usize> = found
            .terms
            .iter()
            .map(|&(transmitter, _)| transmitter)
            .collect();
        let is_wanted = |&source: &usize| {
            let source = scene.transmitters.get(source);
            source.is_some_and(|source| scene.is_wanted(source, receiver))
        };
        if !sources.iter().any(is_wanted) && scene.coexist(&sources, receiver) {
            lines.push(line(scene, kind, index, &found.terms, found.level));
        }
    }
}

/// A product inside a receiver, from its transmitters and their coefficients.
fn line(
    scene: &Scene<'_>,
    kind: usize,
    receiver: usize,
    terms: &[(usize, i64)],
    level: crate::quantity::Level,
) -> Line {
    let of = |index: usize| scene.transmitters.get(index);
    let carriers: Vec<_> = terms
        .iter()
        .filter_map(|&(index, c)| Some((c, of(index)?)))
        .collect();
    let frequency = carriers
        .iter()
        .map(|(c, one)| c * one.frequency.as_hz())
        .sum();
    let emissions: Vec<_> = carriers
        .iter()
        .map(|(c, one)| (*c, one.emission.value))
        .collect();
    let tolerances: Vec<_> = carriers
        .iter()
        .map(|(c, one)| (*c, one.frequency, one.figures.tolerance.value))
        .collect();
    Line {
        kind,
        terms: terms
            .iter()
            .map(|&(index, c)| (Source::Transmitter(index), c))
            .collect(),
        frequency: crate::quantity::Frequency::hz(frequency),
        width: mixing::product_width(&emissions),
        tolerance: mixing::product_tolerance(&tolerances),
        birth: Birth::InsideReceiver(receiver),
        heard_by: Some(receiver),
        supposed: None,
        level,
        legs: carriers
            .iter()
            .fold(crate::scenario::Legs::NONE, |legs, (_, one)| {
                legs.and(one.legs)
            }),
        is_ours: carriers.iter().any(|(_, one)| one.owner.is_ours()),
    }
}

fn tell(scene: &Scene<'_>, line: &Line, budget: &mut Budget) {
    let Birth::InsideReceiver(index) = line.birth else {
        return;
    };
    let Some(receiver) = scene.receivers.get(index) else {
        return;
    };
    let mut order = 0;
    let mut terms = Vec::new();
    for &(source, coefficient) in &line.terms {
        let Source::Transmitter(transmitter) = source else {
            continue;
        };
        let mut one = Budget::default();
        arrive(scene, transmitter, receiver, &mut one);
        let level = one.level();
        let times = coefficient.unsigned_abs();
        order += times;
        terms.push((coefficient, level));
        let name = scene
            .transmitters
            .get(transmitter)
            .map_or("", |one| one.name.as_str());
        let built: Vec<String> = one
            .steps
            .iter()
            .map(|step| format!("{} {}", step.what, step.change))
            .collect();
        #[expect(
            clippy::cast_precision_loss,
            reason = "a coefficient is a small number"
        )]
        let change = starting_at(level) * times as f64;
        budget.enter(change, || {
            (
                format!("{times} × {level}, {name} behind the receiver's filter"),
                built.join(", "),
            )
        });
        budget.vary(one.spread() * times as f64);
        for text in one.assumed {
            budget.assume(|| text);
        }
    }
    let Some(intercept) = pattern::intercept(&receiver.figures, order) else {
        return;
    };
    let mut levels = Total::default();
    for (coefficient, level) in &terms {
        #[expect(
            clippy::cast_precision_loss,
            reason = "a coefficient is a small number"
        )]
        levels.enter(
            starting_at(*level) * coefficient.unsigned_abs() as f64,
            || (String::new(), String::new()),
        );
    }
    let product = mixing::intermod_level(&terms, intercept.value);
    #[expect(clippy::cast_precision_loss, reason = "an order is a small number")]
    let by_intercept = starting_at(intercept.value) * -(order as f64 - 1.0);
    budget.enter(by_intercept, || {
        (
            format!(
                "{} × the intercept of order {order}, {}",
                order - 1,
                intercept.value
            ),
            intercept.origin.to_string(),
        )
    });
    // The intercept is worked out from a rejection, or stands for one: it is as uncertain.
    budget.vary(spread::equipment(&intercept) * (order as f64 - 1.0));
    let shape = starting_at(product) - levels.ratio() - by_intercept;
    if shape.as_db().abs() > 1e-9 {
        budget.enter(Decibels::db(shape.as_db()), || {
            (
                "share of this combination in the expansion".to_owned(),
                "multinomial coefficient, arithmetic".to_owned(),
            )
        });
    }
    let excess = product - limited(product, &terms);
    if excess > Decibels::ZERO {
        budget.enter(-excess, || {
            (
                "no stronger than its faintest source".to_owned(),
                "saturation of the stage; common practice".to_owned(),
            )
        });
    }
    if !intercept.is_stated() {
        budget.assume(|| {
            format!(
                "intercept of order {order} of {}: {} ({})",
                receiver.name,
                intercept.value,
                intercept.origin.brief()
            )
        });
    }
}

fn why(scene: &Scene<'_>, line: &Line) -> String {
    let Birth::InsideReceiver(index) = line.birth else {
        return String::new();
    };
    let Some(receiver) = scene.receivers.get(index) else {
        return String::new();
    };
    let names: Vec<&str> = names(scene, line).collect();
    let order: u64 = line
        .terms
        .iter()
        .map(|(_, coefficient)| coefficient.unsigned_abs())
        .sum();
    format!(
        "{} overload{} the front end of {} together and mix there, a product of order {order}",
        names.join(" and "),
        if names.len() == 1 { "s" } else { "" },
        receiver.name
    )
}

fn called(scene: &Scene<'_>, line: &Line) -> String {
    let names: Vec<&str> = names(scene, line).collect();
    match names.as_slice() {
        [one] => format!("what {one} makes in the front end"),
        several => format!("the mix of {}", several.join(" and ")),
    }
}

fn names<'a>(scene: &'a Scene<'_>, line: &'a Line) -> impl Iterator<Item = &'a str> {
    line.transmitters()
        .filter_map(|index| scene.transmitters.get(index))
        .map(|one| one.name.as_str())
}
