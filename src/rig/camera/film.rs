//! The screen made to be filmed: which picture it shows next, and what it saw of each click.
//!
//! Sans-IO: presses and fates of frames come in, scenes go out. Invariants: each picture has a number
//! of its own; the patch changes at most three times in any second; nothing goes on for longer than
//! [`LONGEST`].

use super::gray;
use crate::scene::{Canvas, Mark, Marks, Place, Scene, SceneId};
use crate::units::{Nanos, Span, Stamp};

/// The screen stops by itself after this.
pub const LONGEST: Span = Span::from_s(20);
/// Clicks closer together are not answered: the patch changes at most three times a second.
pub const REST: Span = Span::from_ms(400);
/// Side of a square of the strip, mm: read easily on a film that is 40 cm wide.
const CELL_MM: f64 = 7.0;
/// Side of the patch, mm.
const PATCH_MM: f64 = 20.0;
/// From the middle of the screen up to the strip and down to the patch, mm.
const APART_MM: f64 = 18.0;

/// What the program saw of a click.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Answer {
    /// Number of the first picture with the answer, as the strip shows it.
    pub counter: u64,
    /// The press.
    pub press: Stamp,
    /// That picture.
    pub shown: Stamp,
}

/// A press that has not been seen answered.
#[derive(Debug, Clone, Copy)]
struct Waiting {
    press: Stamp,
    /// First picture that holds the answer.
    from: u64,
}

/// The screen's state.
#[derive(Debug, Clone)]
pub struct Filming {
    canvas: Canvas,
    started: Nanos,
    /// Number of the next picture.
    next: u64,
    lit: bool,
    answered: Option<Nanos>,
    waiting: Option<Waiting>,
    answers: Vec<Answer>,
    passed_over: usize,
}

impl Filming {
    /// Begins at `now`.
    pub fn new(canvas: Canvas, now: Nanos) -> Filming {
        Filming {
            canvas,
            started: now,
            next: 1,
            lit: false,
            answered: None,
            waiting: None,
            answers: Vec::new(),
            passed_over: 0,
        }
    }

    /// The picture to be drawn next.
    pub fn scene(&self) -> Scene {
        let middle = self.canvas.centre();
        let px = |mm: f64| self.canvas.px(mm);
        let at = |up_mm: f64| Place { y_px: middle.y_px - px(up_mm), ..middle };
        let marks = Marks::of(&[
            Mark::Strip {
                at: at(APART_MM),
                cell_px: px(CELL_MM).round().max(4.0),
                cells: gray::BITS,
                code: gray::code(self.next),
            },
            Mark::Tile { at: at(-APART_MM), size_px: px(PATCH_MM).round(), lit: self.lit },
        ]);
        Scene { marks, ..Scene::empty(SceneId(self.next)) }
    }

    /// The picture was handed over: the next one has the next number.
    pub fn drawn(&mut self) {
        self.next += 1;
    }

    /// A press. Whether it is answered: one too soon after the last is not.
    pub fn press(&mut self, press: Stamp) -> bool {
        let soon = self.answered.is_some_and(|last| press.t - last < REST);
        if soon || self.waiting.is_some() {
            self.passed_over += 1;
            return false;
        }
        self.lit = !self.lit;
        self.answered = Some(press.t);
        self.waiting = Some(Waiting { press, from: self.next });
        true
    }

    /// A picture was seen.
    pub fn shown(&mut self, scene: SceneId, stamp: Stamp) {
        if let Some(waiting) = self.waiting
            && scene.0 >= waiting.from
        {
            self.waiting = None;
            // A picture before it that nobody saw makes this one only the first that was told of.
            if scene.0 == waiting.from {
                let Waiting { press, from } = waiting;
                self.answers.push(Answer { counter: from, press, shown: stamp });
            } else {
                self.passed_over += 1;
            }
        }
    }

    /// Whether the time is up.
    pub fn over(&self, now: Nanos) -> bool {
        now - self.started >= LONGEST
    }

    /// What was seen of the clicks.
    pub fn answers(&self) -> &[Answer] {
        &self.answers
    }

    /// Clicks without an answer that could be timed.
    pub fn passed_over(&self) -> usize {
        self.passed_over
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::StampSource;

    const CANVAS: Canvas =
        Canvas { width_px: 1920, height_px: 1080, px_per_mm: None, rate_hz: 60.0 };

    fn at(ms: i64) -> Stamp {
        Stamp { t: Nanos(ms * 1_000_000), source: StampSource::Simulated, sd: Span::ZERO }
    }

    fn patch(scene: &Scene) -> bool {
        let lit = scene.marks.iter().find_map(|mark| match mark {
            Mark::Tile { lit, .. } => Some(*lit),
            _ => None,
        });
        lit.unwrap()
    }

    fn counted(scene: &Scene) -> u32 {
        let code = scene.marks.iter().find_map(|mark| match mark {
            Mark::Strip { code, .. } => Some(*code),
            _ => None,
        });
        gray::number(code.unwrap())
    }

    #[test]
    fn a_click_is_answered_by_the_next_picture_and_timed() {
        let mut filming = Filming::new(CANVAS, Nanos(0));
        filming.drawn();
        assert!(filming.press(at(103)));
        let scene = filming.scene();
        assert_eq!((patch(&scene), counted(&scene), scene.id), (true, 2, SceneId(2)));
        // The picture before it is seen after the press, and is no answer.
        filming.shown(SceneId(1), at(110));
        filming.drawn();
        filming.shown(SceneId(2), at(126));
        let answer = filming.answers()[0];
        assert_eq!((answer.counter, answer.press, answer.shown), (2, at(103), at(126)));
    }

    #[test]
    fn the_patch_changes_at_most_three_times_a_second() {
        let mut filming = Filming::new(CANVAS, Nanos(0));
        let mut changes = Vec::new();
        for ms in (0..5000).step_by(10) {
            let before = patch(&filming.scene());
            filming.press(at(ms));
            if patch(&filming.scene()) != before {
                changes.push(ms);
            }
            filming.shown(filming.scene().id, at(ms + 5));
            filming.drawn();
        }
        assert!(changes.len() > 10);
        for from in &changes {
            assert!(changes.iter().filter(|ms| (*from..from + 1000).contains(ms)).count() <= 3);
        }
        assert!(filming.passed_over() > 100);
    }

    #[test]
    fn an_answer_whose_first_picture_nobody_saw_is_not_timed() {
        let mut filming = Filming::new(CANVAS, Nanos(0));
        filming.press(at(100));
        filming.drawn();
        filming.drawn();
        filming.shown(SceneId(2), at(133));
        assert!(filming.answers().is_empty());
        assert_eq!(filming.passed_over(), 1);
        assert!(filming.over(Nanos(20_000_000_000)) && !filming.over(Nanos(19_000_000_000)));
    }
}
