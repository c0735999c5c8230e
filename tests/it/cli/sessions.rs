//! Session folders by command: several at once, cut off, closed, in use.

use super::{Desk, bytes_of};
use std::fs;
use std::path::Path;

/// A folder as a killed program leaves it: no end in the manifest, whole rows of some tenths of
/// the trials and a torn one.
fn cut_off(folder: &Path, tenths: usize) {
    let manifest = folder.join("manifest.json");
    let mut told: serde_json::Value =
        serde_json::from_str(&fs::read_to_string(&manifest).unwrap()).unwrap();
    told["ending"] = serde_json::Value::Null;
    told["checksums"] = serde_json::json!({});
    let trials = fs::read_to_string(folder.join("trials.csv")).unwrap();
    let lines: Vec<&str> = trials.lines().collect();
    let keep = lines.len() * tenths / 10;
    let position = lines[0].split(',').position(|name| name == "position").unwrap();
    let reached: u64 = lines[keep - 1].split(',').nth(position).unwrap().parse().unwrap();
    told["blocks_finished"] = (1..reached).collect();
    fs::write(&manifest, told.to_string()).unwrap();
    let torn = &lines[keep][..lines[keep].len() / 2];
    fs::write(folder.join("trials.csv"), format!("{}\n{torn}", lines[..keep].join("\n"))).unwrap();
}

#[test]
fn stdout_holds_the_folders_one_a_line_and_nothing_else() {
    let desk = Desk::new("folders");
    let done = desk.type_in("rehearse first-look --data DATA --seed 5 --sessions 3");
    assert_eq!((done.code, done.err.as_str()), (0, ""));
    let folders: Vec<&Path> = done.out.lines().map(Path::new).collect();
    assert_eq!(folders.len(), 3);
    for folder in &folders {
        assert!(folder.starts_with(desk.path("data")) && folder.join("manifest.json").is_file());
    }
    // The platform's folder without --data.
    let done = desk.type_in("rehearse first-look --seed 5");
    assert!(Path::new(done.out.trim()).starts_with(&desk.folder), "{}", done.out);
}

#[test]
fn the_same_seed_gives_the_same_trials() {
    let desk = Desk::new("same-seed");
    let line = "first-look --seed 18446744073709551615 --difference firm=-6";
    let [a, b] = [(); 2].map(|()| desk.rehearse(line).remove(0));
    let rows = |folder: &Path| {
        let name = folder.file_name().unwrap().to_str().unwrap();
        fs::read_to_string(folder.join("trials.csv")).unwrap().replace(name, "S")
    };
    assert_eq!(rows(&a), rows(&b));
    assert_eq!(
        fs::read(a.join("schedule.csv")).unwrap(),
        fs::read(b.join("schedule.csv")).unwrap()
    );
    let other = desk.rehearse("first-look --seed 0 --difference firm=-6").remove(0);
    assert_ne!(rows(&a), rows(&other));
}

#[test]
fn several_sessions_of_one_player_and_one_protocol_are_one_finding() {
    let desk = Desk::new("several");
    let two = desk.rehearse("first-look --seed 5 --sessions 2 --difference firm=-12");
    let words = |folders: &[&Path]| {
        let mut words = vec!["findings".to_owned(), "--json".to_owned()];
        words.extend(folders.iter().map(|f| f.to_str().unwrap().to_owned()));
        words
    };
    let both = desk.call(&words(&[&two[0], &two[1]])).json();
    let one = desk.call(&words(&[&two[0]])).json();
    assert_eq!(both["sessions"].as_array().unwrap().len(), 2);
    let trials = |told: &serde_json::Value| told["conditions"][0]["trials"].as_u64().unwrap();
    assert_eq!(trials(&both), 2 * trials(&one));
    assert!(both["pairs"][0]["df"].as_f64() > one["pairs"][0]["df"].as_f64());

    let twice = desk.call(&words(&[&two[0], &two[0]]));
    assert!(twice.fault()[2].contains("once"));

    let other = desk.rehearse("three-holds --seed 5").remove(0);
    let mixed = desk.call(&words(&[&two[0], &other]));
    assert!(mixed.fault()[2].contains("one and the same protocol"), "{}", mixed.err);

    // The same protocol played by somebody else.
    let theirs = desk.path("theirs");
    let done =
        desk.call(&["rehearse", "first-look", "--seed", "9", "--data", theirs.to_str().unwrap()]);
    let stranger = Path::new(done.out.trim()).to_owned();
    let mixed = desk.call(&words(&[&two[0], &stranger]));
    assert!(mixed.fault()[2].contains("one player"), "{}", mixed.err);
}

