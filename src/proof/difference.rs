//! How far a print is from the art: ΔE00 at every pixel, and in numbers.
//!
//! A print cannot be every colour, so a difference against the art's own codes tells of ink and garment as much as of plates; against the
//! colours [wanted](crate::colour::separate::Separation::wanted), adapted and in gamut, of plates alone. The caller hands in either.
//!
//! Dots are no differences to an eye that does not see them: pictures made from films are to be compared as
//! [seen](Differences::seen) from a distance.

use ndarray::Array2;

use crate::colour::ciede2000;
use crate::error::{Error, Result, filled};
use crate::proof::Picture;
use crate::proof::eye::seen_from;
use crate::units::{Length, Resolution};

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

    /// Of two pictures of one size and resolution, both [as the eye sees them](crate::proof::eye) from a distance.
    ///
    /// Errors: other sizes; a distance out of range; memory.
    pub fn seen(one: &Picture, other: &Picture, resolution: Resolution, distance: Length) -> Result<Self> {
        Self::between(&seen_from(one, resolution, distance)?, &seen_from(other, resolution, distance)?)
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
        self.worst_of([side; 2])
    }

    /// The middle, told from left and top, of the square inch (less of small pictures) with the highest mean difference, and that mean: where
    /// to look at [films](crate::proof::films).
    pub fn worst_inch(&self, resolution: Resolution) -> ([Length; 2], f64) {
        let pixels = [resolution.x(), resolution.y()];
        let sides = pixels.map(|pixels| (pixels.round() as usize).max(1));
        let (corner, mean) = self.worst_of(sides);
        let (height, width) = self.map.dim();
        let whole = [width, height];
        let middle = |axis: usize| {
            let middle = corner[axis] as f64 + 0.5 * sides[axis].min(whole[axis]) as f64;
            Length::inches(middle / pixels[axis]).expect("a number of pixels over one that is not 0")
        };
        ([middle(0), middle(1)], mean)
    }

    fn worst_of(&self, sides: [usize; 2]) -> ([usize; 2], f64) {
        let (height, width) = self.map.dim();
        let (wide, high) = (sides[0].clamp(1, width.max(1)), sides[1].clamp(1, height.max(1)));
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
    fn the_worst_inch_is_told_in_lengths() {
        let resolution = Resolution::per_inch_xy(20.0, 10.0).unwrap();
        let picture = |light: f64| {
            Picture::new(100, 45, |x, y| {
                let there = (50..70).contains(&x) && (22..32).contains(&y);
                Xyz(crate::colour::White::D50.xyz().map(|w| w * if there { light } else { 0.4 }))
            })
        };
        let [one, other] = [0.4, 0.7].map(|light| picture(light).unwrap());
        let off = Differences::between(&one, &other).unwrap();
        let (place, mean) = off.worst_inch(resolution);
        // 60 of 20 and 27 of 10 pixels per inch.
        assert!((place[0].to_inches() - 3.0).abs() < 1e-9 && (place[1].to_inches() - 2.7).abs() < 1e-9);
        assert!((mean - off.quantile(1.0)).abs() < 1e-4);
        // From so far that the patch is half lost, it is still there.
        let far = Differences::seen(&one, &other, resolution, Length::mm(30_000.0).unwrap()).unwrap();
        let (seen, less) = far.worst_inch(resolution);
        assert!((seen[0].to_inches() - 3.0).abs() < 0.06 && (seen[1].to_inches() - 2.7).abs() < 0.11);
        assert!(less < mean && less > 0.3 * mean, "{less} of {mean}");
        let small = Picture::new(4, 3, |_, _| Xyz::default()).unwrap();
        let (place, _) = Differences::between(&small, &small).unwrap().worst_inch(resolution);
        assert!((place[0].to_inches() - 0.1).abs() < 1e-9 && (place[1].to_inches() - 0.15).abs() < 1e-9);
        assert!(Differences::seen(&one, &small, resolution, Length::mm(600.0).unwrap()).is_err());
    }

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
