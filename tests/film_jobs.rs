//! Films streamed from plate files, and what is left where a film is not finished.
#![cfg(feature = "files")]

#[path = "common/films.rs"]
mod films;

use std::fs::{self, File};
use std::ops::ControlFlow;
use std::path::Path;

use dotwright::bands::{Progress, go_on};
use dotwright::film::Rect;
use dotwright::io::{FilmFormat, FilmJob, FilmSpec, FilmWriter, PlateReader, write_film};
use dotwright::{Angle, Dot, Error, Film, LineCount, Placed, Plate, Resolution, Sampling, Screen};
use films::{FORMATS, T6, per_inch, random_film, read, read_tiff, write};
use image::ExtendedColorType;
use ndarray::Array2;
use tempfile::TempDir;

/// Plate files as a person's program would save them: black is ink.
fn save_bytes(path: &Path, tones: &Array2<u8>) {
    let (height, width) = tones.dim();
    let levels: Vec<u8> = tones.iter().map(|tone| !tone).collect();
    image::save_buffer(path, &levels, width as u32, height as u32, ExtendedColorType::L8).unwrap();
}

fn save_words(path: &Path, tones: &Array2<u16>) {
    let (height, width) = tones.dim();
    let levels: Vec<u8> = tones.iter().flat_map(|tone| (!tone).to_ne_bytes()).collect();
    image::save_buffer(path, &levels, width as u32, height as u32, ExtendedColorType::L16).unwrap();
}

fn screen(resolution: Resolution) -> Screen {
    let (lines, angle) = (LineCount::per_inch(55.0).unwrap(), Angle::degrees(22.5).unwrap());
    Screen::cells(resolution, lines, angle, Dot::Euclidean).build().unwrap()
}

/// Runs a job and does its work in memory; both must give the same file and figures.
fn same_film<'a>(
    file: &Path,
    plate: Plate<'a>,
    from: Resolution,
    to: Resolution,
    sampling: Sampling,
    format: FilmFormat,
) {
    let case = format!("{from} to {to}, {sampling:?}, {format:?}");
    let screen = screen(to);
    let (streamed, whole) = (file.with_extension("streamed"), file.with_extension("whole"));
    let job = FilmJob { screen: &screen, resolution: to, plate_resolution: from, sampling, format };
    let mut told = Vec::new();
    let mut listen = |p: Progress| {
        told.push(p.done);
        go_on(p)
    };
    let report = job.run(PlateReader::open(file).unwrap(), &streamed, &mut listen).unwrap();
    let film = screen.film(Placed::resampled(plate, from, to, sampling).unwrap()).unwrap();
    write_film(&whole, &film.view(), to, format).unwrap();
    assert!(fs::read(streamed).unwrap() == fs::read(whole).unwrap(), "{case}");
    assert_eq!((report.width, report.height), (film.width(), film.height()), "{case}");
    assert_eq!((report.plate_coverage, report.film_coverage), (plate.coverage(), film.coverage()), "{case}");
    assert!(told.len() > 1 && told.is_sorted() && told.last() == Some(&(film.height() as u64)), "{case}");
}

#[test]
fn a_streamed_film_is_that_of_the_whole_plate() {
    let dir = TempDir::new().unwrap();
    let wide = Resolution::per_inch_xy(720.0, 1440.0).unwrap();
    let mut formats = FORMATS.into_iter().cycle();
    for (from, to, height) in [
        (per_inch(600.0), per_inch(600.0), 2100),
        (per_inch(300.0), per_inch(1200.0), 530),
        (per_inch(300.0), per_inch(720.0), 901),
        (per_inch(600.0), per_inch(400.0), 3301),
        (per_inch(3000.0), per_inch(400.0), 9001),
        (per_inch(300.0), wide, 431),
    ] {
        let words = Array2::from_shape_fn((height, 91), |(y, x)| ((x * 65_535 / 90) ^ (y * 37)) as u16);
        let bytes = words.mapv(|tone| (tone >> 8) as u8);
        let files = [dir.path().join("words.png"), dir.path().join("bytes.png")];
        save_words(&files[0], &words);
        save_bytes(&files[1], &bytes);
        for sampling in [Sampling::Nearest, Sampling::Linear] {
            for (file, plate) in files.iter().zip([Plate::from(words.view()), bytes.view().into()]) {
                same_film(file, plate, from, to, sampling, formats.next().unwrap());
            }
        }
    }
}

