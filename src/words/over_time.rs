//! The time course in plain words: within a session, from day to day, from player to player.

use super::findings::{Ms, capital, fine_confidence};

/// Two holds whose slopes differ.
pub fn slopes_apart(a: &str, b: &str, per_10min_ms: f64, low_ms: f64, high_ms: f64) -> String {
    let (tires, other, sign) = if per_10min_ms > 0.0 { (a, b, 1.0) } else { (b, a, -1.0) };
    let (one, two) = (sign * low_ms, sign * high_ms);
    format!(
        "{} loses {:.0} ms on {other} in 10 minutes (between {:.0} and {:.0}): the longer it lasts, \
         the worse it compares.",
        capital(tires),
        per_10min_ms.abs(),
        one.min(two),
        one.max(two)
    )
}

/// Two holds that keep pace, as far as can be told.
pub fn slopes_alike(a: &str, b: &str, low_ms: f64, high_ms: f64) -> String {
    format!(
        "{} against {b}: no difference in how they hold out was found (between {:.0} and {:.0} ms in \
         10 minutes).",
        capital(a),
        low_ms,
        high_ms
    )
}

/// Two holds that change places. `low`, `high`: the minutes between which they do; none where that
/// may be before the session's start or after its end.
pub fn changes_places(
    a: &str,
    b: &str,
    minute: f64,
    low: Option<f64>,
    high: Option<f64>,
) -> String {
    let sure = match (low, high) {
        (Some(low), Some(high)) => format!("between {low:.0} and {high:.0}"),
        (Some(low), None) => format!("from {low:.0} on"),
        (None, Some(high)) => format!("up to {high:.0}"),
        (None, None) => "or not at all".to_owned(),
    };
    format!("{} and {b} change places at about minute {minute:.0} ({sure}).", capital(a))
}

/// Discomfort or tiredness that grew.
pub fn rating_grew(item: &str, hold: &str, first: u8, last: u8) -> String {
    format!("{} under {hold} went from {first} to {last} of 10.", capital(item))
}

/// Sessions taken one by one.
pub fn from_day_to_day(faster: &str, slower: &str, by: Ms, give: Ms, sessions: usize) -> String {
    format!(
        "{} sessions, one value each: {faster} {by} ms sooner than {slower}, give or take {give}. \
         This speaks of further days like these.",
        capital(&number(sessions))
    )
}

/// Too few sessions for that.
pub fn too_few_days(sessions: usize, least: usize) -> String {
    format!(
        "{} sessions are too few to speak of further days: that needs {least}.",
        capital(&number(sessions))
    )
}

/// The verdict over the sessions.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OverSessions {
    /// It is settled that one hold is faster by enough.
    ByEnough,
    /// Faster, and too little to matter.
    TooLittle,
    /// Too close to matter.
    TooClose,
    /// Faster; the size is open.
    SizeOpen,
    /// Open.
    Open,
}

/// The verdict over the sessions in a sentence; `faster`, `slower`: by the mean.
pub fn verdict_over(verdict: OverSessions, faster: &str, slower: &str) -> String {
    match verdict {
        OverSessions::ByEnough => {
            format!(
                "Over the sessions {faster} is faster than {slower}, by enough to matter to you."
            )
        }
        OverSessions::TooLittle => format!(
            "Over the sessions {faster} is faster than {slower}, by too little to matter to you."
        ),
        OverSessions::TooClose => {
            format!("Over the sessions {faster} and {slower} are too close to matter.")
        }
        OverSessions::SizeOpen => format!(
            "Over the sessions {faster} is faster than {slower}; whether by enough is open."
        ),
        OverSessions::Open => {
            format!("Over the sessions it is open which of {faster} and {slower} is faster.")
        }
    }
}

/// How the verdict over sessions came about.
pub fn declared_rule(number: usize) -> String {
    format!("{number} sessions were declared before the first, and all of them are here.")
}

