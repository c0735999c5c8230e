//! The guided rig check in a window: questions, live steps, the display, and the file that is kept.
//!
//! Runs on the stimulus thread. [`check`] takes the surface and gives it back, so that it serves a
//! window of its own (the command line) as well as one that goes on afterwards. Presses are heard by
//! their own source while an untimed screen is up; nothing that a screen draws is timed.

use super::LiveError;
use super::apparatus::{input_priority, input_value};
use super::play::of_window;
use crate::clock::{self, Bell};
use crate::display::{DisplayReport, Screen, ScreenWish, Seen, Stage};
use crate::input::{self, Hands, InputChoice};
use crate::record::Machine;
use crate::rig::asked::{self, Answered};
use crate::rig::bounce::{self, Clicks};
use crate::rig::frames::{self, Frames};
use crate::rig::known::Before;
use crate::rig::live::{Listener, Progress, Step};
use crate::rig::report_rate::{self, ReportRate, TooFew};
use crate::rig::slide::{self, CountsPerCm, NoSlide};
use crate::rig::wake_ups::{self, Raised, WakeUps};
use crate::rig::{self, Finding, Profile, Saved, changes, computer, display_facts, mice, source};
use crate::scene::{Notice, Scene, SceneId};
use crate::units::{Nanos, Span, StampSource};
use crate::window::{
    Facts, FromMain, MainHandle, Mode, MouseFrom, Opened, Reply, RigReply, RigScreen, Screenful,
    Show, WindowFacts,
};
use serde_json::json;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, RecvTimeoutError};
use std::time::Duration;

/// How often what was heard is taken in while a screen is up.
const HEAR_EACH: Duration = Duration::from_millis(20);
/// How often a live screen is told of it.
const TELL_EACH: Span = Span::from_ms(250);
/// How long frames are watched after the clock has earned its trust.
const WATCH: Span = Span::from_s(3);
/// A window that shows nothing for so long is not watched further.
const WATCH_AT_MOST: Span = Span::from_s(10);

/// What a check needs to know.
#[derive(Debug, Clone)]
pub struct RigPlan {
    /// Where the profile is kept.
    pub data: PathBuf,
    /// Which input source.
    pub input: InputChoice,
    /// Which mouse.
    pub mouse: Option<String>,
    /// Whether the mouse is checked too.
    pub with_mouse: bool,
    /// The computer.
    pub machine: Machine,
    /// The program's own version.
    pub program_version: String,
    /// The profile before, to be compared with.
    pub before: Option<Before>,
}

/// The window, as a check uses it.
#[derive(Debug, Clone, Copy)]
pub struct Booth<'a> {
    /// The main thread.
    pub main: &'a MainHandle,
    /// What it tells.
    pub from_main: &'a Receiver<FromMain>,
    /// The bell of this thread.
    pub bell: &'a Bell,
    /// What the window library knows of the window.
    pub window: &'a WindowFacts,
    /// A point of the window on the desktop, px.
    pub at_px: [i32; 2],
    /// What the screens may say.
    pub facts: &'a Facts,
}

