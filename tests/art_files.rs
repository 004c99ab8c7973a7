//! Art read from files, against what Pillow, LittleCMS and the formulas of the ICC's format say (`tests/reference/art.py`).

use std::path::PathBuf;

use dotwright::art::{Art, Samples};
use dotwright::io::{EmbeddedProfile, decode_art, read_art};
use dotwright::{Error, Fault};
use proptest::prelude::*;

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/reference/art")
}

fn files() -> Vec<(String, Vec<u8>)> {
    let mut files: Vec<_> = std::fs::read_dir(folder())
        .unwrap()
        .map(|entry| {
            let path = entry.unwrap().path();
            (path.file_name().unwrap().to_str().unwrap().to_owned(), std::fs::read(&path).unwrap())
        })
        .collect();
    files.sort();
    files
}

fn words(art: &Art) -> Vec<u16> {
    match art.samples() {
        Samples::U8(samples) => samples.iter().map(|&s| u16::from(s) * 257).collect(),
        Samples::U16(samples) => samples.iter().copied().collect(),
    }
}

#[test]
fn files_hold_what_other_readers_say() {
    let table = std::fs::read_to_string(folder().with_file_name("art.csv")).unwrap();
    let mut rows = 0;
    for line in table.lines().skip(1) {
        let [name, width, height, channels, tolerance, clipped, resolution, samples] =
            line.split(',').collect::<Vec<_>>().try_into().unwrap();
        let read = read_art(folder().join(name)).unwrap_or_else(|e| panic!("{name}: {e}"));
        let size = (read.art.width().to_string(), read.art.height().to_string());
        assert_eq!((size.0.as_str(), size.1.as_str()), (width, height), "{name}");
        assert_eq!(if read.art.has_alpha() { "4" } else { "3" }, channels, "{name}");
        let tolerance: u16 = tolerance.parse().unwrap();
        let want = samples.split(' ').map(|s| u16::from_str_radix(s, 16).unwrap());
        let got = words(&read.art);
        assert_eq!(got.len(), want.clone().count(), "{name}");
        let worst = want.zip(&got).map(|(want, &got)| want.abs_diff(got)).max().unwrap();
        assert!(worst <= tolerance, "{name}: off by {worst} of 65535");
        match (read.profile, clipped) {
            (EmbeddedProfile::Converted { .. }, "-1") => {}
            (EmbeddedProfile::Converted { clipped }, told) => assert_eq!(clipped.to_string(), told, "{name}"),
            (_, told) => assert_eq!(told, "0", "{name}"),
        }
        if !resolution.is_empty() {
            let (x, y) = resolution.split_once('x').unwrap_or((resolution, resolution));
            let got = read.art.resolution().unwrap_or_else(|| panic!("{name} states a resolution"));
            // Whole pixels per metre in a PNG.
            assert!((got.x() - x.parse::<f64>().unwrap()).abs() < 0.02, "{name}: {got:?}");
            assert!((got.y() - y.parse::<f64>().unwrap()).abs() < 0.02, "{name}: {got:?}");
        }
        rows += 1;
    }
    assert_eq!(rows, files().iter().filter(|(name, _)| !name.starts_with("refused")).count());
    let srgb = read_art(folder().join("srgb.png")).unwrap();
    assert!(srgb.profile == EmbeddedProfile::Srgb && srgb.art.as_u8().is_some());
    // Through a profile 8 bits become 16, so that dark steps are kept apart.
    assert!(read_art(folder().join("gamma.png")).unwrap().art.as_u16().is_some());
}

#[test]
fn what_cannot_be_told_is_refused_with_a_word() {
    for (name, word) in [
        ("refused_cmyk.jpg", "CMYK"),
        ("refused_cmyk.tif", "CMYK"),
        ("refused_lab.tif", "Lab"),
        ("refused_lab_profile.png", "Lab"),
        ("refused_grey_profile.png", "grey profile"),
        ("refused_float.tif", "Gray(32)"),
        ("refused_palette.tif", "Palette"),
    ] {
        let error = read_art(folder().join(name)).map(|_| ()).unwrap_err();
        assert_eq!(error.fault(), Fault::Data, "{name}");
        let told = error.to_string();
        assert!(told.contains(word) && told.contains(name), "{told}");
    }
    assert!(matches!(read_art(folder().join("no such file")), Err(Error::Io { .. })));
    assert!(decode_art(b"", "x").unwrap_err().to_string().contains("empty"));
    assert!(decode_art(b"P5 1 1 255 x", "x").unwrap_err().to_string().contains("neither"));
}

#[test]
fn a_file_cut_anywhere_is_refused() {
    for (name, bytes) in files().iter().filter(|(name, _)| !name.starts_with("refused")) {
        // Pillow puts a TIFF's directory or its tags' values last: all of it is needed, but for a trailing byte of padding.
        let spare = if name.ends_with("tif") { 2 } else { 1 };
        let step = (bytes.len() / 200).max(1);
        for end in (0..=bytes.len() - spare).step_by(step).chain([bytes.len() - spare]) {
            assert!(decode_art(&bytes[..end], name).is_err(), "{name} cut to {end} of {}", bytes.len());
        }
    }
}

#[test]
fn a_head_alone_is_not_believed() {
    // A PNG that promises 16 384 x 16 384 pixels in a few bytes: width and height are at 16, and their check is not looked at
    // before the size is.
    let mut bytes = std::fs::read(folder().join("turn1.png")).unwrap();
    bytes[16..24].copy_from_slice(&[0, 0, 64, 0, 0, 0, 64, 0]);
    assert!(decode_art(&bytes, "bomb").is_err());
    bytes[16..24].copy_from_slice(&[0x7f, 0xff, 0xff, 0xff, 0x7f, 0xff, 0xff, 0xff]);
    assert!(decode_art(&bytes, "bomb").is_err());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4000))]

    /// Hostile bytes give art or an error, and never a panic.
    #[test]
    fn damaged_files_are_read_or_refused(
        file in any::<prop::sample::Index>(),
        flips in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6),
        cut in prop::option::of(any::<prop::sample::Index>()),
    ) {
        let files = files();
        let (name, mut bytes) = files[file.index(files.len())].clone();
        for (at, value) in flips {
            let at = at.index(bytes.len());
            bytes[at] ^= value;
        }
        if let Some(cut) = cut {
            bytes.truncate(cut.index(bytes.len()));
        }
        if let Ok(read) = decode_art(&bytes, &name) {
            prop_assert!(read.art.width() > 0 && read.art.height() > 0);
        }
    }
}
