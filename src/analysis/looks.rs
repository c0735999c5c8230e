//! Planned looks: how far apart two conditions must be at each look, so that all looks together
//! raise no more false alarms than one.
//!
//! Knows the share of the planned information at each look, and the level; z is estimate over
//! standard error. Both sides count, half the level each.

use super::{bisect, normal};

/// How the level is spent over the looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Spending {
    /// Little at first, in the manner of O'Brien and Fleming.
    Late,
    /// Nearly evenly, in the manner of Pocock.
    Even,
}

/// One planned look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    /// Share of the planned information at the look.
    pub information: f64,
    /// The look settles it where |z| reaches this; never above [`LARGEST_BOUND`].
    pub z: f64,
    /// Level spent up to and with this look.
    pub spent: f64,
}

/// Why there are no bounds.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum LooksError {
    /// No look was planned.
    #[error("no look was planned")]
    NoLooks,
    /// Information does not rise from above 0 to at most 1.
    #[error("information {information} at look {look}: it must rise, above 0 and up to 1")]
    NotRising {
        /// Which look, from 0.
        look: usize,
        /// Its information.
        information: f64,
    },
    /// A level that is none.
    #[error("a level of {alpha} is not between 0 and 1")]
    Level {
        /// The level.
        alpha: f64,
    },
}

/// A bound of 8 is passed by chance once in 10^15: a level too small to be spent gives this.
pub const LARGEST_BOUND: f64 = 8.0;

/// Steps of Simpson's rule between the two bounds, even: checked to 1e-6 in z, for looks a tenth of the
/// information apart.
const STEPS: usize = 800;

impl Spending {
    /// Level spent at a share of the information, two-sided.
    ///
    /// ```text
    /// Late:  4 (1 - Phi(z / sqrt t)),  z normal quantile of 1 - alpha/4
    /// Even:  alpha ln(1 + (e - 1) t)
    /// ```
    /// # Source
    /// Lan & DeMets (1983) Biometrika 70:659.
    pub fn spent(self, information: f64, alpha: f64) -> f64 {
        match self {
            Spending::Late => {
                4.0 * normal::below(normal::quantile(alpha / 4.0) / information.sqrt())
            }
            Spending::Even => alpha * libm::log(1.0 + (std::f64::consts::E - 1.0) * information),
        }
    }
}

/// The bounds of looks at these shares of the planned information, ascending.
///
/// The score z sqrt(t) is followed from look to look: its density between the bounds, carried on
/// by normal steps; each bound lets out the level that is spent between.
/// # Source
/// Armitage, McPherson & Rowe (1969) J. Royal Statistical Society A 132:235; Lan & DeMets (1983)
/// Biometrika 70:659.
/// # Errors
/// [`LooksError`].
pub fn bounds(
    information: &[f64],
    alpha: f64,
    spending: Spending,
) -> Result<Vec<Look>, LooksError> {
    check(information, alpha)?;
    let mut looks = Vec::with_capacity(information.len());
    let mut inside = Inside::beginning();
    let (mut before, mut spent_before) = (0.0, 0.0);
    for &information in information {
        let spent = spending.spent(information, alpha);
        let step_sd = (information - before).sqrt();
        let scale = information.sqrt();
        let z = crossing(|z| inside.leaves(z * scale, step_sd) - (spent - spent_before));
        inside = inside.carried(z * scale, step_sd);
        looks.push(Look { information, z, spent });
        (before, spent_before) = (information, spent);
    }
    Ok(looks)
}

/// The two-sided level to judge by at the last of these looks: that of its bound in z, to be applied to the
/// look's own t.
///
/// # Errors
/// [`LooksError`].
pub fn nominal(information: &[f64], alpha: f64, spending: Spending) -> Result<f64, LooksError> {
    let looks = bounds(information, alpha, spending)?;
    Ok(looks.last().map_or(0.0, |look| 2.0 * normal::below(-look.z)))
}

