//! Mixtures: a colour as areas of given colours, none of which fall on each other.
//!
//! Dots that lie side by side mix in light ([`print`](crate::colour::print): in the n-th roots of X, Y, Z), so a colour is the mean of theirs,
//! and all that can be mixed is the body that they span. Six inks and a garment leave many mixtures for one colour; taken is the one with the least
//! grain, which the [filling](super::filling) of that body with tetrahedra tells: a mixture takes four colours at most, is the same whatever the way to
//! it, and moves evenly where the colour does.
//!
//! A colour outside is the nearest one on the surface, by ΔE00's form about the colour wanted, stepwise (Gauss and Newton). Of colours 2 to 25
//! ΔE00 out of reach the least ΔE00 that scipy finds is missed by 0.6 on average.
//!
//! Rejected: the solver of overlapping plates (`nearest`), whose plates share bare garment, not each other's place: it stops short
//! where areas add up to one. And areas as a fixed share of all inks near in colour: grain of colours that are not needed.

use crate::colour::overlap::MAX_PLATES;
use crate::colour::separate::index::filling::{Point, dot, fill, opponent, solved};
use crate::colour::separate::nearest::{Wanted, curve};
use crate::colour::spaces::Xyz;

/// Colours that mix, at most: each ink's, and the garment's.
pub(super) const MAX_COLOURS: usize = MAX_PLATES + 1;

/// Areas of colours; those beyond what there is are 0.
pub(super) type Areas = [f64; MAX_COLOURS];

/// Steps to the nearest colour on the surface, and how far apart, in ΔE00, two of them may be at the end.
const STEPS: usize = 12;
const SETTLED: f64 = 1e-3;

/// Colours, and how they fill what can be mixed of them.
#[derive(Debug, Clone)]
pub(super) struct Mixtures {
    n: f64,
    /// (X, Y, Z)^(1/n) of each colour.
    points: Vec<Point>,
    /// The farthest that two of them are apart, as grain.
    longest: f64,
    /// Tetrahedra that fill the body; none if it is flat.
    bodies: Vec<Body>,
    /// Triangles of its surface; if flat, all that fill it. Of lines and points some corners are the same.
    panels: Vec<[usize; 3]>,
}

#[derive(Debug, Clone)]
struct Body {
    corners: [usize; 4],
    /// Each corner's part of a point: rows · (x, y, z, 1).
    parts: [[f64; 4]; 4],
}

impl Mixtures {
    /// Of colours (1 to [`MAX_COLOURS`]) as n-th roots of X, Y, Z.
    pub(super) fn of(points: Vec<Point>, n: f64) -> Self {
        let (filled, dimensions) = fill(&points);
        let apart = |a: &Point, b: &Point| {
            let off = opponent(std::array::from_fn(|i| a[i] - b[i]));
            dot(off, off).sqrt()
        };
        let longest = points.iter().flat_map(|a| points.iter().map(move |b| apart(a, b))).fold(0.0, f64::max);
        let mut mixtures = Self { n, points, longest, bodies: Vec::new(), panels: Vec::new() };
        if dimensions == 3 {
            let mut faces: Vec<[usize; 3]> = Vec::new();
            for corners in filled {
                if let Some(body) = mixtures.body(corners) {
                    mixtures.bodies.push(body);
                    let face = |without: usize| {
                        let mut rest = (0..4).filter(|&i| i != without).map(|i| corners[i]);
                        std::array::from_fn(|_| rest.next().unwrap_or_default())
                    };
                    faces.extend((0..4).map(face));
                }
            }
            // A face of two tetrahedra lies inside.
            let outside = |face: &&[usize; 3]| faces.iter().filter(|other| other == face).count() == 1;
            mixtures.panels = faces.iter().filter(outside).copied().collect();
        } else {
            mixtures.panels = filled.into_iter().map(|[a, b, c, _]| [a, b, c]).collect();
        }
        mixtures
    }

