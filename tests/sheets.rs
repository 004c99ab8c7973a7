//! Sheets: register, reading and polarity, streaming, true size, the wedge, and files of all formats.
#![cfg(feature = "files")]

mod common;
#[path = "common/films.rs"]
mod films;

use std::fs;
use std::path::Path;

use common::{cells, per_inch};
use dotwright::bands::go_on;
use dotwright::film::{FilmMut, Rect, row_bytes};
use dotwright::io::{FilmFormat, PlateReader, SheetWriter, screen_plate, write_film, write_sheet};
use dotwright::sheet::{Labels, Layout, Polarity, Reading};
use dotwright::{Curve, Dot, Error, Film, FilmView, Length, Mode, Placed, Resolution, Screen, Sheet};
use films::{FORMATS, random_film, read};
use ndarray::Array2;
use proptest::prelude::*;
use tempfile::TempDir;

fn mm(mm: f64) -> Length {
    Length::mm(mm).unwrap()
}

fn labels(ink: &str, order: [usize; 2]) -> Labels {
    Labels { ink: ink.to_owned(), order, job: "Night market".to_owned(), date: "4 March".to_owned() }
}

fn sheet(layout: &Layout, film: &Film, resolution: Resolution, screen: Option<&Screen>) -> Sheet {
    Sheet::new(layout, [film.width(), film.height()], resolution, screen, &labels("Straw", [2, 5])).unwrap()
}

/// Pixel by pixel.
fn turned(film: &Film) -> Film {
    let mut turned = Film::new(film.width(), film.height()).unwrap();
    for y in 0..film.height() {
        for x in 0..film.width() {
            turned.set(film.width() - 1 - x, y, film.get(x, y));
        }
    }
    turned
}

/// The part of a sheet above its foot: the film and its margin all around.
fn above_foot(sheet: &Sheet, drawn: &Film) -> Film {
    let film = sheet.film_place();
    let height = film.y + film.height + film.y;
    drawn.view().crop(Rect { x: 0, y: 0, width: sheet.width(), height }).unwrap()
}

#[test]
fn marks_are_the_same_on_all_films_of_a_job() {
    let resolution = Resolution::per_inch_xy(360.0, 720.0).unwrap();
    let (width, height) = (1201, 1600);
    let empty = Film::new(width, height).unwrap();
    let normal = cells(resolution, 45.0, 22.5, Dot::Round);
    let other = cells(resolution, 30.0, 61.0, Dot::Line);
    let inverted = normal.again(Mode::Inverted, None).unwrap();
    let index = Screen::index(resolution, 3).build().unwrap();
    let layout = Layout::default();
    let mut first: Option<(Sheet, Film)> = None;
    for (screen, ink, order) in [
        (Some(&normal), "Straw", [1, 6]),
        (Some(&inverted), "Black", [6, 6]),
        (Some(&other), "A very long name of an ink, longer than any sheet is wide: Ångström", [2, 6]),
        (Some(&index), "x", [3, 600]),
        (None, "line work", [4, 6]),
    ] {
        let sheet = Sheet::new(&layout, [width, height], resolution, screen, &labels(ink, order)).unwrap();
        let drawn = sheet.sheet(&empty.view()).unwrap();
        let Some((before, drawn_before)) = &first else {
            first = Some((sheet, drawn));
            continue;
        };
        assert_eq!((sheet.width(), sheet.height()), (before.width(), before.height()), "{ink}");
        assert_eq!((sheet.marks(), sheet.film_place()), (before.marks(), before.film_place()), "{ink}");
        // On an empty film there is nothing but marks above the foot.
        assert!(above_foot(&sheet, &drawn) == above_foot(before, drawn_before), "{ink}");
        assert!(drawn != *drawn_before, "{ink}: the feet differ");
    }
    // The same under a mirrored film: marks are their own mirror images.
    let (right, drawn) = first.unwrap();
    let mirrored = Layout { reading: Reading::Mirrored, ..layout };
    let mirrored = self::sheet(&mirrored, &empty, resolution, Some(&normal));
    let back = mirrored.sheet(&empty.view()).unwrap();
    assert_eq!(mirrored.marks(), right.marks());
    assert!(above_foot(&mirrored, &back) == above_foot(&right, &drawn));
}

