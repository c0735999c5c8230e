//! The robot player against a server that draws at known times, and against the real program: what
//! the program wrote down must be what the robot did.
//!
//! Loose forms only: the close figures are the benchmark's (`robot-bench`), on a quiet machine.

use crate::support::players::{self, Play, Programs};
use crate::support::xserver::XServer;
use crate::support::{floor, matching};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// A screen for one test at a time: two of them would slow each other on a small machine.
fn alone() -> MutexGuard<'static, ()> {
    static TURN: Mutex<()> = Mutex::new(());
    // A test that failed has left nothing behind in `()`.
    TURN.lock().unwrap_or_else(PoisonError::into_inner)
}

fn programs() -> Programs {
    let tautline = Path::new(env!("CARGO_BIN_EXE_tautline"));
    Programs { folder: tautline.parent().expect("it lies in a folder").to_owned() }
}

/// A folder for one test's files, empty at its start.
fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("robot").join(name);
    if folder.exists() {
        std::fs::remove_dir_all(&folder).expect("it is our own");
    }
    folder
}

/// Median of `values`; not a number without any.
fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(f64::NAN)
}

#[test]
fn the_robot_tells_when_it_saw_and_pressed() {
    let _alone = alone();
    let screen = XServer::start();
    let play = Play { task: "simple".to_owned(), seed: 3, at_most_s: 300 };
    let played = floor::play(&programs(), &screen, 15, &folder("floor"), &play);
    let laid = matching::lay(&played.truth, &played.told);
    assert_eq!((laid.answers.len(), laid.lost, laid.invented), (15, 0, 0));
    // A busy machine delays trials by whole time slices; the middle one must still be near.
    let shown = median(laid.answers.iter().map(|answer| answer.shown_error_ms).collect());
    let press = median(laid.answers.iter().map(|answer| answer.press_error_ms).collect());
    assert!(shown.abs() < 10.0, "the robot saw the rectangles {shown} ms off");
    assert!(press.abs() < 10.0, "its presses came {press} ms off");
}

#[test]
fn the_robot_knows_each_task() {
    let _alone = alone();
    let screen = XServer::start();
    for task in ["choice", "emergence", "pointing"] {
        let play = Play { task: task.to_owned(), seed: 5, at_most_s: 300 };
        let played = floor::play(&programs(), &screen, 8, &folder(task), &play);
        let laid = matching::lay(&played.truth, &played.told);
        // All eight by the right button and, in pointing, with the target in the middle.
        assert_eq!((laid.answers.len(), laid.lost, laid.invented), (8, 0, 0), "{task}");
    }
}

#[test]
fn a_whole_session_is_written_as_it_was_played() {
    play_session("short-wait", "simple", 60);
}

#[test]
fn the_short_waits_are_protocols_of_their_tasks() {
    for (name, task) in [
        ("choice", "choice"),
        ("emergence", "emergence"),
        ("pointing", "pointing"),
        ("onset", "onset"),
        ("go-no-go", "go_no_go"),
        ("four-ways", "choice"),
        ("difficulty", "pointing"),
        ("half-covered", "emergence"),
        ("steadiness", "steadiness"),
        ("tapping", "tapping"),
        ("pursuit", "pursuit"),
        ("vigilance", "vigilance"),
    ] {
        let name = format!("short-{name}.toml");
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data").join(&name);
        let read = tautline::protocol::read(&std::fs::read_to_string(path).unwrap(), &name);
        let protocol = read.unwrap_or_else(|faults| panic!("{name}: {faults:?}"));
        assert_eq!(protocol.task.name(), task);
    }
}

/// Whether there is time for the long tests.
fn slow() -> bool {
    std::env::var_os("SLOW").is_some()
}

/// A test for each task beside the simple one, where there is time for them.
macro_rules! written_as_played {
    ($($name:ident: $protocol:literal as $task:literal, $least_hits:literal hits;)*) => {$(
        #[test]
        fn $name() {
            if slow() {
                play_session($protocol, $task, $least_hits);
            }
        }
    )*};
}

written_as_played! {
    choice_is_written_as_played: "short-choice" as "choice", 36 hits;
    emergence_is_written_as_played: "short-emergence" as "emergence", 36 hits;
    pointing_is_written_as_played: "short-pointing" as "pointing", 36 hits;
    onset_is_written_as_played: "short-onset" as "onset", 40 hits;
    // A quarter of 64 targets is to be left alone.
    go_no_go_is_written_as_played: "short-go-no-go" as "go-no-go", 42 hits;
    four_ways_are_written_as_played: "short-four-ways" as "four-ways", 54 hits;
    difficulty_is_written_as_played: "short-difficulty" as "difficulty", 40 hits;
    half_covered_is_written_as_played: "short-half-covered" as "half-covered", 40 hits;
    // To a robot a long watch is the simple task.
    vigilance_is_written_as_played: "short-vigilance" as "simple", 36 hits;
}

