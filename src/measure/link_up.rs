//! Link-ups: the tones at which dots first join their neighbours.
//!
//! Dots of one cell are grown on a torus in the order of their shape's values, pixel by pixel, and joined to what touches them. The first
//! join that leads around the torus links dots to chains; the next that leads around it in another direction links the chains. Tones are the coverages at those
//! moments. Corners count as touching: a press makes a bridge of them.
//!
//! A pixel takes ink as its centre is reached, half a pixel before the dot's edge is at the cell's: a round dot in a cell of 64 pixels links up 0.024
//! too early. So a cell of 128 pixels and one of 256 are grown, and the tones carried on in a straight line over 1/n to a cell of any number of
//! pixels: 0.003 at the worst for the shapes of ISO 32000. An inverted screen links up in the gaps of the normal one: its dots join where those of the
//! shape's complement do.

use crate::error::{Error, Result, filled, reserve};
use crate::measure::parts::Wrapped;
use crate::screen::{Dot, Mode};

/// Pixels along a side of the coarser cell; the finer has twice as many.
const SIDE: usize = 128;

/// The tones at which dots join.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LinkUps {
    /// First join: dots to chains, or at once all around. 0 for lines, which are joined from the beginning.
    pub first: f64,
    /// Second join: across the chains. 1 for lines.
    pub second: f64,
    /// The neighbour that is joined first, in cells along the screen angle and a quarter turn counter-clockwise from it. Where both joins come at one
    /// tone it may be either.
    pub first_towards: [i32; 2],
    /// The neighbour that is joined second.
    pub second_towards: [i32; 2],
}

/// Link-up tones (0…1) of a dot, in a mode.
///
/// Errors: a user's dot that returns a value that is not finite. Cost: some 10 ms.
///
/// ```
/// use dotwright::{Dot, Mode, measure};
///
/// let found = measure::link_ups(&Dot::ellipse(0.4, 0.6)?, Mode::Normal)?;
/// assert!((found.first - 0.4).abs() < 0.005 && found.first_towards == [1, 0]);
/// assert!((found.second - 0.6).abs() < 0.005 && found.second_towards == [0, 1]);
/// # Ok::<(), dotwright::Error>(())
/// ```
pub fn link_ups(dot: &Dot, mode: Mode) -> Result<LinkUps> {
    let (coarse, fine) = (grown(dot, mode, SIDE)?, grown(dot, mode, 2 * SIDE)?);
    let carried_on = |coarse: f64, fine: f64| (2.0 * fine - coarse).clamp(0.0, 1.0);
    Ok(LinkUps {
        first: carried_on(coarse.first, fine.first),
        second: carried_on(coarse.second, fine.second),
        ..fine
    })
}

/// The link-ups of a cell of `side` × `side` pixels.
fn grown(dot: &Dot, mode: Mode, side: usize) -> Result<LinkUps> {
    let mut order = reserve("the pixels of a cell", side * side)?;
    for i in 0..side * side {
        let place = |i: usize| (2 * i + 1) as f64 / side as f64 - 1.0;
        // y up, as dots have it.
        let value = dot.value(place(i % side), -place(i / side));
        if !value.is_finite() {
            return Err(Error::value("the dot's own function", value, "finite values"));
        }
        order.push((value, i));
    }
    // Ink where the value is highest; inverted from the other end.
    order.sort_by(|a, b| match mode {
        Mode::Normal => b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)),
        Mode::Inverted => a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)),
    });
    let mut torus = Wrapped::new(side * side)?;
    let mut ink = filled("the pixels of a cell", side * side, false)?;
    let mut links: [Option<(f64, [i32; 2])>; 2] = [None; 2];
    'grown: for (done, &(_, i)) in order.iter().enumerate() {
        ink[i] = true;
        for (dx, dy) in [(1, 0), (-1, 0), (0, 1), (0, -1), (1, 1), (1, -1), (-1, 1), (-1, -1)] {
            let (other, over) = step(i, dx, dy, side);
            if !ink[other] {
                continue;
            }
            let Some([x, y]) = torus.join(i, other, over) else { continue };
            // Rows run down, and a way there is one back.
            let towards = if (x, -y) > (0, 0) { [x, -y] } else { [-x, y] };
            let link = Some(((done + 1) as f64 / (side * side) as f64, towards));
            match links {
                [None, _] => links[0] = link,
                [Some((_, [a, b])), None] if a * towards[1] != b * towards[0] => {
                    links[1] = link;
                    break 'grown;
                }
                _ => {}
            }
        }
    }
    // A solid cell is joined all around.
    let [(first, first_towards), (second, second_towards)] = links.map(|link| link.unwrap_or((1.0, [0; 2])));
    Ok(LinkUps { first, second, first_towards, second_towards })
}

/// The pixel beside another, and the turns around the torus from the one to the other.
fn step(i: usize, dx: i32, dy: i32, side: usize) -> (usize, [i32; 2]) {
    let (x, y) = ((i % side) as i32 + dx, (i / side) as i32 + dy);
    let side = side as i32;
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
        let cone = Dot::custom(|x, y| 1.0 - (x * x + 0.625 * y * y).sqrt());
        for (dot, along, across) in [
            (Dot::Round, pi_4, pi_4),
            (Dot::Euclidean, 0.5, 0.5),
            (Dot::ellipse(0.4, 0.6).unwrap(), 0.4, 0.6),
            (Dot::ellipse(0.35, 0.75).unwrap(), 0.35, 0.75),
            (Dot::Diamond, 0.425, 0.575),
            (Dot::Square, 1.0, 1.0),
            (Dot::Line, 0.0, 1.0),
            (Dot::custom(ellipse), 0.375, 0.625),
            (Dot::custom(|x, y| 1.0 - (x * x + 0.9 * y * y)), 0.8164, 0.7451),
            (cone, 0.8828, 0.6209),
        ] {
            // In the gaps of dots grow those of the complement, which meet where the dots part: 1 − the other tone.
            for (mode, along, across) in
                [(Mode::Normal, along, across), (Mode::Inverted, 1.0 - across, 1.0 - along)]
            {
                let found = link_ups(&dot, mode).unwrap();
                let links = [(found.first, found.first_towards), (found.second, found.second_towards)];
                for (tone, towards) in links {
                    let expected = match towards {
                        [1, 0] => along,
                        [0, 1] => across,
                        other => panic!("{dot:?} towards {other:?}"),
                    };
                    assert!((tone - expected).abs() <= 0.003, "{dot:?} {mode:?}: {found:?} for {expected}");
                }
            }
        }
        assert!(link_ups(&Dot::custom(|_, _| f64::NAN), Mode::Normal).is_err());
    }

    #[test]
    fn slanted_lines_lead_both_ways_at_once() {
        let slanted = Dot::custom(|x, y| (std::f64::consts::PI * (x - y)).cos());
        let found = link_ups(&slanted, Mode::Normal).unwrap();
        assert_eq!(found.first_towards, [1, 1]);
        assert!(found.first < 0.01 && found.second > 0.98, "{found:?}");
    }
}
