//! `run`: a session for real, on the real screen with the real mouse.

use super::looks::Looks;
use super::machine;
use super::out::{ENDED_EARLY, Failure, say, warn};
use super::source::{self, Source};
use super::today;
use crate::app::Sheets;
use crate::engine::{Ending, Start};
use crate::findings::ANALYSIS_VERSION;
use crate::input::InputChoice;
use crate::input::force::{AxisName, Calibration, UnknownAxis};
use crate::protocol::{self, Foreperiod, Protocol, Schedule};
use crate::record::{self, About, Keep, NewSession, RecordError, ThreadedKeeper, TrialRow};
use crate::rig;
use crate::session::live::{self, Apparatus, Played, Wishes};
use crate::session::start_of;
use crate::settings::{self, AgeBand, players};
use crate::window::{self, Age, Ended, WindowOptions, WindowSize};
use crate::words::Told;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::{Arc, OnceLock};

/// A session with firm holds that lasts this long is "an hour of firm blocks": not under 18.
const HOUR_OF_FIRM_MINUTES: f64 = 45.0;
/// Gain until the player has set one, px for a count.
const USUAL_PX_PER_COUNT: f64 = 0.5;

#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  tautline run first-look --player ana
  tautline run two-holds --player ana --input evdev --mouse 046d:c08b
  tautline run ./my-own.toml --player ana --window 1280x720    in a window, to try it
  tautline run --resume FOLDER                                 go on with a session that broke off

Prints the session's folder on stdout. Exits with 3 when it ended before its last block.")]
pub(super) struct Arguments {
    /// A protocol file, or the id of a shipped protocol
    #[arg(required_unless_present = "resume")]
    protocol: Option<String>,
    /// The player's nickname
    #[arg(long, value_name = "NAME", required_unless_present = "resume")]
    player: Option<String>,
    /// Go on with a session that broke off
    #[arg(long, value_name = "FOLDER", conflicts_with_all = ["protocol", "player", "seed", "data"])]
    resume: Option<PathBuf>,
    /// Where sessions are kept (default: the platform's data folder)
    #[arg(long, value_name = "DIR")]
    data: Option<PathBuf>,
    /// Seed of the draw (default: a new one)
    #[arg(long, value_name = "N")]
    seed: Option<u64>,
    /// A window of this size instead of the whole display, for trying
    #[arg(long, value_name = "WxH", value_parser = size)]
    window: Option<Size>,
    /// Where presses come from: auto, evdev, xinput, wayland, rawinput or window
    #[arg(long, value_name = "SOURCE", default_value = "auto")]
    input: InputChoice,
    /// Only this mouse (`tautline devices` lists them)
    #[arg(long, value_name = "ID")]
    mouse: Option<String>,
    /// This mouse is the partner's: its presses end the wait (law `partner`)
    #[arg(long, value_name = "ID")]
    partner_mouse: Option<String>,
    /// A gamepad's buttons answer a trial, coarsely timed, instead of ending the partner's wait
    #[arg(long)]
    gamepad_answers: bool,
    /// On this display (`tautline devices` lists them)
    #[arg(long, value_name = "ID")]
    display: Option<String>,
    /// How far the view turns for one count, px; kept for the player
    #[arg(long, value_name = "PX", value_parser = gain)]
    gain: Option<f64>,
}

/// A window's size, px.
#[derive(Debug, Clone, Copy)]
pub(super) struct Size {
    pub(super) width: u32,
    pub(super) height: u32,
}

/// Reads `WIDTHxHEIGHT`.
pub(super) fn size(text: &str) -> Result<Size, String> {
    let wrong =
        || format!("write WIDTHxHEIGHT in pixels, for example 1280x720, instead of `{text}`");
    let (width, height) = text.split_once('x').ok_or_else(wrong)?;
    let number = |text: &str| text.parse::<u32>().ok().ok_or_else(wrong);
    let (width, height) = (number(width)?, number(height)?);
    if !(320..=16_384).contains(&width) || !(240..=16_384).contains(&height) {
        return Err(format!("a window has 320x240 to 16384x16384 pixels, not {text}"));
    }
    Ok(Size { width, height })
}

/// A gain that a hand can work with.
fn gain(text: &str) -> Result<f64, String> {
    let wrong =
        || format!("write px a count, from 0.01 to 50, for example 0.5, instead of `{text}`");
    text.parse().ok().filter(|px| (0.01..=50.0).contains(px)).ok_or_else(wrong)
}

