//! What the display reported when its clock earned its trust, read again from the record: refresh,
//! vsync, clock, outputs, composition.
//!
//! Pure, and from the very value that stands in manifests and profiles, so that a session of last
//! month is judged like the rig of today.

use super::finding::{Finding, Grade, Matters, Topic};
use crate::words::rig as words;
use serde_json::Value;

/// A measured refresh may differ from the one asked by this share.
const REFRESH_SHARE: f64 = 0.01;
/// Two outputs' rates differ when they are further apart than this share.
const RATE_SHARE: f64 = 0.005;
/// A clock's doubt from which times say little, ms: a third of the usual spread of presses. Common
/// practice, no source.
const USELESS_SD_MS: f64 = 10.0;
/// A clock's doubt from which it is called coarse, ms: about half a frame at 240 a second. Common
/// practice, no source.
const COARSE_SD_MS: f64 = 2.0;

/// The parts of a display's report that are judged; blank where it does not tell.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct DisplayFacts {
    /// Graphics card.
    pub gpu: Option<String>,
    /// Driver and its version.
    pub driver: Option<String>,
    /// Pictures are made by the processor.
    pub software: Option<bool>,
    /// Windowing system.
    pub window_system: Option<String>,
    /// Mode asked for.
    pub mode_asked: Option<String>,
    /// Mode granted.
    pub mode_granted: Option<String>,
    /// Whether a compositor owns the screen.
    pub compositor: Option<bool>,
    /// Size, px.
    pub size: Option<[u64; 2]>,
    /// Refresh asked, ms.
    pub refresh_asked_ms: Option<f64>,
    /// Who said so: `wish`, `output` or `assumed`.
    pub refresh_from: Option<String>,
    /// Refresh measured, ms.
    pub refresh_ms: Option<f64>,
    /// What it does.
    pub vsync: Option<String>,
    /// How that was judged.
    pub vsync_how: Option<String>,
    /// Presentation clock.
    pub clock: Option<String>,
    /// Its doubt, ms.
    pub clock_sd_ms: Option<f64>,
    /// Name and rate of each output.
    pub outputs: Vec<(String, Option<f64>)>,
}

impl DisplayFacts {
    /// Reads a display's report.
    pub fn of(report: &Value) -> DisplayFacts {
        let text = |path: &str| report.pointer(path).and_then(Value::as_str).map(str::to_owned);
        let number = |path: &str| report.pointer(path).and_then(Value::as_f64);
        let yes = |path: &str| report.pointer(path).and_then(Value::as_bool);
        let side = |path: &str| report.pointer(path).and_then(Value::as_u64);
        let driver = [text("/driver"), text("/driver_version")];
        let driver: Vec<String> = driver.into_iter().flatten().filter(|t| !t.is_empty()).collect();
        let outputs = report.get("outputs").and_then(Value::as_array);
        DisplayFacts {
            gpu: text("/gpu"),
            driver: (!driver.is_empty()).then(|| driver.join(" ")),
            software: yes("/software"),
            window_system: text("/window_system"),
            mode_asked: text("/present_mode_asked"),
            mode_granted: text("/present_mode_granted"),
            compositor: yes("/compositor"),
            size: side("/size/width").zip(side("/size/height")).map(|(w, h)| [w, h]),
            refresh_asked_ms: number("/refresh_asked_ms"),
            refresh_from: text("/refresh_from"),
            refresh_ms: number("/vsync/refresh_ms"),
            vsync: text("/vsync/state"),
            vsync_how: text("/vsync/how"),
            clock: text("/clock/chosen"),
            clock_sd_ms: number("/clock/sd_ms"),
            outputs: outputs.into_iter().flatten().filter_map(output).collect(),
        }
    }
}

fn output(value: &Value) -> Option<(String, Option<f64>)> {
    let id = value.get("id")?.as_str()?.to_owned();
    Some((id, value.get("rate_hz").and_then(Value::as_f64)))
}

/// What it means.
pub fn findings(facts: &DisplayFacts) -> Vec<Finding> {
    vec![refresh(facts), vsync(facts), clock(facts), presentation(facts), outputs(facts)]
}

