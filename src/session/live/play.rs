//! The whole of a session for real, from the first caution to the last screen.
//!
//! Order: cautions (first start) → mouse → screen earns its clock → the record is opened, so that
//! an unwritable folder is known before the first trial → the runner → the last screen.

use super::desk::{LiveDesk, Parts};
use crate::clock::{self, Bell};
use crate::display::{self, DisplayError, DisplayReport, Screen, ScreenWish, Stage};
use crate::engine::{Begin, ENGINE_RULE, Ending, Engine, MOTION_RULE, Start};
use crate::input::{self, Hands, InputChoice, InputError, WindowFeed};
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
    /// Whether the last screen is shown here.
    pub last_screen: LastScreen,
    /// Opens the record, once the apparatus is known.
    pub open_record: OpenRecord,
    /// Works out what the last screen says, once the record is closed.
    pub sum_up: SumUp,
}

/// Whether a session shows its own last screen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum LastScreen {
    /// It thanks, and says what was found.
    #[default]
    Shown,
    /// Something else follows in the same window.
    LeftOut,
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
    /// The priority that the input thread asked for, and whether it was granted.
    pub input_priority: Priority,
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

/// Runs a session on the stimulus thread, and closes the window.
///
/// # Errors
/// No usable mouse, screen or folder; what was written until then is kept.
pub fn play(opened: Opened, plan: Plan) -> Result<Played, LiveError> {
    let main = opened.main.clone();
    let (_, played) = sit(opened, plan);
    main.close();
    played
}

/// Runs a session on the stimulus thread. The window comes back with what came of it, unless the
/// surface is lost.
pub fn sit(opened: Opened, plan: Plan) -> (Option<Opened>, Result<Played, LiveError>) {
    let Opened { stage, from_main, main, bell, window, facts } = opened;
    let at_px = window.inner_position().map_or([0, 0], |at| [at.x, at.y]);
    let wish = ScreenWish { at_px, rate_hz: facts.rate_hz, ..ScreenWish::default() };
    let mut lobby = Lobby { stage: Some(stage), from_main: Some(from_main), main, bell };
    let played = course(&mut lobby, &wish, plan);
    let Lobby { stage, from_main, main, bell } = lobby;
    let back = stage.zip(from_main).map(|(stage, from_main)| Opened {
        stage,
        from_main,
        main,
        bell,
        window,
        facts,
    });
    (back, played)
}

