//! A plate laid on the pixels of a film: at film resolution as it is, or at any other resolution, sampled.
//!
//! Film pixel x stands over the plate at (x + ½)·p/q samples, p/q the exact ratio of plate to film resolution, so a pixel's
//! tone follows from its place alone, however a run is cut. Positions are stepped in whole numbers; nothing is summed up in
//! floating point. Rows are expanded in runs of a few hundred pixels on the stack, never as a whole picture.
//!
//! Linear interpolation takes the four samples around the position with weights in 65 536ths, and rounds once, to 16 bits.
//! The outermost samples hold to the edge.

use crate::error::{Error, Result};
use crate::plate::{Plate, Tone};
use crate::units::Resolution;

/// Longest side of a film in pixels.
pub const MAX_SIDE: u64 = 1 << 31;

/// How a plate of another resolution than the film's is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Sampling {
    /// The sample whose square holds the pixel's centre: keeps hard edges hard, and 8-bit plates 8-bit.
    #[default]
    Nearest,
    /// Between the four samples around the pixel's centre: soft edges, 16-bit tones.
    Linear,
}

impl std::str::FromStr for Sampling {
    type Err = Error;

    /// `nearest` or `linear`.
    fn from_str(text: &str) -> Result<Self> {
        match text.trim() {
            "nearest" => Ok(Self::Nearest),
            "linear" => Ok(Self::Linear),
            _ => Err(Error::value("sampling", text, "nearest or linear")),
        }
    }
}

/// One side of a plate and the film pixels over it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Side {
    /// Samples of the plate to a pixel of the film, p/q.
    p: u64,
    q: u64,
    /// Samples of the whole plate.
    samples: u64,
    /// Pixels of the film.
    pixels: u64,
}

impl Side {
    fn exact(samples: usize) -> Self {
        Self { p: 1, q: 1, samples: samples as u64, pixels: samples as u64 }
    }

    /// A plate of `samples` at `plate` per inch on a film of `film` per inch. The film's length is that of the plate, to the
    /// nearest pixel and at least one.
    pub(crate) fn resampled(samples: usize, plate: f64, film: f64) -> Result<Self> {
        let (p, q) = ratio(plate, film);
        let samples = samples as u64;
        let exact = u128::from(samples) * u128::from(q);
        let pixels = ((exact + u128::from(p / 2)) / u128::from(p)).max(u128::from(samples.min(1)));
        if pixels > u128::from(MAX_SIDE) {
            return Err(Error::Limit {
                what: "a film's side in pixels",
                needed: u64::try_from(pixels).unwrap_or(u64::MAX),
                limit: MAX_SIDE,
            });
        }
        Ok(Self { p, q, samples, pixels: pixels as u64 })
    }

    /// Pixels of the film.
    pub(crate) fn pixels(&self) -> u64 {
        self.pixels
    }

    /// Samples of the plate.
    pub(crate) fn samples(&self) -> u64 {
        self.samples
    }

    /// Samples to a pixel, as a fraction p/q.
    pub(crate) fn ratio(&self) -> [u64; 2] {
        [self.p, self.q]
    }

    fn is_exact(&self) -> bool {
        self.p == self.q
    }

    /// The first and last sample that pixels `from..to` (not empty) read.
    #[cfg(feature = "files")]
    pub(crate) fn samples_for(&self, from: u64, to: u64, sampling: Sampling) -> (u64, u64) {
        let mut first = self.walk(from, sampling);
        let mut last = self.walk(to - 1, sampling);
        match sampling {
            Sampling::Nearest => (first.nearest(), last.nearest()),
            Sampling::Linear => (first.pair().0, last.pair().1),
        }
    }

    fn walk(&self, pixel: u64, sampling: Sampling) -> Walk {
        let whole = i128::from(2 * self.q);
        // Linear interpolation counts from the samples' centres, half a sample further on.
        let start = i128::from(2 * pixel + 1) * i128::from(self.p)
            - match sampling {
                Sampling::Nearest => 0,
                Sampling::Linear => i128::from(self.q),
            };
        Walk {
            sample: start.div_euclid(whole) as i64,
            part: start.rem_euclid(whole) as u64,
            step: (self.p / self.q) as i64,
            step_part: 2 * (self.p % self.q),
            whole: 2 * self.q,
            inverse: (1 << 48) / (2 * self.q),
            last: self.samples as i64 - 1,
        }
    }
}

