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
//! Rejected: fixed recipes (undercolour removal, replacement by grey), which know nothing of inks that are not process inks, or of what
//! lies on what.

mod aim;
mod finish;
mod gamut;
mod grid;
mod lookup;
mod nearest;
mod parallel;

pub use aim::Intent;
pub use finish::Trim;

use ndarray::{Array2, ArrayView2, ArrayView3, ArrayViewMut2};

use crate::colour::overlap::MAX_PLATES;
use crate::colour::print::Print;
use crate::colour::separate::aim::Aim;
use crate::colour::separate::finish::Finish;
use crate::colour::separate::grid::{FINE, HALF_FINE, Pin, Task};
use crate::colour::separate::lookup::{At, Lookup};
use crate::colour::separate::nearest::Wanted;
use crate::colour::spaces::{Lab, LinearRgb};
use crate::colour::srgb::Code;
use crate::error::{Error, Result, filled};
use crate::plate::Tone;

/// Against one plate carrying what two could: half a ΔE00² for a whole coverage more than the other.
const EVEN: f64 = 0.5;

/// Most that a coverage may change over the whole range of the art's codes: just under 6 of 255 tones for one of 255 codes.
const SLOPE: f64 = 5.85;

/// Tones of a held plate for which the others are solved; between them coverages are interpolated.
const SLICES: usize = 9;

/// Chroma within which a colour counts as grey, for the price of grey carried by colours: e⁻¹ of it at this C*.
const GREY: f64 = 15.0;

/// What a separation is to be. Made by [`Separation::of`], ended by [`build`](Self::build).
#[derive(Debug, Clone)]
#[must_use = "a request does nothing until it is built"]
pub struct Request {
    print: Print,
    intent: Intent,
    knee: f64,
    ink: f64,
    grey: f64,
    black: Option<usize>,
    rough: f64,
    floor: f64,
    pins: Vec<([f64; 3], usize)>,
    trims: Vec<(usize, Trim)>,
    held: Option<usize>,
}

/// A compiled separation. May be shared between threads.
#[derive(Debug, Clone)]
pub struct Separation {
    print: Print,
    aim: Aim,
    /// One; with a held plate one for each of [`SLICES`] tones of it.
    lookups: Vec<Lookup>,
    held: Option<usize>,
    finish: Vec<Finish>,
}

impl Separation {
    /// A separation for a print.
    pub fn of(print: &Print) -> Request {
        Request {
            print: print.clone(),
            intent: Intent::default(),
            knee: 0.9,
            ink: 0.2,
            grey: 1.0,
            black: None,
            rough: 100.0,
            floor: 0.0,
            pins: Vec::new(),
            trims: Vec::new(),
            held: None,
        }
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
        found.iter().zip(&self.finish).map(|(&c, finish)| f64::from(finish.of(c))).collect()
    }

