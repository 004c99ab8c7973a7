//! What the integration tests share.
#![allow(dead_code, reason = "each test file uses its own part")]

use std::sync::OnceLock;

use dotwright::{Angle, Dot, LineCount, Resolution, Screen};
use ndarray::Array2;

pub fn per_inch(pixels: f64) -> Resolution {
    Resolution::per_inch(pixels).unwrap()
}

pub fn angle(degrees: f64) -> Angle {
    Angle::degrees(degrees).unwrap()
}

pub fn cells(resolution: Resolution, lines: f64, degrees: f64, dot: Dot) -> Screen {
    let lines = LineCount::per_inch(lines).unwrap();
    Screen::cells(resolution, lines, angle(degrees), dot).build().unwrap()
}

pub fn flat(width: usize, height: usize, tone: u8) -> Array2<u8> {
    Array2::from_elem((height, width), tone)
}

pub fn flat_u16(width: usize, height: usize, tone: u16) -> Array2<u16> {
    Array2::from_elem((height, width), tone)
}

/// One screen of every kind.
pub fn screens() -> &'static [(&'static str, Screen)] {
    static SCREENS: OnceLock<Vec<(&str, Screen)>> = OnceLock::new();
    SCREENS.get_or_init(|| {
        let wide = Resolution::per_inch_xy(720.0, 1440.0).unwrap();
        let lines = LineCount::per_inch(60.0).unwrap();
        let array = Array2::from_shape_fn((5, 7), |(y, x)| ((x * 13 + y * 29) % 17) as u32);
        vec![
            ("round", cells(per_inch(1200.0), 55.0, 22.5, Dot::Round)),
            ("euclidean", cells(wide, 45.0, 45.0, Dot::Euclidean)),
            ("ellipse", cells(per_inch(600.0), 65.7, -15.0, Dot::ellipse(0.4, 0.6).unwrap())),
            ("diamond", cells(per_inch(720.0), 52.0, 0.0, Dot::Diamond)),
            ("square", cells(per_inch(900.0), 70.0, 37.0, Dot::Square)),
            ("line", cells(per_inch(720.0), 48.0, 75.0, Dot::Line)),
            ("own function", cells(per_inch(720.0), 40.0, 10.0, Dot::custom(|x, y| x - 0.3 * y * y))),
            ("index dots", Screen::index(wide, 2).build().unwrap()),
            ("index cells", Screen::index_cells(per_inch(600.0), lines, angle(22.5)).build().unwrap()),
            ("array", Screen::array(array.view()).unwrap().build().unwrap()),
        ]
    })
}

/// xorshift64: the same numbers of 0…1 for the same seed.
pub fn random(seed: u64) -> impl FnMut() -> f64 {
    let mut state = seed;
    move || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 11) as f64 / (1_u64 << 53) as f64
    }
}
