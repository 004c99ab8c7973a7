//! How large each dot must grow so that, cut where dots meet, every plate keeps its tone.
//!
//! A dot of size d takes the places whose rank r is below d, unless another dot of size d′ has r′/d′ < r/d: where two dots meet, the
//! border runs as if all had grown from nothing to their sizes at the same time. What a dot loses so it must win back elsewhere: sizes
//! d are sought at which every area is the tone t. While no dots touch, d = t.
//!
//! In y = log d the areas are found on samples of the cell: a dot's area is d less what it loses, and a sample is lost by as much as
//! it lies within the other's border, in steps of a soft width. Each round moves every y by (t − area)/(d area/dy), all at once, some
//! of the way. A few hundred samples bring the sizes near, more settle them. Near solid, where all dots must grow together and
//! one by one they are slow to, a last step makes all alike larger or smaller until what is bare is right too.
//!
//! Rejected: tables of sizes by tone (with six plates and steps of 1/8 3003 vectors, and still 0.06 of the cell off); overlaps taken
//! two dots at a time (where three meet they count twice: 0.2 off at solid); borders of equal r − d, the cells of a power diagram
//! (straight, but of 0.05 each of seven beside 0.6 one is a sliver of 0.60 of its circle, where this law keeps 0.87).

use crate::error::{Result, reserve};
use crate::screen::beside::MAX_PLATES;
use crate::screen::dot::Dot;

/// Steps of tone to a whole, in the tones that sizes are found for: the more plates, the less each has of it.
pub(super) fn steps(plates: usize) -> u32 {
    if plates <= 6 { 32 } else { 48 }
}

/// Units to an octave of sizes and ranks.
const OCTAVE: f32 = 1024.0;

/// Above all ranks that are met with.
const FAR: i16 = 20_000;

/// Side of the square of places that a rank is counted on.
const RULER: usize = 128;

/// From this sum of tones on all dots touch, and are brought to it together.
const NEARLY_SOLID: f32 = 0.9375;

/// Part of a whole step that a round takes: two dots that share a border both move it, and would swing.
const RELAX: f32 = 0.7;

/// Part of the last round's change that is made again: near solid, where all dots must grow together, it saves a third of the rounds.
const MOMENTUM: f32 = 0.3;

/// Most that a round changes a size by, in octaves.
const STRIDE: f32 = 0.5;

/// Areas this near to their tones are near enough, in parts of the cell.
const CLOSE: f32 = 0.002;

/// d area/dy is taken to be at least this part of the tone; it is 0.69 of it where a dot touches nothing.
const LEAST_SLOPE: f32 = 0.3;

/// Up to this tone dots are discs; beyond it they meet their own kind, and are taken to touch whatever else there is.
pub(super) const LARGEST_DISC: f64 = 0.5;

/// How a cell is sampled: sample i of n lies at (i/n, i g/n), the lattice of n places whose nearest two are furthest apart.
struct Sampling {
    n: usize,
    g: usize,
    /// Half the soft width of a border, in octaves.
    soft: f32,
    rounds: usize,
}

const COARSE: Sampling = Sampling { n: 232, g: 16, soft: 0.15, rounds: 8 };
const FINE: Sampling = Sampling { n: 1504, g: 515, soft: 0.08, rounds: 16 };

const MOST_SAMPLES: usize = if COARSE.n > FINE.n { COARSE.n } else { FINE.n };

/// A size or rank from log₂ of it.
fn in_octaves(y: f32) -> i16 {
    (y * OCTAVE) as i16
}

/// By how much the sizes of dots are above their tones, in 65 535ths, plate by plate, then zeroes.
pub(super) type Excess = [f32; MAX_PLATES];

/// The cell as every plate's dot sees it.
#[derive(Debug)]
pub(super) struct Shares {
    plates: usize,
    /// Distance of each two seeds, or of their nearest copies, in cells.
    apart: Vec<f64>,
    coarse: Samples,
    fine: Samples,
}

