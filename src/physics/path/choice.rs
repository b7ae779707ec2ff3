//! Which model speaks for a path: the one that is named, or the kindest for interference and the hardest for service.

use std::fmt;

use super::{ALL, ModelLoss, PathGeometry, PathModel, free_space, knife_edge, smooth_earth};
use crate::physics::horizon::line_of_sight;
use crate::quantity::{Decibels, Length};

/// The loss taken for a path, and why that one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PathLoss {
    /// Between isotropic antennas.
    pub loss: Decibels,
    /// The id of the model it is from.
    pub model: &'static str,
    /// Why that model.
    pub why: Reason,
    /// What of the path is outside the range the model was made for.
    pub outside_range: Option<String>,
}

/// Why a model speaks for a path; shown as one sentence, and only then made into text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reason {
    /// The antennas see each other as far as this.
    InSight(Length),
    /// They see each other as far as this, but only just.
    NearTheHorizon(Length),
    /// They see each other no further than this.
    BeyondTheHorizon(Length),
    /// An obstacle is known.
    Obstacle,
    /// It gives the greatest loss of all.
    Greatest {
        /// Its name in words.
        title: &'static str,
        /// How many others can speak of the path.
        others: usize,
    },
    /// Somebody chose it.
    Named,
}

impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::InSight(sight) => write!(
                f,
                "interference is judged by free space, within the radio horizon of {sight}"
            ),
            Self::NearTheHorizon(sight) => write!(
                f,
                "interference is judged by free space up to half the radio horizon of {sight}, from there to it by a growing \
                 share of the diffraction over a smooth earth"
            ),
            Self::BeyondTheHorizon(sight) => write!(
                f,
                "beyond the radio horizon of {sight} even interference has to bend round the earth"
            ),
            Self::Obstacle => f.write_str("a known obstacle stands in the way"),
            Self::Greatest { title, others } => write!(
                f,
                "service is judged by the greatest loss: {title} gives more than the {others} other models that apply"
            ),
            Self::Named => f.write_str("chosen by name"),
        }
    }
}

impl PathLoss {
    fn by(model: &PathModel, found: ModelLoss, why: Reason) -> Self {
        Self {
            loss: found.loss,
            model: model.id,
            why,
            outside_range: found.outside_range,
        }
    }

    /// This, or what the obstacle that is known on the path makes of it, whichever is more.
    #[must_use]
    pub fn or_obstacle(self, path: &PathGeometry) -> Self {
        (knife_edge::MODEL.loss)(path)
            .map(|found| Self::by(&knife_edge::MODEL, found, Reason::Obstacle))
            .filter(|found| found.loss > self.loss)
            .unwrap_or(self)
    }
}

/// The least loss to reckon with, for interference.
///
/// Free space up to half the distance at which the antennas see each other over a smooth earth, diffraction from there on
/// where they no longer do; an obstacle that is known counts in either case.
///
/// Between the two, the diffraction that ITU-R P.526 gives for a path within sight counts by no more than a share that grows
/// in a straight line from nothing to the whole, so that the loss does not jump.
///
/// # Source
/// ITU-R P.525 and P.526, section 3 (from memory). Half the sight is a choice: P.526 takes the ground for level right
/// under the antennas, so that low ones lose tens of dB within a kilometre; a rise of the ground undoes that, and
/// interference is to count as if there were one.
pub fn optimistic(path: &PathGeometry) -> PathLoss {
    let [one, other] = path.heights();
    let sight = line_of_sight(one, other);
    let distance = path.far_distance();
    let base = if distance > sight {
        pick(path, &smooth_earth::MODEL, Reason::BeyondTheHorizon(sight))
    } else {
        let most = 2.0 * distance.as_metres() / sight.as_metres() - 1.0;
        let bent = if most > 0.0 {
            smooth_earth::within_sight(path, most)
        } else {
            Decibels::ZERO
        };
        if bent > Decibels::ZERO {
            PathLoss {
                loss: free_space::free_space(path) + bent,
                ..pick(path, &smooth_earth::MODEL, Reason::NearTheHorizon(sight))
            }
        } else {
            pick(path, &free_space::MODEL, Reason::InSight(sight))
        }
    };
    base.or_obstacle(path)
}

/// The most loss to reckon with, for service: the greatest of all models that can speak of the path.
pub fn cautious(path: &PathGeometry) -> PathLoss {
    let mut said: Vec<(&PathModel, ModelLoss)> = ALL
        .iter()
        .filter_map(|model| Some((model, (model.loss)(path)?)))
        .collect();
    // A stable sort: among equals the later of `ALL` speaks, which knows more than free space.
    said.sort_by_key(|(_, found)| found.loss);
    let others = said.len().saturating_sub(1);
    match said.pop() {
        Some((model, found)) => {
            let why = Reason::Greatest {
                title: model.title,
                others,
            };
            PathLoss::by(model, found, why)
        }
        None => optimistic(path),
    }
}

