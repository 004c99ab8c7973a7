//! The examples as a stranger runs them: right answers, and wrong arguments that name the option, the value and what is
//! allowed, end with 2 and write nothing.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use image::{GrayImage, Luma, Rgb, RgbImage};

mod dots;
mod reports;

/// An example's program, which `cargo test` builds beside the tests' own.
fn program(name: &str) -> PathBuf {
    let tests = std::env::current_exe().unwrap();
    let folder = tests.parent().unwrap().parent().unwrap().join("examples");
    let path = folder.join(format!("{name}{}", std::env::consts::EXE_SUFFIX));
    assert!(path.exists(), "{} is not built: run all tests, or build the examples first", path.display());
    path
}

fn run(name: &str, folder: &Path, arguments: &[&str]) -> Output {
    Command::new(program(name)).args(arguments).current_dir(folder).output().unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

fn files(folder: &Path) -> Vec<String> {
    let names = fs::read_dir(folder).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap());
    let mut names: Vec<_> = names.collect();
    names.sort();
    names
}

/// A folder with a plate of a gradient and one in colour.
fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    GrayImage::from_fn(90, 60, |x, _| Luma([(x * 255 / 89) as u8])).save(at("plate.png")).unwrap();
    RgbImage::from_pixel(9, 6, Rgb([1, 2, 3])).save(at("colour.png")).unwrap();
    fs::write(at("wedge.csv"), "film,printed\n25,42\n50,72\n75,91\n").unwrap();
    fs::write(at("bad.csv"), "25,42\n50,oops\n").unwrap();
    // White ink on black, by density: half of it prints as 0.72 of the light.
    fs::write(at("density.csv"), "film,D\n0,1.40\n50,0.27\n100,0.13\n").unwrap();
    fs::write(at("lab.csv"), "0 95 0 0\n25 80 0 0\n50 60 0 0\n75 40 0 0\n100 20 0 0\n").unwrap();
    fs::write(at("flat.csv"), "0,0.30\n50,0.302\n100,0.305\n").unwrap();
    fs::write(at("text.png"), "not a picture").unwrap();
    folder
}

#[test]
fn a_plate_becomes_a_film_of_the_right_size_and_tone() {
    let folder = folder();
    let arguments = [
        "plate.png",
        "film.png",
        "--art-resolution",
        "300",
        "--resolution",
        "600x1200",
        "--lines",
        "18/cm",
        "--angle",
        "-22.5",
        "--dot",
        "ellipse:0.4,0.6",
        "--mode",
        "inverted",
        "--sampling",
        "linear",
    ];
    let output = run("screen_plate", folder.path(), &arguments);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let film = image::open(folder.path().join("film.png")).unwrap().into_luma8();
    assert_eq!(film.dimensions(), (180, 240));
    let ink = film.pixels().filter(|p| p.0[0] == 0).count() as f64 / (180.0 * 240.0);
    assert!((ink - 0.5).abs() < 0.02, "{ink}");
    let told = text(&output.stdout);
    assert!(told.contains("45.7") && told.contains("-22.5") && told.contains("180 x 240 px"), "{told}");
    assert!(told.contains(&format!("film {:.3} %", ink * 100.0)), "{told} {ink}");
}

#[test]
fn a_wedge_lightens_and_light_may_be_ink() {
    let folder = folder();
    let ink = |extra: &[&str]| {
        let mut arguments = vec!["plate.png", "film.pbm", "--art-resolution", "600", "--resolution", "600"];
        arguments.extend(extra);
        let output = run("screen_plate", folder.path(), &arguments);
        assert!(output.status.success(), "{}", text(&output.stderr));
        let bits = fs::read(folder.path().join("film.pbm")).unwrap();
        bits[b"P4\n90 60\n".len()..].iter().map(|b| b.count_ones()).sum::<u32>()
    };
    let plain = ink(&[]);
    assert!(f64::from(ink(&["--wedge", "wedge.csv"])) < 0.85 * f64::from(plain));
    assert!(f64::from(ink(&["--readings", "density.csv"])) < 0.85 * f64::from(plain));
    // Murray and Davies see more printed in the middle than a form with n, and than lightness does.
    let lab = |form| ink(&["--readings", "lab.csv", "--scale", "lab", "--form", form]);
    assert!(lab("murray-davies") < lab("yule-nielsen:2") && lab("yule-nielsen:2") < lab("spot"));
    // A gradient turned round has the same ink, to the tone of one column.
    assert!(plain.abs_diff(ink(&["--light-is-ink"])) < 200);
}

