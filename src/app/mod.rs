//! The untimed screens: cautions, cards, ratings, rests, pauses, the end. No egui code runs during
//! a trial.
//!
//! One file a screen, each a state with `show(ui, facts, ..) -> Option<..>`: no window, no thread,
//! no clock (the moment comes in), so that tests drive them without a display. Here stands only
//! which screen is shown, and the two keys that work on all of a session's screens.

mod band;
mod card;
mod choices;
mod end;
mod expectation;
mod fill;
mod first_start;
mod guide;
mod house;
mod keys;
mod look;
mod names;
mod notice;
mod page;
mod pause;
mod plot;
mod ratings;
mod rest;
mod rig;
mod rows;
mod sample;
mod stop;

pub use house::{House, Options, Stagehand, Wished, open};
pub use look::PAGE;

use crate::engine::{Answer, AskFor, Key, PauseReason};
use crate::protocol::Part;
use crate::units::Nanos;
use crate::window::{Facts, Reply, Screenful, Screens, Show};
use keys::Pressed;

/// The untimed screens of a session, for [`crate::window::open`].
#[derive(Debug, Default)]
pub struct Sheets {
    sheet: Option<Sheet>,
    /// Frames that a new screen is drawn by itself, until its scroll bar knows its length.
    unsettled: u8,
}

/// One screen on show.
#[derive(Debug)]
struct Sheet {
    facts: Facts,
    kind: Kind,
    /// The question whether to stop, in front of the screen.
    stop: Option<stop::Stop>,
}

#[derive(Debug)]
enum Kind {
    FirstStart(first_start::FirstStartScreen),
    Expectation(expectation::Expectation),
    Card(card::Card),
    Ratings(ratings::Ratings),
    Rest(rest::Rest),
    Pause(pause::Pause),
    Notice(notice::Notice),
    Ended(end::End),
    Rig(rig::Sheet),
}

impl Kind {
    fn new(show: Show) -> Kind {
        match show {
            Show::FirstStart => Kind::FirstStart(first_start::FirstStartScreen::default()),
            Show::Ask(AskFor::Expectation) => Kind::Expectation(expectation::Expectation::new()),
            Show::Ask(AskFor::Card { block }) => Kind::Card(card::Card { block }),
            Show::Ask(AskFor::Ratings { items, block }) => {
                Kind::Ratings(ratings::Ratings::new(items, block))
            }
            Show::Ask(AskFor::Rest { until, next, standing, looked }) => {
                Kind::Rest(rest::Rest { until, since: None, next, standing, looked })
            }
            Show::Ask(AskFor::Pause { why }) => Kind::Pause(pause::Pause::new(why)),
            Show::Notice(told) => Kind::Notice(notice::Notice { told }),
            Show::Ended(ended) => Kind::Ended(end::End { ended }),
            Show::Rig(screen) => Kind::Rig(rig::Sheet::new(screen)),
        }
    }

    /// Whether F10 and H work here: the session is under way.
    const fn in_session(&self) -> bool {
        match self {
            Kind::Expectation(_)
            | Kind::Card(_)
            | Kind::Ratings(_)
            | Kind::Rest(_)
            | Kind::Pause(_) => true,
            Kind::FirstStart(_) | Kind::Notice(_) | Kind::Ended(_) | Kind::Rig(_) => false,
        }
    }

    fn show(
        &mut self,
        ui: &mut egui::Ui,
        facts: &Facts,
        pressed: &[Pressed],
        now: Nanos,
    ) -> Option<Said> {
        let answer = |answer: Answer| Said::Reply(Reply::Answer(answer));
        match self {
            Kind::FirstStart(screen) => {
                screen.show(ui, facts, pressed).map(|said| Said::Reply(Reply::FirstStart(said)))
            }
            Kind::Expectation(screen) => screen.show(ui, facts, pressed).map(answer),
            Kind::Card(screen) => screen.show(ui, facts, pressed).map(answer),
            Kind::Ratings(screen) => screen.show(ui, facts, pressed).map(answer),
            Kind::Rest(screen) => screen.show(ui, facts, pressed, now).map(answer),
            Kind::Pause(screen) => screen.show(ui, facts, pressed),
            Kind::Notice(screen) => screen.show(ui, facts, pressed).map(answer),
            Kind::Ended(screen) => screen.show(ui, facts, pressed).map(answer),
            Kind::Rig(screen) => screen.show(ui, facts, pressed).map(Said::Reply),
        }
    }
}

/// What a screen says to this router.
#[derive(Debug)]
enum Said {
    /// It is over.
    Reply(Reply),
    /// Ask whether to stop.
    AskStop,
}

impl Screens for Sheets {
    fn begin(&mut self, Screenful { show, mut facts }: Screenful, _: Nanos) {
        let mut trials = facts.schedule.blocks.iter().flat_map(|block| &block.trials);
        let to_feel = trials.all(|trial| trial.part == Part::Feel);
        if to_feel || matches!(show, Show::FirstStart | Show::Ended(_) | Show::Rig(_)) {
            // Outside a session there is nothing left to count.
            facts.minutes_left = None;
        }
        let asked = matches!(show, Show::Ask(AskFor::Pause { why: PauseReason::StopAsked }));
        let stop = asked.then(stop::Stop::default);
        self.unsettled = 2;
        self.sheet = Some(Sheet { facts, kind: Kind::new(show), stop });
    }

    fn home(&mut self, _: Nanos) {
        self.sheet = None;
    }

    fn show(&mut self, ui: &mut egui::Ui, now: Nanos) -> Option<Reply> {
        look::apply(ui);
        if self.unsettled > 0 {
            self.unsettled -= 1;
            ui.ctx().request_repaint();
        }
        let pressed = keys::take(ui);
        self.sheet.as_mut()?.show(ui, &pressed, now)
    }
}

impl Sheet {
    fn show(&mut self, ui: &mut egui::Ui, pressed: &[Pressed], now: Nanos) -> Option<Reply> {
        if self.kind.in_session() && pressed.contains(&Pressed::Hurts) {
            return Some(Reply::Key(Key::Hurts));
        }
        if let Some(stop) = &mut self.stop {
            return match stop.show(ui, &self.facts, pressed)? {
                stop::Said::Stop => Some(Reply::Key(Key::Stop)),
                stop::Said::Back => {
                    self.stop = None;
                    ui.ctx().request_repaint();
                    None
                }
            };
        }
        let said = if self.kind.in_session() && pressed.contains(&Pressed::Stop) {
            Said::AskStop
        } else {
            self.kind.show(ui, &self.facts, pressed, now)?
        };
        match said {
            Said::Reply(reply) => Some(reply),
            Said::AskStop => {
                self.stop = Some(stop::Stop::default());
                ui.ctx().request_repaint();
                None
            }
        }
    }
}
