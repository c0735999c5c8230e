//! `datapackage.json`: each CSV's fields, units and meaning, for any program that reads the
//! Frictionless Data Package standard.
//!
//! Made from the same column tables as the files themselves; it holds no data.

use super::files::RecordFile;
use super::ratings::RatingRow;
use super::schedule::ScheduleRow;
use super::table::{Column, Table};
use super::trials::TrialRow;
use serde_json::{Value, json};

/// The data package of a session folder. `session`: its folder name, `title`: the protocol's.
///
/// # Source
/// Data Package (v1) and Table Schema (v1) standards, specs.frictionlessdata.io, from memory.
pub fn datapackage(session: &str, title: &str, simulated: bool) -> Value {
    json!({
        "profile": "tabular-data-package",
        "name": session.to_ascii_lowercase(),
        "title": title,
        "simulated": simulated,
        "resources": [
            resource::<TrialRow>(RecordFile::Trials, "One row a trial attempt."),
            resource::<RatingRow>(RecordFile::Ratings, "One row a rating."),
            resource::<ScheduleRow>(RecordFile::Schedule, "One row a planned trial."),
        ],
    })
}

fn resource<Row: Table>(file: RecordFile, description: &str) -> Value {
    json!({
        "profile": "tabular-data-resource",
        "name": file.name().trim_end_matches(".csv"),
        "path": file.name(),
        "description": description,
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "schema": {
            "fields": Row::COLUMNS.iter().map(field).collect::<Vec<_>>(),
            "missingValues": [""],
        },
    })
}

fn field(column: &Column) -> Value {
    let mut field = json!({
        "name": column.name,
        "type": column.kind.name(),
        "description": column.meaning,
    });
    if !column.unit.is_empty() {
        field["unit"] = column.unit.into();
    }
    field
}
