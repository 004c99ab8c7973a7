//! Register: what a shift makes of plates that mesh.
//!
//! A normal and an inverted screen on one lattice share the cloth without overlap while their tones add up to solid or less. A
//! film that lies wrong by some tenths of a millimetre spoils that: ink falls on ink on one side of each dot, and bare ground
//! shows on the other. Both are counted on the films themselves: flat tints screened over a square of 40 cells a side, one film
//! laid against the other at whole pixels around the shift. Pixels are squares, so the overlap at a shift between pixels is
//! exactly the bilinear mean of the four around it. Rejected: perimeter × shift / π, which fails once the shift is not small
//! beside the gap between dots (0.1 mm is a fifth of a cell of 55 lines).

use ndarray::Array2;

use crate::error::{Error, Result};
use crate::film::Rect;
use crate::screen::{Mode, Placed, Screen};
use crate::units::Length;

/// Cells a side of the piece that is screened.
const CELLS: f64 = 40.0;

/// Longest side of that piece, in pixels; longer only where it must hold the shift twice.
const MAX_SIDE: f64 = 2048.0;

/// Longest shift, in pixels.
const MAX_SHIFT: f64 = 512.0;

/// Directions in which the film is shifted.
const DIRECTIONS: u32 = 8;

/// What a shift makes of one pair of tints. All in parts of 1 of the area.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slip {
    /// Tint of the normal plate and of the inverted one, as screened.
    pub tints: [f64; 2],
    /// How far the inverted film is shifted.
    pub shift: Length,
    /// Ink on ink, the mean over eight directions.
    pub overlap: f64,
    /// Ink on ink, in the worst direction.
    pub worst_overlap: f64,
    /// Bare ground that the plates would have covered in register, the mean over eight directions.
    pub gap: f64,
    /// The same in the worst direction.
    pub worst_gap: f64,
}

/// Overlap and gap for each pair of tints (0…1: of the normal plate and of the inverted one) and each shift.
///
/// Overlap is counted whole; gap is bare ground beyond what is bare in register. While tints add up to no more than solid both are
/// equal: what falls on ink is missing elsewhere.
///
/// Errors: screens that are not a normal and an inverted one of one lattice (made by [`Screen::again`]); tints out of range; a
/// shift of more than 512 pixels.
///
/// Cost: about a millisecond a pair of tints and direction.
pub fn slips(normal: &Screen, inverted: &Screen, tints: &[[f64; 2]], shifts: &[Length]) -> Result<Vec<Slip>> {
    let lattice = match (normal.lattice(), inverted.lattice()) {
        (Some(a), Some(b))
            if a == b && (normal.mode(), inverted.mode()) == (Mode::Normal, Mode::Inverted) =>
        {
            a
        }
        _ => {
            return Err(Error::value(
                "screens of plates that mesh",
                "two others",
                "a normal and an inverted screen of one lattice",
            ));
        }
    };
    let resolution = lattice.resolution();
    let cell = [resolution.x(), resolution.y()].map(|r| r / lattice.lines_per_inch());
    let mut found = Vec::new();
    for &[a, b] in tints {
        if ![a, b].iter().all(|tint| (0.0..=1.0).contains(tint)) {
            return Err(Error::value("tints of plates that mesh", format!("{a} and {b}"), "0 to 1"));
        }
        for &shift in shifts {
            let (x, y) = shift.in_pixels(resolution);
            let longest = x.abs().max(y.abs());
            if longest > MAX_SHIFT {
                return Err(Error::value("shift of a film", shift, format!("{MAX_SHIFT} pixels at most")));
            }
            let margin = longest.ceil() as usize + 1;
            let side = |cell: f64| ((CELLS * cell).clamp(64.0, MAX_SIDE) as usize).max(2 * margin);
            let [width, height] = cell.map(side);
            // Rounded down, so that tints that add up to solid still do.
            let flat = |tint: f64, extra: usize| {
                Array2::from_elem((height + extra, width + extra), (tint * 65_535.0) as u16)
            };
            let fixed = normal.film(flat(a, 0).view())?;
            let corner = -(margin as i64);
            let moving = inverted.film(Placed::new(flat(b, 2 * margin).view()).at(corner, corner))?;
            let overlap_at = |dx: i64, dy: i64| -> Result<f64> {
                // The film shifted by (dx, dy) shows at (x, y) what lay at (x − dx, y − dy).
                let from = |d: i64| (margin as i64 - d) as usize;
                let piece = moving.view().crop(Rect { x: from(dx), y: from(dy), width, height })?;
                Ok(fixed.and(&piece)?.coverage())
            };
            let in_register = overlap_at(0, 0)?;
            let mut slip =
                Slip { tints: [a, b], shift, overlap: 0.0, worst_overlap: 0.0, gap: 0.0, worst_gap: 0.0 };
            for direction in 0..DIRECTIONS {
                let turn = std::f64::consts::TAU * f64::from(direction) / f64::from(DIRECTIONS);
                let (sin, cos) = libm::sincos(turn);
                let overlap = between(x * cos, y * sin, overlap_at)?;
                let gap = (overlap - in_register).max(0.0);
                slip.overlap += overlap / f64::from(DIRECTIONS);
                slip.gap += gap / f64::from(DIRECTIONS);
                slip.worst_overlap = slip.worst_overlap.max(overlap);
                slip.worst_gap = slip.worst_gap.max(gap);
            }
            found.push(slip);
        }
    }
    Ok(found)
}

