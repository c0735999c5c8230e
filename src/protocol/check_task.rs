//! Keys of a task that do not fit each other, or the analysis.

use super::check::unfit;
use super::keys::one_of;
use super::read::Places;
use super::read_task::measures;
use super::walk::Walk;
use super::{Measure, Protocol};
use crate::tasks::{Choice, ChoiceBy, TaskKind};

/// Keys that only some tasks take.
const OWN: [&str; 12] = [
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
];

/// The keys of [`OWN`] that this task takes.
const fn own(task: &TaskKind) -> &'static [&'static str] {
    match task {
        TaskKind::Simple(_) => &[],
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
    };
    let what =
        format!("`analysis.measure` is \"{}\", and in the task {name} {why}", measure.name());
    let fitting: Vec<&str> = measures.iter().map(|measure| measure.name()).collect();
    let mend = format!("write {}, or leave it out", one_of(&fitting));
    unfit(walk, places.analysis.span_of("measure"), what, mend);
}
