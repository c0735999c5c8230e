//! A true difference between holds, as it is typed.

/// A true difference between holds, ms.
pub(super) fn difference_ms(text: &str) -> Result<f64, String> {
    let wrong = || format!("a difference is a number from -150 to 150 ms, not `{text}`");
    text.parse().ok().filter(|ms: &f64| ms.abs() <= 150.0).ok_or_else(wrong)
}
