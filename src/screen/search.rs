//! The search for the smallest brick that meets an angle and a line count.
//!
//! Every translation lattice has a reduced basis, with |u|·|v| ≤ 1.155 |ad − bc| and v's foot on u within ±½ u. Hence, for all
//! bricks of up to n cells, it is enough to try each u of length up to 1.075 √n that is near enough to whole pixels, and with
//! each, for every number of cells, the v whose foot lies so: nothing smaller is missed (a brute-force
//! test says so), but where a tolerance lets a translation stray by more than one and a half pixels.
//! Doubling n until a brick is found keeps usual searches at microseconds.
//!
//! Rejected: scaling one vector, (a, b) = round(N·(cos, sin)), and turning it for the other (an N × N supercell): for the same
//! tolerance its bricks are an order of magnitude larger.

use crate::screen::lattice::{Axis, Lattice, Tolerance};
use crate::screen::whole::{cross, extended_gcd};
use crate::units::{Angle, LineCount, Resolution};

/// Second translations tried before a search is given up; what was found by then counts. Only tolerances that are wide one way and
/// narrow the other, or far narrower than usual at a large limit, come near it.
pub(super) const MOST_WORK: u64 = 1 << 28;

/// What judging a pair of translations counts for, in translations tried: it takes two arc tangents.
const JUDGING: u64 = 32;

/// What was asked for, in the units of the search.
pub(super) struct Request {
    resolution: Resolution,
    pub(super) tolerance: Tolerance,
    lines: f64,
    degrees: f64,
    /// The cell vectors in pixels, y down.
    e1: [f64; 2],
    e2: [f64; 2],
    /// Cells per pixel along x and y.
    cells: [f64; 2],
    /// Cosine and sine of the angle.
    turn: (f64, f64),
}

/// A translation of a candidate brick.
#[derive(Clone, Copy)]
struct Step {
    cells: [i64; 2],
    pixels: [i64; 2],
}

impl Request {
    pub(super) fn new(resolution: Resolution, lines: LineCount, angle: Angle, tolerance: Tolerance) -> Self {
        let turn = angle.cos_sin();
        let (c, s) = turn;
        let l = lines.to_per_inch();
        let (px, py) = (resolution.x() / l, resolution.y() / l);
        Self {
            resolution,
            tolerance,
            lines: l,
            degrees: angle.to_degrees(),
            e1: [px * c, -py * s],
            e2: [-px * s, -py * c],
            cells: [1.0 / px, 1.0 / py],
            turn,
        }
    }

    /// The lattice with the fewest pixels, up to `limit`; among equals the one with the least error.
    pub(super) fn smallest(&self, limit: u64, work: &mut u64) -> Option<Lattice> {
        let cell = 1.0 / (self.cells[0] * self.cells[1]);
        // The cell itself may be off by the tolerance, so a brick of `limit` pixels may hold that many more cells.
        let slack = 1.0 + 3.0 * self.tolerance.relative + 0.02 * self.tolerance.degrees;
        let all_cells = ((limit as f64 / cell * slack) as i64).max(1);
        let mut cells = 16;
        loop {
            cells = all_cells.min(cells * 2);
            let found = self.smallest_within(cells, limit, work);
            // A brick of as many pixels may hold a cell or two more than another: only those well inside are final.
            let settled = |f: &Lattice| (f.pixels() as f64) * slack < cells as f64 * cell;
            if cells == all_cells || *work == 0 || found.as_ref().is_some_and(settled) {
                return found;
            }
        }
    }

    fn smallest_within(&self, cells: i64, limit: u64, work: &mut u64) -> Option<Lattice> {
        let nearness = self.nearness();
        let longest = 1.0746 * (cells as f64).sqrt();
        let reach = longest as i64;
        let mut best: Option<(u64, f64, Lattice)> = None;
        for a in -reach..=reach {
            for b in 0..=reach {
                // Half of the plane will do: −u spans the same lattice as u.
                if b == 0 && a <= 0 || (a * a + b * b) as f64 > longest * longest {
                    continue;
                }
                for u in self.steps([a, b], nearness) {
                    if *work == 0 {
                        return best.map(|b| b.2);
                    }
                    let most = best.as_ref().map_or(limit, |b| b.0);
                    self.with_second(u, cells, (nearness, most), &mut best, work);
                }
            }
        }
        best.map(|b| b.2)
    }

