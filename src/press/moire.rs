//! Moiré: the beats between two structures, and the closure of three.
//!
//! Every pair of harmonics of two structures that lie on each other beats at f = k·a + m·b (vectors), with the period 1/|f| and the
//! amplitude 2 |c_a| |c_b| in coverage: half of what it swings (I. Amidror, The Theory of the Moiré Phenomenon, 2nd ed., Springer
//! 2009, 2.3 and 2.12; the coefficients: [`structure`](crate::press::structure)). A beat that never repeats (f = 0) is a
//! *singular state*: steady as laid, and a very long wave as soon as anything moves. It is told as a beat without a period, never
//! as none.
//!
//! Which beats matter is a choice, stated in [`Look`]. Rejected: the lowest frequency of all orders, which is always near nothing
//! at some pair of orders that nobody can see.
//!
//! Three screens close when a frequency of each adds up to nothing: f_a + f_b + f_c = 0, as at 15°, 45° and 75° and equal line
//! counts. What is left over beats, however faintly turned: 2 sin(e/2) lines for an angle that is off by e.

use crate::error::{Error, Result};
use crate::press::Structure;
use crate::press::structure::{Harmonic, MAX_ORDER};
use crate::units::Length;

/// Below this many periods per inch a beat never repeats: a millionth of a period over a print of a metre.
const NOTHING: f64 = 2.5e-8;

/// Which beats matter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    pub(super) orders: [u8; 2],
    pub(super) amplitude: f64,
    pub(super) periods: f64,
}

impl Look {
    /// Orders |k₁| + |k₂| up to `orders` (1…8) of the first and the second structure, beats of at least `amplitude` in coverage (0…1) and longer
    /// than `periods` (0…1000) periods of the coarser of both.
    pub fn new(orders: [u8; 2], amplitude: f64, periods: f64) -> Result<Self> {
        if orders.iter().any(|order| !(1..=MAX_ORDER).contains(order)) {
            return Err(Error::value("moiré orders", format!("{orders:?}"), format!("1 to {MAX_ORDER}")));
        }
        if !(0.0..=1.0).contains(&amplitude) {
            return Err(Error::value("moiré amplitude", amplitude, "0 to 1"));
        }
        if !(0.0..=1000.0).contains(&periods) {
            return Err(Error::value("moiré length", periods, "0 to 1000 periods"));
        }
        Ok(Self { orders, amplitude, periods })
    }

    /// For two screens: orders |k₁| + |k₂| up to 5 in each, one percent of coverage, two periods: *common practice*, since equal
    /// screens 30° apart (1.93 periods; higher orders of 0.9 %) are held to be free of moiré and those 22.5° apart (2.56 periods)
    /// are not.
    pub fn screens() -> Self {
        Self { orders: [5; 2], amplitude: 0.01, periods: 2.0 }
    }

    /// For a screen and a mesh: the same with half a percent, since 55 lines at 15° on 230 threads/inch, whose beat of 5 mm has
    /// 0.9 %, are held to be a bad pair (*common practice*).
    pub fn mesh() -> Self {
        Self { amplitude: 0.005, ..Self::screens() }
    }

    /// As the trade looks at these two: [`Look::mesh`] where one of them is woven, else [`Look::screens`].
    pub fn between(a: &Structure, b: &Structure) -> Self {
        if a.is_woven() || b.is_woven() { Self::mesh() } else { Self::screens() }
    }

    /// The frequency below which a beat of structures of these line counts is too long.
    pub(super) fn too_long(&self, a: f64, b: f64) -> f64 {
        if self.periods > 0.0 { a.min(b) / self.periods } else { f64::INFINITY }
    }
}

/// A beat between two harmonics.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beat {
    /// Orders in the first structure and in the second; halves are the weave's.
    pub orders: [[f64; 2]; 2],
    /// Beats per inch.
    pub per_inch: f64,
    /// Direction in which it repeats, degrees counter-clockwise, −90…90.
    pub degrees: f64,
    /// 1/frequency; none for a singular state.
    pub period: Option<Length>,
    /// 2 |c_a| |c_b|, in coverage.
    pub amplitude: f64,
}

impl Beat {
    fn between(a: &Harmonic, b: &Harmonic) -> Self {
        let [x, y] = [0, 1].map(|i| a.frequency[i] + b.frequency[i]);
        let per_inch = libm::hypot(x, y);
        let (x, y) = if x < 0.0 { (-x, -y) } else { (x, y) };
        Self {
            orders: [a.orders, b.orders],
            per_inch,
            degrees: libm::atan2(y, x).to_degrees(),
            period: period(per_inch),
            amplitude: strength(a, b),
        }
    }
}

/// Amplitude of the beat between two harmonics.
pub(super) fn strength(a: &Harmonic, b: &Harmonic) -> f64 {
    2.0 * a.amplitude * b.amplitude
}

