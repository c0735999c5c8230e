//! Prints what the hands do, as the program hears it: for trying a mouse, a source or a virtual
//! machine. No test, in no package.
//!
//! Usage: input-probe [--input SOURCE] [--mouse IDENT] [--seconds N] [--quiet] [--unfocused]
//!        [--robot RATE] [--clicks] [--window] [--ready FILE] | --survey | --click-only N
//!        [--make MICE --make-rate RATE --make-seconds N] [--read-every MS] [--restart-after MS]
//!
//! `--robot RATE` sends XTEST events itself, RATE a second until a second before the end, and compares
//! when each was sent with its stamp. `--window` opens a window first, which Wayland's source needs; the robot
//! is then the compositor's virtual pointer (wlroots). `--make MICE` makes mice by uinput (as root, in a virtual
//! machine), two seconds of RATE reports a second each. `--read-every MS` lets the events lie, so that a ring runs over.
//! `--click-only N` listens to nothing and sends N events, ten a second, by the virtual pointer.
//! Events are kept while they come and printed at the end (printing in between would be measured).
//! At the end: counts of a device, its report interval, the delay from stamp to the session's end
//! (`age`), the thread's processor time, how often it asked for memory, what was lost. `--ready FILE` is made once events are heard.
#![expect(clippy::print_stdout, reason = "it prints")]

mod by_thread;
mod input_robot;
mod input_uinput;
mod input_virtual;
mod input_window;

use by_thread::{ByThread, calls_by_name};
use input_robot::{Plan, Sent};
use input_uinput::Made;
use input_virtual::Mouse;
use std::alloc::System;
use std::collections::BTreeMap;
use tautline::clock::{self, Bell};
use tautline::input::{Hands, InputChoice, InputEvent, OfWindow, Opened, survey};
use tautline::units::{Nanos, Span};
use tautline::words::Tell;

#[global_allocator]
static ALLOCATOR: ByThread<System> = ByThread(System);

struct Wishes {
    choice: InputChoice,
    mouse: Option<String>,
    length: Span,
    quiet: bool,
    focused: bool,
    ready: Option<String>,
    robot_hz: Option<u32>,
    clicks: bool,
    window: bool,
    made_mice: u16,
    made_hz: u32,
    made_s: u32,
    read_every: Span,
    restart_after: Option<Span>,
}

struct Heard {
    event: InputEvent,
    at: Nanos,
}

fn main() {
    let mut words = std::env::args().skip(1);
    let mut wishes = Wishes {
        choice: InputChoice::Auto,
        mouse: None,
        length: Span::from_s(5),
        quiet: false,
        focused: true,
        ready: None,
        robot_hz: None,
        clicks: false,
        window: false,
        made_mice: 0,
        made_hz: 1_000,
        made_s: 2,
        read_every: Span::from_ms(20),
        restart_after: None,
    };
    while let Some(word) = words.next() {
        let mut value = || words.next().expect("a value follows");
        match word.as_str() {
            "--input" => wishes.choice = value().parse().expect("a source"),
            "--mouse" => wishes.mouse = Some(value()),
            "--seconds" => wishes.length = Span::from_s(value().parse().expect("seconds")),
            "--quiet" => wishes.quiet = true,
            "--unfocused" => wishes.focused = false,
            "--ready" => wishes.ready = Some(value()),
            "--robot" => wishes.robot_hz = Some(value().parse().expect("events a second")),
            "--clicks" => wishes.clicks = true,
            "--window" => wishes.window = true,
            "--make" => wishes.made_mice = value().parse().expect("a few"),
            "--make-rate" => wishes.made_hz = value().parse().expect("reports a second"),
            "--make-seconds" => wishes.made_s = value().parse().expect("seconds"),
            "--restart-after" => {
                wishes.restart_after = Some(Span::from_ms(value().parse().expect("ms")));
            }
            "--read-every" => wishes.read_every = Span::from_ms(value().parse().expect("ms")),
            "--click-only" => {
                let plan = Plan { rate: 10, count: value().parse().expect("events"), clicks: true };
                return drop(input_virtual::start(input_virtual::plug_in(), plan).join());
            }
            "--survey" => return println!("{:#?}", survey()),
            other => panic!("no such option: {other}"),
        }
    }
    let made: Vec<Made> = (0..wishes.made_mice).map(input_uinput::make).collect();
    if !made.is_empty() {
        std::thread::sleep(std::time::Duration::from_millis(500));
    }
    if wishes.window {
        let mouse = std::env::var_os("WAYLAND_DISPLAY").map(|_| input_virtual::plug_in());
        input_window::with_window(move |window| open(window, &wishes, made, mouse));
    } else {
        open(OfWindow::default(), &wishes, made, None);
    }
}

