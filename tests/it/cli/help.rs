//! What `--help` says, word for word: scripts and habits rest on it.

use super::Desk;
use expect_test::expect_file;

/// Every command, in the order in which help lists them.
const COMMANDS: [&str; 10] = [
    "rehearse",
    "plan",
    "findings",
    "picture",
    "devices",
    "rig",
    "protocols",
    "close",
    "replay",
    "completions",
];

#[test]
fn help_of_each_command() {
    let desk = Desk::new("help");
    let mut text = String::new();
    let mut commands = vec![""];
    if cfg!(feature = "window") {
        commands.push("run");
    }
    commands.extend(COMMANDS);
    for command in commands {
        let done = desk.type_in(&format!("{command} --help"));
        assert_eq!((done.code, done.err.as_str()), (0, ""), "{command}");
        text.push_str(&format!("==== tautline {command}\n{}\n", done.out));
    }
    if cfg!(feature = "window") {
        expect_file!["help.txt"].assert_eq(&text);
    }
}

/// Without a display the window cannot be had: what to do instead is said.
#[cfg(all(feature = "window", target_os = "linux"))]
#[test]
fn nothing_typed_opens_the_window_and_names_the_rehearsal_where_there_is_none() {
    let mut command = Desk::new("nothing").command();
    command.env_remove("DISPLAY").env_remove("WAYLAND_DISPLAY").env_remove("WAYLAND_SOCKET");
    let done = super::Done::of(&command.output().unwrap());
    assert_eq!((done.code, done.out.as_str()), (1, ""), "{}", done.err);
    assert!(done.err.contains("`tautline rehearse`"), "{}", done.err);
    assert_eq!(done.err.lines().count(), 3, "{}", done.err);
}

#[cfg(not(feature = "window"))]
#[test]
fn nothing_typed_is_answered_with_help_as_a_wrong_line() {
    let done = Desk::new("nothing").type_in("");
    assert_eq!((done.code, done.out.as_str()), (2, ""));
    assert!(done.err.contains("Usage: tautline"));
    for command in COMMANDS {
        assert!(done.err.contains(&format!("\n  {command} ")), "{command}");
    }
}

#[test]
fn completions_know_every_command() {
    let desk = Desk::new("completions");
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let done = desk.type_in(&format!("completions {shell}"));
        assert_eq!((done.code, done.err.as_str()), (0, ""));
        for command in COMMANDS {
            assert!(done.out.contains(command), "{shell}: {command}");
        }
        assert!(done.out.contains("difference"), "{shell}");
    }
    assert_eq!(desk.type_in("completions tcsh").code, 2);
}
