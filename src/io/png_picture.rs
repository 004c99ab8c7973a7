//! Pictures to look at: a proof, a map of differences, as 8-bit sRGB PNGs.

use std::path::PathBuf;

use ndarray::ArrayView3;
use png::{BitDepth, ColorType, Filter};

use crate::error::{Error, Result, filled};
use crate::io::film_writer::MAX_SIDE;
use crate::io::new_file::NewFile;
use crate::io::png_film::PngFile;
use crate::units::Resolution;

/// Writes sRGB codes `[row, column, channel]` of three channels.
///
/// Errors: another number of channels; a side of no or more than 2³¹ − 1 pixels; what the system cannot do. On any of them `target` is
/// left as it was.
pub fn write_picture(
    target: impl Into<PathBuf>,
    picture: ArrayView3<'_, u8>,
    resolution: Resolution,
) -> Result<()> {
    let (height, width, channels) = picture.dim();
    if channels != 3 {
        return Err(Error::value("channels of a picture", channels, "3: red, green, blue"));
    }
    if ![width, height].iter().all(|side| (1..=MAX_SIDE).contains(side)) {
        let allowed = format!("1 to {MAX_SIDE} pixels a side");
        return Err(Error::value("picture", format!("{width} x {height}"), allowed));
    }
    let file = NewFile::create(target)?;
    let failed = |e| file.error(e);
    let kind = (ColorType::Rgb, BitDepth::Eight, Filter::Adaptive);
    let mut png =
        PngFile::new(file.handle()?, [width as u32, height as u32], resolution, kind).map_err(failed)?;
    let mut bytes = filled("a row of a picture", 3 * width, 0)?;
    for row in picture.outer_iter() {
        bytes.iter_mut().zip(&row).for_each(|(byte, &code)| *byte = code);
        png.row(&bytes).map_err(failed)?;
    }
    png.finish().map_err(failed)?;
    file.finish()
}

#[cfg(test)]
mod tests {
    use super::*;
    use ndarray::Array3;

    #[test]
    fn codes_and_size_come_back() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("proof.png");
        let picture = Array3::from_shape_fn((3, 5, 3), |(y, x, c)| (50 * y + 10 * x + c) as u8);
        let resolution = Resolution::per_inch_xy(150.0, 100.0).unwrap();
        write_picture(&path, picture.view(), resolution).unwrap();
        let decoder = png::Decoder::new(std::io::BufReader::new(std::fs::File::open(&path).unwrap()));
        let mut reader = decoder.read_info().unwrap();
        let mut bytes = vec![0; 45];
        let info = reader.next_frame(&mut bytes).unwrap();
        assert_eq!((info.width, info.height, info.color_type), (5, 3, ColorType::Rgb));
        assert_eq!(bytes, picture.into_raw_vec_and_offset().0);
        let dims = reader.info().pixel_dims.unwrap();
        assert_eq!((dims.xppu, dims.yppu), resolution.to_per_metre());
        assert!(write_picture(&path, Array3::zeros((3, 5, 4)).view(), resolution).is_err());
        assert!(write_picture(&path, Array3::zeros((0, 5, 3)).view(), resolution).is_err());
    }
}
