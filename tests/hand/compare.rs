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
