//! The radios a scenario may name: built in, its own, or in a file.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::desk::{Desk, FileId, Stated};
use super::names;
use super::read::{Files, named_file};
use super::words::{RadioWords, ScenarioWords};
use crate::document::{self, Place, Said, Source};
use crate::radio::{Library, Profile, ProfileWords, RadioError};

/// Every radio that can be named, each worked out once.
pub(super) struct Radios {
    library: Library,
    /// Those that were asked for; nothing for one whose faults are told.
    known: BTreeMap<String, Option<Arc<Profile>>>,
    scenario: Source,
}

impl Radios {
    /// The built-in radios and those of the scenario, all of which are looked at.
    pub(super) fn new(
        words: &ScenarioWords,
        scenario: &Source,
        files: &dyn Files,
        desk: &mut Desk,
    ) -> Self {
        let mut radios = Self {
            library: Library::new(),
            known: BTreeMap::new(),
            scenario: scenario.clone(),
        };
        let mut own = Vec::new();
        for (name, said) in words.radios.iter() {
            let Some(name) = Stated::in_scenario(Some(name)) else {
                continue;
            };
            let is_there = match said.value() {
                Some(RadioWords::Figures(figures)) => {
                    let figures = figures.as_ref().clone();
                    radios
                        .library
                        .add(&name.value, said.place(), figures, scenario);
                    true
                }
                Some(RadioWords::File(path)) => radios.add_file(&name.value, path, files, desk),
                None => false,
            };
            if is_there {
                own.push(name);
            } else {
                radios.known.insert(name.value, None);
            }
        }
        for name in own {
            radios.profile(&name, desk);
        }
        radios
    }

    fn add_file(
        &mut self,
        name: &str,
        path: &Said<String>,
        files: &dyn Files,
        desk: &mut Desk,
    ) -> bool {
        let source =
            Stated::in_scenario(Some(path)).and_then(|path| named_file(&path, files, desk));
        let Some(source) = source else { return false };
        let reading = document::read::<ProfileWords>(&source);
        let is_right = reading.faults.is_empty();
        desk.adopt(reading.faults);
        match reading.value {
            Some(words) if is_right => {
                self.library.add(name, Place::default(), words, &source);
                true
            }
            _ => false,
        }
    }

    /// The radio of a name; what is wrong with it is told once.
    pub(super) fn profile(
        &mut self,
        name: &Stated<String>,
        desk: &mut Desk,
    ) -> Option<Arc<Profile>> {
        if let Some(known) = self.known.get(&name.value) {
            return known.clone();
        }
        if !self.library.ids().contains(&name.value.as_str()) {
            names::tell_unknown("radio", name, &self.library.ids(), desk);
            return None;
        }
        let profile = match self.library.profile(&name.value) {
            Ok(profile) => Some(Arc::new(profile)),
            Err(RadioError::Unknown { .. }) => None,
            Err(RadioError::Faulty(faults)) => {
                if faults.source() == &self.scenario {
                    desk.extend(FileId::SCENARIO, faults.list());
                } else {
                    desk.adopt(faults);
                }
                None
            }
        };
        self.known.insert(name.value.clone(), profile.clone());
        profile
    }

    /// The built-in or own radio of a name that the program itself takes.
    pub(super) fn usual(&mut self, name: &str) -> Option<Arc<Profile>> {
        if let Some(known) = self.known.get(name) {
            return known.clone();
        }
        let profile = self.library.profile(name).ok().map(Arc::new);
        self.known.insert(name.to_owned(), profile.clone());
        profile
    }

    /// A radio with changes for one station.
    pub(super) fn changed(
        &mut self,
        base: &Stated<String>,
        station: &str,
        changes: &Said<ProfileWords>,
        desk: &mut Desk,
    ) -> Option<Arc<Profile>> {
        self.profile(base, desk)?;
        let mut words = changes.value()?.clone();
        if let Some(based_on) = &words.based_on {
            if let Some(stated) = Stated::in_scenario(Some(based_on)) {
                desk.tell(
                    stated.spot,
                    "the changes of a station rest on its own `radio`; name another one there",
                );
            }
            return None;
        }
        words.based_on = Some(Said::new(base.value.clone(), changes.place()));
        let id = format!("{} of {station}", base.value);
        self.library
            .add(&id, changes.place(), words, &self.scenario);
        let name = Stated {
            value: id,
            spot: base.spot,
        };
        self.profile(&name, desk)
    }
}
