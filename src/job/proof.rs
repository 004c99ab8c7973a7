//! The proof of a job, and how far it is from the art, at a size that an eye and a page can use.
//!
//! Each pixel of plates is printed by the model, and the light of square blocks of them is averaged, to [`FINE`] pixels an inch or just
//! below: from half a metre an eye tells no finer. The art is averaged alike, over the garment where it is transparent. Both are then
//! taken as the eye sees them before they are compared, so that an edge that lies half a pixel off is no difference. Rejected: averaging
//! plates before they are printed, which lays inks over each other along every edge between them.

use std::ops::ControlFlow;

use ndarray::{Array2, Array3, ArrayView3};

use crate::art::Samples;
use crate::bands::{Progress, each_band};
use crate::colour::srgb::Code;
use crate::colour::{LinearRgb, Print, Xyz};
use crate::error::{Error, Result, filled};
use crate::job::Distance;
use crate::job::picture::Plates;
use crate::plate::Tone;
use crate::proof::eye::seen_from;
use crate::proof::{Differences, Picture};
use crate::units::{Length, Resolution};

/// Finest pixels of a proof, an inch.
const FINE: f64 = 150.0;

/// Rows of a proof in one band.
const BAND: usize = 32;

/// How pixels of plates are gathered to those of a proof.
#[derive(Debug, Clone, Copy)]
pub(super) struct Blocks {
    /// Sides of a block.
    across: usize,
    down: usize,
    /// Of the proof.
    pub width: usize,
    pub height: usize,
    pub resolution: Resolution,
}

impl Blocks {
    /// For plates of a size. What is left over at the right and at the bottom makes smaller blocks.
    pub(super) fn new(width: usize, height: usize, resolution: Resolution) -> Result<Self> {
        let side = |per_inch: f64| (per_inch / FINE).round().max(1.0) as usize;
        let (across, down) = (side(resolution.x()), side(resolution.y()));
        let resolution =
            Resolution::per_inch_xy(resolution.x() / across as f64, resolution.y() / down as f64)?;
        let (columns, rows) = (width.div_ceil(across), height.div_ceil(down));
        Ok(Self { across, down, width: columns, height: rows, resolution })
    }

    /// The picture whose pixel (x, y) is what `colour` makes of a block: the ranges of its columns and rows.
    fn picture<S>(
        &self,
        size: [usize; 2],
        progress: &mut dyn FnMut(f64) -> ControlFlow<()>,
        state: impl Fn() -> S + Sync,
        colour: impl Fn(&mut S, std::ops::Range<usize>, std::ops::Range<usize>) -> [f64; 3] + Sync,
    ) -> Result<Picture> {
        let pixels = filled("a proof", self.width * self.height, [0.0_f32; 3])?;
        let mut pixels = Array2::from_shape_vec((self.height, self.width), pixels)
            .map_err(|e| Error::data("a proof", e))?;
        let row = |y: usize, row: &mut [[f32; 3]]| {
            let mut state = state();
            let rows = y * self.down..((y + 1) * self.down).min(size[1]);
            for (x, pixel) in row.iter_mut().enumerate() {
                let columns = x * self.across..((x + 1) * self.across).min(size[0]);
                *pixel = colour(&mut state, columns, rows.clone()).map(|light| light as f32);
            }
        };
        let mut hear = |p: Progress| progress(p.done as f64 / p.total as f64);
        let samples = pixels.as_slice_mut().unwrap_or_default();
        each_band(self.height, BAND, &mut hear, |band| {
            let start = band.start;
            let rows = &mut samples[start * self.width..band.end * self.width];
            #[cfg(feature = "threads")]
            {
                use rayon::prelude::*;
                rows.par_chunks_mut(self.width).enumerate().for_each(|(i, out)| row(start + i, out));
            }
            #[cfg(not(feature = "threads"))]
            rows.chunks_mut(self.width).enumerate().for_each(|(i, out)| row(start + i, out));
            Ok(())
        })?;
        Ok(Picture { pixels })
    }

    /// The print of plates.
    pub(super) fn proof(
        &self,
        print: &Print,
        plates: &Plates,
        progress: &mut dyn FnMut(f64) -> ControlFlow<()>,
    ) -> Result<Picture> {
        match plates {
            Plates::U8(plates) => self.proof_of(print, plates, progress),
            Plates::U16(plates) => self.proof_of(print, plates, progress),
        }
    }

