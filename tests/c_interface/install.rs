//! The installed library: pkg-config, static links, CMake.

use std::fs;
use std::path::Path;
use std::process::Command;
use std::sync::OnceLock;

use tempfile::TempDir;

use crate::tools::*;

/// The library installed into a folder, as a packager does it.
fn installed() -> Option<&'static Path> {
    static PREFIX: OnceLock<Option<TempDir>> = OnceLock::new();
    let prefix = PREFIX.get_or_init(|| {
        if !there("make", "--version") || !there("pkg-config", "--version") {
            return None;
        }
        library();
        let prefix = tempfile::tempdir().unwrap();
        let mut make = Command::new("make");
        make.arg("-C").arg(root().join("examples/c")).arg("install");
        make.arg(format!("PREFIX={}", prefix.path().display())).arg(format!("CARGO={}", env!("CARGO")));
        // A `make` that runs cargo that runs this must not lend its own options to another.
        make.env("CARGO_TARGET_DIR", target()).env_remove("MAKEFLAGS").env_remove("CARGO_MAKEFLAGS");
        run(&mut make);
        Some(prefix)
    });
    prefix.as_ref().map(TempDir::path)
}

fn pkg_config(prefix: &Path, arguments: &[&str]) -> Vec<String> {
    let mut command = Command::new("pkg-config");
    command.args(arguments).arg("dotwright").env("PKG_CONFIG_PATH", prefix.join("lib/pkgconfig"));
    run(&mut command).split_whitespace().map(str::to_owned).collect()
}

#[test]
fn an_installed_library_serves_through_pkg_config() {
    let Some(prefix) = installed() else { return };
    let (lib, folder) = (prefix.join("lib"), tempfile::tempdir().unwrap());
    assert_eq!(pkg_config(prefix, &["--modversion"]), [env!("CARGO_PKG_VERSION")]);
    for name in [&soname(), "libdotwright.so", concat!("libdotwright.so.", env!("CARGO_PKG_VERSION"))] {
        assert!(lib.join(name).exists(), "{name}");
    }
    let flags = pkg_config(prefix, &["--cflags", "--libs"]);
    for (compiler, standard, source) in [("gcc", "c99", "embed.c"), ("g++", "c++17", "embed.cpp")] {
        if !there(compiler, "--version") {
            continue;
        }
        let program = folder.path().join(format!("{compiler}-embed"));
        let mut command = Command::new(compiler);
        command.arg(format!("-std={standard}")).arg(root().join("examples/c").join(source));
        run(command.args(&flags).arg("-o").arg(&program));
        // The loader finds it by its soname alone.
        run(Command::new(&program)
            .arg("film.png")
            .current_dir(&folder)
            .env("LD_LIBRARY_PATH", only(&lib, &soname()).path()));
        if there("readelf", "--version") {
            let needed = run(Command::new("readelf").arg("-d").arg(program));
            assert!(needed.contains(&format!("[{}]", soname())), "{needed}");
        }
    }
}

/// A folder that holds one file of another and nothing else.
fn only(folder: &Path, name: &str) -> TempDir {
    let alone = tempfile::tempdir().unwrap();
    fs::copy(folder.join(name), alone.path().join(name)).unwrap();
    alone
}

/// What `Libs.private` states is enough, for programs that are static as a whole and for those in which the library alone is.
#[test]
fn the_static_library_links_with_the_libraries_stated() {
    let Some(prefix) = installed() else { return };
    let folder = tempfile::tempdir().unwrap();
    let archive = only(&prefix.join("lib"), "libdotwright.a");
    let include = pkg_config(prefix, &["--cflags"]);
    let stated = pkg_config(prefix, &["--static", "--libs-only-l"]);
    assert!(stated.len() > 1 && stated[0] == "-ldotwright", "{stated:?}");
    for (compiler, _) in compilers() {
        for whole in [false, true] {
            let program = folder.path().join("embed");
            let mut command = Command::new(compiler);
            command.arg("-std=c99").args(whole.then_some("-static")).arg(root().join("examples/c/embed.c"));
            command.args(&include).arg(format!("-L{}", archive.path().display())).args(&stated);
            run(command.arg("-o").arg(&program));
            run(Command::new(&program).arg("film.tif").current_dir(&folder));
            if there("readelf", "--version") {
                let needed = run(Command::new("readelf").arg("-d").arg(&program));
                assert!(!needed.contains("dotwright") && whole != needed.contains("libc.so"), "{needed}");
            }
        }
    }
}

#[test]
fn cmake_builds_the_clients() {
    let Some(prefix) = installed() else { return };
    if !there("cmake", "--version") {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let mut command = Command::new("cmake");
    command.arg("-S").arg(root().join("examples/c")).arg("-B").arg(folder.path());
    run(command.env("PKG_CONFIG_PATH", prefix.join("lib/pkgconfig")));
    run(Command::new("cmake").arg("--build").arg(folder.path()));
    let told = run(Command::new("ctest").arg("--output-on-failure").current_dir(&folder));
    assert!(told.contains("100% tests passed, 0 tests failed out of 3"), "{told}");
}
