//! Whole jobs: a small picture through everything, bad job files with every mistake named (`mistakes`), and the other ways from
//! plates to films (`ways`).
#![cfg(feature = "job")]

use std::fs;
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};

use dotwright::job::{Done, Job, Progress, Step};
use dotwright::{Error, Result};
use image::{GrayImage, Luma, Rgba, RgbaImage};

mod mistakes;
mod ways;

const SHELF: &str = "white = \"lab(95 0 0)\"\nblack = \"lab(15 0 0)\"\n\
    [[ink]]\nname = \"chalk\"\nover_white = \"lab(95 -0.6 1.4)\"\nover_black = \"lab(90 -0.2 0.5)\"\n\
    [[ink]]\nname = \"rose & co\"\nover_white = \"lab(56 58 4)\"\nover_black = \"lab(45.6 29.7 -0.7)\"\n\
    [[ink]]\nname = \"soot\"\nover_white = \"lab(14 0.3 0.2)\"\nover_black = \"lab(14 0.3 0.2)\"\n";

const JOB: &str = "name = \"Small <job>\"\ndate = \"1 May\"\nart = \"art.png\"\nshelf = \"shelf.toml\"\nwidth = \"30mm\"\nresolution = 400\n\
    [garment]\ncolour = \"#202430\"\nname = \"slate\"\n\
    [separation]\nsmoothness = 120\nblack = \"soot\"\n\
    [screen]\nlines = 40\nangle = 22.5\ndot = \"euclidean\"\npress = [[25, 38], [50, 68.5], [75, 88]]\n\
    mesh = { count = \"77/cm\", thread = \"48um\" }\n\
    [[ink]]\nname = \"chalk\"\nflash = true\nbase = true\nprice = 0.3\nchoke = \"0.2mm\"\nleast_width = \"0.3mm\"\nangle = 52.5\n\
    [[ink]]\nname = \"rose & co\"\ncurve = [[0, 0], [50, 45.3], [100, 100]]\n\
    [[ink]]\nname = \"soot\"\nmode = \"inverted\"\nhighlight_cut = 1\n\
    [sheet]\nwedge = [10, 50, 90]\nletters = \"1mm\"\nmark = \"4mm\"\nmargin = \"6mm\"\npatch = \"5mm\"\n";

/// A folder with a shelf and a picture: a transparent border, then colours that drift from rose to grey and from dark to light.
fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("shelf.toml"), SHELF).unwrap();
    let art = RgbaImage::from_fn(120, 90, |x, y| {
        let (u, v) = (x as f32 / 119.0, y as f32 / 89.0);
        let light = 40.0 + 190.0 * v;
        let grey = [light, light * (0.45 + 0.5 * u), light * (0.55 + 0.4 * u)].map(|c| c as u8);
        let alpha = if x < 8 || y < 8 { 0 } else { 255 };
        Rgba([grey[0], grey[1], grey[2], alpha])
    });
    art.save(folder.path().join("art.png")).unwrap();
    folder
}

fn run(job: &Job, out: &Path) -> Result<Done> {
    job.run(out, &mut |_| ControlFlow::Continue(()))
}

/// All files below a folder, told from it.
fn files(folder: &Path) -> Vec<String> {
    fn into(home: &Path, folder: &Path, found: &mut Vec<String>) {
        for entry in fs::read_dir(folder).into_iter().flatten() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                into(home, &path, found);
            } else {
                found.push(path.strip_prefix(home).unwrap().to_str().unwrap().replace('\\', "/"));
            }
        }
    }
    let mut found = Vec::new();
    into(folder, folder, &mut found);
    found.sort();
    found
}

fn film(path: PathBuf) -> dotwright::Film {
    dotwright::io::read_film(path).unwrap().0
}

