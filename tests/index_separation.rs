//! Index separation: one ink or none for each dot, in the amounts that print the art, however films are cut.
//!
//! Inks here are invented. Mixtures are held against scipy's beside their code (`separate::index`); here films are counted.

mod common;

#[path = "common/inks.rs"]
mod shelf;

use common::{angle, per_inch, random};
use dotwright::colour::separate::Intent;
use dotwright::colour::separate::index::{ArtOnFilm, IndexSeparation};
use dotwright::colour::{Ink, LinearRgb, Overlap, Print, Xyz, ciede2000};
use dotwright::film::Rect;
use dotwright::{Film, FilmMut, LineCount, Resolution, Screen};
use ndarray::{Array3, s};
use rustfft::{FftPlanner, num_complex::Complex};
use shelf::ink;

fn inks() -> Vec<Ink> {
    vec![
        ink("white", "#fcfcfa", "#e1e2e2"),
        ink("straw", "#ffd614", "#c09a10"),
        ink("red", "#d61e2d", "#a0202a"),
        ink("blue", "#143ca0", "#103080"),
        ink("teal", "#0096a0", "#007880"),
        ink("black", "#18171a", "#141416"),
    ]
}

fn print(garment: &str, inks: &[Ink]) -> Print {
    let request = inks.iter().fold(Print::on(garment.parse().unwrap()), |print, ink| print.ink(ink));
    request.build(&Overlap::side_by_side(inks.len()).unwrap()).unwrap()
}

fn film() -> Resolution {
    per_inch(600.0)
}

fn upright(pixels: usize) -> Screen {
    Screen::index(film(), pixels).build().unwrap()
}

fn turned() -> Screen {
    Screen::index_cells(film(), LineCount::per_inch(100.0).unwrap(), angle(22.5)).build().unwrap()
}

/// A picture with everything: ramps, noise, soft and hard edges of alpha, the garment's colour.
fn picture(width: usize, height: usize, garment: [u8; 3]) -> Array3<u8> {
    let mut random = random(3);
    Array3::from_shape_fn((height, width, 4), |(y, x, c)| {
        let noise = (40.0 * random()) as usize;
        match (c, y * 4 / height) {
            (3, 0) => 255,
            (3, 1) => (x * 255 / width) as u8,
            (3, _) => {
                if (x / 7 + y / 5) % 3 == 0 {
                    0
                } else {
                    255
                }
            }
            (_, 3) => garment[c],
            (0, _) => ((x * 215 / width) + noise) as u8,
            (1, _) => ((y * 215 / height) + noise) as u8,
            _ => (215 - x * 215 / width + noise) as u8,
        }
    })
}

fn codes(colour: Xyz) -> [u8; 3] {
    colour.to_linear().to_srgb()
}

/// What films print from afar: the mean light of every pixel, from the inks that it has.
fn mean(print: &Print, films: &[Film], rect: Rect) -> Xyz {
    let crops: Vec<Film> = films.iter().map(|film| film.view().crop(rect).unwrap()).collect();
    let (width, height) = (rect.width, rect.height);
    let mut sum = [0.0; 3];
    for (x, y) in (0..height).flat_map(|y| (0..width).map(move |x| (x, y))) {
        let inks =
            crops.iter().enumerate().fold(0, |inks, (i, film)| inks | usize::from(film.get(x, y)) << i);
        for (sum, light) in sum.iter_mut().zip(print.primaries()[inks].0) {
            *sum += light / (width * height) as f64;
        }
    }
    Xyz(sum)
}

#[test]
fn flat_tints_print_the_colour_asked() {
    for garment in ["#16161c", "#fafaf8", "#7a2030"] {
        let print = print(garment, &inks());
        let index = IndexSeparation::of(&print, &upright(2)).intent(Intent::Absolute).build().unwrap();
        let mut random = random(7);
        let (mut films_off, mut asked_off) = (Vec::new(), Vec::new());
        while films_off.len() < 40 {
            // A mixture of the inks' own colours, so that it can be mixed.
            let parts: Vec<f64> = (0..7).map(|_| -random().ln()).collect();
            let sum: f64 = parts.iter().sum();
            let alone = |ink: usize| print.primaries()[if ink == 6 { 0 } else { 1 << ink }].0;
            let colour = Xyz([0, 1, 2].map(|i| (0..7).map(|ink| parts[ink] / sum * alone(ink)[i]).sum()));
            let linear = colour.to_linear();
            if !linear.0.iter().all(|channel| (0.0..=1.0).contains(channel)) {
                continue;
            }
            // One tile of dots: 128 of 2 pixels a side.
            let code = linear.to_srgb::<u16>();
            let art = Array3::from_shape_fn((256, 256, 3), |(_, _, c)| code[c]);
            let films = index.films(&ArtOnFilm::new(art.view(), film(), film()).unwrap()).unwrap();
            let printed = mean(&print, &films, Rect { x: 0, y: 0, width: 256, height: 256 }).to_lab();
            let asked = LinearRgb::from_srgb(code);
            films_off.push(ciede2000(printed, index.colour(asked, 1.0).to_lab()));
            asked_off.push(ciede2000(printed, asked.to_xyz().to_lab()));
            // Each plate has its part of the dots, to within one of 16 384.
            for (film, coverage) in films.iter().zip(index.coverages(asked, 1.0)) {
                assert!((film.coverage() - coverage).abs() < 1.001 / 16_384.0);
            }
        }
        for off in [&mut films_off, &mut asked_off] {
            off.sort_by(f64::total_cmp);
        }
        let average = |off: &[f64]| off.iter().sum::<f64>() / off.len() as f64;
        println!(
            "{garment}: films against areas at most {:.3}; against the colour asked: median {:.3}, mean {:.3}, most {:.3}",
            films_off[39],
            asked_off[20],
            average(&asked_off),
            asked_off[39],
        );
        assert!(films_off[39] < 0.1);
        assert!(asked_off[20] <= 0.3 && average(&asked_off) <= 0.6);
    }
}

