//! The screen made to be filmed, for real: pictures counted, clicks answered, what the program saw of
//! them kept.

use super::LiveError;
use super::play::of_window;
use super::rig::{Booth, RigPlan};
use crate::clock;
use crate::display::{self, DisplayReport, Screen, ScreenWish, Seen, Stage};
use crate::input::{Hands, InputEvent, Opened};
use crate::rig::camera::{Answer, Filming};
use crate::scene::Canvas;
use crate::units::Span;
use crate::window::{FromMain, Mode, MouseFrom};
use std::sync::mpsc::TryRecvError;

/// The longest sleep.
const TICK: Span = Span::from_ms(20);

/// What was filmed.
#[derive(Debug)]
pub struct Filmed {
    /// What the program saw of each answered click.
    pub answers: Vec<Answer>,
    /// Clicks that were not answered, or whose answer could not be timed.
    pub passed_over: usize,
}

/// Shows the caution, then the screen to be filmed; `None` where the player did not start it.
///
/// # Errors
/// No usable mouse or screen, or the window went away.
pub fn film(
    booth: Booth<'_>,
    stage: Stage,
    plan: &RigPlan,
) -> Result<(Stage, Option<Filmed>), LiveError> {
    let Opened { mut hands, mut feed } =
        Hands::open(plan.input, plan.mouse.as_deref(), of_window(&stage), booth.bell.clone())?;
    let (stage, started) = booth.ask_to_film(stage)?;
    if !started {
        return Ok((stage, None));
    }
    let mouse = if feed.is_some() { MouseFrom::Window } else { MouseFrom::Elsewhere };
    booth.main.set_mode(Mode::Trials(mouse));
    let wish =
        ScreenWish { at_px: booth.at_px, rate_hz: booth.window.rate_hz, ..ScreenWish::default() };
    let mut screen = Screen::start(stage, booth.bell, &wish)?;
    let mut filming = Filming::new(canvas(screen.report(), booth.at_px), clock::now());
    screen.set_scene(filming.scene());
    hands.set_focused(true);
    loop {
        let now = clock::now();
        let mut ended = filming.over(now);
        loop {
            match booth.from_main.try_recv() {
                Ok(FromMain::Key { .. } | FromMain::CloseAsked) => ended = true,
                Ok(FromMain::Focus { focused, .. }) => hands.set_focused(focused),
                Ok(FromMain::MouseButton { button, pressed, .. }) => {
                    if let Some(feed) = &mut feed {
                        if pressed { feed.press(button) } else { feed.release(button) }
                    }
                }
                Ok(
                    FromMain::Returned { .. }
                    | FromMain::Cue { .. }
                    | FromMain::Resized { .. }
                    | FromMain::MouseMotion { .. },
                ) => {}
                Err(TryRecvError::Empty) => break,
                Err(TryRecvError::Disconnected) => return Err(LiveError::WindowGone),
            }
        }
        if let Some(feed) = &mut feed {
            feed.idle();
        }
        while let Some(event) = hands.next() {
            drop(hands.new_devices());
            if let InputEvent::Press { stamp, .. } = event
                && filming.press(stamp)
            {
                screen.set_scene(filming.scene());
            }
        }
        see(&mut screen, &mut filming);
        if ended {
            break;
        }
        clock::wait(screen.wake_at().min(clock::now() + TICK));
    }
    hands.set_focused(false);
    let stage = screen.finish().ok_or(LiveError::WindowGone)?;
    let answers = filming.answers().to_vec();
    Ok((stage, Some(Filmed { answers, passed_over: filming.passed_over() })))
}

/// Hears of frames seen, and gives each new frame a picture of its own.
fn see(screen: &mut Screen, filming: &mut Filming) {
    loop {
        let before = screen.frames();
        let seen = screen.poll(clock::now());
        if screen.frames() != before {
            filming.drawn();
            screen.set_scene(filming.scene());
        }
        match seen {
            Some(Seen::Shown { scene, stamp, .. }) => filming.shown(scene, stamp),
            Some(
                Seen::NotShown { .. }
                | Seen::Lost { .. }
                | Seen::Back { .. }
                | Seen::Fallback { .. },
            ) => {}
            None => return,
        }
    }
}

fn canvas(report: &DisplayReport, at_px: [i32; 2]) -> Canvas {
    let output = display::survey::at(&report.outputs, at_px[0], at_px[1]);
    Canvas {
        width_px: report.size.width,
        height_px: report.size.height,
        px_per_mm: output.and_then(|output| output.px_per_mm),
        rate_hz: 1e3 / report.refresh_asked_ms.max(0.1),
    }
}
