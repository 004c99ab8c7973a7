//! Curves: monotone maps of coverage to coverage, 0 to 0.
//!
//! A curve through points is the monotone piecewise cubic of F. N. Fritsch and R. E. Carlson, "Monotone piecewise cubic
//! interpolation", SIAM J. Numer. Anal. 17 (1980) 238–246: Hermite pieces whose slopes α, β, in units of the piece's own
//! rise per run, are drawn back into the circle α² + β² ≤ 9, where a cubic cannot turn. Rejected: natural cubic splines,
//! which overshoot beside a step, so that a darker tone would print lighter; and straight pieces, whose corners show as
//! bands in a soft gradient.
//!
//! Evaluation uses + − × ÷ √ alone, so that a curve has the same bits on every processor. A screen takes a curve as a
//! [table](Curve::table) of Q32 numbers (coverage × 2³², rounded to nearest), one per tone of its sample type.

use std::sync::Arc;

use crate::error::{Error, Result};
use crate::plate::Tone;

/// Coverage 1 in the Q32 numbers of a [table](Curve::table).
pub const Q32_SOLID: u64 = 1 << 32;

/// Evaluations that an inverse takes at most.
#[cfg(feature = "capi")]
const HALVINGS: u64 = 48;

/// Most points a curve may have.
const MAX_POINTS: usize = 65_536;

/// A monotone map of coverage to coverage with c(0) = 0. Cheap to clone.
#[derive(Debug, Clone)]
pub struct Curve(Arc<Form>);

#[derive(Debug)]
enum Form {
    Pieces(Pieces),
    Inverse(Curve),
    Chain(Curve, Curve),
}

impl Curve {
    /// The curve through `points` of (coverage in, coverage out), both 0…1.
    ///
    /// Inputs must rise from point to point, outputs must not fall. The first point may be left out if it is (0, 0); the
    /// last must be at input 1, where the output may be below 1 (a solid that is held back).
    ///
    /// Cost: a table of 65 536 takes about a millisecond.
    pub fn through(points: &[(f64, f64)]) -> Result<Self> {
        Pieces::through(points).map(|pieces| Self(Arc::new(Form::Pieces(pieces))))
    }

    /// The map that changes nothing.
    pub fn identity() -> Self {
        Self(Arc::new(Form::Pieces(Pieces { x: vec![0.0, 1.0], y: vec![0.0, 1.0], slope: vec![1.0, 1.0] })))
    }

    /// The output for a coverage of 0…1; values outside (and NaN, as 0) are brought into that range first.
    pub fn eval(&self, coverage: f64) -> f64 {
        let x = if coverage.is_nan() { 0.0 } else { coverage.clamp(0.0, 1.0) };
        match &*self.0 {
            Form::Pieces(pieces) => pieces.eval(x),
            Form::Inverse(curve) => curve.least_input(x),
            Form::Chain(first, then) => then.eval(first.eval(x)),
        }
    }

    /// The generalised inverse: the least input whose output reaches the given coverage, and 1 where none does.
    ///
    /// Where this curve is flat the inverse jumps; where this curve jumps the inverse is flat.
    #[must_use]
    pub fn inverse(&self) -> Self {
        match &*self.0 {
            Form::Inverse(curve) => curve.clone(),
            _ => Self(Arc::new(Form::Inverse(self.clone()))),
        }
    }

    /// This curve, then another: `x → next(self(x))`.
    #[must_use]
    pub fn then(&self, next: &Self) -> Self {
        Self(Arc::new(Form::Chain(self.clone(), next.clone())))
    }

    /// Curves within curves, and evaluations of pieces that one evaluation takes at most. Visits as many curves as it counts.
    #[cfg(feature = "capi")]
    pub(crate) fn depth_and_cost(&self) -> (u64, u64) {
        match &*self.0 {
            Form::Pieces(_) => (1, 1),
            Form::Inverse(curve) => {
                let (depth, cost) = curve.depth_and_cost();
                (depth + 1, cost.saturating_mul(HALVINGS))
            }
            Form::Chain(first, then) => {
                let ((d1, c1), (d2, c2)) = (first.depth_and_cost(), then.depth_and_cost());
                (d1.max(d2) + 1, c1.saturating_add(c2))
            }
        }
    }

    /// The output of every tone of a sample type (256 or 65 536 entries), in Q32: coverage × 2³² to nearest. Entry 0 is 0
    /// and no entry is below the one before.
    pub fn table<T: Tone>(&self) -> Vec<u64> {
        let solid = f64::from(T::SOLID);
        let mut highest = 0;
        (0..=T::SOLID)
            .map(|level| {
                let exact = self.eval(f64::from(level) / solid) * Q32_SOLID as f64;
                // The pieces are monotone but for rounding in the last place: that must not show.
                highest = highest.max((exact + 0.5) as u64).min(Q32_SOLID);
                if level == 0 { 0 } else { highest }
            })
            .collect()
    }

