//! Paints every page and every untimed screen at several sizes and scales, to look at them.
//!
//! usage: pages-probe FOLDER [NAME...]
//! Writes FOLDER/NAME-WIDTHxHEIGHT-SCALE.png. It needs the program itself beside it: sessions of a
//! simulated player stand on the pages, marked as simulated.

#![expect(clippy::print_stdout, reason = "what it wrote is its output")]

mod invented;
mod studio;
#[path = "../it/visitor.rs"]
#[expect(dead_code, reason = "the tests ask more of it")]
mod visitor;
#[path = "../it/weeks.rs"]
#[expect(clippy::unwrap_used, reason = "made for the tests")]
mod weeks;

use std::cell::RefCell;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::rc::Rc;
use studio::Studio;
use tautline::clock;
use tautline::engine::{AskFor, Ending, PauseReason};
use tautline::protocol::Rating;
use tautline::units::Span;
use tautline::window::{Ended, RigScreen, Screenful, Screens, Show};
use tautline::words::Told;
use visitor::{HIGH, Visitor};

/// Window sizes, px.
const SIZES: [[u32; 2]; 3] = [[1280, 720], [1920, 1080], [2560, 1440]];
/// Scales, per cent.
const SCALES: [u32; 2] = [100, 200];

struct Album {
    visitor: Visitor,
    studio: Rc<RefCell<Studio>>,
    into: PathBuf,
    wanted: Vec<String>,
}

impl Album {
    /// Paints what is on show as `name`.
    fn page(&mut self, name: &str) {
        if !self.wanted.is_empty() && !self.wanted.iter().any(|wanted| wanted == name) {
            return;
        }
        for size_px in SIZES {
            for scale in SCALES {
                #[expect(clippy::cast_precision_loss, reason = "small numbers")]
                let (by, [width, height]) = (scale as f32 / 100.0, size_px.map(|px| px as f32));
                self.visitor.scale = by;
                self.visitor.size = [width / by, height / by];
                self.visitor.settle();
                let [width, height] = size_px;
                let path = self.into.join(format!("{name}-{width}x{height}-{scale}.png"));
                self.studio.borrow_mut().photograph(&self.visitor.context, size_px, by, &path);
                println!("{}", path.display());
            }
        }
        self.visitor.scale = 1.0;
        self.visitor.size = HIGH;
        self.visitor.settle();
    }

    fn click(&mut self, what: &str) {
        self.visitor.click(what);
    }

    /// A screen of a session.
    fn screen(&mut self, name: &str, show: Show) {
        let facts = invented::facts();
        self.visitor.house.begin(Screenful { show, facts }, clock::now());
        self.visitor.settle();
        self.page(name);
    }
}

fn rehearse(data: &Path, seed: &str) -> PathBuf {
    let beside = std::env::current_exe().expect("this program has a path");
    let folder =
        beside.parent().and_then(Path::parent).expect("it lies in target/PROFILE/examples");
    let done = Command::new(folder.join("tautline"))
        .args(["rehearse", "first-look", "--difference", "firm=-20", "--seed", seed, "--data"])
        .arg(data)
        .output()
        .expect("build the program first: cargo build");
    assert!(done.status.success(), "{done:?}");
    PathBuf::from(String::from_utf8(done.stdout).expect("a path").trim())
}

fn main() {
    let mut arguments = std::env::args().skip(1);
    let into = PathBuf::from(arguments.next().expect("pages-probe FOLDER [NAME...]"));
    let folder = into.join("invented");
    if folder.exists() {
        std::fs::remove_dir_all(&folder).expect("its own folder of the run before");
    }
    std::fs::create_dir_all(&folder).expect("a folder that may be written");
    let before = clock::now();
    let studio = Rc::new(RefCell::new(Studio::open()));
    println!("a graphics device was made in {:.0} ms", (clock::now() - before).ms());
    let eye = Rc::clone(&studio);
    let paint = Box::new(move |_: &egui::Context, output| eye.borrow_mut().keep(output));
    let visitor = Visitor::painted(folder.clone(), HIGH, paint);
    let mut album = Album { visitor, studio, into, wanted: arguments.collect() };
    the_way(&mut album);
    afterwards(&mut album, &folder);
    in_a_session(&mut album);
}

