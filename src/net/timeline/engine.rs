//! The machinery of the run: a queue of what is due, and the state of every sender, hearer and repeat.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};
use std::time::Duration;

use super::{Event, Happening};
use crate::net::{Hearer, HearerId, Network, RadioId, Sender, SenderId};

/// A run stops after so many steps: a network that chases itself without delay would never end.
const MOST_STEPS: u64 = 2_000_000;

/// What is due at some moment. A number after the place tells whether it has been overtaken meanwhile.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(in crate::net) enum Due {
    /// An operator presses a key.
    Press(SenderId),
    /// An operator lets go.
    Release(SenderId),
    /// Full power.
    Full(SenderId, u64),
    /// The time-out timer ends.
    TimeOut(SenderId, u64),
    /// A hearer has heard long enough.
    Open(HearerId, u64),
    /// A hearer's tail is over.
    Close(HearerId, u64),
    /// A repeat's hang time is over.
    HangOver(usize, u64),
    /// Whoever runs the engine wants to be called; nothing happens by itself.
    Call(usize),
}

/// How far a sender has come up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
enum Power {
    #[default]
    Off,
    Rising,
    Full,
}

#[derive(Debug, Clone, Default)]
struct SenderState {
    is_pressed: bool,
    power: Power,
    /// Stopped by its timer until nobody wants it keyed.
    is_stopped: bool,
    turn: u64,
}

impl SenderState {
    fn is_keyed(&self) -> bool {
        self.power != Power::Off
    }

    fn is_on_air(&self) -> bool {
        self.power == Power::Full
    }
}

#[derive(Debug, Clone, Default)]
struct HearerState {
    hears: bool,
    is_open: bool,
    turn: u64,
}

#[derive(Debug, Clone, Default)]
struct RepeatState {
    is_open: bool,
    hangs: bool,
    turn: u64,
}

/// What a hearer's state depends on.
#[derive(Debug, Clone, Default)]
struct Ear {
    /// Senders that open it, and whether only by their tone.
    opened_by: Vec<(usize, bool)>,
    /// Senders that make it deaf while they are keyed.
    deafened_by: Vec<usize>,
    repeats: Vec<usize>,
}

/// What bears on what in a network; the same for every run.
#[derive(Debug)]
pub(in crate::net) struct Wiring<'a> {
    network: &'a Network,
    ears: Vec<Ear>,
    /// By sender: hearers whose state it bears on.
    bears_on: Vec<Vec<usize>>,
    /// By sender: the other senders of its box.
    box_mates: Vec<Vec<usize>>,
    /// By sender: the repeats that key it.
    keyed_by: Vec<Vec<usize>>,
}

impl<'a> Wiring<'a> {
    pub(in crate::net) fn of(network: &'a Network) -> Self {
        let mut by_radio: BTreeMap<RadioId, Vec<usize>> = BTreeMap::new();
        for (id, sender) in network.all_senders() {
            by_radio.entry(sender.radio).or_default().push(id.0);
        }
        let of_box =
            |radio: RadioId| -> &[usize] { by_radio.get(&radio).map_or(&[], Vec::as_slice) };
        let ears = ears(network, of_box);
        let mut bears_on = vec![Vec::new(); network.senders.len()];
        for (hearer, ear) in ears.iter().enumerate() {
            let from = ear
                .opened_by
                .iter()
                .map(|(sender, _)| sender)
                .chain(&ear.deafened_by);
            for &sender in from {
                if let Some(hearers) = bears_on.get_mut(sender) {
                    hearers.push(hearer);
                }
            }
        }
        let others = |(id, sender): (SenderId, &Sender)| -> Vec<usize> {
            let mates = of_box(sender.radio).iter().copied();
            mates.filter(|&other| other != id.0).collect()
        };
        let mut keyed_by = vec![Vec::new(); network.senders.len()];
        for (index, repeat) in network.repeats.iter().enumerate() {
            if let Some(repeats) = keyed_by.get_mut(repeat.to.0) {
                repeats.push(index);
            }
        }
        Self {
            network,
            bears_on,
            box_mates: network.all_senders().map(others).collect(),
            keyed_by,
            ears,
        }
    }
}

/// Those that something stands for in a list.
fn listed(all: &[Vec<usize>], index: usize) -> &[usize] {
    all.get(index).map_or(&[], Vec::as_slice)
}

