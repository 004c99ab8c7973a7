//! How far a print is from the art: ΔE00 at every pixel, and in numbers.
//!
//! A print cannot be every colour, so a difference against the art's own codes tells of ink and garment as much as of plates; against the
//! colours [wanted](crate::colour::separate::Separation::wanted), adapted and in gamut, of plates alone. The caller hands in either.

use ndarray::Array2;

use crate::colour::ciede2000;
use crate::error::{Error, Result, filled};
use crate::proof::Picture;

/// ΔE00 of two pictures.
#[derive(Debug, Clone, PartialEq)]
pub struct Differences {
    map: Array2<f32>,
}

impl Differences {
    /// Of two pictures of one size.
    ///
    /// Errors: other sizes; memory that cannot be had. Cost: some 0.2 µs a pixel and core.
    pub fn between(one: &Picture, other: &Picture) -> Result<Self> {
        if one.pixels.dim() != other.pixels.dim() {
            return Err(Error::Extent {
                what: "the other picture",
                got_width: other.width() as u64,
                got_height: other.height() as u64,
                width: one.width() as u64,
                height: one.height() as u64,
            });
        }
        let map = filled("a map of differences", one.pixels.len(), 0.0_f32)?;
        let mut map = Array2::from_shape_vec(one.pixels.dim(), map)
            .map_err(|e| Error::data("a map of differences", e))?;
        let work = |(y, mut row): (usize, ndarray::ArrayViewMut1<'_, f32>)| {
            for (x, off) in row.iter_mut().enumerate() {
                *off = ciede2000(one.lab(x, y), other.lab(x, y)) as f32;
            }
        };
        let rows = map.rows_mut().into_iter().enumerate();
        #[cfg(feature = "threads")]
        {
            use rayon::prelude::*;
            rows.collect::<Vec<_>>().into_par_iter().with_min_len(8).for_each(work);
        }
        #[cfg(not(feature = "threads"))]
        rows.for_each(work);
        Ok(Self { map })
    }

    /// ΔE00 of each pixel, indexed `[row, column]`.
    pub fn map(&self) -> ndarray::ArrayView2<'_, f32> {
        self.map.view()
    }

    /// Mean; 0 for empty pictures.
    pub fn mean(&self) -> f64 {
        self.map.iter().map(|&off| f64::from(off)).sum::<f64>() / self.map.len().max(1) as f64
    }

    /// The difference that this part (0…1) of all pixels does not exceed: 0.5 for the median. 0 for empty pictures.
    pub fn quantile(&self, part: f64) -> f64 {
        let mut all: Vec<f32> = self.map.iter().copied().collect();
        if all.is_empty() {
            return 0.0;
        }
        let place = ((all.len() - 1) as f64 * part.clamp(0.0, 1.0)).round() as usize;
        f64::from(*all.select_nth_unstable_by(place, f32::total_cmp).1)
    }

    /// The square of `side` pixels (fewer at small pictures) with the highest mean difference: its left and top, and that mean. A single pixel
    /// says little: it may lie on an edge.
    pub fn worst(&self, side: usize) -> ([usize; 2], f64) {
        let (height, width) = self.map.dim();
        let (wide, high) = (side.clamp(1, width.max(1)), side.clamp(1, height.max(1)));
        let mut worst = ([0, 0], 0.0);
        // Sums down the columns, moved on row by row, then along them.
        let mut columns = vec![0.0_f64; width];
        for y in 0..height {
            for (x, sum) in columns.iter_mut().enumerate() {
                *sum += f64::from(self.map[[y, x]]);
                if y >= high {
                    *sum -= f64::from(self.map[[y - high, x]]);
                }
            }
            if y + 1 < high {
                continue;
            }
            let mut sum = 0.0;
            for x in 0..width {
                sum += columns[x];
                if x >= wide {
                    sum -= columns[x - wide];
                }
                if x + 1 >= wide && sum / (wide * high) as f64 > worst.1 {
                    worst = ([x + 1 - wide, y + 1 - high], sum / (wide * high) as f64);
                }
            }
        }
        worst
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::{Lab, Xyz};

    #[test]
    fn numbers_and_the_worst_place_are_found() {
        let grey = |l: f64| Lab { l, a: 0.0, b: 0.0 }.to_xyz();
        let one = Picture::new(40, 30, |_, _| grey(50.0)).unwrap();
        let other = Picture::new(40, 30, |x, y| match (x, y) {
            (20..25, 10..15) => grey(60.0),
            (0, 0) => grey(90.0),
            _ => grey(50.0),
        })
        .unwrap();
        let off = Differences::between(&one, &other).unwrap();
        let step = ciede2000(grey(50.0).to_lab(), grey(60.0).to_lab());
        let (place, mean) = off.worst(5);
        assert_eq!(place, [20, 10]);
        assert!((mean - step).abs() < 1e-3);
        assert!((off.map()[[12, 22]] as f64 - step).abs() < 1e-3);
        assert!(off.quantile(0.5) < 1e-3 && off.quantile(1.0) > 30.0);
        let expected = (25.0 * step + off.quantile(1.0)) / 1200.0;
        assert!((off.mean() - expected).abs() < 1e-4);
        let empty = Picture::new(0, 0, |_, _| Xyz::default()).unwrap();
        let none = Differences::between(&empty, &empty).unwrap();
        assert_eq!((none.mean(), none.quantile(0.9), none.worst(3).1), (0.0, 0.0, 0.0));
        assert!(Differences::between(&one, &empty).is_err());
    }
}
