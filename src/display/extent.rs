//! Where a picture's news is: the box of the pixels that a new stimulus changes.
//!
//! Pure geometry of marks; the shader draws the same shapes. A target that is new counts before
//! all else, then any other new mark. Edges are true to a pixel.

use super::SizePx;
use crate::scene::{Mark, Place, Scene, Side};

/// How far the slot of a target's notch reaches to both sides, in half sizes (as in the shader).
const SLOT: f64 = 0.17;

/// A box on the canvas, px from its upper left corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Extent {
    /// Left edge.
    pub(super) left: f64,
    /// Upper edge.
    pub(super) top: f64,
    /// Right edge.
    pub(super) right: f64,
    /// Lower edge.
    pub(super) bottom: f64,
}

impl Extent {
    /// A box of no size, where its place does not matter.
    pub(super) const NOWHERE: Extent = Extent { left: 0.0, top: 0.0, right: 0.0, bottom: 0.0 };

    fn around(at: Place, half: [f64; 2]) -> Extent {
        Extent {
            left: at.x_px - half[0],
            top: at.y_px - half[1],
            right: at.x_px + half[0],
            bottom: at.y_px + half[1],
        }
    }

    /// What of it lies on the canvas.
    fn on(self, size: SizePx) -> Option<Extent> {
        let [width, height] = [f64::from(size.width), f64::from(size.height)];
        let cut = Extent {
            left: self.left.max(0.0),
            top: self.top.max(0.0),
            right: self.right.min(width),
            bottom: self.bottom.min(height),
        };
        (cut.left < cut.right && cut.top < cut.bottom).then_some(cut)
    }

    fn with(self, other: Extent) -> Extent {
        Extent {
            left: self.left.min(other.left),
            top: self.top.min(other.top),
            right: self.right.max(other.right),
            bottom: self.bottom.max(other.bottom),
        }
    }
}

/// The box of what `now` shows and `before` did not; `None` where it shows no new mark.
pub(super) fn of_news(before: &Scene, now: &Scene, size: SizePx) -> Option<Extent> {
    let news = || {
        now.marks.iter().enumerate().filter(|(_, mark)| before.marks.iter().all(|old| old != *mark))
    };
    let visible = |(index, mark): (usize, &Mark)| {
        let mut covers = now.marks.iter().skip(index + 1).filter_map(|later| match *later {
            Mark::Cover { at, width_px, height_px } => {
                Some(Extent::around(at, [width_px / 2.0, height_px / 2.0]))
            }
            Mark::Wait { .. }
            | Mark::Target { .. }
            | Mark::Chevron { .. }
            | Mark::Strip { .. }
            | Mark::Tile { .. } => None,
        });
        covers.try_fold(of_mark(mark), |seen, cover| less(seen, cover, mark))?.on(size)
    };
    let boxes = |target: bool| {
        news()
            .filter(|(_, mark)| matches!(mark, Mark::Target { .. }) == target)
            .filter_map(visible)
            .reduce(Extent::with)
    };
    boxes(true).or_else(|| boxes(false))
}

/// The box of a whole mark.
fn of_mark(mark: &Mark) -> Extent {
    match *mark {
        Mark::Target { at, size_px, notch, .. } => lozenge(at, size_px / 2.0, notch),
        Mark::Wait { at, size_px } => {
            // The ticks on the diagonals reach as far out as the shader's, per axis.
            let half = size_px / 2.0 * (1.0 + 0.44 / std::f64::consts::SQRT_2);
            Extent::around(at, [half, half])
        }
        Mark::Chevron { at, size_px } => Extent {
            left: at.x_px - 0.6 * size_px,
            top: at.y_px,
            right: at.x_px + 0.6 * size_px,
            bottom: at.y_px + size_px,
        },
        Mark::Cover { at, width_px, height_px } => {
            Extent::around(at, [width_px / 2.0, height_px / 2.0])
        }
        // One square beside the number at each end.
        Mark::Strip { at, cell_px, cells, .. } => {
            Extent::around(at, [cell_px * (f64::from(cells) + 2.0) / 2.0, cell_px / 2.0])
        }
        Mark::Tile { at, size_px, .. } => Extent::around(at, [size_px / 2.0; 2]),
    }
}

