//! What is said when a line is wrong (2) or cannot be done (1): always what, where and how to mend it.

use super::Desk;
use expect_test::expect;

#[test]
fn a_wrong_line_ends_with_2_and_says_how_to_write_it() {
    let desk = Desk::new("wrong-lines");
    let lines = [
        ("rehearse two-holds --seed x", "--seed"),
        ("rehearse two-holds --seed 1.5", "--seed"),
        ("rehearse two-holds --seed 99999999999999999999", "--seed"),
        ("rehearse two-holds --difference firm", "firm=-12"),
        ("rehearse two-holds --difference firm=nan", "-150 to 150"),
        ("rehearse two-holds --difference firm=900", "-150 to 150"),
        ("plan two-holds --difference nan", "-150 to 150"),
        ("rehearse two-holds --sessions 0", "1..=1000"),
        ("rehearse two-holds --sesions 2", "--sessions"),
        ("rehearse", "<PROTOCOL>"),
        ("findings", "<FOLDER>"),
        ("protocols --schema --json", "--json"),
        ("rehearze two-holds", "rehearse"),
    ];
    for (line, says) in lines {
        let done = desk.type_in(line);
        assert_eq!((done.code, done.out.as_str()), (2, ""), "{line}");
        assert!(
            done.err.starts_with("error: ") && done.err.contains(says),
            "{line}:\n{}",
            done.err
        );
    }
}

#[cfg(feature = "window")]
#[test]
fn a_wrong_line_for_a_real_session_ends_with_2() {
    let desk = Desk::new("wrong-run-lines");
    let lines = [
        ("run two-holds", "--player <NAME>"),
        ("run two-holds --player ana --window 1280", "1280x720"),
        ("run two-holds --player ana --window x720", "1280x720"),
        ("run two-holds --player ana --window 0x0", "320x240"),
        ("run two-holds --player ana --window 99999x720", "16384x16384"),
        ("run two-holds --player ana --input psychic", "auto, evdev, xinput"),
        ("run two-holds --player ana --gain nan", "0.01 to 50"),
        ("run two-holds --player ana --gain 0", "0.01 to 50"),
        ("run two-holds --player ana --cm-per-turn 40", "--fov"),
        ("run two-holds --player ana --fov 90", "--cm-per-turn"),
        ("run two-holds --player ana --fov 90 --cm-per-turn 0", "from 2 to 500"),
        ("run two-holds --player ana --fov 180 --cm-per-turn 40", "from 10 to 170"),
        ("run two-holds --player ana --counts-per-cm nan", "from 20 to 20000"),
        ("run two-holds --player ana --gain 1 --fov 90 --cm-per-turn 40", "--gain"),
        ("run --resume x --seed 3", "--seed"),
    ];
    for (line, says) in lines {
        let done = desk.type_in(line);
        assert_eq!((done.code, done.out.as_str()), (2, ""), "{line}");
        assert!(
            done.err.starts_with("error: ") && done.err.contains(says),
            "{line}:\n{}",
            done.err
        );
    }
    assert!(!desk.path("data").exists());
}

