//! The overlap law: how much plates fall on each other, which follows from their screens.
//!
//! Inks a and b of coverage a and b share
//!
//! | screens | share |
//! |---|---|
//! | independent: other angles, other line counts | a b (M. Demichel, Le Procédé, 1924) |
//! | one lattice, both normal (or both inverted) | min(a, b) |
//! | one lattice, one normal and one inverted | max(0, a + b − 1) |
//! | side by side: dots that never meet, index dots of one separation | 0 |
//!
//! All of a job's plates at once: they fall into groups that share a lattice, and groups are independent of each other.
//! Inside of a group every place has one threshold u, spread evenly over 0…1: a normal plate of coverage c has ink where u <
//! c, an inverted one where u ≥ 1 − c, plates side by side in pieces of the range laid end to end. So a group of m plates
//! shows at most m + 1 of its 2^m combinations, each over a piece of the range, and areas of groups multiply.
//!
//! Against films, all pixels counted (`tests/colour_films.rs`), colours agree to ΔE00 0.03 and areas to 0.001 for screens of
//! the table, and to 0.5 where one lattice carries dots of different shapes, which count as nested. Three screens at one line
//! count 30° apart close: two frequencies add up to the third, and how three dots meet hangs on the register. The product is
//! then the mean over all registers (to ΔE00 0.02); single ones are up to 1.9 off. [`check`](crate::press::check()) names
//! such screens.
//!
//! Rejected: Demichel's product for every job. Two plates at 0.5 in each other's gaps leave nothing bare, where the product
//! has a quarter: 9 ΔE00 for straw and white on a dark garment.

use crate::error::{Error, Result};
use crate::screen::{Mode, Screen, SideBySide};

/// Most plates that a law holds for: 2¹² combinations.
pub const MAX_PLATES: usize = 12;

/// How the plates of one group lie to each other. Plates are counted from 0.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Relation {
    /// Plates on one lattice, each with its mode. One plate alone is a group too.
    OneLattice(Vec<(usize, Mode)>),
    /// Plates whose dots never meet. Coverages beyond solid in all are cut off from the last plates.
    SideBySide(Vec<usize>),
}

impl Relation {
    /// Its plates.
    pub fn plates(&self) -> impl Iterator<Item = usize> + '_ {
        let (lattice, apart): (&[_], &[_]) = match self {
            Self::OneLattice(plates) => (plates, &[]),
            Self::SideBySide(plates) => (&[], plates),
        };
        lattice.iter().map(|&(plate, _)| plate).chain(apart.iter().copied())
    }
}

/// The law of a set of plates.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Overlap {
    plates: usize,
    groups: Vec<Relation>,
}

impl Overlap {
    /// The law of the given groups, in which each of `plates` plates (1…12) must stand once.
    pub fn of_groups(plates: usize, groups: Vec<Relation>) -> Result<Self> {
        if !(1..=MAX_PLATES).contains(&plates) {
            return Err(Error::value("plates of an overlap law", plates, format!("1 to {MAX_PLATES}")));
        }
        if groups.iter().any(|group| group.plates().next().is_none()) {
            return Err(Error::value("group of an overlap law", "empty", "at least one plate"));
        }
        let mut seen = [0; MAX_PLATES];
        for plate in groups.iter().flat_map(Relation::plates) {
            if plate >= plates {
                return Err(Error::value("plate of a group", plate, format!("0 to {}", plates - 1)));
            }
            seen[plate] += 1;
        }
        if let Some(plate) = seen[..plates].iter().position(|&n| n != 1) {
            let got = format!("plate {plate} in {} groups", seen[plate]);
            return Err(Error::value("groups of an overlap law", got, "each plate in one group"));
        }
        Ok(Self { plates, groups })
    }

    /// Every plate independent of every other.
    pub fn independent(plates: usize) -> Result<Self> {
        let alone = |plate| Relation::OneLattice(vec![(plate, Mode::Normal)]);
        Self::of_groups(plates, (0..plates.min(MAX_PLATES)).map(alone).collect())
    }

