//! Bilevel encoder for ITU-T Recommendation T.6 ("Group 4", MMR): TIFF compression 4 and PDF
//! `CCITTFaxDecode` with `K` = -1.
//!
//! T.6 describes each row by its *changing elements* (pixels whose colour differs from the pixel to
//! their left) relative to those of the row above, which for the first row is all white. Mode codes
//! are from T.6 table 1, run codes from T.4 tables 2, 3a and 3b; uncompressed mode is not used.
//! That leaves an encoder no choice, so its bytes can be compared with those of any correct other.
//!
//! Changing elements are found a 64-bit word at a time and listed once per row; the list is then
//! the next row's reference, so no pixel is looked at twice. The obvious alternative, the encoder
//! of the `fax` crate (0.3.0), takes an iterator of single pixels and is 3 to 4 times slower: 0.66
//! to 1.26 Gpx/s against 2.4 to 4.1 here (one core of an AMD EPYC; 1200 px/in, 55 lines/in, 22.5
//! degrees, tints of 10 to 90 %; most changes, at 50 %, is slowest). From a width of 32 768 on its
//! `i16` subtraction can overflow, which is a panic in builds that check for that.

/// A code word, right-aligned in `bits`.
#[derive(Clone, Copy)]
struct Code {
    bits: u16,
    len: u8,
}

/// Reads `N` code words, written as in the Recommendation and separated by single spaces.
const fn parse_codes<const N: usize>(groups: &[&str]) -> [Code; N] {
    let mut codes = [Code { bits: 0, len: 0 }; N];
    let mut count = 0;
    let mut group = 0;
    while group < groups.len() {
        let text = groups[group].as_bytes();
        let mut i = 0;
        while i < text.len() {
            if text[i] == b' ' {
                count += 1;
            } else {
                codes[count].bits = codes[count].bits << 1 | (text[i] == b'1') as u16;
                codes[count].len += 1;
            }
            i += 1;
        }
        count += 1;
        group += 1;
    }
    assert!(count == N);
    codes
}

/// Where a run table has make-up code 0, were there one: code 64 n is n entries further on.
const MAKE_UP: usize = 63;
/// The longest run that has a make-up code. Longer runs repeat it (T.4, note to table 3b).
const LONGEST_MAKE_UP: u32 = 2560;

/// Terminating codes 0..=63; make-up codes 64, 128, ..., 1728; those shared by both colours.
const WHITE_RUNS: [Code; 104] = parse_codes(&[
    "00110101 000111 0111 1000 1011 1100 1110 1111 10011 10100 00111 01000 001000 000011 110100 \
     110101 101010 101011 0100111 0001100 0001000 0010111 0000011 0000100 0101000 0101011 0010011 \
     0100100 0011000 00000010 00000011 00011010 00011011 00010010 00010011 00010100 00010101 \
     00010110 00010111 00101000 00101001 00101010 00101011 00101100 00101101 00000100 00000101 \
     00001010 00001011 01010010 01010011 01010100 01010101 00100100 00100101 01011000 01011001 \
     01011010 01011011 01001010 01001011 00110010 00110011 00110100",
    "11011 10010 010111 0110111 00110110 00110111 01100100 01100101 01101000 01100111 011001100 \
     011001101 011010010 011010011 011010100 011010101 011010110 011010111 011011000 011011001 \
     011011010 011011011 010011000 010011001 010011010 011000 010011011",
    SHARED_MAKE_UP,
]);

/// In the order of `WHITE_RUNS`.
const BLACK_RUNS: [Code; 104] = parse_codes(&[
    "0000110111 010 11 10 011 0011 0010 00011 000101 000100 0000100 0000101 0000111 00000100 \
     00000111 000011000 0000010111 0000011000 0000001000 00001100111 00001101000 00001101100 \
     00000110111 00000101000 00000010111 00000011000 000011001010 000011001011 000011001100 \
     000011001101 000001101000 000001101001 000001101010 000001101011 000011010010 000011010011 \
     000011010100 000011010101 000011010110 000011010111 000001101100 000001101101 000011011010 \
     000011011011 000001010100 000001010101 000001010110 000001010111 000001100100 000001100101 \
     000001010010 000001010011 000000100100 000000110111 000000111000 000000100111 000000101000 \
     000001011000 000001011001 000000101011 000000101100 000001011010 000001100110 000001100111",
    "0000001111 000011001000 000011001001 000001011011 000000110011 000000110100 000000110101 \
     0000001101100 0000001101101 0000001001010 0000001001011 0000001001100 0000001001101 \
     0000001110010 0000001110011 0000001110100 0000001110101 0000001110110 0000001110111 \
     0000001010010 0000001010011 0000001010100 0000001010101 0000001011010 0000001011011 \
     0000001100100 0000001100101",
    SHARED_MAKE_UP,
]);

