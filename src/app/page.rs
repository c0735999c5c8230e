//! The frame of every screen: a thin head, one column of text, and a foot that always stays in view.
//!
//! It decides nothing; it tells whether the foot's button was clicked.

use super::keys::Pressed;
use super::look::{self, COLUMN_EM, LINE, MARGIN_EM, PAGE, PANEL, RING, SIDE_TEXT, TEXT};
use crate::window::Facts;
use crate::words::screens as words;
use egui::{
    Align, CentralPanel, Frame, Id, Label, Layout, Margin, Panel, Response, RichText, Role,
    ScrollArea, Sense, Stroke, StrokeKind, TextStyle, Ui, WidgetInfo, vec2,
};

/// The button of the foot.
#[derive(Debug, Clone, Copy)]
pub(super) struct Primary<'a> {
    /// Its text.
    pub(super) label: &'a str,
    /// Whether it can be pressed now.
    pub(super) open: bool,
    /// Whether Enter presses it now.
    pub(super) marked: bool,
}

/// What stands around the column.
#[derive(Debug, Clone, Copy)]
pub(super) struct Page<'a> {
    /// Facts of the session.
    pub(super) facts: &'a Facts,
    /// The block that the screen belongs to (index), if any.
    pub(super) block: Option<usize>,
    /// The foot's button, if any.
    pub(super) primary: Option<Primary<'a>>,
    /// The keys that work here, a line each.
    pub(super) keys: &'a [&'a str],
}

/// How long the column was when it was last drawn.
#[derive(Debug, Clone, Copy, Default)]
struct Column {
    height: f32,
    /// Longer than the window.
    longer: bool,
}

impl Page<'_> {
    /// Draws the page around `body`; whether the foot's button was clicked. `scroll_by`: the presses,
    /// where the screen leaves Up and Down to scroll a column that is longer than the window.
    pub(super) fn show(
        &self,
        ui: &mut Ui,
        scroll_by: Option<&[Pressed]>,
        body: impl FnOnce(&mut Ui),
    ) -> bool {
        let em = look::em_of(ui);
        #[expect(clippy::cast_possible_truncation, reason = "a margin is a small number")]
        let margin = Margin::symmetric((MARGIN_EM * em) as i8, (0.6 * em) as i8);
        let frame = Frame::new().fill(PAGE).inner_margin(margin);
        Panel::top("head").frame(frame).show_separator_line(false).show(ui, |ui| self.head(ui));
        let id = Id::unique("height of the column");
        let last: Column = ui.data(|data| data.get_temp(id)).unwrap_or_default();
        let clicked = Panel::bottom("foot")
            .frame(frame)
            .show_separator_line(false)
            .show(ui, |ui| {
                column(ui, ui.available_width(), |ui| {
                    self.foot(ui, last.longer && scroll_by.is_some())
                })
            })
            .inner;
        CentralPanel::no_frame().frame(frame).show(ui, |ui| {
            let (width, height) = (ui.available_width(), ui.available_height());
            ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
                scroll(ui, scroll_by.unwrap_or_default(), em);
                // A little above the middle, where the eye rests.
                ui.add_space(((height - last.height) * 0.4).max(0.0));
                let top = ui.cursor().top();
                column(ui, width, body);
                let now = ui.cursor().top() - top;
                let now = Column { height: now, longer: now > height + em * 0.5 };
                if (now.height - last.height).abs() > 0.5 || now.longer != last.longer {
                    ui.data_mut(|data| data.insert_temp(id, now));
                    ui.ctx().request_discard("the column found its height");
                }
            });
        });
        clicked
    }

    fn head(&self, ui: &mut Ui) {
        ui.horizontal(|ui| {
            let blocks = self.facts.schedule.blocks.len();
            let block = self.block.map(|block| words::block_of(block + 1, blocks));
            side(ui, block.as_deref().unwrap_or(&self.facts.protocol.title));
            if self.facts.simulated {
                let mark = RichText::new(words::SIMULATED).text_style(TextStyle::Small).strong();
                Frame::new()
                    .stroke(Stroke::new(1.0, TEXT))
                    .inner_margin(Margin::symmetric(6, 1))
                    .show(ui, |ui| ui.label(mark));
            }
            if let Some(minutes) = self.facts.minutes_left {
                ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                    side(ui, &words::minutes_left(minutes));
                });
            }
        });
    }

    /// The button and, beside it, the keys; below it where the window is narrow.
    fn foot(&self, ui: &mut Ui, scrolls: bool) -> bool {
        let em = look::em_of(ui);
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing = vec2(em * 1.6, em * 0.6);
            let clicked = self.primary.is_some_and(|primary| button(ui, primary).clicked());
            let scroll = scrolls.then_some(words::KEYS_SCROLL);
            for keys in self.keys.iter().copied().chain(scroll) {
                // Whole, on the next line if need be.
                ui.add(Label::new(side_text(keys)).extend());
            }
            clicked
        })
        .inner
    }
}

