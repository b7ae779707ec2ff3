//! Absurd but valid questions: a right answer, or a limit that is told beforehand; never a wrong number.
//!
//! Distances on the ellipsoid are checked against the meridian quadrant of WGS 84, 10 001 965.729 m (a textbook figure, from
//! memory), and free space against `20·log₁₀(4πd/λ)`, worked out here by hand.

use std::collections::BTreeSet;
use std::f64::consts::PI;
use std::fs;
use std::path::PathBuf;
use std::process::Command;
use std::time::{Duration, Instant};

use quietpair::assess::{Verdict, assess, judge};
use quietpair::effort::{CEILING, Effort};
use quietpair::finding::Finding;
use quietpair::physics::geodesic::{Spoke, chord, course};
use quietpair::physics::mixing::{
    arithmetic, combinations, combined_frequency, product_tolerance, product_width, products,
};
use quietpair::quantity::{
    Decibels, Emission, Frequency, Length, Level, Offset, Position, Power, Tolerance, power_sum,
};
use quietpair::scenario::{NoFiles, Plan, read};
use quietpair::scene::{Reach, Scene};

#[path = "../benches/workload/mod.rs"]
mod workload;

/// The highest frequency that a text may name.
const HIGHEST: Frequency = Frequency::hz(300_000_000_000);

fn plan_of(text: &str) -> Plan {
    read("limits.yaml", text.as_bytes(), &NoFiles).unwrap_or_else(|faults| panic!("{faults}"))
}

#[track_caller]
fn refused(text: &str) -> String {
    match read("limits.yaml", text.as_bytes(), &NoFiles) {
        Err(faults) => faults.to_string(),
        Ok(_) => panic!("it is taken: {text}"),
    }
}

/// Exit code, standard output, standard error.
fn run(arguments: &[&str]) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_quietpair"))
        .args(arguments)
        .output()
        .unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (
        output.status.code().unwrap(),
        text(output.stdout),
        text(output.stderr),
    )
}

fn file(name: &str, text: &str) -> PathBuf {
    let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("limits-{name}"));
    fs::write(&path, text).unwrap();
    path
}

#[track_caller]
fn near(one: f64, other: f64, within: f64) {
    assert!((one - other).abs() <= within, "{one} is not {other}");
}

/// One station that talks at each of two places.
fn two_at(one: &str, other: &str) -> String {
    format!(
        "event: {{name: Two}}\nrules: [uk]\nlicence: full\n\
         sites:\n  one: {{at: [{one}], ground: 10 m}}\n  other: {{at: [{other}], ground: 10 m}}\n\
         stations:\n  \
         - {{name: A, site: one, radio: handheld, talk: 145.5000}}\n  \
         - {{name: B, site: other, radio: handheld, talk: 145.5250}}\n"
    )
}

/// What is lost from A to B, in dB.
fn lost(plan: &Plan) -> f64 {
    let scene = Scene::build(plan, None);
    let (from, to) = (scene.transmitters.get(0), scene.receivers.get(1));
    let (from, to) = (from.unwrap(), to.unwrap());
    let reach = Reach {
        unit: from.unit,
        mast: from.mast,
    };
    scene.loss(reach, to, from.frequency).as_db()
}

/// Every number of a finding is one.
fn is_finite(finding: &Finding) -> bool {
    let levels = [finding.level, finding.threshold];
    let levels = levels.into_iter().flatten().map(Level::as_dbm);
    let ratios = [finding.margin, finding.spread];
    let ratios = ratios.into_iter().flatten().map(Decibels::as_db);
    let steps = finding.budget.iter().chain(&finding.limit);
    let steps = steps.map(|step| step.change.as_db());
    levels.chain(ratios).chain(steps).all(f64::is_finite)
        && finding
            .chance
            .is_none_or(|chance| (0.0..=1.0).contains(&chance.as_fraction()))
}

/// Everything that is found of a plan and of its proposals.
fn all_of(plan: &Plan) -> Vec<Finding> {
    let assessment = assess(plan);
    let proposals = assessment.proposals.into_iter();
    std::iter::once(assessment.plan)
        .chain(proposals)
        .flat_map(|judged| judged.findings)
        .collect()
}

