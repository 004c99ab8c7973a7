//! What a separation does at every colour: the colour of coverages, its slopes, a difference; and what a picture needs at
//! every pixel.

use std::hint::black_box;

use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use dotwright::Mode;
use dotwright::colour::srgb::Code;
use dotwright::colour::{Drawdown, Ink, Lab, Overlap, Print, Relation, Xyz, ciede2000};

fn ink(name: &str, over_white: &str, over_black: &str) -> Ink {
    let drawdown = |ground: &str, colour: &str| Drawdown {
        ground: ground.parse().unwrap(),
        colour: colour.parse().unwrap(),
    };
    Ink::new(name, drawdown("#ffffff", over_white), drawdown("#000000", over_black)).unwrap()
}

fn print(law: &Overlap) -> Print {
    let inks = [ink("grey", "#b0a890", "#807868"), ink("red", "#b84038", "#602018")];
    let garment: Xyz = "#202028".parse().unwrap();
    let request = (0..law.plates()).fold(Print::on(garment), |request, i| request.ink(&inks[i % 2]));
    request.build(law).unwrap()
}

fn prints(c: &mut Criterion) {
    let lattice =
        (0..6).map(|plate| (plate, if plate == 5 { Mode::Inverted } else { Mode::Normal })).collect();
    let mut group = c.benchmark_group("print");
    for (name, law) in [
        ("4 independent", Overlap::independent(4).unwrap()),
        ("6 independent", Overlap::independent(6).unwrap()),
        ("6 of one lattice", Overlap::of_groups(6, vec![Relation::OneLattice(lattice)]).unwrap()),
        ("8 independent", Overlap::independent(8).unwrap()),
        ("12 independent", Overlap::independent(12).unwrap()),
    ] {
        let print = print(&law);
        let coverages: Vec<f64> = (0..law.plates()).map(|i| 0.1 + 0.07 * i as f64).collect();
        let mut slopes = [[0.0; 3]; 12];
        group.bench_function(format!("{name}: roots"), |b| b.iter(|| print.roots(black_box(&coverages))));
        group.bench_function(format!("{name}: colour"), |b| b.iter(|| print.colour(black_box(&coverages))));
        group.bench_function(format!("{name}: slopes"), |b| {
            b.iter(|| print.jacobian(black_box(&coverages), &mut slopes))
        });
    }
    group.finish();
}

fn differences(c: &mut Criterion) {
    let colours: Vec<Lab> = (0..256)
        .map(|i| Lab {
            l: f64::from(i % 101),
            a: f64::from(i * 37 % 161) - 80.0,
            b: f64::from(i * 59 % 173) - 86.0,
        })
        .collect();
    c.bench_function("256 differences", |b| {
        b.iter(|| colours.iter().zip(colours.iter().rev()).map(|(a, b)| ciede2000(*a, *b)).sum::<f64>())
    });
}

fn codes(c: &mut Criterion) {
    let light: Vec<f64> = (0..4096).map(|i| f64::from(i * 2749 % 4096) / 4095.0).collect();
    let mut group = c.benchmark_group("4096 codes");
    group.bench_function("to 8 bits", |b| {
        b.iter_batched_ref(
            || vec![0_u8; 4096],
            |out| {
                for (out, light) in out.iter_mut().zip(black_box(&light)) {
                    *out = u8::of_light(*light);
                }
            },
            BatchSize::SmallInput,
        );
    });
    group.bench_function("to 16 bits, by the formula", |b| {
        b.iter_batched_ref(
            || vec![0_u16; 4096],
            |out| {
                for (out, light) in out.iter_mut().zip(black_box(&light)) {
                    *out = u16::of_light(*light);
                }
            },
            BatchSize::SmallInput,
        );
    });
    group.finish();
}

criterion_group!(benches, prints, differences, codes);
criterion_main!(benches);
