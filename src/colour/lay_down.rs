//! Lay-down: garment and inks in printing order to the colour of every combination of inks.
//!
//! A combination's inks lie on the garment in printing order, each a thin layer over what lies there already
//! ([`layer`](crate::colour::layer)). Where ink below is still wet less of the next one stays: `wet` of its thickness, the
//! layer being that of Kubelka and Munk at that thickness. A flash dries what lies there. A measured colour takes the place
//! of the computed one, also as the ground of the inks above it.
//!
//! Nine free sets of offset data, which is printed wet on wet (`tests/reference/solids.csv`), bear this out: overprints
//! foretold from single inks are off by a mean ΔE00 of 5.1 at `wet` 1 and 2.9 at 0.8, the best (each set has its own between
//! 0.7 and 0.9; in part it makes up for what three bands leave out).
//!
//! Rejected: all overprints measured, 2^k patches for each garment; and one `wet` for each pair of inks, which nobody measures.

use crate::colour::ink::Ink;
use crate::colour::layer::{Layer, surface};
use crate::colour::overlap::{MAX_PLATES, Overlap};
use crate::colour::print::Print;
use crate::colour::spaces::Xyz;
use crate::error::{Error, Result, filled, reserve};

/// Highest Yule–Nielsen n: light that spreads without end is nearly there.
const MAX_N: f64 = 10.0;

/// What a print is to be. Made by [`Print::on`], ended by [`build`](Self::build).
#[derive(Debug, Clone)]
#[must_use = "a request does nothing until it is built"]
pub struct Request {
    garment: Xyz,
    /// Each ink, and how many inks below it were dry when it was printed.
    inks: Vec<(Ink, usize)>,
    /// How many inks were printed before the last flash.
    dried: usize,
    wet: f64,
    overprints: Vec<(Vec<usize>, Xyz)>,
    n: f64,
}

impl Request {
    pub(super) fn new(garment: Xyz) -> Self {
        Self { garment, inks: Vec::new(), dried: 0, wet: 1.0, overprints: Vec::new(), n: 1.0 }
    }

    /// The next ink.
    pub fn ink(mut self, ink: &Ink) -> Self {
        self.inks.push((ink.clone(), self.dried));
        self
    }

    /// A flash: what was printed so far is dry.
    pub fn flash(mut self) -> Self {
        self.dried = self.inks.len();
        self
    }

    /// The part of an ink's thickness (0…1) that stays where ink below it is still wet; 1 unless told.
    pub fn wet(self, part: f64) -> Self {
        Self { wet: part, ..self }
    }

    /// The measured colour of these inks in full (counted from 0, in printing order, in any order here) on the garment.
    pub fn overprint(mut self, inks: &[usize], colour: Xyz) -> Self {
        self.overprints.push((inks.to_vec(), colour));
        self
    }

    /// Yule and Nielsen's n (1…10); 1 unless told.
    pub fn yule_nielsen(self, n: f64) -> Self {
        Self { n, ..self }
    }

    /// Computes the primaries.
    ///
    /// Errors: no inks or more than 12; a law for another number of plates; a garment or an overprint beyond any surface; an
    /// overprint of no ink, of an ink that is not there, or told twice; `wet` or n out of range.
    pub fn build(&self, overlap: &Overlap) -> Result<Print> {
        let inks = self.inks.len();
        if !(1..=MAX_PLATES).contains(&inks) {
            return Err(Error::value("inks of a print", inks, format!("1 to {MAX_PLATES}")));
        }
        if overlap.plates() != inks {
            let got = format!("for {} plates", overlap.plates());
            return Err(Error::value("overlap law", got, format!("one for {inks}, as many as inks")));
        }
        if !(0.0..=1.0).contains(&self.wet) {
            return Err(Error::value("lay-down on wet ink", self.wet, "0 to 1 of the ink's thickness"));
        }
        if !(1.0..=MAX_N).contains(&self.n) {
            return Err(Error::value("Yule-Nielsen n", self.n, format!("1 to {MAX_N}")));
        }
        Print::compile(overlap, self.primaries()?, self.n)
    }

