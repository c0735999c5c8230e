//! When the movement began, by a fit: displacement = a s³ + b s⁴ + c s⁵ from rest to peak speed.
//!
//! Knows the steps and the peak of the smoothed speed; the start is searched. Three things hold
//! the fit still where it is taken literally, as counts are few: at peak speed the acceleration is
//! zero, which leaves two of the three terms free; the mouse's place at rest is fitted with them;
//! and a departure from the shape of minimum jerk must be worth more than this trial's own noise
//! at rest. Only sums and products: the same on every machine.

use super::Step;
use super::path::{Peak, Speed};
use crate::units::{Nanos, Span};

/// Rest before the movement that is fitted with it: tried beside 30 and 60 ms on simulated
/// movements with small shakes, where it has the smallest spread (docs/onset.md).
const REST: Span = Span::from_ms(100);
/// A longer rise from 5 % of peak speed to the peak is no single movement, and has no fit: common
/// practice, no source.
const LONGEST_RISE: Span = Span::from_ms(600);
/// Fewer counts than this from rest to peak show no shape: common practice, no source.
const LEAST_COUNTS: f64 = 10.0;
/// No start is looked for later than this before the peak.
const LEAST_RISE: Span = Span::from_ms(8);
/// The search begins this long, and this share of the rise, before 5 % of peak speed.
const SEARCH_BEFORE: Span = Span::from_ms(10);
const SEARCH_SHARE: f64 = 0.4;
/// Steps of the search: first these, then the fine ones about the best.
const COARSE: Span = Span::from_ms(4);
const FINE: Span = Span::from_ms(1);
/// Expected departure from minimum jerk, as a share of the movement's length.
const DEPARTURE: f64 = 0.5;
/// How heavily the noise at rest weighs against a departure: tried as 1, 10 and 100.
const CAUTION: f64 = 10.0;
/// For how long a shake, and the rounding to whole counts, stay alike: a quarter of a tremor of
/// 10 Hz; common practice, no source.
const SHAKE_ALIKE_MS: f64 = 25.0;
const ROUNDING_ALIKE_MS: f64 = 5.0;
/// Noise at rest is taken in stretches as long as a tremor's period, up to this before the
/// stimulus, so that motion begun too early is not taken for noise.
const STRETCH: Span = Span::from_ms(100);

/// Where the mouse was, counts from its place at the start.
#[derive(Debug, Clone, Copy)]
struct Place {
    t: Nanos,
    x: f64,
    y: f64,
}

/// The fitted start, to the nearest microsecond; `None` where there is too little to fit, or the
/// best start lies at the edge of the search.
///
/// `five_percent`: where the smoothed speed last rose through 5 % of its peak.
pub(super) fn start(
    steps: &[Step],
    speed: &Speed,
    peak: Peak,
    five_percent: Nanos,
    onset_shown: Nanos,
    report_interval: Option<Span>,
) -> Option<Nanos> {
    let peak_at = speed.moment(peak.bin as f64 + speed.beside_the_middle(peak));
    let rise = peak_at - five_percent;
    if rise > LONGEST_RISE || rise < LEAST_RISE {
        return None;
    }
    let each = report_interval
        .or_else(|| usual_interval(steps, five_percent, peak_at))
        .map_or(FINE, |interval| interval.max(FINE));
    let places = places(steps, speed.begins(), peak_at, each);
    let from = places.partition_point(|place| place.t < five_percent - REST);
    let (begin, end) = (*places.get(from)?, *places.last()?);
    let (dx, dy) = (end.x - begin.x, end.y - begin.y);
    let counts = libm::sqrt(dx * dx + dy * dy);
    if counts < LEAST_COUNTS {
        return None;
    }
    let along = |place: &Place| ((place.x * dx) + (place.y * dy)) / counts;
    let rest: Vec<f64> =
        places.iter().take_while(|place| place.t < onset_shown - STRETCH).map(along).collect();
    let stretch = usize::try_from(STRETCH.0 / each.0).unwrap_or(1).max(2);
    let alike = |ms: f64| (ms / each.ms()).max(1.0);
    let noise =
        alike(ROUNDING_ALIKE_MS) / 12.0 + alike(SHAKE_ALIKE_MS) * mean_variance(&rest, stretch);
    // At peak speed half of a minimum-jerk movement is done.
    let departure = DEPARTURE * 2.0 * counts;
    let rise = Rise {
        peak_at,
        places: places[from..]
            .iter()
            .map(|place| (ms_before(peak_at, place.t), along(place)))
            .collect(),
        penalty: CAUTION * noise / (departure * departure),
    };
    rise.search(five_percent)
}

/// Median gap between reports of the rise, for a mouse whose interval was not measured.
fn usual_interval(steps: &[Step], from: Nanos, until: Nanos) -> Option<Span> {
    let times: Vec<Nanos> =
        steps.iter().map(|step| step.t).filter(|t| (from..=until).contains(t)).collect();
    let mut gaps: Vec<i64> = times.windows(2).map(|pair| (pair[1] - pair[0]).0).collect();
    gaps.sort_unstable();
    gaps.get(gaps.len() / 2).map(|&ns| Span(ns))
}

