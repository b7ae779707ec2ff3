//! The commands as a shell session: standard output, standard error, exit code.

use std::fs;
use std::process::Stdio;

use shell::{file, quietpair, run, run_with_input, told};

/// A shell, as far as these sessions need one.
#[cfg(test)]
mod shell {
    use std::fs;
    use std::io::{ErrorKind, Write};
    use std::path::PathBuf;
    use std::process::{Command, Output, Stdio};

    /// The command, away from whatever the surroundings say of colour.
    pub(super) fn quietpair(arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_quietpair"));
        command.args(arguments);
        for variable in ["NO_COLOR", "CLICOLOR", "CLICOLOR_FORCE", "TERM"] {
            command.env_remove(variable);
        }
        command
    }

    /// Exit code, standard output, standard error.
    pub(super) fn told(output: &Output) -> (i32, String, String) {
        (
            output.status.code().unwrap(),
            String::from_utf8(output.stdout.clone()).unwrap(),
            String::from_utf8(output.stderr.clone()).unwrap(),
        )
    }

    pub(super) fn run(arguments: &[&str]) -> (i32, String, String) {
        told(&quietpair(arguments).output().unwrap())
    }

    pub(super) fn run_with_input(arguments: &[&str], input: &[u8]) -> (i32, String, String) {
        let mut child = quietpair(arguments)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        // A call that is refused at once need not read.
        let written = child.stdin.take().unwrap().write_all(input);
        assert!(written.is_ok() || written.unwrap_err().kind() == ErrorKind::BrokenPipe);
        told(&child.wait_with_output().unwrap())
    }

    /// A file of this test run, under a name of its own.
    pub(super) fn file(name: &str, bytes: &[u8]) -> PathBuf {
        let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
        fs::write(&path, bytes).unwrap();
        path
    }
}

const PAIR: [&str; 5] = ["products", "145.2250", "433.4500", "--onto", "435.6750"];

/// A day with a relay on a hill; the third harmonic of B's 2 m leg lies on its 70 cm leg.
const SCENARIO: &str = r"
event: {name: Saltmarsh Harbour Half-Marathon}
rules: [uk]
licence: full
sites:
  hill: {at: [54.4150, -0.5320], ground: 118 m}
stations:
  - {name: Hill relay, site: hill, radio: dual-band-mobile}
proposals:
  - {name: A, station: Hill relay, cross_band: [433.4750, 145.2125]}
  - {name: B, station: Hill relay, cross_band: [435.6750, 145.2250]}
search:
  - {name: relay pair, station: Hill relay, cross_band: [70cm, 2m], step: 1 MHz, keep: 5}
";

/// Enough landings to fill any pipe.
const MANY: [&str; 12] = [
    "products",
    "145.1",
    "145.2",
    "145.3",
    "145.4",
    "145.5",
    "433.1",
    "433.2",
    "433.3",
    "--onto",
    "145.05",
    "--within=900MHz",
];

#[test]
fn without_a_command_the_help_goes_to_standard_error_and_the_call_is_wrong() {
    let (code, stdout, stderr) = run(&[]);
    assert_eq!((code, stdout.as_str()), (2, ""));
    assert!(
        stderr.contains("Usage:") && stderr.contains("check"),
        "{stderr}"
    );
}

#[test]
fn help_that_was_asked_for_is_a_result() {
    for arguments in [&["--help"][..], &["check", "--help"], &["--version"]] {
        let (code, stdout, stderr) = run(arguments);
        assert_eq!((code, stderr.as_str()), (0, ""));
        assert!(stdout.contains("quietpair"), "{stdout}");
    }
}

#[test]
fn a_product_that_lands_is_told_in_whole_hertz() {
    let (code, stdout, stderr) = run(&[&PAIR[..], &["--order", "3", "--format", "json"]].concat());
    assert_eq!((code, stderr.as_str()), (0, ""));
    let document: serde_json::Value = serde_json::from_str(&stdout).unwrap();
    assert_eq!(document["format"], "quietpair.products/1");
    assert_eq!(document["order"], 3);
    let expected = serde_json::json!([{
        "coefficients": [3, 0], "order": 3,
        "product_hz": 435_675_000, "target_hz": 435_675_000, "offset_hz": 0,
    }]);
    assert_eq!(document["landings"], expected);
}

#[test]
fn the_same_question_gets_the_same_bytes() {
    assert_eq!(run(&MANY), run(&MANY));
}

