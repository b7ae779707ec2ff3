//! Packs stacked: adding one never makes a transmission more lawful, and a permission lifts only what it names.

use std::sync::Arc;

use proptest::prelude::*;
use proptest::sample::select;
use quietpair::law::{
    Against, Breach, Control, Difference, Force, Law, Pack, Purpose, Role, Shape, Transmission,
    built_in, compare, read,
};
use quietpair::quantity::{Decibels, Frequency, Offset, Position, Power};

const SMALL: &str = include_str!("law/local.yaml");

fn pack(text: &str) -> Arc<Pack> {
    match read("local.yaml", text.as_bytes()) {
        Ok(pack) => Arc::new(pack),
        Err(error) => panic!("{error}"),
    }
}

fn built_in_pack(name: &str) -> Arc<Pack> {
    let found = built_in().iter().find(|pack| &*pack.id == name);
    Arc::clone(found.unwrap())
}

fn stack(packs: &[Arc<Pack>]) -> Law {
    let layers = packs.iter().map(|pack| (Arc::clone(pack), Role::Binding));
    Law::stack(layers, None).unwrap()
}

fn transmissions() -> impl Strategy<Value = Transmission> {
    (
        prop_oneof![143_900_000..148_100_000i64, 419_900_000..450_100_000i64],
        select(vec!["16K0F3E", "11K0F3E", "100HA1A", "2K70J3E", "20K0F1D"]),
        select(Purpose::ALL.to_vec()),
        select(Control::ALL.to_vec()),
        0.1..2000.0f64,
        -3.0..15.0f64,
        prop::option::of((-60.0..70.0f64, -170.0..170.0f64)),
    )
        .prop_map(
            |(carrier, emission, (_, purpose), (_, control), watts, gain, at)| {
                let mut asked =
                    Transmission::new(Frequency::hz(carrier), emission.parse().unwrap(), purpose)
                        .within(Offset::hz(400));
                asked.control = control;
                asked.output = Power::watts(watts);
                asked.gain = Decibels::db(gain);
                asked.position = at.map(|(north, east)| Position::degrees(north, east).unwrap());
                asked
            },
        )
}

