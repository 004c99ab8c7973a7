//! Angle and line count, read back from a film alone.
//!
//! A screen shows in the film's spectrum as peaks at the whole combinations of two frequencies. Found in two steps: a transform of a piece
//! from the film's middle tells the strongest peak and the strongest that is not along it; then each is brought to the highest point
//! of the whole film's spectrum, under a window (cos⁴) beside whose main lobe other peaks are of no consequence. For that second step the film is
//! moved down by the peak's frequency and summed in blocks, so that only a small array has to be looked at again and again.
//!
//! Angles are those of [`Lattice`](crate::screen::Lattice): of the first frequency, counter-clockwise. A film alone does not tell which of two like
//! frequencies was meant to be the first, nor a direction from its opposite, so the angle is told with its *modulus*: a multiple of
//! which may be added. Where dots are longer one way, as elliptical ones are, that way is the first: the wave along it is the weaker
//! one, and so it is for the holes of a dark tint.
//!
//! How near: 0.005° and 0.005 % on 2 × 2 inches (of 1400 random screens of 35 to 85 lines, 600 to 1440 pixels an inch, as tints of 10 to 90 %
//! and gradients, the worst was 0.0023° and 0.0022 % off). The exception, one screen in some thousands, are lattices a few hundredths of a line
//! beside one of whole-pixel cells: over some inches their film cannot be told from one on such cells, and they were 0.03° and 0.05 % off.
//! Rejected: the spacing of dots' centres, which is as near at 10 % and says nothing at 60 %.

use rustfft::FftPlanner;
use rustfft::num_complex::Complex;

use crate::error::{Error, Result, filled};
use crate::film::FilmView;
use crate::units::Resolution;

/// Largest side, in pixels, of the piece whose spectrum is looked through.
const PIECE: usize = 768;

/// Pixels along a side of a block.
const BLOCK: usize = 8;

/// Lowest and highest line count that is looked for, per inch. Below, beats and gradients; above, no film has dots.
const LINES: [f64; 2] = [8.0, 400.0];

/// Least part of a film's variance that is in its strongest peak. A 3 % tint of dots has 0.03.
const LEAST: f64 = 0.004;

/// The same for small pieces, over ln(n)/n of n samples: the highest of n peaks of white noise is about half of it (3.8 each, under the window, of
/// amplitude squared).
const NOISE: f64 = 15.0;

/// Second peak, in amplitude, as a part of the first, below which a film is one of lines.
const LINES_ALONE: f64 = 0.2;

/// Least amplitude of a fundamental beside that of the harmonic that was found first.
const HARMONIC: f64 = 0.6;

/// Least amplitude of a second frequency beside that of its sum with the first.
const SHORTER: f64 = 0.2;

/// Harmonics of lines whose echoes are known as such.
const ECHOES: i32 = 64;

/// Amplitudes nearer to each other than this part are those of one dot that a quarter turn leaves as it is.
const ALIKE: f64 = 0.05;

/// A frequency of a film.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frequency {
    /// Its direction: degrees counter-clockwise from the x axis as one looks at the film, 0 to below 180.
    pub degrees: f64,
    /// Repeats per inch along it.
    pub lines_per_inch: f64,
    /// Height of its wave in coverage, 0…0.64.
    pub amplitude: f64,
}

/// The screen that a film shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Repeat {
    /// The frequency along the dots' longer side, or nearer to the x axis where neither is; for lines the one across them.
    pub first: Frequency,
    /// The other, about a quarter turn from the first; none for lines.
    pub second: Option<Frequency>,
    /// The screen's angle: the mean of both frequencies (the second less a quarter turn); for lines the angle that they run at.
    pub degrees: f64,
    /// What may be added to the angle: 90° for dots that look alike along both frequencies, as a diamond does in light tints; else 180°.
    pub modulus: f64,
    /// The line count: the geometric mean of both.
    pub lines_per_inch: f64,
}

