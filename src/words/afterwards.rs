//! The sentences of the pages after a session: findings, showing them, the weeks after, tables
//! measured elsewhere, settings.
//!
//! Texts only, as in `guide`, and under the same rules.

// The findings.

/// Heading of the sentence.
pub const FOUND: &str = "What was found";
/// Heading.
pub const EXPECTED: &str = "What you expected";
/// The expectation.
pub fn expected(hold: &str, sure: u8) -> String {
    format!("{hold} to be faster, {sure} of 10 sure.")
}
/// An expectation, and before how many sessions it was said.
pub fn expected_in(line: &str, sessions: usize) -> String {
    match sessions {
        1 => format!("{line} (Before one session.)"),
        many => format!("{line} (Before {many} sessions.)"),
    }
}
/// No opinion.
pub const EXPECTED_NOTHING: &str = "You had no expectation.";
/// It was not asked.
pub const EXPECTED_NOT_ASKED: &str = "It was not asked.";
/// Nothing is there yet.
pub const FINDINGS_NONE: &str = "There is nothing to show yet.";
/// To the history.
pub const FINDINGS_NEXT: &str = "To your sessions";
/// Heading of a plot.
pub const PLOT_DIFFERENCES: &str = "The differences, with what they can be off";
/// Heading of a plot.
pub const PLOT_SPREAD: &str = "Every press of each hold";
/// Heading of a plot.
pub const PLOT_COURSE: &str = "The blocks in order of time";
/// Heading.
pub const DOUBTS: &str = "What may spoil it";
/// Heading.
pub const SETTLING: &str = "What would settle it";
/// What may spoil it, and what to do.
pub fn doubt(what: &str, mend: &str) -> String {
    format!("{what} {mend}")
}
/// Button.
pub const OPEN_REPORT: &str = "Open the report";
/// Button.
pub const SHOW_IT: &str = "Show it to others";
/// Button.
pub const COPY_SENTENCE: &str = "Copy the sentence";
/// It was copied.
pub const COPIED: &str = "The sentence was copied.";
/// Button.
pub const SHOW_FOLDER: &str = "Show the folder";
/// It was handed to the system.
pub fn opened(path: &str) -> String {
    format!("Handed to the system: {path}")
}
/// Label.
pub const NOTE: &str = "A note of your own, kept beside the record";
/// Button.
pub const NOTE_KEEP: &str = "Add the note";
/// It was kept.
pub const NOTE_KEPT: &str = "The note was added to notes.md.";

// Showing it.

/// Heading.
pub const SHOW_PICTURES: &str = "The picture, wide and tall";
/// Where they lie.
pub fn pictures_lie(folder: &str) -> String {
    format!("No name stands on them. Saved as PNG and SVG in {folder}")
}
/// Heading.
pub const SHOW_TIMES: &str = "The times, as viewers know them";
/// Columns.
pub const TIMES_HEAD: [&str; 5] =
    ["Hold", "Typical (middle 60 %)", "Median", "Mean", "Typical in frames"];
/// A time in frames.
pub fn in_frames(ms: f64, rate_hz: f64) -> String {
    format!("{:.1} frames at {rate_hz:.0} Hz", ms * rate_hz / 1e3)
}
/// Below the times.
pub fn times_note(rate_hz: Option<f64>) -> String {
    match rate_hz {
        Some(hz) => format!("A frame at {hz:.0} Hz lasts {:.1} ms.", 1e3 / hz),
        None => "The refresh is not known here, so no frames are given.".to_owned(),
    }
}
/// Heading.
pub const SHOW_FRAMES: &str = "A typical press of each hold, side by side and slowed";
/// What it is.
pub const SHOW_FRAMES_TEXT: &str = "Numbered PNG frames, drawn from the raw counts of the mouse: shown at 30 frames a second they run \
     eight times slower than the hand. Any video program takes them.";