/// Steps from pixel to pixel along one side.
struct Walk {
    sample: i64,
    /// Position past `sample`, in parts of `whole`.
    part: u64,
    step: i64,
    step_part: u64,
    whole: u64,
    /// 2⁴⁸ / whole, to turn a part into 65 536ths without dividing.
    inverse: u64,
    last: i64,
}

impl Walk {
    #[inline]
    fn advance(&mut self) {
        self.sample += self.step;
        self.part += self.step_part;
        if self.part >= self.whole {
            self.part -= self.whole;
            self.sample += 1;
        }
    }

    #[inline]
    fn nearest(&mut self) -> u64 {
        let sample = self.sample.clamp(0, self.last) as u64;
        self.advance();
        sample
    }

    /// Two neighbouring samples and the weight of the second in 65 536ths.
    #[inline]
    fn pair(&mut self) -> (u64, u64, u64) {
        let left = self.sample.clamp(0, self.last) as u64;
        let right = (self.sample + 1).clamp(0, self.last) as u64;
        let weight = (self.part * self.inverse) >> 32;
        self.advance();
        (left, right, weight)
    }
}

/// The simplest fraction p/q within 1e-10 of a/b.
fn ratio(a: f64, b: f64) -> (u64, u64) {
    let wanted = a / b;
    let mut rest = wanted;
    let (mut p, mut q) = ([0_u64, 1], [1_u64, 0]);
    // Resolutions lie in 1…100 000, so neither side passes 2³¹ before the fraction is that near.
    loop {
        let whole = libm::floor(rest);
        p = [p[1], whole as u64 * p[1] + p[0]];
        q = [q[1], whole as u64 * q[1] + q[0]];
        let near = p[1] as f64 / q[1] as f64;
        if (near - wanted).abs() <= 1e-10 * wanted || rest - whole < 1e-12 {
            return (p[1], q[1]);
        }
        rest = 1.0 / (rest - whole);
    }
}

/// A plate, or some rows of one, and the film pixels it stands on.
#[derive(Debug, Clone, Copy)]
pub struct Placed<'a> {
    plate: Plate<'a>,
    /// The row of the whole plate that the view begins with.
    first_row: u64,
    x: Side,
    y: Side,
    sampling: Sampling,
    origin: (i64, i64),
}

impl<'a, P: Into<Plate<'a>>> From<P> for Placed<'a> {
    fn from(plate: P) -> Self {
        Self::new(plate)
    }
}

impl<'a> Placed<'a> {
    /// A plate at film resolution, its first sample on film pixel (0, 0).
    pub fn new(plate: impl Into<Plate<'a>>) -> Self {
        let plate = plate.into();
        Self {
            plate,
            first_row: 0,
            x: Side::exact(plate.width()),
            y: Side::exact(plate.height()),
            sampling: Sampling::Nearest,
            origin: (0, 0),
        }
    }

    /// A plate at a resolution of its own; its upper left corner is that of film pixel (0, 0).
    ///
    /// Errors: a film side of more than 2³¹ pixels.
    pub fn resampled(
        plate: impl Into<Plate<'a>>,
        plate_resolution: Resolution,
        film_resolution: Resolution,
        sampling: Sampling,
    ) -> Result<Self> {
        let plate = plate.into();
        let x = Side::resampled(plate.width(), plate_resolution.x(), film_resolution.x())?;
        let y = Side::resampled(plate.height(), plate_resolution.y(), film_resolution.y())?;
        Ok(Self { plate, first_row: 0, x, y, sampling, origin: (0, 0) })
    }

    /// Rows of a plate that is not in memory as a whole, as a window that slides down it: the view's first row is row
    /// `first_row` of the plate whose sides are given.
    #[cfg(feature = "files")]
    pub(crate) fn window(plate: Plate<'a>, first_row: u64, x: Side, y: Side, sampling: Sampling) -> Self {
        Self { plate, first_row, x, y, sampling, origin: (0, 0) }
    }

    /// The same plate with its upper left corner on film pixel (x, y): for a tile of a larger plate, where the tile lies.
    #[must_use]
    pub fn at(self, x: i64, y: i64) -> Self {
        Self { origin: (x, y), ..self }
    }

    /// The film pixel of the upper left corner.
    pub fn origin(&self) -> (i64, i64) {
        self.origin
    }

    /// Width on the film in pixels.
    pub fn film_width(&self) -> usize {
        self.x.pixels as usize
    }

    /// Height on the film in pixels.
    pub fn film_height(&self) -> usize {
        self.y.pixels as usize
    }

