#![doc = include_str!("endurance.md")]

use super::duty::legs_of;
use super::named::percent;
use super::{Check, Situation};
use crate::finding::{Finding, Matter, Severity};
use crate::net::{Drain, RadioId, told};
use crate::scenario::Station;
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "endurance",
        title: "A battery that does not last the event",
        text: include_str!("endurance.md"),
    },
    run,
};

/// A battery that lasts less than so much longer than the event is worth a look.
///
/// # Source
/// Our choice: a quarter for cold, age and a late finish.
const RESERVE: f64 = 1.25;

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let view = situation.view();
    for &radio in view.conduct.batteries.keys() {
        if situation.as_a_whole(legs_of(situation, radio)) != situation.focus {
            continue;
        }
        let station = situation.plan.stations.get(radio.0);
        let drain = view.drain(situation.plan, radio);
        found.extend(
            station
                .zip(drain)
                .map(|(station, drain)| tell(situation, station, radio, &drain)),
        );
    }
}

fn tell(situation: &Situation<'_>, station: &Station, radio: RadioId, drain: &Drain) -> Finding {
    let view = situation.view();
    let Drain {
        battery,
        duty,
        found,
        idle,
        needed,
        ..
    } = drain;
    let (duty, needed) = (*duty, *needed);
    // What rests on traffic that nobody stated is a caution, unless listening alone empties the battery.
    let is_stated = view.conduct.is_traffic_stated(situation.plan);
    let severity = if idle.lasts < needed || (is_stated && found.lasts < needed) {
        Severity::Conflict
    } else if found.lasts < needed.mul_f64(RESERVE) {
        Severity::Caution
    } else {
        Severity::Note
    };
    let says = format!(
        "the battery of {} lasts {} at {} transmitting, and {} {}",
        station.name,
        hours(found.lasts),
        percent(duty),
        if needed < view.conduct.lasts.value {
            "it is needed for"
        } else {
            "the event"
        },
        told(needed)
    );
    let mut finding = Finding::new(CHECK.topic.id, severity, Matter::Net, situation.focus, says);
    finding.arithmetic = format!(
        "{} × {} mAh / ({} × {} mA + {} × {} mA) = {:.1} h",
        percent(battery.usable),
        battery.capacity_mah,
        percent(duty),
        drain.transmit_ma,
        percent(1.0 - duty),
        drain.receive_ma,
        found.lasts.as_secs_f64() / 3_600.0
    );
    finding.why = if view.network.is_relay(radio) {
        "a relay draws its transmit current for everybody's words"
    } else {
        "its own words draw the transmit current, all others the receive current"
    }
    .to_owned();
    "the profile's currents; duty of the most talkative of ten runs"
        .clone_into(&mut finding.citation);
    finding.when = situation.when([radio]);
    finding.assumed = view.conduct.assumed(situation.plan);
    if !battery.is_stated() {
        finding.assumed.push(format!(
            "{} of the capacity can be used ({})",
            percent(battery.usable),
            battery.origin
        ));
    }
    if severity == Severity::Note {
        finding
    } else {
        finding
            .remedy("a larger battery, or a second one to change to")
            .remedy("a lower power step")
    }
}

/// Hours and minutes, rounded down.
fn hours(duration: std::time::Duration) -> String {
    told(std::time::Duration::from_secs(duration.as_secs() / 60 * 60))
}
