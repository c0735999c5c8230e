//! Walks a parsed TOML document by the table of keys and collects every fault before it stops.
//!
//! A value that is faulty is told of once and stands as its default, so that the rest of the file
//! can still be read.

use super::fault::{Fault, ProtocolError, nearest};
use super::keys::{self, Absent, KEYS, Key, Kind, TABLES};
use crate::tasks::{Levels, MOST_LEVELS};
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A document being walked.
pub(super) struct Walk<'a> {
    text: &'a str,
    file: &'a str,
    pub(super) faults: Vec<ProtocolError>,
}

/// A table of the document, or one that was left out.
#[derive(Clone)]
pub(super) struct Place<'a> {
    table: &'static str,
    values: Option<&'a DeTable<'a>>,
    span: Range<usize>,
}

impl<'a> Walk<'a> {
    pub(super) fn new(text: &'a str, file: &'a str) -> Walk<'a> {
        Walk { text, file, faults: Vec::new() }
    }

    /// Notes a fault at `span`.
    pub(super) fn fault(&mut self, span: Range<usize>, fault: Fault) {
        let start = span.start.min(self.text.len());
        let before = self.text.get(..start).unwrap_or(self.text);
        let line_start = before.rfind('\n').map_or(0, |at| at + 1);
        self.faults.push(ProtocolError {
            file: self.file.to_owned(),
            line: before.matches('\n').count() + 1,
            column: before[line_start..].chars().count() + 1,
            fault,
        });
    }

    /// Whether nothing has been said against a key of these tables ("" for an unknown table).
    pub(super) fn is_sound(&self, tables: &[&str]) -> bool {
        let at_fault = |error: &ProtocolError| match (&error.fault, error.fault.table()) {
            (Fault::UnknownKey { path, .. }, _) if !path.contains('.') => tables.contains(&""),
            (_, Some(table)) => tables.contains(&table),
            (_, None) => false,
        };
        !self.faults.iter().any(at_fault)
    }

    /// The document itself.
    pub(super) fn root(&mut self, document: &'a Spanned<DeTable<'a>>) -> Place<'a> {
        let place = Place { table: "", values: Some(document.get_ref()), span: 0..0 };
        self.look_for_strangers(&place);
        place
    }

    /// The sub-table `table` of `of`; told of when it is something else.
    pub(super) fn table(&mut self, of: &Place<'a>, table: &'static str) -> Place<'a> {
        let name = table.rsplit('.').next().unwrap_or(table);
        let absent = Place { table, values: None, span: of.span.clone() };
        let Some(value) = of.values.and_then(|values| values.get(name)) else { return absent };
        let place = match value.get_ref() {
            DeValue::Table(values) => Place { table, values: Some(values), span: value.span() },
            other => {
                let found = format!("{} {}", article(other), other.type_str());
                let mend = format!("write a table: [{table}]");
                self.fault(value.span(), Fault::WrongType { path: table.to_owned(), found, mend });
                return absent;
            }
        };
        self.look_for_strangers(&place);
        place
    }

    /// The list of tables `table` of `of`.
    pub(super) fn tables(&mut self, of: &Place<'a>, table: &'static str) -> Vec<Place<'a>> {
        let Some(value) = of.values.and_then(|values| values.get(table)) else { return vec![] };
        let mut places = Vec::new();
        let entries: Vec<&Spanned<DeValue>> = match value.get_ref() {
            DeValue::Array(list) => list.iter().collect(),
            _ => vec![value],
        };
        for entry in entries {
            match entry.get_ref() {
                DeValue::Table(values) if matches!(value.get_ref(), DeValue::Array(_)) => {
                    let place = Place { table, values: Some(values), span: entry.span() };
                    self.look_for_strangers(&place);
                    places.push(place);
                }
                other => {
                    let found = format!("{} {}", article(other), other.type_str());
                    let mend = format!("write a list of tables: [[{table}]]");
                    let path = table.to_owned();
                    self.fault(entry.span(), Fault::WrongType { path, found, mend });
                }
            }
        }
        places
    }

    fn look_for_strangers(&mut self, place: &Place<'a>) {
        let Some(values) = place.values else { return };
        let known = children(place.table);
        for key in values.keys() {
            let name = key.get_ref().as_ref();
            if known.contains(&name) {
                continue;
            }
            let near = nearest(name, known.iter().copied());
            let fault = Fault::UnknownKey {
                path: keys::path(place.table, name),
                nearest: near.map(str::to_owned),
                known: known.iter().map(|name| (*name).to_owned()).collect(),
            };
            self.fault(key.span(), fault);
        }
    }

    /// A number.
    pub(super) fn number(&mut self, place: &Place<'a>, name: &str) -> f64 {
        self.number_or_unset(place, name).unwrap_or(0.0)
    }

    /// A whole number that is not negative.
    pub(super) fn whole(&mut self, place: &Place<'a>, name: &str) -> usize {
        let value = self.number(place, name).round().clamp(0.0, 1e9);
        format!("{value:.0}").parse().expect("a clamped, rounded number has digits alone")
    }

    /// A number, if it was written or has a default.
    pub(super) fn number_or_unset(&mut self, place: &Place<'a>, name: &str) -> Option<f64> {
        let key = must_find(place.table, name);
        let Some(value) = self.value(place, key) else {
            return match key.absent {
                Absent::Number(number) => Some(number),
                Absent::Fault | Absent::Word(_) | Absent::Empty | Absent::Unset => None,
            };
        };
        let whole = matches!(key.kind, Kind::Whole { .. });
        let number = match value.get_ref() {
            DeValue::Integer(digits) => {
                i64::from_str_radix(digits.as_str(), digits.radix()).ok().map(|whole| whole as f64)
            }
            DeValue::Float(digits) if !whole => digits.as_str().parse::<f64>().ok(),
            _ => None,
        };
        let path = keys::path(place.table, name);
        let (found, mend) = (self.written(value), key.kind.allowed());
        let Some(number) = number.filter(|number| number.is_finite()) else {
            self.fault(value.span(), Fault::WrongType { path, found, mend });
            return None;
        };
        let (min, max) = match key.kind {
            Kind::Number { min, max } => (min, max),
            Kind::Whole { min, max } => (min as f64, max as f64),
            Kind::Text
            | Kind::Slug
            | Kind::Word(_)
            | Kind::Words(_)
            | Kind::Wholes { .. }
            | Kind::Numbers { .. } => {
                return Some(number);
            }
        };
        if number < min || number > max {
            self.fault(value.span(), Fault::OutOfRange { path, found, mend });
        }
        Some(number.clamp(min, max))
    }

    /// A number or a list of numbers, if it was written or has a default.
    pub(super) fn numbers(&mut self, place: &Place<'a>, name: &str) -> Option<Levels> {
        let key = must_find(place.table, name);
        let Some(value) = self.value(place, key) else {
            return match key.absent {
                Absent::Number(number) => Some(Levels::one(number)),
                Absent::Fault | Absent::Word(_) | Absent::Empty | Absent::Unset => None,
            };
        };
        let Kind::Numbers { min, max } = key.kind else { return None };
        let entries: Vec<&Spanned<DeValue>> = match value.get_ref() {
            DeValue::Array(list) => list.iter().collect(),
            _ => vec![value],
        };
        let (path, mend) = (keys::path(place.table, name), key.kind.allowed());
        if entries.is_empty() || entries.len() > MOST_LEVELS {
            let found = self.written(value);
            self.fault(value.span(), Fault::OutOfRange { path, found, mend });
            return None;
        }
        let mut numbers = Vec::new();
        for entry in entries {
            let number = match entry.get_ref() {
                DeValue::Integer(digits) => i64::from_str_radix(digits.as_str(), digits.radix())
                    .ok()
                    .map(|whole| whole as f64),
                DeValue::Float(digits) => digits.as_str().parse::<f64>().ok(),
                _ => None,
            };
            let (path, mend, found) = (path.clone(), mend.clone(), self.written(entry));
            match number.filter(|number| number.is_finite()) {
                None => self.fault(entry.span(), Fault::WrongType { path, found, mend }),
                Some(number) if number < min || number > max => {
                    self.fault(entry.span(), Fault::OutOfRange { path, found, mend });
                }
                Some(number) => numbers.push(number),
            }
        }
        (!numbers.is_empty()).then(|| Levels::of(&numbers))
    }

    /// A text, a slug or a word.
    pub(super) fn text(&mut self, place: &Place<'a>, name: &str) -> String {
        self.text_or_unset(place, name).unwrap_or_default()
    }

    /// A text, a slug or a word, if it was written or has a default.
    pub(super) fn text_or_unset(&mut self, place: &Place<'a>, name: &str) -> Option<String> {
        let key = must_find(place.table, name);
        let Some(value) = self.value(place, key) else {
            return match key.absent {
                Absent::Word(word) => Some(word.to_owned()),
                Absent::Fault | Absent::Number(_) | Absent::Empty | Absent::Unset => None,
            };
        };
        let path = keys::path(place.table, name);
        let (found, mend) = (self.written(value), key.kind.allowed());
        let DeValue::String(text) = value.get_ref() else {
            self.fault(value.span(), Fault::WrongType { path, found, mend });
            return None;
        };
        let fits = match key.kind {
            Kind::Slug => is_slug(text),
            Kind::Text => !text.trim().is_empty(),
            Kind::Word(words) => return self.word(words, text, value.span(), path, found, mend),
            Kind::Number { .. }
            | Kind::Whole { .. }
            | Kind::Words(_)
            | Kind::Wholes { .. }
            | Kind::Numbers { .. } => true,
        };
        if !fits {
            self.fault(value.span(), Fault::OutOfRange { path, found, mend });
            return None;
        }
        Some(text.to_string())
    }

    fn word(
        &mut self,
        words: &'static [&'static str],
        text: &str,
        span: Range<usize>,
        path: String,
        found: String,
        mend: String,
    ) -> Option<String> {
        if words.contains(&text) {
            return Some(text.to_owned());
        }
        let near = nearest(text, words.iter().copied()).map(str::to_owned);
        self.fault(span, Fault::UnknownWord { path, found, mend, nearest: near });
        None
    }

    /// A list of words.
    pub(super) fn words(&mut self, place: &Place<'a>, name: &str) -> Vec<String> {
        let key = must_find(place.table, name);
        let Some(value) = self.value(place, key) else { return vec![] };
        let path = keys::path(place.table, name);
        let (found, mend) = (self.written(value), key.kind.allowed());
        let (DeValue::Array(list), Kind::Words(words)) = (value.get_ref(), key.kind) else {
            self.fault(value.span(), Fault::WrongType { path, found, mend });
            return vec![];
        };
        let mut taken = Vec::new();
        for entry in list.iter() {
            let found = self.written(entry);
            let (path, mend) = (path.clone(), mend.clone());
            match entry.get_ref() {
                DeValue::String(text) => {
                    taken.extend(self.word(words, text, entry.span(), path, found, mend));
                }
                _ => self.fault(entry.span(), Fault::WrongType { path, found, mend }),
            }
        }
        taken
    }

    /// A list of whole numbers.
    pub(super) fn wholes(&mut self, place: &Place<'a>, name: &str) -> Vec<usize> {
        let key = must_find(place.table, name);
        let Some(value) = self.value(place, key) else { return vec![] };
        let path = keys::path(place.table, name);
        let (found, mend) = (self.written(value), key.kind.allowed());
        let (DeValue::Array(list), Kind::Wholes { min, max }) = (value.get_ref(), key.kind) else {
            self.fault(value.span(), Fault::WrongType { path, found, mend });
            return vec![];
        };
        let mut taken = Vec::new();
        for entry in list.iter() {
            let found = self.written(entry);
            let (path, mend) = (path.clone(), mend.clone());
            let DeValue::Integer(digits) = entry.get_ref() else {
                self.fault(entry.span(), Fault::WrongType { path, found, mend });
                continue;
            };
            let number = i64::from_str_radix(digits.as_str(), digits.radix()).ok();
            let number = number.filter(|number| (min..=max).contains(number));
            match number.and_then(|number| usize::try_from(number).ok()) {
                Some(number) => taken.push(number),
                None => self.fault(entry.span(), Fault::OutOfRange { path, found, mend }),
            }
        }
        taken
    }

    fn value(&mut self, place: &Place<'a>, key: &Key) -> Option<&'a Spanned<DeValue<'a>>> {
        let value = place.values.and_then(|values| values.get(key.name));
        if value.is_none() && key.absent == Absent::Fault {
            let fault = Fault::Missing {
                path: keys::path(key.table, key.name),
                mend: format!("{}: {}", key.kind.allowed(), key.says),
            };
            self.fault(place.span.clone(), fault);
        }
        value
    }

    /// The value as it stands in the file, cut short.
    fn written(&self, value: &Spanned<DeValue>) -> String {
        const LONGEST: usize = 60;
        let text = self.text.get(value.span()).unwrap_or("").replace('\n', " ");
        if text.chars().count() > LONGEST {
            text.chars().take(LONGEST).chain("...".chars()).collect()
        } else {
            text
        }
    }
}

