//! Index dots by position: areas laid end to end, and one threshold a dot.
//!
//! With u the threshold of a dot in blue-noise order, spread evenly over 0…1, and colours 0, 1, … from dark to light: the dot is of the first colour
//! for which area 0 + area 1 + … passes u. In a flat tint over one tile (128 × 128 dots, upright) each colour has its area of the dots to within one
//! dot.

use crate::colour::separate::index::mixture::Areas;
use crate::colour::separate::index::{ArtOnFilm, IndexSeparation};
use crate::colour::srgb::Code;
use crate::error::{Error, Result};
use crate::film::{Film, FilmMut, row_bytes};
use crate::plate::Tone;
use crate::screen::dots::Area;

/// Film rows in a piece of work for one thread, at the least.
#[cfg(feature = "threads")]
const GRAIN: usize = 64;

impl IndexSeparation {
    /// The films of art, one for each ink in printing order, of the art's size on the film.
    ///
    /// Errors: memory that cannot be had; art placed too far away. Cost: see [`run`](Self::run); shared out to the threads there are.
    pub fn films<T: Code + Tone>(&self, art: &ArtOnFilm<'_, T>) -> Result<Vec<Film>> {
        self.film_of(art)?;
        let mut films = self.empty(art)?;
        let whole: Vec<FilmMut<'_>> = films.iter_mut().map(Film::view_mut).collect();
        #[cfg(feature = "threads")]
        {
            use rayon::prelude::*;
            let side = self.dots.rows_of_pixels();
            let rows = GRAIN.div_ceil(side) * side;
            let mut bands = Vec::new();
            let (mut rest, mut y, end) = (whole, art.origin().1, art.film_height());
            for top in (0..end).step_by(rows) {
                let high = rows.min(end - top);
                let (band, below): (Vec<_>, Vec<_>) =
                    rest.into_iter().map(|film| film.split_at_row(high)).unzip();
                bands.push((y, band));
                (rest, y) = (below, y + high as i64);
            }
            bands
                .into_par_iter()
                .try_for_each(|(y, mut band)| self.run(art, (art.origin().0, y), &mut band))?;
        }
        #[cfg(not(feature = "threads"))]
        {
            let mut whole = whole;
            self.run(art, art.origin(), &mut whole)?;
        }
        Ok(films)
    }

