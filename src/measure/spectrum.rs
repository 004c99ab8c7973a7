//! The spectrum of a film, averaged around: how much of its unevenness is coarse, how much fine, and whether it has a direction.
//!
//! After R. Ulichney, *Digital Halftoning* (MIT Press 1987): the power of the film's transform |F|²/N, averaged over rings one sample of frequency wide, in
//! units of the variance g (1 − g) of a tint of coverage g, in which white noise is 1; and the anisotropy, the variance of power
//! around a ring over the square of its mean, in decibels. A single film without direction has 0 dB, since each sample of power varies by as much as it is.
//!
//! Frequencies are in cycles per pixel, as the patterns are made of pixels; a film of unequal resolutions is stretched.

use rustfft::num_complex::Complex;

use crate::error::{Error, Result, filled};
use crate::film::FilmView;
use crate::measure::repeat::transform;

/// Largest side of the piece that is transformed.
const LARGEST: usize = 1024;

/// A ring of the spectrum.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ring {
    /// Middle of the ring, in cycles per pixel, up to ½.
    pub frequency: f64,
    /// Mean power, 1 for white noise.
    pub power: f64,
    /// Anisotropy in dB; 0 without a direction. Rings of fewer than eight samples say little.
    pub anisotropy: f64,
    /// Samples in the ring, each with its opposite counted once.
    pub samples: usize,
}

/// Rings of the spectrum, coarse to fine, of the film's middle square of up to 1024 pixels.
///
/// Errors: a film of less than 16 pixels a side, bare or solid. Cost: some 20 ns a pixel of that square.
pub fn spectrum(film: &FilmView<'_>) -> Result<Vec<Ring>> {
    let side = film.width().min(film.height()).min(LARGEST);
    if side < 16 {
        return Err(Error::value("a side of the film, in pixels", side, "16 or more"));
    }
    let from = [(film.width() - side) / 2, (film.height() - side) / 2];
    let mut samples = filled("the spectrum of a film", side * side, Complex::new(0.0, 0.0))?;
    for (i, sample) in samples.iter_mut().enumerate() {
        sample.re = f64::from(u8::from(film.get(from[0] + i % side, from[1] + i / side)));
    }
    let count = (side * side) as f64;
    let coverage = samples.iter().map(|sample| sample.re).sum::<f64>() / count;
    let variance = coverage * (1.0 - coverage);
    if variance == 0.0 {
        return Err(Error::data("a film", "bare or solid: it has no spectrum"));
    }
    for sample in &mut samples {
        sample.re -= coverage;
    }
    transform(&mut samples, [side, side])?;
    let mut rings = filled("the rings of a spectrum", side / 2, (0_usize, 0.0, 0.0))?;
    for v in 0..side {
        for u in 0..side.div_ceil(2) {
            let signed = |i: usize| if 2 * i > side { i as f64 - side as f64 } else { i as f64 };
            let radius = libm::round((signed(u) * signed(u) + signed(v) * signed(v)).sqrt()) as usize;
            // The half u = 0 holds every sample of its column twice.
            if radius == 0 || radius > side / 2 || (u == 0 && 2 * v > side) {
                continue;
            }
            let power = samples[v * side + u].norm_sqr() / (count * variance);
            let (samples, sum, squares) = &mut rings[radius - 1];
            *samples += 1;
            *sum += power;
            *squares += power * power;
        }
    }
    let ring = |(i, (samples, sum, squares)): (usize, (usize, f64, f64))| {
        let n = samples as f64;
        let power = sum / n;
        let spread = (squares - n * power * power) / (n - 1.0).max(1.0);
        let anisotropy = 10.0 * libm::log10((spread / (power * power)).max(1e-12));
        Ring { frequency: (i + 1) as f64 / side as f64, power, anisotropy, samples }
    };
    Ok(rings.into_iter().enumerate().map(ring).collect())
}
