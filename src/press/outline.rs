//! Outlines: where the edge of a dot's ink runs in its cell, before any film makes pixels of it.
//!
//! The cell is the torus of one period. A dot is sampled at [`GRID`] × [`GRID`] places; between them its value is taken as linear along
//! the sides of the grid's squares, so that the outline of a tone is a chain of segments, at most two a square (marching squares). Of
//! every place the signed distance D to the outline is kept, negative inside: one set of distances answers every growth d. A place stands
//! for its square of the grid, of side h, of which (d − D)/w + ½ is covered, brought into 0…1; w is how wide the square is as seen along the way
//! to the outline, h (∣cos∣ + ∣sin∣), so that straight edges sweep evenly over the squares. All errors are of the order h².
//!
//! Rejected: the growth of a film at ever more pixels a cell. A film's edges are stairs, and edges that grow start from the stairs' outer
//! corners, a third to half a pixel ahead of the mean edge: 0.9 point at 220 px a cell, falling with the pixel and not its square.

use crate::error::{Error, Result, reserve};
use crate::screen::Dot;

/// Places along a side of the cell. Odd, so that none lies on the jump of the euclidean dot, ∣x∣ + ∣y∣ = 1, and it is cut in the middle.
const GRID: usize = 161;

/// A dot at one tone. Lengths are in periods of the screen.
#[derive(Debug, Clone)]
pub(super) struct Outline {
    /// Of every place the signed distance to the ink's edge, and how wide its square is along the way there.
    distances: Vec<(f32, f32)>,
    /// Length of the edge in one cell.
    pub perimeter: f64,
}

/// A dot's values in one cell, row by row, and the same sorted.
pub(super) struct Values {
    values: Vec<f64>,
    sorted: Vec<f64>,
}

impl Values {
    /// Errors: a user's dot that is not finite; memory.
    pub fn new(dot: &Dot) -> Result<Self> {
        let mut values = reserve("a dot's values", GRID * GRID)?;
        let at = |i: usize| (2 * i + 1) as f64 / GRID as f64 - 1.0;
        for i in 0..GRID * GRID {
            let (x, y) = (at(i % GRID), at(i / GRID));
            let value = dot.value(x, y);
            if !value.is_finite() {
                return Err(Error::value(
                    "dot",
                    format!("{value} at ({x}, {y})"),
                    "a finite value everywhere in the cell",
                ));
            }
            values.push(value);
        }
        let mut sorted = reserve("a dot's values", values.len())?;
        sorted.extend_from_slice(&values);
        sorted.sort_unstable_by(|a, b| b.total_cmp(a));
        Ok(Self { values, sorted })
    }

    /// The value that a part `tone` of the cell exceeds. Places of equal value stand for the middle of their share.
    fn level(&self, tone: f64) -> f64 {
        let rank = tone * self.sorted.len() as f64;
        let shares = self.sorted.chunk_by(|a, b| a == b);
        let (mut start, mut last) = (0.0, None);
        for share in shares {
            let middle = start + 0.5 * share.len() as f64;
            if middle >= rank {
                return match last {
                    Some((before, value)) => value + (share[0] - value) * (rank - before) / (middle - before),
                    None => share[0],
                };
            }
            last = Some((middle, share[0]));
            start += share.len() as f64;
        }
        self.sorted[self.sorted.len() - 1]
    }

    /// The dot at a tone between 0 and 1. Errors: memory. Cost: twenty to fifty milliseconds.
    pub fn outline(&self, tone: f64) -> Result<Outline> {
        let level = self.level(tone);
        let segments = self.segments(level)?;
        let mut distances = reserve("distances to a dot's outline", self.values.len())?;
        let place = |i: usize| (i as f64 + 0.5) / GRID as f64;
        for (i, &value) in self.values.iter().enumerate() {
            let p = [place(i % GRID), place(i / GRID)];
            // Without any outline the distance is beyond every growth.
            let mut nearest = (f64::INFINITY, [1.0, 0.0]);
            for segment in &segments {
                let way = segment.way_to(p);
                let square = way[0] * way[0] + way[1] * way[1];
                if square < nearest.0 {
                    nearest = (square, way);
                }
            }
            let (distance, [x, y]) = (nearest.0.sqrt(), nearest.1);
            let wide = if distance > 1e-9 { ((x.abs() + y.abs()) / distance).clamp(1.0, 1.5) } else { 1.0 };
            let signed = if value > level { -distance } else { distance };
            distances.push((signed as f32, (wide / GRID as f64) as f32));
        }
        let perimeter: f64 = segments.iter().map(|s| s.along.hypot(s.down)).sum();
        let mut outline = Outline { distances, perimeter };
        // Places counted are not quite an area: the edge is moved by what is missing along its length.
        let missing = tone - outline.printed(0.0);
        if perimeter > 0.0 {
            let shift = (missing / perimeter).clamp(-0.5 / GRID as f64, 0.5 / GRID as f64) as f32;
            outline.distances.iter_mut().for_each(|d| d.0 -= shift);
        }
        Ok(outline)
    }

