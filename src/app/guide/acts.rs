//! What is done about what was pressed: the one place where the pages change anything.

use super::clerk::Job;
use super::draft::Draft;
use super::pages::Act;
use super::way::Place;
use super::{Guide, feel, outside, told};
use crate::app::house::Wish;
use crate::session::live::{LastScreen, Wishes};
use crate::settings::players;
use crate::sitting::{self, Around, Begun, Sitting, Trouble, Wanted, rig_check, source};
use crate::window::{Age, Ended, FirstStart, Reply};
use crate::words::{Tell, afterwards as after, guide as words};
use std::path::{Path, PathBuf};
use std::sync::{Arc, OnceLock, PoisonError};

impl Guide {
    pub(super) fn act(&mut self, act: Act) -> Option<Reply> {
        match self.do_it(act) {
            Ok(reply) => reply,
            Err(trouble) => {
                self.trouble = Some(trouble);
                None
            }
        }
    }

    fn do_it(&mut self, act: Act) -> Result<Option<Reply>, Trouble> {
        if !matches!(act, Act::Nothing) {
            self.done = None;
        }
        match act {
            Act::Nothing => {}
            Act::Back => self.way.back(),
            Act::Next => {
                self.way.on(&self.known());
                if self.way.here() == Place::History {
                    self.list_players();
                    self.look_at_history();
                }
            }
            Act::Go(place) => self.go(place)?,
            Act::Leave => return Ok(self.wish(Wish::Leave)),
            Act::CautionRead => {
                self.state.caution_seen = true;
                self.way.on(&self.known());
            }
            Act::Feel => {
                let seed = source::seed(None);
                if let Some(wish) = feel::wish(self.keeping.input, self.keeping.mouse(), seed) {
                    return Ok(self.wish(wish));
                }
            }
            Act::CheckRig => {
                let (input, mouse) = (self.keeping.input, self.keeping.mouse());
                let plan = rig_check::plan(self.keeping.data()?, input, mouse)?;
                let facts = rig_check::facts()?;
                return Ok(self.wish(Wish::Rig(Box::new(plan), Box::new(facts))));
            }
            Act::RigPassed => {
                self.state.rig_passed = true;
                self.after_rig();
            }
            Act::Choose(index) => self.choose(index),
            Act::Changed => self.changed(),
            Act::TakePlayer => self.take_player()?,
            Act::Agreed(said) => self.take_agreement(said)?,
            Act::Start => return self.start(),
            Act::GoOn(folder) => return self.go_on(&folder),
            Act::Find(folders) => {
                self.way.go(Place::Findings);
                self.find(folders);
            }
            Act::ReadTable => self.read_table(),
            Act::Frames(folder) => self.clerk.give(Job::Frames(folder)),
            Act::KeepNote => self.keep_note()?,
            Act::SaveSettings => {
                self.keeping.save()?;
                self.done = Some(after::SETTINGS_KEPT.to_owned());
            }
            Act::EraseSession(folder) => {
                crate::record::erase_session(&folder)?;
                self.done = Some(after::ERASED.to_owned());
                self.look_at_history();
            }
            Act::ErasePlayer(id) => {
                crate::record::erase_player(&self.keeping.data()?.join(&id))?;
                self.done = Some(after::ERASED.to_owned());
                self.player = None;
                self.state.nickname.clear();
                self.list_players();
                self.look_at_history();
            }
            Act::KeepPlayer => {
                if let Some(player) = &self.player {
                    players::save(&self.keeping.data()?, player)?;
                }
                self.list_players();
            }
            Act::OpenOutside(path) => {
                let said = outside::open(&path)?;
                self.done = Some(said);
            }
            Act::Told(said) => self.done = Some(said),
            Act::AskSystem(want) => self.ask_system(want),
            Act::LeaveDialog => self.chooser.leave(),
            Act::Browse(want) => self.browse(want),
            Act::BrowseOver => self.state.browse.close(),
            Act::Enter(folder) => self.enter(folder),
            Act::TakeFile(want, path) => self.take_file(want, path),
            Act::LookAtTable => self.look_at_columns(),
        }
        Ok(None)
    }

