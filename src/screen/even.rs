//! Even growth: the order in which a brick fills without slow beats between cells and pixels.
//!
//! Ranking all pixels of a brick by the value of the dot lets cells grow in gangs: where pixels lie alike in their cells, many
//! neighbouring cells take their next pixel at nearly the same tone, and flat tints show waves. So cells take turns. Up to one half
//! the next pixel, by the value of the dot, always goes to the cell whose neighbourhood holds the least ink; above one half, from
//! solid downwards, the next bare pixel goes to the hole whose neighbourhood is the least bare. A neighbourhood is a Gaussian over
//! the cells of the brick, in whole numbers, so that the order is the same on every processor.
//!
//! Within a cell the dot alone decides, so shapes are as drawn to a pixel. What it costs: some fifty additions a pixel, and a few
//! places in a heap of the cells (rejected: looking through blocks of cells for the least, two and a half times slower).
//!
//! Where a mesh cannot hold small dots, cells do not grow from nothing: they switch on one by one, in blue-noise order, each with
//! a *seed* of as many pixels as the smallest dot takes; only then do they take turns.

use std::cmp::Reverse;
use std::collections::BinaryHeap;
use std::collections::binary_heap::PeekMut;

use crate::error::{Error, Result, filled, reserve};
use crate::screen::blue_noise::blue_noise_order;
use crate::screen::brick::Tiling;

/// Standard deviation of a neighbourhood, in cells.
const SIGMA: f64 = 1.0;

/// Cells beyond which a neighbourhood ends, along each axis: three deviations.
const REACH: i64 = 3;

/// Cells along a side of a neighbourhood, and all of them.
const SIDE: usize = 2 * REACH as usize + 1;
const AROUND: usize = SIDE * SIDE;

/// A pixel's weight upon its own cell.
const UNIT: f64 = (1_u64 << 30) as f64;

/// A pixel to be ranked.
pub(crate) struct Pixel {
    /// Row · width + column in the brick.
    pub(crate) entry: u32,
    /// The cell that it fills, row · width + column in the tiling of cells.
    pub(crate) cell: u32,
    /// Lowest first within a cell, and between cells that are filled alike.
    pub(crate) key: (u64, u32),
    /// Its place from the middle of its cell, in cells.
    pub(crate) place: [f32; 2],
}

impl Pixel {
    fn off_middle(&self) -> f32 {
        self.place[0] * self.place[0] + self.place[1] * self.place[1]
    }
}

/// The first `steps` pixels in the order in which they take their turn, the first `seed` of each cell together: those seeds come
/// before all else, `rounded` about the middle of the cell or as the dot has it. With `seed` 0 cells grow from nothing. All seeds together must be no more than `steps`.
///
/// Errors: a cell with fewer pixels than its seed.
///
/// Cost: a sort, and for each step a neighbourhood of cells; for seeds a blue-noise order of the cells.
pub(crate) fn turns(
    cells: Tiling,
    mut pixels: Vec<Pixel>,
    steps: usize,
    seed: usize,
    rounded: bool,
) -> Result<Vec<u32>> {
    if seed > 0 && rounded {
        pixels.sort_unstable_by(|a, b| {
            a.cell.cmp(&b.cell).then(a.off_middle().total_cmp(&b.off_middle())).then(a.key.cmp(&b.key))
        });
        // What is in a seed comes first in its cell, whatever the dot.
        for cell in pixels.chunk_by_mut(|a, b| a.cell == b.cell) {
            for (pixel, rank) in cell.iter_mut().zip(0..seed as u32) {
                pixel.key = (0, rank);
            }
        }
    }
    pixels.sort_unstable_by_key(|p| (p.cell, p.key));
    let mut field = Field::new(cells, &pixels)?;
    let mut order = reserve("the growth of a brick", steps)?;
    if seed > 0 {
        let ranks = blue_noise_order(&cells);
        let mut by_rank = filled("cells", ranks.len(), 0)?;
        for (cell, &rank) in ranks.iter().enumerate() {
            by_rank[rank as usize] = cell;
        }
        for cell in by_rank {
            if ((field.end[cell] - field.next[cell]) as usize) < seed {
                return Err(Error::value(
                    "smallest dot",
                    format!("{seed} px"),
                    "what every cell has pixels for",
                ));
            }
            for _ in 0..seed {
                order.push(pixels[field.next[cell] as usize].entry);
                field.fill(cell, &pixels);
            }
        }
    }
    while order.len() < steps {
        let Some(cell) = field.least_filled(&pixels) else { break };
        order.push(pixels[field.next[cell] as usize].entry);
        field.fill(cell, &pixels);
    }
    Ok(order)
}

