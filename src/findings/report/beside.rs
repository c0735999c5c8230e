//! The front of the report beyond the comparison: what it costs, from day to day, from player to
//! player.

use super::page::Page;
use crate::analysis::{Interval, Verdict};
use crate::findings::cost::{Measured, Sure, costs_of};
use crate::findings::over_sessions::{LEAST_SESSIONS, PairOver, SessionPlan, SessionsRule};
use crate::findings::plot::{sessions, trade};
use crate::findings::sentence::{self, cost_word};
use crate::findings::{Findings, elsewhere};
use crate::words::costs;
use crate::words::findings::{self as words, Ms};
use crate::words::over_time;

pub(super) fn what_it_costs(page: &mut Page, findings: &Findings) {
    let measured: Vec<Measured> = Measured::ALL
        .into_iter()
        .filter(|m| findings.costs.pairs.iter().flatten().any(|b| b.measured == *m))
        .collect();
    // A table measured elsewhere does not tell of presses before the stimulus: without anything else
    // nothing is known of the cost.
    let of_table = elsewhere::facts(&findings.sessions).is_some();
    if measured.is_empty() || (of_table && measured == [Measured::Early]) {
        return;
    }
    page.heading("What it costs");
    let mut any_faster = false;
    for index in findings.clearest_first() {
        let Some((faster, slower)) = sentence::faster_first(findings, index) else { continue };
        any_faster = true;
        let list = costs_of(findings, index);
        for cost in &list {
            let values = [cost.faster, cost.slower];
            let sure = cost.sure == Sure::Sure;
            page.paragraph(&costs::in_full(
                &faster,
                &slower,
                cost_word(cost.measured),
                values,
                sure,
            ));
        }
        if list.is_empty() {
            let names: Vec<&str> = measured.iter().map(|m| plain_name(*m)).collect();
            page.paragraph(&costs::nothing(&faster, &slower, &names));
        }
    }
    if !any_faster {
        page.paragraph(costs::NO_FASTER);
    }
    let none = || "\u{2013}".to_owned();
    let rows: Vec<Vec<String>> = findings
        .holds
        .iter()
        .zip(&findings.costs.holds)
        .map(|(hold, cost)| {
            let mut row = vec![words::hold(&hold.id)];
            for m in &measured {
                row.push(match m {
                    Measured::Errors => cost.errors.map_or_else(none, share),
                    Measured::Early => cost.early.map_or_else(none, share),
                    Measured::Throughput => cost.throughput.map_or_else(none, two),
                    Measured::SmallShakes => cost.small_shakes.map_or_else(none, two),
                    Measured::Discomfort => {
                        cost.discomfort.map_or_else(none, |value| format!("{value:.1}"))
                    }
                });
            }
            row
        })
        .collect();
    let mut head = vec!["hold"];
    head.extend(measured.iter().map(|m| column(*m)));
    page.table(&head, &rows);
    if let Some(drawing) = trade::draw(findings) {
        page.figure(&drawing, costs::CAPTION);
    }
}

fn share(interval: Interval) -> String {
    words::percent(interval.estimate)
}

fn two(value: f64) -> String {
    format!("{value:.2}")
}

const fn plain_name(measured: Measured) -> &'static str {
    match measured {
        Measured::Errors => "errors",
        Measured::Early => "early presses",
        Measured::Throughput => "throughput",
        Measured::SmallShakes => "small shakes",
        Measured::Discomfort => "discomfort",
    }
}

const fn column(measured: Measured) -> &'static str {
    match measured {
        Measured::Errors => "wrong or missing",
        Measured::Early => "early presses",
        Measured::Throughput => "throughput, bits/s",
        Measured::SmallShakes => "small shakes, counts",
        Measured::Discomfort => "discomfort, of 10",
    }
}

/// Sentences under the blocks in order of time.
pub(super) fn course(page: &mut Page, findings: &Findings) {
    for index in findings.clearest_first() {
        let Some(course) = findings.within.pairs.get(index) else { continue };
        let pair = &findings.pairs[index];
        let [a, b] = [pair.a, pair.b].map(|hold| words::hold(&findings.holds[hold].id));
        if let Some(apart) = course.slopes_apart {
            let differ = apart.low > 0.0 || apart.high < 0.0;
            page.paragraph(&if differ {
                over_time::slopes_apart(&a, &b, apart.estimate, apart.low, apart.high)
            } else {
                over_time::slopes_alike(&a, &b, apart.low, apart.high)
            });
        }
        if let (Some(at), Some([first, last])) = (course.change_of_places(), course.minutes) {
            let low = Some(at.low).filter(|low| *low > first);
            let high = Some(at.high).filter(|high| *high < last);
            if low.is_some() || high.is_some() {
                page.paragraph(&over_time::changes_places(&a, &b, at.estimate, low, high));
            }
        }
    }
    for (hold, course) in findings.holds.iter().zip(&findings.within.holds) {
        for rating in &course.ratings {
            let (Some(first), Some(last)) = (rating.values.first(), rating.values.last()) else {
                continue;
            };
            // Two steps of ten are more than a rating's own wobble. Common practice, no source.
            if *last >= first + 2 {
                let name = words::hold(&hold.id);
                page.paragraph(&over_time::rating_grew(rating.item.name(), &name, *first, *last));
            }
        }
    }
}

