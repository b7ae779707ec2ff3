#![doc = include_str!("endurance.md")]

use super::duty::{legs_of, step_of};
use super::named::percent;
use super::{Check, Situation};
use crate::finding::{Finding, Matter, Severity};
use crate::net::{Battery, KeyedReport, RadioId, told};
use crate::provenance::Sourced;
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
    for (&radio, battery) in &view.conduct.batteries {
        let Some(station) = situation.plan.stations.get(radio.0) else {
            continue;
        };
        if situation.as_a_whole(legs_of(situation, radio)) != situation.focus {
            continue;
        }
        if let Some(report) = view.load(situation.plan).radios.get(&radio) {
            found.extend(tell(situation, station, radio, battery, report));
        }
    }
}

fn tell(
    situation: &Situation<'_>,
    station: &Station,
    radio: RadioId,
    battery: &Sourced<Battery>,
    report: &KeyedReport,
) -> Option<Finding> {
    let view = situation.view();
    let supply = &station.radio.supply;
    let step = step_of(station)?;
    let (_, transmit) = supply
        .transmit_current
        .iter()
        .find(|(name, _)| *name == step)?;
    // The share of the one of several radios that stands for the station.
    let shared = if view.network.is_relay(radio) {
        1.0
    } else {
        f64::from(station.count.max(1))
    };
    let duty = report.duty.most / shared;
    let found = battery.endurance(duty, transmit.value, supply.receive_current.value);
    let event = view.conduct.lasts.value;
    // What rests on traffic that nobody stated is a caution, unless listening alone empties the battery.
    let idle = battery.endurance(0.0, transmit.value, supply.receive_current.value);
    let is_stated = view.conduct.is_traffic_stated(situation.plan);
    let severity = if idle.lasts < event || (is_stated && found.lasts < event) {
        Severity::Conflict
    } else if found.lasts < event.mul_f64(RESERVE) {
        Severity::Caution
    } else {
        Severity::Note
    };
    let says = format!(
        "the battery of {} lasts {} at {} transmitting, and the event {}",
        station.name,
        hours(found.lasts),
        percent(duty),
        told(event)
    );
    let mut finding = Finding::new(CHECK.topic.id, severity, Matter::Net, situation.focus, says);
    finding.arithmetic = format!(
        "{} × {} mAh / ({} × {} mA + {} × {} mA) = {:.1} h",
        percent(battery.usable),
        battery.capacity_mah,
        percent(duty),
        transmit.value,
        percent(1.0 - duty),
        supply.receive_current.value,
        found.lasts.as_secs_f64() / 3_600.0
    );
    "a relay draws its transmit current for everybody's words".clone_into(&mut finding.why);
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
    Some(if severity == Severity::Note {
        finding
    } else {
        finding
            .remedy("a larger battery, or a second one to change to")
            .remedy("a lower power step")
    })
}

/// Hours and minutes, rounded down.
fn hours(duration: std::time::Duration) -> String {
    told(std::time::Duration::from_secs(duration.as_secs() / 60 * 60))
}
