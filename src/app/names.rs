//! Which words stand for which value: the match between the program's enums and the sentences.

use crate::engine::{Ending, PauseReason};
use crate::protocol::{Condition, Grip, Rating, Tension};
use crate::tasks::{Map, TaskKind};
use crate::words::screens as words;

/// What the task asks for.
pub(super) const fn task(kind: &TaskKind) -> &'static str {
    match kind {
        TaskKind::Simple(_) => words::TASK_SIMPLE,
        TaskKind::Choice(choice) => match choice.map {
            Map::Same => words::TASK_CHOICE_SAME,
            Map::Crossed => words::TASK_CHOICE_CROSSED,
        },
        TaskKind::Emergence(_) => words::TASK_EMERGENCE,
        TaskKind::Pointing(_) => words::TASK_POINTING,
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