#[test]
fn no_two_plates_share_a_pixel() {
    let print = print("#16161c", &inks());
    let art = picture(97, 81, codes(print.primaries()[0]));
    for screen in [upright(5), upright(1), turned()] {
        let index = IndexSeparation::of(&print, &screen).build().unwrap();
        for own in [150.0, 600.0, 731.0] {
            let laid = ArtOnFilm::new(art.view(), per_inch(own), film()).unwrap();
            for films in [index.films(&laid).unwrap(), index.diffused(&laid).unwrap()] {
                assert!(films.iter().filter(|film| film.count() > 0).count() >= 5);
                let mut all = Film::new(laid.film_width(), laid.film_height()).unwrap();
                for film in &films {
                    assert_eq!(all.and(film).unwrap().count(), 0);
                    all = all.or(film).unwrap();
                }
            }
        }
    }
}

#[test]
fn a_dot_is_whole_and_the_same_however_films_are_cut() {
    let print = print("#16161c", &inks());
    let art = picture(120, 90, codes(print.primaries()[0]));
    for screen in [upright(5), turned()] {
        let index = IndexSeparation::of(&print, &screen).build().unwrap();
        let laid = ArtOnFilm::new(art.view(), per_inch(301.0), film()).unwrap().at(-57, 1003);
        let (width, height) = (laid.film_width(), laid.film_height());
        // On as many threads as there are.
        let whole = index.films(&laid).unwrap();
        let mut random = random(11);
        for _ in 0..40 {
            let part = |all: usize, random: &mut dyn FnMut() -> f64| {
                let from = (random() * all as f64) as usize;
                (from, 1 + (random() * (all - from) as f64) as usize)
            };
            let ((x, wide), (y, high)) = (part(width, &mut random), part(height, &mut random));
            let stride = wide.div_ceil(8) + 3;
            let mut bytes = vec![vec![0xa5_u8; stride * high]; 6];
            let mut out: Vec<FilmMut<'_>> =
                bytes.iter_mut().map(|bytes| FilmMut::new(wide, high, stride, bytes).unwrap()).collect();
            index.run(&laid, (x as i64 - 57, y as i64 + 1003), &mut out).unwrap();
            for (film, bytes) in whole.iter().zip(&bytes) {
                let expected = film.view().crop(Rect { x, y, width: wide, height: high }).unwrap();
                let rows = bytes.chunks(stride).flat_map(|row| &row[..wide.div_ceil(8)]).copied();
                assert_eq!(Film::from_bits(wide, high, rows.collect()).unwrap(), expected);
                assert!(bytes.chunks(stride).all(|row| row[wide.div_ceil(8)..].iter().all(|&b| b == 0xa5)));
            }
        }
    }
}

#[test]
fn the_garment_and_what_is_transparent_get_no_dot() {
    // Also garments whose colour no code has.
    for garment in ["#16161c", "#fafaf8", "lab(31.7 22.3 -40.1)", "lab(96 3 -2)"] {
        let print = print(garment, &inks());
        let code = codes(print.primaries()[0]);
        let mut random = random(5);
        let art = Array3::from_shape_fn((60, 200, 4), |(y, _, c)| match (y < 30, c) {
            (true, 3) => 255,
            (true, _) => code[c],
            (false, 3) => 0,
            (false, _) => (256.0 * random()) as u8,
        });
        for intent in [Intent::Adapted, Intent::Absolute] {
            for screen in [upright(4), turned()] {
                let index = IndexSeparation::of(&print, &screen).intent(intent).build().unwrap();
                let laid = ArtOnFilm::new(art.view(), per_inch(300.0), film()).unwrap();
                for films in [index.films(&laid).unwrap(), index.diffused(&laid).unwrap()] {
                    assert!(films.iter().all(|film| film.count() == 0), "{garment}");
                }
            }
        }
    }
}