fn at(north: f64, east: f64) -> Position {
    Position::degrees(north, east).unwrap()
}

#[test]
fn the_poles_and_antipodes_are_half_a_meridian_apart() {
    let km = |from, to| course(from, to).distance.as_km();
    // Twice the quadrant; on the equator the shortest way to the antipode leads over a pole.
    let half = 20_003.931_458;
    near(km(at(90.0, 0.0), at(-90.0, 0.0)), half, 1e-3);
    near(km(at(90.0, 17.0), at(-90.0, -99.0)), half, 1e-3);
    near(km(at(0.0, 0.0), at(0.0, 180.0)), half, 1e-3);
    near(km(at(0.0, -90.0), at(0.0, 90.0)), half, 1e-3);
    near(km(at(54.4, -0.5), at(-54.4, 179.5)), half, 1e-3);
    near(km(at(90.0, 0.0), at(90.0, 180.0)), 0.0, 1e-6);
    near(km(at(90.0, 0.0), at(0.0, 33.0)), half / 2.0, 1e-3);
    for (from, to) in [
        (at(90.0, 0.0), at(-90.0, 0.0)),
        (at(0.0, 0.0), at(0.0, 180.0)),
        (at(0.5, 0.0), at(-0.5, 179.7)),
    ] {
        assert!(chord(Spoke::to(from), Spoke::to(to)) < course(from, to).distance);
        assert!(course(from, to).bearing.as_degrees().is_finite());
    }
    // From pole to pole nothing is heard, and free space is the least that is lost.
    let plan = plan_of(&two_at("90, 0", "-90, 0"));
    let wavelength = 299_792_458.0 / 145.5e6;
    let free_space = 20.0 * (4.0 * PI * half * 1e3 / wavelength).log10();
    let lost = lost(&plan);
    assert!(
        lost.is_finite() && lost > free_space - 10.0,
        "{lost} against {free_space}"
    );
    let findings = all_of(&plan);
    assert!(findings.iter().all(is_finite));
    let by_each_other = findings.iter().filter(|one| {
        let victim = one.victim.as_ref().map_or("", |victim| &victim.station);
        let is_by = |name: &str| {
            one.sources
                .iter()
                .any(|source| source.name.starts_with(name))
        };
        (victim == "B" && is_by("A")) || (victim == "A" && is_by("B"))
    });
    assert_eq!(by_each_other.count(), 0);
}

#[test]
fn across_the_date_line_is_as_far_as_anywhere_else() {
    for (west, east, shifted) in [
        (179.9, -179.9, 0.2),
        (180.0, -180.0, 0.0),
        (-179.5, 179.0, 1.5),
    ] {
        let across = course(at(-17.0, west), at(-17.2, east)).distance;
        let here = course(at(-17.0, 0.0), at(-17.2, shifted)).distance;
        near(across.as_metres(), here.as_metres(), 1e-3);
        let (straight, same) = (
            chord(Spoke::to(at(-17.0, west)), Spoke::to(at(-17.2, east))),
            chord(Spoke::to(at(-17.0, 0.0)), Spoke::to(at(-17.2, shifted))),
        );
        near(straight.as_metres(), same.as_metres(), 1e-3);
    }
    let across = plan_of(&two_at("-17, 179.98", "-17, -179.98"));
    let here = plan_of(&two_at("-17, 10.0", "-17, 10.04"));
    near(lost(&across), lost(&here), 1e-6);
    let told = |plan: &Plan| {
        let mut all: Vec<(String, Option<Decibels>)> = (all_of(plan).into_iter())
            .map(|one| (format!("{} {}", one.check, one.arithmetic), one.margin))
            .collect();
        all.sort_unstable_by(|one, other| one.0.cmp(&other.0));
        all
    };
    let (across, here) = (told(&across), told(&here));
    assert!(!here.is_empty() && across.len() == here.len());
    for (one, other) in across.iter().zip(&here) {
        assert_eq!(one.0, other.0);
        assert_eq!(one.1.is_some(), other.1.is_some());
        let apart = one
            .1
            .zip(other.1)
            .map_or(0.0, |(one, other)| (one - other).as_db());
        assert!(apart.abs() < 1e-6, "{}", one.0);
    }
}

