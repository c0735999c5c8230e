//! A trying program for the display: opens a window, puts the screen on a thread of its own, and
//! either steps through every stimulus (`look`), prints what the start found (`report`), lends the
//! stage and takes it back as at a border between blocks (`border`), takes the device away in the
//! middle (`lose`), counts what a frame asks the allocator for (`memory`), checks that each frame is told of once and in order (`order`), or compares stamps with the moment the window's pixels change, as a second client reads them back
//! from the server (`measure`, X11).
//!
//! It is no test: a person or a script looks at what it shows and prints.

#![expect(clippy::print_stdout, reason = "what it prints is all it is for")]

#[cfg(target_os = "linux")]
mod by_thread;
#[cfg(target_os = "linux")]
#[path = "../allocations/counting.rs"]
mod counting;
#[cfg(target_os = "linux")]
mod memory;

use std::sync::Arc;

use tautline::clock::{self, Bell};
use tautline::display::{Gpu, Screen, ScreenWish, Seen, SizePx, Stage};
use tautline::scene::{Canvas, Mark, Marks, Notice, Place, Scene, SceneId, Side};
use tautline::units::{Nanos, Span, Stamp, StampSource};
use winit::application::ApplicationHandler;
use winit::event::WindowEvent;
use winit::event_loop::{ActiveEventLoop, EventLoop, EventLoopProxy};
use winit::window::{Window, WindowId};

struct Done;

struct Probe {
    proxy: EventLoopProxy<Done>,
    window: Option<Arc<Window>>,
    size: Option<Arc<tautline::display::WindowSize>>,
}

impl ApplicationHandler<Done> for Probe {
    fn resumed(&mut self, event_loop: &ActiveEventLoop) {
        let attributes = Window::default_attributes()
            .with_title("display probe")
            .with_decorations(false)
            .with_inner_size(winit::dpi::PhysicalSize::new(1280, 720))
            .with_position(winit::dpi::PhysicalPosition::new(0, 0));
        let window = Arc::new(event_loop.create_window(attributes).expect("a window"));
        let size = window.inner_size();
        let size = SizePx { width: size.width, height: size.height };
        let stage = Stage::open(Arc::clone(&window), size).expect("a stage");
        self.size = Some(Arc::clone(&stage.window.size));
        self.window = Some(window);
        let proxy = self.proxy.clone();
        std::thread::Builder::new()
            .name("stimulus".into())
            .spawn(move || {
                stimuli(stage);
                // The loop may have ended already: then there is nobody to tell.
                drop(proxy.send_event(Done));
            })
            .expect("a thread");
    }

    fn window_event(&mut self, event_loop: &ActiveEventLoop, _: WindowId, event: WindowEvent) {
        match event {
            WindowEvent::Resized(size) => {
                if let Some(told) = &self.size {
                    told.tell(SizePx { width: size.width, height: size.height });
                }
            }
            WindowEvent::CloseRequested => event_loop.exit(),
            _ => {}
        }
    }

    fn user_event(&mut self, event_loop: &ActiveEventLoop, _: Done) {
        event_loop.exit();
    }
}

fn main() {
    let event_loop = EventLoop::<Done>::with_user_event().build().expect("an event loop");
    let mut probe = Probe { proxy: event_loop.create_proxy(), window: None, size: None };
    event_loop.run_app(&mut probe).expect("the event loop ran");
}

