//! Building screens and running them, on one core. The first line of each group is what memory alone would take.

use std::hint::black_box;

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use dotwright::film::Film;
use dotwright::screen::{Sharing, SideBySide};
use dotwright::{Angle, Dot, LineCount, Mode, Placed, Resolution, Sampling, Screen};
use ndarray::Array2;

fn request(resolution: f64, lines: f64, degrees: f64) -> dotwright::screen::Request {
    Screen::cells(
        Resolution::per_inch(resolution).unwrap(),
        LineCount::per_inch(lines).unwrap(),
        Angle::degrees(degrees).unwrap(),
        Dot::Euclidean,
    )
}

fn build(c: &mut Criterion) {
    let mut group = c.benchmark_group("build");
    for (resolution, lines, degrees) in [(600.0, 45.0, 22.5), (1200.0, 55.0, 22.5), (1440.0, 65.0, 61.0)] {
        let name = format!("{resolution} px {lines} lines {degrees} deg");
        group.bench_function(name, |b| b.iter(|| request(resolution, lines, degrees).build().unwrap()));
    }
    group.finish();
}

fn run(c: &mut Criterion) {
    let side = 4096;
    let bytes = Array2::from_shape_fn((side, side), |(y, x)| (x.wrapping_mul(31) ^ y.wrapping_mul(17)) as u8);
    let words = bytes.mapv(|b| u16::from(b) * 257);
    let small = Array2::from_shape_fn((side / 4, side / 4), |(y, x)| (x + y) as u8);
    let normal = request(1200.0, 55.0, 22.5).build().unwrap();
    let inverted = normal.again(Mode::Inverted, None).unwrap();
    let index = Screen::index(Resolution::per_inch(1200.0).unwrap(), 6).build().unwrap();
    let (art, film) = (Resolution::per_inch(300.0).unwrap(), Resolution::per_inch(1200.0).unwrap());

    let mut group = c.benchmark_group("run");
    group.throughput(Throughput::Elements((side * side) as u64));
    group.bench_function("reading the plate", |b| {
        b.iter(|| black_box(&bytes).as_slice().unwrap().iter().fold(0_u8, |sum, b| sum | b));
    });
    let mut out = Film::new(side, side).unwrap();
    let mut bench = |name: &str, screen: &Screen, placed: Placed<'_>| {
        group.bench_function(name, |b| b.iter(|| screen.run(&placed, (0, 0), out.view_mut()).unwrap()));
    };
    bench("8 bits", &normal, bytes.view().into());
    bench("8 bits inverted", &inverted, bytes.view().into());
    bench("16 bits", &normal, words.view().into());
    bench("index dots", &index, bytes.view().into());
    bench(
        "nearest 300 to 1200",
        &normal,
        Placed::resampled(small.view(), art, film, Sampling::Nearest).unwrap(),
    );
    bench(
        "linear 300 to 1200",
        &normal,
        Placed::resampled(small.view(), art, film, Sampling::Linear).unwrap(),
    );
    group.finish();
}

/// Six plates to six films; pixels are those of one film. The first line is what six ordinary screens take.
fn side_by_side(c: &mut Criterion) {
    let side = 2048;
    let round = request(1200.0, 45.0, 22.5);
    let [compact, rings] =
        [Sharing::Compact, Sharing::Rings].map(|sharing| SideBySide::build(&round, 6, sharing).unwrap());
    // Six waves that add up to `most` of solid.
    let waves = |side: usize, most: f64| -> [Array2<u8>; 6] {
        let wave = |i: f64, y: usize, x: usize| {
            let (x, y) = (x as f64 / side as f64, y as f64 / side as f64);
            (1.0 + ((i + 2.0) * x + (1.7 * i - 3.0) * y + i).sin()).powi(3)
        };
        let sum = Array2::from_shape_fn((side, side), |(y, x)| {
            (0..6).map(|i| wave(f64::from(i), y, x)).sum::<f64>()
        });
        std::array::from_fn(|i| {
            let tone = |(y, x)| (most * 255.0 * wave(i as f64, y, x) / sum[[y, x]]) as u8;
            Array2::from_shape_fn((side, side), tone)
        })
    };
    let (light, dark, small) = (waves(side, 0.1), waves(side, 1.0), waves(side / 4, 1.0));
    let (art, film) = (Resolution::per_inch(300.0).unwrap(), Resolution::per_inch(1200.0).unwrap());

    let mut group = c.benchmark_group("side by side");
    group.throughput(Throughput::Elements((side * side) as u64)).sample_size(10);
    let mut films: [Film; 6] = std::array::from_fn(|_| Film::new(side, side).unwrap());
    group.bench_function("six ordinary screens", |b| {
        b.iter(|| {
            for (plate, film) in dark.iter().zip(&mut films) {
                compact.screen().run(&plate.view().into(), (0, 0), film.view_mut()).unwrap();
            }
        });
    });
    let mut bench = |name: &str, screen: &SideBySide, plates: [Placed<'_>; 6]| {
        group.bench_function(name, |b| {
            b.iter(|| screen.run(&plates, (0, 0), &mut films.each_mut().map(Film::view_mut)).unwrap());
        });
    };
    let resampled = |sampling| {
        small.each_ref().map(|plate| Placed::resampled(plate.view(), art, film, sampling).unwrap())
    };
    bench("dots apart", &compact, light.each_ref().map(|plate| plate.view().into()));
    bench("dots touching", &compact, dark.each_ref().map(|plate| plate.view().into()));
    bench("dots touching, nearest 300 to 1200", &compact, resampled(Sampling::Nearest));
    bench("dots touching, linear 300 to 1200", &compact, resampled(Sampling::Linear));
    bench("rings", &rings, dark.each_ref().map(|plate| plate.view().into()));
    group.finish();
}

criterion_group!(benches, build, run, side_by_side);
criterion_main!(benches);
