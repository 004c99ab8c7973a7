//! The lattice: an angle and a line count brought onto whole device pixels.
//!
//! A cell is spanned by two real vectors, e₁ along the screen angle and e₂ a quarter turn counter-clockwise from it. A brick
//! of thresholds repeats exactly only if two of its own translations, u = a e₁ + b e₂ and v = c e₁ + d e₂, are whole numbers
//! of pixels. So the search looks for whole a, b, c, d whose u and v lie so near to whole pixels that rounding them moves
//! angle and line count by no more than the tolerance, and takes the brick with the fewest pixels.
//!
//! Rejected: cells of whole pixels ("rational tangents"). At 55 lines and 22.5° on 1440 px/inch the nearest, (24, 10), is
//! 0.12° and 0.7 % off.

use std::ops::Range;

use crate::error::{Error, Result};
use crate::screen::search::{MOST_WORK, Request};
use crate::screen::whole::cross;
use crate::units::{Angle, LineCount, Resolution};

/// Smallest cell pitch, in pixels, that can hold a dot and a gap.
const MIN_CELL_PX: f64 = 2.0;

/// Largest brick unless the caller says otherwise: 2 Mi thresholds.
pub const DEFAULT_LIMIT: u64 = 2 << 20;

/// Largest limit a caller may set: ranks are 32-bit with a bit to spare.
pub const MAX_LIMIT: u64 = 1 << 28;

/// How far the built angle and line count may be from what was asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tolerance {
    pub(super) degrees: f64,
    pub(super) relative: f64,
}

impl Tolerance {
    /// The widest: beyond it a lattice is no answer to the request.
    const WIDEST: Self = Self { degrees: 45.0, relative: 0.5 };

    /// The narrowest: far below what any device can place.
    const NARROWEST: Self = Self { degrees: 1e-6, relative: 1e-8 };

    /// At most `degrees` in angle (1e-6…45) and the part `relative` in line count (1e-8…0.5).
    pub fn new(degrees: f64, relative: f64) -> Result<Self> {
        if !(Self::NARROWEST.degrees..=Self::WIDEST.degrees).contains(&degrees) {
            return Err(Error::value("angle tolerance", degrees, "0.000001 to 45 degrees"));
        }
        if !(Self::NARROWEST.relative..=Self::WIDEST.relative).contains(&relative) {
            return Err(Error::value("line count tolerance", relative, "0.00000001 to 0.5"));
        }
        Ok(Self { degrees, relative })
    }
}

impl Default for Tolerance {
    /// 0.01° and 0.02 %.
    fn default() -> Self {
        Self { degrees: 0.01, relative: 0.0002 }
    }
}

/// One of a screen's two frequencies, as a Fourier transform of the film would show it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Axis {
    /// Degrees counter-clockwise from the x axis.
    pub degrees: f64,
    /// Lines per inch.
    pub lines: f64,
}

/// A lattice of cells that repeats after whole pixels.
#[derive(Debug, Clone, PartialEq)]
pub struct Lattice {
    pub(super) resolution: Resolution,
    /// Translations of the brick, in pixels, y down.
    pub(super) u: [i64; 2],
    pub(super) v: [i64; 2],
    /// The same in cells: u = a e₁ + b e₂, v = c e₁ + d e₂.
    pub(super) cells_u: [i64; 2],
    pub(super) cells_v: [i64; 2],
    pub(super) first: Axis,
    pub(super) second: Axis,
}

