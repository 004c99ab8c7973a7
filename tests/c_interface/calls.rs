//! Layouts, bad calls, known numbers and threads: programs of tests/c that judge by themselves.

use std::fs;
use std::path::Path;

use crate::tools::*;

#[test]
fn layouts_and_versions_agree() {
    every_way("tests/c/layout.c", &[], |_, _| {});
}

/// Runs a program that ends with the number of calls that it saw refused, and leaves no file.
fn refused(source: &str, arguments: &[&str], least: usize) {
    every_way(source, arguments, |folder, told| {
        let refused: usize = told.split(' ').next().unwrap().parse().unwrap();
        assert!(refused >= least, "{told}");
        let program = Path::new(source).file_stem().unwrap();
        let left: Vec<_> = fs::read_dir(folder).unwrap().map(|e| e.unwrap().file_name()).collect();
        assert!(left.iter().all(|name| name == program || name == "folder"), "{left:?}");
    });
}

#[test]
fn bad_calls_are_refused() {
    refused("tests/c/bad_calls.c", &["."], 350);
}

#[test]
fn bad_calls_of_wedges_are_refused() {
    refused("tests/c/bad_wedges.c", &[], 150);
}

#[test]
fn bad_calls_of_the_press_room_are_refused() {
    refused("tests/c/bad_press.c", &[], 180);
}

#[test]
fn bad_calls_of_measuring_are_refused() {
    refused("tests/c/bad_measure.c", &[], 190);
}

#[test]
fn bad_calls_of_colour_are_refused() {
    let shelf = root().join("examples/shelf.toml").display().to_string();
    refused("tests/c/bad_colour.c", &[&shelf, "."], 250);
}

#[test]
fn films_hold_the_numbers_known_from_elsewhere() {
    every_way("tests/c/measure.c", &[&reference("films")], |_, _| {});
}

#[test]
fn wedges_have_the_numbers_known_from_elsewhere() {
    let paths = ["murray_davies_examples.csv", "tvi_from_debian_ti3.csv"].map(reference);
    every_way("tests/c/wedges.c", &paths.each_ref().map(String::as_str), |_, _| {});
}

#[test]
fn the_press_room_has_the_numbers_known_from_elsewhere() {
    every_way("tests/c/press.c", &[&reference("moire_two_gratings.csv")], |_, _| {});
}

fn reference(name: &str) -> String {
    root().join("tests/reference").join(name).display().to_string()
}

#[test]
fn eight_threads_use_one_screen() {
    every_way("tests/c/threads.c", &[], |_, _| {});
}