/// Button.
pub const SHOW_FRAMES_DO: &str = "Make the frames";
/// They are there.
pub fn frames_written(count: usize, folder: &str) -> String {
    format!("{count} frames lie in {folder}")
}
/// No press to show.
pub const NO_PRESS_TO_SHOW: &str = "no hold has a press that could be shown";
/// What to do.
pub const NO_PRESS_MEND: &str = "choose a session with at least one whole block";
/// On each frame.
pub const FRAMES_TITLE: &str = "A typical press of each hold, eight times slower";
/// Below the line.
pub const FRAMES_SHAPE_COMES: &str = "the shape comes";
/// The button.
pub const FRAMES_DOWN: &str = "button down";
/// The button.
pub const FRAMES_UP: &str = "button up";
/// A frame, for those who cannot see it.
pub fn frame_says(t_ms: f64) -> String {
    format!("{t_ms:.0} ms from the shape")
}
/// Heading.
pub const SHOW_FILM: &str = "Filming the hand";
/// How.
pub const SHOW_FILM_TEXT: [&str; 3] = [
    "Film the hand with a camera of its own, from the side, 120 frames a second or more, and let the screen's edge into the picture so that both can be matched.",
    "Do not record the screen while you press: recorders take time from the computer, the session would be flagged.",
    "Film some presses after the session, or a session that you do not count.",
];

// The history.

/// Label.
pub const HISTORY_OF: &str = "Sessions of";
/// All of them.
pub const EVERYBODY: &str = "Everybody";
/// Tick.
pub const BESIDE_OTHERS: &str =
    "I agree that my times may stand beside those of other players on this computer";
/// Heading.
pub const BESIDE_TITLE: &str = "Players who agreed to stand beside one another";
/// Below it.
pub const BESIDE_NOTE: &str = "In the order of their codes, each with the last whole session. Holds are compared within a player; \
     times of different players, mice and displays are not alike.";
/// Fewer than two agreed.
pub const BESIDE_NEEDS: &str = "Here stand the times of players who agreed to it, from two players on: choose a player above and tick \
     the agreement.";
/// A player's times.
pub fn beside(nickname: &str, times: &str) -> String {
    if times.is_empty() {
        format!("{nickname}: no whole session yet")
    } else {
        format!("{nickname}: {times}")
    }
}
/// Heading.
pub const HISTORY_DUE: &str = "What is due next";
/// What is due for one of several players.
pub fn due_of(nickname: &str, due: &str) -> String {
    format!("{nickname}: {due}")
}
/// No session yet.
pub const DUE_FIRST: &str = "The first session: choose a question.";
/// A session broke off or was stopped.
pub fn due_go_on(day: &str, title: &str) -> String {
    format!("A session of {day} is not over and can be gone on with: {title}")
}
/// The four weeks are over.
pub fn due_now(day: &str, title: &str) -> String {
    format!("The last session was on {day}. A check four weeks later is due now: {title}")
}
/// The four weeks are not over.
pub fn due_from(day: &str, title: &str) -> String {
    format!("A check four weeks after the last session, from {day} on: {title}")
}
/// Heading.
pub const HISTORY_CHART: &str = "Typical times, session by session";
/// Below the charts.
pub const HISTORY_CHART_NOTE: &str = "Dashed: the limits within which sessions vary by themselves, from three sessions on. A ringed dot \
     stands out.";