#[test]
fn what_cannot_be_done_is_told_in_three_lines() {
    let desk = Desk::new("faults");
    std::fs::create_dir(desk.path("empty")).unwrap();
    std::fs::write(desk.path("a-file"), "x").unwrap();
    let mut told = String::new();
    for line in [
        "rehearse no-such",
        "rehearse two-holds --difference grip=3 --data DATA",
        "rehearse two-holds --data a-file",
        "plan empty",
        "protocols no-such",
        "findings empty",
        "findings nowhere",
        "findings a-file",
        "findings nowhere --json",
        "picture empty",
        "replay nowhere",
        "close empty",
    ] {
        let done = desk.type_in(line);
        done.fault();
        told.push_str(&format!("$ tautline {line}\n{}", done.err));
    }
    expect![[r#"
        $ tautline rehearse no-such
        error: there is no such file and no shipped protocol of this id
          in no-such
          give a path to a .toml file, or one of: first-look, two-holds, three-holds, choice-by-hold, emergence-by-hold, partner-steps-out, onset-and-click, onset-by-hold, go-no-go-by-hold, four-ways-by-hold, pointing-by-difficulty, emergence-half-covered, steadiness-by-hold, tapping-by-hold, pursuit-by-hold, long-watch, hour-of-blocks
        $ tautline rehearse two-holds --difference grip=3 --data DATA
        error: protocol `two-holds` has no hold `grip`
          in --difference
          write one of: light, firm
        $ tautline rehearse two-holds --data a-file
        error: cannot list this file or folder: Not a directory (os error 20)
          in a-file
          allow it there, or choose another folder with --data
        $ tautline plan empty
        error: this file cannot be read: Is a directory (os error 21)
          in empty
          give a path to a .toml file, or one of: first-look, two-holds, three-holds, choice-by-hold, emergence-by-hold, partner-steps-out, onset-and-click, onset-by-hold, go-no-go-by-hold, four-ways-by-hold, pointing-by-difficulty, emergence-half-covered, steadiness-by-hold, tapping-by-hold, pursuit-by-hold, long-watch, hour-of-blocks
        $ tautline protocols no-such
        error: there is no such file and no shipped protocol of this id
          in no-such
          give a path to a .toml file, or one of: first-look, two-holds, three-holds, choice-by-hold, emergence-by-hold, partner-steps-out, onset-and-click, onset-by-hold, go-no-go-by-hold, four-ways-by-hold, pointing-by-difficulty, emergence-half-covered, steadiness-by-hold, tapping-by-hold, pursuit-by-hold, long-watch, hour-of-blocks
        $ tautline findings empty
        error: this is not a session folder: it has no manifest.json
          in empty
          give the folder that holds manifest.json
        $ tautline findings nowhere
        error: cannot read this file or folder: No such file or directory (os error 2)
          in nowhere/manifest.json
          look at its spelling, and that it may be read
        $ tautline findings a-file
        error: cannot read this file or folder: Not a directory (os error 20)
          in a-file/manifest.json
          look at its spelling, and that it may be read
        $ tautline findings nowhere --json
        error: cannot read this file or folder: No such file or directory (os error 2)
          in nowhere/manifest.json
          look at its spelling, and that it may be read
        $ tautline picture empty
        error: this is not a session folder: it has no manifest.json
          in empty
          give the folder that holds manifest.json
        $ tautline replay nowhere
        error: cannot read this file or folder: No such file or directory (os error 2)
          in nowhere/manifest.json
          look at its spelling, and that it may be read
        $ tautline close empty
        error: this is not a session folder: it has no manifest.json
          in empty
          give the folder that holds manifest.json
    "#]].assert_eq(&told);
}

#[test]
fn every_fault_of_a_protocol_is_told_at_once() {
    let desk = Desk::new("bad-protocol");
    let good = desk.type_in("protocols two-holds").out;
    let bad = good.replace("cycles = 10", "cycels = 10").replace("kind = \"simple\"", "kind = 3");
    assert_ne!(good, bad);
    std::fs::write(desk.path("bad.toml"), bad).unwrap();
    let done = desk.type_in("rehearse bad.toml --data DATA");
    assert_eq!((done.code, done.out.as_str()), (1, ""));
    assert_eq!(done.err.lines().count() % 3, 0);
    expect![[r#"
        error: `design.cycles` is missing
          in bad.toml:18:1
          write a whole number from 1 to 40: each holds every hold once, as one block
        error: there is no key `design.cycels`
          in bad.toml:20:1
          leave it out, or write `cycles` (the nearest known key)
        error: `task.kind` is 3
          in bad.toml:26:8
          write simple, onset, go_no_go, choice, emergence, pointing, steadiness, tapping, pursuit or vigilance
    "#]]
    .assert_eq(&done.err);
    assert!(!desk.path("data").exists(), "nothing is made before the protocol is right");
}

#[cfg(feature = "window")]
#[test]
fn a_real_session_without_a_screen_is_told_and_leaves_no_session() {
    let desk = Desk::new("no-screen");
    let done = desk.type_in("run two-holds --player ana --data DATA");
    assert!(done.fault()[1].contains("DISPLAY"));
    let sessions = super::bytes_of(&desk.path("data"));
    assert!(sessions.keys().all(|path| path.ends_with("player.toml")), "{:?}", sessions.keys());
}

#[cfg(unix)]
#[test]
fn a_folder_that_may_not_be_written_is_told_before_the_first_trial() {
    use std::os::unix::fs::PermissionsExt;
    let desk = Desk::new("unwritable");
    let locked = desk.path("data");
    std::fs::create_dir(&locked).unwrap();
    std::fs::set_permissions(&locked, std::fs::Permissions::from_mode(0o555)).unwrap();
    // Whoever may write everywhere finds no such folder.
    let may = std::fs::write(locked.join("x"), "").is_ok();
    if !may {
        let done = desk.type_in("rehearse two-holds --data DATA");
        let lines = done.fault();
        assert!(lines[1].contains("data") && lines[2].contains("--data"), "{lines:?}");
    }
    std::fs::set_permissions(&locked, std::fs::Permissions::from_mode(0o755)).unwrap();
}

#[cfg(feature = "window")]
#[test]
fn a_turn_of_the_view_needs_the_counts_of_the_mouse_and_is_kept() {
    use tautline::settings::{Gain, players};
    let desk = Desk::new("gain-by-turn");
    let line = "run two-holds --player ana --data DATA --cm-per-turn 40 --fov 90";
    let without = desk.type_in(line);
    let told = without.fault();
    assert!(told[0].contains("counts the mouse gives a centimetre"), "{told:?}");
    assert!(told[2].contains("--counts-per-cm"), "{told:?}");
    let gain = || players::list(&desk.path("data")).unwrap()[0].gain();
    assert_eq!(gain(), None);
    // There is no screen here, which is found out after the player's gain was kept.
    desk.type_in(&format!("{line} --counts-per-cm 315")).fault();
    let turn = Gain::Turn { counts_per_cm: 315.0, cm_per_turn: 40.0, fov_deg: 90.0 };
    assert_eq!(gain(), Some(turn));
    // What was told last holds, whichever of the two it was.
    desk.type_in("run two-holds --player ana --data DATA --gain 0.5").fault();
    assert_eq!(gain(), Some(Gain::PxPerCount(0.5)));
    desk.type_in(line).fault();
    assert_eq!(gain(), Some(turn));
}
