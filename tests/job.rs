//! Whole jobs: a small picture through everything, every file looked at, bad job files with every mistake named, cancelled jobs that
//! leave nothing.
#![cfg(feature = "job")]

use std::fs;
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};

use dotwright::job::{Done, Job, Progress, Step};
use dotwright::{Error, Result};
use image::{GrayImage, Luma, Rgba, RgbaImage};

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
fn every_mistake_is_named_with_its_line() {
    let home = folder();
    fs::write(home.path().join("press.csv"), "film,printed\n25,oops\n").unwrap();
    let text = "art = \"nothing.png\"\n\
        wdith = \"30mm\"\n\
        resolution = 0\n\
        shelf = \"shelf.toml\"\n\
        trim = [0, 0, 5]\n\
        make = [\"films\", \"coffee\"]\n\
        [garment]\n\
        color = \"#202430\"\n\
        [separation]\n\
        knee = 120\n\
        black = \"tar\"\n\
        [screen]\n\
        lines = \"many\"\n\
        press = \"press.csv\"\n\
        mesh = { count = 77, thread = \"480um\" }\n\
        [[ink]]\n\
        name = \"chalk\"\n\
        highlight_cut = 90\n\
        shadow_fill = 10\n\
        [[ink]]\n\
        name = \"chalk\"\n\
        [[ink]]\n\
        name = \"soot\"\n\
        lines = 5000\n\
        [sheet]\n\
        mark = \"1mm\"\n\
        polarity = \"both\"\n\
        [[pin]]\n\
        colour = \"red\"\n\
        [proof]\n\
        eye = \"1mm\"\n";
    let message = Job::parse("job.toml", text, home.path(), None).unwrap_err().to_string();
    let expected = [
        "job.toml: line 1: ",
        "line 2: unknown key \"wdith\" (width?)",
        "line 3: resolution: resolution is 0; allowed: 1 to 100000",
        "line 5: trim; allowed: [left, top, width, height]",
        "line 6: make: \"coffee\"; allowed: plates, films",
        "line 7: colour is missing",
        "line 8: unknown key \"color\" (colour?)",
        "line 10: knee is 120; allowed: 0 to 99",
        "line 11: \"tar\" is no ink of this job",
        "line 13: lines: line count is many",
        "line 14: press: ",
        "line 15: mesh: mesh thread is 480 µm",
        "line 16: highlight_cut is above shadow_fill",
        "line 20: ink \"chalk\" is there already",
        "line 22: screen of \"soot\": ",
        "line 25: register mark is 1 mm",
        "line 27: polarity: polarity of a sheet is both",
        "line 28: ink is missing",
        "line 29: colour: colour of art is red",
        "line 31: eye is 1 mm",
    ];
    let lines: Vec<&str> = message.split("\n  ").collect();
    for (line, expected) in lines.iter().zip(expected) {
        assert!(line.starts_with(expected), "{line}\n{expected}");
    }
    assert_eq!(lines.len(), expected.len(), "{message}");
    assert!(lines[0].contains("nothing.png") && lines[10].contains("line 2"), "{message}");
}

