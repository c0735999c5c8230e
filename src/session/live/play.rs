//! The whole of a session for real, from the first caution to the last screen.
//!
//! Order: cautions (first start) → mouse → screen earns its clock → the record is opened, so that
//! an unwritable folder is known before the first trial → the runner → the last screen.

use super::desk::{LiveDesk, Parts};
use crate::clock::{self, Bell};
use crate::display::{self, Awake, DisplayError, DisplayReport, Screen, ScreenWish, Stage};
use crate::engine::{Begin, ENGINE_RULE, Ending, Engine, MOTION_RULE, Start};
use crate::input::{
    self, Hands, InputChoice, InputError, OfWindow, Rank, WaylandDisplay, WindowFeed,
};
use crate::protocol::{Protocol, Schedule, Tension};
use crate::record::{Keep, Priority, RecordError};
use crate::scene::Canvas;
use crate::session;
use crate::units::Span;
use crate::window::{
    Age, Ended, Facts, FromMain, MainHandle, Mode, MouseFrom, Opened, Reply, Screenful, Show,
};
use crate::words::{self, Tell, Told};
use serde_json::{Value, json};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvError};

/// What a session for real needs to know.
pub struct Plan {
    /// What was planned.
    pub protocol: Arc<Protocol>,
    /// Its blocks.
    pub schedule: Arc<Schedule>,
    /// Where it is taken up.
    pub start: Start,
    /// The player's nickname.
    pub player: String,
    /// How far the view turns for one count, px.
    pub px_per_count: f64,
    /// Display lag that no program can see, ms: a note.
    pub display_lag_ms: Option<f64>,
    /// Which input source.
    pub input: InputChoice,
    /// Which mouse.
    pub mouse: Option<String>,
    /// Whether the cautions of the first start are due.
    pub first_start: bool,
    /// Whether the player is known to be under 18.
    pub minor: bool,
    /// Whether this is a long session with firm holds, which is not for those under 18.
    pub hour_of_firm: bool,
    /// How long the session will take, minutes.
    pub minutes: f64,
    /// Opens the record, once the apparatus is known.
    pub open_record: OpenRecord,
    /// Works out what the last screen says, once the record is closed.
    pub sum_up: SumUp,
}

/// Opens the record, once the apparatus is known.
pub type OpenRecord = Box<dyn FnOnce(Apparatus) -> Result<Box<dyn Keep>, RecordError> + Send>;
/// Works out what the last screen says.
pub type SumUp = Box<dyn FnOnce(Ending) -> Ended + Send>;

/// What the session was measured with.
#[derive(Debug, Clone)]
pub struct Apparatus {
    /// The display: clock, vsync, sizes.
    pub display: Value,
    /// The mouse: source, why not a better one, devices.
    pub input: Value,
    /// The priorities that the threads asked for, and whether they were granted.
    pub priorities: Vec<Priority>,
    /// The first event.
    pub begin: Begin,
}

/// How it went.
#[derive(Debug, Clone, PartialEq)]
pub enum Played {
    /// The player did not agree, or was asked to see a clinician first: nothing was run.
    NotStarted,
    /// It ran.
    Ended {
        /// What the last screen said.
        ended: Ended,
        /// The age band told at the first start, if this was one.
        age: Option<Age>,
    },
}

