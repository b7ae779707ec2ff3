//! Whether a remedy really mends: the encounter reckoned again in a scene with the change made.
//!
//! A rule of thumb (so many dB a dB, so far off the channel) does not know where a stage saturates or which other
//! response waits beside the first.

use crate::budget::Budget;
use crate::emissions::Line;
use crate::encounter::Encounter;
use crate::provenance::{Origin, Sourced};
use crate::quantity::{Bandwidth, Decibels, Frequency, Level, Span};
use crate::responses::responses;
use crate::scenario::FilterLoss;
use crate::scene::{Owner, Receiver, Scene, Transmitter};

/// The scene with some senders and listeners on another channel; none where a radio does not reach that.
pub(super) fn retuned<'plan>(
    scene: &Scene<'plan>,
    (sends, hears): (impl Fn(&Transmitter) -> bool, impl Fn(&Receiver) -> bool),
    to: Frequency,
) -> Option<Scene<'plan>> {
    let reaches = |span: Span| span.contains(to);
    let (mut senders, mut listeners) = (scene.transmitters.iter(), scene.receivers.iter());
    if senders.any(|one| sends(one) && !reaches(one.figures.span))
        || listeners.any(|one| hears(one) && !reaches(one.figures.span))
    {
        return None;
    }
    Some(Scene {
        transmitters: scene
            .transmitters
            .changed_where(sends, |one| one.frequency = to),
        receivers: scene
            .receivers
            .changed_where(hears, |one| one.frequency = to),
        ..scene.clone()
    })
}

/// The scene with all transmitters of somebody at one level.
pub(super) fn weaker<'plan>(scene: &Scene<'plan>, owner: Owner, to: Level) -> Scene<'plan> {
    let transmitters = scene.transmitters.changed(|one| {
        if one.owner == owner {
            one.power.value = to;
        }
    });
    Scene {
        transmitters,
        ..scene.clone()
    }
}

/// The scene with a narrow filter at somebody's antenna.
pub(super) fn filtered<'plan>(
    scene: &Scene<'plan>,
    owner: Owner,
    at: Frequency,
    loss: Decibels,
) -> Scene<'plan> {
    let mut scene = scene.clone();
    let sent = scene.transmitters.iter().map(|one| (one.owner, one.mast));
    let heard = scene.receivers.iter().map(|one| (one.owner, one.mast));
    let mast = sent.chain(heard).find(|(whose, _)| *whose == owner);
    let mut masts = scene.masts.to_vec();
    if let Some(mast) = mast.and_then(|(_, mast)| masts.get_mut(mast)) {
        mast.filters.push(FilterLoss {
            name: "proposed".to_owned(),
            span: Span::around(at, Bandwidth::hz(2)),
            loss: Sourced::new(loss, Origin::Said("a remedy".into())),
        });
    }
    scene.masts = masts.into();
    scene
}

/// The margin of an encounter as it is in another scene.
pub(super) fn margin(scene: &Scene<'_>, encounter: &Encounter) -> Decibels {
    let mut encounter = encounter.clone();
    encounter.line = reborn(scene, &encounter.line);
    margin_of(scene, &encounter)
}

/// On how many responses of its victim a line falls short of the reserve.
pub(super) fn short(scene: &Scene<'_>, encounter: &Encounter, line: &Line) -> usize {
    met(scene, encounter, line).len()
}

/// The responses of its victim on which a line falls short of the reserve, by kind, with the margin on each.
pub(super) fn met(scene: &Scene<'_>, encounter: &Encounter, line: &Line) -> Vec<(usize, Decibels)> {
    let Some(receiver) = scene.receivers.get(encounter.receiver) else {
        return Vec::new();
    };
    let line = reborn(scene, line);
    // What one receiver alone hears, it hears on its channel.
    let heard = if line.heard_by.is_some() {
        1
    } else {
        usize::MAX
    };
    responses(receiver)
        .into_iter()
        .take(heard)
        .filter_map(|response| {
            let kind = response.kind;
            let one = Encounter {
                line: line.clone(),
                response,
                ..encounter.clone()
            };
            let margin = margin_of(scene, &one);
            (margin < scene.plan.settings.reserve.value).then_some((kind, margin))
        })
        .collect()
}

/// A line with the level it is born with in a scene.
fn reborn(scene: &Scene<'_>, line: &Line) -> Line {
    let mut line = line.clone();
    if let Some(emission) = line.emission() {
        let mut birth = Budget::default();
        (emission.tell)(scene, &line, &mut birth);
        line.level = birth.level();
    }
    line
}

fn margin_of(scene: &Scene<'_>, encounter: &Encounter) -> Decibels {
    let (level, limit) = encounter.tell(scene);
    limit.level() - level.level()
}
