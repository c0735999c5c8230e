//! A record's session as the findings see it.
//!
//! Translates and judges nothing; the protocol comes in checked, since a record keeps its text only.

use super::input::{
    BlockPlan, Ended, ExpectationFacts, HandFacts, Origin, RatingFacts, RigFacts, RigNote,
    SessionData, TrialFacts,
};
use crate::protocol::{Measure, OnsetRule, Part, Protocol};
use crate::record::{EndedAs, Manifest, Segment, Session, TrialRow, abandon};
use crate::tasks::{Task as _, TaskKind};
use crate::units::MotionUnit;
use serde_json::Value;

/// The session's values. `protocol`: what its `protocol_text` says.
pub fn session_data(session: &Session, protocol: &Protocol) -> SessionData {
    let manifest = &session.manifest;
    let index = |id: &str| protocol.conditions.iter().position(|condition| condition.id == id);
    let mut rows = session.trials.clone();
    abandon(&mut rows, &manifest.segments);
    let mut blocks: Vec<BlockPlan> = Vec::new();
    for row in &session.schedule {
        let known = blocks.iter().any(|block| block.position == row.position);
        if let (false, Some(condition)) = (known, index(&row.condition)) {
            blocks.push(BlockPlan { position: row.position, cycle: row.cycle, condition });
        }
    }
    blocks.sort_by_key(|block| block.position);
    let ratings = session.ratings.iter().filter_map(|row| {
        let (item, value) = (row.item.clone(), row.value);
        Some(RatingFacts { position: row.position?, item, value })
    });
    SessionData {
        name: manifest.session.clone(),
        player: manifest.player.clone(),
        simulated: manifest.simulated,
        protocol: protocol.clone(),
        rules_hash: manifest.rules_hash.clone(),
        seed: manifest.seed,
        draw_rule: manifest.draw_rule,
        blocks,
        trials: rows.iter().map(|row| trial(row, protocol, &manifest.segments)).collect(),
        ratings: ratings.collect(),
        expectation: manifest.expectation.as_ref().map(|said| ExpectationFacts {
            faster: said.faster.as_deref().and_then(index),
            sure: said.sure,
        }),
        began: manifest.segments.first().map_or_else(String::new, |first| first.utc.to_string()),
        ended: match manifest.ending {
            Some(EndedAs::Complete) => Ended::Complete,
            Some(EndedAs::Stopped) => Ended::Stopped,
            Some(EndedAs::Discomfort) => Ended::Discomfort,
            Some(EndedAs::TimeUp) => Ended::TimeUp,
            Some(EndedAs::Settled) => Ended::Settled,
            Some(EndedAs::Partial) | None => Ended::BrokenOff,
        },
        rig: rig(manifest),
        origin: Origin::Record,
    }
}

pub(super) fn trial(row: &TrialRow, protocol: &Protocol, segments: &[Segment]) -> TrialFacts {
    let away = Away::of(row, protocol);
    let happened_ns = row.shown_ns.or(row.press_ns).or(row.foreperiod_start_ns);
    TrialFacts {
        position: row.position,
        part: row.part,
        trial: row.trial,
        asks_nothing: row.part != Part::Catch && row.expected == "withhold",
        outcome: row.outcome,
        flags: row.flags.0,
        click_ms: row.click_rt_ms,
        onset_ms: match protocol.motion.onset {
            OnsetRule::First => row.movement_first_rt_ms,
            OnsetRule::FivePercent => row.movement_5pct_rt_ms,
            OnsetRule::Fit => row.movement_fit_rt_ms,
        },
        of_run: match protocol.analysis.measure {
            Measure::TapInterval => row.tap_interval_ms,
            Measure::TrackError => row.track_error_px,
            Measure::Stillness => row.still_rms_counts,
            Measure::Click | Measure::Onset => None,
        },
        minute: happened_ns.and_then(|ns| minute(row.segment, ns, segments)),
        rt_sd_ms: row.rt_sd_ms,
        shown_sd_ms: row.shown_sd_ms,
        shown_source: row.shown_source,
        press_source: row.press_source,
        hand: HandFacts {
            movement_ms: row.movement_time_ms,
            press_ms: row.press_ms,
            rest_motion_counts_per_s: row
                .rest_motion_counts
                .filter(|_| row.motion_unit == Some(MotionUnit::Counts))
                .zip(waited_s(row))
                .map(|(counts, seconds)| counts / seconds),
            small_shakes_counts: row.small_shakes_counts,
            force_share: row.force,
            target_px: away.zip(row.target_size_px).map(|(away, px)| away.target_px(px)),
            end_px: row.end_x_px.zip(row.end_y_px).map(|(x, y)| [x, y]),
            aimed_at_mm: away.map(|away| [away.distance_mm, away.size_mm]),
            chosen: chosen(row, protocol),
        },
    }
}

/// A pointing target as the schedule names it: `away_DEGREES_MM`, or `away_DEGREES_MM_SIZE` where
/// sizes are several; degrees counter-clockwise from the right.
#[derive(Debug, Clone, Copy)]
struct Away {
    degrees: f64,
    distance_mm: f64,
    size_mm: f64,
}

