//! The real window driven by keys alone, from the first start to the findings, on an X server of
//! its own; a robot plays the trials.
//!
//! Every step waits for what it needs: the title of the window says which page is on show, and a
//! key is pressed again only where it was answered by another picture under the same title.

use crate::keyboard::{DOWN, ENTER, ESCAPE, FIVE, Keyboard};
use crate::support::players::{self, Play, Programs};
use crate::support::xserver::XServer;
use std::path::{Path, PathBuf};
use tautline::clock;
use tautline::units::Span;

/// A page may take this long to come on a machine that does much else.
const WITHIN: Span = Span::from_s(180);
/// What the robot plays may take this long.
const PLAYED_WITHIN: Span = Span::from_s(900);

/// The protocol that is played: asked before and after, short enough for a robot.
const PLAYED: &str = r#"
id = "short-asked"
title = "Short waits, asked before and after"
question = "Is the window led through by keys alone?"

[[condition]]
id = "one"
grip = "other"
tension = "light"
say = "Any way you like."

[[condition]]
id = "two"
grip = "other"
tension = "shaped"
say = "Any other way you like."

[design]
order = "shuffled"
cycles = 4
trials = 6
warm_up = 0
warm_up_later = 0

[task]
kind = "simple"

[foreperiod]
law = "exponential"
min_ms = 300
mean_ms = 200
catch_share = 0.05

[rest]
min_s = 5

[ask]
before = ["expectation"]
after_block = ["tension", "discomfort"]
"#;

struct Driver {
    keyboard: Keyboard,
    program: Program,
}

/// The program, which does not outlive this value.
struct Program(std::process::Child);

impl Program {
    fn runs(&mut self) -> bool {
        self.0.try_wait().unwrap().is_none()
    }
}

