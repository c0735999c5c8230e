//! The simulated desk: a screen that refreshes in virtual time, a player who sees what it shows
//! and presses, and answers to every question.
//!
//! Each source is late by its own amount, as real ones are: a frame is told of after it was seen,
//! a press a little after it was made; ticks say how far everything has settled.

use super::player::Player;
use crate::engine::{Answer, AskFor, Begin, Device, ENGINE_RULE, Event, MOTION_RULE};
use crate::protocol::{Foreperiod, Protocol, Rating, Schedule, Tension};
use crate::scene::{Canvas, Mark, Place, Scene, SceneId, Side};
use crate::session::Desk;
use crate::units::{Button, DeviceId, MotionUnit, Nanos, Span, Stamp, StampSource};
use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};
use std::sync::Arc;

/// A frame is told of this long after it was seen.
const FRAME_TOLD_AFTER: Span = Span(1_000_000);
/// A press is told of this long after it was made.
pub(super) const PRESS_TOLD_AFTER: Span = Span(200_000);
/// Even without anything to wait for, a tick comes.
const TICK_EACH: Span = Span::from_ms(20);
/// Ticks are at least this far apart.
const LEAST_TICK: Span = Span::from_ms(1);
/// The simulated mouse.
pub(super) const MOUSE: DeviceId = DeviceId(1);

/// The simulated screen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SimScreen {
    /// Its surface and refresh.
    pub canvas: Canvas,
    /// Share of frames that come one refresh late.
    pub missed_share: f64,
}

impl SimScreen {
    /// 1920 x 1080 px, 3.7 px a mm (a 24-inch display), 240 frames a second, none missed.
    pub const fn usual() -> SimScreen {
        let canvas =
            Canvas { width_px: 1920, height_px: 1080, px_per_mm: Some(3.7), rate_hz: 240.0 };
        SimScreen { canvas, missed_share: 0.0 }
    }
}

/// A desk in virtual time.
#[derive(Debug)]
pub struct SimDesk {
    now: Nanos,
    pub(super) started: Nanos,
    pub(super) protocol: Arc<Protocol>,
    schedule: Arc<Schedule>,
    pub(super) screen: SimScreen,
    pub(super) player: Player,
    pub(super) px_per_count: f64,
    scene: Scene,
    /// `false` while an untimed screen is up: then no frames are told of.
    in_block: bool,
    last_tick: Nanos,
    next_frame: Nanos,
    frames: u64,
    /// What is on its way, by when it is told of.
    coming: BTreeMap<u64, Event>,
    order: BinaryHeap<Reverse<(Nanos, u64)>>,
    sent: u64,
    /// What the player has last noticed on the screen.
    noticed: Noticed,
    /// When the mark of the wait was seen.
    pub(super) waiting_since: Nanos,
    blocks_done: u32,
    /// Of following: counts that have not made a whole one yet.
    pub(super) owed: Place,
}

/// A target as the player sees it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Seen {
    pub(super) at: Place,
    pub(super) notch: Side,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Noticed {
    Nothing,
    Waiting,
    Target,
}

impl SimDesk {
    /// A desk at which `player` runs `schedule`.
    pub fn new(
        protocol: Arc<Protocol>,
        schedule: Arc<Schedule>,
        screen: SimScreen,
        player: Player,
        px_per_count: f64,
        start: Nanos,
    ) -> SimDesk {
        let begin = Begin {
            t: start,
            canvas: screen.canvas,
            px_per_count,
            scanout_ms: None,
            display_lag_ms: None,
            engine_rule: ENGINE_RULE,
            motion_rule: MOTION_RULE,
        };
        let mut desk = SimDesk {
            now: start,
            started: start,
            protocol,
            schedule,
            screen,
            player,
            px_per_count,
            scene: Scene::empty(SceneId(0)),
            in_block: false,
            last_tick: start,
            next_frame: start,
            frames: 0,
            coming: BTreeMap::new(),
            order: BinaryHeap::new(),
            sent: 0,
            noticed: Noticed::Nothing,
            waiting_since: start,
            blocks_done: 0,
            owed: Place::default(),
        };
        let mouse = desk.device();
        desk.send(start, Event::Begin(begin));
        desk.send(start, Event::Device(mouse));
        desk
    }

    /// The simulated mouse, as it introduces itself.
    fn device(&self) -> Device {
        Device {
            id: MOUSE,
            name: "simulated mouse".to_owned(),
            unit: MotionUnit::Counts,
            steps_per_count: 1,
            report_interval: Some(Span::from_ms_f64(self.player.truth.report_ms)),
        }
    }

    pub(super) fn send(&mut self, told: Nanos, event: Event) {
        self.sent += 1;
        self.coming.insert(self.sent, event);
        self.order.push(Reverse((told, self.sent)));
    }

    pub(super) fn stamp(t: Nanos) -> Stamp {
        Stamp { t, source: StampSource::Simulated, sd: Span(50_000) }
    }

    /// The next refresh: shows the scene, tells of it, and lets the player look.
    fn refresh(&mut self) {
        let refresh = self.screen.canvas.refresh();
        let misses = self.player.share() < self.screen.missed_share;
        let seen = if misses { self.next_frame + refresh } else { self.next_frame };
        self.next_frame = seen + refresh;
        self.frames += 1;
        let event = Event::Shown {
            scene: self.scene.id,
            frame: self.frames,
            stamp: Self::stamp(seen),
            missed: u16::from(misses),
            late: misses,
        };
        self.send(seen + FRAME_TOLD_AFTER, event);
        self.look(seen);
    }

