//! The schemas, by a validator that has nothing to do with the program.

use std::fs;

use jsonschema::Validator;
use serde_json::Value;

use super::{files_in, run, start};

fn validator(name: &str) -> Validator {
    let (code, text, _) = run(&["schema", name]);
    assert_eq!(code, 0, "{name}");
    let schema: Value = serde_json::from_str(&text).unwrap();
    jsonschema::draft202012::meta::validate(&schema).unwrap();
    jsonschema::validator_for(&schema).unwrap()
}

fn yaml(text: &str) -> Value {
    // As editors read it (YAML 1.2): `yes` and `n` are texts.
    let options = serde_yaml::options! { strict_booleans: true };
    serde_yaml::from_str_with_options(text, options).unwrap()
}

fn faults(validator: &Validator, document: &Value) -> Vec<String> {
    validator
        .iter_errors(document)
        .map(|error| format!("{}: {error}", error.instance_path()))
        .collect()
}

#[test]
fn every_scenario_is_what_its_schema_says() {
    let validator = validator("scenario");
    let mut texts = start::all();
    for path in files_in("scenarios", "yaml") {
        texts.push((
            path.display().to_string(),
            fs::read_to_string(&path).unwrap(),
        ));
    }
    for (name, text) in texts {
        let faults = faults(&validator, &yaml(&text));
        assert!(faults.is_empty(), "{name}: {faults:#?}");
    }
}

#[test]
fn what_the_reader_refuses_for_its_shape_the_schema_refuses_too() {
    let validator = validator("scenario");
    for name in [
        "unknown-key",
        "missing-keys",
        "not-a-mapping",
        "wrong-types",
    ] {
        let path = super::root().join(format!("scenarios/faulty/{name}.yaml"));
        let document = yaml(&fs::read_to_string(path).unwrap());
        assert!(!validator.is_valid(&document), "{name}");
    }
}

#[test]
fn every_rule_pack_and_profile_is_what_its_schema_says_and_a_broken_one_is_not() {
    for (schema, folder) in [
        ("rule-pack", "src/law/packs"),
        ("profile", "src/radio/profiles"),
    ] {
        let validator = validator(schema);
        for path in files_in(folder, "yaml") {
            let mut document = yaml(&fs::read_to_string(&path).unwrap());
            let faults = faults(&validator, &document);
            assert!(faults.is_empty(), "{}: {faults:#?}", path.display());
            document["no_such_key"] = Value::from(1);
            assert!(!validator.is_valid(&document), "{}", path.display());
        }
    }
}

/// The commands whose JSON has a schema, each as it is called.
pub(crate) const CALLS: &[(&str, &[&str])] = &[
    (
        "check",
        &["check", "scenarios/pre-event-check.yaml", "--show-defaults"],
    ),
    (
        "rank",
        &["rank", "scenarios/lake-regatta-watch.yaml", "--top", "2"],
    ),
    (
        "assign",
        &["assign", "scenarios/moor-marathon-channels.yaml"],
    ),
    ("review", &["review", "scenarios/pre-event-check.yaml"]),
    (
        "part",
        &[
            "review",
            "scenarios/pre-event-check.yaml",
            "--part",
            "channels",
        ],
    ),
    ("products", &["products", "145.2250", "--onto", "435.6750"]),
    ("explain", &["explain"]),
    ("rules", &["rules"]),
    ("radios", &["radios"]),
];

#[test]
fn every_output_is_what_its_schema_says_and_without_a_key_it_is_not() {
    for (name, call) in CALLS {
        let (code, text, _) = run(&[call, &["--format", "json"][..]].concat());
        assert!(code < 2, "{name}");
        let validator = validator(name);
        let mut document: Value = serde_json::from_str(&text).unwrap();
        assert_eq!(document["format"], format!("quietpair.{name}/1"));
        let faults = faults(&validator, &document);
        assert!(faults.is_empty(), "{name}: {faults:#?}");
        document.as_object_mut().unwrap().remove("format");
        assert!(!validator.is_valid(&document), "{name}");
    }
    let (_, list, _) = run(&["schema"]);
    for name in list.lines() {
        let is_called = CALLS.iter().any(|(known, _)| *known == name);
        // `compare` needs an earlier check and is looked at there.
        let is_known = ["scenario", "rule-pack", "profile", "compare"].contains(&name);
        assert!(is_called || is_known, "{name} is never validated");
    }
}

/// Where the schema of a comparison is looked at with a comparison at hand.
pub(crate) fn assert_compare(document: &Value) {
    let faults = faults(&validator("compare"), document);
    assert!(faults.is_empty(), "{faults:#?}");
}
