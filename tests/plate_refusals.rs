//! Files that are no grey plate, or only claim to be one: refused by name, and cheaply.
#![cfg(feature = "files")]

#[path = "common/plates.rs"]
mod plates;

use std::fs::{self, File};
use std::path::{Path, PathBuf};

use dotwright::io::{PlateBuffer, PlateReader};
use dotwright::{Error, Result};
use image::ExtendedColorType;
use plates::{HEIGHT, Long, Short, WIDTH, bytes, one_strip, plain, save, tiff};
use tempfile::TempDir;

/// A sound PNG with other bytes in its header (ISO/IEC 15948, 11.2.2) and the sum that goes with them.
fn with_header(mut png: Vec<u8>, change: impl Fn(&mut [u8])) -> Vec<u8> {
    change(&mut png[16..29]);
    let mut sum = u32::MAX;
    for byte in &png[12..29] {
        sum ^= u32::from(*byte);
        for _ in 0..8 {
            sum = (sum >> 1) ^ (0xedb8_8320 * (sum & 1));
        }
    }
    png[29..33].copy_from_slice(&(!sum).to_be_bytes());
    png
}

/// What reading a file to its end says.
fn outcome(path: &Path) -> Result<PlateBuffer> {
    PlateReader::open(path)?.read_all()
}

fn assert_refused(path: &Path, words: &str) {
    let refused = outcome(path);
    let Err(Error::Data { what, why }) = &refused else { panic!("{}: {refused:?}", path.display()) };
    assert_eq!(*what, path.display().to_string());
    assert!(why.contains(words), "{}: {why}", path.display());
}

#[test]
fn what_is_no_grey_plate_is_refused_by_name() {
    let dir = TempDir::new().unwrap();
    let at = |name: &str| -> PathBuf { dir.path().join(name) };
    let write = |name: &str, bytes: &[u8]| {
        fs::write(at(name), bytes).unwrap();
        at(name)
    };
    let pixels = WIDTH * HEIGHT;
    for (colour, bytes, word) in [
        (ExtendedColorType::Rgb8, 3, "Rgb"),
        (ExtendedColorType::Rgba8, 4, "Rgba"),
        (ExtendedColorType::La8, 2, "GrayscaleAlpha"),
    ] {
        save(&at("colour.png"), &vec![9; pixels * bytes], colour);
        assert_refused(&at("colour.png"), word);
        if bytes != 2 {
            save(&at("colour.tif"), &vec![9; pixels * bytes], colour);
            assert_refused(&at("colour.tif"), "RGB");
        }
    }
    for (name, colour) in [("palette.png", png::ColorType::Indexed), ("clear.png", png::ColorType::Grayscale)]
    {
        let mut encoder = png::Encoder::new(File::create(at(name)).unwrap(), WIDTH as u32, HEIGHT as u32);
        encoder.set_color(colour);
        match colour {
            png::ColorType::Indexed => encoder.set_palette(vec![0; 768]),
            // One grey level stands for clear.
            _ => encoder.set_trns(vec![0, 9]),
        }
        encoder.write_header().unwrap().write_image_data(&bytes()).unwrap();
        assert_refused(&at(name), "transparency");
    }
    let mut palette = plain(8, 3);
    palette.push((320, Short(vec![0; 768])));
    let mut alpha = one_strip(WIDTH as u32, HEIGHT as u32, 8, 1, 2);
    alpha.push((338, Short(vec![2])));
    let mut float = plain(16, 1);
    float.push((339, Short(vec![3])));
    let mut signed = plain(8, 1);
    signed.push((339, Short(vec![2])));
    let data = vec![1; 8 * pixels];
    assert_refused(&write("palette.tif", &tiff(false, &palette, &data)), "");
    assert_refused(&write("alpha.tif", &tiff(false, &alpha, &data)), "");
    assert_refused(&write("rgb.tif", &tiff(false, &one_strip(9, 9, 8, 2, 3), &data)), "RGB");
    assert_refused(&write("cmyk.tif", &tiff(false, &one_strip(9, 9, 8, 5, 4), &data)), "CMYK");
    assert_refused(&write("float.tif", &tiff(false, &float, &data)), "unsigned whole numbers");
    let mut turned = plain(8, 1);
    let place = turned.partition_point(|field| field.0 < 274);
    turned.insert(place, (274, Short(vec![6])));
    assert_refused(&write("turned.tif", &tiff(false, &turned, &data)), "orientation");
    assert_refused(&write("signed.tif", &tiff(false, &signed, &data)), "");
    for bits in [1, 4, 32, 64] {
        assert_refused(&write("bits.tif", &tiff(true, &plain(bits, 1), &data)), "8 or 16");
    }
    for (width, height) in [(0, 9), (9, 0)] {
        let outcome = outcome(&write("none.tif", &tiff(false, &one_strip(width, height, 8, 1, 1), &data)));
        assert!(matches!(outcome, Err(Error::Data { .. })), "{outcome:?}");
    }

    save(&at("a.png"), &bytes(), ExtendedColorType::L8);
    save(&at("a.tif"), &bytes(), ExtendedColorType::L8);
    let png = fs::read(at("a.png")).unwrap();
    assert_refused(&write("i.png", &with_header(png.clone(), |header| header[12] = 1)), "interlaced");
    // Cut anywhere. Without its last chunk, of 12 bytes, a PNG has all of its picture.
    for cut in [5, 8, 20, 33, 40, 100, png.len() / 2, png.len() - 40] {
        assert_refused(&write("cut.png", &png[..cut]), "");
    }
    // Here the directory stands behind the data, and here before it.
    let file = fs::read(at("a.tif")).unwrap();
    for cut in [4, 7, 100, file.len() / 2, file.len() - 1] {
        assert_refused(&write("cut.tif", &file[..cut]), "");
    }
    for missing in [1, 100, bytes().len()] {
        let mut tags = plain(8, 1);
        let directory = 8 + 2 + 12 * tags.len() as u32 + 4;
        tags[5].1 = Long(vec![directory]);
        let mut file = tiff(false, &tags, &[]);
        file.extend(&bytes()[missing..]);
        assert_refused(&write("cut.tif", &file), "too soon");
    }
    // Damaged in the middle of the packed data.
    let mut damaged = png.clone();
    damaged[png.len() / 2..][..8].fill(0xff);
    assert_refused(&write("damaged.png", &damaged), "");

    assert_refused(&write("empty", b""), "empty");
    assert_refused(&write("short", b"\x89P"), "neither");
    assert_refused(&write("text.png", b"Dear printer,\n"), "neither");
    let missing = outcome(&at("missing.tif"));
    assert!(matches!(&missing, Err(Error::Io { path, .. }) if *path == at("missing.tif")), "{missing:?}");
    let folder = outcome(dir.path());
    assert!(matches!(&folder, Err(Error::Io { path, .. }) if path == dir.path()), "{folder:?}");
}

