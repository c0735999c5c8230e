//! A session to be run, new or one that broke off, made into the plan that `session::live` plays.

use super::{Source, Trouble, machine, source, today};
use crate::engine::Start;
use crate::findings::ANALYSIS_VERSION;
use crate::input::InputChoice;
use crate::protocol::{self, Protocol, Schedule};
use crate::record::{self, About, Keep, NewSession, RecordError, ThreadedKeeper};
use crate::session::live::{self, Apparatus, LastScreen};
use crate::session::start_of;
use crate::settings::{AgeBand, Settings, players};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A session with firm holds that lasts this long is "an hour of firm blocks": not under 18.
const HOUR_OF_FIRM_MINUTES: f64 = 45.0;
/// Gain until the player has set one, px for a count.
pub const USUAL_PX_PER_COUNT: f64 = 0.5;

/// A session to be run: new, or one that broke off.
#[derive(Debug)]
pub struct Sitting {
    /// The data folder.
    pub data: PathBuf,
    /// Who plays.
    pub player: players::Player,
    /// What was planned.
    pub protocol: Arc<Protocol>,
    /// Its file, word for word.
    pub text: String,
    /// Its blocks.
    pub schedule: Arc<Schedule>,
    /// Where it is taken up.
    pub start: Start,
    /// The folder of the session that broke off.
    pub resume: Option<PathBuf>,
}

impl Sitting {
    /// A new session.
    pub fn new(source: Source, data: PathBuf, player: players::Player, seed: u64) -> Sitting {
        let Source { protocol, text } = source;
        let schedule = Arc::new(protocol::draw(&protocol, seed));
        let (protocol, start) = (Arc::new(protocol), Start::default());
        Sitting { data, player, protocol, text, schedule, start, resume: None }
    }

    /// The session in `folder`, which broke off.
    ///
    /// # Errors
    /// It is running, has ended, is simulated, does not read, or its player is not beside it.
    pub fn resumed(folder: &Path) -> Result<Sitting, Trouble> {
        record::ask_free(folder)?;
        let session = record::open(folder)?;
        let place = Some(folder.display().to_string());
        if session.manifest.ending.is_some() {
            return Err(RecordError::Ended { folder: folder.to_owned() }.into());
        }
        if session.manifest.simulated {
            return Err(Trouble::one(
                "this session is simulated: no player can go on with it".to_owned(),
                place,
                "start a new one: tautline run PROTOCOL --player NAME".to_owned(),
            ));
        }
        let protocol = source::recorded(&session)?;
        let schedule = Arc::new(protocol::draw(&protocol, session.manifest.seed));
        let data = folder.parent().and_then(Path::parent).unwrap_or(Path::new(".")).to_owned();
        let known = players::list(&data)?.into_iter().find(|p| p.id == session.manifest.player);
        let Some(player) = known else {
            return Err(Trouble::one(
                format!("there is no player `{}` beside this session", session.manifest.player),
                place,
                "go on with it where it was recorded, or close it: tautline close FOLDER"
                    .to_owned(),
            ));
        };
        let segments_before = session.manifest.segments.last().map_or(0, |last| last.number);
        let first_block = record::next_block(&session).unwrap_or(schedule.blocks.len());
        let start = start_of(&session.trials, &protocol, segments_before, first_block);
        let (text, resume) = (session.protocol_text, Some(folder.to_owned()));
        Ok(Sitting { data, player, protocol, text, schedule, start, resume })
    }
}

/// What is wished of the machine, and what is shown around the session.
#[derive(Debug, Clone, Default)]
pub struct Wishes {
    /// Which input source.
    pub input: InputChoice,
    /// Which mouse.
    pub mouse: Option<String>,
    /// The player has agreed on screen in this run of the program.
    pub agreed: bool,
    /// Whether the program's own last screen is shown.
    pub last_screen: LastScreen,
}

/// The plan of a sitting, and what is to be said before it starts.
pub struct Planned {
    /// For `session::live`.
    pub plan: live::Plan,
    /// A second session with firm holds on one day.
    pub second_firm: bool,
}

/// Makes the plan. `on_folder` is told the session's folder as soon as it is there; `sum_up` works
/// out what the last screen says.
///
/// # Errors
/// The player is done for the day, or the record does not read.
pub fn plan(
    sitting: Sitting,
    kept: &Settings,
    wishes: Wishes,
    on_folder: impl FnOnce(&Path) + Send + 'static,
    sum_up: live::SumUp,
) -> Result<Planned, Trouble> {
    let earlier = today::look(&sitting.data, &sitting.player.id)?;
    let firm = today::has_firm(&sitting.protocol);
    let minutes = protocol::minutes(&sitting.protocol).elapsed;
    let second_firm = firm && earlier.firm_today && sitting.resume.is_none();
    let plan = live::Plan {
        protocol: Arc::clone(&sitting.protocol),
        schedule: Arc::clone(&sitting.schedule),
        start: sitting.start,
        player: sitting.player.nickname.clone(),
        px_per_count: sitting.player.px_per_count.unwrap_or(USUAL_PX_PER_COUNT),
        display_lag_ms: kept.display_lag_ms,
        input: wishes.input,
        mouse: wishes.mouse,
        minor: kept.age_band.is_some_and(|band| band != AgeBand::Adult),
        first_start: !wishes.agreed && (!kept.caution_read || !earlier.any),
        hour_of_firm: firm && minutes >= HOUR_OF_FIRM_MINUTES,
        minutes: protocol::minutes_from(&sitting.protocol, sitting.start.first_block),
        last_screen: wishes.last_screen,
        sum_up,
        open_record: open_record(sitting, on_folder),
    };
    Ok(Planned { plan, second_firm })
}

/// Opens the record on the stimulus thread once the apparatus is known.
fn open_record(
    sitting: Sitting,
    on_folder: impl FnOnce(&Path) + Send + 'static,
) -> live::OpenRecord {
    Box::new(move |apparatus: Apparatus| {
        let keeper = match &sitting.resume {
            Some(broken_off) => {
                let resumed = record::resume(broken_off, machine::start(apparatus.begin.t))?;
                resumed.keeper(&sitting.protocol, &sitting.schedule)
            }
            None => record::create(&new_session(&sitting, apparatus))?,
        };
        on_folder(keeper.folder());
        let keeper: Box<dyn Keep> = Box::new(ThreadedKeeper::start(keeper)?);
        Ok::<_, RecordError>(keeper)
    })
}

fn new_session(sitting: &Sitting, apparatus: Apparatus) -> NewSession<'_> {
    NewSession {
        data: &sitting.data,
        player: &sitting.player.id,
        protocol: &sitting.protocol,
        protocol_text: &sitting.text,
        schedule: &sitting.schedule,
        about: About {
            program_version: env!("CARGO_PKG_VERSION").to_owned(),
            rules_hash: protocol::rules_hash(&sitting.protocol, ANALYSIS_VERSION),
            analysis_version: ANALYSIS_VERSION,
            machine: machine::machine(),
            display: apparatus.display,
            input: apparatus.input,
            priorities: vec![apparatus.input_priority],
            latency_notes: Vec::new(),
            px_per_count: apparatus.begin.px_per_count,
            simulation: None,
            start: machine::start(apparatus.begin.t),
        },
    }
}
