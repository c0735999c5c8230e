//! What do you want to know? Each question is a protocol, shipped or made here.
//!
//! What is asked most stands first, then what was made here; the others are behind a button, under
//! the headings of [`GROUPS`].

use super::super::super::look;
use super::super::super::page::side;
use super::super::draft::Question;
use super::super::{Guide, widgets};
use super::{Act, framed};
use crate::protocol;
use crate::words::guide as words;
use egui::{Key, Ui};

/// What is asked most: which hold is faster, and what an hour does to it.
const FIRST: [&str; 4] = ["first-look", "two-holds", "three-holds", "hour-of-blocks"];
/// The other shipped questions, under a heading each.
const GROUPS: [(&str, &[&str]); 4] = [
    (words::QUESTIONS_CHOOSE, &["choice-by-hold", "four-ways-by-hold", "go-no-go-by-hold"]),
    (
        words::QUESTIONS_STEPS_OUT,
        &["emergence-by-hold", "emergence-half-covered", "partner-steps-out"],
    ),
    (
        words::QUESTIONS_MOVE,
        &[
            "onset-by-hold",
            "onset-and-click",
            "pointing-by-difficulty",
            "pursuit-by-hold",
            "steadiness-by-hold",
        ],
    ),
    (words::QUESTIONS_KEEP_UP, &["tapping-by-hold", "long-watch"]),
];

/// The questions; pressing one chooses it.
pub(super) fn show(guide: &mut Guide, ui: &mut Ui) -> Option<Act> {
    let (_, act) = framed(guide, ui, None, words::QUESTION_KEYS, |guide, ui| {
        side(ui, words::QUESTION_NOTE);
        let began = guide.draft.as_ref().map(|draft| draft.began_as().to_owned());
        let mut list =
            List { began: began.as_deref(), number: 0, pressed: digit(ui), chosen: None };
        for id in FIRST {
            list.shipped(ui, &guide.questions, id);
        }
        if guide.questions.iter().any(|question| question.own) {
            heading(ui, words::QUESTION_OWN);
        }
        for (index, question) in guide.questions.iter().enumerate() {
            if question.own {
                list.card(ui, index, question);
            }
        }
        ui.add_space(look::em_of(ui) * 0.5);
        let more = &mut guide.state.more_questions;
        let label = if *more { words::QUESTIONS_FEWER } else { words::QUESTIONS_MORE };
        if widgets::button(ui, label).clicked() {
            *more = !*more;
            ui.ctx().request_repaint();
        }
        if *more {
            for (name, ids) in GROUPS {
                heading(ui, name);
                for id in ids {
                    list.shipped(ui, &guide.questions, id);
                }
            }
        }
        list.chosen
    });
    act
}

fn heading(ui: &mut Ui, text: &str) {
    ui.add_space(look::em_of(ui) * 0.5);
    side(ui, text);
}

/// The cards as they are drawn, one after the other.
struct List<'a> {
    /// The question that the plan on its way began with.
    began: Option<&'a str>,
    /// How many stand above.
    number: usize,
    /// The number key that was pressed.
    pressed: Option<usize>,
    chosen: Option<Act>,
}

impl List<'_> {
    fn shipped(&mut self, ui: &mut Ui, questions: &[Question], id: &str) {
        let of_id = |question: &Question| !question.own && question.source.protocol.id == id;
        if let Some(index) = questions.iter().position(of_id) {
            self.card(ui, index, &questions[index]);
        }
    }

    fn card(&mut self, ui: &mut Ui, index: usize, question: &Question) {
        self.number += 1;
        let plan = &question.source.protocol;
        let takes = protocol::minutes(plan);
        let facts = words::question_facts(takes.elapsed, plan.conditions.len(), takes.firm_at_most);
        let heading = if self.number <= KEYS.len() {
            words::numbered(self.number, &plan.question)
        } else {
            plan.question.clone()
        };
        let marked = self.began == Some(&plan.id);
        if widgets::card(ui, marked, &heading, &[&plan.title, &facts]).clicked()
            || self.pressed == Some(self.number)
        {
            self.chosen = Some(Act::Choose(index));
        }
    }
}

/// The keys that take the first questions on show.
const KEYS: [Key; 9] = [
    Key::Num1,
    Key::Num2,
    Key::Num3,
    Key::Num4,
    Key::Num5,
    Key::Num6,
    Key::Num7,
    Key::Num8,
    Key::Num9,
];

/// The number key that was pressed, 1 to 9.
fn digit(ui: &Ui) -> Option<usize> {
    let pressed = |key: &Key| ui.input(|input| input.key_pressed(*key));
    KEYS.iter().position(pressed).map(|place| place + 1)
}

#[cfg(test)]
mod tests {
    use super::{FIRST, GROUPS};
    use crate::protocol::shipped;

    #[test]
    fn every_shipped_question_stands_on_the_page_once() {
        let behind = GROUPS.iter().flat_map(|(_, ids)| ids.iter().copied());
        let mut shown: Vec<&str> = FIRST.into_iter().chain(behind).collect();
        let mut known: Vec<&str> = shipped::shipped().iter().map(|shipped| shipped.id).collect();
        shown.sort_unstable();
        known.sort_unstable();
        assert_eq!(shown, known);
    }
}
