//! The report's main numbers again from trials.csv alone, by two other routes: plain sorts and the
//! normal equations here, and `recompute.py` with numpy and scipy where they are installed.

use serde_json::{Value, json};
use statrs::distribution::{ContinuousCDF, StudentsT};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Hits of a block, ms, and its place in the session.
#[derive(Default)]
struct Block {
    position: f64,
    hits_ms: Vec<f64>,
}

/// By condition and cycle, both from 0.
type Blocks = BTreeMap<(usize, usize), Block>;

fn blocks(trials: &Path, conditions: &[String]) -> Blocks {
    let mut last = BTreeMap::new();
    for row in csv::Reader::from_path(trials).unwrap().deserialize() {
        let row: BTreeMap<String, String> = row.unwrap();
        if row["part"] == "main" && row["outcome"] != "abandoned" {
            assert_ne!(row["outcome"], "miss", "the seeds below have none");
            last.insert((row["position"].clone(), row["trial"].clone()), row);
        }
    }
    let mut blocks = Blocks::new();
    for row in last.values() {
        let condition = conditions.iter().position(|id| *id == row["condition"]).unwrap();
        let cycle = row["cycle"].parse::<usize>().unwrap() - 1;
        let block = blocks.entry((condition, cycle)).or_default();
        block.position = row["position"].parse().unwrap();
        let broken = ["overflow", "stalled", "clock_jump", "focus_lost", "unplugged"];
        if row["outcome"] == "hit" && !row["flags"].split('+').any(|flag| broken.contains(&flag)) {
            block.hits_ms.push(row["click_rt_ms"].parse().unwrap());
        }
    }
    blocks
}

fn sorted(times: &[f64]) -> Vec<f64> {
    let mut times = times.to_vec();
    times.sort_by(f64::total_cmp);
    times
}

fn mean(times: &[f64]) -> f64 {
    times.iter().sum::<f64>() / times.len() as f64
}

fn median(times: &[f64]) -> f64 {
    let sorted = sorted(times);
    let n = sorted.len();
    f64::midpoint(sorted[(n - 1) / 2], sorted[n / 2])
}

fn trimmed(times: &[f64]) -> f64 {
    let cut = times.len() / 5;
    mean(&sorted(times)[cut..times.len() - cut])
}

/// The inverse of a square matrix, by Gauss and Jordan with pivots.
fn inverse(mut matrix: Vec<Vec<f64>>) -> Vec<Vec<f64>> {
    let n = matrix.len();
    for (i, row) in matrix.iter_mut().enumerate() {
        row.extend((0..n).map(|j| if i == j { 1.0 } else { 0.0 }));
    }
    for column in 0..n {
        let by_size =
            |i: &usize, j: &usize| matrix[*i][column].abs().total_cmp(&matrix[*j][column].abs());
        let pivot = (column..n).max_by(by_size).unwrap();
        assert!(matrix[pivot][column].abs() > 1e-9, "the design tells every effect");
        matrix.swap(column, pivot);
        let lead = matrix[column][column];
        matrix[column].iter_mut().for_each(|value| *value /= lead);
        let own = matrix[column].clone();
        for (_, row) in matrix.iter_mut().enumerate().filter(|(i, _)| *i != column) {
            let factor = row[column];
            row.iter_mut().zip(&own).for_each(|(value, own)| *value -= factor * own);
        }
    }
    matrix.into_iter().map(|row| row[n..].to_vec()).collect()
}

/// y = condition + cycle + trend, by the normal equations.
fn pairs(blocks: &Blocks, conditions: &[String]) -> Vec<Value> {
    let cycles = blocks.keys().map(|(_, cycle)| cycle + 1).max().unwrap();
    // The trend is counted from the middle, which changes no difference and keeps the digits.
    let middle = mean(&blocks.values().map(|block| block.position).collect::<Vec<_>>());
    let holds = conditions.len();
    let columns = holds + cycles - 1 + 1;
    let design = |(condition, cycle): (usize, usize), block: &Block| -> Vec<f64> {
        let mut row = vec![0.0; columns];
        row[condition] = 1.0;
        if cycle > 0 {
            row[holds + cycle - 1] = 1.0;
        }
        row[columns - 1] = block.position - middle;
        row
    };
    let x: Vec<Vec<f64>> = blocks.iter().map(|(key, block)| design(*key, block)).collect();
    let y: Vec<f64> = blocks.values().map(|block| trimmed(&block.hits_ms)).collect();
    let products = |j: usize, k: usize| x.iter().map(|row| row[j] * row[k]).sum::<f64>();
    let xtx = (0..columns).map(|j| (0..columns).map(|k| products(j, k)).collect()).collect();
    let inverse = inverse(xtx);
    let xty: Vec<f64> =
        (0..columns).map(|j| x.iter().zip(&y).map(|(row, y)| row[j] * y).sum()).collect();
    let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
    let beta: Vec<f64> = inverse.iter().map(|row| dot(row, &xty)).collect();
    let rss: f64 = x.iter().zip(&y).map(|(row, y)| (y - dot(row, &beta)).powi(2)).sum();
    let df = (y.len() - columns) as f64;
    let variance = rss / df;
    let law = StudentsT::new(0.0, 1.0, df).unwrap();
    let mut pairs = Vec::new();
    for a in 0..holds {
        for b in a + 1..holds {
            let difference = beta[a] - beta[b];
            let spread = inverse[a][a] + inverse[b][b] - 2.0 * inverse[a][b];
            let se = (variance * spread).sqrt();
            let reach = law.inverse_cdf(0.975) * se;
            pairs.push(json!({
                "a": conditions[a],
                "b": conditions[b],
                "difference_ms": difference,
                "standard_error_ms": se,
                "df": df,
                "low_single_ms": difference - reach,
                "high_single_ms": difference + reach,
                "p_t": 2.0 * law.cdf(-(difference / se).abs()),
                "chance_a_faster": law.cdf(-difference / se),
            }));
        }
    }
    pairs
}

