//! Separation: art, garment and inks in order to plates.
//!
//! Inverse colour: for each colour of the art the coverages whose [print](crate::colour::print) is nearest to it in CIEDE2000, of all
//! those that print it the ones with little ink and little change from colour to colour. It is planned once on a grid of art colours
//! (`aim` → `nearest` → `grid`) and then looked up for each pixel (`lookup`); after that come the printable floor and each plate's trim.
//!
//! ```
//! use dotwright::colour::separate::Separation;
//! use dotwright::colour::{Drawdown, Ink, Overlap, Print, Xyz};
//! use ndarray::Array3;
//!
//! let ink = |name, over_white: &str, over_black: &str| {
//!     let drawdown = |colour: &str, ground: &str| {
//!         Ok::<_, dotwright::Error>(Drawdown { colour: colour.parse()?, ground: ground.parse()? })
//!     };
//!     Ink::new(name, drawdown(over_white, "#ffffff")?, drawdown(over_black, "#000000")?)
//! };
//! let print = Print::on("#f4f2ee".parse::<Xyz>()?)
//!     .ink(&ink("rose", "#d8406a", "#50101c")?)
//!     .ink(&ink("black", "#1c1b1e", "#141416")?)
//!     .build(&Overlap::independent(2)?)?;
//! let separation = Separation::of(&print).build()?;
//! let art = Array3::from_shape_fn((10, 256, 3), |(_, x, _)| x as u8);
//! let plates = separation.plates(art.view(), None)?;
//! assert!(plates[1][[0, 0]] > 250 && plates[1].row(0)[255] < 5);
//! # Ok::<(), dotwright::Error>(())
//! ```
//!
//! How near a print comes to colours that it could print hangs on its inks: where few of them make a thin body of colours, coverages would have
//! to change faster from colour to colour than plates may, and the colours give way. For random coverages of six inks that span many hues
//! the median ΔE00 is 0.2; of six, five and four of the example's shelf on navy, red and black 0.9, 1.1 and 0.6; of three 0.9 on white and
//! 4.7 on a dark grey (`tests/separation.rs`).
//!
//! For index dots, each of one ink alone, see [`index`].
//!
//! Rejected: fixed recipes (undercolour removal, replacement by grey), which know nothing of inks that are not process inks, or of what
//! lies on what.

mod aim;
mod finish;
mod gamut;
mod grid;
pub mod index;
mod lookup;
mod nearest;
mod parallel;
mod request;
mod starts;

pub use aim::Intent;
pub use finish::Trim;
pub use request::Request;

pub(crate) use finish::base_beside;
#[cfg(feature = "job")]
pub(crate) use request::darkest;

use ndarray::{Array2, ArrayView2, ArrayView3, ArrayViewMut2};

use crate::colour::overlap::MAX_PLATES;
use crate::colour::print::Print;
use crate::colour::separate::aim::Aim;
use crate::colour::separate::finish::Finish;
use crate::colour::separate::lookup::{At, Lookup};
use crate::colour::spaces::{Lab, LinearRgb};
use crate::colour::srgb::Code;
use crate::error::{Error, Result, filled};
use crate::plate::Tone;

/// Tones of a held plate for which the others are solved; between them coverages are interpolated.
const SLICES: usize = 9;

/// A compiled separation. May be shared between threads.
#[derive(Debug, Clone)]
pub struct Separation {
    print: Print,
    aim: Aim,
    /// One; with a held plate one for each of [`SLICES`] tones of it.
    lookups: Vec<Lookup>,
    held: Option<usize>,
    /// The base and the black that it does not lie under.
    base: Option<[usize; 2]>,
    finish: Vec<Finish>,
}

impl Separation {
    /// A separation for a print.
    pub fn of(print: &Print) -> Request {
        Request::new(print)
    }

    /// The print it is made for.
    pub fn print(&self) -> &Print {
        &self.print
    }

    /// The colour that an art colour should have in print: adapted, and brought into the gamut.
    pub fn wanted(&self, art: LinearRgb) -> Lab {
        self.aim.at(art)
    }

