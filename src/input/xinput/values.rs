//! What the numbers in an X11 raw event mean: counts, buttons, and how late a receipt may be.
//!
//! Pure: no connection, no clock. Invariant: parts of a count are carried over, never rounded away.

use crate::units::{Button, Nanos, Span, Stamp, StampSource};
use x11rb::protocol::xinput::{Fp3232, RawMotionEvent};

/// The least doubt of a receipt: the way through the server and the wake-up of our thread.
const XINPUT_SD: Span = Span(300_000);

/// A server whose time lies further behind ours than this does not share our clock.
const SAME_CLOCK_MS: u32 = 1_000;

/// Steps to a count where a driver gives parts of counts.
pub(crate) const FINE_STEPS: u16 = 256;

/// Our stamp of an event that the server handled at `server_ms`: the moment of receipt. It happened
/// between the two, so the doubt grows with their distance (its uniform sd, distance / √12).
pub(crate) fn stamp(t: Nanos, server_ms: u32) -> Stamp {
    let now_ms = u32::try_from((t.0 / 1_000_000) & i64::from(u32::MAX)).expect("masked to 32 bits");
    let late_ms = now_ms.wrapping_sub(server_ms);
    let sd = match late_ms {
        0..SAME_CLOCK_MS => Span::from_ms_f64(f64::from(late_ms) / 12_f64.sqrt()).max(XINPUT_SD),
        _ => XINPUT_SD,
    };
    Stamp { t, source: StampSource::Xinput, sd }
}

/// The unaccelerated value of an axis: values come in the order of the bits set in the mask.
pub(crate) fn raw_value(motion: &RawMotionEvent, Axis { number: axis, .. }: Axis) -> Fp3232 {
    let is_set = |number: u16| {
        let word = motion.valuator_mask.get(usize::from(number / 32));
        word.is_some_and(|word| word >> (number % 32) & 1 == 1)
    };
    let place = (0..axis).filter(|&number| is_set(number)).count();
    let value = motion.axisvalues_raw.get(place).filter(|_| is_set(axis));
    value.copied().unwrap_or(Fp3232 { integral: 0, frac: 0 })
}

/// One axis: its number at the server, and what was not yet a whole step (32.32 fixed point).
#[derive(Debug, Clone, Copy)]
pub(crate) struct Axis {
    number: u16,
    left: i64,
}

impl Axis {
    /// The axis with this number.
    pub(crate) fn new(number: u16) -> Axis {
        Axis { number, left: 0 }
    }

    /// Adds a value; returns the whole steps and keeps the rest.
    pub(crate) fn whole_steps(&mut self, value: Fp3232, steps: u16) -> i32 {
        let fixed = (i64::from(value.integral) << 32) | i64::from(value.frac);
        self.left = self.left.saturating_add(fixed.saturating_mul(i64::from(steps)));
        let whole = self.left >> 32;
        self.left -= whole << 32;
        i32::try_from(whole).unwrap_or(if whole < 0 { i32::MIN } else { i32::MAX })
    }
}

/// The button of a number of the server; 4 to 7 are the wheel's.
pub(crate) fn button_of(detail: u32) -> Option<Button> {
    match detail {
        1 => Some(Button::Left),
        2 => Some(Button::Middle),
        3 => Some(Button::Right),
        8.. => u8::try_from(detail).ok().map(Button::Other),
        _ => None,
    }
}

/// A name as an ident: small letters and digits, all else one hyphen.
pub(crate) fn in_small_letters(name: &str) -> String {
    let mut small = String::with_capacity(name.len());
    for letter in name.chars().map(|letter| letter.to_ascii_lowercase()) {
        match letter {
            'a'..='z' | '0'..='9' => small.push(letter),
            _ if small.ends_with('-') || small.is_empty() => {}
            _ => small.push('-'),
        }
    }
    small.trim_end_matches('-').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(integral: i32, frac: u32) -> Fp3232 {
        Fp3232 { integral, frac }
    }

    fn motion(mask: u32, raw: &[Fp3232]) -> RawMotionEvent {
        RawMotionEvent {
            valuator_mask: vec![mask],
            axisvalues_raw: raw.to_vec(),
            ..RawMotionEvent::default()
        }
    }

    #[test]
    fn values_follow_the_bits_of_the_mask() {
        let both = motion(0b11, &[value(5, 0), value(-3, 0)]);
        assert_eq!(
            (raw_value(&both, Axis::new(0)).integral, raw_value(&both, Axis::new(1)).integral),
            (5, -3)
        );
        let only_y = motion(0b10, &[value(7, 0)]);
        assert_eq!(
            (raw_value(&only_y, Axis::new(0)).integral, raw_value(&only_y, Axis::new(1)).integral),
            (0, 7)
        );
        let wheel = motion(0b1000, &[value(15, 0)]);
        assert_eq!(
            (raw_value(&wheel, Axis::new(0)).integral, raw_value(&wheel, Axis::new(1)).integral),
            (0, 0)
        );
    }

    #[test]
    fn parts_of_a_count_add_up() {
        // A quarter, five times; minus a quarter, five times. -0.25 is -1 + 0.75 in 32.32.
        let mut axis = Axis::new(0);
        let forth: i32 = (0..5).map(|_| axis.whole_steps(value(0, 1 << 30), 1)).sum();
        let back: i32 = (0..5).map(|_| axis.whole_steps(value(-1, 3 << 30), 1)).sum();
        assert_eq!((forth, forth + back, axis.left), (1, 0, 0));
        assert_eq!(axis.whole_steps(value(-1, 3 << 30), FINE_STEPS), -64);
        assert_eq!(axis.whole_steps(value(-127, 0), 1), -127);
    }

    #[test]
    fn a_late_receipt_is_doubted_by_its_lateness() {
        let t = Nanos(5_000_000_000 + 123_456);
        assert_eq!(stamp(t, 5_000).sd, XINPUT_SD);
        // 12 ms late: 12 / sqrt(12) = 3.4641 ms.
        assert_eq!(stamp(t, 4_988).sd, Span(3_464_102));
        // The server's 32 bits run over each 49.7 days.
        let after = Nanos((i64::from(u32::MAX) + 3) * 1_000_000);
        assert_eq!(stamp(after, u32::MAX).sd, Span::from_ms_f64(3.0 / 12_f64.sqrt()));
        // Another machine's clock says nothing.
        assert_eq!(stamp(t, 900_000).sd, XINPUT_SD);
    }

    #[test]
    fn the_wheel_is_no_button() {
        let buttons: Vec<Option<Button>> = (1..=9).map(button_of).collect();
        let mut expected = vec![Some(Button::Left), Some(Button::Middle), Some(Button::Right)];
        expected.extend([None; 4]);
        expected.extend([Some(Button::Other(8)), Some(Button::Other(9))]);
        assert_eq!(buttons, expected);
    }

    #[test]
    fn a_name_in_small_letters() {
        assert_eq!(in_small_letters("Virtual core XTEST pointer"), "virtual-core-xtest-pointer");
        assert_eq!(in_small_letters(" (Mouse) 2! "), "mouse-2");
    }
}
