//! Where a line meets a response: overlap, level and margin.
//!
//! An encounter depends only on its sources and its victim, on nothing else in the scene: the search rests on that.

use crate::budget::{Budget, Ledger, Total, starting_at};
use crate::emissions::{self, Birth, Heard, Line, Listening, Request};
use crate::physics::noise::{external_noise, interference_for_rise, noise_floor};
use crate::physics::spread;
use crate::quantity::{Bandwidth, Decibels, Frequency, Level, Offset, Span};
use crate::responses::{Response, Shape, Strength, responses};
use crate::scenario::Legs;
use crate::scene::{Activity, Reach, Receiver, Scene};

/// A line heard by a receiver.
#[derive(Debug, Clone)]
pub struct Encounter {
    /// The receiver, by index into the scene.
    pub receiver: usize,
    /// The line.
    pub line: Line,
    /// How it is heard.
    pub response: Response,
    /// What it amounts to on the channel.
    pub level: Level,
    /// What would hurt.
    pub threshold: Level,
    /// The legs under trial that sources and victim rest on.
    pub legs: Legs,
}

impl Encounter {
    /// How far the level is below what would hurt; negative hurts.
    pub fn margin(&self) -> Decibels {
        self.threshold - self.level
    }

    /// What had to be supposed for its two halves to exist at all.
    pub fn supposed(&self) -> impl Iterator<Item = &String> {
        self.line.supposed.iter().chain(&self.response.supposed)
    }

    /// The id it goes by: the line's kind, unless that is a plain carrier, then the response's.
    pub fn id(&self) -> &'static str {
        let line = self
            .line
            .emission()
            .filter(|emission| !emission.is_plain)
            .map(|emission| emission.topic.id);
        line.or_else(|| self.response.kind().map(|kind| kind.topic.id))
            .unwrap_or("encounter")
    }

    /// How level and threshold come about, step by step.
    pub fn tell(&self, scene: &Scene<'_>) -> (Budget, Budget) {
        let (mut level, mut limit) = (Budget::default(), Budget::default());
        let Some(receiver) = scene.receivers.get(self.receiver) else {
            return (level, limit);
        };
        if let Some(emission) = self.line.emission() {
            (emission.tell)(scene, &self.line, &mut level);
        }
        carry(scene, receiver, &self.line, &self.response, &mut level);
        threshold(scene, receiver, &self.response, &mut limit);
        (level, limit)
    }
}

/// Every encounter that rests on exactly the legs of the focus and comes within the horizon.
pub fn meet(scene: &Scene<'_>, focus: Legs) -> Vec<Encounter> {
    let ears: Vec<Ear<'_>> = scene
        .receivers
        .iter()
        .map(|receiver| Ear::of(scene, receiver))
        .collect();
    let listening: Vec<Listening> = ears.iter().map(|ear| ear.listening(scene)).collect();
    let mut lines = Vec::new();
    let request = Request::new(scene, &listening, focus);
    for emission in emissions::ALL {
        (emission.generate)(&request, &mut lines);
    }
    let (mut own, mut radiated): (Vec<Line>, Vec<Line>) =
        lines.into_iter().partition(|line| line.heard_by.is_some());
    own.sort_by_key(|line| line.heard_by);
    radiated.sort_by_key(|line| line.frequency);
    let widest = radiated
        .iter()
        .map(|line| line.width.as_hz() + 2 * line.tolerance.as_hz())
        .max()
        .unwrap_or(0);
    let mut found = Vec::new();
    for (index, ear) in ears.iter().enumerate() {
        let first = own.partition_point(|line| line.heard_by < Some(index));
        let own = own.iter().skip(first);
        for line in own.take_while(|line| line.heard_by == Some(index)) {
            // What one receiver alone hears, it hears on its channel.
            ear.hear(index, line, ear.responses.iter().take(1), focus, &mut found);
        }
        for heard in &ear.responses {
            for line in Ear::candidates(&heard.0, &radiated, widest) {
                ear.hear(index, line, std::iter::once(heard), focus, &mut found);
            }
        }
    }
    found
}

