//! Paints a draw list as SVG: standing by itself, without script or outside reference.
//!
//! Letters are either text, which can be searched and read aloud, or outlines, which look the same
//! everywhere.

use super::draw::{Align, Colour, Drawing, Item, Point, Stroke, Text, Weight};
use super::letters::{Step, outline};
use std::fmt::Write;

/// How letters are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Letters {
    /// As text, in the reader's own fonts.
    Text,
    /// As outlines of the program's font.
    Outlines,
}

/// The drawing as an `<svg>` element.
pub fn paint(drawing: &Drawing, letters: Letters) -> String {
    let Drawing { width_px, height_px, paper, says, items } = drawing;
    let mut out = String::new();
    put(
        &mut out,
        format_args!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width_px} {height_px}\" \
         width=\"{width_px}\" height=\"{height_px}\" role=\"img\"><title>{}</title>\n",
            escape(says)
        ),
    );
    if let Some(paper) = paper {
        put(
            &mut out,
            format_args!(
                "<rect width=\"{width_px}\" height=\"{height_px}\"{}/>\n",
                fill(Some(*paper))
            ),
        );
    }
    for item in items {
        paint_item(&mut out, item, letters);
        out.push('\n');
    }
    out.push_str("</svg>\n");
    out
}

fn paint_item(out: &mut String, item: &Item, letters: Letters) {
    match item {
        Item::Slab { at, width_px, height_px, fill: inside } => put(
            out,
            format_args!(
                "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"{}/>",
                px(at.x),
                px(at.y),
                px(*width_px),
                px(*height_px),
                fill(Some(*inside))
            ),
        ),
        Item::Line { points, stroke: line } => put(
            out,
            format_args!(
                "<polyline points=\"{}\" fill=\"none\"{}/>",
                list(points),
                stroke(Some(line))
            ),
        ),
        Item::Closed { points, fill: inside, stroke: edge } => put(
            out,
            format_args!(
                "<polygon points=\"{}\"{}{}/>",
                list(points),
                fill(*inside),
                stroke(edge.as_ref())
            ),
        ),
        Item::Dot { at, radius_px, fill: inside, stroke: edge } => put(
            out,
            format_args!(
                "<circle cx=\"{}\" cy=\"{}\" r=\"{}\"{}{}/>",
                px(at.x),
                px(at.y),
                px(*radius_px),
                fill(*inside),
                stroke(edge.as_ref())
            ),
        ),
        Item::Text(text) => match letters {
            Letters::Text => paint_text(out, text),
            Letters::Outlines => paint_outlines(out, text),
        },
    }
}

fn paint_text(out: &mut String, text: &Text) {
    let anchor = match text.align {
        Align::Start => "start",
        Align::Middle => "middle",
        Align::End => "end",
    };
    let weight = match text.weight {
        Weight::Plain => "",
        Weight::Strong => " font-weight=\"600\"",
    };
    put(
        out,
        format_args!(
            "<text x=\"{}\" y=\"{}\" font-size=\"{}\" text-anchor=\"{anchor}\"{weight}{}>{}</text>",
            px(text.at.x),
            px(text.at.y),
            px(text.size_px),
            fill(Some(text.colour)),
            escape(&text.says)
        ),
    );
}

fn paint_outlines(out: &mut String, text: &Text) {
    let mut path = String::new();
    for step in outline(text) {
        match step {
            Step::Move(p) => put(&mut path, format_args!("M{} {}", px(p.x), px(p.y))),
            Step::Line(p) => put(&mut path, format_args!("L{} {}", px(p.x), px(p.y))),
            Step::Quad(c, p) => {
                put(&mut path, format_args!("Q{} {} {} {}", px(c.x), px(c.y), px(p.x), px(p.y)))
            }
            Step::Cubic(c, d, p) => put(
                &mut path,
                format_args!(
                    "C{} {} {} {} {} {}",
                    px(c.x),
                    px(c.y),
                    px(d.x),
                    px(d.y),
                    px(p.x),
                    px(p.y)
                ),
            ),
        }
    }
    let edge = match text.weight {
        Weight::Plain => None,
        Weight::Strong => Some(strong_edge(text)),
    };
    put(
        out,
        format_args!("<path d=\"{path}\"{}{}/>", fill(Some(text.colour)), stroke(edge.as_ref())),
    );
}

/// The edge that makes a light letter stronger.
pub(super) fn strong_edge(text: &Text) -> Stroke {
    /// Width of the edge for one px of size, by eye.
    const EDGE_SHARE: f64 = 0.04;
    Stroke { colour: text.colour, width_px: EDGE_SHARE * text.size_px, dash_px: None }
}

/// Text as it may stand in HTML and SVG, inside an element or a quoted attribute.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            other => out.push(other),
        }
    }
    out
}

fn put(out: &mut String, what: std::fmt::Arguments<'_>) {
    out.write_fmt(what).expect("writing to a String cannot fail");
}

/// A coordinate to a hundredth of a pixel, without needless zeros.
fn px(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

fn list(points: &[Point]) -> String {
    let pairs: Vec<String> = points.iter().map(|p| format!("{},{}", px(p.x), px(p.y))).collect();
    pairs.join(" ")
}

fn hex(colour: Colour) -> String {
    format!("#{:02x}{:02x}{:02x}", colour.r, colour.g, colour.b)
}

fn fill(colour: Option<Colour>) -> String {
    match colour {
        None => " fill=\"none\"".to_owned(),
        Some(colour) if colour.a == 255 => format!(" fill=\"{}\"", hex(colour)),
        Some(colour) => {
            format!(
                " fill=\"{}\" fill-opacity=\"{}\"",
                hex(colour),
                px(f64::from(colour.a) / 255.0)
            )
        }
    }
}

fn stroke(stroke: Option<&Stroke>) -> String {
    let Some(Stroke { colour, width_px, dash_px }) = stroke else { return String::new() };
    let mut text = format!(
        " stroke=\"{}\" stroke-width=\"{}\" stroke-linejoin=\"round\"",
        hex(*colour),
        px(*width_px)
    );
    if colour.a < 255 {
        put(&mut text, format_args!(" stroke-opacity=\"{}\"", px(f64::from(colour.a) / 255.0)));
    }
    if let Some(dash) = dash_px {
        put(&mut text, format_args!(" stroke-dasharray=\"{}\"", px(*dash)));
    }
    text
}
