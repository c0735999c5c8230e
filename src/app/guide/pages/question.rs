//! What do you want to know? Each question is a protocol, shipped or made here.

use super::super::super::look;
use super::super::super::page::side;
use super::super::{Guide, widgets};
use super::{Act, framed};
use crate::protocol;
use crate::words::guide as words;
use egui::{Key, Ui};

/// The questions; pressing one chooses it.
pub(super) fn show(guide: &mut Guide, ui: &mut Ui) -> Option<Act> {
    let (_, act) = framed(guide, ui, None, words::QUESTION_KEYS, |guide, ui| {
        side(ui, words::QUESTION_NOTE);
        let began = guide.draft.as_ref().map(|draft| draft.began_as().to_owned());
        let mut chosen = None;
        let mut own_said = false;
        let pressed = digit(ui);
        for (index, question) in guide.questions.iter().enumerate() {
            if question.own && !own_said {
                own_said = true;
                ui.add_space(look::em_of(ui) * 0.5);
                side(ui, words::QUESTION_OWN);
            }
            let plan = &question.source.protocol;
            let takes = protocol::minutes(plan);
            let facts =
                words::question_facts(takes.elapsed, plan.conditions.len(), takes.firm_at_most);
            let heading = words::numbered(index + 1, &plan.question);
            let marked = began.as_deref() == Some(&plan.id);
            if widgets::card(ui, marked, &heading, &[&plan.title, &facts]).clicked()
                || pressed == Some(index + 1)
            {
                chosen = Some(Act::Choose(index));
            }
        }
        chosen
    });
    act
}

/// The number key that was pressed, 1 to 9.
fn digit(ui: &Ui) -> Option<usize> {
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
    let pressed = |key: &Key| ui.input(|input| input.key_pressed(*key));
    KEYS.iter().position(pressed).map(|place| place + 1)
}
