//! Who is on the air together, at which level, heard by whom.
//!
//! A scene is the plan with one thing under trial, or none, turned into transmitters, receivers and antennas.

use std::sync::Arc;

use itertools::Itertools;

use crate::law::{Control, Purpose};
use crate::physics::noise::Surroundings;
use crate::provenance::Sourced;
use crate::quantity::{Decibels, Emission, Frequency, Length, Level, Position, Span};
use crate::radio::{ReceiverFigures, Reference, TransmitterFigures};
use crate::scenario::{Antenna, FilterLoss, Legs, Plan};

mod activity;
mod build;
mod common;
mod courses;
mod known;
mod reach;
mod rest;
mod roll;
#[cfg(test)]
pub(crate) mod sample;
mod settle;
mod tuning;

pub use activity::Activity;
pub use build::Trial;
pub use common::Common;
pub use courses::{Bound, Courses, Ground, Spot};
pub use reach::{Outlook, Reach};
pub use rest::Rest;
pub use roll::Roll;
pub use tuning::Tuning;

/// Whose a transmitter or receiver is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Owner {
    /// One of our stations, by index into the plan.
    Station(usize),
    /// Somebody else's, by index into the plan's `in_use`.
    InUse(usize),
    /// A service the rule packs protect everywhere, by index into the law's list.
    Protected(usize),
}

/// An antenna at a place.
#[derive(Debug, Clone)]
pub struct Mast {
    /// Index of the site in the plan; none for somebody else's antenna.
    pub site: Option<usize>,
    /// Where it is.
    pub position: Option<Position>,
    /// The same among the places of the plan.
    pub spot: Option<Spot>,
    /// Distance to every one of our antennas where no position is known; with a site it stands near, to that one's.
    pub distance: Option<Sourced<Length>>,
    /// The site of ours that somebody with an unknown place is supposed to be near.
    pub near: Option<usize>,
    /// The antenna.
    pub antenna: Antenna,
    /// Ground above sea level.
    pub ground: Length,
    /// Filters between radio and antenna.
    pub filters: Vec<FilterLoss>,
}

/// Something that transmits a carrier.
#[derive(Debug, Clone)]
pub struct Transmitter {
    /// What it is called in a finding: `Hill relay, 2m side`.
    pub name: String,
    /// Whose it is.
    pub owner: Owner,
    /// Its radio box: transmitters and receivers with the same number share one, and only one of its transmitters
    /// is keyed at a time unless the radio is a duplex repeater.
    pub unit: usize,
    /// Which side of that box.
    pub side: usize,
    /// The carrier.
    pub frequency: Frequency,
    /// Tone sent, in tenths of a hertz.
    pub tone: Option<u32>,
    /// Its modulation.
    pub emission: Sourced<Emission>,
    /// Power at the antenna socket.
    pub power: Sourced<Level>,
    /// The radio's figures in this band.
    pub figures: Arc<TransmitterFigures>,
    /// Index of its antenna in the scene.
    pub mast: usize,
    /// What the transmission is for.
    pub purpose: Purpose,
    /// Who is in control.
    pub control: Control,
    /// Legs under trial it rests on.
    pub legs: Legs,
    /// When it is keyed.
    pub activity: Activity,
}

/// Something that listens.
#[derive(Debug, Clone)]
pub struct Receiver {
    /// What it is called in a finding: `Hill relay, 70cm side`.
    pub name: String,
    /// The station it belongs to, for the finding's victim.
    pub station: String,
    /// Which of the station's receivers it is.
    pub part: String,
    /// Whose it is.
    pub owner: Owner,
    /// Its radio box.
    pub unit: usize,
    /// Which side of that box.
    pub side: usize,
    /// Where it listens.
    pub frequency: Frequency,
    /// The stretch it may be tuned to anywhere in, where nobody knows its channel.
    pub anywhere_in: Option<Span>,
    /// Tone it waits for, in tenths of a hertz.
    pub tone: Option<u32>,
    /// Its figures in this band.
    pub figures: Arc<ReceiverFigures>,
    /// Index of its antenna in the scene.
    pub mast: usize,
    /// Loss of its feeder.
    pub feeder: Decibels,
    /// Man-made noise where it stands.
    pub noise: Sourced<Surroundings>,
    /// Level of the signal it wants, when known.
    pub wanted: Option<Sourced<Level>>,
    /// Further protection, for a safety service.
    pub safety: Option<Sourced<Decibels>>,
    /// Whether it goes on listening while another side of its box sends.
    pub hears_while_sending: bool,
    /// Whether it belongs to a duplex repeater, which listens while it sends.
    pub is_duplex: bool,
    /// Loss inside the box from another side's transmitter.
    pub isolation: Sourced<Decibels>,
    /// The crystal of its box, where its harmonics are known to be heard in it.
    pub reference: Option<Reference>,
    /// Legs under trial it rests on.
    pub legs: Legs,
    /// When it listens.
    pub activity: Activity,
}