/// A receiver with everything it hears.
struct Ear<'a> {
    scene: &'a Scene<'a>,
    receiver: &'a Receiver,
    /// Each with the level that would hurt there.
    responses: Vec<(Response, Level)>,
    horizon: Decibels,
}

impl<'a> Ear<'a> {
    fn of(scene: &'a Scene<'a>, receiver: &'a Receiver) -> Self {
        let responses: Vec<(Response, Level)> = responses(receiver)
            .into_iter()
            .map(|response| {
                let mut limit = Total::default();
                threshold(scene, receiver, &response, &mut limit);
                (response, limit.level())
            })
            .collect();
        Self {
            scene,
            receiver,
            responses,
            horizon: scene.plan.settings.horizon.value,
        }
    }

    /// Where a product inside the receiver would be heard: the channel, widened by the widest product there can be.
    fn listening(&self, scene: &Scene<'_>) -> Listening {
        let order = i64::from(scene.plan.settings.order.value);
        let widest = scene
            .transmitters
            .iter()
            .map(|one| {
                one.emission.bandwidth.as_hz() + 2 * one.figures.tolerance.of(one.frequency).as_hz()
            })
            .max()
            .unwrap_or(0);
        let reach = Offset::hz(
            order * widest / 2
                + self
                    .receiver
                    .figures
                    .tolerance
                    .of(self.receiver.frequency)
                    .as_hz()
                + 1,
        );
        let channel = Span::around(
            self.receiver.frequency,
            self.receiver.figures.bandwidth.value,
        );
        let channel = self.receiver.anywhere_in.unwrap_or(channel);
        Listening {
            spans: vec![channel.widened(reach)],
            floor: self
                .responses
                .first()
                .map(|&(_, threshold)| threshold - self.horizon),
            places: self.responses.iter().map(|one| self.place(one)).collect(),
        }
    }

    /// The faintest level on the channel that is still told where this would hurt.
    fn floor(&self, threshold: Level) -> Level {
        // The millionth keeps rounding from deciding.
        threshold - self.horizon - Decibels::db(1e-6)
    }

    /// Where a response hears, for those who ask whether a line is worth making.
    fn place(&self, (response, threshold): &(Response, Level)) -> Heard {
        let reach = match response.shape {
            Shape::Window(bandwidth) => bandwidth.as_hz() / 2 + response.drift.as_hz() + 1,
            Shape::Ring { to, .. } => to.as_hz().min(i64::MAX / 4),
        };
        Heard {
            middle: response.centre,
            reach: Offset::hz(reach),
            faintest: response.faintest(self.floor(*threshold)),
        }
    }

