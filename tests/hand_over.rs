//! Plates handed over, and films as PDF, read back by programs that are not their writers.
//!
//! Two scripts in tests/readers open files with PDFium, qpdf and tifffile (pypdfium2, pikepdf, tifffile with imagecodecs, from PyPI). Where
//! Python or one of those is missing that is told with SKIPPED, which `.ci/run` takes as a failure.
#![cfg(feature = "files")]

#[path = "common/films.rs"]
mod films;

use std::fs;
use std::io::Write as _;
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::process::Command;

use dotwright::bands::go_on;
use dotwright::io::{
    FilmFormat, InkPlate, PdfPages, PlateBuffer, PlateFormat, PlateReader, write_film, write_grey,
    write_inks_pdf, write_inks_tiff,
};
use dotwright::{Error, Plate, Resolution};
use films::{open_tiff, per_inch, random_film};
use ndarray::Array2;
use tempfile::TempDir;
use tiff::decoder::DecodingResult;
use tiff::tags::Tag;

fn bytes(width: usize, height: usize, seed: usize) -> Array2<u8> {
    Array2::from_shape_fn((height, width), |(y, x)| ((x * (seed + 1) + y * y + seed * 71) % 256) as u8)
}

fn words(width: usize, height: usize, seed: usize) -> Array2<u16> {
    Array2::from_shape_fn((height, width), |(y, x)| ((x * (517 + seed) + y * y * 129) % 65_536) as u16)
}

const NAMES: [&str; 6] = ["White", "Straw yellow", "Rosé", "Teal (2nd)", "Sky #4", "Black"];

fn inks<'a, P: Copy + Into<Plate<'a>>>(plates: &[P]) -> Vec<InkPlate<'a>> {
    let shown =
        [[255, 255, 255], [240, 200, 60], [220, 60, 120], [0, 130, 140], [90, 160, 230], [10, 10, 10]];
    let ink = |(i, plate): (usize, &P)| InkPlate { name: NAMES[i], plate: (*plate).into(), shown: shown[i] };
    plates.iter().enumerate().map(ink).collect()
}

/// The lines that a script of tests/readers prints, in fields; none where what it needs is missing.
fn script(name: &str, arguments: &[&str]) -> Option<Vec<Vec<String>>> {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/readers").join(name);
    let skipped = |why: &str| {
        // Past the test harness, which keeps the prints of tests that pass.
        let _ = std::io::stderr().write_all(format!("SKIPPED: {name}: {why}\n").as_bytes());
        None
    };
    let Ok(output) = Command::new("python3").arg(script).args(arguments).output() else {
        return skipped("python3 is not there");
    };
    let text = String::from_utf8(output.stdout).unwrap();
    if output.status.code() == Some(3) {
        return skipped(text.trim());
    }
    assert!(output.status.success(), "{name}: {}", String::from_utf8_lossy(&output.stderr));
    Some(text.lines().map(|line| line.split('\t').map(str::to_owned).collect()).collect())
}

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

#[test]
fn grey_plates_read_back() {
    let dir = TempDir::new().unwrap();
    let resolution = Resolution::per_inch_xy(300.0, 150.0).unwrap();
    let (eight, sixteen) = (bytes(301, 170, 3), words(301, 170, 3));
    let floating = sixteen.mapv(|tone| f32::from(tone) / 65_535.0);
    for format in [PlateFormat::Png, PlateFormat::Tiff] {
        let path = dir.path().join(if format == PlateFormat::Png { "plate.png" } else { "plate.tif" });
        assert_eq!(PlateFormat::from_path(&path).unwrap(), format);
        for (plate, expected) in [
            (Plate::from(eight.view()), PlateBuffer::U8(eight.clone())),
            (sixteen.view().into(), PlateBuffer::U16(sixteen.clone())),
            (floating.view().into(), PlateBuffer::U16(sixteen.clone())),
        ] {
            write_grey(&path, plate, resolution, format, &mut go_on).unwrap();
            let reader = PlateReader::open(&path).unwrap();
            assert_eq!(reader.resolution(), Some(resolution));
            assert!(reader.read_all().unwrap() == expected, "{format:?}");
        }
        // Black is solid for a reader that knows nothing of plates.
        write_grey(&path, eight.view().into(), resolution, format, &mut go_on).unwrap();
        let seen = image::open(&path).unwrap().into_luma8();
        assert!(seen.enumerate_pixels().all(|(x, y, p)| p.0 == [255 - eight[[y as usize, x as usize]]]));
    }
}

