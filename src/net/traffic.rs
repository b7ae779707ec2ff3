//! The network under load: who gets through, who waits, and how long the relays are on the air.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::time::Duration;

use super::{Network, RadioId, SenderId, Shift};

mod run;

use rayon::prelude::*;

use run::{Outcome, Part};

/// What an operator does who finds the channel busy.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Manner {
    /// Gives the over up.
    GivesUp,
    /// Waits until it is free.
    Waits,
}

/// The traffic put to a network.
#[derive(Debug, Clone, PartialEq)]
pub struct Load {
    /// How many overs each operator begins in an hour, on average; at random moments (a Poisson process).
    pub overs_per_hour: BTreeMap<SenderId, f64>,
    /// How long an over lasts, on average; exponentially spread.
    pub length: Duration,
    /// The same of those senders of which more is known.
    pub own_length: BTreeMap<SenderId, Duration>,
    /// What is done when the channel is busy.
    pub manner: Manner,
    /// How long it takes, on average, to press the key once the channel is free; evenly spread up to twice that.
    pub reaction: Duration,
    /// How long the event lasts.
    pub lasts: Duration,
    /// What the network divides the event into, each with its beginning and end; empty where nobody comes or goes.
    pub shifts: Vec<Stretched<Shift>>,
    /// The phases of the event, by name.
    pub phases: Vec<Stretched<String>>,
    /// How often the event is run through.
    pub runs: u32,
    /// Seed of the first run; the others follow from it.
    pub seed: u64,
}

/// Something that takes up a part of the event.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stretched<T> {
    /// When it begins, from the beginning of the event.
    pub from: Duration,
    /// When it ends.
    pub to: Duration,
    /// What it is.
    pub what: T,
}

impl<T> Stretched<T> {
    /// How long it lasts.
    pub fn lasts(&self) -> Duration {
        self.to.saturating_sub(self.from)
    }
}

/// Least, mean and most over the runs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// In the run where it was least.
    pub least: f64,
    /// On average.
    pub mean: f64,
    /// In the run where it was most.
    pub most: f64,
}

impl Spread {
    fn of(values: &[f64]) -> Self {
        let count = values.len().max(1) as f64;
        Self {
            least: values
                .iter()
                .copied()
                .fold(f64::INFINITY, f64::min)
                .min(f64::MAX),
            mean: values.iter().sum::<f64>() / count,
            most: values.iter().copied().fold(0.0, f64::max),
        }
    }
}

/// What came of the load for one sender, or for all of one box.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KeyedReport {
    /// The share of the event it was keyed, from 0 to 1 like all shares.
    pub duty: Spread,
    /// The share it was keyed in its busiest six minutes.
    pub busiest_6_minutes: Spread,
    /// The share it was keyed in its busiest thirty minutes.
    pub busiest_30_minutes: Spread,
    /// How often its time-out timer stopped it, in an event.
    pub time_outs: Spread,
}

/// What came of the load.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadReport {
    /// Overs begun or wished for in an event.
    pub attempts: Spread,
    /// The share of them that found the channel busy.
    pub found_busy: Spread,
    /// How long an over waited, on average over all of them, in seconds.
    pub waited_s: Spread,
    /// The share of overs that met another one on the air.
    pub doubled: Spread,
    /// By sender.
    pub senders: BTreeMap<SenderId, KeyedReport>,
    /// By box; it sends on one side at a time.
    pub radios: BTreeMap<RadioId, KeyedReport>,
    /// By phase of the event, in its order: the share of the phase that each box was keyed.
    pub phases: Vec<(Stretched<String>, BTreeMap<RadioId, Spread>)>,
    /// How long each box is on the air in an event.
    pub present: BTreeMap<RadioId, Duration>,
}