pub(super) fn main(arguments: &Arguments) -> Result<ExitCode, Failure> {
    let settings_file = settings::settings_file()?;
    let mut kept = settings::load(&settings_file)?;
    let session = match &arguments.resume {
        Some(folder) => Session::resumed(folder)?,
        None => Session::new(arguments)?,
    };
    let earlier = today::look(&session.data, &session.player.id)?;
    let firm = today::has_firm(&session.protocol);
    if firm && earlier.firm_today && session.resume.is_none() {
        warn("a second session with firm holds on one day: better leave it for tomorrow");
    }
    let (known_rig, trouble) = rig::known::known(&session.data, &session.player.id);
    if !trouble.is_empty() {
        // The session goes on: what the rig was before is only compared with.
        Failure::Told(trouble).report();
    }
    let folder: Folder = Arc::default();
    let player = session.player.clone();
    let minutes = protocol::minutes(&session.protocol).elapsed;
    let plan = live::Plan {
        protocol: Arc::clone(&session.protocol),
        schedule: Arc::clone(&session.schedule),
        start: session.start,
        player: player.nickname.clone(),
        px_per_count: player.px_per_count.unwrap_or(USUAL_PX_PER_COUNT),
        force: force(&player)?,
        display_lag_ms: kept.display_lag_ms,
        known_rig,
        input: arguments.input,
        wishes: Wishes {
            mouse: arguments.mouse.clone(),
            partner_mouse: arguments.partner_mouse.clone(),
            gamepad_answers: arguments.gamepad_answers,
            partner: matches!(session.protocol.foreperiod, Foreperiod::Partner { .. }),
        },
        minor: kept.age_band.is_some_and(|band| band != AgeBand::Adult),
        first_start: !kept.caution_read || !earlier.any,
        hour_of_firm: firm && minutes >= HOUR_OF_FIRM_MINUTES,
        minutes: protocol::minutes_from(&session.protocol, session.start.first_block),
        judge: Box::new(Looks::new(&session.protocol, &session.schedule, &session.earlier)),
        sum_up: sum_up(Arc::clone(&folder)),
        open_record: open_record(session, Arc::clone(&folder)),
    };
    let size = match arguments.window {
        Some(Size { width, height }) => WindowSize::Windowed { width_px: width, height_px: height },
        None => WindowSize::Fullscreen { display: arguments.display.clone() },
    };
    let options = WindowOptions { title: "Tautline".to_owned(), size };
    let played =
        window::open(options, Box::new(Sheets::default()), move |opened| live::play(opened, plan))?;
    if let Some(Made { said, .. }) = folder.get() {
        said.clone()?;
    }
    match played? {
        Played::NotStarted => Err(Failure::Told(vec![Told {
            what: "the session was not started".to_owned(),
            place: Some("the first questions".to_owned()),
            mend: "it starts once the player has agreed, and with holds that suit the player"
                .to_owned(),
        }])),
        Played::Ended { ended, age } => {
            if let Some(age) = age {
                kept.caution_read = true;
                kept.age_band = Some(match age {
                    Age::Adult => AgeBand::Adult,
                    Age::Young => AgeBand::MinorWithGuardian,
                });
                // The session is recorded all the same; the cautions come again the next time.
                if let Err(error) = settings::save(&settings_file, &kept) {
                    Failure::from(error).report();
                }
            }
            match ended.ending {
                Ending::Complete | Ending::Settled => Ok(ExitCode::SUCCESS),
                Ending::Stopped | Ending::Discomfort | Ending::TimeUp => {
                    warn("the session ended before its last block; what was done is kept");
                    Ok(ExitCode::from(ENDED_EARLY))
                }
            }
        }
    }
}

/// The player's force axis and scale, once calibrated.
fn force(player: &players::Player) -> Result<Option<(AxisName, Calibration)>, Failure> {
    let Some(force) = &player.force else { return Ok(None) };
    let name = force.axis.parse().map_err(|error: UnknownAxis| {
        Failure::Told(vec![Told {
            what: error.to_string(),
            place: Some("player.toml, force.axis".to_owned()),
            mend: "calibrate it anew with `tautline force --player NAME --axis AXIS`".to_owned(),
        }])
    })?;
    Ok(Some((name, Calibration { rest: force.rest, strong: force.strong })))
}

/// A session to be run: new, or one that broke off.
struct Session {
    data: PathBuf,
    player: players::Player,
    protocol: Arc<Protocol>,
    text: String,
    schedule: Arc<Schedule>,
    start: Start,
    /// Rows of earlier segments that stand, for the planned looks.
    earlier: Vec<TrialRow>,
    resume: Option<PathBuf>,
}

impl Session {
    fn new(arguments: &Arguments) -> Result<Session, Failure> {
        let asked = arguments.protocol.as_deref().unwrap_or_default();
        let Source { protocol, text } = source::load(asked)?;
        let data = source::data_folder(arguments.data.as_deref())?;
        let seed = source::seed(arguments.seed);
        let nickname = arguments.player.as_deref().unwrap_or_default();
        let mut player = players::find_or_create(&data, nickname, seed)?;
        if let Some(gain) = arguments.gain {
            player.px_per_count = Some(gain);
            players::save(&data, &player)?;
        }
        let schedule = Arc::new(protocol::draw(&protocol, seed));
        let (protocol, start) = (Arc::new(protocol), Start::default());
        Ok(Session {
            data,
            player,
            protocol,
            text,
            schedule,
            start,
            earlier: Vec::new(),
            resume: None,
        })
    }

