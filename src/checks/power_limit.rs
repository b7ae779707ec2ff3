#![doc = include_str!("power_limit.md")]

use super::lawful::{Once, Told, told};
use super::{Check, Situation};
use crate::finding::{Change, Finding, Remedy};
use crate::law::{Against, Force};
use crate::quantity::{Level, Power};
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "power-limit",
        title: "More power than the licence allows",
        text: include_str!("power_limit.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let powers = |against: &Against| matches!(against, Against::Power { .. });
    for told in told(situation, Once::Station, powers) {
        let Against::Power {
            most,
            measure,
            is,
            excess,
        } = told.breach.against
        else {
            continue;
        };
        let kind = measure.phrase();
        let says = if told.breach.force == Force::Note {
            format!(
                "{} on {} sends {is} {kind}, above the {most} from which more is asked",
                told.who(),
                told.asked.carrier
            )
        } else {
            format!(
                "{} on {} sends {is} {kind}, and {most} is the most",
                told.who(),
                told.asked.carrier
            )
        };
        let output = told.asked.output.level();
        let arithmetic = format!(
            "{} at the socket, antenna less feeder {}: {is} {kind}, {excess} above {most}",
            told.asked.output, told.asked.gain
        );
        let mut finding = told.finding(&CHECK.topic, says, arithmetic);
        finding.level = Some(is.level());
        finding.threshold = Some(most.level());
        if !told.transmitter.power.is_stated() {
            finding.assumed.push(format!(
                "power of {}: {}",
                told.station.name, told.transmitter.power.origin
            ));
        }
        if told.breach.force > Force::Note {
            finding.remedies.insert(0, lower(&told, output - excess));
        }
        found.push(finding);
    }
}

/// The most lawful power at the socket, and the radio's own step that keeps to it.
fn lower(told: &Told<'_>, most: Level) -> Remedy {
    let lawful = Power::of_level(most);
    let step = told
        .transmitter
        .figures
        .steps
        .iter()
        .filter(|step| step.power.level() <= most + crate::quantity::Decibels::db(0.01))
        .max_by_key(|step| step.power.value);
    let text = match step {
        Some(step) => format!(
            "at most {lawful} at the socket: the radio's step `{}` ({})",
            step.name, *step.power
        ),
        None => format!("at most {lawful} at the socket; none of the radio's steps is so low"),
    };
    Remedy {
        text,
        change: Some(Change::LowerPower {
            station: told.station.name.clone(),
            to: step.map_or(most, |step| step.power.level()),
        }),
    }
}
