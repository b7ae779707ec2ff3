//! What a net manager reads first: who is on which channel, who reaches whom, and where it is weakest.

use std::collections::{BTreeMap, BTreeSet};

use super::{Network, RadioId, Tone, Way, single_points, ways_from};
use crate::quantity::{Decibels, Frequency};

/// One channel of the plan.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ChannelRow {
    /// Tones that are sent there by ours.
    pub tones: BTreeSet<Tone>,
    /// Our radios that send there.
    pub senders: BTreeSet<RadioId>,
    /// Our radios that listen there.
    pub hearers: BTreeSet<RadioId>,
    /// Those of them that relay.
    pub relays: BTreeSet<RadioId>,
}

/// The whole plan at a glance.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Review {
    /// The channels that ours use, lowest first.
    pub channels: BTreeMap<Frequency, ChannelRow>,
    /// Our operators, in the plan's order.
    pub operators: Vec<RadioId>,
    /// The way from one operator to another, where there is one.
    pub ways: BTreeMap<(RadioId, RadioId), Way>,
    /// The pair with the least margin among those who reach each other.
    pub weakest: Option<(RadioId, RadioId)>,
    /// The relays on which ways hang, with how many.
    pub single_points: Vec<(RadioId, usize)>,
}

impl Review {
    /// Looks over a network.
    pub fn of(network: &Network) -> Self {
        let operators: BTreeSet<RadioId> = network
            .talkers()
            .filter(|(id, _)| network.is_our_sender(*id))
            .map(|(_, sender)| sender.radio)
            .collect();
        let ways: BTreeMap<(RadioId, RadioId), Way> = operators
            .iter()
            .flat_map(|&from| {
                ways_from(network, from)
                    .into_iter()
                    .map(move |(to, way)| ((from, to), way))
            })
            .filter(|((_, to), _)| operators.contains(to))
            .collect();
        let weakest = ways
            .iter()
            .min_by_key(|(pair, way)| (way.margin, **pair))
            .map(|(pair, _)| *pair);
        Self {
            channels: channels(network),
            operators: operators.into_iter().collect(),
            weakest,
            ways,
            single_points: single_points(network)
                .into_iter()
                .map(|(id, lost)| (id, lost.len()))
                .collect(),
        }
    }

    /// The margin of the weakest way.
    pub fn least_margin(&self) -> Option<Decibels> {
        self.weakest
            .and_then(|pair| self.ways.get(&pair))
            .map(|way| way.margin)
    }
}

fn channels(network: &Network) -> BTreeMap<Frequency, ChannelRow> {
    let mut rows: BTreeMap<Frequency, ChannelRow> = BTreeMap::new();
    for (id, sender) in network
        .all_senders()
        .filter(|(id, _)| network.is_our_sender(*id))
    {
        let row = rows.entry(sender.frequency).or_default();
        row.tones.extend(sender.tone);
        row.senders.insert(sender.radio);
        if network.is_repeated(id) {
            row.relays.insert(sender.radio);
        }
    }
    for (id, hearer) in network
        .all_hearers()
        .filter(|(id, _)| network.is_our_hearer(*id))
    {
        let row = rows.entry(hearer.frequency).or_default();
        row.hearers.insert(hearer.radio);
        if network.is_relay_input(id) {
            row.relays.insert(hearer.radio);
        }
    }
    rows
}

#[cfg(test)]
mod tests {
    use super::super::model::small::{Sketch, U, V};
    use super::super::{HearerId, SenderId};
    use super::*;

    #[test]
    fn a_review_names_the_weakest_way_and_the_relay_it_hangs_on() {
        let mut sketch = Sketch::default();
        let marshal = sketch.talker("Marshal", U, Some(770));
        let control = sketch.talker("Control", V, Some(770));
        let hill = sketch.relay("Hill", [(U, Some(770)), (V, Some(770))], 0);
        let mut network = sketch.all_within_earshot(&[]);
        // From the marshal to the relay it is weakest.
        let weak = network.heard.get_mut((SenderId(0), HearerId(2))).unwrap();
        weak.sure = Decibels::db(1.5);
        let review = Review::of(&network);
        assert_eq!(review.operators, [marshal, control]);
        assert_eq!(review.weakest, Some((marshal, control)));
        assert_eq!(review.least_margin(), Some(Decibels::db(1.5)));
        assert_eq!(review.single_points, [(hill, 2)]);
        let row = &review.channels[&Frequency::hz(U)];
        assert_eq!(
            (row.senders.len(), row.hearers.len(), row.relays.len()),
            (2, 2, 1)
        );
    }
}
