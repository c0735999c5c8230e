//! Reads a protocol file: text in, a checked protocol or every fault of the file out.

use super::fault::{Fault, ProtocolError};
use super::walk::{Place, Walk};
use super::{
    AnalysisRule, Ask, Care, Condition, Design, Family, Foreperiod, Grip, Measure, MotionRule,
    OnsetRule, Order, Protocol, Rating, Rest, StandingBreak, Statistic, Tension, check, read_task,
};
use crate::tasks::{Look, TaskKind};
use toml::de::DeTable;

/// Reads the protocol in `text`; `file` is how it is named in errors.
///
/// # Errors
/// Every fault of the file, in the order of their places.
pub fn read(text: &str, file: &str) -> Result<Protocol, Vec<ProtocolError>> {
    let mut walk = Walk::new(text, file);
    let document = match DeTable::parse(text) {
        Ok(document) => document,
        Err(error) => {
            let says = error.message().to_owned();
            walk.fault(error.span().unwrap_or(0..0), Fault::Syntax { says });
            return Err(walk.faults);
        }
    };
    let root = walk.root(&document);
    let places = Places::of(&mut walk, &root);
    let protocol = protocol(&mut walk, &root, &places);
    check::check(&mut walk, &protocol, &places);
    if walk.faults.is_empty() {
        return Ok(protocol);
    }
    let mut faults = walk.faults;
    faults.sort_by_key(|fault| (fault.line, fault.column));
    Err(faults)
}

/// The tables of a document.
pub(super) struct Places<'a> {
    pub(super) conditions: Vec<Place<'a>>,
    pub(super) design: Place<'a>,
    pub(super) task: Place<'a>,
    pub(super) stimulus: Place<'a>,
    pub(super) foreperiod: Place<'a>,
    pub(super) rest: Place<'a>,
    pub(super) standing: Place<'a>,
    pub(super) ask: Place<'a>,
    pub(super) motion: Place<'a>,
    pub(super) analysis: Place<'a>,
    pub(super) care: Place<'a>,
}

impl<'a> Places<'a> {
    fn of(walk: &mut Walk<'a>, root: &Place<'a>) -> Places<'a> {
        let rest = walk.table(root, "rest");
        let standing = walk.table(&rest, "rest.standing_break");
        Places {
            conditions: walk.tables(root, "condition"),
            design: walk.table(root, "design"),
            task: walk.table(root, "task"),
            stimulus: walk.table(root, "stimulus"),
            foreperiod: walk.table(root, "foreperiod"),
            rest,
            standing,
            ask: walk.table(root, "ask"),
            motion: walk.table(root, "motion"),
            analysis: walk.table(root, "analysis"),
            care: walk.table(root, "care"),
        }
    }
}

fn protocol<'a>(walk: &mut Walk<'a>, root: &Place<'a>, places: &Places<'a>) -> Protocol {
    let conditions: Vec<_> = places.conditions.iter().map(|at| condition(walk, at)).collect();
    let first = conditions.first().map(|c| c.id.clone()).unwrap_or_default();
    let stimulus = &places.stimulus;
    let (id, title, question) =
        (walk.text(root, "id"), walk.text(root, "title"), walk.text(root, "question"));
    let design = design(walk, places, first);
    let task = read_task::task(walk, &places.task);
    let respond_within_ms = walk.number(&places.task, "respond_within_ms");
    Protocol {
        id,
        title,
        question,
        conditions,
        design,
        task,
        respond_within_ms,
        stimulus: Look {
            size_mm: walk.number(stimulus, "size_mm"),
            contrast_share: walk.number(stimulus, "contrast_share"),
        },
        foreperiod: foreperiod(walk, &places.foreperiod),
        rest: rest(walk, places),
        ask: ask(walk, &places.ask),
        motion: motion(walk, &places.motion),
        analysis: analysis(walk, &places.analysis, &task, respond_within_ms),
        care: Care {
            discomfort_limit: u8::try_from(walk.whole(&places.care, "discomfort_limit"))
                .unwrap_or(u8::MAX),
            longest_minutes: walk.number(&places.care, "longest_minutes"),
            firm_minutes_at_most: walk.number(&places.care, "firm_minutes_at_most"),
        },
    }
}

fn condition<'a>(walk: &mut Walk<'a>, at: &Place<'a>) -> Condition {
    Condition {
        id: walk.text(at, "id"),
        grip: match walk.text(at, "grip").as_str() {
            "palm" => Grip::Palm,
            "claw" => Grip::Claw,
            "fingertip" => Grip::Fingertip,
            "mixed" => Grip::Mixed,
            _ => Grip::Other,
        },
        tension: match walk.text(at, "tension").as_str() {
            "light" => Tension::Light,
            "shaped" => Tension::Shaped,
            "firm" => Tension::Firm,
            _ => Tension::Other,
        },
        say: walk.text(at, "say"),
    }
}

