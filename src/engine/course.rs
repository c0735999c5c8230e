//! The course of a session around its trials: cards, ratings, rests, pauses, and the end.

use super::progress::Progress;
use super::{
    Action, Answer, AskFor, Begin, Ending, Engine, Flag, Key, Outcome, PauseReason, Phase,
    RatingRecord, SETTLE_IN, Span,
};
use crate::protocol::Rating;
use crate::units::Nanos;

/// No option removes this rest between blocks.
const LEAST_REST: Span = Span::from_s(5);
/// A block that stood still longer is repeated whole.
const BLOCK_KEEPS: Span = Span::from_s(5 * 60);
/// A source standing still for this many times pauses the session.
const STALLS_TO_PAUSE: u32 = 2;

impl Engine {
    pub(super) fn on_begin(&mut self, begin: &Begin) {
        self.segment += 1;
        self.care.begin(begin.t);
        self.begin = Some(begin.clone());
        if !matches!(self.phase, Phase::Before) {
            return;
        }
        let first = self.start.first_block;
        if first >= self.schedule.blocks.len() {
            self.end(Ending::Complete);
        } else if first == 0 && self.asks_expectation() {
            self.ask(AskFor::Expectation, begin.t);
        } else {
            self.enter_block(first, begin.t);
        }
    }

    /// Once a session: an expectation told before it broke off stands.
    fn asks_expectation(&self) -> bool {
        !self.start.expected && self.protocol.ask.before.contains(&Rating::Expectation)
    }

    pub(super) fn on_answer(&mut self, answer: &Answer, t: Nanos) {
        let Phase::Asking { ask, since } = &self.phase else { return };
        let (ask, since) = (ask.clone(), *since);
        match (&ask, answer) {
            (AskFor::Expectation, Answer::Expected { faster, sure }) => {
                self.rated(None, t, vec![(Rating::Expectation, *sure)], *faster);
                self.enter_block(self.start.first_block, t);
            }
            (AskFor::Card { .. }, Answer::GoOn) => {
                self.scenes.field(None);
                self.go_between(t, SETTLE_IN);
            }
            (AskFor::Ratings { block, .. }, Answer::Rated(ratings)) => {
                let block = *block;
                self.rated(Some(block), t, ratings.clone(), None);
                let discomfort = ratings.iter().any(|(rating, value)| {
                    *rating == Rating::Discomfort && self.care.is_discomfort(*value)
                });
                // The key has been counted when it was pressed.
                let closes = discomfort && !self.hurts && self.care.stop_for_discomfort();
                self.hurts = false;
                if closes { self.end(Ending::Discomfort) } else { self.rest_after(block, since, t) }
            }
            (AskFor::Rest { until, .. }, Answer::GoOn) if t < *until => self.ask_again(ask, since),
            (AskFor::Rest { next, .. }, Answer::GoOn) => self.enter_block(*next, t),
            (AskFor::Pause { .. }, Answer::GoOn) => self.go_on(since, t),
            // An answer that does not fit the question: ask once more.
            (
                AskFor::Expectation
                | AskFor::Card { .. }
                | AskFor::Ratings { .. }
                | AskFor::Rest { .. }
                | AskFor::Pause { .. },
                Answer::GoOn | Answer::Rated(_) | Answer::Expected { .. },
            ) => self.ask_again(ask, since),
        }
    }

    pub(super) fn on_key(&mut self, key: Key, t: Nanos) {
        match (key, &self.phase) {
            (_, Phase::Before | Phase::Over) => {}
            (Key::Stop, _) => {
                self.cut_trial(t, None);
                // The block has not come to its end: taken up again, the session begins it anew.
                self.let_go(t);
                self.end(Ending::Stopped);
            }
            (Key::Hurts, _) => self.on_hurts(t),
            (Key::Pause, Phase::Trial(..) | Phase::Between { .. }) => {
                self.interrupt(t, None, PauseReason::Asked, false);
            }
            (Key::AskStop, Phase::Trial(..) | Phase::Between { .. }) => {
                self.interrupt(t, None, PauseReason::StopAsked, false);
            }
            // Nothing is on show that could ask.
            (Key::AskStop, Phase::NoDisplay) => {
                self.let_go(t);
                self.end(Ending::Stopped);
            }
            (Key::Pause, Phase::Asking { .. } | Phase::Looking { .. } | Phase::NoDisplay)
            | (Key::AskStop, Phase::Asking { .. } | Phase::Looking { .. }) => {}
        }
    }