#[test]
fn a_changed_file_is_refused() {
    let desk = Desk::new("changed");
    let folder = desk.rehearse("first-look --seed 5").remove(0);
    let trials = folder.join("trials.csv");
    fs::write(&trials, fs::read_to_string(&trials).unwrap().replacen(",hit,", ",miss,", 1))
        .unwrap();
    let done = desk.call(&["findings", folder.to_str().unwrap()]);
    assert!(done.fault()[0].contains("trials.csv"), "{}", done.err);
    let done = desk.call(&["replay", folder.to_str().unwrap()]);
    assert_eq!(done.code, 1);
    assert!(done.out.contains("outcome is miss in trials.csv and hit by replay"), "{}", done.out);
}

/// A byte of the file at its middle, or at the one named place of the manifest, whose own bytes have
/// no checksum.
fn change(path: &Path) {
    if path.ends_with("manifest.json") {
        let text = fs::read_to_string(path).unwrap();
        assert!(text.contains("\"seed\": \"5\""), "{text}");
        return fs::write(path, text.replace("\"seed\": \"5\"", "\"seed\": \"6\"")).unwrap();
    }
    let mut bytes = fs::read(path).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 0x01;
    fs::write(path, bytes).unwrap();
}

#[test]
fn replay_finds_a_changed_byte_in_every_file_that_matters() {
    let desk = Desk::new("changed-bytes");
    let folder = desk.rehearse("first-look --seed 5").remove(0);
    let replay = || desk.call(&["replay", folder.to_str().unwrap()]);
    assert_eq!((replay().code, replay().err.as_str()), (0, ""));
    for (name, says) in [
        ("events.bin", "events.bin"),
        ("trials.csv", "trials.csv"),
        ("schedule.csv", "schedule.csv"),
        ("ratings.csv", "ratings.csv"),
        ("protocol.toml", "protocol.toml"),
        ("manifest.json", "schedule.csv is not what"),
    ] {
        let path = folder.join(name);
        let whole = fs::read(&path).unwrap();
        change(&path);
        let done = replay();
        assert_eq!(done.code, 1, "{name}: {}{}", done.out, done.err);
        assert!(format!("{}{}", done.out, done.err).contains(says), "{name}: {}", done.out);
        fs::write(&path, whole).unwrap();
    }
    // The notes are the owner's to write in.
    fs::write(folder.join("notes.md"), "It rained.").unwrap();
    assert_eq!(replay().code, 0);
}

#[test]
fn a_session_that_was_cut_off_is_closed_and_found_as_far_as_it_went() {
    let desk = Desk::new("cut-off");
    let folder = desk.rehearse("two-holds --seed 5 --difference firm=-12").remove(0);
    let place = folder.to_str().unwrap();
    let whole = desk.call(&["findings", "--json", place]).json();
    cut_off(&folder, 6);
    let before = bytes_of(&folder);
    let opened = desk.call(&["findings", "--json", place]).json();
    assert!(bytes_of(&folder) == before, "looking changes nothing");
    let closed = desk.call(&["close", place]);
    assert_eq!((closed.code, closed.out.trim()), (0, place));
    assert!(closed.err.contains("bytes"), "{}", closed.err);
    let partial = desk.call(&["findings", "--json", place]).json();
    assert_eq!(partial["pairs"], opened["pairs"]);
    let blocks = |told: &serde_json::Value| told["conditions"][0]["blocks"].as_u64().unwrap();
    assert!(blocks(&partial) < blocks(&whole) && blocks(&partial) > 3);
    let manifest: serde_json::Value =
        serde_json::from_str(&fs::read_to_string(folder.join("manifest.json")).unwrap()).unwrap();
    assert_eq!(manifest["ending"], "partial");
    // Closed once, it takes no more.
    assert!(desk.call(&["close", place]).fault()[0].contains("has ended"));
}

#[cfg(feature = "window")]
#[test]
fn what_has_ended_or_is_simulated_is_not_gone_on_with() {
    let desk = Desk::new("no-resume");
    let folder = desk.rehearse("first-look --seed 5").remove(0);
    let place = folder.to_str().unwrap();
    assert!(desk.call(&["run", "--resume", place]).fault()[0].contains("has ended"));
    cut_off(&folder, 5);
    assert!(desk.call(&["run", "--resume", place]).fault()[0].contains("simulated"));
}

#[test]
fn a_second_run_on_a_folder_is_refused() {
    let desk = Desk::new("in-use");
    let folder = desk.rehearse("first-look --seed 5").remove(0);
    cut_off(&folder, 5);
    let lock = fs::File::create(folder.join(".lock")).unwrap();
    lock.lock().unwrap();
    let before = bytes_of(&folder);
    let done = desk.call(&["close", folder.to_str().unwrap()]);
    assert!(done.fault()[0].contains("in use by another run"), "{}", done.err);
    assert!(bytes_of(&folder) == before);
    drop(lock);
    assert_eq!(desk.call(&["close", folder.to_str().unwrap()]).code, 0);
}