    /// All plates side by side, as those of a [`SideBySide`] are.
    pub fn side_by_side(plates: usize) -> Result<Self> {
        Self::of_groups(plates, vec![Relation::SideBySide((0..plates.min(MAX_PLATES)).collect())])
    }

    /// The law of a job's screens, one for each plate (1…12).
    ///
    /// Screens are of one group where their thresholds are the same, or where they stand on one lattice and rise together:
    /// dots of other shapes at the same places, for which the law is an approximation. Index plates of one index separation
    /// are disjoint because of the separation, which their screens do not tell: see [`side_by_side`](Self::side_by_side).
    ///
    /// Cost: reading the thresholds once for each two screens alike, some milliseconds.
    pub fn of(screens: &[&Screen]) -> Result<Self> {
        let mut groups: Vec<(&Screen, Vec<(usize, Mode)>)> = Vec::new();
        for (plate, &screen) in screens.iter().enumerate().take(MAX_PLATES + 1) {
            let member = (plate, screen.mode());
            match groups.iter_mut().find(|(first, _)| mesh(first, screen)) {
                Some((_, members)) => members.push(member),
                None => groups.push((screen, vec![member])),
            }
        }
        let groups = groups.into_iter().map(|(_, members)| Relation::OneLattice(members));
        Self::of_groups(screens.len(), groups.collect())
    }

    /// How many plates.
    pub fn plates(&self) -> usize {
        self.plates
    }

    /// The groups.
    pub fn groups(&self) -> &[Relation] {
        &self.groups
    }

    /// The area of every combination of inks at the given coverages (0…1, one for each plate): `areas[mask]`, bit i of `mask`
    /// for plate i. The areas add up to 1.
    ///
    /// Errors: other numbers of coverages than plates, or of areas than 2^plates. Cost: 2^plates steps, nothing allocated.
    pub fn areas(&self, coverages: &[f64], areas: &mut [f64]) -> Result<()> {
        if coverages.len() != self.plates {
            let needed = format!("{}, one for each plate", self.plates);
            return Err(Error::value("number of coverages", coverages.len(), needed));
        }
        if areas.len() != 1 << self.plates {
            return Err(Error::value("number of areas", areas.len(), format!("{}", 1 << self.plates)));
        }
        areas.fill(1.0);
        for group in &self.groups {
            let all = group.plates().fold(0, |mask, plate| mask | 1 << plate);
            let spans = Spans::new(group, |plate| within(coverages[plate]));
            for (mask, area) in areas.iter_mut().enumerate() {
                // No combination has two pieces of any length.
                *area *= spans
                    .pieces()
                    .iter()
                    .filter(|(shown, _)| *shown == mask & all)
                    .map(|(_, part)| part)
                    .sum::<f64>();
            }
        }
        Ok(())
    }
}

impl From<&SideBySide> for Overlap {
    /// The law of plates side by side: no two share anything, and beyond solid the first plates win. Coverages are those on film,
    /// after the plates' curves.
    fn from(screen: &SideBySide) -> Self {
        let plates = screen.plates();
        Self { plates, groups: vec![Relation::SideBySide((0..plates).collect())] }
    }
}

/// The screens' limit is the law's.
const _: () = assert!(crate::screen::beside::MAX_PLATES <= MAX_PLATES);

/// A coverage brought into 0…1; not a number is none.
pub(crate) fn within(coverage: f64) -> f64 {
    if coverage.is_nan() { 0.0 } else { coverage.clamp(0.0, 1.0) }
}

/// The pieces into which a group cuts the range of its threshold: the combination that each shows, and its length.
pub(crate) struct Spans {
    len: usize,
    pieces: [(usize, f64); MAX_PLATES + 1],
    edges: [(u8, u16); MAX_PLATES],
}

