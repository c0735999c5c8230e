//! What scripts read: `--json` and the schema.

use super::Desk;
use serde_json::Value;
use std::collections::BTreeSet;

fn keys(value: &Value) -> BTreeSet<&str> {
    value.as_object().unwrap().keys().map(String::as_str).collect()
}

/// `fixed` are all there; others only add to them.
fn has(value: &Value, fixed: &[&str]) {
    for key in fixed {
        assert!(keys(value).contains(key), "no `{key}` in {value:#}");
    }
}

/// The keys that scripts rely on; a script that reads them must not break.
#[test]
fn findings_json_keeps_its_keys() {
    let desk = Desk::new("findings-json");
    let folder = desk.rehearse("three-holds --seed 3").remove(0);
    let before = super::bytes_of(&folder);
    let told = desk.call(&["findings", folder.to_str().unwrap(), "--json"]).json();
    assert!(super::bytes_of(&folder) == before, "--json writes nothing");
    has(
        &told,
        &[
            "format",
            "analysis_version",
            "simulated",
            "sessions",
            "measure",
            "family",
            "confidence",
            "sentence",
            "conditions",
            "pairs",
        ],
    );
    assert_eq!(told["simulated"], true);
    assert_eq!(told["sessions"][0], folder.file_name().unwrap().to_str().unwrap());
    let conditions = told["conditions"].as_array().unwrap();
    let ids: Vec<&str> = conditions.iter().map(|c| c["id"].as_str().unwrap()).collect();
    assert_eq!(ids.len(), 3);
    for condition in conditions {
        has(
            condition,
            &[
                "id",
                "trials",
                "excluded",
                "mean_ms",
                "median_ms",
                "trimmed_mean_ms",
                "sd_ms",
                "error_share",
                "slope_ms_per_10min",
            ],
        );
        has(&condition["slope_ms_per_10min"], &["estimate", "low", "high"]);
    }
    for pair in told["pairs"].as_array().unwrap() {
        has(
            pair,
            &[
                "a",
                "b",
                "difference_ms",
                "low_ms",
                "high_ms",
                "low_single_ms",
                "high_single_ms",
                "df",
                "p_t",
                "p_adjusted",
                "p_randomization",
                "attainable_p",
                "equivalence",
                "chance_a_faster",
                "chance_a_faster_by_enough",
                "verdict",
            ],
        );
        has(&pair["equivalence"], &["low", "high"]);
        let place = |key: &str| ids.iter().position(|id| pair[key] == *id).unwrap();
        assert!(place("a") < place("b"), "a stands before b in the protocol");
        let number = |key: &str| pair[key].as_f64().unwrap();
        assert!(number("low_ms") <= number("low_single_ms"), "simultaneous is the wider one");
        assert!(number("low_single_ms") < number("difference_ms"));
        assert!(number("difference_ms") < number("high_single_ms"));
        assert!(number("p_t") <= number("p_adjusted"));
    }
}

#[test]
fn findings_without_json_print_the_sentence_and_the_report() {
    let desk = Desk::new("findings-text");
    let folder = desk.rehearse("two-holds --seed 3 --difference firm=-20").remove(0);
    let json = desk.call(&["findings", folder.to_str().unwrap(), "--json"]).json();
    let done = desk.call(&["findings", folder.to_str().unwrap()]);
    assert_eq!((done.code, done.err.as_str()), (0, ""));
    let report = folder.join("findings/report.html");
    let expected = format!("{}\n{}\n", json["sentence"].as_str().unwrap(), report.display());
    assert_eq!(done.out, expected);
    let kept = std::fs::read_to_string(folder.join("findings/findings.json")).unwrap();
    assert_eq!(serde_json::from_str::<Value>(&kept).unwrap(), json);
    let page = std::fs::read_to_string(report).unwrap();
    assert!(page.contains(json["sentence"].as_str().unwrap()));
    for outside in ["src=\"http", "href=\"http", "url(http", "@import"] {
        assert!(!page.contains(outside), "the report fetches nothing: {outside}");
    }
    let out = desk.path("elsewhere");
    let done = desk.call(&["picture", folder.to_str().unwrap(), "--out", out.to_str().unwrap()]);
    assert_eq!(done.out.lines().count(), 4);
    for line in done.out.lines() {
        assert!(std::path::Path::new(line).is_file(), "{line}");
    }
}

#[test]
fn a_simulated_session_says_so_in_every_file() {
    let desk = Desk::new("simulated");
    let folder = desk.rehearse("first-look --seed 3").remove(0);
    desk.call(&["findings", folder.to_str().unwrap()]);
    for (path, bytes) in super::bytes_of(&folder) {
        let name = path.file_name().unwrap().to_str().unwrap();
        // An exact copy, a plan that no player touches, and pictures of pixels.
        if name == "protocol.toml" || name == "schedule.csv" || name.ends_with(".png") {
            continue;
        }
        let text = String::from_utf8_lossy(&bytes).to_lowercase();
        assert!(text.contains("simulated"), "{name}");
    }
    for table in ["trials.csv", "ratings.csv"] {
        let mut reader = csv::Reader::from_path(folder.join(table)).unwrap();
        let column = reader.headers().unwrap().iter().position(|h| h == "simulated").unwrap();
        assert!(reader.records().all(|row| &row.unwrap()[column] == "true"), "{table}");
    }
}

