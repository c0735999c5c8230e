//! What happens next: a pure state machine. Events in, actions and trial records out.
//!
//! It knows no window, no clock and no file: the only time it has is the time inside an event.
//! Feed one event with [`Engine::step`], drain all actions with [`Engine::poll_action`], then wait
//! for the next event, at the latest until [`Engine::wake_at`]. The same events give the same
//! actions, which is what replay rests on.

mod attempt;
mod care;
mod course;
mod devices;
mod event;
mod further;
mod progress;
mod row;
mod scenes;
mod taps;
mod travel;
mod trial;

pub use event::*;
pub use trial::*;

use crate::motion::Step;
use crate::protocol::{Part, Protocol, Schedule};
use crate::scene::Notice;
use crate::tasks::AnsweredBy;
use crate::units::{DeviceId, Nanos, Span};
use attempt::{Attempt, Setting};
use care::CareWatch;
use devices::Devices;
use progress::{Due, Progress};
use scenes::Scenes;
use std::collections::VecDeque;
use std::sync::Arc;
use travel::{RESTLESS_AT_MOST, STILL_FOR};

/// Number of the engine's rule; a recorded session replays under the rule that made it.
pub const ENGINE_RULE: u32 = 1;
/// Number of the rule that works out movement onset; a recorded session replays under the rule
/// that made it. Rule 2 adds the fitted onset and the small shakes; rule 3 the place of the end, the
/// line of the movement, and the power of the small shakes.
pub const MOTION_RULE: u32 = 3;

/// The field stays empty this long between trials.
const BETWEEN: Span = Span::from_ms(500);
/// A word stays on the field this long (well under three changes a second).
const NOTICE_FOR: Span = Span::from_ms(900);
/// After a card or a pause the first wait does not begin at once.
const SETTLE_IN: Span = Span::from_ms(1_200);
/// A button still down holds the next trial back this long at most: a release can be lost.
const HELD_AT_MOST: Span = Span::from_ms(2_000);
/// How often to look whether it has come up.
const HELD_LOOK_EACH: Span = Span::from_ms(20);
/// A source further behind than this stands still.
const STALL: Span = Span::from_ms(250);
/// Steps of the mouse that one attempt can hold: 8 s at 8,000 reports a second.
const MOST_STEPS: usize = 65_536;

/// Where a session is taken up.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Start {
    /// The first block to be run (index).
    pub first_block: usize,
    /// Segments before this one.
    pub segments_before: u32,
    /// Session time of earlier segments.
    pub elapsed_before: Span,
    /// Time under a firm hold in earlier segments.
    pub firm_before: Span,
    /// Stops for discomfort in earlier segments.
    pub discomfort_stops: u32,
    /// Whether the player told an expectation in an earlier segment.
    pub expected: bool,
}

/// What the engine is doing.
#[derive(Debug, Clone)]
#[expect(clippy::large_enum_variant, reason = "one a session; a box would allocate each trial")]
enum Phase {
    /// Nothing has begun.
    Before,
    /// An untimed screen is up.
    Asking { ask: AskFor, since: Nanos },
    /// Between two trials.
    Between { until: Nanos, at_most: Nanos },
    /// A trial runs.
    Trial(Attempt, Due),
    /// A planned look is being taken.
    Looking { block: usize, block_ended: Nanos },
    /// The display went away.
    NoDisplay,
    /// Ended.
    Over,
}

/// The engine of one session.
#[derive(Debug, Clone)]
pub struct Engine {
    protocol: Arc<Protocol>,
    schedule: Arc<Schedule>,
    start: Start,
    segment: u32,
    begin: Option<Begin>,
    devices: Devices,
    phase: Phase,
    progress: Progress,
    care: CareWatch,
    scenes: Scenes,
    steps: Vec<Step>,
    steps_device: Option<DeviceId>,
    held: Vec<(DeviceId, crate::units::Button)>,
    /// When the mouse last moved.
    last_motion: Option<Nanos>,
    stalls: u32,
    /// A discomfort rating or the key has ended the block.
    hurts: bool,
    /// The block whose trials do not count any more and that is run again.
    repeat_block: bool,
    /// How long the rest after the last block is at least.
    rest_floor: Span,
    out: VecDeque<Action>,
}

impl Engine {
    /// An engine for a protocol and its schedule, taken up at `start`.
    pub fn new(protocol: Arc<Protocol>, schedule: Arc<Schedule>, start: Start) -> Engine {
        let care = CareWatch::new(
            protocol.care.clone(),
            start.elapsed_before,
            start.firm_before,
            start.discomfort_stops,
        );
        Engine {
            protocol,
            schedule,
            start,
            segment: start.segments_before,
            begin: None,
            devices: Devices::default(),
            phase: Phase::Before,
            progress: Progress::default(),
            care,
            scenes: Scenes::default(),
            steps: Vec::with_capacity(MOST_STEPS),
            steps_device: None,
            held: Vec::with_capacity(16),
            last_motion: None,
            stalls: 0,
            hurts: false,
            repeat_block: false,
            rest_floor: Span::ZERO,
            out: VecDeque::with_capacity(16),
        }
    }

