//! The pages outside a session without a window: clicks and keys in, wishes, files and texts out.
//!
//! egui runs headless. The limits come from outside: WCAG 2.1.1 (everything by keyboard), 2.3.1 (no
//! more than three changes a second) and 4.1.2 (names for a screen reader).

use crate::visitor::{HIGH, Text, Visitor, WITHIN};
use egui::Key;
use std::path::{Path, PathBuf};
use std::time::Duration;
use tautline::app::Wished;
use tautline::clock;
use tautline::engine::Ending;
use tautline::units::Span;
use tautline::window::Screens;

/// 1280x720 at 200 %.
const SMALL: [f32; 2] = [640.0, 360.0];
/// The pages over an empty folder.
pub(crate) fn visitor(name: &str, size: [f32; 2]) -> Visitor {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("guide").join(name);
    if folder.exists() {
        std::fs::remove_dir_all(&folder).unwrap();
    }
    std::fs::create_dir_all(&folder).unwrap();
    Visitor::over(folder, size)
}

const QUESTION: &str = "1   Is there a large difference between a light and a firm hold?";

/// From the first start to the page of the plan; the pages that were seen.
fn to_the_plan(visitor: &mut Visitor) -> Vec<String> {
    let mut seen = vec![visitor.all()];
    visitor.is_at("Before you start");
    visitor.click("I have read this");
    visitor.is_at("Ten presses, to feel it");
    seen.push(visitor.all());
    visitor.click("Start the ten presses");
    assert_eq!(visitor.wished(), Some(Wished::Feel));
    visitor.stagehand.felt();
    visitor.house.home(clock::now());
    visitor.settle();
    visitor.is_at("What do you want to know?");
    seen.push(visitor.all());
    visitor.click(QUESTION);
    visitor.is_at("Who plays?");
    assert!(visitor.context.text_edit_focused(), "the nickname can be typed at once");
    visitor.type_in("Heron");
    seen.push(visitor.all());
    visitor.click("Go on");
    visitor.is_at("A few questions first");
    seen.push(visitor.all());
    // No to each question, 18 or older, and the agreement.
    for _ in 0..4 {
        visitor.press(Key::Enter);
    }
    visitor.press(Key::Enter);
    seen.push(visitor.all());
    visitor.press(Key::Enter);
    visitor.is_at("Your display, mouse and computer");
    seen.push(visitor.all());
    visitor.click("Go on without a check");
    visitor.is_at("The holds");
    seen.push(visitor.all());
    visitor.click("Go on");
    visitor.is_at("The plan");
    visitor.until("of 10 such sessions");
    seen.push(visitor.all());
    seen
}

/// A session of a simulated player in the visitor's data folder.
pub(crate) fn rehearsed(visitor: &Visitor, seed: &str) -> PathBuf {
    let data = visitor.folder.join("data");
    let done = std::process::Command::new(env!("CARGO_BIN_EXE_tautline"))
        .args(["rehearse", "first-look", "--seed", seed, "--data"])
        .arg(&data)
        .output()
        .unwrap();
    assert!(done.status.success(), "{done:?}");
    PathBuf::from(String::from_utf8(done.stdout).unwrap().trim())
}

#[test]
fn the_first_start_leads_to_a_session_and_its_findings() {
    let mut visitor = visitor("first", HIGH);
    to_the_plan(&mut visitor);
    visitor.click("Start the session");
    assert_eq!(visitor.wished(), Some(Wished::Session), "{}", visitor.all());
    let settings = std::fs::read_to_string(visitor.folder.join("settings.toml")).unwrap();
    assert!(settings.contains("caution_read = true"), "{settings}");
    let folder = rehearsed(&visitor, "5");
    visitor.stagehand.ended(folder.clone(), Ending::Complete);
    visitor.house.home(clock::now());
    visitor.settle();
    visitor.is_at("What was found");
    visitor.until("What you expected");
    assert!(visitor.says("Simulated"), "{}", visitor.all());
    assert!(folder.join("findings/report.html").exists());
    // By keys: what was pressed keeps the focus.
    for _ in 0..40 {
        visitor.press(Key::Tab);
        if visitor.focused().is_some_and(|name| name == "Copy the sentence") {
            break;
        }
    }
    visitor.press(Key::Space);
    assert!(visitor.says("The sentence was copied."), "{}", visitor.all());
    let focused = visitor.context.memory(|memory| memory.focused());
    assert!(focused.is_some(), "what was pressed keeps the focus");
    visitor.press(Key::Space);
    assert_eq!(visitor.context.memory(|memory| memory.focused()), focused);
    assert!(visitor.says("The sentence was copied."), "{}", visitor.all());
    visitor.click("Show it to others");
    visitor.is_at("Show it to others");
    assert!(visitor.says("Median") && visitor.says("Mean"));
    visitor.click("Make the frames");
    visitor.until("frames lie in");
    assert!(folder.join("findings/frames/frame-0001.png").exists());
    visitor.click("Back");
    visitor.is_at("What was found");
    visitor.click("To your sessions");
    visitor.until("What is due next");
    visitor.click("Everybody");
    visitor.until("SIMULATED PLAYER");
    visitor.click("Erase");
    visitor.click("No, keep it");
    assert!(folder.exists());
    visitor.click("Erase");
    visitor.click("Yes, erase it");
    visitor.until("It was erased.");
    assert!(!folder.exists());
}

