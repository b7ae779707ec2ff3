//! From the plan, with one thing under trial or none, to what is on the air.

use std::sync::Arc;

use super::activity::{Activity, Nets, Place, Traffic};
use super::{Mast, Owner, Receiver, Scene, Transmitter};
use crate::law::{Control, Purpose};
use crate::physics::noise::Surroundings;
use crate::provenance::{Origin, Sourced};
use crate::quantity::{Decibels, Emission, Frequency, Length, Level};
use crate::radio::{BandFigures, Profile};
use crate::scenario::{Antenna, Channel, InUse, Legs, Plan, Proposal, Station, Target, Use};

/// Something put to the plan, or a part of it.
#[derive(Debug, Clone, Copy)]
pub struct Trial<'a> {
    /// Index of the station it is for.
    pub station: usize,
    /// What that station would do; it takes the place of what the station does of the same kind.
    pub what: &'a Use,
    /// The legs that are in the scene. The frequency of an absent leg does not matter.
    pub present: Legs,
}

impl<'a> Trial<'a> {
    /// The whole of a proposal.
    pub fn whole(proposal: &'a Proposal) -> Self {
        Self::of(proposal.station, &proposal.what)
    }

    /// A use of a station with all its legs.
    pub fn of(station: usize, what: &'a Use) -> Self {
        let present = if matches!(what, Use::CrossBand { .. }) {
            Legs::BOTH
        } else {
            Legs::FIRST
        };
        Self {
            station,
            what,
            present,
        }
    }
}

impl<'plan> Scene<'plan> {
    /// Who is on the air and who listens, with the trial's present legs in place.
    pub fn build(plan: &'plan Plan, trial: Option<Trial<'_>>) -> Self {
        let mut builder = Builder {
            plan,
            trial,
            traffic: Traffic::default(),
            drafts: Vec::new(),
        };
        for (index, station) in plan.stations.iter().enumerate() {
            builder.add_station(index, station);
        }
        for (index, entry) in plan.in_use.iter().enumerate() {
            builder.add_in_use(index, entry);
        }
        builder.finish()
    }
}

/// A use before the nets are known.
struct Draft {
    unit: usize,
    side: usize,
    place: Place,
    frequency: Frequency,
    tone: Option<u32>,
    legs: Legs,
    kind: DraftKind,
}

enum DraftKind {
    /// A station of ours sends; whether it repeats (keyed by others) or talks.
    Sends {
        station: usize,
        purpose: Purpose,
        repeats: bool,
    },
    /// A station of ours listens.
    Listens {
        station: usize,
        repeats: bool,
        wanted: Option<Sourced<Level>>,
    },
    /// Somebody else's output; whether it is keyed through an input.
    TheirOutput { in_use: usize, repeats: bool },
    /// Somebody else's input.
    TheirInput { in_use: usize },
    /// Somebody who listens to their output.
    TheirListener { in_use: usize },
}

struct Builder<'plan, 'trial> {
    plan: &'plan Plan,
    trial: Option<Trial<'trial>>,
    traffic: Traffic,
    drafts: Vec<Draft>,
}

/// A channel with its place, and the leg under trial it rests on.
#[derive(Clone)]
struct Leg {
    channel: Channel,
    place: Place,
    legs: Legs,
}

impl Builder<'_, '_> {
    /// The uses of a station: those of the plan, with the trial in place of those of its kind.
    fn uses(&self, index: usize, station: &Station) -> Vec<(Use, bool)> {
        let trial = self.trial.filter(|trial| trial.station == index);
        let kept = station.uses.iter().map(|one| &one.what).filter(|what| {
            trial.is_none_or(|trial| {
                std::mem::discriminant(trial.what) != std::mem::discriminant(what)
            })
        });
        let mut uses: Vec<(Use, bool)> = kept.map(|what| (what.clone(), false)).collect();
        uses.extend(trial.map(|trial| (trial.what.clone(), true)));
        uses
    }

