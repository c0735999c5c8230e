//! Which present mode is taken: the first in which pictures come soon enough after the present
//! call.
//!
//! It knows no surface: what tries a mode is given to it. A mode whose pictures come later than
//! two refreshes holds a line of finished frames, so that a stimulus decided now is seen late and
//! after a press that was a true answer to nothing.

use super::PresentMode;
use super::gpu::WindowSystem;
use super::report::RefusedMode;

/// A mode in which pictures come later than two refreshes after the present call is not taken; half
/// a refresh is left for where in the refresh the call fell.
const MOST_DELAY_REFRESHES: f64 = 2.5;

/// The modes to try, the usual one of the windowing system first.
pub(super) fn in_order(wish: Option<PresentMode>, system: WindowSystem) -> Vec<PresentMode> {
    match (wish, system) {
        (Some(mode), _) => vec![mode],
        // Fifo under a compositor of another clock came 250 ms late there.
        (None, WindowSystem::Wayland) => vec![PresentMode::Mailbox, PresentMode::Fifo],
        (None, WindowSystem::X11 | WindowSystem::Windows | WindowSystem::Other) => {
            vec![PresentMode::Fifo, PresentMode::Mailbox]
        }
    }
}

/// A mode as it was tried.
#[derive(Debug)]
pub(super) struct Trial<T> {
    /// What was gathered in it.
    pub(super) gathered: T,
    /// From the present call to the screen, refreshes, where a clock tells of the queue.
    pub(super) delay_refreshes: Option<f64>,
}

/// The mode taken, and those refused before it.
#[derive(Debug)]
pub(super) struct Taken<T> {
    /// The mode.
    pub(super) mode: PresentMode,
    /// What was gathered in it.
    pub(super) gathered: T,
    /// Modes in which pictures came too late; the taken one is among them where none was soon
    /// enough.
    pub(super) late: Vec<RefusedMode>,
}

/// Tries `modes` in turn until pictures come soon enough in one; the soonest where none does.
/// `offers`: whether the driver has the mode; the first is tried even where it has not.
pub(super) fn take<T, E>(
    modes: &[PresentMode],
    offers: impl Fn(PresentMode) -> bool,
    mut attempt: impl FnMut(PresentMode) -> Result<Trial<T>, E>,
) -> Result<Option<Taken<T>>, E> {
    let mut late: Vec<RefusedMode> = Vec::new();
    let mut last = None;
    for &mode in modes {
        // Another wish that is granted as the same mode would only be tried again.
        if last.is_some() && !offers(mode) {
            continue;
        }
        let Trial { gathered, delay_refreshes } = attempt(mode)?;
        let Some(delay_refreshes) = delay_refreshes.filter(|&delay| delay > MOST_DELAY_REFRESHES)
        else {
            return Ok(Some(Taken { mode, gathered, late }));
        };
        late.push(RefusedMode { mode, delay_refreshes });
        last = Some((mode, gathered));
    }
    let soonest = late
        .iter()
        .min_by(|a, b| a.delay_refreshes.total_cmp(&b.delay_refreshes))
        .map(|soonest| soonest.mode);
    let (Some(soonest), Some((mode, gathered))) = (soonest, last) else { return Ok(None) };
    // The window stands in the mode tried last.
    let gathered = if soonest == mode { gathered } else { attempt(soonest)?.gathered };
    Ok(Some(Taken { mode: soonest, gathered, late }))
}

#[cfg(test)]
mod tests {
    use std::cell::RefCell;

    use super::*;

    /// A display whose line of finished frames has a length of its own in each mode: a picture is
    /// seen at the first blank after it is ready, or behind those that wait in line.
    struct Display {
        refresh_ms: f64,
        line: fn(PresentMode) -> f64,
        tried: RefCell<Vec<PresentMode>>,
    }

    impl Display {
        fn new(line: fn(PresentMode) -> f64) -> Display {
            Display { refresh_ms: 1e3 / 144.0, line, tried: RefCell::default() }
        }

