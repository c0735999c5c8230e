//! The whole of a session for real, from the first caution to the last screen.
//!
//! Order: cautions (first start) → mouse → screen earns its clock → the record is opened, so that
//! an unwritable folder is known before the first trial → the runner → the last screen.

use super::desk::{LiveDesk, Parts};
use super::roles::Wishes;
use crate::clock::{self, Bell};
use crate::display::{self, Awake, DisplayError, DisplayReport, Screen, ScreenWish, Stage};
use crate::engine::{Begin, ENGINE_RULE, Ending, Engine, MOTION_RULE, Start};
use crate::input::force::{AxisName, Calibration, ForceAxis, ForceError};
use crate::input::{
    self, GamepadError, Gamepads, Hands, InputChoice, InputError, OfWindow, Raised, Rank,
    WaylandDisplay, WindowFeed,
};
use crate::protocol::{Protocol, Schedule, Tension};
use crate::record::{Keep, LatencyNote, Priority, RecordError, RigNote};
use crate::rig::RigError;
use crate::rig::known::{self, Known};
use crate::scene::Canvas;
use crate::session::{self, Judge};
use crate::settings::Gain;
use crate::units::{Span, StampSource};
use crate::window::{
    Age, Ended, Facts, ForceNow, FromMain, MainHandle, Mode, MouseFrom, Opened, Reply, Screenful,
    Show,
};
use crate::words::{self, Tell, Told};
use serde_json::{Value, json};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvError};

