//! Choke against exact geometry and against scipy's erosions at sixteen times the pixels (`tests/reference/choke.py`).

mod common;

use common::{per_inch, random};
use dotwright::trap::{Choke, union};
use dotwright::{Film, Length, Resolution, Screen};
use ndarray::{Array2, s};

/// 0.1 mm a pixel.
fn tenths() -> Resolution {
    per_inch(254.0)
}

/// A choke in pixels that lets thin lines go.
fn bare_choke(pixels: f64) -> Choke {
    Choke::by(Length::um(100.0 * pixels).unwrap()).unwrap().least(Length::default()).unwrap()
}

/// Coverage of each pixel by a shape, from 16 × 16 points; the origin is the middle.
fn drawn(side: usize, inside: impl Fn(f64, f64) -> bool) -> Array2<u16> {
    Array2::from_shape_fn((side, side), |(y, x)| {
        let at = |pixel: usize, point: usize| pixel as f64 + (point as f64 + 0.5) / 16.0 - 0.5 * side as f64;
        let points = (0..256).filter(|p| inside(at(x, p % 16), at(y, p / 16))).count();
        (points * 65_535 / 256) as u16
    })
}

fn area(plate: &Array2<u16>) -> f64 {
    plate.iter().map(|&tone| f64::from(tone) / 65_535.0).sum()
}

fn picture(name: &str) -> Array2<u8> {
    let file = format!("{}/tests/reference/choke/{name}.png", env!("CARGO_MANIFEST_DIR"));
    let picture = image::open(file).unwrap().to_luma8();
    let (width, height) = picture.dimensions();
    Array2::from_shape_vec((height as usize, width as usize), picture.into_raw()).unwrap()
}

#[test]
fn shapes_are_those_of_an_erosion_of_fine_points() {
    for name in ["disc", "square", "turned", "star", "ring"] {
        let shape = picture(name);
        let full = |plate: &Array2<u8>| plate.iter().map(|&t| f64::from(t) / 255.0).sum::<f64>();
        // Length of the edge from how much the thinnest choke takes.
        let edge = (full(&shape) - full(&picture(&format!("{name}-03")))) / 0.3;
        for tenths_of_pixel in [3, 5, 10, 15, 20, 30] {
            let r = f64::from(tenths_of_pixel) / 10.0;
            let found = bare_choke(r).plate(shape.view(), tenths()).unwrap();
            let expected = picture(&format!("{name}-{tenths_of_pixel:02}"));
            let off = (full(&found) - full(&expected)) / edge;
            let apart: f64 =
                found.iter().zip(&expected).map(|(&a, &b)| f64::from(a.abs_diff(b)) / 255.0).sum();
            println!("{name} by {r}: edge off by {off:+.3} px, tones by {:.3} px of edge", apart / edge);
            assert!(off.abs() < 0.075, "{name} by {r}: {off}");
            assert!(apart / edge < 0.3, "{name} by {r}: {}", apart / edge);
        }
    }
}

#[test]
fn straight_edges_move_by_the_length() {
    for degrees in [0.0_f64, 7.0, 30.0, 45.0, 78.0] {
        let (c, s) = (degrees.to_radians().cos(), degrees.to_radians().sin());
        for phase in [0.0, 0.3, 0.5] {
            let shape = drawn(64, |x, y| c * x + s * y < phase);
            for r in [0.3, 0.7, 1.0, 1.5, 2.2, 3.0] {
                let choked = bare_choke(r).plate(shape.view(), tenths()).unwrap();
                // What went, for each pixel of edge within 20 pixels of the middle.
                let gone: f64 = shape
                    .indexed_iter()
                    .filter(|((y, x), _)| {
                        let (x, y) = (*x as f64 - 31.5, *y as f64 - 31.5);
                        (c * y - s * x).abs() < 20.0
                    })
                    .map(|(at, &tone)| f64::from(tone - choked[at]) / 65_535.0)
                    .sum();
                let moved = gone / 40.0;
                assert!((moved - r).abs() < 0.1, "{degrees}°, {phase}: {moved:.3} for {r}");
            }
        }
    }
}

