//! A register mark: a cross in a ring, the same to the pixel wherever it stands.
//!
//! Drawn from its middle outwards by one rule that knows only distances, so it is its own mirror image both ways. Its sides have as
//! many pixels, odd or even, as the film they are centred on, and so have its lines: the middle of the cross is the middle of the film
//! to the pixel, not half a pixel beside it. Lines are whole pixels wide, so no two of them differ.
//!
//! Sizes are common practice: 6…12 mm across, lines of a quarter to half a point.

use crate::error::Result;
use crate::film::Film;

/// Radius of the ring, in parts of half the mark.
const RING: f64 = 0.6;

/// A length in pixels, whole, and odd where `like` is: the nearest one, at least 1.
pub(super) fn alike(pixels: f64, like: usize) -> usize {
    let odd = (like % 2) as f64;
    let half = libm::floor((pixels - odd) / 2.0 + 0.5).max(if odd > 0.0 { 0.0 } else { 1.0 });
    2 * half as usize + like % 2
}

/// A mark of `sides` pixels with lines of `lines` pixels (upright ones, level ones); a pixel is `pixel` long and high.
pub(super) fn register_mark(sides: [usize; 2], lines: [usize; 2], pixel: [f64; 2]) -> Result<Film> {
    let mut film = Film::new(sides[0], sides[1])?;
    // Of the pixel's centre from the mark's middle, in half pixels.
    let off = |at: usize, side: usize| (2 * at + 1).abs_diff(side);
    let radius = RING * (sides[0] as f64 * pixel[0]).min(sides[1] as f64 * pixel[1]) / 2.0;
    // The ring is as heavy as the heavier lines, which are those of the coarser pixels.
    let heavy = (lines[0] as f64 * pixel[0]).max(lines[1] as f64 * pixel[1]) / 2.0;
    let (inner, outer) = ((radius - heavy).max(0.0), radius + heavy);
    for y in 0..sides[1] {
        let down = off(y, sides[1]);
        for x in 0..sides[0] {
            let across = off(x, sides[0]);
            let (dx, dy) = (across as f64 * pixel[0] / 2.0, down as f64 * pixel[1] / 2.0);
            let square = dx * dx + dy * dy;
            let ring = square >= inner * inner && square <= outer * outer;
            if across < lines[0] || down < lines[1] || ring {
                film.set(x, y, true);
            }
        }
    }
    Ok(film)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mark_is_its_own_mirror_image_and_its_lines_are_even() {
        for (sides, pixel) in [([213, 424], [42.3, 21.2]), ([100, 101], [90.0, 90.0])] {
            let lines = [alike(120.0 / pixel[0], sides[0]), alike(120.0 / pixel[1], sides[1])];
            let mark = register_mark(sides, lines, pixel).unwrap();
            let [w, h] = sides;
            for y in 0..h {
                for x in 0..w {
                    assert_eq!(mark.get(x, y), mark.get(w - 1 - x, y));
                    assert_eq!(mark.get(x, y), mark.get(x, h - 1 - y));
                }
            }
            // The top row holds the upright line alone, in the very middle.
            let top: Vec<usize> = (0..w).filter(|&x| mark.get(x, 0)).collect();
            assert_eq!((top[0], top.len()), ((w - lines[0]) / 2, lines[0]));
            // From the middle to the right: along the level line everything; between the arms, the ring.
            let row = h / 2 + lines[1];
            let right: Vec<usize> = (w / 2 + lines[0]..w).filter(|&x| mark.get(x, row)).collect();
            let middle = (right[0] + right[right.len() - 1] + 1) as f64 / 2.0 - w as f64 / 2.0;
            assert!((middle / (0.6 * w as f64 / 2.0) - 1.0).abs() < 0.02, "{middle}");
        }
    }

    #[test]
    fn sizes_are_odd_or_even_as_asked() {
        for (pixels, like, expected) in
            [(4.4, 10, 4), (4.4, 11, 5), (5.2, 10, 6), (0.3, 2, 2), (0.3, 3, 1), (2.9, 7, 3), (5.0, 1, 5)]
        {
            assert_eq!(alike(pixels, like), expected, "{pixels} {like}");
        }
    }
}