    /// Takes one event. Drain [`Engine::poll_action`] afterwards.
    pub fn step(&mut self, event: &Event) {
        match event {
            Event::Begin(begin) => self.on_begin(begin),
            Event::Device(device) => self.devices.learn(device),
            Event::Answered { answer, t } => self.on_answer(answer, *t),
            Event::Key { key, t } => self.on_key(*key, *t),
            Event::Focus { focused: false, t } => {
                self.interrupt(*t, Some(Flag::FocusLost), PauseReason::FocusLost, false);
            }
            Event::Unplugged { t, device } => {
                self.held.retain(|(held, _)| held != device);
                self.interrupt(*t, Some(Flag::Unplugged), PauseReason::Unplugged, false);
            }
            Event::DisplayLost { t } => self.on_display_lost(*t),
            Event::DisplayBack { t } => self.on_display_back(*t),
            Event::ClockJump { t, .. } => {
                self.interrupt(*t, Some(Flag::ClockJump), PauseReason::ClockJump, true);
            }
            Event::Stalled { t, .. } => self.on_stall(*t),
            Event::Press { device, button, stamp } => {
                self.held.retain(|held| *held != (*device, *button));
                if self.held.len() < self.held.capacity() {
                    self.held.push((*device, *button));
                }
                self.in_trial(event, stamp.t);
            }
            Event::Release { device, button, stamp } => {
                self.held.retain(|held| *held != (*device, *button));
                self.in_trial(event, stamp.t);
            }
            Event::Motion { device, dx, dy, stamp } => {
                self.last_motion = Some(stamp.t);
                self.keep_step(*device, *dx, *dy, stamp.t);
                self.in_trial(event, stamp.t);
            }
            Event::Shown { stamp, .. } | Event::Cue { stamp } | Event::Force { stamp, .. } => {
                self.in_trial(event, stamp.t);
            }
            Event::NotShown { t, .. } | Event::Gap { t, .. } | Event::ClockFallback { t, .. } => {
                self.in_trial(event, *t);
            }
            Event::Looked { settled, t, .. } => self.on_looked(*settled, *t),
            Event::Tick { now, settled } => self.on_tick(event, *now, *settled),
            // The pause's own screen says when it is there again.
            Event::Focus { focused: true, .. } | Event::Replugged { .. } => {}
        }
        // Last, so that of several pictures in one step only the newest is shown.
        if let Some(scene) = self.scenes.take() {
            self.out.push_back(Action::Show(scene));
        }
    }

    /// The next thing to be done, in order; `None` when there is no more.
    pub fn poll_action(&mut self) -> Option<Action> {
        self.out.pop_front()
    }

    /// When a tick is wanted at the latest; `None` while an untimed screen is up.
    pub fn wake_at(&self) -> Option<Nanos> {
        match &self.phase {
            Phase::Between { until, .. } => Some(*until),
            Phase::Trial(attempt, _) => self.setting().map(|setting| attempt.wake_at(setting)),
            Phase::Before
            | Phase::Asking { .. }
            | Phase::Looking { .. }
            | Phase::NoDisplay
            | Phase::Over => None,
        }
    }

    /// Whether the session has ended.
    pub fn is_over(&self) -> bool {
        matches!(self.phase, Phase::Over)
    }

