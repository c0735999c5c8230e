//! What no single key can tell: designs that cannot be run, or must not be.

use super::fault::{Fault, nearest};
use super::keys::one_of;
use super::orders::{self, trend_widens, williams_rows};
use super::read::Places;
use super::walk::Walk;
use super::words_drawn::{Drawn, Stream};
use super::{Foreperiod, Order, Protocol, check_task, draw, minutes};
use crate::tasks::TaskKind;
use std::ops::Range;

/// No block under a firm hold lasts longer, s. The program's own; no key lifts it.
const FIRM_BLOCK_S: f64 = 75.0;
/// Holds that one protocol can compare.
const HOLDS: std::ops::RangeInclusive<usize> = 2..=8;

/// Adds the faults of keys that do not fit each other.
///
/// Each check runs when the tables that it reads are sound, so that one slip of the pen hides no other
/// fault, and nobody is told of things that the file does not say.
pub(super) fn check<'a>(walk: &mut Walk<'a>, protocol: &Protocol, places: &Places<'a>) {
    let holds_fit = fits(walk, &["condition", "design"], |walk| {
        check_holds(walk, protocol, places);
    });
    let task_fits = fits(walk, &["task", "analysis"], |walk| {
        check_task::check(walk, protocol, places);
        check_limits(walk, protocol, places);
    });
    let waits_fit = fits(walk, &["foreperiod"], |walk| check_foreperiod(walk, protocol, places));
    if !holds_fit {
        return;
    }
    let rest_fits = fits(walk, &["rest"], |walk| check_standing(walk, protocol, places));
    check_order(walk, protocol, places);
    if task_fits && waits_fit && rest_fits && walk.is_sound(&["", "ask", "care"]) {
        check_care(walk, protocol, places);
    }
}

/// Runs a check; whether the tables that it reads are sound and it found nothing.
fn fits<'a>(walk: &mut Walk<'a>, tables: &[&str], check: impl FnOnce(&mut Walk<'a>)) -> bool {
    let before = walk.faults.len();
    // A hold named twice, or no reference, is told of even where another key is faulty.
    if tables.contains(&"condition") || walk.is_sound(tables) {
        check(walk);
    }
    walk.faults.len() == before && walk.is_sound(tables)
}

pub(super) fn unfit(walk: &mut Walk, span: Range<usize>, what: String, mend: String) {
    walk.fault(span, Fault::Unfit { what, mend });
}

fn check_holds(walk: &mut Walk, protocol: &Protocol, places: &Places) {
    let holds = &protocol.conditions;
    if !HOLDS.contains(&holds.len()) {
        let span = places.conditions.last().map_or(0..0, |at| at.span_of("id"));
        let what = format!("there are {} holds to compare", holds.len());
        unfit(walk, span, what, "write two to eight [[condition]] tables".to_owned());
    }
    for (i, hold) in holds.iter().enumerate() {
        if !hold.id.is_empty() && holds[..i].iter().any(|other| other.id == hold.id) {
            let what = format!("`condition.id` is \"{}\" for the second time", hold.id);
            let mend = "give each hold an id of its own".to_owned();
            unfit(walk, places.conditions[i].span_of("id"), what, mend);
        }
    }
    let reference = protocol.design.reference.as_str();
    let ids: Vec<&str> = holds.iter().map(|hold| hold.id.as_str()).collect();
    if places.design.has("reference") && !reference.is_empty() && !ids.contains(&reference) {
        let fault = Fault::UnknownWord {
            path: "design.reference".to_owned(),
            found: format!("\"{reference}\""),
            mend: format!("write the id of a hold: {}", one_of(&ids)),
            nearest: nearest(reference, ids.iter().copied()).map(str::to_owned),
        };
        walk.fault(places.design.span_of("reference"), fault);
    }
}

