//! A picture to show an audience: the sentence, the presses and the blocks, a line on the rig.
//!
//! No name unless asked, and what is simulated is marked. One layout for both shapes of screen.

use super::plot::letters::{width, wrap};
use super::plot::spread::{Blocks, Frame, Names, draw_in};
use super::plot::{Colour, Drawing, INK, Item, MUTED, PAPER, at};
use super::plot::{Type, png, svg};
use super::{Findings, FindingsError, elsewhere, sentence};
use crate::protocol::Measure;
use crate::words::findings as words;

/// The shape of a picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PictureShape {
    /// 1920 x 1080.
    Wide,
    /// 1080 x 1920.
    Tall,
}

impl PictureShape {
    /// Both.
    pub const ALL: [PictureShape; 2] = [PictureShape::Wide, PictureShape::Tall];

    /// Its name in file names.
    pub const fn name(self) -> &'static str {
        match self {
            PictureShape::Wide => "wide",
            PictureShape::Tall => "tall",
        }
    }

    /// Its file among the findings.
    pub fn file_name(self, ending: &str) -> String {
        format!("picture-{}.{ending}", self.name())
    }
}

/// Whose name stands on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Naming<'a> {
    /// Nobody's.
    Nobody,
    /// This one, because it was asked for.
    Player(&'a str),
}

/// Orange, for the mark of simulated presses.
const MARK: Colour = Colour::of(0x009A_3E00);

/// The picture as a draw list.
pub fn draw(findings: &Findings, shape: PictureShape, naming: Naming) -> Drawing {
    let (width_px, height_px) = match shape {
        PictureShape::Wide => (1920, 1080),
        PictureShape::Tall => (1080, 1920),
    };
    let headline = sentence::headline(findings);
    let says = if findings.simulated() {
        format!("{} {headline}", words::SIMULATED)
    } else {
        headline.clone()
    };
    let mut drawing = Drawing::new(width_px, height_px, says);
    drawing.paper = Some(PAPER);
    let margin = 96.0;
    let right = f64::from(width_px) - margin;
    let mut y = 92.0;
    let small = Type::plain(27.0, MUTED);
    let about = match naming {
        Naming::Nobody => findings.protocol().title.clone(),
        Naming::Player(name) => format!("{} \u{b7} {name}", findings.protocol().title),
    };
    for line in wrap(&about, small.size_px, right - margin) {
        drawing.text(at(margin, y), line, &small);
        y += 38.0;
    }
    if findings.simulated() {
        y = simulated_mark(&mut drawing, margin, y, right - margin);
    }
    y += 34.0;
    let size = headline_size(&headline, right - margin, shape);
    for line in wrap(&headline, size, right - margin) {
        y += size;
        drawing.text(at(margin, y), line, &Type::plain(size, INK).strong());
        y += 0.28 * size;
    }
    let foot = foot(&mut drawing, findings, margin, right);
    let frame = Frame {
        left_px: margin,
        right_px: right,
        top_px: y + 58.0,
        foot_px: foot - 120.0,
        letters_px: 26.0,
        dot_px: 8.0,
        blocks: Blocks::Shown,
        names: match shape {
            PictureShape::Wide => Names::Beside,
            PictureShape::Tall => Names::Above,
        },
    };
    draw_in(&mut drawing, findings, &frame);
    drawing
}

/// The largest size at which the sentence keeps to its lines.
fn headline_size(headline: &str, width_px: f64, shape: PictureShape) -> f64 {
    let (largest, most_lines) = match shape {
        PictureShape::Wide => (68.0, 3),
        PictureShape::Tall => (66.0, 6),
    };
    let mut size = largest;
    while size > 30.0 && wrap(headline, size, width_px).len() > most_lines {
        size -= 2.0;
    }
    size
}

fn simulated_mark(drawing: &mut Drawing, left: f64, y: f64, width_px: f64) -> f64 {
    let size = 27.0;
    let mut y = y + 14.0;
    for line in wrap(words::SIMULATED, size, width_px - 40.0) {
        let fill = MARK;
        let width_px = width(&line, size) + 40.0;
        drawing.items.push(Item::Slab { at: at(left, y - 8.0), width_px, height_px: 46.0, fill });
        drawing.text(at(left + 20.0, y + 24.0), line, &Type::plain(size, PAPER).strong());
        y += 46.0;
    }
    y + 20.0
}

/// What the marks mean and the line on the rig, at the lower edge; its upper edge comes back.
fn foot(drawing: &mut Drawing, findings: &Findings, left: f64, right: f64) -> f64 {
    let size = 23.0;
    let measure = match findings.protocol().analysis.measure {
        _ if elsewhere::facts(&findings.sessions).is_some() => "answer",
        Measure::Click => "press",
        Measure::Onset => "start of a movement",
        Measure::TapInterval => "run of taps",
        Measure::TrackError => "run of following",
        Measure::Stillness => "run of keeping still",
    };
    let key = format!(
        "Each pale dot is one {measure}; each solid mark below is one block's typical time; the \
         upright line is the hold's typical time (middle 60 %)."
    );
    let mut lines = wrap(&key, size, right - left);
    lines.extend(wrap(&rig_line(findings), size, right - left));
    let top = f64::from(drawing.height_px) - 70.0 - 34.0 * (lines.len() - 1) as f64;
    for (row, line) in lines.iter().enumerate() {
        drawing.text(at(left, top + 34.0 * row as f64), line.clone(), &Type::plain(size, MUTED));
    }
    top - size
}

/// One line on the rig.
pub fn rig_line(findings: &Findings) -> String {
    let presses: usize = findings.holds.iter().map(|hold| hold.trials - hold.excluded).sum();
    let blocks = findings.used().count();
    let sessions = findings.sessions.len();
    let counted = format!(
        "{presses} trials in {blocks} blocks, {sessions} session{}",
        if sessions == 1 { "" } else { "s" }
    );
    let trials = || findings.sessions.iter().flat_map(|session| &session.trials);
    let sds: Vec<f64> = trials().filter_map(|trial| trial.rt_sd_ms).collect();
    let shown = trials().find_map(|trial| trial.shown_source);
    let pressed = trials().find_map(|trial| trial.press_source);
    let sd = crate::analysis::describe::median(&sds);
    let vsync = findings.sessions.iter().find_map(|session| session.rig.vsync_judged.clone());
    let mut parts = vec![counted];
    if let (Some(shown), Some(pressed)) = (shown, pressed) {
        let plain = |name: &str| name.replace('_', " ");
        parts.push(format!("onset by {}, press by {}", plain(shown.name()), plain(pressed.name())));
    }
    if let Some(sd) = sd {
        parts.push(format!("a single time known to {sd:.1} ms"));
    }
    if let Some(vsync) = vsync {
        parts.push(format!("vsync {}", vsync.replace('_', " ")));
    }
    parts.push("tautline".to_owned());
    parts.join(" \u{b7} ")
}

/// The picture as an SVG file, letters as outlines so that it looks the same everywhere.
pub fn as_svg(findings: &Findings, shape: PictureShape, naming: Naming) -> String {
    svg::paint(&draw(findings, shape, naming), svg::Letters::Outlines)
}

/// The picture as a PNG file.
///
/// # Errors
/// [`FindingsError::Picture`] where it cannot be painted.
pub fn as_png(
    findings: &Findings,
    shape: PictureShape,
    naming: Naming,
) -> Result<Vec<u8>, FindingsError> {
    png::paint(&draw(findings, shape, naming))
}