    /// The lines that a response can reach at all, by frequency, the widest of them being so wide.
    fn candidates<'b>(
        response: &Response,
        radiated: &'b [Line],
        widest: i64,
    ) -> impl Iterator<Item = &'b Line> {
        let span = match response.shape {
            Shape::Window(bandwidth) => {
                let own = 2 * response.drift.as_hz();
                Span::around(
                    response.centre,
                    Bandwidth::hz(bandwidth.as_hz() + widest + own + 2),
                )
            }
            Shape::Ring { to, .. } => {
                let far = Offset::hz(to.as_hz().min(i64::MAX / 4));
                Span::between(response.centre - far, response.centre + far)
            }
        };
        let begin = radiated.partition_point(|line| line.frequency < span.low);
        radiated
            .iter()
            .skip(begin)
            .take_while(move |line| line.frequency <= span.high)
    }

    /// Keeps what a line amounts to if it can happen, rests on the focus and comes within the horizon.
    fn hear<'r>(
        &self,
        index: usize,
        line: &Line,
        responses: impl Iterator<Item = &'r (Response, Level)>,
        focus: Legs,
        found: &mut Vec<Encounter>,
    ) {
        let legs = line.legs.and(self.receiver.legs);
        // A receiver is no stranger to its own oscillator.
        if legs != focus || line.birth == Birth::Oscillator(index) {
            return;
        }
        let from = departure(self.scene, line);
        let mut can_happen = None;
        let mut least_loss = None;
        for &(ref response, threshold) in responses {
            if share(self.receiver, line, response).is_none()
                || self.is_wanted(line, response)
                || self.is_told_by_the_channel(line, response)
            {
                continue;
            }
            // Two cheap questions before the way is worked out: can it be strong enough, can it be at all.
            if let Some(from) = from {
                let lost = *least_loss.get_or_insert_with(|| {
                    self.scene.least_loss(from, self.receiver, line.frequency)
                });
                if line.level - lost < response.faintest(self.floor(threshold)) {
                    continue;
                }
            }
            if !*can_happen.get_or_insert_with(|| self.can_happen(line)) {
                return;
            }
            let mut level = Total::default();
            level.enter(starting_at(line.level), || (String::new(), String::new()));
            carry(self.scene, self.receiver, line, response, &mut level);
            let level = level.level();
            if threshold - level <= self.horizon {
                found.push(Encounter {
                    receiver: index,
                    line: line.clone(),
                    response: response.clone(),
                    level,
                    threshold,
                    legs,
                });
            }
        }
    }

    /// A line beside the channel that reaches into it further than through the filter's skirt is told there.
    fn is_told_by_the_channel(&self, line: &Line, response: &Response) -> bool {
        let channel = self
            .responses
            .first()
            .filter(|_| matches!(response.strength, Strength::Skirt { .. }));
        let inside = channel.and_then(|(channel, _)| share(self.receiver, line, channel));
        inside
            .is_some_and(|inside| Decibels::of_power(inside) >= -response.skirt_at(line.frequency))
    }

    /// Whether the receiver can be listening while everything behind the line is on the air.
    fn can_happen(&self, line: &Line) -> bool {
        match line.birth {
            Birth::Oscillator(other) => self.scene.receivers.get(other).is_some_and(|other| {
                Activity::coexist(&[&other.activity, &self.receiver.activity])
            }),
            Birth::Transmitter(_) => {
                let sources: Vec<usize> = line.transmitters().collect();
                self.scene.coexist(&sources, self.receiver)
            }
            // The generator has looked already.
            Birth::InsideReceiver(_) => true,
        }
    }

    /// A carrier of the receiver's own net on its own channel is what it is there to hear, not interference.
    fn is_wanted(&self, line: &Line, response: &Response) -> bool {
        let is_plain = line.emission().is_some_and(|emission| emission.is_plain);
        let is_channel = response.centre == self.receiver.frequency;
        is_plain
            && is_channel
            && line
                .transmitters()
                .filter_map(|index| self.scene.transmitters.get(index))
                .all(|transmitter| self.scene.is_wanted(transmitter, self.receiver))
    }
}

/// Where a line leaves from; none for what is born where it is heard.
fn departure(scene: &Scene<'_>, line: &Line) -> Option<Reach> {
    match line.birth {
        Birth::Transmitter(index) => scene.reach_of_transmitter(index),
        Birth::Oscillator(index) => scene.reach_of_receiver(index),
        Birth::InsideReceiver(_) => None,
    }
}

/// Enters the way of a line from its birth to what it amounts to on the channel.
fn carry(
    scene: &Scene<'_>,
    receiver: &Receiver,
    line: &Line,
    response: &Response,
    ledger: &mut impl Ledger,
) {
    let from = departure(scene, line);
    if let Some(from) = from {
        scene.travel(from, receiver, line.frequency, ledger);
    }
    let arriving = || match from {
        Some(from) => line.level - scene.loss(from, receiver, line.frequency),
        None => line.level,
    };
    response.enter(receiver, line.frequency, arriving, ledger);
    let share = share(receiver, line, response).unwrap_or(0.0);
    if share < 1.0 {
        ledger.enter(Decibels::of_power(share), || {
            (
                "share of the line inside the channel".to_owned(),
                format!(
                    "{} wide against {}; evenly spread over its width",
                    line.width, receiver.figures.bandwidth.value
                ),
            )
        });
    }
}

