//! The simulated player taken from a player's own blocks: how much blocks differ, and the shape of
//! the times within them.
//!
//! Plain blocks in, a [`Truth`] out; the holds' own differences are taken out and left out: what a
//! plan can show must not rest on what is to be found.

use crate::analysis::BlockRow;
use crate::analysis::describe::{mean, sd};
use crate::analysis::exgauss::{self, ExGaussian, FitError};
use crate::analysis::model::Model;
use crate::sim::Truth;

/// A block of the player's own.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnBlock {
    /// Its session, from 0.
    pub session: usize,
    /// Its cycle, from 0.
    pub cycle: usize,
    /// Its place in its session, from 1.
    pub position: usize,
    /// Its hold, from 0.
    pub condition: usize,
    /// Its middle, minutes since its session began.
    pub minute: Option<f64>,
    /// Times of its hits, in order of time, ms.
    pub times_ms: Vec<f64>,
    /// Main trials not answered in time.
    pub misses: usize,
    /// Main trials answered too soon.
    pub early: usize,
    /// Main trials answered wrongly.
    pub wrong: usize,
}

/// What was taken from the player's own blocks.
#[derive(Debug, Clone, PartialEq)]
pub struct Own {
    /// The player to simulate, no hold differing.
    pub truth: Truth,
    /// Sessions it rests on.
    pub sessions: usize,
    /// Blocks it rests on.
    pub blocks: usize,
    /// Hits it rests on.
    pub times: usize,
}

/// Why the player's own blocks give no player to simulate.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum OwnError {
    /// Too few blocks to tell how much blocks differ.
    #[error("{blocks} blocks are too few to tell how much your blocks differ")]
    TooFewBlocks {
        /// How many there are.
        blocks: usize,
    },
    /// Too few times, or times without any spread.
    #[error("the shape of your times cannot be told: {0}")]
    Shape(FitError),
}

/// Fewest blocks: below, the variance of blocks is anyone's guess. Common practice, no source.
const FEWEST_BLOCKS: usize = 6;
/// Neighbours' correlation is believed up to here. Common practice, no source.
const MOST_ALIKE: f64 = 0.8;

/// The player to simulate. `holds`: holds of the blocks (of several protocols: numbered on);
/// `conditions`: holds of the plan; `lapse_ms`: a slower time is a lapse, apart from the shape.
///
/// ```text
/// block sd^2 = residual variance of block means (hold + cycle + trend) - sd^2 f / n
/// f = 1 + 2 sum_k (1 - k/n) w phi^k,  w = sigma^2 / (sigma^2 + tau^2),  phi = r_1 / w
/// ```
/// with r_1 the correlation of neighbours within blocks, raised by 1/n against its bias.
/// # Source
/// Ex-Gaussian by maximum likelihood (Heathcote et al. 1991); variance components by the method of
/// moments (Searle, Casella & McCulloch, Variance Components, 1992, ch. 4; from memory).
/// # Errors
/// [`OwnError`].
pub fn own(
    blocks: &[OwnBlock],
    holds: usize,
    conditions: usize,
    lapse_ms: f64,
) -> Result<Own, OwnError> {
    let kept: Vec<Vec<f64>> = blocks
        .iter()
        .map(|block| block.times_ms.iter().copied().filter(|ms| *ms <= lapse_ms).collect())
        .collect();
    let used: Vec<usize> = (0..blocks.len()).filter(|&i| kept[i].len() >= 2).collect();
    if used.len() < FEWEST_BLOCKS {
        return Err(OwnError::TooFewBlocks { blocks: used.len() });
    }
    let means: Vec<f64> = used.iter().filter_map(|&i| mean(&kept[i])).collect();
    let level_ms = mean(&means).unwrap_or(0.0);
    let law = shape(&used.iter().map(|&i| kept[i].as_slice()).collect::<Vec<_>>(), level_ms)?;
    let alike = neighbours(used.iter().map(|&i| kept[i].as_slice()), &law);
    let rows: Vec<BlockRow> = used
        .iter()
        .zip(&means)
        .map(|(&i, &value)| BlockRow {
            session: blocks[i].session,
            cycle: blocks[i].cycle,
            position: blocks[i].position as f64,
            condition: blocks[i].condition,
            value,
        })
        .collect();
    let sizes: Vec<f64> = used.iter().map(|&i| kept[i].len() as f64).collect();
    let counted = Counted::of(blocks, lapse_ms);
    let usual = Truth::quiet(conditions);
    let truth = Truth {
        mu_ms: law.mu,
        sigma_ms: law.sigma,
        tau_ms: law.tau,
        drift_ms_per_10min: drift(blocks, &used, &means),
        block_sd_ms: block_sd(&rows, holds, &sizes, &law, alike),
        autocorrelation: alike,
        early_share: counted.share(counted.early),
        lapse_share: counted.share(counted.lapses),
        lapse_ms: counted.lapse_mean_ms.map_or(usual.lapse_ms, |ms| (ms - level_ms).max(0.0)),
        wrong_share: counted.share(counted.wrong),
        ..usual
    };
    let sessions = blocks.iter().map(|block| block.session).max().map_or(0, |last| last + 1);
    let times = kept.iter().map(Vec::len).sum();
    Ok(Own { truth, sessions, blocks: used.len(), times })
}

