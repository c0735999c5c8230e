//! The one face of input: picks a source, merges what comes by stamp, says what is settled.
//!
//! It judges no press. Invariants: no event of a device before the device was announced; `settled`
//! never lies ahead of an event that has not yet been handed out; a source that was passed over is
//! named with the reason.

use super::choice::{InputChoice, InputError, Reason, Refusal};
use super::devices::{Devices, Identity};
use super::interval::ReportInterval;
use super::lane::{self, LaneIn, LaneOut};
use super::{DeviceInfo, InputEvent, OfWindow, PIXEL_STEPS, Priority, WindowFeed};
use crate::clock::{self, Bell};
use crate::units::{DeviceId, MotionUnit, Nanos, Span, StampSource};
use std::sync::Arc;
use std::thread::JoinHandle;

/// Hands, and where the window must put its own events, if they serve.
#[derive(Debug)]
pub struct Opened {
    /// The session's end.
    pub hands: Hands,
    /// The window's end; only where the window's own events are the source.
    pub feed: Option<WindowFeed>,
}

/// What is followed of a device that has spoken.
#[derive(Debug, Default)]
struct Track {
    interval: ReportInterval,
    steps: u32,
}

/// Everything that hands do.
#[derive(Debug)]
pub struct Hands {
    lanes: Vec<LaneOut>,
    /// After the lanes, so that these are let go of first.
    threads: Threads,
    window: OfWindow,
    devices: Arc<Devices>,
    wanted: Option<String>,
    bell: Bell,
    chosen: StampSource,
    refused: Vec<Refusal>,
    tracks: Vec<Option<Track>>,
    announced: Vec<DeviceInfo>,
    settled: Nanos,
    focused_since: Option<Nanos>,
    lost_before: u64,
    /// Told before anything else: a source was opened anew.
    owed: Option<InputEvent>,
}

impl Hands {
    /// Opens the source that `choice` names, or the best that is granted, for the mouse that `mouse`
    /// names (its ident or its whole name) or for all. `window`: whose hands they are; it must outlive
    /// the value. `bell` wakes whoever waits for events.
    ///
    /// Nothing is heard until [`Hands::set_focused`].
    ///
    /// # Errors
    /// The source asked for cannot be used or is not built; the mouse asked for is nowhere.
    pub fn open(
        choice: InputChoice,
        mouse: Option<&str>,
        window: OfWindow,
        bell: Bell,
    ) -> Result<Opened, InputError> {
        let mut hands = Hands { window, ..Hands::without_source(mouse, bell, clock::now()) };
        let order: &[StampSource] = match choice {
            InputChoice::Auto if cfg!(target_os = "linux") && !window.is_wayland() => {
                &[StampSource::Evdev, StampSource::Xinput, StampSource::Window]
            }
            InputChoice::Auto => super::list::OF_THIS_SYSTEM,
            InputChoice::Evdev => &[StampSource::Evdev],
            InputChoice::Xinput => &[StampSource::Xinput],
            InputChoice::Window => &[StampSource::Window],
            InputChoice::Wayland => &[StampSource::WaylandPointer],
            InputChoice::RawInput => &[StampSource::RawInput],
        };
        let mut no_such_mouse = false;
        for &source in order {
            match hands.start(source, choice) {
                Ok(feed) => {
                    hands.chosen = source;
                    return Ok(Opened { hands, feed });
                }
                Err(reason) => {
                    no_such_mouse |= matches!(reason, Reason::NoSuchMouse { .. });
                    hands.refused.push(Refusal::new(source, &reason));
                }
            }
            // What a refused source has entered was never heard of.
            hands.devices = Arc::new(Devices::default());
        }
        match (hands.wanted.take(), hands.refused.pop()) {
            (Some(wanted), Some(last)) if choice == InputChoice::Auto || no_such_mouse => {
                hands.refused.push(last);
                Err(InputError::NoSuchMouse { wanted, refused: hands.refused })
            }
            (_, Some(refusal)) => Err(InputError::Refused { refusal }),
            (_, None) => unreachable!("every order names a source, and each is tried"),
        }
    }

