#![doc = include_str!("duty.md")]

use std::time::Duration;

use super::named::percent;
use super::{Check, Situation};
use crate::finding::{Finding, Matter, Severity};
use crate::net::{KeyedReport, RadioId, power_step, share_of_percent, stood_duty, told};
use crate::scenario::{Legs, Station};
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "duty",
        title: "How much of the time a radio transmits",
        text: include_str!("duty.md"),
    },
    run,
};

/// A phase shorter than this is left to the busiest half hour.
///
/// # Source
/// Our choice.
const SHORTEST: Duration = Duration::from_mins(30);

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let view = situation.view();
    for (index, station) in situation.plan.stations.iter().enumerate() {
        let radio = RadioId(index);
        let is_relay = view.network.is_relay(radio);
        if situation.as_a_whole(legs_of(situation, radio)) != situation.focus || !is_relay {
            continue;
        }
        if let Some(report) = view.load(situation.plan).radios.get(&radio) {
            found.push(tell(situation, radio, station, report));
        }
    }
}

/// Legs under trial that a radio's transmitters rest on.
pub(super) fn legs_of(situation: &Situation<'_>, radio: RadioId) -> Legs {
    let senders = situation.view().network.senders.iter();
    senders
        .filter(|sender| sender.radio == radio)
        .fold(Legs::NONE, |legs, sender| legs.and(sender.legs))
}

fn tell(
    situation: &Situation<'_>,
    radio: RadioId,
    station: &Station,
    report: &KeyedReport,
) -> Finding {
    let duties = &station.radio.supply.duty;
    let step = power_step(station);
    let stands = stood_duty(station);
    let busiest = report.busiest_30_minutes.mean;
    let phases = in_phases(situation, radio);
    let steady = phases.iter().map(|(_, share)| *share);
    let steady = steady.fold(report.duty.mean, f64::max);
    // What rests on traffic that nobody stated is no more than a caution.
    let is_stated = situation.view().conduct.is_traffic_stated(situation.plan);
    let severity = match stands {
        Some(stands) if steady > stands && is_stated => Severity::Conflict,
        Some(stands) if steady.max(busiest) > stands => Severity::Caution,
        _ => Severity::Note,
    };
    let name = &station.name;
    let mut says = format!(
        "{name} transmits {} of the event ({} to {} by chance), {} in its busiest half hour",
        percent(report.duty.mean),
        percent(report.duty.least),
        percent(report.duty.most),
        percent(busiest)
    );
    if !phases.is_empty() {
        let listed: Vec<String> = phases
            .iter()
            .map(|(name, share)| format!("{name} {}", percent(*share)))
            .collect();
        says.push_str(&format!(" ({})", listed.join(", ")));
    }
    if let (Some(stands), Some(step)) = (stands, &step) {
        let verb = if severity == Severity::Note {
            "stands"
        } else {
            "stands only"
        };
        says.push_str(&format!(
            "; at {step} power the radio {verb} {}",
            percent(stands)
        ));
    }
    let mut finding = Finding::new(CHECK.topic.id, severity, Matter::Net, situation.focus, says);
    finding.when = situation.when([radio]);
    finding.assumed = situation.view().conduct.assumed(situation.plan);
    finding.arithmetic = identifications(situation, report.duty.mean);
    "overs, hang times and tails keep a relay on the air much longer than any of its users; heat cuts its power back, or \
     stops it"
        .clone_into(&mut finding.why);
    "event run under load, ten times with different chance; what the radio stands is the profile's figure".clone_into(&mut finding.citation);
    if let Some((lower, share)) = duties
        .iter()
        .find(|(_, share)| share_of_percent(share.value) >= busiest.max(steady))
        && severity > Severity::Note
    {
        finding = finding.remedy(format!(
            "drop {name} to {lower} power, where it stands {}",
            percent(share_of_percent(share.value))
        ));
    }
    if severity > Severity::Note {
        finding.remedy("shade it and blow air over it, and keep overs short")
    } else {
        finding
    }
}