fn period(per_inch: f64) -> Option<Length> {
    if per_inch > NOTHING { Length::inches(1.0 / per_inch).ok() } else { None }
}

/// Pairs of harmonics that are seen: strong enough, within the orders, one of each pair of opposite signs.
pub(super) fn pairs<'a>(
    a: &'a Structure,
    b: &'a Structure,
    look: &Look,
) -> impl Iterator<Item = (&'a Harmonic, &'a Harmonic)> {
    let look = *look;
    let half = |h: &&Harmonic| h.orders[0] > 0.0 || (h.orders[0] == 0.0 && h.orders[1] > 0.0);
    a.harmonics().iter().filter(half).filter(move |h| h.order() <= look.orders[0]).flat_map(move |ha| {
        let seen = move |hb: &&Harmonic| hb.order() <= look.orders[1] && strength(ha, hb) >= look.amplitude;
        b.harmonics().iter().filter(seen).map(move |hb| (ha, hb))
    })
}

/// The beats that matter, the longest first.
///
/// Two screens of one lattice stand still on each other: every order then beats without a period. Cost: some ten thousand sums.
pub fn beats(a: &Structure, b: &Structure, look: &Look) -> Vec<Beat> {
    let limit = look.too_long(a.per_inch(), b.per_inch());
    let mut beats: Vec<Beat> =
        pairs(a, b, look).map(|(a, b)| Beat::between(a, b)).filter(|beat| beat.per_inch < limit).collect();
    beats.sort_by(|a, b| a.per_inch.total_cmp(&b.per_inch).then(b.amplitude.total_cmp(&a.amplitude)));
    beats
}

/// The closure of three structures: the first-order frequencies, one of each, that come nearest to adding up to nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Closure {
    /// Orders in each.
    pub orders: [[f64; 2]; 3],
    /// What is left over, per inch.
    pub per_inch: f64,
    /// The period of what is left over; none where they close.
    pub period: Option<Length>,
}

