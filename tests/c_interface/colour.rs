//! Art to plates through C: the plates of a C program are those of the Rust library, bit for bit.

use dotwright::colour::separate::{Intent, Separation};
use dotwright::colour::{Overlap, Print, Shelf};
use dotwright::{Angle, Dot, LineCount, Resolution, Screen};
use ndarray::Array3;

use crate::tools::*;

const NAMES: [&str; 4] = ["base white", "straw", "rose", "lagoon"];

/// What tests/c/colour.c asks for.
fn plates() -> Vec<Vec<u8>> {
    let shelf = Shelf::read(&root().join("examples/shelf.toml")).unwrap();
    let screens: Vec<Screen> = (0..4)
        .map(|i| {
            let (resolution, lines) =
                (Resolution::per_inch(600.0).unwrap(), LineCount::per_inch(45.0).unwrap());
            let angle = Angle::degrees(22.5 * f64::from(i)).unwrap();
            Screen::cells(resolution, lines, angle, Dot::Round).build().unwrap()
        })
        .collect();
    let overlap = Overlap::of(&screens.iter().collect::<Vec<_>>()).unwrap();
    let mut print = Print::on("#101010".parse().unwrap());
    for (i, name) in NAMES.into_iter().enumerate() {
        print = print.ink(shelf.ink(name).unwrap());
        print = if i == 0 { print.flash() } else { print };
    }
    let print = print.wet(0.8).build(&overlap).unwrap();
    let mut state = 1_u32;
    let mut art = Array3::<u8>::zeros((30, 40, 4));
    for y in 0..30 {
        for x in 0..40 {
            let coverages = [0; 4].map(|_| {
                state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                f64::from(state >> 16) / 65_535.0
            });
            let colour = print.xyz(&coverages).to_linear().to_srgb::<u8>();
            (0..3).for_each(|k| art[[y, x, k]] = colour[k]);
            art[[y, x, 3]] = if x < 39 { 255 } else { 0 };
        }
    }
    let separation =
        Separation::of(&print).intent(Intent::Absolute).knee(0.95).ink_price(0.1).smoothness(50.0);
    let plates = separation.build().unwrap().plates(art.view(), None).unwrap();
    plates.into_iter().map(|plate| plate.into_iter().collect()).collect()
}

#[test]
fn art_becomes_the_plates_that_rust_makes() {
    let (shelf, art) = (root().join("examples/shelf.toml"), root().join("tests/reference/art/alpha.png"));
    let expected = plates();
    every_way("tests/c/colour.c", &[shelf.to_str().unwrap(), art.to_str().unwrap()], |folder, told| {
        let told: Vec<Vec<u8>> = told
            .lines()
            .map(|line| line.split_whitespace().map(|tone| tone.parse().unwrap()).collect())
            .collect();
        assert!(told == expected, "plates differ");
        let (sheet, resolution) = dotwright::io::read_film(folder.join("sheet.tif")).unwrap();
        assert!(sheet.width() > 800 + 2 * 280 && sheet.height() > 600 + 280, "12 mm around");
        assert_eq!(resolution.unwrap().x(), 600.0);
    });
}
