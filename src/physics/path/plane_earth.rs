//! Plane earth: the direct ray and its reflection almost cancel near the ground.

use super::free_space::free_space;
use super::{ModelLoss, PathGeometry, PathModel};
use crate::quantity::Decibels;

pub(super) const MODEL: PathModel = PathModel {
    id: "plane-earth",
    title: "plane earth",
    source: "two rays over a flat earth, textbook (from memory)",
    loss: |path| Some(ModelLoss::inside(plane_earth(path).max(free_space(path)))),
};

/// The lowest height an antenna counts as having: below it the wave along the ground carries the signal instead.
///
/// # Source
/// Common practice.
const LOWEST_HEIGHT_M: f64 = 1.0;

/// Loss over a flat, perfectly reflecting ground, beyond the last maximum of the interference pattern.
///
/// `40·log₁₀ d − 20·log₁₀(h₁·h₂)`, independent of frequency. [`MODEL`] takes free space where that is more.
///
/// # Units
/// - d, h: metres
///
/// # Source
/// Textbook (from memory): reflection factor −1 and `4πh₁h₂/λd` small.
///
/// # Example
/// 10 km, 10 m and 1.5 m: 136.48 dB.
fn plane_earth(path: &PathGeometry) -> Decibels {
    let [one, other] = path
        .heights()
        .map(|height| height.as_metres().max(LOWEST_HEIGHT_M));
    let distance = path.far_distance().as_metres();
    Decibels::of_power((distance * distance / (one * other)).powi(2))
}

#[cfg(test)]
mod tests {
    use super::super::sample::level_path;
    use super::*;
    use crate::quantity::Length;

    /// The two rays themselves, with a reflection factor of −1.
    fn two_rays(path: &PathGeometry) -> f64 {
        let [one, other] = path.heights().map(Length::as_metres);
        let distance = path.distance.as_metres();
        let turn = std::f64::consts::TAU / path.frequency.wavelength_m();
        let difference = distance.hypot(one + other) - distance.hypot(one - other);
        free_space(path).as_db() - 20.0 * (2.0 * (turn * difference / 2.0).sin().abs()).log10()
    }

    #[test]
    fn far_out_it_is_what_two_rays_add_up_to() {
        for metres in [5_000.0, 10_000.0, 30_000.0] {
            let path = level_path(145, metres, [10.0, 1.5]);
            let (plane, rays) = (plane_earth(&path).as_db(), two_rays(&path));
            assert!((plane - rays).abs() < 0.02, "{metres}: {plane} {rays}");
        }
    }

    /// They are equal at `4πh₁h₂/λ`, 91.2 m for 10 m and 1.5 m at 145 MHz.
    #[test]
    fn free_space_leads_up_to_the_crossover_and_not_beyond() {
        let at = |metres| {
            let path = level_path(145, metres, [10.0, 1.5]);
            ((MODEL.loss)(&path).unwrap().loss, free_space(&path))
        };
        let (near, near_free) = at(91.0);
        let (beyond, beyond_free) = at(91.4);
        assert!(near == near_free && beyond > beyond_free);
    }
}
