//! Which trials enter the comparison, and the statistic of each block.
//!
//! The rule is fixed beforehand: the last attempt of each main trial, when it is a hit at or above
//! the anticipation limit or a miss, and nothing broke it. Nothing is dropped silently: what does
//! not enter is counted by its kind. It knows no model and no verdict.

use super::input::{Origin, SessionData, TrialFacts};
use crate::analysis::describe::{BlockStatistic, block_statistic};
use crate::protocol::{Measure, Part, Protocol, Statistic};
use crate::record::{Flag, Outcome};
use std::collections::BTreeMap;

/// Why a trial stays out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum LeftOut {
    /// Another answer than the expected one.
    Wrong,
    /// A press before the stimulus, or too soon after it.
    Early,
    /// The player's time was cut, and the trial was not done again.
    Interrupted,
    /// The onset frame was never shown or cannot be known.
    Void,
    /// Input was lost.
    Overflow,
    /// A source stood still.
    Stalled,
    /// The clock jumped.
    ClockJump,
    /// The window lost the focus.
    FocusLost,
    /// The mouse went away.
    Unplugged,
    /// The measure is blank: no movement before the press, as a rule.
    NoMeasure,
}

impl LeftOut {
    /// Every kind.
    pub const ALL: [LeftOut; 10] = [
        LeftOut::Wrong,
        LeftOut::Early,
        LeftOut::Interrupted,
        LeftOut::Void,
        LeftOut::Overflow,
        LeftOut::Stalled,
        LeftOut::ClockJump,
        LeftOut::FocusLost,
        LeftOut::Unplugged,
        LeftOut::NoMeasure,
    ];

    /// The name that stands in files.
    pub const fn name(self) -> &'static str {
        match self {
            LeftOut::Wrong => "wrong",
            LeftOut::Early => "anticipation",
            LeftOut::Interrupted => "interrupted",
            LeftOut::Void => "void",
            LeftOut::Overflow => "overflow",
            LeftOut::Stalled => "stalled",
            LeftOut::ClockJump => "clock_jump",
            LeftOut::FocusLost => "focus_lost",
            LeftOut::Unplugged => "unplugged",
            LeftOut::NoMeasure => "no_measure",
        }
    }
}

/// Whether the exclusion rule is applied.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rule {
    /// As declared.
    Declared,
    /// Every last attempt that has a time enters: the result without exclusions.
    EverythingIn,
}

/// A block and what entered of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Block {
    /// Session, from 0.
    pub session: usize,
    /// Cycle, from 1.
    pub cycle: usize,
    /// Place in its session, from 1.
    pub position: usize,
    /// Index of its hold.
    pub condition: usize,
    /// Main trials planned; of a table measured elsewhere, its rows, since no plan is known.
    pub planned: usize,
    /// Main trials of which a last attempt is known.
    pub seen: usize,
    /// Times that entered, ms, in order of time.
    pub times_ms: Vec<f64>,
    /// Misses that entered.
    pub misses: usize,
    /// How many stay out, by kind.
    pub left_out: BTreeMap<LeftOut, usize>,
    /// Entered although their onset frame was late (they could not be done again).
    pub late_entered: usize,
    /// Hits slower than the lapse limit.
    pub lapses: usize,
    /// Presses on catch trials.
    pub false_alarms: usize,
    /// Targets that ask for no answer and were rightly left alone.
    pub left_alone: usize,
    /// Targets that ask for no answer and were answered.
    pub pressed_at: usize,
    /// Its middle, minutes since its session began.
    pub minute: Option<f64>,
    /// Its statistic, ms; blank where a miss would be averaged or nothing entered.
    pub statistic_ms: Option<f64>,
}

impl Block {
    /// Trials that entered.
    pub fn entered(&self) -> usize {
        self.times_ms.len() + self.misses
    }

    /// Trials that stay out.
    pub fn excluded(&self) -> usize {
        self.left_out.values().sum()
    }

    /// Trials that stay out for this reason.
    pub fn count(&self, kind: LeftOut) -> usize {
        self.left_out.get(&kind).copied().unwrap_or(0)
    }

    /// Why the block takes no part, if so.
    pub fn unused(&self) -> Option<Unused> {
        if 2 * self.entered() < self.planned {
            return Some(Unused::TooFew);
        }
        self.statistic_ms.is_none().then_some(Unused::MissAveraged)
    }
}

/// Why a whole block takes no part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unused {
    /// Fewer than half of its planned trials entered.
    TooFew,
    /// So many misses that one would have to be averaged.
    MissAveraged,
}

/// The blocks of a session, in order of time, with what entered.
///
/// `index`: the session's number, from 0.
pub fn blocks(session: &SessionData, index: usize, rule: Rule) -> Vec<Block> {
    let plan_of = |plan: &super::input::BlockPlan| {
        let mut last: BTreeMap<usize, &TrialFacts> = BTreeMap::new();
        let (mut false_alarms, mut left_alone, mut pressed_at) = (0, 0, 0);
        let mut minutes = Span::default();
        let of_block = session.trials.iter().filter(|trial| trial.position == plan.position);
        for trial in of_block.filter(|trial| trial.outcome != Outcome::Abandoned) {
            match trial.part {
                Part::Main if trial.asks_nothing => {
                    left_alone += usize::from(trial.outcome == Outcome::Withheld);
                    pressed_at += usize::from(trial.outcome == Outcome::FalseAlarm);
                }
                Part::Main => {
                    last.insert(trial.trial, trial);
                    minutes.take(trial.minute);
                }
                Part::Catch => {
                    false_alarms += usize::from(trial.outcome == Outcome::FalseAlarm);
                }
                Part::Feel | Part::WarmUp => {}
            }
        }
        let mut block = Block {
            session: index,
            cycle: plan.cycle,
            position: plan.position,
            condition: plan.condition,
            planned: match session.origin {
                Origin::Record => session.protocol.answers_in_block(),
                Origin::Table(_) => last.len(),
            },
            seen: last.len(),
            times_ms: Vec::new(),
            misses: 0,
            left_out: BTreeMap::new(),
            late_entered: 0,
            lapses: 0,
            false_alarms,
            left_alone,
            pressed_at,
            minute: minutes.middle(),
            statistic_ms: None,
        };
        for trial in last.values() {
            admit(&mut block, trial, &session.protocol, rule);
        }
        block.statistic_ms = statistic(&block.times_ms, block.misses, &session.protocol);
        block
    };
    session.blocks.iter().map(plan_of).collect()
}

