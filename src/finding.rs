//! What can be said: how bad it is, about whom, with its numbers, its arithmetic, its source and what would mend it.

use std::cmp::{Ordering, Reverse};

use crate::budget::Step;
use crate::physics::statistics::Chance;
use crate::quantity::{Bandwidth, Decibels, Frequency, Length, Level, Offset};
use crate::scenario::Legs;

/// How bad a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Worth knowing.
    Note,
    /// It can go well; somebody must look.
    Caution,
    /// It will hurt, or is not allowed.
    Conflict,
}

/// Which kind of "no" a finding is; they are never mixed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Matter {
    /// Physics.
    Interference,
    /// The licence or the law.
    Law,
    /// The band plan: custom, not law.
    BandPlan,
    /// The plan as a network.
    Net,
    /// People and safety.
    Exposure,
}

/// Who suffers.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Victim {
    /// The station, ours or somebody else's.
    pub station: String,
    /// Which of its receivers.
    pub receiver: String,
    /// Where that receiver listens.
    pub frequency: Frequency,
}

/// One source of a product, with its coefficient.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Term {
    /// Who transmits it.
    pub name: String,
    /// Its carrier.
    pub frequency: Frequency,
    /// How often it enters the sum; negative where it is subtracted.
    pub coefficient: i32,
}

/// Something that would mend a finding.
#[derive(Debug, Clone, PartialEq)]
pub struct Remedy {
    /// In words, with its figure.
    pub text: String,
    /// The change itself, where it can be applied to the scenario.
    pub change: Option<Change>,
}

/// A change to a scenario that a remedy proposes.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
    /// Move one leg of the thing under trial.
    Move {
        /// Which leg, 0 or 1.
        leg: usize,
        /// Where to.
        to: Frequency,
    },
    /// Put a channel of the plan somewhere else, with every station of ours on it.
    Retune {
        /// The channel.
        from: Frequency,
        /// Where to.
        to: Frequency,
    },
    /// Turn a station's power down to at most this level at the socket.
    LowerPower {
        /// The station's name.
        station: String,
        /// The most it may send.
        to: Level,
    },
    /// Put a filter at a station that takes this much at this frequency.
    Filter {
        /// The station's name.
        station: String,
        /// Where the loss is needed.
        at: Frequency,
        /// How much.
        loss: Decibels,
    },
    /// Keep an antenna of a station away from somebody else's at the same place.
    Apart {
        /// The station's name.
        station: String,
        /// Whose antenna it is to be kept away from: a station, an entry of what is in use, or a protected service.
        from: String,
        /// How far at least.
        to: Length,
    },
}

/// Something that was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// Id of the check, emission or response that found it.
    pub check: &'static str,
    /// How bad it is.
    pub severity: Severity,
    /// Which kind of "no" it is.
    pub matter: Matter,
    /// Which legs of the thing under trial it rests on.
    pub legs: Legs,
    /// One sentence with its numbers.
    pub says: String,
    /// The phases of the event in which it is so, where that is not all of them.
    pub when: Option<String>,
    /// Who suffers.
    pub victim: Option<Victim>,
    /// What makes it.
    pub sources: Vec<Term>,
    /// Where the product lies.
    pub product: Option<Frequency>,
    /// Product less the middle of what it hits.
    pub offset: Option<Offset>,
    /// Width of the product.
    pub width: Option<Bandwidth>,
    /// What arrives.
    pub level: Option<Level>,
    /// What would hurt; of a wanted signal, what it takes.
    pub threshold: Option<Level>,
    /// How far this is on the safe side; negative hurts. Of interference, threshold less level; of a wanted signal that may
    /// be too weak, level less threshold.
    pub margin: Option<Decibels>,
    /// How far the margin may be off, as a standard deviation.
    pub spread: Option<Decibels>,
    /// The chance that it really hurts: that the margin is below zero.
    pub chance: Option<Chance>,
    /// Why it is no worse, though the level may hurt: such a margin rests on a guess.
    pub spared: Option<String>,
    /// The sum, as a planner would write it.
    pub arithmetic: String,
    /// Both halves of the story.
    pub why: String,
    /// What would mend it, best first.
    pub remedies: Vec<Remedy>,
    /// Whose rule or formula it is.
    pub citation: String,
    /// What was not stated and had to be assumed.
    pub assumed: Vec<String>,
    /// How the level comes about; the changes add up to it.
    pub budget: Vec<Step>,
    /// How the threshold comes about; the changes add up to it.
    pub limit: Vec<Step>,
}

impl Finding {
    /// A finding without numbers, to be filled in.
    pub const fn new(
        check: &'static str,
        severity: Severity,
        matter: Matter,
        legs: Legs,
        says: String,
    ) -> Self {
        Self {
            check,
            severity,
            matter,
            legs,
            says,
            when: None,
            victim: None,
            sources: Vec::new(),
            product: None,
            offset: None,
            width: None,
            level: None,
            threshold: None,
            margin: None,
            spread: None,
            chance: None,
            spared: None,
            arithmetic: String::new(),
            why: String::new(),
            remedies: Vec::new(),
            citation: String::new(),
            assumed: Vec::new(),
            budget: Vec::new(),
            limit: Vec::new(),
        }
    }

    /// The same with something that would mend it.
    pub fn remedy(mut self, text: impl Into<String>) -> Self {
        self.remedies.push(Remedy {
            text: text.into(),
            change: None,
        });
        self
    }

    /// Its margin against interference, unless that rests on a guess.
    pub fn firm_margin(&self) -> Option<Decibels> {
        self.margin
            .filter(|_| self.matter == Matter::Interference && self.spared.is_none())
    }

    /// Orders findings worst first; every field that could tell two apart takes part, so the order is total.
    pub fn worst_first(&self, other: &Self) -> Ordering {
        let key = |one: &Self| {
            (
                Reverse(one.severity),
                one.margin.is_none(),
                one.margin,
                one.matter,
                one.check,
                one.victim.clone(),
            )
        };
        key(self)
            .cmp(&key(other))
            .then_with(|| self.sources.cmp(&other.sources))
            .then_with(|| self.arithmetic.cmp(&other.arithmetic))
            .then_with(|| self.says.cmp(&other.says))
            .then_with(|| self.when.cmp(&other.when))
    }
}
