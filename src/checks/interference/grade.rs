//! How bad an encounter is, and what keeps it from being worse.

use crate::emissions::Birth;
use crate::encounter::Encounter;
use crate::finding::Severity;
use crate::quantity::{Decibels, Level};
use crate::scene::{Reach, Receiver, Scene, Transmitter};

/// How bad an encounter is.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::checks) struct Grade {
    pub(in crate::checks) severity: Severity,
    /// Why it is no more than that.
    pub(in crate::checks) spared: Option<String>,
}

/// Grades an encounter.
///
/// What is merely strong near somebody whose place nobody stated is a note, as no choice of channel escapes it. Otherwise
/// a margin below zero hurts; one below the reserve wants a look. What rests on a supposition is a caution only: a tuning
/// that nobody knows, or a listener whose place nobody stated and who would be spared further away. So is what leaves our
/// own wanted signals readable. What lands on a channel of a safety service is never less than a caution.
pub(in crate::checks) fn grade(scene: &Scene<'_>, encounter: &Encounter) -> Grade {
    let margin = encounter.margin();
    let receiver = scene.receivers.get(encounter.receiver);
    let bystander = receiver
        .filter(|_| !names_a_channel(encounter))
        .and_then(|one| scene.unplaced(one));
    if let Some(nearest) = bystander {
        let spared = format!(
            "it matters only to somebody as near as {}, whatever the channel",
            nearest.value
        );
        return Grade {
            severity: Severity::Note,
            spared: Some(spared),
        };
    }
    if let Some(stretch) = receiver.and_then(|one| one.anywhere_in)
        && (matches!(encounter.line.birth, Birth::Oscillator(_)) || margin >= Decibels::ZERO)
    {
        // Every receiver leaks somewhere into a wide band, and what would not hurt there lands on nobody known.
        let spared = format!("nobody knows which frequency between {stretch} is in use here");
        return Grade {
            severity: Severity::Note,
            spared: Some(spared),
        };
    }
    if margin < Decibels::ZERO {
        let spared = receiver.and_then(|receiver| spared(scene, receiver, encounter));
        let severity = if spared.is_some() {
            Severity::Caution
        } else {
            Severity::Conflict
        };
        return Grade { severity, spared };
    }
    let is_safety =
        receiver.is_some_and(|receiver| receiver.safety.is_some()) && names_a_channel(encounter);
    let is_near = margin < scene.plan.settings.reserve.value || is_safety;
    let severity = if is_near {
        Severity::Caution
    } else {
        Severity::Note
    };
    Grade {
        severity,
        spared: None,
    }
}

/// Why an encounter that would hurt is a caution only.
fn spared(scene: &Scene<'_>, receiver: &Receiver, encounter: &Encounter) -> Option<String> {
    if encounter.supposed().next().is_some() {
        return Some("it hurts only if the supposition below is true".to_owned());
    }
    if let Some(stretch) = receiver.anywhere_in {
        return Some(format!(
            "nobody knows which frequency between {stretch} is in use here"
        ));
    }
    spared_further_away(scene, receiver, encounter).or_else(|| readable(scene, receiver, encounter))
}

/// Whether an encounter has to do with which channel is chosen, rather than with being strong nearby.
fn names_a_channel(encounter: &Encounter) -> bool {
    encounter.response.is_landing() && !encounter.line.is_slice()
}

/// Whether a listener whose place nobody stated would be spared further away.
fn spared_further_away(
    scene: &Scene<'_>,
    receiver: &Receiver,
    encounter: &Encounter,
) -> Option<String> {
    let nearest = scene.unplaced(receiver)?;
    let is_spared = encounter.margin() + scene.plan.settings.unplaced.value >= Decibels::ZERO;
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

/// Whether a transmitter stands where the plan says: how strong one at the same site is depends on where its user walks,
/// unless its place there is stated.
fn is_placed(scene: &Scene<'_>, transmitter: &Transmitter, receiver: &Receiver) -> bool {
    let masts = [transmitter.mast, receiver.mast].map(|mast| scene.masts.get(mast));
    let [Some(theirs), Some(ours)] = masts else {
        return false;
    };
    let is_one_site = theirs.site.is_some() && theirs.site == ours.site;
    !is_one_site || theirs.antenna.offset.is_some() || ours.antenna.offset.is_some()
}

/// What arrives of each signal a receiver is there to hear, on the cautious path.
fn wanted<'a>(scene: &'a Scene<'_>, receiver: &'a Receiver) -> impl Iterator<Item = Level> + 'a {
    let heard = move |&(index, _): &(usize, _)| scene.coexist(&[index], receiver);
    scene
        .transmitters
        .iter()
        .enumerate()
        .filter(move |(_, one)| scene.is_wanted(one, receiver) && is_placed(scene, one, receiver))
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
