//! Planned looks against direct integration and R's rpact.

use super::super::checks::{Case, walk};
use tautline::analysis::always_valid::Mixture;
use tautline::analysis::looks::{Spending, bounds, spent_by};

#[test]
fn planned_looks() {
    let stitched = ("over sessions it is a mixture's boundary", ["stitched_boundary"].as_slice());
    walk("sequential", &[stitched], |case| {
        let id = case.id();
        if let Some(shape) = Shape::of(id) {
            let looks = case.number("looks");
            let z = shape.bounds(looks, shape.constant(looks, case.number("alpha")));
            case.expect_list("z", &z.iter().map(|(_, z)| *z).collect::<Vec<f64>>());
            case.expect_list("alpha_spent", &spent_by(&z).unwrap());
            return true;
        }
        if id == "published_jennison_turnbull" {
            for (key, shape) in [("pocock", Shape::Level), ("obrien_fleming", Shape::Falling)] {
                let looks = case.list("looks");
                let of = |looks: &f64| shape.constant(*looks, 0.05);
                case.expect_list(key, &looks.iter().map(of).collect::<Vec<f64>>());
            }
            return true;
        }
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

/// Bounds of one constant at evenly spaced looks. Planned looks here spend a level instead; these go
/// through the same integration and have printed tables.
#[derive(Clone, Copy)]
enum Shape {
    /// Pocock's: the same z at every look.
    Level,
    /// O'Brien and Fleming's: z falls with the root of the information.
    Falling,
}

impl Shape {
    fn of(id: &str) -> Option<Shape> {
        match id.rsplit_once("_k")?.0 {
            "pocock" => Some(Shape::Level),
            "obrien_fleming" => Some(Shape::Falling),
            _ => None,
        }
    }

    fn bounds(self, looks: f64, constant: f64) -> Vec<(f64, f64)> {
        let mut all = Vec::new();
        while (all.len() as f64) < looks {
            let information = (all.len() as f64 + 1.0) / looks;
            let z = match self {
                Shape::Level => constant,
                Shape::Falling => constant / information.sqrt(),
            };
            all.push((information, z));
        }
        all
    }

    /// The constant that spends `alpha` in all, by secants: the logarithm of what is spent is nearly straight.
    fn constant(self, looks: f64, alpha: f64) -> f64 {
        let excess =
            |z: f64| (spent_by(&self.bounds(looks, z)).unwrap().last().unwrap() / alpha).ln();
        let (mut before, mut now) = (2.0, 2.2);
        let mut excess_before = excess(before);
        while (now - before).abs() > 1e-9 {
            let own = excess(now);
            let next = now - own * (now - before) / (own - excess_before);
            (before, excess_before, now) = (now, own, next);
        }
        now
    }
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
