//! The player's expectation: which hold is faster, and how sure.
//!
//! The first line is "no idea", so that going on without a thought claims nothing.

use super::choices::Choices;
use super::keys::Pressed;
use super::names;
use super::page::{Page, Primary, side, title};
use super::rows::{Row, Rows};
use crate::engine::Answer;
use crate::protocol::Rating;
use crate::window::Facts;
use crate::words::screens as words;
use egui::Ui;

/// Which hold, then how sure.
#[derive(Debug)]
pub(super) enum Expectation {
    /// Which hold.
    Faster(Choices),
    /// How sure, of the hold with this index.
    Sure {
        /// Index into the protocol's conditions.
        faster: usize,
        /// The scale.
        rows: Rows,
    },
}

impl Expectation {
    pub(super) fn new() -> Expectation {
        Expectation::Faster(Choices::default())
    }

    /// Draws the question; the answer once both are known.
    pub(super) fn show(
        &mut self,
        ui: &mut Ui,
        facts: &Facts,
        pressed: &[Pressed],
    ) -> Option<Answer> {
        match self {
            Expectation::Faster(choices) => {
                let line = which(ui, facts, choices, pressed)?;
                let Some(faster) = line.checked_sub(1) else {
                    return Some(Answer::Expected { faster: None, sure: 0 });
                };
                let rows = Rows::new(vec![Row::scale(names::rating(Rating::Expectation))]);
                *self = Expectation::Sure { faster, rows };
                ui.ctx().request_repaint();
                None
            }
            Expectation::Sure { faster, rows } => {
                if pressed.contains(&Pressed::Escape) {
                    *self = Expectation::new();
                    ui.ctx().request_repaint();
                    return None;
                }
                let sure = how_sure(ui, facts, *faster, rows, pressed)?;
                Some(Answer::Expected { faster: Some(*faster), sure })
            }
        }
    }
}

fn which(ui: &mut Ui, facts: &Facts, choices: &mut Choices, pressed: &[Pressed]) -> Option<usize> {
    let holds: Vec<String> = facts.protocol.conditions.iter().map(names::hold).collect();
    let lines: Vec<&str> =
        [words::NO_OPINION].into_iter().chain(holds.iter().map(String::as_str)).collect();
    let keys = [words::KEYS_LIST, words::KEYS_SESSION];
    let mut taken = None;
    Page { facts, block: None, primary: None, keys: &keys }.show(ui, None, |ui| {
        title(ui, words::EXPECTATION_TITLE);
        ui.label(words::EXPECTATION_NOTE);
        taken = choices.show(ui, &lines, pressed);
    });
    taken
}

fn how_sure(
    ui: &mut Ui,
    facts: &Facts,
    faster: usize,
    rows: &mut Rows,
    pressed: &[Pressed],
) -> Option<u8> {
    let done = rows.press(pressed);
    let primary = Primary { label: words::GO_ON, open: rows.complete(), marked: rows.at_button() };
    let keys = [words::KEYS_SCALES, words::KEYS_BACK, words::KEYS_SESSION];
    let page = Page { facts, block: None, primary: Some(primary), keys: &keys };
    let clicked = page.show(ui, None, |ui| {
        title(ui, words::EXPECTATION_TITLE);
        if let Some(condition) = facts.protocol.conditions.get(faster) {
            side(ui, &words::expected_faster(&names::hold(condition)));
        }
        rows.show(ui);
    });
    let sure = rows.taken().next().flatten().and_then(|cell| u8::try_from(cell).ok());
    if done || clicked { sure } else { None }
}