#[test]
fn a_tiff_of_four_inks_is_read_by_another_decoder() {
    let dir = TempDir::new().unwrap();
    let path = dir.path().join("inks.tif");
    // Several strips of 8 bits, and of 16.
    let eight: Vec<_> = (0..4).map(|i| bytes(900, 211, i)).collect();
    let sixteen: Vec<_> = (0..4).map(|i| words(900, 211, i)).collect();
    let views: Vec<_> = eight.iter().map(|p| p.view()).collect();
    write_inks_tiff(&path, &inks(&views), per_inch(360.0), &mut go_on).unwrap();
    let mut tiff = open_tiff(&path);
    assert_eq!(tiff.colortype().unwrap(), tiff::ColorType::CMYK(8));
    assert_eq!(tiff.get_tag_u32(Tag::Unknown(332)).unwrap(), 2, "InkSet: not CMYK");
    assert_eq!(tiff.get_tag_u32(Tag::Unknown(334)).unwrap(), 4, "NumberOfInks");
    let DecodingResult::U8(seen) = tiff.read_image().unwrap() else { panic!("8 bits") };
    let at = |i: usize| (i / 4 / 900, i / 4 % 900);
    assert!(seen.iter().enumerate().all(|(i, &tone)| tone == eight[i % 4][at(i)]));

    let mut views: Vec<_> = sixteen.iter().map(|p| Plate::from(p.view())).collect();
    views[1] = eight[1].view().into(); // widened beside the others
    write_inks_tiff(&path, &inks(&views), per_inch(360.0), &mut go_on).unwrap();
    let DecodingResult::U16(seen) = open_tiff(&path).read_image().unwrap() else { panic!("16 bits") };
    let expected = |i: usize| match i % 4 {
        1 => u16::from(eight[1][at(i)]) * 257,
        ink => sixteen[ink][at(i)],
    };
    assert!(seen.iter().enumerate().all(|(i, &tone)| tone == expected(i)));
}

#[test]
fn a_tiff_of_six_inks_is_read_by_tifffile() {
    let dir = TempDir::new().unwrap();
    let (path, raw) = (dir.path().join("inks.tif"), dir.path().join("raw"));
    let resolution = Resolution::per_inch_xy(300.0, 600.0).unwrap();
    let eight: Vec<_> = (0..6).map(|i| bytes(257, 300, i)).collect();
    let sixteen: Vec<_> = (0..6).map(|i| words(257, 300, i)).collect();
    let views: Vec<Vec<Plate<'_>>> = vec![
        eight.iter().map(|p| p.view().into()).collect(),
        sixteen.iter().map(|p| p.view().into()).collect(),
    ];
    for (views, kind) in views.iter().zip(["uint8", "uint16"]) {
        write_inks_tiff(&path, &inks(views), resolution, &mut go_on).unwrap();
        let Some(told) = script("tiff.py", &[text(&path), text(&raw)]) else { return };
        let mut expected = vec!["300x257x6", kind, "5", "2", "6", "300.0", "600.0"];
        expected.extend(NAMES);
        assert_eq!(told, [expected]);
        let seen = fs::read(&raw).unwrap();
        let all = (0..300).flat_map(|y| (0..257).flat_map(move |x| (0..6).map(move |ink| (ink, [y, x]))));
        let samples: Vec<u8> = match kind {
            "uint8" => all.map(|(ink, at)| eight[ink][at]).collect(),
            _ => all.flat_map(|(ink, at)| sixteen[ink][at].to_ne_bytes()).collect(),
        };
        assert!(seen == samples, "{kind}");
    }
}

