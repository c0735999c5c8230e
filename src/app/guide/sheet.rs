//! The frame of the pages outside a session: a head with the step and its time, one column, a foot
//! with Back and the one button that goes on.
//!
//! Keyboard: Tab and the arrows move the focus (ringed), Space and Enter press what has it; with
//! nothing focused Enter goes on and Esc goes back.

use super::super::look::{self, MARGIN_EM, PAGE, RING, SIDE_TEXT};
use super::super::page::{column, side, title};
use super::told;
use super::way::{self, Place};
use super::widgets;
use crate::words::guide as words;
use egui::{
    CentralPanel, Frame, Id, Key, Margin, Panel, RichText, ScrollArea, TextStyle, Ui, UiBuilder,
    vec2,
};

/// What the frame of a page says.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sheet<'a> {
    /// Which page.
    pub(super) place: Place,
    /// Whether there is a page to go back to.
    pub(super) back: bool,
    /// The button that goes on, and whether it can be pressed.
    pub(super) primary: Option<(&'a str, bool)>,
    /// Why the button cannot be pressed, or what is worth saying beside it.
    pub(super) beside: &'a str,
    /// What was just done.
    pub(super) done: Option<&'a str>,
}

/// What was pressed on the frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Said {
    /// Back.
    Back,
    /// The button that goes on.
    Primary,
    /// To another page.
    Go(Place),
    /// Leave the program.
    Leave,
}

impl Sheet<'_> {
    /// Draws the page around `body`.
    pub(super) fn show(&self, ui: &mut Ui, body: impl FnOnce(&mut Ui)) -> Option<Said> {
        let mut said = self.keys(ui);
        let em = look::em_of(ui);
        let frame = frame(ui);
        said = said.or(self.top(ui));
        // The column is drawn before the foot, so that Tab goes down the page; how high the foot is
        // is known from the frame before.
        let id = Id::unique("height of the guide's foot");
        let below: f32 = ui.data(|data| data.get_temp(id)).unwrap_or(em * 4.0);
        let mut above = ui.available_rect_before_wrap();
        above.max.y = (above.max.y - below).max(above.min.y);
        let mut between = ui.new_child(UiBuilder::new().max_rect(above));
        CentralPanel::no_frame().frame(frame).show(&mut between, |ui| {
            let width = ui.available_width();
            let id = Id::unique(("guide column", self.place));
            ScrollArea::vertical().id_salt(id).auto_shrink(false).show(ui, |ui| {
                scroll_by_keys(ui, em);
                column(ui, width, |ui| {
                    title(ui, told::title(self.place));
                    body(ui);
                    ui.add_space(em);
                });
            });
        });
        let foot = Panel::bottom("guide foot").frame(frame).show_separator_line(false);
        let pressed = foot.show(ui, |ui| column(ui, ui.available_width(), |ui| self.foot(ui)));
        let height = pressed.response.rect.height();
        if (height - below).abs() > 0.5 {
            ui.data_mut(|data| data.insert_temp(id, height));
            ui.ctx().request_discard("the foot found its height");
        }
        said.or(pressed.inner)
    }

    /// Draws the head alone, above a page that has a frame of its own.
    pub(super) fn top(&self, ui: &mut Ui) -> Option<Said> {
        let head = Panel::top("guide head").frame(frame(ui)).show_separator_line(false);
        head.show(ui, |ui| self.head(ui)).inner
    }

    /// Enter and Esc where nothing has the focus.
    fn keys(&self, ui: &Ui) -> Option<Said> {
        let id = Id::unique("something had the focus");
        let focused = ui.memory(|memory| memory.focused().is_some());
        // Esc takes the focus away before a page is drawn: that press does nothing more.
        let had = ui.data_mut(|data| data.get_temp_mut_or(id, false).to_owned());
        ui.data_mut(|data| data.insert_temp(id, focused));
        if focused || had {
            return None;
        }
        let pressed = |key| ui.input(|input| input.key_pressed(key));
        if self.back && pressed(Key::Escape) {
            return Some(Said::Back);
        }
        let open = self.primary.is_some_and(|(_, open)| open);
        (open && pressed(Key::Enter)).then_some(Said::Primary)
    }

    /// The step and the menu; below one another where they do not fit into one row.
    fn head(&self, ui: &mut Ui) -> Option<Said> {
        let mut said = None;
        let time = told::time(self.place);
        let step = way::step(self.place).map(|step| words::step_of(step, way::STEPS));
        let text: Vec<&str> =
            [step.as_deref(), Some(time)].into_iter().flatten().filter(|t| !t.is_empty()).collect();
        let text = text.join("   ·   ");
        let menu = self.menu();
        let font = TextStyle::Small.resolve(ui.style());
        let long = |text: &str| {
            ui.painter().layout_no_wrap(text.to_owned(), font.clone(), SIDE_TEXT).size().x
        };
        let spacing = ui.spacing();
        let (gap, pad) = (spacing.item_spacing.x, spacing.button_padding.x * 2.0);
        let least = spacing.interact_size.x;
        let wide = |label: &str| (long(label) + pad).max(least) + gap;
        let width = menu.iter().fold(-gap, |sum, (label, _)| sum + wide(label));
        let narrow = ui.available_width() < long(&text) + 2.0 * gap + width;
        if narrow {
            side(ui, &text);
        }
        ui.horizontal(|ui| {
            if !narrow {
                side(ui, &text);
            }
            // At the right end, and drawn from left to right, so that Tab goes that way.
            ui.add_space((ui.available_width() - width).max(0.0));
            for (label, what) in menu {
                if widgets::quiet(ui, label).clicked() {
                    said = Some(what);
                }
            }
        });
        said
    }

    /// Left to right.
    fn menu(&self) -> Vec<(&'static str, Said)> {
        let mut menu = match self.place {
            Place::Caution | Place::Feel => Vec::new(),
            // Its frame is that of a session's screens, whose foot has no Back.
            Place::Agreement => vec![(words::BACK, Said::Back)],
            _ => {
                let others = [Place::Question, Place::History, Place::Tables, Place::Settings];
                let others = others.into_iter().filter(|place| *place != self.place);
                others.map(|place| (told::menu(place), Said::Go(place))).collect()
            }
        };
        menu.push((words::LEAVE, Said::Leave));
        menu
    }

    fn foot(&self, ui: &mut Ui) -> Option<Said> {
        let em = look::em_of(ui);
        let mut said = None;
        if let Some(done) = self.done {
            ui.label(done);
            ui.add_space(em * 0.3);
        }
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing = vec2(em, em * 0.4);
            if let Some((label, open)) = self.primary
                && widgets::primary(ui, label, open).clicked()
            {
                said = Some(Said::Primary);
            }
            if self.back && widgets::button(ui, words::BACK).clicked() {
                said = Some(Said::Back);
            }
            if !self.beside.is_empty() {
                let text = RichText::new(self.beside).text_style(TextStyle::Small);
                ui.label(text.color(SIDE_TEXT));
            }
        });
        said
    }
}

