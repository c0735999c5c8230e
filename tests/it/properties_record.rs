//! Properties of the record: every event comes back exactly, whatever the bytes the decoder ends,
//! unknown kinds are skipped, rows read back as written.

#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use crate::record_sample as sample;
use proptest::prelude::*;
use tautline::engine::{Answer, Begin, Device, Event, Flag, Flags, Key, Outcome};
use tautline::protocol::Rating;
use tautline::record::events::{Decoded, Encoder, EventsError, decode, file_header, to_csv};
use tautline::record::{Answers, RowContext, Table, TrialRow, compare_rows};
use tautline::scene::{Canvas, SceneId};
use tautline::units::*;

fn nanos() -> impl Strategy<Value = Nanos> {
    prop_oneof![
        any::<i64>().prop_map(Nanos),
        // Most come close together.
        (0..3_000_000_000_i64).prop_map(|t| Nanos(1_000_000_000_000 + t)),
    ]
}

fn span() -> impl Strategy<Value = Span> {
    any::<i64>().prop_map(Span)
}

fn source() -> impl Strategy<Value = StampSource> {
    (0..StampSource::ALL.len()).prop_map(|i| StampSource::ALL[i])
}

fn stamp() -> impl Strategy<Value = Stamp> {
    (nanos(), source(), prop_oneof![Just(Span(10_000)), span()]).prop_map(|(t, source, sd)| Stamp {
        t,
        source,
        sd,
    })
}

fn button() -> impl Strategy<Value = Button> {
    prop_oneof![
        Just(Button::Left),
        Just(Button::Right),
        Just(Button::Middle),
        any::<u8>().prop_map(Button::Other),
    ]
}

fn id() -> impl Strategy<Value = DeviceId> {
    prop_oneof![Just(DeviceId(0)), any::<u16>().prop_map(DeviceId)]
}

fn rating() -> impl Strategy<Value = Rating> {
    prop_oneof![
        Just(Rating::Expectation),
        Just(Rating::Tension),
        Just(Rating::Discomfort),
        Just(Rating::Fatigue),
    ]
}

fn float() -> impl Strategy<Value = f64> {
    prop::num::f64::NORMAL | prop::num::f64::ZERO | prop::num::f64::INFINITE
}

fn begin() -> impl Strategy<Value = Begin> {
    let canvas = (any::<u32>(), any::<u32>(), prop::option::of(float()), float()).prop_map(
        |(width_px, height_px, px_per_mm, rate_hz)| Canvas {
            width_px,
            height_px,
            px_per_mm,
            rate_hz,
        },
    );
    let notes = (prop::option::of(float()), prop::option::of(float()));
    (nanos(), canvas, float(), notes, any::<u32>(), any::<u32>()).prop_map(
        |(t, canvas, px_per_count, (scanout_ms, display_lag_ms), engine_rule, motion_rule)| Begin {
            t,
            canvas,
            px_per_count,
            scanout_ms,
            display_lag_ms,
            engine_rule,
            motion_rule,
        },
    )
}

fn device() -> impl Strategy<Value = Device> {
    let unit = prop_oneof![
        Just(MotionUnit::Counts),
        Just(MotionUnit::Normalised),
        Just(MotionUnit::Pixels),
    ];
    (id(), ".{0,300}", unit, any::<u16>(), prop::option::of(span())).prop_map(
        |(id, name, unit, steps_per_count, report_interval)| Device {
            id,
            name,
            unit,
            steps_per_count,
            report_interval,
        },
    )
}

fn answer() -> impl Strategy<Value = Answer> {
    prop_oneof![
        Just(Answer::GoOn),
        prop::collection::vec((rating(), any::<u8>()), 0..9).prop_map(Answer::Rated),
        (prop::option::of(any::<usize>()), any::<u8>())
            .prop_map(|(faster, sure)| Answer::Expected { faster, sure }),
    ]
}

/// A step of the mouse: mostly near, at times the extremes.
fn step() -> impl Strategy<Value = i32> {
    prop_oneof![4 => -10..10_i32, 1 => any::<i32>()]
}

fn motion() -> impl Strategy<Value = Event> {
    (id(), step(), step(), stamp()).prop_map(|(device, dx, dy, stamp)| Event::Motion {
        device,
        dx,
        dy,
        stamp,
    })
}

