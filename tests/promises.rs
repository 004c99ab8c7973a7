//! The promises of the law, each as a test: exact tone, growth, complement, one bit for one place.

mod common;

use common::{angle, flat, flat_u16, per_inch, screens};
use dotwright::film::{FilmMut, row_bytes};
use dotwright::{Curve, Dot, Film, LineCount, Mode, Placed, Sampling, Screen};
use ndarray::{Array2, s};
use proptest::prelude::*;

/// Steep in the lights, and a solid that is held back.
fn curves() -> [Option<Curve>; 3] {
    [
        None,
        Some(Curve::through(&[(0.1, 0.5), (0.5, 0.9), (1.0, 1.0)]).unwrap()),
        Some(Curve::through(&[(0.5, 0.2), (1.0, 0.8)]).unwrap()),
    ]
}

/// Ink pixels of one brick at every tone, by the histogram of thresholds.
fn ink_by_tone(thresholds: impl Iterator<Item = usize>, levels: usize) -> Vec<u64> {
    let mut at = vec![0_u64; levels];
    for threshold in thresholds {
        // Ink ⇔ tone > threshold; a threshold of the highest tone never is.
        if threshold + 1 < levels {
            at[threshold + 1] += 1;
        }
    }
    at.iter()
        .scan(0, |sum, n| {
            *sum += n;
            Some(*sum)
        })
        .collect()
}

/// Half of the largest step, in parts of the brick.
fn half_step(screen: &Screen) -> f64 {
    let order = screen.brick().order();
    let mut middles: Vec<u32> = order.to_vec();
    middles.sort_unstable();
    let longest = middles.chunk_by(|a, b| a == b).map(<[u32]>::len).max().unwrap();
    0.5 * longest as f64 / order.len() as f64
}

#[test]
fn tone_is_exact_at_every_level() {
    for (name, screen) in screens() {
        let half = half_step(screen);
        if !name.contains("index cells") && !name.contains("array") {
            assert!((half - 0.5 / screen.brick().len() as f64).abs() < 1e-15, "{name}: single steps");
        }
        for mode in [Mode::Normal, Mode::Inverted] {
            for curve in curves() {
                let screen = screen.again(mode, curve.as_ref()).unwrap();
                let bytes = screen.thresholds_u8();
                let words = screen.thresholds_u16();
                let pixels = bytes.len() as f64;
                for (levels, ink) in [
                    (256, ink_by_tone(bytes.iter().map(|&t| usize::from(t)), 256)),
                    (65_536, ink_by_tone(words.iter().map(|&t| usize::from(t)), 65_536)),
                ] {
                    assert_eq!(ink[0], 0, "{name}: ink at tone 0");
                    for (k, &ink) in ink.iter().enumerate() {
                        let tone = k as f64 / (levels - 1) as f64;
                        let wanted = curve.as_ref().map_or(tone, |c| c.eval(tone));
                        let off = (ink as f64 / pixels - wanted).abs();
                        assert!(
                            off <= half * (1.0 + 1e-9) + 1e-9,
                            "{name} {mode:?}: {off} at {k} of {levels}"
                        );
                    }
                }
            }
        }
    }
}

#[test]
fn fifty_levels_run_through_the_pixels_hold_their_tone() {
    for (name, screen) in screens() {
        let tiling = screen.tiling();
        // Any rectangle as wide and high as the brick holds every threshold once.
        let (width, height) = (tiling.width, tiling.height);
        let half = half_step(screen);
        for mode in [Mode::Normal, Mode::Inverted] {
            let screen = screen.again(mode, None).unwrap();
            for k in (0..50).map(|i| i * 255 / 49) {
                let film =
                    screen.film(Placed::new(flat(width, height, k as u8).view()).at(-7, 1003)).unwrap();
                let off = (film.coverage() - k as f64 / 255.0).abs();
                assert!(off <= half * (1.0 + 1e-9), "{name} {mode:?}: {off} at {k}");
                let same =
                    screen.film(Placed::new(flat_u16(width, height, k as u16 * 257).view()).at(-7, 1003));
                assert_eq!(same.unwrap(), film, "{name}: 8 and 16 bits differ at {k}");
            }
        }
    }
}