#[test]
fn wrong_arguments_are_named_and_nothing_is_written() {
    let folder = folder();
    let before = files(folder.path());
    let good = ["plate.png", "film.tif", "--art-resolution", "300"];
    for (change, expected) in [
        (&["--resolution", "0"][..], &["--resolution", "0", "100000"][..]),
        (&["--resolution", "12x"], &["--resolution", "12x", "720x1440"]),
        (&["--lines", "-4"], &["--lines", "-4", "0.1 to 10000"]),
        (&["--angle", "--mode"], &["--angle"]),
        (&["--lines", "NaN"], &["--lines", "NaN", "0.1 to 10000"]),
        (&["--lines", "900"], &["line count", "900", "at least 2 px"]),
        (&["--angle", "inf"], &["--angle", "inf", "finite"]),
        (&["--dot", "oval"], &["--dot", "oval", "euclidean"]),
        (&["--dot", "ellipse:0.7,0.2"], &["--dot", "0.7 and 0.2", "0.2 ≤ first"]),
        (&["--dot", "index:0"], &["index dot", "0 px", "1 to 256"]),
        (&["--dot", "index:many"], &["--dot", "index:many"]),
        (&["--mode", "negative"], &["--mode", "negative", "normal or inverted"]),
        (&["--sampling", "cubic"], &["--sampling", "cubic", "nearest or linear"]),
        (&["--wedge", "bad.csv"], &["bad.csv, line 2", "50,oops"]),
        (&["--wedge", "none.csv"], &["none.csv"]),
        (&["--readings", "none.csv"], &["none.csv"]),
        (&["--readings", "bad.csv"], &["bad.csv, line 2", "50,oops"]),
        (&["--readings", "wedge.csv"], &["wedge.csv, line 2", "density", "42"]),
        (&["--readings", "flat.csv"], &["flat.csv", "too little contrast", "0.02"]),
        (&["--readings", "density.csv", "--scale", "lab"], &["density.csv, line 2", "values of a reading"]),
        (&["--readings", "density.csv", "--form", "spot"], &["density.csv", "spot-colour", "Xyz or Lab"]),
        (&["--readings", "density.csv", "--scale", "dense"], &["--scale", "dense", "density, reflectance"]),
        (
            &["--readings", "density.csv", "--form", "yule-nielsen:0"],
            &["--form", "yule-nielsen:0", "1 to 1000"],
        ),
        (&["--readings", "density.csv", "--wedge", "wedge.csv"], &["--readings", "--wedge"]),
        (&["--scale", "lab"], &["--readings"]),
        (&["--art-resolution", "1e9"], &["--art-resolution", "1e9"]),
    ] {
        let mut arguments = good.to_vec();
        if change[0] == "--art-resolution" {
            arguments.truncate(2);
        }
        arguments.extend(change);
        let output = run("screen_plate", folder.path(), &arguments);
        let message = text(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{change:?}: {message}");
        for part in expected {
            assert!(message.contains(part), "{change:?}: no \"{part}\" in: {message}");
        }
        assert_eq!(files(folder.path()), before, "{change:?}");
    }
    for (arguments, expected) in [
        (&["plate.png", "film.tif"][..], "--art-resolution"),
        (&["colour.png", "film.tif", "--art-resolution", "300"], "colour.png"),
        (&["text.png", "film.tif", "--art-resolution", "300"], "neither a PNG nor a TIFF"),
        (&["none.png", "film.tif", "--art-resolution", "300"], "none.png"),
        (&["plate.png", "film.jpg", "--art-resolution", "300"], ".tif"),
        (&["plate.png", "no/film.tif", "--art-resolution", "300"], "film.tif"),
        (&["plate.png"], "FILM"),
    ] {
        let output = run("screen_plate", folder.path(), arguments);
        let message = text(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {message}");
        assert!(message.contains(expected), "{arguments:?}: {message}");
        assert_eq!(files(folder.path()), before, "{arguments:?}");
    }
}

/// A folder of flat plates of one size at 200 samples an inch: file name and tone.
fn plates(folder: &Path, plates: &[(&str, u8)], size: [usize; 2]) {
    fs::create_dir_all(folder).unwrap();
    for (name, tone) in plates {
        let plate = ndarray::Array2::from_elem((size[1], size[0]), *tone);
        let resolution = dotwright::Resolution::per_inch(200.0).unwrap();
        let (file, png) = (folder.join(name), dotwright::io::PlateFormat::Png);
        let go_on = &mut dotwright::bands::go_on;
        dotwright::io::write_grey(file, plate.view().into(), resolution, png, go_on).unwrap();
    }
}

#[test]
fn a_folder_of_plates_becomes_a_folder_of_films() {
    let folder = tempfile::tempdir().unwrap();
    plates(
        &folder.path().join("plates"),
        &[("10-black.png", 55), ("2-white.png", 195), ("03-sea.png", 95)],
        [120, 90],
    );
    let output = run("art_to_film", folder.path(), &["plates", "--out", "out"]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let out = folder.path().join("out");
    assert_eq!(
        files(&out),
        ["dots.png", "films", "job.toml", "plates", "proof.png", "report.html", "sheets"]
    );
    let names = ["01-white", "02-sea", "03-black"];
    assert_eq!(files(&out.join("films")), names.map(|name| format!("{name}.tif")));
    assert_eq!(files(&out.join("plates")), names.map(|name| format!("{name}.png")));
    assert_eq!(files(&out.join("sheets")).len(), 6);
    let told = text(&output.stdout);
    let black = told.lines().find(|l| l.starts_with("black")).unwrap();
    assert!(black.contains("inverted") && black.contains("720 x 540 px"), "{told}");
    assert_eq!(told.matches(" normal ").count(), 2, "{told}");

    // What was used is a job by itself.
    let output = run("art_to_film", folder.path(), &["--job", "out/job.toml", "--out", "again"]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    for name in names {
        let film = |folder: &Path| fs::read(folder.join(format!("films/{name}.tif"))).unwrap();
        assert!(film(&out) == film(&folder.path().join("again")), "{name}");
    }
}

#[test]
fn a_job_is_checked_before_anything_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    plates(&at("plates"), &[("1-white.png", 90), ("2-sea.png", 90)], [60, 60]);
    fs::create_dir(at("empty")).unwrap();
    fs::write(at("text.png"), "no picture").unwrap();
    fs::write(at("bad.toml"), "plates = \"plates\"\nlines = 45\n[screen]\nangle = \"steep\"\n").unwrap();
    let before = files(folder.path());
    let refused = |arguments: &[&str], expected: &[&str]| {
        let output = run("art_to_film", folder.path(), &[arguments, &["--out", "new"]].concat());
        let message = text(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {message}");
        for part in expected {
            assert!(message.contains(part), "{arguments:?}: no \"{part}\" in: {message}");
        }
        assert_eq!(files(folder.path()), before, "{arguments:?}: something was written");
    };
    refused(&["nothing.png"], &["nothing.png"]);
    refused(&["text.png"], &["text.png"]);
    refused(&["empty"], &["empty", "no plates in it"]);
    refused(&["--job", "none.toml"], &["none.toml"]);
    refused(
        &["--job", "bad.toml"],
        &["line 1: [garment] is missing", "line 2: unknown key \"lines\"", "line 4: angle"],
    );
    refused(&["plates", "--lines", "45"], &["--lines"]);
    refused(&["plates", "plates"], &["plates"]);

    let second = |name: &str, size: [usize; 2]| plates(&at("plates"), &[(name, 90)], size);
    second("3-sea.png", [60, 60]);
    refused(&["plates"], &["3-sea.png: a second plate for the ink sea"]);
    fs::remove_file(at("plates/3-sea.png")).unwrap();
    second("3-sky.png", [40, 60]);
    refused(&["plates"], &["3-sky.png: 40 x 60 pixels, but the first plate has 60 x 60"]);
    fs::write(at("plates/3-sky.png"), "no picture").unwrap();
    refused(&["plates"], &["3-sky.png"]);
    fs::remove_file(at("plates/3-sky.png")).unwrap();
    fs::write(at("plates/inks.csv"), "white,#ffffff\nsea,wet\n").unwrap();
    refused(&["plates"], &["inks.csv, line 2", "sea,wet"]);
}

#[test]
fn a_plate_is_never_its_own_film() {
    let folder = folder();
    let plate = fs::read(folder.path().join("plate.png")).unwrap();
    let output = run("screen_plate", folder.path(), &["plate.png", "./plate.png", "--art-resolution", "300"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("another file than the plate's"));
    assert_eq!(fs::read(folder.path().join("plate.png")).unwrap(), plate);
}

/// The numbers of a column of a table in text, by its heading.
fn column(table: &str, heading: &str) -> Vec<String> {
    let mut lines = table.lines().filter(|line| !line.starts_with('#'));
    let at = lines.next().unwrap().split(',').position(|h| h == heading).unwrap();
    lines.map(|line| line.split(',').nth(at).unwrap().to_owned()).collect()
}

fn numbers(table: &str, heading: &str) -> Vec<f64> {
    column(table, heading).iter().map(|cell| cell.parse().unwrap()).collect()
}
