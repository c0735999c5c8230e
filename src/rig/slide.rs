//! Counts for a centimetre, from slides along a ruler of a known length.
//!
//! Pure: steps of motion in, a figure with its interval out. A pause parts one slide from the next;
//! back and forth is as good as always the same way.

use super::finding::{Finding, Grade, Matters, Topic};
use crate::analysis::{describe, student};
use crate::units::{Nanos, Span};
use crate::words::rig as words;
use serde::{Deserialize, Serialize};

/// A silence that parts two slides.
pub const PAUSE: Span = Span::from_ms(400);
/// A slide with fewer counts was no slide.
const FEWEST_COUNTS: f64 = 50.0;
/// Net way over the whole way: below this the hand did not follow the ruler.
const STRAIGHT: f64 = 0.9;
/// Slides shorter than this share of the longest are no whole ones.
const WHOLE: f64 = 0.5;
/// How far a hand misses the ruler's two marks together, mm. Common practice, no source.
const RULER_SD_MM: f64 = 1.0;
/// Half the interval as a share of the figure, from which it is worth another try.
const LOOSE_SHARE: f64 = 0.05;

/// One step of motion, in counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// When.
    pub t: Nanos,
    /// Rightwards.
    pub dx: f64,
    /// Downwards.
    pub dy: f64,
}

/// Counts for a centimetre.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CountsPerCm {
    /// The figure.
    pub counts_per_cm: f64,
    /// Half of a 95 % interval, the ruler's own doubt included.
    pub give_or_take: f64,
    /// Counts an inch, as mice are sold by.
    pub per_inch: f64,
    /// Slides that entered.
    pub slides: usize,
    /// Slides that were not straight or not whole.
    pub left_out: usize,
    /// The ruler's length, cm.
    pub length_cm: f64,
}

/// Why there is no figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoSlide {
    /// Nothing moved far enough.
    #[error("no slide was seen")]
    None,
    /// None was straight.
    #[error("no slide was straight")]
    Crooked,
    /// The source gives something else than counts.
    #[error("this source does not give counts")]
    NotCounts,
    /// One alone has no interval.
    #[error("one slide alone tells no doubt")]
    One,
}

struct Slide {
    net: f64,
    straight: bool,
}

/// Works out counts for a centimetre.
///
/// `steps`: of one mouse, in order of time; `length_cm`: of the ruler's stretch, above 0.
///
/// ```text
/// half = t(0.975, n-1) sqrt(s^2 / n + (m 0.1 cm / L)^2 / n)
/// ```
/// with s the sd of the slides' own figures and m their mean; the second term is the hand's aim
/// at the two marks (1 mm), which is drawn anew with each slide and so is partly in s already: the
/// interval is a little too wide rather than too narrow.
///
/// # Errors
/// [`NoSlide`].
pub fn judge(steps: &[Step], length_cm: f64) -> Result<CountsPerCm, NoSlide> {
    let slides: Vec<Slide> = steps
        .chunk_by(|before, after| after.t - before.t < PAUSE)
        .map(slide)
        .filter(|slide| slide.net >= FEWEST_COUNTS || !slide.straight)
        .collect();
    let longest = slides.iter().map(|slide| slide.net).fold(0.0, f64::max);
    if longest < FEWEST_COUNTS {
        return Err(if slides.is_empty() { NoSlide::None } else { NoSlide::Crooked });
    }
    let whole: Vec<f64> = slides
        .iter()
        .filter(|slide| slide.straight && slide.net >= WHOLE * longest)
        .map(|slide| slide.net / length_cm)
        .collect();
    let n = whole.len() as f64;
    match whole.len() {
        0 => return Err(NoSlide::Crooked),
        1 => return Err(NoSlide::One),
        _ => {}
    }
    let mean = describe::mean(&whole).unwrap_or(f64::NAN);
    let sd = describe::sd(&whole).unwrap_or(f64::NAN);
    let ruler = mean * RULER_SD_MM / 10.0 / length_cm;
    let half = student::critical(0.95, n - 1.0) * ((sd * sd + ruler * ruler) / n).sqrt();
    Ok(CountsPerCm {
        counts_per_cm: mean,
        give_or_take: half,
        per_inch: 2.54 * mean,
        slides: whole.len(),
        left_out: slides.len() - whole.len(),
        length_cm,
    })
}

fn slide(steps: &[Step]) -> Slide {
    let (x, y) = steps.iter().fold((0.0, 0.0), |(x, y), step| (x + step.dx, y + step.dy));
    let net = f64::hypot(x, y);
    let way: f64 = steps.iter().map(|step| f64::hypot(step.dx, step.dy)).sum();
    Slide { net, straight: net >= STRAIGHT * way }
}

