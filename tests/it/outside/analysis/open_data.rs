//! Open reaction-time sets through the comparison, against pandas, scipy, pingouin and R.

use super::super::checks::{Case, Row, walk};
use super::paired;
use std::collections::BTreeMap;
use tautline::analysis::PairFit;
use tautline::analysis::describe::{mean, median};

#[test]
fn open_sets() {
    let left = [
        (
            "its halves are checked; the rest is medians of 5,760 rows",
            ["speed_acc_subset"].as_slice(),
        ),
        ("pairs are compared, and no F of many conditions is corrected", &["probe1"]),
    ];
    walk("open_data", &left, |case| {
        match case.id() {
            "audio_visual" => {
                let cells = cells(case, "Stimulus", "Subject", "ResponseTime", |_| true);
                case.expect("rows", cells.rows as f64);
                paired_t(case, &fit(&cells, "visual", "auditory", mean));
            }
            "speed_acc_split_half" => {
                let cells = cells(case, "condition", "id", "median_rt_correct", |_| true);
                case.expect("rows", cells.rows as f64);
                paired_t(case, &fit(&cells, "accuracy", "speed", mean));
            }
            "stroop_subset" => {
                let right = |row: &Row<'_>| row.at("acc") == "1" && row.at("rt") != "NA";
                let cells = cells(case, "congruency", "pno", "rt", right);
                case.expect("rows_used", cells.rows as f64);
                paired_t(case, &fit(&cells, "incongruent", "congruent", median));
            }
            "puzzles" => {
                let by = |column| cells(case, column, "ID", "RT", |_| true);
                let f = |fit: PairFit| (fit.difference / fit.standard_error).powi(2);
                case.expect("F_shape", f(fit(&by("shape"), "round", "square", mean)));
                case.expect("F_color", f(fit(&by("color"), "color", "monochromatic", mean)));
            }
            "rr98_subset" => {
                let inside = |row: &Row<'_>| row.at("outlier") == "0";
                let cells = cells(case, "instruction", "session", "rt", inside);
                case.expect("outliers", case.expected("rows")[0] - cells.rows as f64);
                case.expect_list("median_accuracy", &cells.of("accuracy", median));
                case.expect_list("median_speed", &cells.of("speed", median));
            }
            _ => return false,
        }
        true
    });
}

/// Values by condition and unit (a person, a session).
struct Cells {
    values: BTreeMap<(String, String), Vec<f64>>,
    rows: usize,
}

impl Cells {
    /// One number a unit, in the units' order.
    fn of(&self, condition: &str, statistic: fn(&[f64]) -> Option<f64>) -> Vec<f64> {
        self.values
            .iter()
            .filter(|((name, _), _)| name == condition)
            .map(|(_, values)| statistic(values).unwrap())
            .collect()
    }
}

fn cells(
    case: &Case,
    condition: &str,
    unit: &str,
    value: &str,
    kept: impl Fn(&Row<'_>) -> bool,
) -> Cells {
    let mut cells = Cells { values: BTreeMap::new(), rows: 0 };
    let sheet = case.sheet();
    for row in sheet.rows() {
        if kept(&row) {
            let key = (row.at(condition).to_owned(), row.at(unit).to_owned());
            cells.values.entry(key).or_default().push(row.at(value).parse().unwrap());
            cells.rows += 1;
        }
    }
    cells
}

fn fit(cells: &Cells, a: &str, b: &str, statistic: fn(&[f64]) -> Option<f64>) -> PairFit {
    paired(&cells.of(a, statistic), &cells.of(b, statistic)).fit.unwrap()
}

fn paired_t(case: &Case, fit: &PairFit) {
    case.expect("mean_difference", fit.difference);
    case.expect("t", fit.difference / fit.standard_error);
    case.expect("df", fit.df);
    case.expect("p", fit.p_t);
}
