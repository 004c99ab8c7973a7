//! The colour grid: best coverages at evenly spaced art colours, smooth from each to the next.
//!
//! Many coverages print one colour, and the best for one colour alone may be far from the best for its neighbour: plates would break where
//! the art does not. So all nodes are solved together. Each is improved (`nearest`) in turn, drawn towards the mean of the
//! nodes around it, on grids of 5³, 9³, 17³ and 33³ nodes, each started from the one before. Neighbouring nodes may not differ by more than a
//! given slope: what does is drawn closer, harder with every sweep, and at the end brought within it exactly (the mean of the least function
//! above and the greatest below that keep the slope, after E. J. McShane, Bull. Amer. Math. Soc. 40 (1934) 837), then improved once more within what neighbours allow.
//!
//! Nodes are improved in eight sets in which no two are neighbours, so that threads change nothing.
//!
//! Rejected: each node by itself, with a blur afterwards: neighbours fall into different valleys, and the blur makes colours that are
//! neither.

use crate::colour::overlap::MAX_PLATES;
use crate::colour::print::Print;
use crate::colour::separate::nearest::{Bounds, Choice, Coverages, Wanted, improve};
use crate::colour::separate::parallel::each;
use crate::colour::separate::starts::Starts;

/// Nodes along a side, coarse to fine. The finest is for a whole separation, the one before for each of the many of a held plate.
const SIDES: [usize; 4] = [5, 9, 17, 33];
pub(super) const FINE: usize = SIDES[3];
pub(super) const HALF_FINE: usize = SIDES[2];

/// Sweeps over each grid. With half as many, colours are 0.01 ΔE00 farther off on average; with two or four times as many they are not nearer.
const SWEEPS: usize = 10;

/// Steps of improvement a node takes in a sweep.
const STEPS: usize = 4;

/// How hard a slope that is too steep is drawn in, at the first sweep, and how much harder at the last.
const STEEP: f64 = 200.0;
const HARDER: f64 = 64.0;

/// Slope allowed between nodes where channels move against each other, as a part of the slope elsewhere. A whole would say that no colour
/// may change faster towards its opposite than towards white, which costs up to 0.4 ΔE00 on average.
const OPPOSED: f64 = 1.25;

/// Slope of coverages around the garment's colour: what is left for making it exact keeps plates within the slope elsewhere.
const GARMENT_SLOPE: f64 = 3.0;

/// A colour of the art (sRGB codes, 0…1) that must come out as given coverages, with all colours of its cell.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pin {
    pub(super) low: [f64; 3],
    pub(super) high: [f64; 3],
    pub(super) coverages: Coverages,
    /// Most that coverages around it may change for a whole range of codes.
    pub(super) slope: f64,
}

impl Pin {
    /// The garment's colour, bare: a place and no cell, since art may be full of colours just beside it; [`Lookup`](super::lookup::Lookup) makes
    /// it exact.
    pub(super) fn bare(art: [f64; 3]) -> Self {
        Self { low: art, high: art, coverages: [0.0; MAX_PLATES], slope: GARMENT_SLOPE }
    }

    /// The pin of a colour: the cell that it lies in of a grid of `side` nodes along each side.
    pub(super) fn at(art: [f64; 3], coverages: Coverages, side: usize, slope: f64) -> Self {
        let cells = (side - 1) as f64;
        let low = art.map(|code| (code * cells).floor().min(cells - 1.0));
        Self { low: low.map(|at| at / cells), high: low.map(|at| (at + 1.0) / cells), coverages, slope }
    }

    /// How far a colour is from the pin, in the measure of slopes.
    fn distance(&self, art: [f64; 3]) -> f64 {
        let most = |off: [f64; 3]| off.into_iter().fold(0.0, f64::max);
        let up = most(std::array::from_fn(|i| art[i] - self.high[i]));
        let down = most(std::array::from_fn(|i| self.low[i] - art[i]));
        up.max(down) + (OPPOSED - 1.0) * up.min(down)
    }
}

/// What is asked of a grid.
pub(super) struct Task<'a, W: Fn([f64; 3]) -> (Wanted, Coverages) + Sync> {
    pub(super) print: &'a Print,
    /// Art (sRGB codes, 0…1) to the colour wanted and the price of each plate's ink there.
    pub(super) wanted: W,
    pub(super) even: f64,
    /// The base, and the black that would hide it.
    pub(super) hidden: Option<[usize; 2]>,
    /// Weight of the pull towards neighbours.
    pub(super) rough: f64,
    /// Most that a coverage may change for a whole range of the art's codes.
    pub(super) slope: f64,
    pub(super) pins: &'a [Pin],
    /// A plate whose coverage is given.
    pub(super) held: Option<(usize, f64)>,
    /// Nodes along a side of the finished grid: [`FINE`] or [`HALF_FINE`].
    pub(super) side: usize,
}

