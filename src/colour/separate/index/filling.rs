//! How colours fill the body of what can be mixed of them: tetrahedra with the colours for corners.
//!
//! Of all ways to mix a colour the one is wanted whose dots differ least from their mean, Σ area |p − mean|², for that is the grain which
//! the eye sees; p = 116 Y, and X and Z against Y at [`CHROMA`] of their weight in L\*a\*b\*. Since Σ area |p − mean|² = Σ area |p|² − |mean|²,
//! it is found on the lower side of the points' hull once each is lifted by |p|² (K. Q. Brown, Inf. Process. Lett. 9 (1979) 223; from memory): the
//! filling is that of B. Delaunay, Bull. Acad. Sci. URSS (1934) 793. It is found once, by trying all sets of four: 715 for twelve inks and a
//! garment. Colours of one plane, line or point are filled with triangles, stretches or nothing in the same way.

use crate::colour::spaces::White;

pub(super) type Point = [f64; 3];

/// Weight of colour beside lightness in what counts as grain.
const CHROMA: f64 = 0.5;

/// Thickness, in the unit of 116 Y, below which colours lie in one plane, line or point.
const FLAT: f64 = 1e-4;

/// 116 Y, and X and Z against Y.
pub(super) fn opponent(point: Point) -> Point {
    let [x, y, z]: Point = std::array::from_fn(|i| point[i] / White::D50.xyz()[i]);
    [116.0 * y, CHROMA * 500.0 * (x - y), CHROMA * 200.0 * (y - z)]
}

/// |p|² of each point, off by up to a millionth so that no five lie on one sphere: which of two equal mixtures is taken must not hang on rounding.
fn lifted(points: &[Point]) -> Vec<f64> {
    let scattered =
        |i: usize| ((i as u64 + 1).wrapping_mul(0x9e37_79b9_7f4a_7c15) >> 40) as f64 / (1 << 24) as f64;
    let lift = |(i, &point): (usize, &Point)| {
        let p = opponent(point);
        dot(p, p) + 1e-2 * scattered(i)
    };
    points.iter().enumerate().map(lift).collect()
}

/// The points in as many rectangular coordinates as they need, and how many.
fn coordinates(points: &[Point]) -> (Vec<Point>, usize) {
    let origin = opponent(points[0]);
    let mut rest: Vec<Point> = points
        .iter()
        .map(|&point| {
            let p = opponent(point);
            std::array::from_fn(|i| p[i] - origin[i])
        })
        .collect();
    let mut flat = vec![[0.0; 3]; points.len()];
    for dimension in 0..3 {
        let Some(farthest) = rest.iter().copied().max_by(|a, b| dot(*a, *a).total_cmp(&dot(*b, *b))) else {
            break;
        };
        let length = dot(farthest, farthest).sqrt();
        if length < FLAT {
            return (flat, dimension);
        }
        let axis = farthest.map(|c| c / length);
        for (flat, rest) in flat.iter_mut().zip(&mut rest) {
            let along = dot(*rest, axis);
            flat[dimension] = along;
            *rest = std::array::from_fn(|i| rest[i] - along * axis[i]);
        }
    }
    (flat, 3)
}

/// The corners of each piece (in rising order, the last one repeated where fewer than four are needed), and the dimensions that the points span.
pub(super) fn fill(points: &[Point]) -> (Vec<[usize; 4]>, usize) {
    let (flat, dimensions) = coordinates(points);
    let lifted = lifted(points);
    let size = flat.iter().flatten().fold(1.0_f64, |size, c| size.max(c.abs()));
    let mut filled = Vec::new();
    let needed = dimensions + 1;
    for set in 0..1_u32 << flat.len() {
        if set.count_ones() as usize != needed {
            continue;
        }
        let mut corners = [0; 4];
        let mut found = (0..flat.len()).filter(|i| set >> i & 1 == 1);
        for i in 0..4 {
            corners[i] = found.next().unwrap_or(corners[i.max(1) - 1]);
        }
        // Coordinates that are not needed are 0, and the last column is that of the constant.
        let row = |i: usize| {
            let mut row = [0.0; 4];
            row[..dimensions].copy_from_slice(&flat[corners[i]][..dimensions]);
            row[dimensions] = 1.0;
            row
        };
        let rows = std::array::from_fn(row);
        let Some(plane) = solved(needed, rows, corners.map(|corner| lifted[corner])) else { continue };
        let below = |i: usize| {
            let at: f64 = (0..dimensions).map(|d| plane[d] * flat[i][d]).sum::<f64>() + plane[dimensions];
            corners.contains(&i) || lifted[i] >= at - 1e-9 * size * size
        };
        if (0..flat.len()).all(below) {
            filled.push(corners);
        }
    }
    (filled, dimensions)
}

/// The solution of the first `size` equations rows · x = right; none if they do not tell.
pub(super) fn solved(size: usize, mut rows: [[f64; 4]; 4], mut right: [f64; 4]) -> Option<[f64; 4]> {
    for column in 0..size {
        let pivot =
            (column..size).max_by(|&a, &b| rows[a][column].abs().total_cmp(&rows[b][column].abs()))?;
        if rows[pivot][column].abs() < 1e-9 {
            return None;
        }
        rows.swap(pivot, column);
        right.swap(pivot, column);
        for row in column + 1..size {
            let times = rows[row][column] / rows[column][column];
            let above = rows[column];
            for (entry, above) in rows[row].iter_mut().zip(above) {
                *entry -= times * above;
            }
            right[row] -= times * right[column];
        }
    }
    let mut solution = [0.0; 4];
    for row in (0..size).rev() {
        let known: f64 = (row + 1..size).map(|i| rows[row][i] * solution[i]).sum();
        solution[row] = (right[row] - known) / rows[row][row];
    }
    Some(solution)
}

pub(super) fn dot(a: Point, b: Point) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}
