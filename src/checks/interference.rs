#![doc = include_str!("interference.md")]

mod grade;
mod proof;
mod remedy;

use std::collections::{BTreeMap, BTreeSet};

pub(super) use grade::{Grade, grade};

use rayon::prelude::*;

use super::{Check, Situation};
use crate::emissions::Source;
use crate::encounter::{Encounter, offset};
use crate::finding::{Finding, Matter, Severity, Term, Victim};
use crate::physics::mixing;
use crate::physics::statistics::{Chance, chance_below_zero, combined_spread};
use crate::quantity::{Decibels, Frequency, Span};
use crate::scenario::Window;
use crate::scene::{Receiver, Scene};
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "interference",
        title: "Emissions that meet a receiver",
        text: include_str!("interference.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let scene = situation.scene;
    let encounters = situation.encounters().iter();
    let groups = worst_of_each(scene, encounters);
    if situation.is_brief {
        found.extend(groups.iter().map(|group| brief(scene, group)));
    } else {
        // What would mend one takes longer to find than the encounter itself, and no other finding need be known for it.
        found.par_extend(groups.par_iter().map(|group| judge(scene, group)));
    }
}

/// A finding with what tells how bad it is, and no word on how it comes about and how to mend it.
fn brief(scene: &Scene<'_>, group: &Group<'_>) -> Finding {
    let encounter = group.worst;
    let Grade { severity, spared } = grade(scene, encounter);
    Finding {
        victim: victim(scene, encounter),
        sources: sources(scene, encounter),
        margin: Some(encounter.margin()),
        spared,
        ..Finding::new(
            encounter.id(),
            severity,
            Matter::Interference,
            encounter.legs,
            String::new(),
        )
    }
}

fn victim(scene: &Scene<'_>, encounter: &Encounter) -> Option<Victim> {
    let receiver = scene.receivers.get(encounter.receiver)?;
    Some(Victim {
        station: receiver.station.clone(),
        receiver: receiver.part.clone(),
        frequency: receiver.frequency,
    })
}

fn sources(scene: &Scene<'_>, encounter: &Encounter) -> Vec<Term> {
    let terms = encounter.line.terms.iter();
    terms
        .map(|&(source, coefficient)| term(scene, source, coefficient))
        .collect()
}

/// Whether an encounter would be told as a conflict.
pub fn would_conflict(scene: &Scene<'_>, encounter: &Encounter) -> bool {
    encounter.concerns_us(scene) && grade(scene, encounter).severity == Severity::Conflict
}

fn carrier(scene: &Scene<'_>, source: Source) -> Frequency {
    match source {
        Source::Transmitter(index) => scene.transmitters.get(index).map(|one| one.frequency),
        Source::Oscillator(index) => scene.receivers.get(index).map(|one| one.frequency),
        Source::Reference(index) => scene
            .receivers
            .get(index)
            .and_then(|one| Some(one.reference.as_ref()?.frequency.value)),
    }
    .unwrap_or_default()
}

/// Encounters that are told as one.
struct Group<'a> {
    /// The worst of them.
    worst: &'a Encounter,
    /// Every set of sources that makes the product.
    makers: BTreeSet<Vec<Source>>,
    /// The phases of the event in which one of them is met.
    phases: BTreeSet<usize>,
}

/// The phases of the event in which an encounter is met.
pub(super) fn phases_of(scene: &Scene<'_>, encounter: &Encounter) -> BTreeSet<usize> {
    let sources = encounter.line.terms.iter().filter_map(|&(source, _)| {
        Some(match source {
            Source::Transmitter(index) => &scene.transmitters.get(index)?.activity,
            Source::Oscillator(index) | Source::Reference(index) => {
                &scene.receivers.get(index)?.activity
            }
        })
    });
    let victim = scene.receivers.get(encounter.receiver);
    let all = sources.chain(victim.map(|victim| &victim.activity));
    let common = Window::common(all.map(|activity| activity.windows.as_slice()));
    scene.plan.event.phases_in(common.as_deref())
}

/// Several stations on one channel make the same product, and a roaming listener is reckoned near every site: the worst
/// is told, and how many other sets of sources make the same.
fn worst_of_each<'a>(
    scene: &Scene<'_>,
    encounters: impl Iterator<Item = &'a Encounter>,
) -> Vec<Group<'a>> {
    let mut groups: BTreeMap<_, Group<'_>> = BTreeMap::new();
    for encounter in encounters {
        let mut recipe: Vec<(Frequency, i64)> = encounter
            .line
            .terms
            .iter()
            .map(|&(source, c)| (carrier(scene, source), c))
            .collect();
        recipe.sort_unstable();
        let sources: Vec<Source> = encounter
            .line
            .terms
            .iter()
            .map(|&(source, _)| source)
            .collect();
        let victim = scene
            .receivers
            .get(encounter.receiver)
            .map(|receiver| (receiver.unit, receiver.side));
        let key = (
            victim,
            encounter.id(),
            encounter.response.kind,
            encounter.response.centre,
            recipe,
        );
        let phases = phases_of(scene, encounter);
        let group = groups.entry(key).or_insert_with(|| Group {
            worst: encounter,
            makers: BTreeSet::new(),
            phases: BTreeSet::new(),
        });
        group.makers.insert(sources);
        group.phases.extend(phases);
        if encounter.level > group.worst.level {
            group.worst = encounter;
        }
    }
    groups.into_values().collect()
}