/// Names in a folder.
fn names(dir: &TempDir) -> Vec<String> {
    let mut names: Vec<_> =
        fs::read_dir(dir).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

fn spec(film: &Film, format: FilmFormat) -> FilmSpec {
    FilmSpec { width: film.width(), height: film.height(), resolution: per_inch(720.0), format }
}

#[test]
fn only_a_complete_film_takes_its_name() {
    let film = random_film(99, 40, 3);
    let part = film.view().crop(Rect { x: 0, y: 0, width: 99, height: 30 }).unwrap();
    for format in FORMATS {
        for old in [None, Some("the film of last week")] {
            let dir = TempDir::new().unwrap();
            let target = dir.path().join("film");
            if let Some(old) = old {
                fs::write(&target, old).unwrap();
            }
            let before = || {
                assert_eq!(names(&dir).len(), usize::from(old.is_some()), "{format:?}");
                assert_eq!(fs::read_to_string(&target).ok().as_deref(), old, "{format:?}");
            };
            drop(FilmWriter::create(&target, spec(&film, format)).unwrap());
            before();

            let mut writer = FilmWriter::create(&target, spec(&film, format)).unwrap();
            writer.write_rows(&part.view()).unwrap();
            drop(writer);
            before();

            let mut writer = FilmWriter::create(&target, spec(&film, format)).unwrap();
            writer.write_rows(&part.view()).unwrap();
            let short = writer.finish();
            assert!(matches!(short, Err(Error::Extent { got_height: 30, height: 40, .. })), "{short:?}");
            before();

            // A band that is refused leaves the writer as it was.
            let mut writer = FilmWriter::create(&target, spec(&film, format)).unwrap();
            let refused = writer.write_rows(&random_film(100, 1, 1).view());
            assert!(matches!(refused, Err(Error::Extent { got_width: 100, width: 99, .. })), "{refused:?}");
            writer.write_rows(&part.view()).unwrap();
            let refused = writer.write_rows(&part.view());
            assert!(matches!(refused, Err(Error::Extent { got_height: 30, height: 10, .. })), "{refused:?}");
            let rest = film.view().crop(Rect { x: 0, y: 30, width: 99, height: 10 }).unwrap();
            writer.write_rows(&rest.view()).unwrap();
            assert!(matches!(writer.write_rows(&rest.view()), Err(Error::Extent { height: 0, .. })));
            assert_eq!(fs::read_to_string(&target).ok().as_deref(), old, "{format:?}");
            writer.finish().unwrap();
            assert_eq!(names(&dir), ["film"]);
            assert_eq!(read(&target, format), film);
        }
    }
}

#[test]
fn a_run_that_ends_early_leaves_what_was() {
    let dir = TempDir::new().unwrap();
    let (file, cut, target) = (dir.path().join("a.png"), dir.path().join("b.png"), dir.path().join("c.tif"));
    save_bytes(&file, &Array2::from_shape_fn((3000, 64), |(y, x)| (x * y * 7 % 256) as u8));
    let bytes = fs::read(&file).unwrap();
    fs::write(&cut, &bytes[..bytes.len() / 2]).unwrap();
    fs::write(&target, "kept").unwrap();
    let screen = screen(per_inch(720.0));
    let job = FilmJob {
        screen: &screen,
        resolution: per_inch(720.0),
        plate_resolution: per_inch(720.0),
        sampling: Sampling::Nearest,
        format: T6,
    };
    let mut calls = 0;
    let mut stop = |p: Progress| {
        calls += 1;
        assert!(p.done < p.total);
        ControlFlow::Break(())
    };
    let stopped = job.run(PlateReader::open(&file).unwrap(), &target, &mut stop);
    assert!(matches!(stopped, Err(Error::Cancelled)), "{stopped:?}");
    assert_eq!(calls, 1);
    let failed = job.run(PlateReader::open(&cut).unwrap(), &target, &mut go_on);
    assert!(matches!(&failed, Err(Error::Data { what, .. }) if what.contains("b.png")), "{failed:?}");
    assert_eq!(fs::read_to_string(&target).unwrap(), "kept");
    assert_eq!(names(&dir), ["a.png", "b.png", "c.tif"]);
    job.run(PlateReader::open(&file).unwrap(), &target, &mut go_on).unwrap();
    assert_eq!(read_tiff(&target).height(), 3000);
}

#[cfg(unix)]
#[test]
fn a_film_has_the_mode_of_any_new_file() {
    use std::os::unix::fs::{MetadataExt, PermissionsExt};
    let dir = TempDir::new().unwrap();
    let mode = |name: &str| fs::metadata(dir.path().join(name)).unwrap().mode();
    File::create(dir.path().join("plain")).unwrap();
    for format in FORMATS {
        write(&dir.path().join("film"), &random_film(9, 9, 1), format);
        assert_eq!(mode("film"), mode("plain"), "{format:?}");
    }
    // A folder that may be written to but not listed.
    let drop_box = dir.path().join("box");
    fs::create_dir(&drop_box).unwrap();
    fs::set_permissions(&drop_box, fs::Permissions::from_mode(0o300)).unwrap();
    let film = random_film(9, 9, 1);
    write(&drop_box.join("film"), &film, T6);
    assert_eq!(read_tiff(&drop_box.join("film")), film);
    fs::set_permissions(&drop_box, fs::Permissions::from_mode(0o700)).unwrap();
}

#[test]
fn targets_and_sizes_that_cannot_be_are_refused() {
    let dir = TempDir::new().unwrap();
    let film = random_film(9, 9, 1);
    let missing = dir.path().join("missing/film.tif");
    fs::create_dir(dir.path().join("folder")).unwrap();
    for target in [missing, dir.path().join("folder")] {
        for format in FORMATS {
            // At once, not when the work is done.
            let refused = FilmWriter::create(&target, spec(&film, format));
            assert!(matches!(&refused, Err(Error::Io { path, .. }) if *path == target), "{refused:?}");
        }
    }
    for (width, height) in [(0, 9), (9, 0), (1 << 31, 9), (9, 1 << 31)] {
        let spec = FilmSpec { width, height, resolution: per_inch(720.0), format: T6 };
        let refused = FilmWriter::create(dir.path().join("film"), spec);
        assert!(matches!(refused, Err(Error::Value { .. })), "{width} x {height}");
    }
    assert_eq!(names(&dir), ["folder"]);
    for (name, format) in
        [("a.tif", T6), ("a.b.TIFF", T6), ("a.Png", FilmFormat::Png), ("a.pbm", FilmFormat::Pbm)]
    {
        assert_eq!(FilmFormat::from_path(Path::new(name)).unwrap(), format);
    }
    for name in ["tif", "a.jpg", "a.", "a"] {
        assert!(FilmFormat::from_path(Path::new(name)).is_err(), "{name}");
    }
}
