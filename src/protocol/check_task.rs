//! Keys of a task that do not fit each other, or the analysis.

use super::check::unfit;
use super::keys::one_of;
use super::read::Places;
use super::read_task::measures;
use super::walk::Walk;
use super::{Measure, Protocol, Tension};
use crate::tasks::{Choice, ChoiceBy, TaskKind};

/// Keys that only some tasks take.
const OWN: [&str; 14] = [
    "map",
    "eccentricity_mm",
    "alternatives",
    "answer",
    "travel_counts",
    "withhold_share",
    "go_notch",
    "speed_mm_s",
    "sides",
    "out_share",
    "distance_mm",
    "sizes_mm",
    "run_s",
    "reach_mm",
];

/// The keys of [`OWN`] that this task takes.
const fn own(task: &TaskKind) -> &'static [&'static str] {
    match task {
        TaskKind::Simple(_) | TaskKind::Vigilance(_) => &[],
        TaskKind::Steadiness(_) | TaskKind::Tapping(_) => &["run_s"],
        TaskKind::Pursuit(_) => &["run_s", "reach_mm"],
        TaskKind::Onset(_) => &["travel_counts"],
        TaskKind::GoNoGo(_) => &["withhold_share", "go_notch"],
        TaskKind::Choice(Choice { by: ChoiceBy::Buttons, .. }) => {
            &["map", "eccentricity_mm", "alternatives", "answer"]
        }
        TaskKind::Choice(Choice { by: ChoiceBy::Movement { .. }, .. }) => {
            &["map", "eccentricity_mm", "alternatives", "answer", "travel_counts"]
        }
        TaskKind::Emergence(_) => &["speed_mm_s", "sides", "out_share"],
        TaskKind::Pointing(_) => &["distance_mm", "sizes_mm"],
    }
}

/// Adds the faults of the task's own keys and of its measure.
pub(super) fn check(walk: &mut Walk, protocol: &Protocol, places: &Places) {
    let (task, at) = (&protocol.task, &places.task);
    let taken = own(task);
    for name in OWN {
        if at.has(name) && !taken.contains(&name) {
            let what = format!("`task.{name}` is of no use to the task {}", task.name());
            unfit(walk, at.span_of(name), what, "leave it out".to_owned());
        }
    }
    if let TaskKind::Choice(Choice { by: ChoiceBy::Buttons, alternatives, .. }) = task
        && *alternatives > 3
    {
        let what = format!("{alternatives} alternatives are more than a mouse has buttons for");
        let mend = "write 2 or 3 alternatives, or answer = \"movement\"".to_owned();
        unfit(walk, at.span_of("alternatives"), what, mend);
    }
    measure(walk, protocol, places);
    unit(walk, protocol, places);
    if walk.is_sound(&["foreperiod", "design"]) {
        runs(walk, protocol, places);
    }
    firm(walk, protocol, places);
}

/// The least change is told in the unit of what is compared.
fn unit(walk: &mut Walk, protocol: &Protocol, places: &Places) {
    let (at, measure) = (&places.analysis, protocol.analysis.measure);
    let (name, unit) = (measure.name(), measure.unit());
    if unit == "ms" && at.has("smallest_change") {
        let what = format!("`analysis.smallest_change` is of no use: {name} is a time");
        unfit(walk, at.span_of("smallest_change"), what, "write smallest_change_ms".to_owned());
    } else if unit != "ms" && at.has("smallest_change_ms") {
        let what = format!("`analysis.smallest_change_ms` is in ms, and {name} is in {unit}");
        unfit(walk, at.span_of("smallest_change_ms"), what, "write smallest_change".to_owned());
    } else if unit != "ms" && !at.has("smallest_change") {
        let what = format!("`analysis.smallest_change` is missing: {name} is in {unit}");
        let mend = format!("write the least difference that matters to you, {unit}");
        unfit(walk, at.span_of("smallest_change"), what, mend);
    }
}

/// Trials of a set time have no empty waits; trials with one answer must be several.
fn runs(walk: &mut Walk, protocol: &Protocol, places: &Places) {
    const LEAST_ANSWERS: usize = 5;
    let name = protocol.task.name();
    if protocol.task.task().run().is_none() {
        if protocol.design.trials < LEAST_ANSWERS && places.design.has("trials") {
            let what = format!("{} trials a block are too few for {name}", protocol.design.trials);
            let mend = format!("write {LEAST_ANSWERS} at least");
            unfit(walk, places.design.span_of("trials"), what, mend);
        }
        return;
    }
    if protocol.foreperiod.catch_share() > 0.0 {
        let what = format!("the task {name} goes on for a set time and has no empty waits");
        let mend = "write law = \"fixed\", ms = 1000 and catch_share = 0".to_owned();
        unfit(walk, places.foreperiod.span_of("catch_share"), what, mend);
    }
}

/// What a firm hold is not asked for.
fn firm(walk: &mut Walk, protocol: &Protocol, places: &Places) {
    const STILL_AT_MOST_S: f64 = 10.0;
    let firm = protocol.conditions.iter().zip(&places.conditions);
    let firm = firm.filter(|(hold, _)| hold.tension == Tension::Firm).map(|(_, at)| at);
    let Some(at) = firm.into_iter().next() else { return };
    match protocol.task {
        TaskKind::Vigilance(_) => {
            let what = "the task vigilance goes on for minutes, and a hold is firm".to_owned();
            let mend = "write light or shaped holds: no key lifts this".to_owned();
            unfit(walk, at.span_of("tension"), what, mend);
        }
        TaskKind::Steadiness(task) if task.run_s > STILL_AT_MOST_S => {
            let what = format!("{} s of keeping still, and a hold is firm", task.run_s);
            let mend = format!("write a run_s of {STILL_AT_MOST_S} at most, or light holds");
            unfit(walk, places.task.span_of("run_s"), what, mend);
        }
        _ => {}
    }
}

fn measure(walk: &mut Walk, protocol: &Protocol, places: &Places) {
    let (name, measure) = (protocol.task.name(), protocol.analysis.measure);
    let measures = measures(&protocol.task);
    if measures.contains(&measure) {
        return;
    }
    let why = match measure {
        Measure::Click => "nothing is clicked",
        Measure::Onset => "the hand does not travel",
        Measure::TapInterval => "nobody taps",
        Measure::TrackError => "no target is followed",
        Measure::Stillness => "the hand does not keep still",
    };
    let what =
        format!("`analysis.measure` is \"{}\", and in the task {name} {why}", measure.name());
    let fitting: Vec<&str> = measures.iter().map(|measure| measure.name()).collect();
    let mend = format!("write {}, or leave it out", one_of(&fitting));
    unfit(walk, places.analysis.span_of("measure"), what, mend);
}
