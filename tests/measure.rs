//! What a film holds, measured, against what its screen was built to.

mod common;

use common::{angle, flat, per_inch, random};
use dotwright::distance::Part;
use dotwright::measure::{self, Touch};
use dotwright::{Dot, LineCount, Mode, Resolution, Screen};

/// `a` − `b` to the nearest multiple of `modulus`.
fn apart(a: f64, b: f64, modulus: f64) -> f64 {
    let off = a - b;
    off - modulus * (off / modulus).round()
}

/// How far a screen's angle (°) and line count (relative) are read from their true values on 2 × 2 inches of a tint.
fn misread(resolution: Resolution, lines: f64, degrees: f64, dot: &Dot, mode: Mode, tone: u8) -> [f64; 2] {
    let lines = LineCount::per_inch(lines).unwrap();
    let screen = Screen::cells(resolution, lines, angle(degrees), dot.clone()).mode(mode).build().unwrap();
    let lattice = screen.lattice().unwrap();
    let (width, height) = (2 * resolution.x() as usize, 2 * resolution.y() as usize);
    let film = screen.film(flat(width, height, tone).view()).unwrap();
    let found = measure::repeat(&film.view(), resolution).unwrap();
    let case = format!("{resolution}, {lines} at {degrees:.2}°, {dot:?} {mode:?} {tone}: {found:?}");
    assert_eq!(found.second.is_none(), matches!(dot, Dot::Line), "{case}");
    let (off, count) = if found.second.is_none() {
        let along = lattice.second_axis();
        (apart(found.degrees, along.degrees - 90.0, 180.0), found.lines_per_inch / along.lines - 1.0)
    } else {
        // A dot that is longer one way has its angle told to a half turn.
        let is_long = matches!(dot, Dot::Ellipse(_));
        assert!(!is_long || found.modulus == 180.0, "{case}");
        assert!(!matches!(dot, Dot::Euclidean) || found.modulus == 90.0, "{case}");
        let modulus = if is_long { 180.0 } else { 90.0 };
        let off = apart(found.degrees, lattice.degrees(), modulus);
        (off, found.lines_per_inch / lattice.lines_per_inch() - 1.0)
    };
    assert!(off.abs() <= 0.005, "{off:.4}° off: {case}");
    assert!(count.abs() <= 5e-5, "{:.4} % off: {case}", 100.0 * count);
    [off.abs(), count.abs()]
}

#[test]
fn angle_and_line_count_are_read_back() {
    let mut random = random(21);
    let mut worst = [0.0_f64; 2];
    for round in 0..48 {
        let (x, y) = [(600.0, 600.0), (720.0, 720.0), (1200.0, 1200.0), (1440.0, 720.0), (1270.0, 1270.0)]
            [(random() * 5.0) as usize];
        let (lines, degrees) = (35.0 + 50.0 * random(), 360.0 * random());
        let [round_dot, ellipse] = [Dot::Round, Dot::ellipse(0.4, 0.6).unwrap()];
        let dot = &[round_dot, Dot::Euclidean, ellipse, Dot::Line, Dot::Diamond, Dot::Square][round % 6];
        let mode = if random() < 0.3 { Mode::Inverted } else { Mode::Normal };
        let tone = (26.0 + 204.0 * random()) as u8;
        let resolution = Resolution::per_inch_xy(x, y).unwrap();
        let off = misread(resolution, lines, degrees, dot, mode, tone);
        worst = [0, 1].map(|i| worst[i].max(off[i]));
    }
    println!("at worst {:.5}° and {:.5} % off", worst[0], 100.0 * worst[1]);
}

#[test]
fn harmonics_and_their_echoes_are_no_screens() {
    // Gaps so thin that the second harmonic is as high as the first wave.
    misread(per_inch(720.0), 55.71, 9.68, &Dot::Square, Mode::Normal, 222);
    // The thirteenth harmonic of lines, which the pixels show as 91 lines at 34°.
    misread(per_inch(720.0), 53.9, 85.43, &Dot::Line, Mode::Normal, 225);
    // Chains of dots, with more in the sum of both frequencies than along the chain.
    misread(per_inch(720.0), 79.51, 83.66, &Dot::ellipse(0.25, 0.75).unwrap(), Mode::Normal, 218);
}

