//! Sizes for any tones, from those of tones in whole steps (32 to solid, 48 for more than six plates), each found once and remembered.
//!
//! Between them excess is interpolated on the small simplices that cut up the simplex of all tones: in running sums
//! s₁ ≤ s₂ ≤ … ≤ s_k ≤ 1, the corners around a place are its whole parts, raised one by one in the order of the fractions, largest
//! first (H. Freudenthal, "Simplizialzerlegungen von beschränkter Flachheit", Annals of Mathematics 43 (1942) 580–582). All corners
//! then are tones that add up to no more than 1, of plates that have ink, and none differs from the place by more than one part
//! in a running sum: k + 1 corners, where a grid of boxes would take 2ᵏ.
//!
//! What is remembered changes nothing but the time taken: corners are a function of tones alone. Rejected: all corners found when
//! the screen is built (2.8 million for six plates, of which a picture meets some tens of thousands); 32 steps for any number of
//! plates: with eight they are up to 0.025 off; 64: four times the corners in a picture, which no longer fit in memory; ratios of size to tone in logarithms: no nearer, and an exponential for each plate; sizes found for each pixel's own tones.

use crate::error::{Result, filled};
use crate::screen::beside::MAX_PLATES;
use crate::screen::beside::share::{Excess, Shares, steps};

/// log₂ of the places for corners; when three quarters of them are taken, all are forgotten. A picture of soft waves in six plates
/// meets 11 000, in eight 54 000, in twelve 165 000.
fn places_log(plates: usize) -> u32 {
    if plates <= 6 { 16 } else { 18 }
}

/// Bits of the fraction of a step.
const FRACTION: u32 = 16;

/// Set in every name.
const NAMED: u128 = 1 << 127;

/// 2¹²⁸ by the golden ratio, odd.
const GOLDEN: u128 = 0x9e37_79b9_7f4a_7c15_f39c_c060_5ced_c835;

/// Corners met so far.
#[derive(Debug)]
pub(super) struct Memo {
    /// Names of corners, their running sums in bytes; 0 where there is none.
    names: Vec<u128>,
    excess: Vec<Excess>,
    known: usize,
    last: Simplex,
}

/// Corners around a place.
#[derive(Debug, Default)]
struct Simplex {
    /// The lowest corner's name.
    name: u128,
    /// Which sums are raised one after the other, counted from 1, four bits each; those with no fraction are not.
    order: u64,
    /// Places of its corners.
    corners: [usize; MAX_PLATES + 1],
}

impl Memo {
    pub(super) fn new(plates: usize) -> Result<Self> {
        Self::with_places(places_log(plates))
    }

    fn with_places(log: u32) -> Result<Self> {
        let places = 1 << log;
        Ok(Self {
            names: filled("sizes of dots by tones", places, 0)?,
            excess: filled("sizes of dots by tones", places, Excess::default())?,
            known: 0,
            last: Simplex::default(),
        })
    }

    /// Makes sizes of tones, in 65 535ths of the cell, that add up to no more than 65 535.
    pub(super) fn enlarge(&mut self, shares: &Shares, tones: &mut [u16]) {
        let mut sums = [0; MAX_PLATES];
        let mut fractions = [0; MAX_PLATES];
        let (mut sum, mut name) = (0, NAMED);
        for (i, &tone) in tones.iter().enumerate() {
            sum += u32::from(tone);
            // In steps and 65 536ths of one; on the scale of 65 536 solid is a whole number of steps.
            let place = (sum + sum / 65_535) * steps(tones.len());
            sums[i] = place >> FRACTION;
            name |= u128::from(sums[i]) << (8 * i);
            // Largest fraction first; of equal ones the later sum, so that sums never fall.
            let entry = (place & ((1 << FRACTION) - 1)) << 4 | i as u32;
            let mut at = i;
            while at > 0 && fractions[at - 1] < entry {
                fractions[at] = fractions[at - 1];
                at -= 1;
            }
            fractions[at] = entry;
        }
        let fractions = &fractions[..tones.len()];
        let raised = fractions.iter().filter(|entry| **entry >> 4 > 0);
        let order = raised.fold(0, |order, &entry| order << 4 | u64::from((entry & 15) + 1));
        if (self.last.name, self.last.order) != (name, order) {
            self.look_up(shares, name, &mut sums[..tones.len()], fractions);
            (self.last.name, self.last.order) = (name, order);
        }
        let mut excess = Excess::default();
        let mut left = 1 << FRACTION;
        let ends = fractions.iter().map(|entry| entry >> 4).chain([0]);
        for (&corner, fraction) in self.last.corners.iter().zip(ends) {
            let weight = (left - fraction) as f32;
            for (sum, excess) in excess.iter_mut().zip(&self.excess[corner]) {
                *sum += weight * excess;
            }
            left = fraction;
        }
        for (tone, excess) in tones.iter_mut().zip(excess) {
            let size = f32::from(*tone) + excess * (1.0 / (1 << FRACTION) as f32);
            *tone = (size + 0.5) as u16;
        }
    }

