//! Runs: where along a row of a film ink, or bare ground, begins and ends.

use std::ops::Range;

use crate::error::{Error, Result};
use crate::film::FilmView;

/// First and past-the-last pixel of each run, left to right.
pub(super) type Runs = Vec<(i32, i32)>;

/// Adds the runs of ink, or of bare ground, of one row in a range of `columns` (2³¹ at most), counted from column `origin`. Around the
/// film lies bare ground, which goes on from there into the film.
pub(super) fn add_runs(
    film: FilmView<'_>,
    y: i64,
    columns: Range<i64>,
    origin: i64,
    bare: bool,
    runs: &mut Runs,
) -> Result<()> {
    let first = runs.len();
    let mut add = |from: i64, to: i64| -> Result<()> {
        let (from, to) = ((from - origin) as i32, (to - origin) as i32);
        match runs[first..].last_mut() {
            Some(last) if last.1 == from => last.1 = to,
            _ => {
                reserve_more(runs, 1)?;
                runs.push((from, to));
            }
        }
        Ok(())
    };
    let on_film = |place: i64, most: usize| place.clamp(0, most as i64) as usize;
    let (from, to) = (on_film(columns.start, film.width()), on_film(columns.end, film.width()));
    if y < 0 || y >= film.height() as i64 || from >= to {
        if bare && !columns.is_empty() {
            add(columns.start, columns.end)?;
        }
        return Ok(());
    }
    if bare && columns.start < from as i64 {
        add(columns.start, from as i64)?;
    }
    let bits = film.row(y as usize);
    let mut x = next(bits, from, to, !bare);
    while x < to {
        let end = next(bits, x, to, bare);
        add(x as i64, end as i64)?;
        x = next(bits, end, to, !bare);
    }
    if bare && (to as i64) < columns.end {
        add(to as i64, columns.end)?;
    }
    Ok(())
}

pub(super) fn reserve_more<T>(items: &mut Vec<T>, more: usize) -> Result<()> {
    let bytes = (more * size_of::<T>()) as u64;
    items.try_reserve(more).map_err(|_| Error::Memory { what: "runs of a film", bytes })
}

/// The first pixel in `from..to` that is ink (or bare), or `to`.
fn next(bits: &[u8], from: usize, to: usize, ink: bool) -> usize {
    if from >= to {
        return to;
    }
    let flip = if ink { 0 } else { 0xff };
    let mut found = (bits[from / 8] ^ flip) & (0xff >> (from % 8));
    let mut byte = from / 8;
    while found == 0 {
        byte += 1;
        if 8 * byte >= to {
            return to;
        }
        found = bits[byte] ^ flip;
    }
    (8 * byte + found.leading_zeros() as usize).min(to)
}
