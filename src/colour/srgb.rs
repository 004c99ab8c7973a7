//! sRGB codes: 8 and 16 bits to linear light and back.
//!
//! IEC 61966-2-1: with v = code/M, light is v/12.92 up to v = 0.04045 and ((v + 0.055)/1.055)^2.4 above. Decoding is one
//! look-up. An 8-bit code is found from light by a table of guesses and the thresholds half-way between codes, so it is the
//! nearest in code, always, at the cost of two look-ups; the plain formula takes some fifteen times as long
//! (`benches/colour.rs`) and is left to 16 bits.

use std::sync::LazyLock;

use crate::colour::spaces::LinearRgb;
use crate::plate::Tone;

/// A sample of coded sRGB: `u8` or `u16`.
pub trait Code: Tone {
    /// Linear light, 0…1, of a code.
    fn light(self) -> f64;

    /// The code nearest to linear light; below 0 (and not a number) gives 0, above 1 the highest.
    fn of_light(light: f64) -> Self;
}

impl Code for u8 {
    fn light(self) -> f64 {
        BYTES.light[usize::from(self)]
    }

    fn of_light(light: f64) -> Self {
        let light = light.clamp(0.0, 1.0);
        // Not a number becomes 0 here.
        let guess = BYTES.guess[(light * (GUESSES - 1) as f64) as usize];
        let above = BYTES.half_way.get(usize::from(guess)).is_some_and(|&half| light >= half);
        guess + Self::from(above)
    }
}

impl Code for u16 {
    fn light(self) -> f64 {
        WORDS[usize::from(self)]
    }

    fn of_light(light: f64) -> Self {
        (encoded(light.clamp(0.0, 1.0)) * 65_535.0 + 0.5) as u16
    }
}

impl LinearRgb {
    /// The linear light of three codes.
    pub fn from_srgb<T: Code>(codes: [T; 3]) -> Self {
        Self(codes.map(T::light))
    }

    /// The nearest codes; channels outside of 0…1 are brought into it.
    pub fn to_srgb<T: Code>(self) -> [T; 3] {
        self.0.map(T::of_light)
    }
}

/// Entries of the table of guesses. The curve is steepest in the dark, 12.92 · 255 codes for the whole range of light: with
/// more entries than that no entry spans more than one threshold.
const GUESSES: usize = 4096;

struct Bytes {
    light: [f64; 256],
    /// Light half-way, in code, between a code and the next.
    half_way: [f64; 255],
    /// The lowest code among the lights that share an entry.
    guess: Vec<u8>,
}

static BYTES: LazyLock<Bytes> = LazyLock::new(|| {
    let half_way: [f64; 255] = std::array::from_fn(|code| decoded((code as f64 + 0.5) / 255.0));
    let lowest = |entry: usize| {
        let light = entry as f64 / (GUESSES - 1) as f64;
        half_way.partition_point(|&half| half <= light) as u8
    };
    Bytes {
        light: std::array::from_fn(|code| decoded(code as f64 / 255.0)),
        half_way,
        guess: (0..GUESSES).map(lowest).collect(),
    }
});

static WORDS: LazyLock<Vec<f64>> =
    LazyLock::new(|| (0..=65_535).map(|code| decoded(f64::from(code) / 65_535.0)).collect());

pub(crate) fn decoded(v: f64) -> f64 {
    if v <= 0.04045 { v / 12.92 } else { libm::pow((v + 0.055) / 1.055, 2.4) }
}

pub(crate) fn encoded(light: f64) -> f64 {
    // The standard's knee in light; NaN takes the first branch and ends as 0.
    if light > 0.003_130_8 { 1.055 * libm::pow(light, 1.0 / 2.4) - 0.055 } else { light * 12.92 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn every_code_comes_back() {
        for code in 0..=255_u8 {
            assert_eq!(u8::of_light(code.light()), code);
        }
        for code in 0..=65_535_u16 {
            assert_eq!(u16::of_light(code.light()), code);
        }
        assert_eq!((255_u8.light(), 0_u8.light(), 65_535_u16.light()), (1.0, 0.0, 1.0));
        // 257 · 255 = 65 535: an 8-bit code and its widened twin are the same light.
        assert!((0..=255_u8).all(|c| (c.light() - (u16::from(c) * 257).light()).abs() < 1e-15));
    }

    #[test]
    fn light_out_of_range_is_brought_into_it() {
        for (light, code) in
            [(f64::NAN, 0), (-0.5, 0), (f64::NEG_INFINITY, 0), (1.5, 255), (f64::INFINITY, 255)]
        {
            assert_eq!(u8::of_light(light), code, "{light}");
            assert_eq!(u16::of_light(light), u16::from(code) * 257, "{light}");
        }
    }

    proptest! {
        #[test]
        fn an_8_bit_code_is_the_nearest(light in 0.0..1.0f64) {
            let plain = (encoded(light) * 255.0 + 0.5) as u8;
            // Only where light is half-way to rounding may the two differ.
            let tie = (encoded(light) * 255.0).fract();
            prop_assert!(u8::of_light(light) == plain || (tie - 0.5).abs() < 1e-3 * 0.5, "{}", light);
        }
    }
}
