//! The few widgets that the pages outside a session are made of. Each is reached by Tab, named for
//! a screen reader, and scrolled into view when it gets the focus.

use super::super::look::{self, LINE, PAGE, PANEL, RAISED, RING, SIDE_TEXT, TEXT};
use egui::{
    Button, Response, RichText, Role, Sense, Slider, Stroke, StrokeKind, TextEdit, TextStyle, Ui,
    WidgetInfo, vec2,
};
use std::ops::RangeInclusive;

/// Brings a widget into view when it gets the focus.
fn in_view(response: Response) -> Response {
    if response.gained_focus() {
        response.scroll_to_me(None);
        // The column moves in the frame after.
        response.ctx.request_repaint();
    }
    response
}

/// A plain button.
pub(super) fn button(ui: &mut Ui, label: &str) -> Response {
    in_view(ui.add(Button::new(label)))
}

/// A plain button that may be shut.
pub(super) fn button_if(ui: &mut Ui, open: bool, label: &str) -> Response {
    in_view(ui.add_enabled(open, Button::new(label)))
}

/// A small button without weight, for the head of a page.
pub(super) fn quiet(ui: &mut Ui, label: &str) -> Response {
    let text = RichText::new(label).text_style(TextStyle::Small);
    let response = in_view(ui.add(Button::new(text).fill(PAGE).stroke(Stroke::NONE)));
    if response.has_focus() {
        let ring = Stroke::new(2.0, RING);
        ui.painter().rect_stroke(response.rect, 0.0, ring, StrokeKind::Inside);
    }
    response
}

/// The one button that goes on.
pub(super) fn primary(ui: &mut Ui, label: &str, open: bool) -> Response {
    let text = RichText::new(label).color(if open { RING } else { SIDE_TEXT });
    let fill = if open { look::accent() } else { PAGE };
    in_view(ui.add_enabled(open, Button::new(text).fill(fill)))
}

/// A card that is chosen: a heading and lines below it. Chosen is a bar, a ring and a word to the
/// screen reader, never a colour alone.
pub(super) fn card(ui: &mut Ui, chosen: bool, heading: &str, below: &[&str]) -> Response {
    let em = look::em_of(ui);
    let width = ui.available_width();
    let inner = width - em * 2.6;
    let head =
        ui.painter().layout(heading.to_owned(), TextStyle::Button.resolve(ui.style()), TEXT, inner);
    let small = TextStyle::Small.resolve(ui.style());
    let lines: Vec<_> = below
        .iter()
        .filter(|line| !line.is_empty())
        .map(|line| ui.painter().layout((*line).to_owned(), small.clone(), SIDE_TEXT, inner))
        .collect();
    let text_height = lines.iter().fold(head.size().y, |sum, line| sum + line.size().y + em * 0.15);
    let (rect, response) =
        ui.allocate_exact_size(vec2(width, text_height + em * 1.2), Sense::click());
    let painter = ui.painter();
    let fill = match (chosen, response.hovered()) {
        (_, true) => RAISED,
        (true, false) => PANEL,
        (false, false) => PAGE,
    };
    let stroke = if response.has_focus() { Stroke::new(2.0, RING) } else { Stroke::new(1.0, LINE) };
    painter.rect(rect, 0.0, fill, stroke, StrokeKind::Inside);
    let dot = egui::pos2(rect.left() + em * 1.1, rect.top() + em * 0.6 + head.size().y / 2.0);
    painter.circle_stroke(dot, em * 0.4, Stroke::new(1.5, TEXT));
    if chosen {
        painter.circle_filled(dot, em * 0.22, TEXT);
        let mut bar = rect;
        bar.set_width(em * 0.25);
        painter.rect_filled(bar, 0.0, look::accent());
    }
    let mut at = egui::pos2(rect.left() + em * 2.1, rect.top() + em * 0.6);
    let step = head.size().y + em * 0.15;
    painter.galley(at, head, TEXT);
    at.y += step;
    for line in lines {
        let step = line.size().y + em * 0.15;
        painter.galley(at, line, SIDE_TEXT);
        at.y += step;
    }
    response.widget_info(|| WidgetInfo::selected(Role::RadioButton, true, chosen, heading));
    let said = below.join(" ");
    ui.ctx().accesskit_node_builder(response.id, |node| node.set_description(said));
    in_view(response)
}