#[test]
fn darker_tones_contain_lighter_ones() {
    for (name, screen) in screens() {
        for mode in [Mode::Normal, Mode::Inverted] {
            let screen = screen.again(mode, None).unwrap();
            let mut last = Film::new(211, 97).unwrap();
            for k in (0..=255).step_by(5) {
                let film = screen.film(flat(211, 97, k).view()).unwrap();
                assert_eq!(film.and(&last).unwrap(), last, "{name} {mode:?} at {k}");
                last = film;
            }
            assert_eq!(last.count(), 211 * 97, "{name} {mode:?}: solid is not solid");
        }
    }
}

#[test]
fn inverted_is_the_complement_of_normal() {
    for (name, screen) in screens() {
        let inverted = screen.again(Mode::Inverted, None).unwrap();
        for k in [0, 1, 20, 100, 127, 128, 200, 254, 255] {
            let dots = screen.film(flat(150, 90, 255 - k).view()).unwrap();
            assert_eq!(inverted.film(flat(150, 90, k).view()).unwrap(), dots.complement(), "{name} at {k}");
        }
    }
}

#[test]
fn normal_and_inverted_never_overlap_while_they_fit() {
    for (name, screen) in screens() {
        for (normal, inverted) in curves().into_iter().zip(curves().into_iter().rev()) {
            let (a, b) = (
                screen.again(Mode::Normal, normal.as_ref()).unwrap(),
                screen.again(Mode::Inverted, inverted.as_ref()).unwrap(),
            );
            let value = |curve: &Option<Curve>, k: u8| {
                let tone = f64::from(k) / 255.0;
                curve.as_ref().map_or(tone, |c| c.eval(tone))
            };
            let mut met = 0;
            for k in (0..=255).step_by(15) {
                // The darkest inverted tone that still fits beside k.
                let fits = |other: u8| value(&normal, k) + value(&inverted, other) <= 1.0 - 1e-9;
                let Some(other) = (0..=255).rev().find(|&o| fits(o)) else { continue };
                let dots = a.film(flat(180, 120, k).view()).unwrap();
                let gaps = b.film(flat(180, 120, other).view()).unwrap();
                assert_eq!(dots.and(&gaps).unwrap().count(), 0, "{name}: {k} and {other}");
                met += usize::from(dots.count() > 0 && gaps.count() > 0);
            }
            assert!(met > 3, "{name}: hardly a pair was tried");
        }
    }
}

#[test]
fn index_dots_are_whole() {
    for (resolution, sides) in [("720x1440", [3, 6]), ("1200", [3, 3])] {
        let screen = Screen::index(resolution.parse().unwrap(), 3).build().unwrap();
        assert_eq!(screen.index_pixels(), sides);
        let film = screen.film(flat(60 * sides[0], 40 * sides[1], 90).view()).unwrap();
        for y in 0..film.height() {
            for x in 0..film.width() {
                let corner = film.get(x / sides[0] * sides[0], y / sides[1] * sides[1]);
                assert_eq!(film.get(x, y), corner, "{x} {y}");
            }
        }
    }
    let snapped = Screen::index_pitch(per_inch(1200.0), 190.0).build().unwrap();
    assert_eq!(snapped.index_pixels(), [6, 6]);
}