#[test]
fn marks_stand_on_the_films_middle_and_at_its_corners() {
    for (width, height) in [(700, 900), (701, 900), (700, 901), (701, 901)] {
        let resolution = per_inch(400.0);
        let film = Film::new(width, height).unwrap();
        let layout = Layout { wedge: Vec::new(), ..Layout::default() };
        let sheet = sheet(&layout, &film, resolution, None);
        let drawn = sheet.sheet(&film.view()).unwrap();
        let place = sheet.film_place();
        assert_eq!(sheet.marks().len(), 8);
        let mut ink = 0;
        let middle = |r: &Rect| (2 * r.x + r.width, 2 * r.y + r.height);
        let film_middle = middle(&place);
        for mark in sheet.marks() {
            // 9 mm to a pixel, wholly outside of the film, wholly on the sheet.
            assert!(
                [mark.width, mark.height].iter().all(|&side| (side as f64 - 9.0 / 25.4 * 400.0).abs() <= 1.0)
            );
            let apart = |a: usize, la: usize, b: usize, lb: usize| a + la <= b || b + lb <= a;
            assert!(
                apart(mark.x, mark.width, place.x, place.width)
                    || apart(mark.y, mark.height, place.y, place.height)
            );
            // Its upright line, seen in its top row, is centred on it.
            let columns: Vec<usize> =
                (mark.x..mark.x + mark.width).filter(|&x| drawn.get(x, mark.y)).collect();
            let line = (columns[0] + columns[columns.len() - 1] + 1, columns.len());
            assert_eq!(line, (2 * mark.x + mark.width, columns.len()));
            assert!((1..=3).contains(&columns.len()));
            // On the film's centre line to the half pixel, or at a corner; each mark has its image on the other side.
            let (x, y) = middle(mark);
            let image = (2 * film_middle.0 - x, 2 * film_middle.1 - y);
            assert!(sheet.marks().iter().any(|other| middle(other) == image));
            ink += drawn.view().crop(*mark).unwrap().count();
        }
        let on = |axis: fn(&(usize, usize)) -> usize| {
            let middles = sheet.marks().iter().map(middle);
            middles.filter(|m| axis(m) == axis(&film_middle)).count()
        };
        assert_eq!((on(|m| m.0), on(|m| m.1)), (2, 2));
        assert_eq!(above_foot(&sheet, &drawn).count(), ink, "nothing else above the foot");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]
    #[test]
    fn mirror_and_negative_are_exact(width in 110usize..400, height in 110usize..200, margin in 9.0..20.0, seed: u64) {
        let film = random_film(width, height, seed);
        let resolution = Resolution::per_inch_xy(300.0, 200.0).unwrap();
        let layout = Layout { margin: mm(margin), ..Layout::default() };
        let drawn = |reading, polarity, film: &Film| {
            let sheet = sheet(&Layout { reading, polarity, ..layout.clone() }, film, resolution, None);
            let drawn = sheet.sheet(&film.view()).unwrap();
            (above_foot(&sheet, &drawn), sheet.film_place())
        };
        let (right, place) = drawn(Reading::Right, Polarity::Positive, &film);
        prop_assert!(right.view().crop(place).unwrap() == film, "the film lies unchanged in its place");
        let (mirrored, _) = drawn(Reading::Mirrored, Polarity::Positive, &film);
        prop_assert!(mirrored == turned(&right));
        // Twice: a mirrored film on a mirrored sheet.
        prop_assert!(drawn(Reading::Mirrored, Polarity::Positive, &turned(&film)).0 == right);
        let (negative, _) = drawn(Reading::Right, Polarity::Negative, &film);
        prop_assert!(negative == right.complement());
        prop_assert!(negative.complement() == right);
        prop_assert!(negative.get(0, 0), "the margin of a negative is opaque");
        prop_assert!(drawn(Reading::Mirrored, Polarity::Negative, &film).0 == turned(&right).complement());
    }

    #[test]
    fn bands_change_no_bit(width in 110usize..300, height in 110usize..200, seed: u64, cuts in prop::collection::vec(1usize..90, 1..9)) {
        let film = random_film(width, height, seed);
        let both = [(Reading::Right, Polarity::Negative), (Reading::Mirrored, Polarity::Positive)];
        let screen = cells(per_inch(254.0), 30.0, 15.0, Dot::Round);
        for (reading, polarity) in both {
            let sheet = sheet(&Layout { reading, polarity, ..Layout::default() }, &film, per_inch(254.0), Some(&screen));
            let whole = sheet.sheet(&film.view()).unwrap();
            let mut bits = Vec::new();
            let (mut row, mut cuts) = (0, cuts.iter().cycle());
            while row < sheet.height() {
                let rows = (*cuts.next().unwrap()).min(sheet.height() - row);
                // Just the film rows that are needed, with gaps between them, onto a dirty band.
                let needed = sheet.film_rows(row..row + rows);
                let stride = row_bytes(width) + 2;
                let mut part = vec![0xff; stride * needed.len()];
                for (part, y) in part.chunks_mut(stride).zip(needed.clone()) {
                    let clean = film.view().row(y);
                    part[..clean.len()].copy_from_slice(clean);
                    part[clean.len() - 1] |= (0xff_u16 >> (8 - (clean.len() * 8 - width))) as u8;
                }
                let view = FilmView::new(width, needed.len(), stride, &part).unwrap();
                let out_stride = row_bytes(sheet.width());
                let mut band = vec![0xa5; out_stride * rows];
                let out = FilmMut::new(sheet.width(), rows, out_stride, &mut band).unwrap();
                sheet.run(row, &view, needed.start, out).unwrap();
                bits.extend(band);
                row += rows;
            }
            prop_assert!(bits == whole.bits());
        }
    }
}

