//! The live steps: what is heard while a screen asks for the eight, the ruler and the clicks, and what
//! that screen may say meanwhile.
//!
//! The listener takes events in and knows no thread and no window. [`Progress`] is the one value that
//! both threads hold; nothing is timed by it.

use super::bounce::{self, Clicks, Edge};
use super::mice::Mouse;
use super::report_rate::{self, Report, ReportRate, TooFew};
use super::slide::{self, CountsPerCm, NoSlide};
use crate::input::{DeviceInfo, InputEvent};
use crate::units::{DeviceId, MotionUnit, Nanos};
use std::sync::{Arc, Mutex, PoisonError};

/// A live step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// Trace a lying eight.
    Eight,
    /// Slide along a ruler.
    Slide,
    /// Click a few times.
    Click,
}

impl Step {
    /// All of them, in order.
    pub const ALL: [Step; 3] = [Step::Eight, Step::Slide, Step::Click];
}

/// Seconds in motion that the eight wants.
pub const EIGHT_S: f64 = 6.0;
/// Slides that the ruler wants.
pub const SLIDES: usize = 4;
/// Clicks wanted.
pub const CLICKS: usize = 12;
/// Lengths of a slide to choose from, cm.
pub const LENGTHS_CM: [f64; 3] = [10.0, 20.0, 30.0];
/// Most that is kept of a step: half a minute of the quickest mouse.
const MOST: usize = 240_000;

/// What a live screen may say.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SoFar {
    /// Seconds in motion.
    pub moving_s: f64,
    /// Reports a second, once known.
    pub rate_hz: Option<f64>,
    /// Whole slides.
    pub slides: usize,
    /// Counts for a centimetre, once known.
    pub counts_per_cm: Option<f64>,
    /// Clicks.
    pub clicks: usize,
    /// What was wanted has been seen.
    pub enough: bool,
}

/// Shared between the thread that listens and the screen.
#[derive(Debug, Clone, Default)]
pub struct Progress(Arc<Mutex<(SoFar, Option<f64>)>>);

impl Progress {
    fn with<R>(&self, read: impl FnOnce(&mut (SoFar, Option<f64>)) -> R) -> R {
        // Two plain values: a lock poisoned half way still holds whole ones.
        read(&mut self.0.lock().unwrap_or_else(PoisonError::into_inner))
    }

    /// What was seen so far.
    pub fn so_far(&self) -> SoFar {
        self.with(|both| both.0)
    }

    /// Says what was seen so far.
    pub fn say(&self, so_far: SoFar) {
        self.with(|both| both.0 = so_far);
    }

    /// The length of a slide, cm, as chosen on the screen.
    pub fn length_cm(&self) -> f64 {
        self.with(|both| both.1).unwrap_or(LENGTHS_CM[1])
    }

    /// Chooses the length of a slide, cm.
    pub fn choose_length_cm(&self, length_cm: f64) {
        self.with(|both| both.1 = Some(length_cm));
    }
}

/// Two are the same when they are shared.
impl PartialEq for Progress {
    fn eq(&self, other: &Progress) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}

/// What one device did.
#[derive(Debug)]
struct Ear {
    info: DeviceInfo,
    /// Over all steps.
    reports: usize,
    presses: usize,
    /// Of the present step.
    motion: Vec<Report>,
    slides: Vec<slide::Step>,
    edges: Vec<Edge>,
}

/// Listens to all mice of a source.
#[derive(Debug, Default)]
pub struct Listener {
    ears: Vec<Ear>,
    sd_ms: Option<f64>,
    lost: u64,
}

impl Listener {
    /// Forgets the events of the step before; who spoke is kept.
    pub fn begin(&mut self) {
        for ear in &mut self.ears {
            ear.motion.clear();
            ear.slides.clear();
            ear.edges.clear();
        }
    }

    /// A device speaks for the first time.
    pub fn device(&mut self, info: DeviceInfo) {
        self.ears.push(Ear {
            info,
            reports: 0,
            presses: 0,
            motion: Vec::new(),
            slides: Vec::new(),
            edges: Vec::new(),
        });
    }

