//! From readings at rest and at a comfortable strong grip to a scale: 0 at rest, 1 at that grip.

/// The scale of one player on one axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Calibration {
    /// Raw reading at rest.
    pub rest: f64,
    /// Raw reading at a comfortable strong grip.
    pub strong: f64,
}

impl Calibration {
    /// A reading as a share of the comfortable strong grip; below 0 and above 1 are possible.
    pub fn share(&self, raw: f64) -> f64 {
        (raw - self.rest) / (self.strong - self.rest)
    }
}

/// Readings that give no scale.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum CalibrationError {
    /// The axis said nothing.
    #[error("the axis gave no reading {while_what}")]
    Silent {
        /// At rest, or under the grip.
        while_what: &'static str,
    },
    /// The grip does not stand out from how the readings wander.
    #[error("the grip moved the axis by {moved:.3}, and it wanders by {wanders:.3} of itself")]
    TooSmall {
        /// Between the two medians.
        moved: f64,
        /// The larger median absolute deviation.
        wanders: f64,
    },
}

/// A scale from the readings at rest and under a comfortable strong grip, by their medians.
///
/// # Errors
/// No readings, or a grip that moves the axis by less than ten times its median absolute deviation
/// (common practice, no source).
pub fn calibrate(rest: &[f64], strong: &[f64]) -> Result<Calibration, CalibrationError> {
    const TIMES: f64 = 10.0;
    let at_rest = median(rest).ok_or(CalibrationError::Silent { while_what: "at rest" })?;
    let gripped =
        median(strong).ok_or(CalibrationError::Silent { while_what: "under the grip" })?;
    let wanders = deviation(rest, at_rest).max(deviation(strong, gripped));
    let moved = (gripped - at_rest).abs();
    if moved <= TIMES * wanders || moved <= f64::EPSILON * gripped.abs().max(1.0) {
        return Err(CalibrationError::TooSmall { moved, wanders });
    }
    Ok(Calibration { rest: at_rest, strong: gripped })
}

fn median(values: &[f64]) -> Option<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let middle = sorted.len() / 2;
    let upper = *sorted.get(middle)?;
    Some(if sorted.len() % 2 == 1 { upper } else { f64::midpoint(sorted[middle - 1], upper) })
}

fn deviation(values: &[f64], middle: f64) -> f64 {
    let away: Vec<f64> = values.iter().map(|value| (value - middle).abs()).collect();
    median(&away).unwrap_or(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_share_is_0_at_rest_and_1_at_the_grip_either_way_round() {
        for (rest, strong) in [([100.0, 101.0, 99.0], [600.0, 598.0, 603.0]), ([9.0; 3], [-4.0; 3])]
        {
            let scale = calibrate(&rest, &strong).unwrap();
            assert!(scale.share(scale.rest).abs() < 1e-12);
            assert!((scale.share(scale.strong) - 1.0).abs() < 1e-12);
            assert!((scale.share(f64::midpoint(scale.rest, scale.strong)) - 0.5).abs() < 1e-12);
        }
    }

    #[test]
    fn silence_and_a_grip_that_does_not_stand_out_are_refused() {
        assert!(matches!(calibrate(&[], &[1.0]), Err(CalibrationError::Silent { .. })));
        assert!(matches!(calibrate(&[1.0], &[]), Err(CalibrationError::Silent { .. })));
        let wandering = [0.0, 5.0, 10.0, 15.0];
        let hardly = calibrate(&wandering, &[12.0, 14.0, 16.0]);
        assert!(matches!(hardly, Err(CalibrationError::TooSmall { .. })), "{hardly:?}");
        assert!(calibrate(&[3.0; 4], &[3.0; 4]).is_err());
    }
}
