//! A real session killed in the middle of a block: it goes on at the next block border and ends
//! whole, or is closed as it stands. Slow: a session in real time, on an X server of its own.

use crate::support::players::{self, Play, Programs};
use crate::support::xserver::XServer;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use tautline::clock;
use tautline::record::{EndedAs, Outcome, open};
use tautline::units::Span;

fn programs() -> Programs {
    let tautline = Path::new(env!("CARGO_BIN_EXE_tautline"));
    Programs { folder: tautline.parent().expect("it lies in a folder").to_owned() }
}

/// The program with a robot beside it, until `enough` or its own end; its exit code, none when it
/// was killed.
fn play(
    screen: &XServer,
    folder: &Path,
    name: &str,
    words: &[&str],
    enough: impl Fn() -> bool,
) -> Option<i32> {
    let play = Play { task: "simple".to_owned(), seed: 5, at_most_s: 400 };
    let mut command = players::on_screen(Path::new(env!("CARGO_BIN_EXE_tautline")), screen);
    command.args(words).args(["--window", "1280x720", "--input", "xinput"]);
    let told = fs::File::create(folder.join(format!("{name}.err"))).unwrap();
    command.env("XDG_CONFIG_HOME", folder.join("config")).stdout(Stdio::null()).stderr(told);
    let mut child: Child = command.spawn().unwrap();
    let truth = folder.join(format!("{name}.csv"));
    let mut robot = players::robot(&programs(), screen, &truth, &play, child.id(), None);
    let until = clock::now() + Span::from_s(400);
    let code = loop {
        if let Some(status) = child.try_wait().unwrap() {
            break status.code();
        }
        // Without a robot nobody answers any more: why is told below.
        if enough() || robot.has_failed() || clock::now() > until {
            // SIGKILL: nothing of the program runs any more.
            child.kill().unwrap();
            break child.wait().unwrap().code();
        }
        clock::wait(clock::now() + Span::from_ms(20));
    };
    robot.ended("the robot", 30);
    code
}

/// The one session folder under `data`, once it is there.
fn session(data: &Path) -> Option<PathBuf> {
    tautline::record::sessions(data).unwrap().into_iter().next()
}

fn rows(folder: &Path) -> usize {
    let text = fs::read_to_string(folder.join("trials.csv")).unwrap();
    text.lines().count().saturating_sub(1)
}

fn tautline(words: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_tautline")).args(words).output().unwrap();
    assert!(output.status.success(), "{words:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn a_killed_session_goes_on_to_its_end_or_is_closed() {
    if std::env::var_os("SLOW").is_none() {
        return;
    }
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("crash");
    if folder.exists() {
        fs::remove_dir_all(&folder).unwrap();
    }
    fs::create_dir_all(&folder).unwrap();
    let data = folder.join("data");
    let screen = XServer::start();
    let protocol = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/short-wait.toml");
    let words = ["run", protocol.to_str().unwrap(), "--player", "robot", "--seed", "7"];
    let words = [&words[..], &["--data", data.to_str().unwrap()]].concat();
    // Some rows into the third block of six trials.
    let code = play(&screen, &folder, "killed", &words, || {
        session(&data).is_some_and(|folder| rows(&folder) >= 15)
    });
    assert_eq!(code, None, "it was killed");
    let killed = session(&data).unwrap();
    let before = open(&killed).unwrap();
    let kept = before.trials.len();
    assert!(kept >= 14 && before.manifest.ending.is_none(), "{kept} rows");
    let copy = folder.join("closed/player/session");
    fs::create_dir_all(&copy).unwrap();
    for entry in fs::read_dir(&killed).unwrap() {
        let path = entry.unwrap().path();
        fs::copy(&path, copy.join(path.file_name().unwrap())).unwrap();
    }

    // On to the end.
    let place = killed.to_str().unwrap();
    let code = play(&screen, &folder, "resumed", &["run", "--resume", place], || false);
    assert_eq!(code, Some(0), "{}", fs::read_to_string(folder.join("resumed.err")).unwrap());
    let after = open(&killed).unwrap();
    assert_eq!(after.manifest.ending, Some(EndedAs::Complete));
    assert_eq!(after.manifest.segments.len(), 2);
    // Nothing that was kept is gone; the block that broke off was begun again whole.
    for (then, now) in before.trials.iter().zip(&after.trials) {
        assert_eq!((then.shown_ns, then.press_ns), (now.shown_ns, now.press_ns));
        assert!(now.outcome == then.outcome || now.outcome == Outcome::Abandoned);
    }
    assert!(after.trials[kept..].iter().all(|row| row.segment == 2));
    let found: serde_json::Value =
        serde_json::from_str(&tautline(&["findings", place, "--json"])).unwrap();
    for condition in found["conditions"].as_array().unwrap() {
        assert_eq!((&condition["blocks"], &condition["trials"]), (&6.into(), &36.into()));
    }
    assert!(tautline(&["replay", place]).contains("replay to the same rows"));

    // Or closed as it stands.
    let place = copy.to_str().unwrap();
    assert_eq!(tautline(&["close", place]).trim(), place);
    assert_eq!(open(&copy).unwrap().manifest.ending, Some(EndedAs::Partial));
    assert_eq!(open(&copy).unwrap().trials.len(), kept);
    assert!(tautline(&["findings", place]).starts_with("No verdict"));
    assert!(tautline(&["replay", place]).contains("replay to the same rows"));
}
