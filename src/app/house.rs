//! Opens the program's own window: the pages outside a session on the main thread, sessions on the
//! stimulus thread, one after the other in the same window.
//!
//! The pages tell what they want by a channel beside the window's own (a plan holds closures, which
//! the window need not know), and hear what came of it the same way.

use super::Sheets;
use super::guide::{Guide, Parent};
use super::look;
use crate::engine::Ending;
use crate::input::InputChoice;
use crate::session::live::{self, Checked, LiveError, Played, RigPlan};
use crate::sitting::Trouble;
use crate::units::Nanos;
use crate::window::{
    self, Age, Facts, Opened, Reply, Screenful, Screens, WindowOptions, WindowSize,
};
use std::path::PathBuf;
use std::sync::mpsc::{self, Receiver, Sender};
use std::sync::{Arc, Weak};

/// How the window is opened.
#[derive(Debug, Clone)]
pub struct Options {
    /// Its size; none: the whole of the display chosen in the settings.
    pub size: Option<WindowSize>,
    /// Where sessions are kept, if not where the settings say.
    pub data: Option<PathBuf>,
    /// Where presses come from.
    pub input: InputChoice,
    /// Only this mouse, if not the one in the settings.
    pub mouse: Option<String>,
    /// The settings' file, if not the platform's: for tests.
    pub settings: Option<PathBuf>,
}

/// What the pages want of the stimulus thread, by name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wished {
    /// A few unscored presses.
    Feel,
    /// A session.
    Session,
    /// The check of display, mouse and computer.
    Rig,
    /// The end of the program.
    Leave,
}

/// The other end of the pages: hears what they want, and tells what came of it.
pub struct Stagehand {
    wishes: Receiver<Wish>,
    tell: Sender<News>,
}

impl Stagehand {
    /// What the pages want, since they last replied with [`Reply::Home`].
    pub fn wished(&self) -> Option<Wished> {
        self.wishes.try_recv().ok().map(|wish| match wish {
            Wish::Feel(_) => Wished::Feel,
            Wish::Session(_) => Wished::Session,
            Wish::Rig(..) => Wished::Rig,
            Wish::Leave => Wished::Leave,
        })
    }

    /// The unscored presses are over.
    pub fn felt(&self) {
        self.tell(News::Felt);
    }

    /// A session ended: its folder, and how.
    pub fn ended(&self, folder: PathBuf, ending: Ending) {
        self.tell(News::Ended { folder, ending, age: None });
    }

    /// The rig was checked and its profile kept.
    pub fn checked(&self) {
        self.tell(News::RigChecked);
    }

    fn tell(&self, news: News) {
        // The pages hear it when they are shown again; without them nobody needs to.
        let _pages_gone = self.tell.send(news);
    }
}

/// What the pages want of the stimulus thread.
pub(super) enum Wish {
    /// A few unscored presses.
    Feel(Box<live::Plan>),
    /// A session.
    Session(Box<live::Plan>),
    /// The check of display, mouse and computer.
    Rig(Box<RigPlan>, Box<Facts>),
    /// The end of the program.
    Leave,
}

/// What came of a wish.
#[derive(Debug)]
pub(super) enum News {
    /// The unscored presses are over.
    Felt,
    /// The player did not agree, or was sent home.
    NotStarted,
    /// A session ended.
    Ended {
        /// Its folder.
        folder: PathBuf,
        /// How.
        ending: Ending,
        /// The age band, if it was asked.
        age: Option<Age>,
    },
    /// The rig was checked and its profile kept.
    RigChecked,
    /// The check was ended before its end.
    RigEnded,
    /// It could not be run, or broke off.
    Trouble(Trouble),
    /// The window is there, for a dialog to stand in front of.
    Opened(Weak<dyn Parent>),
}

/// Opens the window and stays until it is left.
///
/// # Errors
/// No window system, no graphics device, or settings that do not read.
pub fn open(options: Options) -> Result<(), Trouble> {
    let (house, stagehand) = House::build(&options)?;
    let display = house.guide.display();
    let size = options.size.unwrap_or(WindowSize::Fullscreen { display });
    let window = WindowOptions { title: crate::words::guide::PROGRAM.to_owned(), size };
    window::open(window, Box::new(house), move |opened| live_in(opened, &stagehand))??;
    Ok(())
}

