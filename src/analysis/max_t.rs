//! The largest |t| of a family by redraws: p values that count for all its comparisons together.
//!
//! Knows the observed t of each comparison and those of each redraw; not how a redraw came about.

/// Two t count as equal within this share: the same order may be summed differently.
const TIE_SHARE: f64 = 1e-9;

/// Counts redraws as they come.
#[derive(Debug, Clone, PartialEq)]
pub struct MaxT {
    bars: Vec<f64>,
    /// Comparisons from the largest observed |t| down.
    order: Vec<usize>,
    own: Vec<u64>,
    any: Vec<u64>,
    rest: Vec<u64>,
    redraws: u64,
}

/// Whether the observed order is among the redraws.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Observed {
    /// It is: every order was listed.
    Among,
    /// It is not: orders were sampled. It counts as one more.
    Apart,
}

/// P values of a family.
#[derive(Debug, Clone, PartialEq)]
pub struct FamilyP {
    /// Of each comparison by itself.
    pub alone: Vec<f64>,
    /// Against the largest |t| of all.
    pub single_step: Vec<f64>,
    /// Against the largest |t| of those that are no larger, made to rise.
    pub step_down: Vec<f64>,
}

impl MaxT {
    /// Nothing counted yet. `observed`: t of each comparison.
    pub fn new(observed: &[f64]) -> MaxT {
        let bars: Vec<f64> = observed.iter().map(|t| t.abs() * (1.0 - TIE_SHARE)).collect();
        let mut order: Vec<usize> = (0..bars.len()).collect();
        order.sort_by(|&i, &j| bars[j].total_cmp(&bars[i]));
        let zero = vec![0; bars.len()];
        MaxT { bars, order, own: zero.clone(), any: zero.clone(), rest: zero, redraws: 0 }
    }

    /// One redraw: t of each comparison, infinite where it cannot be told.
    pub fn count(&mut self, redrawn: &[f64]) {
        self.redraws += 1;
        let largest = redrawn.iter().fold(0.0_f64, |most, t| most.max(t.abs()));
        let mut of_rest = 0.0_f64;
        for &i in self.order.iter().rev() {
            let t = redrawn[i].abs();
            of_rest = of_rest.max(t);
            self.own[i] += u64::from(t >= self.bars[i]);
            self.any[i] += u64::from(largest >= self.bars[i]);
            self.rest[i] += u64::from(of_rest >= self.bars[i]);
        }
    }

    /// Adds what was counted elsewhere for the same observed t.
    pub fn add(&mut self, other: &MaxT) {
        self.redraws += other.redraws;
        for (mine, theirs) in [
            (&mut self.own, &other.own),
            (&mut self.any, &other.any),
            (&mut self.rest, &other.rest),
        ] {
            for (mine, theirs) in mine.iter_mut().zip(theirs) {
                *mine += theirs;
            }
        }
    }

    /// Whether some comparison was never reached: then the observed order was not among them.
    pub fn never_reached(&self) -> bool {
        self.own.contains(&0)
    }

    /// Redraws counted.
    pub fn redraws(&self) -> u64 {
        self.redraws
    }

    /// The p values.
    ///
    /// ```text
    /// observed among them:  p = reached / redraws
    /// apart:                p = (reached + 1) / (redraws + 1)
    /// ```
    /// # Source
    /// Westfall & Young (1993) Resampling-Based Multiple Testing, 2.6; Phipson & Smyth (2010) Stat.
    /// Appl. Genet. Mol. Biol. 9:39.
    pub fn p(&self, observed: Observed) -> FamilyP {
        let more = u64::from(observed == Observed::Apart);
        let all = (self.redraws + more) as f64;
        let share = |counts: &[u64]| -> Vec<f64> {
            counts.iter().map(|&n| (n + more) as f64 / all).collect()
        };
        let mut step_down = share(&self.rest);
        let mut least = 0.0_f64;
        for &i in &self.order {
            least = least.max(step_down[i]);
            step_down[i] = least;
        }
        FamilyP { alone: share(&self.own), single_step: share(&self.any), step_down }
    }
}
