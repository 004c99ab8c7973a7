//! What a separation is to be: prices, pins, trims; and the plan that is solved for it.

use crate::colour::overlap::MAX_PLATES;
use crate::colour::print::Print;
use crate::colour::separate::aim::{Aim, Intent};
use crate::colour::separate::finish::{Finish, Trim};
use crate::colour::separate::grid::{FINE, HALF_FINE, Pin, Task};
use crate::colour::separate::lookup::Lookup;
use crate::colour::separate::nearest::Wanted;
use crate::colour::separate::{SLICES, Separation, code};
use crate::colour::spaces::{Lab, LinearRgb};
use crate::colour::srgb::{Code, decoded};
use crate::error::{Error, Result};
use crate::plate::Tone;

/// Against one plate carrying what two could: half a ΔE00² for a whole coverage more than the other.
const EVEN: f64 = 0.5;

/// Most that a coverage may change over the whole range of the art's codes: just under 6 of 255 tones for one of 255 codes.
const SLOPE: f64 = 5.85;

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
    dear: Vec<(usize, f64)>,
    grey: f64,
    black: Option<usize>,
    base: Option<usize>,
    rough: f64,
    floor: f64,
    pins: Vec<([f64; 3], usize)>,
    trims: Vec<(usize, Trim)>,
    held: Option<usize>,
}

impl Request {
    pub(super) fn new(print: &Print) -> Self {
        Self {
            print: print.clone(),
            intent: Intent::default(),
            knee: 0.9,
            ink: 0.2,
            dear: Vec::new(),
            grey: 1.0,
            black: None,
            base: None,
            rough: 100.0,
            floor: 0.0,
            pins: Vec::new(),
            trims: Vec::new(),
            held: None,
        }
    }

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

    /// Price of one plate's ink (counted from 0), in place of the common one. A dear plate is used only for what the others cannot print: a
    /// highlight white that is printed last, at a price of 5, comes in where base and colours are not light enough.
    pub fn plate_price(mut self, plate: usize, price: f64) -> Self {
        self.dear.push((plate, price));
        self
    }

    /// The plate (counted from 0) that is the base: the white, printed first, that carries the colours on a dark garment. None of it lies under solid black, and
    /// what black would hide is dear. Without this call it is a plate like any other, and lies under black where that is darker.
    pub fn base(self, plate: usize) -> Self {
        Self { base: Some(plate), ..self }
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
    /// Errors: a number out of its range; a plate that is not there; two pins on one colour. Cost: about a
    /// second's work of one core for six inks, shared out to the threads there are.
    pub fn build(&self) -> Result<Separation> {
        let in_range = |name, value: f64, low: f64, high: f64| {
            if (low..=high).contains(&value) {
                return Ok(());
            }
            Err(Error::value(name, value, format!("{low} to {high}")))
        };
        in_range("knee of the gamut", self.knee, 0.0, 0.99)?;
        in_range("price of ink", self.ink, 0.0, 100.0)?;
        for &(_, price) in &self.dear {
            in_range("price of a plate's ink", price, 0.0, 100.0)?;
        }
        in_range("price of grey carried by colours", self.grey, 0.0, 100.0)?;
        in_range("smoothness", self.rough, 1.0, 10_000.0)?;
        in_range("lightest printable tone", self.floor, 0.0, 0.2)?;
        let inks = self.print.inks();
        let named = self.pins.iter().map(|pin| pin.1).chain(self.trims.iter().map(|trim| trim.0));
        let named = named.chain(self.dear.iter().map(|dear| dear.0)).chain(self.base);
        if let Some(plate) = named.chain(self.black).chain(self.held).find(|&plate| plate >= inks) {
            return Err(Error::value("plate", plate, format!("0 to {}", inks - 1)));
        }
        let (side, slices) = if self.held.is_some() { (HALF_FINE, SLICES) } else { (FINE, 1) };
        let pins = self.pins(side)?;
        let aim = Aim::new(&self.print, self.intent, self.knee);
        let black = self.black.or_else(|| darkest(&self.print));
        let base =
            self.base.zip(black).map(|(base, black)| [base, black]).filter(|[base, black]| base != black);
        let mut prices = [self.ink; MAX_PLATES];
        for &(plate, price) in &self.dear {
            prices[plate] = price;
        }
        let wanted = |art: [f64; 3]| {
            let wanted = aim.at(LinearRgb(art.map(decoded)));
            let grey = libm::exp(-(wanted.a * wanted.a + wanted.b * wanted.b) / (GREY * GREY));
            let mut price = prices;
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
                hidden: base,
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
        Ok(Separation { print: self.print.clone(), lookups, held: self.held, base, finish, aim })
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

    /// Whether a plate's grey could be black's: inks that have a colour.
    fn colours_grey(&self, plate: usize, black: usize) -> bool {
        plate != black && chroma(self.print.primaries()[1 << plate].to_lab()) > GREY
    }
}

/// The darkest ink alone on the garment, if it is a black.
pub(crate) fn darkest(print: &Print) -> Option<usize> {
    let alone = (0..print.inks()).map(|ink| (ink, print.primaries()[1 << ink].to_lab()));
    let (ink, colour) = alone.min_by(|a, b| a.1.l.total_cmp(&b.1.l))?;
    (colour.l < 35.0 && chroma(colour) < 15.0).then_some(ink)
}

fn chroma(colour: Lab) -> f64 {
    (colour.a * colour.a + colour.b * colour.b).sqrt()
}