    /// Whether colours beside each other fill a body.
    pub(super) fn is_body(&self) -> bool {
        !self.bodies.is_empty()
    }

    /// Whether a colour can be mixed.
    pub(super) fn holds(&self, colour: Xyz) -> bool {
        self.inside(self.roots(colour)).is_some()
    }

    /// The roots of what areas mix.
    pub(super) fn mean(&self, areas: &Areas) -> Point {
        let mut mean = [0.0; 3];
        for (point, area) in self.points.iter().zip(areas) {
            for i in 0..3 {
                mean[i] += area * point[i];
            }
        }
        mean
    }

    /// The colour of roots.
    pub(super) fn colour(&self, roots: Point) -> Xyz {
        Xyz(if self.n == 1.0 { roots } else { roots.map(|root| libm::pow(root.max(0.0), self.n)) })
    }

    /// Of the colours that have an area, the one nearest to `due` (roots), and what is then missed, cut down to the farthest that two colours
    /// are apart.
    pub(super) fn nearest_of(&self, areas: &Areas, due: Point) -> (usize, Point) {
        let mut best = (f64::INFINITY, 0, [0.0; 3]);
        for (colour, point) in self.points.iter().enumerate().filter(|(colour, _)| areas[*colour] > 0.0) {
            let missed: Point = std::array::from_fn(|i| due[i] - point[i]);
            let seen = opponent(missed);
            if dot(seen, seen) < best.0 {
                best = (dot(seen, seen), colour, missed);
            }
        }
        let (distance, colour, missed) = (best.0.sqrt(), best.1, best.2);
        let part = if distance > self.longest { self.longest / distance } else { 1.0 };
        (colour, missed.map(|m| part * m))
    }

    /// The areas that mix a colour, or the nearest to it that can be mixed. They add up to 1 but for rounding.
    pub(super) fn areas(&self, wanted: &Wanted) -> Areas {
        let roots = self.roots(wanted.colour.to_xyz());
        self.inside(roots).unwrap_or_else(|| self.nearest(wanted, roots))
    }

    fn roots(&self, Xyz(colour): Xyz) -> Point {
        if self.n == 1.0 { colour } else { colour.map(|c| libm::pow(c.max(0.0), 1.0 / self.n)) }
    }

    fn body(&self, corners: [usize; 4]) -> Option<Body> {
        let rows = corners.map(|corner| {
            let [x, y, z] = self.points[corner];
            [x, y, z, 1.0]
        });
        let mut parts = [[0.0; 4]; 4];
        for (i, part) in parts.iter_mut().enumerate() {
            *part = solved(4, rows, std::array::from_fn(|j| f64::from(u8::from(i == j))))?;
        }
        Some(Body { corners, parts })
    }

    fn inside(&self, [x, y, z]: Point) -> Option<Areas> {
        let mut best = (-1e-9, None);
        for body in &self.bodies {
            let parts = body.parts.map(|[a, b, c, d]| a * x + b * y + c * z + d);
            let least = parts.into_iter().fold(f64::INFINITY, f64::min);
            if least >= best.0 {
                best = (least, Some((body, parts)));
                if least >= 0.0 {
                    break;
                }
            }
        }
        let (body, parts) = best.1?;
        let mut areas = [0.0; MAX_COLOURS];
        for (corner, part) in body.corners.into_iter().zip(parts) {
            areas[corner] = part.max(0.0);
        }
        Some(areas)
    }

