//! The print: garment, inks in order and overlap law to the colour of any coverages.
//!
//! Every combination of inks (a *primary*) has a colour ([`lay_down`](crate::colour::lay_down)). Coverages give each primary
//! its area ([`overlap`](crate::colour::overlap)), and colours are averaged by area: H. E. J. Neugebauer (Z. wiss. Photogr.
//! 36 (1937) 73) with the n of J. A. C. Yule and W. J. Nielsen (TAGA Proc. 1951, 65; pages from memory) for light that
//! spreads in the ground between dots:
//!
//! ```text
//! X^(1/n) = Σ area · X_primary^(1/n)       and so Y, Z
//! ```
//!
//! n is 1 unless told: screens on cloth are coarse beside the way of light in it. A curve of printed coverage that was
//! measured with n holds the same n; one measured without has the spreading of light in it already, and n must then be 1.
//! Offset data ask for 1.5 to 2: mean ΔE00 over the charts of `tests/reference` falls from 1.91 to 1.60 (coated) and from
//! 1.44 to 1.07 (newsprint).
//!
//! A [`Print`] holds X^(1/n) of all 2^k primaries. A colour is found by folding that table a group of plates at a time, as in
//! multilinear interpolation: 2^k steps in all for independent plates, fewer for plates that share a lattice. Rejected: areas
//! first, then a sum, which takes k 2^k.

use crate::colour::lay_down::Request;
use crate::colour::overlap::{MAX_PLATES, Overlap, Relation, Spans, within};
use crate::colour::spaces::{Lab, Xyz};
use crate::error::{Result, reserve};

/// A compiled print. May be shared between threads.
#[derive(Debug, Clone)]
pub struct Print {
    overlap: Overlap,
    /// X, Y, Z of every combination of inks: bit i for plate i.
    primaries: Vec<Xyz>,
    n: f64,
    /// The plates in the order of the table's bits, so that each group has neighbouring bits.
    order: Vec<usize>,
    /// The groups with plates counted by the table's bits, and the first bit of each.
    groups: Vec<(Relation, usize)>,
    /// (X, Y, Z)^(1/n) of every combination, by the table's bits. The fourth number is there for the processor's lanes.
    roots: Vec<[f64; 4]>,
}

impl Print {
    /// A print on a garment of the given colour; inks follow in printing order.
    pub fn on(garment: Xyz) -> Request {
        Request::new(garment)
    }

    /// The print of the given primaries under a law for as many plates.
    pub(super) fn compile(overlap: &Overlap, primaries: Vec<Xyz>, n: f64) -> Result<Self> {
        let order: Vec<usize> = overlap.groups().iter().flat_map(Relation::plates).collect();
        let mut roots = reserve("a table of primaries", primaries.len())?;
        for mask in 0..primaries.len() {
            let by_plate = order.iter().enumerate().fold(0, |m, (bit, plate)| m | (mask >> bit & 1) << plate);
            let [x, y, z] = match primaries[by_plate].0 {
                xyz if n == 1.0 => xyz,
                xyz => xyz.map(|v| power(v, 1.0 / n)),
            };
            roots.push([x, y, z, 0.0]);
        }
        let mut first = 0;
        let mut groups = Vec::with_capacity(overlap.groups().len());
        for group in overlap.groups() {
            let bits = first..first + group.plates().count();
            groups.push((renumbered(group, bits.clone()), first));
            first = bits.end;
        }
        Ok(Self { overlap: overlap.clone(), primaries, n, order, groups, roots })
    }

    /// The colour of coverages (0…1, one for each ink, in printing order; printed ones: gain is the caller's).
    ///
    /// Values outside (and not numbers, as 0) are brought into the range; missing ones are 0, further ones are not read.
    /// Nothing is allocated. Cost: 2^inks multiplications and additions of X, Y, Z, and three cube roots: some 220 ns for six
    /// inks.
    pub fn colour(&self, coverages: &[f64]) -> Lab {
        self.xyz(coverages).to_lab()
    }

    /// The same in X, Y, Z.
    pub fn xyz(&self, coverages: &[f64]) -> Xyz {
        self.of_roots(self.roots(coverages))
    }

