//! `import`: lists of others, real and hostile.

use std::fs;

use super::{file, folder, root, run};

/// The columns of the open data set, see `tests/import/README.md`.
const AIRFIELDS: [&str; 6] = [
    "import",
    "tests/import/airfields.csv",
    "--columns",
    "name=airport_ident+type,frequency=frequency_mhz,latitude=latitude_deg,longitude=longitude_deg",
    "--set",
    "service=airband-ground,mode=am-8k33",
];

#[test]
fn real_airband_frequencies_come_in_and_wrong_ones_are_told_with_their_line() {
    let (code, list, stderr) = run(&AIRFIELDS);
    assert_eq!(code, 0, "{stderr}");
    assert!(list.starts_with("# 5"), "{list}");
    // Not on the raster of names (ICAO Annex 10; the data set has them so), not a frequency, not airband.
    for told in ["118.0700", "118.1520", "`0 MHz` is outside"] {
        assert!(
            stderr.contains(told) && list.contains(told),
            "{told}: {stderr}"
        );
    }
    let line = fs::read_to_string(root().join(AIRFIELDS[1])).unwrap();
    let line = line
        .lines()
        .position(|line| line.starts_with("YBCR"))
        .unwrap()
        + 1;
    assert!(stderr.contains(&format!("line {line}: ")), "{stderr}");
}

#[test]
fn what_came_in_is_judged_and_an_airfield_within_reach_is_heard_of() {
    let near = ["--near", "54.3,-0.9", "--within", "40 km"];
    let (code, list, stderr) = run(&[&AIRFIELDS[..], &near].concat());
    assert_eq!(code, 0, "{stderr}");
    assert!(stderr.contains("farther than 40 km"), "{stderr}");
    let folder = folder("import");
    let scenario = format!(
        "event: {{name: Field day}}\nrules: [uk]\nlicence: full\nsites: {{hill: {{at: [54.3, -0.9]}}}}\n\
         stations: [{{name: Base, site: hill, radio: dual-band-mobile, power: low, talk: 145.2250}}]\n{list}"
    );
    let path = file(&folder, "field-day.yaml", &scenario);
    let (code, json, stderr) = run(&["check", &path, "--format", "lines"]);
    assert!(code < 2, "{stderr}");
    assert!(
        json.contains("EGXU"),
        "an airfield within reach is heard of: {json}"
    );
}

#[test]
fn the_programs_own_table_is_read_without_a_word_on_columns() {
    let (code, table, _) = run(&[&AIRFIELDS[..], &["--as", "csv"]].concat());
    assert_eq!(code, 0);
    let folder = folder("own-table");
    file(&folder, "airfields.csv", &table);
    let scenario =
        "event: {name: x}\nrules: [uk]\nlicence: full\nin_use: [{from: airfields.csv}]\n";
    let path = file(&folder, "x.yaml", scenario);
    let (code, _, stderr) = run(&["check", &path]);
    assert!(code < 2, "{stderr}");
}

#[test]
fn places_and_entries_come_out_of_a_map() {
    let (code, sites, stderr) = run(&["import", "tests/import/sites.kml", "--as", "sites"]);
    assert_eq!(code, 0, "{stderr}");
    assert!(
        sites.contains("\"Hill & mast\": {at: [54.41500, -0.53200]}"),
        "{sites}"
    );
    assert!(
        sites.contains("\"Start\": {at: [54.48710, -0.61330]}"),
        "{sites}"
    );
    assert!(
        stderr.contains("placemark 3: it is a LineString, not a point"),
        "{stderr}"
    );
    assert!(stderr.contains("placemark 4: latitude 94"), "{stderr}");
    let (code, list, stderr) = run(&["import", "tests/import/sites.kml"]);
    assert_eq!(code, 0, "{stderr}");
    assert!(list.contains("output: 145.6500, input: 145.0500"), "{list}");
    assert!(
        stderr.contains("placemark 2: it has no frequency"),
        "{stderr}"
    );
}

#[test]
fn kilohertz_and_shifts_come_out_of_geojson() {
    let (code, list, stderr) = run(&[
        "import",
        "tests/import/neighbours.geojson",
        "--columns",
        "name=call,output=tx_khz,shift=offset_khz",
        "--unit",
        "khz",
    ]);
    assert_eq!(code, 0, "{stderr}");
    assert!(
        list.contains(
            "{name: \"Town repeater\", output: 145.6500, input: 145.0500, at: [54.33020, -0.42970]}"
        ),
        "{list}"
    );
    assert!(list.contains("output: 453.1250, at"), "{list}");
    assert!(
        stderr.contains("feature 3: it is a Polygon") && stderr.contains("feature 4: `n/a"),
        "{stderr}"
    );
}

#[test]
fn a_word_that_the_list_or_the_scenario_does_not_know_is_met_with_the_nearest() {
    let call = |columns| run(&["import", "tests/import/airfields.csv", "--columns", columns]);
    let (code, _, stderr) = call("name=airport_iden");
    assert_eq!(code, 2);
    assert!(stderr.contains("did you mean `airport_ident`?"), "{stderr}");
    let (code, _, stderr) = call("nmae=airport_ident");
    assert_eq!(code, 2);
    assert!(stderr.contains("did you mean `name`?"), "{stderr}");
    let (code, _, stderr) = run(&["import", "tests/import/airfields.csv"]);
    assert_eq!(code, 2);
    assert!(
        stderr.contains("frequency_mhz") && stderr.contains("--columns"),
        "{stderr}"
    );
}

#[test]
fn hostile_files_end_in_a_clear_error() {
    let folder = folder("hostile");
    let deep_json = format!(
        "{{\"type\":\"FeatureCollection\",\"features\":{}",
        "[".repeat(200_000)
    );
    let deep_kml = format!("<kml>{}", "<Folder>".repeat(200_000));
    let bomb = "<!DOCTYPE kml [<!ENTITY a \"aaaa\"><!ENTITY b \"&a;&a;&a;\">]><kml><Placemark><name>&b;</name></Placemark></kml>";
    for (name, text) in [
        ("deep.geojson", deep_json.as_str()),
        ("deep.kml", &deep_kml),
        ("bomb.kml", bomb),
        (
            "unknown.kml",
            "<kml><Placemark><name>&a;</name></Placemark></kml>",
        ),
        ("cut.kml", "<kml><Placemark><name>x</name>"),
        ("crossed.kml", "<kml><Placemark></kml></Placemark>"),
        ("other.kml", "<gpx></gpx>"),
        ("none.geojson", "[1, 2]"),
        ("none.csv", "\0\0"),
        ("open.csv", "frequency,name\n\"145.2,x\n"),
        ("heading.csv", "frequency,name\n"),
    ] {
        let path = file(&folder, name, text);
        let (code, stdout, stderr) = run(&["import", &path]);
        assert_eq!((code, stdout.as_str()), (2, ""), "{name}");
        assert!(
            stderr.starts_with("quietpair: ") && stderr.len() < 1_000,
            "{name}: {stderr}"
        );
    }
    // A text cannot break out of its quotation marks.
    let path = file(
        &folder,
        "quotes.csv",
        "frequency,name\n145.2,\"a\"\", x: [{ # \nb\"\n",
    );
    let (code, list, _) = run(&["import", &path]);
    assert_eq!(code, 0);
    assert!(list.contains(r#"name: "a\", x: [{ # \nb""#), "{list}");
}
