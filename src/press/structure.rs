//! A periodic structure: its frequencies, and how strong each can be.
//!
//! A structure of two frequency vectors f₁, f₂ has the harmonics k₁ f₁ + k₂ f₂. Laid on each other, two structures multiply,
//! and each pair of harmonics beats at the sum of their vectors with the product of their amplitudes (I. Amidror, The Theory of
//! the Moiré Phenomenon, 2nd ed., Springer 2009, chapter 2). The amplitude c of a harmonic here is its Fourier coefficient, in
//! parts of full coverage:
//!
//! * dots: a round dot of radius r in a cell of side 1, |c| = r |J₁(2π r ρ)| / ρ with ρ² = k₁² + k₂², at the tint where it is
//!   strongest while dots do not meet (r up to ½), since a plate holds all tints; dark tints are light ones of holes;
//! * lines: |c| = 1/(π k), the strongest of sin(π k a)/(π k);
//! * mesh: openings of share q = w/p each way, c = t(k₁) t(k₂), t(0) = q, t(k) = sin(π k q)/(π k). A thread blocks all ink in this
//!   model; ink flows together under real threads, so it is an upper bound.
//! * weave: plain weave repeats every *two* threads, since crossings alternate. Where the two kinds of crossing differ by a part δ
//!   of the ink they let through, |c| = δ (2 sin(π d/2p)/π)² at orders (±½, ±½). δ is in no table: ¼ is *assumed* here, and higher
//!   half orders are left out.
//!
//! Rejected: coefficients of the plate's own dot at one tint, which are zero at some orders for that tint alone.

use crate::press::Mesh;
use crate::screen::{Dot, Lattice};
use crate::units::{Angle, Length, LineCount};

/// Highest order of a harmonic, |k₁| + |k₂|.
pub const MAX_ORDER: u8 = 8;

/// The part by which the two kinds of crossing of a plain weave are assumed to differ.
const CROSSINGS: f64 = 0.25;

/// One harmonic.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Harmonic {
    /// k₁ and k₂: whole, or ±½ for the weave.
    pub orders: [f64; 2],
    /// The vector in periods per inch, x right and y up.
    pub frequency: [f64; 2],
    /// |c|, 0…1.
    pub amplitude: f64,
}

impl Harmonic {
    /// |k₁| + |k₂|, which is 1 for the weave.
    pub fn order(&self) -> u8 {
        (self.orders[0].abs() + self.orders[1].abs()) as u8
    }

    /// Whether it belongs to the weave's half frequency.
    pub fn is_weave(&self) -> bool {
        self.orders[0].fract() != 0.0
    }
}

/// A screen or a mesh as beats see it.
#[derive(Debug, Clone, PartialEq)]
pub struct Structure {
    lines: f64,
    axes: [[f64; 2]; 2],
    harmonics: Vec<Harmonic>,
}

/// What the structure is made of.
enum Kind {
    Dots,
    Lines,
    Mesh(f64),
}

impl Structure {
    /// A built screen, by its true lattice. A line dot has one frequency, that of its lines.
    pub fn screen(lattice: &Lattice, dot: &Dot) -> Self {
        let vector = |lines: f64, degrees: f64| {
            let (sin, cos) = libm::sincos(degrees.to_radians());
            [lines * cos, lines * sin]
        };
        let axes = [lattice.first_axis(), lattice.second_axis()].map(|axis| vector(axis.lines, axis.degrees));
        match dot {
            Dot::Line => Self::new(Kind::Lines, [axes[1], [0.0; 2]]),
            _ => Self::new(Kind::Dots, axes),
        }
    }

    /// A screen not yet built: dots on a square lattice.
    pub fn dots(lines: LineCount, angle: Angle) -> Self {
        Self::new(Kind::Dots, square(lines.to_per_inch(), angle))
    }

    /// A grating not yet built: lines that run along the angle, so that they repeat a quarter turn from it.
    pub fn lines(lines: LineCount, angle: Angle) -> Self {
        let [_, across] = square(lines.to_per_inch(), angle);
        Self::new(Kind::Lines, [across, [0.0; 2]])
    }

    /// A mesh, its weave included.
    pub fn mesh(mesh: &Mesh) -> Self {
        Self::new(Kind::Mesh(mesh.opening_um() / mesh.pitch_um()), square(mesh.to_per_inch(), mesh.angle()))
    }

    fn new(kind: Kind, axes: [[f64; 2]; 2]) -> Self {
        let length = |v: [f64; 2]| libm::hypot(v[0], v[1]);
        let lines = match kind {
            Kind::Lines => length(axes[0]),
            _ => libm::sqrt(length(axes[0]) * length(axes[1])),
        };
        let mut harmonics = Vec::new();
        let mut add = |k: [f64; 2], amplitude: f64| {
            let frequency = [0, 1].map(|i| k[0] * axes[0][i] + k[1] * axes[1][i]);
            harmonics.push(Harmonic { orders: k, frequency, amplitude });
        };
        let most = i32::from(MAX_ORDER);
        for k1 in -most..=most {
            for k2 in k1.abs() - most..=most - k1.abs() {
                let k = [f64::from(k1), f64::from(k2)];
                match kind {
                    _ if k == [0.0; 2] => {}
                    Kind::Dots => add(k, disc(libm::hypot(k[0], k[1]))),
                    Kind::Lines if k2 == 0 => add(k, 1.0 / (std::f64::consts::PI * k[0].abs())),
                    Kind::Lines => {}
                    Kind::Mesh(open) => add(k, (bar(k[0], open) * bar(k[1], open)).abs()),
                }
            }
        }
        if let Kind::Mesh(open) = kind {
            let knuckle = 2.0 * libm::sin(std::f64::consts::FRAC_PI_2 * (1.0 - open)) / std::f64::consts::PI;
            for k in [[0.5, 0.5], [0.5, -0.5], [-0.5, 0.5], [-0.5, -0.5]] {
                add(k, CROSSINGS * knuckle * knuckle);
            }
        }
        Self { lines, axes, harmonics }
    }