/// What is told of a trial of a set time.
#[derive(Debug, serde::Deserialize)]
struct Run {
    outcome: String,
    taps: Option<u32>,
    still_drift_counts: Option<f64>,
    track_lag_ms: Option<f64>,
}

/// The trials of the session that was played in `folder`.
fn runs(folder: &Path) -> Vec<Run> {
    let printed = std::fs::read_to_string(folder.join("stdout.txt")).unwrap();
    let session = Path::new(printed.lines().next().unwrap()).join("trials.csv");
    let mut reader = csv::Reader::from_path(session).unwrap();
    reader.deserialize().map(|row| row.unwrap()).collect()
}

/// Plays a task whose trials take a set time; its rows, and the hits among them are enough.
fn play_runs(task: &str) -> Option<(Vec<Run>, PathBuf)> {
    if !slow() {
        return None;
    }
    let _alone = alone();
    let screen = XServer::start();
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("tests/data/short-{task}.toml"));
    let play = Play { task: task.to_owned(), seed: 11, at_most_s: 600 };
    let folder = folder(&format!("short-{task}"));
    let played = players::session(&programs(), &screen, &file, &folder, &play);
    assert!(played.truth.is_empty(), "no answer is a row of the robot's");
    let rows = runs(&folder);
    assert!(hits(&rows).count() >= 12, "{task}: {rows:?}");
    Some((rows, folder))
}

fn hits(rows: &[Run]) -> impl Iterator<Item = &Run> {
    rows.iter().filter(|run| run.outcome == "hit")
}

/// The robot does nothing.
#[test]
fn steadiness_is_written_as_played() {
    let Some((rows, _)) = play_runs("steadiness") else { return };
    assert!(hits(&rows).all(|run| run.still_drift_counts == Some(0.0)), "{rows:?}");
}

/// The robot counts its taps.
#[test]
fn tapping_is_written_as_played() {
    let Some((rows, folder)) = play_runs("tapping") else { return };
    let said = std::fs::read_to_string(folder.join(players::ROBOT_SAID)).unwrap();
    let done: u32 = said.split(' ').nth(1).unwrap().parse().unwrap();
    let told: u32 = rows.iter().filter_map(|run| run.taps).sum();
    // The robot may tap once more as the target goes; void trials keep no taps.
    let trials = u32::try_from(rows.len()).unwrap();
    assert!(told <= done && done <= told + 2 * trials, "{told} of {done}: {rows:?}");
}

/// The robot makes good a share of what is left at each look: it keeps near, and behind.
#[test]
fn pursuit_is_written_as_played() {
    let Some((rows, _)) = play_runs("pursuit") else { return };
    let lags: Vec<f64> = hits(&rows).filter_map(|run| run.track_lag_ms).collect();
    assert_eq!(lags.len(), hits(&rows).count(), "{rows:?}");
    assert!(lags.iter().all(|ms| (0.0..600.0).contains(ms)), "{rows:?}");
}

/// Plays `tests/data/PROTOCOL.toml` whole and lays what was written beside what was done.
fn play_session(protocol: &str, task: &str, least_hits: usize) {
    /// More than any scheduler delay seen on a shared machine, less than a wrongly paired trial.
    const LOOSE_MS: f64 = 60.0;
    let _alone = alone();
    let screen = XServer::start();
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("tests/data/{protocol}.toml"));
    let play = Play { task: task.to_owned(), seed: 11, at_most_s: 600 };
    let played = players::session(&programs(), &screen, &file, &folder(protocol), &play);
    let laid = matching::lay(&played.truth, &played.session.attempts);
    assert!(played.session.hits >= least_hits, "{protocol}: only {} hits", played.session.hits);
    assert_eq!((laid.lost, laid.invented), (0, 0), "{protocol}: {laid:?}");
    let sources = &played.session.sources;
    // A movement that answers is no press, and has no source of a press.
    let moves = matches!(protocol, "short-onset" | "short-four-ways");
    assert!(moves || sources.iter().any(|source| source == "xinput"), "stamps from {sources:?}");
    let errors = laid.answers.iter().filter(|answer| answer.close);
    let middle = median(errors.map(|answer| answer.rt_error_ms).collect());
    assert!(middle.abs() < 10.0, "{protocol}: median error {middle} ms");
    // A machine with other work may keep a thread from a core for longer now and then.
    let kept = || laid.answers.iter().filter(|answer| answer.close && !answer.flagged);
    let far: Vec<_> = kept().filter(|answer| answer.rt_error_ms.abs() >= LOOSE_MS).collect();
    assert!(far.len() * 20 <= kept().count(), "{protocol}: {far:?}");
}
