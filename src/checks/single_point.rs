#![doc = include_str!("single_point.md")]

use super::{Check, Situation};
use crate::finding::{Finding, Matter, Severity};
use crate::net::single_points;
use crate::scenario::Legs;
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "single-point",
        title: "A relay that everything hangs on",
        text: include_str!("single_point.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let network = &situation.view().network;
    for (radio, lost) in single_points(network) {
        let legs = network
            .hearers
            .iter()
            .filter(|hearer| hearer.radio == radio)
            .fold(Legs::NONE, |legs, hearer| legs.and(hearer.legs));
        if situation.as_a_whole(legs) != situation.focus {
            continue;
        }
        let what = if network.needs.is_empty() {
            "ways between our operators"
        } else {
            "ways that are needed"
        };
        let says = format!(
            "if {} fails, {} {what} are lost",
            network.radio_name(radio),
            lost.len()
        );
        let mut finding = Finding::new(
            CHECK.topic.id,
            Severity::Note,
            Matter::Net,
            situation.focus,
            says,
        );
        finding.when = situation.when([radio]);
        finding.arithmetic = lost
            .iter()
            .take(6)
            .map(|&(from, to)| format!("{} → {}", network.radio_name(from), network.radio_name(to)))
            .collect::<Vec<_>>()
            .join(", ");
        if lost.len() > 6 {
            finding.arithmetic.push_str(", …");
        }
        "there is no second way".clone_into(&mut finding.why);
        "graph of who hears whom with the relay taken out (computed)"
            .clone_into(&mut finding.citation);
        found.push(
            finding
                .remedy("agree on a simplex channel to fall back to, and put it on every card")
                .remedy("keep a second radio and battery at the site"),
        );
    }
}