/// The page with its margin.
fn frame(ui: &Ui) -> Frame {
    let em = look::em_of(ui);
    #[expect(clippy::cast_possible_truncation, reason = "a margin is a small number")]
    let margin = Margin::symmetric((MARGIN_EM * em) as i8, (0.6 * em) as i8);
    Frame::new().fill(PAGE).inner_margin(margin)
}

/// Page Up and Page Down scroll a column that is longer than the window.
fn scroll_by_keys(ui: &Ui, em: f32) {
    let pages = ui.input(|input| {
        let count = |key| f32::from(u8::from(input.key_pressed(key)));
        count(Key::PageUp) - count(Key::PageDown)
    });
    if pages.abs() > 0.5 {
        ui.scroll_with_delta(vec2(0.0, pages * em * 12.0));
        ui.ctx().request_repaint();
    }
}

/// Widgets of the pages outside a session: the same greys, a ring around what has the focus.
pub(super) fn style(ui: &mut Ui) {
    let em = look::em_of(ui);
    let style = ui.style_mut();
    style.spacing.button_padding = vec2(em * 0.8, em * 0.4);
    style.spacing.interact_size = vec2(em * 2.0, em * 2.0);
    style.spacing.slider_width = em * 18.0;
    style.spacing.icon_width = em * 1.1;
    let visuals = &mut style.visuals;
    visuals.selection.bg_fill = look::accent();
    visuals.selection.stroke = egui::Stroke::new(2.0, RING);
    visuals.text_edit_bg_color = Some(look::WELL);
    for (widget, fill) in [
        (&mut visuals.widgets.inactive, look::PANEL),
        (&mut visuals.widgets.hovered, look::RAISED),
        (&mut visuals.widgets.active, look::RAISED),
    ] {
        widget.weak_bg_fill = fill;
        widget.expansion = 0.0;
    }
    // Focused widgets are drawn as active ones.
    visuals.widgets.active.bg_stroke = egui::Stroke::new(2.0, RING);
}
