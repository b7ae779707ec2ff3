//! The same question gets the same bytes: whatever the number of threads, the language, the time zone, the home folder and
//! the order in which the scenario lists its things.

use std::collections::BTreeSet;
use std::fmt::Write;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::{fs, io};

use quietpair::assess::{Judged, assess};
use quietpair::finding::{Finding, Matter};
use quietpair::scenario::{Files, Plan, read};
use quietpair::search::assign::assign;
use quietpair::search::rank;
use serde_json::{Value, json};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios")
}

fn names() -> Vec<String> {
    let entries = fs::read_dir(folder()).unwrap();
    let mut names: Vec<String> = entries
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| {
            Path::new(name)
                .extension()
                .is_some_and(|kind| kind == "yaml")
        })
        .collect();
    names.sort_unstable();
    assert!(names.len() > 5);
    names
}

/// A scenario as a tree, its searches narrowed so that they take moments.
fn tree(name: &str) -> Value {
    let text = fs::read_to_string(folder().join(name)).unwrap();
    let mut tree: Value = serde_yaml::from_str(&text).unwrap();
    for search in tree["search"].as_array_mut().into_iter().flatten() {
        if search["cross_band"].is_array() {
            search["cross_band"] = json!(["433.4-433.5", "145.2-145.3"]);
            search["step"] = json!("100 kHz");
        } else {
            search["step"] = json!("100 kHz");
        }
    }
    let channels = tree.pointer_mut("/assign/channels");
    for channel in channels.and_then(Value::as_array_mut).into_iter().flatten() {
        channel["step"] = json!("100 kHz");
    }
    tree
}

/// Where everything is that only must not matter.
const SURROUNDINGS: [&[(&str, &str)]; 3] = [
    &[
        ("RAYON_NUM_THREADS", "1"),
        ("LC_ALL", "C"),
        ("HOME", "/"),
        ("TZ", "UTC"),
    ],
    &[
        ("RAYON_NUM_THREADS", "2"),
        ("LANG", "de_DE.UTF-8"),
        ("LC_ALL", "tr_TR.UTF-8"),
        ("LC_NUMERIC", "de_DE.UTF-8"),
        ("TZ", "Asia/Kathmandu"),
        ("HOME", "/nowhere/at/all"),
    ],
    &[
        ("RAYON_NUM_THREADS", "7"),
        ("LANG", "ar_EG"),
        ("TZ", "Pacific/Apia"),
    ],
];

/// What a call comes to in some surroundings: exit code and all that is printed.
fn told(arguments: &[&str], surroundings: &[(&str, &str)]) -> (Option<i32>, Vec<u8>, Vec<u8>) {
    let output = Command::new(env!("CARGO_BIN_EXE_quietpair"))
        .args(arguments)
        .current_dir(env!("CARGO_TARGET_TMPDIR"))
        .env_clear()
        .envs(surroundings.iter().copied())
        .output()
        .unwrap();
    (output.status.code(), output.stdout, output.stderr)
}

#[track_caller]
fn assert_told_alike(arguments: &[&str]) {
    let [first, others @ ..] = &SURROUNDINGS;
    let expected = told(arguments, first);
    assert!(
        matches!(expected.0, Some(0 | 1)),
        "{arguments:?}: {:?}",
        expected.0
    );
    assert!(!expected.1.is_empty());
    for other in others {
        let found = told(arguments, other);
        assert!(found == expected, "{arguments:?} differs with {other:?}");
    }
}

#[test]
fn threads_language_zone_and_home_do_not_show_in_any_output() {
    fs::copy(
        folder().join("neighbours.csv"),
        Path::new(env!("CARGO_TARGET_TMPDIR")).join("neighbours.csv"),
    )
    .unwrap();
    for name in names() {
        let tree = tree(&name);
        let file = format!("determinism-{name}");
        fs::write(
            Path::new(env!("CARGO_TARGET_TMPDIR")).join(&file),
            tree.to_string(),
        )
        .unwrap();
        assert_told_alike(&["check", &file, "--format", "json", "--show-defaults"]);
        if tree["search"].is_array() && tree["in_use"].as_array().is_some_and(|all| all.len() > 2) {
            assert_told_alike(&["review", &file, "--format", "json"]);
            assert_told_alike(&["rank", &file, "--front", "--robust", "--trials", "20"]);
        }
        if tree["assign"].is_object() {
            assert_told_alike(&["assign", &file, "--format", "json"]);
        }
        if name.starts_with("pre-event") {
            assert_told_alike(&["check", &file, "--trace", "--all"]);
            assert_told_alike(&["report", &file]);
        }
    }
    assert_told_alike(&[
        "products", "145.2250", "433.4500", "144.8", "--onto", "435.6750", "145.6500", "--order",
        "9",
    ]);
    for listed in [
        &["rules"][..],
        &["radios"],
        &["explain"],
        &["schema", "check"],
        &["man", "check"],
        &["radios", "show", "handheld"],
    ] {
        assert_told_alike(listed);
    }
}

