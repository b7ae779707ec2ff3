//! Channels that are to be given a frequency together, and what must hold between them.

use std::sync::Arc;

use super::SearchRange;
use crate::provenance::Sourced;
use crate::quantity::{Frequency, Offset, Span};

/// Several open channels, and what must hold between them.
#[derive(Debug, Clone)]
pub struct Assign {
    /// The channels, in the scenario's order.
    pub channels: Vec<OpenChannel>,
    /// Which must keep a distance.
    pub apart: Vec<Apart>,
    /// Which must stay together.
    pub together: Vec<Together>,
    /// Sets of channels, by index, of which no third-order product may fall on a member.
    pub third_order_free: Vec<Vec<usize>>,
    /// What the best plan is.
    pub aim: Aim,
}

/// A channel that has no frequency yet.
#[derive(Debug, Clone)]
pub struct OpenChannel {
    /// What it is called.
    pub name: String,
    /// Indexes of the stations on it.
    pub stations: Vec<usize>,
    /// Where it may lie; a pair for a cross-band relay.
    pub range: SearchRange,
    /// Channel step, counted from the lower edge of each stretch.
    pub step: Sourced<Offset>,
    /// Its tone.
    pub tone: OpenTone,
    /// Where it was last year, in the order of its legs; empty when it is new.
    pub last_year: Vec<Frequency>,
    /// Where the scenario says so.
    pub place: Arc<str>,
}

/// The tone of an open channel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OpenTone {
    /// It has none.
    None,
    /// In tenths of a hertz.
    Stated(u32),
    /// One of the standard that nobody else in the plan has.
    Own,
}

/// A least distance between channels.
#[derive(Debug, Clone, PartialEq)]
pub struct Apart {
    /// The open channels it binds, by index; where it holds at a site, all that are used there.
    pub channels: Vec<usize>,
    /// The site it holds at: what else the plan has there is kept away from too.
    pub site: Option<usize>,
    /// How far.
    pub by: Offset,
}

/// Channels of one block.
#[derive(Debug, Clone, PartialEq)]
pub struct Together {
    /// The open channels, by index.
    pub channels: Vec<usize>,
    /// How far the outermost may be from each other.
    pub within: Offset,
}

/// What the best plan is, among those without a conflict.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Aim {
    /// The one with most in hand.
    Quietest,
    /// The one that leaves most channels where they were last year.
    FewestChanges,
}

impl OpenChannel {
    /// Where each of its legs may lie: one, or two of a cross-band relay.
    pub fn legs(&self) -> Vec<&[Span]> {
        match &self.range {
            SearchRange::CrossBand([first, second]) => vec![first, second],
            SearchRange::Watch(spans) | SearchRange::Talk(spans) => vec![spans],
        }
    }

    /// What its stations do there, in a word.
    pub const fn verb(&self) -> &'static str {
        match self.range {
            SearchRange::CrossBand(_) => "repeat",
            SearchRange::Watch(_) => "watch",
            SearchRange::Talk(_) => "talk",
        }
    }
}
