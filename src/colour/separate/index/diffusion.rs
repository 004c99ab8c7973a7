//! Index dots by error diffusion: each dot takes the colour nearest to what is wanted and to what the dots before it owe.
//!
//! R. W. Floyd and L. Steinberg, "An adaptive algorithm for spatial greyscale", Proc. SID 17 (1976) 75–77: what a dot misses goes on to the next (7/16)
//! and to the three below (3/16, 5/16, 1/16); here as light, in all of X, Y, Z at once. Rows are gone through to and fro, so that no
//! direction shows (R. Ulichney, Digital Halftoning, MIT Press 1987; both from memory).
//!
//! What is wanted is the mean of the dot's [mixture](super::mixture), not the art's colour, so that it can always be mixed and what cannot be printed
//! does not smear; a dot takes one of the colours of its mixture (with garment, where the art is not opaque); and what it misses is cut down to the
//! farthest that two colours of the print are apart. Behind the edge of a green far out of reach 16 dots of grey are ΔE00 0.1 off. Dots that must stay
//! garment take over nothing.
//!
//! Rejected: all of the print's colours for every dot, the eye (`proof::eye`, the demo's art at 100 dots an inch) sees no difference in grain
//! (a mean ΔE00 of 11.1 for 11.0 from 0.6 m), and fades into the garment get dots of inks that the art has not.

use crate::colour::separate::index::position::ink;
use crate::colour::separate::index::{ArtOnFilm, IndexSeparation};
use crate::colour::srgb::Code;
use crate::error::{Result, filled};
use crate::film::{Film, FilmMut};
use crate::plate::Tone;

/// What a dot gives on: to the next, and to the three below from the one behind to the one ahead.
const NEXT: f64 = 7.0 / 16.0;
const BELOW: [f64; 3] = [3.0 / 16.0, 5.0 / 16.0, 1.0 / 16.0];

impl IndexSeparation {
    /// The films of art by error diffusion, one for each ink in printing order.
    ///
    /// It must run whole: each dot hangs on all before it, so there is no tile of such films, no two halves of an art fit together, and
    /// one thread does it.
    ///
    /// Errors: memory that cannot be had; art placed too far away. Cost: about that of [`run`](Self::run).
    pub fn diffused<T: Code + Tone>(&self, art: &ArtOnFilm<'_, T>) -> Result<Vec<Film>> {
        let film = self.film_of(art)?;
        let mut films = self.empty(art)?;
        let mut out: Vec<FilmMut<'_>> = films.iter_mut().map(Film::view_mut).collect();
        let rows = self.dots.rows(&film);
        let columns = || rows.clone().map(|row| self.dots.columns(row, &film)).filter(|row| !row.is_empty());
        let first = columns().map(|row| row.start).min().unwrap_or(0);
        let end = columns().map(|row| row.end).max().unwrap_or(0);
        // One more on either side, for what leaves the film.
        let width = (end - first + 2) as usize;
        let mut owed = filled("a row of dots", width, [0.0_f64; 3])?;
        let mut below = filled("a row of dots", width, [0.0_f64; 3])?;
        for row in rows {
            let columns = self.dots.columns(row, &film);
            let back = row.rem_euclid(2) == 1;
            for step in 0..columns.end - columns.start {
                let column = if back { columns.end - 1 - step } else { columns.start + step };
                let Some((under, _)) = self.under(art, [column, row], &film) else { continue };
                let areas = self.areas(&under);
                if areas[self.garment] == 1.0 {
                    // Nothing is printed here, and nothing is owed across.
                    continue;
                }
                let place = (column - first + 1) as usize;
                let wanted = self.mixtures.mean(&areas);
                let due = std::array::from_fn(|i| wanted[i] + owed[place][i]);
                let (colour, missed) = self.mixtures.nearest_of(&areas, due);
                let (ahead, behind) = if back { (place - 1, place + 1) } else { (place + 1, place - 1) };
                let give = |owed: &mut [f64; 3], part: f64| {
                    for i in 0..3 {
                        owed[i] += part * missed[i];
                    }
                };
                give(&mut owed[ahead], NEXT);
                for (place, part) in [behind, place, ahead].into_iter().zip(BELOW) {
                    give(&mut below[place], part);
                }
                let plates = self.colours[colour];
                if plates > 0 {
                    self.dots.pixels([column, row], &film, |piece| ink(&mut out, plates, &film, &piece));
                }
            }
            std::mem::swap(&mut owed, &mut below);
            below.fill([0.0; 3]);
        }
        Ok(films)
    }
}
