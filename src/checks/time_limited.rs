#![doc = include_str!("time_limited.md")]

use super::lawful::{Once, in_words, told};
use super::{Check, Situation};
use crate::finding::Finding;
use crate::law::Against;
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "time-limited",
        title: "A rule that holds for some days",
        text: include_str!("time_limited.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let days = |against: &Against| matches!(against, Against::Time { .. });
    for told in told(situation, Once::Channel, days) {
        let Against::Time {
            from,
            until,
            is_inside,
        } = told.breach.against
        else {
            continue;
        };
        let which = match (from, until) {
            (Some(from), Some(until)) => format!("from {from} to {until}"),
            (Some(from), None) => format!("from {from}"),
            (None, Some(until)) => format!("until {until}"),
            (None, None) => continue,
        };
        let carrier = told.asked.carrier;
        let says = if is_inside {
            format!(
                "{} on {carrier}: the event falls in the days of a rule that holds {which}",
                told.who()
            )
        } else {
            format!(
                "{} on {carrier}: a rule holds {which}, and the days of the event are not stated",
                told.who()
            )
        };
        let arithmetic = situation
            .plan
            .event
            .when
            .as_ref()
            .map_or_else(String::new, |(from, to)| format!("event {from} to {to}"));
        let mut finding = told.finding(&CHECK.topic, says, arithmetic);
        finding.remedies.push(in_words(if is_inside {
            "choose another day or another frequency"
        } else {
            "state the event's `from:` and `to:`"
        }));
        found.push(finding);
    }
}
