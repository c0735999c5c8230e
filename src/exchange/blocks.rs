//! From rows to blocks: which rows are one block, in which cycle it is, and when it came.
//!
//! One session at a time, except that all sessions of a table are read in the same way. Where the
//! order cannot be known, blocks stand as the rows do and the order is called unknown.

use super::fault::Fault;
use super::read::Row;
use crate::findings::input::{BlocksBy, OrderShown};
use std::collections::BTreeMap;

/// A block.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Block {
    /// Cycle, from 1.
    pub(super) cycle: usize,
    /// Index of its hold.
    pub(super) condition: usize,
    /// Its rows: indices into the session's.
    pub(super) rows: Vec<usize>,
}

/// Blocks in order of place, and whether that order is known.
pub(super) struct Ordered {
    pub(super) blocks: Vec<Block>,
    pub(super) order: OrderShown,
}

/// How the blocks of a table come about, by the columns that it has.
pub(super) fn blocks_by(sessions: &[Vec<&Row>]) -> BlocksBy {
    let all = || sessions.iter().flatten();
    let has = |told: fn(&Row) -> bool| all().any(|row| told(row));
    match (has(|row| row.cycle.is_some()), has(|row| row.block.is_some())) {
        (true, true) => BlocksBy::CyclesAndBlocks,
        (true, false) => BlocksBy::Cycles,
        (false, true) if sessions.iter().all(|rows| blocks_hold_one_each(rows)) => BlocksBy::Blocks,
        (false, true) => BlocksBy::BlocksAsCycles,
        (false, false) if has(|row| row.order.is_some()) => BlocksBy::Runs,
        (false, false) => BlocksBy::Nothing,
    }
}

fn blocks_hold_one_each(rows: &[&Row]) -> bool {
    let mut holds: BTreeMap<&str, &str> = BTreeMap::new();
    rows.iter().all(|row| {
        let block = row.block.as_deref().unwrap_or_default();
        *holds.entry(block).or_insert(&row.condition) == row.condition
    })
}

/// The blocks of one session. `session`: its name, for errors.
pub(super) fn blocks(
    rows: &[&Row],
    by: BlocksBy,
    conditions: &[String],
    session: &str,
) -> Result<Ordered, Fault> {
    let mut units = units(rows, by);
    let cycles = cycle_labels(&units);
    let cycle_of = |unit: &Unit| cycles.iter().position(|label| *label == unit.cycle);
    let order = place(&mut units, by, &cycles, session)?;
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    let blocks = units.iter().map(|unit| {
        let nth = seen.entry(unit.condition).or_insert(0);
        *nth += 1;
        let cycle = match by {
            BlocksBy::Cycles | BlocksBy::BlocksAsCycles | BlocksBy::CyclesAndBlocks => {
                cycle_of(unit).map_or(1, |place| place + 1)
            }
            BlocksBy::Blocks | BlocksBy::Runs => *nth,
            BlocksBy::Nothing => 1,
        };
        let condition = conditions.iter().position(|known| known == unit.condition);
        Block { cycle, condition: condition.unwrap_or(0), rows: unit.rows.clone() }
    });
    Ok(Ordered { blocks: blocks.collect(), order })
}

/// Rows that are one block.
#[derive(Debug, Clone)]
struct Unit<'a> {
    condition: &'a str,
    cycle: &'a str,
    block: &'a str,
    rows: Vec<usize>,
    /// Mean of the order column.
    order: Option<f64>,
}

/// The units in the order of their first rows; of runs, in their own order.
fn units<'a>(rows: &[&'a Row], by: BlocksBy) -> Vec<Unit<'a>> {
    let mut order: Vec<usize> = (0..rows.len()).collect();
    if by == BlocksBy::Runs {
        let of = |i: &usize| rows[*i].order.unwrap_or(0.0);
        order.sort_by(|i, j| of(i).total_cmp(&of(j)));
    }
    let by_place = by == BlocksBy::Runs && places_are_of_blocks(rows);
    let mut units: Vec<Unit<'a>> = Vec::new();
    for i in order {
        let row = rows[i];
        let (cycle, block) = match by {
            BlocksBy::Cycles => (row.cycle.as_deref(), None),
            BlocksBy::Blocks => (None, row.block.as_deref()),
            BlocksBy::BlocksAsCycles => (row.block.as_deref(), None),
            BlocksBy::CyclesAndBlocks => (row.cycle.as_deref(), row.block.as_deref()),
            BlocksBy::Runs | BlocksBy::Nothing => (None, None),
        };
        let (cycle, block) = (cycle.unwrap_or_default(), block.unwrap_or_default());
        let same = |unit: &Unit| {
            unit.condition == row.condition && unit.cycle == cycle && unit.block == block
        };
        let known = if by == BlocksBy::Runs {
            let last = units.len().checked_sub(1).filter(|last| same(&units[*last]));
            let place = |unit: &Unit| unit.rows.last().and_then(|last| rows[*last].order);
            last.filter(|last| !by_place || place(&units[*last]) == row.order)
        } else {
            units.iter().position(same)
        };
        match known {
            Some(known) => units[known].rows.push(i),
            None => {
                let condition = row.condition.as_str();
                units.push(Unit { condition, cycle, block, rows: vec![i], order: None });
            }
        }
    }
    for unit in &mut units {
        let orders: Option<Vec<f64>> = unit.rows.iter().map(|i| rows[*i].order).collect();
        unit.order = orders.map(|list| list.iter().sum::<f64>() / list.len() as f64);
    }
    units
}

