//! Numbers of pictures as a Gray code: from one to the next a single square changes.
//!
//! A film frame that catches the screen between two pictures then shows one of the two, never a
//! third.
//!
//! # Source
//! F. Gray, US patent 2,632,058 (1953): the reflected binary code.

/// Squares of the strip that count: 2^14 pictures last 20 s at up to 800 a second.
pub const BITS: u8 = 14;

/// The code of a number, taken modulo 2^[`BITS`].
pub const fn code(number: u64) -> u32 {
    let low = (number & ((1 << BITS) - 1)) as u32;
    low ^ (low >> 1)
}

/// The number of a code.
pub const fn number(code: u32) -> u32 {
    let mut number = code;
    let mut shift = 1;
    while shift < 32 {
        number ^= number >> shift;
        shift *= 2;
    }
    number
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_number_comes_back_and_one_square_changes() {
        for n in 0..1_u64 << BITS {
            assert_eq!(u64::from(number(code(n))), n);
            assert_eq!((code(n) ^ code(n + 1)).count_ones(), 1, "{n}");
        }
    }

    #[test]
    fn the_first_codes_are_the_published_ones() {
        // Gray's table of three places.
        let table = [0b000, 0b001, 0b011, 0b010, 0b110, 0b111, 0b101, 0b100];
        for (n, code_of) in (0_u64..).zip(table) {
            assert_eq!(code(n), code_of);
        }
    }
}
