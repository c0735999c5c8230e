//! Ratings from 0 to 10, all on one screen.

use super::keys::Pressed;
use super::names;
use super::page::{Page, Primary, title};
use super::rows::{Row, Rows};
use crate::engine::Answer;
use crate::protocol::Rating;
use crate::window::Facts;
use crate::words::screens as words;
use egui::Ui;

/// What is rated, and the rows.
#[derive(Debug)]
pub(super) struct Ratings {
    items: Vec<Rating>,
    block: usize,
    rows: Rows,
}

impl Ratings {
    /// A row for each of `items`, after the block with index `block`.
    pub(super) fn new(items: Vec<Rating>, block: usize) -> Ratings {
        let rows = items.iter().map(|item| Row::scale(names::rating(*item))).collect();
        Ratings { items, block, rows: Rows::new(rows) }
    }

    /// Draws the rows; the ratings once all are given.
    pub(super) fn show(
        &mut self,
        ui: &mut Ui,
        facts: &Facts,
        pressed: &[Pressed],
    ) -> Option<Answer> {
        let done = self.rows.press(pressed);
        let open = self.rows.complete();
        let label = if open { words::GO_ON } else { words::RATE_ALL };
        let primary = Primary { label, open, marked: self.rows.at_button() };
        let keys = [words::KEYS_SCALES, words::KEYS_SESSION];
        let block = Some(self.block);
        let page = Page { facts, block, primary: Some(primary), keys: &keys };
        let rows = &mut self.rows;
        let clicked = page.show(ui, None, |ui| {
            title(ui, words::RATINGS_TITLE);
            rows.show(ui);
        });
        (done || clicked).then(|| self.answer()).flatten()
    }

    /// The ratings, if all are given.
    fn answer(&self) -> Option<Answer> {
        let taken = self.items.iter().zip(self.rows.taken());
        let rated = taken.map(|(item, cell)| Some((*item, u8::try_from(cell?).ok()?)));
        rated.collect::<Option<Vec<_>>>().map(Answer::Rated)
    }
}
