//! A scan of a printed wedge read: the mean light of each patch.
//!
//! A patch is a halftone: its pixels are ink or ground, so its tone is the mean of all, in linear light, and a median or a
//! trimmed mean would be wrong. Two things spoil a plain mean: the patch's edges, where the scan is blurred and the grid may be a
//! little off, and the cells that the edge of the window cuts. Both are met by weights that fall off as a raised cosine (F. J.
//! Harris, "On the use of windows for harmonic analysis", Proc. IEEE 66 (1978) 51–83: the Hann window) from the middle to nothing
//! at an inset from the patch's edge. Rejected: the box mean, which at ten cells a patch is whole points off as the window moves
//! by half a cell (the test shows it).
//!
//! Each patch's four quarters are read too: their spread tells a grid that is off, dust, or an uneven print.

use ndarray::ArrayView2;

use crate::error::{Error, Result};
use crate::plate::Tone;

/// What is left unread at each edge of a patch, in parts of its side.
const INSET: f64 = 0.1;

/// Fewest pixels of a patch's side in the scan.
const MIN_SIDE: f64 = 8.0;

/// Most patches in a scan.
const MAX_PATCHES: usize = 4096;

/// How a scan's numbers stand for light.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Encoding {
    /// In proportion to light.
    Linear,
    /// By the curve of IEC 61966-2-1 (sRGB), as grey pictures usually are.
    Srgb,
}

impl Encoding {
    /// Light of 0…1 for a value of 0…1.
    fn light(self, value: f64) -> f64 {
        match self {
            Self::Linear => value,
            Self::Srgb if value <= 0.04045 => value / 12.92,
            Self::Srgb => libm::pow((value + 0.055) / 1.055, 2.4),
        }
    }
}

/// Where the patches lie in a scan, in pixels: (0, 0) is the top left corner of the top left pixel, x runs right, y down.
///
/// Steps are vectors, so that a scan that is a little turned is read as it lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PatchGrid {
    /// Centre of the first patch.
    pub first: [f64; 2],
    /// From a patch to the next one in its row.
    pub along: [f64; 2],
    /// From a row to the next.
    pub down: [f64; 2],
    /// Patches in a row.
    pub columns: usize,
    /// Patches in all, row by row; the last row may be short.
    pub count: usize,
    /// Width and height of a patch, without the gaps.
    pub patch: [f64; 2],
}

/// What a patch of a scan reads.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Read {
    /// Mean light, 0…1 of the scan's white. A reflectance but for the scan's scale, which drops out of a coverage.
    pub reflectance: f64,
    /// Standard deviation of the means of the patch's quarters.
    pub spread: f64,
}

/// Reads every patch of a grey scan (indexed `[row, column]`, high is light), in the grid's order.
///
/// Errors: a grid that is not finite, leaves the scan, or has patches below 8 pixels or more than 4096 of them.
///
/// Cost: one look at each pixel of the patches.
pub fn read<T: Tone>(scan: ArrayView2<'_, T>, encoding: Encoding, grid: &PatchGrid) -> Result<Vec<Read>> {
    let [width, height] = grid.patch;
    let numbers = [grid.first, grid.along, grid.down, grid.patch];
    if numbers.iter().flatten().any(|n| !n.is_finite()) {
        return Err(Error::value("patch grid", format!("{grid:?}"), "finite numbers of pixels"));
    }
    if width < MIN_SIDE || height < MIN_SIDE {
        return Err(Error::value(
            "patch size in a scan",
            format!("{width} x {height}"),
            "8 pixels a side and more",
        ));
    }
    if grid.columns == 0 || !(1..=MAX_PATCHES).contains(&grid.count) {
        let got = format!("{} patches in {} columns", grid.count, grid.columns);
        return Err(Error::value("patch grid", got, format!("1 to {MAX_PATCHES} patches")));
    }
    (0..grid.count)
        .map(|i| {
            let (column, row) = ((i % grid.columns) as f64, (i / grid.columns) as f64);
            let centre = |axis: usize| grid.first[axis] + column * grid.along[axis] + row * grid.down[axis];
            let (x, y) = (centre(0), centre(1));
            let (right, bottom) = (scan.ncols() as f64, scan.nrows() as f64);
            if x - width / 2.0 < 0.0
                || y - height / 2.0 < 0.0
                || x + width / 2.0 > right
                || y + height / 2.0 > bottom
            {
                return Err(Error::value(
                    "patch grid",
                    format!("patch {} of {width} x {height} around ({x}, {y})", i + 1),
                    format!("inside a scan of {right} x {bottom} pixels"),
                ));
            }
            let sides = [width, height].map(|side| side * (1.0 - 2.0 * INSET));
            Ok(patch(scan, encoding, [x, y], sides))
        })
        .collect()
}

