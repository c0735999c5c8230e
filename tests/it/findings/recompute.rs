//! A whole rehearsal by the real program, and its main numbers again from trials.csv alone: text,
//! a sort and a straight line, none of our types.

use super::numbers::{at_zero, typical};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;

pub(super) fn tautline(arguments: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_tautline")).args(arguments).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

/// A block as trials.csv tells it.
#[derive(Default)]
struct Block {
    position: f64,
    times_ms: Vec<f64>,
}

/// Blocks by (cycle, condition): the last attempt of each main trial, hits and misses; a miss is
/// beyond every hit.
fn blocks(folder: &Path) -> BTreeMap<(String, String), Block> {
    let mut reader = csv::Reader::from_path(folder.join("trials.csv")).unwrap();
    let head: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
    let mut last: BTreeMap<(String, String), BTreeMap<String, String>> = BTreeMap::new();
    for record in reader.records() {
        let record = record.unwrap();
        let row: BTreeMap<String, String> =
            head.iter().cloned().zip(record.iter().map(str::to_owned)).collect();
        if row["part"] == "main" && row["outcome"] != "abandoned" {
            last.insert((row["position"].clone(), row["trial"].clone()), row);
        }
    }
    let mut blocks: BTreeMap<(String, String), Block> = BTreeMap::new();
    for row in last.values() {
        let block = blocks.entry((row["cycle"].clone(), row["condition"].clone())).or_default();
        block.position = row["position"].parse().unwrap();
        let broken = ["overflow", "stalled", "clock_jump", "focus_lost", "unplugged"];
        if row["flags"].split('+').any(|flag| broken.contains(&flag)) {
            continue;
        }
        match row["outcome"].as_str() {
            "hit" => block.times_ms.push(row["click_rt_ms"].parse().unwrap()),
            "miss" => block.times_ms.push(1e9),
            _ => {}
        }
    }
    blocks
}

#[test]
fn the_main_numbers_follow_from_trials_csv() {
    let data = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("recompute");
    if data.exists() {
        std::fs::remove_dir_all(&data).unwrap();
    }
    let place = data.to_str().unwrap();
    let wish = ["--seed", "4", "--difference", "firm=-12"];
    let made = tautline(&[&["rehearse", "two-holds", "--data", place][..], &wish[..]].concat());
    let folder = PathBuf::from(made.trim());
    let told: serde_json::Value =
        serde_json::from_str(&tautline(&["findings", folder.to_str().unwrap(), "--json"])).unwrap();

    let blocks = blocks(&folder);
    let pair = &told["pairs"][0];
    let (a, b) = (pair["a"].as_str().unwrap(), pair["b"].as_str().unwrap());
    let (mut d, mut s) = (Vec::new(), Vec::new());
    for ((cycle, condition), of_a) in &blocks {
        if condition == a {
            let of_b = &blocks[&(cycle.clone(), b.to_owned())];
            d.push(typical(of_a.times_ms.clone()) - typical(of_b.times_ms.clone()));
            s.push(of_a.position - of_b.position);
        }
    }
    let again = at_zero(&s, &d);
    let near = |name: &str, value: f64| {
        let got = pair[name].as_f64().unwrap();
        assert!((got - value).abs() < 1e-6, "{name}: {got}, again {value}");
    };
    near("difference_ms", again.value);
    near("standard_error_ms", again.se);
    near("df", d.len() as f64 - 2.0);

    for condition in told["conditions"].as_array().unwrap() {
        let own = blocks.iter().filter(|((_, id), _)| condition["id"] == id.as_str());
        let times: Vec<f64> = own.flat_map(|(_, block)| block.times_ms.clone()).collect();
        let typical = typical(times.clone());
        assert!((condition["trimmed_mean_ms"].as_f64().unwrap() - typical).abs() < 1e-6);
        let entered =
            condition["trials"].as_u64().unwrap() - condition["excluded"].as_u64().unwrap();
        assert_eq!(entered, times.len() as u64);
    }
    assert_eq!(told["simulated"], true);
}
