//! The smallest line and the smallest gap of a film, in µm.
//!
//! Definition. Let R be the distance of a place in the ink from the [outline](crate::measure::outline): the radius of the
//! largest disc about it that is all ink. A place is *in a line* if no disc of radius 2 R that is all ink reaches it; the line
//! there is 2 R wide where R is highest across it. The smallest line is the narrowest such place of the film, and the smallest
//! gap the same of what is bare. So:
//!
//! * a line, a dot or the bridge between two round holes is as wide as the largest disc in it;
//! * a point that tapers at less than 60° is a line down to its tip: the disc about a place on the axis of a wedge of half
//!   angle α has R = t sin α at t from the tip, and discs up to t sin α/(1 − sin α) reach it; with α = 30° that is 2 R;
//! * a wider corner is a corner: it makes neither the dot nor the hole any smaller, and so single pixels at a dot's rim are no
//!   lines, nor are corners of dots that just touch;
//! * what the film's border cuts is not judged.
//!
//! It is the local thickness of T. Hildebrand and P. Rüegsegger (J. Microscopy 185 (1997) 67–75) with the question turned
//! round. Rejected: the largest disc in each connected dot, which passes over necks and thin tails; the diameter at which an
//! opening has removed a stated share of the ink, which depends on how much else is on the film and takes the corners of
//! large squares for lines (5 % are lost at half the side); the shortest run of pixels, which takes every rim for a line.
//!
//! How near, of many phases the worst: an upright grating of whole pixels is exact; a slanted one of 2 pixels or more comes out up to 1 pixel narrower; a
//! disc of 6 pixels or more across up to 1.3 narrower, the gap between two discs up to 0.6 wider.

use crate::distance::{Part, pixel_um};
use crate::error::{Result, reserve};
use crate::film::FilmView;
use crate::measure::outline::{Distances, Grid};
use crate::units::{Length, Resolution};

/// A narrow place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Narrowest {
    /// The diameter of the largest disc there.
    pub width: Length,
    /// Its middle in pixels from the film's upper left corner, x and y; pixel (0, 0) has its middle at ½, ½.
    pub at: [f64; 2],
}

/// The smallest line and the smallest gap.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Details {
    /// The smallest line of ink: dots count, necks count, corners do not. None on a film without an outline, or where all that
    /// is narrow is cut by the border.
    pub line: Option<Narrowest>,
    /// The same of what is bare: gaps and holes.
    pub gap: Option<Narrowest>,
}

/// A step towards a higher place that climbs by more than this part of its length leads to the ridge. Straight towards it the
/// part is 1, for the worst of eight directions 0.92; along the axis of a 60° point it is ½.
const CLIMB: f64 = 0.8;

/// Finds the smallest line and the smallest gap.
///
/// Errors: memory that cannot be had (some 20 bytes a pixel). Cost: some 200 ns a pixel.
///
/// ```
/// use dotwright::{Film, Resolution, measure};
///
/// let mut film = Film::new(60, 40)?;
/// for y in 0..40 {
///     for x in (0..60).filter(|x| x % 10 < 4) {
///         film.set(x, y, true);
///     }
/// }
/// let found = measure::details(&film.view(), Resolution::per_inch(2540.0)?)?; // 10 µm a pixel
/// assert!((found.line.unwrap().width.to_um() - 40.0).abs() < 0.1);
/// assert!((found.gap.unwrap().width.to_um() - 60.0).abs() < 0.1);
/// # Ok::<(), dotwright::Error>(())
/// ```
pub fn details(film: &FilmView<'_>, resolution: Resolution) -> Result<Details> {
    let places = Places { film, pitch: pixel_um(resolution), distances: Distances::new(film, resolution)? };
    Ok(Details { line: places.narrowest(Part::Ink)?, gap: places.narrowest(Part::Bare)? })
}

/// Centres and corners of pixels, as twice their coordinates: centres are odd in both, corners even.
struct Places<'a> {
    film: &'a FilmView<'a>,
    pitch: [f64; 2],
    distances: Distances,
}

