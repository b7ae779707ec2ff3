//! From drafts of uses to transmitters, receivers and antennas.

use std::sync::Arc;

use super::activity::{Activity, Nets};
use super::build::{Draft, DraftKind};
use super::{Mast, Outlook, Owner, Reach, Receiver, Scene, Transmitter};
use crate::budget::Total;
use crate::law::{Control, Purpose};
use crate::physics::noise::Surroundings;
use crate::provenance::{Origin, Sourced};
use crate::quantity::{Decibels, Frequency, Length, Level, Power};
use crate::radio::{BandFigures, Profile, ReceiverFigures, TransmitterFigures};
use crate::scenario::{Antenna, InUse, Legs, Plan, Station, Window};

/// Antennas in a fixed order: our stations, their stations, then near each site of ours
/// their listeners and the services that are protected anywhere.
pub(super) fn masts(plan: &Plan) -> Vec<Mast> {
    let ours = plan.stations.iter().map(|station| {
        let site = plan.sites.get(station.site);
        Mast {
            site: Some(station.site),
            position: site.and_then(|site| site.position),
            spot: None,
            distance: None,
            near: None,
            antenna: station.antenna.clone(),
            ground: site.map_or(Length::metres(0.0), |site| site.ground.value),
            filters: station.filters.clone(),
        }
    });
    let theirs = plan.in_use.iter().map(|entry| Mast {
        site: None,
        position: entry.position,
        spot: None,
        distance: entry.position.is_none().then(|| entry.distance.clone()),
        near: None,
        antenna: usual_antenna(&entry.radio, Some(&entry.height)),
        ground: entry.ground.value,
        filters: Vec::new(),
    });
    let listeners = plan.in_use.iter().map(|entry| match &entry.listener {
        Some(listener) => (&listener.radio, &listener.nearest),
        None => (&entry.radio, &entry.distance),
    });
    let guarded = plan
        .guarded
        .iter()
        .map(|service| (&service.radio, &service.nearest));
    let roaming: Vec<Mast> = listeners
        .chain(guarded)
        .flat_map(|(radio, nearest)| {
            (0..plan.sites.len()).map(move |site| beside(plan, site, radio, nearest))
        })
        .collect();
    ours.chain(theirs).chain(roaming).collect()
}

/// The antenna of somebody whose place nobody knows, as near to one of our sites as must be reckoned with.
fn beside(plan: &Plan, site: usize, radio: &Profile, nearest: &Sourced<Length>) -> Mast {
    let there = plan.sites.get(site);
    Mast {
        site: None,
        position: there.and_then(|site| site.position),
        spot: None,
        distance: Some(nearest.clone()),
        near: Some(site),
        antenna: usual_antenna(radio, None),
        ground: there.map_or(Length::metres(0.0), |site| site.ground.value),
        filters: Vec::new(),
    }
}

/// The place of a roaming antenna among the masts: of the listeners first, then of the protected services.
fn roaming_mast(plan: &Plan, number: usize, site: usize) -> usize {
    plan.stations.len() + plan.in_use.len() + number * plan.sites.len() + site
}
/// When one of our stations is on the air: its own times, or else the whole event.
fn on_air(plan: &Plan, station: &Station) -> Vec<Window> {
    if station.windows.is_empty() {
        plan.event.window.into_iter().collect()
    } else {
        station.windows.clone()
    }
}

/// The antenna a radio usually has.
fn usual_antenna(radio: &Profile, height: Option<&Sourced<Length>>) -> Antenna {
    Antenna {
        height: height.unwrap_or(&radio.antenna_height).clone(),
        offset: None,
        gains: Vec::new(),
        gain: radio.antenna_gain.clone(),
        feeder: radio.feeder_loss.clone(),
        beam: None,
    }
}

/// Transmitters and receivers made of drafts.
#[derive(Debug, Default)]
pub(super) struct Settled {
    pub(super) transmitters: Vec<Transmitter>,
    pub(super) receivers: Vec<Receiver>,
}

