//! Settings: where sessions are kept, the player's gain, text, motion, contrast, display and mouse.

use super::super::super::page::{panel, side};
use super::super::chooser::Want;
use super::super::{Guide, Place, widgets};
use super::{Act, browse, framed};
use crate::display;
use crate::input;
use crate::settings::{Gain, players};
use crate::sitting::USUAL_PX_PER_COUNT;
use crate::words::{afterwards as after, choosing as words};
use egui::Ui;
use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};

/// Sizes of text, in hundredths.
const SIZES: [(u32, &str); 4] = [(100, "100 %"), (125, "125 %"), (150, "150 %"), (200, "200 %")];
/// Contrasts of the target, in hundredths; 0: as each plan says.
const CONTRASTS: [(u32, &str); 4] =
    [(0, after::CONTRAST_AS_PLANNED), (60, "60 %"), (80, "80 %"), (100, "100 %")];
/// Gains that a hand can work with, px a count.
const GAIN: RangeInclusive<f64> = 0.01..=50.0;
/// Turns, fields of view and mice that there are, as on the command line.
const CM_PER_TURN: RangeInclusive<f64> = 2.0..=500.0;
const FOV_DEG: RangeInclusive<f64> = 10.0..=170.0;
const COUNTS_PER_CM: RangeInclusive<f64> = 20.0..=20_000.0;

/// What is typed, until it is kept.
#[derive(Debug, Default)]
pub(in super::super) struct Typed {
    filled: bool,
    data: String,
    gain: String,
    counts: String,
    turn: String,
    fov: String,
    display: String,
    mouse: String,
    lag: String,
    /// Displays and mice that are there, each by its id and its name.
    displays: Vec<(String, String)>,
    mice: Vec<(String, String)>,
}

/// The settings.
pub(super) fn show(guide: &mut Guide, ui: &mut Ui) -> Option<Act> {
    if !guide.state.typed.filled {
        guide.state.typed = typed(guide);
    }
    let fault = fault(guide);
    let open = fault.is_none();
    let beside = fault.unwrap_or_default();
    let (on, act) = framed(guide, ui, Some((after::SETTINGS_KEEP, open)), beside, |guide, ui| {
        look_of_pages(guide, ui);
        let mut act = None;
        panel(ui, after::SETTINGS_MACHINE, false, |ui| {
            let typed = &mut guide.state.typed;
            widgets::field(ui, after::SETTINGS_DATA, &mut typed.data, after::SETTINGS_DATA_HINT);
            let ways = [(Want::DataFolder, words::CHOOSE_FOLDER)];
            act = browse::show(guide, ui, &ways, Some(Want::DataFolder));
            let typed = &mut guide.state.typed;
            choose(ui, after::SETTINGS_DISPLAY, &typed.displays, &mut typed.display);
            side(ui, after::SETTINGS_DISPLAY_NOTE);
            choose(ui, after::SETTINGS_MOUSE, &typed.mice, &mut typed.mouse);
            side(ui, after::SETTINGS_MOUSE_NOTE);
            widgets::field(ui, after::SETTINGS_LAG, &mut typed.lag, "");
            side(ui, after::SETTINGS_LAG_NOTE);
        });
        let typed = &mut guide.state.typed;
        panel(ui, after::SETTINGS_PLAYER, false, |ui| {
            if let Some(player) = &guide.player {
                side(ui, &player.nickname);
                widgets::field(ui, after::SETTINGS_GAIN, &mut typed.gain, "");
                side(ui, after::SETTINGS_GAIN_NOTE);
                widgets::field(ui, after::SETTINGS_TURN, &mut typed.turn, "");
                widgets::field(ui, after::SETTINGS_FOV, &mut typed.fov, "");
                widgets::field(ui, after::SETTINGS_COUNTS, &mut typed.counts, "");
                side(ui, after::SETTINGS_TURN_NOTE);
            } else {
                ui.label(after::SETTINGS_NO_PLAYER);
            }
        });
        let check = widgets::button(ui, after::SETTINGS_RIG).clicked();
        side(ui, after::SETTINGS_ERASE);
        act.or(check.then_some(Act::Go(Place::Rig)))
    });
    if on { keep(guide) } else { act }
}

fn look_of_pages(guide: &mut Guide, ui: &mut Ui) {
    let settings = &mut guide.keeping.settings;
    panel(ui, after::SETTINGS_LOOK, false, |ui| {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0.8 to 2")]
        let mut size = (f64::from(settings.text_scale()) * 100.0).round() as u32;
        if widgets::cells(ui, after::SETTINGS_TEXT, &SIZES, &mut size) {
            settings.text_size = Some(f64::from(size) / 100.0);
        }
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 1")]
        let mut share = (settings.contrast_share.unwrap_or(0.0) * 100.0).round() as u32;
        if widgets::cells(ui, after::SETTINGS_CONTRAST, &CONTRASTS, &mut share) {
            settings.contrast_share = (share > 0).then(|| f64::from(share) / 100.0);
        }
        side(ui, after::SETTINGS_CONTRAST_NOTE);
        widgets::tick(ui, after::SETTINGS_MOTION, &mut settings.reduced_motion);
    });
}