fn open(window: OfWindow, wishes: &Wishes, made: Vec<Made>, mouse: Option<Mouse>) {
    let bell = Bell::of_this_thread();
    match Hands::open(wishes.choice, wishes.mouse.as_deref(), window, bell) {
        Ok(opened) => listen(opened, wishes, made, mouse),
        Err(error) => {
            println!("{}", error.tell());
            std::process::exit(1);
        }
    }
}

fn listen(
    Opened { mut hands, feed }: Opened,
    wishes: &Wishes,
    made: Vec<Made>,
    mouse: Option<Mouse>,
) {
    println!("source {} window-feed {}", hands.chosen().name(), feed.is_some());
    for refusal in hands.refused() {
        println!("refused {}: {}\n  {}", refusal.source.name(), refusal.why, refusal.mend);
    }
    hands.set_focused(wishes.focused);
    let mut heard: Vec<Heard> = Vec::with_capacity(1 << 20);
    let start = clock::now();
    let (mut slowest, mut slowest_at, mut settled) = (Span::ZERO, start, hands.settled());
    if let Some(path) = &wishes.ready {
        std::fs::write(path, "ready").expect("the file can be written");
    }
    let robot = wishes.robot_hz.map(|rate| {
        let seconds =
            u32::try_from(wishes.length.0 / 1_000_000_000 - 1).expect("two or more seconds");
        let plan = Plan { rate, count: rate * seconds, clicks: wishes.clicks };
        match mouse {
            Some(mouse) => input_virtual::start(mouse, plan),
            None => input_robot::start(plan),
        }
    });
    let players: Vec<_> = made
        .into_iter()
        .map(|mouse| {
            let from = clock::now() + Span::from_ms(200);
            input_uinput::play(mouse, wishes.made_hz, wishes.made_hz * wishes.made_s, from)
        })
        .collect();
    let mut restart_after = wishes.restart_after;
    // While all is under way: what comes and goes asks for memory.
    let (first_look, last_look) =
        (start + Span(wishes.length.0 / 4), start + Span(wishes.length.0 / 2));
    let mut asked: [Option<BTreeMap<String, u64>>; 2] = [None, None];
    while clock::now() - start < wishes.length {
        if restart_after.is_some_and(|after| clock::now() - start > after) {
            restart_after = None;
            println!("restart: {:?}", hands.restart());
        }
        if wishes.read_every > Span::from_ms(20) {
            std::thread::sleep(std::time::Duration::from_nanos(wishes.read_every.0.unsigned_abs()));
        }
        while let Some(event) = hands.next() {
            heard.push(Heard { event, at: clock::now() });
        }
        let now = clock::now();
        for (look, asked) in [first_look, last_look].into_iter().zip(&mut asked) {
            if now >= look && asked.is_none() {
                *asked = Some(calls_by_name());
            }
        }
        if now - hands.settled() > slowest {
            (slowest, slowest_at) = (now - hands.settled(), now);
        }
        assert!(hands.settled() >= settled, "a watermark went back");
        settled = hands.settled();
        clock::wait(now + Span::from_ms(20));
    }
    let mut last = Nanos(0);
    for Heard { event, at } in &heard {
        assert!(event.t() >= last, "a stamp went back: {event:?} after {last:?}");
        last = event.t();
        if !wishes.quiet {
            println!(
                "{:>12.6} ms  age {:>8.3} ms  {}",
                (event.t() - start).ms(),
                (*at - event.t()).ms(),
                short(event)
            );
        }
    }
    sum_up(&hands, &heard);
    if let Some(robot) = robot {
        compare(&robot.join().expect("the robot ends well"), &heard);
    }
    for (index, player) in players.into_iter().enumerate() {
        let written = player.join().expect("the player ends well");
        let of_it =
            heard.iter().filter(|h| h.event.device().is_some_and(|d| usize::from(d.0) == index));
        let stamped: Vec<Nanos> = of_it
            .filter(|h| matches!(h.event, InputEvent::Motion { .. }))
            .map(|h| h.event.t())
            .collect();
        println!("made mouse {index} wrote {} heard {}", written.len(), stamped.len());
        if written.len() == stamped.len() {
            let spans = written.iter().zip(&stamped).map(|(w, t)| *t - *w).collect();
            spread("written to stamped", spans);
            spread("between stamps", stamped.windows(2).map(|pair| pair[1] - pair[0]).collect());
        }
    }
    let at = (slowest_at - start).ms();
    if let [Some(before), Some(after)] = &asked {
        for (name, calls) in after.iter().filter(|(name, _)| name.starts_with("input ")) {
            let calls = calls - before.get(name).copied().unwrap_or(0);
            let seen = |h: &&Heard| h.at >= first_look && h.at < last_look;
            let events = heard.iter().filter(seen).count();
            println!("thread {name:?} asked for memory {calls} times for {events} events");
        }
    }
    println!("slowest watermark {:.3} ms behind, at {at:.0} ms", slowest.ms());
}

