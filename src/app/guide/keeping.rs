//! What the pages keep on disk: the settings, the players, the protocols that were made here.

use super::draft::{Question, shipped_questions};
use crate::app::house::Options;
use crate::input::InputChoice;
use crate::protocol;
use crate::settings::{self, AgeBand, Settings, players, players::Player};
use crate::sitting::{self, Source, Trouble, source};
use crate::words::Tell;
use std::fs;
use std::path::{Path, PathBuf};

/// The folder of protocols made here, inside the data folder.
const PROTOCOLS: &str = "protocols";

/// Where things are kept, and how this run was started.
#[derive(Debug)]
pub(super) struct Keeping {
    /// Where the settings stand.
    file: PathBuf,
    /// The settings as they are.
    pub(super) settings: Settings,
    /// The data folder of this run, where one was given.
    given_data: Option<PathBuf>,
    /// Where presses come from.
    pub(super) input: InputChoice,
    /// The mouse of this run, where one was given.
    given_mouse: Option<String>,
}

impl Keeping {
    /// Reads the settings.
    ///
    /// # Errors
    /// They do not read, or there is no home folder.
    pub(super) fn open(options: &Options) -> Result<Keeping, Trouble> {
        let file = match &options.settings {
            Some(file) => file.clone(),
            None => settings::settings_file()?,
        };
        let settings = settings::load(&file)?;
        Ok(Keeping {
            file,
            settings,
            given_data: options.data.clone(),
            input: options.input,
            given_mouse: options.mouse.clone(),
        })
    }

    /// The data folder.
    ///
    /// # Errors
    /// The system names no home folder.
    pub(super) fn data(&self) -> Result<PathBuf, Trouble> {
        let chosen = self.given_data.as_deref().or(self.settings.data.as_deref());
        source::data_folder(chosen)
    }

    /// The mouse that is wished for.
    pub(super) fn mouse(&self) -> Option<String> {
        self.given_mouse.clone().or_else(|| self.settings.mouse.clone())
    }

    /// Keeps the settings.
    ///
    /// # Errors
    /// They cannot be written.
    pub(super) fn save(&self) -> Result<(), Trouble> {
        Ok(settings::save(&self.file, &self.settings)?)
    }

    /// Keeps that the cautions were read, and the player's age band.
    ///
    /// # Errors
    /// Either cannot be written.
    pub(super) fn keep_first_start(
        &mut self,
        player: &mut Player,
        band: AgeBand,
    ) -> Result<(), Trouble> {
        let data = self.data()?;
        let (file, settings) = (&self.file, &mut self.settings);
        Ok(sitting::keep_first_start(file, settings, &data, player, band)?)
    }

    /// Every player of the data folder.
    ///
    /// # Errors
    /// A player's file does not read.
    pub(super) fn players(&self) -> Result<Vec<Player>, Trouble> {
        Ok(players::list(&self.data()?)?)
    }

    /// The shipped questions and those made here; what of the latter does not read is told.
    pub(super) fn questions(&self) -> (Vec<Question>, Option<Trouble>) {
        let mut questions = shipped_questions();
        let mut trouble = Vec::new();
        let own = self.data().map(|data| data.join(PROTOCOLS));
        let entries = own.ok().and_then(|folder| fs::read_dir(folder).ok());
        let mut files: Vec<PathBuf> =
            entries.into_iter().flatten().flatten().map(|entry| entry.path()).collect();
        files.retain(|path| path.extension().is_some_and(|ending| ending == "toml"));
        files.sort();
        for file in files {
            match read(&file) {
                Ok(source) => questions.push(Question { source, own: true }),
                Err(Trouble(told)) => trouble.extend(told),
            }
        }
        (questions, if trouble.is_empty() { None } else { Some(Trouble(trouble)) })
    }

    /// Writes a protocol made here, by temporary file and rename; where it stands.
    ///
    /// # Errors
    /// It cannot be written.
    pub(super) fn keep_protocol(&self, source: &Source) -> Result<PathBuf, Trouble> {
        let folder = self.data()?.join(PROTOCOLS);
        let path = folder.join(format!("{}.toml", source.protocol.id));
        let beside = path.with_extension("toml.new");
        let written = fs::create_dir_all(&folder)
            .and_then(|()| fs::write(&beside, &source.text))
            .and_then(|()| fs::rename(&beside, &path));
        written.map_err(|error| {
            Trouble::one(
                format!("the protocol cannot be written: {error}"),
                Some(path.display().to_string()),
                "make room on the disk, or choose another data folder in the settings".to_owned(),
            )
        })?;
        Ok(path)
    }

    /// Whether a protocol with this id was made here before.
    pub(super) fn has_protocol(&self, id: &str) -> bool {
        self.data().is_ok_and(|data| data.join(PROTOCOLS).join(format!("{id}.toml")).exists())
    }
}

fn read(file: &Path) -> Result<Source, Trouble> {
    let name = file.display().to_string();
    let text = fs::read_to_string(file).map_err(|error| {
        Trouble::one(
            format!("this file cannot be read: {error}"),
            Some(name.clone()),
            "allow reading it, or take it away".to_owned(),
        )
    })?;
    let protocol = protocol::read(&text, &name)
        .map_err(|faults| Trouble(faults.iter().map(Tell::tell).collect()))?;
    Ok(Source { protocol, text })
}