#[test]
fn single_mistakes_are_told_alone() {
    let home = folder();
    let plates = home.path().join("plates");
    fs::create_dir(&plates).unwrap();
    GrayImage::from_pixel(40, 40, Luma([90])).save(plates.join("01-chalk.png")).unwrap();
    GrayImage::from_pixel(40, 40, Luma([90])).save(plates.join("02-sky.png")).unwrap();
    for (from, to, expected) in [
        ("art = \"art.png\"\n", "", "line 1: art is missing"),
        ("art = \"art.png\"\n", "art = \"art.png\"\nplates = \"plates\"\n", "line 4: plates beside art"),
        ("art = \"art.png\"\n", "plates = \"plates\"\n", "02-sky.png: no [[ink]] of its name"),
        ("[garment]\ncolour = \"#202430\"\nname = \"slate\"\n", "", "[garment] is missing"),
        (
            "name = \"chalk\"\n",
            "name = \"chalc\"\n",
            "ink is \"chalc\"; allowed: one of this shelf: chalk, rose & co, soot",
        ),
        ("shelf = \"shelf.toml\"\n", "", "ink is \"chalk\"; allowed: one of a shelf"),
        ("shelf = \"shelf.toml\"", "shelf = \"none.toml\"", "none.toml"),
        ("curve = [[0, 0], [50, 45.3], [100, 100]]", "curve = [[0, 0], [50, 60], [40, 70]]", "curve"),
        (
            "flash = true\n",
            "flash = true\nplate = \"a.png\"\nover_white = \"#ffffff\"\n",
            "an ink has over_white and over_black",
        ),
        (
            "[sheet]",
            "[[overprint]]\ninks = [\"soot\", \"sky\"]\ncolour = \"#000000\"\n[sheet]",
            "\"sky\" is no ink of this job",
        ),
        (
            "[sheet]",
            "[[overprint]]\ninks = [\"soot\", \"soot\"]\ncolour = \"#000000\"\n[sheet]",
            "overprint is [2, 2]",
        ),
        ("press = [[25, 38]", "press = [[25, 38, 4]", "press holds 3 values for a pair"),
        ("press = [[25, 38]", "press = [[25, 380]", "printed coverage of a wedge patch is 3.8"),
        ("dot = \"euclidean\"", "dot = \"oval\"", "dot is oval"),
        ("lines = 40", "smallest_dot = \"2mm\"\nlines = 40", "smallest dot is 2 mm"),
    ] {
        assert!(JOB.contains(from), "{from}");
        let text = JOB.replace(from, to);
        let message = Job::parse("job.toml", &text, home.path(), None).unwrap_err().to_string();
        assert!(message.contains(expected), "{expected}\n{message}");
    }
    // What only the picture can tell is told before anything is written.
    let out = home.path().join("out");
    for (from, to, expected) in [
        ("width = \"30mm\"\n", "", "size of the print is not told"),
        (
            "width = \"30mm\"\n",
            "width = \"30mm\"\ntrim = [100, 0, 40, 40]\n",
            "trim is 100, 0, 40, 40; allowed: a piece of the 120 x 90",
        ),
        ("width = \"30mm\"", "width = \"1mm\"", "film of a sheet"),
        (
            "flash = true\n",
            "flash = true\nplate = \"plates/01-chalk.png\"\n",
            "01-chalk.png: 40 x 40 pixels; the art has 120 x 90",
        ),
    ] {
        let job = Job::parse("job.toml", &JOB.replace(from, to), home.path(), None).unwrap();
        let message = run(&job, &out).unwrap_err().to_string();
        assert!(message.contains(expected), "{expected}\n{message}");
        assert!(!out.exists(), "{expected}");
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

#[test]
fn plates_are_printed_as_they_are_and_strangers_are_told() {
    let home = folder();
    let plates = home.path().join("plates");
    fs::create_dir(&plates).unwrap();
    let grey = |level: u8| GrayImage::from_pixel(60, 50, Luma([level]));
    grey(155).save(plates.join("7-rose-co.png")).unwrap();
    grey(55).save(plates.join("2-chalk.png")).unwrap();
    let text = "shelf = \"shelf.toml\"\nplates = \"plates\"\nart_resolution = 100\nresolution = 300\nmake = [\"films\", \"proof\", \"report\"]\n\
        [garment]\ncolour = \"#202430\"\n[screen]\nlines = 30\n";
    let job = Job::parse("job.toml", text, home.path(), None).unwrap();
    assert_eq!(job.inks().collect::<Vec<_>>(), ["chalk", "rose & co"]);
    let out = home.path().join("out");
    fs::create_dir_all(out.join("films")).unwrap();
    fs::write(out.join("films/03-old.tif"), "").unwrap();
    let done = run(&job, &out).unwrap();
    let expected = [
        "dots.png",
        "films/01-chalk.tif",
        "films/02-rose-co.tif",
        "films/03-old.tif",
        "job.toml",
        "proof.png",
        "report.html",
    ];
    assert_eq!(files(&out), expected);
    assert_eq!(done.strangers, [out.join("films/03-old.tif")]);
    let covered = done.inks.iter().map(|ink| (ink.plate_coverage * 255.0).round()).collect::<Vec<_>>();
    assert_eq!(covered, [200.0, 100.0]);
    assert!(done.against_art.is_none());
    for (ink, level) in done.inks.iter().zip([200.0, 100.0]) {
        assert!((ink.film_coverage.unwrap() - level / 255.0).abs() < 0.005, "{ink:?}");
    }
}

#[test]
fn plates_get_the_base_that_they_lack_choked_and_solids_spread() {
    let home = folder();
    let plates = home.path().join("plates");
    fs::create_dir(&plates).unwrap();
    // Rose on the left, soot on the right of one field, at 100 to the inch: they butt at column 50.
    let field = |from: u32, to: u32| {
        GrayImage::from_fn(100, 60, |x, y| {
            Luma([if (from..to).contains(&x) && (10..50).contains(&y) { 0 } else { 255 }])
        })
    };
    field(10, 50).save(plates.join("1-rose-co.png")).unwrap();
    field(50, 90).save(plates.join("2-soot.png")).unwrap();
    let text = "shelf = \"shelf.toml\"\nplates = \"plates\"\nart_resolution = 100\nmake = [\"plates\"]\n\
        [garment]\ncolour = \"#202430\"\n[[ink]]\nname = \"chalk\"\nbase = true\nchoke = \"0.508mm\"\n\
        [[ink]]\nname = \"rose & co\"\nspread = \"0.508mm\"\n[[ink]]\nname = \"soot\"\n";
    let out = home.path().join("out");
    run(&Job::parse("job.toml", text, home.path(), None).unwrap(), &out).unwrap();
    let row = |name: &str| -> Vec<u8> {
        let plate = image::open(out.join(format!("plates/{name}.png"))).unwrap().into_luma8();
        (0..100).map(|x| 255 - plate.get_pixel(x, 30).0[0]).collect()
    };
    let (base, rose, soot) = (row("01-chalk"), row("02-rose-co"), row("03-soot"));
    // Two pixels: of choke at the outer edge, none of it under black; of rose under the black.
    assert!(base[..12].iter().all(|&tone| tone == 0) && base[52..].iter().all(|&tone| tone == 0), "{base:?}");
    assert!(base[13..48].iter().all(|&tone| tone > 200), "{base:?}");
    assert!(
        rose[10..52].iter().all(|&tone| tone > 250) && rose[53..].iter().all(|&tone| tone == 0),
        "{rose:?}"
    );
    assert!(soot[..50].iter().all(|&tone| tone == 0) && soot[50..90].iter().all(|&tone| tone == 255));
}

#[test]
fn an_index_job_has_one_ink_a_dot_and_the_base_under_all_of_them() {
    let home = folder();
    let text = "art = \"art.png\"\nshelf = \"shelf.toml\"\nwidth = \"60mm\"\nresolution = 400\nmake = [\"plates\", \"films\", \"proof\"]\n\
        [garment]\ncolour = \"#202430\"\n[screen]\ntogether = \"index\"\ndot = \"index:80/in\"\n\
        [[ink]]\nname = \"chalk\"\nbase = true\nflash = true\n[[ink]]\nname = \"rose & co\"\n[[ink]]\nname = \"soot\"\n";
    let names = ["01-chalk", "02-rose-co", "03-soot"];
    let made = |text: &str, out: &str| {
        let out = home.path().join(out);
        let done = run(&Job::parse("job.toml", text, home.path(), None).unwrap(), &out).unwrap();
        let films = names.map(|name| film(out.join(format!("films/{name}.tif"))));
        (done, films, out)
    };
    let (done, [base, rose, soot], out) = made(text, "out");
    assert!(rose.count() > 1000 && soot.count() > 1000, "empty films overlap nothing");
    assert_eq!(rose.and(&soot).unwrap().count(), 0);
    assert_eq!(rose.and(&base).unwrap().count(), rose.count(), "rose lies on the base everywhere");
    // The plates tell the part of the dots, and the print is what was wanted.
    for (ink, film) in done.inks.iter().zip([&base, &rose, &soot]) {
        assert!((ink.plate_coverage - film.coverage()).abs() < 0.02, "{ink:?} {}", film.coverage());
    }
    assert!(done.against_wanted.unwrap().mean < 1.5, "{:?}", done.against_wanted);
    let again = home.path().join("again");
    run(&Job::read(&out.join("job.toml")).unwrap(), &again).unwrap();
    for name in files(&out) {
        assert!(fs::read(out.join(&name)).unwrap() == fs::read(again.join(&name)).unwrap(), "{name}");
    }
    // Choked, the base is drawn in from the edges of what it carries.
    let choked = text.replace("base = true\n", "base = true\nchoke = \"0.13mm\"\n");
    let (_, [less, same, _], _) = made(&choked, "choked");
    assert_eq!(same.bits(), rose.bits());
    assert!(less.count() < base.count() && less.and(&base).unwrap().count() == less.count());
    let (_, [_, other, dark], _) = made(&text.replace("\"index\"", "\"index diffused\""), "diffused");
    assert!(other.bits() != rose.bits() && other.and(&dark).unwrap().count() == 0);

    for (from, to, expected) in [
        ("dot = \"index:80/in\"\n", "", "the dot is a growing one"),
        ("name = \"soot\"\n", "name = \"soot\"\ndot = \"index:90/in\"\n", "not those of the first ink"),
        ("name = \"soot\"\n", "name = \"soot\"\nshadow_fill = 90\n", "no fill"),
        ("name = \"soot\"\n", "name = \"soot\"\nchoke = \"1mm\"\n", "a choke only for the base"),
        ("\"index\"", "\"indexed\"", "together is indexed; allowed: free, index, index diffused"),
    ] {
        let message =
            Job::parse("job.toml", &text.replace(from, to), home.path(), None).unwrap_err().to_string();
        assert!(message.contains(expected), "{expected}\n{message}");
    }
}

#[test]
fn plates_side_by_side_never_meet_and_the_base_lies_below() {
    let home = folder();
    let text = JOB
        .replace("dot = \"euclidean\"", "dot = \"euclidean\"\ntogether = \"side by side\"")
        .replace("mode = \"inverted\"\n", "");
    let names = ["01-chalk", "02-rose-co", "03-soot"];
    let made = |text: &str, out: &str| {
        let out = home.path().join(out);
        let done = run(&Job::parse("job.toml", text, home.path(), None).unwrap(), &out).unwrap();
        (done, names.map(|name| film(out.join(format!("films/{name}.tif")))), out)
    };
    let (done, [base, rose, soot], out) = made(&text, "out");
    assert!(base.count() > 1000 && rose.count() > 1000 && soot.count() > 500, "empty films overlap nothing");
    assert_eq!(rose.and(&soot).unwrap().count(), 0);
    assert!(base.and(&rose).unwrap().count() > 500);
    for (ink, film) in done.inks.iter().zip([&base, &rose, &soot]) {
        assert!((ink.film_coverage.unwrap() - film.coverage()).abs() < 1e-12);
    }
    let (_, [_, ring, dark], _) = made(&text.replace("side by side", "side by side in rings"), "rings");
    assert!(dark.bits() != soot.bits() && ring.and(&dark).unwrap().count() == 0);
    let again = home.path().join("again");
    run(&Job::read(&out.join("job.toml")).unwrap(), &again).unwrap();
    for name in files(&out) {
        assert!(fs::read(out.join(&name)).unwrap() == fs::read(again.join(&name)).unwrap(), "{name}");
    }
    for (from, to, expected) in [
        ("dot = \"euclidean\"", "dot = \"line\"", "dot of compact plates side by side is Line"),
        (
            "name = \"soot\"\n",
            "name = \"soot\"\nangle = 3\n",
            "screen of plates side by side is that of \"soot\"",
        ),
        ("name = \"soot\"\n", "name = \"soot\"\nmode = \"inverted\"\n", "mode"),
    ] {
        let text = text.replace(from, to);
        let message = Job::parse("job.toml", &text, home.path(), None).unwrap_err().to_string();
        assert!(message.contains(expected), "{expected}\n{message}");
    }
}

#[test]
fn a_trim_cuts_the_picture_and_a_supplied_plate_is_kept() {
    let home = folder();
    let supplied = GrayImage::from_fn(120, 90, |x, _| Luma([(255 - x) as u8]));
    supplied.save(home.path().join("base.png")).unwrap();
    let text = JOB
        .replace("width = \"30mm\"\n", "width = \"30mm\"\ntrim = [20, 10, 60, 45]\n")
        .replace("flash = true\n", "flash = true\nplate = \"base.png\"\n")
        .replace("[garment]", "make = [\"plates\"]\n[garment]");
    let out = home.path().join("out");
    run(&Job::parse("job.toml", &text, home.path(), None).unwrap(), &out).unwrap();
    let plate = image::open(out.join("plates/01-chalk.png")).unwrap().into_luma8();
    assert_eq!(plate.dimensions(), (60, 45));
    assert!(plate.enumerate_pixels().all(|(x, _, level)| u32::from(level.0[0]) == 255 - (x + 20)));
    let again = home.path().join("again");
    run(&Job::read(&out.join("job.toml")).unwrap(), &again).unwrap();
    for name in files(&out) {
        assert!(fs::read(out.join(&name)).unwrap() == fs::read(again.join(&name)).unwrap(), "{name}");
    }
}