fn short(event: &InputEvent) -> String {
    match event {
        InputEvent::Press { device, button, stamp } => {
            format!("press   {} {button:?} sd {:.3} ms", device.0, stamp.sd.ms())
        }
        InputEvent::Release { device, button, stamp } => {
            format!("release {} {button:?} sd {:.3} ms", device.0, stamp.sd.ms())
        }
        InputEvent::Motion { device, dx, dy, stamp } => {
            format!("motion  {} {dx} {dy} sd {:.3} ms", device.0, stamp.sd.ms())
        }
        InputEvent::Gap { lost, .. } => format!("gap     {lost}"),
        InputEvent::Stalled { late, .. } => format!("stalled {:.3} ms", late.ms()),
        InputEvent::Unplugged { device, .. } => format!("gone    {}", device.0),
        InputEvent::Replugged { device, .. } => format!("back    {}", device.0),
    }
}

/// The n-th event sent is the n-th heard: the server keeps the order and merges nothing.
fn compare(sent: &[Sent], heard: &[Heard]) {
    let stamped: Vec<Nanos> = heard
        .iter()
        .filter(|h| !matches!(h.event, InputEvent::Gap { .. }))
        .map(|h| h.event.t())
        .collect();
    println!("robot sent {} heard {}", sent.len(), stamped.len());
    if sent.len() == stamped.len() {
        spread("sent to stamped", sent.iter().zip(&stamped).map(|(s, t)| *t - s.before).collect());
        spread("sending", sent.iter().map(|s| s.after - s.before).collect());
        spread("between stamps", stamped.windows(2).map(|pair| pair[1] - pair[0]).collect());
    }
}

fn spread(what: &str, mut spans: Vec<Span>) {
    spans.sort_unstable();
    if let Some(last) = spans.len().checked_sub(1) {
        let at = |share: usize| spans[last * share / 100].ms();
        println!(
            "{what} p5 {:.3} p50 {:.3} p95 {:.3} p99 {:.3} max {:.3} ms",
            at(5),
            at(50),
            at(95),
            at(99),
            at(100)
        );
    }
}

#[derive(Default)]
struct Sums {
    presses: u32,
    releases: u32,
    motions: u32,
    dx: i64,
    dy: i64,
}

fn sum_up(hands: &Hands, heard: &[Heard]) {
    let mut sums: BTreeMap<u16, Sums> = BTreeMap::new();
    let (mut gaps, mut stalls, mut gone, mut back) = (0, 0, 0, 0);
    for Heard { event, .. } in heard {
        match event {
            InputEvent::Press { device, .. } => sums.entry(device.0).or_default().presses += 1,
            InputEvent::Release { device, .. } => sums.entry(device.0).or_default().releases += 1,
            InputEvent::Motion { device, dx, dy, .. } => {
                let sum = sums.entry(device.0).or_default();
                sum.motions += 1;
                sum.dx += i64::from(*dx);
                sum.dy += i64::from(*dy);
            }
            InputEvent::Gap { .. } => gaps += 1,
            InputEvent::Stalled { .. } => stalls += 1,
            InputEvent::Unplugged { .. } => gone += 1,
            InputEvent::Replugged { .. } => back += 1,
        }
    }
    for info in hands.devices() {
        let Sums { presses, releases, motions, dx, dy } =
            sums.remove(&info.id.0).unwrap_or_default();
        println!(
            "device {} {} {:?} {} steps {} interval {:?} ms: presses {presses} releases {releases} motions {motions} sum {dx} {dy}",
            info.id.0,
            info.ident,
            info.name,
            info.unit.name(),
            info.steps_per_count,
            info.report_interval.map(Span::ms),
        );
    }
    spread("age", heard.iter().map(|h| h.at - h.event.t()).collect());
    println!(
        "gaps {gaps} stalls {stalls} gone {gone} back {back} overflowed {}",
        hands.overflowed()
    );
    println!(
        "priority {} busy {:.1} ms ended {:?}",
        hands.priority().map_or("unknown".to_owned(), |p| p.to_string()),
        hands.busy().ms(),
        hands.ended()
    );
}
