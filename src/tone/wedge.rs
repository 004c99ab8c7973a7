//! Wedges: strips of patches whose film coverage is known and whose printed coverage was measured.
//!
//! Readings are noisy and a press curve must be monotone. Neighbouring readings that fall are pooled by least squares
//! (the pool-adjacent-violators algorithm: M. Ayer, H. D. Brunk, G. M. Ewing, W. T. Reid, E. Silverman, Ann. Math. Stat. 26
//! (1955) 641–647), and a pool becomes one point at its mean film and mean printed coverage, not a flat run of points: a
//! flat run would make the compensation jump over a range of film tones that the press does tell apart.

use crate::error::{Error, Result};
use crate::tone::Curve;

/// How far below 0 or above 1 a reading may lie and still be taken as noise at the end of the scale, in coverage.
/// Larger errors are refused, since they mean a wrong column or scale.
const NOISE: f64 = 0.05;

/// What a tint that reads as solid is taken to print. Above every tone below solid that a 16-bit plate can hold
/// (1 − 1/65 535), so that only those at the end are moved.
pub(crate) const NEARLY_SOLID: f64 = 1.0 - 1e-6;

/// One patch: coverage on film and coverage as printed, 0…1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Coverage of the patch on the film.
    pub film: f64,
    /// Coverage of the patch as printed, ground = 0 and solid = 1.
    pub printed: f64,
}

/// The curve of a press (or of a film printer): film coverage → printed coverage.
///
/// Repeats of one film coverage are averaged. Bare ground (0, 0) and the solid (1, 1) need not be read: printed coverage is
/// stated in parts of the way from one to the other. At least one reading between them is needed.
pub fn press_curve(readings: &[Reading]) -> Result<Curve> {
    let tints = tints(readings)?;
    monotone(tints.iter().map(|r| Weighted { film: r.film, printed: r.printed, weight: 1.0 }).collect())
}

/// The readings between bare ground and solid. Errors: a reading out of range; none of a tint.
pub(crate) fn tints(readings: &[Reading]) -> Result<Vec<Reading>> {
    for &Reading { film, printed } in readings {
        if !(0.0..=1.0).contains(&film) {
            return Err(Error::value("film coverage of a wedge patch", film, "0 to 1"));
        }
        if !(-NOISE..=1.0 + NOISE).contains(&printed) {
            return Err(Error::value("printed coverage of a wedge patch", printed, "0 to 1"));
        }
    }
    let tints: Vec<Reading> = readings.iter().filter(|r| r.film > 0.0 && r.film < 1.0).copied().collect();
    if tints.is_empty() {
        return Err(Error::value(
            "wedge",
            format!("{} readings, none of a tint", readings.len()),
            "at least one patch between bare ground and solid",
        ));
    }
    Ok(tints)
}

/// A tint's printed coverage and how many readings it stands for.
#[derive(Debug, Clone, Copy)]
pub(super) struct Weighted {
    pub film: f64,
    pub printed: f64,
    pub weight: f64,
}

/// The curve through the monotone points nearest to tints strictly between ground and solid, in any order.
pub(super) fn monotone(mut tints: Vec<Weighted>) -> Result<Curve> {
    tints.sort_by(|a, b| a.film.total_cmp(&b.film));
    let mut points = vec![(0.0, 0.0)];
    // A tint that prints solid must not stand in for the solid: a plate's solid stays one on film.
    points.extend(pooled(&tints).into_iter().map(|(film, printed)| (film, printed.clamp(0.0, NEARLY_SOLID))));
    points.push((1.0, 1.0));
    Curve::through(&points)
}

/// The monotone points nearest to sorted readings.
fn pooled(patches: &[Weighted]) -> Vec<(f64, f64)> {
    struct Pool {
        film: f64,
        printed: f64,
        count: f64,
    }
    let mut pools: Vec<Pool> = Vec::with_capacity(patches.len());
    for patch in patches {
        let mut pool = Pool { film: patch.film, printed: patch.printed, count: patch.weight };
        // Equal film coverages (repeats) are pooled like readings that fall.
        while let Some(last) = pools.last()
            && (last.film == pool.film || last.printed >= pool.printed)
        {
            let last = pools.pop().expect("a last pool");
            let count = last.count + pool.count;
            let mean = |a: f64, b: f64| (a * last.count + b * pool.count) / count;
            pool = Pool {
                film: if last.film == pool.film { pool.film } else { mean(last.film, pool.film) },
                printed: mean(last.printed, pool.printed),
                count,
            };
        }
        pools.push(pool);
    }
    pools.iter().map(|p| (p.film, p.printed)).collect()
}

