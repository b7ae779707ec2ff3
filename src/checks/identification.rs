#![doc = include_str!("identification.md")]

use super::lawful::{Once, in_words, of_breach, relays, told};
use super::{Check, Situation};
use crate::finding::{Finding, Severity};
use crate::law::{Against, Control, Purpose, Transmission};
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "identification",
        title: "Call signs in time",
        text: include_str!("identification.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    of_the_relays(situation, found);
    if situation.focus.is_none() {
        of_everybody(situation, found);
    }
}

/// Once for the plan: how often each station gives its call sign.
fn of_everybody(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let identify = |against: &Against| matches!(against, Against::Identify { .. });
    for told in told(situation, Once::Rule, identify) {
        let Against::Identify { minutes } = told.breach.against else {
            continue;
        };
        let says = format!(
            "{}: call signs at least every {minutes} minutes",
            told.who()
        );
        found.push(told.finding(&CHECK.topic, says, String::new()));
    }
}

/// A relay repeats its users' call signs and has none of its own to send.
fn of_the_relays(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    for (station, legs) in relays(situation) {
        let strictest = legs
            .iter()
            .filter_map(|&leg| {
                let asked = Transmission::new(leg, station.emission.value, Purpose::CrossBandRelay);
                situation.plan.law.identification(&asked)
            })
            .filter_map(|breach| match breach.against {
                Against::Identify { minutes } => Some((minutes, breach)),
                _ => None,
            })
            .min_by_key(|(minutes, _)| *minutes);
        let Some((minutes, breach)) = strictest else {
            continue;
        };
        let [first, second] = legs;
        let says = format!(
            "{} must identify itself on {first} and on {second} at least every {minutes} minutes, and the plan does not say how",
            station.name
        );
        let mut finding = of_breach(&breach, &CHECK.topic, says, String::new());
        finding.legs = situation.focus;
        if station.control.value != Control::Attended && breach.lifted_by.is_none() {
            finding.severity = Severity::Caution;
        }
        finding.assumed.push(
            "a cross-band mobile has no identifier of its own; its users' call signs identify the users (common practice)"
                .to_owned(),
        );
        finding.remedies.push(in_words(format!(
            "let the operator at the relay give its call sign on both bands every {minutes} minutes, or fit a voice identifier"
        )));
        found.push(finding);
    }
}