    /// Something was heard.
    pub fn hear(&mut self, event: InputEvent) {
        if let InputEvent::Gap { lost, .. } = event {
            self.lost += u64::from(lost.max(1));
        }
        let Some(ear) = event.device().and_then(|device| self.ear(device)) else { return };
        match event {
            InputEvent::Motion { dx, dy, stamp, .. } => {
                ear.moved(stamp.t, dx, dy);
                self.sd_ms = Some(stamp.sd.ms());
            }
            InputEvent::Press { button, stamp, .. } => {
                ear.presses += 1;
                ear.edge(Edge { t: stamp.t, button, down: true });
                self.sd_ms = Some(stamp.sd.ms());
            }
            InputEvent::Release { button, stamp, .. } => {
                ear.edge(Edge { t: stamp.t, button, down: false });
            }
            InputEvent::Gap { .. }
            | InputEvent::Stalled { .. }
            | InputEvent::Unplugged { .. }
            | InputEvent::Replugged { .. } => {}
        }
    }

    fn ear(&mut self, device: DeviceId) -> Option<&mut Ear> {
        self.ears.iter_mut().find(|ear| ear.info.id == device)
    }

    /// The device that moved most in this step.
    fn mover(&self) -> Option<&Ear> {
        self.ears.iter().max_by_key(|ear| ear.motion.len())
    }

    /// The doubt that the last stamp stated, ms.
    pub fn stamp_sd_ms(&self) -> Option<f64> {
        self.sd_ms
    }

    /// Events lost because a queue was full.
    pub fn lost(&self) -> u64 {
        self.lost
    }

    /// What each device did. `all`: every device of the source, those that lay still too.
    pub fn mice(&self, all: &[DeviceInfo]) -> Vec<Mouse> {
        let mouse = |info: &DeviceInfo| {
            let ear = self.ears.iter().find(|ear| ear.info.id == info.id);
            Mouse {
                model: info.ident.clone(),
                name: info.name.clone(),
                unit: info.unit.name().to_owned(),
                reports: ear.map_or(0, |ear| ear.reports),
                presses: ear.map_or(0, |ear| ear.presses),
            }
        };
        all.iter().map(mouse).collect()
    }

    /// The reports of this step, judged.
    ///
    /// # Errors
    /// [`TooFew`].
    pub fn report_rate(&self) -> Result<ReportRate, TooFew> {
        report_rate::judge(self.mover().map_or(&[], |ear| &ear.motion))
    }

    /// The slides of this step, judged; blank where the source does not give counts.
    ///
    /// # Errors
    /// [`NoSlide`].
    pub fn counts_per_cm(&self, length_cm: f64) -> Result<CountsPerCm, NoSlide> {
        match self.mover() {
            Some(ear) if ear.info.unit == MotionUnit::Counts => {
                slide::judge(&ear.slides, length_cm)
            }
            Some(_) => Err(NoSlide::NotCounts),
            None => Err(NoSlide::None),
        }
    }

    /// The clicks of this step, judged.
    pub fn clicks(&self) -> Option<Clicks> {
        let clicker = self.ears.iter().max_by_key(|ear| ear.edges.len())?;
        bounce::judge(&clicker.edges)
    }

    /// What the screen may say now.
    pub fn so_far(&self, step: Step, length_cm: f64) -> SoFar {
        match step {
            Step::Eight => {
                let moving_s = self.mover().map_or(0.0, |ear| report_rate::moving(&ear.motion).s());
                let rate = self.report_rate().ok();
                SoFar {
                    moving_s,
                    enough: moving_s >= EIGHT_S && rate.is_some(),
                    rate_hz: rate.map(|rate| rate.rate_hz),
                    ..SoFar::default()
                }
            }
            Step::Slide => {
                let found = self.counts_per_cm(length_cm).ok();
                let slides = found.as_ref().map_or(0, |found| found.slides);
                let counts_per_cm = found.map(|found| found.counts_per_cm);
                SoFar { slides, counts_per_cm, enough: slides >= SLIDES, ..SoFar::default() }
            }
            Step::Click => {
                let clicks = self.clicks().map_or(0, |found| found.clicks);
                SoFar { clicks, enough: clicks >= CLICKS, ..SoFar::default() }
            }
        }
    }
}

