//! The start of a session's screen: the trial run, the choice of a clock, the judgement of the
//! refresh, and the report of all three.
//!
//! It decides what is believed and writes down why. After it the cadence only follows.

use super::clocks::{self, Estimate, Nature, PresentationClock};
use super::earn::{self, Earned};
use super::modes::{self, Taken};
use super::pacing::Pacing;
use super::refusal::Refusal;
use super::report::{
    ClockReport, DisplayReport, RefreshFrom, RefusedClock, RefusedMode, WorkReport,
};
use super::scanout::Scan;
use super::seen::ScreenWish;
use super::surroundings::{Surroundings, outputs_are_real};
use super::trial::{self, TrialRun};
use super::vsync::{self, Dithered, VsyncReport, VsyncState};
use super::{DisplayError, PresentMode, Renderer, Stage, survey};
use crate::clock::{self, Bell};
use crate::units::{Span, StampSource};

/// Frames of the burst and its longest time.
const BURST_FRAMES: usize = 60;
const BURST_AT_MOST: Span = Span(1_500_000_000);
/// Where nobody tells the refresh.
const ASSUMED_HZ: f64 = 60.0;
/// Believable refreshes, Hz.
const BELIEVABLE_HZ: std::ops::RangeInclusive<f64> = 20.0..=1100.0;

/// What the start leaves behind.
pub(super) struct Started {
    /// The chosen clock first, then what takes over when it falls silent; the estimate last.
    pub(super) ladder: Vec<Box<dyn PresentationClock>>,
    /// The beat.
    pub(super) pacing: Pacing,
    /// One refresh.
    pub(super) refresh: Span,
    /// How the panel is scanned.
    pub(super) scan: Scan,
    /// For the manifest.
    pub(super) report: DisplayReport,
}

/// Runs the trial and decides. Takes a few seconds.
pub(super) fn start(
    stage: &mut Stage,
    renderer: &mut Renderer,
    bell: &Bell,
    wish: &ScreenWish,
) -> Result<Started, DisplayError> {
    let outputs = survey::outputs();
    let asked = refresh_asked(wish, &outputs);
    let surroundings = Surroundings::ask(stage);
    let Tried { mode, from_burst, clocks, mut refused, run, late } =
        try_modes(stage, renderer, bell, wish, asked.refresh)?;
    let known = Known {
        refresh: asked.refresh,
        software: stage.gpu.is_software(),
        burst: from_burst.state,
        wish: wish.clock,
    };
    let judged = judge(clocks, &run, known);
    let vsync = judged.lattice.unwrap_or(from_burst);
    let chosen = &judged.ladder[0];
    let nature = chosen.nature();
    let refresh = match (vsync.state, vsync.refresh_ms) {
        (VsyncState::Locked, Some(ms)) => Span::from_ms_f64(ms),
        _ => asked.refresh,
    };
    let work = median_and_longest(&run.ready);
    let calls = median_and_longest(&run.calls);
    let pacing = match nature {
        Nature::Lattice | Nature::Waking | Nature::Phase if vsync.state == VsyncState::Locked => {
            let interval = vsync.median_interval_ms.unwrap_or(refresh.ms());
            Pacing::by_refresh(
                refresh,
                Span::from_ms_f64(work.longest_ms),
                Span::from_ms_f64(interval),
            )
        }
        Nature::Lattice | Nature::Waking | Nature::Phase | Nature::Event | Nature::Estimate => {
            Pacing::beat(beat(refresh, judged.earned))
        }
    };
    let output = survey::at(&outputs, wish.at_px[0], wish.at_px[1]);
    let told = outputs_are_real(stage.window.system, &outputs);
    let scan = Scan::of(output, wish.at_px, refresh, told);
    refused.extend(judged.refused);
    let clock = ClockReport {
        added_ms: (nature == Nature::Estimate).then_some(judged.added.ms()),
        ..ClockReport::of(&**chosen, judged.earned, &scan, refresh, refused)
    };
    let card = stage.gpu.adapter.get_info();
    let report = DisplayReport {
        gpu: card.name,
        driver: card.driver,
        driver_version: card.driver_info,
        backend: card.backend.to_string(),
        software: stage.gpu.is_software(),
        window_system: stage.window.system,
        outputs,
        size: stage.size(),
        present_mode_asked: mode,
        present_mode_granted: stage.granted,
        present_modes_refused: late,
        frame_latency_asked: stage.config.desired_maximum_frame_latency,
        images: stage.images(),
        frames_in_flight: 1,
        compositor: surroundings.compositor,
        bypass_compositor: surroundings.bypass,
        composition: composition(stage),
        refresh_asked_ms: asked.refresh.ms(),
        refresh_from: asked.from,
        vsync,
        clock,
        work: WorkReport {
            frames: run.ready.len(),
            calls_median_ms: calls.median_ms,
            calls_longest_ms: calls.longest_ms,
            ready_median_ms: work.median_ms,
            ready_longest_ms: work.longest_ms,
            margin_ms: pacing.margin().map(Span::ms),
            cadence: pacing.cadence(),
        },
    };
    Ok(Started { ladder: judged.ladder, pacing, refresh, scan, report })
}

