//! Gain of one number: the curve of a press of which only the gain at one half is known.
//!
//! With a the coverage on film and G the gain at one half, printed coverage is
//!
//! ```text
//! p(a) = a + 4 G a (1 − a)                                   0 ≤ G ≤ ¼
//! p(a) = 1 − (1 − a)² / (1 + c a),   c = (4G − 1)/(1 − 2G)   ¼ ≤ G ≤ 0.45
//! p(a; −G) = 1 − p(1 − a; G)                                 bare ground gains instead of ink
//! ```
//!
//! The parabola fits the tints of 32 measured ramps (FOGRA28 to 40, TR003, TR005, TR006) to 0.15…1.08 points, root of the mean square (0.49
//! in the mean), with G read at one half and nothing fitted. From G = ¼ on it would exceed solid (by 5.6 points at G = 0.4) and could not
//! be undone. So what the parabola leaves bare, (1 − a)(1 − 4Ga), becomes (1 − a)²/(1 + c a): solid is reached at solid alone, without a
//! slope; the gain at one half is as stated; at G = ¼ both forms are one; and a square root undoes it.
//!
//! Rejected, on the same ramps and on the four of TR002, newsprint of G 0.24…0.26: 2 G √(a (1 − a)) (J. A. S. Viggiano, TAGA 1983), 2.0…4.0 and
//! 2.7…4.2 points, beyond solid for every G; 1 − (1 − a)ᵖ, 0.3…1.5 and 2.7…3.1; odds multiplied by a constant, p/(1 − p) = k a/(1 − a),
//! 0.8…2.4 and 2.0…2.7. Ours has 2.6…3.1 on newsprint: one number is a stopgap until a wedge is measured.

use crate::error::{Error, Result};
use crate::tone::Curve;
use crate::tone::wedge::{Reading, tints};

/// Largest gain, either way: beyond it the first tenth of the tones would print nearly solid.
const MOST: f64 = 0.45;

/// Points of the curve: it is followed to 2e-5 of coverage at the largest gain, to rounding while it is a parabola.
const POINTS: u32 = 256;

/// A press of one number. Guarantee: −0.45…0.45.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gain(f64);

/// A gain fitted to readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    /// The gain of the least sum of squares.
    pub gain: Gain,
    /// Root of the mean square residual.
    pub rms: f64,
    /// Largest residual, without its sign.
    pub worst: f64,
}

impl Gain {
    /// The gain at film coverage ½ in parts of 1: −0.45…0.45. Offset has 0.11…0.26 (measured), garments 0.3…0.4 (*common practice*);
    /// below 0 bare ground gains.
    pub fn at_half(gain: f64) -> Result<Self> {
        if (-MOST..=MOST).contains(&gain) {
            Ok(Self(gain))
        } else {
            Err(Error::value("gain at one half", gain, format!("-{MOST} to {MOST}")))
        }
    }

    /// The gain at one half.
    pub fn to_half(self) -> f64 {
        self.0
    }

    /// The gain that fits readings best, by least squares; ground and solid say nothing.
    ///
    /// Errors: readings out of range (as [`press_curve`](crate::tone::wedge::press_curve)) or none of a tint.
    pub fn fit(readings: &[Reading]) -> Result<Fit> {
        let tints = tints(readings)?;
        let square = |gain: f64| -> f64 {
            let left = |r: &Reading| r.printed - Self(gain).print(r.film);
            tints.iter().map(|r| left(r) * left(r)).sum()
        };
        // Printed coverage rises with the gain at every tone: a look around, then halving the stretch about the least.
        let steps = 90;
        let at = |i: i32| MOST * f64::from(2 * i - steps) / f64::from(steps);
        let least = (0..=steps).min_by(|&a, &b| square(at(a)).total_cmp(&square(at(b)))).unwrap_or(0);
        let (mut middle, mut step) = (at(least), at(1) - at(0));
        while step > 1e-9 {
            step *= 0.5;
            let near = [middle - step, middle, middle + step].map(|g| g.clamp(-MOST, MOST));
            middle = near.into_iter().min_by(|&a, &b| square(a).total_cmp(&square(b))).unwrap_or(middle);
        }
        let gain = Self(middle);
        let worst = tints.iter().map(|r| (r.printed - gain.print(r.film)).abs()).fold(0.0, f64::max);
        Ok(Fit { gain, rms: (square(middle) / tints.len() as f64).sqrt(), worst })
    }

    /// Printed coverage of a film coverage, which is brought into 0…1 first.
    pub fn print(self, film: f64) -> f64 {
        let a = film.clamp(0.0, 1.0);
        if self.0 < 0.0 {
            return 1.0 - Self(-self.0).print(1.0 - a);
        }
        match self.saturation() {
            None => a + 4.0 * self.0 * a * (1.0 - a),
            Some(c) => 1.0 - (1.0 - a) * (1.0 - a) / (1.0 + c * a),
        }
    }

    /// The film coverage that prints a coverage, which is brought into 0…1 first.
    pub fn film(self, printed: f64) -> f64 {
        let p = printed.clamp(0.0, 1.0);
        if self.0 < 0.0 {
            return 1.0 - Self(-self.0).film(1.0 - p);
        }
        // k a² − (1 + …) a + p = 0, by the root's form that loses no digits where k is small.
        let (square, linear) = match self.saturation() {
            None => (4.0 * self.0, 1.0 + 4.0 * self.0),
            Some(c) => (1.0, 2.0 + c * (1.0 - p)),
        };
        let root = (linear * linear - 4.0 * square * p).max(0.0).sqrt();
        (2.0 * p / (linear + root)).min(1.0)
    }

