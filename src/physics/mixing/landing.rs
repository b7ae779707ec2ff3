//! Which combinations of some signals land on some places.

use thiserror::Error;

use crate::quantity::{Frequency, Offset};

/// More combinations than this are refused: beyond it the answer would take too long and be too long to read.
pub const MOST_COMBINATIONS: u64 = 50_000_000;

/// More landings than this are refused: they would not fit into memory, and nobody would read them.
pub const MOST_LANDINGS: usize = 1_000_000;

/// A combination that lands within reach of a place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Landing {
    /// One coefficient a signal, in the order of the signals.
    pub coefficients: Vec<i64>,
    /// Sum of the coefficients without their signs.
    pub order: u32,
    /// Where it lies, always above zero.
    pub product: Frequency,
    /// What it lands on.
    pub target: Frequency,
    /// Product less target.
    pub offset: Offset,
}

/// Why a question has no answer of a reasonable size.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum LandingError {
    /// Too many combinations to go through.
    #[error(
        "{} of {signals} frequencies up to order {order} are too many; at most {} million are gone through",
        counted(*count),
        MOST_COMBINATIONS / 1_000_000
    )]
    Combinations {
        /// How many there are.
        count: u64,
        /// Of how many signals.
        signals: usize,
        /// Up to which order.
        order: u32,
    },
    /// Too many of them land.
    #[error("more than {} million combinations land within reach", MOST_LANDINGS / 1_000_000)]
    Landings,
}

/// A count of combinations in words.
fn counted(count: u64) -> String {
    if count == u64::MAX {
        "combinations without number".to_owned()
    } else {
        format!("{} million combinations", count / 1_000_000)
    }
}

/// How many combinations `landings` goes through: half the points with whole coordinates in which the coordinates
/// without sign add up to 2 … `order`. A number beyond 64 bits is given as the largest there is.
///
/// # Source
/// Points with whole coordinates in a cross-polytope, `Σₖ 2ᵏ·C(n, k)·C(r, k)`, less the origin and the 2n of order one:
/// own derivation, computed.
///
/// # Example
/// 3 signals to order 5: (231 − 7) / 2 = 112.
pub fn combinations(signals: usize, order: u32) -> u64 {
    count(signals, order).unwrap_or(u64::MAX)
}

fn count(signals: usize, order: u32) -> Option<u64> {
    if order < 2 {
        return Some(0);
    }
    let (signals, order) = (u128::try_from(signals).ok()?, u128::from(order));
    let mut choices: u128 = 1;
    let mut points: u128 = 1;
    for taken in 1..=signals.min(order) {
        // 2ᵏ·C(n, k)·C(r, k) from the one before it; every step is a whole number, since each binomial is.
        let of_signals = (signals - taken + 1).checked_mul(order - taken + 1)?;
        choices = choices.checked_mul(of_signals)?.checked_mul(2)? / (taken * taken);
        points = points.checked_add(choices)?;
    }
    u64::try_from((points - 1 - 2 * signals) / 2).ok()
}

/// Every combination that lands within `within` of a target, edges included.
///
/// Coefficients with `2 ≤ Σ|c| ≤ order`, each combination once, its sign chosen so that the product is above zero; a
/// product at 0 Hz is left out. A combination that reaches two targets is listed for each. In order of order, distance,
/// coefficients, target.
///
/// # Errors
/// More than [`MOST_COMBINATIONS`] to go through, or more than [`MOST_LANDINGS`] that land.
pub fn landings(
    signals: &[Frequency],
    targets: &[Frequency],
    order: u32,
    within: Offset,
) -> Result<Vec<Landing>, LandingError> {
    let count = combinations(signals.len(), order);
    if count > MOST_COMBINATIONS {
        return Err(LandingError::Combinations {
            count,
            signals: signals.len(),
            order,
        });
    }
    let mut places: Vec<i128> = targets.iter().map(|one| i128::from(one.as_hz())).collect();
    places.sort_unstable();
    places.dedup();
    let mut walk = Walk {
        signals,
        places,
        within: i128::from(within.abs().as_hz()),
        terms: Vec::new(),
        found: Vec::new(),
    };
    walk.from(0, i64::from(order), 0)?;
    let mut found = walk.found;
    found.sort_unstable_by(|one, other| rank(one).cmp(&rank(other)));
    Ok(found)
}

/// What landings are put in order by.
fn rank(landing: &Landing) -> (u32, i64, &[i64], Frequency) {
    (
        landing.order,
        landing.offset.as_hz().abs(),
        &landing.coefficients,
        landing.target,
    )
}

/// The way through all combinations, term by term: only signals that take part cost a step.
struct Walk<'a> {
    signals: &'a [Frequency],
    places: Vec<i128>,
    within: i128,
    terms: Vec<(usize, i64)>,
    found: Vec<Landing>,
}

