//! Films of plates side by side: one bit for one place, whatever the samples, cuts, threads and curves; what is refused.

#[path = "common/beside.rs"]
mod beside;
mod common;

use std::sync::OnceLock;

use beside::{compact, level, overlap, picture, request, tints};
use common::{angle, flat_u16, per_inch};
use dotwright::film::{FilmMut, row_bytes};
use dotwright::screen::{Request, Sharing, SideBySide};
use dotwright::{Curve, Dot, Film, LineCount, Mode, Placed, Sampling, Screen};
use ndarray::Array2;
use proptest::prelude::*;

#[test]
fn while_no_dots_touch_films_are_the_ordinary_screens_moved() {
    // Well apart, as near as dots may be, and one plate alone at any tone.
    for (tones, is_apart) in [
        (&[0.17, 0.15, 0.2][..], true),
        (&[0.17; 4], true),
        (&[0.085; 8], true),
        (&[0.2; 4], false),
        (&[0.1; 8], false),
        (&[0.95, 0.0], true),
        (&[0.0, 0.7, 0.0], true),
        (&[0.0, 0.0, 0.0, 1.0, 0.0], true),
        (&[0.004; 10], true),
        (&[0.3, 0.03, 0.0], true),
    ] {
        let screen = compact(tones.len());
        let films = tints(&screen, tones, 300, 200);
        for (i, (film, &tone)) in films.iter().zip(tones).enumerate() {
            let [right, down] = screen.seed(i);
            let plate = flat_u16(300, 200, level(tone));
            let moved = Placed::new(plate.view()).at(-31 - right, 77 - down);
            let lost = screen.screen().film(moved).unwrap().xor(film).unwrap().count();
            // Where discs all but touch, two may claim a pixel at their edges.
            assert!(lost == 0 || !is_apart && lost < 50, "{tones:?}, plate {i}: {lost} px");
        }
    }
}

#[test]
fn pictures_never_overlap_in_any_sample_type() {
    for (plates, sharing) in [
        (1, Sharing::Compact),
        (2, Sharing::Compact),
        (5, Sharing::Compact),
        (12, Sharing::Compact),
        (5, Sharing::Rings),
    ] {
        let screen = SideBySide::build(&request(1200.0, 45.0, 22.5), plates, sharing).unwrap();
        let bytes = picture(plates, 333, 1200 / (plates + 4));
        let words: Vec<_> = bytes.iter().map(|plate| plate.mapv(|tone| u16::from(tone) * 257)).collect();
        let floats: Vec<_> = bytes.iter().map(|plate| plate.mapv(|tone| f32::from(tone) / 255.0)).collect();
        let films = screen.films(&bytes.iter().map(|p| p.view().into()).collect::<Vec<_>>()).unwrap();
        assert_eq!(overlap(&films), 0);
        assert!(films.iter().all(|film| film.count() > 0));
        assert_eq!(screen.films(&words.iter().map(|p| p.view().into()).collect::<Vec<_>>()).unwrap(), films);
        assert_eq!(screen.films(&floats.iter().map(|p| p.view().into()).collect::<Vec<_>>()).unwrap(), films);
        #[cfg(feature = "threads")]
        if plates <= 5 {
            // In several strips, the last of them less high.
            let large = picture(plates, 1500, 400);
            let large: Vec<Placed<'_>> = large.iter().map(|p| p.view().into()).collect();
            let whole = screen.films(&large).unwrap();
            assert_eq!(screen.films_threaded(&large).unwrap(), whole);
            let pool = rayon::ThreadPoolBuilder::new().num_threads(3).build().unwrap();
            assert_eq!(pool.install(|| screen.films_threaded(&large)).unwrap(), whole);
        }
    }
}

