//! What would mend an encounter, with figures.

mod channel;
mod in_words;

use super::proof;
use crate::emissions::{Birth, Source};
use crate::encounter::Encounter;
use crate::finding::{Change, Remedy};
use crate::quantity::{Decibels, Frequency, Length, Level, Power};
use crate::responses::Strength;
use crate::scene::{Owner, Scene, Transmitter};

/// The least that is worth proposing: a tenth of a dB beyond the margin, so that rounding does not leave it short.
const BEYOND: Decibels = Decibels::db(0.1);

/// No filter is proposed that takes more than this: common practice for what can be bought or tuned.
const MOST_FILTER: Decibels = Decibels::db(60.0);

/// No transmitter is to be turned down by more than this: its link would be gone.
const MOST_POWER: Decibels = Decibels::db(20.0);

/// How often a figure is made larger by what the slope promises.
const ROUNDS: usize = 4;

/// How often what lies between too little and the most is halved: 60 dB come to less than a tenth.
const HALVES: usize = 10;

/// What would bring an encounter to a margin of the reserve, best first; nothing for one that has it already.
pub(super) fn remedies(scene: &Scene<'_>, encounter: &Encounter) -> Vec<Remedy> {
    let lacking = scene.plan.settings.reserve.value - encounter.margin();
    if lacking <= Decibels::ZERO {
        return Vec::new();
    }
    let mut found = Vec::new();
    // A landing is avoided by a few channels; to stand beside something strong takes many, and a planner turns down first.
    let is_landing = encounter.response.is_landing() && !encounter.line.is_slice();
    if is_landing {
        found.extend(channel::nearest(scene, encounter));
    }
    found.extend(less_power(scene, encounter, lacking));
    found.extend(filter(scene, encounter, lacking));
    found.extend(separation(scene, encounter, lacking));
    if !is_landing {
        found.extend(channel::nearest(scene, encounter));
    }
    if found.is_empty() {
        found.extend(channel::better(scene, encounter));
        found.push(in_words::beyond_reach(scene, encounter, lacking));
    }
    found
}

/// Standing further apart: for two antennas at one site, or for somebody beside one of ours.
///
/// # Source
/// Free space and the side-by-side formula alike: 20 dB for ten times the distance.
fn separation(scene: &Scene<'_>, encounter: &Encounter, lacking: Decibels) -> Option<Remedy> {
    let Birth::Transmitter(index) = encounter.line.birth else {
        return None;
    };
    let (source, receiver) = (
        scene.transmitters.get(index)?,
        scene.receivers.get(encounter.receiver)?,
    );
    let from = scene
        .reach_of_transmitter(index)
        .filter(|_| source.unit != receiver.unit)?;
    let now = scene.reckoned_apart(from, receiver.reach())?;
    let factor = 10f64.powf(lacking.as_db() / order(encounter) / 20.0);
    let needed = Length::metres((now.as_metres() * factor).ceil());
    let (station, from) = if source.owner.is_ours() {
        (source.owner, receiver.owner)
    } else {
        (receiver.owner, source.owner)
    };
    (needed <= FARTHEST).then(|| Remedy {
        text: format!(
            "{needed} between the antennas of {} and {} instead of {now}",
            source.name, receiver.name
        ),
        change: Some(Change::Apart {
            station: owner_name(scene, station),
            from: owner_name(scene, from),
            to: needed,
        }),
    })
}

/// No separation is proposed beyond this: it would be another site.
const FARTHEST: Length = Length::metres(500.0);

/// How many dB the level falls for one dB less of the line.
fn order(encounter: &Encounter) -> f64 {
    match encounter.response.strength {
        Strength::Mixed { order, .. } => f64::from(order),
        Strength::Full | Strength::Rejected(_) | Strength::Skirt { .. } | Strength::Filtered(_) => {
            1.0
        }
    }
}

/// How many dB the level falls for one dB less of a source.
fn slope(encounter: &Encounter, source: Source, coefficient: i64) -> f64 {
    let line = &encounter.line;
    let of_line = line
        .emission()
        .map_or(1.0, |kind| (kind.slope)(line, source, coefficient));
    order(encounter) * of_line
}

