//! Tables: a brick, a mode and a curve folded into one threshold per entry, for one sample type.
//!
//! With N steps in the brick, 2R + m the middle of a step ([`brick`](crate::screen::brick)), k of M the tone and c the curve:
//!
//! ```text
//! normal:    ink  ⇔  2 c(k) N > 2R + m
//! inverted:  ink  ⇔  2 c(k) N ≥ 2N − (2R + m)
//! ```
//!
//! c rises with k, so each entry has one tone above which it is ink, and the whole law becomes *ink ⇔ k > threshold*. Both
//! sides are whole numbers: c(k) is k/M without a curve and a Q32 number with one. Tables are made from the 32-bit order
//! directly, once for each sample type, never one from another's rounding.
//!
//! A row is stored with its own beginning repeated behind its end, so that a run of pixels from any column is one stretch of
//! memory; and index dots are spread to film pixels along x. That leaves one load of tone and one of threshold as all the work
//! a pixel needs.

use ndarray::Array2;

use crate::error::{Result, reserve};
use crate::plate::Tone;
use crate::screen::Mode;
use crate::screen::brick::{Brick, Tiling};
use crate::tone::Curve;
use crate::tone::curve::Q32_SOLID;

/// Longest run of pixels handled at once: tones of two bytes and thresholds of two fit the nearest cache many times over.
pub(crate) const MAX_RUN: usize = 512;

/// Thresholds of one sample type, ready for the kernels.
#[derive(Debug)]
pub(crate) struct Table<T> {
    tiling: Tiling,
    /// Film rows to a row of the table.
    entry_rows: usize,
    /// Pixels that may be read from any column.
    run: usize,
    rows: Vec<T>,
}

/// A row of the table that meets a row of the film, and the column at which.
pub(crate) struct Thresholds<'a, T> {
    row: &'a [T],
    column: usize,
    width: usize,
    run: usize,
}

impl<T: Tone> Table<T> {
    pub(crate) fn new(brick: &Brick, mode: Mode, curve: Option<&Curve>) -> Result<Self> {
        let law = Law::<T>::new(brick.len(), mode, curve);
        let entries = brick.tiling();
        let [entry_columns, entry_rows] = brick.entry_pixels();
        let width = entries.width * entry_columns;
        let run = run_for(width, entries.height);
        let mut rows = reserve("thresholds", (width + run) * entries.height)?;
        for row in brick.order().chunks_exact(entries.width) {
            let start = rows.len();
            for &order in row {
                let threshold = law.threshold(order);
                rows.extend((0..entry_columns).map(|_| threshold));
            }
            for i in 0..run {
                rows.push(rows[start + i]);
            }
        }
        Ok(Self {
            tiling: Tiling { width, height: entries.height, shift: entries.shift * entry_columns },
            entry_rows,
            run,
            rows,
        })
    }

    /// How the table repeats in film pixels.
    pub(crate) fn tiling(&self) -> Tiling {
        Tiling { height: self.tiling.height * self.entry_rows, ..self.tiling }
    }

    /// The thresholds of one tiling, row by row.
    pub(crate) fn array(&self) -> Array2<T> {
        let tiling = self.tiling();
        let stride = self.tiling.width + self.run;
        Array2::from_shape_fn((tiling.height, tiling.width), |(y, x)| {
            self.rows[y / self.entry_rows * stride + x]
        })
    }

    /// The thresholds for film pixels from (x, y) to the right.
    pub(crate) fn from(&self, x: i64, y: i64) -> Thresholds<'_, T> {
        let (column, row) = self.tiling.locate(x, y.div_euclid(self.entry_rows as i64));
        let stride = self.tiling.width + self.run;
        Thresholds {
            row: &self.rows[row * stride..][..stride],
            column,
            width: self.tiling.width,
            run: self.run,
        }
    }
}

impl<'a, T> Thresholds<'a, T> {
    /// Most pixels that [`next`](Self::next) can give at once; a multiple of eight.
    pub(crate) fn run(&self) -> usize {
        self.run
    }

    /// Thresholds for the next `pixels`, at most [`run`](Self::run).
    #[inline]
    pub(crate) fn next(&mut self, pixels: usize) -> &'a [T] {
        let run = &self.row[self.column..][..pixels];
        self.column += pixels;
        if self.column >= self.width {
            self.column %= self.width;
        }
        run
    }
}