/// The weighted mean around a centre, and the spread of the quarters.
fn patch<T: Tone>(scan: ArrayView2<'_, T>, encoding: Encoding, [x, y]: [f64; 2], sides: [f64; 2]) -> Read {
    let mean = |centre: [f64; 2], sides: [f64; 2]| {
        let [columns, rows] = [0, 1].map(|axis| window(centre[axis], sides[axis]));
        let (mut sum, mut weights) = (0.0, 0.0);
        for &(row, down) in &rows {
            for &(column, across) in &columns {
                let value: u32 = scan[[row, column]].as_();
                sum += down * across * encoding.light(f64::from(value) / f64::from(T::SOLID));
                weights += down * across;
            }
        }
        sum / weights
    };
    let half = sides.map(|side| side / 2.0);
    let quarters = [(-0.5, -0.5), (0.5, -0.5), (-0.5, 0.5), (0.5, 0.5)]
        .map(|(across, down)| mean([x + across * half[0], y + down * half[1]], half));
    let middle = quarters.iter().sum::<f64>() / 4.0;
    let spread = libm::sqrt(quarters.iter().map(|q| (q - middle) * (q - middle)).sum::<f64>() / 3.0);
    Read { reflectance: mean([x, y], sides), spread }
}

/// Pixels whose centres lie within half a side of the centre, with Hann's weights. Sides are 3.2 pixels and more, so there are some.
fn window(centre: f64, side: f64) -> Vec<(usize, f64)> {
    let (from, to) = (libm::floor(centre - side / 2.0) as usize, libm::ceil(centre + side / 2.0) as usize);
    let weight = |pixel: usize| {
        let off = (pixel as f64 + 0.5 - centre) / side;
        if off.abs() < 0.5 { 0.5 + 0.5 * libm::cos(2.0 * std::f64::consts::PI * off) } else { 0.0 }
    };
    (from..to).map(|pixel| (pixel, weight(pixel))).filter(|(_, weight)| *weight > 0.0).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use ndarray::{Array2, s};

    /// Cells of 8 pixels with a square dot of 4, so a quarter ink; 240 light, 10 dark, patches of 80 pixels.
    fn halftone(shift: usize) -> Array2<u8> {
        Array2::from_shape_fn((100, 100), |(y, x)| {
            let inside = |v: usize| (10..90).contains(&v);
            let ink = (x + shift) % 8 < 4 && (y + shift) % 8 < 4;
            if !inside(x) || !inside(y) || !ink { 240 } else { 10 }
        })
    }

    fn one(first: [f64; 2], patch: [f64; 2]) -> PatchGrid {
        PatchGrid { first, along: [0.0; 2], down: [0.0; 2], columns: 1, count: 1, patch }
    }

    #[test]
    fn a_patch_is_read_though_the_grid_is_off() {
        let expected = (0.75 * 240.0 + 0.25 * 10.0) / 255.0;
        let (mut worst, mut box_worst): (f64, f64) = (0.0, 0.0);
        for shift in 0..8 {
            let scan = halftone(shift);
            for off in [-4.0, -1.3, 0.0, 2.5, 4.0] {
                let read = read(scan.view(), Encoding::Linear, &one([50.0 + off, 50.0 - off], [80.0, 80.0]))
                    .unwrap();
                worst = worst.max((read[0].reflectance - expected).abs());
                let from = (50.0 + off - 38.0) as usize;
                let plain = scan.slice(s![from..from + 76, from..from + 76]).map(|&v| f64::from(v));
                box_worst = box_worst.max((plain.mean().unwrap() / 255.0 - expected).abs());
            }
        }
        assert!(worst < 0.002, "{worst}");
        assert!(box_worst > 5.0 * worst, "a box would do: {box_worst}");
    }

    #[test]
    fn a_patch_half_missed_shows_in_its_spread() {
        let scan = Array2::from_shape_fn((60, 120), |(_, x)| if x < 60 { 50_000u16 } else { 10_000 });
        let good = read(scan.view(), Encoding::Linear, &one([30.0, 30.0], [50.0, 50.0])).unwrap()[0];
        let bad = read(scan.view(), Encoding::Linear, &one([60.0, 30.0], [50.0, 50.0])).unwrap()[0];
        assert!(good.spread < 1e-9 && bad.spread > 0.2, "{good:?} {bad:?}");
    }

    #[test]
    fn srgb_values_become_light() {
        // IEC 61966-2-1: 128/255 is 0.21586 of white, 10/255 0.0030353.
        for (value, light) in [(128u8, 0.215_860_5), (10, 0.003_035_27), (255, 1.0), (0, 0.0)] {
            let scan = Array2::from_elem((20, 20), value);
            let read = read(scan.view(), Encoding::Srgb, &one([10.0, 10.0], [16.0, 16.0])).unwrap();
            assert_abs_diff_eq!(read[0].reflectance, light, epsilon = 1e-7);
        }
    }

    #[test]
    fn grids_that_leave_the_scan_are_refused() {
        let scan = Array2::<u8>::zeros((20, 20));
        for grid in [
            one([5.0, 10.0], [12.0, 12.0]),
            one([10.0, 14.5], [12.0, 12.0]),
            one([10.0, 10.0], [4.0, 12.0]),
            one([f64::NAN, 10.0], [12.0, 12.0]),
            PatchGrid { columns: 0, ..one([10.0, 10.0], [12.0, 12.0]) },
            PatchGrid { count: 2, columns: 2, along: [12.0, 0.0], ..one([10.0, 10.0], [12.0, 12.0]) },
        ] {
            assert!(read(scan.view(), Encoding::Linear, &grid).is_err(), "{grid:?}");
        }
    }
}
