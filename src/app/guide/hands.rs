//! Line drawings of a hand on a mouse, from the side and from above, and of how firmly it holds:
//! tables of points, drawn by us, in a square of 100 by 64 units.
//!
//! They show where palm and fingers touch; they are no pattern for anyone's hand.

use super::super::fill;
use super::super::look::{self, LINE, TEXT};
use super::told;
use crate::protocol::{Grip, Tension};
use egui::{Color32, Painter, Pos2, Rect, Role, Sense, Shape, Stroke, Ui, WidgetInfo, vec2};

/// Size of one view, units.
const VIEW: [f32; 2] = [100.0, 64.0];
/// Width of one view, em.
const VIEW_EM: f32 = 9.5;

type Points = &'static [[f32; 2]];

/// A hand seen from the side and from above.
struct Hand {
    /// Outline from the side, closed; its ends run out of the picture on the right.
    side: Points,
    /// Each finger from above: knuckle to tip.
    fingers: [Points; 5],
    /// The palm from above, closed.
    palm: Points,
    /// Where the hand touches, from the side.
    touches: Points,
}

/// The mouse from the side, buttons to the left.
const MOUSE_SIDE: Points = &[
    [18.0, 56.0],
    [18.0, 51.0],
    [22.0, 46.0],
    [32.0, 41.0],
    [45.0, 37.0],
    [57.0, 36.0],
    [67.0, 39.0],
    [75.0, 45.0],
    [78.0, 51.0],
    [78.0, 56.0],
];
/// The mouse from above, buttons to the left.
const MOUSE_ABOVE: Points = &[
    [16.0, 26.0],
    [20.0, 21.0],
    [32.0, 19.0],
    [50.0, 20.5],
    [66.0, 19.0],
    [75.0, 23.0],
    [78.0, 32.0],
    [75.0, 41.0],
    [66.0, 45.0],
    [50.0, 43.5],
    [32.0, 45.0],
    [20.0, 43.0],
    [16.0, 38.0],
];

/// The palm rests on the mouse, the fingers lie along it.
const PALM: Hand = Hand {
    side: &[
        [106.0, 46.0],
        [94.0, 37.0],
        [82.0, 30.0],
        [68.0, 26.0],
        [54.0, 26.0],
        [40.0, 30.0],
        [28.0, 36.0],
        [19.0, 43.0],
        [15.0, 48.0],
        [17.0, 50.0],
        [22.0, 46.0],
        [32.0, 41.0],
        [45.0, 37.0],
        [57.0, 36.0],
        [67.0, 39.0],
        [75.0, 45.0],
        [80.0, 51.0],
        [90.0, 55.0],
        [106.0, 60.0],
    ],
    fingers: [
        &[[66.0, 47.0], [50.0, 51.0], [36.0, 49.0]],
        &[[52.0, 39.0], [34.0, 38.0], [18.0, 37.5]],
        &[[52.0, 31.0], [32.0, 30.0], [14.0, 29.5]],
        &[[54.0, 23.0], [38.0, 20.0], [26.0, 17.5]],
        &[[60.0, 17.0], [48.0, 14.5], [38.0, 14.0]],
    ],
    palm: &[
        [48.0, 20.0],
        [60.0, 13.5],
        [80.0, 16.0],
        [106.0, 22.0],
        [106.0, 46.0],
        [82.0, 50.0],
        [64.0, 49.0],
        [48.0, 43.0],
    ],
    touches: &[[24.0, 44.0], [45.0, 36.5], [57.0, 35.5], [68.0, 39.0], [77.0, 47.0]],
};

/// The fingers are arched, the heel of the hand touches the rear.
const CLAW: Hand = Hand {
    side: &[
        [106.0, 44.0],
        [94.0, 36.0],
        [82.0, 27.0],
        [70.0, 19.0],
        [58.0, 15.0],
        [48.0, 17.0],
        [41.0, 24.0],
        [35.0, 33.0],
        [31.0, 40.0],
        [34.0, 42.0],
        [38.0, 39.0],
        [44.0, 31.0],
        [50.0, 25.0],
        [58.0, 24.0],
        [66.0, 29.0],
        [72.0, 37.0],
        [78.0, 46.0],
        [84.0, 52.0],
        [94.0, 56.0],
        [106.0, 60.0],
    ],
    fingers: [
        &[[74.0, 47.0], [60.0, 52.0], [46.0, 49.0]],
        &[[62.0, 39.0], [46.0, 39.0], [33.0, 37.5]],
        &[[62.0, 31.0], [44.0, 30.5], [29.0, 30.0]],
        &[[64.0, 24.0], [50.0, 20.0], [38.0, 17.5]],
        &[[68.0, 18.0], [57.0, 14.5], [48.0, 14.5]],
    ],
    palm: &[
        [59.0, 21.0],
        [68.0, 14.5],
        [86.0, 17.0],
        [106.0, 22.0],
        [106.0, 46.0],
        [88.0, 50.0],
        [73.0, 49.0],
        [59.0, 43.0],
    ],
    touches: &[[32.5, 41.0], [76.0, 45.5], [79.0, 49.0]],
};

