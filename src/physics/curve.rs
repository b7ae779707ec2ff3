//! A figure in dB between the offsets it is stated at.

use crate::quantity::{Decibels, Offset};

/// A figure at some offset; points stand by increasing offset.
pub type Point = (Offset, Decibels);

/// The figure at an offset, on a straight line in dB over the offset between points, level before the first and after
/// the last.
///
/// # Example
/// 7 dB at 0 Hz and 12 dB at 1 MHz: 9.5 dB at 500 kHz.
pub fn linear_at(points: impl IntoIterator<Item = Point>, offset: Offset) -> Decibels {
    at(points, offset, |offset| offset.as_hz() as f64)
}

/// The figure at an offset, on a straight line in dB over the logarithm of the offset between points, as noise falls;
/// level before the first and after the last.
///
/// # Example
/// −120 dB at 100 kHz and −140 dB at 10 MHz: −130 dB at 1 MHz.
pub fn logarithmic_at(points: impl IntoIterator<Item = Point>, offset: Offset) -> Decibels {
    at(points, offset, |offset| {
        (offset.as_hz().max(1) as f64).log10()
    })
}

/// What a density in one hertz adds up to between two offsets, against the same reference.
///
/// The mean of the power density over equal parts, each taken at its middle, times the width.
///
/// # Source
/// Midpoint rule; with 32 parts within 0.05 dB of the closed form over an octave that falls by 20 dB a decade.
///
/// # Example
/// −130 dB in one hertz everywhere, 12 kHz wide: −89.2 dB.
pub fn density_over(
    points: &(impl Iterator<Item = Point> + Clone),
    from: Offset,
    to: Offset,
) -> Decibels {
    const PARTS: i64 = 32;
    let width = (to.as_hz() - from.as_hz()).max(1);
    // Beyond the last point the density is the same everywhere.
    if let Some((last, density)) = points.clone().last()
        && from >= last
    {
        return density + Decibels::of_power(width as f64);
    }
    let mean = (0..PARTS)
        .map(|part| {
            let middle = from.as_hz() + width * (2 * part + 1) / (2 * PARTS);
            logarithmic_at(points.clone(), Offset::hz(middle.abs())).as_power()
        })
        .sum::<f64>()
        / PARTS as f64;
    Decibels::of_power(mean * width as f64)
}

fn at(
    points: impl IntoIterator<Item = Point>,
    offset: Offset,
    axis: impl Fn(Offset) -> f64,
) -> Decibels {
    let mut before: Option<Point> = None;
    for (place, figure) in points {
        if offset <= place {
            let Some((from, lower)) = before else {
                return figure;
            };
            let (low, high) = (axis(from), axis(place));
            let part = if high > low {
                (axis(offset) - low) / (high - low)
            } else {
                1.0
            };
            return lower + (figure - lower) * part;
        }
        before = Some((place, figure));
    }
    before.map_or(Decibels::ZERO, |(_, figure)| figure)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(list: &[(i64, f64)]) -> Vec<Point> {
        list.iter()
            .map(|&(offset, figure)| (Offset::hz(offset), Decibels::db(figure)))
            .collect()
    }

    #[test]
    fn between_points_the_line_is_straight_and_outside_it_is_level() {
        let list = points(&[(0, 7.0), (1_000_000, 12.0)]);
        let found = |hertz| linear_at(list.clone(), Offset::hz(hertz)).as_db();
        assert!((found(500_000) - 9.5).abs() < 1e-9);
        assert!((found(0) - 7.0).abs() < 1e-9 && (found(9_000_000) - 12.0).abs() < 1e-9);
        assert_eq!(linear_at([], Offset::hz(1)), Decibels::ZERO);
    }

    /// The closed form for a density that falls as 1/f², k/a − k/b.
    #[test]
    fn a_density_adds_up_to_its_integral() {
        let list = points(&[(100_000, -120.0), (10_000_000, -160.0)]);
        let found = density_over(
            &list.iter().copied(),
            Offset::hz(1_000_000),
            Offset::hz(2_000_000),
        )
        .as_db();
        let at_one_megahertz = 1e-14;
        let exact = at_one_megahertz * 1e12 * (1.0 / 1e6 - 1.0 / 2e6);
        assert!((found - 10.0 * f64::log10(exact)).abs() < 0.05, "{found}");
        let flat = points(&[(1, -130.0)]);
        let flat = density_over(
            &flat.iter().copied(),
            Offset::hz(994_000),
            Offset::hz(1_006_000),
        )
        .as_db();
        assert!((flat - (-130.0 + 10.0 * f64::log10(12_000.0))).abs() < 1e-9);
    }

    #[test]
    fn of_two_points_that_a_logarithmic_axis_takes_as_one_the_further_counts() {
        // Nearer than a hertz there is no nearer.
        let list = points(&[(0, 7.0), (1, 12.0), (100, 16.0)]);
        let found = |hertz| logarithmic_at(list.clone(), Offset::hz(hertz)).as_db();
        assert!((found(1) - 12.0).abs() < 1e-9, "{}", found(1));
        assert!((found(10) - 14.0).abs() < 1e-9, "{}", found(10));
    }
}
