//! Counts, in a real window on an X server, who asks for memory from the wait mark to the response:
//! our own code around the desk, and at the desk which library, by where each call comes from.
//! A robot thread presses by XTEST. No test, in no package.
//!
//! Usage: allocation-probe [PROTOCOL.toml]      (default: tests/data/short-wait.toml)
//!
//! What the driver itself (C) takes from the system is not seen by this allocator.
#![expect(clippy::print_stdout, reason = "it prints")]

mod by_thread;
#[path = "../allocations/counting.rs"]
mod counting;

use by_thread::{ByThread, calls_by_name};
use counting::Counting;
use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::time::Duration;
use tautline::app::Sheets;
use tautline::display::{Screen, ScreenWish};
use tautline::engine::{
    Answer, AskFor, Begin, ENGINE_RULE, Engine, Event, Key, MOTION_RULE, RatingRecord, Start,
    TrialRecord,
};
use tautline::input::{Hands, InputChoice, OfWindow};
use tautline::protocol::{draw, read};
use tautline::record::{Keep, RecordError, events::Encoder};
use tautline::scene::{Canvas, Mark, Scene};
use tautline::session::{self, Desk, live::LiveDesk, live::Parts};
use tautline::units::Nanos;
use tautline::window::{self, Facts, Mode, MouseFrom, Opened, WindowOptions, WindowSize};
use x11rb::connection::Connection as _;
use x11rb::protocol::xproto::{BUTTON_PRESS_EVENT, BUTTON_RELEASE_EVENT, ConnectionExt as _};
use x11rb::protocol::xtest::ConnectionExt as _;

#[global_allocator]
static ALLOCATOR: ByThread<Counting> = ByThread(Counting);

/// Ways on which it is kept who asks, and ways in all.
const TRACED_WAYS: u32 = 3;
const WAYS: u32 = 40;

#[derive(Default)]
struct Sums {
    ways: u32,
    frames: u64,
    outside: u64,
    at_the_desk: u64,
}

/// The real desk, watched; every untimed screen is answered at once.
struct Watched {
    desk: LiveDesk,
    robot: Sender<()>,
    on_the_way: bool,
    sent: bool,
    left_at: Option<u64>,
    sums: Sums,
    answer: Option<Answer>,
}

impl Watched {
    fn back(&mut self) {
        if let Some(left_at) = self.left_at.take() {
            self.sums.outside += counting::calls() - left_at;
        }
    }

    fn leave(&mut self) {
        if self.on_the_way {
            self.left_at = Some(counting::calls());
        }
    }

    fn at_the_desk<R>(&mut self, act: impl FnOnce(&mut LiveDesk) -> R) -> R {
        let before = counting::calls();
        // Each is kept with its whole way: a few trials tell who asks.
        counting::trace(self.on_the_way && self.sums.ways < TRACED_WAYS);
        let done = act(&mut self.desk);
        counting::trace(false);
        if self.on_the_way {
            self.sums.at_the_desk += counting::calls() - before;
        }
        done
    }
}

impl Desk for Watched {
    fn now(&self) -> Nanos {
        self.desk.now()
    }

    fn show(&mut self, scene: Scene) {
        self.back();
        let target = scene.marks.iter().any(|mark| matches!(mark, Mark::Target { .. }));
        let waits = scene.marks.iter().any(|mark| matches!(mark, Mark::Wait { .. }));
        if waits && !self.on_the_way {
            (self.on_the_way, self.sent) = (true, false);
        }
        self.at_the_desk(|desk| desk.show(scene));
        if target && !std::mem::replace(&mut self.sent, true) {
            self.robot.send(()).expect("the robot listens");
        }
        self.leave();
    }

    fn ask(&mut self, ask: &AskFor) {
        self.on_the_way = false;
        self.left_at = None;
        self.answer = Some(match ask {
            AskFor::Expectation => Answer::Expected { faster: None, sure: 0 },
            AskFor::Ratings { items, .. } => {
                Answer::Rated(items.iter().map(|item| (*item, 0)).collect())
            }
            AskFor::Rest { .. } | AskFor::Card { .. } | AskFor::Pause { .. } => Answer::GoOn,
        });
    }

    fn next(&mut self, until: Option<Nanos>) -> Event {
        self.back();
        if self.sums.ways >= WAYS {
            return Event::Key { key: Key::Stop, t: self.desk.now() };
        }
        if let Some(answer) = self.answer.take() {
            // A rest that is not over is asked again.
            std::thread::sleep(Duration::from_millis(100));
            return Event::Answered { answer, t: self.desk.now() };
        }
        let event = self.at_the_desk(|desk| desk.next(until));
        self.sums.frames += u64::from(self.on_the_way && matches!(event, Event::Shown { .. }));
        self.leave();
        if matches!(event, Event::Press { .. }) && self.on_the_way {
            self.sums.ways += 1;
        }
        event
    }
}

/// Encodes as the real keeper does on this thread; a row ends the way.
struct Encoding(Encoder);

impl Keep for Encoding {
    fn event(&mut self, event: &Event) {
        self.0.push(event);
    }

    fn trial(&mut self, _: &TrialRecord) -> Result<(), RecordError> {
        self.0.clear();
        Ok(())
    }

    fn ratings(&mut self, _: &RatingRecord) -> Result<(), RecordError> {
        Ok(())
    }

    fn display(&mut self, _: serde_json::Value) -> Result<(), RecordError> {
        Ok(())
    }

    fn block_end(&mut self, _: usize) -> Result<(), RecordError> {
        Ok(())
    }

    fn block_abandoned(&mut self, _: usize) -> Result<(), RecordError> {
        Ok(())
    }

