//! The light of films that print on each other, along lines across the print.
//!
//! Along a line every edge is exact, and where one is met the light to its right changes by the difference of two combinations. A row of
//! the picture is cut where a row of a film, or the rim of its growth, begins or ends: without growth one line stands for all heights
//! between two cuts, and the picture is exact. With growth lines lie in each stretch by Gauss–Legendre, as in
//! [`spread`](crate::press::spread).
//!
//! Rejected: the part of each pixel that each film covers ([`Spread`](crate::press::spread::Spread)), multiplied as if films were
//! independent inside of the pixel. Films of one lattice share their edges: grown alike they still lie on each other exactly, where the
//! product is 0.2 to 3.7 ΔE00 off for two equal tints of random inks.

use std::ops::Range;

use ndarray::{ArrayViewMut1, ArrayViewMut2, Axis};

use crate::colour::Xyz;
use crate::colour::overlap::MAX_PLATES;
use crate::error::{Error, Result, filled};
use crate::press::along::Along;
use crate::press::spread::places;
use crate::proof::Films;
use crate::units::Length;

/// Lines to the height of a film pixel where edges grow. With 6 pixels are twice as far off in the mean.
const LINES: f64 = 10.0;

/// Film rows that are looked at in one go.
const BAND: f64 = 32.0;

/// Cuts of a row nearer to each other than this part of a film pixel are one.
const ONE_CUT: f64 = 1e-7;

/// A picture being made.
pub(super) struct Plan<'a> {
    films: &'a Films<'a>,
    /// Left and top of the picture, in pixels of the films.
    origin: [f64; 2],
    /// Pixels of the films to one of the picture.
    steps: [f64; 2],
    /// Places and weights of one line in a stretch, of two, of three …
    lines: Vec<Vec<(f64, f64)>>,
}

/// How a film lies along one axis: print = middle + (film − middle) · longer + shift, in pixels of the film.
struct Axle {
    middle: f64,
    longer: f64,
    shift: f64,
    /// Growth in pixels of the film as it was before it stretched.
    growth: f64,
}

impl Axle {
    fn to_print(&self, film: f64) -> f64 {
        self.middle + (film - self.middle) * self.longer + self.shift
    }

    fn to_film(&self, print: f64) -> f64 {
        self.middle + (print - self.middle - self.shift) / self.longer
    }

    /// Whole pixels of the film that a stretch of the print comes from.
    fn range(&self, from: f64, to: f64) -> Range<i64> {
        libm::floor(self.to_film(from)) as i64 - 1..libm::ceil(self.to_film(to)) as i64 + 1
    }
}

/// A film of which ink is printed in a band.
struct Inked {
    bit: usize,
    axles: [Axle; 2],
    along: Along,
    /// Where along the line of the moment ink begins, ends, begins …, in pixels of the picture.
    edges: Vec<f64>,
}

impl<'a> Plan<'a> {
    pub(super) fn new(films: &'a Films<'a>, origin: [f64; 2], steps: [f64; 2]) -> Self {
        Self { films, origin, steps, lines: (1..=LINES as usize).map(places).collect() }
    }

