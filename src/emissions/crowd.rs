//! Those who stand whatever is under trial, and what is kept of them for all who ask.

use std::borrow::Cow;
use std::sync::OnceLock;

use super::audibility::Audibility;
use super::listening::Sense;
use super::receiver_intermodulation::{Classes, Patterns};
use super::{Audience, Listening};
use crate::quantity::Level;
use crate::scene::{Reach, Scene};

/// Those who stand whatever is under trial, as far as makers of lines have to know them.
#[derive(Debug, Default)]
pub struct Crowd {
    /// Those who hear.
    pub(super) all: Hearing,
    /// Of these, our own.
    pub(super) ours: Hearing,
    /// Its receivers, as far as they hear everybody alike.
    pub(super) classes: Classes,
    /// The shapes of the products that are looked for.
    pub(super) patterns: OnceLock<Patterns>,
    /// Whether so many scenes ask that it pays to keep what they ask for.
    pub(crate) are_many_to_ask: bool,
    /// By antenna, what a line must at least leave there with for any of them to hear it, by frequency.
    pub(super) audibility: Vec<OnceLock<Audibility>>,
    /// By antenna under trial, what arrives there of each transmitter who stands, as far as that was asked for.
    pub(super) arriving: Vec<OnceLock<Vec<OnceLock<Level>>>>,
}

/// Some who hear.
#[derive(Debug, Default)]
pub(super) struct Hearing {
    /// By index into the scene, in order.
    pub(super) members: Vec<usize>,
    pub(super) audience: Audience,
    /// By antenna, what a line must at least leave there with for any of them to hear it, by sense.
    audible: Vec<OnceLock<Vec<(Sense, Level)>>>,
}

impl Hearing {
    fn of(scene: &Scene<'_>, listening: &[&Listening], members: Vec<usize>) -> Self {
        let places = members.iter();
        let places = places.filter_map(|&index| Some((index, *listening.get(index)?)));
        Self {
            audience: Audience::of(places),
            audible: by_antenna(scene),
            members,
        }
    }

    /// What a line must at least leave an antenna with for any of them to hear it, by sense.
    pub(super) fn audible_from(
        &self,
        from: Reach,
        work_out: impl FnOnce(&[usize]) -> Vec<(Sense, Level)>,
    ) -> Cow<'_, [(Sense, Level)]> {
        match self.audible.get(from.mast) {
            Some(known) => Cow::Borrowed(known.get_or_init(|| work_out(&self.members))),
            None => Cow::Owned(work_out(&self.members)),
        }
    }
}

fn by_antenna<T>(scene: &Scene<'_>) -> Vec<OnceLock<T>> {
    unknown(scene.masts.len())
}

fn unknown<T>(count: usize) -> Vec<OnceLock<T>> {
    let cells = std::iter::repeat_with(OnceLock::new);
    cells.take(count).collect()
}

impl Crowd {
    /// Those who stand in a scene, with where each of its standing receivers listens; and whether so many will ask of them
    /// that it pays to keep what they will ask for.
    pub fn of(scene: &Scene<'_>, listening: &[&Listening], are_many_to_ask: bool) -> Self {
        let standing = scene.receivers.iter().take(scene.receivers.standing());
        let ours = standing.enumerate().filter(|(_, one)| one.owner.is_ours());
        Self {
            ours: Hearing::of(scene, listening, ours.map(|(index, _)| index).collect()),
            all: Hearing::of(scene, listening, (0..scene.receivers.standing()).collect()),
            classes: Classes::of(scene, listening, are_many_to_ask),
            patterns: OnceLock::new(),
            are_many_to_ask,
            audibility: by_antenna(scene),
            arriving: unknown(if are_many_to_ask {
                scene.masts.len()
            } else {
                0
            }),
        }
    }

    /// What arrives at an antenna of a transmitter, worked out once of each who stands where many will ask.
    pub(super) fn arriving(
        &self,
        scene: &Scene<'_>,
        (sender, at): (usize, usize),
        work_out: impl FnOnce() -> Level,
    ) -> Level {
        let standing = scene.transmitters.standing();
        let known = self.arriving.get(at).filter(|_| sender < standing);
        let known = known.map(|known| known.get_or_init(|| unknown(standing)));
        match known.and_then(|known| known.get(sender)) {
            Some(known) => *known.get_or_init(work_out),
            None => work_out(),
        }
    }

    /// Some of those who stand, to be asked what others do to them.
    pub fn beside(scene: &Scene<'_>, listening: &[&Listening], members: Vec<usize>) -> Self {
        Self {
            all: Hearing::of(scene, listening, members),
            ..Self::default()
        }
    }
}
