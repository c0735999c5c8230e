//! The small pieces that records are made of: variable-length whole numbers and fixed floats,
//! little-endian.
//!
//! Writing appends to a buffer; reading takes from a slice and gives `None` when it runs out, so no
//! length is ever believed. It knows no event.

/// Most bytes of a variable-length u64.
pub(super) const VARINT_MOST: usize = 10;

/// Appends 7 bits a byte, lowest first; the top bit says that more follow.
pub(super) fn put_varint(out: &mut Vec<u8>, mut value: u64) {
    while value >= 0x80 {
        out.push(low_byte(value) | 0x80);
        value >>= 7;
    }
    out.push(low_byte(value));
}

/// Appends a signed number: 0, -1, 1, -2, ... become 0, 1, 2, 3, ...
pub(super) fn put_signed(out: &mut Vec<u8>, value: i64) {
    put_varint(out, (value.cast_unsigned() << 1) ^ (value >> 63).cast_unsigned());
}

/// Appends the bits of a float.
pub(super) fn put_f64(out: &mut Vec<u8>, value: f64) {
    out.extend_from_slice(&value.to_le_bytes());
}

/// Appends 0, or 1 and the bits of a float.
pub(super) fn put_maybe_f64(out: &mut Vec<u8>, value: Option<f64>) {
    out.push(u8::from(value.is_some()));
    if let Some(value) = value {
        put_f64(out, value);
    }
}

/// Appends a length and the bytes of a text.
pub(super) fn put_text(out: &mut Vec<u8>, text: &str) {
    put_varint(out, text.len() as u64);
    out.extend_from_slice(text.as_bytes());
}

const fn low_byte(value: u64) -> u8 {
    value.to_le_bytes()[0]
}

/// Takes pieces from the front of a slice.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reader<'a> {
    rest: &'a [u8],
}

impl<'a> Reader<'a> {
    pub(super) const fn new(bytes: &'a [u8]) -> Reader<'a> {
        Reader { rest: bytes }
    }

    pub(super) const fn left(&self) -> usize {
        self.rest.len()
    }

    pub(super) fn bytes(&mut self, count: usize) -> Option<&'a [u8]> {
        let (taken, rest) = self.rest.split_at_checked(count)?;
        self.rest = rest;
        Some(taken)
    }

    pub(super) fn byte(&mut self) -> Option<u8> {
        self.bytes(1).map(|taken| taken[0])
    }

    /// A byte that must be 0 or 1.
    pub(super) fn yes_or_no(&mut self) -> Option<bool> {
        match self.byte()? {
            0 => Some(false),
            1 => Some(true),
            _ => None,
        }
    }

    pub(super) fn u32(&mut self) -> Option<u32> {
        Some(u32::from_le_bytes(self.bytes(4)?.try_into().ok()?))
    }

    pub(super) fn i64(&mut self) -> Option<i64> {
        Some(i64::from_le_bytes(self.bytes(8)?.try_into().ok()?))
    }

    pub(super) fn f64(&mut self) -> Option<f64> {
        Some(f64::from_le_bytes(self.bytes(8)?.try_into().ok()?))
    }

    pub(super) fn maybe_f64(&mut self) -> Option<Option<f64>> {
        if self.yes_or_no()? { Some(Some(self.f64()?)) } else { Some(None) }
    }

    pub(super) fn varint(&mut self) -> Option<u64> {
        let mut value: u64 = 0;
        for index in 0..VARINT_MOST {
            let byte = self.byte()?;
            let part = u64::from(byte & 0x7f);
            let shift = 7 * u32::try_from(index).ok()?;
            // The tenth byte has room for one bit.
            if shift == 63 && part > 1 {
                return None;
            }
            value |= part << shift;
            if byte & 0x80 == 0 {
                return Some(value);
            }
        }
        None
    }

    /// A variable-length number that must fit a narrower type.
    pub(super) fn narrow<N: TryFrom<u64>>(&mut self) -> Option<N> {
        N::try_from(self.varint()?).ok()
    }

    pub(super) fn signed(&mut self) -> Option<i64> {
        let value = self.varint()?;
        Some((value >> 1).cast_signed() ^ -(value & 1).cast_signed())
    }

    pub(super) fn text(&mut self) -> Option<String> {
        let length = self.narrow()?;
        String::from_utf8(self.bytes(length)?.to_vec()).ok()
    }
}
