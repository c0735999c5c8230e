//! Rows as the sessions that the findings take, with a plan that claims no more than the table
//! shows.
//!
//! A hold's id is its name in the table. What a plan needs and a table never tells (the wait, the
//! rests, the look) does not enter the comparison; it is filled with values that say nothing.

use super::Asked;
use super::blocks::{self, Ordered};
use super::columns::Role;
use super::fault::{Fault, TableError};
use super::read::{self, Row, Rows};
use crate::findings::ANALYSIS_VERSION;
use crate::findings::input::{
    BlockPlan, Ended, HandFacts, OrderShown, Origin, RigFacts, RigNote, SessionData, TableFacts,
    TrialFacts,
};
use crate::protocol::{
    AnalysisRule, Ask, Care, Condition, Design, Family, Foreperiod, Grip, Measure, MotionRule,
    OnsetRule, Order, Part, Protocol, Rest, Tension, rules_hash,
};
use crate::record::{Flag, Flags, Outcome};
use crate::tasks::{Look, Simple, TaskKind};

/// The most holds that are compared; more are a sign of the wrong column. Common practice, no
/// source.
const MOST_HOLDS: usize = 12;
/// False-start limit of athletics rules, ms.
const ANTICIPATION_MS: f64 = 100.0;
/// The usual vigilance-test limit, ms.
const LAPSE_MS: f64 = 500.0;

/// Reads a table into sessions of one player.
///
/// `bytes`: the file's content; `file`: its name.
/// # Errors
/// Every fault of the table, each with its place and how to mend it.
pub fn read(bytes: &[u8], file: &str, asked: &Asked) -> Result<Vec<SessionData>, Vec<TableError>> {
    let table = read::rows(bytes, file, asked)?;
    let told = |column: Option<&str>, fault| TableError {
        file: file.to_owned(),
        line: None,
        column: column.map(str::to_owned),
        fault,
    };
    let header = |role: Role| {
        table.headers.iter().find(|(known, _)| *known == role).map(|(_, name)| name.as_str())
    };
    let mut faults = Vec::new();
    if !(asked.smallest_change_ms >= 0.0 && asked.smallest_change_ms.is_finite()) {
        let found = asked.smallest_change_ms;
        faults.push(told(None, Fault::SmallestChange { found }));
    }
    let rows = match of_one_player(&table.rows, asked.player.as_deref()) {
        Ok(rows) => rows,
        Err(fault) => {
            faults.push(told(header(Role::Player), fault));
            return Err(faults);
        }
    };
    let conditions = distinct(rows.iter().map(|row| row.condition.as_str()));
    if let Err(fault) = check_holds(&conditions, asked.reference.as_deref()) {
        faults.push(told(header(Role::Condition), fault));
        return Err(faults);
    }
    let names = distinct(rows.iter().map(|row| row.session.as_deref().unwrap_or_default()));
    let of_session = |name: &String| -> Vec<&Row> {
        let own = |row: &&&Row| row.session.as_deref().unwrap_or_default() == name;
        rows.iter().filter(own).copied().collect()
    };
    let sessions: Vec<Vec<&Row>> = names.iter().map(of_session).collect();
    let by = blocks::blocks_by(&sessions);
    let mut ordered = Vec::new();
    for (name, rows) in names.iter().zip(&sessions) {
        let name = session_name(file, name);
        match blocks::blocks(rows, by, &conditions, &name) {
            Ok(blocks) => ordered.push(blocks),
            Err(fault) => faults.push(told(header(Role::Order), fault)),
        }
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    let orders: Vec<OrderShown> = ordered.iter().map(|one| one.order).collect();
    let facts = TableFacts {
        file: short(file).to_owned(),
        taken: taken(&table, asked),
        blocks: by,
        order: if orders.contains(&OrderShown::Unknown) {
            OrderShown::Unknown
        } else {
            orders.into_iter().max_by_key(|order| *order as u8).unwrap_or(OrderShown::Unknown)
        },
        one_lump: ordered.iter().all(blocks::one_lump_each),
        frames: table.frames,
        answers_told: header(Role::Correct).is_some(),
    };
    let longest_ms = rows.iter().filter_map(|row| row.time_ms).fold(0.0, f64::max);
    let protocol = protocol(&facts, asked, &conditions, &ordered, longest_ms);
    let hash = rules_hash(&protocol, ANALYSIS_VERSION);
    let player = rows.first().and_then(|row| row.player.clone());
    let session = |((name, rows), ordered): ((&String, &Vec<&Row>), &Ordered)| SessionData {
        name: session_name(&facts.file, name),
        player: player.clone().unwrap_or_else(|| "not told".to_owned()),
        simulated: false,
        protocol: protocol.clone(),
        rules_hash: hash.clone(),
        seed: 0,
        draw_rule: 0,
        blocks: plans(ordered),
        trials: trials(rows, ordered, &facts),
        ratings: Vec::new(),
        expectation: None,
        began: String::new(),
        ended: Ended::Complete,
        rig: RigFacts::default(),
        origin: Origin::Table(Box::new(facts.clone())),
    };
    Ok(names.iter().zip(&sessions).zip(&ordered).map(session).collect())
}

fn of_one_player<'a>(rows: &'a [Row], asked: Option<&str>) -> Result<Vec<&'a Row>, Fault> {
    let players = distinct(rows.iter().filter_map(|row| row.player.as_deref()));
    match asked {
        Some(player) if players.iter().any(|known| known == player) => {
            Ok(rows.iter().filter(|row| row.player.as_deref() == Some(player)).collect())
        }
        Some(player) => Err(Fault::NoSuchPlayer { player: player.to_owned(), players }),
        None if players.len() > 1 => Err(Fault::SeveralPlayers { players }),
        None => Ok(rows.iter().collect()),
    }
}

