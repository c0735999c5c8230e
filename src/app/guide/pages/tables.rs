//! Times measured elsewhere: a file by drop or by its path; its columns as they are guessed, shown
//! and mapped by hand. Read by the same code as on the command line.

use super::super::super::look;
use super::super::super::page::{panel, side};
use super::super::told;
use super::super::{Guide, widgets};
use super::browse::Browse;
use super::{Act, framed};
use crate::exchange::{Asked, Guess, Mapping, Role, Unit, guess};
use crate::words::afterwards as after;
use egui::{ComboBox, Grid, Ui, vec2};
use std::path::PathBuf;

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
    /// Its path as typed or dropped.
    path: String,
    /// The file as it was looked at, with its columns.
    looked: Option<(String, Option<Guess>)>,
    mappings: Vec<Mapping>,
    unit: Option<Unit>,
    /// Frames a second as typed.
    frames: String,
    /// Whose rows, as typed.
    player: String,
    /// Where a table is looked for.
    browse: Browse,
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

    /// Looks at the file's columns anew where the path or a mapping is another one.
    fn look(&mut self, again: bool) {
        let Some(file) = self.file() else {
            self.looked = None;
            return;
        };
        if again || self.looked.as_ref().is_none_or(|(path, _)| *path != self.path) {
            let found = std::fs::read(file).ok().and_then(|bytes| guess(&bytes, &self.mappings));
            self.looked = Some((self.path.clone(), found));
        }
    }

    /// Takes the column `header` for `role`; none: the table has none.
    fn map(&mut self, role: Role, header: Option<String>) {
        self.mappings.retain(|mapping| mapping.role != role);
        self.mappings.push(Mapping { role, header: header.unwrap_or_default() });
        self.look(true);
    }
}

/// The table.
pub(super) fn show(guide: &mut Guide, ui: &mut Ui) -> Option<Act> {
    let dropped =
        ui.input(|input| input.raw.dropped_files.first().map(|file| file.path().to_owned()));
    let table = &mut guide.state.table;
    if let Some(path) = dropped {
        table.path = path.display().to_string();
        table.mappings.clear();
    }
    table.look(false);
    let seen = table.looked.as_ref().is_some_and(|(_, guess)| guess.is_some());
    let (on, act) = framed(guide, ui, Some((after::TABLE_READ, seen)), "", |guide, ui| {
        ui.label(after::TABLE_TEXT);
        let table = &mut guide.state.table;
        if widgets::field(ui, after::TABLE_PATH, &mut table.path, after::TABLE_HINT).changed() {
            table.mappings.clear();
        }
        let file = table.file();
        if let Some(chosen) = table.browse.show(ui, file) {
            table.path = chosen.display().to_string();
            table.mappings.clear();
            ui.ctx().request_repaint();
        }
        match table.looked.clone() {
            None => {}
            Some((_, None)) => {
                ui.label(after::TABLE_UNREADABLE);
            }
            Some((_, Some(guess))) => {
                columns(ui, table, &guess);
                unit(ui, table);
            }
        }
        None
    });
    if on { Some(Act::ReadTable) } else { act }
}

/// Each role with the column that it would be, and the first rows.
fn columns(ui: &mut Ui, table: &mut TableState, guess: &Guess) {
    let em = look::em_of(ui);
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
                }
            }
        });
    });
}

fn unit(ui: &mut Ui, table: &mut TableState) {
    widgets::cells(ui, after::TABLE_UNIT, &UNITS, &mut table.unit);
    widgets::field(ui, after::TABLE_FRAMES, &mut table.frames, "");
    widgets::field(ui, after::TABLE_PLAYER, &mut table.player, "");
}
