//! Where the robot looks, by task: four corners, and the places where a target may first appear.
//!
//! Worked out from the look of the tasks in millimetres, as a player would know it from having seen
//! a trial; no position is asked of the program.

use crate::eye::{Inside, Look, Patch};
use crate::hand::{LEFT, RIGHT};
use clap::{Args, ValueEnum};

/// What is played.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Task {
    /// A target in the middle, left button.
    Simple,
    /// A target in the left or right half, the button of its side.
    Choice,
    /// A target that slides out from behind a slab, left button.
    Emergence,
    /// A target in one of eight directions, to be moved to, left button.
    Pointing,
    /// A target in the middle, answered by moving.
    Onset,
    /// A target in the middle, left button where its notch is above.
    GoNoGo,
    /// A target in one of four directions, answered by moving towards it.
    FourWays,
    /// A target in one of eight directions, near or far, small or large; as pointing.
    Difficulty,
    /// A target that slides half out to the right, left button.
    HalfCovered,
    /// A target in the middle, under which the hand keeps still.
    Steadiness,
    /// A target in the middle, to be tapped at until it goes.
    Tapping,
    /// A target that begins in the middle, to be followed until it goes.
    Pursuit,
}

impl Task {
    pub(crate) const fn name(self) -> &'static str {
        match self {
            Task::Simple => "simple",
            Task::Choice => "choice",
            Task::Emergence => "emergence",
            Task::Pointing => "pointing",
            Task::Onset => "onset",
            Task::GoNoGo => "go_no_go",
            Task::FourWays => "four_ways",
            Task::Difficulty => "difficulty",
            Task::HalfCovered => "half_covered",
            Task::Steadiness => "steadiness",
            Task::Tapping => "tapping",
            Task::Pursuit => "pursuit",
        }
    }
}

/// Sizes of what is shown.
#[derive(Debug, Clone, Copy, Args)]
pub(crate) struct Sizes {
    /// Pixels a millimetre, as the program reckons them
    #[arg(long, default_value_t = 96.0 / 25.4)]
    px_per_mm: f64,
    /// The target, corner to corner, mm
    #[arg(long, default_value_t = 20.0)]
    size_mm: f64,
    /// Choice: from the middle to the target, mm
    #[arg(long, default_value_t = 60.0)]
    eccentricity_mm: f64,
    /// Pointing: from the middle to the target, mm
    #[arg(long, default_value_t = 60.0)]
    distance_mm: f64,
    /// Choice: the left button answers the right side
    #[arg(long)]
    crossed: bool,
}

/// A place where a target may appear.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Spot {
    patch: Patch,
    /// Its name in the truth log.
    pub(crate) name: &'static str,
    /// The button that answers it.
    pub(crate) button: u8,
    /// From the middle of the window, px; y grows downwards.
    pub(crate) x_px: f64,
    /// Downwards.
    pub(crate) y_px: f64,
}

/// All that is looked at.
#[derive(Debug)]
pub(crate) struct Places {
    /// The patches: corners first, then the spots, in their order.
    pub(crate) patches: Vec<Patch>,
    spots: Vec<Spot>,
    /// Where the slot of a notch above is, for a task that asks where it is.
    notch: Option<usize>,
}

const CORNERS: usize = 4;
/// Corners that must be of the field's grey; a dot of the view may lie on one.
const CORNERS_OF_FIELD: usize = 3;
/// Emergence: half the slab's width, in target sizes.
const HALF_COVER: f64 = 0.8;
/// Pointing: names of the directions, counter-clockwise from rightwards.
const DIRECTIONS: [&str; 8] =
    ["right", "up_right", "up", "up_left", "left", "down_left", "down", "down_right"];

/// Names of four directions.
const FOUR: [&str; 4] = ["right", "up", "left", "down"];
/// Difficulty: the two distances, mm.
const NEAR_AND_FAR_MM: [f64; 2] = [40.0, 70.0];

impl Places {
    pub(crate) fn of(task: Task, sizes: &Sizes, inside: Inside) -> Places {
        let spots = spots(task, sizes, inside);
        let mut patches = corners(inside).to_vec();
        patches.extend(spots.iter().map(|spot| spot.patch));
        let notch = (task == Task::GoNoGo).then(|| {
            // In the middle of the slot, a third of the half size above the middle and more.
            let (x, y) = on_screen(inside, 0.0, -0.5 * sizes.size_mm * sizes.px_per_mm * 0.55);
            patches.push(Patch::around(x, y, 3));
            patches.len() - 1
        });
        Places { patches, spots, notch }
    }

