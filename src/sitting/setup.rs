//! A session to be run, new or one that broke off, made into the plan that `session::live` plays.

use super::first_start::age_band;
use super::looks::{Looks, TellTrouble};
use super::{Source, Trouble, machine, source, today};
use crate::engine::Start;
use crate::findings::ANALYSIS_VERSION;
use crate::input::InputChoice;
use crate::input::force::{AxisName, Calibration, UnknownAxis};
use crate::protocol::{self, Foreperiod, Protocol, Schedule};
use crate::record::{
    self, About, EndedAs, Keep, NewSession, RecordError, ThreadedKeeper, TrialRow,
};
use crate::rig;
use crate::session::live::{self, Apparatus, LastScreen};
use crate::session::start_of;
use crate::settings::{AgeBand, Gain, Settings, players};
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
    /// Rows of earlier segments that stand, for the planned looks.
    pub earlier: Vec<TrialRow>,
    /// The folder of the session that broke off.
    pub resume: Option<PathBuf>,
}

impl Sitting {
    /// A new session.
    pub fn new(source: Source, data: PathBuf, player: players::Player, seed: u64) -> Sitting {
        let Source { protocol, text } = source;
        let schedule = Arc::new(protocol::draw(&protocol, seed));
        let (protocol, start) = (Arc::new(protocol), Start::default());
        let earlier = Vec::new();
        Sitting { data, player, protocol, text, schedule, start, earlier, resume: None }
    }

    /// The session in `folder`, which broke off.
    ///
    /// # Errors
    /// It is running, has ended, is simulated, does not read, or its player is not beside it.
    pub fn resumed(folder: &Path) -> Result<Sitting, Trouble> {
        record::ask_free(folder)?;
        let session = record::open(folder)?;
        let place = Some(folder.display().to_string());
        if !EndedAs::can_go_on(session.manifest.ending) {
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
        let start =
            start_of(&session.trials, &session.ratings, &protocol, segments_before, first_block);
        let mut earlier = session.trials;
        record::abandon(&mut earlier, &session.manifest.segments);
        earlier.retain(|row| row.position <= first_block);
        let (text, resume) = (session.protocol_text, Some(folder.to_owned()));
        Ok(Sitting { data, player, protocol, text, schedule, start, earlier, resume })
    }
}

/// What is wanted of the machine, and what is shown around the session.
#[derive(Debug, Clone, Default)]
pub struct Wanted {
    /// Which input source.
    pub input: InputChoice,
    /// Whose press is an answer and whose ends a partner's wait; whether there is a partner at all
    /// is the protocol's to say.
    pub devices: live::Wishes,
    /// The player has agreed on screen in this run of the program.
    pub agreed: bool,
    /// Whether the program's own last screen is shown.
    pub last_screen: LastScreen,
}

/// What is to be done around a session.
pub struct Around {
    /// Is told as soon as the record is open.
    pub on_open: Box<dyn FnOnce(Begun<'_>) + Send>,
    /// Is told of a look that cannot be worked out; the session goes on.
    pub tell: TellTrouble,
    /// Works out what the last screen says.
    pub sum_up: live::SumUp,
}

/// A session whose record is open.
#[derive(Debug)]
pub struct Begun<'a> {
    /// Its folder.
    pub folder: &'a Path,
    /// What of the rig is not as it was before, each a sentence.
    pub rig_changed: Vec<String>,
    /// The age band that the player told just before.
    pub age: Option<AgeBand>,
}

/// The plan of a sitting, and what is to be said before it starts.
pub struct Planned {
    /// For `session::live`.
    pub plan: live::Plan,
    /// A second session with firm holds on one day.
    pub second_firm: bool,
    /// Why the rig cannot be compared with what it was; empty: it can. No reason not to play.
    pub rig_trouble: Trouble,
}

/// Makes the plan.
///
/// # Errors
/// The player is done for the day, the record does not read, or the player's force axis has no
/// known name.
pub fn plan(
    sitting: Sitting,
    kept: &Settings,
    wanted: Wanted,
    around: Around,
) -> Result<Planned, Trouble> {
    let earlier = today::look(&sitting.data, &sitting.player.id)?;
    let firm = today::has_firm(&sitting.protocol);
    let minutes = protocol::minutes(&sitting.protocol).elapsed;
    let second_firm = firm && earlier.firm_today && sitting.resume.is_none();
    let (known_rig, rig_trouble) = rig::known::known(&sitting.data, &sitting.player.id);
    let looks = Looks::new(&sitting.protocol, &sitting.schedule, &sitting.earlier, around.tell);
    let plan = live::Plan {
        protocol: Arc::clone(&sitting.protocol),
        schedule: Arc::clone(&sitting.schedule),
        start: sitting.start,
        player: sitting.player.nickname.clone(),
        gain: sitting.player.gain().unwrap_or(Gain::PxPerCount(USUAL_PX_PER_COUNT)),
        force: force(&sitting.player)?,
        display_lag_ms: kept.display_lag_ms,
        known_rig,
        input: wanted.input,
        wishes: live::Wishes {
            partner: matches!(sitting.protocol.foreperiod, Foreperiod::Partner { .. }),
            ..wanted.devices
        },
        minor: sitting.player.age_band.is_some_and(|band| band != AgeBand::Adult),
        first_start: !wanted.agreed && (!kept.caution_read || !earlier.any),
        hour_of_firm: firm && minutes >= HOUR_OF_FIRM_MINUTES,
        minutes: protocol::minutes_from(&sitting.protocol, sitting.start.first_block),
        judge: Box::new(looks),
        last_screen: wanted.last_screen,
        sum_up: around.sum_up,
        open_record: open_record(sitting, around.on_open),
    };
    Ok(Planned { plan, second_firm, rig_trouble: Trouble(rig_trouble) })
}

/// The player's force axis and scale, once calibrated.
fn force(player: &players::Player) -> Result<Option<(AxisName, Calibration)>, Trouble> {
    let Some(force) = &player.force else { return Ok(None) };
    let name = force.axis.parse().map_err(|error: UnknownAxis| {
        Trouble::one(
            error.to_string(),
            Some("player.toml, force.axis".to_owned()),
            "calibrate it anew with `tautline force --player NAME --axis AXIS`".to_owned(),
        )
    })?;
    Ok(Some((name, Calibration { rest: force.rest, strong: force.strong })))
}

/// Opens the record on the stimulus thread once the apparatus is known.
fn open_record(sitting: Sitting, on_open: Box<dyn FnOnce(Begun<'_>) + Send>) -> live::OpenRecord {
    Box::new(move |apparatus: Apparatus| {
        let rig_changed = rig::known::said(&apparatus.rig);
        let age = apparatus.age.map(age_band);
        let keeper = match &sitting.resume {
            Some(broken_off) => {
                let resumed = record::resume(broken_off, machine::start(apparatus.begin.t))?;
                resumed.with_rig(apparatus.rig).keeper(&sitting.protocol, &sitting.schedule)
            }
            None => record::create(&new_session(&sitting, apparatus))?,
        };
        on_open(Begun { folder: keeper.folder(), rig_changed, age });
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
            priorities: apparatus.priorities,
            latency_notes: apparatus.camera_lag.into_iter().collect(),
            rig: Some(apparatus.rig),
            px_per_count: apparatus.begin.px_per_count,
            simulation: None,
            start: machine::start(apparatus.begin.t),
        },
    }
}
