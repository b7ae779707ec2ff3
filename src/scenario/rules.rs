//! The rule packs a scenario names, built in or by file, with the licence held.

use std::sync::Arc;

use super::desk::{Desk, Stated};
use super::names;
use super::read::{Files, named_file};
use super::words::ScenarioWords;
use crate::document::Said;
use crate::law::{self, Law, LawError, Pack, Role};

/// The rules that apply; as far as they could be read.
pub(super) fn law(words: &ScenarioWords, files: &dyn Files, desk: &mut Desk) -> Law {
    let mut packs = Vec::new();
    let border = words.event.value().and_then(|event| event.border.as_ref());
    let across = border
        .and_then(Said::value)
        .map_or(&[][..], |border| &border.with);
    let neighbours = words.neighbouring_rules.iter().chain(across);
    let named = words.rules.len() + words.neighbouring_rules.len() + across.len();
    let binding = words.rules.iter().map(|said| (said, Role::Binding));
    for (said, role) in binding.chain(neighbours.map(|said| (said, Role::Neighbour))) {
        if let Some(stated) = Stated::in_scenario(Some(said))
            && let Some(pack) = pack(&stated, files, desk)
        {
            packs.push((pack, role));
        }
    }
    let licence = Stated::in_scenario(words.licence.as_ref());
    let is_complete = !packs.is_empty() && packs.len() == named;
    let held = licence.as_ref().map(|licence| licence.value.as_str());
    match Law::stack(packs.clone(), held) {
        Ok(law) => return law,
        // A licence that only a missing pack knows is not worth a second fault.
        Err(LawError::UnknownLicence { .. }) if !is_complete => {}
        Err(LawError::UnknownLicence { .. }) => {
            if let Some(licence) = &licence {
                let known: Vec<&str> = packs
                    .iter()
                    .filter(|(_, role)| matches!(role, Role::Binding))
                    .flat_map(|(pack, _)| &pack.licences)
                    .map(|licence| licence.id.as_str())
                    .collect();
                names::tell_unknown("licence", licence, &known, desk);
            }
        }
        Err(error) => {
            if let Some(first) = words.rules.first() {
                tell_at(first, &error, desk);
            }
        }
    }
    Law::stack(packs, None).unwrap_or_default()
}

fn tell_at(said: &Said<String>, error: &LawError, desk: &mut Desk) {
    if let Some(stated) = Stated::in_scenario(Some(said)) {
        desk.tell(stated.spot, error.to_string());
    }
}

/// A pack by name, or by the path of a file.
fn pack(stated: &Stated<String>, files: &dyn Files, desk: &mut Desk) -> Option<Arc<Pack>> {
    let built_in = law::built_in();
    if let Some(pack) = built_in
        .iter()
        .find(|pack| pack.id.as_ref() == stated.value)
    {
        return Some(Arc::clone(pack));
    }
    if !looks_like_a_path(&stated.value) {
        let names: Vec<&str> = built_in.iter().map(|pack| pack.id.as_ref()).collect();
        names::tell_unknown("rule pack", stated, &names, desk);
        return None;
    }
    let source = named_file(stated, files, desk)?;
    match law::read(source.name(), source.text().as_bytes()) {
        Ok(pack) => Some(Arc::new(pack)),
        Err(LawError::Faults(faults)) => {
            desk.adopt(faults);
            None
        }
        Err(error) => {
            desk.tell(stated.spot, error.to_string());
            None
        }
    }
}

/// Whether a word names a file rather than something built in.
pub(super) fn looks_like_a_path(word: &str) -> bool {
    word.contains(['/', '\\', '.'])
}