    /// The two legs of a relaying station, if it relays in this scene.
    fn relay_legs(&self, index: usize) -> Option<[Leg; 2]> {
        let station = self.plan.stations.get(index)?;
        self.uses(index, station)
            .into_iter()
            .find_map(|(what, is_trial)| match what {
                Use::CrossBand { legs } => Some(self.legs_of(legs, is_trial)),
                _ => None,
            })
    }

    fn legs_of(&self, channels: [Channel; 2], is_trial: bool) -> [Leg; 2] {
        let mut index = 0;
        channels.map(|channel| {
            let leg = self.leg(channel, is_trial.then_some(index));
            index += 1;
            leg
        })
    }

    /// A channel of ours, with the leg of the trial it is.
    fn leg(&self, channel: Channel, trial_leg: Option<usize>) -> Leg {
        let here = Place::Channel(channel.frequency.as_hz());
        match trial_leg {
            None => Leg {
                channel,
                place: here,
                legs: Legs::NONE,
            },
            Some(index) => {
                let is_present = self
                    .trial
                    .is_some_and(|trial| trial.present.holds(Legs::of(index)));
                let is_shared = is_present && self.is_planned(channel.frequency);
                let place = if is_shared { here } else { Place::Leg(index) };
                Leg {
                    channel,
                    place,
                    legs: Legs::of(index),
                }
            }
        }
    }

    /// Whether the plan without the trial already talks on this very frequency.
    fn is_planned(&self, frequency: Frequency) -> bool {
        self.plan
            .stations
            .iter()
            .enumerate()
            .any(|(index, station)| {
                self.uses(index, station)
                    .iter()
                    .filter(|(_, is_trial)| !is_trial)
                    .any(|(what, _)| match what {
                        Use::Talk {
                            transmit, receive, ..
                        } => transmit.frequency == frequency || receive.frequency == frequency,
                        Use::CrossBand { legs } => {
                            legs.iter().any(|leg| leg.frequency == frequency)
                        }
                        Use::Watch { .. } | Use::Via { .. } => false,
                    })
            })
    }

    fn is_present(&self, legs: Legs) -> bool {
        legs.is_none() || self.trial.is_some_and(|trial| trial.present.holds(legs))
    }

    fn add_station(&mut self, index: usize, station: &Station) {
        for (side, (what, is_trial)) in self.uses(index, station).into_iter().enumerate() {
            match what {
                Use::Talk {
                    transmit,
                    receive,
                    purpose,
                } => {
                    let sent = self.leg(transmit, is_trial.then_some(0));
                    let heard = self.leg(receive, is_trial.then_some(0));
                    self.talker(index, 2 * side, purpose, &sent, &heard);
                }
                Use::Watch { channel, wanted } => {
                    let place = self.watched(channel.frequency);
                    let legs = if is_trial { Legs::FIRST } else { Legs::NONE };
                    self.listener(
                        index,
                        2 * side,
                        &Leg {
                            channel,
                            place,
                            legs,
                        },
                        false,
                        wanted,
                    );
                }
                Use::CrossBand { legs } => {
                    let [first, second] = self.legs_of(legs, is_trial);
                    self.traffic.repeats(first.place, second.place);
                    self.traffic.repeats(second.place, first.place);
                    for (half, leg) in [&first, &second].into_iter().enumerate() {
                        self.sender(index, 2 * side + half, Purpose::CrossBandRelay, leg, true);
                        self.listener(index, 2 * side + half, leg, true, None);
                    }
                }
                Use::Via {
                    target:
                        Target::Relay {
                            station: relay,
                            leg,
                        },
                } => {
                    let through = self
                        .relay_legs(relay)
                        .and_then(|legs| legs.get(leg).cloned());
                    if let Some(leg) = through {
                        self.talker(index, 2 * side, Purpose::CrossBandRelay, &leg, &leg);
                    }
                }
                Use::Via {
                    target: Target::Repeater { in_use },
                } => {
                    if let Some((sent, heard)) = self.through_repeater(in_use) {
                        self.talker(index, 2 * side, Purpose::RepeaterInput, &sent, &heard);
                    }
                }
            }
        }
    }