/// The bilinear mean of a function of whole pixels.
fn between(x: f64, y: f64, f: impl Fn(i64, i64) -> Result<f64>) -> Result<f64> {
    let (left, top) = (libm::floor(x), libm::floor(y));
    let (right, down) = (x - left, y - top);
    let mut sum = 0.0;
    for (dx, weight_x) in [(0, 1.0 - right), (1, right)] {
        for (dy, weight_y) in [(0, 1.0 - down), (1, down)] {
            let weight = weight_x * weight_y;
            if weight > 0.0 {
                sum += weight * f(left as i64 + dx, top as i64 + dy)?;
            }
        }
    }
    Ok(sum)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::screen::Dot;
    use crate::units::{Angle, LineCount, Resolution};

    fn pair(resolution: f64, lines: f64, degrees: f64, dot: Dot) -> [Screen; 2] {
        let resolution = Resolution::per_inch(resolution).unwrap();
        let (lines, angle) = (LineCount::per_inch(lines).unwrap(), Angle::degrees(degrees).unwrap());
        let normal = Screen::cells(resolution, lines, angle, dot).build().unwrap();
        let inverted = normal.again(Mode::Inverted, None).unwrap();
        [normal, inverted]
    }

    #[test]
    fn lines_slip_by_what_geometry_says() {
        // Lines of period p at 0° shifted by s in direction t overlap by s |sin t| / p on one side of each while that fits: the mean
        // over eight directions is s/p · (1 + √2)/4.
        let [normal, inverted] = pair(2540.0, 50.0, 0.0, Dot::Line);
        let shift = Length::mm(0.1).unwrap();
        let slip = slips(&normal, &inverted, &[[0.5, 0.5]], &[shift]).unwrap()[0];
        let part = 0.1 * 50.0 / 25.4;
        assert!((slip.worst_overlap - part).abs() < 0.004, "{slip:?}");
        assert!((slip.overlap - part * (1.0 + 2f64.sqrt()) / 4.0).abs() < 0.004, "{slip:?}");
        assert!((slip.gap - slip.overlap).abs() < 1e-9);
    }

    #[test]
    fn a_checkerboard_slips_by_its_edges() {
        // Euclidean at one half: squares of side q = p/√2, turned by 45° from the cells. Shifted by s along a side, each loses
        // s/q of itself: overlap s/(2q); here cells at 45°, so that a side lies along x.
        let [normal, inverted] = pair(2540.0, 50.0, 45.0, Dot::Euclidean);
        let shift = Length::mm(0.1).unwrap();
        let slip = slips(&normal, &inverted, &[[0.5, 0.5], [0.3, 0.2]], &[shift, Length::default()]).unwrap();
        let q = 25.4 / 50.0 / 2f64.sqrt();
        // Diagonally: 1/2 − (1/2)((1 − u)² + u²) with u = s/(q √2).
        let u = 0.1 / q / 2f64.sqrt();
        let diagonal = 0.5 - 0.5 * ((1.0 - u).powi(2) + u * u);
        let mean = 0.5 * (0.5 * 0.1 / q + diagonal);
        assert!((slip[0].overlap - mean).abs() < 0.006, "{} {mean}", slip[0].overlap);
        // In register nothing overlaps; light tints have room between them.
        assert_eq!((slip[1].overlap, slip[1].gap), (0.0, 0.0));
        assert!(slip[2].overlap < slip[0].overlap && slip[2].overlap > 0.0);
    }

    #[test]
    fn a_shift_between_pixels_is_between_them() {
        let [normal, inverted] = pair(600.0, 55.0, 22.5, Dot::Euclidean);
        let shifts = [2.0, 2.5, 3.0].map(|px| Length::inches(px / 600.0).unwrap());
        let slip = slips(&normal, &inverted, &[[0.5, 0.5]], &shifts).unwrap();
        assert!(slip.windows(2).all(|s| s[0].overlap < s[1].overlap), "{slip:?}");
    }

    #[test]
    fn screens_that_do_not_mesh_are_refused() {
        let [normal, inverted] = pair(600.0, 55.0, 22.5, Dot::Euclidean);
        let [other, _] = pair(600.0, 55.0, 45.0, Dot::Euclidean);
        let shift = [Length::mm(0.1).unwrap()];
        assert!(slips(&normal, &other, &[[0.5, 0.5]], &shift).is_err());
        assert!(slips(&inverted, &normal, &[[0.5, 0.5]], &shift).is_err());
        assert!(slips(&normal, &inverted, &[[0.5, 1.5]], &shift).is_err());
        assert!(slips(&normal, &inverted, &[[0.5, 0.5]], &[Length::mm(100.0).unwrap()]).is_err());
    }
}
