//! Whether two holds were held apart: readings of firmness (a rating of 0 to 10, or the share of a
//! comfortable strong grip) of the blocks of one cycle, one under each hold.
//!
//! The paired t interval of the differences within cycles (Student 1908; any textbook), and cycle by
//! cycle the ones where the firmer hold was not the firmer by a least difference that the caller
//! sets. It does not know what a reading is.

use super::{Interval, describe, student};

/// A reading of one block.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Session, from 0.
    pub session: usize,
    /// Cycle within the session, from 1.
    pub cycle: usize,
    /// Place of the block in its session, from 1.
    pub position: usize,
    /// The reading, in any unit.
    pub value: f64,
}

/// What a check of two holds says.
#[derive(Debug, Clone, PartialEq)]
pub struct Apart {
    /// Mean of firmer minus lighter over the cycles that have both, in the readings' unit.
    pub difference: f64,
    /// Its interval; none below two cycles.
    pub interval: Option<Interval>,
    /// Cycles that have both.
    pub cycles: usize,
    /// The blocks (session from 0, place from 1) under the firmer hold that were not the firmer by
    /// `least`, in order.
    pub not_apart: Vec<(usize, usize)>,
}

impl Apart {
    /// Whether the holds were held apart: the whole interval lies above 0 and at most a fifth of the
    /// cycles are named.
    pub fn held(&self) -> Option<bool> {
        let interval = self.interval?;
        Some(interval.low > 0.0 && 5 * self.not_apart.len() <= self.cycles)
    }
}

/// Compares the readings of the `firmer` hold with those of the `lighter` one, within sessions and
/// cycles, at `confidence` (0 to 1). `None` when no cycle has both.
pub fn apart(
    firmer: &[Reading],
    lighter: &[Reading],
    least: f64,
    confidence: f64,
) -> Option<Apart> {
    let partner = |own: &Reading| {
        lighter.iter().find(|other| (other.session, other.cycle) == (own.session, own.cycle))
    };
    let pairs: Vec<(&Reading, f64)> =
        firmer.iter().filter_map(|own| Some((own, own.value - partner(own)?.value))).collect();
    let differences: Vec<f64> = pairs.iter().map(|(_, difference)| *difference).collect();
    let difference = describe::mean(&differences)?;
    let cycles = differences.len();
    let interval = describe::sd(&differences).filter(|_| cycles > 1).map(|sd| {
        let half = student::critical(confidence, (cycles - 1) as f64) * sd / (cycles as f64).sqrt();
        Interval { estimate: difference, low: difference - half, high: difference + half }
    });
    let not_apart = pairs
        .iter()
        .filter(|(_, difference)| *difference < least)
        .map(|(own, _)| (own.session, own.position))
        .collect();
    Some(Apart { difference, interval, cycles, not_apart })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn readings(values: &[f64], shift: usize) -> Vec<Reading> {
        let of = |(i, value): (usize, &f64)| Reading {
            session: 0,
            cycle: i + 1,
            position: 2 * i + 1 + shift,
            value: *value,
        };
        values.iter().enumerate().map(of).collect()
    }

    /// Student (1908), table of the additional hours of sleep of ten patients by two drugs: mean
    /// difference 1.58, t = 4.06 on 9 degrees of freedom; R's `sleep` data give the 95 % interval
    /// 0.70 to 2.46 (`t.test(extra ~ group, paired = TRUE)`; from memory).
    #[test]
    fn students_sleep_data() {
        let first = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0];
        let second = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4];
        let found = apart(&readings(&second, 1), &readings(&first, 0), 0.5, 0.95).unwrap();
        assert!((found.difference - 1.58).abs() < 1e-9);
        let interval = found.interval.unwrap();
        assert!((interval.low - 0.7001).abs() < 5e-4 && (interval.high - 2.4599).abs() < 5e-4);
        // The fifth patient slept no longer under the second drug.
        assert_eq!(found.not_apart, [(0, 10)]);
        assert_eq!(found.held(), Some(true));
    }

    #[test]
    fn the_same_firmness_is_not_apart_and_one_cycle_is_too_few() {
        let same = readings(&[2.0, 3.0, 2.0, 3.0], 0);
        let found = apart(&readings(&[2.0, 3.0, 3.0, 2.0], 1), &same, 1.0, 0.95).unwrap();
        assert_eq!((found.held(), found.not_apart.len()), (Some(false), 3));
        let one = apart(&readings(&[4.0], 1), &readings(&[1.0], 0), 1.0, 0.95).unwrap();
        assert_eq!((one.held(), one.interval), (None, None));
        assert_eq!(apart(&[], &same, 1.0, 0.95), None);
        // A cycle without the other hold takes no part.
        let more = readings(&[4.0, 4.0, 4.0], 1);
        assert_eq!(apart(&more, &readings(&[1.0, 1.0], 0), 1.0, 0.95).unwrap().cycles, 2);
    }
}
