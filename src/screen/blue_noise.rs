//! The blue-noise order: the cells of a torus, each with the rank at which it
//! is inked, so that at every tone the inked cells are spread without clumps,
//! holes or direction.
//!
//! Void-and-cluster (R. Ulichney, Proc. SPIE 1913 (1993) 332-343). Every inked
//! cell spreads a Gaussian of energy over the torus. The *tightest cluster* is
//! the inked cell of highest energy, the *largest void* the blank cell of
//! lowest. A small random pattern is relaxed by moving the tightest cluster to
//! the largest void until that changes nothing. From it, phase 1 takes clusters
//! out and ranks them downwards, phase 2 fills voids up to half, and phase 3
//! goes on to full by taking clusters out of the blanks, now the minority.
//!
//! Energies are integers and ties go to the lowest cell, so the order is the
//! same to the bit on every processor.
//!
//! Measure: low-frequency power, the mean of the annulus means of the
//! periodogram over its white level g (1 - g), up to half the principal
//! frequency sqrt(min(g, 1 - g)); white noise has 1. On 128 x 128 this order has
//! 0.045 to 0.100 over the tones 1/128 to 127/128. Rejected: one Gaussian of 1.5
//! cells for all tones, which has 0.181 at 1/2 and 0.136 at 1/128: too wide for
//! the middle, too narrow for the ends.

use crate::screen::brick::Tiling;

/// Standard deviation of the Gaussian at the middle tones, in cells. Wider is
/// quieter below 1/4 and louder at 1/2, for it lets near neighbours meet. Power
/// at 3/16 and 1/2: 0.048, 0.177 for 1.5; 0.054, 0.129 for 1.35; 0.057, 0.100
/// for 1.2; 0.069, 0.081 for 1.0.
const SIGMA: f64 = 1.2;

/// The Gaussian widens by sqrt(2) at each halving of the minority below one cell
/// in `WIDEN`: dots so much farther apart would not feel each other else. Power
/// at 1/64 and 1/32: 0.137, 0.105 if never; 0.123, 0.099 for 16; 0.078, 0.068
/// for 8. With 4 it is 0.069, 0.055, but the loudest annulus at 1/4 goes from
/// 0.16 to 0.26, and it takes 1.4 times as long.
const WIDEN: usize = 8;

/// Below this many minority cells it widens no more: it spans the torus by then,
/// and a wider one only costs time.
const FEWEST: usize = 8;

/// One cell in this many is inked in the initial pattern. From 3 to 20 the power
/// moves by 0.025 at most; a lower value takes more swaps.
const INITIAL: usize = 10;

/// The energy of a cell upon itself. It sets the resolution, and the reach too:
/// the Gaussian is cut where it rounds to 0, beyond 7.54 sigma. Sums stay far
/// inside 64 bits, since the wider the Gaussian the fewer the cells.
const UNIT: f64 = (1_u64 << 40) as f64;

/// Cells whose extremes are kept together, so that a step scans again only what
/// it changed. Longer blocks are fewer but dearer; 32 to 128 take the same time.
const BLOCK: usize = 64;

/// Start of the generator of the initial pattern. Arbitrary.
const SEED: u64 = 1;

/// The two extremes, as places in [`Field::best`]: the blank cell of lowest
/// energy and the minority cell of highest.
const VOID: usize = 0;
const CLUSTER: usize = 1;

/// A key to be made highest, and the cell that has it.
type Champion = (i64, usize);
const NOBODY: Champion = (i64::MIN, usize::MAX);

/// The Gaussian as square rows, top to bottom.
fn gaussian(sigma: f64) -> Vec<Vec<i64>> {
    let weight = |x: i64, y: i64| {
        let squared = (x * x + y * y) as f64;
        (UNIT * libm::exp(-squared / (2.0 * sigma * sigma)) + 0.5) as i64
    };
    let reach = (1..).take_while(|&x| weight(x, 0) > 0).count() as i64;
    let row = |y| (-reach..=reach).map(|x| weight(x, y)).collect();
    (-reach..=reach).map(row).collect()
}

/// A minority of cells, its energy, and the extremes of that energy.
struct Field<'a> {
    torus: &'a Tiling,
    minority: Vec<bool>,
    count: usize,
    sigma: f64,
    kernel: Vec<Vec<i64>>,
    energy: Vec<i64>,
    /// The champion of each block.
    best: [Vec<Champion>; 2],
    /// The blocks to scan again.
    changed: Vec<usize>,
}

