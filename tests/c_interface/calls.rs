//! Layouts, bad calls, known numbers and threads: programs of tests/c that judge by themselves.

use std::fs;
use std::path::Path;

use dotwright::screen::{Sharing, SideBySide};
use dotwright::{Angle, Dot, LineCount, Placed, Resolution, Screen};
use ndarray::Array2;

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
fn bad_calls_of_plates_side_by_side_are_refused() {
    refused("tests/c/bad_beside.c", &[], 90);
}

#[test]
fn plates_side_by_side_have_the_films_of_the_library() {
    let tone = |i: usize, y: usize, x: usize| ((x * (i + 1) + y) / 8 % 128) as u8;
    let plates: Vec<_> = (0..4).map(|i| Array2::from_shape_fn((200, 300), |(y, x)| tone(i, y, x))).collect();
    let placed: Vec<_> = plates.iter().map(|plate| Placed::new(plate.view()).at(-31, 77)).collect();
    let (resolution, lines) = (Resolution::per_inch(1200.0).unwrap(), LineCount::per_inch(45.0).unwrap());
    let request = Screen::cells(resolution, lines, Angle::degrees(22.5).unwrap(), Dot::Round);
    let numbers = [Sharing::Compact, Sharing::Rings].map(|sharing| {
        let films = SideBySide::build(&request, 4, sharing).unwrap().films(&placed).unwrap();
        let bytes = films.iter().flat_map(|film| (0..200).flat_map(|y| film.view().row(y)));
        // FNV-1a, as in the program.
        bytes.fold(0xcbf2_9ce4_8422_2325_u64, |hash, &n| (hash ^ u64::from(n)).wrapping_mul(0x0100_0000_01b3))
    });
    every_way("tests/c/beside.c", &[], |_, told| {
        assert_eq!(told, format!("{:016x}\n{:016x}\n", numbers[0], numbers[1]));
    });
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
