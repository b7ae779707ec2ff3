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

#[cfg(test)]
mod tests {
    use super::*;

    use crate::net::View;
    use crate::scene::Scene;
    use crate::scene::sample::{CROWDED, plan};

    /// Distances go with the root of the share of the time.
    #[test]
    fn a_limit_over_six_minutes_takes_the_busiest_six_and_a_longer_one_the_busiest_thirty() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let mut load = View::of(&scene, None).load(&plan).clone();
        for report in load.senders.values_mut() {
            report.busiest_6_minutes.most = 0.81;
            report.busiest_30_minutes.most = 0.25;
        }
        let senders: Vec<SenderId> = load.senders.keys().copied().collect();
        let mut view = View::of(&scene, None).having_run(load);
        let mut seen = [0; 2];
        for limit in exposure::limits() {
            view.conduct.limits = vec![limit.id.clone()];
            let is_long = limit.averaging_minutes > 6;
            let root = if is_long { 0.5 } else { 0.9 };
            for &sender in &senders {
                let Some(told) = view.keep_clear(&scene, sender) else {
                    continue;
                };
                for distances in [told.public, told.trained] {
                    if distances.limit.id == limit.id && distances.limit.people == limit.people {
                        let metres = |one: Length| one.as_metres();
                        let share = metres(distances.averaged) / metres(distances.continuous);
                        assert!((share - root).abs() < 0.01, "{} {share}", limit.id);
                        seen[usize::from(is_long)] += 1;
                    }
                }
            }
        }
        assert!(seen.iter().all(|count| *count > 0), "{seen:?}");
    }
}