impl Settled {
    /// Turns a draft into a transmitter or a receiver; one that its radio does not cover is left out, since the scenario
    /// has refused it for our own stations.
    pub(super) fn settle(&mut self, plan: &Plan, nets: &Nets, draft: &Draft) {
        match &draft.kind {
            DraftKind::Sends { .. } => self.transmitters.extend(our_transmitter(plan, nets, draft)),
            DraftKind::TheirOutput { .. } => {
                self.transmitters
                    .extend(their_transmitter(plan, nets, draft));
            }
            DraftKind::Listens { .. } => self.receivers.extend(our_receiver(plan, nets, draft)),
            DraftKind::TheirInput { .. } => {
                self.receivers.extend(their_receiver(plan, nets, draft));
            }
            DraftKind::TheirListener { .. } => self.receivers.extend(
                (0..plan.sites.len()).filter_map(|site| their_listener(plan, nets, draft, site)),
            ),
        }
    }
}

fn our_transmitter(plan: &Plan, nets: &Nets, draft: &Draft) -> Option<Transmitter> {
    let DraftKind::Sends {
        station: index,
        purpose,
        repeats,
    } = draft.kind
    else {
        return None;
    };
    let station = plan.stations.get(index)?;
    let (band, figures) = band_of(&station.radio, draft.frequency, |band| {
        band.transmitter.as_ref()
    })?;
    Some(Transmitter {
        name: side_name(station, band),
        owner: Owner::Station(index),
        unit: draft.unit,
        side: draft.side,
        frequency: draft.frequency,
        tone: draft.tone,
        emission: station.emission.clone(),
        power: station_power(station, figures),
        figures: Arc::new(figures.clone()),
        mast: index,
        purpose,
        control: station.control.value,
        legs: draft.legs,
        activity: if repeats {
            nets.repeating(draft.place, &on_air(plan, station))
        } else {
            nets.talking(draft.place, index, &on_air(plan, station))
        },
    })
}

/// The power at the socket of somebody else's transmitter.
fn at_socket(entry: &InUse) -> Level {
    let antenna = usual_antenna(&entry.radio, None);
    entry.eirp.value.level() - antenna.gain.value + antenna.feeder.value
}

/// What of somebody else's output arrives at one of our stations on the cautious path.
pub(super) fn their_level_at(
    scene: &Scene<'_>,
    in_use: usize,
    station: usize,
    frequency: Frequency,
) -> Level {
    let plan = scene.plan;
    let Some(entry) = plan.in_use.get(in_use) else {
        return Level::dbm(f64::NEG_INFINITY);
    };
    let from = Reach {
        unit: plan.stations.len() + in_use,
        mast: plan.stations.len() + in_use,
    };
    let to = Reach {
        unit: station,
        mast: station,
    };
    let mut way = Total::default();
    scene.over(from, to, frequency, Outlook::Cautious, &mut way);
    at_socket(entry) + way.ratio()
}

/// Somebody else's transmitter: the power at its socket is what gives the radiated power that is known.
fn their_transmitter(plan: &Plan, nets: &Nets, draft: &Draft) -> Option<Transmitter> {
    let DraftKind::TheirOutput {
        in_use: index,
        repeats,
    } = draft.kind
    else {
        return None;
    };
    let entry = plan.in_use.get(index)?;
    let figures = sending_near(&entry.radio, draft.frequency)?;
    let at_socket = at_socket(entry);
    Some(Transmitter {
        name: entry.name.clone(),
        owner: Owner::InUse(index),
        unit: draft.unit,
        side: draft.side,
        frequency: draft.frequency,
        tone: draft.tone,
        emission: entry.emission.clone(),
        power: Sourced::new(at_socket, entry.eirp.origin.clone()),
        figures: Arc::new(figures.clone()),
        mast: plan.stations.len() + index,
        purpose: if entry.is_simplex {
            Purpose::Simplex
        } else {
            Purpose::RepeaterOutput
        },
        control: Control::Automatic,
        legs: draft.legs,
        activity: if repeats {
            nets.repeating(draft.place, &entry.windows)
        } else {
            nets.talking(draft.place, draft.unit, &entry.windows)
        },
    })
}

fn our_receiver(plan: &Plan, nets: &Nets, draft: &Draft) -> Option<Receiver> {
    let DraftKind::Listens {
        station: index,
        repeats,
        wanted,
    } = &draft.kind
    else {
        return None;
    };
    let station = plan.stations.get(*index)?;
    let noise = plan.sites.get(station.site)?.noise.clone();
    Listening {
        name: station.name.clone(),
        owner: Owner::Station(*index),
        radio: &station.radio,
        mast: *index,
        feeder: station.antenna.feeder.value,
        wanted: wanted.clone(),
        activity: nets.listening(draft.place, Some(*index), *repeats, &on_air(plan, station)),
    }
    .receiver(draft, noise, None)
}

