//! A wedge made for printing: its patches and their plate.
//!
//! A wedge is read patch by patch, so its plate is the plain thing: rectangles of even tone in a grid, bare ground between them.
//! Every repeat after the first lies in the opposite order, so that a press that runs heavier towards one side does not bend the
//! curve. Rejected: a smooth ramp, in which a reading's place would have to be known to a fraction of a millimetre.
//!
//! Labels stand above the patches, in solid tone, where they are asked for: a wedge that has left its film can still be read.

use ndarray::{Array2, s};

use crate::error::{Error, Result, filled};
use crate::film::Film;
use crate::lettering::Lettering;
use crate::plate::Tone;
use crate::units::Resolution;

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
    labels: Option<Labels>,
}

/// How labels are drawn.
#[derive(Debug, Clone, PartialEq)]
struct Labels {
    letters: Lettering,
    resolution: Resolution,
    /// Samples from a label's feet to its patch.
    clear: usize,
    /// Samples that a row of labels takes, that clearance included.
    height: usize,
    /// Samples that keep a label further from the patch above it than from its own.
    apart: usize,
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
        Ok(Self { patches, columns: columns.min(count), patch, gap, labels: None })
    }

    /// The same wedge with each patch's label above it, for a plate of the given resolution. Rows of patches move apart by what the
    /// labels take; letters below ten samples cannot be read.
    ///
    /// Errors: a label wider than its patch and one gap; labels larger than a plate may be.
    pub fn labelled(self, letters: Lettering, resolution: Resolution) -> Result<Self> {
        let (wide, high) = letters.height().in_pixels(resolution);
        if wide > MAX_SIDE as f64 || high > MAX_SIDE as f64 {
            return Err(Error::value("label height", letters.height(), format!("below {MAX_SIDE} samples")));
        }
        let room = self.patch[0] + self.gap;
        for patch in &self.patches {
            let (width, _) = letters.width(&patch.label).in_pixels(resolution);
            if width > room as f64 {
                return Err(Error::value(
                    "label height",
                    letters.height(),
                    format!("letters in which {} takes at most {room} samples", patch.label),
                ));
            }
        }
        let clear = libm::ceil(0.4 * high) as usize;
        let height = libm::ceil(high) as usize + clear;
        let labels = Labels { letters, resolution, clear, height, apart: 2 * clear };
        Ok(Self { labels: Some(labels), ..self })
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
        let [width, height] = self.patch;
        let x = self.gap + i % self.columns * (width + self.gap);
        let y = self.gap + self.label_rows() + i / self.columns * self.row_pitch();
        [x, y, width, height]
    }

    /// Width and height of the plate, in samples.
    pub fn size(&self) -> [usize; 2] {
        let [columns, rows] = self.grid();
        let [x, y, width, height] = self.place(rows * columns - 1);
        [x + width + self.gap, y + height + self.gap]
    }

    fn row_pitch(&self) -> usize {
        let apart = self.labels.as_ref().map_or(0, |labels| labels.apart);
        self.patch[1] + self.gap + self.label_rows() + apart
    }

    fn label_rows(&self) -> usize {
        self.labels.as_ref().map_or(0, |labels| labels.height)
    }

    /// The plate, indexed `[row, column]`: coverage in the patches to the nearest tone, solid in labels, none elsewhere.
    ///
    /// Errors: a plate of more than 1 048 576 samples a side; memory that cannot be had.
    pub fn plate<T: Tone>(&self) -> Result<Array2<T>> {
        let [width, height] = self.size();
        if let Some(side) = [width, height].into_iter().find(|side| *side > MAX_SIDE) {
            return Err(Error::Limit {
                what: "a side of a wedge's plate, in samples",
                needed: side as u64,
                limit: MAX_SIDE as u64,
            });
        }
        let samples = filled("a wedge's plate", width * height, T::from_level(0))?;
        let mut plate = Array2::from_shape_vec((height, width), samples)
            .map_err(|e| Error::data("a wedge's plate", e))?;
        for (i, patch) in self.patches.iter().enumerate() {
            let [x, y, width, height] = self.place(i);
            let level = (patch.coverage * f64::from(T::SOLID) + 0.5) as u32;
            plate.slice_mut(s![y..y + height, x..x + width]).fill(T::from_level(level));
            if let Some(labels) = &self.labels {
                let (film, line) = labels.letters.film(labels.resolution, &patch.label)?;
                // Centred over the patch; the row below its feet is `line` of the label's own film.
                let left = (x + width / 2) as isize - (film.width() / 2) as isize;
                let top = (y - labels.clear) as isize - line as isize;
                draw(&mut plate, &film, left, top);
            }
        }
        Ok(plate)
    }
}