/// So many dB of a change that its encounter has the reserve, by the slope where that is the whole story; none where not even
/// the most that is proposed is enough.
fn enough<'plan>(
    scene: &Scene<'plan>,
    encounter: &Encounter,
    (lacking, most): (Decibels, Decibels),
    slope: f64,
    change: impl Fn(Decibels) -> Scene<'plan>,
) -> Option<Decibels> {
    let mut by = round_up(lacking * (1.0 / slope) + BEYOND);
    let is_straight = encounter.line.terms.len() == 1 && (slope - 1.0).abs() < 1e-9;
    if is_straight {
        return (by <= most).then_some(by);
    }
    let short = |by: Decibels| {
        let margin = encounter.margin_in(&change(by));
        scene.plan.settings.reserve.value - margin
    };
    let mut too_little = Decibels::ZERO;
    for _ in 0..ROUNDS {
        if by > most {
            break;
        }
        let short = short(by);
        if short <= Decibels::ZERO {
            return Some(by);
        }
        too_little = by;
        by = round_up(by + short * (1.0 / slope) + BEYOND);
    }
    // Beside something stronger a dB is worth less than the slope says: the least that does lies between.
    let mut does = most;
    if short(does) > Decibels::ZERO {
        return None;
    }
    for _ in 0..HALVES {
        let middle = (too_little + does) * 0.5;
        if short(middle) > Decibels::ZERO {
            too_little = middle;
        } else {
            does = middle;
        }
    }
    Some(round_up(does))
}

/// Turning down one of our transmitters.
fn less_power(scene: &Scene<'_>, encounter: &Encounter, lacking: Decibels) -> Option<Remedy> {
    let ours = our_sources(scene, encounter);
    let (source, slope) = ours
        .into_iter()
        .filter(|&(_, slope)| slope > 0.0)
        .max_by(|one, other| one.1.total_cmp(&other.1))?;
    let by = enough(scene, encounter, (lacking, MOST_POWER), slope, |by| {
        proof::weaker(scene, source.owner, source.power.value - by)
    })?;
    let to: Level = source.power.value - by;
    Some(Remedy {
        text: format!(
            "turn {} down by {by} to {}{}",
            source.name,
            Power::of_level(to),
            below_the_lowest_step(scene, source, to)
        ),
        change: Some(Change::LowerPower {
            station: owner_name(scene, source.owner),
            to,
        }),
    })
}

/// That a power cannot be set on the radio itself, where its least step is known and stronger.
fn below_the_lowest_step(scene: &Scene<'_>, source: &Transmitter, to: Level) -> String {
    let Owner::Station(index) = source.owner else {
        return String::new();
    };
    let station = scene.plan.stations.get(index);
    let figures = station.and_then(|one| one.radio.transmitter_at(source.frequency));
    let steps = figures.into_iter().flat_map(|figures| &figures.steps);
    let lowest = steps.map(|step| step.power.value.level()).min();
    let is_passed = |lowest: &Level| to < *lowest && *lowest <= source.power.value;
    lowest.filter(is_passed).map_or_else(String::new, |lowest| {
        format!(
            ", below its lowest step of {}: that takes an attenuator or another set",
            Power::of_level(lowest)
        )
    })
}

/// A filter at our end: at the transmitter for what is radiated, at the receiver for what mixes inside it.
fn filter(scene: &Scene<'_>, encounter: &Encounter, lacking: Decibels) -> Option<Remedy> {
    let receiver = scene.receivers.get(encounter.receiver)?;
    let is_outside = |unit: usize| unit != receiver.unit;
    let asked = (lacking, MOST_FILTER);
    match encounter.line.birth {
        Birth::Transmitter(index) => {
            let source = scene
                .transmitters
                .get(index)
                .filter(|one| one.owner.is_ours() && is_outside(one.unit))?;
            let is_its_carrier = encounter.line.frequency == source.frequency;
            // The carrier itself can only be filtered where it is not wanted: at the victim.
            let owner = if is_its_carrier {
                receiver.owner
            } else {
                source.owner
            };
            let frequency = encounter.line.frequency;
            let loss = enough(scene, encounter, asked, order(encounter), |loss| {
                proof::filtered(scene, owner, frequency, loss)
            })?;
            if is_its_carrier {
                at_victim(scene, encounter, loss)
            } else {
                at(scene, owner, frequency, loss)
            }
        }
        Birth::Oscillator(_) => None,
        Birth::InsideReceiver(_) => {
            let outside = encounter
                .line
                .terms
                .iter()
                .filter_map(|&(source, coefficient)| match source {
                    Source::Transmitter(index) => {
                        let slope = slope(encounter, source, coefficient);
                        scene.transmitters.get(index).map(|one| (one, slope))
                    }
                    Source::Oscillator(_) | Source::Reference(_) => None,
                });
            let (source, slope) = outside
                .filter(|(one, _)| is_outside(one.unit) && !is_near(one, receiver.frequency))
                .max_by(|one, other| one.1.total_cmp(&other.1))?;
            let loss = enough(scene, encounter, asked, slope, |loss| {
                proof::filtered(scene, receiver.owner, source.frequency, loss)
            })?;
            at(scene, receiver.owner, source.frequency, loss)
        }
    }
}

