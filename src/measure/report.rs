//! The usual numbers of a film in one call.

use crate::distance::Part;
use crate::error::{Error, Result};
use crate::film::FilmView;
use crate::measure::{Details, Parts, Repeat, Touch, details, grain, parts, perimeter, repeat};
use crate::units::{LineCount, Resolution};

/// What a film holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Report {
    /// Ink as a part of the whole, 0…1.
    pub coverage: f64,
    /// Outline of the ink in mm per mm² of film: what a growth of edges by 1 µm adds is a thousandth of it.
    pub perimeter_per_mm: f64,
    /// Connected dots; ink that meets at corners is one.
    pub dots: Parts,
    /// Connected holes.
    pub holes: Parts,
    /// Smallest line and gap.
    pub details: Details,
    /// Angle and line count; none where the film shows no screen.
    pub screen: Option<Repeat>,
    /// Grain for that line count, where the film has ten periods of it: of a flat tint the unevenness that is left, of a picture the picture.
    pub grain: Option<f64>,
}

/// Measures all of it.
///
/// Errors: memory that cannot be had (some 30 bytes a pixel). Cost: some 0.4 µs a pixel.
///
/// ```
/// use dotwright::{Angle, Dot, LineCount, Resolution, Screen, measure};
///
/// let (resolution, lines) = (Resolution::per_inch(600.0)?, LineCount::per_inch(45.0)?);
/// let screen = Screen::cells(resolution, lines, Angle::degrees(22.5)?, Dot::Round).build()?;
/// let film = screen.film(ndarray::Array2::from_elem((600, 600), 64_u8).view())?;
/// let report = measure::report(&film.view(), resolution)?;
/// assert!((report.screen.unwrap().degrees - 22.5).abs() < 0.01);
/// assert!(report.grain.unwrap() < 0.001 && report.dots.whole.len() > 1800);
/// # Ok::<(), dotwright::Error>(())
/// ```
pub fn report(film: &FilmView<'_>, resolution: Resolution) -> Result<Report> {
    let screen = found(repeat(film, resolution))?;
    let grain = match screen {
        Some(screen) => found(grain(film, resolution, LineCount::per_inch(screen.lines_per_inch)?))?,
        None => None,
    };
    let sides = [film.width() as f64 / resolution.x(), film.height() as f64 / resolution.y()];
    let area = sides[0] * sides[1] * 25.4 * 25.4;
    let outline = perimeter(film, resolution).to_mm();
    Ok(Report {
        coverage: film.coverage(),
        perimeter_per_mm: if area > 0.0 { outline / area } else { 0.0 },
        dots: parts(film, Part::Ink, Touch::Corners)?,
        holes: parts(film, Part::Bare, Touch::Corners)?,
        details: details(film, resolution)?,
        screen,
        grain,
    })
}

/// None where the film is too small or shows no such thing.
fn found<T>(measured: Result<T>) -> Result<Option<T>> {
    match measured {
        Ok(found) => Ok(Some(found)),
        Err(Error::Value { .. } | Error::Data { .. }) => Ok(None),
        Err(other) => Err(other),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::film::Film;

    #[test]
    fn films_without_a_screen_have_the_rest() {
        let resolution = Resolution::per_inch(600.0).unwrap();
        for (width, height) in [(0, 0), (1, 1), (30, 9), (200, 200)] {
            let film = Film::new(width, height).unwrap();
            let report = report(&film.view(), resolution).unwrap();
            assert_eq!((report.coverage, report.perimeter_per_mm), (0.0, 0.0));
            assert_eq!((report.screen, report.grain, report.dots.count()), (None, None, 0));
            assert_eq!(report.holes.count(), usize::from(width > 0));
        }
    }
}
