//! Film files, read back by decoders other than their writers.
#![cfg(feature = "files")]

#[path = "common/films.rs"]
mod films;

use std::collections::HashMap;
use std::fs;

use dotwright::film::row_bytes;
use dotwright::io::{FilmFormat, FilmSpec, FilmWriter, PlateReader, write_film};
use dotwright::{Film, FilmView, Resolution};
use films::{
    FORMATS, PACK_BITS, RAW, T6, open_png, open_tiff, random_film, read, strips, unpack_bits, write,
};
use proptest::prelude::*;
use tempfile::TempDir;
use tiff::decoder::ifd::Value;
use tiff::tags::Tag;

fn patterns() -> HashMap<&'static str, Film> {
    let text = include_str!("reference/bilevel_patterns.txt");
    let mut patterns = HashMap::new();
    for block in text.split("# ").skip(1) {
        let mut lines = block.lines();
        let name = lines.next().unwrap().split(' ').next().unwrap();
        let rows: Vec<&[u8]> = lines.map(str::as_bytes).collect();
        let mut film = Film::new(rows[0].len(), rows.len()).unwrap();
        for (y, row) in rows.iter().enumerate() {
            row.iter().enumerate().for_each(|(x, &pixel)| film.set(x, y, pixel == b'1'));
        }
        patterns.insert(name, film);
    }
    patterns
}

fn hex(text: &str) -> Vec<u8> {
    (0..text.len()).step_by(2).map(|i| u8::from_str_radix(&text[i..i + 2], 16).unwrap()).collect()
}

/// Fields of the lines of a table, its heading left out.
fn table(text: &str) -> impl Iterator<Item = Vec<&str>> {
    text.lines().skip(1).map(|line| line.split(',').collect())
}

/// The one strip of a small film.
fn strip_of(film: &Film, format: FilmFormat) -> Vec<u8> {
    let dir = TempDir::new().unwrap();
    let path = dir.path().join("film.tif");
    write(&path, film, format);
    let [(code, rows)] = strips(&path).try_into().unwrap();
    assert_eq!(rows, film.height());
    code
}

#[test]
fn strips_are_those_of_another_writer() {
    let patterns = patterns();
    assert_eq!(patterns.len(), 6);
    for line in table(include_str!("reference/ccitt_g4_known_answers.csv")) {
        assert_eq!(strip_of(&patterns[line[0]], T6), hex(line[4]), "{}", line[0]);
    }
    // These were written with 0 as black: their bits are those of the complement.
    let mut seen = [0; 3];
    for line in table(include_str!("reference/bilevel_tiff_known_answers.csv")) {
        let film = patterns[line[0]].complement();
        let (kind, format) = match line[3] {
            "raw" => (0, RAW),
            "packbits" => (1, PACK_BITS),
            "group4" => (2, T6),
            _ => continue,
        };
        let (ours, theirs) = (strip_of(&film, format), hex(line.last().unwrap()));
        if format == PACK_BITS {
            // Packers may differ in where they end a run.
            assert_eq!(unpack_bits(&ours), unpack_bits(&theirs), "{}", line[0]);
            assert!(ours.len() <= theirs.len() + film.height(), "{}", line[0]);
        } else {
            assert_eq!(ours, theirs, "{} {format:?}", line[0]);
        }
        seen[kind] += 1;
    }
    assert_eq!(seen, [6; 3]);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]
    #[test]
    fn every_format_reads_back(width in 1usize..700, height in 1usize..30, seed: u64) {
        let dir = TempDir::new().unwrap();
        let film = random_film(width, height, seed);
        for format in FORMATS {
            let path = dir.path().join("film");
            write(&path, &film, format);
            let back = read(&path, format);
            prop_assert!(back == film, "{format:?}: {back:?} is not {film:?}");
            let ink: u32 = back.bits().iter().map(|b| b.count_ones()).sum();
            prop_assert_eq!(u64::from(ink), film.count());
        }
    }
}

#[test]
fn a_viewer_shows_ink_black() {
    let dir = TempDir::new().unwrap();
    let film = random_film(203, 17, 11);
    for (format, name) in FORMATS.into_iter().zip(["raw.tif", "packed.tif", "t6.tif", "film.png"]) {
        let path = dir.path().join(name);
        write(&path, &film, format);
        let seen = image::open(&path).unwrap().into_luma8();
        assert_eq!(seen.dimensions(), (203, 17));
        for (x, y, pixel) in seen.enumerate_pixels() {
            let level = if film.get(x as usize, y as usize) { 0 } else { 255 };
            assert_eq!(pixel.0, [level], "{name} at {x} {y}");
        }
    }
}

