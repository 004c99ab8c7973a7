//! A wedge made for printing: its patches and their plate.
//!
//! A wedge is read patch by patch, so its plate is the plain thing: rectangles of even tone in a grid, bare ground between them.
//! Every repeat after the first lies in the opposite order, so that a press that runs heavier towards one side does not bend the
//! curve. Rejected: a smooth ramp, in which a reading's place would have to be known to a fraction of a millimetre.
//!
//! Drawing labels on film is the sheet's work; here each patch has its label as text.

use ndarray::{Array2, s};

use crate::error::{Error, Result, filled};
use crate::plate::Tone;

/// Most patches of a wedge.
const MAX_PATCHES: usize = 4096;

/// Largest side of a patch, a gap or a wedge's plate, in samples.
const MAX_SIDE: usize = 1 << 20;

/// The coverages of a usual wedge: ends in steps of 1 to 5 %, where dots vanish and fill, the rest in tens.
pub const USUAL: [f64; 19] =
    [0.0, 0.01, 0.02, 0.03, 0.05, 0.07, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.98, 1.0];

/// One patch.
#[derive(Debug, Clone, PartialEq)]
pub struct Patch {
    /// Its coverage, 0…1.
    pub coverage: f64,
    /// What to write beside it: the coverage in percent, `50` or `2.5`.
    pub label: String,
}

/// A wedge laid out: its patches in reading order (rows from the top, each from the left) and the grid they lie in, in samples.
#[derive(Debug, Clone, PartialEq)]
pub struct Strip {
    patches: Vec<Patch>,
    columns: usize,
    patch: [usize; 2],
    gap: usize,
}

impl Strip {
    /// `repeats` of the given coverages (0…1 each, such as [`USUAL`]), `columns` to a row, each patch `patch` samples wide and
    /// high, with `gap` samples of bare ground around and between them.
    ///
    /// For readings to be right a patch should be 10 mm or more: an instrument's opening and twenty cells of the screen.
    ///
    /// Errors: no coverages or more than 4096 patches; a coverage out of range; no columns; a patch of no samples.
    pub fn new(
        coverages: &[f64],
        repeats: usize,
        columns: usize,
        patch: [usize; 2],
        gap: usize,
    ) -> Result<Self> {
        let count = coverages.len().saturating_mul(repeats);
        if !(1..=MAX_PATCHES).contains(&count) {
            return Err(Error::value("patches of a wedge", count, format!("1 to {MAX_PATCHES}")));
        }
        if let Some(bad) = coverages.iter().find(|c| !(0.0..=1.0).contains(*c)) {
            return Err(Error::value("coverage of a wedge patch", bad, "0 to 1"));
        }
        if !(1..=MAX_PATCHES).contains(&columns) {
            return Err(Error::value("columns of a wedge", columns, format!("1 to {MAX_PATCHES}")));
        }
        if patch.iter().any(|side| !(1..=MAX_SIDE).contains(side)) || gap > MAX_SIDE {
            let got = format!("{} x {} with gaps of {gap}", patch[0], patch[1]);
            return Err(Error::value("patch size", got, format!("1 to {MAX_SIDE} samples a side")));
        }
        let patches = (0..repeats).flat_map(|repeat| {
            (0..coverages.len()).map(move |i| if repeat % 2 == 0 { i } else { coverages.len() - 1 - i })
        });
        let named = |coverage: f64| Patch { coverage, label: format!("{}", (coverage * 1e4).round() / 1e2) };
        let patches = patches.map(|i| named(coverages[i])).collect();
        Ok(Self { patches, columns: columns.min(count), patch, gap })
    }

    /// The patches in reading order.
    pub fn patches(&self) -> &[Patch] {
        &self.patches
    }

    /// Columns and rows of the grid.
    pub fn grid(&self) -> [usize; 2] {
        [self.columns, self.patches.len().div_ceil(self.columns)]
    }