    /// Film coverage → printed coverage.
    pub fn curve(self) -> Curve {
        let points: Vec<(f64, f64)> =
            (0..=POINTS).map(|i| f64::from(i) / f64::from(POINTS)).map(|a| (a, self.print(a))).collect();
        Curve::through(&points).expect("rises from nothing to solid")
    }

    /// c, where the parabola would fall before solid.
    fn saturation(self) -> Option<f64> {
        (self.0 > 0.25).then(|| (4.0 * self.0 - 1.0) / (1.0 - 2.0 * self.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn any_gain_rises_ends_and_is_undone(gain in -MOST..=MOST, a in 0.0..=1.0f64) {
            let gain = Gain::at_half(gain).unwrap();
            let p = gain.print(a);
            prop_assert!((0.0..=1.0).contains(&p));
            prop_assert!(gain.print((a + 1e-4).min(1.0)) >= p);
            prop_assert!((gain.print(0.5) - 0.5 - gain.to_half()).abs() < 1e-12);
            prop_assert_eq!((gain.print(0.0), gain.print(1.0)), (0.0, 1.0));
            // Where the curve is flat a rounding of the print moves the film.
            prop_assert!((gain.print(gain.film(p)) - p).abs() < 1e-12);
            prop_assert!((gain.film(p) - a).abs() < 2e-7);
            let curve = gain.curve();
            prop_assert!((curve.eval(a) - p).abs() < 2e-5, "{} {}", curve.eval(a), p);
            prop_assert!((curve.inverse().eval(p) - a).abs() < 5e-3);
        }
    }

    #[test]
    fn the_forms_meet_at_a_quarter_and_small_gains_are_parabolas() {
        for i in 0..=100 {
            let a = f64::from(i) / 100.0;
            let [below, above] = [0.25, 0.25 + 1e-9].map(|g| Gain::at_half(g).unwrap().print(a));
            assert_abs_diff_eq!(below, above, epsilon = 1e-7);
            assert_abs_diff_eq!(
                Gain::at_half(0.1).unwrap().curve().eval(a),
                a + 0.4 * a * (1.0 - a),
                epsilon = 1e-12
            );
        }
    }

    #[test]
    fn a_parabola_beyond_a_quarter_would_exceed_solid_and_ours_does_not() {
        // Where a + 4Ga(1 − a) first exceeds 1, and its most: 0.30 → 0.833, 1.0083; 0.40 → 0.625, 1.0563 (its vertex, by hand:
        // (1 + 4G)²/16G at (1 + 4G)/8G; it crosses 1 at 1/4G).
        for (gain, from, most) in [(0.30, 0.833, 1.0083), (0.40, 0.625, 1.0563)] {
            let ours = Gain::at_half(gain).unwrap();
            let bare = |a: f64| a + 4.0 * gain * a * (1.0 - a);
            let tones = || (0..=1000).map(|i| f64::from(i) / 1000.0);
            assert_abs_diff_eq!(tones().find(|&a| bare(a) > 1.0 + 1e-12).unwrap(), from, epsilon = 2e-3);
            assert_abs_diff_eq!(tones().map(bare).fold(0.0, f64::max), most, epsilon = 6e-5);
            assert!(tones().take(1000).all(|a| ours.print(a) < 1.0));
            assert!(tones().all(|a| ours.print(a) <= bare(a).max(ours.print(0.5)) || a < 0.5));
        }
    }

    #[test]
    fn a_root_exceeds_solid_at_every_gain() {
        // 2 G √(a (1 − a)): beyond solid from 1/(1 + 4G²) on, by hand; 0.862 at G = 0.20.
        let root = |a: f64| a + 2.0 * 0.2 * (a * (1.0 - a)).sqrt();
        let from = (0..1000).map(|i| f64::from(i) / 1000.0).find(|&a| root(a) > 1.0 + 1e-12).unwrap();
        assert_abs_diff_eq!(from, 1.0 / 1.16, epsilon = 1e-3);
        let ours = Gain::at_half(0.2).unwrap();
        assert!((0..1000).all(|i| ours.print(f64::from(i) / 1000.0) < 1.0));
    }

    #[test]
    fn a_gain_is_found_again() {
        for gain in [-0.3, 0.0, 0.18, 0.25, 0.37] {
            let press = Gain::at_half(gain).unwrap();
            let reading = |i: i32, noise: f64| {
                let film = f64::from(i) / 20.0;
                Reading { film, printed: press.print(film) + noise }
            };
            let clean: Vec<_> = (0..=20).map(|i| reading(i, 0.0)).collect();
            let fit = Gain::fit(&clean).unwrap();
            assert_abs_diff_eq!(fit.gain.to_half(), gain, epsilon = 1e-6);
            assert!(fit.worst < 1e-6);
            let noisy: Vec<_> = (1..20).map(|i| reading(i, 0.01 * f64::from(i % 3 - 1))).collect();
            let fit = Gain::fit(&noisy).unwrap();
            assert_abs_diff_eq!(fit.gain.to_half(), gain, epsilon = 0.005);
            assert_abs_diff_eq!(fit.rms, 0.008, epsilon = 0.002);
        }
    }

    #[test]
    fn gains_that_cannot_be_are_refused() {
        for bad in [0.46, -0.5, f64::NAN, f64::INFINITY] {
            assert!(Gain::at_half(bad).is_err(), "{bad}");
        }
        assert!(Gain::fit(&[]).is_err());
        assert!(Gain::fit(&[Reading { film: 1.0, printed: 1.0 }]).is_err());
        assert!(Gain::fit(&[Reading { film: 0.5, printed: f64::NAN }]).is_err());
    }
}
