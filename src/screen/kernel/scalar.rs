//! The kernel in plain Rust: eight comparisons to the byte.

use crate::plate::Tone;

/// Sets bit i of `out` (most significant first) where `tones[i] > thresholds[i]`, clears it elsewhere and past the end.
///
/// `thresholds` is at least as long as `tones`; `out` is ⌈tones/8⌉ bytes.
#[inline]
pub(crate) fn pack<T: Tone>(tones: &[T], thresholds: &[T], out: &mut [u8]) {
    let (tones, last_tones) = tones.as_chunks::<8>();
    let (thresholds, last_thresholds) = thresholds.as_chunks::<8>();
    let (whole, rest) = out.split_at_mut(tones.len());
    for ((byte, tones), thresholds) in whole.iter_mut().zip(tones).zip(thresholds) {
        *byte = packed(tones.iter().zip(thresholds));
    }
    if let Some(byte) = rest.first_mut() {
        let thresholds = thresholds.get(tones.len()).map_or(last_thresholds, |t| &t[..]);
        *byte = packed(last_tones.iter().zip(thresholds));
    }
}

#[inline]
fn packed<'a, T: Tone>(pairs: impl Iterator<Item = (&'a T, &'a T)>) -> u8 {
    pairs.zip((0..8).rev()).fold(0, |byte, ((tone, threshold), bit)| byte | u8::from(tone > threshold) << bit)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One line, as the law reads.
    fn naive<T: Tone>(tones: &[T], thresholds: &[T]) -> Vec<bool> {
        tones.iter().zip(thresholds).map(|(k, t)| k > t).collect()
    }

    fn check<T: Tone>(edges: &[u32]) {
        let mut state = 1_u32;
        let mut next = || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            let pick = state >> 16;
            // Half of the values at the edges, where comparisons go wrong.
            T::from_level(if pick & 1 == 0 { edges[pick as usize / 2 % edges.len()] } else { state >> 8 })
        };
        for len in 0..=300_usize {
            for spare in [0, 1, 9] {
                let tones: Vec<T> = (0..len).map(|_| next()).collect();
                let thresholds: Vec<T> = (0..len + spare).map(|_| next()).collect();
                let mut out = vec![0xff; len.div_ceil(8)];
                pack(&tones, &thresholds, &mut out);
                let expected = naive(&tones, &thresholds);
                for bit in 0..out.len() * 8 {
                    let got = out[bit / 8] & (0x80 >> (bit % 8)) != 0;
                    assert_eq!(got, expected.get(bit).copied().unwrap_or(false), "{len} {bit}");
                }
            }
        }
    }

    #[test]
    fn equals_the_naive_comparison() {
        check::<u8>(&[0, 1, 127, 128, 254, 255]);
        check::<u16>(&[0, 1, 255, 256, 32_767, 32_768, 65_534, 65_535]);
    }
}
