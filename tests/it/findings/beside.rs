//! Beside the comparison: costs, the course of a session, days, players. Invented sessions with a
//! known truth; figures by hand or by another route.

use super::invented::{protocol, session};
use super::numbers::typical;
use serde_json::Value;
use tautline::analysis::Verdict;
use tautline::findings::cost::{Measured, Sure, costs_of};
use tautline::findings::input::{HandFacts, RatingFacts, SessionData};
use tautline::findings::json::FindingsJson;
use tautline::findings::over_sessions::SessionsRule;
use tautline::findings::{Asked, Players, report, sentence, work_out, work_out_as};
use tautline::record::Outcome;

/// Session `number` of a run of sessions.
fn one_of(number: u64, differences_ms: &[f64], player: &str) -> SessionData {
    let mut data = session(protocol(2, 6), differences_ms, 100 + number);
    data.player = player.to_owned();
    data.name = format!("session-{number:02}");
    data.began = format!("2026-01-{number:02}T10:00:00Z");
    data
}

/// The second hold is quicker by 20 ms and wrong in one press of five.
fn quick_and_wrong() -> SessionData {
    let mut data = session(protocol(2, 8), &[0.0, -20.0], 3);
    let firm: Vec<usize> =
        data.blocks.iter().filter(|b| b.condition == 1).map(|b| b.position).collect();
    for trial in &mut data.trials {
        if firm.contains(&trial.position) && trial.trial % 5 == 0 {
            trial.outcome = Outcome::Wrong;
        }
    }
    for position in firm {
        data.ratings.push(RatingFacts { position, item: "discomfort".to_owned(), value: 3 });
    }
    for block in data.blocks.iter().filter(|b| b.condition == 0) {
        let (position, item) = (block.position, "discomfort".to_owned());
        data.ratings.push(RatingFacts { position, item, value: 1 });
    }
    data
}

#[test]
fn a_verdict_names_its_cost() {
    let findings = work_out(vec![quick_and_wrong()]).unwrap();
    assert_eq!(findings.pairs[0].verdict, Verdict::BFasterByEnough);
    let said = sentence::headline(&findings);
    assert!(said.starts_with("Firm clicked") && said.contains("matter to you, with "), "{said}");
    assert!(said.contains("more errors") && said.contains("more discomfort"), "{said}");
    let costs = costs_of(&findings, 0);
    let errors = costs.iter().find(|cost| cost.measured == Measured::Errors).unwrap();
    // 4 of 20 in every block of firm, none of light; it is the same in each block, so no spread.
    assert!((errors.faster - 0.2).abs() < 1e-12 && errors.slower.abs() < 1e-12);
    assert_eq!(errors.sure, Sure::Perhaps, "without spread there is no interval");
    // Wilson's interval of 32 of 160, by hand: (0.2 + z^2/320 -+ z sqrt(..)) / (1 + z^2/160).
    let wilson = findings.costs.holds[1].errors.unwrap();
    assert!((wilson.low - 0.145).abs() < 1e-3 && (wilson.high - 0.2688).abs() < 1e-3, "{wilson:?}");
    let html = report::html(&findings);
    assert!(html.contains("More errors: 20 % of the answers were wrong or missing under firm"));
}

#[test]
fn the_slower_hold_has_no_cost_to_name() {
    let mut data = quick_and_wrong();
    // The errors go to the slower hold.
    for block in &mut data.blocks {
        block.condition = 1 - block.condition;
    }
    let findings = work_out(vec![data]).unwrap();
    assert_eq!(findings.pairs[0].verdict, Verdict::AFasterByEnough);
    assert_eq!(costs_of(&findings, 0).len(), 2, "light now errs and hurts");
    let mut data = quick_and_wrong();
    for trial in &mut data.trials {
        trial.outcome = Outcome::Hit;
    }
    data.ratings.clear();
    let findings = work_out(vec![data]).unwrap();
    assert!(costs_of(&findings, 0).is_empty());
    assert!(report::html(&findings).contains("No cost of firm beside light was found"));
}

#[test]
fn throughput_of_a_block_by_hand() {
    let mut data = session(protocol(2, 6), &[0.0, 0.0], 9);
    // Targets 300 px to the right; ends 300 -+ 10, every second one past; 200 ms each.
    for trial in &mut data.trials {
        let end = if trial.trial % 2 == 0 { 310.0 } else { 290.0 };
        trial.hand = HandFacts {
            movement_ms: Some(200.0),
            target_px: Some([300.0, 0.0]),
            end_px: Some([end, 4.0]),
            small_shakes_counts: Some(0.5),
            press_ms: Some(80.0),
            ..HandFacts::default()
        };
    }
    let findings = work_out(vec![data]).unwrap();
    let hold = &findings.costs.holds[0];
    // sd of ten at +10 and ten at -10: sqrt(2000 / 19); We = 4.133 sd; A = 300.
    let we = 4.133 * (2000.0_f64 / 19.0).sqrt();
    let bits = (300.0 / we + 1.0).log2() / 0.2;
    assert!((hold.throughput.unwrap() - bits).abs() < 1e-9, "{hold:?} {bits}");
    assert!(hold.constant_error_px.unwrap().abs() < 1e-9);
    assert_eq!((hold.small_shakes, hold.press_ms), (Some(0.5), Some(80.0)));
}

