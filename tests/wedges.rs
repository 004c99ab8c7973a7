//! Wedges against measured ramps: coverage, compensation through real films, and a wedge printed, scanned and read.

mod common;

use common::{cells, per_inch};
use dotwright::lettering::Lettering;
use dotwright::tone::readings::{Form, Readings, Scale};
use dotwright::tone::scan::{self, Encoding, PatchGrid};
use dotwright::tone::strip::{Strip, USUAL};
use dotwright::{Curve, Dot, Length, Mode, Screen};
use ndarray::Array2;

/// A measured ramp: name, ink, and (tint, [X, Y, Z], tone value) in parts of 1.
type Ramp = (String, char, Vec<(f64, [f64; 3], f64)>);

/// FOGRA39L and TR006, every ink: tests/reference/README.md.
fn ramps() -> Vec<Ramp> {
    let mut ramps: Vec<Ramp> = Vec::new();
    for line in include_str!("reference/tvi_from_debian_ti3.csv").lines().skip(1) {
        let f: Vec<&str> = line.split(',').collect();
        let n = |i: usize| f[i].parse::<f64>().unwrap();
        let row = (n(2) / 100.0, [n(3), n(4), n(5)], n(6) / 100.0);
        match ramps.last_mut() {
            Some((set, ink, rows)) if set == f[0] && f[1].starts_with(*ink) => rows.push(row),
            _ => ramps.push((f[0].to_owned(), f[1].chars().next().unwrap(), vec![row])),
        }
    }
    ramps
}

fn readings(rows: &[(f64, [f64; 3], f64)]) -> Readings {
    let mut readings = Readings::new(Scale::Xyz);
    for (film, xyz, _) in rows {
        readings.add(*film, xyz).unwrap();
    }
    readings
}

#[test]
fn measured_ramps_have_their_published_tone_values() {
    let ramps = ramps();
    assert_eq!(ramps.len(), 8);
    for (set, ink, rows) in &ramps {
        let told = readings(rows).measure().unwrap();
        // ISO 12647-1: X for cyan, Y for magenta and black, Z for yellow; here found as the channel of most contrast.
        let channel = "CMKY".find(*ink).map(|i| [0, 1, 1, 2][i]);
        assert_eq!(told.channel, channel, "{set} {ink}");
        assert_eq!(told.patches.len(), rows.len());
        for (patch, (film, _, tone)) in told.patches.iter().zip(rows) {
            assert_eq!(patch.film, *film);
            assert!((patch.printed - tone).abs() < 1e-4, "{set} {ink} {film}: {} {tone}", patch.printed);
        }
    }
}

#[test]
fn films_for_measured_presses_print_straight() {
    let screen = cells(per_inch(1200.0), 55.0, 22.5, Dot::Euclidean);
    for (set, ink, rows) in ramps() {
        let press = readings(&rows).measure().unwrap().curve;
        let ask = Curve::compensation(&press, None);
        let films = screen.again(Mode::Normal, Some(&ask)).unwrap();
        // The press itself, between its readings as straight as it can be: it knows nothing of our curve.
        let printed = |film: f64| {
            let right = rows.iter().position(|r| r.0 >= film).unwrap().max(1);
            let ((x0, _, y0), (x1, _, y1)) = (rows[right - 1], rows[right]);
            y0 + (film - x0) / (x1 - x0) * (y1 - y0)
        };
        for (film, _, tone) in &rows {
            // At the readings: the film holds what the press was read at.
            let on_film = film_coverage(&films, *tone);
            assert!((on_film - film).abs() < 0.001, "{set} {ink} {tone}: {on_film} for {film}");
            assert!((printed(on_film) - tone).abs() < 0.001, "{set} {ink} {tone}");
        }
        for i in 0..=100 {
            // Between them: two ways to draw a line through the readings may differ by what they bend.
            let tone = f64::from(i) / 100.0;
            assert!((printed(ask.eval(tone)) - tone).abs() < 0.004, "{set} {ink} {tone}");
        }
    }
}

