//! The C interface as C, C++ and Python see it: the header, the library's symbols, clients, bad calls, threads, and films that are
//! those of the Rust library.
//!
//! The library is built once, into a folder of its own. A tool that is missing is told on standard error with a line that begins
//! with SKIPPED, which `.ci/run` takes as a failure.
#![cfg(target_os = "linux")]

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::{Mutex, OnceLock};

use dotwright::screen::{Growth, Request};
use dotwright::tone::wedge::{Reading, press_curve};
use dotwright::{Angle, Curve, Dot, Length, LineCount, Mode, Placed, Plate, Resolution, Sampling, Screen};
use ndarray::{Array2, s};
use tempfile::TempDir;

const STRICT: [&str; 5] = ["-Wall", "-Wextra", "-Wpedantic", "-Werror", "-Wredundant-decls"];
const SANITIZED: [&str; 3] = ["-g", "-fsanitize=address,undefined", "-fno-sanitize-recover=all"];
/// A leak counts where nothing points at it any more; pools of threads that live as long as the process do not.
const VALGRIND: [&str; 5] = [
    "-q",
    "--leak-check=full",
    "--show-leak-kinds=definite",
    "--errors-for-leak-kinds=definite",
    "--error-exitcode=9",
];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Where the library is built: beside the folder that cargo keeps for tests, out of the way of the build that runs now.
fn target() -> PathBuf {
    Path::new(env!("CARGO_TARGET_TMPDIR")).parent().unwrap().join("c-interface")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// Runs a command to its end and hands back what it wrote; panics with all of it where it fails.
fn run(command: &mut Command) -> String {
    let Output { status, stdout, stderr } = command.output().unwrap_or_else(|e| panic!("{command:?}: {e}"));
    assert!(status.success(), "{command:?}: {status}\n{}\n{}", text(&stdout), text(&stderr));
    text(&stdout)
}

/// Whether a program is there; if not, that is said once, past the test harness, which keeps the prints of tests that pass.
fn there(program: &str, argument: &str) -> bool {
    static KNOWN: Mutex<BTreeMap<String, bool>> = Mutex::new(BTreeMap::new());
    let mut known = KNOWN.lock().unwrap();
    *known.entry(format!("{program} {argument}")).or_insert_with(|| {
        let there = Command::new(program).arg(argument).output().is_ok_and(|o| o.status.success());
        if !there {
            skipped(&format!("{program} is not there"));
        }
        there
    })
}

fn skipped(why: &str) {
    let _ = std::io::stderr().write_all(format!("SKIPPED: {why}\n").as_bytes());
}

fn compilers() -> impl Iterator<Item = (&'static str, &'static str)> {
    [("gcc", "g++"), ("clang", "clang++")]
        .into_iter()
        .filter(|pair| there(pair.0, "--version") && there(pair.1, "--version"))
}

/// The name that programs ask the loader for, as examples/c/Makefile makes it.
fn soname() -> String {
    match env!("CARGO_PKG_VERSION_MAJOR") {
        "0" => concat!("libdotwright.so.0.", env!("CARGO_PKG_VERSION_MINOR")).to_owned(),
        major => format!("libdotwright.so.{major}"),
    }
}

/// Builds a crate into the folder of the C interface, with a cargo that knows nothing of the one that runs the tests.
fn cargo(folder: &Path) -> Command {
    let mut cargo = Command::new(env!("CARGO"));
    cargo.current_dir(folder).env("CARGO_TARGET_DIR", target()).env_remove("CARGO_MAKEFLAGS");
    cargo
}

/// The folder of the built library.
fn library() -> &'static Path {
    static FOLDER: OnceLock<PathBuf> = OnceLock::new();
    FOLDER.get_or_init(|| {
        let soname = soname();
        // The same words as in examples/c/Makefile, so that `make` finds everything done.
        let words =
            "rustc --release --lib --features capi --crate-type cdylib,staticlib -- -C link-arg=-Wl,-soname,";
        let mut words: Vec<_> = words.split(' ').map(str::to_owned).collect();
        words.last_mut().unwrap().push_str(&soname);
        run(cargo(root()).args(words));
        let folder = target().join("release");
        // Each run links anew, beside and then over the old link, so that two runs may meet.
        let fresh = folder.join(format!("{soname}.{}", std::process::id()));
        std::os::unix::fs::symlink("libdotwright.so", &fresh).unwrap();
        fs::rename(fresh, folder.join(soname)).unwrap();
        folder
    })
}