#[test]
fn files_of_all_formats_hold_the_sheet() {
    let dir = TempDir::new().unwrap();
    let film = random_film(333, 260, 9);
    let resolution = Resolution::per_inch_xy(720.0, 360.0).unwrap();
    let screen = cells(resolution, 40.0, 22.5, Dot::Diamond);
    let layout = Layout { polarity: Polarity::Negative, ..Layout::default() };
    let sheet = sheet(&layout, &film, resolution, Some(&screen));
    let whole = sheet.sheet(&film.view()).unwrap();
    for format in FORMATS.into_iter().chain([FilmFormat::Pdf]) {
        let path = |name: &str| dir.path().join(name);
        write_film(path("whole"), &whole.view(), resolution, format).unwrap();
        write_sheet(path("at_once"), &sheet, &film.view(), format).unwrap();
        let mut writer = SheetWriter::create(path("in_bands"), &sheet, format).unwrap();
        for y in (0..260).step_by(37) {
            let rows = Rect { x: 0, y, width: 333, height: 37.min(260 - y) };
            writer.write_rows(&film.view().crop(rows).unwrap().view()).unwrap();
        }
        writer.finish().unwrap();
        let bytes = fs::read(path("whole")).unwrap();
        for name in ["at_once", "in_bands"] {
            assert!(fs::read(path(name)).unwrap() == bytes, "{format:?} {name}");
        }
        if format != FilmFormat::Pdf {
            assert!(read(&path("at_once"), format) == whole, "{format:?}");
        }
    }
}

