//! The base that a separation asks for, bases for plates made without one, and inks spread under the next.
//!
//! Inks here are invented. The judge of a colour is the print model, whose own checks stand in `colour.rs`.

mod common;

#[path = "common/inks.rs"]
mod shelf;

use common::{per_inch, random};
use dotwright::Length;
use dotwright::colour::separate::Separation;
use dotwright::colour::{Ink, Lab, LinearRgb, Overlap, Print, Xyz, ciede2000};
use dotwright::trap::{Underbase, spread};
use ndarray::{Array2, Array3, s};
use shelf::ink;

/// White, straw, red, blue, teal and black on a dark shirt.
fn inks() -> Vec<Ink> {
    vec![
        ink("white", "#fcfcfa", "#e1e2e2"),
        ink("straw", "#ffd614", "#96780a"),
        ink("red", "#d61e2d", "#781219"),
        ink("blue", "#143ca0", "#0a1e5a"),
        ink("teal", "#0096a0", "#00505a"),
        ink("black", "#18171a", "#141416"),
    ]
}

fn print(garment: &str, inks: &[Ink]) -> Print {
    let request = Print::on(garment.parse().unwrap()).ink(&inks[0]).flash();
    let request = inks[1..].iter().fold(request, |print, ink| print.ink(ink));
    request.build(&Overlap::independent(inks.len()).unwrap()).unwrap()
}

const GARMENTS: [&str; 2] = ["#16161c", "#39424f"];

#[test]
fn no_base_lies_under_solid_black_and_half_of_it_at_most_under_three_quarters() {
    for garment in GARMENTS {
        let print = print(garment, &inks());
        let separation = Separation::of(&print).base(0).build().unwrap();
        let free = Separation::of(&print).build().unwrap();
        let mut random = random(3);
        let (mut hidden, mut hidden_free, mut off, mut off_free) = (0.0, 0.0, 0.0, 0.0);
        for _ in 0..4000 {
            let art: [u8; 3] = std::array::from_fn(|_| (random() * 255.0) as u8);
            let (c, f) = (separation.coverages(art, 0.0), free.coverages(art, 0.0));
            assert!(c[0] <= 2.0 * (1.0 - c[5]) + 1e-6, "{art:?}: {c:?}");
            let wanted = separation.wanted(LinearRgb::from_srgb(art));
            (hidden, hidden_free) = (hidden + c[0] * c[5], hidden_free + f[0] * f[5]);
            off += ciede2000(wanted, print.colour(&c)) / 4000.0;
            off_free += ciede2000(wanted, print.colour(&f)) / 4000.0;
        }
        println!(
            "on {garment}: base under black {hidden:.1} of {hidden_free:.1}; mean ΔE00 {off:.3} of {off_free:.3}"
        );
        assert!(hidden < 0.8 * hidden_free && off < off_free + 0.05);
        // Also on the plates, where a trim makes black solid or a supplied black is held.
        let trim = dotwright::colour::separate::Trim { shadow_fill: 0.4, ..Default::default() };
        let art = Array3::from_shape_fn((60, 200, 3), |_| (random() * 255.0) as u8);
        let trimmed = Separation::of(&print).base(0).trim(5, trim).build().unwrap();
        let plates = trimmed.plates(art.view(), None).unwrap();
        let solid = plates[5].iter().filter(|&&black| black == 255).count();
        assert!(
            solid > 20 && plates[0].iter().zip(&plates[5]).all(|(&base, &black)| black < 255 || base == 0)
        );
    }
    let print = print(GARMENTS[0], &inks());
    let held = Separation::of(&print).base(0).hold(5).build().unwrap();
    let art = Array3::from_elem((1, 256, 3), 210_u8);
    let black = Array2::from_shape_fn((1, 256), |(_, x)| x as u8);
    let plates = held.plates(art.view(), Some(black.view())).unwrap();
    assert_eq!((plates[0][[0, 255]], &plates[5]), (0, &black));
    assert!(plates[0][[0, 0]] > 100);
}