impl Lattice {
    /// The smallest lattice within `tolerance` of the angle and the line count, of at most `limit` pixels.
    ///
    /// Errors: a cell below 2 pixels; no such lattice within the limit, with the best one found in words.
    ///
    /// Cost: microseconds to a few milliseconds at the default tolerance; a tolerance that cannot be met within the limit
    /// takes longer to refuse.
    pub fn find(
        resolution: Resolution,
        lines: LineCount,
        angle: Angle,
        tolerance: Tolerance,
        limit: u64,
    ) -> Result<Self> {
        if !(1..=MAX_LIMIT).contains(&limit) {
            return Err(Error::value("brick limit", limit, format!("1 to {MAX_LIMIT}")));
        }
        let cell = resolution.x() * resolution.y() / (lines.to_per_inch() * lines.to_per_inch());
        if cell > limit as f64 * (1.0 + tolerance.relative) * (1.0 + tolerance.relative) {
            return Err(Error::Limit {
                what: "one cell of the screen, in pixels,",
                needed: cell as u64,
                limit,
            });
        }
        let ask = Request::new(resolution, lines, angle, tolerance);
        let pitch = resolution.x().min(resolution.y()) / lines.to_per_inch();
        if pitch < MIN_CELL_PX {
            return Err(Error::value(
                "line count",
                format!("{lines} at {resolution}, a cell of {pitch:.4} px"),
                format!("cells of at least {MIN_CELL_PX} px"),
            ));
        }
        if let Some(found) = ask.smallest(limit, &mut { MOST_WORK }) {
            return Ok(found);
        }
        // Widen the tolerance until something is found: the error names what the limit allows.
        let (mut wider, mut work) = (ask, MOST_WORK);
        let best = loop {
            let (degrees, relative) = (2.0 * wider.tolerance.degrees, 2.0 * wider.tolerance.relative);
            let widest = degrees > Tolerance::WIDEST.degrees && relative > Tolerance::WIDEST.relative;
            if widest || work == 0 {
                break "nothing to show within the tries of one search".to_owned();
            }
            wider.tolerance.degrees = degrees.min(Tolerance::WIDEST.degrees);
            wider.tolerance.relative = relative.min(Tolerance::WIDEST.relative);
            if let Some(found) = wider.smallest(limit, &mut work) {
                break found.told();
            }
        };
        Err(Error::Lattice {
            asked: format!(
                "{lines} at {angle} on {resolution} to {}° and {} %",
                tolerance.degrees,
                tolerance.relative * 100.0
            ),
            best,
            limit,
        })
    }

    /// The resolution it was laid for.
    pub fn resolution(&self) -> Resolution {
        self.resolution
    }

    /// The true angle, in degrees counter-clockwise: the mean of both axes, in the turn of what was asked for.
    pub fn degrees(&self) -> f64 {
        0.5 * (self.first.degrees + self.second.degrees - 90.0)
    }

    /// The true line count per inch: the geometric mean of both axes.
    pub fn lines_per_inch(&self) -> f64 {
        (self.first.lines * self.second.lines).sqrt()
    }

    /// The frequency across e₂: what repeats along the screen angle.
    pub fn first_axis(&self) -> Axis {
        self.first
    }

    /// The frequency across e₁, about a quarter turn from the first. The lines of a line screen repeat along it.
    pub fn second_axis(&self) -> Axis {
        self.second
    }

    /// The two translations of the brick, in pixels, y down.
    pub fn translations(&self) -> [[i64; 2]; 2] {
        [self.u, self.v]
    }

    /// Pixels in the brick.
    pub fn pixels(&self) -> u64 {
        cross(self.u, self.v).unsigned_abs()
    }

    /// Cells in the brick.
    pub fn cells(&self) -> u64 {
        cross(self.cells_u, self.cells_v).unsigned_abs()
    }

    /// Tone steps that one cell can show on average: ⌊pixels of a cell⌋ + 1.
    pub fn levels(&self) -> u64 {
        self.pixels() / self.cells() + 1
    }

    /// The two translations in cells.
    pub(crate) fn cell_translations(&self) -> [[i64; 2]; 2] {
        [self.cells_u, self.cells_v]
    }

    /// The smallest repeat of this lattice's brick that is at least so many cells across in every direction.
    pub(crate) fn at_least(&self, across: usize) -> Self {
        let cells = self.cells() as f64;
        let length = |[a, b]: [i64; 2]| ((a * a + b * b) as f64).sqrt();
        // A brick is cells/|v| wide across v and cells/|u| across u.
        let times = |other: [i64; 2]| libm::ceil(across as f64 * length(other) / cells).max(1.0) as i64;
        let (k, l) = (times(self.cells_v), times(self.cells_u));
        Self {
            u: self.u.map(|c| c * k),
            cells_u: self.cells_u.map(|c| c * k),
            v: self.v.map(|c| c * l),
            cells_v: self.cells_v.map(|c| c * l),
            ..self.clone()
        }
    }

