//! Whether a presentation clock is believed: judged over a trial run of frames, one at a time.
//!
//! Pure: sightings in, a verdict with its figures out. Lattice clocks must be whole refreshes
//! apart; event clocks one to one with the frames, later than the submit, earlier than the next.
//! The estimate is not judged: it is what remains. The rules are corrections to common practice of
//! our own; the figures are recorded with every session.

use serde::Serialize;

use super::refusal::Refusal;
use super::vsync::{self, VsyncState};
use crate::units::{Nanos, Span};

/// Fewer frames than this prove nothing.
pub(super) const FEWEST_FRAMES: usize = 50;
/// A lattice clock's period may differ from the refresh by this share.
const PERIOD_SHARE: f64 = 0.01;
/// A lattice clock's residual sd may be this multiple of the sd it states.
const RESIDUAL_MULTIPLE: f64 = 2.0;

/// A display's vertical blanks wander by less than twice this; a server's timer by more.
pub(super) const BLANK_SD: Span = Span(50_000);

/// One frame of the trial run, as one clock told it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sighting {
    /// Before the present call.
    pub(super) submit: Nanos,
    /// When the clock says it was seen.
    pub(super) stamp: Option<Nanos>,
    /// Further events that no frame asked for.
    pub(super) extras: u32,
}

/// What a believed clock showed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Earned {
    /// Frames judged.
    pub frames: usize,
    /// Mean time between frames, ms; a lattice clock's regression of stamps on refreshes.
    pub period_ms: f64,
    /// Residual standard deviation about the lattice, ms; blank for an event clock.
    pub residual_sd_ms: Option<f64>,
    /// Median time between frames, ms.
    pub interval_median_ms: f64,
    /// Median time from before the present call to the stamp, ms.
    pub delay_median_ms: f64,
}

/// Judges a clock whose stamps are vertical blanks. `refresh`: the display's; `sd`: the clock's own.
pub(super) fn lattice(run: &[Sighting], refresh: Span, sd: Span) -> Result<Earned, Refusal> {
    let stamps = one_to_one(run)?;
    let line = line_through(&stamps, refresh);
    let period_ms = line.period_ms;
    if (period_ms / refresh.ms() - 1.0).abs() > PERIOD_SHARE {
        return Err(Refusal::Period { period_ms, refresh_ms: refresh.ms() });
    }
    let allowed_ms = RESIDUAL_MULTIPLE * sd.ms();
    if line.residual_sd_ms > allowed_ms {
        return Err(Refusal::OffLattice { residual_sd_ms: line.residual_sd_ms, allowed_ms });
    }
    let residual_sd_ms = Some(line.residual_sd_ms);
    Ok(earned(run, &stamps, period_ms, residual_sd_ms))
}

/// Judges a clock that takes the first vertical blank after the drawing was done. `burst`: the
/// judgement of the refresh without any clock.
///
/// Its stamps are blanks by construction, so they prove nothing about the refresh: that frames wait
/// for it must be known beforehand, and that blanks do not follow the frames is seen in the stamps.
pub(super) fn phase(run: &[Sighting], refresh: Span, burst: VsyncState) -> Result<Earned, Refusal> {
    if burst != VsyncState::Locked {
        return Err(Refusal::NotLocked);
    }
    lattice(run, refresh, BLANK_SD)
}

/// Judges the vertical blanks themselves, one after the other.
#[cfg(any(target_os = "linux", test))]
pub(super) fn blanks(blanks: &[Nanos], refresh: Span) -> Result<(), Refusal> {
    if blanks.len() < FEWEST_FRAMES {
        return Err(Refusal::TooFew { frames: blanks.len() });
    }
    let Line { period_ms, residual_sd_ms } = line_through(blanks, refresh);
    let allowed_ms = RESIDUAL_MULTIPLE * BLANK_SD.ms();
    if (period_ms / refresh.ms() - 1.0).abs() > PERIOD_SHARE {
        return Err(Refusal::Period { period_ms, refresh_ms: refresh.ms() });
    }
    if residual_sd_ms > allowed_ms {
        return Err(Refusal::FakedBlank { residual_sd_ms, allowed_ms });
    }
    Ok(())
}

/// Judges a clock that tells of each frame once, whenever it was copied.
pub(super) fn event(run: &[Sighting]) -> Result<Earned, Refusal> {
    let stamps = one_to_one(run)?;
    let extras = run.iter().map(|sighting| sighting.extras).sum();
    if extras > 0 {
        return Err(Refusal::Extras { extras, frames: run.len() });
    }
    let late = run.windows(2).filter(|pair| pair[0].stamp.is_some_and(|t| t > pair[1].submit));
    let frames = late.count();
    if frames > 0 {
        return Err(Refusal::AfterNext { frames });
    }
    let whole = stamps[stamps.len() - 1] - stamps[0];
    let period_ms = whole.ms() / (stamps.len() - 1) as f64;
    Ok(earned(run, &stamps, period_ms, None))
}

