//! The proof from films: shapes and colours computed elsewhere, flat tints against the proof from plates, geometry, refusals.

mod common;

use common::{cells, per_inch, random};
use dotwright::colour::{Drawdown, Ink, Overlap, Print, Relation, Shelf, ciede2000};
use dotwright::film::Rect;
use dotwright::press::gain::on_film;
use dotwright::proof::{Films, Lay, Picture};
use dotwright::{Curve, Dot, Film, Length, Mode, Resolution, Screen};
use ndarray::Array2;

fn um(micrometres: f64) -> Length {
    Length::um(micrometres).unwrap()
}

fn numbers(text: &str) -> Vec<f64> {
    text.split(' ').map(|n| n.parse().unwrap()).collect()
}

/// The films of tests/reference/proof_films.py.
fn small_films() -> Vec<Film> {
    let blocks = include_str!("reference/proof_films.txt").split("# ").skip(1);
    let film = |block: &str| {
        let rows: Vec<&str> = block.lines().skip(1).collect();
        let mut film = Film::new(rows[0].len(), rows.len()).unwrap();
        for (y, row) in rows.iter().enumerate() {
            row.bytes().enumerate().for_each(|(x, bit)| film.set(x, y, bit == b'1'));
        }
        film
    };
    blocks.map(film).collect()
}

/// The print of the same script: the first ink dried, the third on wet ink.
fn small_print() -> Print {
    let ink = |name: &str, white: &str, black: &str| -> Ink {
        let over = |ground: &str, colour: &str| Drawdown {
            ground: ground.parse().unwrap(),
            colour: colour.parse().unwrap(),
        };
        Ink::new(name, over("lab(95.5 -0.5 1)", white), over("lab(15 0.2 0.3)", black)).unwrap()
    };
    Print::on("lab(28 6 -18)".parse().unwrap())
        .ink(&ink("white", "lab(94.6 -0.4 2.2)", "lab(80 -0.2 1.5)"))
        .flash()
        .ink(&ink("straw", "lab(88 -3 62)", "lab(60.4 -2.4 26.8)"))
        .ink(&ink("poppy", "lab(50 66 44)", "lab(39.7 35.2 26.1)"))
        .wet(0.7)
        .build(&Overlap::independent(3).unwrap())
        .unwrap()
}

#[test]
fn every_pixel_prints_as_shapes_and_colours_computed_elsewhere() {
    let (films, print) = (small_films(), small_print());
    let views: Vec<_> = films.iter().map(Film::view).collect();
    // Case, its picture, and what is off: pixels, sum over the light of pixels, most, mean of the picture.
    let mut cases: Vec<(String, Picture, [f64; 3], Vec<f64>)> = Vec::new();
    for line in include_str!("reference/proof_films.csv").lines().skip(1) {
        let f: Vec<&str> = line.split(',').collect();
        let case = f[..5].join(",");
        if cases.last().is_none_or(|last| last.0 != case) {
            let resolution = |i: usize| Resolution::per_inch_xy(numbers(f[i])[0], numbers(f[i])[1]).unwrap();
            let mut proof = Films::new(&print, &views, resolution(1)).unwrap();
            for (film, lay) in f[4].split(';').enumerate() {
                let n = numbers(lay);
                let lay = Lay { growth: um(n[0]), shift: [um(n[1]), um(n[2])], stretch: [n[3], n[4]] };
                proof = proof.lay(film, lay).unwrap();
            }
            let place: Vec<usize> = numbers(f[3]).into_iter().map(|n| n as usize).collect();
            let piece = Rect { x: place[0], y: place[1], width: place[2], height: place[3] };
            cases.push((case, proof.proof_at(piece, resolution(2)).unwrap(), [0.0; 3], vec![0.0; 3]));
        }
        let (_, picture, off, mean) = cases.last_mut().unwrap();
        let y: usize = f[5].parse().unwrap();
        assert_eq!(f[6].split(';').count(), picture.width());
        for (x, pixel) in f[6].split(';').enumerate() {
            for ((found, expected), mean) in picture.at(x, y).0.iter().zip(numbers(pixel)).zip(&mut *mean) {
                *off =
                    [off[0] + 1.0, off[1] + (found - expected).abs(), off[2].max((found - expected).abs())];
                *mean += found - expected;
            }
        }
    }
    assert_eq!(cases.len(), 6);
    for (case, picture, [samples, sum, most], mean) in cases {
        assert_eq!(samples as usize, 3 * picture.width() * picture.height(), "{case}");
        let mean = mean.iter().fold(0.0_f64, |most, sum| most.max((3.0 * sum / samples).abs()));
        println!("{case}: {most:.5} at most, {:.6} a pixel, {mean:.6} over all", sum / samples);
        // The reference is written to 1e-5; with growth what the lines miss comes on top.
        let grows = ["grown", "all of it", "smaller"].iter().any(|name| case.starts_with(name));
        let bounds = if grows { [0.006, 2e-4, 2e-4] } else { [2e-5, 5e-6, 5e-6] };
        assert!(most < bounds[0] && sum / samples < bounds[1] && mean < bounds[2], "{case}");
    }
}

