//! The brick: the smallest rectangle of thresholds that tiles the plane with a sideways shift per course.
//!
//! T. M. Holladay, "An optimum algorithm for halftone generation for displays and hard copies", Proc. SID 21 (1980): for any
//! lattice of whole translations u, v (y down) the rectangle of height h = gcd(u_y, v_y) and width w = |u × v|/h holds every
//! pixel of the plane once, if each course of h rows stands s pixels to the right of the one above, where
//! s = m u_x + n v_x (mod w) for the m, n with m u_y + n v_y = h.
//!
//! A threshold is the order in which its pixel takes ink. Pixels that take ink together (the pixels of one index dot, equal
//! entries of a user's array) are one *step*. With R the pixels of all earlier steps and m those of its own, a step is held
//! as 2R + m, twice the middle of its ranks: for single pixels 2r + 1. One number, then, says what the law needs: ink where
//! 2 c(k) N > 2R + m.

use crate::error::{Result, filled};
use crate::screen::whole::{cross, extended_gcd};

/// Where a brick repeats.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tiling {
    /// Columns.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// Pixels by which each course (`height` rows) stands to the right of the course above; below `width`.
    pub shift: usize,
}

impl Tiling {
    /// The tiling of the lattice spanned by two whole translations that are not parallel.
    pub(crate) fn of(u: [i64; 2], v: [i64; 2]) -> Self {
        let (height, m, n) = extended_gcd(u[1], v[1]);
        let width = cross(u, v).abs() / height;
        let shift = i128::from(m) * i128::from(u[0]) + i128::from(n) * i128::from(v[0]);
        Self {
            width: width as usize,
            height: height as usize,
            shift: shift.rem_euclid(i128::from(width)) as usize,
        }
    }

    /// Pixels.
    pub fn pixels(&self) -> usize {
        self.width * self.height
    }

    /// Column and row in the brick of any pixel of the plane. Panics for a tiling without extent, which no screen has.
    pub fn locate(&self, x: i64, y: i64) -> (usize, usize) {
        let (width, height) = (self.width as i64, self.height as i64);
        let course = y.div_euclid(height).rem_euclid(width);
        let shift = (i128::from(course) * self.shift as i128).rem_euclid(i128::from(width)) as i64;
        let column = (x.rem_euclid(width) - shift).rem_euclid(width);
        (column as usize, y.rem_euclid(height) as usize)
    }
}

/// The order in which the pixels of a tiling take ink.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Brick {
    tiling: Tiling,
    /// Pixels of the plane to one entry, along x and y: more than 1 for index dots.
    entry: [usize; 2],
    /// 2R + m of each entry, row by row.
    order: Vec<u32>,
}

impl Brick {
    /// A brick whose entries are single pixels that take ink one by one; `sequence` lists them (row · width + column) from
    /// first to last.
    pub(crate) fn from_sequence(tiling: Tiling, sequence: &[u32]) -> Result<Self> {
        debug_assert_eq!(sequence.len(), tiling.pixels());
        let mut order = filled("a brick of thresholds", tiling.pixels(), 0)?;
        for (&entry, rank) in sequence.iter().zip(0_u32..) {
            order[entry as usize] = 2 * rank + 1;
        }
        Ok(Self { tiling, entry: [1, 1], order })
    }

    /// A brick whose entries take ink in groups: `group` gives each entry's, and groups follow their number.
    pub(crate) fn from_groups(tiling: Tiling, group: &[u32], entry: [usize; 2]) -> Result<Self> {
        debug_assert_eq!(group.len(), tiling.pixels());
        let groups = group.iter().max().map_or(0, |&g| g as usize + 1);
        let mut size = filled("groups of thresholds", groups, 0_u32)?;
        for &g in group {
            size[g as usize] += 1;
        }
        let mut before = 0;
        let middle: Vec<u32> = size
            .iter()
            .map(|&m| {
                let middle = 2 * before + m;
                before += m;
                middle
            })
            .collect();
        let mut order = filled("a brick of thresholds", group.len(), 0)?;
        for (order, &g) in order.iter_mut().zip(group) {
            *order = middle[g as usize];
        }
        Ok(Self { tiling, entry, order })
    }

