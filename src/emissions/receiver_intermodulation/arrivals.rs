//! What arrives behind a receiver's filter, strongest first.

use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use super::pattern::Patterns;
use crate::budget::{Ledger, Total, starting_at};
use crate::emissions::{Part, Request};
use crate::physics::spread;
use crate::quantity::{Decibels, Frequency, Level};
use crate::scenario::Legs;
use crate::scene::{Reach, Receiver, Scene, Transmitter};

/// A carrier behind the receiver's filter.
#[derive(Debug, Clone, Copy)]
pub(super) struct Arrival {
    /// The transmitter, by index into the scene.
    pub(super) transmitter: usize,
    /// Its carrier.
    pub(super) frequency: Frequency,
    /// Its level before the first stage.
    pub(super) level: Level,
    /// The leg under trial it rests on.
    pub(super) legs: Legs,
    /// Whether it is one of our own.
    pub(super) is_ours: bool,
}

/// What arrives at a receiver of those who stand whatever is under trial, worked out when it is first asked for.
#[derive(Debug)]
pub(in crate::emissions) struct Arriving {
    /// No carrier arrives stronger than this.
    most: Level,
    /// Strongest first.
    exact: OnceLock<Vec<Arrival>>,
}

impl Arriving {
    pub(in crate::emissions) fn at(scene: &Scene<'_>, receiver: &Receiver) -> Self {
        let standing = scene
            .transmitters
            .iter()
            .take(scene.transmitters.standing());
        let most = standing.map(|transmitter| at_most(scene, transmitter, receiver));
        Self {
            most: most.max().unwrap_or(NOTHING),
            exact: OnceLock::new(),
        }
    }

    fn exact(&self, scene: &Scene<'_>, receiver: &Receiver) -> &[Arrival] {
        self.exact.get_or_init(|| {
            let standing = scene
                .transmitters
                .from(0)
                .take(scene.transmitters.standing());
            let mut found: Vec<Arrival> = standing
                .filter_map(|(index, one)| arrival(scene, index, one, receiver))
                .collect();
            found.sort_by_key(Arrival::place);
            found
        })
    }
}

/// A receiver of ours in one of its bands, wherever it is tuned there: what the level of an arriving carrier rests on.
type Socket = (usize, usize, usize, Legs, Frequency);

/// What arrives at receivers under trial of those who stand, each socket worked out once.
#[derive(Debug, Default)]
pub(in crate::emissions) struct Levels(Mutex<BTreeMap<Socket, Arc<[Arrival]>>>);

impl Levels {
    /// What arrives at a receiver, wanted or not, strongest first.
    fn at(&self, scene: &Scene<'_>, receiver: &Receiver) -> Arc<[Arrival]> {
        let socket = (
            receiver.unit,
            receiver.side,
            receiver.mast,
            receiver.legs,
            receiver.figures.span.low,
        );
        let known = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = known.get(&socket) {
            return Arc::clone(known);
        }
        drop(known);
        let standing = scene
            .transmitters
            .from(0)
            .take(scene.transmitters.standing());
        let mut found: Vec<Arrival> = standing
            .filter(|&(index, _)| scene.coexist(&[index], receiver))
            .map(|(index, one)| arrived(scene, index, one, receiver))
            .collect();
        found.sort_by_key(Arrival::place);
        let found: Arc<[Arrival]> = found.into();
        let mut known = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        Arc::clone(known.entry(socket).or_insert(found))
    }
}

/// A level that is below any other.
const NOTHING: Level = Level::dbm(f64::NEG_INFINITY);

/// The level that a carrier does not exceed behind a receiver's filter, without working out its way.
fn at_most(scene: &Scene<'_>, transmitter: &Transmitter, receiver: &Receiver) -> Level {
    let from = Reach {
        unit: transmitter.unit,
        mast: transmitter.mast,
    };
    transmitter.power.value
        - scene.least_loss(from, receiver, transmitter.frequency)
        - receiver.figures.preselector.loss_at(transmitter.frequency)
}

/// What arrives of a transmitter, if it can be keyed while the receiver listens. What a receiver wants makes no
/// interference of its own channel.
fn arrival(
    scene: &Scene<'_>,
    index: usize,
    transmitter: &Transmitter,
    receiver: &Receiver,
) -> Option<Arrival> {
    if scene.is_wanted(transmitter, receiver) || !scene.coexist(&[index], receiver) {
        return None;
    }
    Some(arrived(scene, index, transmitter, receiver))
}

fn arrived(
    scene: &Scene<'_>,
    index: usize,
    transmitter: &Transmitter,
    receiver: &Receiver,
) -> Arrival {
    let mut level = Total::default();
    arrive(scene, index, receiver, &mut level);
    Arrival {
        transmitter: index,
        frequency: transmitter.frequency,
        level: level.level(),
        legs: transmitter.legs,
        is_ours: transmitter.owner.is_ours(),
    }
}

impl Arrival {
    /// Strongest first; equals in the scene's order.
    fn place(&self) -> (Reverse<Level>, usize) {
        (Reverse(self.level), self.transmitter)
    }
}

