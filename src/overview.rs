//! The whole plan at a glance, as a net manager reads it first: who is where, who reaches whom, and what to mend first.

use std::collections::{BTreeMap, BTreeSet};
use std::time::Duration;

use crate::assess::{Verdict, in_place, judge};
use crate::finding::{Finding, Severity};
use crate::net::{
    HearerId, Network, RadioId, Review, Spread, Tone, View, Way, opening_delay, propose_tones,
    unmet_needs, words_lost,
};
use crate::quantity::{Decibels, Frequency};
use crate::radio;
use crate::scenario::{Plan, Proposal};
use crate::scene::{Scene, Trial};

mod running;

pub use running::{Interruption, Lasting, Room, Stamina, Waiting};

/// So many things to mend are named.
const MENDED: usize = 5;

/// The whole plan at a glance.
#[derive(Debug, Clone, PartialEq)]
pub struct Overview {
    /// Name of the event.
    pub event: String,
    /// The proposal that is reckoned to be in place, if any.
    pub subject: Option<String>,
    /// What is looked at, in a line.
    pub what: String,
    /// The worst of what was found.
    pub verdict: Verdict,
    /// The channels that ours use, lowest first.
    pub channels: Vec<Channel>,
    /// Our operators, in the plan's order.
    pub operators: Vec<Operator>,
    /// The way with the least margin among those that may be relied on or may work.
    pub weakest: Option<Weakest>,
    /// Our relays.
    pub relays: Vec<Relay>,
    /// The inputs of our relays, with their tones.
    pub tones: Vec<Input>,
    /// How busy it gets; none where nobody of ours talks.
    pub traffic: Option<Busy>,
    /// How often a station must identify; none where no rule says.
    pub identifies: Option<Duration>,
    /// How often that is in the event.
    pub identifications: u64,
    /// The room around each of our antennas.
    pub rooms: Vec<Room>,
    /// Those who work through a relay that has no frequencies yet.
    pub waiting: Vec<Waiting>,
    /// Stations of which nothing is asked, in the plan or in what is put to it.
    pub idle: Vec<String>,
    /// The proposals, where none of them is reckoned to be in place.
    pub proposals: Vec<Alternative>,
    /// What to mend first.
    pub mend: Vec<Mend>,
    /// What was not stated and had to be assumed.
    pub assumed: Vec<String>,
}

/// A proposal that is not in place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Alternative {
    /// Its name.
    pub name: String,
    /// What it would do, in a line.
    pub what: String,
    /// The worst of what it would bring.
    pub verdict: Verdict,
    /// That in a sentence; none where nothing needs a look.
    pub worst: Option<String>,
}

/// A channel.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Channel {
    /// Where.
    pub frequency: Frequency,
    /// Tones that ours send there.
    pub tones: Vec<Tone>,
    /// Who talks there.
    pub talk: Vec<String>,
    /// Who only listens there.
    pub listen: Vec<String>,
    /// What relays there.
    pub relays: Vec<String>,
}

/// One of our stations with an operator at the key.
#[derive(Debug, Clone, PartialEq)]
pub struct Operator {
    /// Its name.
    pub name: String,
    /// What it is there for, when that is stated.
    pub role: Option<String>,
    /// Whom its word reaches by a way that may be relied on.
    pub reaches: Vec<String>,
    /// Whom it reaches only while the paths are kind.
    pub perhaps: Vec<String>,
    /// The phases in which it reaches somebody, where that is not all of them, by name.
    pub only_in: BTreeMap<String, String>,
    /// Whom it does not reach.
    pub misses: Vec<String>,
    /// Whom it needs but cannot rely on, there or back.
    pub lacks: Vec<String>,
    /// How long to wait after pressing before speaking, for the slowest of those it reaches.
    pub wait: Duration,
    /// How many words are lost by whoever speaks at once.
    pub words_lost: u128,
    /// The slowest way, in words.
    pub slowest: Option<String>,
    /// Who gets in worst while it talks.
    pub break_in: Option<Interruption>,
    /// The share of the event it transmits, from 0 to 1.
    pub duty: Option<Spread>,
    /// The share of each phase it transmits.
    pub phases: Vec<(String, Spread)>,
    /// How long its battery lasts.
    pub battery: Option<Lasting>,
}

/// The weakest way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Weakest {
    /// The way in words.
    pub way: String,
    /// Its margin on the cautious path.
    pub margin: Decibels,
}

/// One of our relays.
#[derive(Debug, Clone, PartialEq)]
pub struct Relay {
    /// Its name.
    pub name: String,
    /// How many ways hang on it alone.
    pub carries: usize,
    /// The share of the event it transmits, from 0 to 1.
    pub duty: Option<Spread>,
    /// The same in its busiest half hour.
    pub busiest: Option<Spread>,
    /// The share of each phase it transmits.
    pub phases: Vec<(String, Spread)>,
    /// What its radio stands.
    pub stands: Option<Stamina>,
    /// How long its battery lasts.
    pub battery: Option<Lasting>,
    /// Who gets in worst while somebody talks through it.
    pub break_in: Option<Interruption>,
    /// How often its timer stops it, in an event.
    pub time_outs: Option<Spread>,
    /// How long it is held after its input closed.
    pub hang: Duration,
    /// After how long it is stopped.
    pub time_out: Option<Duration>,
}

