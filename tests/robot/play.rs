//! Plays: waits for a window, passes the untimed screens by Enter, and answers each target once,
//! a drawn time after it was seen.
//!
//! The picture alone decides what is done: where the corners have the field's grey it is a trial,
//! else an untimed screen. A target is answered once, and the next one only after this one went.

use crate::error::RobotError;
use crate::eye::{Eye, Inside, Look};
use crate::hand::{self, Hand, LEFT};
use crate::places::{Places, Sizes, Spot, Task};
use crate::pointing::Aim;
use crate::truth::{Row, Truth, Watch};
use clap::Parser;
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use std::path::PathBuf;
use tautline::clock;
use tautline::units::{Nanos, Span};

/// Plays a program through its X server.
#[derive(Debug, Parser)]
#[command(name = "robot")]
pub(crate) struct Options {
    /// The X server; else the one of DISPLAY
    #[arg(long)]
    display: Option<String>,
    /// Where the truth is written
    #[arg(long)]
    out: PathBuf,
    /// What is played
    #[arg(long, value_enum, default_value = "simple")]
    task: Task,
    /// Seed of the drawn waits
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Shortest and longest wait between seeing and pressing, ms
    #[arg(long, num_args = 2, value_names = ["MIN", "MAX"], default_values_t = [120.0, 320.0])]
    delay_ms: Vec<f64>,
    /// Time between looks at the field, µs
    #[arg(long, default_value_t = 500)]
    look_us: i64,
    /// Stops when this process has ended
    #[arg(long)]
    until_pid_exits: u32,
    /// Stops after so many presses
    #[arg(long)]
    presses: Option<u32>,
    /// Stops after so many seconds, come what may
    #[arg(long, default_value_t = 3600)]
    at_most_s: i64,
    #[command(flatten)]
    sizes: Sizes,
}

/// How long a window may take to come.
const WINDOW_WITHIN_S: u64 = 60;
/// How long an untimed screen must have stood before Enter is pressed, and the time between presses.
const ENTER_EVERY: Span = Span::from_ms(400);
/// Time between looks at an untimed screen.
const LOOK_AT_SCREEN: Span = Span::from_ms(15);

/// The robot at play.
pub(crate) struct Player {
    options: Options,
    eye: Eye,
    hand: Hand,
    truth: Truth,
    draw: ChaCha8Rng,
    aim: Aim,
    watch: Watch,
    /// Enter was pressed so often since the field was last seen.
    enters_in_a_row: u32,
    ends: Nanos,
}

/// What the last look showed.
#[derive(Debug, Clone, Copy)]
enum Was {
    /// An untimed screen, or nothing yet; when Enter may be pressed.
    Screen { enter_at: Nanos },
    /// The field without a target; when that look began.
    Field { before: Nanos },
    /// A target that has been answered already, or that nobody saw appear.
    Answered,
}

impl Player {
    pub(crate) fn new(options: Options) -> Result<Player, RobotError> {
        let display = options.display.as_deref();
        Ok(Player {
            eye: Eye::open(display)?,
            hand: Hand::open(display)?,
            truth: Truth::create(&options.out)?,
            draw: ChaCha8Rng::seed_from_u64(options.seed),
            aim: Aim::default(),
            watch: Watch::default(),
            enters_in_a_row: 0,
            ends: clock::now() + Span::from_s(options.at_most_s),
            options,
        })
    }

    /// Plays to the end of the process or of the time.
    pub(crate) fn play(mut self) -> Result<Watch, RobotError> {
        let Some(mut inside) = self.await_window()? else { return Ok(self.watch) };
        let mut places = Places::of(self.options.task, &self.options.sizes, inside);
        let mut was = Was::Screen { enter_at: clock::now() + ENTER_EVERY };
        while self.goes_on() {
            let look = self.eye.look(&places.patches)?;
            if !Places::is_field(&look) {
                was = self.screen(was, inside)?;
                // The window may have moved or grown; between trials there is time to see.
                if let Some(now) = self.eye.window()?.filter(|now| *now != inside) {
                    inside = now;
                    places = Places::of(self.options.task, &self.options.sizes, inside);
                    self.point_at(inside)?;
                }
                hand::sleep_until(clock::now() + LOOK_AT_SCREEN);
                continue;
            }
            self.enters_in_a_row = 0;
            was = self.field(was, &look, &places, inside)?;
            hand::sleep_until(look.before + Span(self.options.look_us * 1000));
        }
        Ok(self.watch)
    }

    fn await_window(&mut self) -> Result<Option<Inside>, RobotError> {
        let until = clock::now() + Span::from_s(WINDOW_WITHIN_S.cast_signed());
        while self.goes_on() {
            if let Some(inside) = self.eye.window()? {
                self.point_at(inside)?;
                return Ok(Some(inside));
            }
            if clock::now() > until {
                return Err(RobotError::NoWindow { seconds: WINDOW_WITHIN_S });
            }
            hand::sleep_until(clock::now() + LOOK_AT_SCREEN);
        }
        Ok(None)
    }

