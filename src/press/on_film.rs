//! What a screen's own films print, pixel by pixel, when their edges move, and the growth at which they print like a wedge.
//!
//! Flat tints are screened over a whole brick, with as much around it as acts on it, so that no edge of a film is in the count; of a
//! large brick rows spread evenly over it.
//!
//! The growth that fits a wedge is the least sum of squares over all tints, by Gauss–Newton steps from none, halved where they fail.
//! Its standard error is that of the slope of a line: residual scatter over the root of the summed squared slopes. Rejected: growth read
//! off one patch at one half, which throws away the highlights, where gain tells most, and has no residual to judge the model by.

use ndarray::Array2;

use super::gain::{MOST_PERIODS, through, tones};
use super::spread::Spread;
use crate::error::{Error, Result};
use crate::film::{Film, Rect};
use crate::screen::{Placed, Screen, Tiling};
use crate::tone::Curve;
use crate::tone::wedge::{Reading, tints};
use crate::units::{Length, Resolution};

/// Pixels of each tint that are looked at, unless its brick has fewer.
const LOOKED_AT: usize = 1 << 17;

/// Largest growth that a fit tries, in pixels of either axis.
const MOST_PIXELS: f64 = 250.0;

/// Growth that a fit tries in any case, in pixels of the finer axis: index dots are small beside what a press adds to them.
const LEAST_PIXELS: f64 = 8.0;

/// Root of the mean square residual above which no growth explains a wedge. Readings of textile scatter by a point or two; a wrong
/// column, or a wedge read from its other end, is off by tens.
const WORST_RMS: f64 = 0.1;

/// The growth that fits a wedge.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Fit {
    /// How far the edges moved; negative where they shrank.
    pub growth: Length,
    /// Standard error of the growth in µm; none for a single tint.
    pub uncertainty: Option<f64>,
    /// Film coverage of each tint, as given and in that order, and its printed coverage less that of the growth.
    pub residuals: Vec<(f64, f64)>,
    /// Root of the mean square residual.
    pub rms: f64,
}

/// Film coverage → printed coverage of the films of `screen` at `resolution`, in the screen's own mode, when the edges of their pixels
/// move by `growth`: what to [compensate](Curve::compensation). Any curve of the screen is left out.
///
/// Where the growth closes a tint, the curve stays short of solid by 1e-6, so that undoing it leaves solids solid.
///
/// Errors: another resolution than that of the screen's lattice; growth of more than 256 pixels; memory. Cost: half a second at 22 px a
/// cell and 25 µm.
pub fn on_film(screen: &Screen, resolution: Resolution, growth: Length) -> Result<Curve> {
    let spread = Spread::new(resolution, growth)?;
    let tints = Tints::new(screen, resolution, spread.reach())?;
    let mut printed = Vec::new();
    for tone in tones() {
        let films = tints.films(tone)?;
        printed.push((tints.mean(&films, None)?, tints.mean(&films, Some(&spread))?));
    }
    through(printed.into_iter())
}