/// Longest run whose repeats do not outgrow the brick many times over, for bricks that are tall and narrow.
fn run_for(width: usize, height: usize) -> usize {
    let most = 4 * width * height + (1 << 20);
    [MAX_RUN, 64, 8].into_iter().find(|run| (width + run) * height <= most).unwrap_or(8)
}

/// The law for one sample type: from the middle of a step to the highest tone that leaves it bare.
struct Law<T> {
    /// N.
    steps: u64,
    mode: Mode,
    /// c(k) in Q32 for every tone, or none for c(k) = k/M.
    curve: Option<Vec<u64>>,
    tone: std::marker::PhantomData<T>,
}

impl<T: Tone> Law<T> {
    fn new(steps: usize, mode: Mode, curve: Option<&Curve>) -> Self {
        Self {
            steps: steps as u64,
            mode,
            curve: curve.map(Curve::table::<T>),
            tone: std::marker::PhantomData,
        }
    }

    /// The threshold of a step whose middle is 2R + m = `order`: ink ⇔ k > threshold.
    fn threshold(&self, order: u32) -> T {
        let order = u64::from(order);
        let twice = 2 * self.steps;
        // Least value that 2 c(k) N must reach or pass, and whether reaching is enough.
        let (bound, reach) = match self.mode {
            Mode::Normal => (order, false),
            Mode::Inverted => (twice - order, true),
        };
        let solid = u64::from(T::SOLID);
        let bare = match &self.curve {
            None => {
                // k · 2N > bound · M, or ≥.
                let scaled = bound * solid;
                if reach { scaled.div_ceil(twice) - 1 } else { scaled / twice }
            }
            Some(curve) => {
                let bound = bound * Q32_SOLID;
                let bare = curve.partition_point(|&c| {
                    let ink = c * twice;
                    if reach { ink < bound } else { ink <= bound }
                });
                // Tone 0 is bare in every step, since c(0) = 0 and every bound is above 0.
                bare as u64 - 1
            }
        };
        T::from_level(bare as u32)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The law as it is written, in 128-bit whole numbers.
    fn law(mode: Mode, c: (u128, u128), n: u128, order: u128) -> bool {
        let (numerator, denominator) = c;
        match mode {
            Mode::Normal => 2 * numerator * n > order * denominator,
            Mode::Inverted => 2 * numerator * n >= (2 * n - order) * denominator,
        }
    }

    fn check<T: Tone>(n: usize, order: u32, mode: Mode, curve: Option<&Curve>) {
        let threshold: u32 = Law::<T>::new(n, mode, curve).threshold(order).as_();
        let table = curve.map(Curve::table::<T>);
        let step = if T::SOLID == 255 { 1 } else { 97 };
        for k in (0..=T::SOLID).step_by(step).chain([1, T::SOLID - 1, T::SOLID, threshold]) {
            let c = match &table {
                None => (u128::from(k), u128::from(T::SOLID)),
                Some(table) => (u128::from(table[k as usize]), u128::from(Q32_SOLID)),
            };
            assert_eq!(k > threshold, law(mode, c, n as u128, u128::from(order)), "{n} {order} {mode:?} {k}");
        }
    }

    proptest! {
        #[test]
        fn thresholds_are_the_law(n in 1usize..3_000_000, at in 0.0f64..1.0, low in 0.05f64..0.6, end in 0.6f64..1.0) {
            let order = ((at * n as f64) as u32).min(n as u32 - 1) * 2 + 1;
            let curve = Curve::through(&[(0.3, low), (1.0, end)]).unwrap();
            for mode in [Mode::Normal, Mode::Inverted] {
                for curve in [None, Some(&curve)] {
                    check::<u8>(n, order, mode, curve);
                    check::<u16>(n, order, mode, curve);
                }
            }
        }
    }

    #[test]
    fn tall_bricks_stay_small() {
        assert_eq!(run_for(57_000, 1), MAX_RUN);
        assert_eq!(run_for(16, 16), MAX_RUN);
        assert_eq!(run_for(1, 2 << 20), 8);
    }
}
