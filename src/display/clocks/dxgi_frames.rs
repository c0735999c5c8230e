//! What DXGI's frame statistics say of a frame: numbers in, the moment of its first refresh out.
//!
//! Pure: no call of the system. The statistics name the last present that reached the screen, the
//! refresh at which it did, and the moment of a refresh that was sampled; refreshes between the two
//! are counted with the period that the samples themselves show. All counts are 32 bits wide and
//! wrap. Invariants: a frame is told of at most once; what was sampled before a break of the counts
//! (DXGI calls it disjoint) is never mixed with what came after.
//!
//! Not yet run on this system: tested on sequences made up for the purpose.
//!
//! Source: the documentation of DXGI_FRAME_STATISTICS and IDXGISwapChain::GetLastPresentCount
//! (Microsoft, Direct3D DXGI reference).

use crate::units::{Nanos, Span};

/// Samples of the refresh that are kept for its period: about a second of a fast display.
const SAMPLES: usize = 128;
/// Fewer samples than this say nothing of the period: the one asked for serves. Common practice, no
/// source.
const FEWEST_SAMPLES: usize = 8;
/// A sample this many refreshes from the one before begins a new history (the counts were set anew
/// without being called disjoint). Common practice, no source.
const LONGEST_GAP: i64 = 100_000;

/// One answer of GetFrameStatistics.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::display) struct Statistics {
    /// PresentCount: the last present that reached the screen.
    pub(in crate::display) present: u32,
    /// PresentRefreshCount: the refresh at which it did.
    pub(in crate::display) shown_at: u32,
    /// SyncRefreshCount: a refresh whose moment was sampled.
    pub(in crate::display) sampled_at: u32,
    /// SyncQPCTime: that moment.
    pub(in crate::display) t: Nanos,
}

/// What was answered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::display) enum Answer {
    /// The statistics.
    Told(Statistics),
    /// DXGI_ERROR_FRAME_STATISTICS_DISJOINT: the counts begin anew.
    Disjoint,
}

/// What is known of the frame that is waited for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::display) enum Onset {
    /// Not shown yet.
    Waiting,
    /// From this moment on it was on the screen.
    Shown(Nanos),
    /// A later one is on the screen, or the counts broke off: its moment cannot be known.
    Unknown,
}

/// A refresh with its moment; the number is carried past the wrap.
#[derive(Debug, Clone, Copy)]
struct Sample {
    number: i64,
    t: Nanos,
}

/// The frame that is waited for.
#[derive(Debug, Clone, Copy)]
struct Awaited {
    present: u32,
    done: bool,
}

/// Follows the statistics of one swapchain.
#[derive(Debug)]
pub(in crate::display) struct Frames {
    asked: Span,
    samples: Vec<Sample>,
    next: usize,
    awaited: Option<Awaited>,
    /// The present last seen on the screen, and the refresh at which it came.
    last_shown: Option<[u32; 2]>,
    passed_over: u32,
    breaks: u32,
}

impl Frames {
    /// `asked`: the refresh, until the samples show it.
    pub(in crate::display) fn new(asked: Span) -> Frames {
        Frames {
            asked,
            samples: Vec::with_capacity(SAMPLES),
            next: 0,
            awaited: None,
            last_shown: None,
            passed_over: 0,
            breaks: 0,
        }
    }

    /// A frame was presented: its number, as GetLastPresentCount tells it.
    pub(in crate::display) fn presented(&mut self, present: u32) {
        self.awaited = Some(Awaited { present, done: false });
    }

    /// The swapchain was made anew.
    pub(in crate::display) fn forget(&mut self) {
        *self = Frames { samples: std::mem::take(&mut self.samples), ..Frames::new(self.asked) };
        self.forget_samples();
    }

    /// Takes an answer; what it says of the frame that is waited for. Allocates nothing.
    pub(in crate::display) fn take(&mut self, answer: Answer) -> Onset {
        let told = match answer {
            Answer::Told(told) => told,
            Answer::Disjoint => {
                self.breaks = self.breaks.saturating_add(1);
                self.forget_samples();
                self.last_shown = None;
                return self.done(Onset::Unknown);
            }
        };
        self.sample(told);
        self.count_passed_over(told);
        let Some(Awaited { present, done: false }) = self.awaited else { return Onset::Waiting };
        match apart(told.present, present) {
            0 => {
                let refreshes = i64::from(apart(told.shown_at, told.sampled_at));
                self.done(Onset::Shown(told.t + times(self.period(), refreshes)))
            }
            later if later > 0 => self.done(Onset::Unknown),
            _ => Onset::Waiting,
        }
    }

    /// Presents that came and went between two answers: with one frame in flight there are none.
    pub(in crate::display) fn passed_over(&mut self) -> u32 {
        std::mem::take(&mut self.passed_over)
    }

