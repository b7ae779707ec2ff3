//! Where everything that is heard and everything that is wrong comes together while a scenario is resolved.

use std::fmt::Display;
use std::sync::Arc;

use super::defaults::Figure;
use crate::document::{Fault, Faults, LARGEST_FILE, Place, Said, Source};
use crate::provenance::{Origin, Sourced};

/// Files that a scenario may name, each time it does.
pub(super) const MOST_FILES: usize = 100;

/// Faults after a place that may be about it.
const NEAR: usize = 100;

/// One of the files that make up a scenario.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct FileId(usize);

impl FileId {
    /// The scenario itself.
    pub(super) const SCENARIO: Self = Self(0);
}

/// A place in one of the files.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Spot {
    file: FileId,
    place: Place,
}

impl Spot {
    /// A place in the scenario itself.
    pub(super) const fn scenario(place: Place) -> Self {
        Self::of(FileId::SCENARIO, place)
    }

    /// A place in a file.
    pub(super) const fn of(file: FileId, place: Place) -> Self {
        Self { file, place }
    }
}

/// A value that was said, with the file and the place.
#[derive(Debug, Clone)]
pub(super) struct Stated<T> {
    /// What was said.
    pub(super) value: T,
    /// Where.
    pub(super) spot: Spot,
}

impl<T: Clone> Stated<T> {
    /// What a file says, unless it says nothing or something whose fault is told already.
    pub(super) fn of(file: FileId, said: Option<&Said<T>>) -> Option<Self> {
        let said = said?;
        Some(Self {
            value: said.value()?.clone(),
            spot: Spot::of(file, said.place()),
        })
    }

    /// What the scenario itself says.
    pub(super) fn in_scenario(said: Option<&Said<T>>) -> Option<Self> {
        Self::of(FileId::SCENARIO, said)
    }
}

/// Faults by file, and the defaults that were taken.
#[derive(Debug)]
pub(super) struct Desk {
    files: Vec<Faults>,
    defaults: Vec<(String, String, Origin)>,
    /// Files that were named, and the bytes of those that were read.
    named: usize,
    bytes: usize,
}

impl Desk {
    /// A desk for a scenario of which the reading may have found faults.
    pub(super) fn new(scenario: Faults) -> Self {
        Self {
            files: vec![scenario],
            defaults: Vec::new(),
            named: 0,
            bytes: 0,
        }
    }

    /// Takes up another file.
    pub(super) fn open(&mut self, source: &Source) -> FileId {
        self.adopt(Faults::new(source))
    }

    /// Counts a file that is named; false when there have been too many.
    pub(super) const fn may_read_one_more(&mut self) -> bool {
        self.named += 1;
        self.named <= MOST_FILES
    }

    /// Counts the bytes of a file; false when all together are more than one file may have.
    pub(super) const fn has_room_for(&mut self, bytes: usize) -> bool {
        self.bytes = self.bytes.saturating_add(bytes);
        self.bytes <= LARGEST_FILE
    }

    /// Takes up a file whose faults somebody else found.
    pub(super) fn adopt(&mut self, faults: Faults) -> FileId {
        self.files.push(faults);
        FileId(self.files.len() - 1)
    }

    /// Tells a fault.
    pub(super) fn tell(&mut self, spot: Spot, message: impl AsRef<str>) {
        self.tell_fault(spot.file, Fault::new(spot.place, message));
    }

    /// Tells a fault with its cure.
    pub(super) fn tell_with_help(
        &mut self,
        spot: Spot,
        message: impl AsRef<str>,
        help: impl AsRef<str>,
    ) {
        self.tell_fault(spot.file, Fault::new(spot.place, message).help(help));
    }

    /// Tells a fault that points at an earlier place of the same file too.
    pub(super) fn tell_twice(&mut self, spot: Spot, message: impl AsRef<str>, first: Spot) {
        let fault = Fault::new(spot.place, message);
        let fault = if first.file == spot.file {
            fault.also(first.place, "it stands here first")
        } else {
            fault
        };
        self.tell_fault(spot.file, fault);
    }