    /// The colour of every combination, each from the one without its top ink.
    fn primaries(&self) -> Result<Vec<Xyz>> {
        let combinations = 1 << self.inks.len();
        let mut measured = filled("measured overprints", combinations, None)?;
        for (inks, colour) in &self.overprints {
            let mask = self.mask_of(inks)?;
            if measured[mask].replace(*colour).is_some() {
                return Err(Error::value("overprint", format!("{inks:?} told twice"), "each once"));
            }
            surface(*colour).ok_or_else(|| beyond("colour of an overprint", *colour))?;
        }
        let ground = surface(self.garment).ok_or_else(|| beyond("colour of the garment", self.garment))?;
        let thin: Vec<Layer> = self.inks.iter().map(|(ink, _)| ink.layer().of_thickness(self.wet)).collect();
        let mut primaries = reserve("a table of primaries", combinations)?;
        let mut light = filled("a table of primaries", combinations, ground)?;
        primaries.push(self.garment);
        for mask in 1..combinations {
            let top = mask.ilog2() as usize;
            let below = mask & !(1 << top);
            let (ink, dried) = &self.inks[top];
            // Ink below that no flash has dried.
            let layer = if below >> dried > 0 { &thin[top] } else { ink.layer() };
            light[mask] = layer.over(light[below]);
            let computed = light[mask].to_xyz();
            primaries.push(measured[mask].unwrap_or(computed));
            if let Some(ground) = measured[mask].and_then(surface) {
                light[mask] = ground;
            }
        }
        Ok(primaries)
    }

    fn mask_of(&self, inks: &[usize]) -> Result<usize> {
        let refused = || {
            let allowed = format!("some of inks 0 to {}, each once", self.inks.len() - 1);
            Error::value("overprint", format!("{inks:?}"), allowed)
        };
        let mut mask = 0;
        for &ink in inks {
            if ink >= self.inks.len() || mask >> ink & 1 == 1 {
                return Err(refused());
            }
            mask |= 1 << ink;
        }
        if mask == 0 { Err(refused()) } else { Ok(mask) }
    }
}

