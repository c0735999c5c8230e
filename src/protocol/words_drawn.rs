//! The words of the draw: one generator, its own way to numbers, the same on every machine and in
//! every release.
//!
//! ChaCha12 from a seed of ours; whole numbers by rejection; shares from the upper 53 bits. Nothing
//! here depends on a version of a distribution library.

use rand_chacha::ChaCha12Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

/// What a stream of words is for; streams do not touch each other.
#[derive(Debug, Clone, Copy)]
pub(super) enum Stream {
    /// The order of blocks.
    Orders = 0,
    /// Waits, empty waits and stimuli.
    Trials = 1,
    /// Redraws of the order, for the re-randomisation test.
    Redraws = 2,
}

/// A stream of drawn numbers.
#[derive(Debug, Clone)]
pub(super) struct Drawn(ChaCha12Rng);

impl Drawn {
    /// The stream of `seed` under draw rule `rule`.
    pub(super) fn new(seed: u64, rule: u32, stream: Stream) -> Drawn {
        let mut key = [0; 32];
        key[..8].copy_from_slice(&seed.to_le_bytes());
        key[8..12].copy_from_slice(&rule.to_le_bytes());
        let mut words = ChaCha12Rng::from_seed(key);
        words.set_stream(stream as u64);
        Drawn(words)
    }

    /// A whole number below `n`, each equally likely.
    pub(super) fn below(&mut self, n: usize) -> usize {
        let n = u64::try_from(n).expect("a usize fits in 64 bits").max(1);
        // The largest multiple of n; words at or above it would favour small numbers.
        let limit = u64::MAX - u64::MAX % n;
        loop {
            let word = self.0.next_u64();
            if word < limit {
                return usize::try_from(word % n).expect("below a usize");
            }
        }
    }

    /// A share in [0, 1), in steps of 2^-53.
    pub(super) fn share(&mut self) -> f64 {
        const STEP: f64 = 1.0 / (1u64 << 53) as f64;
        (self.0.next_u64() >> 11) as f64 * STEP
    }

    /// Fisher and Yates, from the end.
    pub(super) fn shuffle<T>(&mut self, list: &mut [T]) {
        for i in (1..list.len()).rev() {
            list.swap(i, self.below(i + 1));
        }
    }

    /// The numbers 0 to n-1 in a drawn order.
    pub(super) fn permutation(&mut self, n: usize) -> Vec<usize> {
        let mut list: Vec<usize> = (0..n).collect();
        self.shuffle(&mut list);
        list
    }
}
