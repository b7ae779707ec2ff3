//! What is asked of those who make lines.

use super::audibility::Audibility;
use super::crowd::{Hearing, Least};
use super::listening::{Hearer, Keen, Sense};
use super::{Audience, Crowd, Listening, Trace};
use crate::quantity::{Decibels, Frequency, Level, Offset};
use crate::scenario::Legs;
use crate::scene::{Reach, Receiver, Roll, Scene, Transmitter};

/// Which lines are wanted, by what they are made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// What arises among those who stand whatever is under trial, and one of our own has a part in, be it as the one who
    /// hears it.
    Standing,
    /// What others who stand do to each other.
    Beside,
    /// What somebody under trial has a part in, be it as the one who hears it.
    OnTrial,
    /// Everything, and nothing left out because nobody would hear it.
    Plain,
}

/// A socket, with what a line must at least leave it with to matter to anybody under trial.
#[derive(Debug, Clone, Copy)]
pub(super) struct Socket {
    from: Reach,
    on_trial: Level,
}

/// What a line must at least leave a socket with to matter to anybody at all, wherever it lies: bounds that are never above
/// that, worked out when they are first asked for.
pub(super) struct Sill<'r, 'a> {
    request: &'r Request<'a>,
    socket: Socket,
    /// To those who stand, for what one of our own has a part in.
    standing: Option<Level>,
    /// To our own who stand, for any other.
    ours: Option<Level>,
}

impl Sill<'_, '_> {
    /// The least that matters to anybody, of what one of our own has a part in or not, and that rests on all the legs that are
    /// asked for or needs a hearer who brings the others.
    pub(super) fn audible(&mut self, is_ours: bool, is_whole: bool) -> Level {
        let (request, from) = (self.request, self.socket.from);
        let around = &request.crowd.around;
        let standing = if !is_whole {
            NEVER
        } else if is_ours || request.part != Part::Standing {
            *(self.standing).get_or_insert_with(|| request.least(&around.all, from))
        } else {
            *(self.ours).get_or_insert_with(|| request.least(&around.ours, from))
        };
        standing.min(self.socket.on_trial)
    }
}

/// A level that nothing reaches.
pub(super) const NEVER: Level = Level::dbm(f64::INFINITY);

/// What an encounter of some margin can come to, by who hears it and how.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Concern {
    /// Nothing of what follows.
    Plain,
    /// Something on a channel of a safety service.
    Safety,
    /// Something somewhere in a stretch in which nobody knows who listens where.
    Somewhere,
    /// What is merely strong near somebody whose place nobody stated: no choice of channel escapes it.
    Nearby,
}

/// A figure for each concern.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Within {
    /// For [`Concern::Plain`].
    pub plain: Decibels,
    /// For [`Concern::Safety`].
    pub safety: Decibels,
    /// For [`Concern::Somewhere`].
    pub somewhere: Decibels,
    /// For [`Concern::Nearby`].
    pub nearby: Decibels,
}

impl Within {
    /// The same for all.
    pub const fn all(figure: Decibels) -> Self {
        Self {
            plain: figure,
            safety: figure,
            somewhere: figure,
            nearby: figure,
        }
    }

    /// The figure of one of them.
    pub const fn of(self, concern: Concern) -> Decibels {
        match concern {
            Concern::Plain => self.plain,
            Concern::Safety => self.safety,
            Concern::Somewhere => self.somewhere,
            Concern::Nearby => self.nearby,
        }
    }

    /// What these fall short of a figure.
    fn below(self, figure: Decibels) -> Self {
        Self {
            plain: figure - self.plain,
            safety: figure - self.safety,
            somewhere: figure - self.somewhere,
            nearby: figure - self.nearby,
        }
    }
}

/// Which encounters are asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wanted {
    /// Only those that rest on exactly these legs.
    pub focus: Legs,
    /// Only those whose margin is no more than this, which is no more than the horizon of the plan.
    pub within: Within,
}

impl Wanted {
    /// Everything within the horizon of the plan that rests on exactly these legs.
    pub fn of(scene: &Scene<'_>, focus: Legs) -> Self {
        Self {
            focus,
            within: Within::all(scene.plan.settings.horizon.value),
        }
    }
}