    /// The plate.
    pub fn plate(&self) -> Plate<'a> {
        self.plate
    }

    /// Whether the kernels can take the plate's own 8-bit samples.
    pub(crate) fn is_u8(&self) -> bool {
        matches!(self.plate, Plate::U8(_)) && self.sampling == Sampling::Nearest || self.is_u8_exact()
    }

    fn is_u8_exact(&self) -> bool {
        matches!(self.plate, Plate::U8(_)) && self.x.is_exact() && self.y.is_exact()
    }

    /// What row `y` of the film, counted from the plate's own corner, is read from.
    pub(crate) fn row(&self, y: u64) -> Row<'_, 'a> {
        let exact = self.x.is_exact() && self.y.is_exact();
        let sampling = if exact { Sampling::Nearest } else { self.sampling };
        let mut walk = self.y.walk(y, sampling);
        let (upper, lower, weight) = match sampling {
            Sampling::Nearest => {
                let row = walk.nearest();
                (row, row, 0)
            }
            Sampling::Linear => walk.pair(),
        };
        Row {
            placed: self,
            sampling,
            upper: (upper - self.first_row) as usize,
            lower: (lower - self.first_row) as usize,
            weight,
        }
    }
}

/// One row of a film, as its plate gives it.
pub(crate) struct Row<'p, 'a> {
    placed: &'p Placed<'a>,
    sampling: Sampling,
    upper: usize,
    lower: usize,
    /// Of the lower row, in 65 536ths.
    weight: u64,
}

impl Row<'_, '_> {
    /// Whether the kernels can take the plate's own 8-bit samples.
    pub(crate) fn is_u8(&self) -> bool {
        self.placed.is_u8()
    }
}

/// Samples that the kernels take straight from the plate or through a buffer.
pub(crate) trait RowTones: Tone {
    /// Tones of the pixels from `x` on: a part of the plate where it lies so in memory, else `buffer`, filled.
    fn tones<'b>(row: &'b Row<'_, '_>, x: u64, buffer: &'b mut [Self]) -> &'b [Self];
}

impl RowTones for u8 {
    fn tones<'b>(row: &'b Row<'_, '_>, x: u64, buffer: &'b mut [Self]) -> &'b [Self] {
        let Plate::U8(view) = &row.placed.plate else { unreachable!("only 8-bit plates are read as 8 bits") };
        let samples = view.row(row.upper);
        if let (true, Some(samples)) = (row.placed.x.is_exact(), samples.to_slice()) {
            return &samples[x as usize..][..buffer.len()];
        }
        let mut walk = row.placed.x.walk(x, Sampling::Nearest);
        for tone in buffer.iter_mut() {
            *tone = samples[walk.nearest() as usize];
        }
        buffer
    }
}

impl RowTones for u16 {
    fn tones<'b>(row: &'b Row<'_, '_>, x: u64, buffer: &'b mut [Self]) -> &'b [Self] {
        let plate = &row.placed.plate;
        let mut walk = row.placed.x.walk(x, row.sampling);
        match row.sampling {
            Sampling::Nearest => {
                if let (Plate::U16(view), true) = (plate, row.placed.x.is_exact())
                    && let Some(samples) = view.row(row.upper).to_slice()
                {
                    return &samples[x as usize..][..buffer.len()];
                }
                for tone in buffer.iter_mut() {
                    *tone = plate.u16_at(row.upper, walk.nearest() as usize);
                }
            }
            Sampling::Linear => {
                for tone in buffer.iter_mut() {
                    let (left, right, weight) = walk.pair();
                    let (left, right) = (left as usize, right as usize);
                    let across = |y: usize| {
                        let (l, r) = (plate.u16_at(y, left), plate.u16_at(y, right));
                        u64::from(l) * (65_536 - weight) + u64::from(r) * weight
                    };
                    let sum = across(row.upper) * (65_536 - row.weight) + across(row.lower) * row.weight;
                    *tone = nearest_step(sum);
                }
            }
        }
        buffer
    }
}

/// The middle of the scale in 2⁻³² steps.
const MIDDLE: u64 = 65_535 << 31;

/// The nearest whole step to a number of 2⁻³² steps. Halves go to the middle of the scale, so that the tones of a plate and of its
/// complement still add up to solid; those of the very middle go down, so that they add up to no more.
fn nearest_step(sum: u64) -> u16 {
    let half = 1 << 31;
    let half = if sum < MIDDLE { half } else { half - 1 };
    ((sum + half) >> 32) as u16
}

#[cfg(test)]
mod tests;
