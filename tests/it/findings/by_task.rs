//! What only one kind of task tells: throughput by difficulty, information in the answers.

use super::invented::{protocol, session};
use tautline::findings::input::HandFacts;
use tautline::findings::json::FindingsJson;
use tautline::findings::{report, work_out};
use tautline::record::Outcome;
use tautline::tasks::{Choice, ChoiceBy, Levels, Map, Pointing, TaskKind};

/// Two sizes at one distance, every second trial: each has a spread of its own, and the small one
/// is hit more exactly. All by hand.
#[test]
fn each_size_has_an_effective_width_of_its_own() {
    let mut data = session(protocol(2, 6), &[0.0, 0.0], 9);
    data.protocol.task = TaskKind::Pointing(Pointing {
        distance_mm: Levels::one(60.0),
        sizes_mm: Some(Levels::of(&[10.0, 20.0])),
    });
    for trial in &mut data.trials {
        let large = trial.trial % 2 == 0;
        let off = if large { 10.0 } else { 5.0 };
        let end = if trial.trial % 4 < 2 { 300.0 + off } else { 300.0 - off };
        trial.hand = HandFacts {
            movement_ms: Some(if large { 200.0 } else { 250.0 }),
            target_px: Some([300.0, 0.0]),
            end_px: Some([end, 0.0]),
            aimed_at_mm: Some([60.0, if large { 20.0 } else { 10.0 }]),
            ..HandFacts::default()
        };
    }
    let per_size = data.trials.len() / 4;
    let findings = work_out(vec![data]).unwrap();
    let of = &findings.by_task.pointing[0];
    assert_eq!(of.difficulties.len(), 2, "{of:?}");
    let [easy, hard] = [of.difficulties[0], of.difficulties[1]];
    assert_eq!((easy.size_mm.round(), hard.size_mm.round()), (20.0, 10.0), "the easiest first");
    // log2(60 / 20 + 1) and log2(60 / 10 + 1).
    assert!((easy.bits - 2.0).abs() < 1e-12 && (hard.bits - 7.0_f64.log2()).abs() < 1e-12);
    assert_eq!((easy.movements, hard.movements, easy.beside), (per_size, per_size, 0));
    let (mut sum, n) = (0.0, per_size as f64);
    for (kind, off, seconds) in [(easy, 10.0, 0.2), (hard, 5.0, 0.25)] {
        // Half at +off and half at -off: variance n off^2 / (n - 1), mean 300.
        let width = 4.133 * off * (n / (n - 1.0)).sqrt();
        let bits = (300.0 / width + 1.0).log2();
        let found = kind.found.unwrap();
        assert!((found.effective_width - width).abs() < 1e-9, "{found:?} {width}");
        assert!((found.bits_per_s - bits / seconds).abs() < 1e-9, "{found:?}");
        sum += bits / seconds;
    }
    assert!((of.throughput_bits_s.unwrap() - sum / 2.0).abs() < 1e-9);
    // The one number of the hold is that mean: no block has a spread for each.
    assert_eq!(findings.costs.holds[0].throughput, of.throughput_bits_s);
    let json = FindingsJson::of(&findings);
    let pointing = json.conditions[0].beside.pointing.clone().unwrap();
    assert_eq!((pointing.difficulties.len(), pointing.slope_ms_per_bit), (2, None));
    let html = report::html(&findings);
    assert!(html.contains("Pointing by difficulty") && html.contains("ISO 9241-411"));
    assert!(!html.contains("Information in the answers"));
}

/// Four places, answered rightly but for one in four, which goes to the next place: each answer
/// still tells 2 bits less the doubt H(1/4) = 0.811278 bits.
#[test]
fn answers_that_err_tell_less_of_the_targets() {
    let mut data = session(protocol(2, 6), &[0.0, 0.0], 9);
    data.protocol.task = TaskKind::Choice(Choice {
        map: Map::Same,
        eccentricity_mm: 60.0,
        alternatives: 4,
        by: ChoiceBy::Movement { travel_counts: 60.0 },
    });
    let mut number = [0_usize; 2];
    let holds: Vec<usize> = data.blocks.iter().map(|block| block.condition).collect();
    for trial in &mut data.trials {
        let n = &mut number[holds[trial.position - 1]];
        let right = *n % 4;
        let errs = (*n / 4).is_multiple_of(4);
        trial.hand.chosen = Some([right, if errs { (right + 1) % 4 } else { right }]);
        trial.outcome = if errs { Outcome::Wrong } else { Outcome::Hit };
        trial.click_ms = Some(400.0);
        *n += 1;
    }
    let whole = |n: usize| n / 16 * 16;
    let mut seen = [0_usize; 2];
    data.trials.retain(|trial| {
        let hold = holds[trial.position - 1];
        seen[hold] += 1;
        seen[hold] <= whole(number[hold])
    });
    let findings = work_out(vec![data]).unwrap();
    let of = findings.by_task.choice[0];
    let doubt = -(0.25_f64 * 0.25_f64.log2() + 0.75 * 0.75_f64.log2());
    assert_eq!((of.alternatives, of.answers), (4, whole(number[0])));
    assert!((of.transmitted_bits - (2.0 - doubt)).abs() < 1e-9, "{of:?}");
    assert!((of.hyman_bits - 2.0).abs() < 1e-12 && (of.hick_bits - 5.0_f64.log2()).abs() < 1e-12);
    assert!((of.bits_per_s.unwrap() - (2.0 - doubt) / 0.4).abs() < 1e-9);
    let json = FindingsJson::of(&findings);
    assert_eq!(json.conditions[0].beside.choice.unwrap().answers, of.answers);
    assert!(report::html(&findings).contains("Information in the answers"));
}