#[test]
fn an_underbase_is_the_union_of_the_dots_that_need_it() {
    let mut all = inks();
    all.insert(0, ink("base", "#f8f8f4", "#e8e8e6"));
    let print = print("#16161c", &all);
    let index = IndexSeparation::of(&print, &upright(5)).underbase(0).build().unwrap();
    let art = picture(97, 81, codes(print.primaries()[0]));
    let laid = ArtOnFilm::new(art.view(), per_inch(150.0), film()).unwrap();
    for films in [index.films(&laid).unwrap(), index.diffused(&laid).unwrap()] {
        let mut colours = Film::new(laid.film_width(), laid.film_height()).unwrap();
        for (plate, film) in films.iter().enumerate().skip(1) {
            assert_eq!(colours.and(film).unwrap().count(), 0);
            colours = colours.or(film).unwrap();
            // None under black, under all of the others.
            let bare = film.and(&films[0].complement()).unwrap().count();
            assert_eq!(bare, if plate == 6 { film.count() } else { 0 }, "{plate}");
        }
        assert!(films[6].count() > 0);
        let asked = LinearRgb::from_srgb([200_u8, 60, 70]);
        let coverages = index.coverages(asked, 1.0);
        let under: f64 = coverages[1..6].iter().sum();
        assert!(coverages[0] >= under - 1e-9);
    }
    assert!(IndexSeparation::of(&print, &upright(5)).underbase(7).build().is_err());
}

#[test]
fn half_opaque_art_has_half_the_dots() {
    let print = print("#fafaf8", &inks());
    let index = IndexSeparation::of(&print, &upright(2)).build().unwrap();
    let art = LinearRgb::from_srgb([180_u8, 70, 60]);
    let (whole, half) = (index.coverages(art, 1.0), index.coverages(art, 0.5));
    for (whole, half) in whole.iter().zip(half) {
        assert!((0.5 * whole - half).abs() < 1e-12);
    }
    assert!(index.coverages(art, f64::NAN).iter().all(|&c| c == 0.0));
}

/// Low-frequency power of a pattern of 128 × 128 dots over that of white noise of its coverage, up to half the principal frequency √min(g, 1 − g).
fn low_frequencies(inked: impl Fn(usize, usize) -> f64) -> f64 {
    const SIDE: usize = 128;
    let cell = |i: usize| inked(i % SIDE, i / SIDE);
    let mean = (0..SIDE * SIDE).map(cell).sum::<f64>() / (SIDE * SIDE) as f64;
    let mut grid: Vec<Complex<f64>> = (0..SIDE * SIDE).map(|i| Complex::new(cell(i) - mean, 0.0)).collect();
    let white = grid.iter().map(|c| c.norm_sqr()).sum::<f64>() / (SIDE * SIDE) as f64;
    let fft = FftPlanner::new().plan_fft_forward(SIDE);
    for _ in 0..2 {
        grid.chunks_mut(SIDE).for_each(|row| fft.process(row));
        grid = (0..SIDE * SIDE).map(|i| grid[i % SIDE * SIDE + i / SIDE]).collect();
    }
    let most = 0.5 * mean.min(1.0 - mean).sqrt();
    let frequency = |i: usize| i.min(SIDE - i) as f64 / SIDE as f64;
    let (mut sum, mut count) = (0.0, 0.0);
    for (i, c) in grid.iter().enumerate().skip(1) {
        if frequency(i % SIDE).hypot(frequency(i / SIDE)) <= most {
            sum += c.norm_sqr() / (SIDE * SIDE) as f64 / white;
            count += 1.0;
        }
    }
    sum / count
}

#[test]
fn plates_are_blue_noise() {
    let print = print("#16161c", &inks());
    let index = IndexSeparation::of(&print, &upright(1)).intent(Intent::Absolute).build().unwrap();
    let (mut plates, mut light) = (Vec::new(), Vec::new());
    for art in [[120_u8, 60, 50], [90, 90, 90], [200, 170, 120], [60, 90, 120], [150, 130, 60], [40, 70, 70]]
    {
        let picture = Array3::from_shape_fn((128, 128, 3), |(_, _, c)| art[c]);
        let films = index.films(&ArtOnFilm::new(picture.view(), film(), film()).unwrap()).unwrap();
        for film in films.iter().filter(|film| (0.03..0.97).contains(&film.coverage())) {
            plates.push(low_frequencies(|x, y| f64::from(u8::from(film.get(x, y)))));
        }
        let lightness = |x, y| {
            let inks =
                films.iter().enumerate().fold(0, |inks, (i, film)| inks | usize::from(film.get(x, y)) << i);
            print.primaries()[inks].0[1]
        };
        light.push(low_frequencies(lightness));
    }
    let mean = |all: &[f64]| all.iter().sum::<f64>() / all.len() as f64;
    let most = |all: &[f64]| all.iter().copied().fold(0.0, f64::max);
    println!(
        "low-frequency power, white noise 1: plates {:.3} on average, {:.3} at most; light {:.3}, {:.3}",
        mean(&plates),
        most(&plates),
        mean(&light),
        most(&light)
    );
    assert!(plates.len() >= 15);
    assert!(mean(&plates) < 0.5 && most(&plates) < 0.9 && most(&light) < 0.3);
}

