//! Calls that are refused, in words: a list that cannot be taken in, a scenario that asks for nothing, options that do not go
//! together. What is refused is a wrong call (exit code 2), nothing goes to standard output, and something is to be done.

use std::fs;
use std::path::PathBuf;
use std::process::Command;

use serde_json::json;

fn quietpair(arguments: &[&str]) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_quietpair"))
        .args(arguments)
        .env("NO_COLOR", "1")
        .output()
        .unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    let code = output.status.code().unwrap();
    (code, text(output.stdout), text(output.stderr))
}

/// A file of this test run.
fn file(name: &str, text: &str) -> String {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("refused-calls");
    fs::create_dir_all(&folder).unwrap();
    let path = folder.join(name);
    fs::write(&path, text).unwrap();
    path.to_str().unwrap().to_owned()
}

/// A call that is refused with each of some words.
fn refused(arguments: &[&str], words: &[&str]) {
    let (code, stdout, stderr) = quietpair(arguments);
    assert_eq!((code, stdout.as_str()), (2, ""), "{arguments:?}\n{stderr}");
    let told: Vec<&str> = stderr.split_whitespace().collect();
    let told = told.join(" ");
    for words in words {
        assert!(told.contains(words), "{arguments:?}: {words}\n{stderr}");
    }
}

/// A list of neighbours of which every row is skipped, with the reason.
fn skipped(name: &str, text: &str, why: &str) {
    refused(&["import", &file(name, text)], &[why]);
}

#[test]
fn a_list_is_refused_where_it_is_no_list_or_more_than_is_read() {
    let list = file("plain.csv", "name,output\nTown,145.6500\n");
    refused(
        &["import", &list, "--delimiter", "ab"],
        &["`ab` is no delimiter", "use one of `,`, `;`, `|` and `tab`"],
    );
    refused(
        &["import", &list, "--columns", "name"],
        &["`name` is no `key=…`", "use one of the keys name, service,"],
    );
    // Of another kind than its name says.
    refused(
        &["import", &list, "--kind", "geojson"],
        &["the list is no JSON", "--kind"],
    );
    refused(
        &["import", &list, "--kind", "kml"],
        &["the list is no KML", "`kml`"],
    );
    // Between tabs there is but one column.
    refused(
        &["import", &list, "--kind", "csv", "--delimiter", "tab"],
        &[
            "no column of the list is named like a key",
            "the list has: name,output",
        ],
    );

    let wide: Vec<String> = (0..1_001).map(|column| format!("c{column}")).collect();
    let wide = file("wide.csv", &format!("{}\n", wide.join(",")));
    refused(
        &["import", &wide],
        &["wide.csv:1:1: 1001 columns are more than the 1000 that are read"],
    );

    let rows: String = (0..100_001).map(|_| "Town,145.6500\n").collect();
    let long = file("long.csv", &format!("name,output\n{rows}"));
    refused(
        &["import", &long],
        &["long.csv:100002:1:", "keep what is near the event"],
    );
    let feature = json!({"type": "Feature", "properties": {}, "geometry": null});
    let features = vec![feature; 100_001];
    let long = file(
        "long.geojson",
        &json!({"type": "FeatureCollection", "features": features}).to_string(),
    );
    refused(
        &["import", &long],
        &["long.geojson:1:1:", "keep what is near the event"],
    );
    let marks = "<Placemark><name>Town</name></Placemark>\n".repeat(100_001);
    let long = file("long.kml", &format!("<kml>{marks}</kml>\n"));
    refused(
        &["import", &long],
        &["long.kml:100001:1:", "keep what is near the event"],
    );
}

#[test]
fn a_row_that_makes_no_neighbour_is_told_with_its_reason() {
    skipped(
        "half.csv",
        "name,output,latitude,longitude\nTown,145.6500,54.3,\n",
        "a position needs both latitude and longitude: write both, or neither",
    );
    skipped(
        "shift.csv",
        "name,shift\nTown,-600 kHz\n",
        "a shift needs an output that it is counted from",
    );
    skipped(
        "below.csv",
        "name,output,shift\nTown,0.5,-600 kHz\n",
        "shifted by −600 kHz its input would be below zero",
    );
    // What is stated of a pair completes it, from either side.
    for (key, at) in [("output", "145.65"), ("input", "145.05")] {
        let list = file(
            "one.csv",
            &format!("name,{key},shift\nTown,{at},-600 kHz\n"),
        );
        let (code, taken, _) = quietpair(&["import", &list]);
        assert_eq!(code, 0);
        assert!(
            taken.contains("output: 145.6500, input: 145.0500"),
            "{taken}"
        );
    }
    // What is stated whole is taken as it stands, here between semicolons.
    let list = file(
        "whole.csv",
        "name;output;input;shift\nTown, north;145.65;144.95;-600 kHz\n",
    );
    let (code, taken, _) = quietpair(&["import", &list, "--delimiter", ";"]);
    assert_eq!(code, 0);
    assert!(
        taken.contains("\"Town, north\", output: 145.6500, input: 144.9500"),
        "{taken}"
    );
    // Without the unit, hertz would be megahertz.
    let list = file("hertz.csv", "name,output\nTown,145650000\n");
    for unit in ["hz", "Hz"] {
        let (code, taken, _) = quietpair(&["import", &list, "--unit", unit]);
        assert_eq!(code, 0);
        assert!(taken.contains("output: 145.6500}"), "{taken}");
    }
    // Truth is a word like any other.
    let map = json!({"type": "FeatureCollection", "features": [
        {"type": "Feature", "geometry": null, "properties": {"name": true, "output": "145.65"}},
        {"type": "Feature", "geometry": null, "properties": {"name": false, "output": "145.70"}},
    ]});
    let (code, taken, _) = quietpair(&["import", &file("truth.geojson", &map.to_string())]);
    assert_eq!(code, 0);
    assert!(
        taken.contains("\"yes\"") && taken.contains("\"no\""),
        "{taken}"
    );
}

