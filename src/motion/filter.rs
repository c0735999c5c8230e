//! A low-pass that shifts nothing in time: Butterworth, order 2, run forwards and then backwards.
//!
//! Knows samples and rates only. The cut-off is the -3 dB point of each pass, so that the pair
//! lets half the amplitude of that frequency through.

use std::f64::consts::{PI, SQRT_2};

/// Why a low-pass cannot be made.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum FilterError {
    /// The cut-off is not between 0 and half the rate.
    #[error("a cut-off of {cutoff_hz} Hz cannot be carried by {rate_hz} samples a second")]
    Cutoff {
        /// What was asked for.
        cutoff_hz: f64,
        /// Samples a second.
        rate_hz: f64,
    },
}

/// Coefficients of the recursion, a0 = 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LowPass {
    /// Weights of the input, newest first.
    pub b: [f64; 3],
    /// Weights of the output, a0 = 1 first.
    pub a: [f64; 3],
}

/// Samples added at each end, mirrored through the end point: three times the number of
/// coefficients, the common choice.
const PAD: usize = 9;

impl LowPass {
    /// Butterworth of order 2 by the bilinear transform, the cut-off pre-warped.
    ///
    /// ```text
    /// k = tan(pi f / rate),  n = 1 + sqrt(2) k + k^2
    /// b = (k^2, 2 k^2, k^2) / n,  a = (1, 2 (k^2 - 1) / n, (1 - sqrt(2) k + k^2) / n)
    /// ```
    /// # Source
    /// Oppenheim & Schafer, Discrete-Time Signal Processing, ch. 7 (from memory).
    /// # Errors
    /// [`FilterError::Cutoff`] unless 0 < `cutoff_hz` < `rate_hz` / 2.
    pub fn butterworth(cutoff_hz: f64, rate_hz: f64) -> Result<LowPass, FilterError> {
        if !(cutoff_hz > 0.0 && cutoff_hz < rate_hz / 2.0) {
            return Err(FilterError::Cutoff { cutoff_hz, rate_hz });
        }
        let k = libm::tan(PI * cutoff_hz / rate_hz);
        let n = 1.0 + SQRT_2 * k + k * k;
        let b0 = k * k / n;
        Ok(LowPass {
            b: [b0, 2.0 * b0, b0],
            a: [1.0, 2.0 * (k * k - 1.0) / n, (1.0 - SQRT_2 * k + k * k) / n],
        })
    }

    /// The state in which a constant input of 1 gives a constant output of 1.
    pub fn steady_state(&self) -> [f64; 2] {
        [1.0 - self.b[0], self.b[2] - self.a[2]]
    }

    /// Both passes over `samples`, of any length; as many come back.
    pub fn zero_phase(&self, samples: &[f64]) -> Vec<f64> {
        let n = samples.len();
        let pad = PAD.min(n.saturating_sub(1));
        if pad == 0 {
            return samples.to_vec();
        }
        let (head, tail) = (samples[0], samples[n - 1]);
        let mut x: Vec<f64> = Vec::with_capacity(n + 2 * pad);
        x.extend((1..=pad).rev().map(|i| 2.0 * head - samples[i]));
        x.extend_from_slice(samples);
        x.extend((1..=pad).map(|i| 2.0 * tail - samples[n - 1 - i]));
        self.pass(&mut x);
        x.reverse();
        self.pass(&mut x);
        x.reverse();
        x[pad..pad + n].to_vec()
    }

    /// One pass in place, begun in the steady state of the first sample.
    fn pass(&self, x: &mut [f64]) {
        let [mut z1, mut z2] = self.steady_state().map(|z| z * x[0]);
        for sample in x {
            let input = *sample;
            let output = self.b[0] * input + z1;
            z1 = self.b[1] * input - self.a[1] * output + z2;
            z2 = self.b[2] * input - self.a[2] * output;
            *sample = output;
        }
    }
}
