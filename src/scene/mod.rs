//! Who is on the air together, at which level, heard by whom.
//!
//! A scene is the plan with one thing under trial, or none, turned into transmitters, receivers and antennas.

use std::sync::Arc;

use fixedbitset::FixedBitSet;

use crate::law::{Control, Purpose};
use crate::provenance::Sourced;
use crate::quantity::{Decibels, Emission, Frequency, Length, Level, Position};
use crate::radio::{ReceiverFigures, TransmitterFigures};
use crate::scenario::{Antenna, FilterLoss, Legs, Noise, Plan, Window};

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

/// When something is on the air: a net, the states of that net it is active in, and stretches of time.
///
/// A net is everything one talker can key. Its states are its talkers, one at a time.
#[derive(Debug, Clone)]
pub struct Activity {
    /// Index of the net.
    pub net: usize,
    /// States of the net it is active in.
    pub states: FixedBitSet,
    /// When; empty for always.
    pub windows: Vec<Window>,
}

/// An antenna at a place.
#[derive(Debug, Clone)]
pub struct Mast {
    /// Index of the site in the plan; none for somebody else's antenna.
    pub site: Option<usize>,
    /// Where it is.
    pub position: Option<Position>,
    /// Distance to every one of our antennas where no position is known.
    pub distance: Option<Sourced<Length>>,
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
    /// Tone it waits for, in tenths of a hertz.
    pub tone: Option<u32>,
    /// Its figures in this band.
    pub figures: Arc<ReceiverFigures>,
    /// Index of its antenna in the scene.
    pub mast: usize,
    /// Man-made noise where it stands.
    pub noise: Sourced<Noise>,
    /// Level of the signal it wants, when known.
    pub wanted: Option<Sourced<Level>>,
    /// Further protection, for a safety service.
    pub safety: Option<Sourced<Decibels>>,
    /// Legs under trial it rests on.
    pub legs: Legs,
    /// When it listens.
    pub activity: Activity,
}

/// Everything that is on the air, and everything that listens.
#[derive(Debug)]
pub struct Scene<'plan> {
    /// The plan it was made from.
    pub plan: &'plan Plan,
    /// Antennas.
    pub masts: Vec<Mast>,
    /// Transmitters, ours first, in the plan's order.
    pub transmitters: Vec<Transmitter>,
    /// Receivers, ours first, in the plan's order.
    pub receivers: Vec<Receiver>,
}