    /// Whether the slot of the notch is above: then the field shows through it.
    pub(crate) fn asks_for_a_press(&self, look: &Look) -> bool {
        self.notch.is_none_or(|index| look.patch(index).iter().all(|c| !c.is_target()))
    }

    /// Whether `look` shows the field of a trial.
    pub(crate) fn is_field(look: &Look) -> bool {
        let of_field = |&index: &usize| look.patch(index).iter().all(|c| c.is_field());
        let has = |&index: &usize| !look.patch(index).is_empty();
        (0..CORNERS).filter(has).filter(of_field).count() >= CORNERS_OF_FIELD
    }

    /// The spot where a target is to be seen in `look`.
    pub(crate) fn target(&self, look: &Look) -> Option<Spot> {
        let seen = |(index, _): &(usize, &Spot)| {
            look.patch(CORNERS + index).iter().any(|colour| colour.is_target())
        };
        self.spots.iter().enumerate().find(seen).map(|(_, spot)| *spot)
    }
}

fn corners(inside: Inside) -> [Patch; CORNERS] {
    const INSET: i16 = 4;
    let right = inside.x_px.saturating_add_unsigned(inside.width_px) - INSET;
    let low = inside.y_px.saturating_add_unsigned(inside.height_px) - INSET;
    let (left, top) = (inside.x_px + INSET, inside.y_px + INSET);
    [(left, top), (right, top), (left, low), (right, low)].map(|(x, y)| Patch::around(x, y, 1))
}

fn spots(task: Task, sizes: &Sizes, inside: Inside) -> Vec<Spot> {
    const SIDE: u16 = 3;
    let at = |name, button, x_px: f64, y_px: f64| {
        let (x, y) = on_screen(inside, x_px, y_px);
        Spot { patch: Patch::around(x, y, SIDE), name, button, x_px, y_px }
    };
    let size_px = sizes.size_mm * sizes.px_per_mm;
    // A strip along the middle line, just outside the edge: the lozenge's corner leads.
    const STRIP: u16 = 9;
    let strip = |name, side: f64| {
        let x_px = side * (size_px * HALF_COVER + f64::from(STRIP / 2 + 1));
        let mut spot = at(name, LEFT, x_px, 0.0);
        let (x, y) = on_screen(inside, x_px, 0.0);
        spot.patch = Patch::around(x, y, STRIP);
        spot
    };
    let around = |names: &[&'static str], away_mm: f64| {
        let away_px = away_mm * sizes.px_per_mm;
        let mut angle_deg = 0.0_f64;
        let mut spots = Vec::new();
        for name in names {
            let (sin, cos) = angle_deg.to_radians().sin_cos();
            spots.push(at(name, LEFT, away_px * cos, -away_px * sin));
            angle_deg += 360.0 / names.len() as f64;
        }
        spots
    };
    match task {
        Task::Simple
        | Task::Onset
        | Task::GoNoGo
        | Task::Steadiness
        | Task::Tapping
        | Task::Pursuit => vec![at("middle", LEFT, 0.0, 0.0)],
        Task::Choice => {
            let away_px = sizes.eccentricity_mm * sizes.px_per_mm;
            let (left, right) = if sizes.crossed { (RIGHT, LEFT) } else { (LEFT, RIGHT) };
            vec![at("left", left, -away_px, 0.0), at("right", right, away_px, 0.0)]
        }
        Task::Emergence => vec![strip("left", -1.0), strip("right", 1.0)],
        Task::HalfCovered => vec![strip("right", 1.0)],
        Task::FourWays => around(&FOUR, sizes.eccentricity_mm),
        Task::Pointing => around(&DIRECTIONS, sizes.distance_mm),
        Task::Difficulty => {
            NEAR_AND_FAR_MM.iter().flat_map(|away_mm| around(&DIRECTIONS, *away_mm)).collect()
        }
    }
}

/// A point told from the window's middle, on the screen.
#[expect(clippy::cast_possible_truncation, reason = "a screen is far below 32768 px")]
fn on_screen(inside: Inside, x_px: f64, y_px: f64) -> (i16, i16) {
    let x_px = f64::from(inside.x_px) + f64::from(inside.width_px) / 2.0 + x_px;
    let y_px = f64::from(inside.y_px) + f64::from(inside.height_px) / 2.0 + y_px;
    (x_px.floor() as i16, y_px.floor() as i16)
}
