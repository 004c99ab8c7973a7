//! Seeds: where in the cell each plate's dots stand.
//!
//! They are as far apart as so many places of a square cell can be, so that equal dots touch as late as possible: at a sum of tones of
//! 0.79 for two plates, 0.63 for three, 0.84 for four. Up to eight the arrangements are proven to be the best there are:
//! W. Dickinson, D. Guillot, A. Keaton, S. Xhumari, "Optimal packings of up to five equal circles on a square flat torus", Beiträge
//! zur Algebra und Geometrie 52 (2011); O. Musin, A. Nikitenko, "Optimal packings of congruent circles on a square flat torus",
//! Discrete & Computational Geometry 55 (2016); the others are the best found (`tests/reference/seeds.py` makes all).
//!
//! Rejected: places at even steps of one vector: all plates alike, but three then touch at 0.17 each where these touch at 0.21.
//!
//! On film a seed is moved to whole pixels, in whichever cell of the brick it lies nearest to them, so that all plates use one
//! table of thresholds, each from its own place.

use crate::screen::beside::MAX_PLATES;
use crate::screen::lattice::Lattice;
use crate::screen::whole::cross;

/// Cells along e₁ and e₂ among which a seed looks for whole pixels.
const LOOK: i64 = 24;

/// Seeds of one plate, of two, and so on, in cells.
#[rustfmt::skip]
const SEEDS: [&[[f64; 2]]; MAX_PLATES] = [
    // 1.0000 apart: dots touch at 0.785 in all
    &[[0.00000, 0.00000]],
    // 0.7071 apart: dots touch at 0.785 in all
    &[[0.00000, 0.00000], [0.50000, 0.50000]],
    // 0.5176 apart: dots touch at 0.631 in all
    &[[0.00000, 0.00000], [0.86603, 0.50000], [0.36603, 0.63397]],
    // 0.5176 apart: dots touch at 0.842 in all
    &[[0.00000, 0.00000], [0.50000, 0.86603], [0.86603, 0.50000], [0.36603, 0.36603]],
    // 0.4472 apart: dots touch at 0.785 in all
    &[[0.00000, 0.00000], [0.40000, 0.80000], [0.60000, 0.20000], [0.20000, 0.40000], [0.80000, 0.60000]],
    // 0.4004 apart: dots touch at 0.755 in all
    &[[0.00000, 0.00000], [0.38782, 0.50000], [0.38782, 0.90041], [0.00000, 0.40041], [0.73458, 0.70020], [0.65324, 0.20020]],
    // 0.3660 apart: dots touch at 0.737 in all
    &[[0.00000, 0.00000], [0.50000, 0.50000], [0.68301, 0.81699], [0.36603, 0.00000], [0.86603, 0.50000], [0.18301, 0.68301], [0.68301, 0.18301]],
    // 0.3660 apart: dots touch at 0.842 in all
    &[[0.00000, 0.00000], [0.50000, 0.50000], [0.68301, 0.81699], [0.18301, 0.31699], [0.36603, 0.00000], [0.86603, 0.50000], [0.68301, 0.18301], [0.18301, 0.68301]],
    // 0.3437 apart: dots touch at 0.835 in all
    &[[0.00000, 0.00000], [0.61815, 0.45676], [0.73629, 0.77954], [0.39768, 0.72046], [0.05907, 0.66139], [0.67722, 0.11815], [0.27954, 0.39768], [0.33861, 0.05907], [0.94093, 0.33861]],
    // 0.3162 apart: dots touch at 0.785 in all
    &[[0.00000, 0.00000], [0.50000, 0.50000], [0.40000, 0.80000], [0.70000, 0.90000], [0.10000, 0.70000], [0.60000, 0.20000], [0.30000, 0.10000], [0.80000, 0.60000], [0.90000, 0.30000], [0.20000, 0.40000]],
    // 0.3054 apart: dots touch at 0.806 in all
    &[[0.00000, 0.00000], [0.50000, 0.65272], [0.52905, 0.00000], [0.02905, 0.65272], [0.26453, 0.84728], [0.52905, 0.30545], [0.76453, 0.80545], [0.26453, 0.15272], [0.76453, 0.50000], [0.00000, 0.30545], [0.26453, 0.45817]],
    // 0.3005 apart: dots touch at 0.851 in all
    &[[0.00000, 0.00000], [0.66667, 0.50000], [0.00000, 0.50000], [0.33333, 0.00000], [0.33333, 0.50000], [0.66667, 0.00000], [0.50000, 0.75000], [0.50000, 0.25000], [0.83333, 0.25000], [0.16667, 0.25000], [0.16667, 0.75000], [0.83333, 0.75000]],
];