fn beyond(name: &'static str, colour: Xyz) -> Error {
    Error::value(name, colour, "that of a surface: no more light than half above a perfect white's")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::layer::Drawdown;
    use crate::colour::spaces::WideRgb;
    use approx::assert_abs_diff_eq;

    fn grey(value: f64) -> Xyz {
        WideRgb([value; 3]).to_xyz()
    }

    /// An ink of reflectance `own` that lets `through` (T²) pass.
    fn ink(name: &str, own: f64, through: f64) -> Ink {
        let over = |g: f64| Drawdown { ground: grey(g), colour: grey(own + through * g / (1.0 - own * g)) };
        Ink::new(name, over(0.9), over(0.02)).unwrap()
    }

    fn lightness(print: &Print) -> Vec<f64> {
        print.primaries().iter().map(|xyz| xyz.0[1]).collect()
    }

    #[test]
    fn inks_lie_in_printing_order() {
        let (white, black) = (ink("white", 0.8, 0.01), ink("black", 0.02, 0.01));
        let law = Overlap::independent(2).unwrap();
        let garment = grey(0.3);
        let found = lightness(&Print::on(garment).ink(&white).ink(&black).build(&law).unwrap());
        let expected = [garment, white.over(garment), black.over(garment), black.over(white.over(garment))];
        for (found, expected) in found.iter().zip(expected) {
            assert_abs_diff_eq!(*found, expected.0[1], epsilon = 1e-14);
        }
        let turned = lightness(&Print::on(garment).ink(&black).ink(&white).build(&law).unwrap());
        assert!(turned[3] > 0.8 && found[3] < 0.05);
    }

    #[test]
    fn wet_ink_takes_less_until_a_flash_dries_it() {
        let (base, red, blue) = (ink("base", 0.7, 0.02), ink("red", 0.1, 0.3), ink("blue", 0.05, 0.2));
        let law = Overlap::independent(3).unwrap();
        let print = |request: Request| request.wet(0.6).build(&law).unwrap();
        let garment = grey(0.05);
        let wet = |ink: &Ink, ground: Xyz| ink.layer().of_thickness(0.6).over(ground.to_wide()).to_xyz();
        let found = print(Print::on(garment).ink(&base).flash().ink(&red).ink(&blue));
        let p = found.primaries();
        let near = |a: Xyz, b: Xyz| assert_abs_diff_eq!(a.0[1], b.0[1], epsilon = 1e-14);
        near(p[0b001], base.over(garment));
        near(p[0b010], red.over(garment));
        near(p[0b011], red.over(base.over(garment))); // dry below
        near(p[0b101], blue.over(base.over(garment)));
        near(p[0b110], wet(&blue, red.over(garment)));
        near(p[0b111], wet(&blue, red.over(base.over(garment))));
        let all_wet = print(Print::on(garment).ink(&base).ink(&red).ink(&blue));
        near(all_wet.primaries()[0b011], wet(&red, base.over(garment)));
        let all_dry = print(Print::on(garment).ink(&base).flash().ink(&red).flash().ink(&blue));
        near(all_dry.primaries()[0b110], blue.over(red.over(garment)));
    }

    #[test]
    fn a_measured_overprint_is_taken_as_it_is_and_as_a_ground() {
        let (a, b, c) = (ink("a", 0.5, 0.1), ink("b", 0.1, 0.3), ink("c", 0.0, 0.5));
        let measured = grey(0.42);
        let request = Print::on(grey(0.9)).ink(&a).ink(&b).ink(&c).overprint(&[1, 0], measured);
        let print = request.build(&Overlap::independent(3).unwrap()).unwrap();
        assert_eq!(print.primaries()[0b011], measured);
        assert_abs_diff_eq!(print.primaries()[0b111].0[1], c.over(measured).0[1], epsilon = 1e-14);
        assert_abs_diff_eq!(print.primaries()[0b101].0[1], c.over(a.over(grey(0.9))).0[1], epsilon = 1e-14);
        assert_abs_diff_eq!(print.xyz(&[1.0, 1.0, 0.0]).0[1], measured.0[1], epsilon = 1e-14);
    }

    #[test]
    fn what_cannot_be_printed_is_refused() {
        let white = ink("white", 0.8, 0.01);
        let law = |plates| Overlap::independent(plates).unwrap();
        let two = || Print::on(grey(0.5)).ink(&white).ink(&white);
        let many = (0..13).fold(Print::on(grey(0.5)), |request, _| request.ink(&white));
        for (request, plates, word) in [
            (Print::on(grey(0.5)), 1, "inks of a print is 0"),
            (many, 12, "inks of a print is 13"),
            (two(), 3, "overlap law is for 3 plates; allowed: one for 2"),
            (Print::on(grey(2.0)).ink(&white), 1, "colour of the garment"),
            (Print::on(grey(f64::NAN)).ink(&white), 1, "colour of the garment"),
            (two().wet(1.1), 2, "lay-down on wet ink is 1.1"),
            (two().wet(f64::NAN), 2, "lay-down on wet ink"),
            (two().yule_nielsen(0.9), 2, "Yule-Nielsen n is 0.9"),
            (two().overprint(&[], grey(0.5)), 2, "overprint is []"),
            (two().overprint(&[0, 0], grey(0.5)), 2, "overprint is [0, 0]"),
            (two().overprint(&[2], grey(0.5)), 2, "overprint is [2]"),
            (two().overprint(&[0, 1], grey(0.5)).overprint(&[1, 0], grey(0.5)), 2, "told twice"),
            (two().overprint(&[0], grey(-1.0)), 2, "colour of an overprint"),
        ] {
            let message = request.build(&law(plates)).unwrap_err().to_string();
            assert!(message.contains(word), "{message}");
        }
    }
}