/// A look over sessions that was planned. `give`: give or take at its level.
pub fn planned_look(done: usize, declared: usize, give: Ms, at: f64) -> String {
    let which = if done == declared {
        format!("All {declared} declared sessions are here, and looks were planned before the last")
    } else {
        format!("A look was planned after {done} of the {declared} declared sessions")
    };
    format!(
        "{which}: judged with a give or take of {give} ms ({}), so that all looks together err no more \
         often than one. Between planned looks there is no verdict.",
        fine_confidence(at)
    )
}

/// The next planned look is still to come.
pub fn not_yet_a_look(done: usize, declared: usize, look: usize) -> String {
    format!(
        "{done} of the {declared} declared sessions are here, and the next look was planned after {look}: \
         no verdict over sessions before it."
    )
}

/// Not all declared sessions are here.
pub fn not_yet(done: usize, declared: usize) -> String {
    format!(
        "{done} of the {declared} declared sessions are here: no verdict over sessions before the last."
    )
}

/// No number was declared.
pub const ALWAYS_VALID: &str = "This verdict allows for a look after every session, so a new session may be added \
    at any time. That makes it slower to settle than a number of sessions declared beforehand.";

/// Sessions outside the limits.
pub fn out_of_line(a: &str, b: &str, sessions: &[usize]) -> String {
    let list: Vec<String> = sessions.iter().map(usize::to_string).collect();
    let (word, stands) =
        if sessions.len() == 1 { ("session", "stands") } else { ("sessions", "stand") };
    format!(
        "{} against {b}: {word} {} {stands} out from the run of the others. Look at what was \
         different that day.",
        capital(a),
        list.join(", ")
    )
}

/// The smallest change that a session can show.
pub fn detectable(a: &str, b: &str, change_ms: f64) -> String {
    format!(
        "{} against {b}: from one session to another, a change of the difference below {change_ms:.0} \
         ms is within what single sessions scatter.",
        capital(a)
    )
}

/// Under the plot of sessions.
pub const SESSIONS_CAPTION: &str = "Each mark is one session's own difference; below zero the first \
    hold is sooner. The band, from four sessions on, is where such sessions fall if nothing changes; \
    hollow marks lie outside it.";

/// A repeat is a new plan.
pub const NEW_PLAN: &str = "Repeating a session until the answer pleases finds differences that are not there: \
    declare beforehand how many sessions there will be, or trust the verdict that allows for looks.";

/// Over the table of players.
pub fn players(count: usize) -> String {
    format!(
        "{} players who agreed to be compared. The sentence above speaks of players like these, not \
         of one of them.",
        capital(&number(count))
    )
}

/// Players who differ from the group.
pub fn who_differs(a: &str, b: &str, players: &[usize]) -> String {
    if players.is_empty() {
        return format!(
            "{} against {b}: no player was found to differ from the group.",
            capital(a)
        );
    }
    let list: Vec<String> = players.iter().map(usize::to_string).collect();
    let word = if players.len() == 1 { "player" } else { "players" };
    format!(
        "{} against {b}: {word} {} differ from the group by more than chance and few cycles explain. \
         With many players one in twenty does so by chance.",
        capital(a),
        list.join(", ")
    )
}

/// Where not all players stand in the table.
pub fn first_players(shown: usize, all: usize) -> String {
    format!("The first {shown} of {all} players; all of them are in findings.json.")
}

/// Where players cannot be modelled.
pub fn no_players_model(a: &str, b: &str, why: &str) -> String {
    format!("{} against {b}: no model of players ({why}).", capital(a))
}

/// Under the table of players.
pub const PLAYERS_NOTE: &str = "Alone: the mean of a player's own cycles. Drawn in: the same, drawn towards the group by \
    as much as it is uncertain; the better guess of what the player would do next time. Players are \
    numbered in the order in which their sessions were given.";

/// Small numbers as words.
fn number(count: usize) -> String {
    const WORDS: [&str; 13] = [
        "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
        "eleven", "twelve",
    ];
    WORDS.get(count).map_or_else(|| count.to_string(), |word| (*word).to_owned())
}