#[test]
fn the_base_rises_with_lightness_and_does_not_break() {
    for garment in GARMENTS {
        let print = print(garment, &inks());
        let separation = Separation::of(&print).base(0).build().unwrap();
        let greys: Vec<_> = (0..=255_u8).map(|grey| separation.coverages([grey; 3], 0.0)).collect();
        let mut most = 0.0_f64;
        for pair in greys.windows(2) {
            assert!(pair[1][0] >= pair[0][0] - 0.02, "the base falls as the art grows lighter");
        }
        let corner = |i: usize| -> [f64; 3] { std::array::from_fn(|c| (i >> c & 1) as f64 * 255.0) };
        for (from, to) in [(0, 7), (0, 1), (0, 2), (0, 4), (1, 7), (3, 7), (0, 6)] {
            let (from, to) = (corner(from), corner(to));
            let mut last: Option<Vec<f64>> = None;
            for step in 0..=255 {
                let art: [u8; 3] = std::array::from_fn(|i| {
                    (from[i] + (to[i] - from[i]) * f64::from(step) / 255.0).round() as u8
                });
                let now = separation.coverages(art, 0.0);
                if let Some(last) = last {
                    let moved = last.iter().zip(&now).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
                    most = most.max(255.0 * moved);
                }
                last = Some(now);
            }
        }
        println!("on {garment}: a plate moves {most:.2} of 255 at most");
        assert!(most < 6.5, "{most}");
    }
}

#[test]
fn a_highlight_white_comes_in_where_the_rest_is_not_light_enough() {
    let mut all = inks();
    // A base that is not white enough, and a better white last.
    all[0] = ink("thin white", "#e8e8e8", "#b4b4b6");
    all.push(ink("white", "#fcfcfa", "#e1e2e2"));
    let print = print(GARMENTS[0], &all);
    let with = |price: f64| Separation::of(&print).base(0).plate_price(6, price).build().unwrap();
    let used = |separation: &Separation| -> (f64, f64) {
        let of = |grey: u8| separation.coverages([grey; 3], 0.0)[6];
        ((20..180).step_by(10).map(of).sum(), of(255))
    };
    let (cheap, dear) = (used(&with(0.0)), used(&with(5.0)));
    println!(
        "highlight below middle greys {:.2} and {:.2}, in white {:.2} and {:.2}",
        cheap.0, dear.0, cheap.1, dear.1
    );
    assert!(dear.0 < 0.3 * cheap.0 && dear.1 > 0.5);
    let message = Separation::of(&print).plate_price(6, -1.0).build().unwrap_err().to_string();
    assert!(message.contains("price of a plate's ink is -1"), "{message}");
    assert!(Separation::of(&print).plate_price(7, 1.0).build().is_err());
    assert!(Separation::of(&print).base(7).build().is_err());
}

/// Underbase and print of white, straw, red, blue, teal and black.
fn underbase(garment: &str) -> (Underbase, Print) {
    let print = print(garment, &inks());
    (Underbase::of(&print).unwrap().black(4).unwrap(), print)
}

/// The colours as on the base, and garment where there is no ink.
fn wanted(print: &Print, inks: &[f64]) -> Xyz {
    let bare: f64 = inks.iter().map(|c| 1.0 - c).product();
    let on_base = print.xyz(&[&[1.0], inks].concat());
    let [garment, white] = [0, 1].map(|mask| print.primaries()[mask]);
    Xyz(std::array::from_fn(|i| on_base.0[i] + bare * (garment.0[i] - white.0[i])))
}

#[test]
fn a_base_is_what_the_colours_need() {
    for garment in GARMENTS {
        let (underbase, print) = underbase(garment);
        let solid = |ink: usize| -> Vec<f64> { (0..5).map(|i| f64::from(u8::from(i == ink))).collect() };
        assert_eq!(underbase.coverage(&[0.0; 5]), 0.0);
        assert_eq!(underbase.coverage(&solid(4)), 0.0, "none under black");
        for ink in 0..4 {
            // Transparent inks in full.
            assert!(underbase.coverage(&solid(ink)) > 0.99, "ink {ink}");
            let tint = |t: i32| solid(ink).iter().map(|c| c * f64::from(t) / 255.0).collect::<Vec<_>>();
            let bases: Vec<f64> = (0..=255).map(|t| underbase.coverage(&tint(t))).collect();
            assert!(bases.is_sorted(), "{bases:?}");
            // The base of a dark ink rises steeply towards its solid; the print does not.
            let largest = |colours: Vec<Lab>| {
                colours.windows(2).map(|pair| ciede2000(pair[0], pair[1])).fold(0.0, f64::max)
            };
            let printed = |t: i32| print.colour(&[[bases[t as usize]].as_slice(), &tint(t)].concat());
            let step = largest((0..=255).map(printed).collect());
            let step_wanted = largest((0..=255).map(|t| wanted(&print, &tint(t)).to_lab()).collect());
            println!(
                "on {garment}, ink {ink}: steps up to ΔE00 {step:.2}, of the colours wanted {step_wanted:.2}"
            );
            // Below 0.8 a step is not seen, and a colour of nearly the garment's lightness has hardly any of its own.
            assert!(step < (1.5 * step_wanted).max(0.8));
        }
        // Black over a colour: less and less, and none in the end.
        let under: Vec<f64> =
            (0..=100).map(|k| underbase.coverage(&[1.0, 0.0, 0.0, 0.0, f64::from(k) / 100.0])).collect();
        assert!(under[0] > 0.99 && under[100] == 0.0 && under.is_sorted_by(|a, b| *a >= b - 1e-9));
        // As light as wanted, where the need is whole: garment where there is no ink, and else colours as on the base.
        let mut random = random(8);
        let mut judged = 0;
        for _ in 0..500 {
            let mut all: Vec<f64> = (0..6).map(|_| random()).collect();
            (all[0], all[5]) = (1.0, 0.0);
            let wanted = wanted(&print, &all[1..]);
            all[0] = 0.0;
            let lightness = |xyz: Xyz| xyz.to_lab().l;
            if lightness(wanted) - lightness(print.xyz(&all)) > 5.0 {
                all[0] = underbase.coverage(&all[1..]);
                assert!((lightness(print.xyz(&all)) - lightness(wanted)).abs() < 1e-6);
                judged += 1;
            }
        }
        assert!(judged > 100, "{judged}");
    }
}

