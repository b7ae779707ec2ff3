//! A profile with those it rests on, asked for one figure at a time: the uppermost that states it answers.

use std::cell::RefCell;
use std::fmt;
use std::sync::Arc;

use super::figure::Figure;
use super::sources::{authority_of, named};
use super::words::{ProfileWords, Stated};
use crate::document::{Fault, MOST_FAULTS, Place, Said, Source};
use crate::provenance::{Authority, Origin, Sourced, Standing};

/// A profile's words with where they stand.
#[derive(Debug, Clone)]
pub(super) struct Entry {
    /// The name it is known by.
    pub(super) id: Arc<str>,
    /// Where faults of the whole profile are shown.
    pub(super) place: Place,
    /// What it says.
    pub(super) words: ProfileWords,
    /// The file it stands in.
    pub(super) source: Source,
}

/// A profile on top of those it rests on.
pub(super) struct Stack<'e> {
    entries: &'e [Entry],
    faults: RefCell<Vec<(usize, Fault)>>,
}

impl<'e> Stack<'e> {
    /// The stack of these entries, the profile itself first.
    pub(super) const fn new(entries: &'e [Entry]) -> Self {
        Self {
            entries,
            faults: RefCell::new(Vec::new()),
        }
    }

    /// The entries with their height, the profile itself first.
    pub(super) fn layers(&self) -> impl DoubleEndedIterator<Item = (usize, &'e Entry)> {
        self.entries.iter().enumerate()
    }

    /// Keeps a fault of the entry at a height.
    pub(super) fn tell(&self, layer: usize, fault: Fault) {
        let mut faults = self.faults.borrow_mut();
        if faults.len() < MOST_FAULTS {
            faults.push((layer, fault));
        }
    }

    /// Keeps a fault of the profile as a whole.
    pub(super) fn tell_whole(&self, message: impl AsRef<str>, help: &str) {
        if let Some(entry) = self.entries.first() {
            self.tell(0, Fault::new(entry.place, message).help(help));
        }
    }

    /// Every fault with the height of its entry.
    pub(super) fn into_faults(self) -> Vec<(usize, Fault)> {
        self.faults.into_inner()
    }

