//! An invented session for the tests of the record: a story in which Kestrel, who does not exist,
//! holds a mouse in two ways on a machine that does not exist. Every number is made up and round.

#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use std::path::{Path, PathBuf};
use tautline::engine::{
    Begin, Device, Event, Flag, Flags, Further, Outcome, RatingRecord, Response, TrialRecord,
};
use tautline::protocol::*;
use tautline::record::{
    About, FolderKeeper, LatencyNote, Machine, NewSession, Priority, Simulation, Start, create,
};
use tautline::scene::{Canvas, SceneId};
use tautline::tasks::{Look, Simple, Stimulus, TaskKind};
use tautline::units::*;

/// The protocol's text: what is copied; these tests do not parse it.
pub(crate) const PROTOCOL_TEXT: &str = "id = \"two-holds\"\n# a comment that must be kept\n";

/// The player's id.
pub(crate) const PLAYER: &str = "kestrel-abcd";

/// An empty folder of its own for a test.
pub(crate) fn fresh_folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("record").join(name);
    if folder.exists() {
        std::fs::remove_dir_all(&folder).unwrap();
    }
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

/// Two holds, simple reaction.
pub(crate) fn protocol() -> Protocol {
    let condition = |id: &str, tension| Condition {
        id: id.to_owned(),
        grip: Grip::Claw,
        tension,
        say: "Hold it so.".to_owned(),
    };
    Protocol {
        id: "two-holds".to_owned(),
        title: "Two holds, simple reaction".to_owned(),
        question: "Which hold clicks faster?".to_owned(),
        conditions: vec![condition("light", Tension::Light), condition("firm", Tension::Firm)],
        design: Design {
            order: Order::Shuffled,
            cycles: 2,
            trials: 2,
            warm_up: 0,
            warm_up_later: 0,
            reference: "light".to_owned(),
            looks: vec![],
        },
        task: TaskKind::Simple(Simple {}),
        respond_within_ms: 1500.0,
        stimulus: Look { size_mm: 20.0, contrast_share: 0.6 },
        foreperiod: Foreperiod::Exponential { min_ms: 700.0, mean_ms: 900.0, max_ms: 2772.0 },
        rest: Rest { min_s: 20.0, every_blocks: 1, standing_break: None },
        ask: Ask {
            before: vec![Rating::Expectation],
            after_block: vec![Rating::Tension, Rating::Discomfort],
            after_cycle: vec![],
        },
        motion: MotionRule { onset: OnsetRule::FivePercent, low_pass_hz: 20.0, least_counts: 4.0 },
        analysis: AnalysisRule {
            measure: Measure::Click,
            statistic: Statistic::TrimmedMean,
            family: Family::Reference,
            confidence: 0.95,
            smallest_change_ms: 5.0,
            anticipation_ms: 100.0,
            lapse_ms: 500.0,
        },
        care: Care { discomfort_limit: 4, longest_minutes: 60.0, firm_minutes_at_most: 12.0 },
    }
}

/// Light, firm, firm, light; two trials each.
pub(crate) fn schedule() -> Schedule {
    let trial = |number| PlannedTrial {
        part: Part::Main,
        number,
        foreperiod_ms: 1000.0 + 100.5 * number as f64,
        stimulus: Stimulus::Single,
    };
    let block = |position: usize, condition| Block {
        position,
        cycle: position.div_ceil(2),
        condition,
        trials: vec![trial(1), trial(2)],
        spare_foreperiods_ms: vec![1500.0],
    };
    Schedule {
        draw_rule: 1,
        seed: u64::MAX,
        blocks: vec![block(1, 0), block(2, 1), block(3, 1), block(4, 0)],
    }
}

/// When a segment of the story starts.
pub(crate) fn start(boot: &str, clock_s: i64) -> Start {
    Start {
        boot: boot.to_owned(),
        utc: "2030-01-02T03:04:05Z".parse().unwrap(),
        local_offset_s: 3600,
        clock: Nanos(clock_s * 1_000_000_000),
    }
}

/// What the manifest says of an invented machine.
pub(crate) fn about() -> About {
    About {
        program_version: "0.0.0-test".to_owned(),
        rules_hash: "00ff".to_owned(),
        analysis_version: 1,
        machine: Machine { os: "Exampleos 9".to_owned(), cpu: "Example 4".to_owned(), cores: 4 },
        display: serde_json::json!({ "vsync": { "asked": "on", "judged": "locked" } }),
        input: serde_json::json!({ "source": "simulated" }),
        priorities: vec![Priority {
            thread: "stimulus".to_owned(),
            asked: "round robin 10".to_owned(),
            granted: Some(false),
            note: Some("not permitted".to_owned()),
        }],
        latency_notes: vec![LatencyNote {
            of: "display".to_owned(),
            ms: 6.0,
            source: "invented".to_owned(),
        }],
        rig: None,
        px_per_count: 0.5,
        simulation: Some(Simulation {
            seed: 7,
            differences_ms: [("firm".to_owned(), 12.0), ("light".to_owned(), 0.0)].into(),
            player: serde_json::json!({ "base_ms": 240.0 }),
        }),
        start: start("a", 100),
    }
}