fn check_foreperiod<'a>(walk: &mut Walk<'a>, protocol: &Protocol, places: &Places<'a>) {
    let at = &places.foreperiod;
    let law = walk.text(at, "law");
    if law == "partner" {
        let what = "`foreperiod.law` is \"partner\", which is not built yet".to_owned();
        let mend = "write exponential, uniform or fixed (nearest: exponential)".to_owned();
        unfit(walk, at.span_of("law"), what, mend);
        return;
    }
    let (own, needs): (&[&str], &[&str]) = match protocol.foreperiod {
        Foreperiod::Exponential { .. } => (&["min_ms", "mean_ms", "max_ms", "catch_share"], &[]),
        Foreperiod::Uniform { .. } => (&["min_ms", "max_ms", "catch_share"], &["max_ms"]),
        Foreperiod::Fixed { .. } => (&["ms", "catch_share"], &["ms"]),
    };
    for name in ["min_ms", "mean_ms", "max_ms", "ms", "catch_share"] {
        if at.has(name) && !own.contains(&name) {
            let what = format!("`foreperiod.{name}` is of no use to the law {law}");
            unfit(
                walk,
                at.span_of(name),
                what,
                format!("leave it out; {law} takes {}", own.join(", ")),
            );
        }
    }
    for name in needs.iter().filter(|name| !at.has(name)) {
        let what = format!("`foreperiod.{name}` is missing");
        unfit(walk, at.span_of("law"), what, format!("the law {law} needs it"));
    }
    match protocol.foreperiod {
        Foreperiod::Exponential { min_ms, mean_ms, max_ms } => {
            if at.has("max_ms") && at.has("catch_share") {
                let what = "`foreperiod.max_ms` and `foreperiod.catch_share` are both given";
                let mend = "give one: max = min + mean x ln(1/share)".to_owned();
                unfit(walk, at.span_of("max_ms"), what.to_owned(), mend);
            }
            let share = protocol.foreperiod.catch_share();
            if !(0.01..=0.3).contains(&share) {
                let name = if at.has("max_ms") { "max_ms" } else { "catch_share" };
                let what = format!(
                    "with min {min_ms}, mean {mean_ms} and max {max_ms:.0} ms, {:.1} % of the \
                     waits are empty",
                    share * 100.0
                );
                let mend = "write a catch_share from 0.01 to 0.3: without empty waits the \
                            stimulus becomes surer the longer the wait";
                unfit(walk, at.span_of(name), what, mend.to_owned());
            }
        }
        Foreperiod::Uniform { min_ms, max_ms, .. } if at.has("max_ms") && max_ms <= min_ms => {
            let what =
                format!("the longest wait, {max_ms} ms, is not above the shortest, {min_ms}");
            unfit(walk, at.span_of("max_ms"), what, "write a larger max_ms".to_owned());
        }
        Foreperiod::Uniform { .. } | Foreperiod::Fixed { .. } => {}
    }
}

fn check_limits(walk: &mut Walk, protocol: &Protocol, places: &Places) {
    let rules = &protocol.analysis;
    if rules.lapse_ms >= protocol.respond_within_ms {
        let what = format!(
            "`analysis.lapse_ms` ({}) is not below `task.respond_within_ms` ({})",
            rules.lapse_ms, protocol.respond_within_ms
        );
        let mend = "write a smaller lapse_ms or a larger respond_within_ms".to_owned();
        unfit(walk, places.analysis.span_of("lapse_ms"), what, mend);
    }
}

fn check_standing(walk: &mut Walk, protocol: &Protocol, places: &Places) {
    if let Some(standing) = protocol.rest.standing_break {
        let blocks = protocol.design.cycles * protocol.conditions.len();
        if standing.after_block >= blocks {
            let what = format!("there is no block after block {}", standing.after_block);
            let mend = format!("write a number from 1 to {}", blocks.saturating_sub(1));
            unfit(walk, places.standing.span_of("after_block"), what, mend);
        }
    }
}

