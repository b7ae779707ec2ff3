#![doc = include_str!("exposure.md")]

use super::duty::legs_of;
use super::named::percent;
use super::{Check, Situation};
use crate::finding::{Finding, Matter, Severity};
use crate::net::{RadioId, SenderId};
use crate::physics::exposure::{
    self, Body, ExposureLimit, GroundReflection, People, eirp, keep_clear,
};
use crate::quantity::{Duty, Length, Power};
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

/// Distances for one group of people: with the transmitter always on, and averaged over its busiest minutes.
struct Distances {
    continuous: Length,
    averaged: Length,
    limit: &'static ExposureLimit,
}

/// The greatest distance that any of the limits for some people asks for.
fn distances(
    situation: &Situation<'_>,
    sender: SenderId,
    transmitter: &Transmitter,
    power: Power,
    people: People,
) -> Option<Distances> {
    let view = situation.view();
    let limits = &view.conduct.limits;
    exposure::limits()
        .iter()
        .filter(|limit| limit.people == people && limit.body == Body::Whole)
        .filter(|limit| limits.is_empty() || limits.contains(&limit.id))
        .filter_map(|limit| {
            let density = limit.at(transmitter.frequency)?;
            let away = |duty: Duty| keep_clear(power, duty, GroundReflection::Usual, density);
            let report = view.load(situation.plan).senders.get(&sender);
            let share = report.map_or(1.0, |report| {
                if limit.averaging_minutes > 6 {
                    report.busiest_30_minutes.most
                } else {
                    report.busiest_6_minutes.most
                }
            });
            Some(Distances {
                continuous: away(Duty::CONTINUOUS),
                averaged: away(Duty::fraction(share)),
                limit,
            })
        })
        .max_by_key(|distances| (distances.continuous, distances.averaged))
}

fn tell(situation: &Situation<'_>, sender: SenderId, transmitter: &Transmitter) -> Option<Finding> {
    let view = situation.view();
    let mast = situation.scene.masts.get(transmitter.mast)?;
    let gain = mast.antenna.gain_at(transmitter.frequency, None);
    let power = eirp(transmitter.power.value, mast.antenna.feeder.value, gain);
    let public = distances(situation, sender, transmitter, power, People::Public)?;
    let trained = distances(situation, sender, transmitter, power, People::Trained)?;
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
        rounded_up(public.continuous),
        rounded_up(trained.continuous),
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

/// A distance to the next tenth of a metre up.
fn rounded_up(distance: Length) -> Length {
    Length::metres((distance.as_metres() * 10.0).ceil() / 10.0)
}
