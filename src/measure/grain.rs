//! Grain: how uneven a flat tint is to an eye that no longer sees its dots.
//!
//! The standard deviation of coverage after a Gaussian whose own deviation is one period of the screen: dots and their neighbours are blurred
//! away (to e^(−2π²), 3·10⁻⁹, of their contrast), slow beats between cells and pixels stay. Where the Gaussian reaches past the film, four
//! deviations wide along each edge, nothing is judged.

use crate::error::{Error, Result, filled};
use crate::film::FilmView;
use crate::units::{LineCount, Resolution};

/// Deviations at which the Gaussian ends, and so the edge that is not judged.
const REACH: f64 = 4.0;

/// Grain of a tint (0: even to the eye; a step of one 8-bit tone is 0.004), for a screen of `lines`.
///
/// Errors: a film of less than ten periods a side, of which too little is left. Cost: some ten additions a pixel for each pixel of a period,
/// 32 ns a pixel at 27 pixels a period.
pub fn grain(film: &FilmView<'_>, resolution: Resolution, lines: LineCount) -> Result<f64> {
    let periods = [resolution.x(), resolution.y()].map(|pixels| pixels / lines.to_per_inch());
    let sides = [film.width(), film.height()];
    if let Some(i) = (0..2).find(|&i| (sides[i] as f64) < 10.0 * periods[i]) {
        let allowed = format!("ten periods of the screen, {:.0}", libm::ceil(10.0 * periods[i]));
        return Err(Error::value("a side of the tint, in pixels", sides[i], allowed));
    }
    let [across, down] = periods.map(bell);
    let (width, height) = (sides[0] - (across.len() - 1), sides[1] - (down.len() - 1));
    let mut rows = filled("the grain of a film", width * sides[1], 0.0_f32)?;
    let mut ink = filled("the grain of a film", sides[0], 0.0_f32)?;
    for (y, row) in rows.chunks_exact_mut(width).enumerate() {
        for (x, ink) in ink.iter_mut().enumerate() {
            *ink = f32::from(u8::from(film.get(x, y)));
        }
        for (i, &weight) in across.iter().enumerate() {
            for (sum, ink) in row.iter_mut().zip(&ink[i..]) {
                *sum += weight * ink;
            }
        }
    }
    let mean = f64::from(rows.iter().copied().sum::<f32>()) / rows.len() as f64;
    let (mut sum, mut squares) = (0.0, 0.0);
    let mut blurred = filled("the grain of a film", width, 0.0_f32)?;
    for y in 0..height {
        blurred.fill(0.0);
        for (i, &weight) in down.iter().enumerate() {
            for (sum, row) in blurred.iter_mut().zip(&rows[(y + i) * width..]) {
                *sum += weight * row;
            }
        }
        for &coverage in &blurred {
            // From about the mean, so that the difference of squares keeps its digits.
            let off = f64::from(coverage) - mean;
            sum += off;
            squares += off * off;
        }
    }
    let count = (width * height) as f64;
    Ok((squares / count - (sum / count) * (sum / count)).max(0.0).sqrt())
}

/// A Gaussian of the given deviation in pixels, with a sum of 1.
fn bell(deviation: f64) -> Vec<f32> {
    let reach = libm::ceil(REACH * deviation);
    let at = |i: usize| {
        let off = (i as f64 - reach) / deviation;
        libm::exp(-0.5 * off * off)
    };
    let bell: Vec<f64> = (0..=2 * reach as usize).map(at).collect();
    let sum: f64 = bell.iter().sum();
    bell.into_iter().map(|b| (b / sum) as f32).collect()
}
