//! What each operator and relay has to live with: breaking in, heat, batteries, call signs, and room around antennas.

use std::collections::{BTreeMap, BTreeSet};
use std::time::Duration;

use crate::net::{
    BreakIn, RadioId, Review, SenderId, Spread, View, break_in, power_step, stood_duty,
};
use crate::quantity::{Frequency, Length, Power};
use crate::scenario::{Plan, Target, Use};
use crate::scene::Scene;

/// Who can get in while somebody talks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Interruption {
    /// Who talks.
    pub talks: String,
    /// The one for whom it is worst.
    pub waits: String,
    /// When they get in.
    pub answer: BreakIn,
}

/// A battery against the time it has to last.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Lasting {
    /// How long it lasts at the duty of the event run.
    pub lasts: Duration,
    /// How long it has to.
    pub needed: Duration,
}

/// What a radio stands at the power step it uses.
#[derive(Debug, Clone, PartialEq)]
pub struct Stamina {
    /// The power step.
    pub step: String,
    /// The share of the time it may transmit, from 0 to 1.
    pub duty: f64,
}

/// The room around the antenna of one of our transmitters.
#[derive(Debug, Clone, PartialEq)]
pub struct Room {
    /// The transmitter.
    pub name: String,
    /// Where it sends.
    pub frequency: Frequency,
    /// What it radiates over isotropic.
    pub power: Power,
    /// How far the public must keep while it sends without a break.
    pub public: Length,
    /// The same averaged over its busiest minutes.
    pub averaged: Length,
    /// Over how many minutes.
    pub averaging_minutes: u32,
    /// How far operators must keep.
    pub trained: Length,
    /// How near the public comes, when that is stated.
    pub comes: Option<Length>,
    /// The limit for the public that asks for most.
    pub limit: String,
}

/// Those who work through a relay that has no frequencies yet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Waiting {
    /// The relay.
    pub relay: String,
    /// Who works through it.
    pub stations: Vec<String>,
}

/// So many partners of each operator are tried; in larger plans the others sit behind the same relays.
const TRIED: usize = 12;

/// Who gets in worst while an operator talks.
pub(super) fn interruption(view: &View, review: &Review, talks: RadioId) -> Option<Interruption> {
    let network = &view.network;
    let others = review.operators.iter().copied();
    let partners = others.filter(|one| *one != talks && review.ways.contains_key(&(talks, *one)));
    partners
        .take(TRIED)
        .filter_map(|waits| Some((break_in(network, talks, waits)?, waits)))
        .reduce(|worst, next| if next.0 > worst.0 { next } else { worst })
        .map(|(answer, waits)| Interruption {
            talks: network.radio_name(talks).to_owned(),
            waits: network.radio_name(waits).to_owned(),
            answer,
        })
}

/// Who gets in worst through a relay.
pub(super) fn through(
    view: &View,
    review: &Review,
    heard: &BTreeMap<RadioId, Interruption>,
    relay: RadioId,
) -> Option<Interruption> {
    let uses = |from: &RadioId| {
        let mut ways = review.ways.iter().filter(|((one, _), _)| one == from);
        ways.any(|(_, way)| {
            let mut hearers = way
                .hops
                .iter()
                .filter_map(|hop| view.network.hearer(hop.by));
            way.hops.len() > 1 && hearers.any(|hearer| hearer.radio == relay)
        })
    };
    let users = heard.iter().filter(|(from, _)| uses(from));
    let answers = users.map(|(_, interruption)| interruption);
    answers
        .reduce(|worst, next| {
            if next.answer > worst.answer {
                next
            } else {
                worst
            }
        })
        .cloned()
}

/// The share of each phase that a radio transmits.
pub(super) fn by_phase(plan: &Plan, view: &View, radio: RadioId) -> Vec<(String, Spread)> {
    let phases = view.load(plan).phases.iter();
    phases
        .filter_map(|(phase, radios)| Some((phase.what.clone(), *radios.get(&radio)?)))
        .collect()
}

/// How long a radio's battery lasts.
pub(super) fn battery(plan: &Plan, view: &View, radio: RadioId) -> Option<Lasting> {
    view.drain(plan, radio).map(|drain| Lasting {
        lasts: drain.found.lasts,
        needed: drain.needed,
    })
}

/// What a radio stands.
pub(super) fn stamina(plan: &Plan, radio: RadioId) -> Option<Stamina> {
    let station = plan.stations.get(radio.0)?;
    Some(Stamina {
        step: power_step(station)?,
        duty: stood_duty(station)?,
    })
}

/// The room around every antenna of ours.
pub(super) fn rooms(scene: &Scene<'_>, view: &View) -> Vec<Room> {
    let ours = scene.transmitters.iter().enumerate();
    ours.filter(|(_, transmitter)| transmitter.owner.is_ours())
        .filter_map(|(index, transmitter)| {
            let clear = view.keep_clear(scene, SenderId(index))?;
            let stated = view.conduct.public.get(&RadioId(transmitter.unit));
            Some(Room {
                name: transmitter.name.clone(),
                frequency: transmitter.frequency,
                power: clear.power,
                public: clear.public.continuous.rounded_up(),
                averaged: clear.public.averaged.rounded_up(),
                averaging_minutes: clear.public.limit.averaging_minutes,
                trained: clear.trained.continuous.rounded_up(),
                comes: stated.map(|stated| stated.value),
                limit: clear.public.limit.title.clone(),
            })
        })
        .collect()
}

/// Who works through a relay of ours that is not in the scene.
pub(super) fn waiting(plan: &Plan, view: &View) -> Vec<Waiting> {
    let mut found: BTreeMap<usize, Vec<String>> = BTreeMap::new();
    for station in &plan.stations {
        for one in &station.uses {
            if let Use::Via {
                target: Target::Relay { station: relay, .. },
            } = one.what
                && !view.network.is_relay(RadioId(relay))
            {
                found.entry(relay).or_default().push(station.name.clone());
            }
        }
    }
    found
        .into_iter()
        .filter_map(|(relay, stations)| {
            Some(Waiting {
                relay: plan.stations.get(relay)?.name.clone(),
                stations,
            })
        })
        .collect()
}

/// The stations of which nothing is asked, neither in the plan nor in a proposal or a search.
pub(super) fn idle(plan: &Plan) -> Vec<String> {
    let put = plan.proposals.iter().map(|one| one.station);
    let asked: BTreeSet<usize> = put
        .chain(plan.searches.iter().map(|one| one.station))
        .collect();
    let stations = plan.stations.iter().enumerate();
    stations
        .filter(|(index, station)| station.uses.is_empty() && !asked.contains(index))
        .map(|(_, station)| station.name.clone())
        .collect()
}
