//! Isolation between two antennas at one site.
//!
//! The three formulas are the site engineers' common practice, good to some ten decibels: a measured figure is better.

use crate::quantity::{Decibels, Frequency, Length};

/// The least isolation taken, however close the antennas: two dipoles a quarter-wave apart couple at about this.
///
/// # Source
/// Common practice.
pub const LEAST_ISOLATION: Decibels = Decibels::db(10.0);

/// The most that stacking antennas is taken to give: cables, mast and surroundings couple past it.
///
/// # Source
/// Common practice: claims above 60–70 dB are not believed without a measurement; the lower end is taken.
pub const MOST_FROM_STACKING: Decibels = Decibels::db(60.0);

/// How far two antennas are apart, over the ground and in height, and what they do towards each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Separation {
    /// Between the masts.
    pub horizontal: Length,
    /// Between the antennas' heights, in either direction.
    pub vertical: Length,
    /// The sum of both gains over isotropic, towards each other at the same height.
    pub gains: Decibels,
}

/// Isolation between two antennas, and how it was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Isolation {
    /// The loss between the two sockets.
    pub loss: Decibels,
    /// The formula used, as text with its letters.
    pub formula: &'static str,
    /// What limits the figure: near field, floor or cap.
    pub remarks: Vec<String>,
}

/// Isolation of two antennas side by side: `22 + 20·log₁₀(d/λ) − Gₜ − Gᵣ`, without floor.
///
/// # Source
/// Site-engineering formula (3GPP TR 25.942, TSB-88: from memory); 22 is `20·log₁₀ 4π` rounded, so it is free-space loss.
///
/// # Example
/// 3 m at 145 MHz, 0 dBi each: 25.23 dB.
pub fn horizontal(frequency: Frequency, distance: Length, gains: Decibels) -> Decibels {
    Decibels::db(22.0 + 20.0 * wavelengths(frequency, distance).log10()) - gains
}

/// Isolation of two antennas one above the other on one axis: `28 + 40·log₁₀(d/λ)`, without floor or cap.
///
/// # Source
/// Site-engineering formula (3GPP TR 25.942, TSB-88: from memory).
///
/// # Example
/// 3 m at 145 MHz: 34.47 dB.
pub fn vertical(frequency: Frequency, distance: Length) -> Decibels {
    Decibels::db(28.0 + 40.0 * wavelengths(frequency, distance).log10())
}

/// Isolation of two antennas at one site, wherever they stand to each other.
///
/// Side by side, stacked, or between the two by the angle: `Iₕ + (Iᵥ − Iₕ)·angle/90°`, with each formula on its own
/// component of the distance. Not less than [`LEAST_ISOLATION`]; from stacking not more than [`MOST_FROM_STACKING`],
/// unless free space alone gives more. Gains count for the part side by side only: on the axis an antenna has none.
///
/// # Source
/// Common practice (formulas, floor and cap): from memory.
pub fn isolation(frequency: Frequency, separation: Separation) -> Isolation {
    let across = separation.horizontal.as_metres().abs();
    let up = separation.vertical.as_metres().abs();
    let level = horizontal(frequency, Length::metres(across), separation.gains);
    let stacked = vertical(frequency, Length::metres(up));
    let angle = up.atan2(across).to_degrees();
    let (raw, formula) = if angle < 1.0 {
        (level, "22 + 20·log10(d/λ) − Gt − Gr")
    } else if angle > 89.0 {
        (stacked, "28 + 40·log10(d/λ)")
    } else {
        let (level, stacked) = (level.max(LEAST_ISOLATION), stacked.max(LEAST_ISOLATION));
        (
            level + (stacked - level) * (angle / 90.0),
            "Ih + (Iv − Ih)·angle/90°",
        )
    };
    let mut remarks = near_field(frequency, across, up, angle);
    let slant = Length::metres(across.hypot(up));
    let cap = MOST_FROM_STACKING.max(horizontal(frequency, slant, separation.gains));
    let mut loss = raw;
    if loss > cap {
        loss = cap;
        remarks.push(format!(
            "capped at {cap}: more needs a measurement (common practice)"
        ));
    }
    if loss < LEAST_ISOLATION {
        loss = LEAST_ISOLATION;
        remarks.push(format!(
            "the formula gives {raw}; {LEAST_ISOLATION} is the least taken (common practice)"
        ));
    }
    Isolation {
        loss,
        formula,
        remarks,
    }
}

