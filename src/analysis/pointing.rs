//! Pointing: index of difficulty, effective width and throughput.
//!
//! Knows where movements began, aimed and ended, in one unit of length (px), and how long they
//! took, in ms. Difficulty is in bits, throughput in bits per second.

use super::describe::{mean, sd};

/// We = 4.133 sd: the width that holds 96 % of a normal's end points, sqrt(2 pi e) rounded as the
/// standard has it.
pub const EFFECTIVE_WIDTH_SDS: f64 = 4.133;

/// A point, x to the right and y down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Across.
    pub x: f64,
    /// Down.
    pub y: f64,
}

/// One movement to a target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Movement {
    /// Where it began.
    pub from: Place,
    /// The middle of the target.
    pub to: Place,
    /// Where it ended (the press).
    pub end: Place,
    /// How long it took, ms.
    pub time_ms: f64,
}

/// Throughput of one sequence of movements of one amplitude and width.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Throughput {
    /// Mean distance covered along the task axis, in the unit of length.
    pub effective_amplitude: f64,
    /// 4.133 sd of the end points along the task axis.
    pub effective_width: f64,
    /// Effective index of difficulty, bits.
    pub effective_bits: f64,
    /// Mean movement time, ms.
    pub time_ms: f64,
    /// Bits per second.
    pub bits_per_s: f64,
}

/// Why there is no throughput.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum PointingError {
    /// Too few movements for a spread.
    #[error("{movements} movements: a throughput needs 2")]
    TooFew {
        /// Movements given.
        movements: usize,
    },
    /// A movement begins at its target.
    #[error("movement {index} begins at its target")]
    NoAxis {
        /// Which, from 0.
        index: usize,
    },
    /// All end points lie at one place along the axis, or the times are not above 0.
    #[error("the end points or the times have no spread to divide by")]
    NoSpread,
}

/// Fitts's index of difficulty, log2(2A / W), bits.
///
/// # Source
/// Fitts (1954) J. Experimental Psychology 47:381.
pub fn fitts_bits(amplitude: f64, width: f64) -> f64 {
    libm::log2(2.0 * amplitude / width)
}

/// The index of difficulty of the standard, log2(A / W + 1), bits.
///
/// # Source
/// ISO 9241-411:2012; MacKenzie (1992) Human-Computer Interaction 7:91.
pub fn shannon_bits(amplitude: f64, width: f64) -> f64 {
    libm::log2(amplitude / width + 1.0)
}

/// The width that would hold all but 4 % of end points, from the share of misses, where end points
/// themselves were not kept: W 2.066 / z(1 - share/2). `miss_share` inside 0..1.
///
/// # Source
/// Soukoreff & MacKenzie (2004) Int. J. Human-Computer Studies 61:751.
pub fn width_by_misses(width: f64, miss_share: f64) -> f64 {
    width * EFFECTIVE_WIDTH_SDS / 2.0 / super::normal::quantile(1.0 - miss_share / 2.0)
}

/// How far past (above 0) or short of (below 0) the target's middle a movement ended, along the
/// line from start to target; `None` where it begins at its target.
pub fn along_axis(movement: &Movement) -> Option<f64> {
    let Movement { from, to, end, .. } = movement;
    let (x, y) = (to.x - from.x, to.y - from.y);
    let amplitude = x.hypot(y);
    (amplitude > 0.0).then(|| ((end.x - to.x) * x + (end.y - to.y) * y) / amplitude)
}

/// Throughput with effective width and amplitude.
///
/// ```text
/// We = 4.133 sd(dx);  Ae = mean(A + dx);  IDe = log2(Ae / We + 1);  TP = IDe / mean time
/// ```
/// dx as in [`along_axis`], A the distance from start to target. Misses belong in it.
/// # Source
/// ISO 9241-411:2012, annex B; Soukoreff & MacKenzie (2004) Int. J. Human-Computer Studies 61:751.
/// # Errors
/// [`PointingError`].
pub fn throughput(movements: &[Movement]) -> Result<Throughput, PointingError> {
    let mut errors = Vec::with_capacity(movements.len());
    let mut covered = Vec::with_capacity(movements.len());
    for (index, movement) in movements.iter().enumerate() {
        let error = along_axis(movement).ok_or(PointingError::NoAxis { index })?;
        let Movement { from, to, .. } = movement;
        errors.push(error);
        covered.push(error + (to.x - from.x).hypot(to.y - from.y));
    }
    let times: Vec<f64> = movements.iter().map(|movement| movement.time_ms).collect();
    let (Some(spread), Some(effective_amplitude), Some(time_ms)) =
        (sd(&errors), mean(&covered), mean(&times))
    else {
        return Err(PointingError::TooFew { movements: movements.len() });
    };
    if !(spread > 0.0 && time_ms > 0.0 && effective_amplitude > 0.0) {
        return Err(PointingError::NoSpread);
    }
    let effective_width = EFFECTIVE_WIDTH_SDS * spread;
    let effective_bits = shannon_bits(effective_amplitude, effective_width);
    Ok(Throughput {
        effective_amplitude,
        effective_width,
        effective_bits,
        time_ms,
        bits_per_s: 1000.0 * effective_bits / time_ms,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn right(end: f64) -> Movement {
        let at = |x| Place { x, y: 0.0 };
        Movement { from: at(0.0), to: at(100.0), end: at(end), time_ms: 500.0 }
    }

    #[test]
    fn past_is_above_0() {
        assert_eq!(along_axis(&right(103.0)), Some(3.0));
        assert_eq!(along_axis(&right(98.0)), Some(-2.0));
    }

    #[test]
    fn what_has_no_throughput() {
        let few = PointingError::TooFew { movements: 1 };
        assert_eq!(throughput(&[right(99.0)]), Err(few));
        assert_eq!(throughput(&[right(99.0), right(99.0)]), Err(PointingError::NoSpread));
        let mut still = right(99.0);
        still.to = still.from;
        assert_eq!(throughput(&[right(99.0), still]), Err(PointingError::NoAxis { index: 1 }));
    }
}
