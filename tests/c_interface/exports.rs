//! The header alone, and what the library offers to others.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::Command;

use crate::tools::*;

/// The functions that the header declares.
fn declared() -> BTreeSet<String> {
    let header = fs::read_to_string(root().join("include/dotwright.h")).unwrap();
    let starts = ["dw_status ", "void ", "uint32_t ", "const char *"];
    let names = header.lines().filter_map(|line| {
        let rest = starts.iter().find_map(|start| line.strip_prefix(start))?;
        Some(rest.split_once('(')?.0.to_owned())
    });
    names.collect()
}

/// What a shared library offers to others.
fn exported(library: &Path) -> BTreeSet<String> {
    let told = run(Command::new("nm").args(["-D", "--defined-only"]).arg(library));
    told.lines().map(|line| line.split_whitespace().last().unwrap().to_owned()).collect()
}

#[test]
fn the_header_stands_alone_in_c_and_cpp() {
    let folder = tempfile::tempdir().unwrap();
    let only = "#include <dotwright.h>\n#include <dotwright.h>\n";
    for name in ["only.c", "only.cpp"] {
        fs::write(folder.path().join(name), only).unwrap();
    }
    for (c, cpp) in compilers() {
        for (compiler, name, standards) in
            [(c, "only.c", ["c99", "c11"].as_slice()), (cpp, "only.cpp", &["c++11", "c++17"])]
        {
            for standard in standards {
                let mut command = Command::new(compiler);
                command.arg(format!("-std={standard}")).args(STRICT).args([
                    "-Wconversion",
                    "-Wundef",
                    "-fsyntax-only",
                ]);
                run(command.arg("-I").arg(root().join("include")).arg(folder.path().join(name)));
            }
        }
    }
}

#[test]
fn the_readme_s_c_compiles() {
    let readme = fs::read_to_string(root().join("README.md")).unwrap();
    let lines = readme.split_once("```c\n").unwrap().1.split_once("```").unwrap().0;
    let folder = tempfile::tempdir().unwrap();
    let source = format!(
        "#include <dotwright.h>\n#include <stdio.h>\n\
         void run(const uint8_t *samples, size_t stride, size_t width, size_t height, uint8_t *bits,\n\
         size_t film_stride);\n\
         void run(const uint8_t *samples, size_t stride, size_t width, size_t height, uint8_t *bits,\n\
         size_t film_stride)\n{{\n{lines}}}\n"
    );
    let file = folder.path().join("readme.c");
    fs::write(&file, source).unwrap();
    for (compiler, _) in compilers() {
        let mut command = Command::new(compiler);
        command.arg("-std=c99").args(STRICT).arg("-fsyntax-only").arg("-I").arg(root().join("include"));
        run(command.arg(&file));
    }
}

#[test]
fn the_library_exports_what_the_header_declares_and_nothing_else() {
    if there("nm", "--version") {
        let declared = declared();
        assert!(declared.len() >= 40, "{declared:?}");
        assert_eq!(exported(&library().join("libdotwright.so")), declared);
    }
}

/// A Rust crate's own C library must not offer ours to the world: without `capi` the functions are not there at all.
#[test]
fn a_dependants_library_exports_none_of_it() {
    if !there("nm", "--version") {
        return;
    }
    library(); // its dependencies serve here too
    let folder = tempfile::tempdir().unwrap();
    let manifest = format!(
        "[package]\nname = \"dependant\"\nversion = \"0.1.0\"\nedition = \"2024\"\n\n\
         [lib]\ncrate-type = [\"cdylib\"]\n\n\
         [dependencies]\ndotwright = {{ path = {:?} }}\n\n[profile.release]\ndebug = \"line-tables-only\"\n",
        root()
    );
    let source = "#[unsafe(no_mangle)]\npub extern \"C\" fn own_lines() -> f64 {\n    \
                  dotwright::LineCount::per_cm(18.0).map_or(0.0, |lines| lines.to_per_inch())\n}\n";
    fs::create_dir(folder.path().join("src")).unwrap();
    fs::write(folder.path().join("Cargo.toml"), manifest).unwrap();
    fs::write(folder.path().join("src/lib.rs"), source).unwrap();
    // The versions that are there already.
    fs::copy(root().join("Cargo.lock"), folder.path().join("Cargo.lock")).unwrap();
    run(cargo(folder.path()).args(["build", "--release", "--offline"]));
    let exported = exported(&target().join("release/libdependant.so"));
    assert_eq!(exported, BTreeSet::from(["own_lines".to_owned()]));
}