fn their_receiver(plan: &Plan, nets: &Nets, draft: &Draft) -> Option<Receiver> {
    let DraftKind::TheirInput { in_use: index } = draft.kind else {
        return None;
    };
    let entry = plan.in_use.get(index)?;
    Listening {
        name: entry.name.clone(),
        owner: Owner::InUse(index),
        radio: &entry.radio,
        mast: plan.stations.len() + index,
        feeder: entry.radio.feeder_loss.value,
        wanted: entry.wanted.clone(),
        activity: nets.listening(draft.place, Some(draft.unit), false, &entry.windows),
    }
    .receiver(draft, plan.settings.noise.clone(), protection(plan, entry))
}

fn their_listener(plan: &Plan, nets: &Nets, draft: &Draft, site: usize) -> Option<Receiver> {
    let DraftKind::TheirListener { in_use: index } = draft.kind else {
        return None;
    };
    let entry = plan.in_use.get(index)?;
    Listening {
        name: format!(
            "a listener to {} near {}",
            entry.name,
            site_name(plan, site)
        ),
        owner: Owner::InUse(index),
        radio: &entry.listener.as_ref()?.radio,
        mast: roaming_mast(plan, index, site),
        feeder: entry.listener.as_ref()?.radio.feeder_loss.value,
        wanted: None,
        activity: nets.listening(draft.place, None, false, &entry.windows),
    }
    .receiver(draft, plan.settings.noise.clone(), protection(plan, entry))
}

/// A receiver of a service that is protected wherever one is: it may be tuned anywhere in its stretch.
pub(super) fn guard(plan: &Plan, index: usize, site: usize) -> Option<Receiver> {
    let service = plan.guarded.get(index)?;
    let middle = Frequency::hz(service.span.low.as_hz() + service.span.width().as_hz() / 2);
    let (_, figures) = band_of(&service.radio, middle, |band| band.receiver.as_ref())?;
    let name = format!("{} near {}", service.name, site_name(plan, site));
    Some(Receiver {
        station: name.clone(),
        name,
        part: "receiver".to_owned(),
        owner: Owner::Protected(index),
        unit: plan.stations.len() + 2 * plan.in_use.len() + index,
        side: 0,
        frequency: middle,
        // A stretch of a channel or so is that channel.
        anywhere_in: Some(service.span)
            .filter(|span| span.width().as_hz() > 4 * figures.bandwidth.as_hz()),
        tone: None,
        figures: Arc::new(figures.clone()),
        mast: roaming_mast(plan, plan.in_use.len() + index, site),
        feeder: service.radio.feeder_loss.value,
        noise: plan.settings.noise.clone(),
        wanted: None,
        safety: service.extra.clone(),
        hears_while_sending: true,
        is_duplex: false,
        isolation: service.radio.isolation.clone(),
        reference: service.radio.reference.clone(),
        legs: Legs::NONE,
        activity: Activity::always(&[]),
    })
}

fn site_name(plan: &Plan, site: usize) -> &str {
    plan.sites.get(site).map_or("", |site| site.name.as_str())
}

/// The extra protection of a safety service.
fn protection(plan: &Plan, entry: &InUse) -> Option<Sourced<Decibels>> {
    entry.is_safety.then(|| plan.settings.safety.clone())
}

/// A receiver as far as it is known before its draft is looked at.
struct Listening<'a> {
    name: String,
    owner: Owner,
    radio: &'a Profile,
    mast: usize,
    feeder: Decibels,
    wanted: Option<Sourced<Level>>,
    activity: Activity,
}

impl Listening<'_> {
    fn receiver(
        self,
        draft: &Draft,
        noise: Sourced<Surroundings>,
        safety: Option<Sourced<Decibels>>,
    ) -> Option<Receiver> {
        let (band, figures) = band_of(self.radio, draft.frequency, |band| band.receiver.as_ref())?;
        let part = part_name(self.owner, band);
        Some(Receiver {
            name: if self.owner.is_ours() {
                format!("{}, {part}", self.name)
            } else {
                self.name.clone()
            },
            station: self.name,
            part,
            owner: self.owner,
            unit: draft.unit,
            side: draft.side,
            frequency: draft.frequency,
            anywhere_in: None,
            tone: draft.tone,
            figures: Arc::new(figures.clone()),
            mast: self.mast,
            feeder: self.feeder,
            noise,
            wanted: self.wanted,
            safety,
            hears_while_sending: self.radio.hears_while_sending.value,
            is_duplex: self.radio.is_duplex.value,
            isolation: self.radio.isolation.clone(),
            reference: self.radio.reference.clone(),
            legs: draft.legs,
            activity: self.activity,
        })
    }
}

