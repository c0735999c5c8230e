//! `run`: a session for real, on the real screen with the real mouse.

use super::out::{ENDED_EARLY, Failure, say, told, warn};
use super::place::Place;
use crate::app::Sheets;
use crate::engine::Ending;
use crate::session::live::{self, Played, Wishes};
use crate::settings::{self, Settings, players};
use crate::sitting::{self, Around, Begun, Sitting, Wanted, results, source};
use crate::window::{self, Ended};
use crate::words::Told;
use std::path::PathBuf;
use std::process::ExitCode;
use std::sync::{Arc, OnceLock};

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
    /// Where sessions are kept (default: as in the settings, else the platform's data folder)
    #[arg(long, value_name = "DIR")]
    data: Option<PathBuf>,
    /// Seed of the draw (default: a new one)
    #[arg(long, value_name = "N")]
    seed: Option<u64>,
    #[command(flatten)]
    place: Place,
    /// This mouse is the partner's: its presses end the wait (law `partner`)
    #[arg(long, value_name = "ID")]
    partner_mouse: Option<String>,
    /// A gamepad's buttons answer a trial, coarsely timed, instead of ending the partner's wait
    #[arg(long)]
    gamepad_answers: bool,
    /// How far the view turns for one count, px; kept for the player
    #[arg(long, value_name = "PX", value_parser = gain, conflicts_with_all = ["cm_per_turn", "fov"])]
    gain: Option<f64>,
    /// Instead of --gain: centimetres of the hand for a full turn of the view; kept for the player
    #[arg(long, value_name = "CM", value_parser = cm_per_turn, requires = "fov")]
    cm_per_turn: Option<f64>,
    /// The horizontal field of view that --cm-per-turn is told for, degrees; kept for the player
    #[arg(long, value_name = "DEG", value_parser = fov, requires = "cm_per_turn")]
    fov: Option<f64>,
    /// Counts that the mouse gives a centimetre (its dots an inch over 2.54); kept for the player
    #[arg(long, value_name = "N", value_parser = counts_per_cm)]
    counts_per_cm: Option<f64>,
}

/// A gain that a hand can work with.
fn gain(text: &str) -> Result<f64, String> {
    let wrong =
        || format!("write px a count, from 0.01 to 50, for example 0.5, instead of `{text}`");
    text.parse().ok().filter(|px| (0.01..=50.0).contains(px)).ok_or_else(wrong)
}

fn within(text: &str, least: f64, most: f64, what: &str) -> Result<f64, String> {
    let wrong = || format!("write {what}, from {least} to {most}, instead of `{text}`");
    text.parse().ok().filter(|value| (least..=most).contains(value)).ok_or_else(wrong)
}

fn cm_per_turn(text: &str) -> Result<f64, String> {
    within(text, 2.0, 500.0, "centimetres for a full turn, for example 40")
}

fn fov(text: &str) -> Result<f64, String> {
    within(text, 10.0, 170.0, "degrees across the picture, for example 90")
}

fn counts_per_cm(text: &str) -> Result<f64, String> {
    within(text, 20.0, 20_000.0, "counts a centimetre, for example 315")
}

pub(super) fn main(arguments: &Arguments) -> Result<ExitCode, Failure> {
    let settings_file = settings::settings_file()?;
    let kept = settings::load(&settings_file)?;
    let (sitting, fresh) = match &arguments.resume {
        Some(folder) => (Sitting::resumed(folder)?, false),
        None => new(arguments)?,
    };
    let (data, player) = (sitting.data.clone(), sitting.player.clone());
    let folder: Folder = Arc::default();
    let done = play(arguments, sitting, (settings_file, kept), &folder);
    if fresh && folder.get().is_none() {
        // Nothing was recorded: a player who was made for it alone is not left behind.
        if let Err(error) = players::take_back(&data, &player) {
            Failure::from(error).report();
        }
    }
    done
}