    /// Where a watched frequency is heard: the output of whoever has it, or one of our own channels.
    fn watched(&self, frequency: Frequency) -> Place {
        let theirs = self
            .plan
            .in_use
            .iter()
            .position(|entry| entry.output == Some(frequency));
        theirs.map_or(Place::Channel(frequency.as_hz()), Place::Output)
    }

    fn through_repeater(&self, in_use: usize) -> Option<(Leg, Leg)> {
        let entry = self.plan.in_use.get(in_use)?;
        let channel = |frequency| Channel {
            frequency,
            tone: entry.tone,
        };
        let leg = |frequency, place| Leg {
            channel: channel(frequency),
            place,
            legs: Legs::NONE,
        };
        let output = entry.output?;
        let input = if entry.is_simplex {
            Place::Output(in_use)
        } else {
            Place::Input(in_use)
        };
        Some((
            leg(entry.input.unwrap_or(output), input),
            leg(output, Place::Output(in_use)),
        ))
    }

    fn talker(&mut self, station: usize, side: usize, purpose: Purpose, sent: &Leg, heard: &Leg) {
        self.traffic.talks(sent.place, station);
        self.sender(station, side, purpose, sent, false);
        self.listener(station, side, heard, false, None);
    }

    fn sender(&mut self, station: usize, side: usize, purpose: Purpose, leg: &Leg, repeats: bool) {
        self.draft(
            station,
            side,
            leg,
            DraftKind::Sends {
                station,
                purpose,
                repeats,
            },
        );
    }

    fn listener(
        &mut self,
        station: usize,
        side: usize,
        leg: &Leg,
        repeats: bool,
        wanted: Option<Sourced<Level>>,
    ) {
        self.draft(
            station,
            side,
            leg,
            DraftKind::Listens {
                station,
                repeats,
                wanted,
            },
        );
    }

    fn draft(&mut self, unit: usize, side: usize, leg: &Leg, kind: DraftKind) {
        if self.is_present(leg.legs) {
            let Leg {
                channel,
                place,
                legs,
            } = leg.clone();
            self.drafts.push(Draft {
                unit,
                side,
                place,
                frequency: channel.frequency,
                tone: channel.tone,
                legs,
                kind,
            });
        }
    }

    fn add_in_use(&mut self, index: usize, entry: &InUse) {
        let unit = self.plan.stations.len() + index;
        let input_place = if entry.is_simplex {
            Place::Output(index)
        } else {
            Place::Input(index)
        };
        let leg = |frequency, place| Leg {
            channel: Channel {
                frequency,
                tone: entry.tone,
            },
            place,
            legs: Legs::NONE,
        };
        let repeats = !entry.is_simplex && entry.input.is_some() && entry.output.is_some();
        if repeats {
            self.traffic.repeats(input_place, Place::Output(index));
        } else if entry.output.is_some() {
            self.traffic.talks(Place::Output(index), unit);
        }
        if let Some(output) = entry.output {
            self.draft(
                unit,
                0,
                &leg(output, Place::Output(index)),
                DraftKind::TheirOutput {
                    in_use: index,
                    repeats,
                },
            );
            if entry.listener.is_some() {
                let heard = leg(output, Place::Output(index));
                // A listener is a box of its own, beyond those of the stations and of the entries.
                let own_unit = self.plan.stations.len() + self.plan.in_use.len() + index;
                self.draft(
                    own_unit,
                    0,
                    &heard,
                    DraftKind::TheirListener { in_use: index },
                );
            }
        }
        if let Some(input) = entry.input {
            self.draft(
                unit,
                0,
                &leg(input, input_place),
                DraftKind::TheirInput { in_use: index },
            );
        }
    }
}