impl Walk<'_> {
    /// Goes through every way to add terms of the signals from `first` on, with at most `left` in all.
    fn from(&mut self, first: usize, left: i64, sum: i128) -> Result<(), LandingError> {
        let signals = self.signals;
        for (index, signal) in signals.iter().enumerate().skip(first) {
            for size in 1..=left {
                // A combination and its negative are one: the first term is taken as positive.
                let signs: &[i64] = if self.terms.is_empty() {
                    &[1]
                } else {
                    &[1, -1]
                };
                for sign in signs {
                    let coefficient = sign * size;
                    let sum = sum + i128::from(coefficient) * i128::from(signal.as_hz());
                    self.terms.push((index, coefficient));
                    if self.terms.len() > 1 || size > 1 {
                        self.look(sum)?;
                    }
                    if left > size {
                        self.from(index + 1, left - size, sum)?;
                    }
                    self.terms.pop();
                }
            }
        }
        Ok(())
    }

    /// Keeps the combination for every target that it reaches.
    fn look(&mut self, sum: i128) -> Result<(), LandingError> {
        let product = sum.abs();
        if product == 0 {
            return Ok(());
        }
        let begin = self
            .places
            .partition_point(|place| *place < product - self.within);
        for place in self.places.iter().skip(begin) {
            if *place > product + self.within {
                break;
            }
            if self.found.len() >= MOST_LANDINGS {
                return Err(LandingError::Landings);
            }
            // A product beyond 64 bits reaches no target, whose place is within them, unless the reach is as absurd.
            let Ok(hertz) = i64::try_from(product) else {
                break;
            };
            let Ok(target) = i64::try_from(*place) else {
                break;
            };
            let turn = if sum < 0 { -1 } else { 1 };
            let mut coefficients = vec![0; self.signals.len()];
            for &(index, coefficient) in &self.terms {
                if let Some(slot) = coefficients.get_mut(index) {
                    *slot = turn * coefficient;
                }
            }
            let order: u64 = self.terms.iter().map(|term| term.1.unsigned_abs()).sum();
            self.found.push(Landing {
                coefficients,
                order: u32::try_from(order).unwrap_or(u32::MAX),
                product: Frequency::hz(hertz),
                target: Frequency::hz(target),
                offset: Offset::hz(hertz.saturating_sub(target)),
            });
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::super::products;
    use super::*;
    use proptest::prelude::*;

    fn mhz(text: &str) -> Frequency {
        text.parse().unwrap()
    }

    // Source: closed form against enumeration; the counts by hand are in the doc comment.
    #[test]
    fn the_count_is_the_number_of_combinations_there_are() {
        assert_eq!(combinations(3, 5), 112);
        assert_eq!(combinations(1, 1), 0);
        assert_eq!(combinations(0, 7), 0);
        assert_eq!(combinations(usize::MAX, u32::MAX), u64::MAX);
        let signals: Vec<Frequency> = (0..5)
            .map(|n| Frequency::hz(7i64.pow(9) + 13i64.pow(n)))
            .collect();
        for order in 2..6 {
            let all = products(&signals, order).len();
            assert_eq!(combinations(5, order), u64::try_from(all).unwrap());
        }
    }

    #[test]
    fn the_third_harmonic_of_the_2m_leg_lands_on_the_70cm_input() {
        let signals = [mhz("145.2250"), mhz("433.4500")];
        let found = landings(&signals, &[mhz("435.6750")], 3, Offset::hz(12_500)).unwrap();
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].coefficients, [3, 0]);
        assert_eq!(found[0].offset, Offset::hz(0));
    }

    #[test]
    fn the_reach_includes_its_edge_and_not_one_hertz_more() {
        let signals = [mhz("145.2250")];
        let target = [mhz("435.6875")];
        let near = |within| landings(&signals, &target, 3, Offset::hz(within)).unwrap();
        assert_eq!(near(12_500)[0].offset, Offset::hz(-12_500));
        assert!(near(12_499).is_empty());
    }

    #[test]
    fn more_combinations_than_can_be_gone_through_are_refused() {
        let signals: Vec<Frequency> = (0..40).map(|n| Frequency::hz(145_000_000 + n)).collect();
        let refused = landings(&signals, &signals, 9, Offset::hz(0));
        assert!(matches!(refused, Err(LandingError::Combinations { .. })));
    }

    proptest! {
        #[test]
        fn landings_are_those_of_plain_enumeration(
            signals in prop::collection::vec(1i64..400, 1..5),
            targets in prop::collection::vec(1i64..600, 1..4),
            order in 2u32..6,
            within in 0i64..20,
        ) {
            let signals: Vec<Frequency> = signals.into_iter().map(Frequency::hz).collect();
            let mut targets: Vec<Frequency> = targets.into_iter().map(Frequency::hz).collect();
            targets.sort_unstable();
            targets.dedup();
            let mut plain: Vec<(u64, i64, Vec<i64>, Frequency)> = Vec::new();
            for product in products(&signals, order) {
                for target in &targets {
                    let offset = (product.frequency - *target).as_hz().abs();
                    if offset <= within {
                        let order = product.coefficients.iter().map(|c| c.unsigned_abs()).sum();
                        plain.push((order, offset, product.coefficients.clone(), *target));
                    }
                }
            }
            plain.sort();
            let found: Vec<_> = landings(&signals, &targets, order, Offset::hz(within))
                .unwrap()
                .into_iter()
                .map(|one| (u64::from(one.order), one.offset.as_hz().abs(), one.coefficients, one.target))
                .collect();
            prop_assert_eq!(found, plain);
        }
    }
}
