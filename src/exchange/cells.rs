//! What a cell says: the delimiter of a table, its decimal mark, a number, a yes or no.
//!
//! Knows text only. A decimal comma is taken where the column itself shows that it is one; where
//! it could as well part thousands, nothing is guessed.

/// The delimiters that are tried.
const DELIMITERS: [u8; 3] = *b",;\t";

/// The delimiter that the header line holds most often outside quotes; nothing if none.
pub(super) fn delimiter(text: &str) -> Option<u8> {
    let header = text.lines().find(|line| !line.trim().is_empty())?;
    let outside: String = header.split('"').step_by(2).collect();
    let count = |mark: u8| outside.bytes().filter(|byte| *byte == mark).count();
    // Of equals the first.
    DELIMITERS.into_iter().rev().max_by_key(|mark| count(*mark)).filter(|mark| count(*mark) > 0)
}

/// A delimiter as a word.
pub(super) const fn delimiter_name(delimiter: u8) -> &'static str {
    match delimiter {
        b';' => "semicolon",
        b'\t' => "tab",
        _ => "comma",
    }
}

/// Whether a cell is empty, or says that there is no value.
pub(super) fn is_blank(cell: &str) -> bool {
    let small = cell.trim().to_lowercase();
    ["", "na", "n/a", "nan", "null", "none", "-"].contains(&small.as_str())
}

/// The decimal mark of a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Mark {
    Dot,
    Comma,
}

/// Why a column's decimal mark is not known: at which of its cells.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Unclear {
    /// A comma that may part thousands.
    Thousands { cell: usize },
    /// Commas as decimal marks in some cells, dots in others.
    Mixed { cell: usize },
}

/// The decimal mark of these cells.
///
/// A comma is surely decimal unless one to three digits other than a lone 0 stand before it and
/// three behind; one sure cell speaks for its column.
pub(super) fn mark<'a>(cells: impl Iterator<Item = &'a str> + Clone) -> Result<Mark, Unclear> {
    let first = |told: fn(&str) -> bool| cells.clone().position(|cell| told(cell.trim()));
    let has_comma = |cell: &str| cell.contains(',');
    let Some(comma) = first(has_comma) else { return Ok(Mark::Dot) };
    match (first(surely_decimal_comma), first(|cell| cell.contains('.'))) {
        (_, Some(dot)) => Err(Unclear::Mixed { cell: comma.max(dot) }),
        (Some(_), None) => Ok(Mark::Comma),
        (None, None) => Err(Unclear::Thousands { cell: comma }),
    }
}

fn surely_decimal_comma(cell: &str) -> bool {
    let Some((whole, part)) = cell.split_once(',') else { return false };
    let whole = whole.trim_start_matches(['-', '+']);
    let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    digits(whole) && digits(part) && (part.len() != 3 || whole.len() > 3 || whole == "0")
}

/// No time, frame or count in a table comes near this; beyond, squares of it would overflow.
const LARGEST: f64 = 1e12;

/// The number in a cell, if it is one that a table can hold.
pub(super) fn number(cell: &str, mark: Mark) -> Option<f64> {
    let text = cell.trim();
    let text = match mark {
        Mark::Dot => text.to_owned(),
        Mark::Comma => text.replacen(',', ".", 1),
    };
    text.parse().ok().filter(|value: &f64| value.abs() <= LARGEST)
}

/// Yes or no in a cell.
pub(super) fn yes_or_no(cell: &str) -> Option<bool> {
    match cell.trim().to_lowercase().as_str() {
        "1" | "1.0" | "true" | "t" | "yes" | "y" | "right" | "correct" | "hit" => Some(true),
        "0" | "0.0" | "false" | "f" | "no" | "n" | "wrong" | "incorrect" | "error" => Some(false),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_delimiter_is_the_one_in_the_header() {
        assert_eq!(delimiter("hold,rt\nlight,1\n"), Some(b','));
        assert_eq!(delimiter("\nhold;rt\nlight;210,5\n"), Some(b';'));
        assert_eq!(delimiter("hold\trt, ms\nlight\t1\n"), Some(b','));
        assert_eq!(delimiter("hold\tcycle\t\"rt, in, all, ms\"\n"), Some(b'\t'));
        assert_eq!(delimiter("hold\n"), None);
    }

    #[test]
    fn a_comma_is_decimal_only_where_it_must_be() {
        let of = |cells: &[&str]| mark(cells.iter().copied());
        assert_eq!(of(&["210.5", "211"]), Ok(Mark::Dot));
        assert_eq!(of(&["210,5", "1,234"]), Ok(Mark::Comma));
        assert_eq!(of(&["0,626"]), Ok(Mark::Comma));
        assert_eq!(of(&["210", "1,234"]), Err(Unclear::Thousands { cell: 1 }));
        assert_eq!(of(&["210,5", "210.5"]), Err(Unclear::Mixed { cell: 1 }));
        assert_eq!(number("210,5", Mark::Comma), Some(210.5));
        assert_eq!(number("1.234,5", Mark::Comma), None);
        assert_eq!(number("inf", Mark::Dot), None);
    }
}
