//! The proof from films: every dot, as it lies on the others.
//!
//! A point of the print shows one combination of inks: those whose films, moved as they lie on the press and with edges that have grown,
//! have ink there. Its colour is that of the inks in printing order ([`Print::primaries`]: drying, ink on wet ink and measured
//! overprints as told). A pixel of the picture is the mean light of its points.
//!
//! That mean is exact without growth; with it the worst pixel is 0.005 of a white's light off, all of them together 0.0001, against shapes
//! cut by shapely (`tests/proof_films.rs`).
//!
//! Areas are known, so light is averaged as it is, Yule and Nielsen's n being 1: light that wanders in the ground below dots is not in
//! this picture. A print whose n is another is darker in its proof from [plates](crate::proof::plates), by as much as n says.
//!
//! # Example
//!
//! How far a film that lies a tenth of a millimetre beside its place changes what is seen from 60 cm:
//!
//! ```
//! use dotwright::colour::{Drawdown, Ink, Overlap, Print};
//! use dotwright::proof::{Differences, Films, Lay};
//! use dotwright::{Angle, Dot, Length, LineCount, Mode, Resolution, Screen};
//!
//! let ink = |name: &str, white: &str, black: &str| -> dotwright::Result<Ink> {
//!     let over = |ground: &str, ink: &str| -> dotwright::Result<Drawdown> {
//!         Ok(Drawdown { ground: ground.parse()?, colour: ink.parse()? })
//!     };
//!     Ink::new(name, over("lab(95.5 -0.5 1)", white)?, over("lab(15 0 0)", black)?)
//! };
//! let (chalk, soot) = (ink("chalk", "lab(95.3 -0.6 1.4)", "lab(89.3 -0.2 0.5)")?, ink("soot", "lab(14 0 0)", "lab(14 0 0)")?);
//! let (resolution, lines) = (Resolution::per_inch(600.0)?, LineCount::per_inch(45.0)?);
//! let normal = Screen::cells(resolution, lines, Angle::degrees(22.5)?, Dot::Euclidean).build()?;
//! let inverted = normal.again(Mode::Inverted, None)?;
//! let print = Print::on("#6b4a3c".parse()?).ink(&chalk).ink(&soot).build(&Overlap::of(&[&normal, &inverted])?)?;
//!
//! let tint = ndarray::Array2::from_elem((400, 400), 110_u8);
//! let (white, black) = (normal.film(tint.view())?, inverted.film(tint.view())?);
//! let films = Films::new(&print, &[white.view(), black.view()], resolution)?;
//! let piece = films.inch_about([Length::mm(8.0)?; 2]);
//! let moved = films.clone().lay(1, Lay { shift: [Length::mm(0.1)?, Length::mm(0.0)?], ..Lay::default() })?;
//! let (one, other) = (films.proof(piece)?, moved.proof(piece)?);
//! let off = Differences::seen(&one, &other, resolution, Length::mm(600.0)?)?;
//! assert!(off.mean() > 1.5 && off.mean() < 6.0);
//! # Ok::<(), dotwright::Error>(())
//! ```

use crate::colour::Print;
use crate::colour::overlap::MAX_PLATES;
use crate::error::{Error, Result};
use crate::film::{FilmView, Rect};
use crate::press::spread::{MAX_PIXELS, MAX_WIDTH};
use crate::proof::Picture;
use crate::proof::lines::Plan;
use crate::units::{Length, Resolution};

/// Furthest that a film is moved, in inches: well beyond any film, and far from what numbers cannot hold.
const FURTHEST: f64 = 1000.0;

/// Most by which a film stretches or shrinks.
const MOST_STRETCH: f64 = 0.1;

/// How a film lies on the press, and how its ink spreads: by default where it belongs, and not at all.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Lay {
    /// How far edges of ink move outwards; negative where ink shrinks.
    pub growth: Length,
    /// How far to the right and down it lies from where it belongs.
    pub shift: [Length; 2],
    /// By which part of its length it is longer along x and y, about its middle: 0.001 for a millimetre in a metre, negative where it has
    /// shrunk.
    pub stretch: [f64; 2],
}

/// The films of a print, in printing order, as they lie on the press.
#[derive(Clone)]
pub struct Films<'a> {
    pub(super) print: &'a Print,
    pub(super) films: Vec<FilmView<'a>>,
    pub(super) resolution: Resolution,
    pub(super) lays: [Lay; MAX_PLATES],
}

