//! The keys and values of one mapping: no key twice, and `<<` brought in.

use std::collections::BTreeMap;
use std::rc::Rc;

use super::fault::Fault;
use super::source::Place;
use super::tree::{Entry, Kind, Node};

/// A mapping whose end has not come yet.
#[derive(Default)]
pub(super) struct Pairs {
    entries: Vec<Entry>,
    /// Where each key stands.
    seen: BTreeMap<String, Place>,
    /// The key whose value comes next.
    key: Option<Key>,
    /// Whether the scalar that comes next is the merge key.
    merge: bool,
    /// What `<<` names, to be brought in at the end.
    merged: Vec<Rc<Node>>,
}

enum Key {
    Named(Rc<Node>),
    Merge,
    /// A key with a fault: its value is dropped.
    Dropped,
}

impl Pairs {
    /// Whether a key comes next.
    pub(super) const fn expects_key(&self) -> bool {
        self.key.is_none()
    }

    /// Says whether the key that comes next is `<<`.
    pub(super) const fn merges_next(&mut self, merge: bool) {
        self.merge = merge;
    }

    /// Takes the next key or value.
    pub(super) fn put(&mut self, node: Rc<Node>, faults: &mut Vec<Fault>) {
        match self.key.take() {
            None => self.key = Some(self.named(node, faults)),
            Some(Key::Named(key)) => self.entries.push((key, node)),
            Some(Key::Merge) => self.merged.push(node),
            Some(Key::Dropped) => {}
        }
    }

    fn named(&mut self, node: Rc<Node>, faults: &mut Vec<Fault>) -> Key {
        let merge = std::mem::take(&mut self.merge);
        let Kind::Scalar(name) = &node.kind else {
            if !matches!(node.kind, Kind::Broken) {
                faults.push(
                    Fault::new(node.place, "a key is a word, not a list or a mapping")
                        .help("write `key: value`; what stands in braces is a value"),
                );
            }
            return Key::Dropped;
        };
        // Where nothing stands, the key is read as a null.
        if name.is_empty() || node.place.start == node.place.end {
            faults.push(
                Fault::new(node.place, "the key is missing before the colon")
                    .help("write a word there, or quote a text that begins with a colon"),
            );
            return Key::Dropped;
        }
        if let Some(&first) = self.seen.get(name) {
            faults.push(
                Fault::new(node.place, format!("the key `{name}` stands here twice"))
                    .also(first, "first here")
                    .help("keep one of the two; what is to be both stands in a list"),
            );
            return Key::Dropped;
        }
        self.seen.insert(name.clone(), node.place);
        if merge { Key::Merge } else { Key::Named(node) }
    }

    /// The entries, with those `<<` brings in after them; a key of the mapping's own wins.
    pub(super) fn finish(mut self, faults: &mut Vec<Fault>) -> Vec<Entry> {
        for merged in std::mem::take(&mut self.merged) {
            match &merged.kind {
                Kind::Sequence(list) => {
                    for node in list {
                        self.bring_in(node, faults);
                    }
                }
                _ => self.bring_in(&merged, faults),
            }
        }
        self.entries
    }

    fn bring_in(&mut self, node: &Node, faults: &mut Vec<Fault>) {
        match &node.kind {
            Kind::Mapping(entries) => {
                for (key, value) in entries {
                    if !self.seen.contains_key(key.text()) {
                        self.seen.insert(key.text().to_owned(), key.place);
                        self.entries.push((Rc::clone(key), Rc::clone(value)));
                    }
                }
            }
            Kind::Broken => {}
            _ => faults.push(
                Fault::new(
                    node.place,
                    "`<<` brings in a mapping or a list of mappings, and this is neither",
                )
                .help("write `<<: *name` with the anchor of a mapping"),
            ),
        }
    }
}
