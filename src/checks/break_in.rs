#![doc = include_str!("break_in.md")]

use std::collections::{BTreeMap, BTreeSet};
use std::time::Duration;

use super::{Check, Situation};
use crate::finding::{Finding, Matter, Severity};
use crate::net::{BreakIn, RadioId, break_in, told, ways_from};
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "break-in",
        title: "When a second station can get in",
        text: include_str!("break_in.md"),
    },
    run,
};

/// A pause longer than this after every word is noticed.
///
/// # Source
/// Our choice.
const LONG: Duration = Duration::from_secs(2);

/// So many pairs of operators are tried; in larger plans the others sit behind the same relays.
const TRIED: usize = 60;

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let network = &situation.view().network;
    let operators: BTreeSet<RadioId> = network
        .talkers()
        .filter(|(id, _)| network.is_our_sender(*id))
        .map(|(_, sender)| sender.radio)
        .collect();
    let mut first_relay: BTreeMap<RadioId, (Option<BreakIn>, RadioId, RadioId)> = BTreeMap::new();
    let pairs = operators.iter().flat_map(|&first| {
        ways_from(network, first)
            .into_iter()
            .filter(|(second, way)| operators.contains(second) && way.hops.len() > 1)
            .filter(|(_, way)| situation.as_a_whole(way.legs(network)) == situation.focus)
            .filter_map(move |(second, way)| {
                let relay = way
                    .hops
                    .first()
                    .and_then(|hop| network.hearer(hop.by))?
                    .radio;
                Some((first, second, relay))
            })
    });
    for (first, second, relay) in pairs.take(TRIED) {
        let answer = break_in(network, first, second);
        let worst = first_relay.entry(relay).or_insert((answer, first, second));
        if answer > worst.0 {
            *worst = (answer, first, second);
        }
    }
    for (relay, (answer, first, second)) in first_relay {
        found.extend(answer.and_then(|answer| tell(situation, relay, answer, first, second)));
    }
}

fn tell(
    situation: &Situation<'_>,
    relay: RadioId,
    answer: BreakIn,
    first: RadioId,
    second: RadioId,
) -> Option<Finding> {
    let network = &situation.view().network;
    let when = situation.when([relay, first, second]);
    let [relay, first, second] = [relay, first, second].map(|radio| network.radio_name(radio));
    let (severity, says) = match answer {
        BreakIn::AtOnce => return None,
        BreakIn::Doubles => (
            Severity::Note,
            format!(
                "while {first} talks through {relay}, {second} can only double: both open the same input"
            ),
        ),
        BreakIn::After(wait) => (
            if wait > LONG {
                Severity::Caution
            } else {
                Severity::Note
            },
            format!(
                "while {first} talks through {relay}, {second} cannot break in; {relay} hears {second} {} after the key \
                 is let go",
                told(wait)
            ),
        ),
        BreakIn::Never => (
            Severity::Conflict,
            format!(
                "once {first} has talked through {relay}, {second} does not get in for a minute or more"
            ),
        ),
    };
    let mut finding = Finding::new(CHECK.topic.id, severity, Matter::Net, situation.focus, says);
    finding.when = when;
    "a half-duplex relay does not listen on the side it sends on".clone_into(&mut finding.why);
    "event run: the first talks for ten seconds, the second presses after five and holds on"
        .clone_into(&mut finding.citation);
    Some(
        finding
            .remedy("leave a pause between overs, so that urgent traffic can get in")
            .remedy("set the relay's hang time as short as it goes"),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::Legs;
    use crate::scene::Scene;
    use crate::scene::sample::{CROWDED, plan};

    #[test]
    fn a_wait_is_a_caution_only_above_two_seconds() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let situation = Situation::new(&scene, None, Legs::NONE);
        let of = |answer: BreakIn| {
            let [relay, first, second] = [0, 2, 3].map(RadioId);
            tell(&situation, relay, answer, first, second).map(|one| one.severity)
        };
        assert_eq!(of(BreakIn::AtOnce), None);
        assert_eq!(of(BreakIn::Doubles), Some(Severity::Note));
        let after = |millis| of(BreakIn::After(Duration::from_millis(millis)));
        assert_eq!(after(1_999), Some(Severity::Note));
        assert_eq!(after(2_000), Some(Severity::Note));
        assert_eq!(after(2_001), Some(Severity::Caution));
        assert_eq!(of(BreakIn::Never), Some(Severity::Conflict));
    }
}
