//! Jobs whose plates stand side by side: all inks but the base on one lattice, and no dot of one on another's.
//!
//! Their films are made together, and so are whole in memory, a bit a pixel and ink. The base lies below them all and has a screen of its
//! own.

use std::ops::ControlFlow;

use crate::bands::{Progress, each_band};
use crate::colour::overlap::{Overlap, Relation};
use crate::error::{Error, Result};
use crate::film::Film;
use crate::job::inks::JobInk;
use crate::job::screening::request;
use crate::screen::{Mode, Placed, Sharing, SideBySide};
use crate::units::Resolution;

/// Film rows of one piece of work.
const BAND: usize = 256;

/// Which inks stand side by side: all but the base.
fn plates(inks: &[JobInk]) -> Vec<usize> {
    (0..inks.len()).filter(|&ink| !inks[ink].base).collect()
}

/// Their screen. Errors: inks that are not screened alike; dots that cannot be; a screen that cannot be built.
pub(super) fn screen(inks: &[JobInk], sharing: Sharing, resolution: Resolution) -> Result<SideBySide> {
    let plates = plates(inks);
    let Some(first) = plates.first().map(|&ink| &inks[ink].screening) else {
        return Err(Error::value("plates side by side", 0, "at least one ink besides the base"));
    };
    let other = plates.iter().map(|&ink| &inks[ink]).find(|ink| ink.screening.lattice() != first.lattice());
    if let Some(ink) = other {
        let allowed = "lines, angle, dot and growth as those of the first ink besides the base";
        return Err(Error::value(
            "screen of plates side by side",
            format!("that of {:?}", ink.ink.name()),
            allowed,
        ));
    }
    if let Some(&ink) = plates.iter().find(|&&ink| inks[ink].screening.mode == Mode::Inverted) {
        let got = format!("that of {:?}, inverted", inks[ink].ink.name());
        return Err(Error::value("mode of plates side by side", got, "normal"));
    }
    let curves = plates.iter().map(|&ink| inks[ink].screening.curve()).collect::<Result<Vec<_>>>()?;
    SideBySide::build(&request(first, false, resolution), plates.len(), sharing)?.with_curves(&curves)
}

/// How the plates overlap: not at all among themselves, and each with the base as independent screens do.
pub(super) fn law(inks: &[JobInk]) -> Result<Overlap> {
    let base =
        inks.iter().position(|ink| ink.base).map(|base| Relation::OneLattice(vec![(base, Mode::Normal)]));
    let groups = base.into_iter().chain([Relation::SideBySide(plates(inks))]);
    Overlap::of_groups(inks.len(), groups.collect())
}

/// The films, in the place of their inks; none for the base.
pub(super) fn films(
    screen: &SideBySide,
    inks: &[JobInk],
    placed: &[Placed<'_>],
    progress: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Result<Vec<Option<Film>>> {
    let plates = plates(inks);
    let together: Vec<Placed<'_>> = plates.iter().map(|&ink| placed[ink]).collect();
    let (width, height) = together.first().map_or((0, 0), |plate| (plate.film_width(), plate.film_height()));
    let mut films = plates.iter().map(|_| Film::new(width, height)).collect::<Result<Vec<_>>>()?;
    let mut left: Vec<_> = films.iter_mut().map(|film| Some(film.view_mut())).collect();
    let mut hear = |p: Progress| progress(p.done as f64 / p.total as f64);
    each_band(height, BAND, &mut hear, |rows| {
        let mut band = Vec::with_capacity(left.len());
        for film in &mut left {
            if let Some(whole) = film.take() {
                let (top, rest) = whole.split_at_row(rows.len());
                band.push(top);
                *film = Some(rest);
            }
        }
        let at = (0, rows.start as i64);
        #[cfg(feature = "threads")]
        return screen.run_threaded(&together, at, &mut band);
        #[cfg(not(feature = "threads"))]
        screen.run(&together, at, &mut band)
    })?;
    drop(left);
    let mut all: Vec<Option<Film>> = inks.iter().map(|_| None).collect();
    for (ink, film) in plates.into_iter().zip(films) {
        all[ink] = Some(film);
    }
    Ok(all)
}
