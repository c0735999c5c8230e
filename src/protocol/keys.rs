//! Every key that a protocol file may hold: its type, range and default, in one table.
//!
//! The reader, its error texts and the JSON Schema are all made from this table, so they cannot
//! disagree.

use crate::tasks::MOST_LEVELS;

/// What a key holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Kind {
    /// Any text that is not blank.
    Text,
    /// Small letters, digits and hyphens.
    Slug,
    /// A number within a range, both ends included.
    Number { min: f64, max: f64 },
    /// A whole number within a range, both ends included.
    Whole { min: i64, max: i64 },
    /// One of these words.
    Word(&'static [&'static str]),
    /// A list of these words.
    Words(&'static [&'static str]),
    /// A list of whole numbers within a range, both ends included.
    Wholes { min: i64, max: i64 },
    /// A number within a range, or a list of up to six of them.
    Numbers { min: f64, max: f64 },
}

/// What stands for a key that is left out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Absent {
    /// It may not be left out.
    Fault,
    /// A number.
    Number(f64),
    /// A word.
    Word(&'static str),
    /// An empty list.
    Empty,
    /// It stays unset (another key may stand for it).
    Unset,
}

/// One key.
#[derive(Debug, Clone, Copy)]
pub(super) struct Key {
    pub(super) table: &'static str,
    pub(super) name: &'static str,
    pub(super) kind: Kind,
    pub(super) absent: Absent,
    pub(super) says: &'static str,
}

const fn key(
    table: &'static str,
    name: &'static str,
    kind: Kind,
    absent: Absent,
    says: &'static str,
) -> Key {
    Key { table, name, kind, absent, says }
}

const fn number(min: f64, max: f64) -> Kind {
    Kind::Number { min, max }
}

const fn numbers(min: f64, max: f64) -> Kind {
    Kind::Numbers { min, max }
}

const fn whole(min: i64, max: i64) -> Kind {
    Kind::Whole { min, max }
}

/// The tables, in the order of a well-kept file. `condition` is a list of tables.
pub(super) const TABLES: [&str; 12] = [
    "",
    "condition",
    "design",
    "task",
    "stimulus",
    "foreperiod",
    "rest",
    "ask",
    "motion",
    "analysis",
    "care",
    "rest.standing_break",
];

/// The kinds of task.
pub(super) const TASKS: [&str; 10] = [
    "simple",
    "onset",
    "go_no_go",
    "choice",
    "emergence",
    "pointing",
    "steadiness",
    "tapping",
    "pursuit",
    "vigilance",
];

pub(super) const RATINGS: [&str; 3] = ["tension", "discomfort", "fatigue"];

