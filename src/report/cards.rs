//! What each operator must know: what to set, whom to call, how long to wait, what not to do.

use std::time::Duration;

use crate::finding::{Finding, Matter};
use crate::net::{RadioId, SenderId, Tone, View, told};
use crate::overview::Overview;
use crate::quantity::{Frequency, Power};
use crate::scene::{Owner, Scene, Transmitter};

/// A card for one station.
#[derive(Debug, Clone, PartialEq)]
pub struct Card {
    /// The station's name.
    pub name: String,
    /// What it is there for.
    pub role: Option<String>,
    /// How many such stations there are.
    pub count: u32,
    /// Its site.
    pub site: String,
    /// Its radio.
    pub radio: String,
    /// Whether it relays.
    pub is_relay: bool,
    /// What to set, side by side.
    pub settings: Vec<Setting>,
    /// Whom to call first.
    pub call: Vec<String>,
    /// Whom else its word reaches.
    pub reaches: Vec<String>,
    /// Whom it does not reach, or only while the paths are kind.
    pub misses: Vec<String>,
    /// How long to wait after pressing before speaking; none where nobody presses.
    pub wait: Option<Duration>,
    /// How many words are lost by whoever speaks at once.
    pub words_lost: u128,
    /// What not to do, a sentence each.
    pub never: Vec<String>,
    /// How far people must keep, a sentence each.
    pub clear_of: Vec<String>,
}

/// What one side of a radio is set to.
#[derive(Debug, Clone, PartialEq)]
pub struct Setting {
    /// Which side.
    pub side: String,
    /// What it is for, in a word or two.
    pub does: &'static str,
    /// Where it sends, with its tone.
    pub sends: Option<(Frequency, Option<Tone>)>,
    /// Where it listens, with the tone it waits for.
    pub hears: Option<(Frequency, Option<Tone>)>,
    /// Power at the antenna socket.
    pub power: Option<Power>,
    /// The name of the power step, where the power is one.
    pub step: Option<String>,
    /// The emission, as a designator.
    pub emission: Option<String>,
}

/// The cards, in the plan's order; a station that does nothing has none.
pub(super) fn cards(
    scene: &Scene<'_>,
    view: &View,
    overview: &Overview,
    findings: &[Finding],
) -> Vec<Card> {
    (0..scene.plan.stations.len())
        .filter_map(|index| card(scene, view, overview, findings, index))
        .collect()
}

fn card(
    scene: &Scene<'_>,
    view: &View,
    overview: &Overview,
    findings: &[Finding],
    index: usize,
) -> Option<Card> {
    let station = scene.plan.stations.get(index)?;
    let settings = settings(scene, view, index);
    if settings.is_empty() {
        return None;
    }
    let operator = overview
        .operators
        .iter()
        .find(|one| one.name == station.name);
    let needs: Vec<String> = station
        .needs
        .iter()
        .filter_map(|&index| scene.plan.stations.get(index))
        .map(|one| one.name.clone())
        .collect();
    let reached = operator.map(|one| one.reaches.clone()).unwrap_or_default();
    let reaches = reached
        .into_iter()
        .filter(|name| !needs.contains(name))
        .collect();
    let misses = operator.map(|one| [one.perhaps.clone(), one.misses.clone()].concat());
    let is_relay = settings.iter().any(|setting| setting.does == RELAYS);
    Some(Card {
        never: never(view, index, &settings, operator.is_some()),
        clear_of: clear_of(scene, findings, index),
        name: station.name.clone(),
        role: station.role.clone(),
        count: station.count,
        site: scene
            .plan
            .sites
            .get(station.site)
            .map(|site| site.name.clone())
            .unwrap_or_default(),
        radio: station.radio.title.clone(),
        is_relay,
        settings,
        call: needs,
        reaches,
        misses: misses.unwrap_or_default(),
        wait: operator.map(|one| one.wait),
        words_lost: operator.map_or(0, |one| one.words_lost),
    })
}

/// What a side does that both hears and passes on.
const RELAYS: &str = "relays";