#[test]
fn pages_show_the_inks_at_true_size() {
    let dir = TempDir::new().unwrap();
    let (path, raw) = (dir.path().join("inks.pdf"), dir.path().join("raw"));
    // Fields of 30 x 30 samples: each ink alone at 40 and 100 %, then all of them at 50 %, on a garment.
    let field = |ink: usize, column: usize| match column {
        0 => 0,
        13 => 128,
        n if (n - 1) / 2 == ink => [102, 255][(n - 1) % 2],
        _ => 0,
    };
    let plates: Vec<Array2<u8>> =
        (0..6).map(|ink| Array2::from_shape_fn((30, 420), |(_, x)| field(ink, x / 30))).collect();
    let wide: Vec<Array2<u16>> = plates.iter().map(|p| p.mapv(|t| u16::from(t) * 257)).collect();
    let views: Vec<Plate<'_>> = plates.iter().map(|p| p.view().into()).collect();
    let wide: Vec<Plate<'_>> = wide.iter().map(|p| p.view().into()).collect();
    let ground = [40, 40, 70];
    for (views, size) in [(views, 1), (wide, 2)] {
        let inks = inks(&views);
        let coats = |tints: &dyn Fn(usize) -> f64| {
            let mut colour = ground.map(f64::from);
            for (i, ink) in inks.iter().enumerate() {
                colour =
                    std::array::from_fn(|c| colour[c] + tints(i) * (f64::from(ink.shown[c]) - colour[c]));
            }
            colour
        };
        for pages in [PdfPages::Together, PdfPages::Apart] {
            write_inks_pdf(&path, &inks, ground, per_inch(60.0), pages, &mut go_on).unwrap();
            let Some(told) = script("pdf.py", &[text(&path), "60", text(&raw)]) else { return };
            assert_eq!(told.len(), if pages == PdfPages::Together { 1 } else { 6 });
            for (page, told) in told.iter().enumerate() {
                let space = match pages {
                    PdfPages::Together => "/DeviceN".to_owned(),
                    PdfPages::Apart => format!("/Separation /{}", NAMES[page]),
                };
                assert_eq!(told[..5], ["7.0", "0.5", "420", "30", "0"], "inches, pixels, mistakes");
                assert!(told[5].starts_with(&space), "{} is not {space}", told[5]);
                let on_page: Vec<usize> =
                    if pages == PdfPages::Together { (0..6).collect() } else { vec![page] };
                // qpdf: the very samples.
                let samples = fs::read(format!("{}.samples-{page}", text(&raw))).unwrap();
                assert_eq!(samples.len(), 30 * 420 * on_page.len() * size);
                for (i, sample) in samples.chunks(size).enumerate() {
                    let (ink, x) = (on_page[i % on_page.len()], i / on_page.len() % 420);
                    assert!(sample.iter().all(|&b| b == field(ink, x / 30)), "{ink} {x}");
                }
                // PDFium: the coats' colours in the middle of the fields.
                let drawn = fs::read(format!("{}.drawn-{page}", text(&raw))).unwrap();
                for column in 0..14 {
                    let tint = |ink: usize| {
                        if on_page.contains(&ink) { f64::from(field(ink, column)) / 255.0 } else { 0.0 }
                    };
                    let expected = coats(&tint);
                    let at = (15 * 420 + column * 30 + 15) * 3;
                    for (c, expected) in expected.iter().enumerate() {
                        let got = f64::from(drawn[at + c]);
                        assert!(
                            (got - expected).abs() <= 1.5,
                            "page {page} field {column}: {got} for {expected}"
                        );
                    }
                }
            }
        }
    }
}

#[test]
fn pdf_films_have_true_size_and_black_ink() {
    let dir = TempDir::new().unwrap();
    let (path, raw) = (dir.path().join("film.pdf"), dir.path().join("raw"));
    for (width, height, x, y) in
        [(450, 300, 288.0, 288.0), (1201, 333, 720.0, 1440.0), (7, 40_000, 72.0, 72.0)]
    {
        let film = random_film(width, height, 77);
        write_film(&path, &film.view(), Resolution::per_inch_xy(x, y).unwrap(), FilmFormat::Pdf).unwrap();
        // Drawn where a pixel of the film is one of the drawing.
        let per_inch = if x == 288.0 { "288" } else { "0" };
        let Some(told) = script("pdf.py", &[text(&path), per_inch, text(&raw)]) else { return };
        let [page] = told.as_slice() else { panic!("{told:?}") };
        let inches = |i: usize| page[i].parse::<f64>().unwrap();
        assert!(
            (inches(0) * x - width as f64).abs() < 1e-3 && (inches(1) * y - height as f64).abs() < 1e-3,
            "{page:?}"
        );
        assert_eq!(page[4..], ["0", "/DeviceGray"]);
        let level = |at: usize| if film.get(at % width, at / width) { 0 } else { 255 };
        let seen = fs::read(format!("{}.samples-0", text(&raw))).unwrap();
        assert_eq!(seen.len(), width * height);
        assert!(seen.iter().enumerate().all(|(at, &grey)| grey == level(at)), "{width} x {height}");
        if per_inch != "0" {
            let drawn = fs::read(format!("{}.drawn-0", text(&raw))).unwrap();
            assert_eq!(drawn.len(), 3 * width * height);
            assert!(drawn.chunks(3).enumerate().all(|(at, rgb)| rgb == [level(at); 3]), "drawn");
        }
    }
}