/// The share of a line's power that a response takes in; none when they do not meet.
///
/// The line is taken as evenly spread over its width, and as far towards the response as the tolerances allow.
fn share(receiver: &Receiver, line: &Line, response: &Response) -> Option<f64> {
    let off = (line.frequency - response.centre).abs().as_hz();
    let own = response.drift.as_hz();
    match response.shape {
        Shape::Ring { from, to } => (off >= from.as_hz() && off < to.as_hz()).then_some(1.0),
        Shape::Window(bandwidth) => {
            let off = (response.multiple * (off - line.tolerance.as_hz()) - own).max(0) as f64;
            let width = (response.multiple * line.width.as_hz()).max(1) as f64;
            let half = bandwidth.as_hz() as f64 / 2.0;
            let inside = (off + width / 2.0).min(half) - (off - width / 2.0).max(-half);
            // Tuned anywhere in a wide stretch, it still takes in one channel at a time.
            let channel = receiver.figures.bandwidth.as_hz() as f64;
            (inside > 0.0).then(|| (inside.min(channel) / width).min(1.0))
        }
    }
}

/// Enters the level on the channel that would hurt a receiver.
///
/// The noise floor and what raises it by the stated amount; or, where the level of the wanted signal is known, what is
/// too close to that. A safety service is protected further from what lands on it.
///
/// # Source
/// ITU-R P.372 for external noise; I/N from the rise by arithmetic; the co-channel protection from the profile.
pub fn threshold(
    scene: &Scene<'_>,
    receiver: &Receiver,
    response: &Response,
    ledger: &mut impl Ledger,
) {
    let figures = &receiver.figures;
    let rise = scene.plan.settings.rise.value;
    if let Some(wanted) = &receiver.wanted {
        ledger.enter(starting_at(wanted.value), || {
            (
                format!("signal that {} wants", receiver.name),
                wanted.origin.to_string(),
            )
        });
        ledger.vary(spread::equipment(wanted));
        ledger.enter(-figures.protection.value, || {
            (
                "co-channel protection".to_owned(),
                figures.protection.origin.to_string(),
            )
        });
        ledger.vary(spread::equipment(&figures.protection));
    } else {
        noise(receiver, ledger);
        ledger.enter(interference_for_rise(rise), || {
            (
                format!("a rise of the floor by {rise}"),
                "powers add".to_owned(),
            )
        });
    }
    if let Some(safety) = receiver.safety.as_ref().filter(|_| response.is_landing()) {
        ledger.enter(-safety.value, || {
            (
                "protection of a safety service".to_owned(),
                safety.origin.to_string(),
            )
        });
    }
}

/// Enters the noise floor of a receiver where it stands.
///
/// # Source
/// ITU-R P.372 for external noise.
pub fn noise(receiver: &Receiver, ledger: &mut impl Ledger) {
    let figures = &receiver.figures;
    let external = external_noise(receiver.noise.value, receiver.frequency);
    // What comes in by the antenna is weaker by the feeder; what the feeder adds of its own is thermal.
    let behind = 1.0 + (external.above_thermal.as_power() - 1.0) / receiver.feeder.as_power();
    let floor = noise_floor(
        figures.bandwidth.value,
        Decibels::of_power(behind),
        figures.noise_figure.value,
    );
    ledger.enter(starting_at(floor), || {
        (
            format!(
                "noise floor of {} in {}",
                receiver.name, figures.bandwidth.value
            ),
            format!(
                "ITU-R P.372{}, external {} over thermal before {} of feeder, noise figure {}",
                if external.extrapolated {
                    " (beyond its range)"
                } else {
                    ""
                },
                external.above_thermal,
                receiver.feeder,
                figures.noise_figure.value
            ),
        )
    });
    ledger.vary(spread::NOISE);
    if !receiver.noise.is_stated() {
        ledger.assume(|| {
            format!(
                "{} man-made noise at {} ({})",
                receiver.noise.value,
                receiver.name,
                receiver.noise.origin.brief()
            )
        });
    }
}

