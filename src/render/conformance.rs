//! Whether a JSON document is what its schema says: the few keywords that the schemas here use, and no key unknown.

use serde_json::Value;

/// Every place where a document is not what the schema says.
pub(super) fn faults(schema: &Value, document: &Value) -> Vec<String> {
    let mut faults = Vec::new();
    compare(schema, schema, document, "$", &mut faults);
    faults
}

fn compare(root: &Value, schema: &Value, value: &Value, at: &str, faults: &mut Vec<String>) {
    if let Some(name) = schema["$ref"].as_str() {
        let named = root.pointer(name.trim_start_matches('#')).unwrap();
        return compare(root, named, value, at, faults);
    }
    if let Some(choices) = schema["anyOf"].as_array() {
        let fits = |choice| {
            let mut faults = Vec::new();
            compare(root, choice, value, at, &mut faults);
            faults.is_empty()
        };
        if !choices.iter().any(fits) {
            faults.push(format!("{at}: {value} is none of the choices"));
        }
        return;
    }
    let types: Vec<&str> = match &schema["type"] {
        Value::Array(types) => types.iter().filter_map(Value::as_str).collect(),
        one => one.as_str().into_iter().collect(),
    };
    let kind = match value {
        Value::Null => "null",
        Value::Bool(_) => "boolean",
        Value::Number(number) if number.is_f64() => "number",
        Value::Number(_) => "integer",
        Value::String(_) => "string",
        Value::Array(_) => "array",
        Value::Object(_) => "object",
    };
    let is_number = kind == "integer" && types.contains(&"number");
    if !types.contains(&kind) && !is_number {
        faults.push(format!("{at}: {kind} where {types:?} is wanted"));
    }
    if let Value::Array(items) = value {
        for (index, item) in items.iter().enumerate() {
            compare(
                root,
                &schema["items"],
                item,
                &format!("{at}[{index}]"),
                faults,
            );
        }
    }
    if let Value::Object(object) = value {
        for (key, inner) in object {
            match schema["properties"].get(key) {
                Some(known) => compare(root, known, inner, &format!("{at}.{key}"), faults),
                None => match &schema["additionalProperties"] {
                    any @ Value::Object(_) => {
                        compare(root, any, inner, &format!("{at}.{key}"), faults);
                    }
                    _ => faults.push(format!("{at}.{key}: not in the schema")),
                },
            }
        }
        for key in schema["required"].as_array().into_iter().flatten() {
            if !object.contains_key(key.as_str().unwrap()) {
                faults.push(format!("{at}: {key} is missing"));
            }
        }
    }
}

#[test]
fn a_document_with_a_wrong_a_missing_and_a_new_key_is_found_out() {
    let schema = serde_json::json!({
        "type": "object",
        "properties": {"a": {"type": "integer"}, "b": {"type": "string"}},
        "required": ["a", "b"],
    });
    let document = serde_json::json!({"a": "one", "c": 1});
    assert_eq!(faults(&schema, &document).len(), 3);
    assert!(faults(&schema, &serde_json::json!({"a": 1, "b": "two"})).is_empty());
}
