//! The pages outside a session: from the first caution to the findings and the weeks after.
//!
//! Which page comes next stands in `way`, what was chosen and typed in `draft` and here, long work
//! is done by the `clerk`. A page draws itself and says what was pressed; `acts` alone acts on it.

mod acts;
mod chooser;
mod clerk;
mod draft;
mod feel;
mod fetch;
mod folders;
mod found;
mod frames;
mod hands;
mod history;
mod keeping;
mod outside;
mod pages;
mod sheet;
mod told;
mod way;
mod widgets;

pub(super) use chooser::Parent;
use draft::{Draft, Question};
use way::{Known, Place, Way};

use super::house::{News, Options, Wish};
use super::look;
use crate::engine::Ending;
use crate::plan::Outlook;
use crate::settings::players::Player;
use crate::sitting::Trouble;
use crate::sitting::rig_check::Standing;
use crate::units::Nanos;
use crate::window::{FirstStart, Reply};
use crate::words::{Told, afterwards as after, guide as words};
use chooser::Chooser;
use clerk::{Clerk, Done};
use egui::Ui;
use found::Found;
use history::History;
use keeping::Keeping;
use pages::State;
use std::collections::BTreeMap;
use std::sync::mpsc::{Receiver, Sender};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

/// How often the window looks at long work that is under way.
const LOOK_AGAIN: Duration = Duration::from_millis(100);

/// The pages.
pub(super) struct Guide {
    keeping: Keeping,
    clerk: Clerk,
    /// Short readings of files, which wait for no plan.
    errands: Clerk,
    /// The system's file dialog.
    chooser: Chooser,
    wish: Sender<Wish>,
    news: Receiver<News>,
    way: Way,
    questions: Vec<Question>,
    draft: Option<Draft>,
    /// What the checker finds in the draft as it is.
    faults: Vec<String>,
    outlook: Option<Outlook>,
    people: Vec<Player>,
    player: Option<Player>,
    /// Who has agreed in this run; what is in it about the body is kept nowhere else.
    agreed: BTreeMap<String, FirstStart>,
    /// Whether the player chosen has recorded a session before.
    has_sessions: bool,
    /// How display, mouse and computer stand; nothing where that does not read.
    rig: Option<Standing>,
    found: Option<Box<Found>>,
    history: Option<History>,
    trouble: Option<Trouble>,
    /// What a session could not work out while it ran.
    trouble_within: Arc<Mutex<Vec<Told>>>,
    /// Whether the window hears of a file that is dropped on it.
    can_drop: bool,
    /// What was just done, in a sentence.
    done: Option<String>,
    state: State,
    now: Nanos,
}

impl Guide {
    /// Opens the pages where the player left off: the caution on the first start.
    ///
    /// # Errors
    /// Settings that do not read, or no thread.
    pub(super) fn open(
        options: &Options,
        wish: Sender<Wish>,
        news: Receiver<News>,
    ) -> Result<Guide, Trouble> {
        let keeping = Keeping::open(options)?;
        let start = || {
            Clerk::start().map_err(|error| {
                Trouble::one(
                    format!("the system refused a thread: {error}"),
                    None,
                    "close other programs and start it again".to_owned(),
                )
            })
        };
        let (clerk, errands) = (start()?, start()?);
        let (questions, trouble) = keeping.questions();
        let caution_read = keeping.settings.caution_read;
        let way = Way::new(&Known { caution_read, ..Known::default() });
        let mut guide = Guide {
            keeping,
            clerk,
            errands,
            chooser: Chooser::default(),
            wish,
            news,
            way,
            questions,
            draft: None,
            faults: Vec::new(),
            outlook: None,
            people: Vec::new(),
            player: None,
            agreed: BTreeMap::new(),
            has_sessions: false,
            rig: None,
            found: None,
            history: None,
            trouble,
            trouble_within: Arc::default(),
            can_drop: outside::can_drop(),
            done: None,
            state: State::default(),
            now: Nanos(0),
        };
        guide.list_players();
        guide.look_at_rig();
        let last = guide.keeping.settings.last_player.clone();
        if let Some(last) = guide.people.iter().find(|player| Some(&player.id) == last.as_ref()) {
            guide.state.nickname.clone_from(&last.nickname);
        }
        Ok(guide)
    }

    /// The display chosen in the settings.
    pub(super) fn display(&self) -> Option<String> {
        self.keeping.settings.display.clone()
    }

