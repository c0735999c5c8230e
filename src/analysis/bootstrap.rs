//! The bootstrap by blocks: whole blocks (or cycles) are drawn again with replacement, so that what
//! is alike within a block stays together.
//!
//! Knows how many blocks each stratum has and a statistic of chosen blocks; the seed and the count
//! of draws give the same draws on every machine. It never looks at a value itself.

use rand_chacha::ChaCha12Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

use super::Interval;
use super::describe::{mean, quantile, sd};
use super::normal;

/// Blocks chosen for one draw: a list a stratum, of block numbers from 0, with repeats.
pub type Chosen = [Vec<usize>];

/// Why there is no bootstrap.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum BootstrapError {
    /// No draws were asked for.
    #[error("no draws were asked for")]
    NoDraws,
    /// A stratum has nothing to vary.
    #[error("stratum {stratum} has {blocks} blocks: a bootstrap needs 2")]
    TooFewBlocks {
        /// Which stratum, from 0.
        stratum: usize,
        /// Its blocks.
        blocks: usize,
    },
    /// The statistic failed on the blocks as they are or with one left out.
    #[error("the statistic of the blocks themselves is not a number")]
    NoEstimate,
    /// The statistic failed on some draws, so the rest are no fair sample.
    #[error("the statistic failed on {failed} of {draws} draws")]
    FailedDraws {
        /// Draws that gave no number.
        failed: usize,
        /// Draws in all.
        draws: usize,
    },
    /// Every draw lies on one side of the estimate.
    #[error("every draw lies on one side of the estimate")]
    OneSided,
}

/// The draws of one number.
#[derive(Debug, Clone, PartialEq)]
pub struct Bootstrap {
    estimate: f64,
    draws: Vec<f64>,
    /// A list a stratum: the statistic without each block in turn.
    without: Vec<Vec<f64>>,
}

/// The draws of `N` numbers of the same blocks.
#[derive(Debug, Clone, PartialEq)]
pub struct Draws<const N: usize> {
    estimates: [f64; N],
    drawn: Vec<[f64; N]>,
    /// A list a stratum: the numbers without each block in turn.
    without: Vec<Vec<[f64; N]>>,
}

/// Draws `blocks[s]` blocks of each stratum s with replacement, `draws` times, and takes `N`
/// numbers of each choice.
///
/// One stratum whose blocks are cycles keeps matched conditions together; a stratum a condition
/// resamples them apart. The statistic says that it failed by a value that is not finite.
/// # Source
/// Efron (1979) Annals of Statistics 7:1; by whole blocks: Davison & Hinkley (1997) Bootstrap
/// Methods and their Application, 3.8.
/// # Errors
/// [`BootstrapError`]: no draws, too few blocks, or a statistic that fails.
pub fn by_blocks<const N: usize>(
    blocks: &[usize],
    draws: usize,
    seed: u64,
    statistic: impl Fn(&Chosen) -> [f64; N] + Sync,
) -> Result<[Bootstrap; N], BootstrapError> {
    Draws::new(blocks, draws, seed, statistic)?.each()
}

impl<const N: usize> Draws<N> {
    /// As [`by_blocks`]; whether the statistic failed is not looked at yet.
    /// # Errors
    /// [`BootstrapError`]: no draws, or too few blocks.
    pub fn new(
        blocks: &[usize],
        draws: usize,
        seed: u64,
        statistic: impl Fn(&Chosen) -> [f64; N] + Sync,
    ) -> Result<Draws<N>, BootstrapError> {
        if draws == 0 {
            return Err(BootstrapError::NoDraws);
        }
        if let Some(stratum) = blocks.iter().position(|&count| count < 2) {
            return Err(BootstrapError::TooFewBlocks { stratum, blocks: blocks[stratum] });
        }
        let all: Vec<Vec<usize>> = blocks.iter().map(|&count| (0..count).collect()).collect();
        let estimates = statistic(&all);
        let leave_each = |stratum: usize| -> Vec<[f64; N]> {
            (0..blocks[stratum]).map(|out| leave_out(&all, stratum, out, &statistic)).collect()
        };
        let without = (0..blocks.len()).map(leave_each).collect();
        let part = |number: usize| -> Vec<[f64; N]> {
            let size = PART.min(draws - number * PART);
            draw(blocks, size, seed, number, &statistic)
        };
        let drawn = on_all_cores(draws.div_ceil(PART), &part).into_iter().flatten().collect();
        Ok(Draws { estimates, drawn, without })
    }