/// Runs `go` with what it needs of the window, and gives the window back with what came of it.
///
/// # Errors
/// Those of `go`; the window is closed then.
pub fn in_booth<R>(
    opened: Opened,
    facts: &Facts,
    go: impl FnOnce(Booth<'_>, Stage) -> Result<(Stage, R), LiveError>,
) -> Result<(Opened, R), LiveError> {
    let Opened { stage, from_main, main, bell, window, facts: of_window } = opened;
    let at_px = window.inner_position().map_or([0, 0], |at| [at.x, at.y]);
    let booth =
        Booth { main: &main, from_main: &from_main, bell: &bell, window: &of_window, at_px, facts };
    match go(booth, stage) {
        Ok((stage, came)) => {
            Ok((Opened { stage, from_main, main, bell, window, facts: of_window }, came))
        }
        Err(error) => {
            main.close();
            Err(error)
        }
    }
}

/// How a check went.
#[derive(Debug)]
pub enum Checked {
    /// It was ended before its end: nothing was kept.
    Ended,
    /// It was kept.
    Saved(Box<Saved>),
    /// It could not be done or kept, though the window is whole.
    Failed(Box<LiveError>),
}

/// A screen's reply, or the wish to end the check.
enum Said {
    Rig(RigReply),
    End,
}

/// Runs the whole check and gives the surface back; its last screen shows what was found.
///
/// # Errors
/// No usable screen, or the window went away.
pub fn check(
    booth: Booth<'_>,
    stage: Stage,
    plan: &RigPlan,
) -> Result<(Stage, Checked), LiveError> {
    let mut hands = if plan.with_mouse {
        let (window, bell) = (of_window(&stage), booth.bell.clone());
        match Hands::open(plan.input, plan.mouse.as_deref(), window, bell) {
            Ok(opened) => Some(opened.hands),
            Err(error) => return Ok((stage, Checked::Failed(Box::new(error.into())))),
        }
    } else {
        None
    };
    let (mut stage, said) = booth.ask(stage, RigScreen::Start, || {})?;
    if matches!(said, Said::End) {
        return Ok((stage, Checked::Ended));
    }
    let said;
    (stage, said) = booth.ask(stage, RigScreen::Ask, || {})?;
    let answers = match said {
        Said::End => return Ok((stage, Checked::Ended)),
        Said::Rig(RigReply::Asked(answers)) => answers,
        Said::Rig(RigReply::Done | RigReply::Skipped) => Vec::new(),
    };
    let mut heard = Heard::default();
    if let Some(hands) = &mut hands
        && hands.chosen() != StampSource::Window
    {
        for step in Step::ALL {
            let ended;
            (stage, ended) = live_step(booth, stage, hands, step, &mut heard)?;
            if ended {
                return Ok((stage, Checked::Ended));
            }
        }
    }
    let display = measure(booth, stage)?;
    let profile = profile(plan, answers, heard, hands.as_ref(), &display);
    let saved = match rig::save(&plan.data, profile) {
        Ok(saved) => saved,
        Err(error) => return Ok((display.stage, Checked::Failed(Box::new(error.into())))),
    };
    // The window may be closed instead of answered: the file is there all the same.
    let (stage, _) = booth.ask(display.stage, RigScreen::Found(Box::new(saved.clone())), || {})?;
    Ok((stage, Checked::Saved(Box::new(saved))))
}

impl Booth<'_> {
    /// Shows a screen of the check; `meanwhile` runs again and again until it is answered.
    fn ask(
        &self,
        stage: Stage,
        screen: RigScreen,
        mut meanwhile: impl FnMut(),
    ) -> Result<(Stage, Said), LiveError> {
        let (show, facts) = (Show::Rig(screen), self.facts.clone());
        self.main.lend(stage, Screenful { show, facts });
        loop {
            // Nothing of the window itself is timed here.
            let back = match self.from_main.recv_timeout(HEAR_EACH) {
                Ok(told) => told.returned(),
                Err(RecvTimeoutError::Timeout) => None,
                Err(RecvTimeoutError::Disconnected) => return Err(LiveError::WindowGone),
            };
            if let Some((stage, reply)) = back {
                let said = match reply {
                    Reply::Rig(reply) => Said::Rig(reply),
                    // The window was asked to close, or F10.
                    Reply::Key(_) => Said::End,
                    Reply::Answer(_) | Reply::FirstStart(_) | Reply::Home => {
                        Said::Rig(RigReply::Done)
                    }
                };
                return Ok((stage, said));
            }
            meanwhile();
        }
    }
}

impl Booth<'_> {
    /// Shows the caution before filming; whether the player wants it started.
    pub(super) fn ask_to_film(&self, stage: Stage) -> Result<(Stage, bool), LiveError> {
        let (stage, said) = self.ask(stage, RigScreen::Film, || {})?;
        Ok((stage, matches!(said, Said::Rig(RigReply::Done))))
    }
}