/// What is said, without the text: rule and force, those that a permission lifts apart.
fn said(breaches: &[Breach<'_>]) -> Vec<(String, Force)> {
    let mut said: Vec<(String, Force)> = breaches
        .iter()
        .map(|breach| (breach.rule.clone(), breach.force))
        .collect();
    said.sort();
    said
}

proptest! {
    #[test]
    fn adding_a_pack_never_makes_a_transmission_more_lawful(
        asked in transmissions(),
        first in select(built_in().to_vec()),
        second in select(built_in().to_vec()),
    ) {
        let one = stack(&[Arc::clone(&first)]);
        let both = stack(&[first, second]);
        let less = said(&one.ruling(&asked));
        let more = said(&both.ruling(&asked));
        for item in less {
            prop_assert!(more.contains(&item), "{item:?} is gone");
        }
    }

    #[test]
    fn the_order_of_packs_does_not_matter(
        asked in transmissions(),
        first in select(built_in().to_vec()),
        second in select(built_in().to_vec()),
    ) {
        let one = stack(&[Arc::clone(&first), Arc::clone(&second)]);
        let other = stack(&[second, first]);
        prop_assert_eq!(said(&one.ruling(&asked)), said(&other.ruling(&asked)));
    }

    #[test]
    fn a_permission_lifts_what_it_names_and_nothing_else(asked in transmissions()) {
        let lasting = SMALL
            .replace("    spans: [[145.6, 145.7]]\n", "")
            .replace("    from: 2027-05-01\n    until: 2027-05-31\n", "");
        let without = stack(&[built_in_pack("us")]);
        let with = stack(&[built_in_pack("us"), pack(&lasting)]);
        // With a relay the permission may change what the law takes it for, and other rules bind then.
        prop_assume!(asked.purpose != Purpose::CrossBandRelay);
        for breach in without.ruling(&asked) {
            let still: Vec<_> = with
                .ruling(&asked)
                .into_iter()
                .filter(|other| other.rule == breach.rule && other.against == breach.against)
                .collect();
            prop_assert_eq!(still.len(), 1);
            if breach.rule == "us/repeater-segments" {
                prop_assert_eq!(still[0].force, Force::Note);
                prop_assert!(still[0].lifted_by.is_some());
            } else {
                prop_assert_eq!(still[0].force, breach.force);
                prop_assert!(still[0].lifted_by.is_none());
            }
        }
    }

    #[test]
    fn a_neighbour_s_pack_never_forbids(asked in transmissions()) {
        let law = Law::stack(
            built_in().iter().map(|pack| (Arc::clone(pack), Role::Neighbour)),
            None,
        ).unwrap();
        for breach in law.ruling(&asked) {
            prop_assert!(breach.force < Force::Forbidden);
        }
    }

    #[test]
    fn no_text_makes_the_reader_panic(text in ".{0,200}") {
        let _ = read("any.yaml", text.as_bytes());
    }
}

fn repeater_at(hertz: i64) -> Transmission {
    Transmission::new(
        Frequency::hz(hertz),
        "16K0F3E".parse().unwrap(),
        Purpose::RepeaterOutput,
    )
}

#[test]
fn a_permission_holds_in_its_stretch_and_on_its_days_only() {
    let law = stack(&[built_in_pack("us"), pack(SMALL)]);
    let at = |second| jiff::Timestamp::from_second(second).unwrap();
    let day: jiff::Timestamp = "2027-05-16T08:00:00Z".parse().unwrap();
    let lifted = |asked: &Transmission| {
        law.ruling(asked)
            .into_iter()
            .find(|breach| breach.rule == "us/repeater-segments")
            .map(|breach| (breach.force, breach.lifted_by.map(|held| held.name.clone())))
    };
    let mut asked = repeater_at(145_650_000);
    assert_eq!(
        lifted(&asked),
        Some((Force::Forbidden, None)),
        "its days are not known"
    );
    asked.period = Some((day, at(day.as_second() + 3_600)));
    assert_eq!(
        lifted(&asked),
        Some((
            Force::Note,
            Some("Letter of the invented coordinator".to_owned())
        ))
    );
    asked.period = Some((day, at(day.as_second() + 400 * 86_400)));
    assert_eq!(lifted(&asked), Some((Force::Forbidden, None)), "too late");
    let mut elsewhere = repeater_at(145_750_000);
    elsewhere.period = Some((day, day));
    assert_eq!(
        lifted(&elsewhere),
        Some((Force::Forbidden, None)),
        "another stretch"
    );
}

#[test]
fn a_permission_that_names_no_rule_is_told() {
    let slip = SMALL.replace("us/repeater-segments", "us/repeater-segment");
    let law = stack(&[built_in_pack("us"), pack(&slip)]);
    let names: Vec<&str> = law
        .unknown_lifts()
        .into_iter()
        .map(|(_, name)| name)
        .collect();
    assert_eq!(names, ["us/repeater-segment"]);
    let law = stack(&[built_in_pack("us"), pack(SMALL)]);
    assert!(law.unknown_lifts().is_empty());
}

#[test]
fn a_pair_that_is_set_aside_is_preferred() {
    let aside = format!(
        "{SMALL}coordinated:\n  - {{name: Pair A, legs: [446.3, 146.55], source: letter}}\n"
    );
    let without = stack(&[built_in_pack("us"), pack(SMALL)]);
    let with = stack(&[built_in_pack("us"), pack(&aside)]);
    let score = |law: &Law, hertz| law.preference(Frequency::hz(hertz), Purpose::CrossBandRelay);
    assert!(score(&with, 446_300_000) > score(&without, 446_300_000));
    assert_eq!(score(&with, 446_312_500), score(&without, 446_312_500));
    // The satellites' segment is the last place to look, the simplex segment the first.
    assert!(score(&with, 145_900_000) < score(&with, 147_200_000));
    assert!(score(&with, 147_200_000) < score(&with, 146_550_000));
}

#[test]
fn a_local_file_adds_exclusions_and_days_of_its_own() {
    let law = stack(&[pack(SMALL)]);
    let against = |hertz: i64, day: Option<&str>| -> Vec<(Against, Force)> {
        let mut asked = repeater_at(hertz);
        asked.period = day.map(|day| {
            let at: jiff::Timestamp = format!("{day}T12:00:00Z").parse().unwrap();
            (at, at)
        });
        law.ruling(&asked)
            .into_iter()
            .map(|breach| (breach.against, breach.force))
            .collect()
    };
    assert!(matches!(
        against(446_500_000, None).as_slice(),
        [(Against::Use { .. }, Force::Caution)]
    ));
    assert!(matches!(
        against(447_500_000, Some("2027-06-05")).as_slice(),
        [(
            Against::Time {
                is_inside: true,
                ..
            },
            Force::Forbidden
        )]
    ));
    assert!(against(447_500_000, Some("2027-06-07")).is_empty());
    assert!(matches!(
        against(447_500_000, None).as_slice(),
        [(
            Against::Time {
                is_inside: false,
                ..
            },
            Force::Caution
        )]
    ));
}

#[test]
fn a_faulty_pack_is_refused_with_every_fault_and_its_line() {
    let text = SMALL
        .replace("source: letter", "source: leter")
        .replace("[446.4, 446.6]", "[446.6, 446.4]")
        .replace("force: caution", "force: sometimes")
        .replace("  until: 2027-06-06", "  until: 2027-06-66");
    let error = read("club.yaml", text.as_bytes()).unwrap_err().to_string();
    for part in [
        "no source is called `leter`",
        "the lower edge does not lie below the upper one",
        "sometimes",
        "2027-06-66",
        "club.yaml",
    ] {
        assert!(error.contains(part), "{part} is missing in:\n{error}");
    }
}

#[test]
fn a_comparison_tells_what_was_added_removed_and_changed() {
    let before = pack(SMALL);
    let after = pack(
        &SMALL
            .replace("id: club-repeater", "id: club-station")
            .replace("[447.0, 448.0]", "[447.0, 448.5]"),
    );
    let told: Vec<String> = compare(&before, &after)
        .iter()
        .map(|difference| match difference {
            Difference::Added(entry) => format!("+{}", entry.id),
            Difference::Removed(entry) => format!("-{}", entry.id),
            Difference::Changed { after, .. } => format!("~{}", after.id),
        })
        .collect();
    assert_eq!(told, ["-club-repeater", "+club-station", "~rally-weekend"]);
    assert!(compare(&before, &before).is_empty());
}

#[test]
fn what_applies_at_a_frequency_depends_on_the_licence() {
    let told = |licence| -> Vec<String> {
        Law::named(&["uk"], Some(licence))
            .unwrap()
            .applies_at(Frequency::hz(433_450_000))
            .into_iter()
            .map(|(pack, entry)| format!("{}/{}", pack.id, entry.id))
            .collect()
    };
    let foundation = told("foundation");
    assert!(
        foundation.contains(&"uk/power-foundation".to_owned()),
        "{foundation:?}"
    );
    assert!(!foundation.contains(&"uk/power-full-70cm".to_owned()));
    assert!(told("full").contains(&"uk/power-full-70cm".to_owned()));
    assert!(
        foundation
            .iter()
            .any(|name| name.starts_with("iaru-r1/segment"))
    );
}

/// A rule that keeps a stretch for some uses shuts it to all others, in a ruling and in a search.
#[test]
fn a_stretch_kept_for_one_use_is_shut_to_every_other() {
    let us = include_str!("../src/law/packs/us.yaml");
    let only = us.replacen(
        "\nrules:\n",
        "\nrules:
  - id: kept
    spans: [[144.6, 144.7]]
    demand: {only: [simplex]}
    force: forbidden
    says: only simplex contacts are made here
    source: 97.205
",
        1,
    );
    let law = stack(&[pack(&only)]);
    for (_, purpose) in Purpose::ALL {
        let is_kept = purpose != Purpose::Simplex;
        let asked = Transmission::new(
            Frequency::hz(144_650_000),
            "11K0F3E".parse().unwrap(),
            purpose,
        );
        let shut = law
            .ruling(&asked)
            .into_iter()
            .any(|breach| breach.rule == "us/kept");
        assert_eq!(shut, is_kept, "{purpose:?}");
        let middle = Frequency::hz(144_650_000);
        let without = stack(&[built_in_pack("us")]).open_for("2m", purpose);
        let was_open = without.iter().any(|span| span.contains(middle));
        let is_open = law
            .open_for("2m", purpose)
            .iter()
            .any(|span| span.contains(middle));
        assert_eq!(is_open, was_open && !is_kept, "{purpose:?}");
    }
}

/// What a club's own file forbids without exception, no search goes through, as with a law.
#[test]
fn a_stretch_that_a_local_file_forbids_is_searched_by_nobody() {
    let club = "pack: club
title: Club file
kind: local
jurisdiction: an invented county
edition: '2027'
checked: 2027-02-01
sources:
  letter: {text: a letter, standing: published}
rules:
  - id: quiet-stretch
    spans: [[145.3, 145.4]]
    demand: forbidden
    force: FORCE
    says: the hospital's alarm is near
    source: letter
";
    let open = |packs: &[Arc<Pack>]| {
        let spans = stack(packs).open_for("2m", Purpose::Simplex);
        [145_299_999, 145_300_001, 145_399_999, 145_400_001].map(|hertz| {
            let at = Frequency::hz(hertz);
            spans.iter().any(|span| span.contains(at))
        })
    };
    let uk = built_in_pack("uk");
    let with = |force: &str| pack(&club.replace("FORCE", force));
    assert_eq!(open(std::slice::from_ref(&uk)), [true; 4]);
    assert_eq!(
        open(&[uk.clone(), with("forbidden")]),
        [true, false, false, true]
    );
    assert_eq!(open(&[uk, with("caution")]), [true; 4]);
}

/// Inside a convex ring a place is on the same side of every edge, which is another way to ask than counting crossings.
#[test]
fn a_polygon_holds_what_is_on_one_side_of_all_its_edges() {
    let ring = [
        (50.5, -3.0),
        (51.0, 1.5),
        (53.5, 2.5),
        (55.0, -1.0),
        (53.0, -4.5),
    ];
    let at = |(latitude, longitude)| Position::degrees(latitude, longitude).unwrap();
    let corners: Vec<Position> = ring.iter().copied().map(at).collect();
    let turned = Shape::Polygon(corners.iter().rev().copied().collect());
    let shape = Shape::Polygon(corners);
    let mut inside = 0;
    for north in 0..60 {
        for east in 0..80 {
            let (latitude, longitude) = (
                50.03 + f64::from(north) * 0.09,
                -5.02 + f64::from(east) * 0.1,
            );
            let edges = ring.iter().zip(ring.iter().cycle().skip(1));
            let expected = edges
                .map(|(from, to)| {
                    (to.1 - from.1) * (latitude - from.0) - (to.0 - from.0) * (longitude - from.1)
                })
                .all(|side| side > 0.0);
            let place = at((latitude, longitude));
            assert_eq!(shape.holds(place), expected, "{latitude} {longitude}");
            assert_eq!(turned.holds(place), expected, "{latitude} {longitude}");
            inside += u32::from(expected);
        }
    }
    assert!(inside > 1_000, "{inside}");
}