/// Runs the event through under load, as often as it says, with different chance each time.
pub fn run_load(network: &Network, load: &Load) -> LoadReport {
    let shifts = if load.shifts.is_empty() {
        vec![Stretched {
            from: Duration::ZERO,
            to: load.lasts,
            what: Shift::default(),
        }]
    } else {
        load.shifts.clone()
    };
    let there = shifts.iter().map(|shift| network.during(&shift.what));
    let there: Vec<Cow<'_, Network>> = there.collect();
    let parts = there.iter().zip(&shifts);
    let parts: Vec<Part<'_>> = parts
        .map(|(there, shift)| Part::of(there, load, shift))
        .collect();
    let seeds = load.runs.max(1);
    let runs: Vec<Outcome> = (0..seeds)
        .into_par_iter()
        .map(|run| {
            let mut whole = Outcome::default();
            for ((part, shift), place) in parts.iter().zip(&shifts).zip(0u64..) {
                let number = u64::from(run) + place * u64::from(seeds);
                let seed = load.seed.wrapping_add(number);
                whole.append(part.run(load, seed), shift.from);
            }
            whole
        })
        .collect();
    let spread =
        |value: fn(&Outcome) -> f64| Spread::of(&runs.iter().map(value).collect::<Vec<_>>());
    let report = |senders: &[SenderId]| keyed_report(&runs, senders, load.lasts);
    let mut by_radio: BTreeMap<RadioId, Vec<SenderId>> = BTreeMap::new();
    for (id, sender) in network.all_senders() {
        by_radio.entry(sender.radio).or_default().push(id);
    }
    let of_radio =
        |radio: RadioId| -> &[SenderId] { by_radio.get(&radio).map_or(&[], Vec::as_slice) };
    let senders: BTreeMap<SenderId, KeyedReport> = network
        .all_senders()
        .map(|(id, _)| (id, report(&[id])))
        .collect();
    LoadReport {
        attempts: spread(|run| f64::from(run.attempts)),
        found_busy: spread(|run| share(run.found_busy, run.attempts)),
        waited_s: spread(|run| run.waited.as_secs_f64() / f64::from(run.attempts.max(1))),
        doubled: spread(|run| share(run.doubled, run.attempts)),
        radios: network
            .radio_ids()
            .map(|id| {
                let alone = match of_radio(id) {
                    [sender] => senders.get(sender).copied(),
                    _ => None,
                };
                (id, alone.unwrap_or_else(|| report(of_radio(id))))
            })
            .collect(),
        senders,
        phases: load
            .phases
            .iter()
            .map(|phase| {
                let radios = network.radio_ids();
                let shares = radios.map(|id| (id, share_of(&runs, of_radio(id), phase)));
                (phase.clone(), shares.collect())
            })
            .collect(),
        present: network
            .radio_ids()
            .map(|id| {
                let there = shifts.iter().filter(|shift| shift.what.has(id));
                (id, there.map(Stretched::lasts).sum())
            })
            .collect(),
    }
}

/// The share of a phase that some senders of one box were keyed.
fn share_of(runs: &[Outcome], senders: &[SenderId], phase: &Stretched<String>) -> Spread {
    let shares = runs.iter().map(|run| {
        let keyed = run.keyed_by(senders);
        let inside = keyed.iter().map(|stretch| {
            let (from, to) = (stretch.from.max(phase.from), stretch.to.min(phase.to));
            to.saturating_sub(from)
        });
        fraction(inside.sum(), phase.lasts())
    });
    Spread::of(&shares.collect::<Vec<_>>())
}

fn share(part: u32, whole: u32) -> f64 {
    f64::from(part) / f64::from(whole.max(1))
}

/// What some senders of one box come to, which are never keyed at the same time.
fn keyed_report(runs: &[Outcome], senders: &[SenderId], lasts: Duration) -> KeyedReport {
    let keyed: Vec<Vec<Stretch>> = runs.iter().map(|run| run.keyed_by(senders)).collect();
    let spread = |value: &dyn Fn(&[Stretch]) -> f64| {
        Spread::of(
            &keyed
                .iter()
                .map(|stretches| value(stretches))
                .collect::<Vec<_>>(),
        )
    };
    let time_outs: Vec<f64> = runs
        .iter()
        .map(|run| f64::from(run.time_outs_of(senders)))
        .collect();
    KeyedReport {
        duty: spread(&|keyed| fraction(keyed.iter().map(Stretch::length).sum(), lasts)),
        busiest_6_minutes: spread(&|keyed| busiest(keyed, Duration::from_mins(6).min(lasts))),
        busiest_30_minutes: spread(&|keyed| busiest(keyed, Duration::from_mins(30).min(lasts))),
        time_outs: Spread::of(&time_outs),
    }
}

fn fraction(part: Duration, whole: Duration) -> f64 {
    if whole.is_zero() {
        0.0
    } else {
        part.as_secs_f64() / whole.as_secs_f64()
    }
}