/// How often it must identify during the event, and how many of those times fall into traffic: as large a share as its
/// duty, since neither knows of the other.
fn identifications(situation: &Situation<'_>, duty: f64) -> String {
    let conduct = &situation.view().conduct;
    conduct
        .identifies
        .as_ref()
        .filter(|every| !every.value.is_zero())
        .map_or_else(String::new, |every| {
            let times = conduct.lasts.value.as_secs() / every.value.as_secs().max(1);
            format!(
                "to identify every {} is {times} times in {}, {} of them while somebody talks",
                told(every.value),
                told(conduct.lasts.value),
                percent(duty)
            )
        })
}

/// The share of each phase of the event that a radio transmits, where the phase lasts long enough to heat it.
fn in_phases(situation: &Situation<'_>, radio: RadioId) -> Vec<(String, f64)> {
    let load = situation.view().load(situation.plan);
    let long = load
        .phases
        .iter()
        .filter(|(phase, _)| phase.lasts() >= SHORTEST);
    long.filter_map(|(phase, radios)| Some((phase.what.clone(), radios.get(&radio)?.mean)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::net::View;
    use crate::provenance::Origin;
    use crate::scene::Scene;
    use crate::scene::sample::{CROWDED, plan};
    use std::sync::OnceLock;

    /// How bad it is that the relay transmits such shares, beyond what it stands, and whether less power is proposed; it is to be
    /// kept cool wherever that wants a look, and not where it does not.
    fn told(steady: f64, busiest: f64, is_stated: bool) -> (Severity, bool) {
        let mut plan = plan(CROWDED);
        let mut radio = (*plan.stations[0].radio).clone();
        let percent =
            |value: u64| crate::provenance::Sourced::new(value, Origin::Said("a test".into()));
        let step = power_step(&plan.stations[0]).unwrap();
        radio.supply.duty = vec![
            ("low".into(), percent(80)),
            (step.as_str().into(), percent(50)),
        ];
        plan.stations[0].radio = radio.into();
        let scene = Scene::build(&plan, None);
        let mut view = View::of(&scene, None);
        if is_stated {
            for traffic in view.conduct.traffic.values_mut() {
                traffic.overs_per_hour.origin = Origin::Said("a test".into());
            }
        }
        let mut load = view.load(&plan).clone();
        load.phases.clear();
        let report = load.radios.get_mut(&RadioId(0)).unwrap();
        report.duty.mean = 0.5 + steady;
        report.busiest_30_minutes.mean = 0.5 + busiest;
        let report = *report;
        let mut situation = Situation::new(&scene, None, Legs::NONE);
        situation.net = OnceLock::from(view.having_run(load));
        let finding = tell(&situation, RadioId(0), &plan.stations[0], &report);
        let is_lower = finding
            .remedies
            .iter()
            .any(|one| one.text.contains("to low power"));
        let is_cooled = finding
            .remedies
            .iter()
            .any(|one| one.text.starts_with("shade it"));
        assert_eq!(is_cooled, finding.severity > Severity::Note);
        (finding.severity, is_lower)
    }

    #[test]
    fn what_a_radio_stands_it_stands_and_what_nobody_stated_is_no_conflict() {
        for is_stated in [false, true] {
            assert_eq!(told(0.0, 0.0, is_stated), (Severity::Note, false));
            assert_eq!(told(-0.1, 0.0, is_stated), (Severity::Note, false));
            assert_eq!(told(-0.1, 0.1, is_stated), (Severity::Caution, true));
        }
        assert_eq!(told(0.1, 0.0, false), (Severity::Caution, true));
        assert_eq!(told(0.1, 0.2, true), (Severity::Conflict, true));
        // Low power stands 80 %, no more.
        assert_eq!(told(0.3, 0.0, true), (Severity::Conflict, true));
        assert_eq!(told(0.0, 0.31, true), (Severity::Caution, false));
        assert_eq!(told(0.31, 0.0, true), (Severity::Conflict, false));
    }
}
