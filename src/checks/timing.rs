#![doc = include_str!("timing.md")]

use std::collections::{BTreeMap, BTreeSet};
use std::time::Duration;

use super::{Check, Situation};
use crate::finding::{Finding, Matter, Severity};
use crate::net::{RadioId, Way, opening_delay, told, ways_from, words_lost};
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "timing",
        title: "How long to wait before speaking",
        text: include_str!("timing.md"),
    },
    run,
};

/// Longer than this nobody waits who has not been told.
///
/// # Source
/// Common practice is to wait about a second through two squelches; the half on top is our choice.
const SLOW: Duration = Duration::from_millis(1_500);

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let network = &situation.view().network;
    let operators: BTreeSet<RadioId> = network
        .talkers()
        .filter(|(id, _)| network.is_our_sender(*id))
        .map(|(_, sender)| sender.radio)
        .collect();
    // Those who wait equally long behind the same relays are told together.
    let mut groups: BTreeMap<(Duration, Vec<RadioId>), (Vec<RadioId>, Way)> = BTreeMap::new();
    for &from in &operators {
        let relayed = ways_from(network, from)
            .into_iter()
            .filter(|(to, way)| operators.contains(to) && way.hops.len() > 1)
            .map(|(_, way)| way)
            .filter(|way| situation.as_a_whole(way.legs(network)) == situation.focus);
        let Some(slowest) = relayed.max_by_key(|way| opening_delay(network, way)) else {
            continue;
        };
        let relays: Vec<RadioId> = slowest
            .hops
            .iter()
            .filter_map(|hop| network.hearer(hop.by))
            .map(|hearer| hearer.radio)
            .filter(|radio| network.is_relay(*radio))
            .collect();
        let key = (opening_delay(network, &slowest), relays);
        groups
            .entry(key)
            .or_insert_with(|| (Vec::new(), slowest))
            .0
            .push(from);
    }
    found.extend(
        groups
            .iter()
            .map(|((delay, _), (who, way))| tell(situation, *delay, who, way)),
    );
}

fn tell(situation: &Situation<'_>, delay: Duration, who: &[RadioId], way: &Way) -> Finding {
    let network = &situation.view().network;
    let severity = if delay > SLOW {
        Severity::Caution
    } else {
        Severity::Note
    };
    let words = words_lost(delay);
    let says = format!(
        "through the relays {} must wait {} after pressing before speaking; who speaks at once loses {words} {}",
        situation.names(who),
        told(delay),
        if words == 1 { "word" } else { "words" }
    );
    let mut finding = Finding::new(CHECK.topic.id, severity, Matter::Net, situation.focus, says);
    let steps: Vec<String> = way
        .hops
        .iter()
        .filter_map(|hop| {
            let (sender, hearer) = (network.sender(hop.from)?, network.hearer(hop.by)?);
            let tone = hearer
                .tone
                .map_or_else(String::new, |_| format!(" + tone {}", told(hearer.decode)));
            Some(format!(
                "rise {} + squelch {}{tone}",
                told(sender.rise),
                told(hearer.opening)
            ))
        })
        .collect();
    let heard_by = way.hops.iter().filter_map(|hop| network.hearer(hop.by));
    let on_the_way: Vec<RadioId> = heard_by.map(|hearer| hearer.radio).collect();
    finding.when = situation.when_any(
        who.iter()
            .map(|&from| on_the_way.iter().copied().chain([from])),
    );
    finding.arithmetic = format!(
        "{}: {} = {}",
        way.told(network),
        steps.join(", then "),
        told(delay)
    );
    "every relay on the way opens only after the one before is on the air"
        .clone_into(&mut finding.why);
    "sum of the profiles' figures; the event run gives the same".clone_into(&mut finding.citation);
    finding.remedy("press, count to one, speak; put the wait on every card")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::Legs;
    use crate::scene::Scene;
    use crate::scene::sample::{CROWDED, plan};

    #[test]
    fn a_wait_before_speaking_is_a_caution_only_above_a_second_and_a_half() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let situation = Situation::new(&scene, None, Legs::NONE);
        let way = crate::net::way(&situation.view().network, RadioId(3), RadioId(2)).unwrap();
        let of = |millis| {
            tell(
                &situation,
                Duration::from_millis(millis),
                &[RadioId(3)],
                &way,
            )
            .severity
        };
        assert_eq!(of(1_499), Severity::Note);
        assert_eq!(of(1_500), Severity::Note);
        assert_eq!(of(1_501), Severity::Caution);
    }
}
