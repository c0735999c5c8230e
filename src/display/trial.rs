//! The run of frames at the start of a session, in which the clocks earn their trust and the
//! refresh is judged.
//!
//! Its frames are the empty field with a patch that differs by one grey level (rule on flashing).
//! It only gathers; `earn` and `vsync` judge. Bounded in time: a window that takes no picture ends
//! it.

use super::clocks::{Armed, PresentationClock};
use super::earn::Sighting;
use super::hand_over::{Handed, NoPicture, hand_over};
use super::renderer::Patch;
use super::{DisplayError, Renderer, Stage};
use crate::clock;
use crate::scene::{Notice, Scene, SceneId};
use crate::units::{Nanos, Span};

/// First frames are not judged: drivers start slowly.
const WARM_UP: usize = 10;
/// A clock that misses so many frames in a row is no longer waited for.
const SILENT_AFTER: usize = 5;
/// Longest time for one picture to be taken before the start is given up.
const NO_PICTURE_AFTER: Span = Span(3_000_000_000);
/// Naps while clocks are waited for that ring no bell.
pub(super) const NAP: Span = Span(400_000);

/// What the run gathered.
#[derive(Debug)]
pub(super) struct TrialRun {
    /// For each clock, in the order given, one sighting a frame.
    pub(super) sightings: Vec<Vec<Sighting>>,
    /// Time in our own calls, a frame.
    pub(super) calls: Vec<Span>,
    /// Start to end of the drawing, a frame.
    pub(super) ready: Vec<Span>,
    /// Between the ends of the drawing of successive frames.
    pub(super) intervals: Vec<Span>,
    /// For each clock, the frames that it told of as never shown.
    pub(super) passed_over: Vec<usize>,
}

/// No frame's fate is waited for longer: three refreshes, or 50 ms.
pub(super) fn void_after(refresh: Span) -> Span {
    Span(refresh.0 * 3).max(Span::from_ms(50))
}

/// Presents `frames` frames, one at a time, and gathers what each clock tells. The last clock is
/// the estimate. `dither`: scatter the submits over the refresh, so that a display that follows
/// the frames shows it.
pub(super) fn run(
    stage: &mut Stage,
    renderer: &mut Renderer,
    clocks: &mut [Box<dyn PresentationClock>],
    frames: usize,
    refresh: Span,
    dither: bool,
) -> Result<TrialRun, DisplayError> {
    let mut gathered = TrialRun {
        sightings: vec![Vec::with_capacity(frames); clocks.len()],
        calls: Vec::with_capacity(frames),
        ready: Vec::with_capacity(frames),
        intervals: Vec::with_capacity(frames),
        passed_over: vec![0; clocks.len()],
    };
    let mut silent = vec![0usize; clocks.len()];
    let mut beat = clock::now();
    let mut ready_before: Option<Nanos> = None;
    for frame in 0..frames + WARM_UP {
        let scatter = if dither { refresh.0 * (frame as i64 * 37 % 60) / 100 } else { 0 };
        sleep_until(beat + Span(scatter));
        let (handed, armed) = present(stage, renderer, clocks, frame as u64)?;
        let told = gather(stage, clocks, &mut silent, &handed, refresh);
        for (count, told) in gathered.passed_over.iter_mut().zip(&told) {
            *count += usize::from(frame >= WARM_UP && *told == Some(None));
        }
        let heard: Vec<Option<Nanos>> = told.into_iter().map(Option::flatten).collect();
        // Drawing done is told by the estimate, which stands last and adds a constant.
        let ready = heard.last().copied().flatten();
        for (index, clock) in clocks.iter_mut().enumerate() {
            // What came between the last fate and this frame belongs to the last frame.
            let extras = clock.extras();
            if frame > WARM_UP
                && let Some(last) = gathered.sightings[index].last_mut()
            {
                last.extras += extras;
            }
        }
        if frame >= WARM_UP {
            for (list, stamp) in gathered.sightings.iter_mut().zip(heard) {
                list.push(Sighting { submit: armed, stamp, extras: 0 });
            }
            gathered.calls.push(handed.presented - handed.acquired);
            if let Some(ready) = ready {
                gathered.ready.push(ready - handed.started);
                if let Some(before) = ready_before {
                    gathered.intervals.push(ready - before);
                }
            }
        }
        ready_before = ready;
        beat = (beat + refresh).max(clock::now() - refresh);
    }
    Ok(gathered)
}

