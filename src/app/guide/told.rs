//! Which words stand for which value on the pages outside a session.

use super::way::Place;
use crate::engine::Ending;
use crate::exchange::Role;
use crate::protocol::{Grip, ProtocolError, Tension};
use crate::record::EndedAs;
use crate::words::{Tell, afterwards as after, guide as words};

/// The title of a page.
pub(super) const fn title(place: Place) -> &'static str {
    match place {
        Place::Caution => words::CAUTION_TITLE,
        Place::Feel => words::FEEL_PAGE,
        Place::Question => words::QUESTION_TITLE,
        Place::Player => words::PLAYER_TITLE,
        Place::Agreement => words::AGREEMENT_TITLE,
        Place::Rig => words::RIG_TITLE,
        Place::Holds => words::HOLDS_TITLE,
        Place::Practice => words::PRACTICE_TITLE,
        Place::Plan => words::PLAN_TITLE,
        Place::Findings => words::FINDINGS_TITLE,
        Place::Show => words::SHOW_TITLE,
        Place::History => words::HISTORY_TITLE,
        Place::Tables => words::TABLES_TITLE,
        Place::Settings => words::SETTINGS_TITLE,
    }
}

/// How long a page takes.
pub(super) const fn time(place: Place) -> &'static str {
    match place {
        Place::Caution | Place::Feel | Place::Player | Place::Practice => words::HALF_A_MINUTE,
        Place::Question | Place::Agreement | Place::Rig | Place::Plan => words::A_MINUTE,
        Place::Holds | Place::Tables => words::TWO_MINUTES,
        Place::Findings | Place::Show | Place::History | Place::Settings => {
            words::AS_LONG_AS_YOU_LIKE
        }
    }
}

/// The name of a page in the head of the others.
pub(super) const fn menu(place: Place) -> &'static str {
    match place {
        Place::History => words::MENU_HISTORY,
        Place::Tables => words::MENU_TABLES,
        Place::Settings => words::MENU_SETTINGS,
        _ => words::MENU_QUESTION,
    }
}

/// The words of a hold until the player changes them.
pub(super) const fn say(tension: Tension) -> &'static str {
    match tension {
        Tension::Light => words::SAY_LIGHT,
        Tension::Shaped => words::SAY_SHAPED,
        Tension::Firm => words::SAY_FIRM,
        Tension::Other => words::SAY_OTHER,
    }
}

/// The id of a hold.
pub(super) fn hold_id(grip: Grip, tension: Tension) -> String {
    let tension = match tension {
        Tension::Light => "light",
        Tension::Shaped => "shaped",
        Tension::Firm => "firm",
        Tension::Other => "other",
    };
    let grip = match grip {
        Grip::Palm => "palm",
        Grip::Claw => "claw",
        Grip::Fingertip => "fingertip",
        Grip::Mixed => "between",
        Grip::Other => "grip",
    };
    format!("{tension}-{grip}")
}

/// What a drawing from the side shows.
pub(super) const fn grip_side(grip: Grip) -> &'static str {
    match grip {
        Grip::Palm => words::PALM_SIDE,
        Grip::Claw | Grip::Mixed | Grip::Other => words::CLAW_SIDE,
        Grip::Fingertip => words::FINGERTIP_SIDE,
    }
}

/// What a drawing from above shows.
pub(super) const fn grip_above(grip: Grip) -> &'static str {
    match grip {
        Grip::Palm => words::PALM_ABOVE,
        Grip::Claw | Grip::Mixed | Grip::Other => words::CLAW_ABOVE,
        Grip::Fingertip => words::FINGERTIP_ABOVE,
    }
}

/// The caution of a practice.
pub(super) const fn practice_caution(tension: Tension) -> &'static str {
    match tension {
        Tension::Firm => words::PRACTICE_FIRM,
        Tension::Light | Tension::Shaped | Tension::Other => words::PRACTICE_GENTLE,
    }
}

/// How a session ended.
pub(super) const fn ended(ending: Ending) -> &'static str {
    match ending {
        Ending::Complete => words::ENDED_COMPLETE,
        Ending::Settled => words::ENDED_SETTLED,
        Ending::Stopped => words::ENDED_STOPPED,
        Ending::Discomfort => words::ENDED_DISCOMFORT,
        Ending::TimeUp => words::ENDED_TIME_UP,
    }
}

/// How a session stands.
pub(super) const fn session_state(ending: Option<EndedAs>, can_go_on: bool) -> &'static str {
    match (ending, can_go_on) {
        (Some(EndedAs::Complete), _) => after::STATE_COMPLETE,
        (Some(EndedAs::Stopped), true) => after::STATE_STOPPED,
        (Some(_), _) => after::STATE_PARTIAL,
        (None, true) => after::STATE_GO_ON,
        (None, false) => after::STATE_OPEN,
    }
}

/// A fault of a plan, without the place in a file that nobody sees.
pub(super) fn fault(fault: &ProtocolError) -> String {
    let told = fault.tell();
    words::fault(&told.what, &told.mend)
}

/// A column of a table.
pub(super) const fn role(role: Role) -> &'static str {
    match role {
        Role::Condition => after::ROLE_CONDITION,
        Role::Cycle => after::ROLE_CYCLE,
        Role::Block => after::ROLE_BLOCK,
        Role::Order => after::ROLE_ORDER,
        Role::Session => after::ROLE_SESSION,
        Role::Player => after::ROLE_PLAYER,
        Role::Time => after::ROLE_TIME,
        Role::Start => after::ROLE_START,
        Role::End => after::ROLE_END,
        Role::Correct => after::ROLE_CORRECT,
    }
}
