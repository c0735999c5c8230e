//! The protocol as values: what a checked protocol file says.
//!
//! A value of these types has passed the checker (ranges, care ceilings, whole Williams sets), so
//! nobody downstream checks again. Serialised, it is the canonical form that the frozen analysis
//! rules are hashed from: the order of fields is part of that form.

use crate::tasks::{Look, TaskKind};
use serde::Serialize;

/// A whole protocol.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Protocol {
    /// ASCII slug.
    pub id: String,
    /// A title that says which question it answers.
    pub title: String,
    /// The question, as a player would ask it.
    pub question: String,
    /// The holds, at least two, in the order of the file.
    pub conditions: Vec<Condition>,
    /// Orders, cycles and trials.
    pub design: Design,
    /// Which task, with its own keys.
    pub task: TaskKind,
    /// How long an answer may take, ms.
    pub respond_within_ms: f64,
    /// How the target looks.
    pub stimulus: Look,
    /// How long the waits are.
    pub foreperiod: Foreperiod,
    /// Rests between blocks.
    pub rest: Rest,
    /// What the player is asked, and when.
    pub ask: Ask,
    /// Movement onset.
    pub motion: MotionRule,
    /// The analysis, declared beforehand.
    pub analysis: AnalysisRule,
    /// Ceilings that protect the player.
    pub care: Care,
}

impl Protocol {
    /// Main trials of a block that ask for an answer.
    pub fn answers_in_block(&self) -> usize {
        let task = self.task.task();
        let stimuli = task.stimuli(self.design.trials);
        stimuli.into_iter().filter(|stimulus| !task.withholds(*stimulus)).count()
    }

    /// Index of the hold that the others are compared with.
    pub fn reference(&self) -> usize {
        self.conditions.iter().position(|c| c.id == self.design.reference).unwrap_or(0)
    }
}

/// One hold: a grip and a tension.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Condition {
    /// ASCII slug, unique in the protocol.
    pub id: String,
    /// How the hand lies.
    pub grip: Grip,
    /// How firmly.
    pub tension: Tension,
    /// The words that the player follows.
    pub say: String,
}

/// How the hand lies on the mouse.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Grip {
    /// The palm rests on the mouse.
    Palm,
    /// The fingers are arched.
    Claw,
    /// Only the fingertips touch.
    Fingertip,
    /// Between these.
    Mixed,
    /// None of these.
    Other,
}

/// How firmly the mouse is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Tension {
    /// Only as firm as needed to keep it.
    Light,
    /// The usual grip with the fingers curled closer, no squeeze.
    Shaped,
    /// About 3 to 4 of 10, never the strongest.
    Firm,
    /// None of these.
    Other,
}

/// The order of blocks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Order {
    /// Balanced for first-order carry-over; whole sets only.
    Williams,
    /// There and back again (ABBA).
    Mirrored,
    /// Random in each cycle, restricted so that the trend can be told apart.
    Shuffled,
    /// As written.
    Fixed,
}

/// Orders, cycles and trials.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Design {
    /// The order of blocks.
    pub order: Order,
    /// How many cycles; each holds every condition once, as one block.
    pub cycles: usize,
    /// Main trials in a block.
    pub trials: usize,
    /// Warm-up trials in the first cycle's blocks.
    pub warm_up: usize,
    /// Warm-up trials in later blocks.
    pub warm_up_later: usize,
    /// Id of the hold that the others are compared with.
    pub reference: String,
    /// Cycles after which the answer may be looked at, before the last: ascending, each stretch
    /// between them drawn by itself. The key stands under `analysis`. Left out of the canonical
    /// form where there is none, so that older hashes hold.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub looks: Vec<usize>,
}

impl Design {
    /// Cycles of each stretch that is drawn by itself: the whole session where no look is planned.
    pub fn stretches(&self) -> Vec<usize> {
        let ends = self.looks.iter().copied().chain([self.cycles]);
        let mut before = 0;
        ends.map(|end| end.saturating_sub(std::mem::replace(&mut before, end))).collect()
    }

    /// The number of the rule that draws it: rule 2 draws stretch by stretch.
    pub fn draw_rule(&self) -> u32 {
        if self.looks.is_empty() { 1 } else { 2 }
    }
}

/// The law of the wait before a stimulus.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(tag = "law", rename_all = "snake_case")]
pub enum Foreperiod {
    /// min + Exp(mean); a draw beyond max is a catch trial that ends at max, so that the hazard is
    /// constant to the very end.
    Exponential {
        /// Shortest wait, ms.
        min_ms: f64,
        /// Mean beyond the shortest, ms.
        mean_ms: f64,
        /// Longest wait, ms.
        max_ms: f64,
    },
    /// Every wait between min and max equally likely; catch trials with their own share.
    Uniform {
        /// Shortest wait, ms.
        min_ms: f64,
        /// Longest wait, ms.
        max_ms: f64,
        /// Share of catch trials, 0 to 0.3.
        catch_share: f64,
    },
    /// Always the same wait; catch trials with their own share.
    Fixed {
        /// The wait, ms.
        ms: f64,
        /// Share of catch trials, 0 to 0.3.
        catch_share: f64,
    },
    /// A partner ends the wait, by a gamepad, a second mouse or a key. A wait that nobody ends is
    /// void and comes again; there are no catch trials.
    Partner {
        /// A sooner cue takes effect here, ms.
        min_ms: f64,
        /// Mean beyond the shortest, ms: what a plan reckons with.
        mean_ms: f64,
        /// How long a cue is waited for, ms.
        max_ms: f64,
    },
}