    /// inf { x : c(x) ≥ y }, by halving: the curve itself may have jumps and flats.
    fn least_input(&self, y: f64) -> f64 {
        if y <= 0.0 {
            return 0.0;
        }
        if self.eval(1.0) < y {
            return 1.0;
        }
        let (mut below, mut reached) = match &*self.0 {
            Form::Pieces(pieces) => pieces.bracket(y),
            _ => (0.0, 1.0),
        };
        // 2⁻⁴⁴ of the whole range is far below the step of a Q32 table.
        while reached - below > 5e-14 {
            let middle = 0.5 * (below + reached);
            if self.eval(middle) < y {
                below = middle;
            } else {
                reached = middle;
            }
        }
        reached
    }
}

/// Hermite pieces between the points (x, y) with the given slopes.
#[derive(Debug)]
struct Pieces {
    x: Vec<f64>,
    y: Vec<f64>,
    slope: Vec<f64>,
}

impl Pieces {
    fn through(points: &[(f64, f64)]) -> Result<Self> {
        let bad = |got: String, allowed: &str| Error::value("curve points", got, allowed);
        if points.is_empty() || points.len() > MAX_POINTS {
            return Err(bad(format!("{} points", points.len()), "1 to 65536 points"));
        }
        for &(x, y) in points {
            if !(0.0..=1.0).contains(&x) || !(0.0..=1.0).contains(&y) {
                return Err(bad(format!("({x}, {y})"), "coverages of 0 to 1"));
            }
        }
        let mut points = points.to_vec();
        if points[0].0 > 0.0 {
            points.insert(0, (0.0, 0.0));
        }
        if points[0] != (0.0, 0.0) {
            return Err(bad(format!("{:?}", points[0]), "(0, 0) as the point at input 0"));
        }
        for pair in points.windows(2) {
            let secant = (pair[1].1 - pair[0].1) / (pair[1].0 - pair[0].0);
            if pair[1].0 <= pair[0].0 || pair[1].1 < pair[0].1 || !secant.is_finite() {
                return Err(bad(
                    format!("{:?} after {:?}", pair[1], pair[0]),
                    "inputs that rise and outputs that do not fall",
                ));
            }
        }
        let last = points[points.len() - 1];
        if last.0 != 1.0 {
            return Err(bad(format!("{last:?} as the last"), "a last point at input 1"));
        }
        let (x, y): (Vec<_>, Vec<_>) = points.into_iter().unzip();
        let slope = slopes(&x, &y);
        Ok(Self { x, y, slope })
    }

    fn eval(&self, x: f64) -> f64 {
        // The piece whose right end is the first point past x.
        let right = self.x.partition_point(|&p| p <= x).clamp(1, self.x.len() - 1);
        let left = right - 1;
        let width = self.x[right] - self.x[left];
        let t = (x - self.x[left]) / width;
        let (y0, y1) = (self.y[left], self.y[right]);
        let (d0, d1) = (self.slope[left] * width, self.slope[right] * width);
        let rise = y1 - y0;
        // Hermite's cubic in powers of t.
        let c2 = 3.0 * rise - 2.0 * d0 - d1;
        let c3 = d0 + d1 - 2.0 * rise;
        (y0 + t * (d0 + t * (c2 + t * c3))).max(y0).min(y1)
    }

    /// Inputs between which the output first reaches `y`: those of two neighbouring points, or of the one point whose
    /// output it is, since a rising piece reaches its end nowhere sooner, though its rounded values may.
    fn bracket(&self, y: f64) -> (f64, f64) {
        let right = self.y.partition_point(|&p| p < y).clamp(1, self.y.len() - 1);
        let left = if self.y[right] == y { right } else { right - 1 };
        (self.x[left], self.x[right])
    }
}

