//! The sum behind a response, made into text only when somebody reads it.

use std::fmt;

use crate::physics::superhet;
use crate::quantity::{Bandwidth, Frequency, Offset};

/// How the place of a response comes about, as a planner would write it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Arithmetic {
    /// The place itself.
    Channel(Frequency),
    /// One channel spacing from the channel.
    Beside(Frequency, Bandwidth),
    /// From so many channels from the channel on.
    Channels(Frequency, u32),
    /// From as far as this from the channel on.
    Beyond(Frequency, Offset),
    /// The first IF.
    Intermediate(Frequency),
    /// A sum of the mixer's.
    Mixer(superhet::Arithmetic),
}

impl fmt::Display for Arithmetic {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Channel(channel) => write!(f, "{channel}"),
            Self::Beside(channel, off) => write!(f, "{} ± {off}", channel.digits()),
            Self::Channels(channel, count) => {
                write!(f, "{} ± {count} channels and more", channel.digits())
            }
            Self::Beyond(channel, off) => write!(f, "{} ± {off} and more", channel.digits()),
            Self::Intermediate(place) => write!(f, "the first IF, {place}"),
            Self::Mixer(sum) => write!(f, "{sum}"),
        }
    }
}
