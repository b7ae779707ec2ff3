//! How bad an encounter is, and what keeps it from being worse.

use crate::emissions::Birth;
use crate::encounter::Encounter;
use crate::finding::Severity;
use crate::quantity::{Decibels, Level};
use crate::scene::{Reach, Receiver, Scene, Transmitter};

/// How bad an encounter is.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::checks) struct Grade {
    pub(in crate::checks) severity: Severity,
    /// Why it is no more than that.
    pub(in crate::checks) spared: Option<String>,
}

/// Grades an encounter.
///
/// What is merely strong near somebody whose place nobody stated is a note, as no choice of channel escapes it. Otherwise
/// a margin below zero hurts; one below the reserve wants a look. What rests on a supposition is a caution only: a tuning
/// that nobody knows, or a listener whose place nobody stated and who would be spared further away. So is what leaves our
/// own wanted signals readable. What lands on a channel of a safety service is never less than a caution.
pub(in crate::checks) fn grade(scene: &Scene<'_>, encounter: &Encounter) -> Grade {
    let margin = encounter.margin();
    let receiver = scene.receivers.get(encounter.receiver);
    let bystander = receiver
        .filter(|_| !names_a_channel(encounter))
        .and_then(|one| scene.unplaced(one));
    if let Some(nearest) = bystander {
        let spared = format!(
            "it matters only to somebody as near as {}, whatever the channel",
            nearest.value
        );
        return Grade {
            severity: Severity::Note,
            spared: Some(spared),
        };
    }
    if let Some(stretch) = receiver.and_then(|one| one.anywhere_in)
        && (matches!(encounter.line.birth, Birth::Oscillator(_)) || margin >= Decibels::ZERO)
    {
        // Every receiver leaks somewhere into a wide band, and what would not hurt there lands on nobody known.
        let spared = format!("nobody knows which frequency between {stretch} is in use here");
        return Grade {
            severity: Severity::Note,
            spared: Some(spared),
        };
    }
    if margin < Decibels::ZERO {
        let spared = receiver.and_then(|receiver| spared(scene, receiver, encounter));
        let severity = if spared.is_some() {
            Severity::Caution
        } else {
            Severity::Conflict
        };
        return Grade { severity, spared };
    }
    let is_safety =
        receiver.is_some_and(|receiver| receiver.safety.is_some()) && names_a_channel(encounter);
    let is_near = margin < scene.plan.settings.reserve.value || is_safety;
    let severity = if is_near {
        Severity::Caution
    } else {
        Severity::Note
    };
    Grade {
        severity,
        spared: None,
    }
}

/// Why an encounter that would hurt is a caution only.
fn spared(scene: &Scene<'_>, receiver: &Receiver, encounter: &Encounter) -> Option<String> {
    if encounter.supposed().next().is_some() {
        return Some("it hurts only if the supposition below is true".to_owned());
    }
    if let Some(stretch) = receiver.anywhere_in {
        return Some(format!(
            "nobody knows which frequency between {stretch} is in use here"
        ));
    }
    spared_further_away(scene, receiver, encounter).or_else(|| readable(scene, receiver, encounter))
}

/// Whether an encounter has to do with which channel is chosen, rather than with being strong nearby.
fn names_a_channel(encounter: &Encounter) -> bool {
    encounter.response.is_landing() && !encounter.line.is_slice()
}

/// Whether a listener whose place nobody stated would be spared further away.
fn spared_further_away(
    scene: &Scene<'_>,
    receiver: &Receiver,
    encounter: &Encounter,
) -> Option<String> {
    let nearest = scene.unplaced(receiver)?;
    let is_spared = encounter.margin() + scene.plan.settings.unplaced.value >= Decibels::ZERO;
    is_spared.then(|| {
        format!(
            "nobody stated that anyone listens as near as {}; state `listeners` if somebody does",
            nearest.value
        )
    })
}

/// A receiver of ours whose wanted signals, reckoned on the cautious path, stay readable.
fn readable(scene: &Scene<'_>, receiver: &Receiver, encounter: &Encounter) -> Option<String> {
    if !receiver.owner.is_ours() || receiver.wanted.is_some() {
        return None;
    }
    let faintest = wanted(scene, receiver).min()?;
    let above = faintest - encounter.level;
    (above >= receiver.figures.protection.value).then(|| {
        format!("the faintest signal it wants, {faintest} on the cautious path, still stands {above} above it")
    })
}

/// Whether a transmitter stands where the plan says: how strong one at the same site is depends on where its user walks,
/// unless its place there is stated.
fn is_placed(scene: &Scene<'_>, transmitter: &Transmitter, receiver: &Receiver) -> bool {
    let masts = [transmitter.mast, receiver.mast].map(|mast| scene.masts.get(mast));
    let [Some(theirs), Some(ours)] = masts else {
        return false;
    };
    let is_one_site = theirs.site.is_some() && theirs.site == ours.site;
    !is_one_site || theirs.antenna.offset.is_some() || ours.antenna.offset.is_some()
}

