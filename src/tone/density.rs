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
//! same form with n = 1.

use crate::error::{Error, Result};

/// Highest density that an instrument states.
const MAX_DENSITY: f64 = 10.0;

/// Largest n; beyond it a = D_tint/D_solid to four digits.
const MAX_N: f64 = 1000.0;

/// Coverage of a tint from the densities of bare ground, solid and tint (0…10 each) and n (1…1000; 1 for Murray–Davies).
///
/// The result is 0 for the ground and 1 for the solid; noise may take it a little beyond either.
///
/// Errors: densities or n out of range; a solid no denser than its ground, as with white ink on black, where reflectance must be
/// used instead.
pub fn coverage(ground: f64, solid: f64, tint: f64, n: f64) -> Result<f64> {
    for (name, density) in [("ground density", ground), ("solid density", solid), ("tint density", tint)] {
        if !(0.0..=MAX_DENSITY).contains(&density) {
            return Err(Error::value(name, density, format!("0 to {MAX_DENSITY}")));
        }
    }
    if !(1.0..=MAX_N).contains(&n) {
        return Err(Error::value("Yule–Nielsen n", n, format!("1 to {MAX_N}")));
    }
    if solid <= ground {
        return Err(Error::value("solid density", solid, format!("above that of the ground, {ground}")));
    }
    let absorbed = |density: f64| 1.0 - libm::pow(10.0, -(density - ground) / n);
    Ok(absorbed(tint) / absorbed(solid))
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
        assert!(coverage(1.5, 0.2, 0.8, 1.0).unwrap_err().to_string().contains("1.5"));
    }
}