/// Compiles a program of tests/c or examples/c against the built library.
fn compile(compiler: &str, flags: &[&str], source: &str, folder: &Path) -> PathBuf {
    let program = folder.join(Path::new(source).file_stem().unwrap());
    let library = library().display();
    let mut command = Command::new(compiler);
    command.args(flags).arg(root().join(source)).arg("-I").arg(root().join("include"));
    command.arg("-o").arg(&program).arg("-ffp-contract=off");
    command.arg(format!("-L{library}")).arg(format!("-Wl,-rpath,{library}")).args([
        "-ldotwright",
        "-lm",
        "-lpthread",
    ]);
    run(&mut command);
    program
}

/// Whether programs can be built and run under the sanitizers; without them or the compiler, that is said once.
fn sanitizers() -> bool {
    static THERE: OnceLock<bool> = OnceLock::new();
    *THERE.get_or_init(|| {
        let folder = tempfile::tempdir().unwrap();
        let source = folder.path().join("empty.c");
        fs::write(&source, "int main(void) { return 0; }\n").unwrap();
        let program = folder.path().join("empty");
        let built = Command::new("gcc").args(SANITIZED).arg(&source).arg("-o").arg(&program).output();
        let there = built.is_ok_and(|o| o.status.success())
            && Command::new(program).output().is_ok_and(|o| o.status.success());
        if !there {
            skipped("gcc makes no programs with AddressSanitizer and UndefinedBehaviorSanitizer here");
        }
        there
    })
}

/// Runs a program as it is from each compiler, under the sanitizers, and under Valgrind; `look` sees what each run wrote.
fn every_way(source: &str, arguments: &[&str], look: impl Fn(&Path, &str)) {
    let fresh = || {
        let folder = tempfile::tempdir().unwrap();
        fs::create_dir(folder.path().join("folder")).unwrap();
        folder
    };
    let flags = [&["-std=c99", "-O1"], &STRICT[..]].concat();
    for (compiler, _) in compilers() {
        let folder = fresh();
        let program = compile(compiler, &flags, source, folder.path());
        let told = run(Command::new(&program).args(arguments).current_dir(&folder));
        look(folder.path(), &told);
        if compiler == "gcc" && there("valgrind", "--version") {
            let folder = fresh();
            let mut command = Command::new("valgrind");
            look(
                folder.path(),
                &run(command.args(VALGRIND).arg(program).args(arguments).current_dir(&folder)),
            );
        }
    }
    if sanitizers() {
        let folder = fresh();
        let program = compile("gcc", &[&flags, &SANITIZED[..]].concat(), source, folder.path());
        look(folder.path(), &run(Command::new(program).args(arguments).current_dir(&folder)));
    }
}

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
fn layouts_and_versions_agree() {
    every_way("tests/c/layout.c", &[], |_, _| {});
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

#[test]
fn bad_calls_are_refused() {
    every_way("tests/c/bad_calls.c", &["."], |folder, told| {
        let refused: usize = told.split(' ').next().unwrap().parse().unwrap();
        assert!(refused >= 350, "{told}");
        let left: Vec<_> = fs::read_dir(folder).unwrap().map(|e| e.unwrap().file_name()).collect();
        assert!(left.iter().all(|name| name == "bad_calls" || name == "folder"), "{left:?}");
    });
}

#[test]
fn eight_threads_use_one_screen() {
    every_way("tests/c/threads.c", &[], |_, _| {});
}

/// Random whole numbers, the same in every run (the splitmix64 generator).
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ self.0 >> 30).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ z >> 27).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ z >> 31
    }

    fn below(&mut self, n: usize) -> usize {
        (self.next() % n as u64) as usize
    }

    fn pick<T: Copy>(&mut self, of: &[T]) -> T {
        of[self.below(of.len())]
    }

    /// A number of 0…1 with few digits.
    fn part(&mut self) -> f64 {
        self.below(1001) as f64 / 1000.0
    }
}

/// A plate's samples: `stride` of them from row to row, of which `width` count.
enum Samples {
    U8(Array2<u8>),
    U16(Array2<u16>),
    F32(Array2<f32>),
}

impl Samples {
    fn roll(dice: &mut Dice, height: usize, stride: usize) -> Self {
        let shape = (height, stride);
        match dice.below(3) {
            0 => Self::U8(Array2::from_shape_simple_fn(shape, || dice.next() as u8)),
            1 => Self::U16(Array2::from_shape_simple_fn(shape, || dice.next() as u16)),
            _ => Self::F32(Array2::from_shape_simple_fn(shape, || {
                let part = dice.part() as f32;
                dice.pick(&[0.0, 0.25, 1.0, -0.5, 1.5, f32::NAN, f32::INFINITY, part, part, part])
            })),
        }
    }