impl Foreperiod {
    /// Share of the draws that are catch trials, 0 to 1.
    pub fn catch_share(&self) -> f64 {
        match *self {
            Foreperiod::Exponential { min_ms, mean_ms, max_ms } => {
                libm::exp(-(max_ms - min_ms) / mean_ms)
            }
            Foreperiod::Uniform { catch_share, .. } | Foreperiod::Fixed { catch_share, .. } => {
                catch_share
            }
            Foreperiod::Partner { .. } => 0.0,
        }
    }

    /// The longest wait, which is also how long a catch trial lasts, ms.
    pub fn longest_ms(&self) -> f64 {
        match *self {
            Foreperiod::Exponential { max_ms, .. }
            | Foreperiod::Uniform { max_ms, .. }
            | Foreperiod::Partner { max_ms, .. } => max_ms,
            Foreperiod::Fixed { ms, .. } => ms,
        }
    }
}

/// Rests between blocks.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Rest {
    /// Floor of a rest, s; the program's own floor holds besides: max(5 s, half the time just
    /// spent under the hold).
    pub min_s: f64,
    /// A rest after every so many blocks; the program's own floor applies after every block.
    pub every_blocks: usize,
    /// A standing break after this block, and how long at least.
    pub standing_break: Option<StandingBreak>,
}

/// A long rest away from the desk.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct StandingBreak {
    /// After the block with this number (from 1).
    pub after_block: usize,
    /// Floor, s.
    pub min_s: f64,
}

/// What the player rates.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, serde::Deserialize,
)]
#[serde(rename_all = "snake_case")]
pub enum Rating {
    /// Which hold the player thinks is faster, and how sure; before the session only.
    Expectation,
    /// How firmly the mouse was held, 0 to 10.
    Tension,
    /// Discomfort of hand or arm, 0 to 10.
    Discomfort,
    /// Tiredness, 0 to 10.
    Fatigue,
}

impl Rating {
    /// The name that stands in files.
    pub const fn name(self) -> &'static str {
        match self {
            Rating::Expectation => "expectation",
            Rating::Tension => "tension",
            Rating::Discomfort => "discomfort",
            Rating::Fatigue => "fatigue",
        }
    }
}

/// What the player is asked, and when.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Ask {
    /// Before the first block.
    pub before: Vec<Rating>,
    /// After each block.
    pub after_block: Vec<Rating>,
    /// After each cycle.
    pub after_cycle: Vec<Rating>,
}

/// Which definition of movement onset the analysis uses.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum OnsetRule {
    /// First count of the run of motion that leads to the response.
    #[serde(rename = "first")]
    First,
    /// 5 % of peak speed.
    #[serde(rename = "5pct")]
    FivePercent,
    /// Start of a fit from rest to peak speed.
    #[serde(rename = "fit")]
    Fit,
}

/// Movement onset.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MotionRule {
    /// Which definition is used.
    pub onset: OnsetRule,
    /// Cut-off of the low-pass for speed, Hz (each pass's -3 dB point).
    pub low_pass_hz: f64,
    /// In tasks answered by a button alone, movement onset is blank unless at least this many
    /// counts precede the press by 20 ms or more.
    pub least_counts: f64,
}

/// What the analysis compares.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Measure {
    /// Click reaction time.
    Click,
    /// Movement onset.
    Onset,
    /// Mean time from one tap to the next.
    TapInterval,
    /// Root mean square distance from a moving target, px.
    TrackError,
    /// Root mean square of the counts in 5 ms of a hand that keeps still.
    Stillness,
}

impl Measure {
    /// The name that stands in files.
    pub const fn name(self) -> &'static str {
        match self {
            Measure::Click => "click",
            Measure::Onset => "onset",
            Measure::TapInterval => "tap_interval",
            Measure::TrackError => "track_error",
            Measure::Stillness => "stillness",
        }
    }

    /// Its unit.
    pub const fn unit(self) -> &'static str {
        match self {
            Measure::Click | Measure::Onset | Measure::TapInterval => "ms",
            Measure::TrackError => "px",
            Measure::Stillness => "counts",
        }
    }

    /// Whether it is the time of an answer, which can be early, late or missed.
    pub const fn is_of_answer(self) -> bool {
        match self {
            Measure::Click | Measure::Onset => true,
            Measure::TapInterval | Measure::TrackError | Measure::Stillness => false,
        }
    }
}

/// The statistic of a block.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Statistic {
    /// 20 % trimmed mean.
    TrimmedMean,
    /// Median.
    Median,
    /// Mean.
    Mean,
}

/// Which comparisons are made together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Family {
    /// Each hold against the reference (Dunnett).
    Reference,
    /// Every pair (Tukey).
    All,
}

/// The analysis, declared beforehand.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AnalysisRule {
    /// What is compared.
    pub measure: Measure,
    /// The statistic of a block.
    pub statistic: Statistic,
    /// Which comparisons are made together.
    pub family: Family,
    /// Confidence of the simultaneous intervals, 0.5 to 0.999.
    pub confidence: f64,
    /// Smallest worthwhile change, in the measure's unit: ms, but px or counts where the measure is no
    /// time.
    pub smallest_change_ms: f64,
    /// A press sooner than this after the onset is an anticipation, ms.
    pub anticipation_ms: f64,
    /// A press later than this is flagged as a lapse, ms.
    pub lapse_ms: f64,
}

/// Ceilings that protect the player; the program's own cannot be lifted.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Care {
    /// A discomfort rating at or above this ends the block, of 10.
    pub discomfort_limit: u8,
    /// Longest session, minutes, pauses included.
    pub longest_minutes: f64,
    /// Most minutes under a firm hold.
    pub firm_minutes_at_most: f64,
}
