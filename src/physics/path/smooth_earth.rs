//! Diffraction over a smooth earth, beyond the horizon and just before it.

use super::free_space::free_space;
use super::{ModelLoss, PathGeometry, PathModel, Polarisation};
use crate::physics::horizon::{EARTH_RADIUS_M, EFFECTIVE_RADIUS_FACTOR};
use crate::quantity::{Decibels, Length};

pub(super) const MODEL: PathModel = PathModel {
    id: "smooth-earth",
    title: "diffraction over a smooth earth",
    source: "ITU-R P.526, sections 3.1.1 and 3.2 (from memory)",
    loss: |path| {
        let beyond_free_space = smooth_earth(path);
        Some(ModelLoss {
            loss: free_space(path) + beyond_free_space,
            outside_range: (path.frequency.as_mhz() < 10.0)
                .then(|| "below 10 MHz the wave along the ground leads".to_owned()),
        })
    },
};

/// Electrical constants of average ground: relative permittivity, and conductivity in siemens per metre.
///
/// # Source
/// ITU-R P.526 and P.527, land (from memory).
const LAND: (f64, f64) = (22.0, 0.003);

/// Loss beyond free space by diffraction over a smooth earth; nothing where the ray clears the ground.
///
/// Beyond the horizon the residue series' first term, `−F(X) − G(Y₁) − G(Y₂)`. Within it, when the clearance h is below
/// `0.552·√(d₁d₂λ/d)`, the share `1 − h/h_required` of the loss over an earth on which the path would just touch.
///
/// # Valid
/// 10 MHz and above, average ground, 4/3 earth.
///
/// # Source
/// ITU-R P.526 (edition 15's numbering), sections 3.1.1.2 and 3.2 (from memory).
fn smooth_earth(path: &PathGeometry) -> Decibels {
    let radius = EFFECTIVE_RADIUS_FACTOR * EARTH_RADIUS_M;
    let distance = path.far_distance().as_metres();
    let [one, other] = path.heights().map(Length::as_metres);
    let (high, low) = (one.max(other), one.min(other));
    let horizon = (2.0 * radius).sqrt() * (high.sqrt() + low.sqrt());
    if distance >= horizon {
        return first_term(path, radius, distance, [high, low]).max(Decibels::ZERO);
    }
    within_sight(path, 1.0)
}

/// The same for a path whose ends see each other, with a share of no more than `most`.
pub(super) fn within_sight(path: &PathGeometry, most: f64) -> Decibels {
    let radius = EFFECTIVE_RADIUS_FACTOR * EARTH_RADIUS_M;
    let distance = path.far_distance().as_metres();
    let [one, other] = path.heights().map(Length::as_metres);
    let (high, low) = (one.max(other), one.min(other));
    let (clearance, required) = clearance(path, radius, distance, [high, low]);
    let share = (1.0 - clearance / required).clamp(0.0, 1.0).min(most);
    if share <= 0.0 {
        return Decibels::ZERO;
    }
    let roots = (high.sqrt() + low.sqrt()).max(f64::MIN_POSITIVE.sqrt());
    let touching = 0.5 * (distance / roots).powi(2);
    first_term(path, touching, distance, [high, low]).max(Decibels::ZERO) * share
}

/// The smallest height of the ray over the curved ground, and the height it needs to lose nothing, in metres.
fn clearance(path: &PathGeometry, radius: f64, distance: f64, [high, low]: [f64; 2]) -> (f64, f64) {
    let sum = (high + low).max(f64::MIN_POSITIVE);
    let c = (high - low) / sum;
    let m = distance * distance / (4.0 * radius * sum);
    let cosine = (1.5 * c * (3.0 * m / (m + 1.0).powi(3)).sqrt()).clamp(-1.0, 1.0);
    let b = 2.0
        * ((m + 1.0) / (3.0 * m)).sqrt()
        * (std::f64::consts::FRAC_PI_3 + cosine.acos() / 3.0).cos();
    let first = (distance / 2.0 * (1.0 + b)).clamp(0.0, distance);
    let second = distance - first;
    let over = |height: f64, away: f64| height - away * away / (2.0 * radius);
    let clearance = (over(high, first) * second + over(low, second) * first) / distance;
    let required = 0.552 * (first * second * path.frequency.wavelength_m() / distance).sqrt();
    (clearance, required)
}

