//! Pointing: a target appears at a random direction and distance; the view turns by raw counts
//! times gain; move onto it and click.
//!
//! The task in which movement onset and click come apart, so that a sooner start and a quicker
//! movement can be told from each other. The target stands still in the view's world: turning the
//! view to the right moves it to the left on the surface. Distances and sizes may be several; then
//! every pair of them is a condition of difficulty, as in ISO 9241-411, and each comes in turn.

use super::{AnsweredBy, Given, Judged, Levels, Stimulus, Task, View};
use crate::scene::{Mark, Marks, Place, Side};
use crate::units::Button;
use serde::Serialize;
use std::borrow::Cow;

/// Eight directions at one or more distances and sizes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Pointing {
    /// How far from the middle the target appears, mm.
    pub distance_mm: Levels,
    /// The target's sizes, corner to corner, mm; none: the size of the stimulus.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sizes_mm: Option<Levels>,
}

/// Eight directions, degrees apart.
const STEP_DEG: u16 = 45;

impl Pointing {
    /// At one distance, in the stimulus's size.
    pub fn at(distance_mm: f64) -> Pointing {
        Pointing { distance_mm: Levels::one(distance_mm), sizes_mm: None }
    }

    fn offset(stimulus: Stimulus, view: &View) -> Place {
        match stimulus {
            Stimulus::Away { direction_deg, distance_mm, .. } => {
                let angle = f64::from(direction_deg).to_radians();
                let away_px = view.canvas.px(distance_mm);
                Place { x_px: away_px * libm::cos(angle), y_px: -away_px * libm::sin(angle) }
            }
            // A schedule made by `stimuli` holds nothing else.
            _ => Place::default(),
        }
    }

    fn size_px(stimulus: Stimulus, view: &View) -> f64 {
        match stimulus {
            Stimulus::Away { size_mm: Some(size_mm), .. } => view.canvas.px(size_mm),
            _ => view.canvas.px(view.look.size_mm),
        }
    }

    fn chevron(view: &View) -> Mark {
        Mark::Chevron { at: view.canvas.centre(), size_px: view.canvas.px(view.look.size_mm) / 3.0 }
    }
}

impl Task for Pointing {
    fn stimuli(&self, count: usize) -> Vec<Stimulus> {
        let directions = 360 / STEP_DEG;
        let sizes = self.sizes_mm.map_or(1, |sizes| sizes.values().len());
        let several = sizes * self.distance_mm.values().len() > 1;
        let direction_deg = |i: usize| {
            // Each round of directions begins one further on, so that none keeps to one condition.
            let turn = if several { i + i / usize::from(directions) } else { i };
            // Opposite directions follow each other, so that a short list is balanced too.
            u16::try_from(turn).unwrap_or(0).wrapping_mul(5) % directions * STEP_DEG
        };
        (0..count)
            .map(|i| Stimulus::Away {
                direction_deg: direction_deg(i),
                distance_mm: self.distance_mm.round(i / sizes),
                size_mm: self.sizes_mm.map(|sizes| sizes.round(i)),
            })
            .collect()
    }

    fn wait(&self, view: &View) -> Marks {
        Marks::of(&[super::simple::wait_mark(view), Self::chevron(view)])
    }

    fn target(&self, stimulus: Stimulus, view: &View) -> Marks {
        let (at, size_px) = self.place(stimulus, view);
        let contrast_share = view.look.contrast_share;
        let target = Mark::Target { at, size_px, notch: Side::Up, contrast_share };
        Marks::of(&[target, Self::chevron(view)])
    }

    fn answered_by(&self) -> AnsweredBy {
        AnsweredBy::MoveAndButton
    }

    fn expected(&self, _: Stimulus) -> Cow<'static, str> {
        "on_target".into()
    }

    fn judge(&self, stimulus: Stimulus, given: Given, view: &View) -> Judged {
        let offset = Self::offset(stimulus, view);
        let (dx, dy) = (offset.x_px - view.aim.x_px, offset.y_px - view.aim.y_px);
        let half_px = Self::size_px(stimulus, view) / 2.0;
        // Inside the lozenge: |dx| + |dy| up to half the corner-to-corner distance.
        if given == Given::Button(Button::Left) && dx.abs() + dy.abs() <= half_px {
            Judged::Right
        } else {
            Judged::Wrong
        }
    }

    fn place(&self, stimulus: Stimulus, view: &View) -> (Place, f64) {
        let centre = view.canvas.centre();
        let offset = Self::offset(stimulus, view);
        let at = Place {
            x_px: centre.x_px + offset.x_px - view.aim.x_px,
            y_px: centre.y_px + offset.y_px - view.aim.y_px,
        };
        (at, Self::size_px(stimulus, view))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_pair_of_distance_and_size_comes_equally_often() {
        let task = Pointing {
            distance_mm: Levels::of(&[40.0, 80.0, 120.0]),
            sizes_mm: Some(Levels::of(&[8.0, 16.0])),
        };
        let stimuli = task.stimuli(24);
        for distance in ["40", "80", "120"] {
            for size in ["8", "16"] {
                let ends = format!("_{distance}_{size}");
                let count = stimuli.iter().filter(|s| s.label().ends_with(&ends)).count();
                assert_eq!(count, 4, "{ends}");
            }
        }
    }
}