    /// Ends the block at once; the second time, the session.
    fn on_hurts(&mut self, t: Nanos) {
        self.cut_trial(t, None);
        let closes = self.care.stop_for_discomfort();
        if closes {
            self.leave_block(t);
            self.end(Ending::Discomfort);
            return;
        }
        let in_block = match &self.phase {
            Phase::Trial(..) | Phase::Between { .. } | Phase::NoDisplay => true,
            Phase::Asking { ask, .. } => matches!(ask, AskFor::Pause { .. } | AskFor::Card { .. }),
            Phase::Before | Phase::Looking { .. } | Phase::Over => false,
        };
        if in_block {
            self.hurts = true;
            self.repeat_block = false;
            self.progress.drop_rest();
            self.finish_block(t);
        } else if let Phase::Asking { ask, since } = &self.phase {
            // Already outside a block: the question stays.
            // A rating of the same discomfort is not a second stop.
            self.hurts |= matches!(ask, AskFor::Ratings { .. });
            self.ask_again(ask.clone(), *since);
        }
    }

    /// Cuts what runs and pauses. With `whole_block`, the block is run again from its start.
    pub(super) fn interrupt(
        &mut self,
        t: Nanos,
        flag: Option<Flag>,
        why: PauseReason,
        whole_block: bool,
    ) {
        if !matches!(self.phase, Phase::Trial(..) | Phase::Between { .. }) {
            return;
        }
        self.cut_trial(t, flag);
        self.repeat_block |= whole_block;
        self.ask(AskFor::Pause { why }, t);
    }

    pub(super) fn on_display_lost(&mut self, t: Nanos) {
        if matches!(self.phase, Phase::Trial(..) | Phase::Between { .. }) {
            self.cut_trial(t, None);
            self.repeat_block = true;
            self.phase = Phase::NoDisplay;
        }
    }

    pub(super) fn on_display_back(&mut self, t: Nanos) {
        if matches!(self.phase, Phase::NoDisplay) {
            self.ask(AskFor::Pause { why: PauseReason::DisplayLost }, t);
        }
    }

    pub(super) fn on_stall(&mut self, t: Nanos) {
        let Phase::Trial(attempt, _) = &mut self.phase else { return };
        attempt.flags.set(Flag::Stalled);
        let outcome = attempt.answered().unwrap_or(Outcome::Void);
        self.stalls += 1;
        let pauses = self.stalls.is_multiple_of(STALLS_TO_PAUSE);
        self.finish_trial(outcome, t);
        if pauses {
            self.ask(AskFor::Pause { why: PauseReason::Stalled }, t);
        }
    }

    /// The trial in flight, if any, is over: interrupted, unless its answer is in already.
    fn cut_trial(&mut self, t: Nanos, flag: Option<Flag>) {
        let Phase::Trial(attempt, _) = &mut self.phase else { return };
        let outcome = attempt.answered().unwrap_or(Outcome::Interrupted);
        if let (Some(flag), Outcome::Interrupted) = (flag, outcome) {
            attempt.flags.set(flag);
        }
        self.finish_trial(outcome, t);
    }

    fn go_on(&mut self, since: Nanos, t: Nanos) {
        let index = self.progress.index;
        if self.repeat_block || t - since > BLOCK_KEEPS {
            self.repeat_block = false;
            self.leave_block(t);
            self.out.push_back(Action::BlockAbandoned { block: index });
            self.enter_block(index, t);
        } else {
            // The time of the pause was not spent under the hold.
            if let Some(started) = &mut self.progress.started {
                *started += t - since;
            }
            self.progress.after_rest = true;
            self.scenes.field(None);
            self.go_between(t, SETTLE_IN);
        }
    }

    pub(super) fn enter_block(&mut self, index: usize, t: Nanos) {
        if self.care.time_is_up(t) || self.care.firm_is_used_up(self.tension(index)) {
            self.end(Ending::TimeUp);
            return;
        }
        self.progress = Progress::of(index, &self.schedule.blocks[index]);
        self.ask(AskFor::Card { block: index }, t);
    }

    /// The hold is let go of: counts the time spent under it.
    fn let_go(&mut self, t: Nanos) -> Span {
        let spent = self.progress.started.take().map_or(Span::ZERO, |started| t - started);
        if spent > Span::ZERO {
            self.care.held(self.tension(self.progress.index), spent);
        }
        spent
    }

