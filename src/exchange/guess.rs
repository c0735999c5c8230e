//! Which columns a table has and what each would be taken for, before it is read: for showing and
//! mapping them by hand. It reads headers alone, and the first rows as examples.

use super::cells;
use super::columns::{self, Mapping, Role, Unit};

/// How many rows are shown as examples.
const EXAMPLES: usize = 3;

/// The columns of a table.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Guess {
    /// Every header, in the order of the file.
    pub headers: Vec<String>,
    /// What each role's column would be: the role and its place among the headers.
    pub taken: Vec<(Role, usize)>,
    /// The first rows.
    pub examples: Vec<Vec<String>>,
}

impl Guess {
    /// Whether times are counted in frames, so that how many a second is to be told: as `unit` says
    /// or the column's name; or there is no time, and two columns of frames.
    pub fn in_frames(&self, unit: Option<Unit>) -> bool {
        let column = |role: Role| {
            let (_, place) = self.taken.iter().find(|(known, _)| *known == role)?;
            self.headers.get(*place)
        };
        match column(Role::Time) {
            Some(header) => unit.or_else(|| columns::unit(header)) == Some(Unit::Frames),
            None => column(Role::Start).is_some() && column(Role::End).is_some(),
        }
    }
}

/// Looks at the headers of a table; none where it is no text with at least two columns.
///
/// `mappings`: what was named by hand goes first; an empty header takes a role away.
pub fn guess(bytes: &[u8], mappings: &[Mapping]) -> Option<Guess> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let text = std::str::from_utf8(bytes).ok()?;
    let delimiter = cells::delimiter(text)?;
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .delimiter(delimiter)
        .from_reader(text.as_bytes());
    let mut rows = reader
        .records()
        .map_while(Result::ok)
        .map(|record| record.iter().map(str::to_owned).collect::<Vec<String>>());
    let headers = rows.next()?;
    let examples = rows.take(EXAMPLES).collect();
    let taken = Role::ALL
        .into_iter()
        .filter_map(|role| Some((role, columns::place(&headers, role, mappings)?)))
        .collect();
    Some(Guess { headers, taken, examples })
}

#[cfg(test)]
mod tests {
    use super::{Mapping, Role, Unit, guess};

    #[test]
    fn columns_are_shown_with_what_they_would_be_taken_for() {
        let table = b"hold;round;rt_ms\nlight;1;240\nfirm;1;231\n";
        let found = guess(table, &[]).expect("three columns");
        assert_eq!(found.headers, ["hold", "round", "rt_ms"]);
        assert_eq!(found.taken, [(Role::Condition, 0), (Role::Cycle, 1), (Role::Time, 2)]);
        assert_eq!(found.examples[1], ["firm", "1", "231"]);
        let by_hand = [Mapping { role: Role::Cycle, header: String::new() }];
        let found = guess(table, &by_hand).expect("three columns");
        assert_eq!(found.taken, [(Role::Condition, 0), (Role::Time, 2)]);
        assert_eq!(guess(b"\xff\xfe", &[]), None);
    }

    #[test]
    fn frames_are_known_by_the_name_the_unit_or_two_columns_of_them() {
        let of = |headers: &str| guess(format!("{headers}\na,1,2\n").as_bytes(), &[]).unwrap();
        assert!(of("hold,start_frame,end_frame").in_frames(None));
        assert!(of("hold,cycle,frames").in_frames(None));
        assert!(!of("hold,cycle,rt_ms").in_frames(None));
        assert!(of("hold,cycle,rt_ms").in_frames(Some(Unit::Frames)));
        assert!(!of("hold,cycle,frames").in_frames(Some(Unit::Ms)));
    }
}