#[test]
fn pixels_are_those_of_flat_tints_of_their_tones() {
    // A pixel depends on nothing but its place and the tones there: each must be what a film of those tones alone has.
    let (screen, width, height) = (compact(3), 64, 9);
    let plates = picture(3, 700, 300);
    let films = screen.films(&plates.iter().map(|p| p.view().into()).collect::<Vec<_>>()).unwrap();
    let mut looked = 0;
    for (y, x) in
        (0..300 - height).step_by(23).flat_map(|y| (0..700 - width).step_by(31).map(move |x| (y, x)))
    {
        let alone: Vec<_> = plates.iter().map(|p| Array2::from_elem((height, width), p[[y, x]])).collect();
        let alone: Vec<_> = alone.iter().map(|p| Placed::new(p.view()).at(x as i64, y as i64)).collect();
        for (film, alone) in films.iter().zip(screen.films(&alone).unwrap()) {
            assert_eq!(film.get(x, y), alone.get(0, 0), "{x} {y}");
        }
        looked += 1;
    }
    assert!(looked > 200);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn cuts_strides_and_places_change_no_bit(
        rings: bool,
        origin in (-2_000_000_000_i32..2_000_000_000, -2_000_000_000_i32..2_000_000_000), far: bool,
        cut in (0.0f64..1.0, 0.0f64..1.0, 0.0f64..1.0, 0.0f64..1.0), spare in 0usize..3,
        plate_per_inch in prop_oneof![Just(1200.0), Just(300.0), 170.0f64..900.0], linear: bool,
    ) {
        static SCREENS: OnceLock<[SideBySide; 2]> = OnceLock::new();
        let screen = &SCREENS.get_or_init(|| {
            [Sharing::Compact, Sharing::Rings].map(|s| SideBySide::build(&request(1200.0, 55.0, 22.5), 4, s).unwrap())
        })[usize::from(rings)];
        let sampling = if linear { Sampling::Linear } else { Sampling::Nearest };
        let plates = picture(4, 211, 97);
        let (x0, y0) = (i64::from(origin.0) << if far { 31 } else { 0 }, i64::from(origin.1) << if far { 31 } else { 0 });
        let placed: Vec<_> = plates
            .iter()
            .map(|p| Placed::resampled(p.view(), per_inch(plate_per_inch), per_inch(1200.0), sampling).unwrap().at(x0, y0))
            .collect();
        let whole = screen.films(&placed).unwrap();
        prop_assert_eq!(overlap(&whole), 0);
        let part = |a: f64, b: f64, n: usize| {
            let (a, b) = ((a * n as f64) as usize, (b * n as f64) as usize);
            (a.min(b), a.max(b) - a.min(b))
        };
        let (tx, tw) = part(cut.0, cut.1, whole[0].width());
        let (ty, th) = part(cut.2, cut.3, whole[0].height());
        let stride = row_bytes(tw) + spare;
        let mut bits = vec![vec![0xa5_u8; stride * th]; 4];
        let mut films: Vec<_> = bits.iter_mut().map(|b| FilmMut::new(tw, th, stride, b).unwrap()).collect();
        screen.run(&placed, (x0 + tx as i64, y0 + ty as i64), &mut films).unwrap();
        for (bits, whole) in bits.iter().zip(&whole) {
            for y in 0..th {
                for x in 0..row_bytes(tw) * 8 {
                    let got = bits[y * stride + x / 8] & (0x80 >> (x % 8)) != 0;
                    prop_assert_eq!(got, x < tw && whole.get(tx + x, ty + y), "{} {}", x, y);
                }
                // Nothing between the rows is touched.
                prop_assert!(bits[y * stride + row_bytes(tw)..(y + 1) * stride].iter().all(|&b| b == 0xa5));
            }
        }
    }
}

#[test]
fn each_plate_has_its_own_curve() {
    let curve = Curve::through(&[(0.5, 0.2), (1.0, 0.8)]).unwrap();
    let plain = compact(3);
    let curved = plain.with_curves(&[None, Some(curve.clone()), None]).unwrap();
    assert!(curved.curve(1).is_some() && curved.curve(0).is_none());
    let bytes = [flat(70), flat(128), flat(40)];
    fn flat(tone: u8) -> Array2<u8> {
        common::flat(200, 200, tone)
    }
    let placed: Vec<Placed<'_>> = bytes.iter().map(|p| p.view().into()).collect();
    let films = curved.films(&placed).unwrap();
    let wanted = [70.0 / 255.0, curve.eval(128.0 / 255.0), 40.0 / 255.0];
    for (film, wanted) in films.iter().zip(wanted) {
        assert!((film.coverage() - wanted).abs() < 0.006, "{} for {wanted}", film.coverage());
    }
    // A request's own curve holds for every plate.
    let request = request(1200.0, 45.0, 22.5).curve(&curve);
    let all = SideBySide::build(&request, 3, Sharing::Compact).unwrap();
    assert_eq!(
        all.films(&placed).unwrap(),
        plain.with_curves(&vec![Some(curve); 3]).unwrap().films(&placed).unwrap()
    );
}