#[test]
fn error_diffusion_keeps_colour_and_owes_nothing_beyond_an_edge() {
    let print = print("#16161c", &inks());
    let index = IndexSeparation::of(&print, &upright(1)).build().unwrap();
    // A colour far outside of what can be mixed, beside a grey.
    let art =
        Array3::from_shape_fn((120, 240, 3), |(_, x, c)| if x >= 120 { 110_u8 } else { [0, 255, 0][c] });
    let films = index.diffused(&ArtOnFilm::new(art.view(), film(), film()).unwrap()).unwrap();
    let grey = index.colour(LinearRgb::from_srgb([110_u8; 3]), 1.0).to_lab();
    // Right behind the edge, and everywhere.
    for (x, width, most) in [(121, 16, 2.5), (121, 119, 0.5)] {
        let found = mean(&print, &films, Rect { x, y: 4, width, height: 112 }).to_lab();
        let off = ciede2000(found, grey);
        println!("{width} dots behind an edge of a colour out of reach: ΔE00 {off:.3}");
        assert!(off < most, "{off}");
    }
}

#[test]
fn requests_that_cannot_be_met_are_refused() {
    let print = print("#fafaf8", &inks());
    let growing = common::cells(film(), 45.0, 22.5, dotwright::Dot::Round);
    let told = |result: dotwright::Result<IndexSeparation>| result.unwrap_err().to_string();
    assert!(told(IndexSeparation::of(&print, &growing).build()).contains("index dots"));
    for knee in [1.0, -0.1, f64::NAN] {
        assert!(told(IndexSeparation::of(&print, &upright(3)).knee(knee).build()).contains("knee"));
    }
    let index = IndexSeparation::of(&print, &turned()).build().unwrap();
    let art = Array3::<u8>::zeros((9, 9, 3));
    let laid = ArtOnFilm::new(art.view(), film(), film()).unwrap();
    let mut films: Vec<Film> = (0..6).map(|i| Film::new(if i == 5 { 4 } else { 5 }, 5).unwrap()).collect();
    let mut refused = |count: usize, at: (i64, i64)| {
        let mut out: Vec<FilmMut<'_>> = films.iter_mut().take(count).map(Film::view_mut).collect();
        index.run(&laid, at, &mut out).unwrap_err().to_string()
    };
    assert!(refused(5, (0, 0)).contains("number of films"));
    assert!(refused(6, (0, 0)).contains("a film is 4 x 5"));
    let tile = |at: (i64, i64)| {
        let mut films: Vec<Film> = (0..6).map(|_| Film::new(5, 5).unwrap()).collect();
        let mut out: Vec<FilmMut<'_>> = films.iter_mut().map(Film::view_mut).collect();
        index.run(&laid, at, &mut out)
    };
    assert!(tile((4, 4)).is_ok());
    for at in [(5, 0), (0, 5), (-1, 0), (i64::MAX, i64::MIN)] {
        assert!(tile(at).unwrap_err().to_string().contains("tile"));
    }
    // Far off, but not too far; a lattice along the rows of pixels, too.
    let lines = LineCount::per_inch(100.0).unwrap();
    for screen in [turned(), upright(3), Screen::index_cells(film(), lines, angle(90.0)).build().unwrap()] {
        let index = IndexSeparation::of(&print, &screen).build().unwrap();
        let far = laid.at(1 << 38, -(1 << 38));
        assert!(index.films(&far).unwrap()[5].coverage() > 0.5);
        assert!(index.diffused(&far).unwrap()[5].coverage() > 0.5);
    }
    for at in [i64::MAX, i64::MIN, i64::MAX - 9] {
        assert!(index.films(&laid.at(at, 0)).unwrap_err().to_string().contains("place of art"));
        assert!(index.diffused(&laid.at(0, at)).is_err());
    }
    assert_eq!(
        index.films(&ArtOnFilm::new(art.slice(s![..1, ..1, ..]), film(), film()).unwrap()).unwrap().len(),
        6
    );
}
