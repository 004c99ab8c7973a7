//! Films read back: this library's own, others', and what is damaged; and what small films hold, against numpy and scipy.
#![cfg(feature = "files")]

#[path = "common/films.rs"]
mod films;

use std::fs;
use std::path::Path;

use dotwright::distance::{Part, Reach, to_nearest};
use dotwright::io::{read_film, write_film};
use dotwright::measure::{self, Touch};
use dotwright::{Film, Resolution};
use films::{FORMATS, random_film};
use proptest::prelude::*;

fn reference(name: &str) -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference").join(name)
}

#[test]
fn what_was_written_is_read() {
    let folder = tempfile::tempdir().unwrap();
    for (i, (width, height)) in
        [(1, 1), (7, 3), (8, 2), (9, 40), (640, 300), (70_001, 3), (33, 2000)].into_iter().enumerate()
    {
        let film = random_film(width, height, 5 + i as u64);
        for format in FORMATS {
            let path = folder.path().join("film");
            let resolution = Resolution::per_inch_xy(720.0, 1440.0).unwrap();
            write_film(&path, &film.view(), resolution, format).unwrap();
            let (read, stated) = read_film(&path).unwrap();
            assert!(read == film, "{width} x {height} as {format:?}");
            match stated {
                // PNG states whole pixels per metre.
                Some(stated) => assert!((stated.x() / 720.0 - 1.0).abs() < 1e-4, "{stated}"),
                None => assert_eq!(format, dotwright::io::FilmFormat::Pbm),
            }
        }
    }
}

/// Written by Pillow with libtiff (`tests/reference/films.py`); its G4 files say `BlackIsZero`.
#[test]
fn films_of_others_are_read_as_they_look() {
    let (drawn, none) = read_film(reference("films/turned.pbm")).unwrap();
    assert_eq!(none, None);
    for name in ["group4.tif", "packbits.tif", "lzw.tif", "grey.png"] {
        let (film, resolution) = read_film(reference("foreign").join(name)).unwrap();
        assert!(film == drawn, "{name}");
        assert!((resolution.unwrap().y() - 720.0).abs() < 0.1, "{name}");
    }
    let message = read_film(reference("foreign/eight_bits.png")).unwrap_err().to_string();
    assert!(message.contains("a film is grey of one bit"), "{message}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]
    #[test]
    fn damaged_files_are_refused_or_read_as_something(
        which in 0..5usize,
        cut in 0.0..1.0f64,
        at in proptest::collection::vec((0.0..1.0f64, any::<u8>()), 0..4),
    ) {
        let name = ["foreign/group4.tif", "foreign/packbits.tif", "foreign/lzw.tif", "foreign/grey.png", "films/noise.pbm"];
        let mut bytes = fs::read(reference(name[which])).unwrap();
        for (place, value) in at {
            let place = (place * bytes.len() as f64) as usize;
            bytes[place] = value;
        }
        if cut < 0.5 {
            bytes.truncate((2.0 * cut * bytes.len() as f64) as usize);
        }
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("film");
        fs::write(&path, bytes).unwrap();
        // No panic, no more memory than a film of that size.
        if let Err(error) = read_film(&path) {
            prop_assert!(!error.to_string().is_empty());
        }
    }
}

#[test]
fn heads_that_promise_too_much_are_refused() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("film.pbm");
    for (text, word) in [
        ("P4\n4000000000 4000000000\n", "limit"),
        ("P4\n99999999999999999999999 9\n", "limit"),
        ("P4\n100000 100000\n\0\0", "end"),
        ("P4\n0 5\n", "empty"),
        ("P4\nx 5\n", "width"),
        ("P4 # no end", "end"),
        ("", "empty"),
        ("GIF89a", "neither"),
    ] {
        fs::write(&path, text).unwrap();
        let message = read_film(&path).unwrap_err().to_string();
        assert!(message.contains(word), "{text:?}: {message}");
    }
    assert!(read_film(folder.path().join("none")).is_err());
}

/// numpy and scipy.ndimage (label, distance_transform_edt), by `tests/reference/films.py`.
#[test]
fn small_films_hold_what_numpy_and_scipy_say() {
    let table = fs::read_to_string(reference("films.csv")).unwrap();
    let mut lines = table.lines().map(|line| line.split(',').collect::<Vec<_>>());
    let head = lines.next().unwrap();
    let mut films = 0;
    for row in lines {
        let field = |name: &str| row[head.iter().position(|&h| h == name).unwrap()];
        let number = |name: &str| field(name).parse::<f64>().unwrap();
        let (film, _) = read_film(reference("films").join(format!("{}.pbm", field("film")))).unwrap();
        assert_eq!((film.width() as f64, film.height() as f64), (number("width"), number("height")));
        assert_eq!(film.count() as f64, number("ink"));
        for (kind, part) in [("dots", Part::Ink), ("holes", Part::Bare)] {
            let found = measure::parts(&film.view(), part, Touch::Corners).unwrap();
            let largest = found.whole.iter().chain(&found.cut).max().copied().unwrap_or(0);
            let got = [found.whole.len() as u64, found.cut.len() as u64, found.whole.iter().sum(), largest];
            let expected = ["whole", "cut", "whole_pixels", "largest"]
                .map(|name| number(&format!("{kind}_{name}")) as u64);
            assert_eq!(got, expected, "{} {kind}", field("film"));
        }
        let resolution = Resolution::per_inch_xy(2540.0, 1270.0).unwrap(); // 10 × 20 µm
        for (kind, part) in [("to_ink", Part::Ink), ("to_bare", Part::Bare)] {
            let map = to_nearest(&film.view(), resolution, part, Reach::Centre).unwrap();
            let (sum, most) = (map.sum(), map.iter().copied().fold(0.0, f64::max));
            let (expected, highest) = (number(&format!("{kind}_sum")), number(&format!("{kind}_most")));
            assert!((sum / expected - 1.0).abs() < 1e-12, "{} {kind}: {sum} for {expected}", field("film"));
            assert!((most / highest - 1.0).abs() < 1e-12, "{} {kind}: {most} for {highest}", field("film"));
        }
        films += 1;
    }
    assert_eq!(films, 5);
    let empty = Film::new(5, 5).unwrap();
    assert_eq!(measure::parts(&empty.view(), Part::Ink, Touch::Corners).unwrap().count(), 0);
}
