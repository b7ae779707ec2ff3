//! `docs/scenario-keys.md` is what the types of a scenario say, word for word.
//!
//! `QUIETPAIR_WRITE=1 cargo test --test hand reference` writes it anew.

use std::collections::BTreeSet;
use std::fmt::Write;
use std::fs;

use serde_json::Value;

use super::{root, run};

const HEAD: &str = "# Every key of a scenario

Made from the program's own types; `quietpair schema scenario` says the same to an editor. What the keys mean together is told
in [the scenario file](scenario.md), and how values are written there, too.
";

/// What a value is, in a few words.
fn kind(schema: &Value) -> String {
    if let Some(name) = schema["$ref"].as_str() {
        let name = called(name.trim_start_matches("#/$defs/"));
        return format!("[{name}](#{})", anchor(&name));
    }
    for choices in ["anyOf", "oneOf"] {
        if let Some(choices) = schema[choices].as_array() {
            let mut kinds: Vec<String> = choices
                .iter()
                .filter(|choice| choice["type"] != "null")
                .map(kind)
                .collect();
            kinds.dedup();
            return kinds.join(" or ");
        }
    }
    if let Some(word) = schema["const"].as_str() {
        return format!("`{word}`");
    }
    if schema["enum"]
        .as_array()
        .is_some_and(|words| words.contains(&Value::from("yes")))
    {
        return "`yes` or `no`".to_owned();
    }
    if let Some(words) = schema["enum"].as_array() {
        let words: Vec<String> = words
            .iter()
            .filter_map(Value::as_str)
            .map(|word| format!("`{word}`"))
            .collect();
        return words.join(", ");
    }
    if schema["items"].is_object() {
        return format!("list of {}", kind(&schema["items"]));
    }
    if schema["additionalProperties"].is_object() {
        return format!("by name, {}", kind(&schema["additionalProperties"]));
    }
    let types: Vec<&str> = match &schema["type"] {
        Value::String(one) => vec![one],
        Value::Array(several) => several.iter().filter_map(Value::as_str).collect(),
        _ => Vec::new(),
    };
    let word = |name: &str| match name {
        "string" => Some("text"),
        "integer" => Some("whole number"),
        "number" => Some("number"),
        "boolean" => Some("`yes` or `no`"),
        "array" => Some("list"),
        "object" => Some("mapping"),
        _ => None,
    };
    // A text may be written as a number wherever a text is wanted.
    let is_text = types.contains(&"string");
    let types = types
        .into_iter()
        .filter(|name| !(is_text && *name == "number"));
    let words: Vec<&str> = types.filter_map(word).collect();
    words.join(" or ")
}

/// The name of a type as a reader says it: `InUseWords` is `in use`.
fn called(name: &str) -> String {
    let (name, number) = name.split_at(name.trim_end_matches(char::is_numeric).len());
    let name = name.trim_end_matches("Words").trim_end_matches("Word");
    let mut text = String::new();
    for (at, letter) in name.char_indices() {
        if at > 0 && letter.is_uppercase() {
            text.push(' ');
        }
        text.extend(letter.to_lowercase());
    }
    if !number.is_empty() {
        text += " ";
        text += number;
    }
    text
}

fn anchor(name: &str) -> String {
    name.to_lowercase().replace(' ', "-")
}

/// A text as a cell of a table.
fn cell(text: &str) -> String {
    text.replace(['\n', '\r'], " ").replace('|', "\\|")
}

fn section(page: &mut String, title: &str, schema: &Value) {
    let _ = writeln!(page, "\n## {title}\n");
    if let Some(text) = schema["description"].as_str() {
        let _ = writeln!(page, "{}\n", text.replace('\n', " "));
    }
    let Some(properties) = schema["properties"].as_object() else {
        let kind = kind(schema);
        if !kind.is_empty() {
            let _ = writeln!(page, "{kind}.");
        }
        return;
    };
    let required: Vec<&str> = schema["required"]
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(Value::as_str)
        .collect();
    page.push_str("| key | value | what |\n| --- | --- | --- |\n");
    for (key, value) in properties {
        let needed = if required.contains(&key.as_str()) {
            ", required"
        } else {
            ""
        };
        let what = value["description"].as_str().unwrap_or("");
        let _ = writeln!(
            page,
            "| `{key}` | {}{needed} | {} |",
            cell(&kind(value)),
            cell(what)
        );
    }
}

#[test]
fn the_reference_of_the_scenario_is_what_the_types_say() {
    let (_, text, _) = run(&["schema", "scenario"]);
    let schema: Value = serde_json::from_str(&text).unwrap();
    let mut page = HEAD.to_owned();
    section(&mut page, "The file", &schema);
    let mut headings = BTreeSet::new();
    for (name, inner) in schema["$defs"].as_object().unwrap() {
        let heading = called(name);
        section(&mut page, &heading, inner);
        assert!(
            headings.insert(heading),
            "{name} has the heading of another type, so links lead astray"
        );
    }
    let path = root().join("docs/scenario-keys.md");
    if std::env::var_os("QUIETPAIR_WRITE").is_some() {
        fs::write(&path, &page).unwrap();
    }
    let written = fs::read_to_string(&path).unwrap_or_default();
    assert!(
        written == page,
        "docs/scenario-keys.md is behind the types; QUIETPAIR_WRITE=1 writes it anew"
    );
}
