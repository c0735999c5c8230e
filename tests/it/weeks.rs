//! Sessions of invented players over some weeks, for pages that leave simulated sessions out.
//!
//! Rehearsed sessions are copied to players and days of their own, and the mark of the simulated
//! player is lifted in the copy, its checksums taken anew. Tests alone may do so: nothing here lies
//! in the program, and the copies stay in a folder of the tests.

use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use std::fs;
use std::path::{Path, PathBuf};
use tautline::clock;
use tautline::record;
use tautline::settings::players::{self, Player};

/// A player's sessions: how many days ago each was, oldest first.
pub(crate) struct Weeks {
    pub(crate) nickname: &'static str,
    pub(crate) agreed: bool,
    pub(crate) days_ago: &'static [i64],
}

/// Three players, of whom the third did not agree to stand beside others.
pub(crate) const THREE: [Weeks; 3] = [
    Weeks { nickname: "Heron (invented)", agreed: true, days_ago: &[64, 50, 36, 22, 8] },
    Weeks { nickname: "Otter (invented)", agreed: true, days_ago: &[75, 61, 47, 33] },
    Weeks { nickname: "Wren (invented)", agreed: false, days_ago: &[60, 41, 20, 3] },
];

/// Puts the players and their sessions below `data`, the sessions taken from `rehearsed` in turn.
pub(crate) fn put(data: &Path, rehearsed: &[PathBuf], all: &[Weeks]) -> Vec<Player> {
    let mut next = rehearsed.iter().cycle();
    let mut found = Vec::new();
    for (seed, weeks) in (70..).zip(all) {
        let mut player = players::find_or_create(data, weeks.nickname, seed).unwrap();
        player.beside_others = weeks.agreed;
        players::save(data, &player).unwrap();
        for days in weeks.days_ago {
            unmarked(next.next().unwrap(), data, &player, *days);
        }
        found.push(player);
    }
    found
}

/// A copy of the rehearsed session in `from` as if `player` had sat it `days_ago`; its folder.
fn unmarked(from: &Path, data: &Path, player: &Player, days_ago: i64) -> PathBuf {
    let read = |name: &str| fs::read_to_string(from.join(name)).unwrap();
    let mut manifest: Value = serde_json::from_str(&read("manifest.json")).unwrap();
    assert_eq!(manifest["simulated"], true, "only a rehearsed session is copied");
    let was = manifest["session"].as_str().unwrap().to_owned();
    let sitter = manifest["player"].as_str().unwrap().to_owned();
    let began = clock::utc() - jiff::SignedDuration::from_hours(24 * days_ago);
    let protocol = was.split_once('-').unwrap().1;
    let session = format!("{}-{protocol}", began.strftime("%Y%m%dT%H%M%SZ"));
    let folder = data.join(&player.id).join(&session);
    fs::create_dir_all(&folder).unwrap();
    for name in ["protocol.toml", "schedule.csv", "events.bin"] {
        fs::copy(from.join(name), folder.join(name)).unwrap();
    }
    let named = |text: String| text.replace(&was, &session).replace(&sitter, &player.id);
    for name in ["trials.csv", "ratings.csv"] {
        let text = named(read(name));
        assert!(text.starts_with("format,simulated,"), "the second column is the mark");
        let rows = text.lines().map(|row| row.replacen("1,true,", "1,false,", 1) + "\n");
        fs::write(folder.join(name), rows.collect::<String>()).unwrap();
    }
    let mut package: Value = serde_json::from_str(&read("datapackage.json")).unwrap();
    package["name"] = json!(session.to_lowercase());
    package["simulated"] = json!(false);
    fs::write(folder.join("datapackage.json"), format!("{package:#}\n")).unwrap();
    fs::write(folder.join("notes.md"), "").unwrap();
    manifest["session"] = json!(session);
    manifest["player"] = json!(player.id);
    manifest["simulated"] = json!(false);
    manifest["simulation"] = Value::Null;
    manifest["segments"][0]["utc"] = json!(began.to_string());
    // As at the end of a session: SHA-256 (FIPS 180-4), in hexadecimal digits.
    for (name, sum) in manifest["checksums"].as_object_mut().unwrap() {
        let digest = Sha256::digest(fs::read(folder.join(name)).unwrap());
        *sum = json!(digest.iter().map(|byte| format!("{byte:02x}")).collect::<String>());
    }
    fs::write(folder.join("manifest.json"), format!("{manifest:#}\n")).unwrap();
    let opened = record::open(&folder).unwrap();
    assert!(opened.changed.is_empty() && !opened.manifest.simulated, "{:?}", opened.changed);
    assert!(opened.trials.iter().all(|trial| !trial.simulated));
    folder
}
