//! An underbase for plates that were made without one: white where the colours need it.
//!
//! At each place the base is what makes the print as light as it is wanted. With Y₀ and Y₁ the light of the print without a base and with one in
//! full (to the power of 1/n, which is straight in the base's coverage), and Y the light wanted:
//!
//! ```text
//! base = (Y − Y₀) / (Y₁ − Y₀) · need          need = (L* wanted − L* without base − 1.5) / 3,  brought within 0 and 1
//! ```
//!
//! *Wanted* are the colours as they lie on the base, and garment where there is no ink; or, for plates that were made for white cloth, white there too.
//! So a transparent ink in full has a base in full, an ink that hides the garment has none, nor has black, and a tint as much as makes up for the garment seen between its dots.
//!
//! Rejected: a base from the sum or the greatest of the plates, which puts white under black and under inks that hide the garment; and the
//! base with the least ΔE00, which is no lighter in solids, jumps where two bases are as good, and takes ten times as long.

use ndarray::{Array2, ArrayView2};

use crate::colour::overlap::MAX_PLATES;
use crate::colour::print::Print;
use crate::colour::separate::base_beside;
use crate::error::{Error, Result, filled};
use crate::plate::Tone;

/// L* by which colours may be darker without a base before they need one, and over which the need grows to the whole. A difference of 1.5 is hardly seen.
const UNSEEN: f64 = 1.5;
const GROWING: f64 = 3.0;

/// What makes bases for plates. May be shared between threads.
#[derive(Debug, Clone)]
pub struct Underbase {
    print: Print,
    wanted: Print,
    white_cloth: bool,
    black: Option<usize>,
}

impl Underbase {
    /// For a print whose first ink is the base and whose others are the plates' inks, in their order.
    ///
    /// Errors: a print of less than two inks; memory.
    pub fn of(print: &Print) -> Result<Self> {
        if print.inks() < 2 {
            return Err(Error::value(
                "inks of a print with a base",
                print.inks(),
                "2 or more, the base first",
            ));
        }
        let garment = print.primaries()[0];
        let wanted = print.with_primary(1, garment)?;
        Ok(Self { print: print.clone(), wanted, white_cloth: false, black: None })
    }

    /// The plates were made for white cloth: where they have no ink, white is wanted. Where there is art at all is then to be told with the plates.
    #[must_use]
    pub fn made_for_white(self) -> Self {
        Self { wanted: self.print.clone(), white_cloth: true, ..self }
    }

    /// Which of the plates is the black one (counted from 0): no base where it is solid, however little it hides.
    ///
    /// Errors: a plate that is not there.
    pub fn black(self, plate: usize) -> Result<Self> {
        let plates = self.print.inks() - 1;
        if plate >= plates {
            return Err(Error::value("black plate", plate, format!("0 to {}", plates - 1)));
        }
        Ok(Self { black: Some(plate), ..self })
    }

    /// The base (0…1) under coverages of the plates' inks (0…1).
    pub fn coverage(&self, coverages: &[f64]) -> f64 {
        let mut all = [0.0; MAX_PLATES];
        let plates = coverages.len().min(self.print.inks() - 1);
        all[1..=plates].copy_from_slice(&coverages[..plates]);
        let without = self.print.roots(&all);
        all[0] = 1.0;
        let (with, wanted) = (self.print.roots(&all), self.wanted.roots(&all));
        let lightness = |roots| self.print.of_roots(roots).to_lab().l;
        let need = (lightness(wanted) - lightness(without) - UNSEEN) / GROWING;
        if need.is_nan() || need <= 0.0 || with[1] <= without[1] {
            return 0.0;
        }
        let base = ((wanted[1] - without[1]) / (with[1] - without[1])).clamp(0.0, 1.0) * need.min(1.0);
        match self.black.and_then(|black| coverages.get(black)) {
            Some(&black) => base.min(base_beside(black)),
            None => base,
        }
    }

    /// The base for plates, one for each ink but the base. `within` tells where there is art and how opaque it is, and is needed for plates
    /// made for white cloth; the base is in that part.
    ///
    /// Errors: another number of plates than inks; plates of different sizes; plates for white cloth with nothing to tell where art is; memory.
    /// Cost: up to 1 µs a pixel and core for five inks and a base, far less in flat places (0.2 µs over the demo's plates).
    pub fn plate<T: Tone>(
        &self,
        plates: &[ArrayView2<'_, T>],
        within: Option<ArrayView2<'_, T>>,
    ) -> Result<Array2<T>> {
        let inks = self.print.inks() - 1;
        let Some(first) = plates.first().filter(|_| plates.len() == inks) else {
            let allowed = format!("{inks}, one for each ink but the base");
            return Err(Error::value("number of plates", plates.len(), allowed));
        };
        if self.white_cloth && within.is_none() {
            return Err(Error::value(
                "where there is art",
                "not told",
                "a plate, for plates made for white cloth",
            ));
        }
        let (height, width) = first.dim();
        if let Some(other) = plates.iter().chain(&within).find(|plate| plate.dim() != (height, width)) {
            return Err(Error::Extent {
                what: "a plate",
                got_width: other.ncols() as u64,
                got_height: other.nrows() as u64,
                width: width as u64,
                height: height as u64,
            });
        }
        let samples = filled("a plate", width * height, T::from_level(0))?;
        let mut base =
            Array2::from_shape_vec((height, width), samples).map_err(|e| Error::data("a plate", e))?;
        let part = |sample: T| {
            let level: u32 = sample.as_();
            f64::from(level) / f64::from(T::SOLID)
        };
        let work = |(y, mut row): (usize, ndarray::ArrayViewMut1<'_, T>)| {
            let mut last = None;
            for (x, to) in row.iter_mut().enumerate() {
                let mut pixel = [T::from_level(0); MAX_PLATES];
                pixel.iter_mut().zip(plates).for_each(|(tone, plate)| *tone = plate[[y, x]]);
                let within = within.map_or(T::from_level(T::SOLID), |within| within[[y, x]]);
                let (_, tone) = match last {
                    Some((before, tone)) if before == (pixel, within) => (before, tone),
                    _ => {
                        let found = part(within) * self.coverage(&pixel.map(part)[..inks]);
                        ((pixel, within), T::from_level((found * f64::from(T::SOLID) + 0.5) as u32))
                    }
                };
                last = Some(((pixel, within), tone));
                *to = tone;
            }
        };
        let rows = base.rows_mut().into_iter().enumerate();
        #[cfg(feature = "threads")]
        {
            use rayon::prelude::*;
            rows.collect::<Vec<_>>().into_par_iter().with_min_len(8).for_each(work);
        }
        #[cfg(not(feature = "threads"))]
        rows.for_each(work);
        Ok(base)
    }
}
