//! Edge growth, gain and compensation against geometry computed elsewhere, the table of constant borders and measured ramps.

mod common;

use std::collections::HashMap;

use common::{cells, per_inch};
use dotwright::film::Rect;
use dotwright::press::gain::{Outlined, expected, fit, on_film};
use dotwright::press::spread::{Spread, grown};
use dotwright::tone::model::Gain;
use dotwright::tone::readings::{Readings, Scale};
use dotwright::tone::wedge::{Reading, press_curve};
use dotwright::{Curve, Dot, Film, Length, LineCount, Mode, Resolution, Screen};
use ndarray::Array2;

fn um(micrometres: f64) -> Length {
    Length::um(micrometres).unwrap()
}

/// The films of tests/reference/spread.py.
fn films() -> HashMap<String, Film> {
    let mut films: HashMap<String, Film> = HashMap::new();
    for block in include_str!("reference/spread_films.txt").split("# ").skip(1) {
        let mut lines = block.lines();
        let name = lines.next().unwrap().split(' ').next().unwrap();
        let rows: Vec<&str> = lines.collect();
        let mut film = Film::new(rows[0].len(), rows.len()).unwrap();
        for (y, row) in rows.iter().enumerate() {
            row.bytes().enumerate().for_each(|(x, bit)| film.set(x, y, bit == b'1'));
        }
        films.insert(name.to_owned(), film);
    }
    films
}

#[test]
fn films_grow_as_geometry_computed_elsewhere() {
    // Coverage by shapely (rectangles united, grown, cut), and by 8 × 8 points a pixel: tests/reference/spread.py.
    let films = films();
    let mut checked = 0;
    for line in include_str!("reference/spread_coverage.csv").lines().skip(1) {
        let f: Vec<&str> = line.split(',').collect();
        let n = |i: usize| f[i].parse::<f64>().unwrap();
        let resolution = Resolution::per_inch_xy(n(1), n(2)).unwrap();
        let whole = |i: usize| f[i].parse::<usize>().unwrap();
        let piece = Rect { x: whole(4), y: whole(5), width: whole(6), height: whole(7) };
        let spread = Spread::new(resolution, um(n(3))).unwrap();
        let found = spread.coverage_of(films[f[0]].view(), piece).unwrap();
        assert!((found - n(8)).abs() < 2e-5, "{line}: {found}");
        if f[0].contains("22_") {
            assert!((found - n(9)).abs() < 0.005, "{line}: {found}");
        }
        checked += 1;
    }
    assert_eq!(checked, 96);
}

#[test]
fn every_pixel_grows_as_geometry_computed_elsewhere() {
    let films = films();
    let mut fields: HashMap<String, Array2<f32>> = HashMap::new();
    let mut checked = 0;
    for line in include_str!("reference/spread_pixels.csv").lines().skip(1) {
        let f: Vec<&str> = line.split(',').collect();
        let n = |i: usize| f[i].parse::<f64>().unwrap();
        let field = fields.entry(f[..4].join(",")).or_insert_with(|| {
            grown(films[f[0]].view(), Resolution::per_inch_xy(n(1), n(2)).unwrap(), um(n(3))).unwrap()
        });
        for (x, value) in f[5].split(' ').enumerate() {
            let found = f64::from(field[[f[4].parse().unwrap(), x]]);
            let exact: f64 = value.parse().unwrap();
            assert!((found - exact).abs() < 0.003, "{} {x}: {found} {exact}", f[..5].join(","));
            checked += 1;
        }
    }
    assert_eq!(fields.len(), 3);
    assert!(checked > 3000, "{checked}");
}

/// Rows of the table of constant borders (tests/reference/README.md): line count, growth in µm, printed coverage at [`TONES`].
fn borders() -> Vec<(f64, f64, Vec<f64>)> {
    let rows = include_str!("reference/constant_border_gain_euclidean_dot.csv").lines().skip(1);
    rows.map(|row| {
        let f: Vec<f64> = row.split(',').map(|v| v.parse().unwrap()).collect();
        (f[0], f[1], f[2..].iter().map(|v| v / 100.0).collect())
    })
    .collect()
}

const TONES: [f64; 6] = [0.05, 0.10, 0.25, 0.50, 0.75, 0.90];