#[test]
fn at_the_same_place_a_loss_is_that_of_the_closest_distance_and_a_distance_of_nothing_is_refused() {
    let lost_at = |one: &str, other: &str| lost(&plan_of(&two_at(one, other)));
    let same = lost_at("54.4, -0.5", "54.4, -0.5");
    let touching = lost_at("54.4, -0.5", "54.400001, -0.5");
    near(same, touching, 1e-9);
    // Two metres, the closest that is reckoned with, in free space: 21.7 dB. Antennas that near gain nothing more.
    assert!(same.is_finite() && same > 10.0, "{same}");
    let further = lost_at("54.4, -0.5", "54.41, -0.5");
    assert!(same < further, "{same} {further}");
    let all_together = two_at("54.4, -0.5", "54.4, -0.5");
    assert!(all_of(&plan_of(&all_together)).iter().all(is_finite));
    for wrong in ["0 m", "-5 km", "0.05 m", "30000 km"] {
        let text = format!(
            "{}in_use:\n  - {{name: N, frequency: 145.6000, power: 5 W, distance: {wrong}}}\n",
            two_at("54.4, -0.5", "54.5, -0.5")
        );
        let told = refused(&text);
        assert!(told.contains("distance between antennas"), "{told}");
    }
}

#[test]
fn a_power_of_a_gigawatt_is_120_dbm_and_more_is_refused() {
    let power: Power = "1e9 W".parse().unwrap();
    near(power.level().as_dbm(), 120.0, 1e-9);
    for text in [
        "1.1e9 W",
        "120.1 dBm",
        "1e300 W",
        "inf W",
        "nan W",
        "0 W",
        "-1 W",
    ] {
        assert!(text.parse::<Power>().is_err(), "{text}");
    }
    let text = two_at("54.4, -0.5", "54.41, -0.5").replace(
        "A, site: one, radio: handheld",
        "A, site: one, radio: handheld, power: 1e9 W",
    );
    let plan = plan_of(&text);
    let scene = Scene::build(&plan, None);
    let sent = scene
        .transmitters
        .get(0)
        .map(|one| one.power.value.as_dbm());
    near(sent.unwrap(), 120.0, 1e-9);
    let findings = all_of(&plan);
    assert!(findings.iter().all(is_finite));
    // 1.1 km away some sixty dB are lost: nobody can listen beside that.
    let worst = findings.iter().filter_map(|one| one.margin).min().unwrap();
    assert!(worst < Decibels::db(-100.0), "{worst}");
    assert_eq!(Verdict::of(&findings), Verdict::Conflict);
}

#[test]
fn a_thousand_parts_in_a_million_are_145_kilohertz_at_145_megahertz() {
    let most: Tolerance = "1000 ppm".parse().unwrap();
    assert_eq!(most.of(Frequency::hz(145_000_000)), Offset::hz(145_000));
    assert_eq!(most.of(HIGHEST), Offset::hz(300_000_000));
    assert!("1000.001 ppm".parse::<Tolerance>().is_err());
    assert!("-1 ppm".parse::<Tolerance>().is_err());
    // 2A − B, all of them 1000 ppm off the worse way: 3 × 145 kHz.
    let terms = [
        (2, Frequency::hz(145_000_000), most),
        (-1, Frequency::hz(145_000_000), most),
    ];
    assert_eq!(product_tolerance(&terms), Offset::hz(435_000));
    // How far off a carrier still meets a channel: with such a crystal, 145 kHz further.
    let heard = |apart_khz: i64, tolerance: &str| {
        let other = Frequency::hz(145_000_000 + apart_khz * 1_000).digits();
        let text = format!(
            "event: {{name: Off}}\nrules: [uk]\nlicence: full\n\
             radios:\n  loose: {{based_on: mobile-2m, transmitter: {{tolerance: {tolerance}}}}}\n  \
             exact: {{based_on: mobile-2m, receiver: {{tolerance: 0 ppm}}}}\n\
             sites:\n  one: {{at: [54.4, -0.5]}}\n  other: {{at: [54.41, -0.5]}}\n\
             stations:\n  - {{name: A, site: one, radio: loose, talk: 145.0000}}\n  \
             - {{name: B, site: other, radio: exact, watch: {other}}}\n"
        );
        let mut found = all_of(&plan_of(&text)).into_iter();
        found.any(|one| {
            one.check == "co-channel" && one.victim.is_some_and(|who| who.station == "B")
        })
    };
    let furthest = (1..30)
        .take_while(|&apart| heard(apart, "0 ppm"))
        .last()
        .unwrap();
    assert!(furthest > 6);
    assert!(heard(furthest + 145, "1000 ppm"));
    assert!(!heard(furthest + 146, "1000 ppm"));
}