fn earned(
    run: &[Sighting],
    stamps: &[Nanos],
    period_ms: f64,
    residual_sd_ms: Option<f64>,
) -> Earned {
    let intervals: Vec<Span> = stamps.windows(2).map(|pair| pair[1] - pair[0]).collect();
    let delays: Vec<Span> =
        run.iter().zip(stamps).map(|(sighting, &stamp)| stamp - sighting.submit).collect();
    Earned {
        frames: run.len(),
        period_ms,
        residual_sd_ms,
        interval_median_ms: vsync::median_ms(&intervals),
        delay_median_ms: vsync::median_ms(&delays),
    }
}

/// One stamp a frame, each later than its submit.
fn one_to_one(run: &[Sighting]) -> Result<Vec<Nanos>, Refusal> {
    let stamps: Vec<Nanos> = run.iter().filter_map(|sighting| sighting.stamp).collect();
    if stamps.is_empty() {
        return Err(Refusal::Silent);
    }
    if stamps.len() < FEWEST_FRAMES {
        return Err(Refusal::TooFew { frames: stamps.len() });
    }
    if stamps.len() < run.len() {
        let missing = run.len() - stamps.len();
        return Err(Refusal::Holes { missing, frames: run.len() });
    }
    let early = run.iter().filter(|sighting| sighting.stamp.is_some_and(|t| t < sighting.submit));
    let frames = early.count();
    if frames > 0 {
        return Err(Refusal::BeforeSubmit { frames });
    }
    Ok(stamps)
}

/// A line of stamps on their refresh numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Line {
    /// Slope, ms a refresh.
    pub(super) period_ms: f64,
    /// Standard deviation about the line, ms.
    pub(super) residual_sd_ms: f64,
}

/// Numbers each stamp by whole refreshes since the last, and fits a straight line.
///
/// ```text
/// k(i) = k(i-1) + round((t(i) - t(i-1)) / refresh);  t = a + period k + e;  sd = sqrt(sum e^2 / (n - 2))
/// ```
/// # Source
/// Ordinary least squares, any textbook.
pub(super) fn line_through(stamps: &[Nanos], refresh: Span) -> Line {
    let mut number = 0.0;
    let mut before = stamps.first().copied().unwrap_or_default();
    let origin = before;
    let points: Vec<[f64; 2]> = stamps
        .iter()
        .map(|&t| {
            number += ((t - before).ms() / refresh.ms()).round();
            before = t;
            [number, (t - origin).ms()]
        })
        .collect();
    let n = points.len() as f64;
    let mean = |axis: usize| points.iter().map(|point| point[axis]).sum::<f64>() / n;
    let [mean_k, mean_t] = [mean(0), mean(1)];
    let product = |point: &[f64; 2]| (point[0] - mean_k) * (point[1] - mean_t);
    let spread: f64 = points.iter().map(|point| (point[0] - mean_k).powi(2)).sum();
    let period_ms = points.iter().map(product).sum::<f64>() / spread;
    let error = |point: &[f64; 2]| point[1] - mean_t - period_ms * (point[0] - mean_k);
    let squares: f64 = points.iter().map(|point| error(point).powi(2)).sum();
    Line { period_ms, residual_sd_ms: (squares / (n - 2.0)).sqrt() }
}

#[cfg(test)]
mod tests {
    use super::*;

    const REFRESH: Span = Span(16_666_667);

    /// A run whose n-th frame is seen `delay` after its submit, `wobble` ns to either side in turn.
    fn run(frames: i64, period: Span, delay: Span, wobble: i64) -> Vec<Sighting> {
        (0..frames)
            .map(|n| {
                let submit = Nanos(n * period.0);
                let side = if n % 2 == 0 { wobble } else { -wobble };
                Sighting { submit, stamp: Some(submit + delay + Span(side)), extras: 0 }
            })
            .collect()
    }

    #[test]
    fn a_steady_lattice_is_believed_and_its_figures_are_those_put_in() {
        let earned =
            lattice(&run(200, REFRESH, Span::from_ms(9), 40_000), REFRESH, Span(50_000)).unwrap();
        assert!((earned.period_ms - 16.666_667).abs() < 1e-4, "{earned:?}");
        // A square wave of ±0.04 ms has the sd 0.04 ms.
        assert!((earned.residual_sd_ms.unwrap() - 0.04).abs() < 0.001, "{earned:?}");
        assert!((earned.delay_median_ms - 9.0).abs() < 0.05, "{earned:?}");
    }