fn check_holds(conditions: &[String], reference: Option<&str>) -> Result<(), Fault> {
    if let [condition] = conditions {
        return Err(Fault::OneHold { condition: condition.clone() });
    }
    if conditions.len() > MOST_HOLDS {
        return Err(Fault::ManyHolds { found: conditions.len(), most: MOST_HOLDS });
    }
    match reference {
        Some(reference) if !conditions.iter().any(|known| known == reference) => {
            let (reference, conditions) = (reference.to_owned(), conditions.to_vec());
            Err(Fault::NoReference { reference, conditions })
        }
        Some(_) | None => Ok(()),
    }
}

/// Different texts, in the order of their first coming.
fn distinct<'a>(texts: impl Iterator<Item = &'a str>) -> Vec<String> {
    let mut list: Vec<String> = Vec::new();
    for text in texts {
        if !list.iter().any(|known| known == text) {
            list.push(text.to_owned());
        }
    }
    list
}

/// A file's name without its folder.
fn short(file: &str) -> &str {
    file.rsplit(['/', '\\']).next().unwrap_or(file)
}

fn session_name(file: &str, session: &str) -> String {
    let file = short(file);
    if session.is_empty() { file.to_owned() } else { format!("{file}, session {session}") }
}

/// What was taken for what, for the reader.
fn taken(table: &Rows, asked: &Asked) -> Vec<RigNote> {
    let note = |name: &str, value: String| RigNote { name: name.to_owned(), value };
    let mut notes: Vec<RigNote> = Vec::new();
    for role in Role::ALL {
        let header = table.headers.iter().find(|(known, _)| *known == role);
        let Some((_, header)) = header else { continue };
        let value = match (role, &asked.player) {
            (Role::Time, _) => format!("column {header}, {}", table.unit),
            (Role::Player, Some(player)) => format!("column {header}: {player}"),
            _ => format!("column {header}"),
        };
        notes.push(note(role.name(), value));
    }
    if !table.headers.iter().any(|(role, _)| *role == Role::Time) {
        notes.push(note(Role::Time.name(), table.unit.clone()));
    }
    let decimals = if table.decimal_comma { ", decimal comma" } else { "" };
    notes.push(note("delimiter", format!("{}{decimals}", table.delimiter)));
    notes
}

fn plans(ordered: &Ordered) -> Vec<BlockPlan> {
    let plan = |(index, block): (usize, &blocks::Block)| BlockPlan {
        position: index + 1,
        cycle: block.cycle,
        condition: block.condition,
    };
    ordered.blocks.iter().enumerate().map(plan).collect()
}