    /// Each number by itself.
    /// # Errors
    /// [`BootstrapError`]: the statistic failed.
    pub fn each(&self) -> Result<[Bootstrap; N], BootstrapError> {
        // Draws are sorted, which takes as long as a simple statistic.
        let number = |i: usize| -> Result<Bootstrap, BootstrapError> {
            let draws = self.drawn.iter().map(|values| values[i]).collect();
            let without = self.without.iter();
            let without = without.map(|list| list.iter().map(|values| values[i]).collect());
            Bootstrap::new(self.estimates[i], draws, without.collect())
        };
        let each = on_all_cores(N, &number).into_iter().collect::<Result<Vec<_>, _>>()?;
        Ok(each.try_into().expect("one for each of the N numbers"))
    }

    /// The differences from the numbers of other blocks, which were drawn apart, by another seed.
    /// Of two counts of draws the smaller holds.
    pub fn less(&self, other: &Draws<N>) -> Draws<N> {
        let apart = |a: &[f64; N], b: &[f64; N]| std::array::from_fn(|i| a[i] - b[i]);
        let (mine, theirs) = (&self.estimates, &other.estimates);
        let without_mine = self.without.iter();
        let without_mine =
            without_mine.map(|list| list.iter().map(|values| apart(values, theirs)).collect());
        let without_theirs = other.without.iter();
        let without_theirs =
            without_theirs.map(|list| list.iter().map(|values| apart(mine, values)).collect());
        Draws {
            estimates: apart(mine, theirs),
            drawn: self.drawn.iter().zip(&other.drawn).map(|(a, b)| apart(a, b)).collect(),
            without: without_mine.chain(without_theirs).collect(),
        }
    }
}

/// Draws that share a stream of words, so that the draws do not depend on who makes them.
const PART: usize = 64;
/// Bytes of a word drawn for one block.
const WORD: usize = 4;

/// The statistic of `size` draws, by the stream of words that has this number.
fn draw<const N: usize>(
    blocks: &[usize],
    size: usize,
    seed: u64,
    stream: usize,
    statistic: &impl Fn(&Chosen) -> [f64; N],
) -> Vec<[f64; N]> {
    let mut key = [0; 32];
    key[..8].copy_from_slice(&seed.to_le_bytes());
    let mut words = ChaCha12Rng::from_seed(key);
    words.set_stream(stream as u64);
    let mut room = vec![0; WORD * blocks.iter().sum::<usize>()];
    let mut chosen: Vec<Vec<usize>> = blocks.iter().map(|&count| vec![0; count]).collect();
    let one = |_| {
        words.fill_bytes(&mut room);
        let mut rest = room.as_chunks::<WORD>().0;
        for (stratum, &count) in chosen.iter_mut().zip(blocks) {
            let (own, others) = rest.split_at(count);
            choose(stratum, own, count);
            rest = others;
        }
        statistic(&chosen)
    };
    (0..size).map(one).collect()
}

/// Each of `parts` pieces of work, in order, whoever did it.
fn on_all_cores<T: Send>(parts: usize, work: &(impl Fn(usize) -> T + Sync)) -> Vec<T> {
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let share = parts.div_ceil(cores);
    if share == parts {
        return (0..parts).map(work).collect();
    }
    std::thread::scope(|scope| {
        let starts = (0..parts).step_by(share);
        let threads: Vec<_> = starts
            .map(|start| start..parts.min(start + share))
            .map(|own| scope.spawn(move || own.map(work).collect::<Vec<T>>()))
            .collect();
        let done = threads.into_iter().flat_map(|thread| match thread.join() {
            Ok(done) => done,
            Err(panic) => std::panic::resume_unwind(panic),
        });
        done.collect()
    })
}

/// Fills a list with numbers of blocks, a word each.
fn choose(list: &mut [usize], words: &[[u8; WORD]], count: usize) {
    for (block, word) in list.iter_mut().zip(words) {
        // The high half of word x count: uneven by less than count / 2^32.
        let product = u64::from(u32::from_le_bytes(*word)) * count as u64;
        *block = usize::try_from(product >> 32).expect("below count");
    }
}