fn check_order(walk: &mut Walk, protocol: &Protocol, places: &Places) {
    let (design, holds) = (&protocol.design, protocol.conditions.len());
    let span = places.design.span_of("cycles");
    let faults_before = walk.faults.len();
    match design.order {
        Order::Williams if holds == 2 => {
            let what = "`design.order` is \"williams\" with two holds".to_owned();
            let mend = "write shuffled: with two holds it has more orders to draw from".to_owned();
            unfit(walk, places.design.span_of("order"), what, mend);
        }
        Order::Williams => {
            let set = williams_rows(holds).len();
            if !design.cycles.is_multiple_of(set) {
                let what =
                    format!("{} cycles of {holds} holds are no whole Williams sets", design.cycles);
                let (below, above) = (design.cycles / set * set, (design.cycles / set + 1) * set);
                let mend = match below {
                    0 => format!("write {above} cycles (whole sets of {set})"),
                    _ => format!("write {below} or {above} cycles (whole sets of {set})"),
                };
                unfit(walk, span.clone(), what, mend);
            }
        }
        Order::Mirrored if !design.cycles.is_multiple_of(2) => {
            let what = format!("{} cycles do not go there and back equally often", design.cycles);
            let mend = format!("write {} or {}", design.cycles - 1, design.cycles + 1);
            unfit(walk, span.clone(), what, mend);
        }
        Order::Mirrored | Order::Shuffled | Order::Fixed => {}
    }
    // (C-1)(K-1) - 1 degrees of freedom; below 2 no interval can be given.
    let df = ((holds - 1) * (design.cycles - 1)).saturating_sub(1);
    // A long watch is too long for that many blocks in one sitting: several days are read together.
    let long_watch = matches!(protocol.task, TaskKind::Vigilance(_));
    if df < 2 && !long_watch {
        let least = 1 + 3usize.div_ceil(holds - 1);
        let what =
            format!("{} cycles of {holds} holds leave too little to judge by", design.cycles);
        unfit(walk, span, what, format!("write at least {least} cycles"));
        return;
    }
    if walk.faults.len() > faults_before {
        return;
    }
    let mut drawn = Drawn::new(0, draw::DRAW_RULE, Stream::Orders);
    let order = orders::draw(design, holds, &mut drawn);
    let told_apart = order.as_ref().is_some_and(|order| {
        design.order == Order::Fixed || long_watch || trend_widens(order, holds).is_some()
    });
    if !told_apart {
        let what = "no order of the blocks can tell the holds from practice and fatigue".to_owned();
        unfit(walk, places.design.span_of("order"), what, "write more cycles".to_owned());
    }
}

fn check_care(walk: &mut Walk, protocol: &Protocol, places: &Places) {
    let takes = minutes::minutes(protocol);
    let care = &protocol.care;
    if takes.longest_firm_block_s > FIRM_BLOCK_S {
        let what = format!(
            "a block under a firm hold may last {:.0} s with its warm-up, empty waits and repeats",
            takes.longest_firm_block_s
        );
        let mend = format!("write fewer trials: {FIRM_BLOCK_S:.0} s at most");
        unfit(walk, places.design.span_of("trials"), what, mend);
    }
    if takes.firm_at_most > care.firm_minutes_at_most {
        let what = format!("{:.1} minutes may be spent under a firm hold", takes.firm_at_most);
        let mend = format!(
            "write fewer cycles or trials: `care.firm_minutes_at_most` is {}",
            care.firm_minutes_at_most
        );
        unfit(walk, places.design.span_of("cycles"), what, mend);
    }
    if takes.elapsed > care.longest_minutes {
        let what = format!("the session takes about {:.0} minutes", takes.elapsed);
        let mend = format!(
            "write fewer cycles or trials: `care.longest_minutes` is {}",
            care.longest_minutes
        );
        unfit(walk, places.design.span_of("cycles"), what, mend);
    }
}