    /// Finds the corners above a lowest one.
    fn look_up(&mut self, shares: &Shares, name: u128, sums: &mut [u32], fractions: &[u32]) {
        if self.known + fractions.len() + 1 > self.names.len() / 4 * 3 {
            self.names.fill(0);
            self.known = 0;
        }
        let mut name = name;
        self.last.corners[0] = self.corner(shares, name, sums);
        for (n, &entry) in fractions.iter().enumerate() {
            let i = entry as usize & 15;
            name += 1 << (8 * i);
            sums[i] += 1;
            // No part of the way leads to a corner above an empty fraction.
            let last = self.last.corners[n];
            self.last.corners[n + 1] = if entry >> 4 == 0 { last } else { self.corner(shares, name, sums) };
        }
    }

    /// The place of a corner with these running sums.
    fn corner(&mut self, shares: &Shares, name: u128, sums: &[u32]) -> usize {
        // Fibonacci hashing: the highest bits of a product with the golden part of 2¹²⁸.
        let mut place = (name.wrapping_mul(GOLDEN) >> (u128::BITS - self.names.len().ilog2())) as usize;
        while self.names[place] != name {
            if self.names[place] == 0 {
                self.known += 1;
                self.names[place] = name;
                let mut tones = [0; MAX_PLATES];
                let mut before = 0;
                for (tone, &sum) in tones.iter_mut().zip(sums) {
                    (*tone, before) = (sum - before, sum);
                }
                self.excess[place] = shares.excess(&tones[..sums.len()]);
                break;
            }
            place = (place + 1) % self.names.len();
        }
        place
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::screen::beside::seeds;
    use crate::screen::beside::share::tests::Oracle;
    use crate::screen::dot::Dot;

    fn shares(plates: usize) -> Shares {
        Shares::new(&Dot::Round, seeds::in_cell(plates)).unwrap()
    }

    /// Numbers that are spread evenly over 0…1.
    struct Random(u64);

    impl Random {
        fn next(&mut self) -> f64 {
            self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (self.0 >> 11) as f64 / (1_u64 << 53) as f64
        }

        /// Tones: alike, or most of them small, or some of them none; every second time they add up to solid.
        fn tones(&mut self, plates: usize) -> Vec<u16> {
            let (kind, is_solid) = ((self.next() * 3.0) as u32, self.next() < 0.5);
            let part = |random: &mut Self| match kind {
                0 => -(1.0 - random.next()).ln(),
                1 => -(1.0 - random.next()).ln().powi(3),
                _ => (random.next() - 0.5).max(0.0),
            };
            let parts: Vec<f64> = (0..plates).map(|_| part(self)).collect();
            let total = if is_solid { 65_535.0 } else { 65_535.0 * (1.0 - self.next() * self.next()) };
            let sum = parts.iter().sum::<f64>().max(1e-9);
            let mut tones: Vec<u16> = parts.iter().map(|p| (p / sum * total) as u16).collect();
            if is_solid && tones[0] > 0 {
                tones[0] += 65_535 - tones.iter().sum::<u16>();
            }
            tones
        }

        /// The same tones but for a little that one plate gives up, which most often another gets.
        fn next_to(&mut self, tones: &[u16], most: f64) -> Vec<u16> {
            let mut tones = tones.to_vec();
            let [from, to] = [0, 0].map(|_| (self.next() * tones.len() as f64) as usize);
            let given = tones[from].min((self.next() * most) as u16);
            tones[from] -= given;
            let bare = 65_535 - tones.iter().sum::<u16>();
            tones[to] += if self.next() < 0.7 { given } else { bare.min((self.next() * most) as u16) };
            tones
        }
    }

    #[test]
    fn corners_are_met_as_they_are() {
        let (shares, mut memo) = (shares(3), Memo::new(3).unwrap());
        for tones in [[11, 11, 10], [20, 5, 5], [0, 16, 16], [0, 0, 32]] {
            let excess = shares.excess(&tones);
            // 2048 in 65 536 to a step; the scale of tones ends at 65 535.
            let mut sizes = tones.map(|t| (t * 2048) as u16);
            sizes[2] = sizes[2].wrapping_sub(u16::from(tones.iter().sum::<u32>() == steps(3)));
            let before = sizes;
            memo.enlarge(&shares, &mut sizes);
            for (i, (size, tone)) in sizes.iter().zip(before).enumerate() {
                let wanted = (f32::from(tone) + excess[i]).min(65_535.0);
                assert!((f32::from(*size) - wanted).abs() <= 0.5, "{tones:?} {i}: {size}, not {wanted}");
            }
        }
    }

    #[test]
    fn what_is_remembered_changes_nothing() {
        let shares = shares(5);
        // One with room for two simplices, one that forgets nothing, and one that knows nothing.
        let (mut small, mut large) = (Memo::with_places(4).unwrap(), Memo::new(5).unwrap());
        let mut random = Random(5);
        for _ in 0..60 {
            let tones = random.tones(5);
            // The same again and its neighbour, which often lies in the same simplex.
            for tones in [tones.clone(), tones.iter().map(|t| t.saturating_sub(7)).collect(), tones] {
                let [mut a, mut b, mut c] = [tones.clone(), tones.clone(), tones.clone()];
                small.enlarge(&shares, &mut a);
                large.enlarge(&shares, &mut b);
                Memo::with_places(5).unwrap().enlarge(&shares, &mut c);
                assert_eq!((&a, &b), (&b, &c), "{tones:?}");
                let bare = tones.iter().zip(&a).filter(|(tone, _)| **tone == 0);
                assert!(bare.clone().all(|(_, size)| *size == 0), "{tones:?}: {a:?}");
                assert!(tones.iter().zip(&a).all(|(tone, size)| tone <= size), "{tones:?}: {a:?}");
            }
        }
    }

    #[test]
    fn any_tones_are_covered_to_a_fiftieth() {
        // From the worst of some random tones a climb to worse ones near them.
        for plates in [2, 3, 4, 5, 6, 8, 10, 12] {
            let (shares, mut memo, oracle) =
                (shares(plates), Memo::new(plates).unwrap(), Oracle::new(plates));
            let mut off = |tones: &[u16]| {
                let mut sizes = tones.to_vec();
                memo.enlarge(&shares, &mut sizes);
                let part = |level: &u16| f64::from(*level) / 65_535.0;
                let is_solid = tones.iter().map(|&t| u32::from(t)).sum::<u32>() == 65_535;
                let areas = oracle.areas(&sizes.iter().map(part).collect::<Vec<_>>(), is_solid);
                let off = |(area, tone): (f64, &u16)| (area - part(tone)).abs();
                areas.into_iter().zip(tones).map(off).fold(0.0, f64::max)
            };
            let (mut random, mut worst) = (Random(1), (0.0, Vec::new()));
            for _ in 0..3 {
                let mut top = (0.0, Vec::new());
                for step in 0..200 {
                    let tones = match step {
                        0..60 => random.tones(plates),
                        _ => random.next_to(&top.1, f64::from(4_000 >> (step / 60))),
                    };
                    let off = off(&tones);
                    top = if off > top.0 { (off, tones) } else { top };
                }
                worst = if top.0 > worst.0 { top } else { worst };
            }
            let parts: Vec<f64> = worst.1.iter().map(|&tone| f64::from(tone) / 65_535.0).collect();
            println!("{plates} plates: {:.4} off at {parts:.3?}", worst.0);
            assert!(worst.0 < 0.02, "{plates} plates: {} off at {parts:.3?}", worst.0);
        }
    }
}