    /// Coverages (0…1, one for each plate) of one opaque art colour, as the plates will have them; `held` is the tone (0…1) of the plate that is
    /// held and is not read without one.
    pub fn coverages<T: Code + Tone>(&self, art: [T; 3], held: f64) -> Vec<f64> {
        let places = Places::new(&self.lookups[0]);
        let found = self.solved(art.map(|code| places.of(code)), held as f32);
        let mut all: Vec<f64> =
            found.iter().zip(&self.finish).map(|(&c, finish)| f64::from(finish.of(c))).collect();
        if let Some(plate) = self.held {
            all[plate] = held.clamp(0.0, 1.0);
        }
        if let Some([base, black]) = self.base.filter(|[base, _]| self.held != Some(*base)) {
            all[base] = all[base].min(base_beside(all[black]));
        }
        all
    }

    /// Plates of art, indexed `[row, column, channel]`: red, green, blue as sRGB codes and, if there is a fourth, how opaque the art
    /// is (0: only garment). One plate for each ink, in printing order, of the art's size and sample type.
    ///
    /// Part-opaque art is laid over the garment's colour, in light, and what that makes is separated. (Rejected: the art's coverages in that
    /// part. Inks of independent screens then fall beside each other where they should lie on each other, colours beside their white: up to
    /// 15 ΔE00 in soft fades.) `held` is the plate that is held; it is handed out as it is.
    ///
    /// Errors: art of other than three or four channels; a held plate of another size, missing, or not asked for; memory that cannot be
    /// had. Cost: some 50 ns a pixel and core for six inks, less in flat places.
    pub fn plates<T: Code + Tone>(
        &self,
        art: ArrayView3<'_, T>,
        held: Option<ArrayView2<'_, T>>,
    ) -> Result<Vec<Array2<T>>> {
        let (height, width, _) = art.dim();
        let mut plates = Vec::with_capacity(self.print.inks());
        for _ in 0..self.print.inks() {
            let samples = filled("a plate", width * height, T::from_level(0))?;
            let plate = Array2::from_shape_vec((height, width), samples);
            plates.push(plate.map_err(|e| Error::data("a plate", e))?);
        }
        let mut out: Vec<_> = plates.iter_mut().map(|plate| plate.view_mut()).collect();
        self.run(art, held, &mut out)?;
        Ok(plates)
    }