fn the_way(album: &mut Album) {
    album.page("caution");
    album.click("I have read this");
    album.page("feel");
    album.click("Leave them out");
    album.page("questions");
    album.click("More questions");
    album.page("questions-more");
    album.click("Fewer questions");
    album.click("1   Is there a large difference between a light and a firm hold?");
    album.visitor.type_in("Heron");
    album.page("player");
    album.click("Go on");
    album.page("agreement");
    for _ in 0..5 {
        album.visitor.press(egui::Key::Enter);
    }
    album.page("agreement-last");
    album.visitor.press(egui::Key::Enter);
    album.page("rig");
    album.click("Go on without a check");
    album.page("holds");
    album.click("Try it for ten seconds");
    album.page("practice");
    album.click("Back");
    album.click("Go on");
    album.visitor.until("of 10 such sessions");
    album.page("plan");
}

fn afterwards(album: &mut Album, folder: &Path) {
    let data = folder.join("data");
    let sessions: Vec<PathBuf> = (1..=6).map(|seed| rehearse(&data, &seed.to_string())).collect();
    album.click("Start the session");
    let _session = album.visitor.wished();
    let last = sessions.last().expect("six of them").clone();
    album.visitor.stagehand.ended(last, Ending::Complete);
    album.visitor.house.home(clock::now());
    album.visitor.settle();
    album.visitor.until("What you expected");
    album.page("findings");
    album.click("Show it to others");
    album.page("show-it");
    album.click("Back");
    album.click("Sessions and players");
    album.visitor.until("What is due next");
    album.page("history");
    album.click("rehearsal");
    album.visitor.until("What is due next");
    album.page("history-of-one");
    over_weeks(album, &data, sessions);
    album.click("Settings");
    album.page("settings");
    album.click("Tables from elsewhere");
    album.page("tables");
    let table = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/invented-table.csv");
    while !album.visitor.context.text_edit_focused() {
        album.visitor.press(egui::Key::Tab);
    }
    album.visitor.type_in(&table.display().to_string());
    album.page("tables-mapped");
}

/// Players with sessions over some weeks, which carry no mark: their names say that they are invented.
fn over_weeks(album: &mut Album, data: &Path, rehearsed: Vec<PathBuf>) {
    weeks::put(data, &rehearsed, &weeks::THREE);
    for folder in rehearsed {
        std::fs::remove_dir_all(folder).expect("its own folder");
    }
    album.click("Settings");
    album.click("Sessions and players");
    album.visitor.until("What is due next");
    album.click("Everybody");
    album.visitor.until("Otter (invented): The last");
    album.page("history-of-three");
    album.click("Heron (invented)");
    album.visitor.until("Typical times, session by session");
    album.page("history-charted");
    album.click("What its sessions found together");
    album.visitor.until("What you expected");
    album.page("findings-together");
}

fn in_a_session(album: &mut Album) {
    let until = clock::now() + Span::from_s(600);
    album.screen("s-first-start", Show::FirstStart);
    album.screen("s-expectation", Show::Ask(AskFor::Expectation));
    album.screen("s-card", Show::Ask(AskFor::Card { block: 1 }));
    let items = vec![Rating::Tension, Rating::Discomfort, Rating::Fatigue];
    album.screen("s-ratings", Show::Ask(AskFor::Ratings { items, block: 2 }));
    let rest = |standing| AskFor::Rest { until, next: 1, standing, looked: false };
    album.screen("s-rest", Show::Ask(rest(false)));
    album.screen("s-break", Show::Ask(rest(true)));
    album.screen("s-pause", Show::Ask(AskFor::Pause { why: PauseReason::FocusLost }));
    album.screen("s-stop", Show::Ask(AskFor::Pause { why: PauseReason::StopAsked }));
    album.screen("s-rig-start", Show::Rig(RigScreen::Start));
    album.screen("s-rig-ask", Show::Rig(RigScreen::Ask));
    let told = Told {
        what: "the folder of this session cannot be written".to_owned(),
        place: Some("data/heron-abcd".to_owned()),
        mend: "make room on the disk, or choose another folder in the settings".to_owned(),
    };
    album.screen("s-notice", Show::Notice(told));
    let folder = PathBuf::from("data/heron-abcd/20260301T101500Z-invented");
    let ended = Ended {
        ending: Ending::Complete,
        sentence: Some(
            "INVENTED: Firm claw clicked 12 ms sooner than light claw, give or take 8: more than \
             the 5 ms that matter to you."
                .to_owned(),
        ),
        report: Some(folder.join("findings/report.html")),
        folder,
    };
    album.screen("s-end", Show::Ended(ended));
}
