//! Reference levels for exposure to radio waves, by frequency.

use super::PowerDensity;
use crate::quantity::{Frequency, Span};

/// A stretch of spectrum in which a limit is `factor·f^exponent`, f in megahertz, in watts per square metre.
type Segment = (i64, i64, f64, f64);

/// One table of reference levels: who is protected, over what time the exposure is averaged, and how much is allowed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ExposureLimit {
    /// Its name in output.
    pub id: &'static str,
    /// Its name in words.
    pub title: &'static str,
    /// Where it is published, and how well that is known.
    pub source: &'static str,
    /// The time the exposure is averaged over, minutes.
    pub averaging_minutes: u32,
    segments: &'static [Segment],
}

impl ExposureLimit {
    /// The power density allowed at a frequency; none outside the table.
    ///
    /// At an edge the lower segment speaks; the tables agree there.
    pub fn at(&self, frequency: Frequency) -> Option<PowerDensity> {
        self.segments
            .iter()
            .find(|(low, high, _, _)| {
                Span::between(Frequency::hz(*low), Frequency::hz(*high)).contains(frequency)
            })
            .map(|(_, _, factor, exponent)| {
                PowerDensity::watts_per_m2(factor * frequency.as_mhz().powf(*exponent))
            })
    }
}

const MHZ: i64 = 1_000_000;

/// Every table of reference levels.
pub const ALL: &[ExposureLimit] = &[
    ExposureLimit {
        id: "icnirp-2020-public",
        title: "general public, whole body",
        source: "ICNIRP 2020, table 5 (from memory)",
        averaging_minutes: 30,
        segments: &[
            (30 * MHZ, 400 * MHZ, 2.0, 0.0),
            (400 * MHZ, 2_000 * MHZ, 1.0 / 200.0, 1.0),
            (2_000 * MHZ, 300_000 * MHZ, 10.0, 0.0),
        ],
    },
    ExposureLimit {
        id: "icnirp-2020-occupational",
        title: "people at work, whole body",
        source: "ICNIRP 2020, table 5 (from memory)",
        averaging_minutes: 30,
        segments: &[
            (30 * MHZ, 400 * MHZ, 10.0, 0.0),
            (400 * MHZ, 2_000 * MHZ, 1.0 / 40.0, 1.0),
            (2_000 * MHZ, 300_000 * MHZ, 50.0, 0.0),
        ],
    },
    ExposureLimit {
        id: "icnirp-2020-local-public",
        title: "general public, part of the body",
        source: "ICNIRP 2020, table 6 (second-hand, as reprinted in a textbook)",
        averaging_minutes: 6,
        segments: &[
            (30 * MHZ, 400 * MHZ, 10.0, 0.0),
            (400 * MHZ, 2_000 * MHZ, 0.058, 0.86),
        ],
    },
    ExposureLimit {
        id: "icnirp-2020-local-occupational",
        title: "people at work, part of the body",
        source: "ICNIRP 2020, table 6 (second-hand, as reprinted in a textbook)",
        averaging_minutes: 6,
        segments: &[
            (30 * MHZ, 400 * MHZ, 50.0, 0.0),
            (400 * MHZ, 2_000 * MHZ, 0.29, 0.86),
        ],
    },
    ExposureLimit {
        id: "47cfr-1.1310-public",
        title: "general population, uncontrolled",
        source: "47 CFR 1.1310, table 1 (second-hand copy)",
        averaging_minutes: 30,
        segments: &[
            (30 * MHZ, 300 * MHZ, 2.0, 0.0),
            (300 * MHZ, 1_500 * MHZ, 10.0 / 1_500.0, 1.0),
            (1_500 * MHZ, 100_000 * MHZ, 10.0, 0.0),
        ],
    },
    ExposureLimit {
        id: "47cfr-1.1310-occupational",
        title: "occupational, controlled",
        source: "47 CFR 1.1310, table 1 (second-hand copy)",
        averaging_minutes: 6,
        segments: &[
            (30 * MHZ, 300 * MHZ, 10.0, 0.0),
            (300 * MHZ, 1_500 * MHZ, 10.0 / 300.0, 1.0),
            (1_500 * MHZ, 100_000 * MHZ, 50.0, 0.0),
        ],
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_is_silent_outside_its_range_and_joins_at_its_edges() {
        for table in ALL {
            assert_eq!(table.at(Frequency::hz(30 * MHZ - 1)), None);
            for (_, high, _, _) in table.segments {
                let at = |hertz| table.at(Frequency::hz(hertz));
                if let (Some(below), Some(above)) = (at(*high), at(high + 1)) {
                    let step = below.as_watts_per_m2() / above.as_watts_per_m2();
                    assert!((step - 1.0).abs() < 0.02, "{} at {high}", table.id);
                }
            }
        }
    }
}
