//! Results in files, silence, and talk.

use std::fs;

use super::{file, folder, quietpair, run, told};

const CALL: [&str; 4] = ["products", "145.2250", "--onto", "435.6750"];

#[test]
fn a_result_goes_into_a_file_and_never_over_another_unasked() {
    let folder = folder("files");
    let path = folder.join("products.txt");
    let name = path.to_str().unwrap();
    let call = [&CALL[..], &["-o", name]].concat();
    assert_eq!(run(&call), (0, String::new(), String::new()));
    let written = fs::read_to_string(&path).unwrap();
    assert_eq!(written, run(&CALL).1);
    let (code, stdout, stderr) = run(&[&call[..], &["--order", "3"]].concat());
    assert_eq!((code, stdout.as_str()), (2, ""));
    assert!(
        stderr.contains("is there already") && stderr.contains("--force"),
        "{stderr}"
    );
    assert_eq!(fs::read_to_string(&path).unwrap(), written);
    let (code, _, _) = run(&[&call[..], &["--order", "3", "--force"]].concat());
    assert_eq!(code, 0);
    assert_ne!(fs::read_to_string(&path).unwrap(), written);
    assert_eq!(
        fs::read_dir(&folder).unwrap().count(),
        1,
        "no draft is left behind"
    );
}

#[test]
fn no_file_gets_colours_and_no_failure_leaves_one() {
    let folder = folder("plain");
    let path = folder.join("page.txt");
    let name = path.to_str().unwrap();
    let mut command = quietpair(&[&CALL[..], &["-o", name]].concat());
    let (code, _, _) = told(&command.env("CLICOLOR_FORCE", "1").output().unwrap());
    assert_eq!(code, 0);
    assert!(!fs::read_to_string(&path).unwrap().contains('\u{1b}'));
    let missing = folder.join("missing.json");
    let (code, _, _) = run(&[
        "check",
        "no-such-file.yaml",
        "-o",
        missing.to_str().unwrap(),
    ]);
    assert_eq!(code, 2);
    assert!(!missing.exists());
}

#[test]
fn quiet_says_nothing_and_the_exit_code_tells() {
    let (code, stdout, stderr) = run(&[
        "check",
        "scenarios/harbour-half-marathon.yaml",
        "--proposal",
        "A",
        "-q",
    ]);
    assert_eq!((code, stdout.as_str(), stderr.as_str()), (1, "", ""));
    let (code, stdout, stderr) = run(&["check", "no-such-file.yaml", "--quiet"]);
    assert_eq!((code, stdout.as_str()), (2, ""));
    assert!(!stderr.is_empty(), "a fault is told all the same");
}

#[test]
fn talk_goes_to_standard_error_and_leaves_the_result_as_it_is() {
    let call = [
        "check",
        "scenarios/pre-event-check.yaml",
        "--format",
        "json",
    ];
    let (_, plain, silent) = run(&call);
    let (_, result, talk) = run(&[&call[..], &["-v"]].concat());
    assert_eq!((result, silent.as_str()), (plain, ""));
    assert!(
        talk.contains("1 station") && talk.contains(" s\n"),
        "{talk}"
    );
    assert_eq!(run(&["check", "x", "-q", "-v"]).0, 2);
}

#[test]
fn frequencies_that_follow_onto_are_listened_on_and_none_left_is_told() {
    let (code, _, stderr) = run(&["products", "--onto", "435.6750", "145.2250"]);
    assert_eq!(code, 2);
    assert!(
        stderr.contains("products 145.2250 --onto 435.6750"),
        "{stderr}"
    );
    let expected = run(&["products", "145.2250", "--onto", "435.6750", "290.45"]).1;
    for call in [
        &["products", "145.2250", "--onto", "435.6750,290.45"][..],
        &[
            "products", "145.2250", "--onto", "435.6750", "--onto", "290.45",
        ],
        &["products", "--onto", "435.6750", "290.45", "--", "145.2250"],
    ] {
        assert_eq!(run(call).1, expected);
    }
}

#[test]
fn help_in_a_pipe_keeps_to_80_columns() {
    for command in ["check", "import", "new", "products", "review"] {
        let (code, help, _) = run(&[command, "--help"]);
        assert_eq!(code, 0);
        let longest = help.lines().map(|line| line.chars().count()).max().unwrap();
        assert!(longest <= 80, "{command}: {longest}");
    }
}

#[test]
fn a_fault_at_the_end_of_a_long_line_is_shown_with_its_place() {
    let folder = folder("long");
    let long = "x".repeat(300);
    let text = format!(
        "event: {{name: {long}}}\nrules: [uk]\nin_use: [{{name: {long}, frequncy: 145.2}}]\n"
    );
    let path = file(&folder, "long.yaml", &text);
    let (code, _, stderr) = run(&["check", &path]);
    assert_eq!(code, 2);
    assert!(
        stderr.contains("long.yaml:3:319") && !stderr.contains(":::"),
        "{stderr}"
    );
    let mut excerpts = stderr.lines().filter(|line| line.contains(" | "));
    assert!(excerpts.all(|line| line.chars().count() < 120), "{stderr}");
}