/// Level that given bounds have spent up to and with each look, whatever rule they are from.
///
/// `looks`: share of the planned information, and |z| at which the look settles it.
/// # Source
/// As [`bounds`].
/// # Errors
/// [`LooksError`].
pub fn spent_by(looks: &[(f64, f64)]) -> Result<Vec<f64>, LooksError> {
    rising(looks.iter().map(|&(information, _)| information))?;
    let mut inside = Inside::beginning();
    let (mut before, mut spent) = (0.0, 0.0);
    let mut all = Vec::with_capacity(looks.len());
    for &(information, z) in looks {
        let (step_sd, bound) = ((information - before).sqrt(), z * information.sqrt());
        spent += inside.leaves(bound, step_sd);
        inside = inside.carried(bound, step_sd);
        all.push(spent);
        before = information;
    }
    Ok(all)
}

fn check(information: &[f64], alpha: f64) -> Result<(), LooksError> {
    if !(alpha > 0.0 && alpha < 1.0) {
        return Err(LooksError::Level { alpha });
    }
    rising(information.iter().copied())
}

fn rising(information: impl ExactSizeIterator<Item = f64>) -> Result<(), LooksError> {
    if information.len() == 0 {
        return Err(LooksError::NoLooks);
    }
    let mut before = 0.0;
    for (look, information) in information.enumerate() {
        if !(information > before && information <= 1.0) {
            return Err(LooksError::NotRising { look, information });
        }
        before = information;
    }
    Ok(())
}

/// Where the score may be, having left at no look so far: places with their chances.
struct Inside(Vec<Place>);

struct Place {
    score: f64,
    chance: f64,
}

impl Inside {
    fn beginning() -> Inside {
        Inside(vec![Place { score: 0.0, chance: 1.0 }])
    }

    /// Chance to be past -+ `bound` after a step.
    fn leaves(&self, bound: f64, step_sd: f64) -> f64 {
        let past = |score: f64| {
            normal::below((score - bound) / step_sd) + normal::below((-bound - score) / step_sd)
        };
        self.0.iter().map(|place| place.chance * past(place.score)).sum()
    }

    /// The places between -+ `bound` after a step.
    fn carried(&self, bound: f64, step_sd: f64) -> Inside {
        let width = 2.0 * bound / STEPS as f64;
        let place = |i: usize| {
            let score = -bound + i as f64 * width;
            let weight = match i {
                0 | STEPS => 1.0,
                i if i % 2 == 1 => 4.0,
                _ => 2.0,
            };
            let arrives =
                |from: &Place| from.chance * normal::density((score - from.score) / step_sd);
            let density = self.0.iter().map(arrives).sum::<f64>() / step_sd;
            Place { score, chance: weight * width / 3.0 * density }
        };
        Inside((0..=STEPS).map(place).collect())
    }
}

/// The bound at which a falling excess is 0.
fn crossing(excess: impl Fn(f64) -> f64) -> f64 {
    bisect::turn(0.0, LARGEST_BOUND, |bound| excess(bound) > 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_look_is_the_plain_test() {
        for spending in [Spending::Late, Spending::Even] {
            let looks = bounds(&[1.0], 0.05, spending).expect("one look");
            assert!((looks[0].z - 1.959_963_984_540).abs() < 1e-9, "{looks:?}");
        }
    }

    #[test]
    fn what_has_no_bounds() {
        let of = |information: &[f64]| bounds(information, 0.05, Spending::Late);
        assert_eq!(of(&[]), Err(LooksError::NoLooks));
        let error = LooksError::NotRising { look: 1, information: 0.5 };
        assert_eq!(of(&[0.5, 0.5]), Err(error));
        let error = LooksError::NotRising { look: 0, information: 1.5 };
        assert_eq!(of(&[1.5]), Err(error));
        let error = Err(LooksError::Level { alpha: 1.0 });
        assert_eq!(bounds(&[1.0], 1.0, Spending::Even), error);
    }
}
