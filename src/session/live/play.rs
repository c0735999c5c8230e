//! The whole of a session for real, from the first caution to the last screen.
//!
//! Order: cautions (first start) → mouse → screen earns its clock → the record is opened, so that
//! an unwritable folder is known before the first trial → the runner → the last screen.

use super::apparatus::{
    Apparatus, display_value, display_words, input_priority, input_value, input_words,
    raise_stimulus,
};
use super::brief::{LastScreen, Plan, Played};
use super::desk::{LiveDesk, Parts};
use super::error::LiveError;
use super::lobby::Lobby;
use super::roles::Wishes;
use crate::clock::{self, Bell};
use crate::display::{self, Awake, DisplayReport, Screen, ScreenWish, Stage};
use crate::engine::{Begin, ENGINE_RULE, Engine, MOTION_RULE};
use crate::input::force::{AxisName, Calibration, ForceAxis};
use crate::input::{self, Gamepads, Hands, InputError, OfWindow, WaylandDisplay, WindowFeed};
use crate::protocol::Tension;
use crate::rig::known;
use crate::scene::Canvas;
use crate::session;
use crate::units::StampSource;
use crate::window::{Age, Facts, ForceNow, Mode, MouseFrom, Opened, Reply, Show};
use crate::words::{self, Tell};
use std::sync::Arc;

/// From here on the card calls timing coarse: a quarter of a 60 Hz frame, which a difference of 5 ms
/// between holds begins to drown in. Common practice, no source.
const COARSE_MS: f64 = 4.0;

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
