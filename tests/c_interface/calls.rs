//! Layouts, bad calls and threads: programs of tests/c that judge by themselves.

use std::fs;

use crate::tools::*;

#[test]
fn layouts_and_versions_agree() {
    every_way("tests/c/layout.c", &[], |_, _| {});
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
