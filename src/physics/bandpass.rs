//! What a band-pass filter of a few resonators takes beside its passband.

use crate::quantity::{Bandwidth, Decibels, Offset};

/// Loss of a maximally flat band-pass this far from its middle, half the power at the edges of its passband.
///
/// `10·log₁₀(1 + (2δ/B)^2N)`: far out `6·N` dB an octave. What leaks past the filter is not in it.
///
/// # Units
/// - `passband` B: from one half-power point to the other
/// - `poles` N: resonators, as the parts lists of crystal filters count them
/// - `off` δ: from the middle
///
/// # Valid
/// Where δ is far below the filter's own frequency, as at an IF. A crystal filter has further, narrow responses near its
/// passband and at its overtones, which are not in it.
///
/// # Source
/// S. Butterworth, *On the Theory of Filter Amplifiers*, 1930; the band-pass by the usual transformation (from memory).
///
/// # Example
/// 15 kHz, two poles: 20.9 dB at 25 kHz, 59.3 dB at 227.5 kHz.
pub fn maximally_flat(passband: Bandwidth, poles: u32, off: Offset) -> Decibels {
    let ratio = 2.0 * off.abs().as_hz() as f64 / passband.as_hz().max(1) as f64;
    // Both ends of the law as straight lines in dB, and the bend between them: no power grows past a double.
    let steep = 20.0 * f64::from(poles) * ratio.max(1e-9).log10();
    let bend = 10.0 * (1.0 + 10f64.powf(-steep.abs() / 10.0)).log10();
    Decibels::db(steep.max(0.0) + bend)
}

/// Loss of a filter of two poles, the fewest that are built, this far from its middle, when only its loss far out is known.
///
/// `R − 40·log₁₀(δ₀/δ)`, not below zero: the straight line of [`maximally_flat`] through what is known.
///
/// # Source
/// Own derivation from the above, on the cautious side: more poles take more.
///
/// # Example
/// 60 dB at 910 kHz: 35.9 dB at 227.5 kHz.
pub fn least_through(known: Decibels, at: Offset, off: Offset) -> Decibels {
    let ratio = at.as_hz().max(1) as f64 / off.abs().as_hz().max(1) as f64;
    (known - Decibels::db(40.0 * ratio.max(1.0).log10())).max(Decibels::ZERO)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn loss(passband: i64, poles: u32, off: i64) -> f64 {
        maximally_flat(Bandwidth::hz(passband), poles, Offset::hz(off)).as_db()
    }

    /// Parts lists of 21.4 MHz crystal filters for 25 kHz channels, ±7.5 kHz at 3 dB: 18 dB at ±25 kHz with two poles and
    /// 40 dB with four (from memory).
    #[test]
    fn crystal_filters_of_two_and_four_poles_come_out_as_parts_lists_have_them() {
        assert!((loss(15_000, 2, 25_000) - 18.0).abs() < 3.0);
        assert!((loss(15_000, 4, -25_000) - 40.0).abs() < 3.0);
    }

    /// The definition of the passband, and the textbook slope.
    #[test]
    fn half_the_power_is_lost_at_the_edge_and_six_db_an_octave_and_pole_beyond() {
        assert!((loss(15_000, 3, 7_500) - 10.0 * 2f64.log10()).abs() < 1e-9);
        let octave = loss(15_000, 3, 1_000_000) - loss(15_000, 3, 500_000);
        assert!((octave - 60.0 * 2f64.log10()).abs() < 1e-3);
        assert!(loss(15_000, 3, 0).abs() < 1e-9);
        assert!(loss(1, 20, i64::MAX).is_finite());
    }

    #[test]
    fn two_poles_through_what_is_known_are_what_two_poles_take() {
        let (known, at) = (Decibels::db(loss(15_000, 2, 910_000)), Offset::hz(910_000));
        let off = Offset::hz(227_500);
        let least = least_through(known, at, off).as_db();
        assert!((least - loss(15_000, 2, 227_500)).abs() < 1e-3);
        assert!((least_through(Decibels::db(60.0), at, off).as_db() - 35.9).abs() < 0.05);
        assert_eq!(least_through(known, at, Offset::hz(0)), Decibels::ZERO);
        assert_eq!(least_through(known, at, at), known);
    }
}
