//! How much a signal loses between two sites, by several published models with one interface.
//!
//! Without a terrain profile the ground between the sites is taken as a smooth earth, with both antennas measured from
//! the lower of the two sites: a hill counts as a tall mast.

mod choice;
mod free_space;
mod knife_edge;
mod okumura_hata;
mod plane_earth;
mod smooth_earth;

pub use choice::{PathLoss, Reason, cautious, named, optimistic};
pub use knife_edge::{knife_edge_loss, knife_edge_parameter};

use crate::quantity::{Decibels, Frequency, Length};

/// What stands between and around the sites.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Environment {
    /// A large city with tall buildings.
    LargeCity,
    /// A small or medium town.
    Town,
    /// Villages and suburbs.
    Suburban,
    /// Open country.
    Open,
}

/// How the electric field stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Polarisation {
    /// Upright, as mobile antennas are.
    Vertical,
    /// Level.
    Horizontal,
}

/// One end of a path.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PathEnd {
    /// The antenna above the ground.
    pub antenna: Length,
    /// The ground above the sea.
    pub ground: Length,
}

/// A ridge or building in the way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Obstacle {
    /// From the first end of the path.
    pub from_first: Length,
    /// Its top above the sea.
    pub top: Length,
}

/// Everything a path model may ask about a path.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PathGeometry {
    /// The frequency.
    pub frequency: Frequency,
    /// Between the ends, along the ground.
    pub distance: Length,
    /// The two ends.
    pub ends: [PathEnd; 2],
    /// How the field stands.
    pub polarisation: Polarisation,
    /// What the country is like.
    pub environment: Environment,
    /// The one thing known to stand in the way.
    pub obstacle: Option<Obstacle>,
}

impl PathGeometry {
    /// The distance, not below `λ/2π`, where the near field begins and every far-field formula ends; there free space
    /// alone is 6 dB, so no loss is ever negative.
    ///
    /// # Source
    /// The usual edge of the reactive near field of a small antenna: common practice.
    pub fn far_distance(&self) -> Length {
        let nearest = self.frequency.wavelength_m() / std::f64::consts::TAU;
        Length::metres(self.distance.as_metres().max(nearest))
    }

    /// Both antennas above the lower of the two grounds, in the order of the ends.
    pub fn heights(&self) -> [Length; 2] {
        let [one, other] = self.ends;
        let base = one.ground.min(other.ground).as_metres();
        self.ends.map(|end| {
            Length::metres((end.ground.as_metres() - base + end.antenna.as_metres()).max(0.0))
        })
    }
}

/// What a model says about a path.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ModelLoss {
    /// The loss between isotropic antennas.
    pub loss: Decibels,
    /// What of the path is outside the range the model was made for, in words.
    pub outside_range: Option<String>,
}

impl ModelLoss {
    const fn inside(loss: Decibels) -> Self {
        Self {
            loss,
            outside_range: None,
        }
    }
}

/// A published model of path loss.
#[derive(Debug, Clone, Copy)]
pub struct PathModel {
    /// Its name in output.
    pub id: &'static str,
    /// Its name in words.
    pub title: &'static str,
    /// Where it is published, and how well that is known.
    pub source: &'static str,
    /// The loss it gives, or none when the path is nothing it can speak of.
    pub loss: fn(&PathGeometry) -> Option<ModelLoss>,
}

/// Every path model.
pub const ALL: &[PathModel] = &[
    free_space::MODEL,
    plane_earth::MODEL,
    okumura_hata::MODEL,
    smooth_earth::MODEL,
    knife_edge::MODEL,
];

#[cfg(test)]
pub(super) mod sample {
    use super::*;

    /// A path between two antennas on level ground.
    pub(in crate::physics) fn level_path(
        megahertz: i64,
        metres: f64,
        heights: [f64; 2],
    ) -> PathGeometry {
        PathGeometry {
            frequency: Frequency::hz(megahertz * 1_000_000),
            distance: Length::metres(metres),
            ends: heights.map(|height| PathEnd {
                antenna: Length::metres(height),
                ground: Length::metres(0.0),
            }),
            polarisation: Polarisation::Vertical,
            environment: Environment::Open,
            obstacle: None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::sample::level_path;
    use super::*;

    #[test]
    fn no_model_gives_less_than_free_space_or_anything_unreal_at_any_distance() {
        for metres in [-1.0, 0.0, 1e-9, 0.5, 10.0, 1e3, 2e4, 1e5, 1e7, 1e9] {
            for heights in [[0.0, 0.0], [1.5, 1.5], [5.0, 120.0], [-3.0, 3_000.0]] {
                for megahertz in [1, 50, 145, 435, 1_300, 10_000] {
                    let path = level_path(megahertz, metres, heights);
                    let free = (free_space::MODEL.loss)(&path).unwrap().loss;
                    assert!(free.as_db() >= 6.0, "{free:?}");
                    for model in ALL {
                        if let Some(found) = (model.loss)(&path) {
                            let loss = found.loss;
                            assert!(
                                loss >= free && loss.as_db().is_finite(),
                                "{} {path:?}",
                                model.id
                            );
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn a_hill_counts_as_a_tall_mast() {
        let mut path = level_path(145, 10_000.0, [5.0, 2.0]);
        path.ends[0].ground = Length::metres(118.0);
        path.ends[1].ground = Length::metres(6.0);
        assert_eq!(path.heights(), [117.0, 2.0].map(Length::metres));
    }
}
