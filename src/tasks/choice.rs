//! Choice reaction: the target appears in one of two to eight places, and the button of that place,
//! or a movement towards it, answers it.
//!
//! Measures seeing, telling which of several, and answering. Its errors are part of its answer: a
//! hold that is faster and errs more has bought speed with accuracy. By buttons the time is that
//! of the press; by movement that of the start of the hand, and the direction taken is the answer.

use super::simple::wait_mark;
use super::{AnsweredBy, Given, Judged, Stimulus, Task, View, side_name};
use crate::scene::{Mark, Marks, Place, Side};
use serde::Serialize;
use std::borrow::Cow;

/// Which answer belongs to which place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Map {
    /// Left place, left button; or towards the target.
    Same,
    /// Left place, right button; or away from the target.
    Crossed,
}

/// How a choice is answered.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ChoiceBy {
    /// Left and right button; with three alternatives the wheel's button for the one above.
    Buttons,
    /// A movement of so many counts, in the direction of the target.
    Movement {
        /// How far the mouse goes for an answer, counts.
        travel_counts: f64,
    },
}

/// Alternatives that are told apart by place.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Choice {
    /// Which answer belongs to which place.
    pub map: Map,
    /// How far from the middle the target stands, mm.
    pub eccentricity_mm: f64,
    /// How many places, 2 to 8 (2 or 3 by buttons).
    #[serde(skip_serializing_if = "are_two")]
    pub alternatives: u16,
    /// How it is answered. Two by buttons are written as before there were more.
    #[serde(skip_serializing_if = "is_by_buttons")]
    pub by: ChoiceBy,
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands a reference")]
fn are_two(alternatives: &u16) -> bool {
    *alternatives == 2
}

fn is_by_buttons(by: &ChoiceBy) -> bool {
    *by == ChoiceBy::Buttons
}

/// Places of buttons, in the order in which alternatives are added.
const SIDES: [Side; 3] = [Side::Left, Side::Right, Side::Up];

impl Choice {
    /// Left or right, by the buttons.
    pub const fn of_two(map: Map, eccentricity_mm: f64) -> Choice {
        Choice { map, eccentricity_mm, alternatives: 2, by: ChoiceBy::Buttons }
    }

    /// The direction of an alternative: 2 are left and right, 4 the sides, 8 the corners too.
    /// Odd numbers begin above the middle.
    fn direction_deg(&self, index: u16) -> u16 {
        let n = u32::from(self.alternatives.max(1));
        let first = if self.alternatives.is_multiple_of(2) { 0 } else { 90 };
        // To the nearest whole degree: 51 for a seventh.
        let turned = (u32::from(index) * 720 / n).div_ceil(2);
        u16::try_from((first + turned) % 360).unwrap_or(0)
    }

    fn directions(&self) -> impl Iterator<Item = u16> {
        (0..self.alternatives).map(|index| self.direction_deg(index))
    }

    fn button_of(&self, side: Side) -> &'static str {
        match (self.map, side) {
            (_, Side::Up | Side::Down) => "middle",
            (Map::Same, side) => side_name(side),
            (Map::Crossed, Side::Left) => "right",
            (Map::Crossed, Side::Right) => "left",
        }
    }

    fn answer_deg(&self, direction_deg: u16) -> u16 {
        match self.map {
            Map::Same => direction_deg,
            Map::Crossed => (direction_deg + 180) % 360,
        }
    }
}

impl Task for Choice {
    fn stimuli(&self, count: usize) -> Vec<Stimulus> {
        let n = usize::from(self.alternatives.max(1));
        match self.by {
            ChoiceBy::Buttons => {
                (0..count).map(|i| Stimulus::At(SIDES[i % n.min(SIDES.len())])).collect()
            }
            ChoiceBy::Movement { .. } => {
                let directions: Vec<u16> = self.directions().collect();
                directions.into_iter().cycle().take(count).map(Stimulus::Towards).collect()
            }
        }
    }

    fn wait(&self, view: &View) -> Marks {
        Marks::of(&[wait_mark(view)])
    }