#[test]
fn a_dot_gains_what_the_table_of_constant_borders_says() {
    assert_eq!(borders().len(), 15);
    for (lines, growth, row) in borders() {
        let lines = LineCount::per_inch(lines).unwrap();
        let printed = Outlined::new(&Dot::Euclidean, lines, &TONES).unwrap().printed(um(growth)).unwrap();
        for (found, table) in printed.iter().zip(&row) {
            assert!((found - table).abs() < 0.0015, "{lines} {growth}: {found} {table}");
        }
    }
}

#[test]
fn an_expected_curve_says_the_same_between_its_points() {
    let lines = LineCount::per_inch(55.0).unwrap();
    for (_, growth, row) in borders().into_iter().filter(|b| b.0 == 55.0) {
        let curve = expected(&Dot::Euclidean, lines, um(growth)).unwrap();
        for (tone, table) in TONES.iter().zip(&row) {
            assert!((curve.eval(*tone) - table).abs() < 0.0015, "{growth} {tone}: {table}");
        }
        let between = [0.013, 0.112, 0.238, 0.463, 0.512, 0.638, 0.889, 0.987];
        let printed = Outlined::new(&Dot::Euclidean, lines, &between).unwrap().printed(um(growth)).unwrap();
        for (tone, printed) in between.iter().zip(&printed) {
            assert!((curve.eval(*tone) - printed).abs() < 0.003, "{growth} {tone}: {printed}");
        }
    }
}

/// What a screen's film of one tint holds and prints, over a whole brick.
fn tint(screen: &Screen, spread: &Spread, tone: f64) -> (f64, f64) {
    let ([mx, my], tiling) = (spread.reach(), screen.tiling());
    let level = (tone * 65_535.0).round() as u16;
    let size = (tiling.height + 2 * my, tiling.width + 2 * mx);
    let film = screen.film(Array2::from_elem(size, level).view()).unwrap();
    let piece = Rect { x: mx, y: my, width: tiling.width, height: tiling.height };
    (film.view().coverage_of(piece).unwrap(), spread.coverage_of(film.view(), piece).unwrap())
}

#[test]
fn films_gain_as_the_table_and_what_their_stairs_add() {
    // A slanting edge of pixels grows from its outer corners, which stand ahead of its middle by half a pixel at most (√½ where its
    // steps are single pixels that all stick out alike); first order: perimeter of the grown dots times that.
    for (lines, growth, row) in borders() {
        let resolution = per_inch(220.0 * lines);
        let screen = Screen::cells(
            resolution,
            LineCount::per_inch(lines).unwrap(),
            dotwright::Angle::degrees(0.0).unwrap(),
            Dot::Euclidean,
        )
        .growth(dotwright::screen::Growth::Straight)
        .build()
        .unwrap();
        let spread = Spread::new(resolution, um(growth)).unwrap();
        for (tone, table) in TONES.iter().zip(&row) {
            let (film, printed) = tint(&screen, &spread, *tone);
            assert!((film - tone).abs() < 2e-5);
            assert!(
                (-0.001..0.010).contains(&(printed - table)),
                "{lines} {growth} {tone}: {printed} {table}"
            );
        }
    }
}

/// A measured ramp: name, ink, and (tint, [X, Y, Z], tone value) in parts of 1.
type Ramp = (String, String, Vec<(f64, [f64; 3], f64)>);

/// Every ink of nine sets of characterisation data: tests/reference/README.md.
fn ramps() -> Vec<Ramp> {
    let mut ramps: Vec<Ramp> = Vec::new();
    for line in include_str!("reference/single_ink_ramps.csv").lines().skip(1) {
        let f: Vec<&str> = line.split(',').collect();
        let n = |i: usize| f[i].parse::<f64>().unwrap();
        let row = (n(2) / 100.0, [n(3), n(4), n(5)], n(6) / 100.0);
        match ramps.last_mut() {
            Some((set, ink, rows)) if set == f[0] && ink == f[1] => rows.push(row),
            _ => ramps.push((f[0].to_owned(), f[1].to_owned(), vec![row])),
        }
    }
    assert_eq!(ramps.len(), 36);
    ramps
}

/// The press of a ramp.
fn press(rows: &[(f64, [f64; 3], f64)]) -> Curve {
    let mut readings = Readings::new(Scale::Xyz);
    rows.iter().for_each(|(film, xyz, _)| readings.add(*film, xyz).unwrap());
    readings.measure().unwrap().curve
}

