//! Gain: what a dot at a line count must expect of a press whose edges move, and how far they moved on a wedge.
//!
//! Edges that move by d add about d times their length: the gain of a tone is the perimeter of its dots per area, times d, less where
//! dots run together. Finer lines have more edge, and each dot has its own: that is what a choice of dot and line count decides.
//!
//! Two answers. [`Outlined`] and [`expected`] are the dot itself, whatever the film: they meet the published figures of constant borders to
//! 0.14 point. [`on_film`] and [`fit`] look at the film's own pixels by [`Spread`](super::spread::Spread), for slanting edges of pixels are
//! stairs that add up to half a pixel to every growth: at 22 px a cell and 55 lines per inch, 21 µm on the film print like 25 µm of the
//! ideal dot. A film is compensated by what it prints itself; dots are compared by what they are.
//!
//! An inverted dot of tone a is the ground around a normal dot of 1 − a: it grows by what that shrinks.

pub use super::on_film::{Fit, fit, on_film};
use super::outline::{Outline, Values};
use crate::error::{Error, Result};
use crate::screen::{Dot, Mode};
use crate::tone::Curve;
use crate::tone::wedge::NEARLY_SOLID;
use crate::units::{Length, LineCount};

/// Largest growth either way, in periods of the screen: beyond it hardly any dot has a neighbour left.
pub(super) const MOST_PERIODS: f64 = 0.5;

/// Most tones to be outlined at a time.
const MOST_TONES: usize = 1024;

/// A dot at a line count, outlined at some tones.
#[derive(Debug, Clone)]
pub struct Outlined {
    /// Period of the screen in µm.
    period: f64,
    mode: Mode,
    tones: Vec<f64>,
    /// For an inverted dot those of the ground around it.
    outlines: Vec<Outline>,
}

/// Film coverage → printed coverage of a dot in normal mode whose edges move by `growth` (inwards, if it is negative).
///
/// Where the growth closes a tint, the curve stays short of solid by 1e-6, so that undoing it leaves solids solid.
///
/// Errors: growth of more than half a period; a user's dot that is not finite; memory. Cost: one to two seconds.
pub fn expected(dot: &Dot, lines: LineCount, growth: Length) -> Result<Curve> {
    let tones = tones();
    let printed = Outlined::new(dot, lines, &tones)?.printed(growth)?;
    through(tones.into_iter().zip(printed))
}

/// Tones that a curve is taken at: nearer to each other at the ends, where a dot of no size has a gain at once.
pub(super) fn tones() -> Vec<f64> {
    let fine = [0.25, 0.5, 1.0, 1.5, 2.0, 3.0, 4.0];
    // One half among them, where euclidean dots run together and the curve has a peak.
    let middle = (2..=38).map(|i| 2.5 * f64::from(i));
    let mut percent: Vec<f64> = fine.to_vec();
    percent.extend(middle);
    percent.extend(fine.iter().rev().map(|t| 100.0 - t));
    percent.iter().map(|t| t / 100.0).collect()
}

/// The curve through film and printed coverages that rise but for rounding.
pub(super) fn through(tints: impl Iterator<Item = (f64, f64)>) -> Result<Curve> {
    let mut points = vec![(0.0, 0.0)];
    let mut last = (0.0, 0.0_f64);
    for (film, printed) in tints {
        // A small brick holds fewer tones than are asked of it.
        if film > last.0 && film < 1.0 {
            last = (film, last.1.max(printed.min(NEARLY_SOLID)));
            points.push(last);
        }
    }
    points.push((1.0, 1.0));
    Curve::through(&points)
}

impl Outlined {
    /// A dot in normal mode, at a line count and at film coverages between 0 and 1, both excluded.
    ///
    /// Errors: no tones, more than 1024, or one out of range; a user's dot that is not finite; memory. Cost: some twenty milliseconds and
    /// 100 kB a tone; the rest takes none to speak of.
    pub fn new(dot: &Dot, lines: LineCount, tones: &[f64]) -> Result<Self> {
        Self::of(dot, lines, Mode::Normal, tones)
    }

    /// The same of a dot in inverted mode: the ground around the normal dots of 1 − tone. Of a dot that is its own complement as of
    /// the normal one.
    pub fn inverted(dot: &Dot, lines: LineCount, tones: &[f64]) -> Result<Self> {
        Self::of(dot, lines, Mode::Inverted, tones)
    }

    fn of(dot: &Dot, lines: LineCount, mode: Mode, tones: &[f64]) -> Result<Self> {
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
        let outlines = tones
            .iter()
            .map(|&tone| values.outline(if mode == Mode::Normal { tone } else { 1.0 - tone }))
            .collect::<Result<Vec<_>>>()?;
        Ok(Self { period: lines.period().to_um(), mode, tones: tones.to_vec(), outlines })
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
        // What ink that moves by the growth gains, the ground around it loses.
        let gain = |o: &Outline| match self.mode {
            Mode::Normal => o.printed(periods) - o.printed(0.0),
            Mode::Inverted => o.printed(0.0) - o.printed(-periods),
        };
        // The tone and its gain, so that no growth has no gain to the last bit.
        Ok(self.tones.iter().zip(&self.outlines).map(|(&tone, o)| (tone + gain(o)).clamp(0.0, 1.0)).collect())
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

#[cfg(test)]
mod tests {
    use super::*;
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
    fn an_inverted_dot_gains_what_its_ground_loses() {
        // Euclidean is its own complement; a round dot's holes are stars, with more edge than discs of their area.
        let tones = [0.1, 0.3, 0.5, 0.8];
        for (dot, own) in [(Dot::Euclidean, true), (Dot::Round, false)] {
            let normal = Outlined::new(&dot, lines(55.0), &tones).unwrap();
            let inverted = Outlined::inverted(&dot, lines(55.0), &tones).unwrap();
            let [a, b] = [&normal, &inverted].map(|o| o.printed(um(25.4)).unwrap());
            let alike = a.iter().zip(&b).all(|(a, b)| (a - b).abs() < 1e-3);
            assert_eq!(alike, own, "{dot:?} {a:?} {b:?}");
            assert!(own || inverted.perimeter()[0] > 1.1 * normal.perimeter()[0]);
        }
    }
}