    /// (X, Y, Z)^(1/n) of coverages: what is linear in each coverage, as long as no two plates of one lattice change places.
    pub fn roots(&self, coverages: &[f64]) -> [f64; 3] {
        // The halves of a table of 6, 9 and 12 plates: what need not be cleared costs nothing.
        match self.order.len() {
            0..=6 => self.fold::<32>(coverages),
            7..=9 => self.fold::<256>(coverages),
            _ => self.fold::<2048>(coverages),
        }
    }

    /// X, Y, Z of their n-th roots.
    pub fn of_roots(&self, roots: [f64; 3]) -> Xyz {
        Xyz(if self.n == 1.0 { roots } else { roots.map(|root| power(root, self.n)) })
    }

    /// [`roots`](Self::roots), and how they change with each coverage: `slopes[i]` is d(X, Y, Z)^(1/n) / d(coverage i). Further
    /// slopes than inks are left alone.
    ///
    /// With plates side by side the rest that gives way is bare garment; where two plates of one lattice end at one tone, the
    /// slope is that to one side. Cost: twice that of [`roots`](Self::roots); nothing is allocated.
    pub fn jacobian(&self, coverages: &[f64], slopes: &mut [[f64; 3]]) -> [f64; 3] {
        match self.order.len() {
            0..=6 => self.fold_with_slopes::<32, 64>(coverages, slopes),
            7..=9 => self.fold_with_slopes::<256, 512>(coverages, slopes),
            _ => self.fold_with_slopes::<2048, 4096>(coverages, slopes),
        }
    }

    /// The same print with another colour of one combination of inks.
    pub(crate) fn with_primary(&self, mask: usize, colour: Xyz) -> Result<Self> {
        let mut primaries = self.primaries.clone();
        if let Some(primary) = primaries.get_mut(mask) {
            *primary = colour;
        }
        Self::compile(&self.overlap, primaries, self.n)
    }

    /// The number of inks.
    pub fn inks(&self) -> usize {
        self.order.len()
    }

    /// The law by which plates overlap.
    pub fn overlap(&self) -> &Overlap {
        &self.overlap
    }

    /// The colour of every combination of inks in full: bit i of the index for ink i, 0 for the bare garment.
    pub fn primaries(&self) -> &[Xyz] {
        &self.primaries
    }

    /// Yule and Nielsen's n.
    pub fn yule_nielsen(&self) -> f64 {
        self.n
    }

    /// Coverages by the table's bits.
    fn tones(&self, coverages: &[f64]) -> [f64; MAX_PLATES] {
        let mut tones = [0.0; MAX_PLATES];
        for (tone, &plate) in tones.iter_mut().zip(&self.order) {
            *tone = within(coverages.get(plate).copied().unwrap_or(0.0));
        }
        tones
    }

    fn fold<const HALF: usize>(&self, coverages: &[f64]) -> [f64; 3] {
        let tones = self.tones(coverages);
        let mut table = [[0.0; 4]; HALF];
        for (i, (group, first)) in self.groups.iter().enumerate().rev() {
            let top = i + 1 == self.groups.len();
            self.fold_group(&Spans::new(group, |bit| tones[bit]), &mut table, top, 1 << first);
        }
        let [x, y, z, _] = table[0];
        [x, y, z]
    }

