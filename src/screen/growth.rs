//! Growth: the order in which a brick's pixels take ink.
//!
//! A threshold is a rank, not a value of the spot function: ranking all pixels of the brick by the value of the dot at their
//! centres makes tone exact whatever the shape. Rejected: comparing tone with the spot value itself, which gives each shape a
//! tone curve of its own and each cell size its own rounding.
//!
//! Equal values (places that the dot's symmetry maps onto each other) are ranked by a fixed scattering of whole numbers, so
//! that no processor and no sort decides between them.

use crate::error::{Error, Result, filled, reserve};
use crate::screen::brick::{Brick, Tiling};
use crate::screen::dot::Dot;
use crate::screen::even::{self, Pixel};
use crate::screen::lattice::Lattice;

/// The order in which the pixels of a brick take ink.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Growth {
    /// Cells take turns, the one whose neighbourhood lags most first, so that flat tints show no waves.
    #[default]
    Even,
    /// By the value of the dot alone, on the smallest brick there is (even growth repeats it to 4096 thresholds at the least).
    Straight,
}

/// The smallest dot and the smallest hole that a mesh holds, in film pixels; 0 for any size.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub(crate) struct Smallest {
    pub(crate) dot: usize,
    pub(crate) hole: usize,
    /// Discs about the cells' middles, whatever the dot's own shape; else as the dot begins.
    pub(crate) rounded: bool,
}

impl Smallest {
    /// Whether dots and holes of any size will do.
    pub(crate) fn is_any(self) -> bool {
        self.dot == 0 && self.hole == 0
    }
}

/// Ranks the pixels of a lattice's brick by the value of the dot, highest first.
///
/// Errors: a user's dot that returns a value that is not finite. Cost: one call of the dot a pixel, and a sort; for even growth
/// some hundred additions a pixel more.
pub(crate) fn grow(lattice: &Lattice, dot: &Dot, growth: Growth, smallest: Smallest) -> Result<Brick> {
    let [u, v] = lattice.translations();
    let tiling = Tiling::of(u, v);
    let places = lattice.places();
    let mut keys = reserve("keys to rank a brick by", tiling.pixels())?;
    for row in 0..tiling.height {
        for column in 0..tiling.width {
            let (x, y) = places.in_cell(column as i64, row as i64);
            let value = dot.value(x, y);
            if !value.is_finite() {
                return Err(Error::value(
                    "the dot's own function",
                    format!("{value} at ({x}, {y})"),
                    "finite values",
                ));
            }
            let entry = (row * tiling.width + column) as u32;
            keys.push((falling(value), scattered(entry), entry));
        }
    }
    let sequence = match growth {
        Growth::Straight => {
            keys.sort_unstable();
            keys.into_iter().map(|key| key.2).collect()
        }
        Growth::Even => even_sequence(lattice, tiling, keys, smallest)?,
    };
    if smallest.is_any() {
        return Brick::from_sequence(tiling, &sequence);
    }
    // Whole seeds are steps: no tone cuts one.
    let pixels = sequence.len();
    let cells = lattice.cells() as usize;
    let seeds = |seed: usize| std::iter::repeat_n(seed, if seed == 0 { 0 } else { cells });
    let single = pixels - cells * (smallest.dot + smallest.hole);
    let steps = seeds(smallest.dot).chain(std::iter::repeat_n(1, single)).chain(seeds(smallest.hole));
    let mut group = filled("the steps of a brick", pixels, 0)?;
    let mut rest = sequence.as_slice();
    for (step, number) in steps.zip(0..) {
        let (now, later) = rest.split_at(step);
        for &entry in now {
            group[entry as usize] = number;
        }
        rest = later;
    }
    Brick::from_groups(tiling, &group, [1, 1])
}