/// The first term of the residue series over an earth of the given effective radius, in metres.
fn first_term(path: &PathGeometry, radius: f64, distance: f64, heights: [f64; 2]) -> Decibels {
    let megahertz = path.frequency.as_mhz().max(1e-6);
    let radius_km = radius / 1e3;
    let admittance = surface_admittance(path.polarisation, megahertz, radius_km);
    let square = admittance * admittance;
    // Above 20 MHz over land β is one to three decimals; the formula is used for every case alike.
    let beta = (1.0 + 1.6 * square + 0.67 * square * square)
        / (1.0 + 4.5 * square + 1.53 * square * square);
    let x = 2.188 * beta * megahertz.cbrt() * radius_km.powf(-2.0 / 3.0) * distance / 1e3;
    let gain = |height: f64| {
        let y = 9.575e-3 * beta * megahertz.powf(2.0 / 3.0) / radius_km.cbrt() * height;
        height_gain(beta * y, admittance)
    };
    Decibels::db(-distance_term(x) - heights.map(gain).iter().sum::<f64>())
}

/// The normalised surface admittance K of land.
fn surface_admittance(polarisation: Polarisation, megahertz: f64, radius_km: f64) -> f64 {
    let (permittivity, conductivity) = LAND;
    let loss = 18_000.0 * conductivity / megahertz;
    let horizontal = 0.36
        * (radius_km * megahertz).powf(-1.0 / 3.0)
        * ((permittivity - 1.0).powi(2) + loss * loss).powf(-0.25);
    match polarisation {
        Polarisation::Horizontal => horizontal,
        Polarisation::Vertical => horizontal * permittivity.hypot(loss),
    }
}

/// F(X): how the field falls with the normalised distance, in dB.
fn distance_term(x: f64) -> f64 {
    let x = x.max(1e-9);
    if x >= 1.6 {
        11.0 + 10.0 * x.log10() - 17.6 * x
    } else {
        -20.0 * x.log10() - 5.6488 * x.powf(1.425)
    }
}

/// G(Y): what height gains, in dB, from `B = β·Y`.
fn height_gain(b: f64, admittance: f64) -> f64 {
    let gain = if b > 2.0 {
        17.6 * (b - 1.1).sqrt() - 5.0 * (b - 1.1).log10() - 8.0
    } else {
        20.0 * (b + 0.1 * b.powi(3)).max(1e-12).log10()
    };
    gain.max(2.0 + 20.0 * admittance.log10())
}

#[cfg(test)]
mod tests {
    use super::super::sample::level_path;
    use super::*;

    #[test]
    fn a_path_well_clear_of_the_ground_loses_nothing_more() {
        assert_eq!(
            smooth_earth(&level_path(435, 1_000.0, [100.0, 100.0])),
            Decibels::ZERO
        );
    }

    #[test]
    fn the_loss_joins_at_the_horizon_and_grows_beyond() {
        let horizon = (2.0 * EFFECTIVE_RADIUS_FACTOR * EARTH_RADIUS_M).sqrt()
            * (30f64.sqrt() + 1.5f64.sqrt());
        let at = |metres| smooth_earth(&level_path(145, metres, [30.0, 1.5])).as_db();
        assert!((at(horizon - 1.0) - at(horizon + 1.0)).abs() < 0.01);
        assert!(at(horizon * 1.2) > at(horizon) && at(horizon) > at(horizon * 0.8));
    }

    #[test]
    fn raising_an_antenna_never_costs_anything() {
        let losses: Vec<f64> = [1.0, 3.0, 10.0, 30.0, 100.0, 300.0]
            .map(|height| smooth_earth(&level_path(145, 60_000.0, [height, 2.0])).as_db())
            .to_vec();
        assert!(losses.is_sorted_by(|low, high| low >= high), "{losses:?}");
    }

    /// ITU-R P.526, the admittance of the surface and the first term of the residue series (from memory), worked out by
    /// another program: 60 km over land between 100 and 50 m, where the ground matters most.
    #[test]
    fn at_low_frequencies_the_ground_counts_as_the_published_formulas_say() {
        for (hertz, polarisation, admittance, term) in [
            (1_000_000, Polarisation::Vertical, 0.135_128_767, 21.318_284),
            (
                1_000_000,
                Polarisation::Horizontal,
                0.002_317_439,
                50.227_049,
            ),
            (300_000, Polarisation::Vertical, 0.354_958_298, -1.466_867),
            (10_000, Polarisation::Vertical, 6.016_746_319, -65.789_779),
            (
                145_000_000,
                Polarisation::Vertical,
                0.016_120_604,
                15.793_875,
            ),
        ] {
            let path = PathGeometry {
                frequency: crate::quantity::Frequency::hz(hertz),
                polarisation,
                ..level_path(145, 60_000.0, [100.0, 50.0])
            };
            let found = surface_admittance(polarisation, hertz as f64 / 1e6, 8_500.0);
            assert!((found - admittance).abs() < 1e-8, "{hertz}: {found}");
            let found = first_term(&path, 8_500_000.0, 60_000.0, [100.0, 50.0]).as_db();
            assert!((found - term).abs() < 1e-5, "{hertz}: {found}");
        }
    }
}
