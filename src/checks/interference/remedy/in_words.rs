//! What is left where no figure within reach mends an encounter.

use super::super::called_apart;
use crate::emissions::Source;
use crate::encounter::Encounter;
use crate::finding::Remedy;
use crate::quantity::Decibels;
use crate::scene::Scene;

/// That no channel nearby, step of power, filter or distance is enough, and who must not be on the air together, or where.
pub(super) fn beyond_reach(scene: &Scene<'_>, encounter: &Encounter, lacking: Decibels) -> Remedy {
    let mut ours: Vec<&str> = Vec::new();
    for &(source, _) in &encounter.line.terms {
        let Source::Transmitter(index) = source else {
            continue;
        };
        let Some(one) = scene.transmitters.get(index) else {
            continue;
        };
        if one.owner.is_ours() && !ours.contains(&one.name.as_str()) {
            ours.push(&one.name);
        }
    }
    let receiver = scene.receivers.get(encounter.receiver);
    let victim = called_apart(scene, encounter);
    let is_ours = receiver.is_some_and(|one| one.owner.is_ours());
    let is_in_one_box = encounter
        .line
        .terms
        .iter()
        .any(|&(source, _)| match source {
            Source::Transmitter(index) => {
                let unit = scene.transmitters.get(index).map(|one| one.unit);
                unit.is_some() && unit == receiver.map(|one| one.unit)
            }
            Source::Oscillator(_) | Source::Reference(_) => false,
        });
    let who = match ours.as_slice() {
        [] => format!("another band or another place for {victim}"),
        [one] if is_in_one_box => {
            format!(
                "another band, or a radio of its own in another place, for {one} or for {victim}"
            )
        }
        [one] if is_ours => format!("another band or another place for {one} or for {victim}"),
        [one] => format!("another band or another place for {one}"),
        [first, .., last] => {
            format!(
                "{first} and {last} never on the air together, or one of them on another band or elsewhere"
            )
        }
    };
    Remedy {
        text: format!(
            "{who}: {lacking} are lacking, and no channel nearby, lower power, filter or distance within reach gives them"
        ),
        change: None,
    }
}
