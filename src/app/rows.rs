//! Questions in rows, each answered by one of a few cells: scales from 0 to 10, no and yes.
//!
//! Nothing is answered beforehand. Left and Right mark a cell, Enter takes it and goes to the next
//! open row; once all are answered Enter presses the button of the page. A taken cell can be
//! changed until then.

use super::keys::Pressed;
use super::look::{self, LINE, PAGE, PANEL, RING, SIDE_TEXT, TEXT};
use super::page;
use crate::words::screens as words;
use egui::{
    Align, Align2, Layout, Role, Sense, Stroke, StrokeKind, TextStyle, Ui, WidgetInfo, vec2,
};

/// One question.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Row {
    question: String,
    ends: Option<[String; 2]>,
    cells: Vec<String>,
    marked: usize,
    taken: Option<usize>,
}

impl Row {
    /// A question with a cell an answer.
    pub(super) fn choice(question: &str, cells: &[&str]) -> Row {
        let cells = cells.iter().map(|&cell| cell.to_owned()).collect();
        Row { question: question.to_owned(), ends: None, cells, marked: 0, taken: None }
    }

    /// A scale from 0 to 10: question, word at 0, word at 10.
    pub(super) fn scale([question, low, high]: [&str; 3]) -> Row {
        Row {
            question: question.to_owned(),
            ends: Some([low.to_owned(), high.to_owned()]),
            cells: (0..=10).map(|number| number.to_string()).collect(),
            marked: 0,
            taken: None,
        }
    }

    fn mark(&mut self, cell: usize) {
        self.marked = cell.min(self.cells.len().saturating_sub(1));
        if self.taken.is_some() {
            self.taken = Some(self.marked);
        }
    }
}

/// Rows of questions, and where the player is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Rows {
    rows: Vec<Row>,
    /// Index of the current row; one past the last is the button.
    at: usize,
}

impl Rows {
    /// The rows, at the first.
    pub(super) fn new(rows: Vec<Row>) -> Rows {
        Rows { rows, at: 0 }
    }

    /// The taken cell of each row.
    pub(super) fn taken(&self) -> impl Iterator<Item = Option<usize>> {
        self.rows.iter().map(|row| row.taken)
    }

    /// Whether every row is answered.
    pub(super) fn complete(&self) -> bool {
        self.rows.iter().all(|row| row.taken.is_some())
    }

    /// Whether Enter would press the page's button.
    pub(super) fn at_button(&self) -> bool {
        self.at >= self.rows.len()
    }

    /// Keeps the first `count` rows, and adds `more` if there are no others.
    pub(super) fn only_or_also(&mut self, count: usize, more: Option<Row>) {
        match more {
            Some(row) if self.rows.len() == count => {
                self.rows.push(row);
                self.at = self.next_open();
            }
            Some(_) => {}
            None => {
                if self.rows.len() > count {
                    self.rows.truncate(count);
                    self.at = self.next_open();
                }
            }
        }
    }

    /// Takes in `pressed`; whether the page's button was pressed.
    pub(super) fn press(&mut self, pressed: &[Pressed]) -> bool {
        pressed.iter().any(|press| self.press_one(*press))
    }

    fn press_one(&mut self, press: Pressed) -> bool {
        let last =
            if self.complete() { self.rows.len() } else { self.rows.len().saturating_sub(1) };
        match (press, self.rows.get_mut(self.at)) {
            (Pressed::Up, _) => self.at = self.at.saturating_sub(1),
            (Pressed::Down, _) => self.at = (self.at + 1).min(last),
            (Pressed::Left, Some(row)) => row.mark(row.marked.saturating_sub(1)),
            (Pressed::Right, Some(row)) => row.mark(row.marked + 1),
            (Pressed::Digit(digit), Some(row)) if row.ends.is_some() => {
                row.mark(usize::from(digit));
            }
            (Pressed::Enter, Some(row)) => {
                row.taken = Some(row.marked);
                self.at = self.next_open();
            }
            (Pressed::Enter, None) => return self.complete(),
            (
                Pressed::Left
                | Pressed::Right
                | Pressed::Digit(_)
                | Pressed::Escape
                | Pressed::Stop
                | Pressed::Hurts,
                _,
            ) => {}
        }
        false
    }