/// Reads angle and line count back from a film: a tint, or a picture without large bare or solid places.
///
/// Errors: a film of less than 64 pixels a side; one that shows no screen: bare, solid, index dots. Cost: some 7 ns a pixel of a film of 2400 × 2400.
pub fn repeat(film: &FilmView<'_>, resolution: Resolution) -> Result<Repeat> {
    let sides = [film.width(), film.height()];
    if let Some(side) = sides.into_iter().find(|&side| side < 64) {
        return Err(Error::value("a side of the film, in pixels", side, "64 or more"));
    }
    let none = |why: &str| Error::data("a film", format!("shows no screen: {why}"));
    let coverage = film.coverage();
    let variance = coverage * (1.0 - coverage);
    if variance == 0.0 {
        return Err(none("it is bare or solid"));
    }
    let pitch = [1.0 / resolution.x(), 1.0 / resolution.y()];
    let piece = Piece::of(film, pitch)?;
    let strongest = piece.strongest(|_| true).ok_or_else(|| none("it is too small for any"))?;
    let strongest = piece.fundamental(strongest);
    // A wave of amplitude a has the variance a²/2.
    let samples = piece.amplitudes.len() as f64;
    let least = LEAST.max(NOISE * libm::log(samples) / samples);
    if 0.5 * strongest.amplitude * strongest.amplitude < least * variance {
        return Err(none("no wave stands out"));
    }
    let apart = |other: [f64; 2]| {
        let [a, b] = strongest.at;
        let sine = (a * other[1] - b * other[0]) / (length([a, b]) * length(other));
        sine.abs() > 0.5
    };
    let one = sharpened(film, pitch, strongest.at, coverage)?;
    let found = piece.strongest(|at| apart(at) && !is_echo(at, &one, &piece, resolution));
    let found = found.map(|peak| piece.fundamental(peak));
    let other = match found.filter(|peak| peak.amplitude > LINES_ALONE * one.amplitude) {
        Some(peak) => Some(sharpened(film, pitch, piece.shortest(peak, strongest.at).at, coverage)?),
        None => None,
    };
    // The piece, of fewer pixels, may show a fine wave as a coarse one that the film does not hold.
    let Some(other) = other.filter(|other| other.amplitude > LINES_ALONE * one.amplitude) else {
        let degrees = one.degrees;
        return Ok(Repeat {
            first: one,
            second: None,
            degrees: (degrees - 90.0).rem_euclid(180.0),
            modulus: 180.0,
            lines_per_inch: one.lines_per_inch,
        });
    };
    let alike = (one.amplitude - other.amplitude).abs() < ALIKE * one.amplitude.max(other.amplitude);
    let off_axis = |f: &Frequency| f.degrees.min(180.0 - f.degrees);
    let one_is_first =
        if alike { off_axis(&one) <= off_axis(&other) } else { one.amplitude < other.amplitude };
    let (first, second) = if one_is_first { (one, other) } else { (other, one) };
    // The second is a quarter turn on; a first just below 180° is one just below 0°.
    let mut turn = second.degrees - 90.0 - first.degrees;
    turn -= 180.0 * libm::round(turn / 180.0);
    let degrees = first.degrees + 0.5 * turn;
    let modulus = if alike { 90.0 } else { 180.0 };
    Ok(Repeat {
        first,
        second: Some(second),
        degrees: degrees.rem_euclid(modulus),
        modulus,
        lines_per_inch: (first.lines_per_inch * second.lines_per_inch).sqrt(),
    })
}

/// Whether a wave is an echo of lines: pixels show the k-th harmonic of a wave also where whole pixel frequencies are added to it. Lines are
/// that strong at most, dots are stronger.
fn is_echo(at: [f64; 2], lines: &Frequency, piece: &Piece, resolution: Resolution) -> bool {
    let (sin, cos) = libm::sincos(lines.degrees.to_radians());
    let first = [lines.lines_per_inch * cos, -lines.lines_per_inch * sin];
    let pixels = [resolution.x(), resolution.y()];
    let amplitude = piece.near(at, 0).amplitude;
    (2..=ECHOES).flat_map(|k| [k, -k]).any(|k| {
        let here = (0..2).all(|i| {
            let off = (f64::from(k) * first[i] - at[i]) / pixels[i];
            (off - libm::round(off)).abs() * pixels[i] < 2.0 * piece.bin(i)
        });
        here && amplitude < 1.1 * 2.0 / (std::f64::consts::PI * f64::from(k.abs()))
    })
}

fn length([x, y]: [f64; 2]) -> f64 {
    (x * x + y * y).sqrt()
}

/// A window over places 0…1: cos⁴ about the middle.
fn window(place: f64) -> f64 {
    let sine = libm::sin(std::f64::consts::PI * place);
    sine * sine * sine * sine
}

/// A peak: repeats per inch in x and y (down), and amplitude.
struct Peak {
    at: [f64; 2],
    amplitude: f64,
}

/// The spectrum of a piece.
struct Piece {
    sides: [usize; 2],
    /// Inches of a sample.
    pitch: [f64; 2],
    amplitudes: Vec<f64>,
}

