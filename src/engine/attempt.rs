//! One attempt at one trial: from the wait mark to the release of the button.
//!
//! Judges by stamps, never by the order in which things were heard: the display tells of a frame
//! after it was seen, so a press may get here before the onset that it answers. A miss or an empty
//! wait is decided only once every source has passed the limit (`settled`), so that no tick takes
//! a decision that a late press could reverse.

mod hand;

use super::devices::Devices;
use super::event::{Begin, Event};
use super::scenes::Scenes;
use super::taps::Taps;
use super::travel::{FOLLOWED_FOR, Travel, Travelled};
use super::trial::{Flag, Flags, Outcome};
use crate::protocol::{Foreperiod, Part, PlannedTrial, Protocol};
use crate::scene::{Marks, Place, SceneId};
use crate::tasks::View;
use crate::units::{Button, DeviceId, Nanos, Span, Stamp};

/// After the press the attempt stays open this long for the release: longer presses are common
/// enough in slow hands, and a lost release must not hang the session.
const RELEASE_WITHIN: Span = Span::from_ms(600);
/// A second press this soon after a release is chatter of the switch, not a finger (common
/// practice, no source).
const BOUNCE_WITHIN: Span = Span::from_ms(50);
/// A frame not told of within this time, or three refreshes, is unknown.
const FRAME_WITHIN: Span = Span::from_ms(50);

/// What an attempt may look at.
#[derive(Clone, Copy)]
pub(super) struct Setting<'a> {
    pub(super) protocol: &'a Protocol,
    pub(super) begin: &'a Begin,
    pub(super) devices: &'a Devices,
}

/// A press: when, which button, whose.
#[derive(Debug, Clone, Copy)]
pub(super) struct Press {
    pub(super) stamp: Stamp,
    pub(super) button: Button,
    pub(super) device: DeviceId,
}

/// Where an attempt stands.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Phase {
    /// The wait mark was asked for at this moment and has not been seen yet.
    WaitAsked { at: Nanos },
    /// The wait runs.
    Waiting { ends: Nanos },
    /// The wait runs until the partner ends it, or is given up.
    WaitingForCue { given_up: Nanos },
    /// The stimulus was asked for and has not been seen yet.
    Asked { at: Nanos },
    /// The stimulus is there.
    Open { closes: Nanos },
    /// Answered; waits for the release.
    Closing { until: Nanos },
}

/// One attempt in flight.
#[derive(Debug, Clone)]
pub(super) struct Attempt {
    pub(super) plan: PlannedTrial,
    pub(super) foreperiod_ms: f64,
    pub(super) number: u32,
    phase: Phase,
    wait_from: SceneId,
    stimulus_from: Option<SceneId>,
    /// When the stimulus was asked for: from then on the view's turn counts.
    pub(super) asked_at: Option<Nanos>,
    pub(super) flags: Flags,
    pub(super) foreperiod_start: Option<Nanos>,
    pub(super) shown: Option<Stamp>,
    pub(super) press: Option<Press>,
    pub(super) release: Option<Nanos>,
    pub(super) missed_frames: u32,
    pub(super) aim: Place,
    pub(super) aim_at_press: Option<Place>,
    /// The movement under way, in a task that is answered by one.
    travel: Travel,
    /// The movement that answered.
    pub(super) travelled: Option<Travelled>,
    /// Taps of a run that counts them.
    pub(super) taps: Taps,
    turned: Place,
    outcome: Option<Outcome>,
    force_sum: f64,
    force_samples: u32,
    /// The last press whose release has come, to know chatter.
    last_release: Option<Nanos>,
}

impl Attempt {
    /// Starts an attempt at `now` by asking for the wait mark.
    pub(super) fn start(
        plan: PlannedTrial,
        foreperiod_ms: f64,
        number: u32,
        now: Nanos,
        setting: Setting,
        scenes: &mut Scenes,
    ) -> Attempt {
        let mut attempt = Attempt {
            plan,
            foreperiod_ms,
            number,
            phase: Phase::WaitAsked { at: now },
            wait_from: SceneId(0),
            stimulus_from: None,
            asked_at: None,
            flags: Flags::NONE,
            foreperiod_start: None,
            shown: None,
            press: None,
            release: None,
            missed_frames: 0,
            aim: Place::default(),
            aim_at_press: None,
            travel: Travel::default(),
            travelled: None,
            taps: Taps::for_task(setting.protocol.task.task()),
            turned: Place::default(),
            outcome: None,
            force_sum: 0.0,
            force_samples: 0,
            last_release: None,
        };
        let marks = setting.protocol.task.task().wait(&attempt.view(setting, Span::ZERO));
        attempt.wait_from = attempt.show(marks, setting, scenes);
        attempt
    }