/// What arrives of each signal a receiver is there to hear, on the cautious path.
fn wanted<'a>(scene: &'a Scene<'_>, receiver: &'a Receiver) -> impl Iterator<Item = Level> + 'a {
    let heard = move |&(index, _): &(usize, _)| scene.coexist(&[index], receiver);
    scene
        .transmitters
        .iter()
        .enumerate()
        .filter(move |(_, one)| scene.is_wanted(one, receiver) && is_placed(scene, one, receiver))
        .filter(heard)
        .map(|(_, one)| {
            one.power.value
                - scene.service_loss(
                    Reach {
                        unit: one.unit,
                        mast: one.mast,
                    },
                    receiver,
                    one.frequency,
                )
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::encounter::meet;
    use crate::provenance::{Origin, Sourced};
    use crate::scenario::Legs;
    use crate::scene::sample::{CROWDED, plan};

    /// An encounter of a scene that is chosen by who hears it and how, with another margin.
    fn with_margin(
        scene: &Scene<'_>,
        is_it: impl Fn(&Encounter, &Receiver) -> bool,
        margin: f64,
    ) -> Encounter {
        let met = meet(scene, Legs::NONE);
        let mut one = met
            .into_iter()
            .find(|one| is_it(one, scene.receivers.get(one.receiver).unwrap()))
            .unwrap();
        one.threshold = one.level + Decibels::db(margin);
        one
    }

    #[test]
    fn a_margin_of_nothing_is_a_caution_and_one_of_the_reserve_a_note() {
        let mut plan = plan(CROWDED);
        plan.settings.reserve.value = Decibels::db(6.0);
        let scene = Scene::build(&plan, None);
        // The watch receiver knows nobody that it wants.
        let severity = |margin: f64| {
            let scout = |one: &Encounter, receiver: &Receiver| {
                receiver.station == "Scout" && one.supposed().next().is_none()
            };
            grade(&scene, &with_margin(&scene, scout, margin)).severity
        };
        assert_eq!(severity(-0.5), Severity::Conflict);
        assert_eq!(severity(0.0), Severity::Caution);
        assert_eq!(severity(5.5), Severity::Caution);
        assert_eq!(severity(6.0), Severity::Note);
    }

    #[test]
    fn what_lands_on_the_channel_of_a_safety_service_is_never_less_than_a_caution() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let severity = |is_safe: bool, is_landing: bool| {
            let mut scene = scene.clone();
            scene.receivers = scene.receivers.changed_where(
                |one| one.station == "Scout",
                |one| {
                    let extra = Sourced::new(Decibels::db(10.0), Origin::Said("a test".into()));
                    one.safety = is_safe.then_some(extra);
                },
            );
            let is_it = |one: &Encounter, receiver: &Receiver| {
                receiver.station == "Scout" && names_a_channel(one) == is_landing
            };
            grade(&scene, &with_margin(&scene, is_it, 40.0)).severity
        };
        assert_eq!(severity(true, true), Severity::Caution);
        assert_eq!(severity(true, false), Severity::Note);
        assert_eq!(severity(false, true), Severity::Note);
    }

    #[test]
    fn who_stands_at_the_same_site_is_placed_only_where_one_of_both_says_where_there() {
        let text = "
sites:
  hill: {at: [54.4150, -0.5320]}
  field: {at: [54.4571, -0.6033]}
stations:
  - {name: Here, site: hill, radio: mobile-2m, talk: 145.5000}
  - {name: Beside, site: hill, radio: mobile-2m, talk: 145.5000}
  - {name: Mast, site: hill, radio: mobile-2m, talk: 145.5000, antenna: {offset: {east: 10 m, north: 0 m}}}
  - {name: There, site: field, radio: mobile-2m, talk: 145.5000}
";
        let plan = plan(text);
        let scene = Scene::build(&plan, None);
        let is = |sends: &str, hears: &str| {
            let mut senders = scene.transmitters.iter();
            let mut hearers = scene.receivers.iter();
            is_placed(
                &scene,
                senders.find(|one| one.name == sends).unwrap(),
                hearers.find(|one| one.station == hears).unwrap(),
            )
        };
        assert!(!is("Here", "Beside") && !is("Beside", "Here"));
        assert!(is("Here", "Mast") && is("Mast", "Here"));
        assert!(is("There", "Here") && is("Here", "There") && is("There", "Mast"));
    }

    #[test]
    fn what_leaves_the_faintest_wanted_signal_its_protection_is_no_conflict() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let is_relay = |one: &Receiver| one.name == "Relay, 2m side";
        let of = |above_protection: f64, is_level_stated: bool| {
            let mut scene = scene.clone();
            scene.receivers = scene.receivers.changed_where(is_relay, |one| {
                let level = Sourced::new(Level::dbm(-100.0), Origin::Said("a test".into()));
                one.wanted = is_level_stated.then_some(level);
            });
            let is_it = |one: &Encounter, receiver: &Receiver| {
                is_relay(receiver) && one.supposed().next().is_none()
            };
            let mut one = with_margin(&scene, is_it, -1.0);
            let receiver = scene.receivers.get(one.receiver).unwrap();
            let faintest = wanted(&scene, receiver).min().unwrap();
            one.level =
                faintest - receiver.figures.protection.value - Decibels::db(above_protection);
            one.threshold = one.level - Decibels::db(1.0);
            let grade = grade(&scene, &one);
            (grade.severity, grade.spared.is_some())
        };
        assert_eq!(of(0.01, false), (Severity::Caution, true));
        assert_eq!(of(-0.01, false), (Severity::Conflict, false));
        // Where the level of the wanted signal is stated, the threshold has it in it already.
        assert_eq!(of(10.0, true), (Severity::Conflict, false));
    }
}