    fn wish(&mut self, wish: Wish) -> Option<Reply> {
        // Nobody hears it only when the window is going away.
        self.wish.send(wish).is_ok().then_some(Reply::Home)
    }

    fn go(&mut self, place: Place) -> Result<(), Trouble> {
        match place {
            Place::Question => {
                self.way.home();
                (self.questions, self.trouble) = self.keeping.questions();
                return Ok(());
            }
            Place::History => {
                self.list_players();
                self.look_at_history();
            }
            _ => {}
        }
        self.way.go(place);
        Ok(())
    }

    pub(super) fn look_at_history(&mut self) {
        if let Ok(data) = self.keeping.data() {
            let player = self.player.as_ref().map(|player| player.id.clone());
            self.history = None;
            self.clerk.give(Job::History { data, player });
        }
    }

    pub(super) fn look_at_rig(&mut self) {
        match self.keeping.data().and_then(|data| rig_check::standing(&data)) {
            Ok(standing) => self.rig = Some(standing),
            Err(trouble) => self.trouble = Some(trouble),
        }
    }

    /// The page of the rig is done: on to the holds, or back to where it was come from.
    pub(super) fn after_rig(&mut self) {
        if self.way.here() != Place::Rig {
            return;
        }
        if self.way.led_by(Place::Player) || self.way.led_by(Place::Agreement) {
            self.way.on(&self.known());
        } else {
            self.way.back();
        }
    }

    fn choose(&mut self, index: usize) {
        let Some(question) = self.questions.get(index) else { return };
        let same = self.draft.as_ref().is_some_and(|draft| draft.began_with(&question.source));
        if !same {
            let share = self.keeping.settings.contrast_share;
            self.draft = Some(Draft::new(question.source.clone(), share));
            self.changed();
        }
        self.way.on(&self.known());
    }

    /// The draft is another one: it is checked, and what it can show is worked out anew.
    fn changed(&mut self) {
        let Some(draft) = &self.draft else { return };
        self.faults = draft.faults().iter().map(told::fault).collect();
        self.outlook = None;
        // The simulated player's variability is that of single answers.
        if self.faults.is_empty() && draft.protocol.analysis.measure.is_of_answer() {
            self.clerk.give(Job::Outlook(Box::new(draft.protocol.clone())));
        }
    }

    pub(super) fn list_players(&mut self) {
        match self.keeping.players() {
            Ok(players) => self.people = players,
            Err(trouble) => self.trouble = Some(trouble),
        }
    }

    fn take_player(&mut self) -> Result<(), Trouble> {
        let data = self.keeping.data()?;
        let nickname = self.state.nickname.trim().to_owned();
        let player = players::find_or_create(&data, &nickname, source::seed(None))?;
        self.has_sessions = sitting::today::look(&data, &player.id)?.any;
        if self.player.as_ref().is_none_or(|before| before.id != player.id) {
            // What another player answered is nobody else's.
            self.state.agreement = None;
        }
        self.keeping.settings.last_player = Some(player.id.clone());
        self.keeping.save()?;
        self.player = Some(player);
        self.list_players();
        self.way.on(&self.known());
        Ok(())
    }

    fn take_agreement(&mut self, said: FirstStart) -> Result<(), Trouble> {
        self.state.agreement = None;
        let Some(player) = self.player.clone() else { return Ok(()) };
        if !said.agreed {
            self.agreed.remove(&player.id);
            if !self.has_sessions {
                // Who did not agree is not kept as a player.
                players::take_back(&self.keeping.data()?, &player)?;
                self.player = None;
                self.list_players();
            }
            self.done = Some(words::NOT_STARTED.to_owned());
            self.way.home();
            return Ok(());
        }
        self.agreed.insert(player.id.clone(), said);
        self.remember_age(said.age);
        if let (true, Some(draft)) = (said.light_only, &mut self.draft) {
            draft.all_light();
            self.changed();
            self.done = Some(words::ONLY_LIGHT.to_owned());
        }
        self.way.leave_out(Place::Agreement);
        self.way.on(&self.known());
        Ok(())
    }

