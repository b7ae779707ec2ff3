//! From the scene to the network.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::Duration;

use super::{
    Earshot, Ends, Heard, Hearer, HearerId, Network, Radio, RadioId, Repeat, Sender, SenderId,
    Tone, same_channel,
};
use crate::law::Purpose;
use crate::quantity::{Frequency, Offset};
use crate::radio::{Profile, Timing};
use crate::scenario::{Plan, Use, Window};
use crate::scene::{Activity, Owner, Receiver, Rest, Roll, Scene, Transmitter, Trial};

impl Network {
    /// The network of a scene. `audible` says how a transmitter, by index into the scene, arrives at a receiver; it is
    /// asked for those on one channel and on the air at the same time, and for the sides of one relay.
    pub fn from_scene(
        scene: &Scene<'_>,
        trial: Option<Trial<'_>>,
        audible: impl Fn(usize, usize) -> Option<Heard>,
    ) -> Self {
        let mut network = Self::deaf(scene, trial, None);
        let heard = heard(on_one_channel(scene), audible);
        network.heard = heard.into_iter().collect();
        network.divide(scene.plan.event.window);
        network
    }

    /// The network of a scene in which nobody hears anybody yet, with those who stand taken over where they are known.
    fn deaf(scene: &Scene<'_>, trial: Option<Trial<'_>>, standing: Option<&Self>) -> Self {
        let plan = scene.plan;
        let (senders, hearers) = (&scene.transmitters, &scene.receivers);
        let senders_from = |first: usize| -> Vec<Sender> {
            let all = senders.from(first);
            all.map(|(_, one)| sender(scene, trial, one)).collect()
        };
        let hearers_from = |first: usize| -> Vec<Hearer> {
            let all = hearers.from(first);
            all.map(|(_, one)| hearer(scene, trial, one)).collect()
        };
        let mut network = match standing {
            Some(known) => Self {
                radios: Arc::clone(&known.radios),
                senders: Roll::among(&known.senders, senders_from(senders.standing())),
                hearers: Roll::among(&known.hearers, hearers_from(hearers.standing())),
                ..Self::default()
            },
            None => Self {
                radios: radios(plan).into(),
                senders: Roll::of(senders_from(0), senders.standing()),
                hearers: Roll::of(hearers_from(0), hearers.standing()),
                ..Self::default()
            },
        };
        network.repeats = repeats(plan, &network);
        network
    }

    /// The network of a scene as carriers arrive: a hearer hears what is not below its sensitivity.
    pub fn of(scene: &Scene<'_>, trial: Option<Trial<'_>>) -> Self {
        Self::from_scene(scene, trial, |from, to| arrive(scene, from, to))
    }

    /// The network of a scene in which nothing is under trial, where it is known already who hears whom out of another scene in
    /// which the same ones stand, though they may be keyed with others.
    pub fn like(known: &Self, scene: &Scene<'_>, trial: Option<Trial<'_>>) -> Self {
        let mut network = Self::deaf(scene, trial, None);
        network.heard = known.heard.clone();
        network.divide(scene.plan.event.window);
        network
    }

    /// The same where some of those who stood there are gone.
    pub fn left(known: &Self, rest: &Rest, scene: &Scene<'_>, trial: Option<Trial<'_>>) -> Self {
        let mut network = Self::deaf(scene, trial, None);
        let heard = known.heard.iter().filter_map(|((from, by), heard)| {
            let ends = (SenderId(rest.sender(from.0)?), HearerId(rest.hearer(by.0)?));
            Some((ends, heard.clone()))
        });
        network.heard = heard.collect();
        network.divide(scene.plan.event.window);
        network
    }

    /// The same where it is known already who of those who stand hears whom, out of another scene with the same ones and for
    /// the same station.
    pub fn among(standing: &Self, scene: &Scene<'_>, trial: Option<Trial<'_>>) -> Self {
        let (senders, hearers) = (scene.transmitters.standing(), scene.receivers.standing());
        let mut network = Self::deaf(scene, trial, Some(standing));
        let all = scene.transmitters.from(0);
        let new = all.flat_map(|sender| {
            let first = if sender.0 < senders { hearers } else { 0 };
            let receivers = scene.receivers.from(first);
            receivers.map(move |receiver| (sender, receiver))
        });
        let new = heard(new, |from, to| arrive(scene, from, to));
        network.heard = Earshot::among(&standing.heard, new);
        network.divide(scene.plan.event.window);
        network
    }
}

