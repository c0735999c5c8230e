//! The back of the report beyond the declared comparison: second opinions, the shape of the times,
//! the time course, the paragraph to quote, the programs.

use super::back::{maybe_ms, ms, order_drawn, with_ends};
use super::code;
use super::page::Page;
use crate::analysis::Interval;
use crate::findings::plot::{reciprobit, shift};
use crate::findings::{ANALYSIS_VERSION, Findings, elsewhere};
use crate::protocol::{Family, Measure, Statistic};
use crate::words::findings as words;
use crate::words::methods;

fn none() -> String {
    "\u{2013}".to_owned()
}

fn maybe(interval: Option<Interval>) -> String {
    interval.map_or_else(none, with_ends)
}

/// A paragraph for a paper or a post, made of this very analysis.
pub(super) fn paragraph(page: &mut Page, findings: &Findings) {
    if elsewhere::facts(&findings.sessions).is_some() {
        return;
    }
    page.element("h3", "", "Methods, ready to quote");
    page.element("p", "quote", &text(findings));
}

/// The paragraph itself.
pub fn text(findings: &Findings) -> String {
    let protocol = findings.protocol();
    let rules = &protocol.analysis;
    methods::paragraph(&methods::Methods {
        simulated: findings.simulated(),
        sessions: findings.sessions.len(),
        players: findings.over_players.as_ref().map_or(1, |over| over.players),
        holds: findings.holds.iter().map(|hold| hold.id.as_str()).collect(),
        cycles: protocol.design.cycles,
        trials: protocol.design.trials,
        order: order_drawn(protocol.design.order),
        task: protocol.task.name(),
        measure: match rules.measure {
            Measure::Click => "the time from stimulus onset to button press",
            Measure::Onset => "the time from stimulus onset to movement onset",
            Measure::TapInterval => "the mean time from one tap to the next in a run",
            Measure::TrackError => "the root mean square distance from the target in a run",
            Measure::Stillness => "the root mean square of the counts in 5 ms of a still hand",
        },
        statistic: match rules.statistic {
            Statistic::TrimmedMean => "20 % trimmed mean",
            Statistic::Median => "median",
            Statistic::Mean => "mean",
        },
        seen: findings.holds.iter().map(|hold| hold.trials).sum(),
        excluded: findings.holds.iter().map(|hold| hold.excluded).sum(),
        blocks: findings.used().count(),
        df: findings.pairs.iter().find_map(|pair| pair.fit).map(|fit| fit.df),
        all_pairs: rules.family == Family::All,
        confidence: &words::confidence(rules.confidence),
        enough_ms: rules.smallest_change_ms,
        randomised: findings.pairs.iter().any(|pair| pair.p_randomization.is_some()),
        version: env!("CARGO_PKG_VERSION"),
        analysis: ANALYSIS_VERSION,
    })
}

pub(super) fn opinions(page: &mut Page, findings: &Findings) {
    page.element("h3", "", "Second opinions (ms; difference = first \u{2212} second)");
    let labels: Vec<String> = findings
        .pairs
        .iter()
        .map(|p| format!("{} \u{2212} {}", findings.holds[p.a].id, findings.holds[p.b].id))
        .collect();
    let mut head = vec![""];
    head.extend(labels.iter().map(String::as_str));
    let row = |name: &str, cell: &dyn Fn(usize) -> String| {
        let mut cells = vec![name.to_owned()];
        cells.extend((0..findings.pairs.len()).map(cell));
        cells
    };
    let second = |i: usize| &findings.secondary.pairs[i];
    let mut rows = vec![row("Hodges\u{2013}Lehmann, cycles", &|i| {
        maybe(second(i).hodges_lehmann.map(|location| location.interval))
    })];
    if let Some(Ok(model)) = &findings.secondary.mixed {
        rows.push(row("mixed model, trials", &|i| with_ends(model.differences[i].interval)));
        rows.push(row("\u{2026} degrees of freedom", &|i| {
            format!("{:.1}", model.differences[i].df)
        }));
    }
    rows.push(row("d_z", &|i| maybe(second(i).effects.map(|e| e.d_z))));
    rows.push(row("d_av", &|i| second(i).effects.map_or_else(none, |e| ms(e.d_av))));
    if findings.sessions.len() == 1 {
        rows.push(row("chance that a press of the first comes sooner", &|i| {
            second(i).superiority.map_or_else(none, words::percent)
        }));
    }
    rows.push(row("difference of slopes, ms / 10 min", &|i| {
        maybe(findings.within.pairs[i].slopes_apart)
    }));
    page.table(&head, &rows);
    page.note(methods::SECOND);
    match &findings.secondary.mixed {
        Some(Ok(model)) => page.paragraph(&format!(
            "Spread by the mixed model, sd: between cycles {:.1} ms, between blocks of a cycle {:.1} \
             ms, between trials of a block {:.1} ms ({} trials).",
            model.cycle_sd_ms, model.block_sd_ms, model.trial_sd_ms, model.trials
        )),
        Some(Err(why)) => page.paragraph(&format!("The mixed model could not be fitted: {why}.")),
        None => {}
    }
    if let Some(drawing) = shift::draw(findings) {
        page.figure(&drawing, methods::SHIFT_CAPTION);
    }
}

