//! Every encounter of a plan by a name of its own, so that two plans can be held against each other.

use std::collections::BTreeMap;
use std::fmt::Write;

use quietpair::emissions::{Birth, Source};
use quietpair::encounter::{Encounter, meet};
use quietpair::quantity::{Decibels, Frequency, Level, Offset};
use quietpair::scenario::{Legs, Plan};
use quietpair::scene::{Scene, Trial};

/// An encounter, with what a comparison of two plans asks of it.
#[derive(Debug)]
pub(crate) struct Met {
    /// What it amounts to on the channel.
    pub(crate) level: Level,
    /// How far that is below what would hurt.
    pub(crate) margin: Decibels,
    /// The coefficients of its sources, all of them transmitters; empty where one is an oscillator or a crystal.
    pub(crate) coefficients: Vec<i64>,
    /// Where it lies from the channel of who hears it, and from the response it lands on.
    pub(crate) off: (Offset, Offset),
    /// Whether one of our stations hears it.
    pub(crate) is_ours: bool,
    /// The same name without frequencies.
    pub(crate) moving: String,
}

/// Every encounter of a plan, with one of its proposals or as it stands, by name.
pub(crate) fn encounters(plan: &Plan, proposal: Option<usize>) -> BTreeMap<String, Met> {
    let trial = proposal.map(|index| Trial::whole(&plan.proposals[index]));
    let scene = Scene::build(plan, trial);
    let mut found = BTreeMap::new();
    for focus in Legs::ALL {
        for one in meet(&scene, focus) {
            let (name, met) = named(&scene, &one);
            if let Some(before) = found.insert(name.clone(), met) {
                panic!("two encounters are called {name}: {before:?}");
            }
        }
    }
    found
}

fn named(scene: &Scene<'_>, one: &Encounter) -> (String, Met) {
    let sender = |index: usize| scene.transmitters.get(index).unwrap();
    let listener = |index: usize| scene.receivers.get(index).unwrap();
    let mut coefficients = Vec::new();
    let mut terms: Vec<(String, Frequency)> = Vec::new();
    for &(source, coefficient) in &one.line.terms {
        let (name, frequency) = match source {
            Source::Transmitter(index) => {
                coefficients.push(coefficient);
                (sender(index).name.clone(), sender(index).frequency)
            }
            Source::Oscillator(index) => {
                let owner = listener(index);
                (format!("oscillator of {}", owner.name), owner.frequency)
            }
            Source::Reference(index) => {
                let owner = listener(index);
                (format!("crystal of {}", owner.name), Frequency::hz(0))
            }
        };
        terms.push((format!("{coefficient} × {name}"), frequency));
    }
    if coefficients.len() < one.line.terms.len() {
        coefficients.clear();
    }
    terms.sort_unstable();
    let birth = match one.line.birth {
        Birth::Transmitter(index) => &sender(index).name,
        Birth::Oscillator(index) | Birth::InsideReceiver(index) => &listener(index).name,
    };
    let receiver = listener(one.receiver);
    let mut moving = format!("{} at {}", one.id(), receiver.name);
    let mut name = format!("{moving}, {}", receiver.frequency);
    for (term, frequency) in &terms {
        write!(moving, ", {term}").unwrap();
        write!(name, ", {term} on {frequency}").unwrap();
    }
    write!(moving, " from {birth} on {}", one.response.kind).unwrap();
    write!(
        name,
        " = {} from {birth} on response {} at {}, {:?}",
        one.line.frequency,
        one.response.kind,
        one.response.centre,
        one.supposed().collect::<Vec<_>>()
    )
    .unwrap();
    let met = Met {
        level: one.level,
        margin: one.margin(),
        coefficients,
        off: (
            one.line.frequency - receiver.frequency,
            one.line.frequency - one.response.centre,
        ),
        is_ours: receiver.owner.is_ours(),
        moving,
    };
    (name, met)
}
