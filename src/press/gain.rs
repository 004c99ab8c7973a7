//! Gain: what a dot at a line count must expect of a press whose edges move, and how far they moved on a wedge.
//!
//! Edges that move by d add about d times their length: the gain of a tone is the perimeter of its dots per area, times d, less where
//! dots run together. Finer lines have more edge, and each dot has its own: that is what a choice of dot and line count decides.
//!
//! Two answers. [`Outlined`] is the dot itself, whatever the film: it meets the published figures of constant borders to 0.14 point. [`fit`]
//! looks at the film's own pixels by [`Spread`], for slanting edges of pixels are stairs that add up to half a pixel to every growth: at
//! 22 px a cell and 55 lines per inch, 21 µm on the film print like 25 µm of the ideal dot.
//!
//! The growth that fits a wedge is the least sum of squares over all tints, by Gauss–Newton steps from none, halved where they fail.
//! Its standard error is that of the slope of a line: residual scatter over the root of the summed squared slopes. Rejected: growth read
//! off one patch at one half, which throws away the highlights, where gain tells most, and has no residual to judge the model by.

use ndarray::Array2;

use super::outline::{Outline, Values};
use super::spread::Spread;
use crate::error::{Error, Result, filled};
use crate::film::{Film, Rect};
use crate::screen::{Dot, Placed, Screen, Tiling};
use crate::tone::Curve;
use crate::tone::wedge::{NEARLY_SOLID, Reading, tints};
use crate::units::{Length, LineCount, Resolution};

/// Largest growth either way, in periods of the screen: beyond it hardly any dot has a neighbour left.
const MOST_PERIODS: f64 = 0.5;

/// Most tones to be outlined at a time.
const MOST_TONES: usize = 1024;

/// Pixels of each tint that a fit looks at, unless its brick has fewer.
const LOOKED_AT: usize = 1 << 17;

/// Largest growth that a fit tries, in pixels of either axis.
const MOST_PIXELS: f64 = 250.0;

/// A dot at a line count, outlined at some tones.
#[derive(Debug, Clone)]
pub struct Outlined {
    /// Period of the screen in µm.
    period: f64,
    tones: Vec<f64>,
    outlines: Vec<Outline>,
}

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

/// Film coverage → printed coverage of a dot whose edges move by `growth` (inwards, if it is negative).
///
/// Where the growth closes a tint, the curve stays short of solid by 1e-6, so that undoing it leaves solids solid.
///
/// Errors: growth of more than half a period; a user's dot that is not finite; memory. Cost: one to two seconds.
pub fn expected(dot: &Dot, lines: LineCount, growth: Length) -> Result<Curve> {
    // Nearer to each other at the ends, where a dot of no size has a gain at once.
    let fine = [0.25, 0.5, 1.0, 1.5, 2.0, 3.0, 4.0];
    // One half among them, where euclidean dots run together and the curve has a peak.
    let middle = (2..=38).map(|i| 2.5 * f64::from(i));
    let mut percent: Vec<f64> = fine.to_vec();
    percent.extend(middle);
    percent.extend(fine.iter().rev().map(|t| 100.0 - t));
    let tones: Vec<f64> = percent.iter().map(|t| t / 100.0).collect();
    let printed = Outlined::new(dot, lines, &tones)?.printed(growth)?;
    let mut highest: f64 = 0.0;
    let mut points: Vec<(f64, f64)> = Vec::with_capacity(tones.len() + 1);
    for (tone, printed) in tones.into_iter().zip(printed) {
        highest = highest.max(printed.min(NEARLY_SOLID));
        points.push((tone, highest));
    }
    points.push((1.0, 1.0));
    Curve::through(&points)
}

impl Outlined {
    /// A dot at a line count and at film coverages between 0 and 1, both excluded.
    ///
    /// Errors: no tones, more than 1024, or one out of range; a user's dot that is not finite; memory. Cost: some twenty milliseconds and
    /// 100 kB a tone; the rest takes none to speak of.
    pub fn new(dot: &Dot, lines: LineCount, tones: &[f64]) -> Result<Self> {
        if tones.is_empty() || tones.len() > MOST_TONES {
            return Err(Error::value(
                "tones",
                format!("{} of them", tones.len()),
                format!("1 to {MOST_TONES}"),
            ));
        }
        if let Some(bad) = tones.iter().find(|&&t| !(t > 0.0 && t < 1.0)) {
            return Err(Error::value("tone", bad, "above 0 and below 1"));
        }
        let values = Values::new(dot)?;
        let outlines = tones.iter().map(|&tone| values.outline(tone)).collect::<Result<Vec<_>>>()?;
        Ok(Self { period: lines.period().to_um(), tones: tones.to_vec(), outlines })
    }

