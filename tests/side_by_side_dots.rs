//! The dots of plates side by side, measured on their films: how compact they are, that they hold their tones, where they grow.

#[path = "common/beside.rs"]
mod beside;
mod common;

use beside::{SOLID, compact, level, overlap, request, tints};
use common::{angle, flat_u16, per_inch};
use dotwright::colour::Overlap;
use dotwright::distance::{Part, Reach, to_nearest};
use dotwright::film::Rect;
use dotwright::screen::{Sharing, SideBySide};
use dotwright::{Dot, Film, Length, LineCount, Placed, Screen};
use ndarray::{Array2, s};

/// Diameter in µm of the largest circle of ink: twice the longest way from a pixel's centre to bare film, a cell of 45 lines inside of
/// the film's edge, beyond which nothing is known.
fn inscribed(film: &Film, resolution: f64) -> f64 {
    let away = to_nearest(&film.view(), per_inch(resolution), Part::Bare, Reach::Edge).unwrap();
    let cell = (resolution / 45.0) as usize;
    let inner = away.slice(s![cell..film.height() - cell, cell..film.width() - cell]);
    2.0 * inner.iter().fold(0.0, |most: f64, &d| most.max(d))
}

/// Random tones, every second time adding up to solid; alike, or most of them small, or some of them none.
struct Tones(u64);

impl Tones {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn of(&mut self, plates: usize) -> Vec<f64> {
        let (kind, total) = ((self.next() * 3.0) as u32, self.next());
        let part = |tones: &mut Self| match kind {
            0 => tones.next(),
            1 => tones.next().powi(4),
            _ => {
                if tones.next() < 0.5 {
                    tones.next()
                } else {
                    0.0
                }
            }
        };
        let parts: Vec<f64> = (0..plates).map(|_| part(self)).collect();
        let sum = parts.iter().sum::<f64>().max(1e-9);
        parts.iter().map(|part| part / sum * if total < 0.5 { 1.0 } else { total }).collect()
    }
}

#[test]
fn equal_tones_keep_compact_dots() {
    // Some four hundred cells, so that the largest circle does not hang on how a few dots lie on the pixels.
    let side = 560;
    let screen = request(1200.0, 45.0, 22.5).build().unwrap();
    let ordinary = |tone| inscribed(&screen.film(flat_u16(side, side, level(tone)).view()).unwrap(), 1200.0);
    for (plates, tone, least) in [
        (3, 0.1, 0.95),
        (3, 0.2, 0.95),
        (3, 0.3, 0.8),
        (3, 1.0 / 3.0, 0.72),
        (2, 0.1, 0.95),
        (2, 0.2, 0.95),
        (2, 0.3, 0.95),
        (2, 0.5, 0.85),
        (4, 0.1, 0.95),
        (4, 0.2, 0.95),
        (4, 0.25, 0.88),
        (5, 0.1, 0.95),
        (5, 0.2, 0.82),
        (6, 0.1, 0.95),
        (6, 1.0 / 6.0, 0.82),
        (8, 0.1, 0.95),
        (8, 0.125, 0.9),
        (10, 0.1, 0.78),
        (12, 1.0 / 12.0, 0.8),
    ] {
        let films = tints(&compact(plates), &vec![tone; plates], side, side);
        let ordinary = ordinary(tone);
        let smallest = films.iter().map(|film| inscribed(film, 1200.0)).fold(f64::INFINITY, f64::min);
        println!(
            "{plates} of {tone:.3}: {smallest:.0} µm, {:.2} of the ordinary dot's {ordinary:.0}",
            smallest / ordinary
        );
        assert!(smallest >= least * ordinary, "{plates} of {tone}: {smallest} of {ordinary} µm");
        assert_eq!(overlap(&films), 0);
    }
}

