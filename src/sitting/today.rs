//! What a player's earlier sessions say about starting another one today.
//!
//! After two stops for discomfort a session is closed for the day; a second session with firm holds
//! on one day is warned against; a player without any session has not seen the cautions.

use super::Trouble;
use super::source;
use crate::clock;
use crate::protocol::{Protocol, Tension};
use crate::record::{self, EndedAs, Manifest};
use crate::words::Told;
use std::path::Path;

/// What earlier sessions say.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Earlier {
    /// The player has recorded a session before, so has seen the cautions and agreed.
    pub any: bool,
    /// A session with firm holds was begun today.
    pub firm_today: bool,
}

/// Looks at the sessions of `player` (id) under `data`.
///
/// # Errors
/// One of today's was closed for discomfort, or a record does not read.
pub fn look(data: &Path, player: &str) -> Result<Earlier, Trouble> {
    let mut earlier = Earlier::default();
    for folder in record::sessions(data)?.iter().filter(|folder| is_of(folder, player)) {
        let session = record::open(folder)?;
        earlier.any = true;
        if !is_today(&session.manifest) {
            continue;
        }
        if session.manifest.ending == Some(EndedAs::Discomfort) {
            return Err(Trouble(vec![Told {
                what: "today's session ended for discomfort, so this player is done for the day"
                    .to_owned(),
                place: Some(folder.display().to_string()),
                mend: "rest the hand; at pain, numbness or tingling see a licensed clinician"
                    .to_owned(),
            }]));
        }
        earlier.firm_today |= has_firm(&*source::recorded(&session)?);
    }
    Ok(earlier)
}

/// Whether a protocol asks for a firm hold.
pub fn has_firm(protocol: &Protocol) -> bool {
    protocol.conditions.iter().any(|condition| condition.tension == Tension::Firm)
}

fn is_of(folder: &Path, player: &str) -> bool {
    folder.parent().and_then(Path::file_name).is_some_and(|name| name == player)
}

/// Whether a session began on today's date where it was recorded.
fn is_today(manifest: &Manifest) -> bool {
    let Some(first) = manifest.segments.first() else { return false };
    let offset = i64::from(first.local_offset_s);
    let day = |utc: jiff::Timestamp| (utc.as_second() + offset).div_euclid(24 * 60 * 60);
    day(first.utc) == day(clock::utc())
}
