//! Bytes to events: whatever the bytes, it ends, and says what it could not read.
//!
//! Unknown kinds are skipped and counted, a chunk whose checksum differs is left out and counted,
//! and reading goes on at the next whole chunk. It never guesses at the content of a bad one.

use super::encode::{CHUNK_HEAD_BYTES, CHUNK_MARK, NEAR_OFFSET, checksum};
use super::kind::{Kind, key, rating, source, unit};
use super::wire::Reader;
use super::{EVENTS_FORMAT, EventsError, MAGIC};
use crate::engine::{Answer, Begin, Device, Event};
use crate::scene::{Canvas, SceneId};
use crate::units::{Button, DeviceId, Nanos, Span, Stamp, StampSource};

/// The file's own header.
const HEADER_BYTES: usize = 12;

/// What a file held.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Decoded {
    /// The events, in the order fed.
    pub events: Vec<Event>,
    /// Records of kinds that this program does not know, or whose fields it cannot read.
    pub unknown_records: usize,
    /// Stretches within the file that are not whole chunks: something changed them.
    pub damaged_stretches: usize,
    /// Bytes up to the end of the last whole chunk.
    pub whole_bytes: usize,
    /// Bytes after it: a chunk that was being written when the program was killed.
    pub torn_bytes: usize,
}

/// The events of a file.
///
/// # Errors
/// When the bytes are no event file, or one of a newer format. A file cut anywhere, even within its
/// header, is not an error.
pub fn decode(bytes: &[u8]) -> Result<Decoded, EventsError> {
    let Some(header) = bytes.get(..HEADER_BYTES) else {
        let so_far = bytes.len().min(MAGIC.len());
        if bytes[..so_far] != MAGIC[..so_far] {
            return Err(EventsError::NotEvents);
        }
        return Ok(Decoded { torn_bytes: bytes.len(), ..Decoded::default() });
    };
    let mut reader = Reader::new(header);
    if reader.bytes(MAGIC.len()) != Some(&MAGIC[..]) {
        return Err(EventsError::NotEvents);
    }
    let found = reader.u32().expect("the header holds four more bytes");
    if found > EVENTS_FORMAT {
        return Err(EventsError::NewerFormat { found, known: EVENTS_FORMAT });
    }
    let mut decoded = Decoded { whole_bytes: HEADER_BYTES, ..Decoded::default() };
    let mut at = HEADER_BYTES;
    while let Some(next) = find_chunk(bytes, at) {
        if next.start > at {
            decoded.damaged_stretches += 1;
        }
        read_chunk(next.content, &mut decoded);
        at = next.end;
        decoded.whole_bytes = at;
    }
    decoded.torn_bytes = bytes.len() - at;
    Ok(decoded)
}

/// A whole chunk.
struct Found<'a> {
    start: usize,
    end: usize,
    content: &'a [u8],
}

/// The first whole chunk at or after `from`.
fn find_chunk(bytes: &[u8], from: usize) -> Option<Found<'_>> {
    let places = bytes.get(from..)?.windows(CHUNK_MARK.len()).enumerate();
    let marked = places.filter(|(_, window)| *window == CHUNK_MARK).map(|(place, _)| from + place);
    marked.into_iter().find_map(|start| whole_chunk(bytes, start))
}

fn whole_chunk(bytes: &[u8], start: usize) -> Option<Found<'_>> {
    let mut reader = Reader::new(bytes.get(start + CHUNK_MARK.len()..)?);
    let length = reader.u32()?;
    let expected = reader.u32()?;
    let content = reader.bytes(usize::try_from(length).ok()?)?;
    let end = start + CHUNK_HEAD_BYTES + content.len();
    (checksum(length.to_le_bytes(), content) == expected).then_some(Found { start, end, content })
}

/// Whose motion the next motion record is.
#[derive(Clone, Copy)]
struct Mover {
    device: DeviceId,
    source: StampSource,
    sd: Span,
}

/// What the records of a chunk share.
struct Shared {
    t: Nanos,
    mover: Option<Mover>,
}

fn read_chunk(content: &[u8], decoded: &mut Decoded) {
    let mut reader = Reader::new(content);
    let Some(first) = reader.i64() else {
        decoded.unknown_records += 1;
        return;
    };
    let mut shared = Shared { t: Nanos(first), mover: None };
    while reader.left() > 0 {
        let Some(record) = next_record(&mut reader) else {
            decoded.unknown_records += 1;
            return;
        };
        match read_record(&record, &mut shared) {
            Some(Read::Event(event)) => decoded.events.push(event),
            Some(Read::Shared) => {}
            None => decoded.unknown_records += 1,
        }
    }
}

/// A record as it stands in a chunk.
struct Record<'a> {
    kind: u64,
    body: &'a [u8],
}

fn next_record<'a>(reader: &mut Reader<'a>) -> Option<Record<'a>> {
    const FOLLOWS: u8 = 15;
    let halves = reader.byte()?;
    let (kind_half, length_half) = (halves >> 4, halves & 15);
    let kind = if kind_half == FOLLOWS { reader.varint()? } else { u64::from(kind_half) };
    let length = if length_half == FOLLOWS { reader.narrow()? } else { usize::from(length_half) };
    Some(Record { kind, body: reader.bytes(length)? })
}

/// What a record says.
enum Read {
    Event(Event),
    /// Something that later records rest on.
    Shared,
}