/// A network in motion.
#[derive(Debug)]
pub(in crate::net) struct Engine<'w> {
    wiring: &'w Wiring<'w>,
    senders: Vec<SenderState>,
    hearers: Vec<HearerState>,
    repeats: Vec<RepeatState>,
    queue: BinaryHeap<Reverse<(Duration, u64, Due)>>,
    order: u64,
    steps: u64,
    now: Duration,
}

impl<'w> Engine<'w> {
    pub(in crate::net) fn new(wiring: &'w Wiring<'w>) -> Self {
        let network = wiring.network;
        Self {
            wiring,
            senders: vec![SenderState::default(); network.senders.len()],
            hearers: vec![HearerState::default(); network.hearers.len()],
            repeats: vec![RepeatState::default(); network.repeats.len()],
            queue: BinaryHeap::new(),
            order: 0,
            steps: 0,
            now: Duration::ZERO,
        }
    }

    /// Puts something into the queue; what is due at the same moment happens in the order it was put there.
    pub(in crate::net) fn schedule(&mut self, at: Duration, due: Due) {
        self.order += 1;
        self.queue.push(Reverse((at, self.order, due)));
    }

    pub(in crate::net) const fn now(&self) -> Duration {
        self.now
    }

    /// When the next thing is due; none when the run is over.
    pub(in crate::net) fn next_at(&self) -> Option<Duration> {
        if self.steps >= MOST_STEPS {
            return None;
        }
        self.queue.peek().map(|Reverse((at, _, _))| *at)
    }

    pub(in crate::net) fn is_anyone_keyed(&self) -> bool {
        self.senders.iter().any(SenderState::is_keyed)
    }

    pub(in crate::net) fn is_keyed(&self, sender: SenderId) -> bool {
        self.senders
            .get(sender.0)
            .is_some_and(SenderState::is_keyed)
    }

    pub(in crate::net) fn is_open(&self, hearer: HearerId) -> bool {
        self.hearers
            .get(hearer.0)
            .is_some_and(|state| state.is_open)
    }

    /// Whether somewhere a sender meets another on the air, both keyed by operators.
    pub(in crate::net) fn doubles(&self, sender: SenderId) -> bool {
        let is_met = |ear: &Ear| {
            ear.opened_by.iter().any(|&(other, _)| {
                other != sender.0
                    && self
                        .senders
                        .get(other)
                        .is_some_and(|state| state.is_on_air() && state.is_pressed)
            })
        };
        let hears = |ear: &&Ear| ear.opened_by.iter().any(|&(other, _)| other == sender.0);
        let near = listed(&self.wiring.bears_on, sender.0).iter();
        let near = near.filter_map(|&hearer| self.wiring.ears.get(hearer));
        near.filter(hears).any(is_met)
    }

    /// Does the next thing that is due; what happened is added to `events`. Returns what was due, and when.
    pub(in crate::net) fn advance(&mut self, events: &mut Vec<Event>) -> (Duration, Option<Due>) {
        let Some(Reverse((at, _, due))) = self.queue.pop() else {
            return (self.now, None);
        };
        self.steps += 1;
        self.now = at;
        match due {
            Due::Press(id) => self.press(id, true, events),
            Due::Release(id) => self.press(id, false, events),
            Due::Full(id, turn) => self.full(id, turn, events),
            Due::TimeOut(id, turn) => self.time_out(id, turn, events),
            Due::Open(id, turn) => self.open(id, turn, events),
            Due::Close(id, turn) => self.close(id, turn, events),
            Due::HangOver(index, turn) => self.hang_over(index, turn, events),
            Due::Call(_) => {}
        }
        (at, Some(due))
    }

    fn press(&mut self, id: SenderId, is_pressed: bool, events: &mut Vec<Event>) {
        if let Some(state) = self.senders.get_mut(id.0) {
            state.is_pressed = is_pressed;
            self.follow(id.0, events);
        }
    }

    fn full(&mut self, id: SenderId, turn: u64, events: &mut Vec<Event>) {
        if let Some(state) = self
            .senders
            .get_mut(id.0)
            .filter(|state| state.is_keyed() && state.turn == turn)
        {
            state.power = Power::Full;
            events.push(Event {
                at: self.now,
                what: Happening::OnAir(id),
            });
            self.listen_again(id.0, events);
        }
    }