#[test]
fn wide_films_read_back() {
    let dir = TempDir::new().unwrap();
    for seed in 1..6 {
        let film = random_film(100_000, 5, seed);
        for format in FORMATS {
            let path = dir.path().join("film");
            write(&path, &film, format);
            assert!(read(&path, format) == film, "{format:?} {seed}");
        }
    }
}

#[test]
fn png_states_the_nearest_pixels_per_metre() {
    let dir = TempDir::new().unwrap();
    let path = dir.path().join("film.png");
    let film = random_film(9, 3, 1);
    let stored = |x: f64, y: f64| {
        let resolution = Resolution::per_inch_xy(x, y).unwrap();
        write_film(&path, &film.view(), resolution, FilmFormat::Png).unwrap();
        let dims = open_png(&path).info().pixel_dims.unwrap();
        assert_eq!(dims.unit, png::Unit::Meter);
        // What was asked for comes back, though 1/m cannot hold it.
        assert_eq!(PlateReader::open(&path).unwrap().resolution(), Some(resolution));
        (dims.xppu, dims.yppu)
    };
    let lines: Vec<_> = table(include_str!("reference/png_phys_rounding.csv")).collect();
    assert_eq!(lines.len(), 23);
    for line in lines {
        let (inch, metre): (f64, u32) = (line[0].parse().unwrap(), line[2].parse().unwrap());
        assert_eq!(stored(inch, inch), (metre, metre));
        assert_eq!(stored(inch, 720.0), (metre, 28_346));
    }
}

#[test]
fn tiff_states_size_on_paper() {
    let dir = TempDir::new().unwrap();
    let path = dir.path().join("film.tif");
    let film = random_film(1440, 36, 1);
    for (text, x, y) in [
        ("720x1440", 720.0, 1440.0),
        ("2540", 2540.0, 2540.0),
        ("480/cm", 1219.2, 1219.2),
        ("1x100000", 1.0, 100_000.0),
        ("1234.5678", 1234.5678, 1234.5678),
    ] {
        for format in [RAW, PACK_BITS, T6] {
            write_film(&path, &film.view(), text.parse().unwrap(), format).unwrap();
            let mut tiff = open_tiff(&path);
            assert_eq!(tiff.get_tag_u32(Tag::ResolutionUnit).unwrap(), 2, "inch");
            let mut inches = |side: u32, tag| match tiff.get_tag(tag).unwrap() {
                Value::Rational(n, d) => f64::from(side) * f64::from(d) / f64::from(n),
                other => panic!("{other:?}"),
            };
            let size = (inches(1440, Tag::XResolution), inches(36, Tag::YResolution));
            assert!(
                (size.0 * x - 1440.0).abs() < 1e-9 && (size.1 * y - 36.0).abs() < 1e-9,
                "{text}: {size:?}"
            );
        }
    }
}

#[test]
fn bands_and_padding_do_not_show() {
    let dir = TempDir::new().unwrap();
    // Three strips of a TIFF.
    let (width, height) = (20_001, 250);
    let film = random_film(width, height, 5);
    let row = row_bytes(width);
    let stride = row + 3;
    let mut gaps = vec![0xa5; stride * height];
    for (gaps, row) in gaps.chunks_mut(stride).zip(film.bits().chunks(row)) {
        gaps[..row.len()].copy_from_slice(row);
        gaps[row.len() - 1] |= 0x7f; // Past the width: one pixel of the last byte is the film's.
    }
    for format in FORMATS {
        let whole = dir.path().join("whole");
        write(&whole, &film, format);
        let whole = fs::read(whole).unwrap();
        for band in [1, 7, 64, height] {
            let path = dir.path().join("banded");
            let resolution = Resolution::per_inch_xy(720.0, 1440.0).unwrap();
            let mut writer =
                FilmWriter::create(&path, FilmSpec { width, height, resolution, format }).unwrap();
            for rows in gaps.chunks(stride * band) {
                let view = FilmView::new(width, rows.len() / stride, stride, rows).unwrap();
                writer.write_rows(&view).unwrap();
            }
            writer.finish().unwrap();
            assert!(fs::read(&path).unwrap() == whole, "{format:?} in bands of {band}");
        }
    }
    write(&dir.path().join("t6"), &film, T6);
    assert_eq!(strips(&dir.path().join("t6")).len(), 3);
}
