//! Side by side: plates that share one lattice without their dots ever overlapping, for any tones.
//!
//! A pixel takes one plate's ink at the most, so films of one [`SideBySide`] never overlap, whatever the tones. Which one follows
//! from its place and the tones of all plates there, so films may be cut into bands and tiles at will.
//!
//! # Compact
//!
//! Each plate's dots grow from a seed of their own in every cell. With r the rank of a pixel in the ordinary
//! screen moved to a plate's seed, and d the size of the plate's dots, both as parts of a cell:
//!
//! ```text
//! the pixel is the plate's  ⇔  r < d, and r/d is the least of all plates'
//! ```
//!
//! While no two dots touch, d is the tone and each film is that of the ordinary screen, moved by whole pixels: tone is exact. (Where
//! discs all but touch, two may claim a pixel at their edges.) Where dots touch they share a border, and d rises above the tone so that
//! each plate keeps its area all the same. Where tones add up to solid, every pixel has a plate. At 1200 px and 45 lines to the inch:
//!
//! | | |
//! |---|---|
//! | largest circle in a dot, by that of the ordinary dot: 0.1 or 0.2 each of two, three or four plates | 1.00 |
//! | equal tones up to solid, two to twelve plates | 0.77 … 1.00 |
//! | 0.1 each of five beside 0.5, up to solid: the small dots and the large one | 0.82 … 1.00, 0.73 |
//! | 0.05 each of seven beside 0.6: the small dots and the large one | 0.87 … 1.00, 0.65 |
//! | tone over a brick, tones on a grid (`tests/side_by_side_dots.rs`) | off by 0.006 at the most, 0.001 as root mean square |
//! | tone over a cell, the worst tones that a search finds, two to twelve plates | off by 0.007 … 0.017 |
//! | unevenness of flat tints (`tests/even_tints.rs`): dots apart, dots touching | 0.00006, 0.0006 |
//! | time by that of as many ordinary screens, three, six, eight plates: dots apart | 3, 3, 3 |
//! | dots touching, plates of 300 px/inch, nearest | 20, 23, 33 |
//! | dots touching, tones that differ at each pixel | 62, 66, 100 |
//!
//! To this comes what each tone costs that is met for the first time: for a picture of soft waves 0.2 s with six plates, 2 s with
//! eight; with twelve 10 s, and more where the picture has more tones than are remembered.
//!
//! Coarse pixels make borders between dots less even: 0.0022 at 600 px and 45 lines, 0.007 at 65.7, where straight ranking has 0.0017
//! and 0.0095, even growth 0.0002 and 0.0006.
//!
//! # Rings
//!
//! One threshold for all plates, which take what lies between running sums of tones: plate i from t₁ + … + t_{i−1} to
//! t₁ + … + t_i. Tone is exact and the union is the ordinary screen of the sum; dots touch at any tone, and rings are thin: of three
//! tones of 0.1 at 45 lines they are 201, 42 and 32 µm wide. For any dot; and for index dots, each of which then takes one plate's ink
//! or none.
//!
//! # Tones and growth
//!
//! Tones are those after the plates' curves. Where they add up to more than solid the first plates win: a plate gets its tone or what
//! those before it leave of solid, as the overlap law has it ([`Overlap`](crate::colour::Overlap::side_by_side)).
//!
//! A darker tone's ink contains a lighter one's in the union of rings, and in each compact plate while no dots touch. Beyond that borders
//! move: when one plate rises by 0.01, others give up some pixels for as many elsewhere (up to 0.003 of the film).
//!
//! # Rejected
//!
//! Sectors of one dot (pies): exact and quick, but plates then touch at any tone, and 0.02 beside 0.3 is a thin wedge. Cells cut into
//! rectangles by tone: exact, but seeds wander, and of 0.2 each of three the circle is 0.66 of the ordinary dot's. Dots that grow in
//! turns until each has its tone: those that are walled in jump to far places. Finer cells shared out among plates: another
//! line count. Too much ink brought down in proportion: a plate would lose ink by what is far down the list.

mod claim;
mod memo;
mod run;
mod seeds;
mod share;

use std::sync::{Arc, Mutex, PoisonError};

use crate::error::{Error, Result, reserve};
use crate::screen::dot::Dot;
use crate::screen::lattice::Lattice;
use crate::screen::table::Table;
use crate::screen::{Mode, Pattern, Request, Screen};
use crate::tone::Curve;
use crate::tone::curve::Q32_SOLID;
use claim::Bench;
use share::Shares;