/// Light slows by 2 ms a minute, firm stays: the difference of slopes is 20 ms in 10 minutes, and
/// they change places where light has lost its 9 ms.
#[test]
fn holds_that_change_places() {
    let mut data = session(protocol(2, 6), &[0.0, 0.0], 4);
    let holds: Vec<usize> = data.blocks.iter().map(|b| b.condition).collect();
    for trial in &mut data.trials {
        let minute = trial.position as f64;
        let wobble = if trial.position % 3 == 0 { 0.4 } else { -0.2 };
        let own = if holds[trial.position - 1] == 0 { 200.0 + 2.0 * minute } else { 213.0 };
        trial.click_ms = Some(own + wobble);
        trial.minute = Some(minute);
    }
    let findings = work_out(vec![data]).unwrap();
    let course = &findings.within.pairs[0];
    let apart = course.slopes_apart.unwrap();
    assert!((apart.estimate - 20.0).abs() < 1.5 && apart.low > 15.0, "{apart:?}");
    let place = course.change_of_places().unwrap();
    assert!((place.estimate - 6.5).abs() < 0.4, "{place:?}");
    assert!(place.low > 5.5 && place.high < 7.5, "{place:?}");
    assert!(report::html(&findings).contains("change places at about minute"));
}

#[test]
fn the_mixed_model_agrees_where_nothing_is_cut() {
    let mut rules = protocol(2, 8);
    rules.analysis.statistic = tautline::protocol::Statistic::Mean;
    let findings = work_out(vec![session(rules, &[0.0, -12.0], 7)]).unwrap();
    let mixed = findings.secondary.mixed.as_ref().unwrap().as_ref().unwrap();
    let (primary, second) = (findings.pairs[0].fit.unwrap(), mixed.differences[0]);
    // Blocks of one size: block means carry all that trials say of the holds, unless a variance
    // is 0; then the mixed model has more degrees of freedom, and the estimate stays near.
    assert!((primary.difference - second.interval.estimate).abs() < 2.0, "{primary:?} {second:?}");
    assert!(second.df >= primary.df - 1e-3, "{primary:?} {second:?}");
}

#[test]
fn each_session_is_one_value() {
    let sessions: Vec<SessionData> = (1..=5).map(|n| one_of(n, &[0.0, -15.0], "heron")).collect();
    let alone: Vec<f64> = sessions
        .iter()
        .map(|one| work_out(vec![one.clone()]).unwrap().pairs[0].fit.unwrap().difference)
        .collect();
    // Given out of order: they are put in order of time.
    let mut shuffled = sessions.clone();
    shuffled.swap(0, 3);
    let findings = work_out(shuffled).unwrap();
    let over = findings.over_sessions.as_ref().unwrap();
    let pair = &over.pairs[0];
    for (own, alone) in pair.differences.iter().zip(&alone) {
        assert!((own.unwrap().estimate - alone).abs() < 1e-9, "{own:?} {alone}");
    }
    let mean = alone.iter().sum::<f64>() / 5.0;
    let sd = (alone.iter().map(|d| (d - mean).powi(2)).sum::<f64>() / 4.0).sqrt();
    let got = pair.from_day_to_day.unwrap();
    // t(0.975, 4) = 2.776445: Student's table.
    assert!((got.estimate - mean).abs() < 1e-9);
    assert!((got.high - (mean + 2.776_445 * sd / 5.0_f64.sqrt())).abs() < 1e-5);
    assert!((pair.measurement_error_ms.unwrap() - sd).abs() < 1e-9);
    // 1.96 sqrt 2 SEM.
    assert!((pair.detectable_change_ms.unwrap() - 1.959_964 * 2.0_f64.sqrt() * sd).abs() < 1e-4);
    let html = report::html(&findings);
    assert!(html.contains("Five sessions, one value each") && html.contains("at any look"));
}

#[test]
fn a_declared_number_of_sessions_rules_the_verdict() {
    let sessions: Vec<SessionData> = (1..=4).map(|n| one_of(n, &[0.0, -20.0], "heron")).collect();
    let over = |declared: Option<usize>| {
        let asked = Asked { declared_sessions: declared, ..Asked::default() };
        work_out_as(sessions.clone(), asked).unwrap().over_sessions.unwrap().pairs[0].clone()
    };
    assert_eq!(over(Some(4)).rule, SessionsRule::Declared);
    assert_eq!(over(Some(4)).verdict, Verdict::BFasterByEnough);
    assert_eq!((over(Some(6)).rule, over(Some(6)).verdict), (SessionsRule::NotYet, Verdict::Open));
    // More sessions than declared, or none declared: looks are allowed for.
    assert_eq!(over(Some(3)).rule, SessionsRule::AlwaysValid);
    assert_eq!(over(None).rule, SessionsRule::AlwaysValid);
}