#[test]
fn a_disc_loses_its_rim_and_a_wedge_its_sides() {
    use std::f64::consts::PI;
    let radius = 20.0;
    let disc = drawn(64, |x, y| (x - 0.2).powi(2) + (y + 0.4).powi(2) < radius * radius);
    for r in [0.3, 0.5, 1.0, 1.7, 2.5, 3.0] {
        let gone = area(&disc) - area(&bare_choke(r).plate(disc.view(), tenths()).unwrap());
        let exact = 2.0 * PI * radius * r - PI * r * r;
        let off = (gone - exact) / (2.0 * PI * radius);
        println!("disc by {r}: edge off by {off:+.3} px");
        assert!(off.abs() < 0.05, "{gone} for {exact}");
    }
    // A wedge of 40°, its tip in the middle: eroded it is the same wedge, r / sin 20° farther back.
    let half = 20.0_f64.to_radians();
    let wedge = |back: f64| drawn(64, move |x, y| y.abs() < (x - back) * half.tan());
    for r in [0.5, 1.0, 2.0, 3.0] {
        let choked = bare_choke(r).plate(wedge(0.0).view(), tenths()).unwrap();
        let exact = wedge(r / half.sin());
        let piece = s![.., ..56];
        let (found, exact) = (choked.slice(piece).to_owned(), exact.slice(piece).to_owned());
        let sides = 2.0 * 24.0 / half.cos();
        let off = (area(&found) - area(&exact)) / sides;
        assert!(off.abs() < 0.06, "by {r}: sides off by {off}");
    }
}

#[test]
fn pixels_may_be_longer_one_way() {
    // 0.1 mm by 0.05 mm: a disc of 2 mm is 20 by 40 pixels.
    let resolution = Resolution::per_inch_xy(254.0, 508.0).unwrap();
    let disc = |radius: f64| drawn(96, move |x, y| x * x + 0.25 * y * y < radius * radius);
    for mm in [0.05, 0.1, 0.25] {
        let choke = Choke::by(Length::mm(mm).unwrap()).unwrap();
        let choked = choke.plate(disc(20.0).view(), resolution).unwrap();
        let off = (area(&choked) - area(&disc(20.0 - 10.0 * mm))) / (2.0 * 2.0 * std::f64::consts::PI * 20.0);
        assert!(off.abs() < 0.05, "by {mm} mm: off by {off} px");
    }
}

#[test]
fn soft_fades_keep_their_base() {
    // A choke of 1.6 pixels and least of 0.8: q is 2.
    for (pixels, q) in [(0.5, 2.0), (1.6, 2.0), (3.2, 4.0)] {
        let choke = Choke::by(Length::um(100.0 * pixels).unwrap()).unwrap();
        for degrees in [0.0_f64, 30.0, 45.0, 90.0] {
            let (c, s) = (degrees.to_radians().cos(), degrees.to_radians().sin());
            for (over, top) in [(4.0 * q, 255.0), (6.0 * q, 255.0), (4.0 * q, 120.0), (60.0, 200.0)] {
                let fade = Array2::from_shape_fn((80, 80), |(y, x)| {
                    let along = (c * (x as f64 - 40.0) + s * (y as f64 - 40.0)) / over + 0.5;
                    (top * along.clamp(0.0, 1.0)).round() as u8
                });
                for choke in [choke, choke.every_edge()] {
                    let choked = choke.plate(fade.view(), tenths()).unwrap();
                    // At the border a fade that runs across it bends.
                    let inner = s![12..68, 12..68];
                    let (found, fade) = (choked.slice(inner), fade.slice(inner));
                    let off = found.iter().zip(&fade).map(|(a, b)| a.abs_diff(*b)).max().unwrap();
                    assert!(off <= 1, "{pixels} px, {degrees}°, {over} px to {top}: off by {off}");
                }
            }
        }
        // And a round glow.
        let glow = Array2::from_shape_fn((90, 90), |(y, x)| {
            let (x, y) = (x as f64 - 44.6, y as f64 - 45.1);
            (255.0 * (-(x * x + y * y) / (2.0 * (3.0 * q).powi(2))).exp()).round() as u8
        });
        let choked = choke.plate(glow.view(), tenths()).unwrap();
        let off = choked.iter().zip(&glow).map(|(a, b)| a.abs_diff(*b)).max().unwrap();
        assert!(off <= 1, "{pixels} px: a glow is off by {off}");
    }
}