/// The greatest share of a window in which the sender was keyed; it is reached by a window that begins or ends with a
/// stretch.
fn busiest(keyed: &[Stretch], window: Duration) -> f64 {
    // How long it was keyed before each stretch, and after the last.
    let mut before = vec![Duration::ZERO];
    let mut sum = Duration::ZERO;
    before.extend(keyed.iter().map(|stretch| {
        sum += stretch.length();
        sum
    }));
    let within = |places: &mut (usize, usize), from: Duration, to: Duration| -> Duration {
        let (first, last) = places;
        // Windows come in order, so that nothing that one has passed lies in the next.
        while keyed.get(*first).is_some_and(|stretch| stretch.to <= from) {
            *first += 1;
        }
        while keyed.get(*last).is_some_and(|stretch| stretch.from < to) {
            *last += 1;
        }
        let inside = keyed.get(*first..*last).unwrap_or_default();
        let (Some(&begin), Some(&end)) = (before.get(*first), before.get(*last)) else {
            return Duration::ZERO;
        };
        let early = inside.first().map(|one| from.saturating_sub(one.from));
        let late = inside.last().map(|one| one.to.saturating_sub(to));
        end.saturating_sub(begin)
            .saturating_sub(early.unwrap_or_default() + late.unwrap_or_default())
    };
    let (mut beginning, mut ending) = ((0, 0), (0, 0));
    let most = keyed
        .iter()
        .map(|stretch| {
            let begins = within(&mut beginning, stretch.from, stretch.from + window);
            let ends = within(&mut ending, stretch.to.saturating_sub(window), stretch.to);
            begins.max(ends)
        })
        .max();
    fraction(most.unwrap_or_default(), window)
}

/// A stretch of time in which a sender was keyed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Stretch {
    from: Duration,
    to: Duration,
}