#[test]
fn everything_is_there_and_runs_again_to_the_same_bits() {
    let home = folder();
    let job = Job::parse("job.toml", JOB, home.path(), None).unwrap();
    let out = home.path().join("out");
    let done = run(&job, &out).unwrap();
    let names = ["01-chalk", "02-rose-co", "03-soot"];
    let mut expected: Vec<String> =
        ["difference.png", "dots.png", "job.toml", "proof.png", "report.html"].map(str::to_owned).to_vec();
    for name in names {
        expected.extend([
            format!("films/{name}.tif"),
            format!("plates/{name}.png"),
            format!("sheets/{name}.pdf"),
            format!("sheets/{name}.tif"),
        ]);
    }
    expected.sort();
    assert_eq!(files(&out), expected);
    assert_eq!(done.files.len(), expected.len());
    assert!(done.strangers.is_empty());

    // 30 mm at 400 px/inch; 120 × 90 pixels of art.
    let wide = (30.0 / 25.4 * 400.0_f64).round() as usize;
    let high = (30.0 / 25.4 * 400.0 * 90.0 / 120.0_f64).round() as usize;
    assert!(done.inks.iter().all(|ink| ink.film == [wide, high]), "{:?}", done.inks);
    let films: Vec<_> = names.iter().map(|name| film(out.join(format!("films/{name}.tif")))).collect();
    let sheets: Vec<_> = names.iter().map(|name| film(out.join(format!("sheets/{name}.tif")))).collect();
    for ((film, sheet), ink) in films.iter().zip(&sheets).zip(&done.inks) {
        assert_eq!([film.width(), film.height()], [wide, high]);
        assert!((film.coverage() - ink.film_coverage.unwrap()).abs() < 1e-12);
        // The sheet holds the film where its margin ends: 6 mm, to the nearest pixel.
        let margin = (6.0 / 25.4 * 400.0_f64).round() as usize;
        let place = dotwright::film::Rect { x: margin, y: margin, width: wide, height: high };
        assert_eq!(sheet.view().crop(place).unwrap().bits(), film.bits());
        // Area × coverage × open area × 1.5 threads: (1 − 77 · 0.0048)² · 72 µm.
        let area = 0.030 * 0.030 * 0.75;
        let volume = (1.0 - 77.0 * 0.0048_f64).powi(2) * 72.0;
        let estimate = 100.0 * ink.film_coverage.unwrap() * area * volume;
        assert!((ink.ink_per_hundred.unwrap() / estimate - 1.0).abs() < 0.01);
    }
    // The border is garment: no ink at all. Rose and black share a lattice and stand in each other's gaps.
    let plates: Vec<GrayImage> = names
        .iter()
        .map(|name| image::open(out.join(format!("plates/{name}.png"))).unwrap().into_luma8())
        .collect();
    for plate in &plates {
        assert!((0..120).all(|x| plate.get_pixel(x, 3).0[0] == 255));
    }
    let both = films[1].and(&films[2]).unwrap();
    let beyond = plates[1].pixels().zip(plates[2].pixels());
    let beyond = beyond.filter(|(a, b)| u16::from(a.0[0]) + u16::from(b.0[0]) < 255).count();
    assert_eq!(both.count() > 0, beyond > 0, "{} pixels, {beyond} places", both.count());
    assert!(films[1].count() > 1000 && films[2].count() > 500, "an empty film overlaps nothing");

    // The print is what was wanted of the inks, and that is near the art.
    let (art, wanted) = (done.against_art.unwrap(), done.against_wanted.unwrap());
    assert!(wanted.mean < 4.0 && art.mean < 20.0 && wanted.mean < art.mean, "{art:?} {wanted:?}");

    let report = fs::read_to_string(out.join("report.html")).unwrap();
    for part in
        ["Small &lt;job&gt;", "rose &amp; co", "1 May", "slate", "flash-dry", "ΔE00", "in the gaps", "77/cm"]
    {
        assert!(report.contains(part), "{part}");
    }
    assert!(!report.contains("<job>") && !report.contains("<script") && !report.contains("NaN"));
    for link in report.split("src=\"").skip(1).chain(report.split("href=\"").skip(1)) {
        let file = link.split('"').next().unwrap();
        assert!(out.join(file).is_file(), "{file}");
    }

    // Neither shelf nor the first job file is needed again.
    fs::remove_file(home.path().join("shelf.toml")).unwrap();
    let again = home.path().join("again");
    run(&Job::read(&out.join("job.toml")).unwrap(), &again).unwrap();
    for name in files(&out) {
        let [first, second] = [&out, &again].map(|folder| fs::read(folder.join(&name)).unwrap());
        assert!(first == second, "{name}");
    }
}

#[test]
fn a_job_that_is_cancelled_leaves_nothing_and_one_before_it_stays() {
    let home = folder();
    let job = Job::parse("job.toml", JOB, home.path(), None).unwrap();
    let out = home.path().join("deep/out");
    let cancelled_at = |job: &Job, stop: Step, at_least: f64, out: &Path| {
        let mut hear = |p: Progress| {
            let is_there = p.step == stop && p.part >= at_least;
            if is_there { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
        };
        assert!(matches!(job.run(out, &mut hear), Err(Error::Cancelled)), "{stop:?} {at_least}");
    };
    for (step, part) in
        [(Step::Reading, 0.0), (Step::Separating, 0.0), (Step::Separating, 0.6), (Step::Reporting, 0.0)]
    {
        cancelled_at(&job, step, part, &out);
        assert!(!home.path().join("deep").exists(), "{step:?}");
    }
    let (mut wholes, mut seen) = (Vec::new(), Vec::new());
    let mut listen = |p: Progress| {
        wholes.push(p.whole());
        if !seen.contains(&p.step) {
            seen.push(p.step);
        }
        ControlFlow::Continue(())
    };
    job.run(&out, &mut listen).unwrap();
    assert!(wholes.is_sorted() && *wholes.last().unwrap() == 1.0, "{wholes:?}");
    assert_eq!(seen, [Step::Reading, Step::Separating, Step::Proofing, Step::Screening, Step::Reporting]);

    // A second job that is stopped leaves the first as it was: its plates, screened otherwise.
    let bytes = || -> Vec<_> {
        files(&out).iter().map(|name| (name.clone(), fs::read(out.join(name)).unwrap())).collect()
    };
    let before = bytes();
    let plates =
        JOB.replace("art = \"art.png\"", "plates = \"deep/out/plates\"").replace("lines = 40", "lines = 30");
    let second = Job::parse("job.toml", &plates, home.path(), None).unwrap();
    for (step, part) in [
        (Step::Proofing, 0.0),
        (Step::Screening, 0.0),
        (Step::Screening, 0.5),
        (Step::Screening, 1.0),
        (Step::Reporting, 0.3),
        (Step::Reporting, 1.0),
    ] {
        cancelled_at(&second, step, part, &out);
        assert!(before == bytes(), "{step:?} {part}");
    }
    // So does one that fails.
    let blocked = home.path().join("blocked");
    fs::create_dir_all(blocked.join("films/02-rose-co.tif")).unwrap();
    assert!(run(&second, &blocked).unwrap_err().to_string().contains("02-rose-co.tif"));
    assert!(files(&blocked).is_empty());
    let file = home.path().join("file");
    fs::write(&file, "").unwrap();
    assert!(run(&second, &file.join("out")).is_err());
}
