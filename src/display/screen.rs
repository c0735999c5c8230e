//! The screen during blocks: one frame in flight, each frame's fate told.
//!
//! The stimulus thread drives it: [`Screen::poll`] until it returns `None`, then wait until
//! [`Screen::wake_at`] or the bell. It never decides what is shown and never waits itself, except
//! where a driver holds the acquire (up to 1 s, then told as a loss). Invariant: no frame is
//! started before the last one's fate is known, and a fate is known within three refreshes or
//! 50 ms.

use std::collections::VecDeque;
use std::sync::Arc;

use super::clocks::{Armed, Fate, Nature, PresentationClock};
use super::extent::{self, Extent};
use super::hand_over::{NoPicture, hand_over};
use super::pacing::{Lateness, Pacing};
use super::refusal::Refusal;
use super::renderer::Patch;
use super::report::{DisplayReport, RefusedClock, TookOver};
use super::scanout::Scan;
use super::seen::{ScreenWish, Seen};
use super::start::{self, Started};
use super::trial::{NAP, void_after};
use super::vsync::VsyncState;
use super::watch::{Told, Trust, Watch};
use super::{DisplayError, PresentMode, Renderer, Stage};
use crate::clock::{self, Bell};
use crate::scene::{Scene, SceneId};
use crate::units::{Nanos, Span};

/// A lost surface is tried again after this.
const TRY_AGAIN: Span = Span(100_000_000);
/// Most news at once: a frame's fate, a fallback, a loss and a return, with room.
const MOST_NEWS: usize = 16;

struct Flight {
    frame: u64,
    scene: SceneId,
    armed: Nanos,
    presented: Nanos,
    suboptimal: bool,
    /// Where its picture differs from the one before.
    news: Option<Extent>,
}

/// The screen of a session.
pub struct Screen {
    stage: Option<Stage>,
    renderer: Renderer,
    ladder: Vec<Box<dyn PresentationClock>>,
    pacing: Pacing,
    refresh: Span,
    report: DisplayReport,
    mode: PresentMode,
    scan: Scan,
    scene: Scene,
    /// What the last frame held.
    pictured: Scene,
    frame: u64,
    flight: Option<Flight>,
    watch: Watch,
    lost: bool,
    try_again: Nanos,
    polled: Nanos,
    news: VecDeque<Seen>,
}

impl Screen {
    /// Takes the stage, runs the trial of the clocks (a few seconds) and is ready to show. On the
    /// thread that will drive it, whose bell it is.
    ///
    /// # Errors
    /// [`DisplayError::NoPicture`] when the window takes none; [`DisplayError::NoFont`].
    pub fn start(mut stage: Stage, bell: &Bell, wish: &ScreenWish) -> Result<Screen, DisplayError> {
        let mut renderer = Renderer::new(&stage.gpu, stage.size())?;
        let Started { ladder, pacing, refresh, scan, report } =
            start::start(&mut stage, &mut renderer, bell, wish)?;
        let locked = report.vsync.state == VsyncState::Locked;
        let watch = Watch::new(refresh, locked && by_refresh(ladder[0].nature()));
        let mut screen = Screen {
            mode: report.present_mode_asked,
            stage: Some(stage),
            renderer,
            ladder,
            pacing,
            refresh,
            report,
            scan,
            scene: Scene::empty(SceneId(0)),
            pictured: Scene::empty(SceneId(0)),
            frame: 0,
            flight: None,
            watch,
            lost: false,
            try_again: Nanos(i64::MIN),
            polled: clock::now(),
            news: VecDeque::with_capacity(MOST_NEWS),
        };
        screen.begin_anew();
        Ok(screen)
    }

    /// What is known of the display; the clocks refused and those that took over grow when one
    /// falls silent or contradicts itself.
    pub fn report(&self) -> &DisplayReport {
        &self.report
    }

    /// Frames handed over so far; each call of [`Screen::poll`] adds one at most.
    pub fn frames(&self) -> u64 {
        self.frame
    }

    /// One frame to the next.
    pub fn interval(&self) -> Span {
        self.pacing.interval()
    }

    /// Shows `scene` from the next frame on, again and again.
    pub fn set_scene(&mut self, scene: Scene) {
        self.scene = scene;
    }

