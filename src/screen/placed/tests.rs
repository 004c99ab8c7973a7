//! Plates at any resolution against what their samples say.

use super::*;
use ndarray::Array2;

#[test]
fn ratios_are_the_simplest_that_fit() {
    for (a, b, expected) in [
        (300.0, 1200.0, (1, 4)),
        (1200.0, 1200.0, (1, 1)),
        (300.0, 720.0, (5, 12)),
        (72.0, 2540.0, (18, 635)),
        (2400.0, 1200.0, (2, 1)),
        (600.0, 900.0, (2, 3)),
    ] {
        assert_eq!(ratio(a, b), expected);
    }
    let (p, q) = ratio(100_000.0 / 3.000_001, 1.234_567);
    assert!((p as f64 / q as f64 * 1.234_567 * 3.000_001 - 1e5).abs() < 1e-4);
}

#[test]
fn nearest_takes_the_sample_that_holds_the_centre() {
    let plate = Array2::from_shape_fn((3, 7), |(y, x)| (y * 10 + x) as u8);
    for (from, to) in [(300.0, 1200.0), (600.0, 900.0), (1200.0, 500.0), (300.0, 700.0)] {
        let per_inch = |r| Resolution::per_inch(r).unwrap();
        let placed =
            Placed::resampled(plate.view(), per_inch(from), per_inch(to), Sampling::Nearest).unwrap();
        let expected = (7.0 * to / from + 0.5) as usize;
        assert_eq!(placed.film_width(), expected);
        for y in 0..placed.film_height() {
            let row = placed.row(y as u64);
            let mut whole = vec![0; placed.film_width()];
            u8::tones(&row, 0, &mut whole);
            for (x, &tone) in whole.iter().enumerate() {
                let at = |pixel: usize, last: usize| {
                    (((pixel as f64 + 0.5) * from / to).floor() as usize).min(last)
                };
                assert_eq!(tone, plate[[at(y, 2), at(x, 6)]], "{from} {to} {x} {y}");
                assert_eq!(u8::tones(&row, x as u64, &mut [0]), [tone]);
            }
        }
    }
}

#[test]
fn linear_follows_the_definition_to_half_a_step() {
    let plate = Array2::from_shape_fn((4, 5), |(y, x)| (x * x * 2000 + y * y * 3000) as u16);
    let per_inch = |r| Resolution::per_inch(r).unwrap();
    for (from, to) in [(300.0, 1200.0), (300.0, 500.0), (720.0, 360.0)] {
        let placed = Placed::resampled(plate.view(), per_inch(from), per_inch(to), Sampling::Linear).unwrap();
        for y in 0..placed.film_height() {
            let row = placed.row(y as u64);
            for x in 0..placed.film_width() {
                let at = |pixel: usize, last: f64| ((pixel as f64 + 0.5) * from / to - 0.5).clamp(0.0, last);
                let (px, py) = (at(x, 4.0), at(y, 3.0));
                let sample = |x: f64, y: f64| f64::from(plate[[y as usize, x as usize]]);
                let (x0, y0) = (px.floor(), py.floor());
                let (x1, y1) = ((x0 + 1.0).min(4.0), (y0 + 1.0).min(3.0));
                let (fx, fy) = (px - x0, py - y0);
                let exact = (sample(x0, y0) * (1.0 - fx) + sample(x1, y0) * fx) * (1.0 - fy)
                    + (sample(x0, y1) * (1.0 - fx) + sample(x1, y1) * fx) * fy;
                let mut buffer = [0_u16];
                let tone = u16::tones(&row, x as u64, &mut buffer)[0];
                assert!((f64::from(tone) - exact).abs() < 1.0, "{x} {y}: {tone} {exact}");
            }
        }
    }
}

#[test]
fn a_plate_and_its_complement_add_up_to_solid() {
    for step in [0, 1, 1000, 32_766, 32_767, 40_000, 65_534] {
        for part in [0, 1, (1 << 31) - 1, 1 << 31, (1 << 31) + 1] {
            let sum = (step << 32) + part;
            let both = u32::from(nearest_step(sum)) + u32::from(nearest_step((65_535 << 32) - sum));
            assert_eq!(both, if sum == MIDDLE { 65_534 } else { 65_535 }, "{step} {part}");
        }
    }
}

#[test]
fn a_flat_plate_stays_flat() {
    let plate = Array2::from_elem((3, 3), 201_u8);
    let per_inch = |r| Resolution::per_inch(r).unwrap();
    let placed =
        Placed::resampled(plate.view(), per_inch(300.0), per_inch(1333.0), Sampling::Linear).unwrap();
    let mut tones = vec![0; placed.film_width()];
    u16::tones(&placed.row(5), 0, &mut tones);
    assert!(tones.iter().all(|&t| t == 201 * 257));
}