fn stimuli(stage: Stage) {
    let arguments: Vec<String> = std::env::args().collect();
    let word = |n: usize| arguments.get(n).map_or("", String::as_str);
    let clock = match word(2) {
        "damage" => Some(StampSource::Damage),
        "feedback" => Some(StampSource::WaylandFeedback),
        "estimate" => Some(StampSource::Estimate),
        _ => None,
    };
    let size = stage.window.size.read();
    let wish = ScreenWish { clock, ..ScreenWish::default() };
    let started = clock::now();
    let gpu = Arc::clone(&stage.gpu);
    let screen = Screen::start(stage, &Bell::of_this_thread(), &wish).expect("a screen");
    println!("start took {:.0} ms", (clock::now() - started).ms());
    println!("{}", serde_json::to_string_pretty(screen.report()).expect("plain values"));
    let canvas = Canvas {
        width_px: size.width,
        height_px: size.height,
        px_per_mm: None,
        rate_hz: 1e3 / screen.report().refresh_asked_ms,
    };
    match word(1) {
        "look" => look(screen, &canvas),
        "measure" => measure(screen, &canvas),
        "lose" => lose(screen, &gpu),
        "border" => border(screen, &canvas),
        "order" => order(screen),
        #[cfg(target_os = "linux")]
        "memory" => memory::count(screen),
        _ => drop(screen.finish()),
    }
}

/// Drives the screen until `until`; every piece of news goes to `tell`.
fn drive(screen: &mut Screen, until: Nanos, mut tell: impl FnMut(Seen)) {
    loop {
        let now = clock::now();
        while let Some(seen) = screen.poll(clock::now()) {
            tell(seen);
        }
        if now >= until {
            return;
        }
        clock::wait(screen.wake_at().min(until));
    }
}

fn steps(canvas: &Canvas) -> Vec<(&'static str, Scene)> {
    let at = canvas.centre();
    let size_px = canvas.px(20.0);
    let target = |at, notch, contrast_share| Mark::Target { at, size_px, notch, contrast_share };
    let beside = |dx: f64| Place { x_px: at.x_px + dx, y_px: at.y_px };
    let wait = Mark::Wait { at, size_px };
    let cover =
        |dx: f64| Mark::Cover { at: beside(dx), width_px: size_px * 1.6, height_px: size_px * 3.0 };
    let chevron = Mark::Chevron { at, size_px: size_px / 3.0 };
    let scene = |marks: &[Mark]| Scene { marks: Marks::of(marks), ..Scene::empty(SceneId(0)) };
    let shift = Place { x_px: 37.0, y_px: -12.5 };
    let viewed = |marks: &[Mark]| Scene { view: Some(shift), ..scene(marks) };
    let noticed = |notice| Scene { notice: Some(notice), ..scene(&[wait]) };
    vec![
        ("field", scene(&[])),
        ("wait", scene(&[wait])),
        ("target-up", scene(&[target(at, Side::Up, 0.6)])),
        ("target-down", scene(&[target(at, Side::Down, 1.0)])),
        ("target-left", scene(&[target(at, Side::Left, 0.3)])),
        ("target-right", scene(&[target(at, Side::Right, 0.6)])),
        ("pointing", viewed(&[target(beside(220.0), Side::Up, 0.6), chevron])),
        ("emergence", viewed(&[target(beside(60.0), Side::Up, 0.6), cover(0.0), chevron])),
        ("early", noticed(Notice::Early)),
        ("wrong", noticed(Notice::Wrong)),
        ("missed", noticed(Notice::Missed)),
        ("empty-wait", noticed(Notice::EmptyWaitPassed)),
        ("rightly-left", noticed(Notice::RightlyLeft)),
        ("again", noticed(Notice::Again)),
        ("measuring", noticed(Notice::Measuring)),
    ]
}

fn look(mut screen: Screen, canvas: &Canvas) {
    for (number, (name, scene)) in steps(canvas).into_iter().enumerate() {
        screen.set_scene(Scene { id: SceneId(number as u64 + 1), ..scene });
        let mut shown = 0;
        let settled = clock::now() + Span::from_ms(300);
        drive(&mut screen, settled, |_| shown += 1);
        println!("step {name}");
        drive(&mut screen, settled + Span::from_ms(1700), |seen| {
            if !matches!(seen, Seen::Shown { missed: 0, .. }) {
                println!("  {seen:?}");
            }
            shown += 1;
        });
        println!("  {shown} frames told of");
    }
    drop(screen.finish());
}

