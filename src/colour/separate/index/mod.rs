//! Index separation: every index dot takes exactly one ink, or stays garment.
//!
//! Plates are disjoint by construction: nothing lies on anything but garment (or an underbase), and areas add. Each dot has the
//! [colour of the art under it](ArtOnFilm); that colour is mixed of the inks' own, of four at most, with the least grain (`mixture`); and one of
//! these is chosen:
//!
//! * [by position](IndexSeparation::films), the default: areas laid end to end against the dot's own blue-noise threshold. A dot hangs on
//!   nothing but its place and the art under it: bands, tiles and threads change no bit.
//! * by [error diffusion](IndexSeparation::diffused): finer detail, less grain from near; a dot hangs on all before it, so it must run whole.
//!
//! Areas are laid end to end from the darkest colour to the lightest, the garment among them, so that every cut between darker and lighter
//! dots is blue noise: low-frequency power of six flat tints' light is 0.06 of that of white noise, and of their single plates 0.15
//! (`tests/index_separation.rs`). Rejected: the order of printing, with 0.10 and 0.17.
//!
//! A print may have one plate as the underbase: it gets the union of all dots that need it (to be choked by the caller), and their inks the colour that they
//! have over it. An ink that looks the same without (a black) goes without. A dot may also be base alone.
//!
//! Where art is opaque in part, that part of the dots is the art's and the rest garment; by error diffusion the colour of both together is
//! mixed of the same inks, in what amounts is left to it.
//!
//! What decides a dot uses + − × ÷ √ and the `libm` crate alone, as for screens: the same bits on every processor.
//!
//! The garment's own colour, as near as 8-bit codes can tell it, and art of alpha 0 get exactly no dot.
//!
//! ```
//! use dotwright::colour::separate::index::{ArtOnFilm, IndexSeparation};
//! use dotwright::colour::{Drawdown, Ink, Overlap, Print, Xyz};
//! use dotwright::{Resolution, Screen};
//! use ndarray::Array3;
//!
//! let ink = |name, over_white: &str, over_black: &str| {
//!     let drawdown = |colour: &str, ground: &str| {
//!         Ok::<_, dotwright::Error>(Drawdown { colour: colour.parse()?, ground: ground.parse()? })
//!     };
//!     Ink::new(name, drawdown(over_white, "#ffffff")?, drawdown(over_black, "#000000")?)
//! };
//! let print = Print::on("#202028".parse::<Xyz>()?)
//!     .ink(&ink("chalk", "#fcfcfa", "#e1e2e2")?)
//!     .ink(&ink("poppy", "#d61e2d", "#a0202a")?)
//!     .build(&Overlap::side_by_side(2)?)?;
//! let film = Resolution::per_inch(720.0)?;
//! let index = IndexSeparation::of(&print, &Screen::index_pitch(film, 90.0).build()?).build()?;
//!
//! let art = Array3::from_shape_fn((75, 90, 3), |(_, x, c)| if c == 0 { 200 } else { 2 * x as u8 });
//! let films = index.films(&ArtOnFilm::new(art.view(), Resolution::per_inch(300.0)?, film)?)?;
//! assert_eq!((films.len(), films[0].width()), (2, 216));
//! assert_eq!(films[0].and(&films[1])?.count(), 0);
//! # Ok::<(), dotwright::Error>(())
//! ```

mod diffusion;
mod filling;
mod mixture;
mod position;
mod request;
mod under;

pub use request::Request;
pub use under::ArtOnFilm;

use crate::colour::print::Print;
use crate::colour::separate::aim::Aim;
use crate::colour::separate::index::mixture::{Areas, MAX_COLOURS, Mixtures};
use crate::colour::separate::index::under::{Sum, Under};
use crate::colour::separate::nearest::Wanted;
use crate::colour::spaces::{Lab, LinearRgb, Xyz};
use crate::colour::srgb::Code;
use crate::error::{Error, Result};
use crate::film::Film;
use crate::plate::Tone;
use crate::screen::Screen;
use crate::screen::dots::{Area, Dots};

/// A compiled index separation. May be shared between threads.
#[derive(Debug, Clone)]
pub struct IndexSeparation {
    print: Print,
    dots: Dots,
    aim: Aim,
    /// What a dot may be, from the darkest to the lightest: the plates that have it (bit i for plate i; 0 for garment).
    colours: Vec<usize>,
    /// Which of them is the garment.
    garment: usize,
    garment_colour: Lab,
    /// Half an 8-bit code around the garment's colour, as a distance in L\*a\*b\*.
    half_code: f64,
    mixtures: Mixtures,
}

