//! A round pen: the pixels within half its weight of a line.
//!
//! A stroke is a chain of straight pieces. The pixels of a piece are those whose centres lie within the pen's radius of it, in real
//! length, so a stroke is as wide across pixels that are not square as along them. In a row that is one run of pixels, found from
//! where the row crosses the two discs at the ends and the rectangle between them: + − × ÷ and a square root, so the bits are the
//! same on every processor. Rejected: asking each pixel of a piece's box for its distance, a hundred times the work for large
//! letters.

use crate::film::FilmMut;
use crate::units::Resolution;

/// A place on the film in micrometres from its upper left corner, y down.
pub(super) type Point = [f64; 2];

/// Weight of the middle point of a conic that makes it a quarter of an ellipse: the square root of one half.
const QUARTER: f64 = std::f64::consts::FRAC_1_SQRT_2;

/// How far a chain of pieces may stand off the curve it stands for, in micrometres: a fortieth of a pixel at 1200 px/inch.
const SAG: f64 = 0.5;

/// Most pieces of a quarter: they serve a radius of 100 mm to [`SAG`].
const MAX_PIECES: f64 = 256.0;

/// A pen over a film.
pub(super) struct Pen<'f, 'b> {
    film: &'f mut FilmMut<'b>,
    /// Width and height of a pixel.
    pixel: [f64; 2],
    radius: f64,
}

impl<'f, 'b> Pen<'f, 'b> {
    /// A pen of the given weight in micrometres, but at least of one pixel, so that no stroke has gaps.
    pub(super) fn new(film: &'f mut FilmMut<'b>, resolution: Resolution, weight: f64) -> Self {
        let pixel = [25_400.0 / resolution.x(), 25_400.0 / resolution.y()];
        Self { film, pixel, radius: weight.max(pixel[0]).max(pixel[1]) / 2.0 }
    }

    /// A straight piece; a disc where both ends are one.
    pub(super) fn line(&mut self, a: Point, b: Point) {
        let (top, bottom) = (a[1].min(b[1]) - self.radius, a[1].max(b[1]) + self.radius);
        let rows = centres(top, bottom, self.pixel[1], self.film.height());
        for y in rows {
            let [left, right] = run(a, b, self.radius, (y as f64 + 0.5) * self.pixel[1]);
            let columns = centres(left, right, self.pixel[0], self.film.width());
            fill(self.film.row_mut(y), columns.start, columns.end);
        }
    }

    /// The curve from `a` to `b` that rounds the corner at `corner`: a quarter of an ellipse where the corner is a right angle.
    pub(super) fn round(&mut self, a: Point, corner: Point, b: Point) {
        let reach = [a, b].map(|end| (end[0] - corner[0]).abs().max((end[1] - corner[1]).abs()));
        // A piece of a circle of radius R over an angle t stands off by R t²/8; here t is a right angle's n-th part.
        let pieces = libm::ceil((reach[0].max(reach[1]) * 0.31 / SAG).sqrt()).clamp(1.0, MAX_PIECES);
        let mut from = a;
        for i in 1..=pieces as usize {
            let t = i as f64 / pieces;
            let weights = [(1.0 - t) * (1.0 - t), 2.0 * QUARTER * t * (1.0 - t), t * t];
            let sum = weights[0] + weights[1] + weights[2];
            let to = [0, 1]
                .map(|axis| (weights[0] * a[axis] + weights[1] * corner[axis] + weights[2] * b[axis]) / sum);
            self.line(from, to);
            from = to;
        }
    }
}

/// The pixels of `0..count`, `size` long each, whose centres lie in `from..=to`; none where that is empty.
fn centres(from: f64, to: f64, size: f64, count: usize) -> std::ops::Range<usize> {
    let bound = |at: f64| at.clamp(0.0, count as f64) as usize;
    let (start, end) = (bound(libm::ceil(from / size - 0.5)), bound(libm::floor(to / size - 0.5) + 1.0));
    start..end.max(start)
}