/// Every key.
#[rustfmt::skip]
pub(super) const KEYS: &[Key] = &[
    key("", "id", Kind::Slug, Absent::Fault, "names the protocol in folders and on the command line"),
    key("", "title", Kind::Text, Absent::Fault, "says which question it answers"),
    key("", "question", Kind::Text, Absent::Fault, "the question as a player would ask it"),

    key("condition", "id", Kind::Slug, Absent::Fault, "names the hold"),
    key("condition", "grip", Kind::Word(&["palm", "claw", "fingertip", "mixed", "other"]), Absent::Fault, "how the hand lies"),
    key("condition", "tension", Kind::Word(&["light", "shaped", "firm", "other"]), Absent::Fault, "how firmly"),
    key("condition", "say", Kind::Text, Absent::Fault, "the words that the player follows"),

    key("design", "order", Kind::Word(&["williams", "mirrored", "shuffled", "fixed"]), Absent::Fault, "the order of blocks"),
    key("design", "cycles", whole(1, 40), Absent::Fault, "each holds every hold once, as one block"),
    key("design", "trials", whole(2, 100), Absent::Fault, "main trials in a block"),
    key("design", "warm_up", whole(0, 20), Absent::Number(4.0), "warm-up trials in a block of the first cycle"),
    key("design", "warm_up_later", whole(0, 20), Absent::Number(2.0), "warm-up trials in later blocks"),
    key("design", "reference", Kind::Slug, Absent::Unset, "the hold the others are compared with; the first, if left out"),

    key("task", "kind", Kind::Word(&TASKS), Absent::Fault, "what the player does"),
    key("task", "respond_within_ms", number(300.0, 10_000.0), Absent::Number(1_500.0), "a later answer is a miss"),
    key("task", "map", Kind::Word(&["same", "crossed"]), Absent::Word("same"), "choice: which answer belongs to which place"),
    key("task", "eccentricity_mm", number(5.0, 300.0), Absent::Number(60.0), "choice: how far from the middle"),
    key("task", "alternatives", whole(2, 8), Absent::Number(2.0), "choice: how many places"),
    key("task", "answer", Kind::Word(&["buttons", "movement"]), Absent::Word("buttons"), "choice: how it is answered"),
    key("task", "travel_counts", number(10.0, 2_000.0), Absent::Number(60.0), "onset, and choice by movement: how far the mouse goes for an answer, counts"),
    key("task", "withhold_share", number(0.1, 0.5), Absent::Number(0.25), "go_no_go: share of targets that are to be left alone"),
    key("task", "go_notch", Kind::Word(&["up", "down", "left", "right"]), Absent::Word("up"), "go_no_go: where the notch is that asks for a press"),
    key("task", "speed_mm_s", numbers(20.0, 2_000.0), Absent::Number(200.0), "emergence: how fast the target slides out"),
    key("task", "sides", Kind::Word(&["both", "left", "right"]), Absent::Word("both"), "emergence: to which side it slides out"),
    key("task", "out_share", number(0.1, 1.0), Absent::Number(1.0), "emergence: how much of the target comes out; the rest stays covered"),
    key("task", "distance_mm", numbers(10.0, 300.0), Absent::Number(80.0), "pointing: how far away the target appears"),
    key("task", "run_s", number(3.0, 60.0), Absent::Unset, "steadiness, tapping, pursuit: how long a trial goes on; 8, 10, 20"),
    key("task", "reach_mm", number(5.0, 200.0), Absent::Number(60.0), "pursuit: how far from the middle the target can get"),
    key("task", "sizes_mm", numbers(2.0, 60.0), Absent::Unset, "pointing: sizes of the target, where there are several"),

    key("stimulus", "size_mm", number(2.0, 60.0), Absent::Number(20.0), "corner to corner"),
    key("stimulus", "contrast_share", number(0.1, 1.0), Absent::Number(0.6), "how far its colour stands from the field"),

    key("foreperiod", "law", Kind::Word(&["exponential", "uniform", "fixed", "partner"]), Absent::Word("exponential"), "the law of the wait"),
    key("foreperiod", "min_ms", number(100.0, 10_000.0), Absent::Number(700.0), "the shortest wait"),
    key("foreperiod", "mean_ms", number(50.0, 20_000.0), Absent::Number(900.0), "exponential and partner: mean beyond the shortest"),
    key("foreperiod", "max_ms", number(100.0, 60_000.0), Absent::Unset, "the longest wait"),
    key("foreperiod", "ms", number(100.0, 10_000.0), Absent::Unset, "fixed: the wait"),
    key("foreperiod", "catch_share", number(0.0, 0.3), Absent::Unset, "share of empty waits"),

    key("rest", "min_s", number(5.0, 600.0), Absent::Number(20.0), "a rest is at least this long"),
    key("rest", "every_blocks", whole(1, 20), Absent::Number(1.0), "a rest of that length after every so many blocks"),
    key("rest.standing_break", "after_block", whole(1, 200), Absent::Fault, "stand up after this block"),
    key("rest.standing_break", "min_s", number(60.0, 1_800.0), Absent::Number(300.0), "for at least this long"),

    key("ask", "before", Kind::Words(&["expectation"]), Absent::Empty, "asked before the first block"),
    key("ask", "after_block", Kind::Words(&RATINGS), Absent::Empty, "rated after each block"),
    key("ask", "after_cycle", Kind::Words(&RATINGS), Absent::Empty, "rated after each cycle"),

    key("motion", "onset", Kind::Word(&["first", "5pct", "fit"]), Absent::Word("fit"), "which movement onset the analysis uses"),
    key("motion", "low_pass_hz", number(5.0, 60.0), Absent::Number(20.0), "cut-off for speed, each pass's -3 dB point"),
    key("motion", "least_counts", number(1.0, 1_000.0), Absent::Number(8.0), "fewer counts before the press are only its jolt"),

    key("analysis", "measure", Kind::Word(&["click", "onset", "tap_interval", "track_error", "stillness"]), Absent::Unset, "what is compared; click, or what the task measures"),
    key("analysis", "statistic", Kind::Word(&["trimmed_mean", "median", "mean"]), Absent::Word("trimmed_mean"), "the statistic of a block"),
    key("analysis", "family", Kind::Word(&["reference", "all"]), Absent::Word("reference"), "which comparisons are made together"),
    key("analysis", "confidence", number(0.5, 0.999), Absent::Number(0.95), "of the simultaneous intervals"),
    key("analysis", "smallest_change_ms", number(0.5, 100.0), Absent::Number(5.0), "the least gain that matters"),
    key("analysis", "smallest_change", number(0.01, 1_000.0), Absent::Unset, "the same for a measure that is no time, in its unit (track_error: px; stillness: counts)"),
    key("analysis", "anticipation_ms", number(50.0, 300.0), Absent::Number(100.0), "a sooner press is early"),
    key("analysis", "lapse_ms", number(250.0, 5_000.0), Absent::Unset, "a later press is a slow one; 500 unless the task needs longer"),
    key("analysis", "looks", Kind::Wholes { min: 1, max: 40 }, Absent::Empty, "cycles after which the answer may be looked at"),

    key("care", "discomfort_limit", whole(1, 5), Absent::Number(4.0), "a rating at or above ends the block"),
    key("care", "longest_minutes", number(1.0, 75.0), Absent::Number(60.0), "longest session, pauses included"),
    key("care", "firm_minutes_at_most", number(0.5, 15.0), Absent::Number(12.0), "most minutes under a firm hold"),
];

