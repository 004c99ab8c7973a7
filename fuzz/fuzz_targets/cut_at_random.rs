//! However a film is cut into tiles, at whatever place and from plates of whatever resolution, its bits are those of the whole.

#![no_main]

use std::sync::OnceLock;

use arbitrary::Arbitrary;
use dotwright::film::{FilmMut, row_bytes};
use dotwright::{Angle, Dot, LineCount, Placed, Resolution, Sampling, Screen};
use libfuzzer_sys::fuzz_target;
use ndarray::Array2;

#[derive(Arbitrary, Debug)]
struct Cut {
    screen: u8,
    plate: (u8, u8),
    resolution: (u16, u16),
    linear: bool,
    origin: (i64, i64),
    tile: (u16, u16, u16, u16),
    spare: u8,
    tones: Vec<u8>,
}

fn screens() -> &'static [Screen] {
    static SCREENS: OnceLock<Vec<Screen>> = OnceLock::new();
    SCREENS.get_or_init(|| {
        let inch = |r| Resolution::per_inch(r).unwrap();
        let lines = LineCount::per_inch(60.0).unwrap();
        let angle = Angle::degrees(22.5).unwrap();
        vec![
            Screen::cells(inch(600.0), lines, angle, Dot::Euclidean).build().unwrap(),
            Screen::cells(inch(480.0), lines, Angle::degrees(0.0).unwrap(), Dot::Line).build().unwrap(),
            Screen::index(inch(600.0), 3).build().unwrap(),
            Screen::array(ndarray::array![[1, 2, 3], [6, 5, 4]].view()).unwrap().build().unwrap(),
        ]
    })
}

fuzz_target!(|cut: Cut| {
    let (width, height) = (usize::from(cut.plate.0) + 1, usize::from(cut.plate.1) % 40 + 1);
    let plate = Array2::from_shape_fn((height, width), |(y, x)| {
        let fallback = (x * 37 + y * 101) as u8;
        cut.tones.get((y * width + x) % cut.tones.len().max(1)).copied().unwrap_or(fallback)
    });
    let sampling = if cut.linear { Sampling::Linear } else { Sampling::Nearest };
    let per_inch = |n: u16| 60.0 + f64::from(n) / 8.0;
    let Ok(resolution) = Resolution::per_inch_xy(per_inch(cut.resolution.0), per_inch(cut.resolution.1))
    else {
        return;
    };
    let film = Resolution::per_inch(600.0).unwrap();
    let Ok(placed) = Placed::resampled(plate.view(), resolution, film, sampling) else { return };
    if placed.film_width() * placed.film_height() > 1 << 20 {
        return;
    }
    let screen = &screens()[usize::from(cut.screen) % screens().len()];
    let placed = placed.at(cut.origin.0, cut.origin.1);
    // Refused only where a pixel's place would not fit in 64 bits.
    let Ok(whole) = screen.film(placed) else {
        assert!(cut.origin.0 > i64::MAX - (1 << 20) || cut.origin.1 > i64::MAX - (1 << 20));
        return;
    };
    let part = |a: u16, b: u16, n: usize| {
        let (a, b) = (usize::from(a) % (n + 1), usize::from(b) % (n + 1));
        (a.min(b), a.abs_diff(b))
    };
    let (x, w) = part(cut.tile.0, cut.tile.1, whole.width());
    let (y, h) = part(cut.tile.2, cut.tile.3, whole.height());
    let stride = row_bytes(w) + usize::from(cut.spare);
    let mut bits = vec![0x5a; stride * h];
    let at = (cut.origin.0.saturating_add(x as i64), cut.origin.1.saturating_add(y as i64));
    screen.run(&placed, at, FilmMut::new(w, h, stride, &mut bits).unwrap()).unwrap();
    for row in 0..h {
        for column in 0..w {
            let got = bits[row * stride + column / 8] & (0x80 >> (column % 8)) != 0;
            assert_eq!(got, whole.get(x + column, y + row), "{column} {row}");
        }
        assert!(bits[row * stride + row_bytes(w)..][..usize::from(cut.spare)].iter().all(|&b| b == 0x5a));
    }
});