#[test]
fn edges_between_bases_stay_unless_asked_for() {
    let plate = Array2::from_shape_fn((40, 90), |(_, x)| match x {
        0..30 => 0_u8,
        30..60 => 255,
        _ => 160,
    });
    let wide = |choke: Choke, from: usize, to: usize| {
        let choked = choke.plate(plate.view(), tenths()).unwrap();
        let row = choked.row(20);
        row.slice(s![from..to]).iter().map(|&t| f64::from(t)).sum::<f64>()
    };
    let choke = bare_choke(2.5);
    assert!((wide(choke, 0, 45) - 255.0 * 12.5).abs() < 10.0);
    assert!((wide(choke, 45, 90) - (255.0 * 15.0 + 160.0 * 30.0)).abs() < 1.0);
    assert!((wide(choke.every_edge(), 45, 90) - (255.0 * 12.5 + 160.0 * 32.5)).abs() < 10.0);
}

#[test]
fn thin_lines_and_dots_keep_the_least_width() {
    let (r, least) = (2.0, 1.5);
    let choke = Choke::by(Length::um(100.0 * r).unwrap()).unwrap();
    let choke = choke.least(Length::um(100.0 * least).unwrap()).unwrap();
    for degrees in [0.0_f64, 20.0, 45.0] {
        let (c, s) = (degrees.to_radians().cos(), degrees.to_radians().sin());
        for width in [1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 5.5, 6.0, 8.0] {
            for phase in [0.0, 0.25, 0.5] {
                let line = drawn(64, |x, y| (c * x + s * y - phase).abs() < 0.5 * width);
                let choked = choke.plate(line.view(), tenths()).unwrap();
                let near = |(y, x): (usize, usize)| {
                    let (x, y) = (x as f64 - 31.5, y as f64 - 31.5);
                    (c * y - s * x).abs() < 15.0
                };
                let all = choked.indexed_iter().filter(|(at, _)| near(*at));
                let kept: f64 = all.map(|(_, &t)| f64::from(t) / 65_535.0).sum::<f64>() / 30.0;
                let expected = (width - 2.0 * r).max(least.min(width));
                println!("{degrees}° {width} +{phase}: {kept:.2} for {expected:.2}");
                assert!(
                    (kept - expected).abs() < 0.45,
                    "{degrees}°, {width} px +{phase}: {kept} for {expected}"
                );
            }
        }
    }
    // Dots, too, wherever their middle lies; small ones a little more.
    for (x0, y0) in [(0.0, 0.0), (0.5, 0.5), (0.3, 0.1)] {
        let dot = drawn(32, |x, y| (x - x0).powi(2) + (y - y0).powi(2) < 1.8 * 1.8);
        let kept = area(&choke.plate(dot.view(), tenths()).unwrap());
        let expected = std::f64::consts::PI * (0.5 * least).powi(2);
        println!("dot at {x0} {y0}: {kept:.2} for {expected:.2}");
        assert!(kept > expected && kept < 3.0 * expected, "dot at {x0}, {y0}: {kept} for {expected}");
    }
    // The tips of a disc, into which no square reaches, are none.
    for radius in [5.3, 6.2, 9.0] {
        let disc = drawn(40, |x, y| (x - 0.2).powi(2) + (y + 0.1).powi(2) < radius * radius);
        let choked = choke.plate(disc.view(), tenths()).unwrap();
        let middle = |p: f64| {
            choked
                .indexed_iter()
                .filter(|((y, x), _)| {
                    let (x, y) = (*x as f64 - 19.7, *y as f64 - 19.4);
                    x * x + y * y > (radius - p) * (radius - p)
                })
                .map(|(_, &tone)| f64::from(tone) / 65_535.0)
                .sum::<f64>()
        };
        println!("disc of {radius}: {:.3} px left of the rim", middle(r - 0.9));
        assert!(middle(r - 0.9) < 0.3, "{radius}: {}", middle(r - 0.9));
    }
    // Corners of what is broad leave nothing behind.
    for degrees in [0.0_f64, 45.0, 27.0] {
        let (c, s) = (degrees.to_radians().cos(), degrees.to_radians().sin());
        let square =
            |half: f64| drawn(64, move |x, y| (c * x + s * y).abs().max((c * y - s * x).abs()) < half);
        let choked = choke.plate(square(16.0).view(), tenths()).unwrap();
        let beyond = square(16.0 - r + 0.8);
        let left: f64 = choked
            .iter()
            .zip(&beyond)
            .filter(|(_, beyond)| **beyond == 0)
            .map(|(&tone, _)| f64::from(tone) / 65_535.0)
            .sum();
        println!("{degrees}°: {left:.3} px left at the corners");
        assert!(left < 1.0, "{degrees}°: {left} px left at the corners");
    }
}

