//! What can be wrong with a table, where it stands, and how to mend it.

use super::columns::Role;
use crate::words::{Tell, Told};

/// One fault of a table.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{fault}")]
pub struct TableError {
    /// The file as it was named.
    pub file: String,
    /// Line, from 1; nothing where the whole table is meant.
    pub line: Option<u64>,
    /// The column's header, where one is meant.
    pub column: Option<String>,
    /// What is wrong.
    pub fault: Fault,
}

/// What is wrong.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Fault {
    /// The file is no UTF-8 text.
    #[error("this is no UTF-8 text")]
    NotText,
    /// Nothing stands in it.
    #[error("the table has no rows")]
    NoRows,
    /// No cell of the time is filled.
    #[error("no row has a time")]
    NoTimes,
    /// No delimiter in the header line.
    #[error("the first line names one column only")]
    OneColumn,
    /// The reader of CSV stopped.
    #[error("the line cannot be read: {says}")]
    Syntax {
        /// As the reader says it.
        says: String,
    },
    /// A row of another length.
    #[error("the row has {found} cells, the first line {expected}")]
    Cells {
        /// Cells of the row.
        found: u64,
        /// Cells of the first line.
        expected: u64,
    },
    /// A column that must be there was not found.
    #[error("no column is named like a {}", role.name())]
    NoColumn {
        /// What is missing.
        role: Role,
        /// What there is.
        headers: Vec<String>,
    },
    /// A column named by hand is not there.
    #[error("there is no column `{header}`")]
    NoSuchColumn {
        /// What it was to be.
        role: Role,
        /// As named.
        header: String,
        /// What there is.
        headers: Vec<String>,
    },
    /// One thing, two columns.
    #[error("two columns are named as the {}", role.name())]
    NamedTwice {
        /// What.
        role: Role,
    },
    /// One column, two things.
    #[error("one column is named both as the {} and as the {}", one.name(), other.name())]
    OneColumnTwice {
        /// One thing.
        one: Role,
        /// The other.
        other: Role,
    },
    /// A time and frames as well.
    #[error("a time and a start or end frame are both named")]
    TimeAndFrames,
    /// A cell that must not be empty.
    #[error("the cell is empty")]
    Blank,
    /// No number.
    #[error("`{found}` is no number")]
    NotNumber {
        /// As written.
        found: String,
    },
    /// A comma that may part thousands.
    #[error("`{found}` may be a decimal or a thousand")]
    Thousands {
        /// As written.
        found: String,
    },
    /// Two decimal marks in a column.
    #[error("`{found}` has another decimal mark than the cells above it")]
    Mixed {
        /// As written.
        found: String,
    },
    /// A time that cannot be.
    #[error("a time of {found} cannot be")]
    NotPositive {
        /// As written.
        found: String,
    },
    /// The answer before the stimulus.
    #[error("the end frame {end} does not come after the start frame {start}")]
    EndBeforeStart {
        /// Start, as written.
        start: String,
        /// End, as written.
        end: String,
    },
    /// Neither yes nor no.
    #[error("`{found}` is neither yes nor no")]
    NotYesOrNo {
        /// As written.
        found: String,
    },
    /// Nothing says what the times count.
    #[error("nothing says in which unit the times are (half of them are below {typical})")]
    UnitUnknown {
        /// The median.
        typical: f64,
    },
    /// Frames without their rate.
    #[error("the times are in frames, and nothing says how many make a second")]
    RateMissing,
    /// A rate that cannot be.
    #[error("{found} frames a second cannot be")]
    Rate {
        /// As asked.
        found: f64,
    },
    /// Several players.
    #[error("the table has {} players, and findings are of one", players.len())]
    SeveralPlayers {
        /// Their names.
        players: Vec<String>,
    },
    /// A player that is not there.
    #[error("the table has no player `{player}`")]
    NoSuchPlayer {
        /// As asked.
        player: String,
        /// Who is there.
        players: Vec<String>,
    },
    /// Nothing to compare.
    #[error("the rows are all of one {}, `{condition}`: there is nothing to compare", Role::Condition.name())]
    OneHold {
        /// Its name.
        condition: String,
    },
    /// So many that the column is probably another one.
    #[error("the column holds {found} different values, more than the {most} that can be compared")]
    ManyHolds {
        /// How many.
        found: usize,
        /// The most.
        most: usize,
    },
    /// A reference that is not there.
    #[error("no row is of `{reference}`")]
    NoReference {
        /// As asked.
        reference: String,
        /// What there is.
        conditions: Vec<String>,
    },
    /// A least difference that cannot be.
    #[error("a least difference of {found} ms cannot matter")]
    SmallestChange {
        /// As asked.
        found: f64,
    },
    /// Two blocks in one place.
    #[error("two blocks of {session} share the place {place}")]
    SamePlace {
        /// Which session.
        session: String,
        /// As written.
        place: f64,
    },
    /// More of the same.
    #[error("{count} more cells are wrong")]
    More {
        /// How many are not listed.
        count: usize,
    },
}