/// Every kind of event. A new variant fails to compile in `all_kinds_are_drawn`.
fn event() -> impl Strategy<Value = Event> {
    let key = prop_oneof![Just(Key::Pause), Just(Key::Stop), Just(Key::Hurts), Just(Key::AskStop)];
    let scene = || any::<u64>().prop_map(SceneId);
    prop_oneof![
        1 => begin().prop_map(Event::Begin),
        1 => device().prop_map(Event::Device),
        4 => (scene(), any::<u64>(), stamp(), any::<u16>(), any::<bool>()).prop_map(
            |(scene, frame, stamp, missed, late)| Event::Shown { scene, frame, stamp, missed, late }
        ),
        1 => (scene(), any::<u64>(), nanos())
            .prop_map(|(scene, frame, t)| Event::NotShown { scene, frame, t }),
        2 => (id(), button(), stamp())
            .prop_map(|(device, button, stamp)| Event::Press { device, button, stamp }),
        2 => (id(), button(), stamp())
            .prop_map(|(device, button, stamp)| Event::Release { device, button, stamp }),
        8 => motion(),
        1 => (key, nanos()).prop_map(|(key, t)| Event::Key { key, t }),
        1 => (any::<bool>(), nanos()).prop_map(|(focused, t)| Event::Focus { focused, t }),
        1 => (answer(), nanos()).prop_map(|(answer, t)| Event::Answered { answer, t }),
        1 => (any::<u32>(), nanos()).prop_map(|(lost, t)| Event::Gap { lost, t }),
        1 => (id(), nanos()).prop_map(|(device, t)| Event::Unplugged { device, t }),
        1 => (id(), nanos()).prop_map(|(device, t)| Event::Replugged { device, t }),
        1 => stamp().prop_map(|stamp| Event::Cue { stamp }),
        1 => (-1.0..2.0, stamp()).prop_map(|(share, stamp)| Event::Force { share, stamp }),
        1 => nanos().prop_map(|t| Event::DisplayLost { t }),
        1 => nanos().prop_map(|t| Event::DisplayBack { t }),
        1 => (span(), nanos()).prop_map(|(late, t)| Event::Stalled { late, t }),
        1 => (span(), nanos()).prop_map(|(by, t)| Event::ClockJump { by, t }),
        1 => (source(), nanos()).prop_map(|(source, t)| Event::ClockFallback { source, t }),
        1 => (0..40_usize, any::<bool>(), nanos())
            .prop_map(|(cycle, settled, t)| Event::Looked { cycle, settled, t }),
        4 => (nanos(), nanos()).prop_map(|(now, settled)| Event::Tick { now, settled }),
    ]
}

/// A file of these events, handed over after every `batch`.
fn file_of(events: &[Event], batch: usize) -> Vec<u8> {
    let mut encoder = Encoder::new();
    let mut file = file_header().to_vec();
    for part in events.chunks(batch.max(1)) {
        part.iter().for_each(|event| encoder.push(event));
        file.extend_from_slice(encoder.chunks());
        encoder.clear();
    }
    file
}

proptest! {
    #[test]
    fn every_event_comes_back(events in prop::collection::vec(event(), 0..80), batch in 1..90_usize) {
        let file = file_of(&events, batch);
        let decoded = decode(&file).unwrap();
        prop_assert_eq!(&decoded.events, &events);
        let expected = Decoded { events, whole_bytes: file.len(), ..Decoded::default() };
        prop_assert_eq!(decoded, expected);
    }

    #[test]
    fn a_file_cut_anywhere_gives_its_first_events(
        events in prop::collection::vec(event(), 1..40), batch in 1..5_usize, cut in any::<prop::sample::Index>(),
    ) {
        let file = file_of(&events, batch);
        let decoded = decode(&file[..cut.index(file.len())]).unwrap();
        prop_assert!(events.starts_with(&decoded.events));
        prop_assert!(decoded.whole_bytes + decoded.torn_bytes == cut.index(file.len()));
    }

    #[test]
    fn whatever_the_bytes_the_decoder_ends(
        header in any::<bool>(), mut bytes in prop::collection::vec(any::<u8>(), 0..400),
    ) {
        if header {
            bytes.splice(0..0, file_header());
        }
        if let Ok(decoded) = decode(&bytes) {
            prop_assert!(decoded.whole_bytes + decoded.torn_bytes == bytes.len());
        }
    }

    /// A chunk whose checksum is right but whose content is anything: only the fields can be wrong.
    #[test]
    fn whatever_a_chunk_holds_the_decoder_ends(content in prop::collection::vec(any::<u8>(), 0..400)) {
        let decoded = decode(&chunk_of(&content)).unwrap();
        // A record has at least two bytes.
        prop_assert!(decoded.events.len() + decoded.unknown_records <= content.len() / 2 + 1);
        to_csv(&decoded.events);
    }

    #[test]
    fn damage_within_is_left_out_and_the_rest_is_read(
        events in prop::collection::vec(event(), 6..40), place in any::<prop::sample::Index>(), flip in 1..=255_u8,
    ) {
        let mut file = file_of(&events, 2);
        let place = 12 + place.index(file.len() - 12);
        file[place] ^= flip;
        let decoded = decode(&file).unwrap();
        prop_assert!(decoded.damaged_stretches + usize::from(decoded.torn_bytes > 0) == 1);
        let mut rest = events.iter();
        prop_assert!(decoded.events.iter().all(|event| rest.any(|each| each == event)));
        prop_assert!(decoded.events.len() < events.len());
    }

    #[test]
    fn a_row_reads_back_as_it_was_written(
        flags in prop::collection::vec(0..Flag::ALL.len(), 0..5), outcome in 0..Outcome::ALL.len(),
        press in prop::option::of(stamp()), shown in prop::option::of(stamp()),
    ) {
        // Times within a day of the segment's start.
        let near = |stamp: Stamp| Stamp {
            t: Nanos(stamp.t.0.rem_euclid(86_400_000_000_000)),
            sd: Span(stamp.sd.0.rem_euclid(1_000_000_000)),
            ..stamp
        };
        let mut trial = sample::trial(1, Nanos(0), 3, 2);
        trial.press = press.map(near);
        trial.shown = shown.map(near);
        trial.outcome = Outcome::ALL[outcome];
        trial.flags = Flags::NONE;
        flags.into_iter().for_each(|flag| trial.flags.set(Flag::ALL[flag]));
        let row = TrialRow::of(&trial, &context());
        let read = TrialRow::read(TrialRow::file(std::slice::from_ref(&row)).as_bytes(), "x".as_ref());
        let read = read.unwrap();
        prop_assert_eq!(compare_rows(&read, std::slice::from_ref(&row)), vec![]);
        prop_assert_eq!(read, vec![row]);
    }
}

