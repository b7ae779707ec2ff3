//! How far figures of each kind are usually off, as standard deviations in dB.
//!
//! Levels in dB are taken as normally distributed and independent, as in ITU-R SM.1134 (from memory): their sum is then
//! normal too, and no drawing of random numbers is needed.

use crate::provenance::Sourced;
use crate::quantity::{Decibels, Frequency};

/// A path between two antennas on average against the one at hand: shadowing by ground, buildings and trees.
///
/// `1.2 + 1.3·log₁₀ f`, f in megahertz, for antennas below their surroundings.
///
/// # Source
/// ITU-R P.1546, location variability of analogue and narrow-band mobile systems (from memory).
///
/// # Example
/// 145 MHz: 4.0 dB; 435 MHz: 4.6 dB.
pub fn shadowing(frequency: Frequency) -> Decibels {
    Decibels::db(1.2 + 1.3 * frequency.as_mhz().max(1.0).log10())
}

/// Two antennas at one site by formula.
///
/// # Source
/// Choice: the formulas are said to be good to some ten decibels; taken as 1.64 standard deviations, nine in ten cases.
pub const AT_ONE_SITE: Decibels = Decibels::db(6.0);

/// An isolation that somebody measured.
///
/// # Source
/// Choice: what two careful people with hand instruments differ by.
pub const MEASURED: Decibels = Decibels::db(2.0);

/// A ridge that somebody stated, taken as one sharp edge.
///
/// # Source
/// Choice: a rounded top loses some dB more, a gap in it some less; ten decibels as 1.64 standard deviations.
pub const RIDGE: Decibels = Decibels::db(6.0);

/// The conversion loss of an output stage, and what a joint makes of two carriers.
///
/// # Source
/// Choice: a third of the range that common practice gives for one offset.
pub const CONVERSION: Decibels = Decibels::db(5.0);

/// Man-made noise at one place against the median of such places.
///
/// # Source
/// ITU-R P.372, location variability in residential areas, decile 5.8 dB (from memory), over 1.28.
pub const NOISE: Decibels = Decibels::db(4.5);

/// A figure of a piece of equipment: small when the user states it, larger when a profile of its kind stands in.
///
/// # Source
/// Choice: one decibel for a stated power or rejection; four for one specimen of a class against the class.
pub const fn equipment<T>(figure: &Sourced<T>) -> Decibels {
    if figure.is_stated() {
        Decibels::db(1.0)
    } else {
        Decibels::db(4.0)
    }
}

/// A transmitter's power: small when stated, larger when it is the name-plate of a power step.
///
/// # Source
/// Choice: name-plate steps are met within 20 %, one decibel; a stated figure within half of that.
pub const fn power<T>(figure: &Sourced<T>) -> Decibels {
    if figure.is_stated() {
        Decibels::db(0.5)
    } else {
        Decibels::db(1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ITU-R P.1546 by its formula (from memory).
    #[test]
    fn shadowing_grows_with_frequency() {
        let at = |hertz| shadowing(Frequency::hz(hertz)).as_db();
        assert!((at(145_000_000) - 4.01).abs() < 0.01 && (at(435_000_000) - 4.63).abs() < 0.01);
    }
}