    /// How many faults are told of all files.
    pub(super) fn told(&self) -> usize {
        self.files.iter().map(|faults| faults.list().len()).sum()
    }

    /// Takes over faults of a file that somebody else found.
    pub(super) fn extend(&mut self, file: FileId, faults: &[Fault]) {
        for fault in faults {
            self.tell_fault(file, fault.clone());
        }
    }

    /// Whether an unknown key is told already that may have been meant for one of some keys: it stands inside a place of
    /// the scenario, or after its beginning and is nearly one of them.
    pub(super) fn may_have_meant(&self, place: Place, keys: &[&str]) -> bool {
        let faults = self.files.first().map_or(&[][..], Faults::list);
        let begin = faults.partition_point(|fault| fault.place.start < place.start);
        let mut unknown = faults
            .iter()
            .skip(begin)
            .take(NEAR)
            .filter(|fault| fault.message.starts_with("unknown key"));
        unknown.any(|fault| {
            let is_near = |key: &&str| fault.message.contains(&format!("did you mean `{key}`?"));
            fault.place.end <= place.end || keys.iter().any(is_near)
        })
    }

    fn tell_fault(&mut self, file: FileId, fault: Fault) {
        if let Some(faults) = self.files.get_mut(file.0) {
            faults.add(fault);
        }
    }

    /// Where a spot is, as provenance tells it.
    pub(super) fn origin(&self, spot: Spot) -> Origin {
        match self.files.get(spot.file.0) {
            Some(faults) => faults.source().origin(spot.place),
            None => Origin::Said(Arc::from("")),
        }
    }

    /// Where a spot is, for a reader: `race.yaml, line 31`.
    pub(super) fn place(&self, spot: Spot) -> Arc<str> {
        match self.origin(spot) {
            Origin::Said(place) => place,
            _ => Arc::from(""),
        }
    }

    /// What was said, with where.
    pub(super) fn sourced<T>(&self, stated: Stated<T>) -> Sourced<T> {
        Sourced::new(stated.value, self.origin(stated.spot))
    }

    /// What was said, or else the default, which is noted.
    pub(super) fn or_default<T: Display + Clone>(
        &mut self,
        stated: Option<Stated<T>>,
        whose: &str,
        figure: &Figure<T>,
    ) -> Sourced<T> {
        match stated {
            Some(stated) => self.sourced(stated),
            None => self.noted(whose, &figure.what, figure.sourced()),
        }
    }

    /// What was said, or else a value that a profile or a rule pack holds, which is noted.
    pub(super) fn or_known<T: Display + Clone>(
        &mut self,
        stated: Option<Stated<T>>,
        whose: &str,
        what: &str,
        known: &Sourced<T>,
    ) -> Sourced<T> {
        match stated {
            Some(stated) => self.sourced(stated),
            None => self.noted(whose, what, known.clone()),
        }
    }

    /// Notes a value that nobody stated.
    pub(super) fn noted<T: Display>(
        &mut self,
        whose: &str,
        what: &str,
        value: Sourced<T>,
    ) -> Sourced<T> {
        let what = if whose.is_empty() {
            what.to_owned()
        } else {
            format!("{whose}: {what}")
        };
        self.defaults
            .push((what, value.value.to_string(), value.origin.clone()));
        value
    }

    /// The defaults that were taken, if nothing is wrong.
    ///
    /// # Errors
    /// The faults of every file that has some.
    pub(super) fn close(self) -> Result<Vec<(String, String, Origin)>, Vec<Faults>> {
        let mut faulty: Vec<Faults> = Vec::new();
        for faults in self.files.into_iter().filter(|faults| !faults.is_empty()) {
            // A file that is named twice is told once.
            match faulty
                .iter_mut()
                .find(|told| told.source() == faults.source())
            {
                Some(told) => told.extend(faults.list().iter().cloned()),
                None => faulty.push(faults),
            }
        }
        if faulty.is_empty() {
            Ok(self.defaults)
        } else {
            Err(faulty)
        }
    }
}
