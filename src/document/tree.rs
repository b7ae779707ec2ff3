//! The values of a file as they were written: every scalar is still its text, and everything has its place.

use std::rc::Rc;

use super::source::Place;

/// A value of the file; an alias shares the value it repeats.
#[derive(Debug)]
pub(super) struct Node {
    /// Tells it from every other value of its file.
    pub(super) id: usize,
    /// Where it is: a block collection by its head, everything else wholly.
    pub(super) place: Place,
    /// What it holds.
    pub(super) kind: Kind,
    /// Values in it with itself, aliases written out.
    pub(super) weight: usize,
    /// Collections inside each other in it, with itself.
    pub(super) height: usize,
}

/// What a node holds.
#[derive(Debug)]
pub(super) enum Kind {
    /// Nothing, `~` or `null`.
    Null,
    /// A text, its escapes and folded lines resolved.
    Scalar(String),
    /// A list.
    Sequence(Vec<Rc<Node>>),
    /// Keys, which are scalars, with their values, in the order of the file.
    Mapping(Vec<Entry>),
    /// Stands for a value whose fault has been told already.
    Broken,
}

/// A key with its value.
pub(super) type Entry = (Rc<Node>, Rc<Node>);

impl Node {
    /// A stand-in for a value whose fault has been told already.
    pub(super) const fn broken(place: Place) -> Self {
        Self {
            id: usize::MAX,
            place,
            kind: Kind::Broken,
            weight: 1,
            height: 0,
        }
    }

    /// The text of a scalar, and nothing of anything else.
    pub(super) fn text(&self) -> &str {
        match &self.kind {
            Kind::Scalar(text) => text,
            _ => "",
        }
    }
}