    /// How far, in parts of its own length, a translation may be from whole pixels: with the columns of the change of e₁
    /// and e₂ each at most ε long, no sum of them moves by more than √2 ε of its length.
    fn nearness(&self) -> f64 {
        let turn = self.tolerance.degrees.to_radians();
        let stretch = self.tolerance.relative;
        // A tenth to spare for terms of second order, which matter only where the tolerance is wide.
        (2.0 * (turn * turn + stretch * stretch)).sqrt() * (1.1 + stretch + turn)
    }

    /// The translations by whole cells that are near enough to whole pixels, and at most one pixel further off than the nearest:
    /// one, but where the tolerance lets a long translation stray by more than half a pixel.
    fn steps(&self, cells: [i64; 2], nearness: f64) -> impl Iterator<Item = Step> + use<> {
        let (a, b) = (cells[0] as f64, cells[1] as f64);
        let allowed = nearness * nearness * (a * a + b * b);
        let exact = [0, 1].map(|axis| a * self.e1[axis] + b * self.e2[axis]);
        let nearest = exact.map(|e| libm::floor(e + 0.5));
        let cells_per_pixel = self.cells;
        // The neighbours cannot do where half a pixel along either axis is already too much.
        let reach = cells_per_pixel.map(|c| i64::from(0.25 * c * c <= allowed));
        let around = (-reach[1]..=reach[1]).flat_map(move |y| (-reach[0]..=reach[0]).map(move |x| [x, y]));
        around.filter_map(move |around| {
            let mut off = 0.0;
            let mut pixels = [0; 2];
            for axis in [0, 1] {
                let whole = nearest[axis] + around[axis] as f64;
                let away = (whole - exact[axis]) * cells_per_pixel[axis];
                off += away * away;
                pixels[axis] = whole as i64;
            }
            (off <= allowed).then_some(Step { cells, pixels })
        })
    }

    /// Tries every second translation that makes a reduced basis with `u`, for fewer pixels than the best so far.
    fn with_second(
        &self,
        u: Step,
        cells: i64,
        (nearness, most): (f64, u64),
        best: &mut Option<(u64, f64, Lattice)>,
        work: &mut u64,
    ) {
        let [a, b] = u.cells;
        let (g, c0, d0) = unit_cross(a, b);
        let square = (a * a + b * b) as f64;
        let (step_a, step_b) = (a / g, b / g);
        let mut most = most;
        for m in 1..=cells / g {
            // All v with u × v = m g: v = m (c0, d0) + k (a, b)/g; the foot of v on u within ±½ u leaves g values of k.
            let foot = -((m * (c0 * a + d0 * b)) as f64) * g as f64 / square;
            let half = 0.5 * g as f64;
            let (from, to) = (libm::ceil(foot - half) as i64, libm::floor(foot + half) as i64);
            for k in from..=to {
                *work = work.saturating_sub(1);
                if *work == 0 {
                    return;
                }
                for v in self.steps([m * c0 + k * step_a, m * d0 + k * step_b], nearness) {
                    let pixels = cross(u.pixels, v.pixels).unsigned_abs();
                    if pixels == 0 || pixels > most {
                        continue;
                    }
                    *work = work.saturating_sub(JUDGING);
                    if let Some((error, lattice)) = self.judged(u, v)
                        && best.as_ref().is_none_or(|(p, e, _)| (pixels, error) < (*p, *e))
                    {
                        most = pixels;
                        *best = Some((pixels, error, lattice));
                    }
                }
            }
        }
    }

    /// The lattice of two translations and its worst error in parts of the tolerance, if within.
    fn judged(&self, u: Step, v: Step) -> Option<(f64, Lattice)> {
        let [a, b] = u.cells.map(|n| n as f64);
        let [c, d] = v.cells.map(|n| n as f64);
        let det = cross(u.pixels, v.pixels) as f64;
        // Frequencies f₁, f₂ with f·e = 1 for their own cell vector and 0 for the other, in cycles per pixel: the rows of
        // [f₁ f₂] solve f·u = whole cells, f·v = whole cells.
        let [ux, uy] = u.pixels.map(|n| n as f64);
        let [vx, vy] = v.pixels.map(|n| n as f64);
        let f1 = [(a * vy - c * uy) / det, (c * ux - a * vx) / det];
        let f2 = [(b * vy - d * uy) / det, (d * ux - b * vx) / det];
        let (cos, sin) = self.turn;
        let mut worst: f64 = 0.0;
        let mut axis = |f: [f64; 2], quarter: bool| {
            // Per inch, y up, and turned so that the request lies along x.
            let (x, y) = (f[0] * self.resolution.x(), -f[1] * self.resolution.y());
            let (along, across) = if quarter {
                (-x * sin + y * cos, -x * cos - y * sin)
            } else {
                (x * cos + y * sin, -x * sin + y * cos)
            };
            let off = libm::atan2(across, along).to_degrees();
            let lines = (along * along + across * across).sqrt();
            let stretch = lines / self.lines - 1.0;
            worst =
                worst.max(off.abs() / self.tolerance.degrees).max(stretch.abs() / self.tolerance.relative);
            let turned = if quarter { 90.0 } else { 0.0 };
            Axis { degrees: self.degrees + turned + off, lines }
        };
        let (first, second) = (axis(f1, false), axis(f2, true));
        let lattice = || Lattice {
            resolution: self.resolution,
            u: u.pixels,
            v: v.pixels,
            cells_u: u.cells,
            cells_v: v.cells,
            first,
            second,
        };
        (worst <= 1.0).then(|| (worst, lattice()))
    }
}