impl<'a> Films<'a> {
    /// Films of one size and resolution, one for each ink of `print` in printing order.
    ///
    /// Errors: another number of films than inks; films of different sizes.
    pub fn new(print: &'a Print, films: &[FilmView<'a>], resolution: Resolution) -> Result<Self> {
        let Some(first) = films.first().filter(|_| films.len() == print.inks()) else {
            let allowed = format!("{}, one for each ink", print.inks());
            return Err(Error::value("number of films", films.len(), allowed));
        };
        let size = (first.width(), first.height());
        if let Some(other) = films.iter().find(|film| (film.width(), film.height()) != size) {
            return Err(Error::Extent {
                what: "a film",
                got_width: other.width() as u64,
                got_height: other.height() as u64,
                width: size.0 as u64,
                height: size.1 as u64,
            });
        }
        Ok(Self { print, films: films.to_vec(), resolution, lays: Default::default() })
    }

    /// The same with film `film` (counted from 0) lying so.
    ///
    /// Errors: no such film; growth of more than 256 pixels; a shift of more than 1000 inches; a stretch of more than 0.1, or not a number.
    pub fn lay(mut self, film: usize, lay: Lay) -> Result<Self> {
        if film >= self.films.len() {
            return Err(Error::value("film", film, format!("0 to {}", self.films.len() - 1)));
        }
        let (x, y) = lay.growth.in_pixels(self.resolution);
        if x.abs().max(y.abs()) > MAX_PIXELS {
            let allowed = format!("{MAX_PIXELS} pixels at most, either way");
            return Err(Error::value("edge growth", lay.growth, allowed));
        }
        if let Some(shift) = lay.shift.iter().find(|shift| shift.to_inches().abs() > FURTHEST) {
            return Err(Error::value(
                "shift of a film",
                shift,
                format!("{FURTHEST} inches at most, either way"),
            ));
        }
        if let Some(stretch) = lay.stretch.iter().find(|s| !(-MOST_STRETCH..=MOST_STRETCH).contains(*s)) {
            let allowed = format!("-{MOST_STRETCH} to {MOST_STRETCH} of its length");
            return Err(Error::value("stretch of a film", stretch, allowed));
        }
        self.lays[film] = lay;
        Ok(self)
    }

    /// The square inch around a place, told from the films' left and top: moved inwards at their edges, smaller only where they are.
    pub fn inch_about(&self, place: [Length; 2]) -> Rect {
        let around = |place: Length, pixels: f64, whole: usize| {
            let side = (pixels.round() as usize).clamp(1, whole.max(1)).min(whole);
            let start = (place.to_inches() - 0.5) * pixels;
            ((start.round().max(0.0) as usize).min(whole - side), side)
        };
        let (x, width) = around(place[0], self.resolution.x(), self.films[0].width());
        let (y, height) = around(place[1], self.resolution.y(), self.films[0].height());
        Rect { x, y, width, height }
    }

    /// The print of a piece of the films, pixel by pixel. What lies around the piece acts on it; around the films is bare ground.
    ///
    /// Errors: a piece that is not inside of the films, or wider than 2³⁰ pixels; memory (12 bytes a pixel). Cost: some 0.05 s for a square
    /// inch at 1440 px/inch of six films at 45 lines on two cores, 0.2 s where edges grow by 25 µm; up to 0.1 s and 0.6 s for index dots of
    /// one pixel, the most edges that there can be.
    pub fn proof(&self, piece: Rect) -> Result<Picture> {
        self.proof_at(piece, self.resolution)
    }

    /// The same at another resolution: each pixel is the mean light of as much of the print as it shows, and the piece ends at a whole
    /// pixel.
    pub fn proof_at(&self, piece: Rect, resolution: Resolution) -> Result<Picture> {
        self.films[0].check_inside(piece)?;
        if piece.width > MAX_WIDTH {
            return Err(Error::value("width of a proof", piece.width, format!("{MAX_WIDTH} pixels at most")));
        }
        let steps = [self.resolution.x() / resolution.x(), self.resolution.y() / resolution.y()];
        let pixels = |side: usize, step: f64| match side {
            0 => 0,
            side => (side as f64 / step).round().max(1.0) as usize,
        };
        let (width, height) = (pixels(piece.width, steps[0]), pixels(piece.height, steps[1]));
        let mut picture = Picture::black(width, height)?;
        if !picture.pixels.is_empty() {
            Plan::new(self, [piece.x as f64, piece.y as f64], steps).fill(picture.pixels.view_mut())?;
        }
        Ok(picture)
    }
}
