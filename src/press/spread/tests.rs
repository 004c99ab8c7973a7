//! Edge growth against points looked at one by one, a pencil, and itself in pieces.

use super::*;
use crate::Film;
use approx::assert_abs_diff_eq;
use proptest::prelude::*;

fn um(micrometres: f64) -> Length {
    Length::um(micrometres).unwrap()
}

/// A film from bits of a seed, ink in about a third of it.
fn film(width: usize, height: usize, seed: u64) -> Film {
    let mut film = Film::new(width, height).unwrap();
    let mut state = seed;
    for i in 0..width * height {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        film.set(i % width, i / width, state >> 33 < (1 << 31) / 3);
    }
    film
}

/// Whether a point is printed: by the distance to every pixel's square.
fn printed(film: &Film, point: [f64; 2], growth: [f64; 2], bare: bool) -> bool {
    let (far_x, far_y) = (growth[0].ceil() as i64 + 1, growth[1].ceil() as i64 + 1);
    let (px, py) = (point[0].floor() as i64, point[1].floor() as i64);
    let spreads = |x: i64, y: i64| {
        let inside = x >= 0 && y >= 0 && x < film.width() as i64 && y < film.height() as i64;
        (inside && film.get(x as usize, y as usize)) != bare
    };
    let near = |x: i64, y: i64| {
        let away = |p: f64, x: i64, by: f64| match (x as f64 - p).max(p - (x + 1) as f64) {
            outside if outside > 0.0 => outside / by,
            _ => 0.0,
        };
        away(point[0], x, growth[0]).hypot(away(point[1], y, growth[1])) <= 1.0
    };
    let reached =
        (py - far_y..=py + far_y).any(|y| (px - far_x..=px + far_x).any(|x| spreads(x, y) && near(x, y)));
    reached != bare
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn pixels_hold_what_points_looked_at_one_by_one_say(
        seed: u64, growth in -45.0..45.0f64, wide in prop::bool::ANY,
    ) {
        let film = film(11, 9, seed);
        let resolution = Resolution::per_inch_xy(if wide { 720.0 } else { 1440.0 }, 1440.0).unwrap();
        let grown = grown(film.view(), resolution, um(growth)).unwrap();
        let (x, y) = um(growth.abs()).in_pixels(resolution);
        let times = 24;
        for ((row, column), value) in grown.indexed_iter() {
            let at = |i: usize, n: usize| i as f64 + (n as f64 + 0.5) / times as f64;
            let count = (0..times * times)
                .filter(|n| printed(&film, [at(column, n % times), at(row, n / times)], [x, y], growth < 0.0))
                .count();
            let share = count as f64 / (times * times) as f64;
            // Upright edges on all four sides, each off by half a line of points.
            let off = (f64::from(*value) - share).abs();
            prop_assert!(off < 4.0 * 0.5 / times as f64 + 0.005, "{} {}: {} {}", column, row, value, share);
        }
    }

    #[test]
    fn pieces_are_those_of_the_whole(
        seed: u64, growth in -60.0..60.0f64, x in 0usize..20, y in 0usize..15, w in 1usize..20, h in 1usize..15,
    ) {
        let film = film(40, 30, seed);
        let spread = Spread::new(Resolution::per_inch(1200.0).unwrap(), um(growth)).unwrap();
        let whole = spread.grown(film.view()).unwrap();
        let piece = Rect { x, y, width: w, height: h };
        let part = spread.grown_of(film.view(), piece).unwrap();
        for ((row, column), value) in part.indexed_iter() {
            prop_assert!((value - whole[[y + row, x + column]]).abs() < 1e-6);
        }
        let mean = part.iter().map(|v| f64::from(*v)).sum::<f64>() / (w * h) as f64;
        prop_assert!((spread.coverage_of(film.view(), piece).unwrap() - mean).abs() < 1e-6);
    }

    #[test]
    fn ink_that_shrinks_is_bare_ground_that_spreads(seed: u64, growth in 0.0..40.0f64) {
        let film = film(60, 50, seed);
        let resolution = Resolution::per_inch(1200.0).unwrap();
        let inner = Rect { x: 4, y: 4, width: 52, height: 42 };
        let out = Spread::new(resolution, um(growth)).unwrap().grown_of(film.view(), inner).unwrap();
        let complement = film.complement();
        let back = Spread::new(resolution, um(-growth)).unwrap().grown_of(complement.view(), inner).unwrap();
        for (a, b) in out.iter().zip(&back) {
            prop_assert!((a + b - 1.0).abs() < 1e-6);
        }
    }
}

#[test]
fn twice_the_heights_change_a_pixel_by_little_and_a_film_by_less() {
    let film = film(120, 90, 7);
    let resolution = Resolution::per_inch(1210.0).unwrap();
    let (mut pixel, mut total) = (0.0_f32, 0.0_f64);
    for growth in [3.0, 12.7, 25.4, 50.8, -12.7] {
        let of = |nodes: usize| Spread::looked_at(resolution, um(growth), nodes).unwrap();
        let (usual, fine) = (of(NODES), of(8 * NODES));
        let [a, b] = [&usual, &fine].map(|s| s.grown(film.view()).unwrap());
        pixel = a.iter().zip(&b).map(|(a, b)| (a - b).abs()).fold(pixel, f32::max);
        let [a, b] = [&usual, &fine].map(|s| s.coverage(film.view()).unwrap());
        total = total.max((a - b).abs());
    }
    assert!(pixel < 1e-3 && total < 5e-6, "{pixel} {total}");
}

#[test]
fn simple_films_print_what_a_pencil_says() {
    // One pixel of 10 µm that grows by 10 µm: itself, four rectangles and a disc. Nothing grows by nothing.
    let mut one = Film::new(9, 9).unwrap();
    one.set(4, 4, true);
    let resolution = Resolution::per_inch(2540.0).unwrap();
    let area =
        |growth: f64| 81.0 * Spread::new(resolution, um(growth)).unwrap().coverage(one.view()).unwrap();
    assert_abs_diff_eq!(area(0.0), 1.0, epsilon = 1e-12);
    assert_abs_diff_eq!(area(10.0), 5.0 + std::f64::consts::PI, epsilon = 1e-6);
    assert_abs_diff_eq!(area(-2.0), 0.36, epsilon = 1e-9);
    assert_abs_diff_eq!(area(-5.0), 0.0, epsilon = 1e-12);
    // Along x and along y pixels may differ in size.
    let tall = Resolution::per_inch_xy(2540.0, 1270.0).unwrap();
    let grown = Spread::new(tall, um(10.0)).unwrap().coverage(one.view()).unwrap();
    assert_abs_diff_eq!(81.0 * 200.0 * grown, 200.0 + 600.0 + 314.159_265, epsilon = 1e-3);
    let bare = Film::new(0, 0).unwrap();
    assert_eq!(Spread::new(tall, um(10.0)).unwrap().coverage(bare.view()).unwrap(), 0.0);
}

#[test]
fn growths_and_pieces_out_of_range_are_refused() {
    let resolution = Resolution::per_inch(2540.0).unwrap();
    assert!(Spread::new(resolution, um(2561.0)).is_err() && Spread::new(resolution, um(-2561.0)).is_err());
    let spread = Spread::new(resolution, um(20.0)).unwrap();
    assert_eq!(spread.reach(), [2, 2]);
    let film = Film::new(8, 8).unwrap();
    assert!(spread.coverage_of(film.view(), Rect { x: 4, y: 0, width: 5, height: 8 }).is_err());
}