#[test]
fn one_screening_fills_film_sheet_and_page() {
    let dir = TempDir::new().unwrap();
    let resolution = per_inch(300.0);
    let screen = cells(resolution, 45.0, 22.5, Dot::Round);
    let plate = Array2::from_shape_fn((1300, 500), |(y, x)| ((x + y) % 256) as u8);
    let placed = Placed::new(plate.view());
    let film = screen.film(placed).unwrap();
    let sheet = sheet(&Layout::default(), &film, resolution, Some(&screen));
    let path = |name: &str| dir.path().join(name);
    let mut tiff = SheetWriter::create(path("sheet.tif"), &sheet, films::T6).unwrap();
    let mut pdf = SheetWriter::create(path("sheet.pdf"), &sheet, FilmFormat::Pdf).unwrap();
    let mut rows_seen = 0;
    screen_plate(&screen, &placed, &mut go_on, |rows| {
        rows_seen += rows.height();
        tiff.write_rows(rows)?;
        pdf.write_rows(rows)
    })
    .unwrap();
    tiff.finish().unwrap();
    pdf.finish().unwrap();
    assert_eq!(rows_seen, 1300);
    assert!(read(&path("sheet.tif"), films::T6) == sheet.sheet(&film.view()).unwrap());
    write_sheet(path("again.pdf"), &sheet, &film.view(), FilmFormat::Pdf).unwrap();
    assert!(fs::read(path("sheet.pdf")).unwrap() == fs::read(path("again.pdf")).unwrap());
}

#[test]
fn size_is_true() {
    // 12.5 x 15 inch at 1440 x 720 px/inch with 20 mm of margin.
    let resolution = Resolution::per_inch_xy(1440.0, 720.0).unwrap();
    let layout = Layout { margin: mm(20.0), ..Layout::default() };
    let sheet = Sheet::new(&layout, [18_000, 10_800], resolution, None, &labels("Straw", [1, 1])).unwrap();
    let place = sheet.film_place();
    let close = |pixels: usize, per_inch: f64, mm: f64| {
        (pixels as f64 / per_inch * 25.4 - mm).abs() < 25.4 / per_inch
    };
    assert_eq!((place.width, place.height), (18_000, 10_800));
    assert!(close(place.x, 1440.0, 20.0) && close(place.y, 720.0, 20.0));
    assert_eq!(sheet.width(), 18_000 + 2 * place.x);
    let foot = (sheet.height() - 10_800 - 2 * place.y) as f64 / 720.0 * 25.4;
    assert!((15.0..30.0).contains(&foot), "a foot of {foot} mm");
    // The wedge's own size: 14 patches of 8 mm and their gaps of 1 mm end where the right marks end.
    let last = sheet.marks().iter().map(|m| m.x + m.width).max().unwrap();
    let edge = (sheet.width() - last) as f64 / 1440.0 * 25.4;
    assert!((edge - 5.5).abs() < 0.05, "{edge}");
}

#[test]
fn the_wedge_is_the_films_own() {
    let resolution = per_inch(1200.0);
    let normal = cells(resolution, 55.0, 22.5, Dot::Round);
    // A press that gains 20 points in the middle, undone.
    let press = Curve::through(&[(0.0, 0.0), (0.5, 0.7), (1.0, 1.0)]).unwrap();
    let curve = Curve::compensation(&press, None);
    let film = Film::new(7200, 500).unwrap();
    let layout = Layout { wedge: vec![0.1, 0.3, 0.5, 0.8, 1.0], ..Layout::default() };
    for screen in [
        normal.clone(),
        normal.again(Mode::Inverted, None).unwrap(),
        normal.again(Mode::Normal, Some(&curve)).unwrap(),
    ] {
        let sheet = sheet(&layout, &film, resolution, Some(&screen));
        let drawn = sheet.sheet(&film.view()).unwrap();
        let place = sheet.film_place();
        let foot = 2 * place.y + place.height;
        // Right-aligned with the marks: patches of 8 mm, 378 px, 47 px apart; below labels of 2.8 mm.
        let right = sheet.marks().iter().map(|m| m.x + m.width).max().unwrap();
        let top = foot + 140;
        for (i, asked) in layout.wedge.iter().enumerate() {
            let x = right - (5 - i) * (378 + 47) + 47;
            let patch = Rect { x: x + 10, y: top, width: 358, height: 358 };
            let held = drawn.view().coverage_of(patch).unwrap();
            let expected = screen.curve().map_or(*asked, |curve| curve.eval(*asked));
            assert!((held - expected).abs() < 0.01, "{asked}: {held} for {expected}");
            // In step with the film's dots: a flat plate that went on past the film would have the same bits there.
            let level = (asked * 65_535.0 + 0.5) as u16;
            let flat = Array2::from_elem((358, 358), level);
            let at = (patch.x as i64 - place.x as i64, patch.y as i64 - place.y as i64);
            let expected = screen.film(Placed::new(flat.view()).at(at.0, at.1)).unwrap();
            assert!(drawn.view().crop(patch).unwrap() == expected, "{asked}");
        }
    }
}