impl Spans {
    pub(crate) fn new(group: &Relation, coverage: impl Fn(usize) -> f64) -> Self {
        let mut spans = Self { len: 0, pieces: [(0, 0.0); MAX_PLATES + 1], edges: [(0, 0); MAX_PLATES] };
        match group {
            Relation::SideBySide(plates) => {
                let mut left = 1.0;
                for &plate in plates {
                    let piece = coverage(plate).min(left);
                    left -= piece;
                    spans.edges[spans.len] = (plate as u8, 0);
                    spans.push(1 << plate, piece);
                }
                spans.push(0, left);
            }
            Relation::OneLattice(plates) => {
                // Where along the range ink of each plate ends (normal) or begins (inverted).
                let mut ends = [(0.0, 0); MAX_PLATES];
                let mut mask = 0;
                for (i, &(plate, mode)) in plates.iter().enumerate() {
                    let c = coverage(plate);
                    let end = match mode {
                        Mode::Normal => (c, plate),
                        Mode::Inverted => (1.0 - c, plate),
                    };
                    mask |= usize::from(mode == Mode::Normal) << plate;
                    // A handful at most: each is put in its place as it comes.
                    let mut place = i;
                    while place > 0 && ends[place - 1].0 > end.0 {
                        ends[place] = ends[place - 1];
                        place -= 1;
                    }
                    ends[place] = end;
                }
                let mut last = 0.0;
                for &(end, plate) in &ends[..plates.len()] {
                    spans.edges[spans.len] = (plate as u8, (mask & !(1 << plate)) as u16);
                    spans.push(mask, end - last);
                    last = end;
                    mask ^= 1 << plate;
                }
                spans.push(mask, 1.0 - last);
            }
        }
        spans
    }

    fn push(&mut self, mask: usize, area: f64) {
        self.pieces[self.len] = (mask, area);
        self.len += 1;
    }

    /// Combination and area of each piece; areas may be 0, and add up to 1.
    pub(crate) fn pieces(&self) -> &[(usize, f64)] {
        &self.pieces[..self.len]
    }

    /// Each plate of the group, and the combination (without it) that gives way where its coverage rises.
    pub(crate) fn edges(&self) -> impl Iterator<Item = (usize, usize)> + '_ {
        self.edges[..self.len - 1].iter().map(|&(plate, rest)| (plate.into(), rest.into()))
    }
}

/// Whether two screens' thresholds rise together over the film.
fn mesh(one: &Screen, other: &Screen) -> bool {
    if one.brick() == other.brick() {
        return true;
    }
    let (Some(a), Some(b)) = (one.lattice(), other.lattice()) else { return false };
    let cells = |l: &crate::screen::Lattice| (l.resolution(), l.first_axis(), l.second_axis());
    // Index dots on a lattice have its cells too, but an order of their own: count how much the lighter halves share.
    cells(a) == cells(b) && shared_half(one, other) > 0.375
}

/// Pixels a side of the square of film over which two screens are compared.
const COMPARED: i64 = 512;