fn play(
    arguments: &Arguments,
    sitting: Sitting,
    (settings_file, kept): (PathBuf, Settings),
    folder: &Folder,
) -> Result<ExitCode, Failure> {
    let made = Arc::clone(folder);
    let mut remembered = kept.clone();
    let (data, mut player) = (sitting.data.clone(), sitting.player.clone());
    let on_open = move |begun: Begun<'_>| {
        begun.rig_changed.iter().for_each(|changed| warn(changed));
        if let Some(age) = begun.age {
            let kept =
                sitting::keep_first_start(&settings_file, &mut remembered, &data, &mut player, age);
            // The session is recorded all the same; the cautions come again the next time.
            if let Err(error) = kept {
                Failure::from(error).report();
            }
        }
        made.get_or_init(|| {
            let path = begun.folder.to_owned();
            Made { said: say(&path.display().to_string()), path }
        });
    };
    let wanted = Wanted {
        input: arguments.place.input,
        devices: Wishes {
            mouse: arguments.place.mouse_or(&kept),
            partner_mouse: arguments.partner_mouse.clone(),
            gamepad_answers: arguments.gamepad_answers,
            ..Wishes::default()
        },
        ..Wanted::default()
    };
    let around = Around {
        on_open: Box::new(on_open),
        tell: Box::new(told),
        sum_up: sum_up(Arc::clone(folder)),
    };
    let planned = sitting::plan(sitting, &kept, wanted, around)?;
    if planned.second_firm {
        warn(crate::words::SECOND_FIRM_TODAY);
    }
    // The session goes on: what the rig was before is only compared with.
    told(planned.rig_trouble);
    let plan = planned.plan;
    let options = arguments.place.window_or(&kept);
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
        Played::Ended { ended, .. } => match ended.ending {
            Ending::Complete | Ending::Settled => Ok(ExitCode::SUCCESS),
            Ending::Stopped | Ending::Discomfort | Ending::TimeUp => {
                warn("the session ended before its last block; what was done is kept");
                Ok(ExitCode::from(ENDED_EARLY))
            }
        },
    }
}

/// Takes over what was told of the gain; says whether anything was.
fn keep_gain(player: &mut players::Player, arguments: &Arguments) -> Result<bool, Failure> {
    if let Some(counts) = arguments.counts_per_cm {
        player.counts_per_cm = Some(counts);
    }
    if let Some(px) = arguments.gain {
        player.px_per_count = Some(px);
    }
    if let (Some(cm), Some(fov)) = (arguments.cm_per_turn, arguments.fov) {
        if player.counts_per_cm.is_none() {
            return Err(Failure::Told(vec![Told {
                what: "how many counts the mouse gives a centimetre is not known".to_owned(),
                place: Some("--cm-per-turn".to_owned()),
                mend: "add --counts-per-cm N (the mouse's dots an inch over 2.54), or measure it: tautline rig \
                       --player NAME"
                    .to_owned(),
            }]));
        }
        (player.cm_per_turn, player.fov_deg) = (Some(cm), Some(fov));
        // The turn is what was told last.
        player.px_per_count = None;
    }
    Ok(arguments.counts_per_cm.or(arguments.gain).or(arguments.cm_per_turn).is_some())
}

/// The session, and whether its player was made for it just now.
fn new(arguments: &Arguments) -> Result<(Sitting, bool), Failure> {
    let asked = arguments.protocol.as_deref().unwrap_or_default();
    let source = source::load(asked)?;
    let data = source::data_folder(arguments.data.as_deref())?;
    let seed = source::seed(arguments.seed);
    let nickname = arguments.player.as_deref().unwrap_or_default();
    let fresh = players::find(&data, nickname)?.is_none();
    let mut player = players::find_or_create(&data, nickname, seed)?;
    if keep_gain(&mut player, arguments)? {
        players::save(&data, &player)?;
    }
    Ok((Sitting::new(source, data, player, seed), fresh))
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
        match results::write(std::slice::from_ref(&folder)) {
            Ok(written) => Ended {
                ending,
                sentence: Some(written.sentence),
                report: Some(written.report),
                folder,
            },
            Err(trouble) => {
                // The record is whole; what cannot be worked out from it is told in the terminal.
                Failure::from(trouble).report();
                Ended { ending, sentence: None, report: None, folder }
            }
        }
    })
}
