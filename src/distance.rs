//! Distance in real length from every pixel of a film to the nearest ink, or to the nearest bare film.
//!
//! Definition: for the centre of each pixel, the shortest straight way to a pixel of the part asked for: to that pixel's
//! centre, or to the nearest point of its square ([`Reach`]). Pixels may be longer one way than the other; ways are in µm. A
//! pixel of the part itself has the distance 0. What lies outside of the film is unknown and counts as neither part.
//!
//! Source: P. Felzenszwalb and D. Huttenlocher, "Distance transforms of sampled functions", Theory of Computing 8 (2012): the
//! square of the distance is a minimum over rows of a minimum over columns, and the outer one is the lower envelope of
//! parabolas, found in one sweep. To the *edge* of a pixel a column's way is |dy| − ½ pixels, at least 0, and across columns the
//! parabolas stand at the columns' edges, half a pixel either side, save for the pixel's own column, which costs nothing.
//! Exact: where pixels are square every comparison is one of whole numbers, and the distance is worked out from the whole
//! offsets of the pixel that was found.
//!
//! Rejected: chamfer distances (sums of few step lengths, up to 8 % off); and distances to pixel *centres* for the growth of
//! edges, which at 22 pixels to a cell are some points of tone off.

use ndarray::Array2;

use crate::error::{Result, filled, reserve};
use crate::film::FilmView;
use crate::units::Resolution;

/// One of the two parts of a film.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Part {
    /// What is opaque on a film positive: bit 1.
    Ink,
    /// What is clear: bit 0.
    Bare,
}

impl Part {
    /// The other part.
    #[must_use]
    pub fn other(self) -> Self {
        match self {
            Self::Ink => Self::Bare,
            Self::Bare => Self::Ink,
        }
    }
}

/// To which point of the nearest pixel a distance is measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Reach {
    /// Its centre.
    Centre,
    /// The nearest point of its square.
    Edge,
}

/// The distance in µm from the centre of every pixel to the nearest pixel of `part`, indexed `[row, column]`; infinite where
/// the film has none.
///
/// Errors: memory that cannot be had (8 bytes a pixel). Cost: some 20 ns a pixel; see [`each_row`] for films of any length.
///
/// ```
/// use dotwright::distance::{Part, Reach, to_nearest};
/// use dotwright::{Film, Resolution};
///
/// let mut film = Film::new(5, 1)?;
/// film.set(0, 0, true);
/// let resolution = Resolution::per_inch(2540.0)?; // 10 µm a pixel
/// let to_ink = to_nearest(&film.view(), resolution, Part::Ink, Reach::Edge)?;
/// let expected = [0.0, 5.0, 15.0, 25.0, 35.0];
/// assert!(to_ink.iter().zip(expected).all(|(d, e)| (d - e).abs() < 1e-9));
/// # Ok::<(), dotwright::Error>(())
/// ```
pub fn to_nearest(
    film: &FilmView<'_>,
    resolution: Resolution,
    part: Part,
    reach: Reach,
) -> Result<Array2<f64>> {
    let pixels = film.width().saturating_mul(film.height());
    let mut map = filled("a map of distances", pixels, 0.0)?;
    each_row(film, resolution, part, reach, |y, row| {
        map[y * film.width()..][..row.len()].copy_from_slice(row);
        Ok(())
    })?;
    Ok(Array2::from_shape_vec((film.height(), film.width()), map).expect("rows times width distances"))
}

