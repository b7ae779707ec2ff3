//! Closed results of queueing theory, to hold the run against and for a first look.

use std::time::Duration;

/// Offered load in erlangs: how many channels the traffic would fill if it could all be carried.
///
/// # Source
/// Definition: arrivals in a time, times the mean length, over that time.
pub fn offered_load(overs_per_hour: f64, length: Duration) -> f64 {
    overs_per_hour.max(0.0) * length.as_secs_f64() / 3_600.0
}

/// The share of attempts that find all channels busy, when those who do go away.
///
/// `B = (Aⁿ/n!) / Σ Aᵏ/k!`, by the recursion `B(k) = A·B(k−1)/(k + A·B(k−1))`; for one channel `A/(1 + A)`.
///
/// # Source
/// A. K. Erlang, "Solution of some problems in the theory of probabilities of significance in automatic telephone
/// exchanges" (1917); in the form of ITU-D Teletraffic Engineering Handbook (from memory).
///
/// # Example
/// One channel offered 0.5 erlang: one attempt in three.
pub fn erlang_b(load: f64, channels: u32) -> f64 {
    let load = load.max(0.0);
    (1..=channels).fold(1.0, |before, channel| {
        load * before / (f64::from(channel) + load * before)
    })
}

/// The share of attempts that must wait, when those who do stay until a channel is free.
///
/// `C = n·B/(n − A·(1 − B))`; one where the load is not less than the channels. For one channel it is the load itself.
///
/// # Source
/// As for [`erlang_b`].
pub fn erlang_c(load: f64, channels: u32) -> f64 {
    let all = f64::from(channels);
    if load >= all {
        return 1.0;
    }
    let blocked = erlang_b(load, channels);
    all * blocked / (all - load.max(0.0) * (1.0 - blocked))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Values of the formula itself, worked by hand, and two of the published tables (ITU-D handbook, from memory).
    #[test]
    fn erlangs_formulas_give_the_known_values() {
        let near = |one: f64, other: f64| (one - other).abs() < 5e-5;
        assert!(near(erlang_b(0.5, 1), 1.0 / 3.0));
        assert!(near(erlang_b(1.0, 2), 0.2));
        assert!(near(erlang_b(2.0, 2), 0.4));
        // Table value: 10 channels carry 4.461 erlangs at a blocking of 1 %.
        assert!(near(erlang_b(4.461, 10), 0.01));
        assert!(near(erlang_c(0.5, 1), 0.5));
        assert!(near(erlang_c(1.0, 2), 1.0 / 3.0));
        assert!(near(erlang_c(3.0, 2), 1.0));
    }

    #[test]
    fn sixty_overs_of_half_a_minute_fill_half_a_channel() {
        assert!((offered_load(60.0, Duration::from_secs(30)) - 0.5).abs() < 1e-12);
    }
}