fn context() -> RowContext {
    let (protocol, schedule) = (sample::protocol(), sample::schedule());
    RowContext::new(&protocol, &schedule, Answers::Simulated, "session", sample::PLAYER)
}

/// A file with one chunk of this content, checksum and all.
fn chunk_of(content: &[u8]) -> Vec<u8> {
    let length = u32::try_from(content.len()).unwrap().to_le_bytes();
    let checksum = crc32c::crc32c(&[&length, content].concat());
    let mut file = file_header().to_vec();
    file.extend_from_slice(&[0xC5, b't', b'l', 0x0A]);
    file.extend_from_slice(&length);
    file.extend_from_slice(&checksum.to_le_bytes());
    file.extend_from_slice(content);
    file
}

/// CRC32C of "123456789".
///
/// # Source
/// RFC 3720, appendix B.4 and the catalogue of parametrised CRCs give 0xE3069283 (from memory).
#[test]
fn the_checksum_is_crc32c() {
    assert_eq!(crc32c::crc32c(b"123456789"), 0xE306_9283);
}

#[test]
fn an_unknown_kind_is_skipped_and_its_time_counts() {
    // First moment 1000; a record of kind 300 that took 5 ns; then a display lost 2 ns later.
    let mut content = 1_000_i64.to_le_bytes().to_vec();
    content.extend_from_slice(&[0xF3, 0xAC, 0x02, 10, 0xAB, 0xCD]);
    content.extend_from_slice(&[0xF1, 19, 4]);
    let decoded = decode(&chunk_of(&content)).unwrap();
    assert_eq!(decoded.events, [Event::DisplayLost { t: Nanos(1_007) }]);
    assert_eq!(decoded.unknown_records, 1);
}

#[test]
fn a_motion_report_takes_about_five_bytes() {
    // A second of a mouse at 8,000 reports a second, 1 to 7 counts each, jittered by some ns.
    let motion = |i: i64| Event::Motion {
        device: DeviceId(0),
        dx: i32::try_from(i % 7).unwrap() + 1,
        dy: -i32::try_from(i % 5).unwrap(),
        stamp: Stamp {
            t: Nanos(1_000_000_000_000 + i * 125_000 + (i * 37) % 1_000),
            source: StampSource::Evdev,
            sd: Span(10_000),
        },
    };
    let events: Vec<_> = (0..8_000).map(motion).collect();
    let bytes = file_of(&events, events.len()).len();
    assert!(bytes < 8_000 * 11 / 2, "{bytes} bytes");
    assert_eq!(decode(&file_of(&events, 8_000)).unwrap().events, events);
}

#[test]
fn columns_are_read_by_name_and_unknown_ones_left_out() {
    let row = TrialRow::of(&sample::trial(1, Nanos(0), 0, 1), &context());
    let file = TrialRow::file(std::slice::from_ref(&row));
    let mut lines = file.lines();
    let (header, line) = (lines.next().unwrap(), lines.next().unwrap());
    let turned = |text: &str| text.split(',').rev().collect::<Vec<_>>().join(",");
    let text = format!("{},new_column\n{},7\n", turned(header), turned(line));
    assert_eq!(TrialRow::read(text.as_bytes(), "x".as_ref()).unwrap(), [row]);
}

