//! Running: a placed plate, or any tile of it, to packed rows.

use crate::error::{Error, Result};
use crate::film::{Film, FilmMut};
use crate::screen::Screen;
use crate::screen::kernel::scalar::pack;
use crate::screen::placed::{Placed, RowTones};
use crate::screen::table::{MAX_RUN, Table};

/// Pixels below which a tile is not worth splitting between threads: about a hundred microseconds of work.
#[cfg(feature = "threads")]
pub(super) const GRAIN: usize = 1 << 17;

impl Screen {
    /// The whole film of a plate.
    ///
    /// Errors: an empty plate; memory that cannot be had. Cost: reading the plate once.
    pub fn film<'a>(&self, plate: impl Into<Placed<'a>>) -> Result<Film> {
        let placed = plate.into();
        let mut film = empty_film(&placed)?;
        self.run(&placed, placed.origin(), film.view_mut())?;
        Ok(film)
    }

    /// Screens the tile of the film whose upper left pixel is (x, y) = `at`, and whose size is that of `out`.
    ///
    /// The tile must lie on the placed plate; an empty tile does nothing. Nothing is allocated. The same bits come out however
    /// a film is cut.
    pub fn run(&self, placed: &Placed<'_>, at: (i64, i64), out: FilmMut<'_>) -> Result<()> {
        let corner = corner(placed, at, &out)?;
        self.run_rows(placed, at, corner, out);
        Ok(())
    }

    /// [`film`](Self::film) on the threads of the current `rayon` pool. The same bits.
    #[cfg(feature = "threads")]
    pub fn film_threaded<'a>(&self, plate: impl Into<Placed<'a>>) -> Result<Film> {
        let placed = plate.into();
        let mut film = empty_film(&placed)?;
        self.run_threaded(&placed, placed.origin(), film.view_mut())?;
        Ok(film)
    }

    /// [`run`](Self::run) on the threads of the current `rayon` pool. The same bits.
    #[cfg(feature = "threads")]
    pub fn run_threaded(&self, placed: &Placed<'_>, at: (i64, i64), out: FilmMut<'_>) -> Result<()> {
        let corner = corner(placed, at, &out)?;
        self.split_rows(placed, at, corner, out);
        Ok(())
    }

    #[cfg(feature = "threads")]
    fn split_rows(&self, placed: &Placed<'_>, at: (i64, i64), corner: (u64, u64), out: FilmMut<'_>) {
        let rows = out.height();
        if rows < 2 || out.width().saturating_mul(rows) < 2 * GRAIN {
            return self.run_rows(placed, at, corner, out);
        }
        let half = rows / 2;
        let (top, bottom) = out.split_at_row(half);
        rayon::join(
            || self.split_rows(placed, at, corner, top),
            || {
                let below = half as i64;
                let (at, corner) = ((at.0, at.1 + below), (corner.0, corner.1 + half as u64));
                self.split_rows(placed, at, corner, bottom);
            },
        );
    }

    /// `corner` is the tile's upper left pixel counted from the plate's.
    fn run_rows(&self, placed: &Placed<'_>, at: (i64, i64), corner: (u64, u64), mut out: FilmMut<'_>) {
        for row in 0..out.height() {
            let place = (at.0, at.1 + row as i64);
            let from = (corner.0, corner.1 + row as u64);
            let width = out.width();
            let bits = out.row_mut(row);
            if placed.is_u8() {
                run_row(&self.0.bytes, placed, place, from, width, bits);
            } else {
                run_row(&self.0.words, placed, place, from, width, bits);
            }
        }
    }
}

fn run_row<T: RowTones>(
    table: &Table<T>,
    placed: &Placed<'_>,
    place: (i64, i64),
    from: (u64, u64),
    width: usize,
    bits: &mut [u8],
) {
    let mut thresholds = table.from(place.0, place.1);
    let tones = placed.row(from.1);
    let mut buffer = [T::zero(); MAX_RUN];
    for (bits, start) in bits.chunks_mut(thresholds.run() / 8).zip((0..).step_by(thresholds.run())) {
        let pixels = thresholds.run().min(width - start);
        let tones = T::tones(&tones, from.0 + start as u64, &mut buffer[..pixels]);
        pack(tones, thresholds.next(pixels), bits);
    }
}

pub(super) fn empty_film(placed: &Placed<'_>) -> Result<Film> {
    if placed.film_width() == 0 || placed.film_height() == 0 {
        return Err(Error::value(
            "plate",
            format!("{} x {}", placed.plate().width(), placed.plate().height()),
            "at least one sample",
        ));
    }
    Film::new(placed.film_width(), placed.film_height())
}

/// The tile's upper left pixel counted from the plate's, if the tile lies on the plate.
pub(super) fn corner(placed: &Placed<'_>, at: (i64, i64), out: &FilmMut<'_>) -> Result<(u64, u64)> {
    if out.width() == 0 || out.height() == 0 {
        return Ok((0, 0));
    }
    let inside = |at: i64, origin: i64, tile: usize, whole: usize| {
        let from = i128::from(at) - i128::from(origin);
        let end = from + tile as i128;
        // The last pixel's own place must be a 64-bit number too.
        let last = i128::from(at) + tile as i128 - 1;
        (from >= 0 && end <= whole as i128 && last <= i128::from(i64::MAX)).then_some(from as u64)
    };
    let origin = placed.origin();
    let x = inside(at.0, origin.0, out.width(), placed.film_width());
    let y = inside(at.1, origin.1, out.height(), placed.film_height());
    x.zip(y).ok_or_else(|| {
        Error::value(
            "tile",
            format!("{} x {} at {at:?}", out.width(), out.height()),
            format!("inside the plate's {} x {} at {origin:?}", placed.film_width(), placed.film_height()),
        )
    })
}