    /// Fills a picture.
    pub(super) fn fill(&self, mut picture: ArrayViewMut2<'_, [f32; 3]>) -> Result<()> {
        let rows = (BAND / self.steps[1]).clamp(1.0, 4096.0) as usize;
        let work = |(band, rows_of): (usize, ArrayViewMut2<'_, [f32; 3]>)| self.band(band * rows, rows_of);
        let mut bands = picture.axis_chunks_iter_mut(Axis(0), rows).enumerate();
        #[cfg(feature = "threads")]
        {
            use rayon::prelude::*;
            bands.by_ref().collect::<Vec<_>>().into_par_iter().try_for_each(work)
        }
        #[cfg(not(feature = "threads"))]
        bands.try_for_each(work)
    }

    /// Rows of the picture, from row `first` on.
    fn band(&self, first: usize, mut rows: ArrayViewMut2<'_, [f32; 3]>) -> Result<()> {
        let width = rows.ncols();
        let top = |row: usize| self.origin[1] + row as f64 * self.steps[1];
        let mut films = self.inked(width, top(first)..top(first + rows.nrows()))?;
        let grows = films.iter().any(|film| film.axles[1].growth > 0.0);
        let mut light = Light { changes: filled("a row of a proof", width + 1, [0.0; 4])? };
        let mut cuts = Vec::new();
        for (y, row) in rows.rows_mut().into_iter().enumerate() {
            let (from, to) = (top(first + y), top(first + y + 1));
            cut(&films, from, to, &mut cuts);
            for stretch in cuts.windows(2) {
                let length = stretch[1] - stretch[0];
                let lines = if grows { libm::ceil(LINES * length).clamp(1.0, LINES) as usize } else { 1 };
                for &(place, weight) in &self.lines[lines - 1] {
                    for film in &mut films {
                        self.find_edges(film, stretch[0] + length * place)?;
                    }
                    self.lay_on(&films, weight * length / (to - from), &mut light);
                }
            }
            light.finish(row);
        }
        Ok(())
    }

    /// The films that print ink in the picture's rows between two heights.
    fn inked(&self, width: usize, heights: Range<f64>) -> Result<Vec<Inked>> {
        let Films { films, lays, resolution, .. } = self.films;
        let mut inked = Vec::new();
        for (i, (film, lay)) in films.iter().zip(lays).enumerate() {
            let pixels = |length: Length| <[f64; 2]>::from(length.in_pixels(*resolution));
            let sides = [film.width(), film.height()];
            let axles = [0, 1].map(|axis| Axle {
                middle: 0.5 * sides[axis] as f64,
                longer: 1.0 + lay.stretch[axis],
                shift: pixels(lay.shift[axis])[axis],
                growth: pixels(lay.growth)[axis].abs() / (1.0 + lay.stretch[axis]),
            });
            let right = self.origin[0] + width as f64 * self.steps[0];
            let (columns, rows) =
                (axles[0].range(self.origin[0], right), axles[1].range(heights.start, heights.end));
            let mut along = Along::new([axles[0].growth, axles[1].growth], lay.growth.to_um() < 0.0);
            along.hold(*film, columns, rows)?;
            if !along.is_empty() {
                inked.push(Inked { bit: 1 << i, axles, along, edges: Vec::new() });
            }
        }
        Ok(inked)
    }

    fn find_edges(&self, film: &mut Inked, height: f64) -> Result<()> {
        film.edges.clear();
        let spans = film.along.at(film.axles[1].to_film(height))?;
        let bytes = (16 * spans.len()) as u64;
        film.edges
            .try_reserve(2 * spans.len())
            .map_err(|_| Error::Memory { what: "edges of a film", bytes })?;
        let place = |x: f64| (film.axles[0].to_print(x) - self.origin[0]) / self.steps[0];
        film.edges.extend(spans.iter().flat_map(|&(from, to)| [place(from), place(to)]));
        Ok(())
    }

    /// Adds what one line shows: left to right, from edge to edge of any film.
    fn lay_on(&self, films: &[Inked], weight: f64, light: &mut Light) {
        let primaries = self.films.print.primaries();
        let mut next = [0; MAX_PLATES];
        let (mut mask, mut shown) = (0, [0.0; 3]);
        let mut place = 0.0;
        loop {
            let mut nearest = (f64::INFINITY, 0);
            for (i, film) in films.iter().enumerate() {
                match film.edges.get(next[i]) {
                    Some(&edge) if edge < nearest.0 => nearest = (edge, i),
                    _ => {}
                }
            }
            let (edge, film) = nearest;
            if edge > place {
                let Xyz(colour) = primaries[mask];
                light.change(place, [0, 1, 2].map(|c| weight * (colour[c] - shown[c])));
                shown = colour;
                if edge >= light.width() {
                    break;
                }
                place = edge;
            }
            mask ^= films[film].bit;
            next[film] += 1;
        }
    }
}

/// The heights between which a row of the print holds no row's edge and no rim of its growth, its own ends among them.
fn cut(films: &[Inked], from: f64, to: f64, cuts: &mut Vec<f64>) {
    cuts.clear();
    cuts.push(from);
    for film in films {
        let axle = &film.axles[1];
        let rims = [0.0, axle.growth, -axle.growth];
        for rim in &rims[..if axle.growth > 0.0 { 3 } else { 1 }] {
            let (first, last) = (axle.to_film(from) - rim, axle.to_film(to) - rim);
            let mut edge = libm::ceil(first);
            while edge < last {
                cuts.push(axle.to_print(edge + rim));
                edge += 1.0;
            }
        }
    }
    cuts.sort_unstable_by(f64::total_cmp);
    cuts.dedup_by(|next, last| *next - *last < ONE_CUT);
    // The last cut, if it lies that near, gives way to the end.
    while cuts.last().is_some_and(|last| to - last < ONE_CUT) && cuts.len() > 1 {
        cuts.pop();
    }
    cuts.push(to);
}

/// A row of light, as the change from each pixel to the next.
struct Light {
    /// X, Y, Z; the fourth number is there for the processor's lanes.
    changes: Vec<[f64; 4]>,
}

impl Light {
    fn width(&self) -> f64 {
        (self.changes.len() - 1) as f64
    }

    /// From a place inside of the row on to its end, more light.
    fn change(&mut self, place: f64, more: [f64; 3]) {
        let pixel = place as usize;
        let inside = (pixel + 1) as f64 - place;
        for (c, more) in more.into_iter().enumerate() {
            self.changes[pixel][c] += more * inside;
            self.changes[pixel + 1][c] += more * (1.0 - inside);
        }
    }

    fn finish(&mut self, row: ArrayViewMut1<'_, [f32; 3]>) {
        let mut sum = [0.0; 3];
        for (pixel, change) in row.into_iter().zip(&self.changes) {
            for c in 0..3 {
                sum[c] += change[c];
                pixel[c] = sum[c] as f32;
            }
        }
        self.changes.fill([0.0; 4]);
    }
}