/// A filter cannot tell apart what is less than a hundredth of the frequency away from the channel.
fn is_near(source: &Transmitter, wanted: Frequency) -> bool {
    (source.frequency - wanted).abs().as_hz() * 100 < wanted.as_hz()
}

/// A filter so near to what its station sends or hears itself would take that too.
///
/// # Source
/// Common practice: cavities keep apart what lies 0.4 % of the frequency asunder, 600 kHz at 2 m.
fn is_at_its_own(scene: &Scene<'_>, owner: Owner, frequency: Frequency) -> bool {
    let sent = scene
        .transmitters
        .iter()
        .map(|one| (one.owner, one.frequency));
    let heard = scene.receivers.iter().map(|one| (one.owner, one.frequency));
    sent.chain(heard)
        .filter(|(whose, _)| *whose == owner)
        .any(|(_, own)| (frequency - own).abs().as_hz() * 300 < frequency.as_hz())
}

fn at_victim(scene: &Scene<'_>, encounter: &Encounter, loss: Decibels) -> Option<Remedy> {
    let receiver = scene.receivers.get(encounter.receiver)?;
    let is_apart = (encounter.line.frequency - receiver.frequency)
        .abs()
        .as_hz()
        * 100
        >= receiver.frequency.as_hz();
    at(scene, receiver.owner, encounter.line.frequency, loss).filter(|_| is_apart)
}

fn at(scene: &Scene<'_>, owner: Owner, frequency: Frequency, loss: Decibels) -> Option<Remedy> {
    let may = owner.is_ours() && !is_at_its_own(scene, owner, frequency);
    may.then(|| {
        let station = owner_name(scene, owner);
        Remedy {
            text: format!("a filter at {station} that takes {loss} at {frequency}"),
            change: Some(Change::Filter {
                station,
                at: frequency,
                loss,
            }),
        }
    })
}

/// Our transmitters behind an encounter, each with how many dB the level falls for one dB less of it.
fn our_sources<'a>(scene: &'a Scene<'_>, encounter: &Encounter) -> Vec<(&'a Transmitter, f64)> {
    encounter
        .line
        .terms
        .iter()
        .filter_map(|&(source, coefficient)| match source {
            Source::Transmitter(index) => {
                let slope = slope(encounter, source, coefficient);
                scene.transmitters.get(index).map(|one| (one, slope))
            }
            Source::Oscillator(_) | Source::Reference(_) => None,
        })
        .filter(|(one, _)| one.owner.is_ours())
        .collect()
}

fn owner_name(scene: &Scene<'_>, owner: Owner) -> String {
    match owner {
        Owner::Station(index) => scene
            .plan
            .stations
            .get(index)
            .map(|station| station.name.clone()),
        Owner::InUse(index) => scene.plan.in_use.get(index).map(|entry| entry.name.clone()),
        Owner::Protected(index) => scene
            .plan
            .guarded
            .get(index)
            .map(|service| service.name.clone()),
    }
    .unwrap_or_default()
}