pub(super) fn shapes(page: &mut Page, findings: &Findings) {
    if findings.secondary.holds.is_empty() {
        return;
    }
    page.element("h3", "", "The shape of the times");
    let rows: Vec<Vec<String>> = findings
        .holds
        .iter()
        .zip(&findings.secondary.holds)
        .map(|(hold, second)| {
            let mut row = vec![hold.id.clone()];
            match &second.exgauss {
                Ok(found) => {
                    let law = found.fit.law;
                    for (i, value) in [law.mu, law.sigma, law.tau].into_iter().enumerate() {
                        row.push(found.intervals.map_or_else(
                            || maybe_ms(Some(value)),
                            |list| with_ends(Interval { estimate: value, ..list[i] }),
                        ));
                    }
                    row.push(String::new());
                }
                Err(why) => row.extend([none(), none(), none(), why.clone()]),
            }
            row
        })
        .collect();
    page.table(&["hold", "mu", "sigma", "tau", ""], &rows);
    page.note(methods::LAWS_NOTE);
    if let Some(drawing) = reciprobit::draw(findings) {
        page.figure(&drawing, methods::RECIPROBIT_CAPTION);
    }
}

pub(super) fn course(page: &mut Page, findings: &Findings) {
    page.element("h3", "", "Within the session, hold by hold");
    let rows: Vec<Vec<String>> = findings
        .holds
        .iter()
        .zip(&findings.within.holds)
        .map(|(hold, course)| {
            let rated: Vec<String> = course
                .ratings
                .iter()
                .filter_map(|rating| Some(format!("{} {:.1}", rating.item.name(), rating.mean()?)))
                .collect();
            vec![
                hold.id.clone(),
                maybe(course.theil_sen),
                course.lapses.map_or_else(none, shares),
                course.early.map_or_else(none, shares),
                maybe(course.small_shakes),
                if rated.is_empty() { none() } else { rated.join(", ") },
            ]
        })
        .collect();
    let head = [
        "hold",
        "Theil\u{2013}Sen, ms / 10 min",
        "slow presses",
        "early presses",
        "small shakes, counts / 10 min",
        "ratings, mean",
    ];
    page.table(&head, &rows);
}

/// A share with its interval in per cent.
fn shares(interval: Interval) -> String {
    let [estimate, low, high] =
        [interval.estimate, interval.low, interval.high].map(|share| 100.0 * share);
    format!("{estimate:.1} % [{low:.1} to {high:.1}]")
}

pub(super) fn sessions(page: &mut Page, findings: &Findings) {
    let Some(over) = findings.over_sessions.as_ref() else { return };
    page.element("h3", "", "Each session's own difference (ms)");
    let labels: Vec<String> = findings
        .pairs
        .iter()
        .map(|p| format!("{} \u{2212} {}", findings.holds[p.a].id, findings.holds[p.b].id))
        .collect();
    let mut head = vec!["session"];
    head.extend(labels.iter().map(String::as_str));
    head.extend(findings.holds.iter().map(|hold| hold.id.as_str()));
    let mut rows: Vec<Vec<String>> = over
        .order
        .iter()
        .enumerate()
        .map(|(place, &session)| {
            let mut row = vec![format!("{}. {}", place + 1, findings.sessions[session].began)];
            row.extend(over.pairs.iter().map(|pair| {
                pair.differences[place].map_or_else(none, |own| {
                    format!("{} (se {:.2}, df {})", ms(own.estimate), own.standard_error, own.df)
                })
            }));
            row.extend(over.levels_ms.iter().map(|levels| maybe_ms(levels[place])));
            row
        })
        .collect();
    let mut summary = |name: &str, cell: &dyn Fn(usize) -> String| {
        let mut row = vec![name.to_owned()];
        row.extend((0..over.pairs.len()).map(cell));
        row.extend(findings.holds.iter().map(|_| String::new()));
        rows.push(row);
    };
    summary("mean, t on sessions", &|i| maybe(over.pairs[i].from_day_to_day));
    summary("mean, valid at any look", &|i| maybe(over.pairs[i].always_valid));
    summary("verdict over sessions", &|i| over.pairs[i].verdict.name().to_owned());
    summary("error of a session's difference, sd", &|i| {
        over.pairs[i].measurement_error_ms.map_or_else(none, ms)
    });
    summary("smallest detectable change", &|i| {
        over.pairs[i].detectable_change_ms.map_or_else(none, ms)
    });
    page.table(&head, &rows);
}

pub(super) fn players(page: &mut Page, findings: &Findings) {
    let Some(over) = findings.over_players.as_ref() else { return };
    page.element("h3", "", "Spread between players (ms, sd)");
    let rows: Vec<Vec<String>> = findings
        .pairs
        .iter()
        .zip(&over.pairs)
        .filter_map(|(pair, found)| {
            let found = found.as_ref().ok()?;
            let reliability = found.reliability;
            Some(vec![
                format!("{} \u{2212} {}", findings.holds[pair.a].id, findings.holds[pair.b].id),
                ms(found.players_sd_ms),
                found.days_sd_ms.map_or_else(none, ms),
                ms(found.cycles_sd_ms),
                maybe(reliability.map(|r| r.icc)),
                reliability.map_or_else(none, |r| ms(r.detectable_change_ms)),
            ])
        })
        .collect();
    let head = [
        "",
        "between players",
        "between days",
        "between cycles",
        "ICC(2,1) of sessions",
        "smallest detectable change",
    ];
    page.table(&head, &rows);
}

pub(super) fn programs(page: &mut Page, findings: &Findings) {
    let of_players = findings.over_players.is_some();
    if of_players || elsewhere::facts(&findings.sessions).is_some() {
        return;
    }
    page.note(methods::CODE);
    page.element("h3", "", "In Python");
    page.code(&code::python(findings));
    page.element("h3", "", "In R");
    page.code(&code::r(findings));
}
