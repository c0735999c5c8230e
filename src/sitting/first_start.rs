//! What is kept of the first start, whichever door it came through: that the cautions were read,
//! and the player's age band. No answer about the body is among it.

use crate::settings::players::{self, Player};
use crate::settings::{self, AgeBand, Settings, SettingsError};
use crate::window::Age;
use std::path::Path;

/// The age band that a player told on screen.
pub const fn age_band(age: Age) -> AgeBand {
    match age {
        Age::Adult => AgeBand::Adult,
        Age::Young => AgeBand::MinorWithGuardian,
    }
}

/// Keeps in `file` that the cautions were read, and in the data folder `data` the player's age band.
/// Both are tried, whatever becomes of the other; in memory both stand in any case.
///
/// # Errors
/// One of the two cannot be written: the first of them.
pub fn keep_first_start(
    file: &Path,
    settings: &mut Settings,
    data: &Path,
    player: &mut Player,
    band: AgeBand,
) -> Result<(), SettingsError> {
    settings.caution_read = true;
    player.age_band = Some(band);
    let saved = settings::save(file, settings);
    let kept = players::save(data, player);
    saved.and(kept)
}

#[cfg(test)]
mod tests {
    use super::{age_band, keep_first_start};
    use crate::settings::{self, Settings, players};
    use crate::window::Age;

    #[test]
    fn the_age_band_is_kept_even_where_the_settings_cannot_be() {
        let folder =
            std::env::temp_dir().join(format!("tautline-first-start-{}", std::process::id()));
        let data = folder.join("data");
        let mut player = players::find_or_create(&data, "Heron", 1).unwrap();
        let mut kept = Settings::default();
        let file = folder.join("settings.toml");
        keep_first_start(&file, &mut kept, &data, &mut player, age_band(Age::Young)).unwrap();
        assert!(settings::load(&file).unwrap().caution_read);
        assert!(players::list(&data).unwrap()[0].age_band == player.age_band);
        // A file where a folder would have to be.
        let below = file.join("settings.toml");
        let refused = keep_first_start(&below, &mut kept, &data, &mut player, age_band(Age::Adult));
        assert!(refused.is_err());
        assert!(players::list(&data).unwrap()[0].age_band == Some(age_band(Age::Adult)));
        std::fs::remove_dir_all(&folder).unwrap();
    }
}
