//! How bad an encounter is, and what keeps it from being worse.

use crate::encounter::Encounter;
use crate::finding::Severity;
use crate::quantity::{Decibels, Level};
use crate::scene::{Reach, Receiver, Scene};

/// How bad an encounter is.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Grade {
    pub(super) severity: Severity,
    /// Why it is a caution only, though the level would hurt.
    pub(super) spared: Option<String>,
}

/// Grades an encounter.
///
/// A margin below zero hurts; one below the reserve wants a look. What rests on a supposition is a caution only: a tuning
/// that nobody knows, or a listener whose place nobody stated and who would be spared further away. So is what leaves our
/// own wanted signals readable. What lands on a safety service is never less than a caution.
pub(super) fn grade(scene: &Scene<'_>, encounter: &Encounter) -> Grade {
    let margin = encounter.margin();
    let receiver = scene.receivers.get(encounter.receiver);
    let is_safety = receiver.is_some_and(|receiver| receiver.safety.is_some())
        && encounter.response.is_landing();
    if margin < Decibels::ZERO {
        let spared = receiver.and_then(|receiver| spared(scene, receiver, encounter));
        let severity = if spared.is_some() {
            Severity::Caution
        } else {
            Severity::Conflict
        };
        return Grade { severity, spared };
    }
    let is_near = margin < scene.plan.settings.reserve.value || is_safety;
    Grade {
        severity: if is_near {
            Severity::Caution
        } else {
            Severity::Note
        },
        spared: None,
    }
}

/// Why an encounter that would hurt is a caution only.
fn spared(scene: &Scene<'_>, receiver: &Receiver, encounter: &Encounter) -> Option<String> {
    if encounter.supposed().next().is_some() {
        return Some("it hurts only if the supposition below is true".to_owned());
    }
    if let Some(stretch) = receiver.anywhere_in
        && stretch.width().as_hz() > 4 * receiver.figures.bandwidth.as_hz()
    {
        return Some(format!(
            "nobody knows which frequency between {stretch} is in use here"
        ));
    }
    unplaced(scene, receiver, encounter).or_else(|| readable(scene, receiver, encounter))
}

/// A listener whose place nobody stated: merely being strong nearby is a matter of distance, and so is what no longer
/// hurts further away.
fn unplaced(scene: &Scene<'_>, receiver: &Receiver, encounter: &Encounter) -> Option<String> {
    let mast = scene
        .masts
        .get(receiver.mast)
        .filter(|mast| mast.near.is_some())?;
    let nearest = mast
        .distance
        .as_ref()
        .filter(|distance| !distance.is_stated())?;
    let slack = scene.plan.settings.unplaced.value;
    let is_spared =
        encounter.margin() + slack >= Decibels::ZERO || !encounter.response.is_landing();
    is_spared.then(|| {
        format!(
            "nobody stated that anyone listens as near as {}; state `listeners` if somebody does",
            nearest.value
        )
    })
}

/// A receiver of ours whose wanted signals, reckoned on the cautious path, stay readable.
fn readable(scene: &Scene<'_>, receiver: &Receiver, encounter: &Encounter) -> Option<String> {
    if !receiver.owner.is_ours() || receiver.wanted.is_some() {
        return None;
    }
    let faintest = wanted(scene, receiver).min()?;
    let above = faintest - encounter.level;
    (above >= receiver.figures.protection.value).then(|| {
        format!("the faintest signal it wants, {faintest} on the cautious path, still stands {above} above it")
    })
}

/// What arrives of each signal a receiver is there to hear, on the cautious path.
fn wanted<'a>(scene: &'a Scene<'_>, receiver: &'a Receiver) -> impl Iterator<Item = Level> + 'a {
    let heard = move |&(index, _): &(usize, _)| scene.coexist(&[index], receiver);
    scene
        .transmitters
        .iter()
        .enumerate()
        .filter(move |(_, one)| scene.is_wanted(one, receiver))
        .filter(heard)
        .map(|(_, one)| {
            one.power.value
                - scene.service_loss(
                    Reach {
                        unit: one.unit,
                        mast: one.mast,
                    },
                    receiver,
                    one.frequency,
                )
        })
}