    fn without_source(mouse: Option<&str>, bell: Bell, now: Nanos) -> Hands {
        Hands {
            lanes: Vec::new(),
            threads: Threads::default(),
            window: OfWindow::default(),
            devices: Arc::new(Devices::default()),
            wanted: mouse.map(str::to_owned),
            bell,
            chosen: StampSource::Window,
            refused: Vec::new(),
            tracks: Vec::new(),
            announced: Vec::new(),
            settled: now,
            focused_since: None,
            lost_before: 0,
            owed: None,
        }
    }

    /// Starts one source.
    fn start(
        &mut self,
        source: StampSource,
        choice: InputChoice,
    ) -> Result<Option<WindowFeed>, Reason> {
        let (lane_in, lane_out) = lane::lane(self.bell.clone(), clock::now());
        let wanted = self.wanted.as_deref();
        let feed = match source {
            StampSource::Window => Some(window_feed(lane_in, &self.devices, wanted)?),
            _ => {
                let whose = Whose { window: self.window, devices: &self.devices, wanted };
                let thread = start_thread(source, choice, lane_in, &whose)?;
                // It speaks on the window's connection, which must not go before it.
                if source == StampSource::WaylandPointer {
                    self.threads.0.push(thread);
                }
                None
            }
        };
        lane_out.set_focused(self.focused_since);
        self.lanes.push(lane_out);
        Ok(feed)
    }

    /// The next event that has come, the oldest first; `None` when there is none now. That a mouse
    /// went or came back is told of those that have spoken. Takes no lock and allocates nothing, but
    /// for a device that speaks for the first time.
    #[expect(clippy::should_implement_trait, reason = "none now does not mean none ever")]
    pub fn next(&mut self) -> Option<InputEvent> {
        if let Some(gap) = self.owed.take() {
            return Some(gap);
        }
        // The watermarks first: what is pushed after they were read is not older than they are.
        let watermark = self.lanes.iter().map(LaneOut::watermark).min();
        while let Some(event) = self.pop_oldest() {
            let of_the_plug =
                matches!(event, InputEvent::Unplugged { .. } | InputEvent::Replugged { .. });
            // A mouse that nobody has touched may come and go.
            if !of_the_plug || self.has_spoken(event.device()) {
                self.follow(event);
                return Some(event);
            }
        }
        if let Some(watermark) = watermark {
            self.settled = self.settled.max(watermark);
        }
        None
    }

    fn pop_oldest(&mut self) -> Option<InputEvent> {
        let heads = self.lanes.iter().enumerate();
        let (_, index) =
            heads.filter_map(|(index, lane)| Some((lane.ring.peek().ok()?.t(), index))).min()?;
        self.lanes[index].ring.pop().ok()
    }

    fn has_spoken(&self, device: Option<DeviceId>) -> bool {
        let track = device.and_then(|device| self.tracks.get(usize::from(device.0)));
        track.is_some_and(Option::is_some)
    }

    fn follow(&mut self, event: InputEvent) {
        let Some(device) = event.device() else { return };
        let place = usize::from(device.0);
        if self.tracks.len() <= place {
            self.tracks.resize_with(place + 1, || None);
        }
        let slot = &mut self.tracks[place];
        if slot.is_none()
            && let Some(info) = self.devices.info(device)
        {
            let steps = u32::from(info.steps_per_count);
            *slot = Some(Track { steps, ..Track::default() });
            self.announced.push(info);
        }
        if let (InputEvent::Motion { dx, dy, stamp, .. }, Some(track)) = (event, slot) {
            track.interval.moved(stamp.t, dx.unsigned_abs().max(dy.unsigned_abs()) / track.steps);
        }
    }

