//! What is found out while a tree is read: its faults, and the keys that turned out to be missing.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

use super::bounds::MOST_FAULTS;
use super::fault::Fault;
use super::tree::Node;

/// What is found out while a tree is read.
pub(super) struct Desk {
    faults: RefCell<Vec<Fault>>,
    /// Keys known to be missing, by the mapping that lacks them.
    missing: RefCell<BTreeMap<usize, BTreeSet<&'static str>>>,
}

impl Desk {
    /// A desk that has these faults on it.
    pub(super) fn with(faults: Vec<Fault>) -> Self {
        Self {
            faults: RefCell::new(faults),
            missing: RefCell::default(),
        }
    }

    /// Keeps a fault.
    pub(super) fn tell(&self, fault: Fault) {
        let mut faults = self.faults.borrow_mut();
        if faults.len() < MOST_FAULTS {
            faults.push(fault);
        }
    }

    /// How many faults there are.
    pub(super) fn told(&self) -> usize {
        self.faults.borrow().len()
    }

    /// Whether so much is wrong that reading on tells nobody anything.
    pub(super) fn is_full(&self) -> bool {
        self.told() >= MOST_FAULTS
    }

    /// Forgets the faults after the first `kept`, because what they are about is read once more.
    pub(super) fn forget(&self, kept: usize) {
        self.faults.borrow_mut().truncate(kept);
    }

    /// The faults.
    pub(super) fn into_faults(self) -> Vec<Fault> {
        self.faults.into_inner()
    }

    /// Remembers a key that a mapping lacks.
    pub(super) fn lacks(&self, mapping: &Node, name: &'static str) {
        let mut missing = self.missing.borrow_mut();
        missing.entry(mapping.id).or_default().insert(name);
    }

    /// The keys a mapping is known to lack.
    pub(super) fn lacking(&self, mapping: &Node) -> Vec<&'static str> {
        let missing = self.missing.borrow();
        missing
            .get(&mapping.id)
            .map(|names| names.iter().copied().collect())
            .unwrap_or_default()
    }
}
