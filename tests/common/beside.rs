//! Plates side by side: screens, tints, pictures, and what their films share.
#![allow(dead_code, reason = "each test file uses its own part")]

use dotwright::screen::{Request, Sharing, SideBySide};
use dotwright::{Dot, Film, LineCount, Placed, Screen};
use ndarray::Array2;

use crate::common::{angle, flat_u16, per_inch};

pub const SOLID: f64 = 65_535.0;

pub fn request(resolution: f64, lines: f64, degrees: f64) -> Request {
    let lines = LineCount::per_inch(lines).unwrap();
    Screen::cells(per_inch(resolution), lines, angle(degrees), Dot::Round)
}

/// Coarse cells of garment printing, 26.7 px wide.
pub fn compact(plates: usize) -> SideBySide {
    SideBySide::build(&request(1200.0, 45.0, 22.5), plates, Sharing::Compact).unwrap()
}

pub fn level(tone: f64) -> u16 {
    (tone * SOLID) as u16
}

/// Films of flat tints.
pub fn tints(screen: &SideBySide, tones: &[f64], width: usize, height: usize) -> Vec<Film> {
    let plates: Vec<_> = tones.iter().map(|&tone| flat_u16(width, height, level(tone))).collect();
    let plates: Vec<_> = plates.iter().map(|plate| Placed::new(plate.view()).at(-31, 77)).collect();
    screen.films(&plates).unwrap()
}

/// Pixels that more than one film has as ink.
pub fn overlap(films: &[Film]) -> u64 {
    let pairs = (0..films.len()).flat_map(|i| (0..i).map(move |j| (i, j)));
    pairs.map(|(i, j)| films[i].and(&films[j]).unwrap().count()).sum()
}

/// Plates of soft waves with hard edges and noise in them, that add up to anything from bare to three times solid.
pub fn picture(plates: usize, width: usize, height: usize) -> Vec<Array2<u8>> {
    let tone = |i: usize, y: usize, x: usize| {
        let wave = ((x * (3 + i) + y * (5 + 2 * i) + 90 * i) % 400) as f64 / 200.0;
        let soft = 255.0 * (1.0 - (wave - 1.0).abs()) / (1.0 + (y / 40 % 3) as f64 * plates as f64 / 3.0);
        match (x / 64 + y / 64) % 5 {
            0 => 0,
            1 => ((x * 2_654_435_761 + y * 40_503 + i * 977) >> 7 & 0x7f) as u8,
            _ => soft as u8,
        }
    };
    (0..plates).map(|i| Array2::from_shape_fn((height, width), |(y, x)| tone(i, y, x))).collect()
}