/// The same, row by row from the top: `row` is called with each row's number and distances. Takes memory for a few rows only.
///
/// Errors: memory that cannot be had, and those of `row`.
pub fn each_row(
    film: &FilmView<'_>,
    resolution: Resolution,
    part: Part,
    reach: Reach,
    mut row: impl FnMut(usize, &[f64]) -> Result<()>,
) -> Result<()> {
    let width = film.width();
    let [pitch_x, pitch_y] = pixel_um(resolution);
    // Rows are as long as `ratio` columns are wide.
    let ratio = pitch_y / pitch_x;
    let mut columns = Columns::new(film, part)?;
    let mut envelope = Envelope::new(width + 1)?;
    let mut down = filled("a row of distances", width, 0.0)?;
    let mut distances = filled("a row of distances", width, 0.0)?;
    for y in 0..film.height() {
        columns.descend(film, y);
        for (x, down) in down.iter_mut().enumerate() {
            *down = reach.shorten(columns.rows_away(x, y)) * ratio;
        }
        envelope.clear();
        let mut push = |apex: f64, x: usize| envelope.push(apex, down[x] * down[x], x as u32);
        match reach {
            Reach::Centre => (0..width).for_each(|x| push(x as f64, x)),
            // The edge between two columns belongs to the nearer one.
            Reach::Edge => {
                for edge in 0..=width {
                    let around = edge.saturating_sub(1)..(edge + 1).min(width);
                    if let Some(x) = around.min_by(|&a, &b| down[a].total_cmp(&down[b])) {
                        push(edge as f64 - 0.5, x);
                    }
                }
            }
        }
        let mut sweep = envelope.sweep();
        for (x, distance) in distances.iter_mut().enumerate() {
            let across = sweep.at(x as f64).map_or(f64::INFINITY, |parabola| {
                let column = parabola.label as usize;
                let (dx, dy) = (reach.shorten(column.abs_diff(x) as f64), down[column]);
                // The root of a whole number where pixels are square, so that equal ways are equal.
                (dx * dx + dy * dy).sqrt()
            });
            *distance = across.min(down[x]) * pitch_x;
        }
        row(y, &distances)?;
    }
    Ok(())
}

/// Sides of a pixel in µm.
pub(crate) fn pixel_um(resolution: Resolution) -> [f64; 2] {
    [25_400.0 / resolution.x(), 25_400.0 / resolution.y()]
}

impl Reach {
    /// A way of whole pixels, in pixels.
    fn shorten(self, pixels: f64) -> f64 {
        match self {
            Self::Centre => pixels,
            Self::Edge => (pixels - 0.5).max(0.0),
        }
    }
}

/// For each column the nearest rows with the part, above and below the current one.
struct Columns {
    part: bool,
    above: Vec<usize>,
    below: Vec<usize>,
}

/// No such row.
const NONE: usize = usize::MAX;

impl Columns {
    fn new(film: &FilmView<'_>, part: Part) -> Result<Self> {
        let part = part == Part::Ink;
        let column = |x| (0..film.height()).find(|&y| film.get(x, y) == part).unwrap_or(NONE);
        let mut below = filled("columns of a film", film.width(), NONE)?;
        for (x, below) in below.iter_mut().enumerate() {
            *below = column(x);
        }
        Ok(Self { part, above: filled("columns of a film", film.width(), NONE)?, below })
    }

    /// Goes on to row `y`. Each column is looked through once in all.
    fn descend(&mut self, film: &FilmView<'_>, y: usize) {
        for (x, (above, below)) in self.above.iter_mut().zip(&mut self.below).enumerate() {
            if *below != NONE && *below < y {
                *above = *below;
                *below = (y..film.height()).find(|&y| film.get(x, y) == self.part).unwrap_or(NONE);
            }
            // A row of the part is nearest to itself; the one above it no longer counts.
        }
    }

    /// Rows from `y` to the nearest with the part.
    fn rows_away(&self, x: usize, y: usize) -> f64 {
        let away = |row: usize| if row == NONE { f64::INFINITY } else { row.abs_diff(y) as f64 };
        away(self.above[x]).min(away(self.below[x]))
    }
}

/// The lower envelope of parabolas h + (x − a)², pushed from left to right.
pub(crate) struct Envelope {
    parabolas: Vec<Parabola>,
}

#[derive(Clone, Copy)]
pub(crate) struct Parabola {
    pub(crate) apex: f64,
    pub(crate) height: f64,
    pub(crate) label: u32,
    /// From where on it is the lowest.
    from: f64,
}

impl Envelope {
    /// An envelope with room for so many parabolas.
    pub(crate) fn new(room: usize) -> Result<Self> {
        Ok(Self { parabolas: reserve("an envelope of parabolas", room)? })
    }

    pub(crate) fn clear(&mut self) {
        self.parabolas.clear();
    }

