//! Pixels: the solved grid, interpolated.
//!
//! In each cell of the grid the way from its darkest corner to its lightest one goes along the channels in the order of how far the colour is
//! along each: four corners, weighted (the division of a cube into six tetrahedra; the common one for colour tables). A grey needs
//! two corners, and no grey ever takes colour from the side. Rejected: all eight corners, twice the reads, and greys that do.

use crate::colour::overlap::MAX_PLATES;
use crate::colour::separate::nearest::Coverages;
use crate::plate::Tone;

/// Coverages of a node, in lanes of four.
const LANES: usize = MAX_PLATES;

/// The grid, made for reading.
#[derive(Debug, Clone)]
pub(super) struct Lookup {
    /// Coverages of every node, `lanes` numbers each, red fastest.
    nodes: Vec<f32>,
    lanes: usize,
    /// Nodes along each side.
    side: usize,
    /// The garment's colour (sRGB codes, 0…1) and what the grid has there.
    garment: ([f32; 3], [f32; LANES]),
}

/// Codes around the garment's over which what the grid has there is taken off, as a part of the range.
const AROUND_GARMENT: f32 = 16.0 / 255.0;

/// The place of a channel: its cell, and how far in it.
#[derive(Debug, Clone, Copy)]
pub(super) struct At {
    cell: u32,
    off: f32,
    code: f32,
}

impl Lookup {
    /// Where a sample lies in the grid.
    #[inline]
    pub(super) fn place<T: Tone>(&self, sample: T) -> At {
        let code: u32 = sample.as_();
        At::of(code as f32 / T::SOLID as f32, self.side)
    }

    /// Makes the garment's colour come out bare: what the grid has there, some thousandths, is taken off it, and less and less off
    /// the colours around.
    pub(super) fn bare_at(mut self, garment: [f32; 3]) -> Self {
        let excess = self.coverages(garment.map(|code| At::of(code, self.side)));
        self.garment = (garment, excess);
        self
    }
}

impl At {
    fn of(code: f32, side: usize) -> Self {
        let along = code * (side - 1) as f32;
        let cell = (along as u32).min(side as u32 - 2);
        Self { cell, off: along - cell as f32, code }
    }
}

impl Lookup {
    pub(super) fn new(grid: &[Coverages], side: usize, plates: usize) -> Self {
        let lanes = plates.next_multiple_of(4);
        let nodes = grid.iter().flat_map(|c| c[..lanes].iter().map(|&c| c as f32)).collect();
        Self { nodes, lanes, side, garment: ([f32::MAX; 3], [0.0; LANES]) }
    }

    /// Coverages of one colour of the art; lanes beyond the plates are 0.
    #[inline]
    pub(super) fn coverages(&self, channels: [At; 3]) -> [f32; LANES] {
        match self.lanes {
            4 => self.wide::<4>(channels),
            8 => self.wide::<8>(channels),
            _ => self.wide::<12>(channels),
        }
    }

    #[inline]
    fn wide<const WIDE: usize>(&self, [r, g, b]: [At; 3]) -> [f32; LANES] {
        let steps = [1, self.side, self.side * self.side];
        let first = r.cell as usize + steps[1] * g.cell as usize + steps[2] * b.cell as usize;
        // The channels from the farthest along to the least.
        let (mut one, mut two, mut three) = ((r.off, steps[0]), (g.off, steps[1]), (b.off, steps[2]));
        if one.0 < two.0 {
            (one, two) = (two, one);
        }
        if two.0 < three.0 {
            (two, three) = (three, two);
        }
        if one.0 < two.0 {
            (one, two) = (two, one);
        }
        let corners = [first, first + one.1, first + one.1 + two.1, first + one.1 + two.1 + three.1];
        let weights = [1.0 - one.0, one.0 - two.0, two.0 - three.0, three.0];
        let mut sum = [0.0; LANES];
        for (corner, weight) in corners.into_iter().zip(weights) {
            let node = &self.nodes[corner * WIDE..][..WIDE];
            for i in 0..WIDE {
                sum[i] += weight * node[i];
            }
        }
        let (garment, excess) = &self.garment;
        let off = |i: usize, at: At| (at.code - garment[i]).abs();
        let near = 1.0 - off(0, r).max(off(1, g)).max(off(2, b)) / AROUND_GARMENT;
        if near > 0.0 {
            for i in 0..WIDE {
                sum[i] = (sum[i] - near * excess[i]).max(0.0);
            }
        }
        sum
    }
}