#[test]
fn order_fifteen_of_the_highest_frequency_is_far_inside_64_bits() {
    let fifteen = combined_frequency(&[(15, HIGHEST)]).unwrap();
    assert_eq!(fifteen.as_hz(), 4_500_000_000_000);
    assert_eq!(
        HIGHEST.times(-15) + (HIGHEST - Frequency::hz(0)),
        HIGHEST.times(-14)
    );
    let emission: Emission = "16K0F3E".parse().unwrap();
    assert_eq!(
        product_width(&[(15, emission)]).as_hz(),
        2 * 15 * 5_000 + 6_000
    );
    // As many products as the closed form counts, with the first at its place.
    let signals = [145_500_000, 433_500_000].map(Frequency::hz);
    let all = products(&signals, 15);
    assert_eq!(all.len() as u64, combinations(2, 15));
    for product in &all {
        let sum: i128 = (product.coefficients.iter().zip(signals))
            .map(|(&c, signal)| i128::from(c) * i128::from(signal.as_hz()))
            .sum();
        assert_eq!(i128::from(product.frequency.as_hz()), sum);
        assert!(sum > 0);
    }
    assert_eq!(arithmetic(&[(15, HIGHEST)]), "15 × 300000.0000");
    let (code, out, err) = run(&[
        "products",
        "300 GHz",
        "299.99 GHz",
        "--onto",
        "300 GHz",
        "--order",
        "15",
        "--within",
        "1 GHz",
        "--format",
        "json",
    ]);
    assert_eq!((code, err.as_str()), (0, ""));
    let told: serde_json::Value = serde_json::from_str(&out).unwrap();
    for landing in told["landings"].as_array().unwrap() {
        let of = |index: usize| landing["coefficients"][index].as_i64().unwrap();
        let sum = of(0) * 300_000_000_000 + of(1) * 299_990_000_000;
        assert_eq!(landing["product_hz"].as_i64(), Some(sum));
        assert_eq!(landing["offset_hz"].as_i64(), Some(sum - 300_000_000_000));
    }
    assert!(told["landings"].as_array().unwrap().len() > 7);
    // A scenario says beforehand how far it goes.
    let told = refused(&format!(
        "{}settings: {{order: 15}}\n",
        two_at("54.4, -0.5", "54.5, -0.5")
    ));
    assert!(
        told.contains("15 is no order of intermodulation: from 2 to 7"),
        "{told}"
    );
}

