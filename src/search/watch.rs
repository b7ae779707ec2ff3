//! A search that is looked at while it runs, and that can be told to stop.
//!
//! The library reads no clock and writes nothing: whoever started the search looks at its watch from another thread.

use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};

/// What a search is doing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Doing {
    /// It has not begun.
    #[default]
    Nothing,
    /// It judges channels, each by itself.
    Channels,
    /// It judges pairs, the most promising first; it ends as soon as the order stands.
    Pairs,
    /// It asks the last checks of those that would be shown.
    Last,
    /// It looks at what was asked beside the order.
    Beside,
    /// It looks into partial plans.
    Plans,
}

/// How far a search has come.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Come {
    /// Whose search it is, as the scenario calls it.
    pub search: String,
    /// What it is doing.
    pub doing: Doing,
    /// How many of them are done.
    pub done: usize,
    /// How many there are at most; none where nobody knows.
    pub of: Option<usize>,
}

/// Where a search says how far it has come, and is told to stop.
#[derive(Debug, Default)]
pub struct Watch {
    is_stopped: AtomicBool,
    come: Mutex<Come>,
}

impl Watch {
    /// Tells the search to stop with the best it has.
    pub fn stop(&self) {
        self.is_stopped.store(true, Ordering::Relaxed);
    }

    /// Whether the search was told to stop.
    pub fn is_stopped(&self) -> bool {
        self.is_stopped.load(Ordering::Relaxed)
    }

    /// How far the search has come.
    pub fn come(&self) -> Come {
        self.come
            .lock()
            .map(|come| come.clone())
            .unwrap_or_default()
    }

    /// Says whose search begins.
    pub(super) fn search(&self, name: &str) {
        self.change(|come| name.clone_into(&mut come.search));
    }

    /// Says what begins, and how many of them there are at most.
    pub(super) fn begin(&self, doing: Doing, of: Option<usize>) {
        self.change(|come| {
            come.doing = doing;
            come.done = 0;
            come.of = of;
        });
    }

    /// Says that so many more are done.
    pub(super) fn did(&self, more: usize) {
        self.change(|come| come.done += more);
    }

    // A search goes on where nobody can be told how far it is.
    fn change(&self, change: impl FnOnce(&mut Come)) {
        if let Ok(mut come) = self.come.lock() {
            change(&mut come);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_watch_shows_whose_search_it_is_what_it_does_and_how_much_is_done() {
        let watch = Watch::default();
        assert_eq!(watch.come(), Come::default());
        watch.search("pair");
        watch.begin(Doing::Channels, Some(12));
        watch.did(5);
        watch.did(2);
        let come = |doing, done, of| Come {
            search: "pair".to_owned(),
            doing,
            done,
            of,
        };
        assert_eq!(watch.come(), come(Doing::Channels, 7, Some(12)));
        // What begins anew begins at nothing.
        watch.begin(Doing::Pairs, None);
        assert_eq!(watch.come(), come(Doing::Pairs, 0, None));
        watch.did(1);
        assert_eq!(watch.come(), come(Doing::Pairs, 1, None));
    }
}