#[test]
fn an_ink_that_hides_the_garment_needs_no_base() {
    let grey = ink("opaque grey", "lab(60 0 0)", "lab(59.5 0 0)");
    let print = print(GARMENTS[0], &[inks()[0].clone(), grey]);
    let underbase = Underbase::of(&print).unwrap();
    assert!((0..=100).all(|t| underbase.coverage(&[f64::from(t) / 100.0]) == 0.0));
}

#[test]
fn plates_for_white_cloth_get_white_where_there_is_art() {
    let (plain, _) = underbase(GARMENTS[0]);
    let for_white = plain.clone().made_for_white();
    let plates: Vec<Array2<u8>> = (0..5)
        .map(|ink| Array2::from_shape_fn((3, 256), |(_, x)| if ink == 0 { x as u8 } else { 0 }))
        .collect();
    let views: Vec<_> = plates.iter().map(|plate| plate.view()).collect();
    let within = Array2::from_shape_fn((3, 256), |(y, _)| [0_u8, 128, 255][y]);
    let base = for_white.plate(&views, Some(within.view())).unwrap();
    assert!(base.row(0).iter().all(|&t| t == 0) && base.row(2).iter().all(|&t| t == 255));
    assert!(base.row(1).iter().all(|&t| t == 128));
    let plain = plain.plate(&views, None).unwrap();
    assert!(plain.row(1)[0] == 0 && plain.row(1)[255] >= 254 && plain.row(0) == plain.row(2));
    let message = for_white.plate(&views, None).unwrap_err().to_string();
    assert!(message.contains("where there is art is not told"), "{message}");
}

#[test]
fn bases_that_cannot_be_are_refused() {
    let (underbase, print) = underbase(GARMENTS[0]);
    let plate = Array2::<u8>::zeros((2, 2));
    let small = Array2::<u8>::zeros((1, 2));
    assert!(
        underbase.plate(&[plate.view(); 4], None).unwrap_err().to_string().contains("number of plates is 4")
    );
    let mixed = [plate.view(), plate.view(), small.view(), plate.view(), plate.view()];
    assert!(underbase.plate(&mixed, None).is_err());
    assert!(underbase.plate(&[plate.view(); 5], Some(small.view())).is_err());
    assert!(Underbase::of(&print).unwrap().black(5).unwrap_err().to_string().contains("black plate is 5"));
    let one = Print::on("#101010".parse().unwrap())
        .ink(&inks()[0])
        .build(&Overlap::independent(1).unwrap())
        .unwrap();
    assert!(Underbase::of(&one).unwrap_err().to_string().contains("inks of a print with a base is 1"));
}

/// Coverage of each pixel by a shape, from 16 × 16 points; the origin is the middle.
fn drawn(side: usize, inside: impl Fn(f64, f64) -> bool) -> Array2<u8> {
    Array2::from_shape_fn((side, side), |(y, x)| {
        let at = |pixel: usize, point: usize| pixel as f64 + (point as f64 + 0.5) / 16.0 - 0.5 * side as f64;
        let points = (0..256).filter(|p| inside(at(x, p % 16), at(y, p / 16))).count();
        (points as f64 * 255.0 / 256.0).round() as u8
    })
}