#[test]
fn a_look_over_sessions_judges_at_its_own_level_and_says_so() {
    let sessions = |count: u64| -> Vec<SessionData> {
        (1..=count).map(|n| one_of(n, &[0.0, -20.0], "heron")).collect()
    };
    let asked = Asked { declared_sessions: Some(8), session_looks: vec![5, 6], ..Asked::default() };
    let of = |count| work_out_as(sessions(count), asked.clone()).unwrap();
    let findings = of(5);
    let pair = &findings.over_sessions.as_ref().unwrap().pairs[0];
    assert_eq!(pair.rule, SessionsRule::PlannedLook);
    let (look, day) = (pair.verdict_interval.unwrap(), pair.from_day_to_day.unwrap());
    assert!(pair.verdict_confidence > 0.99 && look.high - look.low > day.high - day.low);
    let html = report::html(&findings);
    assert!(html.contains("A look was planned after 5 of the 8 declared sessions"));
    // Neither before nor between looks.
    for count in [4, 7] {
        let over = of(count).over_sessions.unwrap().pairs[0].clone();
        assert_eq!((over.rule, over.verdict), (SessionsRule::NotYet, Verdict::Open), "{count}");
    }
    let html = report::html(&of(4));
    assert!(html.contains("the next look was planned after 5"));
    let last = of(8).over_sessions.unwrap().pairs[0].clone();
    assert_eq!(last.rule, SessionsRule::PlannedLook);
    assert!(last.verdict_confidence > 0.95 && last.verdict_confidence < 0.97, "{last:?}");
    let wrong = Asked { session_looks: vec![3], ..asked };
    assert!(work_out_as(sessions(5), wrong).unwrap_err().to_string().contains("cannot be"));
}

#[test]
fn several_players_only_when_they_agreed() {
    let sessions: Vec<SessionData> = (0..6)
        .flat_map(|p| {
            // Five players alike, the last one the other way round.
            let own = if p == 5 { 25.0 } else { -12.0 };
            (1..=2).map(move |n| one_of(1 + 2 * p + n, &[0.0, own], &format!("player{p}")))
        })
        .collect();
    assert!(work_out(sessions.clone()).is_err(), "not without their consent");
    let asked = Asked { players: Players::Agreed, ..Asked::default() };
    let findings = work_out_as(sessions.clone(), asked).unwrap();
    let over = findings.over_players.as_ref().unwrap();
    assert_eq!((over.players, over.sessions.clone()), (6, vec![2; 6]));
    let pair = over.pairs[0].as_ref().unwrap();
    let differ: Vec<usize> = (0..6).filter(|&i| pair.each[i].differs()).collect();
    assert_eq!(differ, [5], "{:?}", pair.each);
    // Balanced: the group's mean is the mean of the players' own, save for the trend.
    let alone: Vec<f64> = pair.each.iter().map(|each| each.alone_ms).collect();
    let mean = alone.iter().sum::<f64>() / 6.0;
    let fit = findings.pairs[0].fit.unwrap();
    assert!((fit.difference - mean).abs() < 1.5, "{} {mean}", fit.difference);
    assert!(fit.df <= 5.0 + 1e-9 && fit.standard_error > 3.0, "{fit:?}");
    // Every player is drawn in towards the group.
    for each in &pair.each {
        assert!((each.drawn_in.estimate - mean).abs() < (each.alone_ms - mean).abs() + 1.5);
    }
    assert!(pair.reliability.unwrap().icc.estimate > 0.5);
    let html = report::html(&findings);
    assert!(html.contains("Player by player") && !html.contains("player5"), "no id is shown");
    let json: Value = serde_json::from_str(&FindingsJson::of(&findings).text()).unwrap();
    assert_eq!(json["over_players"]["players"], 6);
    assert_eq!(json["over_players"]["pairs"][0]["each"][5]["differs"], true);
}

/// Hodges and Lehmann's difference by hand: the median of the pairwise means.
#[test]
fn the_middle_of_the_differences_within_cycles() {
    let data = session(protocol(2, 5), &[0.0, -12.0], 21);
    let findings = work_out(vec![data.clone()]).unwrap();
    let of = |cycle: usize, condition: usize| {
        let block = data.blocks.iter().find(|b| (b.cycle, b.condition) == (cycle, condition));
        let position = block.unwrap().position;
        let own = data.trials.iter().filter(|t| t.position == position);
        typical(own.filter_map(|t| t.click_ms).collect())
    };
    let d: Vec<f64> = (1..=5).map(|cycle| of(cycle, 0) - of(cycle, 1)).collect();
    let mut means: Vec<f64> = (0..5)
        .flat_map(|i| (i..5).map(move |j| (i, j)))
        .map(|(i, j)| (d[i] + d[j]) / 2.0)
        .collect();
    means.sort_by(f64::total_cmp);
    let got = findings.secondary.pairs[0].hodges_lehmann.unwrap().interval.estimate;
    assert!((got - means[7]).abs() < 1e-9, "{got} {means:?}");
}