/// The shape of the times within blocks, moved to one mean.
fn shape(blocks: &[&[f64]], level_ms: f64) -> Result<ExGaussian, OwnError> {
    let moved: Vec<f64> = blocks
        .iter()
        .flat_map(|times| {
            let (n, own) = (times.len() as f64, mean(times).unwrap_or(0.0));
            // The block's mean is its own: without this the spread would come out too small.
            let stretch = (n / (n - 1.0)).sqrt();
            times.iter().map(move |ms| level_ms + (ms - own) * stretch)
        })
        .collect();
    let spread = sd(&moved).unwrap_or(0.0);
    match exgauss::fit(&moved) {
        Ok(fit) => Ok(fit.law),
        // No tail, or nothing but a tail: the other part alone, since the spread is what counts.
        Err(FitError::NoTail) => Ok(ExGaussian { mu: level_ms - 1.0, sigma: spread, tau: 1.0 }),
        Err(FitError::NoNormalPart) => {
            Ok(ExGaussian { mu: level_ms - spread, sigma: 1.0, tau: spread })
        }
        Err(FitError::NoTop) => {
            let half = spread * std::f64::consts::FRAC_1_SQRT_2;
            Ok(ExGaussian { mu: level_ms - half, sigma: half, tau: half })
        }
        Err(error @ (FitError::TooFew { .. } | FitError::NoSpread | FitError::NotFinite)) => {
            Err(OwnError::Shape(error))
        }
    }
}

/// Share of the spread that the normal part has.
fn normal_share(law: &ExGaussian) -> f64 {
    law.sigma * law.sigma / (law.sigma * law.sigma + law.tau * law.tau)
}

/// Correlation of neighbouring trials' normal part, 0 to [`MOST_ALIKE`].
fn neighbours<'a>(blocks: impl Iterator<Item = &'a [f64]>, law: &ExGaussian) -> f64 {
    let (mut products, mut squares, mut trials, mut counted) = (0.0, 0.0, 0.0, 0.0);
    for times in blocks {
        let own = mean(times).unwrap_or(0.0);
        products += times.windows(2).map(|pair| (pair[0] - own) * (pair[1] - own)).sum::<f64>();
        squares += times.iter().map(|ms| (ms - own) * (ms - own)).sum::<f64>();
        trials += times.len() as f64;
        counted += 1.0;
    }
    if squares <= 0.0 {
        return 0.0;
    }
    let first = products / squares + counted / trials;
    (first / normal_share(law).max(0.05)).clamp(0.0, MOST_ALIKE)
}

/// Standard deviation of the blocks' own shifts.
fn block_sd(rows: &[BlockRow], holds: usize, sizes: &[f64], law: &ExGaussian, alike: f64) -> f64 {
    let order: Vec<u8> =
        rows.iter().map(|row| u8::try_from(row.condition).unwrap_or(u8::MAX)).collect();
    let fitted = Model::new(rows, holds).ok().and_then(|model| model.fit(&order).variance);
    let Some(between) = fitted else { return 0.0 };
    let spread = law.sigma * law.sigma + law.tau * law.tau;
    let share = normal_share(law);
    let of_mean = |n: f64| {
        let mut factor = 1.0;
        let (mut lag, mut kept) = (1.0, alike);
        while lag < n && kept > 1e-6 {
            factor += 2.0 * (1.0 - lag / n) * share * kept;
            (lag, kept) = (lag + 1.0, kept * alike);
        }
        spread * factor / n
    };
    let within = sizes.iter().map(|&n| of_mean(n)).sum::<f64>() / sizes.len().max(1) as f64;
    (between - within).max(0.0).sqrt()
}

