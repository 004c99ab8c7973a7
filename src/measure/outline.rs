//! The outline of the ink to a part of a pixel, and how far places lie from it.
//!
//! Two neighbouring pixels of different parts have a piece of outline between them. Taken as it stands, the outline is a stair,
//! and a disc between two stairs is up to 1 pixel narrower than the line that was screened. So each piece is moved to the mean
//! of itself and the next pieces of the same edge, up to [`SPAN`] columns on either side (as many on one side as on the other),
//! where the edge steps by no more than a row from column to column; and likewise along rows for edges that are steeper. An
//! upright edge stays where it is to the last bit, a straight edge at any angle is found to within 0.2 pixel, and no piece
//! moves by more than half a pixel.
//!
//! Distances to the points are found as in [`distance`](crate::distance): down columns, then across by the lower envelope, once
//! for the points on columns and once for those on rows.

use crate::distance::{Envelope, pixel_um};
use crate::error::{Result, filled, reserve};
use crate::film::FilmView;
use crate::units::Resolution;

/// Columns on either side that a piece of outline is averaged with. One leaves errors of 0.3 pixel on slanted edges; three
/// flattens dots of a few pixels.
const SPAN: usize = 2;

/// How far places are from the outline, in µm: centres and corners of pixels, named by twice their coordinates, so that centres
/// are odd in both and corners even.
pub(crate) struct Distances {
    /// (width) × (height), row by row.
    centres: Grid,
    /// (width + 1) × (height + 1).
    corners: Grid,
}

struct Grid {
    /// Places in a row.
    width: usize,
    at: Vec<f32>,
}

impl Distances {
    /// Cost: some 100 ns and 8 bytes a pixel.
    pub(crate) fn new(film: &FilmView<'_>, resolution: Resolution) -> Result<Self> {
        let (width, height) = (film.width(), film.height());
        let pitch = pixel_um(resolution);
        let columns = Lines::new(width, height, |x, y| film.get(x, y))?;
        let rows = Lines::new(height, width, |y, x| film.get(x, y))?;
        let [mut centres, mut corners] =
            [(width, height), (width + 1, height + 1)].map(|(width, height)| -> Result<Grid> {
                let at = filled("a map of distances", width.saturating_mul(height), f32::INFINITY)?;
                Ok(Grid { width, at })
            });
        for (grid, on) in [(&mut centres, On::Centres), (&mut corners, On::Edges)] {
            let Ok(grid) = grid else { continue };
            let width = grid.width;
            columns.distances(on, [pitch[0], pitch[1]], |x, y| y * width + x, &mut grid.at)?;
            rows.distances(on, [pitch[1], pitch[0]], |y, x| y * width + x, &mut grid.at)?;
        }
        let (mut centres, mut corners) = (centres?, corners?);
        for (y, row) in centres.at.chunks_exact_mut(width.max(1)).enumerate() {
            for (_, at) in row.iter_mut().enumerate().filter(|(x, _)| !film.get(*x, y)) {
                *at = -*at;
            }
        }
        for (y, row) in corners.at.chunks_exact_mut(width + 1).enumerate() {
            for (x, at) in row.iter_mut().enumerate() {
                let inside = (1..width).contains(&x) && (1..height).contains(&y);
                let ink = |x, y| u8::from(film.get(x, y));
                let around = || ink(x - 1, y - 1) + ink(x, y - 1) + ink(x - 1, y) + ink(x, y);
                *at = match if inside { around() } else { 2 } {
                    4 => *at,
                    0 => -*at,
                    _ => 0.0,
                };
            }
        }
        Ok(Self { centres, corners })
    }

    /// The distance of a place, negative in bare film; 0 for a corner that not all four pixels about it agree on, or on the
    /// film's border.
    pub(crate) fn at(&self, [x, y]: [usize; 2]) -> f64 {
        let grid = if x % 2 == 1 { &self.centres } else { &self.corners };
        f64::from(grid.at[y / 2 * grid.width + x / 2])
    }
}