impl Shares {
    /// For plates whose dots, all of one shape, stand at `seeds` (in cells).
    pub(super) fn new(dot: &Dot, seeds: &[[f64; 2]]) -> Result<Self> {
        let mut apart = reserve("distances of seeds", seeds.len() * seeds.len())?;
        apart.extend(seeds.iter().flat_map(|a| seeds.iter().map(|b| distance(*a, *b))));
        let ruler = ruler(dot)?;
        Ok(Self {
            plates: seeds.len(),
            apart,
            coarse: Samples::new(COARSE, dot, &ruler, seeds)?,
            fine: Samples::new(FINE, dot, &ruler, seeds)?,
        })
    }

    /// The least distance between two seeds, in cells.
    pub(super) fn nearest(&self) -> f64 {
        let others = self.apart.iter().enumerate().filter(|(i, _)| i / self.plates != i % self.plates);
        others.map(|(_, &d)| d).fold(f64::INFINITY, f64::min)
    }

    /// What dots need for tones in whole [`steps`] that add up to no more than solid.
    pub(super) fn excess(&self, tones: &[u32]) -> Excess {
        let mut excess = Excess::default();
        let (mut parts, mut y) = ([0.0; MAX_PLATES], [0.0; MAX_PLATES]);
        let whole = steps(self.plates) as f32;
        for ((part, y), &tone) in parts.iter_mut().zip(&mut y).zip(tones) {
            *part = tone as f32 / whole;
            *y = libm::log2f(part.max(1.0 / whole));
        }
        let parts = &parts[..self.plates];
        if !self.touch(parts) {
            return excess;
        }
        for samples in [&self.coarse, &self.fine] {
            let mut pace = [0.0; MAX_PLATES];
            for _ in 0..samples.rounds {
                if samples.round(parts, &mut y, &mut pace) < CLOSE {
                    break;
                }
            }
        }
        let sum = parts.iter().sum();
        if sum >= NEARLY_SOLID {
            self.fine.fill(parts, &mut y, sum);
        }
        for ((excess, &part), &y) in excess.iter_mut().zip(parts).zip(&y) {
            if part > 0.0 {
                *excess = (libm::exp2f(y) - part) * 65_535.0;
            }
        }
        excess
    }

    /// Whether any two dots of such tones touch.
    fn touch(&self, tones: &[f32]) -> bool {
        let reach = |tone: f32| {
            let tone = f64::from(tone);
            if tone <= LARGEST_DISC { (tone / std::f64::consts::PI).sqrt() } else { 1.0 }
        };
        let touches = |i: usize, j: usize| {
            tones[i] > 0.0
                && tones[j] > 0.0
                && reach(tones[i]) + reach(tones[j]) > self.apart[i * self.plates + j]
        };
        (0..self.plates).any(|i| (0..i).any(|j| touches(i, j)))
    }
}

/// Distance of two places of the cell, or of their nearest copies.
pub(super) fn distance(a: [f64; 2], b: [f64; 2]) -> f64 {
    let [x, y] = [a[0] - b[0], a[1] - b[1]].map(|d| d - libm::floor(d + 0.5));
    (x * x + y * y).sqrt()
}

/// The dot's values over the cell, highest first.
pub(super) fn ruler(dot: &Dot) -> Result<Vec<f64>> {
    let at = |i: usize| (2 * i + 1) as f64 / RULER as f64 - 1.0;
    let mut values = reserve("places of a cell", RULER * RULER)?;
    values.extend((0..RULER * RULER).map(|i| dot.value(at(i % RULER), at(i / RULER))));
    values.sort_unstable_by(|a, b| b.total_cmp(a));
    Ok(values)
}

/// Samples of the cell, with the rank of every plate.
#[derive(Debug)]
struct Samples {
    /// log₂ of the rank of each sample, plate by plate.
    ranks: Vec<i16>,
    count: usize,
    /// Half the soft width of a border.
    soft: i16,
    rounds: usize,
}

