//! What an art colour should look like in print.
//!
//! A print's darkest is not black and its lightest not white. *Adapted*, the art's own black and white become the two, and what lies
//! between keeps its place between: in X, Y, Z, which is linear in light, channel by channel (black point compensation as ISO 18619
//! describes it, from memory). *Absolute*, a colour stays what it is. Either way what cannot be printed is brought into the
//! gamut.
//!
//! The garment's own colour must come out as bare garment, adapted or not. Where adaptation moves it, it is moved back, and its
//! neighbours with it by less and less: over four times the way it was moved, so that no step of the art grows by more than two fifths.

use crate::colour::print::Print;
use crate::colour::separate::gamut::{Axis, Gamut};
use crate::colour::spaces::{Lab, LinearRgb, White, Xyz};
use crate::error::{Error, Result};

/// How the art's black and white come out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
#[non_exhaustive]
pub enum Intent {
    /// As the print's darkest and lightest.
    #[default]
    Adapted,
    /// As they are, as far as they can be printed.
    Absolute,
}

impl std::str::FromStr for Intent {
    type Err = Error;

    /// `adapted` or `absolute`.
    fn from_str(text: &str) -> Result<Self> {
        match text.trim() {
            "adapted" => Ok(Self::Adapted),
            "absolute" => Ok(Self::Absolute),
            _ => Err(Error::value("intent", text, "adapted or absolute")),
        }
    }
}

/// How much darker (or lighter) an overprint must be, in L*, for each ink more that it takes.
const WORTH: f64 = 2.0;

/// The way from art to the colour wanted.
#[derive(Debug, Clone)]
pub(super) struct Aim {
    adaptation: Adaptation,
    gamut: Gamut,
    garment: Lab,
    /// How far adaptation moves the garment's colour, and the distance beyond which nothing is moved back.
    moved: [f64; 3],
    reach: f64,
}

/// X, Y, Z to `dark` + (`light` − `dark`) · X / white.
#[derive(Debug, Clone, Copy)]
struct Adaptation {
    dark: [f64; 3],
    light: [f64; 3],
}

impl Aim {
    pub(super) fn new(print: &Print, intent: Intent, knee: f64) -> Self {
        let all = print.primaries().iter().copied().enumerate();
        Self::among(print.primaries()[0], all, intent, |axis, in_art| Gamut::new(print, axis, knee, in_art))
    }

    /// The same for a garment and what can lie on it: inks (a bit for each) and their colour. `gamut` is made from its axis and what
    /// the art may hold.
    pub(super) fn among(
        garment: Xyz,
        colours: impl Iterator<Item = (usize, Xyz)> + Clone,
        intent: Intent,
        gamut: impl FnOnce(Axis, &(dyn Fn(Lab) -> bool + Sync)) -> Gamut,
    ) -> Self {
        // A colour cast counts half as much as lightness, and each ink beyond the first must be worth it.
        let score = |(inks, colour): (usize, Xyz), sign: f64| {
            let Lab { l, a, b } = colour.to_lab();
            sign * l - 0.5 * (a * a + b * b).sqrt() - WORTH * f64::from(inks.count_ones().saturating_sub(1))
        };
        let best = |sign: f64| {
            let best = colours.clone().max_by(|&one, &other| score(one, sign).total_cmp(&score(other, sign)));
            best.map_or(Xyz::default(), |(_, colour)| colour)
        };
        let (darkest, lightest) = (best(-1.0), best(1.0));
        let adaptation = match intent {
            Intent::Adapted => Adaptation { dark: darkest.0, light: lightest.0 },
            Intent::Absolute => Adaptation { dark: [0.0; 3], light: White::D50.xyz() },
        };
        let axis = Axis { dark: darkest.to_lab(), light: lightest.to_lab() };
        let gamut = gamut(axis, &|colour| adaptation.holds(colour));
        let there = adaptation.of(garment).to_lab();
        let garment = garment.to_lab();
        let moved = [there.l - garment.l, there.a - garment.a, there.b - garment.b];
        let reach = 4.0 * length(moved);
        Self { adaptation, gamut, garment, moved, reach }
    }

    /// The colour wanted for linear light of the art.
    pub(super) fn at(&self, art: LinearRgb) -> Lab {
        let xyz = art.to_xyz();
        let (own, mut wanted) = (xyz.to_lab(), self.adaptation.of(xyz).to_lab());
        let off = length([own.l - self.garment.l, own.a - self.garment.a, own.b - self.garment.b]);
        if off < self.reach {
            let near = 1.0 - (off / self.reach) * (off / self.reach);
            let back = near * near;
            wanted.l -= back * self.moved[0];
            wanted.a -= back * self.moved[1];
            wanted.b -= back * self.moved[2];
        }
        self.gamut.bring_in(wanted)
    }
}

impl Adaptation {
    fn of(&self, colour: Xyz) -> Xyz {
        let white = White::D50.xyz();
        Xyz(std::array::from_fn(|i| self.dark[i] + (self.light[i] - self.dark[i]) * colour.0[i] / white[i]))
    }

    /// Whether a colour comes from one that sRGB holds.
    fn holds(&self, adapted: Lab) -> bool {
        let white = White::D50.xyz();
        let Xyz(xyz) = adapted.to_xyz();
        let own = std::array::from_fn(|i| {
            let range = self.light[i] - self.dark[i];
            if range > 1e-9 { (xyz[i] - self.dark[i]) / range * white[i] } else { 0.0 }
        });
        Xyz(own).to_linear().0.iter().all(|channel| (-1e-3..=1.001).contains(channel))
    }
}

fn length(v: [f64; 3]) -> f64 {
    (v[0] * v[0] + v[1] * v[1] + v[2] * v[2]).sqrt()
}