/// What the cell whose turn it is has least of: filling of its neighbourhood, then the key of its next pixel.
type Turn = (u64, (u64, u32), u32);

struct Field {
    /// For each cell its next pixel and the end of its pixels.
    next: Vec<u32>,
    end: Vec<u32>,
    filling: Vec<u64>,
    /// Neighbours of each cell, row by row.
    neighbours: Vec<u32>,
    /// exp(−k²/2σ²) for the cells k = −REACH…REACH along an axis.
    apart: [f64; SIDE],
    /// Every cell that has pixels left, with its turn as it was when last looked at. Turns only ever rise, so a cell whose
    /// entry is still true at the top is the least of all; the others need not be looked at.
    waiting: BinaryHeap<Reverse<Turn>>,
}

impl Field {
    fn new(cells: Tiling, pixels: &[Pixel]) -> Result<Self> {
        let count = cells.pixels();
        let mut neighbours = reserve("neighbourhoods of cells", count * AROUND)?;
        for cell in 0..count as i64 {
            let (column, row) = (cell % cells.width as i64, cell / cells.width as i64);
            for y in -REACH..=REACH {
                for x in -REACH..=REACH {
                    let (x, y) = cells.locate(column + x, row + y);
                    neighbours.push((y * cells.width + x) as u32);
                }
            }
        }
        let (mut next, mut end) = (filled("cells", count, 0)?, filled("cells", count, 0)?);
        let mut turns = reserve("cells", count)?;
        let mut start = 0;
        for run in pixels.chunk_by(|a, b| a.cell == b.cell) {
            let cell = run[0].cell as usize;
            next[cell] = start;
            start += run.len() as u32;
            end[cell] = start;
            turns.push(Reverse((0, run[0].key, run[0].cell)));
        }
        let apart = std::array::from_fn(|i| {
            let k = (i as i64 - REACH) as f64;
            libm::exp(-0.5 * k * k / (SIGMA * SIGMA))
        });
        let filling = filled("cells", count, 0)?;
        Ok(Self { next, end, filling, neighbours, apart, waiting: turns.into() })
    }

    /// Gives a cell its next pixel.
    fn fill(&mut self, cell: usize, pixels: &[Pixel]) {
        let place = pixels[self.next[cell] as usize].place;
        self.next[cell] += 1;
        let [across, down] = place.map(|at| bell(f64::from(at), &self.apart));
        for (row, neighbours) in self.neighbours[cell * AROUND..][..AROUND].chunks_exact(SIDE).enumerate() {
            for (column, &neighbour) in neighbours.iter().enumerate() {
                self.filling[neighbour as usize] += (UNIT * down[row] * across[column] + 0.5) as u32 as u64;
            }
        }
    }

    /// The cell whose turn it is; none once all are full.
    fn least_filled(&mut self, pixels: &[Pixel]) -> Option<usize> {
        while let Some(mut top) = self.waiting.peek_mut() {
            let cell = top.0.2 as usize;
            if self.next[cell] == self.end[cell] {
                PeekMut::pop(top);
                continue;
            }
            let now = (self.filling[cell], pixels[self.next[cell] as usize].key, cell as u32);
            if top.0 == now {
                return Some(cell);
            }
            top.0 = now;
        }
        None
    }
}

/// The Gaussian of a pixel at `at` upon the cells around its own, along one axis: exp(−(at − k)²/2σ²) for k = −REACH…REACH.
///
/// Taken apart into exp(−at²/2σ²) · exp(at/σ²)ᵏ · exp(−k²/2σ²), of which the last is the same for all pixels.
fn bell(at: f64, apart: &[f64; SIDE]) -> [f64; SIDE] {
    let own = libm::exp(-0.5 * at * at / (SIGMA * SIGMA));
    let step = libm::exp(at / (SIGMA * SIGMA));
    let mut bell = [own; SIDE];
    let (mut up, mut down) = (own, own);
    for k in 1..=REACH as usize {
        up *= step;
        down /= step;
        bell[REACH as usize + k] = up * apart[REACH as usize + k];
        bell[REACH as usize - k] = down * apart[REACH as usize - k];
    }
    bell
}
