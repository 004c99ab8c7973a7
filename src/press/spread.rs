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

use crate::error::{Error, Result, filled, reserve};
use crate::film::{FilmView, Rect};
use crate::units::{Length, Resolution};

/// Heights at which a stretch of a row is looked at; there are up to three stretches a row.
pub const NODES: usize = 12;

/// Furthest that an edge moves, in pixels of either axis.
const MAX_PIXELS: f64 = 256.0;

/// Widest piece, so that runs may be counted in 32 bits.
const MAX_WIDTH: usize = 1 << 30;

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
        let gauss = legendre(nodes);
        let mut lines = Vec::new();
        for stretch in heights.windows(2).filter(|s| s[1] > s[0]) {
            for &(node, weight) in &gauss {
                // φ from 0 to π/2; y = sin² φ, dy = sin 2φ dφ.
                let (sin, cos) = libm::sincos(node * std::f64::consts::FRAC_PI_2);
                let height = stretch[0] + (stretch[1] - stretch[0]) * sin * sin;
                lines.push(Line {
                    weight: weight * sin * cos * (stretch[1] - stretch[0]),
                    rows: rows_near(height, x, y),
                });
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
                window.push_back(self.runs(film, piece, y.checked_add_signed(offset), recycled)?);
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
    fn runs(
        &self,
        film: FilmView<'_>,
        piece: Rect,
        y: Option<usize>,
        recycled: Option<Runs>,
    ) -> Result<Runs> {
        let mut runs = recycled.unwrap_or_default();
        runs.clear();
        let [beside, _] = self.reach;
        let mut add = |from: i64, to: i64| -> Result<()> {
            reserve_more(&mut runs, 1)?;
            let place = |x: i64| (x - piece.x as i64) as i32;
            // A run may go on from bare ground beside the film into the film.
            match runs.last_mut() {
                Some(last) if last.1 == place(from) => last.1 = place(to),
                _ => runs.push((place(from), place(to))),
            }
            Ok(())
        };
        let left = piece.x as i64 - beside as i64;
        let right = (piece.x + piece.width + beside) as i64;
        let Some(y) = y.filter(|&y| y < film.height()) else {
            if self.bare {
                add(left, right)?;
            }
            return Ok(runs);
        };
        let (from, to) = (left.max(0) as usize, (right as usize).min(film.width()));
        if self.bare && left < 0 {
            add(left, 0)?;
        }
        let bits = film.row(y);
        let mut x = next(bits, from, to, !self.bare);
        while x < to {
            let end = next(bits, x, to, self.bare);
            add(x as i64, end as i64)?;
            x = next(bits, end, to, !self.bare);
        }
        if self.bare && right > to as i64 {
            add(to as i64, right)?;
        }
        Ok(runs)
    }
}

/// First and past-the-last pixel of each run, left to right.
type Runs = Vec<(i32, i32)>;

fn whole(film: &FilmView<'_>) -> Rect {
    Rect { x: 0, y: 0, width: film.width(), height: film.height() }
}

fn reserve_more<T>(items: &mut Vec<T>, more: usize) -> Result<()> {
    let bytes = (more * size_of::<T>()) as u64;
    items.try_reserve(more).map_err(|_| Error::Memory { what: "runs of a film", bytes })
}

/// Rows within reach of a line at `height` (0…1, down from its row's upper edge), for a growth of x by y pixels.
fn rows_near(height: f64, x: f64, y: f64) -> Vec<(isize, f64)> {
    let mut rows = vec![(0, x)];
    for (edge, sign) in [(height, -1), (1.0 - height, 1)] {
        for steps in 1.. {
            let away = (edge + f64::from(steps - 1)) / y;
            // Also where y is 0 and this is no number.
            if !(away < 1.0) {
                break;
            }
            rows.push((sign * steps as isize, x * (1.0 - away * away).sqrt()));
        }
    }
    rows
}

/// The first pixel in `from..to` that is ink (or bare), or `to`.
fn next(bits: &[u8], from: usize, to: usize, ink: bool) -> usize {
    if from >= to {
        return to;
    }
    let flip = if ink { 0 } else { 0xff };
    let mut found = (bits[from / 8] ^ flip) & (0xff >> (from % 8));
    let mut byte = from / 8;
    while found == 0 {
        byte += 1;
        if 8 * byte >= to {
            return to;
        }
        found = bits[byte] ^ flip;
    }
    (8 * byte + found.leading_zeros() as usize).min(to)
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
mod tests {
    use super::*;
    use crate::Film;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    fn um(micrometres: f64) -> Length {
        Length::um(micrometres).unwrap()
    }

    /// A film from bits of a seed, ink in about a third of it.
    fn film(width: usize, height: usize, seed: u64) -> Film {
        let mut film = Film::new(width, height).unwrap();
        let mut state = seed;
        for i in 0..width * height {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            film.set(i % width, i / width, state >> 33 < (1 << 31) / 3);
        }
        film
    }

    /// Whether a point is printed: by the distance to every pixel's square.
    fn printed(film: &Film, point: [f64; 2], growth: [f64; 2], bare: bool) -> bool {
        let (far_x, far_y) = (growth[0].ceil() as i64 + 1, growth[1].ceil() as i64 + 1);
        let (px, py) = (point[0].floor() as i64, point[1].floor() as i64);
        let spreads = |x: i64, y: i64| {
            let inside = x >= 0 && y >= 0 && x < film.width() as i64 && y < film.height() as i64;
            (inside && film.get(x as usize, y as usize)) != bare
        };
        let near = |x: i64, y: i64| {
            let away = |p: f64, x: i64, by: f64| (x as f64 - p).max(p - (x + 1) as f64).max(0.0) / by;
            away(point[0], x, growth[0]).hypot(away(point[1], y, growth[1])) <= 1.0
        };
        let reached =
            (py - far_y..=py + far_y).any(|y| (px - far_x..=px + far_x).any(|x| spreads(x, y) && near(x, y)));
        reached != bare
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]
        #[test]
        fn pixels_hold_what_points_looked_at_one_by_one_say(
            seed: u64, growth in -45.0..45.0f64, wide in prop::bool::ANY,
        ) {
            let film = film(11, 9, seed);
            let resolution = Resolution::per_inch_xy(if wide { 720.0 } else { 1440.0 }, 1440.0).unwrap();
            let grown = grown(film.view(), resolution, um(growth)).unwrap();
            let (x, y) = um(growth.abs()).in_pixels(resolution);
            let times = 24;
            for ((row, column), value) in grown.indexed_iter() {
                let at = |i: usize, n: usize| i as f64 + (n as f64 + 0.5) / times as f64;
                let count = (0..times * times)
                    .filter(|n| printed(&film, [at(column, n % times), at(row, n / times)], [x, y], growth < 0.0))
                    .count();
                let share = count as f64 / (times * times) as f64;
                prop_assert!((f64::from(*value) - share).abs() < 0.06, "{} {}: {} {}", column, row, value, share);
            }
        }

        #[test]
        fn pieces_are_those_of_the_whole(
            seed: u64, growth in -60.0..60.0f64, x in 0usize..20, y in 0usize..15, w in 1usize..20, h in 1usize..15,
        ) {
            let film = film(40, 30, seed);
            let spread = Spread::new(Resolution::per_inch(1200.0).unwrap(), um(growth)).unwrap();
            let whole = spread.grown(film.view()).unwrap();
            let piece = Rect { x, y, width: w, height: h };
            let part = spread.grown_of(film.view(), piece).unwrap();
            for ((row, column), value) in part.indexed_iter() {
                prop_assert!((value - whole[[y + row, x + column]]).abs() < 1e-6);
            }
            let mean = part.iter().map(|v| f64::from(*v)).sum::<f64>() / (w * h) as f64;
            prop_assert!((spread.coverage_of(film.view(), piece).unwrap() - mean).abs() < 1e-6);
        }

        #[test]
        fn ink_that_shrinks_is_bare_ground_that_spreads(seed: u64, growth in 0.0..40.0f64) {
            let film = film(60, 50, seed);
            let resolution = Resolution::per_inch(1200.0).unwrap();
            let inner = Rect { x: 4, y: 4, width: 52, height: 42 };
            let out = Spread::new(resolution, um(growth)).unwrap().grown_of(film.view(), inner).unwrap();
            let complement = film.complement();
            let back = Spread::new(resolution, um(-growth)).unwrap().grown_of(complement.view(), inner).unwrap();
            for (a, b) in out.iter().zip(&back) {
                prop_assert!((a + b - 1.0).abs() < 1e-6);
            }
        }
    }

    #[test]
    fn twice_the_heights_change_a_pixel_by_little_and_a_film_by_less() {
        let film = film(120, 90, 7);
        let resolution = Resolution::per_inch(1210.0).unwrap();
        let (mut pixel, mut total) = (0.0_f32, 0.0_f64);
        for growth in [3.0, 12.7, 25.4, 50.8, -12.7] {
            let of = |nodes: usize| Spread::looked_at(resolution, um(growth), nodes).unwrap();
            let (usual, fine) = (of(NODES), of(8 * NODES));
            let [a, b] = [&usual, &fine].map(|s| s.grown(film.view()).unwrap());
            pixel = a.iter().zip(&b).map(|(a, b)| (a - b).abs()).fold(pixel, f32::max);
            let [a, b] = [&usual, &fine].map(|s| s.coverage(film.view()).unwrap());
            total = total.max((a - b).abs());
        }
        assert!(pixel < 1e-3 && total < 5e-6, "{pixel} {total}");
    }

    #[test]
    fn simple_films_print_what_a_pencil_says() {
        // One pixel of 10 µm that grows by 10 µm: itself, four rectangles and a disc. Nothing grows by nothing.
        let mut one = Film::new(9, 9).unwrap();
        one.set(4, 4, true);
        let resolution = Resolution::per_inch(2540.0).unwrap();
        let area =
            |growth: f64| 81.0 * Spread::new(resolution, um(growth)).unwrap().coverage(one.view()).unwrap();
        assert_abs_diff_eq!(area(0.0), 1.0, epsilon = 1e-12);
        assert_abs_diff_eq!(area(10.0), 5.0 + std::f64::consts::PI, epsilon = 1e-6);
        assert_abs_diff_eq!(area(-2.0), 0.36, epsilon = 1e-9);
        assert_abs_diff_eq!(area(-5.0), 0.0, epsilon = 1e-12);
        // Along x and along y pixels may differ in size.
        let tall = Resolution::per_inch_xy(2540.0, 1270.0).unwrap();
        let grown = Spread::new(tall, um(10.0)).unwrap().coverage(one.view()).unwrap();
        assert_abs_diff_eq!(81.0 * 200.0 * grown, 200.0 + 600.0 + 314.159_265, epsilon = 1e-3);
        let bare = Film::new(0, 0).unwrap();
        assert_eq!(Spread::new(tall, um(10.0)).unwrap().coverage(bare.view()).unwrap(), 0.0);
    }

    #[test]
    fn growths_and_pieces_out_of_range_are_refused() {
        let resolution = Resolution::per_inch(2540.0).unwrap();
        assert!(
            Spread::new(resolution, um(2561.0)).is_err() && Spread::new(resolution, um(-2561.0)).is_err()
        );
        let spread = Spread::new(resolution, um(20.0)).unwrap();
        assert_eq!(spread.reach(), [2, 2]);
        let film = Film::new(8, 8).unwrap();
        assert!(spread.coverage_of(film.view(), Rect { x: 4, y: 0, width: 5, height: 8 }).is_err());
    }
}