/// Whether the order column counts blocks, not trials: two rows or more share a place on average.
fn places_are_of_blocks(rows: &[&Row]) -> bool {
    let mut places: Vec<f64> = rows.iter().filter_map(|row| row.order).collect();
    places.sort_by(f64::total_cmp);
    places.dedup();
    2 * places.len() <= rows.len()
}

/// The cycles' labels: by number where all are numbers, else as they come.
fn cycle_labels<'a>(units: &[Unit<'a>]) -> Vec<&'a str> {
    let mut labels: Vec<&str> = Vec::new();
    for unit in units {
        if !labels.contains(&unit.cycle) {
            labels.push(unit.cycle);
        }
    }
    let numbers: Option<Vec<f64>> = labels.iter().map(|label| label.parse().ok()).collect();
    if numbers.is_some() {
        let number = |label: &str| label.parse().unwrap_or(0.0_f64);
        labels.sort_by(|a, b| number(a).total_cmp(&number(b)));
    }
    labels
}

/// Puts the units in their order, as far as it is known.
fn place(
    units: &mut [Unit],
    by: BlocksBy,
    cycles: &[&str],
    session: &str,
) -> Result<OrderShown, Fault> {
    let cycle = |unit: &Unit| cycles.iter().position(|label| *label == unit.cycle).unwrap_or(0);
    let numbered = cycles.iter().all(|label| label.parse::<f64>().is_ok());
    let by_column: Option<Vec<f64>> = units.iter().map(|unit| unit.order).collect();
    let by_number: Option<Vec<f64>> = units.iter().map(|unit| unit.block.parse().ok()).collect();
    let has_order = by_column.is_some();
    if let Some(places) = by_column.or(by_number) {
        let shown = if has_order { OrderShown::Places } else { OrderShown::Numbers };
        let keyed = |within: bool| -> Vec<(usize, f64)> {
            let key = |(unit, place): (&Unit, &f64)| (if within { cycle(unit) } else { 0 }, *place);
            units.iter().zip(&places).map(key).collect()
        };
        if distinct(&keyed(false)).is_none() {
            sort(units, &keyed(false));
            return Ok(shown);
        }
        let tie = distinct(&keyed(true));
        if numbered && tie.is_none() {
            sort(units, &keyed(true));
            return Ok(OrderShown::PlacesInCycles);
        }
        if has_order && by != BlocksBy::Runs {
            let place = tie.or_else(|| distinct(&keyed(false))).unwrap_or(0.0);
            return Err(Fault::SamePlace { session: session.to_owned(), place });
        }
    }
    // Stable: within a cycle the blocks stay as their rows stand.
    units.sort_by_key(cycle);
    Ok(OrderShown::Unknown)
}

/// The first place that two share; nothing where all differ.
fn distinct(keys: &[(usize, f64)]) -> Option<f64> {
    let mut sorted = keys.to_vec();
    sorted.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let same =
        |pair: &&[(usize, f64)]| pair[0].0 == pair[1].0 && pair[0].1.total_cmp(&pair[1].1).is_eq();
    sorted.windows(2).find(same).map(|pair| pair[0].1)
}

fn sort(units: &mut [Unit], keys: &[(usize, f64)]) {
    let mut places: Vec<usize> = (0..units.len()).collect();
    places.sort_by(|i, j| keys[*i].0.cmp(&keys[*j].0).then(keys[*i].1.total_cmp(&keys[*j].1)));
    let sorted: Vec<Unit> = places.iter().map(|place| units[*place].clone()).collect();
    units.clone_from_slice(&sorted);
}