/// The part of the film that is in the first half of both screens' order: ½ where they rise together, ¼ where they are
/// independent.
fn shared_half(one: &Screen, other: &Screen) -> f64 {
    let early = |screen: &Screen, x, y| {
        let brick = screen.brick();
        let (column, row) = brick.tiling().locate(x, y);
        (brick.order()[row * brick.tiling().width + column] as usize) < brick.len()
    };
    let both = (0..COMPARED * COMPARED)
        .filter(|i| early(one, i % COMPARED, i / COMPARED) && early(other, i % COMPARED, i / COMPARED));
    both.count() as f64 / (COMPARED * COMPARED) as f64
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    fn lattice(modes: &[Mode]) -> Overlap {
        let members = modes.iter().copied().enumerate().collect();
        Overlap::of_groups(modes.len(), vec![Relation::OneLattice(members)]).unwrap()
    }

    fn areas(law: &Overlap, coverages: &[f64]) -> Vec<f64> {
        let mut areas = vec![0.0; 1 << coverages.len()];
        law.areas(coverages, &mut areas).unwrap();
        areas
    }

    #[test]
    fn demichels_worked_figures() {
        // Products written out: C 0.4, M 0.3, Y 0.2.
        let found = areas(&Overlap::independent(3).unwrap(), &[0.4, 0.3, 0.2]);
        let expected = [0.336, 0.224, 0.144, 0.096, 0.084, 0.056, 0.036, 0.024];
        for (found, expected) in found.iter().zip(expected) {
            assert_abs_diff_eq!(*found, expected, epsilon = 1e-15);
        }
        let found = areas(&Overlap::independent(3).unwrap(), &[1.0, 0.0, 0.25]);
        assert_eq!(found, [0.0, 0.75, 0.0, 0.0, 0.0, 0.25, 0.0, 0.0]);
    }

    proptest! {
        #[test]
        fn two_plates_share_what_the_table_says(a in 0.0..=1.0f64, b in 0.0..=1.0f64) {
            use Mode::{Inverted, Normal};
            for (law, shared) in [
                (Overlap::independent(2).unwrap(), a * b),
                (lattice(&[Normal, Normal]), a.min(b)),
                (lattice(&[Inverted, Inverted]), a.min(b)),
                (lattice(&[Normal, Inverted]), (a + b - 1.0).max(0.0)),
                (lattice(&[Inverted, Normal]), (a + b - 1.0).max(0.0)),
            ] {
                let found = areas(&law, &[a, b]);
                prop_assert!((found[3] - shared).abs() < 1e-15);
                prop_assert!((found[1] + found[3] - a).abs() < 1e-15);
                prop_assert!((found[2] + found[3] - b).abs() < 1e-15);
            }
            let found = areas(&Overlap::side_by_side(2).unwrap(), &[a, b]);
            prop_assert_eq!(found[3], 0.0);
            prop_assert!((found[1] - a).abs() < 1e-15);
            prop_assert!((found[2] - b.min(1.0 - a)).abs() < 1e-15);
        }

        #[test]
        fn mixed_groups_keep_every_plates_coverage(c in prop::array::uniform7(0.0..=1.0f64)) {
            let c = c.map(|v| if v < 0.05 { 0.0 } else { v });
            let law = Overlap::of_groups(7, vec![
                Relation::OneLattice(vec![(6, Mode::Normal), (1, Mode::Inverted), (3, Mode::Normal)]),
                Relation::SideBySide(vec![5, 0]),
                Relation::OneLattice(vec![(2, Mode::Inverted), (4, Mode::Inverted)]),
            ]).unwrap();
            let found = areas(&law, &c);
            prop_assert!((found.iter().sum::<f64>() - 1.0).abs() < 1e-14);
            prop_assert!(found.iter().all(|&area| area >= 0.0));
            for (plate, &c0) in c.iter().enumerate() {
                let covered: f64 = (0..128).filter(|mask| mask >> plate & 1 == 1).map(|mask| found[mask]).sum();
                let expected = if plate == 0 { c0.min(1.0 - c[5]) } else { c0 };
                prop_assert!((covered - expected).abs() < 1e-14, "{}", plate);
            }
            // Groups are independent: plates 6 and 4 share the product.
            let both: f64 = (0..128).filter(|mask| mask & 0x50 == 0x50).map(|mask| found[mask]).sum();
            prop_assert!((both - c[6] * c[4]).abs() < 1e-14);
        }
    }

    #[test]
    fn coverages_out_of_range_are_brought_into_it() {
        let law = lattice(&[Mode::Normal, Mode::Inverted]);
        assert_eq!(areas(&law, &[f64::NAN, 7.0]), areas(&law, &[0.0, 1.0]));
        assert_eq!(areas(&law, &[f64::NEG_INFINITY, -0.1]), [1.0, 0.0, 0.0, 0.0]);
    }

    #[test]
    fn groups_that_are_no_partition_are_refused() {
        let pair = Relation::SideBySide(vec![0, 1]);
        for (plates, groups) in [
            (0, vec![]),
            (13, vec![]),
            (3, vec![pair.clone()]),
            (2, vec![pair.clone(), pair.clone()]),
            (1, vec![pair.clone()]),
            (2, vec![pair.clone(), Relation::OneLattice(vec![])]),
        ] {
            assert!(Overlap::of_groups(plates, groups).is_err(), "{plates}");
        }
        assert!(Overlap::independent(usize::MAX).is_err() && Overlap::side_by_side(0).is_err());
        let law = Overlap::independent(2).unwrap();
        assert!(law.areas(&[0.5], &mut [0.0; 4]).is_err() && law.areas(&[0.5; 2], &mut [0.0; 5]).is_err());
    }
}
