//! What the scenes of one search have in common, worked out once.
//!
//! Who else is on the air, and who can be keyed with whom, is the same wherever the legs under trial lie, as long as the plan
//! is on neither of their channels.

use std::sync::Arc;

use super::activity::{Nets, Place};
use super::build::Draft;
use super::settle::{Settled, guard};
use super::{Ground, Receiver, Roll, Scene, Transmitter};
use crate::quantity::Frequency;
use crate::scenario::{Legs, Plan};

/// What the scenes of one search have in common.
#[derive(Debug)]
pub struct Common<'plan> {
    plan: &'plan Plan,
    ground: Ground,
    nets: Nets,
    transmitters: Arc<[Transmitter]>,
    receivers: Arc<[Receiver]>,
    /// What rests on legs under trial, where they lay when this was made.
    on_trial: Vec<Draft>,
}

impl<'plan> Common<'plan> {
    pub(super) fn new(
        plan: &'plan Plan,
        ground: &Ground,
        nets: Nets,
        standing: &[Draft],
        on_trial: Vec<Draft>,
    ) -> Self {
        let mut settled = Settled::default();
        for draft in standing {
            settled.settle(plan, &nets, draft);
        }
        let sites = 0..plan.sites.len();
        let guards =
            (0..plan.guarded.len()).flat_map(|index| sites.clone().map(move |site| (index, site)));
        let guards = guards.filter_map(|(index, site)| guard(plan, index, site));
        settled.receivers.extend(guards);
        Self {
            plan,
            ground: ground.clone(),
            nets,
            transmitters: settled.transmitters.into(),
            receivers: settled.receivers.into(),
            on_trial,
        }
    }

    /// The net of those who are on a channel of the plan, as it is numbered in the activities here; none where nobody of ours
    /// talks there.
    pub fn net_on(&self, channel: Frequency) -> Option<usize> {
        self.nets.of(Place::Channel(channel.as_hz()))
    }

    /// The scene with every leg where it lay when this was made.
    pub(super) fn whole(&self) -> Scene<'plan> {
        self.scene_of(self.on_trial.iter().cloned())
    }

    /// The scene with some of the legs present, each on the channel with its number.
    pub fn scene(&self, channels: [Frequency; 2], present: Legs) -> Scene<'plan> {
        let [first, second] = channels;
        let moved = |draft: &Draft| Draft {
            frequency: if draft.legs == Legs::FIRST {
                first
            } else {
                second
            },
            ..draft.clone()
        };
        self.scene_of(
            self.on_trial
                .iter()
                .filter(|draft| present.holds(draft.legs))
                .map(moved),
        )
    }

    fn scene_of(&self, on_trial: impl Iterator<Item = Draft>) -> Scene<'plan> {
        let mut settled = Settled::default();
        for draft in on_trial {
            settled.settle(self.plan, &self.nets, &draft);
        }
        Scene {
            plan: self.plan,
            masts: Roll::new(Arc::clone(&self.ground.masts), Vec::new()),
            courses: Arc::clone(&self.ground.courses),
            transmitters: Roll::new(Arc::clone(&self.transmitters), settled.transmitters),
            receivers: Roll::new(Arc::clone(&self.receivers), settled.receivers),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::sample::{CROWDED, plan};

    /// As the activities there have it: of each channel that the plan talks on, and of no other.
    #[test]
    fn the_net_on_a_channel_is_that_of_those_who_send_there() {
        let plan = plan(CROWDED);
        let common = Common::built(&Ground::of(&plan), &plan, None);
        let scene = common.whole();
        let ours = scene.transmitters.iter().filter(|one| one.owner.is_ours());
        let mut nets = Vec::new();
        for one in ours {
            assert_eq!(
                common.net_on(one.frequency),
                Some(one.activity.net),
                "{}",
                one.name
            );
            nets.push(one.activity.net);
        }
        nets.sort_unstable();
        nets.dedup();
        assert!(nets.len() > 1);
        assert_eq!(common.net_on(Frequency::hz(145_987_500)), None);
    }
}