#[test]
fn a_small_sheet_has_these_bits() {
    let resolution = per_inch(200.0);
    let screen = cells(resolution, 20.0, 22.5, Dot::Round);
    let plate = Array2::from_shape_fn((240, 300), |(y, x)| ((x + y) * 255 / 538) as u8);
    let film = screen.film(plate.view()).unwrap();
    let layout = Layout { wedge: vec![0.05, 0.25, 0.5, 0.75, 1.0], ..Layout::default() };
    let drawn = sheet(&layout, &film, resolution, Some(&screen)).sheet(&film.view()).unwrap();
    let golden = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden/small_sheet.png");
    let fresh = Path::new(env!("CARGO_TARGET_TMPDIR")).join("small_sheet.png");
    write_film(&fresh, &drawn.view(), resolution, FilmFormat::Png).unwrap();
    assert!(
        golden.exists() && films::read_png(&golden) == drawn,
        "{} is no longer what {} shows",
        golden.display(),
        fresh.display()
    );
    assert_eq!(PlateReader::open(&golden).unwrap().resolution(), Some(resolution));
}

#[test]
fn a_sheet_of_ten_metres_is_made_row_by_row() {
    // 2 x 10 m at 1440 px/inch: 8 gigabytes of bits, of which a row is 14 kilobytes.
    let (width, height) = (113_386, 566_929);
    let resolution = per_inch(1440.0);
    let screen = cells(resolution, 45.0, 22.5, Dot::Round);
    let layout = Layout { reading: Reading::Mirrored, ..Layout::default() };
    let sheet =
        Sheet::new(&layout, [width, height], resolution, Some(&screen), &labels("White", [1, 1])).unwrap();
    let film = random_film(width, 3, 5);
    let mut out = Film::new(sheet.width(), 3).unwrap();
    let middle = sheet.film_place().y + height / 3;
    sheet.run(middle, &film.view(), height / 3, out.view_mut()).unwrap();
    let x = sheet.film_place().x;
    assert!(out.view().crop(Rect { x, y: 0, width, height: 3 }).unwrap() == turned(&film));
    let none = FilmView::new(width, 0, row_bytes(width), &[]).unwrap();
    sheet.run(sheet.height() - 3, &none, 0, out.view_mut()).unwrap();
    assert_eq!(out.count(), 0, "the foot's edge");
}

