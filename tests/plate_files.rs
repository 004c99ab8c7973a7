//! Plate files: grey pictures read as tone.
#![cfg(feature = "files")]

#[path = "common/plates.rs"]
mod plates;

use std::fs::{self, File};
use std::path::Path;

use dotwright::io::{Depth, PlateBuffer, PlateReader};
use dotwright::{Error, Resolution};
use image::ExtendedColorType;
use ndarray::Array2;
use plates::{
    HEIGHT, Long, Ratio, Short, WIDTH, bytes, level, plain, plate_u8, plate_u16, save, tiff, words,
};
use tempfile::TempDir;
use tiff::encoder::{Compression, DeflateLevel, Rational, TiffEncoder, colortype};
use tiff::tags::ResolutionUnit;

fn read(path: &Path) -> PlateBuffer {
    PlateReader::open(path).unwrap().read_all().unwrap()
}

#[test]
fn black_is_ink_in_every_grey_file() {
    let dir = TempDir::new().unwrap();
    for name in ["a.png", "a.tif"] {
        let path = dir.path().join(name);
        save(&path, &bytes(), ExtendedColorType::L8);
        let reader = PlateReader::open(&path).unwrap();
        assert_eq!((reader.width(), reader.height(), reader.depth()), (WIDTH, HEIGHT, Depth::U8));
        assert_eq!(reader.path(), path);
        assert_eq!(reader.read_all().unwrap(), plate_u8(), "{name}");
        let light = PlateReader::open(&path).unwrap().light_is_ink(true).read_all().unwrap();
        let expected = Array2::from_shape_vec((HEIGHT, WIDTH), bytes()).unwrap();
        assert_eq!(light, PlateBuffer::U8(expected), "{name}");

        let native: Vec<u8> = words().iter().flat_map(|word| word.to_ne_bytes()).collect();
        save(&path, &native, ExtendedColorType::L16);
        assert_eq!(PlateReader::open(&path).unwrap().depth(), Depth::U16);
        assert_eq!(read(&path), plate_u16(), "{name}");
        let light = PlateReader::open(&path).unwrap().light_is_ink(true).read_all().unwrap();
        let expected = Array2::from_shape_vec((HEIGHT, WIDTH), words()).unwrap();
        assert_eq!(light, PlateBuffer::U16(expected), "{name}");
    }
    // The kind is told by the first bytes.
    fs::rename(dir.path().join("a.tif"), dir.path().join("b.png")).unwrap();
    assert_eq!(read(&dir.path().join("b.png")), plate_u16());
}

#[test]
fn small_png_samples_are_spread_over_eight_bits() {
    let dir = TempDir::new().unwrap();
    let path = dir.path().join("a.png");
    for (depth, bits) in [(png::BitDepth::One, 1), (png::BitDepth::Two, 2), (png::BitDepth::Four, 4)] {
        let (width, most) = (13_usize, (1_u32 << bits) - 1);
        let sample = |x: usize, y: usize| (x as u32 * 5 + y as u32 * 3) & most;
        let mut data = vec![0_u8; (width * bits as usize).div_ceil(8) * 3];
        let stride = data.len() / 3;
        for (x, y) in (0..3).flat_map(|y| (0..width).map(move |x| (x, y))) {
            let bit = x * bits as usize;
            data[y * stride + bit / 8] |= (sample(x, y) << (8 - bits as usize - bit % 8)) as u8;
        }
        let mut encoder = png::Encoder::new(File::create(&path).unwrap(), width as u32, 3);
        encoder.set_color(png::ColorType::Grayscale);
        encoder.set_depth(depth);
        encoder.write_header().unwrap().write_image_data(&data).unwrap();
        let expected = Array2::from_shape_fn((3, width), |(y, x)| (255 - sample(x, y) * 255 / most) as u8);
        assert_eq!(read(&path), PlateBuffer::U8(expected), "{bits} bits");
    }
}

