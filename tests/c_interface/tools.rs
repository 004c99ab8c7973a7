//! What the tests of the C interface share: the library built once, programs compiled against it and run in every way that this
//! machine has.

use std::collections::BTreeMap;
use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::{Mutex, OnceLock};

pub const STRICT: [&str; 5] = ["-Wall", "-Wextra", "-Wpedantic", "-Werror", "-Wredundant-decls"];
pub const SANITIZED: [&str; 3] = ["-g", "-fsanitize=address,undefined", "-fno-sanitize-recover=all"];
/// A leak counts where nothing points at it any more; pools of threads that live as long as the process do not.
const VALGRIND: [&str; 5] = [
    "-q",
    "--leak-check=full",
    "--show-leak-kinds=definite",
    "--errors-for-leak-kinds=definite",
    "--error-exitcode=9",
];

pub fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Where the library is built: beside the folder that cargo keeps for tests, out of the way of the build that runs now.
pub fn target() -> PathBuf {
    Path::new(env!("CARGO_TARGET_TMPDIR")).parent().unwrap().join("c-interface")
}

pub fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// Runs a command to its end and hands back what it wrote; panics with all of it where it fails.
pub fn run(command: &mut Command) -> String {
    let Output { status, stdout, stderr } = command.output().unwrap_or_else(|e| panic!("{command:?}: {e}"));
    assert!(status.success(), "{command:?}: {status}\n{}\n{}", text(&stdout), text(&stderr));
    text(&stdout)
}

/// Whether a program is there; if not, that is said once, past the test harness, which keeps the prints of tests that pass.
pub fn there(program: &str, argument: &str) -> bool {
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

pub fn skipped(why: &str) {
    let _ = std::io::stderr().write_all(format!("SKIPPED: {why}\n").as_bytes());
}

pub fn compilers() -> impl Iterator<Item = (&'static str, &'static str)> {
    [("gcc", "g++"), ("clang", "clang++")]
        .into_iter()
        .filter(|pair| there(pair.0, "--version") && there(pair.1, "--version"))
}

/// The name that programs ask the loader for, as examples/c/Makefile makes it.
pub fn soname() -> String {
    match env!("CARGO_PKG_VERSION_MAJOR") {
        "0" => concat!("libdotwright.so.0.", env!("CARGO_PKG_VERSION_MINOR")).to_owned(),
        major => format!("libdotwright.so.{major}"),
    }
}

/// Builds a crate into the folder of the C interface, with a cargo that knows nothing of the one that runs the tests.
pub fn cargo(folder: &Path) -> Command {
    let mut cargo = Command::new(env!("CARGO"));
    cargo.current_dir(folder).env("CARGO_TARGET_DIR", target()).env_remove("CARGO_MAKEFLAGS");
    cargo
}

/// The folder of the built library.
pub fn library() -> &'static Path {
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
pub fn compile(compiler: &str, flags: &[&str], source: &str, folder: &Path) -> PathBuf {
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
pub fn sanitizers() -> bool {
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
pub fn every_way(source: &str, arguments: &[&str], look: impl Fn(&Path, &str)) {
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