    /// How often the counts broke off.
    #[cfg(test)]
    fn breaks(&self) -> u32 {
        self.breaks
    }

    /// One refresh: the slope of the samples' moments on their numbers, by least squares.
    ///
    /// ```text
    /// period = sum((k - mean k)(t - mean t)) / sum((k - mean k)^2)
    /// ```
    pub(in crate::display) fn period(&self) -> Span {
        let n = self.samples.len();
        let (Some(origin), FEWEST_SAMPLES..) = (self.samples.first(), n) else { return self.asked };
        let points = || {
            let from_origin =
                |s: &Sample| [(s.number - origin.number) as f64, (s.t - origin.t).ms()];
            self.samples.iter().map(from_origin)
        };
        let mean = |axis: usize| points().map(|point| point[axis]).sum::<f64>() / n as f64;
        let [mean_k, mean_t] = [mean(0), mean(1)];
        let spread: f64 = points().map(|[k, _]| (k - mean_k).powi(2)).sum();
        let joint: f64 = points().map(|[k, t]| (k - mean_k) * (t - mean_t)).sum();
        if spread > 0.0 { Span::from_ms_f64(joint / spread) } else { self.asked }
    }

    fn done(&mut self, onset: Onset) -> Onset {
        match &mut self.awaited {
            Some(awaited) if !awaited.done => {
                awaited.done = true;
                onset
            }
            _ => Onset::Waiting,
        }
    }

    fn forget_samples(&mut self) {
        self.samples.clear();
        self.next = 0;
    }

    fn newest(&self) -> Option<Sample> {
        let before = self.next.checked_sub(1).unwrap_or(self.samples.len().checked_sub(1)?);
        self.samples.get(before).copied()
    }

    fn sample(&mut self, told: Statistics) {
        let newest = self.newest();
        // The count's lower 32 bits, next to the one before.
        let number = match newest {
            Some(before) => {
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "the lower half"
                )]
                let low = before.number as u32;
                before.number + i64::from(apart(told.sampled_at, low))
            }
            None => i64::from(told.sampled_at),
        };
        match newest {
            // The same sample again, or an old one.
            Some(before) if number <= before.number && before.number - number < LONGEST_GAP => {
                return;
            }
            Some(before) if (number - before.number).abs() >= LONGEST_GAP || told.t <= before.t => {
                self.forget_samples();
            }
            Some(_) | None => {}
        }
        let sample = Sample { number, t: told.t };
        if self.samples.len() < SAMPLES {
            self.samples.push(sample);
        } else {
            self.samples[self.next % SAMPLES] = sample;
        }
        self.next = self.next % SAMPLES + 1;
    }

    fn count_passed_over(&mut self, told: Statistics) {
        if let Some([present, _]) = self.last_shown {
            let new = apart(told.present, present);
            let between = u32::try_from(new - 1).unwrap_or(0);
            self.passed_over = self.passed_over.saturating_add(between);
        }
        self.last_shown = Some([told.present, told.shown_at]);
    }
}

/// How far `count` is ahead of `from`, both of 32 bits and wrapping.
#[expect(clippy::cast_possible_wrap, reason = "the distance of two wrapping counts")]
fn apart(count: u32, from: u32) -> i32 {
    count.wrapping_sub(from) as i32
}