#[test]
fn a_gradient_shows_its_screen_too() {
    let (resolution, lines) = (per_inch(720.0), LineCount::per_inch(52.0).unwrap());
    let screen =
        Screen::cells(resolution, lines, angle(112.5), Dot::ellipse(0.4, 0.6).unwrap()).build().unwrap();
    let ramp = ndarray::Array2::from_shape_fn((1440, 1440), |(y, x)| ((x + y) * 255 / 2880) as u8);
    let found = measure::repeat(&screen.film(ramp.view()).unwrap().view(), resolution).unwrap();
    let lattice = screen.lattice().unwrap();
    assert!(apart(found.degrees, lattice.degrees(), 180.0).abs() < 0.005, "{found:?}");
    assert!((found.lines_per_inch / lattice.lines_per_inch() - 1.0).abs() < 5e-5, "{found:?}");
}

#[test]
fn a_film_without_a_screen_says_so() {
    let index = Screen::index(per_inch(600.0), 3).build().unwrap();
    for film in [
        index.film(flat(1200, 1200, 60).view()).unwrap(),
        index.film(flat(1200, 1200, 128).view()).unwrap(),
        index.film(flat(300, 300, 0).view()).unwrap(),
        index.film(flat(300, 300, 255).view()).unwrap(),
    ] {
        let message = measure::repeat(&film.view(), per_inch(600.0)).unwrap_err().to_string();
        assert!(message.contains("shows no screen"), "{message}");
    }
    let small = index.film(flat(40, 300, 128).view()).unwrap();
    assert!(measure::repeat(&small.view(), per_inch(600.0)).is_err());
}

#[test]
fn dots_and_holes_are_those_of_the_lattice() {
    let (resolution, lines) = (per_inch(1200.0), LineCount::per_inch(45.0).unwrap());
    let screen = Screen::cells(resolution, lines, angle(22.5), Dot::Round).build().unwrap();
    for (tone, part) in [(64, Part::Ink), (230, Part::Bare)] {
        let film = screen.film(flat(2400, 2400, tone).view()).unwrap();
        let found = measure::parts(&film.view(), part, Touch::Corners).unwrap();
        // 45 × 45 to the square inch; those at the border count in part.
        let expected = 4.0 * screen.lattice().unwrap().lines_per_inch().powi(2);
        let count = found.whole.len() as f64 + 0.5 * found.cut.len() as f64;
        assert!((count - expected).abs() < 0.02 * expected, "{tone}: {count} for {expected}");
        let mean = found.mean().unwrap() / 1200.0_f64.powi(2);
        let share = if part == Part::Ink { f64::from(tone) } else { 255.0 - f64::from(tone) } / 255.0;
        assert!((mean - share / (expected / 4.0)).abs() < 0.01 * mean, "{tone}");
    }
}

#[test]
fn films_overlap_as_their_screens_let_expect() {
    let (resolution, lines) = (per_inch(1200.0), LineCount::per_inch(45.0).unwrap());
    let base = Screen::cells(resolution, lines, angle(22.5), Dot::Round).build().unwrap();
    let turned = Screen::cells(resolution, lines, angle(37.5), Dot::Round).build().unwrap();
    let inverted = base.again(Mode::Inverted, None).unwrap();
    let index = Screen::index(resolution, 3).build().unwrap();
    let (index_again, index_inverted) =
        (Screen::index(resolution, 3).build().unwrap(), index.again(Mode::Inverted, None).unwrap());
    for (base, other, within) in [
        (&base, &turned, 0.004),
        (&base, &base, 1e-12),
        (&base, &inverted, 0.002),
        (&index, &index_again, 1e-12),
        (&index, &index_inverted, 0.01),
        (&index, &base, 0.004),
    ] {
        for tones in [(60, 130), (128, 128), (200, 150)] {
            let one = base.film(flat(2400, 2400, tones.0).view()).unwrap();
            let two = other.film(flat(2400, 2400, tones.1).view()).unwrap();
            let found = measure::overlap([&one.view(), &two.view()], [base, other]).unwrap();
            assert!((found.both - found.expected).abs() <= within, "{found:?}");
        }
    }
}

