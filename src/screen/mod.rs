//! Screening: a plate's tones to a film's bits.
//!
//! A [`Screen`] is a plan: a lattice, a dot, a growth, a mode and a curve, folded into thresholds. Building one allocates and
//! may fail; running it over pixels does neither. A pixel's bit follows from its global place and its tone, so a film may be
//! cut into bands and tiles at will, and every plate of a job built on one lattice meshes with the others.
//!
//! The law, for N steps in the brick, r = 0…N−1 the rank of a step, k of M the tone and c the curve (c(0) = 0, monotone):
//!
//! ```text
//! normal:    ink  ⇔  c(k)·N > r + ½
//! inverted:  ink  ⇔  c(k)·N ≥ N − r − ½     (the complement of a normal screen of 1 − c(k))
//! ```
//!
//! The curve acts on tone first, then the mode. Tone k covers c(k) of a whole brick to within ½/N; a darker tone's ink contains
//! a lighter tone's; a normal screen of a and an inverted one of b on one lattice never overlap while c(a) + c(b) ≤ 1.

pub mod beside;
mod blue_noise;
pub mod brick;
pub mod dot;
pub(crate) mod dots;
mod even;
mod growth;
mod index;
mod kernel;
pub mod lattice;
pub mod placed;
mod run;
mod search;
mod shape;
mod table;
mod thresholds;
mod whole;

use std::sync::Arc;

use ndarray::ArrayView2;

pub use beside::{Sharing, SideBySide};
pub use brick::{Brick, Tiling};
pub use dot::Dot;
pub use growth::Growth;
use growth::Smallest;
pub use lattice::{DEFAULT_LIMIT, Lattice, Tolerance};
pub use placed::{Placed, Sampling};
pub use shape::Shape;
pub use thresholds::Type16;

use crate::error::{Error, Result, reserve};
use crate::tone::Curve;
use crate::units::{Angle, Length, LineCount, Resolution};
use table::Table;

/// On which side of a cell the dots stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Mode {
    /// Dots at the cells' centres.
    #[default]
    Normal,
    /// Dots in the gaps of a normal screen of the same lattice: the complement of a normal screen of 1 − c(tone).
    Inverted,
}

impl std::str::FromStr for Mode {
    type Err = Error;

    /// `normal` or `inverted`.
    fn from_str(text: &str) -> Result<Self> {
        match text.trim() {
            "normal" => Ok(Self::Normal),
            "inverted" => Ok(Self::Inverted),
            _ => Err(Error::value("mode", text, "normal or inverted")),
        }
    }
}

/// A compiled screen. Cheap to clone; may be shared between threads.
#[derive(Debug, Clone)]
pub struct Screen(Arc<Plan>);

#[derive(Debug)]
struct Plan {
    brick: Arc<Brick>,
    lattice: Option<Lattice>,
    /// Whether each step of the brick is an index dot.
    index: bool,
    mode: Mode,
    curve: Option<Curve>,
    bytes: Table<u8>,
    words: Table<u16>,
}

/// Cells across a brick whose smallest dots switch on one by one: enough for an even order of them.
const SEEDED_CELLS: usize = 24;

/// Thresholds that a brick in even growth has at the least, so that tints of 8 bits are told apart however small the cell: one part
/// in 4096 is a sixteenth of their step.
const LEAST_THRESHOLDS: f64 = 4096.0;

/// Cells across a brick that give it [`LEAST_THRESHOLDS`].
fn cells_for_tone(lattice: &Lattice) -> usize {
    if lattice.pixels() as f64 >= LEAST_THRESHOLDS {
        return 1;
    }
    let cell = lattice.pixels() as f64 / lattice.cells() as f64;
    libm::ceil((LEAST_THRESHOLDS / cell).sqrt()) as usize
}

/// Largest part of a cell that a smallest dot may take: beyond it the dots of the light half would touch before they grow.
const LARGEST_SEED: f64 = 0.4;

