use super::*;
use crate::tone::density::YuleNielsen;
use approx::assert_abs_diff_eq;
use proptest::prelude::*;

/// A wedge of a press that prints a + 0.8·a(1 − a) − 0.1·a(1 − a)(1 − 2a), read by `read` from true coverage. Invented.
fn gained(a: f64) -> f64 {
    a + 0.8 * a * (1.0 - a) - 0.1 * a * (1.0 - a) * (1.0 - 2.0 * a)
}

fn wedge(scale: Scale, repeats: usize, mut read: impl FnMut(f64) -> Vec<f64>) -> Readings {
    let mut readings = Readings::new(scale);
    for i in 0..=20 {
        let film = f64::from(i) / 20.0;
        for _ in 0..repeats {
            readings.add(film, &read(gained(film))).unwrap();
        }
    }
    readings
}

fn mix(ground: [f64; 3], solid: [f64; 3], a: f64) -> Vec<f64> {
    (0..3).map(|i| ground[i] + a * (solid[i] - ground[i])).collect()
}

/// White plastisol on a black shirt, invented: X, Y, Z.
const BLACK_SHIRT: [f64; 3] = [2.1, 2.2, 1.9];
const WHITE_INK: [f64; 3] = [72.0, 75.5, 60.1];

#[test]
fn white_on_black_reads_as_black_on_white_does() {
    for (ground, solid, direction) in
        [(BLACK_SHIRT, WHITE_INK, Direction::Lighter), (WHITE_INK, BLACK_SHIRT, Direction::Darker)]
    {
        let told = wedge(Scale::Xyz, 1, |a| mix(ground, solid, a)).measure().unwrap();
        assert_eq!((told.direction, told.channel), (direction, Some(1)));
        assert_abs_diff_eq!(told.contrast, 0.733, epsilon = 1e-12);
        for patch in &told.patches {
            assert_abs_diff_eq!(patch.printed, gained(patch.film), epsilon = 1e-12);
        }
        assert!(told.worst_residual < 1e-9 && !told.noise_known);
        // The same print by density, zeroed on its ground or on white.
        for zero in [1.0, ground[1] / 100.0] {
            let by_density = wedge(Scale::Density, 1, |a| {
                mix(ground, solid, a).iter().map(|v| -(v / 100.0 / zero).log10()).collect()
            });
            let by_density = by_density.measure().unwrap();
            assert_eq!(by_density.direction, direction);
            for (a, b) in by_density.patches.iter().zip(&told.patches) {
                assert_abs_diff_eq!(a.printed, b.printed, epsilon = 1e-12);
            }
        }
    }
}

#[test]
fn yule_nielsen_undoes_its_own_spread() {
    // R = (a Rs^(1/n) + (1 − a) R0^(1/n))^n, n = 1.7: white on black, invented.
    let n = YuleNielsen::new(1.7).unwrap();
    let read = |a: f64| vec![(a * 0.75f64.powf(1.0 / 1.7) + (1.0 - a) * 0.03f64.powf(1.0 / 1.7)).powf(1.7)];
    let readings = wedge(Scale::Reflectance, 1, read).form(Form::Channel(n)).unwrap();
    for patch in readings.measure().unwrap().patches {
        assert_abs_diff_eq!(patch.printed, gained(patch.film), epsilon = 1e-12);
    }
    let plain = wedge(Scale::Reflectance, 1, read).measure().unwrap();
    assert!(plain.patches[10].printed < gained(0.5) - 0.05);
}

#[test]
fn spot_colours_are_straight_in_lightness() {
    // Along the straight way in (L* + 1.16 a*, L*, L* − 0.58 b*) the value is the share of the way; ISO 20654's form, from memory.
    let (ground, solid) = ([20.0, 1.0, -2.0], [68.0, 60.0, 70.0]);
    let told = wedge(Scale::Lab, 1, |a| mix(ground, solid, a)).form(Form::Spot).unwrap().measure().unwrap();
    assert_eq!((told.channel, told.direction), (None, Direction::Lighter));
    for patch in &told.patches {
        assert_abs_diff_eq!(patch.printed, gained(patch.film), epsilon = 1e-12);
    }
    assert!(Readings::new(Scale::Density).form(Form::Spot).is_err());
}

#[test]
fn repeats_tell_the_noise_and_are_smoothed_within_it() {
    let mut state = 9u64;
    let mut noise = || {
        let mut one = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            (state >> 11) as f64 / (1u64 << 53) as f64
        };
        (0..12).map(|_| one()).sum::<f64>() - 6.0
    };
    let told =
        wedge(Scale::Reflectance, 4, |a| vec![0.03 + 0.7 * a + 0.007 * noise() + 0.03]).measure().unwrap();
    assert!(told.noise_known && (told.noise - 0.01).abs() < 0.0025, "{}", told.noise);
    assert!(told.patches.iter().all(|p| p.repeats == 4 && p.spread.is_some()));
    // The solid read low by two of its standard errors: that is in all tints, and no smoothing sees it.
    assert!(told.worst_residual < 0.02 && told.rms_residual > 0.001, "{}", told.rms_residual);
    for i in 0..=100 {
        let film = f64::from(i) / 100.0;
        assert_abs_diff_eq!(told.curve.eval(film), gained(film), epsilon = 0.02);
    }
}

