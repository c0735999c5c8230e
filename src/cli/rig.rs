//! `rig`: checks display, mouse and computer; the lag by camera.

use super::out::{Failure, say, say_json, warn};
use crate::clock;
use crate::rig::camera::sheet::{self, Typed};
use crate::rig::camera::{self, NoLag};
use crate::rig::{self, CameraNote, Saved};
#[cfg(feature = "window")]
use crate::rig::{Grade, Matters};
#[cfg(feature = "window")]
use crate::settings::{SettingsError, players};
use crate::sitting::source;
use crate::words::Told;
use crate::words::rig as words;
use serde_json::json;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

#[cfg(feature = "window")]
mod windowed;

#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  tautline rig                       the guided check, in a window
  tautline rig --player ana          the same; keeps the counts for a centimetre for ana
  tautline rig --list                the checks that were saved
  tautline rig --camera              a screen to be filmed; prints the sheet to note film frames in
  tautline rig --film SHEET.csv --camera-rate 240
  tautline rig --film SHEET.csv --camera-rate 240 --frames 1:1041-1066,2:1300-1325

The check is saved in the data folder under rigs/, without host, user or serial names.")]
pub(super) struct Arguments {
    /// Where sessions and rigs are kept (default: the platform's data folder)
    #[arg(long, value_name = "DIR")]
    data: Option<PathBuf>,
    /// Keep the counts for a centimetre, where they are found, for this player too
    #[cfg(feature = "window")]
    #[arg(long, value_name = "NAME", conflicts_with_all = ["list", "camera", "film"])]
    player: Option<String>,
    /// List the checks that were saved
    #[arg(long, conflicts_with_all = ["camera", "film"])]
    list: bool,
    /// Show a screen to be filmed, for the lag that no program can see
    #[cfg(feature = "window")]
    #[arg(long, conflicts_with_all = ["film", "json"])]
    camera: bool,
    /// Work out that lag from a sheet with film frames
    #[arg(long, value_name = "SHEET", requires = "camera_rate")]
    film: Option<PathBuf>,
    /// The camera's frames a second
    #[arg(long, value_name = "HZ", value_parser = rate)]
    camera_rate: Option<f64>,
    /// Film frames of press and answer for some clicks, instead of in the sheet
    #[arg(long, value_name = "CLICK:PRESS-ANSWER,..", value_delimiter = ',', requires = "film")]
    frames: Vec<Typed>,
    #[cfg(feature = "window")]
    #[command(flatten)]
    window: windowed::Options,
    /// As JSON
    #[arg(long)]
    json: bool,
}

/// Frames a second of a camera.
fn rate(text: &str) -> Result<f64, String> {
    let wrong =
        || format!("write the camera's frames a second, for example 240, instead of `{text}`");
    text.parse().ok().filter(|hz| (1.0..=100_000.0).contains(hz)).ok_or_else(wrong)
}

pub(super) fn main(arguments: &Arguments) -> Result<ExitCode, Failure> {
    let data = source::data_folder(arguments.data.as_deref())?;
    if arguments.list {
        return list(&data, arguments.json);
    }
    if let (Some(film), Some(rate_hz)) = (&arguments.film, arguments.camera_rate) {
        return from_film(&data, film, rate_hz, &arguments.frames, arguments.json);
    }
    in_window(arguments, data)
}

#[cfg(feature = "window")]
fn in_window(arguments: &Arguments, data: PathBuf) -> Result<ExitCode, Failure> {
    if arguments.camera {
        windowed::film(&arguments.window, data)
    } else {
        // Found first: a name that makes no player is told before the check, not after it.
        let player = match &arguments.player {
            Some(nickname) => Some(players::find_or_create(&data, nickname, source::seed(None))?),
            None => None,
        };
        let saved = windowed::check(&arguments.window, data.clone())?;
        if let Some(player) = player {
            keep_counts(&data, player, &saved.profile)?;
        }
        tell(&saved, arguments.json)?;
        Ok(ExitCode::SUCCESS)
    }
}

/// Keeps the counts for a centimetre for the player; what was known stays where none were found.
#[cfg(feature = "window")]
fn keep_counts(
    data: &Path,
    player: players::Player,
    profile: &rig::Profile,
) -> Result<(), SettingsError> {
    let Some(found) = &profile.counts_per_cm else { return Ok(()) };
    players::save(data, &players::Player { counts_per_cm: Some(found.counts_per_cm), ..player })
}

