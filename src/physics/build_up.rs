//! How likely several uncertain levels together are to exceed a limit that each of them keeps.
//!
//! Levels in dB are taken as normal, so powers are log-normal, and their sum has no closed form: it is drawn, with a fixed
//! seed, so that the same question has the same answer on every machine.

use rand_pcg::Pcg32;
use rand_pcg::rand_core::{Rng, SeedableRng};

use super::statistics::Chance;
use crate::quantity::Decibels;

/// How often a sum is drawn.
///
/// # Source
/// Choice: the chance is then known to four parts in a thousand at worst (one standard deviation).
const DRAWS: u32 = 20_000;

/// Any number does.
const SEED: u64 = 1;

/// One of several that add up: how far it is above the common limit, negative below, and how far that may be off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    /// Above the limit.
    pub excess: Decibels,
    /// Its own spread, as a standard deviation.
    pub spread: Decibels,
}

/// What drawing comes to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drawn {
    /// The chance that the sum is above the limit.
    pub chance: Chance,
    /// How far that chance may be off from drawing no more often, as a standard deviation.
    pub error: Chance,
    /// The mean of the sum's excess in dB.
    pub mean: Decibels,
    /// The spread of the sum's excess.
    pub spread: Decibels,
    /// How often it was drawn.
    pub draws: u32,
}

/// The sum of the powers as they stand, above the limit.
pub fn together(parts: &[Part]) -> Decibels {
    Decibels::of_power(parts.iter().map(|part| part.excess.as_power()).sum())
}

/// Draws the sum of the powers against a limit that has a spread of its own, the same for all parts.
///
/// # Source
/// Monte Carlo; normal numbers by G. E. P. Box and M. E. Muller (1958, from memory).
pub fn drawn(parts: &[Part], limit: Decibels) -> Drawn {
    let mut normal = Normal {
        source: Pcg32::seed_from_u64(SEED),
        spare: None,
    };
    let (mut above, mut sum, mut squares) = (0_u32, 0.0, 0.0);
    for _ in 0..DRAWS {
        let power: f64 = parts
            .iter()
            .map(|part| {
                let excess = part.excess.as_db() + part.spread.as_db() * normal.next();
                libm::exp(excess * NEPERS)
            })
            .sum();
        let excess = libm::log(power) / NEPERS - limit.as_db() * normal.next();
        above += u32::from(excess > 0.0);
        sum += excess;
        squares += excess * excess;
    }
    let count = f64::from(DRAWS);
    let (share, mean) = (f64::from(above) / count, sum / count);
    Drawn {
        chance: Chance::fraction(share),
        error: Chance::fraction((share * (1.0 - share) / count).sqrt()),
        mean: Decibels::db(mean),
        spread: Decibels::db((squares / count - mean * mean).max(0.0).sqrt()),
        draws: DRAWS,
    }
}

/// A decibel of power in natural units.
const NEPERS: f64 = std::f64::consts::LN_10 / 10.0;

/// Normal numbers with mean 0 and spread 1, made in pairs.
struct Normal {
    source: Pcg32,
    spare: Option<f64>,
}

impl Normal {
    /// Between 0 and 1, neither of them.
    fn uniform(&mut self) -> f64 {
        (f64::from(self.source.next_u32()) + 0.5) / 4_294_967_296.0
    }

    fn next(&mut self) -> f64 {
        if let Some(spare) = self.spare.take() {
            return spare;
        }
        let radius = (-2.0 * libm::log(self.uniform())).sqrt();
        let (sine, cosine) = libm::sincos(std::f64::consts::TAU * self.uniform());
        self.spare = Some(radius * sine);
        radius * cosine
    }
}

#[cfg(test)]
mod tests {
    use super::super::statistics::{chance_below_zero, combined_spread, upper_tail};
    use super::*;

    fn part(excess: f64, spread: f64) -> Part {
        Part {
            excess: Decibels::db(excess),
            spread: Decibels::db(spread),
        }
    }

    /// The mean and the spread, in dB, of the normal that has the first two moments of the sum of the powers.
    ///
    /// L. F. Fenton, IRE Trans. Commun. Syst. CS-8 (1960), and R. I. Wilkinson (from memory); good for spreads up to 4 dB.
    fn fenton_wilkinson(parts: &[Part]) -> (f64, f64) {
        let natural: Vec<(f64, f64)> = parts
            .iter()
            .map(|part| (part.excess.as_db() * NEPERS, part.spread.as_db() * NEPERS))
            .collect();
        let first: f64 = natural.iter().map(|(m, s)| (m + s * s / 2.0).exp()).sum();
        let variance: f64 = natural
            .iter()
            .map(|(m, s)| (2.0 * m + s * s).exp() * ((s * s).exp() - 1.0))
            .sum();
        let square = (variance / (first * first) + 1.0).ln();
        ((first.ln() - square / 2.0) / NEPERS, square.sqrt() / NEPERS)
    }

    #[test]
    fn a_single_level_has_the_chance_of_the_closed_form() {
        for (excess, spread, limit) in [(-3.0, 4.0, 3.0), (0.0, 6.0, 0.0), (5.0, 2.0, 4.5)] {
            let drawn = drawn(&[part(excess, spread)], Decibels::db(limit));
            let both = combined_spread([Decibels::db(spread), Decibels::db(limit)]);
            let closed = chance_below_zero(Decibels::db(-excess), both).as_fraction();
            let off = (drawn.chance.as_fraction() - closed).abs();
            assert!(off < 4.0 * drawn.error.as_fraction(), "{drawn:?} {closed}");
            assert!((drawn.spread.as_db() - both.as_db()).abs() < 0.1);
        }
    }

    #[test]
    fn a_sum_has_the_mean_spread_and_chance_of_fenton_and_wilkinson() {
        for parts in [
            vec![part(-4.0, 3.0); 3],
            vec![part(-6.0, 3.0), part(-2.0, 2.0), part(-9.0, 4.0)],
        ] {
            let drawn = drawn(&parts, Decibels::ZERO);
            let (mean, spread) = fenton_wilkinson(&parts);
            assert!((drawn.mean.as_db() - mean).abs() < 0.2, "{drawn:?} {mean}");
            assert!(
                (drawn.spread.as_db() - spread).abs() < 0.2,
                "{drawn:?} {spread}"
            );
            let chance = upper_tail(-mean / spread).as_fraction();
            assert!(
                (drawn.chance.as_fraction() - chance).abs() < 0.03,
                "{drawn:?} {chance}"
            );
        }
    }

    #[test]
    fn the_same_question_has_the_same_answer_and_certain_powers_add() {
        let parts = [part(-3.0, 0.0), part(-3.0, 0.0)];
        assert_eq!(
            drawn(&parts, Decibels::db(2.0)),
            drawn(&parts, Decibels::db(2.0))
        );
        assert!((together(&parts).as_db() - 0.0103).abs() < 1e-3);
        assert!((drawn(&parts, Decibels::ZERO).chance.as_fraction() - 1.0).abs() < f64::EPSILON);
    }
}