impl Ear {
    fn moved(&mut self, t: Nanos, dx: i32, dy: i32) {
        self.reports += 1;
        if self.motion.len() >= MOST {
            return;
        }
        let steps = self.info.steps_per_count;
        self.motion.push(report_rate::report(t, dx, dy, steps));
        let counts = |steps_moved: i32| f64::from(steps_moved) / f64::from(steps.max(1));
        self.slides.push(slide::Step { t, dx: counts(dx), dy: counts(dy) });
    }

    fn edge(&mut self, edge: Edge) {
        if self.edges.len() < MOST {
            self.edges.push(edge);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Button, Span, Stamp, StampSource};

    fn info(id: u16, ident: &str) -> DeviceInfo {
        DeviceInfo {
            id: DeviceId(id),
            name: "Invented".to_owned(),
            unit: MotionUnit::Counts,
            steps_per_count: 1,
            report_interval: None,
            ident: ident.to_owned(),
        }
    }

    fn stamp(ms: f64) -> Stamp {
        let t = Nanos(0) + Span::from_ms_f64(ms);
        Stamp { t, source: StampSource::Evdev, sd: Span(50_000) }
    }

    #[test]
    fn the_mouse_that_moves_is_judged_and_the_other_is_named() {
        let mut listener = Listener::default();
        listener.device(info(0, "a"));
        listener.device(info(1, "b"));
        for n in 0..7000 {
            let (device, stamp) = (DeviceId(0), stamp(f64::from(n)));
            listener.hear(InputEvent::Motion { device, dx: 3, dy: 4, stamp });
        }
        let (device, button) = (DeviceId(1), Button::Left);
        listener.hear(InputEvent::Press { device, button, stamp: stamp(10.0) });
        let so_far = listener.so_far(Step::Eight, 20.0);
        assert!(so_far.enough && (so_far.rate_hz.unwrap() - 1000.0).abs() < 1.0, "{so_far:?}");
        let mice = listener.mice(&[info(0, "a"), info(1, "b"), info(2, "c")]);
        let did: Vec<_> = mice.iter().map(|mouse| (mouse.reports, mouse.presses)).collect();
        assert_eq!(did, [(7000, 0), (0, 1), (0, 0)]);
        assert_eq!(listener.stamp_sd_ms(), Some(0.05));
    }

    #[test]
    fn a_new_step_begins_without_the_last_ones_events() {
        let mut listener = Listener::default();
        listener.device(info(0, "a"));
        let (device, button) = (DeviceId(0), Button::Left);
        for n in 0..12 {
            let at = 300.0 * f64::from(n);
            listener.hear(InputEvent::Press { device, button, stamp: stamp(at) });
            listener.hear(InputEvent::Release { device, button, stamp: stamp(at + 70.0) });
        }
        assert!(listener.so_far(Step::Click, 20.0).enough);
        listener.begin();
        assert_eq!(listener.clicks(), None);
        assert_eq!(listener.mice(&[info(0, "a")])[0].presses, 12);
    }

    #[test]
    fn pixels_are_no_counts() {
        let mut listener = Listener::default();
        listener.device(DeviceInfo { unit: MotionUnit::Pixels, ..info(0, "a") });
        let (device, stamp) = (DeviceId(0), stamp(1.0));
        listener.hear(InputEvent::Motion { device, dx: 900, dy: 0, stamp });
        assert_eq!(listener.counts_per_cm(20.0), Err(NoSlide::NotCounts));
    }

    #[test]
    fn a_chosen_length_reaches_the_listener() {
        let progress = Progress::default();
        assert!((progress.length_cm() - 20.0).abs() < 1e-9);
        let other = progress.clone();
        other.choose_length_cm(10.0);
        assert!((progress.length_cm() - 10.0).abs() < 1e-9);
        assert!(progress == other && progress != Progress::default());
    }
}