/// What the live steps gave.
#[derive(Default)]
struct Heard {
    listener: Listener,
    report_rate: Option<Result<ReportRate, TooFew>>,
    counts_per_cm: Option<Result<CountsPerCm, NoSlide>>,
    clicks: Option<Clicks>,
}

/// Shows one live step and listens meanwhile; whether the check is to end.
fn live_step(
    booth: Booth<'_>,
    stage: Stage,
    hands: &mut Hands,
    step: Step,
    heard: &mut Heard,
) -> Result<(Stage, bool), LiveError> {
    let progress = Progress::default();
    let listener = &mut heard.listener;
    listener.begin();
    hands.set_focused(true);
    let mut told: Option<Nanos> = None;
    let screen = RigScreen::Live { step, progress: progress.clone() };
    let (stage, said) = booth.ask(stage, screen, || {
        take_in(hands, listener);
        let now = clock::now();
        if told.is_none_or(|last| now - last >= TELL_EACH) {
            told = Some(now);
            progress.say(listener.so_far(step, progress.length_cm()));
        }
    })?;
    take_in(hands, listener);
    hands.set_focused(false);
    // A step that was passed over half way gives what it gives.
    match step {
        Step::Eight => heard.report_rate = Some(listener.report_rate()),
        Step::Slide => heard.counts_per_cm = Some(listener.counts_per_cm(progress.length_cm())),
        Step::Click => heard.clicks = listener.clicks(),
    }
    Ok((stage, matches!(said, Said::End)))
}

fn take_in(hands: &mut Hands, listener: &mut Listener) {
    while let Some(event) = hands.next() {
        for info in hands.new_devices() {
            listener.device(info);
        }
        listener.hear(event);
    }
}

/// What was measured without the player.
struct Display {
    stage: Stage,
    report: DisplayReport,
    frames: Option<Frames>,
    wake_ups: Option<WakeUps>,
}

/// Lets the clocks earn their trust, then watches frames.
fn measure(booth: Booth<'_>, stage: Stage) -> Result<Display, LiveError> {
    booth.main.set_mode(Mode::Trials(MouseFrom::Elsewhere));
    let wake_ups = wake_ups::judge(&late_wake_ups());
    let wish =
        ScreenWish { at_px: booth.at_px, rate_hz: booth.window.rate_hz, ..ScreenWish::default() };
    let mut screen = Screen::start(stage, booth.bell, &wish)?;
    let refresh_ms = screen.report().vsync.refresh_ms.unwrap_or(screen.report().refresh_asked_ms);
    screen.set_scene(Scene { notice: Some(Notice::Measuring), ..Scene::empty(SceneId(1)) });
    let stamps = watch(&mut screen);
    let frames = frames::judge(&stamps, Span::from_ms_f64(refresh_ms));
    let report = screen.report().clone();
    let stage = screen.finish().ok_or(LiveError::WindowGone)?;
    Ok(Display { stage, report, frames, wake_ups })
}

/// How late a thread wakes that asked for the priority of one that listens; nothing where the system
/// refuses a thread.
fn late_wake_ups() -> Vec<Span> {
    let builder = std::thread::Builder::new().name("wake-ups".to_owned());
    let measured = builder.spawn(|| {
        // Refused or granted, it is as the listening thread has it.
        let _raised = input::raise(input::Rank::Input);
        wake_ups::measure()
    });
    measured.ok().and_then(|thread| thread.join().ok()).unwrap_or_default()
}