/// The key `name` of `table`.
pub(super) fn find(table: &str, name: &str) -> Option<&'static Key> {
    KEYS.iter().find(|key| key.table == table && key.name == name)
}

/// How a key is written in a message: `design.cycles`.
pub(super) fn path(table: &str, name: &str) -> String {
    if table.is_empty() { name.to_owned() } else { format!("{table}.{name}") }
}

impl Kind {
    /// What may be written, for an error's last line.
    pub(super) fn allowed(&self) -> String {
        match self {
            Kind::Text => "write a text that is not empty".to_owned(),
            Kind::Slug => {
                "write small letters, digits and hyphens, beginning with a letter".to_owned()
            }
            Kind::Number { min, max } => format!("write a number from {min} to {max}"),
            Kind::Whole { min, max } => format!("write a whole number from {min} to {max}"),
            Kind::Word(words) => format!("write {}", one_of(words)),
            Kind::Wholes { min, max } => {
                format!("write a list of whole numbers from {min} to {max}, for example [4, 6]")
            }
            Kind::Words([only]) => format!("write a list: [\"{only}\"] or []"),
            Kind::Words(words) => format!("write a list of {}", one_of(words)),
            Kind::Numbers { min, max } => {
                format!("write a number from {min} to {max}, or a list of up to {MOST_LEVELS}")
            }
        }
    }
}

/// `a, b or c`.
pub(super) fn one_of(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [only] => (*only).to_owned(),
        [most @ .., last] => format!("{} or {last}", most.join(", ")),
    }
}
