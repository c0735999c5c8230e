//! Reliability against R's psych and the table of Shrout & Fleiss.

use super::super::checks::{Case, walk};
use tautline::analysis::reliability::{
    Form, MeanSquares, mean_squares, smallest_detectable_change,
};

/// In the order of the check values.
const FORMS: [Form; 6] = [
    Form::OneWay,
    Form::Agreement,
    Form::Consistency,
    Form::OneWayMean,
    Form::AgreementMean,
    Form::ConsistencyMean,
];

#[test]
fn reliability() {
    let limits = ["bland_altman_pefr", "published_bland_altman"];
    let limits =
        ("agreement is told by the smallest detectable change, not by limits", limits.as_slice());
    walk("reliability", &[limits], |case| {
        match case.id() {
            "shrout_fleiss" => correlations(case, &mean_squares(&case.table("table")).unwrap()),
            "published_shrout_fleiss" => {
                let squares = mean_squares(&case.table("table")).unwrap();
                case.expect_list("icc", &FORMS.map(|form| squares.icc(form, 0.95).estimate));
            }
            "mean_squares" => {
                let squares = mean_squares(&case.table("table")).unwrap();
                case.expect("bms", squares.between);
                case.expect("jms", squares.columns_square);
                case.expect("ems", squares.residual);
                case.expect("wms", squares.within);
                let (same, all) = (squares.sem_consistency(), squares.sem_agreement());
                case.expect("sem_consistency", same);
                case.expect("sem_agreement", all);
                case.expect("mdc95_consistency", smallest_detectable_change(same, 0.95));
                case.expect("mdc95_agreement", smallest_detectable_change(all, 0.95));
            }
            "sleepstudy_days_0_1" => {
                let sheet = case.sheet();
                let day = |day: &'static str| {
                    let of_it = sheet.rows().filter(move |row| row.at("Days") == day);
                    of_it.map(|row| row.at("Reaction").parse::<f64>().unwrap())
                };
                let table: Vec<Vec<f64>> =
                    day("0").zip(day("1")).map(|(a, b)| vec![a, b]).collect();
                let squares = mean_squares(&table).unwrap();
                correlations(case, &squares);
                let sem = squares.sem_consistency();
                case.expect("sem_from_differences", sem);
                case.expect("mdc95_from_differences", smallest_detectable_change(sem, 0.95));
            }
            _ => return false,
        }
        true
    });
}

fn correlations(case: &Case, squares: &MeanSquares) {
    let all = FORMS.map(|form| squares.icc(form, 0.95));
    case.expect_list("icc", &all.map(|icc| icc.estimate));
    case.expect_list("lower95", &all.map(|icc| icc.low));
    case.expect_list("upper95", &all.map(|icc| icc.high));
}
