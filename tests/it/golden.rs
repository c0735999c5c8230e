//! A whole kept session (an invented player's; pointing, with every outcome that it met): what was
//! recorded then must replay to the same bytes now, and lead to the same findings.
//!
//! A change here means that kept sessions read differently than before: raise the rule's number.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use tautline::findings::json::FindingsJson;
use tautline::{findings, protocol, record, session};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden/session")
}

/// The protocol as the session was recorded under it (defaults may have changed since).
fn recorded(kept: &record::Session) -> Arc<protocol::Protocol> {
    let read = protocol::read(&kept.protocol_text, "protocol.toml").unwrap();
    let manifest = &kept.manifest;
    Arc::new(protocol::as_frozen(read, &manifest.rules_hash, manifest.analysis_version))
}

#[test]
fn its_events_give_the_same_trials_byte_for_byte() {
    let kept = record::open(&folder()).unwrap();
    assert!(kept.changed.is_empty(), "{:?}", kept.changed);
    let protocol = recorded(&kept);
    let schedule = Arc::new(protocol::draw(&protocol, kept.manifest.seed));
    let decoded = record::replay_events(&folder()).unwrap();
    assert_eq!((decoded.torn_bytes, decoded.damaged_stretches), (0, 0));
    let rows = session::replay_rows(&kept, &protocol, &schedule, &decoded.events);
    let mut table = csv::Writer::from_writer(Vec::new());
    for row in &rows {
        table.serialize(row).unwrap();
    }
    let again = String::from_utf8(table.into_inner().unwrap()).unwrap();
    let trials = std::fs::read_to_string(folder().join("trials.csv")).unwrap();
    // Columns that were added at the end since then are blank for it.
    for (number, (again, then)) in again.lines().zip(trials.lines()).enumerate() {
        let added = again.strip_prefix(then);
        let added = added.unwrap_or_else(|| panic!("line {}: {again} for {then}", number + 1));
        let blank = added.bytes().all(|byte| byte == b',');
        assert!(number == 0 || blank, "line {}: {added}", number + 1);
    }
    assert_eq!(again.lines().count(), trials.lines().count());
    for outcome in [",hit,", ",wrong,", ",anticipation,", ",false_alarm,", ",withheld,", "lapse"] {
        assert!(trials.contains(outcome), "it should hold {outcome}");
    }
}

#[test]
fn it_leads_to_the_same_findings() {
    let kept = record::open(&folder()).unwrap();
    let protocol = recorded(&kept);
    let data = findings::session_data(&kept, &protocol);
    let found = findings::work_out(vec![data]).unwrap();
    let again: serde_json::Value = serde_json::from_str(&FindingsJson::of(&found).text()).unwrap();
    let text = std::fs::read_to_string(folder().join("findings.json")).unwrap();
    let then: serde_json::Value = serde_json::from_str(&text).unwrap();
    same(&again, &then, "");
}

/// All that was told then is told now (fields may be added), and numbers to 1e-9 of their size:
/// another machine's maths may round otherwise. What a search for a largest likelihood found is
/// known to 1e-5.
fn same(a: &serde_json::Value, b: &serde_json::Value, place: &str) {
    use serde_json::Value::{Array, Number, Object};
    match (a, b) {
        (Object(a), Object(b)) => {
            for (key, then) in b {
                let place = format!("{place}.{key}");
                same(a.get(key).unwrap_or_else(|| panic!("{place} is gone")), then, &place);
            }
        }
        (Array(a), Array(b)) => {
            assert_eq!(a.len(), b.len(), "{place}");
            for (index, (a, b)) in a.iter().zip(b).enumerate() {
                same(a, b, &format!("{place}[{index}]"));
            }
        }
        (Number(x), Number(y)) => {
            let (x, y) = (x.as_f64().unwrap(), y.as_f64().unwrap());
            let searched = ["mixed", "components", "exgaussian"].iter().any(|w| place.contains(w));
            let share = if searched { 1e-5 } else { 1e-9 };
            assert!((x - y).abs() <= share * (1.0 + y.abs()), "{place}: {x} and {y}");
        }
        _ => assert_eq!(a, b, "{place}"),
    }
}