#[test]
fn too_little_contrast_is_refused() {
    // Black ink on a black shirt, invented.
    let dark = wedge(Scale::Reflectance, 1, |a| vec![0.03 - 0.015 * a]).measure().unwrap_err().to_string();
    assert!(dark.contains("contrast") && dark.contains("0.0150"), "{dark}");
    let alike = wedge(Scale::Lab, 1, |a| vec![30.0 + 4.0 * a, 0.0, 0.0]).form(Form::Spot).unwrap();
    assert!(alike.measure().unwrap_err().to_string().contains("contrast"));
    let mut up = false;
    let noisy = wedge(Scale::Reflectance, 2, |a| {
        up = !up;
        vec![0.1 + 0.1 * a + if up { 0.01 } else { 0.0 }]
    });
    assert!(noisy.measure().unwrap_err().to_string().contains("repeats differ by 7.1 %"));
}

#[test]
fn tints_beyond_ground_or_solid_are_refused_by_name() {
    for (film, value, end) in [(0.9, 0.92, "the solid"), (0.1, 0.05, "the ground")] {
        let mut readings = wedge(Scale::Reflectance, 1, |a| vec![0.1 + 0.7 * a]);
        readings.patches.retain(|p| p.0 != film);
        readings.add(film, &[value]).unwrap();
        let why = readings.measure().unwrap_err().to_string();
        assert!(why.contains(end) && why.contains(&format!("{:.2} %", film * 100.0)), "{why}");
        // Little enough is noise.
        readings.patches.retain(|p| p.0 != film);
        readings.add(film, &[if film > 0.5 { 0.82 } else { 0.08 }]).unwrap();
        assert!(readings.measure().unwrap().curve.eval(film) <= 1.0);
        // Unless the noise is known to be small.
        assert!(readings.noise(0.001).unwrap().measure().is_err());
    }
}

#[test]
fn a_films_own_wedge_is_undone_before_the_press() {
    // A film printer that spreads (a + 0.3·a(1 − a)) measured by transmission density, film base 0.04, solid 3.9; then a press wedge printed
    // with films that were asked for without undoing it. Invented.
    let on_film = |a: f64| a + 0.3 * a * (1.0 - a);
    let mut film = Readings::new(Scale::Density);
    let mut press = Readings::new(Scale::Reflectance);
    for i in 0..=20 {
        let asked = f64::from(i) / 20.0;
        let light = (1.0 - on_film(asked)) * 10f64.powf(-0.04) + on_film(asked) * 10f64.powf(-3.9);
        film.add(asked, &[-light.log10()]).unwrap();
        press.add(asked, &[0.04 + 0.7 * gained(on_film(asked))]).unwrap();
    }
    let device = film.measure().unwrap();
    assert!(device.patches.iter().all(|p| (p.printed - on_film(p.film)).abs() < 1e-9));
    let press = press.asked_of(&device.curve).measure().unwrap();
    let ask = Curve::compensation(&press.curve, Some(&device.curve));
    for i in 1..20 {
        let tone = f64::from(i) / 20.0;
        assert_abs_diff_eq!(gained(on_film(ask.eval(tone))), tone, epsilon = 0.002);
    }
}

#[test]
fn tables_are_read_and_bad_ones_named() {
    let text = "film X Y Z\n0 84 87 74\n50 50 55 65\n# again\n50;50.4;55.2;65\n100,15,23,53\n";
    let told = Readings::from_table("w.csv", text, Scale::Xyz).unwrap();
    let told = told.told(On::Underbase, State::FlashDried).measure().unwrap();
    assert_eq!((told.channel, told.on, told.state), (Some(0), On::Underbase, State::FlashDried));
    assert_eq!(told.patches[1].repeats, 2);
    for bad in ["", "0 1 2\n", "0 84 87 74\n50 50 55\n", "0 84 87 -74\n", "a b\nc d\n", "0 NaN 1 1\n"] {
        let why = Readings::from_table("w.csv", bad, Scale::Xyz).unwrap_err().to_string();
        assert!(why.contains("w.csv"), "{why}");
    }
}

#[test]
fn wedges_that_lack_a_part_are_refused() {
    let mut readings = Readings::new(Scale::Reflectance);
    assert!(readings.measure().unwrap_err().to_string().contains("ground"));
    readings.add(0.0, &[0.8, 0.7]).unwrap();
    assert!(readings.add(0.5, &[0.8]).is_err() && readings.add(1.5, &[0.8, 0.7]).is_err());
    assert!(readings.measure().unwrap_err().to_string().contains("solid"));
    readings.add(1.0, &[0.1, 0.1]).unwrap();
    assert!(readings.measure().unwrap_err().to_string().contains("tint"));
    readings.add(0.5, &[0.4, 0.3]).unwrap();
    assert!(readings.measure().is_ok());
    assert!(readings.clone().channel(2).measure().unwrap_err().to_string().contains("0 to 1"));
    assert!(readings.noise(0.0).is_err());
    assert!(Readings::new(Scale::Density).add(0.0, &[]).is_err());
}

proptest! {
    #[test]
    fn nothing_panics_and_curves_never_fall(
        rows in prop::collection::vec((0u8..=10, -1f64..3.0, -1f64..3.0, -1f64..3.0), 0..40),
        scale in prop::sample::select(vec![Scale::Density, Scale::Reflectance, Scale::Xyz, Scale::Lab]),
        spot: bool,
    ) {
        let mut readings = Readings::new(scale);
        if spot {
            readings = readings.clone().form(Form::Spot).unwrap_or(readings);
        }
        for (film, a, b, c) in rows {
            let _ = readings.add(f64::from(film) / 10.0, &[a, b, c]);
        }
        if let Ok(told) = readings.measure() {
            prop_assert!(told.curve.table::<u8>().is_sorted());
            prop_assert!(told.rms_residual.is_finite());
        }
    }
}