#[test]
fn every_ramp_is_read_and_prints_straight_through_a_film() {
    let screen = cells(per_inch(1200.0), 55.0, 22.5, Dot::Euclidean);
    let none = Spread::new(per_inch(1200.0), um(0.0)).unwrap();
    for (set, ink, rows) in ramps() {
        let press = press(&rows);
        let compensated = screen.again(Mode::Normal, Some(&Curve::compensation(&press, None))).unwrap();
        for (film, _, tone) in &rows {
            // As read, to 0.01 point; and the film of the plate's tone prints that tone, to 0.1 point.
            assert!(
                (press.eval(*film) - tone).abs() < 1e-4,
                "{set} {ink} {film}: {} {tone}",
                press.eval(*film)
            );
            let (held, _) = tint(&compensated, &none, *tone);
            assert!((press.eval(held) - tone).abs() < 0.001, "{set} {ink} {tone}: {held}");
            assert!((held - film).abs() < 0.001, "{set} {ink} {tone}: {held} {film}");
        }
    }
}

#[test]
fn newsprint_prints_like_coated_paper() {
    let ramps = ramps();
    let rows = |set: &str, ink: &str| &ramps.iter().find(|r| r.0 == set && r.1 == ink).unwrap().2;
    let screen = cells(per_inch(1200.0), 55.0, 22.5, Dot::Euclidean);
    let none = Spread::new(per_inch(1200.0), um(0.0)).unwrap();
    for ink in ["C", "M", "Y", "K"] {
        let (news, coated) = (press(rows("TR002", ink)), press(rows("FOGRA39L", ink)));
        let ask = Curve::compensation_to(&coated, &news, None);
        let films = screen.again(Mode::Normal, Some(&ask)).unwrap();
        for (tint_of_aim, _, aim) in rows("FOGRA39L", ink) {
            let (held, _) = tint(&films, &none, *tint_of_aim);
            assert!((news.eval(held) - aim).abs() < 0.001, "{ink} {tint_of_aim}");
        }
    }
}

#[test]
fn one_number_describes_offset_ramps_to_a_point_and_newsprint_to_three() {
    let mut kinds = [(f64::INFINITY, 0.0_f64); 2];
    for (set, ink, rows) in ramps() {
        let half = rows.iter().find(|r| r.0 == 0.5).unwrap().2 - 0.5;
        let gain = Gain::at_half(half).unwrap();
        let tints: Vec<_> = rows.iter().filter(|r| r.0 > 0.0 && r.0 < 1.0).collect();
        let square: f64 = tints.iter().map(|r| (gain.print(r.0) - r.2).powi(2)).sum();
        let rms = (square / tints.len() as f64).sqrt();
        let (least, most) = &mut kinds[usize::from(set == "TR002")];
        (*least, *most) = (least.min(rms), most.max(rms));
        // A gain that is fitted is no worse.
        let readings: Vec<_> = rows.iter().map(|r| Reading { film: r.0, printed: r.2 }).collect();
        let fitted = Gain::fit(&readings).unwrap();
        assert!(fitted.rms <= rms + 1e-9, "{set} {ink}");
    }
    let expected = [(0.0015, 0.0108), (0.026, 0.031)];
    for ((least, most), (low, high)) in kinds.into_iter().zip(expected) {
        assert!((least - low).abs() < 3e-4 && (most - high).abs() < 5e-4, "{kinds:?}");
    }
}

#[test]
fn growth_is_found_again_from_a_wedge() {
    // 22 px a cell, readings from the film's own growth with 0.4 point of scatter.
    let resolution = per_inch(1210.0);
    let scatter = [0.004, -0.003, 0.001, -0.004, 0.002, 0.003, -0.003];
    for dot in [Dot::Round, Dot::Euclidean] {
        let screen = cells(resolution, 55.0, 22.5, dot.clone());
        for growth in [-20.0, 8.0, 25.4] {
            let spread = Spread::new(resolution, um(growth)).unwrap();
            let prints: Vec<f64> = (1..10).map(|i| tint(&screen, &spread, f64::from(i) / 10.0).1).collect();
            let readings = |noise: f64| -> Vec<Reading> {
                let read = |i: usize| (prints[i] + noise * scatter[i % 7]).clamp(0.0, 1.0);
                (0..9).map(|i| Reading { film: (i + 1) as f64 / 10.0, printed: read(i) }).collect()
            };
            let clean = fit(&screen, resolution, &readings(0.0)).unwrap();
            assert!((clean.growth.to_um() - growth).abs() < 0.2, "{dot:?} {growth}: {clean:?}");
            assert!(clean.rms < 0.002, "{dot:?} {growth}: {clean:?}");
            let noisy = fit(&screen, resolution, &readings(1.0)).unwrap();
            let error = noisy.uncertainty.unwrap();
            assert!((noisy.growth.to_um() - growth).abs() < 3.0 * error, "{dot:?} {growth}: {noisy:?}");
            assert!((0.05..1.5).contains(&error), "{dot:?} {growth}: {noisy:?}");
            assert_eq!(noisy.residuals.len(), 9);
        }
    }
}

