//! The small model that every question of this stage is put to.

use std::sync::Arc;
use std::time::Duration;

use super::earshot::Earshot;
use super::shifts::Shift;
use super::tones::Tone;
use crate::quantity::{Decibels, Frequency, Offset};
use crate::scenario::{Legs, Window};
use crate::scene::Roll;

/// A radio box, by its place in [`Network::radios`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RadioId(pub usize);

/// A sender, by its place in [`Network::senders`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SenderId(pub usize);

/// A hearer, by its place in [`Network::hearers`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct HearerId(pub usize);

/// A radio box.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Radio {
    /// What it is called in a sentence.
    pub name: String,
    /// Whether the plan decides about it.
    pub is_ours: bool,
    /// Whether it listens on a side while that side sends, on another frequency (a duplex repeater).
    pub is_duplex: bool,
    /// Whether a side goes on listening while another side sends.
    pub hears_while_sending: bool,
    /// When it is on the air; empty for always.
    pub windows: Vec<Window>,
}

/// Something that sends.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sender {
    /// What it is called in a sentence.
    pub name: String,
    /// Its radio.
    pub radio: RadioId,
    /// Which side of the radio.
    pub side: usize,
    /// The net it belongs to; the same number hears it on purpose.
    pub net: usize,
    /// The carrier.
    pub frequency: Frequency,
    /// The tone it sends.
    pub tone: Option<Tone>,
    /// Whether the tone goes on while a relay is held after its input closed.
    pub tone_in_hang: bool,
    /// From key to full power.
    pub rise: Duration,
    /// Longest transmission before it is stopped.
    pub time_out: Option<Duration>,
    /// Whether it is a relay's side, keyed by what the relay hears.
    pub is_relay_side: bool,
    /// Legs under trial it rests on.
    pub legs: Legs,
}

/// Something that listens.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hearer {
    /// What it is called in a sentence.
    pub name: String,
    /// Its radio.
    pub radio: RadioId,
    /// Which side of the radio.
    pub side: usize,
    /// The net it belongs to.
    pub net: usize,
    /// Where it listens.
    pub frequency: Frequency,
    /// The tone it waits for.
    pub tone: Option<Tone>,
    /// From carrier to open squelch.
    pub opening: Duration,
    /// From open squelch to recognised tone, on top; only where it waits for one.
    pub decode: Duration,
    /// From loss of the carrier to closed squelch.
    pub tail: Duration,
    /// Whether it is a relay's side, whose word is passed on.
    pub is_relay_side: bool,
    /// Legs under trial it rests on.
    pub legs: Legs,
}

/// What a hearer hears, a sender sends on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Repeat {
    /// What opens it.
    pub from: HearerId,
    /// What it keys.
    pub to: SenderId,
    /// How long it stays keyed after the hearer closed.
    pub hang: Duration,
}

/// How a sender arrives at a hearer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Heard {
    /// How far it stands above what the hearer needs when the path is kind: what may happen.
    pub margin: Decibels,
    /// The same when the path is not kind: what may be relied on.
    pub sure: Decibels,
    /// By which other way than its carrier (`third harmonic`), if so.
    pub through: Option<String>,
}

/// One radio must be able to talk with another.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Need {
    /// Who needs it.
    pub who: RadioId,
    /// Whom they need.
    pub whom: RadioId,
}

/// The plan as a network.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Network {
    /// Radio boxes.
    pub radios: Arc<Vec<Radio>>,
    /// What sends.
    pub senders: Roll<Sender>,
    /// What listens.
    pub hearers: Roll<Hearer>,
    /// What is passed on.
    pub repeats: Vec<Repeat>,
    /// Who arrives at whom, tone or not.
    pub heard: Earshot,
    /// Who must be able to talk with whom.
    pub needs: Vec<Need>,
    /// The stretches of time in which nobody comes or goes; empty where nobody ever does.
    pub shifts: Vec<Shift>,
}

/// Whether a carrier falls into a channel: not further off than half the channel's width.
pub fn same_channel(carrier: Frequency, channel: Frequency, half_width: Offset) -> bool {
    (carrier - channel).abs() <= half_width.abs()
}

impl Network {
    /// A radio.
    pub fn radio(&self, id: RadioId) -> Option<&Radio> {
        self.radios.get(id.0)
    }

    /// A sender.
    pub fn sender(&self, id: SenderId) -> Option<&Sender> {
        self.senders.get(id.0)
    }

    /// A hearer.
    pub fn hearer(&self, id: HearerId) -> Option<&Hearer> {
        self.hearers.get(id.0)
    }

    /// Every radio.
    pub fn radio_ids(&self) -> impl Iterator<Item = RadioId> + use<> {
        (0..self.radios.len()).map(RadioId)
    }

