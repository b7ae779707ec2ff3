//! What a rule allows of harmonics and other emissions that nobody wants.

use std::fmt;

use crate::quantity::{Decibels, Frequency, Level, Power};

/// What rounding may make, far below what any meter shows.
const ROUNDING: Decibels = Decibels::db(0.001);

/// The strongest unwanted emission of a transmitter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spurious {
    /// Where it is.
    pub frequency: Frequency,
    /// Its power at the antenna socket, or behind the filters there.
    pub level: Level,
}

/// A limit on unwanted emissions, for transmitters of some power.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SpuriousLimit {
    /// For transmitters above this power; none for all.
    pub over: Option<Power>,
    /// For transmitters up to this power; none for all.
    pub up_to: Option<Power>,
    /// The most, whatever the carrier.
    pub most: Option<Power>,
    /// At least so far below the carrier.
    pub below: Option<Decibels>,
    /// What need not be gone below.
    pub enough: Option<Power>,
    /// How far below the carrier is enough.
    pub enough_below: Option<Decibels>,
}

impl SpuriousLimit {
    /// The most that is allowed beside a carrier; none where the limit is not about such a transmitter.
    pub fn allowed(&self, carrier: Level) -> Option<Level> {
        let is_over = self
            .over
            .is_none_or(|over| carrier > over.level() + ROUNDING);
        let is_within = self
            .up_to
            .is_none_or(|most| carrier <= most.level() + ROUNDING);
        if !(is_over && is_within) {
            return None;
        }
        let most = self.most.map(Power::level);
        let below = self.below.map(|below| carrier - below);
        let strict = most.into_iter().chain(below).min()?;
        let enough = self.enough.map(Power::level);
        let enough_below = self.enough_below.map(|below| carrier - below);
        enough.into_iter().chain(enough_below).chain([strict]).max()
    }
}

impl fmt::Display for SpuriousLimit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let parts = [
            self.over.map(|over| format!("above {over}")),
            self.up_to.map(|most| format!("up to {most}")),
            self.most.map(|most| format!("at most {}", most.level())),
            self.below.map(|below| format!("at least {below} down")),
            self.enough
                .map(|enough| format!("{} is enough", enough.level())),
            self.enough_below
                .map(|below| format!("{below} down is enough")),
        ];
        let parts: Vec<String> = parts.into_iter().flatten().collect();
        f.pad(&parts.join(", "))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dbm(level: Option<Level>) -> Option<String> {
        level.map(|level| level.to_string())
    }

    /// Source: 47 CFR 97.307(e), 30 to 225 MHz: above 25 W 60 dB; up to 25 W at most 25 µW and 40 dB, 10 µW being enough.
    #[test]
    fn the_american_limit_below_225_mhz_goes_by_the_power_of_the_transmitter() {
        let strong = SpuriousLimit {
            over: Some(Power::watts(25.0)),
            below: Some(Decibels::db(60.0)),
            ..SpuriousLimit::default()
        };
        let weak = SpuriousLimit {
            up_to: Some(Power::watts(25.0)),
            most: Some(Power::watts(25e-6)),
            below: Some(Decibels::db(40.0)),
            enough: Some(Power::watts(10e-6)),
            ..SpuriousLimit::default()
        };
        let allowed = |watts| {
            let carrier = Power::watts(watts).level();
            (dbm(strong.allowed(carrier)), dbm(weak.allowed(carrier)))
        };
        let level = |text: &str| Some(text.to_owned());
        assert_eq!(allowed(50.0), (level("−13.0 dBm"), None));
        assert_eq!(allowed(25.0), (None, level("−16.0 dBm")));
        // 100 mW less 40 dB is 10 µW; below that 10 µW is enough.
        assert_eq!(allowed(0.1), (None, level("−20.0 dBm")));
        assert_eq!(allowed(0.01), (None, level("−20.0 dBm")));
    }

    /// Source: ITU-R SM.329 category A (from memory): 43 + 10 log P dB, at most 70 dB.
    #[test]
    fn the_recommended_limit_is_a_power_until_70_db_are_enough() {
        let limit = SpuriousLimit {
            most: Some(Power::watts(50e-6)),
            enough_below: Some(Decibels::db(70.0)),
            ..SpuriousLimit::default()
        };
        let allowed = |watts| dbm(limit.allowed(Power::watts(watts).level()));
        assert_eq!(allowed(5.0).as_deref(), Some("−13.0 dBm"));
        assert_eq!(allowed(1000.0).as_deref(), Some("−10.0 dBm"));
    }
}