impl Drop for Program {
    fn drop(&mut self) {
        // Already ended is as good: neither answer says more.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

impl Driver {
    fn shows(&self, pages: &[&str]) -> bool {
        let titles = self.keyboard.titles();
        titles.iter().any(|title| pages.iter().any(|page| title.starts_with(page)))
    }

    /// Waits until `done`, and says otherwise what is on show.
    fn wait_for(&mut self, what: &str, within: Span, done: impl Fn(&Driver) -> bool) {
        let until = clock::now() + within;
        while !done(self) {
            assert!(self.program.runs(), "the program ended before {what}");
            let titles = self.keyboard.titles();
            assert!(clock::now() < until, "{what} never came; on show: {titles:?}");
            clock::wait(clock::now() + Span::from_ms(50));
        }
    }

    /// Waits until the window's title begins with one of `pages`.
    fn until(&mut self, pages: &[&str], within: Span) {
        self.wait_for(&format!("{pages:?}"), within, |driver| driver.shows(pages));
    }

    /// Presses `key` once, and waits for one of the pages `next`.
    fn go(&mut self, key: u32, next: &str) {
        self.keyboard.press(key);
        self.until(&[next], WITHIN);
    }

    /// Answers a page of several rows: Enter again and again, each time once the picture is
    /// another one, until the page `next` comes.
    fn answer(&mut self, next: &str) {
        for _ in 0..20 {
            let before = self.keyboard.still(WITHIN);
            if self.shows(&[next]) {
                return;
            }
            self.keyboard.press(ENTER);
            self.wait_for("another picture", WITHIN, |driver| {
                driver.shows(&[next]) || driver.keyboard.picture() != before
            });
        }
        panic!("{next} never came");
    }
}

/// An empty folder with the protocol in it.
fn prepared() -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("drive");
    if folder.exists() {
        std::fs::remove_dir_all(&folder).unwrap();
    }
    let own = folder.join("data/protocols");
    std::fs::create_dir_all(&own).unwrap();
    std::fs::write(own.join("short-asked.toml"), PLAYED).unwrap();
    folder
}

#[test]
fn a_player_is_led_from_the_first_start_to_the_findings() {
    let folder = prepared();
    let tautline = Path::new(env!("CARGO_BIN_EXE_tautline"));
    let programs = Programs { folder: tautline.parent().unwrap().to_owned() };
    let screen = XServer::start();
    let mut command = players::on_screen(tautline, &screen);
    command.env("HOME", &folder).env("XDG_CONFIG_HOME", folder.join("config"));
    command.args(["--window", "1280x720", "--input", "xinput"]);
    command.arg("--data").arg(folder.join("data"));
    let program = Program(command.spawn().unwrap());
    let pid = program.0.id();
    let mut driver = Driver { keyboard: Keyboard::on(&screen), program };
    let play = Play { task: "simple".to_owned(), seed: 4, at_most_s: 1200 };
    let robot = |name: &str, presses| {
        players::robot(&programs, &screen, &folder.join(name), &play, pid, presses)
    };

    driver.until(&["Before you start"], WITHIN);
    driver.go(ENTER, "Ten presses");
    let feel = robot("feel.csv", Some(10));
    driver.until(&["What do you want to know?"], PLAYED_WITHIN);
    drop(feel);
    // The question made here stands below the four that are asked most.
    driver.go(FIVE, "Who plays?");
    // The field has the focus.
    driver.keyboard.type_in("heron");
    driver.go(ENTER, "A few questions first");
    driver.answer("Your own agreement");
    driver.answer("Your display, mouse and computer");
    the_rig(&mut driver);
    driver.go(ENTER, "The plan");
    driver.go(ENTER, "What do you expect?");
    // Below "no opinion" stands the first hold; how sure is a row of cells.
    let before = driver.keyboard.still(WITHIN);
    driver.keyboard.press(DOWN);
    driver.wait_for("another line", WITHIN, |driver| driver.keyboard.picture() != before);
    let before = driver.keyboard.still(WITHIN);
    driver.keyboard.press(ENTER);
    driver.wait_for("how sure", WITHIN, |driver| driver.keyboard.picture() != before);
    let playing = robot("session.csv", None);
    driver.until(&["What was found", "Sessions over"], PLAYED_WITHIN);
    drop(playing);
    look_at_files(&folder.join("data"));
    assert!(driver.program.runs());
}

/// The check of the rig, each step that wants a hand passed over.
fn the_rig(driver: &mut Driver) {
    driver.go(ENTER, "Is this rig fit for timing?");
    driver.go(ENTER, "What no program can see");
    driver.answer("Trace a lying eight");
    driver.go(ESCAPE, "Slide along a ruler");
    driver.go(ESCAPE, "Click a few times");
    driver.go(ESCAPE, "How the rig stands");
    driver.go(ENTER, "The holds");
}

fn look_at_files(data: &Path) {
    let report = wait_for_report(data);
    let html = std::fs::read_to_string(&report).unwrap();
    assert!(html.contains("asked before and after"), "the report is of this session");
    let session = report.parent().and_then(Path::parent).unwrap();
    let trials = std::fs::read_to_string(session.join("trials.csv")).unwrap();
    let hits = trials.lines().filter(|line| line.contains(",hit,")).count();
    assert!(hits > 24, "only {hits} of 48 hits");
    let ratings = std::fs::read_to_string(session.join("ratings.csv")).unwrap();
    let expected = ratings.lines().find(|line| line.contains(",expectation,"));
    assert!(expected.is_some_and(|line| line.contains("one")), "{ratings}");
    let manifest = std::fs::read_to_string(session.join("manifest.json")).unwrap();
    let manifest: serde_json::Value = serde_json::from_str(&manifest).unwrap();
    assert!(manifest["rig"]["profile"].is_string(), "the check was kept: {}", manifest["rig"]);
    // One player, one session: the presses to feel it are kept nowhere.
    assert_eq!(tautline::record::sessions(data).unwrap().len(), 1);
    let players = tautline::settings::players::list(data).unwrap();
    let names: Vec<&str> = players.iter().map(|player| player.nickname.as_str()).collect();
    assert_eq!(names, ["heron"]);
    assert!(players[0].age_band.is_some());
}

/// The report of the one session below `data`.
fn wait_for_report(data: &Path) -> PathBuf {
    let until = clock::now() + WITHIN;
    loop {
        let found = tautline::record::sessions(data).unwrap_or_default();
        let reports = found.iter().map(|folder| folder.join("findings/report.html"));
        if let Some(report) = reports.into_iter().find(|report| report.exists()) {
            return report;
        }
        assert!(clock::now() < until, "no report was written; sessions: {found:?}");
        clock::wait(clock::now() + Span::from_ms(100));
    }
}
