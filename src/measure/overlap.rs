//! How much of two films lies on each other, beside what their screens let expect.
//!
//! | screens | share |
//! |---|---|
//! | other lattices | a b (M. Demichel, Le Procédé 26 (1924)) |
//! | one lattice, one mode | min(a, b) |
//! | one lattice, normal and inverted | max(0, a + b − 1) |
//!
//! What differs from it is register, or a shift of a lattice, or a beat that the piece measured is too small for.

use crate::error::Result;
use crate::film::{FilmView, Rect};
use crate::screen::Screen;

/// The overlap of two films.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Overlap {
    /// Coverage of each film.
    pub coverages: [f64; 2],
    /// The part of the whole that both cover.
    pub both: f64,
    /// The part that the law of their screens lets expect of these coverages.
    pub expected: f64,
}

/// Overlap of two films of one size, each with its screen.
///
/// Errors: films of different sizes; memory that cannot be had.
pub fn overlap(films: [&FilmView<'_>; 2], screens: [&Screen; 2]) -> Result<Overlap> {
    let [one, other] = films;
    let [a, b] = films.map(FilmView::coverage);
    let whole =
        |film: &FilmView<'_>| film.crop(Rect { x: 0, y: 0, width: film.width(), height: film.height() });
    let both = whole(one)?.and(&whole(other)?)?.coverage();
    let one_lattice = screens[0].lattice().is_some() && screens[0].lattice() == screens[1].lattice();
    let expected = match one_lattice {
        false => a * b,
        true if screens[0].mode() == screens[1].mode() => a.min(b),
        true => (a + b - 1.0).max(0.0),
    };
    Ok(Overlap { coverages: [a, b], both, expected })
}
