//! What arrives behind a receiver's filter, strongest first.

use super::pattern::{Pattern, intercept};
use crate::budget::{Ledger, Total, starting_at};
use crate::physics::spread;
use crate::quantity::{Frequency, Level};
use crate::scenario::Legs;
use crate::scene::{Receiver, Scene};

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

/// Every carrier that can take part in a product a receiver would notice.
#[derive(Debug, Default)]
pub(super) struct Arrivals {
    /// Strongest first; equals in the scene's order.
    pub(super) by_level: Vec<Arrival>,
    /// Places in `by_level`, lowest frequency first.
    pub(super) by_frequency: Vec<usize>,
    /// The intercepts of this receiver, by order.
    pub(super) intercepts: Vec<(u32, Level)>,
}

impl Arrivals {
    /// What arrives at a receiver, without what is too faint to matter in any pattern.
    pub(super) fn at(
        scene: &Scene<'_>,
        receiver: &Receiver,
        floor: Level,
        patterns: &[Pattern],
    ) -> Self {
        let mut intercepts: Vec<(u32, Level)> = Vec::new();
        for pattern in patterns {
            if intercepts
                .last()
                .is_none_or(|&(order, _)| order != pattern.order)
                && let Some(level) = intercept(&receiver.figures, u64::from(pattern.order))
            {
                intercepts.push((pattern.order, level.value));
            }
        }
        let by_level: Vec<Arrival> = scene
            .transmitters
            .iter()
            .enumerate()
            .filter(|&(index, transmitter)| {
                // What a receiver wants makes no interference of its own channel.
                !scene.is_wanted(transmitter, receiver) && scene.coexist(&[index], receiver)
            })
            .map(|(index, transmitter)| {
                let mut level = Total::default();
                arrive(scene, index, receiver, &mut level);
                Arrival {
                    transmitter: index,
                    frequency: transmitter.frequency,
                    level: level.level(),
                    legs: transmitter.legs,
                    is_ours: transmitter.owner.is_ours(),
                }
            })
            .collect();
        let mut arrivals = Self {
            by_level,
            by_frequency: Vec::new(),
            intercepts,
        };
        arrivals.drop_the_faint(floor, patterns);
        arrivals.sort();
        arrivals
    }

    /// Strongest first, and lowest frequency first.
    fn sort(&mut self) {
        self.by_level
            .sort_by_key(|arrival| (std::cmp::Reverse(arrival.level), arrival.transmitter));
        self.by_frequency = (0..self.by_level.len()).collect();
        let by_level = &self.by_level;
        self.by_frequency.sort_by_key(|&place| {
            by_level
                .get(place)
                .map(|arrival| (arrival.frequency, place))
        });
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

    /// A product cannot exceed what its faintest source allows with all others as strong as the strongest.
    fn drop_the_faint(&mut self, floor: Level, patterns: &[Pattern]) {
        let Some(strongest) = self
            .by_level
            .iter()
            .map(|arrival| arrival.level)
            .max()
            .map(Level::as_dbm)
        else {
            return;
        };
        let best_shape = |order: u32| {
            patterns
                .iter()
                .filter(|one| one.order == order)
                .map(|one| one.shape.as_db())
                .fold(f64::MIN, f64::max)
        };
        let needed = self
            .intercepts
            .iter()
            .map(|&(order, intercept)| {
                let others = f64::from(order - 1);
                floor.as_dbm() - best_shape(order) - others * (strongest - intercept.as_dbm())
            })
            .fold(f64::MAX, f64::min);
        self.by_level
            .retain(|arrival| arrival.level.as_dbm() >= needed);
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