    /// Near a place z, colours off the wanted one by r there, a colour p is off by A (p − z) + r.
    fn nearest(&self, wanted: &Wanted, wanted_roots: Point) -> Areas {
        let mut place = wanted_roots;
        let mut areas = [0.0; MAX_COLOURS];
        for step in 0..STEPS {
            let colour = self.colour(place);
            let off = wanted.apart(colour.to_lab());
            let curve = curve(place, colour, self.n);
            let mut seen = [[0.0; 3]; MAX_COLOURS];
            for (seen, point) in seen.iter_mut().zip(&self.points) {
                let away = wanted.seen(&curve, &std::array::from_fn(|i| point[i] - place[i]));
                *seen = std::array::from_fn(|i| away[i] + off[i]);
            }
            let mut least = f64::INFINITY;
            for &panel in &self.panels {
                let (distance, parts) = nearest_to_origin(panel.map(|corner| seen[corner]));
                if distance < least {
                    least = distance;
                    areas = [0.0; MAX_COLOURS];
                    for (corner, part) in panel.into_iter().zip(parts) {
                        areas[corner] += part;
                    }
                }
            }
            let next = self.mean(&areas);
            let moved = wanted.seen(&curve, &std::array::from_fn(|i| next[i] - place[i]));
            if dot(moved, moved) < SETTLED * SETTLED {
                break;
            }
            // After the first step, half-way: two places may each point to the other.
            place = if step == 0 { next } else { std::array::from_fn(|i| 0.5 * (place[i] + next[i])) };
        }
        areas
    }
}