impl Piece {
    /// The middle of the film, its pixels averaged where they are finer than any line count needs.
    fn of(film: &FilmView<'_>, pitch: [f64; 2]) -> Result<Self> {
        // Four samples for a line of 100 to an inch at the least.
        let merged = pitch.map(|inches| ((1.0 / 400.0 / inches) as usize).max(1));
        let all = [film.width() / merged[0], film.height() / merged[1]];
        let sides = all.map(|side| side.min(PIECE));
        let from: [usize; 2] = std::array::from_fn(|i| (all[i] - sides[i]) / 2 * merged[i]);
        let mut samples = filled("the spectrum of a film", sides[0] * sides[1], Complex::new(0.0, 0.0))?;
        for (i, sample) in samples.iter_mut().enumerate() {
            let (x, y) = (from[0] + i % sides[0] * merged[0], from[1] + i / sides[0] * merged[1]);
            let ink = (0..merged[1]).flat_map(|dy| (0..merged[0]).map(move |dx| (x + dx, y + dy)));
            let ink = ink.filter(|&(x, y)| film.get(x, y)).count();
            sample.re = ink as f64 / (merged[0] * merged[1]) as f64;
        }
        let mean = samples.iter().map(|sample| sample.re).sum::<f64>() / samples.len() as f64;
        let [across, down] =
            sides.map(|side| (0..side).map(|i| window((i as f64 + 0.5) / side as f64)).collect::<Vec<f64>>());
        for (i, sample) in samples.iter_mut().enumerate() {
            sample.re = (sample.re - mean) * across[i % sides[0]] * down[i / sides[0]];
        }
        transform(&mut samples, sides)?;
        // Twice, for the wave of the opposite frequency; the mean of each window is 3/8.
        let whole = 2.0 / (sides[0] * sides[1]) as f64 / (0.375 * 0.375);
        let amplitudes = samples.iter().map(|sample| whole * sample.norm()).collect();
        Ok(Self { sides, pitch: [0, 1].map(|i| pitch[i] * merged[i] as f64), amplitudes })
    }

    /// One sample of frequency, per inch.
    fn bin(&self, i: usize) -> f64 {
        1.0 / (self.sides[i] as f64 * self.pitch[i])
    }

    /// The highest sample within so many of a frequency.
    fn near(&self, at: [f64; 2], reach: i64) -> Peak {
        let [x, y] = [0, 1].map(|i| libm::round(at[i] / self.bin(i)) as i64);
        let [width, height] = self.sides.map(|side| side as i64);
        let mut best = Peak { at, amplitude: 0.0 };
        for (u, v) in (-reach..=reach).flat_map(|dy| (-reach..=reach).map(move |dx| (x + dx, y + dy))) {
            let amplitude = self.amplitudes[(v.rem_euclid(height) * width + u.rem_euclid(width)) as usize];
            if amplitude > best.amplitude {
                best = Peak { at: [u as f64 * self.bin(0), v as f64 * self.bin(1)], amplitude };
            }
        }
        best
    }

    /// The wave that a peak is a harmonic of: thin lines and gaps have harmonics nearly as high.
    fn fundamental(&self, peak: Peak) -> Peak {
        let low = (2..=8).rev().map(|k| peak.at.map(|f| f / f64::from(k)));
        let seen = low.filter(|&at| length(at) >= LINES[0]).map(|at| self.near(at, 1));
        seen.into_iter().find(|low| low.amplitude > HARMONIC * peak.amplitude).unwrap_or(peak)
    }

    /// The shortest of the waves that a peak makes with the first: dots that are nearly chains have more in the sum of both frequencies than
    /// in the second.
    fn shortest(&self, peak: Peak, first: [f64; 2]) -> Peak {
        let sums = [1.0, -1.0].map(|sign| self.near([0, 1].map(|i| peak.at[i] + sign * first[i]), 2));
        let shorter =
            |sum: &Peak| length(sum.at) < 0.9 * length(peak.at) && sum.amplitude > SHORTER * peak.amplitude;
        sums.into_iter().find(shorter).unwrap_or(peak)
    }

    /// The highest peak among frequencies (per inch) that `may` be, of the half plane x ≥ 0.
    fn strongest(&self, may: impl Fn([f64; 2]) -> bool) -> Option<Peak> {
        let [width, height] = self.sides;
        let frequency = |i: usize, side: usize, pitch: f64| {
            let i = if 2 * i > side { i as f64 - side as f64 } else { i as f64 };
            i / (side as f64 * pitch)
        };
        let mut best: Option<Peak> = None;
        for (i, &amplitude) in self.amplitudes.iter().enumerate() {
            let at =
                [frequency(i % width, width, self.pitch[0]), frequency(i / width, height, self.pitch[1])];
            let lines = length(at);
            let here = at[0] >= 0.0 && (LINES[0]..=LINES[1]).contains(&lines);
            if here && best.as_ref().is_none_or(|best| amplitude > best.amplitude) && may(at) {
                best = Some(Peak { at, amplitude });
            }
        }
        best
    }
}

