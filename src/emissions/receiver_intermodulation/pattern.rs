//! The shapes of products: which coefficients, in which order of non-linearity.

use std::borrow::Cow;
use std::cmp::Reverse;

use crate::physics::mixing;
use crate::provenance::Sourced;
use crate::quantity::{Decibels, Level};
use crate::radio::ReceiverFigures;

/// The coefficients of a product of distinct signals, largest first, and what the expansion adds to their levels.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Pattern {
    /// Coefficients, none of them zero; equal ones stand together.
    pub(super) coefficients: Vec<i64>,
    /// Sum of their sizes.
    pub(super) order: u32,
    /// Share of this combination in the expansion, over the one that defines the intercept.
    pub(super) shape: Decibels,
    /// Places of the coefficients, the largest size first.
    pub(super) by_size: Vec<usize>,
    /// The sizes of the coefficients in this order.
    sizes: Vec<f64>,
}

impl Pattern {
    /// What the levels of the sources in dBm, each times its coefficient, must add up to for a product as strong as a floor; the
    /// millionth keeps rounding from deciding.
    pub(super) fn needed(&self, intercept: Level, floor: Level) -> f64 {
        let further = f64::from(self.order) - 1.0;
        floor.as_dbm() + further * intercept.as_dbm() - self.shape.as_db() - 1e-6
    }

    /// Whether the levels of the sources in dBm, each times its coefficient, might add up to so much, where the strongest there
    /// are stand in order and one source is no stronger than the scarcest.
    pub(super) fn might_come_to(&self, needed: f64, strongest: &[f64], scarcest: f64) -> bool {
        let sizes = &self.sizes;
        if strongest.len() < sizes.len() || self.at_best(strongest, scarcest) < needed {
            return false;
        }
        let all = sizes
            .iter()
            .zip(strongest)
            .map(|(size, level)| size * level);
        let with_scarcest_at = |(at, size): (usize, &f64)| {
            let others = sizes.iter().enumerate().filter(|(place, _)| *place != at);
            let others = others.zip(strongest).map(|((_, size), level)| size * level);
            others.sum::<f64>() + size * scarcest
        };
        let mut bounds = sizes.iter().enumerate().map(with_scarcest_at);
        all.sum::<f64>() >= needed && bounds.any(|bound| bound >= needed)
    }

    /// What they come to at a glance, and no less: all turns but one are those of the strongest.
    fn at_best(&self, strongest: &[f64], scarcest: f64) -> f64 {
        let strongest = strongest.first().copied().unwrap_or(f64::NEG_INFINITY);
        // The millionth keeps rounding from deciding.
        (f64::from(self.order) - 1.0) * strongest + strongest.min(scarcest) + 1e-6
    }

    /// Whether sources between two frequencies could make a product between two others, all in hertz.
    pub(super) fn reaches(&self, (low, high): (i64, i64), (least, most): (i64, i64)) -> bool {
        let sum = |up: i64, down: i64| {
            let terms = self.coefficients.iter();
            let terms = terms.map(|&c| c.saturating_mul(if c > 0 { up } else { down }));
            terms.fold(0, i64::saturating_add)
        };
        sum(least, most) <= high && sum(most, least) >= low
    }
}

/// The patterns up to an order and a number of signals.
#[derive(Debug)]
pub(in crate::emissions) struct Patterns {
    /// Lowest order first.
    pub(super) all: Vec<Pattern>,
    /// By order, the most that the expansion adds to the levels of any of its patterns.
    best_shapes: Vec<(u32, Decibels)>,
}

impl Patterns {
    pub(super) fn up_to(highest_order: u32, most_signals: u32) -> Self {
        let all = patterns(highest_order, most_signals);
        let best_shapes = ORDERS
            .into_iter()
            .filter_map(|order| {
                let of_order = all.iter().filter(|one| one.order == order);
                Some((order, of_order.map(|one| one.shape).max()?))
            })
            .collect();
        Self { all, best_shapes }
    }

    /// The most that the expansion adds to the levels of any pattern of an order.
    pub(super) fn best_shape(&self, order: u32) -> Decibels {
        let mut shapes = self.best_shapes.iter();
        shapes
            .find(|(of, _)| *of == order)
            .map_or(Decibels::ZERO, |&(_, shape)| shape)
    }

    /// A receiver's intercepts of the orders there are.
    pub(super) fn intercepts(&self, figures: &ReceiverFigures) -> Vec<(u32, Level)> {
        self.best_shapes
            .iter()
            .filter_map(|&(order, _)| Some((order, intercept(figures, u64::from(order))?.value)))
            .collect()
    }
}

/// The orders that a receiver's intercepts are known for.
const ORDERS: [u32; 4] = [2, 3, 5, 7];