    fn time_out(&mut self, id: SenderId, turn: u64, events: &mut Vec<Event>) {
        if let Some(state) = self
            .senders
            .get_mut(id.0)
            .filter(|state| state.is_keyed() && state.turn == turn)
        {
            state.is_stopped = true;
            events.push(Event {
                at: self.now,
                what: Happening::TimedOut(id),
            });
            self.follow(id.0, events);
        }
    }

    fn open(&mut self, id: HearerId, turn: u64, events: &mut Vec<Event>) {
        let Some(state) = self
            .hearers
            .get_mut(id.0)
            .filter(|state| state.hears && state.turn == turn)
        else {
            return;
        };
        state.is_open = true;
        events.push(Event {
            at: self.now,
            what: Happening::Opened(id),
        });
        for &index in self.repeats_of(id.0) {
            self.repeat_opens(index, events);
        }
    }

    fn close(&mut self, id: HearerId, turn: u64, events: &mut Vec<Event>) {
        let Some(state) = self
            .hearers
            .get_mut(id.0)
            .filter(|state| state.is_open && state.turn == turn)
        else {
            return;
        };
        state.is_open = false;
        events.push(Event {
            at: self.now,
            what: Happening::Closed(id),
        });
        for &index in self.repeats_of(id.0) {
            self.repeat_closes(index, events);
        }
    }

