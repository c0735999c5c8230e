//! What is known of the rig from before: its newest profile and the player's session before, to be
//! compared with the rig of now.

use super::changes::{self, Signs};
use super::display_facts::DisplayFacts;
use super::{CameraNote, RigError, profile};
use crate::record::{self, LatencyNote, RecordError, RigNote};
use crate::words::rig as words;
use crate::words::{Tell, Told};
use serde_json::Value;
use std::path::Path;

/// A record of the rig from before.
#[derive(Debug, Clone, PartialEq)]
pub struct Before {
    /// The profile's or the session's name.
    pub name: String,
    /// What the rig was known by.
    pub signs: Signs,
}

/// What is known from before.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Known {
    /// The newest profile.
    pub profile: Option<Before>,
    /// The player's session before this one.
    pub session: Option<Before>,
    /// That profile's newest lag by camera.
    pub camera: Option<CameraNote>,
}

/// What is known from before of the rig under `data`, for a session of `player` (id); and what of it
/// did not read, which holds up no session.
pub fn known(data: &Path, player: &str) -> (Known, Vec<Told>) {
    let mut known = Known::default();
    let mut trouble = Vec::new();
    match profile::latest(data) {
        Ok(latest) => {
            if let Some(mut saved) = latest {
                known.camera = saved.profile.camera.pop();
                known.profile = Some(Before { signs: saved.profile.signs(), name: saved.name });
            }
        }
        Err(error) => trouble.push(error.tell()),
    }
    match session_before(data, player) {
        Ok(session) => known.session = session,
        Err(error) => trouble.push(error.tell()),
    }
    (known, trouble)
}

/// The newest profile under `data`, in short.
///
/// # Errors
/// As [`profile::latest`].
pub fn profile_before(data: &Path) -> Result<Option<Before>, RigError> {
    let latest = profile::latest(data)?;
    Ok(latest.map(|saved| Before { signs: saved.profile.signs(), name: saved.name }))
}

/// The newest real session of `player` (id) under `data`, in short.
///
/// # Errors
/// Where it does not open.
pub fn session_before(data: &Path, player: &str) -> Result<Option<Before>, RecordError> {
    let of_player = |folder: &&std::path::PathBuf| {
        folder.parent().and_then(Path::file_name).is_some_and(|name| name == player)
    };
    if !data.exists() {
        return Ok(None);
    }
    let mut folders: Vec<_> = record::sessions(data)?.iter().filter(of_player).cloned().collect();
    // Their names begin with the date.
    folders.sort();
    while let Some(folder) = folders.pop() {
        let manifest = record::open(&folder)?.manifest;
        if !manifest.simulated {
            let signs = Signs::of(&manifest.display, &manifest.input);
            return Ok(Some(Before { name: manifest.session, signs }));
        }
    }
    Ok(None)
}

impl Known {
    /// The note for the manifest of a session whose display and input report this.
    pub fn note(&self, display: &Value, input: &Value) -> RigNote {
        let now = Signs::of(display, input);
        let changed = |before: &Option<Before>| {
            let before = before.as_ref();
            let changes = before.map(|before| changes::between(&before.signs, &now));
            changes.into_iter().flatten().map(|change| change.said()).collect()
        };
        let name = |before: &Option<Before>| before.as_ref().map(|before| before.name.clone());
        RigNote {
            profile: name(&self.profile),
            changed_since_profile: changed(&self.profile),
            session_before: name(&self.session),
            changed_since_session: changed(&self.session),
        }
    }
}

impl Known {
    /// The lag by camera, as a note for a session whose display and input report this; nothing where
    /// another clock or another source is in use, beyond which it was not measured.
    pub fn latency(&self, display: &Value, input: &Value) -> Option<LatencyNote> {
        let camera = self.camera.as_ref()?;
        let clock = DisplayFacts::of(display).clock?;
        let source = input.get("source").and_then(Value::as_str)?;
        let fits = clock == camera.display_clock && source == camera.input_source;
        let lag = camera.lag;
        fits.then(|| LatencyNote {
            of: words::camera_of().to_owned(),
            ms: lag.lag_ms,
            source: words::camera_source(camera.rate_hz, lag.clicks, lag.give_or_take_ms),
        })
    }
}

/// What a note says to the player, a sentence each; nothing where nothing has changed.
pub fn said(note: &RigNote) -> Vec<String> {
    let since = [
        (note.profile.as_deref().map(words::since_profile), &note.changed_since_profile),
        (note.session_before.as_deref().map(words::since_session), &note.changed_since_session),
    ];
    since.into_iter().filter_map(|(since, changes)| words::changed(&since?, changes)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rig::camera::Lag;
    use serde_json::json;

    #[test]
    fn a_change_is_noted_and_said_and_its_absence_is_not() {
        let display = |gpu: &str| json!({ "gpu": gpu });
        let input = json!({ "source": "evdev" });
        let before = |name: &str, gpu: &str| {
            Some(Before { name: name.to_owned(), signs: Signs::of(&display(gpu), &input) })
        };
        let (profile, session) = (before("p", "old"), before("s", "new"));
        let known = Known { profile, session, camera: None };
        let note = known.note(&display("new"), &input);
        assert_eq!(note.profile.as_deref(), Some("p"));
        assert_eq!(note.changed_since_profile, ["graphics card: old before, new now"]);
        assert_eq!(note.changed_since_session, [""; 0]);
        let told = said(&note);
        assert_eq!(
            told,
            ["The rig has changed since the rig check p: graphics card: old before, new now."]
        );
        assert_eq!(said(&Known::default().note(&display("new"), &input)), [""; 0]);
    }

    #[test]
    fn a_lag_goes_only_with_the_clock_and_the_source_it_was_measured_beyond() {
        let lag = Lag {
            lag_ms: 9.0,
            give_or_take_ms: 3.0,
            total_ms: 30.0,
            own_ms: 21.0,
            clicks: 8,
            frame_ms: 4.17,
            fitted_rate_hz: None,
        };
        let camera = CameraNote {
            utc: jiff::Timestamp::UNIX_EPOCH,
            sheet: "x-film.csv".to_owned(),
            rate_hz: 240.0,
            display_clock: "damage".to_owned(),
            input_source: "evdev".to_owned(),
            lag,
        };
        let known = Known { camera: Some(camera), ..Known::default() };
        let display = |clock: &str| json!({ "clock": { "chosen": clock } });
        let input = |source: &str| json!({ "source": source });
        let note = known.latency(&display("damage"), &input("evdev")).unwrap();
        assert!((note.ms - 9.0).abs() < 1e-12 && note.source.contains("240"), "{note:?}");
        assert_eq!(known.latency(&display("estimate"), &input("evdev")), None);
        assert_eq!(known.latency(&display("damage"), &input("xinput")), None);
    }
}