/// One node while it is solved.
struct Node {
    wanted: Wanted,
    price: Coverages,
    bounds: Bounds,
}

impl<W: Fn([f64; 3]) -> (Wanted, Coverages) + Sync> Task<'_, W> {
    /// The nodes, red fastest.
    pub(super) fn solve(&self) -> Vec<Coverages> {
        let mut grid = Vec::new();
        let mut before = 0;
        for side in SIDES.into_iter().filter(|&side| side <= self.side) {
            let cube = Cube { side };
            let places: Vec<[usize; 3]> = cube.places().collect();
            let nodes = each(&places, |place| self.node(place.map(|i| i as f64 / (side - 1) as f64)));
            grid = if before == 0 {
                let starts = Starts::new(self.print);
                each(&nodes, |node| self.alone(node, &starts))
            } else {
                let coarse = Cube { side: before };
                each(&places, |&place| coarse.doubled(&grid, place))
            };
            self.smooth(cube, &nodes, &places, &mut grid);
            before = side;
        }
        grid
    }

    fn node(&self, art: [f64; 3]) -> Node {
        let (wanted, price) = (self.wanted)(art);
        let mut bounds: Bounds = [[0.0, 1.0]; MAX_PLATES];
        for pin in self.pins {
            let most = pin.slope * pin.distance(art);
            for (bound, c) in bounds.iter_mut().zip(pin.coverages) {
                let [low, high] = [bound[0].max(c - most), bound[1].min(c + most)];
                // Between two pins too near for the slope: half-way.
                *bound = if low <= high { [low, high] } else { [0.5 * (low + high); 2] };
            }
        }
        if let Some((plate, coverage)) = self.held {
            bounds[plate] = [coverage; 2];
        }
        Node { wanted, price, bounds }
    }

    /// A node without neighbours: the best of two or three starts.
    fn alone(&self, node: &Node, starts: &Starts) -> Coverages {
        let choice = Choice {
            price: node.price,
            even: self.even,
            hidden: self.hidden,
            bounds: node.bounds,
            ..Choice::free()
        };
        let alike = [0.2, 0.5].map(|start| {
            let mut coverages: Coverages = [0.0; MAX_PLATES];
            coverages[..self.print.inks()].fill(start);
            coverages
        });
        let tried = alike.into_iter().chain(starts.nearest(&node.wanted)).map(|mut coverages| {
            let off = improve(self.print, &node.wanted, &choice, &mut coverages, 40);
            (off, coverages)
        });
        let best = tried.min_by(|one, other| one.0.total_cmp(&other.0));
        best.map_or([0.0; MAX_PLATES], |(_, coverages)| coverages)
    }

    fn smooth(&self, cube: Cube, nodes: &[Node], places: &[[usize; 3]], grid: &mut Vec<Coverages>) {
        let most = self.slope / (cube.side - 1) as f64;
        let sets: [Vec<usize>; 8] = std::array::from_fn(|set| {
            let parity = |place: &[usize; 3]| place[0] & 1 | (place[1] & 1) << 1 | (place[2] & 1) << 2;
            (0..places.len()).filter(|&i| parity(&places[i]) == set).collect()
        });
        for sweep in 0..=SWEEPS {
            let last = sweep == SWEEPS;
            if last {
                self.keep_slope(cube, nodes, places, grid);
            }
            let drawn = STEEP * libm::pow(HARDER, sweep as f64 / SWEEPS as f64);
            for set in &sets {
                let better = each(set, |&i| {
                    let mut choice = self.among(cube, &nodes[i], places[i], grid, grid[i], most, drawn, last);
                    choice.price = nodes[i].price;
                    let mut coverages = grid[i];
                    improve(self.print, &nodes[i].wanted, &choice, &mut coverages, STEPS);
                    coverages
                });
                for (&i, coverages) in set.iter().zip(better) {
                    grid[i] = coverages;
                }
            }
        }
    }

    /// What a node's neighbours ask of it.
    #[expect(clippy::too_many_arguments, reason = "one caller; a structure of them would say no more")]
    fn among(
        &self,
        cube: Cube,
        node: &Node,
        place: [usize; 3],
        grid: &[Coverages],
        now: Coverages,
        most: f64,
        drawn: f64,
        last: bool,
    ) -> Choice {
        let plates = self.print.inks();
        let mut choice =
            Choice { even: self.even, hidden: self.hidden, bounds: node.bounds, ..Choice::free() };
        let (mut sum, mut weights) = ([0.0; MAX_PLATES], 0.0);
        let (mut near, mut nearness) = ([0.0; MAX_PLATES], [0.0; MAX_PLATES]);
        cube.around(place, |other, off, length| {
            let weight = 1.0 / off;
            let most = most * length;
            weights += weight;
            for p in 0..plates {
                let c = grid[other][p];
                sum[p] += weight * c;
                if last {
                    choice.bounds[p][0] = choice.bounds[p][0].max(c - most);
                    choice.bounds[p][1] = choice.bounds[p][1].min(c + most);
                } else if (now[p] - c).abs() > most {
                    near[p] += drawn * (c + most.copysign(now[p] - c));
                    nearness[p] += drawn;
                }
            }
        });
        for p in 0..plates {
            choice.pull[p] = self.rough + nearness[p];
            choice.towards[p] = (self.rough * sum[p] / weights + near[p]) / choice.pull[p];
            // Rounding alone can turn them round.
            choice.bounds[p][1] = choice.bounds[p][1].max(choice.bounds[p][0]);
        }
        choice
    }

    /// Brings every plate within the slope.
    fn keep_slope(&self, cube: Cube, nodes: &[Node], places: &[[usize; 3]], grid: &mut Vec<Coverages>) {
        let plates = self.print.inks();
        let most = self.slope / (cube.side - 1) as f64;
        for (c, node) in grid.iter_mut().zip(nodes) {
            for (c, [low, high]) in c.iter_mut().zip(node.bounds) {
                *c = c.max(low).min(high);
            }
        }
        let (mut above, mut below) = (grid.clone(), grid.clone());
        let mut changed = true;
        while changed {
            changed = false;
            for turn in 0..2 * places.len() {
                // Down the list and up again: changes run far in one pass.
                let i = if turn < places.len() { turn } else { 2 * places.len() - 1 - turn };
                cube.around(places[i], |other, _, length| {
                    for p in 0..plates {
                        let (low, high) = (above[other][p] - most * length, below[other][p] + most * length);
                        if low > above[i][p] + 1e-12 {
                            above[i][p] = low;
                            changed = true;
                        }
                        if high < below[i][p] - 1e-12 {
                            below[i][p] = high;
                            changed = true;
                        }
                    }
                });
            }
        }
        *grid = above.iter().zip(&below).map(|(a, b)| std::array::from_fn(|p| 0.5 * (a[p] + b[p]))).collect();
    }
}

