//! What no single key can tell: designs that cannot be run, or must not be.

use super::fault::{Fault, nearest};
use super::keys::one_of;
use super::read::Places;
use super::refusal::{self, LookRefusal, Refusal};
use super::walk::Walk;
use super::{Foreperiod, Order, Protocol, check_task};
use std::ops::Range;

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
    let (own, needs): (&[&str], &[&str]) = match protocol.foreperiod {
        Foreperiod::Exponential { .. } => (&["min_ms", "mean_ms", "max_ms", "catch_share"], &[]),
        Foreperiod::Uniform { .. } => (&["min_ms", "max_ms", "catch_share"], &["max_ms"]),
        Foreperiod::Fixed { .. } => (&["ms", "catch_share"], &["ms"]),
        Foreperiod::Partner { .. } => (&["min_ms", "mean_ms", "max_ms"], &[]),
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
        Foreperiod::Partner { min_ms, mean_ms, max_ms } if max_ms <= min_ms + mean_ms => {
            let what = format!(
                "a cue is waited for {max_ms} ms, and is expected after {} ms",
                min_ms + mean_ms
            );
            let mend = "write a max_ms well above min_ms + mean_ms".to_owned();
            let name = if at.has("max_ms") { "max_ms" } else { "mean_ms" };
            unfit(walk, at.span_of(name), what, mend);
        }
        Foreperiod::Uniform { .. } | Foreperiod::Fixed { .. } | Foreperiod::Partner { .. } => {}
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
    if design.order == Order::Williams && holds == 2 {
        let what = "`design.order` is \"williams\" with two holds".to_owned();
        let mend = "write shuffled: with two holds it has more orders to draw from".to_owned();
        unfit(walk, places.design.span_of("order"), what, mend);
    }
    let cycles = design.cycles;
    let mut judged = protocol.clone();
    if holds == 2 && design.order == Order::Williams {
        // That is told already; its length is judged as it will be mended.
        judged.design.order = Order::Shuffled;
    }
    match refusal::of_design(&judged) {
        Some(Refusal::WholeSets { .. }) if design.order == Order::Mirrored => {
            let what = format!("{cycles} cycles do not go there and back equally often");
            unfit(walk, span, what, format!("write {} or {}", cycles - 1, cycles + 1));
        }
        Some(Refusal::WholeSets { set }) => {
            let what = format!("{cycles} cycles of {holds} holds are no whole Williams sets");
            let (below, above) = (cycles / set * set, (cycles / set + 1) * set);
            let mend = match below {
                0 => format!("write {above} cycles (whole sets of {set})"),
                _ => format!("write {below} or {above} cycles (whole sets of {set})"),
            };
            unfit(walk, span, what, mend);
        }
        Some(Refusal::TooFewCycles { least }) => {
            let what = format!("{cycles} cycles of {holds} holds leave too little to judge by");
            unfit(walk, span, what, format!("write at least {least} cycles"));
        }
        Some(Refusal::NoOrder) => {
            let what =
                "no order of the blocks can tell the holds from practice and fatigue".to_owned();
            unfit(walk, places.design.span_of("order"), what, "write more cycles".to_owned());
        }
        Some(Refusal::Look(look)) => {
            let (what, mend) = told_of_look(look, protocol);
            unfit(walk, places.analysis.span_of("looks"), what, mend);
        }
        // Of the care for the hand, `check_care` tells.
        Some(Refusal::FirmBlock { .. } | Refusal::FirmMinutes { .. } | Refusal::TooLong { .. })
        | None => {}
    }
}

/// What is wrong with a planned look, and how to mend it.
fn told_of_look(look: LookRefusal, protocol: &Protocol) -> (String, String) {
    let (cycles, holds) = (protocol.design.cycles, protocol.conditions.len());
    match look {
        LookRefusal::Order { cycle } if cycle >= cycles => (
            format!("`analysis.looks` names cycle {cycle}, and there are {cycles} cycles"),
            "name cycles before the last one: that one is looked at in any case".to_owned(),
        ),
        LookRefusal::Order { cycle } => (
            format!("`analysis.looks` names cycle {cycle} after a later one, or twice"),
            "write the cycles in order, each once".to_owned(),
        ),
        LookRefusal::TooEarly { cycle, least } => (
            format!("a look after cycle {cycle} of {holds} holds has too little to judge by"),
            format!("look after cycle {least} at the earliest"),
        ),
        LookRefusal::CutsSet { cycle, set } => (
            format!("a look after cycle {cycle} cuts a whole set of {set} cycles in two"),
            format!("look after a multiple of {set} cycles, or write shuffled as the order"),
        ),
        LookRefusal::Stretch { cycle } => (
            format!("the stretch that ends with cycle {cycle} is too short to be drawn by itself"),
            "leave two cycles or more between looks, and after the last one".to_owned(),
        ),
        LookRefusal::FixedOrder => (
            "`analysis.looks` with the order \"fixed\": no look could settle anything".to_owned(),
            "leave it out, or write shuffled as the order".to_owned(),
        ),
    }
}

fn check_care(walk: &mut Walk, protocol: &Protocol, places: &Places) {
    let care = &protocol.care;
    for refusal in refusal::of_care(protocol) {
        let (key, what, mend) = match refusal {
            Refusal::FirmBlock { longest_s } => (
                "trials",
                format!(
                    "a block under a firm hold may last {longest_s:.0} s with its warm-up, empty \
                     waits and repeats"
                ),
                format!("write fewer trials: {:.0} s at most", refusal::FIRM_BLOCK_S),
            ),
            Refusal::FirmMinutes { minutes } => (
                "cycles",
                format!("{minutes:.1} minutes may be spent under a firm hold"),
                format!(
                    "write fewer cycles or trials: `care.firm_minutes_at_most` is {}",
                    care.firm_minutes_at_most
                ),
            ),
            Refusal::TooLong { minutes } => (
                "cycles",
                format!("the session takes about {minutes:.0} minutes"),
                format!(
                    "write fewer cycles or trials: `care.longest_minutes` is {}",
                    care.longest_minutes
                ),
            ),
            Refusal::WholeSets { .. }
            | Refusal::TooFewCycles { .. }
            | Refusal::NoOrder
            | Refusal::Look(_) => continue,
        };
        unfit(walk, places.design.span_of(key), what, mend);
    }
}
