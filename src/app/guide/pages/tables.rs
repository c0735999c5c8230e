//! Times measured elsewhere: a file by drop or by its path; its columns as they are guessed, shown
//! and mapped by hand. Read by the same code as on the command line.

use super::super::super::look;
use super::super::super::page::{panel, side};
use super::super::chooser::Want;
use super::super::told;
use super::super::{Guide, widgets};
use super::{Act, browse, framed};
use crate::exchange::{Asked, Guess, Mapping, Role, Unit};
use crate::words::{afterwards as after, choosing, guide as words};
use egui::{ComboBox, Grid, Ui, vec2};
use std::path::{Path, PathBuf};

/// Units that can be chosen; none: as the column says.
const UNITS: [(Option<Unit>, &str); 4] = [
    (None, after::UNIT_AS_NAMED),
    (Some(Unit::Ms), "ms"),
    (Some(Unit::S), "s"),
    (Some(Unit::Frames), after::UNIT_FRAMES),
];

/// What is asked of the table.
#[derive(Debug, Default)]
pub(in super::super) struct TableState {
    /// Its path as typed, chosen or dropped.
    path: String,
    /// How its columns look; none: not looked at yet.
    looked: Looked,
    mappings: Vec<Mapping>,
    unit: Option<Unit>,
    /// Frames a second as typed.
    frames: String,
    /// Whose rows, as typed.
    player: String,
}

/// What is known of a table's columns.
#[derive(Debug, Clone, Default)]
enum Looked {
    /// No file is named.
    #[default]
    NoFile,
    /// It is being read.
    Reading,
    /// No table reads there.
    NoTable,
    /// Its columns.
    Columns(Guess),
}

impl TableState {
    /// The file, if one is named.
    pub(in super::super) fn file(&self) -> Option<PathBuf> {
        let path = self.path.trim().trim_matches(['"', '\'']);
        (!path.is_empty()).then(|| PathBuf::from(path))
    }

    /// What is asked of it.
    pub(in super::super) fn asked(&self) -> Asked {
        let player = self.player.trim();
        Asked {
            columns: self.mappings.clone(),
            unit: self.unit,
            frames_per_second: self.frames.trim().replace(',', ".").parse().ok(),
            player: (!player.is_empty()).then(|| player.to_owned()),
            ..Asked::default()
        }
    }

    /// Whether frames are counted and how many a second is still to be told.
    fn lacks_rate(&self, guess: &Guess) -> bool {
        let rate = self.asked().frames_per_second;
        guess.in_frames(self.unit) && !rate.is_some_and(|rate| rate.is_finite() && rate > 0.0)
    }

    /// Takes a table that was chosen or dropped.
    pub(in super::super) fn take(&mut self, path: &Path) {
        self.path = path.display().to_string();
        self.mappings.clear();
    }

    /// The columns are to be looked at: of which file, and how they were mapped by hand.
    pub(in super::super) fn ask_columns(&mut self) -> Option<(PathBuf, Vec<Mapping>)> {
        let file = self.file();
        if file.is_none() {
            self.looked = Looked::NoFile;
        } else if !matches!(self.looked, Looked::Columns(_)) {
            // Columns that are known stay on show until the new ones are.
            self.looked = Looked::Reading;
        }
        Some((file?, self.mappings.clone()))
    }

    /// Takes in how the columns look.
    pub(in super::super) fn hear(&mut self, guess: Option<Guess>) {
        self.looked = guess.map_or(Looked::NoTable, Looked::Columns);
    }

    /// Takes the column `header` for `role`; none: the table has none.
    fn map(&mut self, role: Role, header: Option<String>) {
        self.mappings.retain(|mapping| mapping.role != role);
        self.mappings.push(Mapping { role, header: header.unwrap_or_default() });
    }
}

/// The table.
pub(super) fn show(guide: &mut Guide, ui: &mut Ui) -> Option<Act> {
    let (open, beside) = match &guide.state.table.looked {
        Looked::Columns(guess) if guide.state.table.lacks_rate(guess) => {
            (false, after::TABLE_RATE_FIRST)
        }
        Looked::Columns(_) => (true, ""),
        Looked::NoFile | Looked::Reading | Looked::NoTable => (false, ""),
    };
    let can_drop = guide.can_drop;
    let (on, act) = framed(guide, ui, Some((after::TABLE_READ, open)), beside, |guide, ui| {
        ui.label(after::TABLE_TEXT);
        ui.label(if can_drop { after::TABLE_DROP } else { after::TABLE_NO_DROP });
        let ways = [(Want::Table, choosing::CHOOSE_FILE)];
        let mut act = browse::show(guide, ui, &ways, Some(Want::Table));
        let table = &mut guide.state.table;
        if widgets::field(ui, after::TABLE_PATH, &mut table.path, after::TABLE_HINT).changed() {
            table.mappings.clear();
            act = Some(Act::LookAtTable);
        }
        match table.looked.clone() {
            Looked::NoFile => {}
            Looked::Reading => {
                ui.label(words::WORKING);
            }
            Looked::NoTable => {
                ui.label(after::TABLE_UNREADABLE);
            }
            Looked::Columns(guess) => {
                unit(ui, table, &guess);
                if columns(ui, table, &guess) {
                    act = Some(Act::LookAtTable);
                }
            }
        }
        act
    });
    if on { Some(Act::ReadTable) } else { act }
}

/// Each role with the column that it would be, and the first rows; whether one was mapped anew.
fn columns(ui: &mut Ui, table: &mut TableState, guess: &Guess) -> bool {
    let em = look::em_of(ui);
    let mut mapped = false;
    panel(ui, after::TABLE_COLUMNS, true, |ui| {
        Grid::new("columns").spacing(vec2(em * 1.2, em * 0.4)).show(ui, |ui| {
            for role in Role::ALL {
                let taken = guess.taken.iter().find(|(known, _)| *known == role);
                let taken = taken.and_then(|(_, place)| guess.headers.get(*place));
                ui.label(told::role(role));
                let shown = taken.map_or(after::TABLE_NO_COLUMN, String::as_str);
                let mut chosen = None;
                ComboBox::from_id_salt(role.name()).selected_text(shown).width(em * 12.0).show_ui(
                    ui,
                    |ui| {
                        if ui.selectable_label(taken.is_none(), after::TABLE_NO_COLUMN).clicked() {
                            chosen = Some(None);
                        }
                        for header in &guess.headers {
                            if ui.selectable_label(taken == Some(header), header.as_str()).clicked()
                            {
                                chosen = Some(Some(header.clone()));
                            }
                        }
                    },
                );
                let example = taken.and_then(|header| {
                    let place = guess.headers.iter().position(|other| other == header)?;
                    guess.examples.first()?.get(place).cloned()
                });
                side(ui, &example.map_or_else(String::new, |cell| after::table_example(&cell)));
                ui.end_row();
                if let Some(header) = chosen {
                    table.map(role, header);
                    mapped = true;
                }
            }
        });
    });
    mapped
}

/// What the columns do not say, asked only where it matters.
fn unit(ui: &mut Ui, table: &mut TableState, guess: &Guess) {
    let has = |role: Role| guess.taken.iter().any(|(known, _)| *known == role);
    if has(Role::Time) {
        widgets::cells(ui, after::TABLE_UNIT, &UNITS, &mut table.unit);
    }
    widgets::field(ui, after::TABLE_FRAMES, &mut table.frames, after::TABLE_FRAMES_HINT);
    if has(Role::Player) {
        widgets::field(ui, after::TABLE_PLAYER, &mut table.player, "");
    }
}
