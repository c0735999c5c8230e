//! Bisection: where a function that falls, or rises, comes to its level.

/// The place between `low` and `high` up to which `before` holds and behind which it does not: halved
/// until no digit moves, or the bracket is below 1e-15 of its upper end.
pub(super) fn turn(low: f64, high: f64, before: impl Fn(f64) -> bool) -> f64 {
    let (mut low, mut high) = (low, high);
    loop {
        let middle = f64::midpoint(low, high);
        if middle <= low || middle >= high || high - low < 1e-15 * high {
            return middle;
        }
        if before(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_ends_at_the_turn_wherever_that_lies() {
        for at in [-7.5, 0.0, 1e-9, 2.0_f64.sqrt(), 1e6] {
            let got = turn(at - 3.0, at + 4.0, |x| x < at);
            assert!((got - at).abs() <= 1e-15 * at.abs().max(1.0), "{got} for {at}");
        }
        // Everything is before it, or nothing is: the end of the bracket.
        assert!((turn(0.0, 1.0, |_| true) - 1.0).abs() < 1e-14);
        assert!(turn(0.0, 1.0, |_| false) < 1e-14);
    }
}