    /// Takes one event; `Some` once the attempt is over.
    pub(super) fn step(
        &mut self,
        event: &Event,
        setting: Setting,
        scenes: &mut Scenes,
    ) -> Option<Outcome> {
        match *event {
            Event::Shown { scene, stamp, missed, late, .. } => {
                self.shown(scene, stamp, missed, late, setting, scenes)
            }
            Event::NotShown { scene, .. } => self.not_shown(scene),
            Event::Press { device, button, stamp } => {
                self.pressed(Press { stamp, button, device }, setting, scenes)
            }
            Event::Release { stamp, button, .. } => {
                self.taps.released(stamp.t);
                self.released(stamp.t, button);
                None
            }
            Event::Motion { device, dx, dy, stamp } => {
                let turn = setting.devices.turn(device, dx, dy, setting.begin);
                self.moved(turn, stamp.t, setting, scenes);
                let counts = |steps| setting.devices.counts(device, steps);
                let step = Place { x_px: counts(dx), y_px: counts(dy) };
                self.travels(step, device, stamp, setting, scenes)
            }
            Event::Cue { stamp } => {
                self.cued(stamp.t, setting);
                None
            }
            Event::Force { share, .. } => {
                self.pressed_with(share);
                None
            }
            Event::Tick { now, settled } => self.tick(now, settled, setting, scenes),
            Event::Gap { .. } => {
                self.flags.set(Flag::Overflow);
                None
            }
            Event::ClockFallback { .. } => {
                self.flags.set(Flag::ClockFallback);
                None
            }
            // The engine handles these itself; they reach no attempt.
            Event::Begin(_)
            | Event::Device(_)
            | Event::Key { .. }
            | Event::Focus { .. }
            | Event::Answered { .. }
            | Event::Unplugged { .. }
            | Event::Replugged { .. }
            | Event::DisplayLost { .. }
            | Event::DisplayBack { .. }
            | Event::Looked { .. }
            | Event::Stalled { .. }
            | Event::ClockJump { .. } => None,
        }
    }

    /// When a tick is wanted at the latest.
    pub(super) fn wake_at(&self, setting: Setting) -> Nanos {
        match self.phase {
            Phase::WaitAsked { at } | Phase::Asked { at } => at + frame_limit(setting.begin),
            Phase::Waiting { ends } => ends,
            Phase::WaitingForCue { given_up } => given_up,
            Phase::Open { closes } => closes,
            Phase::Closing { until } => until,
        }
    }

    /// From when on the steps of the mouse belong to this attempt.
    pub(super) fn steps_from(&self) -> Option<Nanos> {
        self.foreperiod_start
    }

    /// Whether the answer has been given (or missed) and only the release is awaited.
    pub(super) fn answered(&self) -> Option<Outcome> {
        self.outcome
    }

    /// Whether steps of the mouse still tell something: to the answer, and where the answer is a
    /// movement a little beyond it.
    pub(super) fn keeps_steps(&self) -> bool {
        self.outcome.is_none() || self.travelled.is_some()
    }

    /// Until when motion belongs to the answer.
    pub(super) fn motion_ends(&self) -> Option<Nanos> {
        let moved = self.travelled.map(|travelled| travelled.stamp.t + FOLLOWED_FOR);
        self.press.map(|press| press.stamp.t).or(moved)
    }

    fn shown(
        &mut self,
        scene: SceneId,
        stamp: Stamp,
        missed: u16,
        late: bool,
        setting: Setting,
        scenes: &mut Scenes,
    ) -> Option<Outcome> {
        if !matches!(self.phase, Phase::WaitAsked { .. } | Phase::Closing { .. }) {
            self.missed_frames = self.missed_frames.saturating_add(u32::from(missed));
        }
        match self.phase {
            Phase::WaitAsked { .. } if scene >= self.wait_from => {
                self.foreperiod_start = Some(stamp.t);
                self.phase = match setting.protocol.foreperiod {
                    Foreperiod::Partner { max_ms, .. } => {
                        Phase::WaitingForCue { given_up: stamp.t + Span::from_ms_f64(max_ms) }
                    }
                    Foreperiod::Exponential { .. }
                    | Foreperiod::Uniform { .. }
                    | Foreperiod::Fixed { .. } => {
                        Phase::Waiting { ends: stamp.t + Span::from_ms_f64(self.foreperiod_ms) }
                    }
                };
                None
            }
            Phase::Asked { .. } if self.stimulus_from.is_some_and(|from| scene >= from) => {
                self.shown = Some(stamp);
                if late {
                    self.flags.set(Flag::LateFrame);
                }
                self.phase = Phase::Open { closes: stamp.t + open_for(setting) };
                self.next_picture(stamp.t, setting, scenes);
                match (self.press, self.travelled) {
                    (Some(press), _) => self.judge(press, stamp, setting, scenes),
                    (None, Some(travelled)) => self.judge_travel(travelled, setting, scenes),
                    (None, None) => None,
                }
            }
            Phase::Open { .. } => {
                self.next_picture(stamp.t, setting, scenes);
                None
            }
            // A frame asked for before the scene that is awaited, or after the answer.
            Phase::WaitAsked { .. }
            | Phase::Asked { .. }
            | Phase::Waiting { .. }
            | Phase::WaitingForCue { .. }
            | Phase::Closing { .. } => None,
        }
    }

