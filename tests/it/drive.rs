//! The real window driven by keys alone, from the first start to the findings, on an X server of
//! its own; a robot plays the trials. Long: `SLOW=1` runs it.

use crate::keyboard::{ENTER, Keyboard};
use crate::support::players::{self, Play, Programs};
use crate::support::xserver::XServer;
use std::path::{Path, PathBuf};
use tautline::clock;
use tautline::units::Span;

/// A page may take this long to come on a machine that does much else.
const WITHIN: Span = Span::from_s(180);

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
    /// Waits until the window's title begins with one of `pages`.
    fn until(&mut self, pages: &[&str]) {
        self.until_within(pages, WITHIN);
    }

    fn until_within(&mut self, pages: &[&str], within: Span) {
        let until = clock::now() + within;
        loop {
            let titles = self.keyboard.titles();
            if titles.iter().any(|title| pages.iter().any(|page| title.starts_with(page))) {
                return;
            }
            assert!(self.program.runs(), "the program ended");
            assert!(clock::now() < until, "{pages:?} never came; there are {titles:?}");
            clock::wait(clock::now() + Span::from_ms(50));
        }
    }

    /// Presses `key` until one of the pages `next` comes; each press is given time to be drawn.
    fn press_until(&mut self, key: u32, next: &[&str]) {
        let until = clock::now() + WITHIN;
        loop {
            self.keyboard.press(key);
            let seen = clock::now() + Span::from_ms(1500);
            while clock::now() < seen {
                let titles = self.keyboard.titles();
                if titles.iter().any(|title| next.iter().any(|page| title.starts_with(page))) {
                    return;
                }
                clock::wait(clock::now() + Span::from_ms(50));
            }
            assert!(clock::now() < until, "{next:?} never came");
        }
    }
}

#[test]
fn a_player_is_led_from_the_first_start_to_the_findings() {
    if std::env::var_os("SLOW").is_none() {
        return;
    }
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("drive");
    if folder.exists() {
        std::fs::remove_dir_all(&folder).unwrap();
    }
    // A plan made here, short enough for a robot; as the last question it is one step backwards.
    let own = folder.join("data/protocols");
    std::fs::create_dir_all(&own).unwrap();
    let short = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/short-wait.toml");
    std::fs::copy(short, own.join("short-wait.toml")).unwrap();
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
    let play = Play { task: "simple".to_owned(), seed: 4, at_most_s: 900 };
    let robot = |name: &str, presses| {
        players::robot(&programs, &screen, &folder.join(name), &play, pid, presses)
    };

    driver.until(&["Before you start"]);
    driver.press_until(ENTER, &["Ten presses"]);
    let feel = robot("feel.csv", Some(10));
    driver.until_within(&["What do you want to know?"], Span::from_s(400));
    drop(feel);
    // The questions are numbered; the one made here stands last.
    let last = tautline::protocol::shipped::shipped().len() + 1;
    let digit = char::from_digit(u32::try_from(last).unwrap(), 10).unwrap();
    driver.press_until(u32::from(digit), &["Who plays?"]);
    // The field has the focus.
    driver.keyboard.type_in("heron");
    driver.press_until(ENTER, &["A few questions first"]);
    driver.press_until(ENTER, &["Your display, mouse and computer"]);
    driver.press_until(ENTER, &["The holds", "The plan"]);
    driver.press_until(ENTER, &["The plan"]);
    let playing = robot("session.csv", None);
    driver.until_within(&["What was found", "Sessions over"], Span::from_s(900));
    drop(playing);
    let report = wait_for_report(&folder.join("data"));
    let html = std::fs::read_to_string(&report).unwrap();
    assert!(html.contains("Short waits"), "the report is of this session");
    let trials = std::fs::read_to_string(report.with_file_name("../trials.csv")).unwrap();
    let hits = trials.lines().filter(|line| line.contains(",hit,")).count();
    assert!(hits > 36, "only {hits} hits");
    assert!(!folder.join("data/feel").exists());
    assert!(driver.program.runs());
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