impl Samples {
    fn new(by: Sampling, dot: &Dot, ruler: &[f64], seeds: &[[f64; 2]]) -> Result<Self> {
        let mut ranks = reserve("samples of a cell", by.n * seeds.len())?;
        for seed in seeds {
            ranks.extend((0..by.n).map(|i| {
                let place = [i, i * by.g % by.n].map(|c| (c as f64 + 0.5) / by.n as f64);
                // The dot's own coordinates run from −1 to 1 over the cell about its seed.
                let [x, y] = [0, 1].map(|axis| {
                    let d = place[axis] - seed[axis];
                    2.0 * (d - libm::floor(d + 0.5))
                });
                let value = dot.value(x, y);
                let (first, last) =
                    (ruler.partition_point(|&v| v > value), ruler.partition_point(|&v| v >= value));
                let rank = (first + last + 1) as f32 / (2 * ruler.len()) as f32;
                in_octaves(libm::log2f(rank))
            }));
        }
        Ok(Self { ranks, count: by.n, soft: (by.soft * OCTAVE) as i16, rounds: by.rounds })
    }

    /// One step of all sizes, y = log₂ d, towards those whose areas are `tones`; `pace` is what the step before changed.
    fn round(&self, tones: &[f32], y: &mut [f32], pace: &mut [f32]) -> f32 {
        let mut farthest = 0.0_f32;
        // What the two that come first are short of a sample by; bare cloth is at 0.
        let (mut first, mut second) = ([0_i16; MOST_SAMPLES], [FAR; MOST_SAMPLES]);
        let (first, second) = (&mut first[..self.count], &mut second[..self.count]);
        let width = 2 * self.soft;
        for (i, ranks, _) in self.inked(tones) {
            let size = in_octaves(y[i]);
            for ((first, second), &rank) in first.iter_mut().zip(second.iter_mut()).zip(ranks) {
                let short = rank - size;
                *second = (*second).min(short.max(*first));
                *first = (*first).min(short);
            }
        }
        let held = |inside: i16| inside.max(0).min(width);
        for (i, ranks, tone) in self.inked(tones) {
            let size = in_octaves(y[i]);
            let (mut lost, mut border) = (0, 0);
            for ((&first, &second), &rank) in first.iter().zip(&*second).zip(ranks) {
                let short = rank - size;
                let rest = if short == first { second } else { first };
                let inside = rest - short + self.soft;
                lost += i32::from(held(self.soft - short) - held(inside));
                border += i32::from(held(inside) == inside);
            }
            let area = libm::exp2f(y[i]) - lost as f32 / (f32::from(width) * self.count as f32);
            farthest = farthest.max((tone - area).abs());
            let slope = border as f32 * OCTAVE / (f32::from(width) * self.count as f32);
            let step = RELAX * (tone - area) / slope.max(LEAST_SLOPE * tone) + MOMENTUM * pace[i];
            pace[i] = step.clamp(-STRIDE, STRIDE);
            y[i] = (y[i] + pace[i]).min(0.0);
        }
        farthest
    }

    /// Makes all sizes alike larger or smaller, so that together they reach `sum` of the cell.
    fn fill(&self, tones: &[f32], y: &mut [f32], sum: f32) {
        let mut first = [FAR; MOST_SAMPLES];
        let first = &mut first[..self.count];
        for (i, ranks, _) in self.inked(tones) {
            let size = in_octaves(y[i]);
            for (first, &rank) in first.iter_mut().zip(ranks) {
                *first = (*first).min(rank - size);
            }
        }
        let reached = (self.count as f32 * sum) as usize;
        let (_, short, _) = first.select_nth_unstable(reached.min(self.count - 1));
        for y in y {
            *y = (*y + f32::from(*short) / OCTAVE).min(0.0);
        }
    }

