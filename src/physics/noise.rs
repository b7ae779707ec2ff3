//! The noise a receiver works against, and how much interference it takes to raise it.

use std::fmt;

use crate::quantity::{Bandwidth, Decibels, Frequency, Level};

/// The Boltzmann constant, joules per kelvin, exact by definition.
///
/// # Source
/// SI Brochure, 9th edition.
const BOLTZMANN: f64 = 1.380_649e-23;

/// The reference temperature of noise factors, kelvin.
///
/// # Source
/// ITU-R P.372 (T₀ = 290 K: from memory).
const REFERENCE_TEMPERATURE: f64 = 290.0;

/// Thermal noise in one hertz at 290 K.
///
/// `10·log₁₀(k·T₀)`: −173.98 dBm.
///
/// # Source
/// `k·T·B`, with k exact in the SI.
pub fn thermal_density() -> Level {
    Level::milliwatts(BOLTZMANN * REFERENCE_TEMPERATURE * 1e3)
}

/// Thermal noise in a bandwidth at 290 K; a bandwidth of nothing counts as one hertz.
///
/// # Source
/// `k·T·B`, with k exact in the SI.
///
/// # Example
/// 12.5 kHz: −133.01 dBm.
pub fn thermal_noise(bandwidth: Bandwidth) -> Level {
    thermal_density() + Decibels::of_power(bandwidth.as_hz().max(1) as f64)
}

/// How much electrical equipment is around an antenna.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Surroundings {
    /// Business and industrial areas.
    City,
    /// Housing.
    Residential,
    /// Open country with scattered houses.
    Rural,
    /// A place chosen for its quiet.
    QuietRural,
}

impl fmt::Display for Surroundings {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::City => "city",
            Self::Residential => "residential",
            Self::Rural => "rural",
            Self::QuietRural => "quiet rural",
        })
    }
}

/// External noise as a noise figure: above `k·T₀·B`, in any bandwidth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ExternalNoise {
    /// Median, over thermal noise at 290 K; it may be negative.
    pub above_thermal: Decibels,
    /// Whether the frequency is outside the range its formula was published for.
    pub extrapolated: bool,
}

/// Man-made noise at a place, as a median noise figure.
///
/// `c − d·log₁₀ f`; in a city the greater of that and of the branch `44.3 − 12.3·log₁₀ f`, which leads above 129 MHz.
///
/// # Units
/// - f in the formula: megahertz
/// - returns: dB above `k·T₀·B`
///
/// # Valid
/// 0.3–250 MHz, in a city to 900 MHz; outside, the figure is marked as extrapolated.
///
/// # Source
/// ITU-R P.372-8, coefficients second-hand from a public code listing: city 76.8/27.7, residential 72.5/27.7, rural
/// 67.2/27.7, quiet rural 53.6/28.6.
///
/// # Example
/// Residential at 145 MHz: 12.63 dB.
pub fn man_made_noise(surroundings: Surroundings, frequency: Frequency) -> ExternalNoise {
    let megahertz = frequency.as_mhz().max(1e-6);
    let line = |c: f64, d: f64| c - d * megahertz.log10();
    let (figure, highest) = match surroundings {
        Surroundings::City => (line(76.8, 27.7).max(line(44.3, 12.3)), 900.0),
        Surroundings::Residential => (line(72.5, 27.7), 250.0),
        Surroundings::Rural => (line(67.2, 27.7), 250.0),
        Surroundings::QuietRural => (line(53.6, 28.6), 250.0),
    };
    ExternalNoise {
        above_thermal: Decibels::db(figure),
        extrapolated: !(0.3..=highest).contains(&megahertz),
    }
}

/// Noise from the Milky Way, as a median noise figure: `52 − 23·log₁₀ f`, f in megahertz.
///
/// # Source
/// ITU-R P.372 (from memory).
///
/// # Example
/// 145 MHz: 2.29 dB.
pub fn galactic_noise(frequency: Frequency) -> Decibels {
    Decibels::db(52.0 - 23.0 * frequency.as_mhz().max(1e-6).log10())
}

/// Man-made and galactic noise together: their powers add.
pub fn external_noise(surroundings: Surroundings, frequency: Frequency) -> ExternalNoise {
    let man_made = man_made_noise(surroundings, frequency);
    let sum = man_made.above_thermal.as_power() + galactic_noise(frequency).as_power();
    ExternalNoise {
        above_thermal: Decibels::of_power(sum),
        ..man_made
    }
}

/// The noise floor of a receiver on its antenna, referred to the antenna.
///
/// `k·T₀·B·f` with `f = fₐ + fᵣ − 1`, external and receiver noise factors as plain ratios.
///
/// # Units
/// - `external`, `receiver`: noise figures, dB
///
/// # Valid
/// A lossless antenna and feeder; a feeder's loss belongs into `receiver`.
///
/// # Source
/// ITU-R P.372 (from memory).
pub fn noise_floor(bandwidth: Bandwidth, external: Decibels, receiver: Decibels) -> Level {
    // No receiver is better than a noise factor of one, whatever was entered.
    let factor = external.as_power() + receiver.as_power().max(1.0) - 1.0;
    thermal_noise(bandwidth) + Decibels::of_power(factor)
}

/// The interference that raises a noise floor by `rise`, relative to that floor.
///
/// `10·log₁₀(10^(rise/10) − 1)`.
///
/// # Source
/// Powers add: arithmetic.
///
/// # Example
/// 1 dB: −5.87 dB, usually rounded to −6.
pub fn interference_for_rise(rise: Decibels) -> Decibels {
    Decibels::of_power(rise.as_power() - 1.0)
}

/// How far interference raises a noise floor, the inverse of [`interference_for_rise`].
///
/// # Example
/// As strong as the floor: 3.01 dB.
pub fn rise_from_interference(over_floor: Decibels) -> Decibels {
    Decibels::of_power(1.0 + over_floor.as_power())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_decibel_of_rise_takes_interference_just_under_six_decibels_below_the_floor() {
        let allowed = interference_for_rise(Decibels::db(1.0));
        assert!((allowed.as_db() + 5.868_25).abs() < 1e-5, "{allowed:?}");
        assert!((rise_from_interference(allowed).as_db() - 1.0).abs() < 1e-12);
        assert!(interference_for_rise(Decibels::ZERO).as_db().is_finite());
    }

    #[test]
    fn without_external_noise_beyond_thermal_the_floor_is_the_receiver_s_own() {
        let floor = noise_floor(Bandwidth::hz(12_500), Decibels::ZERO, Decibels::db(7.0));
        assert!((floor.as_dbm() - (-133.01 + 7.0)).abs() < 0.01, "{floor:?}");
    }

    #[test]
    fn the_range_of_the_published_lines_is_told() {
        let at =
            |surroundings, hertz| man_made_noise(surroundings, Frequency::hz(hertz)).extrapolated;
        assert!(!at(Surroundings::Residential, 250_000_000));
        assert!(at(Surroundings::Residential, 250_000_001));
        assert!(!at(Surroundings::City, 900_000_000));
        assert!(at(Surroundings::City, 900_000_001));
    }

    #[test]
    fn on_a_quiet_hill_the_galaxy_is_louder_than_people() {
        let frequency = Frequency::hz(145_000_000);
        let both = external_noise(Surroundings::QuietRural, frequency).above_thermal;
        let galaxy = galactic_noise(frequency);
        assert!((galaxy.as_db() - 2.29).abs() < 0.005, "{galaxy:?}");
        assert!(both > galaxy && (both - galaxy).as_db() < 0.5);
    }
}
