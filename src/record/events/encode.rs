//! Events to bytes, in memory only: called on the stimulus thread between stimulus and response.
//!
//! Room is reserved beforehand; within it nothing is allocated, locked or written. Bytes are handed
//! out as whole chunks of at most 1 s, each with its own checksum and readable by itself.

use super::kind::{Kind, key_number, rating_number, source_number, unit_number};
use super::wire::{VARINT_MOST, put_f64, put_maybe_f64, put_signed, put_text, put_varint};
use super::{EVENTS_FORMAT, MAGIC};
use crate::engine::{Answer, Begin, Device, Event};
use crate::units::{Button, DeviceId, Nanos, Span, Stamp, StampSource};

/// What a chunk begins with, before length and checksum.
pub(super) const CHUNK_MARK: [u8; 4] = [0xC5, b't', b'l', 0x0A];

/// Mark, length and checksum.
pub(super) const CHUNK_HEAD_BYTES: usize = 12;

/// A chunk spans at most this much time ...
const CHUNK_LONGEST: Span = Span::from_s(1);

/// ... and is ended once it holds this many bytes (a mouse at 8,000 reports a second fills 40,000).
const CHUNK_FULL_BYTES: usize = 64 * 1024;

/// Room reserved beforehand: about 26 s of a mouse at 8,000 reports a second.
const ROOM_BYTES: usize = 1024 * 1024;

/// The bytes that a file begins with.
pub fn file_header() -> [u8; 12] {
    let mut header = [0; 12];
    header[..8].copy_from_slice(&MAGIC);
    header[8..].copy_from_slice(&EVENTS_FORMAT.to_le_bytes());
    header
}

/// Turns events into chunks.
#[derive(Debug)]
pub struct Encoder {
    bytes: Vec<u8>,
    body: Vec<u8>,
    chunk: Option<Chunk>,
    begun: bool,
}

/// The chunk being filled.
#[derive(Debug)]
struct Chunk {
    start: usize,
    first: Nanos,
    last: Nanos,
    mover: Option<Mover>,
}

/// Whose motion the next motion record is.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Mover {
    device: DeviceId,
    source: StampSource,
    sd: Span,
}

impl Encoder {
    /// An encoder at the start of a file.
    pub fn new() -> Encoder {
        Encoder {
            bytes: Encoder::room(),
            body: Vec::with_capacity(1024),
            chunk: None,
            begun: false,
        }
    }

    /// An encoder that goes on in a file which has a `begin` record already.
    pub fn going_on() -> Encoder {
        Encoder { begun: true, ..Encoder::new() }
    }

    /// Adds an event.
    pub fn push(&mut self, event: &Event) {
        let t = self.time_of(event);
        self.open_chunk(t);
        if let Event::Motion { device, stamp, .. } = event {
            self.name_mover(t, Mover { device: *device, source: stamp.source, sd: stamp.sd });
        }
        self.start_record(t);
        let kind = self.put_fields(event);
        self.end_record(kind);
    }

    /// Ends the open chunk and hands out everything since the last call, as whole chunks.
    pub fn chunks(&mut self) -> &[u8] {
        self.seal();
        &self.bytes
    }

    /// Forgets what [`Encoder::chunks`] handed out, keeping the room.
    pub fn clear(&mut self) {
        self.seal();
        self.bytes.clear();
    }

    /// An empty buffer with the usual room.
    pub fn room() -> Vec<u8> {
        Vec::with_capacity(ROOM_BYTES)
    }

    /// Hands out everything since the last call, taking `empty` to fill next.
    pub fn swap(&mut self, mut empty: Vec<u8>) -> Vec<u8> {
        self.seal();
        empty.clear();
        std::mem::replace(&mut self.bytes, empty)
    }

    /// The moment a record is filed under; without one of its own, that of the record before it.
    fn time_of(&self, event: &Event) -> Nanos {
        event_time(event).or(self.chunk.as_ref().map(|chunk| chunk.last)).unwrap_or_default()
    }

    fn open_chunk(&mut self, t: Nanos) {
        if let Some(chunk) = &self.chunk {
            let long = t.0.abs_diff(chunk.first.0) >= CHUNK_LONGEST.0.unsigned_abs();
            if long || self.bytes.len() - chunk.start >= CHUNK_FULL_BYTES {
                self.seal();
            }
        }
        if self.chunk.is_none() {
            let start = self.bytes.len();
            self.bytes.extend_from_slice(&CHUNK_MARK);
            self.bytes.extend_from_slice(&[0; 8]);
            self.bytes.extend_from_slice(&t.0.to_le_bytes());
            self.chunk = Some(Chunk { start, first: t, last: t, mover: None });
        }
    }