    /// How the entries repeat.
    pub fn tiling(&self) -> Tiling {
        self.tiling
    }

    /// Film pixels that one entry covers along x and along y: 1 and 1 but for upright index dots.
    pub fn entry_pixels(&self) -> [usize; 2] {
        self.entry
    }

    /// 2R + m of each entry, row by row: twice the middle of the ranks of its step, in entries.
    pub fn order(&self) -> &[u32] {
        &self.order
    }

    /// Entries in the brick, N in the law.
    pub fn len(&self) -> usize {
        self.order.len()
    }

    /// Whether it has no entries: never, for a brick in a screen.
    pub fn is_empty(&self) -> bool {
        self.order.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn published_bricks_hold_every_residue_once() {
        // u, v (y down) → height, width, shift. Computed from Holladay's rule and checked by brute force; square cells are
        // (a, b), (−b, a).
        let square = |a: i64, b: i64| ([a, b], [-b, a]);
        for ((u, v), (height, width, shift)) in [
            (square(1, 0), (1, 1, 0)),
            (square(3, 1), (1, 10, 3)),
            (square(1, 3), (1, 10, 7)),
            (square(2, 1), (1, 5, 2)),
            (square(5, 6), (1, 61, 11)),
            (square(4, 4), (4, 8, 4)),
            (square(6, 2), (2, 20, 6)),
            (square(12, 5), (1, 169, 70)),
            (square(20, 8), (4, 116, 68)),
            (square(15, 4), (1, 241, 64)),
            (square(11, 3), (1, 130, 47)),
            (square(26, 7), (1, 725, 418)),
            (([4, 2], [2, 6]), (2, 10, 4)),
            (([5, 0], [2, 3]), (3, 5, 2)),
            (([8, 3], [-2, 7]), (1, 62, 44)),
        ] {
            let tiling = Tiling::of(u, v);
            assert_eq!((tiling.height, tiling.width, tiling.shift), (height, width, shift), "{u:?}");
            let mut seen = vec![0; tiling.pixels()];
            // Every pixel of the parallelogram, as residues of the lattice, by exact division.
            let det = cross(u, v);
            for y in -40..40_i64 {
                for x in -40..40_i64 {
                    let (i, j) = (cross([x, y], v), cross(u, [x, y]));
                    let (col, row) = tiling.locate(x, y);
                    if i.signum() * det.signum() >= 0
                        && j.signum() * det.signum() >= 0
                        && i.abs() < det.abs()
                        && j.abs() < det.abs()
                    {
                        seen[row * tiling.width + col] += 1;
                    }
                    for t in [u, v] {
                        assert_eq!(tiling.locate(x + t[0], y + t[1]), (col, row));
                    }
                }
            }
            assert!(seen.iter().all(|&n| n == 1), "{u:?} {v:?}: {seen:?}");
        }
    }

    #[test]
    fn far_places_do_not_overflow() {
        let tiling = Tiling::of([200, 90], [-91, 199]);
        let far = 1_i64 << 62;
        for (x, y) in [(far, far), (-far, far), (far, -far), (i64::MAX, i64::MIN)] {
            let (column, row) = tiling.locate(x, y);
            assert!(column < tiling.width && row < tiling.height);
        }
    }

    #[test]
    fn groups_are_held_at_their_middle() {
        let tiling = Tiling { width: 5, height: 1, shift: 0 };
        let brick = Brick::from_groups(tiling, &[1, 0, 1, 2, 1], [1, 1]).unwrap();
        assert_eq!(brick.order(), [5, 1, 5, 9, 5]);
        let alone = Brick::from_sequence(tiling, &[1, 0, 2, 4, 3]).unwrap();
        assert_eq!(alone.order(), [3, 1, 5, 9, 7]);
    }
}