/// A look at what half a session found would be a running result.
#[test]
fn a_stopped_session_leads_to_the_sessions_and_not_to_its_findings() {
    let mut visitor = visitor("stopped", HIGH);
    to_the_plan(&mut visitor);
    visitor.click("Start the session");
    assert_eq!(visitor.wished(), Some(Wished::Session), "{}", visitor.all());
    let folder = rehearsed(&visitor, "6");
    std::fs::remove_dir_all(folder.join("findings")).ok();
    visitor.stagehand.ended(folder.clone(), Ending::Stopped);
    visitor.house.home(clock::now());
    visitor.settle();
    visitor.is_at("Sessions over the weeks");
    assert!(visitor.says("it can be taken up again below"), "{}", visitor.all());
    visitor.until("What is due next");
    assert!(!folder.join("findings").exists(), "nothing was worked out unasked");
}

#[test]
fn the_rig_is_checked_on_the_way_and_from_the_settings() {
    let mut visitor = visitor("rig", HIGH);
    to_the_plan(&mut visitor);
    visitor.click("Back");
    visitor.click("Back");
    visitor.is_at("Your display, mouse and computer");
    assert!(visitor.says("Not checked yet"), "{}", visitor.all());
    visitor.click("Check them now");
    assert_eq!(visitor.wished(), Some(Wished::Rig), "{}", visitor.all());
    visitor.stagehand.checked();
    visitor.house.home(clock::now());
    visitor.settle();
    visitor.is_at("The holds");
    assert!(visitor.says("The check is done"), "{}", visitor.all());
    visitor.click("Settings");
    visitor.click("Check display, mouse and computer");
    visitor.is_at("Your display, mouse and computer");
    // It stands on the way already, so it is left the way that one came.
    visitor.click("Go on without a check");
    visitor.is_at("The holds");
}

#[test]
fn back_loses_nothing_that_was_typed_and_a_second_start_asks_less() {
    let mut visitor = visitor("back", HIGH);
    to_the_plan(&mut visitor);
    visitor.click("Back");
    visitor.is_at("The holds");
    visitor.click("Back");
    visitor.click("Back");
    // The agreement was given: it is left out on the way back and forth.
    visitor.is_at("Who plays?");
    assert!(visitor.says("Heron"));
    visitor.click("Go on");
    visitor.is_at("The holds");
    let folder = visitor.folder.clone();
    drop(visitor);
    let visitor = Visitor::over(folder, HIGH);
    visitor.is_at("What do you want to know?");
}

#[test]
fn a_plan_changed_on_screen_is_kept_as_a_file_that_the_command_line_reads() {
    let mut visitor = visitor("own", HIGH);
    to_the_plan(&mut visitor);
    visitor.click("Back");
    // Both holds have the same rows of cells; the first of a name belongs to the first hold.
    visitor.click("Palm");
    visitor.click("Shaped");
    assert!(visitor.says("Shaped palm"), "{}", visitor.all());
    visitor.click("Go on");
    visitor.click("10 ms");
    visitor.until("of 10 such sessions");
    visitor.click("Start the session");
    assert_eq!(visitor.wished(), Some(Wished::Session), "{}", visitor.all());
    let file = visitor.folder.join("data/protocols/first-look-own-1.toml");
    let text = std::fs::read_to_string(&file).unwrap();
    let protocol = tautline::protocol::read(&text, "own").unwrap_or_else(|f| panic!("{f:?}"));
    assert_eq!(protocol.conditions[0].id, "shaped-palm");
    assert!(protocol.conditions[0].say.contains("curled"));
    let done = std::process::Command::new(env!("CARGO_BIN_EXE_tautline"))
        .args(["plan", "--simulations", "50"])
        .arg(&file)
        .output()
        .unwrap();
    assert!(done.status.success(), "{done:?}");
}

