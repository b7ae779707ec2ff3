//! What the program offers, asked of the program itself.

use std::collections::BTreeSet;

use serde_json::Value;

use super::super::schema::CALLS;
use super::super::{file, folder, run};
use super::record::Record;

/// Everything that somebody may rest on.
pub(crate) fn take(version: &str) -> Record {
    let mut record = Record::new(version);
    commands(&mut record);
    exit_codes(&mut record);
    ids(&mut record);
    columns(&mut record);
    for name in text(&["schema"]).lines() {
        let schema: Value = serde_json::from_str(&text(&["schema", name])).unwrap();
        let format = schema["properties"]["format"]["description"].as_str();
        let number = format
            .and_then(|format| format.split('/').nth(1))
            .map(|rest| rest.trim_end_matches(['`', '.']));
        let section = number.map_or_else(|| name.to_owned(), |number| format!("{name}/{number}"));
        keys(&schema, &schema, "", &mut Vec::new(), &mut |line| {
            record.add(&section, line);
        });
    }
    record
}

fn text(arguments: &[&str]) -> String {
    let (code, text, errors) = run(arguments);
    assert!(code < 2, "{arguments:?}: {errors}");
    text
}

/// Every command with its options and the words that they take, as the completions for fish list them, a line each.
fn commands(record: &mut Record) {
    let page = text(&["completions", "fish"]);
    let calls = page.split("\ncomplete -c quietpair -n ").skip(1);
    for call in calls {
        let (place, rest) = call.trim_start_matches('"').split_once('"').unwrap();
        if place.contains("and not") && !rest.contains(" -a ") {
            // What can be asked before a part of a command is named can be asked of the part.
            continue;
        }
        let mut words = place
            .split_whitespace()
            .filter(|word| !word.starts_with("__fish"))
            .map(|word| word.trim_end_matches(';'))
            .take_while(|word| *word != "not")
            .filter(|word| *word != "and");
        let command: Vec<&str> = words.by_ref().collect();
        let command = command.join(" ");
        let mut parts = rest.split_whitespace();
        let mut names = Vec::new();
        let (is_valued, mut values) = (rest.contains("' -r"), Vec::new());
        while let Some(part) = parts.next() {
            match part {
                "-s" => names.extend(parts.next().map(|name| format!("-{name}"))),
                "-l" => names.extend(parts.next().map(|name| format!("--{name}"))),
                "-d" => break,
                _ => {}
            }
        }
        if let Some((_, list)) = rest.split_once(" -a \"") {
            let list = list.split('"').next().unwrap_or(list);
            values.extend(
                list.lines()
                    .map(|line| line.split("\\t").next().unwrap_or(line)),
            );
        }
        let values = values.join(" ");
        let line = match names.last() {
            Some(name) if is_valued && values.is_empty() => format!("{command} {name}: a value"),
            Some(name) if is_valued => format!("{command} {name}: {values}"),
            Some(name) => format!("{command} {name}"),
            None => format!("{command} {values}"),
        };
        record.add("commands", line.trim_start().to_owned());
        if let [short, long] = names.as_slice() {
            let line = format!("{command} {short}: {long}");
            record.add("commands", line.trim_start().to_owned());
        }
    }
}

/// What each kind of outcome ends with, by calls that end so.
fn exit_codes(record: &mut Record) {
    let folder = folder("contract");
    let broken = file(&folder, "broken.yaml", "event: [\n");
    let plan = "scenarios/pre-event-check.yaml";
    let calls: [(&str, &[&str]); 8] = [
        ("a page", &["radios"]),
        ("help", &["--help"]),
        (
            "nothing at that severity",
            &["check", plan, "--fail-on", "never"],
        ),
        ("found", &["check", "scenarios/harbour-half-marathon.yaml"]),
        ("a file that cannot be understood", &["check", &broken]),
        ("a file that is not there", &["check", "no-such-file.yaml"]),
        ("a call that is wrong", &["check", "--no-such-option"]),
        (
            "a result that cannot be written",
            &["radios", "-o", "/no/such/folder/file"],
        ),
    ];
    for (what, call) in calls {
        let (code, ..) = run(call);
        record.add("exit codes", format!("{what} {code}"));
    }
    let help = text(&["--help"]);
    let (_, codes) = help.split_once("Exit codes:\n").unwrap();
    for line in codes.lines().take_while(|line| !line.is_empty()) {
        if let Some(code) = line
            .split_whitespace()
            .next()
            .filter(|code| code.parse::<u8>().is_ok())
        {
            record.add("exit codes", format!("of the help {code}"));
        }
    }
}