fn times(period: Span, refreshes: i64) -> Span {
    Span(period.0.saturating_mul(refreshes))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 240 Hz, while 60 Hz was asked for.
    const REFRESH: i64 = 4_166_667;
    const ASKED: Span = Span(16_666_667);

    /// What a display of `REFRESH` tells at refresh `at`, when `present` was shown at `shown_at`.
    fn told(present: u32, shown_at: u32, at: u32) -> Answer {
        let t = Nanos(1_000_000_000 + i64::from(at.wrapping_sub(START)) * REFRESH);
        Answer::Told(Statistics { present, shown_at, sampled_at: at, t })
    }

    /// Counts that wrap within the test.
    const START: u32 = u32::MAX - 20;

    /// Frames shown at each second refresh, sampled at the refresh of the last.
    fn warmed_up() -> (Frames, u32, u32) {
        let mut frames = Frames::new(ASKED);
        let (mut present, mut at) = (START, START);
        for _ in 0..40 {
            present = present.wrapping_add(1);
            at = at.wrapping_add(2);
            frames.presented(present);
            let Onset::Shown(t) = frames.take(told(present, at, at)) else { panic!("not shown") };
            assert_eq!(t, Nanos(1_000_000_000 + i64::from(at.wrapping_sub(START)) * REFRESH));
        }
        (frames, present, at)
    }

    #[test]
    fn the_period_is_that_of_the_samples_past_the_wrap_of_the_counts() {
        let (frames, ..) = warmed_up();
        assert!((frames.period().0 - REFRESH).abs() <= 1, "{:?}", frames.period());
    }

    #[test]
    fn refreshes_between_the_sample_and_the_frame_are_counted_with_the_measured_period() {
        let (mut frames, present, at) = warmed_up();
        let (present, shown_at, sampled_at) =
            (present.wrapping_add(1), at.wrapping_add(2), at.wrapping_add(5));
        frames.presented(present);
        let Onset::Shown(t) = frames.take(told(present, shown_at, sampled_at)) else {
            panic!("not shown")
        };
        let expected = 1_000_000_000 + i64::from(shown_at.wrapping_sub(START)) * REFRESH;
        // Three refreshes by a period that is right to 1 ns.
        assert!((t.0 - expected).abs() <= 5, "{} off", t.0 - expected);
        // The refresh asked for would have put it 37.5 ms too early.
    }

    #[test]
    fn until_there_are_samples_the_refresh_asked_for_serves() {
        let mut frames = Frames::new(ASKED);
        frames.presented(5);
        let one = Statistics { present: 5, shown_at: 99, sampled_at: 100, t: Nanos(500_000_000) };
        assert_eq!(frames.take(Answer::Told(one)), Onset::Shown(Nanos(500_000_000) - ASKED));
    }

    #[test]
    fn a_frame_is_told_of_once_and_not_before_it_is_on_the_screen() {
        let (mut frames, present, at) = warmed_up();
        frames.presented(present.wrapping_add(1));
        assert_eq!(frames.take(told(present, at, at.wrapping_add(1))), Onset::Waiting);
        let shown = told(present.wrapping_add(1), at.wrapping_add(2), at.wrapping_add(2));
        assert!(matches!(frames.take(shown), Onset::Shown(_)));
        assert_eq!(frames.take(shown), Onset::Waiting);
    }

    #[test]
    fn a_frame_that_was_passed_over_is_unknown_and_counted() {
        let (mut frames, present, at) = warmed_up();
        assert_eq!(frames.passed_over(), 0);
        frames.presented(present.wrapping_add(1));
        // Somebody presented once more, and only that was told of.
        let later = told(present.wrapping_add(2), at.wrapping_add(4), at.wrapping_add(4));
        assert_eq!(frames.take(later), Onset::Unknown);
        assert_eq!(frames.passed_over(), 1);
        assert_eq!(frames.passed_over(), 0);
    }

    #[test]
    fn after_a_break_nothing_of_before_is_used() {
        let (mut frames, present, _) = warmed_up();
        frames.presented(present.wrapping_add(1));
        assert_eq!(frames.take(Answer::Disjoint), Onset::Unknown);
        assert_eq!(frames.breaks(), 1);
        assert_eq!(frames.period(), ASKED, "the old samples are gone");
        // The counts begin anew, at another rate; the frame before the break stays unknown.
        let anew = |present, at: u32| {
            let t = Nanos(9_000_000_000 + i64::from(at) * 10_000_000);
            Answer::Told(Statistics { present, shown_at: at, sampled_at: at, t })
        };
        assert_eq!(frames.take(anew(1, 3)), Onset::Waiting);
        for at in 4..20 {
            frames.presented(at);
            let expected = Nanos(9_000_000_000 + i64::from(at) * 10_000_000);
            assert_eq!(frames.take(anew(at, at)), Onset::Shown(expected));
        }
        assert_eq!(frames.period(), Span(10_000_000));
    }

    #[test]
    fn counts_that_jump_without_a_word_begin_a_new_history() {
        let (mut frames, present, at) = warmed_up();
        let far = at.wrapping_add(1_000_000);
        let t = Nanos(77_000_000_000);
        frames.take(Answer::Told(Statistics { present, shown_at: far, sampled_at: far, t }));
        assert_eq!(frames.period(), ASKED);
    }

    #[test]
    fn a_jitter_of_the_samples_is_averaged_out() {
        let mut frames = Frames::new(ASKED);
        for n in 0..200_u32 {
            // ±20 µs in turn, as an interrupt may be served late.
            let wobble = if n % 2 == 0 { 20_000 } else { -20_000 };
            let t = Nanos(1_000_000_000 + i64::from(n) * REFRESH + wobble);
            frames.take(Answer::Told(Statistics { present: n, shown_at: n, sampled_at: n, t }));
        }
        assert!((frames.period().0 - REFRESH).abs() < 50, "{:?}", frames.period());
    }

    #[test]
    fn a_new_swapchain_starts_from_nothing() {
        let (mut frames, present, at) = warmed_up();
        frames.presented(present.wrapping_add(1));
        frames.forget();
        assert_eq!(frames.period(), ASKED);
        let old = told(present.wrapping_add(1), at.wrapping_add(2), at.wrapping_add(2));
        assert_eq!(frames.take(old), Onset::Waiting);
        assert_eq!(frames.passed_over(), 0);
    }
}