    /// Tells `ui` how large the player wants text, and whether motion is to be reduced.
    pub(super) fn set_wishes(&self, ui: &Ui) {
        look::set_text_scale(ui, self.keeping.settings.text_scale());
        look::set_reduced_motion(ui, self.keeping.settings.reduced_motion);
    }

    /// The pages are shown, or shown again: what came of the last wish is taken in.
    pub(super) fn begin(&mut self, now: Nanos) {
        self.now = now;
        while let Ok(news) = self.news.try_recv() {
            self.take_in(news);
        }
        let within = self.trouble_within.lock();
        let within = std::mem::take(&mut *within.unwrap_or_else(PoisonError::into_inner));
        if !within.is_empty() {
            self.trouble = Some(Trouble(within));
        }
    }

    fn take_in(&mut self, news: News) {
        match news {
            News::Felt => {
                self.done = Some(words::FELT.to_owned());
                self.way.on(&self.known());
            }
            News::RigChecked => {
                self.look_at_rig();
                self.done = Some(words::RIG_DONE.to_owned());
                self.after_rig();
            }
            News::RigEnded => self.done = Some(words::RIG_ENDED.to_owned()),
            News::NotStarted => self.done = Some(words::NOT_STARTED.to_owned()),
            News::Ended { folder, ending, age } => {
                if let Some(age) = age {
                    self.remember_age(age);
                }
                self.has_sessions = true;
                self.look_at_rig();
                self.done = Some(told::ended(ending).to_owned());
                if ending == Ending::Stopped {
                    // It can be taken up again: its findings are not shown unasked, since a look at
                    // them would be a running result.
                    self.way.after_stop();
                    self.list_players();
                    self.look_at_history();
                } else {
                    self.way.after_session();
                    self.find(vec![folder]);
                }
            }
            News::Trouble(trouble) => self.trouble = Some(trouble),
            News::Opened(window) => self.chooser.stand_before(window),
        }
    }

    /// What the next page depends on.
    fn known(&self) -> Known {
        let player = self.player.as_ref();
        let agreed_now = player.is_some_and(|player| self.agreed.contains_key(&player.id));
        let agreed_before = self.keeping.settings.caution_read && self.has_sessions;
        Known {
            caution_read: self.keeping.settings.caution_read,
            agreed: agreed_now || agreed_before,
            rig_checked: self.state.rig_passed
                || matches!(self.rig, Some(Standing::Checked { .. })),
        }
    }

    /// Draws the page and acts on what was pressed.
    pub(super) fn show(&mut self, ui: &mut Ui, now: Nanos) -> Option<Reply> {
        self.now = now;
        look::apply(ui);
        sheet::style(ui);
        for done in self.clerk.take().into_iter().chain(self.errands.take()) {
            self.hear(done);
        }
        let here = self.way.here();
        let chosen = self.hear_dialog();
        let dropped =
            ui.input(|input| input.raw.dropped_files.first().map(|file| file.path().to_owned()));
        if let Some(table) = dropped.filter(|_| self.way.takes_tables()) {
            self.take_table(&table);
        }
        let act = pages::show(self, ui);
        let reply = act.and_then(|act| self.act(act));
        let asking = self.chooser.asking().is_some();
        if self.clerk.busy() || self.errands.busy() || asking {
            ui.ctx().request_repaint_after(LOOK_AGAIN);
        }
        let left = self.way.here() != here;
        if left {
            self.state.left(here);
        }
        if left || chosen {
            // What was chosen is gone on with: Enter must not open the dialog again.
            look::let_focus_go(ui);
            ui.ctx().request_repaint();
        }
        reply
    }

    fn hear(&mut self, done: Done) {
        match done {
            Done::Outlook(outlook) => self.outlook = Some(outlook),
            Done::Findings(Ok(found)) => self.found = Some(found),
            Done::History(Ok(history)) => self.history = Some(history),
            Done::Frames(Ok((folder, count))) => {
                self.done = Some(after::frames_written(count, &folder.display().to_string()));
            }
            Done::Folder(listing) => self.state.browse.hear(listing),
            Done::Columns(guess) => self.state.table.hear(guess),
            Done::Findings(Err(trouble))
            | Done::History(Err(trouble))
            | Done::Frames(Err(trouble)) => self.trouble = Some(trouble),
        }
    }
}