/// The input of a relay.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Input {
    /// Which side of which relay.
    pub name: String,
    /// Where it listens.
    pub frequency: Frequency,
    /// The tone it waits for.
    pub tone: Option<Tone>,
    /// The tone proposed for it; its own where that is good.
    pub proposed: Option<Tone>,
}

/// How busy it gets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Busy {
    /// The share of overs that find the channel busy, from 0 to 1.
    pub found_busy: Spread,
    /// How long an over waits, on average, in seconds.
    pub waited_s: Spread,
    /// The share of overs that meet another one on the air, from 0 to 1.
    pub doubled: Spread,
}

/// Something to mend.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mend {
    /// Id of the check that found it.
    pub check: &'static str,
    /// How bad it is.
    pub severity: Severity,
    /// One sentence with its numbers.
    pub says: String,
    /// The phases of the event in which it is so, where that is not all of them.
    pub when: Option<String>,
    /// Why it is no worse, though its margin is.
    pub spared: Option<String>,
    /// The first thing that would mend it.
    pub remedy: Option<String>,
    /// How many more cautions and conflicts the same check has.
    pub alike: usize,
}

/// Looks over a plan, with a proposal in place or as it stands.
pub fn overview(plan: &Plan, proposal: Option<&Proposal>) -> Overview {
    let findings = proposal.map_or_else(
        || judge(plan, None).findings,
        |proposal| in_place(plan, proposal),
    );
    let trial = proposal.map(Trial::whole);
    let scene = Scene::build(plan, trial);
    let view = View::of(&scene, trial);
    overview_of(proposal, &findings, &scene, &view)
}

/// The same where the findings, worst first, and the network are known already.
pub fn overview_of(
    proposal: Option<&Proposal>,
    findings: &[Finding],
    scene: &Scene<'_>,
    view: &View,
) -> Overview {
    let plan = scene.plan;
    let review = Review::of(&view.network);
    let interruptions: BTreeMap<RadioId, Interruption> = review
        .operators
        .iter()
        .filter_map(|&radio| Some((radio, running::interruption(view, &review, radio)?)))
        .collect();
    let operators: Vec<Operator> = review
        .operators
        .iter()
        .map(|&radio| Operator {
            break_in: interruptions.get(&radio).cloned(),
            ..operator(plan, view, &review, radio)
        })
        .collect();
    let identifies = view.conduct.identifies.as_ref().map(|every| every.value);
    Overview {
        event: plan.event.name.clone(),
        subject: proposal.map(|one| one.name.clone()),
        what: proposal.map_or_else(|| plan.summary(), |one| one.summary(plan)),
        verdict: Verdict::of(findings),
        channels: channels(&view.network, &review),
        weakest: review
            .weakest
            .and_then(|pair| review.ways.get(&pair))
            .map(|way| Weakest {
                way: way.told(&view.network),
                margin: way.margin,
            }),
        relays: relays(plan, view, &review, &interruptions),
        tones: tones(view),
        traffic: (!operators.is_empty()).then(|| {
            let load = view.load(plan);
            Busy {
                found_busy: load.found_busy,
                waited_s: load.waited_s,
                doubled: load.doubled,
            }
        }),
        operators,
        identifications: identifies.map_or(0, |every| {
            view.conduct.lasts.value.as_secs() / every.as_secs().max(1)
        }),
        identifies,
        rooms: running::rooms(scene, view),
        waiting: running::waiting(plan, view),
        idle: running::idle(plan),
        proposals: if proposal.is_none() {
            plan.proposals
                .iter()
                .map(|one| alternative(plan, one))
                .collect()
        } else {
            Vec::new()
        },
        mend: mend(findings),
        assumed: view.conduct.assumed(plan),
    }
}

fn alternative(plan: &Plan, proposal: &Proposal) -> Alternative {
    let judged = judge(plan, Some(proposal));
    let worst = judged
        .findings
        .iter()
        .find(|finding| finding.severity > Severity::Note);
    Alternative {
        name: proposal.name.clone(),
        what: judged.what,
        verdict: judged.verdict,
        worst: worst.map(|finding| finding.says.clone()),
    }
}

fn names(network: &Network, radios: impl IntoIterator<Item = RadioId>) -> Vec<String> {
    radios
        .into_iter()
        .map(|radio| network.radio_name(radio).to_owned())
        .collect()
}

fn channels(network: &Network, review: &Review) -> Vec<Channel> {
    review
        .channels
        .iter()
        .map(|(&frequency, row)| {
            let talk = row.senders.difference(&row.relays);
            let silent = row.hearers.difference(&row.senders).copied();
            Channel {
                frequency,
                tones: row.tones.iter().copied().collect(),
                talk: names(network, talk.copied()),
                listen: names(network, silent.filter(|one| !row.relays.contains(one))),
                relays: names(network, row.relays.iter().copied()),
            }
        })
        .collect()
}

