//! What people do instead, on the same presses: all presses of a hold in one heap.

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use tautline::analysis::naive;
use tautline::sim::QuickBlock;

/// Resamples of presses.
const RESAMPLES: usize = 200;

/// An interval of a difference.
pub(super) struct Ends {
    pub(super) low: f64,
    pub(super) high: f64,
}

/// The presses of a hold.
pub(super) fn heap(blocks: &[QuickBlock], hold: usize) -> Vec<f64> {
    let own = blocks.iter().filter(|block| block.condition == hold);
    own.flat_map(|block| block.hits_ms.iter().copied()).collect()
}

/// Two-sample t of the heaps.
pub(super) fn pooled_t(a: &[f64], b: &[f64]) -> Ends {
    let interval = naive::pooled(a, b).unwrap().interval(0.95);
    Ends { low: interval.low, high: interval.high }
}

/// Difference of medians, percentiles of a bootstrap of presses.
pub(super) fn medians(a: &[f64], b: &[f64], seed: u64) -> Ends {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let sorted = |heap: &[f64]| {
        let mut heap = heap.to_vec();
        heap.sort_by(f64::total_cmp);
        heap
    };
    let (a, b) = (sorted(a), sorted(b));
    let mut differences: Vec<f64> =
        (0..RESAMPLES).map(|_| redrawn(&a, &mut random) - redrawn(&b, &mut random)).collect();
    differences.sort_by(f64::total_cmp);
    // 2.5 % of 200 is 5: the 5th from either end.
    Ends { low: differences[4], high: differences[RESAMPLES - 5] }
}

/// The median of a resample of a sorted heap, by counting how often each place is drawn.
fn redrawn(sorted: &[f64], random: &mut ChaCha8Rng) -> f64 {
    let n = sorted.len();
    let mut drawn = vec![0_usize; n];
    for _ in 0..n {
        drawn[random.random_range(0..n)] += 1;
    }
    let (mut seen, mut low) = (0, None);
    for (place, count) in drawn.iter().enumerate() {
        seen += count;
        if low.is_none() && seen * 2 >= n {
            low = Some(sorted[place]);
        }
        if seen * 2 > n {
            return f64::midpoint(low.unwrap_or(sorted[place]), sorted[place]);
        }
    }
    sorted[n - 1]
}

#[test]
fn the_median_of_a_resample_lies_where_its_law_says() {
    // For an odd n the median of a resample lies below place k with the chance that more than half
    // of n draws do: binomial. Five values: P(median is the middle one) by hand is 0.3648.
    let sorted = [1.0, 2.0, 3.0, 4.0, 5.0];
    let mut random = ChaCha8Rng::seed_from_u64(1);
    let middle = (0..20_000).filter(|_| (redrawn(&sorted, &mut random) - 3.0).abs() < 0.1).count();
    // P(B(5, 3/5) >= 3) - P(B(5, 2/5) >= 3) = 0.68256 - 0.31744.
    assert!((middle as f64 / 20_000.0 - 0.36512).abs() < 0.0115, "{middle}");
}