fn trials(rows: &[&Row], ordered: &Ordered, facts: &TableFacts) -> Vec<TrialFacts> {
    let of_block = |(index, block): (usize, &blocks::Block)| -> Vec<TrialFacts> {
        let trial = |(place, row): (usize, &usize)| trial(rows[*row], index + 1, place + 1, facts);
        block.rows.iter().enumerate().map(trial).collect()
    };
    ordered.blocks.iter().enumerate().flat_map(of_block).collect()
}

fn trial(row: &Row, position: usize, trial: usize, facts: &TableFacts) -> TrialFacts {
    let outcome = match (row.right, row.time_ms) {
        (Some(false), _) => Outcome::Wrong,
        (_, Some(ms)) if ms < ANTICIPATION_MS => Outcome::Anticipation,
        (Some(true) | None, _) => Outcome::Hit,
    };
    let mut flags = Flags::NONE;
    if outcome == Outcome::Hit && row.time_ms.is_some_and(|ms| ms > LAPSE_MS) {
        flags.set(Flag::Lapse);
    }
    TrialFacts {
        position,
        part: Part::Main,
        trial,
        asks_nothing: false,
        outcome,
        flags,
        click_ms: row.time_ms,
        onset_ms: None,
        of_run: None,
        minute: None,
        rt_sd_ms: facts.frames.map(|frames| frames.sd_ms),
        shown_sd_ms: None,
        shown_source: None,
        press_source: None,
        hand: HandFacts::default(),
    }
}

fn protocol(
    facts: &TableFacts,
    asked: &Asked,
    conditions: &[String],
    ordered: &[Ordered],
    longest_ms: f64,
) -> Protocol {
    let blocks = || ordered.iter().flat_map(|one| &one.blocks);
    let condition = |id: &String| Condition {
        id: id.clone(),
        grip: Grip::Other,
        tension: Tension::Other,
        say: id.clone(),
    };
    Protocol {
        id: "table".to_owned(),
        // It stands on the pictures, which name nobody: a file's name may.
        title: "Times measured elsewhere".to_owned(),
        question: format!("Times measured elsewhere: {}", facts.file),
        conditions: conditions.iter().map(condition).collect(),
        design: Design {
            order: order(facts, ordered),
            cycles: blocks().map(|block| block.cycle).max().unwrap_or(1),
            trials: blocks().map(|block| block.rows.len()).max().unwrap_or(1),
            warm_up: 0,
            warm_up_later: 0,
            reference: asked.reference.clone().unwrap_or_else(|| conditions[0].clone()),
            looks: vec![],
        },
        task: TaskKind::Simple(Simple {}),
        respond_within_ms: longest_ms,
        stimulus: Look { size_mm: 0.0, contrast_share: 0.0 },
        foreperiod: Foreperiod::Fixed { ms: 0.0, catch_share: 0.0 },
        rest: Rest { min_s: 0.0, every_blocks: 1, standing_break: None },
        ask: Ask { before: vec![], after_block: vec![], after_cycle: vec![] },
        motion: MotionRule { onset: OnsetRule::First, low_pass_hz: 0.0, least_counts: 0.0 },
        analysis: AnalysisRule {
            measure: Measure::Click,
            statistic: asked.statistic,
            family: if asked.reference.is_some() { Family::Reference } else { Family::All },
            confidence: 0.95,
            smallest_change_ms: asked.smallest_change_ms,
            anticipation_ms: ANTICIPATION_MS,
            lapse_ms: LAPSE_MS,
        },
        care: Care { discomfort_limit: 10, longest_minutes: 0.0, firm_minutes_at_most: 0.0 },
    }
}

/// Fixed where the holds came in the same order in every cycle, or nothing tells; else they
/// changed places, by whatever rule.
fn order(facts: &TableFacts, ordered: &[Ordered]) -> Order {
    let rows_of = |one: &Ordered| -> Vec<Vec<usize>> {
        let cycles = one.blocks.iter().map(|block| block.cycle).max().unwrap_or(0);
        let row = |cycle: usize| {
            let own = one.blocks.iter().filter(|block| block.cycle == cycle);
            own.map(|block| block.condition).collect()
        };
        (1..=cycles).map(row).collect()
    };
    let rows: Vec<Vec<usize>> = ordered.iter().flat_map(rows_of).collect();
    let same = rows.windows(2).all(|pair| pair[0] == pair[1]);
    if same || facts.order == OrderShown::Unknown { Order::Fixed } else { Order::Shuffled }
}
