//! Rules frozen before the first block, and findings under other ones.

use super::Desk;
use serde_json::Value;
use std::fs;

#[test]
fn other_rules_are_marked_wherever_they_are_told_and_lie_apart() {
    let desk = Desk::new("explored");
    let folder = desk.rehearse("two-holds --seed 8").remove(0);
    let place = folder.to_str().unwrap();
    let plain = desk.call(&["findings", place]);
    let declared = super::bytes_of(&folder.join("findings"));
    assert!(!plain.out.contains("Explored"), "{}", plain.out);
    let plain = desk.call(&["findings", place, "--json"]).json();
    assert_eq!(plain.get("explored"), None);

    let told = desk.call(&["findings", place, "--json", "--statistic", "median"]).json();
    assert_eq!(told["explored"], true);
    assert_eq!(
        told["explored_rules"],
        serde_json::json!([
            { "key": "analysis.statistic", "frozen": "trimmed_mean", "used": "median" }
        ])
    );
    assert!(told["sentence"].as_str().unwrap().starts_with("Explored under other rules"));
    assert_ne!(told["pairs"], plain["pairs"], "another statistic gives other numbers");

    let done = desk.call(&["findings", place, "--statistic", "median"]);
    assert!(done.out.starts_with("Explored under other rules"), "{}", done.out);
    let report = fs::read_to_string(done.out.lines().last().unwrap()).unwrap();
    assert!(report.contains("class=\"explored\"") && report.contains("here median"));
    assert!(folder.join("findings-explored/report.html").is_file());
    assert!(super::bytes_of(&folder.join("findings")) == declared, "the declared ones stay");
}

/// A rule that says what was frozen explores nothing.
#[test]
fn the_frozen_rules_named_again_are_not_explored() {
    let desk = Desk::new("explored-same");
    let folder = desk.rehearse("two-holds --seed 8").remove(0);
    let rules = folder.join("protocol.toml");
    let (place, rules) = (folder.to_str().unwrap(), rules.to_str().unwrap());
    let plain = desk.call(&["findings", place, "--json"]).json();
    assert_eq!(desk.call(&["findings", place, "--json", "--rules", rules]).json(), plain);
}

#[test]
fn a_file_that_changes_what_was_run_is_refused() {
    let desk = Desk::new("explored-refused");
    let folder = desk.rehearse("two-holds --seed 8").remove(0);
    let text = fs::read_to_string(folder.join("protocol.toml")).unwrap();
    let trials = text.lines().find(|line| line.starts_with("trials = ")).unwrap();
    let other = desk.path("other.toml");
    fs::write(&other, text.replace(trials, "trials = 10")).unwrap();
    let done =
        desk.call(&["findings", folder.to_str().unwrap(), "--rules", other.to_str().unwrap()]);
    assert_eq!(
        done.fault(),
        [
            "error: the file changes `design`, and the session was run already",
            "  in --rules",
            "  copy the session's own protocol.toml and change only [analysis] and [motion]",
        ]
    );
}

/// The hash stands in the manifest that a session begins with; the expectation before the first
/// trial's row.
#[test]
fn the_manifest_holds_hash_and_expectation() {
    let desk = Desk::new("frozen");
    let folder = desk.rehearse("two-holds --seed 8").remove(0);
    let text = fs::read_to_string(folder.join("manifest.json")).unwrap();
    let manifest: Value = serde_json::from_str(&text).unwrap();
    let protocol = fs::read_to_string(folder.join("protocol.toml")).unwrap();
    let protocol = tautline::protocol::read(&protocol, "p").unwrap();
    let hash = tautline::protocol::rules_hash(&protocol, tautline::findings::ANALYSIS_VERSION);
    assert_eq!(manifest["rules_hash"], hash);
    assert_eq!(manifest["analysis_version"], tautline::findings::ANALYSIS_VERSION);
    assert_eq!(manifest["expectation"]["sure"], 0, "the simulated player has no opinion");
}