/// The mouse's place at its reports, not closer than half of `each`; where it is silent it stays, at each
/// moment at which a report might have come.
fn places(steps: &[Step], from: Nanos, until: Nanos, each: Span) -> Vec<Place> {
    let half = Span(each.0 / 2);
    let mut places = vec![Place { t: from, x: 0.0, y: 0.0 }];
    let mut now = places[0];
    let mut kept = now.t;
    for step in steps.iter().filter(|step| from < step.t && step.t <= until) {
        while kept + each + half < step.t {
            kept += each;
            places.push(Place { t: kept, ..now });
        }
        now = Place { t: step.t, x: now.x + step.dx, y: now.y + step.dy };
        if now.t - kept > half {
            places.push(now);
            kept = now.t;
        }
    }
    places
}

/// Mean of the variances of whole stretches; 0 where there is no whole stretch.
fn mean_variance(values: &[f64], stretch: usize) -> f64 {
    let n = stretch as f64;
    let variances: Vec<f64> = values
        .chunks_exact(stretch)
        .map(|values| {
            let mean = values.iter().sum::<f64>() / n;
            values.iter().map(|value| (value - mean) * (value - mean)).sum::<f64>() / n
        })
        .collect();
    if variances.is_empty() { 0.0 } else { variances.iter().sum::<f64>() / variances.len() as f64 }
}

fn ms_before(peak_at: Nanos, t: Nanos) -> f64 {
    (peak_at - t).ms()
}

/// A rise from rest to peak speed, along the movement.
struct Rise {
    peak_at: Nanos,
    /// Milliseconds before the peak, and counts along the movement.
    places: Vec<(f64, f64)>,
    /// Weight of the squared departure from minimum jerk.
    penalty: f64,
}

impl Rise {
    /// The start with the least misfit: coarse, fine, then by a parabola through three.
    fn search(&self, five_percent: Nanos) -> Option<Nanos> {
        let rise = self.peak_at - five_percent;
        let before = SEARCH_BEFORE + Span::from_ms_f64(SEARCH_SHARE * rise.ms());
        let (first, last) = (five_percent - before, self.peak_at - LEAST_RISE);
        let coarse = self.best(first, last, COARSE)?;
        let (low, high) = (first.max(coarse - COARSE), last.min(coarse + COARSE));
        let best = self.best(low, high, FINE)?;
        if best <= first || best + FINE > last {
            return None;
        }
        let [l, c, r] = [best - FINE, best, best + FINE].map(|t| self.misfit(t));
        let (l, c, r) = (l?, c?, r?);
        let bend = l - 2.0 * c + r;
        let aside = if bend > 0.0 { (0.5 * (l - r) / bend).clamp(-1.0, 1.0) } else { 0.0 };
        let at = best + Span::from_ms_f64(aside * FINE.ms());
        Some(Nanos((at.0 + 500).div_euclid(1000) * 1000))
    }

    fn best(&self, first: Nanos, last: Nanos, each: Span) -> Option<Nanos> {
        let starts = std::iter::successors(Some(first), |&t| Some(t + each));
        starts
            .take_while(|&t| t <= last)
            .filter_map(|t| self.misfit(t).map(|misfit| (t, misfit)))
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(t, _)| t)
    }

    /// Sum of squares that is left, with the penalty, when the movement starts at `t`.
    ///
    /// With z the share of the rise, the displacement is `rest + length m(z) + departure g(z)`:
    ///
    /// ```text
    /// m = 5/4 z³ - 15/16 z⁴ + 3/16 z⁵     minimum jerk to the peak at half its time
    /// g = 4/3 z³ -  7/3  z⁴ +      z⁵     no displacement at the peak
    /// ```
    /// the two that have no acceleration at z = 1.
    fn misfit(&self, t: Nanos) -> Option<f64> {
        let rise_ms = ms_before(self.peak_at, t);
        let mut normal = [[0.0; 4]; 3];
        let mut total = 0.0;
        for &(before_ms, counts) in &self.places {
            let z = 1.0 - before_ms / rise_ms;
            let terms = if z > 0.0 {
                let z3 = z * z * z;
                [
                    1.0,
                    z3 * (1.25 - z * (0.9375 - 0.1875 * z)),
                    z3 * (4.0 / 3.0 - z * (7.0 / 3.0 - z)),
                ]
            } else {
                [1.0, 0.0, 0.0]
            };
            for (row, &term) in normal.iter_mut().zip(&terms) {
                for (sum, &other) in row.iter_mut().zip(&terms) {
                    *sum += term * other;
                }
                row[3] += term * counts;
            }
            total += counts * counts;
        }
        normal[2][2] += self.penalty;
        let right = normal.map(|row| row[3]);
        let found = solve(normal)?;
        Some(total - found.iter().zip(right).map(|(a, b)| a * b).sum::<f64>())
    }
}

/// Solves three normal equations (symmetric, positive definite); `None` where they are not.
fn solve(mut m: [[f64; 4]; 3]) -> Option<[f64; 3]> {
    for i in 0..3 {
        let pivot = m[i];
        if pivot[i] < 1e-9 {
            return None;
        }
        for (r, row) in m.iter_mut().enumerate() {
            if r != i {
                let share = row[i] / pivot[i];
                for (value, above) in row.iter_mut().zip(pivot) {
                    *value -= share * above;
                }
            }
        }
    }
    Some([0, 1, 2].map(|i| m[i][3] / m[i][i]))
}