/// A transform in both directions, in place; rows of `sides[0]` samples.
pub(crate) fn transform(samples: &mut [Complex<f64>], sides: [usize; 2]) -> Result<()> {
    let [width, height] = sides;
    let mut planner = FftPlanner::new();
    planner.plan_fft_forward(width).process(samples);
    let down = planner.plan_fft_forward(height);
    let mut column = filled("the spectrum of a film", height, Complex::new(0.0, 0.0))?;
    for x in 0..width {
        for (y, sample) in column.iter_mut().enumerate() {
            *sample = samples[y * width + x];
        }
        down.process(&mut column);
        for (y, sample) in column.iter().enumerate() {
            samples[y * width + x] = *sample;
        }
    }
    Ok(())
}

/// The highest point of the whole film's spectrum near a frequency (per inch).
fn sharpened(film: &FilmView<'_>, pitch: [f64; 2], near: [f64; 2], coverage: f64) -> Result<Frequency> {
    let sides = [film.width(), film.height()];
    let blocks = sides.map(|side| side.div_ceil(BLOCK));
    let tau = std::f64::consts::TAU;
    // Turns of the wave at each column and row.
    let [across, down] = [0, 1].map(|i| {
        let turn = |k: usize| Complex::from_polar(1.0, -tau * near[i] * pitch[i] * (k as f64 + 0.5));
        (0..sides[i]).map(turn).collect::<Vec<_>>()
    });
    let nothing = Complex::new(0.0, 0.0);
    let mut sums = filled("the spectrum of a film", blocks[0] * blocks[1], nothing)?;
    let mut row = filled("the spectrum of a film", blocks[0], nothing)?;
    // The mean is taken off: of it each block would hold something.
    let means: Vec<Complex<f64>> =
        across.chunks(BLOCK).map(|turns| turns.iter().sum::<Complex<f64>>() * coverage).collect();
    for (y, turn) in down.iter().enumerate() {
        for (sum, mean) in row.iter_mut().zip(&means) {
            *sum = -mean;
        }
        // A block is a byte wide; bits past the width are 0.
        for ((&byte, sum), turns) in film.row(y).iter().zip(&mut row).zip(across.chunks(BLOCK)) {
            for (bit, turn) in turns.iter().enumerate() {
                if byte & 0x80 >> bit != 0 {
                    *sum += turn;
                }
            }
        }
        for (block, sum) in sums[y / BLOCK * blocks[0]..][..blocks[0]].iter_mut().zip(&row) {
            *block += sum * turn;
        }
    }
    let whole = 2.0 / (sides[0] * sides[1]) as f64 / (0.375 * 0.375);
    let windows: [Vec<f64>; 2] = [0, 1].map(|i| {
        let middle = |b: usize| 0.5 * ((b * BLOCK) as f64 + (sides[i].min((b + 1) * BLOCK)) as f64);
        (0..blocks[i]).map(|b| window(middle(b) / sides[i] as f64)).collect()
    });
    let height = |off: [f64; 2]| -> f64 {
        let [columns, rows] = [0, 1].map(|i| {
            let at = |b: usize| {
                let middle = 0.5 * ((b * BLOCK) as f64 + (sides[i].min((b + 1) * BLOCK)) as f64);
                Complex::from_polar(windows[i][b], -tau * off[i] * pitch[i] * middle)
            };
            (0..blocks[i]).map(at).collect::<Vec<_>>()
        });
        let mut sum = nothing;
        for (row, blocks) in rows.iter().zip(sums.chunks_exact(blocks[0])) {
            sum += row * columns.iter().zip(blocks).map(|(a, b)| a * b).sum::<Complex<f64>>();
        }
        whole * sum.norm()
    };
    // The top of a parabola through three points along each axis, nearer and nearer; a main lobe is ±3 bins wide.
    let bins: [f64; 2] = std::array::from_fn(|i| 1.0 / (sides[i] as f64 * pitch[i]));
    let mut off = [0.0; 2];
    for step in [1.0, 0.6, 0.3, 0.1, 0.03, 0.03] {
        for i in 0..2 {
            let at = |by: f64| {
                let mut moved = off;
                moved[i] += by * step * bins[i];
                libm::log(height(moved).max(1e-12))
            };
            let (low, here, high) = (at(-1.0), at(0.0), at(1.0));
            let bend = low - 2.0 * here + high;
            let to = if bend < 0.0 {
                (0.5 * (low - high) / bend).clamp(-2.0, 2.0)
            } else if low > high {
                -2.0
            } else {
                2.0
            };
            off[i] += to * step * bins[i];
        }
    }
    let at = [near[0] + off[0], near[1] + off[1]];
    Ok(Frequency {
        degrees: libm::atan2(-at[1], at[0]).to_degrees().rem_euclid(180.0),
        lines_per_inch: length(at),
        amplitude: height(off),
    })
}
