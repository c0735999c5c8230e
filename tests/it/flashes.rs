//! Whole sessions by the rule on flashing: no part of the field changes more than three times in any
//! second, unless such parts together stay under the small safe area.
//!
//! Counted over what the engine asks to be shown, in virtual time, with the shortest waits. Every
//! mark counts as its whole box. How strong a single change is, `render` measures in pixels.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;
use tautline::engine::{AskFor, Ending, Engine, Event, Start};
use tautline::protocol::{draw, read};
use tautline::record::MemoryKeeper;
use tautline::scene::{Mark, Notice, Scene};
use tautline::session::{self, Desk};
use tautline::sim::{Player, SimDesk, SimScreen, Truth};
use tautline::units::{Nanos, Span};

/// Side of the squares that changes are counted in, px.
const CELL_PX: f64 = 16.0;
/// Largest area that may flash, px.
///
/// # Source
/// WCAG 2.2, "general flash and red flash thresholds": 25 % of any 341 x 256 px rectangle.
const SAFE_AREA_PX: f64 = 341.0 * 256.0 / 4.0;
/// Changes that any part may make in a second, of whatever size.
///
/// # Source
/// WCAG 2.2, success criterion 2.3.1 (three flashes, each of two changes: here the stricter half).
const CHANGES_A_SECOND: usize = 3;

/// A square of the field.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Cell {
    column: i64,
    row: i64,
}

/// What covers a square; nothing is the field.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Paint {
    Wait,
    Target,
    Chevron,
    Cover,
}

/// A desk that notes each picture that is asked for.
struct Watched {
    desk: SimDesk,
    frame: Span,
    /// The newest picture, and the frame that it belongs to.
    pending: Option<(Nanos, Scene)>,
    painted: BTreeMap<Cell, Paint>,
    notice: Option<Notice>,
    changes: BTreeMap<Cell, Vec<Nanos>>,
    notice_changes: Vec<Nanos>,
    pictures: usize,
}

impl Watched {
    fn new(desk: SimDesk, frame: Span) -> Watched {
        Watched {
            desk,
            frame,
            pending: None,
            painted: BTreeMap::new(),
            notice: None,
            changes: BTreeMap::new(),
            notice_changes: Vec::new(),
            pictures: 0,
        }
    }

    /// Counts what changed against the picture before.
    fn settle(&mut self) {
        let Some((t, scene)) = self.pending.take() else { return };
        self.pictures += 1;
        let now = painted(&scene);
        let cells = self.painted.keys().chain(now.keys());
        let changed: Vec<Cell> =
            cells.filter(|cell| self.painted.get(cell) != now.get(cell)).copied().collect();
        for cell in changed {
            let times = self.changes.entry(cell).or_default();
            // A square that was and is covered comes twice in the list.
            if times.last() != Some(&t) {
                times.push(t);
            }
        }
        if scene.notice != self.notice {
            self.notice_changes.push(t);
        }
        (self.painted, self.notice) = (now, scene.notice);
    }
}

impl Desk for Watched {
    fn now(&self) -> Nanos {
        self.desk.now()
    }

    fn show(&mut self, scene: Scene) {
        // Of several pictures within one frame only the last is seen.
        let frame = Nanos(self.desk.now().0 / self.frame.0 * self.frame.0);
        if self.pending.is_some_and(|(pending, _)| pending != frame) {
            self.settle();
        }
        self.pending = Some((frame, scene));
        self.desk.show(scene);
    }

    fn ask(&mut self, ask: &AskFor) {
        self.desk.ask(ask);
    }

    fn next(&mut self, until: Option<Nanos>) -> Event {
        self.desk.next(until)
    }
}

