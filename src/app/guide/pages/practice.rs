//! A short timed practice of one hold, with its caution: ten seconds, then the hand opens.

use super::super::super::look;
use super::super::super::names;
use super::super::super::page::{panel, side};
use super::super::told;
use super::super::{Guide, hands, widgets};
use super::{Act, framed};
use crate::units::{Nanos, Span};
use crate::words::guide as words;
use egui::{ProgressBar, Ui};
use std::time::Duration;

/// How long a hold is practised; under a firm hold nothing steady may last longer.
const LASTS: Span = Span::from_s(10);

/// What is practised.
#[derive(Debug, Default)]
pub(in super::super) struct Practice {
    /// Index of the hold.
    hold: usize,
    /// Since when, while it runs.
    since: Option<Nanos>,
    /// Whether it ran to its end.
    over: bool,
}

impl Practice {
    /// This hold next.
    pub(super) fn choose(&mut self, hold: usize) {
        *self = Practice { hold, since: None, over: false };
    }

    /// Ten seconds from `now` on.
    fn start(&mut self, now: Nanos) {
        (self.since, self.over) = (Some(now), false);
    }

    /// No longer under way.
    pub(super) fn stop(&mut self) {
        self.since = None;
    }

    /// What is left of it at `now`.
    fn left(&self, now: Nanos) -> Option<Span> {
        let left = LASTS - (now - self.since?);
        (left > Span::ZERO).then_some(left)
    }
}

/// The practice.
pub(super) fn show(guide: &mut Guide, ui: &mut Ui) -> Option<Act> {
    let now = guide.now;
    let practice = &mut guide.state.practice;
    let left = practice.left(now);
    if practice.since.is_some() && left.is_none() {
        (practice.since, practice.over) = (None, true);
    }
    let running = practice.since.is_some();
    let hold = practice.hold;
    let over = practice.over;
    let label = match (running, over) {
        (true, _) => words::PRACTICE_ENOUGH,
        (false, true) => words::PRACTICE_DONE,
        (false, false) => words::PRACTICE_START,
    };
    let (on, act) = framed(guide, ui, Some((label, true)), "", |guide, ui| {
        let draft = guide.draft.as_ref()?;
        let condition = draft.protocol.conditions.get(hold)?;
        // First of all, so that it is in view in a small window with large text too.
        if let Some(left) = left {
            let seconds = (left.ms() / 1e3).ceil();
            ui.label(words::practice_left(seconds));
            #[expect(clippy::cast_possible_truncation, reason = "a share")]
            let share = (1.0 - seconds * 1e3 / LASTS.ms()) as f32;
            let height = look::em_of(ui) * 0.5;
            if !look::reduced_motion(ui) {
                ui.add(ProgressBar::new(share).desired_height(height).fill(look::accent()));
            }
            // Once a second is enough, and nothing flickers.
            ui.ctx().request_repaint_after(Duration::from_secs(1));
        } else {
            ui.label(if over { words::PRACTICE_OVER } else { words::PRACTICE_TEXT });
            if over && widgets::button(ui, words::PRACTICE_AGAIN).clicked() {
                guide.state.practice.start(now);
                ui.ctx().request_repaint();
            }
        }
        panel(ui, words::PRACTICE_CARE, false, |ui| {
            ui.label(told::practice_caution(condition.tension));
        });
        panel(ui, &names::hold(condition), true, |ui| {
            hands::show(ui, condition.grip, condition.tension);
            ui.label(&condition.say);
            side(ui, names::tension(condition.tension).unwrap_or_default());
        });
        None
    });
    if on && running {
        guide.state.practice.stop();
        guide.state.practice.over = true;
        return Some(Act::Nothing);
    }
    if on && !over {
        guide.state.practice.start(now);
        ui.ctx().request_repaint();
        return Some(Act::Nothing);
    }
    if on { Some(Act::Back) } else { act }
}
