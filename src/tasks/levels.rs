//! A short list of numbers that a task's stimuli go through: distances, sizes, speeds.

use serde::{Serialize, Serializer};

/// Most levels of one list.
pub const MOST_LEVELS: usize = 6;

/// One to six numbers, held in place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Levels {
    values: [f64; MOST_LEVELS],
    count: usize,
}

impl Levels {
    /// The first six of `values`.
    pub fn of(values: &[f64]) -> Levels {
        let count = values.len().min(MOST_LEVELS);
        let mut list = [0.0; MOST_LEVELS];
        list[..count].copy_from_slice(&values[..count]);
        Levels { values: list, count }
    }

    /// Just one.
    pub fn one(value: f64) -> Levels {
        Levels::of(&[value])
    }

    /// In the order of the file.
    pub fn values(&self) -> &[f64] {
        &self.values[..self.count]
    }

    /// The largest; 0 of an empty list.
    pub fn largest(&self) -> f64 {
        self.values().iter().copied().fold(0.0, f64::max)
    }

    /// The level of a place in a list that goes round; 0 of an empty list.
    pub fn round(&self, index: usize) -> f64 {
        self.values().get(index % self.count.max(1)).copied().unwrap_or(0.0)
    }
}

/// One level is written as the number it is, so that a protocol with one keeps its frozen form.
impl Serialize for Levels {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self.values() {
            [only] => serializer.serialize_f64(*only),
            several => several.serialize(serializer),
        }
    }
}