#[test]
fn what_cannot_be_is_refused() {
    let resolution = per_inch(300.0);
    let film = random_film(300, 200, 1);
    let size = [300, 200];
    let good = labels("Straw", [1, 2]);
    let make = |layout: &Layout, labels: &Labels, size| Sheet::new(layout, size, resolution, None, labels);
    let layout = Layout::default();
    assert!(make(&layout, &good, size).is_ok());
    for (bad, name) in [
        (Layout { margin: mm(0.0), ..layout.clone() }, "margin"),
        (Layout { margin: mm(8.9), ..layout.clone() }, "margin"),
        (Layout { margin: mm(501.0), ..layout.clone() }, "margin"),
        (Layout { margin: mm(-14.0), ..layout.clone() }, "margin"),
        (Layout { mark: mm(2.0), ..layout.clone() }, "mark"),
        (Layout { mark: mm(51.0), ..layout.clone() }, "mark"),
        (Layout { line: mm(0.0), ..layout.clone() }, "line"),
        (Layout { line: mm(2.0), ..layout.clone() }, "line"),
        (Layout { letters: mm(0.5), ..layout.clone() }, "label"),
        (Layout { letters: mm(21.0), ..layout.clone() }, "label"),
        (Layout { patch: mm(1.0), ..layout.clone() }, "patch"),
        (Layout { patch: mm(3.0), letters: mm(4.0), ..layout.clone() }, "label"),
        (Layout { wedge: vec![0.5, f64::NAN], ..layout.clone() }, "coverage"),
        (Layout { wedge: vec![1.01], ..layout.clone() }, "coverage"),
        (Layout { wedge: vec![0.5; 5000], ..layout.clone() }, "patches"),
    ] {
        let error = make(&bad, &good, size).unwrap_err();
        assert!(matches!(error, Error::Value { .. }) && error.to_string().contains(name), "{name}: {error}");
    }
    let long = "x".repeat(1001);
    for (bad, name) in [
        (Labels { ink: String::new(), ..good.clone() }, "ink"),
        (Labels { ink: "  ".to_owned(), ..good.clone() }, "ink"),
        (Labels { ink: "two\nlines".to_owned(), ..good.clone() }, "ink"),
        (Labels { ink: long.clone(), ..good.clone() }, "ink"),
        (Labels { job: long, ..good.clone() }, "job"),
        (Labels { date: "\u{1b}[31m".to_owned(), ..good.clone() }, "date"),
        (Labels { order: [0, 2], ..good.clone() }, "order"),
        (Labels { order: [3, 2], ..good.clone() }, "order"),
    ] {
        let error = make(&layout, &bad, size).unwrap_err();
        assert!(matches!(error, Error::Value { .. }) && error.to_string().contains(name), "{name}: {error}");
    }
    for bad in [[0, 200], [300, 0], [105, 200], [300, 105], [usize::MAX, 200], [300, 1 << 31]] {
        let error = make(&layout, &good, bad).unwrap_err();
        assert!(error.to_string().contains("film of a sheet"), "{bad:?}: {error}");
    }
    // Job and date may be left out.
    assert!(make(&layout, &Labels { job: String::new(), date: String::new(), ..good.clone() }, size).is_ok());

    let dir = TempDir::new().unwrap();
    let target = dir.path().join("sheet.tif");
    let sheet = make(&layout, &good, size).unwrap();
    let other = random_film(301, 200, 1);
    for wrong in [&other, &random_film(300, 199, 1), &random_film(300, 201, 1)] {
        assert!(matches!(sheet.sheet(&wrong.view()), Err(Error::Extent { .. })));
        assert!(matches!(write_sheet(&target, &sheet, &wrong.view(), films::T6), Err(Error::Extent { .. })));
        assert!(!target.exists());
    }
    let mut writer = SheetWriter::create(&target, &sheet, films::T6).unwrap();
    assert!(matches!(writer.write_rows(&other.view()), Err(Error::Extent { .. })));
    writer.write_rows(&film.view()).unwrap();
    assert!(matches!(writer.write_rows(&film.view()), Err(Error::Extent { .. })));
    writer.finish().unwrap();
    let unfinished = SheetWriter::create(dir.path().join("part.tif"), &sheet, films::T6).unwrap();
    assert!(matches!(unfinished.finish(), Err(Error::Extent { .. })));
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1, "only the complete sheet is there");

    let mut band = Film::new(sheet.width(), 10).unwrap();
    let nothing = FilmView::new(300, 0, 38, &[]).unwrap();
    let top = sheet.film_place().y;
    assert!(sheet.run(top - 10, &nothing, 0, band.view_mut()).is_ok(), "the margin needs no film");
    for (row, film_row) in [(top - 9, 0), (sheet.height() - 9, 0), (usize::MAX, 0), (top, usize::MAX)] {
        assert!(sheet.run(row, &nothing, film_row, band.view_mut()).is_err(), "{row} {film_row}");
    }
    let mut narrow = Film::new(sheet.width() - 1, 10).unwrap();
    assert!(sheet.run(0, &nothing, 0, narrow.view_mut()).is_err());
}