impl<'plan> Builder<'plan, '_> {
    fn finish(self) -> Scene<'plan> {
        let nets = self.traffic.nets();
        let plan = self.plan;
        let mut scene = Scene {
            plan,
            masts: masts(plan),
            transmitters: Vec::new(),
            receivers: Vec::new(),
        };
        for draft in self.drafts {
            place(plan, &nets, draft, &mut scene);
        }
        scene
    }
}

/// Antennas in a fixed order: our stations, their stations, their listeners.
fn masts(plan: &Plan) -> Vec<Mast> {
    let ours = plan.stations.iter().map(|station| {
        let site = plan.sites.get(station.site);
        Mast {
            site: Some(station.site),
            position: site.and_then(|site| site.position),
            distance: None,
            antenna: station.antenna.clone(),
            ground: site.map_or(Length::metres(0.0), |site| site.ground.value),
            filters: station.filters.clone(),
        }
    });
    let theirs = plan.in_use.iter().map(|entry| Mast {
        site: None,
        position: entry.position,
        distance: entry.position.is_none().then(|| entry.distance.clone()),
        antenna: usual_antenna(&entry.radio, Some(&entry.height)),
        ground: entry.ground.value,
        filters: Vec::new(),
    });
    let listeners = plan.in_use.iter().map(|entry| {
        let radio = entry
            .listener
            .as_ref()
            .map_or(&entry.radio, |listener| &listener.radio);
        let nearest = entry
            .listener
            .as_ref()
            .map_or(&entry.distance, |listener| &listener.nearest);
        Mast {
            site: None,
            position: None,
            distance: Some(nearest.clone()),
            antenna: usual_antenna(radio, None),
            ground: entry.ground.value,
            filters: Vec::new(),
        }
    });
    ours.chain(theirs).chain(listeners).collect()
}

/// The antenna a radio usually has.
fn usual_antenna(radio: &Profile, height: Option<&Sourced<Length>>) -> Antenna {
    Antenna {
        height: height.unwrap_or(&radio.antenna_height).clone(),
        offset: (Length::metres(0.0), Length::metres(0.0)),
        gains: Vec::new(),
        gain: radio.antenna_gain.clone(),
        feeder: radio.feeder_loss.clone(),
        beam: None,
    }
}