/// A column in the middle of a page `page_width` wide, scroll bar or not.
pub(super) fn column<R>(ui: &mut Ui, page_width: f32, body: impl FnOnce(&mut Ui) -> R) -> R {
    let em = look::em_of(ui);
    let bar = ui.spacing().scroll.allocated_width();
    let width = (page_width - 2.0 * bar).min(COLUMN_EM * em);
    ui.horizontal_top(|ui| {
        ui.spacing_mut().item_spacing.x = 0.0;
        ui.add_space((page_width - width) / 2.0);
        ui.vertical(|ui| {
            ui.set_width(width);
            ui.spacing_mut().item_spacing.x = em * 0.6;
            body(ui)
        })
        .inner
    })
    .inner
}

fn scroll(ui: &Ui, pressed: &[Pressed], em: f32) {
    for press in pressed {
        match press {
            Pressed::Up => ui.scroll_with_delta(vec2(0.0, em * 3.0)),
            Pressed::Down => ui.scroll_with_delta(vec2(0.0, -em * 3.0)),
            _ => {}
        }
    }
}

/// Small text beside the matter.
pub(super) fn side(ui: &mut Ui, text: &str) -> Response {
    ui.label(side_text(text))
}

fn side_text(text: &str) -> RichText {
    RichText::new(text).text_style(TextStyle::Small).color(SIDE_TEXT)
}

/// The title of a screen, and of the window while it is on show.
pub(super) fn title(ui: &mut Ui, text: &str) {
    let id = Id::unique("title of the window");
    let known = ui.data(|data| data.get_temp::<String>(id));
    if known.as_deref() != Some(text) {
        ui.data_mut(|data| data.insert_temp(id, text.to_owned()));
        let title = words::window_title(text);
        ui.ctx().send_viewport_cmd(egui::ViewportCommand::Title(title));
    }
    let heading = ui.label(RichText::new(text).text_style(TextStyle::Heading));
    heading.widget_info(|| WidgetInfo::labeled(Role::Heading, true, text));
    ui.add_space(look::em_of(ui) * 0.3);
}

/// A panel with a small heading, its text, and a bar of the accent where it matters most.
pub(super) fn panel(ui: &mut Ui, heading: &str, weighty: bool, body: impl FnOnce(&mut Ui)) {
    let em = look::em_of(ui);
    #[expect(clippy::cast_possible_truncation, reason = "a margin is a small number")]
    let margin = Margin::symmetric(em as i8, (0.6 * em) as i8);
    let inside = Frame::new().fill(PANEL).inner_margin(margin).show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.spacing_mut().item_spacing.y = em * 0.25;
        side(ui, heading);
        body(ui);
    });
    if weighty {
        let mut bar = inside.response.rect;
        bar.set_width(em * 0.25);
        ui.painter().rect_filled(bar, 0.0, look::accent());
    }
}

fn button(ui: &mut Ui, primary: Primary) -> Response {
    let em = look::em_of(ui);
    let text_colour = if primary.open { RING } else { SIDE_TEXT };
    let font = TextStyle::Button.resolve(ui.style());
    let small = TextStyle::Small.resolve(ui.style());
    let label = ui.painter().layout_no_wrap(primary.label.to_owned(), font, text_colour);
    let key = ui.painter().layout_no_wrap(words::ENTER.to_owned(), small, text_colour);
    let gap = em;
    let cap = if primary.open { gap + key.size().x + em * 0.4 } else { 0.0 };
    let size = vec2(label.size().x + cap + em * 2.0, em * 2.4);
    let sense = if primary.open { Sense::click() } else { Sense::hover() };
    let (rect, response) = ui.allocate_exact_size(size, sense);
    let fill = if primary.open { look::accent() } else { PAGE };
    let line = match (primary.open, primary.marked) {
        (true, true) => Stroke::new(2.0, RING),
        _ => Stroke::new(1.0, LINE),
    };
    let painter = ui.painter();
    painter.rect(rect, 0.0, fill, line, StrokeKind::Inside);
    let middle = rect.center().y;
    let at = egui::pos2(rect.left() + em, middle - label.size().y / 2.0);
    let key_at = egui::pos2(at.x + label.size().x + gap, middle - key.size().y / 2.0);
    painter.galley(at, label, text_colour);
    if primary.marked {
        let cap = egui::Rect::from_min_size(key_at, key.size()).expand2(vec2(em * 0.3, em * 0.1));
        painter.galley(key_at, key, text_colour);
        painter.rect_stroke(cap, 0.0, Stroke::new(1.0, text_colour), StrokeKind::Outside);
    }
    response.widget_info(|| WidgetInfo::labeled(Role::Button, primary.open, primary.label));
    if primary.open && primary.marked {
        look::follow(&response);
    }
    response
}
