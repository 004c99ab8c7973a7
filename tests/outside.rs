//! The screening core against published standards and a Fourier transform. The source stands beside each check.

mod common;

use common::{angle, cells, flat, per_inch};
use dotwright::{Dot, Film, Lattice, LineCount, Resolution, Screen, Tolerance, screen};
use proptest::prelude::*;
use rustfft::{FftPlanner, num_complex::Complex};

/// ISO 32000-2:2020, Table 126: the functions that our dots are, at 17 × 17 places.
fn published() -> Vec<(String, Dot, f64, f64, f64)> {
    let text = include_str!("reference/spot_functions_17x17.csv");
    text.lines()
        .skip(1)
        .map(|line| {
            let fields: Vec<&str> = line.split(',').collect();
            let dot = match fields[0] {
                "SimpleDot" => Dot::Round,
                "Round" => Dot::Euclidean,
                "Ellipse" => Dot::ellipse(0.375, 0.625).unwrap(),
                "Line" => Dot::Line,
                "Diamond" => Dot::Diamond,
                "Square" => Dot::Square,
                other => panic!("{other}"),
            };
            let number = |i: usize| fields[i].parse::<f64>().unwrap();
            (fields[0].to_owned(), dot, number(3), number(4), number(5))
        })
        .collect()
}

#[test]
fn dots_have_the_values_of_the_standard() {
    let published = published();
    assert_eq!(published.len(), 6 * 289);
    for (name, dot, x, y, value) in published {
        assert!((dot.value(x, y) - value).abs() < 1e-12, "{name} at {x} {y}");
    }
}

#[test]
fn pixels_take_ink_in_the_order_of_the_standard() {
    // A cell of 17 pixels samples x = −1 + (2i + 1)/17: inside the grid of the table, so the table is evaluated by its own
    // neighbours' order: for every pair of pixels whose values differ the ranks must agree.
    for name in ["SimpleDot", "Round", "Ellipse", "Line", "Diamond", "Square"] {
        let rows: Vec<_> = published().into_iter().filter(|p| p.0 == name).collect();
        let dot = rows[0].1.clone();
        let lines = LineCount::per_inch(100.0).unwrap();
        let request = Screen::cells(per_inch(1700.0), lines, angle(0.0), dot.clone());
        let screen = request.growth(screen::Growth::Straight).build().unwrap();
        assert_eq!(screen.tiling().pixels(), 289);
        let ranks = screen.brick().order();
        let at = |i: usize| (2 * i + 1) as f64 / 17.0 - 1.0;
        // Rows run down and the cell's y runs up.
        let value = |i: usize| dot.value(at(i % 17), -at(i / 17));
        for i in 0..289 {
            for j in 0..289 {
                if value(i) > value(j) + 1e-9 {
                    assert!(ranks[i] < ranks[j], "{name}: {i} {j}");
                }
            }
        }
    }
}

#[test]
fn dots_link_up_where_the_standard_says() {
    // Link-up coverages of ISO 32000-2's functions, computed on a cell of 1001 × 1001: SimpleDot π/4, Round ½, Ellipse ⅜ and
    // ⅝, Diamond 0.425 and 0.575. On a film: the lightest tint whose dots touch along x (or y) of a cell of 400 pixels.
    let quarter_pi = std::f64::consts::FRAC_PI_4;
    for (dot, along_x, along_y) in [
        (Dot::Round, quarter_pi, quarter_pi),
        (Dot::Euclidean, 0.5, 0.5),
        (Dot::ellipse(0.375, 0.625).unwrap(), 0.375, 0.625),
        (Dot::ellipse(0.4, 0.6).unwrap(), 0.4, 0.6),
        (Dot::ellipse(0.3, 0.5).unwrap(), 0.3, 0.5),
        (Dot::Diamond, 0.425, 0.575),
    ] {
        let screen = cells(per_inch(4000.0), 10.0, 0.0, dot.clone());
        let thresholds = screen.thresholds_u16();
        // The seam between two cells is crossed at its middle, first by the pixels on both sides of it.
        let reached = |x: usize, y: usize| f64::from(thresholds[[y, x]]) / 65_535.0;
        let x = reached(0, 200).max(reached(399, 200));
        let y = reached(200, 0).max(reached(200, 399));
        assert!((x - along_x).abs() < 0.012, "{dot:?} along x at {x}");
        assert!((y - along_y).abs() < 0.012, "{dot:?} along y at {y}");
    }
}