fn both(a: &Array2<u8>, b: &Array2<u8>) -> f64 {
    a.iter()
        .zip(b)
        .map(|(&a, &b)| f64::from(u16::from(a) + u16::from(b)) / 255.0 - 1.0)
        .filter(|&c| c > 0.0)
        .sum()
}

/// Pixels of 0.1 mm.
fn spread_by(under: &Array2<u8>, over: &Array2<u8>, pixels: f64) -> Array2<u8> {
    spread(under.view(), over.view(), Length::um(100.0 * pixels).unwrap(), per_inch(254.0)).unwrap()
}

#[test]
fn butting_solids_overlap_by_the_length() {
    for degrees in [0.0_f64, 30.0, 45.0] {
        let (c, s) = (degrees.to_radians().cos(), degrees.to_radians().sin());
        for phase in [0.0, 0.4] {
            let under = drawn(64, |x, y| c * x + s * y < phase);
            let over = under.mapv(|t| 255 - t);
            for r in [0.5, 1.0, 2.0, 3.5] {
                let out = spread_by(&under, &over, r);
                // No gap, nothing taken away, nothing beyond the later ink.
                assert!(out.iter().zip(&under).all(|(a, b)| a >= b));
                if r >= 1.0 {
                    assert!(
                        out.iter().zip(&over).all(|(&a, &b)| u16::from(a) + u16::from(b) >= 252),
                        "a gap"
                    );
                }
                let inner = |plate: &Array2<u8>| -> f64 {
                    let near =
                        |(y, x): (usize, usize)| (c * (y as f64 - 31.5) - s * (x as f64 - 31.5)).abs() < 20.0;
                    plate.indexed_iter().filter(|(at, _)| near(*at)).map(|(_, &t)| f64::from(t) / 255.0).sum()
                };
                let width = (inner(&out) - inner(&under)) / 40.0;
                assert!((width - r).abs() < 0.1, "{degrees}°, {phase}: {width} for {r}");
            }
        }
    }
    // A disc in a sheet with a hole for it.
    let disc = drawn(64, |x, y| x * x + y * y < 18.0 * 18.0);
    let around = disc.mapv(|t| 255 - t);
    for r in [1.0, 2.0, 3.0] {
        let width =
            both(&spread_by(&disc, &around, r), &around) / (2.0 * std::f64::consts::PI * (18.0 + 0.5 * r));
        assert!((width - r).abs() < 0.1, "{width} for {r}");
    }
}

#[test]
fn nothing_else_is_spread() {
    let half = drawn(64, |x, _| x < 0.0);
    let right = |from: f64, tone: f64| drawn(64, move |x, _| x > from).mapv(|t| (f64::from(t) * tone) as u8);
    // A pixel apart; a tint; an overlap that is there already; nothing beside.
    let ramp =
        Array2::from_shape_fn((64, 64), |(_, x)| if x < 32 { 0 } else { (8 * (x - 31)).min(255) as u8 });
    for other in [right(1.0, 1.0), right(0.0, 0.6), right(-8.0, 1.0), right(31.0, 1.0), ramp] {
        assert_eq!(spread_by(&half, &other, 3.0), half);
    }
    // Only along the seam: below it the later ink ends.
    let corner = drawn(64, |x, y| x > 0.0 && y < 0.0);
    let out = spread_by(&half, &corner, 3.0);
    assert!(out.slice(s![36.., ..]) == half.slice(s![36.., ..]));
    assert!(out.slice(s![..28, 32..35]).iter().all(|&t| t > 250) && out[[20, 36]] == 0);
    // A tint has no solid to spread.
    let tint = half.mapv(|t| t / 2);
    assert_eq!(spread_by(&tint, &right(0.0, 1.0), 3.0), tint);
    assert_eq!(spread_by(&half, &right(0.0, 1.0), 0.0), half);

    let small = Array2::<u8>::zeros((3, 4));
    let length = |um: f64| Length::um(um).unwrap();
    let run = |um: f64| spread(half.view(), small.view(), length(um), per_inch(254.0));
    assert!(run(1.0).unwrap_err().to_string().contains("the later plate is 4 x 3, but 64 x 64"));
    let run =
        |um: f64| spread(half.view(), half.view(), length(um), per_inch(254.0)).unwrap_err().to_string();
    assert!(run(-1.0).contains("spread is -1 µm") && run(9000.0).contains("64 pixels"));
}