/// What is asked of a generator.
#[derive(Debug)]
pub struct Request<'a> {
    /// Who is on the air.
    pub scene: &'a Scene<'a>,
    /// Where each receiver listens, by index into the scene's receivers.
    pub listening: &'a [&'a Listening],
    /// Only encounters that rest on exactly these legs are wanted.
    pub focus: Legs,
    /// The most that any two antennas together can gain.
    pub most_gain: Decibels,
    /// By how much an encounter must be worse than what lies just within the horizon.
    pub worse: Within,
    /// How far a product reaches from its middle at most, for each time that a source enters.
    pub(super) reach: Offset,
    pub(super) part: Part,
    pub(super) crowd: &'a Crowd,
    /// Those under trial who hear.
    audience: Option<&'a Audience>,
    /// Antennas where any line of some strength matters.
    antennas: &'a [Floor],
}

/// An antenna, with the faintest line that still matters there at and above a frequency, whatever it is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Floor {
    /// The antenna, by index into the scene.
    pub mast: usize,
    /// The faintest level that matters.
    pub faintest: Level,
    /// What reaches no higher than here does not matter.
    pub lowest: Frequency,
}

impl<'a> Request<'a> {
    /// Asks for a part of what is wanted.
    pub fn new(
        scene: &'a Scene<'a>,
        crowd: &'a Crowd,
        listening: &'a [&'a Listening],
        audience: &'a Audience,
        (part, wanted): (Part, Wanted),
    ) -> Self {
        let most = scene
            .masts
            .iter()
            .map(|mast| mast.antenna.most_gain())
            .max()
            .unwrap_or(Decibels::ZERO);
        let widest = scene
            .transmitters
            .iter()
            .map(|one| {
                one.emission.bandwidth.as_hz() + 2 * one.figures.tolerance.of(one.frequency).as_hz()
            })
            .max()
            .unwrap_or(0);
        let horizon = scene.plan.settings.horizon.value;
        Self {
            scene,
            listening,
            focus: wanted.focus,
            worse: wanted.within.below(horizon),
            most_gain: (most + most).max(Decibels::ZERO),
            reach: Offset::hz(widest / 2 + 1),
            part,
            crowd,
            audience: Some(audience),
            antennas: &[],
        }
    }

    /// Asks for what arises among those who stand and is not too faint at some antennas.
    pub fn for_antennas(scene: &'a Scene<'a>, crowd: &'a Crowd, antennas: &'a [Floor]) -> Self {
        const NOBODY: &Audience = &Audience::NOBODY;
        Self {
            audience: None,
            antennas,
            ..Self::new(
                scene,
                crowd,
                &[],
                NOBODY,
                (Part::Standing, Wanted::of(scene, Legs::NONE)),
            )
        }
    }

    /// Whether what is not too faint at some antennas is asked for, whoever hears there.
    pub(super) const fn is_for_antennas(&self) -> bool {
        self.audience.is_none()
    }

    /// The transmitters whose own lines are wanted.
    pub(super) fn transmitters(&self) -> impl Iterator<Item = (usize, &'a Transmitter)> {
        let all = &self.scene.transmitters;
        self.senders_from(self.first(all))
    }

    /// The receivers whose own lines are wanted.
    pub(super) fn receivers(&self) -> impl Iterator<Item = (usize, &'a Receiver)> {
        let (focus, all) = (self.focus, &self.scene.receivers);
        let is_beside = self.part == Part::Beside;
        all.from(self.first(all))
            .filter(move |(_, one)| focus.holds(one.legs) && !(is_beside && one.owner.is_ours()))
    }

    /// The transmitters whose own carrier takes part, at their own socket, in what is wanted.
    pub(super) fn hosts(&self) -> impl Iterator<Item = (usize, &'a Transmitter)> {
        self.senders_from(0)
    }

    /// The transmitters whose products at the socket of another one are wanted.
    pub(super) fn partners(&self, of: usize) -> impl Iterator<Item = (usize, &'a Transmitter)> {
        let all = &self.scene.transmitters;
        self.senders_from(self.first_beside(of, all))
            .filter(move |(index, _)| *index != of)
    }

    fn senders_from(&self, first: usize) -> impl Iterator<Item = (usize, &'a Transmitter)> {
        let (focus, is_beside) = (self.focus, self.part == Part::Beside);
        let all = self.scene.transmitters.from(first);
        all.filter(move |(_, one)| focus.holds(one.legs) && !(is_beside && one.owner.is_ours()))
    }

    /// The transmitters of which at least one takes part in every product inside a receiver that is wanted, as far as those
    /// who hear it do not bring all themselves: who is under trial, else ours.
    pub(super) fn guests(&self) -> impl Iterator<Item = (usize, &'a Transmitter)> {
        let is_on_trial = self.part == Part::OnTrial;
        self.transmitters()
            .filter(move |(_, one)| is_on_trial || one.owner.is_ours())
    }

    /// All other transmitters.
    pub(super) fn company(&self) -> impl Iterator<Item = (usize, &'a Transmitter)> {
        let is_on_trial = self.part == Part::OnTrial;
        let all = &self.scene.transmitters;
        all.from(0)
            .take(all.standing())
            .filter(move |(_, one)| is_on_trial || !one.owner.is_ours())
    }

    /// From which receiver on those are who are asked for and belong to no class of those who stand.
    pub(super) fn first_without_class(&self) -> usize {
        match self.part {
            Part::OnTrial => self.scene.receivers.standing(),
            Part::Standing | Part::Beside => self.scene.receivers.len(),
            Part::Plain => 0,
        }
    }

    /// The receivers that may hear something of a transmitter's that is for one of them alone.
    pub(super) fn audience_of(
        &self,
        of: usize,
        transmitter: &Transmitter,
    ) -> impl Iterator<Item = (usize, &'a Receiver)> {
        let all = &self.scene.receivers;
        let members = match self.part {
            Part::Standing if !self.is_for_antennas() && !transmitter.owner.is_ours() => {
                &self.crowd.around.ours.members[..]
            }
            Part::Standing | Part::Beside => &self.crowd.around.all.members[..],
            Part::OnTrial | Part::Plain => &[],
        };
        let first = match self.part {
            Part::OnTrial | Part::Plain => self.first_beside(of, all),
            Part::Standing | Part::Beside => all.len(),
        };
        let members = members.iter();
        let members = members.filter_map(|&index| Some((index, all.get(index)?)));
        members.chain(all.from(first))
    }

    /// Whether what a receiver hears of itself is wanted.
    pub(super) fn hears_itself(&self, index: usize, receiver: &Receiver) -> bool {
        receiver.legs == self.focus
            && match self.part {
                Part::Standing => receiver.owner.is_ours(),
                Part::Beside => self.crowd.around.all.members.binary_search(&index).is_ok(),
                Part::OnTrial | Part::Plain => true,
            }
    }

    /// The faintest level at a receiver's input that is asked for, of what arises in it.
    pub(super) fn floor(&self, listening: &Listening) -> Option<Level> {
        let worse = self.worse.of(listening.concern);
        listening.floor.map(|floor| floor + worse)
    }

    /// The same of a slice of something broad.
    pub(super) fn floor_of_slices(&self, listening: &Listening) -> Option<Level> {
        let worse = self.worse.of(listening.concern_of_slices);
        listening.floor.map(|floor| floor + worse)
    }

    /// From which member of a list on those are who are asked for.
    fn first<T>(&self, all: &Roll<T>) -> usize {
        if self.part == Part::OnTrial {
            all.standing()
        } else {
            0
        }
    }

    /// The same beside a transmitter: of two who stand, nothing rests on what is under trial.
    fn first_beside<T>(&self, of: usize, all: &Roll<T>) -> usize {
        if of < self.scene.transmitters.standing() {
            self.first(all)
        } else {
            0
        }
    }

    /// A socket of the scene.
    pub(super) fn socket(&self, from: Reach) -> Socket {
        let all = &self.scene.receivers;
        let on_trial = match self.anything() {
            Some(least) => least,
            None if self.part == Part::OnTrial => {
                let mut needed = Least::default();
                let on_trial = all.standing()..all.len();
                needed.of_each((self.scene, self.listening), on_trial, from);
                self.least_of(&needed.0)
            }
            None => NEVER,
        };
        Socket { from, on_trial }
    }

    /// What must leave a socket to be heard.
    pub(super) fn sill(&self, socket: Socket) -> Sill<'_, 'a> {
        let from = socket.from;
        let same = if self.is_for_antennas() {
            let antennas = self.antennas.iter().map(|to| {
                let lost = self.scene.least_lost_between(from.mast, to.mast);
                let lowest = (to.lowest - Offset::hz(self.furthest())).max(Frequency::hz(1));
                to.faintest + lost.at(lowest)
            });
            Some(antennas.min().unwrap_or(NEVER))
        } else {
            self.anything()
        };
        Sill {
            request: self,
            socket,
            standing: same,
            ours: same,
        }
    }

    /// How far the broadest product reaches from its middle, in hertz.
    fn furthest(&self) -> i64 {
        let order = i64::from(self.scene.plan.settings.order.value);
        self.reach.as_hz().saturating_mul(order)
    }

    /// The least that matters where no bound is known or wanted.
    fn anything(&self) -> Option<Level> {
        const ANYTHING: Level = Level::dbm(f64::NEG_INFINITY);
        let is_bound = self.part != Part::Plain && self.furthest() <= Keen::FURTHEST.as_hz();
        (!is_bound && !self.is_for_antennas()).then_some(ANYTHING)
    }

    /// What must leave an antenna to matter to any of some who hear.
    fn least(&self, hearing: &Hearing, from: Reach) -> Level {
        self.least_of(&hearing.audible_from((self.scene, self.listening), from))
    }

    fn least_of(&self, by_kind: &[(Sense, Level)]) -> Level {
        let by_kind = by_kind.iter();
        by_kind
            .map(|&(sense, level)| level + sense.of(self.worse))
            .min()
            .unwrap_or(NEVER)
    }

    /// Where those who stand might hear what leaves a socket, of our own or not, where it pays to find that out.
    fn audibility(&self, from: Reach, is_ours: bool) -> Option<&Audibility> {
        let hearing = self.mapped(is_ours)?;
        let map = hearing.audibility.get(from.mast)?;
        Some(map.get_or_init(|| {
            let members = hearing.members.iter().filter_map(|&index| {
                let listening = self.listening.get(index)?;
                Some((listening, self.scene.receivers.get(index)?))
            });
            let places = members.flat_map(|(listening, receiver)| {
                let lost = self.scene.least_lost(from, receiver);
                let places = listening.places.iter();
                places.map(move |heard| (heard, lost.sent(heard.faintest, heard.tilted)))
            });
            Audibility::of(places).into()
        }))
    }

    /// Those who stand and hear a line, of our own or not, where a map of them pays: where many scenes ask, or they are few among
    /// many who send.
    fn mapped(&self, is_ours: bool) -> Option<&'a Hearing> {
        let around = &self.crowd.around;
        let are_many = self.crowd.are_many_who_send;
        match self.part {
            Part::OnTrial if self.crowd.are_many_to_ask => Some(&around.all),
            Part::Beside if are_many => Some(&around.all),
            Part::Standing if are_many && !is_ours && !self.is_for_antennas() => Some(&around.ours),
            Part::Standing | Part::Beside | Part::OnTrial | Part::Plain => None,
        }
    }

    /// Whether it is known where those who stand might hear what leaves a socket, or soon found out: that takes as long as many
    /// ways.
    pub(super) fn knows_who_hears(&self, socket: &Socket, is_ours: bool) -> bool {
        let map = self.mapped(is_ours);
        let map = map.and_then(|hearing| hearing.audibility.get(socket.from.mast));
        map.is_some_and(|map| self.part != Part::OnTrial || map.get().is_some())
    }

    /// Whether a line might matter to anybody, as far as its place and its level tell at a glance: of it only the order is known,
    /// how often sources enter, and whether it rests on all the legs that are asked for.
    pub(super) fn might_be_heard(
        &self,
        (frequency, order): (Frequency, i64),
        level: Level,
        (socket, is_ours, is_whole): (&Socket, bool, bool),
    ) -> bool {
        let edge = Offset::hz(self.reach.as_hz().saturating_mul(order));
        if edge > Keen::FURTHEST || self.mapped(is_ours).is_none() {
            return true;
        }
        let stretch = (frequency, edge);
        let by_standing = || {
            let map = self.audibility(socket.from, is_ours);
            map.is_none_or(|map| map.may_hear(stretch, level, self.worse))
        };
        let by_trial = || {
            let map = self.audience.and_then(|one| one.map.as_ref());
            map.is_none_or(|map| map.may_hear(stretch, level + self.most_gain, self.worse))
        };
        (self.part == Part::OnTrial && level >= socket.on_trial && by_trial())
            || (is_whole && by_standing())
    }

    /// Whether a line that leaves a socket could matter to anybody: a bound that never says no to one that does.
    pub(super) fn is_heard(&self, line: Trace, socket: &Socket) -> bool {
        if self.part == Part::Plain {
            return true;
        }
        let from = socket.from;
        // Where many will ask, those who stand are asked at once, and who is under trial one by one.
        if self.part == Part::OnTrial
            && self.crowd.are_many_to_ask
            && line.edge <= Keen::FURTHEST
            && let Some(map) = self.audibility(from, line.is_ours)
        {
            return (line.legs == self.focus
                && map.may_hear((line.frequency, line.edge), line.level, self.worse))
                || (line.level >= socket.on_trial && self.is_heard_on_trial(line, from));
        }
        if self.is_for_antennas() {
            return self.antennas.iter().any(|to| {
                let lost = self.scene.least_lost_between(from.mast, to.mast);
                line.frequency + line.edge >= to.lowest
                    && line.level - lost.at(line.frequency) >= to.faintest
            });
        }
        self.near(line)
            .any(|one| self.is_near_enough(line, from, one))
    }

    fn is_heard_on_trial(&self, line: Trace, from: Reach) -> bool {
        let most = line.level + self.most_gain;
        let on_trial = self.audience.into_iter();
        let mut near = on_trial.flat_map(|one| one.near(line, most, self.worse));
        near.any(|one| self.is_near_enough(line, from, one))
    }

    fn is_near_enough(&self, line: Trace, from: Reach, one: &Hearer) -> bool {
        let receiver = self.scene.receivers.get(one.receiver);
        receiver.is_some_and(|receiver| {
            line.level - self.scene.least_loss(from, receiver, line.frequency)
                >= one.heard.faintest(self.worse)
        })
    }

    /// The places where a line might be heard by those who make the focus whole with it.
    pub fn near(&self, line: Trace) -> impl Iterator<Item = &Hearer> {
        let most = line.level + self.most_gain;
        let standing = if line.is_ours || self.part != Part::Standing {
            &self.crowd.around.all
        } else {
            &self.crowd.around.ours
        };
        let standing = (line.legs == self.focus).then_some(&standing.audience);
        let on_trial = self.audience.filter(|_| self.part == Part::OnTrial);
        let on_trial = on_trial
            .into_iter()
            .flat_map(move |one| one.near(line, most, self.worse));
        let on_trial = on_trial.filter(move |one| {
            let receiver = self.scene.receivers.get(one.receiver);
            receiver.is_some_and(|receiver| line.legs.and(receiver.legs) == self.focus)
        });
        standing
            .into_iter()
            .flat_map(move |one| one.near(line, most, self.worse))
            .chain(on_trial)
    }

    /// Asks for everything, with nothing left out beforehand.
    #[cfg(test)]
    pub(crate) fn plain(
        scene: &'a Scene<'a>,
        crowd: &'a Crowd,
        listening: &'a [&'a Listening],
        audience: &'a Audience,
        wanted: Wanted,
    ) -> Self {
        Self::new(scene, crowd, listening, audience, (Part::Plain, wanted))
    }
}