#[test]
fn a_frequency_that_is_none_is_a_wrong_call() {
    for wrong in ["145,225", "nan", "145.1234567", "0"] {
        let (code, stdout, stderr) = run(&["products", wrong, "--onto", "145.5"]);
        assert_eq!((code, stdout.as_str()), (2, ""), "{wrong}");
        assert!(stderr.contains(wrong), "{stderr}");
    }
    let (code, _, stderr) = run(&[&PAIR[..], &["--within=-5kHz"]].concat());
    assert_eq!(code, 2);
    assert!(stderr.contains("not below zero"), "{stderr}");
}

#[test]
fn a_question_too_large_to_answer_is_refused_with_the_way_out() {
    let many: Vec<String> = (0..60).map(|n| format!("145.{n:03}")).collect();
    let mut arguments = vec!["products"];
    arguments.extend(many.iter().map(String::as_str));
    arguments.extend(["--onto", "145.9", "--order", "9"]);
    let (code, stdout, stderr) = run(&arguments);
    assert_eq!((code, stdout.as_str()), (2, ""));
    assert!(
        stderr.contains("at most 50 million") && stderr.contains("lower --order"),
        "{stderr}"
    );
}

#[test]
fn an_unknown_word_is_met_with_the_nearest_known_one() {
    let (code, stdout, stderr) = run(&["explain", "harmonics"]);
    assert_eq!((code, stdout.as_str()), (2, ""));
    assert!(stderr.contains("did you mean `harmonic`?"), "{stderr}");
    let (code, _, stderr) = run(&["check", "--only", "imgae", "-"]);
    assert_eq!(code, 2);
    assert!(stderr.contains("did you mean `image`?"), "{stderr}");
}

#[test]
fn every_check_in_the_list_has_its_chapter() {
    let (code, list, _) = run(&["explain", "--format", "csv"]);
    assert_eq!(code, 0);
    for id in list
        .lines()
        .skip(1)
        .filter_map(|line| line.split(',').next())
    {
        let (code, chapter, stderr) = run(&["explain", id]);
        assert_eq!((code, stderr.as_str()), (0, ""), "{id}");
        assert!(chapter.starts_with(id));
    }
    assert!(list.lines().count() > 5);
}

#[test]
fn every_rule_pack_can_be_shown_and_agrees_with_itself() {
    let (code, list, _) = run(&["rules", "--format", "csv"]);
    assert_eq!(code, 0);
    for id in list
        .lines()
        .skip(1)
        .filter_map(|line| line.split(',').next())
    {
        let (code, entries, _) = run(&["rules", "show", id]);
        assert_eq!(code, 0, "{id}");
        assert!(
            entries.lines().count() > 3 && entries.contains("source:"),
            "{id}"
        );
        assert_eq!(run(&["rules", "diff", id, id]).0, 0, "{id}");
        assert_eq!(run(&["rules", "verify", id]).0, 0, "{id}");
    }
    assert_eq!(run(&["rules", "diff", "uk", "us"]).0, 1);
    let at = |licence| {
        let asked = [
            "rules",
            "--format",
            "csv",
            "show",
            "uk",
            "--at",
            "433.45",
            "--licence",
            licence,
        ];
        run(&asked).1
    };
    // What holds at the frequency, what holds everywhere, what is stacked with the pack, and nothing of another class.
    for part in [
        "uk/power-foundation",
        "uk/identification",
        "iaru-r1/segment",
    ] {
        assert!(at("foundation").contains(part), "{part}");
    }
    assert!(!at("full").contains("uk/power-foundation"));
    assert!(!at("full").contains("uk/power-full-2m"));
    assert_eq!(
        run(&[
            "rules",
            "show",
            "uk",
            "--at",
            "433.45",
            "--licence",
            "novice"
        ])
        .0,
        2
    );
    let faulty = file("faulty-pack.yaml", b"title: [");
    let (code, _, stderr) = run(&["rules", "verify", faulty.to_str().unwrap()]);
    assert_eq!(code, 2);
    assert!(stderr.contains("faulty-pack.yaml"), "{stderr}");
}

#[test]
fn every_radio_can_be_shown_with_its_sources() {
    let (code, list, _) = run(&["radios", "--format", "csv"]);
    assert_eq!(code, 0);
    for id in list
        .lines()
        .skip(1)
        .filter_map(|line| line.split(',').next())
    {
        let (code, figures, stderr) = run(&["radios", "show", id]);
        assert_eq!((code, stderr.as_str()), (0, ""), "{id}");
        assert!(figures.contains("source: profile"), "{id}");
    }
    let (code, _, stderr) = run(&["radios", "show", "no-such-radio"]);
    assert_eq!(code, 2);
    assert!(stderr.contains("dual-band-mobile"), "{stderr}");
}

