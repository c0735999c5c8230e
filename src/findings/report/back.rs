//! The back of the report, for whoever checks it: rules, every number, exclusions, the rig.

use super::page::Page;
use super::table;
use crate::analysis::{Interval, Pair, PairFit};
use crate::findings::compare::Hold;
use crate::findings::enter::LeftOut;
use crate::findings::{ANALYSIS_VERSION, Findings, elsewhere, sentence};
use crate::protocol::{AnalysisRule, Family, Measure, OnsetRule, Order, Statistic};
use crate::words::findings as words;
use crate::words::{explored, looks as looks_words, tables};

pub(super) fn heading(page: &mut Page) {
    page.element("h2", "behind", "How this was worked out");
}

pub(super) fn rules(page: &mut Page, findings: &Findings) {
    if let Some(facts) = elsewhere::facts(&findings.sessions) {
        return table::rules(page, findings, facts);
    }
    let protocol = findings.protocol();
    let rules = &protocol.analysis;
    let declared = findings.explored.is_none();
    page.element("h3", "", if declared { RULES } else { explored::RULES });
    let design = &protocol.design;
    let order = order_drawn(design.order);
    page.list(&[
        format!(
            "Design: {} holds, {} cycles of one block each, {} main trials a block; order: {order}.",
            protocol.conditions.len(),
            design.cycles,
            design.trials
        ),
        measure(findings),
        statistic(rules, protocol.respond_within_ms),
        format!(
            "What enters: the last attempt of each main trial that is a hit at or above {} ms or a \
             miss, without overflow, stalled, clock_jump, focus_lost or unplugged. Lapses (over {} \
             ms) stay in. A late_frame trial that could not be done again enters and is counted. A \
             block with fewer than half of its planned trials is left out and named.",
            rules.anticipation_ms, rules.lapse_ms
        ),
        if findings.over_players.is_some() { MODEL_OF_PLAYERS } else { MODEL }.to_owned(),
        intervals(rules),
        equivalence(rules),
        VERDICT.to_owned(),
    ]);
    if !design.looks.is_empty() {
        page.paragraph(&looks_words::rule(&design.looks, design.cycles, findings.level.cycle));
        page.paragraph(&looks_words::level(
            &words::fine_confidence(findings.level.confidence),
            &words::fine_confidence(findings.level.equivalence_confidence),
        ));
    }
}

const RULES: &str = "Rules, declared before the first block";
const MODEL: &str = "Model: block statistic = hold + cycle + linear trend in block position (within \
    session), ordinary least squares, blocks unweighted.";
const MODEL_OF_PLAYERS: &str = "Model: difference of block statistics within a cycle = mean + trend \
    x distance in position + player + session, players and sessions random, REML; intervals by \
    Bonferroni, degrees of freedom by Satterthwaite, at most players \u{2212} 1.";

pub(super) const fn order_drawn(order: Order) -> &'static str {
    match order {
        Order::Williams => "Williams squares, letters and rows drawn",
        Order::Mirrored => "mirrored",
        Order::Shuffled => "shuffled in each cycle, restricted so that the trend stays estimable",
        Order::Fixed => "fixed",
    }
}

pub(super) const VERDICT: &str = "The verdict comes from the simultaneous interval alone. Chances read the \
    estimate's t distribution as a posterior under a flat prior.";

pub(super) fn equivalence(rules: &AnalysisRule) -> String {
    let unit = rules.measure.unit();
    format!(
        "Least difference that matters: {} {unit}. Equivalence: two one-sided tests at 5 % each \
         (Schuirmann 1987), the family's 90 % interval inside \u{b1}{} {unit}.",
        rules.smallest_change_ms, rules.smallest_change_ms
    )
}

fn measure(findings: &Findings) -> String {
    match findings.protocol().analysis.measure {
        Measure::Click => {
            "Measure: click reaction time, button press minus stimulus onset.".to_owned()
        }
        Measure::Onset => {
            let rule = match findings.protocol().motion.onset {
                OnsetRule::First => "first count of the run of motion",
                OnsetRule::FivePercent => "5 % of peak speed",
                OnsetRule::Fit => "start of a fit from rest to peak speed",
            };
            format!("Measure: movement onset minus stimulus onset, by {rule}.")
        }
        Measure::TapInterval => "Measure: mean time from one tap to the next in a trial, ms; a \
             trial with fewer than five taps has none. Where figures below are of no other unit, they \
             are in ms."
            .to_owned(),
        Measure::TrackError => "Measure: root of the mean square of the distance between the view and \
             the middle of the target, px, without the first 2 s. All figures below that are no times \
             are in px."
            .to_owned(),
        Measure::Stillness => "Measure: root of the mean square of the counts in 5 ms while keeping \
             still, counts; blank where the mouse sent fewer than 20 reports. All figures below that \
             are no times are in counts."
            .to_owned(),
    }
}