#[test]
fn plan_json_counts_what_the_schedule_holds() {
    let done = Desk::new("plan").type_in("plan three-holds --json");
    let plan = done.json();
    has(
        &plan,
        &[
            "format",
            "protocol",
            "draw_rule",
            "seed",
            "minutes",
            "firm_minutes_at_most",
            "presses",
            "mean_wait_ms",
            "empty_waits",
            "attainable_p",
            "outlook",
            "schedule",
        ],
    );
    let protocol = std::fs::read_to_string("protocols/three-holds.toml").unwrap();
    let protocol: toml::Table = protocol.parse().unwrap();
    let design = &protocol["design"];
    let cycles = design["cycles"].as_integer().unwrap();
    let blocks = plan["schedule"].as_array().unwrap();
    assert_eq!(blocks.len(), usize::try_from(cycles * 3).unwrap());
    let mut hold_of_cycle = BTreeSet::new();
    for block in blocks {
        let own = (block["cycle"].as_u64().unwrap(), block["condition"].as_str().unwrap());
        assert!(hold_of_cycle.insert(own), "each hold once in a cycle: {own:?}");
    }
}

#[test]
fn devices_json_names_a_source_and_why_not_a_better_one() {
    let told = Desk::new("devices").type_in("devices --json").json();
    if cfg!(feature = "window") {
        has(&told, &["format", "input", "displays"]);
        for source in told["input"]["sources"].as_array().unwrap() {
            let refused = &source["refused"];
            assert!(refused.is_null() || !refused["mend"].as_str().unwrap().is_empty());
        }
    }
}

/// A keyword of the schema language with a value it may have (JSON Schema 2020-12, validation
/// vocabulary), all the way down.
fn sound(schema: &Value, place: &str) {
    for (keyword, value) in schema.as_object().unwrap_or_else(|| panic!("{place}")) {
        let right = match keyword.as_str() {
            "$schema" | "title" | "description" | "pattern" => value.is_string(),
            "type" => ["object", "array", "string", "number", "integer", "boolean"]
                .contains(&value.as_str().unwrap()),
            "minimum" | "maximum" | "exclusiveMinimum" | "exclusiveMaximum" => value.is_number(),
            "minLength" | "maxLength" | "minItems" | "maxItems" => value.is_u64(),
            "additionalProperties" | "uniqueItems" => value.is_boolean(),
            "default" => true,
            "enum" | "required" => {
                let list = value.as_array().unwrap();
                let once: BTreeSet<_> = list.iter().map(Value::to_string).collect();
                once.len() == list.len()
            }
            "items" => {
                sound(value, &format!("{place}[]"));
                true
            }
            "anyOf" => {
                let either = value.as_array().unwrap();
                either.iter().for_each(|one| sound(one, place));
                either.len() > 1
            }
            "properties" => {
                for (name, below) in value.as_object().unwrap() {
                    sound(below, &format!("{place}.{name}"));
                }
                true
            }
            _ => false,
        };
        assert!(right, "{place}: {keyword} is {value}");
    }
    if let Some(required) = schema.get("required") {
        for name in required.as_array().unwrap() {
            assert!(schema["properties"][name.as_str().unwrap()].is_object(), "{place}.{name}");
        }
    }
}

/// A value against the keywords that [`sound`] knows.
fn fits(value: &Value, schema: &Value, place: &str) {
    if let Some(either) = schema["anyOf"].as_array() {
        let kind = if value.is_array() { "array" } else { "number" };
        let fitting = either.iter().find(|one| one["type"] == kind);
        return fits(value, fitting.unwrap_or_else(|| panic!("{place}: {value}")), place);
    }
    match schema["type"].as_str() {
        Some("object") => {
            for (name, below) in value.as_object().unwrap_or_else(|| panic!("{place}")) {
                let known = &schema["properties"][name];
                assert!(known.is_object(), "{place}.{name} is not in the schema");
                fits(below, known, &format!("{place}.{name}"));
            }
            for name in schema["required"].as_array().into_iter().flatten() {
                assert!(value.get(name.as_str().unwrap()).is_some(), "{place}.{name}");
            }
        }
        Some("array") => {
            for below in value.as_array().unwrap_or_else(|| panic!("{place}")) {
                fits(below, &schema["items"], &format!("{place}[]"));
            }
        }
        Some("string") => assert!(value.is_string(), "{place}"),
        Some("integer") => assert!(value.is_i64(), "{place}"),
        Some("number") => assert!(value.is_number(), "{place}"),
        Some("boolean") => assert!(value.is_boolean(), "{place}"),
        _ => {}
    }
    if let Some(words) = schema["enum"].as_array() {
        assert!(words.contains(value), "{place}: {value} is none of {words:?}");
    }
    if let (Some(number), Some(least)) = (value.as_f64(), schema["minimum"].as_f64()) {
        assert!(number >= least, "{place}");
    }
    if let (Some(number), Some(most)) = (value.as_f64(), schema["maximum"].as_f64()) {
        assert!(number <= most, "{place}");
    }
}

#[test]
fn the_schema_is_one_and_the_shipped_protocols_fit_it() {
    let desk = Desk::new("schema");
    let schema = desk.type_in("protocols --schema").json();
    assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
    sound(&schema, "");
    let list = desk.type_in("protocols --json").json();
    assert!(list.as_array().unwrap().len() >= 7);
    for shipped in list.as_array().unwrap() {
        let id = shipped["id"].as_str().unwrap();
        let text = desk.type_in(&format!("protocols {id}")).out;
        let table: toml::Table = text.parse().unwrap();
        fits(&serde_json::to_value(table).unwrap(), &schema, id);
    }
}
