//! A path model chosen in the scenario speaks for every path it can, and the budget says where it was chosen.

use std::io;

use quietpair::assess::assess;
use quietpair::physics::path;
use quietpair::scenario::{Files, Plan, read};
use quietpair::scene::Scene;

struct Nothing;

impl Files for Nothing {
    fn read(&self, _: &str) -> io::Result<Vec<u8>> {
        Err(io::ErrorKind::NotFound.into())
    }
}

/// Two channels 12.5 kHz apart, 9 km from each other, and what is set.
fn text(settings: &str) -> String {
    format!(
        "event: {{name: Walk}}
rules: [uk]
licence: full
settings: {{{settings}}}
sites:
  hill: {{at: [54.4150, -0.5320], ground: 100 m}}
  shore: {{at: [54.4950, -0.5320], ground: 5 m}}
stations:
  - {{name: Hill, site: hill, radio: mobile-2m, talk: 145.5250}}
  - {{name: Shore, site: shore, radio: mobile-2m, talk: 145.5250}}
  - {{name: Beside, site: shore, radio: mobile-2m, talk: 145.5375}}
"
    )
}

fn plan_of(text: &str) -> Plan {
    match read("walk.yaml", text.as_bytes(), &Nothing) {
        Ok(plan) => plan,
        Err(error) => panic!("{error}"),
    }
}

/// The paths in the budgets of the findings of a check, each with its note.
fn paths(settings: &str, check: fn(&str) -> bool) -> Vec<(String, String)> {
    paths_of(&text(settings), check)
}

fn paths_of(text: &str, check: fn(&str) -> bool) -> Vec<(String, String)> {
    let found = assess(&plan_of(text)).plan.findings;
    found
        .iter()
        .filter(|finding| check(finding.check))
        .flat_map(|finding| &finding.budget)
        .filter(|step| step.what.starts_with("path of "))
        .map(|step| (step.what.clone(), step.note.clone()))
        .collect()
}

#[test]
fn the_chosen_model_speaks_and_the_budget_says_where_it_was_chosen() {
    for model in ["free-space", "plane-earth", "okumura-hata", "smooth-earth"] {
        assert!(path::ALL.iter().any(|one| one.id == model));
        let settings = format!("path: {model}, horizon: 90 dB");
        let found = paths(&settings, |check| check == "adjacent-channel");
        assert!(!found.is_empty(), "{model}");
        for (what, note) in found {
            assert!(what.ends_with(&format!("by {model}")), "{what}: {note}");
            assert!(note.starts_with("chosen in walk.yaml, line 4"), "{note}");
        }
    }
}

#[test]
fn where_service_is_judged_its_own_choice_speaks_and_leaves_interference_alone() {
    // So far away that something is to be said of the service.
    let far = text("service_path: plane-earth").replace("[54.4950,", "[55.6000,");
    let service = paths_of(&far, |check| check == "service");
    assert!(!service.is_empty());
    for (what, note) in service {
        assert!(what.ends_with("by plane-earth"), "{what}: {note}");
        assert!(note.starts_with("chosen in walk.yaml, line 4"), "{note}");
    }
    let settings = "service_path: plane-earth, horizon: 90 dB";
    let found = paths(settings, |check| check == "adjacent-channel");
    assert!(
        found
            .iter()
            .all(|(what, _)| what.ends_with("by free-space"))
    );
}

/// Okumura-Hata knows nothing of an antenna 600 m above the other site's ground.
#[test]
fn a_chosen_model_that_cannot_speak_gives_way_and_the_budget_says_so() {
    let text = text("path: okumura-hata, horizon: 90 dB").replace("ground: 100 m", "ground: 605 m");
    let found = paths_of(&text, |check| check == "adjacent-channel");
    assert!(!found.is_empty());
    for (what, note) in found {
        assert!(what.ends_with("by free-space"), "{what}: {note}");
        assert!(
            note.starts_with("okumura-hata, chosen in walk.yaml, line 4")
                && note.contains("cannot speak of this path"),
            "{note}"
        );
    }
}

