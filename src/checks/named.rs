//! Senders and hearers of the network as findings name them: their places are those of the scene.

use super::Situation;
use crate::finding::{Term, Victim};
use crate::net::{HearerId, RadioId, SenderId};

/// So many are called by name.
const NAMED: usize = 6;

impl Situation<'_> {
    /// A hearer as one who suffers.
    pub(super) fn victim(&self, id: HearerId) -> Option<Victim> {
        self.scene.receivers.get(id.0).map(|receiver| Victim {
            station: receiver.station.clone(),
            receiver: receiver.part.clone(),
            frequency: receiver.frequency,
        })
    }

    /// A sender as a source.
    pub(super) fn term(&self, id: SenderId) -> Option<Term> {
        self.scene.transmitters.get(id.0).map(|transmitter| Term {
            name: transmitter.name.clone(),
            frequency: transmitter.frequency,
            coefficient: 1,
        })
    }

    /// What some radios are called, in a list.
    pub(super) fn names<'a>(&'a self, radios: impl IntoIterator<Item = &'a RadioId>) -> String {
        let network = &self.view().network;
        let names: Vec<&str> = radios
            .into_iter()
            .map(|radio| network.radio_name(*radio))
            .collect();
        let shown: Vec<&str> = names.iter().copied().take(NAMED).collect();
        match (names.len().saturating_sub(NAMED), shown.split_last()) {
            (_, None) => String::new(),
            (0, Some((only, []))) => (*only).to_owned(),
            (0, Some((last, rest))) => format!("{} and {last}", rest.join(", ")),
            (more, _) => format!("{} and {more} more", shown.join(", ")),
        }
    }
}

/// A share from 0 to 1 as a planner writes it.
pub(super) fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}