fn leave_out<const N: usize>(
    all: &[Vec<usize>],
    stratum: usize,
    out: usize,
    statistic: &impl Fn(&Chosen) -> [f64; N],
) -> [f64; N] {
    let mut left = all.to_vec();
    left[stratum].remove(out);
    statistic(&left)
}

impl Bootstrap {
    /// From draws made elsewhere: the estimate, its draws in any order, and for each stratum the
    /// statistic without each block in turn.
    /// # Errors
    /// [`BootstrapError`]: no draws, or values that are not finite.
    pub fn new(
        estimate: f64,
        mut draws: Vec<f64>,
        without: Vec<Vec<f64>>,
    ) -> Result<Bootstrap, BootstrapError> {
        let failed = draws.iter().filter(|value| !value.is_finite()).count();
        if draws.is_empty() {
            return Err(BootstrapError::NoDraws);
        }
        if !estimate.is_finite() || without.iter().flatten().any(|value| !value.is_finite()) {
            return Err(BootstrapError::NoEstimate);
        }
        if failed > 0 {
            return Err(BootstrapError::FailedDraws { failed, draws: draws.len() });
        }
        draws.sort_unstable_by(f64::total_cmp);
        Ok(Bootstrap { estimate, draws, without })
    }

    /// The statistic of the blocks as they are.
    pub fn estimate(&self) -> f64 {
        self.estimate
    }

    /// Standard error: sd of the draws; 0 of a single one.
    pub fn standard_error(&self) -> f64 {
        sd(&self.draws).unwrap_or(0.0)
    }

    /// The percentile interval: quantiles (type 7) of the draws.
    ///
    /// # Source
    /// Efron & Tibshirani (1993) An Introduction to the Bootstrap, chapter 13.
    pub fn percentile(&self, confidence: f64) -> Interval {
        let tail = (1.0 - confidence) / 2.0;
        self.between(tail, 1.0 - tail)
    }

    /// Bias-corrected and accelerated interval: percentiles shifted for bias and skewness.
    ///
    /// ```text
    /// level(z) = Phi(z0 + (z0 + z) / (1 - a (z0 + z))),  z = -+ normal quantile of confidence
    /// ```
    /// Not fit for a median: its acceleration comes from the jackknife.
    /// # Source
    /// Efron & Tibshirani (1993) An Introduction to the Bootstrap, chapter 14.
    /// # Errors
    /// [`BootstrapError::OneSided`].
    pub fn bca(&self, confidence: f64) -> Result<Interval, BootstrapError> {
        let levels = self.bca_levels(confidence)?;
        Ok(self.between(levels[0], levels[1]))
    }

    /// The two levels of [`Bootstrap::bca`], as shares of the draws.
    /// # Errors
    /// [`BootstrapError::OneSided`].
    pub fn bca_levels(&self, confidence: f64) -> Result<[f64; 2], BootstrapError> {
        let (z0, a) = (self.bias()?, self.acceleration());
        let tail = (1.0 - confidence) / 2.0;
        Ok([tail, 1.0 - tail].map(|share| {
            let z = z0 + normal::quantile(share);
            normal::below(z0 + z / (1.0 - a * z))
        }))
    }

    /// Median bias z0, in normal units: draws equal to the estimate count half.
    ///
    /// # Source
    /// Efron & Tibshirani (1993), chapter 14, with half the ties as scipy has it.
    /// # Errors
    /// [`BootstrapError::OneSided`].
    pub fn bias(&self) -> Result<f64, BootstrapError> {
        // Sums in another order make equal values unequal in the last digits.
        let near = 1e-12 * self.estimate.abs();
        let under = self.draws.partition_point(|&draw| draw < self.estimate - near);
        let up_to = self.draws.partition_point(|&draw| draw <= self.estimate + near);
        let share = (under + up_to) as f64 / (2 * self.draws.len()) as f64;
        if share > 0.0 && share < 1.0 {
            Ok(normal::quantile(share))
        } else {
            Err(BootstrapError::OneSided)
        }
    }