#[test]
fn type_16_tiles_as_the_standard_says() {
    // ISO 32000-2:2020, 10.6.5.6: two rectangles, the second directly below the first, translations (W, −H2) and (W2, H); black
    // where grey < threshold, and grey = 65 535 − tone.
    for screen in [
        cells(per_inch(720.0), 65.0, 22.5, Dot::Round),
        cells(per_inch(1270.0), 90.714, 0.0, Dot::Round),
        Screen::index(per_inch(600.0), 2).build().unwrap(),
    ] {
        let halftone = screen.type16();
        let (w, h) = (halftone.width, halftone.height);
        let (w2, h2) = halftone.second.unwrap_or((0, 0));
        assert_eq!(halftone.bytes.len(), 2 * (w * h + w2 * h2));
        let value = |i: usize| u16::from_be_bytes([halftone.bytes[2 * i], halftone.bytes[2 * i + 1]]);
        let tone = 23_456_u16;
        let side = 300;
        let film = screen.film(common::flat_u16(side, side, tone).view()).unwrap();
        // Lay the rectangles wherever the translations lead and compare each pixel they cover; all must be covered once.
        let mut covered = vec![0; side * side];
        let (t, u) = if w2 == 0 {
            ([w as i64, 0], [0, h as i64])
        } else {
            ([w as i64, -(h2 as i64)], [w2 as i64, h as i64])
        };
        let reach = 400_i64;
        for i in -reach..=reach {
            for j in -reach..=reach {
                let corner = [i * t[0] + j * u[0], i * t[1] + j * u[1]];
                if corner[0] > side as i64
                    || corner[1] > side as i64
                    || corner[0] + (w.max(w2) as i64) < 0
                    || corner[1] + ((h + h2) as i64) < 0
                {
                    continue;
                }
                for (first, x0, y0, width, height) in [(0, 0, 0, w, h), (w * h, 0, h, w2, h2)] {
                    for y in 0..height {
                        for x in 0..width {
                            let (px, py) = (corner[0] + (x0 + x) as i64, corner[1] + (y0 + y) as i64);
                            if (0..side as i64).contains(&px) && (0..side as i64).contains(&py) {
                                covered[py as usize * side + px as usize] += 1;
                                let black = (u16::MAX - tone) < value(first + y * width + x).max(1);
                                assert_eq!(black, film.get(px as usize, py as usize), "{px} {py}");
                            }
                        }
                    }
                }
            }
        }
        assert!(covered.iter().all(|&n| n == 1), "pixels covered {:?} times", covered.iter().max());
    }
}

#[test]
fn a_thousand_random_requests_are_within_tolerance() {
    // 1000 requests of 360…2540 px/inch, 20…150 lines/inch, cells of 6 px and more, −360…720°: within 0.01° and 0.02 %, within
    // the default limit. Judged from the brick's own translations: each must be whole cells of the frequencies told.
    let mut state = 7_u64;
    let mut random = |from: f64, to: f64| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        from + (to - from) * (state >> 11) as f64 / (1_u64 << 53) as f64
    };
    let mut sizes = Vec::new();
    while sizes.len() < 1000 {
        let (x, lines, degrees) = (random(360.0, 2540.0), random(20.0, 150.0), random(-360.0, 720.0));
        let y = if sizes.len() % 3 == 0 { random(360.0, 2540.0) } else { x };
        if x.min(y) / lines < 6.0 {
            continue;
        }
        let resolution = Resolution::per_inch_xy(x, y).unwrap();
        let line_count = LineCount::per_inch(lines).unwrap();
        let lattice = Lattice::find(
            resolution,
            line_count,
            angle(degrees),
            Tolerance::default(),
            screen::DEFAULT_LIMIT,
        )
        .unwrap();
        assert!(lattice.pixels() <= 2 << 20);
        for (axis, turned) in [(lattice.first_axis(), 0.0), (lattice.second_axis(), 90.0)] {
            assert!((axis.degrees - turned - degrees).abs() <= 0.01 + 1e-9, "{lattice:?}");
            assert!((axis.lines / lines - 1.0).abs() <= 0.0002 + 1e-12, "{lattice:?}");
            let (sin, cos) = axis.degrees.to_radians().sin_cos();
            for [tx, ty] in lattice.translations() {
                // y runs down in pixels and up in angles.
                let phase = axis.lines * (tx as f64 / x * cos - ty as f64 / y * sin);
                assert!((phase - phase.round()).abs() < 1e-6, "{phase} cells, {lattice:?}");
            }
        }
        sizes.push(lattice.pixels());
    }
    sizes.sort_unstable();
    println!("thresholds: median {}, 95 % {}, most {}", sizes[500], sizes[950], sizes[999]);
}

