//! Whether a remedy really mends: the encounter reckoned again in a scene with the change made.
//!
//! A rule of thumb (so many dB a dB, so far off the channel) does not know where a stage saturates or which other
//! response waits beside the first.

use crate::emissions::Line;
use crate::encounter::{self, Encounter};
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
    let (senders, listeners) = (scene.transmitters.from(0), scene.receivers.from(0));
    let senders: Vec<_> = senders.filter(|(_, one)| sends(one)).collect();
    let listeners: Vec<_> = listeners.filter(|(_, one)| hears(one)).collect();
    let reaches = |span: Span| span.contains(to);
    if senders.iter().any(|(_, one)| !reaches(one.figures.span))
        || listeners.iter().any(|(_, one)| !reaches(one.figures.span))
    {
        return None;
    }
    let senders: Vec<usize> = senders.into_iter().map(|(index, _)| index).collect();
    let listeners: Vec<usize> = listeners.into_iter().map(|(index, _)| index).collect();
    Some(Scene {
        transmitters: (scene.transmitters).changed_at(&senders, |one| one.frequency = to),
        receivers: (scene.receivers).changed_at(&listeners, |one| one.frequency = to),
        ..scene.clone()
    })
}

/// The scene with all transmitters of somebody at one level.
pub(super) fn weaker<'plan>(scene: &Scene<'plan>, owner: Owner, to: Level) -> Scene<'plan> {
    let transmitters = scene
        .transmitters
        .changed_where(|one| one.owner == owner, |one| one.power.value = to);
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
    if let Some((_, mast)) = mast {
        scene.masts = scene.masts.changed_at(&[mast], |mast| {
            mast.filters.push(FilterLoss {
                name: "proposed".to_owned(),
                span: Span::around(at, Bandwidth::hz(2)),
                loss: Sourced::new(loss, Origin::Said("a remedy".into())),
            });
        });
    }
    scene
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
    let line = encounter::reborn(scene, line);
    // What one receiver alone hears, it hears on its channel.
    let heard = if line.heard_by.is_some() {
        1
    } else {
        usize::MAX
    };
    responses(receiver)
        .into_iter()
        .take(heard)
        .filter(|response| encounter::is_met(receiver, &line, response))
        .filter_map(|response| {
            let margin = encounter::margin(scene, receiver, &line, &response);
            (margin < scene.plan.settings.reserve.value).then_some((response.kind, margin))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::sample::{CROWDED, plan};

    /// The packet station is made to hear 10 MHz further than it sends.
    #[test]
    fn a_channel_moves_with_all_who_send_and_hear_on_it_and_only_to_where_all_of_them_reach() {
        let plan = plan(CROWDED);
        let mut scene = Scene::build(&plan, None);
        scene.receivers = scene.receivers.changed_where(
            |one| one.station == "Packet",
            |one| {
                let mut figures = (*one.figures).clone();
                figures.span.high += crate::quantity::Offset::hz(10_000_000);
                one.figures = figures.into();
            },
        );
        let moved = |to: i64, sends: bool, hears: bool| {
            let to = Frequency::hz(to);
            let here = Frequency::hz(144_800_000);
            let there = retuned(
                &scene,
                (
                    move |one: &Transmitter| sends && one.frequency == here,
                    move |one: &Receiver| hears && one.frequency == here,
                ),
                to,
            )?;
            let senders = there.transmitters.iter();
            let hearers = there.receivers.iter();
            Some((
                senders.filter(|one| one.frequency == to).count(),
                hearers.filter(|one| one.frequency == to).count(),
            ))
        };
        assert_eq!(moved(144_850_000, true, true), Some((1, 1)));
        assert_eq!(moved(144_850_000, true, false), Some((1, 0)));
        assert_eq!(moved(144_850_000, false, true), Some((0, 1)));
        let sender = scene.transmitters.iter().find(|one| one.name == "Packet");
        let hearer = scene.receivers.iter().find(|one| one.station == "Packet");
        let (sends, hears) = (sender.unwrap().figures.span, hearer.unwrap().figures.span);
        let beyond = sends.high.as_hz() + 12_500;
        assert!(hears.contains(Frequency::hz(beyond)));
        assert_eq!(moved(beyond, true, true), None);
        assert_eq!(moved(beyond, true, false), None);
        assert_eq!(moved(beyond, false, true), Some((0, 1)));
        let far = hears.high.as_hz() + 12_500;
        assert_eq!(moved(far, false, true), None);
        // Where nobody is there is nothing to move.
        assert_eq!(moved(far, false, false), Some((0, 0)));
    }
}
