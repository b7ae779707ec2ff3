//! A discrete-event run: keys are pressed, squelches open, relays follow, tails and hang times run out.

use std::time::Duration;

use super::{HearerId, Network, SenderId};

mod engine;

pub(super) use engine::{Due, Engine};

/// An operator presses the key at one moment and lets go at another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Press {
    /// Which sender.
    pub sender: SenderId,
    /// When the key is pressed.
    pub at: Duration,
    /// When it is let go.
    pub until: Duration,
}

/// What happened.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Happening {
    /// A sender was keyed.
    Keyed(SenderId),
    /// A sender has full power.
    OnAir(SenderId),
    /// A sender was unkeyed.
    Unkeyed(SenderId),
    /// A sender was stopped by its time-out timer.
    TimedOut(SenderId),
    /// A hearer opened.
    Opened(HearerId),
    /// A hearer closed.
    Closed(HearerId),
}

/// Something happened at a moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Event {
    /// When, from the beginning of the run.
    pub at: Duration,
    /// What.
    pub what: Happening,
}

/// What came of some presses.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Timeline {
    /// In order of time.
    pub events: Vec<Event>,
    /// Whether all are silent in the end.
    pub is_settled: bool,
}

impl Timeline {
    /// Runs the network for a time in which these keys are pressed and no others.
    pub fn run(network: &Network, presses: &[Press], until: Duration) -> Self {
        let mut engine = Engine::new(network);
        for press in presses {
            engine.schedule(press.at, Due::Press(press.sender));
            engine.schedule(press.until, Due::Release(press.sender));
        }
        let mut events = Vec::new();
        while engine.next_at().is_some_and(|at| at <= until) {
            let (_, _) = engine.advance(&mut events);
        }
        Self {
            events,
            is_settled: !engine.is_anyone_keyed(),
        }
    }

    /// When a hearer first opened, not before a moment.
    pub fn opened(&self, hearer: HearerId, from: Duration) -> Option<Duration> {
        self.first(Happening::Opened(hearer), from)
    }

    /// When something first happened, not before a moment.
    pub fn first(&self, what: Happening, from: Duration) -> Option<Duration> {
        self.events
            .iter()
            .find(|event| event.what == what && event.at >= from)
            .map(|event| event.at)
    }

    /// When something last happened.
    pub fn last(&self, what: Happening) -> Option<Duration> {
        self.events
            .iter()
            .rev()
            .find(|event| event.what == what)
            .map(|event| event.at)
    }
}

#[cfg(test)]
mod tests {
    use super::super::model::small::{Sketch, U, V, ms};
    use super::super::{RadioId, opening_delay, way};
    use super::*;

    fn sender_of(network: &Network, radio: RadioId) -> SenderId {
        network
            .all_senders()
            .find(|(_, sender)| sender.radio == radio)
            .unwrap()
            .0
    }

    fn hearer_of(network: &Network, radio: RadioId, side: usize) -> HearerId {
        network
            .all_hearers()
            .find(|(_, hearer)| hearer.radio == radio && hearer.side == side)
            .unwrap()
            .0
    }

    fn chain() -> (Network, RadioId, RadioId) {
        let channels = [
            (433_450_000, Some(770)),
            (V, None),
            (433_550_000, Some(885)),
            (145_325_000, None),
        ];
        let mut sketch = Sketch::default();
        let first = sketch.talker("Summit", channels[0].0, channels[0].1);
        for (name, pair) in ["One", "Two", "Three"].iter().zip(channels.windows(2)) {
            sketch.relay(name, [pair[0], pair[1]], 500);
        }
        let last = sketch.talker("Control", channels[3].0, channels[3].1);
        (sketch.all_within_earshot(&[]), first, last)
    }

    /// Four hops, each 50 ms rise and 100 ms squelch, two of them 200 ms tone on top: 4 × 150 + 2 × 200 = 1000 ms.
    #[test]
    fn a_chain_of_three_opens_after_the_sum_of_its_delays() {
        let (network, first, last) = chain();
        let (sender, ear) = (sender_of(&network, first), hearer_of(&network, last, 0));
        let presses = [Press {
            sender,
            at: ms(1_000),
            until: ms(6_000),
        }];
        let run = Timeline::run(&network, &presses, ms(60_000));
        assert_eq!(run.opened(ear, Duration::ZERO), Some(ms(2_000)));
        let found = way(&network, first, last).unwrap();
        assert_eq!(opening_delay(&network, &found), ms(1_000));
        assert!(run.is_settled);
    }