/// Every pattern up to an order and a number of signals, lowest order first.
///
/// Both signs of a combination are listed: only one of them lies above zero.
pub(super) fn patterns(highest_order: u32, most_signals: u32) -> Vec<Pattern> {
    let mut found = Vec::new();
    for order in ORDERS.into_iter().filter(|&order| order <= highest_order) {
        for signals in 1..=most_signals.min(order) {
            descend(
                i64::from(order),
                i64::from(order),
                signals,
                &mut Vec::new(),
                &mut found,
            );
        }
    }
    found
}

/// Adds every non-increasing list of `signals` non-zero coefficients, none above `largest`, whose sizes add to `left`.
fn descend(left: i64, largest: i64, signals: u32, chosen: &mut Vec<i64>, found: &mut Vec<Pattern>) {
    if signals == 0 {
        if left == 0 {
            found.push(pattern(chosen.clone()));
        }
        return;
    }
    let spare = left - i64::from(signals - 1);
    for coefficient in (-spare..=spare.min(largest))
        .rev()
        .filter(|&coefficient| coefficient != 0)
    {
        chosen.push(coefficient);
        descend(
            left - coefficient.abs(),
            coefficient,
            signals - 1,
            chosen,
            found,
        );
        chosen.pop();
    }
}

fn pattern(coefficients: Vec<i64>) -> Pattern {
    // With every level and the intercept at zero only the share of the combination is left.
    let bare: Vec<(i64, Level)> = coefficients
        .iter()
        .map(|&coefficient| (coefficient, Level::dbm(0.0)))
        .collect();
    let shape = Decibels::db(mixing::intermod_level(&bare, Level::dbm(0.0)).as_dbm());
    let order = coefficients
        .iter()
        .map(|coefficient| coefficient.unsigned_abs())
        .sum::<u64>();
    let mut by_size: Vec<usize> = (0..coefficients.len()).collect();
    by_size.sort_by_key(|&place| Reverse(coefficients.get(place).map(|c| c.unsigned_abs())));
    let sizes = by_size.iter().filter_map(|&place| coefficients.get(place));
    #[expect(
        clippy::cast_precision_loss,
        reason = "a coefficient is a small number"
    )]
    let sizes = sizes.map(|c| c.unsigned_abs() as f64).collect();
    Pattern {
        coefficients,
        by_size,
        sizes,
        order: u32::try_from(order).unwrap_or(u32::MAX),
        shape,
    }
}

