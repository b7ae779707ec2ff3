//! The names of aeronautical voice channels, which are not always their frequencies.

use std::fmt;

use super::Frequency;

/// How wide an aeronautical voice channel is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum AirbandSpacing {
    /// 25 kHz.
    Wide,
    /// 8⅓ kHz, three in a 25 kHz channel.
    Narrow,
}

impl fmt::Display for AirbandSpacing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Wide => "25 kHz",
            Self::Narrow => "8.33 kHz",
        })
    }
}

/// An aeronautical voice channel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct AirbandChannel {
    /// Where its carrier is, to the nearest hertz.
    pub carrier: Frequency,
    /// How wide it is.
    pub spacing: AirbandSpacing,
}

/// The channel that a name such as 118.005 stands for; none if no channel has that name.
///
/// In each 25 kHz block from F: F names the 25 kHz channel; F + 5, F + 10 and F + 15 kHz name the 8.33 kHz channels at
/// F, F + 8⅓ and F + 16⅔ kHz; F + 20 kHz names nothing.
///
/// # Valid
/// 118 to 137 MHz.
///
/// # Source
/// ICAO Annex 10, volume V, channel naming: second-hand.
///
/// # Example
/// 118.010: 118.008333 MHz, 8.33 kHz.
pub fn airband_channel(name: Frequency) -> Option<AirbandChannel> {
    let hertz = name.as_hz();
    if !(118_000_000..137_000_000).contains(&hertz) {
        return None;
    }
    let block = hertz - hertz % 25_000;
    let (above, spacing) = match hertz % 25_000 {
        0 => (0, AirbandSpacing::Wide),
        5_000 => (0, AirbandSpacing::Narrow),
        10_000 => (8_333, AirbandSpacing::Narrow),
        15_000 => (16_667, AirbandSpacing::Narrow),
        _ => return None,
    };
    Some(AirbandChannel {
        carrier: Frequency::hz(block + above),
        spacing,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_outside_the_band_or_off_the_raster_names_nothing() {
        for hertz in [
            117_975_000,
            137_000_000,
            118_001_000,
            118_020_000,
            118_045_000,
        ] {
            assert_eq!(airband_channel(Frequency::hz(hertz)), None, "{hertz}");
        }
        assert!(airband_channel(Frequency::hz(136_990_000)).is_some());
    }
}
