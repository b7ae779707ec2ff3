//! What power, filters and distance may do to levels, and what one neighbour more may not do.

use std::collections::BTreeMap;

use quietpair::quantity::{Bandwidth, Decibels, Frequency, Power, Span};
use quietpair::scenario::{FilterLoss, NoFiles, Plan, read};

use super::encounters::{Met, encounters};
use super::plans::{NEIGHBOURS, STATIONS, sample, scenarios};
use super::{said, subjects};

/// Levels are sums of decibels; what is left of rounding is far below this.
const ROUNDING: Decibels = Decibels::db(1e-9);

/// Nothing is louder than it was, and nothing new is heard.
fn assert_no_louder(
    before: &BTreeMap<String, Met>,
    after: &BTreeMap<String, Met>,
    what: &str,
    counts: impl Fn(&Met) -> bool,
) {
    for (name, now) in after.iter().filter(|(_, now)| counts(now)) {
        let was = before.get(name);
        assert!(
            was.is_some_and(|was| now.level <= was.level + ROUNDING),
            "{what}: {name}: {was:?} to {now:?}"
        );
    }
}

/// How many are fainter than they were, or gone.
fn fainter(before: &BTreeMap<String, Met>, after: &BTreeMap<String, Met>) -> usize {
    before
        .iter()
        .filter(|(name, was)| {
            after
                .get(*name)
                .is_none_or(|now| now.level < was.level - ROUNDING)
        })
        .count()
}

/// The plan with something changed, before and after, for the plan as it stands and for its first proposal.
fn compare(plan: &Plan, change: impl Fn(&mut Plan), what: &str) -> usize {
    let mut after = plan.clone();
    change(&mut after);
    let asked = subjects(plan).take(2);
    asked
        .map(|proposal| {
            let (before, after) = (encounters(plan, proposal), encounters(&after, proposal));
            assert_no_louder(&before, &after, what, |_| true);
            fainter(&before, &after)
        })
        .sum()
}

#[test]
fn less_power_raises_no_level() {
    let mut moved = 0;
    for (name, mut plan) in scenarios() {
        for index in 0..plan.stations.len() {
            plan.stations[index].power = Some(said(Power::watts(20.0)));
            let what = format!("{name}, {} turned down", plan.stations[index].name);
            moved += compare(
                &plan,
                |plan| plan.stations[index].power = Some(said(Power::watts(2.0))),
                &what,
            );
        }
        for index in 0..plan.in_use.len() {
            let what = format!("{name}, {} turned down", plan.in_use[index].name);
            compare(
                &plan,
                |plan| {
                    let eirp = &mut plan.in_use[index].eirp;
                    eirp.value = Power::of_level(eirp.value.level() - Decibels::db(10.0));
                },
                &what,
            );
        }
    }
    assert!(moved > 100, "power moves only {moved}");
}

#[test]
fn more_filter_raises_no_level() {
    let mut moved = 0;
    for (name, plan) in scenarios() {
        for (index, station) in plan.stations.iter().enumerate() {
            for centre in [145_250_000, 433_450_000] {
                let filter = |loss| FilterLoss {
                    name: "of a test".to_owned(),
                    span: Span::around(Frequency::hz(centre), Bandwidth::hz(6_000_000)),
                    loss: said(Decibels::db(loss)),
                };
                let mut some = plan.clone();
                some.stations[index].filters.push(filter(10.0));
                let what = format!("{name}, a filter at {}", station.name);
                let put =
                    |loss| move |plan: &mut Plan| plan.stations[index].filters.push(filter(loss));
                moved += compare(&plan, put(10.0), &what);
                compare(&some, put(20.0), &what);
            }
        }
    }
    assert!(moved > 100, "filters move only {moved}");
}

/// One hill, and three neighbours who leave it in three directions, so that none comes nearer to another.
fn leaving(kilometres: [f64; 3], path: &str) -> Plan {
    let steps = [(1.0, 0.0), (-0.5, 0.866), (-0.5, -0.866)];
    let channels = [
        "output: 145.6500, input: 145.0500",
        "output: 433.2250, input: 434.8250",
        "frequency: 145.3500",
    ];
    let mut text = format!(
        "event: {{name: Leaving}}\nrules: [uk]\nlicence: full\n\
         sites: {{hill: {{at: [54.0, 0.0], ground: 100 m}}}}\nsettings: {{path: {path}}}\n\
         stations:\n  - {{name: Relay, site: hill, radio: dual-band-mobile, cross_band: [433.4500, 145.2250]}}\n  \
         - {{name: Watch, site: hill, radio: handheld, watch: 145.4750}}\nin_use:\n"
    );
    for (index, ((north, east), channel)) in steps.into_iter().zip(channels).enumerate() {
        let away = kilometres[index] / 111.2;
        let (latitude, longitude) = (54.0 + north * away, east * away / 54f64.to_radians().cos());
        text += &format!(
            "  - {{name: N{index}, {channel}, erp: 25 W, at: [{latitude:.6}, {longitude:.6}], antenna: 20 m, ground: 100 m}}\n"
        );
    }
    read("leaving.yaml", text.as_bytes(), &NoFiles).unwrap_or_else(|faults| panic!("{faults}"))
}

#[test]
fn a_neighbour_that_moves_away_is_heard_no_better_on_the_same_model() {
    for path in ["free-space", "plane-earth", "smooth-earth"] {
        let mut moved = 0;
        for which in 0..3 {
            let (mut near, mut before) = ([2.0; 3], None);
            for far in [2.0, 5.0, 12.0, 30.0] {
                near[which] = far;
                let now = encounters(&leaving(near, path), None);
                if let Some(before) = &before {
                    assert_no_louder(
                        before,
                        &now,
                        &format!("{path}, N{which} at {far} km"),
                        |one| one.is_ours,
                    );
                    moved += fainter(before, &now);
                }
                before = Some(now);
            }
        }
        assert!(moved > 10, "{path}: distance moves nothing");
    }
}

/// What is heard among fewer is heard among all, as loud.
fn assert_all_there(fewer: &BTreeMap<String, Met>, all: &BTreeMap<String, Met>, what: &str) {
    for (name, was) in fewer {
        let now = all.get(name);
        assert!(
            now.is_some_and(|now| (now.level - was.level).as_db().abs() < ROUNDING.as_db()),
            "{what}: {name}: {was:?} to {now:?}"
        );
    }
}

#[test]
fn another_neighbour_takes_no_encounter_away() {
    let all = encounters(&sample(&STATIONS, &NEIGHBOURS), Some(0));
    for (left_out, name) in NEIGHBOURS.iter().enumerate() {
        let mut fewer = NEIGHBOURS.to_vec();
        fewer.remove(left_out);
        let before = encounters(&sample(&STATIONS, &fewer), Some(0));
        assert!(before.len() < all.len(), "{name}");
        assert_all_there(&before, &all, name);
    }
    for (name, plan) in scenarios() {
        let all = encounters(&plan, None);
        for index in 0..plan.in_use.len() {
            let mut fewer = plan.clone();
            // An entry that nothing else names can be taken out by silencing it for good.
            let entry = &mut fewer.in_use[index];
            (entry.output, entry.input) = (None, None);
            let what = format!("{name} without {}", entry.name);
            assert_all_there(&encounters(&fewer, None), &all, &what);
        }
    }
}