/// A distance in wavelengths, kept above zero.
fn wavelengths(frequency: Frequency, distance: Length) -> f64 {
    (distance.as_metres().abs() / frequency.wavelength_m()).max(1e-6)
}

/// What to say when the antennas are closer than the formulas are made for.
fn near_field(frequency: Frequency, across: f64, up: f64, angle: f64) -> Vec<String> {
    let wavelength = frequency.wavelength_m();
    let mut remarks = Vec::new();
    if angle <= 89.0 && across.hypot(up) < 10.0 * wavelength {
        remarks.push("nearer than ten wavelengths: the side-by-side formula is rough".to_owned());
    }
    if angle >= 1.0 && up < wavelength {
        remarks
            .push("nearer than one wavelength in height: the stacking formula is rough".to_owned());
    }
    remarks
}

#[cfg(test)]
mod tests {
    use super::*;

    const TWO: Frequency = Frequency::hz(145_000_000);

    fn at(horizontal: f64, vertical: f64) -> Isolation {
        isolation(
            TWO,
            Separation {
                horizontal: Length::metres(horizontal),
                vertical: Length::metres(vertical),
                gains: Decibels::ZERO,
            },
        )
    }

    #[test]
    fn antennas_on_the_same_spot_keep_the_least_isolation() {
        assert_eq!(at(0.0, 0.0).loss, LEAST_ISOLATION);
        assert!(at(0.0, 0.0).remarks.iter().any(|r| r.contains("least")));
    }

    #[test]
    fn stacking_is_capped_and_says_so() {
        let tall = at(0.0, 30.0);
        assert_eq!(tall.loss, MOST_FROM_STACKING);
        assert!(tall.remarks.iter().any(|remark| remark.contains("capped")));
        assert!(at(0.0, 10.0).loss < MOST_FROM_STACKING);
        assert!(
            at(2_000.0, 0.0).loss > MOST_FROM_STACKING,
            "free space is no claim"
        );
    }

    #[test]
    fn a_slant_lies_between_side_by_side_and_stacked() {
        let slant = at(10.0, 10.0).loss;
        assert!(at(10.0, 0.0).loss < slant && slant < at(0.0, 10.0).loss);
        assert!(
            (slant.as_db() - f64::midpoint(35.69, 55.38)).abs() < 0.05,
            "{slant:?}"
        );
    }

    /// Where a wavelength is a metre.
    #[test]
    fn ten_wavelengths_apart_and_one_above_are_far_enough_for_the_formulas() {
        let remarks = |across: f64, up: f64| {
            let separation = Separation {
                horizontal: Length::metres(across),
                vertical: Length::metres(up),
                gains: Decibels::ZERO,
            };
            let remarks = isolation(Frequency::hz(299_792_458), separation).remarks;
            ["side-by-side", "stacking"].map(|what| remarks.iter().any(|one| one.contains(what)))
        };
        assert_eq!(remarks(10.0, 0.0), [false, false]);
        assert_eq!(remarks(9.99, 0.0), [true, false]);
        assert_eq!(remarks(0.0, 1.0), [false, false]);
        assert_eq!(remarks(0.0, 0.99), [false, true]);
        // On the slant both count, by the whole distance and by the height.
        assert_eq!(remarks(6.0, 8.0), [false, false]);
        assert_eq!(remarks(6.0, 7.9), [true, false]);
        assert_eq!(remarks(20.0, 0.9), [false, true]);
        assert_eq!(remarks(0.5, 0.5), [true, true]);
        // Side by side no height is asked for.
        assert_eq!(remarks(20.0, 0.1), [false, false]);
    }

    #[test]
    fn each_angle_has_its_formula() {
        let formula = |horizontal: f64, vertical: f64| at(horizontal, vertical).formula;
        let [side, above, slant] = ["22 + 20", "28 + 40", "Ih + "];
        assert!(formula(10.0, 0.0).starts_with(side));
        assert!(formula(10.0, 0.17).starts_with(side) && formula(10.0, 0.18).starts_with(slant));
        assert!(formula(0.18, 10.0).starts_with(slant) && formula(0.17, 10.0).starts_with(above));
        assert!(formula(0.0, 10.0).starts_with(above));
    }
}