    /// The next open row below, else the first open one, else the button.
    fn next_open(&self) -> usize {
        let open = |index: &usize| self.rows.get(*index).is_some_and(|row| row.taken.is_none());
        let below = (self.at..self.rows.len()).find(open);
        below.or_else(|| (0..self.rows.len()).find(open)).unwrap_or(self.rows.len())
    }

    /// Draws the rows and takes in clicks.
    pub(super) fn show(&mut self, ui: &mut Ui) {
        let mut clicked = None;
        ui.scope(|ui| {
            ui.spacing_mut().item_spacing.y = look::em_of(ui) * 0.25;
            let in_view = self.at.min(self.rows.len().saturating_sub(1));
            for (index, row) in self.rows.iter().enumerate() {
                let drawn = ui.scope(|ui| draw(ui, row, index == self.at));
                if let Some(cell) = drawn.inner {
                    clicked = Some((index, cell));
                }
                if index == in_view {
                    drawn.response.scroll_to_me(None);
                }
            }
        });
        if let Some((index, cell)) = clicked {
            let row = &mut self.rows[index];
            (row.marked, row.taken) = (cell, Some(cell));
            self.at = index;
            self.at = self.next_open();
        }
    }
}

fn draw(ui: &mut Ui, row: &Row, current: bool) -> Option<usize> {
    let em = look::em_of(ui);
    ui.label(&row.question);
    let gap = em * 0.3;
    let count = row.cells.len();
    let most = if row.ends.is_some() { em * 3.2 } else { em * 9.0 };
    #[expect(clippy::cast_precision_loss, reason = "a handful of cells")]
    let width = ((ui.available_width() + gap) / count as f32 - gap).min(most);
    let mut clicked = None;
    let cells = ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = gap;
        for (index, text) in row.cells.iter().enumerate() {
            let marked = current && index == row.marked;
            let name = words::named(&row.question, text);
            if cell(ui, width, [text, &name], marked, row.taken == Some(index)) {
                clicked = Some(index);
            }
        }
    });
    if let Some([low, high]) = &row.ends {
        let width = cells.response.rect.width();
        ui.allocate_ui(vec2(width, em * 1.2), |ui| {
            ui.horizontal(|ui| {
                page::side(ui, low);
                ui.with_layout(Layout::right_to_left(Align::Center), |ui| page::side(ui, high));
            });
        });
    }
    ui.add_space(em * 0.6);
    clicked
}

/// One cell `width` wide, with its text and its name for a screen reader; whether it was clicked.
pub(super) fn cell(
    ui: &mut Ui,
    width: f32,
    [text, name]: [&str; 2],
    marked: bool,
    taken: bool,
) -> bool {
    let em = look::em_of(ui);
    let (rect, response) = ui.allocate_exact_size(vec2(width, em * 2.1), Sense::click());
    let painter = ui.painter();
    let fill = match (taken, response.hovered()) {
        (true, _) => look::accent(),
        (false, true) => PANEL,
        (false, false) => PAGE,
    };
    let stroke = if marked { Stroke::new(2.0, RING) } else { Stroke::new(1.0, LINE) };
    painter.rect(rect, 0.0, fill, stroke, StrokeKind::Inside);
    let colour = if taken { RING } else { TEXT };
    let font = TextStyle::Button.resolve(ui.style());
    painter.text(rect.center(), Align2::CENTER_CENTER, text, font, colour);
    if taken {
        // A bar besides the fill: taken is a shape, not only a colour.
        let y = rect.bottom() - em * 0.3;
        let half = (width * 0.25).min(em);
        let x = rect.center().x;
        painter.hline(x - half..=x + half, y, Stroke::new(2.0, RING));
    } else if marked {
        let y = rect.bottom() - em * 0.3;
        painter.circle_filled(egui::pos2(rect.center().x, y), em * 0.12, SIDE_TEXT);
    }
    response.widget_info(|| WidgetInfo::selected(Role::RadioButton, true, taken, name));
    if marked {
        look::follow(&response);
    }
    response.clicked()
}