fn part_name(owner: Owner, band: &BandFigures) -> String {
    match owner {
        Owner::Station(_) => format!("{} side", band.name),
        Owner::InUse(_) | Owner::Protected(_) => "receiver".to_owned(),
    }
}

fn side_name(station: &Station, band: &BandFigures) -> String {
    let is_single = station
        .radio
        .bands
        .iter()
        .filter(|band| band.transmitter.is_some())
        .count()
        == 1;
    if is_single {
        station.name.clone()
    } else {
        format!("{}, {} side", station.name, band.name)
    }
}

/// The band of a radio that covers a frequency, with the figures wanted of it.
fn band_of<'a, T>(
    radio: &'a Profile,
    frequency: Frequency,
    figures: impl Fn(&'a BandFigures) -> Option<&'a T>,
) -> Option<(&'a BandFigures, &'a T)>
where
    T: Tuned,
{
    radio
        .bands
        .iter()
        .filter_map(|band| figures(band).map(|figures| (band, figures)))
        .find(|(_, figures)| figures.covers(frequency))
}

/// A radio's figures as a transmitter where they hold, or else those of its nearest band: who is on the air is heard,
/// whatever is known of the set.
fn sending_near(radio: &Profile, frequency: Frequency) -> Option<&TransmitterFigures> {
    let senders = radio
        .bands
        .iter()
        .filter_map(|band| band.transmitter.as_ref());
    senders.min_by_key(|figures| {
        let below = (figures.span.low - frequency).as_hz().max(0);
        let above = (frequency - figures.span.high).as_hz().max(0);
        below.max(above)
    })
}

/// Figures that hold over a span.
trait Tuned {
    fn covers(&self, frequency: Frequency) -> bool;
}

impl Tuned for TransmitterFigures {
    fn covers(&self, frequency: Frequency) -> bool {
        self.span.contains(frequency)
    }
}

impl Tuned for ReceiverFigures {
    fn covers(&self, frequency: Frequency) -> bool {
        self.span.contains(frequency)
    }
}

