//! Gamepads, for what needs no close time: a partner's cue, an answer that is marked coarse, an
//! analogue trigger as force axis.
//!
//! The library polls (Windows, each 8 ms) or stamps by the wall clock (Linux), so the stamp here is
//! our own clock when the library handed the event over. Never used for a mouse. Nothing is heard
//! without the window's focus: who listens drops what comes then.

use crate::clock::{self, Bell};
use crate::units::{Span, Stamp, StampSource};
use gilrs::{Axis, Button as PadButton, EventType, GilrsBuilder};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::mpsc;
use std::thread;
use std::time::Duration;

/// Standard deviation of a gamepad's stamp: the poll's 8 ms/√12, on every system.
pub const GAMEPAD_SD: Span = Span(2_309_401);

/// Longest wait for an event, so that the thread ends soon after its session.
const LOOK_EACH: Duration = Duration::from_millis(20);
/// Far more than a thumb can do while the session thread looks away.
const ROOM: usize = 1_024;

/// What a gamepad did.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PadEvent {
    /// A button went down.
    Press {
        /// Which gamepad, from 0.
        pad: u8,
        /// Which button.
        button: PadKey,
        /// When it was handed over.
        stamp: Stamp,
    },
    /// A button came up.
    Release {
        /// Which gamepad, from 0.
        pad: u8,
        /// Which button.
        button: PadKey,
        /// When it was handed over.
        stamp: Stamp,
    },
    /// An analogue trigger moved.
    Trigger {
        /// Which gamepad, from 0.
        pad: u8,
        /// Which side.
        side: PadSide,
        /// 0 let go, 1 pulled through.
        value: f32,
        /// When it was handed over.
        stamp: Stamp,
    },
}

/// Which button of a gamepad, by where it lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PadKey {
    /// On the left: the left shoulder, the left of the four, the cross.
    Left,
    /// On the right: the right shoulder, the others of the four.
    Right,
    /// Start, select and the like: no answer.
    Middle,
}

/// The side of a trigger.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PadSide {
    /// Left.
    Left,
    /// Right.
    Right,
}

/// Listens to every gamepad on a thread of its own, until dropped.
#[derive(Debug)]
pub struct Gamepads {
    ring: rtrb::Consumer<PadEvent>,
    stop: Arc<AtomicBool>,
    lost: Arc<AtomicU64>,
    names: Vec<String>,
}

/// Gamepads cannot be heard.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum GamepadError {
    /// The system or its library says no.
    #[error("gamepads cannot be heard: {why}")]
    Refused {
        /// As it says.
        why: String,
    },
}

impl Gamepads {
    /// Starts to listen; `bell` wakes whoever waits for events.
    ///
    /// # Errors
    /// The system has no way to gamepads, or refuses it. That none is plugged in is no error.
    pub fn listen(bell: Bell) -> Result<Gamepads, GamepadError> {
        let (producer, ring) = rtrb::RingBuffer::new(ROOM);
        let stop = Arc::new(AtomicBool::new(false));
        let lost = Arc::new(AtomicU64::new(0));
        let (ready, told) = mpsc::channel();
        let listener =
            Listener { producer, bell, stop: Arc::clone(&stop), lost: Arc::clone(&lost) };
        thread::Builder::new()
            .name("gamepads".to_owned())
            .spawn(move || listener.run(&ready))
            .map_err(|error| GamepadError::Refused { why: error.to_string() })?;
        match told.recv() {
            Ok(Ok(names)) => Ok(Gamepads { ring, stop, lost, names }),
            Ok(Err(why)) => Err(GamepadError::Refused { why }),
            Err(mpsc::RecvError) => {
                Err(GamepadError::Refused { why: "their thread ended".to_owned() })
            }
        }
    }

    /// The next event that has come.
    pub fn take(&mut self) -> Option<PadEvent> {
        self.ring.pop().ok()
    }

    /// Those that were plugged in when listening began.
    pub fn names(&self) -> &[String] {
        &self.names
    }

    /// Events lost because the ring was full.
    pub fn lost(&self) -> u64 {
        self.lost.load(Ordering::Relaxed)
    }
}

impl Drop for Gamepads {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
    }
}

struct Listener {
    producer: rtrb::Producer<PadEvent>,
    bell: Bell,
    stop: Arc<AtomicBool>,
    lost: Arc<AtomicU64>,
}

impl Listener {
    fn run(mut self, ready: &mpsc::Sender<Result<Vec<String>, String>>) {
        // No dead zones and no repeats: what the gamepad says is what is kept.
        let built = GilrsBuilder::new()
            .with_default_filters(false)
            .with_force_feedback(false)
            .add_env_mappings(false)
            .build();
        let mut gilrs = match built {
            Ok(gilrs) => gilrs,
            Err(error) => {
                // Whoever asked is still waiting for this word, or gone.
                let _ = ready.send(Err(error.to_string()));
                return;
            }
        };
        let names = gilrs.gamepads().map(|(_, pad)| pad.name().to_owned()).collect();
        if ready.send(Ok(names)).is_err() {
            return;
        }
        while !self.stop.load(Ordering::Relaxed) {
            let Some(event) = gilrs.next_event_blocking(Some(LOOK_EACH)) else { continue };
            let stamp = Stamp { t: clock::now(), source: StampSource::Gamepad, sd: GAMEPAD_SD };
            let pad = u8::try_from(usize::from(event.id)).unwrap_or(u8::MAX);
            let Some(told) = told(pad, event.event, stamp) else { continue };
            if self.producer.push(told).is_err() {
                self.lost.fetch_add(1, Ordering::Relaxed);
            }
            self.bell.ring();
        }
    }
}

/// What of the library's events matters here.
fn told(pad: u8, event: EventType, stamp: Stamp) -> Option<PadEvent> {
    match event {
        EventType::ButtonPressed(button, _) => {
            Some(PadEvent::Press { pad, button: key(button), stamp })
        }
        EventType::ButtonReleased(button, _) => {
            Some(PadEvent::Release { pad, button: key(button), stamp })
        }
        EventType::ButtonChanged(PadButton::LeftTrigger2, value, _) => {
            Some(PadEvent::Trigger { pad, side: PadSide::Left, value, stamp })
        }
        EventType::ButtonChanged(PadButton::RightTrigger2, value, _) => {
            Some(PadEvent::Trigger { pad, side: PadSide::Right, value, stamp })
        }
        // As an axis a trigger goes from -1 to 1.
        EventType::AxisChanged(Axis::LeftZ, value, _) => {
            let value = f32::midpoint(value, 1.0);
            Some(PadEvent::Trigger { pad, side: PadSide::Left, value, stamp })
        }
        EventType::AxisChanged(Axis::RightZ, value, _) => {
            let value = f32::midpoint(value, 1.0);
            Some(PadEvent::Trigger { pad, side: PadSide::Right, value, stamp })
        }
        _ => None,
    }
}

fn key(button: PadButton) -> PadKey {
    match button {
        PadButton::LeftTrigger
        | PadButton::LeftTrigger2
        | PadButton::LeftThumb
        | PadButton::West
        | PadButton::DPadUp
        | PadButton::DPadDown
        | PadButton::DPadLeft
        | PadButton::DPadRight => PadKey::Left,
        PadButton::Select | PadButton::Start | PadButton::Mode | PadButton::Unknown => {
            PadKey::Middle
        }
        PadButton::South
        | PadButton::East
        | PadButton::North
        | PadButton::C
        | PadButton::Z
        | PadButton::RightTrigger
        | PadButton::RightTrigger2
        | PadButton::RightThumb => PadKey::Right,
    }
}