/// What a screen is to be. Made by [`Screen::cells`] and its sisters, ended by [`build`](Self::build).
#[derive(Debug, Clone)]
#[must_use = "a request does nothing until it is built"]
pub struct Request {
    pattern: Pattern,
    mode: Mode,
    curve: Option<Curve>,
    tolerance: Tolerance,
    limit: Option<u64>,
    growth: Growth,
    hold: Option<Hold>,
}

/// The smallest dot and hole of ink that a mesh holds, as diameters.
#[derive(Debug, Clone, Copy)]
struct Hold {
    dot: Length,
    hole: Length,
    both_modes: bool,
}

#[derive(Debug, Clone)]
enum Pattern {
    Cells(Resolution, LineCount, Angle, Dot),
    Index(Resolution, usize),
    IndexPitch(Resolution, f64),
    IndexCells(Resolution, LineCount, Angle),
    Array(Tiling, Arc<[u32]>),
}

impl Screen {
    /// Growing dots on a lattice of the given line count and angle.
    pub fn cells(resolution: Resolution, lines: LineCount, angle: Angle, dot: Dot) -> Request {
        Request::new(Pattern::Cells(resolution, lines, angle, dot))
    }

    /// Index dots: upright squares of `pixels` film pixels (1…256). Where pixels are not square the count is that of the
    /// coarser axis, and the other side takes as many as make it a square, to the nearest whole pixel.
    pub fn index(resolution: Resolution, pixels: usize) -> Request {
        Request::new(Pattern::Index(resolution, pixels))
    }

    /// Index dots at a pitch in dots per inch, snapped to whole film pixels; [`Screen::index_pixels`] tells the result.
    pub fn index_pitch(resolution: Resolution, per_inch: f64) -> Request {
        Request::new(Pattern::IndexPitch(resolution, per_inch))
    }

    /// Index dots that are the cells of a lattice, at any angle and line count.
    pub fn index_cells(resolution: Resolution, lines: LineCount, angle: Angle) -> Request {
        Request::new(Pattern::IndexCells(resolution, lines, angle))
    }

    /// A screen from the user's own array, indexed `[row, column]`, which repeats in both directions from film pixel (0, 0).
    ///
    /// The lowest entries take ink first; only their order counts. Entries that are equal take ink together, when the tone
    /// reaches the middle of their share.
    ///
    /// Errors: an empty array, or one above the limit.
    pub fn array(thresholds: ArrayView2<'_, u32>) -> Result<Request> {
        let (height, width) = thresholds.dim();
        let tiling = Tiling { width, height, shift: 0 };
        if thresholds.is_empty() {
            return Err(Error::value("threshold array", format!("{width} x {height}"), "at least one entry"));
        }
        Ok(Request::new(Pattern::Array(tiling, thresholds.iter().copied().collect())))
    }

    /// A screen on the same brick with another mode and curve: for plates that mesh. Cost: two tables, no search, no sort.
    pub fn again(&self, mode: Mode, curve: Option<&Curve>) -> Result<Self> {
        Self::compile(self.0.brick.clone(), self.0.lattice.clone(), self.0.index, mode, curve.cloned())
    }

    fn compile(
        brick: Arc<Brick>,
        lattice: Option<Lattice>,
        index: bool,
        mode: Mode,
        curve: Option<Curve>,
    ) -> Result<Self> {
        let bytes = Table::new(&brick, mode, curve.as_ref())?;
        let words = Table::new(&brick, mode, curve.as_ref())?;
        Ok(Self(Arc::new(Plan { brick, lattice, index, mode, curve, bytes, words })))
    }

    /// The lattice, with its true angle and line count; none for upright index dots and a user's array.
    pub fn lattice(&self) -> Option<&Lattice> {
        self.0.lattice.as_ref()
    }

    /// The brick of thresholds.
    pub fn brick(&self) -> &Brick {
        &self.0.brick
    }

    /// The mode.
    pub fn mode(&self) -> Mode {
        self.0.mode
    }

