//! The two that need a window: the guided check, and the screen to be filmed.

use super::super::out::{Failure, say};
use super::super::place::Place;
use crate::app::Sheets;
use crate::clock;
use crate::display::Stage;
use crate::rig::camera::sheet;
use crate::rig::{self, Saved};
use crate::session::live::{self, Booth, Checked, RigPlan};
use crate::settings::{self, Settings};
use crate::sitting::rig_check;
use crate::window::{self, Facts, Opened};
use crate::words::Told;
use crate::words::rig as words;
use std::path::PathBuf;
use std::process::ExitCode;

#[derive(Debug, clap::Args)]
pub(super) struct Options {
    /// Without the mouse: only display and computer
    #[arg(long)]
    no_mouse: bool,
    #[command(flatten)]
    place: Place,
}

impl Options {
    fn plan(&self, data: PathBuf, kept: &Settings) -> Result<RigPlan, Failure> {
        let plan = rig_check::plan(data, self.place.input, self.place.mouse_or(kept))?;
        Ok(RigPlan { with_mouse: !self.no_mouse, ..plan })
    }
}

/// The guided check.
pub(super) fn check(options: &Options, data: PathBuf) -> Result<Saved, Failure> {
    let kept = settings::load(&settings::settings_file()?)?;
    let plan = options.plan(data, &kept)?;
    let facts = rig_check::facts()?;
    let checked = window::open(
        options.place.window_or(&kept),
        Box::new(Sheets::default()),
        move |opened| in_booth(opened, &facts, |booth, stage| live::check(booth, stage, &plan)),
    )??;
    match checked {
        Checked::Saved(saved) => Ok(*saved),
        Checked::Failed(error) => Err((*error).into()),
        Checked::Ended => Err(Failure::Told(vec![Told {
            what: "the check was ended before its end: nothing was kept".to_owned(),
            place: Some("the window".to_owned()),
            mend: "start it again; single steps can be passed over with Esc".to_owned(),
        }])),
    }
}

/// The screen to be filmed; prints the sheet.
pub(super) fn film(options: &Options, data: PathBuf) -> Result<ExitCode, Failure> {
    let kept = settings::load(&settings::settings_file()?)?;
    let plan = options.plan(data.clone(), &kept)?;
    let facts = rig_check::facts()?;
    let filmed = window::open(
        options.place.window_or(&kept),
        Box::new(Sheets::default()),
        move |opened| in_booth(opened, &facts, |booth, stage| live::film(booth, stage, &plan)),
    )??;
    let answers = filmed.map(|filmed| filmed.answers).unwrap_or_default();
    if answers.len() < rig::camera::FEWEST_CLICKS {
        return Err(Failure::Told(vec![Told {
            what: words::film_too_few().to_owned(),
            place: Some("the window".to_owned()),
            mend: words::film_too_few_mend().to_owned(),
        }]));
    }
    let path = rig::sheet_path(&data, clock::utc())?;
    sheet::write(&path, &sheet::rows(&answers))?;
    say(&words::film_next(&path.display().to_string(), answers.len()))?;
    Ok(ExitCode::SUCCESS)
}

/// Runs `go` on the stimulus thread with what it needs of the window, and closes it.
fn in_booth<R>(
    opened: Opened,
    facts: &Facts,
    go: impl FnOnce(Booth<'_>, Stage) -> Result<(Stage, R), live::LiveError>,
) -> Result<R, live::LiveError> {
    let (back, came) = live::in_booth(opened, facts, go)?;
    back.main.close();
    Ok(came)
}
