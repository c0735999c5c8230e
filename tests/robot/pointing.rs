//! Moves the view onto a target: one smooth movement, then corrections by what is seen.
//!
//! How far the view turns for a count is learnt from the first movement, as a hand learns it; the
//! program is not asked.

use crate::error::RobotError;
use crate::eye::{Eye, Inside, Patch};
use crate::hand::{self, Done, Hand};
use crate::places::Spot;
use tautline::clock;
use tautline::units::{Nanos, Span};

/// Reports a second and reports in one movement: 180 ms in all.
const REPORT: Span = Span::from_ms(2);
const REPORTS: u16 = 90;
/// Time for the picture to follow, before it is looked at again.
const SETTLE: Span = Span::from_ms(120);
/// Near enough to the middle to press, px.
const NEAR_PX: f64 = 5.0;
/// Most corrections.
const CORRECTIONS: usize = 6;

/// What the robot has learnt of the view.
#[derive(Debug)]
pub(crate) struct Aim {
    px_per_count: f64,
    learnt: bool,
}

impl Default for Aim {
    fn default() -> Aim {
        Aim { px_per_count: 1.0, learnt: false }
    }
}

/// How a movement started.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Started {
    /// When its smooth curve began.
    pub(crate) curve: Nanos,
    /// Its first report: the curve had grown to half a count.
    pub(crate) first: Done,
}

/// A place from the window's middle, px.
#[derive(Debug, Clone, Copy)]
struct Offset {
    x_px: f64,
    y_px: f64,
}

impl Offset {
    fn length(self) -> f64 {
        self.x_px.hypot(self.y_px)
    }
}

impl Aim {
    /// One smooth movement by a place's own direction, of so many counts; how it started.
    pub(crate) fn stroke(hand: &Hand, spot: Spot) -> Result<Started, RobotError> {
        const COUNTS: f64 = 150.0;
        let far = spot.x_px.hypot(spot.y_px);
        let way = if far < 1.0 {
            Offset { x_px: COUNTS, y_px: 0.0 }
        } else {
            Offset { x_px: spot.x_px / far * COUNTS, y_px: spot.y_px / far * COUNTS }
        };
        Aim::default().shift(hand, way)
    }

    /// Follows a moving target until it has gone: each look makes good a share of what is left.
    #[expect(clippy::cast_possible_truncation, reason = "a float to int cast saturates")]
    pub(crate) fn follow(eye: &Eye, hand: &Hand, inside: Inside) -> Result<(), RobotError> {
        const EACH: Span = Span::from_ms(20);
        /// Counts for a pixel that is left, a look: at half a pixel a count a quarter of what is left,
        /// so that it is some fifth of a second behind.
        const SHARE: f64 = 0.5;
        while let Some(left) = see(eye, inside)? {
            let (x, y) = ((left.x_px * SHARE).round() as i16, (left.y_px * SHARE).round() as i16);
            if x != 0 || y != 0 {
                hand.shift(x, y)?;
            }
            hand::sleep_until(clock::now() + EACH);
        }
        Ok(())
    }

    /// Moves until the target of `spot` is in the middle; how it started.
    pub(crate) fn move_to(
        &mut self,
        eye: &Eye,
        hand: &Hand,
        spot: Spot,
        inside: Inside,
    ) -> Result<Started, RobotError> {
        let start = Offset { x_px: spot.x_px, y_px: spot.y_px };
        let started = self.shift(hand, start)?;
        for _ in 0..CORRECTIONS {
            hand::sleep_until(clock::now() + SETTLE);
            let Some(left) = see(eye, inside)? else { break };
            if !self.learnt {
                self.learn(start, left);
            }
            if left.length() <= NEAR_PX {
                break;
            }
            self.shift(hand, left)?;
        }
        Ok(started)
    }

    /// One smooth movement by `way`; how it started.
    #[expect(clippy::cast_possible_truncation, reason = "a float to int cast saturates")]
    fn shift(&self, hand: &Hand, way: Offset) -> Result<Started, RobotError> {
        let (x, y) = (way.x_px / self.px_per_count, way.y_px / self.px_per_count);
        let (mut sent_x, mut sent_y) = (0_i16, 0_i16);
        let mut first = None;
        let start = clock::now();
        for step in 1..=REPORTS {
            let t = f64::from(step) / f64::from(REPORTS);
            // Minimum jerk (Flash & Hogan 1985).
            let share = t.powi(3) * (10.0 - 15.0 * t + 6.0 * t * t);
            let (to_x, to_y) = ((x * share).round() as i16, (y * share).round() as i16);
            let (dx, dy) = (to_x - sent_x, to_y - sent_y);
            if dx != 0 || dy != 0 {
                let done = hand.shift(dx, dy)?;
                first = first.or(Some(done));
                (sent_x, sent_y) = (to_x, to_y);
            }
            hand::sleep_until(start + Span(REPORT.0 * i64::from(step)));
        }
        let first = first.unwrap_or(Done { before: start, after: start });
        Ok(Started { curve: start, first })
    }

    fn learn(&mut self, start: Offset, left: Offset) {
        let moved = Offset { x_px: start.x_px - left.x_px, y_px: start.y_px - left.y_px };
        let ratio = moved.length() / start.length();
        if ratio > 0.05 {
            self.px_per_count *= ratio;
            self.learnt = true;
        }
    }
}

/// Where the target is, by the middle of its pixels.
fn see(eye: &Eye, inside: Inside) -> Result<Option<Offset>, RobotError> {
    let Inside { x_px, y_px, width_px, height_px } = inside;
    let look = eye.look(&[Patch { x_px, y_px, width_px, height_px }])?;
    let (mut sum_x, mut sum_y, mut count) = (0.0, 0.0, 0.0);
    for (y, row) in (0_u32..).zip(look.patch(0).chunks(usize::from(width_px))) {
        for (x, colour) in (0_u32..).zip(row) {
            if colour.is_target() {
                sum_x += f64::from(x) + 0.5;
                sum_y += f64::from(y) + 0.5;
                count += 1.0;
            }
        }
    }
    Ok((count > 0.0).then(|| Offset {
        x_px: sum_x / count - f64::from(width_px) / 2.0,
        y_px: sum_y / count - f64::from(height_px) / 2.0,
    }))
}