/// The id of everything that can be found, explained, stacked or named as a radio.
fn ids(record: &mut Record) {
    for (section, call, key) in [
        ("checks", "explain", "check"),
        ("rule packs", "rules", "pack"),
        ("radio profiles", "radios", "radio"),
    ] {
        let list: Value = serde_json::from_str(&text(&[call, "--format", "json"])).unwrap();
        for row in list["rows"].as_array().unwrap() {
            let id = row[key].as_str().unwrap_or_else(|| panic!("{call}: {row}"));
            record.add(section, id.to_owned());
        }
    }
}

/// The columns of every CSV, in their order.
fn columns(record: &mut Record) {
    for (name, call) in CALLS {
        let page = text(&[call, &["--format", "csv"][..]].concat());
        let head = page.lines().next().unwrap_or_default();
        record.add("columns", format!("{name}: {head}"));
    }
}

/// Every key that a schema has room for, with whether it is always there and what may stand in it.
fn keys(
    whole: &Value,
    schema: &Value,
    path: &str,
    above: &mut Vec<String>,
    tell: &mut impl FnMut(String),
) {
    if let Some(name) = schema["$ref"].as_str() {
        if above.iter().any(|known| known == name) {
            return;
        }
        above.push(name.to_owned());
        keys(whole, pointed(whole, name), path, above, tell);
        above.pop();
        return;
    }
    let required = list(schema, "required");
    let properties = schema["properties"].as_object().into_iter().flatten();
    for (name, below) in properties {
        let dot = if path.is_empty() { "" } else { "." };
        let path = format!("{path}{dot}{name}");
        let always = if required.contains(&Value::from(name.as_str())) {
            "always "
        } else {
            ""
        };
        let words = words(whole, below, &mut Vec::new());
        let words: Vec<String> = words.into_iter().collect();
        tell(format!("{path}: {always}{}", words.join(" ")));
        keys(whole, below, &path, above, tell);
    }
    for (key, mark) in [("items", "[]"), ("additionalProperties", "{}")] {
        if schema[key].is_object() {
            keys(whole, &schema[key], &format!("{path}{mark}"), above, tell);
        }
    }
    for one in choices(schema) {
        keys(whole, one, path, above, tell);
    }
}

/// The types and the words that may stand somewhere.
fn words(whole: &Value, schema: &Value, above: &mut Vec<String>) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    if let Some(name) = schema["$ref"].as_str() {
        if !above.iter().any(|known| known == name) {
            above.push(name.to_owned());
            found.extend(words(whole, pointed(whole, name), above));
            above.pop();
        }
        return found;
    }
    found.extend(schema["type"].as_str().map(str::to_owned));
    let types = list(schema, "type");
    found.extend(types.iter().filter_map(Value::as_str).map(str::to_owned));
    found.extend(list(schema, "enum").iter().map(Value::to_string));
    found.extend(schema.get("const").map(Value::to_string));
    if schema["items"].is_object() {
        let of = words(whole, &schema["items"], above);
        found.extend(of.into_iter().map(|word| format!("of {word}")));
    }
    for one in choices(schema) {
        found.extend(words(whole, one, above));
    }
    found
}

fn pointed<'a>(whole: &'a Value, name: &str) -> &'a Value {
    let pointer = name.trim_start_matches('#');
    whole
        .pointer(pointer)
        .unwrap_or_else(|| panic!("{name} points nowhere"))
}

fn list<'a>(schema: &'a Value, key: &str) -> &'a [Value] {
    schema[key].as_array().map_or(&[], Vec::as_slice)
}

fn choices(schema: &Value) -> impl Iterator<Item = &Value> {
    let kinds = ["anyOf", "oneOf", "allOf"].into_iter();
    kinds.flat_map(|kind| list(schema, kind))
}