/// From here on the card calls timing coarse: a quarter of a 60 Hz frame, which a difference of 5 ms
/// between holds begins to drown in. Common practice, no source.
const COARSE_MS: f64 = 4.0;

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
    /// How far the view turns for one count.
    pub gain: Gain,
    /// The player's force axis and scale, once calibrated.
    pub force: Option<(AxisName, Calibration)>,
    /// Display lag that no program can see, ms: a note.
    pub display_lag_ms: Option<f64>,
    /// Which input source.
    pub input: InputChoice,
    /// The rig as it was before, to be compared with.
    pub known_rig: Known,
    /// Whose press is an answer and whose ends a partner's wait.
    pub wishes: Wishes,
    /// Whether the cautions of the first start are due.
    pub first_start: bool,
    /// Whether the player is known to be under 18.
    pub minor: bool,
    /// Whether this is a long session with firm holds, which is not for those under 18.
    pub hour_of_firm: bool,
    /// How long the session will take, minutes.
    pub minutes: f64,
    /// Takes the planned looks.
    pub judge: Box<dyn Judge + Send>,
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
    /// The priorities that the threads asked for, and whether they were granted.
    pub priorities: Vec<Priority>,
    /// The rig as it was before, and what is another now.
    pub rig: RigNote,
    /// The lag by camera, where it fits the clock and the source in use.
    pub camera_lag: Option<LatencyNote>,
    /// The first event.
    pub begin: Begin,
    /// The age band told at the first start, if this was one.
    pub age: Option<Age>,
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
    /// No gamepad can be heard.
    #[error(transparent)]
    Gamepads(#[from] GamepadError),
    /// The player's force axis cannot be heard.
    #[error(transparent)]
    Force(#[from] ForceError),
    /// The screen cannot be used.
    #[error(transparent)]
    Display(#[from] DisplayError),
    /// The record cannot be written.
    #[error(transparent)]
    Record(#[from] RecordError),
    /// The rig's profile cannot be kept.
    #[error(transparent)]
    Rig(#[from] RigError),
    /// The window went away.
    #[error("the window went away")]
    WindowGone,
}

impl Tell for LiveError {
    fn tell(&self) -> Told {
        match self {
            LiveError::Input(error) => error.tell(),
            LiveError::Gamepads(error) => Told {
                what: error.to_string(),
                place: Some("--gamepad-answers".to_owned()),
                mend: "answer with the mouse".to_owned(),
            },
            LiveError::Force(error) => Told {
                what: error.to_string(),
                place: Some("the player's force axis".to_owned()),
                mend: "plug it in, or forget it with `tautline force --player NAME --off`"
                    .to_owned(),
            },
            LiveError::Display(error) => error.tell(),
            LiveError::Record(error) => error.tell(),
            LiveError::Rig(error) => error.tell(),
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
    // Given back when this value goes: after the last screen, or however else it ends.
    let awake = Awake::hold(&stage.window);
    let at_px = window.inner_position().map_or([0, 0], |at| [at.x, at.y]);
    let wish = ScreenWish { at_px, rate_hz: facts.rate_hz, ..ScreenWish::default() };
    let mut lobby = Lobby { stage: Some(stage), from_main: Some(from_main), main, bell };
    let played = course(&mut lobby, &wish, &awake, plan);
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

fn course(
    lobby: &mut Lobby,
    wish: &ScreenWish,
    awake: &Awake,
    plan: Plan,
) -> Result<Played, LiveError> {
    let mut facts = Facts {
        protocol: Arc::clone(&plan.protocol),
        schedule: Arc::clone(&plan.schedule),
        player: plan.player.clone(),
        minutes_left: Some(plan.minutes),
        sources: String::new(),
        timing: "",
        simulated: false,
        force: plan.force.is_some().then(ForceNow::default),
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
    let of_window = of_window(lobby.stage.as_ref().ok_or(LiveError::WindowGone)?);
    let (hands, feed) = match hear(&plan, of_window, &lobby.bell) {
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
    // After the device was made, so that the driver's threads do not go before us.
    // Kept to the session's end: with it goes what was granted.
    let (stimulus, _raised) = raise_stimulus(report.software);
    facts.sources = words::sources(&input_words(&hands), &display_words(report));
    let canvas = canvas(report, wish.at_px);
    let begin = Begin {
        t: clock::now(),
        px_per_count: plan.gain.px_per_count(canvas.width_px),
        canvas,
        scanout_ms: report.clock.scanout_ms,
        display_lag_ms: plan.display_lag_ms,
        engine_rule: ENGINE_RULE,
        motion_rule: MOTION_RULE,
    };
    let (display, input) = (display_value(report, awake), input_value(&hands));
    let rig = plan.known_rig.note(&display, &input);
    let changed = known::said(&rig);
    let coarse = hands.chosen() == StampSource::Window || report.clock.onset_sd_ms > COARSE_MS;
    facts.timing = words::timing(coarse, !changed.is_empty());
    for changed in changed {
        facts.sources = format!("{} {changed}", facts.sources);
    }
    let apparatus = Apparatus {
        priorities: vec![input_priority(&hands), stimulus],
        camera_lag: plan.known_rig.latency(&display, &input),
        display,
        input,
        rig,
        begin: begin.clone(),
        age,
    };
    let mut keep = match (plan.open_record)(apparatus) {
        Ok(keep) => keep,
        Err(error) => {
            lobby.stage = screen.finish();
            lobby.say(error.tell(), &facts)?;
            return Err(error.into());
        }
    };
    let beside = listen(&plan.wishes, &lobby.bell)
        .and_then(|gamepads| Ok((gamepads, hear_force(plan.force.as_ref(), &lobby.bell)?)));
    let (gamepads, force) = match beside {
        Ok(beside) => beside,
        Err(error) => {
            lobby.stage = screen.finish();
            lobby.say(error.tell(), &facts)?;
            return Err(error);
        }
    };
    let mut judge = plan.judge;
    let mut engine = Engine::new(plan.protocol, plan.schedule, plan.start);
    let parts = Parts {
        screen,
        main: lobby.main.clone(),
        from_main: lobby.from_main.take().ok_or(LiveError::WindowGone)?,
        hands,
        feed,
        gamepads,
        force,
        wishes: plan.wishes,
        facts: facts.clone(),
        begin,
    };
    let mut desk = LiveDesk::new(parts);
    let ran = session::run(&mut engine, &mut desk, keep.as_mut(), judge.as_mut());
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

    /// Tells of an error, where the surface is still there.
    fn say(&mut self, told: Told, facts: &Facts) -> Result<(), LiveError> {
        if self.stage.is_some() {
            self.ask(Show::Notice(told), facts)?;
        }
        Ok(())
    }
}

/// Waits until a lent surface comes back.
///
/// # Errors
/// The window went away.
pub fn returned(from_main: &Receiver<FromMain>) -> Result<(Stage, Reply), LiveError> {
    loop {
        let told = from_main.recv().map_err(|RecvError| LiveError::WindowGone)?;
        // Nothing is timed yet, and a lent screen tells of a close by its reply.
        if let Some(back) = told.returned() {
            return Ok(back);
        }
    }
}

/// What a source must know of the window.
pub(super) fn of_window(stage: &Stage) -> OfWindow {
    let wayland = stage.window.wayland.map(|handles| WaylandDisplay(handles.display));
    OfWindow { wayland }
}

fn hear(
    plan: &Plan,
    window: OfWindow,
    bell: &Bell,
) -> Result<(Hands, Option<WindowFeed>), InputError> {
    // A second mouse is heard too where it is the partner's; the roles tell them apart.
    let wanted = match plan.wishes.partner_mouse {
        Some(_) => None,
        None => plan.wishes.mouse.as_deref(),
    };
    let input::Opened { hands, feed } = Hands::open(plan.input, wanted, window, bell.clone())?;
    Ok((hands, feed))
}

/// Gamepads, where they are of use. A partner has the space bar too, so that only an answer by
/// gamepad cannot do without them.
fn listen(wishes: &Wishes, bell: &Bell) -> Result<Option<Gamepads>, LiveError> {
    if !wishes.want_gamepads() {
        return Ok(None);
    }
    match Gamepads::listen(bell.clone()) {
        Ok(gamepads) => Ok(Some(gamepads)),
        Err(_) if !wishes.gamepad_answers => Ok(None),
        Err(error) => Err(LiveError::Gamepads(error)),
    }
}

/// The player's force axis, once there is one. A session that was to keep it does not start without.
fn hear_force(
    force: Option<&(AxisName, Calibration)>,
    bell: &Bell,
) -> Result<Option<(ForceAxis, Calibration)>, LiveError> {
    let Some((name, scale)) = force else { return Ok(None) };
    Ok(Some((ForceAxis::listen(name, bell.clone())?, *scale)))
}

/// What the display reports of itself, and who holds the screen saver off, for the record.
fn display_value(report: &DisplayReport, awake: &Awake) -> Value {
    let mut value = json!(report);
    value["screen_saver_off"] = json!(awake.report());
    value
}

/// The input source, and why not a better one, for the record.
pub(super) fn input_value(hands: &Hands) -> Value {
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
pub(super) fn input_priority(hands: &Hands) -> Priority {
    let granted = hands.priority().unwrap_or(input::Priority::NotAttempted);
    priority("input", Rank::Input, granted)
}

/// Raises this thread, the stimulus thread, for as long as what comes back is kept; never where the
/// processor draws the pictures, since whoever draws would starve.
fn raise_stimulus(software: bool) -> (Priority, Option<Raised>) {
    if software {
        let note = Some("pictures are drawn by the processor".to_owned());
        let not = priority("stimulus", Rank::Stimulus, input::Priority::NotAttempted);
        return (Priority { note, ..not }, None);
    }
    let raised = input::raise(Rank::Stimulus);
    (priority("stimulus", Rank::Stimulus, raised.granted.clone()), Some(raised))
}

/// For the record.
fn priority(thread: &str, rank: Rank, granted: input::Priority) -> Priority {
    let thread = thread.to_owned();
    let asked = if cfg!(windows) {
        "multimedia class or time critical".to_owned()
    } else {
        format!("real time, {}", rank.fifo())
    };
    match granted {
        input::Priority::Fifo(_) => Priority { thread, asked, granted: Some(true), note: None },
        of_windows @ (input::Priority::Multimedia(_) | input::Priority::TimeCritical) => {
            Priority { thread, asked, granted: Some(true), note: Some(of_windows.to_string()) }
        }
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
    words::display_source(report.clock.chosen.name(), report.clock.onset_sd_ms, judged)
}

/// The input source in a sentence, with how to get the better one.
fn input_words(hands: &Hands) -> String {
    let better = hands.refused().first().map(|r| (r.source.name(), r.why.as_str()));
    words::input_source(hands.chosen().name(), better)
}