#[test]
fn unequal_tones_keep_compact_dots() {
    let side = 560;
    let screen = request(1200.0, 45.0, 22.5).build().unwrap();
    for (tones, least) in [
        (&[0.8, 0.1, 0.1][..], 0.7),
        (&[0.6, 0.1, 0.1], 0.8),
        (&[0.05, 0.3, 0.1], 0.95),
        (&[0.9, 0.1], 0.9),
        (&[0.5, 0.3, 0.1, 0.05], 0.72),
        (&[0.7, 0.1, 0.1, 0.1], 0.75),
        (&[0.3, 0.3, 0.1, 0.1, 0.1, 0.1], 0.77),
        (&[0.5, 0.1, 0.1, 0.1, 0.1, 0.1], 0.68),
        (&[0.6, 0.05, 0.05, 0.05, 0.05, 0.05, 0.05, 0.05], 0.6),
    ] {
        let films = tints(&compact(tones.len()), tones, side, side);
        let parts = films.iter().zip(tones).map(|(film, &tone)| {
            let ordinary = screen.film(flat_u16(side, side, level(tone)).view()).unwrap();
            (inscribed(film, 1200.0) / inscribed(&ordinary, 1200.0) * 100.0).round() / 100.0
        });
        let parts: Vec<f64> = parts.collect();
        println!("{tones:?}: {parts:?} of the ordinary dots");
        assert!(parts.iter().all(|&part| part >= least), "{tones:?}: {parts:?}");
    }
}

#[test]
fn rings_are_thin() {
    // What compact dots are for. The first ring is the disc of a tenth, 564.4 · 2 √(0.1/π) = 201.4 µm; the others lie between
    // circles of one, two and three tenths, 41.7 and 32.0 µm apart. On fine pixels, so that these widths can be measured.
    let rings = SideBySide::build(&request(3600.0, 45.0, 22.5), 3, Sharing::Rings).unwrap();
    let films = tints(&rings, &[0.1; 3], 500, 500);
    let widths: Vec<f64> = films.iter().map(|film| inscribed(film, 3600.0)).collect();
    println!("{widths:.0?} µm");
    for (width, known) in widths.iter().zip([201.4, 41.7, 32.0]) {
        // Circles about pixels' centres are up to a pixel and a half, 11 µm, smaller or, as cells differ, larger.
        assert!((width - known).abs() < 11.5, "{widths:?}");
    }
    assert!(widths[2] < 0.35 * widths[0]);
}

#[test]
fn every_combination_on_a_grid_holds_its_tone() {
    // All tones in whole steps that add up to no more than solid, over one brick.
    for (resolution, lines, degrees, plates, steps) in [
        (1200.0, 45.0, 22.5, 2, 20),
        (1200.0, 45.0, 22.5, 3, 9),
        (600.0, 45.0, 45.0, 4, 7),
        (600.0, 45.0, 45.0, 6, 4),
    ] {
        let screen =
            SideBySide::build(&request(resolution, lines, degrees), plates, Sharing::Compact).unwrap();
        let tiling = screen.screen().tiling();
        let (mut worst, mut squares, mut count) = (0.0_f64, 0.0, 0);
        let mut parts = vec![0_u32; plates];
        loop {
            let tones: Vec<f64> = parts.iter().map(|&part| f64::from(part) / f64::from(steps)).collect();
            let films = tints(&screen, &tones, tiling.width, tiling.height);
            assert_eq!(overlap(&films), 0, "{tones:?}");
            for (film, &tone) in films.iter().zip(&tones) {
                let off = (film.coverage() - f64::from(level(tone)) / SOLID).abs();
                worst = worst.max(off);
                squares += off * off;
                count += 1;
            }
            // The next combination: the first part that may grow grows, those before it begin again.
            let Some(next) = (0..plates).find(|&i| parts[i..].iter().sum::<u32>() < steps) else { break };
            parts[..next].fill(0);
            parts[next] += 1;
        }
        println!(
            "{plates} plates in {steps}ths, {} combinations, {} px: {worst:.4} at the most, {:.4} as root mean square",
            count / plates,
            tiling.pixels(),
            (squares / count as f64).sqrt()
        );
        assert!(worst < 0.012, "{plates} plates: {worst}");
    }
}

