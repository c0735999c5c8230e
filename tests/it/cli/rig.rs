//! Saved rigs and films by the command line.

use super::Desk;
use crate::rig::profile;
use std::path::PathBuf;
use tautline::rig::camera::{Answer, sheet};
use tautline::units::{Nanos, Span, Stamp, StampSource};

/// A sheet of five clicks that the program saw answered after 20 ms.
fn sheet_of(desk: &Desk) -> PathBuf {
    let stamp = |ms: f64, source| Stamp {
        t: Nanos(1_000_000_000) + Span::from_ms_f64(ms),
        source,
        sd: Span::ZERO,
    };
    let answers: Vec<Answer> = (1..=5_u32)
        .map(|n| {
            let at = 700.0 * f64::from(n);
            let press = stamp(at, StampSource::Evdev);
            Answer {
                counter: u64::from(n) * 42,
                press,
                shown: stamp(at + 20.0, StampSource::Damage),
            }
        })
        .collect();
    let path = desk.path("film.csv");
    sheet::write(&path, &sheet::rows(&answers)).unwrap();
    path
}

/// Seven frames from press to answer, at 240 frames a second and clicks 700 ms apart.
const FRAMES: &str = "1:1000-1007,2:1168-1175,3:1336-1343,4:1504-1511,5:1672-1679";

#[test]
fn an_empty_list_says_so_and_a_saved_check_is_listed() {
    let desk = Desk::new("rig-list");
    let none = desk.type_in("rig --list --data DATA");
    assert_eq!((none.code, none.out.as_str()), (0, ""));
    assert!(none.err.contains("tautline rig"));
    tautline::rig::save(&desk.path("data"), profile("2026-03-02T07:00:00Z")).unwrap();
    let one = desk.type_in("rig --list --data DATA");
    assert_eq!(
        one.out,
        "20260302T070000Z  One thing is worth mending before a session. Notes: 0. Not told: 0.\n"
    );
    let told = desk.type_in("rig --list --json --data DATA").json();
    assert_eq!(told["rigs"][0]["name"], "20260302T070000Z");
    assert_eq!(told["rigs"][0]["rig"]["findings"][0]["grade"], "mend");
}

#[test]
fn a_film_gives_the_lag_and_it_is_kept_with_the_newest_check() {
    let desk = Desk::new("rig-film");
    let film = sheet_of(&desk);
    let line = format!("rig --film {} --camera-rate 240 --data DATA", film.display());
    let fault = desk.type_in(&format!("{line} --frames {FRAMES}"));
    assert!(fault.fault()[0].contains("no rig check yet"));
    tautline::rig::save(&desk.path("data"), profile("2026-03-02T07:00:00Z")).unwrap();
    let few = desk.type_in(&line);
    assert!(few.fault()[0].contains("0 clicks were read, 3 are needed"));
    let done = desk.type_in(&format!("{line} --frames {FRAMES}"));
    assert_eq!((done.code, done.err.as_str()), (0, ""));
    // 7 frames of 4.167 ms less 20 ms.
    assert!(done.out.contains("lag 9.2 ms beyond what the program sees"), "{}", done.out);
    let listed = desk.type_in("rig --list --json --data DATA").json();
    let lag = &listed["rigs"][0]["rig"]["camera"][0];
    assert_eq!((&lag["display_clock"], &lag["sheet"]), (&"damage".into(), &"film.csv".into()));
}

#[test]
fn a_film_at_another_rate_is_refused() {
    let desk = Desk::new("rig-rate");
    let film = sheet_of(&desk);
    tautline::rig::save(&desk.path("data"), profile("2026-03-02T07:00:00Z")).unwrap();
    let line = format!("rig --film {} --frames {FRAMES} --data DATA --camera-rate", film.display());
    let other = desk.type_in(&format!("{line} 120"));
    let lines = other.fault();
    assert!(lines[0].contains("240.0 frames a second, not 120") && lines[2].contains("240"));
    assert!(desk.type_in(&format!("{line} 60")).fault()[0].contains("too few"));
    assert_eq!(desk.type_in(&format!("{line} fast")).code, 2);
    assert_eq!(desk.type_in("rig --film x.csv --data DATA").code, 2, "without a rate");
}

#[test]
fn without_a_screen_the_check_says_what_is_missing() {
    let desk = Desk::new("rig-no-screen");
    desk.type_in("rig --data DATA").fault();
    assert!(!desk.path("data").join("rigs").exists());
}
