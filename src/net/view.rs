//! A scene seen as a network, worked out once for all who ask.

use std::sync::OnceLock;

use super::{Conduct, LoadReport, Network, run_load};
use crate::scenario::Plan;
use crate::scene::{Scene, Trial};

/// A scene as a network, how it is run, and what its load comes to.
#[derive(Debug)]
pub struct View {
    /// The network.
    pub network: Network,
    /// How it is run.
    pub conduct: Conduct,
    load: OnceLock<LoadReport>,
}

impl View {
    /// The network of a scene with what is under trial in it.
    pub fn of(scene: &Scene<'_>, trial: Option<Trial<'_>>) -> Self {
        Self::with(scene.plan, Network::of(scene, trial))
    }

    /// The same where it is known already who of those who stand hears whom.
    pub fn among(standing: &Network, scene: &Scene<'_>, trial: Option<Trial<'_>>) -> Self {
        Self::with(scene.plan, Network::among(standing, scene, trial))
    }

    fn with(plan: &Plan, network: Network) -> Self {
        let conduct = Conduct::of(plan);
        let network = Network {
            needs: conduct.needs.clone(),
            ..network
        };
        Self {
            network,
            conduct,
            load: OnceLock::new(),
        }
    }

    /// The same where it is known what the load comes to, out of another network in which the same hear each other.
    pub fn having_run(self, load: LoadReport) -> Self {
        Self {
            load: OnceLock::from(load),
            ..self
        }
    }

    /// What the load comes to; the event is run through when it is first asked for.
    pub fn load(&self, plan: &Plan) -> &LoadReport {
        if let Some(known) = self.load.get() {
            return known;
        }
        // Not while others wait for it: those who run it may be set to their work meanwhile.
        let load = run_load(&self.network, &self.conduct.load(plan, &self.network));
        self.load.get_or_init(|| load)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    use crate::scene::sample::{CROWDED, plan};

    #[test]
    fn a_load_that_is_known_is_not_run_through_again() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let mut load = View::of(&scene, None).load(&plan).clone();
        let (&radio, _) = load.radios.first_key_value().unwrap();
        load.radios.get_mut(&radio).unwrap().duty.mean = 0.25;
        let view = View::of(&scene, None).having_run(load);
        assert!((view.load(&plan).radios[&radio].duty.mean - 0.25).abs() < 1e-12);
    }
}
