//! Who is heard by whom, and who passes it on.

use std::collections::BTreeMap;

use crate::net::{Network, RadioId, Tone};
use crate::quantity::{Decibels, Frequency};

/// The repeat graph, radio by radio.
#[derive(Debug, Clone, PartialEq)]
pub struct Graph {
    /// Those who talk, those who pass on, those who only listen.
    pub knots: Vec<Knot>,
    /// Who opens whom.
    pub edges: Vec<Edge>,
}

/// One radio.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Knot {
    /// Its name.
    pub name: String,
    /// Whether it is ours.
    pub is_ours: bool,
    /// What it does.
    pub part: Part,
}

/// What a radio does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// An operator talks.
    Talks,
    /// What it hears it passes on.
    PassesOn,
    /// It only listens.
    Listens,
}

/// One radio opens another.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Edge {
    /// Index of who sends.
    pub from: usize,
    /// Index of who is opened.
    pub to: usize,
    /// On which frequency.
    pub at: Frequency,
    /// With which tone.
    pub tone: Option<Tone>,
    /// What it has in hand when the paths are not kind.
    pub sure: Decibels,
    /// Whether the two belong to one net, rather than that one merely opens the other.
    pub is_meant: bool,
}

/// The graph of a network: those who take part in it with something of ours.
pub(super) fn graph(network: &Network) -> Graph {
    let is_ours = |radio: RadioId| network.radio(radio).is_some_and(|one| one.is_ours);
    let mut found: Vec<(RadioId, RadioId, Edge)> = Vec::new();
    for (id, sender) in network.all_senders() {
        for (hearer_id, heard) in network.opened_by(id) {
            let Some(hearer) = network.hearer(hearer_id) else {
                continue;
            };
            if !is_ours(sender.radio) && !is_ours(hearer.radio) {
                continue;
            }
            let edge = Edge {
                from: 0,
                to: 0,
                at: sender.frequency,
                tone: sender.tone,
                sure: heard.sure,
                is_meant: sender.net == hearer.net,
            };
            found.push((sender.radio, hearer.radio, edge));
        }
    }
    let mut radios: Vec<RadioId> = found
        .iter()
        .flat_map(|(from, to, _)| [*from, *to])
        .collect();
    radios.extend(network.radio_ids().filter(|id| {
        let has_part = network.all_senders().any(|(_, one)| one.radio == *id)
            || network.all_hearers().any(|(_, one)| one.radio == *id);
        is_ours(*id) && has_part
    }));
    radios.sort_unstable();
    radios.dedup();
    let places: BTreeMap<RadioId, usize> = radios
        .iter()
        .enumerate()
        .map(|(index, id)| (*id, index))
        .collect();
    Graph {
        knots: radios.iter().map(|id| knot(network, *id)).collect(),
        edges: found
            .into_iter()
            .filter_map(|(from, to, edge)| {
                Some(Edge {
                    from: *places.get(&from)?,
                    to: *places.get(&to)?,
                    ..edge
                })
            })
            .collect(),
    }
}

fn knot(network: &Network, id: RadioId) -> Knot {
    let talks = network.talkers().any(|(_, one)| one.radio == id);
    Knot {
        name: network.radio_name(id).to_owned(),
        is_ours: network.radio(id).is_some_and(|one| one.is_ours),
        part: if network.is_relay(id) {
            Part::PassesOn
        } else if talks {
            Part::Talks
        } else {
            Part::Listens
        },
    }
}