impl<'a> Field<'a> {
    fn new(torus: &'a Tiling, minority: Vec<bool>) -> Self {
        let blocks = minority.len().div_ceil(BLOCK);
        let mut field = Self {
            torus,
            count: minority.iter().filter(|&&m| m).count(),
            minority,
            sigma: 0.0,
            kernel: Vec::new(),
            energy: Vec::new(),
            best: [vec![NOBODY; blocks], vec![NOBODY; blocks]],
            changed: Vec::new(),
        };
        field.tune();
        field
    }

    /// Gives the energy the width that suits the count.
    fn tune(&mut self) {
        let (mut sigma, mut count) = (SIGMA, self.count.max(FEWEST));
        while count * WIDEN < self.minority.len() {
            sigma *= std::f64::consts::SQRT_2;
            count *= 2;
        }
        if sigma == self.sigma {
            return;
        }
        self.sigma = sigma;
        self.kernel = gaussian(sigma);
        self.energy = vec![0; self.minority.len()];
        for cell in 0..self.minority.len() {
            if self.minority[cell] {
                self.spread(cell, 1);
            }
        }
        self.changed = (0..self.best[VOID].len()).collect();
        self.rescan();
    }

    fn set(&mut self, cell: usize, member: bool) {
        self.minority[cell] = member;
        if member {
            self.count += 1;
            self.spread(cell, 1);
        } else {
            self.count -= 1;
            self.spread(cell, -1);
        }
        self.rescan();
    }

    /// Adds `sign` times the Gaussian around `cell`.
    fn spread(&mut self, cell: usize, sign: i64) {
        let (width, height) = (self.torus.width as i64, self.torus.height as i64);
        let reach = (self.kernel.len() / 2) as i64;
        let (x, y) = (cell as i64 % width - reach, cell as i64 / width - reach);
        for (y, weights) in (y..).zip(&self.kernel) {
            let left = x - y.div_euclid(height) * self.torus.shift as i64;
            let row = (y.rem_euclid(height) * width) as usize;
            let mut column = left.rem_euclid(width) as usize;
            let mut weights = weights.as_slice();
            // It may run past the edge of the rectangle, if narrow more than once.
            while !weights.is_empty() {
                let run = weights.len().min(self.torus.width - column);
                let (now, later) = weights.split_at(run);
                let start = row + column;
                for (energy, weight) in self.energy[start..start + run].iter_mut().zip(now) {
                    *energy += sign * weight;
                }
                self.changed.extend(start / BLOCK..=(start + run - 1) / BLOCK);
                column = 0;
                weights = later;
            }
        }
    }

    /// Finds the champions of the changed blocks again.
    fn rescan(&mut self) {
        self.changed.sort_unstable();
        self.changed.dedup();
        for block in self.changed.drain(..) {
            let mut best = [NOBODY; 2];
            for cell in block * BLOCK..self.energy.len().min((block + 1) * BLOCK) {
                let (side, key) = if self.minority[cell] {
                    (CLUSTER, self.energy[cell])
                } else {
                    (VOID, -self.energy[cell])
                };
                if key > best[side].0 {
                    best[side] = (key, cell);
                }
            }
            self.best[VOID][block] = best[VOID];
            self.best[CLUSTER][block] = best[CLUSTER];
        }
    }

    /// The cell at an extreme; ties go to the lowest, here as within a block.
    fn find(&self, side: usize) -> usize {
        let better = |a: Champion, b: Champion| if b.0 > a.0 { b } else { a };
        self.best[side].iter().copied().fold(NOBODY, better).1
    }

    /// Moves the tightest cluster to the largest void until that is where it
    /// was. It ends, as each move lowers the sum of energies or, by the rule on
    /// ties, keeps it and lowers the sum of cell numbers.
    fn relax(&mut self) {
        loop {
            let cluster = self.find(CLUSTER);
            self.set(cluster, false);
            let void = self.find(VOID);
            self.set(void, true);
            if void == cluster {
                return;
            }
        }
    }
}

