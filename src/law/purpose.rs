//! What a transmission is for, and who is in control of it, in the words of licences and band plans.

use schemars::JsonSchema;
use serde::Deserialize;

/// What a transmission is for, in the words that licences and band plans use.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Purpose {
    /// One channel, one talker at a time.
    Simplex,
    /// A leg of a cross-band relay: transmitted by the relay and by its users.
    CrossBandRelay,
    /// A repeater's output, transmitted by the repeater.
    RepeaterOutput,
    /// A repeater's input, transmitted by its users.
    RepeaterInput,
    /// Packet and position reports.
    Packet,
    /// To or from a satellite.
    Satellite,
    /// A beacon.
    Beacon,
    /// A call on a calling frequency, before moving away from it.
    Calling,
    /// A link between stations that work together, or the control of one.
    Auxiliary,
    /// Emergency traffic, or the watch kept for it.
    Emergency,
    /// Weak-signal work: Morse, single sideband, narrow digital modes.
    WeakSignal,
}

impl Purpose {
    /// All purposes with the word that stands for each in data files.
    pub const ALL: [(&'static str, Self); 11] = [
        ("simplex", Self::Simplex),
        ("cross-band-relay", Self::CrossBandRelay),
        ("repeater-output", Self::RepeaterOutput),
        ("repeater-input", Self::RepeaterInput),
        ("packet", Self::Packet),
        ("satellite", Self::Satellite),
        ("beacon", Self::Beacon),
        ("calling", Self::Calling),
        ("auxiliary", Self::Auxiliary),
        ("emergency", Self::Emergency),
        ("weak-signal", Self::WeakSignal),
    ];

    /// The word that stands for it in data files.
    pub fn word(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(_, purpose)| *purpose == self)
            .map_or("", |(word, _)| word)
    }

    /// The purpose a word stands for.
    pub fn of_word(word: &str) -> Option<Self> {
        Self::ALL
            .iter()
            .find(|(name, _)| *name == word)
            .map(|(_, purpose)| *purpose)
    }

    /// What it is called in a sentence.
    pub const fn phrase(self) -> &'static str {
        match self {
            Self::Simplex => "simplex",
            Self::CrossBandRelay => "a leg of a cross-band relay",
            Self::RepeaterOutput => "a repeater's output",
            Self::RepeaterInput => "a repeater's input",
            Self::Packet => "packet",
            Self::Satellite => "satellite work",
            Self::Beacon => "a beacon",
            Self::Calling => "a call",
            Self::Auxiliary => "an auxiliary link",
            Self::Emergency => "emergency traffic",
            Self::WeakSignal => "weak-signal work",
        }
    }
}

/// Whose messages are passed, where a rule asks for it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Concern {
    /// Those of people without a licence: the event's organisers, for example.
    ThirdParty,
    /// Those of somebody who pays for it, or whose business it is.
    Hire,
}

impl Concern {
    /// What it is called in a sentence.
    pub const fn phrase(self) -> &'static str {
        match self {
            Self::ThirdParty => "messages for people without a licence",
            Self::Hire => "messages for pay or for somebody's business",
        }
    }

    /// The key under which a scenario states it.
    pub const fn key(self) -> &'static str {
        match self {
            Self::ThirdParty => "third_party",
            Self::Hire => "for_hire",
        }
    }
}

/// Who is in control of a station while it transmits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Control {
    /// An operator at the set.
    Attended,
    /// An operator somewhere else, through a control link.
    Remote,
    /// Nobody; devices and procedures.
    Automatic,
}

impl Control {
    /// All kinds of control with the word that stands for each in data files.
    pub const ALL: [(&'static str, Self); 3] = [
        ("attended", Self::Attended),
        ("remote", Self::Remote),
        ("automatic", Self::Automatic),
    ];

    /// The word that stands for it in data files.
    pub fn word(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(_, control)| *control == self)
            .map_or("", |(word, _)| word)
    }
}

#[cfg(test)]
mod tests {
    use serde::de::IntoDeserializer;
    use serde::de::value::{Error, StrDeserializer};

    use super::*;

    fn read<'de, T: Deserialize<'de>>(word: &'de str) -> Result<T, Error> {
        let word: StrDeserializer<'_, Error> = word.into_deserializer();
        T::deserialize(word)
    }

    #[test]
    fn the_word_of_a_purpose_is_what_files_say() {
        for (word, purpose) in Purpose::ALL {
            assert_eq!(read(word), Ok(purpose));
            assert_eq!(
                (purpose.word(), Purpose::of_word(word)),
                (word, Some(purpose))
            );
        }
        for (word, control) in Control::ALL {
            assert_eq!(read(word), Ok(control));
            assert_eq!(control.word(), word);
        }
    }
}
