//! The files of a session folder, by name.
//!
//! Names only: what stands in a file, its own module says.

/// A file of a session folder.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum RecordFile {
    /// What the session was, by whom and on what.
    Manifest,
    /// The protocol, an exact copy.
    Protocol,
    /// What was drawn.
    Schedule,
    /// One row a trial attempt.
    Trials,
    /// One row a rating.
    Ratings,
    /// Every event the engine was fed.
    Events,
    /// Free text, for people.
    Notes,
    /// What the tables mean.
    DataPackage,
}

impl RecordFile {
    /// Every file.
    pub const ALL: [RecordFile; 8] = [
        RecordFile::Manifest,
        RecordFile::Protocol,
        RecordFile::Schedule,
        RecordFile::Trials,
        RecordFile::Ratings,
        RecordFile::Events,
        RecordFile::Notes,
        RecordFile::DataPackage,
    ];

    /// Those that grow during a session.
    pub const GROWING: [RecordFile; 3] =
        [RecordFile::Events, RecordFile::Trials, RecordFile::Ratings];

    /// Those whose checksums are kept: all but the manifest itself and the notes.
    pub const CHECKED: [RecordFile; 6] = [
        RecordFile::Protocol,
        RecordFile::Schedule,
        RecordFile::Trials,
        RecordFile::Ratings,
        RecordFile::Events,
        RecordFile::DataPackage,
    ];

    /// Its name in the folder.
    pub const fn name(self) -> &'static str {
        match self {
            RecordFile::Manifest => "manifest.json",
            RecordFile::Protocol => "protocol.toml",
            RecordFile::Schedule => "schedule.csv",
            RecordFile::Trials => "trials.csv",
            RecordFile::Ratings => "ratings.csv",
            RecordFile::Events => "events.bin",
            RecordFile::Notes => "notes.md",
            RecordFile::DataPackage => "datapackage.json",
        }
    }
}