#[test]
fn levels_and_ratios_are_numbers_whatever_they_are_made_of() {
    let odd = [
        f64::NAN,
        f64::INFINITY,
        f64::NEG_INFINITY,
        f64::MAX,
        f64::MIN_POSITIVE,
        0.0,
        -0.0,
        -1.0,
        1e300,
    ];
    for one in odd {
        let levels = [
            Level::dbm(one),
            Level::milliwatts(one),
            Level::microvolts(one),
            Power::watts(one).level(),
        ];
        let ratios = [Decibels::db(one), Decibels::of_power(one)];
        for level in levels {
            assert!(level.as_dbm().is_finite(), "{one}");
            assert!(level.as_dbm().abs() <= 1e6);
            for ratio in ratios {
                assert!(ratio.as_db().is_finite(), "{one}");
                for other in odd {
                    assert!((ratio * other).as_db().is_finite(), "{one} × {other}");
                }
                assert!(
                    (level + ratio).as_dbm().is_finite() && (level - ratio).as_dbm().is_finite()
                );
                assert!((level - Level::dbm(f64::INFINITY)).as_db().is_finite());
            }
            assert!(
                power_sum([level, Level::dbm(f64::NAN), level])
                    .as_dbm()
                    .is_finite()
            );
        }
        let text = format!("{one}");
        for unit in ["", " dB", " dBm", " W", " m", " uV"] {
            let text = format!("{text}{unit}");
            let read = [
                text.parse::<Decibels>().map(Decibels::as_db),
                text.parse::<Level>().map(Level::as_dbm),
                text.parse::<Power>().map(Power::as_watts),
                text.parse::<Length>().map(Length::as_metres),
            ];
            assert!(read.into_iter().flatten().all(f64::is_finite), "{text}");
        }
    }
}

/// An event between two times, with one station.
fn event(from: &str, to: &str) -> String {
    format!(
        "event: {{name: Day, from: \"{from}\", to: \"{to}\"}}\nrules: [uk]\nlicence: full\n\
         sites: {{hill: {{at: IO94ql}}}}\nstations:\n  - {{name: A, site: hill, radio: handheld, talk: 145.5000}}\n"
    )
}

#[test]
fn a_day_on_which_the_clocks_change_has_23_or_25_hours() {
    let hours =
        |from: &str, to: &str| plan_of(&event(from, to)).lasts.value.as_secs() as f64 / 3_600.0;
    for (from, to, expected) in [
        (
            "2027-03-28T00:00+00:00[Europe/London]",
            "2027-03-29T00:00+01:00[Europe/London]",
            23.0,
        ),
        (
            "2027-10-31T00:00+01:00[Europe/London]",
            "2027-11-01T00:00+00:00[Europe/London]",
            25.0,
        ),
        // Lord Howe changes by half an hour.
        (
            "2027-04-04T00:00+11:00[Australia/Lord_Howe]",
            "2027-04-05T00:00+10:30[Australia/Lord_Howe]",
            24.5,
        ),
        // Samoa left out a whole day when it crossed the date line.
        (
            "2011-12-29T00:00-10:00[Pacific/Apia]",
            "2011-12-31T12:00+14:00[Pacific/Apia]",
            36.0,
        ),
        (
            "2028-02-28T12:00+00:00[Europe/London]",
            "2028-03-01T12:00+00:00[Europe/London]",
            48.0,
        ),
    ] {
        near(hours(from, to), expected, 1e-9);
    }
    for (from, why) in [
        ("2016-12-31T23:59:60+00:00[Europe/London]", "leap second"),
        ("2027-03-28T01:30[Europe/London]", "no single moment"),
        ("2027-10-31T01:30[Europe/London]", "no single moment"),
        ("2027-03-28T01:30+00:00[Europe/Nowhere]", "no such zone"),
        ("9999-12-31T24:01+00:00[Europe/London]", "not a time"),
    ] {
        let told = refused(&event(from, "2099-01-01T00:00+00:00[Europe/London]"));
        assert!(told.contains(why), "{from}: {told}");
    }
}

#[test]
fn a_clock_time_after_midnight_that_the_change_of_clocks_skips_is_refused_too() {
    let on_air = |to: &str| {
        event(
            "2027-03-27T20:00+00:00[Europe/London]",
            "2027-03-28T09:00+01:00[Europe/London]",
        )
        .replace(
            "talk: 145.5000",
            &format!("talk: 145.5000, on_air: [{{from: 23:00, to: {to}}}]"),
        )
    };
    let told = refused(&on_air("01:30"));
    assert!(told.contains("the clocks change then"), "{told}");
    let windows = &plan_of(&on_air("02:30")).stations[0].windows;
    assert_eq!(
        windows[0].to - windows[0].from,
        9_000,
        "an hour is left out"
    );
}