    /// Adds a parabola to the right of all others; one of infinite height is none.
    pub(crate) fn push(&mut self, apex: f64, height: f64, label: u32) {
        if height.is_infinite() {
            return;
        }
        let mut from = f64::NEG_INFINITY;
        while let Some(last) = self.parabolas.last() {
            from = 0.5 * (apex + last.apex) + (height - last.height) / (2.0 * (apex - last.apex));
            if from > last.from {
                break;
            }
            self.parabolas.pop();
        }
        if self.parabolas.is_empty() {
            from = f64::NEG_INFINITY;
        }
        self.parabolas.push(Parabola { apex, height, label, from });
    }

    /// Reads the envelope from left to right.
    pub(crate) fn sweep(&self) -> Sweep<'_> {
        Sweep { parabolas: &self.parabolas }
    }
}

pub(crate) struct Sweep<'a> {
    parabolas: &'a [Parabola],
}

impl Sweep<'_> {
    /// The lowest parabola at x, which must not fall from call to call.
    pub(crate) fn at(&mut self, x: f64) -> Option<Parabola> {
        while let [_, next, ..] = self.parabolas
            && next.from <= x
        {
            self.parabolas = &self.parabolas[1..];
        }
        self.parabolas.first().copied()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::film::Film;
    use proptest::prelude::*;

    /// Every pixel against every other.
    fn brute(film: &Film, resolution: Resolution, part: Part, reach: Reach, x: usize, y: usize) -> f64 {
        let [px, py] = pixel_um(resolution);
        let mut least = f64::INFINITY;
        for v in 0..film.height() {
            for u in 0..film.width() {
                if film.get(u, v) == (part == Part::Ink) {
                    let (dx, dy) = (u.abs_diff(x) as f64, v.abs_diff(y) as f64);
                    let (dx, dy) = match reach {
                        Reach::Centre => (dx, dy),
                        Reach::Edge => ((dx - 0.5).max(0.0), (dy - 0.5).max(0.0)),
                    };
                    let dy = dy * (py / px);
                    least = least.min((dx * dx + dy * dy).sqrt() * px);
                }
            }
        }
        least
    }

    fn film(width: usize, height: usize, seed: u64, rarity: u32) -> Film {
        let mut film = Film::new(width, height).unwrap();
        let mut state = seed | 1;
        for i in 0..width * height {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            film.set(i % width, i / width, ((state >> 33) as u32).is_multiple_of(rarity));
        }
        film
    }

    proptest! {
        #[test]
        fn the_nearest_is_found(
            w in 1usize..40, h in 1usize..30, seed: u64, rarity in 1u32..200,
            x in 300.0f64..3000.0, y in 300.0f64..3000.0, square: bool,
        ) {
            let film = film(w, h, seed, rarity);
            let resolution = Resolution::per_inch_xy(x, if square { x } else { y }).unwrap();
            for part in [Part::Ink, Part::Bare] {
                for reach in [Reach::Centre, Reach::Edge] {
                    let map = to_nearest(&film.view(), resolution, part, reach).unwrap();
                    for ((y, x), &seen) in map.indexed_iter() {
                        let least = brute(&film, resolution, part, reach, x, y);
                        // Square pixels leave nothing to rounding.
                        let same = if square { seen == least } else { (seen - least).abs() <= 1e-12 * least };
                        prop_assert!(same || seen == least, "{} {}: {} for {}", x, y, seen, least);
                    }
                }
            }
        }
    }

    #[test]
    fn an_empty_film_is_no_distance_from_ink() {
        let film = Film::new(9, 3).unwrap();
        let resolution = Resolution::per_inch(600.0).unwrap();
        for reach in [Reach::Centre, Reach::Edge] {
            let far = to_nearest(&film.view(), resolution, Part::Ink, reach).unwrap();
            assert!(far.iter().all(|d| d.is_infinite()));
            let near = to_nearest(&film.view(), resolution, Part::Bare, reach).unwrap();
            assert!(near.iter().all(|&d| d == 0.0));
        }
        let none = Film::new(0, 0).unwrap();
        assert!(to_nearest(&none.view(), resolution, Part::Ink, Reach::Edge).unwrap().is_empty());
    }
}
