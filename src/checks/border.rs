#![doc = include_str!("border.md")]

use super::lawful::{Once, plain, told};
use super::{Check, Situation};
use crate::finding::{Finding, Matter, Severity};
use crate::law::{Against, Kind, Role};
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "border",
        title: "The other side of a border",
        text: include_str!("border.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    if situation.focus.is_none() {
        found.extend(nearby(situation));
    }
    let abroad = |against: &Against| matches!(against, Against::Abroad { .. });
    for told in told(situation, Once::Channel, abroad) {
        let Against::Abroad { nearest } = told.breach.against else {
            continue;
        };
        let says = format!(
            "{} on {}: across the border ({}) this is no amateur band",
            told.who(),
            told.asked.carrier,
            told.breach.pack.jurisdiction
        );
        let arithmetic = nearest.map_or_else(String::new, |span| {
            format!("the nearest band there is {span}")
        });
        let mut finding = told.finding(&CHECK.topic, says, arithmetic);
        let mut remedies = told.moves(situation);
        remedies.append(&mut finding.remedies);
        finding.remedies = remedies;
        found.push(finding);
    }
}

/// Once for the plan: whose rules are looked at beside those that bind.
fn nearby(situation: &Situation<'_>) -> Option<Finding> {
    let neighbours: Vec<&str> = situation
        .plan
        .law
        .layers()
        .iter()
        .filter(|layer| layer.role == Role::Neighbour && layer.pack.kind == Kind::Law)
        .map(|layer| layer.pack.title.as_str())
        .collect();
    if neighbours.is_empty() {
        return None;
    }
    let near = situation.plan.event.border.as_ref().map_or_else(
        || "a border is near".to_owned(),
        |border| format!("a border is within {}", *border.within),
    );
    let says = format!(
        "{near}: the packs of both sides are looked at, and those of the other side do not bind here ({})",
        neighbours.join("; ")
    );
    Some(Finding {
        why: "a licence ends at the border and a signal does not: what is custom there, who is protected there and where \
              amateurs have no band there counts as a caution at most"
            .to_owned(),
        ..plain(&CHECK.topic, Severity::Note, Matter::Law, says)
    })
}
