//! Saved rigs and sheets of films: written, read again, refused where they are damaged.
//!
//! The judgements themselves are tested beside their code, on streams with a known truth.

mod sheets;

use serde_json::{Value, json};
use std::path::PathBuf;
use tautline::record::Machine;
use tautline::rig::camera::Lag;
use tautline::rig::computer::Computer;
use tautline::rig::wake_ups::Raised;
use tautline::rig::{self, CameraNote, Finding, Grade, Matters, Profile, RigError, Topic};
use tautline::words::Tell;

/// A folder of its own, empty.
pub(crate) fn folder(name: &str) -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("rig").join(name);
    if folder.exists() {
        std::fs::remove_dir_all(&folder).unwrap();
    }
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

/// An invented display.
pub(crate) fn display() -> Value {
    json!({ "gpu": "Invented 1", "refresh_asked_ms": 4.167, "clock": { "chosen": "damage" } })
}

/// An invented rig, checked at `utc`.
pub(crate) fn profile(utc: &str) -> Profile {
    let finding = |grade, mend: Option<&str>| Finding {
        topic: Topic::Load,
        grade,
        what: "Invented.".to_owned(),
        matters: Matters::Spread { sd_ms: 0.3 },
        mend: mend.map(str::to_owned),
    };
    Profile {
        format: rig::FORMAT,
        program_version: "0".to_owned(),
        utc: utc.parse().unwrap(),
        machine: Machine { os: "invented".to_owned(), cpu: "invented".to_owned(), cores: 4 },
        computer: Computer::default(),
        display: display(),
        frames: None,
        input: json!({ "source": "evdev" }),
        mice: Vec::new(),
        report_rate: None,
        counts_per_cm: None,
        clicks: None,
        wake_ups: None,
        priority: Raised::Granted,
        asked: Vec::new(),
        findings: vec![finding(Grade::Mend, Some("mend it")), finding(Grade::Good, None)],
        changes: Vec::new(),
        camera: Vec::new(),
    }
}

fn note() -> CameraNote {
    CameraNote {
        utc: "2026-03-02T08:00:00Z".parse().unwrap(),
        sheet: "20260302T080000Z-film.csv".to_owned(),
        rate_hz: 240.0,
        display_clock: "damage".to_owned(),
        input_source: "evdev".to_owned(),
        lag: Lag {
            lag_ms: 9.25,
            give_or_take_ms: 3.5,
            total_ms: 30.0,
            own_ms: 20.75,
            clicks: 8,
            frame_ms: 1e3 / 240.0,
            fitted_rate_hz: Some(239.9),
        },
    }
}

#[test]
fn profiles_come_back_as_they_were_kept_the_newest_last() {
    let data = folder("come-back");
    assert_eq!(rig::latest(&data).unwrap(), None);
    let second = rig::save(&data, profile("2026-03-02T07:00:00Z")).unwrap();
    let first = rig::save(&data, profile("2026-03-01T07:00:00Z")).unwrap();
    // Two within one second.
    let third = rig::save(&data, profile("2026-03-02T07:00:00Z")).unwrap();
    assert_eq!(second.name, "20260302T070000Z");
    assert_ne!(second.path, third.path);
    // Sheets and other files beside them are none.
    std::fs::write(rig::sheet_path(&data, third.profile.utc).unwrap(), "click\n").unwrap();
    std::fs::write(data.join(rig::FOLDER).join("notes-rig.json"), "{}").unwrap();
    let names: Vec<String> = rig::list(&data).unwrap().into_iter().map(|s| s.name).collect();
    assert_eq!(names, [first.name, second.name, third.name.clone()]);
    assert_eq!(rig::latest(&data).unwrap(), Some(third));
}

#[test]
fn a_camera_note_is_kept_with_its_profile() {
    let data = folder("camera-note");
    let mut saved = rig::save(&data, profile("2026-03-02T07:00:00Z")).unwrap();
    rig::add_camera(&mut saved, note()).unwrap();
    let again = rig::latest(&data).unwrap().unwrap();
    assert_eq!(again.profile.camera, [note()]);
    assert_eq!(again, saved);
}

#[test]
fn damaged_and_later_profiles_are_refused_with_their_path() {
    let data = folder("damaged");
    let saved = rig::save(&data, profile("2026-03-02T07:00:00Z")).unwrap();
    let text = std::fs::read_to_string(&saved.path).unwrap();
    std::fs::write(&saved.path, &text[..text.len() / 2]).unwrap();
    let error = rig::latest(&data).unwrap_err();
    assert!(matches!(error, RigError::Unreadable { .. }), "{error:?}");
    let told = error.tell();
    assert!(told.place.unwrap().ends_with("20260302T070000Z-rig.json"));
    assert!(told.mend.contains("tautline rig"));
    std::fs::write(&saved.path, r#"{ "format": 2 }"#).unwrap();
    let later = rig::list(&data).unwrap_err();
    assert!(matches!(later, RigError::Format { found: 2, .. }), "{later:?}");
}

#[test]
fn a_profile_holds_no_name_of_a_person_or_a_host() {
    let data = folder("no-names");
    let saved = rig::save(&data, profile("2026-03-02T07:00:00Z")).unwrap();
    let text = std::fs::read_to_string(&saved.path).unwrap();
    let value: Value = serde_json::from_str(&text).unwrap();
    let keys: Vec<&str> = value.as_object().unwrap().keys().map(String::as_str).collect();
    for key in ["host", "hostname", "user", "serial", "player", "nickname"] {
        assert!(!keys.contains(&key) && value["machine"].get(key).is_none(), "{key}");
    }
}

#[test]
fn a_session_is_compared_with_the_profile_and_the_players_last_real_session() {
    use crate::record_sample::{PLAYER, PROTOCOL_TEXT, about, protocol, schedule};
    use tautline::record::{About, NewSession, create};
    let data = folder("compared");
    let record = |utc: &str, gpu: &str, simulated: bool| {
        let mut about = About {
            display: json!({ "gpu": gpu }),
            input: json!({ "source": "evdev" }),
            ..about()
        };
        if !simulated {
            about.simulation = None;
        }
        about.start.utc = utc.parse().unwrap();
        let (protocol, schedule) = (protocol(), schedule());
        drop(create(&NewSession {
            data: &data,
            player: PLAYER,
            protocol: &protocol,
            protocol_text: PROTOCOL_TEXT,
            schedule: &schedule,
            about,
        }));
    };
    record("2026-03-01T08:00:00Z", "first", false);
    record("2026-03-02T08:00:00Z", "second", false);
    // A rehearsal has no rig.
    record("2026-03-03T08:00:00Z", "simulated", true);
    let mut saved = rig::save(&data, profile("2026-03-02T07:00:00Z")).unwrap();
    rig::add_camera(&mut saved, note()).unwrap();
    let (known, trouble) = rig::known::known(&data, PLAYER);
    assert!(trouble.is_empty(), "{trouble:?}");
    assert!(known.session.as_ref().unwrap().name.starts_with("20260302T080000Z"));
    assert_eq!(known.camera, Some(note()));
    let told = rig::known::said(&known.note(&json!({ "gpu": "Invented 1" }), &json!({})));
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(told[0].contains("graphics card: second before, Invented 1 now"), "{told:?}");
    let (nobody, _) = rig::known::known(&data, "nobody-abcd");
    assert_eq!(nobody.session, None);
    // A profile that does not read is told and holds up nothing.
    std::fs::write(&saved.path, "{").unwrap();
    let (known, trouble) = rig::known::known(&data, PLAYER);
    assert_eq!((known.profile, trouble.len()), (None, 1));
    assert!(known.session.is_some());
}
