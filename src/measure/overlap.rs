//! How much of two films lies on each other, beside what their screens let expect.
//!
//! Expected is what the [law](crate::colour::overlap) of the two screens says of the coverages found: the product where lattices differ, the lesser of
//! both on one lattice in one mode, max(0, a + b − 1) for normal and inverted. Index dots of one size take ink in one order and follow the same
//! table; plates of one index separation share nothing, which is the separation's doing and not told by their screens.
//!
//! What differs from it is register, or a shift of a lattice, or a beat that the piece measured is too small for.

use crate::colour;
use crate::error::{Error, Result};
use crate::film::{FilmView, Rect};
use crate::measure::coverage::both;
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

/// Overlap of two tints of one size, each with its screen. For pictures see [`overlap_in_squares`].
///
/// Errors: films of different sizes.
///
/// ```
/// use dotwright::{Angle, Dot, LineCount, Mode, Resolution, Screen, measure};
///
/// let (resolution, lines) = (Resolution::per_inch(600.0)?, LineCount::per_inch(50.0)?);
/// let normal = Screen::cells(resolution, lines, Angle::degrees(22.5)?, Dot::Euclidean).build()?;
/// let inverted = normal.again(Mode::Inverted, None)?;
/// let tint = ndarray::Array2::from_elem((400, 400), 160_u8);
/// let (a, b) = (normal.film(tint.view())?, inverted.film(tint.view())?);
/// let found = measure::overlap([&a.view(), &b.view()], [&normal, &inverted])?;
/// assert!((found.both - found.expected).abs() < 0.002 && (found.both - 0.255).abs() < 0.005);
/// # Ok::<(), dotwright::Error>(())
/// ```
pub fn overlap(films: [&FilmView<'_>; 2], screens: [&Screen; 2]) -> Result<Overlap> {
    overlap_in_squares(films, screens, usize::MAX)
}

/// Overlap of two films whose tone changes: the law is applied to squares of `side` pixels, some periods of the screen, and its mean told.
///
/// Errors: films of different sizes; a side of 0.
pub fn overlap_in_squares(films: [&FilmView<'_>; 2], screens: [&Screen; 2], side: usize) -> Result<Overlap> {
    if side == 0 {
        return Err(Error::value("side of a square", side, "at least one pixel"));
    }
    let [one, other] = films;
    let shared = both(one, other, "the second film")?;
    let law = colour::Overlap::of(&screens)?;
    let (width, height) = (one.width(), one.height());
    let whole = (width as f64 * height as f64).max(1.0);
    let mut expected = 0.0;
    for y in (0..height).step_by(side) {
        for x in (0..width).step_by(side) {
            let rect = Rect { x, y, width: side.min(width - x), height: side.min(height - y) };
            let mut areas = [0.0; 4];
            law.areas(&[one.coverage_of(rect)?, other.coverage_of(rect)?], &mut areas)?;
            expected += areas[3] * (rect.width as f64 * rect.height as f64);
        }
    }
    Ok(Overlap {
        coverages: films.map(FilmView::coverage),
        both: shared as f64 / whole,
        expected: expected / whole,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::film::Film;
    use crate::units::Resolution;

    #[test]
    fn pictures_are_judged_square_by_square() {
        // A light and a dark half: over the whole, min(a, b) would be ½ where nothing is shared.
        let half = |left: bool| {
            let mut film = Film::new(64, 64).unwrap();
            (0..64 * 64).for_each(|i| film.set(i % 64, i / 64, (i % 64 < 32) == left));
            film
        };
        let screen = Screen::index(Resolution::per_inch(600.0).unwrap(), 1).build().unwrap();
        let (a, b) = (half(true), half(false));
        let of = |side| overlap_in_squares([&a.view(), &b.view()], [&screen; 2], side);
        assert_eq!(of(64).unwrap().expected, 0.5);
        assert_eq!(of(32).unwrap(), Overlap { coverages: [0.5; 2], both: 0.0, expected: 0.0 });
        assert!(of(0).is_err());
        let small = Film::new(9, 64).unwrap();
        assert!(overlap([&a.view(), &small.view()], [&screen; 2]).is_err());
        let none = Film::new(0, 0).unwrap();
        assert_eq!(overlap([&none.view(); 2], [&screen; 2]).unwrap().both, 0.0);
    }
}
