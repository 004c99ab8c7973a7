//! A band of a plate with what lies around it, as numbers to work with; least and greatest of the boxes about its pixels.
//!
//! Rows and columns beyond the plate are those of its border: what is cut off there goes on, and has no edge. Boxes are taken along rows, then
//! along columns; the least of n in a row from the least of 1, 2, 4, … in log₂ n passes, each of them a plain loop over two
//! stretches of memory. Rejected: two running leasts from block borders (M. van Herk, Pattern Recognition Letters 13 (1992) 517), which
//! take three passes whatever n is but cannot be done four at a time.

use std::ops::Range;

use ndarray::ArrayView2;

use crate::error::{Result, reserve};
use crate::plate::Tone;

/// Rows and columns of tones.
#[derive(Clone)]
pub(super) struct Plane {
    pub(super) width: usize,
    pub(super) tones: Vec<f32>,
}

impl Plane {
    /// Rows of a plate with `around` columns left and right and rows above and below.
    pub(super) fn of<T: Tone>(
        plate: ArrayView2<'_, T>,
        rows: Range<usize>,
        around: [usize; 2],
    ) -> Result<Self> {
        let (height, width) = plate.dim();
        let [left, above] = around;
        let whole = width + 2 * left;
        let mut tones = reserve("a band of a plate", whole.saturating_mul(rows.len() + 2 * above))?;
        for y in 0..rows.len() + 2 * above {
            let y = (rows.start + y).saturating_sub(above).min(height - 1);
            let tone = |x: usize| {
                let level: u32 = plate[[y, x]].as_();
                level as f32
            };
            tones.extend(std::iter::repeat_n(tone(0), left));
            tones.extend((0..width).map(tone));
            tones.extend(std::iter::repeat_n(tone(width - 1), left));
        }
        Ok(Self { width: whole, tones })
    }

    /// A plane of this one's size.
    pub(super) fn copy(&self) -> Result<Self> {
        let mut tones = reserve("a band of a plate", self.tones.len())?;
        tones.extend_from_slice(&self.tones);
        Ok(Self { width: self.width, tones })
    }

    /// Each tone as the least of the box of `way` pixels to all sides. The plane's own border of `way` pixels is left without meaning.
    pub(super) fn least(self, way: [usize; 2]) -> Self {
        self.boxes(way, |a, b| if b < a { b } else { a })
    }

    /// The same with the greatest.
    pub(super) fn greatest(self, way: [usize; 2]) -> Self {
        self.boxes(way, |a, b| if b > a { b } else { a })
    }

    fn boxes(mut self, [right, down]: [usize; 2], pick: impl Fn(f32, f32) -> f32 + Copy) -> Self {
        for row in self.tones.chunks_exact_mut(self.width) {
            stretch(row, 1, right, pick);
        }
        stretch(&mut self.tones, self.width, down, pick);
        self
    }
}

/// Items of `size` numbers become what `pick` takes of those up to `way` items before and after.
fn stretch(tones: &mut [f32], size: usize, way: usize, pick: impl Fn(f32, f32) -> f32) {
    let many = 2 * way + 1;
    let mut had = 1;
    while had < many {
        let by = had.min(many - had) * size;
        let end = tones.len().saturating_sub(by);
        for i in (0..end).step_by(LANES) {
            // Read before written: what is later in memory is still as it was.
            let some = LANES.min(end - i);
            let mut later = [0.0; LANES];
            later[..some].copy_from_slice(&tones[i + by..][..some]);
            for (tone, &later) in tones[i..i + some].iter_mut().zip(&later) {
                *tone = pick(*tone, later);
            }
        }
        had += by / size;
    }
    // What was found for the first of an item's neighbours is the item's own.
    let last = tones.len().saturating_sub(way * size);
    tones.copy_within(..last, way * size);
}

/// Numbers taken together in a loop, so that it can be done several at a time.
const LANES: usize = 64;

#[cfg(test)]
mod tests {
    use super::*;
    use ndarray::Array2;

    #[test]
    fn boxes_hold_their_least_and_greatest() {
        let plate = Array2::from_shape_fn((23, 31), |(y, x)| ((y * 97 + x * 57) * 7919 % 251) as u8);
        for [right, down] in [[0, 0], [1, 0], [0, 2], [3, 1], [4, 4], [7, 5]] {
            let around = [8, 6];
            let plane = Plane::of(plate.view(), 5..20, around).unwrap();
            let (least, greatest) =
                (plane.copy().unwrap().least([right, down]), plane.greatest([right, down]));
            for y in 0..15 {
                for x in 0..31 {
                    let near =
                        (0..=2 * down).flat_map(|v| (0..=2 * right).map(move |u| (u, v))).map(|(u, v)| {
                            let row = (5 + y + v).saturating_sub(down).min(22);
                            plate[[row, (x + u).saturating_sub(right).min(30)]]
                        });
                    let at = (y + around[1]) * least.width + x + around[0];
                    assert_eq!(least.tones[at], f32::from(near.clone().min().unwrap()));
                    assert_eq!(greatest.tones[at], f32::from(near.max().unwrap()));
                }
            }
        }
    }
}
