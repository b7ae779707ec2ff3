#![doc = include_str!("hidden_user.md")]

use std::collections::{BTreeMap, BTreeSet};

use super::{Check, Situation};
use crate::finding::{Finding, Matter, Severity};
use crate::net::{RadioId, hidden_users};
use crate::scenario::Legs;
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "hidden-user",
        title: "Users of one relay who do not hear each other",
        text: include_str!("hidden_user.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let network = &situation.view().network;
    let mut by_relay: BTreeMap<RadioId, BTreeSet<(RadioId, RadioId)>> = BTreeMap::new();
    for (one, other, relay) in hidden_users(network) {
        // Those who come and go in different phases never collide.
        if !situation.ever_together([one, other, relay]) {
            continue;
        }
        by_relay.entry(relay).or_default().insert((one, other));
    }
    for (relay, pairs) in by_relay {
        let legs = network
            .hearers
            .iter()
            .filter(|hearer| hearer.radio == relay)
            .fold(Legs::NONE, |legs, hearer| legs.and(hearer.legs));
        if situation.as_a_whole(legs) != situation.focus {
            continue;
        }
        let users: BTreeSet<RadioId> = pairs
            .iter()
            .flat_map(|&(one, other)| [one, other])
            .collect();
        let says = format!(
            "{} use {} but cannot count on hearing each other: {} of them talk at once without knowing",
            situation.names(&users),
            network.radio_name(relay),
            if pairs.len() == 1 {
                "two".to_owned()
            } else {
                format!("any of {} pairs", pairs.len())
            }
        );
        let mut finding = Finding::new(
            CHECK.topic.id,
            Severity::Caution,
            Matter::Net,
            situation.focus,
            says,
        );
        finding.when = situation.when_any(pairs.iter().map(|&(one, other)| [one, other, relay]));
        "the relay does not send back on the side it hears them on, and on the cautious path they are out of each other's earshot"
            .clone_into(&mut finding.why);
        "levels by the path that loses most, against the receivers' sensitivity"
            .clone_into(&mut finding.citation);
        found.push(
            finding
                .remedy(
                    "let net control call the stations in turn, and have them wait for their call",
                )
                .remedy("a duplex repeater, which sends everything back, hides nobody"),
        );
    }
}