#[test]
fn a_table_is_shown_mapped_and_worked_out() {
    let mut visitor = visitor("table", HIGH);
    visitor.click("I have read this");
    visitor.click("Leave them out");
    visitor.click("Tables from elsewhere");
    // Invented: the second hold is 12 ms faster, and blocks differ by whole steps.
    let mut rows = "grip,round,rt_ms\n".to_owned();
    for cycle in 0..6 {
        for press in 0..6 {
            let step = (cycle * 3 + press * 7) % 11;
            rows += &format!("open,{cycle},{}\nclosed,{cycle},{}\n", 240 + step, 228 + step);
        }
    }
    let copy = visitor.folder.join("times.csv");
    std::fs::write(&copy, rows).unwrap();
    while !visitor.context.text_edit_focused() {
        visitor.press(Key::Tab);
    }
    visitor.type_in(copy.to_str().unwrap());
    visitor.until("What each column is taken for");
    visitor.click("Work it out");
    visitor.until("What was found");
    visitor.until("Open the report");
    assert!(visitor.folder.join("times-findings/report.html").exists());
}

#[test]
fn a_table_and_a_folder_for_data_are_found_in_the_list_of_folders() {
    let mut visitor = visitor("folders", HIGH);
    visitor.click("I have read this");
    visitor.click("Leave them out");
    let table = visitor.folder.join("counted.CSV");
    std::fs::write(&table, "hold,frames\nopen,30\nclosed,28\n").unwrap();
    std::fs::write(visitor.folder.join("letter.odt"), "no table").unwrap();
    std::fs::create_dir_all(visitor.folder.join("kept")).unwrap();
    visitor.click("Tables from elsewhere");
    while !visitor.context.text_edit_focused() {
        visitor.press(Key::Tab);
    }
    // A name beside which the looking begins; no such file is there.
    visitor.type_in(visitor.folder.join("times.csv").to_str().unwrap());
    visitor.until("No table with at least two columns");
    visitor.click("Look for it in your folders");
    visitor.until("kept (folder)");
    assert!(!visitor.says("letter.odt"), "{}", visitor.all());
    visitor.click("kept (folder)");
    visitor.until("No folder and no table");
    visitor.click("The folder above");
    visitor.until("counted.CSV");
    visitor.click("counted.CSV");
    visitor.until("What each column is taken for");
    visitor.click("Settings");
    visitor.click("Look for it in your folders");
    visitor.until("Take this folder");
    visitor.click("Stop looking");
    assert!(!visitor.says("Take this folder"), "{}", visitor.all());
}

#[test]
fn frames_counted_by_hand_ask_for_the_film_before_they_are_worked_out() {
    let mut visitor = visitor("frames", HIGH);
    visitor.click("I have read this");
    visitor.click("Leave them out");
    let table = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/invented-table.csv");
    let copy = visitor.folder.join("counted.csv");
    std::fs::copy(table, &copy).unwrap();
    visitor.click("Tables from elsewhere");
    while !visitor.context.text_edit_focused() {
        visitor.press(Key::Tab);
    }
    visitor.type_in(copy.to_str().unwrap());
    visitor.until("First tell how many frames a second were filmed.");
    visitor.press(Key::Tab);
    while !visitor.context.text_edit_focused() {
        visitor.press(Key::Tab);
    }
    visitor.type_in("120");
    assert!(!visitor.says("First tell how many"), "{}", visitor.all());
    visitor.click("Work it out");
    visitor.until("Open the report");
    assert!(visitor.folder.join("counted-findings/report.html").exists());
}

/// A second player with a copy of the sessions of the first.
fn another(data: &Path, name: &str, seed: u64, first: &Path) -> PathBuf {
    let player = tautline::settings::players::find_or_create(data, name, seed).unwrap();
    let home = data.join(&player.id);
    let owner = first.parent().unwrap();
    let copy = home.join(first.file_name().unwrap());
    std::fs::create_dir_all(&copy).unwrap();
    for entry in std::fs::read_dir(first).unwrap() {
        let path = entry.unwrap().path();
        if path.is_file() {
            std::fs::copy(&path, copy.join(path.file_name().unwrap())).unwrap();
        }
    }
    let manifest = copy.join("manifest.json");
    let text = std::fs::read_to_string(&manifest).unwrap();
    let id = owner.file_name().unwrap().to_str().unwrap();
    std::fs::write(&manifest, text.replace(id, &player.id)).unwrap();
    home
}

