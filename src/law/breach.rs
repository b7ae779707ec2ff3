//! What rules have against a transmission: kinds of objection, and the objection with its rule.

use jiff::civil::Date;

use super::pack::{Force, Kind, Measure, Pack};
use super::permission::Permission;
use super::purpose::{Concern, Control};
use super::spurious::Spurious;
use crate::provenance::Authority;
use crate::quantity::{Bandwidth, Decibels, Frequency, Level, Offset, Power, Span};

/// What a transmission goes against.
#[derive(Debug, Clone, PartialEq)]
pub enum Against {
    /// The licence opens no band here.
    NoBand {
        /// The nearest stretch it opens.
        nearest: Option<Span>,
    },
    /// The carrier lies where it may, but the emission reaches past an edge.
    Edge {
        /// The edge.
        edge: Frequency,
        /// How far it reaches past it.
        excess: Offset,
    },
    /// This use is not made here.
    Use {
        /// The stretch the rule is about, when it is about one.
        stretch: Option<Span>,
    },
    /// The emission is too wide.
    Width {
        /// The most.
        most: Bandwidth,
    },
    /// The class of emission is not among these.
    Class {
        /// What is.
        permitted: Vec<String>,
    },
    /// The power is too high.
    Power {
        /// The most, as the rule measures it.
        most: Power,
        /// Measured how.
        measure: Measure,
        /// What it is, measured so.
        is: Power,
        /// What must come off.
        excess: Decibels,
    },
    /// The station is not controlled as it must be.
    Control {
        /// How it may be.
        permitted: Vec<Control>,
    },
    /// The station must identify, which the plan does not show.
    Identify {
        /// In minutes.
        minutes: u32,
    },
    /// Whose messages are passed.
    Messages {
        /// Whose.
        about: Concern,
        /// Whether the plan says that they are; otherwise it does not say.
        is_stated: bool,
        /// The kinds of control under which they may be passed, where the rule names some.
        permitted: Vec<Control>,
    },
    /// A harmonic is too strong.
    Spurious {
        /// The harmonic.
        strongest: Spurious,
        /// The most it may be.
        most: Level,
        /// What must come off.
        excess: Decibels,
    },
    /// Amateurs across the border have no band here.
    Abroad {
        /// The nearest stretch they have.
        nearest: Option<Span>,
    },
    /// Something to heed.
    Duty,
    /// The rule holds in a part of the map.
    Zone {
        /// What it is called.
        name: String,
        /// Whether the station is known to be in it; otherwise its place is not known.
        is_inside: bool,
    },
    /// The rule holds for some days.
    Time {
        /// First day.
        from: Option<Date>,
        /// Last day.
        until: Option<Date>,
        /// Whether the event is known to fall in them; otherwise its days are not known.
        is_inside: bool,
    },
    /// What the law takes the purpose for.
    Reading {
        /// Its word.
        word: String,
    },
    /// The segment is kept for other uses alone.
    Reserved {
        /// The segment.
        segment: Span,
        /// What it is for.
        title: String,
        /// How far the emission reaches in; none when the carrier itself lies in it.
        reaches_in: Option<Offset>,
    },
    /// The segment is meant for other uses.
    Segment {
        /// The segment.
        segment: Span,
        /// What it is for.
        title: String,
    },
    /// The carrier is off the plan's channels.
    Raster {
        /// From channel to channel.
        step: Offset,
        /// The channels on either side.
        nearest: [Frequency; 2],
    },
    /// The emission covers a frequency that is kept clear.
    Spot {
        /// The frequency.
        frequency: Frequency,
        /// What it is for.
        title: String,
        /// How far the carrier must be from it.
        clear: Offset,
    },
    /// The other leg must not be where it is.
    Pair {
        /// Where one leg lies.
        one: Span,
        /// Who must be in control, and for how many hours at most, for it to be a note.
        eased_by: Option<(Control, u32)>,
    },
}

/// One rule that a transmission goes against, or that must be heeded.
#[derive(Debug, Clone, PartialEq)]
pub struct Breach<'a> {
    /// The pack whose rule it is.
    pub pack: &'a Pack,
    /// The rule's name, as permissions name it: `pack/rule`.
    pub rule: String,
    /// What it is about.
    pub against: Against,
    /// How strongly the rule speaks.
    pub force: Force,
    /// What the rule wants, in one sentence.
    pub says: String,
    /// What a planner may do about it, as the pack has it.
    pub ways_out: Vec<String>,
    /// Whether the rule binds everybody everywhere, whatever they send.
    pub is_general: bool,
    /// Whether the pack holds across a border, so that it does not bind.
    pub is_neighbours: bool,
    /// Who says so.
    pub basis: Authority,
    /// The permission that lifts it.
    pub lifted_by: Option<&'a Permission>,
}

impl Breach<'_> {
    /// Marks it as a rule of the other side of a border, which binds nobody here.
    pub(super) fn across_the_border(&mut self) {
        self.is_neighbours = true;
        self.force = self.force.min(Force::Caution);
    }

    /// Whether it is custom and not law.
    pub fn is_custom(&self) -> bool {
        self.pack.kind != Kind::Law
    }
}