    /// The curve folded into the thresholds, if any.
    pub fn curve(&self) -> Option<&Curve> {
        self.0.curve.as_ref()
    }

    /// Whether it is one of index dots, upright or on a lattice.
    pub fn is_index(&self) -> bool {
        self.0.index
    }

    /// Sides of an upright index dot in film pixels, after snapping; (1, 1) for every other screen.
    pub fn index_pixels(&self) -> [usize; 2] {
        self.0.brick.entry_pixels()
    }
}

impl Request {
    fn new(pattern: Pattern) -> Self {
        Self {
            pattern,
            mode: Mode::Normal,
            curve: None,
            tolerance: Tolerance::default(),
            limit: None,
            growth: Growth::Even,
            hold: None,
        }
    }

    /// Normal (the default) or inverted.
    pub fn mode(self, mode: Mode) -> Self {
        Self { mode, ..self }
    }

    /// A curve to screen through, such as a [compensation](Curve::compensation); it costs nothing per pixel.
    pub fn curve(self, curve: &Curve) -> Self {
        Self { curve: Some(curve.clone()), ..self }
    }

    /// How near the built angle and line count must be; 0.01° and 0.02 % unless told.
    pub fn tolerance(self, tolerance: Tolerance) -> Self {
        Self { tolerance, ..self }
    }

    /// The order in which growing dots take ink: even unless told.
    pub fn growth(self, growth: Growth) -> Self {
        Self { growth, ..self }
    }

    /// The smallest dot of ink and the smallest hole in ink that the mesh holds, as diameters of discs of the same area, for a
    /// line screen as widths (0 for any size). Below them cells do not grow: they switch on one by one, in an even order, each with a whole smallest dot.
    ///
    /// Tone stays exact to half of such a dot in a brick, which is made at least 24 cells across. The limits hold in the request's
    /// own mode; see [`smallest_in_both_modes`](Self::smallest_in_both_modes).
    pub fn smallest(self, dot: Length, hole: Length) -> Self {
        Self { hold: Some(Hold { dot, hole, both_modes: false }), ..self }
    }

    /// The same for a brick that serves a normal and an inverted screen ([`Screen::again`]): the stricter limit holds at each end
    /// of the scale, so that both keep to it and still never overlap.
    pub fn smallest_in_both_modes(self, dot: Length, hole: Length) -> Self {
        Self { hold: Some(Hold { dot, hole, both_modes: true }), ..self }
    }

    /// The largest brick, in thresholds: 1…2²⁸; 2 Mi unless told (64 Mi for index dots on a lattice).
    pub fn limit(self, thresholds: u64) -> Self {
        Self { limit: Some(thresholds), ..self }
    }

    /// Builds the screen.
    ///
    /// Errors: a cell below two pixels; no lattice within the tolerance and the limit (told with the best one found); a
    /// user's dot that is not finite; an index dot of no pixels; memory that cannot be had.
    ///
    /// Cost: about a microsecond a threshold in even growth, usually a tenth of a second; a tenth of that in straight; seconds for
    /// index dots on a lattice.
    pub fn build(&self) -> Result<Screen> {
        let limit = self.limit.unwrap_or(DEFAULT_LIMIT);
        if !(1..=lattice::MAX_LIMIT).contains(&limit) {
            return Err(Error::value("brick limit", limit, format!("1 to {}", lattice::MAX_LIMIT)));
        }
        let find = |r, l, a| Lattice::find(r, l, a, self.tolerance, limit);
        let (brick, lattice) = match &self.pattern {
            Pattern::Cells(resolution, lines, angle, dot) => {
                let lattice = find(*resolution, *lines, *angle)?;
                let smallest = self.seeds(&lattice, dot)?;
                let lattice = match (smallest.is_any(), self.growth) {
                    (false, _) => lattice.at_least(SEEDED_CELLS),
                    (true, Growth::Even) => lattice.at_least(cells_for_tone(&lattice)),
                    (true, Growth::Straight) => lattice,
                };
                index::check_limit(
                    "a brick with smallest dots, in thresholds,",
                    &lattice,
                    self.tile_limit(),
                )?;
                (growth::grow(&lattice, dot, self.growth, smallest)?, Some(lattice))
            }
            Pattern::Index(resolution, pixels) => {
                (index::upright(index::sides(*pixels, *resolution)?)?, None)
            }
            Pattern::IndexPitch(resolution, per_inch) => {
                (index::upright(index::sides_for_pitch(*per_inch, *resolution)?)?, None)
            }
            Pattern::IndexCells(resolution, lines, angle) => {
                let lattice = find(*resolution, *lines, *angle)?.at_least(index::TILE);
                index::check_limit(
                    "a tile of 128 x 128 dots this large, in film pixels,",
                    &lattice,
                    self.tile_limit(),
                )?;
                (index::on_lattice(&lattice)?, Some(lattice))
            }
            Pattern::Array(tiling, entries) => (from_array(*tiling, entries, limit)?, None),
        };
        let index =
            matches!(self.pattern, Pattern::Index(..) | Pattern::IndexPitch(..) | Pattern::IndexCells(..));
        Screen::compile(Arc::new(brick), lattice, index, self.mode, self.curve.clone())
    }
}