    fn setting(&self) -> Option<Setting<'_>> {
        let begin = self.begin.as_ref()?;
        Some(Setting { protocol: &self.protocol, begin, devices: &self.devices })
    }

    /// Hands an event to the trial in flight, and settles the trial if that ended it.
    fn in_trial(&mut self, event: &Event, t: Nanos) {
        let (Phase::Trial(attempt, _), Some(begin)) = (&mut self.phase, &self.begin) else {
            return;
        };
        let setting = Setting { protocol: &self.protocol, begin, devices: &self.devices };
        if let Some(outcome) = attempt.step(event, setting, &mut self.scenes) {
            self.finish_trial(outcome, t);
        }
    }

    fn keep_step(&mut self, device: DeviceId, dx: i32, dy: i32, t: Nanos) {
        let Phase::Trial(attempt, _) = &mut self.phase else { return };
        if attempt.steps_from().is_none_or(|from| t < from) || !attempt.keeps_steps() {
            return;
        }
        self.steps_device = Some(device);
        let (dx, dy) = (self.devices.counts(device, dx), self.devices.counts(device, dy));
        // A run is long and is read in bins of 5 ms: reports of one millisecond are summed.
        let runs = self.protocol.task.task().run().is_some();
        if let Some(last) = self.steps.last_mut().filter(|last| runs && same_ms(last.t, t)) {
            last.dx += dx;
            last.dy += dy;
        } else if self.steps.len() == MOST_STEPS {
            attempt.flags.set(Flag::Overflow);
        } else {
            self.steps.push(Step { t, dx, dy });
        }
    }

    fn on_tick(&mut self, event: &Event, now: Nanos, settled: Nanos) {
        match self.phase {
            Phase::Between { until, at_most } if now >= until => {
                let ready = self.held.is_empty() && self.is_still(now);
                if ready || now >= at_most {
                    self.start_trial(now);
                } else {
                    self.phase = Phase::Between { until: now + HELD_LOOK_EACH, at_most };
                }
            }
            Phase::Trial(..) if now - settled > STALL => self.on_stall(now),
            Phase::Trial(..) => self.in_trial(event, now),
            Phase::Before
            | Phase::Asking { .. }
            | Phase::Looking { .. }
            | Phase::Between { .. }
            | Phase::NoDisplay
            | Phase::Over => {}
        }
    }

    fn start_trial(&mut self, now: Nanos) {
        let index = self.progress.index;
        let tension = self.tension(index);
        let block_is_up = self
            .progress
            .started
            .is_some_and(|started| self.care.block_is_up(tension, started, now));
        if self.care.time_is_up(now) {
            self.leave_block(now);
            self.end(Ending::TimeUp);
            return;
        }
        if block_is_up {
            self.progress.drop_rest();
        }
        let Some(due) = self.progress.take_next() else {
            self.finish_block(now);
            return;
        };
        self.progress.started.get_or_insert(now);
        self.steps.clear();
        self.steps_device = None;
        let Some(begin) = &self.begin else { return };
        let setting = Setting { protocol: &self.protocol, begin, devices: &self.devices };
        let attempt = Attempt::start(
            due.plan,
            due.foreperiod_ms,
            due.attempt,
            now,
            setting,
            &mut self.scenes,
        );
        self.phase = Phase::Trial(attempt, due);
    }

    /// Writes the trial down and goes on to the gap after it.
    fn finish_trial(&mut self, outcome: Outcome, t: Nanos) {
        let Phase::Trial(attempt, due) = std::mem::replace(&mut self.phase, Phase::Before) else {
            return;
        };
        let (outcome, again) = self.write_down(&attempt, due, outcome);
        let notice = match outcome {
            Outcome::Anticipation | Outcome::FalseAlarm => Some(Notice::Early),
            Outcome::Wrong => Some(Notice::Wrong),
            Outcome::Miss => Some(Notice::Missed),
            Outcome::Withheld if due.plan.part == Part::Catch => Some(Notice::EmptyWaitPassed),
            Outcome::Withheld => Some(Notice::RightlyLeft),
            Outcome::Void if again => Some(Notice::Again),
            Outcome::Hit | Outcome::Void | Outcome::Interrupted | Outcome::Abandoned => None,
        };
        self.scenes.field(notice);
        let gap = if notice.is_some() { NOTICE_FOR } else { BETWEEN };
        self.go_between(t, gap);
    }

    /// Records an attempt; says what it came to and whether the trial comes again.
    fn write_down(&mut self, attempt: &Attempt, due: Due, outcome: Outcome) -> (Outcome, bool) {
        let record = self.row(attempt, outcome);
        let outcome = record.outcome;
        let again = self.progress.settle(due, outcome, record.flags);
        self.progress.previous_foreperiod_ms = Some(attempt.foreperiod_ms);
        self.progress.after_rest = false;
        self.out.push_back(Action::Trial(Box::new(record)));
        (outcome, again)
    }

    fn go_between(&mut self, t: Nanos, gap: Span) {
        let at_most = match self.protocol.task.task().answered_by() {
            AnsweredBy::Move => RESTLESS_AT_MOST,
            AnsweredBy::Button | AnsweredBy::MoveAndButton | AnsweredBy::Run => HELD_AT_MOST,
        };
        self.phase = Phase::Between { until: t + gap, at_most: t + gap + at_most };
    }

    /// Whether the hand keeps still, where a movement would be taken for an answer.
    fn is_still(&self, now: Nanos) -> bool {
        let moves = self.protocol.task.task().answered_by() == AnsweredBy::Move;
        !moves || self.last_motion.is_none_or(|t| now - t >= STILL_FOR)
    }

    fn tension(&self, block: usize) -> crate::protocol::Tension {
        self.protocol.conditions[self.schedule.blocks[block].condition].tension
    }
}

fn same_ms(a: Nanos, b: Nanos) -> bool {
    const MS: i64 = 1_000_000;
    a.0.div_euclid(MS) == b.0.div_euclid(MS)
}

#[cfg(test)]
mod tests;