#[test]
fn a_player_is_erased_whole_after_a_question_and_the_others_are_untouched() {
    let mut visitor = visitor("erase", HIGH);
    let data = visitor.folder.join("data");
    let first = rehearsed(&visitor, "3");
    let otter = another(&data, "Otter", 8, &first);
    let heron = another(&data, "Heron", 9, &first);
    visitor.click("I have read this");
    visitor.click("Leave them out");
    visitor.click("Sessions and players");
    visitor.until("What is due next");
    visitor.click("Otter");
    visitor.until("What is due next");
    visitor.click("Erase Otter and every session");
    assert!(visitor.says("would be gone for good"), "{}", visitor.all());
    visitor.click("No, keep it");
    assert!(otter.exists());
    // A session that runs now holds its folder: nothing of the player goes.
    let session = otter.join(first.file_name().unwrap());
    let lock =
        std::fs::OpenOptions::new().create(true).append(true).open(session.join(".lock")).unwrap();
    lock.lock().unwrap();
    visitor.click("Erase Otter and every session");
    visitor.click("Yes, erase it");
    visitor.until("Something is in the way");
    assert!(session.join("manifest.json").exists());
    visitor.click("I have seen it");
    drop(lock);
    visitor.click("Erase Otter and every session");
    visitor.click("Yes, erase it");
    visitor.until("It was erased.");
    visitor.until("What is due next");
    let left: Vec<PathBuf> =
        std::fs::read_dir(&data).unwrap().map(|entry| entry.unwrap().path()).collect();
    assert!(!otter.exists() && left.len() == 2, "{left:?}");
    assert!(heron.join(first.file_name().unwrap()).join("trials.csv").exists());
    assert!(first.join("trials.csv").exists());
    assert!(!visitor.says("Otter"), "{}", visitor.all());
}

#[test]
fn everything_is_reached_by_keyboard_and_has_a_name() {
    let mut visitor = visitor("keys", [1280.0, 720.0]);
    visitor.press(Key::Enter);
    visitor.is_at("Ten presses, to feel it");
    visitor.press(Key::Escape);
    visitor.is_at("Before you start");
    visitor.press(Key::Enter);
    // The head's button, then down the page: the one that leaves the presses out.
    for _ in 0..2 {
        visitor.press(Key::Tab);
    }
    visitor.press(Key::Space);
    visitor.is_at("What do you want to know?");
    for label in [QUESTION, "Sessions and players", "Settings", "Quit", "Back"] {
        let named = visitor.labels.iter().any(|known| known == label);
        assert!(named, "`{label}` has no name: {:?}", visitor.labels);
    }
}

#[test]
fn every_text_fits_a_small_window_at_twice_the_scale() {
    for (name, size) in [("small", SMALL), ("medium", [1280.0, 720.0])] {
        let mut visitor = visitor(name, HIGH);
        visitor.click("I have read this");
        visitor.click("Leave them out");
        visitor.size = size;
        visitor.settle();
        for page in ["Settings", "Tables from elsewhere", "Sessions and players"] {
            visitor.size = HIGH;
            visitor.settle();
            visitor.click(page);
            visitor.size = size;
            visitor.settle();
            for Text { text, rect } in visitor.texts.iter().filter(|t| !t.text.is_empty()) {
                let inside = rect.left() >= 0.0 && rect.right() <= size[0];
                assert!(inside, "{page} at {size:?}: `{text}` at {rect:?}");
            }
        }
    }
}

#[test]
fn words_that_must_not_stand_on_a_page_and_pages_that_stand_still() {
    let mut visitor = visitor("words", HIGH);
    let all = to_the_plan(&mut visitor).join("\n").to_lowercase();
    let words: Vec<&str> = all.split(|c: char| !c.is_alphabetic()).collect();
    let forbidden = [
        "maximum maximal hardest death crush",
        "prevent prevents treat treats cause causes cure cures heal heals",
        "score rank league percentile streak playlist routine scenario best",
    ];
    for word in forbidden.iter().flat_map(|line| line.split(' ')) {
        assert!(!words.contains(&word), "`{word}` stands on a page");
    }
    // Once the plan is worked out nothing is drawn again by itself.
    let until = clock::now() + WITHIN;
    while visitor.repaint_in != Duration::MAX {
        assert!(clock::now() < until, "the page never came to rest");
        clock::wait(clock::now() + Span::from_ms(50));
        visitor.frame(vec![]);
    }
}