    /// With P the areas of the combinations of the bits below a group, and A the table in which all bits above it are folded,
    /// an ink of the group turns combination e into e + ink where its coverage rises: its slope is Σ P(low) (A(e + ink, low)
    /// − A(e, low)).
    fn fold_with_slopes<const HALF: usize, const FULL: usize>(
        &self,
        coverages: &[f64],
        slopes: &mut [[f64; 3]],
    ) -> [f64; 3] {
        let tones = self.tones(coverages);
        let spans = |group: &Relation| Spans::new(group, |bit| tones[bit]);
        // Areas below the group whose first bit is b lie at 2^b.
        let mut areas = [0.0; FULL];
        areas[1] = 1.0;
        for pair in self.groups.windows(2) {
            let ((group, first), (_, next)) = (&pair[0], &pair[1]);
            for &(mask, area) in spans(group).pieces() {
                for low in 0..1 << first {
                    areas[(1 << next) + mask + low] += area * areas[(1 << first) + low];
                }
            }
        }
        let mut table = [[0.0; 4]; HALF];
        for (i, (group, first)) in self.groups.iter().enumerate().rev() {
            let spans = spans(group);
            let (top, size) = (i + 1 == self.groups.len(), 1 << first);
            let above = if top { &self.roots[..] } else { &table };
            let below = &areas[size..][..size];
            for (bit, edge) in spans.edges() {
                let (without, with) = (&above[edge..][..size], &above[edge + (1 << bit)..][..size]);
                let mut slope = [0.0; 3];
                for ((without, with), area) in without.iter().zip(with).zip(below) {
                    for i in 0..3 {
                        slope[i] += area * (with[i] - without[i]);
                    }
                }
                if let Some(out) = slopes.get_mut(self.order[bit]) {
                    *out = slope;
                }
            }
            self.fold_group(&spans, &mut table, top, size);
        }
        let [x, y, z, _] = table[0];
        [x, y, z]
    }

    /// Folds a group's bits away: each of the first `size` entries becomes the mean, by area, of those whose combinations the
    /// group shows. The topmost group is read from the table of all primaries, every other in place.
    fn fold_group(&self, spans: &Spans, table: &mut [[f64; 4]], top: bool, size: usize) {
        let (bare, rest) = table.split_at_mut(size);
        let shown = if top {
            bare.copy_from_slice(&self.roots[..size]);
            &self.roots[size..]
        } else {
            rest
        };
        if let &[(ink, covered), (0, _)] = spans.pieces() {
            // One plate alone, the common case, in one go.
            for (bare, ink) in bare.iter_mut().zip(&shown[ink - size..][..size]) {
                for i in 0..4 {
                    bare[i] += covered * (ink[i] - bare[i]);
                }
            }
            return;
        }
        let area_bare: f64 = spans.pieces().iter().filter(|(mask, _)| *mask == 0).map(|(_, area)| area).sum();
        for entry in bare.iter_mut() {
            *entry = entry.map(|v| area_bare * v);
        }
        for &(mask, area) in spans.pieces().iter().filter(|(mask, area)| *mask > 0 && *area > 0.0) {
            for (sum, entry) in bare.iter_mut().zip(&shown[mask - size..][..size]) {
                for i in 0..4 {
                    sum[i] += area * entry[i];
                }
            }
        }
    }
}

/// x to the power p by logarithm: a third of the cost of `pow`, exact to some 1e-15. 0 and less give 0.
fn power(x: f64, p: f64) -> f64 {
    if x > 0.0 { libm::exp(p * libm::log(x)) } else { 0.0 }
}