impl Tell for TableError {
    fn tell(&self) -> Told {
        let mut place = self.file.clone();
        if let Some(line) = self.line {
            place += &format!(":{line}");
        }
        if let Some(column) = &self.column {
            place += &format!(", column `{column}`");
        }
        Told { what: self.to_string(), place: Some(place), mend: mend(&self.fault) }
    }
}

fn mend(fault: &Fault) -> String {
    let fixed = match fault {
        Fault::NoColumn { role, headers } => {
            let frames = if *role == Role::Time {
                ", or --column start=HEADER --column end=HEADER for two frames"
            } else {
                ""
            };
            return format!(
                "name it with --column {}=HEADER{frames}; the table has: {}",
                role.name(),
                headers.join(", ")
            );
        }
        Fault::NoSuchColumn { role, headers, .. } => {
            return format!("write --column {}= with one of: {}", role.name(), headers.join(", "));
        }
        Fault::NamedTwice { role } => {
            return format!("give --column {}=HEADER once", role.name());
        }
        Fault::SeveralPlayers { players } | Fault::NoSuchPlayer { players, .. } => {
            return format!("choose one with --player NAME: {}", players.join(", "));
        }
        Fault::NoReference { conditions, .. } => {
            return format!("write --reference with one of: {}", conditions.join(", "));
        }
        Fault::NotText => "save the table as CSV in UTF-8",
        Fault::NoRows => "give a file with a first line of column names and a row for each trial",
        Fault::NoTimes => "name the column that holds the times: --column time=HEADER",
        Fault::OneColumn => "part the columns by commas, semicolons or tabs",
        Fault::Syntax { .. } => "look for a quote that is not closed",
        Fault::Cells { .. } => {
            "give each row the cells of the first line; put text that holds the delimiter in quotes"
        }
        Fault::OneColumnTwice { .. } => {
            "name a column for one thing only; --column WHAT= with nothing behind leaves one out"
        }
        Fault::TimeAndFrames => "name a time, or a start and an end frame",
        Fault::Blank => "fill it, or take the row out",
        Fault::NotNumber { .. } => {
            "write a plain number without unit and thousands marks; leave it empty where there is \
             none"
        }
        Fault::Thousands { .. } => {
            "write the column without thousands marks, or its decimals with a dot"
        }
        Fault::Mixed { .. } => "write the whole column with one decimal mark",
        Fault::NotPositive { .. } => {
            "leave the cell empty where there was no answer, or one before the stimulus"
        }
        Fault::EndBeforeStart { .. } => {
            "look at the two frames; leave the end empty where there was no answer"
        }
        Fault::NotYesOrNo { .. } => "write 1 or 0, yes or no, true or false",
        Fault::UnitUnknown { .. } => "say it: --unit ms, --unit s, or --frames-per-second N",
        Fault::RateMissing => "say it: --frames-per-second N",
        Fault::Rate { .. } => "give a number above 0, as in --frames-per-second 120",
        Fault::OneHold { .. } | Fault::ManyHolds { .. } => {
            "name the column that tells what is compared: --column condition=HEADER"
        }
        Fault::SmallestChange { .. } => "give 0 or more milliseconds with --smallest-change",
        Fault::SamePlace { .. } => {
            "give each block its own place in the session, or in its cycle; --column order= with \
             nothing behind leaves the column out"
        }
        Fault::More { .. } => "mend those above first; a whole column may be the wrong one",
    };
    fixed.to_owned()
}