#[test]
fn a_pdf_film_holds_its_code_unbroken() {
    // Without other programs: the T.6 code between the stream's words, decoded.
    let dir = TempDir::new().unwrap();
    let path = dir.path().join("film.PDF");
    assert_eq!(FilmFormat::from_path(&path).unwrap(), FilmFormat::Pdf);
    let film = random_film(4001, 700, 5);
    write_film(&path, &film.view(), per_inch(1200.0), FilmFormat::Pdf).unwrap();
    let file = fs::read(&path).unwrap();
    let find = |what: &[u8]| file.windows(what.len()).position(|w| w == what).unwrap();
    let code = &file[find(b"stream\n") + 7..find(b"\nendstream")];
    assert!(code.len() > 1 << 17, "more than one piece");
    assert!(films::clean(4001, 700, films::read_t6(code, 4001, 700)) == film);
    find(b"/MediaBox [0 0 240.06 42]");
}

#[test]
fn what_cannot_be_handed_over_is_refused() {
    let dir = TempDir::new().unwrap();
    let path = dir.path().join("inks");
    let plate = bytes(20, 10, 1);
    let good = InkPlate { name: "Straw", plate: plate.view().into(), shown: [0; 3] };
    let other = bytes(21, 10, 1);
    let empty = bytes(0, 10, 1);
    let long = "x".repeat(128);
    let named = |name| InkPlate { name, ..good };
    let resolution = per_inch(300.0);
    for (inks, part) in [
        (vec![], "inks"),
        (vec![good; 33], "inks"),
        (vec![good, named("")], "ink name"),
        (vec![good, named(" ")], "ink name"),
        (vec![good, named("a\0b")], "ink name"),
        (vec![good, named("a\nb")], "ink name"),
        (vec![good, named(&long)], "ink name"),
        (vec![good, named("Teal"), good], "no other ink"),
        (vec![good, InkPlate { name: "Teal", plate: other.view().into(), ..good }], "21 x 10"),
        (vec![InkPlate { plate: empty.view().into(), ..good }], "0 x 10"),
    ] {
        for error in [
            write_inks_tiff(&path, &inks, resolution, &mut go_on).unwrap_err(),
            write_inks_pdf(&path, &inks, [0; 3], resolution, PdfPages::Together, &mut go_on).unwrap_err(),
        ] {
            assert!(error.to_string().contains(part), "{part}: {error}");
        }
    }
    for name in ["All", "None"] {
        let error = write_inks_pdf(&path, &[named(name)], [0; 3], resolution, PdfPages::Apart, &mut go_on);
        assert!(error.unwrap_err().to_string().contains(name));
        write_inks_tiff(&path, &[named(name)], resolution, &mut go_on).unwrap();
    }
    fs::remove_file(&path).unwrap();
    let grey = write_grey(&path, empty.view().into(), resolution, PlateFormat::Png, &mut go_on);
    assert!(matches!(grey, Err(Error::Value { .. })));
    assert!(PlateFormat::from_path(Path::new("plate.jpg")).is_err());
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 0);
}

#[test]
fn a_cancelled_file_leaves_the_old_one() {
    let dir = TempDir::new().unwrap();
    let path: PathBuf = dir.path().join("inks");
    fs::write(&path, "of last week").unwrap();
    let plate = bytes(30, 200, 1);
    let inks = [
        InkPlate { name: "Straw", plate: plate.view().into(), shown: [0; 3] },
        InkPlate { name: "Teal", plate: plate.view().into(), shown: [9; 3] },
    ];
    let resolution = per_inch(300.0);
    let mut heard = Vec::new();
    let mut stop = |p: dotwright::bands::Progress| {
        heard.push((p.done, p.total));
        if p.done >= 128 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    };
    for ended in [
        write_grey(&path, plate.view().into(), resolution, PlateFormat::Png, &mut stop),
        write_grey(&path, plate.view().into(), resolution, PlateFormat::Tiff, &mut stop),
        write_inks_tiff(&path, &inks, resolution, &mut stop),
        write_inks_pdf(&path, &inks, [0; 3], resolution, PdfPages::Together, &mut stop),
        write_inks_pdf(&path, &inks, [0; 3], resolution, PdfPages::Apart, &mut stop),
    ] {
        assert!(matches!(ended, Err(Error::Cancelled)));
    }
    assert_eq!(heard.len(), 10);
    assert_eq!((heard[7], heard[9]), ((128, 200), (128, 400)));
    assert_eq!(fs::read_to_string(&path).unwrap(), "of last week");
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1);
}
