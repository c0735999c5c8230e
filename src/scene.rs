//! What may be shown, as plain values: marks at places in pixels, a notice, and the canvas that
//! turns millimetres into pixels.
//!
//! A scene is fixed in size and copied, never allocated, so that the engine may make one at any
//! moment. It knows nothing of how it is drawn. The look is the house's own: a flat mid-grey
//! field, a wait mark of four short ticks around an empty square, a notched square-cornered
//! lozenge as target, a small open chevron as aiming mark, sparse dots for the view's movement.

use serde::{Deserialize, Serialize};

/// Number of a scene; grows by one with each change of the picture within a session.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
#[serde(transparent)]
pub struct SceneId(pub u64);

/// The surface that scenes are laid out on, fixed for a segment of a session.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Canvas {
    /// Width in physical pixels.
    pub width_px: u32,
    /// Height in physical pixels.
    pub height_px: u32,
    /// Pixels a millimetre, or `None` where the display does not tell its size.
    pub px_per_mm: Option<f64>,
    /// Refresh asked of the display, frames a second.
    pub rate_hz: f64,
}

/// Density taken where a display does not tell its size: 96 px an inch (CSS reference pixel).
pub const FALLBACK_PX_PER_MM: f64 = 96.0 / 25.4;

impl Canvas {
    /// Millimetres to pixels; the only such conversion in the program.
    pub fn px(&self, mm: f64) -> f64 {
        mm * self.px_per_mm.unwrap_or(FALLBACK_PX_PER_MM)
    }

    /// The middle of the surface, px from the upper left corner.
    pub fn centre(&self) -> Place {
        Place { x_px: f64::from(self.width_px) / 2.0, y_px: f64::from(self.height_px) / 2.0 }
    }

    /// One refresh in nanoseconds, from the rate asked.
    #[expect(clippy::cast_possible_truncation, reason = "a refresh is far below 2^63 ns")]
    pub fn refresh(&self) -> crate::units::Span {
        crate::units::Span((1e9 / self.rate_hz.max(1.0)).round() as i64)
    }
}

/// A point on the canvas, px from the upper left corner; y grows downwards.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Place {
    /// Rightwards.
    pub x_px: f64,
    /// Downwards.
    pub y_px: f64,
}

/// A side of the field or of a lozenge's notch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// Left.
    Left,
    /// Right.
    Right,
    /// Up.
    Up,
    /// Down.
    Down,
}

/// One shape of the picture. Later marks cover earlier ones.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Mark {
    /// Four short ticks around an empty square.
    Wait {
        /// Its middle.
        at: Place,
        /// Side of the square, px.
        size_px: f64,
    },
    /// The target: a square-cornered lozenge with a notch.
    Target {
        /// Its middle.
        at: Place,
        /// Distance between opposite corners, px.
        size_px: f64,
        /// Where the notch is cut.
        notch: Side,
        /// How far its colour stands from the field, 0 to 1.
        contrast_share: f64,
    },
    /// A small open chevron: where the player aims.
    Chevron {
        /// The point it marks.
        at: Place,
        /// Its height, px.
        size_px: f64,
    },
    /// A plain slab a little darker than the field; a target slides out from behind it.
    Cover {
        /// Its middle.
        at: Place,
        /// Width, px.
        width_px: f64,
        /// Height, px.
        height_px: f64,
    },
    /// A row of small squares that show a number to a camera, most significant first, between a dark
    /// and a light one that never change. Faint: from dark to light is no flash.
    Strip {
        /// Its middle.
        at: Place,
        /// Side of one square, px.
        cell_px: f64,
        /// Squares that show the number, at most 24.
        cells: u8,
        /// What they show: a lit square is a one.
        code: u32,
    },
    /// A plain square that is dark, or light: what answers a click before a camera.
    Tile {
        /// Its middle.
        at: Place,
        /// Its side, px.
        size_px: f64,
        /// Light.
        lit: bool,
    },
}

/// Most marks that one scene can hold.
pub const MOST_MARKS: usize = 6;

/// A short list of marks, held in place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Marks {
    list: [Option<Mark>; MOST_MARKS],
}

impl Marks {
    /// No marks.
    pub const NONE: Marks = Marks { list: [None; MOST_MARKS] };

    /// The marks of `list`, in painting order.
    ///
    /// # Panics
    /// When there are more than [`MOST_MARKS`]: a task's own mistake.
    pub fn of(list: &[Mark]) -> Marks {
        list.iter().copied().collect()
    }

    /// The marks in painting order.
    pub fn iter(&self) -> impl Iterator<Item = &Mark> {
        self.list.iter().flatten()
    }
}

impl FromIterator<Mark> for Marks {
    /// The marks in painting order, without allocating.
    ///
    /// # Panics
    /// When there are more than [`MOST_MARKS`]: a task's own mistake.
    fn from_iter<I: IntoIterator<Item = Mark>>(list: I) -> Marks {
        let mut marks = Marks::NONE;
        for (place, mark) in list.into_iter().enumerate() {
            assert!(place < MOST_MARKS, "a scene holds at most {MOST_MARKS} marks");
            marks.list[place] = Some(mark);
        }
        marks
    }
}

/// A short word on the field between trials; its text stands in `words.rs`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Notice {
    /// The press came before the stimulus, or too soon after it to be an answer.
    Early,
    /// The answer was the wrong one.
    Wrong,
    /// No answer came in time.
    Missed,
    /// An empty wait was rightly left unanswered.
    EmptyWaitPassed,
    /// A target that asks for no answer was rightly left alone.
    RightlyLeft,
    /// The trial does not count and comes again; the player did nothing wrong.
    Again,
    /// Before the session: the display is being measured.
    Measuring,
}

/// Everything on the surface at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scene {
    /// Its number.
    pub id: SceneId,
    /// Shapes, in painting order.
    pub marks: Marks,
    /// A word, if any, below the middle.
    pub notice: Option<Notice>,
    /// Where the sparse dots of the view are shifted to, px; `None` shows no dots.
    pub view: Option<Place>,
}

impl Scene {
    /// The empty field.
    pub const fn empty(id: SceneId) -> Scene {
        Scene { id, marks: Marks::NONE, notice: None, view: None }
    }
}

/// Luminance of the field as an sRGB-encoded grey, 0 to 1: mid-grey, so that neither mark nor
/// target makes a flash of the whole screen.
pub const FIELD_GREY: f64 = 0.5;

/// The target's colour, sRGB 0 to 1: "blue" of the Okabe-Ito palette.
///
/// # Source
/// Okabe & Ito, Color Universal Design (2008), #0072B2.
pub const TARGET_RGB: [f64; 3] = [0.0, 114.0 / 255.0, 178.0 / 255.0];
