#![doc = include_str!("unreachable.md")]

use super::{Check, Situation};
use crate::finding::{Finding, Matter, Severity};
use crate::net::{Arrives, RadioId, Unmet, unmet_needs, way};
use crate::scenario::{Target, Use};
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "unreachable",
        title: "Somebody who is needed cannot be reached",
        text: include_str!("unreachable.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    // Listening somewhere else joins nobody and parts nobody.
    let is_about_reach = !situation
        .trial
        .is_some_and(|trial| matches!(trial.what, Use::Watch { .. }));
    if is_about_reach && situation.focus == situation.all_legs() {
        let unmet = unmet_needs(&situation.view().network);
        found.extend(unmet.iter().map(|unmet| {
            awaited(situation, unmet).map_or_else(
                || tell(situation, unmet),
                |relay| tell_awaited(situation, unmet, relay),
            )
        }));
    }
}

/// The relay of ours that one of the two works through and that has no frequencies yet: they are put to the plan, or looked
/// for, and whether the need is met is told with them.
fn awaited<'a>(situation: &Situation<'a>, unmet: &Unmet) -> Option<&'a str> {
    let network = &situation.view().network;
    let plan = situation.plan;
    let ends = [unmet.need.who, unmet.need.whom];
    let stations = ends.into_iter().filter_map(|end| plan.stations.get(end.0));
    let mut relays = stations
        .flat_map(|station| &station.uses)
        .filter_map(|one| match one.what {
            Use::Via {
                target: Target::Relay { station, .. },
            } => Some(station),
            _ => None,
        });
    let relay = relays.find(|&relay| !network.is_relay(RadioId(relay)))?;
    plan.stations.get(relay).map(|relay| relay.name.as_str())
}

fn tell_awaited(situation: &Situation<'_>, unmet: &Unmet, relay: &str) -> Finding {
    let network = &situation.view().network;
    let says = format!(
        "{} needs {} by way of {relay}, which has no frequencies in the plan as it stands",
        network.radio_name(unmet.need.who),
        network.radio_name(unmet.need.whom),
    );
    let mut finding = Finding::new(
        CHECK.topic.id,
        Severity::Note,
        Matter::Net,
        situation.focus,
        says,
    );
    finding.when = situation.when_within(unmet.windows.as_deref());
    format!("whether the need is met is told with each pair that is put to {relay}")
        .clone_into(&mut finding.why);
    finding
}

fn tell(situation: &Situation<'_>, unmet: &Unmet) -> Finding {
    let network = &situation.view().network;
    let (who, whom) = (
        network.radio_name(unmet.need.who),
        network.radio_name(unmet.need.whom),
    );
    let severity = if unmet.there.min(unmet.back) == Arrives::No {
        Severity::Conflict
    } else {
        Severity::Caution
    };
    let says = match (unmet.there, unmet.back) {
        _ if !situation.ever_together([unmet.need.who, unmet.need.whom]) => {
            format!("{who} needs {whom}, but they are never on the air at the same time")
        }
        (Arrives::No, Arrives::No) => format!("{who} and {whom} have no way to each other"),
        (Arrives::No, _) => format!("{who} hears {whom}, but has no way to answer"),
        (_, Arrives::No) => format!("{whom} hears {who}, but has no way to answer"),
        _ => format!("{who} and {whom} hear each other only while the paths are kind"),
    };
    let mut finding = Finding::new(CHECK.topic.id, severity, Matter::Net, situation.focus, says);
    finding.when = situation.when_within(unmet.windows.as_deref());
    let ways = [
        (unmet.need.who, unmet.need.whom),
        (unmet.need.whom, unmet.need.who),
    ];
    let weakest = ways
        .iter()
        .filter_map(|&(from, to)| way(network, from, to))
        .min_by_key(|way| way.margin);
    if let Some(weakest) = weakest {
        finding.margin = Some(weakest.margin);
        finding.arithmetic = format!(
            "{}: {} at its weakest step",
            weakest.told(network),
            weakest.margin
        );
    }
    "no chain of transmitters, receivers and relays joins them with a margin to rely on"
        .clone_into(&mut finding.why);
    "levels by the path that loses most, against the receivers' sensitivity"
        .clone_into(&mut finding.citation);
    finding.remedy(
        "check tones and channels of both, then more power or height, then a relay between them",
    )
}
