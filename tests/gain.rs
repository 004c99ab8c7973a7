//! Edge growth and gain against geometry computed elsewhere, measured ramps and the table of constant borders.

use std::collections::HashMap;

use dotwright::film::Rect;
use dotwright::press::spread::{Spread, grown};
use dotwright::{Film, Length, Resolution};

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
    let (mut checked, mut worst) = (0, [0.0_f64; 2]);
    for line in include_str!("reference/spread_coverage.csv").lines().skip(1) {
        let f: Vec<&str> = line.split(',').collect();
        let n = |i: usize| f[i].parse::<f64>().unwrap();
        let resolution = Resolution::per_inch_xy(n(1), n(2)).unwrap();
        let whole = |i: usize| f[i].parse::<usize>().unwrap();
        let piece = Rect { x: whole(4), y: whole(5), width: whole(6), height: whole(7) };
        let spread = Spread::new(resolution, um(n(3))).unwrap();
        let found = spread.coverage_of(films[f[0]].view(), piece).unwrap();
        println!("{:.5} {line}", 100.0 * (found - n(8)));
        worst[0] = worst[0].max((found - n(8)).abs());
        if f[0].contains("22_") {
            worst[1] = worst[1].max((found - n(9)).abs());
            assert!((found - n(9)).abs() < 0.005, "{line}: {found}");
        }
        checked += 1;
    }
    println!("worst {worst:?}");
    assert_eq!(checked, 96);
}