/// The intervals between frames presented as fast as they are taken, at most `frames` of them and
/// `at_most` long. The first, which only fill the line, are left out.
pub(super) fn burst(
    stage: &mut Stage,
    renderer: &mut Renderer,
    frames: usize,
    at_most: Span,
) -> Result<Vec<Span>, DisplayError> {
    let mut intervals = Vec::with_capacity(frames);
    let start = clock::now();
    let mut before = None;
    for frame in 0..frames + WARM_UP {
        let (handed, _) = present(stage, renderer, &mut [], frame as u64)?;
        if let Some(before) = before
            && frame >= WARM_UP
        {
            intervals.push(handed.presented - before);
        }
        before = Some(handed.presented);
        if handed.presented - start > at_most {
            break;
        }
    }
    Ok(intervals)
}

/// Presents one frame of the run to all clocks; tries again while the window is being set up.
fn present(
    stage: &mut Stage,
    renderer: &mut Renderer,
    clocks: &mut [Box<dyn PresentationClock>],
    frame: u64,
) -> Result<(Handed, Nanos), DisplayError> {
    let scene = Scene { notice: Some(Notice::Measuring), ..Scene::empty(SceneId(0)) };
    let patch = if frame.is_multiple_of(2) { Patch::Even } else { Patch::Odd };
    let start = clock::now();
    loop {
        let mut armed_at = start;
        let outcome = hand_over(stage, renderer, &scene, patch, |submission, t| {
            armed_at = t;
            let armed = Armed { frame, t, submission };
            clocks.iter_mut().for_each(|clock| clock.armed(&armed));
        });
        match outcome {
            Ok(handed) => {
                clocks.iter_mut().for_each(|clock| clock.presented(handed.presented));
                return Ok((handed, armed_at));
            }
            Err(NoPicture::Outdated) => {
                let size = stage.window.size.read();
                stage.configure(size, stage.granted);
                *renderer = Renderer::new(&stage.gpu, stage.size())?;
                clocks.iter_mut().for_each(|clock| clock.forget());
            }
            Err(NoPicture::Timeout | NoPicture::Occluded | NoPicture::Lost) => {
                sleep_until(clock::now() + Span::from_ms(20));
            }
        }
        if clock::now() - start > NO_PICTURE_AFTER {
            return Err(DisplayError::NoPicture { waited_ms: 3000 });
        }
    }
}

/// Waits for every clock that still answers. Of each: nothing, or when the frame was shown, or that
/// it never was.
///
/// Longer than in a session: a screen so slow is to be judged by its figures, not taken as silent.
fn gather(
    stage: &Stage,
    clocks: &mut [Box<dyn PresentationClock>],
    silent: &mut [usize],
    handed: &Handed,
    refresh: Span,
) -> Vec<Option<Option<Nanos>>> {
    let limit = handed.presented + void_after(refresh) + void_after(refresh);
    let mut heard: Vec<Option<Option<Nanos>>> = vec![None; clocks.len()];
    loop {
        let now = clock::now();
        let mut waiting = false;
        for (index, clock) in clocks.iter_mut().enumerate() {
            if heard[index].is_some() || silent[index] >= SILENT_AFTER {
                continue;
            }
            match clock.stamps(&stage.gpu, now) {
                Some(fate) => heard[index] = Some(fate.stamp.map(|stamp| stamp.t)),
                None => waiting = true,
            }
        }
        if !waiting || now >= limit {
            break;
        }
        clock::wait(now + NAP);
    }
    for (silent, heard) in silent.iter_mut().zip(&heard) {
        *silent = if heard.is_some() { 0 } else { *silent + 1 };
    }
    heard
}

/// Sleeps through bells.
fn sleep_until(t: Nanos) {
    while clock::now() < t {
        clock::wait(t);
    }
}