    /// The outline of all places above `level`.
    fn segments(&self, level: f64) -> Result<Vec<Segment>> {
        let mut segments = Vec::new();
        let value = |x: usize, y: usize| self.values[y % GRID * GRID + x % GRID] - level;
        for y in 0..GRID {
            for x in 0..GRID {
                // Corners in turn, and the points where the outline crosses the sides between them.
                let corners = [(0, 0), (1, 0), (1, 1), (0, 1)];
                let values = corners.map(|(i, j)| value(x + i, y + j));
                let mut cuts = [[0.0; 2]; 4];
                let mut count = 0;
                for side in 0..4 {
                    let (v, w) = (values[side], values[(side + 1) % 4]);
                    if (v > 0.0) != (w > 0.0) {
                        let part = v / (v - w);
                        let (from, to) = (corners[side], corners[(side + 1) % 4]);
                        let between = |a: usize, b: usize| a as f64 + part * (b as f64 - a as f64);
                        cuts[count] = [between(from.0, to.0), between(from.1, to.1)];
                        count += 1;
                    }
                }
                // Of four cuts, those about a corner belong together if the middle is of the other kind.
                let turned = count == 4 && (values.iter().sum::<f64>() > 0.0) == (values[0] > 0.0);
                let pairs = if turned { [(0, 1), (2, 3)] } else { [(1, 2), (3, 0)] };
                let pairs = if count == 2 { [(0, 1), (2, 3)] } else { pairs };
                for &(a, b) in &pairs[..count / 2] {
                    segments.try_reserve(1).map_err(|_| Error::Memory {
                        what: "a dot's outline",
                        bytes: (segments.len() * size_of::<Segment>()) as u64,
                    })?;
                    segments.push(Segment::between([x, y], cuts[a], cuts[b]));
                }
            }
        }
        Ok(segments)
    }
}

impl Outline {
    /// Coverage when the edge moves outwards by `growth` periods (inwards, if it is negative).
    pub fn printed(&self, growth: f64) -> f64 {
        let covered =
            |&(d, wide): &(f32, f32)| ((growth - f64::from(d)) / f64::from(wide) + 0.5).clamp(0.0, 1.0);
        self.distances.iter().map(covered).sum::<f64>() / self.distances.len() as f64
    }
}

/// A piece of outline: its middle, and the way from one end to the other.
struct Segment {
    middle: [f64; 2],
    along: f64,
    down: f64,
    /// One over the square of its length; 0 for a point.
    per_square: f64,
}

impl Segment {
    /// From cut to cut in the grid's square whose first corner is the place `at`.
    fn between(at: [usize; 2], a: [f64; 2], b: [f64; 2]) -> Self {
        let n = GRID as f64;
        let middle = [0, 1].map(|i| (at[i] as f64 + 0.5 + 0.5 * (a[i] + b[i])) / n);
        let (along, down) = ((b[0] - a[0]) / n, (b[1] - a[1]) / n);
        let square = along * along + down * down;
        Self { middle, along, down, per_square: if square > 0.0 { 1.0 / square } else { 0.0 } }
    }

    /// The way to a point from the nearest of the segment's repeats.
    fn way_to(&self, p: [f64; 2]) -> [f64; 2] {
        let nearest = |d: f64| {
            if d > 0.5 {
                d - 1.0
            } else if d < -0.5 {
                d + 1.0
            } else {
                d
            }
        };
        let (x, y) = (nearest(p[0] - self.middle[0]), nearest(p[1] - self.middle[1]));
        let part = ((x * self.along + y * self.down) * self.per_square).clamp(-0.5, 0.5);
        [x - part * self.along, y - part * self.down]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use std::f64::consts::PI;

    #[test]
    fn shapes_of_known_geometry_grow_as_they_must() {
        let of = |dot: &Dot, tone: f64| Values::new(dot).unwrap().outline(tone).unwrap();
        for growth in [-0.1, -0.02, 0.0, 0.001, 0.02, 0.1] {
            // A disc, a hole, and a square with its corners rounded as it grows.
            let radius = (0.25 / PI).sqrt();
            let disc = of(&Dot::Round, 0.25);
            assert_abs_diff_eq!(disc.printed(growth), PI * (radius + growth).powi(2), epsilon = 6e-4);
            assert_abs_diff_eq!(disc.perimeter, 2.0 * PI * radius, epsilon = 5e-3);
            let hole = of(&Dot::Euclidean, 0.75);
            assert_abs_diff_eq!(hole.printed(growth), 1.0 - PI * (radius - growth).powi(2), epsilon = 6e-4);
            let square = of(&Dot::Square, 0.25);
            let grown = match growth < 0.0 {
                true => (0.5 + 2.0 * growth).powi(2),
                false => 0.25 + 2.0 * growth + PI * growth * growth,
            };
            assert_abs_diff_eq!(square.printed(growth), grown, epsilon = 6e-4);
            // A checkerboard's corners touch: growth closes the holes, shrinking parts the dots, both squares.
            let half = of(&Dot::Euclidean, 0.5);
            let hole = (0.5_f64.sqrt() - 2.0 * growth.abs()).powi(2);
            let covered = if growth < 0.0 { hole } else { 1.0 - hole };
            assert_abs_diff_eq!(half.printed(growth), covered, epsilon = 1e-3);
            assert_abs_diff_eq!(half.perimeter, 8.0_f64.sqrt(), epsilon = 1e-2);
            // Lines: twice the growth, whatever the tone.
            assert_abs_diff_eq!(of(&Dot::Line, 0.3).printed(growth), 0.3 + 2.0 * growth, epsilon = 6e-4);
        }
    }

    #[test]
    fn a_dot_that_is_no_number_is_refused() {
        assert!(Values::new(&Dot::custom(|x, _| 1.0 / (x - x))).is_err());
        // A flat one has no outline to move.
        let flat = Values::new(&Dot::custom(|_, _| 1.0)).unwrap().outline(0.5).unwrap();
        assert_eq!((flat.perimeter, flat.printed(0.1)), (0.0, 0.0));
    }
}
