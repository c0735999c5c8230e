//! A table's text as rows: what each says, times in milliseconds.
//!
//! It knows no blocks. Every wrong cell is told; at most [`MOST_TOLD`] of them one by one.

use super::Asked;
use super::cells::{self, Mark, Unclear};
use super::columns::{self, Columns, Role, Unit};
use super::fault::{Fault, TableError};
use crate::analysis::{describe, frames};
use crate::findings::input::FrameFacts;

/// So many wrong cells are listed. Common practice, no source.
const MOST_TOLD: usize = 40;
/// At or above this a typical reaction time can only be in milliseconds, at or below the other
/// one only in seconds. Common practice, no source.
const SURELY_MS: f64 = 100.0;
const SURELY_S: f64 = 5.0;

/// A row.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Row {
    pub(super) condition: String,
    pub(super) cycle: Option<String>,
    pub(super) block: Option<String>,
    pub(super) order: Option<f64>,
    pub(super) session: Option<String>,
    pub(super) player: Option<String>,
    /// ms; nothing where the cell is empty.
    pub(super) time_ms: Option<f64>,
    pub(super) right: Option<bool>,
}

/// A table.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Rows {
    pub(super) rows: Vec<Row>,
    /// Header of each column that was taken.
    pub(super) headers: Vec<(Role, String)>,
    pub(super) delimiter: &'static str,
    /// Whether decimals are written with a comma.
    pub(super) decimal_comma: bool,
    /// How the times are read, in words.
    pub(super) unit: String,
    pub(super) frames: Option<FrameFacts>,
}

/// The file's name and what is wrong with it so far.
struct Faults<'a> {
    file: &'a str,
    list: Vec<TableError>,
}

impl Faults<'_> {
    fn of_table(&mut self, fault: Fault) {
        self.list.push(TableError { file: self.file.to_owned(), line: None, column: None, fault });
    }

    fn of_line(&mut self, line: u64, fault: Fault) {
        let file = self.file.to_owned();
        self.list.push(TableError { file, line: Some(line), column: None, fault });
    }

    fn of_cell(&mut self, line: u64, column: &str, fault: Fault) {
        let (file, column) = (self.file.to_owned(), Some(column.to_owned()));
        self.list.push(TableError { file, line: Some(line), column, fault });
    }

    fn of_column(&mut self, column: &str, fault: Fault) {
        let (file, column) = (self.file.to_owned(), Some(column.to_owned()));
        self.list.push(TableError { file, line: None, column, fault });
    }

    fn told(mut self) -> Vec<TableError> {
        self.list.sort_by_key(|error| error.line);
        if self.list.len() > MOST_TOLD {
            let count = self.list.len() - MOST_TOLD;
            self.list.truncate(MOST_TOLD);
            self.of_table(Fault::More { count });
        }
        self.list
    }
}

/// A row as it stands in the file.
struct Line {
    number: u64,
    cells: Vec<String>,
}

/// Reads a table. `file`: its name, for errors.
pub(super) fn rows(bytes: &[u8], file: &str, asked: &Asked) -> Result<Rows, Vec<TableError>> {
    let mut faults = Faults { file, list: Vec::new() };
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let Ok(text) = std::str::from_utf8(bytes) else {
        let good = std::str::from_utf8(bytes).map_or_else(|error| error.valid_up_to(), str::len);
        let line = 1 + bytes[..good].iter().filter(|byte| **byte == b'\n').count() as u64;
        faults.of_line(line, Fault::NotText);
        return Err(faults.told());
    };
    if let Some(per_second) = asked.frames_per_second.filter(|n| !(n.is_finite() && *n > 0.0)) {
        faults.of_table(Fault::Rate { found: per_second });
    }
    if text.trim().is_empty() {
        faults.of_table(Fault::NoRows);
        return Err(faults.told());
    }
    let Some(delimiter) = cells::delimiter(text) else {
        faults.of_line(1, Fault::OneColumn);
        return Err(faults.told());
    };
    let (headers, lines) = lines(text, delimiter, &mut faults);
    let columns = match columns::find(&headers, &asked.columns) {
        Ok(columns) => columns,
        Err(list) => {
            for fault in list {
                faults.of_line(1, fault);
            }
            return Err(faults.told());
        }
    };
    if lines.is_empty() {
        if faults.list.is_empty() {
            faults.of_table(Fault::NoRows);
        }
        return Err(faults.told());
    }
    let table = Table { headers: &headers, columns: &columns, lines: &lines };
    let read = table.read(asked, &mut faults);
    match read {
        Some((rows, times)) if faults.list.is_empty() => Ok(Rows {
            rows,
            headers: columns.iter().map(|(r, t)| (*r, headers[t.index].clone())).collect(),
            delimiter: cells::delimiter_name(delimiter),
            decimal_comma: times.decimal_comma,
            unit: times.unit,
            frames: times.frames,
        }),
        Some(_) | None => Err(faults.told()),
    }
}