pub(super) fn statistic(rules: &AnalysisRule, limit_ms: f64) -> String {
    match rules.statistic {
        Statistic::TrimmedMean => {
            "Block statistic: 20 % trimmed mean, floor(0.2 n) cut at each end; a \
            miss ranks above every hit; blank if a miss would be averaged."
                .to_owned()
        }
        Statistic::Median => {
            "Block statistic: median; a miss ranks above every hit; blank if a miss \
            would be averaged."
                .to_owned()
        }
        Statistic::Mean => {
            format!("Block statistic: mean; a miss counts as the response limit, {limit_ms} ms.")
        }
    }
}

pub(super) fn intervals(rules: &AnalysisRule) -> String {
    let family = match rules.family {
        Family::Reference => "each hold against the reference (Dunnett)",
        Family::All => "all pairs (Tukey)",
    };
    format!(
        "Intervals: simultaneous at {} for {family}, from the multivariate t with the model's own \
         covariance; with two holds this is the plain t interval.",
        words::confidence(rules.confidence)
    )
}

pub(super) fn pairs(page: &mut Page, findings: &Findings) {
    page.element("h3", "", "Comparisons (ms; difference = first \u{2212} second)");
    let label = |pair: &Pair| {
        format!("{} \u{2212} {}", findings.holds[pair.a].id, findings.holds[pair.b].id)
    };
    let labels: Vec<String> = findings.pairs.iter().map(label).collect();
    let mut head = vec![""];
    head.extend(labels.iter().map(String::as_str));
    let row = |name: &str, cell: &dyn Fn(&Pair) -> String| {
        let mut cells = vec![name.to_owned()];
        cells.extend(findings.pairs.iter().map(cell));
        cells
    };
    let of_fit = |name: &str, cell: &dyn Fn(&PairFit) -> String| {
        row(name, &|pair| pair.fit.as_ref().map_or_else(|| "\u{2013}".to_owned(), cell))
    };
    let at_both_ends = |pair: &Pair| {
        let place = findings.pairs.iter().position(|other| other == pair);
        let bounds = place.and_then(|place| findings.bounds.get(place).copied().flatten());
        bounds.map_or_else(|| "\u{2013}".to_owned(), |bounds| ends(bounds.low_ms, bounds.high_ms))
    };
    let everything_in = |pair: &Pair| {
        let same = |other: &&Pair| other.a == pair.a && other.b == pair.b;
        let fit = findings.pairs_everything_in.iter().find(same).and_then(|other| other.fit);
        fit.map_or_else(
            || "\u{2013}".to_owned(),
            |fit| format!("{} [{}]", ms(fit.difference), ends(fit.low, fit.high)),
        )
    };
    page.table(
        &head,
        &[
            of_fit("difference", &|fit| ms(fit.difference)),
            of_fit("standard error", &|fit| ms(fit.standard_error)),
            of_fit("degrees of freedom", &|fit| format!("{:.0}", fit.df)),
            of_fit("simultaneous interval", &|fit| ends(fit.low, fit.high)),
            of_fit("unadjusted interval", &|fit| ends(fit.low_single, fit.high_single)),
            of_fit("interval for equivalence", &|fit| {
                ends(fit.equivalence_low, fit.equivalence_high)
            }),
            of_fit("p of t, unadjusted", &|fit| p(fit.p_t)),
            of_fit("p, adjusted in the family", &|fit| p(fit.p_adjusted)),
            row("p by re-randomisation, unadjusted", &|pair| maybe_p(pair.p_randomization)),
            row("p by re-randomisation, in the family (max t)", &|pair| {
                maybe_p(pair.p_randomization_family)
            }),
            row("smallest p the design can give", &|pair| maybe_p(pair.attainable_p)),
            of_fit("chance that the first is faster", &|fit| words::percent(fit.chance_a_faster)),
            of_fit("\u{2026} by more than what matters", &|fit| {
                words::percent(fit.chance_a_faster_by_enough)
            }),
            row("verdict", &|pair| pair.verdict.name().to_owned()),
            row("without exclusions", &everything_in),
            row("difference with what stays out at both ends", &at_both_ends),
        ],
    );
    page.note(words::BOTH_ENDS);
    if findings.pairs.iter().any(|pair| pair.p_randomization.is_none()) {
        let of_table = elsewhere::facts(&findings.sessions).is_some();
        page.note(if of_table { tables::NO_RANDOMISATION } else { words::NO_RANDOMISATION });
    }
}