    /// Acceleration a, by the jackknife; 0 where leaving out a block changes nothing.
    ///
    /// ```text
    /// u = (n_s - 1) (mean v - v) in stratum s of n_s blocks, v the statistic without a block
    /// a = sum_s sum u^3 / n_s^3 / (6 (sum_s sum u^2 / n_s^2)^1.5)
    /// ```
    /// # Source
    /// Efron & Tibshirani (1993), chapter 14; several samples: Davison & Hinkley (1997), 5.3.
    pub fn acceleration(&self) -> f64 {
        let (mut squares, mut cubes) = (0.0, 0.0);
        for values in &self.without {
            let n = values.len() as f64;
            let centre = mean(values).unwrap_or(0.0);
            for value in values {
                let u = (n - 1.0) * (centre - value) / n;
                squares += u * u;
                cubes += u * u * u;
            }
        }
        if squares > 0.0 { cubes / (6.0 * squares * squares.sqrt()) } else { 0.0 }
    }

    fn between(&self, low: f64, high: f64) -> Interval {
        let at = |share| quantile(&self.draws, share).unwrap_or(self.estimate);
        Interval { estimate: self.estimate, low: at(low), high: at(high) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mean_of(x: &[f64]) -> impl Fn(&Chosen) -> [f64; 1] {
        move |chosen| [chosen[0].iter().map(|&i| x[i]).sum::<f64>() / chosen[0].len() as f64]
    }

    #[test]
    fn the_seed_gives_the_draws() {
        let x = [212.0, 198.0, 205.0, 231.0];
        let one = by_blocks(&[4], 50, 1, mean_of(&x));
        assert_eq!(one, by_blocks(&[4], 50, 1, mean_of(&x)));
        assert_ne!(one, by_blocks(&[4], 50, 2, mean_of(&x)));
    }

    #[test]
    fn drawn_apart_is_as_two_strata() {
        let (x, y) = ([212.0, 198.0, 205.0, 231.0], [190.0, 188.0, 202.0]);
        let both = |chosen: &Chosen| [mean_of(&x)(&chosen[..1])[0] - mean_of(&y)(&chosen[1..])[0]];
        let [one] = by_blocks(&[4, 3], 20_000, 1, both).expect("blocks");
        let of_x = Draws::new(&[4], 20_000, 2, mean_of(&x)).expect("blocks");
        let of_y = Draws::new(&[3], 20_000, 3, mean_of(&y)).expect("blocks");
        let [apart] = of_x.less(&of_y).each().expect("finite");
        assert!((one.estimate() - apart.estimate()).abs() < 1e-12);
        assert!((one.acceleration() - apart.acceleration()).abs() < 1e-12);
        // 20,000 draws: the standard error is known to half a percent.
        let ratio = one.standard_error() / apart.standard_error();
        assert!((ratio - 1.0).abs() < 0.03, "{ratio}");
    }

    #[test]
    fn what_has_no_bootstrap() {
        let few = BootstrapError::TooFewBlocks { stratum: 1, blocks: 1 };
        assert_eq!(by_blocks(&[2, 1], 10, 1, |_| [0.0]), Err(few));
        assert_eq!(by_blocks(&[2], 0, 1, |_| [0.0]), Err(BootstrapError::NoDraws));
        let no_estimate = by_blocks(&[2], 10, 1, |_| [f64::NAN]);
        assert_eq!(no_estimate, Err(BootstrapError::NoEstimate));
        // Fails whenever a block is drawn twice.
        let picky = |chosen: &Chosen| {
            [if chosen[0].len() == 2 && chosen[0][0] == chosen[0][1] { f64::NAN } else { 1.0 }]
        };
        let failed = by_blocks(&[2], 64, 1, picky);
        assert!(matches!(failed, Err(BootstrapError::FailedDraws { failed, draws: 64 })
            if (16..48).contains(&failed)));
        let one_sided = Bootstrap::new(1.0, vec![2.0, 3.0], vec![vec![1.0, 2.0]]);
        let one_sided = one_sided.expect("finite").bca(0.95);
        assert_eq!(one_sided, Err(BootstrapError::OneSided));
    }

    #[test]
    fn what_never_varies_has_no_width() {
        let [got] = by_blocks(&[5], 200, 3, |_| [7.0]).expect("five blocks");
        let point = Interval { estimate: 7.0, low: 7.0, high: 7.0 };
        assert_eq!((got.percentile(0.95), got.bca(0.95)), (point, Ok(point)));
    }
}