/// A receiver's intercept of an order; the third is worked out from its intermodulation rejection.
///
/// # Source
/// Order 3: `S + 1.5·R + C/2`, the definition of the rejection turned round.
pub(super) fn intercept(figures: &ReceiverFigures, order: u64) -> Option<Cow<'_, Sourced<Level>>> {
    match order {
        2 => Some(Cow::Borrowed(&figures.intercept_2)),
        3 => Some(Cow::Owned(figures.intercept_3())),
        5 => Some(Cow::Borrowed(&figures.intercept_5)),
        7 => Some(Cow::Borrowed(&figures.intercept_7)),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn third_order_patterns_are_all_there_once() {
        let third: Vec<Vec<i64>> = patterns(3, 3)
            .into_iter()
            .filter(|one| one.order == 3)
            .map(|one| one.coefficients)
            .collect();
        let expected: Vec<Vec<i64>> = vec![
            vec![3],
            vec![-3],
            vec![2, 1],
            vec![2, -1],
            vec![1, -2],
            vec![-1, -2],
            vec![1, 1, 1],
            vec![1, 1, -1],
            vec![1, -1, -1],
            vec![-1, -1, -1],
        ];
        assert_eq!(third, expected);
    }

    #[test]
    fn three_signals_make_six_decibels_more_than_two() {
        let shape_of = |coefficients: &[i64]| {
            patterns(3, 3)
                .into_iter()
                .find(|one| one.coefficients == coefficients)
                .map(|one| one.shape.as_db())
        };
        // FFT check in the published values: 6.0206 dB.
        assert!(shape_of(&[2, -1]).is_some_and(|db| db.abs() < 1e-9));
        assert!(shape_of(&[1, 1, -1]).is_some_and(|db| (db - 6.0206).abs() < 1e-4));
    }

    #[test]
    fn each_order_that_a_receiver_has_an_intercept_of_has_its_own_and_no_other_has_one() {
        let plan = crate::scene::sample::plan(crate::scene::sample::CROWDED);
        let scene = crate::scene::Scene::build(&plan, None);
        let receiver = scene.receivers.iter().next().unwrap();
        let mut figures = (*receiver.figures).clone();
        figures.intercept_2.value = Level::dbm(22.0);
        figures.intercept_5.value = Level::dbm(55.0);
        figures.intercept_7.value = Level::dbm(77.0);
        let third = figures.intercept_3().value;
        let of = |order| intercept(&figures, order).map(|one| one.value);
        assert_eq!(of(2), Some(Level::dbm(22.0)));
        assert_eq!(of(3), Some(third));
        assert_eq!(of(5), Some(Level::dbm(55.0)));
        assert_eq!(of(7), Some(Level::dbm(77.0)));
        for order in [0, 1, 4, 6, 8, 9] {
            assert_eq!(of(order), None, "{order}");
        }
    }

    fn of(coefficients: &[i64]) -> Pattern {
        let mut all = patterns(7, 3).into_iter();
        all.find(|one| one.coefficients == coefficients).unwrap()
    }

    #[test]
    fn the_strongest_stand_at_the_largest_coefficients_and_the_scarcest_where_it_costs_least() {
        // It might come to as much, and to no more.
        let is_most = |pattern: &Pattern, strongest: &[f64], scarcest: f64, most: f64| {
            pattern.might_come_to(most - 1e-9, strongest, scarcest)
                && !pattern.might_come_to(most + 1e-9, strongest, scarcest)
        };
        let third = of(&[2, -1]);
        // Twice the one and once the other: 2·10 + 4, but one of them is the scarcest, at best once.
        assert!(is_most(&third, &[10.0, 4.0], 0.0, 20.0));
        // The same of weak ones: 2·(−30) − 50, where without it they come to −100.
        assert!(is_most(&third, &[-30.0, -40.0], -50.0, -110.0));
        // As strong as the strongest, it takes nothing away: 2·10 + 4.
        assert!(is_most(&third, &[10.0, 4.0], 10.0, 24.0));
        // Three in the order of their sizes, −3 first: 3·10 + 6 + 2, and with the scarcest in the last place 3·10 + 6 − 5.
        let fifth = of(&[1, 1, -3]);
        assert!(is_most(&fifth, &[10.0, 6.0, 2.0], 8.0, 38.0));
        assert!(is_most(&fifth, &[10.0, 6.0, 2.0, 1.0], -5.0, 31.0));
        // One signal: its harmonic has no other.
        assert!(is_most(&of(&[3]), &[10.0], 7.0, 21.0));
        assert!(!third.might_come_to(-1e9, &[10.0], 10.0));
    }

    #[test]
    fn a_bound_is_no_lower_than_any_way_to_seat_distinct_sources_of_which_one_is_the_scarcest() {
        let levels = [12.0, 7.0, -1.0, -20.0, -33.0];
        for pattern in patterns(7, 3) {
            let signals = pattern.coefficients.len();
            for scarcest in levels {
                let mut best = f64::NEG_INFINITY;
                for number in 0..levels.len().pow(3) {
                    let seated = [number / 25, number / 5 % 5, number % 5];
                    let seated = &seated[..signals];
                    let is_once = (1..signals).all(|one| !seated[..one].contains(&seated[one]));
                    let is_scarce = seated.iter().any(|&one| levels[one] <= scarcest);
                    if is_once && is_scarce {
                        let terms = pattern.coefficients.iter().zip(seated);
                        let sum = terms.map(|(&c, &one)| {
                            f64::from(i32::try_from(c.abs()).unwrap()) * levels[one]
                        });
                        best = best.max(sum.sum());
                    }
                }
                assert!(
                    pattern.might_come_to(best - 1e-9, &levels, scarcest),
                    "{pattern:?} {scarcest}: {best}"
                );
            }
        }
    }

    /// By the definition of an intercept: `n` dB down for each of the `n − 1` others that each source is below it.
    #[test]
    fn what_is_needed_of_the_sources_is_the_floor_and_the_intercept_for_each_further_one() {
        let (intercept, floor) = (Level::dbm(10.0), Level::dbm(-100.0));
        // −100 + 2·10, less the 6.0206 dB that three signals gain.
        let two = of(&[2, -1]).needed(intercept, floor);
        let three = of(&[1, 1, -1]).needed(intercept, floor);
        assert!((two + 80.0).abs() < 1e-5 && two < -80.0);
        assert!((three + 86.0206).abs() < 1e-4);
        // Two carriers of −26.7 dBm make 2 A − B of −100 dBm there.
        let each = Level::dbm((two + 1e-6) / 3.0);
        let level = mixing::intermod_level(&[(2, each), (-1, each)], intercept);
        assert!((level - floor).as_db().abs() < 1e-6);
    }

    /// 2 A − B of anything from 100 to 110: 90 at least, 120 at most.
    #[test]
    fn a_pattern_reaches_as_far_as_its_sources_carry_it_and_no_further() {
        let third = of(&[2, -1]);
        for (stretch, is_reached) in [
            ((120, 130), true),
            ((121, 130), false),
            ((80, 90), true),
            ((80, 89), false),
            ((100, 101), true),
            ((0, 1_000), true),
        ] {
            assert_eq!(
                third.reaches(stretch, (100, 110)),
                is_reached,
                "{stretch:?}"
            );
        }
        // A + B of the same: 200 to 220.
        let sum = of(&[1, 1]);
        assert!(sum.reaches((220, 230), (100, 110)) && !sum.reaches((221, 230), (100, 110)));
        assert!(sum.reaches((190, 200), (100, 110)) && !sum.reaches((190, 199), (100, 110)));
    }
}
