//! Packed rows moved, mirrored and complemented: eight pixels and more at a time.

/// ORs a packed row of `width` pixels into another, beginning at pixel `x` there, where all of it must lie. What the row holds past its
/// width does not count.
pub(super) fn paste(row: &[u8], width: usize, x: usize, out: &mut [u8]) {
    let bytes = width.div_ceil(8);
    let (row, out) = (&row[..bytes], &mut out[x / 8..]);
    let Some((&last, whole)) = row.split_last() else { return };
    let (shift, last) = (x % 8, last & !(0xff_u16 >> (width - 8 * whole.len())) as u8);
    if shift == 0 {
        for (out, bits) in out.iter_mut().zip(whole) {
            *out |= bits;
        }
        out[whole.len()] |= last;
        return;
    }
    // A byte of the result holds the end of one byte and the beginning of the next.
    let split = |bits: u8| (bits >> shift, bits << (8 - shift));
    if let Some(&first) = whole.first() {
        out[0] |= split(first).0;
        for (out, pair) in out[1..].iter_mut().zip(whole.windows(2)) {
            *out |= split(pair[0]).1 | split(pair[1]).0;
        }
        out[whole.len()] |= split(whole[whole.len() - 1]).1;
    }
    let (head, tail) = split(last);
    out[whole.len()] |= head;
    if tail != 0 {
        out[bytes] |= tail;
    }
}

/// Turns a packed row of `width` pixels left for right. Bits past the width must be 0 and are so afterwards.
pub(super) fn mirror(row: &mut [u8], width: usize) {
    let row = &mut row[..width.div_ceil(8)];
    row.reverse();
    for byte in row.iter_mut() {
        *byte = byte.reverse_bits();
    }
    // What was past the right end is now before the left one.
    let pad = 8 * row.len() - width;
    if pad > 0 {
        for i in 1..row.len() {
            row[i - 1] = row[i - 1] << pad | row[i] >> (8 - pad);
        }
        if let Some(last) = row.last_mut() {
            *last <<= pad;
        }
    }
}

/// Changes ink and bare over in a packed row of `width` pixels; the bits past the width become 0.
pub(super) fn complement(row: &mut [u8], width: usize) {
    for byte in row.iter_mut() {
        *byte = !*byte;
    }
    if let (Some(last), pad @ 1..) = (row.last_mut(), width % 8) {
        *last &= !(0xff >> pad);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn get(row: &[u8], x: usize) -> bool {
        row[x / 8] & (0x80 >> (x % 8)) != 0
    }

    proptest! {
        #[test]
        fn rows_move_as_their_pixels_do(bits: Vec<u8>, cut in 0usize..8, x in 0usize..40, below in 0usize..40, seed: u8) {
            let width = (8 * bits.len()).saturating_sub(cut);
            let whole = x + width + below;
            let before = vec![seed; whole.div_ceil(8)];
            let mut out = before.clone();
            paste(&bits, width, x, &mut out);
            for i in 0..8 * out.len() {
                let pasted = (x..x + width).contains(&i) && get(&bits, i - x);
                prop_assert_eq!(get(&out, i), get(&before, i) || pasted, "{}", i);
            }
            let mut clean = vec![0; bits.len()];
            paste(&bits, width, 0, &mut clean);
            let mut turned = clean.clone();
            mirror(&mut turned, width);
            for i in 0..8 * turned.len().min(width.div_ceil(8)) {
                prop_assert_eq!(get(&turned, i), i < width && get(&clean, width - 1 - i));
            }
            mirror(&mut turned, width);
            prop_assert_eq!(&turned, &clean);
            turned.truncate(width.div_ceil(8));
            complement(&mut turned, width);
            for i in 0..8 * turned.len() {
                prop_assert_eq!(get(&turned, i), i < width && !get(&clean, i));
            }
        }
    }
}