fn painted(scene: &Scene) -> BTreeMap<Cell, Paint> {
    let mut painted = BTreeMap::new();
    for mark in scene.marks.iter() {
        let (at, width_px, height_px, paint) = match *mark {
            Mark::Strip { .. } | Mark::Tile { .. } => panic!("no task shows {mark:?}"),
            // The ticks stand outside the square.
            Mark::Wait { at, size_px } => (at, size_px * 1.8, size_px * 1.8, Paint::Wait),
            Mark::Target { at, size_px, .. } => (at, size_px, size_px, Paint::Target),
            Mark::Chevron { at, size_px } => (at, size_px * 2.0, size_px * 2.0, Paint::Chevron),
            Mark::Cover { at, width_px, height_px } => (at, width_px, height_px, Paint::Cover),
        };
        let cells = |middle: f64, length: f64| {
            #[expect(clippy::cast_possible_truncation, reason = "a few thousand px at most")]
            let index = |px: f64| (px / CELL_PX).floor() as i64;
            index(middle - length / 2.0)..=index(middle + length / 2.0)
        };
        for column in cells(at.x_px, width_px) {
            for row in cells(at.y_px, height_px) {
                painted.insert(Cell { column, row }, paint);
            }
        }
    }
    painted
}

/// Most changes within any second.
fn most_in_a_second(times: &[Nanos]) -> usize {
    let within = |(first, from): (usize, &Nanos)| {
        times[first..].iter().take_while(|t| **t - *from < Span::from_s(1)).count()
    };
    times.iter().enumerate().map(within).max().unwrap_or(0)
}

/// Largest area of the squares that change too often within the same second, px.
fn restless_px<'a>(changes: impl Iterator<Item = &'a Vec<Nanos>>) -> f64 {
    const STEP: Span = Span::from_ms(50);
    let mut restless: BTreeMap<i64, usize> = BTreeMap::new();
    for times in changes {
        let mut seconds: Vec<i64> = Vec::new();
        for many in times.windows(CHANGES_A_SECOND + 1) {
            let (first, last) = (many[0].0, many[CHANGES_A_SECOND].0);
            // Every second, begun at a multiple of the step, that holds them all.
            let begins =
                (last - Span::from_s(1).0).div_euclid(STEP.0) + 1..=first.div_euclid(STEP.0);
            seconds.extend(begins);
        }
        seconds.sort_unstable();
        seconds.dedup();
        seconds.into_iter().for_each(|second| *restless.entry(second).or_default() += 1);
    }
    restless.into_values().max().unwrap_or(0) as f64 * CELL_PX * CELL_PX
}

/// Plays a file of `tests/data` with the simulated player.
fn watched(name: &str) -> Watched {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data").join(name);
    let protocol = read(&std::fs::read_to_string(path).unwrap(), name);
    let protocol = Arc::new(protocol.unwrap_or_else(|faults| panic!("{name}: {faults:?}")));
    let schedule = Arc::new(draw(&protocol, 8));
    let player = Player::new(Truth::usual(protocol.conditions.len()), 8);
    let screen = SimScreen::usual();
    let (p, s) = (Arc::clone(&protocol), Arc::clone(&schedule));
    let desk = SimDesk::new(p, s, screen, player, 0.5, Nanos(1_000_000_000));
    let mut watched = Watched::new(desk, screen.canvas.refresh());
    let mut engine = Engine::new(protocol, schedule, Start::default());
    let ending = session::run(
        &mut engine,
        &mut watched,
        &mut MemoryKeeper::default(),
        &mut session::NoLooks,
    )
    .unwrap();
    assert_eq!(ending, Ending::Complete, "{name}");
    watched.settle();
    watched
}

#[test]
fn no_part_of_a_session_flashes() {
    let files = [
        "short-wait.toml",
        "short-choice.toml",
        "short-emergence.toml",
        "short-pointing.toml",
        "short-onset.toml",
        "short-go-no-go.toml",
        "short-four-ways.toml",
        "short-difficulty.toml",
        "short-half-covered.toml",
        "short-steadiness.toml",
        "short-tapping.toml",
        "short-pursuit.toml",
        "short-vigilance.toml",
    ];
    for name in files {
        let watched = watched(name);
        assert!(watched.pictures > 30, "{name}: only {} pictures", watched.pictures);
        let area_px = restless_px(watched.changes.values());
        assert!(area_px < SAFE_AREA_PX, "{name}: {area_px} px change more often");
        let notices = most_in_a_second(&watched.notice_changes);
        assert!(notices <= CHANGES_A_SECOND, "{name}: a word changes {notices} times a second");
    }
}