/// The beat where no blank says when a frame has to start: the refresh, or what frames one at a
/// time were held to where that is well over it.
fn beat(refresh: Span, earned: Option<Earned>) -> Span {
    const HELD_FROM: f64 = 1.25;
    match earned {
        Some(Earned { interval_median_ms, .. })
            if interval_median_ms > HELD_FROM * refresh.ms() =>
        {
            Span::from_ms_f64(interval_median_ms)
        }
        _ => refresh,
    }
}

struct Asked {
    refresh: Span,
    from: RefreshFrom,
}

fn refresh_asked(wish: &ScreenWish, outputs: &[survey::Output]) -> Asked {
    let of_output = survey::at(outputs, wish.at_px[0], wish.at_px[1]).and_then(|out| out.rate_hz);
    let (rate_hz, from) = match (wish.rate_hz, of_output) {
        (Some(rate_hz), _) => (rate_hz, RefreshFrom::Wish),
        (None, Some(rate_hz)) => (rate_hz, RefreshFrom::Output),
        (None, None) => (ASSUMED_HZ, RefreshFrom::Assumed),
    };
    if BELIEVABLE_HZ.contains(&rate_hz) {
        Asked { refresh: Span::from_ms_f64(1e3 / rate_hz), from }
    } else {
        Asked { refresh: Span::from_ms_f64(1e3 / ASSUMED_HZ), from: RefreshFrom::Assumed }
    }
}

/// How the last picture got to the screen, where the system tells it.
#[cfg(windows)]
fn composition(stage: &Stage) -> Option<super::Composition> {
    let drawn_by_dx12 = stage.gpu.adapter.get_info().backend == wgpu::Backend::Dx12;
    drawn_by_dx12.then(|| stage.window.swap_chain.composition())
}

#[cfg(not(windows))]
fn composition(_: &Stage) -> Option<super::Composition> {
    None
}

/// A present mode that was tried: its clocks and what they told.
struct Tried {
    mode: PresentMode,
    from_burst: VsyncReport,
    clocks: Vec<Box<dyn PresentationClock>>,
    refused: Vec<RefusedClock>,
    run: TrialRun,
    /// Modes tried before it, in which pictures came too late.
    late: Vec<RefusedMode>,
}

/// Tries one mode after the other until pictures come soon enough in one.
fn try_modes(
    stage: &mut Stage,
    renderer: &mut Renderer,
    bell: &Bell,
    wish: &ScreenWish,
    refresh: Span,
) -> Result<Tried, DisplayError> {
    let order = modes::in_order(wish.mode, stage.window.system);
    let offered: Vec<_> = order.iter().copied().filter(|&mode| stage.offers(mode)).collect();
    let taken = modes::take(
        &order,
        |mode| offered.contains(&mode),
        |mode| {
            let tried = try_mode(stage, renderer, bell, wish, refresh, mode)?;
            let delay_refreshes = queue_delay(&tried.clocks, &tried.run, refresh);
            Ok::<_, DisplayError>(modes::Trial { gathered: tried, delay_refreshes })
        },
    )?;
    let Taken { mode, gathered, late } = taken.expect("at least one mode is tried");
    Ok(Tried { mode, late, ..gathered })
}

fn try_mode(
    stage: &mut Stage,
    renderer: &mut Renderer,
    bell: &Bell,
    wish: &ScreenWish,
    refresh: Span,
    mode: PresentMode,
) -> Result<Tried, DisplayError> {
    let size = stage.window.size.read();
    stage.configure(size, mode);
    if renderer.size() != stage.size() {
        *renderer = Renderer::new(&stage.gpu, stage.size())?;
    }
    let intervals = trial::burst(stage, renderer, BURST_FRAMES, BURST_AT_MOST)?;
    // A mode that does not wait for the refresh says nothing about it by running free.
    let from_burst = match stage.granted {
        PresentMode::Fifo => vsync::burst(&intervals, refresh),
        PresentMode::Mailbox | PresentMode::Immediate => VsyncReport::NOT_JUDGED,
    };
    // The line of the burst drains, and the swapchain's numbers begin anew.
    stage.configure(size, mode);
    let clocks::Candidates { mut clocks, refused } = clocks::candidates(stage, bell, refresh);
    let by_blank = |nature| matches!(nature, Nature::Lattice | Nature::Waking | Nature::Phase);
    let dither = clocks.iter().any(|clock| by_blank(clock.nature()));
    let frames = wish.trial_frames.max(earn::FEWEST_FRAMES);
    let run = trial::run(stage, renderer, &mut clocks, frames, refresh, dither)?;
    Ok(Tried { mode, from_burst, clocks, refused, run, late: Vec::new() })
}

