//! The questions asked of rules, and the packs that answer them.

/// The rules that apply to a plan: packs stacked, and the licence held.
#[derive(Debug, Clone, Default)]
pub struct Law {}

/// What a transmission is for, in the words that licences and band plans use.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
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
}

/// Who is in control of a station while it transmits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Control {
    /// An operator at the set.
    Attended,
    /// An operator somewhere else, through a control link.
    Remote,
    /// Nobody; devices and procedures.
    Automatic,
}
