//! Readings smoothed as far as their noise allows, and no further.
//!
//! C. H. Reinsch, "Smoothing by spline functions", Numer. Math. 10 (1967) 177–183 (from memory; the tests check the result, not
//! the citation): of all curves whose distance from the readings is what their noise explains, Σ((y − s)/σ)² ≤ S, the one that
//! bends least, ∫ s″². With R and Q the spline's matrices and D = diag(σ²) it is
//!
//! ```text
//! (R + λ QᵀDQ) γ = Qᵀy,   s = y − λ D Q γ,   λ such that Σ((y − s)/σ)² = S
//! ```
//!
//! S is taken at the low end of Reinsch's range, N − √(2N), so that real bends are kept. Rejected: a moving average, which pulls
//! highlights up and shadows down whatever the noise; a fixed λ, which smooths clean readings too.
//!
//! What comes out may still fall where noise is large: it is pooled afterwards, as unsmoothed readings are.

/// A point of known noise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Noisy {
    /// Where: rises from point to point.
    pub x: f64,
    /// What was read.
    pub y: f64,
    /// Its standard error; 0 for a point that must be met.
    pub sigma: f64,
}

/// The smoothed y of every point, as many as there are points.
///
/// `points` must rise in x; otherwise, and with fewer than three points or no noise, the y are returned as they are. Cost: some
/// sixty solutions of a system of band five, microseconds for a wedge.
pub(super) fn smoothed(points: &[Noisy]) -> Vec<f64> {
    let y: Vec<f64> = points.iter().map(|p| p.y).collect();
    let noisy = points.iter().filter(|p| p.sigma > 0.0).count() as f64;
    let sound = points.iter().all(|p| p.x.is_finite() && p.y.is_finite() && p.sigma.is_finite());
    if points.len() < 3 || noisy == 0.0 || !sound || points.windows(2).any(|p| p[1].x <= p[0].x) {
        return y;
    }
    let allowed = (noisy - libm::sqrt(2.0 * noisy)).max(0.0);
    let misfit = |s: &[f64]| -> f64 {
        let part = |(p, s): (&Noisy, &f64)| if p.sigma > 0.0 { (p.y - s) / p.sigma } else { 0.0 };
        points.iter().zip(s).map(part).map(|e| e * e).sum()
    };
    // The misfit rises with λ: halve its exponent. σ² of a wedge is 1e-6…1e-3, bends are of order one.
    let (mut low, mut high) = (-12.0, 16.0);
    let mut best = y;
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        let s = spline(points, libm::pow(10.0, middle));
        if misfit(&s) <= allowed {
            low = middle;
            best = s;
        } else {
            high = middle;
        }
    }
    best
}

/// The smoothing spline at its knots for one λ.
fn spline(points: &[Noisy], lambda: f64) -> Vec<f64> {
    let n = points.len();
    let h: Vec<f64> = points.windows(2).map(|p| p[1].x - p[0].x).collect();
    let q = |j: usize| [1.0 / h[j], -1.0 / h[j] - 1.0 / h[j + 1], 1.0 / h[j + 1]];
    let variance = |i: usize| points[i].sigma * points[i].sigma;
    let inner = n - 2;
    // Upper bands of R + λ QᵀDQ, then γ by LDLᵀ.
    let mut band = vec![[0.0; 3]; inner];
    let mut gamma = vec![0.0; inner];
    for (j, band) in band.iter_mut().enumerate() {
        *band = [(h[j] + h[j + 1]) / 3.0, h[j + 1] / 6.0, 0.0];
        for (k, entry) in band.iter_mut().enumerate().take(inner - j) {
            let shared = (k..3).map(|i| q(j)[i] * variance(j + i) * q(j + k)[i - k]);
            *entry += lambda * shared.sum::<f64>();
        }
        gamma[j] = (0..3).map(|i| q(j)[i] * points[j + i].y).sum();
    }
    for j in 0..inner {
        let [pivot, one, two] = band[j];
        for (k, factor) in [(1, one), (2, two)] {
            if j + k < inner {
                let ratio = factor / pivot;
                band[j + k][0] -= ratio * factor;
                if k == 1 {
                    band[j + 1][1] -= ratio * two;
                }
                gamma[j + k] -= ratio * gamma[j];
            }
        }
    }
    for j in (0..inner).rev() {
        let later = |k: usize| if j + k < inner { band[j][k] * gamma[j + k] } else { 0.0 };
        gamma[j] = (gamma[j] - later(1) - later(2)) / band[j][0];
    }
    let mut s: Vec<f64> = points.iter().map(|p| p.y).collect();
    for (j, gamma) in gamma.iter().enumerate() {
        for (i, q) in q(j).into_iter().enumerate() {
            s[j + i] -= lambda * variance(j + i) * q * gamma;
        }
    }
    s
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 21 points of a gain curve with noise of the given size from a fixed sequence.
    fn ramp(sigma: f64, seed: u64) -> (Vec<Noisy>, Vec<f64>) {
        let mut state = seed;
        let mut noise = || {
            // The sum of twelve uniform numbers less six: mean 0, deviation 1.
            let mut one = || {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                (state >> 11) as f64 / (1u64 << 53) as f64
            };
            (0..12).map(|_| one()).sum::<f64>() - 6.0
        };
        let truth: Vec<f64> =
            (0..=20).map(|i| f64::from(i) / 20.0).map(|a| a + 0.8 * a * (1.0 - a)).collect();
        let points = (0..=20).map(|i| {
            let end = i == 0 || i == 20;
            let sigma = if end { 0.0 } else { sigma };
            Noisy { x: f64::from(i) / 20.0, y: truth[i as usize] + sigma * noise(), sigma }
        });
        (points.collect(), truth)
    }

    #[test]
    fn noise_is_halved_and_ends_are_met() {
        let rms = |s: &[f64], t: &[f64]| {
            (s.iter().zip(t).map(|(s, t)| (s - t).powi(2)).sum::<f64>() / s.len() as f64).sqrt()
        };
        let (mut before, mut after) = (0.0, 0.0);
        for seed in 1..=20 {
            let (points, truth) = ramp(0.01, seed);
            let raw: Vec<f64> = points.iter().map(|p| p.y).collect();
            let s = smoothed(&points);
            assert!((s[0] - 0.0).abs() < 1e-12 && (s[20] - 1.0).abs() < 1e-12);
            before += rms(&raw, &truth);
            after += rms(&s, &truth);
        }
        assert!(after < 0.7 * before, "{after} of {before}");
    }

    #[test]
    fn little_noise_changes_little() {
        let (points, truth) = ramp(1e-5, 3);
        let s = smoothed(&points);
        assert!(s.iter().zip(&truth).all(|(s, t)| (s - t).abs() < 5e-5));
        assert_eq!(smoothed(&ramp(0.0, 3).0), truth);
    }

    #[test]
    fn straight_readings_stay_straight_and_odd_ones_come_back() {
        let line: Vec<_> =
            (0..9).map(|i| Noisy { x: f64::from(i), y: 2.0 * f64::from(i), sigma: 0.1 }).collect();
        assert!(smoothed(&line).iter().zip(&line).all(|(s, p)| (s - p.y).abs() < 1e-6));
        let back = [line[1], line[0], line[2]];
        assert_eq!(smoothed(&back), [2.0, 0.0, 4.0]);
        assert!(smoothed(&[]).is_empty());
    }
}