/// What stands in the fields at first.
fn typed(guide: &Guide) -> Typed {
    let settings = &guide.keeping.settings;
    let text = |value: Option<&String>| value.cloned().unwrap_or_default();
    let player = guide.player.as_ref();
    let told = |value: Option<f64>| value.map(|value| value.to_string()).unwrap_or_default();
    let gain = player.and_then(|player| match player.gain() {
        Some(Gain::PxPerCount(px)) => Some(px),
        Some(Gain::Turn { .. }) => None,
        None => Some(USUAL_PX_PER_COUNT),
    });
    Typed {
        filled: true,
        data: settings.data.as_ref().map(|path| path.display().to_string()).unwrap_or_default(),
        gain: told(gain),
        counts: told(player.and_then(|player| player.counts_per_cm)),
        turn: told(player.and_then(|player| player.cm_per_turn)),
        fov: told(player.and_then(|player| player.fov_deg)),
        display: text(settings.display.as_ref()),
        mouse: text(settings.mouse.as_ref()),
        displays: displays(),
        mice: mice(),
        lag: settings.display_lag_ms.map(|ms| ms.to_string()).unwrap_or_default(),
    }
}

fn displays() -> Vec<(String, String)> {
    let there = display::survey::outputs().into_iter();
    there
        .map(|of| {
            let name = after::display_name(&of.id, of.size.width, of.size.height);
            (of.id, name)
        })
        .collect()
}

fn mice() -> Vec<(String, String)> {
    let there = input::survey().mice.into_iter();
    let mut mice: Vec<_> = there.map(|mouse| (mouse.info.ident, mouse.info.name)).collect();
    mice.sort();
    mice.dedup_by(|a, b| a.0 == b.0);
    mice
}

/// One of what is there, or whatever the system has; one that is chosen and not there stays.
fn choose(ui: &mut Ui, label: &str, there: &[(String, String)], chosen: &mut String) {
    let absent = (!chosen.is_empty() && !there.iter().any(|(id, _)| id == chosen))
        .then(|| (chosen.clone(), after::not_there(chosen)));
    let any = (String::new(), after::SETTINGS_ANY.to_owned());
    let all: Vec<(String, String)> =
        [any].into_iter().chain(there.iter().cloned()).chain(absent).collect();
    let cells: Vec<(usize, &str)> =
        all.iter().enumerate().map(|(place, (_, name))| (place, name.as_str())).collect();
    let mut taken = all.iter().position(|(id, _)| id == chosen).unwrap_or(0);
    if widgets::cells(ui, label, &cells, &mut taken)
        && let Some((id, _)) = all.get(taken)
    {
        chosen.clone_from(id);
    }
}

fn number(text: &str) -> Option<f64> {
    text.trim().replace(',', ".").parse().ok().filter(|number: &f64| number.is_finite())
}

impl Typed {
    /// The folder for data as it is typed.
    pub(in super::super) fn data(&self) -> Option<PathBuf> {
        let path = self.data.trim();
        (!path.is_empty()).then(|| PathBuf::from(path))
    }

    /// Takes a folder for data that was chosen.
    pub(in super::super) fn take_data(&mut self, folder: &Path) {
        self.data = folder.display().to_string();
    }

    /// The gain as it is typed, if it is whole and a hand can work with it: by px, or by the turn
    /// where that is told.
    fn gain(&self) -> Option<Gain> {
        let within = |text: &str, range: RangeInclusive<f64>| {
            number(text).filter(|value| range.contains(value))
        };
        if self.turn.trim().is_empty() && self.fov.trim().is_empty() {
            return within(&self.gain, GAIN).map(Gain::PxPerCount);
        }
        Some(Gain::Turn {
            counts_per_cm: within(&self.counts, COUNTS_PER_CM)?,
            cm_per_turn: within(&self.turn, CM_PER_TURN)?,
            fov_deg: within(&self.fov, FOV_DEG)?,
        })
    }
}

/// What is wrong with what is typed.
fn fault(guide: &Guide) -> Option<&'static str> {
    let typed = &guide.state.typed;
    if guide.player.is_some() && typed.gain().is_none() {
        return Some(after::SETTINGS_GAIN_WRONG);
    }
    let lag_wrong = number(&typed.lag).is_none_or(|ms| !(0.0..=200.0).contains(&ms));
    if !typed.lag.trim().is_empty() && lag_wrong {
        return Some(after::SETTINGS_LAG_WRONG);
    }
    None
}

/// Takes over what is typed; the act that keeps it.
fn keep(guide: &mut Guide) -> Option<Act> {
    let typed = &guide.state.typed;
    let text = |text: &str| {
        let text = text.trim();
        (!text.is_empty()).then(|| text.to_owned())
    };
    let settings = &mut guide.keeping.settings;
    settings.data = typed.data();
    settings.display = text(&typed.display);
    settings.mouse = text(&typed.mouse);
    settings.display_lag_ms = number(&typed.lag);
    let (gain, counts) = (typed.gain(), number(&typed.counts));
    if let Some(player) = &mut guide.player {
        player.counts_per_cm = counts.filter(|counts| COUNTS_PER_CM.contains(counts));
        (player.px_per_count, player.cm_per_turn, player.fov_deg) = match gain {
            Some(Gain::PxPerCount(px)) => (Some(px), None, None),
            Some(Gain::Turn { cm_per_turn, fov_deg, .. }) => {
                (None, Some(cm_per_turn), Some(fov_deg))
            }
            None => (None, None, None),
        };
        let saved = guide.keeping.data().and_then(|data| Ok(players::save(&data, player)?));
        if let Err(trouble) = saved {
            guide.trouble = Some(trouble);
            return None;
        }
    }
    guide.list_players();
    Some(Act::SaveSettings)
}