pub(super) fn holds(page: &mut Page, findings: &Findings) {
    let unit = findings.protocol().analysis.measure.unit();
    page.element("h3", "", &format!("Holds (all trials that enter; {unit})"));
    let slope_head = format!("slope, {unit} / 10 min");
    let head = [
        "hold",
        "enter",
        "mean",
        "median",
        "20 % trimmed",
        "sd",
        "MAD",
        "errors",
        slope_head.as_str(),
    ];
    let row = |hold: &Hold| {
        let slope = hold.trend.as_ref().map(|trend| trend.per_10min_ms);
        vec![
            hold.id.clone(),
            (hold.trials - hold.excluded).to_string(),
            maybe_ms(hold.mean_ms),
            maybe_ms(hold.median_ms),
            maybe_ms(hold.trimmed_mean_ms),
            maybe_ms(hold.sd_ms),
            maybe_ms(hold.mad_ms),
            hold.error_share.map_or_else(|| "\u{2013}".to_owned(), words::percent),
            slope.map_or_else(
                || "\u{2013}".to_owned(),
                |slope| format!("{} [{}]", ms(slope.estimate), ends(slope.low, slope.high)),
            ),
        ]
    };
    page.table(&head, &findings.holds.iter().map(row).collect::<Vec<_>>());
    page.note(words::HOLDS_NOTE);
    for hold in &findings.holds {
        if let Some(detection) = hold.detection {
            let name = words::hold(&hold.id);
            page.note(&words::detection(&name, detection.d_prime, detection.criterion));
        }
    }
}

pub(super) fn exclusions(page: &mut Page, findings: &Findings) {
    page.element("h3", "", "What stays out, and what is counted");
    let mut head = vec![""];
    head.extend(findings.holds.iter().map(|hold| hold.id.as_str()));
    let row = |name: &str, cell: &dyn Fn(&Hold) -> usize| {
        let mut cells = vec![name.to_owned()];
        cells.extend(findings.holds.iter().map(|hold| cell(hold).to_string()));
        cells
    };
    let of_table = elsewhere::facts(&findings.sessions).is_some();
    let all = if of_table { "rows" } else { "main trials, last attempts" };
    let mut rows = vec![row(all, &|hold| hold.trials)];
    // A table knows of no other reasons.
    let can_be = |kind: &LeftOut| {
        !of_table || matches!(kind, LeftOut::Wrong | LeftOut::Early | LeftOut::NoMeasure)
    };
    for kind in LeftOut::ALL.into_iter().filter(can_be) {
        rows.push(row(&format!("out: {}", kind.name().replace('_', " ")), &|hold| {
            hold.left_out.get(&kind).copied().unwrap_or(0)
        }));
    }
    rows.push(row("out, all", &|hold| hold.excluded));
    if !of_table {
        rows.push(row("in: misses", &|hold| hold.misses));
    }
    rows.push(row("in: lapses", &|hold| hold.lapses));
    if !of_table {
        rows.push(row("in: late first frame", &|hold| hold.late_entered));
        rows.push(row("presses on empty waits", &|hold| hold.false_alarms));
    }
    page.table(&head, &rows);
    let unused: Vec<String> = findings
        .blocks
        .iter()
        .filter(|block| block.unused().is_some())
        .map(|block| {
            format!(
                "Block {} of session {} ({}) takes no part: {} of {} planned trials enter.",
                block.position,
                block.session + 1,
                findings.holds[block.condition].id,
                block.entered(),
                block.planned
            )
        })
        .collect();
    if !unused.is_empty() {
        page.list(&unused);
    }
    blocks(page, findings);
}

fn blocks(page: &mut Page, findings: &Findings) {
    page.element("h3", "", "The block table");
    let rows: Vec<Vec<String>> = findings
        .blocks
        .iter()
        .map(|block| {
            vec![
                format!("{}.{}", block.session + 1, block.position),
                block.cycle.to_string(),
                findings.holds[block.condition].id.clone(),
                block.minute.map_or_else(|| "\u{2013}".to_owned(), |minute| format!("{minute:.2}")),
                block.entered().to_string(),
                block.excluded().to_string(),
                block.statistic_ms.map_or_else(|| "\u{2013}".to_owned(), |ms| format!("{ms:.3}")),
            ]
        })
        .collect();
    let statistic = format!("statistic, {}", findings.protocol().analysis.measure.unit());
    let head = ["session.position", "cycle", "hold", "minute", "enter", "out", &statistic];
    page.table(&head, &rows);
}

