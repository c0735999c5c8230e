//! Reads the `[task]` table: which task, and its own keys.
//!
//! Every key is read, so that a faulty one is told of; one that the task has no use for is a fault
//! of its own (check_task.rs).

use super::Measure;
use super::walk::{Place, Walk};
use crate::scene::Side;
use crate::tasks::{
    Choice, ChoiceBy, Emergence, GoNoGo, Levels, Map, Onset, Pointing, Pursuit, Sides, Simple,
    Steadiness, Tapping, TaskKind, Vigilance,
};

/// The task of the table `at`.
pub(super) fn task<'a>(walk: &mut Walk<'a>, at: &Place<'a>) -> TaskKind {
    let kind = walk.text(at, "kind");
    let travel_counts = walk.number(at, "travel_counts");
    let choice = choice(walk, at, travel_counts);
    let onset = Onset { travel_counts };
    let go_no_go = GoNoGo {
        withhold_share: walk.number(at, "withhold_share"),
        go_notch: match walk.text(at, "go_notch").as_str() {
            "down" => Side::Down,
            "left" => Side::Left,
            "right" => Side::Right,
            _ => Side::Up,
        },
    };
    let emergence = Emergence {
        speed_mm_s: walk.numbers(at, "speed_mm_s").unwrap_or(Levels::one(200.0)),
        sides: match walk.text(at, "sides").as_str() {
            "left" => Sides::Left,
            "right" => Sides::Right,
            _ => Sides::Both,
        },
        out_share: walk.number(at, "out_share"),
    };
    let pointing = Pointing {
        distance_mm: walk.numbers(at, "distance_mm").unwrap_or(Levels::one(80.0)),
        sizes_mm: walk.numbers(at, "sizes_mm"),
    };
    let run_s = walk.number_or_unset(at, "run_s");
    let reach_mm = walk.number(at, "reach_mm");
    match kind.as_str() {
        "steadiness" => TaskKind::Steadiness(Steadiness { run_s: run_s.unwrap_or(8.0) }),
        "tapping" => TaskKind::Tapping(Tapping { run_s: run_s.unwrap_or(10.0) }),
        "pursuit" => TaskKind::Pursuit(Pursuit { run_s: run_s.unwrap_or(20.0), reach_mm }),
        "vigilance" => TaskKind::Vigilance(Vigilance {}),
        "onset" => TaskKind::Onset(onset),
        "go_no_go" => TaskKind::GoNoGo(go_no_go),
        "choice" => TaskKind::Choice(choice),
        "emergence" => TaskKind::Emergence(emergence),
        "pointing" => TaskKind::Pointing(pointing),
        _ => TaskKind::Simple(Simple {}),
    }
}

fn choice<'a>(walk: &mut Walk<'a>, at: &Place<'a>, travel_counts: f64) -> Choice {
    Choice {
        map: if walk.text(at, "map") == "crossed" { Map::Crossed } else { Map::Same },
        eccentricity_mm: walk.number(at, "eccentricity_mm"),
        alternatives: u16::try_from(walk.whole(at, "alternatives")).unwrap_or(2),
        by: match walk.text(at, "answer").as_str() {
            "movement" => ChoiceBy::Movement { travel_counts },
            _ => ChoiceBy::Buttons,
        },
    }
}

/// What can be compared in a task; the first where the protocol does not say.
pub(super) const fn measures(task: &TaskKind) -> &'static [Measure] {
    match task {
        TaskKind::Simple(_)
        | TaskKind::GoNoGo(_)
        | TaskKind::Choice(Choice { by: ChoiceBy::Buttons, .. })
        | TaskKind::Emergence(_)
        | TaskKind::Vigilance(_) => &[Measure::Click],
        TaskKind::Steadiness(_) => &[Measure::Stillness],
        TaskKind::Tapping(_) => &[Measure::TapInterval],
        TaskKind::Pursuit(_) => &[Measure::TrackError],
        TaskKind::Pointing(_) => &[Measure::Click, Measure::Onset],
        TaskKind::Onset(_) | TaskKind::Choice(Choice { by: ChoiceBy::Movement { .. }, .. }) => {
            &[Measure::Onset]
        }
    }
}

/// The lapse limit of a protocol that names none, ms.
///
/// 500 ms is the usual limit of vigilance tests (Dinges & Powell 1985, from memory), for an answer
/// that asks for nothing else. Where one must be chosen, seen sliding out or moved to, usual answers
/// are slower: common practice, no source.
pub(super) fn usual_lapse_ms(task: &TaskKind, respond_within_ms: f64) -> f64 {
    let usual_ms: f64 = match task {
        TaskKind::Simple(_) | TaskKind::Onset(_) | TaskKind::Vigilance(_) => 500.0,
        // Nothing there is late.
        TaskKind::Steadiness(_) | TaskKind::Tapping(_) | TaskKind::Pursuit(_) => 500.0,
        TaskKind::GoNoGo(_) | TaskKind::Emergence(_) => 700.0,
        TaskKind::Choice(_) => 800.0,
        TaskKind::Pointing(_) => 1_200.0,
    };
    usual_ms.min(0.8 * respond_within_ms)
}