impl Away {
    fn of(row: &TrialRow, protocol: &Protocol) -> Option<Away> {
        let mut parts = row.stimulus.strip_prefix("away_")?.split('_');
        let mut number = || -> Option<f64> { parts.next()?.parse().ok() };
        let (degrees, distance_mm) = (number()?, number()?);
        Some(Away { degrees, distance_mm, size_mm: number().unwrap_or(protocol.stimulus.size_mm) })
    }

    /// Where it stood from the aim; the scale by the target's own size.
    fn target_px(self, size_px: f64) -> [f64; 2] {
        let px = self.distance_mm * size_px / self.size_mm;
        let angle = self.degrees.to_radians();
        [px * libm::cos(angle), -px * libm::sin(angle)]
    }
}

/// Which alternative of a choice was right and which was given, by their places among all.
fn chosen(row: &TrialRow, protocol: &Protocol) -> Option<[usize; 2]> {
    let TaskKind::Choice(choice) = &protocol.task else { return None };
    let all = choice.stimuli(usize::from(choice.alternatives));
    let place = |label: &str| all.iter().position(|one| choice.expected(*one) == label);
    Some([place(&row.expected)?, place(row.response.as_deref()?)?])
}

/// How long the hand was at rest before the stimulus, s.
fn waited_s(row: &TrialRow) -> Option<f64> {
    let waited_ns = row.shown_ns? - row.foreperiod_start_ns?;
    (waited_ns > 0).then(|| waited_ns as f64 / 1e9)
}

/// Minutes from the session's start. Within one start of the computer the monotonic clock tells;
/// across starts only the calendar does.
fn minute(segment: u32, since_start_ns: i64, segments: &[Segment]) -> Option<f64> {
    const MINUTE_NS: f64 = 60e9;
    let first = segments.first()?;
    let own = segments.iter().find(|own| own.number == segment)?;
    let start_ns = if own.boot == first.boot {
        (own.clock_ns - first.clock_ns).0 as f64
    } else {
        (own.utc.as_millisecond() - first.utc.as_millisecond()) as f64 * 1e6
    };
    Some((start_ns + since_start_ns as f64) / MINUTE_NS)
}

fn rig(manifest: &Manifest) -> RigFacts {
    let mut notes = Vec::new();
    note(
        &mut notes,
        "computer",
        format!(
            "{}, {}, {} cores",
            manifest.machine.os, manifest.machine.cpu, manifest.machine.cores
        ),
    );
    flatten(&mut notes, "display", &manifest.display);
    flatten(&mut notes, "input", &manifest.input);
    for priority in &manifest.priorities {
        let granted = match priority.granted {
            Some(true) => "granted",
            Some(false) => "refused",
            None => "not attempted",
        };
        let name = format!("priority of {}", priority.thread);
        note(&mut notes, &name, format!("{}: {granted}", priority.asked));
    }
    for lag in &manifest.latency_notes {
        let value = format!("{} ms ({}); a note, never added", lag.ms, lag.source);
        note(&mut notes, &format!("lag of {}", lag.of), value);
    }
    // Simulated sessions of the first versions wrote `judged`.
    let judged = ["state", "judged"]
        .iter()
        .find_map(|key| manifest.display.get("vsync")?.get(key))
        .and_then(Value::as_str);
    let later = manifest.segments.iter().filter_map(|segment| segment.rig.as_ref());
    let mut changed = Vec::new();
    for rig in manifest.rig.iter().chain(later) {
        note(&mut notes, "rig profile", rig.profile.clone().unwrap_or_else(|| "none".to_owned()));
        for change in &rig.changed_since_profile {
            note(&mut notes, "changed since that profile", change.clone());
        }
        for change in &rig.changed_since_session {
            note(&mut notes, "changed since the session before", change.clone());
        }
        changed.extend(rig.changed_since_session.iter().cloned());
    }
    RigFacts { vsync_judged: judged.map(str::to_owned), changed, notes }
}

fn note(notes: &mut Vec<RigNote>, name: &str, value: String) {
    notes.push(RigNote { name: name.to_owned(), value });
}

/// Every value under a name made of the names above it; blanks are left out.
fn flatten(notes: &mut Vec<RigNote>, name: &str, value: &Value) {
    match value {
        Value::Null => {}
        Value::Bool(yes) => note(notes, name, if *yes { "yes" } else { "no" }.to_owned()),
        Value::Number(number) => note(notes, name, number.to_string()),
        Value::String(text) => note(notes, name, text.clone()),
        Value::Array(list) if list.iter().all(|item| !item.is_object() && !item.is_array()) => {
            let texts: Vec<String> = list.iter().map(plain).collect();
            if !texts.is_empty() {
                note(notes, name, texts.join(", "));
            }
        }
        Value::Array(list) => {
            for (index, item) in list.iter().enumerate() {
                flatten(notes, &format!("{name} {}", index + 1), item);
            }
        }
        Value::Object(fields) => {
            for (field, item) in fields {
                flatten(notes, &format!("{name} {}", field.replace('_', " ")), item);
            }
        }
    }
}

fn plain(value: &Value) -> String {
    value.as_str().map_or_else(|| value.to_string(), str::to_owned)
}
