//! A session with planned looks, by command: rehearsed, replayed, its findings.

use super::Desk;
use serde_json::Value;
use std::fs;

/// Ten cycles of two holds with a look after six.
fn with_a_look(desk: &Desk) -> String {
    let shipped = desk.type_in("protocols two-holds").out;
    let own = shipped.lines().find(|line| line.starts_with("cycles = ")).unwrap().to_owned();
    let text = shipped
        .replace(&own, "cycles = 10")
        .replace("\n[analysis]\n", "\n[analysis]\nlooks = [6]\n")
        .replace("id = \"two-holds\"", "id = \"looked\"");
    let file = desk.path("looked.toml");
    fs::write(&file, text).unwrap();
    file.to_str().unwrap().to_owned()
}

fn second_hold(file: &str) -> String {
    let text = fs::read_to_string(file).unwrap();
    let ids: Vec<&str> = text
        .split("[[condition]]")
        .skip(1)
        .map(|part| part.split("id = \"").nth(1).unwrap().split('"').next().unwrap())
        .collect();
    ids[1].to_owned()
}

#[test]
fn a_session_that_a_look_settles_ends_there_and_says_so_everywhere() {
    let desk = Desk::new("looks");
    let file = with_a_look(&desk);
    let hold = second_hold(&file);
    let folder = desk.rehearse(&format!("{file} --seed 2 --difference {hold}=-60")).remove(0);
    let manifest: Value =
        serde_json::from_str(&fs::read_to_string(folder.join("manifest.json")).unwrap()).unwrap();
    assert_eq!((&manifest["ending"], &manifest["draw_rule"]), (&"settled".into(), &2.into()));
    assert_eq!(manifest["blocks_finished"].as_array().unwrap().len(), 12);
    let place = folder.to_str().unwrap();
    let replayed = desk.call(&["replay", place]);
    assert_eq!(replayed.code, 0, "{}{}", replayed.out, replayed.err);
    let told = desk.call(&["findings", place, "--json"]).json();
    let looks = &told["looks"];
    assert_eq!(looks["planned"], serde_json::json!([6]));
    assert_eq!((&looks["after_cycle"], &looks["ended_at_look"]), (&6.into(), &true.into()));
    // Half of 10 cycles and one more: the level is far below 5 %, above 0.3 %.
    let confidence = looks["confidence"].as_f64().unwrap();
    assert!((0.985..0.997).contains(&confidence), "{confidence}");
    let pair = &told["pairs"][0];
    assert_eq!(pair["p_randomization"], Value::Null, "no such p at an early look");
    assert!(pair["verdict"].as_str().unwrap().ends_with("_by_enough"), "{pair}");
    let warnings = told["warnings"].to_string();
    assert!(warnings.contains("planned look, after cycle 6 of 10"), "{warnings}");
    let done = desk.call(&["findings", place]);
    let report = fs::read_to_string(done.out.lines().last().unwrap()).unwrap();
    assert!(report.contains("planned after cycle 6 of 10"));
}

#[test]
fn a_session_that_no_look_settles_runs_to_its_end_and_has_its_p() {
    let desk = Desk::new("looks-open");
    let file = with_a_look(&desk);
    let hold = second_hold(&file);
    let folder = desk.rehearse(&format!("{file} --seed 3 --difference {hold}=-6")).remove(0);
    let told = desk.call(&["findings", folder.to_str().unwrap(), "--json"]).json();
    assert_eq!(told["looks"]["after_cycle"], 10);
    assert_eq!(told["looks"]["ended_at_look"], false);
    assert!(told["pairs"][0]["p_randomization"].is_number(), "{told:#}");
    assert!(told["looks"]["confidence"].as_f64().unwrap() > 0.95, "a look was paid for");
}