/// Solid where the film has ink; what would lie outside of the plate is left out.
fn draw<T: Tone>(plate: &mut Array2<T>, film: &Film, left: isize, top: isize) {
    for y in 0..film.height() {
        for x in (0..film.width()).filter(|&x| film.get(x, y)) {
            let at = (top.saturating_add_unsigned(y), left.saturating_add_unsigned(x));
            if let (Ok(row), Ok(column)) = (usize::try_from(at.0), usize::try_from(at.1))
                && let Some(tone) = plate.get_mut([row, column])
            {
                *tone = T::from_level(T::SOLID);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;

    #[test]
    fn patches_lie_where_they_are_said_to() {
        let strip = Strip::new(&[0.0, 0.025, 0.5, 1.0], 2, 3, [5, 4], 2).unwrap();
        let labels: Vec<&str> = strip.patches().iter().map(|p| p.label.as_str()).collect();
        assert_eq!(labels, ["0", "2.5", "50", "100", "100", "50", "2.5", "0"]);
        assert_eq!(strip.grid(), [3, 3]);
        let plate = strip.plate::<u16>().unwrap();
        assert_eq!(plate.dim(), (3 * 6 + 2, 3 * 7 + 2));
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
    fn labels_stand_clear_above_their_patches() {
        let resolution = Resolution::per_inch_xy(300.0, 600.0).unwrap();
        let letters = Lettering::new(Length::mm(2.0).unwrap()).unwrap();
        let plain = Strip::new(&[0.5, 0.025, 1.0], 1, 2, [90, 180], 12).unwrap();
        let strip = plain.clone().labelled(letters, resolution).unwrap();
        let plate = strip.plate::<u8>().unwrap();
        assert_eq!([plate.ncols(), plate.nrows()], strip.size());
        // Twice a label and its clearance, 1.4 of the letters' height of 47.2 rows; once what keeps the second from the patch above.
        assert_eq!(strip.size()[1] - plain.size()[1], 2 * (48 + 19) + 38);
        let mut inked = 0;
        for (i, patch) in strip.patches().iter().enumerate() {
            let [x, y, width, height] = strip.place(i);
            let level = (patch.coverage * 255.0).round() as u8;
            assert!(plate.slice(s![y..y + height, x..x + width]).iter().all(|&t| t == level));
            assert!(plate.slice(s![y - 19..y, x - 6..x + width + 6]).iter().all(|&t| t == 0));
            // The label is that of the lettering, in solid tone, a sample off the middle at the most.
            let label = plate.slice(s![y - 19 - 48..y - 19, x - 6..x + width + 6]);
            assert!(label.iter().all(|&t| t == 0 || t == 255));
            let ink = label.iter().filter(|&&t| t == 255).count();
            let (film, _) = letters.film(resolution, &patch.label).unwrap();
            assert_eq!(ink as u64, film.count(), "{}", patch.label);
            let columns: Vec<usize> =
                (0..width + 12).filter(|&c| label.column(c).iter().any(|&t| t == 255)).collect();
            assert!((columns[0] + columns[columns.len() - 1]).abs_diff(width + 11) <= 2, "{}", patch.label);
            inked += ink + usize::from(level > 0) * width * height;
        }
        assert_eq!(plate.iter().filter(|&&t| t > 0).count(), inked);
        let narrow = Strip::new(&[1.0], 1, 1, [30, 30], 5).unwrap();
        assert!(narrow.labelled(letters, resolution).is_err());
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
