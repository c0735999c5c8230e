//! From numbers to a verdict: the sentence, findings.json, the report, the picture.
//!
//! It reads a record and never changes it.

/// v
pub const ANALYSIS_VERSION: u32 = 1;