/// A grid of side³ nodes.
#[derive(Clone, Copy)]
struct Cube {
    side: usize,
}

impl Cube {
    fn places(self) -> impl Iterator<Item = [usize; 3]> {
        let side = self.side;
        (0..side * side * side).map(move |i| [i % side, i / side % side, i / (side * side)])
    }

    fn index(self, [r, g, b]: [usize; 3]) -> usize {
        r + self.side * (g + self.side * b)
    }

    /// Each of the up to 26 nodes around one: its index, its distance in art, squared, and its length in the measure of slopes.
    fn around(self, place: [usize; 3], mut visit: impl FnMut(usize, f64, f64)) {
        for step in 0..27_usize {
            let off = [step % 3, step / 3 % 3, step / 9];
            let count = off.iter().filter(|&&o| o != 1).count();
            let other: [usize; 3] = std::array::from_fn(|i| (place[i] + off[i]).wrapping_sub(1));
            if count == 0 || other.iter().any(|&o| o >= self.side) {
                continue;
            }
            let opposed = off.contains(&0) && off.contains(&2);
            visit(self.index(other), count as f64, if opposed { OPPOSED } else { 1.0 });
        }
    }

    /// The node of a grid of twice the cells: a node of this one, or the mean of those around.
    fn doubled(self, grid: &[Coverages], place: [usize; 3]) -> Coverages {
        let mut mean = [0.0; MAX_PLATES];
        for corner in 0..8_usize {
            let at = std::array::from_fn(|i| (place[i] + (corner >> i & 1)) / 2);
            for (m, c) in mean.iter_mut().zip(grid[self.index(at)]) {
                *m += 0.125 * c;
            }
        }
        mean
    }
}