    fn close(&mut self, _: tautline::engine::Ending) -> Result<(), RecordError> {
        Ok(())
    }
}

fn main() {
    let traces = ["RUST_BACKTRACE", "RUST_LIB_BACKTRACE"].map(|name| std::env::var(name).ok());
    let asked = |value: &Option<String>| value.as_ref().is_some_and(|value| value != "0");
    // wgpu then traces its own locks in a debug build, under the lock that tracing here needs.
    assert!(!traces.iter().any(asked), "run it with RUST_BACKTRACE=0");
    let size = WindowSize::Windowed { width_px: 640, height_px: 480 };
    let options = WindowOptions { title: "allocation probe".to_owned(), size };
    window::open(options, Box::new(Sheets::default()), go).expect("a window");
}

fn press(told: &Receiver<()>) {
    let (connection, screen) = x11rb::connect(None).expect("an X server");
    let root = connection.setup().roots[screen].root;
    let send = |kind| {
        connection.xtest_fake_input(kind, 1, 0, root, 0, 0, 0).expect("the server is there");
        connection.get_input_focus().expect("it is there").reply().expect("it answers");
    };
    while told.recv().is_ok() {
        std::thread::sleep(Duration::from_millis(200));
        send(BUTTON_PRESS_EVENT);
        std::thread::sleep(Duration::from_millis(60));
        send(BUTTON_RELEASE_EVENT);
    }
}

fn go(opened: Opened) {
    let Opened { stage, from_main, main, bell, .. } = opened;
    let path = std::env::args().nth(1).unwrap_or_else(|| "tests/data/short-wait.toml".to_owned());
    let text = std::fs::read_to_string(&path).expect("the protocol can be read");
    let protocol = Arc::new(read(&text, &path).expect("it is sound"));
    let schedule = Arc::new(draw(&protocol, 2));
    main.set_mode(Mode::Trials(MouseFrom::Elsewhere));
    let hands = Hands::open(InputChoice::Auto, None, OfWindow::default(), bell.clone());
    let opened = hands.expect("a mouse");
    let size = stage.window.size.read();
    let screen = Screen::start(stage, &bell, &ScreenWish::default()).expect("a screen");
    let canvas = Canvas {
        width_px: size.width,
        height_px: size.height,
        px_per_mm: None,
        rate_hz: 1e3 / screen.report().refresh_asked_ms,
    };
    let begin = Begin {
        t: tautline::clock::now(),
        canvas,
        px_per_count: 0.5,
        scanout_ms: None,
        display_lag_ms: None,
        engine_rule: ENGINE_RULE,
        motion_rule: MOTION_RULE,
    };
    println!("clock {}", screen.report().clock.chosen.name());
    println!("mouse {}", opened.hands.chosen().name());
    let facts = Facts {
        protocol: Arc::clone(&protocol),
        schedule: Arc::clone(&schedule),
        player: String::new(),
        minutes_left: None,
        sources: String::new(),
        simulated: false,
        force: None,
    };
    let (hands, feed) = (opened.hands, opened.feed);
    let desk = LiveDesk::new(Parts {
        screen,
        main,
        from_main,
        hands,
        feed,
        gamepads: None,
        force: None,
        wishes: Wishes::default(),
        facts,
        begin,
    });
    let (robot, told) = channel();
    let named = std::thread::Builder::new().name("robot".to_owned());
    named.spawn(move || press(&told)).expect("a thread");
    let sums = Sums::default();
    let mut desk =
        Watched { desk, robot, on_the_way: false, sent: false, left_at: None, sums, answer: None };
    let mut engine = Engine::new(protocol, schedule, Start::default());
    let before = calls_by_name();
    let ending = session::run(
        &mut engine,
        &mut desk,
        &mut Encoding(Encoder::new()),
        &mut session::NoLooks,
    );
    let after = calls_by_name();
    println!("{ending:?}");
    tell(&desk.sums);
    println!("by thread, in the whole session:");
    for (name, calls) in after {
        println!("  {name}: {}", calls - before.get(&name).copied().unwrap_or(0));
    }
}

fn tell(Sums { ways, frames, outside, at_the_desk }: &Sums) {
    println!("{ways} ways from the wait mark to a response, {frames} frames");
    println!("outside the desk (runner, engine, record): {outside}");
    println!("at the desk: {at_the_desk}, {:.2} a frame", *at_the_desk as f64 / *frames as f64);
    println!("at the desk, by who asked, on the first {TRACED_WAYS} ways:");
    let mut by_crate: BTreeMap<String, u32> = BTreeMap::new();
    let mut ours = Vec::new();
    for trace in counting::take_traces() {
        let text = trace.to_string();
        let asked = asker(&text).unwrap_or("unknown").to_owned();
        if asked == "tautline" {
            ours.push(text);
        }
        *by_crate.entry(asked).or_default() += 1;
    }
    for (name, calls) in by_crate {
        println!("  {name}: {calls}");
    }
    for text in ours.iter().take(3) {
        println!("one of ours:\n{text}");
    }
}

/// The innermost crate on the way that is not the standard library's or this counter's.
fn asker(trace: &str) -> Option<&str> {
    const NOT_THEM: [&str; 8] =
        ["std", "core", "alloc", "hashbrown", "__rustc", "allocation_probe", "backtrace", "__rust"];
    trace.lines().find_map(|line| {
        let (number, name) = line.trim_start().split_once(": ")?;
        number.parse::<u32>().ok()?;
        let name = name.trim_start_matches(['<', '&', '*', '(', '[']);
        let name = name.strip_prefix("dyn ").or(name.strip_prefix("mut ")).unwrap_or(name);
        let root = name.split("::").next()?;
        (name.contains("::") && !NOT_THEM.contains(&root)).then_some(root)
    })
}
