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
use crate::scenario::{FilterLoss, Legs};
use crate::scene::{Owner, Scene};

/// The scene with a leg of the trial somewhere else; none where a radio does not reach that.
pub(super) fn moved<'plan>(scene: &Scene<'plan>, leg: Legs, to: Frequency) -> Option<Scene<'plan>> {
    let (transmitters, receivers) = (&scene.transmitters, &scene.receivers);
    let transmitters = transmitters.on_trial_changed(|one| {
        if one.legs.holds(leg) {
            one.frequency = to;
        }
        (!one.legs.holds(leg) || one.figures.span.contains(to)).then_some(())
    })?;
    let receivers = receivers.on_trial_changed(|one| {
        if one.legs.holds(leg) {
            one.frequency = to;
        }
        (!one.legs.holds(leg) || one.figures.span.contains(to)).then_some(())
    })?;
    Some(Scene {
        transmitters,
        receivers,
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
    let Some(receiver) = scene.receivers.get(encounter.receiver) else {
        return 0;
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
        .filter(|response| {
            let one = Encounter {
                line: line.clone(),
                response: response.clone(),
                ..encounter.clone()
            };
            margin_of(scene, &one) < scene.plan.settings.reserve.value
        })
        .count()
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