/// Why a session could not be run, or broke off.
#[derive(Debug, thiserror::Error)]
pub enum LiveError {
    /// No mouse can be heard.
    #[error(transparent)]
    Input(#[from] InputError),
    /// The screen cannot be used.
    #[error(transparent)]
    Display(#[from] DisplayError),
    /// The record cannot be written.
    #[error(transparent)]
    Record(#[from] RecordError),
    /// The window went away.
    #[error("the window went away")]
    WindowGone,
}

impl Tell for LiveError {
    fn tell(&self) -> Told {
        match self {
            LiveError::Input(error) => error.tell(),
            LiveError::Display(error) => error.tell(),
            LiveError::Record(error) => error.tell(),
            LiveError::WindowGone => Told {
                what: self.to_string(),
                place: Some("the window".to_owned()),
                mend: "what was done until then is kept; start again to go on".to_owned(),
            },
        }
    }
}

/// Runs a session on the stimulus thread.
///
/// # Errors
/// No usable mouse, screen or folder; what was written until then is kept.
pub fn play(opened: Opened, plan: Plan) -> Result<Played, LiveError> {
    let Opened { mut stage, from_main, main, bell, window, facts: window_facts } = opened;
    // Given back when this value goes: after the last screen, or however else it ends.
    let awake = Awake::hold(&stage.window);
    let at_px = window.inner_position().map_or([0, 0], |at| [at.x, at.y]);
    let mut facts = Facts {
        protocol: Arc::clone(&plan.protocol),
        schedule: Arc::clone(&plan.schedule),
        player: plan.player.clone(),
        minutes_left: Some(plan.minutes),
        sources: String::new(),
        simulated: false,
    };
    let mut lobby = Lobby { main: &main, from_main: &from_main };
    let mut age = None;
    if plan.first_start {
        let (back, reply) = lobby.ask(stage, Show::FirstStart, &facts)?;
        stage = back;
        let Reply::FirstStart(first) = reply else { return Ok(Played::NotStarted) };
        if !first.agreed {
            return Ok(Played::NotStarted);
        }
        if first.light_only && plan.protocol.conditions.iter().any(|c| c.tension != Tension::Light)
        {
            lobby.ask(stage, Show::Notice(words::light_holds_only()), &facts)?;
            return Ok(Played::NotStarted);
        }
        age = Some(first.age);
    }
    let minor = age.map_or(plan.minor, |age| age == Age::Young);
    if minor && plan.hour_of_firm {
        lobby.ask(stage, Show::Notice(words::not_under_18()), &facts)?;
        return Ok(Played::NotStarted);
    }
    let wayland = stage.window.wayland.map(|handles| WaylandDisplay(handles.display));
    let (hands, feed) = match hear(&plan, OfWindow { wayland }, &bell) {
        Ok(heard) => heard,
        Err(error) => {
            lobby.ask(stage, Show::Notice(error.tell()), &facts)?;
            return Err(error.into());
        }
    };
    main.set_mode(Mode::Trials(MouseFrom::Elsewhere));
    let wish = ScreenWish { at_px, rate_hz: window_facts.rate_hz, ..ScreenWish::default() };
    let screen = Screen::start(stage, &bell, &wish)?;
    let report = screen.report();
    // After the device was made, so that the driver's threads do not go before us.
    let stimulus = stimulus_priority(report.software);
    facts.sources = words::sources(&input_words(&hands), &display_words(report));
    let begin = Begin {
        t: clock::now(),
        canvas: canvas(report, at_px),
        px_per_count: plan.px_per_count,
        // Nothing is added for the row until a clock tells the real scan-out.
        scanout_ms: None,
        display_lag_ms: plan.display_lag_ms,
        engine_rule: ENGINE_RULE,
        motion_rule: MOTION_RULE,
    };
    let apparatus = Apparatus {
        display: display_value(report, &awake),
        input: input_value(&hands),
        priorities: vec![input_priority(&hands), stimulus],
        begin: begin.clone(),
    };
    let mut keep = match (plan.open_record)(apparatus) {
        Ok(keep) => keep,
        Err(error) => {
            if let Some(stage) = screen.finish() {
                lobby.ask(stage, Show::Notice(error.tell()), &facts)?;
            }
            return Err(error.into());
        }
    };
    let mut engine = Engine::new(plan.protocol, plan.schedule, plan.start);
    let parts =
        Parts { screen, main: main.clone(), from_main, hands, feed, facts: facts.clone(), begin };
    let mut desk = LiveDesk::new(parts);
    let ran = session::run(&mut engine, &mut desk, keep.as_mut());
    let last = desk.into_stage();
    let (show, result) = match ran {
        Ok(ending) => {
            let ended = (plan.sum_up)(ending);
            (Show::Ended(ended.clone()), Ok(Played::Ended { ended, age }))
        }
        // What was written until then is kept, and the player is told.
        Err(error) => (Show::Notice(error.tell()), Err(error.into())),
    };
    if let Some((stage, from_main)) = last {
        let mut lobby = Lobby { main: &main, from_main: &from_main };
        // The window may be closed instead of answered: the session is over all the same.
        let _closed = lobby.ask(stage, show, &facts);
    }
    main.close();
    result
}

/// Screens outside the engine's course: before the first block and after the last.
struct Lobby<'a> {
    main: &'a MainHandle,
    from_main: &'a Receiver<FromMain>,
}

impl Lobby<'_> {
    /// Shows a screen and waits for its reply.
    fn ask(
        &mut self,
        stage: Stage,
        show: Show,
        facts: &Facts,
    ) -> Result<(Stage, Reply), LiveError> {
        self.main.lend(stage, Screenful { show, facts: facts.clone() });
        loop {
            match self.from_main.recv() {
                Ok(FromMain::Returned { stage, reply, .. }) => return Ok((*stage, reply)),
                // Nothing is timed yet, and a lent screen tells of a close by its reply.
                Ok(
                    FromMain::Key { .. }
                    | FromMain::Focus { .. }
                    | FromMain::Resized { .. }
                    | FromMain::CloseAsked
                    | FromMain::MouseButton { .. }
                    | FromMain::MouseMotion { .. },
                ) => {}
                Err(RecvError) => return Err(LiveError::WindowGone),
            }
        }
    }
}

fn hear(
    plan: &Plan,
    window: OfWindow,
    bell: &Bell,
) -> Result<(Hands, Option<WindowFeed>), InputError> {
    let input::Opened { hands, feed } =
        Hands::open(plan.input, plan.mouse.as_deref(), window, bell.clone())?;
    Ok((hands, feed))
}

/// What the display reports of itself, and who holds the screen saver off, for the record.
fn display_value(report: &DisplayReport, awake: &Awake) -> Value {
    let mut value = json!(report);
    value["screen_saver_off"] = json!(awake.report());
    value
}

/// The input source, and why not a better one, for the record.
fn input_value(hands: &Hands) -> Value {
    let refused: Vec<Value> = hands
        .refused()
        .iter()
        .map(|r| json!({ "source": r.source.name(), "why": r.why, "mend": r.mend }))
        .collect();
    let devices: Vec<Value> = hands
        .devices()
        .iter()
        .map(|d| {
            json!({
                "number": d.id.0,
                "name": d.name,
                "model": d.ident,
                "unit": d.unit.name(),
                "report_interval_ms": d.report_interval.map(Span::ms),
            })
        })
        .collect();
    json!({
        "source": hands.chosen().name(),
        "refused": refused,
        "devices": devices,
        "priority": hands.priority().map(|p| format!("{p:?}")),
    })
}

/// What the input thread asked of the scheduler.
fn input_priority(hands: &Hands) -> Priority {
    let granted = hands.priority().unwrap_or(input::Priority::NotAttempted);
    priority("input", Rank::Input, granted)
}

/// Raises this thread, the stimulus thread; never where the processor draws the pictures, since
/// whoever draws would starve.
fn stimulus_priority(software: bool) -> Priority {
    if software {
        let note = Some("pictures are drawn by the processor".to_owned());
        return Priority {
            note,
            ..priority("stimulus", Rank::Stimulus, input::Priority::NotAttempted)
        };
    }
    priority("stimulus", Rank::Stimulus, input::raise(Rank::Stimulus))
}

/// For the record.
fn priority(thread: &str, rank: Rank, granted: input::Priority) -> Priority {
    let thread = thread.to_owned();
    let asked = format!("real time, {}", rank.fifo());
    match granted {
        input::Priority::Fifo(_) => Priority { thread, asked, granted: Some(true), note: None },
        refused @ (input::Priority::Nice { .. } | input::Priority::Refused { .. }) => {
            let note = Some(refused.to_string());
            Priority { thread, asked, granted: Some(false), note }
        }
        input::Priority::NotAttempted => {
            Priority { thread, asked: "none".to_owned(), granted: None, note: None }
        }
    }
}

/// The surface that stimuli are laid out on.
fn canvas(report: &DisplayReport, at_px: [i32; 2]) -> Canvas {
    let output = display::survey::at(&report.outputs, at_px[0], at_px[1]);
    let refresh_ms = report.vsync.refresh_ms.unwrap_or(report.refresh_asked_ms);
    Canvas {
        width_px: report.size.width,
        height_px: report.size.height,
        px_per_mm: output.and_then(|output| output.px_per_mm),
        rate_hz: 1e3 / refresh_ms.max(0.1),
    }
}

/// The presentation clock in a sentence, and whether vsync holds.
fn display_words(report: &DisplayReport) -> String {
    let judged = json!(report.vsync.state);
    let judged = judged.as_str().unwrap_or("not_judged");
    words::display_source(report.clock.chosen.name(), report.clock.sd_ms, judged)
}

/// The input source in a sentence, with how to get the better one.
fn input_words(hands: &Hands) -> String {
    let better = hands.refused().first().map(|r| (r.source.name(), r.why.as_str()));
    words::input_source(hands.chosen().name(), better)
}
