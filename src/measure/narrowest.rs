//! The smallest line and the smallest gap of a film, in µm.
//!
//! Definition. Let R be the distance of a place in the ink from the [outline](crate::measure::outline): the radius of the
//! largest disc about it that is all ink. A *line* is a place from which R nowhere climbs steeply, and which no disc reaches
//! that is 1.75 times as large and all ink; its width is 2 R. The smallest line is the narrowest of the film, and the smallest
//! gap is the same of what is bare. So:
//!
//! * a line, a dot, the bridge between two round holes are as wide as the largest disc in them;
//! * a point that tapers at less than some 50° is a line down to its tip: on the axis of a wedge of half angle α, R = t sin α
//!   at t from the tip, and discs of up to t sin α/(1 − sin α) reach there;
//! * a wider corner is a corner: it makes neither the dot nor the hole smaller. Nor do the single pixels of a rim, nor the
//!   one or two by which corners of dots have just met;
//! * what the film's border may cut is not judged.
//!
//! It is the local thickness of T. Hildebrand and P. Rüegsegger (J. Microscopy 185 (1997) 67–75), asked for its narrow
//! places. Rejected: the largest disc in each connected dot, which passes over necks and thin tails; the diameter at which an
//! opening has removed a stated share of the ink, which depends on what else is on the film and takes corners of large squares
//! for lines (5 % are lost at half the side); the shortest run of pixels, which takes every rim for a line.
//!
//! How near: an upright grating is exact, gratings at any angle are within 0.8 pixel, discs of 4 pixels and more are at most 1
//! pixel too small.

use crate::distance::{Part, pixel_um};
use crate::error::{Result, reserve};
use crate::film::FilmView;
use crate::measure::outline::Distances;
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

/// Places are looked at only where no step climbs by more than this part of its length. Off the ridge the best of the steps
/// climbs by 0.92 and more.
const CLIMB: f64 = 0.8;

/// What is steep, as a part of a step's length: between the axis of a point that is a line (sin 25° = 0.43) and that of an
/// upright corner (0.71).
const STEEP: f64 = 0.5;

/// How much larger a disc makes a place part of something wider. Two would make lines of 60° corners, which bridges between
/// touching squares have after rounding.
const LARGER: f64 = 1.75;

/// How near such a disc must come, in pixels: to the pixel at the place.
const TOUCH: f64 = 0.5;