    fn proof_of<T: Tone>(
        &self,
        print: &Print,
        plates: &[Array2<T>],
        progress: &mut dyn FnMut(f64) -> ControlFlow<()>,
    ) -> Result<Picture> {
        let (height, width) = plates.first().map_or((0, 0), Array2::dim);
        let none = (vec![u32::MAX; plates.len()], vec![0.0; plates.len()], [0.0; 3]);
        self.picture(
            [width, height],
            progress,
            || none.clone(),
            |(last, coverages, light), columns, rows| {
                let mut sum = [0.0; 3];
                let pixels = (columns.len() * rows.len()) as f64;
                for (y, x) in rows.flat_map(|y| columns.clone().map(move |x| (y, x))) {
                    let mut same = true;
                    for (last, plate) in last.iter_mut().zip(plates) {
                        let tone: u32 = plate[[y, x]].as_();
                        same &= *last == tone;
                        *last = tone;
                    }
                    if !same {
                        for (coverage, &tone) in coverages.iter_mut().zip(last.iter()) {
                            *coverage = f64::from(tone) / f64::from(T::SOLID);
                        }
                        *light = print.xyz(coverages).0;
                    }
                    (0..3).for_each(|i| sum[i] += light[i]);
                }
                sum.map(|light| light / pixels)
            },
        )
    }

    /// A picture of art, of which `colour` makes a block: told the mean light of what is opaque in it, and the part that is.
    pub(super) fn of_art(
        &self,
        art: &Samples,
        colour: impl Fn(LinearRgb, f64) -> Xyz + Sync,
        progress: &mut dyn FnMut(f64) -> ControlFlow<()>,
    ) -> Result<Picture> {
        match art {
            Samples::U8(art) => self.art(art.view(), colour, progress),
            Samples::U16(art) => self.art(art.view(), colour, progress),
        }
    }

    fn art<T: Code>(
        &self,
        art: ArrayView3<'_, T>,
        colour: impl Fn(LinearRgb, f64) -> Xyz + Sync,
        progress: &mut dyn FnMut(f64) -> ControlFlow<()>,
    ) -> Result<Picture> {
        let (height, width, channels) = art.dim();
        self.picture(
            [width, height],
            progress,
            || (),
            |(), columns, rows| {
                let pixels = (columns.len() * rows.len()) as f64;
                let (mut sum, mut opaque) = ([0.0; 3], 0.0);
                for (y, x) in rows.flat_map(|y| columns.clone().map(move |x| (y, x))) {
                    let part = if channels == 4 {
                        let level: u32 = art[[y, x, 3]].as_();
                        f64::from(level) / f64::from(T::SOLID)
                    } else {
                        1.0
                    };
                    opaque += part;
                    (0..3).for_each(|i| sum[i] += part * art[[y, x, i]].light());
                }
                let mean = if opaque > 0.0 { sum.map(|light| light / opaque) } else { sum };
                colour(LinearRgb(mean), opaque / pixels).0
            },
        )
    }
}

/// What lies over a garment in that part.
pub(super) fn over(garment: Xyz, own: Xyz, part: f64) -> Xyz {
    if part == 0.0 { garment } else { Xyz([0, 1, 2].map(|i| part * own.0[i] + (1.0 - part) * garment.0[i])) }
}

/// How far a proof is from pictures as the eye sees all of them, as maps and in numbers.
pub(super) fn compared<const N: usize>(
    proof: &Picture,
    others: [&Picture; N],
    resolution: Resolution,
    eye: Length,
) -> Result<[(Differences, Distance); N]> {
    let proof = seen_from(proof, resolution, eye)?;
    let mut found = Vec::with_capacity(N);
    for other in others {
        let off = Differences::between(&proof, &seen_from(other, resolution, eye)?)?;
        let (worst_place, worst) = off.worst_inch(resolution);
        let distance = Distance { mean: off.mean(), most: off.quantile(0.95), worst, worst_place };
        found.push((off, distance));
    }
    found.try_into().map_err(|_| Error::data("a proof", "compared with other pictures than were given"))
}

/// Colours of a map of differences: ΔE00 and sRGB.
pub(super) const SCALE: [(f32, [u8; 3]); 6] = [
    (0.0, [0xf4, 0xf1, 0xea]),
    (1.0, [0xdc, 0xe3, 0xc8]),
    (3.0, [0x9f, 0xc4, 0xa6]),
    (6.0, [0x4b, 0x8f, 0xa0]),
    (10.0, [0x3d, 0x4f, 0x8c]),
    (20.0, [0x2c, 0x12, 0x3f]),
];

/// The map in the colours of [`SCALE`], between them in proportion.
pub(super) fn map_picture(off: &Differences) -> Result<Array3<u8>> {
    let map = off.map();
    let mut codes = filled("a map of differences", 3 * map.len(), 0_u8)?;
    for (pixel, &off) in codes.chunks_exact_mut(3).zip(&map) {
        let above = SCALE.iter().position(|&(at, _)| off < at).unwrap_or(SCALE.len() - 1).max(1);
        let ((low, from), (high, to)) = (SCALE[above - 1], SCALE[above]);
        let part = ((off - low) / (high - low)).clamp(0.0, 1.0);
        for i in 0..3 {
            let (from, to) = (f32::from(from[i]), f32::from(to[i]));
            pixel[i] = (from + part * (to - from)).round() as u8;
        }
    }
    let (height, width) = map.dim();
    Array3::from_shape_vec((height, width, 3), codes).map_err(|e| Error::data("a map of differences", e))
}