    /// Plates that have any ink: number, ranks, tone.
    fn inked<'a>(&'a self, tones: &'a [f32]) -> impl Iterator<Item = (usize, &'a [i16], f32)> {
        let plates = self.ranks.chunks_exact(self.count).zip(tones).enumerate();
        plates.filter(|plate| *plate.1.1 > 0.0).map(|(i, (ranks, &tone))| (i, ranks, tone))
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::screen::beside::seeds;

    /// The law in plain numbers on a fine square of places: what each plate covers with dots of the given sizes.
    pub(in crate::screen::beside) struct Oracle {
        ranks: Vec<Vec<f64>>,
    }

    impl Oracle {
        const SIDE: usize = 150;

        pub(in crate::screen::beside) fn new(plates: usize) -> Self {
            let at = |i: usize| (i as f64 + 0.5) / Self::SIDE as f64;
            let places = || (0..Self::SIDE * Self::SIDE).map(|i| [at(i % Self::SIDE), at(i / Self::SIDE)]);
            let ranks = |seed: &[f64; 2]| {
                let mut order: Vec<_> = places().map(|p| distance(p, *seed)).enumerate().collect();
                order.sort_by(|a, b| a.1.total_cmp(&b.1));
                let mut ranks = vec![0.0; order.len()];
                for (rank, (place, _)) in order.iter().enumerate() {
                    ranks[*place] = (rank as f64 + 0.5) / order.len() as f64;
                }
                ranks
            };
            Self { ranks: seeds::in_cell(plates).iter().map(ranks).collect() }
        }

        pub(in crate::screen::beside) fn areas(&self, sizes: &[f64], is_solid: bool) -> Vec<f64> {
            let mut areas = vec![0.0; sizes.len()];
            for place in 0..Self::SIDE * Self::SIDE {
                let reached = |i: &usize| self.ranks[*i][place] / sizes[*i];
                let first = (0..sizes.len()).filter(|&i| sizes[i] > 0.0);
                let first = first.min_by(|a, b| reached(a).total_cmp(&reached(b)));
                if let Some(i) = first.filter(|i| is_solid || reached(i) < 1.0) {
                    areas[i] += 1.0 / (Self::SIDE * Self::SIDE) as f64;
                }
            }
            areas
        }
    }

    fn shares(plates: usize) -> Shares {
        Shares::new(&Dot::Round, seeds::in_cell(plates)).unwrap()
    }

    #[test]
    fn dots_that_do_not_touch_are_as_large_as_their_tones() {
        for tones in [&[6, 6, 6, 6][..], &[32], &[0, 32, 0], &[3, 3, 3, 3, 3, 3], &[12, 12], &[2, 0, 9]] {
            assert_eq!(shares(tones.len()).excess(tones), Excess::default(), "{tones:?}");
        }
    }

    #[test]
    fn dots_that_touch_cover_their_tones() {
        for tones in [
            &[16, 16][..],
            &[30, 2],
            &[11, 11, 10],
            &[20, 4, 3],
            &[26, 3, 3],
            &[8, 8, 8, 8],
            &[16, 9, 3, 1],
            &[6, 5, 5, 5, 5, 5],
            &[16, 2, 2, 2, 2, 2],
            &[34, 2, 2, 2, 2, 2, 2, 2],
            &[18, 2, 9, 0, 4, 4, 0, 3, 6, 2],
        ] {
            let excess = shares(tones.len()).excess(tones);
            let whole = steps(tones.len());
            let wanted: Vec<f64> = tones.iter().map(|&t| f64::from(t) / f64::from(whole)).collect();
            let sizes: Vec<f64> =
                wanted.iter().zip(excess).map(|(t, e)| t + f64::from(e) / 65_535.0).collect();
            let areas = Oracle::new(tones.len()).areas(&sizes, tones.iter().sum::<u32>() == whole);
            let off = areas.iter().zip(&wanted).map(|(a, t)| (a - t).abs()).fold(0.0, f64::max);
            println!("{tones:?}: {off:.4} off");
            assert!(off < 0.01, "{tones:?}: {areas:.3?} for {wanted:.3?}");
        }
    }
}