/// The same for what is less than two pixels wide: necks and spurs of a pixel or two are the unevenness of a rim.
const TOUCH_OF_ONE: f64 = 1.5;

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
        let mut crests = reserve("the ridges of a film", 0)?;
        let (width, height) = (2 * self.film.width(), 2 * self.film.height());
        for y in 0..=height {
            for x in (y % 2..=width).step_by(2) {
                let Some(radius) = self.radius([x, y], part) else { continue };
                if self.slope([x, y]) < CLIMB && self.steepest([x, y], radius, part).0 < CLIMB {
                    let (radius, [x, y]) = self.climb([x, y], radius, part);
                    if !self.is_cut([x, y], radius) {
                        crests.push((radius as f32, y as u32, x as u32));
                    }
                }
            }
        }
        crests.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
        crests.dedup();
        let mut least: Option<(f64, [usize; 2])> = None;
        for (radius, y, x) in crests {
            let (place, radius) = ([x as usize, y as usize], f64::from(radius));
            if least.is_some_and(|(narrow, _)| radius >= narrow) {
                break;
            }
            let between = self.between(place, radius, part);
            let is_less = least.is_none_or(|(narrow, _)| between < narrow);
            if is_less && !self.is_reached(place, radius, part) {
                least = Some((between, place));
            }
        }
        least
            .map(|(radius, middle)| {
                let at = middle.map(|twice| twice as f64 / 2.0);
                Ok(Narrowest { width: Length::um(2.0 * radius)?, at })
            })
            .transpose()
    }

    /// R of a place that lies in the part.
    fn radius(&self, place: [usize; 2], part: Part) -> Option<f64> {
        let signed = self.distances.at(place);
        let radius = if part == Part::Ink { signed } else { -signed };
        (radius > 0.0).then_some(radius)
    }

    /// Whether the disc all but reaches the film's border, behind which anything may be.
    fn is_cut(&self, [x, y]: [usize; 2], radius: f64) -> bool {
        let (right, below) = (2 * self.film.width() - x, 2 * self.film.height() - y);
        let border = [x.min(right) as f64 * self.pitch[0], y.min(below) as f64 * self.pitch[1]];
        0.5 * border[0].min(border[1]) < radius + 2.0 * self.pitch[0].max(self.pitch[1])
    }

    /// How fast R rises over the two pixels about a place: 1 wherever one edge alone is near. Sorts out most places at once.
    fn slope(&self, [x, y]: [usize; 2]) -> f64 {
        let (width, height) = (2 * self.film.width(), 2 * self.film.height());
        if !(2..=width - 2).contains(&x) || !(2..=height - 2).contains(&y) {
            return 0.0;
        }
        let rise = |before, behind, pitch: f64| {
            (self.distances.at(behind) - self.distances.at(before)) / (2.0 * pitch)
        };
        let across = rise([x - 2, y], [x + 2, y], self.pitch[0]);
        across.hypot(rise([x, y - 2], [x, y + 2], self.pitch[1]))
    }

    /// The steepest step from a place: how much it climbs for its length, how high, and where to.
    fn steepest(&self, place: [usize; 2], radius: f64, part: Part) -> (f64, f64, [usize; 2]) {
        // Half a pixel to two: short ones see thin lines, long ones see through the unevenness of the outline.
        const STEPS: [[isize; 2]; 12] = [
            [1, 1],
            [1, -1],
            [2, 0],
            [0, 2],
            [4, 0],
            [4, 2],
            [3, 3],
            [2, 4],
            [0, 4],
            [-2, 4],
            [-3, 3],
            [-4, 2],
        ];
        let mut steepest = (f64::NEG_INFINITY, radius, place);
        for [dx, dy] in STEPS.iter().flat_map(|&[dx, dy]| [[dx, dy], [-dx, -dy]]) {
            if let Some((higher, next)) = self.beside(place, [dx, dy], part) {
                let climb =
                    (higher - radius) / (0.5 * (dx as f64 * self.pitch[0]).hypot(dy as f64 * self.pitch[1]));
                if climb > steepest.0 {
                    steepest = (climb, higher, next);
                }
            }
        }
        steepest
    }

    /// Up from a place for as long as it is steep, and then to the highest place next to it.
    fn climb(&self, mut place: [usize; 2], mut radius: f64, part: Part) -> (f64, [usize; 2]) {
        loop {
            let (climb, higher, next) = self.steepest(place, radius, part);
            if climb < STEEP {
                break;
            }
            (radius, place) = (higher, next);
        }
        const NEXT: [[isize; 2]; 8] = [[-1, -1], [1, -1], [-1, 1], [1, 1], [-2, 0], [2, 0], [0, -2], [0, 2]];
        let beside = NEXT.iter().filter_map(|&step| self.beside(place, step, part));
        beside.fold((radius, place), |best, next| if next.0 > best.0 { next } else { best })
    }

    fn beside(&self, [x, y]: [usize; 2], [dx, dy]: [isize; 2], part: Part) -> Option<(f64, [usize; 2])> {
        let next @ [x, y] = [x.checked_add_signed(dx)?, y.checked_add_signed(dy)?];
        let inside = x <= 2 * self.film.width() && y <= 2 * self.film.height();
        if inside { Some((self.radius(next, part)?, next)) } else { None }
    }

    /// Whether a disc of [`LARGER`] times the radius that is all of the part reaches the pixel at the place.
    fn is_reached(&self, [x, y]: [usize; 2], radius: f64, part: Part) -> bool {
        let large = LARGER * radius;
        let pixel = self.pitch[0].max(self.pitch[1]);
        let reach = large + if radius < pixel { TOUCH_OF_ONE } else { TOUCH } * pixel;
        let span = self.pitch.map(|pitch| (2.0 * reach / pitch) as usize);
        (y.saturating_sub(span[1])..=(y + span[1]).min(2 * self.film.height())).any(|v| {
            let first = x.saturating_sub(span[0]);
            let first = first + (first + v) % 2;
            (first..=(x + span[0]).min(2 * self.film.width())).step_by(2).any(|u| {
                let (dx, dy) = (u.abs_diff(x) as f64 * self.pitch[0], v.abs_diff(y) as f64 * self.pitch[1]);
                0.25 * (dx * dx + dy * dy) <= reach * reach
                    && self.radius([u, v], part).is_some_and(|r| r >= large)
            })
        })
    }

    /// The radius of a disc whose middle may lie between places. Over a ridge R falls away on both sides as fast as one goes, so
    /// that half the sum of two places at d on either side is d short of the crest, however it lies between them; of four
    /// directions the one across the ridge gives the least.
    fn between(&self, place: [usize; 2], radius: f64, part: Part) -> f64 {
        const STEPS: [[isize; 2]; 4] = [[2, 0], [0, 2], [2, 2], [2, -2]];
        let crest = |[dx, dy]: [isize; 2]| {
            let length = 0.5 * (dx as f64 * self.pitch[0]).hypot(dy as f64 * self.pitch[1]);
            // Past the outline R counts as negative.
            let signed = |step| {
                let other = || Some(-self.beside(place, step, part.other())?.0);
                self.beside(place, step, part).map(|found| found.0).or_else(other).unwrap_or(0.0)
            };
            0.5 * (signed([dx, dy]) + signed([-dx, -dy])) + length
        };
        STEPS.map(crest).into_iter().fold(f64::INFINITY, f64::min).max(radius)
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
    fn gratings_are_as_wide_as_they_were_drawn() {
        for degrees in [0.0, 90.0, 3.0, 7.5, 22.5, 35.0, 45.0, 61.0_f64] {
            for (line, gap) in [(1.0, 3.0), (2.0, 2.0), (3.0, 5.0), (6.5, 4.5), (12.0, 7.0), (30.0, 3.0)] {
                let (sin, cos) = degrees.to_radians().sin_cos();
                let film = film(150, |x, y| (x * cos + y * sin).rem_euclid(line + gap) < line);
                let [l, g] = found(&film);
                // Upright lines are whole pixels wide; at 45° pixels lie 0.71 apart across the line.
                let upright = degrees % 90.0 == 0.0 && line % 1.0 == 0.0;
                let most = if upright { 1e-3 } else { 0.8 };
                assert!((l - line).abs() < most && (g - gap).abs() < most, "{degrees} {line} {gap}: {l} {g}");
                let [other_gap, other_line] = found(&film.complement());
                assert_eq!([l, g], [other_line, other_gap]);
            }
        }
    }

    #[test]
    fn discs_are_as_wide_as_they_were_drawn() {
        for r in [2.0, 3.0, 5.0, 8.0, 13.0, 20.0] {
            for (dx, dy) in [(0.0, 0.0), (0.5, 0.5), (0.3, 0.1), (0.2, 0.4)] {
                let p = 2.0 * r + 4.0;
                let from_middle = |x: f64| x.rem_euclid(p) - 0.5 * p;
                let film = film(150, |x, y| from_middle(x + dx).hypot(from_middle(y + dy)) <= r);
                let [line, gap] = found(&film);
                assert!((-1.0..0.2).contains(&(line - 2.0 * r)), "{r} {dx} {dy}: {line}");
                // The narrowest place between small dots is a pixel or two long.
                assert!(r < 5.0 || (-0.2..1.3).contains(&(gap - 4.0)), "{r} {dx} {dy}: {gap}");
            }
        }
    }

    #[test]
    fn corners_are_no_lines_and_thin_points_are() {
        let squares =
            |side: f64| film(120, move |x, y| x.rem_euclid(40.0) < side && y.rem_euclid(40.0) < side);
        assert_eq!(found(&squares(30.0)).map(f64::round), [30.0, 10.0]);
        // Squares on their corners, about to touch and touching by a pixel or two.
        let diamonds = |half: f64| {
            film(160, move |x, y| {
                (x.rem_euclid(40.0) - 20.0).abs() + (y.rem_euclid(40.0) - 20.0).abs() < half
            })
        };
        let side = 20.0 * std::f64::consts::SQRT_2;
        for half in [19.0, 20.0, 20.6] {
            assert!((found(&diamonds(half))[0] - side).abs() < 2.5, "{half}");
        }
        // A wedge of 20°: its tip is a pixel or two wide.
        let slope = 10.0_f64.to_radians().tan();
        let wedge = film(200, |x, y| (20.0..160.0).contains(&x) && (y - 100.0).abs() < (x - 20.0) * slope);
        assert!(found(&wedge)[0] < 3.0);
    }

    #[test]
    fn what_the_border_cuts_is_not_judged() {
        // A line along the border, one that ends at it, and a wide one inside.
        let film = film(100, |x, y| x < 2.0 || (40.0..60.0).contains(&x) || (y < 2.0 && x < 30.0));
        assert_eq!(found(&film).map(f64::round), [20.0, 38.0]);
        let blank = Film::new(30, 30).unwrap();
        assert!(found(&blank).iter().all(|n| n.is_nan()));
        assert!(found(&Film::new(0, 0).unwrap()).iter().all(|n| n.is_nan()));
        assert!(found(&Film::new(1, 1).unwrap()).iter().all(|n| n.is_nan()));
    }

    #[test]
    fn oblong_pixels_are_measured_in_real_length() {
        let resolution = Resolution::per_inch_xy(720.0, 1440.0).unwrap();
        let of = |film: &Film| details(&film.view(), resolution).unwrap().line.unwrap().width.to_um();
        let across = of(&film(80, |_, y| y.rem_euclid(16.0) < 6.0));
        let down = of(&film(80, |x, _| x.rem_euclid(16.0) < 6.0));
        assert!(
            (across - 6.0 * 25_400.0 / 1440.0).abs() < 1e-2 && (down - 6.0 * 25_400.0 / 720.0).abs() < 1e-2
        );
    }
}