    /// Devices that have spoken for the first time since the last call: hand them on before the
    /// event that [`Hands::next`] has just returned.
    pub fn new_devices(&mut self) -> Vec<DeviceInfo> {
        std::mem::take(&mut self.announced)
    }

    /// No event with an older stamp will come from [`Hands::next`] any more. Moves when `next` finds
    /// nothing; goes on by itself while a mouse lies still.
    pub fn settled(&self) -> Nanos {
        self.settled
    }

    /// The window has got or lost the focus: from now on, hear, or forget what is heard.
    pub fn set_focused(&mut self, focused: bool) {
        if focused == self.focused_since.is_some() {
            return;
        }
        self.focused_since = focused.then(clock::now);
        self.lanes.iter().for_each(|lane| lane.set_focused(self.focused_since));
    }

    /// Opens the same source anew, after its watermark stood still; device numbers stay. What the
    /// old thread had not passed on is lost, and told as a gap. The window's own events cannot be
    /// opened anew: they come again when its loop does.
    ///
    /// # Errors
    /// As [`Hands::open`] for this source.
    pub fn restart(&mut self) -> Result<(), InputError> {
        if self.chosen == StampSource::Window {
            return Ok(());
        }
        self.lost_before = self.overflowed();
        self.lanes.clear();
        self.owed = Some(InputEvent::Gap { lost: 0, t: clock::now() });
        self.devices.all_left();
        let choice = match self.chosen {
            StampSource::Evdev => InputChoice::Evdev,
            StampSource::WaylandPointer => InputChoice::Wayland,
            StampSource::RawInput => InputChoice::RawInput,
            _ => InputChoice::Xinput,
        };
        self.start(self.chosen, choice)
            .map(drop)
            .map_err(|reason| InputError::Refused { refusal: Refusal::new(self.chosen, &reason) })
    }

    /// The source in use.
    pub fn chosen(&self) -> StampSource {
        self.chosen
    }

    /// The better sources that were passed over, the best first.
    pub fn refused(&self) -> &[Refusal] {
        &self.refused
    }

    /// Events lost since the start because a ring was full.
    pub fn overflowed(&self) -> u64 {
        self.lost_before + self.lanes.iter().map(LaneOut::lost_count).sum::<u64>()
    }

    /// Wake-ups at which more than one report was read, so that they have one stamp, and the most
    /// reports read at one; only sources whose reports carry no time have such.
    pub fn shared_wake_ups(&self) -> [u64; 2] {
        self.lanes.iter().fold([0, 0], |[wake_ups, most], lane| {
            let [more, at_once] = lane.shared_wake_ups();
            [wake_ups + more, most.max(at_once)]
        })
    }

    /// What the system granted the source's thread; `None` before it has started.
    pub fn priority(&self) -> Option<Priority> {
        self.lanes.first().and_then(LaneOut::priority)
    }

    /// Processor time that the source's thread has used, as of at most some 100 ms ago (its load at
    /// thousands of events a second is the difference of two readings); zero for the window's events.
    pub fn busy(&self) -> Span {
        self.lanes.iter().fold(Span::ZERO, |sum, lane| sum + lane.busy())
    }

    /// Why the source ended, if it did; its watermark then stands still.
    pub fn ended(&self) -> Option<&str> {
        self.lanes.iter().find_map(LaneOut::ended)
    }

    /// Every device of this source, whether or not it has spoken, with the interval measured so far.
    pub fn devices(&self) -> Vec<DeviceInfo> {
        let measured = |info: DeviceInfo| DeviceInfo {
            report_interval: self.report_interval(info.id),
            ..info
        };
        self.devices.all().into_iter().map(measured).collect()
    }

    /// The median interval between a device's reports in brisk motion, once enough were seen.
    pub fn report_interval(&self, device: DeviceId) -> Option<Span> {
        let track = self.tracks.get(usize::from(device.0))?.as_ref()?;
        track.interval.median()
    }
}

/// The ident of the pointer that the window library tells of.
const WINDOW_IDENT: &str = "pointer";