/// White noise is 1 in every ring; blue noise has next to nothing below half its principal frequency √g: R. Ulichney, "Dithering with blue noise", Proc.
/// IEEE 76 (1988) 56–79. A void-and-cluster array of 64 × 64 has 0.05 to 0.10 there (computed with numpy), and no direction.
#[test]
fn blue_noise_has_a_blue_spectrum() {
    let mut random = random(77);
    let mut noise = dotwright::Film::new(512, 512).unwrap();
    for y in 0..512 {
        for x in 0..512 {
            noise.set(x, y, random() < 0.25);
        }
    }
    let rings = measure::spectrum(&noise.view()).unwrap();
    let mean = rings[20..].iter().map(|ring| ring.power).sum::<f64>() / rings[20..].len() as f64;
    assert!((mean - 1.0).abs() < 0.02, "{mean}");
    assert!(rings[20..].iter().all(|ring| ring.anisotropy.abs() < 2.5));

    let index = Screen::index(per_inch(600.0), 1).build().unwrap();
    for (share, most) in [
        (1.0 / 32.0, 0.15),
        (1.0 / 16.0, 0.15),
        (0.125, 0.15),
        (0.25, 0.15),
        (0.5, 0.2),
        (0.75, 0.15),
        (0.875, 0.15),
    ] {
        let film = index.film(flat(256, 256, (share * 255.0_f64).round() as u8).view()).unwrap();
        let rings = measure::spectrum(&film.view()).unwrap();
        let principal = share.min(1.0 - share).sqrt().min(0.5);
        let low: Vec<_> = rings.iter().filter(|ring| ring.frequency <= 0.5 * principal).collect();
        let power = low.iter().map(|ring| ring.power).sum::<f64>() / low.len() as f64;
        assert!(power <= most, "{share}: {power}");
        // The tile of 128 pixels repeats: only every second ring has power, so direction is judged on the rings of one tile.
        let tile = index.film(flat(128, 128, (share * 255.0_f64).round() as u8).view()).unwrap();
        let rings = measure::spectrum(&tile.view()).unwrap();
        let judged: Vec<_> = rings.iter().filter(|ring| ring.samples >= 40 && ring.power > 0.05).collect();
        let direction = judged.iter().map(|ring| ring.anisotropy).sum::<f64>() / judged.len() as f64;
        assert!(direction.abs() < 1.5, "{share}: {direction} dB");
    }
}

#[test]
fn grain_is_what_a_plain_sum_says() {
    let (resolution, lines) = (per_inch(300.0), LineCount::per_inch(30.0).unwrap());
    let screen = Screen::cells(resolution, lines, angle(17.0), Dot::Round).build().unwrap();
    let film =
        screen.film(ndarray::Array2::from_shape_fn((130, 150), |(y, x)| (60 + (x * y) / 130) as u8).view());
    let film = film.unwrap();
    let found = measure::grain(&film.view(), resolution, lines).unwrap();
    let bell = |d: i64| (-0.5 * (d as f64 / 10.0).powi(2)).exp();
    let whole: f64 = (-40..=40).map(bell).sum::<f64>().powi(2);
    let mut blurred = Vec::new();
    for y in 40..90_i64 {
        for x in 40..110_i64 {
            let mut sum = 0.0;
            for (dx, dy) in (-40..=40).flat_map(|dx| (-40..=40).map(move |dy| (dx, dy))) {
                if film.get((x + dx) as usize, (y + dy) as usize) {
                    sum += bell(dx) * bell(dy);
                }
            }
            blurred.push(sum / whole);
        }
    }
    let mean = blurred.iter().sum::<f64>() / blurred.len() as f64;
    let plain = (blurred.iter().map(|b| (b - mean).powi(2)).sum::<f64>() / blurred.len() as f64).sqrt();
    assert!((found - plain).abs() < 1e-6 && plain > 0.01, "{found} for {plain}");
    assert!(measure::grain(&film.view(), resolution, LineCount::per_inch(20.0).unwrap()).is_err());
}