/// Readings from text: one patch a line, film and printed coverage, separated by a comma, a semicolon, a tab or spaces.
///
/// Empty lines, lines that begin with `#` and one line of headings are passed over. If any film coverage is above 1 the
/// whole table is in percent; otherwise it is in parts of 1.
///
/// `name` stands in the messages, usually the file's.
pub fn read_table(name: &str, text: &str) -> Result<Vec<Reading>> {
    let mut readings = Vec::new();
    let mut heading = false;
    for (number, line) in (1..).zip(text.trim_start_matches('\u{feff}').lines()) {
        let line = line.trim();
        if line.is_empty() || line.starts_with('#') {
            continue;
        }
        let fields: Vec<&str> =
            line.split([',', ';', '\t', ' ']).map(str::trim).filter(|field| !field.is_empty()).collect();
        let numbers: Option<Vec<f64>> = fields.iter().map(|f| f.trim_end_matches('%').parse().ok()).collect();
        match numbers.as_deref() {
            Some(&[film, printed]) if film.is_finite() && printed.is_finite() => {
                readings.push(Reading { film, printed });
            }
            None if readings.is_empty() && !heading => heading = true,
            _ => {
                return Err(Error::data(
                    format!("{name}, line {number}"),
                    format!("\"{line}\" is not a pair of numbers: film coverage, printed coverage"),
                ));
            }
        }
    }
    if readings.iter().any(|r| r.film > 1.0) {
        for reading in &mut readings {
            reading.film /= 100.0;
            reading.printed /= 100.0;
        }
    }
    if readings.is_empty() {
        return Err(Error::data(name, "no readings in it"));
    }
    Ok(readings)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    fn reading(film: f64, printed: f64) -> Reading {
        Reading { film, printed }
    }

    proptest! {
        #[test]
        fn any_noise_gives_a_monotone_curve(noise in prop::collection::vec(-0.2f64..0.2, 1..20)) {
            let step = 1.0 / (noise.len() + 1) as f64;
            let readings: Vec<_> = noise.iter().zip(1..).map(|(n, i)| {
                let film = f64::from(i) * step;
                reading(film, (film + n).clamp(-0.05, 1.05))
            }).collect();
            let curve = press_curve(&readings).unwrap();
            let table = Curve::compensation(&curve, None).table::<u8>();
            prop_assert!(table.is_sorted());
            prop_assert_eq!(table[255], 1 << 32);
        }
    }

    #[test]
    fn clean_readings_are_met_and_undone() {
        // FOGRA39L, black: measured tone value increase 10.23, 16.00, 17.15, 16.60, 11.55 points at 20, 40, 50, 60, 80 %
        // (colorimetric form of ISO 12647-1, computed from the characterisation data in Debian's icc-profiles-free).
        let ramp = [(0.2, 0.3023), (0.4, 0.56), (0.5, 0.6715), (0.6, 0.766), (0.8, 0.9155)];
        let readings: Vec<_> = ramp.iter().map(|&(f, p)| reading(f, p)).collect();
        let press = press_curve(&readings).unwrap();
        let ask = Curve::compensation(&press, None);
        for (film, printed) in ramp {
            assert_abs_diff_eq!(press.eval(film), printed, epsilon = 1e-12);
            assert_abs_diff_eq!(ask.eval(printed), film, epsilon = 1e-12);
        }
    }

    #[test]
    fn repeats_and_falls_are_pooled() {
        let readings = [reading(0.5, 0.6), reading(0.5, 0.7), reading(0.2, 0.4), reading(0.3, 0.3)];
        let curve = press_curve(&readings).unwrap();
        assert_abs_diff_eq!(curve.eval(0.25), 0.35, epsilon = 1e-12);
        assert_abs_diff_eq!(curve.eval(0.5), 0.65, epsilon = 1e-12);
    }

    #[test]
    fn a_filled_in_tint_leaves_the_solid_solid() {
        let press = press_curve(&[reading(0.5, 0.8), reading(0.9, 1.0)]).unwrap();
        let ask = Curve::compensation(&press, None);
        assert_eq!(ask.eval(1.0), 1.0);
        assert!(ask.eval(0.999) < 0.9);
    }

    #[test]
    fn tables_are_read_in_percent_and_in_parts() {
        let percent = read_table("w", "film, print\n# shop A\n25,42\n50;72\n75 91\n\n1\t2.5\n").unwrap();
        assert_eq!(percent[0], reading(0.25, 0.42));
        assert_eq!(percent[3], reading(0.01, 0.025));
        assert_eq!(read_table("w", "50%, 72%\n").unwrap(), [reading(0.5, 0.72)]);
        let parts = read_table("w", "0.5 0.72\n").unwrap();
        assert_eq!(parts, [reading(0.5, 0.72)]);
        for bad in ["", "a,b\nc,d\n", "1,2,3\n", "50\n", "50,NaN\n", "10,20\nfilm,print\n"] {
            let error = read_table("wedge.csv", bad).unwrap_err().to_string();
            assert!(error.contains("wedge.csv"), "{error}");
        }
    }

    #[test]
    fn wedges_that_cannot_be_are_refused() {
        assert!(press_curve(&[]).is_err());
        assert!(press_curve(&[reading(0.0, 0.0), reading(1.0, 1.0)]).is_err());
        assert!(press_curve(&[reading(50.0, 72.0)]).is_err());
        assert!(press_curve(&[reading(0.5, f64::NAN)]).is_err());
    }
}
