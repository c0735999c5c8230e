//! One sample in a few numbers, and the statistic of a block in which some presses never came.
//!
//! Knows values only, in any unit; what entered the sample was decided before. Every value must
//! be finite, in any order.

/// Share cut from each end by the trimmed mean.
pub const TRIM_SHARE: f64 = 0.2;

/// Factor that makes the MAD of a normal sample estimate its sd: 1 / (0.75 quantile of the
/// standard normal). R's `mad` rounds it to 1.4826.
pub const MAD_NORMAL: f64 = 1.482_602_218_505_602;

/// Mean; `None` of nothing. Summed about the first value, so that large offsets cost no digits.
pub fn mean(sample: &[f64]) -> Option<f64> {
    let first = *sample.first()?;
    let n = sample.len() as f64;
    Some(first + sample.iter().map(|x| x - first).sum::<f64>() / n)
}

/// Standard deviation with divisor n - 1; `None` below two values.
pub fn sd(sample: &[f64]) -> Option<f64> {
    if sample.len() < 2 {
        return None;
    }
    let centre = mean(sample)?;
    let squares: f64 = sample.iter().map(|x| (x - centre) * (x - centre)).sum();
    Some((squares / (sample.len() as f64 - 1.0)).sqrt())
}

/// Median; `None` of nothing.
pub fn median(sample: &[f64]) -> Option<f64> {
    let sorted = sorted(sample);
    let n = sorted.len();
    match n {
        0 => None,
        _ if n % 2 == 1 => Some(sorted[n / 2]),
        _ => Some((sorted[n / 2 - 1] + sorted[n / 2]) / 2.0),
    }
}

/// Median absolute deviation from the median, as it is; times [`MAD_NORMAL`] it estimates the sd
/// of a normal sample. `None` of nothing.
pub fn mad(sample: &[f64]) -> Option<f64> {
    let centre = median(sample)?;
    let away: Vec<f64> = sample.iter().map(|x| (x - centre).abs()).collect();
    median(&away)
}

/// Quantile of type 7: a line through the order statistics x(1)..x(n). `None` of nothing.
///
/// `p` in 0..=1.
/// ```text
/// h = (n - 1) p + 1,  q = x(floor h) + (h - floor h) (x(floor h + 1) - x(floor h))
/// ```
/// # Source
/// Hyndman & Fan (1996) The American Statistician 50:361.
pub fn quantile(sample: &[f64], p: f64) -> Option<f64> {
    let sorted = sorted(sample);
    let last = sorted.len().checked_sub(1)?;
    let h = last as f64 * p.clamp(0.0, 1.0);
    let below = whole(h);
    let above = last.min(below + 1);
    Some(sorted[below] + (h - below as f64) * (sorted[above] - sorted[below]))
}

/// Mean of what is left after floor(0.2 n) values are cut from each end; `None` of nothing.
pub fn trimmed_mean(sample: &[f64]) -> Option<f64> {
    let cut = cut_each_end(sample.len());
    mean(&sorted(sample)[cut..sample.len() - cut])
}

/// How many values the trimmed mean of `n` cuts from each end: floor(0.2 n).
pub fn cut_each_end(n: usize) -> usize {
    n / 5
}

/// What stands for a block.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum BlockStatistic {
    /// 20 % trimmed mean.
    TrimmedMean,
    /// Median.
    Median,
    /// Mean; a miss counts as the longest time allowed.
    Mean,
}

/// Why a block has no statistic.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoStatistic {
    /// Nothing was answered and nothing was missed.
    #[error("the block holds no trial that counts")]
    Empty,
    /// A miss has no time of its own, and here one would have to be averaged.
    #[error("{misses} of {trials} presses never came: too many for this statistic")]
    MissWouldBeAveraged {
        /// Misses of the block.
        misses: usize,
        /// Hits and misses together.
        trials: usize,
    },
}