/// Where a line lies against the place it is heard.
pub fn offset(line: Frequency, response: &Response) -> Offset {
    line - response.centre
}

#[cfg(test)]
mod meetings;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::provenance::{Origin, Sourced};
    use crate::scenario::{FilterLoss, Plan};
    use crate::scene::sample::{CROWDED, plan};
    use proptest::prelude::*;
    use std::collections::{BTreeMap, BTreeSet};
    use std::sync::Arc;

    fn everything(plan: &Plan) -> Vec<Encounter> {
        meet(&Scene::build(plan, None), Legs::NONE)
    }

    #[test]
    fn every_budget_adds_up_to_its_level_and_its_threshold() {
        let mut plan = plan(CROWDED);
        // Everything that is made is told, however faint.
        plan.settings.horizon.value = Decibels::db(120.0);
        plan.settings.passive = Some(said(80.0));
        let scene = Scene::build(&plan, None);
        let mut kinds = BTreeSet::new();
        for encounter in meet(&scene, Legs::NONE) {
            let (level, limit) = encounter.tell(&scene);
            kinds.insert(encounter.id());
            let apart = (level.level() - encounter.level).as_db().abs();
            assert!(apart < 0.1, "{} is off by {apart}", encounter.id());
            assert!((limit.level() - encounter.threshold).as_db().abs() < 0.1);
            assert!(level.spread() > Decibels::ZERO && limit.spread() > Decibels::ZERO);
        }
        for kind in [
            "harmonic",
            "transmitter-noise",
            "transmitter-intermodulation",
            "passive-intermodulation",
            "receiver-intermodulation",
            "oscillator-leakage",
            "blocking",
            "mixer-spur",
        ] {
            assert!(kinds.contains(kind), "{kind} is not in the sample");
        }
    }

    fn said(value: f64) -> Sourced<Decibels> {
        Sourced::new(Decibels::db(value), Origin::Said(Arc::from("a test")))
    }

    /// Levels by who hears what made of what, and where.
    fn levels(plan: &Plan) -> BTreeMap<String, Level> {
        let found = everything(plan).into_iter();
        found
            .map(|one| {
                let mut terms = one.line.terms.clone();
                terms.sort_unstable();
                let key = format!(
                    "{} {:?} {:?} {:?} {} {}",
                    one.receiver,
                    one.line.kind,
                    one.line.birth,
                    terms,
                    one.response.kind,
                    one.response.centre
                );
                (key, one.level)
            })
            .collect()
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(48))]
        #[test]
        fn less_power_or_more_filter_never_raises_a_level(
            station in 0usize..4,
            less in 0.1f64..30.0,
            low in 100_000_000i64..500_000_000,
            wide in 1_000_000i64..400_000_000,
            by_power in any::<bool>(),
        ) {
            let before = plan(CROWDED);
            let mut after = before.clone();
            let one = &mut after.stations[station];
            if by_power {
                let power = crate::quantity::Power::of_level(Level::dbm(43.0 - less));
                one.power = Some(Sourced::new(power, Origin::Said(Arc::from("a test"))));
            } else {
                one.filters.push(FilterLoss {
                    name: "trap".to_owned(),
                    span: Span::between(Frequency::hz(low), Frequency::hz(low + wide)),
                    loss: said(less),
                });
            }
            let mut reference = before.clone();
            let power = crate::quantity::Power::of_level(Level::dbm(43.0));
            if by_power {
                reference.stations[station].power =
                    Some(Sourced::new(power, Origin::Said(Arc::from("a test"))));
            }
            let old = levels(&reference);
            for (key, level) in levels(&after) {
                let was = old.get(&key);
                prop_assert!(was.is_some_and(|&was| level <= was + Decibels::db(1e-9)), "{key}: {was:?} to {level:?}");
            }
        }
    }
}
