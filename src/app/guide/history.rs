//! A player's sessions over weeks, read from their folders: what each was, each hold's typical
//! time, and whether a session stands out.

use crate::analysis::control::{Chart, individuals};
use crate::analysis::describe::{BlockStatistic, block_statistic};
use crate::clock;
use crate::findings::enter::{self, Rule};
use crate::findings::session_data;
use crate::record::{self, EndedAs};
use crate::sitting::{Trouble, source};
use crate::words::{afterwards as after, screens};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// After a session the holds are looked at again this many days later. Common practice, no source.
const AGAIN_AFTER_DAYS: i64 = 28;
const DAY_S: i64 = 24 * 60 * 60;

/// One session.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Line {
    /// Its folder.
    pub(super) folder: PathBuf,
    /// The player's id.
    pub(super) player: String,
    /// The day it began, where it was recorded.
    pub(super) day: String,
    /// When it began, s since 1970.
    pub(super) began_s: i64,
    /// The protocol's id.
    pub(super) protocol: String,
    /// The protocol's title.
    pub(super) title: String,
    /// How it ended; nothing where it broke off.
    pub(super) ending: Option<EndedAs>,
    /// Whether the presses are invented.
    pub(super) simulated: bool,
    /// Each hold's name and typical time, ms.
    pub(super) typical: Vec<(String, Option<f64>)>,
}

impl Line {
    /// Whether it came to its planned end.
    pub(super) const fn whole(&self) -> bool {
        matches!(self.ending, Some(EndedAs::Complete | EndedAs::Settled))
    }

    /// Whether it broke off or was stopped, and can be gone on with.
    pub(super) const fn can_go_on(&self) -> bool {
        EndedAs::can_go_on(self.ending) && !self.simulated
    }
}

/// One hold over the sessions of one protocol.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct HoldChart {
    /// The hold.
    pub(super) name: String,
    /// Day and typical time of each session, ms, oldest first.
    pub(super) values: Vec<(String, f64)>,
    /// Centre and limits, from three sessions on.
    pub(super) chart: Option<Chart>,
}

/// A player's sessions.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct History {
    /// Newest first.
    pub(super) lines: Vec<Line>,
    /// Title of the protocol that the charts are of: the one run most often.
    pub(super) charted: Option<String>,
    /// A chart a hold.
    pub(super) charts: Vec<HoldChart>,
    /// What is due next, in words: of whom, by id, and what; a line a player.
    pub(super) due: Vec<(String, String)>,
    /// Folders that do not read, and why.
    pub(super) unreadable: Vec<String>,
}

/// Fewest sessions that limits are drawn from. With two there is a single range. Common practice,
/// no source.
const LEAST_CHARTED: usize = 3;

impl History {
    /// Reads the sessions of `player` (every player's where none) below `data`.
    ///
    /// # Errors
    /// The data folder cannot be listed.
    pub(super) fn of(data: &Path, player: Option<&str>) -> Result<History, Trouble> {
        let mut history = History::default();
        if !data.exists() {
            return Ok(history);
        }
        for folder in record::sessions(data)? {
            let owner = folder.parent().and_then(Path::file_name).unwrap_or_default();
            if player.is_some_and(|player| owner != player) {
                continue;
            }
            match line(&folder) {
                Ok(line) => history.lines.push(line),
                Err(trouble) => {
                    let why = trouble.0.first().map(|told| told.what.clone()).unwrap_or_default();
                    history.unreadable.push(format!("{}: {why}", folder.display()));
                }
            }
        }
        history.lines.sort_by(|a, b| b.began_s.cmp(&a.began_s).then(a.folder.cmp(&b.folder)));
        history.chart();
        let now_s = clock::utc().as_second();
        let mut by_player: BTreeMap<String, Vec<&Line>> = BTreeMap::new();
        for line in history.lines.iter().filter(|line| !line.simulated) {
            by_player.entry(line.player.clone()).or_default().push(line);
        }
        let said = by_player.into_iter().filter_map(|(id, own)| Some((id, due(&own, now_s)?)));
        history.due = said.collect();
        Ok(history)
    }

