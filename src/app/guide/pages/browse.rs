//! Looks for a table in the folders of this computer: a list of folders and tables, by keyboard too.
//!
//! A folder is read when it is entered, never while a page is drawn again.

use super::super::super::look;
use super::super::super::page::{panel, side};
use super::super::widgets;
use crate::words::afterwards as after;
use egui::{ScrollArea, Ui, vec2};
use std::path::{Path, PathBuf};

/// Endings of files that may be a table.
const ENDINGS: [&str; 3] = ["csv", "tsv", "txt"];
/// More entries than this are not listed: the name can be typed.
const MOST: usize = 400;

/// Where it is being looked.
#[derive(Debug, Default)]
pub(in super::super) struct Browse {
    /// The folder on show; none: not looking.
    at: Option<PathBuf>,
    folders: Vec<PathBuf>,
    tables: Vec<PathBuf>,
    /// Why the folder does not read.
    fault: Option<String>,
}

impl Browse {
    /// Starts in the folder of `file`, else at home.
    fn begin(&mut self, file: Option<PathBuf>) {
        let beside = file.and_then(|file| Some(file.parent()?.to_owned()));
        let folder = beside.filter(|folder| folder.is_dir()).or_else(std::env::home_dir);
        self.enter(folder.unwrap_or_else(|| PathBuf::from(std::path::MAIN_SEPARATOR_STR)));
    }

    fn enter(&mut self, folder: PathBuf) {
        (self.folders, self.tables, self.fault) = (Vec::new(), Vec::new(), None);
        match std::fs::read_dir(&folder) {
            Ok(entries) => {
                for path in entries.flatten().map(|entry| entry.path()) {
                    if name(&path).starts_with('.') {
                        continue;
                    }
                    if path.is_dir() {
                        self.folders.push(path);
                    } else if is_table(&path) {
                        self.tables.push(path);
                    }
                }
                self.folders.sort();
                self.tables.sort();
            }
            Err(error) => self.fault = Some(after::browse_fault(&error.to_string())),
        }
        self.at = Some(folder);
    }

    /// Draws the list, or the button that opens it; the table that was chosen.
    pub(super) fn show(&mut self, ui: &mut Ui, file: Option<PathBuf>) -> Option<PathBuf> {
        let Some(at) = self.at.clone() else {
            if widgets::button(ui, after::BROWSE).clicked() {
                self.begin(file);
            }
            return None;
        };
        let em = look::em_of(ui);
        let (mut chosen, mut entered, mut over) = (None, None, false);
        panel(ui, after::BROWSE_TITLE, true, |ui| {
            ui.label(at.display().to_string());
            ui.horizontal_wrapped(|ui| {
                ui.spacing_mut().item_spacing = vec2(em * 0.5, em * 0.3);
                if let Some(up) = at.parent()
                    && widgets::button(ui, after::BROWSE_UP).clicked()
                {
                    entered = Some(up.to_owned());
                }
                over = widgets::button(ui, after::BROWSE_OVER).clicked();
            });
            if let Some(fault) = &self.fault {
                ui.label(fault);
            } else if self.folders.is_empty() && self.tables.is_empty() {
                side(ui, after::BROWSE_NOTHING);
            }
            ScrollArea::vertical().max_height(em * 16.0).show(ui, |ui| {
                for table in self.tables.iter().take(MOST) {
                    if widgets::button(ui, &name(table)).clicked() {
                        chosen = Some(table.clone());
                    }
                }
                for folder in self.folders.iter().take(MOST) {
                    if widgets::button(ui, &after::browse_folder(&name(folder))).clicked() {
                        entered = Some(folder.clone());
                    }
                }
            });
            if self.tables.len().max(self.folders.len()) > MOST {
                side(ui, after::BROWSE_MORE);
            }
        });
        if let Some(folder) = entered {
            self.enter(folder);
        }
        if over || chosen.is_some() {
            *self = Browse::default();
        }
        chosen
    }
}

fn name(path: &Path) -> String {
    path.file_name().unwrap_or_default().to_string_lossy().into_owned()
}

fn is_table(path: &Path) -> bool {
    let ending = path.extension().and_then(|ending| ending.to_str()).map(str::to_lowercase);
    ending.is_some_and(|ending| ENDINGS.contains(&ending.as_str()))
}