/// Stamps of the frames of the empty field.
fn watch(screen: &mut Screen) -> Vec<Nanos> {
    let start = clock::now();
    let mut stamps = Vec::new();
    let mut first: Option<Nanos> = None;
    loop {
        let now = clock::now();
        while let Some(seen) = screen.poll(now) {
            match seen {
                Seen::Shown { stamp, .. } => {
                    first = first.or(Some(now));
                    stamps.push(stamp.t);
                }
                // Distances over a hole say nothing.
                Seen::Lost { .. } | Seen::Back { .. } | Seen::Fallback { .. } => stamps.clear(),
                Seen::NotShown { .. } => {}
            }
        }
        let watched = first.is_some_and(|first| now - first >= WATCH);
        if watched || now - start >= WATCH_AT_MOST {
            return stamps;
        }
        clock::wait(screen.wake_at().min(now + Span::from_ms(20)));
    }
}

fn profile(
    plan: &RigPlan,
    answers: Vec<Answered>,
    heard: Heard,
    hands: Option<&Hands>,
    display: &Display,
) -> Profile {
    let Heard { listener, report_rate, counts_per_cm, clicks } = heard;
    let computer = computer::read(Path::new("/"), plan.machine.cores);
    let display_value = json!(display.report);
    let mice_there = hands.map_or_else(Vec::new, |hands| listener.mice(&hands.devices()));
    let raised = hands.map_or(Raised::NotAttempted, raised);
    let own_stamps = hands.is_some_and(|hands| source::stamps_itself(hands.chosen().name()));
    let mut findings = display_facts::findings(&display_facts::DisplayFacts::of(&display_value));
    findings.push(frames::finding(display.frames.as_ref()));
    if let Some(hands) = hands {
        findings.extend(mouse_findings(hands, &listener, &report_rate));
        findings.push(mice::finding(&mice_there, hands.chosen().name()));
        if let Some(found) = &counts_per_cm {
            findings.push(slide::finding(found));
        }
        // The window's own events are not heard during the steps: there was nothing to click for.
        if hands.chosen() != StampSource::Window {
            findings.push(bounce::finding(clicks));
        }
        findings.push(wake_ups::priority_finding(&raised, own_stamps));
    }
    findings.push(wake_ups::finding(display.wake_ups, own_stamps));
    findings.extend(computer::findings(&computer));
    findings.extend(asked::findings(&answers));
    let mut profile = Profile {
        format: rig::FORMAT,
        program_version: plan.program_version.clone(),
        utc: clock::utc(),
        machine: plan.machine.clone(),
        computer,
        display: display_value,
        frames: display.frames,
        input: hands.map_or(serde_json::Value::Null, input_value),
        mice: mice_there,
        report_rate: report_rate.and_then(Result::ok),
        counts_per_cm: counts_per_cm.and_then(Result::ok),
        clicks,
        wake_ups: display.wake_ups,
        priority: raised,
        asked: answers,
        findings,
        changes: Vec::new(),
        camera: Vec::new(),
    };
    if let Some(before) = &plan.before {
        profile.changes = changes::between(&before.signs, &profile.signs());
    }
    profile
}

fn mouse_findings(
    hands: &Hands,
    listener: &Listener,
    report_rate: &Option<Result<ReportRate, TooFew>>,
) -> Vec<Finding> {
    let better = hands.refused().first().map(|r| (r.source.name(), r.why.as_str()));
    let sd_ms = listener.stamp_sd_ms().unwrap_or_else(|| stated_sd_ms(hands.chosen()));
    let mut findings = vec![source::finding(hands.chosen().name(), sd_ms, better)];
    findings.push(match report_rate {
        Some(rate) => report_rate::finding(rate, sd_ms),
        None => report_rate::not_heard(),
    });
    findings
}

/// What a source states where it was not heard.
fn stated_sd_ms(source: StampSource) -> f64 {
    match source {
        StampSource::Evdev => 0.05,
        StampSource::Window => input::WINDOW_SD.ms(),
        _ => 0.3,
    }
}

fn raised(hands: &Hands) -> Raised {
    match input_priority(hands) {
        crate::record::Priority { granted: Some(true), .. } => Raised::Granted,
        crate::record::Priority { granted: Some(false), note, .. } => {
            Raised::Refused { why: note.unwrap_or_default() }
        }
        crate::record::Priority { granted: None, .. } => Raised::NotAttempted,
    }
}
