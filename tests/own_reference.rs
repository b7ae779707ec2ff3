//! A radio whose reference is stated hears its harmonics, to the hertz; and no profile that is built in states one.

use std::fs;
use std::path::Path;

use quietpair::assess::assess;
use quietpair::finding::Finding;
use quietpair::scenario::{NoFiles, read};

fn found(text: &str) -> Vec<Finding> {
    let plan =
        read("test.yaml", text.as_bytes(), &NoFiles).unwrap_or_else(|error| panic!("{error}"));
    let findings = assess(&plan).plan.findings;
    findings
        .into_iter()
        .filter(|finding| finding.check == "reference-birdy")
        .collect()
}

fn file(which: &str) -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/checks/reference-birdy");
    fs::read_to_string(folder.join(which)).unwrap()
}

#[test]
fn it_fires_where_the_channel_still_takes_it_in_and_not_one_hertz_further() {
    let fired = found(&file("fires.yaml"));
    assert_eq!(fired.len(), 1);
    assert_eq!(fired[0].sources[0].coefficient, 34);
    assert_eq!(fired[0].sources[0].frequency.as_hz(), 12_800_000);
    assert!(
        fired[0]
            .arithmetic
            .starts_with("34 × 12.8000 = 435.2000 MHz"),
        "{}",
        fired[0].arithmetic
    );
    assert!(found(&file("quiet.yaml")).is_empty());
}

#[test]
fn on_the_channel_it_comes_as_strong_as_stated_and_only_to_the_radio_that_states_it() {
    let there = file("fires.yaml").replace("435207138 Hz", "435.2000");
    let other = "  - {name: Other, site: hill, radio: dual-band-mobile, watch: 435.2000}\n";
    let found = found(&format!("{there}{other}"));
    assert_eq!(found.len(), 1);
    let level = found[0].level.unwrap().as_dbm();
    assert!((level + 118.0).abs() < 1e-9);
    assert_eq!(found[0].victim.as_ref().unwrap().station, "Ear");
}

#[test]
fn half_a_reference_is_refused() {
    let text = file("fires.yaml").replace(", level: -118 dBm", "");
    let error = read("test.yaml", text.as_bytes(), &NoFiles)
        .unwrap_err()
        .to_string();
    assert!(error.contains("reference.level"), "{error}");
}

/// Ordinals as English has them: 11th to 13th are no 1st to 3rd.
#[test]
fn each_multiple_of_a_reference_is_called_by_its_ordinal() {
    for (reference, watched, ordinal) in [
        ("145.2 MHz", "145.2000", "1st"),
        ("72.6 MHz", "145.2000", "2nd"),
        ("48.4 MHz", "145.2000", "3rd"),
        ("36.3 MHz", "145.2000", "4th"),
        ("13.2 MHz", "145.2000", "11th"),
        ("12.1 MHz", "145.2000", "12th"),
        ("11.2 MHz", "145.6000", "13th"),
        ("20.65 MHz", "433.6500", "21st"),
        ("19.7 MHz", "433.4000", "22nd"),
        ("18.85 MHz", "433.5500", "23rd"),
    ] {
        let text = file("fires.yaml")
            .replace("12.8 MHz", reference)
            .replace("435207138 Hz", watched);
        let found = found(&text);
        let says = &found[0].says;
        assert!(
            says.contains(&format!("the {ordinal} harmonic of the reference")),
            "{says}"
        );
    }
}