impl Places<'_> {
    fn narrowest(&self, part: Part) -> Result<Option<Narrowest>> {
        let mut ridge = reserve("the ridges of a film", 0)?;
        let (width, height) = (2 * self.film.width(), 2 * self.film.height());
        for y in 0..=height {
            for x in (y % 2..=width).step_by(2) {
                let Some(radius) = self.radius([x, y], part) else { continue };
                if !self.is_ridge([x, y], radius, part) {
                    continue;
                }
                let crest = self.crest([x, y], radius, part);
                if !self.is_cut([x, y], crest) {
                    ridge.push((crest as f32, x as u32, y as u32));
                }
            }
        }
        ridge.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.2.cmp(&b.2)).then(a.1.cmp(&b.1)));
        for (radius, x, y) in ridge {
            let (place, radius) = ([x as usize, y as usize], f64::from(radius));
            if !self.is_reached(place, radius, part) {
                let at = place.map(|twice| twice as f64 / 2.0);
                return Ok(Some(Narrowest { width: Length::um(2.0 * radius)?, at }));
            }
        }
        Ok(None)
    }

    /// R of a place that lies in the part; a corner does if all four pixels about it do.
    fn radius(&self, [x, y]: [usize; 2], part: Part) -> Option<f64> {
        let ink = part == Part::Ink;
        let is = |x: usize, y: usize| self.film.get(x, y) == ink;
        let of = |grid: &Grid, x: usize, y: usize| Some(f64::from(grid.at[y * grid.width + x]));
        if x % 2 == 1 {
            return if is(x / 2, y / 2) { of(&self.distances.centres, x / 2, y / 2) } else { None };
        }
        let (x, y) = (x / 2, y / 2);
        let inside = (1..self.film.width()).contains(&x) && (1..self.film.height()).contains(&y);
        let all = || is(x - 1, y - 1) && is(x, y - 1) && is(x - 1, y) && is(x, y);
        if inside && all() { of(&self.distances.corners, x, y) } else { None }
    }

    /// Whether a disc of twice the radius that reaches the place may lie past the film's border: what would make it a corner is then not seen.
    fn is_cut(&self, [x, y]: [usize; 2], radius: f64) -> bool {
        let (right, below) = (2 * self.film.width() - x, 2 * self.film.height() - y);
        let border = [x.min(right) as f64 * self.pitch[0], y.min(below) as f64 * self.pitch[1]];
        0.5 * border[0].min(border[1]) < 2.0 * radius + self.pitch[0].max(self.pitch[1])
    }

    /// Whether no step of some two pixels climbs towards a larger disc about the same place.
    fn is_ridge(&self, place: [usize; 2], radius: f64, part: Part) -> bool {
        const STEPS: [[isize; 2]; 12] = [
            [4, 0],
            [4, 2],
            [3, 3],
            [2, 4],
            [0, 4],
            [-2, 4],
            [-3, 3],
            [-4, 2],
            [2, 0],
            [0, 2],
            [1, 1],
            [-1, 1],
        ];
        STEPS.iter().flat_map(|&[dx, dy]| [[dx, dy], [-dx, -dy]]).all(|step| {
            let length = 0.5 * (step[0] as f64 * self.pitch[0]).hypot(step[1] as f64 * self.pitch[1]);
            self.beside(place, step, part).is_none_or(|higher| higher - radius < CLIMB * length)
        })
    }

    /// The highest R that a place leads to by steps that climb by at least half of their length, then next to it: the ridge may run
    /// between two places. Up a line's flank or a disc's, that is the middle; along a taper nothing climbs so steeply.
    fn crest(&self, mut place: [usize; 2], mut radius: f64, part: Part) -> f64 {
        const STEPS: [[isize; 2]; 8] = [[-1, -1], [1, -1], [-1, 1], [1, 1], [-2, 0], [2, 0], [0, -2], [0, 2]];
        while let Some((there, higher)) = STEPS.iter().find_map(|&step| {
            let higher = self.beside(place, step, part)?;
            let length = 0.5 * (step[0] as f64 * self.pitch[0]).hypot(step[1] as f64 * self.pitch[1]);
            let there = [place[0].checked_add_signed(step[0])?, place[1].checked_add_signed(step[1])?];
            (higher - radius >= 0.5 * length).then_some((there, higher))
        }) {
            (place, radius) = (there, higher);
        }
        STEPS.iter().filter_map(|&step| self.beside(place, step, part)).fold(radius, f64::max)
    }

    fn beside(&self, [x, y]: [usize; 2], [dx, dy]: [isize; 2], part: Part) -> Option<f64> {
        let (x, y) = (x.checked_add_signed(dx)?, y.checked_add_signed(dy)?);
        let inside = x <= 2 * self.film.width() && y <= 2 * self.film.height();
        if inside { self.radius([x, y], part) } else { None }
    }

    /// Whether a disc of twice the radius that is all of the part reaches the pixel at the place.
    fn is_reached(&self, [x, y]: [usize; 2], radius: f64, part: Part) -> bool {
        // A pixel is reached when the disc touches it; half its longer side stands for its square.
        let reach = 2.0 * radius + 0.5 * self.pitch[0].max(self.pitch[1]);
        let span = self.pitch.map(|pitch| (2.0 * reach / pitch) as usize);
        let rows = y.saturating_sub(span[1])..=(y + span[1]).min(2 * self.film.height());
        rows.into_iter().any(|v| {
            let first = x.saturating_sub(span[0]);
            let first = first + (first + v) % 2;
            (first..=(x + span[0]).min(2 * self.film.width())).step_by(2).any(|u| {
                let (dx, dy) = (u.abs_diff(x) as f64 * self.pitch[0], v.abs_diff(y) as f64 * self.pitch[1]);
                0.25 * (dx * dx + dy * dy) <= reach * reach
                    && self.radius([u, v], part).is_some_and(|r| r >= 2.0 * radius)
            })
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::film::Film;

    fn film(n: usize, ink: impl Fn(f64, f64) -> bool) -> Film {
        let mut film = Film::new(n, n).unwrap();
        for i in 0..n * n {
            film.set(i % n, i / n, ink((i % n) as f64 + 0.5, (i / n) as f64 + 0.5));
        }
        film
    }

    /// Line and gap in pixels of 1 µm.
    fn found(film: &Film) -> [f64; 2] {
        let found = details(&film.view(), Resolution::per_inch(25_400.0).unwrap()).unwrap();
        [found.line, found.gap].map(|n| n.map_or(f64::NAN, |n| n.width.to_um()))
    }

    #[test]
    fn gratings_are_as_wide_as_drawn() {
        for degrees in [0.0, 90.0, 3.0, 7.5, 22.5, 35.0, 45.0, 61.0_f64] {
            for (line, gap) in [(1.0, 3.0), (2.0, 2.0), (3.0, 5.0), (6.5, 4.5), (12.0, 7.0), (30.0, 3.0)] {
                let (sin, cos) = degrees.to_radians().sin_cos();
                let film = film(150, |x, y| (x * cos + y * sin).rem_euclid(line + gap) < line);
                let [l, g] = found(&film);
                // A line of a pixel is what its pixels make of it.
                if line.min(gap) < 2.0 {
                    continue;
                }
                let most = if degrees % 90.0 == 0.0 && line % 1.0 == 0.0 { 0.01 } else { 1.01 };
                let off = [l - line, g - gap];
                assert!(off.iter().all(|off| off.abs() <= most), "{degrees}°, {line} and {gap}: {off:?} off");
            }
        }
    }

    #[test]
    fn discs_and_the_gaps_between_them_are_as_drawn() {
        for r in [3.0, 5.0, 8.0, 13.0, 20.0] {
            for (dx, dy) in [(0.0, 0.0), (0.5, 0.5), (0.3, 0.1), (0.2, 0.4)] {
                let p = 2.0 * r + 8.0;
                let film = film(150, |x, y| {
                    ((x + dx).rem_euclid(p) - p / 2.0).hypot((y + dy).rem_euclid(p) - p / 2.0) <= r
                });
                let [l, g] = found(&film);
                let [g2, l2] = found(&film.complement());
                assert!(l == l2 && g == g2, "the complement of discs of {r}");
                let off = [l - 2.0 * r, g - 8.0];
                assert!(
                    (-1.3..=0.1).contains(&off[0]) && (-0.1..=0.61).contains(&off[1]),
                    "{r}: {off:?} off"
                );
            }
        }
    }
}
