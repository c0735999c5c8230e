//! The programs printed in the report give the report's numbers, where Python (numpy, scipy) or R
//! is there; where not, the test says so and passes.

use super::recompute::tautline;
use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::Command;
use tautline::findings::{self, Findings, report};
use tautline::{protocol, record};

/// Two rehearsed sessions of one player: kept folders.
fn folders(name: &str) -> Vec<PathBuf> {
    let data = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
    if data.exists() {
        std::fs::remove_dir_all(&data).unwrap();
    }
    std::fs::create_dir_all(&data).unwrap();
    // Short: what is compared does not hang on many trials.
    let kept = std::fs::read_to_string(
        PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("protocols/two-holds.toml"),
    );
    let short =
        kept.unwrap().replace("cycles = 10", "cycles = 6").replace("trials = 16", "trials = 8");
    assert!(short.contains("cycles = 6") && short.contains("trials = 8"));
    let rules = data.join("short.toml");
    std::fs::write(&rules, short).unwrap();
    let (place, rules) = (data.to_str().unwrap(), rules.to_str().unwrap());
    let wish = ["--seed", "4", "--sessions", "2", "--difference", "firm=-12"];
    let made = tautline(&[&["rehearse", rules, "--data", place][..], &wish[..]].concat());
    made.lines().map(PathBuf::from).collect()
}

fn of(folders: &[PathBuf]) -> Findings {
    let session = |folder: &PathBuf| {
        let kept = record::open(folder).unwrap();
        let rules = protocol::read(&kept.protocol_text, "protocol.toml").unwrap();
        findings::session_data(&kept, &rules)
    };
    findings::work_out(folders.iter().map(session).collect()).unwrap()
}

/// What a program printed: difference, se, df, low, high, p of each pair by its holds.
fn lines(text: &str) -> Vec<(String, String, Vec<f64>)> {
    text.lines()
        .filter_map(|line| {
            let mut words = line.split_whitespace();
            let (a, b) = (words.next()?.to_owned(), words.next()?.to_owned());
            let numbers: Result<Vec<f64>, _> = words.map(str::parse).collect();
            numbers.ok().map(|numbers| (a, b, numbers))
        })
        .collect()
}

fn the_same(printed: &str, findings: &Findings) {
    let json: Value =
        serde_json::from_str(&findings::json::FindingsJson::of(findings).text()).unwrap();
    let lines = lines(printed);
    for pair in json["pairs"].as_array().unwrap() {
        let (a, b) = (pair["a"].as_str().unwrap(), pair["b"].as_str().unwrap());
        let found = lines.iter().find(|line| line.0 == a && line.1 == b);
        let numbers = &found.unwrap_or_else(|| panic!("no line of {a} {b} in {printed}")).2;
        let fields =
            ["difference_ms", "standard_error_ms", "df", "low_single_ms", "high_single_ms", "p_t"];
        for (field, got) in fields.iter().zip(numbers) {
            let want = pair[field].as_f64().unwrap();
            assert!((got - want).abs() < 2e-5, "{field} of {a} {b}: {got}, ours {want}");
        }
        assert_eq!(numbers.len(), fields.len());
    }
}

/// The second opinions that the program in Python prints: a name, the holds, numbers.
fn the_same_second(printed: &str, findings: &Findings) {
    let numbers = |name: &str, a: &str, b: &str| -> Vec<f64> {
        let head = format!("{name} {a} {b} ");
        let line = printed.lines().find_map(|line| line.strip_prefix(&head));
        let line = line.unwrap_or_else(|| panic!("no line {head} in {printed}"));
        line.split_whitespace().map(|word| word.parse().unwrap()).collect()
    };
    for (pair, second) in findings.pairs.iter().zip(&findings.secondary.pairs) {
        let [a, b] = [pair.a, pair.b].map(|hold| findings.holds[hold].id.as_str());
        let ours = second.hodges_lehmann.unwrap().interval.estimate;
        let got = numbers("hodges_lehmann", a, b)[0];
        assert!((got - ours).abs() < 2e-6, "{got} {ours}");
        let deciles = numbers("deciles", a, b);
        for (got, ours) in deciles.iter().zip(&second.shift) {
            assert!((got - ours.difference_ms).abs() < 1e-5, "{got} {ours:?}");
        }
        assert!(findings.sessions.len() > 1 || second.shift.len() == 9);
    }
}

/// Runs `program file FOLDER...`; nothing where it cannot be started or lacks its libraries.
#[expect(clippy::print_stderr, reason = "a test that compares less than it could says so")]
fn run(program: &str, ready: &[&str], file: &Path, folders: &[PathBuf]) -> Option<String> {
    let there = Command::new(program).args(ready).output();
    if !there.is_ok_and(|output| output.status.success()) {
        eprintln!("{program} or its libraries are not here: not compared");
        return None;
    }
    let output = Command::new(program).arg(file).args(folders).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    Some(String::from_utf8(output.stdout).unwrap())
}

#[test]
fn printed_programs_give_the_reports_numbers() {
    let folders = folders("printed");
    for set in [&folders[..1], &folders[..]] {
        let findings = of(set);
        let html = report::html(&findings);
        let (python, r) = (report::code::python(&findings), report::code::r(&findings));
        for blank in
            ["HOLDS", "COLUMN", "STATISTIC", "TRIALS", "ANTICIPATION", "LIMIT", "CONFIDENCE"]
        {
            let blank = format!("@{blank}@");
            assert!(!python.contains(&blank) && !r.contains(&blank), "{blank} was not filled in");
        }
        assert!(html.contains("recompute.py [FOLDER ...]") && html.contains("recompute.R [FOLDER"));
        let at = folders[0].parent().unwrap();
        let (of_python, of_r) = (at.join("recompute.py"), at.join("recompute.R"));
        std::fs::write(&of_python, python).unwrap();
        std::fs::write(&of_r, r).unwrap();
        if let Some(text) = run("python3", &["-c", "import numpy, scipy"], &of_python, set) {
            the_same(&text, &findings);
            the_same_second(&text, &findings);
        }
        if let Some(text) = run("Rscript", &["-e", "0"], &of_r, set) {
            the_same(&text, &findings);
        }
    }
}