    /// What C calls the type, its size, and the samples as bytes.
    fn for_c(&self) -> (u32, usize, Vec<u8>) {
        match self {
            Self::U8(a) => (0, 1, a.iter().copied().collect()),
            Self::U16(a) => (1, 2, a.iter().flat_map(|s| s.to_ne_bytes()).collect()),
            Self::F32(a) => (2, 4, a.iter().flat_map(|s| s.to_ne_bytes()).collect()),
        }
    }

    fn plate(&self, width: usize) -> Plate<'_> {
        match self {
            Self::U8(a) => a.slice(s![.., ..width]).into(),
            Self::U16(a) => a.slice(s![.., ..width]).into(),
            Self::F32(a) => a.slice(s![.., ..width]).into(),
        }
    }
}

/// A curve, and the numbers from which tests/c/job.c makes the same.
fn roll_curve(dice: &mut Dice) -> (Option<Curve>, String) {
    let count = 2 + dice.below(6);
    let mut outputs: Vec<_> = (0..count).map(|_| dice.part()).collect();
    outputs.sort_by(f64::total_cmp);
    outputs[0] = 0.0;
    let points: Vec<_> = (0..count).map(|i| i as f64 / (count - 1) as f64).zip(outputs).collect();
    let kind = dice.below(4);
    let curve = match kind {
        0 => None,
        1 => Some(Curve::through(&points).unwrap()),
        2 if count > 2 => {
            let readings: Vec<_> = points.iter().map(|&(film, printed)| Reading { film, printed }).collect();
            let press = press_curve(&readings).unwrap();
            Some(Curve::compensation(&press, Some(&press)))
        }
        2 => return (None, "0 0".to_owned()),
        _ => {
            let first = Curve::through(&points).unwrap();
            Some(first.then(&first.inverse()).then(&first))
        }
    };
    let mut numbers = format!("{kind} {count}");
    for (x, y) in points {
        write!(numbers, " {x} {y}").unwrap();
    }
    (curve, numbers)
}

/// A pattern, and the words from which tests/c/job.c makes the same.
fn roll_pattern(
    dice: &mut Dice,
    job: usize,
    resolution: Resolution,
    lines: LineCount,
    angle: Angle,
) -> (Request, String) {
    let cells = |dot| Screen::cells(resolution, lines, angle, dot);
    match job % 12 {
        // Index dots take a second to be put in order, so there are fewer of them.
        0 if job < 24 => (Screen::index(resolution, 3), "index 3 0".to_owned()),
        1 if job < 24 => (Screen::index_pitch(resolution, 150.0), "pitch 150 0".to_owned()),
        2 if job < 12 => (Screen::index_cells(resolution, lines, angle), "cells 0 0".to_owned()),
        3 => {
            let (width, height) = (1 + dice.below(40), 1 + dice.below(40));
            let array = Array2::from_shape_fn((height, width), |(y, x)| ((x * 13 + y * 29) % 17) as u32);
            (Screen::array(array.view()).unwrap(), format!("array {width} {height}"))
        }
        4 | 5 => {
            let (first, second) = (0.2 + 0.3 * dice.part(), 0.5 + 0.3 * dice.part());
            (cells(Dot::ellipse(first, second).unwrap()), format!("ellipse {first} {second}"))
        }
        6 | 7 => (cells(Dot::custom(|x, y| x - 0.3 * y * y)), "spot 0 0".to_owned()),
        _ => {
            let kind = dice.below(6);
            let ellipse = Dot::ellipse(0.4, 0.6).unwrap();
            let dots = [Dot::Round, Dot::Euclidean, ellipse, Dot::Line, Dot::Diamond, Dot::Square];
            (cells(dots[kind].clone()), format!("dot {kind} 0"))
        }
    }
}