    /// Every sender with its place.
    pub fn all_senders(&self) -> impl Iterator<Item = (SenderId, &Sender)> {
        let all = self.senders.from(0);
        all.map(|(index, sender)| (SenderId(index), sender))
    }

    /// Every hearer with its place.
    pub fn all_hearers(&self) -> impl Iterator<Item = (HearerId, &Hearer)> {
        let all = self.hearers.from(0);
        all.map(|(index, hearer)| (HearerId(index), hearer))
    }

    /// Whether the plan decides about a radio.
    pub fn is_ours(&self, id: RadioId) -> bool {
        self.radio(id).is_some_and(|radio| radio.is_ours)
    }

    /// Whether what a sender belongs to is ours.
    pub fn is_our_sender(&self, id: SenderId) -> bool {
        self.sender(id)
            .and_then(|sender| self.radio(sender.radio))
            .is_some_and(|radio| radio.is_ours)
    }

    /// Whether what a hearer belongs to is ours.
    pub fn is_our_hearer(&self, id: HearerId) -> bool {
        self.hearer(id)
            .and_then(|hearer| self.radio(hearer.radio))
            .is_some_and(|radio| radio.is_ours)
    }

    /// A radio's name.
    pub fn radio_name(&self, id: RadioId) -> &str {
        self.radio(id).map_or("?", |radio| radio.name.as_str())
    }

    /// The repeats that a hearer sets off.
    pub fn repeats_of(&self, hearer: HearerId) -> impl Iterator<Item = &Repeat> {
        self.repeats
            .iter()
            .filter(move |repeat| repeat.from == hearer)
    }

    /// Whether a sender is keyed by what is heard, and not by an operator.
    pub fn is_repeated(&self, sender: SenderId) -> bool {
        self.sender(sender)
            .is_some_and(|sender| sender.is_relay_side)
    }

    /// Whether what a hearer hears is passed on.
    pub fn is_relay_input(&self, hearer: HearerId) -> bool {
        self.hearer(hearer)
            .is_some_and(|hearer| hearer.is_relay_side)
    }

    /// Whether a radio passes on what it hears.
    pub fn is_relay(&self, radio: RadioId) -> bool {
        self.hearers
            .iter()
            .any(|hearer| hearer.is_relay_side && hearer.radio == radio)
    }

    /// The senders that an operator keys.
    pub fn talkers(&self) -> impl Iterator<Item = (SenderId, &Sender)> {
        self.all_senders().filter(|(id, _)| !self.is_repeated(*id))
    }

    /// Whether a sender's tone is what a hearer waits for.
    pub fn tone_fits(&self, sender: SenderId, hearer: HearerId) -> bool {
        match (self.sender(sender), self.hearer(hearer)) {
            (Some(sender), Some(hearer)) => hearer.tone.is_none() || hearer.tone == sender.tone,
            _ => false,
        }
    }

    /// Whether a side is deaf to what a sender of the same box sends, because it is that side, or all sides, that send.
    pub fn deafens(&self, sender: SenderId, hearer: HearerId) -> bool {
        let (Some(sender), Some(hearer)) = (self.sender(sender), self.hearer(hearer)) else {
            return false;
        };
        let Some(radio) = self
            .radio(hearer.radio)
            .filter(|_| sender.radio == hearer.radio)
        else {
            return false;
        };
        if sender.side == hearer.side {
            !radio.is_duplex
        } else {
            !radio.hears_while_sending
        }
    }

    /// Whether a sender, once on the air, opens a hearer: it arrives, its tone fits, and the hearer is not deaf to it.
    pub fn opens(&self, sender: SenderId, hearer: HearerId) -> bool {
        self.heard.has((sender, hearer)) && self.is_open_to(sender, hearer)
    }

    /// Whether a sender that arrives at a hearer opens it.
    pub(super) fn is_open_to(&self, sender: SenderId, hearer: HearerId) -> bool {
        self.tone_fits(sender, hearer) && !self.deafens(sender, hearer)
    }

    /// The hearers that a sender opens.
    pub fn opened_by(&self, sender: SenderId) -> impl Iterator<Item = (HearerId, &Heard)> {
        self.heard
            .of(sender)
            .filter(move |((from, to), _)| self.is_open_to(*from, *to))
            .map(|((_, to), heard)| (to, heard))
    }
}

#[cfg(test)]
pub(super) mod small {
    //! Small networks for the tests of this stage.
    use super::*;

    pub(crate) const U: i64 = 433_450_000;
    pub(crate) const V: i64 = 145_225_000;

    pub(crate) fn ms(millis: u64) -> Duration {
        Duration::from_millis(millis)
    }

    /// A network under construction in which everybody on a frequency hears everybody on it.
    #[derive(Default)]
    pub(crate) struct Sketch {
        pub(crate) network: Network,
    }

