//! Who takes which pixel: a run of pixels of all plates, from tones to claims that exclude each other.
//!
//! Tones at which no dots can touch are known by the two largest, first those of a whole run of pixels, then those of each pixel. Where
//! none can in a run, each plate's claims are compared and packed as an ordinary screen's, and only pixels that two plates claim at
//! their dots' edges are looked at one by one. Elsewhere tones become sizes, and each pixel goes to the dot that reaches it first.
//! Both ways are one law, so that how a film is cut into runs changes no bit.

use crate::error::{Result, filled};
use crate::screen::beside::memo::Memo;
use crate::screen::beside::{MAX_PLATES, SideBySide, Touching};
use crate::screen::kernel::scalar::pack;
use crate::screen::table::MAX_RUN;

/// What one run works on: a run of pixels of every plate, and the sizes of dots found so far. Nothing in it changes a film.
#[derive(Debug)]
pub(super) struct Bench {
    /// Tones, then sizes, plate by plate.
    pub(super) sizes: Vec<[u16; MAX_RUN]>,
    /// Pixels that each plate claims.
    pub(super) claims: Vec<[u8; MAX_RUN / 8]>,
    /// For each pixel 1, or more than any dot takes to reach it where tones add up to solid.
    bare: [f32; MAX_RUN],
    memo: Option<Memo>,
}

impl Bench {
    pub(super) fn new(plan: &SideBySide) -> Result<Self> {
        let plates = plan.plates();
        let memo = plan.0.common.touching.as_ref().map(|_| Memo::new(plates)).transpose()?;
        Ok(Self {
            sizes: filled("tones of plates side by side", plates, [0; MAX_RUN])?,
            claims: filled("claims of plates side by side", plates, [0; MAX_RUN / 8])?,
            bare: [1.0; MAX_RUN],
            memo,
        })
    }

    /// Claims of plates that take what lies between running sums of tones.
    pub(super) fn rings(&mut self, thresholds: &[&[u16]; MAX_PLATES], pixels: usize) {
        let mut sums = [0_u16; MAX_RUN];
        for sizes in &mut self.sizes {
            for (size, sum) in sizes[..pixels].iter_mut().zip(&mut sums) {
                *sum = sum.saturating_add(*size);
                *size = *sum;
            }
        }
        let bytes = pixels.div_ceil(8);
        let mut before = [0; MAX_RUN / 8];
        for ((sizes, thresholds), claims) in self.sizes.iter().zip(thresholds).zip(&mut self.claims) {
            pack(&sizes[..pixels], thresholds, &mut claims[..bytes]);
            for (claim, before) in claims.iter_mut().zip(&mut before) {
                (*claim, *before) = (*claim & !*before, *claim);
            }
        }
    }

    /// Claims of plates with dots from seeds of their own. Thresholds are given for whole bytes of pixels.
    pub(super) fn compact(&mut self, touching: &Touching, thresholds: &[&[u16]; MAX_PLATES], pixels: usize) {
        let (mut largest, mut second) = (0, 0);
        for sizes in &self.sizes {
            let most = sizes[..pixels].iter().copied().max().unwrap_or(0);
            (largest, second) = (largest.max(most), second.max(most.min(largest)));
        }
        if touching.is_clear(largest, second) {
            self.claim(thresholds, pixels);
        } else {
            self.enlarge(touching, pixels);
            self.share(thresholds, pixels);
        }
    }

    /// Claims where no dots touch, but for single pixels at their edges.
    fn claim(&mut self, thresholds: &[&[u16]; MAX_PLATES], pixels: usize) {
        let bytes = pixels.div_ceil(8);
        let (mut once, mut twice) = ([0; MAX_RUN / 8], [0; MAX_RUN / 8]);
        for ((sizes, thresholds), claims) in self.sizes.iter().zip(thresholds).zip(&mut self.claims) {
            pack(&sizes[..pixels], thresholds, &mut claims[..bytes]);
            for ((claims, once), twice) in claims[..bytes].iter().zip(&mut once).zip(&mut twice) {
                *twice |= *once & claims;
                *once |= claims;
            }
        }
        for (byte, &twice) in twice.iter().enumerate().filter(|(_, twice)| **twice != 0) {
            for bit in (0..8).filter(|bit| twice & 0x80 >> bit != 0) {
                let x = 8 * byte + bit;
                let mut first = (1.0, 0);
                for (i, (sizes, thresholds)) in self.sizes.iter().zip(thresholds).enumerate() {
                    let reached = reached(thresholds[x], sizes[x]);
                    first = if reached < first.0 { (reached, i) } else { first };
                }
                for (i, claims) in self.claims.iter_mut().enumerate() {
                    claims[byte] &= if i == first.1 { 0xff } else { !(0x80 >> bit) };
                }
            }
        }
    }

