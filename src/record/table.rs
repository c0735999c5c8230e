//! One table of columns drives everything that is said of a CSV file: its header, its rows, how
//! it is read back, and its fields in `datapackage.json`.
//!
//! Columns are read by name and added only at the end, so an older file reads in a newer program
//! and the other way round. It knows no session.

use super::RecordError;
use crate::engine::Outcome;
use crate::protocol::Part;
use crate::units::{DeviceId, MotionUnit, StampSource};
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::path::Path;

/// What a column holds, as the Frictionless Table Schema names it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A whole number.
    Integer,
    /// A decimal number.
    Number,
    /// Text.
    Text,
    /// `true` or `false`.
    Boolean,
}

impl Kind {
    /// The name in a Table Schema.
    pub const fn name(self) -> &'static str {
        match self {
            Kind::Integer => "integer",
            Kind::Number => "number",
            Kind::Text => "string",
            Kind::Boolean => "boolean",
        }
    }
}

/// One column of a CSV file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Column {
    /// Its name in the header.
    pub name: &'static str,
    /// What it holds.
    pub kind: Kind,
    /// Its unit, or nothing.
    pub unit: &'static str,
    /// What it means.
    pub meaning: &'static str,
}

/// A type that can stand in a column; blank where it is `None`.
pub(super) trait Cell {
    /// What the column holds.
    const KIND: Kind;
}

macro_rules! cells {
    ($($type:ty => $kind:ident),* $(,)?) => {
        $(impl Cell for $type { const KIND: Kind = Kind::$kind; })*
    };
}
cells! {
    u8 => Integer, u16 => Integer, u32 => Integer, u64 => Integer, i32 => Integer, i64 => Integer,
    usize => Integer, DeviceId => Integer, f64 => Number, String => Text, bool => Boolean,
    Outcome => Text, Part => Text, StampSource => Text, MotionUnit => Text,
    super::trials::FlagList => Text,
}
impl<C: Cell> Cell for Option<C> {
    const KIND: Kind = C::KIND;
}

/// A row of a CSV file, with the columns it has.
pub trait Table: Serialize + DeserializeOwned {
    /// The columns, in the order of the file.
    const COLUMNS: &'static [Column];

    /// The header line, ended.
    fn header() -> String {
        let names: Vec<_> = Self::COLUMNS.iter().map(|column| column.name).collect();
        names.join(",") + "\n"
    }

    /// This row as a line, ended.
    fn line(&self) -> String {
        let mut writer = csv::WriterBuilder::new().has_headers(false).from_writer(Vec::new());
        writer.serialize(self).expect("a row is flat: numbers, text and options of them");
        let bytes = writer.into_inner().expect("memory takes every byte");
        String::from_utf8(bytes).expect("CSV of UTF-8 text is UTF-8")
    }

    /// A whole file.
    fn file(rows: &[Self]) -> String {
        let mut text = Self::header();
        for row in rows {
            text += &row.line();
        }
        text
    }

    /// The rows of a file that is whole; `path` is named in errors.
    ///
    /// # Errors
    /// [`RecordError::Table`] with the line of the first row that does not read.
    fn read(bytes: &[u8], path: &Path) -> Result<Vec<Self>, RecordError> {
        rows_of(bytes).map_err(|source| RecordError::Table { path: path.to_owned(), source })
    }
}

/// The rows: by place where the header is this program's own, and by name in a file of an older or
/// newer one (looking every name up in every row takes as long again).
fn rows_of<Row: Table>(bytes: &[u8]) -> Result<Vec<Row>, csv::Error> {
    let mut reader = csv::Reader::from_reader(bytes);
    let header = reader.byte_headers()?.clone();
    let own = header.iter().eq(Row::COLUMNS.iter().map(|column| column.name.as_bytes()));
    let by_name = (!own).then_some(&header);
    let mut record = csv::ByteRecord::new();
    let mut rows = Vec::new();
    while reader.read_byte_record(&mut record)? {
        rows.push(record.deserialize(by_name)?);
    }
    Ok(rows)
}

/// Declares a row type together with its columns: `name: type, "unit", "meaning";`.
macro_rules! table {
    ($(#[$meta:meta])* pub struct $Row:ident {
        $($(#[$field:meta])* $name:ident: $type:ty, $unit:literal, $meaning:literal;)*
    }) => {
        $(#[$meta])*
        #[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
        pub struct $Row {
            $(#[doc = $meaning] $(#[$field])* pub $name: $type,)*
        }

        impl $crate::record::table::Table for $Row {
            const COLUMNS: &'static [$crate::record::table::Column] = &[
                $($crate::record::table::Column {
                    name: stringify!($name),
                    kind: <$type as $crate::record::table::Cell>::KIND,
                    unit: $unit,
                    meaning: $meaning,
                },)*
            ];
        }
    };
}
pub(super) use table;
