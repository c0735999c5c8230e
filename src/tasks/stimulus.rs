//! Which of a task's stimuli a trial shows, and the names of sides in files.

use crate::scene::Side;
use serde::Serialize;

/// Which of a task's stimuli a trial shows. Its text form stands in the column `stimulus`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Stimulus {
    /// The one stimulus of a simple task.
    Single,
    /// A target on this side.
    At(Side),
    /// A target in this direction, degrees counter-clockwise from rightwards.
    Towards(u16),
    /// A target sliding out to this side.
    Emerging {
        /// The side.
        side: Side,
        /// How fast, mm a second, where a task has several speeds.
        speed_mm_s: Option<f64>,
    },
    /// A target to move to, from the middle of the view.
    Away {
        /// Direction, degrees counter-clockwise from rightwards, 0 to 359.
        direction_deg: u16,
        /// Distance, mm.
        distance_mm: f64,
        /// Size, mm, where a task has several sizes.
        size_mm: Option<f64>,
    },
    /// A target that asks for the answer.
    Go,
    /// A target that asks for none.
    Withhold,
    /// A moving target on the path with this number.
    Path(u16),
}

impl Stimulus {
    /// The text of the column `stimulus`: `single`, `left`, `towards_090`, `emerging_right`,
    /// `emerging_right_400`, `away_045_60`, `away_045_60_8`, `go`, `withhold`, `path_3`.
    pub fn label(&self) -> String {
        match self {
            Stimulus::Single => "single".to_owned(),
            Stimulus::At(side) => side_name(*side).to_owned(),
            Stimulus::Towards(direction_deg) => format!("towards_{direction_deg:03}"),
            Stimulus::Emerging { side, speed_mm_s: None } => {
                format!("emerging_{}", side_name(*side))
            }
            Stimulus::Emerging { side, speed_mm_s: Some(speed) } => {
                format!("emerging_{}_{speed}", side_name(*side))
            }
            Stimulus::Away { direction_deg, distance_mm, size_mm: None } => {
                format!("away_{direction_deg:03}_{distance_mm}")
            }
            Stimulus::Away { direction_deg, distance_mm, size_mm: Some(size_mm) } => {
                format!("away_{direction_deg:03}_{distance_mm}_{size_mm}")
            }
            Stimulus::Go => "go".to_owned(),
            Stimulus::Withhold => "withhold".to_owned(),
            Stimulus::Path(path) => format!("path_{path}"),
        }
    }
}

/// The name of a side in files.
pub const fn side_name(side: Side) -> &'static str {
    match side {
        Side::Left => "left",
        Side::Right => "right",
        Side::Up => "up",
        Side::Down => "down",
    }
}