        /// The median delay of 200 pictures that are handed over all over the refresh.
        #[expect(clippy::unnecessary_wraps, reason = "a real window can fail")]
        fn attempt(&self, mode: PresentMode) -> Result<Trial<PresentMode>, ()> {
            self.tried.borrow_mut().push(mode);
            let mut delays: Vec<f64> = (0..200)
                .map(|n| {
                    let into_refresh_ms = self.refresh_ms * f64::from(n * 37 % 60) / 60.0;
                    let next_blank_ms = self.refresh_ms - into_refresh_ms;
                    (next_blank_ms + (self.line)(mode) * self.refresh_ms) / self.refresh_ms
                })
                .collect();
            delays.sort_by(f64::total_cmp);
            Ok(Trial { gathered: mode, delay_refreshes: Some(delays[100]) })
        }

        fn take(&self, modes: &[PresentMode], has: &[PresentMode]) -> Taken<PresentMode> {
            let offers = |mode| has.contains(&mode);
            take(modes, offers, |mode| self.attempt(mode)).unwrap().unwrap()
        }
    }

    const BOTH: [PresentMode; 2] = [PresentMode::Fifo, PresentMode::Mailbox];

    #[test]
    fn a_mode_of_one_or_two_refreshes_is_taken_at_once() {
        for line in [(|_| 0.0) as fn(PresentMode) -> f64, |_| 1.0] {
            let display = Display::new(line);
            let taken = display.take(&BOTH, &BOTH);
            assert_eq!((taken.mode, taken.late.len()), (PresentMode::Fifo, 0));
            assert_eq!(*display.tried.borrow(), [PresentMode::Fifo]);
        }
    }

    #[test]
    fn a_mode_with_a_line_of_frames_is_refused_and_the_next_taken() {
        let display = Display::new(|mode| if mode == PresentMode::Fifo { 3.0 } else { 0.0 });
        let taken = display.take(&BOTH, &BOTH);
        assert_eq!((taken.mode, taken.gathered), (PresentMode::Mailbox, PresentMode::Mailbox));
        let [RefusedMode { mode, delay_refreshes }] = taken.late[..] else {
            panic!("one was refused: {:?}", taken.late);
        };
        assert_eq!(mode, PresentMode::Fifo);
        assert!((delay_refreshes - 3.5).abs() < 0.05, "{delay_refreshes}");
    }

    #[test]
    fn where_none_is_soon_enough_the_soonest_is_tried_again_and_all_are_told() {
        let display = Display::new(|mode| if mode == PresentMode::Fifo { 3.0 } else { 15.0 });
        let taken = display.take(&BOTH, &BOTH);
        assert_eq!((taken.mode, taken.gathered), (PresentMode::Fifo, PresentMode::Fifo));
        assert_eq!(taken.late.len(), 2);
        let tried = [PresentMode::Fifo, PresentMode::Mailbox, PresentMode::Fifo];
        assert_eq!(*display.tried.borrow(), tried);
        // The soonest was the one tried last: the window stands in it already.
        let display = Display::new(|mode| if mode == PresentMode::Fifo { 15.0 } else { 3.0 });
        let taken = display.take(&BOTH, &BOTH);
        assert_eq!((taken.mode, display.tried.borrow().len()), (PresentMode::Mailbox, 2));
    }

    #[test]
    fn a_mode_that_the_driver_lacks_is_not_tried_twice_under_another_name() {
        let display = Display::new(|_| 3.0);
        let taken = display.take(&BOTH, &[PresentMode::Fifo]);
        assert_eq!((taken.mode, taken.late.len()), (PresentMode::Fifo, 1));
        assert_eq!(*display.tried.borrow(), [PresentMode::Fifo]);
    }

    #[test]
    fn where_no_clock_tells_of_a_queue_nothing_is_refused() {
        let silent = |mode| Ok::<_, ()>(Trial { gathered: mode, delay_refreshes: None });
        let taken = take(&BOTH, |_| true, silent).unwrap().unwrap();
        assert_eq!((taken.mode, taken.late.len()), (PresentMode::Fifo, 0));
    }

    #[test]
    fn a_wish_is_tried_alone_and_wayland_begins_with_mailbox() {
        let wish = Some(PresentMode::Immediate);
        assert_eq!(in_order(wish, WindowSystem::Wayland), [PresentMode::Immediate]);
        assert_eq!(in_order(None, WindowSystem::Wayland)[0], PresentMode::Mailbox);
        assert_eq!(in_order(None, WindowSystem::Windows), BOTH);
    }
}
