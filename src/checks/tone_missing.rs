#![doc = include_str!("tone_missing.md")]

use super::{Check, Situation};
use crate::finding::{Finding, Matter, Severity};
use crate::net::{Hearer, HearerId, Network, Sender, SenderId, Tone, free_tone};
use crate::radio;
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "tone-missing",
        title: "A relay without a tone, or a user with the wrong one",
        text: include_str!("tone_missing.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let network = &situation.view().network;
    let ours = network.talkers();
    let ours: Vec<_> = ours.filter(|(id, _)| network.is_our_sender(*id)).collect();
    for (id, hearer) in network
        .all_hearers()
        .filter(|(_, hearer)| hearer.is_relay_side)
    {
        if hearer.tone.is_none() && hearer.legs == situation.focus && network.is_our_hearer(id) {
            found.push(open_to_all(situation, id, hearer));
        }
        shut_to_own(situation, (network, &ours), (id, hearer), found);
    }
}

fn open_to_all(situation: &Situation<'_>, id: HearerId, hearer: &Hearer) -> Finding {
    let says = format!(
        "{} listens on {} without a tone: noise, a distant user or its own other side can key it",
        hearer.name, hearer.frequency
    );
    let mut finding = Finding::new(
        CHECK.topic.id,
        Severity::Caution,
        Matter::Net,
        hearer.legs,
        says,
    );
    finding.when = situation.when([hearer.radio]);
    finding.victim = situation.victim(id);
    finding.why =
        "a squelch opens on any carrier and on much noise; a relay then sends it on".to_owned();
    finding.citation = "common practice: a tone on both inputs of a cross-band relay".to_owned();
    let view = situation.view();
    let table: Vec<Tone> = radio::tones()
        .iter()
        .map(|tenths| Tone::tenths(*tenths))
        .collect();
    let free = free_tone(&view.network, id, &table, &view.conduct.mains.value);
    let such = free.map_or_else(String::new, |tone| format!(" ({tone} is free)"));
    finding.remedy(format!(
        "set a tone{such} on {} for {} and all who use it",
        hearer.frequency, hearer.name
    ))
}

fn shut_to_own(
    situation: &Situation<'_>,
    (network, ours): (&Network, &[(SenderId, &Sender)]),
    (id, hearer): (HearerId, &Hearer),
    found: &mut Vec<Finding>,
) {
    let Some(tone) = hearer.tone else { return };
    let users = ours.iter().copied().filter(|&(user, sender)| {
        sender.net == hearer.net
            && sender.legs.and(hearer.legs) == situation.focus
            && network.heard.has((user, id))
            && !network.tone_fits(user, id)
    });
    for (user, sender) in users {
        let legs = situation.focus;
        let sends = sender
            .tone
            .map_or_else(|| "no tone".to_owned(), |tone| format!("a tone of {tone}"));
        let says = format!(
            "{} sends {sends} and cannot open {}, which waits for {tone}",
            sender.name, hearer.name
        );
        let mut finding = Finding::new(CHECK.topic.id, Severity::Conflict, Matter::Net, legs, says);
        finding.when = situation.when([sender.radio, hearer.radio]);
        finding.victim = situation.victim(id);
        finding.sources = situation.term(user).into_iter().collect();
        finding.why = "a relay that waits for a tone hears nothing without it".to_owned();
        finding.citation = "tones as the plan sets them".to_owned();
        found.push(finding.remedy(format!("let {} send {tone}", sender.name)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::net::View;
    use crate::scene::Scene;
    use crate::scene::sample::{CROWDED, plan};
    use std::sync::{Arc, OnceLock};

    /// Who is said to be unable to open the 70 cm side of the relay, which waits for 77.0 Hz.
    fn shut_out(change: impl Fn(&mut Network, SenderId)) -> Vec<String> {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let mut view = View::of(&scene, None);
        let place = |network: &Network, name: &str| {
            let mut all = network.all_senders();
            all.find(|(_, one)| one.name.starts_with(name)).unwrap().0
        };
        let network = &mut view.network;
        let marshal = place(network, "Marshal");
        network.hearers = network.hearers.changed_where(
            |hearer| hearer.name == "Relay, 70cm side",
            |hearer| hearer.tone = Some(Tone::tenths(770)),
        );
        change(network, marshal);
        let mut situation = Situation::new(&scene, None, crate::scenario::Legs::NONE);
        situation.net = OnceLock::from(view);
        let mut found = Vec::new();
        run(&situation, &mut found);
        let conflicts = found
            .into_iter()
            .filter(|one| one.severity == Severity::Conflict);
        conflicts.map(|one| one.sources[0].name.clone()).collect()
    }

    fn change_marshal(network: &mut Network, change: impl Fn(&mut Sender)) {
        network.senders = network
            .senders
            .changed_where(|one| one.name.starts_with("Marshal"), change);
    }

    #[test]
    fn whoever_is_to_open_a_relay_and_sends_another_tone_is_told() {
        let with = |tone: Option<u32>| {
            shut_out(|network, _| change_marshal(network, |one| one.tone = tone.map(Tone::tenths)))
        };
        assert_eq!(with(None).len(), 1);
        assert!(with(None)[0].starts_with("Marshal"));
        assert_eq!(with(Some(885)).len(), 1);
        assert!(with(Some(770)).is_empty());
        // Of another net, and not ours: not meant to open it.
        assert!(shut_out(|network, _| change_marshal(network, |one| one.net += 1)).is_empty());
        assert!(
            shut_out(|network, marshal| {
                let radio = network.sender(marshal).unwrap().radio;
                Arc::make_mut(&mut network.radios)[radio.0].is_ours = false;
            })
            .is_empty()
        );
        // Out of earshot no tone would help.
        assert!(
            shut_out(|network, marshal| {
                network.heard = network.heard.only(|(sender, _)| sender != marshal);
            })
            .is_empty()
        );
    }
}