/// Most plates that stand side by side.
pub const MAX_PLATES: usize = 12;

/// How plates that stand side by side share a cell. See the [module](self).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Sharing {
    /// Each plate has compact dots around a seed of its own.
    #[default]
    Compact,
    /// The first plate has the middle of one common dot, each next one a ring around it.
    Rings,
}

impl std::str::FromStr for Sharing {
    type Err = Error;

    /// `compact` or `rings`.
    fn from_str(text: &str) -> Result<Self> {
        match text.trim() {
            "compact" => Ok(Self::Compact),
            "rings" => Ok(Self::Rings),
            _ => Err(Error::value("sharing", text, "compact or rings")),
        }
    }
}

/// A compiled screen of several plates whose dots stand side by side. Cheap to clone; may be shared between threads.
#[derive(Debug, Clone)]
pub struct SideBySide(Arc<Plan>);

#[derive(Debug)]
struct Plan {
    screen: Screen,
    common: Arc<Common>,
    /// What the tones of each plate stand for.
    scales: Vec<Scale>,
}

/// What does not change with curves.
#[derive(Debug)]
struct Common {
    /// Where each plate's thresholds begin, in pixels.
    seeds: Vec<[i64; 2]>,
    /// For compact dots.
    touching: Option<Touching>,
    /// Benches that no run is using: one run takes one, before its first pixel.
    benches: Mutex<Vec<Bench>>,
}

/// When compact dots touch, and what then.
#[derive(Debug)]
struct Touching {
    shares: Shares,
    /// For tones from 256 i to 256 i + 255: up to which other tones no dot touches another.
    clear: [u16; 256],
}

/// Tones of one plate after its curve, in 65 535ths; without a curve they stay as they are.
#[derive(Debug)]
struct Scale {
    curve: Option<Curve>,
    bytes: Option<Vec<u16>>,
    words: Option<Vec<u16>>,
}

impl SideBySide {
    /// `plates` plates (1…12) side by side on the lattice of a screen, with its dot and growth; its curve, if any, holds for every plate.
    ///
    /// Compact dots want a request made by [`Screen::cells`] with a round or a euclidean dot, in normal mode; rings take any.
    ///
    /// Errors: another number of plates; another dot; a request that cannot be [built](Request::build). Cost: building the screen, and
    /// some milliseconds.
    ///
    /// ```
    /// use dotwright::screen::{Sharing, SideBySide};
    /// use dotwright::{Angle, Dot, LineCount, Resolution, Screen};
    /// use ndarray::Array2;
    ///
    /// let (resolution, lines) = (Resolution::per_inch(720.0)?, LineCount::per_inch(45.0)?);
    /// let request = Screen::cells(resolution, lines, Angle::degrees(22.5)?, Dot::Round);
    /// let screen = SideBySide::build(&request, 3, Sharing::Compact)?;
    /// let plates = [40_u8, 120, 60].map(|tone| Array2::from_elem((160, 160), tone));
    /// let films = screen.films(&plates.each_ref().map(|plate| plate.view().into()))?;
    /// assert!((films[1].coverage() - 120.0 / 255.0).abs() < 0.01);
    /// assert_eq!(films[0].and(&films[1])?.count(), 0);
    /// # Ok::<(), dotwright::Error>(())
    /// ```
    pub fn build(request: &Request, plates: usize, sharing: Sharing) -> Result<Self> {
        if !(1..=MAX_PLATES).contains(&plates) {
            return Err(Error::value("plates side by side", plates, format!("1 to {MAX_PLATES}")));
        }
        if request.mode != Mode::Normal {
            return Err(Error::value("mode of plates side by side", "inverted", "normal"));
        }
        let curve = request.curve.clone();
        let request = Request { curve: None, ..request.clone() };
        let (seeds, screen, touching) = match (sharing, &request.pattern) {
            (Sharing::Rings, _) => (vec![[0, 0]; plates], request.build()?, None),
            (Sharing::Compact, Pattern::Cells(.., dot @ (Dot::Round | Dot::Euclidean))) => {
                let screen = request.build()?;
                let lattice = screen.lattice().expect("cells have a lattice");
                let touching = Touching::new(Shares::new(dot, seeds::in_cell(plates))?);
                (seeds::on_film(lattice, plates), screen, Some(touching))
            }
            (Sharing::Compact, Pattern::Cells(.., dot)) => {
                return Err(Error::value(
                    "dot of compact plates side by side",
                    format!("{dot:?}"),
                    "round or euclidean",
                ));
            }
            (Sharing::Compact, _) => {
                return Err(Error::value(
                    "screen of compact plates side by side",
                    "index dots or an array",
                    "cells",
                ));
            }
        };
        let benches = Mutex::new(reserve("benches", 1)?);
        let common = Arc::new(Common { seeds, touching, benches });
        let built = Self(Arc::new(Plan { screen, common, scales: Vec::new() }));
        built.put_back(Bench::new(&built)?);
        built.with_curves(&vec![curve; plates])
    }

