//! Films of random jobs, made by a C program and by the Rust library.

use std::fmt::Write as _;
use std::fs;
use std::process::Command;

use dotwright::screen::{Growth, Request};
use dotwright::tone::wedge::{Reading, press_curve};
use dotwright::{Angle, Curve, Dot, Length, LineCount, Mode, Placed, Plate, Resolution, Sampling, Screen};
use ndarray::{Array2, s};

use crate::dice::Dice;
use crate::tools::*;

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
