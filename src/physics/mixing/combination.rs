//! The place, width and uncertainty of one combination of signals.

use crate::quantity::{Bandwidth, Emission, Frequency, Offset, Span, Tolerance};

/// The order of a combination: the sum of its coefficients without their signs.
///
/// # Example
/// 2A − B: 3.
pub fn order(coefficients: impl IntoIterator<Item = i64>) -> u64 {
    coefficients.into_iter().fold(0, |sum: u64, coefficient| {
        sum.saturating_add(coefficient.unsigned_abs())
    })
}

/// Where a combination lies, exactly; none if it is beyond 64 bits.
///
/// The value keeps its sign: a negative one is heard at the same place above zero.
///
/// # Example
/// 2 × 145.500 − 145.700 MHz: 145.300 MHz.
pub fn combined_frequency(terms: &[(i64, Frequency)]) -> Option<Frequency> {
    terms
        .iter()
        .try_fold(0i64, |sum, (coefficient, frequency)| {
            sum.checked_add(frequency.as_hz().checked_mul(*coefficient)?)
        })
        .map(Frequency::hz)
}

/// A combination as a planner writes it: `2 × 145.2250 − 433.4500`, in megahertz.
///
/// Terms with coefficient zero are left out, and the first positive term leads.
pub fn arithmetic(terms: &[(i64, Frequency)]) -> String {
    let mut written: Vec<_> = terms.iter().filter(|term| term.0 != 0).collect();
    let lead = written.iter().position(|term| term.0 > 0).unwrap_or(0);
    if let Some(head) = written.get_mut(..=lead) {
        head.rotate_right(1);
    }
    let mut text = String::new();
    for (coefficient, frequency) in written {
        text.push_str(match (text.is_empty(), *coefficient < 0) {
            (true, false) => "",
            (true, true) => "−",
            (false, false) => " + ",
            (false, true) => " − ",
        });
        if coefficient.unsigned_abs() != 1 {
            text.push_str(&coefficient.unsigned_abs().to_string());
            text.push_str(" × ");
        }
        text.push_str(&frequency.digits());
    }
    text
}

/// The width a product can take, from the deviations of its sources.
///
/// `2·Σ|c|·D + 2M` for angle-modulated terms, whose deviations add at worst; a term without a deviation contributes
/// `|c|·B`. Never wider than `Σ|c|·B`. M is the largest modulating frequency among the angle-modulated terms.
///
/// # Units
/// - D, M, B and the result: hertz
///
/// # Source
/// Carson's rule (ITU-R SM.1138, `2M + 2DK` with K = 1) applied to the sum of the phases: own derivation.
///
/// # Example
/// 2A − B, both with D 5 kHz and M 3 kHz: 36 kHz.
pub fn product_width(terms: &[(i64, Emission)]) -> Bandwidth {
    let mut by_deviation: i64 = 0;
    let mut by_bandwidth: i64 = 0;
    let mut modulation: i64 = 0;
    for (coefficient, emission) in terms.iter().filter(|term| term.0 != 0) {
        let times = coefficient.saturating_abs();
        let occupied = times.saturating_mul(emission.bandwidth.as_hz());
        by_bandwidth = by_bandwidth.saturating_add(occupied);
        by_deviation = by_deviation.saturating_add(match emission.deviation {
            Some(deviation) => {
                modulation = modulation.max(emission.modulation.as_hz());
                times.saturating_mul(deviation.as_hz()).saturating_mul(2)
            }
            None => occupied,
        });
    }
    Bandwidth::hz(
        by_deviation
            .saturating_add(modulation.saturating_mul(2))
            .min(by_bandwidth),
    )
}

/// The most a product can be off its place: `Σ|c|·tolerance`, in hertz.
///
/// The worst case, every source off in the direction that adds.
pub fn product_tolerance(terms: &[(i64, Frequency, Tolerance)]) -> Offset {
    let terms = terms.iter();
    off(terms.map(|(coefficient, frequency, tolerance)| (*coefficient, tolerance.of(*frequency))))
}

/// The same from how far each source can be off, in hertz.
pub fn adding_up(terms: &[(i64, Offset)]) -> Offset {
    off(terms.iter().copied())
}

