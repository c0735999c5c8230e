//! Plays the plain loop and reads what it timed.

use crate::support::matching::Told;
use crate::support::players::{self, Play, Programs, Timed};
use crate::support::xserver::XServer;
use std::fs;
use std::path::Path;

/// Plays `trials` trials of the plain loop.
///
/// # Panics
/// When it fails or does not end in time.
pub(crate) fn play(
    programs: &Programs,
    screen: &XServer,
    trials: u32,
    folder: &Path,
    play: &Play,
) -> Timed {
    fs::create_dir_all(folder).expect("a folder for the data");
    let times = folder.join("plain.csv");
    let mut command = players::on_screen(&programs.example("plain-loop"), screen);
    command.arg("--out").arg(&times).args(["--trials", &trials.to_string()]);
    command.args(["--seed", &play.seed.to_string()]);
    let truth = players::beside(programs, screen, &mut command, &folder.join("truth.csv"), play);
    Timed { truth, told: read(&times) }
}

#[derive(serde::Deserialize)]
struct Click {
    shown_ns: Option<i64>,
    press_ns: i64,
}

/// Reads the plain loop's file.
///
/// # Panics
/// When it is not there.
fn read(path: &Path) -> Vec<Told> {
    let mut reader = csv::Reader::from_path(path).expect("the plain loop's file");
    let clicks = reader.deserialize::<Click>().map(|click| click.expect("a whole row"));
    clicks
        .map(|click| Told {
            shown_ns: click.shown_ns,
            move_ns: None,
            five_ns: None,
            fit_ns: None,
            press_ns: Some(click.press_ns),
            begun_ns: None,
            rt_sd_ms: None,
            shown_sd_ms: None,
            flagged: false,
            counts: click.shown_ns.is_some(),
        })
        .collect()
}
