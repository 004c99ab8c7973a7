//! A disk of real radius on a plate: the least tone under it.
//!
//! Grey erosion by a disk (J. Serra, Image Analysis and Mathematical Morphology, 1982) on the surface that tones make when they are
//! interpolated between pixel centres (bilinear): at each pixel the least of
//!
//! ```text
//! the pixels whose centres lie within the radius        and        points of the rim, evenly spaced
//! ```
//!
//! Interpolated tones keep their sum when they are shifted, so a straight edge moves by the radius whatever part of a pixel that is and
//! however pixels lie on it. Points of the rim lie on a circle a little larger, so that the polygon's mean reach, over all directions of
//! an edge, is the radius: no edge is then off by more than 0.04 pixels. Pixels that are longer one way than the other make
//! the disk an ellipse of pixels.
//!
//! Rejected: the pixels within the radius alone, which reach 2.60 pixels at a radius of 3 across an edge at 30°, and move nothing
//! below one pixel; and weights for pixels on the rim, which are a quarter of a pixel off where an edge runs half-way through one.

use std::f64::consts::PI;

use crate::trap::plane::Plane;

/// How far an edge may be off for the rim's points lying apart, in pixels.
const OFF: f64 = 0.04;

/// Disks of any radius up to the largest.
pub(super) struct Disk {
    /// Numbers in a row of the plane.
    row: usize,
    /// Rim points of radius 1, in pixels along x and y.
    rim: Vec<[f64; 2]>,
    /// Pixels within the largest radius: where they lie in the plane, and how far. By distance.
    within: Vec<(isize, f64)>,
}

/// A point between four pixels: where the first of them lies in the plane, from a pixel, and their weights.
#[derive(Clone, Copy)]
pub(super) struct Tap {
    first: isize,
    weights: [f32; 4],
}

impl Disk {
    /// Disks of up to `largest` pixels along x in a plane with rows of `row` numbers; `aspect` pixels along y are as long as one along x.
    pub(super) fn new(largest: f64, aspect: f64, row: usize) -> Self {
        let across = largest * aspect.max(1.0);
        // Reach falls by 1 − cos(π / points) between points, two thirds of it below the mean.
        let needed = PI * (across / (3.0 * OFF)).sqrt();
        let points = (16.max(needed as usize + 1)).next_multiple_of(8);
        let half = PI / points as f64;
        let larger = half / libm::sin(half);
        let rim = (0..points).map(|i| {
            let angle = 2.0 * PI * i as f64 / points as f64;
            [larger * libm::cos(angle), larger * libm::sin(angle) * aspect]
        });
        let (right, down) = (largest as isize, (largest * aspect) as isize);
        let all = (-down..=down).flat_map(|v| (-right..=right).map(move |u| (u, v)));
        let mut within: Vec<_> = all
            .map(|(u, v)| (v * row as isize + u, length(u as f64, v as f64 / aspect)))
            .filter(|&(_, far)| far <= largest)
            .collect();
        within.sort_by(|a, b| a.1.total_cmp(&b.1));
        Self { row, rim: rim.collect(), within }
    }

    /// The rim at a radius.
    pub(super) fn rim(&self, radius: f64) -> impl Iterator<Item = Tap> + '_ {
        self.rim.iter().map(move |&[u, v]| Tap::at(u * radius, v * radius, self.row))
    }

    /// The least tone under a disk about pixel `at`, whose [`rim`](Self::rim) is given.
    pub(super) fn least(&self, plane: &Plane, at: usize, radius: f64, rim: impl Iterator<Item = Tap>) -> f32 {
        let mut least = plane.tones[at];
        for &(off, far) in &self.within {
            if far > radius {
                break;
            }
            let tone = plane.tones[at.wrapping_add_signed(off)];
            least = if tone < least { tone } else { least };
        }
        for tap in rim {
            let tone = tap.of(plane, at);
            least = if tone < least { tone } else { least };
        }
        least
    }

    /// Pixels within the largest radius.
    pub(super) fn within(&self) -> &[(isize, f64)] {
        &self.within
    }
}

impl Tap {
    pub(super) fn at(x: f64, y: f64, row: usize) -> Self {
        let (u, v) = (libm::floor(x), libm::floor(y));
        let (p, q) = ((x - u) as f32, (y - v) as f32);
        let weights = [(1.0 - p) * (1.0 - q), p * (1.0 - q), (1.0 - p) * q, p * q];
        Self { first: v as isize * row as isize + u as isize, weights }
    }

    pub(super) fn of(&self, plane: &Plane, at: usize) -> f32 {
        let first = at.wrapping_add_signed(self.first);
        let (above, below) = (&plane.tones[first..first + 2], &plane.tones[first + plane.width..][..2]);
        let [a, b, c, d] = self.weights;
        a * above[0] + b * above[1] + c * below[0] + d * below[1]
    }
}

fn length(x: f64, y: f64) -> f64 {
    (x * x + y * y).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use ndarray::Array2;

    fn picture(name: &str) -> Array2<u8> {
        let file = format!("{}/tests/reference/choke/{name}.png", env!("CARGO_MANIFEST_DIR"));
        let picture = image::open(file).unwrap().to_luma8();
        let (width, height) = picture.dimensions();
        Array2::from_shape_vec((height as usize, width as usize), picture.into_raw()).unwrap()
    }

    /// scipy.ndimage.grey_erosion by the pixels within whole radii (`tests/reference/choke.py`).
    #[test]
    fn whole_radii_hold_the_pixels_within_and_no_more_than_a_pixel_beyond() {
        let grey = picture("grey");
        let (height, width) = grey.dim();
        let plane = Plane::of(grey.view(), 0..height, [8, 8]).unwrap();
        for radius in 1..=4 {
            let disk = Disk::new(f64::from(radius), 1.0, plane.width);
            let (within, beyond) =
                (picture(&format!("grey-{radius}0")), picture(&format!("grey-{}0", radius + 2)));
            let mut off = 0.0;
            for ((y, x), &within) in within.indexed_iter() {
                let at = (y + 8) * plane.width + x + 8;
                let found = disk.least(&plane, at, f64::from(radius), disk.rim(f64::from(radius)));
                assert!(found <= f32::from(within) && found >= f32::from(beyond[[y, x]]), "{x} {y}");
                off += f64::from(f32::from(within) - found) / (width * height) as f64;
            }
            // Between pixels there is less than at them, but not by much.
            println!("radius {radius}: {off:.2} levels below the pixels within");
            assert!(off < 12.0, "{off}");
        }
    }
}
