//! The encoder against known answers, another decoder and round trips.

use super::*;
use fax::{Color, VecWriter, decoder, encoder, slice_bits};

fn encode(width: u32, strips: &[&[Vec<u8>]]) -> Vec<u8> {
    let (mut encoder, mut out) = (Encoder::new(width), Vec::new());
    for rows in strips {
        rows.iter().for_each(|row| encoder.push_row(row, &mut out));
        encoder.finish(&mut out);
    }
    out
}

fn pack(width: u32, black: impl Fn(u32) -> bool) -> Vec<u8> {
    let mut row = vec![0; width.div_ceil(8) as usize];
    for x in (0..width).filter(|&x| black(x)) {
        row[x as usize / 8] |= 0x80 >> (x % 8);
    }
    row
}

fn colours(row: &[u8], width: u32) -> impl Iterator<Item = Color> {
    let colour = |black| if black { Color::Black } else { Color::White };
    slice_bits(row).map(colour).take(width as usize)
}

/// Decodes up to the EOFB, and compares the bytes with those of another encoder.
fn check(width: u32, rows: &[Vec<u8>], what: &str) {
    let stream = encode(width, &[rows]);
    let mut y = 0;
    decoder::decode_g4(stream.iter().copied(), width, None, |changes| {
        let row = colours(&rows[y], width);
        let same = decoder::pels(changes, width).eq(row);
        assert!(same, "{what}, width {width}, row {y}");
        y += 1;
    })
    .expect(what);
    assert_eq!(y, rows.len(), "{what}, width {width}");
    // From 32 768 on, the other encoder's `i16` subtraction overflows.
    if width < 32_768 {
        let mut other = encoder::Encoder::new(VecWriter::new());
        for row in rows {
            other.encode_line(colours(row, width), width).unwrap();
        }
        let other = other.finish().unwrap().finish();
        assert!(stream == other, "{what}, width {width}");
    }
}

struct Random(u64);

impl Random {
    fn below(&mut self, limit: u32) -> u32 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % u64::from(limit)) as u32
    }

    /// Runs of up to `longest` pixels, half of the rows being the one above moved a little.
    fn rows(&mut self, width: u32, height: u32, longest: u32) -> Vec<Vec<u8>> {
        let mut changes = Vec::new();
        let mut row = || {
            if self.below(2) == 0 {
                changes.clear();
                let mut x = self.below(longest + 1);
                while x < width {
                    changes.push(x);
                    x += 1 + self.below(longest);
                }
            } else {
                for x in &mut changes {
                    *x = (*x + self.below(5)).saturating_sub(2);
                }
                changes.sort_unstable();
            }
            pack(width, |x| changes.partition_point(|&c| c <= x) % 2 == 1)
        };
        (0..height).map(|_| row()).collect()
    }
}

#[test]
fn known_answers() {
    // Bytes made by libtiff.
    let width_13 = [0x1fff, 0x1249, 0x1249, 0x1fff, 0x1249];
    let checker = [0x55, 0xaa, 0x55, 0xaa, 0x55, 0xaa, 0x55, 0xaa];
    let checker_code = "23a23a0412a492495a4925492492b4924a92492569249524924a002002";
    let cases: [(u32, &[u32], &str); 5] = [
        (16, &[0, 0x0ff0, 0x0ff0, 0], "9b17c6002002"),
        (8, &checker, checker_code),
        (24, &[0; 3], "e0020020"),
        (24, &[0xff_ffff; 3], "26a05fc0040040"),
        (13, &width_13, "26a0929ca729c12fff1111ca729ca704a0020020"),
    ];
    for (width, rows, expected) in cases {
        let pixel = |row: u32| move |x| row >> (width - 1 - x) & 1 == 1;
        let rows: Vec<_> = rows.iter().map(|&row| pack(width, pixel(row))).collect();
        let code = encode(width, &[&rows]);
        let hex: String = code.iter().map(|byte| format!("{byte:02x}")).collect();
        assert_eq!(hex, expected);
    }
}

#[test]
fn every_run_code_as_libtiff_writes_it() {
    // White rows between force horizontal mode: white n, black 2700 - n.
    let row = |y: u32| pack(5405, |x| y % 2 == 1 && (y / 2..2700).contains(&x));
    let rows: Vec<_> = (1..5403).map(row).collect();
    let stream = encode(5405, &[&rows]);
    // Length and FNV-1a hash of the bytes made by libtiff.
    let mut hash = 0xcbf2_9ce4_8422_2325_u64;
    for &byte in &stream {
        hash = (hash ^ u64::from(byte)).wrapping_mul(0x100_0000_01b3);
    }
    assert_eq!((stream.len(), hash), (16_185, 0xbc67_5539_9e37_d80a));
}

#[test]
fn rows_survive_decoding() {
    let mut random = Random(0x9e37_79b9_7f4a_7c15);
    for width in (1..=70).chain([127, 128, 129, 2559, 2560, 2561, 2624, 5119, 5120, 9001]) {
        // White, black, two checkerboard rows and single pixels, each after each.
        let plain = |kind| {
            pack(width, |x| match kind {
                0 | 1 => kind == 1,
                2 | 3 => x % 2 == kind - 2,
                _ => x == (kind - 4) * (width - 1),
            })
        };
        let pairs = (0..36).flat_map(|i| [plain(i / 6), plain(i % 6)]);
        check(width, &pairs.collect::<Vec<_>>(), "plain rows");
        for longest in [1, 3, 12, 100, 4000] {
            let rows = random.rows(width, 12, longest);
            check(width, &rows, "random runs");
        }
    }
    for width in [32_767, 32_768, 65_537, 100_001] {
        for longest in [9, 700, 20_000, 150_000] {
            let rows = random.rows(width, 6, longest);
            check(width, &rows, "wide random runs");
        }
    }
}

#[test]
fn halftones_survive_decoding() {
    for (width, threshold) in [(700, -1.2), (701, 0.0), (1000, 0.9), (33_000, 0.1)] {
        // Round dots, 22 pixels apart, at 22.5 degrees.
        let spot = |x: f64, y: f64| {
            let (u, v) = (0.264 * x + 0.109 * y, 0.264 * y - 0.109 * x);
            u.cos() + v.cos() > threshold
        };
        let row = |y| pack(width, |x| spot(f64::from(x), f64::from(y)));
        check(width, &(0..40).map(row).collect::<Vec<_>>(), "halftone");
    }
}

#[test]
fn padding_is_ignored() {
    let clean = [vec![0xff, 0, 0xa0], vec![0x0f, 0xff, 0x60]];
    let dirty = [vec![0xff, 0, 0xb5], vec![0x0f, 0xff, 0x7f, 0xaa]];
    assert_eq!(encode(19, &[&dirty]), encode(19, &[&clean]));
}

#[test]
fn strips_are_independent() {
    let rows = Random(7).rows(1234, 20, 60);
    let (first, second) = rows.split_at(9);
    let apart = [first, second].map(|strip| encode(1234, &[strip])).concat();
    assert_eq!(encode(1234, &[first, second]), apart);
}
