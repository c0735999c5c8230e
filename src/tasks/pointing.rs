//! Pointing: a target appears at a random direction and distance; the view turns by raw counts
//! times gain; move onto it and click.
//!
//! The task in which movement onset and click come apart, so that a sooner start and a quicker
//! movement can be told from each other. The target stands still in the view's world: turning the
//! view to the right moves it to the left on the surface.

use super::{AnsweredBy, Judged, Stimulus, Task, View};
use crate::scene::{Mark, Marks, Place, Side};
use crate::units::Button;
use serde::Serialize;

/// Eight directions at one distance.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Pointing {
    /// How far from the middle the target appears, mm.
    pub distance_mm: f64,
}

/// Eight directions, degrees apart.
const STEP_DEG: u16 = 45;

impl Pointing {
    fn offset(stimulus: Stimulus, view: &View) -> Place {
        match stimulus {
            Stimulus::Away { direction_deg, distance_mm } => {
                let angle = f64::from(direction_deg).to_radians();
                let away_px = view.canvas.px(distance_mm);
                Place { x_px: away_px * libm::cos(angle), y_px: -away_px * libm::sin(angle) }
            }
            // A schedule made by `stimuli` holds nothing else.
            Stimulus::Single | Stimulus::At(_) | Stimulus::Emerging(_) => Place::default(),
        }
    }

    fn chevron(view: &View) -> Mark {
        Mark::Chevron { at: view.canvas.centre(), size_px: view.canvas.px(view.look.size_mm) / 3.0 }
    }
}

impl Task for Pointing {
    fn stimuli(&self, count: usize) -> Vec<Stimulus> {
        let directions = 360 / STEP_DEG;
        (0..count)
            .map(|i| Stimulus::Away {
                // Opposite directions follow each other, so that a short list is balanced too.
                direction_deg: u16::try_from(i).unwrap_or(0).wrapping_mul(5) % directions
                    * STEP_DEG,
                distance_mm: self.distance_mm,
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

    fn animated(&self) -> bool {
        false
    }

    fn answered_by(&self) -> AnsweredBy {
        AnsweredBy::MoveAndButton
    }

    fn expected(&self, _: Stimulus) -> &'static str {
        "on_target"
    }

    fn judge(&self, stimulus: Stimulus, button: Button, view: &View) -> Judged {
        let offset = Self::offset(stimulus, view);
        let (dx, dy) = (offset.x_px - view.aim.x_px, offset.y_px - view.aim.y_px);
        let half_px = view.canvas.px(view.look.size_mm) / 2.0;
        // Inside the lozenge: |dx| + |dy| up to half the corner-to-corner distance.
        if button == Button::Left && dx.abs() + dy.abs() <= half_px {
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
        (at, view.canvas.px(view.look.size_mm))
    }
}
