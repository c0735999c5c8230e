//! The JSON Schema of protocol files, so that editors complete and check them.
//!
//! Made from the table of keys alone. Draft 2020-12.

use super::keys::{Absent, KEYS, Key, Kind, TABLES};
use crate::tasks::MOST_LEVELS;
use serde_json::{Map, Value, json};

/// The JSON Schema of a protocol file.
pub fn json_schema() -> Value {
    let mut root = object("");
    let (mut properties, mut required) = parts("");
    for table in TABLES.iter().filter(|table| !table.is_empty() && !table.contains('.')) {
        let mut inner = object(table);
        let (mut keys, needs) = parts(table);
        for nested in TABLES.iter().filter(|name| name.starts_with(&format!("{table}."))) {
            let mut below = object(nested);
            let (nested_keys, nested_needs) = parts(nested);
            below["properties"] = Value::Object(nested_keys);
            below["required"] = json!(nested_needs);
            keys.insert(nested[table.len() + 1..].to_owned(), below);
        }
        if !needs.is_empty() {
            required.push((*table).to_owned());
        }
        inner["properties"] = Value::Object(keys);
        inner["required"] = json!(needs);
        let value = if *table == "condition" {
            json!({ "type": "array", "minItems": 2, "maxItems": 8, "items": inner })
        } else {
            inner
        };
        properties.insert((*table).to_owned(), value);
    }
    root["$schema"] = json!("https://json-schema.org/draft/2020-12/schema");
    root["title"] = json!("Tautline protocol");
    root["properties"] = Value::Object(properties);
    root["required"] = json!(required);
    root
}

fn object(_table: &str) -> Value {
    json!({ "type": "object", "additionalProperties": false })
}

fn parts(table: &str) -> (Map<String, Value>, Vec<String>) {
    let mut properties = Map::new();
    let mut required = Vec::new();
    for key in KEYS.iter().filter(|key| key.table == table) {
        properties.insert(key.name.to_owned(), property(key));
        if key.absent == Absent::Fault {
            required.push(key.name.to_owned());
        }
    }
    (properties, required)
}

fn property(key: &Key) -> Value {
    let mut value = match key.kind {
        Kind::Text => json!({ "type": "string", "minLength": 1 }),
        Kind::Slug => json!({ "type": "string", "pattern": "^[a-z][a-z0-9-]{0,39}$" }),
        Kind::Number { min, max } => json!({ "type": "number", "minimum": min, "maximum": max }),
        Kind::Whole { min, max } => json!({ "type": "integer", "minimum": min, "maximum": max }),
        Kind::Word(words) => json!({ "enum": words }),
        Kind::Words(words) => json!({ "type": "array", "items": { "enum": words } }),
        Kind::Wholes { min, max } => json!({
            "type": "array",
            "items": { "type": "integer", "minimum": min, "maximum": max },
        }),
        Kind::Numbers { min, max } => {
            let number = json!({ "type": "number", "minimum": min, "maximum": max });
            let list = json!({
                "type": "array", "items": number.clone(), "minItems": 1, "maxItems": MOST_LEVELS
            });
            json!({ "anyOf": [number, list] })
        }
    };
    value["description"] = json!(key.says);
    match (key.absent, key.kind) {
        (Absent::Number(number), Kind::Whole { .. }) => {
            value["default"] = serde_json::from_str(&format!("{number:.0}")).unwrap_or(Value::Null);
        }
        (Absent::Number(number), _) => value["default"] = json!(number),
        (Absent::Word(word), _) => value["default"] = json!(word),
        (Absent::Empty, _) => value["default"] = json!([]),
        (Absent::Fault | Absent::Unset, _) => {}
    }
    value
}
