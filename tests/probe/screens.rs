//! Opens one untimed screen in a real window, or all of them in turn, to look at them.
//!
//! usage: screens-probe SCREEN|all [--window WxH | --display NAME] [--simulated]
//! `lost` is a card whose graphics device goes away after a second.
//! It prints each reply. Between two screens of `all` it shows the trial field for a moment, as a
//! session would.

#![expect(clippy::print_stdout, clippy::print_stderr, reason = "its replies are its output")]

mod invented;

use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;
use tautline::app::Sheets;
use tautline::clock;
use tautline::engine::{AskFor, Ending, PauseReason};
use tautline::protocol::Rating;
use tautline::tasks::{Choice, Emergence, Map, Pointing, TaskKind};
use tautline::units::Span;
use tautline::window::{
    self, Ended, FromMain, Mode, MouseFrom, Opened, Screenful, Show, WindowOptions, WindowSize,
};
use tautline::words::{Tell, Told};

const NAMES: [&str; 12] = [
    "first-start",
    "expectation",
    "card",
    "choice",
    "emergence",
    "pointing",
    "ratings",
    "rest",
    "break",
    "pause",
    "notice",
    "end",
];

fn screen(name: &str) -> Show {
    let until = clock::now() + Span::from_s(6);
    match name {
        "first-start" => Show::FirstStart,
        "expectation" => Show::Ask(AskFor::Expectation),
        "card" | "lost" | "choice" | "emergence" | "pointing" => {
            Show::Ask(AskFor::Card { block: 1 })
        }
        "ratings" => Show::Ask(AskFor::Ratings {
            items: vec![Rating::Tension, Rating::Discomfort, Rating::Fatigue],
            block: 2,
        }),
        "rest" => Show::Ask(AskFor::Rest { until, next: 1, standing: false, looked: false }),
        "break" => Show::Ask(AskFor::Rest { until, next: 3, standing: true, looked: false }),
        "pause" => Show::Ask(AskFor::Pause { why: PauseReason::FocusLost }),
        "notice" => Show::Notice(Told {
            what: "the folder of this session cannot be written".to_owned(),
            place: Some("data/heron-abcd".to_owned()),
            mend: "make room on the disk, or choose another folder with --data".to_owned(),
        }),
        "end" => Show::Ended(Ended {
            ending: Ending::Complete,
            sentence: Some(
                "INVENTED: Firm claw clicked 12 ms sooner than light claw, give or take 8: more \
                 than the 5 ms that matter to you."
                    .to_owned(),
            ),
            folder: PathBuf::from("data/heron-abcd/20260301T101500Z-invented"),
            report: Some(PathBuf::from(
                "data/heron-abcd/20260301T101500Z-invented/findings/report.html",
            )),
        }),
        other => panic!("no screen {other}; there are {}", NAMES.join(", ")),
    }
}

/// The card of another task.
fn task(name: &str) -> Option<TaskKind> {
    match name {
        "choice" => Some(TaskKind::Choice(Choice::of_two(Map::Same, 60.0))),
        "emergence" => Some(TaskKind::Emergence(Emergence::at(200.0))),
        "pointing" => Some(TaskKind::Pointing(Pointing::at(80.0))),
        _ => None,
    }
}

fn run(opened: Opened, names: Vec<String>, simulated: bool) {
    let Opened { mut stage, from_main, main, facts, .. } = opened;
    println!("{facts:?} {:?}", stage.window);
    for name in names {
        let mut said = invented::facts();
        said.simulated = simulated;
        if let Some(task) = task(&name) {
            Arc::make_mut(&mut said.protocol).task = task;
        }
        let gpu = Arc::clone(&stage.gpu);
        main.lend(stage, Screenful { show: screen(&name), facts: said });
        if name == "lost" {
            std::thread::sleep(Duration::from_millis(1000));
            gpu.device.destroy();
        }
        let mut closing = false;
        stage = loop {
            match from_main.recv().expect("the main thread outlives this one") {
                FromMain::Returned { stage, reply, .. } => {
                    println!("{name}: {reply:?}");
                    break *stage;
                }
                FromMain::CloseAsked => closing = true,
                other => println!("{name}: {other:?}"),
            }
        };
        if closing {
            break;
        }
        field(&mut stage);
        main.set_mode(Mode::Trials(MouseFrom::Window));
        let until = clock::now() + Span::from_ms(700);
        while clock::now() < until {
            while let Ok(message) = from_main.try_recv() {
                println!("field: {message:?}");
            }
            clock::wait(until);
        }
    }
    main.close();
}

/// The trial's mid-grey field, once.
fn field(stage: &mut tautline::display::Stage) {
    stage.configure(stage.window.size.read(), tautline::display::PresentMode::Mailbox);
    let wgpu::CurrentSurfaceTexture::Success(texture) = stage.surface.get_current_texture() else {
        return;
    };
    let view = texture.texture.create_view(&wgpu::TextureViewDescriptor::default());
    let mut encoder = stage.gpu.device.create_command_encoder(&Default::default());
    let grey = wgpu::Color { r: 0.5, g: 0.5, b: 0.5, a: 1.0 };
    encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
        color_attachments: &[Some(wgpu::RenderPassColorAttachment {
            view: &view,
            depth_slice: None,
            resolve_target: None,
            ops: wgpu::Operations { load: wgpu::LoadOp::Clear(grey), store: wgpu::StoreOp::Store },
        })],
        ..Default::default()
    });
    stage.gpu.queue.submit([encoder.finish()]);
    stage.gpu.queue.present(texture);
    std::thread::sleep(Duration::from_millis(20));
}

fn main() {
    let mut names: Vec<String> = Vec::new();
    let mut size = WindowSize::Fullscreen { display: None };
    let mut simulated = false;
    let mut arguments = std::env::args().skip(1);
    while let Some(argument) = arguments.next() {
        match argument.as_str() {
            "--window" => {
                let asked = arguments.next().expect("--window WxH");
                let (w, h) = asked.split_once('x').expect("--window WxH");
                size = WindowSize::Windowed {
                    width_px: w.parse().expect("a number"),
                    height_px: h.parse().expect("a number"),
                };
            }
            "--display" => {
                size = WindowSize::Fullscreen { display: arguments.next() };
            }
            "--simulated" => simulated = true,
            "all" => names.extend(NAMES.map(str::to_owned)),
            name => names.push(name.to_owned()),
        }
    }
    let options = WindowOptions { title: "screens".to_owned(), size };
    let go = move |opened| run(opened, names, simulated);
    if let Err(error) = window::open(options, Box::new(Sheets::default()), go) {
        eprintln!("{}", error.tell());
        std::process::exit(1);
    }
}