/// Nine hundred marshals with two hundred overs an hour, for seven and a half hours.
#[test]
fn more_overs_than_are_run_through_are_refused_beforehand() {
    let text = "
event:
  name: Harbour run
  from: 2027-05-16T07:30+01:00[Europe/London]
  to: 2027-05-16T15:00+01:00[Europe/London]
rules: [uk]
licence: full
sites:
  hill: {at: [54.4, -0.5]}
stations:
  - {name: Marshals, site: hill, radio: handheld, talk: 145.3000, count: 900, traffic: {overs: 200, length: 10 s}}
";
    refused(
        &["check", &file("overs.yaml", text)],
        &[
            "overs.yaml:11:",
            "this comes to 1350000 overs in the event: at most 500000",
            "state fewer `overs`",
        ],
    );
}

/// Each of them is wrong in its own way.
#[test]
fn of_many_rows_that_are_skipped_a_hundred_are_told_and_how_many_more() {
    let row = |cells: usize| format!("Town{}\n", ",1".repeat(cells - 1));
    let rows: String = (3..=152).map(row).collect();
    let list = file("many.csv", &format!("name,output\nHall,145.7000\n{rows}"));
    let (code, _, stderr) = quietpair(&["import", &list]);
    assert_eq!(code, 0);
    assert!(stderr.contains("1 of 151 rows"), "{stderr}");
    assert!(stderr.contains("it has 102 cells") && !stderr.contains("it has 103 cells"));
    assert!(stderr.contains("  and 50 more"), "{stderr}");
}

#[test]
fn a_scenario_that_asks_for_nothing_of_the_kind_is_refused() {
    let plan = file(
        "bare.yaml",
        "event: {name: Harbour run}\nrules: [uk]\nlicence: full\n",
    );
    refused(&["rank", &plan], &["asks for no search", "add `search:`"]);
    refused(
        &["assign", &plan],
        &["no channel to be given a frequency", "add `assign:`"],
    );
    refused(
        &["report", &plan, "--picture", "spectrum"],
        &["--picture goes with --format svg"],
    );
    // Twenty-five open frequencies are more than are looked for together.
    let all = |line: fn(usize) -> String| (0..25).map(line).collect::<Vec<_>>().concat();
    let stations = all(|n| format!("  - {{name: S{n}, site: hill, radio: mobile-2m}}\n"));
    let channels = all(|n| format!("    - {{name: C{n}, stations: [S{n}], talk: 145.2-145.6}}\n"));
    let plan = file(
        "open.yaml",
        &format!(
            "event: {{name: Harbour run}}\nrules: [uk]\nlicence: full\nsites:\n  hill: {{at: [54.4, -0.5]}}\n\
             stations:\n{stations}assign:\n  channels:\n{channels}"
        ),
    );
    refused(
        &["assign", &plan],
        &[
            "open.yaml:33:3",
            "25 frequencies are open at once: at most 24",
            "give some channels their frequency",
        ],
    );
}

#[test]
fn frequencies_without_a_side_and_landings_without_end_are_refused() {
    refused(
        &["products", "--onto", "145.5"],
        &[
            "no frequency is left to combine",
            "write them before `--onto`",
        ],
    );
    let many: Vec<String> = (0..40).map(|n| format!("145.{n:03}")).collect();
    let many: Vec<&str> = many.iter().map(String::as_str).collect();
    let all = [
        &["products"],
        &many[..],
        &["--onto"],
        &many,
        &["--within", "900MHz", "--order", "5"],
    ];
    refused(
        &all.concat(),
        &["narrow --within, lower --order, or watch fewer frequencies"],
    );
}

#[test]
fn a_radio_of_ones_own_is_shown_and_a_broken_one_is_told_as_in_a_scenario() {
    let own = file(
        "own.yaml",
        "title: Our mobile\nbased_on: dual-band-mobile\n",
    );
    let (code, told, stderr) = quietpair(&["radios", "show", &own]);
    assert_eq!(code, 0, "{stderr}");
    assert!(told.contains("Our mobile"), "{told}");
    let broken = file(
        "broken.yaml",
        "title: Our mobile\nbased_on: dual-band-mobil\n",
    );
    refused(
        &["radios", "show", &broken],
        &["broken.yaml:2:", "did you mean"],
    );
    refused(
        &["radios", "show", &file("list.yaml", "- own\n")],
        &["found a list"],
    );
}

#[test]
fn a_page_that_has_nowhere_to_go_is_refused_with_what_to_name() {
    let taken = file("taken", "");
    refused(&["man", "--output", &taken], &["names the folder"]);
}

/// The amateur bands of the pack end far below.
#[test]
fn where_a_pack_opens_no_band_its_entries_say_so() {
    let (code, told, _) = quietpair(&["rules", "show", "uk", "--at", "5 GHz"]);
    assert_eq!(code, 0);
    assert!(told.contains("opens no band at"), "{told}");
}