    /// Mean force during the wait, share of the comfortable strong grip.
    pub(super) fn force_share(&self) -> Option<f64> {
        (self.force_samples > 0).then(|| self.force_sum / f64::from(self.force_samples))
    }

    fn not_shown(&mut self, scene: SceneId) -> Option<Outcome> {
        match self.phase {
            Phase::WaitAsked { .. } if scene >= self.wait_from => Some(Outcome::Void),
            Phase::Asked { .. } if self.stimulus_from.is_some_and(|from| scene >= from) => {
                Some(Outcome::Void)
            }
            Phase::WaitAsked { .. }
            | Phase::Asked { .. }
            | Phase::Waiting { .. }
            | Phase::WaitingForCue { .. }
            | Phase::Open { .. }
            | Phase::Closing { .. } => None,
        }
    }

    fn began_after(&self, t: Nanos) -> bool {
        self.foreperiod_start.is_none_or(|start| start > t)
    }

    fn tick(
        &mut self,
        now: Nanos,
        settled: Nanos,
        setting: Setting,
        scenes: &mut Scenes,
    ) -> Option<Outcome> {
        match self.phase {
            Phase::WaitAsked { at } | Phase::Asked { at }
                if settled >= at + frame_limit(setting.begin) =>
            {
                Some(Outcome::Void)
            }
            // A catch trial ends when no press can be older than its end any more.
            Phase::Waiting { ends } if self.plan.part == Part::Catch => {
                if settled >= ends {
                    self.close(Outcome::Withheld, ends, scenes)
                } else {
                    None
                }
            }
            Phase::Waiting { ends } if now >= ends => {
                self.phase = Phase::Asked { at: now };
                self.asked_at = Some(now);
                let view = self.view(setting, Span::ZERO);
                let marks = setting.protocol.task.task().target(self.plan.stimulus, &view);
                self.stimulus_from = Some(self.show(marks, setting, scenes));
                None
            }
            // Nobody ended it: nothing was asked of the player, and the trial comes again.
            Phase::WaitingForCue { given_up } if now >= given_up => {
                self.flags.set(Flag::NoCue);
                Some(Outcome::Void)
            }
            Phase::Open { closes } if settled >= closes => {
                let task = setting.protocol.task.task();
                let unanswered = match task.run() {
                    Some(run) if run.taps && !self.taps.are_enough() => Outcome::Miss,
                    Some(_) => Outcome::Hit,
                    None if task.withholds(self.plan.stimulus) => Outcome::Withheld,
                    None => Outcome::Miss,
                };
                self.close(unanswered, closes, scenes)
            }
            Phase::Closing { until } if settled >= until => self.outcome,
            Phase::WaitAsked { .. }
            | Phase::Waiting { .. }
            | Phase::WaitingForCue { .. }
            | Phase::Asked { .. }
            | Phase::Open { .. }
            | Phase::Closing { .. } => None,
        }
    }

    /// The answer is known: clears the field, and waits for the release of a press, if there is one.
    fn close(&mut self, outcome: Outcome, t: Nanos, scenes: &mut Scenes) -> Option<Outcome> {
        self.outcome = Some(outcome);
        scenes.show(Marks::NONE, None);
        if self.press.is_none() || outcome == Outcome::Withheld {
            return Some(outcome);
        }
        let until = match self.release {
            Some(release) => release + BOUNCE_WITHIN,
            None => t + RELEASE_WITHIN,
        };
        self.phase = Phase::Closing { until };
        None
    }

    /// The picture of the next frame, for a task whose picture moves by itself.
    fn next_picture(&mut self, shown: Nanos, setting: Setting, scenes: &mut Scenes) {
        let task = setting.protocol.task.task();
        let (true, Some(onset)) = (task.animated(), self.shown) else { return };
        let since_onset = (shown - onset.t) + setting.begin.canvas.refresh();
        let marks = task.target(self.plan.stimulus, &self.view(setting, since_onset));
        self.show(marks, setting, scenes);
    }

    fn view<'a>(&self, setting: Setting<'a>, since_onset: Span) -> View<'a> {
        View {
            canvas: &setting.begin.canvas,
            look: setting.protocol.stimulus,
            since_onset,
            aim: self.aim_at_press.unwrap_or(self.aim),
        }
    }

    fn show(&self, marks: Marks, setting: Setting, scenes: &mut Scenes) -> SceneId {
        let turns = setting.protocol.task.task().turns();
        let view = turns.then_some(Place { x_px: -self.turned.x_px, y_px: -self.turned.y_px });
        scenes.show(marks, view)
    }
}

/// How long the stimulus stays: to the latest answer, or for the whole of a run.
fn open_for(setting: Setting) -> Span {
    let within = Span::from_ms_f64(setting.protocol.respond_within_ms);
    setting.protocol.task.task().run().map_or(within, |run| run.lasts)
}

fn frame_limit(begin: &Begin) -> Span {
    FRAME_WITHIN.max(Span(begin.canvas.refresh().0 * 3))
}
