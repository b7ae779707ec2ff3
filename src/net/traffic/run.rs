//! One run of the event: operators wish to talk, wait or give up, press and let go.

use std::collections::BTreeMap;
use std::time::Duration;

use rand_pcg::Pcg32;
use rand_pcg::rand_core::{Rng, SeedableRng};

use super::{Load, Manner, Stretch, Stretched};
use crate::net::timeline::{Due, Engine, Wiring};
use crate::net::{Event, Happening, HearerId, Network, SenderId, Shift};

/// An operator with overs to send.
#[derive(Debug, Clone)]
struct Operator {
    sender: SenderId,
    ears: Vec<HearerId>,
    /// Mean time between overs; none for somebody who never talks.
    pause: Option<Duration>,
    /// When each over that is still to be sent was wished for.
    wishes: Vec<Duration>,
}

/// What came of a run.
#[derive(Debug, Default)]
pub(super) struct Outcome {
    pub(super) attempts: u32,
    pub(super) found_busy: u32,
    pub(super) doubled: u32,
    pub(super) waited: Duration,
    keyed: BTreeMap<SenderId, Vec<Stretch>>,
    time_outs: BTreeMap<SenderId, u32>,
}

impl Outcome {
    /// Adds what came of a later part of the event, which begins at a moment.
    pub(super) fn append(&mut self, part: Self, at: Duration) {
        self.attempts += part.attempts;
        self.found_busy += part.found_busy;
        self.doubled += part.doubled;
        self.waited += part.waited;
        for (sender, stretches) in part.keyed {
            let later = stretches.iter().map(|stretch| Stretch {
                from: stretch.from + at,
                to: stretch.to + at,
            });
            self.keyed.entry(sender).or_default().extend(later);
        }
        for (sender, count) in part.time_outs {
            *self.time_outs.entry(sender).or_default() += count;
        }
    }

    /// When any of some senders was keyed, in order.
    pub(super) fn keyed_by(&self, senders: &[SenderId]) -> Vec<Stretch> {
        let keyed = senders.iter().filter_map(|sender| self.keyed.get(sender));
        let mut stretches: Vec<Stretch> = keyed.flatten().copied().collect();
        stretches.sort_unstable();
        stretches
    }

    /// How often the timers of some senders stopped them.
    pub(super) fn time_outs_of(&self, senders: &[SenderId]) -> u32 {
        senders
            .iter()
            .filter_map(|sender| self.time_outs.get(sender))
            .sum()
    }
}

/// A part of the event in which nobody comes or goes; the same in every run.
pub(super) struct Part<'a> {
    wiring: Wiring<'a>,
    operators: Vec<Operator>,
    lasts: Duration,
}

impl<'a> Part<'a> {
    pub(super) fn of(network: &'a Network, load: &Load, shift: &Stretched<Shift>) -> Self {
        let operators = load.overs_per_hour.iter().filter_map(|(&sender, &rate)| {
            let radio = network.sender(sender)?.radio;
            if !shift.what.has(radio) {
                return None;
            }
            let ears = network
                .all_hearers()
                .filter(|(_, hearer)| hearer.radio == radio)
                .map(|(id, _)| id);
            let pause = (rate > 1e-6).then(|| Duration::from_secs_f64(3_600.0 / rate));
            Some(Operator {
                sender,
                ears: ears.collect(),
                pause,
                wishes: Vec::new(),
            })
        });
        Self {
            operators: operators.collect(),
            wiring: Wiring::of(network),
            lasts: shift.lasts(),
        }
    }

    /// Runs it through with the chance that follows from a seed.
    pub(super) fn run(&self, load: &Load, seed: u64) -> Outcome {
        let mut run = Run {
            engine: Engine::new(&self.wiring),
            chance: Pcg32::seed_from_u64(seed),
            operators: self.operators.clone(),
            outcome: Outcome::default(),
            keyed_since: BTreeMap::new(),
        };
        for index in 0..run.operators.len() {
            run.next_wish(index);
        }
        run.finish(load, self.lasts)
    }
}

/// One run of a part of the event.
struct Run<'w> {
    engine: Engine<'w>,
    chance: Pcg32,
    operators: Vec<Operator>,
    outcome: Outcome,
    keyed_since: BTreeMap<SenderId, Duration>,
}