/// A keeper of a new session under `data`.
pub(crate) fn new_session(data: &Path) -> FolderKeeper {
    let (protocol, schedule) = (protocol(), schedule());
    create(&NewSession {
        data,
        player: PLAYER,
        protocol: &protocol,
        protocol_text: PROTOCOL_TEXT,
        schedule: &schedule,
        about: about(),
    })
    .unwrap()
}

/// The first event of a segment.
pub(crate) fn begin(clock_s: i64) -> Event {
    Event::Begin(Begin {
        t: Nanos(clock_s * 1_000_000_000),
        canvas: Canvas { width_px: 1920, height_px: 1080, px_per_mm: None, rate_hz: 240.0 },
        px_per_count: 0.5,
        scanout_ms: Some(4.0),
        display_lag_ms: None,
        engine_rule: 1,
        motion_rule: 1,
    })
}

/// The mouse of the story.
pub(crate) fn device() -> Event {
    Event::Device(Device {
        id: DeviceId(0),
        name: "Example mouse".to_owned(),
        unit: MotionUnit::Counts,
        steps_per_count: 1,
        report_interval: Some(Span::from_ms(1)),
    })
}

fn stamp(t: Nanos, sd_ns: i64) -> Stamp {
    Stamp { t, source: StampSource::Simulated, sd: Span(sd_ns) }
}

/// The events of a trial: the stimulus, a little motion, a press.
pub(crate) fn trial_events(trial: &TrialRecord) -> Vec<Event> {
    let shown = trial.shown.unwrap();
    let press = trial.press.unwrap();
    let mut events =
        vec![Event::Shown { scene: SceneId(2), frame: 9, stamp: shown, missed: 0, late: false }];
    events.extend((1..4).map(|i| Event::Motion {
        device: DeviceId(0),
        dx: i,
        dy: -i * 100,
        stamp: stamp(shown.t + Span::from_ms(i.into()), 1_000),
    }));
    events.push(Event::Press { device: DeviceId(0), button: Button::Left, stamp: press });
    events
}

/// A trial of a block (index): shown 1 s after the segment's start and 10 s a block, answered
/// 243.1174 ms later.
pub(crate) fn trial(
    segment: u32,
    segment_start: Nanos,
    block: usize,
    number: usize,
) -> TrialRecord {
    let shown = segment_start
        + Span::from_s(1 + 10 * i64::try_from(block).unwrap() + 3 * i64::try_from(number).unwrap());
    let mut flags = Flags::NONE;
    flags.set(Flag::LateFrame);
    flags.set(Flag::Lapse);
    TrialRecord {
        segment,
        segment_start,
        block,
        part: Part::Main,
        number,
        attempt: 1,
        stimulus: Stimulus::Single,
        expected: "left".into(),
        response: Some(Response::Button(Button::Left)),
        device: Some(DeviceId(0)),
        outcome: Outcome::Hit,
        flags: if number == 2 { flags } else { Flags::NONE },
        foreperiod_ms: 1100.5,
        previous_foreperiod_ms: (number > 1).then_some(1000.0),
        after_rest: number == 1,
        foreperiod_start: Some(shown - Span::from_ms(1100)),
        shown: Some(stamp(shown, 300_000)),
        press: Some(stamp(shown + Span(243_117_400), 400_000)),
        release: Some(shown + Span(300_000_000)),
        movement_first: Some(Span(200_000_499)),
        movement_5pct: Some(Span(-210_000_500)),
        movement_fit: None,
        report_interval: Some(Span::from_ms(1)),
        frame: Span(4_166_667),
        missed_frames: 0,
        scanout_ms: Some(4.0),
        display_lag_ms: None,
        target: None,
        end_px: Some((1.23456, -2.0)),
        path_px: Some(12.0),
        peak_speed_px_s: None,
        motion_unit: Some(MotionUnit::Counts),
        rest_motion_counts: Some(0.0),
        small_shakes_counts: None,
        further: Further::default(),
        force_share: None,
    }
}

/// Ratings after a block.
pub(crate) fn ratings(segment: u32, segment_start: Nanos, block: Option<usize>) -> RatingRecord {
    let given = match block {
        Some(_) => vec![(Rating::Tension, 3), (Rating::Discomfort, 0)],
        None => vec![(Rating::Expectation, 7)],
    };
    RatingRecord {
        segment,
        segment_start,
        block,
        t: segment_start + Span::from_ms(500),
        ratings: given,
        expected_faster: block.is_none().then_some(1),
    }
}