    /// Hears the clock and, when the last frame's fate is known and it is time, draws and presents
    /// the next. Returns news one at a time; call until `None`.
    pub fn poll(&mut self, now: Nanos) -> Option<Seen> {
        if self.news.is_empty() && self.stage.is_some() {
            self.hear(now);
            if self.flight.is_none() && now >= self.next_frame(now) {
                self.draw();
            }
            self.polled = now;
        }
        self.news.pop_front()
    }

    /// When it wants to be polled next; a bell may come before.
    pub fn wake_at(&self) -> Nanos {
        let now = self.polled;
        match &self.flight {
            _ if !self.news.is_empty() => now,
            // Nothing to do until the stage is back.
            _ if self.stage.is_none() => now + TRY_AGAIN,
            Some(flight) if self.ladder[0].rings() => flight.presented + self.void_after(),
            Some(_) => now + NAP,
            None => self.next_frame(now),
        }
    }

    /// Nothing older than this will be told any more.
    pub fn settled(&self) -> Nanos {
        let news = self.news.iter().map(Seen::t).min();
        let flight = self.flight.as_ref().map(|flight| flight.armed);
        [news, flight].into_iter().flatten().fold(self.polled, Nanos::min)
    }

    /// Lends the stage to the untimed screens. A frame in flight is told as not shown.
    pub fn lend(&mut self) -> Option<Stage> {
        let stage = self.stage.take()?;
        self.drop_flight(clock::now());
        start::settle(&stage, void_after(self.refresh));
        Some(stage)
    }

    /// Takes the stage back after it was lent.
    ///
    /// # Errors
    /// [`DisplayError::NoFont`] when the words have to be drawn anew for another size.
    pub fn take_back(&mut self, stage: Stage) -> Result<(), DisplayError> {
        self.stage = Some(stage);
        self.configure()
    }

    /// Ends the session's screen.
    pub fn finish(mut self) -> Option<Stage> {
        self.lend()
    }

    /// No frame's fate is waited for longer; a screen that is slower than its refresh gets its own
    /// pace.
    fn void_after(&self) -> Span {
        void_after(self.refresh.max(self.pacing.interval()))
    }

    fn next_frame(&self, now: Nanos) -> Nanos {
        if self.lost { self.try_again } else { self.pacing.next(now) }
    }

    /// The fate of the frame in flight, by its clock or by the rule of silence.
    fn hear(&mut self, now: Nanos) {
        let (Some(stage), Some(flight)) = (&self.stage, &self.flight) else { return };
        if let Some(fate) = self.ladder[0].stamps(&stage.gpu, now)
            && fate.frame == flight.frame
        {
            self.fate(fate, now);
        } else if now - flight.presented > self.void_after() {
            // A hidden window is no fault of the clock.
            if !stage.window.viewable() {
                self.drop_flight(now);
                self.lose(now);
                return;
            }
            self.drop_flight(now);
            self.pacing.forget();
            if let Some(why) = self.watch.unanswered() {
                self.fall_back(why, now);
            }
        }
    }

    /// What the clock said of the frame in flight, if that can be true.
    fn fate(&mut self, fate: Fate, now: Nanos) {
        let Some(Flight { scene, frame, armed, suboptimal, news, .. }) = self.flight.take() else {
            return;
        };
        let extras = self.ladder[0].extras();
        let mut why_lost = None;
        let believed = fate.stamp.filter(|stamp| {
            // Read later than `now`, so that a stamp made meanwhile is not ahead of its time.
            let now = clock::now();
            let told = Told { submit: armed, stamp: stamp.t, sd: stamp.sd, now, extras };
            match self.watch.told(&told) {
                Trust::Believed => true,
                Trust::Doubted => false,
                Trust::Lost { why, stamp_stands } => {
                    why_lost = Some(why);
                    stamp_stands
                }
            }
        });
        match believed {
            Some(stamp) => {
                let Lateness { missed, late } = self.pacing.seen(stamp.t);
                let stamp = self.scan.lit(stamp, news);
                self.news.push_back(Seen::Shown { scene, frame, stamp, missed, late });
            }
            None => {
                if fate.stamp.is_none() {
                    self.watch.not_shown();
                }
                self.news.push_back(Seen::NotShown { scene, frame, t: now });
            }
        }
        if let Some(why) = why_lost {
            self.fall_back(why, now);
        }
        if suboptimal {
            self.resized(now);
        }
    }

    fn drop_flight(&mut self, now: Nanos) {
        if let Some(flight) = self.flight.take() {
            let Flight { scene, frame, .. } = flight;
            self.news.push_back(Seen::NotShown { scene, frame, t: now });
        }
    }

