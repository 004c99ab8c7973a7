//! Running plates side by side: the same tile of all of them to packed rows.

use crate::error::{Error, Result, reserve};
use crate::film::{Film, FilmMut};
use crate::screen::beside::claim::Bench;
use crate::screen::beside::{MAX_PLATES, Scale, SideBySide};
use crate::screen::placed::{Placed, Row, RowTones};
use crate::screen::run::{corner, empty_film};
use crate::screen::table::{MAX_RUN, Thresholds};

#[cfg(feature = "threads")]
use crate::screen::run::GRAIN;
#[cfg(feature = "threads")]
use std::sync::{Mutex, PoisonError};

/// One plate along one row.
struct Lane<'p, 'a> {
    row: Row<'p, 'a>,
    x: u64,
    scale: &'p Scale,
    thresholds: Thresholds<'p, u16>,
}

impl Lane<'_, '_> {
    /// Tones of the pixels from column `start` on, through the plate's curve.
    fn tones(&self, start: usize, tones: &mut [u16]) {
        let x = self.x + start as u64;
        if self.row.is_u8() {
            let mut buffer = [0; MAX_RUN];
            let bytes = u8::tones(&self.row, x, &mut buffer[..tones.len()]);
            return match &self.scale.bytes {
                Some(scale) => through(tones, bytes, |byte| scale[usize::from(byte)]),
                None => through(tones, bytes, |byte| u16::from(byte) * 257),
            };
        }
        let mut buffer = [0; MAX_RUN];
        let words = u16::tones(&self.row, x, &mut buffer[..tones.len()]);
        match &self.scale.words {
            Some(scale) => through(tones, words, |word| scale[usize::from(word)]),
            None => tones.copy_from_slice(words),
        }
    }
}

fn through<T: Copy>(tones: &mut [u16], levels: &[T], scale: impl Fn(T) -> u16) {
    for (tone, &level) in tones.iter_mut().zip(levels) {
        *tone = scale(level);
    }
}

