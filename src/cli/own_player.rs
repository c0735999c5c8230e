//! A player's own sessions as the planner takes them: blocks, by the findings' own rule of what
//! enters.

use super::out::Failure;
use crate::findings::enter::{LeftOut, Rule, blocks};
use crate::findings::{self, FindingsError};
use crate::plan::{self, Own, OwnBlock};
use crate::protocol::Protocol;
use crate::record;
use crate::sitting::source;
use crate::words::Told;
use std::path::PathBuf;

/// Reads the sessions; they may be of any protocol, but of one player.
pub(super) fn read(folders: &[PathBuf], protocol: &Protocol) -> Result<Own, Failure> {
    let (mut own, mut holds) = (Vec::new(), 0);
    let mut player: Option<String> = None;
    for (index, folder) in folders.iter().enumerate() {
        let recorded = record::open(folder)?;
        let of = source::recorded(&recorded)?;
        let session = findings::session_data(&recorded, &of);
        let first = player.get_or_insert_with(|| session.player.clone());
        if *first != session.player {
            return Err(FindingsError::OtherPlayer {
                session: session.name,
                player: session.player,
                first_player: first.clone(),
            }
            .into());
        }
        // Holds of another protocol are other holds: they are numbered on, and only their blocks'
        // differences among themselves are used.
        own.extend(blocks(&session, index, Rule::Declared).into_iter().map(|block| OwnBlock {
            session: index,
            cycle: block.cycle.saturating_sub(1),
            position: block.position,
            condition: block.condition + holds,
            minute: block.minute,
            misses: block.misses,
            early: block.count(LeftOut::Early),
            wrong: block.count(LeftOut::Wrong),
            times_ms: block.times_ms,
        }));
        holds += of.conditions.len();
    }
    plan::own(&own, holds, protocol.conditions.len(), protocol.analysis.lapse_ms).map_err(|error| {
        Failure::Told(vec![Told {
            what: error.to_string(),
            place: Some("--from".to_owned()),
            mend: "name more sessions, or leave --from out: a usual player is simulated then"
                .to_owned(),
        }])
    })
}
