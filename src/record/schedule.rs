//! `schedule.csv`: what was drawn beforehand, one row a planned trial, spare waits after them.
//!
//! Written once, at the start. It does not draw: a schedule comes in.

use super::FORMAT;
use super::table::table;
use super::trials::RowContext;
use crate::protocol::Schedule;

table! {
    /// A row of `schedule.csv`.
    pub struct ScheduleRow {
        format: u32, "", "Number of the file format.";
        draw_rule: u32, "", "Number of the rule that drew it.";
        seed: u64, "", "Seed of the draw.";
        cycle: usize, "", "Cycle, from 1.";
        block: usize, "", "The block's place in its cycle, from 1.";
        position: usize, "", "The block's place in the session, from 1.";
        condition: String, "", "The hold.";
        part: String, "", "warm_up, main or catch; spare for a wait kept for a trial that is done again.";
        trial: Option<usize>, "", "Place in the block, from 1; blank for a spare wait.";
        foreperiod_ms: f64, "ms", "The wait; of a catch trial: how long it lasts.";
        stimulus: Option<String>, "", "What is shown; blank for a spare wait.";
    }
}

impl ScheduleRow {
    /// The rows of a schedule.
    pub fn of(schedule: &Schedule, context: &RowContext) -> Vec<ScheduleRow> {
        let mut rows = Vec::new();
        for (index, block) in schedule.blocks.iter().enumerate() {
            let place = context.block(index);
            let row = |part: &str, trial, foreperiod_ms, stimulus| ScheduleRow {
                format: FORMAT,
                draw_rule: schedule.draw_rule,
                seed: schedule.seed,
                cycle: place.cycle,
                block: place.in_cycle,
                position: place.position,
                condition: place.condition.clone(),
                part: part.to_owned(),
                trial,
                foreperiod_ms,
                stimulus,
            };
            rows.extend(block.trials.iter().map(|trial| {
                let stimulus = Some(trial.stimulus.label());
                row(trial.part.name(), Some(trial.number), trial.foreperiod_ms, stimulus)
            }));
            let spare = |&wait_ms: &f64| row("spare", None, wait_ms, None);
            rows.extend(block.spare_foreperiods_ms.iter().map(spare));
        }
        rows
    }
}