    /// The tile of the films whose upper left pixel is (x, y) = `at`, and whose size is that of each of `out`, one for each ink.
    ///
    /// The tile must lie on the art; an empty tile does nothing. Nothing is allocated. The same bits come out however films are cut.
    ///
    /// Errors: another number of films than inks; films of different sizes; a tile that is not on the art.
    /// Cost: some 0.4 µs of one core for an upright dot of six inks, nine samples and 81 pixels, 1.4 µs at an angle; less in flat places.
    pub fn run<T: Code + Tone>(
        &self,
        art: &ArtOnFilm<'_, T>,
        at: (i64, i64),
        out: &mut [FilmMut<'_>],
    ) -> Result<()> {
        let film = self.film_of(art)?;
        let tile = self.tile(&film, at, out)?;
        for out in out.iter_mut() {
            for row in 0..out.height() {
                let width = out.width();
                paint(out.row_mut(row), 0, width, false);
            }
        }
        if tile.is_empty() {
            return Ok(());
        }
        let mut last = None;
        for row in self.dots.rows(&tile) {
            for column in self.dots.columns(row, &tile) {
                let dot = [column, row];
                let mut meets = false;
                self.dots.pixels(dot, &tile, |_| meets = true);
                if !meets {
                    continue;
                }
                let Some((under, pixel)) = self.under(art, dot, &film) else { continue };
                let areas = match last {
                    Some((same, areas)) if same == under => areas,
                    _ => self.areas(&under),
                };
                last = Some((under, areas));
                let plates = self.colours[self.chosen(&areas, self.dots.threshold(pixel.0, pixel.1))];
                if plates > 0 {
                    self.dots.pixels(dot, &tile, |piece| ink(out, plates, &tile, &piece));
                }
            }
        }
        Ok(())
    }

    /// The colour whose stretch of the range holds a threshold.
    fn chosen(&self, areas: &Areas, threshold: f64) -> usize {
        let (mut end, mut chosen) = (0.0, self.garment);
        for (colour, &area) in areas.iter().enumerate().filter(|(_, area)| **area > 0.0) {
            // The last one has what rounding leaves.
            chosen = colour;
            end += area;
            if threshold < end {
                break;
            }
        }
        chosen
    }

    fn tile(&self, film: &Area, at: (i64, i64), out: &[FilmMut<'_>]) -> Result<Area> {
        let Some(first) = out.first().filter(|_| out.len() == self.print.inks()) else {
            let allowed = format!("{}, one for each ink", self.print.inks());
            return Err(Error::value("number of films", out.len(), allowed));
        };
        let (width, height) = (first.width(), first.height());
        if let Some(other) = out.iter().find(|film| (film.width(), film.height()) != (width, height)) {
            return Err(Error::Extent {
                what: "a film",
                got_width: other.width() as u64,
                got_height: other.height() as u64,
                width: width as u64,
                height: height as u64,
            });
        }
        if width == 0 || height == 0 {
            return Ok(Area { x: 0..0, y: 0..0 });
        }
        let side = |from: i64, length: usize, whole: &std::ops::Range<i64>| {
            let to = i128::from(from) + length as i128;
            (from >= whole.start && to <= i128::from(whole.end)).then_some(from..to as i64)
        };
        let (x, y) = (side(at.0, width, &film.x), side(at.1, height, &film.y));
        x.zip(y).map(|(x, y)| Area { x, y }).ok_or_else(|| {
            let allowed = format!("inside of {:?} x {:?}", film.x, film.y);
            Error::value("tile", format!("{width} x {height} at {at:?}"), allowed)
        })
    }
}

/// Inks a piece of a dot, which lies on the tile, on the films of these plates.
pub(super) fn ink(out: &mut [FilmMut<'_>], plates: usize, tile: &Area, piece: &Area) {
    let [from, to] = [piece.x.start, piece.x.end].map(|x| (x - tile.x.start) as usize);
    for out in out.iter_mut().enumerate().filter(|(plate, _)| plates >> plate & 1 == 1).map(|(_, out)| out) {
        for y in piece.y.clone() {
            paint(out.row_mut((y - tile.y.start) as usize), from, to, true);
        }
    }
}

/// Sets the pixels from one up to another of a packed row to ink or to bare.
fn paint(row: &mut [u8], from: usize, to: usize, ink: bool) {
    debug_assert!(row.len() >= row_bytes(to));
    if from >= to {
        return;
    }
    let (first, last) = (from / 8, (to - 1) / 8);
    let head = 0xff_u8 >> (from % 8);
    let tail = 0xff_u8 << (7 - (to - 1) % 8);
    let set = |byte: &mut u8, mask: u8| *byte = if ink { *byte | mask } else { *byte & !mask };
    if first == last {
        return set(&mut row[first], head & tail);
    }
    set(&mut row[first], head);
    row[first + 1..last].fill(if ink { 0xff } else { 0 });
    set(&mut row[last], tail);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spans_are_painted_to_the_pixel() {
        for (from, to) in (0..40).flat_map(|from| (from..=40).map(move |to| (from, to))) {
            for ink in [true, false] {
                let mut row = [if ink { 0 } else { 0xff_u8 }; 5];
                paint(&mut row, from, to, ink);
                for x in 0..40 {
                    let set = row[x / 8] & (0x80 >> (x % 8)) != 0;
                    assert_eq!(set, (from..to).contains(&x) == ink, "{from}..{to} at {x}");
                }
            }
        }
    }
}