/// Seeds of so many plates (1…12), in cells.
pub(super) fn in_cell(plates: usize) -> &'static [[f64; 2]] {
    SEEDS[plates - 1]
}

/// The same as whole film pixels, to the right and down.
pub(super) fn on_film(lattice: &Lattice, plates: usize) -> Vec<[i64; 2]> {
    let ([u, v], [cells_u, cells_v]) = (lattice.translations(), lattice.cell_translations());
    let det = cross(cells_u, cells_v) as f64;
    // u = a e₁ + b e₂, v = c e₁ + d e₂.
    let ([a, b], [c, d]) = (cells_u, cells_v);
    let e1 = [0, 1].map(|axis| (d * u[axis] - b * v[axis]) as f64 / det);
    let e2 = [0, 1].map(|axis| (a * v[axis] - c * u[axis]) as f64 / det);
    let nearest = |seed: &[f64; 2]| {
        let mut best = ([0, 0], f64::INFINITY);
        for (i, j) in (0..LOOK).flat_map(|i| (0..LOOK).map(move |j| (i, j))) {
            let (along, up) = (seed[0] + i as f64, seed[1] + j as f64);
            let exact = [0, 1].map(|axis| along * e1[axis] + up * e2[axis]);
            let whole = exact.map(|p| libm::floor(p + 0.5));
            let off = [0, 1].map(|axis| (exact[axis] - whole[axis]) * (exact[axis] - whole[axis]));
            if off[0] + off[1] < best.1 {
                best = (whole.map(|p| p as i64), off[0] + off[1]);
            }
        }
        best.0
    };
    in_cell(plates).iter().map(nearest).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::screen::beside::share::distance;
    use crate::screen::lattice::{DEFAULT_LIMIT, Tolerance};
    use crate::units::{Angle, LineCount, Resolution};

    #[test]
    fn seeds_are_as_far_apart_as_proven() {
        let third = (6_f64.sqrt() - 2_f64.sqrt()) / 2.0;
        let seventh = 1.0 / (1.0 + 3_f64.sqrt());
        // Dickinson and others (2011) up to five, Musin and Nikitenko (2016) up to eight, both from memory; then the best found.
        let known = [
            0.5_f64.sqrt(),
            third,
            third,
            0.2_f64.sqrt(),
            0.40040,
            seventh,
            seventh,
            0.34372,
            0.1_f64.sqrt(),
            0.30545,
            0.30046,
        ];
        for (plates, known) in (2..).zip(known) {
            let seeds = in_cell(plates);
            assert_eq!(seeds.len(), plates);
            let pairs = (0..plates).flat_map(|i| (0..i).map(move |j| (i, j)));
            let least = pairs.map(|(i, j)| distance(seeds[i], seeds[j])).fold(1.0, f64::min);
            assert!((least - known).abs() < 2e-5, "{plates}: {least}, known {known}");
        }
    }

    #[test]
    fn film_pixels_are_near_the_seeds() {
        for (resolution, lines, degrees) in
            [("1200", 45.0, 22.5), ("720x1440", 65.0, 45.0), ("600", 65.7, -15.0)]
        {
            let lattice = Lattice::find(
                resolution.parse::<Resolution>().unwrap(),
                LineCount::per_inch(lines).unwrap(),
                Angle::degrees(degrees).unwrap(),
                Tolerance::default(),
                DEFAULT_LIMIT,
            )
            .unwrap();
            let places = lattice.places();
            for plates in 1..=MAX_PLATES {
                for (seed, [right, down]) in in_cell(plates).iter().zip(on_film(&lattice, plates)) {
                    // By as much as a place moves in its cell, two units a cell.
                    let ((x0, y0), (x1, y1)) = (places.in_cell(0, 0), places.in_cell(right, down));
                    let off = distance([0.5 * (x1 - x0), 0.5 * (y1 - y0)], *seed) * 720.0 / lines;
                    assert!(off < 0.3, "{resolution} {plates}: {off} px from {seed:?}");
                }
            }
        }
    }
}
