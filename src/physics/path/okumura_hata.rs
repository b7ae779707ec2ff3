//! Okumura's measurements in and around a city, as Hata's formulas.

use super::free_space::free_space;
use super::{Environment, ModelLoss, PathGeometry, PathModel};
use crate::quantity::{Decibels, Length};

pub(super) const MODEL: PathModel = PathModel {
    id: "okumura-hata",
    title: "Okumura-Hata",
    source: "M. Hata, IEEE Trans. Veh. Technol. VT-29 (1980) (from memory)",
    loss,
};

/// Ranges of frequency (MHz), distance (km), and height of the higher and lower antenna (m).
struct Range {
    frequency: (f64, f64),
    distance: (f64, f64),
    higher: (f64, f64),
    lower: (f64, f64),
}

/// What the formulas were fitted to.
///
/// # Source
/// Hata 1980 (from memory).
const PUBLISHED: Range = Range {
    frequency: (150.0, 1_500.0),
    distance: (1.0, 20.0),
    higher: (30.0, 200.0),
    lower: (1.0, 10.0),
};

/// How far outside they are still used here, marked as outside.
///
/// # Source
/// Own choice: a little beyond on each side, so that 144 MHz and the low masts of an event can be spoken of at all; at any
/// distance, by the rules of [`loss`], so that nothing jumps where the formulas begin or end.
const TOLERATED: Range = Range {
    frequency: (100.0, 2_000.0),
    distance: (0.0, f64::INFINITY),
    higher: (3.0, 400.0),
    lower: (1.0, 20.0),
};

/// The median loss, by the kind of country.
///
/// # Units
/// - f: megahertz; heights: metres; d: kilometres
///
/// # Valid
/// 150–1500 MHz, 1–20 km, higher antenna 30–200 m, lower one 1–10 m. Near that the figure is marked; further away there
/// is none. Nearer than 100 m it goes over into free space at 40 m, in a straight line against the logarithm of the
/// distance; beyond 20 km the distance counts by [`steeper`] law.
///
/// # Source
/// Hata 1980 (from memory); in a large city the correction for the lower antenna changes its form at 300 MHz (200 and 400
/// MHz are also printed). 40 and 100 m: ITU-R SM.2028, extended Hata (from memory).
///
/// # Example
/// Town, 435 MHz, 10 km, 30 m and 1.5 m: 153.40 dB.
fn loss(path: &PathGeometry) -> Option<ModelLoss> {
    let [one, other] = path.heights();
    let (higher, lower) = (one.max(other), one.min(other));
    let at = [
        path.frequency.as_mhz(),
        path.distance.as_km(),
        higher.as_metres(),
        lower.as_metres(),
    ];
    TOLERATED.holds(at).then(|| ModelLoss {
        loss: near_and_far(path, higher, lower).max(free_space(path)),
        outside_range: outside(at),
    })
}

/// Where the formulas begin, and where free space ends, in kilometres.
///
/// # Source
/// ITU-R SM.2028, extended Hata (from memory).
const NEAR_KM: (f64, f64) = (0.1, 0.04);

fn near_and_far(path: &PathGeometry, higher: Length, lower: Length) -> Decibels {
    let (begins, ends) = NEAR_KM;
    let distance = path.distance.as_km();
    if distance >= begins {
        return hata(path, higher, lower);
    }
    let at = |km: f64| PathGeometry {
        distance: Length::metres(km * 1e3),
        ..*path
    };
    let part = ((distance / ends).max(1.0)).ln() / (begins / ends).ln();
    let near = free_space(&at(distance.min(ends)));
    let far = hata(&at(begins), higher, lower).max(free_space(&at(begins)));
    near + (far - near) * part
}

/// The exponent of the logarithm of a distance beyond 20 km, f in megahertz, h in metres.
///
/// `1 + (0.14 + 1.87·10⁻⁴·f + 1.07·10⁻³·h′)·(log₁₀(d/20))^0.8`, `h′ = h/√(1 + 7·10⁻⁶·h²)`.
///
/// # Valid
/// To 100 km; carried on beyond, where diffraction over the earth is more in nearly every case.
///
/// # Source
/// ITU-R P.529, extension of Hata's formula (from memory).
fn steeper(path: &PathGeometry, higher: Length) -> f64 {
    let beyond = (path.distance.as_km() / 20.0).max(1.0).log10();
    let height = higher.as_metres();
    let height = height / (1.0 + 7e-6 * height * height).sqrt();
    1.0 + (0.14 + 1.87e-4 * path.frequency.as_mhz() + 1.07e-3 * height) * beyond.powf(0.8)
}

fn hata(path: &PathGeometry, higher: Length, lower: Length) -> Decibels {
    let megahertz = path.frequency.as_mhz();
    let frequency = megahertz.log10();
    let base = higher.as_metres().log10();
    let town = 69.55 + 26.16 * frequency - 13.82 * base
        + (44.9 - 6.55 * base) * far_logarithm(path, higher);
    let small = (1.1 * frequency - 0.7) * lower.as_metres() - (1.56 * frequency - 0.8);
    Decibels::db(match path.environment {
        Environment::LargeCity if megahertz <= 300.0 => {
            town - (8.29 * (1.54 * lower.as_metres()).log10().powi(2) - 1.1)
        }
        Environment::LargeCity => town - (3.2 * (11.75 * lower.as_metres()).log10().powi(2) - 4.97),
        Environment::Town => town - small,
        Environment::Suburban => town - small - 2.0 * (megahertz / 28.0).log10().powi(2) - 5.4,
        Environment::Open => town - small - 4.78 * frequency.powi(2) + 18.33 * frequency - 40.94,
    })
}