    fn target(&self, stimulus: Stimulus, view: &View) -> Marks {
        let (at, size_px) = self.place(stimulus, view);
        let contrast_share = view.look.contrast_share;
        let target = Mark::Target { at, size_px, notch: Side::Up, contrast_share };
        Marks::of(&[wait_mark(view), target])
    }

    fn answered_by(&self) -> AnsweredBy {
        match self.by {
            ChoiceBy::Buttons => AnsweredBy::Button,
            ChoiceBy::Movement { .. } => AnsweredBy::Move,
        }
    }

    fn expected(&self, stimulus: Stimulus) -> Cow<'static, str> {
        match stimulus {
            Stimulus::At(side) => self.button_of(side).into(),
            Stimulus::Towards(deg) => format!("towards_{:03}", self.answer_deg(deg)).into(),
            // A schedule made by `stimuli` holds nothing else.
            _ => "left".into(),
        }
    }

    fn judge(&self, stimulus: Stimulus, given: Given, _: &View) -> Judged {
        let right = match (given, stimulus) {
            (Given::Button(button), Stimulus::At(side)) => button.name() == self.button_of(side),
            (Given::Moved(travel), Stimulus::Towards(deg)) => {
                self.towards_deg(travel) == Some(self.answer_deg(deg))
            }
            _ => false,
        };
        if right { Judged::Right } else { Judged::Wrong }
    }

    fn place(&self, stimulus: Stimulus, view: &View) -> (Place, f64) {
        let centre = view.canvas.centre();
        let away_px = view.canvas.px(self.eccentricity_mm);
        let offset = match stimulus {
            Stimulus::Towards(deg) => {
                let angle = f64::from(deg).to_radians();
                Place { x_px: away_px * libm::cos(angle), y_px: -away_px * libm::sin(angle) }
            }
            Stimulus::At(Side::Right) => Place { x_px: away_px, y_px: 0.0 },
            Stimulus::At(Side::Up | Side::Down) => Place { x_px: 0.0, y_px: -away_px },
            _ => Place { x_px: -away_px, y_px: 0.0 },
        };
        let at = Place { x_px: centre.x_px + offset.x_px, y_px: centre.y_px + offset.y_px };
        (at, view.canvas.px(view.look.size_mm))
    }

    fn travel_counts(&self) -> f64 {
        match self.by {
            ChoiceBy::Buttons => f64::INFINITY,
            ChoiceBy::Movement { travel_counts } => travel_counts,
        }
    }

    fn towards_deg(&self, travel: Place) -> Option<u16> {
        let taken_deg = libm::atan2(-travel.y_px, travel.x_px).to_degrees();
        let apart = |deg: u16| {
            let turn = (f64::from(deg) - taken_deg).rem_euclid(360.0);
            turn.min(360.0 - turn)
        };
        // Crossed, the answers are the opposite directions.
        self.directions()
            .map(|deg| self.answer_deg(deg))
            .min_by(|a, b| apart(*a).total_cmp(&apart(*b)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(alternatives: u16, map: Map) -> Choice {
        let by = ChoiceBy::Movement { travel_counts: 60.0 };
        Choice { map, eccentricity_mm: 60.0, alternatives, by }
    }

    #[test]
    fn directions_stand_evenly_apart() {
        let degrees = |n| of(n, Map::Same).directions().collect::<Vec<_>>();
        assert_eq!(degrees(2), [0, 180]);
        assert_eq!(degrees(3), [90, 210, 330]);
        assert_eq!(degrees(4), [0, 90, 180, 270]);
        assert_eq!(degrees(7), [90, 141, 193, 244, 296, 347, 39]);
        assert_eq!(degrees(8), [0, 45, 90, 135, 180, 225, 270, 315]);
    }

    #[test]
    fn a_movement_is_taken_for_the_nearest_direction() {
        let up_right = Place { x_px: 50.0, y_px: -40.0 };
        assert_eq!(of(8, Map::Same).towards_deg(up_right), Some(45));
        assert_eq!(of(4, Map::Same).towards_deg(up_right), Some(0));
        assert_eq!(of(3, Map::Crossed).towards_deg(up_right), Some(30));
        let left = Place { x_px: -9.0, y_px: 0.1 };
        assert_eq!(of(2, Map::Same).towards_deg(left), Some(180));
    }
}
