//! A typical press under each hold, side by side and slowed, as numbered PNG frames.
//!
//! Made from the raw counts in the session's events alone: what the hand did, not a film of it.
//! The typical press is the one whose time lies nearest to its hold's median.

use crate::engine::{Event, Outcome};
use crate::findings::plot::{
    Colour, Drawing, HAIRLINE, INK, Item, MUTED, PAPER, Stroke, Type, at, colour_of, marker, png,
};
use crate::protocol::Part;
use crate::record::{self, Session, TrialRow};
use crate::sitting::{Trouble, source};
use crate::units::Nanos;
use crate::words::{afterwards as after, screens};
use std::fs;
use std::path::{Path, PathBuf};

/// The folder inside `findings/`.
const FOLDER: &str = "frames";
const WIDTH_PX: u32 = 1280;
const HEIGHT_PX: u32 = 720;
/// Real time from one frame to the next, ms: at 30 frames a second this is eight times slower.
const STEP_MS: f64 = 1000.0 / 240.0;
/// Before the stimulus, and after the last press, ms.
const BEFORE_MS: f64 = 100.0;
const AFTER_MS: f64 = 150.0;

/// A press as it is drawn. Times are ms from the stimulus.
#[derive(Debug, Clone, PartialEq)]
struct Press {
    name: String,
    condition: usize,
    press_ms: f64,
    release_ms: Option<f64>,
    /// Time and counts travelled so far, right and down.
    path: Vec<(f64, f64, f64)>,
}

/// Writes the frames of the session in `folder`; where they lie, and how many.
///
/// # Errors
/// The session does not read, has no press to show, or the frames cannot be written.
pub(super) fn write(folder: &Path) -> Result<(PathBuf, usize), Trouble> {
    let session = record::open(folder)?;
    let protocol = source::recorded(&session)?;
    let events = record::replay_events(folder)?.events;
    let presses: Vec<Press> = protocol
        .conditions
        .iter()
        .enumerate()
        .filter_map(|(index, condition)| {
            let row = typical(&session, &condition.id)?;
            press(row, &events, index, screens::hold_name(&condition.id))
        })
        .collect();
    if presses.is_empty() {
        return Err(Trouble::one(
            after::NO_PRESS_TO_SHOW.to_owned(),
            Some(folder.display().to_string()),
            after::NO_PRESS_MEND.to_owned(),
        ));
    }
    let out = folder.join(crate::findings::files::FOLDER).join(FOLDER);
    let failed = |source: std::io::Error| {
        Trouble::one(
            format!("the frames cannot be written: {source}"),
            Some(out.display().to_string()),
            "make room on the disk, or allow writing there".to_owned(),
        )
    };
    if out.exists() {
        fs::remove_dir_all(&out).map_err(failed)?;
    }
    fs::create_dir_all(&out).map_err(failed)?;
    let last_ms = presses.iter().map(|press| press.press_ms).fold(0.0, f64::max) + AFTER_MS;
    let mut count = 0;
    let mut t_ms = -BEFORE_MS;
    while t_ms <= last_ms {
        count += 1;
        let drawing = frame(&presses, t_ms, last_ms, session.manifest.simulated);
        let path = out.join(format!("frame-{count:04}.png"));
        fs::write(path, png::paint(&drawing)?).map_err(failed)?;
        t_ms += STEP_MS;
    }
    Ok((out, count))
}

/// The trial whose time lies nearest to the median of its hold.
fn typical<'a>(session: &'a Session, condition: &str) -> Option<&'a TrialRow> {
    let mut rows: Vec<(&TrialRow, f64)> = session
        .trials
        .iter()
        .filter(|row| {
            row.part == Part::Main && row.condition == condition && row.outcome == Outcome::Hit
        })
        .filter_map(|row| row.click_rt_ms.map(|ms| (row, ms)))
        .collect();
    rows.sort_by(|a, b| a.1.total_cmp(&b.1));
    rows.get(rows.len().saturating_sub(1) / 2).map(|(row, _)| *row)
}

fn press(row: &TrialRow, events: &[Event], condition: usize, name: String) -> Option<Press> {
    let start = segment_start(events, row.segment)?;
    let shown = Nanos(start.0 + row.shown_ns?);
    let ms = |t: Nanos| (t - shown).ms();
    let press_ms = ms(Nanos(start.0 + row.press_ns?));
    let (mut x, mut y) = (0.0, 0.0);
    let mut path = Vec::new();
    for event in events {
        if let Event::Motion { dx, dy, stamp, .. } = event {
            let t_ms = ms(stamp.t);
            if (-BEFORE_MS..=press_ms + AFTER_MS).contains(&t_ms) {
                x += f64::from(*dx);
                y += f64::from(*dy);
                path.push((t_ms, x, y));
            }
        }
    }
    let release_ms = row.release_ns.map(|ns| ms(Nanos(start.0 + ns)));
    Some(Press { name, condition, press_ms, release_ms, path })
}

