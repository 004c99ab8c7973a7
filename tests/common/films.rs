//! Random films and decoders for them, none of them the writers' own.
#![allow(dead_code, reason = "each test file uses its own part")]

use std::fs::{self, File};
use std::io::BufReader;
use std::path::Path;

use dotwright::film::row_bytes;
use dotwright::io::{FilmFormat, TiffCompression, write_film};
use dotwright::{Film, Resolution};
use tiff::decoder::Decoder;
use tiff::tags::Tag;

pub const RAW: FilmFormat = FilmFormat::Tiff(TiffCompression::None);
pub const PACK_BITS: FilmFormat = FilmFormat::Tiff(TiffCompression::PackBits);
pub const T6: FilmFormat = FilmFormat::Tiff(TiffCompression::T6);
pub const FORMATS: [FilmFormat; 5] = [RAW, PACK_BITS, T6, FilmFormat::Png, FilmFormat::Pbm];

pub fn per_inch(pixels: f64) -> Resolution {
    Resolution::per_inch(pixels).unwrap()
}

/// Rows of noise of every density, some like the row above, some empty and some solid.
pub fn random_film(width: usize, height: usize, seed: u64) -> Film {
    let mut state = seed | 1;
    let mut next = || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        state.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 32
    };
    let row = row_bytes(width);
    let mut bits: Vec<u8> = Vec::with_capacity(row * height);
    for y in 0..height {
        match next() % 7 {
            0 => bits.resize(bits.len() + row, 0),
            1 => bits.resize(bits.len() + row, 0xff),
            2 if y > 0 => bits.extend_from_within(bits.len() - row..),
            3 => bits.extend((0..row).map(|_| (next() & next() & next()) as u8)),
            4 => bits.extend((0..row).map(|_| (next() | next() | next()) as u8)),
            5 => bits.extend((0..row).map(|_| [0, 0xff, 0xff, 0x0f][next() as usize % 4])),
            _ => bits.extend((0..row).map(|_| next() as u8)),
        }
    }
    Film::from_bits(width, height, bits).unwrap()
}

pub fn write(path: &Path, film: &Film, format: FilmFormat) {
    write_film(path, &film.view(), Resolution::per_inch_xy(720.0, 1440.0).unwrap(), format).unwrap();
}

pub fn open_tiff(path: &Path) -> Decoder<BufReader<File>> {
    Decoder::new(BufReader::new(File::open(path).unwrap())).unwrap()
}

/// The bytes of each strip and the rows in it.
pub fn strips(path: &Path) -> Vec<(Vec<u8>, usize)> {
    let bytes = fs::read(path).unwrap();
    let mut tiff = open_tiff(path);
    let height = tiff.dimensions().unwrap().1 as usize;
    let rows = tiff.get_tag_u32(Tag::RowsPerStrip).unwrap() as usize;
    let offsets = tiff.get_tag_u64_vec(Tag::StripOffsets).unwrap();
    let lengths = tiff.get_tag_u64_vec(Tag::StripByteCounts).unwrap();
    assert_eq!((offsets.len(), lengths.len()), (height.div_ceil(rows), height.div_ceil(rows)));
    let strip = |i: usize| bytes[offsets[i] as usize..][..lengths[i] as usize].to_vec();
    (0..offsets.len()).map(|i| (strip(i), rows.min(height - i * rows))).collect()
}

/// TIFF 6.0, section 9.
pub fn unpack_bits(mut code: &[u8]) -> Vec<u8> {
    let mut bytes = Vec::new();
    while let [head, rest @ ..] = code {
        let used = match *head as i8 {
            -128 => 0,
            n @ 0.. => {
                bytes.extend(&rest[..n as usize + 1]);
                n as usize + 1
            }
            n => {
                bytes.resize(bytes.len() + 1 + usize::from(n.unsigned_abs()), rest[0]);
                1
            }
        };
        code = &rest[used..];
    }
    bytes
}

pub fn read_t6(code: &[u8], width: usize, rows: usize) -> Vec<u8> {
    let mut bits = Vec::new();
    fax::decoder::decode_g4(code.iter().copied(), width as u32, None, |changes| {
        let mut row = vec![0; row_bytes(width)];
        for (x, colour) in fax::decoder::pels(changes, width as u32).enumerate() {
            row[x / 8] |= u8::from(colour == fax::Color::Black) << (7 - x % 8);
        }
        bits.extend(row);
    })
    .expect("a sound T.6 strip");
    assert_eq!(bits.len(), rows * row_bytes(width));
    bits
}

pub fn read_tiff(path: &Path) -> Film {
    let mut tiff = open_tiff(path);
    let mut number = |tag| tiff.get_tag_u32(tag).unwrap();
    // One sample of one bit, 0 is white, leftmost pixel in the highest bit.
    let kind = [Tag::BitsPerSample, Tag::SamplesPerPixel, Tag::PhotometricInterpretation, Tag::FillOrder];
    assert_eq!(kind.map(&mut number), [1, 1, 0, 1]);
    let (width, height) = (number(Tag::ImageWidth) as usize, number(Tag::ImageLength) as usize);
    let compression = number(Tag::Compression);
    let mut bits = Vec::new();
    for (code, rows) in strips(path) {
        let strip = match compression {
            1 => code,
            32_773 => unpack_bits(&code),
            4 => read_t6(&code, width, rows),
            other => panic!("compression {other}"),
        };
        assert_eq!(strip.len(), rows * row_bytes(width));
        bits.extend(strip);
    }
    clean(width, height, bits)
}

pub fn open_png(path: &Path) -> png::Reader<BufReader<File>> {
    png::Decoder::new(BufReader::new(File::open(path).unwrap())).read_info().unwrap()
}

pub fn read_png(path: &Path) -> Film {
    let mut png = open_png(path);
    let info = png.info();
    assert_eq!((info.color_type, info.bit_depth), (png::ColorType::Grayscale, png::BitDepth::One));
    let (width, height) = (info.width as usize, info.height as usize);
    let mut bits = vec![0; png.output_buffer_size().unwrap()];
    png.next_frame(&mut bits).unwrap();
    png.finish().unwrap();
    bits.iter_mut().for_each(|b| *b = !*b);
    Film::from_bits(width, height, bits).unwrap()
}

pub fn read_pbm(path: &Path) -> Film {
    let bytes = fs::read(path).unwrap();
    let mut lines = bytes.splitn(3, |&b| b == b'\n');
    let mut text = || std::str::from_utf8(lines.next().unwrap()).unwrap().to_owned();
    assert_eq!(text(), "P4");
    let sides: Vec<usize> = text().split(' ').map(|side| side.parse().unwrap()).collect();
    clean(sides[0], sides[1], lines.next().unwrap().to_vec())
}

/// A film of bits that must be 0 past the width as they stand.
pub fn clean(width: usize, height: usize, bits: Vec<u8>) -> Film {
    let film = Film::from_bits(width, height, bits.clone()).unwrap();
    assert!(film.bits() == bits, "ink past the width");
    film
}

pub fn read(path: &Path, format: FilmFormat) -> Film {
    match format {
        FilmFormat::Tiff(_) => read_tiff(path),
        FilmFormat::Png => read_png(path),
        _ => read_pbm(path),
    }
}