fn design<'a>(walk: &mut Walk<'a>, places: &Places<'a>, first: String) -> Design {
    let at = &places.design;
    let order = match walk.text(at, "order").as_str() {
        "williams" => Order::Williams,
        "mirrored" => Order::Mirrored,
        "fixed" => Order::Fixed,
        _ => Order::Shuffled,
    };
    let cycles = walk.whole(at, "cycles");
    // The last cycle is looked at in any case: naming it changes nothing.
    let mut looks = walk.wholes(&places.analysis, "looks");
    if looks.last() == Some(&cycles) {
        looks.pop();
    }
    Design {
        order,
        cycles,
        trials: walk.whole(at, "trials"),
        warm_up: walk.whole(at, "warm_up"),
        warm_up_later: walk.whole(at, "warm_up_later"),
        reference: walk.text_or_unset(at, "reference").unwrap_or(first),
        looks,
    }
}

fn foreperiod<'a>(walk: &mut Walk<'a>, at: &Place<'a>) -> Foreperiod {
    const USUAL_CATCH_SHARE: f64 = 0.1;
    const PARTNER_MAX_MS: f64 = 15_000.0;
    let law = walk.text(at, "law");
    let min_ms = walk.number(at, "min_ms");
    let mean_ms = walk.number(at, "mean_ms");
    let max_ms = walk.number_or_unset(at, "max_ms");
    let ms = walk.number_or_unset(at, "ms");
    let catch_share = walk.number_or_unset(at, "catch_share");
    match law.as_str() {
        "uniform" => {
            let catch_share = catch_share.unwrap_or(USUAL_CATCH_SHARE);
            Foreperiod::Uniform { min_ms, max_ms: max_ms.unwrap_or(min_ms), catch_share }
        }
        "fixed" => {
            let catch_share = catch_share.unwrap_or(USUAL_CATCH_SHARE);
            Foreperiod::Fixed { ms: ms.unwrap_or(min_ms), catch_share }
        }
        "partner" => {
            Foreperiod::Partner { min_ms, mean_ms, max_ms: max_ms.unwrap_or(PARTNER_MAX_MS) }
        }
        _ => {
            let share = catch_share.unwrap_or(USUAL_CATCH_SHARE);
            // max = min + mean x ln(1/share): a draw beyond it is an empty wait.
            let max_ms = max_ms.unwrap_or_else(|| min_ms - mean_ms * libm::log(share.max(1e-3)));
            Foreperiod::Exponential { min_ms, mean_ms, max_ms }
        }
    }
}

fn rest<'a>(walk: &mut Walk<'a>, places: &Places<'a>) -> Rest {
    let standing_break = places.rest.has("standing_break").then(|| StandingBreak {
        after_block: walk.whole(&places.standing, "after_block"),
        min_s: walk.number(&places.standing, "min_s"),
    });
    Rest {
        min_s: walk.number(&places.rest, "min_s"),
        every_blocks: walk.whole(&places.rest, "every_blocks"),
        standing_break,
    }
}

fn ask<'a>(walk: &mut Walk<'a>, at: &Place<'a>) -> Ask {
    let rating = |word: String| match word.as_str() {
        "expectation" => Rating::Expectation,
        "tension" => Rating::Tension,
        "discomfort" => Rating::Discomfort,
        _ => Rating::Fatigue,
    };
    let mut list = |name| walk.words(at, name).into_iter().map(rating).collect();
    Ask {
        before: list("before"),
        after_block: list("after_block"),
        after_cycle: list("after_cycle"),
    }
}

fn motion<'a>(walk: &mut Walk<'a>, at: &Place<'a>) -> MotionRule {
    let onset = match walk.text(at, "onset").as_str() {
        "first" => OnsetRule::First,
        "5pct" => OnsetRule::FivePercent,
        _ => OnsetRule::Fit,
    };
    MotionRule {
        onset,
        low_pass_hz: walk.number(at, "low_pass_hz"),
        least_counts: walk.number(at, "least_counts"),
    }
}

fn analysis<'a>(
    walk: &mut Walk<'a>,
    at: &Place<'a>,
    task: &TaskKind,
    respond_within_ms: f64,
) -> AnalysisRule {
    AnalysisRule {
        measure: match walk.text_or_unset(at, "measure").as_deref() {
            Some("onset") => Measure::Onset,
            Some("tap_interval") => Measure::TapInterval,
            Some("track_error") => Measure::TrackError,
            Some("stillness") => Measure::Stillness,
            Some(_) => Measure::Click,
            None => read_task::measures(task).first().copied().unwrap_or(Measure::Click),
        },
        statistic: match walk.text(at, "statistic").as_str() {
            "median" => Statistic::Median,
            "mean" => Statistic::Mean,
            _ => Statistic::TrimmedMean,
        },
        family: match walk.text(at, "family").as_str() {
            "all" => Family::All,
            _ => Family::Reference,
        },
        confidence: walk.number(at, "confidence"),
        smallest_change_ms: {
            // Both are read, so that a faulty one is told of.
            let in_ms = walk.number(at, "smallest_change_ms");
            walk.number_or_unset(at, "smallest_change").unwrap_or(in_ms)
        },
        anticipation_ms: walk.number(at, "anticipation_ms"),
        lapse_ms: walk
            .number_or_unset(at, "lapse_ms")
            .unwrap_or_else(|| read_task::usual_lapse_ms(task, respond_within_ms)),
    }
}