fn operator(plan: &Plan, view: &View, review: &Review, radio: RadioId) -> Operator {
    let network = &view.network;
    let others = || review.operators.iter().copied().filter(|one| *one != radio);
    let way = |from: RadioId, to: RadioId| review.ways.get(&(from, to));
    let is_sure = |way: Option<&Way>| way.is_some_and(|way| way.margin >= Decibels::ZERO);
    let slowest = others()
        .filter_map(|to| way(radio, to))
        .max_by_key(|way| opening_delay(network, way));
    let wait = slowest.map_or(Duration::ZERO, |way| opening_delay(network, way));
    // A need that is met in some phases only is lacking all the same.
    let lacks: BTreeSet<RadioId> = unmet_needs(network)
        .into_iter()
        .filter(|unmet| unmet.need.who == radio)
        .map(|unmet| unmet.need.whom)
        .collect();
    let report = view.load(plan).radios.get(&radio);
    let event = &plan.event;
    let only_in = others()
        .filter_map(|to| {
            let windows = way(radio, to)?.windows.as_deref();
            let when = event.told(&event.phases_in(windows))?;
            Some((network.radio_name(to).to_owned(), when))
        })
        .collect();
    Operator {
        name: network.radio_name(radio).to_owned(),
        role: plan
            .stations
            .get(radio.0)
            .and_then(|station| station.role.clone()),
        reaches: names(network, others().filter(|to| is_sure(way(radio, *to)))),
        perhaps: names(
            network,
            others().filter(|to| way(radio, *to).is_some_and(|way| way.margin < Decibels::ZERO)),
        ),
        only_in,
        misses: names(network, others().filter(|to| way(radio, *to).is_none())),
        lacks: names(network, lacks),
        wait,
        words_lost: words_lost(wait),
        slowest: slowest.map(|way| way.told(network)),
        break_in: None,
        duty: report.map(|report| report.duty),
        phases: running::by_phase(plan, view, radio),
        battery: running::battery(plan, view, radio),
    }
}

fn relays(
    plan: &Plan,
    view: &View,
    review: &Review,
    interruptions: &BTreeMap<RadioId, Interruption>,
) -> Vec<Relay> {
    let network = &view.network;
    let carries: BTreeMap<RadioId, usize> = review.single_points.iter().copied().collect();
    let ours = network.radio_ids().filter(|id| {
        network.is_relay(*id) && network.radio(*id).is_some_and(|radio| radio.is_ours)
    });
    ours.map(|id| {
        let report = view.load(plan).radios.get(&id);
        let sides = || network.senders.iter().filter(|sender| sender.radio == id);
        let hearers = network.all_hearers().filter(|(_, one)| one.radio == id);
        let hang = hearers
            .flat_map(|(hearer, _)| network.repeats_of(hearer))
            .map(|repeat| repeat.hang)
            .max();
        Relay {
            name: network.radio_name(id).to_owned(),
            carries: carries.get(&id).copied().unwrap_or(0),
            duty: report.map(|report| report.duty),
            busiest: report.map(|report| report.busiest_30_minutes),
            phases: running::by_phase(plan, view, id),
            stands: running::stamina(plan, id),
            battery: running::battery(plan, view, id),
            break_in: running::through(view, review, interruptions, id),
            time_outs: report.map(|report| report.time_outs),
            hang: hang.unwrap_or_default(),
            time_out: sides().filter_map(|sender| sender.time_out).min(),
        }
    })
    .collect()
}

fn tones(view: &View) -> Vec<Input> {
    let network = &view.network;
    let table: Vec<Tone> = radio::tones()
        .iter()
        .map(|tenths| Tone::tenths(*tenths))
        .collect();
    let proposed = propose_tones(network, &table, &view.conduct.mains.value);
    let inputs = network.all_hearers().filter(|(id, _): &(HearerId, _)| {
        network.is_our_hearer(*id) && network.is_relay_input(*id)
    });
    inputs
        .map(|(id, hearer)| Input {
            name: hearer.name.clone(),
            frequency: hearer.frequency,
            tone: hearer.tone,
            proposed: proposed.get(&id).copied(),
        })
        .collect()
}

/// The worst that can be mended: the worst finding of each check, with how many more it has.
fn mend(findings: &[Finding]) -> Vec<Mend> {
    let mut told: Vec<Mend> = Vec::new();
    let wanting = findings
        .iter()
        .filter(|finding| finding.severity >= Severity::Caution);
    for finding in wanting {
        if let Some(known) = told.iter_mut().find(|known| known.check == finding.check) {
            known.alike += 1;
            continue;
        }
        told.push(Mend {
            check: finding.check,
            severity: finding.severity,
            says: finding.says.clone(),
            when: finding.when.clone(),
            spared: finding.spared.clone(),
            remedy: finding.remedies.first().map(|remedy| remedy.text.clone()),
            alike: 0,
        });
    }
    told.truncate(MENDED);
    told
}