fn far_logarithm(path: &PathGeometry, higher: Length) -> f64 {
    let logarithm = path.distance.as_km().log10();
    if path.distance.as_km() > 20.0 {
        logarithm.powf(steeper(path, higher))
    } else {
        logarithm
    }
}

impl Range {
    fn parts(&self) -> [(f64, f64); 4] {
        [self.frequency, self.distance, self.higher, self.lower]
    }

    fn holds(&self, at: [f64; 4]) -> bool {
        self.parts()
            .iter()
            .zip(at)
            .all(|((low, high), value)| (*low..=*high).contains(&value))
    }
}

/// What of a path is outside the published range, in words.
fn outside(at: [f64; 4]) -> Option<String> {
    let names = [
        ("frequency", "MHz"),
        ("distance", "km"),
        ("higher antenna", "m"),
        ("lower antenna", "m"),
    ];
    let said: Vec<String> = PUBLISHED
        .parts()
        .into_iter()
        .zip(at)
        .zip(names)
        .filter(|(((low, high), value), _)| !(*low..=*high).contains(value))
        .map(|(((low, high), value), (name, unit))| {
            format!("{name} {value:.1} {unit} is not within {low}–{high} {unit}")
        })
        .collect();
    (!said.is_empty()).then(|| said.join("; "))
}

#[cfg(test)]
mod tests {
    use super::super::sample::level_path;
    use super::*;

    #[test]
    fn a_path_outside_the_published_range_is_marked_and_far_outside_refused() {
        let inside = loss(&level_path(435, 10_000.0, [30.0, 1.5])).unwrap();
        assert_eq!(inside.outside_range, None);
        let outside = loss(&level_path(145, 10_000.0, [10.0, 1.5])).unwrap();
        let said = outside.outside_range.unwrap();
        assert!(
            said.contains("145.0 MHz") && said.contains("higher antenna 10.0 m"),
            "{said}"
        );
        assert_eq!(loss(&level_path(50, 10_000.0, [30.0, 1.5])), None);
        assert_eq!(loss(&level_path(145, 60_000.0, [30.0, 600.0])), None);
        let far = loss(&level_path(145, 60_000.0, [30.0, 1.5])).unwrap();
        assert!(far.outside_range.is_some());
    }

    #[test]
    fn country_gets_kinder_from_city_to_open() {
        let in_the = |environment| {
            let path = PathGeometry {
                environment,
                ..level_path(435, 5_000.0, [50.0, 1.5])
            };
            loss(&path).unwrap().loss
        };
        assert!(in_the(Environment::Town) > in_the(Environment::Suburban));
        assert!(in_the(Environment::Suburban) > in_the(Environment::Open));
        // For a mobile at 1.5 m the two city corrections differ by a fraction of a decibel only.
        let cities = in_the(Environment::LargeCity) - in_the(Environment::Town);
        assert!(cities.as_db().abs() < 0.5, "{cities:?}");
    }

    /// Both city corrections are made to vanish for a mobile at 1.5 m, so that the urban formula stands alone there.
    #[test]
    fn in_a_large_city_a_mobile_at_the_reference_height_needs_no_correction() {
        for (megahertz, urban) in [(435, 153.38), (150, 141.29)] {
            let path = PathGeometry {
                environment: Environment::LargeCity,
                ..level_path(megahertz, 10_000.0, [30.0, 1.5])
            };
            let found = loss(&path).unwrap().loss.as_db();
            assert!((found - urban).abs() < 0.01, "{megahertz} MHz: {found}");
        }
    }

    #[test]
    fn either_end_may_be_the_base() {
        let up = loss(&level_path(435, 5_000.0, [50.0, 1.5]));
        assert_eq!(up, loss(&level_path(435, 5_000.0, [1.5, 50.0])));
    }

    /// Between 40 and 100 m the loss goes along a straight line over the logarithm of the distance, from free space to the
    /// formula: ITU-R SM.2028 (from memory).
    #[test]
    fn near_by_the_loss_goes_over_into_free_space_along_the_logarithm() {
        let [base, mobile] = [30.0, 1.5].map(Length::metres);
        let path = |metres: f64| PathGeometry {
            environment: Environment::Town,
            ..level_path(435, metres, [30.0, 1.5])
        };
        let at = |metres: f64| near_and_far(&path(metres), base, mobile).as_db();
        let free = |metres: f64| free_space(&path(metres)).as_db();
        assert!((at(40.0) - free(40.0)).abs() < 1e-9);
        assert!((at(10.0) - free(10.0)).abs() < 1e-9);
        let (near, far) = (at(40.0), at(100.0));
        assert!(far > free(100.0) + 1.0);
        assert!((at(99.999) - far).abs() < 0.01);
        // The geometric mean is half the way, its square root a quarter of it.
        let half = (40.0f64 * 100.0).sqrt();
        assert!((at(half) - f64::midpoint(near, far)).abs() < 1e-6);
        assert!((at((40.0 * half).sqrt()) - (0.75 * near + 0.25 * far)).abs() < 1e-6);
    }
}