    /// Puts the pointer where a click hits the window and nothing in its middle.
    fn point_at(&self, inside: Inside) -> Result<(), RobotError> {
        let across = i16::try_from(inside.width_px / 2).unwrap_or(0);
        let down = i16::try_from(inside.height_px / 4).unwrap_or(0);
        self.hand.place(inside.x_px + across, inside.y_px + down)?;
        Ok(())
    }

    fn goes_on(&self) -> bool {
        let process = PathBuf::from(format!("/proc/{}/stat", self.options.until_pid_exits));
        let done = self.options.presses.is_some_and(|presses| self.watch.presses >= presses);
        !done && clock::now() < self.ends && process.exists()
    }

    fn screen(&mut self, was: Was, inside: Inside) -> Result<Was, RobotError> {
        /// A rest at its floor takes fewer.
        const UNHEARD: u32 = 25;
        let now = clock::now();
        match was {
            Was::Screen { enter_at } if now < enter_at => Ok(was),
            Was::Screen { .. } => {
                if self.enters_in_a_row == UNHEARD {
                    // Nobody hears: a click beside the window may have taken the focus away.
                    self.enters_in_a_row = 0;
                    self.point_at(inside)?;
                    self.hand.press(LEFT)?;
                    self.hand.release(LEFT)?;
                }
                self.hand.enter()?;
                self.enters_in_a_row += 1;
                self.watch.enters += 1;
                Ok(Was::Screen { enter_at: clock::now() + ENTER_EVERY })
            }
            Was::Field { .. } | Was::Answered => Ok(Was::Screen { enter_at: now + ENTER_EVERY }),
        }
    }

    fn field(
        &mut self,
        was: Was,
        look: &Look,
        places: &Places,
        inside: Inside,
    ) -> Result<Was, RobotError> {
        if let Was::Field { before } = was {
            self.watch.gap(look.after - before);
        }
        match (was, places.target(look)) {
            (_, None) => Ok(Was::Field { before: look.before }),
            (Was::Field { before }, Some(spot)) => {
                self.answer(before, look, spot, places, inside)?;
                Ok(Was::Answered)
            }
            (Was::Screen { .. } | Was::Answered, Some(_)) => Ok(Was::Answered),
        }
    }

    /// Taps until the target has gone; each tap is counted, none is a row of its own.
    fn tap(&mut self, places: &Places) -> Result<(), RobotError> {
        const DOWN: Span = Span::from_ms(60);
        const UP: Span = Span::from_ms(90);
        while self.goes_on() && places.target(&self.eye.look(&places.patches)?).is_some() {
            let pressed = self.hand.press(LEFT)?;
            self.watch.presses += 1;
            hand::sleep_until(pressed.after + DOWN);
            let released = self.hand.release(LEFT)?;
            hand::sleep_until(released.after + UP);
        }
        Ok(())
    }

    fn answer(
        &mut self,
        before: Nanos,
        look: &Look,
        spot: Spot,
        places: &Places,
        inside: Inside,
    ) -> Result<(), RobotError> {
        let [low_ms, high_ms] = [self.options.delay_ms[0], self.options.delay_ms[1]];
        let wait = Span::from_ms_f64(low_ms + (high_ms - low_ms) * self.draw.random::<f64>());
        let seen = look.after;
        hand::wait_exactly(seen + wait);
        let task = self.options.task;
        if task == Task::GoNoGo && !places.asks_for_a_press(&self.eye.look(&places.patches)?) {
            self.watch.left_alone += 1;
            return Ok(());
        }
        match task {
            Task::Steadiness => return Ok(()),
            Task::Tapping => return self.tap(places),
            Task::Pursuit => return Aim::follow(&self.eye, &self.hand, inside),
            _ => {}
        }
        let (mut moved, mut curve) = (None, None);
        if matches!(task, Task::Pointing | Task::Difficulty) {
            let started = self.aim.move_to(&self.eye, &self.hand, spot, inside)?;
            (moved, curve) = (Some(started.first.before), Some(started.curve));
            if !Places::is_field(&self.eye.look(&places.patches)?) {
                // The trial was cut: the pointer is free by now, and a click might leave the window.
                return Ok(());
            }
        }
        let (pressed, released) = if matches!(task, Task::Onset | Task::FourWays) {
            // The first report of the movement is the answer.
            let started = Aim::stroke(&self.hand, spot)?;
            (moved, curve) = (Some(started.first.before), Some(started.curve));
            (started.first, started.first)
        } else {
            let pressed = self.hand.press(spot.button)?;
            let held = Span::from_ms_f64(60.0 + 40.0 * self.draw.random::<f64>());
            hand::sleep_until(pressed.after + held);
            (pressed, self.hand.release(spot.button)?)
        };
        self.watch.presses += 1;
        let row = Row {
            number: self.watch.presses,
            task: self.options.task.name(),
            spot: spot.name,
            button: spot.button,
            before_seen_ns: before,
            seen_ns: seen,
            move_ns: moved,
            curve_ns: curve,
            press_before_ns: pressed.before,
            press_after_ns: pressed.after,
            release_ns: released.before,
            wait_ns: wait,
            onset_gap_ns: seen - before,
            press_gap_ns: pressed.after - pressed.before,
        };
        self.truth.write(&row)
    }
}
