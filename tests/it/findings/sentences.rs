//! Every sentence, printed whole: verdicts, doubts, what would settle it.

use super::invented::{protocol, session};
use expect_test::expect;
use std::fmt::Write;
use tautline::analysis::{Pair, PairFit, Verdict};
use tautline::findings::input::Ended;
use tautline::findings::spoil::{Shares, Spoiler};
use tautline::findings::{Findings, sentence, work_out_by};
use tautline::protocol::{Measure, Order};
use tautline::words::findings as words;

/// A fit with this difference and these half widths, ms.
fn fit(difference: f64, half: f64, half_equivalence: f64) -> PairFit {
    PairFit {
        difference,
        standard_error: half / 2.4,
        df: 6.0,
        low: difference - half,
        high: difference + half,
        low_single: difference - half,
        high_single: difference + half,
        p_t: 0.04,
        p_adjusted: 0.04,
        equivalence_low: difference - half_equivalence,
        equivalence_high: difference + half_equivalence,
        chance_a_faster: 0.9,
        chance_a_faster_by_enough: 0.5,
    }
}

fn pair(a: usize, b: usize, fit: Option<PairFit>, verdict: Verdict) -> Pair {
    Pair {
        a,
        b,
        fit,
        p_randomization: None,
        p_randomization_family: None,
        attainable_p: None,
        verdict,
    }
}

fn findings(pairs: Vec<Pair>, order: Order, measure: Measure) -> Findings {
    let mut protocol = protocol(3, 6);
    protocol.design.order = order;
    protocol.analysis.measure = measure;
    let data = session(protocol, &[0.0, -12.0, 0.0], 5);
    work_out_by(vec![data], &|_| Ok(pairs.clone())).unwrap()
}

