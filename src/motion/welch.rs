//! Power over frequency by Welch's method: half-overlapping Hann segments, their mean removed.
//!
//! Knows even samples only. A plain sum for each frequency: segments are a second long and few.

use std::f64::consts::PI;

/// One-sided density of power, at whole multiples of `bin_hz` from 0.
#[derive(Debug, Clone, PartialEq)]
pub struct Spectrum {
    /// Distance of two frequencies, Hz.
    pub bin_hz: f64,
    /// Squared unit of the samples per Hz.
    pub density: Vec<f64>,
}

impl Spectrum {
    /// The density of `samples`, `rate_hz` a second, in segments of `segment` samples that overlap
    /// by half; `None` where there is not one whole segment, or a segment has fewer than 2.
    ///
    /// # Source
    /// Welch (1967), IEEE Trans. Audio Electroacoust. 15:70; periodic Hann window.
    pub fn welch(samples: &[f64], rate_hz: f64, segment: usize) -> Option<Spectrum> {
        if segment < 2 || samples.len() < segment {
            return None;
        }
        let n = segment as f64;
        let cosine: Vec<f64> = (0..segment).map(|i| libm::cos(2.0 * PI * i as f64 / n)).collect();
        let sine: Vec<f64> = (0..segment).map(|i| libm::sin(2.0 * PI * i as f64 / n)).collect();
        let window: Vec<f64> = cosine.iter().map(|c| 0.5 - 0.5 * c).collect();
        let weight = rate_hz * window.iter().map(|w| w * w).sum::<f64>();
        let mut density = vec![0.0; segment / 2 + 1];
        let mut segments = 0.0;
        for first in (0..=samples.len() - segment).step_by(segment - segment / 2) {
            let samples = &samples[first..first + segment];
            let mean = samples.iter().sum::<f64>() / n;
            let seen: Vec<f64> = samples.iter().zip(&window).map(|(x, w)| (x - mean) * w).collect();
            for (k, sum) in density.iter_mut().enumerate() {
                let turn = |i: usize| k * i % segment;
                let (re, im) = seen.iter().enumerate().fold((0.0, 0.0), |(re, im), (i, x)| {
                    (re + x * cosine[turn(i)], im - x * sine[turn(i)])
                });
                *sum += (re * re + im * im) / weight;
            }
            segments += 1.0;
        }
        for (k, sum) in density.iter_mut().enumerate() {
            // Nothing but 0 and half the rate stands for one frequency alone.
            let sides = if k == 0 || 2 * k == segment { 1.0 } else { 2.0 };
            *sum *= sides / segments;
        }
        Some(Spectrum { bin_hz: rate_hz / n, density })
    }

    /// Power from `low_hz` to `high_hz`, both included: the sum of the bins times their width.
    pub fn power(&self, low_hz: f64, high_hz: f64) -> f64 {
        let within = |k: usize| (low_hz..=high_hz).contains(&(k as f64 * self.bin_hz));
        let bins = self.density.iter().enumerate().filter(|(k, _)| within(*k));
        bins.map(|(_, density)| density).sum::<f64>() * self.bin_hz
    }
}