fn refresh(facts: &DisplayFacts) -> Finding {
    let topic = Topic::Refresh;
    let Some(asked_ms) = facts.refresh_asked_ms else {
        return Finding::not_told(topic, words::refresh_untold().to_owned(), None);
    };
    let assumed = facts.refresh_from.as_deref() == Some("assumed");
    match facts.refresh_ms {
        None => {
            let what = words::refresh_not_measured(1e3 / asked_ms, assumed);
            Finding::not_told(topic, what, Some(words::refresh_not_measured_mend().to_owned()))
        }
        Some(ms) if (ms / asked_ms - 1.0).abs() > REFRESH_SHARE => Finding {
            topic,
            grade: Grade::Mend,
            what: words::refresh_differs(1e3 / asked_ms, 1e3 / ms, assumed),
            // A slower refresh only makes each frame wait longer, in every hold alike.
            matters: Matters::Spread { sd_ms: ms / 12.0_f64.sqrt() },
            mend: Some(words::refresh_differs_mend().to_owned()),
        },
        Some(ms) => {
            let what = words::refresh_as_asked(1e3 / asked_ms, 1e3 / ms);
            Finding::good(topic, what, Matters::No)
        }
    }
}

fn vsync(facts: &DisplayFacts) -> Finding {
    let topic = Topic::Vsync;
    let state = facts.vsync.as_deref().unwrap_or("not_judged");
    let by_stamps = facts.vsync_how.as_deref() == Some("hardware_stamps");
    let what = words::vsync(state, by_stamps).to_owned();
    let frame_ms = facts.refresh_ms.or(facts.refresh_asked_ms).unwrap_or(1e3 / 60.0);
    let spread = Matters::Spread { sd_ms: frame_ms / 12.0_f64.sqrt() };
    let mend = Some(words::vsync_mend().to_owned());
    match state {
        "locked" => Finding::good(topic, what, Matters::No),
        // With stamps of the hardware each frame's moment is known all the same.
        "variable" if by_stamps => {
            Finding { topic, grade: Grade::Note, what, matters: Matters::No, mend: None }
        }
        "variable" | "unlocked" | "unsteady" => {
            Finding { topic, grade: Grade::Mend, what, matters: spread, mend }
        }
        _ => Finding::not_told(topic, what, mend),
    }
}

fn clock(facts: &DisplayFacts) -> Finding {
    let topic = Topic::DisplayClock;
    let (Some(source), Some(sd_ms)) = (facts.clock.as_deref(), facts.clock_sd_ms) else {
        return Finding::not_told(topic, words::display_clock_untold().to_owned(), None);
    };
    let what = words::display_clock(source, sd_ms);
    let matters = Matters::Spread { sd_ms };
    if sd_ms < COARSE_SD_MS {
        return Finding::good(topic, what, matters);
    }
    let mend = Some(words::display_clock_mend().to_owned());
    let grade = if sd_ms < USELESS_SD_MS { Grade::Note } else { Grade::Mend };
    Finding { topic, grade, what, matters, mend }
}

fn presentation(facts: &DisplayFacts) -> Finding {
    let topic = Topic::Presentation;
    let [asked, granted] = [&facts.mode_asked, &facts.mode_granted].map(Option::as_deref);
    let what = words::presentation(
        facts.window_system.as_deref().unwrap_or("-"),
        facts.gpu.as_deref().unwrap_or("-"),
        facts.driver.as_deref().unwrap_or("-"),
        asked.unwrap_or("-"),
        granted.unwrap_or("-"),
        facts.compositor,
    );
    if facts.software == Some(true) {
        let mend = Some(words::software_mend().to_owned());
        return Finding { topic, grade: Grade::Mend, what, matters: Matters::Trials, mend };
    }
    let lag = Matters::Cancels { ms: facts.refresh_ms.or(facts.refresh_asked_ms) };
    if facts.compositor == Some(true) {
        let mend = Some(words::compositor_mend().to_owned());
        return Finding { topic, grade: Grade::Note, what, matters: lag, mend };
    }
    if asked != granted {
        let mend = Some(words::mode_mend().to_owned());
        return Finding { topic, grade: Grade::Note, what, matters: lag, mend };
    }
    Finding::good(topic, what, Matters::No)
}

