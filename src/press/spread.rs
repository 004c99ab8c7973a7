//! Spread: what a film prints when every edge of its ink moves by one length.
//!
//! Ink that spreads by d covers every point within d of an ink pixel; ink that shrinks by d leaves bare every point within d of a
//! bare one. Pixels are squares and points are points: a distance is that to the nearest *edge*. This is the first-order picture of
//! ink pressed out of a stencil, of light under its edges, and of both together (*common practice* in garment printing).
//!
//! Along a line at height y the covered points are those of the runs of every row nearby, each longer at both ends by
//! w = √(d² − v²), v being how far the row lies from the line: exact, whatever part of a pixel that is. Down a row of pixels the
//! lengths are integrated between the heights at which a row comes within reach, by Gauss–Legendre in φ with y = sin² φ, which takes
//! the square root out of both ends. What is left is kinks where two circles meet: with [`NODES`] heights a stretch 0.06 point of a pixel at
//! worst and 0.0002 point of a film of random pixels, against eight times as many; 0.0014 point of every film that shapely has computed.
//!
//! A slanting edge of square pixels is a stair, and grows from its outer corners: that is what the film holds, and it adds some tenths of a
//! pixel to the growth of an ideal edge (half a point at 220 px a cell, up to three at 22). [`gain`](super::gain) has the ideal dot.
//!
//! Rejected: distances between pixel centres, 5.5 points too little at 22 px a cell, and with half a pixel added up to 5 too much; the film
//! supersampled eight times, sixty-four times the memory for a tenth of a point.

use std::collections::VecDeque;

use ndarray::Array2;

use super::runs::{Runs, add_runs, reserve_more};
use crate::error::{Error, Result, filled, reserve};
use crate::film::{FilmView, Rect};
use crate::units::{Length, Resolution};

/// Heights at which a stretch of a row is looked at; there are up to three stretches a row.
pub const NODES: usize = 12;

/// Furthest that an edge moves, in pixels of either axis.
pub(crate) const MAX_PIXELS: f64 = 256.0;

/// Widest piece, so that runs may be counted in 32 bits.
pub(crate) const MAX_WIDTH: usize = 1 << 30;

/// Edge growth on films of one resolution.
#[derive(Debug, Clone)]
pub struct Spread {
    /// Whether bare ground spreads in place of ink.
    bare: bool,
    /// Pixels along x and along y beyond which nothing acts on a pixel.
    reach: [usize; 2],
    lines: Vec<Line>,
}

/// One height in a row of pixels.
#[derive(Debug, Clone)]
struct Line {
    /// Part of the row that it stands for; all of them add up to 1.
    weight: f64,
    /// Rows within reach: how many rows below this one, and by how many pixels their runs grow at either end.
    rows: Vec<(isize, f64)>,
}

/// What every pixel of the film prints, 0…1, rows × columns: see [`Spread::grown`].
pub fn grown(film: FilmView<'_>, resolution: Resolution, growth: Length) -> Result<Array2<f32>> {
    Spread::new(resolution, growth)?.grown(film)
}

impl Spread {
    /// Edges that move outwards by `growth` (inwards, if it is negative) on a film of `resolution`.
    ///
    /// Errors: more than 256 pixels along either axis.
    pub fn new(resolution: Resolution, growth: Length) -> Result<Self> {
        Self::looked_at(resolution, growth, NODES)
    }

    fn looked_at(resolution: Resolution, growth: Length, nodes: usize) -> Result<Self> {
        let (x, y) = growth.in_pixels(resolution);
        let (x, y) = (x.abs(), y.abs());
        if x.max(y) > MAX_PIXELS {
            let allowed = format!("{MAX_PIXELS} pixels at most, either way");
            return Err(Error::value("edge growth", growth, allowed));
        }
        let part = y - libm::floor(y);
        let mut heights = [0.0, part.min(1.0 - part), part.max(1.0 - part), 1.0];
        if y == 0.0 {
            heights = [0.0, 0.0, 0.0, 1.0];
        }
        let places = places(nodes);
        let mut lines = Vec::new();
        for stretch in heights.windows(2).filter(|s| s[1] > s[0]) {
            for &(place, weight) in &places {
                let height = stretch[0] + (stretch[1] - stretch[0]) * place;
                lines
                    .push(Line { weight: weight * (stretch[1] - stretch[0]), rows: rows_near(height, x, y) });
            }
        }
        let sum: f64 = lines.iter().map(|l| l.weight).sum();
        lines.iter_mut().for_each(|l| l.weight /= sum);
        Ok(Self { bare: growth.to_um() < 0.0, reach: [x, y].map(|r| libm::ceil(r) as usize), lines })
    }

