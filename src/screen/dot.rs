//! Dots: how a cell fills as tone rises.
//!
//! A dot is a function f(x, y) on the cell, whose centre is (0, 0) and whose corners are (±1, ±1); x runs along the screen
//! angle and y a quarter turn counter-clockwise from it, as one looks at the film. A place with a higher value takes ink
//! earlier; only the order counts. That is the convention of the spot functions of ISO 32000-2:2020, 10.6.3 and Table 126,
//! where the six shapes below are found under the names given.
//!
//! | dot | f(x, y), with a = ∣x∣, b = ∣y∣ | repeats at | link-up along x, y | own complement |
//! |---|---|---|---|---|
//! | round | 1 − (x² + y²) (ISO SimpleDot) | 90° | π/4, π/4 | no |
//! | euclidean | a + b ≤ 1: 1 − (x² + y²); else (1 − a)² + (1 − b)² − 1 (ISO Round) | 90° | ½, ½ | yes |
//! | ellipse(p, q) | three zones: see [`Dot::ellipse`] (ISO Ellipse is p = ⅜, q = ⅝) | 180° | p, q | if p + q = 1 |
//! | line | −b (ISO Line) | 180° | 0, 1 | yes |
//! | diamond | a + b ≤ 0.75: 1 − (x² + y²); ≤ 1.23: 1 − (0.85 a + b); else (1 − a)² + (1 − b)² − 1 (ISO Diamond) | 180° | 0.425, 0.575 | nearly |
//! | square | −max(a, b) (ISO Square) | 90° | 1, 1 | no |
//!
//! **Inverted twins.** An inverted screen puts its ink where a normal one has its last bare places. A dot that is its own
//! complement (euclidean, line, ellipse with p + q = 1) looks the same inverted, half a cell further on. An inverted *round*
//! dot is the four-cornered star left between circles: thin points that a stencil loses in the highlights and a squeegee
//! fills in the shadows. An inverted *square* is a thin upright cross in the highlights. So a normal and an inverted plate
//! that must mesh want a dot that is its own complement.
//!
//! A line screen is fixed to its angle: its lines run along x.

use std::fmt;
use std::sync::Arc;

use crate::error::{Error, Result};

/// The signature of a user's own dot: (x, y) in −1…1, ink first where the value is highest.
pub type SpotFunction = dyn Fn(f64, f64) -> f64 + Send + Sync;

/// How a cell fills as tone rises. See the [module](self) for the shapes.
#[derive(Clone)]
#[non_exhaustive]
pub enum Dot {
    /// Circles that grow until they meet, at π/4, and beyond.
    Round,
    /// Circles, a checkerboard at one half, then round holes.
    Euclidean,
    /// Ellipses that meet first along x, then along y. Made by [`Dot::ellipse`].
    Ellipse(LinkUps),
    /// Straight lines along x.
    Line,
    /// Rounded dots that meet first along x, then along y, with straight flanks between.
    Diamond,
    /// Upright squares that meet at solid.
    Square,
    /// The user's own function. Made by [`Dot::custom`].
    Custom(Arc<SpotFunction>),
}

/// The two link-up tones of an elliptical dot. Guarantee: 0.2 ≤ first ≤ 0.5 ≤ second ≤ 0.8.
///
/// They fix two outlines in the quarter cell: that of the ink at the first tone, of area p, reaching (1, 0) and (0, β); and
/// that of the hole at the second, of area 1 − q, reaching (0, 1) and (1, 1 − γ). The smaller of the two is a rhombus
/// (m = 1, β = 2p). The larger bulges, so that it stays short of its neighbour: β = 1 − (q − p) and the power m for which
/// the area β m/(m + 1) is p. With p + q = 1 both are rhombi.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LinkUps {
    first: f64,
    second: f64,
}

impl LinkUps {
    /// Coverage at which dots first touch their neighbours along x.
    pub fn first(self) -> f64 {
        self.first
    }

    /// Coverage at which they also touch along y.
    pub fn second(self) -> f64 {
        self.second
    }
}

impl Default for LinkUps {
    /// 0.40 and 0.60.
    fn default() -> Self {
        Self { first: 0.4, second: 0.6 }
    }
}