/// What stands in the way of every pair of stations, after what is known of the path.
fn known(paths: &str) -> Vec<(String, String, f64)> {
    let text = format!("{}paths: [{paths}]\n", text("horizon: 190 dB"));
    let found = assess(&plan_of(&text)).plan.findings;
    let found = found.iter().filter(|one| one.check == "adjacent-channel");
    found
        .flat_map(|one| &one.budget)
        .filter(|step| step.what.starts_with("path of "))
        .map(|step| (step.what.clone(), step.note.clone(), step.change.as_db()))
        .collect()
}

#[test]
fn a_known_loss_wins_over_every_model_and_is_told_as_stated() {
    for ends in ["hill, shore", "shore, hill", "Hill, shore", "Hill, Beside"] {
        // As the second, the wider entry gives way.
        let also = "{between: [shore, hill], loss: 111 dB, at: 2m}";
        let found = known(&format!("{{between: [{ends}], loss: 60 dB}}"));
        assert!(!found.is_empty(), "{ends}");
        for (what, note, change) in found {
            assert!(
                what.contains("its loss known") && note.contains("walk.yaml, line 12"),
                "{what}: {note}"
            );
            assert!((change + 60.0).abs() < 1e-9, "{ends}: {change}");
        }
        if ends.starts_with("Hill") {
            let found = known(&format!("{also}, {{between: [{ends}], loss: 60 dB}}"));
            assert!(found.iter().any(|step| (step.2 + 60.0).abs() < 1e-9));
        }
    }
}

/// J(0) = 6.03 dB and J(1) = 13.93 dB (ITU-R P.526, from memory); what an edge costs follows from how far it stands above
/// the line between the antennas.
#[test]
fn a_known_ridge_costs_what_a_knife_edge_costs_from_either_end() {
    let free = known("");
    let over = |ends: &str, top: f64, at: f64| {
        let ridge = format!("{{between: [{ends}], ridge: {{height: {top} m, at: {at} m}}}}");
        let over = known(&ridge);
        assert_eq!(over.len(), free.len());
        let costs = over
            .iter()
            .zip(&free)
            .map(|((what, note, change), (_, _, without))| {
                assert!(what.ends_with("by knife-edge"), "{what}");
                assert!(note.contains("walk.yaml, line 12"), "{note}");
                without - change
            });
        costs.fold(0.0, f64::max)
    };
    // 8.9 km, the tops of the antennas 102 m and 7 m above the sea, the earth's bulge halfway 1.17 m, λ = 2.06 m.
    let (middle, whole) = (4_452.0, 8_904.0);
    let touching = f64::midpoint(102.0, 7.0) - 1.17;
    let one = (2.06 / 2.0 * middle / 2.0_f64).sqrt();
    for (above, cost) in [(0.0, 6.03), (one, 13.93)] {
        let found = over("hill, shore", touching + above, middle);
        assert!((found - cost).abs() < 0.4, "{above}: {found}");
    }
    // Where the line is lower a ridge of one height costs more, whichever end is named first.
    let (there, back) = (
        over("hill, shore", 120.0, 7_000.0),
        over("shore, hill", 120.0, whole - 7_000.0),
    );
    assert!((there - back).abs() < 0.01, "{there} {back}");
    assert!(there > over("hill, shore", 120.0, 1_900.0) + 1.0);
    // Far below the line it costs nothing.
    let below = known("{between: [hill, shore], ridge: {height: -400 m, at: 4 km}}");
    assert!(
        below
            .iter()
            .all(|(what, _, _)| !what.contains("knife-edge"))
    );
}