/// Ten borders: the stage is lent, configured by the borrower, and taken back.
fn border(mut screen: Screen, canvas: &Canvas) {
    let Some((_, scene)) = steps(canvas).into_iter().nth(1) else { return };
    for block in 1..=10 {
        screen.set_scene(Scene { id: SceneId(block), ..scene });
        let [mut shown, mut missed, mut other] = [0u32; 3];
        drive(&mut screen, clock::now() + Span::from_ms(500), |seen| match seen {
            Seen::Shown { missed: frames, .. } => {
                shown += 1;
                missed += u32::from(frames);
            }
            _ => other += 1,
        });
        let lent = clock::now();
        let mut stage = screen.lend().expect("the stage was here");
        let granted = stage.granted;
        stage.configure(stage.window.size.read(), granted);
        screen.take_back(stage).expect("taken back");
        let away = (clock::now() - lent).ms();
        println!("block {block}: {shown} shown, {missed} missed, {other} other; away {away:.1} ms");
    }
    println!("clock at the end: {:?}", screen.report().clock.chosen);
    drop(screen.finish());
}

/// Five seconds of frames: each told of once, in order, and how far apart.
fn order(mut screen: Screen) {
    let mut stamps: Vec<Stamp> = Vec::new();
    let [mut holes, mut out_of_order, mut other] = [0u32; 3];
    let mut last = 0;
    drive(&mut screen, clock::now() + Span::from_ms(5000), |seen| match seen {
        Seen::Shown { frame, stamp, .. } => {
            holes += u32::from(frame != last + 1);
            out_of_order += u32::from(stamps.last().is_some_and(|before| before.t >= stamp.t));
            last = frame;
            stamps.push(stamp);
        }
        _ => other += 1,
    });
    let mut apart: Vec<f64> = stamps.windows(2).map(|pair| (pair[1].t - pair[0].t).ms()).collect();
    apart.sort_by(f64::total_cmp);
    println!(
        "{} frames shown: {holes} holes, {out_of_order} out of order, {other} other",
        stamps.len()
    );
    if let (Some(stamp), [least, .., most]) = (stamps.last(), apart.as_slice()) {
        let median = apart[apart.len() / 2];
        println!(
            "{:?}: apart {least:.3} to {most:.3}, median {median:.3} ms; sd stated {:.3} ms",
            stamp.source,
            stamp.sd.ms()
        );
    }
    drop(screen.finish());
}

/// The device goes away; the screen has to say so, open another and go on.
fn lose(mut screen: Screen, gpu: &Gpu) {
    let mut shown = 0;
    let mut count = |seen| match seen {
        Seen::Shown { .. } => shown += 1,
        other => println!("{other:?}"),
    };
    drive(&mut screen, clock::now() + Span::from_ms(500), &mut count);
    gpu.device.destroy();
    drive(&mut screen, clock::now() + Span::from_ms(2000), &mut count);
    println!("{shown} frames shown in 2.5 s");
    drop(screen.finish());
}