fn outputs(facts: &DisplayFacts) -> Finding {
    let topic = Topic::Outputs;
    match &facts.outputs[..] {
        [] => Finding::not_told(topic, words::outputs_untold().to_owned(), None),
        [(only, _)] => Finding::good(topic, words::one_output(only), Matters::No),
        several => {
            let rates: Vec<f64> = several.iter().filter_map(|(_, rate)| *rate).collect();
            let most = rates.iter().copied().fold(0.0, f64::max);
            let differ = rates.iter().any(|rate| (rate / most - 1.0).abs() > RATE_SHARE);
            let list: Vec<String> =
                several.iter().map(|(id, rate)| words::output(id, *rate)).collect();
            if !differ {
                return Finding::good(topic, words::several_outputs(&list), Matters::No);
            }
            Finding {
                topic,
                grade: Grade::Mend,
                what: words::outputs_differ(&list),
                matters: Matters::Trials,
                mend: Some(words::outputs_mend().to_owned()),
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn report() -> Value {
        json!({
            "gpu": "Invented 1", "driver": "inv", "driver_version": "1.2", "software": false,
            "window_system": "x11", "size": { "width": 2560, "height": 1440 },
            "outputs": [{ "id": "DP-1", "rate_hz": 239.97 }],
            "present_mode_asked": "fifo", "present_mode_granted": "fifo", "compositor": false,
            "refresh_asked_ms": 4.167, "refresh_from": "output",
            "vsync": { "state": "locked", "how": "hardware_stamps", "refresh_ms": 4.168 },
            "clock": { "chosen": "present_complete", "sd_ms": 0.05 },
        })
    }

    fn graded(report: &Value) -> Vec<(Topic, Grade)> {
        let all = findings(&DisplayFacts::of(report));
        all.iter().map(|finding| (finding.topic, finding.grade)).collect()
    }

    #[test]
    fn a_good_display_has_nothing_to_mend() {
        assert!(graded(&report()).iter().all(|(_, grade)| *grade == Grade::Good));
    }

    #[test]
    fn each_fault_shows_at_its_own_topic() {
        let with = |path: &str, value: Value| {
            let mut report = report();
            *report.pointer_mut(path).unwrap() = value;
            let faults: Vec<_> =
                graded(&report).into_iter().filter(|(_, grade)| *grade != Grade::Good).collect();
            faults
        };
        // The display runs at 60 where 240 was asked.
        assert_eq!(with("/vsync/refresh_ms", json!(16.67)), [(Topic::Refresh, Grade::Mend)]);
        assert_eq!(with("/vsync/refresh_ms", json!(null)), [(Topic::Refresh, Grade::NotTold)]);
        assert_eq!(with("/vsync/state", json!("unlocked")), [(Topic::Vsync, Grade::Mend)]);
        assert_eq!(with("/vsync/state", json!("variable")), [(Topic::Vsync, Grade::Note)]);
        assert_eq!(with("/clock/sd_ms", json!(4.8)), [(Topic::DisplayClock, Grade::Note)]);
        assert_eq!(with("/clock/sd_ms", json!(126.0)), [(Topic::DisplayClock, Grade::Mend)]);
        assert_eq!(with("/software", json!(true)), [(Topic::Presentation, Grade::Mend)]);
        assert_eq!(with("/compositor", json!(true)), [(Topic::Presentation, Grade::Note)]);
        let second =
            json!([{ "id": "DP-1", "rate_hz": 239.97 }, { "id": "DP-2", "rate_hz": 60.0 }]);
        assert_eq!(with("/outputs", second), [(Topic::Outputs, Grade::Mend)]);
    }

    #[test]
    fn an_empty_report_claims_nothing() {
        let told = graded(&json!({}));
        let silent = told.iter().filter(|(_, grade)| *grade == Grade::NotTold).count();
        assert_eq!(silent, 4, "{told:?}");
    }
}