/// The declared statistic; blank where there is none, for a reason that [`Block::unused`] sees
/// again in the counts.
fn statistic(times_ms: &[f64], misses: usize, protocol: &Protocol) -> Option<f64> {
    let choice = match protocol.analysis.statistic {
        Statistic::TrimmedMean => BlockStatistic::TrimmedMean,
        Statistic::Median => BlockStatistic::Median,
        Statistic::Mean => BlockStatistic::Mean,
    };
    block_statistic(times_ms, misses, choice, protocol.respond_within_ms).ok()
}

/// An end of what a time can be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// 0 ms.
    Fastest,
    /// The response limit.
    Slowest,
}

/// The block as it would be if every trial that stays out had this time. A block that takes no
/// part stays as it is.
pub fn with_left_out_at(block: &Block, end: End, session: &SessionData) -> Block {
    if block.unused().is_some() {
        return block.clone();
    }
    let ms = match end {
        End::Fastest => 0.0,
        End::Slowest => session.protocol.respond_within_ms,
    };
    let mut moved = block.clone();
    moved.times_ms.extend(std::iter::repeat_n(ms, block.excluded()));
    moved.left_out.clear();
    moved.statistic_ms = statistic(&moved.times_ms, moved.misses, &session.protocol);
    moved
}

/// Puts one last attempt where it belongs.
fn admit(block: &mut Block, trial: &TrialFacts, protocol: &Protocol, rule: Rule) {
    match judge(trial, protocol, rule) {
        Judged::Time(ms) => {
            block.times_ms.push(ms);
            block.late_entered += usize::from(trial.flags.has(Flag::LateFrame));
            block.lapses += usize::from(trial.flags.has(Flag::Lapse));
        }
        Judged::Missed => {
            block.misses += 1;
            block.late_entered += usize::from(trial.flags.has(Flag::LateFrame));
        }
        Judged::Out(kind) => *block.left_out.entry(kind).or_insert(0) += 1,
    }
}

/// What a last attempt is to the comparison.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Judged {
    /// It enters with this time, ms.
    Time(f64),
    /// It enters as a miss.
    Missed,
    /// It stays out.
    Out(LeftOut),
}

fn judge(trial: &TrialFacts, protocol: &Protocol, rule: Rule) -> Judged {
    let time_ms = match protocol.analysis.measure {
        Measure::Click => trial.click_ms,
        Measure::Onset => trial.onset_ms,
        Measure::TapInterval | Measure::TrackError | Measure::Stillness => trial.of_run,
    };
    let why = match broken(trial) {
        Some(kind) => Some(kind),
        None => match trial.outcome {
            // A trial of a set time that came to nothing is not the worst of all values.
            Outcome::Miss if !protocol.analysis.measure.is_of_answer() => Some(LeftOut::NoMeasure),
            Outcome::Miss => return Judged::Missed,
            Outcome::Hit => match trial.click_ms {
                Some(ms) if ms < protocol.analysis.anticipation_ms => Some(LeftOut::Early),
                Some(_) | None => None,
            },
            Outcome::Wrong => Some(LeftOut::Wrong),
            Outcome::Anticipation | Outcome::FalseAlarm => Some(LeftOut::Early),
            Outcome::Interrupted | Outcome::Abandoned => Some(LeftOut::Interrupted),
            Outcome::Void | Outcome::Withheld => Some(LeftOut::Void),
        },
    };
    match (why, time_ms, rule) {
        (None, Some(ms), _) => Judged::Time(ms),
        (None, None, _) => Judged::Out(LeftOut::NoMeasure),
        // A press before the stimulus has no reaction time: it stays out even here.
        (Some(_), Some(ms), Rule::EverythingIn) if ms > 0.0 => Judged::Time(ms),
        (Some(kind), _, _) => Judged::Out(kind),
    }
}

/// The flag that breaks a trial, if any. A late frame alone does not.
fn broken(trial: &TrialFacts) -> Option<LeftOut> {
    let breaking = [
        (Flag::Overflow, LeftOut::Overflow),
        (Flag::Stalled, LeftOut::Stalled),
        (Flag::ClockJump, LeftOut::ClockJump),
        (Flag::FocusLost, LeftOut::FocusLost),
        (Flag::Unplugged, LeftOut::Unplugged),
    ];
    breaking.into_iter().find(|(flag, _)| trial.flags.has(*flag)).map(|(_, kind)| kind)
}

/// The first and the last minute seen.
#[derive(Debug, Clone, Copy, Default)]
struct Span {
    first: Option<f64>,
    last: Option<f64>,
}

impl Span {
    fn take(&mut self, minute: Option<f64>) {
        let Some(minute) = minute else { return };
        self.first = Some(self.first.map_or(minute, |first| first.min(minute)));
        self.last = Some(self.last.map_or(minute, |last| last.max(minute)));
    }

    fn middle(self) -> Option<f64> {
        Some(f64::midpoint(self.first?, self.last?))
    }
}
