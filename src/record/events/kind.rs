//! The numbers that stand for things in `events.bin`. A number, once given out, is never given
//! another meaning: add at the end.
//!
//! The most frequent kinds have numbers below 15, which fit into half a byte.

use crate::engine::{Event, Key};
use crate::protocol::Rating;
use crate::units::{MotionUnit, StampSource};

/// Kind of a record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// The session begins: the first record of the file.
    Begin = 1,
    /// A later segment starts; the same fields.
    Segment = 2,
    /// A device first speaks.
    Device = 3,
    /// Whose motion follows: device, source and sd of the motion records after it in the chunk.
    Mover = 4,
    /// Motion with both steps in -8 to 7.
    MotionNear = 5,
    /// Any other motion.
    Motion = 6,
    Press = 7,
    Release = 8,
    Shown = 9,
    NotShown = 10,
    Tick = 11,
    Key = 12,
    Focus = 13,
    Answered = 14,
    Gap = 16,
    Unplugged = 17,
    Replugged = 18,
    DisplayLost = 19,
    DisplayBack = 20,
    Stalled = 21,
    ClockJump = 22,
    ClockFallback = 23,
    Cue = 24,
    Force = 25,
    Looked = 26,
}

impl Kind {
    const ALL: [Kind; 25] = [
        Kind::Begin,
        Kind::Segment,
        Kind::Device,
        Kind::Mover,
        Kind::MotionNear,
        Kind::Motion,
        Kind::Press,
        Kind::Release,
        Kind::Shown,
        Kind::NotShown,
        Kind::Tick,
        Kind::Key,
        Kind::Focus,
        Kind::Answered,
        Kind::Gap,
        Kind::Unplugged,
        Kind::Replugged,
        Kind::DisplayLost,
        Kind::DisplayBack,
        Kind::Stalled,
        Kind::ClockJump,
        Kind::ClockFallback,
        Kind::Cue,
        Kind::Force,
        Kind::Looked,
    ];

    pub(super) fn from_number(number: u64) -> Option<Kind> {
        Kind::ALL.into_iter().find(|&kind| kind as u64 == number)
    }
}

/// The name of an event in lists.
pub(super) const fn event_name(event: &Event) -> &'static str {
    match event {
        Event::Begin(_) => "begin",
        Event::Device(_) => "device",
        Event::Shown { .. } => "shown",
        Event::NotShown { .. } => "not_shown",
        Event::Press { .. } => "press",
        Event::Release { .. } => "release",
        Event::Motion { .. } => "motion",
        Event::Cue { .. } => "cue",
        Event::Force { .. } => "force",
        Event::Key { .. } => "key",
        Event::Focus { .. } => "focus",
        Event::Answered { .. } => "answered",
        Event::Gap { .. } => "gap",
        Event::Unplugged { .. } => "unplugged",
        Event::Replugged { .. } => "replugged",
        Event::DisplayLost { .. } => "display_lost",
        Event::DisplayBack { .. } => "display_back",
        Event::Stalled { .. } => "stalled",
        Event::ClockJump { .. } => "clock_jump",
        Event::ClockFallback { .. } => "clock_fallback",
        Event::Looked { .. } => "looked",
        Event::Tick { .. } => "tick",
    }
}

pub(super) const fn key_number(key: Key) -> u8 {
    match key {
        Key::Pause => 0,
        Key::Stop => 1,
        Key::Hurts => 2,
        Key::AskStop => 3,
    }
}

pub(super) fn key(number: u8) -> Option<Key> {
    [Key::Pause, Key::Stop, Key::Hurts, Key::AskStop]
        .into_iter()
        .find(|&key| key_number(key) == number)
}

pub(super) const fn rating_number(rating: Rating) -> u8 {
    match rating {
        Rating::Expectation => 0,
        Rating::Tension => 1,
        Rating::Discomfort => 2,
        Rating::Fatigue => 3,
    }
}

pub(super) fn rating(number: u8) -> Option<Rating> {
    [Rating::Expectation, Rating::Tension, Rating::Discomfort, Rating::Fatigue]
        .into_iter()
        .find(|&rating| rating_number(rating) == number)
}

pub(super) const fn unit_number(unit: MotionUnit) -> u8 {
    match unit {
        MotionUnit::Counts => 0,
        MotionUnit::Normalised => 1,
        MotionUnit::Pixels => 2,
    }
}

pub(super) fn unit(number: u8) -> Option<MotionUnit> {
    [MotionUnit::Counts, MotionUnit::Normalised, MotionUnit::Pixels]
        .into_iter()
        .find(|&unit| unit_number(unit) == number)
}

pub(super) fn source_number(source: StampSource) -> u8 {
    let place = StampSource::ALL.into_iter().position(|each| each == source);
    let place = place.expect("every source stands in ALL");
    u8::try_from(place).expect("there are far fewer than 256 sources")
}

pub(super) fn source(number: u8) -> Option<StampSource> {
    StampSource::ALL.get(usize::from(number)).copied()
}
