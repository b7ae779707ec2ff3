//! A discrete-event run: keys are pressed, squelches open, relays follow, tails and hang times run out.

use std::time::Duration;

use super::{HearerId, Network, SenderId};

mod engine;

pub(super) use engine::{Due, Engine, Wiring};

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
        let wiring = Wiring::of(network);
        let mut engine = Engine::new(&wiring);
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

    fn press(sender: SenderId, at: u64, until: u64) -> Press {
        Press {
            sender,
            at: ms(at),
            until: ms(until),
        }
    }

    /// When something happened, in milliseconds.
    fn times(run: &Timeline, what: Happening) -> Vec<u128> {
        let events = run.events.iter().filter(|event| event.what == what);
        events.map(|event| event.at.as_millis()).collect()
    }

    /// Two on one channel, one of whom presses these times; with what the other hears.
    fn between_two(
        presses: &[(u64, u64)],
        change: impl Fn(&mut Network),
    ) -> (Timeline, SenderId, HearerId) {
        let mut sketch = Sketch::default();
        let one = sketch.talker("One", U, Some(770));
        let other = sketch.talker("Other", U, Some(770));
        let mut network = sketch.all_within_earshot(&[]);
        network
            .hearers
            .on_trial()
            .iter_mut()
            .for_each(|hearer| hearer.tone = None);
        change(&mut network);
        let (sender, hearer) = (sender_of(&network, one), hearer_of(&network, other, 0));
        let presses: Vec<Press> = (presses.iter())
            .map(|&(at, until)| press(sender, at, until))
            .collect();
        (
            Timeline::run(&network, &presses, ms(1_000_000)),
            sender,
            hearer,
        )
    }

    /// Power is up after 50 ms, the squelch opens after 100 more and closes after 150.
    #[test]
    fn whoever_lets_go_too_soon_begins_anew() {
        let (run, sender, hearer) = between_two(&[(0, 20), (40, 1_000)], |_| {});
        assert_eq!(times(&run, Happening::OnAir(sender)), [90]);
        assert_eq!(times(&run, Happening::Opened(hearer)), [190]);
        let (run, _, hearer) = between_two(&[(0, 120), (140, 2_000)], |_| {});
        assert_eq!(times(&run, Happening::Opened(hearer)), [290]);
        // At 150 ms the first word would have opened it, and the second is on the air already.
        let (run, _, hearer) = between_two(&[(0, 60), (70, 2_000)], |_| {});
        assert_eq!(times(&run, Happening::Opened(hearer)), [220]);
        assert_eq!(times(&run, Happening::Closed(hearer)), [2_150]);
    }

    #[test]
    fn a_gap_that_is_shorter_than_the_tail_is_not_heard() {
        let (run, _, hearer) = between_two(&[(0, 1_000), (1_050, 2_000)], |_| {});
        assert_eq!(times(&run, Happening::Opened(hearer)), [150]);
        assert_eq!(times(&run, Happening::Closed(hearer)), [2_150]);
        let (run, _, hearer) = between_two(&[(0, 1_000), (1_150, 2_000)], |_| {});
        assert_eq!(times(&run, Happening::Closed(hearer)), [1_150, 2_150]);
    }

    #[test]
    fn a_timer_counts_one_over_and_what_it_stopped_must_be_let_go() {
        let short =
            |network: &mut Network| network.senders.on_trial()[0].time_out = Some(ms(1_000));
        let (run, sender, _) = between_two(&[(0, 600), (700, 1_500)], short);
        assert!(times(&run, Happening::TimedOut(sender)).is_empty());
        let (run, sender, _) = between_two(&[(0, 3_000), (4_000, 4_500)], short);
        assert_eq!(times(&run, Happening::TimedOut(sender)), [1_000]);
        assert_eq!(times(&run, Happening::Keyed(sender)), [0, 4_000]);
        assert_eq!(times(&run, Happening::Unkeyed(sender)), [1_000, 4_500]);
    }

    #[test]
    fn who_presses_hears_nothing_from_that_moment_on() {
        let mut sketch = Sketch::default();
        let one = sketch.talker("One", U, None);
        let other = sketch.talker("Other", U, None);
        let network = sketch.all_within_earshot(&[]);
        let [first, second] = [one, other].map(|radio| sender_of(&network, radio));
        let presses = [press(first, 0, 5_000), press(second, 1_000, 2_000)];
        let run = Timeline::run(&network, &presses, ms(10_000));
        let ear = hearer_of(&network, other, 0);
        assert_eq!(times(&run, Happening::Closed(ear)), [1_000, 5_150]);
        assert_eq!(times(&run, Happening::Opened(ear)), [150, 2_100]);
    }

    /// A relay from U to V, with who talks on U and who hears on V.
    fn through_a_relay(
        presses: &[(u64, u64)],
        hang: u64,
        change: impl Fn(&mut Network),
    ) -> (Timeline, SenderId, HearerId) {
        let mut sketch = Sketch::default();
        let marshal = sketch.talker("Marshal", U, None);
        let relay = sketch.relay("Hill", [(U, None), (V, Some(885))], hang);
        let control = sketch.talker("Control", V, Some(885));
        let mut network = sketch.all_within_earshot(&[]);
        change(&mut network);
        let own = sender_of(&network, marshal);
        let presses: Vec<Press> = (presses.iter())
            .map(|&(at, until)| press(own, at, until))
            .collect();
        let run = Timeline::run(&network, &presses, ms(1_000_000));
        let sends = network
            .all_senders()
            .find(|(_, one)| one.radio == relay && one.side == 1);
        (run, sends.unwrap().0, hearer_of(&network, control, 0))
    }

    #[test]
    fn a_relay_is_held_from_the_last_word_on() {
        let (run, sender, _) = through_a_relay(&[(0, 1_000)], 0, |_| {});
        assert_eq!(times(&run, Happening::Unkeyed(sender)), [1_150]);
        let (run, sender, _) = through_a_relay(&[(0, 1_000)], 500, |_| {});
        assert_eq!(times(&run, Happening::Unkeyed(sender)), [1_650]);
        // The second word opens it at 1350 ms, while it is still held, and ends at 1550 ms.
        let (run, sender, _) = through_a_relay(&[(0, 1_000), (1_200, 1_400)], 500, |_| {});
        assert_eq!(times(&run, Happening::Keyed(sender)), [150]);
        assert_eq!(times(&run, Happening::Unkeyed(sender)), [2_050]);
    }

    #[test]
    fn a_tone_that_ends_with_the_word_closes_the_hearer_while_the_relay_is_held() {
        for (goes_on, closes) in [(true, 7_150 + 150), (false, 5_150 + 150)] {
            let (run, sender, hearer) = through_a_relay(&[(0, 5_000)], 2_000, |network| {
                network
                    .senders
                    .on_trial()
                    .iter_mut()
                    .for_each(|one| one.tone_in_hang = goes_on);
            });
            assert_eq!(times(&run, Happening::Unkeyed(sender)), [7_150]);
            // Squelch and tone: 150 ms to key, 50 ms to full power, 100 and 200 ms.
            assert_eq!(times(&run, Happening::Opened(hearer)), [500]);
            assert_eq!(times(&run, Happening::Closed(hearer)), [closes]);
        }
        // Who presses sends the tone as long as the key is held, and whoever sends none opens nobody who waits for one.
        let with_tone = |tone: Option<u32>| {
            let (run, _, hearer) = between_two(&[(0, 1_000)], |network| {
                network.senders.on_trial()[0].tone_in_hang = false;
                network.senders.on_trial()[0].tone = tone.map(super::super::Tone::tenths);
                network.hearers.on_trial()[1].tone = Some(super::super::Tone::tenths(770));
            });
            times(&run, Happening::Opened(hearer))
        };
        assert_eq!(with_tone(Some(770)), [350]);
        assert!(with_tone(Some(885)).is_empty() && with_tone(None).is_empty());
    }

    #[test]
    fn a_word_that_the_relay_had_no_side_free_for_leaves_nothing_to_hold() {
        let mut sketch = Sketch::default();
        let marshal = sketch.talker("Marshal", U, None);
        let relay = sketch.relay("Hill", [(U, None), (V, None)], 2_000);
        let mut network = sketch.all_within_earshot(&[]);
        // Its operator talks on a third channel, which the input hears on beside.
        let mut operator = network.senders.on_trial()[1].clone();
        (operator.side, operator.is_relay_side) = (2, false);
        operator.frequency = crate::quantity::Frequency::hz(145_500_000);
        network.senders.on_trial().push(operator);
        let operator = SenderId(network.senders.len() - 1);
        // Before the hang time of that word would be over, and after it.
        for free_at in [3_000, 5_000] {
            let run = Timeline::run(
                &network,
                &[
                    press(operator, 0, free_at),
                    press(sender_of(&network, marshal), 1_000, 2_000),
                ],
                ms(60_000),
            );
            let input = hearer_of(&network, relay, 0);
            assert_eq!(times(&run, Happening::Opened(input)), [1_150]);
            let sides = network
                .all_senders()
                .filter(|(id, one)| one.radio == relay && *id != operator);
            for (side, _) in sides {
                assert!(times(&run, Happening::Keyed(side)).is_empty());
            }
            assert!(run.is_settled);
        }
    }

    /// Each is deaf while he sends, so two who send at once meet only where a third hears both.
    #[test]
    fn two_who_send_at_once_meet_where_somebody_hears_both() {
        let is_met = |stations: &[&str]| {
            let mut sketch = Sketch::default();
            let [one, other] = ["One", "Other"].map(|name| sketch.talker(name, U, None));
            for name in stations {
                sketch.talker(name, U, None);
            }
            let network = sketch.all_within_earshot(&[]);
            let wiring = Wiring::of(&network);
            let mut engine = Engine::new(&wiring);
            let senders = [one, other].map(|radio| sender_of(&network, radio));
            let met = |engine: &Engine<'_>| senders.map(|sender| engine.doubles(sender));
            engine.schedule(ms(0), Due::Press(senders[0]));
            engine.schedule(ms(500), Due::Press(senders[1]));
            let mut events = Vec::new();
            while engine.next_at().is_some_and(|at| at < ms(500)) {
                let _ = engine.advance(&mut events);
            }
            // The first alone meets nobody, and whoever is silent would meet him where somebody hears both.
            let early = met(&engine);
            while engine.next_at().is_some_and(|at| at < ms(1_000)) {
                let _ = engine.advance(&mut events);
            }
            (early, met(&engine))
        };
        assert_eq!(is_met(&[]), ([false; 2], [false; 2]));
        assert_eq!(is_met(&["Third"]), ([false, true], [true; 2]));
    }

    /// A relay that is deaf while it sends and takes no time for anything: heard, it keys, is deaf, lets go and hears again.
    #[test]
    fn what_chases_itself_without_any_delay_is_given_up_and_no_moment_passes() {
        let mut sketch = Sketch::default();
        let marshal = sketch.talker("Marshal", U, None);
        sketch.relay("Hill", [(U, None), (V, None)], 0);
        let mut network = sketch.all_within_earshot(&[]);
        for radio in std::sync::Arc::make_mut(&mut network.radios) {
            radio.hears_while_sending = false;
        }
        for hearer in network.hearers.on_trial() {
            hearer.opening = Duration::ZERO;
        }
        let wiring = Wiring::of(&network);
        let mut engine = Engine::new(&wiring);
        engine.schedule(ms(0), Due::Press(sender_of(&network, marshal)));
        let (mut steps, mut events) = (0, Vec::new());
        while engine.next_at().is_some() {
            let _ = engine.advance(&mut events);
            events.clear();
            steps += 1;
        }
        assert_eq!(steps, 2_000_000);
        assert_eq!(engine.now(), ms(50));
    }
}