    /// The same part of every entry.
    pub(super) fn sections<W>(
        &self,
        path: &str,
        part: impl Fn(&'e ProfileWords) -> &'e W,
    ) -> Sections<'_, 'e, W> {
        let list = self
            .layers()
            .map(|(layer, entry)| (layer, part(&entry.words)))
            .collect();
        self.sections_of(path, list)
    }

    /// These parts, the one that answers first in front.
    pub(super) fn sections_of<W>(
        &self,
        path: &str,
        list: Vec<(usize, &'e W)>,
    ) -> Sections<'_, 'e, W> {
        Sections {
            stack: self,
            path: path.to_owned(),
            list,
        }
    }

    /// A figure with its origin; nothing when it was wrong.
    pub(super) fn stamp<T: Clone>(
        &self,
        layer: usize,
        said: &Said<Figure<T>>,
    ) -> Option<Sourced<T>> {
        let figure = said.value()?;
        let entry = self.entries.get(layer)?;
        let origin = match &figure.source {
            Some(key) => Origin::Profile {
                profile: Arc::clone(&entry.id),
                authority: self.authority(layer, key, said.place())?,
            },
            None => Origin::Said(
                format!(
                    "{}, line {}",
                    entry.source.name(),
                    entry.source.line(said.place().start)
                )
                .into(),
            ),
        };
        Some(Sourced::new(figure.value.clone(), origin))
    }

    /// The source under a key, as this entry or one that it rests on names it.
    fn authority(&self, layer: usize, key: &str, place: Place) -> Option<Authority> {
        let found = self
            .layers()
            .skip(layer)
            .find_map(|(owner, entry)| Some((owner, named(&entry.words.sources, key)?)));
        let Some((owner, source)) = found else {
            let fault = Fault::new(place, format!("no source `{key}` is named under `sources`"));
            let help = "name it there with its text and standing, or leave the parenthesis out";
            self.tell(layer, fault.help(help));
            return None;
        };
        let source = source.value()?;
        let word = source.standing.value()?;
        let found = authority_of(source);
        if found.is_none() {
            let known: Vec<_> = Standing::ALL.iter().map(|(name, _)| *name).collect();
            let message = format!("`{word}` is no standing; there are {}", known.join(", "));
            self.tell(owner, Fault::new(source.standing.place(), message));
        }
        found
    }
}

/// The parts of several entries that answer for the same thing.
pub(super) struct Sections<'s, 'e, W> {
    stack: &'s Stack<'e>,
    path: String,
    list: Vec<(usize, &'e W)>,
}

impl<'s, 'e, W> Sections<'s, 'e, W> {
    /// A part of each of these parts.
    pub(super) fn inner<V>(
        &self,
        name: &str,
        part: impl Fn(&'e W) -> &'e V,
    ) -> Sections<'s, 'e, V> {
        Sections {
            stack: self.stack,
            path: self.named(name),
            list: self
                .list
                .iter()
                .map(|&(layer, words)| (layer, part(words)))
                .collect(),
        }
    }

    /// The stack they belong to.
    pub(super) const fn stack(&self) -> &'s Stack<'e> {
        self.stack
    }

    /// The first that is stated, with the height of its entry.
    pub(super) fn find<V>(&self, get: impl Fn(&'e W) -> Option<&'e V>) -> Option<(usize, &'e V)> {
        self.list
            .iter()
            .find_map(|&(layer, words)| Some((layer, get(words)?)))
    }

    /// The first that is stated, or the fault that none is.
    pub(super) fn require<V>(
        &self,
        name: &str,
        get: impl Fn(&'e W) -> Option<&'e V>,
    ) -> Option<(usize, &'e V)> {
        let found = self.find(get);
        if found.is_none() {
            self.lacks(name);
        }
        found
    }

    /// A figure that may be left out.
    pub(super) fn pick<T: Clone + 'e>(
        &self,
        get: impl Fn(&'e W) -> &'e Stated<T>,
    ) -> Option<Sourced<T>> {
        let (layer, said) = self.find(|words| legible(get(words).as_ref()))?;
        self.stack.stamp(layer, said)
    }

    /// A figure that no radio can do without.
    pub(super) fn need<T: Clone + 'e>(
        &self,
        name: &str,
        get: impl Fn(&'e W) -> &'e Stated<T>,
    ) -> Option<Sourced<T>> {
        let (layer, said) = self.require(name, |words| legible(get(words).as_ref()))?;
        self.stack.stamp(layer, said)
    }

    /// A figure that no radio can do without, refused when it lies outside of what is possible.
    pub(super) fn need_within<T: Clone + Ord + fmt::Display + 'e>(
        &self,
        name: &str,
        (low, high): (T, T),
        get: impl Fn(&'e W) -> &'e Stated<T>,
    ) -> Option<Sourced<T>> {
        let (layer, said) = self.require(name, |words| legible(get(words).as_ref()))?;
        let figure = self.stack.stamp(layer, said)?;
        if figure.value < low || figure.value > high {
            let message = format!(
                "`{}` cannot be {}: from {low} to {high}",
                self.named(name),
                figure.value
            );
            self.stack.tell(layer, Fault::new(said.place(), message));
            return None;
        }
        Some(figure)
    }

    /// Tells that a key is stated nowhere.
    fn lacks(&self, name: &str) {
        self.stack.tell_whole(
            format!("the radio has no `{}`", self.named(name)),
            "state it, or say with `based_on:` which profile the radio resembles",
        );
    }

    /// A key with the way to it.
    fn named(&self, name: &str) -> String {
        if self.path.is_empty() {
            name.to_owned()
        } else {
            format!("{}.{name}", self.path)
        }
    }
}

/// What is stated, unless it was wrong: then the fault has been told, and what lies below answers.
pub(super) fn legible<T>(stated: Option<&Said<T>>) -> Option<&Said<T>> {
    stated.filter(|said| said.value().is_some())
}
