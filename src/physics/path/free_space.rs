//! Free space: the least a path can lose.

use super::{ModelLoss, PathGeometry, PathModel};
use crate::quantity::Decibels;

pub(super) const MODEL: PathModel = PathModel {
    id: "free-space",
    title: "free space",
    source: "ITU-R P.525 (from memory)",
    loss: |path| Some(ModelLoss::inside(free_space(path))),
};

/// Loss between two isotropic antennas in free space.
///
/// `20·log₁₀(4πd/λ)`: a bound for interference, too kind for service. A distance below `λ/2π` counts as that, 6.02 dB.
///
/// # Source
/// ITU-R P.525 (from memory).
///
/// # Example
/// 10 km at 145 MHz: 95.68 dB.
pub(super) fn free_space(path: &PathGeometry) -> Decibels {
    let wavelengths = path.far_distance().as_metres() / path.frequency.wavelength_m();
    Decibels::of_power((4.0 * std::f64::consts::PI * wavelengths).powi(2))
}