#[test]
fn an_own_array_fills_in_its_order_and_ties_together() {
    // B. E. Bayer's matrix of 1973 for four by four, by its recursion.
    let bayer = ndarray::array![[0, 8, 2, 10], [12, 4, 14, 6], [3, 11, 1, 9], [15, 7, 13, 5]];
    let screen = Screen::array(bayer.view()).unwrap().build().unwrap();
    for k in 0..=255_u8 {
        let film = screen.film(flat(4, 4, k).view()).unwrap();
        for ((y, x), &rank) in bayer.indexed_iter() {
            assert_eq!(film.get(x, y), u32::from(k) * 32 > (2 * rank + 1) * 255, "{k} at {x} {y}");
        }
    }
    let ties = ndarray::array![[5, 5, 9, 1000]];
    let screen = Screen::array(ties.view()).unwrap().build().unwrap();
    let ink = |k| screen.film(flat(4, 1, k).view()).unwrap().count();
    // The pair comes at one quarter, the middle of its half; the others at five and at seven eighths.
    assert_eq!([63, 64, 159, 160, 223, 224].map(ink), [0, 2, 2, 3, 3, 4]);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..Default::default() })]

    #[test]
    fn cuts_strides_and_threads_change_no_bit(
        width in 1usize..700, height in 1usize..40, which in 0usize..10, seed in any::<u32>(),
        origin in (any::<i32>(), any::<i32>()), far in any::<bool>(),
        cut in (0.0f64..1.0, 0.0f64..1.0, 0.0f64..1.0, 0.0f64..1.0), spare in 0usize..5,
        depth in 0u8..3, plate_per_inch in prop::sample::select(vec![1200.0, 300.0, 500.0, 1700.0]),
        linear in any::<bool>(),
    ) {
        let all = screens();
        let (_, screen) = &all[which % all.len()];
        let bytes = Array2::from_shape_fn((height, width), |(y, x)| {
            (seed.wrapping_mul((y * 977 + x * 31 + 1) as u32).wrapping_mul(0x9e37_79b1) >> 24) as u8
        });
        let words = bytes.mapv(|b| u16::from(b) * 251);
        let floats = bytes.mapv(|b| f32::from(b) / 250.0 - 0.01);
        let sampling = if linear { Sampling::Linear } else { Sampling::Nearest };
        let (plate_resolution, film_resolution) = (per_inch(plate_per_inch), per_inch(1200.0));
        let place = |plate: dotwright::Plate<'static>| {
            Placed::resampled(plate, plate_resolution, film_resolution, sampling).unwrap()
        };
        // Leaked so that one type of plate serves all three; a few kilobytes a case.
        let placed = match depth {
            0 => place(Box::leak(Box::new(bytes)).view().into()),
            1 => place(Box::leak(Box::new(words)).view().into()),
            _ => place(Box::leak(Box::new(floats)).view().into()),
        };
        let (x0, y0) = (i64::from(origin.0) << if far { 30 } else { 0 }, i64::from(origin.1) << if far { 30 } else { 0 });
        let placed = placed.at(x0, y0);
        let whole = screen.film(placed).unwrap();
        prop_assert_eq!(&screen.film_threaded(placed).unwrap(), &whole);

        let part = |a: f64, b: f64, n: usize| {
            let (a, b) = ((a * n as f64) as usize, (b * n as f64) as usize);
            (a.min(b), a.max(b) - a.min(b))
        };
        let (tx, tw) = part(cut.0, cut.1, whole.width());
        let (ty, th) = part(cut.2, cut.3, whole.height());
        let stride = row_bytes(tw) + spare;
        let mut bits = vec![0xa5_u8; stride * th];
        let out = FilmMut::new(tw, th, stride, &mut bits).unwrap();
        screen.run(&placed, (x0 + tx as i64, y0 + ty as i64), out).unwrap();
        for y in 0..th {
            for x in 0..tw {
                let got = bits[y * stride + x / 8] & (0x80 >> (x % 8)) != 0;
                prop_assert_eq!(got, whole.get(tx + x, ty + y), "{} {}", x, y);
            }
            // Nothing between the rows is touched.
            prop_assert!(bits[y * stride + row_bytes(tw)..(y + 1) * stride].iter().all(|&b| b == 0xa5));
        }
    }

    #[test]
    fn a_plate_need_not_be_contiguous(step in 1isize..4, flip in any::<bool>()) {
        let (_, screen) = &screens()[0];
        let large = Array2::from_shape_fn((90, 150), |(y, x)| (x * 3 + y) as u8);
        let step = if flip { -step } else { step };
        let view = large.slice(s![..;step, ..;step]);
        let own = view.to_owned();
        prop_assert_eq!(screen.film(view).unwrap(), screen.film(own.view()).unwrap());
        let turned = large.t();
        prop_assert_eq!(screen.film(turned).unwrap(), screen.film(turned.to_owned().view()).unwrap());
    }
}