/// The name of who suffers, with its channel where something of the same name on another channel takes part.
fn called_apart(scene: &Scene<'_>, encounter: &Encounter) -> String {
    let Some(receiver) = scene.receivers.get(encounter.receiver) else {
        return String::new();
    };
    let is_namesake = |&(source, _): &(Source, i64)| match source {
        Source::Transmitter(index) => scene
            .transmitters
            .get(index)
            .is_some_and(|one| one.name == receiver.name && one.frequency != receiver.frequency),
        Source::Oscillator(_) | Source::Reference(_) => false,
    };
    if encounter.line.terms.iter().any(is_namesake) {
        format!("{} on {}", receiver.name, receiver.frequency)
    } else {
        receiver.name.clone()
    }
}

fn judge(scene: &Scene<'_>, group: &Group<'_>) -> Finding {
    let encounter = group.worst;
    let others = group.makers.len().saturating_sub(1);
    let (level, limit) = encounter.tell(scene);
    let margin = encounter.margin();
    let spread = combined_spread([level.spread(), limit.spread()]);
    let receiver = scene.receivers.get(encounter.receiver);
    let victim_name = called_apart(scene, encounter);
    let called = encounter
        .line
        .emission()
        .map_or_else(String::new, |one| (one.called)(scene, &encounter.line));
    let line_why = encounter
        .line
        .emission()
        .map_or_else(String::new, |one| (one.why)(scene, &encounter.line));
    let response_why = receiver
        .zip(encounter.response.kind())
        .map_or_else(String::new, |(one, kind)| {
            (kind.why)(one, &encounter.response)
        });
    let mut says = if margin < Decibels::ZERO {
        format!(
            "{called} comes {} above what {victim_name} can stand",
            -margin
        )
    } else {
        format!("{called} stays {margin} below what {victim_name} can stand")
    };
    if others > 0 {
        let verb = if others == 1 { "does" } else { "do" };
        says = format!("{says}; {others} more on the same channel {verb} so less strongly");
    }
    let Grade { severity, spared } = grade(scene, encounter);
    let mut assumed = level.assumed.clone();
    for text in limit.assumed.iter().chain(encounter.supposed()) {
        if !assumed.contains(text) {
            assumed.push(text.clone());
        }
    }
    Finding {
        check: encounter.id(),
        severity,
        matter: Matter::Interference,
        legs: encounter.legs,
        says,
        when: scene.plan.event.told(&group.phases),
        victim: victim(scene, encounter),
        sources: sources(scene, encounter),
        product: Some(encounter.line.frequency),
        offset: Some(offset(encounter.line.frequency, &encounter.response)),
        width: Some(encounter.line.width),
        level: Some(encounter.level),
        threshold: Some(encounter.threshold),
        margin: Some(margin),
        spread: Some(spread),
        chance: chance(receiver, encounter, margin, spread),
        spared,
        arithmetic: arithmetic(scene, encounter),
        why: format!("{line_why}; {response_why}"),
        remedies: remedy::remedies(scene, encounter),
        citation: CITATION.to_owned(),
        assumed,
        budget: level.steps,
        limit: limit.steps,
    }
}

/// The chance that an encounter really hurts: without the further protection of a safety service, which is a pad and no
/// harm, and none where it is only supposed that there is anything to hurt.
fn chance(
    receiver: Option<&Receiver>,
    encounter: &Encounter,
    margin: Decibels,
    spread: Decibels,
) -> Option<Chance> {
    let receiver = receiver.filter(|receiver| receiver.anywhere_in.is_none())?;
    let pad = receiver
        .safety
        .as_ref()
        .filter(|_| encounter.response.is_landing());
    let pad = pad.map_or(Decibels::ZERO, |safety| safety.value);
    encounter
        .supposed()
        .next()
        .is_none()
        .then(|| chance_below_zero(margin + pad, spread))
}

/// Where the formulas behind every encounter are published; the figures carry their own sources.
const CITATION: &str = "widths by ITU-R SM.1138 and 47 CFR 2.202, noise by ITU-R P.372, paths by ITU-R P.525 and P.526";

pub(super) fn term(scene: &Scene<'_>, source: Source, coefficient: i64) -> Term {
    let name = match source {
        Source::Transmitter(index) => scene.transmitters.get(index).map(|one| one.name.clone()),
        Source::Oscillator(index) => scene
            .receivers
            .get(index)
            .map(|one| format!("oscillator of {}", one.name)),
        Source::Reference(index) => scene
            .receivers
            .get(index)
            .map(|one| format!("reference of {}", one.station)),
    };
    Term {
        name: name.unwrap_or_default(),
        frequency: carrier(scene, source),
        coefficient: i32::try_from(coefficient).unwrap_or(0),
    }
}