/// Turns a draft into a transmitter or a receiver; one that its radio does not cover is left out, since the scenario
/// has refused it for our own stations.
fn place(plan: &Plan, nets: &Nets, draft: Draft, scene: &mut Scene<'_>) {
    match &draft.kind {
        DraftKind::Sends {
            station: index,
            purpose,
            repeats,
        } => {
            let Some(station) = plan.stations.get(*index) else {
                return;
            };
            let Some((band, figures)) = band_of(&station.radio, draft.frequency, |band| {
                band.transmitter.as_ref()
            }) else {
                return;
            };
            let activity = if *repeats {
                nets.repeating(draft.place, &station.windows)
            } else {
                nets.talking(draft.place, *index, &station.windows)
            };
            scene.transmitters.push(Transmitter {
                name: side_name(station, band),
                owner: Owner::Station(*index),
                unit: draft.unit,
                side: draft.side,
                frequency: draft.frequency,
                tone: draft.tone,
                emission: station.emission.clone(),
                power: station_power(station, figures),
                figures: Arc::new(figures.clone()),
                mast: *index,
                purpose: *purpose,
                control: station.control.value,
                legs: draft.legs,
                activity,
            });
        }
        DraftKind::Listens {
            station: index,
            repeats,
            wanted,
        } => {
            let Some(station) = plan.stations.get(*index) else {
                return;
            };
            let site = plan.sites.get(station.site);
            let noise = site.map(|site| site.noise.clone());
            let windows = &station.windows;
            let listening = Listening {
                name: station.name.clone(),
                owner: Owner::Station(*index),
                radio: &station.radio,
                mast: *index,
                wanted: wanted.clone(),
                activity: nets.listening(draft.place, Some(*index), *repeats, windows),
            };
            scene
                .receivers
                .extend(noise.and_then(|noise| listening.receiver(&draft, noise, None)));
        }
        DraftKind::TheirOutput {
            in_use: index,
            repeats,
        } => {
            let Some(entry) = plan.in_use.get(*index) else {
                return;
            };
            let activity = if *repeats {
                nets.repeating(draft.place, &entry.windows)
            } else {
                nets.talking(draft.place, draft.unit, &entry.windows)
            };
            scene
                .transmitters
                .extend(their_transmitter(plan, *index, entry, &draft, activity));
        }
        DraftKind::TheirInput { in_use: index } => {
            let Some(entry) = plan.in_use.get(*index) else {
                return;
            };
            let listening = Listening {
                name: entry.name.clone(),
                owner: Owner::InUse(*index),
                radio: &entry.radio,
                mast: plan.stations.len() + index,
                wanted: entry.wanted.clone(),
                activity: nets.listening(draft.place, Some(draft.unit), false, &entry.windows),
            };
            scene.receivers.extend(listening.receiver(
                &draft,
                plan.settings.noise.clone(),
                protection(plan, entry),
            ));
        }
        DraftKind::TheirListener { in_use: index } => {
            let Some(entry) = plan.in_use.get(*index) else {
                return;
            };
            let Some(listener) = &entry.listener else {
                return;
            };
            let listening = Listening {
                name: format!("{}, a listener", entry.name),
                owner: Owner::InUse(*index),
                radio: &listener.radio,
                mast: plan.stations.len() + plan.in_use.len() + index,
                wanted: None,
                activity: nets.listening(draft.place, None, false, &entry.windows),
            };
            scene.receivers.extend(listening.receiver(
                &draft,
                plan.settings.noise.clone(),
                protection(plan, entry),
            ));
        }
    }
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
            tone: draft.tone,
            figures: Arc::new(figures.clone()),
            mast: self.mast,
            noise,
            wanted: self.wanted,
            safety,
            hears_while_sending: self.radio.hears_while_sending.value,
            is_duplex: self.radio.is_duplex.value,
            isolation: self.radio.isolation.clone(),
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

/// Figures that hold over a span.
trait Tuned {
    fn covers(&self, frequency: Frequency) -> bool;
}

impl Tuned for crate::radio::TransmitterFigures {
    fn covers(&self, frequency: Frequency) -> bool {
        self.span.contains(frequency)
    }
}

impl Tuned for crate::radio::ReceiverFigures {
    fn covers(&self, frequency: Frequency) -> bool {
        self.span.contains(frequency)
    }
}

/// Power at the socket: what the scenario states, or the step it names, or the usual step.
fn station_power(station: &Station, figures: &crate::radio::TransmitterFigures) -> Sourced<Level> {
    if let Some(power) = &station.power {
        return power.clone().map(crate::quantity::Power::level);
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
        |step| step.power.clone().map(crate::quantity::Power::level),
    )
}

/// Somebody else's transmitter: the power at its socket is what gives the radiated power that is known.
fn their_transmitter(
    plan: &Plan,
    index: usize,
    entry: &InUse,
    draft: &Draft,
    activity: Activity,
) -> Option<Transmitter> {
    let (_, figures) = band_of(&entry.radio, draft.frequency, |band| {
        band.transmitter.as_ref()
    })?;
    let antenna = usual_antenna(&entry.radio, None);
    let at_socket = entry.eirp.value.level() - antenna.gain.value + antenna.feeder.value;
    Some(Transmitter {
        name: entry.name.clone(),
        owner: Owner::InUse(index),
        unit: draft.unit,
        side: draft.side,
        frequency: draft.frequency,
        tone: draft.tone,
        emission: Sourced::<Emission>::clone(&entry.emission),
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
        activity,
    })
}