/// Up to the next tenth of a dB.
fn round_up(ratio: Decibels) -> Decibels {
    Decibels::db((ratio.as_db() * 10.0).ceil() / 10.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::encounter::meet;
    use crate::scenario::{Channel, Legs, Use};
    use crate::scene::Trial;
    use crate::scene::sample::{CROWDED, plan};
    use std::collections::BTreeMap;

    /// Everything that the crowded hill meets with a relay under trial beside a third harmonic, by itself and with the plan.
    fn with_everything(look: impl Fn(&Scene<'_>, &Encounter)) {
        let plan = plan(&format!(
            "{CROWDED}  - {{name: Near, frequency: 145.4525, erp: 25 W, at: [54.4160, -0.5320]}}\n"
        ));
        let legs = [145_225_000, 435_675_000].map(|hertz| Channel {
            frequency: Frequency::hz(hertz),
            tone: None,
        });
        let what = Use::CrossBand { legs };
        let scene = Scene::build(&plan, Some(Trial::of(0, &what)));
        for focus in Legs::ALL {
            for encounter in meet(&scene, focus) {
                look(&scene, &encounter);
            }
        }
    }

    fn lacking(scene: &Scene<'_>, encounter: &Encounter) -> Decibels {
        scene.plan.settings.reserve.value - encounter.margin()
    }

    #[test]
    fn each_figure_is_enough_and_where_a_decibel_counts_once_not_more_than_a_fifth_of_one_too_much()
    {
        let seen = std::cell::RefCell::new(BTreeMap::<&str, usize>::new());
        with_everything(|scene, encounter| {
            let short = lacking(scene, encounter);
            let remedies = remedies(scene, encounter);
            assert_eq!(remedies.is_empty(), short <= Decibels::ZERO);
            for remedy in remedies {
                let (what, there, by) = match &remedy.change {
                    Some(Change::LowerPower { station, to }) => {
                        let ours = our_sources(scene, encounter).into_iter();
                        let mut ours =
                            ours.filter(|(one, _)| owner_name(scene, one.owner) == *station);
                        let (source, _) = ours.next().unwrap();
                        let by = source.power.value - *to;
                        ("power", proof::weaker(scene, source.owner, *to), by)
                    }
                    Some(Change::Filter { station, at, loss }) => {
                        let stations = &scene.plan.stations;
                        let index = stations.iter().position(|one| one.name == *station);
                        let owner = Owner::Station(index.unwrap());
                        ("filter", proof::filtered(scene, owner, *at, *loss), *loss)
                    }
                    _ => continue,
                };
                let margin = encounter.margin_in(&there);
                let reserve = scene.plan.settings.reserve.value;
                assert!(
                    margin >= reserve - Decibels::db(1e-6),
                    "{} {}",
                    remedy.text,
                    encounter.id()
                );
                if encounter.line.terms.len() == 1 && order(encounter) < 1.5 {
                    assert!(
                        by <= short + Decibels::db(0.2 + 1e-9),
                        "{} for {short}",
                        remedy.text
                    );
                }
                *seen.borrow_mut().entry(what).or_default() += 1;
            }
        });
        let seen = seen.into_inner();
        assert!(seen["power"] > 3 && seen["filter"] > 3, "{seen:?}");
    }

    #[test]
    fn where_our_own_can_be_turned_down_far_enough_that_is_proposed_and_where_not_nothing() {
        let (mut told, mut silent) = (0, 0);
        let seen = std::cell::RefCell::new(Vec::new());
        with_everything(|scene, encounter| {
            if lacking(scene, encounter) <= Decibels::ZERO {
                return;
            }
            let strongest = our_sources(scene, encounter)
                .into_iter()
                .filter(|one| one.1 > 0.0)
                .max_by(|one, other| one.1.total_cmp(&other.1));
            let Some((source, _)) = strongest else {
                assert!(less_power(scene, encounter, lacking(scene, encounter)).is_none());
                return;
            };
            let reserve = scene.plan.settings.reserve.value;
            let with = |by: Decibels| {
                let weaker = proof::weaker(scene, source.owner, source.power.value - by);
                encounter.margin_in(&weaker)
            };
            let is_told = less_power(scene, encounter, lacking(scene, encounter)).is_some();
            if is_told {
                assert!(
                    with(MOST_POWER) >= reserve - Decibels::db(1e-6),
                    "{}",
                    encounter.id()
                );
            } else {
                // Where a decibel is a decibel a tenth is added, and the figure rounded up.
                assert!(
                    with(MOST_POWER - Decibels::db(0.2)) < reserve,
                    "{}",
                    encounter.id()
                );
            }
            seen.borrow_mut().push(is_told);
        });
        for is_told in seen.into_inner() {
            if is_told { told += 1 } else { silent += 1 }
        }
        assert!(told > 3 && silent > 3, "{told} {silent}");
    }

    #[test]
    fn further_apart_by_ten_times_for_twenty_decibels_and_no_further_than_a_site_is_wide() {
        let told = std::cell::Cell::new(0);
        with_everything(|scene, encounter| {
            let Birth::Transmitter(index) = encounter.line.birth else {
                assert!(separation(scene, encounter, Decibels::db(20.0)).is_none());
                return;
            };
            let receiver = scene.receivers.get(encounter.receiver).unwrap();
            let from = scene.reach_of_transmitter(index).unwrap();
            let now = scene.reckoned_apart(from, receiver.reach());
            let to = |lacking: f64| {
                separation(scene, encounter, Decibels::db(lacking)).map(|remedy| {
                    match remedy.change {
                        Some(Change::Apart { to, .. }) => to.as_metres(),
                        other => panic!("{other:?}"),
                    }
                })
            };
            let is_one_box = from.unit == receiver.unit;
            let Some(now) = now.filter(|_| !is_one_box) else {
                assert!(to(1.0).is_none());
                return;
            };
            let now = now.as_metres();
            // What a response of several orders gains, it loses the sooner.
            let decibels = 20.0 * order(encounter);
            if now <= 50.0 {
                assert!((to(decibels).unwrap() - (now * 10.0).ceil()).abs() < 1.5);
                told.set(told.get() + 1);
            }
            assert!(to(decibels * (501.0 / now).log10() + 0.1).is_none());
        });
        assert!(told.get() > 3);
    }

    #[test]
    fn a_filter_keeps_apart_a_hundredth_of_the_frequency_and_at_its_own_antenna_a_three_hundredth()
    {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let mut all = scene.transmitters.iter();
        let mut source = all.find(|one| one.name == "Packet").unwrap().clone();
        for (off, is_as_near) in [
            (0, true),
            (1_449_999, true),
            (1_450_000, false),
            (9_000_000, false),
        ] {
            for sign in [1, -1] {
                source.frequency = Frequency::hz(145_000_000 + sign * off);
                assert_eq!(
                    is_near(&source, Frequency::hz(145_000_000)),
                    is_as_near,
                    "{off}"
                );
            }
        }
        // The packet station sends and hears on 144.8 MHz only; a little above that, a three hundredth is 484 kHz.
        for (hertz, is_its_own) in [
            (144_800_000, true),
            (145_284_000, true),
            (145_285_000, false),
            (144_319_000, true),
            (144_318_000, false),
            (433_450_000, false),
        ] {
            let own = is_at_its_own(&scene, Owner::Station(1), Frequency::hz(hertz));
            assert_eq!(own, is_its_own, "{hertz}");
        }
        // At the edge itself it does not.
        let at = Frequency::hz(144_800_000 * 300 / 299);
        let edge = (at - Frequency::hz(144_800_000)).as_hz() * 300;
        assert_eq!(
            is_at_its_own(&scene, Owner::Station(1), at),
            edge < at.as_hz()
        );
    }

    /// What `enough` makes of 9 dB that are lacking, where a dB of the change is really worth `worth` and the slope promises
    /// `slope`.
    fn enough_of_nine(slope: f64, worth: f64) -> Option<f64> {
        enough_up_to(MOST_POWER, slope, worth)
    }

    /// The same where no more than this is proposed.
    fn enough_up_to(most: Decibels, slope: f64, worth: f64) -> Option<f64> {
        let reckon = |reserve: Option<Decibels>| {
            let mut plan = plan(CROWDED);
            if let Some(reserve) = reserve {
                plan.settings.reserve.value = reserve;
            }
            let scene = Scene::build(&plan, None);
            let packet = scene.transmitters.iter().find(|one| one.name == "Packet");
            let packet = packet.unwrap().clone();
            let is_its_carrier = |one: &Encounter| {
                let mut sources = one.line.transmitters();
                one.line.terms.len() == 1
                    && one.line.emission().is_some_and(|kind| kind.is_plain)
                    && order(one) < 1.5
                    && sources.all(|at| scene.transmitters.get(at).unwrap().name == "Packet")
            };
            let mut met = meet(&scene, Legs::NONE).into_iter();
            let one = met.find(is_its_carrier).unwrap();
            let margin = one.margin_in(&scene);
            let found = enough(&scene, &one, (Decibels::db(9.0), most), slope, |by| {
                assert!((slope - 1.0).abs() > 0.1, "nothing is to be reckoned");
                let to = packet.power.value - by * worth;
                proof::weaker(&scene, packet.owner, to)
            });
            (margin, found)
        };
        let (margin, _) = reckon(None);
        reckon(Some(margin + Decibels::db(9.0)))
            .1
            .map(Decibels::as_db)
    }

    #[test]
    fn where_a_decibel_is_a_decibel_what_lacks_and_a_tenth_more_is_enough() {
        let found = enough_of_nine(1.0, 1.0).unwrap();
        assert!((found - 9.1).abs() < 1e-9, "{found}");
    }

    /// By hand: 9 ÷ 2 + 0.1 = 4.6 are worth 8.28 dB where a dB counts 1.8 times, which is 0.72 short; half of that and a tenth more
    /// is 5.06, rounded up 5.1, worth 9.18 dB. Where a dB counts as promised, the first figure is enough, and where it counts for
    /// nothing, no figure is.
    #[test]
    fn what_is_worth_less_than_promised_is_made_larger_until_it_is_enough() {
        let found = |worth| enough_of_nine(2.0, worth);
        assert!((found(2.0).unwrap() - 4.6).abs() < 1e-9, "{:?}", found(2.0));
        assert!((found(1.8).unwrap() - 5.1).abs() < 1e-9, "{:?}", found(1.8));
        assert_eq!(found(0.0), None);
        // Where a dB counts 1.9 times 4.6 are 0.26 short; half of that and a tenth more is 4.83, rounded up 4.9. 4.8 would do.
        assert!((found(1.9).unwrap() - 4.9).abs() < 1e-9, "{:?}", found(1.9));
        // Just the most that is proposed is asked for as it is, also where less would do.
        let most = enough_up_to(Decibels::db(4.6), 2.0, 3.0).unwrap();
        assert!((most - 4.6).abs() < 1e-9, "{most}");
        // Four times larger comes to 8.7 where a dB counts once, and to less where it counts half: 9 ÷ 1 and 9 ÷ 0.5 lie between
        // that and the most, 9 ÷ 0.44 beyond it.
        for hundredths in (46..200).step_by(7) {
            let worth = f64::from(hundredths) / 100.0;
            let (least, found) = (9.0 / worth, found(worth).unwrap());
            let more = if worth < 1.1 { 0.2 } else { 0.3 };
            let enough = least - 1e-9..least + more;
            assert!(enough.contains(&found), "{found} for {least}");
        }
        assert_eq!(found(0.44), None);
    }

    #[test]
    fn what_lands_is_moved_first_and_beside_what_is_strong_or_broad_power_is_turned_down_first() {
        let seen = std::cell::Cell::new([0; 2]);
        with_everything(|scene, encounter| {
            let all = remedies(scene, encounter);
            let place = |is: fn(&Change) -> bool| {
                all.iter()
                    .position(|one| one.change.as_ref().is_some_and(is))
            };
            let moved = place(|one| matches!(one, Change::Move { .. } | Change::Retune { .. }));
            let turned = place(|one| matches!(one, Change::LowerPower { .. }));
            if let (Some(moved), Some(turned)) = (moved, turned) {
                let lands = encounter.response.is_landing() && !encounter.line.is_slice();
                assert_eq!(moved < turned, lands, "{}", encounter.id());
                let mut counts = seen.get();
                counts[usize::from(lands)] += 1;
                seen.set(counts);
            }
        });
        assert!(seen.get().iter().all(|count| *count > 0), "{seen:?}");
    }

    #[test]
    fn a_power_below_the_lowest_step_is_told_as_such_and_the_lowest_step_is_not() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let mut all = scene.transmitters.iter();
        let source = all.find(|one| one.name == "Packet").unwrap();
        let steps = source.figures.steps.iter();
        let lowest = steps.map(|step| step.power.value.level()).min().unwrap();
        assert!(lowest < source.power.value);
        let told = |source: &Transmitter, to| below_the_lowest_step(&scene, source, to);
        assert_eq!(told(source, lowest), "");
        assert_eq!(told(source, lowest + Decibels::db(0.1)), "");
        let below = told(source, lowest - Decibels::db(0.1));
        assert!(below.starts_with(", below its lowest step of "), "{below}");
        // Who stands on the lowest step passes it, who is below it already does not.
        let mut weaker = source.clone();
        weaker.power.value = lowest;
        assert!(!told(&weaker, lowest - Decibels::db(0.1)).is_empty());
        weaker.power.value = lowest - Decibels::db(1.0);
        assert_eq!(told(&weaker, lowest - Decibels::db(2.0)), "");
    }

    /// 145.5000 MHz ÷ 300 = 485 kHz.
    #[test]
    fn just_a_three_hundredth_off_a_filter_keeps_apart() {
        let plan = plan(&CROWDED.replace("talk: 144.8000", "talk: 145.0150"));
        let scene = Scene::build(&plan, None);
        let own = |hertz| is_at_its_own(&scene, Owner::Station(1), Frequency::hz(hertz));
        assert!(!own(145_500_000) && own(145_499_999));
    }

    #[test]
    fn a_filter_at_the_victim_takes_a_carrier_that_is_a_hundredth_of_its_channel_off_or_more() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let is_scout = |one: &Encounter| {
            let receiver = scene.receivers.get(one.receiver).unwrap();
            receiver.frequency == Frequency::hz(145_930_000)
        };
        let mut one = meet(&scene, Legs::NONE).into_iter().find(is_scout).unwrap();
        for (off, may) in [(1_459_299, false), (1_459_300, true), (10_000_000, true)] {
            for sign in [1, -1] {
                one.line.frequency = Frequency::hz(145_930_000 + sign * off);
                let found = at_victim(&scene, &one, Decibels::db(12.0));
                assert_eq!(found.is_some(), may, "{off}");
                if let Some(found) = found {
                    let at = one.line.frequency;
                    let what = format!("a filter at Scout that takes 12.0 dB at {at}");
                    assert_eq!(found.text, what);
                }
            }
        }
    }

    /// 2 × 145.6250 − 145.8000 = 145.4500 MHz.
    #[test]
    fn of_what_mixes_in_a_receiver_a_filter_takes_what_is_far_from_its_channel_and_nothing_near_it()
    {
        let plan = plan(
            "
sites:
  hill: {at: [54.4150, -0.5320], ground: 100 m}
stations:
  - {name: Ear, site: hill, radio: dual-band-mobile, watch: 145.4500}
  - {name: Low, site: hill, radio: mobile-2m, power: low, antenna: {offset: {east: 0 m, north: 150 m}}, talk: 145.6250}
  - {name: High, site: hill, radio: mobile-2m, power: low, antenna: {offset: {east: 0 m, north: -150 m}}, talk: 145.8000}
",
        );
        let scene = Scene::build(&plan, None);
        let is_inside = |one: &Encounter| {
            let receiver = scene.receivers.get(one.receiver).unwrap();
            matches!(one.line.birth, Birth::InsideReceiver(_))
                && receiver.station == "Ear"
                && one.line.terms.len() == 2
        };
        let one = meet(&scene, Legs::NONE)
            .into_iter()
            .find(is_inside)
            .unwrap();
        let filtered = |scene: &Scene<'_>| {
            let change = filter(scene, &one, Decibels::db(1.0))?.change;
            let Some(Change::Filter { station, at, .. }) = change else {
                panic!("{change:?}");
            };
            Some((station, at.as_hz()))
        };
        assert_eq!(filtered(&scene), None);
        // A hundredth of the channel is 1.4545 MHz.
        for (hertz, may) in [
            (143_995_501, false),
            (143_995_500, true),
            (140_000_000, true),
        ] {
            let is_low = |one: &Transmitter| one.name == "Low";
            let moved = |one: &mut Transmitter| one.frequency = Frequency::hz(hertz);
            let there = Scene {
                transmitters: scene.transmitters.changed_where(is_low, moved),
                ..scene.clone()
            };
            let expected = may.then(|| ("Ear".to_owned(), hertz));
            assert_eq!(filtered(&there), expected, "{hertz}");
        }
    }
}
