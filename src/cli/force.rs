//! `force`: lists force axes, and calibrates one for a player: at rest, then at a comfortable strong
//! grip, never the strongest.

use super::out::{Failure, say, warn};
use crate::clock::{self, Bell};
use crate::input::force::{AxisName, ForceAxis, axes};
use crate::rig::force_scale::calibrate;
use crate::settings::players::{self, ForceScale};
use crate::sitting::source;
use crate::units::Span;
use crate::words::{Told, force as words};
use std::io::BufRead as _;
use std::path::PathBuf;
use std::process::ExitCode;

/// How long the hand keeps still for one of the two readings.
const KEEP_FOR: Span = Span::from_s(2);
/// Readings are taken this far apart: an axis that does not move says nothing.
const READ_EACH: Span = Span::from_ms(20);

#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  tautline force                                              lists the axes that are there
  tautline force --player ana --axis right-trigger            calibrates one for ana
  tautline force --player ana --off                           forgets it

A force axis is an analogue trigger, or a sensor that the system shows as one. Sessions then keep how
firmly the hold was held in each wait, as a share of the comfortable strong grip.")]
pub(super) struct Arguments {
    /// The player's nickname
    #[arg(long, value_name = "NAME")]
    player: Option<String>,
    /// The axis: left-trigger, right-trigger or sensor:VENDOR:PRODUCT
    #[arg(long, value_name = "AXIS", requires = "player", conflicts_with = "off")]
    axis: Option<AxisName>,
    /// Forget the player's axis
    #[arg(long, requires = "player")]
    off: bool,
    /// Where sessions are kept (default: as in the settings, else the platform's data folder)
    #[arg(long, value_name = "DIR")]
    data: Option<PathBuf>,
    /// The list as JSON
    #[arg(long, conflicts_with_all = ["player", "axis", "off"])]
    json: bool,
}

pub(super) fn main(arguments: &Arguments) -> Result<ExitCode, Failure> {
    let Some(nickname) = &arguments.player else { return list(arguments.json) };
    let data = source::data_folder(arguments.data.as_deref())?;
    let mut player = players::find_or_create(&data, nickname, source::seed(None))?;
    if arguments.off {
        player.force = None;
    } else if let Some(name) = &arguments.axis {
        player.force = Some(scale(name)?);
    } else {
        return match &player.force {
            Some(force) => {
                say(&format!("{}: rest {}, strong {}", force.axis, force.rest, force.strong))?;
                Ok(ExitCode::SUCCESS)
            }
            None => list(false),
        };
    }
    players::save(&data, &player)?;
    Ok(ExitCode::SUCCESS)
}

fn list(json: bool) -> Result<ExitCode, Failure> {
    let axes = axes();
    if json {
        super::out::say_json(&serde_json::json!({ "format": 1, "axes": axes }))?;
        return Ok(ExitCode::SUCCESS);
    }
    for axis in &axes {
        say(&format!("{:<24} {}", axis.name, axis.device))?;
    }
    if axes.is_empty() {
        say(words::NO_AXIS)?;
    }
    Ok(ExitCode::SUCCESS)
}

/// Asks for both readings and makes a scale of them.
fn scale(name: &AxisName) -> Result<ForceScale, Failure> {
    let told = |what: String, mend: &str| {
        let place = Some(name.to_string());
        Failure::Told(vec![Told { what, place, mend: mend.to_owned() }])
    };
    let mut axis = ForceAxis::listen(name, Bell::of_this_thread())
        .map_err(|error| told(error.to_string(), words::AXIS_MEND))?;
    let mut latest = None;
    warn(words::CAUTION);
    let rest = readings(&mut axis, &mut latest, words::REST)?;
    let strong = readings(&mut axis, &mut latest, words::STRONG)?;
    let scale = calibrate(&rest, &strong)
        .map_err(|error| told(error.to_string(), words::CALIBRATE_MEND))?;
    Ok(ForceScale { axis: name.to_string(), rest: scale.rest, strong: scale.strong })
}

/// What the axis says over the time that the hand keeps still, after Enter.
fn readings(
    axis: &mut ForceAxis,
    latest: &mut Option<f64>,
    ask: &str,
) -> Result<Vec<f64>, Failure> {
    warn(ask);
    std::io::stdin().lock().read_line(&mut String::new()).map_err(|error| {
        Failure::Told(vec![Told {
            what: format!("no Enter can be read: {error}"),
            place: Some("stdin".to_owned()),
            mend: "run it in a terminal".to_owned(),
        }])
    })?;
    let ends = clock::now() + KEEP_FOR;
    let mut values = Vec::new();
    while clock::now() < ends {
        while let Some(reading) = axis.take() {
            *latest = Some(reading.raw);
        }
        values.extend(*latest);
        clock::wait(clock::now() + READ_EACH);
    }
    Ok(values)
}
