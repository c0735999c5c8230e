//! A list of lines of which one is taken: Up and Down mark, Enter takes the marked one.

use super::keys::Pressed;
use super::look::{self, LINE, PAGE, PANEL, RING, TEXT};
use egui::{Role, Sense, Stroke, StrokeKind, TextStyle, Ui, WidgetInfo, vec2};

/// Which line is marked.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct Choices {
    marked: usize,
}

impl Choices {
    /// Draws `lines` and takes in `pressed`; the line that was taken.
    pub(super) fn show(
        &mut self,
        ui: &mut Ui,
        lines: &[&str],
        pressed: &[Pressed],
    ) -> Option<usize> {
        let taken = self.press(lines.len(), pressed);
        let mut clicked = None;
        for (index, line) in lines.iter().enumerate() {
            if one(ui, line, index == self.marked) {
                clicked = Some(index);
            }
        }
        taken.or(clicked)
    }

    fn press(&mut self, count: usize, pressed: &[Pressed]) -> Option<usize> {
        for press in pressed {
            match press {
                Pressed::Up => self.marked = self.marked.saturating_sub(1),
                Pressed::Down => self.marked = (self.marked + 1).min(count.saturating_sub(1)),
                Pressed::Enter => return Some(self.marked),
                Pressed::Left
                | Pressed::Right
                | Pressed::Digit(_)
                | Pressed::Escape
                | Pressed::Stop
                | Pressed::Hurts => {}
            }
        }
        None
    }
}

fn one(ui: &mut Ui, line: &str, marked: bool) -> bool {
    let em = look::em_of(ui);
    let font = TextStyle::Button.resolve(ui.style());
    let width = ui.available_width();
    let text = ui.painter().layout(line.to_owned(), font, TEXT, width - em * 3.6);
    let size = vec2(width, text.size().y + em * 1.1);
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    let painter = ui.painter();
    let fill = if marked || response.hovered() { PANEL } else { PAGE };
    let stroke = if marked { Stroke::new(2.0, RING) } else { Stroke::new(1.0, LINE) };
    painter.rect(rect, 0.0, fill, stroke, StrokeKind::Inside);
    if marked {
        // An arrow head besides the ring: the mark is a shape, not only a line.
        let (x, y) = (rect.left() + em, rect.center().y);
        let head = [(0.0, -0.35), (0.5, 0.0), (0.0, 0.35)]
            .map(|(dx, dy)| egui::pos2(x + dx * em, y + dy * em));
        painter.add(egui::Shape::convex_polygon(head.to_vec(), RING, Stroke::NONE));
    }
    let at = egui::pos2(rect.left() + em * 2.2, rect.center().y - text.size().y / 2.0);
    painter.galley(at, text, TEXT);
    response.widget_info(|| WidgetInfo::selected(Role::RadioButton, true, marked, line));
    if marked {
        response.scroll_to_me(None);
        look::follow(&response);
    }
    response.clicked()
}
