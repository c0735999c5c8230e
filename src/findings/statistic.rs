//! The statistic of a block, where a miss ranks above every hit.
//!
//! Sorted times and a count of misses in, milliseconds out. A value that would have to average a
//! miss is blank, never guessed.

use crate::protocol::Statistic;

/// Share cut at each end by the trimmed mean.
pub const TRIM_SHARE: f64 = 0.2;

/// Times in rising order, and how many misses rank above them.
#[derive(Debug, Clone, PartialEq)]
pub struct Ranked {
    times_ms: Vec<f64>,
    misses: usize,
}

impl Ranked {
    /// Sorts `times_ms` (finite, any order).
    pub fn new(times_ms: &[f64], misses: usize) -> Ranked {
        let mut sorted = times_ms.to_vec();
        sorted.sort_by(f64::total_cmp);
        Ranked { times_ms: sorted, misses }
    }

    /// How many, misses included.
    pub fn len(&self) -> usize {
        self.times_ms.len() + self.misses
    }

    /// Whether nothing is there.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Mean of the ranks `from..to`; blank where that holds a miss or nothing.
    fn mean_of(&self, from: usize, to: usize) -> Option<f64> {
        let part = self.times_ms.get(from..to).filter(|part| !part.is_empty())?;
        Some(part.iter().sum::<f64>() / part.len() as f64)
    }

    /// Mean after floor(0.2 n) are cut at each end, n with the misses; ms.
    ///
    /// # Source
    /// Wilcox, Introduction to Robust Estimation and Hypothesis Testing, ch. 3 (from memory).
    pub fn trimmed_mean(&self) -> Option<f64> {
        // n / 5 in whole numbers is floor(0.2 n) without a rounding error.
        let cut = self.len() / 5;
        self.mean_of(cut, self.len() - cut)
    }

    /// The middle value, or the mean of the two middle ones; ms.
    pub fn median(&self) -> Option<f64> {
        let n = self.len();
        if n == 0 {
            return None;
        }
        self.mean_of((n - 1) / 2, n / 2 + 1)
    }

    /// Mean with each miss counted as `miss_ms`; ms.
    pub fn mean(&self, miss_ms: f64) -> Option<f64> {
        if self.is_empty() {
            return None;
        }
        let sum = self.times_ms.iter().sum::<f64>() + miss_ms * self.misses as f64;
        Some(sum / self.len() as f64)
    }

    /// Standard deviation (n - 1) of the times without the misses; ms.
    pub fn sd(&self) -> Option<f64> {
        let n = self.times_ms.len();
        if n < 2 {
            return None;
        }
        let mean = self.mean_of(0, n)?;
        let squares: f64 = self.times_ms.iter().map(|x| (x - mean) * (x - mean)).sum();
        Some((squares / (n - 1) as f64).sqrt())
    }

    /// Median absolute deviation from the median, unscaled, misses ranking above all; ms.
    pub fn mad(&self) -> Option<f64> {
        let median = self.median()?;
        let from_median: Vec<f64> = self.times_ms.iter().map(|x| (x - median).abs()).collect();
        Ranked::new(&from_median, self.misses).median()
    }
}

/// A block's statistic by the protocol's choice, ms. `miss_ms`: what a miss counts under `mean`.
pub fn block_statistic(choice: Statistic, ranked: &Ranked, miss_ms: f64) -> Option<f64> {
    match choice {
        Statistic::TrimmedMean => ranked.trimmed_mean(),
        Statistic::Median => ranked.median(),
        Statistic::Mean => ranked.mean(miss_ms),
    }
}