/// Only the fingertips touch, the palm hangs behind the mouse.
const FINGERTIP: Hand = Hand {
    side: &[
        [106.0, 30.0],
        [94.0, 24.0],
        [82.0, 18.0],
        [70.0, 15.0],
        [58.0, 18.0],
        [50.0, 25.0],
        [44.0, 33.0],
        [41.0, 38.5],
        [44.0, 40.5],
        [49.0, 35.0],
        [56.0, 28.0],
        [64.0, 25.0],
        [74.0, 27.0],
        [84.0, 33.0],
        [94.0, 40.0],
        [106.0, 46.0],
    ],
    fingers: [
        &[[88.0, 47.0], [72.0, 51.0], [56.0, 47.5]],
        &[[80.0, 38.0], [60.0, 39.0], [41.0, 38.0]],
        &[[80.0, 31.0], [58.0, 30.5], [37.0, 30.0]],
        &[[82.0, 24.0], [66.0, 20.5], [48.0, 18.0]],
        &[[84.0, 18.0], [72.0, 14.5], [58.0, 15.5]],
    ],
    palm: &[
        [78.0, 20.0],
        [86.0, 14.0],
        [96.0, 17.0],
        [106.0, 21.0],
        [106.0, 45.0],
        [96.0, 49.0],
        [86.0, 48.0],
        [78.0, 42.0],
    ],
    touches: &[[42.5, 40.0]],
};

const fn hand(grip: Grip) -> &'static Hand {
    match grip {
        Grip::Palm => &PALM,
        Grip::Claw | Grip::Mixed | Grip::Other => &CLAW,
        Grip::Fingertip => &FINGERTIP,
    }
}

/// Draws a hold: side, above, and how firmly.
pub(super) fn show(ui: &mut Ui, grip: Grip, tension: Tension) {
    let em = look::em_of(ui);
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(em * 0.5, em * 0.3);
        view(ui, told::grip_side(grip), |sheet| side(sheet, hand(grip), tension));
        view(ui, told::grip_above(grip), |sheet| above(sheet, hand(grip), tension));
    });
}

/// One view with its name for the screen reader.
fn view(ui: &mut Ui, says: &str, draw: impl FnOnce(&Sheet)) {
    let em = look::em_of(ui);
    let width = VIEW_EM * em;
    let size = vec2(width, width * VIEW[1] / VIEW[0]);
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
    painter.rect_filled(rect, 0.0, look::WELL);
    draw(&Sheet { painter: &painter, rect });
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, says));
}

struct Sheet<'a> {
    painter: &'a Painter,
    rect: Rect,
}

/// What a hand is filled with: lighter than the page, darker than text.
const SKIN: Color32 = Color32::from_gray(84);
/// What a mouse is filled with.
const SHELL: Color32 = Color32::from_gray(48);