    /// Left, top, width and height of patch `i` of the reading order, in samples. Past the last patch: where it would lie.
    pub fn place(&self, i: usize) -> [usize; 4] {
        let at = |index: usize, side: usize| self.gap + index * (side + self.gap);
        let [width, height] = self.patch;
        [at(i % self.columns, width), at(i / self.columns, height), width, height]
    }

    /// Width and height of the plate, in samples.
    ///
    /// Errors: more than 1 048 576 samples a side.
    pub fn size(&self) -> Result<[usize; 2]> {
        let [columns, rows] = self.grid();
        let sides = [(columns, self.patch[0]), (rows, self.patch[1])];
        let [width, height] = sides.map(|(count, side)| count * (side + self.gap) + self.gap);
        if let Some(side) = [width, height].into_iter().find(|side| *side > MAX_SIDE) {
            return Err(Error::Limit {
                what: "a side of a wedge's plate, in samples",
                needed: side as u64,
                limit: MAX_SIDE as u64,
            });
        }
        Ok([width, height])
    }

    /// The plate, indexed `[row, column]`: coverage in the patches to the nearest tone, none between them.
    ///
    /// Errors: a plate that is [too large](Self::size); memory that cannot be had.
    pub fn plate<T: Tone>(&self) -> Result<Array2<T>> {
        let [width, height] = self.size()?;
        let samples = filled("a wedge's plate", width * height, T::from_level(0))?;
        let mut plate = Array2::from_shape_vec((height, width), samples)
            .map_err(|e| Error::data("a wedge's plate", e))?;
        for (i, patch) in self.patches.iter().enumerate() {
            let [x, y, width, height] = self.place(i);
            let level = (patch.coverage * f64::from(T::SOLID) + 0.5) as u32;
            plate.slice_mut(s![y..y + height, x..x + width]).fill(T::from_level(level));
        }
        Ok(plate)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn patches_lie_where_they_are_said_to() {
        let strip = Strip::new(&[0.0, 0.025, 0.5, 1.0], 2, 3, [5, 4], 2).unwrap();
        let labels: Vec<&str> = strip.patches().iter().map(|p| p.label.as_str()).collect();
        assert_eq!(labels, ["0", "2.5", "50", "100", "100", "50", "2.5", "0"]);
        assert_eq!(strip.grid(), [3, 3]);
        let plate = strip.plate::<u16>().unwrap();
        assert_eq!(plate.dim(), (3 * 6 + 2, 3 * 7 + 2));
        assert_eq!(strip.size().unwrap(), [23, 20]);
        let mut solid = 0;
        for (i, patch) in strip.patches().iter().enumerate() {
            let [x, y, w, h] = strip.place(i);
            for (row, column) in [(y, x), (y + h - 1, x + w - 1)] {
                let tone = f64::from(plate[[row, column]]) / 65_535.0;
                assert!((tone - patch.coverage).abs() < 1e-5);
            }
            solid += usize::from(patch.coverage > 0.0) * w * h;
            assert_eq!(plate[[y - 1, x]], 0);
        }
        assert_eq!(plate.iter().filter(|&&t| t > 0).count(), solid);
        assert_eq!(strip.plate::<u8>().unwrap()[[2, 9]], 6);
    }

    #[test]
    fn wedges_that_cannot_be_are_refused() {
        for (coverages, repeats, columns, side) in [
            (&[][..], 1, 1, 1),
            (&[0.5], 0, 1, 1),
            (&[0.5, f64::NAN], 1, 1, 1),
            (&[1.5], 1, 1, 1),
            (&[0.5], 1, 0, 1),
            (&[0.5], 1, 1, 0),
            (&[0.5], usize::MAX, 1, 1),
        ] {
            assert!(Strip::new(coverages, repeats, columns, [side, side], 0).is_err(), "{coverages:?}");
        }
        let large = Strip::new(&[0.5; 10], 1, 10, [MAX_SIDE, 1], 0).unwrap();
        assert!(large.plate::<u8>().is_err());
    }
}
