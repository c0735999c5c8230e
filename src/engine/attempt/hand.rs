//! What the hands did in an attempt: the partner's cue, the force of the hold, presses, releases and
//! movements, and whether an answer is right and in time.

use super::super::scenes::Scenes;
use super::super::travel::{FOLLOWED_FOR, Travelled};
use super::super::trial::{Flag, Outcome};
use super::{Attempt, BOUNCE_WITHIN, Phase, Press, Setting};
use crate::protocol::{Foreperiod, Part};
use crate::scene::{Marks, Place};
use crate::tasks::{AnsweredBy, Given, Judged};
use crate::units::{Button, DeviceId, Nanos, Span, Stamp};

impl Attempt {
    /// How firm the hold was is kept for the wait alone: the press itself is a squeeze.
    pub(super) fn pressed_with(&mut self, share: f64) {
        if matches!(self.phase, Phase::Waiting { .. } | Phase::WaitingForCue { .. }) {
            self.force_sum += share;
            self.force_samples += 1;
        }
    }

    /// The partner's cue: the wait is as long as it was made, and never shorter than the shortest.
    pub(super) fn cued(&mut self, t: Nanos, setting: Setting) {
        let (Phase::WaitingForCue { given_up }, Some(start)) = (self.phase, self.foreperiod_start)
        else {
            return;
        };
        let Foreperiod::Partner { min_ms, .. } = setting.protocol.foreperiod else { return };
        if t < start || t >= given_up {
            return;
        }
        let ends = t.max(start + Span::from_ms_f64(min_ms));
        self.foreperiod_ms = ((ends - start).ms() * 10.0).round() / 10.0;
        self.phase = Phase::Waiting { ends };
    }

    pub(super) fn pressed(
        &mut self,
        press: Press,
        setting: Setting,
        scenes: &mut Scenes,
    ) -> Option<Outcome> {
        match setting.protocol.task.task().answered_by() {
            AnsweredBy::Button | AnsweredBy::MoveAndButton => {}
            AnsweredBy::Move => return None,
            AnsweredBy::Run => {
                if matches!(self.phase, Phase::Asked { .. } | Phase::Open { .. })
                    && self.taps.pressed(press)
                {
                    self.flags.set(Flag::Bounce);
                }
                return None;
            }
        }
        let chatter = self
            .last_release
            .is_some_and(|t| press.stamp.t >= t && press.stamp.t - t < BOUNCE_WITHIN);
        if chatter {
            self.flags.set(Flag::Bounce);
            return None;
        }
        match self.phase {
            // Before the wait was seen to begin: belongs to the gap between trials.
            Phase::WaitAsked { .. } => None,
            Phase::Waiting { .. } | Phase::WaitingForCue { .. }
                if self.began_after(press.stamp.t) =>
            {
                None
            }
            Phase::Waiting { .. } | Phase::WaitingForCue { .. } => {
                self.take(press);
                let outcome = match self.plan.part {
                    Part::Catch => Outcome::FalseAlarm,
                    Part::Feel | Part::WarmUp | Part::Main => Outcome::Anticipation,
                };
                self.close(outcome, press.stamp.t, scenes)
            }
            Phase::Asked { .. } if self.press.is_none() => {
                self.take(press);
                None
            }
            Phase::Open { .. } => {
                let onset = self.shown.expect("an open stimulus was seen");
                self.take(press);
                self.judge(press, onset, setting, scenes)
            }
            // One press answers one trial.
            Phase::Asked { .. } | Phase::Closing { .. } => None,
        }
    }

    fn take(&mut self, press: Press) {
        self.press = Some(press);
        self.aim_at_press = Some(self.aim);
    }

    pub(super) fn released(&mut self, t: Nanos, button: Button) {
        let Some(press) = self.press else { return };
        if press.button == button && self.release.is_none() && t >= press.stamp.t {
            self.release = Some(t);
            self.last_release = Some(t);
            if let Phase::Closing { until } = &mut self.phase {
                // Long enough to see chatter, and no longer.
                *until = (*until).min(t + BOUNCE_WITHIN);
            }
        }
    }