/// The header and the rows of its length.
fn lines(text: &str, delimiter: u8, faults: &mut Faults) -> (Vec<String>, Vec<Line>) {
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let mut headers: Vec<String> = Vec::new();
    let mut lines = Vec::new();
    for record in reader.records() {
        let record = match record {
            Ok(record) => record,
            Err(error) => {
                let line = error.position().map_or(1, csv::Position::line);
                faults.of_line(line, Fault::Syntax { says: error.to_string() });
                break;
            }
        };
        let number = record.position().map_or(1, csv::Position::line);
        let cells: Vec<String> = record.iter().map(str::to_owned).collect();
        if headers.is_empty() {
            headers = cells;
        } else if cells.len() != headers.len() {
            let blank = cells.iter().all(String::is_empty);
            if !blank {
                let (found, expected) = (cells.len() as u64, headers.len() as u64);
                faults.of_line(number, Fault::Cells { found, expected });
            }
        } else if cells.iter().any(|cell| !cell.is_empty()) {
            lines.push(Line { number, cells });
        }
    }
    (headers, lines)
}

struct Table<'a> {
    headers: &'a [String],
    columns: &'a Columns,
    lines: &'a [Line],
}

/// Times, and how they were read.
struct Times {
    /// ms, one a line.
    ms: Vec<Option<f64>>,
    decimal_comma: bool,
    unit: String,
    frames: Option<FrameFacts>,
}

/// The numbers of a column, one a line, blank where the cell is.
struct Numbers {
    values: Vec<Option<f64>>,
    mark: Mark,
}