/// What a film holds of a flat 16-bit tint, over a whole brick.
fn film_coverage(screen: &Screen, tone: f64) -> f64 {
    let level = (tone.clamp(0.0, 1.0) * 65_535.0).round() as u16;
    let thresholds = screen.thresholds_u16();
    thresholds.iter().filter(|&&t| level > t).count() as f64 / thresholds.len() as f64
}

#[test]
fn readings_left_out_lie_on_the_curve() {
    // Every second reading of a measured ramp foretells the others: real prints, real noise (X, Y, Z have two decimals).
    for (set, ink, rows) in ramps() {
        let last = rows.len() - 1;
        let kept: Vec<_> =
            rows.iter().enumerate().filter(|(i, _)| i % 2 == 0 || *i == last).map(|r| *r.1).collect();
        let curve = readings(&kept).measure().unwrap().curve;
        for (film, _, tone) in &rows {
            assert!(
                (curve.eval(*film) - tone).abs() < 0.01,
                "{set} {ink} {film}: {} {tone}",
                curve.eval(*film)
            );
        }
    }
}

#[test]
fn the_spot_form_has_the_values_computed_elsewhere() {
    // ISO 20654's form (from memory) computed independently on two measured ramps: TR006 cyan 50 % → 50.08, FOGRA39L black 50 % →
    // 42.00.
    for (set, ink, percent) in [("TR006", 'C', 50.08), ("FOGRA39L", 'K', 42.00)] {
        let ramps = ramps();
        let (_, _, rows) = ramps.iter().find(|r| r.0 == set && r.1 == ink).unwrap();
        let told = readings(rows).form(Form::Spot).unwrap().measure().unwrap();
        let half = told.patches.iter().find(|p| p.film == 0.5).unwrap();
        assert!((100.0 * half.printed - percent).abs() < 0.005, "{set} {ink}: {}", 100.0 * half.printed);
    }
}

#[test]
fn a_printed_wedge_is_scanned_and_read() {
    // White ink on a black shirt, invented: the wedge's plate is screened, each dot's white spreads nothing, the scan is the film
    // itself at the film's resolution, turned by a degree in the grid's eyes and off by three pixels.
    let plain = Strip::new(&USUAL, 2, 10, [260, 260], 40).unwrap();
    let letters = Lettering::new(Length::mm(2.5).unwrap()).unwrap();
    let labelled = plain.clone().labelled(letters, per_inch(600.0)).unwrap();
    let screen = cells(per_inch(600.0), 45.0, 22.5, Dot::Round);
    for strip in [plain, labelled] {
        scanned_and_read(&strip, &screen);
    }
}

fn scanned_and_read(strip: &Strip, screen: &Screen) {
    let film = screen.film(strip.plate::<u16>().unwrap().view()).unwrap();
    let light = |ink: bool| if ink { 205u8 } else { 30 };
    let scan = Array2::from_shape_fn((film.height(), film.width()), |(y, x)| light(film.get(x, y)));
    let [x, y, w, h] = strip.place(0);
    let pitch = (strip.place(strip.grid()[0])[1] - y) as f64;
    let grid = PatchGrid {
        first: [x as f64 + w as f64 / 2.0 + 3.0, y as f64 + h as f64 / 2.0 - 3.0],
        along: [300.0, 0.3],
        down: [-0.3, pitch],
        columns: strip.grid()[0],
        count: strip.patches().len(),
        patch: [w as f64, h as f64],
    };
    let reads = scan::read(scan.view(), Encoding::Srgb, &grid).unwrap();
    let mut readings = Readings::new(Scale::Reflectance);
    for (patch, read) in strip.patches().iter().zip(&reads) {
        readings.add(patch.coverage, &[read.reflectance]).unwrap();
        assert!(read.spread < 0.02, "{} {}", patch.label, read.spread);
    }
    let told = readings.measure().unwrap();
    for patch in &told.patches {
        assert!((patch.printed - patch.film).abs() < 0.003, "{patch:?}");
    }
}
