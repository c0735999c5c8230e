//! The programs that work the main numbers out again, filled in with a session's own rules.

use crate::findings::Findings;
use crate::protocol::{Measure, OnsetRule, Statistic};

/// The program in Python.
pub fn python(findings: &Findings) -> String {
    filled(include_str!("recompute.py"), findings, |ids| format!("[{}]", ids.join(", ")))
}

/// The program in R.
pub fn r(findings: &Findings) -> String {
    filled(include_str!("recompute.R"), findings, |ids| format!("c({})", ids.join(", ")))
}

fn filled(program: &str, findings: &Findings, list: impl Fn(&[String]) -> String) -> String {
    let protocol = findings.protocol();
    // A hold's id holds letters, digits, - and _ only: the protocol's reader sees to it.
    let ids: Vec<String> =
        findings.holds.iter().map(|hold| format!("\"{}\"", hold.id.escape_default())).collect();
    let column = match (protocol.analysis.measure, protocol.motion.onset) {
        (Measure::Click, _) => "click_rt_ms",
        (Measure::Onset, OnsetRule::First) => "movement_first_rt_ms",
        (Measure::Onset, OnsetRule::FivePercent) => "movement_5pct_rt_ms",
        (Measure::Onset, OnsetRule::Fit) => "movement_fit_rt_ms",
        (Measure::TapInterval, _) => "tap_interval_ms",
        (Measure::TrackError, _) => "track_error_px",
        (Measure::Stillness, _) => "still_rms_counts",
    };
    // Only an answer can come too soon to be one.
    let anticipation = if protocol.analysis.measure.is_of_answer() {
        protocol.analysis.anticipation_ms
    } else {
        0.0
    };
    let statistic = match protocol.analysis.statistic {
        Statistic::TrimmedMean => "trimmed_mean",
        Statistic::Median => "median",
        Statistic::Mean => "mean",
    };
    program
        .replace("@HOLDS@", &list(&ids))
        .replace("@COLUMN@", column)
        .replace("@STATISTIC@", statistic)
        .replace("@TRIALS@", &protocol.design.trials.to_string())
        .replace("@ANTICIPATION@", &anticipation.to_string())
        .replace("@LIMIT@", &protocol.respond_within_ms.to_string())
        .replace("@CONFIDENCE@", &protocol.analysis.confidence.to_string())
}