impl SideBySide {
    /// The whole films of plates of one size, all placed alike.
    ///
    /// Errors: another number of plates than the screen is for; plates that differ in place or size on film, or are empty; memory that
    /// cannot be had.
    pub fn films(&self, plates: &[Placed<'_>]) -> Result<Vec<Film>> {
        let (origin, mut films) = self.empty_films(plates)?;
        let mut views: Vec<_> = films.iter_mut().map(Film::view_mut).collect();
        self.run(plates, origin, &mut views)?;
        Ok(films)
    }

    /// Screens the tile of all films whose upper left pixel is (x, y) = `at`, and whose size is that of each of `films`.
    ///
    /// The tile must lie on every placed plate; an empty tile does nothing. The same bits come out however films are cut. Memory is
    /// taken only before the first pixel, and only if other runs are under way: 4 MiB, 16 for more than six plates, which are kept for later runs.
    ///
    /// Cost: less than that of ordinary screens where no dots touch. Elsewhere interpolation for each pixel with other tones than the one before,
    /// and some 20 µs (six plates) for each set of tones in whole steps that is met for the first time: noise in many plates is slow.
    pub fn run(&self, plates: &[Placed<'_>], at: (i64, i64), films: &mut [FilmMut<'_>]) -> Result<()> {
        let corners = self.corners(plates, at, films)?;
        let mut bench = self.bench()?;
        self.run_rows(plates, at, &corners, films, &mut bench);
        self.put_back(bench);
        Ok(())
    }

    /// [`films`](Self::films) on the threads of the current `rayon` pool. The same bits.
    #[cfg(feature = "threads")]
    pub fn films_threaded(&self, plates: &[Placed<'_>]) -> Result<Vec<Film>> {
        let (origin, mut films) = self.empty_films(plates)?;
        let mut views: Vec<_> = films.iter_mut().map(Film::view_mut).collect();
        self.run_threaded(plates, origin, &mut views)?;
        Ok(films)
    }

    /// [`run`](Self::run) on the threads of the current `rayon` pool, with a bench for each. The same bits.
    #[cfg(feature = "threads")]
    pub fn run_threaded(
        &self,
        plates: &[Placed<'_>],
        at: (i64, i64),
        films: &mut [FilmMut<'_>],
    ) -> Result<()> {
        use rayon::prelude::*;
        let corners = self.corners(plates, at, films)?;
        let (width, height) = (films[0].width(), films[0].height());
        let strip = (GRAIN / width.max(1)).max(1);
        // All memory is taken before the first pixel: a bench a thread, and the strips of all films.
        let mut benches = reserve("benches", rayon::current_num_threads())?;
        for _ in 0..rayon::current_num_threads() {
            benches.push(Mutex::new(self.bench()?));
        }
        let mut strips = reserve("strips of films", height.div_ceil(strip))?;
        let mut rest = reserve("strips of films", films.len())?;
        rest.extend(films.iter_mut().map(FilmMut::reborrow));
        for row in (0..height).step_by(strip) {
            let (mut tops, mut bottoms) =
                (reserve("strips of films", rest.len())?, reserve("strips of films", rest.len())?);
            for film in rest {
                let (top, bottom) = film.split_at_row(strip.min(height - row));
                tops.push(top);
                bottoms.push(bottom);
            }
            strips.push((row, tops));
            rest = bottoms;
        }
        strips.into_par_iter().for_each(|(row, mut films)| {
            // Each thread of the pool has a bench of its own, so that none ever waits.
            let own = rayon::current_thread_index().unwrap_or(0);
            let mut bench = benches[own].lock().unwrap_or_else(PoisonError::into_inner);
            let below = corners.map(|(x, y)| (x, y + row as u64));
            self.run_rows(plates, (at.0, at.1 + row as i64), &below, &mut films, &mut bench);
        });
        for bench in benches {
            self.put_back(bench.into_inner().unwrap_or_else(PoisonError::into_inner));
        }
        Ok(())
    }

    /// The plates' common place, and films for them.
    fn empty_films(&self, plates: &[Placed<'_>]) -> Result<((i64, i64), Vec<Film>)> {
        self.count("plates", plates.len())?;
        let mut films = reserve("films side by side", plates.len())?;
        let first = &plates[0];
        for plate in plates {
            let (width, height) = (plate.film_width() as u64, plate.film_height() as u64);
            if (width, height) != (first.film_width() as u64, first.film_height() as u64) {
                return Err(Error::Extent {
                    what: "a plate on film",
                    got_width: width,
                    got_height: height,
                    width: first.film_width() as u64,
                    height: first.film_height() as u64,
                });
            }
            if plate.origin() != first.origin() {
                let (got, allowed) = (format!("{:?}", plate.origin()), format!("{:?}", first.origin()));
                return Err(Error::value("place of a plate side by side", got, allowed));
            }
            films.push(empty_film(plate)?);
        }
        Ok((first.origin(), films))
    }

    /// The tile's upper left pixel counted from each plate's, if it lies on all of them.
    fn corners(
        &self,
        plates: &[Placed<'_>],
        at: (i64, i64),
        films: &[FilmMut<'_>],
    ) -> Result<[(u64, u64); MAX_PLATES]> {
        self.count("plates", plates.len())?;
        self.count("films", films.len())?;
        let mut corners = [(0, 0); MAX_PLATES];
        for ((corner_of, plate), film) in corners.iter_mut().zip(plates).zip(films) {
            if (film.width(), film.height()) != (films[0].width(), films[0].height()) {
                return Err(Error::Extent {
                    what: "a film side by side",
                    got_width: film.width() as u64,
                    got_height: film.height() as u64,
                    width: films[0].width() as u64,
                    height: films[0].height() as u64,
                });
            }
            *corner_of = corner(plate, at, film)?;
        }
        Ok(corners)
    }

    fn count(&self, what: &'static str, given: usize) -> Result<()> {
        if given == self.plates() {
            return Ok(());
        }
        Err(Error::value(what, given, format!("{}, as many as the screen is for", self.plates())))
    }

    fn run_rows(
        &self,
        plates: &[Placed<'_>],
        at: (i64, i64),
        corners: &[(u64, u64); MAX_PLATES],
        films: &mut [FilmMut<'_>],
        bench: &mut Bench,
    ) {
        let width = films[0].width();
        let table = self.table();
        // A whole number of repeats to the side and down is left out, so that seeds can be taken off at any place.
        let tiling = table.tiling();
        let repeats = [tiling.width as i64, (tiling.width * tiling.height) as i64];
        for row in 0..films[0].height() {
            let (x, y) = (at.0.rem_euclid(repeats[0]), (at.1 + row as i64).rem_euclid(repeats[1]));
            let mut lanes: [_; MAX_PLATES] = std::array::from_fn(|i| {
                let [right, down] = *self.0.common.seeds.get(i)?;
                Some(Lane {
                    row: plates[i].row(corners[i].1 + row as u64),
                    x: corners[i].0,
                    scale: &self.0.scales[i],
                    thresholds: table.from(x - right, y - down),
                })
            });
            let run = lanes[0].as_ref().map_or(MAX_RUN, |lane| lane.thresholds.run());
            for start in (0..width).step_by(run) {
                let pixels = run.min(width - start);
                for (lane, sizes) in lanes.iter().flatten().zip(&mut bench.sizes) {
                    lane.tones(start, &mut sizes[..pixels]);
                }
                let thresholds: [&[u16]; MAX_PLATES] = std::array::from_fn(|i| {
                    lanes[i].as_mut().map_or(&[][..], |lane| lane.thresholds.next(pixels.next_multiple_of(8)))
                });
                match &self.0.common.touching {
                    Some(touching) => bench.compact(touching, &thresholds, pixels),
                    None => bench.rings(&thresholds, pixels),
                }
                let bytes = pixels.div_ceil(8);
                for (film, claims) in films.iter_mut().zip(&bench.claims) {
                    film.row_mut(row)[start / 8..][..bytes].copy_from_slice(&claims[..bytes]);
                }
            }
        }
    }
}
