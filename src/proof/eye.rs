//! The eye at a distance: what it still tells apart.
//!
//! Contrast sensitivity of J. L. Mannos and D. J. Sakrison, "The effects of a visual fidelity criterion on the encoding of images", IEEE
//! Trans. Inf. Theory IT-20 (1974) 525–536:
//!
//! ```text
//! A(f) = 2.6 (0.0192 + 0.114 f) exp(−(0.114 f)^1.1)      f in cycles per degree
//! ```
//!
//! as a low-pass: 1 below its peak at 7.9 cycles per degree, A(f) over the peak's value above it, so that flat tints keep their contrast. Taken
//! as the sum of two Gaussians, 1.1993 exp(−(f/22.05)²) − 0.1993 exp(−(f/7.10)²), which is nowhere farther than 0.02 from it (a test) and can be done
//! along rows, then columns. Rejected: a transform of the
//! whole picture, which needs a crate for it and takes edges for repeats.

use crate::error::{Error, Result};
use crate::proof::Picture;
use crate::units::{Length, Resolution};

/// Weight, and the frequency in cycles per degree at which it has fallen to 1/e.
const GAUSSIANS: [(f64, f64); 2] = [(1.199_310_78, 22.050_280_07), (-0.199_310_78, 7.100_120_72)];

/// Deviations at which a Gaussian is cut off.
const REACH: f64 = 4.0;

/// Nearest and farthest that a print is looked at, in metres.
const DISTANCES: [f64; 2] = [0.05, 1000.0];

/// The picture (at `resolution`) as seen from a distance (5 cm … 1 km). Beyond its edge it goes on as its edge is.
///
/// Errors: a distance out of range; memory that cannot be had. Cost: at 300 pixels an inch some 60 ns a pixel from 0.6 m, 180 ns from 3 m.
pub fn seen_from(picture: &Picture, resolution: Resolution, distance: Length) -> Result<Picture> {
    let metres = distance.to_mm() / 1000.0;
    if !(DISTANCES[0]..=DISTANCES[1]).contains(&metres) {
        return Err(Error::value("distance of the eye", format!("{metres} m"), "0.05 to 1000 m"));
    }
    // Pixels that a degree spans, across and down.
    let degree = 2.0 * libm::tan(0.5_f64.to_radians()) * distance.to_inches();
    let spans = [resolution.x() * degree, resolution.y() * degree];
    let mut seen = Picture::black(picture.width(), picture.height())?;
    for (weight, falls) in GAUSSIANS {
        // exp(−(f/s)²) is the transform of a Gaussian with deviation 1/(√2 π s).
        let deviation = 1.0 / (std::f64::consts::SQRT_2 * std::f64::consts::PI * falls);
        let [across, down] = spans.map(|span| kernel(deviation * span));
        let rows = blurred(picture, &across, true)?;
        let both = blurred(&rows, &down, false)?;
        seen.pixels.zip_mut_with(&both.pixels, |sum, part| {
            for (sum, part) in sum.iter_mut().zip(part) {
                *sum += weight as f32 * part;
            }
        });
    }
    Ok(seen)
}

/// One side of a Gaussian, from its middle outwards, for pixels; a sum of 1 with the other side.
fn kernel(deviation: f64) -> Vec<f32> {
    let reach = libm::ceil(REACH * deviation) as usize;
    let at = |i: usize| {
        let off = i as f64 / deviation.max(1e-9);
        if i == 0 { 1.0 } else { libm::exp(-0.5 * off * off) }
    };
    let sum = at(0) + 2.0 * (1..=reach).map(at).sum::<f64>();
    (0..=reach).map(|i| (at(i) / sum) as f32).collect()
}

