//! A strong carrier half the second IF off is heard through the second mixer, to the hertz, and no stronger than the filter at
//! the first IF lets it.

use std::fs;
use std::path::Path;

use quietpair::assess::assess;
use quietpair::finding::{Finding, Severity};
use quietpair::scenario::{NoFiles, read};

fn file(which: &str) -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/checks/second-mixer-spur");
    fs::read_to_string(folder.join(which)).unwrap()
}

fn found(text: &str) -> Vec<Finding> {
    let plan =
        read("test.yaml", text.as_bytes(), &NoFiles).unwrap_or_else(|error| panic!("{error}"));
    let findings = assess(&plan).plan.findings;
    findings
        .into_iter()
        .filter(|finding| finding.check == "second-mixer-spur")
        .collect()
}

fn at_the_place() -> String {
    file("fires.yaml").replace("434785673 Hz", "434.7750")
}

#[test]
fn it_fires_where_the_channel_still_takes_it_in_and_not_one_hertz_further() {
    let fired = found(&file("fires.yaml"));
    assert_eq!(fired.len(), 1);
    let arithmetic = &fired[0].arithmetic;
    let sum = "435.0000 − 0.4500 ÷ 2 = 434.7750 MHz";
    assert!(arithmetic.contains(sum), "{arithmetic}");
    assert!(found(&file("quiet.yaml")).is_empty());
}

#[test]
fn a_db_more_of_filter_takes_two_from_what_is_heard() {
    let level = |loss: &str| {
        let filter = format!("second_image: {loss}, first_if_filter: {{passband: 100 Hz");
        let text = at_the_place().replace("first_if_filter: {passband: 400 kHz", &filter);
        found(&text)[0].level.unwrap().as_dbm()
    };
    assert!((level("3 dB") - level("8 dB") - 10.0).abs() < 1e-6);
}

#[test]
fn a_side_that_the_profile_does_not_state_is_a_caution_at_most_and_the_finding_says_so() {
    assert_eq!(found(&at_the_place())[0].severity, Severity::Conflict);
    let unknown = at_the_place().replace(", second_injection: low", "");
    let fired = found(&unknown);
    assert_eq!(fired.len(), 1);
    assert_ne!(fired[0].severity, Severity::Conflict);
    let said = format!("{:?}", fired[0]);
    assert!(
        said.contains("if Ear") && said.contains("second oscillator below its first IF"),
        "{said}"
    );
    assert!(
        found(&at_the_place().replace("second_injection: low", "second_injection: high"))
            .is_empty()
    );
}

#[test]
fn half_a_filter_is_refused() {
    let lone = "land: {based_on: unknown-receiver, receiver: {first_if_filter: {poles: 2}}}";
    let text = file("fires.yaml").replace("radios:\n", &format!("radios:\n  {lone}\n"));
    let text = text.replace("radio: wide-mobile", "radio: land");
    let error = read("test.yaml", text.as_bytes(), &NoFiles)
        .unwrap_err()
        .to_string();
    assert!(error.contains("first_if_filter.passband"), "{error}");
}