    fn seal(&mut self) {
        let Some(chunk) = self.chunk.take() else { return };
        let content = &self.bytes[chunk.start + CHUNK_HEAD_BYTES..];
        let length =
            u32::try_from(content.len()).expect("a chunk is far below 4 GiB").to_le_bytes();
        let checksum = checksum(length, content).to_le_bytes();
        self.bytes[chunk.start + 4..chunk.start + 8].copy_from_slice(&length);
        self.bytes[chunk.start + 8..chunk.start + 12].copy_from_slice(&checksum);
    }

    fn name_mover(&mut self, t: Nanos, mover: Mover) {
        if self.chunk.as_ref().is_some_and(|chunk| chunk.mover == Some(mover)) {
            return;
        }
        self.start_record(t);
        put_varint(&mut self.body, u64::from(mover.device.0));
        self.body.push(source_number(mover.source));
        put_signed(&mut self.body, mover.sd.0);
        self.end_record(Kind::Mover);
        if let Some(chunk) = &mut self.chunk {
            chunk.mover = Some(mover);
        }
    }

    /// Every record's fields start with its time, from that of the record before it.
    fn start_record(&mut self, t: Nanos) {
        let chunk = self.chunk.as_mut().expect("a chunk was opened before its records");
        self.body.clear();
        put_signed(&mut self.body, t.0.wrapping_sub(chunk.last.0));
        chunk.last = t;
    }

    /// Half a byte of kind and half a byte of length; 15 says that the number follows.
    fn end_record(&mut self, kind: Kind) {
        const FOLLOWS: u8 = 15;
        self.bytes.reserve(1 + 2 * VARINT_MOST + self.body.len());
        let half = |number: usize| u8::try_from(number).unwrap_or(FOLLOWS).min(FOLLOWS);
        let (kind_half, length_half) = (half(kind as usize), half(self.body.len()));
        self.bytes.push(kind_half << 4 | length_half);
        if kind_half == FOLLOWS {
            put_varint(&mut self.bytes, kind as u64);
        }
        if length_half == FOLLOWS {
            put_varint(&mut self.bytes, self.body.len() as u64);
        }
        self.bytes.extend_from_slice(&self.body);
    }

    fn put_fields(&mut self, event: &Event) -> Kind {
        let out = &mut self.body;
        match event {
            Event::Begin(begin) => {
                put_begin(out, begin);
                if std::mem::replace(&mut self.begun, true) { Kind::Segment } else { Kind::Begin }
            }
            Event::Device(device) => put_device(out, device),
            Event::Shown { scene, frame, stamp, missed, late } => {
                put_varint(out, scene.0);
                put_varint(out, *frame);
                put_origin(out, stamp);
                put_varint(out, u64::from(*missed));
                out.push(u8::from(*late));
                Kind::Shown
            }
            Event::NotShown { scene, frame, t: _ } => {
                put_varint(out, scene.0);
                put_varint(out, *frame);
                Kind::NotShown
            }
            Event::Press { device, button, stamp } => {
                put_button(out, *device, *button, stamp);
                Kind::Press
            }
            Event::Release { device, button, stamp } => {
                put_button(out, *device, *button, stamp);
                Kind::Release
            }
            Event::Motion { dx, dy, .. } => put_steps(out, *dx, *dy),
            Event::Cue { stamp } => {
                put_origin(out, stamp);
                Kind::Cue
            }
            Event::Force { share, stamp } => {
                put_f64(out, *share);
                put_origin(out, stamp);
                Kind::Force
            }
            Event::Key { key, t: _ } => {
                out.push(key_number(*key));
                Kind::Key
            }
            Event::Focus { focused, t: _ } => {
                out.push(u8::from(*focused));
                Kind::Focus
            }
            Event::Answered { answer, t: _ } => put_answer(out, answer),
            Event::Gap { lost, t: _ } => {
                put_varint(out, u64::from(*lost));
                Kind::Gap
            }
            Event::Unplugged { device, t: _ } => {
                put_varint(out, u64::from(device.0));
                Kind::Unplugged
            }
            Event::Replugged { device, t: _ } => {
                put_varint(out, u64::from(device.0));
                Kind::Replugged
            }
            Event::DisplayLost { t: _ } => Kind::DisplayLost,
            Event::DisplayBack { t: _ } => Kind::DisplayBack,
            Event::Stalled { late, t: _ } => {
                put_signed(out, late.0);
                Kind::Stalled
            }
            Event::ClockJump { by, t: _ } => {
                put_signed(out, by.0);
                Kind::ClockJump
            }
            Event::ClockFallback { source, t: _ } => {
                out.push(source_number(*source));
                Kind::ClockFallback
            }
            Event::Looked { cycle, settled, t: _ } => {
                put_varint(out, *cycle as u64);
                out.push(u8::from(*settled));
                Kind::Looked
            }
            Event::Tick { now, settled } => {
                put_signed(out, now.0.wrapping_sub(settled.0));
                Kind::Tick
            }
        }
    }
}

