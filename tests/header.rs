//! The committed header is what the pinned generator makes of `src/ffi`. To write it anew: `DW_WRITE_HEADER=1 cargo test --test
//! header`.

use std::fs;
use std::path::Path;

#[test]
fn the_header_is_in_step() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let config = cbindgen::Config::from_file(root.join("cbindgen.toml")).unwrap();
    // The generator follows `mod` lines from here to the other files.
    let builder = cbindgen::Builder::new().with_config(config).with_src(root.join("src/ffi/mod.rs"));
    let mut made = Vec::new();
    builder.generate().unwrap().write(&mut made);
    let made = String::from_utf8(made).unwrap();
    let path = root.join("include/dotwright.h");
    if std::env::var_os("DW_WRITE_HEADER").is_some() {
        fs::write(&path, &made).unwrap();
    }
    let committed = fs::read_to_string(&path).unwrap_or_default();
    let first = made.lines().zip(committed.lines()).position(|(a, b)| a != b);
    let declared = |line: &&str| line.starts_with("dw_status ") || line.starts_with("void ");
    let mut names: Vec<_> = made.lines().filter(declared).filter_map(|line| line.split('(').next()).collect();
    let all = names.len();
    names.sort_unstable();
    names.dedup();
    assert!(all > 30 && names.len() == all, "{all} functions are declared, {} of them once", names.len());
    assert!(made == committed, "include/dotwright.h is out of step, first at line {first:?}");
}