pub(super) fn from_day_to_day(page: &mut Page, findings: &Findings) {
    let Some(over) = findings.over_sessions.as_ref() else { return };
    page.heading("From day to day");
    if elsewhere::facts(&findings.sessions).is_none() {
        page.note(over_time::NEW_PLAN);
    }
    if over.pairs.iter().all(|pair| pair.from_day_to_day.is_none()) {
        page.paragraph(&over_time::too_few_days(over.order.len(), LEAST_SESSIONS));
    }
    for index in findings.clearest_first() {
        let pair = &findings.pairs[index];
        let [a, b] = [pair.a, pair.b].map(|hold| words::hold(&findings.holds[hold].id));
        day_to_day_of(page, &over.pairs[index], &a, &b, &over.plan);
    }
    if let Some(drawing) = sessions::draw(findings) {
        page.figure(&drawing, over_time::SESSIONS_CAPTION);
    }
}

fn day_to_day_of(page: &mut Page, over: &PairOver, a: &str, b: &str, plan: &SessionPlan) {
    let count = over.differences.iter().flatten().count();
    let Some(mean) = over.from_day_to_day else { return };
    let (faster, slower) = if mean.estimate < 0.0 { (a, b) } else { (b, a) };
    let give = (mean.high - mean.low) / 2.0;
    let by = Ms::rounded_with(mean.estimate.abs(), give);
    let give = Ms::rounded_with(give, give);
    page.paragraph(&over_time::from_day_to_day(faster, slower, by, give, count));
    let said = match over.verdict {
        Verdict::AFasterByEnough | Verdict::BFasterByEnough => over_time::OverSessions::ByEnough,
        Verdict::AFasterTooLittle | Verdict::BFasterTooLittle => over_time::OverSessions::TooLittle,
        Verdict::NoDifferenceThatMatters => over_time::OverSessions::TooClose,
        Verdict::AFasterSizeOpen | Verdict::BFasterSizeOpen => over_time::OverSessions::SizeOpen,
        Verdict::Open | Verdict::Withheld => over_time::OverSessions::Open,
    };
    let verdict = over_time::verdict_over(said, faster, slower);
    let why = match (over.rule, plan.sessions()) {
        (SessionsRule::Declared, _) => over_time::declared_rule(count),
        (SessionsRule::PlannedLook, all) => {
            let give = over.verdict_interval.map_or(0.0, |i| (i.high - i.low) / 2.0);
            let give = Ms::rounded_with(give, give);
            over_time::planned_look(count, all.unwrap_or(count), give, over.verdict_confidence)
        }
        (SessionsRule::NotYet, Some(declared)) => {
            match plan.looks().iter().find(|look| **look > count) {
                Some(look) => over_time::not_yet_a_look(count, declared, *look),
                None => over_time::not_yet(count, declared),
            }
        }
        (SessionsRule::NotYet, None) | (SessionsRule::AlwaysValid, _) => {
            over_time::ALWAYS_VALID.to_owned()
        }
    };
    page.paragraph(&format!("{verdict} {why}"));
    if let Some(chart) = over.chart.as_ref().filter(|chart| !chart.outside.is_empty()) {
        let places: Vec<usize> = chart.outside.iter().map(|place| place + 1).collect();
        page.paragraph(&over_time::out_of_line(a, b, &places));
    }
    if let Some(change) = over.detectable_change_ms {
        page.paragraph(&over_time::detectable(a, b, change));
    }
}

/// Most players whose rows stand in the table; all of them are in findings.json.
const MOST_PLAYERS: usize = 40;

pub(super) fn from_player_to_player(page: &mut Page, findings: &Findings) {
    let Some(over) = findings.over_players.as_ref() else { return };
    page.heading("Player by player");
    page.paragraph(&over_time::players(over.players));
    for index in findings.clearest_first() {
        let pair = &findings.pairs[index];
        let [a, b] = [pair.a, pair.b].map(|hold| words::hold(&findings.holds[hold].id));
        let found = match &over.pairs[index] {
            Ok(found) => found,
            Err(why) => {
                page.paragraph(&over_time::no_players_model(&a, &b, why));
                continue;
            }
        };
        let differ: Vec<usize> = (1..)
            .zip(&found.each)
            .filter(|(_, each)| each.differs())
            .map(|(number, _)| number)
            .collect();
        page.paragraph(&over_time::who_differs(&a, &b, &differ));
        let rows: Vec<Vec<String>> = (1..)
            .zip(&found.each)
            .take(MOST_PLAYERS)
            .map(|(number, each): (usize, _)| {
                vec![
                    number.to_string(),
                    each.cycles.to_string(),
                    super::back::ms(each.alone_ms),
                    super::back::with_ends(each.drawn_in),
                    super::back::with_ends(each.from_group),
                ]
            })
            .collect();
        let name = format!("{a} \u{2212} {b}, ms");
        page.element("h3", "", &name);
        page.table(&["player", "cycles", "alone", "drawn in", "against the group"], &rows);
        if found.each.len() > MOST_PLAYERS {
            page.note(&over_time::first_players(MOST_PLAYERS, found.each.len()));
        }
    }
    page.note(over_time::PLAYERS_NOTE);
}