/// Whether lines run through the centres of pixels or along their edges.
#[derive(Clone, Copy, PartialEq)]
enum On {
    Centres,
    Edges,
}

/// A piece of outline across a line of pixels.
#[derive(Clone, Copy)]
struct Piece {
    /// Between pixels `at` − 1 and `at` of the line.
    at: u32,
    /// Whether the first of them is ink.
    from_ink: bool,
    /// The same edge on the lines before and behind.
    linked: [u32; 2],
}

const NONE: u32 = u32::MAX;

/// The pieces of outline across columns (or rows) of a film.
struct Lines {
    pixels: usize,
    /// Where the pieces of each line begin; one more than there are lines.
    starts: Vec<usize>,
    pieces: Vec<Piece>,
    /// Where each piece lies along its line once it is moved, in pixels.
    moved: Vec<f32>,
}

impl Lines {
    fn new(lines: usize, pixels: usize, ink: impl Fn(usize, usize) -> bool) -> Result<Self> {
        let mut starts = reserve("the outline of a film", lines + 1)?;
        let mut pieces: Vec<Piece> = Vec::new();
        for line in 0..lines {
            starts.push(pieces.len());
            for at in 1..pixels {
                let from_ink = ink(line, at - 1);
                if from_ink != ink(line, at) {
                    pieces.push(Piece { at: at as u32, from_ink, linked: [NONE; 2] });
                }
            }
        }
        starts.push(pieces.len());
        let mut lines = Self { pixels, starts, pieces, moved: Vec::new() };
        lines.link();
        lines.moved = (0..lines.pieces.len()).map(|i| lines.mean(i)).collect();
        Ok(lines)
    }

    fn lines(&self) -> usize {
        self.starts.len() - 1
    }

    /// Links each piece with the nearest of its kind on the next line, if that is at most a pixel off and thinks the same.
    fn link(&mut self) {
        for line in 1..self.lines() {
            let (first, second, end) = (self.starts[line - 1], self.starts[line], self.starts[line + 1]);
            let (mut i, mut j) = (first, second);
            while i < second && j < end {
                let (a, b) = (self.pieces[i], self.pieces[j]);
                if a.at + 1 < b.at {
                    i += 1;
                } else if b.at + 1 < a.at {
                    j += 1;
                } else if a.from_ink == b.from_ink {
                    self.pieces[i].linked[1] = j as u32;
                    self.pieces[j].linked[0] = i as u32;
                    (i, j) = (i + 1, j + 1);
                } else if a.at <= b.at {
                    // Of two different edges the first has no fellow further on.
                    i += 1;
                } else {
                    j += 1;
                }
            }
        }
    }

    /// The mean place of a piece and its fellows, at most half a pixel off.
    fn mean(&self, piece: usize) -> f32 {
        let own = self.pieces[piece].at;
        let (mut ends, mut sum, mut count) = ([piece as u32; 2], i64::from(own), 1);
        for _ in 0..SPAN {
            ends = [0, 1].map(|side| self.pieces[ends[side] as usize].linked[side]);
            if ends.contains(&NONE) {
                break;
            }
            sum += ends.iter().map(|&end| i64::from(self.pieces[end as usize].at)).sum::<i64>();
            count += 2;
        }
        let (own, mean) = (own as f32, sum as f32 / count as f32);
        mean.clamp(own - 0.5, own + 0.5)
    }

    /// The points on lines through centres, or between lines: (starts, places).
    fn points(&self, on: On) -> (Vec<usize>, Vec<f32>) {
        if on == On::Centres {
            return (self.starts.clone(), self.moved.clone());
        }
        // Edge `line` lies before line `line`: the first and the last have nothing on one side.
        let (mut starts, mut places) = (vec![0], Vec::with_capacity(self.moved.len()));
        for line in 0..self.lines() {
            starts.push(places.len());
            let pieces = self.starts[line]..self.starts[line + 1];
            places.extend(pieces.filter_map(|i| {
                let next = self.pieces[i].linked[1];
                (next != NONE).then(|| 0.5 * (self.moved[i] + self.moved[next as usize]))
            }));
        }
        starts.push(places.len());
        (starts, places)
    }