/// A print of random inks of the shelf on a random garment, flashed and wet at random.
fn random_print(law: &Overlap, random: &mut impl FnMut() -> f64) -> Print {
    let shelf = Shelf::read(concat!(env!("CARGO_MANIFEST_DIR"), "/examples/shelf.toml").as_ref()).unwrap();
    let mut pick = |n: usize| (random() * n as f64) as usize;
    let garments = ["#101014", "#23252b", "#f4f2ee", "#7a2430", "#1d3d6b", "#8d8f91"];
    let mut request = Print::on(garments[pick(6)].parse().unwrap()).wet(0.6 + 0.1 * pick(5) as f64);
    for _ in 0..law.plates() {
        request = request.ink(&shelf.inks()[pick(shelf.inks().len())]);
        if pick(3) == 0 {
            request = request.flash();
        }
    }
    request.build(law).unwrap()
}

/// Side of the films of tints in pixels: 1.4 inches.
const SIDE: usize = 1008;

/// A flat tint on film.
fn tint(screen: &Screen, tone: f64) -> Film {
    screen.film(Array2::from_elem((SIDE, SIDE), (tone * 65_535.0).round() as u16).view()).unwrap()
}

fn lays(proof: Films<'_>, count: usize, lay: Lay) -> Films<'_> {
    (0..count).fold(proof, |proof, film| proof.lay(film, lay).unwrap())
}

/// ΔE00 between the colour that the law tells of printed coverages and the mean of the films' proof, in some tints of random inks: the
/// median and the most.
fn apart(
    law: &Overlap,
    tints: usize,
    growth: Length,
    printed: impl Fn(usize, f64) -> f64,
    films: impl Fn(&[f64]) -> Vec<Film>,
) -> [f64; 2] {
    let mut random = random(0x2545_f491_4f6c_dd1d);
    let mut off: Vec<f64> = (0..tints)
        .map(|_| {
            let print = random_print(law, &mut random);
            let mut tones: Vec<f64> = (0..law.plates()).map(|_| random()).collect();
            // Side by side they share one area.
            if law.groups().iter().any(|group| matches!(group, Relation::SideBySide(_))) {
                let sum = tones.iter().sum::<f64>() / random();
                tones.iter_mut().for_each(|tone| *tone /= sum);
            }
            let films = films(&tones);
            let views: Vec<_> = films.iter().map(Film::view).collect();
            let proof = Films::new(&print, &views, per_inch(720.0)).unwrap();
            let proof = lays(proof, films.len(), Lay { growth, ..Lay::default() });
            let piece = Rect { x: 24, y: 24, width: SIDE - 48, height: SIDE - 48 };
            let seen = proof.proof_at(piece, per_inch(72.0)).unwrap().mean().to_lab();
            let tones: Vec<f64> = tones.iter().enumerate().map(|(i, &tone)| printed(i, tone)).collect();
            ciede2000(print.colour(&tones), seen)
        })
        .collect();
    off.sort_unstable_by(f64::total_cmp);
    [off[off.len() / 2], off[off.len() - 1]]
}

/// The same of screens, at their own overlap law, with edges that grow as the curves of their films tell.
fn apart_by(screens: &[&Screen], tints: usize, growth: f64) -> [f64; 2] {
    let curve = |screen: &&Screen| on_film(screen, per_inch(720.0), um(growth)).unwrap();
    let curves: Vec<Curve> = if growth == 0.0 { Vec::new() } else { screens.iter().map(curve).collect() };
    let printed = |i: usize, tone: f64| curves.get(i).map_or(tone, |curve| curve.eval(tone));
    let films = |tones: &[f64]| screens.iter().zip(tones).map(|(screen, &tone)| tint(screen, tone)).collect();
    apart(&Overlap::of(screens).unwrap(), tints, um(growth), printed, films)
}

fn at(lines: f64, degrees: f64) -> Screen {
    cells(per_inch(720.0), lines, degrees, Dot::ellipse(0.4, 0.6).unwrap())
}

/// Tints looked at for each set of screens; a longer look by DW_TINTS.
fn tints() -> usize {
    std::env::var("DW_TINTS").map_or(8, |n| n.parse().unwrap())
}

#[test]
fn flat_tints_agree_with_the_proof_from_plates() {
    let base = at(45.0, 22.5);
    let inverted = base.again(Mode::Inverted, None).unwrap();
    let (other, third, white) = (at(45.0, 52.5), at(45.0, 7.5), at(55.0, 61.0));
    let (fine, coarse) = (Screen::index(per_inch(720.0), 3), Screen::index(per_inch(720.0), 5));
    let (fine, coarse) = (fine.build().unwrap(), coarse.build().unwrap());
    let sets: [(&str, Vec<&Screen>); 7] = [
        ("one alone", vec![&base]),
        ("three angles", vec![&base, &other, &third]),
        ("nested", vec![&base, &base, &base]),
        ("in the gaps", vec![&base, &inverted]),
        ("six plates, two lattices", vec![&white, &base, &base, &base, &inverted, &white]),
        ("index dots of one size", vec![&fine, &fine, &fine]),
        ("index dots of two sizes", vec![&fine, &coarse]),
    ];
    for (name, screens) in sets {
        let [median, most] = apart_by(&screens, tints(), 0.0);
        let [median_grown, most_grown] = apart_by(&screens, tints(), 20.0);
        println!("{name}: median {median:.3}, most {most:.3}; grown {median_grown:.3}, {most_grown:.3}");
        assert!(most <= 0.5 && median_grown <= 0.5, "{name}: {most}, grown {median_grown}");
        // Dots and inverted ones that grow meet where their shapes do, not where their tones add up to solid.
        let gaps = screens.iter().any(|screen| screen.mode() == Mode::Inverted);
        assert!(most_grown <= if gaps { 3.0 } else { 0.5 }, "{name}: {most_grown}");
    }
    // Disjoint by construction: each plate takes the dots of a range of one order.
    let films = |tones: &[f64]| {
        let mut sum = 0.0;
        let taken = tones.iter().map(|tone| {
            let before = tint(&fine, sum);
            sum += tone;
            tint(&fine, sum).xor(&before).unwrap()
        });
        taken.collect()
    };
    let law = Overlap::side_by_side(4).unwrap();
    let [median, most] = apart(&law, tints(), um(0.0), |_, tone| tone, films);
    println!("side by side: median {median:.3}, most {most:.3}");
    assert!(most <= 0.5, "{most}");
    // Three angles that close: the product is the mean over registers only.
    let closing = [&base, &other, &at(45.0, 82.5)];
    let [median, most] = apart_by(&closing, tints(), 0.0);
    println!("three that close: median {median:.2}, most {most:.2}");
    assert!(median < 0.5 && most < 4.0, "{median} {most}");
}

/// One ink of light 1 on a garment of light 0: a proof is then the part that it covers.
fn covering() -> Print {
    let over =
        |ground: &str| Drawdown { ground: ground.parse().unwrap(), colour: "#fefefe".parse().unwrap() };
    let ink = Ink::new("chalk", over("#fdfdfd"), over("#101010")).unwrap();
    Print::on("#000000".parse().unwrap()).ink(&ink).build(&Overlap::independent(1).unwrap()).unwrap()
}

/// A film with ink in a rectangle.
fn block(sides: [usize; 2], left: usize, top: usize, width: usize, height: usize) -> Film {
    let mut film = Film::new(sides[0], sides[1]).unwrap();
    (0..width * height).for_each(|i| film.set(left + i % width, top + i / width, true));
    film
}

fn whole(film: &Film) -> Rect {
    Rect { x: 0, y: 0, width: film.width(), height: film.height() }
}

/// How much of the pixel from `pixel` on lies in a stretch.
fn share(pixel: usize, from: f64, to: f64) -> f64 {
    (to.min(pixel as f64 + 1.0) - from.max(pixel as f64)).max(0.0)
}

#[test]
fn a_film_lies_where_it_is_told_to_the_part_of_a_pixel() {
    let print = covering();
    let [bare, solid] = [print.primaries()[0].0[1], print.primaries()[1].0[1]];
    let film = block([40, 30], 10, 8, 7, 5);
    // 100 µm a pixel across, 50 down.
    let resolution = Resolution::per_inch_xy(254.0, 508.0).unwrap();
    let proof = |lay: Lay| {
        let films = Films::new(&print, &[film.view()], resolution).unwrap();
        films.lay(0, lay).unwrap().proof(whole(&film)).unwrap()
    };
    let check = |picture: &Picture, [left, right, top, bottom]: [f64; 4]| {
        for (y, x) in (0..30).flat_map(|y| (0..40).map(move |x| (y, x))) {
            let found = (picture.at(x, y).0[1] - bare) / (solid - bare);
            let expected = share(x, left, right) * share(y, top, bottom);
            assert!((found - expected).abs() < 1e-6, "{x} {y}: {found} for {expected}");
        }
    };
    check(&proof(Lay::default()), [10.0, 17.0, 8.0, 13.0]);
    // Right and down are positive, as in every picture: 2.25 pixels to the right, 0.4 up.
    let shift = [um(225.0), um(-20.0)];
    check(&proof(Lay { shift, ..Lay::default() }), [12.25, 19.25, 7.6, 12.6]);
    // About the film's middle, (20, 15).
    let stretch = [0.02, -0.05];
    let about = |middle: f64, place: f64, longer: f64| middle + (place - middle) * longer;
    let stretched =
        [about(20.0, 10.0, 1.02), about(20.0, 17.0, 1.02), about(15.0, 8.0, 0.95), about(15.0, 13.0, 0.95)];
    check(&proof(Lay { stretch, ..Lay::default() }), stretched);
    // Beyond the film there is nothing to print.
    check(&proof(Lay { shift: [Length::mm(1e4).unwrap(); 2], ..Lay::default() }), [0.0; 4]);
    // Growth rounds the corners: area a + 2 d (w + h) + pi d^2 in real length.
    let grown = proof(Lay { growth: um(130.0), ..Lay::default() });
    let area = 1200.0 * 0.1 * 0.05 * (grown.mean().0[1] - bare) / (solid - bare);
    let expected = 0.7 * 0.25 + 2.0 * 0.13 * (0.7 + 0.25) + std::f64::consts::PI * 0.13 * 0.13;
    assert!((area - expected).abs() < 3e-4 * expected, "{area} for {expected}");
}

#[test]
fn films_of_one_lattice_that_grow_alike_leave_no_rim() {
    let (films, print) = (small_films(), small_print());
    let resolution = per_inch(1210.0);
    let empty = Film::new(films[0].width(), films[0].height()).unwrap();
    let proof = Films::new(&print, &[films[0].view(), films[0].view(), empty.view()], resolution).unwrap();
    let proof = lays(proof, 2, Lay { growth: um(9.0), ..Lay::default() }).proof(whole(&empty)).unwrap();
    let (bare, both) = (print.primaries()[0].0, print.primaries()[0b011].0);
    for (y, x) in (0..empty.height()).flat_map(|y| (0..empty.width()).map(move |x| (y, x))) {
        // Light in between garment and both inks, never that of one ink alone.
        let part = |c: usize| (proof.at(x, y).0[c] - bare[c]) / (both[c] - bare[c]);
        assert!((part(0) - part(1)).abs() < 1e-5 && (part(1) - part(2)).abs() < 1e-4, "{x} {y}");
    }
}

#[test]
fn pieces_and_sizes_are_of_one_picture() {
    let (films, print) = (small_films(), small_print());
    let views: Vec<_> = films.iter().map(Film::view).collect();
    let mut proof = Films::new(&print, &views, per_inch(1200.0)).unwrap();
    for (film, growth) in [15.0, 0.0, -8.0].into_iter().enumerate() {
        let lay = Lay { growth: um(growth), shift: [um(13.0 * film as f64), um(-7.0)], stretch: [0.01, 0.0] };
        proof = proof.lay(film, lay).unwrap();
    }
    let all = proof.proof(whole(&films[0])).unwrap();
    let piece = Rect { x: 5, y: 3, width: 12, height: 9 };
    let cut = proof.proof(piece).unwrap();
    let small = proof.proof_at(piece, per_inch(400.0)).unwrap();
    assert_eq!([cut.width(), cut.height(), small.width(), small.height()], [12, 9, 4, 3]);
    for (y, x) in (0..9).flat_map(|y| (0..12).map(move |x| (y, x))) {
        for c in 0..3 {
            assert!((cut.at(x, y).0[c] - all.at(x + 5, y + 3).0[c]).abs() < 1e-6);
        }
    }
    for (y, x) in (0..3).flat_map(|y| (0..4).map(move |x| (y, x))) {
        for c in 0..3 {
            let sum: f64 = (0..9).map(|i| cut.at(3 * x + i % 3, 3 * y + i / 3).0[c]).sum();
            // Larger pixels are cut elsewhere, where their edges grow.
            assert!((small.at(x, y).0[c] - sum / 9.0).abs() < 2e-4);
        }
    }
    let none = proof.proof(Rect { width: 0, ..piece }).unwrap();
    assert_eq!((none.width(), none.height()), (0, 9));
    // Upright lines of a film in its place are its pixels as they are.
    let plain = Films::new(&print, &views, per_inch(1200.0)).unwrap().proof(whole(&films[0])).unwrap();
    for (y, x) in (0..films[0].height()).flat_map(|y| (0..films[0].width()).map(move |x| (y, x))) {
        let mask: usize = (0..3).map(|i| usize::from(films[i].get(x, y)) << i).sum();
        assert!(plain.at(x, y).0.iter().zip(print.primaries()[mask].0).all(|(a, b)| (a - b).abs() < 1e-6));
    }
}

#[test]
fn the_inch_lies_inside_of_the_films() {
    let (print, film) = (covering(), Film::new(1000, 300).unwrap());
    let films = Films::new(&print, &[film.view()], Resolution::per_inch_xy(360.0, 720.0).unwrap()).unwrap();
    let about = |x: f64, y: f64| films.inch_about([Length::inches(x).unwrap(), Length::inches(y).unwrap()]);
    assert_eq!(about(1.0, 0.2), Rect { x: 180, y: 0, width: 360, height: 300 });
    assert_eq!(about(-7.0, 9.0), Rect { x: 0, y: 0, width: 360, height: 300 });
    assert_eq!(about(1e300, 0.0).x, 640);
}

#[test]
fn what_is_no_set_of_films_is_refused() {
    let (print, other) = (small_print(), Film::new(27, 21).unwrap());
    let films = small_films();
    let views: Vec<_> = films.iter().map(Film::view).collect();
    let resolution = per_inch(1210.0);
    let refused =
        |films: &[dotwright::FilmView<'_>]| Films::new(&print, films, resolution).err().unwrap().to_string();
    assert_eq!(refused(&views[..2]), "number of films is 2; allowed: 3, one for each ink");
    assert_eq!(refused(&[views[0], views[1], other.view()]), "a film is 27 x 21, but 26 x 21 is needed");
    let proof = Films::new(&print, &views, resolution).unwrap();
    let lay = |film, lay| proof.clone().lay(film, lay).err().unwrap().to_string();
    assert!(lay(3, Lay::default()).starts_with("film is 3; allowed: 0 to 2"));
    assert!(lay(0, Lay { growth: um(-6000.0), ..Lay::default() }).contains("256 pixels at most"));
    let far = [um(0.0), Length::inches(-1001.0).unwrap()];
    assert!(lay(0, Lay { shift: far, ..Lay::default() }).contains("1000 inches"));
    for stretch in [f64::NAN, 0.11, f64::NEG_INFINITY] {
        assert!(lay(1, Lay { stretch: [0.0, stretch], ..Lay::default() }).contains("-0.1 to 0.1"));
    }
    assert!(proof.proof(Rect { x: 20, y: 0, width: 7, height: 4 }).is_err());
    // One inch at the finest: more pixels than any system has.
    let finest = Resolution::per_inch(100_000.0).unwrap();
    let large = Film::new(40_000, 1).unwrap();
    let single = covering();
    let coarse = Films::new(&single, &[large.view()], Resolution::per_inch(1.0).unwrap()).unwrap();
    assert!(coarse.proof_at(whole(&large), finest).is_err());
}
