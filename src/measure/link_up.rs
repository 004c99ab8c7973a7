//! Link-ups: the tones at which dots first join their neighbours.
//!
//! Dots of one cell are grown on a torus in the order of their shape's values, pixel by pixel, and joined to what touches them. The first
//! join that leads around the torus links dots to chains; the next that leads around it in another direction links the chains. Tones are the coverages at those
//! moments. Corners count as touching: a press makes a bridge of them.
//!
//! The cell is 256 pixels wide, so that a tone is found to within a pixel's row along a dot's edge, 0.01 at the worst. An inverted screen links up in the
//! gaps of the normal one: its dots join where those of the shape's complement do.

use crate::error::{Error, Result, reserve};
use crate::measure::parts::Wrapped;
use crate::screen::{Dot, Mode};

/// Pixels along a side of the cell.
const SIDE: usize = 256;

/// The tones at which dots join.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LinkUps {
    /// First join: dots to chains, or at once all around. 0 for lines, which are joined from the beginning.
    pub first: f64,
    /// Second join: across the chains. 1 for lines.
    pub second: f64,
}

/// Link-up tones (0…1) of a dot, in a mode.
///
/// Errors: a user's dot that returns a value that is not finite. Cost: some 20 ms.
pub fn link_ups(dot: &Dot, mode: Mode) -> Result<LinkUps> {
    let mut order = reserve("the pixels of a cell", SIDE * SIDE)?;
    for i in 0..SIDE * SIDE {
        let place = |i: usize| (2 * i + 1) as f64 / SIDE as f64 - 1.0;
        // y up, as dots have it.
        let value = dot.value(place(i % SIDE), -place(i / SIDE));
        if !value.is_finite() {
            return Err(Error::value("the dot's own function", value, "finite values"));
        }
        order.push((value, i));
    }
    // Ink where the value is highest; inverted from the other end. Equal values come together below.
    order.sort_by(|a, b| match mode {
        Mode::Normal => b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)),
        Mode::Inverted => a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)),
    });
    let mut torus = Wrapped::new(SIDE * SIDE)?;
    let mut ink = vec![false; SIDE * SIDE];
    let mut loops: Vec<[i32; 2]> = Vec::new();
    let (mut first, mut second) = (1.0, 1.0);
    let mut done = 0;
    for alike in order.chunk_by(|a, b| a.0 == b.0) {
        for &(_, i) in alike {
            ink[i] = true;
            done += 1;
            for (dx, dy) in [(1, 0), (-1, 0), (0, 1), (0, -1), (1, 1), (1, -1), (-1, 1), (-1, -1)] {
                let (other, over) = step(i, dx, dy);
                if !ink[other] {
                    continue;
                }
                let Some(turns) = torus.join(i, other, over) else { continue };
                let tone = done as f64 / (SIDE * SIDE) as f64;
                match loops.first() {
                    None => {
                        first = tone;
                        loops.push(turns);
                    }
                    Some(&[a, b]) if loops.len() == 1 && a * turns[1] != b * turns[0] => {
                        second = tone;
                        loops.push(turns);
                    }
                    _ => {}
                }
            }
        }
        if loops.len() == 2 {
            break;
        }
    }
    // Lines are chains with their first row of pixels.
    if first <= 1.5 / SIDE as f64 {
        first = 0.0;
    }
    Ok(LinkUps { first, second })
}

/// The pixel beside another, and the turns around the torus from the one to the other.
fn step(i: usize, dx: i32, dy: i32) -> (usize, [i32; 2]) {
    let side = SIDE as i32;
    let (x, y) = ((i % SIDE) as i32 + dx, (i / SIDE) as i32 + dy);
    let other = x.rem_euclid(side) + side * y.rem_euclid(side);
    (other as usize, [x.div_euclid(side), y.div_euclid(side)])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ISO 32000-2 spot functions and their link-ups (`tests/reference`), and shapes whose link-ups are their definition.
    #[test]
    fn dots_join_where_their_formulas_say() {
        let pi_4 = std::f64::consts::FRAC_PI_4;
        let ellipse = |x: f64, y: f64| {
            let (x, y) = (x.abs(), y.abs());
            let w = 3.0 * x + 4.0 * y - 3.0;
            let z = y / 0.75;
            let far = (1.0 - y) / 0.75;
            if w < 0.0 {
                1.0 - (x * x + z * z) / 4.0
            } else if w > 1.0 {
                ((1.0 - x) * (1.0 - x) + far * far) / 4.0 - 1.0
            } else {
                0.5 - w
            }
        };
        for (dot, first, second) in [
            (Dot::Round, pi_4, pi_4),
            (Dot::Euclidean, 0.5, 0.5),
            (Dot::ellipse(0.4, 0.6).unwrap(), 0.4, 0.6),
            (Dot::ellipse(0.35, 0.75).unwrap(), 0.35, 0.75),
            (Dot::Diamond, 0.425, 0.575),
            (Dot::Line, 0.0, 1.0),
            (Dot::custom(ellipse), 0.375, 0.625),
            (Dot::custom(|x, y| 1.0 - (x * x + 0.9 * y * y)), 0.745, 0.816),
            (Dot::custom(|x, y| 1.0 - (x * x + 0.625 * y * y).sqrt()), 0.6209, 0.8828),
        ] {
            let found = link_ups(&dot, Mode::Normal).unwrap();
            let near = (found.first - first).abs() <= 0.01 && (found.second - second).abs() <= 0.01;
            assert!(near, "{dot:?}: {found:?} for {first}, {second}");
        }
        // In the gaps of round dots grow stars whose points meet at 1 − π/4.
        let inverted = link_ups(&Dot::Round, Mode::Inverted).unwrap();
        assert!((inverted.first - (1.0 - pi_4)).abs() <= 0.01, "{inverted:?}");
        assert!(link_ups(&Dot::custom(|_, _| f64::NAN), Mode::Normal).is_err());
    }
}