#[test]
fn a_missing_file_is_named_with_the_way_out() {
    for command in ["check", "rank"] {
        let (code, stdout, stderr) = run(&[command, "no-such-file.yaml"]);
        assert_eq!((code, stdout.as_str()), (2, ""));
        assert!(
            stderr.contains("no-such-file.yaml") && stderr.contains("hint:"),
            "{stderr}"
        );
    }
}

#[test]
fn what_is_no_text_is_refused_and_not_read_on() {
    let folder = env!("CARGO_TARGET_TMPDIR");
    let binary = file("binary.yaml", b"event: {\xff\xfe}");
    let empty = file("empty.yaml", b"");
    for path in [folder, binary.to_str().unwrap(), empty.to_str().unwrap()] {
        let (code, stdout, stderr) = run(&["check", path]);
        assert_eq!((code, stdout.as_str()), (2, ""), "{path}");
        assert!(stderr.contains(path), "{stderr}");
    }
}

#[test]
fn a_dash_reads_standard_input() {
    let (code, stdout, stderr) = run_with_input(&["check", "-"], b" \n");
    assert_eq!((code, stdout.as_str()), (2, ""));
    assert!(stderr.contains("standard input"), "{stderr}");
}

#[test]
fn a_closed_pipe_ends_it_quietly() {
    let mut child = quietpair(&MANY)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let (code, _, stderr) = told(&child.wait_with_output().unwrap());
    assert_eq!((code, stderr.as_str()), (0, ""));
}

#[cfg(target_os = "linux")]
#[test]
fn a_result_that_cannot_be_written_is_a_failure_of_the_program() {
    let full = fs::OpenOptions::new()
        .write(true)
        .open("/dev/full")
        .unwrap();
    let output = quietpair(&PAIR).stdout(full).output().unwrap();
    let (code, _, stderr) = told(&output);
    assert_eq!(code, 3);
    assert!(stderr.contains("could not be written"), "{stderr}");
}

#[test]
fn a_pipe_gets_no_colour_and_no_line_beyond_80_columns() {
    let (_, stdout, _) = run(&MANY);
    assert!(!stdout.contains('\u{1b}'));
    assert!(stdout.lines().all(|line| line.chars().count() <= 80));
    assert!(
        stdout.len() > 1 << 18,
        "the closed pipe needs more than a buffer"
    );
}

#[test]
fn colour_can_be_forced_and_no_color_wins() {
    let coloured = quietpair(&PAIR)
        .env("CLICOLOR_FORCE", "1")
        .output()
        .unwrap();
    let plain = quietpair(&PAIR)
        .env("CLICOLOR_FORCE", "1")
        .env("NO_COLOR", "1")
        .output()
        .unwrap();
    assert!(told(&coloured).1.contains('\u{1b}'));
    assert_eq!(told(&plain).1, run(&PAIR).1);
}

#[test]
fn every_schema_in_the_list_is_a_document() {
    let (code, list, _) = run(&["schema"]);
    assert_eq!(code, 0);
    for name in list.lines() {
        let (code, schema, _) = run(&["schema", name]);
        assert_eq!(code, 0);
        let schema: serde_json::Value = serde_json::from_str(&schema).unwrap();
        assert_eq!(schema["type"], "object", "{name}");
    }
    assert!(list.contains("products") && list.contains("scenario"));
}

#[test]
fn shells_and_manuals_get_what_they_need() {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let (code, stdout, _) = run(&["completions", shell]);
        assert_eq!(code, 0);
        assert!(stdout.contains("products"), "{shell}");
    }
    let (code, manual, _) = run(&["man", "check"]);
    assert_eq!(code, 0);
    assert!(
        manual.contains(".TH QUIETPAIR-CHECK") && manual.contains("fail\\-on"),
        "{manual}"
    );
}