impl Request {
    /// The limit of bricks that must be many cells across.
    fn tile_limit(&self) -> u64 {
        self.limit.unwrap_or(index::DEFAULT_LIMIT)
    }

    /// Pixels of the smallest dot at either end of the lattice's scale.
    fn seeds(&self, lattice: &Lattice, dot: &Dot) -> Result<Smallest> {
        let Some(hold) = self.hold else { return Ok(Smallest::default()) };
        if self.growth == Growth::Straight {
            return Err(Error::value("smallest dot", "with straight growth", "even growth"));
        }
        let cell = lattice.pixels() as f64 / lattice.cells() as f64;
        let is_line = matches!(dot, Dot::Line);
        // Lines begin as lines; a user's function may have its middle anywhere.
        let rounded = !is_line && !matches!(dot, Dot::Custom(_));
        let pixels = |name, diameter: Length| {
            let (x, y) = diameter.in_pixels(lattice.resolution());
            // A piece of line as wide as that is as long as its cell.
            let area = if is_line { (x * y * cell).sqrt() } else { std::f64::consts::FRAC_PI_4 * x * y };
            let allowed =
                format!("a length from 0 on, covering at most {LARGEST_SEED} of a cell of {cell:.1} px");
            if (0.0..=LARGEST_SEED * cell).contains(&area) && diameter.to_um() >= 0.0 {
                Ok(libm::ceil(area - 1e-9) as usize)
            } else {
                Err(Error::value(name, diameter, allowed))
            }
        };
        let (dot, hole) = (pixels("smallest dot", hold.dot)?, pixels("smallest hole", hold.hole)?);
        Ok(match (hold.both_modes, self.mode) {
            (true, _) => Smallest { dot: dot.max(hole), hole: dot.max(hole), rounded },
            (false, Mode::Normal) => Smallest { dot, hole, rounded },
            // An inverted screen's ink stands where a normal one has its holes.
            (false, Mode::Inverted) => Smallest { dot: hole, hole: dot, rounded },
        })
    }
}

/// A brick in which equal entries make a step.
fn from_array(tiling: Tiling, entries: &[u32], limit: u64) -> Result<Brick> {
    if entries.len() as u64 > limit {
        return Err(Error::Limit {
            what: "a threshold array, in entries",
            needed: entries.len() as u64,
            limit,
        });
    }
    let mut distinct = reserve("a threshold array", entries.len())?;
    distinct.extend_from_slice(entries);
    distinct.sort_unstable();
    distinct.dedup();
    let mut group = reserve("a threshold array", entries.len())?;
    group.extend(entries.iter().map(|e| distinct.partition_point(|d| d < e) as u32));
    Brick::from_groups(tiling, &group, [1, 1])
}