impl Sheet<'_> {
    fn unit(&self) -> f32 {
        self.rect.width() / VIEW[0]
    }

    fn at(&self, [x, y]: [f32; 2]) -> Pos2 {
        self.rect.min + vec2(x, y) * self.unit()
    }

    fn points(&self, points: &[[f32; 2]]) -> Vec<Pos2> {
        points.iter().map(|point| self.at(*point)).collect()
    }

    /// A closed shape with its outline.
    fn closed(&self, points: &[[f32; 2]], colour: Color32, line: Color32) {
        let points = self.points(points);
        self.painter.add(Shape::mesh(fill::mesh(&points, colour)));
        self.painter.add(Shape::closed_line(points, Stroke::new(1.5, line)));
    }

    /// A finger: a thick line with round ends and an outline.
    fn finger(&self, points: &[[f32; 2]]) {
        let points = self.points(points);
        for (width, colour) in [(6.6, TEXT), (5.4, SKIN)] {
            let width = width * self.unit();
            for end in &points {
                self.painter.circle_filled(*end, width / 2.0, colour);
            }
            self.painter.add(Shape::line(points.clone(), Stroke::new(width, colour)));
        }
    }

    /// A short arrow, its head at `to`.
    fn arrow(&self, from: [f32; 2], to: [f32; 2]) {
        let (from, to) = (self.at(from), self.at(to));
        let along = (to - from).normalized() * self.unit() * 3.4;
        let across = vec2(-along.y, along.x) * 0.6;
        let stroke = Stroke::new(2.0, look::pressure());
        self.painter.line_segment([from, to], stroke);
        let head = vec![to, to - along + across, to - along - across];
        self.painter.add(Shape::convex_polygon(head, look::pressure(), Stroke::NONE));
    }

    /// A bent arrow: fingers curling closer.
    fn curl(&self, points: [[f32; 2]; 3]) {
        let [a, b, c] = points;
        let stroke = Stroke::new(2.0, look::pressure());
        self.painter.add(Shape::line(self.points(&[a, b, c]), stroke));
        self.arrow(b, c);
    }
}

fn side(sheet: &Sheet, hand: &Hand, tension: Tension) {
    let desk = [[4.0, 57.0], [96.0, 57.0]].map(|point| sheet.at(point));
    sheet.painter.line_segment(desk, Stroke::new(1.0, LINE));
    sheet.closed(MOUSE_SIDE, SHELL, LINE);
    sheet.closed(hand.side, SKIN, TEXT);
    for touch in hand.touches {
        sheet.painter.circle_filled(sheet.at(*touch), sheet.unit() * 1.9, look::accent());
    }
    if tension == Tension::Shaped {
        let [x, y] = hand.touches[0];
        sheet.curl([[x - 18.0, y - 14.0], [x - 17.0, y - 4.0], [x - 8.0, y]]);
    }
}

fn above(sheet: &Sheet, hand: &Hand, tension: Tension) {
    sheet.closed(MOUSE_ABOVE, SHELL, LINE);
    let line = Stroke::new(1.0, LINE);
    sheet.painter.line_segment([[16.0, 32.0], [42.0, 32.0]].map(|p| sheet.at(p)), line);
    for finger in hand.fingers {
        sheet.finger(finger);
    }
    sheet.closed(hand.palm, SKIN, TEXT);
    let [thumb, .., little] = hand.fingers;
    let (Some(thumb), Some(little)) = (thumb.last(), little.last()) else { return };
    match tension {
        Tension::Firm => {
            for shift in [0.0, 7.0] {
                let x = thumb[0] + shift;
                sheet.arrow([x, thumb[1] + 13.5], [x, thumb[1] + 4.0]);
                let x = little[0] + shift;
                sheet.arrow([x, little[1] - 12.5], [x, little[1] - 4.0]);
            }
        }
        Tension::Shaped => {
            sheet.curl([
                [thumb[0] - 14.0, thumb[1] + 11.0],
                [thumb[0] - 6.0, thumb[1] + 11.0],
                [thumb[0] - 2.0, thumb[1] + 4.5],
            ]);
        }
        Tension::Light | Tension::Other => {}
    }
}

#[cfg(test)]
mod tests {
    use super::{CLAW, FINGERTIP, MOUSE_ABOVE, MOUSE_SIDE, PALM, VIEW};

    /// What tells the grips apart: where the hand lies on the mouse.
    #[test]
    fn each_grip_touches_where_its_name_says() {
        let rear = 78.0;
        let front_of_palm =
            |points: &[[f32; 2]]| points.iter().map(|[x, _]| *x).fold(f32::INFINITY, f32::min);
        assert!(front_of_palm(PALM.palm) < front_of_palm(CLAW.palm));
        assert!(front_of_palm(CLAW.palm) < rear);
        assert!(front_of_palm(FINGERTIP.palm) >= rear, "the palm is off the mouse");
        assert!(PALM.touches.len() > CLAW.touches.len());
        assert_eq!(FINGERTIP.touches.len(), 1);
    }

    #[test]
    fn every_point_but_the_arm_lies_in_the_picture() {
        for points in [MOUSE_SIDE, MOUSE_ABOVE, PALM.side, CLAW.side, FINGERTIP.side] {
            for [x, y] in points {
                assert!((0.0..=106.0).contains(x) && (0.0..=VIEW[1]).contains(y), "{x} {y}");
            }
        }
    }
}
