//! The clients of examples/, as a stranger runs them.

use std::fs;
use std::path::Path;
use std::process::Command;

use crate::tools::*;

/// The file is a picture of that size. (T.6, which `image` does not read, has tests of its own.)
fn is_a_film(file: &Path, width: u32, height: u32) {
    if file.extension().is_some_and(|e| e == "tif") {
        let bytes = fs::read(file).unwrap();
        assert!(
            bytes.starts_with(b"II*\0") && bytes.len() > 10_000,
            "{}: {} bytes",
            file.display(),
            bytes.len()
        );
    } else {
        assert_eq!(image::image_dimensions(file).unwrap(), (width, height), "{}", file.display());
    }
}

#[test]
fn the_c_client_makes_a_film() {
    every_way("examples/c/embed.c", &["film.tif"], |folder, told| {
        assert!(told.contains("2400 x 3600 px") && told.ends_with("100 %\n"), "{told}");
        assert!(told.contains("prints 50 % as 67.") && told.contains("5.08 threads a line"), "{told}");
        is_a_film(&folder.join("film.tif"), 2400, 3600);
    });
}

#[test]
fn the_c_client_stops_half_way_and_leaves_nothing() {
    every_way("examples/c/embed.c", &["--cancel", "film.tif"], |folder, told| {
        assert!(told.ends_with("cancelled; no file is left\n") && !told.contains("100 %"), "{told}");
        let left: Vec<_> = fs::read_dir(folder).unwrap().map(|e| e.unwrap().file_name()).collect();
        assert!(left.iter().all(|name| name == "embed" || name == "folder"), "{left:?}");
    });
}

#[test]
fn the_cpp_client_makes_a_film() {
    let flags = [&["-std=c++17", "-O1"], &STRICT[..]].concat();
    let sanitized = [&flags, &SANITIZED[..]].concat();
    let mut ways: Vec<_> = compilers().map(|(_, compiler)| (compiler, &flags)).collect();
    if sanitizers() && there("g++", "--version") {
        ways.push(("g++", &sanitized));
    }
    for (compiler, flags) in ways {
        let folder = tempfile::tempdir().unwrap();
        let program = compile(compiler, flags, "examples/c/embed.cpp", folder.path());
        let told = run(Command::new(program).arg("film.png").current_dir(&folder));
        assert!(told.contains(" 0 overlaps") && told.contains("refused: "), "{told}");
        is_a_film(&folder.path().join("film.png"), 1200, 600);
    }
}

#[test]
fn the_python_client_makes_a_film() {
    if !there("python3", "--version") {
        return;
    }
    if !Command::new("python3").args(["-c", "import numpy"]).output().unwrap().status.success() {
        return skipped("the Python client needs numpy");
    }
    let folder = tempfile::tempdir().unwrap();
    let client = root().join("examples/python/embed.py");
    let told = run(Command::new("python3")
        .arg(&client)
        .arg(library().join("libdotwright.so"))
        .arg("film.png")
        .current_dir(&folder));
    assert!(told.contains("600 of 600 rows") && told.contains("refused: line count is NaN"), "{told}");
    is_a_film(&folder.path().join("film.png"), 800, 600);
    let told = run(Command::new("python3").arg(&client).env("DOTWRIGHT_LIB", library().join(soname())));
    assert!(told.starts_with("800 x 600 px"), "{told}");
}
