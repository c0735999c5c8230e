//! From laid-out presses to the figures of one row of the table.
//!
//! Trials whose onset or press the robot itself knew too loosely are counted and left out, for
//! every program alike.

use crate::support::matching::{Laid, Matched};

/// n, median, sd, 95th percentile of the absolute value, largest absolute value; ms.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Spread {
    pub(crate) n: usize,
    pub(crate) median_ms: f64,
    pub(crate) sd_ms: f64,
    pub(crate) p95_abs_ms: f64,
    pub(crate) most_abs_ms: f64,
}

impl Spread {
    pub(crate) fn of(mut values: Vec<f64>) -> Spread {
        values.sort_by(f64::total_cmp);
        let n = values.len();
        let count = n as f64;
        let mean = values.iter().sum::<f64>() / count;
        let squares: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
        let middle = |at: usize| values.get(at).copied().unwrap_or(f64::NAN);
        let median_ms = f64::midpoint(middle(n.saturating_sub(1) / 2), middle(n / 2));
        let mut sizes: Vec<f64> = values.iter().map(|value| value.abs()).collect();
        sizes.sort_by(f64::total_cmp);
        // The smallest value that 95 % of all do not exceed.
        let p95 = (n * 95).div_ceil(100).saturating_sub(1);
        Spread {
            n,
            median_ms,
            sd_ms: (squares / (count - 1.0)).sqrt(),
            p95_abs_ms: sizes.get(p95).copied().unwrap_or(f64::NAN),
            most_abs_ms: sizes.last().copied().unwrap_or(f64::NAN),
        }
    }
}

/// All runs of one program together.
#[derive(Debug, Default)]
pub(crate) struct Runs {
    pub(crate) answers: Vec<Matched>,
    pub(crate) not_counted: usize,
    pub(crate) lost: usize,
    pub(crate) invented: usize,
}

impl Runs {
    pub(crate) fn add(&mut self, laid: Laid) {
        self.answers.extend(laid.answers);
        self.not_counted += laid.not_counted;
        self.lost += laid.lost;
        self.invented += laid.invented;
    }

    /// The answers that the robot knew closely.
    pub(crate) fn close(&self) -> impl Iterator<Item = &Matched> {
        self.answers.iter().filter(|answer| answer.close)
    }

    pub(crate) fn left_out(&self) -> usize {
        self.answers.len() - self.close().count()
    }

    pub(crate) fn rt(&self) -> Spread {
        Spread::of(self.close().map(|answer| answer.rt_error_ms).collect())
    }

    pub(crate) fn shown(&self) -> Spread {
        Spread::of(self.close().map(|answer| answer.shown_error_ms).collect())
    }

    pub(crate) fn press(&self) -> Spread {
        Spread::of(self.close().map(|answer| answer.press_error_ms).collect())
    }

    /// The rows of the table for the program with this name.
    pub(crate) fn rows(&self, name: &str) -> String {
        let row = |what: &str, s: Spread| {
            format!(
                "| {name} | {what} | {} | {:+.3} | {:.3} | {:.3} | {:.3} |\n",
                s.n, s.median_ms, s.sd_ms, s.p95_abs_ms, s.most_abs_ms
            )
        };
        let mut rows = row("click RT", self.rt());
        rows += &row("onset stamp", self.shown());
        rows += &row("press stamp", self.press());
        let mut of_movement = |what: &str, of: fn(&Matched) -> Option<f64>| {
            let errors: Vec<f64> = self.close().filter_map(of).collect();
            if !errors.is_empty() {
                rows += &row(what, Spread::of(errors));
            }
        };
        of_movement("first count's stamp", |answer| answer.move_error_ms);
        of_movement("5 % of peak speed, from the curve's start", |answer| answer.five_error_ms);
        of_movement("fitted start, from the curve's start", |answer| answer.fit_error_ms);
        rows
    }

    /// What was not entered into the rows.
    pub(crate) fn counts(&self, name: &str) -> String {
        format!(
            "{name}: {} lost, {} invented, {} left out (robot's gap over 2 ms), {} not counted by it, \
             {} movements without a fitted start",
            self.lost,
            self.invented,
            self.left_out(),
            self.not_counted,
            self.close().filter(|answer| answer.without_fit).count()
        )
    }
}

/// The head of the table.
pub(crate) const HEAD: &str = "| who | stamp minus truth | n | median, ms | sd, ms | p95 of size, ms | largest, ms |\n\
                               | --- | --- | --- | --- | --- | --- | --- |\n";