/// Who hears whom of some transmitters and receivers.
fn heard<'a>(
    ends: impl Iterator<Item = (Numbered<'a, Transmitter>, Numbered<'a, Receiver>)>,
    audible: impl Fn(usize, usize) -> Option<Heard>,
) -> BTreeMap<Ends, Heard> {
    let ends = ends.filter(|((_, sender), (_, receiver))| may_hear(sender, receiver));
    ends.filter_map(|((from, _), (to, _))| {
        Some(((SenderId(from), HearerId(to)), audible(from, to)?))
    })
    .collect()
}

/// One of a scene, with its index.
type Numbered<'a, T> = (usize, &'a T);

/// Each transmitter of a scene with the receivers whose channel it may be on: among thousands hardly any two share one, so they
/// are looked up by their frequency, those of one width together.
fn on_one_channel<'a>(
    scene: &'a Scene<'_>,
) -> impl Iterator<Item = (Numbered<'a, Transmitter>, Numbered<'a, Receiver>)> {
    let mut by_width: BTreeMap<Offset, Vec<(Frequency, Numbered<'a, Receiver>)>> = BTreeMap::new();
    for receiver in scene.receivers.from(0) {
        let alike = by_width.entry(half_width(receiver.1)).or_default();
        alike.push((receiver.1.frequency, receiver));
    }
    for alike in by_width.values_mut() {
        alike.sort_by_key(|one| one.0);
    }
    scene.transmitters.from(0).flat_map(move |sender| {
        let at = sender.1.frequency;
        let near = |(&half, alike): (&Offset, &Vec<(Frequency, Numbered<'a, Receiver>)>)| {
            let first = alike.partition_point(|one| one.0 < at - half);
            let near = alike.get(first..).unwrap_or_default().iter();
            let near = near.take_while(|one| one.0 <= at + half);
            near.map(|one| (sender, one.1)).collect::<Vec<_>>()
        };
        by_width.iter().flat_map(near).collect::<Vec<_>>()
    })
}

/// How a transmitter arrives at a receiver, if that hears it.
fn arrive(scene: &Scene<'_>, from: usize, to: usize) -> Option<Heard> {
    let (transmitter, receiver) = (scene.transmitters.get(from)?, scene.receivers.get(to)?);
    let reach = scene.reach_of_transmitter(from)?;
    let kind = scene.loss(reach, receiver, transmitter.frequency);
    let needed = receiver.figures.sensitivity.value;
    let margin = transmitter.power.value - kind - needed;
    (margin.as_db() >= 0.0).then(|| Heard {
        margin,
        sure: transmitter.power.value
            - scene.service_loss(reach, receiver, transmitter.frequency)
            - needed,
        through: None,
    })
}

/// Whether a transmitter can be on a receiver's channel, at a time when that listens, and is not its own side.
fn may_hear(transmitter: &Transmitter, receiver: &Receiver) -> bool {
    transmitter.unit != receiver.unit
        && same_channel(
            transmitter.frequency,
            receiver.frequency,
            half_width(receiver),
        )
        && Activity::coexist(&[
            &Activity::always(&transmitter.activity.windows),
            &Activity::always(&receiver.activity.windows),
        ])
}

/// How far from its middle a receiver's channel reaches.
fn half_width(receiver: &Receiver) -> Offset {
    receiver.figures.channel_spacing.value.half()
}

/// A radio for every box: our stations, the entries in use, and those who listen to these.
fn radios(plan: &Plan) -> Vec<Radio> {
    let one = |name: String, is_ours: bool, profile: &Profile, windows: &[Window]| Radio {
        name,
        is_ours,
        is_duplex: profile.is_duplex.value,
        hears_while_sending: profile.hears_while_sending.value,
        windows: windows.to_vec(),
    };
    let ours = plan
        .stations
        .iter()
        .map(|station| one(station.name.clone(), true, &station.radio, &station.windows));
    let theirs = plan.in_use.iter().map(|entry| Radio {
        is_duplex: !entry.is_simplex,
        ..one(entry.name.clone(), false, &entry.radio, &entry.windows)
    });
    let listeners = plan.in_use.iter().map(|entry| {
        let profile = entry
            .listener
            .as_ref()
            .map_or(&entry.radio, |listener| &listener.radio);
        one(
            format!("a listener to {}", entry.name),
            false,
            profile,
            &entry.windows,
        )
    });
    ours.chain(theirs).chain(listeners).collect()
}

/// The radio that a transmitter or receiver is part of.
fn profile(plan: &Plan, owner: Owner, unit: usize) -> Option<&Profile> {
    match owner {
        Owner::Station(index) => plan
            .stations
            .get(index)
            .map(|station| station.radio.as_ref()),
        Owner::InUse(index) => {
            let entry = plan.in_use.get(index)?;
            let is_listener = unit >= plan.stations.len() + plan.in_use.len();
            let listener = entry.listener.as_ref().filter(|_| is_listener);
            Some(listener.map_or(entry.radio.as_ref(), |listener| listener.radio.as_ref()))
        }
        Owner::Protected(_) => None,
    }
}

fn figures<T>(plan: &Plan, owner: Owner, unit: usize, read: impl Fn(&Timing) -> T) -> Option<T> {
    profile(plan, owner, unit).map(|profile| read(&profile.timing))
}

fn millis(value: u64) -> Duration {
    Duration::from_millis(value)
}

fn sender(scene: &Scene<'_>, trial: Option<Trial<'_>>, one: &Transmitter) -> Sender {
    let plan = scene.plan;
    let rise = figures(plan, one.owner, one.unit, |timing| {
        timing.transmitter_rise.value
    });
    let time_out = figures(plan, one.owner, one.unit, |timing| {
        timing.time_out.as_ref().map(|limit| limit.value)
    });
    let is_relay_side = match one.owner {
        Owner::Station(index) => {
            is_relay(plan, trial, index) && one.purpose == Purpose::CrossBandRelay
        }
        Owner::InUse(index) => is_repeater(plan, index),
        Owner::Protected(_) => false,
    };
    Sender {
        name: one.name.clone(),
        radio: RadioId(one.unit),
        side: one.side,
        net: one.activity.net,
        frequency: one.frequency,
        tone: sent_tone(plan, one).map(Tone::tenths),
        tone_in_hang: true,
        rise: millis(rise.unwrap_or(0)),
        time_out: time_out.flatten().map(millis),
        is_relay_side,
        legs: one.legs,
    }
}

/// A repeater of somebody else's is not taken to send on its output the tone that its input waits for.
fn sent_tone(plan: &Plan, one: &Transmitter) -> Option<u32> {
    let stated = |index: usize| plan.in_use.get(index).and_then(|entry| entry.output_tone);
    match one.owner {
        Owner::InUse(index) if is_repeater(plan, index) => stated(index),
        Owner::InUse(index) => stated(index).or(one.tone),
        _ => one.tone,
    }
}

fn hearer(scene: &Scene<'_>, trial: Option<Trial<'_>>, one: &Receiver) -> Hearer {
    let plan = scene.plan;
    let read =
        |read: fn(&Timing) -> u64| millis(figures(plan, one.owner, one.unit, read).unwrap_or(0));
    let is_listener = one.unit >= plan.stations.len() + plan.in_use.len();
    let is_relay_side = match one.owner {
        Owner::Station(index) => {
            let sends_here = scene.transmitters.iter().any(|sender| {
                (sender.unit, sender.side) == (one.unit, one.side)
                    && sender.purpose == Purpose::CrossBandRelay
            });
            is_relay(plan, trial, index) && sends_here
        }
        Owner::InUse(index) => is_repeater(plan, index) && !is_listener,
        Owner::Protected(_) => false,
    };
    Hearer {
        name: one.name.clone(),
        radio: RadioId(one.unit),
        side: one.side,
        net: one.activity.net,
        frequency: one.frequency,
        // Those who listen to an output are not taken to wait for the tone of the input.
        tone: one.tone.filter(|_| !is_listener).map(Tone::tenths),
        opening: read(|timing| timing.squelch_opening.value),
        decode: read(|timing| timing.tone_decode.value),
        tail: read(|timing| timing.squelch_tail.value),
        is_relay_side,
        legs: one.legs,
    }
}

/// Whether one of our stations relays in this scene.
fn is_relay(plan: &Plan, trial: Option<Trial<'_>>, station: usize) -> bool {
    let relays = |what: &Use| matches!(what, Use::CrossBand { .. });
    plan.stations
        .get(station)
        .is_some_and(|one| one.uses.iter().any(|one| relays(&one.what)))
        || trial.is_some_and(|trial| trial.station == station && relays(trial.what))
}

/// Whether an entry in use by others is a repeater.
fn is_repeater(plan: &Plan, index: usize) -> bool {
    plan.in_use
        .get(index)
        .is_some_and(|entry| !entry.is_simplex && entry.input.is_some() && entry.output.is_some())
}

/// What is passed on: in a cross-band relay from each of two neighbouring sides to the other, in a repeater from the
/// input to the output.
fn repeats(plan: &Plan, network: &Network) -> Vec<Repeat> {
    let mut found = Vec::new();
    let mut outputs: BTreeMap<RadioId, Vec<(SenderId, &Sender)>> = BTreeMap::new();
    for (id, one) in network.all_senders().filter(|(_, one)| one.is_relay_side) {
        outputs.entry(one.radio).or_default().push((id, one));
    }
    for (from, input) in network.all_hearers().filter(|(_, one)| one.is_relay_side) {
        for &(to, output) in outputs.get(&input.radio).into_iter().flatten() {
            let is_ours = network
                .radio(input.radio)
                .is_some_and(|radio| radio.is_ours);
            // The two sides of one cross-band use have neighbouring numbers, an even one and the next.
            let belongs = if is_ours {
                input.side ^ 1 == output.side
            } else {
                input.side == output.side
            };
            if belongs {
                found.push(Repeat {
                    from,
                    to,
                    hang: hang(plan, input.radio),
                });
            }
        }
    }
    found
}

fn hang(plan: &Plan, radio: RadioId) -> Duration {
    let ours = plan.stations.get(radio.0).map(|station| &station.radio);
    let theirs = radio
        .0
        .checked_sub(plan.stations.len())
        .and_then(|index| plan.in_use.get(index));
    let profile = ours.or(theirs.map(|entry| &entry.radio));
    millis(profile.map_or(0, |profile| profile.timing.hang.value))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::sample::{CROWDED, plan};

    /// The crowded hill, with somebody's simplex channel, and a repeater that sends a tone of its own.
    const TONES: &str = "  - {name: Club, frequency: 145.3000, erp: 25 W, at: [54.33, -0.43], tone: 88.5}
  - {name: Quay, output: 145.7000, input: 145.1000, erp: 25 W, at: [54.33, -0.43], tone: 77.0, output_tone: 94.8}
  - {name: Mast, output: 145.7250, input: 145.1250, erp: 25 W, at: [54.33, -0.43], tone: 71.9}
  - {name: Van, output: 145.7500, input: 145.1500, radio: dual-band-mobile, erp: 25 W, at: [54.33, -0.43]}
";

    #[test]
    fn what_the_plan_says_of_each_is_what_the_net_knows() {
        let plan = plan(&format!("{CROWDED}{TONES}"));
        let scene = Scene::build(&plan, None);
        let network = Network::of(&scene, None);
        let radio = |name: &str| network.radios.iter().find(|one| one.name == name).unwrap();
        // A repeater hears while it sends, a simplex station and a relay of ours do not.
        assert!(radio("Town").is_duplex && radio("Quay").is_duplex);
        // Whatever it is built of.
        assert!(radio("Van").is_duplex);
        assert!(!radio("Tower").is_duplex && !radio("Club").is_duplex && !radio("Relay").is_duplex);
        assert!(radio("Relay").is_ours && !radio("Town").is_ours);
        assert!(!radio("a listener to Town").is_ours);
        let sends = |name: &str| {
            let mut all = network.senders.iter();
            let one = all.find(|one| one.name == name).unwrap();
            (one.tone.map(Tone::as_tenths), one.is_relay_side)
        };
        // What a repeater waits for it is not taken to send; what is said of its output it sends.
        assert_eq!(sends("Town"), (None, true));
        assert_eq!(sends("Quay"), (Some(948), true));
        assert_eq!(sends("Mast"), (None, true));
        assert_eq!(sends("Club"), (Some(885), false));
        assert_eq!(sends("Relay, 2m side"), (None, true));
        assert_eq!(sends("Packet"), (None, false));
        let hears = |name: &str| -> Vec<(Option<u32>, bool)> {
            let all = network
                .hearers
                .iter()
                .filter(|one| one.name.starts_with(name));
            all.map(|one| (one.tone.map(Tone::as_tenths), one.is_relay_side))
                .collect()
        };
        assert_eq!(hears("Quay"), [(Some(770), true)]);
        // Those who listen to it wait for no tone and pass nothing on.
        let listeners = hears("a listener to Quay");
        assert!(!listeners.is_empty() && listeners.iter().all(|one| *one == (None, false)));
        assert_eq!(hears("Relay, 2m side"), [(None, true)]);
        assert_eq!(hears("Scout"), [(None, false)]);
        // The relay passes on both ways, a repeater from input to output.
        let passed: Vec<(&str, &str)> = (network.repeats.iter())
            .map(|one| {
                let from = network.hearer(one.from).unwrap();
                (
                    from.name.as_str(),
                    network.sender(one.to).unwrap().name.as_str(),
                )
            })
            .collect();
        let mut sorted = passed.clone();
        sorted.sort_unstable();
        assert_eq!(
            sorted,
            [
                ("Mast", "Mast"),
                ("Quay", "Quay"),
                ("Relay, 2m side", "Relay, 70cm side"),
                ("Relay, 70cm side", "Relay, 2m side"),
                ("Town", "Town"),
                ("Van", "Van"),
            ]
        );
    }

    #[test]
    fn a_watch_receiver_of_a_relaying_station_passes_nothing_on() {
        let plan = plan(
            "
sites:
  hill: {at: [54.4150, -0.5320]}
stations:
  - {name: Relay, site: hill, radio: dual-band-mobile, cross_band: [433.4500, 145.2250]}
  - {name: Ear, site: hill, radio: dual-band-mobile, uses: [{watch: 145.6500}, {talk: 433.5000}]}
",
        );
        let scene = Scene::build(&plan, None);
        let network = Network::of(&scene, None);
        let sides: Vec<(&str, bool)> = (network.hearers.iter())
            .filter(|one| one.radio.0 < 2)
            .map(|one| (one.name.as_str(), one.is_relay_side))
            .collect();
        assert_eq!(sides.iter().filter(|one| one.1).count(), 2);
        assert!(sides.iter().all(|one| one.1 == one.0.starts_with("Relay")));
    }

    #[test]
    fn a_listener_has_the_timing_of_its_own_radio() {
        let mut plan = plan(CROWDED);
        let town = plan
            .in_use
            .iter()
            .position(|one| one.name == "Town")
            .unwrap();
        let mut radio = (*plan.in_use[town].radio).clone();
        radio.timing.squelch_tail.value = 1_234;
        plan.in_use[town].radio = radio.into();
        if let Some(listener) = &mut plan.in_use[town].listener {
            let mut radio = (*listener.radio).clone();
            radio.timing.squelch_tail.value = 4_321;
            listener.radio = radio.into();
        }
        assert!(plan.in_use[town].listener.is_some());
        let scene = Scene::build(&plan, None);
        let network = Network::of(&scene, None);
        let tails = |name: &str| {
            let all = network
                .hearers
                .iter()
                .filter(|one| one.name.starts_with(name));
            let mut tails: Vec<u128> = all.map(|one| one.tail.as_millis()).collect();
            tails.dedup();
            tails
        };
        assert_eq!(tails("Town"), [1_234]);
        assert_eq!(tails("a listener to Town"), [4_321]);
    }

    fn cross_band(khz: [i64; 2]) -> Use {
        let legs = khz.map(|khz| crate::scenario::Channel {
            frequency: Frequency::hz(khz * 1_000),
            tone: None,
        });
        Use::CrossBand { legs }
    }

    /// What a search keeps of those who stand is no more than a way to save time.
    #[test]
    fn a_net_among_those_who_are_known_is_the_net_made_anew() {
        let plan = plan(&format!("{CROWDED}{TONES}"));
        let known = Network::of(&Scene::build(&plan, None), None);
        assert_ne!(known, Network::default());
        for station in 0..plan.stations.len() {
            let nowhere = cross_band([1, 1]);
            let trial = Trial::of(station, &nowhere);
            let standing = Network::of(&Scene::build(&plan, Some(trial)), Some(trial));
            // On channels that others are on, by the first leg and by the second, and on none.
            for khz in [
                [145_300, 434_000],
                [434_000, 145_700],
                [145_100, 434_000],
                [144_900, 434_100],
            ] {
                let what = cross_band(khz);
                let trial = Trial::of(station, &what);
                let scene = Scene::build(&plan, Some(trial));
                let among = Network::among(&standing, &scene, Some(trial));
                let anew = Network::of(&scene, Some(trial));
                assert!(anew.senders.standing() < anew.senders.len());
                assert_eq!(among, anew, "{khz:?}");
                let mut fewer = anew.clone();
                let _ = fewer.senders.on_trial().pop();
                assert_ne!(fewer, anew);
            }
        }
    }

    /// One with a radio that hears more than two channels, which also listens and talks elsewhere.
    #[test]
    fn of_a_station_that_does_more_than_relay_only_the_sides_of_the_relay_pass_on() {
        let mut plan = plan(CROWDED);
        for other in ["Packet", "Scout"] {
            let other = plan.stations.iter().find(|one| one.name == other).unwrap();
            let more = other.uses[0].clone();
            plan.stations[0].uses.push(more);
        }
        let scene = Scene::build(&plan, None);
        let network = Network::of(&scene, None);
        let of_relay = |one: &&Hearer| one.radio == RadioId(0);
        let hears = network.hearers.iter().filter(of_relay);
        let mut hears: Vec<(i64, bool)> = hears
            .map(|one| (one.frequency.as_hz(), one.is_relay_side))
            .collect();
        hears.sort_unstable();
        assert_eq!(
            hears,
            [
                (144_800_000, false),
                (145_225_000, true),
                (145_930_000, false),
                (433_450_000, true)
            ]
        );
    }

    /// A repeater without an input is none, and sends what is said of its output.
    #[test]
    fn who_only_sends_sends_the_tone_of_his_output() {
        let beacon = "  - {name: Beacon, output: 145.4750, erp: 25 W, at: [54.33, -0.43], output_tone: 94.8}\n";
        let plan = plan(&format!("{CROWDED}{beacon}"));
        let network = Network::of(&Scene::build(&plan, None), None);
        let mut all = network.senders.iter();
        let beacon = all.find(|one| one.name == "Beacon").unwrap();
        assert_eq!(
            (beacon.tone.map(Tone::as_tenths), beacon.is_relay_side),
            (Some(948), false)
        );
    }

    /// Channels are 12.5 kHz wide: half of that away one is still on it, on either side, and a hertz further not.
    #[test]
    fn who_is_on_a_channel_is_found_as_by_asking_every_two() {
        let others = [
            145_231_250,
            145_218_750,
            145_231_251,
            145_218_749,
            145_237_500,
            145_243_750,
        ];
        let others = others.iter().enumerate().map(|(index, hertz)| {
            let mhz = format!("{}.{:06}", hertz / 1_000_000, hertz % 1_000_000);
            format!(
                "  - {{name: Other {index}, frequency: {mhz}, erp: 25 W, at: [54.33, -0.43]}}\n"
            )
        });
        let plan = plan(&format!("{CROWDED}{}", others.collect::<String>()));
        let scene = Scene::build(&plan, None);
        let mut found: Vec<(usize, usize)> = on_one_channel(&scene)
            .map(|(sender, receiver)| (sender.0, receiver.0))
            .collect();
        found.sort_unstable();
        let (mut expected, mut edges) = (Vec::new(), 0);
        for (from, sender) in scene.transmitters.from(0) {
            for (to, receiver) in scene.receivers.from(0) {
                let width = receiver.figures.channel_spacing.as_hz();
                let off = (sender.frequency - receiver.frequency).abs().as_hz();
                if 2 * off <= width {
                    expected.push((from, to));
                }
                edges += usize::from(2 * off == width);
            }
        }
        assert_eq!(found, expected);
        assert!(edges > 3);
    }

    #[test]
    fn a_net_of_those_who_are_left_is_the_net_made_anew() {
        let all = plan(&format!("{CROWDED}{TONES}"));
        for gone in 0..all.stations.len() {
            let mut fewer = all.clone();
            fewer.stations[gone].uses.clear();
            let silent = &mut fewer.in_use[gone % all.in_use.len()];
            (silent.output, silent.input, silent.listener) = (None, None, None);
            let [was, scene] = [&all, &fewer].map(|plan| Scene::build(plan, None));
            let rest = Rest::of(&scene, &was).unwrap();
            let left = Network::left(&Network::of(&was, None), &rest, &scene, None);
            assert_eq!(left, Network::of(&scene, None));
            assert!(left.heard.iter().count() > 0);
        }
    }
}