impl Table<'_> {
    fn read(&self, asked: &Asked, faults: &mut Faults) -> Option<(Vec<Row>, Times)> {
        let conditions = self.texts(Role::Condition, faults)?;
        let cycles = self.texts(Role::Cycle, faults);
        let blocks = self.texts(Role::Block, faults);
        let sessions = self.texts(Role::Session, faults);
        let players = self.texts(Role::Player, faults);
        let orders = self.numbers(Role::Order, faults);
        if let Some(orders) = &orders {
            self.none_blank(Role::Order, &orders.values, faults);
        }
        let right = self.answers(faults);
        // The unit is told by the rows in question alone: so the times come last.
        let times = self.times(asked, faults)?;
        let of = |texts: &Option<Vec<String>>, i: usize| texts.as_ref().map(|t| t[i].clone());
        let row = |i: usize| Row {
            condition: conditions[i].clone(),
            cycle: of(&cycles, i),
            block: of(&blocks, i),
            order: orders.as_ref().and_then(|orders| orders.values[i]),
            session: of(&sessions, i),
            player: of(&players, i),
            time_ms: times.ms[i],
            right: right.as_ref().and_then(|right| right[i]),
        };
        Some(((0..self.lines.len()).map(row).collect(), times))
    }

    fn header(&self, role: Role) -> &str {
        self.columns.get(&role).map_or(role.name(), |taken| self.headers[taken.index].as_str())
    }

    fn cells(&self, role: Role) -> Option<impl Iterator<Item = &str> + Clone> {
        let index = self.columns.get(&role)?.index;
        Some(self.lines.iter().map(move |line| line.cells[index].as_str()))
    }

    /// A column of names: none may be empty.
    fn texts(&self, role: Role, faults: &mut Faults) -> Option<Vec<String>> {
        let cells: Vec<&str> = self.cells(role)?.collect();
        for (line, cell) in self.lines.iter().zip(&cells) {
            if cells::is_blank(cell) {
                faults.of_cell(line.number, self.header(role), Fault::Blank);
            }
        }
        Some(cells.into_iter().map(str::to_owned).collect())
    }

    fn none_blank(&self, role: Role, values: &[Option<f64>], faults: &mut Faults) {
        let cells = self.cells(role).into_iter().flatten();
        for ((line, value), cell) in self.lines.iter().zip(values).zip(cells) {
            if value.is_none() && cells::is_blank(cell) {
                faults.of_cell(line.number, self.header(role), Fault::Blank);
            }
        }
    }

    fn answers(&self, faults: &mut Faults) -> Option<Vec<Option<bool>>> {
        let mut answers = Vec::new();
        for (line, cell) in self.lines.iter().zip(self.cells(Role::Correct)?) {
            let said = cells::yes_or_no(cell);
            if said.is_none() && !cells::is_blank(cell) {
                let found = cell.to_owned();
                faults.of_cell(
                    line.number,
                    self.header(Role::Correct),
                    Fault::NotYesOrNo { found },
                );
            }
            answers.push(said);
        }
        Some(answers)
    }

    fn numbers(&self, role: Role, faults: &mut Faults) -> Option<Numbers> {
        let cells: Vec<&str> = self.cells(role)?.collect();
        let header = self.header(role);
        let shown = cells.iter().copied().map(|c| if cells::is_blank(c) { "" } else { c });
        let found = |cell: usize| cells[cell].to_owned();
        let mark = match cells::mark(shown) {
            Ok(mark) => mark,
            Err(unclear) => {
                let (cell, fault) = match unclear {
                    Unclear::Thousands { cell } => (cell, Fault::Thousands { found: found(cell) }),
                    Unclear::Mixed { cell } => (cell, Fault::Mixed { found: found(cell) }),
                };
                faults.of_cell(self.lines[cell].number, header, fault);
                return None;
            }
        };
        let mut values = Vec::new();
        for (line, cell) in self.lines.iter().zip(&cells) {
            let value = cells::number(cell, mark);
            if value.is_none() && !cells::is_blank(cell) {
                let found = (*cell).to_owned();
                faults.of_cell(line.number, header, Fault::NotNumber { found });
            }
            values.push(value);
        }
        Some(Numbers { values, mark })
    }

    fn times(&self, asked: &Asked, faults: &mut Faults) -> Option<Times> {
        if self.columns.contains_key(&Role::Time) {
            self.plain_times(asked, faults)
        } else {
            self.frame_pairs(asked, faults)
        }
    }

    fn plain_times(&self, asked: &Asked, faults: &mut Faults) -> Option<Times> {
        let header = self.header(Role::Time);
        let Numbers { values, mark } = self.numbers(Role::Time, faults)?;
        for (line, value) in self.lines.iter().zip(&values) {
            if let Some(value) = value.filter(|value| *value <= 0.0) {
                let found = value.to_string();
                faults.of_cell(line.number, header, Fault::NotPositive { found });
            }
        }
        let known: Vec<f64> = values.iter().copied().flatten().collect();
        let typical = describe::median(&known);
        let said = asked.unit.or_else(|| columns::unit(header));
        let (unit, how) = match (said, asked.frames_per_second, typical) {
            (Some(unit), _, _) if asked.unit.is_some() => (unit, "as asked"),
            (Some(unit), _, _) => (unit, "as its name says"),
            (None, Some(_), _) => (Unit::Frames, "as asked"),
            (None, None, Some(ms)) if ms >= SURELY_MS => (Unit::Ms, "as its size says"),
            (None, None, Some(s)) if s <= SURELY_S => (Unit::S, "as its size says"),
            (None, None, Some(typical)) => {
                faults.of_column(header, Fault::UnitUnknown { typical });
                return None;
            }
            (None, None, None) => {
                faults.of_column(header, Fault::NoTimes);
                return None;
            }
        };
        let to_ms = match (unit, asked.frames_per_second) {
            (Unit::Ms, _) => 1.0,
            (Unit::S, _) => 1000.0,
            (Unit::Frames, Some(per_second)) => frames::ms(1.0, per_second),
            (Unit::Frames, None) => {
                faults.of_column(header, Fault::RateMissing);
                return None;
            }
        };
        let rate = asked.frames_per_second;
        let at = rate.map_or_else(String::new, |n| match unit {
            Unit::Frames => format!(" at {n} a second"),
            Unit::Ms | Unit::S => format!(", seen at {n} frames a second"),
        });
        Some(Times {
            ms: values.into_iter().map(|value| Some(value? * to_ms)).collect(),
            decimal_comma: mark == Mark::Comma,
            unit: format!("in {}{at} ({how})", unit.name()),
            frames: rate.map(|per_second| FrameFacts {
                per_second,
                both_ends: false,
                sd_ms: frames::one_end_sd(frames::ms(1.0, per_second)),
            }),
        })
    }

    fn frame_pairs(&self, asked: &Asked, faults: &mut Faults) -> Option<Times> {
        let (starts, ends) = (self.numbers(Role::Start, faults), self.numbers(Role::End, faults));
        let Some(per_second) = asked.frames_per_second else {
            faults.of_column(self.header(Role::Start), Fault::RateMissing);
            return None;
        };
        let (starts, ends) = (starts?, ends?);
        let mut ms = Vec::new();
        for ((line, start), end) in self.lines.iter().zip(&starts.values).zip(&ends.values) {
            let length = start.zip(*end).map(|(start, end)| end - start);
            if length.is_some_and(|length| length <= 0.0) {
                let cell = |role| self.columns.get(&role).map(|t| line.cells[t.index].clone());
                let start = cell(Role::Start).unwrap_or_default();
                let end = cell(Role::End).unwrap_or_default();
                let fault = Fault::EndBeforeStart { start, end };
                faults.of_cell(line.number, self.header(Role::End), fault);
            }
            ms.push(length.map(|length| frames::ms(length, per_second)));
        }
        let frame_ms = frames::ms(1.0, per_second);
        Some(Times {
            ms,
            decimal_comma: starts.mark == Mark::Comma || ends.mark == Mark::Comma,
            unit: format!("end less start, in frames at {per_second} a second"),
            frames: Some(FrameFacts {
                per_second,
                both_ends: true,
                sd_ms: frames::both_ends_sd(frame_ms, frame_ms),
            }),
        })
    }
}