#[cfg(not(feature = "window"))]
fn in_window(_: &Arguments, _: PathBuf) -> Result<ExitCode, Failure> {
    Err(Failure::Told(vec![Told {
        what: "this build has no window: it cannot check a rig".to_owned(),
        place: Some("tautline rig".to_owned()),
        mend: "use a build with the window; --list and --film work here".to_owned(),
    }]))
}

fn list(data: &Path, json: bool) -> Result<ExitCode, Failure> {
    let saved = rig::list(data)?;
    if json {
        let list: Vec<_> = saved
            .iter()
            .map(|saved| json!({ "name": saved.name, "path": saved.path, "rig": saved.profile }))
            .collect();
        say_json(&json!({ "format": 1, "rigs": list }))?;
        return Ok(ExitCode::SUCCESS);
    }
    for Saved { name, profile, .. } in &saved {
        let camera = profile.camera.last().map(said);
        say(&words::profile_line(name, &rig::summary(profile), camera.as_deref()))?;
    }
    if saved.is_empty() {
        warn(words::no_profiles());
    }
    Ok(ExitCode::SUCCESS)
}

fn said(note: &CameraNote) -> String {
    let lag = note.lag;
    words::camera_lag(lag.lag_ms, lag.give_or_take_ms, lag.clicks, note.rate_hz)
}

/// The lag from a film, kept with the newest profile.
fn from_film(
    data: &Path,
    film: &Path,
    rate_hz: f64,
    typed: &[Typed],
    json: bool,
) -> Result<ExitCode, Failure> {
    let Some(mut saved) = rig::latest(data)? else {
        return Err(Failure::Told(vec![Told {
            what: "there is no rig check yet that the lag could be kept with".to_owned(),
            place: Some(data.display().to_string()),
            mend: "make one first: tautline rig".to_owned(),
        }]));
    };
    let rows = sheet::read(film)?;
    let clock = |of: fn(&sheet::Row) -> &String| rows.first().map(of).cloned().unwrap_or_default();
    let (display_clock, input_source) =
        (clock(|row| &row.display_clock), clock(|row| &row.input_source));
    let readings = sheet::readings(film, rows, typed)?;
    let lag = camera::estimate(&readings, rate_hz).map_err(|none| no_lag(film, none))?;
    let sheet = film.file_name().map(|name| name.to_string_lossy().into_owned());
    let note = CameraNote {
        utc: clock::utc(),
        sheet: sheet.unwrap_or_default(),
        rate_hz,
        display_clock,
        input_source,
        lag,
    };
    rig::add_camera(&mut saved, note.clone())?;
    if json {
        say_json(&json!({ "format": 1, "name": saved.name, "camera": note }))?;
    } else {
        say(&said(&note))?;
        say(&words::camera_parts(lag.total_ms, lag.own_ms, lag.frame_ms))?;
        say(words::camera_use())?;
        say(&saved.path.display().to_string())?;
    }
    Ok(ExitCode::SUCCESS)
}

fn no_lag(film: &Path, none: NoLag) -> Failure {
    let mend = match none {
        NoLag::TooFew { .. } => {
            "note film frames for more clicks, in the sheet or with --frames".to_owned()
        }
        NoLag::Coarse { .. } => "film at 120 frames a second or more (slow motion)".to_owned(),
        NoLag::Backwards { .. } => "look at this click again, or leave it blank".to_owned(),
        NoLag::Rate { fitted_hz, .. } => format!(
            "give --camera-rate {fitted_hz:.0} if that is how the film was made; if the film lost \
             frames, film again"
        ),
    };
    let place = Some(film.display().to_string());
    Failure::Told(vec![Told { what: none.to_string(), place, mend }])
}

/// What a check found.
#[cfg(feature = "window")]
fn tell(saved: &Saved, json: bool) -> Result<(), Failure> {
    let Saved { name, path, profile } = saved;
    if json {
        return say_json(&json!({ "format": 1, "name": name, "path": path, "rig": profile }));
    }
    for finding in &profile.findings {
        let grade = json!(finding.grade);
        let grade = words::grade(grade.as_str().unwrap_or_default());
        // What does not matter, or nobody can tell, needs no second line.
        let weighs = !matches!(finding.matters, Matters::No | Matters::Unknown)
            || matches!(finding.grade, Grade::Mend | Grade::Note);
        let matters = weighs.then(|| rig::said(finding.matters));
        say(&words::finding_lines(
            grade,
            &finding.what,
            matters.as_deref(),
            finding.mend.as_deref(),
        ))?;
    }
    say(&rig::summary(profile))?;
    let changes: Vec<String> = profile.changes.iter().map(|change| change.said()).collect();
    if let Some(changed) = words::changed(words::before(), &changes) {
        say(&changed)?;
    }
    say(&path.display().to_string())
}
