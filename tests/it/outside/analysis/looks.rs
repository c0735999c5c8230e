//! Planned looks against direct integration and R's rpact.

use super::super::checks::walk;
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
        "normal_mixture_boundary",
        "normal_mixture_e_value",
        "stitched_boundary",
    ];
    walk("sequential", &left, |case| {
        let id = case.id();
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