/// Power at the socket: what the scenario states, or the step it names, or the usual step.
fn station_power(station: &Station, figures: &TransmitterFigures) -> Sourced<Level> {
    if let Some(power) = &station.power {
        return power.clone().map(Power::level);
    }
    let wanted = station
        .step
        .as_ref()
        .map_or(&figures.usual_step, |step| &step.value);
    let step = figures
        .steps
        .iter()
        .find(|step| &step.name == wanted)
        .or_else(|| figures.steps.first());
    step.map_or_else(
        || {
            Sourced::new(
                Level::dbm(f64::NEG_INFINITY),
                Origin::Said(Arc::from("no power step")),
            )
        },
        |step| step.power.clone().map(Power::level),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Bandwidth, Span};
    use crate::scene::sample::{CROWDED, plan};

    #[test]
    fn who_listens_to_a_safety_service_is_protected_further_and_nobody_else() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let mut safe = 0;
        for receiver in scene.receivers.iter() {
            let is_safe = match receiver.owner {
                Owner::InUse(index) => plan.in_use[index].is_safety,
                Owner::Station(_) => false,
                Owner::Protected(index) => plan.guarded[index].extra.is_some(),
            };
            assert_eq!(receiver.safety.is_some(), is_safe, "{}", receiver.name);
            if let (Owner::InUse(_), Some(extra)) = (receiver.owner, &receiver.safety) {
                assert_eq!(extra.value, plan.settings.safety.value);
                safe += 1;
            }
        }
        assert!(safe > 0);
    }

    #[test]
    fn a_service_that_is_guarded_in_more_than_four_channels_may_be_on_any_of_them() {
        let mut plan = plan(CROWDED);
        let low = plan.guarded[0].span.low;
        let middle = |plan: &Plan| guard(plan, 0, 0).unwrap();
        let channel = middle(&plan).figures.bandwidth.as_hz();
        for (width, is_anywhere) in [(4 * channel, false), (4 * channel + 2, true)] {
            let span = Span::between(low, low + Bandwidth::hz(2 * width).half());
            plan.guarded[0].span = span;
            let receiver = middle(&plan);
            assert_eq!(receiver.frequency, Frequency::hz(low.as_hz() + width / 2));
            assert_eq!(receiver.anywhere_in, is_anywhere.then_some(span), "{width}");
        }
    }

    #[test]
    fn what_arrives_of_a_repeater_is_what_it_radiates_less_the_cautious_path() {
        // Of the same power, one is ten times as far away.
        let text = CROWDED.replace(
            "in_use:\n",
            "in_use:\n  - {name: Far, output: 145.6500, input: 145.0500, erp: 25 W, at: [54.0, -0.53], antenna: 30 m}\n",
        );
        let plan = plan(&text);
        let scene = Scene::build(&plan, None);
        let place = |name: &str| plan.in_use.iter().position(|one| one.name == name).unwrap();
        let at = |name: &str| their_level_at(&scene, place(name), 0, Frequency::hz(145_650_000));
        let (near, far) = (at("Town"), at("Far"));
        assert!(far < near && near < Level::dbm(-20.0), "{far} {near}");
        let socket = at_socket(&plan.in_use[place("Town")]);
        let mut way = Total::default();
        let town = scene
            .transmitters
            .iter()
            .position(|one| one.name == "Town")
            .unwrap();
        let from = scene.reach_of_transmitter(town).unwrap();
        let to = Reach { unit: 0, mast: 0 };
        scene.over(
            from,
            to,
            Frequency::hz(145_650_000),
            Outlook::Cautious,
            &mut way,
        );
        assert!(way.ratio() < Decibels::ZERO);
        assert!((near - socket - way.ratio()).as_db().abs() < 1e-9);
    }

    #[test]
    fn a_guarded_receiver_shares_its_box_with_nobody() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        assert!(!plan.guarded.is_empty());
        for receiver in scene.receivers.iter() {
            let Owner::Protected(index) = receiver.owner else {
                continue;
            };
            assert!(
                scene
                    .transmitters
                    .iter()
                    .all(|one| one.unit != receiver.unit)
            );
            let others = scene
                .receivers
                .iter()
                .filter(|one| one.unit == receiver.unit);
            for other in others {
                assert_eq!(other.owner, Owner::Protected(index));
            }
        }
    }

    /// Ours by station, others once as those who send and once as those who listen to them, and those who are protected.
    #[test]
    fn nobody_shares_a_box_with_somebody_else() {
        let text = "
sites:
  hill: {at: [54.4150, -0.5320], ground: 118 m}
stations:
  - {name: Ear, site: hill, radio: mobile-2m, watch: 145.6500}
  - {name: Relay, site: hill, radio: dual-band-mobile, cross_band: [433.4500, 145.2250]}
in_use:
  - {name: Town, output: 145.6500, input: 145.0500, erp: 25 W, at: [54.33, -0.43], listeners: {nearest: 4 km}}
  - {name: Village, output: 145.7000, input: 145.1000, erp: 25 W, at: [54.34, -0.43], listeners: {nearest: 4 km}}
  - {name: Coast, output: 433.2250, input: 434.8250, erp: 25 W, at: [54.35, -0.43], listeners: {nearest: 4 km}}
  - {name: Harbour, frequency: 156.6000, service: marine, erp: 25 W, at: [54.36, -0.43]}
";
        let plan = plan(text);
        let scene = Scene::build(&plan, None);
        let mut owners: std::collections::BTreeMap<usize, Vec<String>> =
            std::collections::BTreeMap::new();
        let senders = scene.transmitters.iter();
        let senders = senders.map(|one| (one.unit, format!("{:?}", one.owner)));
        let hearers = scene.receivers.iter();
        let hearers = hearers.map(|one| (one.unit, format!("{:?}", one.owner)));
        for (unit, owner) in senders.chain(hearers) {
            let known = owners.entry(unit).or_default();
            if !known.contains(&owner) {
                known.push(owner);
            }
        }
        assert!(owners.len() > 9, "{owners:?}");
        assert!(
            owners.values().all(|owners| owners.len() == 1),
            "{owners:?}"
        );
    }
}