#[test]
fn an_event_is_as_long_as_a_run_through_it_can_be() {
    let told = refused(&event(
        "2000-01-01T00:00+00:00[Europe/London]",
        "2027-01-01T00:00+00:00[Europe/London]",
    ));
    assert!(told.contains("at most 100"), "{told}");
    let plan = plan_of(&event(
        "2027-01-01T00:00+00:00[Europe/London]",
        "2027-04-10T23:00+01:00[Europe/London]",
    ));
    assert_eq!(plan.lasts.value.as_secs(), 100 * 86_400 - 7_200);
    assert!(all_of(&plan).iter().all(is_finite));
}

/// So many sites along a coast, a station at every tenth.
fn along_a_coast(sites: usize) -> Plan {
    let mut text = String::from(
        "event: {name: Coast}\nrules: [uk]\nlicence: full\nsettings: {order: 3, signals: 2}\nsites:\n",
    );
    for site in 0..sites {
        let north = 54.0 + 0.01 * f64::from(u32::try_from(site).unwrap());
        text += &format!("  s{site}: {{at: [{north:.3}, -0.5]}}\n");
    }
    text += "stations:\n";
    for site in (0..sites).step_by(10) {
        let at = 145.2 + 0.0125 * f64::from(u32::try_from(site % 4).unwrap());
        text += &format!("  - {{name: W{site}, site: s{site}, radio: handheld, talk: {at:.4}}}\n");
    }
    plan_of(&text)
}

#[test]
fn a_hundred_sites_are_judged_as_the_first_of_them_are() {
    let (few, many) = (along_a_coast(11), along_a_coast(100));
    assert_eq!(many.sites.len(), 100);
    let told = |plan: &Plan| -> BTreeSet<String> {
        let findings = judge(plan, None).findings;
        assert!(findings.iter().all(is_finite));
        let ours = findings.into_iter().filter(|one| {
            let near = one.victim.as_ref().map_or("", |victim| &victim.station);
            let is_by = |name: &str| name.starts_with("W0") || name.starts_with("W10");
            (near.ends_with(" near s0") || near.ends_with(" near s10"))
                && one.sources.iter().all(|source| is_by(&source.name))
        });
        ours.map(|one| {
            format!(
                "{} {} {:?} {:?}",
                one.check, one.arithmetic, one.level, one.margin
            )
        })
        .collect()
    };
    let (few, many) = (told(&few), told(&many));
    assert!(!few.is_empty());
    assert_eq!(few, many);
}

fn asked(workload: workload::Workload) -> Effort {
    let plan = plan_of(&workload.scenario());
    Effort::of_search(&plan, &plan.searches[0])
}

#[test]
fn what_is_known_to_end_soon_is_let_through_and_what_is_not_is_asked_about() {
    for (workload, is_small) in [
        (workload::S, true),
        (workload::M, true),
        (workload::L, true),
        (workload::XL, true),
        (workload::REGIONAL, false),
    ] {
        let effort = asked(workload);
        assert_eq!(effort <= CEILING, is_small, "{}: {effort}", workload.name);
    }
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("scenarios");
    let mut seen = 0;
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|kind| kind != "yaml") {
            continue;
        }
        let bytes = fs::read(&path).unwrap();
        let Ok(plan) = read("plan.yaml", &bytes, &Beside) else {
            panic!("{}", path.display());
        };
        seen += 1;
        let searches = plan.searches.iter();
        let searches = searches.map(|search| Effort::of_search(&plan, search));
        let assign = plan
            .assign
            .iter()
            .map(|open| Effort::of_assign(&plan, open));
        for effort in searches.chain(assign).chain([Effort::of_report(&plan)]) {
            assert!(effort <= CEILING, "{}: {effort}", path.display());
        }
    }
    assert!(seen > 5);
}

/// Files beside the scenarios.
struct Beside;