#[test]
fn tiffs_of_every_packing_and_strip_height() {
    let dir = TempDir::new().unwrap();
    let path = dir.path().join("a.tif");
    for (name, packing) in [
        ("none", Compression::Uncompressed),
        ("LZW", Compression::Lzw),
        ("deflate", Compression::Deflate(DeflateLevel::Fast)),
        ("PackBits", Compression::Packbits),
    ] {
        for rows in [1, 7, HEIGHT as u32, 1000] {
            let (w, h) = (WIDTH as u32, HEIGHT as u32);
            let encoder =
                || TiffEncoder::new(File::create(&path).unwrap()).unwrap().with_compression(packing);
            let mut file = encoder();
            let mut picture = file.new_image::<colortype::Gray8>(w, h).unwrap();
            picture.rows_per_strip(rows).unwrap();
            picture.write_data(&bytes()).unwrap();
            assert_eq!(read(&path), plate_u8(), "{name}, {rows} rows");
            let mut file = encoder();
            let mut picture = file.new_image::<colortype::Gray16>(w, h).unwrap();
            picture.rows_per_strip(rows).unwrap();
            picture.write_data(&words()).unwrap();
            assert_eq!(read(&path), plate_u16(), "{name}, {rows} rows");
        }
    }
}

#[test]
fn tiffs_of_either_byte_order_polarity_and_layout() {
    let dir = TempDir::new().unwrap();
    let path = dir.path().join("a.tif");
    for big in [false, true] {
        let store = |word: u16| if big { word.to_be_bytes() } else { word.to_le_bytes() };
        for white_is_zero in [false, true] {
            let photometric = u16::from(!white_is_zero);
            let turn = if white_is_zero { 0xffff } else { 0 };
            let data: Vec<u8> = words().iter().flat_map(|&word| store(word ^ turn)).collect();
            fs::write(&path, tiff(big, &plain(16, photometric), &data)).unwrap();
            assert_eq!(read(&path), plate_u16(), "16 bits, {big} {white_is_zero}");
            let data: Vec<u8> = bytes().iter().map(|byte| byte ^ turn as u8).collect();
            fs::write(&path, tiff(big, &plain(8, photometric), &data)).unwrap();
            assert_eq!(read(&path), plate_u8(), "8 bits, {big} {white_is_zero}");

            // Tiles of 16 x 32: three across and two down, which overhang on the right and below.
            let mut data = Vec::new();
            for tile in 0..6 {
                for (y, x) in (0..32).flat_map(|y| (0..16).map(move |x| (y, x))) {
                    let (x, y) = (tile % 3 * 16 + x, tile / 3 * 32 + y);
                    let inside = x < WIDTH && y < HEIGHT;
                    data.extend(store(if inside { level(x, y) ^ turn } else { 0xdead }));
                }
            }
            let mut tags = plain(16, photometric);
            tags.retain(|(tag, _)| ![273, 278, 279].contains(tag));
            tags.push((322, Long(vec![16])));
            tags.push((323, Long(vec![32])));
            tags.push((324, Long((0..6).map(|i| 8 + i * 1024).collect())));
            tags.push((325, Long(vec![1024; 6])));
            fs::write(&path, tiff(big, &tags, &data)).unwrap();
            assert_eq!(read(&path), plate_u16(), "tiles, {big} {white_is_zero}");
        }
    }
}