#[test]
fn any_tones_are_held_over_a_brick() {
    let mut random = Tones(3);
    let um = |n| Length::um(n).unwrap();
    let wide = Screen::cells(
        "720x1440".parse().unwrap(),
        LineCount::per_inch(55.0).unwrap(),
        angle(45.0),
        Dot::Euclidean,
    );
    for (name, request, plates, tries) in [
        ("720 x 1440 px, 55 lines, euclidean", wide, 3, 24),
        ("1200 px, 45 lines", request(1200.0, 45.0, 22.5), 2, 24),
        ("1200 px, 45 lines", request(1200.0, 45.0, 22.5), 3, 24),
        ("1200 px, 45 lines", request(1200.0, 45.0, 22.5), 6, 24),
        ("1200 px, 45 lines", request(1200.0, 45.0, 22.5), 8, 24),
        ("1200 px, 45 lines", request(1200.0, 45.0, 22.5), 12, 24),
        ("600 px, 65.7 lines", request(600.0, 65.7, 22.5), 4, 24),
        (
            "720 px, 45 lines, no dot below 150 µm",
            request(720.0, 45.0, 22.5).smallest(um(150.0), um(110.0)),
            4,
            12,
        ),
    ] {
        let screen = SideBySide::build(&request, plates, Sharing::Compact).unwrap();
        let tiling = screen.screen().tiling();
        let (mut worst, mut squares) = (0.0_f64, 0.0);
        for _ in 0..tries {
            let tones = random.of(plates);
            let films = tints(&screen, &tones, tiling.width, tiling.height);
            assert_eq!(overlap(&films), 0, "{name}: {tones:?}");
            for (film, &tone) in films.iter().zip(&tones) {
                let off = (film.coverage() - f64::from(level(tone)) / SOLID).abs();
                worst = worst.max(off);
                squares += off * off / (tries * plates) as f64;
            }
        }
        println!(
            "{name}, {plates} plates: {worst:.4} at the most, {:.4} as root mean square",
            squares.sqrt()
        );
        assert!(worst < 0.02, "{name}, {plates} plates: {worst}");
    }
}

#[test]
fn tones_that_add_up_to_solid_leave_nothing_bare() {
    let (mut random, screen) = (Tones(11), compact(4));
    for _ in 0..20 {
        let mut levels: Vec<u16> = random.of(4).iter().map(|&tone| level(tone)).collect();
        levels[1] = 65_535 - levels[0] - levels[2].min(65_535 - levels[0]);
        levels[2] = levels[2].min(65_535 - levels[0]);
        levels[3] = 0;
        let plates: Vec<_> = levels.iter().map(|&level| flat_u16(90, 70, level)).collect();
        let plates: Vec<_> = plates.iter().map(|plate| Placed::new(plate.view())).collect();
        let films = screen.films(&plates).unwrap();
        assert_eq!(films.iter().map(Film::count).sum::<u64>(), 90 * 70, "{levels:?}");
        assert_eq!(overlap(&films), 0, "{levels:?}");
    }
}

#[test]
fn growth_is_kept_where_no_dots_touch() {
    let screen = compact(3);
    let mut last = tints(&screen, &[0.0; 3], 200, 150);
    for step in 1..=20 {
        let tone = 0.01 * f64::from(step);
        let films = tints(&screen, &[tone, tone, 0.5 * tone], 200, 150);
        for (film, last) in films.iter().zip(&last) {
            assert_eq!(film.and(last).unwrap(), *last, "at {tone}");
        }
        last = films;
    }
    // Where they touch borders move: how much ink a plate gives up while its own tone stays and another's rises by a hundredth.
    let mut most = 0.0_f64;
    let mut last = tints(&screen, &[0.1, 0.3, 0.3], 200, 150);
    for step in 1..=30 {
        let films = tints(&screen, &[0.1 + 0.01 * f64::from(step), 0.3, 0.3], 200, 150);
        for (film, last) in films.iter().zip(&last) {
            let given = last.count() - film.and(last).unwrap().count();
            most = most.max(given as f64 / 30_000.0);
        }
        last = films;
    }
    println!("{most:.4} of the film changes hands at a hundredth more of another plate, at the most");
    assert!(most > 0.0 && most < 0.02, "{most}");
}