#[test]
fn bands_are_the_whole() {
    let mut random = random(4);
    let mut plate = Array2::<u8>::zeros((260, 150));
    for _ in 0..60 {
        let [x, y, w, h, tone] = std::array::from_fn(|_| random());
        let (x, y) = ((x * 150.0) as usize, (y * 260.0) as usize);
        let (w, h) = ((1.0 + w * 20.0) as usize, (1.0 + h * 20.0) as usize);
        plate.slice_mut(s![y..(y + h).min(260), x..(x + w).min(150)]).fill((tone * 255.0) as u8);
    }
    let resolution = Resolution::per_inch_xy(254.0, 300.0).unwrap();
    for choke in [Choke::by(Length::um(230.0).unwrap()).unwrap(), bare_choke(0.6).every_edge()] {
        let whole = choke.plate(plate.view(), resolution).unwrap();
        assert!(whole.iter().zip(&plate).all(|(a, b)| a <= b) && whole != plate);
        let [columns, rows] = choke.reach(resolution).unwrap();
        for (start, end) in [(0, 1), (0, 40), (100, 170), (131, 132), (255, 260)] {
            let (above, below) = (start.min(rows), (260 - end).min(rows));
            let piece = plate.slice(s![start - above..end + below, ..]);
            let mut out = Array2::zeros((end - start, 150));
            choke.rows(piece, above..above + end - start, resolution, out.view_mut()).unwrap();
            assert_eq!(out, whole.slice(s![start..end, ..]));
        }
        let side = choke.plate(plate.slice(s![.., 40 - columns..]), resolution).unwrap();
        assert_eq!(side.slice(s![.., columns..]), whole.slice(s![.., 40..]));
        // Both sample types are of one mind.
        let words = choke.plate(plate.mapv(|t| u16::from(t) * 257).view(), resolution).unwrap();
        assert!(words.iter().zip(&whole).all(|(&w, &b)| (f64::from(w) / 257.0 - f64::from(b)).abs() <= 0.51));
    }
}

#[test]
fn a_choke_of_nothing_changes_nothing_and_bad_ones_are_refused() {
    let plate = Array2::from_shape_fn((5, 7), |(y, x)| (x * y) as u8 * 10);
    assert_eq!(bare_choke(0.0).plate(plate.view(), tenths()).unwrap(), plate);
    let empty = Array2::<u8>::zeros((0, 9));
    assert_eq!(bare_choke(1.0).plate(empty.view(), tenths()).unwrap().dim(), (0, 9));
    assert_eq!(bare_choke(1.0).plate(empty.t(), tenths()).unwrap().dim(), (9, 0));
    // A plate smaller than the choke's own disk has no edge at its border.
    let full = Array2::from_elem((2, 3), 255_u8);
    assert_eq!(bare_choke(9.0).plate(full.view(), tenths()).unwrap(), full);

    let minus = Length::um(-1.0).unwrap();
    assert!(Choke::by(minus).unwrap_err().to_string().contains("choke is -1 µm; allowed: 0 or more"));
    assert!(bare_choke(1.0).least(minus).unwrap_err().to_string().contains("least width"));
    let wide = bare_choke(65.0).plate(plate.view(), tenths()).unwrap_err().to_string();
    assert!(wide.contains("choke is 6.5 mm") && wide.contains("0 to 6.4 mm (64 pixels)"), "{wide}");
    let mut out = Array2::zeros((2, 7));
    assert!(bare_choke(1.0).rows(plate.view(), 4..6, tenths(), out.view_mut()).is_err());
    assert!(bare_choke(1.0).rows(plate.view(), 1..4, tenths(), out.view_mut()).is_err());
}

