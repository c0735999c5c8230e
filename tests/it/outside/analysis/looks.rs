//! Planned looks against direct integration and R's rpact.

use super::super::checks::{Case, walk};
use tautline::analysis::always_valid::Mixture;
use tautline::analysis::looks::{Spending, bounds};

#[test]
fn planned_looks() {
    let left = [
        "obrien_fleming_k2",
        "obrien_fleming_k3",
        "obrien_fleming_k4",
        "obrien_fleming_k5",
        "pocock_k2",
        "pocock_k3",
        "pocock_k4",
        "pocock_k5",
        "published_jennison_turnbull",
        "stitched_boundary",
    ];
    walk("sequential", &left, |case| {
        let id = case.id();
        if id.starts_with("normal_mixture_") {
            always_valid(case);
            return true;
        }
        let spending = if id.starts_with("spending_of_type_") {
            Spending::Late
        } else if id.starts_with("spending_pocock_type_k") {
            Spending::Even
        } else {
            return false;
        };
        let information: Vec<f64> = if id == "spending_of_type_unequal" {
            case.list("information")
        } else {
            let looks = case.expected("z").len();
            (1..=looks).map(|look| look as f64 / looks as f64).collect()
        };
        let looks = bounds(&information, case.number("alpha"), spending).unwrap();
        case.expect_list("z", &looks.iter().map(|look| look.z).collect::<Vec<f64>>());
        case.expect_list("alpha_spent", &looks.iter().map(|look| look.spent).collect::<Vec<f64>>());
        true
    });
}

/// Robbins' mixture: the boundary, and the bet that it comes from.
fn always_valid(case: &Case) {
    let mixture = Mixture { rho: case.number("rho") };
    let v = case.list("v");
    if case.id() == "normal_mixture_boundary" {
        let alpha = case.number("alpha");
        let tuned = Mixture::tuned(case.number("v_opt"), alpha);
        assert!((tuned.rho - mixture.rho).abs() < 1e-12 * mixture.rho, "{tuned:?}");
        let boundary: Vec<f64> = v.iter().map(|&v| mixture.boundary(v, alpha)).collect();
        case.expect_list("boundary", &boundary);
        let half: Vec<f64> = boundary.iter().zip(&v).map(|(b, v)| b / v).collect();
        case.expect_list("half_width_mean", &half);
    } else {
        let e = |(&s, &v): (&f64, &f64)| mixture.e_value(s, v);
        case.expect_list("e_value", &case.list("s").iter().zip(&v).map(e).collect::<Vec<f64>>());
        let at_boundary = mixture.e_value(mixture.boundary(v[0], 0.05), v[0]);
        case.expect("e_at_boundary", at_boundary);
    }
}