/// The median time from the present call to the screen in refreshes, by the best clock that tells
/// of most frames and of the queue at all: a server's copy or our own estimate does not.
fn queue_delay(
    clocks: &[Box<dyn PresentationClock>],
    run: &TrialRun,
    refresh: Span,
) -> Option<f64> {
    let tells = |source| {
        matches!(
            source,
            StampSource::WaylandFeedback
                | StampSource::PresentComplete
                | StampSource::PresentWait
                | StampSource::DxgiStatistics
        )
    };
    clocks.iter().zip(&run.sightings).filter(|(clock, _)| tells(clock.source())).find_map(
        |(_, sightings)| {
            let delays: Vec<Span> =
                sightings.iter().filter_map(|seen| Some(seen.stamp? - seen.submit)).collect();
            (delays.len() * 2 > sightings.len() && !delays.is_empty())
                .then(|| vsync::median_ms(&delays) / refresh.ms())
        },
    )
}

struct Judged {
    ladder: Vec<Box<dyn PresentationClock>>,
    earned: Option<Earned>,
    refused: Vec<RefusedClock>,
    /// The refresh by hardware stamps, where a lattice clock told of every frame.
    lattice: Option<VsyncReport>,
    added: Span,
}

/// What is known beside the run.
#[derive(Debug, Clone, Copy)]
struct Known {
    /// The refresh asked.
    refresh: Span,
    /// Pictures are made by the processor.
    software: bool,
    /// The refresh as judged without a clock.
    burst: VsyncState,
    /// The one clock wished for.
    wish: Option<StampSource>,
}

fn judge(
    clocks: Vec<Box<dyn PresentationClock>>,
    run: &TrialRun,
    Known { refresh, software, burst, wish }: Known,
) -> Judged {
    let mut judged = Judged {
        ladder: Vec::new(),
        earned: None,
        refused: Vec::new(),
        lattice: None,
        added: Span::ZERO,
    };
    let told = run.sightings.iter().zip(&run.passed_over);
    for (clock, (sightings, &passed_over)) in clocks.into_iter().zip(told) {
        let source = clock.source();
        let verdict = match clock.nature() {
            Nature::Lattice => {
                let lattice = vsync::stamps(&dithered(sightings), refresh);
                // Where the display follows the frames there is no lattice to be on: such a
                // stamp is judged as an event.
                let verdict = if lattice.state == VsyncState::Variable {
                    earn::event(sightings)
                } else {
                    earn::lattice(sightings, refresh, clock.sd())
                };
                // A clock that is not believed says nothing about the refresh either.
                let told = verdict.is_ok() && lattice.state != VsyncState::NotJudged;
                judged.lattice = judged.lattice.or(told.then_some(lattice));
                verdict
            }
            Nature::Waking => earn::lattice(sightings, refresh, clock.sd()),
            Nature::Event => earn::event(sightings),
            Nature::Phase => earn::phase(sightings, refresh, burst),
            Nature::Estimate => {
                let longest = run.intervals.iter().copied().max().unwrap_or(refresh);
                let estimate = Estimate::new(refresh, longest.max(refresh), software);
                judged.added = estimate.added();
                judged.ladder.push(Box::new(estimate));
                continue;
            }
        };
        match verdict {
            Ok(_) if wish.is_some_and(|wished| wished != source) => {
                judged.refused.push(RefusedClock { source, why: Refusal::NotWished });
            }
            Ok(earned) => {
                judged.earned = judged.earned.or(Some(earned));
                judged.ladder.push(clock);
            }
            Err(Refusal::Silent) if passed_over > 0 => {
                let why = Refusal::NeverShown { frames: passed_over };
                judged.refused.push(RefusedClock { source, why });
            }
            Err(why) => judged.refused.push(RefusedClock { source, why }),
        }
    }
    judged
}

fn dithered(sightings: &[earn::Sighting]) -> Vec<Dithered> {
    sightings
        .iter()
        .filter_map(|seen| Some(Dithered { submit: seen.submit, stamp: seen.stamp? }))
        .collect()
}

struct MedianAndLongest {
    median_ms: f64,
    longest_ms: f64,
}

fn median_and_longest(spans: &[Span]) -> MedianAndLongest {
    let Some(longest) = spans.iter().max() else {
        return MedianAndLongest { median_ms: 0.0, longest_ms: 0.0 };
    };
    MedianAndLongest { median_ms: vsync::median_ms(spans), longest_ms: longest.ms() }
}

/// Waits until the device is idle, at most `limit`; nothing may hang.
pub(super) fn settle(stage: &Stage, limit: Span) {
    let until = clock::now() + limit;
    while clock::now() < until {
        match stage.gpu.device.poll(wgpu::PollType::Poll) {
            Ok(status) if status.is_queue_empty() => return,
            // Not done yet, or lost: the caller's next picture tells which.
            Ok(_) | Err(_) => clock::wait(clock::now() + trial::NAP),
        }
    }
}