    /// The clock is believed no more: the next takes over. The last, the estimate, stays.
    fn fall_back(&mut self, why: Refusal, t: Nanos) {
        if self.ladder.len() < 2 {
            return;
        }
        let before = self.ladder.remove(0);
        let next = &mut self.ladder[0];
        next.forget();
        let (source, sd_ms) = (next.source(), next.sd().ms());
        self.report.clock.refused.push(RefusedClock { source: before.source(), why });
        self.report.clock.took_over.push(TookOver { source, sd_ms, clock_ns: t });
        // Only stamps of the refresh itself say when a frame has to start.
        self.pacing = Pacing::beat(self.pacing.interval());
        let locked = self.report.vsync.state == VsyncState::Locked;
        self.watch = Watch::new(self.refresh, locked && by_refresh(self.ladder[0].nature()));
        self.news.push_back(Seen::Fallback { source, t });
    }

    fn draw(&mut self) {
        let Some(stage) = &self.stage else { return };
        if self.lost && !stage.window.viewable() {
            self.try_again = clock::now() + TRY_AGAIN;
            return;
        }
        let frame = self.frame + 1;
        let clock = &mut self.ladder[0];
        let mut armed_at = Nanos::default();
        let outcome =
            hand_over(stage, &mut self.renderer, &self.scene, Patch::None, |submission, t| {
                armed_at = t;
                clock.armed(&Armed { frame, t, submission });
            });
        match outcome {
            Ok(handed) => {
                clock.presented(handed.presented);
                if std::mem::take(&mut self.lost) {
                    self.pacing.forget();
                    self.news.push_back(Seen::Back { t: handed.presented });
                }
                self.pacing.started(handed.started);
                let news = extent::of_news(&self.pictured, &self.scene, stage.size());
                self.pictured = self.scene;
                self.frame = frame;
                self.flight = Some(Flight {
                    frame,
                    scene: self.scene.id,
                    armed: armed_at,
                    presented: handed.presented,
                    suboptimal: handed.suboptimal,
                    news,
                });
            }
            Err(NoPicture::Outdated) => self.resized(clock::now()),
            Err(NoPicture::Timeout | NoPicture::Occluded) => self.lose(clock::now()),
            Err(NoPicture::Lost) => {
                self.lose(clock::now());
                self.reopen();
            }
        }
    }

    /// The surface wants to be configured anew. Another size is a loss: what was planned for the
    /// old one does not fit.
    fn resized(&mut self, now: Nanos) {
        let Some(stage) = &self.stage else { return };
        if stage.window.size.read() != stage.size() {
            self.lose(now);
        }
        self.anew();
    }

    fn lose(&mut self, now: Nanos) {
        if !std::mem::replace(&mut self.lost, true) {
            self.news.push_back(Seen::Lost { t: now });
        }
        self.try_again = now + TRY_AGAIN;
    }

    /// After a loss: a new device where it went, a new configuration in any case.
    fn reopen(&mut self) {
        let Some(stage) = &mut self.stage else { return };
        // The library tells of a lost device only inside a poll, whose own result adds nothing.
        drop(stage.gpu.device.poll(wgpu::PollType::Poll));
        if stage.gpu.faults.lost() {
            // While the driver does not answer the loss stands and is tried again.
            let Ok(gpu) = stage.gpu.reopened() else { return };
            let Ok(renderer) = Renderer::new(&gpu, stage.size()) else { return };
            stage.gpu = Arc::new(gpu);
            self.renderer = renderer;
        }
        self.anew();
    }

    fn anew(&mut self) {
        if self.configure().is_err() {
            // The words could not be drawn for the new size: nothing can be shown, so the loss
            // stands.
            self.lose(clock::now());
        }
    }

    fn configure(&mut self) -> Result<(), DisplayError> {
        let Some(stage) = &mut self.stage else { return Ok(()) };
        let size = stage.window.size.read();
        stage.configure(size, self.mode);
        if self.renderer.size() != stage.size() {
            self.renderer = Renderer::new(&stage.gpu, stage.size())?;
        }
        self.begin_anew();
        Ok(())
    }

    fn begin_anew(&mut self) {
        self.ladder.iter_mut().for_each(|clock| clock.forget());
        self.pacing.forget();
        self.watch.forget();
    }
}

/// Whether a believed clock's stamps are whole refreshes apart.
fn by_refresh(nature: Nature) -> bool {
    matches!(nature, Nature::Lattice | Nature::Waking)
}
