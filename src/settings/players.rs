//! The players of a data folder: `<data>/<player id>/player.toml`.
//!
//! The id (a slug and four letters) is all that session folders know of a player. The same
//! nickname always leads to the same player.

use super::{AgeBand, Gain, SettingsError, file};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use serde::{Deserialize, Serialize};
use std::fs;
use std::path::{Path, PathBuf};

/// The file that makes a folder a player's.
const PLAYER_FILE: &str = "player.toml";

/// A slug is cut to this many characters, so that paths stay short.
const SLUG_LONGEST: usize = 24;

/// Number of the file's format.
const FORMAT: u32 = 1;

/// A player.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Player {
    /// Number of the file's format.
    pub format: u32,
    /// ASCII slug and four letters; the folder's name.
    pub id: String,
    /// As the player wants to be called.
    pub nickname: String,
    /// How far the view turns for one count, px; once set.
    pub px_per_count: Option<f64>,
    /// Counts the mouse gives a centimetre, by the ruler; once measured.
    pub counts_per_cm: Option<f64>,
    /// Centimetres of the hand for a full turn of the view, where the gain was told so.
    #[serde(default)]
    pub cm_per_turn: Option<f64>,
    /// The horizontal field of view that this was told for, degrees.
    #[serde(default)]
    pub fov_deg: Option<f64>,
    /// The hand on the mouse; once told.
    pub hand: Option<Hand>,
    /// The age band; once told.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub age_band: Option<AgeBand>,
    /// A force axis and its scale; once calibrated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub force: Option<ForceScale>,
    /// The player agreed that these times may stand beside those of other players on this computer.
    #[serde(default)]
    pub beside_others: bool,
}

/// A force axis and this player's scale on it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ForceScale {
    /// Its name, as `tautline force` lists it.
    pub axis: String,
    /// Raw reading at rest.
    pub rest: f64,
    /// Raw reading at a comfortable strong grip.
    pub strong: f64,
}

impl Player {
    /// The gain, where it is known: as px, or by the hand's turn.
    pub fn gain(&self) -> Option<Gain> {
        let turn = || {
            Some(Gain::Turn {
                counts_per_cm: self.counts_per_cm?,
                cm_per_turn: self.cm_per_turn?,
                fov_deg: self.fov_deg?,
            })
        };
        self.px_per_count.map(Gain::PxPerCount).or_else(turn)
    }
}

/// The hand on the mouse.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Hand {
    /// Left.
    Left,
    /// Right.
    Right,
}

/// The player with this nickname, made where there is none.
///
/// `data`: the data folder. Spaces around a nickname and capitals do not make another player.
/// `seed`: what the four letters of a new id are drawn from.
///
/// # Errors
/// [`SettingsError::NoNickname`]; [`SettingsError::Toml`] where a player's file does not read;
/// [`SettingsError::Io`].
pub fn find_or_create(data: &Path, nickname: &str, seed: u64) -> Result<Player, SettingsError> {
    if let Some(player) = find(data, nickname)? {
        return Ok(player);
    }
    let nickname = nickname.trim();
    fs::create_dir_all(data).map_err(SettingsError::io("make", data))?;
    let id = claim_id(data, &slug(nickname), seed)?;
    let nickname = nickname.to_owned();
    let player = Player {
        format: FORMAT,
        id,
        nickname,
        px_per_count: None,
        counts_per_cm: None,
        cm_per_turn: None,
        fov_deg: None,
        hand: None,
        age_band: None,
        force: None,
        beside_others: false,
    };
    save(data, &player)?;
    Ok(player)
}

/// The player with this nickname, if there is one.
///
/// # Errors
/// As [`find_or_create`].
pub fn find(data: &Path, nickname: &str) -> Result<Option<Player>, SettingsError> {
    let nickname = nickname.trim().to_lowercase();
    if nickname.is_empty() {
        return Err(SettingsError::NoNickname);
    }
    Ok(list(data)?.into_iter().find(|player| player.nickname.to_lowercase() == nickname))
}

/// Every player of a data folder, by id.
///
/// # Errors
/// Where the folder cannot be listed or a player's file does not read.
pub fn list(data: &Path) -> Result<Vec<Player>, SettingsError> {
    let mut players: Vec<Player> = Vec::new();
    if !data.exists() {
        return Ok(players);
    }
    for entry in fs::read_dir(data).map_err(SettingsError::io("list", data))? {
        let entry = entry.map_err(SettingsError::io("list", data))?;
        if entry.file_name().to_string_lossy().starts_with('.') {
            continue;
        }
        players.extend(file::read(&entry.path().join(PLAYER_FILE))?);
    }
    players.sort_by(|a, b| a.id.cmp(&b.id));
    Ok(players)
}

/// Keeps what is known of a player.
///
/// # Errors
/// Where the file cannot be written.
pub fn save(data: &Path, player: &Player) -> Result<(), SettingsError> {
    file::write(&player_file(data, &player.id), player)
}

/// Takes a player back who was made for a session that did not come about; one who has a session, or
/// anything else in the folder, stays.
///
/// # Errors
/// Where the folder cannot be read or taken away.
pub fn take_back(data: &Path, player: &Player) -> Result<(), SettingsError> {
    let home = data.join(&player.id);
    let entries = fs::read_dir(&home).map_err(SettingsError::io("list", &home))?;
    let own = entries.flatten().all(|entry| entry.file_name() == PLAYER_FILE);
    if own { fs::remove_dir_all(&home).map_err(SettingsError::io("erase", &home)) } else { Ok(()) }
}

/// Where a player's file stands.
pub fn player_file(data: &Path, id: &str) -> PathBuf {
    data.join(id).join(PLAYER_FILE)
}

/// Makes the player's folder: the first drawn id whose folder is not there yet.
fn claim_id(data: &Path, slug: &str, seed: u64) -> Result<String, SettingsError> {
    let mut draw = ChaCha8Rng::seed_from_u64(seed);
    loop {
        let letters: String = (0..4).map(|_| letter(draw.next_u32())).collect();
        let id = format!("{slug}-{letters}");
        let home = data.join(&id);
        match fs::create_dir(&home) {
            Ok(()) => return Ok(id),
            Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => {}
            Err(error) => return Err(SettingsError::io("make", &home)(error)),
        }
    }
}

fn letter(word: u32) -> char {
    let place = u8::try_from(word % 26).expect("below 26");
    char::from(b'a' + place)
}

/// Lower-case ASCII letters and digits, all else as single dashes.
fn slug(nickname: &str) -> String {
    let mut slug = String::new();
    for character in nickname.to_lowercase().chars() {
        if character.is_ascii_alphanumeric() {
            slug.push(character);
        } else if !slug.is_empty() && !slug.ends_with('-') {
            slug.push('-');
        }
    }
    slug.truncate(SLUG_LONGEST);
    let slug = slug.trim_end_matches('-');
    if slug.is_empty() { "player".to_owned() } else { slug.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slug_is_short_ascii_and_never_empty() {
        let long = "abcdefghij".repeat(9);
        for (nickname, expected) in [
            ("Kestrel", "kestrel"),
            ("  The Quiet One! ", "the-quiet-one"),
            ("Zoë 7", "zo-7"),
            ("零", "player"),
            ("../../etc", "etc"),
            (long.as_str(), "abcdefghijabcdefghijabcd"),
        ] {
            assert_eq!(slug(nickname), expected, "{nickname}");
        }
    }
}