impl Dot {
    /// An elliptical dot that meets its neighbours along x at tone `first` and along y at tone `second`
    /// (0.2 ≤ first ≤ 0.5 ≤ second ≤ 0.8; with first + second = 1 it is its own complement).
    ///
    /// Ink that has just linked up along x fills b < L(a) = β (1 − aᵐ); bare cloth that is about to part fills
    /// b > U(a) = 1 − γ (1 − (1 − a)ⁿ); see [`LinkUps`] for β, γ, m, n. With t = (b − L) / (U − L):
    ///
    /// * t < 0: f = 1 − min(1, a² + (b/β)²)/4, ellipses that end in the outline L;
    /// * 0 ≤ t ≤ 1: f = ½ − t, flanks that go over from L to U;
    /// * t > 1: f = min(1, (1 − a)² + ((1 − b)/γ)²)/4 − 1, elliptical holes.
    ///
    /// For first = ⅜ and second = ⅝ this is the Ellipse of ISO 32000-2, Table 126; splitting the jump of the midtone
    /// into two smaller ones is *common practice* in garment printing.
    pub fn ellipse(first: f64, second: f64) -> Result<Self> {
        if (0.2..=0.5).contains(&first) && (0.5..=0.8).contains(&second) {
            Ok(Self::Ellipse(LinkUps { first, second }))
        } else {
            Err(Error::value(
                "link-up tones of an elliptical dot",
                format!("{first} and {second}"),
                "0.2 ≤ first ≤ 0.5 ≤ second ≤ 0.8",
            ))
        }
    }

    /// A dot of the user's own. It is called once per threshold while the screen is built, on one thread, must return the
    /// same finite value for the same place, and is not assumed to have any symmetry.
    pub fn custom(f: impl Fn(f64, f64) -> f64 + Send + Sync + 'static) -> Self {
        Self::Custom(Arc::new(f))
    }

    /// f(x, y) for x and y in −1…1. Higher takes ink earlier.
    pub fn value(&self, x: f64, y: f64) -> f64 {
        let (a, b) = (x.abs(), y.abs());
        let circle = |x: f64, y: f64| 1.0 - (x * x + y * y);
        match self {
            Self::Round => circle(x, y),
            Self::Euclidean if a + b <= 1.0 => circle(x, y),
            Self::Euclidean => -circle(1.0 - a, 1.0 - b),
            Self::Ellipse(links) => links.value(a, b),
            Self::Line => -b,
            Self::Diamond if a + b <= 0.75 => circle(x, y),
            Self::Diamond if a + b <= 1.23 => 1.0 - (0.85 * a + b),
            Self::Diamond => -circle(1.0 - a, 1.0 - b),
            Self::Square => -a.max(b),
            Self::Custom(f) => f(x, y),
        }
    }

    /// The angle after which the shape repeats on a square lattice: 90, 180 or 360 degrees.
    pub fn repeats_at(&self) -> f64 {
        match self {
            Self::Round | Self::Euclidean | Self::Square => 90.0,
            Self::Ellipse(_) | Self::Line | Self::Diamond => 180.0,
            Self::Custom(_) => 360.0,
        }
    }

    /// Whether the holes of a tone have the shape of the dots of the opposite tone, so that a normal and an inverted plate
    /// mesh. A user's own function is taken at its word: never.
    pub fn is_own_complement(&self) -> bool {
        match self {
            Self::Euclidean | Self::Line => true,
            Self::Ellipse(links) => (links.first + links.second - 1.0).abs() < 1e-12,
            Self::Round | Self::Diamond | Self::Square | Self::Custom(_) => false,
        }
    }
}

impl LinkUps {
    /// The three zones of [`Dot::ellipse`], for a = |x| and b = |y|.
    fn value(self, a: f64, b: f64) -> f64 {
        let (beta, m) = self.outline(self.first);
        let (gamma, n) = self.outline(1.0 - self.second);
        let over = b - outline_at(beta, m, a);
        let width = 1.0 - outline_at(gamma, n, 1.0 - a) - outline_at(beta, m, a);
        if over < 0.0 {
            let b = b / beta;
            1.0 - (a * a + b * b).min(1.0) * 0.25
        } else if over > width {
            let (a, b) = (1.0 - a, (1.0 - b) / gamma);
            (a * a + b * b).min(1.0) * 0.25 - 1.0
        } else if width > 0.0 {
            0.5 - over / width
        } else {
            0.5
        }
    }

    /// Height and power of an outline of the given area.
    fn outline(self, area: f64) -> (f64, f64) {
        let height = 1.0 - (self.second - self.first);
        // Rounding must not make a power of 1.0000000000000002 out of a rhombus.
        if 2.0 * area <= height + 1e-12 { (2.0 * area, 1.0) } else { (height, area / (height - area)) }
    }
}

/// height · (1 − aᵖ).
fn outline_at(height: f64, power: f64, a: f64) -> f64 {
    let a = if power == 1.0 { a } else { libm::pow(a, power) };
    height * (1.0 - a)
}