/// Slowing with time on the task, ms per 10 minutes, each hold and session about its own mean.
fn drift(blocks: &[OwnBlock], used: &[usize], means: &[f64]) -> f64 {
    let (mut minutes, mut values) = (Vec::new(), Vec::new());
    let last = blocks.iter().map(|block| block.session).max().unwrap_or(0);
    for session in 0..=last {
        let holds: std::collections::BTreeSet<usize> = used
            .iter()
            .filter(|&&i| blocks[i].session == session)
            .map(|&i| blocks[i].condition)
            .collect();
        for hold in holds {
            let own: Vec<(f64, f64)> = used
                .iter()
                .zip(means)
                .filter(|&(&i, _)| (blocks[i].session, blocks[i].condition) == (session, hold))
                .filter_map(|(&i, &value)| Some((blocks[i].minute?, value)))
                .collect();
            let middle = |pick: fn(&(f64, f64)) -> f64| {
                mean(&own.iter().map(pick).collect::<Vec<_>>()).unwrap_or(0.0)
            };
            let (minute, value) = (middle(|o| o.0), middle(|o| o.1));
            minutes.extend(own.iter().map(|o| o.0 - minute));
            values.extend(own.iter().map(|o| o.1 - value));
        }
    }
    let squares: f64 = minutes.iter().map(|m| m * m).sum();
    let both: f64 = minutes.iter().zip(&values).map(|(m, v)| m * v).sum();
    if squares > 0.0 { 10.0 * both / squares } else { 0.0 }
}

/// What was counted over all blocks.
struct Counted {
    trials: usize,
    early: usize,
    wrong: usize,
    lapses: usize,
    lapse_mean_ms: Option<f64>,
}

impl Counted {
    fn of(blocks: &[OwnBlock], lapse_ms: f64) -> Counted {
        let sum = |count: fn(&OwnBlock) -> usize| blocks.iter().map(count).sum::<usize>();
        let slow: Vec<f64> = blocks
            .iter()
            .flat_map(|block| block.times_ms.iter().copied().filter(|ms| *ms > lapse_ms))
            .collect();
        let (early, wrong) = (sum(|block| block.early), sum(|block| block.wrong));
        let misses = sum(|block| block.misses);
        Counted {
            trials: sum(|block| block.times_ms.len()) + misses + early + wrong,
            early,
            wrong,
            lapses: slow.len() + misses,
            lapse_mean_ms: mean(&slow),
        }
    }

    fn share(&self, count: usize) -> f64 {
        if self.trials == 0 { 0.0 } else { count as f64 / self.trials as f64 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::protocol::{draw, read, shipped};
    use crate::sim::{Player, quick};

    /// Eight sessions of a player whose truth is known.
    fn blocks_of(truth: &Truth) -> Vec<OwnBlock> {
        let text = shipped::find("two-holds").expect("it is shipped").text;
        let protocol = read(text, "two-holds").expect("it is sound");
        (0..8_usize)
            .flat_map(|session| {
                let seed = session as u64;
                let mut player = Player::new(truth.clone(), seed);
                let played = quick(&protocol, &draw(&protocol, seed), &mut player);
                played.into_iter().map(move |block| OwnBlock {
                    session,
                    cycle: block.cycle - 1,
                    position: block.position,
                    condition: block.condition,
                    minute: None,
                    times_ms: block.hits_ms,
                    misses: block.misses,
                    early: block.early,
                    wrong: 0,
                })
            })
            .collect()
    }

    #[test]
    fn a_known_player_comes_back() {
        let mut truth = Truth { practice_ms: 0.0, drift_ms_per_10min: 0.0, ..Truth::usual(2) };
        truth.block_sd_ms = 8.0;
        truth.differences_ms = vec![0.0, 15.0];
        let own = own(&blocks_of(&truth), 2, 2, 500.0).expect("there are enough blocks");
        let found = own.truth;
        // Some 2,500 times in 160 blocks: the shape to a few ms, the blocks' sd to a fifth.
        assert!((found.mu_ms - 197.5).abs() < 4.0, "half of the difference is in it: {found:?}");
        assert!((found.sigma_ms - 18.0).abs() < 3.0, "{found:?}");
        assert!((found.tau_ms - 30.0).abs() < 4.0, "{found:?}");
        assert!((found.block_sd_ms - 8.0).abs() < 1.6, "{found:?}");
        assert!((found.autocorrelation - 0.2).abs() < 0.15, "{found:?}");
        assert!((found.early_share - 0.02).abs() < 0.01, "{found:?}");
        assert!((found.lapse_share - 0.02).abs() < 0.01, "{found:?}");
        assert_eq!(found.differences_ms, vec![0.0, 0.0]);
    }

    #[test]
    fn blocks_that_do_not_differ_have_no_shifts_of_their_own() {
        let truth = Truth::quiet(2);
        let own = own(&blocks_of(&truth), 2, 2, 500.0).expect("there are enough blocks");
        assert!(own.truth.block_sd_ms < 3.0, "{:?}", own.truth);
    }

    #[test]
    fn too_little_gives_no_player() {
        let few = &blocks_of(&Truth::quiet(2))[..4];
        assert_eq!(own(few, 2, 2, 500.0), Err(OwnError::TooFewBlocks { blocks: 4 }));
        let mut equal = blocks_of(&Truth::quiet(2));
        for block in &mut equal {
            block.times_ms.fill(200.0);
        }
        assert_eq!(own(&equal, 2, 2, 500.0), Err(OwnError::Shape(FitError::NoSpread)));
    }
}
