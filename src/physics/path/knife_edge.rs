//! Diffraction over one sharp obstacle.

use super::free_space::free_space;
use super::{ModelLoss, Obstacle, PathGeometry, PathModel};
use crate::physics::horizon::{EARTH_RADIUS_M, EFFECTIVE_RADIUS_FACTOR};
use crate::quantity::{Decibels, Frequency, Length};

pub(super) const MODEL: PathModel = PathModel {
    id: "knife-edge",
    title: "one sharp obstacle",
    source: "ITU-R P.526, single knife edge (from memory)",
    loss: |path| {
        let v = parameter(path, path.obstacle?)?;
        Some(ModelLoss::inside(free_space(path) + knife_edge_loss(v)))
    },
};

/// The loss of a knife edge over free space, by its parameter ν.
///
/// `6.9 + 20·log₁₀(√((ν − 0.1)² + 1) + ν − 0.1)` for ν above −0.78, and nothing below.
///
/// # Source
/// ITU-R P.526, approximation of J(ν) (from memory).
///
/// # Example
/// ν = 0, just touching: 6.03 dB.
pub fn knife_edge_loss(v: f64) -> Decibels {
    if v > -0.78 {
        let past = v - 0.1;
        Decibels::db(6.9 + 20.0 * (past.hypot(1.0) + past).log10()).max(Decibels::ZERO)
    } else {
        Decibels::ZERO
    }
}

/// The parameter ν of an edge: `h·√(2/λ·(1/d₁ + 1/d₂))`, with h its height above the straight line between the ends.
///
/// # Source
/// ITU-R P.526 (from memory).
pub fn knife_edge_parameter(
    frequency: Frequency,
    above_line: Length,
    from_one: Length,
    from_other: Length,
) -> f64 {
    let near = frequency.wavelength_m();
    let inverse = |length: Length| 1.0 / length.as_metres().abs().max(near);
    above_line.as_metres() * (2.0 / near * (inverse(from_one) + inverse(from_other))).sqrt()
}

/// ν of the obstacle on a path, the bulge of the earth below it included; none if it is not between the ends.
fn parameter(path: &PathGeometry, obstacle: Obstacle) -> Option<f64> {
    let whole = path.far_distance().as_metres();
    let first = obstacle.from_first.as_metres();
    let second = whole - first;
    if first <= 0.0 || second <= 0.0 {
        return None;
    }
    let [one, other] = path
        .ends
        .map(|end| end.ground.as_metres() + end.antenna.as_metres());
    let bulge = first * second / (2.0 * EFFECTIVE_RADIUS_FACTOR * EARTH_RADIUS_M);
    let above = obstacle.top.as_metres() + bulge - (one * second + other * first) / whole;
    Some(knife_edge_parameter(
        path.frequency,
        Length::metres(above),
        Length::metres(first),
        Length::metres(second),
    ))
}

#[cfg(test)]
mod tests {
    use super::super::sample::level_path;
    use super::*;

    fn over(top: f64, from_first: f64) -> Option<Decibels> {
        let path = PathGeometry {
            obstacle: Some(Obstacle {
                from_first: Length::metres(from_first),
                top: Length::metres(top),
            }),
            ..level_path(145, 10_000.0, [10.0, 10.0])
        };
        (MODEL.loss)(&path).map(|found| found.loss - free_space(&path))
    }

    #[test]
    fn a_ridge_on_the_line_costs_six_decibels_and_one_far_below_nothing() {
        // Halfway on 10 km the earth itself stands 1.5 m high.
        let touching = over(10.0 - 1.471_5, 5_000.0).unwrap();
        assert!((touching.as_db() - 6.03).abs() < 0.02, "{touching:?}");
        assert_eq!(over(-200.0, 5_000.0), Some(Decibels::ZERO));
        assert!(over(100.0, 5_000.0).unwrap() > touching);
    }

    #[test]
    fn what_is_not_between_the_ends_is_no_obstacle() {
        assert_eq!(over(100.0, 0.0), None);
        assert_eq!(over(100.0, 10_000.0), None);
        assert_eq!((MODEL.loss)(&level_path(145, 1e4, [10.0, 10.0])), None);
    }
}
