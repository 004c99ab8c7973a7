//! Spread: an ink drawn out under the next one where two solids butt, so that no garment shines through a seam that does not register.
//!
//! A *seam* is where the two plates, together solid, change over from one alone to the other alone within four pixels. From there the earlier ink's
//! edge moves by the length under the later one, by the same disk that chokes (`disk`):
//!
//! ```text
//! spread = max(tone, min(tone + other, greatest tone under the disk))        up to the length from a seam, where tone + other is solid
//! ```
//!
//! so seam pixels, which share their solid between both inks, are filled. All else keeps its tone: an edge against garment, a tint, two inks that
//! overlap or lie a pixel apart. Which ink is to spread is the caller's to say: the lighter one, whose overlap shows least, and the earlier, so that
//! it lies beneath (common practice).
//!
//! Rejected: spreading all of a plate and keeping what falls on the other, which draws ink into tints and across gaps.

use std::ops::Range;

use ndarray::{Array2, ArrayView2, ArrayViewMut2, Axis};

use crate::error::{Error, Result, filled};
use crate::plate::Tone;
use crate::trap::choke::Choke;
use crate::trap::disk::{Disk, Tap};
use crate::trap::plane::Plane;
use crate::units::{Length, Resolution};

/// Parts of solid from which on a tone is solid, both together are, and up to which a tone is none.
const SOLID: f32 = 0.98;
const TOGETHER: f32 = 0.95;
const NONE: f32 = 0.02;

/// Pixels from a seam within which both solids begin.
const SOFT: isize = 2;

/// Rows worked on together.
const BAND: usize = 96;

/// The earlier plate, spread under the later one by a length (0 or more, up to 64 pixels) where both are solid and butt.
///
/// Errors: plates of different sizes; a length out of range; memory that cannot be had. Cost: some 40 ns a pixel and core, and at each pixel near a seam
/// as many as the length has square pixels.
///
/// ```
/// use dotwright::trap::spread;
/// use dotwright::{Length, Resolution};
/// use ndarray::Array2;
///
/// let half = |left: bool| Array2::from_shape_fn((20, 60), |(_, x)| if (x < 30) == left { 255_u8 } else { 0 });
/// let (straw, red) = (half(true), half(false));
/// let spread = spread(straw.view(), red.view(), Length::mm(0.25)?, Resolution::per_inch(254.0)?)?;
/// let both: f64 = spread.row(9).iter().zip(red.row(9)).map(|(&a, &b)| f64::from(a.min(b)) / 255.0).sum();
/// assert!((both - 2.5).abs() < 0.02); // pixels of 0.1 mm
/// # Ok::<(), dotwright::Error>(())
/// ```
pub fn spread<T: Tone>(
    under: ArrayView2<'_, T>,
    over: ArrayView2<'_, T>,
    length: Length,
    resolution: Resolution,
) -> Result<Array2<T>> {
    let (height, width) = under.dim();
    if over.dim() != (height, width) {
        return Err(Error::Extent {
            what: "the later plate",
            got_width: over.ncols() as u64,
            got_height: over.nrows() as u64,
            width: width as u64,
            height: height as u64,
        });
    }
    if length.to_um() < 0.0 {
        return Err(Error::value("spread", length, "0 or more"));
    }
    let pixels = Choke::by(length)?.least(Length::default())?.in_pixels(resolution)?;
    let (radius, aspect) = (pixels.radius, resolution.y() / resolution.x());
    let samples = filled("a plate", width * height, T::from_level(0))?;
    let mut out = Array2::from_shape_vec((height, width), samples).map_err(|e| Error::data("a plate", e))?;
    out.assign(&under);
    if radius == 0.0 || width == 0 {
        return Ok(out);
    }
    let bands: Vec<_> = out.axis_chunks_iter_mut(Axis(0), BAND).enumerate().collect();
    let work = |(i, mut out): (usize, ArrayViewMut2<'_, T>)| {
        band(under, over, radius, aspect, i * BAND..i * BAND + out.nrows(), &mut out)
    };
    #[cfg(feature = "threads")]
    {
        use rayon::prelude::*;
        bands.into_par_iter().try_for_each(work)?;
    }
    #[cfg(not(feature = "threads"))]
    bands.into_iter().try_for_each(work)?;
    Ok(out)
}

fn band<T: Tone>(
    under: ArrayView2<'_, T>,
    over: ArrayView2<'_, T>,
    radius: f64,
    aspect: f64,
    rows: Range<usize>,
    out: &mut ArrayViewMut2<'_, T>,
) -> Result<()> {
    let solid = T::SOLID as f32;
    // From a seam to where the spread may end: the length, and the seam's own pixels.
    let far = radius + SOFT as f64;
    let near = [far, far * aspect].map(|far| libm::ceil(far) as usize + 1);
    let around = near.map(|near| near + SOFT as usize + 1);
    let (mut bare, over) = (Plane::of(under, rows.clone(), around)?, Plane::of(over, rows, around)?);
    let seam = Seam { under: &bare, over: &over, solid };
    let reach = Disk::new(far, aspect, bare.width);
    let mut beside = filled("pixels beside a seam", bare.tones.len(), false)?;
    let (top, left) = (around[1] - near[1], around[0] - near[0]);
    for y in top..top + out.nrows() + 2 * near[1] {
        for x in left..bare.width - left {
            let at = y * bare.width + x;
            if seam.at(at) {
                for &(off, _) in reach.within() {
                    if let Some(beside) = beside.get_mut(at.wrapping_add_signed(off)) {
                        *beside = true;
                    }
                }
            }
        }
    }
    let disk = Disk::new(radius, aspect, bare.width);
    let rim: Vec<Tap> = disk.rim(radius).collect();
    // The greatest of a tone is what the least of its bare part leaves.
    bare.tones.iter_mut().for_each(|tone| *tone = solid - *tone);
    for (y, mut row) in out.rows_mut().into_iter().enumerate() {
        for (x, to) in row.iter_mut().enumerate() {
            let at = (y + around[1]) * bare.width + x + around[0];
            let (tone, other) = (solid - bare.tones[at], over.tones[at]);
            if beside[at] && other > 0.0 && tone + other >= TOGETHER * solid {
                let most = solid - disk.least(&bare, at, radius, rim.iter().copied());
                let level: u32 = to.as_();
                *to = T::from_level(level.max((most.min(tone + other).min(solid) + 0.5) as u32));
            }
        }
    }
    Ok(())
}

/// Where two plates butt.
struct Seam<'a> {
    under: &'a Plane,
    over: &'a Plane,
    solid: f32,
}

impl Seam<'_> {
    fn at(&self, at: usize) -> bool {
        if !self.together(at) {
            return false;
        }
        let row = self.under.width as isize;
        let ways = [1, row, row + 1, row - 1].into_iter().flat_map(|way| [way, -way]);
        ways.into_iter().any(|way| {
            let (one, other) = (&self.under.tones, &self.over.tones);
            self.begins(at, way, other, one) && self.begins(at, -way, one, other)
        })
    }

    fn together(&self, at: usize) -> bool {
        self.under.tones[at] + self.over.tones[at] >= TOGETHER * self.solid
    }

    /// Whether one ink is solid, and alone, a few pixels that way, with both together solid on the way there.
    fn begins(&self, at: usize, way: isize, ink: &[f32], other: &[f32]) -> bool {
        for step in 0..=SOFT {
            let there = at.wrapping_add_signed(step * way);
            if !self.together(there) {
                return false;
            }
            if ink[there] >= SOLID * self.solid && other[there] <= NONE * self.solid {
                return true;
            }
        }
        false
    }
}
