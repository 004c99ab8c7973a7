//! A grey picture, the plate it stands for, and TIFF files made by hand.
#![allow(dead_code, reason = "each test file uses its own part")]

use std::path::Path;

use dotwright::io::PlateBuffer;
use image::ExtendedColorType;
use ndarray::Array2;

pub const WIDTH: usize = 45;
pub const HEIGHT: usize = 38;

/// Brightness, every sample another.
pub fn level(x: usize, y: usize) -> u16 {
    ((y * WIDTH + x) * 38 + 7) as u16
}

pub fn words() -> Vec<u16> {
    (0..HEIGHT * WIDTH).map(|i| level(i % WIDTH, i / WIDTH)).collect()
}

pub fn bytes() -> Vec<u8> {
    words().iter().map(|&word| (word >> 3) as u8).collect()
}

/// The plates of the brightness above: black is ink.
pub fn plate_u16() -> PlateBuffer {
    let tones = words().iter().map(|&word| 65_535 - word).collect();
    PlateBuffer::U16(Array2::from_shape_vec((HEIGHT, WIDTH), tones).unwrap())
}

pub fn plate_u8() -> PlateBuffer {
    let tones = bytes().iter().map(|&byte| 255 - byte).collect();
    PlateBuffer::U8(Array2::from_shape_vec((HEIGHT, WIDTH), tones).unwrap())
}

pub fn save(path: &Path, data: &[u8], colour: ExtendedColorType) {
    image::save_buffer(path, data, WIDTH as u32, HEIGHT as u32, colour).unwrap();
}

/// Values of a TIFF tag.
pub enum Field {
    Short(Vec<u16>),
    Long(Vec<u32>),
    Rational(u32, u32),
}
pub use Field::{Long, Rational as Ratio, Short};

/// A TIFF of the given tags, in either byte order; data begin at byte 8.
pub fn tiff(big_endian: bool, tags: &[(u16, Field)], data: &[u8]) -> Vec<u8> {
    let short = |n: u16| if big_endian { n.to_be_bytes() } else { n.to_le_bytes() };
    let long = |n: u32| if big_endian { n.to_be_bytes() } else { n.to_le_bytes() };
    let mut file = if big_endian { b"MM\0\x2a".to_vec() } else { b"II\x2a\0".to_vec() };
    file.extend([0; 4]);
    file.extend(data);
    let mut directory = short(tags.len() as u16).to_vec();
    for (tag, field) in tags {
        let (kind, count, mut value) = match field {
            Short(list) => (3, list.len(), list.iter().flat_map(|&n| short(n)).collect::<Vec<_>>()),
            Long(list) => (4, list.len(), list.iter().flat_map(|&n| long(n)).collect()),
            Ratio(n, d) => (5, 1, [long(*n), long(*d)].concat()),
        };
        if value.len() > 4 {
            let at = file.len() as u32;
            file.extend(&value);
            value = long(at).to_vec();
        }
        value.resize(4, 0);
        directory.extend([short(*tag), short(kind)].concat());
        directory.extend([long(count as u32).to_vec(), value].concat());
    }
    directory.extend([0; 4]);
    let at = long(file.len() as u32);
    file[4..8].copy_from_slice(&at);
    file.extend(directory);
    file
}

/// Tags of a picture in one uncompressed strip.
pub fn one_strip(width: u32, height: u32, bits: u16, photometric: u16, samples: u16) -> Vec<(u16, Field)> {
    let bits_in_all: u128 = [width, height, bits.into(), samples.into()].map(u128::from).iter().product();
    vec![
        (256, Long(vec![width])),
        (257, Long(vec![height])),
        (258, Short(vec![bits; samples.into()])),
        (259, Short(vec![1])),
        (262, Short(vec![photometric])),
        (273, Long(vec![8])),
        (277, Short(vec![samples])),
        (278, Long(vec![height])),
        (279, Long(vec![u32::try_from(bits_in_all.div_ceil(8)).unwrap_or(u32::MAX)])),
    ]
}

pub fn plain(bits: u16, photometric: u16) -> Vec<(u16, Field)> {
    one_strip(WIDTH as u32, HEIGHT as u32, bits, photometric, 1)
}
