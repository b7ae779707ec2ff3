#![doc = include_str!("identification.md")]

use std::collections::BTreeMap;
use std::time::Duration;

use super::lawful::{Once, Told, in_words, of_breach, relays, told};
use super::{Check, Situation};
use crate::finding::{Finding, Severity};
use crate::law::{Against, Breach, Force, Purpose, Transmission};
use crate::quantity::Frequency;
use crate::scenario::{Identification, Station, Use};
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
    of_the_others(situation, found);
}

/// A relay repeats its users' call signs and has none of its own to send, so that its plan must say how it identifies.
fn of_the_relays(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    for (station, legs) in relays(situation) {
        let strictest = legs
            .iter()
            .filter_map(|&leg| {
                let asked = Transmission::new(leg, station.emission.value, Purpose::CrossBandRelay);
                situation.plan.law.identification(&asked)
            })
            .filter_map(|breach| Some((minutes(&breach)?, breach)))
            .min_by_key(|(minutes, _)| *minutes);
        let Some((minutes, breach)) = strictest else {
            continue;
        };
        let [first, second] = legs;
        if station.operation.identification.is_some() {
            let place = format!("on {first} and on {second}");
            found.extend(stated(situation, station, &place, minutes, &breach));
            continue;
        }
        let says = format!(
            "{} must identify itself on {first} and on {second} at least every {minutes} minutes, and the plan does not say how",
            station.name
        );
        let mut finding = of_breach(&breach, &CHECK.topic, says, String::new());
        finding.legs = situation.focus;
        // What nobody stated may still be done.
        finding.severity = finding.severity.min(Severity::Caution);
        finding.assumed.push(
            "a cross-band mobile has no identifier of its own; its users' call signs identify the users (common practice)"
                .to_owned(),
        );
        finding.remedies.push(in_words(format!(
            "let the operator at the relay give its call sign on both bands every {minutes} minutes, or fit a voice \
             identifier, and state it (`identification: {{every: {minutes} min, by: voice}}`)"
        )));
        found.push(finding);
    }
}

/// Every other station: what it states is judged, and of those that state nothing the rule is told once for the plan.
fn of_the_others(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let identify = |against: &Against| matches!(against, Against::Identify { .. });
    let mut strictest: BTreeMap<String, (u32, Told<'_>)> = BTreeMap::new();
    for told in told(situation, Once::Station, identify) {
        let Some(minutes) = minutes(&told.breach).filter(|_| !is_relay(situation, told.station))
        else {
            continue;
        };
        let name = told.station.name.clone();
        if strictest
            .get(&name)
            .is_none_or(|(known, _)| minutes < *known)
        {
            strictest.insert(name, (minutes, told));
        }
    }
    let mut silent: Vec<String> = Vec::new();
    // The strictest of them, and of several alike the one of the lowest channel: what stations are called decides nothing.
    let mut rule: Option<((u32, Frequency), Finding)> = None;
    for (name, (minutes, told)) in strictest {
        if told.station.operation.identification.is_some() {
            let place = format!("on {}", told.asked.carrier);
            if let Some(breach) = situation.plan.law.identification(&told.asked) {
                found.extend(stated(situation, told.station, &place, minutes, &breach));
            }
            continue;
        }
        if !situation.focus.is_none() {
            continue;
        }
        silent.push(name);
        let says = format!(": call signs at least every {minutes} minutes");
        let rank = (minutes, told.asked.carrier);
        if rule.as_ref().is_none_or(|(known, _)| rank < *known) {
            rule = Some((rank, told.finding(&CHECK.topic, says, String::new())));
        }
    }
    if let Some((_, mut finding)) = rule {
        let who = match silent.as_slice() {
            [one] => one.clone(),
            [one, other] => format!("{one} and {other}"),
            many => format!("{} stations", many.len()),
        };
        finding.says.insert_str(0, &who);
        // Operators give their call signs by habit: that the plan does not say so is no more than a reminder.
        finding.severity = Severity::Note;
        finding.assumed.push(
            "operators at their sets give their call signs in time, though the plan does not say so (common practice)"
                .to_owned(),
        );
        found.push(finding);
    }
}

/// Whether a station repeats, in the plan or in what is under trial.
fn is_relay(situation: &Situation<'_>, station: &Station) -> bool {
    let is_pair = |what: &Use| matches!(what, Use::CrossBand { .. });
    let under_trial = situation.trial.filter(|trial| is_pair(&trial.what));
    let tried = under_trial.and_then(|trial| situation.plan.stations.get(trial.station));
    tried.is_some_and(|tried| tried.name == station.name)
        || station.uses.iter().any(|one| is_pair(&one.what))
}

/// What the rule has against a station that states how it identifies.
fn stated(
    situation: &Situation<'_>,
    station: &Station,
    place: &str,
    minutes: u32,
    breach: &Breach<'_>,
) -> Option<Finding> {
    let wanted = Duration::from_mins(u64::from(minutes));
    let (says, arithmetic) = match station.operation.identification.as_ref()?.value {
        Identification::Never => (
            format!(
                "{} gives no call sign {place}, and it is wanted at least every {minutes} minutes",
                station.name
            ),
            String::new(),
        ),
        Identification::Every { interval, by } if interval > wanted => {
            let is = minutes_of(interval);
            (
                format!(
                    "{} gives its call sign {} {place} every {is} minutes, and it is wanted at least every {minutes} minutes",
                    station.name,
                    by.phrase()
                ),
                format!("{is} min > {minutes} min"),
            )
        }
        Identification::Every { .. } => return None,
    };
    let mut finding = of_breach(breach, &CHECK.topic, says, arithmetic);
    finding.legs = situation.focus;
    // Such a rule is told as a note where nothing is known; what is known to fall short of it needs a look at least.
    if breach.lifted_by.is_none() && breach.force == Force::Note {
        finding.severity = Severity::Caution;
    }
    finding.remedies.insert(
        0,
        in_words(format!(
            "give the call sign every {minutes} minutes or sooner"
        )),
    );
    Some(finding)
}

fn minutes(breach: &Breach<'_>) -> Option<u32> {
    match breach.against {
        Against::Identify { minutes } => Some(minutes),
        _ => None,
    }
}

/// Minutes as a planner writes them: `20`, `12.5`.
fn minutes_of(interval: Duration) -> String {
    let tenths = interval.as_millis().div_ceil(6_000);
    match tenths % 10 {
        0 => (tenths / 10).to_string(),
        tenth => format!("{}.{tenth}", tenths / 10),
    }
}