/// Everything that is on the air, and everything that listens.
#[derive(Debug, Clone)]
pub struct Scene<'plan> {
    /// The plan it was made from.
    pub plan: &'plan Plan,
    /// Antennas.
    pub masts: Roll<Mast>,
    /// The ways between them.
    pub courses: Arc<Courses>,
    /// Transmitters, ours first, in the plan's order; what rests on legs under trial stands last.
    pub transmitters: Roll<Transmitter>,
    /// Receivers, ours first, in the plan's order; what rests on legs under trial stands last.
    pub receivers: Roll<Receiver>,
}

impl Scene<'_> {
    /// Whether the same stand as in another scene of the plan, each on the same frequency at the same antenna; with whom they are
    /// keyed may differ.
    pub fn stands_like(&self, other: &Self) -> bool {
        let senders = |scene: &Self| -> Vec<(Frequency, usize, usize)> {
            let all = scene.transmitters.iter();
            let standing = all.take(scene.transmitters.standing());
            standing
                .map(|one| (one.frequency, one.unit, one.mast))
                .collect()
        };
        let hearers = |scene: &Self| -> Vec<(Frequency, usize, usize)> {
            let all = scene.receivers.iter();
            let standing = all.take(scene.receivers.standing());
            standing
                .map(|one| (one.frequency, one.unit, one.mast))
                .collect()
        };
        senders(self) == senders(other) && hearers(self) == hearers(other)
    }

    /// Whether a receiver can be listening while all of these transmitters are keyed.
    ///
    /// Besides the nets and windows: one box keys one transmitter at a time, and a side does not listen while it sends.
    pub fn coexist(&self, transmitters: &[usize], receiver: &Receiver) -> bool {
        let sources: Vec<&Transmitter> = transmitters
            .iter()
            .filter_map(|&index| self.transmitters.get(index))
            .collect();
        let boxes_agree = sources.iter().all(|source| source.lets_hear(receiver))
            && sources
                .iter()
                .array_combinations()
                .all(|[one, other]| one.unit != other.unit);
        if !boxes_agree {
            return false;
        }
        let mut activities: Vec<&Activity> =
            sources.iter().map(|source| &source.activity).collect();
        activities.push(&receiver.activity);
        Activity::coexist(&activities)
    }

    /// Whether two transmitters of different boxes can be keyed at once.
    pub fn are_keyed_together(&self, one: usize, other: usize) -> bool {
        let pair = self.transmitters.get(one).zip(self.transmitters.get(other));
        pair.is_some_and(|(one, other)| {
            one.unit != other.unit && Activity::coexist(&[&one.activity, &other.activity])
        })
    }

    /// Whether a carrier is what the receiver is there to hear.
    pub fn is_wanted(&self, transmitter: &Transmitter, receiver: &Receiver) -> bool {
        transmitter.frequency == receiver.frequency
            && transmitter.activity.net == receiver.activity.net
            && transmitter.activity.net != usize::MAX
    }
}

impl Transmitter {
    /// Whether a receiver still listens while this transmitter is keyed, as far as its own box goes.
    fn lets_hear(&self, receiver: &Receiver) -> bool {
        self.unit != receiver.unit
            || receiver.is_duplex
            || (self.side != receiver.side && receiver.hears_while_sending)
    }
}

#[cfg(test)]
mod tests {
    use super::sample::{CROWDED, plan};
    use super::*;
    use crate::quantity::Offset;