/// How far around the garment's colour what is taken off it there runs out, in parts of [`half_code`](IndexSeparation::half_code): the art's
/// steps grow by a fifteenth at most.
const RUNS_OUT: f64 = 16.0;

impl IndexSeparation {
    /// A separation for the garment and the inks of a print, into the dots of a screen. The print's overlap law is not read, nor the screen's mode and
    /// curve: index dots are one beside the other.
    pub fn of(print: &Print, screen: &Screen) -> Request {
        Request::new(print, screen)
    }

    /// The print it is made for.
    pub fn print(&self) -> &Print {
        &self.print
    }

    /// The colour that an art colour should have in print: adapted, and brought into what dots side by side can mix.
    pub fn wanted(&self, art: LinearRgb) -> Lab {
        let colour = self.aim.at(art);
        let Lab { l, a, b } = art.to_xyz().to_lab();
        let garment = self.garment_colour;
        let off = [l - garment.l, a - garment.a, b - garment.b];
        let off = (off[0] * off[0] + off[1] * off[1] + off[2] * off[2]).sqrt();
        if off <= self.half_code {
            return garment;
        }
        if off >= RUNS_OUT * self.half_code {
            return colour;
        }
        let part = RUNS_OUT / (RUNS_OUT - 1.0) * (1.0 - self.half_code / off);
        let between = |from: f64, to: f64| from + part * (to - from);
        Lab {
            l: between(garment.l, colour.l),
            a: between(garment.a, colour.a),
            b: between(garment.b, colour.b),
        }
    }

    /// The part of its dots (0…1) that each plate has in a flat tint of an art colour that is `opaque` (0…1) in part. They add up to 1 at most, but for
    /// an underbase, which has the dots of all others that need it, and its own.
    pub fn coverages(&self, art: LinearRgb, opaque: f64) -> Vec<f64> {
        let areas = self.areas(&Under { light: art, opaque: opaque.clamp(0.0, 1.0) });
        let plate = |plate: usize| {
            let with = self.colours.iter().zip(areas).filter(|(mask, _)| *mask >> plate & 1 == 1);
            with.map(|(_, area)| area).sum()
        };
        (0..self.print.inks()).map(plate).collect()
    }

    /// What the dots of such a tint look like from afar: for a proof.
    pub fn colour(&self, art: LinearRgb, opaque: f64) -> Xyz {
        let areas = self.areas(&Under { light: art, opaque: opaque.clamp(0.0, 1.0) });
        self.mixtures.colour(self.mixtures.mean(&areas))
    }

    /// Areas of the colours; exactly those of bare garment where nothing is to be printed.
    fn areas(&self, under: &Under) -> Areas {
        let mut areas = [0.0; MAX_COLOURS];
        // Not a number is nothing.
        if under.opaque > 0.0 {
            let wanted = self.wanted(under.light);
            if wanted != self.garment_colour {
                areas = self.mixtures.areas(&Wanted::new(wanted)).map(|area| under.opaque * area);
                areas[self.garment] += 1.0 - under.opaque;
                return areas;
            }
        }
        areas[self.garment] = 1.0;
        areas
    }

    /// What lies under a dot, and one of its pixels, if it has any on the film.
    fn under<T: Code + Tone>(
        &self,
        art: &ArtOnFilm<'_, T>,
        dot: [i64; 2],
        film: &Area,
    ) -> Option<(Under, (i64, i64))> {
        let (mut sum, mut pixel) = (Sum::default(), None);
        self.dots.pixels(dot, film, |piece| {
            pixel.get_or_insert((piece.x.start, piece.y.start));
            art.add(&piece, &mut sum);
        });
        pixel.map(|pixel| (sum.mean(), pixel))
    }

    /// The film on which art lies.
    fn film_of<T: Code + Tone>(&self, art: &ArtOnFilm<'_, T>) -> Result<Area> {
        let farthest = self.dots.farthest();
        art.area(farthest).ok_or_else(|| {
            Error::value(
                "place of art",
                format!("{:?}", art.origin()),
                format!("within {farthest} px of (0, 0)"),
            )
        })
    }

    /// An empty film for each plate.
    fn empty<T: Code + Tone>(&self, art: &ArtOnFilm<'_, T>) -> Result<Vec<Film>> {
        (0..self.print.inks()).map(|_| Film::new(art.film_width(), art.film_height())).collect()
    }
}
