//! Players and settings: the same nickname leads to the same player, files read back.

use crate::record_sample::fresh_folder;
use std::fs;
use tautline::settings::players::{Hand, find_or_create, list, player_file, save};
use tautline::settings::{Settings, SettingsError, load};

#[test]
fn the_same_nickname_is_the_same_player() {
    let data = fresh_folder("players");
    let mut player = find_or_create(&data, "The Quiet One", 1).unwrap();
    assert!(player.id.starts_with("the-quiet-one-"), "{}", player.id);
    assert_eq!(player.id.len(), "the-quiet-one-".len() + 4);
    player.px_per_count = Some(0.25);
    player.hand = Some(Hand::Left);
    save(&data, &player).unwrap();
    assert_eq!(find_or_create(&data, " the quiet one ", 2).unwrap(), player);
    // Another nickname with the same slug and the same seed is another player.
    let other = find_or_create(&data, "The Quiet-One", 1).unwrap();
    assert_ne!(other.id, player.id);
    assert_eq!(list(&data).unwrap().len(), 2);
    assert!(matches!(find_or_create(&data, "  ", 1), Err(SettingsError::NoNickname)));
}

#[test]
fn a_players_file_that_does_not_read_is_told_with_its_path() {
    let data = fresh_folder("players_broken");
    let player = find_or_create(&data, "Kestrel", 1).unwrap();
    let path = player_file(&data, &player.id);
    fs::write(&path, "nickname = 7").unwrap();
    let Err(SettingsError::Toml { path: told, .. }) = find_or_create(&data, "Kestrel", 1) else {
        panic!("not told")
    };
    assert_eq!(told, path);
}

#[test]
fn settings_read_back_and_start_from_nothing() {
    let file = fresh_folder("settings").join("deep").join("settings.toml");
    assert_eq!(load(&file).unwrap(), Settings::default());
    let settings =
        Settings { caution_read: true, display_lag_ms: Some(6.0), ..Settings::default() };
    tautline::settings::save(&file, &settings).unwrap();
    assert_eq!(load(&file).unwrap(), settings);
}
