//! One direction between two stations: what arrives, and what it takes.

use crate::budget::{Budget, Ledger, starting_at};
use crate::encounter::noise;
use crate::physics::spread;
use crate::quantity::{Decibels, Level};
use crate::scene::{Outlook, Reach, Receiver, Scene, Transmitter};

/// A wanted signal on its way.
#[derive(Debug, Clone)]
pub(super) struct Link<'a> {
    /// Who sends.
    pub(super) transmitter: &'a Transmitter,
    /// Who listens.
    pub(super) receiver: &'a Receiver,
    /// What arrives at the receiver's socket on the cautious path.
    pub(super) cautious: Budget,
    /// What arrives there on the optimistic path.
    pub(super) optimistic: Level,
    /// What it takes.
    pub(super) need: Budget,
}

impl<'a> Link<'a> {
    /// A transmitter heard by a receiver that wants it.
    pub(super) fn between(
        scene: &Scene<'_>,
        transmitter: &'a Transmitter,
        receiver: &'a Receiver,
    ) -> Self {
        Self {
            transmitter,
            receiver,
            cautious: arrive(scene, transmitter, receiver, Outlook::Cautious),
            optimistic: arrive(scene, transmitter, receiver, Outlook::Optimistic).level(),
            need: need(receiver),
        }
    }

    /// How far what arrives on the cautious path is above what it takes.
    pub(super) fn margin(&self) -> Decibels {
        self.cautious.level() - self.need.level()
    }

    /// The same on the optimistic path.
    pub(super) fn best_margin(&self) -> Decibels {
        self.optimistic - self.need.level()
    }

    /// The level above which interference spoils it, on either path.
    pub(super) fn bears(&self) -> (Level, Level) {
        let protection = self.receiver.figures.protection.value;
        (
            self.cautious.level() - protection,
            self.optimistic - protection,
        )
    }
}

fn arrive(
    scene: &Scene<'_>,
    transmitter: &Transmitter,
    receiver: &Receiver,
    outlook: Outlook,
) -> Budget {
    let mut budget = Budget::default();
    budget.enter(starting_at(transmitter.power.value), || {
        (
            format!("power of {} at its socket", transmitter.name),
            transmitter.power.origin.to_string(),
        )
    });
    budget.vary(spread::power(&transmitter.power));
    let from = Reach {
        unit: transmitter.unit,
        mast: transmitter.mast,
    };
    let to = Reach {
        unit: receiver.unit,
        mast: receiver.mast,
    };
    scene.over(from, to, transmitter.frequency, outlook, &mut budget);
    budget
}

/// What a wanted signal must reach: the sensitivity, or as much above the noise where it stands as a co-channel signal
/// has to be below it, whichever is more.
fn need(receiver: &Receiver) -> Budget {
    let figures = &receiver.figures;
    let mut above_noise = Budget::default();
    noise(receiver, &mut above_noise);
    above_noise.enter(figures.protection.value, || {
        (
            "above the noise for a readable signal".to_owned(),
            format!(
                "as the co-channel protection: {}",
                figures.protection.origin
            ),
        )
    });
    if above_noise.level() >= figures.sensitivity.value {
        return above_noise;
    }
    let mut sensitivity = Budget::default();
    sensitivity.enter(starting_at(figures.sensitivity.value), || {
        (
            format!("sensitivity of {}", receiver.name),
            figures.sensitivity.origin.to_string(),
        )
    });
    sensitivity.vary(spread::equipment(&figures.sensitivity));
    sensitivity
}
