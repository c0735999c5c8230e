//! Paints a draw list as a PNG.
//!
//! The same list as the other painters, so that a picture is the same everywhere.

use super::draw::{Colour, Drawing, Item, Point, Stroke, Text, Weight};
use super::letters::{Step, outline};
use super::svg::strong_edge;
use crate::findings::FindingsError;
use tiny_skia::{
    Color, FillRule, LineCap, LineJoin, Paint, Path, PathBuilder, Pixmap, StrokeDash, Transform,
};

/// The drawing as the bytes of a PNG file.
///
/// # Errors
/// [`FindingsError::Picture`] where the memory or the size does not allow it.
pub fn paint(drawing: &Drawing) -> Result<Vec<u8>, FindingsError> {
    let failed = |reason: String| FindingsError::Picture {
        width_px: drawing.width_px,
        height_px: drawing.height_px,
        reason,
    };
    let mut canvas = Pixmap::new(drawing.width_px, drawing.height_px)
        .ok_or_else(|| failed("no room for so many pixels".to_owned()))?;
    if let Some(Colour { r, g, b, a }) = drawing.paper {
        canvas.fill(Color::from_rgba8(r, g, b, a));
    }
    for item in &drawing.items {
        paint_item(&mut canvas, item);
    }
    packed(&canvas).map_err(|error| failed(error.to_string()))
}

/// The quick packing: a plot is flat, so the slow one saves little for most of the time.
fn packed(canvas: &Pixmap) -> Result<Vec<u8>, png::EncodingError> {
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, canvas.width(), canvas.height());
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_compression(png::Compression::Fast);
    if canvas.pixels().iter().all(|pixel| pixel.is_opaque()) {
        encoder.set_color(png::ColorType::Rgb);
        let pixels = canvas.data().chunks_exact(4).flat_map(|rgba| [rgba[0], rgba[1], rgba[2]]);
        encoder.write_header()?.write_image_data(&pixels.collect::<Vec<u8>>())?;
    } else {
        encoder.set_color(png::ColorType::Rgba);
        let pixels = canvas.pixels().iter().map(|pixel| pixel.demultiply());
        let pixels =
            pixels.flat_map(|pixel| [pixel.red(), pixel.green(), pixel.blue(), pixel.alpha()]);
        encoder.write_header()?.write_image_data(&pixels.collect::<Vec<u8>>())?;
    }
    Ok(file)
}

fn paint_item(canvas: &mut Pixmap, item: &Item) {
    match item {
        Item::Slab { at, width_px, height_px, fill } => {
            let corners = [
                *at,
                Point { x: at.x + width_px, ..*at },
                Point { x: at.x + width_px, y: at.y + height_px },
                Point { y: at.y + height_px, ..*at },
            ];
            paint_path(canvas, through(&corners, Ends::Joined), Some(*fill), None);
        }
        Item::Line { points, stroke } => {
            paint_path(canvas, through(points, Ends::Free), None, Some(stroke));
        }
        Item::Closed { points, fill, stroke } => {
            paint_path(canvas, through(points, Ends::Joined), *fill, stroke.as_ref());
        }
        Item::Dot { at, radius_px, fill, stroke } => {
            let path = PathBuilder::from_circle(px(at.x), px(at.y), px(*radius_px));
            paint_path(canvas, path, *fill, stroke.as_ref());
        }
        Item::Text(text) => paint_text(canvas, text),
    }
}

fn paint_text(canvas: &mut Pixmap, text: &Text) {
    let mut path = PathBuilder::new();
    for step in outline(text) {
        match step {
            Step::Move(p) => path.move_to(px(p.x), px(p.y)),
            Step::Line(p) => path.line_to(px(p.x), px(p.y)),
            Step::Quad(c, p) => path.quad_to(px(c.x), px(c.y), px(p.x), px(p.y)),
            Step::Cubic(c, d, p) => {
                path.cubic_to(px(c.x), px(c.y), px(d.x), px(d.y), px(p.x), px(p.y));
            }
        }
    }
    let edge = match text.weight {
        Weight::Plain => None,
        Weight::Strong => Some(strong_edge(text)),
    };
    paint_path(canvas, path.finish(), Some(text.colour), edge.as_ref());
}

/// Whether a line's ends are joined.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Ends {
    Free,
    Joined,
}

fn through(points: &[Point], ends: Ends) -> Option<Path> {
    let mut path = PathBuilder::new();
    for (index, point) in points.iter().enumerate() {
        if index == 0 {
            path.move_to(px(point.x), px(point.y));
        } else {
            path.line_to(px(point.x), px(point.y));
        }
    }
    if ends == Ends::Joined {
        path.close();
    }
    path.finish()
}

/// An empty path (a space, a line of no length) paints nothing.
fn paint_path(
    canvas: &mut Pixmap,
    path: Option<Path>,
    fill: Option<Colour>,
    edge: Option<&Stroke>,
) {
    let Some(path) = path else { return };
    if let Some(colour) = fill {
        let rule = FillRule::Winding;
        canvas.fill_path(&path, &ink(colour), rule, Transform::identity(), None);
    }
    if let Some(Stroke { colour, width_px, dash_px }) = edge {
        let stroke = tiny_skia::Stroke {
            width: px(*width_px),
            line_cap: LineCap::Butt,
            line_join: LineJoin::Round,
            dash: dash_px.and_then(|dash| StrokeDash::new(vec![px(dash), px(dash)], 0.0)),
            ..tiny_skia::Stroke::default()
        };
        canvas.stroke_path(&path, &ink(*colour), &stroke, Transform::identity(), None);
    }
}

fn ink(colour: Colour) -> Paint<'static> {
    let mut paint = Paint { anti_alias: true, ..Paint::default() };
    paint.set_color_rgba8(colour.r, colour.g, colour.b, colour.a);
    paint
}

#[expect(clippy::cast_possible_truncation, reason = "a pixel needs no more digits than f32 has")]
fn px(value: f64) -> f32 {
    value as f32
}