/// How nearly three structures close.
pub fn closure(a: &Structure, b: &Structure, c: &Structure) -> Closure {
    let first = |s: &Structure| -> Vec<Harmonic> {
        let is_first = |h: &&Harmonic| h.orders[0].abs() + h.orders[1].abs() == 1.0 && !h.is_weave();
        s.harmonics().iter().filter(is_first).copied().collect()
    };
    let mut best = Closure { orders: [[0.0; 2]; 3], per_inch: f64::INFINITY, period: None };
    let (second, third) = (first(b), first(c));
    for a in first(a) {
        for b in &second {
            for c in &third {
                let [x, y] = [0, 1].map(|i| a.frequency[i] + b.frequency[i] + c.frequency[i]);
                let per_inch = libm::hypot(x, y);
                if per_inch < best.per_inch {
                    best = Closure {
                        orders: [a.orders, b.orders, c.orders],
                        per_inch,
                        period: period(per_inch),
                    };
                }
            }
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::press::Mesh;
    use crate::units::{Angle, LineCount};
    use approx::{assert_abs_diff_eq, assert_relative_eq};

    fn dots(lines: f64, degrees: f64) -> Structure {
        Structure::dots(LineCount::per_inch(lines).unwrap(), Angle::degrees(degrees).unwrap())
    }

    fn mesh(per_inch: f64) -> Structure {
        Structure::mesh(&Mesh::per_inch(per_inch, Length::um(40.0).unwrap(), Angle::default()).unwrap())
    }

    #[test]
    fn two_gratings_beat_as_published() {
        // f² = f₁² + f₂² − 2 f₁ f₂ cos t: tests/reference/README.md.
        let look = Look::new([1, 1], 0.0, 0.0).unwrap();
        let mut rows = 0;
        for line in include_str!("../../tests/reference/moire_two_gratings.csv").lines().skip(1) {
            let f: Vec<f64> = line.split(',').map(|n| n.parse().unwrap()).collect();
            let lines = |lines, degrees| {
                Structure::lines(LineCount::per_inch(lines).unwrap(), Angle::degrees(degrees).unwrap())
            };
            let beat = beats(&lines(f[0], 20.0), &lines(f[1], 20.0 + f[2]), &look)[0];
            assert_relative_eq!(beat.per_inch, f[3], max_relative = 1e-5);
            assert_abs_diff_eq!(beat.period.unwrap().to_mm(), f[4], epsilon = 1e-5);
            assert_relative_eq!(beat.amplitude, 0.2026, max_relative = 1e-3); // 2/π²
            rows += 1;
        }
        assert_eq!(rows, 10);
    }

    #[test]
    fn mesh_and_screen_beat_as_computed_elsewhere() {
        // Lowest beat of the threads' first order with screen orders |k₁| + |k₂| up to 5, in mm, computed independently: threads/inch,
        // lines/inch, degrees, mm.
        let look = Look::new([5, 1], 0.0, 0.0).unwrap();
        for (threads, lines, degrees, mm) in [
            (230.0, 55.0, 0.0, 2.54),
            (230.0, 55.0, 15.0, 5.06),
            (230.0, 55.0, 22.5, 0.75),
            (230.0, 55.0, 30.0, 0.74),
            (230.0, 55.0, 45.0, 0.48),
            (230.0, 55.0, 61.0, 0.70),
            (230.0, 55.0, 75.0, 5.06),
            (305.0, 55.0, 0.0, 0.85),
            (305.0, 55.0, 15.0, 0.32),
            (305.0, 55.0, 22.5, 0.29),
            (305.0, 55.0, 45.0, 0.22),
            (305.0, 65.0, 0.0, 1.27),
            (305.0, 65.0, 15.0, 0.68),
            (305.0, 65.0, 22.5, 0.45),
            (305.0, 65.0, 30.0, 0.35),
            (230.0, 65.0, 30.0, 1.63),
            (230.0, 65.0, 61.0, 1.30),
        ] {
            let found = beats(&dots(lines, degrees), &mesh(threads), &look);
            let threads_alone = |b: &&Beat| {
                b.orders[1].iter().map(|k| k.abs()).sum::<f64>() == 1.0 && b.orders[1][0].fract() == 0.0
            };
            let lowest = found.iter().find(threads_alone).unwrap();
            assert_abs_diff_eq!(lowest.period.unwrap().to_mm(), mm, epsilon = 0.0051);
        }
    }

    #[test]
    fn the_weave_repeats_every_two_threads() {
        // 55 lines at 45° have |(3, 0)| = 165 along 45°, a weave of 230 threads 162.635 along 45°: 2.365 per inch.
        let found = beats(&dots(55.0, 45.0), &mesh(230.0), &Look::new([5, 1], 0.0, 2.0).unwrap());
        let weave = found.iter().find(|b| b.orders[1][0].fract() != 0.0).unwrap();
        assert_abs_diff_eq!(weave.per_inch, 165.0 - 230.0 / 2f64.sqrt(), epsilon = 1e-9);
    }

    #[test]
    fn the_classic_angles_close_and_a_tenth_of_a_degree_is_told() {
        let at = |degrees| dots(55.0, degrees);
        let exact = closure(&at(15.0), &at(45.0), &at(75.0));
        assert!(exact.per_inch < 1e-9 && exact.period.is_none());
        // 2 sin(e/2) lines: 265, 106, 53 and 26.5 mm at 55 lines.
        for (off, mm) in [(0.1, 265.0), (0.25, 106.0), (0.5, 53.0), (1.0, 26.5)] {
            let near = closure(&at(15.0), &at(45.0 + off), &at(75.0));
            assert_relative_eq!(near.per_inch, 110.0 * (off.to_radians() / 2.0).sin(), max_relative = 1e-9);
            assert_relative_eq!(near.period.unwrap().to_mm(), mm, max_relative = 3e-3);
        }
        // Another line count does not close.
        assert!(closure(&at(15.0), &dots(58.0, 45.0), &at(75.0)).per_inch > 2.9);
    }

    #[test]
    fn two_screens_are_judged_as_the_trade_does() {
        let look = Look::between(&dots(55.0, 15.0), &dots(55.0, 45.0));
        assert_eq!(look, Look::screens());
        assert!(beats(&dots(55.0, 15.0), &dots(55.0, 45.0), &look).is_empty());
        assert!(!beats(&dots(55.0, 15.0), &dots(55.0, 37.5), &look).is_empty());
        for (degrees, bad) in [(0.0, true), (15.0, true), (22.5, false), (30.0, false), (75.0, true)] {
            let (screen, mesh) = (dots(55.0, degrees), mesh(230.0));
            assert_eq!(Look::between(&screen, &mesh), Look::mesh());
            let found = beats(&screen, &mesh, &Look::mesh());
            assert_eq!(!found.is_empty(), bad, "{degrees}: {found:?}");
        }
        let close = beats(&dots(55.0, 15.0), &dots(55.0, 30.0), &look);
        // Equal screens 15° apart: 3.831 periods.
        let first = close.iter().find(|b| b.orders == [[1.0, 0.0], [-1.0, 0.0]]).unwrap();
        assert_relative_eq!(first.period.unwrap().to_mm(), 3.831 * 25.4 / 55.0, max_relative = 1e-4);
        let same = beats(&dots(55.0, 15.0), &dots(55.0, 15.0), &look);
        assert!(same[0].period.is_none());
        let nearly = beats(&dots(55.0, 15.0), &dots(55.0, 15.01), &look);
        assert!(nearly.iter().any(|b| b.period.is_some_and(|p| p.to_mm() > 2000.0)));
        assert!(Look::new([9, 1], 0.1, 1.0).is_err() && Look::new([1, 1], f64::NAN, 1.0).is_err());
    }
}
