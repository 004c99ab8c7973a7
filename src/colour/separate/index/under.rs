//! Art laid on a film, and what of it lies under a dot.
//!
//! A dot takes the art's mean over its own film pixels, each pixel a square: in linear light, each sample weighted by the area it has there
//! and by how opaque it is. Weights are exact whole numbers (film pixel x covers the samples from x · p/q to (x + 1) · p/q), so any resolution
//! will do, and a dot's colour hangs on nothing but its place. What a dot has beyond the film's edge does not count. The outermost samples hold to the
//! edge.
//!
//! Rejected: the sample under a dot's middle, which makes fine detail a matter of luck.

use ndarray::ArrayView3;

use crate::colour::spaces::LinearRgb;
use crate::colour::srgb::Code;
use crate::error::{Error, Result};
use crate::plate::Tone;
use crate::screen::dots::Area;
use crate::screen::placed::Side;
use crate::units::Resolution;

/// Art laid on the pixels of a film: sRGB codes, indexed `[row, column, channel]`, with a fourth channel that tells how opaque it is or without
/// one.
#[derive(Debug, Clone, Copy)]
pub struct ArtOnFilm<'a, T> {
    art: ArrayView3<'a, T>,
    x: Side,
    y: Side,
    origin: (i64, i64),
}

/// What lies under a dot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Under {
    /// The mean light of what is opaque; black where nothing is.
    pub(super) light: LinearRgb,
    /// How opaque it is on average, 0…1.
    pub(super) opaque: f64,
}

/// Sums over the pieces of a dot.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Sum {
    light: [f64; 3],
    opaque: f64,
    area: f64,
}

/// Steps of light that are told apart: far below one of 16-bit codes, far above rounding, so that a flat colour is one colour
/// however dots cut its samples.
const LIGHT_STEPS: f64 = (1 << 24) as f64;

impl<'a, T: Code + Tone> ArtOnFilm<'a, T> {
    /// Art of `art_resolution` on a film of `film_resolution`; its upper left corner is that of film pixel (0, 0).
    ///
    /// Errors: other than three or four channels; art without pixels; a film side of more than 2³¹ pixels.
    pub fn new(
        art: ArrayView3<'a, T>,
        art_resolution: Resolution,
        film_resolution: Resolution,
    ) -> Result<Self> {
        let (height, width, channels) = art.dim();
        if !(3..=4).contains(&channels) {
            return Err(Error::value("channels of art", channels, "3 or 4"));
        }
        if height == 0 || width == 0 {
            return Err(Error::value("size of art", format!("{width} x {height}"), "at least 1 x 1"));
        }
        // Tables of light are made at their first use: here, not when it runs.
        T::from_level(0).light();
        let x = Side::resampled(width, art_resolution.x(), film_resolution.x())?;
        let y = Side::resampled(height, art_resolution.y(), film_resolution.y())?;
        Ok(Self { art, x, y, origin: (0, 0) })
    }

    /// The same art with its upper left corner on film pixel (x, y).
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
        self.x.pixels() as usize
    }

    /// Height on the film in pixels.
    pub fn film_height(&self) -> usize {
        self.y.pixels() as usize
    }

    /// The film's pixels; none if they would lie farther than `farthest` from the origin.
    pub(super) fn area(&self, farthest: i64) -> Option<Area> {
        let side = |from: i64, side: &Side| {
            let to = from.checked_add(side.pixels() as i64)?;
            (from >= -farthest && to <= farthest).then_some(from..to)
        };
        Some(Area { x: side(self.origin.0, &self.x)?, y: side(self.origin.1, &self.y)? })
    }

    /// Adds a piece of a dot, which lies on the film.
    pub(super) fn add(&self, piece: &Area, sum: &mut Sum) {
        let along = |range: &std::ops::Range<i64>, origin: i64| {
            [(range.start - origin) as u64, (range.end - origin) as u64]
        };
        let across = along(&piece.x, self.origin.0);
        samples(&self.y, along(&piece.y, self.origin.1), |row, tall| {
            samples(&self.x, across, |column, wide| {
                let weight = tall * wide;
                sum.area += weight;
                let opaque = match self.art.dim().2 {
                    4 => {
                        let level: u32 = self.art[[row, column, 3]].as_();
                        weight * f64::from(level) / f64::from(T::SOLID)
                    }
                    _ => weight,
                };
                if opaque > 0.0 {
                    sum.opaque += opaque;
                    for (channel, light) in sum.light.iter_mut().enumerate() {
                        *light += opaque * self.art[[row, column, channel]].light();
                    }
                }
            });
        });
    }
}

