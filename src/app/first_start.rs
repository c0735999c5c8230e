//! The first start: the cautions, the questions, advice where one is answered by yes, and the
//! player's own agreement.
//!
//! Keeps no answer beyond the screen: what comes out says only who agreed, whether light holds alone
//! are offered, and the age band. Nothing is answered beforehand.

use super::choices::Choices;
use super::keys::Pressed;
use super::look;
use super::page::{Page, Primary, panel, side, title};
use super::rows::{Row, Rows};
use crate::window::{Age, Facts, FirstStart};
use crate::words::screens as words;
use egui::Ui;

/// Cell of "yes" in a question.
const YES: usize = 1;
/// Cell of "under 18".
const YOUNG: usize = 1;
/// Rows that are always asked: hand, heart, flashing, age.
const QUESTIONS: usize = 4;

/// The steps, and the answers, which stay while the player goes back and forth.
#[derive(Debug)]
pub(super) struct FirstStartScreen {
    at: At,
    rows: Rows,
}

/// Where the player is.
#[derive(Debug)]
enum At {
    /// The cautions.
    Caution,
    /// The questions.
    Questions,
    /// A yes.
    Advice(Yes, Choices),
    /// No guardian has agreed.
    NoGuardian,
    /// The agreement.
    Agreement(Yes, Choices),
}

/// What the questions came to.
#[derive(Debug, Clone, Copy)]
pub(super) struct Yes {
    holds: bool,
    flashing: bool,
    age: Age,
}

impl Yes {
    const fn end(self, agreed: bool) -> FirstStart {
        FirstStart { agreed, light_only: self.holds || self.flashing, age: self.age }
    }
}

fn questions() -> Rows {
    let no_yes = [words::NO, words::YES];
    Rows::new(vec![
        Row::choice(words::ASK_HAND, &no_yes),
        Row::choice(words::ASK_HEART, &no_yes),
        Row::choice(words::ASK_FLASHING, &no_yes),
        Row::choice(words::ASK_AGE, &[words::AGE_ADULT, words::AGE_YOUNG]),
    ])
}

impl Default for FirstStartScreen {
    fn default() -> FirstStartScreen {
        FirstStartScreen { at: At::Caution, rows: questions() }
    }
}

impl FirstStartScreen {
    /// The questions first: the cautions were read.
    pub(super) fn questions() -> FirstStartScreen {
        FirstStartScreen { at: At::Questions, rows: questions() }
    }

    /// Back to the questions as they were answered; false where they are on show already.
    pub(super) fn back(&mut self) -> bool {
        let behind = !matches!(self.at, At::Caution | At::Questions);
        if behind {
            self.at = At::Questions;
        }
        behind
    }

    /// Draws the step; what came out, at the end of the last one.
    pub(super) fn show(
        &mut self,
        ui: &mut Ui,
        facts: &Facts,
        pressed: &[Pressed],
    ) -> Option<FirstStart> {
        let step = match &mut self.at {
            At::Caution => caution(ui, facts, pressed),
            At::Questions => ask(ui, facts, &mut self.rows, pressed),
            At::Advice(yes, choices) => advice(ui, facts, *yes, choices, pressed),
            At::NoGuardian => no_guardian(ui, facts, pressed),
            At::Agreement(yes, choices) => agreement(ui, facts, *yes, choices, pressed),
        };
        match step {
            Step::Stay => None,
            Step::To(next) => {
                self.at = next;
                ui.ctx().request_repaint();
                None
            }
            Step::End(end) => Some(end),
        }
    }
}

enum Step {
    Stay,
    To(At),
    End(FirstStart),
}

fn caution(ui: &mut Ui, facts: &Facts, pressed: &[Pressed]) -> Step {
    let primary = Primary { label: words::GO_ON, open: true, marked: true };
    let page = Page { facts, block: None, primary: Some(primary), keys: &[] };
    let clicked = page.show(ui, Some(pressed), |ui| {
        title(ui, words::CAUTION_TITLE);
        for [heading, text] in words::CAUTION {
            ui.scope(|ui| {
                ui.spacing_mut().item_spacing.y = look::em_of(ui) * 0.15;
                side(ui, heading);
                ui.label(text);
            });
        }
    });
    if clicked || pressed.contains(&Pressed::Enter) { Step::To(At::Questions) } else { Step::Stay }
}