/// Make-up codes 1792, 1856, ..., 2560.
const SHARED_MAKE_UP: &str = "00000001000 00000001100 00000001101 000000010010 000000010011 \
     000000010100 000000010101 000000010110 000000010111 000000011100 000000011101 000000011110 \
     000000011111";

/// Vertical modes for a1 - b1 = -3, ..., 3.
const VERTICAL: [Code; 7] = parse_codes(&["0000010 000010 010 1 011 000011 0000011"]);
const PASS: Code = Code { bits: 1, len: 4 };
const HORIZONTAL: Code = Code { bits: 1, len: 3 };
/// Half of the end-of-facsimile-block.
const END_OF_LINE: Code = Code { bits: 1, len: 12 };

/// Bits not yet handed over: the low `used` (at most 31 between calls) of `bits`; what lies above
/// them has been written already.
#[derive(Clone, Copy, Debug)]
struct BitQueue {
    bits: u64,
    used: u32,
}

impl BitQueue {
    #[inline(always)]
    fn put(&mut self, code: Code, out: &mut Vec<u8>) {
        self.bits = self.bits << code.len | u64::from(code.bits);
        self.used += u32::from(code.len);
        if self.used >= 32 {
            self.used -= 32;
            out.extend_from_slice(&((self.bits >> self.used) as u32).to_be_bytes());
        }
    }

    fn put_run(&mut self, mut run: u32, codes: &[Code; 104], out: &mut Vec<u8>) {
        while run >= LONGEST_MAKE_UP {
            self.put(codes[MAKE_UP + LONGEST_MAKE_UP as usize / 64], out);
            run -= LONGEST_MAKE_UP;
        }
        if run >= 64 {
            self.put(codes[MAKE_UP + run as usize / 64], out);
        }
        self.put(codes[run as usize % 64], out);
    }
}

/// How often the width is repeated at the end of a list: as far as the coding loop looks ahead.
const SENTINELS: usize = 4;

/// Positions written per word before their number is looked at. A loop of fixed length costs no
/// mispredicted branch, and few words of a halftone hold more changes than this.
const BLIND: usize = 8;

/// The changing elements of one row, left to right.
///
/// `at[0]` is 0, so that every entry has a predecessor; odd entries turn to black, even ones to
/// white. The buffer has room for a row of single pixels, so that it never grows; pages of it that
/// no row reaches are never touched.
#[derive(Debug)]
struct Changes {
    at: Vec<u32>,
}

impl Changes {
    fn of_white(width: u32) -> Self {
        let mut at = vec![0; 1 + width as usize + SENTINELS.max(BLIND)];
        at[1..=SENTINELS].fill(width);
        Self { at }
    }

    /// Lists the changes of `row`: as many bytes as `width` pixels take, or none for a white row.
    fn scan(&mut self, row: &[u8], width: u32) {
        let mut count = 1;
        let mut start = 0;
        let mut last_pixel = 0;
        for chunk in row.chunks(8) {
            let word = u64::from_be_bytes(chunk.try_into().unwrap_or_else(|_| {
                let mut padded = [0; 8];
                padded[..chunk.len()].copy_from_slice(chunk);
                padded
            }));
            let beyond = (start + 64u32).saturating_sub(width);
            let mut changes = (word ^ (word >> 1 | last_pixel << 63)) >> beyond << beyond;
            last_pixel = word & 1;
            let number = changes.count_ones() as usize;
            let mut pop = || {
                let offset = changes.leading_zeros();
                changes &= !(1u64 << 63).unbounded_shr(offset);
                start + offset
            };
            if number > 0 {
                self.at[count..count + BLIND].fill_with(&mut pop);
            }
            if number > BLIND {
                self.at[count + BLIND..count + number].fill_with(pop);
            }
            count += number;
            start += 64;
        }
        self.at[count..count + SENTINELS].fill(width);
    }
}