/// g = gcd(a, b) and one (c, d) with a d − b c = g.
fn unit_cross(a: i64, b: i64) -> (i64, i64, i64) {
    let (g, m, n) = extended_gcd(a, b);
    (g, -n, m)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::screen::lattice::DEFAULT_LIMIT;

    /// The fewest pixels of any lattice within tolerance of up to `cells` cells: every sublattice there is, by its Hermite
    /// basis (a, 0), (c, d), reduced as Gauss did, since a long basis vector may round to the wrong whole pixel.
    fn brute_force(ask: &Request, cells: i64) -> Option<u64> {
        let mut best = None;
        for n in 1..=cells {
            for a in (1..=n).filter(|a| n % a == 0) {
                for c in 0..a {
                    let (mut u, mut v) = ([a, 0], [c, n / a]);
                    let dot = |u: [i64; 2], v: [i64; 2]| u[0] * v[0] + u[1] * v[1];
                    loop {
                        if dot(v, v) < dot(u, u) {
                            (u, v) = (v, u);
                        }
                        if 2 * dot(u, v).abs() <= dot(u, u) {
                            break;
                        }
                        let k = (dot(u, v) as f64 / dot(u, u) as f64).round() as i64;
                        v = [v[0] - k * u[0], v[1] - k * u[1]];
                    }
                    // Whole pixels around either, whatever the nearness.
                    let near = |cells: [i64; 2]| {
                        let at = |axis: usize| {
                            let exact = cells[0] as f64 * ask.e1[axis] + cells[1] as f64 * ask.e2[axis];
                            exact.round() as i64
                        };
                        let (x, y) = (at(0), at(1));
                        (0..9).map(move |i| Step { cells, pixels: [x + i % 3 - 1, y + i / 3 - 1] })
                    };
                    for u in near(u) {
                        for v in near(v).filter(|v| cross(u.pixels, v.pixels) != 0) {
                            if let Some((_, lattice)) = ask.judged(u, v) {
                                best = Some(best.map_or(lattice.pixels(), |b: u64| b.min(lattice.pixels())));
                            }
                        }
                    }
                }
            }
        }
        best
    }

    #[test]
    fn a_whole_pixel_that_is_not_the_nearest_may_do() {
        // A second translation of (−237, −26) pixels where the exact one is 26.52 down.
        let tolerance = Tolerance::new(0.1, 0.002).unwrap();
        let resolution = Resolution::per_inch_xy(875.32, 941.53).unwrap();
        let lines = LineCount::per_inch(25.973_487_71).unwrap();
        let angle = Angle::degrees(219.061_39).unwrap();
        let found = Lattice::find(resolution, lines, angle, tolerance, DEFAULT_LIMIT).unwrap();
        assert_eq!(found.pixels(), 12_217);
    }

    #[test]
    fn nothing_smaller_is_missed() {
        // A wide tolerance, so that bricks are small enough to try them all.
        let tolerance = Tolerance::new(0.3, 0.006).unwrap();
        for (i, (resolution, lines)) in [(600.0, 65.7), (720.0, 45.0), (1440.0, 55.0), (360.0, 47.3)]
            .into_iter()
            .cycle()
            .take(48)
            .enumerate()
        {
            let angle = Angle::degrees(7.3 * i as f64 - 40.0).unwrap();
            let resolution = Resolution::per_inch_xy(resolution, resolution * 1.5).unwrap();
            let lines = LineCount::per_inch(lines).unwrap();
            let found = Lattice::find(resolution, lines, angle, tolerance, DEFAULT_LIMIT).unwrap();
            let ask = Request::new(resolution, lines, angle, tolerance);
            let brute = brute_force(&ask, found.cells() as i64 + 2);
            assert_eq!(brute, Some(found.pixels()), "{found:?}");
        }
    }
}
