//! What can be wrong with a protocol file, where it stands, and how to mend it.

use crate::words::{Tell, Told};

/// One fault of a protocol file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{file}:{line}:{column}: {fault}")]
pub struct ProtocolError {
    /// The file as it was named.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
    /// Column in letters, from 1.
    pub column: usize,
    /// What is wrong.
    pub fault: Fault,
}

/// What is wrong.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Fault {
    /// The text is no TOML.
    #[error("this is no TOML: {says}")]
    Syntax {
        /// As the parser says it.
        says: String,
    },
    /// No such key or table.
    #[error("there is no key `{path}`")]
    UnknownKey {
        /// The key as written.
        path: String,
        /// The nearest known key.
        nearest: Option<String>,
        /// What the table may hold.
        known: Vec<String>,
    },
    /// A key that must be there is not.
    #[error("`{path}` is missing")]
    Missing {
        /// The key.
        path: String,
        /// What to write.
        mend: String,
    },
    /// A value of another type.
    #[error("`{path}` is {found}")]
    WrongType {
        /// The key.
        path: String,
        /// The value as written.
        found: String,
        /// What to write.
        mend: String,
    },
    /// A number outside its range, or text that is not allowed.
    #[error("`{path}` is {found}")]
    OutOfRange {
        /// The key.
        path: String,
        /// The value as written.
        found: String,
        /// What to write.
        mend: String,
    },
    /// A word that is not one of the allowed ones.
    #[error("`{path}` is {found}")]
    UnknownWord {
        /// The key.
        path: String,
        /// The value as written.
        found: String,
        /// What to write.
        mend: String,
        /// The nearest allowed word.
        nearest: Option<String>,
    },
    /// Keys that do not fit each other: a design that cannot be run, or must not be.
    #[error("{what}")]
    Unfit {
        /// What does not fit.
        what: String,
        /// How to mend it.
        mend: String,
    },
}

impl Fault {
    /// The outermost table that the fault's key belongs to.
    pub(super) fn table(&self) -> Option<&str> {
        match self {
            Fault::UnknownKey { path, .. }
            | Fault::Missing { path, .. }
            | Fault::WrongType { path, .. }
            | Fault::OutOfRange { path, .. }
            | Fault::UnknownWord { path, .. } => path.split('.').next(),
            Fault::Syntax { .. } | Fault::Unfit { .. } => None,
        }
    }
}

impl Tell for ProtocolError {
    fn tell(&self) -> Told {
        let mend = match &self.fault {
            Fault::Syntax { .. } => "mend the text at this place".to_owned(),
            Fault::UnknownKey { nearest: Some(nearest), .. } => {
                format!("leave it out, or write `{nearest}` (the nearest known key)")
            }
            Fault::UnknownKey { nearest: None, known, .. } => {
                format!("leave it out; known here: {}", known.join(", "))
            }
            Fault::UnknownWord { mend, nearest: Some(nearest), .. } => {
                format!("{mend} (nearest: {nearest})")
            }
            Fault::Missing { mend, .. }
            | Fault::WrongType { mend, .. }
            | Fault::OutOfRange { mend, .. }
            | Fault::UnknownWord { mend, nearest: None, .. }
            | Fault::Unfit { mend, .. } => mend.clone(),
        };
        let place = format!("{}:{}:{}", self.file, self.line, self.column);
        Told { what: self.fault.to_string(), place: Some(place), mend }
    }
}

/// The word of `known` that is nearest to `written`, if one is near enough to be meant.
///
/// # Source
/// Levenshtein distance (1966), at most a third of the letters and at least one.
pub(super) fn nearest<'a>(
    written: &str,
    known: impl IntoIterator<Item = &'a str>,
) -> Option<&'a str> {
    let limit = (written.chars().count() / 3).max(2);
    known
        .into_iter()
        .map(|word| (distance(written, word), word))
        .min()
        .filter(|(steps, _)| *steps <= limit)
        .map(|(_, word)| word)
}

fn distance(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, from) in a.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, to) in b.iter().enumerate() {
            let change = diagonal + usize::from(from != *to);
            diagonal = row[j + 1];
            row[j + 1] = change.min(diagonal + 1).min(row[j] + 1);
        }
    }
    row[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_word_is_the_one_that_was_meant() {
        assert_eq!(nearest("exponental", ["exponential", "uniform", "fixed"]), Some("exponential"));
        assert_eq!(nearest("cycle", ["cycles", "trials"]), Some("cycles"));
        assert_eq!(nearest("colour", ["cycles", "trials"]), None);
        assert_eq!(distance("kitten", "sitting"), 3);
    }
}
