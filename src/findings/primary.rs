//! The declared comparison of a block table, by the protocol's own rules.
//!
//! Translates rules and draws for the analysis and nothing else. The re-randomisation test redraws
//! by the very rule that drew the schedule: every order where they can be listed and one session
//! is compared, else a seeded sample, each session drawn by itself. Of a table measured elsewhere
//! the draw is unknown: no such test.

use super::FindingsError;
use super::compare::{Redraw, Table};
use super::elsewhere;
use super::looks;
use crate::analysis::{BlockRow, Pair, Redraws};
use crate::plan::look;
use crate::protocol::{BlockOrder, Design, OtherDraws, REDRAWS, other_draws, redraws};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha12Rng;

/// Seed of the sampled test: fixed, so that the same rows give the same p.
const SAMPLE_SEED: u64 = 0x7461_7574_6c69_6e65;

/// Compares the holds of `table`, by its protocol's analysis rules.
///
/// # Errors
/// [`FindingsError::Analysis`] where the table or the rules do not fit the analysis.
pub fn primary(table: &Table) -> Result<Vec<Pair>, FindingsError> {
    let protocol = table.protocol;
    let level = looks::level(table)?;
    let compare = |rows: &[BlockRow], draws| look::compare_rows(protocol, rows, &level, draws);
    if let Some(facts) = elsewhere::facts(table.sessions) {
        let rows = elsewhere::rows(facts, &table.rows);
        return Ok(elsewhere::withhold(facts, compare(&rows, Redraws::None)?));
    }
    // A session that ended early has no list of orders that could have been drawn up to there.
    let whole = protocol.design.looks.is_empty() || level.is_last();
    let draws = match table.redraw {
        Redraw::Wanted if whole => draws(&protocol.design, protocol.conditions.len(), &table.rows),
        Redraw::Wanted | Redraw::Spared => Redraws::None,
    };
    Ok(compare(&table.rows, draws)?)
}

/// Rows x redraws that are worth their time. With many sessions t is as good as exact, and fewer
/// redraws say as much.
const MOST_ROWS_REDRAWN: usize = 2_000_000;
/// Fewest redraws: the smallest p is then 0.001.
const FEWEST_REDRAWS: usize = 999;

/// The orders that could have been drawn, as conditions of the rows that are there.
fn draws<'a>(design: &'a Design, holds: usize, rows: &'a [BlockRow]) -> Redraws<'a> {
    let sessions = rows.iter().map(|row| row.session).max().map_or(0, |last| last + 1);
    let list = match other_draws(design, holds) {
        OtherDraws::None => return Redraws::None,
        OtherDraws::Exact(list) if sessions == 1 => return listed(list, rows),
        OtherDraws::Exact(list) => Some(list),
        OtherDraws::Sampled => None,
    };
    // Sessions drawn by themselves multiply; the mirror image of all of them has the same |t|.
    let one = list.as_ref().map_or(f64::INFINITY, |list| list.len() as f64);
    let all: f64 = (0..sessions).map(|_| one).product();
    let redraws_wanted = (MOST_ROWS_REDRAWN / rows.len().max(1)).clamp(FEWEST_REDRAWS, REDRAWS);
    let attainable_p = (2.0 / all).min(1.0).max(1.0 / (redraws_wanted + 1) as f64);
    let places = Places::of(rows);
    let orders: Box<dyn Iterator<Item = Vec<u8>> + 'a> = if let Some(list) = list {
        let mut words = ChaCha12Rng::seed_from_u64(SAMPLE_SEED);
        Box::new((0..redraws_wanted).map(move |_| {
            let drawn: Vec<&BlockOrder> =
                (0..sessions).map(|_| &list[words.random_range(0..list.len())]).collect();
            places.at_rows(|session| drawn.get(session).map(|order| order.as_slice()))
        }))
    } else {
        let mut streams: Vec<_> = (0..sessions)
            .map(|session| {
                let seed = SAMPLE_SEED.wrapping_add(session as u64);
                redraws(design, holds, design.draw_rule(), seed)
            })
            .collect();
        Box::new((0..redraws_wanted).map(move |_| {
            let drawn: Vec<BlockOrder> = streams.iter_mut().filter_map(Iterator::next).collect();
            places.at_rows(|session| drawn.get(session).map(Vec::as_slice))
        }))
    };
    Redraws::MonteCarlo { orders, attainable_p }
}

/// One session's orders. Where blocks are missing, several orders look alike on those that are
/// there: they count as often as they could have been drawn.
fn listed<'a>(list: Vec<BlockOrder>, rows: &[BlockRow]) -> Redraws<'a> {
    let places = Places::of(rows);
    let orders: Vec<Vec<u8>> =
        list.iter().map(|order| places.at_rows(|_| Some(order.as_slice()))).collect();
    let is_observed = |order: &&Vec<u8>| {
        order.iter().zip(rows).all(|(hold, row)| usize::from(*hold) == row.condition)
    };
    let alike = orders.iter().filter(is_observed).count().max(1);
    let attainable_p = (2.0 * alike as f64 / orders.len() as f64).min(1.0);
    Redraws::Exact { orders: Box::new(orders.into_iter()), attainable_p }
}

/// Where each row stands: its session, and its place there from 0.
struct Places(Vec<(usize, usize)>);

impl Places {
    fn of(rows: &[BlockRow]) -> Places {
        let place = |row: &BlockRow| {
            // Positions count from 1 and are whole.
            let place = (1..).take_while(|place| f64::from(*place) < row.position).count();
            (row.session, place)
        };
        Places(rows.iter().map(place).collect())
    }

    /// What a redraw of every session gives the blocks that are there (some may be missing).
    fn at_rows<'a>(&self, order_of: impl Fn(usize) -> Option<&'a [u8]>) -> Vec<u8> {
        let hold = |&(session, place): &(usize, usize)| {
            order_of(session).and_then(|order| order.get(place)).copied().unwrap_or(u8::MAX)
        };
        self.0.iter().map(hold).collect()
    }
}