    /// Charts of the protocol that was run most often, of whole sessions, simulated ones apart.
    fn chart(&mut self) {
        let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
        let real = || self.lines.iter().filter(|line| !line.simulated && line.whole());
        for line in real() {
            *counts.entry(&line.protocol).or_insert(0) += 1;
        }
        let Some((protocol, _)) = counts.iter().max_by_key(|(_, count)| **count) else { return };
        let mut by_hold: Vec<(String, Vec<(String, f64)>)> = Vec::new();
        for line in
            real().filter(|line| line.protocol == **protocol).collect::<Vec<_>>().iter().rev()
        {
            self.charted = Some(line.title.clone());
            for (name, typical_ms) in &line.typical {
                let Some(ms) = typical_ms else { continue };
                let value = (line.day.clone(), *ms);
                match by_hold.iter_mut().find(|(known, _)| known == name) {
                    Some((_, values)) => values.push(value),
                    None => by_hold.push((name.clone(), vec![value])),
                }
            }
        }
        self.charts = by_hold
            .into_iter()
            .map(|(name, values)| {
                let ms: Vec<f64> = values.iter().map(|(_, ms)| *ms).collect();
                let chart = if ms.len() >= LEAST_CHARTED { individuals(&ms) } else { None };
                HoldChart { name, values, chart }
            })
            .collect();
    }
}

fn line(folder: &Path) -> Result<Line, Trouble> {
    let session = record::open(folder)?;
    let protocol = source::recorded(&session)?;
    let data = session_data(&session, &protocol);
    let blocks = enter::blocks(&data, 0, Rule::Declared);
    let typical = protocol.conditions.iter().enumerate().map(|(index, condition)| {
        let own = || blocks.iter().filter(|b| b.condition == index && b.unused().is_none());
        let times_ms: Vec<f64> = own().flat_map(|block| block.times_ms.iter().copied()).collect();
        let misses = own().map(|block| block.misses).sum();
        let within_ms = protocol.respond_within_ms;
        let ms = block_statistic(&times_ms, misses, BlockStatistic::TrimmedMean, within_ms).ok();
        (screens::hold_name(&condition.id), ms)
    });
    let first = session.manifest.segments.first();
    let began_s = first.map_or(0, |first| first.utc.as_second());
    let offset_s = first.map_or(0, |first| i64::from(first.local_offset_s));
    Ok(Line {
        folder: folder.to_owned(),
        player: session.manifest.player.clone(),
        day: day(began_s + offset_s),
        began_s,
        protocol: protocol.id.clone(),
        title: protocol.title.clone(),
        ending: session.manifest.ending,
        simulated: session.manifest.simulated,
        typical: typical.collect(),
    })
}

/// The date of a moment that was already put into local time, s since 1970.
fn day(local_s: i64) -> String {
    let moment = jiff::Timestamp::from_second(local_s);
    moment.map(|moment| moment.strftime("%Y-%m-%d").to_string()).unwrap_or_default()
}

/// What is due next for a player; nothing without a session. `lines`: real ones, newest first.
fn due(lines: &[&Line], now_s: i64) -> Option<String> {
    let last = lines.first()?;
    if let Some(broken_off) = lines.iter().find(|line| line.can_go_on()) {
        return Some(after::due_go_on(&broken_off.day, &broken_off.title));
    }
    let again_s = last.began_s + AGAIN_AFTER_DAYS * DAY_S;
    Some(if again_s <= now_s {
        after::due_now(&last.day, &last.title)
    } else {
        after::due_from(&day(again_s), &last.title)
    })
}

#[cfg(test)]
mod tests {
    use super::{DAY_S, Line, day};
    use crate::record::EndedAs;
    use std::path::PathBuf;

    fn line(began_s: i64, ending: Option<EndedAs>) -> Line {
        Line {
            folder: PathBuf::new(),
            player: "heron-abcd".to_owned(),
            day: day(began_s),
            began_s,
            protocol: "two-holds".to_owned(),
            title: "Two holds".to_owned(),
            ending,
            simulated: false,
            typical: Vec::new(),
        }
    }

    #[test]
    fn what_is_due_follows_the_last_session() {
        let complete = Some(EndedAs::Complete);
        let due = |lines: &[Line], now_s| super::due(&lines.iter().collect::<Vec<_>>(), now_s);
        assert_eq!(due(&[], 0), None);
        let due = |lines: &[Line], now_s| due(lines, now_s).unwrap();
        let began_s = 1_700_000_000;
        let soon = due(&[line(began_s, complete)], began_s + DAY_S);
        assert!(soon.contains("2023-12-12"), "four weeks after 2023-11-14: {soon}");
        let late = due(&[line(began_s, complete)], began_s + 30 * DAY_S);
        assert!(late.contains("due now"), "{late}");
        for open in [None, Some(EndedAs::Stopped)] {
            let broken = due(&[line(began_s + 9, complete), line(began_s, open)], began_s + DAY_S);
            assert!(broken.contains("not over"), "{broken}");
        }
        let hurt = Some(EndedAs::Discomfort);
        let rested = due(&[line(began_s, hurt)], began_s + DAY_S);
        assert!(!rested.contains("not over"), "{rested}");
    }
}