#[test]
fn a_third_harmonic_on_the_other_leg_is_found_and_makes_the_exit_code_1() {
    let scenario = file("harmonic.yaml", SCENARIO.as_bytes());
    let path = scenario.to_str().unwrap();
    let (code, page, stderr) = run(&["check", path, "--proposal", "B", "--only", "harmonic"]);
    // Nobody takes the verdict of one check for that of all.
    let remark =
        "quietpair: only what harmonic finds is told, and the verdicts are of that alone\n";
    assert_eq!((code, stderr.as_str()), (1, remark));
    assert!(page.contains("3 × 145.2250 = 435.6750 MHz"), "{page}");
    assert!(!page.contains("A: Hill relay"), "{page}");
    let quiet = run(&["check", path, "--only", "harmonic", "--quiet"]);
    assert_eq!((quiet.1.as_str(), quiet.2.as_str()), ("", ""));
    let never = run(&["check", path, "--proposal", "B", "--fail-on", "never"]);
    assert_eq!(never.0, 0);
    let skipped = run(&["check", path, "--skip", "harmonic", "--format", "csv"]).1;
    assert!(!skipped.contains(",harmonic,"), "{skipped}");
}

#[test]
fn a_scenario_from_standard_input_gets_the_same_answer() {
    let scenario = file("piped.yaml", SCENARIO.as_bytes());
    let piped = run_with_input(&["check", "-", "--format", "csv"], SCENARIO.as_bytes());
    let read = run(&["check", scenario.to_str().unwrap(), "--format", "csv"]);
    assert_eq!((piped.0, piped.1), (read.0, read.1));
}

#[test]
fn what_was_not_stated_is_printed_with_its_source() {
    let arguments = ["check", "-", "--show-defaults", "--format", "json"];
    let (_, stdout, _) = run_with_input(&arguments, SCENARIO.as_bytes());
    let document: serde_json::Value = serde_json::from_str(&stdout).unwrap();
    let defaults = document["defaults"].as_array().unwrap();
    assert!(!defaults.is_empty());
    assert!(
        defaults
            .iter()
            .all(|one| !one["origin"].as_str().unwrap().is_empty())
    );
}

#[test]
fn a_time_that_is_no_single_moment_is_refused_and_not_guessed() {
    let told = |from: &str| {
        let times =
            format!("Half-Marathon, from: '{from}', to: '2027-11-01T15:00+00:00[Europe/London]'}}");
        let text = SCENARIO.replace("Half-Marathon}", &times);
        assert!(
            text.contains(from),
            "the scenario has no event to put a time in"
        );
        let scenario = file("moments.yaml", text.as_bytes());
        let (code, _, stderr) = run(&["check", scenario.to_str().unwrap()]);
        assert_eq!(code, 2, "{stderr}");
        stderr
    };
    assert!(told("2027-10-31T00:59:60+01:00[Europe/London]").contains("is a leap second"));
    // The hour that is there twice, and the hour that is not there.
    for from in [
        "2027-10-31T01:30[Europe/London]",
        "2027-03-28T01:30[Europe/London]",
    ] {
        assert!(told(from).contains("is no single moment"), "{from}");
    }
}

#[test]
fn a_name_that_the_scenario_lacks_is_met_with_the_nearest() {
    let scenario = file("names.yaml", SCENARIO.as_bytes());
    let path = scenario.to_str().unwrap();
    // A name of one letter is no slip of another.
    let (code, _, stderr) = run(&["check", path, "--proposal", "C"]);
    assert_eq!(code, 2);
    assert!(stderr.contains("known are: "), "{stderr}");
    let (code, _, stderr) = run(&["rank", path, "--name", "relay pear"]);
    assert_eq!(code, 2);
    assert!(stderr.contains("did you mean `relay pair`?"), "{stderr}");
}

#[test]
fn a_search_shows_no_more_than_it_is_asked_for() {
    let arguments = ["rank", "-", "--top", "3", "--format", "csv"];
    let (code, stdout, stderr) = run_with_input(&arguments, SCENARIO.as_bytes());
    assert!(code < 2, "{stderr}");
    assert_eq!(stdout.lines().count(), 4, "{stdout}");
}

