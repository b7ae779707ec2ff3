//! How far people must keep from an antenna, with the duty of the event run.

use super::{SenderId, View};
use crate::physics::exposure::{
    self, Body, ExposureLimit, GroundReflection, People, eirp, keep_clear,
};
use crate::quantity::{Duty, Length, Power};
use crate::scene::{Scene, Transmitter};

/// How far some people must keep away.
#[derive(Debug, Clone, Copy)]
pub struct Distances {
    /// While the transmitter sends without a break.
    pub continuous: Length,
    /// Averaged over its busiest minutes under load, in the run where they were busiest.
    pub averaged: Length,
    /// The limit that asks for most.
    pub limit: &'static ExposureLimit,
}

/// How far people must keep from the antenna of one transmitter.
#[derive(Debug, Clone, Copy)]
pub struct KeepClear {
    /// What it radiates over isotropic.
    pub power: Power,
    /// Everybody.
    pub public: Distances,
    /// Those who know of it and can step back.
    pub trained: Distances,
}

impl View {
    /// How far people must keep from the antenna of a transmitter; none where no limit applies at its frequency.
    pub fn keep_clear(&self, scene: &Scene<'_>, sender: SenderId) -> Option<KeepClear> {
        let transmitter = scene.transmitters.get(sender.0)?;
        let mast = scene.masts.get(transmitter.mast)?;
        let gain = mast.antenna.gain_at(transmitter.frequency, None);
        let power = eirp(transmitter.power.value, mast.antenna.feeder.value, gain);
        let distances = |people| self.distances(scene, sender, transmitter, power, people);
        Some(KeepClear {
            power,
            public: distances(People::Public)?,
            trained: distances(People::Trained)?,
        })
    }

    /// The greatest distance that any of the limits for some people asks for.
    fn distances(
        &self,
        scene: &Scene<'_>,
        sender: SenderId,
        transmitter: &Transmitter,
        power: Power,
        people: People,
    ) -> Option<Distances> {
        let of_people = || {
            let limits = exposure::limits().iter();
            limits.filter(move |limit| limit.people == people && limit.body == Body::Whole)
        };
        let named: Vec<&'static ExposureLimit> = of_people()
            .filter(|limit| self.conduct.limits.contains(&limit.id))
            .collect();
        // Nobody is left without a limit because the list is silent about them.
        let asked = if named.is_empty() {
            of_people().collect()
        } else {
            named
        };
        asked
            .into_iter()
            .filter_map(|limit| {
                let density = limit.at(transmitter.frequency)?;
                let away = |duty: Duty| keep_clear(power, duty, GroundReflection::Usual, density);
                let report = self.load(scene.plan).senders.get(&sender);
                let share = report.map_or(1.0, |report| {
                    if limit.averaging_minutes > 6 {
                        report.busiest_30_minutes.most
                    } else {
                        report.busiest_6_minutes.most
                    }
                });
                Some(Distances {
                    continuous: away(Duty::CONTINUOUS),
                    averaged: away(Duty::fraction(share)),
                    limit,
                })
            })
            .max_by_key(|distances| (distances.continuous, distances.averaged))
    }
}