    impl Sketch {
        fn radio(&mut self, name: &str, is_ours: bool, is_duplex: bool) -> RadioId {
            Arc::make_mut(&mut self.network.radios).push(Radio {
                name: name.to_owned(),
                is_ours,
                is_duplex,
                hears_while_sending: true,
                windows: Vec::new(),
            });
            RadioId(self.network.radios.len() - 1)
        }

        fn sender(
            &mut self,
            radio: RadioId,
            side: usize,
            hertz: i64,
            tone: Option<u32>,
        ) -> SenderId {
            let name = self.network.radio_name(radio).to_owned();
            self.network.senders.on_trial().push(Sender {
                name,
                radio,
                side,
                net: 0,
                frequency: Frequency::hz(hertz),
                tone: tone.map(Tone::tenths),
                tone_in_hang: true,
                rise: ms(50),
                time_out: Some(ms(180_000)),
                is_relay_side: false,
                legs: Legs::NONE,
            });
            SenderId(self.network.senders.len() - 1)
        }

        fn hearer(
            &mut self,
            radio: RadioId,
            side: usize,
            hertz: i64,
            tone: Option<u32>,
        ) -> HearerId {
            let name = self.network.radio_name(radio).to_owned();
            self.network.hearers.on_trial().push(Hearer {
                name,
                radio,
                side,
                net: 0,
                frequency: Frequency::hz(hertz),
                tone: tone.map(Tone::tenths),
                opening: ms(100),
                decode: ms(200),
                tail: ms(150),
                is_relay_side: false,
                legs: Legs::NONE,
            });
            HearerId(self.network.hearers.len() - 1)
        }

        fn repeat(&mut self, from: HearerId, to: SenderId, hang: u64) {
            self.network.hearers.on_trial()[from.0].is_relay_side = true;
            self.network.senders.on_trial()[to.0].is_relay_side = true;
            self.network.repeats.push(Repeat {
                from,
                to,
                hang: ms(hang),
            });
        }

        /// Somebody with a radio on one channel; the tone is sent and waited for.
        pub(crate) fn talker(&mut self, name: &str, hertz: i64, tone: Option<u32>) -> RadioId {
            let radio = self.radio(name, true, false);
            self.sender(radio, 0, hertz, tone);
            self.hearer(radio, 0, hertz, tone);
            radio
        }

        /// A half-duplex relay between two channels.
        pub(crate) fn relay(
            &mut self,
            name: &str,
            legs: [(i64, Option<u32>); 2],
            hang: u64,
        ) -> RadioId {
            let radio = self.radio(name, true, false);
            let [(one, one_tone), (two, two_tone)] = legs;
            let ends = [
                (
                    self.sender(radio, 0, one, one_tone),
                    self.hearer(radio, 0, one, one_tone),
                ),
                (
                    self.sender(radio, 1, two, two_tone),
                    self.hearer(radio, 1, two, two_tone),
                ),
            ];
            self.repeat(ends[0].1, ends[1].0, hang);
            self.repeat(ends[1].1, ends[0].0, hang);
            radio
        }

        /// A duplex repeater of somebody else's.
        pub(crate) fn repeater(
            &mut self,
            name: &str,
            input: i64,
            output: i64,
            tone: Option<u32>,
            hang: u64,
        ) -> RadioId {
            let radio = self.radio(name, false, true);
            let from = self.hearer(radio, 0, input, tone);
            let to = self.sender(radio, 0, output, None);
            self.repeat(from, to, hang);
            radio
        }

        /// Somebody who works through a repeater.
        pub(crate) fn user(
            &mut self,
            name: &str,
            input: i64,
            output: i64,
            tone: Option<u32>,
        ) -> RadioId {
            let radio = self.radio(name, true, false);
            self.sender(radio, 0, input, tone);
            self.hearer(radio, 0, output, None);
            radio
        }

        /// Everybody on a frequency hears everybody on it, but for the pairs of names given.
        pub(crate) fn all_within_earshot(mut self, but: &[(&str, &str)]) -> Network {
            let network = &self.network;
            let apart = |one: &str, other: &str| {
                but.iter()
                    .any(|&(a, b)| (a, b) == (one, other) || (b, a) == (one, other))
            };
            let heard = network
                .all_senders()
                .flat_map(|(sender_id, sender)| {
                    network
                        .all_hearers()
                        .filter(move |(_, hearer)| hearer.frequency == sender.frequency)
                        .filter(move |(_, hearer)| hearer.radio != sender.radio)
                        .filter(move |(_, hearer)| !apart(&hearer.name, &sender.name))
                        .map(move |(hearer_id, _)| {
                            (
                                (sender_id, hearer_id),
                                Heard {
                                    margin: Decibels::db(20.0),
                                    sure: Decibels::db(10.0),
                                    through: None,
                                },
                            )
                        })
                })
                .collect();
            self.network.heard = heard;
            self.network
        }
    }
}