/// Turns a small target on and off and compares its stamps with the pixels that another client of
/// the server reads back as fast as it can.
#[cfg(target_os = "linux")]
fn measure(mut screen: Screen, canvas: &Canvas) {
    let at = canvas.centre();
    let mark = Mark::Target { at, size_px: 60.0, notch: Side::Up, contrast_share: 1.0 };
    let turns = 60;
    let (tell, changes) = std::sync::mpsc::channel();
    let watcher = std::thread::Builder::new()
        .name("watcher".into())
        .spawn(move || watch(at, turns, &tell))
        .expect("a thread");
    let mut lines = Vec::new();
    let mut news = Vec::new();
    for turn in 1..=turns {
        let marks = if turn % 2 == 1 { Marks::of(&[mark]) } else { Marks::NONE };
        // Off the beat, so that the wait for the next frame is part of the figure.
        let asked = clock::now();
        screen.set_scene(Scene { marks, ..Scene::empty(SceneId(turn)) });
        drive(&mut screen, asked + Span(360_000_000 + 3_700_000 * (turn as i64 % 5)), |seen| {
            news.push(seen);
        });
        let told: Vec<Seen> = news.iter().take(4).copied().collect();
        let first = news.drain(..).find_map(|seen| match seen {
            Seen::Shown { scene, stamp, .. } if scene == SceneId(turn) => Some(stamp.t),
            _ => None,
        });
        let changed: Option<Change> = changes.try_iter().last();
        if let (Some(stamp), Some(change)) = (first, changed) {
            if (stamp - change.t).ms().abs() > 2.0 {
                println!("turn {turn}: asked {asked:?}, changed {:?}: {told:?}", change.t);
            }
            lines.push((asked, stamp, change));
        }
    }
    drop(screen.finish());
    watcher.join().expect("the watcher ended");
    let all = lines.len();
    // Where the server did not answer the watcher in time, its figure says nothing.
    lines.retain(|(_, _, change)| change.gap <= Span::from_ms(2));
    println!("{} of {all} turns left out: the watcher's gap was over 2 ms", all - lines.len());
    if lines.is_empty() {
        return;
    }
    let column = |name: &str, figure: &dyn Fn(&(Nanos, Nanos, Change)) -> f64| {
        let mut all: Vec<f64> = lines.iter().map(figure).collect();
        all.sort_by(f64::total_cmp);
        let n = all.len();
        let mean = all.iter().sum::<f64>() / n as f64;
        let sd = (all.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (n as f64 - 1.0)).sqrt();
        println!(
            "{name}: n {n} median {:.3} sd {sd:.3} min {:.3} max {:.3} ms",
            all[n / 2],
            all[0],
            all[n - 1]
        );
    };
    column("asked to first changed pixel", &|(asked, _, change)| (change.t - *asked).ms());
    column("asked to stamp", &|(asked, stamp, _)| (*stamp - *asked).ms());
    column("stamp minus changed pixel", &|(_, stamp, change)| (*stamp - change.t).ms());
    column("stamp minus middle of the two readings", &|(_, stamp, change)| {
        (*stamp - change.t).ms() + change.gap.ms() / 2.0
    });
    column("watcher's gap at the change", &|(_, _, change)| change.gap.ms());
}

#[cfg(not(target_os = "linux"))]
fn measure(screen: Screen, _: &Canvas) {
    drop(screen.finish());
}

struct Change {
    /// When the first reading with another colour came back.
    t: Nanos,
    /// Since the reading before it.
    gap: Span,
}

#[cfg(target_os = "linux")]
fn watch(at: Place, turns: u64, tell: &std::sync::mpsc::Sender<Change>) {
    use x11rb::connection::Connection;
    use x11rb::protocol::xproto::{ConnectionExt, ImageFormat};
    let (connection, screen) = x11rb::connect(None).expect("the server");
    let root = connection.setup().roots[screen].root;
    #[expect(clippy::cast_possible_truncation, reason = "a place on a screen")]
    let (x, y) = (at.x_px.round() as i16, at.y_px.round() as i16);
    let mut before: Option<u8> = None;
    let mut read_before = clock::now();
    let end = read_before + Span::from_ms(380 * turns as i64);
    while clock::now() < end {
        let image = connection
            .get_image(ImageFormat::Z_PIXMAP, root, x, y, 1, 1, !0)
            .expect("a request")
            .reply()
            .expect("a pixel");
        let now = clock::now();
        // The red of one pixel: 128 on the field, 0 in the target.
        let red = image.data[2];
        if before.is_some_and(|before| before != red)
            && tell.send(Change { t: now, gap: now - read_before }).is_err()
        {
            return;
        }
        before = Some(red);
        read_before = now;
        clock::wait(now + Span(100_000));
    }
}