/// The squared distance of a triangle from the origin, and the parts of its corners in the point nearest to it.
fn nearest_to_origin([a, b, c]: [Point; 3]) -> (f64, [f64; 3]) {
    let from = |a: Point, b: Point| -> Point { std::array::from_fn(|i| b[i] - a[i]) };
    let (u, v) = (from(a, b), from(a, c));
    let (uu, uv, vv, au, av) = (dot(u, u), dot(u, v), dot(v, v), dot(a, u), dot(a, v));
    let size = uu * vv - uv * uv;
    if size > 1e-12 * uu * vv {
        let (s, t) = ((uv * av - vv * au) / size, (uv * au - uu * av) / size);
        if s >= 0.0 && t >= 0.0 && s + t <= 1.0 {
            let p: Point = std::array::from_fn(|i| a[i] + s * u[i] + t * v[i]);
            return (dot(p, p), [1.0 - s - t, s, t]);
        }
    }
    let mut best = (f64::INFINITY, [0.0; 3]);
    for (one, other) in [(0, 1), (1, 2), (2, 0)] {
        let (from_point, to) = ([a, b, c][one], from([a, b, c][one], [a, b, c][other]));
        let length = dot(to, to);
        let part = if length > 0.0 { (-dot(from_point, to) / length).clamp(0.0, 1.0) } else { 0.0 };
        let p: Point = std::array::from_fn(|i| from_point[i] + part * to[i]);
        if dot(p, p) < best.0 {
            let mut parts = [0.0; 3];
            parts[one] = 1.0 - part;
            parts[other] += part;
            best = (dot(p, p), parts);
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::difference::ciede2000;
    use crate::colour::spaces::White;
    use proptest::prelude::*;

    /// Rows of a reference file: colours, the colour wanted, and the rest.
    fn rows(text: &str) -> Vec<(Vec<Point>, Xyz, Vec<f64>)> {
        let row = |line: &str| {
            let numbers: Vec<f64> = line.split(',').map(|field| field.parse().unwrap()).collect();
            let (count, numbers) = (numbers[1] as usize, &numbers[2..]);
            let points: Vec<Point> = numbers[..3 * count].as_chunks::<3>().0.to_vec();
            let wanted = numbers[3 * count..].first_chunk::<3>().unwrap();
            (points, Xyz(*wanted), numbers[3 * count + 3..].to_vec())
        };
        text.lines().skip(1).map(row).collect()
    }

    #[test]
    fn mixtures_are_the_least_of_a_linear_programme() {
        let cases = rows(include_str!("../../../../tests/reference/index_mixtures.csv"));
        assert_eq!(cases.len(), 48);
        for (points, wanted, expected) in cases {
            let found = Mixtures::of(points, 1.0).areas(&Wanted::new(wanted.to_lab()));
            for (found, expected) in found.iter().zip(expected) {
                assert!((found - expected).abs() < 1e-6, "{found} for {expected}");
            }
        }
    }

    #[test]
    fn what_cannot_be_mixed_is_nearly_the_nearest() {
        let cases = rows(include_str!("../../../../tests/reference/index_nearest.csv"));
        assert_eq!(cases.len(), 40);
        let (mut more, mut most) = (0.0, 0.0_f64);
        for (points, wanted, least) in &cases {
            let mixtures = Mixtures::of(points.clone(), 1.0);
            let wanted = Wanted::new(wanted.to_lab());
            let areas = mixtures.areas(&wanted);
            assert!((areas.iter().sum::<f64>() - 1.0).abs() < 1e-12);
            let off = ciede2000(mixtures.colour(mixtures.mean(&areas)).to_lab(), wanted.colour) - least[0];
            assert!(off > -1e-3, "nearer than the nearest by {off}");
            more += off / cases.len() as f64;
            most = most.max(off);
            // By the form of ΔE00 it is the nearest: no way towards any of the colours leads closer.
            let distance = |areas: &Areas| {
                let off = wanted.apart(mixtures.colour(mixtures.mean(areas)).to_lab());
                dot(off, off).sqrt()
            };
            for (colour, part) in (0..points.len()).flat_map(|c| [1e-3, 1e-2, 0.1].map(|part| (c, part))) {
                let mut moved = areas.map(|area| (1.0 - part) * area);
                moved[colour] += part;
                let nearer = distance(&areas) - distance(&moved);
                assert!(nearer < 1e-2, "{nearer} nearer by {part} towards {colour} of {}", points.len());
            }
        }
        println!("beyond the nearest by ΔE00 {more:.3} on average, {most:.3} at most");
        assert!(more < 0.7 && most < 7.0, "{more} {most}");
    }

    #[test]
    fn colours_in_a_plane_a_line_and_a_point_mix_too() {
        let grey = |y: f64| White::D50.xyz().map(|w| w * y);
        let off = |a: &Areas, b: &[f64]| a.iter().zip(b).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        let at = |points: &[Point], colour: Point| {
            Mixtures::of(points.to_vec(), 1.0).areas(&Wanted::new(Xyz(colour).to_lab()))
        };
        assert!(off(&at(&[grey(0.3)], grey(0.8)), &[1.0]) < 1e-9);
        assert!(off(&at(&[grey(0.3); 3], grey(0.8)), &[0.0; 13]) > 0.99);
        // Neighbours on the scale of greys, not its ends.
        assert!(
            off(&at(&[grey(0.0), grey(0.2), grey(0.8), grey(0.4)], grey(0.3)), &[0.0, 0.5, 0.0, 0.5]) < 1e-6
        );
        assert!(off(&at(&[grey(0.0), grey(0.8)], grey(0.9)), &[0.0, 1.0]) < 1e-6);
        let plane = [grey(0.0), grey(0.8), [0.4, 0.2, 0.02]];
        let middle = std::array::from_fn(|i| plane.iter().map(|p| p[i] / 3.0).sum());
        assert!(off(&at(&plane, middle), &[1.0 / 3.0; 3]) < 1e-6);
    }

    proptest! {
        #[test]
        fn areas_of_four_at_most_mix_the_colour(
            points in prop::collection::vec(prop::array::uniform3(0.01..0.8f64), 4..9),
            parts in prop::collection::vec(0.0..1.0f64, 9), n in 1.0..3.0f64,
        ) {
            let sum: f64 = parts[..points.len()].iter().sum();
            let mixtures = Mixtures::of(points.clone(), n);
            let mut areas = [0.0; MAX_COLOURS];
            for (area, part) in areas.iter_mut().zip(&parts[..points.len()]) {
                *area = part / sum;
            }
            let there = mixtures.mean(&areas);
            let found = mixtures.inside(there).unwrap();
            let again = mixtures.mean(&found);
            prop_assert!(found.iter().filter(|&&area| area > 0.0).count() <= 4);
            prop_assert!((0..3).all(|i| (again[i] - there[i]).abs() < 1e-8), "{:?} {:?}", there, again);
        }
    }
}
