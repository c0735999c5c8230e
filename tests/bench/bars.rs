//! The bars that the program's timing must pass, judged from one run of the comparison.

use crate::figures::{Runs, Spread};

/// The robot's own doubt, ms.
const ROBOT_DOUBT_MS: f64 = 0.5;
/// Fixed part of the bar on the median, ms.
const MEDIAN_MS: f64 = 1.0;
/// Smallest bar beside a plain loop, ms.
const LEAST_MS: f64 = 0.6;
/// Stated standard deviations within which an unflagged trial's error must lie.
const STATED_SDS: f64 = 4.0;

/// One bar.
#[derive(Debug)]
pub(crate) struct Bar {
    says: String,
    pub(crate) passed: bool,
}

impl Bar {
    /// A line for the list under the table.
    pub(crate) fn line(&self) -> String {
        format!("- {}: {}", if self.passed { "passed" } else { "NOT passed" }, self.says)
    }
}

/// All bars, for the program beside the plain loop.
pub(crate) fn judge(program: &Runs, plain: &Runs) -> Vec<Bar> {
    let (own, other) = (program.rt(), plain.rt());
    let mut bars = vec![whole(program), median(program, own), half(own, other)];
    bars.extend(third(own, other));
    bars.push(stated(program));
    bars
}

/// The bars that hold beside other work too: errors may grow, but the program has to know it.
pub(crate) fn under_load(program: &Runs) -> Vec<Bar> {
    vec![whole(program), stated(program)]
}

/// How many trials were flagged, and how far off each kind was against what was stated of it.
pub(crate) fn by_flag(program: &Runs) -> String {
    let of = |flagged: bool| {
        let sds = program.close().filter(|answer| answer.flagged == flagged).filter_map(|answer| {
            Some(answer.rt_error_ms.abs() / answer.rt_sd_ms.filter(|&sd_ms| sd_ms > 0.0)?)
        });
        Spread::of(sds.collect())
    };
    let [plain, flagged] = [of(false), of(true)];
    let largest = |spread: Spread| match spread.n {
        0 => "none".to_owned(),
        n => format!("{n}, largest {:.2} stated sd", spread.most_abs_ms),
    };
    format!("unflagged: {}; flagged: {}", largest(plain), largest(flagged))
}

fn whole(program: &Runs) -> Bar {
    let says = format!("no trial lost or invented: {} and {}", program.lost, program.invented);
    Bar { says, passed: program.lost == 0 && program.invented == 0 }
}

fn median(program: &Runs, own: Spread) -> Bar {
    let stated: Vec<f64> = program.close().filter_map(|answer| answer.shown_sd_ms).collect();
    let stated_ms = Spread::of(stated).median_ms;
    let bar_ms = MEDIAN_MS + 2.0 * stated_ms / (own.n as f64).sqrt() + ROBOT_DOUBT_MS;
    let median_ms = own.median_ms.abs();
    let says = format!(
        "|median| {median_ms:.3} ms at most {bar_ms:.3} \
         (1 + 2 x stated onset sd {stated_ms:.3} / sqrt n + 0.5)"
    );
    Bar { says, passed: median_ms <= bar_ms }
}

fn half(own: Spread, other: Spread) -> Bar {
    let bar_ms = other.sd_ms / 2.0;
    let says = format!("sd {:.3} ms at most half the plain loop's, {bar_ms:.3}", own.sd_ms);
    Bar { says, passed: own.sd_ms <= bar_ms }
}

fn third(own: Spread, other: Spread) -> [Bar; 2] {
    let bar = |what: &str, own_ms: f64, other_ms: f64| {
        let bar_ms = LEAST_MS.max(other_ms / 3.0);
        let says = format!(
            "{what} {own_ms:.3} ms at most {bar_ms:.3}, the larger of 0.6 and a third of the plain loop's"
        );
        Bar { says, passed: own_ms <= bar_ms }
    };
    [bar("sd", own.sd_ms, other.sd_ms), bar("|median|", own.median_ms.abs(), other.median_ms.abs())]
}

fn stated(program: &Runs) -> Bar {
    let outside = program.close().filter(|answer| !answer.flagged).filter(|answer| {
        let sd_ms = answer.rt_sd_ms.unwrap_or(0.0);
        answer.rt_error_ms.abs() > STATED_SDS * sd_ms
    });
    let outside = outside.count();
    let says = format!("errors outside 4 stated sd on unflagged trials: {outside}");
    Bar { says, passed: outside == 0 }
}