pub(super) fn rig(page: &mut Page, findings: &Findings) {
    if let Some(facts) = elsewhere::facts(&findings.sessions) {
        return table::read_as(page, facts);
    }
    page.element("h3", "", "The rig");
    page.paragraph(words::LAG_NOTE);
    for (index, session) in findings.sessions.iter().enumerate() {
        if findings.sessions.len() > 1 {
            page.element("h3", "", &format!("Session {}", index + 1));
        }
        let mut rows: Vec<Vec<String>> = Vec::new();
        let mut line = |name: &str, value: String| rows.push(vec![name.to_owned(), value]);
        let sds = |pick: fn(&crate::findings::input::TrialFacts) -> Option<f64>| {
            let values: Vec<f64> = session.trials.iter().filter_map(pick).collect();
            crate::analysis::describe::median(&values)
        };
        if let Some(source) = session.trials.iter().find_map(|trial| trial.shown_source) {
            line("onset stamps from", source.name().replace('_', " "));
        }
        if let Some(source) = session.trials.iter().find_map(|trial| trial.press_source) {
            line("press stamps from", source.name().replace('_', " "));
        }
        if let Some(sd) = sds(|trial| trial.shown_sd_ms) {
            line("onset stamp's sd, median", format!("{sd:.3} ms"));
        }
        if let Some(sd) = sds(|trial| trial.rt_sd_ms) {
            line("a single time's sd, median", format!("{sd:.3} ms"));
            let people: Vec<f64> = findings.holds.iter().filter_map(|hold| hold.sd_ms).collect();
            if let Some(people) = crate::analysis::describe::median(&people) {
                line("sd of a hold's presses, median of the holds", format!("{people:.1} ms"));
                line("what timing adds to that sd", added_share(people, sd));
            }
        }
        let vsync = session.rig.vsync_judged.as_deref().unwrap_or("not judged");
        line("vsync", vsync.replace('_', " "));
        for note in &session.rig.notes {
            line(&note.name, note.value.clone());
        }
        page.table(&["", ""], &rows);
    }
}

/// By how much an observed sd exceeds what it would be without errors of timing of sd `error`: the
/// squares add.
fn added_share(observed: f64, error: f64) -> String {
    let without = (observed * observed - error * error).max(0.0).sqrt();
    if without <= 0.0 {
        return "all of it: the clock is too coarse for this".to_owned();
    }
    format!("{:.2} %", (observed / without - 1.0) * 100.0)
}

pub(super) fn again(page: &mut Page, findings: &Findings) {
    page.element("h3", "", "To work it out again");
    if let Some(facts) = elsewhere::facts(&findings.sessions) {
        page.list(&[tables::again(&facts.file), format!("Analysis version {ANALYSIS_VERSION}.")]);
        return;
    }
    let mut lines = vec![words::again().to_owned()];
    for session in &findings.sessions {
        lines.push(format!(
            "Session {}: began {}, {}; seed {}, draw rule {}.",
            session.name,
            session.began,
            sentence::ended_how(session.ended),
            session.seed,
            session.draw_rule
        ));
        lines.push(format!("Frozen analysis rules, SHA-256: {}.", session.rules_hash));
    }
    lines.push(format!("Analysis version {ANALYSIS_VERSION}."));
    page.list(&lines);
}

pub(super) fn cautions(page: &mut Page) {
    page.element("h3", "", "Cautions");
    page.list(&words::CAUTIONS.map(str::to_owned));
}

/// Signed, to a hundredth, with a true minus.
pub(super) fn ms(value: f64) -> String {
    format!("{value:.2}").replace('-', "\u{2212}")
}

/// An estimate with the ends of its interval.
pub(super) fn with_ends(interval: Interval) -> String {
    format!("{} [{}]", ms(interval.estimate), ends(interval.low, interval.high))
}

fn ends(low: f64, high: f64) -> String {
    format!("{} to {}", ms(low), ms(high))
}

pub(super) fn maybe_ms(value: Option<f64>) -> String {
    value.map_or_else(|| "\u{2013}".to_owned(), |value| format!("{value:.1}"))
}

fn p(value: f64) -> String {
    if value < 0.0005 { "under 0.001".to_owned() } else { format!("{value:.3}") }
}

fn maybe_p(value: Option<f64>) -> String {
    value.map_or_else(|| "\u{2013}".to_owned(), p)
}