/// Whether each hold of the session was one lump: no other hold between its blocks. Where the
/// order is unknown, whether each has one block only.
pub(super) fn one_lump_each(ordered: &Ordered) -> bool {
    let holds: Vec<usize> = ordered.blocks.iter().map(|block| block.condition).collect();
    let mut runs = holds.clone();
    if ordered.order != OrderShown::Unknown {
        runs.dedup();
    }
    let mut kinds = holds;
    kinds.sort_unstable();
    kinds.dedup();
    runs.len() == kinds.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(condition: &str, cycle: Option<&str>, block: Option<&str>, order: Option<f64>) -> Row {
        Row {
            condition: condition.to_owned(),
            cycle: cycle.map(str::to_owned),
            block: block.map(str::to_owned),
            order,
            session: None,
            player: None,
            time_ms: Some(200.0),
            right: None,
        }
    }

    /// Cycle and hold of each block in its order, and what is known of that order.
    fn read(rows: &[Row]) -> (BlocksBy, Vec<(usize, usize)>, OrderShown, bool) {
        let rows: Vec<&Row> = rows.iter().collect();
        let by = blocks_by(std::slice::from_ref(&rows));
        let conditions = ["light".to_owned(), "firm".to_owned()];
        let ordered = blocks(&rows, by, &conditions, "the session").unwrap();
        let list = ordered.blocks.iter().map(|block| (block.cycle, block.condition)).collect();
        let lump = one_lump_each(&ordered);
        (by, list, ordered.order, lump)
    }

    #[test]
    fn blocks_of_one_hold_are_ordered_by_their_numbers() {
        let of = |hold, block| row(hold, None, Some(block), None);
        let rows = [of("light", "10"), of("firm", "2"), of("firm", "9"), of("light", "1")];
        let expected = vec![(1, 0), (1, 1), (2, 1), (2, 0)];
        assert_eq!(read(&rows), (BlocksBy::Blocks, expected, OrderShown::Numbers, false));
    }

    #[test]
    fn a_block_of_several_holds_serves_as_the_cycle() {
        let of = |hold, block| row(hold, None, Some(block), None);
        let rows = [of("light", "1"), of("firm", "1"), of("light", "2"), of("firm", "2")];
        let expected = vec![(1, 0), (1, 1), (2, 0), (2, 1)];
        assert_eq!(read(&rows), (BlocksBy::BlocksAsCycles, expected, OrderShown::Unknown, false));
    }

    #[test]
    fn places_may_count_in_the_session_or_in_each_cycle() {
        let of = |hold, cycle, place| row(hold, Some(cycle), None, Some(place));
        let whole = [
            of("light", "1", 1.0),
            of("firm", "1", 2.0),
            of("light", "2", 4.0),
            of("firm", "2", 3.0),
        ];
        let expected = vec![(1, 0), (1, 1), (2, 1), (2, 0)];
        assert_eq!(read(&whole), (BlocksBy::Cycles, expected, OrderShown::Places, false));
        let each = [
            of("light", "2", 2.0),
            of("firm", "2", 1.0),
            of("light", "1", 1.0),
            of("firm", "1", 2.0),
        ];
        let expected = vec![(1, 0), (1, 1), (2, 1), (2, 0)];
        assert_eq!(read(&each), (BlocksBy::Cycles, expected, OrderShown::PlacesInCycles, false));
    }

    #[test]
    fn a_lump_is_seen_with_and_without_an_order() {
        let rows = [row("light", None, None, None), row("firm", None, None, None)];
        let expected = vec![(1, 0), (1, 1)];
        assert_eq!(read(&rows), (BlocksBy::Nothing, expected, OrderShown::Unknown, true));
        let of = |hold, block| row(hold, None, Some(block), None);
        let rows = [of("light", "1"), of("light", "2"), of("firm", "3"), of("firm", "4")];
        assert!(read(&rows).3, "two blocks each, but one after the other");
        let of = |hold, place| row(hold, None, None, Some(place));
        let rows = [of("light", 1.0), of("firm", 3.0), of("light", 5.0), of("firm", 4.0)];
        let expected = vec![(1, 0), (1, 1), (2, 0)];
        assert_eq!(read(&rows), (BlocksBy::Runs, expected, OrderShown::Places, false));
        // Two trials a place: the places are those of blocks, two of them of one hold in a row.
        let blocks = ["light", "firm", "firm", "light"].into_iter().zip([1.0, 2.0, 3.0, 4.0]);
        let rows: Vec<Row> = blocks.flat_map(|(h, place)| [of(h, place), of(h, place)]).collect();
        let expected = vec![(1, 0), (1, 1), (2, 1), (2, 0)];
        assert_eq!(read(&rows), (BlocksBy::Runs, expected, OrderShown::Places, false));
    }

    #[test]
    fn two_blocks_in_one_place_are_told() {
        let of = |hold, cycle, place| row(hold, Some(cycle), None, Some(place));
        let rows = [of("light", "1", 1.0), of("firm", "1", 1.0)];
        let rows: Vec<&Row> = rows.iter().collect();
        let names = ["light".to_owned(), "firm".to_owned()];
        let told = blocks(&rows, BlocksBy::Cycles, &names, "the session").err();
        let session = "the session".to_owned();
        assert_eq!(told, Some(Fault::SamePlace { session, place: 1.0 }));
    }
}
