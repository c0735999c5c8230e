//! The part of the report on whether the holds were held.

use super::page::Page;
use crate::findings::Findings;
use crate::findings::cost::HoldCost;
use crate::findings::hold_check::{Beside, HoldCheck, ToldBy};
use crate::words::findings as words;

/// The check and what stands beside it; nothing of times measured elsewhere.
pub(super) fn section(page: &mut Page, findings: &Findings) {
    let Some(check) = &findings.hold_check else { return };
    page.heading(words::HOLD_CHECK);
    if check.told_by == ToldBy::Nothing {
        page.paragraph(words::HOLD_UNKNOWN);
    }
    let hold = |condition: usize| words::hold(&findings.holds[condition].id);
    for pair in &check.pairs {
        if let Some(apart) = &pair.apart {
            let found = words::HoldRange {
                difference: apart.difference,
                range: apart.interval.map(|interval| (interval.low, interval.high)),
                held: apart.held(),
            };
            let by_force = check.told_by == ToldBy::Force;
            let (firmer, lighter) = (hold(pair.firmer), hold(pair.lighter));
            page.paragraph(&words::hold_check(&firmer, &lighter, by_force, &found));
        }
    }
    table(page, findings, check);
    page.note(words::HOLD_BESIDE);
}

fn table(page: &mut Page, findings: &Findings, check: &HoldCheck) {
    type Column = (&'static str, fn(&Beside, &HoldCost) -> Option<f64>, usize);
    const COLUMNS: [Column; 5] = [
        ("tension, of 10", |of, _| of.tension_rating, 1),
        ("force, share", |of, _| of.force_share, 2),
        ("press, ms", |_, cost| cost.press_ms, 0),
        ("at rest, counts/s", |of, _| of.rest_motion_counts_per_s, 1),
        ("small shakes, counts", |_, cost| cost.small_shakes, 2),
    ];
    let holds = || check.beside.iter().zip(&findings.costs.holds);
    // A column that no hold has anything in says nothing.
    let shown: Vec<&Column> = COLUMNS
        .iter()
        .filter(|(_, of, _)| holds().any(|(beside, cost)| of(beside, cost).is_some()))
        .collect();
    let head: Vec<&str> =
        std::iter::once("hold").chain(shown.iter().map(|(name, ..)| *name)).collect();
    let rows: Vec<Vec<String>> = holds()
        .zip(&findings.holds)
        .map(|((beside, cost), hold)| {
            let cells = shown.iter().map(|(_, of, digits)| {
                of(beside, cost).map_or_else(|| "–".to_owned(), |value| format!("{value:.digits$}"))
            });
            std::iter::once(words::hold(&hold.id)).chain(cells).collect()
        })
        .collect();
    page.table(&head, &rows);
}
