//! Index jobs: art straight to films, in which every index dot has one ink or none.
//!
//! There are no plates between; those that are written tell which part of the dots each ink has at each pixel of the art. The base has
//! the union of the dots that need it, choked by the job's length. Films are whole in memory, a bit a pixel and ink: error diffusion has
//! no bands, and a choke needs the rows around.

use std::ops::ControlFlow;

use ndarray::{Array2, Array3};

use crate::art::Samples;
use crate::bands::{Progress, each_band};
use crate::colour::separate::index::{ArtOnFilm, IndexSeparation};
use crate::colour::srgb::Code;
use crate::colour::{LinearRgb, Print};
use crate::error::{Error, Result, filled};
use crate::film::Film;
use crate::job::Job;
use crate::job::picture::Plates;
use crate::job::together::Together;
use crate::plate::Tone;
use crate::trap::Choke;
use crate::units::Resolution;

/// Film rows of one piece of work.
const BAND: usize = 512;

/// The plan of an index job. Errors: a screen of growing dots.
pub(super) fn separation(job: &Job, print: &Print) -> Result<IndexSeparation> {
    let told = &job.separation;
    let mut request = IndexSeparation::of(print, &job.screens[0]).intent(told.intent).knee(told.knee);
    if let Some(base) = job.inks.iter().position(|ink| ink.base) {
        request = request.underbase(base);
    }
    request.build()
}

/// The films of art, and plates that tell of them.
pub(super) fn films(
    job: &Job,
    index: &IndexSeparation,
    art: &Samples,
    resolution: Resolution,
    progress: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Result<(Vec<Film>, Plates)> {
    let (mut films, plates) = match art {
        Samples::U8(art) => {
            (dots(job, index, art, resolution, progress)?, Plates::U8(parts(index, art, job.inks.len())?))
        }
        Samples::U16(art) => {
            (dots(job, index, art, resolution, progress)?, Plates::U16(parts(index, art, job.inks.len())?))
        }
    };
    for (film, ink) in films.iter_mut().zip(&job.inks) {
        if ink.base && ink.choke.to_um() > 0.0 {
            let choke = Choke::by(ink.choke)?;
            let choke = ink.least_width.map_or(Ok(choke), |least| choke.least(least))?;
            *film = choke.film(&film.view(), job.resolution)?;
        }
    }
    Ok((films, plates))
}

fn dots<T: Code + Tone>(
    job: &Job,
    index: &IndexSeparation,
    art: &Array3<T>,
    resolution: Resolution,
    progress: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Result<Vec<Film>> {
    let art = ArtOnFilm::new(art.view(), resolution, job.resolution)?;
    if job.together == Together::IndexDiffused {
        return index.diffused(&art);
    }
    let (width, height) = (art.film_width(), art.film_height());
    let mut films = (0..job.inks.len()).map(|_| Film::new(width, height)).collect::<Result<Vec<_>>>()?;
    let mut left: Vec<_> = films.iter_mut().map(|film| Some(film.view_mut())).collect();
    let mut hear = |p: Progress| progress(p.done as f64 / p.total as f64);
    each_band(height, BAND, &mut hear, |rows| {
        let mut band = Vec::with_capacity(left.len());
        for film in &mut left {
            let (top, rest) = match film.take() {
                Some(whole) => whole.split_at_row(rows.len()),
                None => return Err(Error::data("a film", "has no rows left")),
            };
            band.push(top);
            *film = Some(rest);
        }
        index.run(&art, (0, rows.start as i64), &mut band)
    })?;
    drop(left);
    Ok(films)
}

/// Which part of the dots each ink has, at each pixel of the art.
fn parts<T: Code + Tone>(index: &IndexSeparation, art: &Array3<T>, inks: usize) -> Result<Vec<Array2<T>>> {
    let (height, width, channels) = art.dim();
    let mut plates = Vec::new();
    for _ in 0..inks {
        let samples = filled("a plate", width.saturating_mul(height), T::from_level(0))?;
        let plate = Array2::from_shape_vec((height, width), samples);
        plates.push(plate.map_err(|e| Error::data("a plate", e))?);
    }
    let mut rows: Vec<Vec<_>> = (0..height).map(|_| Vec::with_capacity(inks)).collect();
    for plate in &mut plates {
        for (row, rows) in plate.rows_mut().into_iter().zip(&mut rows) {
            rows.push(row);
        }
    }
    let work = |(y, mut out): (usize, Vec<ndarray::ArrayViewMut1<'_, T>>)| {
        let mut last: Option<([T; 4], Vec<T>)> = None;
        for x in 0..width {
            let at = |channel: usize| art[[y, x, channel]];
            let opaque = if channels == 4 { at(3) } else { T::from_level(T::SOLID) };
            let pixel = [at(0), at(1), at(2), opaque];
            if last.as_ref().is_none_or(|(same, _)| *same != pixel) {
                let level: u32 = opaque.as_();
                let light = LinearRgb::from_srgb([at(0), at(1), at(2)]);
                let parts = index.coverages(light, f64::from(level) / f64::from(T::SOLID));
                let tones = parts.iter().map(|part| T::from_level((part * f64::from(T::SOLID) + 0.5) as u32));
                last = Some((pixel, tones.collect()));
            }
            if let Some((_, tones)) = &last {
                for (row, &tone) in out.iter_mut().zip(tones) {
                    row[x] = tone;
                }
            }
        }
    };
    let rows = rows.into_iter().enumerate();
    #[cfg(feature = "threads")]
    {
        use rayon::prelude::*;
        rows.collect::<Vec<_>>().into_par_iter().with_min_len(8).for_each(work);
    }
    #[cfg(not(feature = "threads"))]
    rows.for_each(work);
    Ok(plates)
}