impl Default for Encoder {
    fn default() -> Encoder {
        Encoder::new()
    }
}

/// CRC32C over the length as written and the content.
pub(super) fn checksum(length: [u8; 4], content: &[u8]) -> u32 {
    crc32c::crc32c_append(crc32c::crc32c(&length), content)
}

/// The moment an event carries; a device's first word carries none.
pub(super) const fn event_time(event: &Event) -> Option<Nanos> {
    Some(match event {
        Event::Device(_) => return None,
        Event::Begin(begin) => begin.t,
        Event::Shown { stamp, .. }
        | Event::Press { stamp, .. }
        | Event::Release { stamp, .. }
        | Event::Cue { stamp }
        | Event::Force { stamp, .. }
        | Event::Motion { stamp, .. } => stamp.t,
        Event::NotShown { t, .. }
        | Event::Key { t, .. }
        | Event::Focus { t, .. }
        | Event::Answered { t, .. }
        | Event::Gap { t, .. }
        | Event::Unplugged { t, .. }
        | Event::Replugged { t, .. }
        | Event::DisplayLost { t }
        | Event::DisplayBack { t }
        | Event::Stalled { t, .. }
        | Event::ClockJump { t, .. }
        | Event::ClockFallback { t, .. }
        | Event::Looked { t, .. } => *t,
        Event::Tick { now, .. } => *now,
    })
}

fn put_begin(out: &mut Vec<u8>, begin: &Begin) {
    put_varint(out, u64::from(begin.canvas.width_px));
    put_varint(out, u64::from(begin.canvas.height_px));
    put_maybe_f64(out, begin.canvas.px_per_mm);
    put_f64(out, begin.canvas.rate_hz);
    put_f64(out, begin.px_per_count);
    put_maybe_f64(out, begin.scanout_ms);
    put_maybe_f64(out, begin.display_lag_ms);
    put_varint(out, u64::from(begin.engine_rule));
    put_varint(out, u64::from(begin.motion_rule));
}

fn put_device(out: &mut Vec<u8>, device: &Device) -> Kind {
    put_varint(out, u64::from(device.id.0));
    put_text(out, &device.name);
    out.push(unit_number(device.unit));
    put_varint(out, u64::from(device.steps_per_count));
    out.push(u8::from(device.report_interval.is_some()));
    if let Some(interval) = device.report_interval {
        put_signed(out, interval.0);
    }
    Kind::Device
}

fn put_origin(out: &mut Vec<u8>, stamp: &Stamp) {
    out.push(source_number(stamp.source));
    put_signed(out, stamp.sd.0);
}

fn put_button(out: &mut Vec<u8>, device: DeviceId, button: Button, stamp: &Stamp) {
    put_varint(out, u64::from(device.0));
    match button {
        Button::Left => out.push(0),
        Button::Right => out.push(1),
        Button::Middle => out.push(2),
        Button::Other(number) => out.extend_from_slice(&[3, number]),
    }
    put_origin(out, stamp);
}

fn put_steps(out: &mut Vec<u8>, dx: i32, dy: i32) -> Kind {
    let half =
        |step: i32| u8::try_from(step.saturating_add(NEAR_OFFSET)).ok().filter(|&half| half < 16);
    if let (Some(x), Some(y)) = (half(dx), half(dy)) {
        out.push(x << 4 | y);
        return Kind::MotionNear;
    }
    put_signed(out, i64::from(dx));
    put_signed(out, i64::from(dy));
    Kind::Motion
}

/// What is added to a step of -8 to 7 to make half a byte.
pub(super) const NEAR_OFFSET: i32 = 8;

fn put_answer(out: &mut Vec<u8>, answer: &Answer) -> Kind {
    match answer {
        Answer::GoOn => out.push(0),
        Answer::Rated(ratings) => {
            out.push(1);
            put_varint(out, ratings.len() as u64);
            for &(rating, value) in ratings {
                out.extend_from_slice(&[rating_number(rating), value]);
            }
        }
        Answer::Expected { faster, sure } => {
            out.push(2);
            out.push(u8::from(faster.is_some()));
            if let Some(index) = faster {
                put_varint(out, *index as u64);
            }
            out.push(*sure);
        }
    }
    Kind::Answered
}
