//! `ratings.csv`: one row a rating, 0 to 10.
//!
//! The player's expectation is one of them. Nothing is worked out here.

use super::FORMAT;
use super::table::table;
use super::trials::RowContext;
use crate::engine::RatingRecord;
use crate::protocol::Rating;

table! {
    /// A row of `ratings.csv`. Blank (`None`) where a column does not apply.
    pub struct RatingRow {
        format: u32, "", "Number of the file format.";
        simulated: bool, "", "Whether a simulated player gave the answers.";
        session: String, "", "The session's folder name.";
        segment: u32, "", "Run of the session without a restart, from 1; t_ns counts from its start.";
        player: String, "", "The player's id.";
        cycle: Option<usize>, "", "Cycle of the block it belongs to, from 1.";
        block: Option<usize>, "", "That block's place in its cycle, from 1.";
        position: Option<usize>, "", "That block's place in the session, from 1; blank before the first block.";
        condition: Option<String>, "", "That block's hold.";
        t_ns: i64, "ns", "When it was given.";
        item: String, "", "expectation, tension, discomfort or fatigue.";
        value: u8, "", "0 to 10; of an expectation: how sure.";
        expected_faster: Option<String>, "", "Of an expectation: the hold thought to be faster; blank without an opinion.";
    }
}

impl RatingRow {
    /// The rows of ratings given at one time.
    pub fn of(record: &RatingRecord, context: &RowContext) -> Vec<RatingRow> {
        let place = record.block.map(|index| context.block(index));
        let row = |&(item, value): &(Rating, u8)| RatingRow {
            format: FORMAT,
            simulated: context.simulated(),
            session: context.session().to_owned(),
            segment: record.segment,
            player: context.player().to_owned(),
            cycle: place.map(|place| place.cycle),
            block: place.map(|place| place.in_cycle),
            position: place.map(|place| place.position),
            condition: place.map(|place| place.condition.clone()),
            t_ns: (record.t - record.segment_start).0,
            item: item.name().to_owned(),
            value,
            expected_faster: match item {
                Rating::Expectation => {
                    record.expected_faster.map(|index| context.condition(index).to_owned())
                }
                Rating::Tension | Rating::Discomfort | Rating::Fatigue => None,
            },
        };
        record.ratings.iter().map(row).collect()
    }
}