    /// Periods per inch: lines, or threads.
    pub fn per_inch(&self) -> f64 {
        self.lines
    }

    /// One period.
    pub fn period(&self) -> Length {
        LineCount::per_inch(self.lines).map(LineCount::period).unwrap_or_default()
    }

    /// f₁ and f₂ in periods per inch, x right and y up. f₂ is (0, 0) for lines.
    pub fn axes(&self) -> [[f64; 2]; 2] {
        self.axes
    }

    /// Whether it is a mesh, which has a weave.
    pub fn is_woven(&self) -> bool {
        self.harmonics.iter().any(Harmonic::is_weave)
    }

    /// Every harmonic up to order 8, both signs.
    pub fn harmonics(&self) -> &[Harmonic] {
        &self.harmonics
    }
}

/// Two frequencies of equal length, the first along the angle.
fn square(lines: f64, angle: Angle) -> [[f64; 2]; 2] {
    let (cos, sin) = angle.cos_sin();
    [[lines * cos, lines * sin], [-lines * sin, lines * cos]]
}

/// The strongest r |J₁(2π r ρ)| / ρ for 0 < r ≤ ½, by trying 128 radii.
fn disc(rho: f64) -> f64 {
    let at = |i: u32| {
        let r = 0.5 * f64::from(i) / 128.0;
        r * libm::j1(2.0 * std::f64::consts::PI * r * rho).abs() / rho
    };
    (1..=128).map(at).fold(0.0, f64::max)
}

/// The Fourier coefficient of order k of openings that take the part q of each period.
fn bar(k: f64, q: f64) -> f64 {
    if k == 0.0 { q } else { libm::sin(std::f64::consts::PI * k * q) / (std::f64::consts::PI * k) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    /// |Fourier coefficient| of a picture of n × n samples of one period.
    fn coefficient(n: usize, k: [f64; 2], picture: impl Fn(f64, f64) -> f64) -> f64 {
        let (mut re, mut im) = (0.0, 0.0);
        for i in 0..n {
            for j in 0..n {
                let (x, y) = ((i as f64 + 0.5) / n as f64, (j as f64 + 0.5) / n as f64);
                let turn = 2.0 * std::f64::consts::PI * (k[0] * x + k[1] * y);
                re += picture(x, y) * turn.cos();
                im += picture(x, y) * turn.sin();
            }
        }
        re.hypot(im) / (n * n) as f64
    }

    #[test]
    fn amplitudes_are_fourier_coefficients() {
        let mesh = Mesh::per_cm(120.0, Length::um(34.0).unwrap(), Angle::default()).unwrap();
        let open = mesh.opening_um() / mesh.pitch_um();
        let structure = Structure::mesh(&mesh);
        let dots = Structure::dots(LineCount::per_inch(55.0).unwrap(), Angle::default());
        let of = |s: &Structure, k: [f64; 2]| s.harmonics().iter().find(|h| h.orders == k).unwrap().amplitude;
        for k in [[1.0, 0.0], [1.0, 1.0], [2.0, -1.0], [0.0, 3.0]] {
            let inside = |v: f64| f64::from(u8::from(v < open));
            let seen = coefficient(500, k, |x, y| inside(x) * inside(y));
            assert_abs_diff_eq!(of(&structure, k), seen, epsilon = 2e-3);
            // Round dots of every size: the strongest.
            let strongest = (1..=50)
                .map(|r| f64::from(r) / 100.0)
                .map(|r| coefficient(200, k, |x, y| f64::from(u8::from((x - 0.5).hypot(y - 0.5) < r))));
            assert_abs_diff_eq!(of(&dots, k), strongest.fold(0.0, f64::max), epsilon = 2e-3);
        }
        // The weave: crossings of alternating sign, over two threads.
        let crossing = |x: f64, y: f64| {
            let (x, y) = (2.0 * x, 2.0 * y);
            let on = |v: f64| v.fract() >= open;
            let sign = if (x.floor() + y.floor()) % 2.0 == 0.0 { 1.0 } else { -1.0 };
            if on(x) && on(y) { CROSSINGS * sign } else { 0.0 }
        };
        assert_abs_diff_eq!(
            of(&structure, [0.5, 0.5]),
            coefficient(600, [1.0, 1.0], crossing),
            epsilon = 2e-3
        );
    }

    #[test]
    fn frequencies_lie_as_angles_are_counted() {
        let angle = Angle::degrees(30.0).unwrap();
        let dots = Structure::dots(LineCount::per_inch(50.0).unwrap(), angle);
        let first = dots.harmonics().iter().find(|h| h.orders == [1.0, 0.0]).unwrap();
        assert_abs_diff_eq!(first.frequency[0], 43.30127, epsilon = 1e-5);
        assert_abs_diff_eq!(first.frequency[1], 25.0, epsilon = 1e-9);
        assert_eq!(dots.harmonics().len(), 144);
        assert_abs_diff_eq!(dots.period().to_mm(), 0.508, epsilon = 1e-9);
        let lines = Structure::lines(LineCount::per_inch(50.0).unwrap(), angle);
        assert_eq!(lines.harmonics().len(), 16);
        assert_abs_diff_eq!(lines.axes()[0][1], 43.30127, epsilon = 1e-5);
    }
}