impl Sum {
    pub(super) fn mean(&self) -> Under {
        if self.opaque <= 0.0 {
            return Under { light: LinearRgb::default(), opaque: 0.0 };
        }
        let step = |part: f64| (part * LIGHT_STEPS).round() / LIGHT_STEPS;
        Under {
            light: LinearRgb(self.light.map(|light| step(light / self.opaque))),
            opaque: step(self.opaque / self.area),
        }
    }
}

/// The samples over which film pixels from one up to another lie, and the length of each there, in parts of a q-th.
fn samples(side: &Side, [from, to]: [u64; 2], mut visit: impl FnMut(usize, f64)) {
    let [p, q] = side.ratio();
    let last = side.samples() - 1;
    let (mut at, end) = (from * p, to * p);
    while at < end {
        let sample = (at / q).min(last);
        let next = if sample == last { end } else { end.min((sample + 1) * q) };
        visit(sample as usize, (next - at) as f64);
        at = next;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use ndarray::Array3;

    fn per_inch(pixels: f64) -> Resolution {
        Resolution::per_inch(pixels).unwrap()
    }

    #[test]
    fn a_mean_is_that_of_the_pixels_one_by_one() {
        let mut state = 5_u64;
        let mut random = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            (state >> 33) as u16
        };
        let art = Array3::from_shape_fn((31, 23, 4), |_| random());
        for (own, film) in [(300.0, 720.0), (300.0, 300.0), (720.0, 300.0), (301.0, 719.5)] {
            let laid = ArtOnFilm::new(art.view(), per_inch(own), per_inch(film)).unwrap().at(-2, 9);
            let piece = Area { x: 1..7, y: 12..15 };
            let mut sum = Sum::default();
            laid.add(&piece, &mut sum);
            // In parts: the same.
            let mut parts = Sum::default();
            for y in 12..15 {
                laid.add(&Area { x: 1..4, y: y..y + 1 }, &mut parts);
                laid.add(&Area { x: 4..7, y: y..y + 1 }, &mut parts);
            }
            assert_eq!(sum.mean(), parts.mean());
            // By many points, each the sample it falls on.
            let (mut light, mut opaque) = (0.0, 0.0);
            let points = 300;
            for (v, u) in (0..points).flat_map(|v| (0..points).map(move |u| (v, u))) {
                let place = |i: i32, from: f64, length: f64| {
                    ((from + length * (f64::from(i) + 0.5) / f64::from(points)) * own / film) as usize
                };
                let (row, column) = (place(v, 3.0, 3.0), place(u, 3.0, 6.0));
                let alpha = f64::from(art[[row, column, 3]]) / 65_535.0;
                light += alpha * art[[row, column, 1]].light();
                opaque += alpha;
            }
            let Under { light: found, opaque: part } = sum.mean();
            assert!((found.0[1] - light / opaque).abs() < 2e-3, "{own} on {film}");
            assert!((part - opaque / f64::from(points * points)).abs() < 2e-3, "{own} on {film}");
        }
    }

    #[test]
    fn what_is_transparent_has_no_colour_and_edges_hold() {
        let mut art = Array3::from_elem((2, 3, 4), 255_u8);
        art[[0, 0, 3]] = 0;
        // 3 samples at 300 on 7.2 pixels: the film ends inside of the last.
        let laid = ArtOnFilm::new(art.view(), per_inch(300.0), per_inch(720.0)).unwrap();
        assert_eq!((laid.film_width(), laid.film_height()), (7, 5));
        let mut sum = Sum::default();
        laid.add(&Area { x: 0..2, y: 0..2 }, &mut sum);
        assert_eq!(sum.mean().opaque, 0.0);
        let mut sum = Sum::default();
        laid.add(&Area { x: 0..7, y: 0..5 }, &mut sum);
        assert_eq!(sum.mean().light, LinearRgb([1.0; 3]));
        assert!((sum.mean().opaque - (1.0 - 2.4 * 2.4 / 35.0)).abs() < 1e-6);
    }

    #[test]
    fn art_that_is_none_is_refused() {
        for shape in [(2, 2, 2), (2, 2, 5), (0, 2, 3), (2, 0, 4)] {
            let art = Array3::<u8>::zeros(shape);
            assert!(ArtOnFilm::new(art.view(), per_inch(300.0), per_inch(720.0)).is_err(), "{shape:?}");
        }
        let art = Array3::<u8>::zeros((1, 40_000, 3));
        assert!(ArtOnFilm::new(art.view(), per_inch(1.0), per_inch(90_000.0)).is_err());
    }
}