/// What the figure means.
pub fn finding(judged: &Result<CountsPerCm, NoSlide>) -> Finding {
    let topic = Topic::CountsPerCm;
    match judged {
        Ok(found) => {
            let what = words::counts_per_cm(
                found.counts_per_cm,
                found.give_or_take,
                found.per_inch,
                found.slides,
            );
            if found.give_or_take <= LOOSE_SHARE * found.counts_per_cm {
                return Finding::good(topic, what, Matters::No);
            }
            let mend = Some(words::slide_again().to_owned());
            Finding { topic, grade: Grade::Note, what, matters: Matters::No, mend }
        }
        Err(none) => {
            let what = words::no_slide(&none.to_string());
            Finding::not_told(topic, what, Some(words::slide_again().to_owned()))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::{RngExt, SeedableRng};
    use rand_chacha::ChaCha8Rng;

    /// Slides of `counts`, 250 ms each, half a second apart, alternately right and left.
    fn slides(counts: &[f64]) -> Vec<Step> {
        let mut steps = Vec::new();
        for (index, counts) in counts.iter().enumerate() {
            let side = if index % 2 == 0 { 1.0 } else { -1.0 };
            for n in 0..250 {
                let ms = 750.0 * index as f64 + f64::from(n);
                let t = Nanos(0) + Span::from_ms_f64(ms);
                steps.push(Step { t, dx: side * counts / 250.0, dy: 0.02 * counts / 250.0 });
            }
        }
        steps
    }

    #[test]
    fn a_mouse_of_800_counts_an_inch_is_found() {
        // 800 / 2.54 counts a cm over 20 cm.
        let true_counts = 800.0 / 2.54 * 20.0;
        let judged = judge(&slides(&[true_counts; 4]), 20.0).unwrap();
        assert!((judged.per_inch - 800.0).abs() < 1.0, "{judged:?}");
        assert_eq!((judged.slides, judged.left_out), (4, 0));
        // 1 mm of 200 at n = 4: t(0.975, 3) = 3.182; 3.182 x 0.5 % / 2 = 0.8 %.
        assert!((judged.give_or_take / judged.counts_per_cm - 0.00796).abs() < 1e-4);
        assert_eq!(finding(&Ok(judged)).grade, Grade::Good);
    }

    #[test]
    fn the_interval_holds_the_truth_as_often_as_it_says() {
        let (mut held, rounds) = (0, 2000);
        let mut random = ChaCha8Rng::seed_from_u64(9);
        for _ in 0..rounds {
            // Ends missed by up to 1.7 mm each way: sd 1 mm.
            let aims: Vec<f64> =
                (0..5).map(|_| 400.0 * (20.0 + 0.34641 * (random.random::<f64>() - 0.5))).collect();
            let judged = judge(&slides(&aims), 20.0).unwrap();
            held += usize::from((judged.counts_per_cm - 400.0).abs() <= judged.give_or_take);
        }
        let share = f64::from(u32::try_from(held).unwrap()) / f64::from(rounds);
        // The aim counts twice: over 95 % by construction, but not everything.
        assert!((0.95..=1.0).contains(&share), "{share}");
    }

    #[test]
    fn crooked_and_broken_off_slides_are_left_out() {
        let mut steps = slides(&[6000.0, 6000.0, 2000.0, 6000.0]);
        let circle = (0..500).map(|n| {
            let angle = f64::from(n) / 500.0 * std::f64::consts::TAU;
            let t = Nanos(0) + Span::from_ms_f64(9000.0 + f64::from(n));
            Step { t, dx: 20.0 * angle.cos(), dy: 20.0 * angle.sin() }
        });
        steps.extend(circle);
        let judged = judge(&steps, 20.0).unwrap();
        assert_eq!((judged.slides, judged.left_out), (3, 2));
        assert!((judged.counts_per_cm - 300.0).abs() < 0.5);
    }

    #[test]
    fn nothing_one_and_only_circles_have_no_figure() {
        assert_eq!(judge(&[], 20.0), Err(NoSlide::None));
        assert_eq!(judge(&slides(&[6000.0]), 20.0), Err(NoSlide::One));
        assert_eq!(judge(&slides(&[20.0, 20.0]), 20.0), Err(NoSlide::None));
        assert_eq!(finding(&Err(NoSlide::None)).grade, Grade::NotTold);
    }
}
