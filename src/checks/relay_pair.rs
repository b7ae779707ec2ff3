#![doc = include_str!("relay_pair.md")]

use super::lawful::{of_breach, period, relays};
use super::{Check, Situation};
use crate::finding::{Finding, Term};
use crate::law::{Against, Force, Pair, Purpose};
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "relay-pair",
        title: "The two legs of a relay together",
        text: include_str!("relay_pair.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    for (station, legs) in relays(situation) {
        let pair = Pair {
            legs,
            purpose: Purpose::CrossBandRelay,
            control: station.control.value,
            period: period(situation.plan),
        };
        for breach in situation.plan.law.pair_ruling(&pair) {
            let Against::Pair { one, eased_by } = &breach.against else {
                continue;
            };
            let [first, second] = legs;
            let mut says = format!(
                "{} joins {first} and {second}: a leg in {one} with the other in another band",
                station.name
            );
            if breach.force == Force::Note
                && let Some((control, hours)) = eased_by
            {
                says = format!(
                    "{says}; it is {} and for at most {hours} h, which planners commonly accept",
                    control.word()
                );
            }
            let mut finding = of_breach(&breach, &CHECK.topic, says, String::new());
            finding.legs = situation.focus;
            finding.sources = legs
                .iter()
                .map(|&leg| Term {
                    name: station.name.clone(),
                    frequency: leg,
                    coefficient: 1,
                })
                .collect();
            if !station.control.is_stated() {
                finding.assumed.push(format!(
                    "control of {}: {}",
                    station.name, station.control.origin
                ));
            }
            found.push(finding);
        }
    }
}