#[test]
fn tiles_off_the_plate_and_empty_plates_are_refused() {
    let (_, screen) = &screens()[0];
    let plate = flat(20, 10, 128);
    let placed = Placed::new(plate.view()).at(5, 5);
    let mut bits = [0_u8; 64];
    for (at, width, height) in [((4, 5), 8, 1), ((5, 4), 8, 1), ((18, 5), 8, 1), ((5, 14), 8, 2)] {
        let out = FilmMut::new(width, height, 1, &mut bits).unwrap();
        let message = screen.run(&placed, at, out).unwrap_err().to_string();
        assert!(message.contains("tile") && message.contains("20 x 10"), "{message}");
    }
    assert!(screen.run(&placed, (-99, 0), FilmMut::new(0, 3, 0, &mut bits).unwrap()).is_ok());
    assert!(screen.film(Array2::<u8>::zeros((0, 5)).view()).is_err());
    // The last pixel must have a 64-bit place.
    assert!(screen.film(Placed::new(plate.view()).at(i64::MAX, 0)).is_err());
    assert!(screen.film(Placed::new(plate.view()).at(i64::MAX - 19, i64::MIN)).is_ok());
}

#[test]
fn requests_that_cannot_be_met_are_refused() {
    let lines = |n| LineCount::per_inch(n).unwrap();
    assert!(Screen::index(per_inch(1200.0), 0).build().is_err());
    assert!(Screen::index(per_inch(1200.0), 257).build().is_err());
    assert!(Screen::index_pitch(per_inch(1200.0), f64::NAN).build().is_err());
    assert!(Screen::index_pitch(per_inch(1200.0), 5000.0).build().is_err());
    assert!(Screen::array(Array2::<u32>::zeros((0, 4)).view()).is_err());
    assert!(Screen::array(Array2::<u32>::zeros((4, 4)).view()).unwrap().limit(15).build().is_err());
    let small = Screen::cells(per_inch(600.0), lines(301.0), angle(0.0), Dot::Round).build();
    assert!(small.unwrap_err().to_string().contains("at least 2 px"));
}

/// Computed on x86-64; the arithmetic is the same everywhere.
const PINNED: [u64; 7] = [
    0x3413_b51c_01df_af01,
    0x54da_03d8_0a3c_6781,
    0x61dd_6a2f_0098_0eb1,
    0x3118_3d61_f151_f1d9,
    0x5800_7e29_c09a_8c51,
    0xc492_a732_e18a_87e1,
    0xd5b6_3480_141c_a6c5,
];

#[test]
fn the_order_is_the_same_on_every_processor() {
    // Pinned bits: a change of these numbers is a change of every film. FNV-1a over the order, 32 bits at a time.
    let lines = LineCount::per_inch(45.0).unwrap();
    let dots = [
        Dot::Round,
        Dot::Euclidean,
        Dot::ellipse(0.4, 0.6).unwrap(),
        Dot::ellipse(0.3, 0.5).unwrap(),
        Dot::Line,
        Dot::Diamond,
        Dot::Square,
    ];
    let found = dots.map(|dot| {
        let screen =
            Screen::cells("720x600".parse().unwrap(), lines, common::angle(22.5), dot).build().unwrap();
        let order = screen.brick().order().iter();
        order.fold(0xcbf2_9ce4_8422_2325_u64, |hash, &n| (hash ^ u64::from(n)).wrapping_mul(0x0100_0000_01b3))
    });
    assert_eq!(found, PINNED, "{found:#018x?}");
}