/// `count` of the cells at random, by the high bits of a linear congruential
/// generator. Rejected: cells at even steps, already stable, whose direction the
/// order keeps (anisotropy 10 dB at 3/32, where this has -0.4).
fn initial_pattern(cells: usize, count: usize) -> Vec<bool> {
    let mut pattern = vec![false; cells];
    let mut state = SEED;
    let mut left = count;
    while left > 0 {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let cell = (((state >> 32) * cells as u64) >> 32) as usize;
        if !pattern[cell] {
            pattern[cell] = true;
            left -= 1;
        }
    }
    pattern
}

/// The rank of each cell, row by row; 0 is the first to be inked.
pub(crate) fn blue_noise_order(torus: &Tiling) -> Vec<u32> {
    let cells = torus.width * torus.height;
    let mut rank = vec![0; cells];
    if cells == 0 {
        return rank;
    }
    let pattern = initial_pattern(cells, cells.div_ceil(INITIAL));
    let mut inked = Field::new(torus, pattern);
    inked.relax();
    let relaxed = inked.minority.clone();

    while inked.count > 0 {
        inked.tune();
        let cell = inked.find(CLUSTER);
        inked.set(cell, false);
        rank[cell] = inked.count as u32;
    }

    let mut inked = Field::new(torus, relaxed);
    while inked.count < cells / 2 {
        inked.tune();
        let cell = inked.find(VOID);
        rank[cell] = inked.count as u32;
        inked.set(cell, true);
    }

    let mut blank = Field::new(torus, inked.minority.iter().map(|m| !m).collect());
    while blank.count > 0 {
        blank.tune();
        let cell = blank.find(CLUSTER);
        rank[cell] = (cells - blank.count) as u32;
        blank.set(cell, false);
    }
    rank
}

#[cfg(test)]
mod tests {
    use super::*;
    use rustfft::{FftPlanner, num_complex::Complex};

    const fn torus(width: usize, height: usize, shift: usize) -> Tiling {
        Tiling { width, height, shift }
    }

    fn inked(rank: &[u32], count: usize) -> Vec<bool> {
        rank.iter().map(|&r| (r as usize) < count).collect()
    }

    fn mean(values: &[f64]) -> f64 {
        values.iter().sum::<f64>() / values.len() as f64
    }

    fn deviation(values: &[f64]) -> f64 {
        let centre = mean(values);
        let squares: f64 = values.iter().map(|v| (v - centre).powi(2)).sum();
        (squares / (values.len() - 1) as f64).sqrt()
    }

    /// Low-frequency power, and anisotropy in decibels, of the first `count`
    /// cells. A torus of height 1 has its one-row spectrum laid out in the plane.
    fn quality(torus: &Tiling, rank: &[u32], count: usize) -> (f64, f64) {
        let cells = rank.len();
        let (width, height) = (torus.width, torus.height);
        assert!(torus.shift == 0 || height == 1);
        let tone = count as f64 / cells as f64;
        let mut data: Vec<Complex<f64>> =
            inked(rank, count).iter().map(|&m| Complex::from(f64::from(u8::from(m)) - tone)).collect();
        let mut planner = FftPlanner::new();
        planner.plan_fft_forward(width).process(&mut data);
        let mut columns: Vec<_> = (0..cells).map(|i| data[i % height * width + i / height]).collect();
        planner.plan_fft_forward(height).process(&mut columns);

        let centred = |f: f64| f - (f + 0.5).floor();
        let mut rings = vec![Vec::new(); cells];
        // One of each pair of opposite frequencies, as they hold the same power.
        for (i, value) in columns.iter().enumerate().skip(1) {
            let (kx, ky) = (i / height, i % height);
            if (ky, kx) > ((height - ky) % height, (width - kx) % width) {
                continue;
            }
            let fx = kx as f64 / width as f64;
            let fy = ky as f64 / height as f64 - fx * torus.shift as f64;
            let radius = centred(fx).hypot(centred(fy)) * (cells as f64).sqrt();
            let white = cells as f64 * tone * (1.0 - tone);
            rings[radius.round() as usize].push(value.norm_sqr() / white);
        }
        let half = (tone.min(1.0 - tone) * cells as f64).sqrt() / 2.0;
        let low: Vec<f64> = (1..=half as usize).map(|r| mean(&rings[r])).collect();
        let anisotropy: Vec<f64> = rings
            .iter()
            .filter(|ring| ring.len() > 3)
            .map(|ring| 20.0 * (deviation(ring) / mean(ring)).log10())
            .collect();
        (mean(&low), mean(&anisotropy))
    }