/// A chart, for a screen reader.
pub fn chart_says(hold: &str, values: &[(String, f64)]) -> String {
    let values: Vec<String> = values.iter().map(|(day, ms)| format!("{day} {ms:.0} ms")).collect();
    format!("{hold}: {}", values.join(", "))
}
/// Button.
pub const HISTORY_TOGETHER: &str = "What its sessions found together";
/// Nothing there.
pub const HISTORY_NONE: &str = "No session yet.";
/// Head of a session.
pub fn session_head(day: &str, player: &str, simulated: bool) -> String {
    let mark = if simulated { "   \u{b7}   SIMULATED PLAYER" } else { "" };
    format!("{day}   \u{b7}   {player}{mark}")
}
/// A hold's typical time.
pub fn hold_typical(hold: &str, ms: f64) -> String {
    format!("{hold} {ms:.0} ms")
}
/// State of a session.
pub const STATE_GO_ON: &str = "It broke off and can be gone on with.";
/// State of a session.
pub const STATE_COMPLETE: &str = "Complete.";
/// A session that the player stopped.
pub const STATE_STOPPED: &str = "Stopped. It can be taken up again.";
/// State of a session.
pub const STATE_PARTIAL: &str = "Ended before its last block.";
/// State of a session.
pub const STATE_OPEN: &str = "Not closed.";
/// Button.
pub const SESSION_GO_ON: &str = "Go on with it";
/// Button.
pub const SESSION_FINDINGS: &str = "What it found";
/// Button.
pub const ERASE: &str = "Erase";
/// Button.
pub fn erase_player(nickname: &str) -> String {
    format!("Erase {nickname} and every session")
}
/// Heading.
pub const ERASE_TITLE: &str = "Erase for good?";
/// What goes.
pub fn erase_session_text(folder: &str) -> String {
    format!("This session and its findings would be gone for good: {folder}")
}
/// What goes.
pub fn erase_player_text(nickname: &str) -> String {
    format!("{nickname} and every session of this player would be gone for good.")
}
/// Button.
pub const ERASE_NO: &str = "No, keep it";
/// Button.
pub const ERASE_YES: &str = "Yes, erase it";
/// It is gone.
pub const ERASED: &str = "It was erased.";

// Tables.

/// What it is for.
pub const TABLE_TEXT: &str = "A CSV file with a row for each press: which hold, and the time or the frames. The file is never changed.";
/// Ways to it.
pub const TABLE_DROP: &str = "Drop it on this window, choose it here, or type where it lies.";
/// Ways to it, where the window hears of no file that is dropped.
pub const TABLE_NO_DROP: &str = "Choose it here, or type where it lies.";
/// Why it cannot be worked out yet.
pub const TABLE_RATE_FIRST: &str = "First tell how many frames a second were filmed.";
/// Example.
pub const TABLE_FRAMES_HINT: &str = "120";
/// Label.
pub const TABLE_PATH: &str = "Where the file lies";
/// Example.
pub const TABLE_HINT: &str = "times.csv";
/// It does not read.
pub const TABLE_UNREADABLE: &str =
    "No table with at least two columns can be read there. A CSV file has a line of headers first.";
/// Heading.
pub const TABLE_COLUMNS: &str =
    "What each column is taken for; choose another one where it is wrong";
/// None.
pub const TABLE_NO_COLUMN: &str = "(no such column)";
/// A cell.
pub fn table_example(cell: &str) -> String {
    format!("for example {cell}")
}
/// Label.
pub const TABLE_UNIT: &str = "Unit of the times";
/// As named.
pub const UNIT_AS_NAMED: &str = "as the column says";
/// Frames.
pub const UNIT_FRAMES: &str = "frames";
/// Label.
pub const TABLE_FRAMES: &str = "Frames a second, where times were counted in frames";
/// Label.
pub const TABLE_PLAYER: &str = "Whose rows, where there are several players";
/// Button.
pub const TABLE_READ: &str = "Work it out";
/// A column.
pub const ROLE_CONDITION: &str = "Hold";
/// A column.
pub const ROLE_CYCLE: &str = "Cycle";
/// A column.
pub const ROLE_BLOCK: &str = "Block";
/// A column.
pub const ROLE_ORDER: &str = "Place in the session";
/// A column.
pub const ROLE_SESSION: &str = "Session";
/// A column.
pub const ROLE_PLAYER: &str = "Player";
/// A column.
pub const ROLE_TIME: &str = "Time";
/// A column.
pub const ROLE_START: &str = "Frame of the stimulus";
/// A column.
pub const ROLE_END: &str = "Frame of the press";
/// A column.
pub const ROLE_CORRECT: &str = "Right or wrong";