/// The statistic of a block with misses.
///
/// `hits_ms`: times of the hits, any order. A miss ranks above every hit, so that a trimmed mean
/// or a median stays defined until a miss would be averaged; under `Mean` a miss is
/// `respond_within_ms`.
/// # Errors
/// [`NoStatistic`]: nothing there, or a miss would be averaged.
pub fn block_statistic(
    hits_ms: &[f64],
    misses: usize,
    statistic: BlockStatistic,
    respond_within_ms: f64,
) -> Result<f64, NoStatistic> {
    let trials = hits_ms.len() + misses;
    let times = sorted(hits_ms);
    // The middle part, as places in the order of all trials; hits come first.
    let (from, until) = match statistic {
        BlockStatistic::TrimmedMean => (cut_each_end(trials), trials - cut_each_end(trials)),
        BlockStatistic::Median => (trials.saturating_sub(1) / 2, trials / 2 + 1),
        BlockStatistic::Mean => {
            let mut all = times;
            all.extend(std::iter::repeat_n(respond_within_ms, misses));
            return mean(&all).ok_or(NoStatistic::Empty);
        }
    };
    if trials == 0 {
        return Err(NoStatistic::Empty);
    }
    let middle =
        times.get(from..until).ok_or(NoStatistic::MissWouldBeAveraged { misses, trials })?;
    mean(middle).ok_or(NoStatistic::Empty)
}

/// In ascending order.
pub(super) fn sorted(sample: &[f64]) -> Vec<f64> {
    let mut sorted = sample.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted
}

/// The whole part of a value that is an index or a rank.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a rank is neither negative nor near 2^53, and the cast saturates"
)]
pub(super) fn whole(x: f64) -> usize {
    x.floor() as usize
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn by_hand() {
        let x = [4.0, 1.0, 3.0, 2.0, 100.0];
        assert_eq!(mean(&x), Some(22.0));
        assert_eq!(median(&x), Some(3.0));
        assert_eq!(trimmed_mean(&x), Some(3.0));
        assert_eq!(mad(&x), Some(1.0));
        assert_eq!(quantile(&x, 0.25), Some(2.0));
        assert_eq!(sd(&[1.0, 3.0]), Some(2.0_f64.sqrt()));
        assert_eq!((mean(&[]), median(&[]), sd(&[1.0])), (None, None, None));
    }

    #[test]
    fn a_miss_ranks_above_every_hit() {
        use BlockStatistic::{Mean, Median, TrimmedMean};
        let hits = [210.0, 220.0, 230.0, 240.0];
        // Five trials: one cut at each end, and the miss is the one at the top.
        assert_eq!(block_statistic(&hits, 1, TrimmedMean, 1500.0), Ok(230.0));
        assert_eq!(block_statistic(&hits, 1, Median, 1500.0), Ok(230.0));
        assert_eq!(block_statistic(&hits, 1, Mean, 1500.0), Ok((900.0 + 1500.0) / 5.0));
        let refused = Err(NoStatistic::MissWouldBeAveraged { misses: 2, trials: 6 });
        assert_eq!(block_statistic(&hits, 2, TrimmedMean, 1500.0), refused);
        // Six trials: the median is of the third and fourth, both hits.
        assert_eq!(block_statistic(&hits, 2, Median, 1500.0), Ok(235.0));
        let refused = Err(NoStatistic::MissWouldBeAveraged { misses: 4, trials: 8 });
        assert_eq!(block_statistic(&hits, 4, Median, 1500.0), refused);
        for statistic in [TrimmedMean, Median, Mean] {
            assert_eq!(block_statistic(&[], 0, statistic, 1500.0), Err(NoStatistic::Empty));
        }
        assert!(block_statistic(&[], 3, Median, 1500.0).is_err());
    }

    #[test]
    fn without_misses_it_is_the_plain_statistic() {
        let x: Vec<f64> = (0..23).map(|i| f64::from((i * 7) % 23)).collect();
        for n in 1..x.len() {
            let x = &x[..n];
            let of = |statistic| block_statistic(x, 0, statistic, 1500.0).ok();
            assert_eq!(of(BlockStatistic::TrimmedMean), trimmed_mean(x));
            assert_eq!(of(BlockStatistic::Median), median(x));
            assert_eq!(of(BlockStatistic::Mean), mean(x));
        }
    }
}
