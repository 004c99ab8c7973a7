//! Sheets: a film with its margin, as it goes to the film printer.
//!
//! ```text
//!   ⌖           ⌖           ⌖        a register mark at each corner and on each centre line, in a margin as wide all around
//!      ┌───────────────────┐
//!   ⌖  │       film        │  ⌖
//!      └───────────────────┘
//!   ⌖           ⌖           ⌖
//!   2 of 6  Straw      ▯▯▯▯▯▯▯▯      the foot: what film this is; a wedge through the film's own screen and curve
//! ```
//!
//! The marks follow from the film's size, the resolution and the layout alone: on all films of a job they are the same to the pixel,
//! whatever ink, label or screen. Left and right, top and bottom are mirror images, so they stay so under a mirrored film.
//!
//! *Reading* is how the sheet looks with its ink side towards you: right-reading unless told, as a film is laid with its ink side on
//! the screen's emulsion. The label says on which side the ink is for whoever can read it. *Polarity* is positive unless told: what
//! prints is opaque. Both exist in this room and nowhere else.
//!
//! A negative is the complement of the whole sheet: its margin is opaque and its marks and letters are clear. What is clear on a
//! negative is what prints, so a clear margin would print as a solid frame. Rejected: turning the film round inside a positive margin.
//!
//! The wedge is screened with the film's own screen, curve and mode, in step with the film's dots, so that what is measured on it is
//! what the film holds. A patch is labelled with the tone asked for: with a compensation curve the film holds less, and the print
//! should hold that.
//!
//! A sheet is a plan: a few small pictures and where they stand. [`Sheet::run`] makes its rows from film rows, band by band, and takes
//! no memory.

mod foot;
mod layout;
mod mark;
mod rows;

use std::ops::Range;
use std::sync::Arc;

use crate::error::{Error, Result};
use crate::film::{Film, FilmMut, FilmView, Rect};
use crate::screen::Screen;
use crate::units::{Length, Resolution};
pub use layout::{Labels, Layout, Polarity, Reading};

/// Longest side of a film: what film files hold.
const MAX_SIDE: usize = i32::MAX as usize;

/// A film's sheet, laid out.
#[derive(Debug, Clone)]
pub struct Sheet {
    width: usize,
    height: usize,
    resolution: Resolution,
    /// Where the film lies.
    film: Rect,
    stamps: Vec<Stamp>,
    reading: Reading,
    polarity: Polarity,
    marks: Vec<Rect>,
}

/// A small picture and its upper left pixel on the right-reading sheet.
#[derive(Debug, Clone)]
struct Stamp {
    x: usize,
    y: usize,
    /// Shared between the marks.
    film: Arc<Film>,
}

/// Lengths of a layout in pixels, along x and y.
struct Grid {
    resolution: Resolution,
    margin: [usize; 2],
    /// From the sheet's edge to the marks, and to the foot's text.
    edge: [usize; 2],
    mark: [usize; 2],
    film: [usize; 2],
}

impl Sheet {
    /// Lays out the sheet of a film of `film` pixels, across and down.
    ///
    /// The screen is told in the label and makes the wedge; without one (line work) the wedge's place is left bare.
    ///
    /// Errors: a layout out of its ranges; a film smaller than a mark or too narrow for a patch; no ink's name, an order that is none,
    /// texts that are too long; memory that cannot be had.
    pub fn new(
        layout: &Layout,
        film: [usize; 2],
        resolution: Resolution,
        screen: Option<&Screen>,
        labels: &Labels,
    ) -> Result<Self> {
        layout.check()?;
        labels.check()?;
        let grid = Grid::new(layout, film, resolution)?;
        let mut stamps = grid.marks(layout)?;
        let marks = stamps.iter().map(Stamp::rect).collect();
        let foot = foot::foot(layout, &grid, screen, labels)?;
        stamps.extend(foot.stamps);
        Ok(Self {
            width: grid.width(),
            height: grid.foot_top() + foot.height,
            resolution,
            film: Rect { x: grid.margin[0], y: grid.margin[1], width: film[0], height: film[1] },
            stamps,
            reading: layout.reading,
            polarity: layout.polarity,
            marks,
        })
    }

    /// Width in pixels.
    pub fn width(&self) -> usize {
        self.width
    }

    /// Height in rows.
    pub fn height(&self) -> usize {
        self.height
    }

    /// Pixels per inch.
    pub fn resolution(&self) -> Resolution {
        self.resolution
    }

    /// Where the film lies on the sheet; the same right-reading and mirrored.
    pub fn film_place(&self) -> Rect {
        self.film
    }

    /// Where the register marks lie; the same right-reading and mirrored. Their middles are those of the rectangles.
    pub fn marks(&self) -> &[Rect] {
        &self.marks
    }

    /// The film rows that some rows of the sheet hold.
    pub fn film_rows(&self, rows: Range<usize>) -> Range<usize> {
        let on_film = |row: usize| row.saturating_sub(self.film.y).min(self.film.height);
        on_film(rows.start)..on_film(rows.end)
    }