    fn look(&mut self, seen: Nanos) {
        let target = self.scene.marks.iter().find_map(|mark| match mark {
            Mark::Target { at, notch, .. } => Some(Seen { at: *at, notch: *notch }),
            Mark::Wait { .. }
            | Mark::Chevron { .. }
            | Mark::Cover { .. }
            | Mark::Strip { .. }
            | Mark::Tile { .. } => None,
        });
        let waiting = self.scene.marks.iter().next().is_some();
        let now_seen = match (target, waiting) {
            (Some(_), _) => Noticed::Target,
            (None, true) => Noticed::Waiting,
            (None, false) => Noticed::Nothing,
        };
        let before = std::mem::replace(&mut self.noticed, now_seen);
        if let Some(target) = target {
            self.follow(seen, target);
        }
        match (before, now_seen, target) {
            (Noticed::Nothing | Noticed::Waiting, Noticed::Target, Some(target)) => {
                self.answer_target(seen, target);
            }
            (Noticed::Nothing | Noticed::Target, Noticed::Waiting, _) => {
                self.waiting_since = seen;
                if let Some(share) = self.player.breaks_the_wait() {
                    let longest_ms = match self.protocol.foreperiod {
                        // The usual wait: nobody waits for the moment of giving up.
                        Foreperiod::Partner { min_ms, mean_ms, .. } => min_ms + mean_ms,
                        law => law.longest_ms(),
                    };
                    self.break_the_wait(seen + Span::from_ms_f64(longest_ms * share));
                }
                self.cue(seen);
            }
            _ => {}
        }
    }

    /// The simulated partner ends the wait after min + Exp(mean), and now and then forgets to.
    fn cue(&mut self, seen: Nanos) {
        let Foreperiod::Partner { min_ms, mean_ms, max_ms } = self.protocol.foreperiod else {
            return;
        };
        let wait_ms = min_ms - mean_ms * libm::log(1.0 - self.player.share());
        if wait_ms < max_ms {
            let stamp = Self::stamp(seen + Span::from_ms_f64(wait_ms));
            self.send(stamp.t + PRESS_TOLD_AFTER, Event::Cue { stamp });
        }
    }

    pub(super) fn press(&mut self, t: Nanos, held_for: Span, button: Button) {
        let (down, up) = (Self::stamp(t), Self::stamp(t + held_for));
        self.send(t + PRESS_TOLD_AFTER, Event::Press { device: MOUSE, button, stamp: down });
        self.send(up.t + PRESS_TOLD_AFTER, Event::Release { device: MOUSE, button, stamp: up });
    }

    fn answer_to(&mut self, ask: &AskFor) -> (Span, Answer) {
        match ask {
            AskFor::Expectation => (Span::from_s(5), Answer::Expected { faster: None, sure: 0 }),
            AskFor::Card { block } => {
                self.player.take_hold(self.schedule.blocks[*block].condition);
                (Span::from_s(6), Answer::GoOn)
            }
            AskFor::Ratings { items, block } => {
                self.blocks_done += 1;
                let condition = self.schedule.blocks[*block].condition;
                let tension = self.protocol.conditions[condition].tension;
                let rated = items.iter().map(|item| (*item, self.rating(*item, tension))).collect();
                (Span::from_s(4), Answer::Rated(rated))
            }
            AskFor::Rest { until, .. } => {
                (Span::from_s(1).max(*until - self.now + Span::from_ms(500)), Answer::GoOn)
            }
            AskFor::Pause { .. } => (Span::from_s(3), Answer::GoOn),
        }
    }

    fn rating(&mut self, item: Rating, tension: Tension) -> u8 {
        let fatigue = u8::try_from(self.blocks_done / 6).unwrap_or(5).min(5);
        match item {
            Rating::Tension => match tension {
                Tension::Light => 1,
                Tension::Shaped | Tension::Other => 2,
                Tension::Firm => 4,
            },
            Rating::Discomfort => 0,
            Rating::Fatigue => fatigue,
            Rating::Expectation => 5,
        }
    }
}

impl Desk for SimDesk {
    fn now(&self) -> Nanos {
        self.now
    }

    fn show(&mut self, scene: Scene) {
        if !self.in_block {
            self.in_block = true;
            self.noticed = Noticed::Nothing;
            // The screen has gone on refreshing while it was lent.
            let refresh = self.screen.canvas.refresh().0;
            let behind = (self.now - self.next_frame).0.max(0);
            self.next_frame += Span((behind / refresh + 1) * refresh);
        }
        self.scene = scene;
    }

    fn ask(&mut self, ask: &AskFor) {
        self.in_block = false;
        let (after, answer) = self.answer_to(ask);
        let t = self.now + after;
        self.send(t, Event::Answered { answer, t });
    }

    fn next(&mut self, until: Option<Nanos>) -> Event {
        let limit = until.unwrap_or(self.now + TICK_EACH).max(self.last_tick + LEAST_TICK);
        loop {
            let told = self.order.peek().map(|Reverse((told, _))| *told);
            let frame = self.in_block.then_some(self.next_frame);
            if let Some(frame) = frame.filter(|f| *f <= limit && told.is_none_or(|t| *f <= t)) {
                self.now = self.now.max(frame);
                self.refresh();
                continue;
            }
            if told.is_some_and(|told| told <= limit) {
                let Some(Reverse((told, number))) = self.order.pop() else { continue };
                self.now = self.now.max(told);
                if let Some(event) = self.coming.remove(&number) {
                    return event;
                }
                continue;
            }
            // Nothing is due: time goes by. While a question is open, go straight to its answer.
            self.now = match (until, told) {
                (None, Some(told)) if !self.in_block => told,
                _ => limit,
            };
            self.last_tick = self.now;
            return Event::Tick { now: self.now, settled: self.now - FRAME_TOLD_AFTER };
        }
    }
}