impl Place<'_> {
    /// Where the value of `name` stands, or the table if it was left out.
    pub(super) fn span_of(&self, name: &str) -> Range<usize> {
        let value = self.values.and_then(|values| values.get(name));
        value.map_or_else(|| self.span.clone(), Spanned::span)
    }

    /// Whether `name` was written.
    pub(super) fn has(&self, name: &str) -> bool {
        self.values.is_some_and(|values| values.contains_key(name))
    }
}

fn must_find(table: &str, name: &str) -> &'static Key {
    keys::find(table, name).expect("the reader asks for keys of the table only")
}

/// The keys and tables that a table may hold.
fn children(table: &str) -> Vec<&'static str> {
    let own = KEYS.iter().filter(|key| key.table == table).map(|key| key.name);
    let inner = TABLES.iter().filter(|name| !name.is_empty()).filter_map(|name| {
        match name.rsplit_once('.') {
            Some((outer, inner)) => (outer == table).then_some(inner),
            None => table.is_empty().then_some(*name),
        }
    });
    own.chain(inner).collect()
}

fn is_slug(text: &str) -> bool {
    text.len() <= 40
        && text.starts_with(|c: char| c.is_ascii_lowercase())
        && text.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-')
}

fn article(value: &DeValue) -> &'static str {
    match value {
        DeValue::Integer(_) | DeValue::Array(_) => "an",
        _ => "a",
    }
}