    fn repeats_of(&self, hearer: usize) -> &'w [usize] {
        let ear = self.wiring.ears.get(hearer);
        ear.map_or(&[], |ear| &ear.repeats)
    }

    fn repeat_opens(&mut self, index: usize, events: &mut Vec<Event>) {
        let (Some(state), Some(repeat)) = (
            self.repeats.get_mut(index),
            self.wiring.network.repeats.get(index),
        ) else {
            return;
        };
        state.is_open = true;
        state.hangs = false;
        state.turn += 1;
        self.follow(repeat.to.0, events);
    }

    fn repeat_closes(&mut self, index: usize, events: &mut Vec<Event>) {
        let (Some(state), Some(repeat)) = (
            self.repeats.get_mut(index),
            self.wiring.network.repeats.get(index),
        ) else {
            return;
        };
        // Only what is keyed is held; a relay that never got its turn has nothing to hold.
        let is_keyed = self
            .senders
            .get(repeat.to.0)
            .is_some_and(SenderState::is_keyed);
        state.is_open = false;
        state.hangs = is_keyed && !repeat.hang.is_zero();
        state.turn += 1;
        if state.hangs {
            let due = Due::HangOver(index, state.turn);
            self.schedule(self.now + repeat.hang, due);
        }
        self.follow(repeat.to.0, events);
        // A tone that ends with the word ends now.
        self.listen_again(repeat.to.0, events);
    }

    fn hang_over(&mut self, index: usize, turn: u64, events: &mut Vec<Event>) {
        let Some(state) = self
            .repeats
            .get_mut(index)
            .filter(|state| state.turn == turn)
        else {
            return;
        };
        state.hangs = false;
        if let Some(repeat) = self.wiring.network.repeats.get(index) {
            self.follow(repeat.to.0, events);
        }
    }

    /// Whether somebody or something wants a sender keyed.
    fn is_wanted(&self, sender: usize) -> bool {
        self.senders
            .get(sender)
            .is_some_and(|state| state.is_pressed)
            || self
                .repeats_to(sender)
                .any(|state| state.is_open || state.hangs)
    }

    fn repeats_to(&self, sender: usize) -> impl Iterator<Item = &RepeatState> {
        listed(&self.wiring.keyed_by, sender)
            .iter()
            .filter_map(|&index| self.repeats.get(index))
    }

    /// Keys or unkeys a sender as it is wanted; a box sends on one side at a time.
    fn follow(&mut self, sender: usize, events: &mut Vec<Event>) {
        let is_wanted = self.is_wanted(sender);
        let mates = listed(&self.wiring.box_mates, sender);
        let is_taken = mates
            .iter()
            .any(|&mate| self.senders.get(mate).is_some_and(SenderState::is_keyed));
        let Some(figures) = self.wiring.network.senders.get(sender) else {
            return;
        };
        let Some(state) = self.senders.get_mut(sender) else {
            return;
        };
        if !is_wanted {
            state.is_stopped = false;
        }
        let is_keyed = is_wanted && !state.is_stopped && !is_taken;
        if is_keyed == state.is_keyed() {
            return;
        }
        state.power = if is_keyed { Power::Rising } else { Power::Off };
        state.turn += 1;
        let (id, turn) = (SenderId(sender), state.turn);
        if is_keyed {
            events.push(Event {
                at: self.now,
                what: Happening::Keyed(id),
            });
            self.schedule(self.now + figures.rise, Due::Full(id, turn));
            if let Some(time_out) = figures.time_out {
                self.schedule(self.now + time_out, Due::TimeOut(id, turn));
            }
        } else {
            events.push(Event {
                at: self.now,
                what: Happening::Unkeyed(id),
            });
        }
        self.listen_again(sender, events);
        if !is_keyed {
            for &mate in mates {
                self.follow(mate, events);
            }
        }
    }

    /// Looks again at every hearer that a sender bears on.
    fn listen_again(&mut self, sender: usize, events: &mut Vec<Event>) {
        for &hearer in listed(&self.wiring.bears_on, sender) {
            let is_deaf = self.is_deaf(hearer);
            let hears = !is_deaf && self.hears(hearer);
            let (Some(figures), Some(state)) = (
                self.wiring.network.hearers.get(hearer),
                self.hearers.get_mut(hearer),
            ) else {
                continue;
            };
            if hears == state.hears && !(is_deaf && state.is_open) {
                continue;
            }
            state.hears = hears;
            state.turn += 1;
            let (id, turn) = (HearerId(hearer), state.turn);
            match (hears, state.is_open) {
                (true, false) => {
                    let decode = figures.tone.map_or(Duration::ZERO, |_| figures.decode);
                    self.schedule(self.now + figures.opening + decode, Due::Open(id, turn));
                }
                (false, true) if is_deaf => self.close(id, turn, events),
                (false, true) => self.schedule(self.now + figures.tail, Due::Close(id, turn)),
                (true, true) | (false, false) => {}
            }
        }
    }

    fn is_deaf(&self, hearer: usize) -> bool {
        self.wiring.ears.get(hearer).is_some_and(|ear| {
            ear.deafened_by
                .iter()
                .any(|&sender| self.senders.get(sender).is_some_and(SenderState::is_keyed))
        })
    }

    fn hears(&self, hearer: usize) -> bool {
        self.wiring.ears.get(hearer).is_some_and(|ear| {
            ear.opened_by.iter().any(|&(sender, by_tone)| {
                self.senders.get(sender).is_some_and(SenderState::is_on_air)
                    && (!by_tone || self.sends_tone(sender))
            })
        })
    }

    /// Whether a sender's tone is on the air: always, unless it ends with the word and the relay only hangs.
    fn sends_tone(&self, sender: usize) -> bool {
        self.wiring
            .network
            .senders
            .get(sender)
            .is_some_and(|figures| figures.tone_in_hang)
            || self
                .senders
                .get(sender)
                .is_some_and(|state| state.is_pressed)
            || self.repeats_to(sender).any(|state| state.is_open)
    }
}

/// What the state of each hearer depends on, where the senders of a box are known.
fn ears<'a>(network: &Network, of_box: impl Fn(RadioId) -> &'a [usize]) -> Vec<Ear> {
    let of_hearer = |(id, hearer): (HearerId, &Hearer)| Ear {
        opened_by: Vec::new(),
        deafened_by: (of_box(hearer.radio).iter().copied())
            .filter(|&sender| network.deafens(SenderId(sender), id))
            .collect(),
        repeats: Vec::new(),
    };
    let mut ears: Vec<Ear> = network.all_hearers().map(of_hearer).collect();
    for ((sender, id), _) in network.heard.iter() {
        let by_tone = network
            .hearer(id)
            .is_some_and(|hearer| hearer.tone.is_some());
        if let Some(ear) = ears.get_mut(id.0)
            && network.is_open_to(sender, id)
        {
            ear.opened_by.push((sender.0, by_tone));
        }
    }
    for (index, repeat) in network.repeats.iter().enumerate() {
        if let Some(ear) = ears.get_mut(repeat.from.0) {
            ear.repeats.push(index);
        }
    }
    ears
}