/// Slopes at the points: three-point estimates, drawn back until every piece is monotone (Fritsch and Carlson, section 4).
fn slopes(x: &[f64], y: &[f64]) -> Vec<f64> {
    let pieces = x.len() - 1;
    let width: Vec<f64> = x.windows(2).map(|p| p[1] - p[0]).collect();
    let secant: Vec<f64> = (0..pieces).map(|i| (y[i + 1] - y[i]) / width[i]).collect();
    if pieces == 1 {
        return vec![secant[0]; 2];
    }
    // The slope at a point of the parabola through it and its two neighbours.
    let parabola = |h0: f64, h1: f64, s0: f64, s1: f64| (h1 * s0 + h0 * s1) / (h0 + h1);
    let mut slope = vec![0.0; x.len()];
    for i in 1..pieces {
        slope[i] = parabola(width[i - 1], width[i], secant[i - 1], secant[i]);
    }
    slope[0] = (2.0 * secant[0] - slope[1]).max(0.0);
    slope[pieces] = (2.0 * secant[pieces - 1] - slope[pieces - 1]).max(0.0);
    for i in 0..pieces {
        if secant[i] == 0.0 {
            slope[i] = 0.0;
            slope[i + 1] = 0.0;
            continue;
        }
        let (alpha, beta) = (slope[i] / secant[i], slope[i + 1] / secant[i]);
        let square = alpha * alpha + beta * beta;
        if square > 9.0 {
            let tau = 3.0 / square.sqrt();
            slope[i] = tau * alpha * secant[i];
            slope[i + 1] = tau * beta * secant[i];
        }
    }
    slope
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    /// Points with rising inputs and outputs that do not fall, from (0, 0) to input 1.
    fn points() -> impl Strategy<Value = Vec<(f64, f64)>> {
        let steps = prop::collection::vec((1u32..100, 0u32..100), 1..12);
        (steps, 1u32..50).prop_map(|(steps, held)| {
            let sum = |f: fn(&(u32, u32)) -> u32| steps.iter().map(f).sum::<u32>() as f64;
            let (run, rise) = (sum(|s| s.0), sum(|s| s.1) + f64::from(held));
            let (mut x, mut y) = (0, 0);
            let mut points = vec![(0.0, 0.0)];
            for (dx, dy) in &steps {
                x += dx;
                y += dy;
                points.push((f64::from(x) / run, f64::from(y) / rise));
            }
            points
        })
    }

    proptest! {
        #[test]
        fn a_curve_meets_its_points_and_never_falls(points in points()) {
            let curve = Curve::through(&points).unwrap();
            for &(x, y) in &points {
                prop_assert!((curve.eval(x) - y).abs() < 1e-12);
            }
            let mut last = 0.0;
            for i in 0..=4000 {
                let y = curve.eval(f64::from(i) / 4000.0);
                prop_assert!(y >= last - 1e-15, "{} after {}", y, last);
                last = y;
            }
        }

        #[test]
        fn the_inverse_is_the_least_input_that_reaches(points in points(), y in 0.0..1.0) {
            let curve = Curve::through(&points).unwrap();
            let x = curve.inverse().eval(y);
            if curve.eval(1.0) < y {
                prop_assert_eq!(x, 1.0);
            } else {
                prop_assert!(curve.eval(x) >= y);
                prop_assert!(x < 1e-12 || curve.eval(x - 1e-12) < y);
            }
        }

        #[test]
        fn tables_are_monotone_and_start_at_nothing(points in points()) {
            let curve = Curve::through(&points).unwrap();
            for table in [curve.table::<u8>(), curve.table::<u16>(), curve.inverse().table::<u8>()] {
                prop_assert_eq!(table[0], 0);
                prop_assert!(table.is_sorted());
            }
            let table = curve.table::<u8>();
            let at_100 = curve.eval(100.0 / 255.0);
            prop_assert!((table[100] as f64 / Q32_SOLID as f64 - at_100).abs() < 2.4e-10);
        }
    }

    #[test]
    fn the_published_example_needs_and_gets_flatter_slopes() {
        // Fritsch and Carlson 1980, data set RPN 14 of Table 1 (from memory): flat, a sharp rise, flat again.
        let x = [7.99, 8.09, 8.19, 8.7, 9.2, 10.0, 12.0, 15.0, 20.0];
        let y = [0.0, 2.76429e-5, 4.37498e-2, 0.169183, 0.469428, 0.943740, 0.998636, 0.999919, 0.999994];
        let squares: Vec<f64> = slopes(&x, &y)
            .windows(2)
            .zip(x.windows(2).zip(y.windows(2)))
            .map(|(d, (x, y))| {
                let secant = (y[1] - y[0]) / (x[1] - x[0]);
                (d[0] * d[0] + d[1] * d[1]) / (secant * secant)
            })
            .collect();
        assert!(squares.iter().all(|&s| s <= 9.0 + 1e-9), "{squares:?}");
        assert!(squares.iter().filter(|&&s| s > 8.9).count() >= 2, "{squares:?}");
    }

    #[test]
    fn a_parabola_is_followed_closely() {
        // Second order: with 21 points the error of a monotone cubic on x² stays below h²/4 by far.
        let points: Vec<_> = (0..=20).map(|i| f64::from(i) / 20.0).map(|x| (x, x * x)).collect();
        let curve = Curve::through(&points).unwrap();
        for i in 0..=1000 {
            let x = f64::from(i) / 1000.0;
            assert_abs_diff_eq!(curve.eval(x), x * x, epsilon = 1.5e-4);
        }
    }

    #[test]
    fn a_flat_curve_has_a_jumping_inverse() {
        let curve = Curve::through(&[(0.2, 0.5), (0.6, 0.5), (1.0, 0.9)]).unwrap();
        let inverse = curve.inverse();
        assert_eq!(inverse.eval(0.5), 0.2);
        assert!(inverse.eval(0.5 + 1e-9) > 0.6);
        assert_eq!(inverse.eval(0.95), 1.0);
    }

    #[test]
    fn points_that_are_no_curve_are_refused() {
        for bad in [
            &[][..],
            &[(0.0, 0.1), (1.0, 1.0)],
            &[(0.5, 0.6), (0.5, 0.7), (1.0, 1.0)],
            &[(0.5, 0.6), (1.0, 0.5)],
            &[(0.5, 0.6)],
            &[(0.5, f64::NAN), (1.0, 1.0)],
            &[(0.5, 0.6), (1.0, 1.2)],
            &[(1e-320, 0.5), (1.0, 1.0)],
        ] {
            assert!(Curve::through(bad).is_err(), "{bad:?}");
        }
    }
}
