//! How the simulated player answers what it sees: by a button, by moving, by both, or not at all.
//!
//! It sees the target's place and notch, as a person does; which stimulus the engine meant it is
//! not told.

use super::desk::{MOUSE, PRESS_TOLD_AFTER, Seen, SimDesk};
use super::hand;
use super::player::Reaction;
use crate::engine::Event;
use crate::scene::Place;
use crate::tasks::{AnsweredBy, Map, TaskKind};
use crate::units::{Button, Nanos, Span};

/// How far the hand goes where only the start of its movement is asked for, counts.
const STROKE_COUNTS: f64 = 400.0;

impl SimDesk {
    /// Answers a target that has just appeared.
    pub(super) fn answer_target(&mut self, seen: Nanos, target: Seen) {
        let minutes = (seen - self.started).s() / 60.0;
        let waited_ms = (seen - self.waiting_since).ms();
        let reaction = self.player.react(minutes, waited_ms);
        let centre = self.screen.canvas.centre();
        let away = Place { x_px: target.at.x_px - centre.x_px, y_px: target.at.y_px - centre.y_px };
        let begins = seen + reaction.rt;
        match self.protocol.task.task().answered_by() {
            AnsweredBy::Button => {
                if let Some(button) = self.button_for(target, away, reaction.wrong) {
                    self.press(begins, reaction.press_for, button);
                }
            }
            AnsweredBy::MoveAndButton => self.move_and_press(begins, away, reaction),
            AnsweredBy::Move => {
                let lasting = self.movement_lasts();
                let stroke = self.stroke(away, reaction.wrong);
                self.travel(begins, lasting, stroke);
            }
            AnsweredBy::Run => self.run(seen, reaction),
        }
    }

    /// Breaks the wait at `t`, as the task would be answered.
    pub(super) fn break_the_wait(&mut self, t: Nanos) {
        match self.protocol.task.task().answered_by() {
            AnsweredBy::Button | AnsweredBy::MoveAndButton => {
                self.press(t, Span::from_ms(80), Button::Left);
            }
            AnsweredBy::Move => {
                let stroke = Place { x_px: STROKE_COUNTS, y_px: 0.0 };
                self.travel(t, Span::from_ms(200), stroke);
            }
            AnsweredBy::Run => {}
        }
    }

    /// Plays a trial of a set time from its onset on; what follows a moving target is played frame
    /// by frame.
    fn run(&mut self, seen: Nanos, reaction: Reaction) {
        let Some(run) = self.protocol.task.task().run() else { return };
        let ends = seen + run.lasts;
        if run.taps {
            let mut t = seen + reaction.rt;
            while t < ends {
                let from_tap_to_tap = self.player.tap_interval((t - seen).s());
                self.press(t, Span(from_tap_to_tap.0 / 2), Button::Left);
                t += from_tap_to_tap;
            }
        }
        if run.still {
            // A tremor of 9 Hz, and the hold's own share of it.
            let size = self.player.shake_counts();
            let mut sent = 0;
            for ms in 1..run.lasts.0 / 1_000_000 {
                let t = seen + Span::from_ms(ms);
                let at = whole(size * libm::sin(std::f64::consts::TAU * 9.0 * (t - seen).s()));
                if at != sent {
                    self.step(t, at - sent, 0);
                    sent = at;
                }
            }
        }
    }

    /// Follows a moving target: each frame, a share of what is seen to be left, a little later.
    pub(super) fn follow(&mut self, seen: Nanos, target: Seen) {
        /// Share of the distance that is made good a second.
        const HASTE: f64 = 4.0;
        const LATER: Span = Span::from_ms(120);
        if !self.protocol.task.task().run().is_some_and(|run| run.tracks) {
            return;
        }
        let centre = self.screen.canvas.centre();
        let frame_s = self.screen.canvas.refresh().s();
        let share = HASTE * self.player.haste() * frame_s / self.px_per_count;
        self.owed.x_px += (target.at.x_px - centre.x_px) * share;
        self.owed.y_px += (target.at.y_px - centre.y_px) * share;
        let (dx, dy) = (whole(self.owed.x_px), whole(self.owed.y_px));
        if (dx, dy) != (0, 0) {
            self.owed.x_px -= f64::from(dx);
            self.owed.y_px -= f64::from(dy);
            self.step(seen + LATER, dx, dy);
        }
    }

    fn step(&mut self, t: Nanos, dx: i32, dy: i32) {
        let event = Event::Motion { device: MOUSE, dx, dy, stamp: Self::stamp(t) };
        self.send(t + PRESS_TOLD_AFTER, event);
    }

    fn move_and_press(&mut self, begins: Nanos, away: Place, reaction: Reaction) {
        let lasting = self.movement_lasts();
        let short = if reaction.wrong { 0.5 } else { 1.0 } / self.px_per_count;
        let way = Place { x_px: away.x_px * short, y_px: away.y_px * short };
        self.travel(begins, lasting, way);
        self.press(begins + lasting + Span::from_ms(30), reaction.press_for, Button::Left);
    }

    fn movement_lasts(&mut self) -> Span {
        let spread = 0.8 + 0.4 * self.player.share();
        Span::from_ms_f64(self.player.truth.movement_ms * spread)
    }

    /// The button for a target; none where it is rightly left alone.
    fn button_for(&self, target: Seen, away: Place, wrong: bool) -> Option<Button> {
        match self.protocol.task {
            TaskKind::Choice(choice) => {
                if away.y_px < -1.0 {
                    return Some(if wrong { Button::Left } else { Button::Middle });
                }
                let left = (away.x_px < 0.0) ^ (choice.map == Map::Crossed) ^ wrong;
                Some(if left { Button::Left } else { Button::Right })
            }
            TaskKind::GoNoGo(task) => {
                let go = (target.notch == task.go_notch) ^ wrong;
                go.then_some(Button::Left)
            }
            _ => Some(Button::Left),
        }
    }

    /// Where the hand goes when the direction is the answer, counts.
    fn stroke(&self, away: Place, wrong: bool) -> Place {
        let far = libm::hypot(away.x_px, away.y_px);
        let crossed = match self.protocol.task {
            TaskKind::Choice(choice) => (choice.map == Map::Crossed) ^ wrong,
            _ => false,
        };
        if far < 1.0 {
            return Place { x_px: STROKE_COUNTS, y_px: 0.0 };
        }
        let share = STROKE_COUNTS / far * if crossed { -1.0 } else { 1.0 };
        Place { x_px: away.x_px * share, y_px: away.y_px * share }
    }

    /// One smooth movement by `way`, counts.
    pub(super) fn travel(&mut self, from: Nanos, lasting: Span, way: Place) {
        let (dx, dy) = (whole(way.x_px), whole(way.y_px));
        let interval = Span::from_ms_f64(self.player.truth.report_ms.max(0.125));
        for report in hand::reports(from, lasting, interval, dx, dy) {
            self.step(report.t, report.dx, report.dy);
        }
    }
}

#[expect(clippy::cast_possible_truncation, reason = "a few thousand counts at most")]
fn whole(counts: f64) -> i32 {
    counts.round() as i32
}
