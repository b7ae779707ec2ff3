//! Power density and field strength in front of an antenna.

use std::fmt;

use crate::quantity::{Decibels, Duty, Length, Level, Power};

/// The impedance of free space, ohms, rounded as the exposure standards do.
///
/// # Source
/// FCC OET Bulletin 65 and ICNIRP use 377 Ω (from memory).
const FREE_SPACE_IMPEDANCE: f64 = 377.0;

/// The smallest distance a formula is asked at, metres: it keeps the density finite, nothing more.
const NEAREST_M: f64 = 0.01;

/// Power through an area, in watts per square metre.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct PowerDensity(f64);

impl PowerDensity {
    /// A density in watts per square metre, above zero.
    pub const fn watts_per_m2(value: f64) -> Self {
        Self(value.max(1e-15).min(1e12))
    }

    /// This density in watts per square metre.
    pub const fn as_watts_per_m2(self) -> f64 {
        self.0
    }

    /// The field strength of a plane wave of this density: `√(377·S)`.
    pub fn field(self) -> FieldStrength {
        FieldStrength((self.0 * FREE_SPACE_IMPEDANCE).sqrt())
    }
}

impl fmt::Display for PowerDensity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{:.2} W/m²", self.0))
    }
}

/// An electric field, in volts per metre.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct FieldStrength(f64);

impl FieldStrength {
    /// This field in volts per metre, root mean square.
    pub const fn as_volts_per_m(self) -> f64 {
        self.0
    }
}

impl fmt::Display for FieldStrength {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{:.1} V/m", self.0))
    }
}

/// How much the ground adds to the field.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum GroundReflection {
    /// No reflection.
    None,
    /// The usual one: 1.6 times the field.
    Usual,
    /// A perfect one: twice the field.
    Full,
}

impl GroundReflection {
    /// The factor on the power density: 1, 2.56 or 4.
    ///
    /// # Source
    /// FCC OET Bulletin 65, edition 97-01 (from memory): field factors 1.6 and 2.
    pub const fn power_factor(self) -> f64 {
        match self {
            Self::None => 1.0,
            Self::Usual => 1.6 * 1.6,
            Self::Full => 4.0,
        }
    }
}

/// Power into an isotropic antenna that does the same: transmitter level less feeder loss plus gain over isotropic.
pub fn eirp(transmitter: Level, feeder_loss: Decibels, gain: Decibels) -> Power {
    Power::of_level(transmitter - feeder_loss + gain)
}

/// Effective radiated power (over a half-wave dipole) as power over isotropic: 2.15 dB more.
///
/// # Source
/// ITU Radio Regulations 1.161 and 1.162 (from memory).
pub fn eirp_of_erp(erp: Power) -> Power {
    Power::of_level(erp.level() + Power::dipole_over_isotropic())
}

/// Power over isotropic as effective radiated power (over a half-wave dipole): 2.15 dB less.
///
/// # Example
/// 10 W EIRP: 6.10 W ERP.
pub fn erp_of_eirp(eirp: Power) -> Power {
    Power::of_level(eirp.level() - Power::dipole_over_isotropic())
}

/// Power density at a distance in the main direction, averaged over the duty.
///
/// `S = F·EIRP·duty/(4πR²)`, with F the ground's factor on the power.
///
/// # Units
/// - returns: W/m²
///
/// # Source
/// FCC OET Bulletin 65, edition 97-01 (from memory).
pub fn power_density(
    eirp: Power,
    duty: Duty,
    reflection: GroundReflection,
    distance: Length,
) -> PowerDensity {
    let distance = distance.as_metres().abs().max(NEAREST_M);
    let sphere = 4.0 * std::f64::consts::PI * distance * distance;
    PowerDensity::watts_per_m2(
        reflection.power_factor() * eirp.as_watts() * duty.as_fraction() / sphere,
    )
}

/// Field strength at a distance in the main direction: `√(30·F·EIRP·duty)/R`.
///
/// # Source
/// FCC OET Bulletin 65, edition 97-01 (from memory); the same as [`power_density`] with an impedance of 120π Ω.
pub fn field_strength(
    eirp: Power,
    duty: Duty,
    reflection: GroundReflection,
    distance: Length,
) -> FieldStrength {
    let distance = distance.as_metres().abs().max(NEAREST_M);
    let power = reflection.power_factor() * eirp.as_watts() * duty.as_fraction();
    FieldStrength((30.0 * power).sqrt() / distance)
}

/// How far away the density falls to a limit: `R = √(F·EIRP·duty/(4πS))`.
///
/// # Source
/// [`power_density`] solved for the distance.
///
/// # Example
/// 5 W continuous into 2.15 dBi, limit 2 W/m², usual ground: 0.91 m.
pub fn keep_clear(
    eirp: Power,
    duty: Duty,
    reflection: GroundReflection,
    limit: PowerDensity,
) -> Length {
    let power = reflection.power_factor() * eirp.as_watts() * duty.as_fraction();
    Length::metres((power / (4.0 * std::f64::consts::PI * limit.as_watts_per_m2())).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn at_the_keep_clear_distance_the_density_is_the_limit() {
        let limit = PowerDensity::watts_per_m2(2.0);
        let (eirp, duty, ground) = (
            Power::watts(82.0),
            Duty::fraction(0.5),
            GroundReflection::Usual,
        );
        let distance = keep_clear(eirp, duty, ground, limit);
        let there = power_density(eirp, duty, ground, distance);
        assert!((there.as_watts_per_m2() - 2.0).abs() < 1e-9);
        let field = field_strength(eirp, duty, ground, distance);
        assert!((field.as_volts_per_m() / limit.field().as_volts_per_m() - 1.0).abs() < 1e-3);
    }

    #[test]
    fn touching_the_antenna_is_no_division_by_zero() {
        let there = power_density(
            Power::watts(50.0),
            Duty::CONTINUOUS,
            GroundReflection::Full,
            Length::metres(0.0),
        );
        assert!(there.as_watts_per_m2().is_finite());
    }

    /// ITU Radio Regulations 1.161 and 1.162 (from memory): a dipole has 2.15 dB, a factor of 1.64.
    #[test]
    fn ten_watts_over_a_dipole_are_sixteen_over_isotropic_and_a_field_is_told_in_volts_per_metre() {
        let eirp = eirp_of_erp(Power::watts(10.0));
        assert!((eirp.as_watts() - 16.4).abs() < 0.02, "{}", eirp.as_watts());
        assert!((erp_of_eirp(eirp).as_watts() - 10.0).abs() < 1e-9);
        assert_eq!(FieldStrength(27.54).to_string(), "27.5 V/m");
        assert_eq!(format!("{:>9}", FieldStrength(27.54)), " 27.5 V/m");
    }
}
