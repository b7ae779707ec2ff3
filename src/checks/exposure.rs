#![doc = include_str!("exposure.md")]

use super::duty::legs_of;
use super::named::percent;
use super::{Check, Situation};
use crate::finding::{Finding, Matter, Severity};
use crate::net::{KeepClear, RadioId, SenderId};
use crate::scene::Transmitter;
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "exposure",
        title: "How far people must keep from an antenna",
        text: include_str!("exposure.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    for (index, transmitter) in situation.scene.transmitters.iter().enumerate() {
        let radio = RadioId(transmitter.unit);
        let is_asked = situation.as_a_whole(legs_of(situation, radio)) == situation.focus;
        if transmitter.owner.is_ours() && is_asked {
            found.extend(tell(situation, SenderId(index), transmitter));
        }
    }
}

fn tell(situation: &Situation<'_>, sender: SenderId, transmitter: &Transmitter) -> Option<Finding> {
    let view = situation.view();
    let KeepClear {
        power,
        public,
        trained,
    } = view.keep_clear(situation.scene, sender)?;
    let stated = view.conduct.public.get(&RadioId(transmitter.unit));
    // A relay's users may well keep it on the air without a break, so its average does not excuse it.
    let counted = if view.network.is_repeated(sender) {
        public.continuous
    } else {
        public.averaged
    };
    let severity = match stated {
        Some(stated) if stated.value < counted => Severity::Conflict,
        Some(stated) if stated.value < public.continuous => Severity::Caution,
        _ => Severity::Note,
    };
    let name = &transmitter.name;
    let mut says = format!(
        "keep the public {} and operators {} clear of the antenna of {name} while it sends without a break on {}",
        public.continuous.rounded_up(),
        trained.continuous.rounded_up(),
        transmitter.frequency
    );
    if let Some(stated) = stated {
        says.push_str(&format!("; the public comes as near as {}", stated.value));
    }
    let mut finding = Finding::new(
        CHECK.topic.id,
        severity,
        Matter::Exposure,
        situation.focus,
        says,
    );
    finding.sources = situation.term(sender).into_iter().collect();
    let density = public.limit.at(transmitter.frequency)?;
    finding.arithmetic = format!(
        "√(2.56 × {power} EIRP / (4π × {density})) = {:.2} m; averaged over the busiest {} min under load: {:.2} m",
        public.continuous.as_metres(),
        public.limit.averaging_minutes,
        public.averaged.as_metres()
    );
    finding.why = format!(
        "power density falls to the limit there, with the ground's reflection reckoned as 1.6 times the field; nearer than \
         a wavelength ({:.1} m) the formula is rough and the distance is to be rounded up",
        transmitter.frequency.wavelength_m()
    );
    finding.citation = format!(
        "{}; {}; far-field formula of FCC OET Bulletin 65 (from memory)",
        public.limit.source, trained.limit.source
    );
    finding.when = situation.when([RadioId(transmitter.unit)]);
    finding.assumed = view.conduct.assumed(situation.plan);
    if view.conduct.limits.is_empty() {
        finding.assumed.push(
            "no rule pack says which exposure limits apply: the strictest of all that are known is taken"
                .to_owned(),
        );
    }
    finding.assumed.push(
        "this is no assessment: the licence and local codes say what must be assessed, recorded and marked".to_owned(),
    );
    if severity == Severity::Note {
        return Some(finding);
    }
    let share = stated.map_or(1.0, |stated| {
        (stated.as_metres() / public.continuous.as_metres()).powi(2)
    });
    Some(
        finding
            .remedy("raise the antenna, or rope the place off")
            .remedy(format!(
                "lower the power to {} of what it is",
                percent(share)
            )),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::net::View;
    use crate::provenance::{Origin, Sourced};
    use crate::quantity::Length;
    use crate::scenario::Legs;
    use crate::scene::Scene;
    use crate::scene::sample::{CROWDED, plan};
    use std::sync::OnceLock;

    /// How bad it is that the public comes as near as the averaged, or as the continuous distance, and so many metres.
    fn severity(name: &str, is_averaged: bool, beyond: f64) -> Severity {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let index = scene
            .transmitters
            .iter()
            .position(|one| one.name == name)
            .unwrap();
        let transmitter = scene.transmitters.get(index).unwrap();
        let mut view = View::of(&scene, None);
        let public = view.keep_clear(&scene, SenderId(index)).unwrap().public;
        assert!(public.averaged < public.continuous);
        let base = if is_averaged {
            public.averaged
        } else {
            public.continuous
        };
        let near = Sourced::new(
            Length::metres(base.as_metres() + beyond),
            Origin::Said("a test".into()),
        );
        view.conduct.public.insert(RadioId(transmitter.unit), near);
        let mut situation = Situation::new(&scene, None, Legs::NONE);
        situation.net = OnceLock::from(view);
        tell(&situation, SenderId(index), transmitter)
            .unwrap()
            .severity
    }

    #[test]
    fn at_the_distance_itself_nobody_is_too_near() {
        for (is_averaged, beyond, expected) in [
            (true, -0.01, Severity::Conflict),
            (true, 0.0, Severity::Caution),
            (false, -0.01, Severity::Caution),
            (false, 0.0, Severity::Note),
            (false, 1.0, Severity::Note),
        ] {
            assert_eq!(
                severity("Packet", is_averaged, beyond),
                expected,
                "{is_averaged} {beyond}"
            );
        }
        // A relay may be kept on the air without a break.
        assert_eq!(severity("Relay, 2m side", true, 0.0), Severity::Conflict);
        assert_eq!(severity("Relay, 2m side", false, -0.01), Severity::Conflict);
        assert_eq!(severity("Relay, 2m side", false, 0.0), Severity::Note);
    }
}