#[test]
fn rings_hold_their_tone_exactly_and_grow_as_one() {
    let cells = request(720.0, 45.0, 45.0);
    for (name, request) in [("round", cells), ("index dots", Screen::index(per_inch(720.0), 2))] {
        let rings = SideBySide::build(&request, 4, Sharing::Rings).unwrap();
        let tiling = rings.screen().tiling();
        let steps = rings.screen().brick().len() as f64;
        let mut random = Tones(7);
        for _ in 0..20 {
            let tones = random.of(4);
            let films = tints(&rings, &tones, tiling.width, tiling.height);
            assert_eq!(overlap(&films), 0);
            for (film, &tone) in films.iter().zip(&tones) {
                let off = (film.coverage() - f64::from(level(tone)) / SOLID).abs();
                assert!(off <= 1.0 / steps + 1e-9, "{name}: {off} at {tones:?}");
            }
            // All together they are the ordinary screen of the sum.
            let sum: u16 = tones.iter().map(|&tone| level(tone)).sum();
            let plate = flat_u16(tiling.width, tiling.height, sum);
            let whole = rings.screen().film(Placed::new(plate.view()).at(-31, 77)).unwrap();
            let all = films.iter().skip(1).fold(films[0].clone(), |all, film| all.or(film).unwrap());
            assert_eq!(all, whole, "{name}: {tones:?}");
        }
    }
}

#[test]
fn beyond_solid_the_first_plates_win() {
    // As the overlap law of the screen has it, which says what each combination of inks covers.
    for (sharing, tones) in [
        (Sharing::Compact, [0.9, 0.6, 0.3]),
        (Sharing::Compact, [0.3, 0.6, 0.9]),
        (Sharing::Compact, [0.2, 0.3, 0.4]),
        (Sharing::Rings, [0.5, 0.0, 0.7]),
    ] {
        let screen = SideBySide::build(&request(1200.0, 45.0, 22.5), 3, sharing).unwrap();
        let law = Overlap::from(&screen);
        assert_eq!(law, Overlap::side_by_side(3).unwrap());
        let mut areas = [0.0; 8];
        law.areas(&tones, &mut areas).unwrap();
        let films = tints(&screen, &tones, 400, 400);
        assert_eq!(overlap(&films), 0);
        for (plate, film) in films.iter().enumerate() {
            let wanted = areas[1 << plate];
            assert!((film.coverage() - wanted).abs() < 0.01, "{tones:?}: {} for {wanted}", film.coverage());
        }
        if tones.iter().sum::<f64>() > 1.0 {
            assert_eq!(films.iter().map(Film::count).sum::<u64>(), 160_000, "{tones:?}");
        }
    }
}

#[test]
fn gradients_hold_their_tones() {
    // Three plates that take over from one another, solid all along. In strips of half a period the dots are cut anywhere, so
    // strips of ten periods are judged, by how much their tone is off the mean of the plates there.
    let (width, height) = (2400, 540);
    let wave = |x: usize, i: usize| {
        let at = (x as f64 / width as f64 + i as f64 / 3.0).fract();
        (1.0 + (std::f64::consts::TAU * at).cos()) / 3.0
    };
    let plates: [Array2<u16>; 3] = std::array::from_fn(|i| {
        Array2::from_shape_fn((height, width), |(_, x)| level(wave(x, i).clamp(0.0, 1.0)))
    });
    let films = compact(3).films(&plates.each_ref().map(|plate| plate.view().into())).unwrap();
    assert_eq!(overlap(&films), 0);
    let mut worst = 0.0_f64;
    for (film, plate) in films.iter().zip(&plates) {
        for x in (0..width - 267).step_by(89) {
            let strip = Rect { x, y: 0, width: 267, height };
            let ink = film.view().coverage_of(strip).unwrap();
            let tone = plate.slice(s![.., x..x + 267]).mapv(|t| f64::from(t) / SOLID).mean().unwrap();
            worst = worst.max((ink - tone).abs());
        }
    }
    println!("{worst:.4} off at the most in strips of ten periods");
    assert!(worst < 0.02, "{worst}");
}