    /// Where pixel centres lie in their cells.
    pub(crate) fn places(&self) -> Places {
        let [[ux, uy], [vx, vy]] = self.translations();
        let [[a, b], [c, d]] = self.cell_translations();
        let det = cross(self.u, self.v);
        // With P = (X, Y)/2 the centre of a pixel, cells along e₁ are (X (a vy − c uy) + Y (c ux − a vx)) / 2 det.
        let signed = |n: i64| n * det.signum();
        Places {
            det: det.abs(),
            along: [signed(a * vy - c * uy), signed(c * ux - a * vx)],
            up: [signed(b * vy - d * uy), signed(d * ux - b * vx)],
        }
    }

    /// The lattice in words, for a message.
    fn told(&self) -> String {
        format!(
            "{:.4} and {:.4} lines/inch at {:.4}° and {:.4}°, {} thresholds",
            self.first.lines,
            self.second.lines,
            self.first.degrees,
            self.second.degrees - 90.0,
            self.pixels()
        )
    }
}

/// Exact positions of pixel centres in their cells, as whole numbers.
#[derive(Debug, Clone)]
pub(crate) struct Places {
    det: i64,
    along: [i64; 2],
    up: [i64; 2],
}

impl Places {
    /// The cell that holds the centre of pixel (x, y), counted along e₁ and e₂.
    pub(crate) fn cell(&self, x: i64, y: i64) -> [i64; 2] {
        [self.along, self.up].map(|k| self.position(k, x, y).0)
    }

    /// The hole between four cells that is nearest to the centre of pixel (x, y): cells moved by half a cell both ways.
    pub(crate) fn hole(&self, x: i64, y: i64) -> [i64; 2] {
        [self.along, self.up].map(|k| {
            let (cell, rest) = self.position(k, x, y);
            cell + i64::from(rest >= self.det)
        })
    }

    /// The place of pixel (x, y) in its cell, each coordinate in −1…1, as a dot takes it.
    pub(crate) fn in_cell(&self, x: i64, y: i64) -> (f64, f64) {
        let part = |k| (self.position(k, x, y).1 - self.det) as f64 / self.det as f64;
        (part(self.along), part(self.up))
    }

    /// One cell along e₁ and one along e₂, in pixels.
    pub(crate) fn vectors(&self) -> [[f64; 2]; 2] {
        let [along, up] = [self.along, self.up].map(|k| k.map(|k| k as f64 / self.det as f64));
        let size = along[0] * up[1] - along[1] * up[0];
        [[up[1] / size, -up[0] / size], [-along[1] / size, along[0] / size]]
    }

    /// How far from the origin a pixel may lie for all sums here to stay inside of 64 bits.
    pub(crate) fn farthest(&self) -> i64 {
        let most = [self.along, self.up].as_flattened().iter().map(|k| k.abs()).max().unwrap_or(1);
        i64::MAX / 16 / most.max(1)
    }

    /// The pixels of row y whose centres a cell holds.
    pub(crate) fn across(&self, cell: [i64; 2], y: i64) -> Range<i64> {
        let (mut from, mut to) = (i64::MIN, i64::MAX);
        for (k, cell) in [self.along, self.up].into_iter().zip(cell) {
            // 2 det · cell ≤ (2x + 1) k₀ + (2y + 1) k₁ < 2 det · (cell + 1)
            let low = 2 * self.det * cell - (2 * y + 1) * k[1] - k[0];
            let high = low + 2 * self.det;
            let at_least = |bound: i64, k: i64| -((-bound).div_euclid(2 * k));
            match k[0] {
                0 if low > 0 || high <= 0 => return 0..0,
                0 => {}
                k if k > 0 => (from, to) = (from.max(at_least(low, k)), to.min(at_least(high, k))),
                // Turned round: high < 2x |k| ≤ … becomes a bound from below, one further on.
                k => {
                    let beyond = |bound: i64| (-bound).div_euclid(-2 * k) + 1;
                    (from, to) = (from.max(beyond(high)), to.min(beyond(low)));
                }
            }
        }
        from..to.max(from)
    }