#[test]
fn what_cannot_be_known_of_a_path_is_refused() {
    for (paths, expected) in [
        ("{between: [hill, hill], loss: 90 dB}", "at one place"),
        ("{between: [Shore, Beside], loss: 90 dB}", "at one place"),
        ("{between: [hill], loss: 90 dB}", "two ends, not 1"),
        (
            "{between: [hill, shor], loss: 90 dB}",
            "did you mean `shore`",
        ),
        (
            "{between: [hill, shore]}",
            "exactly one of `ridge` and `loss`",
        ),
        ("{between: [hill, shore], loss: -3 dB}", "at least 0 dB"),
        (
            "{between: [hill, shore], ridge: {height: 90 m, at: 12 km}}",
            "a place on this path",
        ),
        (
            "{between: [hill, shore], loss: 90 dB}, {between: [shore, hill], loss: 95 dB}",
            "said of the path already",
        ),
    ] {
        let text = format!("{}paths: [{paths}]\n", text(""));
        let error = read("walk.yaml", text.as_bytes(), &Nothing)
            .unwrap_err()
            .to_string();
        assert!(error.contains(expected), "{paths}: {error}");
    }
    let ridge = "paths: [{between: [hill, shore], ridge: {height: 90 m, at: 2 km}}]\n";
    let text = format!("{}{ridge}", text("").replace(", ground: 5 m", ""));
    let error = read("walk.yaml", text.as_bytes(), &Nothing)
        .unwrap_err()
        .to_string();
    assert!(
        error.contains("the ground of shore is not stated"),
        "{error}"
    );
}

/// Two repeaters on one output, the one named first far away, and whom a watch hears.
fn listened_to(wanted: &str) -> Vec<(String, bool)> {
    let text = format!(
        "event: {{name: Walk}}
rules: [uk]
licence: full
sites:
  hill: {{at: [54.4150, -0.5320]}}
stations:
  - {{name: Ear, site: hill, radio: mobile-2m, watch: 145.6500{wanted}}}
in_use:
  - {{name: Far, output: 145.6500, input: 145.0500, erp: 25 W, at: [54.0, -0.5320]}}
  - {{name: Near, output: 145.6500, input: 145.0500, erp: 5 W, at: [54.34, -0.5320]}}
"
    );
    let found = assess(&plan_of(&text)).plan.findings;
    let service = found.iter().filter(|one| one.check == "service");
    let told: std::collections::BTreeSet<(String, bool)> = service
        .map(|one| {
            let says = one
                .assumed
                .iter()
                .any(|text| text.contains("arrives strongest"));
            (one.sources[0].name.clone(), says)
        })
        .collect();
    told.into_iter().collect()
}

#[test]
fn of_two_on_one_output_the_named_one_is_wanted_and_else_the_strongest() {
    assert_eq!(listened_to(""), [("Near".to_owned(), true)]);
    assert_eq!(listened_to(", wanted: Near"), [("Near".to_owned(), false)]);
    assert_eq!(listened_to(", wanted: Far"), [("Far".to_owned(), false)]);
}

#[test]
fn without_a_choice_the_reason_is_the_model_s_own() {
    for settings in ["", "path: auto"] {
        let settings = format!(
            "{settings}{}horizon: 90 dB",
            if settings.is_empty() { "" } else { ", " }
        );
        let found = paths(&settings, |check| check == "adjacent-channel");
        assert!(!found.is_empty());
        assert!(found.iter().all(|(what, note)| {
            what.ends_with("by free-space")
                && note.starts_with("interference is judged by free space")
        }));
    }
}

/// Two antennas of one kind at one site; what is stated of the way to one of them need not hold for the other.
#[test]
fn antennas_alike_share_a_bound_only_where_nobody_states_a_path() {
    let share = |paths: &str| {
        let plan = plan_of(&format!(
            "event: {{name: Test}}
rules: [uk]
licence: full
sites:
  hill: {{at: [54.4150, -0.5320], ground: 118 m}}
stations:
  - {{name: One, site: hill, radio: mobile-2m, talk: 145.5000}}
  - {{name: Two, site: hill, radio: mobile-2m, talk: 145.4000}}
  - {{name: High, site: hill, radio: mobile-2m, talk: 145.3000, antenna: {{gain: 9 dBi}}}}
in_use:
  - {{name: Far, output: 145.6500, input: 145.0500, erp: 25 W, at: [54.0, -0.5320]}}
{paths}"
        ));
        let scene = Scene::build(&plan, None);
        assert!(scene.vantage(0) != scene.vantage(2) && scene.vantage(0) == scene.vantage(0));
        scene.vantage(0) == scene.vantage(1)
    };
    assert!(share(""));
    assert!(!share("paths:\n  - {between: [One, Far], loss: 90 dB}\n"));
}