#[test]
fn films_are_choked_by_distance() {
    // A solid of 30 pixels, 10 µm each.
    let resolution = per_inch(2540.0);
    let mut film = Film::new(60, 40).unwrap();
    (0..30 * 40).for_each(|i| film.set(15 + i % 30, i / 30, true));
    for (um, gone) in [(0.0, 0), (4.0, 0), (6.0, 1), (30.0, 3), (34.0, 3), (36.0, 4)] {
        let choked = Choke::by(Length::um(um).unwrap()).unwrap().film(&film.view(), resolution).unwrap();
        assert_eq!(choked.count(), (30 - 2 * gone) * 40, "by {um} µm");
    }
    // A disc of 200 µm.
    let disc = |radius: f64| {
        let mut film = Film::new(64, 64).unwrap();
        (0..64 * 64).for_each(|i| {
            let (x, y) = ((i % 64) as f64 - 31.3, (i / 64) as f64 - 31.8);
            film.set(i % 64, i / 64, x * x + y * y < radius * radius);
        });
        film
    };
    let choked = Choke::by(Length::um(40.0).unwrap()).unwrap().film(&disc(20.0).view(), resolution).unwrap();
    let expected = std::f64::consts::PI * 16.0 * 16.0;
    assert!((choked.count() as f64 / expected - 1.0).abs() < 0.05, "{} for {expected}", choked.count());
    // Lines thinner than twice the choke keep their least width, to a pixel.
    let choke = Choke::by(Length::um(50.0).unwrap()).unwrap().least(Length::um(30.0).unwrap()).unwrap();
    for width in 1..14_usize {
        let mut line = Film::new(40, 50).unwrap();
        (0..width * 50).for_each(|i| line.set(12 + i % width, i / width, true));
        let kept = choke.film(&line.view(), resolution).unwrap().count() as f64 / 50.0;
        let expected = (width as f64 - 10.0).max(3.0_f64.min(width as f64));
        assert!((kept - expected).abs() <= 1.0 && kept > 0.0, "{width}: {kept} for {expected}");
    }
}

#[test]
fn the_base_of_index_dots_is_their_union_choked() {
    let resolution = per_inch(600.0);
    let screen = Screen::index(resolution, 4).build().unwrap();
    // Two disjoint tints, as an index separation has: one dot takes one ink.
    let tint = Array2::from_shape_fn((200, 240), |(_, x)| (x + 8) as u8);
    let all = screen.film(tint.view()).unwrap();
    let some = screen.film(tint.mapv(|t| t / 3).view()).unwrap();
    let rest = all.xor(&some).unwrap();
    assert_eq!(some.and(&rest).unwrap().count(), 0);
    let base = union(&[some.view(), rest.view()]).unwrap();
    assert_eq!(base, all);
    let choke = Choke::by(Length::um(60.0).unwrap()).unwrap();
    let choked = choke.film(&base.view(), resolution).unwrap();
    assert_eq!(choked.and(&base).unwrap(), choked);
    let lone = Array2::from_elem((200, 240), 4_u8);
    let dots = screen.film(lone.view()).unwrap();
    let kept = choke.film(&dots.view(), resolution).unwrap();
    // Four pixels of 42 µm each way, drawn in by one and a half, would be one; no dot is lost.
    assert!(kept.count() * 16 >= dots.count(), "{} of {}", kept.count(), dots.count());
    assert!(union(&[]).is_err());
    let small = Film::new(3, 3).unwrap();
    assert!(
        union(&[base.view(), small.view()]).unwrap_err().to_string().contains("a film of a union is 3 x 3")
    );
}