/// From where to where a row at height `y` runs through the points within `radius` of the piece from `a` to `b`; an empty range, its
/// ends changed over, where it does not.
fn run(a: Point, b: Point, radius: f64, y: f64) -> [f64; 2] {
    let mut run = [f64::INFINITY, f64::NEG_INFINITY];
    let mut take = |x: f64| run = [run[0].min(x), run[1].max(x)];
    for end in [a, b] {
        let square = radius * radius - (y - end[1]) * (y - end[1]);
        if square >= 0.0 {
            let half = square.sqrt();
            take(end[0] - half);
            take(end[0] + half);
        }
    }
    let along = [b[0] - a[0], b[1] - a[1]];
    let length = (along[0] * along[0] + along[1] * along[1]).sqrt();
    if length > 0.0 {
        let side = [-along[1] * radius / length, along[0] * radius / length];
        let corners = [
            [a[0] + side[0], a[1] + side[1]],
            [b[0] + side[0], b[1] + side[1]],
            [b[0] - side[0], b[1] - side[1]],
            [a[0] - side[0], a[1] - side[1]],
        ];
        for i in 0..4 {
            let (p, q) = (corners[i], corners[(i + 1) % 4]);
            if p[1] != q[1] && (p[1].min(q[1])..=p[1].max(q[1])).contains(&y) {
                take(p[0] + (y - p[1]) / (q[1] - p[1]) * (q[0] - p[0]));
            }
        }
    }
    run
}

/// Sets the pixels `from..to` of a packed row.
fn fill(row: &mut [u8], from: usize, to: usize) {
    if from >= to {
        return;
    }
    let (first, last) = (from / 8, (to - 1) / 8);
    let (head, tail) = (0xff_u8 >> (from % 8), 0xff_u8 << (7 - (to - 1) % 8));
    if first == last {
        row[first] |= head & tail;
    } else {
        row[first] |= head;
        row[first + 1..last].fill(0xff);
        row[last] |= tail;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::film::Film;
    use proptest::prelude::*;

    /// The definition, pixel by pixel.
    fn distance(a: Point, b: Point, p: Point) -> f64 {
        let (along, to) = ([b[0] - a[0], b[1] - a[1]], [p[0] - a[0], p[1] - a[1]]);
        let square = along[0] * along[0] + along[1] * along[1];
        let part = if square > 0.0 { (along[0] * to[0] + along[1] * to[1]) / square } else { 0.0 };
        let part = part.clamp(0.0, 1.0);
        let off = [to[0] - part * along[0], to[1] - part * along[1]];
        (off[0] * off[0] + off[1] * off[1]).sqrt()
    }

    proptest! {
        #[test]
        fn a_line_is_what_lies_within_the_pens_radius(
            a in [-200.0..2000.0, -200.0..2000.0], b in [-200.0..2000.0, -200.0..2000.0],
            weight in 1.0..300.0, upright in 0..4, dots in [400.0..1500.0, 400.0..1500.0],
        ) {
            let b = match upright { 0 => [a[0], b[1]], 1 => [b[0], a[1]], 2 => a, _ => b };
            let resolution = Resolution::per_inch_xy(dots[0], dots[1]).unwrap();
            let pixel = dots.map(|d| 25_400.0 / d);
            let mut film = Film::new(70, 60).unwrap();
            Pen::new(&mut film.view_mut(), resolution, weight).line(a, b);
            let radius = weight.max(pixel[0]).max(pixel[1]) / 2.0;
            for y in 0..60 {
                for x in 0..70 {
                    let off = distance(a, b, [(x as f64 + 0.5) * pixel[0], (y as f64 + 0.5) * pixel[1]]);
                    if (off - radius).abs() > 1e-6 {
                        prop_assert_eq!(film.get(x, y), off < radius, "{} {}: {} of {}", x, y, off, radius);
                    }
                }
            }
        }
    }

    #[test]
    fn a_rounded_corner_is_a_quarter_of_a_circle() {
        let resolution = Resolution::per_inch(2540.0).unwrap(); // pixels of 10 µm
        let mut film = Film::new(400, 400).unwrap();
        Pen::new(&mut film.view_mut(), resolution, 100.0).round(
            [0.0, 3000.0],
            [3000.0, 3000.0],
            [3000.0, 0.0],
        );
        for y in 0..400 {
            for x in 0..400 {
                let off = ((x as f64 + 0.5).powi(2) + (y as f64 + 0.5).powi(2)).sqrt() * 10.0 - 3000.0;
                if (off.abs() - 50.0).abs() > 1.0 {
                    assert_eq!(film.get(x, y), off.abs() < 50.0, "{x} {y}");
                }
            }
        }
    }
}
