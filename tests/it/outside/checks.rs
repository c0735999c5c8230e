//! Reads the check files of `tests/data/checks` (format: `tests/data/README.md`).
//!
//! A walk fails on a case that is neither checked nor listed as left, so that a new case is not
//! skipped in silence; and on a listed one that is not there.

#![expect(clippy::unwrap_used, reason = "test helpers: a wrong file must fail the test")]

use std::cell::Cell;
use std::fs;
use std::path::PathBuf;

/// One case of a check file.
pub(super) struct Case {
    table: toml::Table,
    compared: Cell<usize>,
}

/// Cases that are not checked, and why: the program has no such method and says what it has instead.
pub(super) type Left<'a> = (&'a str, &'a [&'a str]);

/// Walks every case of a topic. `check` returns whether it knew the case; `left` lists the ids of
/// methods that the program does not have, each list with its reason.
pub(super) fn walk(topic: &str, left: &[Left<'_>], check: impl Fn(&Case) -> bool) {
    let path = data("checks").join(format!("{topic}.toml"));
    let text = fs::read_to_string(&path).unwrap();
    let file: toml::Table = text.parse().unwrap();
    let left: Vec<&str> = left.iter().flat_map(|(_, ids)| *ids).copied().collect();
    let mut unseen = left.clone();
    for table in file["case"].as_array().unwrap() {
        let case = Case { table: table.as_table().unwrap().clone(), compared: Cell::new(0) };
        let id = case.id();
        if check(&case) {
            assert!(!left.contains(&id), "{topic}/{id} is checked: take it off the list");
            assert!(case.compared.get() > 0, "{topic}/{id}: nothing was compared");
        } else {
            assert!(left.contains(&id), "{topic}/{id}: no test knows this case");
            unseen.retain(|other| *other != id);
        }
    }
    assert!(unseen.is_empty(), "{topic} has no case {unseen:?}");
}

/// A folder of the test data.
pub(super) fn data(folder: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/data").join(folder)
}

/// A CSV file as rows of fields, without its header.
pub(super) struct Sheet {
    header: Vec<String>,
    rows: Vec<Vec<String>>,
}

/// One row of a sheet.
pub(super) struct Row<'a> {
    header: &'a [String],
    fields: &'a [String],
}

impl Row<'_> {
    /// The field of a column.
    pub(super) fn at(&self, column: &str) -> &str {
        let at = self.header.iter().position(|name| name == column);
        &self.fields[at.unwrap_or_else(|| panic!("no column {column}"))]
    }
}

impl Sheet {
    /// Every row.
    pub(super) fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        self.rows.iter().map(|fields| Row { header: &self.header, fields })
    }

    /// A column of numbers.
    pub(super) fn column(&self, name: &str) -> Vec<f64> {
        self.rows().map(|row| row.at(name).parse().unwrap()).collect()
    }
}

impl Case {
    /// Its name within the file.
    pub(super) fn id(&self) -> &str {
        self.table["id"].as_str().unwrap()
    }

    fn input(&self, key: &str) -> &toml::Value {
        &self.table["input"][key]
    }

    /// An input that is a number.
    pub(super) fn number(&self, key: &str) -> f64 {
        number(self.input(key))
    }

    /// An input that is a word.
    pub(super) fn text(&self, key: &str) -> &str {
        self.input(key).as_str().unwrap()
    }

    /// An input that is a list of numbers.
    pub(super) fn list(&self, key: &str) -> Vec<f64> {
        list(self.input(key))
    }

    /// An input that is a list of lists.
    pub(super) fn table(&self, key: &str) -> Vec<Vec<f64>> {
        self.input(key).as_array().unwrap().iter().map(list).collect()
    }

    /// The file that an input names, relative to the check files.
    pub(super) fn sheet(&self) -> Sheet {
        read_sheet(self.input("file").as_str().unwrap())
    }

    /// What is expected under a key.
    pub(super) fn expected(&self, key: &str) -> Vec<f64> {
        let value = &self.table["expect"][key];
        if value.is_array() { list(value) } else { vec![number(value)] }
    }

    /// Compares one number.
    pub(super) fn expect(&self, key: &str, got: f64) {
        self.expect_list(key, &[got]);
    }

    /// Compares a list of numbers.
    pub(super) fn expect_list(&self, key: &str, got: &[f64]) {
        self.within(key, got, 0.0);
    }

    /// Compares with a tolerance of our own where ours is the coarser route, relative.
    pub(super) fn within(&self, key: &str, got: &[f64], own_rel: f64) {
        let expected = self.expected(key);
        assert_eq!(expected.len(), got.len(), "{}/{key}", self.id());
        let special = self.table.get("tol").and_then(|tol| tol.get(key)).map(number);
        let rel = number(&self.table["tol_rel"]).max(own_rel);
        let abs = number(&self.table["tol_abs"]);
        for (i, (got, expect)) in got.iter().zip(&expected).enumerate() {
            let tolerance =
                special.unwrap_or((rel * expect.abs()).max(abs)).max(own_rel * expect.abs());
            let off = (got - expect).abs();
            let id = self.id();
            assert!(off <= tolerance, "{id}/{key}[{i}]: got {got}, expect {expect}, off {off:e}");
        }
        self.compared.set(self.compared.get() + got.len());
    }
}

/// A CSV file, relative to the check files.
pub(super) fn read_sheet(file: &str) -> Sheet {
    let mut reader = csv::Reader::from_path(data("checks").join(file)).unwrap();
    let header = reader.headers().unwrap().iter().map(String::from).collect();
    let rows = reader.records().map(|r| r.unwrap().iter().map(String::from).collect()).collect();
    Sheet { header, rows }
}

fn number(value: &toml::Value) -> f64 {
    value.as_float().or_else(|| value.as_integer().map(|n| n as f64)).unwrap()
}

fn list(value: &toml::Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(number).collect()
}