/// The growth that fits a wedge's readings best, on the films of `screen` at `resolution`: coverages on film as they were, without a
/// curve between (any curve of the screen is left out).
///
/// Errors: readings out of range or none of a tint (as [`press_curve`](crate::tone::wedge::press_curve)); another resolution than
/// that of the screen's lattice; memory. As bad data: tints of which no growth moves any; readings that only a growth beyond half a
/// period (and beyond 8 pixels) would come near; readings that the best growth misses by more than 10 points, root of the mean square.
///
/// Cost: a tenth of a second for ten tints at 22 px a cell, up to four times that for a large brick, seconds for the largest growths.
pub fn fit(screen: &Screen, resolution: Resolution, readings: &[Reading]) -> Result<Fit> {
    let readings = tints(readings)?;
    // A cell's pixels from the lattice; other screens have one entry a dot.
    let entry = screen.index_pixels();
    let cell =
        screen.lattice().map_or((entry[0] * entry[1]) as f64, |l| l.pixels() as f64 / l.cells() as f64);
    let period = 25_400.0 * (cell / (resolution.x() * resolution.y())).sqrt();
    let pixel = 25_400.0 / resolution.x().max(resolution.y());
    let most = (MOST_PERIODS * period).clamp(LEAST_PIXELS * pixel, MOST_PIXELS * pixel);
    let tints = Tints::new(screen, resolution, Spread::new(resolution, Length::um(most)?)?.reach())?;
    let mut films = Vec::with_capacity(readings.len());
    for reading in &readings {
        let films_of_tint = tints.films(reading.film)?;
        let held = tints.mean(&films_of_tint, None)?;
        films.push((films_of_tint, held));
    }
    // What the growth leaves of each reading.
    let left = |growth: f64| -> Result<Vec<f64>> {
        let spread = Spread::new(resolution, Length::um(growth)?)?;
        let of = |(reading, (films, held)): (&Reading, &(Vec<Film>, f64))| {
            let printed = reading.film + tints.mean(films, Some(&spread))? - held;
            Ok(reading.printed - printed.clamp(0.0, 1.0))
        };
        readings.iter().zip(&films).map(of).collect()
    };
    let square = |left: &[f64]| left.iter().map(|r| r * r).sum::<f64>();
    let (mut growth, mut rest) = (0.0_f64, left(0.0)?);
    // A step this small says nothing to any press; a slope over this much stays within a pixel's stairs.
    let (enough, apart) = (1e-3 * period, 4e-3 * period);
    let mut steepness = 0.0;
    for _ in 0..24 {
        let beside = if growth > 0.0 { growth - apart } else { growth + apart };
        let slopes: Vec<f64> =
            left(beside)?.iter().zip(&rest).map(|(b, a)| (a - b) / (beside - growth)).collect();
        steepness = square(&slopes);
        if steepness == 0.0 {
            return Err(Error::data("wedge", "no growth moves any of its tints"));
        }
        let mut step = rest.iter().zip(&slopes).map(|(r, s)| r * s).sum::<f64>() / steepness;
        let mut better = None;
        while better.is_none() && step.abs() > 0.1 * enough {
            let there = (growth + step).clamp(-most, most);
            let tried = left(there)?;
            if square(&tried) < square(&rest) {
                better = Some((there, tried));
            }
            step *= 0.5;
        }
        let Some((there, tried)) = better else { break };
        let moved = (there - growth).abs();
        (growth, rest) = (there, tried);
        if moved < enough {
            break;
        }
    }
    if growth.abs() >= most {
        let way = if growth > 0.0 { "spreads" } else { "shrinks" };
        return Err(Error::data("wedge", format!("prints as if its ink {way} by more than {most:.1} µm")));
    }
    let scatter = |freedom: usize| (square(&rest) / freedom as f64).sqrt();
    let (freedom, rms) = (readings.len() - 1, scatter(readings.len()));
    if rms > WORST_RMS {
        let why = format!(
            "no edge growth prints like that: the best, {growth:.1} µm, misses by {:.0} points",
            100.0 * rms
        );
        return Err(Error::data("wedge", why));
    }
    Ok(Fit {
        growth: Length::um(growth)?,
        uncertainty: (freedom > 0).then(|| scatter(freedom) / steepness.sqrt()),
        rms,
        residuals: readings.iter().map(|t| t.film).zip(rest).collect(),
    })
}

/// Flat tints of a screen, with a margin around them.
struct Tints {
    screen: Screen,
    pieces: Vec<Rect>,
    margin: [usize; 2],
}

impl Tints {
    fn new(screen: &Screen, resolution: Resolution, margin: [usize; 2]) -> Result<Self> {
        if let Some(lattice) = screen.lattice().filter(|l| l.resolution() != resolution) {
            let allowed = format!("that of its lattice, {}", lattice.resolution());
            return Err(Error::value("resolution of a film", resolution, allowed));
        }
        let pieces = pieces(screen.tiling());
        Ok(Self { screen: screen.again(screen.mode(), None)?, pieces, margin })
    }

    /// Films of one tint, a piece each.
    fn films(&self, tone: f64) -> Result<Vec<Film>> {
        let [mx, my] = self.margin;
        let of = |piece: &Rect| {
            let mut film = Film::new(piece.width + 2 * mx, piece.height + 2 * my)?;
            // One row of tone serves all rows of the film.
            let row = Array2::from_elem((1, film.width()), tone as f32);
            let mut rest = film.view_mut();
            for y in (piece.y as i64 - my as i64..).take(piece.height + 2 * my) {
                let place = (piece.x as i64 - mx as i64, y);
                let (top, below) = rest.split_at_row(1);
                self.screen.run(&Placed::new(row.view()).at(place.0, place.1), place, top)?;
                rest = below;
            }
            Ok(film)
        };
        self.pieces.iter().map(of).collect()
    }

    /// Coverage of a tint's pieces, on film or as printed.
    fn mean(&self, films: &[Film], spread: Option<&Spread>) -> Result<f64> {
        let [x, y] = self.margin;
        let of = |film: &Film| {
            let piece = Rect { x, y, width: film.width() - 2 * x, height: film.height() - 2 * y };
            match spread {
                Some(spread) => spread.coverage_of(film.view(), piece),
                None => film.view().coverage_of(piece),
            }
        };
        Ok(films.iter().map(of).sum::<Result<f64>>()? / films.len() as f64)
    }
}

