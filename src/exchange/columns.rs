//! Which column of a table is what: found by its name, or named by hand.
//!
//! Knows headers only. Names are compared without case, blanks and underscores; a unit at the end
//! of a time's name is read as one.

use super::fault::Fault;
use std::collections::BTreeMap;

/// What a column can be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Role {
    /// The hold, or whatever is compared.
    Condition,
    /// The cycle: each holds every hold once.
    Cycle,
    /// The block.
    Block,
    /// The block's place in its session.
    Order,
    /// The session.
    Session,
    /// The player.
    Player,
    /// The time.
    Time,
    /// The frame at which the stimulus was seen.
    Start,
    /// The frame of the answer.
    End,
    /// Whether the answer was right.
    Correct,
}

impl Role {
    /// Every role.
    pub const ALL: [Role; 10] = [
        Role::Condition,
        Role::Cycle,
        Role::Block,
        Role::Order,
        Role::Session,
        Role::Player,
        Role::Time,
        Role::Start,
        Role::End,
        Role::Correct,
    ];

    /// Its name on the command line.
    pub const fn name(self) -> &'static str {
        match self {
            Role::Condition => "condition",
            Role::Cycle => "cycle",
            Role::Block => "block",
            Role::Order => "order",
            Role::Session => "session",
            Role::Player => "player",
            Role::Time => "time",
            Role::Start => "start",
            Role::End => "end",
            Role::Correct => "correct",
        }
    }

    /// Headers that mean it, the likeliest first; small letters and digits only.
    const fn headers(self) -> &'static [&'static str] {
        match self {
            Role::Condition => &["condition", "cond", "hold", "grip", "treatment"],
            Role::Cycle => &["cycle", "round", "repetition", "replicate", "rep"],
            Role::Block => &["block", "blocknumber", "blockno", "blockid"],
            Role::Order => &["order", "blockorder", "position", "place", "sequence"],
            Role::Session => &["session", "sessionid", "day", "visit"],
            Role::Player => &[
                "player",
                "playerid",
                "participant",
                "participantid",
                "subject",
                "subjectid",
                "subj",
                "person",
                "pno",
            ],
            Role::Time => &[
                "time",
                "rt",
                "reactiontime",
                "responsetime",
                "clickrt",
                "clicktime",
                "latency",
                "duration",
            ],
            Role::Start => {
                &["startframe", "framestart", "onsetframe", "stimulusframe", "firstframe", "start"]
            }
            Role::End => &[
                "endframe",
                "frameend",
                "pressframe",
                "clickframe",
                "responseframe",
                "lastframe",
                "end",
            ],
            Role::Correct => &["correct", "iscorrect", "acc", "accuracy"],
        }
    }
}

/// The unit of a time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// Milliseconds.
    Ms,
    /// Seconds.
    S,
    /// Frames.
    Frames,
}

impl Unit {
    /// Its name.
    pub const fn name(self) -> &'static str {
        match self {
            Unit::Ms => "ms",
            Unit::S => "s",
            Unit::Frames => "frames",
        }
    }

    fn of(word: &str) -> Option<Unit> {
        match word {
            "ms" | "msec" | "msecs" | "millisecond" | "milliseconds" => Some(Unit::Ms),
            "s" | "sec" | "secs" | "second" | "seconds" => Some(Unit::S),
            "frames" | "frame" => Some(Unit::Frames),
            _ => None,
        }
    }
}

/// A column named by hand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mapping {
    /// What it is.
    pub role: Role,
    /// Its header; empty: the table has no such column.
    pub header: String,
}

impl Mapping {
    /// Reads `ROLE=HEADER`.
    ///
    /// # Errors
    /// What to write instead, in words.
    pub fn parse(text: &str) -> Result<Mapping, String> {
        let (role, header) = text.split_once('=').ok_or("write WHAT=HEADER, as in time=rt")?;
        let found = Role::ALL.into_iter().find(|known| known.name() == role.trim());
        let role = found.ok_or_else(|| {
            let names: Vec<_> = Role::ALL.iter().map(|role| role.name()).collect();
            format!("there is no `{role}`; one of: {}", names.join(", "))
        })?;
        Ok(Mapping { role, header: header.trim().to_owned() })
    }
}