    /// Keeps the player's age band, and that the cautions were read.
    pub(super) fn remember_age(&mut self, age: Age) {
        let Some(player) = &mut self.player else { return };
        if let Err(trouble) = self.keeping.keep_first_start(player, sitting::age_band(age)) {
            self.trouble = Some(trouble);
        }
    }

    /// Whether the player chosen is offered light holds alone.
    pub(super) fn light_only(&self) -> bool {
        let said = self.player.as_ref().and_then(|player| self.agreed.get(&player.id));
        said.is_some_and(|said| said.light_only)
    }

    fn start(&mut self) -> Result<Option<Reply>, Trouble> {
        let (Some(draft), Some(player)) = (&self.draft, &self.player) else { return Ok(None) };
        let made = draft.source(|id| self.keeping.has_protocol(id));
        let source = made.map_err(|faults| Trouble(faults.iter().map(Tell::tell).collect()))?;
        if draft.changed() {
            self.keeping.keep_protocol(&source)?;
            // From now on it is a question of its own, word for word.
            self.draft = Some(Draft::new(source.clone(), None));
        }
        let data = self.keeping.data()?;
        let sitting = Sitting::new(source, data, player.clone(), source::seed(None));
        self.sit(sitting)
    }

    fn go_on(&mut self, folder: &Path) -> Result<Option<Reply>, Trouble> {
        let sitting = Sitting::resumed(folder)?;
        self.player = Some(sitting.player.clone());
        self.sit(sitting)
    }

    fn sit(&mut self, sitting: Sitting) -> Result<Option<Reply>, Trouble> {
        let folder: Arc<OnceLock<PathBuf>> = Arc::default();
        let made = Arc::clone(&folder);
        let wanted = Wanted {
            input: self.keeping.input,
            devices: Wishes { mouse: self.keeping.mouse(), ..Wishes::default() },
            agreed: self.agreed.contains_key(&sitting.player.id),
            last_screen: LastScreen::LeftOut,
        };
        // What of the rig has changed stands on each card of the session.
        let on_open = move |begun: Begun<'_>| {
            made.get_or_init(|| begun.folder.to_owned());
        };
        let told = Arc::clone(&self.trouble_within);
        let tell = move |Trouble(list): Trouble| {
            told.lock().unwrap_or_else(PoisonError::into_inner).extend(list);
        };
        let sum_up = Box::new(move |ending| Ended {
            ending,
            sentence: None,
            folder: folder.get().cloned().unwrap_or_default(),
            report: None,
        });
        let around = Around { on_open: Box::new(on_open), tell: Box::new(tell), sum_up };
        let planned = sitting::plan(sitting, &self.keeping.settings, wanted, around)?;
        if planned.second_firm && !self.state.second_firm_told {
            self.state.second_firm_told = true;
            self.done = Some(words::SECOND_FIRM.to_owned());
            return Ok(None);
        }
        self.state.second_firm_told = false;
        Ok(self.wish(Wish::Session(Box::new(planned.plan))))
    }

    pub(super) fn find(&mut self, folders: Vec<PathBuf>) {
        self.found = None;
        self.state.note.clear();
        self.clerk.give(Job::Findings(folders));
    }

    fn read_table(&mut self) {
        let table = &self.state.table;
        let Some(file) = table.file() else { return };
        self.found = None;
        let asked = table.asked();
        self.clerk.give(Job::Table(file, Box::new(asked)));
        self.way.go(Place::Findings);
    }

    /// Adds the note to the session's `notes.md`, which lies outside its checksums.
    fn keep_note(&mut self) -> Result<(), Trouble> {
        let folder = self.found.as_ref().filter(|found| !found.elsewhere);
        let Some(folder) = folder.and_then(|found| found.of.last()) else { return Ok(()) };
        outside::add_note(folder, self.state.note.trim())?;
        self.state.note.clear();
        self.done = Some(after::NOTE_KEPT.to_owned());
        Ok(())
    }
}
