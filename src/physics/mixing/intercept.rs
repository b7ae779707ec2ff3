//! The level of a product, from intercept points, and intercept points from measured rejections.
//!
//! Expanding `aₙ·xⁿ` for `x = ΣAᵢ·cos ωᵢt`, the line at `Σcᵢωᵢ` with `Σ|cᵢ| = n` has the amplitude
//! `aₙ · n!/Π|cᵢ|! / 2ⁿ⁻¹ · ΠAᵢ^|cᵢ|`. The intercept point of order n is the equal input at which the two-tone product with
//! the largest such factor would be as strong as the input: A ± B, 2A − B, 2A − 2B, 3A − 2B, 3A − 3B, 4A − 3B for the
//! orders 2 to 7. Every other product of that order follows from the ratio of the factors alone.

use crate::quantity::{Decibels, Level};

/// The factorial as a float, for the small numbers a coefficient can be.
fn factorial(number: u64) -> f64 {
    // Past 170 the factorial is beyond a double; no order that matters comes near.
    (1..=number.min(170)).map(|factor| factor as f64).product()
}

/// `n!/Π|cᵢ|!`, with n the sum of the coefficients without sign.
fn multinomial(coefficients: impl Iterator<Item = u64> + Clone) -> f64 {
    let order = coefficients.clone().sum();
    factorial(order) / coefficients.map(factorial).product::<f64>()
}

/// The level of a product, referred to where the intercept is.
///
/// `Σ|cᵢ|·Pᵢ − (n − 1)·IPₙ + 20·log₁₀(k(c)/k(reference))`, with n the order and `k = n!/Π|cᵢ|!`; the reference is the
/// two-tone product that defines the intercept point of that order.
///
/// # Units
/// - levels, `intercept` and the result: dBm at the same point
///
/// # Valid
/// Below compression, where only the lowest order that can make the product counts. Order 1 returns the signal itself.
///
/// # Source
/// Expansion of a power series, own derivation in the module's head; for 2A − B the textbook `2·P_A + P_B − 2·IIP3`.
///
/// # Example
/// 2A − B, both −30 dBm, IIP3 −5 dBm: −80 dBm; A + B − C with the same: 6.02 dB more.
pub fn intermod_level(terms: &[(i64, Level)], intercept: Level) -> Level {
    let coefficients = terms.iter().map(|term| term.0.unsigned_abs().min(64));
    let order: u64 = coefficients.clone().sum();
    let reference = multinomial([order / 2, order - order / 2].into_iter());
    let shape = Decibels::of_power((multinomial(coefficients.clone()) / reference).powi(2));
    let sources: f64 = terms
        .iter()
        .zip(coefficients)
        .map(|((_, level), times)| times as f64 * level.as_dbm())
        .sum();
    Level::dbm(sources - (order as f64 - 1.0) * intercept.as_dbm()) + shape
}

/// The intercept point behind a measured rejection of the reference product of an order, with equal signals.
///
/// Signals at `S + R` make a product as strong as the receiver tolerates, `S − C`:
/// `n·(S + R) − (n − 1)·IPₙ = S − C`. For order 3, `IIP3 = S + 1.5·R + C/2`. For order 2, the half-IF response,
/// `R = (IIP2 − S − C)/2`, with the intercept of the mixer for that response.
///
/// # Units
/// - `sensitivity` S: dBm, the reference level of the measurement
/// - `rejection` R: dB, how far above S the signals stood
/// - `co_channel` C: dB, how far below S a co-channel signal must be to be harmless
///
/// # Source
/// Algebra from the definition of the measurement in the land-mobile standards (ETSI EN 300 086, TIA-603: from memory).
///
/// # Example
/// S −107 dBm, R 65 dB, C 8 dB, order 3: −5.5 dBm.
pub fn intercept_from_rejection(
    order: u32,
    sensitivity: Level,
    rejection: Decibels,
    co_channel: Decibels,
) -> Level {
    let order = f64::from(order.max(2));
    sensitivity + (rejection * order + co_channel) * (1.0 / (order - 1.0))
}

/// The rejection a receiver shows in that measurement, from its intercept point: the inverse of
/// [`intercept_from_rejection`].
///
/// # Example
/// IIP2 40 dBm, S −116 dBm, C 8 dB, order 2: 74 dB.
pub fn rejection_from_intercept(
    order: u32,
    sensitivity: Level,
    intercept: Level,
    co_channel: Decibels,
) -> Decibels {
    let order = f64::from(order.max(2));
    ((intercept - sensitivity) * (order - 1.0) - co_channel) * (1.0 / order)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(level: Level, expected: f64) {
        assert!(
            (level.as_dbm() - expected).abs() < 1e-9,
            "{}",
            level.as_dbm()
        );
    }

    #[test]
    fn at_the_intercept_the_reference_product_is_as_strong_as_its_sources() {
        let at = Level::dbm(-5.0);
        for coefficients in [[1, 1], [2, -1], [2, -2], [3, -2], [3, 3], [4, -3]] {
            near(intermod_level(&coefficients.map(|c| (c, at)), at), -5.0);
        }
    }

    #[test]
    fn three_different_signals_are_twice_as_strong_as_two() {
        let signal = Level::dbm(-30.0);
        let two = intermod_level(&[(2, signal), (-1, signal)], Level::dbm(-5.0));
        let three = intermod_level(&[(1, signal), (1, signal), (-1, signal)], Level::dbm(-5.0));
        near(two, -80.0);
        assert!(((three - two).as_db() - 20.0 * 2f64.log10()).abs() < 1e-9);
    }

    #[test]
    fn a_rejection_and_its_intercept_lead_back_to_each_other() {
        let (sensitivity, co_channel) = (Level::dbm(-116.0), Decibels::db(8.0));
        for order in 2..8 {
            let intercept =
                intercept_from_rejection(order, sensitivity, Decibels::db(70.0), co_channel);
            let back = rejection_from_intercept(order, sensitivity, intercept, co_channel);
            assert!((back.as_db() - 70.0).abs() < 1e-9, "order {order}");
        }
    }

    #[test]
    fn an_absurd_order_still_gives_a_level() {
        let level = intermod_level(
            &[(i64::MIN, Level::dbm(0.0)), (9, Level::dbm(0.0))],
            Level::dbm(0.0),
        );
        assert!(level.as_dbm().is_finite());
        assert!(intermod_level(&[], Level::dbm(0.0)).as_dbm().is_finite());
    }
}