    /// The same with a curve of its own, or none, for each plate. Cost: two tables a plate.
    pub fn with_curves(&self, curves: &[Option<Curve>]) -> Result<Self> {
        if curves.len() != self.plates() {
            return Err(Error::value(
                "curves",
                curves.len(),
                format!("{}, one for each plate", self.plates()),
            ));
        }
        let mut scales = reserve("curves", curves.len())?;
        for curve in curves {
            scales.push(Scale::new(curve.clone())?);
        }
        Ok(Self(Arc::new(Plan { screen: self.0.screen.clone(), common: self.0.common.clone(), scales })))
    }

    /// How many plates.
    pub fn plates(&self) -> usize {
        self.0.common.seeds.len()
    }

    /// How they share a cell.
    pub fn sharing(&self) -> Sharing {
        if self.0.common.touching.is_some() { Sharing::Compact } else { Sharing::Rings }
    }

    /// The lattice they share; none for upright index dots and a user's array.
    pub fn lattice(&self) -> Option<&Lattice> {
        self.0.screen.lattice()
    }

    /// The ordinary screen whose dots, moved to each plate's [seed](Self::seed), these are.
    pub fn screen(&self) -> &Screen {
        &self.0.screen
    }

    /// By how many film pixels the dots of a plate, counted from 0, are moved to the right and down from those of the ordinary
    /// [screen](Self::screen). Panics past the last plate.
    pub fn seed(&self, plate: usize) -> [i64; 2] {
        self.0.common.seeds[plate]
    }

    /// The curve of a plate, counted from 0. Panics past the last plate.
    pub fn curve(&self, plate: usize) -> Option<&Curve> {
        self.0.scales[plate].curve.as_ref()
    }

    fn table(&self) -> &Table<u16> {
        &self.0.screen.0.words
    }

    /// A bench that no other run is using.
    fn bench(&self) -> Result<Bench> {
        let mut free = self.0.common.benches.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(bench) = free.pop() {
            return Ok(bench);
        }
        // Room for one bench more, so that none needs memory when it is put back.
        let benches = free.capacity() + 1;
        let bytes = (benches * size_of::<Bench>()) as u64;
        free.try_reserve_exact(benches).map_err(|_| Error::Memory { what: "benches", bytes })?;
        drop(free);
        Bench::new(self)
    }

    /// Leaves a bench to the next run, with all it remembers.
    fn put_back(&self, bench: Bench) {
        self.0.common.benches.lock().unwrap_or_else(PoisonError::into_inner).push(bench);
    }
}

impl Touching {
    fn new(shares: Shares) -> Self {
        // Discs of areas a and b touch where √(a/π) + √(b/π) is the distance of their middles.
        let least = shares.nearest() * std::f64::consts::PI.sqrt();
        let clear = std::array::from_fn(|i| {
            let largest = (256 * i + 255) as f64 / 65_535.0;
            let rest = (least - largest.sqrt()).max(0.0);
            if largest > share::LARGEST_DISC { 0 } else { (rest * rest * 65_535.0) as u16 }
        });
        Self { shares, clear }
    }

    /// Whether no two of the plates' dots touch, at tones of which these are the two largest.
    fn is_clear(&self, largest: u16, second: u16) -> bool {
        second <= self.clear[usize::from(largest >> 8)]
    }
}

impl Scale {
    fn new(curve: Option<Curve>) -> Result<Self> {
        // Halves go down, so that two of them add up to no more than solid.
        let level = |coverage: u64| ((coverage * 65_535 + Q32_SOLID / 2 - 1) / Q32_SOLID) as u16;
        let table = |table: Vec<u64>| -> Result<Vec<u16>> {
            let mut levels = reserve("tones through a curve", table.len())?;
            levels.extend(table.into_iter().map(level));
            Ok(levels)
        };
        let bytes = curve.as_ref().map(|curve| table(curve.table::<u8>())).transpose()?;
        let words = curve.as_ref().map(|curve| table(curve.table::<u16>())).transpose()?;
        Ok(Self { curve, bytes, words })
    }
}
