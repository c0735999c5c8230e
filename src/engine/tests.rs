//! The engine by hand: one block, a few events with chosen stamps, and what comes out.

use super::*;
use crate::protocol::*;
use crate::scene::{Canvas, SceneId};
use crate::tasks::{Choice, Look, Map, Simple, Stimulus, TaskKind};
use crate::units::{Button, Stamp, StampSource};
use proptest::prelude::*;

const MS: i64 = 1_000_000;

mod movement;
mod partner;
mod runs;
mod shakes;
mod withhold;

fn protocol(task: TaskKind) -> Protocol {
    let condition = |id: &str, tension| Condition {
        id: id.to_owned(),
        grip: Grip::Claw,
        tension,
        say: "Hold it as the card says.".to_owned(),
    };
    Protocol {
        id: "by-hand".to_owned(),
        title: "By hand".to_owned(),
        question: "What does the engine do?".to_owned(),
        conditions: vec![condition("light", Tension::Light), condition("firm", Tension::Firm)],
        design: Design {
            order: Order::Fixed,
            cycles: 1,
            trials: 2,
            warm_up: 0,
            warm_up_later: 0,
            reference: "light".to_owned(),
            looks: vec![],
        },
        task,
        respond_within_ms: 1_500.0,
        stimulus: Look { size_mm: 20.0, contrast_share: 0.6 },
        foreperiod: Foreperiod::Fixed { ms: 800.0, catch_share: 0.0 },
        rest: Rest { min_s: 20.0, every_blocks: 1, standing_break: None },
        ask: Ask { before: vec![], after_block: vec![Rating::Discomfort], after_cycle: vec![] },
        motion: MotionRule { onset: OnsetRule::FivePercent, low_pass_hz: 20.0, least_counts: 5.0 },
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

fn schedule(stimulus: Stimulus, parts: &[Part]) -> Schedule {
    let block = |position: usize| Block {
        position,
        cycle: 1,
        condition: position - 1,
        trials: parts
            .iter()
            .zip(1..)
            .map(|(part, number)| PlannedTrial {
                part: *part,
                number,
                foreperiod_ms: 800.0,
                stimulus,
            })
            .collect(),
        spare_foreperiods_ms: vec![900.0],
    };
    Schedule { draw_rule: 1, seed: 7, blocks: vec![block(1), block(2)] }
}

/// An engine with a hand on it. `t` is in ms of its own time.
struct Bench {
    engine: Engine,
    t: i64,
    scene: SceneId,
    frame: u64,
    asked: Vec<AskFor>,
    rows: Vec<TrialRecord>,
    ended: Option<Ending>,
    abandoned: Vec<usize>,
    blocks_ended: Vec<usize>,
}

impl Bench {
    fn new(task: TaskKind, stimulus: Stimulus, parts: &[Part]) -> Bench {
        let protocol = Arc::new(protocol(task));
        let schedule = Arc::new(schedule(stimulus, parts));
        let engine = Engine::new(protocol, schedule, Start::default());
        let mut bench = Bench {
            engine,
            t: 0,
            scene: SceneId(0),
            frame: 0,
            asked: vec![],
            rows: vec![],
            ended: None,
            abandoned: vec![],
            blocks_ended: vec![],
        };
        bench.feed(Event::Begin(Begin {
            t: Nanos(0),
            canvas: Canvas {
                width_px: 1920,
                height_px: 1080,
                px_per_mm: Some(4.0),
                rate_hz: 100.0,
            },
            px_per_count: 0.5,
            scanout_ms: None,
            display_lag_ms: None,
            engine_rule: ENGINE_RULE,
            motion_rule: MOTION_RULE,
        }));
        bench
    }

    fn simple(parts: &[Part]) -> Bench {
        Bench::new(TaskKind::Simple(Simple {}), Stimulus::Single, parts)
    }

    fn feed(&mut self, event: Event) {
        self.engine.step(&event);
        while let Some(action) = self.engine.poll_action() {
            match action {
                Action::Show(scene) => self.scene = scene.id,
                Action::Ask(ask) => self.asked.push(ask),
                Action::Trial(row) => self.rows.push(*row),
                Action::End(ending) => self.ended = Some(ending),
                Action::BlockAbandoned { block } => self.abandoned.push(block),
                Action::BlockEnd { block } => self.blocks_ended.push(block),
                Action::Ratings(_) | Action::Look { .. } => {}
            }
        }
    }

    fn answer(&mut self, answer: Answer) {
        let t = Nanos(self.t * MS);
        self.feed(Event::Answered { answer, t });
    }

    fn tick(&mut self, ms: i64) {
        self.t = ms;
        let now = Nanos(ms * MS);
        self.feed(Event::Tick { now, settled: now });
    }

    /// A frame seen at `ms` that held the newest scene.
    fn frame(&mut self, ms: i64) {
        self.t = self.t.max(ms);
        self.frame += 1;
        self.feed(Event::Shown {
            scene: self.scene,
            frame: self.frame,
            stamp: stamp(ms),
            missed: 0,
            late: false,
        });
    }

    fn press(&mut self, ms: i64) {
        self.press_with(ms, Button::Left);
    }

    fn press_with(&mut self, ms: i64, button: Button) {
        self.feed(Event::Press { device: DeviceId(1), button, stamp: stamp(ms) });
    }

    fn release(&mut self, ms: i64) {
        let device = DeviceId(1);
        self.feed(Event::Release { device, button: Button::Left, stamp: stamp(ms) });
    }

    /// Goes on to where the wait of the next trial has been seen; says when that was.
    fn go_to_wait(&mut self) -> i64 {
        if matches!(self.asked.last(), Some(AskFor::Card { .. })) {
            self.answer(Answer::GoOn);
            self.asked.clear();
        }
        let until = self.engine.wake_at().expect("a trial comes next").0 / MS;
        self.tick(until);
        self.frame(until + 10);
        until + 10
    }

    /// Goes on to where the stimulus was asked for; says when.
    fn go_to_asked(&mut self) -> i64 {
        let wait = self.go_to_wait();
        self.tick(wait + 800);
        wait + 800
    }

    fn last(&self) -> &TrialRecord {
        self.rows.last().expect("a trial was written")
    }
}

fn stamp(ms: i64) -> Stamp {
    Stamp { t: Nanos(ms * MS), source: StampSource::Simulated, sd: Span(50_000) }
}

fn rt_ms(row: &TrialRecord) -> i64 {
    (row.press.unwrap().t - row.shown.unwrap().t).0 / MS
}

#[test]
fn a_press_after_the_onset_is_a_hit() {
    let mut bench = Bench::simple(&[Part::Main; 2]);
    let asked = bench.go_to_asked();
    bench.frame(asked + 10);
    bench.press(asked + 10 + 210);
    assert!(bench.rows.is_empty(), "the release is awaited");
    bench.release(asked + 310);
    bench.tick(asked + 400);
    let row = bench.last();
    assert_eq!((row.outcome, rt_ms(row)), (Outcome::Hit, 210));
    assert_eq!(row.release, Some(Nanos((asked + 310) * MS)));
    assert!((row.foreperiod_ms - 800.0).abs() < 1e-9);
    assert!(row.after_rest);
}

#[test]
fn a_press_heard_before_its_onset_is_judged_by_its_stamp() {
    let mut bench = Bench::simple(&[Part::Main; 2]);
    let asked = bench.go_to_asked();
    // The display tells late: the press at +215 gets here before the frame seen at +10.
    bench.press(asked + 215);
    bench.frame(asked + 10);
    bench.release(asked + 300);
    bench.tick(asked + 400);
    assert_eq!((bench.last().outcome, rt_ms(bench.last())), (Outcome::Hit, 205));
}

#[test]
fn early_is_before_the_onset_or_too_soon_after_it() {
    for (press, rt) in [(-20, Some(-30)), (90, Some(80)), (109, Some(99))] {
        let mut bench = Bench::simple(&[Part::Main; 2]);
        let asked = bench.go_to_asked();
        bench.press(asked + press);
        bench.frame(asked + 10);
        bench.tick(asked + 900);
        let row = bench.last();
        assert_eq!(row.outcome, Outcome::Anticipation, "press at {press}");
        assert_eq!(Some(rt_ms(row)), rt);
    }
    let mut bench = Bench::simple(&[Part::Main; 2]);
    let wait = bench.go_to_wait();
    bench.press(wait + 300);
    bench.release(wait + 350);
    bench.tick(wait + 500);
    assert_eq!(bench.last().outcome, Outcome::Anticipation);
    assert_eq!(bench.last().shown, None);
}

#[test]
fn a_late_press_reverses_no_tick() {
    let mut bench = Bench::simple(&[Part::Main; 2]);
    let asked = bench.go_to_asked();
    bench.frame(asked + 10);
    let limit = asked + 10 + 1_500;
    // Past the limit by the clock, but the mouse has only been heard up to just before it.
    bench.feed(Event::Tick { now: Nanos((limit + 100) * MS), settled: Nanos((limit - 5) * MS) });
    assert!(bench.rows.is_empty());
    bench.press(limit - 3);
    bench.release(limit + 20);
    bench.tick(limit + 300);
    assert_eq!(bench.last().outcome, Outcome::Hit);
    assert!(bench.last().flags.has(Flag::Lapse));
}

#[test]
fn no_press_is_a_miss_and_an_empty_wait_is_withheld() {
    let mut bench = Bench::simple(&[Part::Main, Part::Catch]);
    let asked = bench.go_to_asked();
    bench.frame(asked + 10);
    bench.tick(asked + 10 + 1_500);
    assert_eq!(bench.last().outcome, Outcome::Miss);
    let wait = bench.go_to_wait();
    bench.tick(wait + 799);
    assert_eq!(bench.rows.len(), 1);
    bench.tick(wait + 800);
    assert_eq!(bench.last().outcome, Outcome::Withheld);
    assert_eq!(bench.last().expected, "withhold");
}

#[test]
fn a_press_in_an_empty_wait_is_a_false_alarm() {
    let mut bench = Bench::simple(&[Part::Catch; 2]);
    let wait = bench.go_to_wait();
    bench.press(wait + 500);
    bench.release(wait + 560);
    bench.tick(wait + 700);
    assert_eq!(bench.last().outcome, Outcome::FalseAlarm);
}

#[test]
fn a_frame_never_shown_voids_its_trial_and_the_trial_comes_again_once() {
    let mut bench = Bench::simple(&[Part::Main; 2]);
    let asked = bench.go_to_asked();
    let (scene, frame) = (bench.scene, 99);
    bench.feed(Event::NotShown { scene, frame, t: Nanos((asked + 30) * MS) });
    assert_eq!(bench.last().outcome, Outcome::Void);
    // Nobody can tell: void after 50 ms.
    let asked = bench.go_to_asked();
    bench.tick(asked + 49);
    assert_eq!(bench.rows.len(), 1);
    bench.tick(asked + 50);
    assert_eq!(bench.last().outcome, Outcome::Void);
    // One spare: the first trial comes again with another wait, the second does not.
    let wait = bench.go_to_wait();
    bench.tick(wait + 900);
    bench.frame(wait + 910);
    bench.press(wait + 1_110);
    bench.release(wait + 1_150);
    bench.tick(wait + 1_300);
    let row = bench.last();
    assert_eq!((row.number, row.attempt, row.outcome), (1, 2, Outcome::Hit));
    assert!((row.foreperiod_ms - 900.0).abs() < 1e-9);
    let until = bench.engine.wake_at().unwrap().0 / MS;
    bench.tick(until);
    assert!(matches!(bench.asked.last(), Some(AskFor::Ratings { block: 0, .. })));
}

#[test]
fn the_second_press_answers_nothing_and_chatter_is_flagged() {
    let mut bench = Bench::simple(&[Part::Main; 2]);
    let asked = bench.go_to_asked();
    bench.frame(asked + 10);
    bench.press(asked + 210);
    bench.release(asked + 290);
    bench.press(asked + 300);
    bench.release(asked + 310);
    bench.tick(asked + 400);
    assert_eq!(bench.rows.len(), 1);
    assert!(bench.last().flags.has(Flag::Bounce));
    assert_eq!(rt_ms(bench.last()), 200);
}

#[test]
fn choice_knows_the_wrong_button() {
    let task = TaskKind::Choice(Choice::of_two(Map::Crossed, 60.0));
    let mut bench = Bench::new(task, Stimulus::At(crate::scene::Side::Left), &[Part::Main; 2]);
    let asked = bench.go_to_asked();
    bench.frame(asked + 10);
    bench.press_with(asked + 300, Button::Left);
    bench.release(asked + 380);
    bench.tick(asked + 500);
    assert_eq!((bench.last().outcome, bench.last().expected.as_ref()), (Outcome::Wrong, "right"));
}

#[test]
fn losing_the_focus_interrupts_and_the_trial_comes_again() {
    let mut bench = Bench::simple(&[Part::Main; 2]);
    let asked = bench.go_to_asked();
    bench.feed(Event::Focus { focused: false, t: Nanos((asked + 5) * MS) });
    assert_eq!(bench.last().outcome, Outcome::Interrupted);
    assert!(bench.last().flags.has(Flag::FocusLost));
    assert_eq!(bench.asked, vec![AskFor::Pause { why: PauseReason::FocusLost }]);
    bench.t += 10_000;
    bench.answer(Answer::GoOn);
    let asked = bench.go_to_asked();
    bench.frame(asked + 10);
    bench.press(asked + 200);
    bench.release(asked + 300);
    bench.tick(asked + 400);
    assert_eq!(bench.last().outcome, Outcome::Hit);
    assert_eq!(bench.last().number, 2);
}

#[test]
fn a_long_pause_repeats_the_block() {
    let mut bench = Bench::simple(&[Part::Main; 2]);
    let asked = bench.go_to_asked();
    bench.feed(Event::Key { key: Key::Pause, t: Nanos((asked + 5) * MS) });
    bench.t += 301_000;
    bench.answer(Answer::GoOn);
    assert_eq!(bench.abandoned, vec![0]);
    assert_eq!(bench.asked.last(), Some(&AskFor::Card { block: 0 }));
}

#[test]
fn a_rest_has_a_floor_that_no_answer_removes() {
    let mut bench = Bench::simple(&[Part::Catch]);
    let wait = bench.go_to_wait();
    bench.tick(wait + 800);
    let until = bench.engine.wake_at().unwrap().0 / MS;
    bench.tick(until);
    bench.answer(Answer::Rated(vec![(Rating::Discomfort, 1)]));
    let Some(AskFor::Rest { until, next: 1, .. }) = bench.asked.last().cloned() else {
        panic!("a rest comes: {:?}", bench.asked)
    };
    assert!(until.0 >= 20_000 * MS);
    bench.answer(Answer::GoOn);
    assert!(matches!(bench.asked.last(), Some(AskFor::Rest { .. })), "too soon");
    bench.t = until.0 / MS + 1;
    bench.answer(Answer::GoOn);
    assert_eq!(bench.asked.last(), Some(&AskFor::Card { block: 1 }));
}

#[test]
fn two_stops_for_discomfort_close_the_session() {
    let mut bench = Bench::simple(&[Part::Main; 2]);
    let asked = bench.go_to_asked();
    bench.feed(Event::Key { key: Key::Hurts, t: Nanos((asked + 5) * MS) });
    assert_eq!(bench.last().outcome, Outcome::Interrupted);
    assert!(matches!(bench.asked.last(), Some(AskFor::Ratings { .. })));
    // The rating that follows the key is not counted a second time.
    bench.answer(Answer::Rated(vec![(Rating::Discomfort, 9)]));
    assert_eq!(bench.ended, None);
    let Some(AskFor::Rest { until, .. }) = bench.asked.last().cloned() else { panic!() };
    bench.t = until.0 / MS + 1;
    bench.answer(Answer::GoOn);
    let asked = bench.go_to_asked();
    bench.frame(asked + 10);
    bench.feed(Event::Key { key: Key::Hurts, t: Nanos((asked + 50) * MS) });
    assert_eq!(bench.ended, Some(Ending::Discomfort));
}

#[test]
fn the_key_during_the_ratings_and_the_rating_are_one_stop() {
    let mut bench = Bench::simple(&[Part::Main]);
    let asked = bench.go_to_asked();
    bench.frame(asked + 10);
    bench.press(asked + 200);
    bench.release(asked + 260);
    for _ in 0..2 {
        let wake = bench.engine.wake_at().expect("the trial closes, then the block").0 / MS;
        bench.tick(wake);
    }
    assert!(matches!(bench.asked.last(), Some(AskFor::Ratings { .. })), "{:?}", bench.asked);
    bench.feed(Event::Key { key: Key::Hurts, t: Nanos(bench.t * MS) });
    bench.answer(Answer::Rated(vec![(Rating::Discomfort, 9)]));
    assert_eq!(bench.ended, None, "{:?}", bench.asked);
}

#[test]
fn asking_to_stop_interrupts_and_stops_only_once_it_is_confirmed() {
    let mut bench = Bench::simple(&[Part::Main; 2]);
    let asked = bench.go_to_asked();
    bench.feed(Event::Key { key: Key::AskStop, t: Nanos((asked + 5) * MS) });
    assert_eq!(bench.last().outcome, Outcome::Interrupted);
    let asks = AskFor::Pause { why: PauseReason::StopAsked };
    assert_eq!((bench.asked.last(), bench.ended), (Some(&asks), None));
    bench.feed(Event::Key { key: Key::Stop, t: Nanos((asked + 900) * MS) });
    assert_eq!(bench.ended, Some(Ending::Stopped));
    // It was cut, so it has not come to its end: a session that goes on begins it anew.
    assert!(bench.blocks_ended.is_empty());
}

#[test]
fn a_source_that_stands_still_voids_and_the_second_time_pauses() {
    let mut bench = Bench::simple(&[Part::Main; 2]);
    for stall in 1..=2 {
        let asked = bench.go_to_asked();
        let now = Nanos((asked + 400) * MS);
        bench.feed(Event::Tick { now, settled: Nanos((asked + 100) * MS) });
        bench.t = asked + 400;
        assert_eq!(bench.last().outcome, Outcome::Void);
        assert!(bench.last().flags.has(Flag::Stalled));
        assert_eq!(bench.asked.len(), stall - 1);
    }
    assert_eq!(bench.asked, vec![AskFor::Pause { why: PauseReason::Stalled }]);
}

#[test]
fn a_firm_block_ends_after_75_seconds() {
    let mut bench = Bench::simple(&[Part::Main; 40]);
    // Block 1 is light; go to block 2, which is firm.
    bench.engine.start.first_block = 1;
    bench.engine.enter_block(1, Nanos(0));
    bench.feed(Event::Tick { now: Nanos(0), settled: Nanos(0) });
    let mut ran = 0;
    while !matches!(bench.asked.last(), Some(AskFor::Ratings { .. })) {
        let Some(until) = bench.engine.wake_at() else {
            bench.answer(Answer::GoOn);
            bench.asked.clear();
            continue;
        };
        let until = until.0 / MS;
        bench.tick(until);
        if bench.engine.wake_at().is_none() {
            continue;
        }
        bench.frame(until + 10);
        bench.tick(until + 810);
        bench.frame(until + 820);
        bench.tick(until + 820 + 1_500);
        ran += 1;
    }
    // 2.82 to 3.2 s a missed trial: 75 s hold 23 to 27 of the 40.
    assert!((20..=30).contains(&ran), "{ran} trials");
}

/// One thing that can happen, at some distance from the last.
#[derive(Debug, Clone)]
enum Op {
    Frame { after_ms: i64, told_late: bool },
    Unshown,
    Press { back_ms: i64, button: u8 },
    Release { back_ms: i64 },
    Move { dx: i32 },
    Tick { after_ms: i64, behind_ms: i64 },
    Wake,
    GoOn { after_ms: i64 },
    Rate { value: u8 },
    Focus(bool),
    Key(u8),
    Gap,
    Plug(bool),
    Display(bool),
    Jump,
}

fn op() -> impl Strategy<Value = Op> {
    prop_oneof![
        6 => (0..40i64, any::<bool>()).prop_map(|(after_ms, told_late)| Op::Frame { after_ms, told_late }),
        1 => Just(Op::Unshown),
        4 => (0..300i64, 0..3u8).prop_map(|(back_ms, button)| Op::Press { back_ms, button }),
        4 => (0..300i64).prop_map(|back_ms| Op::Release { back_ms }),
        2 => (-90..90i32).prop_map(|dx| Op::Move { dx }),
        4 => (0..900i64, 0..260i64).prop_map(|(after_ms, behind_ms)| Op::Tick { after_ms, behind_ms }),
        10 => Just(Op::Wake),
        4 => (0..30_000i64).prop_map(|after_ms| Op::GoOn { after_ms }),
        3 => (0..11u8).prop_map(|value| Op::Rate { value }),
        1 => any::<bool>().prop_map(Op::Focus),
        1 => (0..8u8).prop_map(Op::Key),
        1 => Just(Op::Gap),
        1 => any::<bool>().prop_map(Op::Plug),
        1 => any::<bool>().prop_map(Op::Display),
        1 => Just(Op::Jump),
    ]
}

fn apply(bench: &mut Bench, op: &Op) {
    let now = Nanos(bench.t * MS);
    let device = DeviceId(1);
    match op {
        Op::Frame { after_ms, told_late } => {
            let ms = bench.t + after_ms;
            bench.frame(if *told_late { (bench.t - 5).max(0) } else { ms });
        }
        Op::Unshown => {
            let (scene, frame) = (bench.scene, bench.frame);
            bench.feed(Event::NotShown { scene, frame, t: now });
        }
        Op::Press { back_ms, button } => {
            let button = [Button::Left, Button::Right, Button::Middle][usize::from(*button)];
            bench.press_with((bench.t - back_ms).max(0), button);
        }
        Op::Release { back_ms } => bench.release((bench.t - back_ms).max(0)),
        Op::Move { dx } => {
            bench.feed(Event::Motion { device, dx: *dx, dy: 1, stamp: stamp(bench.t) });
        }
        Op::Tick { after_ms, behind_ms } => {
            bench.t += after_ms;
            let now = Nanos(bench.t * MS);
            bench.feed(Event::Tick { now, settled: now - Span(behind_ms * MS) });
        }
        Op::Wake => {
            let ms = bench.engine.wake_at().map_or(bench.t, |at| at.0 / MS);
            bench.tick(ms.max(bench.t));
        }
        Op::GoOn { after_ms } => {
            bench.t += after_ms;
            bench.answer(Answer::GoOn);
        }
        Op::Rate { value } => bench.answer(Answer::Rated(vec![(Rating::Discomfort, *value)])),
        Op::Focus(focused) => bench.feed(Event::Focus { focused: *focused, t: now }),
        Op::Key(0) => bench.feed(Event::Key { key: Key::Hurts, t: now }),
        Op::Key(1) => bench.feed(Event::Key { key: Key::Stop, t: now }),
        Op::Key(_) => bench.feed(Event::Key { key: Key::Pause, t: now }),
        Op::Gap => bench.feed(Event::Gap { lost: 3, t: now }),
        Op::Plug(true) => bench.feed(Event::Replugged { device, t: now }),
        Op::Plug(false) => bench.feed(Event::Unplugged { device, t: now }),
        Op::Display(true) => bench.feed(Event::DisplayBack { t: now }),
        Op::Display(false) => bench.feed(Event::DisplayLost { t: now }),
        Op::Jump => bench.feed(Event::ClockJump { by: Span::from_s(30), t: now }),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    /// Whatever comes in whatever order: no panic, no trial lost or counted twice, one press
    /// answers one trial, and every answered trial holds together.
    #[test]
    fn no_trial_is_lost_or_counted_twice(ops in prop::collection::vec(op(), 1..300)) {
        let parts = [Part::WarmUp, Part::Main, Part::Catch, Part::Main];
        let mut bench = Bench::simple(&parts);
        for op in &ops {
            apply(&mut bench, op);
        }
        // Within one running of a block, an attempt of a trial is written once.
        let runs_of_a_block = 1 + bench.abandoned.len();
        let mut presses = Vec::new();
        for (i, row) in bench.rows.iter().enumerate() {
            let same = bench.rows[..i].iter().filter(|other| {
                (other.block, other.number, other.attempt) == (row.block, row.number, row.attempt)
            });
            prop_assert!(same.count() < runs_of_a_block, "{row:?} written twice");
            prop_assert!(row.attempt <= 2, "more repeats than spares");
            if let Some(press) = row.press {
                presses.push(press.t);
            }
            match row.outcome {
                Outcome::Hit | Outcome::Wrong => {
                    let rt = row.press.unwrap().t - row.shown.unwrap().t;
                    prop_assert!(rt >= Span::from_ms(100) && rt <= Span::from_ms(1_500));
                }
                Outcome::Withheld | Outcome::FalseAlarm => prop_assert_eq!(row.part, Part::Catch),
                Outcome::Miss => prop_assert!(row.shown.is_some() && row.part != Part::Catch),
                Outcome::Anticipation => prop_assert!(row.press.is_some()),
                Outcome::Interrupted | Outcome::Void => {}
                Outcome::Abandoned => prop_assert!(false, "the engine writes none as abandoned"),
            }
        }
        // A catch trial's attempts and a block's trials are written in the order of the plan.
        if bench.ended == Some(Ending::Complete) && bench.abandoned.is_empty() {
            for block in 0..2 {
                let main = bench.rows.iter().filter(|r| r.block == block && r.attempt == 1);
                prop_assert!(main.count() <= parts.len());
            }
        }
    }

    /// The same events give the same actions.
    #[test]
    fn the_same_events_give_the_same_rows(ops in prop::collection::vec(op(), 1..200)) {
        let run = || {
            let mut bench = Bench::simple(&[Part::Main, Part::Catch, Part::Main]);
            ops.iter().for_each(|op| apply(&mut bench, op));
            (bench.rows, bench.asked, bench.ended)
        };
        prop_assert_eq!(run(), run());
    }
}