/// A column that was taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Taken {
    /// Its index.
    pub(super) index: usize,
    /// Whether it was named by hand.
    pub(super) by_hand: bool,
}

/// The columns of a table.
pub(super) type Columns = BTreeMap<Role, Taken>;

/// Finds the columns, and says what is missing.
pub(super) fn find(headers: &[String], mappings: &[Mapping]) -> Result<Columns, Vec<Fault>> {
    let mut faults = Vec::new();
    let mut columns = Columns::new();
    for role in Role::ALL {
        let mut asked = mappings.iter().filter(|mapping| mapping.role == role);
        let taken = match (asked.next(), asked.next()) {
            (Some(_), Some(_)) => {
                faults.push(Fault::NamedTwice { role });
                None
            }
            (Some(mapping), None) if mapping.header.is_empty() => None,
            (Some(mapping), None) => {
                let index =
                    headers.iter().position(|header| header == &mapping.header).or_else(|| {
                        headers.iter().position(|h| h.eq_ignore_ascii_case(&mapping.header))
                    });
                if index.is_none() {
                    let (header, headers) = (mapping.header.clone(), headers.to_vec());
                    faults.push(Fault::NoSuchColumn { role, header, headers });
                }
                index.map(|index| Taken { index, by_hand: true })
            }
            (None, _) => by_name(headers, role).map(|index| Taken { index, by_hand: false }),
        };
        columns.extend(taken.map(|taken| (role, taken)));
    }
    settle_time(&mut columns, &mut faults);
    for pair in twice(&columns) {
        faults.push(Fault::OneColumnTwice { one: pair.0, other: pair.1 });
    }
    let named = |role| mappings.iter().any(|mapping| mapping.role == role);
    if !columns.contains_key(&Role::Condition) && !named(Role::Condition) {
        faults.push(Fault::NoColumn { role: Role::Condition, headers: headers.to_vec() });
    }
    let both = columns.contains_key(&Role::Start) && columns.contains_key(&Role::End);
    let any_named = named(Role::Time) || named(Role::Start) || named(Role::End);
    if !columns.contains_key(&Role::Time) && !both && (!any_named || faults.is_empty()) {
        faults.push(Fault::NoColumn { role: Role::Time, headers: headers.to_vec() });
    }
    if faults.is_empty() { Ok(columns) } else { Err(faults) }
}

/// A time, or a start and an end: what was named by hand goes before what was found, and a time
/// before frames.
fn settle_time(columns: &mut Columns, faults: &mut Vec<Fault>) {
    let by_hand = |role| columns.get(&role).is_some_and(|taken: &Taken| taken.by_hand);
    let frames_by_hand = by_hand(Role::Start) || by_hand(Role::End);
    match (by_hand(Role::Time), frames_by_hand) {
        (true, true) => faults.push(Fault::TimeAndFrames),
        (false, true) => {
            columns.remove(&Role::Time);
        }
        (true | false, false) => {
            if columns.contains_key(&Role::Time) {
                columns.remove(&Role::Start);
                columns.remove(&Role::End);
            }
        }
    }
}

/// Pairs of roles that took the same column. One found by name gives way in `find` already, since
/// no header means two things.
fn twice(columns: &Columns) -> Vec<(Role, Role)> {
    let list: Vec<_> = columns.iter().collect();
    let mut pairs = Vec::new();
    for (place, (one, taken)) in list.iter().enumerate() {
        for (other, also) in &list[place + 1..] {
            if taken.index == also.index {
                pairs.push((**one, **other));
            }
        }
    }
    pairs
}