/// What the model of this id says, whatever the path is for; none when it cannot speak of the path, or there is no such
/// model.
pub fn named(path: &PathGeometry, id: &str) -> Option<PathLoss> {
    let model = ALL.iter().find(|model| model.id == id)?;
    let found = (model.loss)(path)?;
    Some(PathLoss::by(model, found, Reason::Named))
}

/// What one model says, or free space if it says nothing.
fn pick(path: &PathGeometry, model: &PathModel, why: Reason) -> PathLoss {
    match (model.loss)(path) {
        Some(found) => PathLoss::by(model, found, why),
        None => PathLoss::by(
            &free_space::MODEL,
            ModelLoss::inside(free_space::free_space(path)),
            why,
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::level_path;
    use super::super::{Environment, Obstacle};
    use super::*;
    use crate::quantity::Length;

    #[test]
    fn interference_takes_free_space_up_to_the_horizon_and_diffraction_beyond() {
        // 10 m and 1.5 m see each other for 18.08 km.
        for (metres, model) in [(9_030.0, "free-space"), (18_000.0, "smooth-earth")] {
            let path = level_path(145, metres, [10.0, 1.5]);
            assert_eq!(optimistic(&path).model, model);
            assert!(optimistic(&path).loss <= named(&path, "smooth-earth").unwrap().loss);
        }
        assert_eq!(
            optimistic(&level_path(145, 18_200.0, [10.0, 1.5])).model,
            "smooth-earth"
        );
    }

    #[test]
    fn service_takes_the_greatest_loss_and_names_what_is_outside_its_range() {
        let path = PathGeometry {
            environment: Environment::Town,
            ..level_path(145, 10_000.0, [10.0, 1.5])
        };
        let found = cautious(&path);
        assert_eq!(found.model, "okumura-hata");
        assert!(found.outside_range.is_some());
        assert_eq!(
            cautious(&level_path(145, 80_000.0, [10.0, 1.5])).model,
            "smooth-earth"
        );
    }

    #[test]
    fn a_named_model_speaks_of_any_path_it_can() {
        let near = level_path(145, 5_000.0, [10.0, 1.5]);
        for model in ALL {
            let said = named(&near, model.id).map(|found| (found.model, found.loss));
            let own = (model.loss)(&near).map(|found| (model.id, found.loss));
            assert_eq!(said, own);
        }
        assert_eq!(named(&near, "knife-edge"), None);
        assert_eq!(named(&near, "no-such-model"), None);
    }

    /// The greatest step of either choice from one distance to the next, a thousandth further, in dB, and where.
    fn greatest_step(choice: fn(&PathGeometry) -> PathLoss, path: PathGeometry) -> (f64, f64) {
        let at = |metres: f64| {
            let there = PathGeometry {
                distance: Length::metres(metres),
                ..path
            };
            choice(&there).loss.as_db()
        };
        let mut greatest = (0.0, 0.0);
        let mut metres: f64 = 1.0;
        while metres < 300_000.0 {
            let step = (at(metres * 1.001) - at(metres)).abs();
            if step > greatest.0 {
                greatest = (step, metres);
            }
            metres *= 1.001;
        }
        greatest
    }

    #[test]
    fn a_thousandth_more_distance_never_makes_a_decibel_of_difference() {
        for heights in [[1.5, 1.5], [1.5, 10.0], [5.0, 120.0], [30.0, 30.0]] {
            for megahertz in [50, 145, 435, 1_300] {
                for environment in [
                    Environment::Open,
                    Environment::Suburban,
                    Environment::LargeCity,
                ] {
                    let path = PathGeometry {
                        environment,
                        ..level_path(megahertz, 0.0, heights)
                    };
                    for choice in [cautious, optimistic] {
                        let (step, metres) = greatest_step(choice, path);
                        assert!(step < 1.0, "{step} dB at {metres} m: {path:?}");
                    }
                }
            }
        }
    }

    #[test]
    fn caution_never_loses_less_than_optimism() {
        for metres in [0.0, 1.0, 100.0, 5_000.0, 20_000.0, 60_000.0, 3e5] {
            for heights in [[1.5, 1.5], [5.0, 120.0], [30.0, 1.5]] {
                for megahertz in [50, 145, 435] {
                    let path = level_path(megahertz, metres, heights);
                    assert!(cautious(&path).loss >= optimistic(&path).loss, "{path:?}");
                }
            }
        }
    }

    #[test]
    fn a_known_ridge_counts_for_interference_too() {
        let path = PathGeometry {
            obstacle: Some(Obstacle {
                from_first: Length::metres(4_000.0),
                top: Length::metres(80.0),
            }),
            ..level_path(435, 8_000.0, [5.0, 5.0])
        };
        let found = optimistic(&path);
        assert_eq!(found.model, "knife-edge");
        assert!(cautious(&path).loss >= found.loss);
    }
}