    /// Whole cells, and the rest in parts of 2 det. Pixels lie within a brick, whose sides times a translation's are far
    /// below 2⁶³.
    fn position(&self, k: [i64; 2], x: i64, y: i64) -> (i64, i64) {
        let sum = (2 * x + 1) * k[0] + (2 * y + 1) * k[1];
        (sum.div_euclid(2 * self.det), sum.rem_euclid(2 * self.det))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    fn find(resolution: f64, lines: f64, degrees: f64) -> Result<Lattice> {
        Lattice::find(
            Resolution::per_inch(resolution).unwrap(),
            LineCount::per_inch(lines).unwrap(),
            Angle::degrees(degrees).unwrap(),
            Tolerance::default(),
            DEFAULT_LIMIT,
        )
    }

    #[test]
    fn whole_pixel_cells_are_found_as_they_are() {
        // ISO 32000-2, 10.6.5.6 (the example of a type 5 halftone): at 1270 px/inch 90.714 lines at 0° is a cell of 14
        // pixels, 89.803 lines at 45° one of (10, 10).
        let yellow = find(1270.0, 90.714, 0.0).unwrap();
        assert_eq!((yellow.pixels(), yellow.cells()), (196, 1));
        let black = find(1270.0, 89.803, 45.0).unwrap();
        assert_eq!((black.pixels(), black.cells()), (200, 1));
        assert_abs_diff_eq!(black.degrees(), 45.0, epsilon = 1e-9);
    }

    #[test]
    fn levels_are_pixels_and_one() {
        // ⌊(resolution/lines)²⌋ + 1: 720 px/inch and 45 lines give 257 levels; ISO 12647-9:2021, 4.2.2: 80 lines/cm from
        // 1000 px/cm give 156 steps (and bare).
        assert_eq!(find(720.0, 45.0, 0.0).unwrap().levels(), 257);
        let lattice = Lattice::find(
            "1000/cm".parse().unwrap(),
            "80/cm".parse().unwrap(),
            Angle::degrees(45.0).unwrap(),
            Tolerance::default(),
            DEFAULT_LIMIT,
        );
        assert_eq!(lattice.unwrap().levels(), 157);
    }

    #[test]
    fn whole_turns_change_nothing_but_the_number() {
        let near = find(1200.0, 55.0, 22.5).unwrap();
        for turn in [-360.0, 360.0, 720.0] {
            let far = find(1200.0, 55.0, 22.5 + turn).unwrap();
            assert_eq!(far.translations(), near.translations());
            assert_abs_diff_eq!(far.degrees() - turn, near.degrees(), epsilon = 1e-9);
        }
    }

    #[test]
    fn impossible_requests_say_what_was_best() {
        let small_cell = find(600.0, 400.0, 0.0).unwrap_err().to_string();
        assert!(small_cell.contains("1.5000 px"), "{small_cell}");
        let tight = Lattice::find(
            Resolution::per_inch(600.0).unwrap(),
            LineCount::per_inch(65.7).unwrap(),
            Angle::degrees(22.5).unwrap(),
            Tolerance::default(),
            2000,
        );
        let message = tight.unwrap_err().to_string();
        assert!(message.contains("65.7 lines/inch") && message.contains("best found"), "{message}");
    }

    #[test]
    fn a_tolerance_that_is_wide_one_way_only_is_refused_too() {
        // Widening must stop at the widest: this once searched for ever.
        let tolerance = Tolerance::new(45.0, 1e-8).unwrap();
        let (lines, angle) = (LineCount::per_inch(65.7).unwrap(), Angle::degrees(22.5).unwrap());
        let refused = Lattice::find(Resolution::per_inch(600.0).unwrap(), lines, angle, tolerance, 100);
        assert!(refused.unwrap_err().to_string().contains("best found"));
    }

    #[test]
    fn places_are_exact_and_repeat() {
        let lattice = find(1440.0, 55.0, 22.5).unwrap();
        let places = lattice.places();
        for (x, y) in [(0, 0), (17, 5), (-3, 1000), (123_456, -77)] {
            for [dx, dy] in lattice.translations() {
                assert_eq!(places.in_cell(x, y), places.in_cell(x + dx, y + dy));
            }
        }
        // One pixel to the right moves along e₁ by cos 22.5° in cells of 26.18 px, two units a cell.
        let (x0, y0) = places.in_cell(1, -4);
        let (x1, y1) = places.in_cell(2, -4);
        let cell = 1440.0 / 55.0;
        assert_abs_diff_eq!(x1 - x0, 2.0 * 0.92388 / cell, epsilon = 1e-4);
        assert_abs_diff_eq!(y1 - y0, -2.0 * 0.38268 / cell, epsilon = 1e-4);
    }
}
