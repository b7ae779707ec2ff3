//! From the plan, with one thing under trial or none, to what is on the air.

use super::activity::{Place, Traffic};
use super::settle::their_level_at;
use super::{Common, Ground, Scene};
use crate::law::Purpose;
use crate::provenance::Sourced;
use crate::quantity::{Frequency, Level};
use crate::scenario::{Channel, Choosing, InUse, Legs, Plan, Proposal, Station, Target, Use};

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
        Self::on(&Ground::of(plan), plan, trial)
    }

    /// The same on the ground of the plan, which all its scenes may share.
    pub fn on(ground: &Ground, plan: &'plan Plan, trial: Option<Trial<'_>>) -> Self {
        Common::built(ground, plan, trial).whole()
    }
}

impl<'plan> Common<'plan> {
    /// What all scenes have in common in which the legs under trial lie where these do, or on other channels that the plan
    /// is as little on.
    pub fn built(ground: &Ground, plan: &'plan Plan, trial: Option<Trial<'_>>) -> Self {
        let mut builder = Builder {
            plan,
            ground,
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
#[derive(Debug, Clone)]
pub(super) struct Draft {
    pub(super) unit: usize,
    pub(super) side: usize,
    pub(super) place: Place,
    pub(super) frequency: Frequency,
    pub(super) tone: Option<u32>,
    pub(super) legs: Legs,
    pub(super) kind: DraftKind,
}

#[derive(Debug, Clone)]
pub(super) enum DraftKind {
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
    ground: &'trial Ground,
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
    is_present: bool,
}

/// Whose a use is: how its channels stand in the plan; none for the use under trial.
type Whose = Option<[Choosing; 2]>;

impl Builder<'_, '_> {
    /// The uses of a station: those of the plan, with the trial in place of those of its kind.
    fn uses(&self, index: usize, station: &Station) -> Vec<(Use, Whose)> {
        let trial = self.trial.filter(|trial| trial.station == index);
        let gives_way = |what: &Use| match trial {
            None => false,
            // A relay takes the whole radio.
            Some(Trial {
                what: Use::CrossBand { .. },
                ..
            }) => true,
            Some(trial) => std::mem::discriminant(trial.what) == std::mem::discriminant(what),
        };
        let kept = station.uses.iter().filter(|one| !gives_way(&one.what));
        let mut uses: Vec<(Use, Whose)> = kept
            .map(|one| (one.what.clone(), Some(one.choosing)))
            .collect();
        uses.extend(trial.map(|trial| (trial.what.clone(), None)));
        uses
    }

    /// The two legs of a relaying station, if it relays in this scene.
    fn relay_legs(&self, index: usize) -> Option<[Leg; 2]> {
        let station = self.plan.stations.get(index)?;
        self.uses(index, station)
            .into_iter()
            .find_map(|(what, whose)| match what {
                Use::CrossBand { legs } => Some(self.legs_of(index, legs, whose)),
                _ => None,
            })
    }

    fn legs_of(&self, station: usize, channels: [Channel; 2], whose: Whose) -> [Leg; 2] {
        let mut index = 0;
        channels.map(|channel| {
            let leg = self.leg(station, channel, whose, index);
            index += 1;
            leg
        })
    }

    /// A channel of ours, the first or the second of its use.
    fn leg(&self, station: usize, channel: Channel, whose: Whose, index: usize) -> Leg {
        let here = Place::Channel(channel.frequency.as_hz());
        if let Some(choosing) = whose {
            let choosing = choosing.get(index).copied().unwrap_or_default();
            let is_present = choosing != Choosing::Absent;
            // A channel that is not chosen is a place by itself, beyond those of a trial.
            let nowhere = Place::Leg(2 + 2 * station + index);
            return Leg {
                channel,
                place: if is_present { here } else { nowhere },
                legs: choosing.legs(),
                is_present,
            };
        }
        let is_present = self
            .trial
            .is_some_and(|trial| trial.present.holds(Legs::of(index)));
        let is_shared = is_present && self.is_planned(channel.frequency);
        let place = if is_shared { here } else { Place::Leg(index) };
        Leg {
            channel,
            place,
            legs: Legs::of(index),
            is_present,
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
                    .filter(|(_, whose)| whose.is_some())
                    .any(|(what, _)| match what {
                        Use::Talk {
                            transmit, receive, ..
                        } => transmit.frequency == frequency || receive.frequency == frequency,
                        Use::CrossBand { legs } => {
                            legs.iter().any(|leg| leg.frequency == frequency)
                        }
                        Use::Watch { channel, .. } => channel.frequency == frequency,
                        Use::Via { .. } => false,
                    })
            })
    }

    fn add_station(&mut self, index: usize, station: &Station) {
        for (side, (what, whose)) in self.uses(index, station).into_iter().enumerate() {
            match what {
                Use::Talk {
                    transmit,
                    receive,
                    purpose,
                } => {
                    let sent = self.leg(index, transmit, whose, 0);
                    let heard = self.leg(index, receive, whose, 0);
                    self.talker(index, 2 * side, purpose, &sent, &heard);
                }
                Use::Watch {
                    channel,
                    wanted,
                    from,
                } => {
                    let heard = Leg {
                        place: self.watched(index, channel.frequency, from),
                        ..self.leg(index, channel, whose, 0)
                    };
                    self.listener(index, 2 * side, &heard, false, wanted);
                }
                Use::CrossBand { legs } => {
                    let [first, second] = self.legs_of(index, legs, whose);
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

    /// Where a watched frequency is heard: the output of whoever is named, or of whoever has it and arrives strongest on
    /// the cautious path, or one of our own channels.
    fn watched(&self, station: usize, frequency: Frequency, from: Option<usize>) -> Place {
        let on_it: Vec<usize> = self
            .plan
            .in_use
            .iter()
            .enumerate()
            .filter(|(_, entry)| entry.output == Some(frequency))
            .map(|(index, _)| index)
            .collect();
        let theirs = match on_it.as_slice() {
            _ if from.is_some() => from,
            [] | [_] => on_it.first().copied(),
            _ => {
                let scene = self.ground.bare(self.plan);
                let arrives = |index| their_level_at(&scene, index, station, frequency);
                // Of two that arrive alike, the first in the file.
                on_it
                    .into_iter()
                    .map(|index| (index, arrives(index)))
                    .reduce(|best, next| if next.1 > best.1 { next } else { best })
                    .map(|(index, _)| index)
            }
        };
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
            is_present: true,
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
        if leg.is_present {
            let Leg {
                channel,
                place,
                legs,
                ..
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
            is_present: true,
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
    fn finish(self) -> Common<'plan> {
        let nets = self.traffic.nets();
        let (standing, on_trial): (Vec<Draft>, Vec<Draft>) = self
            .drafts
            .into_iter()
            .partition(|draft| draft.legs.is_none());
        Common::new(self.plan, self.ground, nets, &standing, on_trial)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::Owner;
    use crate::scene::sample::plan;

    const HILL: &str = "
sites:
  hill: {at: [54.4150, -0.5320]}
  field: {at: [54.4571, -0.6033]}
";

    fn channel(hertz: i64) -> Channel {
        Channel {
            frequency: Frequency::hz(hertz),
            tone: None,
        }
    }

    fn talk(transmit: i64, receive: i64) -> Use {
        Use::Talk {
            transmit: channel(transmit),
            receive: channel(receive),
            purpose: Purpose::Simplex,
        }
    }

    /// Who of the plan is in one net with a station that is tried on 145.3500 MHz.
    fn in_its_net(other: &str) -> usize {
        let plan = plan(&format!(
            "{HILL}stations:
  - {{name: Tried, site: field, radio: mobile-2m, talk: 144.8000}}
  - {{name: Other, site: hill, radio: dual-band-mobile, {other}}}
"
        ));
        let what = talk(145_350_000, 145_350_000);
        let scene = Scene::build(&plan, Some(Trial::of(0, &what)));
        let tried = scene.transmitters.iter().find(|one| !one.legs.is_none());
        let net = tried.unwrap().activity.net;
        assert!(net != usize::MAX);
        let others = scene.receivers.iter().filter(|one| one.station == "Other");
        others.filter(|one| one.activity.net == net).count()
    }

    #[test]
    fn what_is_tried_on_a_channel_of_the_plan_is_in_the_net_of_those_who_are_there() {
        assert_eq!(in_its_net("talk: 145.3500"), 1);
        assert_eq!(in_its_net("watch: 145.3500"), 1);
        // Both sides of a relay are one net.
        assert_eq!(in_its_net("cross_band: [433.4500, 145.3500]"), 2);
        assert_eq!(in_its_net("cross_band: [145.3500, 433.4500]"), 2);
        for elsewhere in [
            "talk: 145.3625",
            "watch: 145.3625",
            "cross_band: [433.4500, 145.3625]",
        ] {
            assert_eq!(in_its_net(elsewhere), 0, "{elsewhere}");
        }
    }

    #[test]
    fn a_channel_that_is_only_sent_or_only_heard_on_is_one_of_the_plan_as_well() {
        for (transmit, receive, expected) in [
            (145_350_000, 144_950_000, true),
            (144_950_000, 145_350_000, true),
            (144_950_000, 144_975_000, false),
        ] {
            let mut plan = plan(&format!(
                "{HILL}stations:
  - {{name: Tried, site: field, radio: mobile-2m, watch: 144.8000}}
  - {{name: Other, site: hill, radio: mobile-2m, talk: 145.3500}}
"
            ));
            plan.stations[1].uses[0].what = talk(transmit, receive);
            let what = talk(145_350_000, 145_350_000);
            let scene = Scene::build(&plan, Some(Trial::of(0, &what)));
            let mut tried = scene.transmitters.iter().filter(|one| !one.legs.is_none());
            let net = tried.next().unwrap().activity.net;
            let sends = scene.transmitters.iter().filter(|one| one.name == "Other");
            let hears = scene.receivers.iter().filter(|one| one.station == "Other");
            let nets = sends
                .map(|one| one.activity.net)
                .chain(hears.map(|one| one.activity.net));
            assert_eq!(
                nets.filter(|one| *one == net).count(),
                usize::from(expected)
            );
        }
    }

    #[test]
    fn every_use_of_a_box_has_two_sides_of_its_own() {
        let plan = plan(&format!(
            "{HILL}stations:
  - {{name: Relay, site: hill, radio: dual-band-mobile, cross_band: [433.4500, 145.2250]}}
  - {{name: A, site: field, radio: dual-band-mobile, uses: [{{talk: 145.5000}}, {{watch: 145.6500}}]}}
  - {{name: B, site: field, radio: dual-band-mobile, uses: [{{watch: 145.6500}}, {{talk: 145.5000}}]}}
  - {{name: C, site: field, radio: dual-band-mobile, uses: [{{watch: 145.6500}}, {{via: Relay, leg: 70cm}}]}}
  - {{name: D, site: field, radio: dual-band-mobile, uses: [{{watch: 433.4500}}, {{via: Town}}]}}
in_use:
  - {{name: Town, output: 145.6500, input: 145.0500, erp: 25 W, at: [54.33, -0.43]}}
"
        ));
        let scene = Scene::build(&plan, None);
        let heard = |name: &str| {
            let heard = scene.receivers.iter().filter(|one| one.station == name);
            let mut sides: Vec<(usize, i64)> = heard
                .map(|one| (one.side, one.frequency.as_hz() / 1000))
                .collect();
            sides.sort_unstable();
            sides
        };
        let sent = |station: usize| {
            let sent = scene.transmitters.iter();
            let sent = sent.filter(|one| one.owner == Owner::Station(station));
            let mut sides: Vec<(usize, i64)> = sent
                .map(|one| (one.side, one.frequency.as_hz() / 1000))
                .collect();
            sides.sort_unstable();
            sides
        };
        assert_eq!(heard("Relay"), [(0, 433_450), (1, 145_225)]);
        assert_eq!(sent(0), heard("Relay"));
        assert_eq!(heard("A"), [(0, 145_500), (2, 145_650)]);
        assert_eq!(sent(1), [(0, 145_500)]);
        assert_eq!(heard("B"), [(0, 145_650), (2, 145_500)]);
        assert_eq!(sent(2), [(2, 145_500)]);
        assert_eq!(heard("C"), [(0, 145_650), (2, 433_450)]);
        assert_eq!(sent(3), [(2, 433_450)]);
        assert_eq!(heard("D"), [(0, 433_450), (2, 145_650)]);
        assert_eq!(sent(4), [(2, 145_050)]);
        // Who works through the repeater is in its net, and on its input and output.
        let town = scene.transmitters.iter().find(|one| one.name == "Town");
        let mut through = scene.receivers.iter().filter(|one| one.station == "D");
        assert!(through.any(|one| one.side == 2 && scene.is_wanted(town.unwrap(), one)));
    }

    #[test]
    fn a_channel_that_is_not_chosen_yet_is_nobody_elses() {
        let with = |absent: [[usize; 2]; 2]| {
            let mut plan = plan(&format!(
                "{HILL}stations:
  - {{name: A, site: hill, radio: dual-band-mobile, cross_band: [433.4500, 145.2250]}}
  - {{name: B, site: field, radio: dual-band-mobile, cross_band: [433.5500, 145.3500]}}
  - {{name: Tried, site: field, radio: dual-band-mobile, talk: 144.8000}}
"
            ));
            for [station, index] in absent {
                plan.stations[station].uses[0].choosing[index] = Choosing::Absent;
            }
            let legs = [433_400_000, 145_400_000].map(channel);
            let what = Use::CrossBand { legs };
            let scene = Scene::build(&plan, Some(Trial::of(2, &what)));
            // One side of each relay is left, in a net of its own.
            let mut nets: Vec<(usize, usize)> = scene
                .transmitters
                .iter()
                .map(|one| (one.unit, one.activity.net))
                .collect();
            nets.sort_unstable();
            nets.dedup();
            let mut alone: Vec<usize> = nets.iter().map(|one| one.1).collect();
            alone.sort_unstable();
            alone.dedup();
            assert_eq!((nets.len(), alone.len()), (3, 3), "{absent:?}");
        };
        for one in 0..2 {
            for other in 0..2 {
                with([[0, one], [1, other]]);
            }
        }
    }
}
