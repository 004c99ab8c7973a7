//! What an index separation is to be, and the plan that is made for it.

use crate::colour::difference::ciede2000;
use crate::colour::print::Print;
use crate::colour::separate::aim::{Aim, Intent};
use crate::colour::separate::gamut::Gamut;
use crate::colour::separate::index::IndexSeparation;
use crate::colour::separate::index::mixture::Mixtures;
use crate::colour::spaces::{Lab, LinearRgb, Xyz};
use crate::colour::srgb::{decoded, encoded};
use crate::error::{Error, Result};
use crate::screen::Screen;
use crate::screen::dots::Dots;

/// An ink needs a base under it if that changes its colour by more than this, in ΔE00: more than a black's over white and over black, far less than
/// any colour's on a dark garment. (No base under black is common practice.)
const NEEDS_BASE: f64 = 3.0;

/// What an index separation is to be. Made by [`IndexSeparation::of`], ended by [`build`](Self::build).
#[derive(Debug, Clone)]
#[must_use = "a request does nothing until it is built"]
pub struct Request {
    print: Print,
    screen: Screen,
    intent: Intent,
    knee: f64,
    base: Option<usize>,
}

impl Request {
    pub(super) fn new(print: &Print, screen: &Screen) -> Self {
        Self {
            print: print.clone(),
            screen: screen.clone(),
            intent: Intent::default(),
            knee: 0.9,
            base: None,
        }
    }

    /// How the art's black and white come out.
    pub fn intent(self, intent: Intent) -> Self {
        Self { intent, ..self }
    }

    /// The part of the way to the boundary of what can be mixed (0…0.99) within which colours stay what they are; 0.9 unless told. Art that goes
    /// beyond the boundary is brought in between there and the boundary.
    pub fn knee(self, part: f64) -> Self {
        Self { knee: part, ..self }
    }

    /// The plate (counted from 0, in printing order) that lies under the others' dots.
    pub fn underbase(self, plate: usize) -> Self {
        Self { base: Some(plate), ..self }
    }

    /// Makes the plan.
    ///
    /// Errors: a screen of growing dots; a knee out of range; an underbase that is not a plate. Cost: some milliseconds.
    pub fn build(&self) -> Result<IndexSeparation> {
        if !(0.0..=0.99).contains(&self.knee) {
            return Err(Error::value("knee of the gamut", self.knee, "0 to 0.99"));
        }
        let dots = Dots::of(&self.screen)?;
        let mut colours = self.colours()?;
        let at = |mask: usize| self.print.primaries()[mask];
        colours.sort_by(|&a, &b| at(a).0[1].total_cmp(&at(b).0[1]));
        let n = self.print.yule_nielsen();
        let roots = |xyz: Xyz| {
            if n == 1.0 { xyz.0 } else { xyz.0.map(|c| libm::pow(c.max(0.0), 1.0 / n)) }
        };
        let mixtures = Mixtures::of(colours.iter().map(|&mask| roots(at(mask))).collect(), n);
        let garment_colour = at(0);
        // One ink each, whatever lies under it.
        let single = colours.iter().map(|&mask| (usize::from(mask > 0), at(mask)));
        let aim = Aim::among(garment_colour, single, self.intent, |axis, in_art| {
            let printed = || |colour: Lab| mixtures.holds(colour.to_xyz());
            Gamut::of(
                axis,
                self.knee,
                mixtures.is_body() && mixtures.holds(axis.middle().to_xyz()),
                printed,
                in_art,
            )
        });
        Ok(IndexSeparation {
            print: self.print.clone(),
            dots,
            aim,
            garment: colours.iter().position(|&mask| mask == 0).unwrap_or(0),
            colours,
            garment_colour: garment_colour.to_lab(),
            half_code: half_code(garment_colour),
            mixtures,
        })
    }

    /// The inks that a dot may have together: none, or one with or without the base, or the base alone.
    fn colours(&self) -> Result<Vec<usize>> {
        let inks = self.print.inks();
        let Some(base) = self.base else { return Ok((0..inks).map(|ink| 1 << ink).chain([0]).collect()) };
        if base >= inks {
            return Err(Error::value("underbase", base, format!("a plate, 0 to {}", inks - 1)));
        }
        let colour = |mask: usize| self.print.primaries()[mask].to_lab();
        let with_base = |ink: usize| {
            let alone = 1 << ink;
            let both = alone | 1 << base;
            if ciede2000(colour(alone), colour(both)) > NEEDS_BASE { both } else { alone }
        };
        Ok((0..inks).map(|ink| if ink == base { 1 << base } else { with_base(ink) }).chain([0]).collect())
    }
}

/// How far, in L\*a\*b\*, colours are from `colour` that differ by half a code of 8 bits in each channel, at the most.
fn half_code(colour: Xyz) -> f64 {
    let LinearRgb(light) = colour.to_linear();
    let from = colour.to_lab();
    let corners = (0..8).map(|corner| {
        let moved = std::array::from_fn(|channel| {
            let half = if corner >> channel & 1 == 1 { 0.5 / 255.0 } else { -0.5 / 255.0 };
            let code = encoded(light[channel]) + half;
            light[channel] + decoded(code) - decoded(code - half)
        });
        let to = LinearRgb(moved).to_xyz().to_lab();
        let (l, a, b) = (to.l - from.l, to.a - from.a, to.b - from.b);
        (l * l + a * a + b * b).sqrt()
    });
    // Rounding to codes may sit right on the half.
    1.01 * corners.fold(0.0, f64::max)
}
