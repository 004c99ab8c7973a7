//! Index dots: squares of one fixed size whose number, not size, carries the tone.
//!
//! The order in which they take ink is blue noise ([`blue_noise`](crate::screen::blue_noise)), so that a tint shows neither
//! grain nor pattern. Upright dots are squares of whole film pixels on a tile of 128 × 128 dots. Dots at an angle are the
//! cells of a lattice: each pixel belongs to the cell that holds its centre, so sizes differ by a few pixels, and a dot counts
//! by the pixels it has.
//!
//! Rejected: error diffusion, whose pixels depend on all those before them, so that no tile could be cut out of a film.

use std::sync::OnceLock;

use crate::error::{Error, Result, reserve};
use crate::screen::blue_noise::blue_noise_order;
use crate::screen::brick::{Brick, Tiling};
use crate::screen::lattice::Lattice;
use crate::units::Resolution;

/// Dots along each side of the tile, at the least. The lowest frequency a tile can hold is 1/128 of a dot's, and repeats of it
/// cannot be made out.
pub(crate) const TILE: usize = 128;

/// Largest index dot in pixels along a side: a dot of 5 mm at 1270 px/inch.
const MAX_DOT: usize = 256;

/// Largest tile of dots at an angle, in film pixels, unless the caller says otherwise: 128 × 128 dots of some 60 px. It takes half a
/// gigabyte while it is built.
pub(crate) const DEFAULT_LIMIT: u64 = 64 << 20;

/// Sides in film pixels of dots that are `pixels` wide along the coarser axis of the film.
pub(crate) fn sides(pixels: usize, resolution: Resolution) -> Result<[usize; 2]> {
    let coarser = resolution.x().min(resolution.y());
    let side = |r: f64| (pixels as f64 * r / coarser).round() as usize;
    let sides = [side(resolution.x()), side(resolution.y())];
    if pixels == 0 || sides.iter().any(|&s| s > MAX_DOT) {
        return Err(Error::value(
            "index dot",
            format!("{pixels} px"),
            format!("1 to {MAX_DOT} film pixels along each side"),
        ));
    }
    Ok(sides)
}

/// Sides in film pixels of dots that are nearest to `per_inch` dots per inch.
pub(crate) fn sides_for_pitch(per_inch: f64, resolution: Resolution) -> Result<[usize; 2]> {
    let side = |r: f64| (r / per_inch).round();
    let exact = [side(resolution.x()), side(resolution.y())];
    if exact.iter().any(|s| !(1.0..=MAX_DOT as f64).contains(s)) {
        return Err(Error::value(
            "index dots per inch",
            per_inch,
            format!("a pitch of 1 to {MAX_DOT} film pixels at {resolution}"),
        ));
    }
    Ok(exact.map(|s| s as usize))
}

/// Squares of `sides` film pixels.
pub(crate) fn upright(sides: [usize; 2]) -> Result<Brick> {
    static ORDER: OnceLock<Vec<u32>> = OnceLock::new();
    let tiling = Tiling { width: TILE, height: TILE, shift: 0 };
    let order = ORDER.get_or_init(|| blue_noise_order(&tiling));
    Brick::from_groups(tiling, order, sides)
}

/// Refuses a brick above a limit.
pub(crate) fn check_limit(what: &'static str, lattice: &Lattice, limit: u64) -> Result<()> {
    match lattice.pixels() {
        needed if needed > limit => Err(Error::Limit { what, needed, limit }),
        _ => Ok(()),
    }
}

/// The cells of a lattice, each as one dot.
pub(crate) fn on_lattice(lattice: &Lattice) -> Result<Brick> {
    let [u, v] = lattice.translations();
    let tiling = Tiling::of(u, v);
    let [cells_u, cells_v] = lattice.cell_translations();
    let cells = Tiling::of(cells_u, cells_v);
    let order = blue_noise_order(&cells);
    let places = lattice.places();
    let mut group = reserve("index dots", tiling.pixels())?;
    for y in 0..tiling.height as i64 {
        for x in 0..tiling.width as i64 {
            let [i, j] = places.cell(x, y);
            let (column, row) = cells.locate(i, j);
            group.push(order[row * cells.width + column]);
        }
    }
    Brick::from_groups(tiling, &group, [1, 1])
}