/// A picture blurred along its rows or down its columns; each row of the result by itself, and columns a row at a time too.
fn blurred(picture: &Picture, kernel: &[f32], along_rows: bool) -> Result<Picture> {
    let mut out = Picture::black(picture.width(), picture.height())?;
    let (from, pad) = (picture.pixels.view(), kernel.len() - 1);
    let (last_row, last_column) = (picture.height().saturating_sub(1), picture.width().saturating_sub(1));
    let along = |y: usize, to: &mut [[f32; 3]]| {
        let row = from.row(y);
        let at = |x: usize, off: usize| [row[x.saturating_sub(off)], row[(x + off).min(last_column)]];
        let inside = row.to_slice().filter(|row| row.len() > 2 * pad);
        for (x, pixel) in to.iter_mut().enumerate() {
            let mut sum = row[x].map(|light| kernel[0] * light);
            if let Some(row) = inside.filter(|_| x >= pad && x + pad <= last_column) {
                let (before, after) = (&row[x - pad..x], &row[x + 1..=x + pad]);
                let sides = before.iter().rev().zip(after);
                for (&weight, (before, after)) in kernel[1..].iter().zip(sides) {
                    (0..3).for_each(|c| sum[c] += weight * (before[c] + after[c]));
                }
            } else {
                for (off, &weight) in kernel.iter().enumerate().skip(1) {
                    let [before, after] = at(x, off);
                    (0..3).for_each(|c| sum[c] += weight * (before[c] + after[c]));
                }
            }
            *pixel = sum;
        }
    };
    let down = |y: usize, to: &mut [[f32; 3]]| {
        for (pixel, here) in to.iter_mut().zip(from.row(y)) {
            *pixel = here.map(|light| kernel[0] * light);
        }
        for (off, &weight) in kernel.iter().enumerate().skip(1) {
            let (above, below) = (from.row(y.saturating_sub(off)), from.row((y + off).min(last_row)));
            for ((pixel, above), below) in to.iter_mut().zip(above).zip(below) {
                (0..3).for_each(|c| pixel[c] += weight * (above[c] + below[c]));
            }
        }
    };
    let width = picture.width().max(1);
    let Some(pixels) = out.pixels.as_slice_mut() else { return Ok(out) };
    let row = |(y, to): (usize, &mut [[f32; 3]])| if along_rows { along(y, to) } else { down(y, to) };
    #[cfg(feature = "threads")]
    {
        use rayon::prelude::*;
        pixels.par_chunks_mut(width).enumerate().with_min_len(8).for_each(row);
    }
    #[cfg(not(feature = "threads"))]
    pixels.chunks_mut(width).enumerate().for_each(row);
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::Xyz;

    /// Mannos and Sakrison's curve as a low-pass.
    fn sensitivity(f: f64) -> f64 {
        let a = |f: f64| 2.6 * (0.0192 + 0.114 * f) * (-(0.114 * f).powf(1.1)).exp();
        let (peak, highest) = (7.89, 0.980_88);
        if f < peak { 1.0 } else { a(f) / highest }
    }

    #[test]
    fn two_gaussians_are_the_curve() {
        for tenth in 0..900 {
            let f = f64::from(tenth) / 10.0;
            let sum: f64 = GAUSSIANS.iter().map(|(weight, s)| weight * (-(f / s) * (f / s)).exp()).sum();
            assert!((sum - sensitivity(f)).abs() < 0.02, "{f}: {sum} for {}", sensitivity(f));
        }
        assert!((GAUSSIANS[0].0 + GAUSSIANS[1].0 - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_grating_fades_as_the_curve_says() {
        let resolution = Resolution::per_inch(600.0).unwrap();
        let distance = Length::inches(24.0).unwrap();
        // 12 pixels a line: 50 lines an inch.
        let wave = |x: usize| 0.5 + 0.5 * (std::f64::consts::TAU * x as f64 / 12.0).cos();
        let picture = Picture::new(600, 20, |x, _| Xyz([wave(x); 3])).unwrap();
        let seen = seen_from(&picture, resolution, distance).unwrap();
        let middle = (240..360).map(|x| seen.at(x, 10).0[1]);
        let (low, high) = (middle.clone().fold(1.0, f64::min), middle.fold(0.0, f64::max));
        let per_degree = 50.0 * 24.0 * 2.0 * 0.5_f64.to_radians().tan();
        assert!((high - low - sensitivity(per_degree)).abs() < 0.02, "{} at {per_degree}", high - low);
    }

    #[test]
    fn flat_tints_stay_and_distances_have_ends() {
        let resolution = Resolution::per_inch_xy(720.0, 1440.0).unwrap();
        let flat = Picture::new(70, 50, |_, _| Xyz([0.3, 0.4, 0.5])).unwrap();
        let seen = seen_from(&flat, resolution, Length::mm(500.0).unwrap()).unwrap();
        assert!(
            seen.pixels
                .iter()
                .flatten()
                .zip([0.3, 0.4, 0.5].iter().cycle())
                .all(|(a, b)| (a - b).abs() < 1e-5)
        );
        assert!(seen_from(&flat, resolution, Length::mm(1.0).unwrap()).is_err());
        let none = Picture::new(0, 5, |_, _| Xyz::default()).unwrap();
        assert_eq!(seen_from(&none, resolution, Length::mm(500.0).unwrap()).unwrap().width(), 0);
    }
}
