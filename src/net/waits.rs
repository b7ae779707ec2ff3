//! What the run means to somebody with a key in hand.

use std::time::Duration;

use super::{HearerId, Network, Press, RadioId, SenderId, Timeline, Way, way};

/// How long after pressing the key the far end is open: for each step the transmitter's rise, the squelch, and the tone
/// where one is waited for.
///
/// # Source
/// A sum; the run gives the same.
pub fn opening_delay(network: &Network, way: &Way) -> Duration {
    way.hops
        .iter()
        .map(|hop| {
            let rise = network
                .sender(hop.from)
                .map_or(Duration::ZERO, |sender| sender.rise);
            let hearer = network.hearer(hop.by).map_or(Duration::ZERO, |hearer| {
                hearer.opening + hearer.tone.map_or(Duration::ZERO, |_| hearer.decode)
            });
            rise + hearer
        })
        .sum()
}

/// Words a minute of somebody who speaks at an ordinary pace.
///
/// # Source
/// Common practice.
const WORDS_PER_MINUTE: u128 = 150;

/// How many words are lost by whoever speaks at once, begun words included.
pub fn words_lost(delay: Duration) -> u128 {
    (delay.as_millis() * WORDS_PER_MINUTE).div_ceil(60_000)
}

/// Whether a second operator can be heard while a first one talks, best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum BreakIn {
    /// At once: the way is free.
    AtOnce,
    /// Both open the same input, and what comes out is both.
    Doubles,
    /// Only so long after the first has let go.
    After(Duration),
    /// Not in a minute after the first has let go.
    Never,
}

/// How long the first talks in the trial, and how long the second tries after that.
const FIRST_TALKS: Duration = Duration::from_secs(10);
const SECOND_TRIES: Duration = Duration::from_mins(1);

/// Whether `second` can break in on `first`, towards whoever the word is for; none when there is no way to begin with.
///
/// The run is asked: the first presses for ten seconds, the second after five and holds on. Where stations come and go,
/// the worst of the times in which there is a way.
pub fn break_in(network: &Network, first: RadioId, second: RadioId) -> Option<BreakIn> {
    let shifts = network.shifts().iter();
    shifts
        .filter_map(|shift| break_in_now(&network.during(shift), first, second))
        .max()
}

fn break_in_now(network: &Network, first: RadioId, second: RadioId) -> Option<BreakIn> {
    let (speaks, _) = first_step(network, first, second)?;
    let (tries, input) = first_step(network, second, first)?;
    if network.opens(speaks, input) {
        return Some(BreakIn::Doubles);
    }
    let presses = [
        Press {
            sender: speaks,
            at: Duration::ZERO,
            until: FIRST_TALKS,
        },
        Press {
            sender: tries,
            at: FIRST_TALKS / 2,
            until: FIRST_TALKS + SECOND_TRIES,
        },
    ];
    let run = Timeline::run(network, &presses, FIRST_TALKS + SECOND_TRIES);
    Some(match run.opened(input, Duration::ZERO) {
        None => BreakIn::Never,
        Some(at) => at
            .checked_sub(FIRST_TALKS)
            .map_or(BreakIn::AtOnce, BreakIn::After),
    })
}

/// The sender and the first hearer of the way from one radio to another.
fn first_step(network: &Network, from: RadioId, to: RadioId) -> Option<(SenderId, HearerId)> {
    way(network, from, to)?
        .hops
        .first()
        .map(|hop| (hop.from, hop.by))
}

#[cfg(test)]
mod tests {
    use super::super::model::small::{Sketch, U, V, ms};
    use super::*;

    #[test]
    fn across_a_half_duplex_relay_nobody_breaks_in_before_tail_and_hang_are_over() {
        let mut sketch = Sketch::default();
        let marshal = sketch.talker("Marshal", U, None);
        let control = sketch.talker("Control", V, None);
        sketch.relay("Hill", [(U, None), (V, None)], 500);
        let network = sketch.all_within_earshot(&[]);
        // Tail 150, hang 500, then the relay's squelch 100.
        assert_eq!(
            break_in(&network, marshal, control),
            Some(BreakIn::After(ms(750)))
        );
    }

    #[test]
    fn two_on_one_input_double() {
        let mut sketch = Sketch::default();
        let east = sketch.user("East", 145_050_000, 145_650_000, None);
        let west = sketch.user("West", 145_050_000, 145_650_000, None);
        sketch.repeater("Town", 145_050_000, 145_650_000, None, 2_000);
        assert_eq!(
            break_in(&sketch.all_within_earshot(&[]), east, west),
            Some(BreakIn::Doubles)
        );
    }

    #[test]
    fn begun_words_are_lost_words() {
        assert_eq!(words_lost(ms(0)), 0);
        assert_eq!(words_lost(ms(400)), 1);
        assert_eq!(words_lost(ms(401)), 2);
        assert_eq!(words_lost(ms(1_000)), 3);
    }
}
