//! A plate: one ink's contone, as a borrowed view of 8-bit, 16-bit or floating-point coverage.
//!
//! Tone is ink: 0 is none, the highest value is solid. Pictures that hold brightness are turned round where they are read,
//! nowhere else. The screening kernels know two types, `u8` and `u16`; `f32` rows become `u16` on the way in
//! (NaN and below 0 → 0, above 1 → 65 535, else the nearest step).

use ndarray::ArrayView2;
use num_traits::{AsPrimitive, PrimInt, Unsigned};

/// A sample that the kernels compare directly: `u8` or `u16`.
pub trait Tone:
    PrimInt + Unsigned + AsPrimitive<u32> + Send + Sync + std::fmt::Debug + private::Sealed
{
    /// The solid tone, M in the law: 255 or 65 535.
    const SOLID: u32;
    /// From a value of 0…`SOLID`; higher bits are cut off.
    fn from_level(level: u32) -> Self;
}

impl Tone for u8 {
    const SOLID: u32 = 255;
    fn from_level(level: u32) -> Self {
        level as u8
    }
}

impl Tone for u16 {
    const SOLID: u32 = 65_535;
    fn from_level(level: u32) -> Self {
        level as u16
    }
}

mod private {
    pub trait Sealed {}
    impl Sealed for u8 {}
    impl Sealed for u16 {}
}

/// A borrowed plate, indexed `[row, column]`, in any memory layout.
#[derive(Debug, Clone, Copy)]
pub enum Plate<'a> {
    /// Coverage 0…255.
    U8(ArrayView2<'a, u8>),
    /// Coverage 0…65 535.
    U16(ArrayView2<'a, u16>),
    /// Coverage 0…1; anything else is brought into that range.
    F32(ArrayView2<'a, f32>),
}

impl<'a> From<ArrayView2<'a, u8>> for Plate<'a> {
    fn from(view: ArrayView2<'a, u8>) -> Self {
        Self::U8(view)
    }
}

impl<'a> From<ArrayView2<'a, u16>> for Plate<'a> {
    fn from(view: ArrayView2<'a, u16>) -> Self {
        Self::U16(view)
    }
}

impl<'a> From<ArrayView2<'a, f32>> for Plate<'a> {
    fn from(view: ArrayView2<'a, f32>) -> Self {
        Self::F32(view)
    }
}

impl Plate<'_> {
    /// Width in samples.
    pub fn width(&self) -> usize {
        self.dim().1
    }

    /// Height in rows.
    pub fn height(&self) -> usize {
        self.dim().0
    }

    fn dim(&self) -> (usize, usize) {
        match self {
            Self::U8(view) => view.dim(),
            Self::U16(view) => view.dim(),
            Self::F32(view) => view.dim(),
        }
    }

    /// Mean coverage, 0…1, of an area-weighted whole; 0 for an empty plate. Reads every sample once.
    pub fn coverage(&self) -> f64 {
        let (height, width) = self.dim();
        if height == 0 || width == 0 {
            return 0.0;
        }
        let mut sum = 0_u64;
        for y in 0..height {
            for x in 0..width {
                sum += u64::from(self.u16_at(y, x));
            }
        }
        sum as f64 / (height as f64 * width as f64 * f64::from(u16::SOLID))
    }

    /// One sample on the scale of 65 535. An 8-bit tone k becomes 257 k, which is the same coverage exactly.
    #[inline]
    pub(crate) fn u16_at(&self, row: usize, column: usize) -> u16 {
        match self {
            Self::U8(view) => u16::from(view[[row, column]]) * 257,
            Self::U16(view) => view[[row, column]],
            Self::F32(view) => u16_from_f32(view[[row, column]]),
        }
    }
}

/// The nearest step of 65 535; NaN and below 0 → 0, above 1 → 65 535. One half lies between two steps and goes down, so that two
/// halves add up to no more than solid.
#[inline]
pub(crate) fn u16_from_f32(coverage: f32) -> u16 {
    let exact = f64::from(coverage) * 65_535.0;
    // `as` cuts off the fraction, saturates and sends NaN to 0.
    if exact == 32_767.5 { 32_767 } else { (exact + 0.5) as u16 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use ndarray::array;

    #[test]
    fn floats_become_the_nearest_step() {
        for (coverage, step) in [
            (f32::NAN, 0),
            (f32::NEG_INFINITY, 0),
            (-0.1, 0),
            (0.0, 0),
            (0.5, 32_767),
            (1.0, 65_535),
            (1.5, 65_535),
            (f32::INFINITY, 65_535),
        ] {
            assert_eq!(u16_from_f32(coverage), step, "{coverage}");
        }
        for step in 0..=u16::MAX {
            assert_eq!(u16_from_f32(f32::from(step) / 65_535.0), step);
        }
    }

    #[test]
    fn coverage_is_the_same_in_every_sample_type() {
        let bytes = array![[0_u8, 51], [255, 204]];
        let words = bytes.mapv(|k| u16::from(k) * 257);
        let floats = bytes.mapv(|k| f32::from(k) / 255.0);
        assert_eq!(Plate::from(bytes.view()).coverage(), 0.5);
        assert_eq!(Plate::from(words.view()).coverage(), 0.5);
        assert_eq!(Plate::from(floats.view()).coverage(), 0.5);
    }
}