fn settings(scene: &Scene<'_>, view: &View, station: usize) -> Vec<Setting> {
    let owner = Owner::Station(station);
    let senders = || {
        let numbered = scene.transmitters.iter().enumerate();
        numbered.filter(move |(_, one)| one.owner == owner)
    };
    let hearers = || scene.receivers.iter().filter(move |one| one.owner == owner);
    let mut found: Vec<Setting> = senders()
        .map(|(index, sender)| {
            let hearer = hearers().find(|one| one.side == sender.side);
            let is_repeated = view.network.is_repeated(SenderId(index));
            Setting {
                side: side(scene, sender),
                does: if is_repeated { RELAYS } else { "talk" },
                sends: Some((sender.frequency, sender.tone.map(Tone::tenths))),
                hears: hearer.map(|one| (one.frequency, one.tone.map(Tone::tenths))),
                power: Some(Power::of_level(sender.power.value)),
                step: step(scene, station, sender),
                emission: Some(sender.emission.value.designator()),
            }
        })
        .collect();
    let silent = hearers().filter(|hearer| !senders().any(|(_, one)| one.side == hearer.side));
    found.extend(silent.map(|hearer| Setting {
        side: hearer.part.clone(),
        does: "listen only",
        sends: None,
        hears: Some((hearer.frequency, hearer.tone.map(Tone::tenths))),
        power: None,
        step: None,
        emission: None,
    }));
    found
}

/// Which side of its radio a transmitter is.
fn side(scene: &Scene<'_>, sender: &Transmitter) -> String {
    let same = |one: &&crate::scene::Receiver| one.owner == sender.owner && one.side == sender.side;
    let hearer = scene.receivers.iter().find(same);
    hearer.map_or_else(String::new, |one| one.part.clone())
}

/// The name of the power step in use, where one has just this power.
fn step(scene: &Scene<'_>, station: usize, sender: &Transmitter) -> Option<String> {
    let radio = &scene.plan.stations.get(station)?.radio;
    let steps = &radio.transmitter_at(sender.frequency)?.steps;
    steps
        .iter()
        .find(|step| {
            (step.power.value.level() - sender.power.value)
                .as_db()
                .abs()
                < 0.05
        })
        .map(|step| step.name.clone())
}

fn never(view: &View, index: usize, settings: &[Setting], has_operator: bool) -> Vec<String> {
    let mut found = Vec::new();
    for setting in settings {
        if let (None, Some((heard, _))) = (setting.sends, setting.hears) {
            found.push(format!(
                "Never send on {heard}: it is there to be listened to."
            ));
        }
    }
    let power = settings.iter().filter_map(|setting| setting.power).max();
    if let Some(power) = power {
        found.push(format!(
            "Never more than {power}, and no other channel or tone, unless control says so."
        ));
    }
    let senders = view.network.all_senders();
    let ours = senders.filter(|(_, sender)| sender.radio == RadioId(index));
    let limit = ours.filter_map(|(_, sender)| sender.time_out).min();
    if let Some(limit) = limit.filter(|_| has_operator) {
        found.push(format!(
            "Never hold the key for {} or longer: the radio or the relay then cuts you off.",
            told(limit)
        ));
    }
    if settings.iter().any(|setting| setting.does == RELAYS) {
        found.push(
            "Never talk into the relay's own microphone while it repeats, and never switch it off without telling control."
                .to_owned(),
        );
    }
    found
}

fn clear_of(scene: &Scene<'_>, findings: &[Finding], index: usize) -> Vec<String> {
    let owner = Owner::Station(index);
    let mine = || {
        scene
            .transmitters
            .iter()
            .filter(move |one| one.owner == owner)
    };
    findings
        .iter()
        .filter(|finding| finding.matter == Matter::Exposure)
        .filter(|finding| {
            let mut sources = finding.sources.iter();
            sources.any(|source| mine().any(|one| one.name == source.name))
        })
        .map(|finding| finding.says.clone())
        .collect()
}