#[test]
fn a_search_tells_what_a_change_buys_and_who_is_not_known() {
    let ask = |more: &[&str]| {
        let arguments = [&["rank", "-", "--format", "json", "--top", "2"], more].concat();
        run_with_input(&arguments, SCENARIO.as_bytes())
    };
    let (code, stdout, stderr) = ask(&["--power", "low", "--filter", "20dB", "--front"]);
    assert!(code < 2, "{stderr}");
    let document: serde_json::Value = serde_json::from_str(&stdout).unwrap();
    let search = &document["searches"][0];
    let what: Vec<&str> = search["what_if"]
        .as_array()
        .unwrap()
        .iter()
        .map(|case| case["what"].as_str().unwrap())
        .collect();
    assert_eq!(
        what,
        ["as planned", "power low", "filter 20.0 dB", "all together"]
    );
    assert!(search["front"]["points"].is_array());
    assert!(search["rows"][0]["alike"].is_number());
    let (code, stdout, _) = ask(&["--every"]);
    let document: serde_json::Value = serde_json::from_str(&stdout).unwrap();
    assert!(code < 2 && document["searches"][0]["rows"][0]["alike"].is_null());
    for (more, told) in [
        (&["--without", "Nobody at all"][..], "there is no neighbour"),
        (&["--without", "Hill relay"], "a search is for Hill relay"),
        (&["--power", "lowe"], "did you mean `low`?"),
        (&["--filter=-3"], "a loss is above 0 dB"),
        (&["--seed", "3"], "--robust"),
    ] {
        let (code, stdout, stderr) = ask(more);
        assert_eq!((code, stdout.as_str()), (2, ""), "{more:?}");
        assert!(stderr.contains(told), "{more:?}: {stderr}");
    }
}

#[test]
fn a_fault_is_shown_with_its_line_and_no_colour_in_a_pipe() {
    let faulty = SCENARIO.replace("licence:", "license:");
    let (code, stdout, stderr) = run_with_input(&["check", "-"], faulty.as_bytes());
    assert_eq!((code, stdout.as_str()), (2, ""));
    assert!(
        stderr.contains("license") && stderr.contains("licence"),
        "{stderr}"
    );
    assert!(!stderr.contains('\u{1b}'), "{stderr}");
}

/// The same day without its search, which takes long.
fn without_search() -> String {
    SCENARIO.split("search:").next().unwrap().to_owned()
}

#[test]
fn a_report_is_written_whole_and_never_over_another_unasked() {
    let scenario = file("report.yaml", without_search().as_bytes());
    let page = file("report.html", b"mine");
    let arguments = [
        "report",
        scenario.to_str().unwrap(),
        "-o",
        page.to_str().unwrap(),
    ];
    let (code, stdout, stderr) = run(&arguments);
    assert_eq!((code, stdout.as_str()), (2, ""));
    assert!(
        stderr.contains("is there already") && stderr.contains("--force"),
        "{stderr}"
    );
    assert_eq!(fs::read(&page).unwrap(), b"mine");
    let forced = [&arguments[..], &["--force"]].concat();
    assert_eq!(run(&forced), (0, String::new(), String::new()));
    let written = fs::read_to_string(&page).unwrap();
    assert!(written.starts_with("<!DOCTYPE html>") && written.ends_with("</html>"));
    let conflicts = [&forced[..], &["--proposal", "B", "--fail-on", "conflict"]].concat();
    assert_eq!(run(&conflicts).0, 1);
}

#[test]
fn one_picture_is_a_file_of_its_own_and_a_name_nobody_knows_gets_the_list() {
    let arguments = ["report", "-", "--format", "svg", "--picture"];
    let scenario = without_search();
    let (code, svg, _) = run_with_input(&[&arguments[..], &["map"]].concat(), scenario.as_bytes());
    assert_eq!(code, 0);
    assert!(svg.starts_with("<?xml") && svg.contains("xmlns=\"http://www.w3.org/2000/svg\""));
    let (code, _, stderr) = run_with_input(
        &[&arguments[..], &["nonsense"]].concat(),
        scenario.as_bytes(),
    );
    assert_eq!(code, 2);
    assert!(stderr.contains("spectrum-2m"), "{stderr}");
}

#[test]
fn a_plan_without_stations_is_not_passed_off_as_judged() {
    let plan = b"event: {name: Nothing}\nrules: [uk]\n";
    let (code, page, stderr) = run_with_input(&["check", "-"], plan);
    assert_eq!(code, 0, "{page}");
    assert_eq!(
        stderr,
        "quietpair: the scenario has no stations; nothing was judged\n"
    );
}

#[test]
fn a_number_out_of_bounds_is_told_with_its_bounds_and_a_step_with_each_known_one_once() {
    let scenario = file("bounds.yaml", SCENARIO.as_bytes());
    let path = scenario.to_str().unwrap();
    for call in [["--order", "9"], ["--order", "many"]] {
        let (code, _, stderr) = run(&["check", path, call[0], call[1]]);
        assert_eq!(code, 2);
        assert!(
            stderr.contains("expected a whole number from 2 to 7"),
            "{stderr}"
        );
    }
    let (code, _, stderr) = run(&["rank", path, "--power", "foo"]);
    assert_eq!(code, 2);
    assert!(
        stderr.ends_with("hint: known are: high, mid, low\n"),
        "{stderr}"
    );
}