    #[test]
    fn stamps_between_refreshes_are_refused() {
        let refused = lattice(&run(200, REFRESH, Span::from_ms(9), 400_000), REFRESH, Span(50_000));
        assert!(matches!(refused, Err(Refusal::OffLattice { .. })), "{refused:?}");
    }

    #[test]
    fn a_foreign_period_is_refused() {
        let slow = run(200, Span::from_ms(17), Span::from_ms(9), 0);
        let refused = lattice(&slow, REFRESH, Span(50_000));
        assert!(matches!(refused, Err(Refusal::Period { .. })), "{refused:?}");
    }

    #[test]
    fn a_skipped_refresh_is_still_on_the_lattice() {
        let mut skipped = run(200, REFRESH, Span::from_ms(9), 0);
        for sighting in &mut skipped[100..] {
            sighting.submit += REFRESH;
            sighting.stamp = sighting.stamp.map(|t| t + REFRESH);
        }
        assert!(lattice(&skipped, REFRESH, Span(50_000)).is_ok());
    }

    #[test]
    fn an_event_clock_must_tell_of_each_frame_once_between_its_submit_and_the_next() {
        let good = run(200, REFRESH, Span::from_ms(3), 500_000);
        assert!((event(&good).unwrap().period_ms - 16.67).abs() < 0.02);
        let mut hole = good.clone();
        hole[7].stamp = None;
        assert_eq!(event(&hole), Err(Refusal::Holes { missing: 1, frames: 200 }));
        let mut early = good.clone();
        early[7].stamp = Some(early[7].submit - Span(1));
        assert_eq!(event(&early), Err(Refusal::BeforeSubmit { frames: 1 }));
        let mut late = good.clone();
        late[7].stamp = Some(late[8].submit + Span(1));
        assert_eq!(event(&late), Err(Refusal::AfterNext { frames: 1 }));
        let mut twice = good;
        twice[7].extras = 1;
        assert_eq!(event(&twice), Err(Refusal::Extras { extras: 1, frames: 200 }));
    }

    /// Blanks with a wander of `wobble` ns, deterministic and without a beat.
    fn blanks_of(period: Span, wobble: i64) -> Vec<Nanos> {
        (0..60).map(|n| Nanos(n * period.0 + wobble * (n * 37 % 11 - 5) / 5)).collect()
    }

    #[test]
    fn a_displays_blanks_are_believed_and_a_timers_are_not() {
        assert_eq!(blanks(&blanks_of(REFRESH, 5_000), REFRESH), Ok(()));
        // As a server's timer was seen to wander: by 1.5 ms to either side, with lost beats.
        let mut timer = blanks_of(REFRESH, 1_500_000);
        timer.iter_mut().skip(30).for_each(|t| *t += REFRESH);
        let refused = blanks(&timer, REFRESH);
        assert!(matches!(refused, Err(Refusal::FakedBlank { .. })), "{refused:?}");
        // A timer of 16.667 ms beside a display of 144 Hz: 2.4 of its refreshes.
        let refused = blanks(&blanks_of(REFRESH, 0), Span(6_944_444));
        assert!(matches!(refused, Err(Refusal::Period { .. })), "{refused:?}");
        let few = &blanks_of(REFRESH, 0)[..20];
        assert_eq!(blanks(few, REFRESH), Err(Refusal::TooFew { frames: 20 }));
    }

    #[test]
    fn the_phase_of_a_refresh_that_is_not_waited_for_or_follows_the_frames_is_refused() {
        let on = run(200, REFRESH, Span::from_ms(9), 5_000);
        assert!(phase(&on, REFRESH, VsyncState::Locked).is_ok());
        for state in [VsyncState::Unlocked, VsyncState::Unsteady, VsyncState::NotJudged] {
            assert_eq!(phase(&on, REFRESH, state), Err(Refusal::NotLocked));
        }
        // Submits scattered over 0.6 of a refresh, and blanks that follow them.
        let follows: Vec<Sighting> = (0..200)
            .map(|n| {
                let submit = Nanos(n * REFRESH.0 + REFRESH.0 * (n * 37 % 60) / 100);
                Sighting { submit, stamp: Some(submit + Span::from_ms(3)), extras: 0 }
            })
            .collect();
        let refused = phase(&follows, REFRESH, VsyncState::Locked);
        assert!(matches!(refused, Err(Refusal::OffLattice { .. })), "{refused:?}");
    }

    #[test]
    fn silence_and_a_short_run_prove_nothing() {
        let mut silent = run(200, REFRESH, Span::from_ms(3), 0);
        silent.iter_mut().for_each(|sighting| sighting.stamp = None);
        assert_eq!(event(&silent), Err(Refusal::Silent));
        assert_eq!(
            event(&run(20, REFRESH, Span::from_ms(3), 0)),
            Err(Refusal::TooFew { frames: 20 })
        );
    }
}