    /// Makes rows of the sheet, from row `row` on, as many as `out` has. `film` holds rows of the film, the first of them its row
    /// `film_row`; it must hold those that [`film_rows`](Self::film_rows) tells.
    ///
    /// Nothing is allocated. The same bits come out however a sheet is cut. Cost: some passes over the row's bytes.
    pub fn run(&self, row: usize, film: &FilmView<'_>, film_row: usize, mut out: FilmMut<'_>) -> Result<()> {
        let end = row.checked_add(out.height()).filter(|end| *end <= self.height);
        let Some(end) = end.filter(|_| out.width() == self.width) else {
            return Err(Error::Extent {
                what: "a band of a sheet",
                got_width: out.width() as u64,
                got_height: out.height() as u64,
                width: self.width as u64,
                height: self.height.saturating_sub(row) as u64,
            });
        };
        let needed = self.film_rows(row..end);
        let there = film_row <= needed.start && needed.end - film_row <= film.height();
        let fits = needed.is_empty() || there && film.width() == self.film.width;
        if !fits {
            return Err(Error::Extent {
                what: "the film rows of a sheet",
                got_width: film.width() as u64,
                got_height: film.height() as u64,
                width: self.film.width as u64,
                height: needed.len() as u64,
            });
        }
        for y in row..end {
            let film = self.film_rows(y..y + 1).next().map(|at| film.row(at - film_row));
            self.row(y, film, out.row_mut(y - row));
        }
        Ok(())
    }

    /// The whole sheet of a film in memory. Errors: a film of another size; memory that cannot be had.
    pub fn sheet(&self, film: &FilmView<'_>) -> Result<Film> {
        self.check_film(film.width(), film.height())?;
        let mut sheet = Film::new(self.width, self.height)?;
        self.run(0, film, 0, sheet.view_mut())?;
        Ok(sheet)
    }

    /// Refuses a film of another size than the sheet was laid out for.
    pub(crate) fn check_film(&self, width: usize, height: usize) -> Result<()> {
        if [width, height] == [self.film.width, self.film.height] {
            return Ok(());
        }
        Err(Error::Extent {
            what: "the film of a sheet",
            got_width: width as u64,
            got_height: height as u64,
            width: self.film.width as u64,
            height: self.film.height as u64,
        })
    }

    fn row(&self, y: usize, film: Option<&[u8]>, out: &mut [u8]) {
        out.fill(0);
        if let Some(film) = film {
            rows::paste(film, self.film.width, self.film.x, out);
        }
        for stamp in &self.stamps {
            if (stamp.y..stamp.y + stamp.film.height()).contains(&y) {
                rows::paste(stamp.film.view().row(y - stamp.y), stamp.film.width(), stamp.x, out);
            }
        }
        if self.reading == Reading::Mirrored {
            rows::mirror(out, self.width);
        }
        if self.polarity == Polarity::Negative {
            rows::complement(out, self.width);
        }
    }
}

impl Stamp {
    fn rect(&self) -> Rect {
        Rect { x: self.x, y: self.y, width: self.film.width(), height: self.film.height() }
    }
}

impl Grid {
    fn new(layout: &Layout, film: [usize; 2], resolution: Resolution) -> Result<Self> {
        let mut grid = Self { resolution, margin: [0; 2], edge: [0; 2], mark: [0; 2], film };
        let (margin, mark) = (grid.exact(layout.margin), grid.exact(layout.mark));
        for axis in 0..2 {
            // A mark has the film's parity, and so sits on its middle; the margin has room for it at any resolution.
            grid.mark[axis] = mark::alike(mark[axis], film[axis]);
            grid.margin[axis] = (libm::floor(margin[axis] + 0.5) as usize).max(grid.mark[axis]);
            grid.edge[axis] = (grid.margin[axis] - grid.mark[axis]) / 2;
            if !(grid.mark[axis]..=MAX_SIDE).contains(&film[axis]) {
                let allowed = format!("{} x {} to {MAX_SIDE} px a side", grid.mark[0], grid.mark[1]);
                return Err(Error::value(
                    "film of a sheet",
                    format!("{} x {} px", film[0], film[1]),
                    allowed,
                ));
            }
        }
        Ok(grid)
    }

    /// A length in pixels along x and y, unrounded.
    fn exact(&self, length: Length) -> [f64; 2] {
        length.in_pixels(self.resolution).into()
    }

    /// A length in pixels, the nearest whole number.
    fn pixels(&self, length: Length) -> [usize; 2] {
        self.exact(length).map(|pixels| libm::floor(pixels + 0.5) as usize)
    }

    fn width(&self) -> usize {
        self.film[0] + 2 * self.margin[0]
    }

    fn foot_top(&self) -> usize {
        self.film[1] + 2 * self.margin[1]
    }

    /// The eight marks: at each end and on the middle of both axes, but not on the film's.
    fn marks(&self, layout: &Layout) -> Result<Vec<Stamp>> {
        let pixel = [25_400.0 / self.resolution.x(), 25_400.0 / self.resolution.y()];
        let line = self.exact(layout.line);
        let lines = [0, 1].map(|axis| mark::alike(line[axis], self.film[axis]));
        let film = Arc::new(mark::register_mark(self.mark, lines, pixel)?);
        let places = [0, 1].map(|axis| {
            let whole = self.film[axis] + 2 * self.margin[axis];
            let last = whole - self.mark[axis];
            [self.edge[axis], last / 2, last - self.edge[axis]]
        });
        let mut marks = Vec::with_capacity(8);
        for (row, &y) in places[1].iter().enumerate() {
            for (column, &x) in places[0].iter().enumerate() {
                if (column, row) != (1, 1) {
                    marks.push(Stamp { x, y, film: film.clone() });
                }
            }
        }
        Ok(marks)
    }
}
