//! Every combination of some signals up to an order.

use crate::quantity::Frequency;

/// One product: its coefficients in the order of the signals, and where it lies.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Product {
    /// One coefficient a signal, zero where the signal takes no part.
    pub coefficients: Vec<i64>,
    /// Its place, always above zero.
    pub frequency: Frequency,
}

/// Shows every product of the signals to `visit`, without keeping them.
///
/// Coefficients with `2 ≤ Σ|c| ≤ highest_order`, each combination once, its sign chosen so that the product is above
/// zero; a product at 0 Hz is left out. The order of visits is that of the coefficients and never changes.
pub fn visit_products(
    signals: &[Frequency],
    highest_order: u32,
    visit: &mut dyn FnMut(&[i64], Frequency),
) {
    let mut coefficients = vec![0i64; signals.len()];
    descend(
        signals,
        Descent {
            at: 0,
            left: i64::from(highest_order),
            used: 0,
            sum: 0,
        },
        &mut coefficients,
        visit,
    );
}

/// Every product of the signals, as [`visit_products`] shows them.
pub fn products(signals: &[Frequency], highest_order: u32) -> Vec<Product> {
    let mut found = Vec::new();
    visit_products(signals, highest_order, &mut |coefficients, frequency| {
        found.push(Product {
            coefficients: coefficients.to_vec(),
            frequency,
        });
    });
    found
}

/// How far the walk over the coefficients has come.
#[derive(Clone, Copy)]
struct Descent {
    at: usize,
    left: i64,
    used: i64,
    sum: i128,
}

fn descend(
    signals: &[Frequency],
    here: Descent,
    coefficients: &mut Vec<i64>,
    visit: &mut dyn FnMut(&[i64], Frequency),
) {
    let Some(signal) = signals.get(here.at) else {
        if here.used >= 2 && here.sum != 0 {
            show(here.sum, coefficients, visit);
        }
        return;
    };
    // A combination and its negative are one: the first coefficient that is not zero is taken as positive.
    let lowest = if here.used == 0 { 0 } else { -here.left };
    for coefficient in lowest..=here.left {
        if let Some(place) = coefficients.get_mut(here.at) {
            *place = coefficient;
        }
        let next = Descent {
            at: here.at + 1,
            left: here.left - coefficient.abs(),
            used: here.used + coefficient.abs(),
            sum: here.sum + i128::from(coefficient) * i128::from(signal.as_hz()),
        };
        descend(signals, next, coefficients, visit);
    }
    if let Some(place) = coefficients.get_mut(here.at) {
        *place = 0;
    }
}

fn show(sum: i128, coefficients: &mut [i64], visit: &mut dyn FnMut(&[i64], Frequency)) {
    let Ok(hertz) = i64::try_from(sum.abs()) else {
        return;
    };
    if sum < 0 {
        let turned: Vec<i64> = coefficients
            .iter()
            .map(|coefficient| -coefficient)
            .collect();
        visit(&turned, Frequency::hz(hertz));
    } else {
        visit(coefficients, Frequency::hz(hertz));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn each_combination_is_listed_once_and_lies_above_zero() {
        let signals = [145_500_000, 145_700_000, 435_000_000].map(Frequency::hz);
        let all = products(&signals, 5);
        let mut seen = BTreeSet::new();
        for product in &all {
            let sum: i64 = product
                .coefficients
                .iter()
                .zip(signals)
                .map(|(coefficient, signal)| coefficient * signal.as_hz())
                .sum();
            assert_eq!(Frequency::hz(sum), product.frequency);
            assert!(sum > 0);
            let order: i64 = product.coefficients.iter().map(|c| c.abs()).sum();
            assert!((2..=5).contains(&order));
            let turned: Vec<i64> = product.coefficients.iter().map(|c| -c).collect();
            assert!(!seen.contains(&turned) && seen.insert(product.coefficients.clone()));
        }
        // Integer points with 2 ≤ Σ|c| ≤ 5 in three dimensions: 231 − 7, and half of them by sign.
        assert_eq!(all.len(), 112);
    }

    #[test]
    fn a_product_at_zero_hertz_is_left_out() {
        let signals = [Frequency::hz(100), Frequency::hz(100)];
        assert!(
            products(&signals, 2)
                .iter()
                .all(|p| p.coefficients != [1, -1])
        );
        assert!(products(&[], 5).is_empty());
    }
}
