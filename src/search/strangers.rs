//! Channels that nobody else may use: where one surprise neighbour would spoil a candidate that is safe without.

use std::sync::Arc;

use rayon::prelude::*;

use super::candidates::channels;
use super::trial::added;
use super::what_if::stretches;
use crate::finding::{Finding, Severity};
use crate::provenance::{Authority, Origin, Sourced, Standing};
use crate::quantity::{Frequency, Length, Power, Span};
use crate::scenario::{InUse, Plan, Search};
use crate::scene::Ground;

/// What the stranger is called in its findings.
const NAME: &str = "a surprise neighbour";

/// How strong the stranger is: an ordinary base station.
///
/// # Source
/// Choice: 25 W ERP, what a mobile at full power or a small repeater radiates.
const ERP_W: f64 = 25.0;

/// How high its antenna is.
///
/// # Source
/// Choice: a mast on a house.
const HEIGHT: Length = Length::metres(10.0);

/// Channels on which one more neighbour would conflict with a candidate.
#[derive(Debug, Clone, PartialEq)]
pub struct Strangers {
    /// The candidate.
    pub legs: Vec<Frequency>,
    /// How far the neighbour would be from each of our sites.
    pub distance: Length,
    /// How many channels of the searched stretches were tried.
    pub tried: usize,
    /// Runs of channels, one step apart, on each of which it would conflict.
    pub spoilt: Vec<Span>,
    /// How many channels that are.
    pub channels: usize,
}

/// Puts a stranger on every channel of the search in turn, with a candidate in place.
pub(super) fn strangers(
    plan: &Plan,
    search: &Search,
    legs: &[Frequency],
    distance: Length,
) -> Option<Strangers> {
    let stretches: Vec<Span> = stretches(search).collect();
    let tried = channels(&stretches, search.step.value);
    let index = plan.in_use.len();
    let mut crowded = plan.clone();
    crowded
        .in_use
        .push(stranger(plan, search, distance, legs.first().copied()?)?);
    let ground = Ground::of(&crowded);
    let spoilt: Vec<Frequency> = tried
        .par_iter()
        .copied()
        .filter(|&channel| {
            let mut plan = crowded.clone();
            if let Some(entry) = plan.in_use.get_mut(index) {
                entry.output = Some(channel);
                entry.input = Some(channel);
            }
            added(&plan, &ground, search, legs)
                .iter()
                .any(|finding| finding.severity == Severity::Conflict && is_about(finding))
        })
        .collect();
    let mut runs: Vec<Span> = Vec::new();
    for &channel in &spoilt {
        match runs.last_mut() {
            Some(run) if channel - run.high <= search.step.value => run.high = channel,
            _ => runs.push(Span::between(channel, channel)),
        }
    }
    Some(Strangers {
        legs: legs.to_vec(),
        distance,
        tried: tried.len(),
        channels: spoilt.len(),
        spoilt: runs,
    })
}

/// Whether the stranger takes part in a finding.
fn is_about(finding: &Finding) -> bool {
    let sources = finding.sources.iter().map(|term| term.name.as_str());
    let victim = finding.victim.iter().map(|victim| victim.station.as_str());
    sources.chain(victim).any(|name| name.ends_with(NAME))
}

/// Somebody on one channel with a radio like that of the searched station, as strong as an ordinary base station.
fn stranger(plan: &Plan, search: &Search, distance: Length, on: Frequency) -> Option<InUse> {
    let station = plan.stations.get(search.station)?;
    let supposed = || {
        Origin::Default(Authority {
            text: Arc::from("a surprise neighbour"),
            standing: Standing::Choice,
        })
    };
    let eirp = Power::of_level(Power::watts(ERP_W).level() + Power::dipole_over_isotropic());
    Some(InUse {
        name: NAME.to_owned(),
        service: Sourced::new(String::new(), supposed()),
        is_safety: false,
        output: Some(on),
        input: Some(on),
        is_simplex: true,
        emission: station.emission.clone(),
        eirp: Sourced::new(eirp, supposed()),
        position: None,
        distance: Sourced::new(distance, Origin::Said(Arc::from("the command line"))),
        height: Sourced::new(HEIGHT, supposed()),
        ground: Sourced::new(Length::metres(0.0), supposed()),
        radio: Arc::clone(&station.radio),
        listener: None,
        duty: Sourced::new(100.0, supposed()),
        windows: Vec::new(),
        tone: None,
        output_tone: None,
        wanted: None,
        place: Arc::from("a surprise neighbour"),
    })
}