/// The Fourier transform of a film about its mean at one frequency in cycles per pixel, under a Hann window.
fn spectrum_at(film: &Film, fx: f64, fy: f64) -> f64 {
    let n = film.width();
    let hann = |i: usize| 0.5 - 0.5 * (std::f64::consts::TAU * (i as f64 + 0.5) / n as f64).cos();
    let wave = |f: f64| -> Vec<Complex<f64>> {
        (0..n).map(|i| Complex::from_polar(hann(i), -std::f64::consts::TAU * f * i as f64)).collect()
    };
    let (across, down) = (wave(fx), wave(fy));
    let mean = film.coverage();
    let mut sum = Complex::new(0.0, 0.0);
    for (y, down) in down.iter().enumerate() {
        let row: Complex<f64> =
            (0..n).map(|x| across[x] * (f64::from(u8::from(film.get(x, y))) - mean)).sum();
        sum += row * down;
    }
    sum.norm()
}

/// The strongest frequency of a square film, in cycles per pixel: the highest bin, then climbed to its top.
fn strongest(film: &Film) -> [f64; 2] {
    let n = film.width();
    let mut planner = FftPlanner::new();
    let fft = planner.plan_fft_forward(n);
    let mut data: Vec<Complex<f64>> =
        (0..n * n).map(|i| Complex::new(f64::from(u8::from(film.get(i % n, i / n))), 0.0)).collect();
    fft.process(&mut data);
    let mut turned: Vec<Complex<f64>> = (0..n * n).map(|i| data[i % n * n + i / n]).collect();
    fft.process(&mut turned);
    // The mean and its leakage apart.
    let far = |k: usize| k.min(n - k);
    let best = (0..n * n)
        .filter(|&i| far(i % n) + far(i / n) > 6)
        .max_by(|&a, &b| turned[a].norm().total_cmp(&turned[b].norm()))
        .unwrap();
    let signed = |k: usize| if k > n / 2 { k as f64 - n as f64 } else { k as f64 };
    // Transposed: the fast index is y.
    let mut f = [signed(best / n) / n as f64, signed(best % n) / n as f64];
    let mut step = 0.5 / n as f64;
    for _ in 0..6 {
        for axis in 0..2 {
            let at = |d: f64| {
                let mut g = f;
                g[axis] += d;
                spectrum_at(film, g[0], g[1]).ln()
            };
            let (l, m, r) = (at(-step), at(0.0), at(step));
            f[axis] += step * (0.5 * (l - r) / (l - 2.0 * m + r)).clamp(-1.0, 1.0);
        }
        step *= 0.5;
    }
    f
}

