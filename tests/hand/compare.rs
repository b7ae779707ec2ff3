//! `check --against`: what became better or worse.

use std::fs;

use serde_json::Value;

use super::{file, folder, root, run, schema};

/// The morning check, a check of it on file, and the same with one thing changed.
fn pair(name: &str, from: &str, to: &str) -> (String, String, String) {
    let folder = folder(name);
    let text = fs::read_to_string(root().join("scenarios/pre-event-check.yaml")).unwrap();
    let before = file(&folder, "before.yaml", &text);
    assert!(text.contains(from));
    let after = file(&folder, "after.yaml", &text.replace(from, to));
    let earlier = folder.join("before.json");
    let earlier = earlier.to_str().unwrap().to_owned();
    let (code, stdout, _) = run(&["check", &before, "--format", "json", "-o", &earlier]);
    assert_eq!((code, stdout.as_str()), (0, ""));
    (before, after, earlier)
}

#[test]
fn nothing_is_told_of_a_plan_that_is_as_it_was() {
    let (before, _, earlier) = pair("same", "145.2875", "145.2875");
    let (code, page, stderr) = run(&["check", &before, "--against", &earlier, "--fail-on", "note"]);
    assert_eq!((code, stderr.as_str()), (0, ""));
    assert!(page.contains("0 new, 0 worse, 0 better, 0 gone"), "{page}");
}

#[test]
fn a_neighbour_that_moves_close_is_new_or_worse_and_the_way_back_is_better() {
    let (before, after, earlier) = pair("moved", "145.2875", "145.4625");
    let call = [
        "check",
        &after,
        "--against",
        &earlier,
        "--fail-on",
        "caution",
    ];
    let (code, page, _) = run(&call);
    assert_eq!(code, 1, "{page}");
    assert!(page.contains("Gateway"), "{page}");
    // A neighbour's adjacent channel is not among these.
    assert_eq!(run(&[&call[..4], &["--only", "harmonic"]].concat()).0, 0);
    assert_eq!(run(&[&call[..4], &["--fail-on", "never"]].concat()).0, 0);
    let (_, json, _) = run(&[&call[..], &["--format", "json"]].concat());
    let document: Value = serde_json::from_str(&json).unwrap();
    schema::assert_compare(&document);
    let is_named = |one: &Value| one["after"]["says"].to_string().contains("Gateway");
    assert!(
        document["changes"].as_array().unwrap().iter().any(is_named),
        "{json}"
    );
    // The same row by row, for a spreadsheet.
    let (_, csv, _) = run(&[&call[..], &["--format", "csv"]].concat());
    let mut table = csv::Reader::from_reader(csv.as_bytes());
    let headings =
        "change,subject,check,severity_before,severity_after,margin_before_db,margin_after_db,says";
    assert_eq!(csv.lines().next(), Some(headings));
    let rows: Vec<csv::StringRecord> = table.records().map(Result::unwrap).collect();
    let changes = document["changes"].as_array().unwrap();
    assert_eq!(rows.len(), changes.len());
    for (row, change) in rows.iter().zip(changes) {
        assert_eq!(change["change"], row[0], "{row:?}");
        assert_eq!(change["check"], row[2], "{row:?}");
        for (side, severity, margin) in [("before", 3, 5), ("after", 4, 6)] {
            let state = &change[side];
            assert_eq!(
                state["severity"].as_str().unwrap_or_default(),
                &row[severity]
            );
            let in_json = state["margin_db"].as_f64();
            let in_table = row[margin].parse::<f64>().ok();
            let is_near = |one: f64, other: f64| (one - other).abs() < 0.06;
            assert!(match (in_json, in_table) {
                (Some(one), Some(other)) => is_near(one, other),
                (one, other) => one.is_none() && other.is_none(),
            });
        }
    }
    // And the other way round nothing is worse.
    let later = earlier.replace("before.json", "after.json");
    run(&["check", &after, "--format", "json", "-o", &later]);
    let (code, page, _) = run(&[
        "check",
        &before,
        "--against",
        &later,
        "--fail-on",
        "caution",
    ]);
    assert_eq!(code, 0, "{page}");
    assert!(page.contains("gone") || page.contains("better"), "{page}");
}

#[test]
fn what_is_no_earlier_check_is_refused() {
    let folder = folder("no-check");
    for (text, told) in [
        ("{}", "not the JSON of a check"),
        (
            r#"{"format": "quietpair.rank/1", "event": "", "findings": []}"#,
            "`quietpair.rank/1`",
        ),
        ("event: x", "not the JSON of a check"),
    ] {
        let earlier = file(&folder, "earlier.json", text);
        let call = [
            "check",
            "scenarios/pre-event-check.yaml",
            "--against",
            &earlier,
        ];
        let (code, stdout, stderr) = run(&call);
        assert_eq!((code, stdout.as_str()), (2, ""), "{text}");
        assert!(
            stderr.contains(told) && stderr.contains("hint:"),
            "{stderr}"
        );
    }
}

/// An earlier check of another event in which a caution had been a note, and another one a conflict.
#[test]
fn what_weighs_more_is_worse_and_what_weighs_less_is_better_in_every_format() {
    let (_, plan, earlier) = pair("weighed", "145.2875", "145.4625");
    let (_, checked, _) = run(&["check", &plan, "--format", "json"]);
    let mut document: Value = serde_json::from_str(&checked).unwrap();
    document["event"] = Value::from("Day before");
    let findings = document["findings"].as_array_mut().unwrap();
    let notes: Vec<usize> = (0..findings.len())
        .filter(|&at| findings[at]["severity"] == "note")
        .collect();
    let [first, .., last] = notes[..] else {
        panic!("two notes are needed")
    };
    for (at, severity) in [(first, "conflict"), (last, "caution")] {
        findings[at]["severity"] = Value::from(severity);
    }
    let edited = earlier.replace("before.json", "edited.json");
    fs::write(&edited, document.to_string()).unwrap();
    let told = |earlier: &str, plan: &str, format: &str| {
        run(&["check", plan, "--against", earlier, "--format", format]).1
    };
    let table = told(&edited, &plan, "csv");
    let better = table.lines().filter(|line| line.starts_with("better,"));
    assert_eq!(better.count(), 2, "{table}");
    let page = told(&edited, &plan, "markdown");
    for words in [
        "0 new, 0 worse, 2 better, 0 gone",
        r"The earlier check was of \`Day before\`",
    ] {
        assert!(page.contains(words), "{words}\n{page}");
    }
    assert!(told(&edited, &plan, "text").contains("The earlier check was of `Day before`"));
    // And the other way round.
    let heavier: Vec<usize> = {
        let findings = document["findings"].as_array().unwrap();
        (0..findings.len())
            .filter(|&at| findings[at]["severity"] != "note" && ![first, last].contains(&at))
            .collect()
    };
    assert!(!heavier.is_empty());
    for &at in &heavier {
        document["findings"][at]["severity"] = Value::from("note");
    }
    fs::write(&edited, document.to_string()).unwrap();
    let table = told(&edited, &plan, "csv");
    let worse = table.lines().filter(|line| line.starts_with("worse,"));
    assert_eq!(worse.count(), heavier.len(), "{table}");
    // A weight that nobody knows is told, with those that there are.
    document["findings"][first]["severity"] = Value::from("mild");
    fs::write(&edited, document.to_string()).unwrap();
    let (code, _, stderr) = run(&["check", &plan, "--against", &edited]);
    assert_eq!(code, 2);
    assert!(
        stderr.contains("mild") && stderr.contains("hint:"),
        "{stderr}"
    );
}