    /// After the key is let go each relay adds its tail (150 ms) and hang (500 ms), the last ear its tail: 3 × 650 + 150.
    #[test]
    fn a_chain_of_three_falls_silent_after_the_sum_of_its_tails() {
        let (network, first, last) = chain();
        let (sender, ear) = (sender_of(&network, first), hearer_of(&network, last, 0));
        let presses = [Press {
            sender,
            at: ms(0),
            until: ms(5_000),
        }];
        let run = Timeline::run(&network, &presses, ms(60_000));
        assert_eq!(
            run.last(Happening::Closed(ear)),
            Some(ms(5_000 + 3 * 650 + 150))
        );
    }

    /// A relay parked on a repeater's output: the repeater's tail and hang, then the relay's own; one millisecond
    /// before, its other side is still deaf.
    #[test]
    fn a_lockout_ends_exactly_with_the_hang_time() {
        let (input, output) = (145_050_000, 145_650_000);
        let mut sketch = Sketch::default();
        let marshal = sketch.talker("Marshal", U, None);
        let relay = sketch.relay("Hill", [(U, None), (output, None)], 500);
        sketch.repeater("Town", input, output, None, 2_000);
        let stranger = sketch.user("Stranger", input, output, None);
        let network = sketch.all_within_earshot(&[]);
        let keyed = network
            .repeats
            .iter()
            .find(|repeat| repeat.from == hearer_of(&network, relay, 1))
            .unwrap()
            .to;
        let presses = [
            Press {
                sender: sender_of(&network, stranger),
                at: ms(0),
                until: ms(10_000),
            },
            Press {
                sender: sender_of(&network, marshal),
                at: ms(3_000),
                until: ms(30_000),
            },
        ];
        let run = Timeline::run(&network, &presses, ms(60_000));
        // Town: tail 150, hang 2000. Hill: tail 150, hang 500.
        let free = 10_000 + 150 + 2_000 + 150 + 500;
        assert_eq!(
            run.first(Happening::Unkeyed(keyed), Duration::ZERO),
            Some(ms(free))
        );
        // The marshal has been on the air all the while: squelch opens 100 ms after the side listens again.
        assert_eq!(
            run.opened(hearer_of(&network, relay, 0), Duration::ZERO),
            Some(ms(free + 100))
        );
        let told = super::super::lockouts(&network);
        assert_eq!(
            told[0].lasts + ms(150),
            ms(free - 10_000),
            "its own tail comes before the repeater's hang time"
        );
    }

    #[test]
    fn two_relays_in_a_ring_hold_each_other_until_the_time_out() {
        let mut sketch = Sketch::default();
        let marshal = sketch.talker("Marshal", U, None);
        sketch.relay("Hill", [(U, None), (V, None)], 0);
        sketch.relay("Valley", [(U, None), (V, None)], 0);
        // The marshal is heard by Hill only.
        let network = sketch.all_within_earshot(&[("Marshal", "Valley")]);
        let presses = [Press {
            sender: sender_of(&network, marshal),
            at: ms(0),
            until: ms(2_000),
        }];
        let run = Timeline::run(&network, &presses, ms(100_000));
        assert!(
            !run.is_settled,
            "both are still keyed long after the marshal let go"
        );
        let run = Timeline::run(&network, &presses, ms(300_000));
        assert!(
            run.events
                .iter()
                .any(|event| matches!(event.what, Happening::TimedOut(_)))
        );
    }

    #[test]
    fn a_key_held_too_long_is_stopped_by_the_relays_time_out_timer() {
        let mut sketch = Sketch::default();
        let marshal = sketch.talker("Marshal", U, None);
        let relay = sketch.relay("Hill", [(U, None), (V, None)], 0);
        let mut network = sketch.all_within_earshot(&[]);
        let own = sender_of(&network, marshal);
        network.senders.on_trial()[own.0].time_out = None;
        let presses = [Press {
            sender: own,
            at: ms(0),
            until: ms(400_000),
        }];
        let run = Timeline::run(&network, &presses, ms(500_000));
        let keyed = network
            .repeats
            .iter()
            .find(|repeat| repeat.from == hearer_of(&network, relay, 0))
            .unwrap()
            .to;
        assert_eq!(
            run.first(Happening::TimedOut(keyed), Duration::ZERO),
            Some(ms(150 + 180_000))
        );
        assert!(run.is_settled);
    }
}
