//! A relay that listens where another relay sends is held by its hang time, and those on its other side wait.

use std::collections::BTreeSet;
use std::time::Duration;

use super::{HearerId, Network, RadioId, SenderId};
use crate::scenario::Legs;

/// A relay held by another relay's output.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lockout {
    /// The output that holds it.
    pub output: SenderId,
    /// The input that is held open.
    pub input: HearerId,
    /// The relay that is held.
    pub relay: RadioId,
    /// Those who would open a side of it that is deaf meanwhile.
    pub locked: BTreeSet<RadioId>,
    /// How long the relay still sends after the last word on the other relay's input ended.
    pub lasts: Duration,
    /// Whether the input waits for a tone that the output sends even while nobody talks.
    pub has_tone: bool,
    /// Legs under trial it rests on.
    pub legs: Legs,
}

/// Every relay of ours that somebody's output holds open and that then shuts users out.
///
/// After the last word: the holding relay's hang time, unless its tone ends with the word; then this relay's tail; then
/// its own hang time.
pub fn lockouts(network: &Network) -> Vec<Lockout> {
    let mut found = Vec::new();
    for repeat in network
        .repeats
        .iter()
        .filter(|repeat| network.is_our_hearer(repeat.from))
    {
        let Some(input) = network.hearer(repeat.from) else {
            continue;
        };
        for (holder, output) in held_by(network, repeat.from) {
            let mut locked = shut_out(network, repeat.to);
            let holding = network.sender(output.id).map(|sender| sender.radio);
            locked.retain(|user| {
                network.ever_together(holding.into_iter().chain([input.radio, *user]))
            });
            if locked.is_empty() {
                continue;
            }
            let follows_word = input.tone.is_some() && !output.tone_in_hang;
            let held = if follows_word { Duration::ZERO } else { holder };
            found.push(Lockout {
                output: output.id,
                input: repeat.from,
                relay: input.radio,
                lasts: held + input.tail + repeat.hang,
                has_tone: input.tone.is_some(),
                legs: input.legs.and(output.legs).and(
                    network
                        .sender(repeat.to)
                        .map_or(Legs::NONE, |sender| sender.legs),
                ),
                locked,
            });
        }
    }
    found
}

struct Output {
    id: SenderId,
    tone_in_hang: bool,
    legs: Legs,
}

/// The relayed outputs that open a hearer, each with the longest hang time it is held for.
fn held_by(network: &Network, input: HearerId) -> Vec<(Duration, Output)> {
    network
        .all_senders()
        .filter(|(id, _)| network.opens(*id, input))
        .filter_map(|(id, sender)| {
            let hangs = network
                .repeats
                .iter()
                .filter(|repeat| repeat.to == id)
                .map(|repeat| repeat.hang);
            let output = Output {
                id,
                tone_in_hang: sender.tone_in_hang,
                legs: sender.legs,
            };
            hangs.max().map(|hang| (hang, output))
        })
        .collect()
}

/// The operators who open a side that is deaf while `keyed` sends.
fn shut_out(network: &Network, keyed: SenderId) -> BTreeSet<RadioId> {
    let deaf: Vec<HearerId> = network
        .all_hearers()
        .map(|(id, _)| id)
        .filter(|id| network.is_relay_input(*id) && network.deafens(keyed, *id))
        .collect();
    network
        .talkers()
        .filter(|(id, _)| deaf.iter().any(|hearer| network.opens(*id, *hearer)))
        .map(|(_, sender)| sender.radio)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::model::small::{Sketch, U, ms};
    use super::*;

    const INPUT: i64 = 145_050_000;
    const OUTPUT: i64 = 145_650_000;

    fn parked(relay_tone: Option<u32>, repeater_tone: Option<u32>, tone_in_hang: bool) -> Network {
        let mut sketch = Sketch::default();
        sketch.talker("Marshal", U, None);
        sketch.relay("Hill", [(U, None), (OUTPUT, relay_tone)], 500);
        sketch.repeater("Town", INPUT, OUTPUT, None, 2_000);
        let mut network = sketch.all_within_earshot(&[]);
        let senders = network.senders.on_trial().iter_mut();
        for sender in senders.filter(|sender| sender.name == "Town") {
            sender.tone = repeater_tone.map(super::super::Tone::tenths);
            sender.tone_in_hang = tone_in_hang;
        }
        network
    }

    #[test]
    fn a_relay_parked_on_an_output_is_held_for_hang_tail_and_own_hang() {
        let found = lockouts(&parked(None, None, true));
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].lasts, ms(2_000 + 150 + 500));
        assert_eq!(found[0].locked, BTreeSet::from([RadioId(0)]));
    }

    #[test]
    fn a_tone_that_ends_with_the_word_takes_the_hang_time_out() {
        assert_eq!(
            lockouts(&parked(Some(770), Some(770), false))[0].lasts,
            ms(150 + 500)
        );
        assert_eq!(
            lockouts(&parked(Some(770), Some(770), true))[0].lasts,
            ms(2_650)
        );
    }

    #[test]
    fn a_tone_that_the_output_does_not_send_leaves_the_relay_alone() {
        assert!(lockouts(&parked(Some(770), None, true)).is_empty());
    }
}
