//! Which stations repeat, in the plan, in a proposal or in a search, and which of their legs is which.

use std::collections::{BTreeMap, BTreeSet};

use super::desk::{Desk, Stated};
use super::signal;
use crate::document::nearest;
use crate::quantity::Span;

/// A pair of legs that a station has, or would have.
#[derive(Debug, Clone)]
struct Relay {
    /// Who says so: `proposal A`.
    what: String,
    /// Where each leg is.
    legs: [Span; 2],
}

/// All of them by station index.
#[derive(Debug, Default)]
pub(super) struct Relays {
    pairs: BTreeMap<usize, Vec<Relay>>,
    /// Those whose pair cannot be read, which is told where it stands.
    unreadable: BTreeSet<usize>,
}

impl Relays {
    /// Adds a pair of legs.
    pub(super) fn add(&mut self, station: usize, what: String, legs: [Span; 2]) {
        self.pairs
            .entry(station)
            .or_default()
            .push(Relay { what, legs });
    }

    /// Notes a station whose pair cannot be read.
    pub(super) fn add_unreadable(&mut self, station: usize) {
        self.unreadable.insert(station);
    }

    /// Whether nothing can be said of what a station repeats.
    pub(super) fn is_unreadable(&self, station: usize) -> bool {
        self.unreadable.contains(&station)
    }

    /// Whether a station repeats at all.
    pub(super) fn has(&self, station: usize) -> bool {
        self.pairs.contains_key(&station)
    }

    /// Where a leg of a station is, in each place that says so.
    pub(super) fn spans(&self, station: usize, leg: usize) -> impl Iterator<Item = (String, Span)> {
        self.of(station).iter().filter_map(move |relay| {
            Some((
                format!("{} ({})", name(leg), relay.what),
                *relay.legs.get(leg)?,
            ))
        })
    }

    /// Which leg a word means: `first`, `second`, or the band it is in.
    pub(super) fn leg(
        &self,
        station: usize,
        word: &Stated<String>,
        desk: &mut Desk,
    ) -> Option<usize> {
        match word.value.as_str() {
            "first" => return Some(0),
            "second" => return Some(1),
            _ => {}
        }
        let Some(band) = signal::band(&word.value) else {
            let near = nearest(&word.value, &["first", "second"])
                .map_or_else(String::new, |near| format!("; did you mean `{near}`?"));
            desk.tell_with_help(
                word.spot,
                format!("`{}` is no leg{near}", word.value),
                "write a band such as 70cm, or `first` or `second`",
            );
            return None;
        };
        let touches = |leg: &Span| leg.low <= band.high && band.low <= leg.high;
        let mut found: Option<(usize, &str)> = None;
        for relay in self.of(station) {
            let Some(index) = relay.legs.iter().position(touches) else {
                desk.tell(
                    word.spot,
                    format!(
                        "neither leg of {} is in the band {}; name the band of a leg, `first` or `second`",
                        relay.what, word.value
                    ),
                );
                return None;
            };
            match found {
                Some((before, what)) if before != index => {
                    desk.tell_with_help(
                        word.spot,
                        format!(
                            "{what} writes its {} leg {}, {} {}",
                            word.value,
                            ordinal(before),
                            relay.what,
                            ordinal(index)
                        ),
                        "write the legs in the same order everywhere",
                    );
                    return None;
                }
                _ => found = Some((index, &relay.what)),
            }
        }
        found.map(|(index, _)| index)
    }

    fn of(&self, station: usize) -> &[Relay] {
        self.pairs.get(&station).map_or(&[], Vec::as_slice)
    }
}

const fn ordinal(leg: usize) -> &'static str {
    if leg == 0 { "first" } else { "second" }
}

fn name(leg: usize) -> String {
    format!("the {} leg", ordinal(leg))
}