/// A group with its plates counted by the table's bits.
fn renumbered(group: &Relation, bits: std::ops::Range<usize>) -> Relation {
    match group {
        Relation::OneLattice(plates) => {
            Relation::OneLattice(bits.zip(plates).map(|(bit, &(_, mode))| (bit, mode)).collect())
        }
        Relation::SideBySide(_) => Relation::SideBySide(bits.collect()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::screen::Mode::{Inverted, Normal};
    use proptest::prelude::*;

    /// Laws of seven plates in which plates of a group are not neighbours.
    fn laws() -> Vec<Overlap> {
        vec![
            Overlap::independent(7).unwrap(),
            Overlap::side_by_side(7).unwrap(),
            Overlap::of_groups(7, vec![Relation::OneLattice((0..7).map(|plate| (plate, Normal)).collect())])
                .unwrap(),
            Overlap::of_groups(
                7,
                vec![
                    Relation::OneLattice(vec![(6, Normal), (1, Inverted), (3, Normal)]),
                    Relation::OneLattice(vec![(5, Normal)]),
                    Relation::SideBySide(vec![4, 0]),
                    Relation::OneLattice(vec![(2, Inverted)]),
                ],
            )
            .unwrap(),
        ]
    }

    /// A print of unlike primaries.
    fn print(law: &Overlap, n: f64) -> Print {
        let primaries = (0..1_u64 << law.plates()).map(|mask| {
            let part =
                |k: u64| ((mask + k).wrapping_mul(0x9e37_79b9_7f4a_7c15) >> 40) as f64 / (1 << 24) as f64;
            Xyz([part(1), part(2), part(3)])
        });
        Print::compile(law, primaries.collect(), n).unwrap()
    }

    /// The sum over all primaries, written out.
    fn summed(print: &Print, coverages: &[f64]) -> [f64; 3] {
        let mut areas = vec![0.0; print.primaries().len()];
        print.overlap().areas(coverages, &mut areas).unwrap();
        let n = print.yule_nielsen();
        [0, 1, 2].map(|i| {
            let terms = areas.iter().zip(print.primaries());
            terms.map(|(area, xyz)| area * xyz.0[i].powf(1.0 / n)).sum::<f64>().powf(n)
        })
    }

    proptest! {
        #[test]
        fn folding_is_the_sum_over_all_primaries(c in prop::array::uniform7(0.0..=1.0f64), n in 1.0..4.0f64) {
            for law in laws() {
                for n in [1.0, n] {
                    let print = print(&law, n);
                    let (found, expected) = (print.xyz(&c).0, summed(&print, &c));
                    prop_assert!(found.iter().zip(expected).all(|(a, b)| (a - b).abs() < 1e-13), "{:?} {:?}", found, expected);
                }
            }
        }

        #[test]
        fn slopes_are_those_of_small_steps(c in prop::array::uniform7(0.01..0.13f64), scale in 1.0..7.0f64) {
            for (law, scale) in laws().iter().zip([scale, 1.0, scale, scale.min(3.5)]) {
                let print = print(law, 1.7);
                let c = c.map(|v| v * scale);
                let mut slopes = [[0.0; 3]; 7];
                let roots = print.jacobian(&c, &mut slopes);
                prop_assert_eq!(roots, print.roots(&c));
                for plate in 0..7 {
                    // Straight between the places where plates of a lattice change over: a tiny step is exact there.
                    let h = 1e-7;
                    let step = |by: f64| {
                        let mut moved = c;
                        moved[plate] += by;
                        print.roots(&moved)
                    };
                    let (up, down) = (step(h), step(-h));
                    for i in 0..3 {
                        let expected = (up[i] - down[i]) / (2.0 * h);
                        prop_assert!((slopes[plate][i] - expected).abs() < 1e-6, "{} {:?} {}", plate, slopes[plate], expected);
                    }
                }
            }
        }
    }

    #[test]
    fn every_number_of_plates_gives_back_its_primaries() {
        for plates in 1..=12 {
            let print = print(&Overlap::independent(plates).unwrap(), 2.0);
            for mask in [0, 1, (1 << plates) - 1, (1 << plates) / 3] {
                let c: Vec<f64> =
                    (0..plates).map(|plate| f64::from(u8::from(mask >> plate & 1 == 1))).collect();
                let mut slopes = vec![[0.0; 3]; plates];
                print.jacobian(&c, &mut slopes);
                let root = |mask: usize, i: usize| print.primaries()[mask].0[i].sqrt();
                for (i, slope) in slopes[0].iter().enumerate() {
                    assert!((print.xyz(&c).0[i] - print.primaries()[mask].0[i]).abs() < 1e-14);
                    // The slope of the first plate is the way from the primary without it to that with it.
                    assert!((slope - (root(mask | 1, i) - root(mask & !1, i))).abs() < 1e-14);
                }
            }
        }
    }

    #[test]
    fn coverages_that_are_none_are_none() {
        let print = print(&Overlap::independent(7).unwrap(), 1.0);
        let bare = print.xyz(&[]);
        assert_eq!(bare, print.primaries()[0]);
        assert_eq!(print.xyz(&[f64::NAN, -3.0]), bare);
        assert_eq!(print.xyz(&[0.0, 0.0, 9.0]), print.primaries()[4]);
        assert_eq!(print.xyz(&[0.0; 40]), bare);
        print.jacobian(&[0.5; 40], &mut []);
    }
}