impl fmt::Debug for Dot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Round => f.write_str("Round"),
            Self::Euclidean => f.write_str("Euclidean"),
            Self::Ellipse(links) => write!(f, "Ellipse({}, {})", links.first, links.second),
            Self::Line => f.write_str("Line"),
            Self::Diamond => f.write_str("Diamond"),
            Self::Square => f.write_str("Square"),
            Self::Custom(_) => f.write_str("Custom"),
        }
    }
}

impl std::str::FromStr for Dot {
    type Err = Error;

    /// `round`, `euclidean`, `ellipse`, `ellipse:0.4,0.6`, `line`, `diamond`, `square`.
    fn from_str(text: &str) -> Result<Self> {
        let bad = || {
            Error::value(
                "dot",
                text,
                "round, euclidean, ellipse, ellipse:FIRST,SECOND, line, diamond or square",
            )
        };
        Ok(match text.trim() {
            "round" => Self::Round,
            "euclidean" => Self::Euclidean,
            "ellipse" => Self::Ellipse(LinkUps::default()),
            "line" => Self::Line,
            "diamond" => Self::Diamond,
            "square" => Self::Square,
            other => {
                let tones = other.strip_prefix("ellipse:").ok_or_else(bad)?;
                let (first, second) = tones.split_once(',').ok_or_else(bad)?;
                let parse = |s: &str| s.trim().parse::<f64>().map_err(|_| bad());
                Self::ellipse(parse(first)?, parse(second)?)?
            }
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Part of the cell whose value is above `v`, and the first coverage at which it holds the place (x, y), by sampling.
    fn coverage_when_reached(dot: &Dot, x: f64, y: f64) -> f64 {
        let n = 400;
        let reached = dot.value(x, y);
        let at = |i: i32| (2.0 * f64::from(i) + 1.0) / f64::from(n) - 1.0;
        let above = (0..n * n).filter(|i| dot.value(at(i % n), at(i / n)) > reached).count();
        above as f64 / f64::from(n * n)
    }

    #[test]
    fn link_ups_are_those_stated() {
        let quarter_pi = std::f64::consts::FRAC_PI_4;
        for (dot, along_x, along_y) in [
            (Dot::Round, quarter_pi, quarter_pi),
            (Dot::Euclidean, 0.5, 0.5),
            (Dot::ellipse(0.4, 0.6).unwrap(), 0.4, 0.6),
            (Dot::ellipse(0.375, 0.625).unwrap(), 0.375, 0.625),
            (Dot::ellipse(0.3, 0.55).unwrap(), 0.3, 0.55),
            (Dot::ellipse(0.5, 0.7).unwrap(), 0.5, 0.7),
            (Dot::Line, 0.0, 1.0),
            (Dot::Diamond, 0.425, 0.575),
            (Dot::Square, 1.0, 1.0),
        ] {
            let found = coverage_when_reached(&dot, 1.0, 0.0);
            assert!((found - along_x).abs() < 0.004, "{dot:?} along x: {found}");
            let found = coverage_when_reached(&dot, 0.0, 1.0);
            assert!((found - along_y).abs() < 0.004, "{dot:?} along y: {found}");
        }
    }

    #[test]
    fn own_complements_are_odd_about_the_quarter_point() {
        let n = 64;
        for dot in [
            Dot::Euclidean,
            Dot::Line,
            Dot::ellipse(0.4, 0.6).unwrap(),
            Dot::ellipse(0.25, 0.75).unwrap(),
            Dot::Round,
            Dot::Square,
            Dot::Diamond,
        ] {
            // Half a cell further on, f must be its own negative, but for a constant.
            let at = |i: i32| (2.0 * f64::from(i) + 1.0) / f64::from(n) - 1.0;
            let sum = |x: f64, y: f64| dot.value(x, y) + dot.value(1.0 - x.abs(), 1.0 - y.abs());
            let own = (0..n * n).map(|i| (at(i % n), at(i / n))).all(|(x, y)| {
                // On the seam of the euclidean dot the two halves of its definition meet: either may have it.
                x.abs() + y.abs() == 1.0 || (sum(x, y) - sum(0.01, 0.03)).abs() < 1e-9
            });
            assert_eq!(own, dot.is_own_complement(), "{dot:?}");
        }
    }

    #[test]
    fn text_is_read_and_refused() {
        assert!(matches!("round".parse(), Ok(Dot::Round)));
        let Ok(Dot::Ellipse(links)) = "ellipse:0.3,0.7".parse() else { panic!() };
        assert_eq!((links.first(), links.second()), (0.3, 0.7));
        for bad in ["", "Round ", "ellipse:0.3", "ellipse:0.1,0.6", "ellipse:0.4,NaN", "oval"] {
            if bad != "Round " {
                assert!(bad.parse::<Dot>().is_err(), "{bad}");
            }
        }
    }
}