fn course(lobby: &mut Lobby, wish: &ScreenWish, plan: Plan) -> Result<Played, LiveError> {
    let mut facts = Facts {
        protocol: Arc::clone(&plan.protocol),
        schedule: Arc::clone(&plan.schedule),
        player: plan.player.clone(),
        minutes_left: Some(plan.minutes),
        sources: String::new(),
        simulated: false,
    };
    let mut age = None;
    if plan.first_start {
        let Reply::FirstStart(first) = lobby.ask(Show::FirstStart, &facts)? else {
            return Ok(Played::NotStarted);
        };
        if !first.agreed {
            return Ok(Played::NotStarted);
        }
        if first.light_only && plan.protocol.conditions.iter().any(|c| c.tension != Tension::Light)
        {
            lobby.ask(Show::Notice(words::light_holds_only()), &facts)?;
            return Ok(Played::NotStarted);
        }
        age = Some(first.age);
    }
    let minor = age.map_or(plan.minor, |age| age == Age::Young);
    if minor && plan.hour_of_firm {
        lobby.ask(Show::Notice(words::not_under_18()), &facts)?;
        return Ok(Played::NotStarted);
    }
    let (hands, feed) = match hear(&plan, &lobby.bell) {
        Ok(heard) => heard,
        Err(error) => {
            lobby.ask(Show::Notice(error.tell()), &facts)?;
            return Err(error.into());
        }
    };
    lobby.main.set_mode(Mode::Trials(MouseFrom::Elsewhere));
    let stage = lobby.stage.take().ok_or(LiveError::WindowGone)?;
    let screen = Screen::start(stage, &lobby.bell, wish)?;
    let report = screen.report();
    facts.sources = words::sources(&input_words(&hands), &display_words(report));
    let begin = Begin {
        t: clock::now(),
        canvas: canvas(report, wish.at_px),
        px_per_count: plan.px_per_count,
        // Nothing is added for the row until a clock tells the real scan-out.
        scanout_ms: None,
        display_lag_ms: plan.display_lag_ms,
        engine_rule: ENGINE_RULE,
        motion_rule: MOTION_RULE,
    };
    let apparatus = Apparatus {
        display: json!(report),
        input: input_value(&hands),
        input_priority: priority(&hands),
        begin: begin.clone(),
    };
    let mut keep = match (plan.open_record)(apparatus) {
        Ok(keep) => keep,
        Err(error) => {
            lobby.stage = screen.finish();
            if lobby.stage.is_some() {
                lobby.ask(Show::Notice(error.tell()), &facts)?;
            }
            return Err(error.into());
        }
    };
    let mut engine = Engine::new(plan.protocol, plan.schedule, plan.start);
    let from_main = lobby.from_main.take().ok_or(LiveError::WindowGone)?;
    let main = lobby.main.clone();
    let parts = Parts { screen, main, from_main, hands, feed, facts: facts.clone(), begin };
    let mut desk = LiveDesk::new(parts);
    let ran = session::run(&mut engine, &mut desk, keep.as_mut());
    if let Some((stage, from_main)) = desk.into_stage() {
        (lobby.stage, lobby.from_main) = (Some(stage), Some(from_main));
    }
    let (show, result) = match ran {
        Ok(ending) => {
            let ended = (plan.sum_up)(ending);
            let show = match plan.last_screen {
                LastScreen::Shown => Some(Show::Ended(ended.clone())),
                LastScreen::LeftOut => None,
            };
            (show, Ok(Played::Ended { ended, age }))
        }
        // What was written until then is kept, and the player is told.
        Err(error) => (Some(Show::Notice(error.tell())), Err(error.into())),
    };
    if let (Some(show), true) = (show, lobby.stage.is_some()) {
        // The window may be closed instead of answered: the session is over all the same.
        let _closed = lobby.ask(show, &facts);
    }
    result
}

/// The window outside the engine's course: before the first block and after the last.
struct Lobby {
    /// The surface, while nobody else has it.
    stage: Option<Stage>,
    from_main: Option<Receiver<FromMain>>,
    main: MainHandle,
    bell: Bell,
}

impl Lobby {
    /// Shows a screen and waits for its reply.
    fn ask(&mut self, show: Show, facts: &Facts) -> Result<Reply, LiveError> {
        let (Some(stage), Some(from_main)) = (self.stage.take(), &self.from_main) else {
            return Err(LiveError::WindowGone);
        };
        self.main.lend(stage, Screenful { show, facts: facts.clone() });
        let (stage, reply) = returned(from_main)?;
        self.stage = Some(stage);
        Ok(reply)
    }
}

/// Waits until a lent surface comes back.
///
/// # Errors
/// The window went away.
pub fn returned(from_main: &Receiver<FromMain>) -> Result<(Stage, Reply), LiveError> {
    loop {
        match from_main.recv() {
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

fn hear(plan: &Plan, bell: &Bell) -> Result<(Hands, Option<WindowFeed>), InputError> {
    let input::Opened { hands, feed } =
        Hands::open(plan.input, plan.mouse.as_deref(), bell.clone())?;
    Ok((hands, feed))
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
fn priority(hands: &Hands) -> Priority {
    let thread = "input".to_owned();
    let asked = "real time, 30".to_owned();
    match hands.priority() {
        Some(input::Priority::Fifo(_)) => {
            Priority { thread, asked, granted: Some(true), note: None }
        }
        Some(input::Priority::Refused { why }) => {
            Priority { thread, asked, granted: Some(false), note: Some(why) }
        }
        Some(input::Priority::NotAttempted) | None => {
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