    /// Plates of art, indexed `[row, column, channel]`: red, green, blue as sRGB codes and, if there is a fourth, how opaque the art
    /// is (0: only garment). One plate for each ink, in printing order, of the art's size and sample type.
    ///
    /// Part-opaque art has its coverages in that part: garment shows through. `held` is the plate that is held; it is handed out as it is.
    ///
    /// Errors: art of other than three or four channels; a held plate of another size, missing, or not asked for; memory that cannot be
    /// had. Cost: some 30 ns a pixel and core.
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
        let part = code(opaque) as f32;
        if part > 0.0 {
            let found = self.solved([r, g, b].map(|code| places.of(code)), code(held) as f32);
            for ((tone, coverage), finish) in tones.iter_mut().zip(found).zip(&self.finish) {
                *tone = T::from_level((finish.of(part * coverage) * T::SOLID as f32 + 0.5) as u32);
            }
        }
        if let Some(plate) = self.held {
            tones[plate] = held;
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

impl Request {
    /// How the art's black and white come out.
    pub fn intent(self, intent: Intent) -> Self {
        Self { intent, ..self }
    }

    /// The part of the way to the gamut's boundary (0…0.99) within which colours stay what they are; 0.9 unless told. Art that goes beyond the
    /// boundary is brought in between there and the boundary.
    pub fn knee(self, part: f64) -> Self {
        Self { knee: part, ..self }
    }

    /// Price of ink: half of the ΔE00² that may be lost to save a whole coverage (0…100); 0.2 unless told.
    pub fn ink_price(self, price: f64) -> Self {
        Self { ink: price, ..self }
    }

    /// Price, in the same unit, of grey that is carried by colours and not by black (0…100); 1 unless told. 0 leaves it to the price of ink.
    pub fn grey_price(self, price: f64) -> Self {
        Self { grey: price, ..self }
    }

    /// Which plate is the black one (counted from 0, in printing order). Unless told, the darkest ink, if it is dark (L* below 35) and grey
    /// (C* below 15) on the garment.
    pub fn black(self, plate: usize) -> Self {
        Self { black: Some(plate), ..self }
    }

    /// How strongly neighbouring colours are drawn to like coverages (1…10 000); 100 unless told. More makes smoother plates and
    /// colours that are less near.
    pub fn smoothness(self, weight: f64) -> Self {
        Self { rough: weight, ..self }
    }

    /// The lightest tone that can be printed (0…0.2 coverage): tones below are drawn to none or to it. 0, no floor, unless told.
    pub fn floor(self, coverage: f64) -> Self {
        Self { floor: coverage, ..self }
    }

    /// An art colour (sRGB) that comes out as one ink in full (its plate counted from 0) and nothing else, with its neighbours near to that.
    pub fn pin<T: Code + Tone>(mut self, art: [T; 3], plate: usize) -> Self {
        self.pins.push((art.map(code), plate));
        self
    }

    /// A plate (counted from 0) that is supplied: the others are solved for what it prints.
    pub fn hold(self, plate: usize) -> Self {
        Self { held: Some(plate), ..self }
    }

    /// A plate's trim. The last one told for a plate counts.
    pub fn trim(mut self, plate: usize, trim: Trim) -> Self {
        self.trims.push((plate, trim));
        self
    }

    /// Solves the grid.
    ///
    /// Errors: a number out of its range; a plate that is not there; two pins on one colour. Cost: some seconds'
    /// work of one core for six inks, shared out to the threads there are.
    pub fn build(&self) -> Result<Separation> {
        let in_range = |name, value: f64, low: f64, high: f64| {
            if (low..=high).contains(&value) {
                return Ok(());
            }
            Err(Error::value(name, value, format!("{low} to {high}")))
        };
        in_range("knee of the gamut", self.knee, 0.0, 0.99)?;
        in_range("price of ink", self.ink, 0.0, 100.0)?;
        in_range("price of grey carried by colours", self.grey, 0.0, 100.0)?;
        in_range("smoothness", self.rough, 1.0, 10_000.0)?;
        in_range("lightest printable tone", self.floor, 0.0, 0.2)?;
        let inks = self.print.inks();
        let named = self.pins.iter().map(|pin| pin.1).chain(self.trims.iter().map(|trim| trim.0));
        if let Some(plate) = named.chain(self.black).chain(self.held).find(|&plate| plate >= inks) {
            return Err(Error::value("plate", plate, format!("0 to {}", inks - 1)));
        }
        let (side, slices) = if self.held.is_some() { (HALF_FINE, SLICES) } else { (FINE, 1) };
        let pins = self.pins(side)?;
        let aim = Aim::new(&self.print, self.intent, self.knee);
        let black = self.black.or_else(|| self.darkest());
        let wanted = |art: [f64; 3]| {
            let wanted = aim.at(LinearRgb(art.map(decoded)));
            let grey = libm::exp(-(wanted.a * wanted.a + wanted.b * wanted.b) / (GREY * GREY));
            let mut price = [self.ink; MAX_PLATES];
            // Where there is no black, no plate is dearer than another.
            for (plate, price) in price.iter_mut().enumerate().take(inks) {
                if black.is_some_and(|black| self.colours_grey(plate, black)) {
                    *price += self.grey * grey;
                }
            }
            (Wanted::new(wanted), price)
        };
        let codes = self.print.primaries()[0].to_linear().to_srgb::<u16>().map(|c| code(c) as f32);
        let solve = |slice: usize| {
            let held = self.held.map(|plate| (plate, slice as f64 / (SLICES - 1) as f64));
            let task = Task {
                print: &self.print,
                wanted: &wanted,
                even: EVEN,
                rough: self.rough,
                slope: SLOPE,
                pins: &pins,
                held,
                side,
            };
            Lookup::new(&task.solve(), side, inks).bare_at(codes)
        };
        let lookups = (0..slices).map(solve).collect();
        let mut finish = vec![Finish::new(self.floor, &Trim::default())?; inks];
        for (plate, trim) in &self.trims {
            finish[*plate] = Finish::new(self.floor, trim)?;
        }
        Ok(Separation { print: self.print.clone(), lookups, held: self.held, finish, aim })
    }

    /// The garment's colour, without ink, and the colours told.
    fn pins(&self, side: usize) -> Result<Vec<Pin>> {
        let garment = self.print.primaries()[0].to_linear().to_srgb::<u16>().map(code);
        let mut pins = vec![Pin::bare(garment)];
        for &(art, plate) in &self.pins {
            let mut coverages = [0.0; MAX_PLATES];
            coverages[plate] = 1.0;
            let pin = Pin::at(art, coverages, side, SLOPE);
            if pins.iter().any(|other| other.low == pin.low) {
                let got = art.map(|code| format!("{:.0}", 255.0 * code)).join(" ");
                let allowed = "a colour eight codes or more from other pinned ones";
                return Err(Error::value("pinned colour", got, allowed));
            }
            pins.push(pin);
        }
        Ok(pins)
    }

    /// The darkest ink alone on the garment, if it is a black.
    fn darkest(&self) -> Option<usize> {
        let alone = (0..self.print.inks()).map(|ink| (ink, self.print.primaries()[1 << ink].to_lab()));
        let (ink, colour) = alone.min_by(|a, b| a.1.l.total_cmp(&b.1.l))?;
        (colour.l < 35.0 && chroma(colour) < 15.0).then_some(ink)
    }

    /// Whether a plate's grey could be black's: inks that have a colour.
    fn colours_grey(&self, plate: usize, black: usize) -> bool {
        plate != black && chroma(self.print.primaries()[1 << plate].to_lab()) > GREY
    }
}

fn chroma(colour: Lab) -> f64 {
    (colour.a * colour.a + colour.b * colour.b).sqrt()
}

fn code<T: Tone>(sample: T) -> f64 {
    let level: u32 = sample.as_();
    f64::from(level) / f64::from(T::SOLID)
}

/// Light of an sRGB code that need not be a whole one.
fn decoded(code: f64) -> f64 {
    crate::colour::srgb::decoded(code)
}
