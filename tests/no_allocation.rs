//! Promise 6: once a screen is built, running it takes no memory from the system.
#![expect(unsafe_code, reason = "counting allocations takes an allocator, and allocators are unsafe")]

mod common;

use std::alloc::{GlobalAlloc, Layout, System};
use std::cell::Cell;

use common::{angle, per_inch, screens};
use dotwright::colour::separate::index::{ArtOnFilm, IndexSeparation};
use dotwright::colour::{Drawdown, Ink, Overlap, Print, WideRgb, ciede2000};
use dotwright::screen::{Sharing, SideBySide};
use dotwright::{Dot, Film, FilmMut, LineCount, Placed, Sampling, Screen};
use ndarray::{Array2, Array3};

thread_local! {
    static TAKEN: Cell<u64> = const { Cell::new(0) };
}

struct Counting;

// SAFETY: every call is handed on to the system's allocator unchanged.
unsafe impl GlobalAlloc for Counting {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        TAKEN.with(|taken| taken.set(taken.get() + 1));
        // SAFETY: the caller's promises are those of the system's allocator.
        unsafe { System.alloc(layout) }
    }

    unsafe fn dealloc(&self, memory: *mut u8, layout: Layout) {
        // SAFETY: as above.
        unsafe { System.dealloc(memory, layout) }
    }
}

#[global_allocator]
static ALLOCATOR: Counting = Counting;

#[test]
fn running_allocates_nothing() {
    let bytes = Array2::from_shape_fn((40, 900), |(y, x)| (x * 7 + y * 3) as u8);
    let floats = bytes.mapv(|b| f32::from(b) / 255.0);
    for (name, screen) in screens() {
        for plate in [dotwright::Plate::from(bytes.view()), floats.view().into()] {
            for (from, sampling) in
                [(600.0, Sampling::Nearest), (300.0, Sampling::Linear), (300.0, Sampling::Nearest)]
            {
                let placed = Placed::resampled(plate, per_inch(from), per_inch(600.0), sampling).unwrap();
                let mut film = Film::new(placed.film_width(), placed.film_height()).unwrap();
                let before = TAKEN.get();
                screen.run(&placed, (0, 0), film.view_mut()).unwrap();
                assert_eq!(TAKEN.get(), before, "{name} from {from}");
                assert!(film.count() > 0);
            }
        }
    }
}

#[test]
fn finding_colours_allocates_nothing() {
    let grey = |value: f64| WideRgb([value; 3]).to_xyz();
    let drawdown = |ground, colour| Drawdown { ground: grey(ground), colour: grey(colour) };
    let ink = Ink::new("grey", drawdown(0.9, 0.5), drawdown(0.1, 0.2)).unwrap();
    for plates in [1, 6, 8, 12] {
        let request =
            (0..plates).fold(Print::on(grey(0.1)), |request, _| request.ink(&ink)).yule_nielsen(1.7);
        for law in [Overlap::independent(plates).unwrap(), Overlap::side_by_side(plates).unwrap()] {
            let print = request.build(&law).unwrap();
            let coverages = [0.3; 12];
            let mut slopes = [[0.0; 3]; 12];
            let mut areas = vec![0.0; 1 << plates];
            let before = TAKEN.get();
            print.jacobian(&coverages, &mut slopes);
            let difference = ciede2000(print.colour(&coverages), print.colour(&[]));
            law.areas(&coverages[..plates], &mut areas).unwrap();
            assert_eq!(TAKEN.get(), before, "{plates}");
            assert!(difference > 0.0);
        }
    }
}

#[test]
fn index_dots_allocate_nothing() {
    let grey = |value: f64| WideRgb([value; 3]).to_xyz();
    let drawdown = |ground, colour| Drawdown { ground: grey(ground), colour: grey(colour) };
    let ink = Ink::new("grey", drawdown(0.9, 0.5), drawdown(0.1, 0.2)).unwrap();
    let print = Print::on(grey(0.1)).ink(&ink).ink(&ink).build(&Overlap::side_by_side(2).unwrap()).unwrap();
    let art = Array3::from_shape_fn((40, 60, 4), |(y, x, c)| (x * 5 + y * 3 + 70 * c) as u8);
    let index =
        IndexSeparation::of(&print, &Screen::index(per_inch(600.0), 3).build().unwrap()).build().unwrap();
    let laid = ArtOnFilm::new(art.view(), per_inch(300.0), per_inch(600.0)).unwrap();
    let mut films: Vec<Film> = (0..2).map(|_| Film::new(90, 70).unwrap()).collect();
    let mut out: Vec<FilmMut<'_>> = films.iter_mut().map(Film::view_mut).collect();
    let before = TAKEN.get();
    index.run(&laid, (5, 7), &mut out).unwrap();
    assert_eq!(TAKEN.get(), before);
    assert!(films.iter().any(|film| film.count() > 0));
}

#[test]
fn running_side_by_side_allocates_nothing() {
    let request = Screen::cells(per_inch(600.0), LineCount::per_inch(45.0).unwrap(), angle(22.5), Dot::Round);
    let bytes: Vec<_> =
        (0..3).map(|i| Array2::from_shape_fn((40, 900), |(y, x)| (x * (7 + i) + y * 3) as u8)).collect();
    for sharing in [Sharing::Compact, Sharing::Rings] {
        let screen = SideBySide::build(&request, 3, sharing).unwrap();
        let plates: Vec<Placed<'_>> = bytes.iter().map(|plate| plate.view().into()).collect();
        let mut films: Vec<_> = (0..3).map(|_| Film::new(900, 40).unwrap()).collect();
        let mut views: Vec<_> = films.iter_mut().map(Film::view_mut).collect();
        let before = TAKEN.get();
        screen.run(&plates, (0, 0), &mut views).unwrap();
        assert_eq!(TAKEN.get(), before, "{sharing:?}");
        assert!(films.iter().all(|film| film.count() > 0));
    }
}