/// The place of a role's column, named by hand or found by its name.
pub(super) fn place(headers: &[String], role: Role, mappings: &[Mapping]) -> Option<usize> {
    match mappings.iter().find(|mapping| mapping.role == role) {
        Some(mapping) => headers.iter().position(|header| *header == mapping.header),
        None => by_name(headers, role),
    }
}

fn by_name(headers: &[String], role: Role) -> Option<usize> {
    let forms: Vec<String> = headers.iter().map(|header| compact(header, role)).collect();
    let known = role.headers().iter();
    let mut found = known.filter_map(|name| forms.iter().position(|form| form == name));
    found.next().or_else(|| {
        // A column named by its unit alone, if that says it: `ms`, `frames`.
        let bare = |header: &String| {
            ["ms", "msec", "milliseconds", "frames"].contains(&words(header).concat().as_str())
        };
        if role == Role::Time { headers.iter().position(bare) } else { None }
    })
}

/// A header as its letters and digits; of a time without the unit at its end.
fn compact(header: &str, role: Role) -> String {
    let mut words = words(header);
    if role == Role::Time && unit(header).is_some() {
        words.pop();
    }
    words.concat()
}

/// The unit at the end of a header.
pub(super) fn unit(header: &str) -> Option<Unit> {
    words(header).last().and_then(|last| Unit::of(last))
}

/// The words of a header, small: parted by what is neither letter nor digit, and before a capital
/// that follows a small letter.
fn words(header: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut small_before = false;
    for letter in header.chars() {
        if !letter.is_alphanumeric() || (small_before && letter.is_uppercase()) {
            words.push(String::new());
        }
        if letter.is_alphanumeric() {
            words.last_mut().expect("it starts with one").extend(letter.to_lowercase());
        }
        small_before = letter.is_lowercase();
    }
    words.retain(|word| !word.is_empty());
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(headers: &[&str], mappings: &[Mapping]) -> Result<Vec<(Role, usize)>, Vec<Fault>> {
        let headers: Vec<String> = headers.iter().map(|header| (*header).to_owned()).collect();
        find(&headers, mappings)
            .map(|columns| columns.iter().map(|(role, taken)| (*role, taken.index)).collect())
    }

    #[test]
    fn columns_are_found_by_their_names() {
        let headers = ["Participant ID", "Hold", "Cycle", "responseTime (ms)"];
        let expected = [(Role::Condition, 1), (Role::Cycle, 2), (Role::Player, 0), (Role::Time, 3)];
        assert_eq!(found(&headers, &[]), Ok(expected.to_vec()));
        assert_eq!(unit("responseTime (ms)"), Some(Unit::Ms));
        assert_eq!(unit("click_rt_ms"), Some(Unit::Ms));
        assert_eq!(unit("RT"), None);
        assert_eq!(
            found(&["hold", "frames"], &[]),
            Ok(vec![(Role::Condition, 0), (Role::Time, 1)])
        );
    }

    #[test]
    fn a_column_named_by_hand_goes_first() {
        let by_hand = [Mapping::parse("condition=where").unwrap()];
        let headers = ["hold", "where", "rt"];
        assert_eq!(found(&headers, &by_hand), Ok(vec![(Role::Condition, 1), (Role::Time, 2)]));
        let by_hand = [Mapping::parse("start=start_frame").unwrap()];
        let headers = ["hold", "start_frame", "end_frame", "rt"];
        let expected = vec![(Role::Condition, 0), (Role::Start, 1), (Role::End, 2)];
        assert_eq!(found(&headers, &by_hand), Ok(expected));
    }

    #[test]
    fn what_is_missing_is_said_all_at_once() {
        let faults = found(&["a", "b"], &[Mapping::parse("cycle=c").unwrap()]).unwrap_err();
        assert_eq!(faults.len(), 3, "{faults:?}");
        assert!(Mapping::parse("colour=rt").is_err());
        assert!(Mapping::parse("rt").is_err());
    }
}
