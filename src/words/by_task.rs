//! Sentences on what only one kind of task tells.

/// Above the table of pointing.
pub const POINTING: &str = "Pointing by difficulty";
/// Its columns.
pub const POINTING_COLUMNS: [&str; 8] = [
    "hold",
    "distance, mm",
    "size, mm",
    "movements (beside)",
    "movement, ms",
    "effective width, px",
    "effective bits",
    "throughput, bits/s",
];
/// Under it.
pub const POINTING_NOTE: &str = "Effective width: 4.133 standard deviations of where the \
    movements ended along the way to the target, presses beside it included; throughput: effective index \
    of difficulty over movement time (ISO 9241-411). All blocks of a hold together: single blocks \
    hold too few movements of one distance and size.";

/// How movement time grows with difficulty.
pub fn pointing_line(hold: &str, intercept_ms: f64, slope_ms_per_bit: f64) -> String {
    format!(
        "Under {hold} a movement takes {intercept_ms:.0} ms and {slope_ms_per_bit:.0} ms more for each \
         bit of difficulty."
    )
}

/// Above the table of a choice.
pub const CHOICE: &str = "Information in the answers";
/// Its columns.
pub const CHOICE_COLUMNS: [&str; 5] =
    ["hold", "alternatives", "answers", "bits in an answer (most)", "bits/s"];
/// Under it.
pub const CHOICE_NOTE: &str = "Bits in an answer: what the answers tell of the targets \
    (Hyman 1953); with no error and all places equally often it is the base-2 logarithm of their number. With \
    few answers it comes out too high: errors that did not happen yet cannot be seen.";