    /// [`plates`](Self::plates) into memory of the caller's, one plate for each ink. Nothing is written on an error.
    pub fn run<T: Code + Tone>(
        &self,
        art: ArrayView3<'_, T>,
        held: Option<ArrayView2<'_, T>>,
        plates: &mut [ArrayViewMut2<'_, T>],
    ) -> Result<()> {
        let (height, width, channels) = art.dim();
        if !(3..=4).contains(&channels) {
            return Err(Error::value("channels of art", channels, "3 or 4"));
        }
        if plates.len() != self.print.inks() {
            let allowed = format!("{}, one for each ink", self.print.inks());
            return Err(Error::value("number of plates", plates.len(), allowed));
        }
        if held.is_some() != self.held.is_some() {
            let says = |is: bool| if is { "one" } else { "none" };
            return Err(Error::value("held plate", says(held.is_some()), says(self.held.is_some())));
        }
        let sizes = plates.iter().map(|plate| plate.dim()).chain(held.iter().map(|plate| plate.dim()));
        if let Some((rows, columns)) = sizes.into_iter().find(|&size| size != (height, width)) {
            return Err(Error::Extent {
                what: "a plate",
                got_width: columns as u64,
                got_height: rows as u64,
                width: width as u64,
                height: height as u64,
            });
        }
        let places = Places::<T>::new(&self.lookups[0]);
        // Rows of all plates together, so that each row of art is one piece of work.
        let mut rows: Vec<Vec<_>> = (0..height).map(|_| Vec::with_capacity(plates.len())).collect();
        for plate in plates {
            for (row, rows) in plate.rows_mut().into_iter().zip(&mut rows) {
                rows.push(row);
            }
        }
        let work = |(y, mut out): (usize, Vec<ndarray::ArrayViewMut1<'_, T>>)| {
            let mut last = None;
            let mut tones = [T::from_level(0); MAX_PLATES];
            for x in 0..width {
                let at = |channel: usize| art[[y, x, channel]];
                let opaque = if channels == 4 { at(3) } else { T::from_level(T::SOLID) };
                let hold = held.map_or(T::from_level(0), |held| held[[y, x]]);
                let pixel = [at(0), at(1), at(2), opaque, hold];
                if last != Some(pixel) {
                    tones = self.tones(&places, pixel);
                    last = Some(pixel);
                }
                for (row, tone) in out.iter_mut().zip(tones) {
                    row[x] = tone;
                }
            }
        };
        let rows = rows.into_iter().enumerate();
        #[cfg(feature = "threads")]
        {
            use rayon::prelude::*;
            rows.collect::<Vec<_>>().into_par_iter().with_min_len(8).for_each(work);
        }
        #[cfg(not(feature = "threads"))]
        rows.for_each(work);
        Ok(())
    }

    /// Coverages before floor and trim.
    #[inline]
    fn solved(&self, art: [At; 3], held: f32) -> [f32; MAX_PLATES] {
        let [only] = self.lookups.as_slice() else {
            let along = held.clamp(0.0, 1.0) * (SLICES - 1) as f32;
            let slice = (along as usize).min(SLICES - 2);
            let part = along - slice as f32;
            let [low, high] = [slice, slice + 1].map(|slice| self.lookups[slice].coverages(art));
            return std::array::from_fn(|i| low[i] + part * (high[i] - low[i]));
        };
        only.coverages(art)
    }

    fn tones<T: Code + Tone>(&self, places: &Places<T>, pixel: [T; 5]) -> [T; MAX_PLATES] {
        let [r, g, b, opaque, held] = pixel;
        let mut tones = [T::from_level(0); MAX_PLATES];
        let part = code(opaque);
        if part > 0.0 {
            let art = [r, g, b];
            let at = if part < 1.0 {
                let garment = self.print.primaries()[0].to_linear().0;
                std::array::from_fn(|i| {
                    let light = part * art[i].light() + (1.0 - part) * garment[i];
                    places.lookup.place(u16::of_light(light))
                })
            } else {
                art.map(|code| places.of(code))
            };
            let found = self.solved(at, code(held) as f32);
            for ((tone, coverage), finish) in tones.iter_mut().zip(found).zip(&self.finish) {
                *tone = T::from_level((finish.of(coverage) * T::SOLID as f32 + 0.5) as u32);
            }
        }
        if let Some(plate) = self.held {
            tones[plate] = held;
        }
        if let Some([base, black]) = self.base.filter(|[base, _]| self.held != Some(*base)) {
            let most = base_beside(code(tones[black])) * f64::from(T::SOLID);
            tones[base] = tones[base].min(T::from_level((most + 0.5) as u32));
        }
        tones
    }
}

/// Where each code lies in the grid; 8-bit codes have a table.
struct Places<'l, T> {
    lookup: &'l Lookup,
    table: Vec<At>,
    samples: std::marker::PhantomData<T>,
}

impl<'l, T: Tone> Places<'l, T> {
    fn new(lookup: &'l Lookup) -> Self {
        let codes = if T::SOLID == 255 { 0..256_u32 } else { 0..0 };
        let table = codes.map(|code| lookup.place(T::from_level(code))).collect();
        Self { lookup, table, samples: std::marker::PhantomData }
    }

    #[inline]
    fn of(&self, code: T) -> At {
        let index: u32 = code.as_();
        self.table.get(index as usize).copied().unwrap_or_else(|| self.lookup.place(code))
    }
}

/// A sample as a part of the whole range.
fn code<T: Tone>(sample: T) -> f64 {
    let level: u32 = sample.as_();
    f64::from(level) / f64::from(T::SOLID)
}