// Settings.

/// Heading.
pub const SETTINGS_LOOK: &str = "How it looks";
/// Label.
pub const SETTINGS_TEXT: &str = "Size of text";
/// Label.
pub const SETTINGS_CONTRAST: &str = "Strength of the shape's colour";
/// As planned.
pub const CONTRAST_AS_PLANNED: &str = "as each plan says";
/// What it changes.
pub const SETTINGS_CONTRAST_NOTE: &str =
    "For plans begun from now on; sessions with different strengths are not read together.";
/// Tick.
pub const SETTINGS_MOTION: &str = "Nothing on these pages moves by itself";
/// Heading.
pub const SETTINGS_MACHINE: &str = "This computer";
/// Label.
pub const SETTINGS_DATA: &str = "Where sessions are kept";
/// Hint.
pub const SETTINGS_DATA_HINT: &str = "the system's folder for data";
/// Label.
pub const SETTINGS_DISPLAY: &str = "Display";
/// When it counts.
pub const SETTINGS_DISPLAY_NOTE: &str = "From the next start on.";
/// Neither display nor mouse is chosen.
pub const SETTINGS_ANY: &str = "any";
/// A display: its name and its size.
pub fn display_name(id: &str, width: u32, height: u32) -> String {
    format!("{id} ({width} x {height})")
}
/// What was chosen and is not plugged in.
pub fn not_there(id: &str) -> String {
    format!("{id} (not there now)")
}
/// Label.
pub const SETTINGS_MOUSE: &str = "Mouse";
/// How to find it.
pub const SETTINGS_MOUSE_NOTE: &str = "With one chosen, presses of every other mouse are left out.";
/// Label.
pub const SETTINGS_LAG: &str = "The display's own lag from a data sheet, ms";
/// What becomes of it.
pub const SETTINGS_LAG_NOTE: &str = "It is noted with each session and never added to a time.";
/// It is no lag.
pub const SETTINGS_LAG_WRONG: &str = "The lag is a number from 0 to 200 ms.";
/// Heading.
pub const SETTINGS_PLAYER: &str = "The player";
/// None is chosen.
pub const SETTINGS_NO_PLAYER: &str = "Choose a player first; then the gain can be set here.";
/// Label.
pub const SETTINGS_GAIN: &str = "How far the view turns for one count of the mouse, px";
/// What it is for.
pub const SETTINGS_GAIN_NOTE: &str = "Needed only where the mouse is moved; about as in your game.";
/// Label.
pub const SETTINGS_TURN: &str = "Or: centimetres of the hand for a full turn in your game";
/// Label.
pub const SETTINGS_FOV: &str = "The horizontal field of view there, degrees";
/// Label.
pub const SETTINGS_COUNTS: &str = "Counts that the mouse gives a centimetre";
/// Where they come from.
pub const SETTINGS_TURN_NOTE: &str =
    "Counts a centimetre are the mouse's dots an inch over 2.54; the rig check measures them too.";
/// The gain is wrong.
pub const SETTINGS_GAIN_WRONG: &str = "The gain is px a count from 0.01 to 50; or a turn of 2 to 500 cm, a field of 10 to 170 degrees and \
     20 to 20000 counts a centimetre, all three.";
/// To the check of the rig.
pub const SETTINGS_RIG: &str = "Check display, mouse and computer";
/// Where to erase.
pub const SETTINGS_ERASE: &str = "Sessions and players are erased under Sessions and players.";
/// Button.
pub const SETTINGS_KEEP: &str = "Keep these settings";
/// They were kept.
pub const SETTINGS_KEPT: &str = "The settings were kept.";