#[test]
fn the_table_of_constant_borders_is_a_wedge_of_its_growth() {
    // At 220 px a cell stairs are worth half a pixel, a micrometre at 55 lines per inch.
    let resolution = per_inch(12_100.0);
    let screen = cells(resolution, 55.0, 0.0, Dot::Euclidean);
    for (lines, growth, row) in borders() {
        if lines == 55.0 {
            let readings: Vec<_> =
                TONES.iter().zip(&row).map(|(&film, &printed)| Reading { film, printed }).collect();
            let found = fit(&screen, resolution, &readings).unwrap();
            assert!((-1.2..0.2).contains(&(found.growth.to_um() - growth)), "{growth}: {found:?}");
            assert!(found.rms < 0.002, "{growth}: {found:?}");
        }
    }
}

#[test]
fn a_second_round_straightens_what_expectation_left() {
    // First round from the dot's expected gain; the film at 22 px a cell has stairs that nobody told it of.
    let (resolution, growth) = (per_inch(1210.0), um(25.4));
    let plain = cells(resolution, 55.0, 22.5, Dot::Round);
    let spread = Spread::new(resolution, growth).unwrap();
    let print = |ask: &Curve, tone: f64| tint(&plain, &spread, ask.eval(tone)).1;
    let off = |ask: &Curve| {
        (1..40).map(|i| f64::from(i) / 40.0).map(|t| (print(ask, t) - t).abs()).fold(0.0, f64::max)
    };
    let wedge = |ask: &Curve| {
        let tones = (1..20).map(|i| f64::from(i) / 20.0);
        press_curve(&tones.map(|t| Reading { film: t, printed: print(ask, t) }).collect::<Vec<_>>()).unwrap()
    };
    let first = Curve::compensation(
        &expected(&Dot::Round, LineCount::per_inch(55.0).unwrap(), growth).unwrap(),
        None,
    );
    let second = first.refined(&wedge(&first), None).unwrap();
    let third = second.refined(&wedge(&second), None).unwrap();
    let left = [Curve::identity(), first, second, third].map(|ask| off(&ask));
    assert!(left[0] > 0.10 && left[1] < 0.06 && left[2] < 0.005 && left[3] < 0.004, "{left:?}");
}

#[test]
fn a_film_that_expects_its_own_pixels_prints_straight_at_once() {
    // 22 px a cell, normal and inverted, square pixels and others; growth and shrinking.
    for (resolution, dot, mode, growth) in [
        (per_inch(1210.0), Dot::Round, Mode::Normal, 25.4),
        (per_inch(1210.0), Dot::Round, Mode::Inverted, 20.0),
        (Resolution::per_inch_xy(720.0, 1440.0).unwrap(), Dot::Euclidean, Mode::Normal, 30.0),
        (per_inch(1210.0), Dot::ellipse(0.4, 0.6).unwrap(), Mode::Normal, -15.0),
    ] {
        let plain = cells(resolution, 55.0, 22.5, dot.clone()).again(mode, None).unwrap();
        let press = on_film(&plain, resolution, um(growth)).unwrap();
        let films = plain.again(mode, Some(&Curve::compensation(&press, None))).unwrap();
        let spread = Spread::new(resolution, um(growth)).unwrap();
        // Below the print of a single pixel a tone cannot be had, nor above what its hole leaves.
        for tone in (2..=18).map(|i| 0.05 * f64::from(i)) {
            let (_, printed) = tint(&films, &spread, tone);
            assert!((printed - tone).abs() < 0.005, "{dot:?} {mode:?} {growth} {tone}: {printed}");
        }
    }
}