/// The stimulus thread: the pages, what they want, the pages again.
fn live_in(mut opened: Opened, stagehand: &Stagehand) -> Result<(), LiveError> {
    let window = Arc::downgrade(&opened.window);
    stagehand.tell(News::Opened(window));
    loop {
        let Opened { stage, from_main, main, bell, window, facts } = opened;
        main.lend_home(stage);
        let (stage, reply) = live::returned(&from_main)?;
        let here = Opened { stage, from_main, main, bell, window, facts };
        if reply != Reply::Home {
            // The window was closed.
            return Ok(());
        }
        let (back, news) = match stagehand.wishes.try_recv() {
            Ok(Wish::Feel(plan)) => sat(here, *plan, true)?,
            Ok(Wish::Session(plan)) => sat(here, *plan, false)?,
            Ok(Wish::Rig(plan, facts)) => check(here, &plan, &facts)?,
            Ok(Wish::Leave) | Err(_) => return Ok(()),
        };
        stagehand.tell(news);
        if back.main.close_asked() {
            return Ok(());
        }
        opened = back;
    }
}

/// A session or the unscored presses; the window comes back with what came of it.
fn sat(here: Opened, plan: live::Plan, feel: bool) -> Result<(Opened, News), LiveError> {
    let (back, played) = live::sit(here, plan);
    let news = match played {
        Ok(Played::Ended { .. }) if feel => News::Felt,
        Ok(Played::Ended { ended, age }) => {
            News::Ended { folder: ended.folder, ending: ended.ending, age }
        }
        Ok(Played::NotStarted) => News::NotStarted,
        Err(error) if back.is_none() => return Err(error),
        Err(error) => News::Trouble(error.into()),
    };
    Ok((back.ok_or(LiveError::WindowGone)?, news))
}

/// The check of display, mouse and computer.
fn check(here: Opened, plan: &RigPlan, facts: &Facts) -> Result<(Opened, News), LiveError> {
    let (back, checked) =
        live::in_booth(here, facts, |booth, stage| live::check(booth, stage, plan))?;
    let news = match checked {
        Checked::Saved(_) => News::RigChecked,
        Checked::Ended => News::RigEnded,
        Checked::Failed(error) => News::Trouble((*error).into()),
    };
    Ok((back, news))
}

/// Both kinds of screens in one window: the pages outside a session and the session's own.
pub struct House {
    sheets: Sheets,
    guide: Guide,
    at_home: bool,
    /// Another screen has come since the last frame.
    turned: bool,
}

impl House {
    /// The screens, and the other end of the pages.
    ///
    /// # Errors
    /// Settings that do not read, or no thread for long work.
    pub fn build(options: &Options) -> Result<(House, Stagehand), Trouble> {
        let (wish, wishes) = mpsc::channel();
        let (tell, news) = mpsc::channel();
        let guide = Guide::open(options, wish, news)?;
        let house = House { sheets: Sheets::default(), guide, at_home: false, turned: false };
        Ok((house, Stagehand { wishes, tell }))
    }
}

impl Screens for House {
    fn begin(&mut self, screenful: Screenful, now: Nanos) {
        self.at_home = false;
        self.turned = true;
        self.sheets.begin(screenful, now);
    }

    fn home(&mut self, now: Nanos) {
        self.at_home = true;
        self.turned = true;
        self.guide.begin(now);
    }

    fn show(&mut self, ui: &mut egui::Ui, now: Nanos) -> Option<Reply> {
        self.guide.set_wishes(ui);
        if std::mem::take(&mut self.turned) {
            // What had the focus is gone with the screen before, and must not swallow a key.
            look::let_focus_go(ui);
            ui.ctx().request_repaint();
        }
        if self.at_home { self.guide.show(ui, now) } else { self.sheets.show(ui, now) }
    }
}