/// Encodes the rows of one strip after another, all of the same width.
#[derive(Debug)]
pub(crate) struct Encoder {
    width: u32,
    reference: Changes,
    current: Changes,
    queue: BitQueue,
}

impl Encoder {
    /// An encoder at the start of a strip of rows of `width` pixels.
    ///
    /// # Panics
    ///
    /// If `width` is 0 or above `i32::MAX`.
    pub(crate) fn new(width: u32) -> Self {
        assert!(width > 0 && i32::try_from(width).is_ok());
        Self {
            width,
            reference: Changes::of_white(width),
            current: Changes::of_white(width),
            queue: BitQueue { bits: 0, used: 0 },
        }
    }

    /// Appends the code of one row to `out`; up to 31 of its bits wait for the next call.
    ///
    /// `row` holds the pixels most significant bit first, 1 for black; what its last byte holds
    /// beyond the width, and bytes after that one, are ignored.
    ///
    /// # Panics
    ///
    /// If `row` is shorter than the width.
    pub(crate) fn push_row(&mut self, row: &[u8], out: &mut Vec<u8>) {
        let width = self.width;
        self.current.scan(&row[..width.div_ceil(8) as usize], width);
        let reference = self.reference.at.as_slice();
        let current = self.current.at.as_slice();
        // A local copy can stay in registers.
        let mut queue = self.queue;
        // a1 = current[i], b1 = reference[j]. Colours alternate from index 1 on in both lists, so
        // b1 is of the colour asked for exactly when i and j are both odd or both even.
        let (mut i, mut j) = (1, 1);
        // The start of the coding position; T.6 counts the first run of a row from pixel 0.
        let mut a0 = 0;
        loop {
            let (a1, b1, b2) = (current[i], reference[j], reference[j + 1]);
            if b2 < a1 {
                queue.put(PASS, out);
                a0 = b2;
                j += 2;
                continue;
            }
            let shift = a1.wrapping_sub(b1).wrapping_add(3) as usize;
            if let Some(&code) = VERTICAL.get(shift) {
                queue.put(code, out);
                if a1 == width {
                    break;
                }
                a0 = a1;
                i += 1;
                // The next b1 is of the other colour and right of a1: as a rule the old b2, but the
                // change before the old b1 if a1 fell short of that, and past b2 if a1 is at b2.
                j = j + 1 + 2 * usize::from(b2 == a1) - 2 * usize::from(reference[j - 1] > a1);
            } else {
                let a2 = current[i + 1];
                let (first, second) = match i % 2 {
                    1 => (&WHITE_RUNS, &BLACK_RUNS),
                    _ => (&BLACK_RUNS, &WHITE_RUNS),
                };
                queue.put(HORIZONTAL, out);
                queue.put_run(a1 - a0, first, out);
                queue.put_run(a2 - a1, second, out);
                if a2 == width {
                    break;
                }
                a0 = a2;
                i += 2;
                while reference[j] <= a0 {
                    j += 2;
                }
            }
        }
        self.queue = queue;
        std::mem::swap(&mut self.reference, &mut self.current);
    }

    /// Ends the strip (EOFB, padding to a byte), leaving the encoder at the start of the next one.
    pub(crate) fn finish(&mut self, out: &mut Vec<u8>) {
        self.queue.put(END_OF_LINE, out);
        self.queue.put(END_OF_LINE, out);
        let padding = (8 - self.queue.used % 8) as u8 % 8;
        self.queue.put(Code { bits: 0, len: padding }, out);
        let bytes = self.queue.used as usize / 8;
        out.extend_from_slice(&self.queue.bits.to_be_bytes()[8 - bytes..]);
        self.queue.used = 0;
        self.reference.scan(&[], self.width);
    }
}

#[cfg(test)]
mod tests;