/// Where a line lies in or beside a stretch.
fn placed(line: Frequency, stretch: Span) -> String {
    if stretch.contains(line) {
        return format!("inside {stretch}");
    }
    let edge = if line < stretch.low {
        stretch.low
    } else {
        stretch.high
    };
    format!("{} outside the edge at {edge}", (line - edge).abs())
}

/// The sum that gives the line, and the one that gives the place it meets.
fn arithmetic(scene: &Scene<'_>, encounter: &Encounter) -> String {
    let line = &encounter.line;
    let is_oscillator = line
        .terms
        .iter()
        .any(|(source, _)| matches!(source, Source::Oscillator(_)));
    let terms: Vec<(i64, Frequency)> = line
        .terms
        .iter()
        .map(|&(source, c)| (c, carrier(scene, source)))
        .collect();
    let is_bare = terms.iter().all(|&(coefficient, _)| coefficient == 1) && terms.len() == 1;
    let is_beside = is_bare && !is_oscillator && terms.iter().all(|term| term.1 != line.frequency);
    let mut text = if is_beside {
        let carrier = terms.first().map_or(line.frequency, |term| term.1);
        format!(
            "{carrier}, {} from {}",
            (carrier - line.frequency).abs(),
            line.frequency
        )
    } else if is_bare || is_oscillator {
        line.frequency.to_string()
    } else {
        format!("{} = {}", mixing::arithmetic(&terms), line.frequency)
    };
    let receiver = scene.receivers.get(encounter.receiver);
    let listens = receiver.map(|receiver| receiver.frequency);
    let stretch = receiver.and_then(|receiver| receiver.anywhere_in);
    if listens != Some(encounter.response.centre)
        || encounter.response.arithmetic.to_string() != encounter.response.centre.to_string()
    {
        text = format!("{text} meets {}", encounter.response.arithmetic);
    } else if let Some(stretch) = stretch {
        // Who may listen anywhere in a stretch has no channel that an offset could be told from.
        text = format!("{text}, {}", placed(line.frequency, stretch));
    } else if listens != Some(line.frequency) {
        let off = offset(line.frequency, &encounter.response);
        text = format!("{text}, {off} from {}", encounter.response.centre);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::encounter::meet;
    use crate::scenario::{Channel, Legs, Use};
    use crate::scene::Trial;
    use crate::scene::sample::{CROWDED, plan};

    #[test]
    fn in_brief_the_same_is_told_of_who_suffers_from_what_and_how_badly() {
        let plan = plan(CROWDED);
        let legs = [145_225_000, 435_675_000].map(|hertz| Channel {
            frequency: Frequency::hz(hertz),
            tone: None,
        });
        let what = Use::CrossBand { legs };
        let scene = Scene::build(&plan, Some(Trial::of(0, &what)));
        let mut spared = 0;
        for focus in Legs::ALL {
            let met = meet(&scene, focus);
            assert!(!met.is_empty());
            for group in worst_of_each(&scene, met.iter()) {
                let (brief, whole) = (brief(&scene, &group), judge(&scene, &group));
                assert_eq!(
                    (brief.check, brief.severity, brief.legs),
                    (whole.check, whole.severity, focus)
                );
                assert_eq!(
                    brief
                        .victim
                        .map(|one| (one.station, one.receiver, one.frequency)),
                    whole
                        .victim
                        .map(|one| (one.station, one.receiver, one.frequency))
                );
                assert!(!brief.sources.is_empty());
                assert_eq!(
                    format!("{:?}", brief.sources),
                    format!("{:?}", whole.sources)
                );
                assert_eq!((brief.margin, &brief.spared), (whole.margin, &whole.spared));
                // The worst of those that are told as one.
                assert!(met.iter().all(|one| {
                    one.receiver != group.worst.receiver
                        || one.id() != group.worst.id()
                        || one.line.terms != group.worst.line.terms
                        || one.response.centre != group.worst.response.centre
                        || one.response.kind != group.worst.response.kind
                        || one.level <= group.worst.level
                }));
                spared += usize::from(whole.spared.is_some());
            }
        }
        assert!(spared > 0);
    }

    #[test]
    fn a_margin_of_nothing_is_told_as_staying_below() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let mut one = meet(&scene, Legs::NONE).swap_remove(0);
        let mut says = |margin: f64| {
            one.threshold = one.level + Decibels::db(margin);
            judge(&scene, &worst_of_each(&scene, [&one].into_iter())[0]).says
        };
        assert!(says(0.0).contains(" stays 0.0 dB below what "));
        assert!(says(-0.1).contains(" comes 0.1 dB above what "));
    }

    #[test]
    fn a_line_outside_a_stretch_is_told_by_the_edge_that_is_nearer() {
        let stretch = Span::between(Frequency::hz(118_000_000), Frequency::hz(137_000_000));
        let told = |hertz: i64| placed(Frequency::hz(hertz), stretch);
        assert_eq!(told(117_990_000), "10 kHz outside the edge at 118.0000 MHz");
        assert_eq!(told(137_010_000), "10 kHz outside the edge at 137.0000 MHz");
        for inside in [118_000_000, 120_000_000, 137_000_000] {
            assert_eq!(told(inside), "inside 118.0000–137.0000 MHz");
        }
    }
}