    /// Printed coverage of every tone, 0…1, when the edges move by `growth`.
    ///
    /// Errors: growth of more than half a period.
    pub fn printed(&self, growth: Length) -> Result<Vec<f64>> {
        let periods = growth.to_um() / self.period;
        if periods.abs() > MOST_PERIODS {
            let allowed = format!("half a period ({:.1} µm) at most, either way", MOST_PERIODS * self.period);
            return Err(Error::value("edge growth", growth, allowed));
        }
        Ok(self.tones.iter().zip(&self.outlines).map(|(&tone, o)| print_of(tone, o, periods)).collect())
    }

    /// Length of edge of every tone in mm per mm² of print: the first-order gain per mm of growth.
    pub fn perimeter(&self) -> Vec<f64> {
        self.outlines.iter().map(|o| o.perimeter / (self.period / 1000.0)).collect()
    }

    /// Gain of every tone, in parts of 1, for the first 10 µm of growth. Errors: as [`printed`](Self::printed), where 10 µm are more than half
    /// a period.
    pub fn gain_per_10_um(&self) -> Result<Vec<f64>> {
        let printed = self.printed(Length::um(10.0)?)?;
        Ok(printed.iter().zip(&self.tones).map(|(printed, tone)| printed - tone).collect())
    }
}

/// What an outline of a tone prints: the tone and what the growth adds, so that no growth has no gain to the last bit.
fn print_of(tone: f64, outline: &Outline, periods: f64) -> f64 {
    (tone + (outline.printed(periods) - outline.printed(0.0))).clamp(0.0, 1.0)
}

