//! The words on the field, drawn once into a strip of grey at the start: one row a notice.
//!
//! Pure: outlines in, coverage out. Nothing is laid out during a block; the renderer copies the
//! row that a scene names.

use ab_glyph::{Font, FontRef, PxScale, ScaleFont, point};

use super::DisplayError;
use crate::scene::Notice;
use crate::words;

/// Every notice, in the order of its row.
const ROWS: [Notice; 7] = [
    Notice::Early,
    Notice::Wrong,
    Notice::Missed,
    Notice::EmptyWaitPassed,
    Notice::RightlyLeft,
    Notice::Again,
    Notice::Measuring,
];

/// All notices as coverage, 0 to 255.
#[derive(Debug)]
pub(super) struct Strip {
    /// Width of every row, px.
    pub(super) width_px: u32,
    /// Height of one row, px.
    pub(super) row_px: u32,
    /// Used width of each row, px.
    pub(super) used_px: [u32; ROWS.len()],
    /// Coverage, row by row, `width_px` bytes a line.
    pub(super) coverage: Vec<u8>,
}

/// The row of a notice.
pub(super) const fn row(notice: Notice) -> u32 {
    match notice {
        Notice::Early => 0,
        Notice::Wrong => 1,
        Notice::Missed => 2,
        Notice::EmptyWaitPassed => 3,
        Notice::RightlyLeft => 4,
        Notice::Again => 5,
        Notice::Measuring => 6,
    }
}

/// Draws every notice with letters of `height_px`.
///
/// # Errors
/// [`DisplayError::NoFont`] when the built-in font is damaged.
pub(super) fn strip(height_px: f32) -> Result<Strip, DisplayError> {
    let font = FontRef::try_from_slice(epaint_default_fonts::UBUNTU_LIGHT)
        .map_err(|source| DisplayError::NoFont { source })?;
    let font = font.as_scaled(PxScale::from(height_px));
    let row_px = ceil_px(font.height()) + 2;
    let used_px = ROWS.map(|notice| ceil_px(width(&font, words::notice(notice))) + 2);
    let width_px = used_px.iter().copied().max().unwrap_or(1);
    let mut coverage = vec![0u8; (width_px * row_px) as usize * ROWS.len()];
    for notice in ROWS {
        let top_px = row(notice) * row_px;
        let mut pen = point(1.0, font.ascent().round() + 1.0);
        let mut before = None;
        for letter in words::notice(notice).chars() {
            let id = font.glyph_id(letter);
            pen.x += before.map_or(0.0, |before| font.kern(before, id));
            before = Some(id);
            let glyph = id.with_scale_and_position(font.scale(), pen);
            pen.x += font.h_advance(id);
            let Some(outline) = font.outline_glyph(glyph) else { continue };
            let bounds = outline.px_bounds();
            outline.draw(|x, y, share| {
                let x_px = i64::from(x) + floor_px(bounds.min.x);
                let y_px = i64::from(y) + floor_px(bounds.min.y);
                let inside = (0..i64::from(width_px)).contains(&x_px)
                    && (0..i64::from(row_px)).contains(&y_px);
                if inside {
                    let line = i64::from(top_px) + y_px;
                    let index = usize::try_from(line * i64::from(width_px) + x_px)
                        .expect("inside the strip, so not negative");
                    coverage[index] = coverage[index].max(byte(share));
                }
            });
        }
    }
    Ok(Strip { width_px, row_px, used_px, coverage })
}

fn width<F: Font>(font: &ab_glyph::PxScaleFont<F>, text: &str) -> f32 {
    let mut before = None;
    text.chars()
        .map(|letter| {
            let id = font.glyph_id(letter);
            let kern = before.map_or(0.0, |before| font.kern(before, id));
            before = Some(id);
            kern + font.h_advance(id)
        })
        .sum()
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "saturates")]
fn ceil_px(x: f32) -> u32 {
    x.ceil() as u32
}

#[expect(clippy::cast_possible_truncation, reason = "saturates")]
fn floor_px(x: f32) -> i64 {
    x.floor() as i64
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "saturates")]
fn byte(share: f32) -> u8 {
    (share * 255.0).round() as u8
}
