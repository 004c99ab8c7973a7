//! The house keeps its plan: a room uses only rooms above it, and what is stated twice is stated alike.

use std::fs;
use std::path::{Path, PathBuf};

/// The rooms of `src`, top to bottom. Files of one room may use each other.
const ROOMS: [&str; 20] = [
    "error",
    "units",
    "bands",
    "plate",
    "film",
    "distance",
    "lettering",
    "settings",
    "art",
    "tone",
    "screen",
    "press",
    "colour",
    "measure",
    "trap",
    "proof",
    "sheet",
    "io",
    "job",
    "ffi",
];

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn read(path: &str) -> String {
    fs::read_to_string(root().join(path)).unwrap_or_else(|e| panic!("{path}: {e}"))
}

/// Every Rust file below a folder.
fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push(path);
        }
    }
}

fn room_of(path: &Path) -> String {
    let inside = path.strip_prefix(root().join("src")).unwrap();
    let first = inside.components().next().unwrap().as_os_str().to_str().unwrap();
    first.trim_end_matches(".rs").to_owned()
}

#[test]
fn a_room_uses_only_rooms_above_it() {
    let mut files = Vec::new();
    sources(&root().join("src"), &mut files);
    let mut arrows = 0;
    for file in files.iter().filter(|f| !f.ends_with("lib.rs")) {
        let room = room_of(file);
        let place = ROOMS.iter().position(|&r| r == room).unwrap_or_else(|| panic!("{room} is in no plan"));
        let text = fs::read_to_string(file).unwrap();
        // Code only: links in the documentation may point anywhere.
        for line in text.lines().filter(|line| !line.trim_start().starts_with("//")) {
            for used in line.split("crate::").skip(1) {
                let used: String = used.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
                if let Some(other) = ROOMS.iter().position(|&r| r == used) {
                    assert!(other <= place, "{}: {room} uses {used}, which is below it", file.display());
                    arrows += usize::from(other != place);
                }
            }
        }
    }
    assert!(arrows > 30, "only {arrows} uses were seen: the reading is broken");
}

#[test]
fn unsafe_code_lives_in_two_rooms() {
    let mut files = Vec::new();
    sources(&root().join("src"), &mut files);
    for file in files {
        let text = fs::read_to_string(&file).unwrap();
        let allowed =
            file.starts_with(root().join("src/ffi")) || file.starts_with(root().join("src/screen/kernel"));
        assert!(allowed || !text.contains("unsafe "), "{}", file.display());
    }
}

#[test]
fn the_readme_says_what_the_manifest_says() {
    let (readme, manifest) = (read("README.md"), read("Cargo.toml"));
    let field = |name: &str| {
        let line = manifest.lines().find(|l| l.starts_with(&format!("{name} = \""))).unwrap();
        line.split('"').nth(1).unwrap().to_owned()
    };
    assert!(readme.contains(&format!("Rust {}", field("rust-version"))), "the minimum Rust");
    assert!(
        read("CHANGELOG.md").contains(&format!("## {}", field("version"))),
        "the version in the change log"
    );
    for command in ["cargo run --release --example art_to_film", "cargo test --release"] {
        assert!(readme.contains(command), "{command}");
        assert!(read(".ci/run").contains(command), "{command} in .ci/run");
    }
    for example in fs::read_dir(root().join("examples")).unwrap() {
        let path = example.unwrap().path();
        if path.extension().is_some_and(|e| e == "rs") {
            let name = path.file_stem().unwrap().to_str().unwrap();
            assert!(readme.contains(name), "the README does not name the example {name}");
        }
    }
}