/// A lozenge; the notch takes its tip.
fn lozenge(at: Place, half: f64, notch: Side) -> Extent {
    let tip = |side| if side == notch { half * (1.0 - SLOT) } else { half };
    Extent {
        left: at.x_px - tip(Side::Left),
        top: at.y_px - tip(Side::Up),
        right: at.x_px + tip(Side::Right),
        bottom: at.y_px + tip(Side::Down),
    }
}

/// What a cover leaves of a mark that it hides over its whole height, on the larger side.
fn less(seen: Extent, cover: Extent, mark: &Mark) -> Option<Extent> {
    if cover.top > seen.top || cover.bottom < seen.bottom {
        return Some(seen);
    }
    let left = Extent { right: seen.right.min(cover.left), ..seen };
    let right = Extent { left: seen.left.max(cover.right), ..seen };
    let wider = if left.right - left.left > right.right - right.left { left } else { right };
    if wider.left >= wider.right {
        return None;
    }
    let Mark::Target { at, size_px, .. } = *mark else { return Some(wider) };
    // A lozenge is as high as its distance from the tips leaves: |x| + |y| is half its size.
    let aside = (wider.left - at.x_px).max(at.x_px - wider.right).max(0.0);
    let high = size_px / 2.0 - aside;
    Some(Extent {
        top: seen.top.max(at.y_px - high),
        bottom: seen.bottom.min(at.y_px + high),
        ..wider
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::{Marks, SceneId};

    const SIZE: SizePx = SizePx { width: 1000, height: 600 };
    const AT: Place = Place { x_px: 500.0, y_px: 300.0 };

    fn scene(marks: &[Mark]) -> Scene {
        Scene { marks: Marks::of(marks), ..Scene::empty(SceneId(0)) }
    }

    fn target(at: Place, notch: Side) -> Mark {
        Mark::Target { at, size_px: 100.0, notch, contrast_share: 1.0 }
    }

    fn extent(left: f64, top: f64, right: f64, bottom: f64) -> Option<Extent> {
        Some(Extent { left, top, right, bottom })
    }

    #[test]
    fn only_what_is_new_counts_and_the_target_before_all() {
        let wait = Mark::Wait { at: AT, size_px: 150.0 };
        let before = scene(&[wait]);
        let now = scene(&[wait, target(AT, Side::Down)]);
        // The notch takes 17 % of the half on its side.
        assert_eq!(of_news(&before, &now, SIZE), extent(450.0, 250.0, 550.0, 341.5));
        assert_eq!(of_news(&now, &now, SIZE), None);
        assert_eq!(of_news(&now, &before, SIZE), None);
        let chevron = Mark::Chevron { at: Place { x_px: 10.0, y_px: 5.0 }, size_px: 20.0 };
        let both = scene(&[chevron, target(AT, Side::Down)]);
        assert_eq!(of_news(&before, &both, SIZE), extent(450.0, 250.0, 550.0, 341.5));
        assert_eq!(of_news(&before, &scene(&[chevron]), SIZE), extent(0.0, 5.0, 22.0, 25.0));
    }

    #[test]
    fn a_target_behind_a_cover_shows_its_tip_and_off_the_canvas_nothing() {
        let cover = Mark::Cover { at: AT, width_px: 160.0, height_px: 400.0 };
        let before = scene(&[cover]);
        // Its right corner stands 10 px out: the tip is 10 px high to each side of its middle.
        let out = Place { x_px: 540.0, y_px: 300.0 };
        let now = scene(&[target(out, Side::Up), cover]);
        assert_eq!(of_news(&before, &now, SIZE), extent(580.0, 290.0, 590.0, 310.0));
        let inside = scene(&[target(AT, Side::Up), cover]);
        assert_eq!(of_news(&before, &inside, SIZE), None);
        let away = scene(&[target(Place { x_px: -60.0, y_px: 300.0 }, Side::Up)]);
        assert_eq!(of_news(&scene(&[]), &away, SIZE), None);
        // Over a cover, not under it: the whole of it is seen.
        let over = scene(&[cover, target(AT, Side::Up)]);
        assert_eq!(of_news(&before, &over, SIZE), extent(450.0, 258.5, 550.0, 350.0));
    }
}