#[test]
fn angle_and_line_count_are_read_back_by_a_fourier_transform() {
    let n = 1024;
    for (x, y, lines, degrees, dot, tone) in [
        (1200.0, 1200.0, 55.0, 22.5, Dot::Round, 80),
        (720.0, 1440.0, 45.0, 61.0, Dot::Round, 80),
        (600.0, 600.0, 65.7, -15.0, Dot::Line, 128),
        (2540.0, 2540.0, 133.0, 388.8, Dot::Line, 100),
        (1440.0, 720.0, 52.5, 7.5, Dot::Line, 60),
    ] {
        let resolution = Resolution::per_inch_xy(x, y).unwrap();
        let is_line = matches!(dot, Dot::Line);
        let screen = cells(resolution, lines, degrees, dot);
        let film = screen.film(flat(n, n, tone).view()).unwrap();
        let [fx, fy] = strongest(&film);
        let (u, v) = (fx * x, -fy * y);
        let found = (u * u + v * v).sqrt();
        // A line screen repeats across its lines; a round one in both directions alike.
        let (turn, modulus) = if is_line { (90.0, 180.0) } else { (0.0, 90.0) };
        let off = (v.atan2(u).to_degrees() - degrees - turn).rem_euclid(modulus);
        let off = off.min(modulus - off);
        assert!((found / lines - 1.0).abs() < 0.0003, "{lines}: {found}");
        assert!(off < 0.015, "{degrees}: off by {off}");
    }
}

#[test]
fn index_dots_are_blue_noise() {
    // R. Ulichney, "Dithering with blue noise", Proc. IEEE 76 (1988): no power below the principal frequency √min(g, 1 − g).
    // Measured here on the film: mean of the annulus means of P/σ² up to half of it.
    let screen = Screen::index(per_inch(600.0), 3).build().unwrap();
    let n = 128;
    let fft = FftPlanner::new().plan_fft_forward(n);
    for tone in [8_u8, 16, 32, 64, 96, 111, 128, 143, 160, 191, 223] {
        let film = screen.film(flat(3 * n, 3 * n, tone).view()).unwrap();
        let g = film.coverage();
        let mut data: Vec<Complex<f64>> = (0..n * n)
            .map(|i| Complex::new(f64::from(u8::from(film.get(3 * (i % n), 3 * (i / n)))) - g, 0.0))
            .collect();
        fft.process(&mut data);
        let mut turned: Vec<Complex<f64>> = (0..n * n).map(|i| data[i % n * n + i / n]).collect();
        fft.process(&mut turned);
        let reach = (0.5 * g.min(1.0 - g).sqrt() * n as f64) as usize;
        let (mut power, mut count) = (vec![0.0; reach + 1], vec![0.0; reach + 1]);
        let signed = |k: usize| if k > n / 2 { k as f64 - n as f64 } else { k as f64 };
        for (i, value) in turned.iter().enumerate() {
            let ring = signed(i % n).hypot(signed(i / n)).round() as usize;
            if (1..=reach).contains(&ring) {
                power[ring] += value.norm_sqr() / (n * n) as f64 / (g * (1.0 - g));
                count[ring] += 1.0;
            }
        }
        let mean = (1..=reach).map(|r| power[r] / count[r]).sum::<f64>() / reach as f64;
        let most = if (7.0 / 16.0..=9.0 / 16.0).contains(&g) { 0.20 } else { 0.15 };
        assert!(mean < most, "{mean} at {g}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..Default::default() })]

    /// Promise 5 with tolerances of any width: within, or refused with what was asked and the best.
    #[test]
    fn a_lattice_is_within_tolerance_or_refused(
        x in 200.0f64..3000.0, y in 200.0f64..3000.0, lines in 10.0f64..200.0, degrees in -1e6f64..1e6,
        loose in -4.0f64..0.0, limit in 10u64..100_000,
    ) {
        let tolerance = Tolerance::new(10f64.powf(loose), 10f64.powf(loose) / 50.0).unwrap();
        let resolution = Resolution::per_inch_xy(x, y).unwrap();
        let line_count = LineCount::per_inch(lines).unwrap();
        match Lattice::find(resolution, line_count, angle(degrees), tolerance, limit) {
            Ok(lattice) => {
                prop_assert!(lattice.pixels() <= limit);
                let off = (lattice.degrees() - degrees).abs();
                prop_assert!(off <= 10f64.powf(loose) + 1e-6, "{}", off);
                prop_assert!((lattice.lines_per_inch() / lines - 1.0).abs() <= 10f64.powf(loose) / 50.0 + 1e-9);
            }
            Err(error) => {
                let message = error.to_string();
                prop_assert!(message.contains("best found") || message.contains("one cell") || message.contains("at least 2 px"), "{}", message);
            }
        }
    }
}