/// Every carrier that can take part in a product a receiver would notice.
#[derive(Debug, Default)]
pub(super) struct Arrivals {
    /// Strongest first; equals in the scene's order.
    pub(super) by_level: Vec<Arrival>,
    /// Lowest frequency first: in hertz, with the place in `by_level`.
    pub(super) by_frequency: Vec<(i64, usize)>,
    /// The intercepts of this receiver, by order.
    pub(super) intercepts: Vec<(u32, Level)>,
}

impl Arrivals {
    /// What arrives at a receiver, without what is too faint to matter in any pattern; nothing where nothing could matter.
    pub(super) fn at(
        request: &Request<'_>,
        (index, receiver): (usize, &Receiver),
        floor: Level,
        patterns: &Patterns,
    ) -> Self {
        let scene = request.scene;
        let mut arrivals = Self {
            intercepts: patterns.intercepts(&receiver.figures),
            ..Self::default()
        };
        let of = |(index, one): (usize, &Transmitter)| arrival(scene, index, one, receiver);
        match request.crowd.arriving.get(index) {
            // A product that rests on what is under trial has one of its carriers for a source.
            Some(arriving) if request.part == Part::OnTrial => {
                let most = request
                    .transmitters()
                    .map(|(_, one)| at_most(scene, one, receiver))
                    .max()
                    .unwrap_or(NOTHING);
                if most < arrivals.needed(floor, most.max(arriving.most), patterns) {
                    return arrivals;
                }
                arrivals.by_level = arriving.exact(scene, receiver).to_vec();
                arrivals
                    .by_level
                    .extend(request.transmitters().filter_map(of));
            }
            None if request.part == Part::OnTrial => {
                let standing = request.crowd.levels.at(scene, receiver);
                let standing = standing.iter().filter(|arrival| {
                    let from = scene.transmitters.get(arrival.transmitter);
                    from.is_some_and(|from| !scene.is_wanted(from, receiver))
                });
                arrivals.by_level = standing.copied().collect();
                arrivals
                    .by_level
                    .extend(request.transmitters().filter_map(of));
            }
            _ => {
                let all = scene.transmitters.from(0);
                arrivals.by_level = all
                    .filter(|(_, one)| request.focus.holds(one.legs))
                    .filter_map(of)
                    .collect();
            }
        }
        if request.part != Part::Plain {
            arrivals.drop_the_faint(floor, patterns);
        }
        arrivals.sort();
        arrivals
    }

    /// Strongest first, and lowest frequency first.
    fn sort(&mut self) {
        self.by_level.sort_by_key(Arrival::place);
        let by_level = self.by_level.iter().enumerate();
        self.by_frequency = by_level
            .map(|(place, arrival)| (arrival.frequency.as_hz(), place))
            .collect();
        self.by_frequency.sort_unstable();
    }

    /// Arrivals made by hand.
    #[cfg(test)]
    pub(super) fn sorted(by_level: Vec<Arrival>, intercepts: Vec<(u32, f64)>) -> Self {
        let intercepts = intercepts
            .into_iter()
            .map(|(order, level)| (order, Level::dbm(level)))
            .collect();
        let mut arrivals = Self {
            by_level,
            by_frequency: Vec::new(),
            intercepts,
        };
        arrivals.sort();
        arrivals
    }

    /// The intercept of an order.
    pub(super) fn intercept(&self, order: u32) -> Option<Level> {
        self.intercepts
            .iter()
            .find(|(of, _)| *of == order)
            .map(|&(_, level)| level)
    }

    /// What a carrier must at least have to take part in a product that is told, with all others as strong as the strongest.
    ///
    /// A product cannot exceed what its faintest source allows.
    fn needed(&self, floor: Level, strongest: Level, patterns: &Patterns) -> Level {
        let needed = self.intercepts.iter().map(|&(order, intercept)| {
            let others = f64::from(order - 1);
            floor - patterns.best_shape(order) - (strongest - intercept) * others
        });
        // The millionth keeps rounding from deciding.
        let least = needed.min().unwrap_or(strongest + Decibels::db(1.0));
        least.max(floor) - Decibels::db(1e-6)
    }

    fn drop_the_faint(&mut self, floor: Level, patterns: &Patterns) {
        let levels = self.by_level.iter().map(|arrival| arrival.level);
        if let Some(strongest) = levels.max() {
            let needed = self.needed(floor, strongest, patterns);
            self.by_level.retain(|arrival| arrival.level >= needed);
        }
    }
}

/// Enters the way of a carrier to behind a receiver's filter.
pub(super) fn arrive(
    scene: &Scene<'_>,
    transmitter: usize,
    receiver: &Receiver,
    ledger: &mut impl Ledger,
) {
    let Some(source) = scene.transmitters.get(transmitter) else {
        return;
    };
    ledger.enter(starting_at(source.power.value), || {
        ("sent".to_owned(), source.power.origin.to_string())
    });
    ledger.vary(spread::power(&source.power));
    if let Some(from) = scene.reach_of_transmitter(transmitter) {
        scene.travel(from, receiver, source.frequency, ledger);
    }
    let filter = receiver.figures.preselector.loss_at(source.frequency);
    if filter.as_db() > 0.0 {
        ledger.enter(-filter, || {
            ("the receiver's own filter".to_owned(), "profile".to_owned())
        });
    }
}