/// When the segment with this number, from 1, began on the clock of its events.
fn segment_start(events: &[Event], segment: u32) -> Option<Nanos> {
    let mut begins = events.iter().filter_map(|event| match event {
        Event::Begin(begin) => Some(begin.t),
        _ => None,
    });
    begins.nth(usize::try_from(segment).ok()?.checked_sub(1)?)
}

/// The moment `t_ms` of every press.
fn frame(presses: &[Press], t_ms: f64, last_ms: f64, simulated: bool) -> Drawing {
    let mut drawing = Drawing::new(WIDTH_PX, HEIGHT_PX, after::frame_says(t_ms));
    drawing.paper = Some(PAPER);
    let small = Type::plain(20.0, MUTED);
    drawing.text(at(48.0, 52.0), after::FRAMES_TITLE, &Type::plain(30.0, INK).strong());
    if simulated {
        let mark = Type::plain(20.0, INK).strong().end();
        drawing.text(at(f64::from(WIDTH_PX) - 48.0, 52.0), screens::SIMULATED, &mark);
    }
    let left = 48.0;
    let width = (f64::from(WIDTH_PX) - 96.0 + 24.0) / presses.len() as f64;
    for (place, press) in presses.iter().enumerate() {
        panel(&mut drawing, press, left + width * place as f64, width - 24.0, t_ms);
    }
    let (from, to) = (left, f64::from(WIDTH_PX) - 48.0);
    let x = |ms: f64| from + (to - from) * (ms + BEFORE_MS) / (last_ms + BEFORE_MS);
    let y = 640.0;
    drawing.line(at(from, y), at(to, y), HAIRLINE, 4.0);
    drawing.line(at(x(0.0), y - 12.0), at(x(0.0), y + 12.0), INK, 2.0);
    drawing.text(at(x(0.0), y + 40.0), after::FRAMES_SHAPE_COMES, &small.middle());
    for press in presses.iter().filter(|press| t_ms >= press.press_ms) {
        let colour = colour_of(press.condition);
        marker(&mut drawing, press.condition, at(x(press.press_ms), y), 9.0, colour, Some(PAPER));
    }
    drawing.line(at(x(t_ms), y - 22.0), at(x(t_ms), y + 22.0), INK, 3.0);
    drawing
}

/// One hold: its name, the shape once it is there, the counts so far, and the button.
fn panel(drawing: &mut Drawing, press: &Press, left: f64, width: f64, t_ms: f64) {
    let colour = colour_of(press.condition);
    let middle = left + width / 2.0;
    drawing.text(at(middle, 110.0), press.name.clone(), &Type::plain(26.0, INK).middle());
    let field = Colour::of(0x0080_8080);
    let (top, height) = (130.0, 200.0);
    drawing.items.push(Item::Slab {
        at: at(left, top),
        width_px: width,
        height_px: height,
        fill: field,
    });
    if t_ms >= 0.0 {
        let half = 34.0;
        let y = top + height / 2.0;
        let corners = [(0.0, -half), (half, 0.0), (0.0, half), (-half, 0.0)];
        let points = corners.map(|(dx, dy)| at(middle + dx, y + dy)).into();
        drawing.items.push(Item::Closed {
            points,
            fill: Some(Colour::of(0x0000_72B2)),
            stroke: None,
        });
    }
    // The counts: all panels to one scale, so that a calm hand looks calm.
    let (cx, cy) = (middle, 430.0);
    let scale = 1.5;
    let so_far = press.path.iter().filter(|(ms, ..)| *ms <= t_ms);
    let reach = (width / 2.0 - 8.0).min(78.0);
    let inside = |v: f64| (v * scale).clamp(-reach, reach);
    let mut points = vec![at(cx, cy)];
    points.extend(so_far.map(|(_, x, y)| at(cx + inside(*x), cy + inside(*y))));
    let tip = points.last().copied().unwrap_or(at(cx, cy));
    if points.len() > 1 {
        let stroke = Stroke { colour, width_px: 3.0, dash_px: None };
        drawing.items.push(Item::Line { points, stroke });
    }
    drawing.items.push(Item::Dot { at: tip, radius_px: 7.0, fill: Some(colour), stroke: None });
    let down = t_ms >= press.press_ms && press.release_ms.is_none_or(|ms| t_ms < ms);
    let fill = if down { colour } else { HAIRLINE };
    drawing.items.push(Item::Slab {
        at: at(middle - 60.0, 536.0),
        width_px: 120.0,
        height_px: 16.0,
        fill,
    });
    let says = if down { after::FRAMES_DOWN } else { after::FRAMES_UP };
    drawing.text(at(middle, 582.0), says, &Type::plain(20.0, MUTED).middle());
}