#[test]
fn what_cannot_be_is_refused() {
    let ask = |request: Request, plates, sharing| {
        SideBySide::build(&request, plates, sharing).unwrap_err().to_string()
    };
    let round = || request(1200.0, 45.0, 22.5);
    let line = Screen::cells(per_inch(1200.0), LineCount::per_inch(45.0).unwrap(), angle(0.0), Dot::Line);
    assert!(ask(round(), 0, Sharing::Compact).contains("plates side by side is 0; allowed: 1 to 12"));
    assert!(ask(round(), 13, Sharing::Rings).contains("1 to 12"));
    assert!(ask(round().mode(Mode::Inverted), 2, Sharing::Compact).contains("inverted"));
    assert!(ask(line.clone(), 2, Sharing::Compact).contains("Line; allowed: round or euclidean"));
    assert!(ask(Screen::index(per_inch(1200.0), 3), 2, Sharing::Compact).contains("cells"));
    assert!(SideBySide::build(&line, 2, Sharing::Rings).is_ok());
    assert_eq!("rings".parse::<Sharing>().unwrap(), Sharing::Rings);
    assert!("pies".parse::<Sharing>().is_err());

    let screen = compact(2);
    let (a, b, wide) = (common::flat(20, 10, 90), common::flat(20, 10, 20), common::flat(21, 10, 20));
    let words = |error: dotwright::Error| error.to_string();
    assert!(words(screen.films(&[a.view().into()]).unwrap_err()).contains("plates is 1; allowed: 2"));
    assert!(words(screen.films(&[a.view().into(), wide.view().into()]).unwrap_err()).contains("21 x 10"));
    let moved = Placed::new(b.view()).at(1, 0);
    assert!(words(screen.films(&[a.view().into(), moved]).unwrap_err()).contains("place"));
    let empty = Array2::<u8>::zeros((0, 5));
    assert!(screen.films(&[empty.view().into(), empty.view().into()]).is_err());
    assert!(screen.with_curves(&[None]).is_err());
    let (mut one, mut two) = (Film::new(8, 2).unwrap(), Film::new(9, 2).unwrap());
    let placed: [Placed<'_>; 2] = [a.view().into(), b.view().into()];
    assert!(screen.run(&placed, (0, 0), &mut [one.view_mut(), two.view_mut()]).is_err());
    assert!(screen.run(&placed, (0, 0), &mut [one.view_mut()]).is_err());
    let mut three = Film::new(8, 2).unwrap();
    assert!(screen.run(&placed, (13, 0), &mut [one.view_mut(), three.view_mut()]).is_err());
    assert!(screen.run(&placed, (12, 8), &mut [one.view_mut(), three.view_mut()]).is_ok());
    let (mut none, mut nothing) = (Film::new(0, 3).unwrap(), Film::new(0, 3).unwrap());
    assert!(screen.run(&placed, (-99, 0), &mut [none.view_mut(), nothing.view_mut()]).is_ok());
}

/// Computed on x86-64; the arithmetic is the same everywhere.
const PINNED: [u64; 2] = [0x255c_1b22_dde9_a5c9, 0xa31c_accf_8892_2ad2];

#[test]
fn films_are_the_same_on_every_processor() {
    // Pinned bits: a change of these numbers is a change of every film. FNV-1a over the rows.
    let found = [Sharing::Compact, Sharing::Rings].map(|sharing| {
        let screen = SideBySide::build(&request(1200.0, 45.0, 22.5), 6, sharing).unwrap();
        let plates = picture(6, 400, 300);
        let films = screen.films(&plates.iter().map(|p| p.view().into()).collect::<Vec<_>>()).unwrap();
        let bytes = films.iter().flat_map(Film::bits);
        bytes.fold(0xcbf2_9ce4_8422_2325_u64, |hash, &n| (hash ^ u64::from(n)).wrapping_mul(0x0100_0000_01b3))
    });
    assert_eq!(found, PINNED, "{found:#018x?}");
}
