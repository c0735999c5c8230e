//! Which words stand for which value: the match between the program's enums and the sentences.

use crate::engine::{Ending, PauseReason};
use crate::protocol::{Condition, Grip, Rating, Tension};
use crate::scene::Side;
use crate::tasks::{AnsweredBy, ChoiceBy, Map, TaskKind};
use crate::words::screens as words;
use std::borrow::Cow;

/// What the task asks for.
pub(super) fn task(kind: &TaskKind) -> Cow<'static, str> {
    match kind {
        TaskKind::Simple(_) => words::TASK_SIMPLE.into(),
        TaskKind::Onset(_) => words::TASK_ONSET.into(),
        TaskKind::GoNoGo(task) => {
            let (go, withhold) = match task.go_notch {
                Side::Up => (words::NOTCH_UP, words::NOTCH_DOWN),
                Side::Down => (words::NOTCH_DOWN, words::NOTCH_UP),
                Side::Left => (words::NOTCH_LEFT, words::NOTCH_RIGHT),
                Side::Right => (words::NOTCH_RIGHT, words::NOTCH_LEFT),
            };
            words::task_go_no_go(go, withhold).into()
        }
        TaskKind::Choice(choice) => match (choice.by, choice.map, choice.alternatives) {
            (ChoiceBy::Movement { .. }, Map::Same, places) => {
                words::task_choice_towards(places).into()
            }
            (ChoiceBy::Movement { .. }, Map::Crossed, places) => {
                words::task_choice_away(places).into()
            }
            (ChoiceBy::Buttons, Map::Same, 3) => words::TASK_CHOICE_THREE_SAME.into(),
            (ChoiceBy::Buttons, Map::Crossed, 3) => words::TASK_CHOICE_THREE_CROSSED.into(),
            (ChoiceBy::Buttons, Map::Same, _) => words::TASK_CHOICE_SAME.into(),
            (ChoiceBy::Buttons, Map::Crossed, _) => words::TASK_CHOICE_CROSSED.into(),
        },
        TaskKind::Emergence(_) => words::TASK_EMERGENCE.into(),
        TaskKind::Pointing(_) => words::TASK_POINTING.into(),
        TaskKind::Steadiness(task) => words::task_steadiness(task.run_s).into(),
        TaskKind::Tapping(task) => words::task_tapping(task.run_s).into(),
        TaskKind::Pursuit(task) => words::task_pursuit(task.run_s).into(),
        TaskKind::Vigilance(_) => words::TASK_VIGILANCE.into(),
    }
}

/// How much of the task a block holds.
pub(super) fn amount(kind: &TaskKind, main: usize, warm_up: usize) -> String {
    match kind.task().answered_by() {
        AnsweredBy::Move => words::movements(main, warm_up),
        _ if matches!(kind, TaskKind::GoNoGo(_)) => words::targets(main, warm_up),
        AnsweredBy::Run => words::runs(main, warm_up),
        AnsweredBy::Button | AnsweredBy::MoveAndButton => words::presses(main, warm_up),
    }
}

/// A hold's name.
pub(super) fn hold(condition: &Condition) -> String {
    words::hold_name(&condition.id)
}

/// A grip in words, where the protocol names one.
pub(super) const fn grip(grip: Grip) -> Option<&'static str> {
    match grip {
        Grip::Palm => Some(words::GRIP_PALM),
        Grip::Claw => Some(words::GRIP_CLAW),
        Grip::Fingertip => Some(words::GRIP_FINGERTIP),
        Grip::Mixed => Some(words::GRIP_MIXED),
        Grip::Other => None,
    }
}

/// How firmly, where the protocol says so.
pub(super) const fn tension(tension: Tension) -> Option<&'static str> {
    match tension {
        Tension::Light => Some(words::TENSION_LIGHT),
        Tension::Shaped => Some(words::TENSION_SHAPED),
        Tension::Firm => Some(words::TENSION_FIRM),
        Tension::Other => None,
    }
}

/// A rating: question, word at 0, word at 10.
pub(super) const fn rating(rating: Rating) -> [&'static str; 3] {
    match rating {
        Rating::Expectation => [words::HOW_SURE, words::SURE_LOW, words::SURE_HIGH],
        Rating::Tension => words::RATE_TENSION,
        Rating::Discomfort => words::RATE_DISCOMFORT,
        Rating::Fatigue => words::RATE_FATIGUE,
    }
}

/// Why a session stands still.
pub(super) const fn pause(why: PauseReason) -> &'static str {
    match why {
        PauseReason::Asked | PauseReason::StopAsked => words::PAUSE_ASKED,
        PauseReason::FocusLost => words::PAUSE_FOCUS,
        PauseReason::Unplugged => words::PAUSE_UNPLUGGED,
        PauseReason::DisplayLost => words::PAUSE_DISPLAY,
        PauseReason::Stalled => words::PAUSE_STALLED,
        PauseReason::ClockJump => words::PAUSE_CLOCK,
    }
}

/// How a session ended.
pub(super) const fn ending(ending: Ending) -> &'static str {
    match ending {
        Ending::Complete => words::END_COMPLETE,
        Ending::Stopped => words::END_STOPPED,
        Ending::Discomfort => words::END_DISCOMFORT,
        Ending::TimeUp => words::END_TIME_UP,
        Ending::Settled => words::END_SETTLED,
    }
}