    /// Claims where dots touch: each pixel to the plate whose dot reaches it first.
    fn share(&mut self, thresholds: &[&[u16]; MAX_PLATES], pixels: usize) {
        let bytes = pixels.div_ceil(8);
        // Beyond 1 a pixel stays bare, but where tones add up to solid.
        for (byte, bare) in self.bare.as_chunks::<8>().0[..bytes].iter().enumerate() {
            let (mut least, mut first) = (*bare, [u32::MAX; 8]);
            for ((sizes, thresholds), i) in self.sizes.iter().zip(thresholds).zip(0..) {
                let (sizes, thresholds): ([u16; 8], [u16; 8]) =
                    (sizes.as_chunks().0[byte], thresholds.as_chunks().0[byte]);
                let reached: [f32; 8] = std::array::from_fn(|lane| reached(thresholds[lane], sizes[lane]));
                for lane in 0..8 {
                    let is_first = reached[lane] < least[lane];
                    least[lane] = if is_first { reached[lane] } else { least[lane] };
                    first[lane] = if is_first { i } else { first[lane] };
                }
            }
            for (claims, i) in self.claims.iter_mut().zip(0..) {
                claims[byte] = first.iter().fold(0, |byte, &first| byte << 1 | u8::from(first == i));
            }
        }
        if !pixels.is_multiple_of(8) {
            for claims in &mut self.claims {
                claims[bytes - 1] &= !(0xff >> (pixels % 8));
            }
        }
    }

    /// Makes sizes of tones.
    fn enlarge(&mut self, touching: &Touching, pixels: usize) {
        let Some(memo) = &mut self.memo else { return };
        // Where the tones of any plate are not those of the pixel before.
        let mut changes = [0; MAX_RUN];
        for sizes in &self.sizes {
            for (change, pair) in changes[1..pixels].iter_mut().zip(sizes.windows(2)) {
                *change |= pair[0] ^ pair[1];
            }
        }
        let mut sizes = [0; MAX_PLATES];
        let sizes = &mut sizes[..self.sizes.len()];
        let mut start = 0;
        while start < pixels {
            let alike = changes[start + 1..pixels].iter().position(|&change| change != 0);
            let end = alike.map_or(pixels, |alike| start + 1 + alike);
            for (size, tones) in sizes.iter_mut().zip(&self.sizes) {
                *size = tones[start];
            }
            let (largest, second) = two_largest(sizes);
            self.bare[start..end].fill(1.0);
            if !touching.is_clear(largest, second) {
                if cut_off(sizes) {
                    self.bare[start..end].fill(f32::INFINITY);
                }
                memo.enlarge(&touching.shares, sizes);
                for (all, &size) in self.sizes.iter_mut().zip(&*sizes) {
                    all[start..end].fill(size);
                }
            }
            start = end;
        }
    }
}

/// When a growing dot of a size reaches a pixel of a threshold, if it has that size at 1: the middle of the rank over the size, both
/// on the scale of 65 535. Below 1 only where size > threshold; without end for no dot at all.
fn reached(threshold: u16, size: u16) -> f32 {
    (2.0 * f32::from(threshold) + 1.0) / (2.0 * f32::from(size))
}

/// Cuts what is beyond solid in all off the last tones; tells whether they add up to solid.
fn cut_off(tones: &mut [u16]) -> bool {
    let mut left = u16::MAX;
    for tone in tones {
        *tone = left.min(*tone);
        left -= *tone;
    }
    left == 0
}

fn two_largest(tones: &[u16]) -> (u16, u16) {
    tones.iter().fold((0, 0), |(largest, second), &tone| (tone.max(largest), second.max(tone.min(largest))))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dot_reaches_what_an_ordinary_screen_inks() {
        for size in [1, 2, 77, 9_000, 32_768, 65_534, 65_535] {
            for threshold in [0, 1, 2, 76, 77, 8_999, 9_000, 32_767, 32_768, 65_533, 65_534] {
                assert_eq!(reached(threshold, size) < 1.0, size > threshold, "{threshold} {size}");
            }
        }
        assert_eq!(reached(0, 0), f32::INFINITY);
    }

    #[test]
    fn too_much_is_cut_off_the_last() {
        for (mut tones, is_solid, left) in [
            ([65_535, 65_535, 65_535], true, [65_535, 0, 0]),
            ([9, 65_535, 1], true, [9, 65_526, 0]),
            ([30_000, 35_535, 0], true, [30_000, 35_535, 0]),
            ([30_000, 35_534, 0], false, [30_000, 35_534, 0]),
            ([0, 0, 0], false, [0, 0, 0]),
        ] {
            assert_eq!(cut_off(&mut tones), is_solid, "{tones:?}");
            assert_eq!(tones, left);
        }
    }

    #[test]
    fn the_two_largest_are_found() {
        for tones in [[3, 9, 5], [9, 5, 3], [5, 3, 9], [9, 9, 1]] {
            let mut sorted = tones;
            sorted.sort_unstable();
            assert_eq!(two_largest(&tones), (sorted[2], sorted[1]));
        }
    }
}