    #[test]
    fn order_is_a_permutation_with_pinned_bits() {
        for (width, height, shift) in [(0, 4, 0), (1, 1, 0), (5, 1, 2), (3, 7, 4)] {
            let mut rank = blue_noise_order(&torus(width, height, shift));
            rank.sort_unstable();
            assert!(rank.into_iter().eq(0..(width * height) as u32));
        }
        let hash = blue_noise_order(&torus(70, 30, 11))
            .iter()
            .fold(0_u64, |hash, &rank| (hash ^ u64::from(rank)).wrapping_mul(0x0100_0000_01b3));
        assert_eq!(hash, 9_844_897_645_784_543_266);
    }

    #[test]
    fn energy_and_extremes_agree_with_the_definition() {
        for torus in [torus(20, 9, 7), torus(211, 1, 15), torus(300, 30, 77)] {
            let (width, height) = (torus.width as i64, torus.height as i64);
            let cells = torus.width * torus.height;
            let mut field = Field::new(&torus, initial_pattern(cells, cells / 5));
            for _ in 0..cells / 20 {
                let cells = || (0..cells).rev();
                let blank = cells().filter(|&c| !field.minority[c]);
                let void = blank.max_by_key(|&c| -field.energy[c]);
                let cluster = cells().filter(|&c| field.minority[c]);
                let cluster = cluster.max_by_key(|&c| field.energy[c]);
                assert_eq!(void, Some(field.find(VOID)));
                assert_eq!(cluster, Some(field.find(CLUSTER)));
                field.set(field.find(CLUSTER), false);
                field.set(field.find(VOID), true);
                field.set(field.find(VOID), true);
            }
            let reach = (field.kernel.len() / 2) as i64;
            let mut energy = vec![0; cells];
            for cell in (0..cells).filter(|&cell| field.minority[cell]) {
                for (dy, row) in (-reach..).zip(&field.kernel) {
                    for (dx, weight) in (-reach..).zip(row) {
                        let (x, y) = (cell as i64 % width + dx, cell as i64 / width + dy);
                        let q = y.div_euclid(height);
                        let column = (x - q * torus.shift as i64).rem_euclid(width);
                        energy[((y - q * height) * width + column) as usize] += weight;
                    }
                }
            }
            assert_eq!(energy, field.energy);
        }
    }

    #[test]
    fn low_frequencies_are_quiet_and_no_direction_shows() {
        for torus in [torus(128, 128, 0), torus(20_000, 1, 141)] {
            let rank = blue_noise_order(&torus);
            for tone in [1, 4, 8, 12, 16, 24, 32, 48, 56, 64, 72, 80, 96, 104, 112, 120, 124, 127] {
                let (low, anisotropy) = quality(&torus, &rank, rank.len() * tone / 128);
                println!("{tone:3}/128 {low:.3} {anisotropy:5.2} dB");
                assert!(low < 0.12, "{tone}/128: {low}");
                assert!(anisotropy.abs() < 1.0, "{tone}/128: {anisotropy} dB");
            }
        }
    }

    /// Inked neighbours across each line between columns, and between rows: the
    /// line where the tile meets itself is one of the crowd.
    #[test]
    fn seam_does_not_show() {
        let n = 128;
        let rank = blue_noise_order(&torus(n, n, 0));
        for count in [n * n / 4, n * n / 2, n * n * 3 / 4] {
            let dots = inked(&rank, count);
            for turned in [false, true] {
                let at = |line: usize, i: usize| {
                    let line = line % n;
                    dots[if turned { line * n + i } else { i * n + line }]
                };
                let pairs: Vec<f64> = (1..=n)
                    .map(|line| (0..n).filter(|&i| at(line - 1, i) && at(line, i)).count() as f64)
                    .collect();
                let (seam, inside) = (pairs[n - 1], &pairs[..n - 1]);
                let away = (seam - mean(inside)).abs() / deviation(inside);
                println!("{count} {turned} {seam} {} {away}", mean(inside));
                assert!(away < 3.5, "{count}: {away} deviations");
            }
        }
    }
}