    pub(super) fn moved(&mut self, turn: Place, t: Nanos, setting: Setting, scenes: &mut Scenes) {
        if self.began_after(t) || matches!(self.phase, Phase::Closing { .. }) {
            return;
        }
        self.turned.x_px += turn.x_px;
        self.turned.y_px += turn.y_px;
        let since_asked = match self.phase {
            Phase::Asked { at } => t >= at,
            Phase::Open { .. } => true,
            Phase::WaitAsked { .. }
            | Phase::Waiting { .. }
            | Phase::WaitingForCue { .. }
            | Phase::Closing { .. } => false,
        };
        if since_asked && self.press.is_none() {
            self.aim.x_px += turn.x_px;
            self.aim.y_px += turn.y_px;
        }
        if setting.protocol.task.task().turns() {
            let since_onset = self.shown.map_or(Span::ZERO, |onset| t - onset.t);
            let view = self.view(setting, since_onset);
            let task = setting.protocol.task.task();
            let marks = match self.stimulus_from {
                Some(_) => task.target(self.plan.stimulus, &view),
                None => task.wait(&view),
            };
            self.show(marks, setting, scenes);
        }
    }

    /// Takes one step of a movement that may be the answer.
    pub(super) fn travels(
        &mut self,
        step: Place,
        device: DeviceId,
        stamp: Stamp,
        setting: Setting,
        scenes: &mut Scenes,
    ) -> Option<Outcome> {
        let task = setting.protocol.task.task();
        if task.answered_by() != AnsweredBy::Move || self.began_after(stamp.t) {
            return None;
        }
        let way = self.travel.take(step, stamp.t, task.travel_counts())?;
        if self.travelled.is_some() {
            return None;
        }
        let travelled = Travelled { stamp, device, way };
        match self.phase {
            Phase::Waiting { .. } | Phase::WaitingForCue { .. } => {
                self.travelled = Some(travelled);
                Some(match self.plan.part {
                    Part::Catch => Outcome::FalseAlarm,
                    Part::Feel | Part::WarmUp | Part::Main => Outcome::Anticipation,
                })
            }
            Phase::Asked { .. } => {
                self.travelled = Some(travelled);
                None
            }
            Phase::Open { .. } => {
                self.travelled = Some(travelled);
                self.judge_travel(travelled, setting, scenes)
            }
            Phase::WaitAsked { .. } | Phase::Closing { .. } => None,
        }
    }

    /// Right or wrong by its direction; early or late is told by its start (`travel.rs`), once the
    /// movement has been followed a little further.
    pub(super) fn judge_travel(
        &mut self,
        travelled: Travelled,
        setting: Setting,
        scenes: &mut Scenes,
    ) -> Option<Outcome> {
        let view = self.view(setting, Span::ZERO);
        let task = setting.protocol.task.task();
        self.outcome =
            Some(match task.judge(self.plan.stimulus, Given::Moved(travelled.way), &view) {
                Judged::Right => Outcome::Hit,
                Judged::Wrong => Outcome::Wrong,
            });
        scenes.show(Marks::NONE, None);
        self.phase = Phase::Closing { until: travelled.stamp.t + FOLLOWED_FOR };
        None
    }

    pub(super) fn judge(
        &mut self,
        press: Press,
        onset: Stamp,
        setting: Setting,
        scenes: &mut Scenes,
    ) -> Option<Outcome> {
        let rules = &setting.protocol.analysis;
        let rt = press.stamp.t - onset.t;
        let outcome = if rt < Span::from_ms_f64(rules.anticipation_ms) {
            Outcome::Anticipation
        } else if rt > Span::from_ms_f64(setting.protocol.respond_within_ms) {
            Outcome::Miss
        } else {
            let view = self.view(setting, rt);
            let (task, given) = (setting.protocol.task.task(), Given::Button(press.button));
            match task.judge(self.plan.stimulus, given, &view) {
                _ if task.withholds(self.plan.stimulus) => Outcome::FalseAlarm,
                Judged::Right => Outcome::Hit,
                Judged::Wrong => Outcome::Wrong,
            }
        };
        if outcome == Outcome::Hit && rt > Span::from_ms_f64(rules.lapse_ms) {
            self.flags.set(Flag::Lapse);
        }
        self.close(outcome, press.stamp.t, scenes)
    }
}