impl Stretch {
    fn length(&self) -> Duration {
        self.to.saturating_sub(self.from)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::model::small::{Sketch, U, V, ms};
    use super::super::{erlang_b, erlang_c, offered_load};
    use super::*;

    /// One channel without delays, on which everybody hears everybody.
    fn channel(operators: usize) -> Network {
        let mut sketch = Sketch::default();
        for index in 0..operators {
            sketch.talker(&format!("Post {index}"), U, None);
        }
        let mut network = sketch.all_within_earshot(&[]);
        for sender in network.senders.on_trial() {
            sender.rise = Duration::ZERO;
            sender.time_out = None;
        }
        for hearer in network.hearers.on_trial() {
            (hearer.opening, hearer.tail) = (Duration::ZERO, Duration::ZERO);
        }
        network
    }

    fn load(network: &Network, manner: Manner) -> Load {
        Load {
            overs_per_hour: network.talkers().map(|(id, _)| (id, 18.0)).collect(),
            length: Duration::from_secs(10),
            own_length: BTreeMap::new(),
            manner,
            reaction: ms(1),
            lasts: Duration::from_hours(200),
            shifts: Vec::new(),
            phases: Vec::new(),
            runs: 4,
            seed: 7,
        }
    }

    /// Erlang's loss formula for one channel: ten operators, 18 overs of 10 s an hour each, 0.5 erlang, one in three
    /// blocked; the channel carries 0.5 × 2/3.
    #[test]
    fn blocking_of_a_single_channel_is_erlangs() {
        let network = channel(10);
        let report = run_load(&network, &load(&network, Manner::GivesUp));
        let offered = offered_load(180.0, Duration::from_secs(10));
        let expected = erlang_b(offered, 1);
        assert!(
            (report.found_busy.mean - expected).abs() < 0.005,
            "{:?} {expected}",
            report.found_busy
        );
        let carried: f64 = report.senders.values().map(|one| one.duty.mean).sum();
        assert!(
            (carried - offered * (1.0 - expected)).abs() < 0.005,
            "{carried}"
        );
        assert!(report.doubled.mean < 1e-9);
    }

    /// Erlang's waiting formula for one channel: half of them wait, and the mean wait is A·h/(1 − A) = 10 s.
    #[test]
    fn waiting_for_a_single_channel_is_erlangs() {
        let network = channel(10);
        let report = run_load(&network, &load(&network, Manner::Waits));
        assert!(
            (report.found_busy.mean - erlang_c(0.5, 1)).abs() < 0.015,
            "{:?}",
            report.found_busy
        );
        assert!(
            (report.waited_s.mean - 10.0).abs() < 0.6,
            "{:?}",
            report.waited_s
        );
        let carried: f64 = report.senders.values().map(|one| one.duty.mean).sum();
        assert!((carried - 0.5).abs() < 0.01, "{carried}");
    }

    #[test]
    fn the_same_seed_gives_the_same_event_and_another_seed_another() {
        let network = channel(3);
        let once = Load {
            lasts: Duration::from_hours(2),
            ..load(&network, Manner::Waits)
        };
        assert_eq!(run_load(&network, &once), run_load(&network, &once));
        assert_ne!(
            run_load(&network, &once),
            run_load(
                &network,
                &Load {
                    seed: 8,
                    ..once.clone()
                }
            )
        );
    }

    /// A relay is keyed for every over and its hang time: with overs of 10 s and a hang time of 2 s, a fifth more.
    #[test]
    fn hang_time_adds_to_the_relays_duty() {
        let mut sketch = Sketch::default();
        sketch.talker("Marshal", U, None);
        sketch.relay("Hill", [(U, None), (V, None)], 2_000);
        let network = sketch.all_within_earshot(&[]);
        let load = load(&network, Manner::GivesUp);
        let report = run_load(&network, &load);
        let keyed = network
            .repeats
            .iter()
            .find(|repeat| repeat.from.0 == 1)
            .unwrap()
            .to;
        let (own, relayed) = (
            report.senders[&SenderId(0)].duty.mean,
            report.senders[&keyed].duty.mean,
        );
        // Rise and squelch (150 ms) are cut off at the beginning, the tail (150 ms) is added at the end.
        let per_over = own * 3_600.0 / (relayed * 3_600.0);
        assert!((1.0 / per_over - 1.2).abs() < 0.02, "{own} {relayed}");
        let busiest = report.senders[&keyed].busiest_6_minutes;
        assert!(busiest.most <= 1.0 && busiest.least > report.senders[&keyed].duty.mean);
    }

    /// Who is there for a quarter of the event says a quarter of what they would say, all of it in that quarter.
    #[test]
    fn who_is_absent_in_a_phase_neither_talks_nor_is_repeated_in_it() {
        let network = channel(1);
        let (whole, quarter) = (Duration::from_hours(200), Duration::from_hours(50));
        let part = |name: &str, from, to| Stretched {
            from,
            to,
            what: name.to_owned(),
        };
        let shift = |from, to, absent: &[RadioId]| Stretched {
            from,
            to,
            what: Shift {
                window: None,
                absent: absent.iter().copied().collect(),
            },
        };
        let load = Load {
            shifts: vec![
                shift(Duration::ZERO, quarter, &[]),
                shift(quarter, whole, &[RadioId(0)]),
            ],
            phases: vec![
                part("race", Duration::ZERO, quarter),
                part("sweep", quarter, whole),
            ],
            ..load(&network, Manner::GivesUp)
        };
        let report = run_load(&network, &load);
        let duty = |phase: usize| report.phases[phase].1[&RadioId(0)].mean;
        // 18 overs of 10 s an hour, a fraction of them missed while another lasts: A/(1 + A) with A = 0.05.
        assert!((duty(0) - 0.05 / 1.05).abs() < 0.005, "{}", duty(0));
        assert!(duty(1).abs() < 1e-12);
        let event = report.radios[&RadioId(0)].duty.mean;
        assert!((event - duty(0) / 4.0).abs() < 1e-9, "{event}");
        assert_eq!(report.present[&RadioId(0)], quarter);
    }

    #[test]
    fn the_busiest_window_is_found_at_the_edges_of_stretches() {
        let stretch = |from, to| Stretch {
            from: ms(from),
            to: ms(to),
        };
        let keyed = [stretch(0, 100), stretch(500, 600), stretch(650, 900)];
        assert!((busiest(&keyed, ms(400)) - 350.0 / 400.0).abs() < 1e-12);
        assert!(busiest(&[], ms(400)).abs() < 1e-12);
    }

    proptest! {
        #[test]
        fn the_busiest_window_is_the_one_that_every_millisecond_gives(
            gaps in prop::collection::vec((0u64..40, 1u64..60), 0..12),
            window in 1u64..150,
        ) {
            let mut at = 0;
            let keyed: Vec<Stretch> = gaps
                .iter()
                .map(|&(gap, length)| {
                    let from = at + gap;
                    at = from + length;
                    Stretch { from: ms(from), to: ms(at) }
                })
                .collect();
            let is_keyed = |at: u64| keyed.iter().any(|one| one.from <= ms(at) && ms(at) < one.to);
            let most = (0..=at).map(|from| (from..from + window).filter(|&at| is_keyed(at)).count());
            let plainly = most.max().unwrap_or(0) as f64 / window as f64;
            prop_assert!((busiest(&keyed, ms(window)) - plainly).abs() < 1e-12);
        }
    }
}