/// A row of cells of which one is taken; true when another one was.
pub(super) fn cells<T: PartialEq + Copy>(
    ui: &mut Ui,
    label: &str,
    choices: &[(T, &str)],
    taken: &mut T,
) -> bool {
    let em = look::em_of(ui);
    let mut changed = false;
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(em * 0.3, em * 0.3);
        if !label.is_empty() {
            let text = RichText::new(label).text_style(TextStyle::Small).color(SIDE_TEXT);
            ui.label(text);
        }
        for (value, name) in choices {
            let chosen = value == taken;
            let mark = if chosen { format!("\u{2022} {name}") } else { (*name).to_owned() };
            let text = RichText::new(mark).color(if chosen { RING } else { TEXT });
            let mut cell = Button::new(text);
            if chosen {
                cell = cell.fill(look::accent());
            }
            let response = in_view(ui.add(cell));
            response.widget_info(|| {
                WidgetInfo::selected(Role::RadioButton, true, chosen, format!("{label} {name}"))
            });
            if response.clicked() && !chosen {
                *taken = *value;
                changed = true;
            }
        }
    });
    changed
}

/// A line to type in, below its label.
pub(super) fn field(ui: &mut Ui, label: &str, text: &mut String, hint: &str) -> Response {
    let width = ui.available_width().min(look::em_of(ui) * 30.0);
    field_of(ui, label, text, hint, width)
}

/// The same for a whole sentence: as wide as the column.
pub(super) fn wide_field(ui: &mut Ui, label: &str, text: &mut String) -> Response {
    let width = ui.available_width();
    field_of(ui, label, text, "", width)
}

fn field_of(ui: &mut Ui, label: &str, text: &mut String, hint: &str, width: f32) -> Response {
    let em = look::em_of(ui);
    let label = ui.label(RichText::new(label).text_style(TextStyle::Small).color(SIDE_TEXT));
    let edit = TextEdit::singleline(text).desired_width(width).hint_text(hint);
    in_view(ui.add(edit.margin(vec2(em * 0.6, em * 0.4))).labelled_by(label.id))
}

/// Several lines to type in, below their label.
pub(super) fn lines(ui: &mut Ui, label: &str, text: &mut String, rows: usize) -> Response {
    let em = look::em_of(ui);
    let label = ui.label(RichText::new(label).text_style(TextStyle::Small).color(SIDE_TEXT));
    let edit = TextEdit::multiline(text).desired_rows(rows).desired_width(ui.available_width());
    in_view(ui.add(edit.margin(vec2(em * 0.6, em * 0.4))).labelled_by(label.id))
}

/// A slider over whole numbers with its label; true when it was moved.
pub(super) fn slider(
    ui: &mut Ui,
    label: &str,
    value: &mut usize,
    range: RangeInclusive<usize>,
    step: usize,
) -> bool {
    let label = ui.label(RichText::new(label).text_style(TextStyle::Small).color(SIDE_TEXT));
    #[expect(clippy::cast_precision_loss, reason = "a handful of steps")]
    let slider = Slider::new(value, range).step_by(step as f64);
    in_view(ui.add(slider).labelled_by(label.id)).changed()
}

/// A box to tick: empty, or with a tick in it.
pub(super) fn tick(ui: &mut Ui, label: &str, on: &mut bool) -> bool {
    let em = look::em_of(ui);
    let side = em * 1.2;
    let width = ui.available_width() - side - em * 0.6;
    let font = TextStyle::Body.resolve(ui.style());
    let text = ui.painter().layout(label.to_owned(), font, TEXT, width);
    let size = vec2(side + em * 0.6 + text.size().x, text.size().y.max(side) + em * 0.3);
    let (rect, mut response) = ui.allocate_exact_size(size, Sense::click());
    if response.clicked() {
        *on = !*on;
        response.mark_changed();
    }
    let at = egui::pos2(rect.left(), rect.center().y - side / 2.0);
    let square = egui::Rect::from_min_size(at, vec2(side, side));
    let line = if response.has_focus() { Stroke::new(2.0, RING) } else { Stroke::new(1.5, TEXT) };
    let painter = ui.painter();
    painter.rect(square, 0.0, PAGE, line, StrokeKind::Inside);
    if *on {
        let place = |x: f32, y: f32| square.min + vec2(x, y) * side;
        let points = vec![place(0.22, 0.52), place(0.42, 0.74), place(0.8, 0.26)];
        painter.add(egui::Shape::line(points, Stroke::new(em * 0.16, RING)));
    }
    let middle = egui::pos2(square.right() + em * 0.6, rect.center().y - text.size().y / 2.0);
    painter.galley(middle, text, TEXT);
    let is_on = *on;
    response.widget_info(|| WidgetInfo::selected(Role::CheckBox, true, is_on, label));
    in_view(response).changed()
}