/// The growth that fits a wedge's readings best, on the film of `screen` at `resolution`: coverages on film as they were, without a
/// curve between (any curve of the screen is left out).
///
/// Errors: readings out of range or none of a tint (as [`press_curve`](crate::tone::wedge::press_curve)); tints of which no growth
/// moves any; memory. Cost: a tenth of a second for ten tints at 22 px a cell, up to four times that for a large brick.
pub fn fit(screen: &Screen, resolution: Resolution, readings: &[Reading]) -> Result<Fit> {
    let tints = tints(readings)?;
    let screen = screen.again(screen.mode(), None)?;
    // A cell's pixels from the lattice; other screens have one entry a dot.
    let entry = screen.index_pixels();
    let cell =
        screen.lattice().map_or((entry[0] * entry[1]) as f64, |l| l.pixels() as f64 / l.cells() as f64);
    let period = 25_400.0 * (cell / (resolution.x() * resolution.y())).sqrt();
    let finest = resolution.x().max(resolution.y());
    let most = (MOST_PERIODS * period).min(MOST_PIXELS * 25_400.0 / finest);
    let [mx, my] = Spread::new(resolution, Length::um(most)?)?.reach();
    let pieces = pieces(screen.tiling());
    let films: Vec<Vec<Film>> =
        tints.iter().map(|t| films(&screen, t.film as f32, &pieces, [mx, my])).collect::<Result<_>>()?;
    let printed = |growth: f64| -> Result<Vec<f64>> {
        let spread = Spread::new(resolution, Length::um(growth)?)?;
        let gain = |film: &Film| {
            let piece = Rect { x: mx, y: my, width: film.width() - 2 * mx, height: film.height() - 2 * my };
            Ok(spread.coverage_of(film.view(), piece)? - film.view().coverage_of(piece)?)
        };
        let of = |(films, tint): (&Vec<Film>, &Reading)| {
            let gains = films.iter().map(gain).sum::<Result<f64>>()?;
            Ok((tint.film + gains / films.len() as f64).clamp(0.0, 1.0))
        };
        films.iter().zip(&tints).map(of).collect()
    };
    let left =
        |printed: &[f64]| -> Vec<f64> { tints.iter().zip(printed).map(|(r, p)| r.printed - p).collect() };
    let square = |left: &[f64]| left.iter().map(|r| r * r).sum::<f64>();
    let (mut growth, mut rest) = (0.0_f64, left(&printed(0.0)?));
    // A step this small says nothing to any press; a slope over this much stays within a pixel's stairs.
    let (enough, apart) = (1e-3 * period, 4e-3 * period);
    let mut steepness = 0.0;
    for _ in 0..24 {
        let beside = if growth > 0.0 { growth - apart } else { growth + apart };
        let slopes: Vec<f64> =
            left(&printed(beside)?).iter().zip(&rest).map(|(b, a)| (a - b) / (beside - growth)).collect();
        steepness = square(&slopes);
        if steepness == 0.0 {
            return Err(Error::data("wedge", "no growth moves any of its tints"));
        }
        let mut step = rest.iter().zip(&slopes).map(|(r, s)| r * s).sum::<f64>() / steepness;
        let mut better = None;
        while better.is_none() && step.abs() > 0.1 * enough {
            let there = (growth + step).clamp(-most, most);
            let tried = left(&printed(there)?);
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
    let freedom = tints.len() - 1;
    let scatter = |freedom: usize| (square(&rest) / freedom as f64).sqrt();
    Ok(Fit {
        growth: Length::um(growth)?,
        uncertainty: (freedom > 0).then(|| scatter(freedom) / steepness.sqrt()),
        rms: scatter(tints.len()),
        residuals: tints.iter().map(|t| t.film).zip(rest).collect(),
    })
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

/// Films of one tint, a piece each, with a margin around them.
fn films(screen: &Screen, tone: f32, pieces: &[Rect], [mx, my]: [usize; 2]) -> Result<Vec<Film>> {
    let of = |piece: &Rect| {
        let size = (piece.height + 2 * my, piece.width + 2 * mx);
        let tones = filled("a wedge's tint", size.0 * size.1, tone)?;
        let plate = Array2::from_shape_vec(size, tones).expect("as many as the piece has");
        screen.film(Placed::new(plate.view()).at(piece.x as i64 - mx as i64, piece.y as i64 - my as i64))
    };
    pieces.iter().map(of).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Angle;
    use crate::tone::model::Gain;
    use approx::assert_abs_diff_eq;

    fn um(micrometres: f64) -> Length {
        Length::um(micrometres).unwrap()
    }

    fn lines(count: f64) -> LineCount {
        LineCount::per_inch(count).unwrap()
    }

    #[test]
    fn no_growth_has_no_gain_and_growth_has_that_of_its_perimeter() {
        let tones = [0.05, 0.3, 0.5, 0.8];
        for dot in [
            Dot::Round,
            Dot::Euclidean,
            Dot::Line,
            Dot::Diamond,
            Dot::Square,
            Dot::ellipse(0.4, 0.6).unwrap(),
        ] {
            let outlined = Outlined::new(&dot, lines(55.0), &tones).unwrap();
            assert_eq!(outlined.printed(um(0.0)).unwrap(), tones);
            let grown = outlined.printed(um(2.0)).unwrap();
            let shrunk = outlined.printed(um(-2.0)).unwrap();
            for (i, (tone, perimeter)) in tones.iter().zip(outlined.perimeter()).enumerate() {
                // First order: perimeter times growth; both ways together, for curvature cancels.
                let gain = 0.5 * (grown[i] - shrunk[i]);
                assert_abs_diff_eq!(gain, 0.002 * perimeter, epsilon = 3e-4);
                assert!(shrunk[i] < *tone && *tone < grown[i], "{dot:?} {tone}");
            }
        }
    }

    #[test]
    fn expected_curves_rise_to_solid_and_leave_it_alone() {
        for (growth, count) in [(-40.0, 65.0), (-10.0, 45.0), (0.0, 55.0), (25.4, 55.0), (100.0, 85.0)] {
            let curve = expected(&Dot::Euclidean, lines(count), um(growth)).unwrap();
            let table = curve.table::<u8>();
            assert!(table.is_sorted() && table[0] == 0 && table[255] == 1 << 32);
            assert_eq!(curve.inverse().eval(1.0), 1.0, "{growth}");
            if growth == 0.0 {
                assert_abs_diff_eq!(curve.eval(0.37), 0.37, epsilon = 1e-9);
            }
        }
        assert!(expected(&Dot::Round, lines(65.0), um(200.0)).is_err());
        assert!(Outlined::new(&Dot::Round, lines(65.0), &[]).is_err());
        assert!(Outlined::new(&Dot::Round, lines(65.0), &[0.5, f64::NAN]).is_err());
        assert!(Outlined::new(&Dot::Round, lines(65.0), &[1.0]).is_err());
    }

    #[test]
    fn a_wedge_that_no_growth_explains_is_told_by_its_residuals() {
        let resolution = Resolution::per_inch(1210.0).unwrap();
        let screen = Screen::cells(resolution, lines(55.0), Angle::degrees(22.5).unwrap(), Dot::Round)
            .build()
            .unwrap();
        let readings = |print: &dyn Fn(f64) -> f64| -> Vec<Reading> {
            [0.1, 0.3, 0.5, 0.7, 0.9].map(|film| Reading { film, printed: print(film) }).to_vec()
        };
        let straight = fit(&screen, resolution, &readings(&|film| film)).unwrap();
        assert_abs_diff_eq!(straight.growth.to_um(), 0.0, epsilon = 0.05);
        // Ink that spreads at the light end and fills in at none: a round dot's edges grow otherwise.
        let other =
            fit(&screen, resolution, &readings(&|film| film + 0.2 * film * (1.0 - film).powi(2))).unwrap();
        assert!(other.rms > 0.004 && other.uncertainty.unwrap() > 0.2, "{other:?}");
        let single =
            fit(&screen, resolution, &readings(&|film| Gain::at_half(0.2).unwrap().print(film))[2..3])
                .unwrap();
        assert!(single.uncertainty.is_none() && single.rms < 1e-3, "{single:?}");
        assert!(fit(&screen, resolution, &[]).is_err());
    }
}