fn the_pointer() -> Identity {
    Identity {
        name: "Pointer of the window system".to_owned(),
        model: WINDOW_IDENT.to_owned(),
        serial: None,
        place: String::new(),
    }
}

fn window_feed(
    lane: LaneIn,
    devices: &Devices,
    wanted: Option<&str>,
) -> Result<WindowFeed, Reason> {
    let pointer = devices.enter(the_pointer(), MotionUnit::Pixels, PIXEL_STEPS).id;
    match wanted {
        Some(wanted) if !devices.is_wanted(pointer, Some(wanted)) => Err(Reason::NoSuchMouse {
            wanted: wanted.to_owned(),
            present: vec![WINDOW_IDENT.to_owned()],
        }),
        _ => Ok(WindowFeed::new(lane, pointer)),
    }
}

/// Threads that must have ended before the hands are gone. Their lanes were let go of before.
#[derive(Debug, Default)]
struct Threads(Vec<JoinHandle<()>>);

impl Drop for Threads {
    fn drop(&mut self) {
        // One that panicked has ended too.
        self.0.drain(..).for_each(|thread| drop(thread.join()));
    }
}

/// What a source is opened for.
#[cfg_attr(not(target_os = "linux"), expect(dead_code, reason = "for sources with a thread"))]
struct Whose<'a> {
    window: OfWindow,
    devices: &'a Arc<Devices>,
    wanted: Option<&'a str>,
}

/// Opens a source and gives it a thread of its own.
#[cfg(target_os = "linux")]
fn start_thread(
    source: StampSource,
    choice: InputChoice,
    lane: LaneIn,
    &Whose { window, devices, wanted }: &Whose<'_>,
) -> Result<JoinHandle<()>, Reason> {
    use super::{evdev::Evdev, source, wayland::Wayland, xinput::Xinput};
    match source {
        StampSource::Evdev => source::start(Evdev::open(Arc::clone(devices), wanted)?, lane),
        StampSource::WaylandPointer => {
            let display = window.wayland.ok_or(Reason::NoWaylandWindow)?;
            source::start(Wayland::join(display, Arc::clone(devices), wanted)?, lane)
        }
        StampSource::Xinput if choice == InputChoice::Auto && window.is_wayland() => {
            Err(Reason::WaylandWindow)
        }
        StampSource::Xinput => source::start(Xinput::open(Arc::clone(devices), wanted)?, lane),
        other => Err(elsewhere(other)),
    }
}

/// Opens a source and gives it a thread of its own.
#[cfg(windows)]
fn start_thread(
    source: StampSource,
    _choice: InputChoice,
    lane: LaneIn,
    whose: &Whose<'_>,
) -> Result<JoinHandle<()>, Reason> {
    use super::{rawinput::RawInput, source};
    match source {
        StampSource::RawInput => {
            source::start(RawInput::open(Arc::clone(whose.devices), whose.wanted)?, lane)
        }
        other => Err(elsewhere(other)),
    }
}

/// No source here has a thread of its own: the window's events serve.
#[cfg(not(any(target_os = "linux", windows)))]
fn start_thread(
    source: StampSource,
    _choice: InputChoice,
    _lane: LaneIn,
    _whose: &Whose<'_>,
) -> Result<JoinHandle<()>, Reason> {
    Err(elsewhere(source))
}

/// The source belongs to another system than this one.
pub(super) fn elsewhere(source: StampSource) -> Reason {
    let system = if source == StampSource::RawInput { "Windows" } else { "Linux" };
    Reason::OtherSystem { system }
}

/// Whether the window library will take Wayland: it does so wherever these are set.
#[cfg(target_os = "linux")]
pub(crate) fn window_is_wayland() -> bool {
    ["WAYLAND_DISPLAY", "WAYLAND_SOCKET"]
        .iter()
        .any(|name| std::env::var_os(name).is_some_and(|value| !value.is_empty()))
}

#[cfg(test)]
mod tests;