    fn resumed(folder: &Path) -> Result<Session, Failure> {
        record::ask_free(folder)?;
        let session = record::open(folder)?;
        if session.manifest.ending.is_some() {
            return Err(RecordError::Ended { folder: folder.to_owned() }.into());
        }
        if session.manifest.simulated {
            return Err(Failure::Told(vec![Told {
                what: "this session is simulated: no player can go on with it".to_owned(),
                place: Some(folder.display().to_string()),
                mend: "start a new one: tautline run PROTOCOL --player NAME".to_owned(),
            }]));
        }
        let protocol = source::recorded(&session)?;
        let schedule = Arc::new(protocol::draw(&protocol, session.manifest.seed));
        let data = folder.parent().and_then(Path::parent).unwrap_or(Path::new(".")).to_owned();
        let known = players::list(&data)?.into_iter().find(|p| p.id == session.manifest.player);
        let Some(player) = known else {
            return Err(Failure::Told(vec![Told {
                what: format!(
                    "there is no player `{}` beside this session",
                    session.manifest.player
                ),
                place: Some(folder.display().to_string()),
                mend: "go on with it where it was recorded, or close it: tautline close FOLDER"
                    .to_owned(),
            }]));
        };
        let segments_before = session.manifest.segments.last().map_or(0, |last| last.number);
        let first_block = record::next_block(&session).unwrap_or(schedule.blocks.len());
        let start = start_of(&session.trials, &protocol, segments_before, first_block);
        let mut earlier = session.trials;
        record::abandon(&mut earlier, &session.manifest.segments);
        earlier.retain(|row| row.position <= first_block);
        let (text, resume) = (session.protocol_text, Some(folder.to_owned()));
        Ok(Session { data, player, protocol, text, schedule, start, earlier, resume })
    }
}

/// The session's folder, once it is there.
type Folder = Arc<OnceLock<Made>>;

/// A session's folder that was made.
#[derive(Debug)]
struct Made {
    path: PathBuf,
    /// How telling of it went. It is told at once: the window system can end the program.
    said: Result<(), Failure>,
}

/// Works out what the last screen says.
fn sum_up(folder: Folder) -> live::SumUp {
    Box::new(move |ending| {
        let folder = folder.get().map(|made| made.path.clone()).unwrap_or_default();
        match super::findings::write(std::slice::from_ref(&folder), None) {
            Ok(written) => Ended {
                ending,
                sentence: Some(written.sentence),
                report: Some(written.report),
                folder,
            },
            Err(failure) => {
                // The record is whole; what cannot be worked out from it is told in the terminal.
                failure.report();
                Ended { ending, sentence: None, report: None, folder }
            }
        }
    })
}

/// Opens the record on the stimulus thread once the apparatus is known.
fn open_record(session: Session, folder: Folder) -> live::OpenRecord {
    Box::new(move |apparatus: Apparatus| {
        rig::known::said(&apparatus.rig).iter().for_each(|changed| warn(changed));
        let keeper = match &session.resume {
            Some(broken_off) => {
                let resumed = record::resume(broken_off, machine::start(apparatus.begin.t))?;
                resumed.with_rig(apparatus.rig).keeper(&session.protocol, &session.schedule)
            }
            None => record::create(&new_session(&session, apparatus))?,
        };
        folder.get_or_init(|| {
            let path = keeper.folder().to_owned();
            Made { said: say(&path.display().to_string()), path }
        });
        let keeper: Box<dyn Keep> = Box::new(ThreadedKeeper::start(keeper)?);
        Ok::<_, RecordError>(keeper)
    })
}

fn new_session(session: &Session, apparatus: Apparatus) -> NewSession<'_> {
    NewSession {
        data: &session.data,
        player: &session.player.id,
        protocol: &session.protocol,
        protocol_text: &session.text,
        schedule: &session.schedule,
        about: About {
            program_version: env!("CARGO_PKG_VERSION").to_owned(),
            rules_hash: protocol::rules_hash(&session.protocol, ANALYSIS_VERSION),
            analysis_version: ANALYSIS_VERSION,
            machine: machine::machine(),
            display: apparatus.display,
            input: apparatus.input,
            priorities: apparatus.priorities,
            latency_notes: apparatus.camera_lag.into_iter().collect(),
            rig: Some(apparatus.rig),
            px_per_count: apparatus.begin.px_per_count,
            simulation: None,
            start: machine::start(apparatus.begin.t),
        },
    }
}