    /// A transmitter and a receiver that nothing but their boxes keeps apart.
    fn lets(unit: usize, side: usize, hears_while_sending: bool, is_duplex: bool) -> bool {
        let plan = plan(CROWDED);
        let mut scene = Scene::build(&plan, None);
        scene.transmitters = scene.transmitters.changed_where(
            |_| true,
            |one| {
                one.activity = Activity::always(&[]);
                (one.unit, one.side) = (3, 0);
            },
        );
        let mut receiver = scene.receivers.get(0).unwrap().clone();
        receiver.activity = Activity::always(&[]);
        (receiver.unit, receiver.side) = (unit, side);
        (receiver.hears_while_sending, receiver.is_duplex) = (hears_while_sending, is_duplex);
        scene.coexist(&[0], &receiver)
    }

    #[test]
    fn a_side_that_sends_hears_nothing_and_another_one_only_where_the_box_can() {
        // Of another box, whatever that can.
        assert!(lets(4, 0, false, false));
        // The very side that sends, and the other one.
        assert!(!lets(3, 0, true, false) && !lets(3, 0, false, false));
        assert!(lets(3, 1, true, false) && !lets(3, 1, false, false));
        // A duplex repeater hears on the side it sends on.
        assert!(lets(3, 0, false, true) && lets(3, 1, false, true));
    }

    #[test]
    fn one_box_keys_one_transmitter_and_two_of_one_net_are_never_keyed_at_once() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let at = |name: &str| {
            scene
                .transmitters
                .iter()
                .position(|one| one.name == name)
                .unwrap()
        };
        let (on_70cm, on_2m, packet) = (at("Relay, 70cm side"), at("Relay, 2m side"), at("Packet"));
        assert!(
            scene.are_keyed_together(on_2m, packet) && scene.are_keyed_together(packet, on_70cm)
        );
        // The two sides of the relay; the relay's side and a user on the channel it sends on.
        assert!(!scene.are_keyed_together(on_70cm, on_2m));
        assert!(!scene.are_keyed_together(at("Control, 2m side"), on_2m));
        assert!(scene.are_keyed_together(at("Control, 2m side"), on_70cm));
        assert!(!scene.are_keyed_together(on_2m, usize::MAX));
        // Nor does anybody hear two transmitters of one box, even where they depend on nobody.
        let mut free = scene.clone();
        free.transmitters = scene
            .transmitters
            .changed_where(|_| true, |one| one.activity = Activity::always(&[]));
        let mut ear = scene
            .receivers
            .iter()
            .find(|one| one.station == "Scout")
            .unwrap()
            .clone();
        ear.activity = Activity::always(&[]);
        assert!(free.coexist(&[on_2m, packet], &ear));
        assert!(!free.coexist(&[on_2m, on_70cm], &ear));
        assert!(!free.are_keyed_together(on_2m, on_70cm));
    }

    #[test]
    fn wanted_is_what_is_on_the_channel_and_in_the_net() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let sender = scene
            .transmitters
            .iter()
            .find(|one| one.name == "Relay, 2m side")
            .unwrap();
        let hearer = scene
            .receivers
            .iter()
            .find(|one| one.name == "Control, 2m side")
            .unwrap();
        assert!(scene.is_wanted(sender, hearer));
        let mut beside = sender.clone();
        beside.frequency = Frequency::hz(beside.frequency.as_hz() + 1);
        assert!(!scene.is_wanted(&beside, hearer));
        let mut stranger = sender.clone();
        stranger.activity.net += 1;
        assert!(!scene.is_wanted(&stranger, hearer));
        // Two that are in no net have nothing to do with each other.
        let (mut alone, mut ear) = (sender.clone(), hearer.clone());
        alone.activity = Activity::always(&[]);
        ear.activity = Activity::always(&[]);
        assert!(!scene.is_wanted(&alone, &ear));
    }

    /// Not only those who send, and not only those who hear.
    #[test]
    fn two_scenes_stand_alike_where_both_those_who_send_and_those_who_hear_do() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let moved = |one: bool, other: bool| {
            let mut moved = scene.clone();
            let up = |is_it: bool| Offset::hz(if is_it { 12_500 } else { 0 });
            moved.transmitters = moved
                .transmitters
                .changed_where(|_| true, |it| it.frequency += up(one));
            moved.receivers = moved
                .receivers
                .changed_where(|_| true, |it| it.frequency += up(other));
            [scene.stands_like(&moved), moved.stands_like(&scene)]
        };
        assert_eq!(moved(false, false), [true; 2]);
        for (one, other) in [(true, false), (false, true), (true, true)] {
            assert_eq!(moved(one, other), [false; 2], "{one} {other}");
        }
    }
}