/// Films, film files, thresholds and tellings of random jobs, made by a C program and by the Rust library.
#[test]
fn films_through_c_are_those_of_rust() {
    let Some((compiler, _)) = compilers().next() else { return };
    let folder = tempfile::tempdir().unwrap();
    let program =
        compile(compiler, &[&["-std=c99", "-O2"], &STRICT[..]].concat(), "tests/c/job.c", folder.path());
    let sanitized = sanitizers().then(|| {
        let other = folder.path().join("sanitized");
        fs::create_dir(&other).unwrap();
        compile("gcc", &[&["-std=c99"], &SANITIZED[..]].concat(), "tests/c/job.c", &other)
    });
    let names = ["job.txt", "samples.bin", "film.pbm", "written.pbm", "thresholds.bin"];
    let mut dice = Dice(3);
    for job in 0..60 {
        let (width, height) = (1 + dice.below(300), 1 + dice.below(90));
        let stride = width + dice.pick(&[0, 0, 1, 7]);
        let samples = Samples::roll(&mut dice, height, stride);
        let (sample, size, bytes) = samples.for_c();
        let (x, y) = (dice.pick(&[600.0, 720.0, 1200.0]), dice.pick(&[600.0, 1440.0, 1200.0]));
        let resolution = Resolution::per_inch_xy(x, y).unwrap();
        let own = dice.pick(&[0.0, 0.0, 300.0, 433.5, 1200.0]);
        let sampling = dice.below(2);
        let placed = if own == 0.0 {
            Placed::new(samples.plate(width))
        } else {
            let kind = [Sampling::Nearest, Sampling::Linear][sampling];
            let own = Resolution::per_inch(own).unwrap();
            Placed::resampled(samples.plate(width), own, resolution, kind).unwrap()
        };
        let origin = [0, 0, -1, 12_345, -9_876_543, 1 << 40, -(1 << 52)];
        let at = (dice.pick(&origin), dice.pick(&origin));
        let placed = placed.at(at.0, at.1);

        let (lines, degrees) = (20.0 + 60.0 * dice.part(), 200.0 * dice.part() - 100.0);
        let (lines_given, angle) = (LineCount::per_inch(lines).unwrap(), Angle::degrees(degrees).unwrap());
        let (request, pattern) = roll_pattern(&mut dice, job, resolution, lines_given, angle);
        let (curve, points) = roll_curve(&mut dice);
        let mode = dice.below(2);
        let request = request.mode([Mode::Normal, Mode::Inverted][mode]);
        let request = curve.iter().fold(request, |request, curve| request.curve(curve));
        // Now and then straight growth, now and then a mesh that holds no small dots, never both.
        let (straight, held) = (job % 5 == 1, job % 5 == 3);
        let (dot, hole, both) =
            if held { (30.0 + 40.0 * dice.part(), 60.0, dice.below(2)) } else { (0.0, 0.0, 0) };
        let request = if straight { request.growth(Growth::Straight) } else { request };
        let sizes = (Length::um(dot).unwrap(), Length::um(hole).unwrap());
        let request = match (held, both) {
            (false, _) => request,
            (true, 0) => request.smallest(sizes.0, sizes.1),
            (true, _) => request.smallest_in_both_modes(sizes.0, sizes.1),
        };
        let screen = request.build().unwrap();
        let film = screen.film(placed).unwrap();

        let film_resolution = if own == 0.0 { [0.0, 0.0] } else { [x, y] };
        let words = format!(
            "{sample} {sampling} {width} {height} {} {own} {own} {} {} {} {}\n\
             {x} {y} {lines} {degrees} {mode}\n{pattern}\n{} {dot} {hole} {both}\n{points}\n{} {} {}\n",
            stride * size,
            film_resolution[0],
            film_resolution[1],
            at.0,
            at.1,
            u8::from(straight),
            dice.below(5),
            1 + dice.below(film.height()),
            dice.below(2),
        );
        fs::write(folder.path().join(names[0]), &words).unwrap();
        fs::write(folder.path().join(names[1]), bytes).unwrap();
        // Some under the sanitizers, which take their time.
        let program = sanitized.as_ref().filter(|_| job % 4 == 0).unwrap_or(&program);
        let told = run(Command::new(program).args(names).current_dir(&folder));

        let mut expected = format!("P4\n{} {}\n", film.width(), film.height()).into_bytes();
        expected.extend(film.bits());
        for name in &names[2..4] {
            let made = fs::read(folder.path().join(name)).unwrap();
            assert!(made == expected, "job {job}, {name} is not the film of the Rust library:\n{words}");
        }
        let mut thresholds: Vec<u8> = screen.thresholds_u8().iter().copied().collect();
        thresholds.extend(screen.thresholds_u16().iter().flat_map(|t| t.to_ne_bytes()));
        thresholds.extend(screen.type16().bytes);
        let made = fs::read(folder.path().join(names[4])).unwrap();
        assert!(made == thresholds, "job {job}: thresholds differ:\n{words}");

        let told: Vec<f64> = told.split_whitespace().map(|number| number.parse().unwrap()).collect();
        let (lattice, tiling) = (screen.lattice(), screen.tiling());
        let index = screen.index_pixels();
        let expected = [
            lattice.map_or(0.0, |l| l.lines_per_inch()),
            lattice.map_or(0.0, |l| l.degrees()),
            lattice.map_or(0.0, |l| l.cells() as f64),
            tiling.width as f64,
            tiling.height as f64,
            tiling.shift as f64,
            index[0] as f64,
            index[1] as f64,
        ];
        assert_eq!(told, expected, "job {job}:\n{words}");
    }
}
