//! Densities to coverage: Murray–Davies, and Yule–Nielsen with its n.
//!
//! A. Murray, J. Franklin Inst. 221 (1936) 721–744; J. A. C. Yule and W. J. Nielsen, TAGA Proc. 1951. With D the density above
//! that of the bare ground and n the factor for light that spreads within the ground,
//!
//! ```text
//! a = (1 − 10^(−D_tint/n)) / (1 − 10^(−D_solid/n))
//! ```
//!
//! n = 1 is Murray–Davies: the coverage that absorbs as much light. The transmission densities of a film's own wedge go by the
//! same form with n = 1. In reflectances R = 10^(−D) it is
//!
//! ```text
//! a = (R_ground^(1/n) − R_tint^(1/n)) / (R_ground^(1/n) − R_solid^(1/n))
//! ```
//!
//! which does not ask whether the ink is darker or lighter than its ground, and which with n = 1 is the colorimetric tone value
//! of ISO 12647-1 when R is X, Y or Z. Rejected: turning densities round by hand for white ink on black (1 − a of the negative),
//! which measures the ground's share of the *solid's* light instead.

use crate::error::{Error, Result};

/// Highest density that an instrument states. Zeroed on a dark ground it states lighter ink as negative.
const MAX_DENSITY: f64 = 10.0;

/// Largest n; beyond it a = D_tint/D_solid to four digits.
const MAX_N: f64 = 1000.0;

/// The factor n for light that spreads within the ground: 1…1000. 1, the default, is none (Murray–Davies); an ideal diffuser has 2.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct YuleNielsen(f64);

impl YuleNielsen {
    /// n of 1…1000.
    pub fn new(n: f64) -> Result<Self> {
        if (1.0..=MAX_N).contains(&n) {
            Ok(Self(n))
        } else {
            Err(Error::value("Yule–Nielsen n", n, format!("1 to {MAX_N}")))
        }
    }

    /// n.
    pub fn n(self) -> f64 {
        self.0
    }

    /// R^(1/n), for R of 0 and above.
    pub(crate) fn root(self, reflectance: f64) -> f64 {
        if self.0 == 1.0 { reflectance } else { libm::pow(reflectance, 1.0 / self.0) }
    }
}

impl Default for YuleNielsen {
    fn default() -> Self {
        Self(1.0)
    }
}

/// Coverage of a tint from the densities of ground, solid and tint (−10…10 each) and n (1…1000; 1 for Murray–Davies).
///
/// The ink may be darker or lighter than its ground. The result is 0 for the ground and 1 for the solid; noise may take it a
/// little beyond either.
///
/// Errors: densities or n out of range; a solid as dense as its ground.
pub fn coverage(ground: f64, solid: f64, tint: f64, n: f64) -> Result<f64> {
    for (name, density) in [("ground density", ground), ("solid density", solid), ("tint density", tint)] {
        if !(-MAX_DENSITY..=MAX_DENSITY).contains(&density) {
            return Err(Error::value(name, density, format!("-{MAX_DENSITY} to {MAX_DENSITY}")));
        }
    }
    let n = YuleNielsen::new(n)?.n();
    if solid == ground {
        return Err(Error::value("solid density", solid, format!("other than that of the ground, {ground}")));
    }
    let absorbed = |density: f64| 1.0 - libm::pow(10.0, -(density - ground) / n);
    Ok(absorbed(tint) / absorbed(solid))
}

/// Light of a reflection or transmission density: 10^(−D).
pub(crate) fn light(density: f64) -> f64 {
    libm::pow(10.0, -density)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn worked_numbers_are_met() {
        // Computed from the published formulas: tests/reference/README.md.
        let table = include_str!("../../tests/reference/murray_davies_examples.csv");
        let mut rows = 0;
        for line in table.lines().skip(1) {
            let f: Vec<f64> = line.split(',').map(|field| field.parse().unwrap()).collect();
            let percent = 100.0 * coverage(f[0], f[1], f[2], f[3]).unwrap();
            assert_abs_diff_eq!(percent, f[4], epsilon = 5e-5);
            rows += 1;
        }
        assert!(rows > 30);
        // A hand calculation published on a photographers' mailing list: half coverage at a solid of 3.0 is D = 0.3006.
        assert_abs_diff_eq!(coverage(0.0, 3.0, 0.3006, 1.0).unwrap(), 0.5, epsilon = 1e-4);
        // For a very large n the ratio of the densities.
        assert_abs_diff_eq!(coverage(0.0, 1.4, 0.3, 1000.0).unwrap(), 0.3 / 1.4, epsilon = 5e-4);
    }

    #[test]
    fn readings_that_cannot_be_are_refused() {
        assert!(coverage(0.1, 0.1, 0.1, 1.0).is_err());
        assert!(coverage(0.0, 1.0, f64::NAN, 1.0).is_err());
        assert!(coverage(0.0, 1.0, 0.5, 0.9).is_err());
        assert!(coverage(0.0, 11.0, 0.8, 1.0).unwrap_err().to_string().contains("11"));
    }

    #[test]
    fn white_on_black_is_the_share_of_the_white() {
        // A quarter of white (R = 0.8) and three quarters of black (0.04) reflect 0.23.
        let d = |r: f64| -r.log10();
        assert_abs_diff_eq!(coverage(d(0.04), d(0.8), d(0.23), 1.0).unwrap(), 0.25, epsilon = 1e-12);
        let n = YuleNielsen::new(2.0).unwrap();
        let [ground, solid, tint] = [0.04, 0.8, 0.23].map(|r| n.root(r));
        let by_root = (ground - tint) / (ground - solid);
        assert_abs_diff_eq!(coverage(d(0.04), d(0.8), d(0.23), 2.0).unwrap(), by_root, epsilon = 1e-12);
    }
}