#[test]
fn resolution_is_what_the_file_says() {
    let dir = TempDir::new().unwrap();
    let path = dir.path().join("a");
    let inch = |x: f64, y: f64| Some(Resolution::per_inch_xy(x, y).unwrap());
    let metre = |x: u32, y: u32, unit| Some(png::PixelDimensions { xppu: x, yppu: y, unit });
    for (dims, expected) in [
        (metre(11_811, 11_811, png::Unit::Meter), inch(300.0, 300.0)),
        (metre(28_346, 56_693, png::Unit::Meter), inch(720.0, 1440.0)),
        (metre(11_815, 100_000, png::Unit::Meter), inch(11_815.0 * 0.0254, 2540.0)),
        (metre(300, 300, png::Unit::Unspecified), None),
        (metre(0, 0, png::Unit::Meter), None),
        (None, None),
    ] {
        let mut encoder = png::Encoder::new(File::create(&path).unwrap(), WIDTH as u32, HEIGHT as u32);
        encoder.set_color(png::ColorType::Grayscale);
        encoder.set_pixel_dims(dims);
        encoder.write_header().unwrap().write_image_data(&bytes()).unwrap();
        assert_eq!(PlateReader::open(&path).unwrap().resolution(), expected, "{dims:?}");
    }
    for (unit, x, y, expected) in [
        (Some(2), (300, 1), (300, 1), inch(300.0, 300.0)),
        (Some(2), (7_200_000, 10_000), (1440, 1), inch(720.0, 1440.0)),
        (Some(3), (480, 1), (1000, 1), inch(1219.2, 2540.0)),
        (None, (600, 1), (600, 1), inch(600.0, 600.0)),
        (Some(1), (4, 1), (3, 1), None),
        (Some(2), (300, 0), (300, 0), None),
        (Some(2), (0, 0), (0, 0), None),
    ] {
        let mut tags = plain(8, 1);
        tags.push((282, Ratio(x.0, x.1)));
        tags.push((283, Ratio(y.0, y.1)));
        tags.extend(unit.map(|unit| (296, Short(vec![unit]))));
        fs::write(&path, tiff(false, &tags, &bytes())).unwrap();
        let found = PlateReader::open(&path).unwrap().resolution();
        assert_eq!(found, expected, "{unit:?} {x:?} {y:?}");
    }
    fs::write(&path, tiff(false, &plain(8, 1), &bytes())).unwrap();
    assert_eq!(PlateReader::open(&path).unwrap().resolution(), None);
    // And from another writer.
    let mut file = TiffEncoder::new(File::create(&path).unwrap()).unwrap();
    let mut picture = file.new_image::<colortype::Gray8>(WIDTH as u32, HEIGHT as u32).unwrap();
    picture.resolution(ResolutionUnit::Centimeter, Rational { n: 1200, d: 10 });
    picture.write_data(&bytes()).unwrap();
    assert_eq!(PlateReader::open(&path).unwrap().resolution(), inch(304.8, 304.8));
}

#[test]
fn rows_are_read_in_turn_and_in_the_right_type() {
    let dir = TempDir::new().unwrap();
    let (eight, sixteen) = (dir.path().join("8.png"), dir.path().join("16.tif"));
    save(&eight, &bytes(), ExtendedColorType::L8);
    let native: Vec<u8> = words().iter().flat_map(|word| word.to_ne_bytes()).collect();
    save(&sixteen, &native, ExtendedColorType::L16);

    for light in [false, true] {
        let mut reader = PlateReader::open(&eight).unwrap().light_is_ink(light);
        let mut wide = vec![0_u16; WIDTH];
        for row in bytes().chunks(WIDTH) {
            // A row of the wrong length is refused and the next row is still the same.
            assert!(matches!(reader.read_row(&mut [0_u16; WIDTH + 1]), Err(Error::Extent { .. })));
            assert!(matches!(reader.read_row(&mut [0_u16; WIDTH - 1]), Err(Error::Extent { .. })));
            reader.read_row(&mut wide).unwrap();
            let turn = |level: u8| if light { level } else { 255 - level };
            assert!(row.iter().map(|&level| 257 * u16::from(turn(level))).eq(wide.iter().copied()));
        }
        assert!(matches!(reader.read_row(&mut wide), Err(Error::Extent { .. })), "past the end");
    }
    let mut reader = PlateReader::open(&sixteen).unwrap();
    assert!(matches!(reader.read_row(&mut [0_u8; WIDTH]), Err(Error::Value { .. })));
    let mut first = [0_u16; WIDTH];
    reader.read_row(&mut first).unwrap();
    assert!(first.iter().enumerate().all(|(x, &tone)| tone == 65_535 - level(x, 0)));
    // The rows that are left.
    let (PlateBuffer::U16(rest), PlateBuffer::U16(whole)) = (reader.read_all().unwrap(), plate_u16()) else {
        panic!("not 16 bits")
    };
    assert_eq!(rest, whole.slice(ndarray::s![1.., ..]));
}
