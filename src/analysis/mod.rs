//! Statistics, one file a topic: slices in, numbers out; every formula names its source.
//!
//! Pure: no file, no clock, no thread that outlives a call, no import of any other part. It does not know what a trial
//! record, a protocol or a hold is: conditions are indices, redraws come in as an iterator of
//! orders, and every value is in the unit it was given in.

pub mod adjust;
pub mod adjusted;
pub mod always_valid;
mod bisect;
pub mod bootstrap;
pub mod combine;
pub mod conditional;
pub mod control;
pub mod counts;
pub mod crossing;
pub mod describe;
pub mod dominance;
pub mod effect;
mod erfcx;
pub mod exgauss;
pub mod frames;
pub mod hick;
pub mod hold_check;
pub mod later;
pub mod looks;
pub mod mann_kendall;
pub mod max_t;
pub mod mixed;
pub mod model;
pub mod naive;
pub mod newey_west;
pub mod noncentral;
pub mod normal;
pub mod order;
pub mod pointing;
pub mod primary;
pub mod proportion;
pub mod reliability;
pub mod sdt;
pub mod shift;
pub mod signed_rank;
pub mod simultaneous;
pub mod slope;
pub mod student;
pub mod verdict;
pub mod winsor;

pub use primary::{CompareError, CompareSpec, Family, Redraws, compare, compare_at};

/// An estimate with its interval, in the unit of what went in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// The estimate.
    pub estimate: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// One block's statistic: a row of the block table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BlockRow {
    /// Session, from 0 (rows of one session share cycles and trend).
    pub session: usize,
    /// Cycle within the session, from 0.
    pub cycle: usize,
    /// Place of the block in its session, from 1; the trend runs over it.
    pub position: f64,
    /// Condition, from 0.
    pub condition: usize,
    /// The block's statistic (ms, as a rule).
    pub value: f64,
}

/// What the interval of A - B says beside the least difference that matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Verdict {
    /// A is faster, by more than the least difference that matters.
    AFasterByEnough,
    /// B is faster, by more than the least difference that matters.
    BFasterByEnough,
    /// A is faster, and the difference is too small to matter.
    AFasterTooLittle,
    /// B is faster, and the difference is too small to matter.
    BFasterTooLittle,
    /// The difference, if any, is too small to matter.
    NoDifferenceThatMatters,
    /// A is faster; whether by enough is open.
    AFasterSizeOpen,
    /// B is faster; whether by enough is open.
    BFasterSizeOpen,
    /// Not settled.
    Open,
    /// No interval can be given.
    Withheld,
}

impl Verdict {
    /// The value of `verdict` in findings.json.
    pub const fn name(self) -> &'static str {
        match self {
            Verdict::AFasterByEnough => "a_faster_by_enough",
            Verdict::BFasterByEnough => "b_faster_by_enough",
            Verdict::AFasterTooLittle => "a_faster_too_little",
            Verdict::BFasterTooLittle => "b_faster_too_little",
            Verdict::NoDifferenceThatMatters => "no_difference_that_matters",
            Verdict::AFasterSizeOpen => "a_faster_size_open",
            Verdict::BFasterSizeOpen => "b_faster_size_open",
            Verdict::Open => "open",
            Verdict::Withheld => "withheld",
        }
    }
}

/// The comparison of two conditions, `difference` = a - b.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// Condition a (its index is below b's).
    pub a: usize,
    /// Condition b.
    pub b: usize,
    /// What the model says; `None` where the contrast cannot be estimated.
    pub fit: Option<PairFit>,
    /// Two-sided p by re-randomisation of the pair's t; `None` where the design has no other draw.
    pub p_randomization: Option<f64>,
    /// The same against the largest |t| of the whole family (Westfall & Young, single step).
    pub p_randomization_family: Option<f64>,
    /// The smallest p that the design could give; `None` where there is no other draw.
    pub attainable_p: Option<f64>,
    /// The verdict.
    pub verdict: Verdict,
}

/// The model's numbers for a pair.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PairFit {
    /// a - b.
    pub difference: f64,
    /// Its standard error.
    pub standard_error: f64,
    /// Residual degrees of freedom.
    pub df: f64,
    /// Simultaneous interval at the declared confidence, lower end.
    pub low: f64,
    /// Simultaneous interval, upper end.
    pub high: f64,
    /// Unadjusted interval, lower end.
    pub low_single: f64,
    /// Unadjusted interval, upper end.
    pub high_single: f64,
    /// Two-sided unadjusted p of t.
    pub p_t: f64,
    /// The same from the family's max |t|.
    pub p_adjusted: f64,
    /// The family's interval at 1 - 2 x 0.05, for equivalence: lower end.
    pub equivalence_low: f64,
    /// Upper end.
    pub equivalence_high: f64,
    /// Chance that a is faster (flat prior).
    pub chance_a_faster: f64,
    /// Chance that a is faster by more than the least difference that matters.
    pub chance_a_faster_by_enough: f64,
}