impl quietpair::scenario::Files for Beside {
    fn read(&self, path: &str) -> std::io::Result<Vec<u8>> {
        fs::read(
            PathBuf::from(env!("CARGO_MANIFEST_DIR"))
                .join("scenarios")
                .join(path),
        )
    }
}

#[test]
fn ten_thousand_neighbours_and_a_million_pairs_are_asked_about_before_any_work() {
    let many = workload::Workload {
        neighbours: 10_000,
        ..workload::REGIONAL
    };
    let path = file("many.yaml", &many.scenario());
    let path = path.to_str().unwrap();
    for (command, what) in [
        ("rank", "this search"),
        ("check", "this check"),
        ("report", "this report"),
        ("review", "this review"),
    ] {
        let begun = Instant::now();
        let (code, out, err) = run(&[command, path]);
        assert_eq!((code, out.as_str()), (2, ""), "{command}: {err}");
        assert!(err.contains(&format!("{what} is about ")), "{err}");
        assert!(
            err.contains("products; up to 1·10¹² products are gone through unasked"),
            "{err}"
        );
        assert!(
            err.contains("--however-long") && err.contains("there are 10000"),
            "{err}"
        );
        let is_told_of_searches = err.contains("--time-limit");
        assert_eq!(is_told_of_searches, command == "rank", "{err}");
        assert!(
            begun.elapsed() < Duration::from_mins(1),
            "it had to work for that"
        );
    }
    // Where a lower order is enough to make it answerable, the message names it.
    let some = workload::Workload {
        neighbours: 1_250,
        ..workload::S
    };
    let path = file("some.yaml", &some.scenario());
    let (code, _, err) = run(&["rank", path.to_str().unwrap()]);
    assert_eq!(code, 2);
    assert!(err.contains("hint: use --order 5 (about "), "{err}");
}

#[test]
fn what_the_call_leaves_out_is_left_out_and_said() {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("scenarios");
    let path = folder.join("harbour-half-marathon.yaml");
    let path = path.to_str().unwrap();
    let whole = run(&["check", path, "--format", "json", "--proposal", "C"]);
    let (code, out, err) = run(&[
        "check",
        path,
        "--format",
        "json",
        "--proposal",
        "C",
        "--order",
        "2",
        "--signals",
        "2",
    ]);
    assert!(matches!(code, 0 | 1));
    assert_eq!(
        err,
        "quietpair: products up to order 2 and of 2 signals at most were looked at, as the call says\n"
    );
    assert!(whole.1.contains("intermodulation") && whole.1.len() > out.len());
    let told: serde_json::Value = serde_json::from_str(&out).unwrap();
    for finding in told["findings"].as_array().unwrap() {
        if finding["check"] == "receiver-intermodulation" {
            let coefficients = finding["sources"].as_array().unwrap().iter();
            let order: i64 = coefficients
                .map(|one| one["coefficient"].as_i64().unwrap().abs())
                .sum();
            assert!(order <= 2, "{finding}");
        }
    }
    for wrong in [["--order", "15"], ["--order", "1"], ["--signals", "9"]] {
        let (code, _, err) = run(&[&["check", path][..], &wrong].concat());
        assert_eq!(code, 2);
        assert!(err.contains("expected a whole number from 2 to "), "{err}");
    }
}

#[test]
fn too_many_combinations_are_told_by_their_number() {
    let signals = |count: i64| -> Vec<Frequency> {
        (1..=count)
            .map(|place| Frequency::hz(place * 12_500))
            .collect()
    };
    let refused = |count: i64, order: u32| {
        let targets = [Frequency::hz(145_000_000)];
        let reach = Offset::hz(0);
        quietpair::physics::mixing::landings(&signals(count), &targets, order, reach)
            .unwrap_err()
            .to_string()
    };
    // Order 2 of n signals: (Σₖ 2ᵏ·C(n, k)·C(2, k) − 1 − 2n) / 2 = n², worked by hand.
    assert!(
        refused(8_000, 2).contains("64 million combinations"),
        "{}",
        refused(8_000, 2)
    );
    assert!(
        refused(5_000, 40).contains("combinations without number"),
        "{}",
        refused(5_000, 40)
    );
}