    /// Pixels along x and along y beyond which nothing acts on a pixel: what a piece of a film must be cut larger by.
    pub fn reach(&self) -> [usize; 2] {
        self.reach
    }

    /// What every pixel of the film prints, 0…1, rows × columns. Around the film lies bare ground.
    ///
    /// Errors: memory that cannot be had. Cost: a sixteenth of a microsecond a pixel at 22 px a cell and 1.2 px of growth; in proportion
    /// to the runs of ink within reach.
    pub fn grown(&self, film: FilmView<'_>) -> Result<Array2<f32>> {
        self.grown_of(film, whole(&film))
    }

    /// What the pixels of a piece of the film print; the film around the piece acts on it. In bands: one piece after the other.
    ///
    /// Errors: a piece that is not inside the film; memory.
    pub fn grown_of(&self, film: FilmView<'_>, piece: Rect) -> Result<Array2<f32>> {
        let pixels = piece.width.saturating_mul(piece.height);
        let mut values = reserve("a grown film", pixels)?;
        self.each_row(film, piece, |row| values.extend(row.iter().map(|&v| v as f32)))?;
        Ok(Array2::from_shape_vec((piece.height, piece.width), values).expect("as many as the piece has"))
    }

    /// Printed coverage of the whole film, 0…1; 0 for an empty one.
    pub fn coverage(&self, film: FilmView<'_>) -> Result<f64> {
        self.coverage_of(film, whole(&film))
    }

    /// Printed coverage of a piece of the film, 0…1; the film around it acts on it. Errors: as [`grown_of`](Self::grown_of).
    pub fn coverage_of(&self, film: FilmView<'_>, piece: Rect) -> Result<f64> {
        let mut sum = 0.0;
        self.each_row(film, piece, |row| sum += row.iter().sum::<f64>())?;
        let pixels = piece.width as f64 * piece.height as f64;
        Ok(if pixels > 0.0 { sum / pixels } else { 0.0 })
    }

    /// Calls `take` with each row of the piece, top to bottom.
    fn each_row(&self, film: FilmView<'_>, piece: Rect, mut take: impl FnMut(&[f64])) -> Result<()> {
        film.check_inside(piece)?;
        if piece.width == 0 {
            return Ok(());
        }
        if piece.width > MAX_WIDTH {
            return Err(Error::value(
                "width of a grown piece",
                piece.width,
                format!("{MAX_WIDTH} pixels at most"),
            ));
        }
        let [_, near] = self.reach;
        let mut window: VecDeque<Runs> = VecDeque::new();
        let mut row = Row::new(piece.width)?;
        let mut spans = Vec::new();
        for y in piece.y..piece.y + piece.height {
            // Runs of rows y − near … y + near; the first row fetches them all.
            let fresh = if window.is_empty() {
                -(near as isize)..=near as isize
            } else {
                near as isize..=near as isize
            };
            for offset in fresh {
                let recycled = if window.len() > 2 * near { window.pop_front() } else { None };
                window.push_back(self.runs(film, piece, y as i64 + offset as i64, recycled)?);
            }
            for line in &self.lines {
                spans.clear();
                for &(offset, longer) in &line.rows {
                    let runs = &window[(near as isize + offset) as usize];
                    reserve_more(&mut spans, runs.len())?;
                    spans.extend(runs.iter().map(|&(a, b)| (f64::from(a) - longer, f64::from(b) + longer)));
                }
                row.add_union(&mut spans, line.weight);
            }
            take(row.finish(self.bare));
        }
        Ok(())
    }

    /// Runs of the colour that spreads, in one row of the film and counted from the piece's left edge, as far as they can reach it.
    fn runs(&self, film: FilmView<'_>, piece: Rect, y: i64, recycled: Option<Runs>) -> Result<Runs> {
        let mut runs = recycled.unwrap_or_default();
        runs.clear();
        let [beside, _] = self.reach;
        let columns = piece.x as i64 - beside as i64..(piece.x + piece.width + beside) as i64;
        add_runs(film, y, columns, piece.x as i64, self.bare, &mut runs)?;
        Ok(runs)
    }
}

fn whole(film: &FilmView<'_>) -> Rect {
    Rect { x: 0, y: 0, width: film.width(), height: film.height() }
}