#[test]
fn every_verdict() {
    let cases = [
        (Verdict::AFasterByEnough, Some(fit(-14.2, 8.1, 6.0))),
        (Verdict::BFasterByEnough, Some(fit(14.2, 8.1, 6.0))),
        (Verdict::AFasterTooLittle, Some(fit(-2.6, 1.9, 1.5))),
        (Verdict::BFasterTooLittle, Some(fit(2.6, 1.9, 1.5))),
        (Verdict::NoDifferenceThatMatters, Some(fit(0.4, 3.9, 3.0))),
        (Verdict::AFasterSizeOpen, Some(fit(-9.0, 6.0, 4.6))),
        (Verdict::BFasterSizeOpen, Some(fit(9.0, 6.0, 4.6))),
        (Verdict::Open, Some(fit(-3.0, 11.0, 9.0))),
        (Verdict::Withheld, None),
    ];
    let mut told = String::new();
    for measure in [Measure::Click, Measure::Onset] {
        for (verdict, fit) in cases {
            let found = findings(vec![pair(0, 1, fit, verdict)], Order::Shuffled, measure);
            writeln!(told, "{}: {}", verdict.name(), sentence::headline(&found)).unwrap();
        }
    }
    let fixed = vec![pair(0, 1, None, Verdict::Withheld)];
    let fixed = findings(fixed, Order::Fixed, Measure::Click);
    writeln!(told, "fixed: {}", sentence::headline(&fixed)).unwrap();
    expect![[r#"
        a_faster_by_enough: Light clicked 14 ms sooner than firm, give or take 8: more than the 5 ms that matter to you.
        b_faster_by_enough: Firm clicked 14 ms sooner than light, give or take 8: more than the 5 ms that matter to you.
        a_faster_too_little: Light clicked 2.6 ms sooner than firm, give or take 1.9: a difference, but a smaller one than the 5 ms that matter to you.
        b_faster_too_little: Firm clicked 2.6 ms sooner than light, give or take 1.9: a difference, but a smaller one than the 5 ms that matter to you.
        no_difference_that_matters: Firm and light are too close to matter: 0.4 ms apart, give or take 3.9, where only 5 ms or more matter to you.
        a_faster_size_open: Light clicked 9 ms sooner than firm, give or take 6: sooner, but whether by the 5 ms that matter to you is still open.
        b_faster_size_open: Firm clicked 9 ms sooner than light, give or take 6: sooner, but whether by the 5 ms that matter to you is still open.
        open: Still open: light clicked 3 ms sooner than firm, give or take 11, so either could be the faster hold.
        withheld: No verdict on light and firm: too few blocks are left to tell the holds apart from practice and tiredness.
        a_faster_by_enough: Light began to move 14 ms sooner than firm, give or take 8: more than the 5 ms that matter to you.
        b_faster_by_enough: Firm began to move 14 ms sooner than light, give or take 8: more than the 5 ms that matter to you.
        a_faster_too_little: Light began to move 2.6 ms sooner than firm, give or take 1.9: a difference, but a smaller one than the 5 ms that matter to you.
        b_faster_too_little: Firm began to move 2.6 ms sooner than light, give or take 1.9: a difference, but a smaller one than the 5 ms that matter to you.
        no_difference_that_matters: Firm and light are too close to matter: 0.4 ms apart, give or take 3.9, where only 5 ms or more matter to you.
        a_faster_size_open: Light began to move 9 ms sooner than firm, give or take 6: sooner, but whether by the 5 ms that matter to you is still open.
        b_faster_size_open: Firm began to move 9 ms sooner than light, give or take 6: sooner, but whether by the 5 ms that matter to you is still open.
        open: Still open: light began to move 3 ms sooner than firm, give or take 11, so either could be the faster hold.
        withheld: No verdict on light and firm: too few blocks are left to tell the holds apart from practice and tiredness.
        fixed: No verdict on light and firm: the order of the blocks was fixed, so any difference may be practice or tiredness.
    "#]].assert_eq(&told);
}

#[test]
fn of_three_pairs_the_clearest_comes_first() {
    let pairs = vec![
        pair(0, 1, Some(fit(-3.0, 11.0, 9.0)), Verdict::Open),
        pair(0, 2, Some(fit(14.0, 6.0, 5.0)), Verdict::BFasterByEnough),
        pair(1, 2, Some(fit(9.0, 6.0, 4.6)), Verdict::BFasterSizeOpen),
    ];
    let found = findings(pairs, Order::Williams, Measure::Click);
    let mut told = sentence::headline(&found) + "\n";
    for line in sentence::others(&found).into_iter().chain(sentence::settling(&found)) {
        writeln!(told, "{line}").unwrap();
    }
    expect![[r#"
        The clearest of 3 comparisons: shaped clicked 14 ms sooner than light, give or take 6: more than the 5 ms that matter to you.
        Shaped clicked 9 ms sooner than firm, give or take 6: sooner, but whether by the 5 ms that matter to you is still open.
        Still open: light clicked 3 ms sooner than firm, give or take 11, so either could be the faster hold.
        Firm against shaped: if the difference stays as it looks now, about 5 more cycles would probably show that the difference is enough to matter to you. Plan them beforehand as sessions of their own; do not stop at the first moment that looks good.
        Light against firm: if the difference stays as it looks now, about 48 more cycles would probably show which hold is faster. Plan them beforehand as sessions of their own; do not stop at the first moment that looks good.
    "#]].assert_eq(&told);
}

#[test]
fn what_would_settle_it_is_said_once_for_two_holds() {
    let cases = [
        (-5.0, 11.0, Verdict::Open),
        (-0.5, 9.0, Verdict::Open),
        (-9.0, 6.0, Verdict::AFasterSizeOpen),
        (-3.0, 2.8, Verdict::AFasterSizeOpen),
        (-5.0, 4.0, Verdict::AFasterSizeOpen),
        (-14.0, 8.0, Verdict::AFasterByEnough),
    ];
    let lines: Vec<String> = cases
        .into_iter()
        .flat_map(|(difference, half, verdict)| {
            let fit = fit(difference, half, 0.8 * half);
            let pairs = vec![pair(0, 1, Some(fit), verdict)];
            sentence::settling(&findings(pairs, Order::Shuffled, Measure::Click))
        })
        .collect();
    expect![[r#"
        If the difference stays as it looks now, about 15 more cycles would probably show which hold is faster. Plan them beforehand as sessions of their own; do not stop at the first moment that looks good.
        If the difference stays as it looks now, about 7 more cycles would probably show that the difference is too small to matter to you. Plan them beforehand as sessions of their own; do not stop at the first moment that looks good.
        If the difference stays as it looks now, about 5 more cycles would probably show that the difference is enough to matter to you. Plan them beforehand as sessions of their own; do not stop at the first moment that looks good.
        If the difference stays as it looks now, about 1 more cycle would probably show that the difference is too small to matter to you. Plan them beforehand as sessions of their own; do not stop at the first moment that looks good.
        If the difference stays as it looks now, even 48 more cycles would hardly settle it. Choose by comfort, or ask again with another least gain."#]].assert_eq(&lines.join("\n"));
}

#[test]
fn every_doubt() {
    let shares = || Shares {
        most: "firm".to_owned(),
        most_share: 0.12,
        least: "light".to_owned(),
        least_share: 0.004,
    };
    let names = |a: &str, b: &str| (a.to_owned(), b.to_owned());
    let (a, b) = names("light", "firm");
    let mut all = vec![
        Spoiler::FixedOrder,
        Spoiler::OtherRules { session: "s1".to_owned() },
        Spoiler::RandomisationDisagrees { a: a.clone(), b: b.clone(), p: 0.08, p_t: 0.031 },
        Spoiler::BlocksLeftOut { too_few: vec!["3 (firm)".to_owned()], missed: vec![] },
        Spoiler::BlocksLeftOut {
            too_few: vec!["3 (firm)".to_owned(), "5 (light)".to_owned()],
            missed: vec!["7 (firm)".to_owned()],
        },
        Spoiler::LeftOutDiffer(shares()),
        Spoiler::EarlyDiffer(shares()),
        Spoiler::ErrorsDiffer(shares()),
        Spoiler::ManyErrors { share: 0.23 },
        Spoiler::Discomfort { hold: "firm".to_owned(), highest: 3, limit: 4 },
        Spoiler::Slope { hold: a.clone(), per_10min_ms: 12.4, low_ms: 3.1, high_ms: 21.7 },
        Spoiler::Slope { hold: a.clone(), per_10min_ms: -12.4, low_ms: -21.7, high_ms: -3.1 },
        Spoiler::RigChanged {
            session: "s2".to_owned(),
            changes: vec!["refresh: 240.0 Hz before, 60.0 Hz now".to_owned()],
        },
        Spoiler::LateFrames { count: 1, of: 40 },
        Spoiler::LateFrames { count: 9, of: 320 },
        Spoiler::CoarseClock { sd_ms: 4.8, source: "estimate".to_owned() },
        Spoiler::Expectation { hold: "firm".to_owned(), sure: 8 },
        Spoiler::MissesAveraged { count: 1, limit_ms: 1500.0 },
        Spoiler::MissesAveraged { count: 3, limit_ms: 1500.0 },
        Spoiler::ExclusionsDecide { a, b, difference_ms: 3.25 },
    ];
    for judged in ["unlocked", "unsteady", "variable", "not_judged"] {
        all.push(Spoiler::Vsync { judged: judged.to_owned() });
    }
    for ended in [Ended::Stopped, Ended::Discomfort, Ended::TimeUp, Ended::BrokenOff] {
        all.push(Spoiler::Partial { session: "s1".to_owned(), done: 5, planned: 12, ended });
    }
    let mut told = String::new();
    for spoiler in &all {
        let doubt = sentence::doubt(words::Did::Clicked, spoiler);
        writeln!(told, "{}\n    {}", doubt.what, doubt.mend).unwrap();
    }
    expect![[r#"
        The blocks came in one fixed order, so practice and tiredness cannot be told from the holds.
            Choose a drawn order in the protocol: shuffled, or williams with three holds or more.
        The rules used here are not those that were frozen before the first block of s1.
            Work it out with the program version that recorded it, or read this as a second look.
        For light against firm, re-drawing the order of the blocks gives p = 0.080, the model p = 0.031: they do not agree on whether there is a difference.
            Take the verdict with care, and run the protocol again before you change anything.
        One block is left out because fewer than half of the planned trials count: 3 (firm).
            Look at what happened in them before you run it again.
        2 blocks are left out because fewer than half of the planned trials count: 3 (firm), 5 (light); one block is left out because too many presses never came: 7 (firm).
            Look at what happened in them before you run it again.
        12 % of the trials do not count under firm, under 1 % under light: what is left may not be alike.
            Look at the result with everything in, further below; run again with fewer early or wrong presses.
        In 12 % of the trials the press came early under firm, in under 1 % under light: a hold that presses early looks quicker than it is.
            Rest the finger and do not half-press; wait for the target every time.
        12 % of the answers were wrong or missing under firm, under 1 % under light: speed may have been bought with errors.
            Aim for the same few errors under every hold, then compare again.
        23 % of all answers were wrong or missing.
            Slow down a little until errors are rare; a time means little without the answer.
        Discomfort under firm was rated up to 3 of 10 (a block ends at 4): the hand may have held back.
            Rest. With pain, numbness or tingling stop, and see a licensed clinician.
        Light became slower by 12 ms in 10 minutes (between 3 and 22).
            The comparison allows for a steady change; longer rests or more practice beforehand make it smaller.
        Light became quicker by 12 ms in 10 minutes (between 3 and 22).
            The comparison allows for a steady change; longer rests or more practice beforehand make it smaller.
        The rig changed before the session s2: refresh: 240.0 Hz before, 60.0 Hz now.
            Each hold was measured on both rigs, so a difference between holds stands; times from before and after cannot be compared. Keep one rig for a series of sessions.
        1 trial of 40 counts although the target's first frame came late.
            Close other programs, and run the rig check before the next session.
        9 trials of 320 count although the target's first frame came late.
            Close other programs, and run the rig check before the next session.
        A single time is known only to about 4.8 ms (standard deviation; the onset is told by estimate).
            See the rig's notes for how to get a better clock; it widens the result and favours no hold.
        You expected firm to be faster, and were 8 of 10 sure: attention follows expectation.
            Let someone who expects the opposite run it too.
        1 press that never came counts as 1500 ms in the means.
            Choose the trimmed mean in the protocol: it needs no such figure.
        3 presses that never came count as 1500 ms in the means.
            Choose the trimmed mean in the protocol: it needs no such figure.
        With every timed press in, the answer on light and firm would be another one (firm 3.2 ms sooner than light).
            Run again with fewer early or wrong presses, so that nothing hangs on what is left out.
        Frames were not held to the display's refresh (vsync: unlocked).
            Switch vsync on for this program in the graphics driver, and a variable rate off.
        Frames kept to the display's refresh only some of the time (vsync: unsteady).
            Switch vsync on for this program in the graphics driver, and a variable rate off.
        The display's refresh varied with the frames (vsync: variable).
            Switch vsync on for this program in the graphics driver, and a variable rate off.
        Nothing could tell whether frames kept to the display's refresh (vsync: not judged).
            Switch vsync on for this program in the graphics driver, and a variable rate off.
        The session s1 has 5 of its 12 blocks: the player stopped it.
            Run the protocol again on another day, and look at both sessions together.
        The session s1 has 5 of its 12 blocks: it was closed after two stops for discomfort.
            Rest, and leave the hold that hurt alone. With pain, numbness or tingling see a licensed clinician.
        The session s1 has 5 of its 12 blocks: the time allowed was used up.
            Run the protocol again on another day, and look at both sessions together.
        The session s1 has 5 of its 12 blocks: it was broken off.
            Run the protocol again on another day, and look at both sessions together.
    "#]].assert_eq(&told);
}
