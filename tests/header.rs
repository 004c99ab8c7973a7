//! The committed header is what the pinned generator makes of `src/ffi`. To write it anew: `DW_WRITE_HEADER=1 cargo test --test
//! header`.

use std::fs;
use std::path::Path;

#[test]
fn the_header_is_in_step() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let config = cbindgen::Config::from_file(root.join("cbindgen.toml")).unwrap();
    let mut sources: Vec<_> =
        fs::read_dir(root.join("src/ffi")).unwrap().map(|entry| entry.unwrap().path()).collect();
    sources.sort();
    let builder = cbindgen::Builder::new().with_config(config);
    let builder = sources.iter().fold(builder, |builder, source| builder.with_src(source));
    let mut made = Vec::new();
    builder.generate().unwrap().write(&mut made);
    let made = String::from_utf8(made).unwrap();
    let path = root.join("include/dotwright.h");
    if std::env::var_os("DW_WRITE_HEADER").is_some() {
        fs::write(&path, &made).unwrap();
    }
    let committed = fs::read_to_string(&path).unwrap_or_default();
    let first = made.lines().zip(committed.lines()).position(|(a, b)| a != b);
    assert!(made == committed, "include/dotwright.h is out of step, first at line {first:?}");
}
