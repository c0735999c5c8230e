//! The shift function, against scipy and R's Hmisc.

use super::super::checks::walk;
use tautline::analysis::order::DECILES;
use tautline::analysis::shift::{Shift, independent, matched, of_differences};

#[test]
fn deciles() {
    walk("shift", &[], |case| {
        let (a, b) = (case.list("a"), case.list("b"));
        let shifts = match case.id() {
            "independent" => independent(&a, &b).unwrap(),
            "dependent" => {
                case.expect_list("hd_of_differences", &of_differences(&a, &b).unwrap());
                matched(&a, &b).unwrap()
            }
            _ => return false,
        };
        assert_eq!(case.list("p"), DECILES);
        let each = |f: fn(&Shift) -> f64| shifts.iter().map(f).collect::<Vec<f64>>();
        case.expect_list("hd_a", &each(|shift| shift.a.estimate));
        case.expect_list("hd_b", &each(|shift| shift.b.estimate));
        case.expect_list("diff", &each(|shift| shift.difference));
        case.expect_list("se_a", &each(|shift| shift.a.standard_error));
        case.expect_list("se_b", &each(|shift| shift.b.standard_error));
        true
    });
}