fn holds(blocks: &Blocks, conditions: &[String]) -> Vec<Value> {
    let of = |(number, id): (usize, &String)| {
        let own = blocks.iter().filter(|((condition, _), _)| *condition == number);
        let times: Vec<f64> = own.flat_map(|(_, block)| block.hits_ms.clone()).collect();
        let (mean, median) = (mean(&times), median(&times));
        let squares: f64 = times.iter().map(|t| (t - mean).powi(2)).sum();
        let away: Vec<f64> = times.iter().map(|t| (t - median).abs()).collect();
        json!({
            "id": id,
            "mean_ms": mean,
            "median_ms": median,
            "trimmed_mean_ms": trimmed(&times),
            "sd_ms": (squares / (times.len() as f64 - 1.0)).sqrt(),
            "mad_ms": self::median(&away),
        })
    };
    conditions.iter().enumerate().map(of).collect()
}

/// Each number of `again` beside the same one of `told`, to 1e-9 of its size.
fn lay_beside(told: &Value, again: &Value, list: &str, name: &[&str]) -> usize {
    let mut compared = 0;
    for told in told[list].as_array().unwrap() {
        let same = |other: &&Value| name.iter().all(|key| other[*key] == told[*key]);
        let again = again[list].as_array().unwrap().iter().find(same).unwrap();
        for (key, again) in again.as_object().unwrap().iter().filter(|(_, v)| v.is_number()) {
            let (got, again) = (told[key].as_f64().unwrap(), again.as_f64().unwrap());
            let near = (got - again).abs() <= 1e-9 * (1.0 + again.abs());
            assert!(near, "{list} {key}: {got}, again {again}");
            compared += 1;
        }
    }
    compared
}

fn tautline(arguments: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_tautline")).args(arguments).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap().trim().to_owned()
}

/// What scipy says, where there is one.
fn scipy(trials: &Path, conditions: &[String]) -> Option<Value> {
    // TAUTLINE_PYTHON: a Python that has scipy, where `python3` has none.
    let python = std::env::var("TAUTLINE_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let there = Command::new(&python).args(["-c", "import numpy, scipy"]).output();
    if !there.is_ok_and(|output| output.status.success()) {
        return None;
    }
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/it/outside/recompute.py");
    let output = Command::new(python).arg(script).arg(trials).args(conditions).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    Some(serde_json::from_slice(&output.stdout).unwrap())
}

fn recompute(protocol: &str, seed: &str) {
    let data = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("again").join(protocol);
    if data.exists() {
        std::fs::remove_dir_all(&data).unwrap();
    }
    let place = data.to_str().unwrap();
    let folder = tautline(&[
        "rehearse",
        protocol,
        "--data",
        place,
        "--seed",
        seed,
        "--difference",
        "firm=-12",
    ]);
    let told: Value = serde_json::from_str(&tautline(&["findings", &folder, "--json"])).unwrap();
    let ids = told["conditions"].as_array().unwrap().iter();
    let conditions: Vec<String> = ids.map(|c| c["id"].as_str().unwrap().to_owned()).collect();
    let trials = Path::new(&folder).join("trials.csv");
    let blocks = blocks(&trials, &conditions);
    let again = json!({
        "pairs": pairs(&blocks, &conditions),
        "conditions": holds(&blocks, &conditions),
    });
    let mut others = vec![again];
    others.extend(scipy(&trials, &conditions));
    for again in &others {
        assert!(lay_beside(&told, again, "pairs", &["a", "b"]) >= 7);
        assert_eq!(lay_beside(&told, again, "conditions", &["id"]), 5 * conditions.len());
    }
    if let [pair] = told["pairs"].as_array().unwrap().as_slice() {
        assert_eq!(pair["low_ms"], pair["low_single_ms"], "one pair is no family");
        assert_eq!(pair["p_adjusted"], pair["p_t"]);
    }
}

#[test]
fn two_holds_follow_from_the_table() {
    recompute("two-holds", "4");
}

#[test]
fn three_holds_follow_from_the_table() {
    recompute("three-holds", "4");
}

/// Wrong answers stay out.
#[test]
fn choices_follow_from_the_table() {
    recompute("choice-by-hold", "4");
}