fn off(terms: impl Iterator<Item = (i64, Offset)>) -> Offset {
    Offset::hz(terms.fold(0i64, |sum, (coefficient, one)| {
        sum.saturating_add(coefficient.saturating_abs().saturating_mul(one.as_hz()))
    }))
}

/// The carriers whose `multiple`-th harmonic lies inside a span, edges included; none if there is no whole hertz there.
///
/// # Example
/// Third harmonic inside 435–438 MHz: 145–146 MHz.
pub fn fundamentals(span: Span, multiple: i64) -> Option<Span> {
    let multiple = multiple.max(1);
    let low = span.low.as_hz().div_euclid(multiple)
        + i64::from(span.low.as_hz().rem_euclid(multiple) != 0);
    let high = span.high.as_hz().div_euclid(multiple);
    (low <= high).then(|| Span::between(Frequency::hz(low), Frequency::hz(high)))
}

#[cfg(test)]
mod tests {
    use super::*;

    const TWO: Frequency = Frequency::hz(145_225_000);
    const SEVENTY: Frequency = Frequency::hz(433_450_000);

    #[test]
    fn a_combination_is_written_with_its_positive_term_first() {
        assert_eq!(
            arithmetic(&[(2, TWO), (-1, SEVENTY)]),
            "2 × 145.2250 − 433.4500"
        );
        assert_eq!(
            arithmetic(&[(-2, TWO), (0, TWO), (1, SEVENTY)]),
            "433.4500 − 2 × 145.2250"
        );
        assert_eq!(arithmetic(&[(-1, TWO)]), "−145.2250");
        assert_eq!(arithmetic(&[]), "");
    }

    #[test]
    fn a_sum_beyond_64_bits_is_none_and_not_a_wrong_place() {
        assert_eq!(combined_frequency(&[(i64::MAX, TWO), (1, SEVENTY)]), None);
        assert_eq!(
            combined_frequency(&[(1, SEVENTY), (-2, TWO)]),
            Some(Frequency::hz(143_000_000))
        );
    }

    #[test]
    fn a_product_is_never_wider_than_its_sources_laid_end_to_end() {
        let voice: Emission = "16K0F3E".parse().unwrap();
        let speech: Emission = "6K00A3E".parse().unwrap();
        let width = |terms: &[(i64, Emission)]| product_width(terms).as_hz();
        assert_eq!(width(&[(1, voice)]), 16_000);
        assert_eq!(width(&[(2, voice), (-1, voice)]), 36_000);
        assert_eq!(width(&[(2, speech), (-1, speech)]), 18_000);
        assert_eq!(width(&[(2, voice), (-1, speech)]), 32_000);
        assert_eq!(width(&[]), 0);
    }

    #[test]
    fn tolerances_add_by_coefficient() {
        let parts = Tolerance::ppb(2_500);
        assert_eq!(
            product_tolerance(&[(3, TWO, parts), (-1, SEVENTY, parts)]),
            Offset::hz(3 * 364 + 1_084)
        );
    }

    #[test]
    fn fundamentals_stop_one_hertz_inside_an_edge_that_does_not_divide() {
        let span = Span::between(Frequency::hz(100), Frequency::hz(200));
        let found = fundamentals(span, 3).unwrap();
        assert_eq!(
            (found.low, found.high),
            (Frequency::hz(34), Frequency::hz(66))
        );
        let narrow = Span::between(Frequency::hz(100), Frequency::hz(101));
        assert_eq!(fundamentals(narrow, 3), None);
    }

    #[test]
    fn what_several_may_be_off_adds_up_whatever_the_signs() {
        assert_eq!(
            adding_up(&[(2, Offset::hz(364)), (-3, Offset::hz(1_084))]),
            Offset::hz(2 * 364 + 3 * 1_084)
        );
        assert_eq!(adding_up(&[]), Offset::hz(0));
    }

    #[test]
    fn terms_that_take_no_part_are_not_written() {
        assert_eq!(
            arithmetic(&[(0, TWO), (-1, TWO), (0, TWO), (2, SEVENTY)]),
            "2 × 433.4500 − 145.2250"
        );
    }
}