impl Run<'_> {
    fn finish(mut self, load: &Load, lasts: Duration) -> Outcome {
        let (mut events, mut released) = (Vec::new(), Vec::new());
        while self.engine.next_at().is_some_and(|at| at <= lasts) {
            let (_, due) = self.engine.advance(&mut events);
            self.record(&events);
            released.clear();
            released.extend(events.iter().filter_map(|event| match event.what {
                Happening::Closed(hearer) => Some(hearer),
                _ => None,
            }));
            events.clear();
            match due {
                // Even numbers are wishes, odd ones are operators who look again.
                Some(Due::Call(call)) if call % 2 == 0 => self.wish(call / 2, load),
                Some(Due::Call(call)) => self.try_again(call / 2, load),
                Some(Due::Release(sender)) => self.call_waiting(load, |one| one.sender == sender),
                _ => {}
            }
            if !released.is_empty() {
                self.call_waiting(load, |one| {
                    one.ears.iter().any(|ear| released.contains(ear))
                });
            }
        }
        let left: Vec<SenderId> = self.keyed_since.keys().copied().collect();
        for sender in left {
            self.unkeyed(sender, lasts);
        }
        self.outcome
    }

    fn record(&mut self, events: &[Event]) {
        for event in events {
            match event.what {
                Happening::Keyed(sender) => {
                    self.keyed_since.insert(sender, event.at);
                }
                Happening::Unkeyed(sender) => self.unkeyed(sender, event.at),
                Happening::TimedOut(sender) => {
                    *self.outcome.time_outs.entry(sender).or_default() += 1;
                }
                Happening::OnAir(sender) => {
                    let is_operator = self.operators.iter().any(|one| one.sender == sender);
                    self.outcome.doubled += u32::from(is_operator && self.engine.doubles(sender));
                }
                Happening::Opened(_) | Happening::Closed(_) => {}
            }
        }
    }

    fn unkeyed(&mut self, sender: SenderId, at: Duration) {
        if let Some(from) = self.keyed_since.remove(&sender) {
            self.outcome
                .keyed
                .entry(sender)
                .or_default()
                .push(Stretch { from, to: at });
        }
    }

    /// A number above 0 and not above 1.
    fn uniform(&mut self) -> f64 {
        part(self.chance.next_u32())
    }

    /// An exponentially spread time.
    fn exponential(&mut self, mean: Duration) -> Duration {
        mean.mul_f64(-self.uniform().ln())
    }

    fn next_wish(&mut self, index: usize) {
        if let Some(pause) = self.operators.get(index).and_then(|one| one.pause) {
            let at = self.engine.now() + self.exponential(pause);
            self.engine.schedule(at, Due::Call(2 * index));
        }
    }

    fn is_busy(&self, index: usize) -> bool {
        self.operators.get(index).is_some_and(|one| {
            self.engine.is_keyed(one.sender) || one.ears.iter().any(|ear| self.engine.is_open(*ear))
        })
    }

    fn wish(&mut self, index: usize, load: &Load) {
        self.next_wish(index);
        self.outcome.attempts += 1;
        let is_busy = self.is_busy(index);
        self.outcome.found_busy += u32::from(is_busy);
        let now = self.engine.now();
        match (is_busy, load.manner) {
            (false, _) => self.press(index, load),
            (true, Manner::GivesUp) => {}
            (true, Manner::Waits) => {
                if let Some(one) = self.operators.get_mut(index) {
                    one.wishes.push(now);
                }
            }
        }
    }

    fn press(&mut self, index: usize, load: &Load) {
        let Some(sender) = self.operators.get(index).map(|one| one.sender) else {
            return;
        };
        let now = self.engine.now();
        let length = load.own_length.get(&sender).copied();
        let until = now + self.exponential(length.unwrap_or(load.length));
        self.engine.schedule(now, Due::Press(sender));
        self.engine.schedule(until, Due::Release(sender));
    }

    /// Those who wait and may find the channel free look again, each after their own reaction time.
    fn call_waiting(&mut self, load: &Load, concerns: impl Fn(&Operator) -> bool) {
        let waiting: Vec<usize> = self
            .operators
            .iter()
            .enumerate()
            .filter(|(_, one)| !one.wishes.is_empty() && concerns(one))
            .map(|(index, _)| index)
            .collect();
        for index in waiting {
            let at = self.engine.now() + load.reaction.mul_f64(2.0 * self.uniform());
            self.engine.schedule(at, Due::Call(2 * index + 1));
        }
    }

    fn try_again(&mut self, index: usize, load: &Load) {
        if self.is_busy(index) {
            return;
        }
        let now = self.engine.now();
        let Some(one) = self
            .operators
            .get_mut(index)
            .filter(|one| !one.wishes.is_empty())
        else {
            return;
        };
        let wished = one.wishes.remove(0);
        self.outcome.waited += now.saturating_sub(wished);
        self.press(index, load);
    }
}

/// A draw as a number above 0 and not above 1.
fn part(draw: u32) -> f64 {
    (f64::from(draw) + 1.0) / (f64::from(u32::MAX) + 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Of 2³² equal parts, the upper end of the one that is drawn: its logarithm is a number, and never above nought.
    #[test]
    fn a_draw_is_a_part_of_one_that_is_never_nothing_and_may_be_all() {
        let parts = 4_294_967_296.0;
        assert!((part(0) * parts - 1.0).abs() < 1e-9);
        assert!((part(u32::MAX) - 1.0).abs() < 1e-12);
        assert!((part(u32::MAX / 2) - 0.5).abs() < 1e-12);
    }
}