    /// The block is over, to its end or for the hand's sake; what was written is synced.
    pub(super) fn leave_block(&mut self, t: Nanos) -> Span {
        let spent = self.let_go(t);
        if spent > Span::ZERO {
            self.out.push_back(Action::BlockEnd { block: self.progress.index });
        }
        spent
    }

    pub(super) fn finish_block(&mut self, t: Nanos) {
        let index = self.progress.index;
        let spent = self.leave_block(t);
        self.rest_floor = self.floor(index, spent);
        let items = self.items_after(index);
        if items.is_empty() {
            self.hurts = false;
            self.rest_after(index, t, t);
        } else {
            self.ask(AskFor::Ratings { items, block: index }, t);
        }
    }

    fn items_after(&self, index: usize) -> Vec<Rating> {
        let block = &self.schedule.blocks[index];
        let next = self.schedule.blocks.get(index + 1);
        let cycle_ends = next.is_none_or(|next| next.cycle != block.cycle);
        let ask = &self.protocol.ask;
        let mut items = ask.after_block.clone();
        if cycle_ends {
            items.extend(ask.after_cycle.iter().filter(|item| !ask.after_block.contains(item)));
        }
        items
    }

    fn floor(&self, index: usize, spent: Span) -> Span {
        let rest = &self.protocol.rest;
        let half = Span(spent.0 / 2);
        let mut floor = LEAST_REST.max(half);
        if rest.every_blocks > 0 && (index + 1).is_multiple_of(rest.every_blocks) {
            floor = floor.max(Span::from_ms_f64(rest.min_s * 1e3));
        }
        if let Some(standing) = rest.standing_break.filter(|b| b.after_block == index + 1) {
            floor = floor.max(Span::from_ms_f64(standing.min_s * 1e3));
        }
        floor
    }

    /// The rest counts from the end of the block; the ratings are part of it.
    fn rest_after(&mut self, index: usize, block_ended: Nanos, t: Nanos) {
        let next = index + 1;
        if next >= self.schedule.blocks.len() {
            self.end(Ending::Complete);
            return;
        }
        if let Some(cycle) = self.look_after(index) {
            self.phase = Phase::Looking { block: index, block_ended };
            self.out.push_back(Action::Look { cycle });
            return;
        }
        self.rest(index, block_ended, t, false);
    }

    /// The cycle after which a look is due, where this block (index) is its last.
    fn look_after(&self, index: usize) -> Option<usize> {
        let (block, next) = (&self.schedule.blocks[index], &self.schedule.blocks[index + 1]);
        let ends = next.cycle != block.cycle;
        (ends && self.protocol.design.looks.contains(&block.cycle)).then_some(block.cycle)
    }

    /// Only a planned look ends a session early; else the rest follows as after any block.
    pub(super) fn on_looked(&mut self, settled: bool, t: Nanos) {
        let Phase::Looking { block, block_ended } = self.phase else { return };
        if settled { self.end(Ending::Settled) } else { self.rest(block, block_ended, t, true) }
    }

    fn rest(&mut self, index: usize, block_ended: Nanos, t: Nanos, looked: bool) {
        let standing =
            self.protocol.rest.standing_break.is_some_and(|b| b.after_block == index + 1);
        let until = block_ended + self.rest_floor;
        self.ask(AskFor::Rest { until, next: index + 1, standing, looked }, t);
    }

    fn rated(
        &mut self,
        block: Option<usize>,
        t: Nanos,
        ratings: Vec<(Rating, u8)>,
        expected_faster: Option<usize>,
    ) {
        let segment_start = self.begin.as_ref().map_or(t, |begin| begin.t);
        self.out.push_back(Action::Ratings(RatingRecord {
            segment: self.segment,
            segment_start,
            block,
            t,
            ratings,
            expected_faster,
        }));
    }

    pub(super) fn ask(&mut self, ask: AskFor, t: Nanos) {
        self.out.push_back(Action::Ask(ask.clone()));
        self.phase = Phase::Asking { ask, since: t };
    }

    /// The same question again; its time counts from when it was first put.
    fn ask_again(&mut self, ask: AskFor, since: Nanos) {
        self.ask(ask, since);
    }

    pub(super) fn end(&mut self, ending: Ending) {
        self.phase = Phase::Over;
        self.out.push_back(Action::End(ending));
    }
}