/// Files beside the scenarios, the rows of a table in their order or turned round.
struct Beside {
    is_turned: bool,
}

impl Files for Beside {
    fn read(&self, path: &str) -> io::Result<Vec<u8>> {
        let bytes = fs::read(folder().join(path))?;
        if !self.is_turned {
            return Ok(bytes);
        }
        let text = String::from_utf8(bytes).map_err(io::Error::other)?;
        let (heading, rows) = text.split_once('\n').unwrap_or((&text, ""));
        let rows: Vec<&str> = rows.lines().rev().collect();
        Ok(format!("{heading}\n{}\n", rows.join("\n")).into_bytes())
    }
}

/// The lists and tables of a scenario whose order is nobody's concern.
const LISTS: [&str; 5] = ["sites", "stations", "in_use", "paths", "phases"];

fn turned(mut tree: Value) -> Value {
    for list in LISTS {
        match tree.get_mut(list) {
            Some(Value::Array(all)) => all.reverse(),
            Some(Value::Object(all)) => {
                let entries: Vec<_> = std::mem::take(all).into_iter().collect();
                all.extend(entries.into_iter().rev());
            }
            _ => {}
        }
    }
    tree
}

fn plan(name: &str, tree: &Value, is_turned: bool) -> Plan {
    read(name, tree.to_string().as_bytes(), &Beside { is_turned })
        .unwrap_or_else(|faults| panic!("{name}: {faults}"))
}

/// A finding without names and what hangs on the lines of the file: of several alike the first of the file is named.
fn essence(finding: &Finding) -> String {
    // Where several of ours break a rule of the net or the law alike, the first is told.
    let are_told = finding.matter == Matter::Interference;
    let mut sources: Vec<String> = (finding.sources.iter().filter(|_| are_told))
        .map(|term| format!("{} × {}", term.coefficient, term.frequency))
        .collect();
    sources.sort_unstable();
    let victim = finding.victim.as_ref().map(|victim| victim.frequency);
    format!(
        "{} {:?} {:?} {:?} {:?} {:?} {:?} {:?} {:?} {:?} {sources:?}",
        finding.check,
        finding.severity,
        finding.matter,
        victim,
        finding.product,
        finding.offset,
        finding.level,
        finding.threshold,
        finding.margin,
        finding.chance,
    )
}

/// Everything that is found, searched and assigned, without what hangs on the lines of the file.
fn whole(plan: &Plan) -> String {
    let mut out = String::new();
    let assessment = assess(plan);
    let mut put = |judged: &Judged| {
        let mut all: Vec<String> = judged.findings.iter().map(essence).collect();
        all.sort_unstable();
        let all = all.join("\n");
        let (name, verdict, worst) = (&judged.proposal, judged.verdict, judged.worst_margin);
        writeln!(out, "{name:?} {verdict} {worst:?}\n{all}").unwrap();
    };
    put(&assessment.plan);
    assessment.proposals.iter().for_each(&mut put);
    for search in &plan.searches {
        for row in rank(plan, search, 5).rows {
            writeln!(
                out,
                "{:?} {} {} {} {:?}",
                row.legs, row.verdict, row.conflicts, row.cautions, row.worst_margin
            )
            .unwrap();
        }
    }
    if let Some(open) = &plan.assign {
        let assignment = assign(plan, open, &|| false);
        let found = assignment.found.unwrap();
        for given in found.given {
            writeln!(
                out,
                "{} {:?} {} {:?}",
                given.name, given.legs, given.verdict, given.worst_margin
            )
            .unwrap();
        }
    }
    out
}

#[test]
fn the_order_in_which_a_scenario_lists_its_things_changes_no_finding() {
    for name in names() {
        let tree = tree(&name);
        let expected = whole(&plan(&name, &tree, false));
        let found = whole(&plan(&name, &turned(tree), true));
        let lines = |text: &str| text.lines().map(str::to_owned).collect::<BTreeSet<_>>();
        let (one, other) = (lines(&expected), lines(&found));
        let lost: Vec<_> = one.difference(&other).take(3).collect();
        let new: Vec<_> = other.difference(&one).take(3).collect();
        assert!(found == expected, "{name}:\nlost {lost:#?}\nnew {new:#?}");
    }
}