/// The most memory that this process ever held, in kB; 0 where the system does not say.
fn most_memory() -> u64 {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    line.map_or(0, |line| line.trim().trim_end_matches(" kB").parse().unwrap())
}

#[test]
fn a_header_is_not_believed_without_data() {
    let dir = TempDir::new().unwrap();
    let path = dir.path().join("vast");
    save(&path.with_extension("png"), &bytes(), ExtendedColorType::L8);
    let png = fs::read(path.with_extension("png")).unwrap();
    let before = most_memory();
    let sides = [
        (i32::MAX as u32, i32::MAX as u32),
        (u32::MAX, u32::MAX),
        (40_000, 40_000),
        (16_000, 16_000),
        (1 << 31, 1),
        (1, 1 << 31),
    ];
    for (width, height) in sides {
        for bits in [8, 16] {
            let file = tiff(false, &one_strip(width, height, bits, 1, 1), &[0; 100]);
            fs::write(&path, file).unwrap();
            let refused = outcome(&path);
            let clean = matches!(refused, Err(Error::Data { .. } | Error::Limit { .. }));
            assert!(clean, "TIFF, {width} x {height}: {refused:?}");

            let file = with_header(png.clone(), |header| {
                header[..4].copy_from_slice(&width.to_be_bytes());
                header[4..8].copy_from_slice(&height.to_be_bytes());
                header[8] = bits as u8;
            });
            fs::write(&path, file).unwrap();
            let refused = outcome(&path);
            let clean = matches!(refused, Err(Error::Data { .. } | Error::Limit { .. }));
            assert!(clean, "PNG, {width} x {height}: {refused:?}");
        }
    }
    let taken = most_memory() - before;
    assert!(taken < 200_000, "{taken} kB for a file of some hundred bytes");
}