/// Dots up to one half, then holes from solid downwards.
fn even_sequence(
    lattice: &Lattice,
    tiling: Tiling,
    keys: Vec<(u64, u32, u32)>,
    smallest: Smallest,
) -> Result<Vec<u32>> {
    let [cells_u, cells_v] = lattice.cell_translations();
    let cells = Tiling::of(cells_u, cells_v);
    let places = lattice.places();
    let place = |entry: u32| (i64::from(entry) % tiling.width as i64, i64::from(entry) / tiling.width as i64);
    let cell_of = |[i, j]: [i64; 2]| {
        let (column, row) = cells.locate(i, j);
        (row * cells.width + column) as u32
    };
    let mut dots = reserve("the dots of a brick", keys.len())?;
    dots.extend(keys.iter().map(|&(value, scatter, entry)| {
        let (x, y) = place(entry);
        let (across, up) = places.in_cell(x, y);
        let place = [across, up].map(|at| (0.5 * at) as f32);
        Pixel { entry, cell: cell_of(places.cell(x, y)), key: (value, scatter), place }
    }));
    let half = keys.len() / 2;
    let mut sequence = even::turns(cells, dots, half, smallest.dot, smallest.rounded)?;

    let mut taken = filled("the dots of a brick", keys.len(), false)?;
    for &entry in &sequence {
        taken[entry as usize] = true;
    }
    let mut holes = reserve("the holes of a brick", keys.len() - half)?;
    holes.extend(keys.iter().filter(|key| !taken[key.2 as usize]).map(|&(value, scatter, entry)| {
        let (x, y) = place(entry);
        let (across, up) = places.in_cell(x, y);
        // The middle of the hole is a corner of the cell.
        let place = [across, up].map(|at| (0.5 * (if at < 0.0 { at + 1.0 } else { at - 1.0 })) as f32);
        Pixel { entry, cell: cell_of(places.hole(x, y)), key: (!value, scatter), place }
    }));
    let bare = even::turns(cells, holes, keys.len() - half, smallest.hole, smallest.rounded)?;
    sequence.extend(bare.into_iter().rev());
    Ok(sequence)
}

/// A whole number that falls as the value rises.
fn falling(value: f64) -> u64 {
    // + 0.0 makes one zero of two.
    let bits = (value + 0.0).to_bits();
    let rising = if bits >> 63 == 0 { bits | 1 << 63 } else { !bits };
    !rising
}

/// A fixed one-to-one scattering of 32-bit numbers (multiply, fold, multiply: odd factors and folds can be undone).
fn scattered(n: u32) -> u32 {
    let n = n.wrapping_mul(0x9e37_79b1);
    let n = (n ^ n >> 15).wrapping_mul(0x85eb_ca6b);
    n ^ n >> 13
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::screen::lattice::{DEFAULT_LIMIT, Tolerance};
    use crate::units::{Angle, LineCount, Resolution};

    fn lattice(lines: f64, degrees: f64) -> Lattice {
        Lattice::find(
            Resolution::per_inch(720.0).unwrap(),
            LineCount::per_inch(lines).unwrap(),
            Angle::degrees(degrees).unwrap(),
            Tolerance::default(),
            DEFAULT_LIMIT,
        )
        .unwrap()
    }

    #[test]
    fn every_rank_is_given_once_and_follows_the_dot() {
        let lattice = lattice(45.0, 22.5);
        let brick = grow(&lattice, &Dot::Euclidean, Growth::Straight, Smallest::default()).unwrap();
        let tiling = brick.tiling();
        let mut by_rank = vec![f64::NAN; brick.len()];
        let places = lattice.places();
        for (i, &order) in brick.order().iter().enumerate() {
            let (x, y) = ((i % tiling.width) as i64, (i / tiling.width) as i64);
            let (x, y) = places.in_cell(x, y);
            by_rank[order as usize / 2] = Dot::Euclidean.value(x, y);
        }
        assert!(by_rank.is_sorted_by(|a, b| a >= b));
    }

    #[test]
    fn values_fall_in_order() {
        let values = [f64::MAX, 1.0, 1e-300, 0.0, -1e-300, -1.0, f64::MIN];
        assert!(values.map(falling).is_sorted_by(|a, b| a < b));
        assert_eq!(falling(0.0), falling(-0.0));
    }

    #[test]
    fn a_dot_that_is_not_finite_is_refused_with_its_place() {
        let dot = Dot::custom(|x, _| if x > 0.5 { f64::NAN } else { x });
        let message =
            grow(&lattice(45.0, 0.0), &dot, Growth::Straight, Smallest::default()).unwrap_err().to_string();
        assert!(message.contains("NaN at (0."), "{message}");
    }
}