/// Pieces of a brick to look at, all of one size: the whole of it, or rows spread evenly over it, of which each goes once around.
fn pieces(tiling: Tiling) -> Vec<Rect> {
    let Tiling { width, height, .. } = tiling;
    if width.saturating_mul(height) <= LOOKED_AT {
        return vec![Rect { x: 0, y: 0, width, height }];
    }
    let width = width.min(LOOKED_AT);
    let count = (LOOKED_AT / width).min(height);
    (0..count).map(|i| Rect { x: 0, y: i * height / count, width, height: 1 }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::screen::{Dot, Mode};
    use crate::tone::model::Gain;
    use crate::units::{Angle, LineCount};
    use approx::assert_abs_diff_eq;

    fn um(micrometres: f64) -> Length {
        Length::um(micrometres).unwrap()
    }

    fn resolution() -> Resolution {
        Resolution::per_inch(1210.0).unwrap()
    }

    fn round() -> Screen {
        let (lines, angle) = (LineCount::per_inch(55.0).unwrap(), Angle::degrees(22.5).unwrap());
        Screen::cells(resolution(), lines, angle, Dot::Round).build().unwrap()
    }

    fn readings(print: impl Fn(f64) -> f64) -> Vec<Reading> {
        [0.1, 0.3, 0.5, 0.7, 0.9].map(|film| Reading { film, printed: print(film) }).to_vec()
    }

    #[test]
    fn a_wedge_that_growth_hardly_explains_is_told_by_its_residuals() {
        let fit = |readings: &[Reading]| fit(&round(), resolution(), readings).unwrap();
        assert_abs_diff_eq!(fit(&readings(|film| film)).growth.to_um(), 0.0, epsilon = 0.05);
        // Ink that spreads at the light end and fills in at none: a round dot's edges grow otherwise.
        let other = fit(&readings(|film| film + 0.2 * film * (1.0 - film).powi(2)));
        assert!(other.rms > 0.004 && other.uncertainty.unwrap() > 0.2, "{other:?}");
        let single = fit(&readings(|film| Gain::at_half(0.2).unwrap().print(film))[2..3]);
        assert!(single.uncertainty.is_none() && single.rms < 1e-3, "{single:?}");
    }

    #[test]
    fn wedges_that_no_growth_prints_are_refused() {
        let refused = |print: &dyn Fn(f64) -> f64| {
            fit(&round(), resolution(), &readings(print)).unwrap_err().to_string()
        };
        for (print, why) in [
            (&(|film: f64| 1.0 - film) as &dyn Fn(f64) -> f64, "misses by"),
            (&|_| 0.5, "misses by"),
            (&|_| 1.0, "spreads by more"),
            (&|_| 0.0, "shrinks by more"),
        ] {
            let words = refused(print);
            assert!(words.contains(why), "{words}");
        }
        assert!(fit(&round(), resolution(), &[]).is_err());
        let other = Resolution::per_inch(1200.0).unwrap();
        assert!(fit(&round(), other, &readings(|film| film)).is_err());
        assert!(on_film(&round(), other, um(10.0)).is_err());
    }

    #[test]
    fn growth_beyond_a_dot_is_found_where_dots_are_small() {
        // Index dots of 42 µm, and a user's array whose dots have no size of their own.
        let array = Array2::from_shape_fn((64, 64), |(y, x)| ((x * 37 + y * 53) % 4096) as u32);
        for request in [Screen::index(resolution(), 2), Screen::array(array.view()).unwrap()] {
            let screen = request.build().unwrap();
            for growth in [-12.0, 25.0, 60.0] {
                let printed = on_film(&screen, resolution(), um(growth)).unwrap();
                // Where tints are still told apart.
                let tones = [0.025, 0.05, 0.1, 0.3, 0.5, 0.9]
                    .map(|film| Reading { film, printed: printed.eval(film) });
                let found = fit(&screen, resolution(), &tones).unwrap();
                assert_abs_diff_eq!(found.growth.to_um(), growth, epsilon = 0.3);
            }
        }
    }

    #[test]
    fn an_inverted_film_gains_what_the_ground_of_a_normal_one_loses() {
        let (normal, growth) = (round(), 20.0);
        let inverted = normal.again(Mode::Inverted, None).unwrap();
        let ink = on_film(&inverted, resolution(), um(growth)).unwrap();
        let ground = on_film(&normal, resolution(), um(-growth)).unwrap();
        for tone in [0.05, 0.2, 0.5, 0.75, 0.95] {
            assert_abs_diff_eq!(ink.eval(tone), 1.0 - ground.eval(1.0 - tone), epsilon = 1e-3);
        }
    }

    #[test]
    fn large_bricks_are_sampled_evenly() {
        let of = |width, height| pieces(Tiling { width, height, shift: 0 });
        assert_eq!(of(300, 400), [Rect { x: 0, y: 0, width: 300, height: 400 }]);
        let rows = of(30_000, 100);
        assert_eq!((rows.len(), rows[3]), (4, Rect { x: 0, y: 75, width: 30_000, height: 1 }));
        assert_eq!(of(1 << 20, 1), [Rect { x: 0, y: 0, width: LOOKED_AT, height: 1 }]);
    }
}