/// The columns of the design, in its order: what others read by.
#[test]
fn trials_have_the_columns_of_the_format() {
    assert_eq!(
        TrialRow::header(),
        "format,simulated,session,segment,player,cycle,block,position,part,trial,attempt,task,\
         condition,stimulus,expected,response,device,outcome,flags,foreperiod_ms,\
         previous_foreperiod_ms,after_rest,foreperiod_start_ns,shown_ns,movement_ns,press_ns,\
         release_ns,click_rt_ms,movement_first_rt_ms,movement_5pct_rt_ms,movement_fit_rt_ms,\
         movement_time_ms,press_ms,rt_sd_ms,shown_source,shown_sd_ms,press_source,press_sd_ms,\
         report_interval_ms,frame_ms,missed_frames,scanout_ms,display_lag_ms,target_x_px,\
         target_y_px,target_size_px,end_x_px,end_y_px,path_px,peak_speed_px_s,motion_unit,\
         rest_motion_counts,small_shakes_counts,force,end_off_x_px,end_off_y_px,peak_speed_rt_ms,\
         straightness,overshoot_px,submovements,tremor_counts2,moved_source,moved_sd_ms,run_ms,taps,\
         tap_interval_ms,tap_interval_sd_ms,tap_slowing_ms_per_s,still_rms_counts,\
         still_tremor_counts2,still_drift_counts,track_error_px,track_gain,track_lag_ms\n"
    );
}

/// By hand: 0.3 and 0.4 ms and a 1 ms report make sqrt(0.09 + 0.16 + 1/12) = 0.57735 ms; onset at
/// 4 s, 5 % of peak 210.0005 ms before it (rounds away from zero), press 243.1174 ms after it.
#[test]
fn a_row_worked_out_by_hand() {
    let row = TrialRow::of(&sample::trial(1, Nanos(5), 0, 1), &context());
    assert_eq!(row.shown_ns, Some(4_000_000_000));
    assert_eq!(row.press_ns, Some(4_243_117_400));
    assert_eq!(row.movement_ns, Some(3_789_999_000));
    assert_eq!(row.click_rt_ms, Some(243.117));
    assert_eq!(row.movement_first_rt_ms, Some(200.0));
    assert_eq!(row.movement_5pct_rt_ms, Some(-210.001));
    assert_eq!(row.movement_time_ms, Some(453.118));
    assert_eq!(row.press_ms, Some(56.883));
    assert_eq!(row.rt_sd_ms, Some(0.577));
    assert_eq!(row.end_x_px, Some(1.235));
    let flagged = TrialRow::of(&sample::trial(1, Nanos(5), 1, 2), &context());
    assert!(flagged.line().contains(",hit,lapse+late_frame,"), "{}", flagged.line());
    assert_eq!((flagged.cycle, flagged.block, flagged.position), (1, 2, 2));
    assert_eq!(flagged.condition, "firm");
}

/// The very bytes that docs/events-bin.md draws.
#[test]
fn a_near_motion_report_as_the_docs_draw_it() {
    let stamp = |t| Stamp { t: Nanos(t), source: StampSource::Evdev, sd: Span(0) };
    let motion = |t, dx, dy| Event::Motion { device: DeviceId(0), dx, dy, stamp: stamp(t) };
    let file = file_of(&[motion(0, 0, 0), motion(125_000, 1, 2)], 2);
    assert!(file.ends_with(&[0x54, 0x90, 0xA1, 0x0F, 0x9A]), "{file:02x?}");
}

#[test]
fn a_newer_file_and_another_file_are_told_apart() {
    let mut newer = file_header();
    newer[8] = 2;
    assert_eq!(decode(&newer), Err(EventsError::NewerFormat { found: 2, known: 1 }));
    assert_eq!(decode(b"format,simulated"), Err(EventsError::NotEvents));
    assert_eq!(decode(b"form"), Err(EventsError::NotEvents));
}

#[test]
fn a_trial_s_events_fit_into_the_room_reserved() {
    let trial = sample::trial(1, Nanos(0), 0, 1);
    let events = sample::trial_events(&trial);
    let mut encoder = Encoder::new();
    let room = Encoder::room().capacity();
    // 20 s of a mouse at 8,000 reports a second, far beyond the longest trial.
    for i in 0..160_000_i64 {
        let t = Nanos(i * 125_000);
        let stamp = Stamp { t, source: StampSource::Evdev, sd: Span(10_000) };
        encoder.push(&Event::Motion { device: DeviceId(0), dx: 3, dy: -4, stamp });
    }
    events.iter().for_each(|event| encoder.push(event));
    let chunks = encoder.swap(Encoder::room());
    assert!(chunks.len() > 800_000, "{}", chunks.len());
    assert_eq!(chunks.capacity(), room, "no new room was taken");
}