    /// Lowers `least` to the distance from each place to the nearest point. `pitch` is that of lines and of pixels along
    /// them; `index` finds (line, pixel).
    fn distances(
        &self,
        on: On,
        [pitch, along]: [f64; 2],
        index: impl Fn(usize, usize) -> usize,
        least: &mut [f32],
    ) -> Result<()> {
        let (starts, places) = self.points(on);
        let lines = starts.len() - 1;
        let (pixels, offset) = match on {
            On::Centres => (self.pixels, 0.5),
            On::Edges => (self.pixels + 1, 0.0),
        };
        // The next point of each line at or past the current pixel.
        let mut next = starts[..lines].to_vec();
        let mut envelope = Envelope::new(lines)?;
        for pixel in 0..pixels {
            let here = pixel as f64 + offset;
            envelope.clear();
            for line in 0..lines {
                let (from, end) = (starts[line], starts[line + 1]);
                while next[line] < end && f64::from(places[next[line]]) < here {
                    next[line] += 1;
                }
                let away = |i: usize| (f64::from(places[i]) - here).abs();
                let past = if next[line] < end { away(next[line]) } else { f64::INFINITY };
                let before = if next[line] > from { away(next[line] - 1) } else { f64::INFINITY };
                let way = past.min(before) * along;
                envelope.push(line as f64 * pitch, way * way, 0);
            }
            let mut sweep = envelope.sweep();
            for line in 0..lines {
                let here = line as f64 * pitch;
                let Some(parabola) = sweep.at(here) else { break };
                let across = here - parabola.apex;
                let way = (parabola.height + across * across).sqrt() as f32;
                let least = &mut least[index(line, pixel)];
                *least = least.min(way);
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::film::Film;

    #[test]
    fn a_straight_edge_is_found_at_any_angle() {
        let n = 60;
        let resolution = Resolution::per_inch(25_400.0).unwrap(); // pixels of 1 µm
        // How far a straight edge may move without moving a pixel: half a pixel where it runs along them, less where it
        // crosses rows and columns by turns.
        for (degrees, most) in [
            (0.0, 0.501),
            (7.5, 0.26),
            (18.0, 0.26),
            (22.5, 0.26),
            (45.0, 0.38),
            (61.0, 0.26),
            (90.0_f64, 0.501),
        ] {
            for shift in [0.0, 0.2, 0.45, 0.7] {
                let (sin, cos) = degrees.to_radians().sin_cos();
                let from_edge = |x: f64, y: f64| (x - 30.0) * cos + (y - 30.0) * sin - shift;
                let mut film = Film::new(n, n).unwrap();
                for i in 0..n * n {
                    let (x, y) = (i % n, i / n);
                    film.set(x, y, from_edge(x as f64 + 0.5, y as f64 + 0.5) > 0.0);
                }
                let found = Distances::new(&film.view(), resolution).unwrap();
                for (x, y) in (20..40).flat_map(|y| (20..40).map(move |x| (x, y))) {
                    let centre = from_edge(x as f64 + 0.5, y as f64 + 0.5).abs();
                    let corner = from_edge(x as f64, y as f64).abs();
                    for (seen, truth) in
                        [(found.at([2 * x + 1, 2 * y + 1]), centre), (found.at([2 * x, 2 * y]), corner)]
                    {
                        // Nearer by, the gaps between the points show.
                        let off = (seen.abs() - truth).abs();
                        assert!(truth < 1.5 || off < most, "{degrees} {shift}: {seen} for {truth}");
                    }
                }
            }
        }
    }
}