/// `None` where the kind is not known or its fields do not read; its time counts all the same.
fn read_record(record: &Record, shared: &mut Shared) -> Option<Read> {
    let mut body = Reader::new(record.body);
    let body = &mut body;
    let t = Nanos(shared.t.0.wrapping_add(body.signed()?));
    shared.t = t;
    let event = match Kind::from_number(record.kind)? {
        Kind::Begin | Kind::Segment => Event::Begin(begin(body, t)?),
        Kind::Device => Event::Device(device(body)?),
        Kind::Mover => {
            shared.mover = Some(Mover {
                device: DeviceId(body.narrow()?),
                source: source(body.byte()?)?,
                sd: Span(body.signed()?),
            });
            return Some(Read::Shared);
        }
        Kind::MotionNear => {
            let halves = body.byte()?;
            let step = |half: u8| i32::from(half) - NEAR_OFFSET;
            motion(shared.mover?, t, step(halves >> 4), step(halves & 15))
        }
        Kind::Motion => {
            let dx = i32::try_from(body.signed()?).ok()?;
            let dy = i32::try_from(body.signed()?).ok()?;
            motion(shared.mover?, t, dx, dy)
        }
        Kind::Press => {
            let (device, button) = (DeviceId(body.narrow()?), button(body)?);
            Event::Press { device, button, stamp: stamp(body, t)? }
        }
        Kind::Release => {
            let (device, button) = (DeviceId(body.narrow()?), button(body)?);
            Event::Release { device, button, stamp: stamp(body, t)? }
        }
        Kind::Shown => Event::Shown {
            scene: SceneId(body.varint()?),
            frame: body.varint()?,
            stamp: stamp(body, t)?,
            missed: body.narrow()?,
            late: body.yes_or_no()?,
        },
        Kind::NotShown => {
            Event::NotShown { scene: SceneId(body.varint()?), frame: body.varint()?, t }
        }
        Kind::Tick => Event::Tick { now: t, settled: Nanos(t.0.wrapping_sub(body.signed()?)) },
        Kind::Key => Event::Key { key: key(body.byte()?)?, t },
        Kind::Focus => Event::Focus { focused: body.yes_or_no()?, t },
        Kind::Answered => Event::Answered { answer: answer(body)?, t },
        Kind::Gap => Event::Gap { lost: body.narrow()?, t },
        Kind::Unplugged => Event::Unplugged { device: DeviceId(body.narrow()?), t },
        Kind::Replugged => Event::Replugged { device: DeviceId(body.narrow()?), t },
        Kind::DisplayLost => Event::DisplayLost { t },
        Kind::DisplayBack => Event::DisplayBack { t },
        Kind::Stalled => Event::Stalled { late: Span(body.signed()?), t },
        Kind::ClockJump => Event::ClockJump { by: Span(body.signed()?), t },
        Kind::Cue => Event::Cue { stamp: stamp(body, t)? },
        Kind::Force => Event::Force { share: body.f64()?, stamp: stamp(body, t)? },
        Kind::ClockFallback => Event::ClockFallback { source: source(body.byte()?)?, t },
        Kind::Looked => Event::Looked { cycle: body.narrow()?, settled: body.yes_or_no()?, t },
    };
    Some(Read::Event(event))
}

fn begin(body: &mut Reader, t: Nanos) -> Option<Begin> {
    Some(Begin {
        t,
        canvas: Canvas {
            width_px: body.narrow()?,
            height_px: body.narrow()?,
            px_per_mm: body.maybe_f64()?,
            rate_hz: body.f64()?,
        },
        px_per_count: body.f64()?,
        scanout_ms: body.maybe_f64()?,
        display_lag_ms: body.maybe_f64()?,
        engine_rule: body.narrow()?,
        motion_rule: body.narrow()?,
    })
}

fn device(body: &mut Reader) -> Option<Device> {
    Some(Device {
        id: DeviceId(body.narrow()?),
        name: body.text()?,
        unit: unit(body.byte()?)?,
        steps_per_count: body.narrow()?,
        report_interval: if body.yes_or_no()? { Some(Span(body.signed()?)) } else { None },
    })
}

fn stamp(body: &mut Reader, t: Nanos) -> Option<Stamp> {
    Some(Stamp { t, source: source(body.byte()?)?, sd: Span(body.signed()?) })
}

fn motion(mover: Mover, t: Nanos, dx: i32, dy: i32) -> Event {
    let stamp = Stamp { t, source: mover.source, sd: mover.sd };
    Event::Motion { device: mover.device, dx, dy, stamp }
}

fn button(body: &mut Reader) -> Option<Button> {
    match body.byte()? {
        0 => Some(Button::Left),
        1 => Some(Button::Right),
        2 => Some(Button::Middle),
        3 => Some(Button::Other(body.byte()?)),
        _ => None,
    }
}

fn answer(body: &mut Reader) -> Option<Answer> {
    match body.byte()? {
        0 => Some(Answer::GoOn),
        1 => {
            let count: usize = body.narrow()?;
            // No room is reserved for `count`: it is only believed as far as bytes are there.
            let one = |_| Some((rating(body.byte()?)?, body.byte()?));
            (0..count).map(one).collect::<Option<Vec<_>>>().map(Answer::Rated)
        }
        2 => {
            let faster = if body.yes_or_no()? { Some(body.narrow()?) } else { None };
            Some(Answer::Expected { faster, sure: body.byte()? })
        }
        _ => None,
    }
}
