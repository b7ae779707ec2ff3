//! Which model speaks for a path: the kindest for interference, the hardest for service.

use super::{ALL, ModelLoss, PathGeometry, PathModel, free_space, knife_edge, smooth_earth};
use crate::physics::horizon::line_of_sight;
use crate::quantity::Decibels;

/// The loss taken for a path, and why that one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PathLoss {
    /// Between isotropic antennas.
    pub loss: Decibels,
    /// The id of the model it is from.
    pub model: &'static str,
    /// Why that model, in one sentence.
    pub why: String,
    /// What of the path is outside the range the model was made for.
    pub outside_range: Option<String>,
}

impl PathLoss {
    fn by(model: &PathModel, found: ModelLoss, why: String) -> Self {
        Self {
            loss: found.loss,
            model: model.id,
            why,
            outside_range: found.outside_range,
        }
    }
}

/// The least loss to reckon with, for interference.
///
/// Free space as far as the antennas see each other over a smooth earth, diffraction beyond; an obstacle that is known
/// counts in either case.
pub fn optimistic(path: &PathGeometry) -> PathLoss {
    let [one, other] = path.heights();
    let sight = line_of_sight(one, other);
    let distance = path.far_distance();
    let base = if distance <= sight {
        let why =
            format!("interference is judged by free space, within the radio horizon of {sight}");
        pick(path, &free_space::MODEL, why)
    } else {
        let why = format!(
            "beyond the radio horizon of {sight} even interference has to bend round the earth"
        );
        pick(path, &smooth_earth::MODEL, why)
    };
    let edge = "a known obstacle stands in the way".to_owned();
    (knife_edge::MODEL.loss)(path)
        .map(|found| PathLoss::by(&knife_edge::MODEL, found, edge))
        .filter(|found| found.loss > base.loss)
        .unwrap_or(base)
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
            let why = format!(
                "service is judged by the greatest loss: {} gives more than the {others} other models that apply",
                model.title
            );
            PathLoss::by(model, found, why)
        }
        None => optimistic(path),
    }
}

/// What one model says, or free space if it says nothing.
fn pick(path: &PathGeometry, model: &PathModel, why: String) -> PathLoss {
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
        assert_eq!(
            optimistic(&level_path(145, 18_000.0, [10.0, 1.5])).model,
            "free-space"
        );
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