/// Rows within reach of a line at `height` (0…1, down from its row's upper edge), for a growth of x by y pixels.
pub(super) fn rows_near(height: f64, x: f64, y: f64) -> Vec<(isize, f64)> {
    let mut rows = vec![(0, x)];
    for (edge, sign) in [(height, -1), (1.0 - height, 1)] {
        for steps in 1.. {
            let away = (edge + f64::from(steps - 1)) / y;
            // No number at the edge itself where nothing grows along y.
            if away >= 1.0 || away.is_nan() {
                break;
            }
            rows.push((sign * steps as isize, x * (1.0 - away * away).sqrt()));
        }
    }
    rows
}

/// One row being summed up.
struct Row {
    /// Covered part of each pixel that a span begins or ends in.
    parts: Vec<f64>,
    /// Change, at each pixel, of the part that whole pixels are covered.
    steps: Vec<f64>,
    sums: Vec<f64>,
}

impl Row {
    fn new(width: usize) -> Result<Self> {
        let zeros = |more| filled("a row of a grown film", width + more, 0.0);
        Ok(Self { parts: zeros(1)?, steps: zeros(2)?, sums: zeros(0)? })
    }

    /// Adds the union of the spans.
    fn add_union(&mut self, spans: &mut [(f64, f64)], weight: f64) {
        spans.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
        let mut spans = spans.iter();
        let Some(&(mut from, mut to)) = spans.next() else { return };
        for &(a, b) in spans {
            if a > to {
                self.add(from, to, weight);
                (from, to) = (a, b);
            } else {
                to = to.max(b);
            }
        }
        self.add(from, to, weight);
    }

    fn add(&mut self, from: f64, to: f64, weight: f64) {
        let width = self.sums.len() as f64;
        let (from, to) = (from.max(0.0), to.min(width));
        if from >= to {
            return;
        }
        let (first, last) = (from as usize, to as usize);
        // The first pixel from `from` on and the last up to `to`; between them whole ones.
        self.parts[first] -= weight * (from - first as f64);
        self.parts[last] += weight * (to - last as f64);
        self.steps[first] += weight;
        self.steps[last] -= weight;
    }

    fn finish(&mut self, bare: bool) -> &[f64] {
        let mut whole = 0.0;
        for (x, sum) in self.sums.iter_mut().enumerate() {
            whole += self.steps[x];
            let covered = (whole + self.parts[x]).clamp(0.0, 1.0);
            *sum = if bare { 1.0 - covered } else { covered };
        }
        self.parts.fill(0.0);
        self.steps.fill(0.0);
        &self.sums
    }
}

/// Places in 0…1 at which a stretch is looked at, and their weights, which add up to 1: Gauss–Legendre in φ, y = sin² φ.
pub(crate) fn places(nodes: usize) -> Vec<(f64, f64)> {
    let of = |(node, weight): (f64, f64)| {
        // φ from 0 to π/2, dy = sin 2φ dφ.
        let (sin, cos) = libm::sincos(node * std::f64::consts::FRAC_PI_2);
        (sin * sin, weight * sin * cos)
    };
    let mut places: Vec<(f64, f64)> = legendre(nodes).into_iter().map(of).collect();
    let sum: f64 = places.iter().map(|(_, weight)| weight).sum();
    places.iter_mut().for_each(|(_, weight)| *weight /= sum);
    places
}

/// Nodes in 0…1 and weights of Gauss–Legendre quadrature, by Newton's method on the polynomial (Abramowitz and Stegun 25.4.30).
fn legendre(n: usize) -> Vec<(f64, f64)> {
    let node = |i: usize| {
        let mut z = libm::cos(std::f64::consts::PI * (i as f64 + 0.75) / (n as f64 + 0.5));
        let mut slope = 1.0;
        // Quadratic from a start that is right to three places: four steps are two too many.
        for _ in 0..6 {
            let (mut before, mut value) = (0.0, 1.0);
            for k in 0..n {
                let k = k as f64;
                (before, value) = (value, ((2.0 * k + 1.0) * z * value - k * before) / (k + 1.0));
            }
            slope = n as f64 * (z * value - before) / (z * z - 1.0);
            z -= value / slope;
        }
        (0.5 * (1.0 - z), 1.0 / ((1.0 - z * z) * slope * slope))
    };
    (0..n).map(node).collect()
}

#[cfg(test)]
mod tests;
