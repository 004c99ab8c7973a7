//! One square inch of the print, from its films, dot by dot: the worst place, or one that is told.

use crate::colour::Print;
use crate::error::Result;
use crate::film::{Film, Rect};
use crate::job::Job;
use crate::press::gain::fit;
use crate::proof::{Films, Lay, Picture};
use crate::screen::Placed;
use crate::tone::wedge::Reading;
use crate::units::Length;

/// How far edges of each ink move on the press: as told, or what fits its wedge best on its own films; not at all where there is no wedge, or
/// none that growth explains. A press is one: its growth is found once, for the first ink that tells of it.
pub(super) fn growths(job: &Job) -> Vec<Length> {
    let mut known: Vec<(&[Reading], Length)> = Vec::new();
    let mut growths = Vec::new();
    for (ink, screen) in job.inks.iter().zip(&job.screens) {
        let press = ink.screening.press.as_slice();
        growths.push(match (job.growth, press, known.iter().find(|(other, _)| *other == press)) {
            (Some(growth), _, _) => growth,
            (None, [], _) => Length::default(),
            (None, _, Some((_, growth))) => *growth,
            (None, _, None) => {
                let growth = fit(screen, job.resolution, press).map_or(Length::default(), |fit| fit.growth);
                known.push((press, growth));
                growth
            }
        });
    }
    growths
}

/// Screens the piece and what may reach into it, and prints it. `middle` is told from the print's left and top.
///
/// Errors: growth of more than 256 film pixels; a shift of more than 1000 inches; memory.
pub(super) fn inch(
    job: &Job,
    print: &Print,
    placed: &[Placed<'_>],
    films: &[Option<Film>],
    growths: &[Length],
    middle: [Length; 2],
) -> Result<Picture> {
    let Some(first) = placed.first() else { return Picture::new(0, 0, |_, _| Default::default()) };
    let reach = |axis: usize, per_inch: f64| {
        let shifts = job.inks.iter().map(|ink| ink.shift[axis].to_inches().abs());
        let inches = shifts.fold(0.0, f64::max)
            + growths.iter().map(|growth| growth.to_inches().abs()).fold(0.0, f64::max);
        (inches * per_inch).ceil() as usize + 1
    };
    // From the middle's inch outwards, as far as there is film.
    let around = |axis: usize, per_inch: f64, whole: usize| {
        let side = (per_inch.round() as usize).clamp(1, whole);
        let start = ((middle[axis].to_inches() - 0.5) * per_inch).round().max(0.0) as usize;
        let start = start.min(whole - side);
        let from = start.saturating_sub(reach(axis, per_inch));
        (from, start + side + reach(axis, per_inch), start - from, side)
    };
    let (width, height) = (first.film_width(), first.film_height());
    let (left, right, x, wide) = around(0, job.resolution.x(), width);
    let (top, bottom, y, high) = around(1, job.resolution.y(), height);
    let (right, bottom) = (right.min(width), bottom.min(height));
    let around = Rect { x: left, y: top, width: right - left, height: bottom - top };
    let mut pieces = Vec::with_capacity(placed.len());
    for (i, (screen, placed)) in job.screens.iter().zip(placed).enumerate() {
        pieces.push(match films.get(i).and_then(Option::as_ref) {
            Some(film) => film.view().crop(around)?,
            None => {
                let mut film = Film::new(around.width, around.height)?;
                screen.run(placed, (left as i64, top as i64), film.view_mut())?;
                film
            }
        });
    }
    let views: Vec<_> = pieces.iter().map(Film::view).collect();
    let mut films = Films::new(print, &views, job.resolution)?;
    for (i, (ink, &growth)) in job.inks.iter().zip(growths).enumerate() {
        films = films.lay(i, Lay { growth, shift: ink.shift, ..Lay::default() })?;
    }
    films.proof(Rect { x, y, width: wide, height: high })
}