fn ask(ui: &mut Ui, facts: &Facts, rows: &mut Rows, pressed: &[Pressed]) -> Step {
    let done = rows.press(pressed);
    with_guardian(rows);
    let primary = Primary { label: words::GO_ON, open: rows.complete(), marked: rows.at_button() };
    let page = Page { facts, block: None, primary: Some(primary), keys: &[words::KEYS_QUESTIONS] };
    let clicked = page.show(ui, None, |ui| {
        title(ui, words::QUESTIONS_TITLE);
        side(ui, words::QUESTIONS_NOTE);
        rows.show(ui);
    });
    if done || clicked { judge(rows) } else { Step::Stay }
}

/// The guardian is asked about only under 18.
fn with_guardian(rows: &mut Rows) {
    let young = rows.taken().nth(QUESTIONS - 1) == Some(Some(YOUNG));
    let row = young.then(|| Row::choice(words::ASK_GUARDIAN, &[words::NO, words::YES]));
    rows.only_or_also(QUESTIONS, row);
}

fn judge(rows: &Rows) -> Step {
    let taken: Vec<Option<usize>> = rows.taken().collect();
    let yes = |index: usize| taken.get(index) == Some(&Some(YES));
    let age = if taken.get(QUESTIONS - 1) == Some(&Some(YOUNG)) { Age::Young } else { Age::Adult };
    let said = Yes { holds: yes(0) || yes(1), flashing: yes(2), age };
    Step::To(if age == Age::Young && !yes(QUESTIONS) {
        At::NoGuardian
    } else if said.holds || said.flashing {
        At::Advice(said, Choices::default())
    } else {
        At::Agreement(said, Choices::default())
    })
}

fn advice(
    ui: &mut Ui,
    facts: &Facts,
    yes: Yes,
    choices: &mut Choices,
    pressed: &[Pressed],
) -> Step {
    let go_on = if yes.flashing { words::ADVICE_AGREED } else { words::ADVICE_LIGHT };
    let mut taken = None;
    list_page(facts).show(ui, None, |ui| {
        title(ui, words::ADVICE_TITLE);
        if yes.flashing {
            ui.label(words::ADVICE_FLASHING);
        }
        if yes.holds {
            ui.label(words::ADVICE_HOLDS);
        }
        taken = choices.show(ui, &[words::ADVICE_LEAVE, go_on], pressed);
    });
    match taken {
        None => Step::Stay,
        Some(0) => Step::End(yes.end(false)),
        Some(_) => Step::To(At::Agreement(yes, Choices::default())),
    }
}

fn no_guardian(ui: &mut Ui, facts: &Facts, pressed: &[Pressed]) -> Step {
    let primary = Primary { label: words::CLOSE, open: true, marked: true };
    let page = Page { facts, block: None, primary: Some(primary), keys: &[] };
    let clicked = page.show(ui, Some(pressed), |ui| {
        title(ui, words::GUARDIAN_TITLE);
        ui.label(words::GUARDIAN_TEXT);
    });
    if clicked || pressed.contains(&Pressed::Enter) {
        Step::End(FirstStart { agreed: false, light_only: false, age: Age::Young })
    } else {
        Step::Stay
    }
}

fn agreement(
    ui: &mut Ui,
    facts: &Facts,
    yes: Yes,
    choices: &mut Choices,
    pressed: &[Pressed],
) -> Step {
    let mut taken = None;
    list_page(facts).show(ui, None, |ui| {
        title(ui, words::AGREEMENT_TITLE);
        panel(ui, &words::agreement_for(&facts.player), true, |ui| {
            ui.label(words::AGREEMENT_TEXT);
        });
        taken = choices.show(ui, &[words::AGREE, words::DISAGREE], pressed);
    });
    taken.map_or(Step::Stay, |line| Step::End(yes.end(line == 0)))
}

const fn list_page(facts: &Facts) -> Page<'_> {
    Page { facts, block: None, primary: None, keys: &[words::KEYS_LIST] }
}
