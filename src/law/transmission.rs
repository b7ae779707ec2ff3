//! What is put to the law.

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;

use super::purpose::{Concern, Control, Purpose};
use super::spurious::Spurious;
use crate::quantity::{Decibels, Emission, Frequency, Level, Offset, Position, Power, Span};

/// A transmission, with everything that a rule may ask about it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Transmission {
    /// The carrier.
    pub carrier: Frequency,
    /// What it occupies, tolerance included.
    pub occupied: Span,
    /// Its modulation.
    pub emission: Emission,
    /// What it is for.
    pub purpose: Purpose,
    /// Who is in control.
    pub control: Control,
    /// Power at the transmitter's output; for angle modulation mean and peak envelope power are the same.
    pub output: Power,
    /// Gain of the antenna over an isotropic one less feeder and filters.
    pub gain: Decibels,
    /// Where it is transmitted.
    pub position: Option<Position>,
    /// From when to when.
    pub period: Option<(Timestamp, Timestamp)>,
    /// Whether it passes messages for people without a licence; none when nobody said.
    pub third_party: Option<bool>,
    /// Whether somebody pays for it or does business with it; none when nobody said.
    pub for_hire: Option<bool>,
    /// Its strongest harmonic, where that is known well enough to be held against a limit.
    pub spurious: Option<Spurious>,
}

impl Transmission {
    /// A transmission of which only frequency, emission and purpose are known: attended, 1 W into a lossless dipole, any
    /// place, any time.
    pub fn new(carrier: Frequency, emission: Emission, purpose: Purpose) -> Self {
        Self {
            carrier,
            occupied: Span::around(carrier, emission.bandwidth),
            emission,
            purpose,
            control: Control::Attended,
            output: Power::watts(1.0),
            gain: Power::dipole_over_isotropic(),
            position: None,
            period: None,
            third_party: None,
            for_hire: None,
            spurious: None,
        }
    }

    /// The same with a carrier that may be off by as much.
    pub fn within(mut self, tolerance: Offset) -> Self {
        self.occupied = Span::around(self.carrier, self.emission.bandwidth).widened(tolerance);
        self
    }

    /// The same on another carrier.
    pub fn moved_to(mut self, carrier: Frequency) -> Self {
        let by = carrier - self.carrier;
        self.occupied = Span::between(self.occupied.low + by, self.occupied.high + by);
        self.carrier = carrier;
        self
    }

    /// Whether such messages are passed; none when nobody said.
    pub(super) const fn passes(&self, concern: Concern) -> Option<bool> {
        match concern {
            Concern::ThirdParty => self.third_party,
            Concern::Hire => self.for_hire,
        }
    }

    /// Radiated power over an isotropic antenna.
    pub(super) fn eirp(&self) -> Level {
        self.output.level() + self.gain
    }

    /// The first and the last day, in UTC.
    pub(super) fn days(&self) -> Option<(Date, Date)> {
        Self::days_of(self.period)
    }

    /// The first and the last day of a period, in UTC.
    pub(super) fn days_of(period: Option<(Timestamp, Timestamp)>) -> Option<(Date, Date)> {
        let day = |at: Timestamp| at.to_zoned_datetime(TimeZone::UTC).date();
        period.map(|(from, to)| (day(from), day(to)))
    }
}

/// The two legs of a relay, put to the law together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// Their carriers.
    pub legs: [Frequency; 2],
    /// What it is for.
    pub purpose: Purpose,
    /// Who is in control of the relay.
    pub control: Control,
    /// From when to when.
    pub period: Option<(Timestamp, Timestamp)>,
}
